/* typed.h: a number as a student types it.
 *
 *   typed    = [sign] factor *([ ] operator [ ] factor) [[ ] unit]
 *   sign     = "+" / "-" / "−" (U+2212)
 *   operator = "*" / "·" (U+00B7) / "×" (U+00D7) / "/"
 *   factor   = (digits ["." / ("." / ",") digits] / ("." / ",") digits) [exponent]
 *   exponent = ("e" / "E") ["+" / "-" / "−"] digits
 *
 * and blanks before and after. From left to right, as a calculator does: 3/5*26 is 15.6. Nothing
 * else is read: no brackets, no names, no thousands. */
#ifndef MARKING_TYPED_H
#define MARKING_TYPED_H

#include <stdbool.h>
#include <stddef.h>

#include "vector/unit.h"

/* The value of `text`, converted to the units `to`; a number without a unit is in `from`. `wanted`
 * is its dimension; "°" stands for deg. False where it is not of this grammar, has a unit of
 * another dimension, or is not finite. */
bool typed_read(const char *text, size_t length, struct dimension wanted, struct units from,
                struct units to, double *ret_value);

/* The end of a member's force as it is written down: "12.5 kN (C)", "12.5 kN T", "12.5 tension".
 * Cut off, with the blanks before it: "tension", "compression" or NULL. */
const char *typed_take_sense(const char *text, size_t *length);

/* `value`, with a unit as typed. False where that is unknown or of another dimension. */
bool typed_with_unit(double value, const char *unit, size_t length, struct dimension wanted,
                     struct units to, double *ret_value);

/* `value` in `from`, converted. */
double typed_convert(double value, struct dimension dimension, struct units from, struct units to);

#endif
