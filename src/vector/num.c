#include "vector/num.h"

#include <float.h>
#include <math.h>

#include "vector/factor.h"
#include "vector/field_ops.h"

__extension__ typedef __int128 i128;
__extension__ typedef unsigned __int128 u128;

/* Relative errors of double-double operations (dd.h), and what the arithmetic of the bounds itself
 * may lose. */
static const double unit_sum = 0x1p-103;
static const double unit_quotient = 0x1p-101;
static const double unit_decimal = 0x1p-98;
static const double unit_trigonometry = 0x1p-98;
static const double upward = 1 + 0x1p-48;
/* Some errors are estimates (those of linear systems): only a value far beyond its error
 * contradicts a zero; a false zero is beyond it by some 10^25. */
static const double estimated = 0x1p20;

#define DOUBLE_DIGITS 17 /* as many as a program prints of a double */
#define EXACT_INTEGER_MAX ((int64_t)1 << 53)
#define RADIANS_PER_DEGREE 0x1.1df46a2529d39p-6

struct dd num_dd(struct num x) { return (struct dd){x.value, x.low}; }

/* What every operation ends with: an integer has its value exactly, a zero residue makes the value
 * 0, and a zero that the value contradicts is bad luck with the field. */
static struct num settled(struct num x)
{
    if (residue_zero(x.residue)) {
        if (fabs(x.value) > x.error * estimated) {
            x.unlucky = true;
        } else {
            x.value = x.low = x.error = 0;
            x.numerator = 0;
            x.denominator = 1;
            x.generic = false;
        }
    } else if (x.denominator == 1 && x.numerator < EXACT_INTEGER_MAX &&
               x.numerator > -EXACT_INTEGER_MAX) {
        x.value = (double)x.numerator;
        x.low = x.error = 0;
    }
    return x;
}

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

/* The parts of a JSON number. */
struct decimal {
    bool negative;
    char digits[NUM_DIGITS_MAX]; /* no zeros at either end */
    int count;
    int exponent10;
    int significant; /* digits as typed */
    int last;        /* power of ten of the last of them */
};

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

static bool read_decimal(const char *text, size_t length, struct decimal *ret)
{
    struct decimal d = {0};
    size_t i = 0;
    if (i < length && text[i] == '-') {
        d.negative = true;
        i++;
    }
    bool point = false, digit = false;
    int point_places = 0, zeros = 0; /* zeros since the last other digit */
    for (; i < length; i++) {
        char c = text[i];
        if (c == '.' && !point && digit) {
            point = true;
            continue;
        }
        if (!is_digit(c))
            break;
        digit = true;
        if (point && ++point_places > 1000)
            return false;
        if (c == '0') {
            if (d.count > 0 && ++zeros > 1000)
                return false;
            continue;
        }
        if (d.count > 0) {
            if (d.count + zeros + 1 > NUM_DIGITS_MAX)
                return false;
            for (; zeros > 0; zeros--)
                d.digits[d.count++] = '0';
        }
        d.digits[d.count++] = c;
        zeros = 0;
    }
    if (!digit || (point && !is_digit(text[i - 1])))
        return false;
    int exponent = 0;
    if (i < length && (text[i] == 'e' || text[i] == 'E')) {
        i++;
        bool negative = i < length && text[i] == '-';
        if (i < length && (text[i] == '-' || text[i] == '+'))
            i++;
        if (i == length)
            return false;
        for (; i < length && is_digit(text[i]); i++)
            if (exponent < 100000)
                exponent = exponent * 10 + (text[i] - '0');
        if (negative)
            exponent = -exponent;
    }
    if (i != length)
        return false;
    if (d.count > 0 && (exponent > 400 || exponent < -400))
        return false;
    d.exponent10 = exponent - point_places + zeros;
    d.significant = d.count + (point ? zeros : 0);
    d.last = exponent - point_places + (point ? 0 : zeros);
    if (d.significant > NUM_DIGITS_MAX)
        return false;
    *ret = d;
    return true;
}

static const int64_t powers_of_ten[19] = {1,
                                          10,
                                          100,
                                          1000,
                                          10000,
                                          100000,
                                          1000000,
                                          10000000,
                                          100000000,
                                          1000000000,
                                          10000000000,
                                          100000000000,
                                          1000000000000,
                                          10000000000000,
                                          100000000000000,
                                          1000000000000000,
                                          10000000000000000,
                                          100000000000000000,
                                          1000000000000000000};

