#!/bin/sh
# Fuzzers for SECONDS_FUZZ in all, seeded with every case, example and JSON text of the tests. What
# they learn stays in build/fuzz/corpus, so that the next run goes on from there.
# Usage: sh tests/fuzz/run.sh PROGRAM...
cd "$(dirname "$0")/../.." || exit 2
seconds=$((${SECONDS_FUZZ:-60} / $#))
[ $seconds -gt 0 ] || seconds=1
passed=0 failed=0

# The seeds of one fuzzer. The first byte of fuzz_pipeline's chooses endpoint and representation.
seed() {
    find tests/cases tests/examples tests/data/json-parsing -name '*.json' -size -8k | sort |
        while read -r file; do
            name=$(echo "$file" | tr '/' '-')
            case $1 in
            *fuzz_pipeline)
                case $file in tests/data/*) continue ;; esac
                for first in 0 4 8 9 13 15; do
                    { printf "\\$(printf %03o $first)"; cat "$file"; } >"$2/$first-$name"
                done
                ;;
            *) cp "$file" "$2/$name" ;;
            esac
        done
    case $1 in
    *fuzz_pipeline)
        # Bad answers one by one: 15 is check, in JSON.
        awk -F '\t' -v to="$2" '
            /^#/ { next }
            $1 == "=" { problem = $3; next }
            { printf "\017{\"problem\": %s, \"answer\": %s}", problem, $3 > (to "/15-hostile-" NR) }
            { close(to "/15-hostile-" NR) }' tests/data/hostile-answers.txt
        ;;
    esac
}

for program in "$@"; do
    name=$(basename "$program")
    corpus=build/fuzz/corpus/$name
    log=build/fuzz/$name.log
    [ -d "$corpus" ] || { mkdir -p "$corpus" && seed "$program" "$corpus"; }
    [ -f tests/fuzz/statics.dict ] && dictionary=-dict=tests/fuzz/statics.dict || dictionary=
    if "$program" -max_total_time=$seconds -timeout=10 -rss_limit_mb=2048 -max_len=8000 \
        -artifact_prefix="build/fuzz/$name-" $dictionary "$corpus" >"$log" 2>&1; then
        passed=$((passed + 1))
        printf '%-20s %s\n' "$name" "$(grep '^Done' "$log")"
    else
        failed=$((failed + 1))
        printf '%-20s FAILED, all of it: %s\n' "$name" "$log"
        grep -m1 -B12 -A25 'ERROR: \|runtime error' "$log" | cut -c1-300 | sed 's/^/    /'
        grep 'Test unit written' "$log" | sed 's/^/    /'
    fi
done
echo "$passed passed, $failed failed"
[ $failed = 0 ] && [ $passed -gt 0 ]
