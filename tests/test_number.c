/* test_number.c: rounded decimals against two references: the C library's printf (exact, ties to
 * even: ISO/IEC 9899:2018, 7.21.6.1, and glibc's documentation), and schoolbook rounding of the
 * whole decimal expansion, digit by digit. */
#include <inttypes.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/arena.h"
#include "base/number.h"

static uint64_t random_state = 0x9e3779b97f4a7c15u;
static uint64_t random_bits(void) /* xorshift64* */
{
    random_state ^= random_state >> 12;
    random_state ^= random_state << 25;
    random_state ^= random_state >> 27;
    return random_state * 0x2545f4914f6cdd1du;
}

static double from_bits(uint64_t bits)
{
    double x;
    memcpy(&x, &bits, sizeof x);
    return x;
}

/* A number of every kind: any bits, ordinary sizes, short decimals, subnormals. */
static double random_double(void)
{
    double x;
    do {
        uint64_t r = random_bits();
        switch (r % 5) {
        case 0:
            x = from_bits(random_bits());
            break;
        case 1:
            x = (double)(int64_t)random_bits() * 0x1p-63 * pow(10, (double)((r >> 8) % 14) - 5);
            break;
        case 2:
            x = (double)((r >> 8) % 100000) / (double)((uint64_t)1 << (r >> 40) % 12);
            break;
        case 3:
            x = (double)((int64_t)random_bits() % 1000000) / 1000;
            break;
        default:
            x = from_bits(random_bits() & 0x800fffffffffffffu);
        }
    } while (!isfinite(x));
    return x;
}

/* Significant digits and exponent of a decimal text, trailing zeros dropped. */
struct parts {
    bool negative;
    char digits[64];
    int exponent; /* of the leading digit */
};

static struct parts parts_of(const char *text)
{
    struct parts p = {0};
    int position = 0, count = 0;
    bool after_point = false;
    if (*text == '-') {
        p.negative = true;
        text++;
    }
    for (; *text != '\0' && *text != 'e'; text++) {
        if (*text == '.') {
            after_point = true;
            continue;
        }
        assert_in_range(*text, '0', '9');
        if (after_point && count == 0)
            position--;
        if (count > 0 || *text != '0')
            p.digits[count++] = *text;
        if (!after_point && count > 1)
            position++;
    }
    p.exponent = position + (*text == 'e' ? atoi(text + 1) : 0);
    while (count > 0 && p.digits[count - 1] == '0')
        count--;
    p.digits[count] = '\0';
    return p;
}

static void assert_same_decimal(const char *ours, const char *reference)
{
    struct parts a = parts_of(ours), b = parts_of(reference);
    if (a.negative != b.negative || strcmp(a.digits, b.digits) != 0 ||
        (a.digits[0] != '\0' && a.exponent != b.exponent))
        fail_msg("wrote %s, reference %s", ours, reference);
}

static struct arena *arena;
static const char *json_text(double x)
{
    static struct buf b;
    if (b.arena == NULL)
        buf_init(&b, arena, 100);
    b.length = 0;
    number_put_json(&b, x);
    return buf_text(&b);
}

static void json_agrees_with_printf(void **state)
{
    (void)state;
    char reference[64];
    for (int i = 0; i < 1000000; i++) {
        double x = random_double();
        const char *ours = json_text(x);
        snprintf(reference, sizeof reference, "%.12g", x);
        if (x == 0)
            assert_string_equal(ours, "0");
        else
            assert_same_decimal(ours, reference);
    }
    for (int e = -323; e <= 308; e++)
        for (int d = 1; d < 100; d += 7) {
            snprintf(reference, sizeof reference, "%d.%de%d", d / 10, d % 10, e);
            double x = strtod(reference, NULL);
            if (x == 0 || !isfinite(x))
                continue;
            snprintf(reference, sizeof reference, "%.12g", -x);
            assert_same_decimal(json_text(-x), reference);
        }
}

static void json_ties_go_to_even(void **state)
{
    (void)state;
    assert_string_equal(json_text(217500000000.5), "217500000000");
    assert_string_equal(json_text(217500000001.5), "217500000002");
    assert_string_equal(json_text(-248200000002.5), "-248200000002");
    assert_string_equal(json_text(999999999999.5), "1000000000000");
    char reference[64];
    for (int i = 0; i < 100000; i++) { /* 12 digits and exactly one half of the last */
        double x = (double)(random_bits() % 900000000000u + 100000000000u) + 0.5;
        if (i % 3 == 1)
            x *= 10;
        snprintf(reference, sizeof reference, "%.12g", x);
        assert_same_decimal(json_text(x), reference);
    }
}

