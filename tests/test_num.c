/* Numbers: zero is decided exactly, values are right to their bounds. Checked against exact
 * rational arithmetic (GNU MP) and against 300-bit arithmetic (GNU MPFR), general reference
 * libraries. */
#include <string.h>

#include <gmp.h>
#include <mpfr.h>

#include "check.h"
#include "random.h"
#include "vector/num.h"

#define BITS 300

static const uint64_t seeds[] = {1, 217, 20482};
enum { FIELDS = 3 };
static struct field *fields[FIELDS];
static const struct field *f;

static int fields_made(void **state)
{
    (void)state;
    for (int i = 0; i < FIELDS; i++)
        fields[i] = field_new(seeds[i]);
    f = fields[0];
    return 0;
}

static int fields_freed(void **state)
{
    (void)state;
    for (int i = 0; i < FIELDS; i++)
        field_free(fields[i]);
    return 0;
}

#define FOR_EACH_FIELD for (int field = 0; f = fields[field % FIELDS], field < FIELDS; field++)

static struct num dec(const char *text)
{
    struct num x;
    assert_true(num_decimal(f, text, strlen(text), &x));
    return x;
}

static struct num add(struct num x, struct num y) { return num_add(f, x, y); }
static struct num sub(struct num x, struct num y) { return num_sub(f, x, y); }
static struct num mul(struct num x, struct num y) { return num_mul(f, x, y); }
static struct num over(struct num x, struct num y) { return num_div(f, x, y); }
static struct num whole(int64_t n) { return num_integer(f, n); }
static struct num root(struct num x) { return num_sqrt(f, x, 77); }
static struct num root_of(int64_t n) { return root(whole(n)); }
static struct num cosine(const char *degrees)
{
    struct num c, s;
    num_cos_sin_degrees(f, dec(degrees), &c, &s);
    return c;
}
static struct num sine(const char *degrees)
{
    struct num c, s;
    num_cos_sin_degrees(f, dec(degrees), &c, &s);
    return s;
}

static void is_exactly_zero(struct num x)
{
    assert_int_equal(num_zero(x), ZERO_EXACT);
    assert_true(x.value == 0 && !signbit(x.value) && x.low == 0);
    assert_false(x.generic || x.unlucky);
}

static void is_not_zero(struct num x)
{
    assert_int_equal(num_zero(x), ZERO_NO);
    assert_false(x.unlucky);
}

static void is_rational(struct num x, int64_t n, int64_t d)
{
    int64_t xn, xd;
    assert_true(num_is_rational(x, &xn, &xd));
    assert_true(xn == n && xd == d);
}

static void decimals_are_exact(void **state)
{
    (void)state;
    is_rational(dec("12.5"), 25, 2);
    is_rational(dec("-217.50"), -435, 2);
    is_rational(dec("2.5e3"), 2500, 1);
    is_rational(dec("25E-4"), 1, 400);
    is_rational(dec("0.0"), 0, 1);
    is_rational(dec("-0"), 0, 1);
    assert_true(dec("-0").value == 0 && !signbit(dec("-0").value));
    assert_true(dec("0.1").value == 0.1 && dec("248.2").value == 248.2);
    assert_true(dec("9007199254740993").value == 9007199254740992.0);
    assert_true(dec("9007199254740993").low == 1);
    is_exactly_zero(sub(dec("1e5"), dec("100000")));
    is_exactly_zero(
        sub(dec("123456789012345678901234567890e-7"), dec("12345678901234567890123.4567890")));
    static const char *const refused[] = {"1234567890123456789012345678901",
                                          "1.000000000000000000000000000001",
                                          "1e401",
                                          "1e-401",
                                          "1e309",
                                          "1e-330",
                                          "",
                                          "-",
                                          ".5",
                                          "1.",
                                          "1e",
                                          "1e+",
                                          "1x",
                                          "0x10",
                                          "1 ",
                                          "--1",
                                          "1.e5"};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct num x = {.value = 42};
        assert_false(num_decimal(f, refused[i], strlen(refused[i]), &x));
        assert_true(x.value == 42);
    }
    assert_true(dec("1e308").value == 1e308 && dec("0e999").value == 0);
    assert_true(dec("1e-290").value == 1e-290);
}

