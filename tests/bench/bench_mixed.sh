#!/bin/sh
# Mixed traffic beside nginx and the Node framework: CPU, one and two threads, latency at a fixed rate.
set -eu
cd "$(dirname "$0")/../.."
node tests/bench/mixed.mjs
