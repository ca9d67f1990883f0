#!/bin/sh
# Text files are UTF-8 without carriage returns, tabs (but in Makefiles) or space at a line's end; no
# path of a machine, no registry's host in a lock file, no debris.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh

# check ROOT: the files under version control, or all where there is none
check() {
    (
        cd "$1" || exit
        { git ls-files 2>/dev/null || find . -type f | sed 's:^\./::'; } | while read -r file; do
            [ -f "$file" ] || continue
            case $file in tests/data/* | tests/wire/raw/* | tests/fuzz/corpus/* | LICENSE | *.png | *.svg) continue ;; esac
            iconv -f UTF-8 -t UTF-8 "$file" >/dev/null 2>&1 || echo "$file: is not UTF-8"
            grep -q "$(printf '\r')" "$file" && echo "$file: has carriage returns"
            case $file in
            *.md | *.tsv) ;;
            *) grep -n ' $' "$file" | sed "s|^\([0-9]*\):.*|$file:\1: space at the end|" | head -3 ;;
            esac
            case $file in
            Makefile | *.tsv | *.txt) ;;
            *) grep -n "$(printf '\t')" "$file" | sed "s|^\([0-9]*\):.*|$file:\1: a tab|" | head -3 ;;
            esac
            grep -nE '/(home|root|Users)/[a-z]|/tmp/(team|build-)|"resolved":' "$file" |
                grep -v '/root/\.\|tests/lint/' | sed "s|^\([0-9]*\):.*|$file:\1: a machine's path or host|" | head -3
        done
    )
}
empty "files are clean" "$(check . | grep -v '^tests/lint/test_hygiene.sh')"

planted=$(mktemp -d)
trap 'rm -rf "$planted"' EXIT
printf 'x \n' >"$planted/a.c"
printf 'x\ty\n' >"$planted/b.c"
printf '"resolved": "https://registry.example/x"\n' >"$planted/lock.json"
printf '\377\n' >"$planted/c.c"
printf 'see /home/someone/x\n' >"$planted/d.md"
report=$(check "$planted")
finds "sees space at the end" "$report" 'a.c:1: space'
finds "sees a tab" "$report" 'b.c:1: a tab'
finds "sees a host" "$report" 'lock.json:1: a machine'
finds "sees what is not UTF-8" "$report" 'c.c: is not UTF-8'
finds "sees a path" "$report" 'd.md:1: a machine'
tap_end
