#include "oracle/recompute.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* One rounding of a double, and the few of a library's sine: relative to the largest term. */
#define ROUNDING (8 * (long double)DBL_EPSILON)

struct again {
    long double value;
    long double scale; /* of its terms */
    bool known;        /* false: not computed from operands */
    long double
        error; /* of its terms, as they bound it themselves: a sum may be nearer the truth */
};

static long double value_at(const struct work *w, uint32_t i)
{
    return (long double)w->node[i].num.value;
}

static long double error_of(const struct work *w, uint32_t i)
{
    return (long double)w->node[i].num.error + (long double)w->node[i].num.slack;
}

static long double unit_of_angle(const struct work *w)
{
    return w->units.angle == UNIT_RAD ? 1 : acosl(-1) / 180;
}

static struct again again_scalar(const struct work *w, uint32_t i)
{
    const struct node *n = &w->node[i];
    long double a = value_at(w, n->operand[0]), b = 0, turn = unit_of_angle(w);
    struct again r = {0, 0, true, 0};
    switch ((enum op)n->op) {
    case OP_NONE:
    case OP_MAX_:
    case OP_UNKNOWN:
        r.known = false;
        break;
    case OP_GIVEN:
        r.value = strtold(n->text, NULL);
        break;
    case OP_CONSTANT: /* its text may be a name (π): then it is checked where it is used */
    {
        char *end;
        r.value = strtold(n->text ? n->text : "", &end);
        r.known = n->text && end != n->text && *end == '\0';
    } break;
    case OP_SAME:
        r.value = a;
        break;
    case OP_SUM:
        for (uint32_t k = 0; k < n->operand[1]; k++) {
            b = value_at(w, w->pool[n->operand[0] + k]);
            r.value += b;
            r.scale += fabsl(b) * n->operand[1];
            r.error += error_of(w, w->pool[n->operand[0] + k]);
        }
        break;
    case OP_SUB:
        b = value_at(w, n->operand[1]);
        r.value = a - b;
        r.scale = fabsl(a) + fabsl(b);
        r.error = error_of(w, n->operand[0]) + error_of(w, n->operand[1]);
        break;
    case OP_MUL:
    case OP_CONVERT:
        r.value = a * value_at(w, n->operand[1]);
        break;
    case OP_DIV:
        r.value = a / value_at(w, n->operand[1]);
        break;
    case OP_NEG:
        r.value = -a;
        break;
    case OP_SQUARE:
        r.value = a * a;
        break;
    case OP_SQRT:
        r.value = sqrtl(a);
        break;
    case OP_ABS:
        r.value = fabsl(a);
        break;
    case OP_SIN:
        r.value = sinl(a * turn);
        r.scale = 1;
        break;
    case OP_COS:
        r.value = cosl(a * turn);
        r.scale = 1;
        break;
    case OP_TAN:
        r.value = tanl(a * turn);
        r.scale = 1 + r.value * r.value;
        break;
    case OP_ASIN: /* steep at the ends: the argument's own rounding is the scale */
        r.value = asinl(a) / turn;
        r.scale = (1 + 1 / sqrtl(fmaxl(1 - a * a, (long double)DBL_EPSILON))) / turn;
        break;
    case OP_ACOS:
        r.value = acosl(a) / turn;
        r.scale = (1 + 1 / sqrtl(fmaxl(1 - a * a, (long double)DBL_EPSILON))) / turn;
        break;
    case OP_ATAN:
        r.value = atanl(a) / turn;
        r.scale = 1 / turn;
        break;
    case OP_DOT: {
        const struct vector *u = &w->vector[n->vectors[0]], *v = &w->vector[n->vectors[1]];
        for (int k = 0; k < 3; k++) {
            long double term = value_at(w, u->component[k].i) * value_at(w, v->component[k].i);
            r.value += term;
            r.scale += fabsl(term) * 3;
        }
        break;
    }
    case OP_NORM: {
        const struct vector *u = &w->vector[n->vectors[0]];
        for (int k = 0; k < 3; k++) {
            long double c = value_at(w, u->component[k].i);
            r.value += c * c;
        }
        r.value = sqrtl(r.value);
        break;
    }
    }
    r.scale = fmaxl(r.scale, fabsl(r.value));
    return r;
}