/* The layout is ECMAScript's: ECMA-262, Number::toString, steps 6 to 12. */
static void json_layout(void **state)
{
    (void)state;
    static const struct {
        double x;
        const char *text;
    } rows[] = {
        {0.0, "0"},
        {-0.0, "0"},
        {26, "26"},
        {-217.5, "-217.5"},
        {248.2, "248.2"},
        {1.0 / 3, "0.333333333333"},
        {-2.0 / 3, "-0.666666666667"},
        {0.1 + 0.2, "0.3"},
        {1e20, "100000000000000000000"},
        {123456789012345678.0, "123456789012000000"},
        {1e21, "1e+21"},
        {-2.5e22, "-2.5e+22"},
        {1e-6, "0.000001"},
        {1.25e-6, "0.00000125"},
        {1e-7, "1e-7"},
        {1.5e-7, "1.5e-7"},
        {9.9999999999999e-7, "0.000001"},
        {999999999999999999999.0, "1e+21"},
        {1e300, "1e+300"},
        {-1e-300, "-1e-300"},
        {5e-324, "4.94065645841e-324"},
        {1.7976931348623157e308, "1.79769313486e+308"},
        {100000, "100000"},
        {0.99999999999999, "1"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_string_equal(json_text(rows[i].x), rows[i].text);
}

/* The reference for figures and places: the whole expansion of a double (at most 1,075 decimals),
 * cut and rounded as at school: up from 5. */
static void school(double x, int figures, int places, struct parts *p)
{
    static char all[1500];
    snprintf(all, sizeof all, "%.1080f", fabs(x));
    char *point = strchr(all, '.');
    int before = (int)(point - all);
    memmove(point, point + 1, strlen(point)); /* digits only; `before` of them whole */
    int first = (int)strspn(all, "0");
    int keep = figures > 0 ? first + figures : before + places; /* digits of `all` kept */
    char digits[400] = "0";                                     /* one more in front for a carry */
    memcpy(digits + 1, all, (size_t)keep);
    digits[keep + 1] = '\0';
    if (all[keep] >= '5') {
        int i = keep;
        while (digits[i] == '9')
            digits[i--] = '0';
        digits[i]++;
    }
    int lead = (int)strspn(digits, "0");
    *p = (struct parts){.negative = x < 0, .exponent = before - lead};
    snprintf(p->digits, sizeof p->digits, "%s", digits + lead);
    size_t n = strlen(p->digits);
    while (n > 0 && p->digits[n - 1] == '0')
        p->digits[--n] = '\0';
}

static void figures_agree_with_school_rounding(void **state)
{
    (void)state;
    for (int i = 0; i < 30000; i++) {
        double x = random_double();
        if (x == 0 || fabs(x) > 1e250)
            continue;
        int figures = 1 + i % 12;
        struct number_text t = number_to_figures(x, figures, false);
        struct parts want, got = parts_of(t.digits);
        school(x, figures, 0, &want);
        if (got.exponent + t.exponent10 != want.exponent || strcmp(got.digits, want.digits) != 0 ||
            t.negative != want.negative)
            fail_msg("%.17g to %d figures: %s e%d", x, figures, t.digits, t.exponent10);
        /* Zeros at the end are kept: exactly `figures` digits from the first one on, unless whole
         * numbers are filled up. */
        size_t digits = 0;
        for (const char *c = t.digits + strspn(t.digits, "0."); *c != '\0'; c++)
            digits += *c != '.';
        if (strchr(t.digits, '.') != NULL)
            assert_int_equal(digits, figures);
    }
}

static void figures_by_hand(void **state)
{
    (void)state;
    static const struct {
        double x;
        int figures;
        bool more;
        const char *digits;
        int exponent10;
        bool negative;
    } rows[] = {
        {26, 3, false, "26.0", 0, false},
        {-26.04, 3, false, "26.0", 0, true},
        {0, 3, false, "0", 0, false},
        {-0.0, 3, true, "0", 0, false},
        {12345, 3, false, "12300", 0, false},
        {12345, 3, true, "12350", 0, false}, /* 1234.5 tens: the half goes up */
        {0.00123, 3, false, "0.00123", 0, false},
        {0.00123, 3, true, "0.001230", 0, false},
        {0.125, 2, false, "0.13", 0, false}, /* ties, exact in binary: away from zero */
        {0.375, 2, false, "0.38", 0, false},
        {-2.5, 1, false, "3", 0, true},
        {1234.5, 4, false, "1235", 0, false},
        {1.005, 3, false, "1.00", 0, false}, /* the double is 1.00499999999999989… */
        {9.996, 3, false, "10.0", 0, false},
        {9.996, 3, true, "10.0", 0, false}, /* the value leads with 9 */
        {1.9996, 3, true, "2.000", 0, false},
        {99.97, 3, false, "100", 0, false},
        {9999999, 3, false, "1.00", 7, false},
        {9994999, 3, false, "9990000", 0, false},
        {0.0001, 3, false, "0.000100", 0, false},
        {0.00009996, 3, false, "0.000100", 0, false},
        {0.00002175, 3, false, "2.18", -5, false}, /* 2.17500000000000000834e-5 */
        {6.02214076e23, 4, false, "6.022", 23, false},
        {-1.5e-300, 3, false, "1.50", -300, true},
        {217.5, 12, false, "217.500000000", 0, false},
        {0.99999999999999989, 3, true, "1.000", 0, false}, /* a 1 with the last bit off */
        {1.75, 12, true, "1.750000000000", 0, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct number_text t = number_to_figures(rows[i].x, rows[i].figures, rows[i].more);
        assert_string_equal(t.digits, rows[i].digits);
        assert_int_equal(t.exponent10, rows[i].exponent10);
        assert_int_equal(t.negative, rows[i].negative);
    }
}

static void places(void **state)
{
    (void)state;
    for (int i = 0; i < 30000; i++) {
        double x = random_double();
        if (fabs(x) >= 1e15)
            continue;
        int n = i % 13;
        struct number_text t = number_to_places(x, n);
        struct parts want, got = parts_of(t.digits);
        school(x, 0, n, &want);
        if (strcmp(got.digits, want.digits) != 0 ||
            (want.digits[0] != '\0' && got.exponent != want.exponent))
            fail_msg("%.17g to %d places: %s", x, n, t.digits);
        assert_int_equal(t.negative, want.digits[0] != '\0' && want.negative);
        assert_int_equal(t.exponent10, 0);
        const char *point = strchr(t.digits, '.');
        assert_int_equal(n == 0 ? point == NULL : strlen(point + 1) == (size_t)n, 1);
    }
    assert_string_equal(number_to_places(248.25, 1).digits, "248.3");
    assert_string_equal(number_to_places(-0.04, 1).digits, "0.0");
    assert_false(number_to_places(-0.04, 1).negative);
    assert_string_equal(number_to_places(0.5, 0).digits, "1");
    assert_string_equal(number_to_places(999999999999999.0, 12).digits,
                        "999999999999999.000000000000");
}

static void half_units(void **state)
{
    (void)state;
    assert_true(number_half_unit(26, 3) == 0.05);
    assert_true(number_half_unit(-217.5, 3) == 0.5);
    assert_true(number_half_unit(9.996, 3) == 0.005); /* the value leads with 9 */
    assert_true(number_half_unit(10, 3) == 0.05);
    assert_true(number_half_unit(12345, 3) == 50);
    assert_true(number_half_unit(0, 3) == 0);
    assert_true(number_half_unit(0.00123, 4) == 0.0000005);
    assert_true(number_half_unit(0.1, 1) == 0.05);
    assert_true(number_half_unit(3e30, 3) == 5e27);
    assert_true(fabs(number_half_unit(3e300, 3) / 5e297 - 1) < 1e-14);
    assert_true(fabs(number_half_unit(3e-300, 3) / 5e-303 - 1) < 1e-14);
    assert_true(number_half_unit(0.99999999999999989, 3) == 0.005);
    assert_int_equal(number_figures(1.9996, 3, true), 4);
    assert_int_equal(number_figures(9.996, 3, true), 3);
    assert_int_equal(number_figures(0.0123, 3, true), 4);
    assert_int_equal(number_figures(0.0123, 3, false), 3);
    assert_int_equal(number_figures(0, 3, true), 3);
    assert_int_equal(number_figures(1e200, 3, true), 4);
}

static int make_arena(void **state)
{
    (void)state;
    arena = arena_new(1 << 16);
    return arena == NULL;
}

static int free_arena(void **state)
{
    (void)state;
    arena_free(arena);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_agrees_with_printf),
        cmocka_unit_test(json_ties_go_to_even),
        cmocka_unit_test(json_layout),
        cmocka_unit_test(figures_agree_with_school_rounding),
        cmocka_unit_test(figures_by_hand),
        cmocka_unit_test(places),
        cmocka_unit_test(half_units),
    };
    return cmocka_run_group_tests(tests, make_arena, free_arena);
}
