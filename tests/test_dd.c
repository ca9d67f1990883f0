/* Double-double against GNU MPFR at 300 bits (a general reference library). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>
#include <mpfr.h>

#include "random.h"
#include "vector/dd.h"

#define BITS 300

static struct dd random_dd(void)
{
    double hi = (random_unit() - 0.5) * pow(2, random_int(-40, 40));
    return dd_sum(hi, hi * (random_unit() - 0.5) * 0x1p-53);
}

static void set(mpfr_t r, struct dd x)
{
    mpfr_set_d(r, x.hi, MPFR_RNDN);
    mpfr_add_d(r, r, x.lo, MPFR_RNDN);
}

/* |x - exact| as a multiple of |exact| (or of 1 where absolute). */
static double error_of(struct dd x, mpfr_t exact, int absolute)
{
    mpfr_t d;
    mpfr_init2(d, BITS);
    set(d, x);
    mpfr_sub(d, d, exact, MPFR_RNDN);
    if (!absolute && !mpfr_zero_p(exact))
        mpfr_div(d, d, exact, MPFR_RNDN);
    double e = fabs(mpfr_get_d(d, MPFR_RNDN));
    mpfr_clear(d);
    return e;
}

static void arithmetic_is_within_its_bounds(void **state)
{
    (void)state;
    random_start("dd arithmetic", 2101);
    mpfr_t x, y, z;
    mpfr_inits2(BITS, x, y, z, (mpfr_ptr)NULL);
    double worst[4] = {0};
    for (int i = random_rounds(20000); i > 0; i--) {
        struct dd a = random_dd(), b = random_dd();
        if (i % 3 == 0) /* cancellation */
            b = dd_sum(-a.hi, a.lo * random_unit());
        set(x, a);
        set(y, b);
        mpfr_add(z, x, y, MPFR_RNDN);
        worst[0] = fmax(worst[0], error_of(dd_add(a, b), z, 0));
        mpfr_sub(z, x, y, MPFR_RNDN);
        worst[0] = fmax(worst[0], error_of(dd_sub(a, b), z, 0));
        mpfr_mul(z, x, y, MPFR_RNDN);
        worst[1] = fmax(worst[1], error_of(dd_mul(a, b), z, 0));
        mpfr_div(z, x, y, MPFR_RNDN);
        worst[2] = fmax(worst[2], error_of(dd_div(a, b), z, 0));
        if (a.hi < 0)
            a = dd_neg(a);
        mpfr_abs(x, x, MPFR_RNDN);
        mpfr_sqrt(z, x, MPFR_RNDN);
        worst[3] = fmax(worst[3], error_of(dd_sqrt(a), z, 0));
    }
    mpfr_clears(x, y, z, (mpfr_ptr)NULL);
    printf("worst: sum 2^%.1f product 2^%.1f quotient 2^%.1f root 2^%.1f\n", log2(worst[0]),
           log2(worst[1]), log2(worst[2]), log2(worst[3]));
    assert_true(worst[0] < 0x1p-103);
    assert_true(worst[1] < 0x1p-103);
    assert_true(worst[2] < 0x1p-101);
    assert_true(worst[3] < 0x1p-101);
}

static void decimals_are_read_to_31_digits(void **state)
{
    (void)state;
    random_start("dd decimals", 2102);
    mpfr_t z;
    mpfr_init2(z, BITS);
    double worst = 0;
    for (int i = random_rounds(10000); i > 0; i--) {
        char digits[31], text[48];
        int count = random_int(1, 30);
        for (int k = 0; k < count; k++)
            digits[k] = (char)('0' + random_int(k == 0, 9));
        digits[count] = 0;
        int exponent = i % 2 ? random_int(-30, 20) : random_int(-250, 270);
        snprintf(text, sizeof text, "-%se%d", digits, exponent);
        mpfr_set_str(z, text, 10, MPFR_RNDN);
        struct dd x = dd_decimal(1, digits, count, exponent);
        assert_true(x.hi == strtod(text, NULL));
        worst = fmax(worst, error_of(x, z, 0));
    }
    printf("worst decimal: 2^%.1f\n", log2(worst));
    assert_true(worst < 0x1p-98);
    /* 2^53 + 1 and a double's exact decimals lose nothing. */
    struct dd x = dd_decimal(0, "9007199254740993", 16, 0);
    assert_true(x.hi + x.lo == 9007199254740992 && (x.hi - 9007199254740992) + x.lo == 1);
    x = dd_decimal(0, "2175", 4, -1);
    assert_true(x.hi == 217.5 && x.lo == 0);
    assert_true(!isfinite(dd_decimal(0, "9", 1, 400).hi));
    assert_true(dd_decimal(0, "9", 1, -400).hi == 0);
    mpfr_clear(z);
}

