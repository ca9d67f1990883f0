/* truss_part.c: parts of a truss cut free, with what is known and unknown on them. */
#include "statics/point.h"
#include "statics/slips.h"
#include "statics/truss_order.h"

/* ---- directions ---- */

/* The half-axis that a line lies along; sign 0: none. */
static struct half_axis along_axis(struct exact line)
{
    struct half_axis a = {0, 0};
    int parts = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!num_is_zero(line.c[axis])) {
            a = (struct half_axis){axis, line.c[axis].value < 0 ? -1 : 1};
            parts++;
        }
    return parts == 1 ? a : (struct half_axis){0, 0};
}

/* Of a member from its first joint, shown as steps where it is first used. */
static struct aim direction_of(struct order *o, int i)
{
    struct truss *t = o->t;
    if (t->unknown[i].part)
        return t->unknown[i].part->aim;
    if (o->has_aim[i])
        return o->aim[i];
    struct half_axis axis = along_axis(o->line[i]);
    if (axis.sign != 0) {
        o->aim[i] = aim_along(axis);
    } else {
        const int *joint = t->unknown[i].joint;
        struct span *span = span_between(&t->board, joint[0], joint[1], t->unknown[i].name);
        if (span)
            o->aim[i] = aim_over(o->w, span->r, span_length(o->w, span));
        slips_of_aim(o->w, SLIP_TR_TRIG, &o->aim[i], slips_member_pointer(o->w, i),
                     t->unknown[i].name);
    }
    o->has_aim[i] = true;
    return o->aim[i];
}

/* ---- names ---- */

const char *order_text(struct order *o, int unknown)
{
    const struct truss_unknown *u = &o->t->unknown[unknown];
    if (u->part)
        return u->name;
    return member_text(o->w, "F", u->name);
}

#define NAMES_SHOWN 8

const char *order_names(struct order *o, const int *unknown, int count)
{
    const char *names = NULL;
    if (count > NAMES_SHOWN)
        names = arena_printf(o->w->arena, "%d members", count);
    for (int k = 0; k < count && count <= NAMES_SHOWN; k++)
        names = name_list(o->w, names, o->t->unknown[unknown[k]].name, count - 1 - k);
    return names ? names : "";
}

/* ---- the part ---- */

/* Does it act on the part from outside? */
static bool acts(const struct order *o, int unknown, int joint)
{
    const struct truss *t = o->t;
    return !truss_is_member(t, unknown) || !o->side[truss_other_joint(t, unknown, joint)];
}

/* {0}: it is unknown here. */
static q value_of(const struct order_values *v, int unknown)
{
    if (v->instead && !q_is_none(v->instead[unknown]))
        return v->instead[unknown];
    return v->is_bare ? (q){0} : v->value[unknown];
}

/* A force known to be zero is left out; with a unit force alone all other known ones are. */
static bool is_left_out(const struct order *o, const struct order_values *v, int unknown)
{
    if (v->instead && !q_is_none(v->instead[unknown]))
        return q_is_zero(o->w, v->instead[unknown]);
    bool is_known = !q_is_none(v->value[unknown]);
    return is_known && (v->is_bare || o->t->unknown[unknown].is_by_inspection);
}

static void add_force(struct order *o, const struct order_values *v, struct part *p, int i,
                      int joint)
{
    struct truss *t = o->t;
    const struct truss_unknown *u = &t->unknown[i];
    struct aim aim = direction_of(o, i);
    bool is_member = truss_is_member(t, i);
    if (is_member && u->joint[0] != joint)
        aim_reverse(&aim);
    struct symbol symbol = is_member ? member_symbol(o->w, v->letter, u->name) : u->part->symbol;
    const char *text = is_member || v->instead ? member_text(o->w, v->letter, u->name) : u->name;
    if (v->instead && !is_member)
        symbol = member_symbol(o->w, v->letter, u->name);
    int k = cut_add_force(&p->cut, &(struct cut_force){.name = u->name,
                                                       .text = text,
                                                       .symbol = symbol,
                                                       .aim = &aim,
                                                       .site = part_site(o, p, joint),
                                                       .is_member = is_member && !v->instead,
                                                       .is_fixed = u->is_fixed,
                                                       .value = value_of(v, i)});
    p->unknown[k] = i;
}

int part_site(struct order *o, struct part *p, int joint)
{
    if (p->site[joint] == 0)
        p->site[joint] =
            1 + cut_add_site(&p->cut, o->t->joint[joint].name, o->t->joint[joint].place);
    return p->site[joint] - 1;
}

/* Sites beyond those where forces act: centres of moments. */
#define MORE_SITES 4

bool part_cut(struct order *o, const struct order_values *values, struct part *ret)
{
    struct truss *t = o->t;
    int forces = 0, loads = 0;
    for (int j = 0; j < t->joint_count; j++) {
        if (!o->side[j])
            continue;
        loads += values->is_bare ? 0 : t->joint[j].loads.count;
        for (int k = 0; k < t->joint[j].unknowns.count; k++) {
            int i = truss_entry(t, t->joint[j].unknowns, k);
            bool is_there = acts(o, i, j) && !is_left_out(o, values, i);
            forces += is_there;
        }
    }
    ret->unknown = arena_alloc(o->w->arena, ((size_t)forces + 1) * sizeof *ret->unknown);
    ret->site = arena_alloc(o->w->arena, ((size_t)t->joint_count + 1) * sizeof *ret->site);
    if (!ret->unknown || !ret->site) {
        o->w->failed = true;
        return false;
    }
    if (forces > HAND_COLUMNS_MAX ||
        !cut_new(&ret->cut, &t->board, forces, forces + MORE_SITES, loads))
        return false;
    ret->cut.a.opened = o->opened;
    for (int j = 0; j < t->joint_count; j++) {
        if (!o->side[j])
            continue;
        for (int k = 0; k < t->joint[j].unknowns.count; k++) {
            int i = truss_entry(t, t->joint[j].unknowns, k);
            if (acts(o, i, j) && !is_left_out(o, values, i))
                add_force(o, values, ret, i, j);
        }
        for (int k = 0; k < t->joint[j].loads.count && !values->is_bare; k++)
            cut_add_load(&ret->cut, &t->load[truss_entry(t, t->joint[j].loads, k)]);
    }
    if (!o->w->failed)
        cut_begin(&ret->cut);
    ret->cut.h.skips_signs = values->instead != NULL;
    return !o->w->failed;
}

int part_take(struct order *o, const struct part *p, q *value)
{
    o->opened = p->cut.a.opened;
    int found = 0;
    for (int k = 0; k < p->cut.h.count; k++) {
        q x = cut_value(&p->cut, k);
        if (q_is_none(x) || !q_is_none(value[p->unknown[k]]) || !order_is_open(o, p->unknown[k]))
            continue;
        value[p->unknown[k]] = x;
        found++;
    }
    return found;
}

void part_clear(struct order *o)
{
    for (int j = 0; j < o->t->joint_count; j++)
        o->side[j] = 0;
}

/* The members that the part marked in o->side is cut from, but those known to be zero. */

const char *part_joints(struct order *o)
{
    const struct truss *t = o->t;
    const char *names = NULL;
    int count = 0;
    for (int j = 0; j < t->joint_count; j++)
        count += o->side[j];
    if (count > 8)
        return arena_printf(o->w->arena, "%d joints", count);
    for (int j = 0; j < t->joint_count; j++)
        if (o->side[j])
            names = name_list(o->w, names, t->joint[j].name, --count);
    return names ? names : "";
}