static void long_decimals_are_rounded_numbers(void **state)
{
    (void)state;
    assert_true(dec("217.345678").slack == 0);
    assert_true(dec("217.3456789").slack == 0.5e-7);
    assert_true(dec("21734567800").slack == 0); /* nine digits and zeros */
    assert_true(dec("2.1734567890").slack == 0.5e-10);
    assert_true(dec("-2.173456789e6").slack == 0.5e-3);
    /* sqrt 3 as programs print it is off by 0.9e-16, more than half of its last digit. */
    struct num x = sub(dec("1.7320508075688772"), root_of(3));
    assert_int_equal(num_zero(x), ZERO_WITHIN_DIGITS);
    /* Two links from (1, sqrt 3) as typed: at 60 degrees, and along the line to the origin. */
    struct num cross = sub(mul(cosine("60"), dec("1.7320508075688772")), sine("60"));
    assert_int_equal(num_zero(cross), ZERO_WITHIN_DIGITS);
    is_not_zero(sub(dec("1.732050808"), root_of(2)));
    is_not_zero(sub(dec("1.73205081"), root_of(3))); /* nine digits: exact, and not sqrt 3 */
    assert_int_equal(num_zero(sub(dec("1.732050808"), root_of(3))), ZERO_WITHIN_DIGITS);
    /* First order: slack of products, quotients, roots, cosines. */
    struct num a = dec("3.000000000"), b = dec("7.000000000");
    assert_near(mul(a, b).slack, 10 * 0.5e-9, 1e-17);
    assert_near(over(a, b).slack, 0.5e-9 / 7 + 0.5e-9 * 3 / 49, 1e-17);
    assert_near(root(a).slack, 0.5e-9 / 2 / sqrt(3), 0.3e-9);
    assert_true(root(a).slack >= 0.5e-9 / 2 / sqrt(3));
    assert_near(cosine("30.00000000").slack, 0.5e-8 * TEST_PI / 180 / 2, 1e-18);
    is_exactly_zero(sub(a, dec("3")));
}

static void slopes_and_angles_agree(void **state)
{
    (void)state;
    FOR_EACH_FIELD
    {
        /* 45 degrees and slope 1:1 */
        is_exactly_zero(sub(cosine("45"), over(whole(1), root_of(2))));
        is_exactly_zero(
            sub(mul(whole(26), sine("45")), mul(whole(26), over(whole(1), root_of(2)))));
        /* 60 degrees and (1, sqrt 3) */
        is_exactly_zero(sub(sine("60"), over(root_of(3), whole(2))));
        is_exactly_zero(sub(over(sine("60"), cosine("60")), root_of(3)));
        /* 36 degrees and sqrt 5 */
        is_exactly_zero(sub(mul(whole(4), cosine("36")), add(whole(1), root_of(5))));
        is_exactly_zero(sub(mul(whole(4), sine("18")), sub(root_of(5), whole(1))));
        /* the false friends are not zero */
        is_not_zero(add(cosine("45"), over(whole(1), root_of(2))));
        is_not_zero(sub(cosine("45.0001"), over(whole(1), root_of(2))));
        is_not_zero(sub(cosine("36.87"), dec("0.8")));
        is_not_zero(sub(sine("22.6199"), over(whole(5), whole(13))));
    }
}

