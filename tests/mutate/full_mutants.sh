#!/bin/sh
# A sample of the mutants for `make test-full`; `make mutants` runs all.
cd "$(dirname "$0")/../.." || exit 2
MUTANTS=${MUTANTS:-120} exec node tests/mutate/mutate.mjs
