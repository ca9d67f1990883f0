/* slips_bodies.c: what students write in place of the right line of an equilibrium. */
#include <string.h>

#include "statics/assembly.h"
#include "statics/slips_parts.h"
#include "work/slip.h"

/* ---- the direction of an unknown ---- */

void slips_of_aim(struct work *w, enum slip slip, const struct aim *aim, const char *pointer,
                  const char *name)
{
    q x = aim->part[0].factor, y = aim->part[1].factor;
    if (!w->keeps_slips || w->space || q_is_none(x) || q_is_none(y))
        return;
    double signs = sign_of(w, x) * sign_of(w, y);
    slip_begin(w, slip, pointer, name);
    slip_edit(w, x, y, signs);
    slip_edit(w, y, x, signs);
}

void slips_of_roller(struct work *w, const struct aim *aim, struct half_axis up,
                     const char *pointer, const char *name)
{
    q x = aim->part[0].factor, y = aim->part[1].factor;
    if (!w->keeps_slips || w->space || q_is_none(x) || q_is_none(y) || up.axis > 1)
        return;
    q along = up.axis == 0 ? x : y, across = up.axis == 0 ? y : x;
    slip_begin(w, SLIP_EQ_ROLLER, pointer, name);
    slip_edit(w, along, along, 1.0 / q_value(w, along) * sign_of(w, along));
    slip_edit(w, across, (q){0}, 0.0);
}

/* ---- one moment in a sum of moments ---- */

/* F r with its sense, one product alone, arms exchanged. `term` is x F_y − y F_x as it stands. */
void slips_of_term(struct board *b, const struct load *load, qv place, qv centre, q term)
{
    struct work *w = b->w;
    if (!w->keeps_slips || w->failed || w->space || q_is_none(term))
        return;
    struct slip_doubts doubts = slip_enter(w);
    const char *pointer = load->pointer, *name = load->name;
    qv r = qv_is_none(centre) ? place : qv_sub(w, place, centre);
    q x = qv_component(w, r, 0), y = qv_component(w, r, 1);
    q fx = qv_component(w, load->vector, 0), fy = qv_component(w, load->vector, 1);
    q first = q_mul(w, x, fy), second = q_mul(w, y, fx);
    q slant = q_mul(w, q_norm(w, r), q_norm(w, load->vector));
    q arms = q_sub(w, q_mul(w, x, fx), q_mul(w, y, fy)), add = q_add(w, first, second);
    bool has_two = sign_of(w, first) != 0.0 && sign_of(w, second) != 0.0;
    slip_one(w, SLIP_MOM_SIGN, pointer, name, term, term, -1.0);
    slip_one(w, SLIP_EQ_MISSING, pointer, name, term, (q){0}, 0.0);
    slip_one(w, SLIP_MOM_SLANT, pointer, name, term, slant, sign_of(w, term));
    slip_one(w, SLIP_MOM_ARMS, pointer, name, term, arms, 1.0);
    if (has_two) {
        slip_one(w, SLIP_MOM_HALF, pointer, name, term, first, 1.0);
        slip_one(w, SLIP_MOM_HALF, pointer, name, term, second, -1.0);
        slip_one(w, SLIP_MOM_ADD, pointer, name, term, add, 1.0);
    }
    slip_leave(w, doubts);
}

/* ---- reactions ---- */

/* The axis that a force column acts along; −1: none. */
static int axis_of(const struct assembly *a, int column)
{
    const struct aim *aim = &assembly_part(a, column)->aim;
    for (int axis = 0; axis < 3; axis++)
        if (aim->part[axis].sign > 0 && q_is_none(aim->part[axis].factor))
            return axis;
    return -1;
}

#define PAIRS_MAX 12

static void confuse_two(struct assembly *a, int i, int j)
{
    struct work *w = a->b->w;
    q x = a->column[i].answer, y = a->column[j].answer;
    q half = q_add(w, x, y);
    slip_begin(w, SLIP_EQ_EXCHANGE, NULL, NULL);
    slip_edit(w, x, y, 1.0);
    slip_edit(w, y, x, 1.0);
    slip_begin(w, SLIP_EQ_HALF, NULL, NULL);
    slip_edit(w, x, half, 0.5);
    slip_edit(w, y, half, 0.5);
    slip_one(w, SLIP_EQ_ONE_SIDE, NULL, a->unknown[a->column[i].unknown].name, x, half, 1.0);
    slip_one(w, SLIP_EQ_ONE_SIDE, NULL, a->unknown[a->column[j].unknown].name, y, half, 1.0);
}

/* A roller, alone on its line, is given a part along its surface: that takes all of what the pin
 * holds, or half of it. */
static void add_extra(struct assembly *a, int roller, int pin)
{
    struct work *w = a->b->w;
    const struct unknown *u = &a->unknown[a->column[roller].unknown];
    q x = a->column[pin].answer;
    bool is_roller = strcmp(u->kind, "roller") == 0 || strcmp(u->kind, "rocker") == 0 ||
                     strcmp(u->kind, "smooth_surface") == 0;
    int across = axis_of(a, roller), along = axis_of(a, pin);
    if (!is_roller || across < 0 || along < 0 || along == across ||
        u->body != a->unknown[a->column[pin].unknown].body)
        return;
    slip_one(w, SLIP_EQ_EXTRA, NULL, u->name, x, (q){0}, 0.0);
    slip_one(w, SLIP_EQ_EXTRA, NULL, u->name, x, x, 0.5);
}

