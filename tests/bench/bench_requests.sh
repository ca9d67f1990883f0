#!/bin/sh
# CPU per request beside three others, memory after a million requests, time until ready.
# BENCH_ROUNDS (default 7), BENCH_SECONDS of each run (1), BENCH_REQUESTS for the memory (1000000).
set -eu
cd "$(dirname "$0")/../.."
mkdir -p build/bench
for program in fixed ready; do
    ${CC:-gcc} -std=c17 -D_POSIX_C_SOURCE=200809L -O2 -Wall -Wextra -o build/bench/$program \
        tests/bench/$program.c -lmicrohttpd
done
exec node tests/bench/bench.mjs
