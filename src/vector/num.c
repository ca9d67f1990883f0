#include "vector/num_parts.h"

#include <float.h>

#include "vector/factor.h"

struct dd num_dd(struct num x) { return (struct dd){x.value, x.low}; }

/* Lowest terms. */
static void reduce(int64_t *n, int64_t *d)
{
    int64_t g = (int64_t)factor_gcd((uint64_t)(*n < 0 ? -*n : *n), (uint64_t)*d);
    *n /= g;
    *d /= g;
}

/* n = a b, |n| below 2^63. */
static bool product_fits(int64_t a, int64_t b, int64_t *n)
{
    return !__builtin_mul_overflow(a, b, n) && *n != INT64_MIN;
}

static bool sum_fits(int64_t an, int64_t ad, int64_t bn, int64_t bd, struct num *sum)
{
    int64_t x, y;
    return product_fits(an, bd, &x) && product_fits(bn, ad, &y) &&
           !__builtin_add_overflow(x, y, &sum->numerator) && sum->numerator != INT64_MIN &&
           product_fits(ad, bd, &sum->denominator);
}

/* Fractions are kept while they fit; common factors are looked for only where they don't. */
static void fraction_add(struct num *sum, struct num x, struct num y)
{
    sum->denominator = 0;
    if (x.denominator == 0 || y.denominator == 0)
        return;
    if (x.denominator == y.denominator &&
        !__builtin_add_overflow(x.numerator, y.numerator, &sum->numerator) &&
        sum->numerator != INT64_MIN) {
        sum->denominator = x.denominator;
        return;
    }
    if (sum_fits(x.numerator, x.denominator, y.numerator, y.denominator, sum))
        return;
    reduce(&x.numerator, &x.denominator);
    reduce(&y.numerator, &y.denominator);
    /* (xn (yd/g) + yn (xd/g)) / ((xd/g) (yd/g) g) */
    int64_t g = (int64_t)factor_gcd((uint64_t)x.denominator, (uint64_t)y.denominator);
    if (!sum_fits(x.numerator, x.denominator / g, y.numerator, y.denominator / g, sum)) {
        sum->denominator = 0;
        return;
    }
    int64_t common = g;
    reduce(&sum->numerator, &common);
    if (!product_fits(sum->denominator, common, &sum->denominator))
        sum->denominator = 0;
}

/* x n/d, d not 0. */
static void fraction_mul(struct num *product, struct num x, int64_t n, int64_t d)
{
    if (d < 0) {
        n = -n;
        d = -d;
    }
    if (product_fits(x.numerator, n, &product->numerator) &&
        product_fits(x.denominator, d, &product->denominator))
        return;
    reduce(&x.numerator, &x.denominator);
    reduce(&n, &d);
    reduce(&x.numerator, &d);
    reduce(&n, &x.denominator);
    if (!product_fits(x.numerator, n, &product->numerator) ||
        !product_fits(x.denominator, d, &product->denominator))
        product->denominator = 0;
}

bool num_is_rational(struct num x, int64_t *ret_numerator, int64_t *ret_denominator)
{
    if (x.denominator == 0)
        return false;
    uint64_t size = x.numerator < 0 ? (uint64_t)-x.numerator : (uint64_t)x.numerator;
    int64_t g = (int64_t)factor_gcd(size, (uint64_t)x.denominator);
    *ret_numerator = x.numerator / g;
    *ret_denominator = x.denominator / g;
    return true;
}

struct num num_integer(const struct field *f, int64_t n)
{
    struct dd value = dd_integer(n);
    struct num x = {.value = value.hi, .low = value.lo, .residue = residue_integer(f, n)};
    if (n != INT64_MIN) {
        x.numerator = n;
        x.denominator = 1;
    }
    return settled(x);
}

struct num num_rational(const struct field *f, int64_t n, int64_t d)
{
    return num_div(f, num_integer(f, n), num_integer(f, d));
}

struct num num_generic(const struct field *f, uint64_t k, double value, double error)
{
    return settled((struct num){
        .value = value, .error = error, .residue = residue_random(f, k), .generic = true});
}

