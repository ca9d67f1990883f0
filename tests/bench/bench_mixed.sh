#!/bin/sh
# Mixed traffic: what a core serves, one and two threads, latency at a fixed rate.
set -eu
cd "$(dirname "$0")/../.."
node tests/bench/mixed.mjs
