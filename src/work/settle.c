#include "work/settle.h"

#include <math.h>
#include <string.h>

static void reach_operands(struct work *w, uint32_t i)
{
    uint32_t count;
    const uint32_t *operand = q_operands(w, (q){i}, &count);
    for (uint32_t k = 0; k < count; k++)
        work_reach(w, operand[k]);
}

bool work_reach_none(struct work *w, q x)
{
    size_t words = x.i / 64 + 1;
    if (words > w->reached_capacity) {
        w->reached_capacity = w->node_capacity / 64 + 1;
        w->reached = arena_alloc(w->arena, w->reached_capacity * sizeof *w->reached);
        if (!w->reached) {
            w->reached_capacity = 0;
            w->failed = true;
            return false;
        }
    }
    memset(w->reached, 0, words * sizeof *w->reached);
    return true;
}

uint32_t work_reached_below(const struct work *w, uint32_t i)
{
    uint32_t word = i / 64;
    uint64_t bits = w->reached[word] & (((uint64_t)1 << i % 64) - 1);
    while (!bits && word > 0)
        bits = w->reached[--word];
    return bits ? 64 * word + 63 - (uint32_t)__builtin_clzll(bits) : 0;
}

bool work_ancestors(struct work *w, q x)
{
    if (!work_reach_none(w, x))
        return false;
    work_reach(w, x.i);
    for (uint32_t i = x.i; i > 0; i = work_reached_below(w, i))
        reach_operands(w, i);
    return true;
}

/* The error that the long decimals given leave in x: their derivatives, not a sum of worst cases on
 * the way. */
static double digits_slack(struct work *w, q x)
{
    const double *adjoint = work_sweep(w, x);
    double slack = 0.0;
    for (uint32_t i = x.i; adjoint && i > 0; i = work_reached_below(w, i))
        if (w->node[i].op == OP_GIVEN && w->node[i].num.slack > 0.0)
            slack += fabs(adjoint[i]) * w->node[i].num.slack;
    return isnan(slack) ? HUGE_VAL : slack; /* where derivatives leave the range of a double */
}

void work_settle(struct work *w, q x)
{
    enum zero zero = num_zero(w->node[x.i].num);
    if (zero == ZERO_NO || zero == ZERO_EXACT)
        return;
    work_beyond(w, BEYOND_DIGITS, zero == ZERO_UNSETTLED);
    if (zero == ZERO_WITHIN_DIGITS) {
        double slack = digits_slack(w, x);
        w->node[x.i].num.slack = slack;
        if (num_zero(w->node[x.i].num) == ZERO_NO)
            return;
    }
    /* The residue stays that of the number: what is dropped from the value counts as its error, so
     * that the two don't contradict each other later. */
    struct num *num = &w->node[x.i].num;
    num->error += fabs(num->value);
    num->value = num->low = 0.0;
    num->denominator = 0;
}
