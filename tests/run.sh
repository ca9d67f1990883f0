#!/bin/sh
# Runs test programs that speak TAP, one line for each, and adds up: "N passed, N failed".
# Usage: sh tests/run.sh PROGRAM...    Those of tests/wire and the long ones of tests/deploy run one
# by one, after the others: they measure time.
cd "$(dirname "$0")/.." || exit 2

log_of() { echo "build/logs/$(echo "$1" | tr '/' '-').tap"; }

# Run one program; print its line and what failed; leave the counts beside its log.
run_one() {
    program=$1
    log=$(log_of "$program")
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
    crashed=no
    if [ "$((good + bad))" = 0 ] || [ "$plan" != "$((good + bad))" ] || { [ $status != 0 ] && [ "$bad" = 0 ]; }; then
        crashed=yes
        bad=$((bad + 1))
    fi
    {
        printf '%-44s %5d passed%s%s\n' "$program" "$good" \
            "$([ "$bad" = 0 ] || echo ", $bad FAILED")" "$([ $took -lt 2 ] || echo "  ($took s)")"
        if [ "$bad" != 0 ]; then
            grep -A12 '^not ok ' "$log" | grep -v '^ok ' | head -60 | sed 's/^/    /'
            if [ $crashed = yes ]; then
                echo "    ended with status $status after $good of $plan tests:"
                tail -25 "$log" | sed 's/^/    | /'
            fi
            echo "    all of it: $log"
        fi
    } >"$log.said"
    cat "$log.said" # in one piece, as others write as well
    echo "$good $bad" >"$log.count"
}

if [ "$1" = --one ]; then
    run_one "$2"
    exit 0
fi

mkdir -p build/logs
for program in "$@"; do rm -f "$(log_of "$program").count"; done
export CMOCKA_MESSAGE_OUTPUT=TAP
unset MAKEFLAGS MFLAGS MAKELEVEL # a program that calls make starts afresh
jobs=$(getconf _NPROCESSORS_ONLN 2>/dev/null || echo 2)
for program in "$@"; do
    case $program in tests/wire/* | tests/deploy/full_*) ;; *) echo "$program" ;; esac
done | xargs -P "$jobs" -I '{}' sh tests/run.sh --one '{}'
for program in "$@"; do
    case $program in tests/wire/* | tests/deploy/full_*) run_one "$program" ;; esac
done
for program in "$@"; do cat "$(log_of "$program").count"; done 2>/dev/null | awk -v programs=$# '
    {passed += $1; failed += $2; n++}
    END {
        failed += programs - n # one that left no count
        printf "%d passed, %d failed\n", passed, failed
        exit failed > 0 || passed == 0
    }'
