#!/bin/sh
# Runs test programs that speak TAP, one line for each, and adds up: "N passed, N failed".
# What a machine cannot run ("# SKIP reason") is neither: it is printed and counted by itself.
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
    skipped=$(grep -c '^ok .*# SKIP' "$log")
    good=$(($(grep -c '^ok ' "$log") - skipped))
    bad=$(grep -c '^not ok ' "$log")
    # A program that stopped early or ran nothing has failed, whatever it printed.
    plan=$(sed -n 's/^1\.\.\([0-9]*\).*/\1/p' "$log" | awk '{s += $1} END {print s + 0}')
    crashed=no
    if [ "$((good + bad + skipped))" = 0 ] || [ "$plan" != "$((good + bad + skipped))" ] || { [ $status != 0 ] && [ "$bad" = 0 ]; }; then
        crashed=yes
        bad=$((bad + 1))
    fi
    {
        printf '%-44s %5d passed%s%s%s\n' "$program" "$good" \
            "$([ "$bad" = 0 ] || echo ", $bad FAILED")" \
            "$([ "$skipped" = 0 ] || echo ", $skipped SKIPPED")" "$([ $took -lt 2 ] || echo "  ($took s)")"
        sed -n 's/^ok .*# SKIP/    skipped:/p' "$log"
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
    echo "$good $bad $skipped" >"$log.count"
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
    {passed += $1; failed += $2; skipped += $3; n++}
    END {
        failed += programs - n # one that left no count
        if (skipped) printf "%d skipped\n", skipped
        printf "%d passed, %d failed\n", passed, failed
        exit failed > 0 || passed + skipped == 0
    }'