static void sines_and_cosines_are_right_to_29_digits(void **state)
{
    (void)state;
    random_start("dd sines", 2103);
    mpfr_t a, pi, z;
    mpfr_inits2(BITS, a, pi, z, (mpfr_ptr)NULL);
    mpfr_const_pi(pi, MPFR_RNDN);
    double worst_degrees = 0, worst_radians = 0;
    for (int i = random_rounds(10000); i > 0; i--) {
        struct dd x = random_dd(), c, s;
        x.hi = fmod(x.hi, 1e6);
        x = i % 2 ? dd_sum(x.hi, x.lo) : dd_sum(random_int(-7200, 7200) / 4.0, 0);
        set(a, x);
        mpfr_mul(z, a, pi, MPFR_RNDN);
        mpfr_div_ui(a, z, 180, MPFR_RNDN);
        dd_cos_sin_degrees(x, &c, &s);
        mpfr_cos(z, a, MPFR_RNDN);
        worst_degrees = fmax(worst_degrees, error_of(c, z, 1) / fmax(1, fabs(x.hi) / 180));
        mpfr_sin(z, a, MPFR_RNDN);
        worst_degrees = fmax(worst_degrees, error_of(s, z, 1) / fmax(1, fabs(x.hi) / 180));
        set(a, x);
        dd_cos_sin_radians(x, &c, &s);
        mpfr_cos(z, a, MPFR_RNDN);
        worst_radians = fmax(worst_radians, error_of(c, z, 1) / fmax(1, fabs(x.hi)));
        mpfr_sin(z, a, MPFR_RNDN);
        worst_radians = fmax(worst_radians, error_of(s, z, 1) / fmax(1, fabs(x.hi)));
    }
    mpfr_clears(a, pi, z, (mpfr_ptr)NULL);
    printf("worst: degrees 2^%.1f radians 2^%.1f\n", log2(worst_degrees), log2(worst_radians));
    assert_true(worst_degrees < 0x1p-99);
    assert_true(worst_radians < 0x1p-99);
}

static void multiples_of_15_degrees_are_the_nearest_doubles(void **state)
{
    (void)state;
    mpfr_t a, z;
    mpfr_inits2(BITS, a, z, (mpfr_ptr)NULL);
    for (int k = -72; k <= 72; k++) {
        struct dd c, s;
        dd_cos_sin_degrees((struct dd){15.0 * k, 0}, &c, &s);
        mpfr_const_pi(a, MPFR_RNDN);
        mpfr_mul_si(a, a, k, MPFR_RNDN);
        mpfr_div_ui(a, a, 12, MPFR_RNDN);
        mpfr_cos(z, a, MPFR_RNDN);
        double cosine = mpfr_get_d(z, MPFR_RNDN);
        mpfr_sin(z, a, MPFR_RNDN);
        double sine = mpfr_get_d(z, MPFR_RNDN);
        assert_true(c.hi == (fabs(cosine) < 1e-80 ? 0 : cosine) && !(c.hi == 0 && signbit(c.hi)));
        assert_true(s.hi == (fabs(sine) < 1e-80 ? 0 : sine) && !(s.hi == 0 && signbit(s.hi)));
    }
    mpfr_clears(a, z, (mpfr_ptr)NULL);
    struct dd c, s;
    dd_cos_sin_degrees((struct dd){270, 0}, &c, &s);
    assert_true(c.hi == 0 && c.lo == 0 && s.hi == -1 && s.lo == 0);
    dd_cos_sin_degrees((struct dd){60, 0}, &c, &s);
    assert_true(c.hi == 0.5 && c.lo == 0);
    dd_cos_sin_degrees((struct dd){1e300, 0}, &c, &s);
    assert_true(isnan(c.hi) && isnan(s.hi));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arithmetic_is_within_its_bounds),
        cmocka_unit_test(decimals_are_read_to_31_digits),
        cmocka_unit_test(sines_and_cosines_are_right_to_29_digits),
        cmocka_unit_test(multiples_of_15_degrees_are_the_nearest_doubles),
    };
    return cmocka_run_group_tests_name("dd", tests, NULL, NULL);
}