static struct num joined(struct num x, struct num y)
{
    return (struct num){.generic = x.generic || y.generic, .unlucky = x.unlucky || y.unlucky};
}

struct num num_add(const struct field *f, struct num x, struct num y)
{
    struct num sum = joined(x, y);
    struct dd value = dd_add(num_dd(x), num_dd(y));
    sum.value = value.hi;
    sum.low = value.lo;
    sum.error = (x.error + y.error + fabs(value.hi) * unit_sum) * upward;
    sum.slack = x.slack + y.slack;
    sum.residue = residue_plus(f, x.residue, y.residue);
    fraction_add(&sum, x, y);
    return settled(sum);
}

struct num num_neg(const struct field *f, struct num x)
{
    /* 0 - value: never -0 */
    x.value = 0 - x.value;
    x.low = 0 - x.low;
    x.numerator = -x.numerator;
    x.residue = residue_neg(f, x.residue);
    return x;
}

struct num num_sub(const struct field *f, struct num x, struct num y)
{
    return num_add(f, x, num_neg(f, y));
}

struct num num_abs(const struct field *f, struct num x) { return x.value < 0 ? num_neg(f, x) : x; }

/* What is 0 exactly stays so beside an error that is not bounded. */
static double times(double size, double error) { return size > 0 && error > 0 ? size * error : 0; }

struct num num_mul(const struct field *f, struct num x, struct num y)
{
    struct num product = joined(x, y);
    struct dd value = dd_mul(num_dd(x), num_dd(y));
    double ax = fabs(x.value), ay = fabs(y.value);
    product.value = value.hi;
    product.low = value.lo;
    product.error = (times(ax, y.error) + times(ay, x.error) + times(x.error, y.error) +
                     fabs(value.hi) * unit_sum) *
                        upward +
                    DBL_MIN;
    product.slack = times(ax, y.slack) + times(ay, x.slack) + times(x.slack, y.slack);
    product.residue = residue_times(f, x.residue, y.residue);
    if (x.denominator != 0 && y.denominator != 0)
        fraction_mul(&product, x, y.numerator, y.denominator);
    return settled(product);
}

struct num num_div(const struct field *f, struct num x, struct num y)
{
    struct num quotient = joined(x, y);
    if (residue_zero(y.residue)) {
        quotient.value = (double)NAN;
        quotient.error = (double)INFINITY;
        quotient.residue = residue_random(f, 0);
        quotient.generic = true;
        quotient.unlucky |= y.value != 0;
        return quotient;
    }
    struct residue inverse = y.denominator != 0 ? residue_rational(f, y.denominator, y.numerator)
                                                : residue_inv(f, y.residue);
    struct dd value = dd_div(num_dd(x), num_dd(y));
    double size = fabs(value.hi), ay = fabs(y.value);
    /* x/y - X/Y = (x - X)/Y + (x/y) (Y - y)/Y, |Y| >= |y| - error */
    double least = (ay - y.error) * (1 - 0x1p-48);
    quotient.value = value.hi;
    quotient.low = value.lo;
    quotient.error =
        least > 0 ? ((x.error + size * y.error) / least + size * unit_quotient) * upward + DBL_MIN
                  : (double)INFINITY;
    if (x.slack != 0 || y.slack != 0)
        quotient.slack =
            ay > y.slack ? (x.slack + size * y.slack) / (ay - y.slack) : (double)INFINITY;
    quotient.residue = residue_times(f, x.residue, inverse);
    if (x.denominator != 0 && y.denominator != 0 && y.numerator != 0)
        fraction_mul(&quotient, x, y.denominator, y.numerator);
    return settled(quotient);
}

static bool is_close_to(const struct num *x, int64_t n, int64_t d, double close)
{
    struct dd guess = dd_div(dd_integer(n), dd_integer(d));
    return fabs(dd_sub(guess, num_dd(*x)).hi) <= close;
}

/* Find the rational that x is, if it is one of moderate size: by its continued fraction, believed
 * where the residue agrees (roots and cosines often multiply to a rational: cos^2 45 = 1/2). */