static void fraction_of_decimal(struct num *x, const struct decimal *d)
{
    x->denominator = 0;
    if (d->count > 18 || d->exponent10 > 18 || d->exponent10 < -18)
        return;
    int64_t n = 0;
    for (int i = 0; i < d->count; i++)
        n = n * 10 + (d->digits[i] - '0');
    if (d->negative)
        n = -n;
    if (d->exponent10 >= 0) {
        if (!__builtin_mul_overflow(n, powers_of_ten[d->exponent10], &x->numerator))
            x->denominator = 1;
        return;
    }
    /* Only twos and fives to cancel; the last digit is not 0, so never both. */
    int64_t denominator = powers_of_ten[-d->exponent10];
    while (n % 2 == 0 && denominator % 2 == 0) {
        n /= 2;
        denominator /= 2;
    }
    while (n % 5 == 0 && denominator % 5 == 0) {
        n /= 5;
        denominator /= 5;
    }
    x->numerator = n;
    x->denominator = denominator;
}

bool num_decimal(const struct field *f, const char *text, size_t length, struct num *ret_num)
{
    struct decimal d;
    if (!read_decimal(text, length, &d))
        return false;
    if (d.count == 0) {
        *ret_num = num_integer(f, 0);
        return true;
    }
    if (d.exponent10 > 440 || d.exponent10 < -440)
        return false;
    struct dd value = dd_decimal(d.negative, d.digits, d.count, d.exponent10);
    if (!isfinite(value.hi) || value.hi == 0)
        return false;
    struct num x = {
        .value = value.hi,
        .low = value.lo,
        .error = fabs(value.hi) * unit_decimal + DBL_TRUE_MIN,
        .residue = residue_decimal(f, d.negative, d.digits, d.count, d.exponent10),
    };
    if (d.significant >= NUM_LONG_DIGITS) {
        x.slack = dd_decimal(false, "5", 1, d.last - 1).hi;
        if (d.significant <= DOUBLE_DIGITS)
            x.slack = fmax(x.slack, fabs(value.hi) * DBL_EPSILON);
    }
    fraction_of_decimal(&x, &d);
    *ret_num = settled(x);
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

struct num num_mul(const struct field *f, struct num x, struct num y)
{
    struct num product = joined(x, y);
    struct dd value = dd_mul(num_dd(x), num_dd(y));
    double ax = fabs(x.value), ay = fabs(y.value);
    product.value = value.hi;
    product.low = value.lo;
    product.error =
        (ax * y.error + ay * x.error + x.error * y.error + fabs(value.hi) * unit_sum) * upward +
        DBL_MIN;
    product.slack = ax * y.slack + ay * x.slack + x.slack * y.slack;
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

/* The circle point that stands for a fraction of a step is named by what the fraction is counted
 * in, so that equal and opposite angles, and sums, agree. */
static unsigned circle_name(uint64_t unit)
{
    unit *= 0x9e3779b97f4a7c15;
    return (unsigned)(unit >> 32) | 1; /* 0 is for radians */
}

/* The slack of cosine and sine from that of the angle. */
static void turn_slack(double radians, struct num *cosine, struct num *sine)
{
    if (radians == 0)
        return;
    double c = fabs(cosine->value), s = fabs(sine->value);
    cosine->slack = radians * (s + radians);
    sine->slack = radians * (c + radians);
}

/* An angle without a rational: a circle point named by its residue, the same for its opposite. */
static void nameless_circle(const struct field *f, struct num angle, struct num *cosine,
                            struct num *sine)
{
    struct residue minus = residue_neg(f, angle.residue);
    bool low =
        angle.residue.a < minus.a || (angle.residue.a == minus.a && angle.residue.b < minus.b);
    struct residue name = low ? angle.residue : minus;
    residue_free_circle(f, circle_name(name.a ^ (name.b << 1)), low ? 1 : -1, &cosine->residue,
                        &sine->residue);
    cosine->generic = sine->generic = true;
}

static void multiply_circle(const struct field *f, struct num *cosine, struct num *sine,
                            struct residue c, struct residue s)
{
    struct residue cc = residue_times(f, cosine->residue, c);
    struct residue ss = residue_times(f, sine->residue, s);
    struct residue cs = residue_times(f, cosine->residue, s);
    struct residue sc = residue_times(f, sine->residue, c);
    cosine->residue = residue_minus(f, cc, ss);
    sine->residue = residue_plus(f, sc, cs);
}

/* n/d degrees in lowest terms, at most half a turn. */
static void circle_of_degrees(const struct field *f, int64_t n, int64_t d, struct num *cosine,
                              struct num *sine)
{
    const int64_t half_steps = 20000; /* of 0.00005 degrees in one */
    int64_t g = (int64_t)factor_gcd((uint64_t)half_steps, (uint64_t)d);
    d /= g;
    i128 scaled = (i128)n * (half_steps / g);
    int64_t whole = (int64_t)(scaled / d), rest = (int64_t)(scaled % d);
    if (rest > d / 2) {
        rest -= d;
        whole++;
    } else if (rest < -(d / 2)) {
        rest += d;
        whole--;
    }
    residue_circle(f, whole, &cosine->residue, &sine->residue);
    if (rest == 0)
        return;
    /* A rest in decimals is counted in 10^-18 of a half-step. */
    const int64_t finest = powers_of_ten[18];
    int64_t unit = d;
    if (finest % d == 0) {
        rest *= finest / d;
        unit = finest;
    }
    struct residue c, s;
    residue_free_circle(f, circle_name((uint64_t)unit), rest, &c, &s);
    multiply_circle(f, cosine, sine, c, s);
    cosine->generic = sine->generic = true;
}

/* Rational cosines and sines of rational angles are 0, 1/2, 1 (Niven's theorem). */
static void note_rational(struct num *x)
{
    double twice = 2 * x->value;
    if (x->low == 0 && x->error == 0 && (twice == floor(twice))) {
        x->numerator = (int64_t)twice;
        x->denominator = 2;
        num_is_rational(*x, &x->numerator, &x->denominator);
    }
}

static void set_value(struct num *x, struct dd value, double error)
{
    x->value = value.hi;
    x->low = value.lo;
    x->error = error;
}

void num_cos_sin_degrees(const struct field *f, struct num degrees, struct num *cosine,
                         struct num *sine)
{
    *cosine = *sine = (struct num){.generic = degrees.generic, .unlucky = degrees.unlucky};
    struct dd angle = num_dd(degrees), c, s;
    double error = degrees.error;
    int64_t n, d;
    bool rational = num_is_rational(degrees, &n, &d);
    if (rational) {
        /* Whole turns come off exactly. */
        i128 turn = (i128)360 * d;
        i128 rest = n % turn;
        if (rest > turn / 2)
            rest -= turn;
        else if (rest < -(turn / 2))
            rest += turn;
        n = (int64_t)rest;
        angle = dd_div(dd_integer(n), dd_integer(d));
        error = 0;
    }
    dd_cos_sin_degrees(angle, &c, &s);
    /* 0, 1/2 and 1 come from the table, without error. */
    bool exact = rational && d == 1 && n % 30 == 0;
    error = (error + fabs(angle.hi) * unit_quotient) * RADIANS_PER_DEGREE + unit_trigonometry;
    set_value(cosine, c, exact && (n % 90 == 0 || n % 60 == 0) ? 0 : error);
    set_value(sine, s, exact && (n % 90 == 0 || n % 60 != 0) ? 0 : error);
    turn_slack(degrees.slack * RADIANS_PER_DEGREE, cosine, sine);

    if (rational) {
        circle_of_degrees(f, n, d, cosine, sine);
        note_rational(cosine);
        note_rational(sine);
    } else {
        nameless_circle(f, degrees, cosine, sine);
    }
    *cosine = settled(*cosine);
    *sine = settled(*sine);
}

void num_cos_sin_radians(const struct field *f, struct num radians, int decimals,
                         struct num *cosine, struct num *sine)
{
    if (residue_zero(radians.residue)) {
        struct num zero = num_integer(f, 0);
        zero.slack = radians.slack;
        num_cos_sin_degrees(f, zero, cosine, sine);
        turn_slack(radians.slack, cosine, sine);
        return;
    }
    *cosine = *sine = (struct num){.generic = radians.generic, .unlucky = radians.unlucky};
    struct dd c, s;
    dd_cos_sin_radians(num_dd(radians), &c, &s);
    double error = radians.error + fabs(radians.value) * unit_quotient + unit_trigonometry;
    set_value(cosine, c, error);
    set_value(sine, s, error);
    turn_slack(radians.slack, cosine, sine);

    int64_t n, d, steps;
    if (decimals < 19 && num_is_rational(radians, &n, &d) && powers_of_ten[decimals] % d == 0 &&
        !__builtin_mul_overflow(n, powers_of_ten[decimals] / d, &steps))
        residue_free_circle(f, 0, steps, &cosine->residue, &sine->residue);
    else
        nameless_circle(f, radians, cosine, sine);
    *cosine = settled(*cosine);
    *sine = settled(*sine);
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
