#include "work/slip.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "work/grow.h"
#include "work/settle.h"
#include "work/written.h"

static const struct slip_row rows[] = {
#define SLIP(name, code, question, method) {code, question, method},
#include "work/slips.def"
#undef SLIP
};

const struct slip_row *slip_row(enum slip slip) { return &rows[slip]; }

/* ---- declaring ---- */

void slip_begin(struct work *w, enum slip slip, const char *pointer, const char *name)
{
    if (!w->keeps_slips || !GROW(w, chance, chance_count, chance_capacity))
        return;
    w->chance[w->chance_count++] = (struct slip_chance){.slip = slip,
                                                        .from = w->node_count,
                                                        .first = w->edit_count,
                                                        .pointer = pointer,
                                                        .name = name};
}

void slip_edit_from(struct work *w, uint32_t from, q right, q wrong, double times)
{
    if (!w->keeps_slips || q_is_none(right) || w->chance_count == 0 ||
        !GROW(w, edit, edit_count, edit_capacity))
        return;
    w->edit[w->edit_count++] = (struct slip_edit){right.i, wrong.i, times, from};
    struct slip_chance *c = &w->chance[w->chance_count - 1];
    if (c->count++ == 0)
        c->from = from;
}

void slip_edit(struct work *w, q right, q wrong, double times)
{
    slip_edit_from(w, w->node_count, right, wrong, times);
    if (!w->keeps_slips || w->chance_count == 0)
        return;
    struct slip_chance *c = &w->chance[w->chance_count - 1];
    c->from = w->node_count;
    for (uint32_t k = c->first; k < w->edit_count; k++)
        w->edit[k].from = w->node_count;
}

void slip_edit_vector(struct work *w, qv right, qv wrong, double times)
{
    for (int axis = 0; axis < 3; axis++)
        slip_edit(w, qv_component(w, right, axis), qv_component(w, wrong, axis), times);
}

void slip_one(struct work *w, enum slip slip, const char *pointer, const char *name, q right,
              q wrong, double times)
{
    if (q_is_none(right))
        return;
    slip_begin(w, slip, pointer, name);
    slip_edit(w, right, wrong, times);
}

void slip_heading(struct work *w, q angle, q x, int x_sign, q y, int y_sign)
{
    if (w->keeps_slips && !q_is_none(angle) && GROW(w, heading, heading_count, heading_capacity))
        w->heading[w->heading_count++] = (struct slip_heading){angle.i, x.i, y.i, x_sign, y_sign};
}

void slip_balance(struct work *w, q left, q right)
{
    if (w->keeps_slips && !q_is_none(left) && GROW(w, balance, balance_count, balance_capacity))
        w->balance[w->balance_count++] = (struct slip_balance){left.i, right.i};
}

void slip_place(struct work *w, const char *name, qv place)
{
    if (w->keeps_slips && name && !qv_is_none(place) && GROW(w, place, place_count, place_capacity))
        w->place[w->place_count++] = (struct named_place){name, place};
}

struct slip_doubts slip_enter(const struct work *w)
{
    return (struct slip_doubts){w->doubt_rounding, w->doubt_digits, w->unlucky, w->inconsistent};
}

void slip_leave(struct work *w, struct slip_doubts doubts)
{
    w->doubt_rounding = doubts.rounding;
    w->doubt_digits = doubts.digits;
    w->unlucky = doubts.unlucky;
    w->inconsistent = doubts.inconsistent;
}

/* ---- replaying ---- */

static double sum_of(const uint32_t *term, uint32_t count, const double *value_of)
{
    double sum = 0.0;
    for (uint32_t k = 0; k < count; k++)
        sum += value_of[term[k]];
    return sum;
}

static double operate(const struct work *w, uint32_t i, const double *value_of)
{
    const struct node *n = &w->node[i];
    uint32_t count;
    const uint32_t *operand = q_operands(w, (q){i}, &count);
    if (n->op == OP_SUM)
        return sum_of(operand, count, value_of);
    double turn = unit_angle_radians(w->units.angle), v = n->num.value;
    double a = count > 0 ? value_of[operand[0]] : 0.0, b = count > 1 ? value_of[operand[1]] : 0.0;
    switch ((enum op)n->op) {
#define OP(name, operands, form, written, value, to_a, to_b)                                       \
    case OP_##name:                                                                                \
        return value;
#include "work/ops.def"
#undef OP
    case OP_MAX_:
        break;
    }
    return v;
}

