/* num.h: a number of statics: its value in double-double, and a residue that decides whether it is
 * zero.
 *
 * Every operation carries along a bound of the value's rounding error and, for givens typed with
 * ten or more digits, the error those digits leave. A result whose residue is zero gets the value
 * 0. All operations are pure; a field is passed, never global. */
#ifndef VECTOR_NUM_H
#define VECTOR_NUM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "vector/dd.h"
#include "vector/field.h"

struct num {
    double value;
    double low;   /* the rest of the value: value + low is right to about 30 digits, so that value
                     alone is the nearest double, cancellation or not */
    double error; /* |value + low - true value| <= error, from rounding alone */
    double slack; /* further error from givens of ten or more digits: sum of |d value/d given| x
                     half a unit of its last digit */
    struct residue residue;
    int64_t numerator, denominator; /* the exact rational, not always in lowest terms; denominator
                                       0: not known to be rational, or too long */
    bool generic;                   /* residue 0 proves zero; another residue proves nothing */
    bool unlucky; /* the residue is 0 though the value is not, or a divisor had such a residue:
                     draw another field and work again */
};

enum zero {
    ZERO_NO,
    ZERO_EXACT,           /* decided by the residue */
    ZERO_WITHIN_ROUNDING, /* generic, and |value| is within its error bound: not decided exactly */
    ZERO_WITHIN_DIGITS,   /* |value| is within what the long decimals given leave open */
    ZERO_UNSETTLED, /* not zero, but |value| is within its rounding bound (about 30 digits have
                       cancelled): no sign */
    ZERO_MAX_
};

/* A given of this many significant digits or more is a rounded number. */
#define NUM_LONG_DIGITS 10
#define NUM_DIGITS_MAX 30

/* The exact decimal in `text` (the grammar of a JSON number, `length` bytes; 30 significant digits
 * at most, exponent within +-400). False where it is longer, overflows, or underflows to 0 though a
 * digit is not 0; nothing is written then. Ten or more significant digits (the zeros that end a
 * number without a decimal point don't count) give it a slack of half a unit of the last; where a
 * program may have printed a double (17 digits at most), of one unit in its last place at least. */
bool num_decimal(const struct field *f, const char *text, size_t length, struct num *ret_num);
struct num num_integer(const struct field *f, int64_t n);
/* n/d, d not 0. */
struct num num_rational(const struct field *f, int64_t n, int64_t d);
/* A generic number: its value is right to `error`, its residue is the k-th random element. */
struct num num_generic(const struct field *f, uint64_t k, double value, double error);

struct num num_add(const struct field *f, struct num x, struct num y);
struct num num_sub(const struct field *f, struct num x, struct num y);
struct num num_mul(const struct field *f, struct num x, struct num y);
/* y must not be zero (num_zero(y) asked first); else the value is NaN. */
struct num num_div(const struct field *f, struct num x, struct num y);
struct num num_neg(const struct field *f, struct num x);
struct num num_abs(const struct field *f, struct num x); /* by the sign of the value */
/* x >= 0. Exact for rationals, also where x became one by way of roots (cos 45 squared); otherwise
 * generic, with the k-th random element. */
struct num num_sqrt(const struct field *f, struct num x, uint64_t k);
/* Cosine and sine of an angle in degrees given as an exact decimal (`degrees` from num_decimal, or
 * an exact sum, difference or multiple of such). Values are the doubles nearest to the true ones
 * (0, 1/2 and 1 exactly); exact residues for multiples of 0.00005 degrees; otherwise generic
 * (the residues of equal and of opposite angles agree all the same). */
void num_cos_sin_degrees(const struct field *f, struct num degrees, struct num *cosine,
                         struct num *sine);
/* The same for radians: exact residues where radians = k x 10^-decimals, with `decimals` (0 to 18)
 * the finest decimal step of the request; otherwise generic. */
void num_cos_sin_radians(const struct field *f, struct num radians, int decimals,
                         struct num *cosine, struct num *sine);

enum zero num_zero(struct num x);

/* Has x left what a double-double can hold (1e-292 to 1e292), not being zero? 3e-308 sin 30 could
 * not be told from 0. */
bool num_is_beyond_range(struct num x);

/* The value in double-double. */
struct dd num_dd(struct num x);

/* The rational in lowest terms, where x is known to be one. */
bool num_is_rational(struct num x, int64_t *ret_numerator, int64_t *ret_denominator);

#endif
