/* sweep.c: the derivatives of one number with respect to all before it, backward over the tape
 * (reverse mode). */
#include "work/settle.h"

#include <math.h>

/* d more for node i, which is reached now. */
static void add(struct work *w, uint32_t i, double d)
{
    if (!work_is_reached(w, i))
        w->adjoint[i] = 0.0;
    work_reach(w, i);
    w->adjoint[i] += d;
}

/* What a derivative d by node i hands on to its first operand and to each of the others; a sum
 * hands the same on to each of its terms. */
struct share {
    double first, others;
};

static struct share share_of(const struct work *w, uint32_t i, double d, const uint32_t *operand,
                             uint32_t count)
{
    static const struct angle_pair no_angle;
    const struct node *first = &w->node[operand[0]], *second = &w->node[operand[count > 1]];
    const struct angle_pair *pair = first->pair ? &w->pair[first->pair - 1] : &no_angle;
    double a = first->num.value, b = second->num.value, v = w->node[i].num.value;
    double cosine = pair->cosine.value, sine = pair->sine.value,
           turn = unit_angle_radians(w->units.angle);
    struct share share = {0.0, 0.0};
    switch ((enum op)w->node[i].op) {
#define OP(name, operands, form, written, value, to_a, to_b)                                       \
    case OP_##name:                                                                                \
        share = (struct share){to_a, to_b};                                                        \
        break;
#include "work/ops.def"
#undef OP
    case OP_MAX_:
        break;
    }
    return share;
}

static void spread(struct work *w, uint32_t i)
{
    uint32_t count;
    const uint32_t *operand = q_operands(w, (q){i}, &count);
    if (count == 0)
        return;
    struct share share = share_of(w, i, w->adjoint[i], operand, count);
    add(w, operand[0], share.first);
    for (uint32_t k = 1; k < count; k++)
        add(w, operand[k], share.others);
}

double work_stray_of_operands(const struct work *w, uint32_t i, const double *stray)
{
    uint32_t count;
    const uint32_t *operand = q_operands(w, (q){i}, &count);
    double sum = 0.0;
    if (count == 0)
        return sum;
    struct share share = share_of(w, i, 1.0, operand, count);
    for (uint32_t k = 0; k < count; k++) {
        double by = fabs(k == 0 ? share.first : share.others);
        if (by > 0.0 && stray[operand[k]] > 0.0) /* 0 times what is not known is 0 */
            sum += by * stray[operand[k]];
    }
    return sum;
}

static const double *sweep(struct work *w, q x, bool to_ways)
{
    if (x.i >= w->adjoint_capacity) {
        uint32_t capacity = w->node_capacity;
        w->adjoint = arena_alloc(w->arena, capacity * sizeof *w->adjoint);
        w->adjoint_capacity = w->adjoint ? capacity : 0;
        if (!w->adjoint) {
            w->failed = true;
            return NULL;
        }
    }
    if (!work_reach_none(w, x))
        return NULL;
    add(w, x.i, 1.0);
    for (uint32_t i = x.i; i > 0; i = work_reached_below(w, i))
        if (w->adjoint[i] != 0.0 && !(to_ways && i < x.i && w->node[i].has_ways))
            spread(w, i);
    return w->adjoint;
}

const double *work_sweep(struct work *w, q x) { return sweep(w, x, false); }

const double *work_sweep_to_ways(struct work *w, q x) { return sweep(w, x, true); }
