#!/bin/sh
# CPU per request beside three others, memory after a million requests, time until ready, and where
# the time of a request goes. BENCH_ROUNDS (default 7), BENCH_SECONDS of each run (1),
# BENCH_REQUESTS for the memory (1000000).
set -eu
cd "$(dirname "$0")/../.."
mkdir -p build/bench
compile="${CC:-gcc} -std=c17 -D_POSIX_C_SOURCE=200809L -O2 -Wall -Wextra -Isrc"
libraries=$(pkg-config --libs libmicrohttpd libcjson libpcre2-8)
$compile -o build/bench/fixed tests/bench/fixed.c $libraries
$compile -o build/bench/ready tests/bench/ready.c
$compile -o build/bench/stages tests/bench/stages.c build/release/libtiptail.a $libraries -pthread -lm
node tests/bench/bench.mjs
