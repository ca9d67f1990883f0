#include "marking/typed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"

#define DEGREES_PER_RADIAN 57.295779513082320877

/* What is left of the text. */
struct reader {
    const char *at, *end;
};

static bool take(struct reader *r, const char *text)
{
    size_t length = strlen(text);
    if ((size_t)(r->end - r->at) < length || memcmp(r->at, text, length) != 0)
        return false;
    r->at += length;
    return true;
}

static void skip_blanks(struct reader *r)
{
    while (take(r, " ") || take(r, "\t") || take(r, "\xc2\xa0") || take(r, "\xe2\x80\xaf"))
        ;
}

static bool take_minus(struct reader *r) { return take(r, "-") || take(r, "\xe2\x88\x92"); }

/* The digits, copied behind `to`; how many. */
static size_t take_digits(struct reader *r, char **to)
{
    size_t count = 0;
    for (; r->at < r->end && *r->at >= '0' && *r->at <= '9'; count++)
        *(*to)++ = *r->at++;
    return count;
}

static bool take_factor(struct reader *r, double *ret)
{
    char plain[LIMIT_NUMBER_TEXT_LENGTH + 4], *to = plain;
    if ((size_t)(r->end - r->at) > LIMIT_NUMBER_TEXT_LENGTH * 4)
        return false;
    struct reader start = *r;
    size_t digits = 0;
    for (const char *c = r->at; c < r->end && strchr("0123456789.,eE+-", *c); c++)
        if (++digits > LIMIT_NUMBER_TEXT_LENGTH)
            return false;
    digits = take_digits(r, &to);
    bool has_point = take(r, ".");
    if (has_point || take(r, ",")) {
        *to++ = '.';
        size_t places = take_digits(r, &to);
        if (places == 0 && !(has_point && digits > 0))
            return false;
        digits += places;
    }
    if (digits == 0) {
        *r = start;
        return false;
    }
    struct reader before = *r;
    if (take(r, "e") || take(r, "E")) {
        *to++ = 'e';
        if (take_minus(r))
            *to++ = '-';
        else
            take(r, "+");
        if (take_digits(r, &to) == 0) {
            *r = before;
            return false;
        }
    }
    *to = '\0';
    *ret = strtod(plain, NULL);
    return isfinite(*ret);
}

static bool take_operator(struct reader *r, bool *ret_divides)
{
    struct reader before = *r;
    skip_blanks(r);
    *ret_divides = take(r, "/");
    bool is_one = *ret_divides || take(r, "*") || take(r, "\xc2\xb7") || take(r, "\xc3\x97");
    if (is_one)
        skip_blanks(r);
    bool has_factor = r->at < r->end && strchr("0123456789.,", *r->at) != NULL;
    if (!is_one || !has_factor)
        *r = before;
    return is_one && has_factor;
}

static bool take_product(struct reader *r, double *ret)
{
    double factor;
    bool divides;
    skip_blanks(r);
    bool is_negative = take_minus(r);
    if (!is_negative)
        take(r, "+");
    skip_blanks(r);
    if (!take_factor(r, ret))
        return false;
    while (take_operator(r, &divides)) {
        if (!take_factor(r, &factor))
            return false;
        *ret = divides ? *ret / factor : *ret * factor;
    }
    if (is_negative)
        *ret = -*ret;
    return isfinite(*ret);
}

static bool ends_with(const char *text, size_t length, const char *end)
{
    size_t n = strlen(end);
    return length >= n && memcmp(text + length - n, end, n) == 0;
}

const char *typed_take_sense(const char *text, size_t *length)
{
    static const char *const words[][5] = {
        {"tension", " T", "(T)", " tension", "(tension)"},
        {"compression", " C", "(C)", " compression", "(compression)"},
    };
    while (*length > 0 && text[*length - 1] == ' ')
        --*length;
    for (int sense = 0; sense < 2; sense++)
        for (int k = 1; k < 5; k++)
            if (ends_with(text, *length, words[sense][k])) {
                *length -= strlen(words[sense][k]);
                return words[sense][0];
            }
    return NULL;
}

double typed_convert(double value, struct dimension dimension, struct units from, struct units to)
{
    char numerator[48], denominator[48];
    bool same;
    if (dimension.angle) {
        if (from.angle == to.angle)
            return value;
        return from.angle == UNIT_RAD ? value * DEGREES_PER_RADIAN : value / DEGREES_PER_RADIAN;
    }
    unit_factor(dimension, from, to, numerator, denominator, &same);
    return same ? value : value * strtod(numerator, NULL) / strtod(denominator, NULL);
}

bool typed_with_unit(double value, const char *unit, size_t length, struct dimension wanted,
                     struct units to, double *ret_value)
{
    struct unit read = {.dimension = wanted, .base = to};
    bool is_degree = wanted.angle && length == 2 && memcmp(unit, "\xc2\xb0", 2) == 0;
    if (is_degree)
        read.base.angle = UNIT_DEG;
    else if (!unit_read(unit, length, wanted, &read))
        return false;
    *ret_value = typed_convert(value, wanted, read.base, to);
    return isfinite(*ret_value);
}

bool typed_read(const char *text, size_t length, struct dimension wanted, struct units from,
                struct units to, double *ret_value)
{
    struct reader r = {text, text + length};
    double value;
    if (!take_product(&r, &value))
        return false;
    skip_blanks(&r);
    while (r.end > r.at && (r.end[-1] == ' ' || r.end[-1] == '\t'))
        r.end--;
    if (r.at == r.end) {
        *ret_value = typed_convert(value, wanted, from, to);
        return isfinite(*ret_value);
    }
    return typed_with_unit(value, r.at, (size_t)(r.end - r.at), wanted, to, ret_value);
}
