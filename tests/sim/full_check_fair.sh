#!/bin/sh
# Honest answers in every form, 600,000 of them (tests/test_check_fair.c), for `make test-full`.
cd "$(dirname "$0")/../.." || exit 2
make -s build/release/test_check_fair || exit 2
CHECK_FAIR=${CHECK_FAIR:-600000} exec build/release/test_check_fair
