/* dd.h: double-double arithmetic: a number as the unevaluated sum of two doubles, about 32 digits.
 *
 * Algorithms and error bounds: Joldes, Muller, Popescu, "Tight and rigorous error bounds for basic
 * building blocks of double-word arithmetic", ACM TOMS 44 (2017). Relative errors: sum and
 * product below 2^-103, quotient and root below 2^-101, sine and cosine below 2^-99 (absolute), as
 * long as nothing overflows and no low part underflows. */
#ifndef VECTOR_DD_H
#define VECTOR_DD_H

#include <math.h>

struct dd {
    double hi, lo; /* |lo| <= half a unit in the last place of hi */
};

/* The larger, x where y is not a number; fmax would be a call. */
static inline double dd_larger(double x, double y) { return y > x ? y : x; }

/* x + y for |x| >= |y|, without error. */
static inline struct dd dd_quick_sum(double x, double y)
{
    double s = x + y;
    return (struct dd){s, y - (s - x)};
}

/* x + y without error. */
static inline struct dd dd_sum(double x, double y)
{
    double s = x + y;
    double t = s - x;
    return (struct dd){s, (x - (s - t)) + (y - t)};
}

/* x y without error. */
static inline struct dd dd_product(double x, double y)
{
    double p = x * y;
    return (struct dd){p, fma(x, y, -p)};
}

static inline struct dd dd_add(struct dd x, struct dd y)
{
    struct dd s = dd_sum(x.hi, y.hi);
    struct dd t = dd_sum(x.lo, y.lo);
    s = dd_quick_sum(s.hi, s.lo + t.hi);
    return dd_quick_sum(s.hi, s.lo + t.lo);
}

static inline struct dd dd_neg(struct dd x) { return (struct dd){-x.hi, -x.lo}; }

static inline struct dd dd_sub(struct dd x, struct dd y) { return dd_add(x, dd_neg(y)); }

static inline struct dd dd_mul(struct dd x, struct dd y)
{
    struct dd p = dd_product(x.hi, y.hi);
    return dd_quick_sum(p.hi, p.lo + fma(x.hi, y.lo, x.lo * y.hi));
}

/* y is not 0. */
static inline struct dd dd_div(struct dd x, struct dd y)
{
    double q = x.hi / y.hi;
    struct dd p = dd_product(q, y.hi);
    double rest = (x.hi - p.hi) - p.lo;
    rest += x.lo - q * y.lo;
    return dd_quick_sum(q, rest / y.hi);
}

/* x >= 0. */
struct dd dd_sqrt(struct dd x);

/* An integer below 2^63 in size, without error. */
struct dd dd_integer(long long n);

/* sign digits x 10^exponent10, relative error below 2^-98; exact where the number is an integer
 * below 10^30, or a double. `digits` are ASCII 0-9, at most 30; |exponent10| <= 440. Not finite
 * where it overflows, 0 where it underflows. */
struct dd dd_decimal(int negative, const char *digits, int count, int exponent10);

/* Cosine and sine of an angle in degrees (|degrees| below 2^50). At multiples of 15 degrees `hi` is
 * the double nearest to the true value, and 0, 1/2 and 1 are exact. */
void dd_cos_sin_degrees(struct dd degrees, struct dd *cosine, struct dd *sine);

/* The same for radians: the error grows by |radians| 2^-101. */
void dd_cos_sin_radians(struct dd radians, struct dd *cosine, struct dd *sine);

#endif
