#!/bin/sh
# Trusses by hand against the solver, sixty times as many (tests/test_truss_order.c), for
# `make test-full`.
cd "$(dirname "$0")/../.." || exit 2
make -s build/asan/test_truss_order || exit 2
TEST_ROUNDS=60 exec build/asan/test_truss_order
