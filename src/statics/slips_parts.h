/* slips_parts.h: what the files of slips share. */
#ifndef STATICS_SLIPS_PARTS_H
#define STATICS_SLIPS_PARTS_H

#include "statics/slips.h"

/* -1, 0 or 1: how a wrong number, worked from sizes, gets the sign of the right one. */
static inline double sign_of(const struct work *w, q x)
{
    double value = q_value(w, x);
    return value > 0.0 ? 1.0 : value < 0.0 ? -1.0 : 0.0;
}

static inline int axes_of(const struct work *w) { return w->space ? 3 : 2; }

#endif