static void multiples_of_15_degrees(void **state)
{
    (void)state;
    FOR_EACH_FIELD
    {
        /* 4 sin(15 k), k = 0 … 6, from roots */
        struct num table[7] = {whole(0),
                               sub(root_of(6), root_of(2)),
                               whole(2),
                               mul(whole(2), root_of(2)),
                               mul(whole(2), root_of(3)),
                               add(root_of(6), root_of(2)),
                               whole(4)};
        for (int k = -48; k <= 48; k++) {
            struct num c, s, c0, s0;
            num_cos_sin_degrees(f, whole(15 * k), &c, &s);
            int m = ((k % 24) + 24) % 24;
            s0 = table[m % 12 <= 6 ? m % 12 : 12 - m % 12];
            int n = (m + 6) % 24;
            c0 = table[n % 12 <= 6 ? n % 12 : 12 - n % 12];
            if (m >= 12)
                s0 = num_neg(f, s0);
            if (n >= 12)
                c0 = num_neg(f, c0);
            is_exactly_zero(sub(mul(whole(4), s), s0));
            is_exactly_zero(sub(mul(whole(4), c), c0));
            is_exactly_zero(sub(add(mul(c, c), mul(s, s)), whole(1)));
        }
    }
    assert_true(cosine("60").value == 0.5 && sine("30").value == 0.5 && sine("330").value == -0.5);
    assert_true(cosine("270").value == 0 && !signbit(cosine("270").value));
    assert_true(sine("-180").value == 0 && cosine("540").value == -1);
    assert_true(sine("45").value == cosine("45").value && sine("45").value == sqrt(0.5));
    assert_true(cosine("30").value == sine("60").value);
    is_rational(cosine("60"), 1, 2);
    is_rational(sine("-150"), -1, 2);
    is_rational(cosine("180"), -1, 1);
    is_rational(sine("720"), 0, 1);
    assert_true(cosine("7200000000000045").value == cosine("45").value);
}

static void roots_multiply(void **state)
{
    (void)state;
    FOR_EACH_FIELD
    {
        is_exactly_zero(sub(root_of(219), mul(root_of(3), root_of(73))));
        is_not_zero(add(root_of(219), mul(root_of(3), root_of(73))));
        is_not_zero(sub(root_of(219), add(root_of(150), dec("2.5511"))));
        is_exactly_zero(sub(root(dec("0.0219")), over(mul(root_of(3), root_of(73)), whole(100))));
        int pairs = 0;
        for (int m = 1; m <= 60; m++)
            for (int n = m + 1; n <= 60; n++, pairs++) {
                is_exactly_zero(sub(mul(root_of(m), root_of(n)), root_of(m * n)));
                is_not_zero(add(mul(root_of(m), root_of(n)), root_of(m * n)));
                is_not_zero(sub(add(root_of(m), root_of(n)), root_of(m + n)));
                is_not_zero(sub(root_of(m), root_of(n)));
            }
        assert_int_equal(pairs, 1770);
        /* Sums of roots that agree to many digits: sqrt 10 + sqrt 11 against sqrt 5 + sqrt 18. */
        is_not_zero(sub(add(root_of(10), root_of(11)), add(root_of(5), root_of(18))));
        /* A root of something that has become rational by way of roots. */
        struct num x = mul(cosine("45"), dec("10"));
        is_rational(root(add(mul(x, x), mul(x, x))), 10, 1);
        x = root(add(mul(mul(cosine("30"), cosine("30")), dec("7.3")), dec("0.01")));
        assert_false(x.generic);
        is_exactly_zero(sub(mul(x, x), dec("5.485")));
        /* A nested root is generic: its square is not known to be what is under it. */
        x = root(add(whole(1), root_of(2)));
        assert_true(x.generic);
        assert_int_equal(num_zero(sub(mul(x, x), add(whole(1), root_of(2)))), ZERO_WITHIN_ROUNDING);
        is_exactly_zero(sub(x, x));
        is_exactly_zero(sub(over(mul(x, dec("3.7")), x), dec("3.7")));
        is_not_zero(sub(x, dec("1.5537739")));
    }
    is_rational(root(dec("6.25")), 5, 2);
    is_rational(root(dec("676")), 26, 1);
    is_exactly_zero(root(whole(0)));
    assert_true(root(dec("2")).value == sqrt(2.0));
}

static void pythagorean_triangles(void **state)
{
    (void)state;
    static const int triangles[][3] = {
        {3, 4, 5}, {5, 12, 13}, {8, 15, 17}, {7, 24, 25}, {20, 21, 29}};
    FOR_EACH_FIELD
    {
        for (size_t i = 0; i < sizeof triangles / sizeof *triangles; i++) {
            struct num x = whole(triangles[i][0]), y = whole(triangles[i][1]);
            struct num r = root(add(mul(x, x), mul(y, y)));
            is_rational(r, triangles[i][2], 1);
            struct num ux = over(x, r), uy = over(y, r), F = dec("217.5");
            is_exactly_zero(sub(add(mul(ux, ux), mul(uy, uy)), whole(1)));
            /* F back from its components */
            struct num Fx = mul(F, ux), Fy = mul(F, uy);
            is_exactly_zero(sub(root(add(mul(Fx, Fx), mul(Fy, Fy))), F));
        }
        /* u·u = 1 along (2, -1, 2.5), length sqrt 11.25 = 1.5 sqrt 5 */
        struct num v[3] = {whole(2), whole(-1), dec("2.5")}, square = whole(0), one = whole(0);
        for (int i = 0; i < 3; i++)
            square = add(square, mul(v[i], v[i]));
        for (int i = 0; i < 3; i++) {
            struct num u = over(v[i], root(square));
            one = add(one, mul(u, u));
        }
        is_exactly_zero(sub(one, whole(1)));
        is_exactly_zero(sub(root(square), mul(dec("1.5"), root_of(5))));
    }
}

