/* refine.h: when a double is not enough (inside src/work only). */
#ifndef WORK_REFINE_H
#define WORK_REFINE_H

#include "vector/dd.h"
#include "work/work.h"

/* The number worked out again from its givens in double-double. */
struct dd work_refined(struct work *w, q x);

/* acos of a ratio in radians, right to a double where the cosine is flat. */
double work_refined_acos(struct work *w, q ratio);

/* Zero is decided, once, where a sum is made: exact zeros and zeros within rounding or within the
 * digits given become 0; a value whose rounding hides its sign is recomputed. */
void work_settle(struct work *w, q x);

/* Derivatives of `x` with respect to every node up to it, by one backward sweep: adjoint[i] =
 * ∂x/∂node i. Valid until the next sweep; NULL when there is no memory. */
const double *work_sweep(struct work *w, q x);

/* Which nodes `x` was worked out from, itself included: x.i + 1 flags, in the arena; NULL when
 * there is no memory. */
const bool *work_ancestors(struct work *w, q x);

#endif
