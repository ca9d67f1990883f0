#!/bin/sh
# Two mistakes at once, and what follows from a student's own number, 2,000 a kind
# (tests/test_check_pairs.c, tests/test_check_follow.c), for `make test-full`.
cd "$(dirname "$0")/../.." || exit 2
make -s build/release/test_check_pairs build/release/test_check_follow || exit 2
CHECK_SIM=${CHECK_SIM:-2000} build/release/test_check_pairs || exit 1
CHECK_SIM=${CHECK_SIM:-2000} exec build/release/test_check_follow