/* Heron: 16 A^2 = (a+b+c)(−a+b+c)(a−b+c)(a+b−c) with A from the cross product, for corners on a
 * grid; Ptolemy: ac + bd = ef for four points of a circle. Sides are roots. */
static void heron_and_ptolemy(void **state)
{
    (void)state;
    random_start("Heron, Ptolemy", 2301);
    FOR_EACH_FIELD
    {
        for (int i = random_rounds(60); i > 0; i--) {
            struct num p[3][2], side[3];
            for (int k = 0; k < 6; k++)
                p[k / 2][k % 2] = over(whole(random_int(-40, 40)), whole(4));
            for (int k = 0; k < 3; k++) {
                struct num dx = sub(p[k][0], p[(k + 1) % 3][0]),
                           dy = sub(p[k][1], p[(k + 1) % 3][1]);
                side[k] = root(add(mul(dx, dx), mul(dy, dy)));
            }
            struct num cross = sub(mul(sub(p[1][0], p[0][0]), sub(p[2][1], p[0][1])),
                                   mul(sub(p[2][0], p[0][0]), sub(p[1][1], p[0][1])));
            struct num product = add(add(side[0], side[1]), side[2]);
            for (int k = 0; k < 3; k++)
                product = mul(product, sub(add(side[(k + 1) % 3], side[(k + 2) % 3]), side[k]));
            struct num square = mul(whole(4), mul(cross, cross)); /* cross = 2 A */
            is_exactly_zero(sub(product, square));
            is_not_zero(sub(product, add(square, dec("1e-12"))));
        }
        for (int i = random_rounds(60); i > 0; i--) {
            int at[4] = {random_int(0, 899999)};
            for (int k = 1; k < 4; k++)
                at[k] = at[k - 1] + random_int(1, 899999);
            struct num x[4], y[4], chord[4][4];
            for (int k = 0; k < 4; k++)
                num_cos_sin_degrees(f, over(whole(at[k]), whole(10000)), &x[k], &y[k]);
            for (int k = 0; k < 4; k++)
                for (int m = k + 1; m < 4; m++) { /* 2 sin of half the arc */
                    struct num c;
                    num_cos_sin_degrees(f, over(whole(at[m] - at[k]), whole(20000)), &c,
                                        &chord[k][m]);
                    struct num dx = sub(x[k], x[m]), dy = sub(y[k], y[m]);
                    is_exactly_zero(sub(mul(whole(4), mul(chord[k][m], chord[k][m])),
                                        add(mul(dx, dx), mul(dy, dy))));
                }
            struct num opposite = add(mul(chord[0][1], chord[2][3]), mul(chord[1][2], chord[0][3]));
            is_exactly_zero(sub(opposite, mul(chord[0][2], chord[1][3])));
            is_not_zero(sub(opposite, mul(chord[0][2], add(chord[1][3], dec("1e-9")))));
        }
    }
}

