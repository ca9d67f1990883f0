/* number.c: doubles to rounded decimals, exactly.
 *
 * A double is m x 2^e, so value x 10^p = m x 5^p x 2^(e+p). For the numbers of statics (1e-15 to
 * 1e38 at 13 figures) that product and its quotient fit 128 bits, and quotient and remainder decide
 * the rounding without any approximation. The rest is left to the C library's printf, which is
 * exact too; only ties would differ there, and there are none: a tie needs a double with a factor
 * 5^p in its 53 bits, which bounds it to 1e-6 .. 1e23. */
#include "base/number.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

__extension__ typedef unsigned __int128 uint128;

enum ties { TIES_TO_EVEN, TIES_AWAY };

#define POWER5_MAX 27 /* 5^27 < 2^63 */
static const uint64_t power5[POWER5_MAX + 1] = {
    1u,
    5u,
    25u,
    125u,
    625u,
    3125u,
    15625u,
    78125u,
    390625u,
    1953125u,
    9765625u,
    48828125u,
    244140625u,
    1220703125u,
    6103515625u,
    30517578125u,
    152587890625u,
    762939453125u,
    3814697265625u,
    19073486328125u,
    95367431640625u,
    476837158203125u,
    2384185791015625u,
    11920928955078125u,
    59604644775390625u,
    298023223876953125u,
    1490116119384765625u,
    7450580596923828125u,
};

static uint64_t power10(int n) { return power5[n] << n; }

struct binary { /* m x 2^e, m < 2^53 */
    uint64_t m;
    int e;
};

static struct binary split(double magnitude)
{
    uint64_t bits;
    memcpy(&bits, &magnitude, sizeof bits);
    int biased = (int)(bits >> 52) & 0x7ff;
    uint64_t fraction = bits & (((uint64_t)1 << 52) - 1);
    if (biased == 0)
        return (struct binary){fraction, -1074};
    return (struct binary){fraction | (uint64_t)1 << 52, biased - 1075};
}

/* floor(m x 2^e x 10^p) and what the floor left: its sign against one half, and whether it is 0.
 * Needs |p| <= POWER5_MAX and a quotient below 2^64 x 10^12. */
struct floored {
    uint128 quotient;
    int against_half; /* -1, 0, 1 */
    bool is_exact;
};

static struct floored scale(struct binary x, int p)
{
    int shift = x.e + p; /* what is left of the power of two */
    if (p >= 0) {
        uint128 n = (uint128)x.m * power5[p];
        if (shift >= 0)
            return (struct floored){n << shift, -1, true};
        if (shift < -127)
            return (struct floored){0, -1, n == 0};
        uint128 half = (uint128)1 << (-shift - 1);
        uint128 rest = n & (half | (half - 1));
        return (struct floored){n >> (-shift - 1) >> 1, (rest > half) - (rest < half), rest == 0};
    }
    uint128 n = (uint128)x.m << (shift > 0 ? shift : 0);
    uint128 d = (uint128)power5[-p] << (shift < 0 ? -shift : 0);
    uint128 quotient = n / d, rest = n - quotient * d;
    return (struct floored){quotient, (2 * rest > d) - (2 * rest < d), rest == 0};
}

static bool rounds_up(struct floored f, enum ties ties)
{
    if (f.against_half != 0)
        return f.against_half > 0;
    return ties == TIES_AWAY || (f.quotient & 1) != 0;
}

/* digits x 10^(exponent - figures + 1), with exactly `figures` digits. */
struct decimal {
    uint64_t digits;
    int exponent; /* of the leading digit */
};

static struct decimal round_by_library(double magnitude, int figures)
{
    char text[48];
    struct decimal d = {0};
    snprintf(text, sizeof text, "%.*e", figures - 1, magnitude);
    sscanf(strchr(text, 'e') + 1, "%d", &d.exponent);
    for (const char *c = text; *c != 'e'; c++)
        if (*c >= '0' && *c <= '9') /* whatever the decimal point is */
            d.digits = d.digits * 10 + (uint64_t)(*c - '0');
    return d;
}

/* `magnitude` > 0 and finite, `figures` 1 to 13. */
static struct decimal round_to(double magnitude, int figures, enum ties ties)
{
    struct binary x = split(magnitude);
    /* 2^(e+52) <= magnitude < 2^(e+53), for a normal number; log10(2) = 78913/2^18 to 6e-7. The
     * estimate is the exponent or one less. */
    int exponent = (x.e + 52) * 78913 >> 18;
    int p = figures - 1 - exponent;
    if (p > POWER5_MAX || p < -POWER5_MAX)
        return round_by_library(magnitude, figures);

    struct floored f = scale(x, p);
    uint64_t floor_digits = (uint64_t)f.quotient;
    if (floor_digits >= power10(figures)) {
        uint64_t last = floor_digits % 10;
        f.against_half = last == 5 && f.is_exact ? 0 : last >= 5 ? 1 : -1;
        f.quotient = floor_digits /= 10;
        exponent++;
    }
    struct decimal d = {
        .digits = floor_digits + (rounds_up(f, ties) ? 1 : 0),
        .exponent = exponent,
    };
    if (d.digits == power10(figures)) {
        d.digits /= 10;
        d.exponent++;
    }
    return d;
}

/* The `count` digits of n, leading zeros included. */
static void put_digits(char *to, uint64_t n, int count)
{
    while (count > 0) {
        to[--count] = (char)('0' + n % 10);
        n /= 10;
    }
}

