#!/bin/sh
# Links in our Markdown lead somewhere; files that a page names exist.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh

# check ROOT: page: link that leads nowhere
check() {
    (
        cd "$1" || exit
        find . -name '*.md' -not -path './build/*' -not -path '*/node_modules/*' | sort | while read -r page; do
            grep -o '](\([^)]*\))' "$page" | sed 's/^](//; s/)$//; s/ .*//' | while read -r link; do
                case $link in http://* | https://* | mailto:*) continue ;; esac
                file=${link%%#*} anchor=
                case $link in *'#'*) anchor=${link#*#} ;; esac
                target=$page
                [ -z "$file" ] || target=$(dirname "$page")/$file
                if [ ! -e "$target" ]; then
                    echo "$page: $link leads nowhere"
                elif [ -n "$anchor" ] && ! anchors "$target" | grep -qx -- "$anchor"; then
                    echo "$page: $link: there is no such heading"
                fi
            done
        done
    )
}
# The anchors of a page: its headings in lower case, spaces as hyphens, punctuation dropped.
anchors() {
    sed -n 's/^##* *//p' "$1" | tr 'A-Z' 'a-z' | sed 's/[^a-z0-9 _-]//g; s/ /-/g'
}

empty "every link leads somewhere" "$(check .)"

planted=$(mktemp -d)
trap 'rm -rf "$planted"' EXIT
printf '# A heading, here\n[good](#a-heading-here) [gone](no.md) [gone](#nowhere) [out](https://example.org)\n' >"$planted/a.md"
report=$(check "$planted")
finds "sees a missing page" "$report" 'no.md leads nowhere'
finds "sees a missing heading" "$report" '#nowhere: there is no such heading'
empty "leaves good links alone" "$(printf '%s\n' "$report" | grep -e a-heading -e example.org)"
tap_end
