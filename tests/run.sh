#!/bin/sh
# Runs test programs that speak TAP, one line for each, and adds up: "N passed, N failed".
# Usage: sh tests/run.sh PROGRAM...
cd "$(dirname "$0")/.." || exit 2
mkdir -p build/logs
export CMOCKA_MESSAGE_OUTPUT=TAP
passed=0 failed=0
for program in "$@"; do
    stem=$(basename "$program" | sed 's/\.[a-z]*$//')
    log=build/logs/$stem.tap
    started=$(date +%s)
    case $program in
    *.sh) sh "$program" >"$log" 2>&1 ;;
    *.mjs) node "$program" >"$log" 2>&1 ;;
    *) "$program" >"$log" 2>&1 ;;
    esac
    status=$?
    took=$(($(date +%s) - started))
    good=$(grep -c '^ok ' "$log")
    bad=$(grep -c '^not ok ' "$log")
    # A program that stopped early or ran nothing has failed, whatever it printed.
    plan=$(sed -n 's/^1\.\.\([0-9]*\).*/\1/p' "$log" | awk '{s += $1} END {print s + 0}')
    if [ "$bad" = 0 ] && { [ $status != 0 ] || [ "$good" = 0 ] || [ "$plan" != "$good" ]; }; then
        bad=1
        echo "not ok - $stem ended with status $status after $good of $plan tests" >>"$log"
    fi
    passed=$((passed + good)) failed=$((failed + bad))
    printf '%-44s %5d passed%s%s\n' "$program" "$good" \
        "$([ "$bad" = 0 ] || echo ", $bad FAILED")" "$([ $took -lt 2 ] || echo "  ($took s)")"
    if [ "$bad" != 0 ]; then
        grep -A12 '^not ok ' "$log" | head -60 | sed 's/^/    /'
        [ $status = 0 ] || tail -25 "$log" | sed 's/^/    | /'
        echo "    all of it: $log"
    fi
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
