#!/bin/sh
# The equations of trusses of 10 to 10,000 joints, beside two sparse solvers in wide use.
# BENCH_ROUNDS (default 7).
set -eu
cd "$(dirname "$0")/../.."
mkdir -p build/bench
libraries=$(pkg-config --libs libmicrohttpd libcjson libpcre2-8)
${CC:-gcc} -std=c17 -D_POSIX_C_SOURCE=200809L -O2 -Wall -Wextra -Isrc -Itests -o build/bench/trusses \
    tests/bench/trusses.c build/release/libtiptail.a -lumfpack -lklu $libraries -pthread -lm
OPENBLAS_NUM_THREADS=1 build/bench/trusses "${BENCH_ROUNDS:-7}"
