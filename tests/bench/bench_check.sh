#!/bin/sh
# POST /v1/check: CPU of one call and of a class, without HTTP, and what naming a mistake costs.
set -eu
cd "$(dirname "$0")/../.."
mkdir -p build/bench
make -s build/release/liboracle.a build/release/libtiptail.a
libraries=$(pkg-config --libs libmicrohttpd libcjson libpcre2-8)
${CC:-gcc} -std=c17 -D_POSIX_C_SOURCE=200809L -O2 -Wall -Wextra -Isrc -Itests -o build/bench/checks \
    tests/bench/checks.c build/release/liboracle.a build/release/libtiptail.a $libraries -pthread -lm
build/bench/checks