static void find_fraction(const struct field *f, struct num *x)
{
    if (x->generic || x->denominator != 0 || x->residue.b != 0 || !(fabs(x->value) < 0x1p62))
        return;
    double close = 2 * x->error + fabs(x->value) * 0x1p-96;
    struct dd rest = num_dd(*x);
    int64_t n0 = 0, d0 = 1, n1 = 1, d1 = 0;
    for (int i = 0; i < 64; i++) {
        if (!(fabs(rest.hi) < 0x1p62))
            return;
        struct dd whole = dd_sum(floor(rest.hi), floor(rest.hi) == rest.hi ? floor(rest.lo) : 0);
        int64_t a = (int64_t)whole.hi + (int64_t)whole.lo;
        int64_t n, d;
        if (__builtin_mul_overflow(a, n1, &n) || __builtin_add_overflow(n, n0, &n) ||
            __builtin_mul_overflow(a, d1, &d) || __builtin_add_overflow(d, d0, &d) || d <= 0 ||
            n == INT64_MIN)
            return;
        rest = dd_sub(rest, whole);
        if (rest.hi != 0)
            rest = dd_div((struct dd){1, 0}, rest);
        /* x - n/d is +-1/(d (d rest + d1)): mostly that is far too much, and no need to divide. */
        bool may_be_close =
            rest.hi == 0 || (double)d * (double)d * (fabs(rest.hi) + 1) * close >= 0.5;
        if (may_be_close && is_close_to(x, n, d, close)) {
            struct residue product = residue_times(f, x->residue, residue_integer(f, d));
            if (residue_zero(residue_minus(f, product, residue_integer(f, n)))) {
                x->numerator = n;
                x->denominator = d;
            }
            return;
        }
        n0 = n1;
        d0 = d1;
        n1 = n;
        d1 = d;
        if (rest.hi == 0)
            return;
    }
}

/* floor(sqrt(n)) where n is a square. */
static bool whole_root(int64_t n, int64_t *root)
{
    uint64_t r = factor_isqrt((uint64_t)n);
    *root = (int64_t)r;
    return r * r == (uint64_t)n;
}

struct num num_sqrt(const struct field *f, struct num x, uint64_t k)
{
    if (residue_zero(x.residue)) {
        x.slack = sqrt(x.slack);
        return x;
    }
    struct num root = joined(x, x);
    struct dd value = dd_sqrt(num_dd(x));
    root.value = value.hi;
    root.low = value.lo;
    /* |sqrt x - sqrt X| <= |x - X| / sqrt x, and <= sqrt |x - X| */
    root.error =
        (fmin(x.error / value.hi, sqrt(x.error)) + value.hi * unit_quotient) * upward + DBL_MIN;
    if (x.slack != 0)
        root.slack = fmin(x.slack / value.hi, sqrt(x.slack));

    find_fraction(f, &x);
    int64_t n, d, root_n, root_d;
    if (num_is_rational(x, &n, &d) && residue_sqrt_rational(f, n, d, &root.residue)) {
        if (whole_root(n, &root_n) && whole_root(d, &root_d)) {
            root.numerator = root_n;
            root.denominator = root_d;
        }
    } else {
        root.residue = residue_random(f, k);
        root.generic = true;
    }
    return settled(root);
}

/* Beyond these the rest of a double-double leaves the range of a double. */
#define SMALLEST (DBL_MIN / DBL_EPSILON)
#define LARGEST (DBL_MAX * DBL_EPSILON)

bool num_is_beyond_range(struct num x)
{
    bool is_tiny = fabs(x.value) < SMALLEST && x.error < SMALLEST;
    return !(fabs(x.value) < LARGEST) ||
           (is_tiny && x.slack < SMALLEST && !residue_zero(x.residue));
}

enum zero num_zero(struct num x)
{
    if (residue_zero(x.residue))
        return ZERO_EXACT;
    double size = fabs(x.value);
    if (x.slack > 0 && !(size > x.slack + x.error))
        return ZERO_WITHIN_DIGITS;
    if (!(size > x.error))
        return x.generic ? ZERO_WITHIN_ROUNDING : ZERO_UNSETTLED;
    return ZERO_NO;
}
