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

/* Which nodes `x` was worked out from, itself included: x.i + 1 flags, valid until the next call;
 * NULL when there is no memory. */
const bool *work_ancestors(struct work *w, q x);

#endif
