#include "work/settle.h"

#include <math.h>
#include <string.h>

static void mark_operands(const struct work *w, q x, bool *needed)
{
    uint32_t count;
    const uint32_t *operand = q_operands(w, x, &count);
    for (uint32_t k = 0; k < count; k++)
        needed[operand[k]] = true;
}

const bool *work_ancestors(struct work *w, q x)
{
    if (x.i >= w->ancestor_capacity) {
        w->ancestor = arena_alloc(w->arena, w->node_capacity * sizeof *w->ancestor);
        w->ancestor_capacity = w->ancestor ? w->node_capacity : 0;
        if (!w->ancestor) {
            w->failed = true;
            return NULL;
        }
    }
    memset(w->ancestor, 0, (x.i + 1) * sizeof *w->ancestor);
    w->ancestor[x.i] = true;
    for (uint32_t i = x.i; i > 0; i--)
        if (w->ancestor[i])
            mark_operands(w, (q){i}, w->ancestor);
    return w->ancestor;
}

/* The error that the long decimals given leave in x: their derivatives, not a sum of worst cases on
 * the way. */
static double digits_slack(struct work *w, q x)
{
    const double *adjoint = work_sweep(w, x);
    double slack = 0.0;
    for (uint32_t i = 1; adjoint && i <= x.i; i++)
        if (w->node[i].op == OP_GIVEN)
            slack += fabs(adjoint[i]) * w->node[i].num.slack;
    return slack;
}

void work_settle(struct work *w, q x)
{
    enum zero zero = num_zero(w->node[x.i].num);
    if (zero == ZERO_NO)
        return;
    if (zero == ZERO_WITHIN_DIGITS) {
        double slack = digits_slack(w, x);
        w->node[x.i].num.slack = slack;
        if (num_zero(w->node[x.i].num) == ZERO_NO)
            return;
    }
    w->node[x.i].num.value = w->node[x.i].num.low = 0.0;
}
