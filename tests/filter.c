/* filter.c: linked into every test program; TEST="*pattern*" runs the tests of that name only. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

__attribute__((constructor)) static void filter_from_environment(void)
{
    const char *pattern = getenv("TEST");
    if (pattern && *pattern)
        cmocka_set_test_filter(pattern);
}
