/* share.h: shares of what is drawn at random, and how far chance alone may carry one; how many are
 * drawn. */
#ifndef TESTS_SHARE_H
#define TESTS_SHARE_H

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* A number of the environment: SIM_ANSWERS=1000000. */
static inline long environment(const char *name, long otherwise)
{
    const char *text = getenv(name);
    return text && *text ? strtol(text, NULL, 10) : otherwise;
}

static inline double of(long part, long whole) { return whole ? (double)part / (double)whole : 0; }

/* The chance of so many hits or more, each draw having its own chance p of one: the binomial tail.
 */
static inline double chance_of_at_least(long hits, double p, long draws)
{
    double n = (double)draws, sum = 0;
    if (hits <= 0)
        return 1;
    for (long k = hits; p > 0 && k <= draws; k++) {
        double x = (double)k;
        double term = exp(lgamma(n + 1) - lgamma(x + 1) - lgamma(n - x + 1) + x * log(p) +
                          (n - x) * log1p(-p));
        sum += term;
        if (x > n * p && term < 1e-12)
            break;
    }
    return sum;
}

/* As four standard deviations of a normal share: chance alone goes there once in 30,000. A share of
 * few draws isn't normal: of 40, three hits at a bound of 1 % come once in a hundred. */
static inline bool is_above(double share, double bound, long draws)
{
    return chance_of_at_least(lround(share * (double)draws), bound, draws) < 3.2e-5;
}

#endif
