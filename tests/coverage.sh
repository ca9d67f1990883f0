#!/bin/sh
# Lines of src/ that the given test programs (built with --coverage) run: by file, and in all.
# Usage: sh tests/coverage.sh PROGRAM...
cd "$(dirname "$0")/.." || exit 2
find build/coverage -name '*.gcda' -exec rm -f {} +
for program in "$@"; do
    "$program" >/dev/null 2>&1 || echo "$program failed" >&2
done
find build/coverage/src -name '*.gcda' | sort | while read -r data; do
    gcov -n -o "$(dirname "$data")" "$data" 2>/dev/null |
        awk '/^File .src\/.*\.c/ {file = $2; gsub(/\047/, "", file)} /^Lines executed/ && file {sub(/.*:/, ""); sub(/% of/, ""); print file, $1, $2; file = ""}'
done | awk '{printf "%-32s %6.1f %% of %5d lines\n", $1, $2, $3; run += $2 * $3 / 100; all += $3}
    END {if (all) printf "%-32s %6.1f %% of %5d lines\n", "in all", 100 * run / all, all; exit !all}'