static void forces_cancel(void **state)
{
    (void)state;
    FOR_EACH_FIELD
    {
        /* 22.62 degrees twice, and as its opposite */
        struct num F = dec("26"), c, s, c2, s2;
        num_cos_sin_degrees(f, dec("22.62"), &c, &s);
        num_cos_sin_degrees(f, dec("202.62"), &c2, &s2);
        is_exactly_zero(sub(mul(F, c), mul(F, cosine("22.620"))));
        is_exactly_zero(add(mul(F, c), mul(F, c2)));
        is_exactly_zero(add(mul(F, s), mul(F, s2)));
        num_cos_sin_degrees(f, dec("-22.62"), &c2, &s2);
        is_exactly_zero(sub(c, c2));
        is_exactly_zero(add(s, s2));
        /* three equal forces 120 degrees apart, turned by 17.3871 degrees */
        struct num x = whole(0), y = whole(0);
        for (int k = 0; k < 3; k++) {
            num_cos_sin_degrees(f, add(dec("17.3871"), whole(120 * k)), &c, &s);
            x = add(x, mul(dec("4.75"), c));
            y = add(y, mul(dec("4.75"), s));
        }
        is_exactly_zero(x);
        is_exactly_zero(y);
        /* five equal forces 72 degrees apart */
        x = whole(0);
        for (int k = 0; k < 5; k++) {
            num_cos_sin_degrees(f, add(dec("248.2"), whole(72 * k)), &c, &s);
            x = add(x, c);
        }
        is_exactly_zero(x);
        /* The double sum is 5.6e-17, the true one 0; and the reverse. */
        is_exactly_zero(sub(add(dec("0.1"), dec("0.2")), dec("0.3")));
        x = sub(add(dec("1"), dec("1e-20")), dec("1"));
        is_not_zero(x);
        assert_true(x.value == 1e-20);
        x = sub(add(dec("1e40"), dec("1e-40")), dec("1e40"));
        assert_int_equal(num_zero(x), ZERO_UNSETTLED);
        /* half-steps for bisectors, and an angle finer than the step */
        num_cos_sin_degrees(f, over(add(dec("22.6199"), dec("0")), whole(2)), &c, &s);
        is_exactly_zero(sub(sub(mul(c, c), mul(s, s)), cosine("22.6199")));
        num_cos_sin_degrees(f, dec("22.61986"), &c, &s);
        num_cos_sin_degrees(f, dec("202.61986"), &c2, &s2);
        assert_true(c.generic && s.generic);
        is_exactly_zero(add(c, c2));
        is_exactly_zero(sub(add(mul(c, c), mul(s, s)), whole(1)));
        num_cos_sin_degrees(f, dec("-22.61986"), &c2, &s2);
        is_exactly_zero(add(s, s2));
        num_cos_sin_degrees(f, over(whole(100), whole(3)), &c, &s); /* a third of 100 degrees */
        assert_true(c.generic);
        x = sub(sub(mul(whole(4), mul(c, mul(c, c))), mul(whole(3), c)), cosine("100"));
        assert_int_equal(num_zero(x), ZERO_WITHIN_ROUNDING);
        /* an angle that is no rational number */
        num_cos_sin_degrees(f, mul(whole(20), root_of(2)), &c, &s);
        num_cos_sin_degrees(f, mul(whole(-20), root_of(2)), &c2, &s2);
        is_exactly_zero(sub(c, c2));
        is_exactly_zero(add(s, s2));
        assert_near(c.value, cos(20 * sqrt(2) * TEST_PI / 180), 1e-15);
    }
}

static void radians_are_exact(void **state)
{
    (void)state;
    FOR_EACH_FIELD
    {
        struct num c, s, c2, s2;
        num_cos_sin_radians(f, dec("0.7854"), 4, &c, &s);
        num_cos_sin_radians(f, dec("1.5708"), 4, &c2, &s2);
        assert_false(c.generic);
        is_exactly_zero(sub(sub(mul(c, c), mul(s, s)), c2));
        is_exactly_zero(sub(mul(whole(2), mul(c, s)), s2));
        is_not_zero(sub(c, s));
        is_not_zero(c2);
        assert_near(s.value, sin(0.7854), 1e-16);
        num_cos_sin_radians(f, dec("-0.7854"), 4, &c2, &s2);
        is_exactly_zero(add(s, s2));
        num_cos_sin_radians(f, dec("0"), 4, &c, &s);
        is_rational(c, 1, 1);
        is_exactly_zero(s);
        num_cos_sin_radians(f, dec("0.78541"), 4, &c, &s);
        assert_true(c.generic);
        num_cos_sin_radians(f, dec("1.5707963267948966"), 16, &c, &s);
        assert_int_equal(num_zero(c), ZERO_WITHIN_DIGITS); /* pi/2 as programs print it */
    }
}

