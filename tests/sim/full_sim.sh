#!/bin/sh
# The long simulation of hand-rounded answers (tests/test_sim.c) for `make test-full`.
cd "$(dirname "$0")/../.." || exit 2
exec make -s sim