void number_put_json(struct buf *b, double value)
{
    assert(isfinite(value));
    if (value == 0) {
        buf_putc(b, '0');
        return;
    }
    struct decimal d = round_to(fabs(value), 12, TIES_TO_EVEN);
    int count = 12;
    if (d.digits % 1000000 == 0) {
        d.digits /= 1000000;
        count -= 6;
    }
    while (d.digits % 10 == 0) {
        d.digits /= 10;
        count--;
    }
    char digits[12];
    put_digits(digits, d.digits, count);

    /* The layout is that of ECMAScript (ECMA-262, Number::toString), so that a JSON tool which
     * reads and prints an answer leaves its numbers as they are. */
    char text[40];
    size_t n = 0;
    int point = d.exponent + 1; /* digits before the decimal point */
    if (value < 0)
        text[n++] = '-';
    if (point > 0 && point <= 21) {
        int before = count < point ? count : point;
        memcpy(text + n, digits, (size_t)before);
        n += (size_t)before;
        for (int i = count; i < point; i++)
            text[n++] = '0';
        if (count > point) {
            text[n++] = '.';
            memcpy(text + n, digits + point, (size_t)(count - point));
            n += (size_t)(count - point);
        }
    } else if (point > -6 && point <= 0) {
        text[n++] = '0';
        text[n++] = '.';
        for (int i = point; i < 0; i++)
            text[n++] = '0';
        memcpy(text + n, digits, (size_t)count);
        n += (size_t)count;
    } else {
        text[n++] = digits[0];
        if (count > 1) {
            text[n++] = '.';
            memcpy(text + n, digits + 1, (size_t)count - 1);
            n += (size_t)count - 1;
        }
        int exponent = d.exponent < 0 ? -d.exponent : d.exponent;
        int exponent_digits = exponent < 10 ? 1 : exponent < 100 ? 2 : 3;
        text[n++] = 'e';
        text[n++] = d.exponent < 0 ? '-' : '+';
        put_digits(text + n, (uint64_t)exponent, exponent_digits);
        n += (size_t)exponent_digits;
    }
    buf_put(b, text, n);
}

/* The leading digit is that of the value to 12 figures, so that 0.99999999999999989, a 1 with the
 * last bit off, is written as 1 is. */
#define LEADING_FIGURES 12

int number_figures(double value, int figures, bool one_more_after_one)
{
    if (!one_more_after_one || value == 0)
        return figures;
    struct decimal d = round_to(fabs(value), LEADING_FIGURES, TIES_AWAY);
    return d.digits < 2 * power10(LEADING_FIGURES - 1) ? figures + 1 : figures;
}

struct number_text number_to_figures(double value, int figures, bool one_more_after_one)
{
    assert(isfinite(value) && figures >= 1 && figures <= 12);
    struct number_text t = {.digits = "0"};
    if (value == 0)
        return t;
    t.negative = value < 0;
    figures = number_figures(value, figures, one_more_after_one);
    struct decimal d = round_to(fabs(value), figures, TIES_AWAY);

    int before; /* digits before the decimal point */
    if (d.exponent >= -4 && d.exponent < 7) {
        before = d.exponent + 1;
    } else {
        before = 1;
        t.exponent10 = d.exponent;
    }
    char digits[16];
    put_digits(digits, d.digits, figures);
    size_t n = 0;
    if (before <= 0) {
        t.digits[n++] = '0';
        t.digits[n++] = '.';
        for (int i = before; i < 0; i++)
            t.digits[n++] = '0';
    }
    for (int i = 0; i < figures; i++) {
        if (i > 0 && i == before)
            t.digits[n++] = '.';
        t.digits[n++] = digits[i];
    }
    for (int i = figures; i < before; i++)
        t.digits[n++] = '0';
    t.digits[n] = '\0';
    return t;
}

struct number_text number_to_places(double value, int places)
{
    assert(fabs(value) < 1e15 && places >= 0 && places <= 12);
    struct number_text t = {0};
    struct floored f = scale(split(fabs(value)), places);
    uint128 n = f.quotient + (rounds_up(f, TIES_AWAY) ? 1 : 0);
    uint64_t whole = (uint64_t)(n / power10(places)), fraction = (uint64_t)(n % power10(places));
    t.negative = value < 0 && n != 0;

    int count = 1;
    while (count < 16 && whole >= power10(count))
        count++;
    put_digits(t.digits, whole, count);
    if (places > 0) {
        t.digits[count] = '.';
        put_digits(t.digits + count + 1, fraction, places);
        count += places + 1;
    }
    t.digits[count] = '\0';
    return t;
}

double number_half_unit(double value, int figures)
{
    assert(isfinite(value) && figures >= 1 && figures <= 13);
    if (value == 0)
        return 0;
    int exponent = round_to(fabs(value), LEADING_FIGURES, TIES_AWAY).exponent - figures + 1;
    /* 10^22 is the largest power of ten that is exact in a double; steps of it keep the usual
     * numbers correctly rounded and all others the same on every machine. */
    double unit = 0.5;
    for (; exponent > 22; exponent -= 22)
        unit *= 1e22;
    for (; exponent < -22; exponent += 22)
        unit /= 1e22;
    return exponent >= 0 ? unit * (double)power5[exponent] * (double)((uint64_t)1 << exponent)
                         : unit / ((double)power5[-exponent] * (double)((uint64_t)1 << -exponent));
}