static void other_cases(void **state)
{
    (void)state;
    struct num x = over(whole(5), whole(0));
    assert_true(isnan(x.value));
    assert_int_equal(num_zero(x), ZERO_WITHIN_ROUNDING);
    x = mul(dec("1e200"), dec("1e200"));
    assert_true(!isfinite(x.value));
    assert_true(num_zero(x) != ZERO_NO);
    is_rational(num_abs(f, dec("-3.75")), 15, 4);
    is_rational(num_rational(f, 6, -4), -3, 2);
    x = num_generic(f, 9, 3.14159265358979, 1e-14);
    is_exactly_zero(sub(mul(x, whole(2)), add(x, x)));
    assert_int_equal(num_zero(sub(x, dec("3.14159265"))), ZERO_NO);
    assert_int_equal(num_zero(sub(x, dec("3.14159265358979"))), ZERO_WITHIN_DIGITS);
    /* A residue of 0 beside a value that is not: the field was unlucky, and it shows. */
    struct num y = dec("3.5");
    y.residue = (struct residue){0, 0};
    assert_true(add(y, whole(0)).unlucky);
    assert_true(over(whole(1), y).unlucky);
    /* Fractions that outgrow 63 bits are given up, never wrong. */
    x = whole(1);
    struct num product = whole(1);
    for (int64_t k = 1; k < 60; k++) {
        x = over(x, whole(2 * k + 1));
        product = mul(product, whole(2 * k + 1));
    }
    is_exactly_zero(sub(mul(x, product), whole(1)));
    x = sub(num_rational(f, INT64_MAX, 3), num_rational(f, INT64_MAX - 1, 3));
    is_rational(x, 1, 3);
    x = whole(INT64_MIN);
    is_exactly_zero(add(x, add(whole(INT64_MAX), whole(1))));
}

/* ---- values against MPFR ---- */

struct twin {
    struct num x;
    mpfr_t exact;
};

enum { POOL = 40 };

static void values_are_within_their_bounds(void **state)
{
    (void)state;
    random_start("bounds", 2302);
    struct twin pool[POOL];
    mpfr_t t, pi;
    mpfr_inits2(BITS, t, pi, (mpfr_ptr)NULL);
    mpfr_const_pi(pi, MPFR_RNDN);
    for (int i = 0; i < POOL; i++)
        mpfr_init2(pool[i].exact, BITS);
    double worst = 0;
    int settled = 0;
    for (int round = random_rounds(300); round > 0; round--) {
        for (int i = 0; i < POOL; i++) {
            const struct twin *a = &pool[i > 0 ? random_int(0, i - 1) : 0];
            const struct twin *b = &pool[i > 0 ? random_int(0, i - 1) : 0];
            struct twin *c = &pool[i];
            char text[40];
            int op = i < 8 ? 0 : random_int(1, 6);
            if (op == 4 && num_zero(b->x) != ZERO_NO)
                op = 1;
            if (op == 5 && !(a->x.value > 0))
                op = 2;
            switch (op) {
            case 0:
                snprintf(text, sizeof text, "%d.%d", random_int(-300, 300), random_int(0, 99999));
                c->x = dec(text);
                mpfr_set_str(c->exact, text, 10, MPFR_RNDN);
                break;
            case 1:
                c->x = add(a->x, b->x);
                mpfr_add(c->exact, a->exact, b->exact, MPFR_RNDN);
                break;
            case 2:
                c->x = sub(a->x, b->x);
                mpfr_sub(c->exact, a->exact, b->exact, MPFR_RNDN);
                break;
            case 3:
                c->x = mul(a->x, b->x);
                mpfr_mul(c->exact, a->exact, b->exact, MPFR_RNDN);
                break;
            case 4:
                c->x = over(a->x, b->x);
                mpfr_div(c->exact, a->exact, b->exact, MPFR_RNDN);
                break;
            case 5:
                c->x = num_sqrt(f, a->x, (uint64_t)(round * POOL + i)); /* one element a node */
                mpfr_sqrt(c->exact, a->exact, MPFR_RNDN);
                break;
            default: {
                int n = random_int(-7200000, 7200000), d = random_int(0, 3) ? 10000 : 70000;
                struct num cos, sin;
                num_cos_sin_degrees(f, num_rational(f, n, d), &cos, &sin);
                mpfr_mul_si(t, pi, n, MPFR_RNDN);
                mpfr_div_si(t, t, d * 180, MPFR_RNDN);
                c->x = n % 2 ? cos : sin;
                if (n % 2)
                    mpfr_cos(c->exact, t, MPFR_RNDN);
                else
                    mpfr_sin(c->exact, t, MPFR_RNDN);
            }
            }
            if (!isfinite(c->x.value) || fabs(c->x.value) > 1e12 ||
                (c->x.value != 0 && fabs(c->x.value) < 1e-12)) {
                c->x = whole(3);
                mpfr_set_ui(c->exact, 3, MPFR_RNDN);
            }
            mpfr_sub_d(t, c->exact, c->x.value, MPFR_RNDN);
            mpfr_sub_d(t, t, c->x.low, MPFR_RNDN);
            double error = fabs(mpfr_get_d(t, MPFR_RNDN));
            /* 300 bits are not exact either. */
            double room = fabs(c->x.value) * 1e-60 + 1e-75;
            if (num_zero(c->x) == ZERO_EXACT)
                assert_true(fabs(mpfr_get_d(c->exact, MPFR_RNDN)) < 1e-60);
            else
                assert_true(error <= c->x.error + room);
            if (num_zero(c->x) == ZERO_NO) {
                settled++;
                worst = fmax(worst, c->x.error / fabs(c->x.value));
                assert_true(mpfr_sgn(c->exact) == (c->x.value > 0 ? 1 : -1));
            }
            assert_false(c->x.unlucky);
        }
    }
    printf("%d values; largest relative bound of a settled one 2^%.1f\n", settled, log2(worst));
    for (int i = 0; i < POOL; i++)
        mpfr_clear(pool[i].exact);
    mpfr_clears(t, pi, (mpfr_ptr)NULL);
}

