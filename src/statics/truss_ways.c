/* truss_ways.c: other usual ways to the forces of a truss, for their allowances only: without
 * steps.
 *
 * Rounding adds up from joint to joint. A truss is worked from the one end, from the other, or from
 * all sides to the middle; for most members some of these are a long way round. Where all are, a
 * section beside the member is the short way. */
#include <math.h>

#include "statics/truss_order.h"

/* An order of its own, with what the whole truss gave and what was seen by inspection. What it
 * defines is numbered on from `worked`. */
static bool begin_again(struct order *o, const struct order *worked, enum order_way way)
{
    struct truss *t = worked->t;
    if (t->w->failed || !order_begin(o, t, way))
        return false;
    o->opened = worked->opened;
    for (int i = 0; i < t->unknown_count; i++) {
        bool is_kept =
            truss_is_member(t, i) ? t->unknown[i].is_by_inspection : worked->is_by_whole[i];
        o->aim[i] = worked->aim[i];
        o->has_aim[i] = worked->has_aim[i];
        if (is_kept)
            o->value[i] = worked->value[i];
    }
    return true;
}

static void work_again(struct order *worked, enum order_way way)
{
    struct truss *t = worked->t;
    struct order o;
    if (!begin_again(&o, worked, way))
        return;
    order_work_joints(&o);
    worked->opened = o.opened;
    for (int i = 0; i < t->unknown_count; i++)
        if (o.value[i].i != worked->value[i].i)
            t->unknown[i].other[way] = o.value[i];
}

/* By every way so far? From all sides is the shortest, so that it is asked first. */
static bool is_sensitive(struct work *w, const struct truss_unknown *u, q shown)
{
    bool is = true;
    for (int way = TRUSS_WAYS - 1; way > 0 && is; way--)
        if (!q_is_none(u->other[way]))
            allowance_of(w, u->other[way], &is);
    if (is)
        allowance_of(w, shown, &is);
    return is;
}

/* Where every chain of joints is too long. */
static void by_sections(struct order *worked)
{
    struct truss *t = worked->t;
    struct work *w = t->w;
    struct order o;
    bool *is_wanted = arena_alloc(w->arena, ((size_t)t->unknown_count + 1) * sizeof *is_wanted);
    q *value = arena_alloc(w->arena, ((size_t)t->unknown_count + 1) * sizeof *value);
    int wanted = 0;
    if (!is_wanted || !value) {
        w->failed = true;
        return;
    }
    for (int i = 0; i < t->member_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        is_wanted[i] = !q_is_none(worked->value[i]) && !u->is_by_inspection &&
                       is_sensitive(w, u, worked->value[i]);
        wanted += is_wanted[i];
    }
    if (wanted == 0 || !begin_again(&o, worked, ORDER_FROM_ALL_SIDES))
        return;
    order_by_sections_of_their_own(&o, is_wanted, value);
    worked->opened = o.opened;
    for (int i = 0; i < t->member_count; i++)
        t->unknown[i].section = value[i];
}

/* Without steps, and without a word on what comes out as zero. */
struct quiet {
    bool doubt_digits, doubt_rounding, numbers_only;
};

static struct quiet go_quiet(struct work *w)
{
    struct quiet before = {w->doubt_digits, w->doubt_rounding, w->numbers_only};
    w->numbers_only = true;
    return before;
}

static void end_quiet(struct work *w, struct quiet before)
{
    w->numbers_only = before.numbers_only;
    w->doubt_digits = before.doubt_digits;
    w->doubt_rounding = before.doubt_rounding;
}

void order_other_ways(struct order *worked)
{
    struct work *w = worked->w;
    if (!w->wants_key || w->failed)
        return;
    struct quiet before = go_quiet(w);
    work_again(worked, ORDER_FROM_OTHER_END);
    work_again(worked, ORDER_FROM_ALL_SIDES);
    by_sections(worked);
    end_quiet(w, before);
    worked->t->worked = worked;
}

static void add_way(struct truss *t, q force, q other)
{
    if (!q_is_none(other) && !q_is_none(force) &&
        fabs(q_value(t->w, other) - q_value(t->w, force)) <= UNKNOWN_AGREES * t->scale)
        work_alternative_round(t->w, force, other);
}

/* A member seen to be zero at one joint, by the equations of the joint at its other end, from the
 * forces as answered: whoever did not see it works it out there. */
static void zero_by_equations(struct order *o, int member, int seen_at)
{
    const struct order_values values = {.value = o->value, .letter = "F"};
    int joint = truss_other_joint(o->t, member, seen_at);
    struct part p;
    q zero = o->value[member];
    o->value[member] = (q){0};
    o->side[joint] = 1;
    if (part_cut(o, &values, &p)) {
        cut_work_joint(&p.cut);
        part_take(o, &p, o->value);
        work_alternative(o->w, zero, o->value[member]);
    }
    o->side[joint] = 0;
    o->value[member] = zero;
}

static void zeros_by_equations(struct truss *t)
{
    struct order o;
    if (!t->worked || t->inspected_count == 0 || !begin_again(&o, t->worked, ORDER_FROM_ALL_SIDES))
        return;
    for (int i = 0; i < t->unknown_count; i++)
        o.value[i] = t->unknown[i].force;
    for (int k = 0; k < t->inspected_count && !t->w->failed; k++)
        if (!order_is_open(&o, t->inspected[k].member))
            zero_by_equations(&o, t->inspected[k].member, t->inspected[k].joint);
}

void truss_add_alternatives(struct truss *t)
{
    struct work *w = t->w;
    struct quiet before = go_quiet(w);
    for (int i = 0; i < t->unknown_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        for (int way = 0; way < TRUSS_WAYS; way++)
            add_way(t, u->force, u->other[way]);
        add_way(t, u->force, u->section);
    }
    zeros_by_equations(t);
    end_quiet(w, before);
}
