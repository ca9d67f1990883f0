#!/bin/sh
# The same wire tests against a build with the thread sanitizer, which aborts on a data race. A second
# signal leaves the threads as they are: that is no leak.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh
report=$(make build/tsan/tiptail 2>&1)
ok "the build with the thread sanitizer" $? "$(printf '%s\n' "$report" | grep -v '^tsan:')"
for test in http load raw signals busy; do
    report=$(PROGRAM=build/tsan/tiptail TSAN_OPTIONS=halt_on_error=1:atexit_sleep_ms=0:report_thread_leaks=0 node tests/wire/test_$test.mjs 2>&1)
    ok "test_$test.mjs finds no data race" $? "$(printf '%s\n' "$report" | grep -v '^ok' | head -60)"
done
tap_end