/* ---- zero against exact arithmetic in Q(sqrt 2, sqrt 3, sqrt 5) ---- */

enum { BASIS = 8 }; /* bit 0: sqrt 2, bit 1: sqrt 3, bit 2: sqrt 5 */

struct exact {
    struct num x[FIELDS];
    mpq_t c[BASIS];
};

static void exact_init(struct exact *e)
{
    for (int i = 0; i < BASIS; i++)
        mpq_init(e->c[i]);
}

static void exact_clear(struct exact *e)
{
    for (int i = 0; i < BASIS; i++)
        mpq_clear(e->c[i]);
}

/* The root of the i-th radicand: some by way of angles. */
static struct num basis_root(int i)
{
    switch (i) {
    case 1:
        return mul(whole(2), cosine("45"));
    case 2:
        return mul(whole(2), sine("60"));
    case 3: /* 4 cos 15 = sqrt 6 + sqrt 2 */
        return sub(mul(whole(4), cosine("15")), root_of(2));
    case 4: /* 4 cos 36 = 1 + sqrt 5 */
        return sub(mul(whole(4), cosine("36")), whole(1));
    }
    return root_of((i & 1 ? 2 : 1) * (i & 2 ? 3 : 1) * (i & 4 ? 5 : 1));
}

static void exact_random(struct exact *e)
{
    for (int i = 0; i < BASIS; i++) {
        mpq_set_si(e->c[i], random_int(0, 2) ? 0 : random_int(-12, 12),
                   (unsigned long)random_int(1, 8));
        mpq_canonicalize(e->c[i]);
    }
    for (int k = 0; k < FIELDS; k++) {
        f = fields[k];
        e->x[k] = whole(0);
        for (int i = 0; i < BASIS; i++) {
            struct num c =
                num_rational(f, mpz_get_si(mpq_numref(e->c[i])), mpz_get_si(mpq_denref(e->c[i])));
            e->x[k] = add(e->x[k], mul(c, basis_root(i)));
        }
    }
}

static void exact_add(struct exact *sum, const struct exact *a, const struct exact *b, int sign)
{
    for (int i = 0; i < BASIS; i++) {
        if (sign > 0)
            mpq_add(sum->c[i], a->c[i], b->c[i]);
        else
            mpq_sub(sum->c[i], a->c[i], b->c[i]);
    }
    for (int k = 0; k < FIELDS; k++)
        sum->x[k] = (sign > 0 ? num_add : num_sub)(fields[k], a->x[k], b->x[k]);
}

