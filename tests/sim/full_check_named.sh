#!/bin/sh
# Mistakes and how they are named, 5,000 a kind (tests/test_check_sim.c), for `make test-full`.
cd "$(dirname "$0")/../.." || exit 2
make -s build/release/test_check_sim || exit 2
CHECK_SIM=${CHECK_SIM:-5000} exec build/release/test_check_sim
