/* check.h: what cmocka has only for float. */
#ifndef TESTS_CHECK_H
#define TESTS_CHECK_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define TEST_PI 3.14159265358979323846

/* |actual − expected| <= tolerance, as doubles; the two are printed where they are not. */
static inline void near_at(double actual, double expected, double tolerance, const char *file,
                           int line)
{
    if (fabs(actual - expected) <= tolerance)
        return;
    print_error("%.17g is not %.17g to within %g\n", actual, expected, tolerance);
    _fail(file, line);
}
#define assert_near(actual, expected, tolerance)                                                   \
    near_at((actual), (expected), (tolerance), __FILE__, __LINE__)

#endif