static void exact_mul(struct exact *product, const struct exact *a, const struct exact *b)
{
    mpq_t c[BASIS], t, s;
    mpq_inits(t, s, (mpq_ptr)NULL);
    for (int i = 0; i < BASIS; i++)
        mpq_init(c[i]);
    for (int i = 0; i < BASIS; i++)
        for (int j = 0; j < BASIS; j++) {
            int both = i & j;
            mpq_mul(t, a->c[i], b->c[j]);
            mpq_set_si(s, (both & 1 ? 2 : 1) * (both & 2 ? 3 : 1) * (both & 4 ? 5 : 1), 1);
            mpq_mul(t, t, s);
            mpq_add(c[i ^ j], c[i ^ j], t);
        }
    for (int i = 0; i < BASIS; i++) {
        mpq_set(product->c[i], c[i]);
        mpq_clear(c[i]);
    }
    mpq_clears(t, s, (mpq_ptr)NULL);
    for (int k = 0; k < FIELDS; k++)
        product->x[k] = num_mul(fields[k], a->x[k], b->x[k]);
}

static bool exact_is_zero(const struct exact *e)
{
    for (int i = 0; i < BASIS; i++)
        if (mpq_sgn(e->c[i]) != 0)
            return false;
    return true;
}

static void verdicts_are_those_of_exact_arithmetic(void **state)
{
    (void)state;
    random_start("exact", 2303);
    enum { NUMBERS = 12 };
    struct exact e[NUMBERS];
    for (int i = 0; i < NUMBERS; i++)
        exact_init(&e[i]);
    int zeros = 0, others = 0;
    for (int round = random_rounds(300); round > 0; round--) {
        for (int i = 0; i < 4; i++)
            exact_random(&e[i]);
        /* (a + b)(a − b) − (a a − b b), with b b changed a little one time in two; a b − c where c
         * is often b a. */
        exact_add(&e[4], &e[0], &e[1], 1);
        exact_add(&e[5], &e[0], &e[1], -1);
        exact_mul(&e[6], &e[4], &e[5]);
        exact_mul(&e[7], &e[0], &e[0]);
        exact_mul(&e[8], &e[1], random_int(0, 1) ? &e[1] : &e[2]);
        exact_add(&e[9], &e[7], &e[8], -1);
        exact_add(&e[9], &e[6], &e[9], -1);
        exact_mul(&e[10], &e[2], &e[3]);
        exact_mul(&e[11], &e[3], random_int(0, 1) ? &e[2] : &e[1]);
        exact_add(&e[11], &e[11], &e[10], -1);
        for (int i = 0; i < NUMBERS; i++) {
            bool zero = exact_is_zero(&e[i]);
            zeros += zero;
            others += !zero;
            for (int k = 0; k < FIELDS; k++) {
                assert_int_equal(num_zero(e[i].x[k]), zero ? ZERO_EXACT : ZERO_NO);
                assert_true(e[i].x[k].value == e[i].x[0].value);
                assert_false(e[i].x[k].generic || e[i].x[k].unlucky);
            }
        }
    }
    printf("%d zeros, %d others\n", zeros, others);
    for (int i = 0; i < NUMBERS; i++)
        exact_clear(&e[i]);
    f = fields[0];
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(decimals_are_exact),
        cmocka_unit_test(long_decimals_are_rounded_numbers),
        cmocka_unit_test(slopes_and_angles_agree),
        cmocka_unit_test(multiples_of_15_degrees),
        cmocka_unit_test(roots_multiply),
        cmocka_unit_test(pythagorean_triangles),
        cmocka_unit_test(heron_and_ptolemy),
        cmocka_unit_test(forces_cancel),
        cmocka_unit_test(radians_are_exact),
        cmocka_unit_test(other_cases),
        cmocka_unit_test(values_are_within_their_bounds),
        cmocka_unit_test(verdicts_are_those_of_exact_arithmetic),
    };
    return cmocka_run_group_tests_name("num", tests, fields_made, fields_freed);
}
