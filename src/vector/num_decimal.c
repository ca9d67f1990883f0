/* num_decimal.c: a decimal as typed becomes a number. */
#include "vector/num_parts.h"

#include <float.h>

#define DOUBLE_DIGITS 17 /* as many as a program prints of a double */

const int64_t num_power_of_ten[19] = {1,
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

/* What follows the digits: nothing, or e and a whole number. */
static bool read_exponent(const char *text, size_t length, int *ret_exponent)
{
    *ret_exponent = 0;
    if (length == 0)
        return true;
    if (text[0] != 'e' && text[0] != 'E')
        return false;
    bool negative = length > 1 && text[1] == '-';
    size_t i = negative || (length > 1 && text[1] == '+') ? 2 : 1;
    if (i == length)
        return false;
    int exponent = 0;
    for (; i < length && is_digit(text[i]); i++)
        if (exponent < 100000)
            exponent = exponent * 10 + (text[i] - '0');
    *ret_exponent = negative ? -exponent : exponent;
    return i == length;
}

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
    int exponent;
    if (!read_exponent(text + i, length - i, &exponent))
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
        if (!__builtin_mul_overflow(n, num_power_of_ten[d->exponent10], &x->numerator))
            x->denominator = 1;
        return;
    }
    /* Only twos and fives to cancel; the last digit is not 0, so never both. */
    int64_t denominator = num_power_of_ten[-d->exponent10];
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