/* The direction of changed components, from 0 to a whole turn. */
static double heading_value(const struct work *w, const struct slip_heading *h, const double *v)
{
    double angle = atan2(h->y_sign * v[h->y], h->x_sign * v[h->x]);
    if (angle < 0.0)
        angle += RADIANS_PER_TURN;
    return angle / unit_angle_radians(w->units.angle);
}

double slip_value(const struct work *w, uint32_t node, const struct slip_heading *heading,
                  const double *value)
{
    return heading ? heading_value(w, heading, value) : operate(w, node, value);
}

static double rounded(double x, int figures)
{
    if (!isfinite(x) || x == 0.0)
        return x;
    double step = pow(10.0, floor(log10(fabs(x))) - figures + 1);
    return round(x / step) * step;
}

static unsigned kind_written(const struct node *n)
{
    if (!n->dimension.force && !n->dimension.mass)
        return ROUND_RATIOS;
    if (n->op == OP_SUM || n->op == OP_SUB)
        return ROUND_SUMS;
    return n->op == OP_SQRT ? ROUND_ROOTS : ROUND_PRODUCTS;
}

static double as_written(const struct work *w, const struct replay *r, uint32_t i, double x)
{
    const struct node *n = &w->node[i];
    if (!node_is_written(w, n))
        return x;
    if (n->dimension.angle)
        return r->angle_step > 0.0 ? round(x / r->angle_step) * r->angle_step : x;
    return r->figures > 0 && (r->rounded & kind_written(n)) ? rounded(x, r->figures) : x;
}

uint32_t slip_changes(const struct work *w, const struct slip_chance *c, uint32_t next, uint32_t i,
                      const double *value, double ret_changed[SLIPS_AT_ONCE])
{
    const struct slip_edit *e = &w->edit[c->first];
    uint32_t count = 0;
    for (; count < SLIPS_AT_ONCE && next + count < c->count && e[next + count].from == i; count++) {
        const struct slip_edit *one = &e[next + count];
        ret_changed[count] = one->wrong ? one->times * value[one->wrong] : 0.0;
    }
    return count;
}

/* The edits from node i on. Returns the next one. */
static uint32_t make_edits(const struct work *w, const struct slip_chance *c, uint32_t next,
                           uint32_t i, double *v)
{
    const struct slip_edit *e = &w->edit[c->first];
    double changed[SLIPS_AT_ONCE];
    while (next < c->count && e[next].from == i) {
        uint32_t count = slip_changes(w, c, next, i, v, changed);
        for (uint32_t k = 0; k < count; k++)
            v[e[next++].right] = changed[k];
    }
    return next;
}

void slip_replay(struct work *w, const struct replay *r, double *v)
{
    bool rounds = r->figures > 0 || r->angle_step > 0.0;
    uint32_t first = rounds ? 1 : w->node_count, h = 0, o = 0, next[2] = {0, 0};
    for (int k = 0; k < 2; k++)
        if (r->chance[k] && r->chance[k]->from < first)
            first = r->chance[k]->from;
    if (r->own_count && r->own[0].node < first)
        first = r->own[0].node;
    w->replayed += w->node_count;
    /* What is made with a change may stand before it: the numbers changed are read from there. */
    for (uint32_t i = 0; i < first; i++)
        v[i] = w->node[i].num.value;
    while (h < w->heading_count && w->heading[h].angle < first)
        h++;
    for (uint32_t i = first; i < w->node_count; i++) {
        for (int k = 0; k < 2; k++)
            if (r->chance[k])
                next[k] = make_edits(w, r->chance[k], next[k], i, v);
        v[i] = operate(w, i, v);
        if (h < w->heading_count && w->heading[h].angle == i)
            v[i] = heading_value(w, &w->heading[h++], v);
        if (r->unrounded)
            r->unrounded[i] = v[i];
        if (rounds)
            v[i] = as_written(w, r, i, v[i]);
        for (; o < r->own_count && r->own[o].node == i; o++) {
            if (r->computed)
                r->computed[o] = v[i];
            v[i] = r->own[o].value;
        }
    }
    for (int k = 0; k < 2; k++)
        if (r->chance[k])
            make_edits(w, r->chance[k], next[k], w->node_count, v);
}
