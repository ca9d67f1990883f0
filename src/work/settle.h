/* settle.h: looking back over the tape (inside src/work only). */
#ifndef WORK_SETTLE_H
#define WORK_SETTLE_H

#include "work/work.h"

/* Zero is decided, once, where a sum is made: what is zero exactly, within rounding, or within the
 * digits given becomes 0. */
void work_settle(struct work *w, q x);

/* Which nodes are reached from x, itself included: looking back visits them alone, downward,
 *     for (uint32_t i = x.i; i > 0; i = work_reached_below(w, i))
 * Valid until the next call of work_sweep, work_sweep_to_ways or work_ancestors. */
static inline bool work_is_reached(const struct work *w, uint32_t i)
{
    return w->reached[i / 64] >> i % 64 & 1;
}
static inline void work_reach(struct work *w, uint32_t i)
{
    w->reached[i / 64] |= (uint64_t)1 << i % 64;
}
/* None yet, of those up to x. False: no memory. */
bool work_reach_none(struct work *w, q x);
/* The next below i; 0: there is none. */
uint32_t work_reached_below(const struct work *w, uint32_t i);

/* Derivatives of `x` with respect to the nodes it was worked out from, by one backward sweep:
 * adjoint[i] = ∂x/∂node i, of nodes that are reached. NULL when there is no memory. */
const double *work_sweep(struct work *w, q x);
/* The same, but not beyond numbers before x that have other ways: those are taken as they are. */
const double *work_sweep_to_ways(struct work *w, q x);

/* Reach the nodes that `x` was worked out from. False: no memory. */
bool work_ancestors(struct work *w, q x);

/* How far node i strays, to the first order and at worst, where its operands stray that far. */
double work_stray_of_operands(const struct work *w, uint32_t i, const double *stray);

#endif
