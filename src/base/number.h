/* number.h: the only place where a double becomes text. */
#ifndef BASE_NUMBER_H
#define BASE_NUMBER_H

#include <stdbool.h>

#include "base/buf.h"

/* A rounded decimal number, so that each notation may write the parts its own way. */
struct number_text {
    bool negative;
    char digits[40]; /* plain decimal without sign: "26.0", "0.00123", "12300" */
    int exponent10;  /* power of ten that multiplies `digits`; 0 for plain numbers (1e-4 <= |x| <
                        1e7, once rounded) */
};

/* `value` (finite) to 12 significant digits, as a JSON number: no trailing zeros, never -0.
 * Correctly rounded, ties to even. Laid out as ECMAScript does: plain from 1e-6 to below 1e21,
 * otherwise "1.5e-7", "2e+21". */
void number_put_json(struct buf *b, double value);

/* `value` (finite) to `figures` significant figures (1 to 12), half away from zero on the decimal
 * value of the double; with `one_more_after_one` one figure more where the value's leading digit
 * (at 12 figures) is 1. 0 is "0". Trailing zeros are kept: they say the precision. Zero never has a
 * sign. */
struct number_text number_to_figures(double value, int figures, bool one_more_after_one);

/* `value` (finite, below 1e15) to `places` decimal places (0 to 12), half away from zero. */
struct number_text number_to_places(double value, int places);

/* The figures that number_to_figures keeps: `figures`, or one more. */
int number_figures(double value, int figures, bool one_more_after_one);

/* Half a unit of the last figure kept when `value` is written to `figures` (1 to 13) significant
 * figures; 0 for 0. */
double number_half_unit(double value, int figures);

#endif
