/* num_parts.h: what num.c, num_decimal.c and num_circle.c share: bounds of errors, and the end of
 * every operation (inside src/vector only). */
#ifndef VECTOR_NUM_PARTS_H
#define VECTOR_NUM_PARTS_H

#include <math.h>

#include "vector/field_ops.h"
#include "vector/num.h"

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

#define EXACT_INTEGER_MAX ((int64_t)1 << 53)

extern const int64_t num_power_of_ten[19];

/* What every operation ends with: an integer has its value exactly, a zero residue makes the value
 * 0, and a zero that the value contradicts is bad luck with the field. */
static inline struct num settled(struct num x)
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

#endif
