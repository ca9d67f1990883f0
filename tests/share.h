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

/* So many standard deviations of a share that is drawn so often may lie above its bound. */
static inline bool is_above(double share, double bound, long draws)
{
    return share > bound + 4 * sqrt(bound * (1 - bound) / (double)(draws ? draws : 1));
}

#endif