/* A value that cancelled may have been computed again more exactly, or settled as 0: it is then
 * nearer the truth than its operands are, within its own bound of error. */
static bool differs(const struct again *r, const struct num *num)
{
    return r->known && !(fabsl(r->value - (long double)num->value) <=
                         ROUNDING * r->scale + r->error + (long double)(num->error + num->slack));
}

/* Component k of a vector node from its operands. */
static struct again again_component(const struct work *w, const struct vector *v, int k)
{
    struct again r = {0, 0, true, 0};
    long double a[3], b[3];
    const struct vector *first = &w->vector[v->operand[0]], *second = &w->vector[v->operand[1]];
    switch ((enum vector_op)v->op) {
    case VECTOR_NONE:
    case VECTOR_OP_MAX_:
    case VECTOR_COMPONENTS:
        r.known = false;
        break;
    case VECTOR_SAME:
        r.value = value_at(w, first->component[k].i);
        break;
    case VECTOR_SUM:
        for (uint32_t t = 0; t < v->operand[1]; t++) {
            long double term = value_at(w, w->vector[w->pool[v->operand[0] + t]].component[k].i);
            r.value += term;
            r.scale += fabsl(term) * v->operand[1];
        }
        break;
    case VECTOR_SUB:
        a[0] = value_at(w, first->component[k].i);
        b[0] = value_at(w, second->component[k].i);
        r.value = a[0] - b[0];
        r.scale = fabsl(a[0]) + fabsl(b[0]);
        break;
    case VECTOR_SCALE:
        r.value = value_at(w, v->operand[0]) * value_at(w, second->component[k].i);
        break;
    case VECTOR_OVER:
        r.value = value_at(w, first->component[k].i) / value_at(w, v->operand[1]);
        break;
    case VECTOR_NEG:
        r.value = -value_at(w, first->component[k].i);
        break;
    case VECTOR_CROSS: {
        int i = (k + 1) % 3, j = (k + 2) % 3;
        long double plus = value_at(w, first->component[i].i) * value_at(w, second->component[j].i);
        long double minus =
            value_at(w, first->component[j].i) * value_at(w, second->component[i].i);
        r.value = plus - minus;
        r.scale = fabsl(plus) + fabsl(minus);
        break;
    }
    }
    r.scale = fmaxl(r.scale, fabsl(r.value));
    return r;
}

bool recompute_all(const struct work *w, char *text, size_t capacity)
{
    for (uint32_t i = 1; i < w->node_count; i++) {
        struct again r = again_scalar(w, i);
        if (differs(&r, &w->node[i].num)) {
            snprintf(text, capacity, "node %u (operation %d, %s) is %.17g, worked again %.17Lg", i,
                     w->node[i].op, w->node[i].symbol.base ? w->node[i].symbol.base : "no name",
                     w->node[i].num.value, r.value);
            return false;
        }
        enum op op = (enum op)w->node[i].op; /* the scalar that computes a dot or a norm */
        if ((op == OP_DOT || op == OP_NORM) &&
            value_at(w, w->node[i].operand[0]) != value_at(w, i)) {
            snprintf(text, capacity, "node %u differs from the scalar that computes it", i);
            return false;
        }
    }
    for (uint32_t i = 1; i < w->vector_count; i++) {
        const struct vector *v = &w->vector[i];
        for (int k = 0; k < 3; k++) {
            struct again r = again_component(w, v, k);
            if (v->component[k].i != 0 && differs(&r, &w->node[v->component[k].i].num)) {
                snprintf(text, capacity,
                         "vector %u (operation %d), component %d is %.17g, "
                         "worked again %.17Lg",
                         i, v->op, k, w->node[v->component[k].i].num.value, r.value);
                return false;
            }
        }
    }
    return true;
}
