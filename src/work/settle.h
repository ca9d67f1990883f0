/* settle.h: looking back over the tape (inside src/work only). */
#ifndef WORK_SETTLE_H
#define WORK_SETTLE_H

#include "work/work.h"

/* Zero is decided, once, where a sum is made: what is zero exactly, within rounding, or within the
 * digits given becomes 0. */
void work_settle(struct work *w, q x);

/* Derivatives of `x` with respect to every node up to it, by one backward sweep: adjoint[i] =
 * ∂x/∂node i. Valid until the next sweep; NULL when there is no memory. */
const double *work_sweep(struct work *w, q x);
/* The same, but not beyond numbers before x that have other ways: those are taken as they are. */
const double *work_sweep_to_ways(struct work *w, q x);

#define RADIANS_PER_DEGREE 0.017453292519943295769

/* The request's unit of angle, in radians. */
static inline double radians_per_angle(const struct work *w)
{
    return w->units.angle == UNIT_DEG ? RADIANS_PER_DEGREE : 1.0;
}

/* Which nodes `x` was worked out from, itself included: x.i + 1 flags, valid until the next call;
 * NULL when there is no memory. */
const bool *work_ancestors(struct work *w, q x);

#endif
