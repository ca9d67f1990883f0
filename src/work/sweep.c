/* sweep.c: the derivatives of one number with respect to all before it, backward over the tape
 * (reverse mode). */
#include "work/settle.h"

#include <math.h>
#include <string.h>

#define RADIANS_PER_DEGREE 0.017453292519943295769

static void spread(const struct work *w, uint32_t i, double *adjoint)
{
    const struct node *n = &w->node[i];
    double d = adjoint[i], unit = w->units.angle == UNIT_DEG ? RADIANS_PER_DEGREE : 1.0;
    uint32_t a = n->operand[0], b = n->operand[1];
    double x = w->node[n->op == OP_SUM ? 0 : a].num.value;
    switch ((enum op)n->op) {
    case OP_SUM:
        for (uint32_t k = 0; k < b; k++)
            adjoint[w->pool[a + k]] += d;
        return;
    case OP_SAME:
    case OP_DOT:
    case OP_NORM:
    case OP_UNKNOWN:
        adjoint[a] += d;
        return;
    case OP_SUB:
        adjoint[a] += d;
        adjoint[b] -= d;
        return;
    case OP_MUL:
    case OP_CONVERT:
        adjoint[a] += d * w->node[b].num.value;
        adjoint[b] += d * x;
        return;
    case OP_DIV: {
        double y = w->node[b].num.value;
        adjoint[a] += d / y;
        adjoint[b] -= d * x / (y * y);
        return;
    }
    case OP_NEG:
        adjoint[a] -= d;
        return;
    case OP_SQUARE:
        adjoint[a] += 2.0 * d * x;
        return;
    case OP_SQRT:
        if (n->num.value > 0.0)
            adjoint[a] += 0.5 * d / n->num.value;
        return;
    case OP_ABS:
        adjoint[a] += x < 0.0 ? -d : d;
        return;
    case OP_SIN:
        adjoint[a] += d * unit * w->pair[w->node[a].pair - 1].cosine.value;
        return;
    case OP_COS:
        adjoint[a] -= d * unit * w->pair[w->node[a].pair - 1].sine.value;
        return;
    case OP_TAN:
        adjoint[a] += d * unit * (1.0 + n->num.value * n->num.value);
        return;
    case OP_ASIN:
        adjoint[a] += d / unit / sqrt(fmax(1.0 - x * x, 1e-16));
        return;
    case OP_ACOS:
        adjoint[a] -= d / unit / sqrt(fmax(1.0 - x * x, 1e-16));
        return;
    case OP_ATAN:
        adjoint[a] += d / unit / (1.0 + x * x);
        return;
    case OP_NONE:
    case OP_GIVEN:
    case OP_CONSTANT:
    case OP_MAX_:
        return;
    }
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
    memset(w->adjoint, 0, (x.i + 1) * sizeof *w->adjoint);
    w->adjoint[x.i] = 1.0;
    for (uint32_t i = x.i; i > 0; i--)
        if (w->adjoint[i] != 0.0 && !(to_ways && i < x.i && w->node[i].has_ways))
            spread(w, i, w->adjoint);
    return w->adjoint;
}

const double *work_sweep(struct work *w, q x) { return sweep(w, x, false); }

const double *work_sweep_to_ways(struct work *w, q x) { return sweep(w, x, true); }
