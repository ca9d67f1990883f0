#!/bin/sh
# Both compilers build everything without a warning; each header compiles alone; the format is right.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh
for goal in headers both format-check; do
    report=$(make --keep-going "$goal" 2>&1)
    ok "make $goal" $? "$(printf '%s\n' "$report" | grep -v '^strict-' | head -40)"
done
# A warning is an error there: planted, it is seen by both.
planted=$(mktemp -d)
trap 'rm -rf "$planted"' EXIT
flags=$(make -s print-flags)
echo 'int planted(int a); int planted(int a) { long b = 7; return a + b; }' >"$planted/a.c"
for compiler in gcc clang; do
    # shellcheck disable=SC2086
    if $compiler $flags -Werror -fsyntax-only "$planted/a.c" 2>/dev/null; then ok "$compiler sees a planted conversion" 1; else ok "$compiler sees a planted conversion" 0; fi
done
tap_end