void slips_of_reactions(struct assembly *a)
{
    struct work *w = a->b->w;
    int pairs = 0;
    if (!w->keeps_slips || w->failed)
        return;
    struct slip_doubts doubts = slip_enter(w);
    for (int j = 0; j < a->column_count; j++) {
        const struct column *c = &a->column[j];
        const char *name = a->unknown[c->unknown].name;
        if (q_is_none(c->answer))
            continue;
        slip_one(w, SLIP_EQ_SENSE, NULL, name, c->answer, c->answer, -1.0);
        for (int i = 0; i < a->column_count && !c->is_couple; i++)
            if (i != j && !q_is_none(a->column[i].answer) && !a->column[i].is_couple &&
                a->column[i].unknown != c->unknown)
                add_extra(a, j, i);
        if (c->is_couple)
            slip_one(w, SLIP_EQ_NO_MOMENT, NULL, name, c->answer, (q){0}, 0.0);
        for (int i = 0; i < j && !c->is_couple && pairs < PAIRS_MAX; i++)
            if (!q_is_none(a->column[i].answer) && !a->column[i].is_couple &&
                a->column[i].unknown != c->unknown && axis_of(a, i) >= 0 &&
                axis_of(a, i) == axis_of(a, j)) {
                confuse_two(a, i, j);
                pairs++;
            }
    }
    slip_leave(w, doubts);
}

/* ---- particles ---- */

void slips_of_cables(struct work *w, const q *tension, const struct aim *aim, int count, qv load,
                     struct half_axis up)
{
    if (!w->keeps_slips || w->failed || count < 1)
        return;
    struct slip_doubts doubts = slip_enter(w);
    for (int k = 0; k < count; k++)
        slip_one(w, SLIP_EQ_SENSE, NULL, NULL, tension[k], tension[k], -1.0);
    q *rise = arena_alloc(w->arena, ((size_t)count + 1) * sizeof *rise);
    for (int k = 0; rise && k < count; k++) {
        q f = aim[k].part[up.axis].factor;
        rise[k] = aim[k].part[up.axis].sign == 0 ? q_integer(w, 0, (struct dimension){0})
                  : q_is_none(f)                 ? q_integer(w, 1, (struct dimension){0})
                                                 : q_sum(w, &f, 1);
        if (aim[k].part[up.axis].sign < 0)
            rise[k] = q_neg(w, rise[k]);
    }
    if (rise && count > 1 && !qv_is_none(load)) {
        q sum = q_sum(w, rise, (uint32_t)count);
        if (sign_of(w, sum) != 0.0) {
            q same = q_div(w, qv_component(w, load, up.axis), sum);
            slip_begin(w, SLIP_CAB_SAME, NULL, NULL);
            for (int k = 0; k < count; k++)
                slip_edit(w, tension[k], same, -1.0);
        }
    }
    slip_leave(w, doubts);
}

/* ---- members ---- */

const char *slips_member_pointer(struct work *w, int member)
{
    return w->keeps_slips ? arena_printf(w->arena, "/members/%d", member) : NULL;
}

void slips_of_solved(struct work *w, q x, const char *name)
{
    const struct node *n = q_node(w, x);
    bool is_quotient = n->op == OP_DIV && !n->dimension.length;
    if (!w->keeps_slips || w->failed || !is_quotient)
        return;
    struct slip_doubts doubts = slip_enter(w);
    q above = {n->operand[0]}, factor = {n->operand[1]};
    q product = q_mul(w, above, factor);
    slip_one(w, SLIP_TR_MULTIPLY, NULL, name, x, product, 1.0);
    slip_one(w, SLIP_TR_DIAGONAL, NULL, name, x, above, sign_of(w, factor));
    slip_leave(w, doubts);
}

void slips_of_member(struct work *w, const char *pointer, const char *name, q hand, q force)
{
    if (!w->keeps_slips || w->failed || q_is_none(force) || sign_of(w, force) == 0.0)
        return;
    slip_one(w, SLIP_TR_FLIP, pointer, name, force, force, -1.0);
    if (q_is_none(hand))
        return;
    slip_begin(w, SLIP_TR_ZERO, pointer, name);
    slip_edit_from(w, hand.i + 1, hand, (q){0}, 0.0);
}

void slips_of_members(struct work *w, const q *force, int count)
{
    if (!w->keeps_slips || w->failed || count < 2)
        return;
    slip_begin(w, SLIP_TR_FLIP, NULL, NULL);
    for (int k = 0; k < count; k++)
        slip_edit(w, force[k], force[k], -1.0);
}

void slips_of_carried(struct work *w, enum slip slip, const char *pointer, const char *name,
                      uint32_t from, q copy, q force)
{
    if (!w->keeps_slips || w->failed || sign_of(w, force) == 0.0)
        return;
    slip_begin(w, slip, pointer, name);
    slip_edit_from(w, from, force, slip == SLIP_TR_CARRY ? force : (q){0}, -1.0);
    slip_edit_from(w, w->node_count, force, copy, 1.0);
}
