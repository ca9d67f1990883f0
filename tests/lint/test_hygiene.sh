#!/bin/sh
# Text files are UTF-8 without carriage returns, tabs (but in Makefiles) or space at a line's end; no
# path of a machine, no registry's host in a lock file, no debris.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh

# Put together, so that the pattern does not find itself.
machine="/(home|root|Users)""/[a-z]|/tmp""/(team|build-)|\"resolved\":"

# check ROOT: the files under version control, or all where there is none
check() {
    (
        cd "$1" || exit
        { git ls-files 2>/dev/null || find . -type f | sed 's:^\./::'; } |
            grep -vE '^tests/(data|wire/raw|fuzz/corpus)/|LICENSE$|\.(png|svg)$' >"$list"
        # lines PATTERN WHAT [GREP OPTION...]: complain about the lines that have it
        lines() {
            pattern=$1 what=$2
            shift 2
            tr '\n' '\0' | LC_ALL=C.UTF-8 xargs -0 -r grep -aHns "$@" -e "$pattern" -- |
                sed "s|^\([^:]*:[0-9]*\):.*|\1: $what|" | head -20
        }
        lines '.*' "is not UTF-8" -xv <"$list"
        lines "$(printf '\r')" "a carriage return" <"$list"
        grep -vE '\.(md|tsv)$' "$list" | lines ' $' "space at the end"
        grep -vE '(^|/)Makefile$|\.(tsv|txt)$' "$list" | lines "$(printf '\t')" "a tab"
        grep -v '^tests/lint/test_hygiene\.sh$' "$list" | lines "$machine" "a machine's path or host" -E
    )
}
list=$(mktemp)
planted=$(mktemp -d)
trap 'rm -rf "$planted" "$list"' EXIT
empty "files are clean" "$(check .)"

printf 'x \n' >"$planted/a.c"
printf 'x\ty\n' >"$planted/b.c"
printf '"resolved": "https://registry.example/x"\n' >"$planted/lock.json"
printf '\377\n' >"$planted/c.c"
printf 'see /%s/someone/x\n' home >"$planted/d.md"
printf 'x\r\n' >"$planted/e.c"
report=$(check "$planted")
finds "sees space at the end" "$report" 'a.c:1: space'
finds "sees a tab" "$report" 'b.c:1: a tab'
finds "sees a host" "$report" 'lock.json:1: a machine'
finds "sees what is not UTF-8" "$report" 'c.c:1: is not UTF-8'
finds "sees a carriage return" "$report" 'e.c:1: a carriage'
finds "sees a path" "$report" 'd.md:1: a machine'
tap_end
