/* truss_put.c: the answer of a truss. */
#include <float.h>
#include <math.h>

#include "statics/cut.h"
#include "statics/polar.h"
#include "statics/slips.h"
#include "statics/truss.h"
#include "statics/unknowns.h"

/* What may be left over at a joint, of the largest force. */
#define RESIDUAL_MAX 1e-9
/* Rounding alone: so many units in the last place of the largest force. */
#define RESIDUAL_ROUNDING 64.0

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* ---- forces ---- */

static bool is_answered(const struct truss *t, int member)
{
    for (int k = 0; k < t->input->cut_count; k++)
        if (t->input->cut[k] == member)
            return true;
    return !t->input->has_section;
}

/* What was not worked by hand comes from the solver. */
static void name_force(struct truss *t, int i)
{
    struct work *w = t->w;
    struct truss_unknown *u = &t->unknown[i];
    u->force = q_unknown(w, truss_found(t, i), force_dimension, u->hand, t->scale);
    if (!q_is_none(u->hand))
        return;
    u->force = q_name(w, u->force, u->part ? u->part->symbol : member_symbol(w, "F", u->name));
    work_define(w, u->force);
}

/* Would the rules for zero-force members take it for one, were its joint not loaded or held? */
static bool seems_zero(const struct truss *t, int member)
{
    const struct field *f = t->w->field;
    for (int end = 0; end < 2; end++) {
        struct truss_list list = t->joint[t->unknown[member].joint[end]].unknowns;
        struct exact_span others = {.rank = 0};
        for (int k = 0; k < list.count && others.rank < t->axes; k++) {
            int i = truss_entry(t, list, k);
            if (i != member && truss_is_member(t, i) && !t->unknown[i].is_zero)
                exact_span_add(f, &others, truss_direction(t, i));
        }
        if (exact_span_add(f, &others, truss_direction(t, member)))
            return true;
    }
    return false;
}

/* What becomes of the forces that were found where their sense is mistaken. */
static void slips_of_forces_found(struct truss *t)
{
    struct work *w = t->w;
    q *member = w->keeps_slips
                    ? arena_alloc(w->arena, ((size_t)t->unknown_count + 1) * sizeof *member)
                    : NULL;
    int count = 0;
    for (int i = 0; member && i < t->unknown_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        if (q_is_none(u->force))
            continue;
        if (u->part) {
            slip_one(w, SLIP_EQ_SENSE, NULL, u->name, u->force, u->force, -1.0);
            continue;
        }
        q hand = seems_zero(t, i) ? u->hand : (q){0};
        slips_of_member(w, slips_member_pointer(w, i), u->name, hand, u->force);
        member[count++] = u->force;
    }
    if (member)
        slips_of_members(w, member, count);
}

static void name_forces(struct truss *t)
{
    bool is_titled = false;
    for (int i = 0; i < t->unknown_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        bool is_asked = !t->input->has_section || is_answered(t, i);
        if (!u->is_fixed || !is_asked)
            continue;
        if (q_is_none(u->hand) && !is_titled) {
            work_section(t->w, PLAIN("All joints together"),
                         PLAIN("These values come from the equations of all joints at once."));
            is_titled = true;
        }
        name_force(t, i);
    }
    slips_of_forces_found(t);
    truss_add_alternatives(t);
}

static void put_member(struct truss *t, struct value *list, int i)
{
    struct work *w = t->w;
    const struct truss_unknown *u = &t->unknown[i];
    struct value *entry = result_object(w, list, NULL);
    result_text(w, entry, "name", u->name);
    if (!u->is_fixed) {
        result_null(w, entry, "force");
        result_null(w, entry, "state");
        return;
    }
    result_number(w, entry, "force", u->force);
    result_text(w, entry, "state",
                u->is_zero             ? "zero"
                : u->density.value > 0 ? "tension"
                                       : "compression");
}

static void put_members(struct truss *t)
{
    struct value *list = result_list(t->w, NULL, "members");
    for (int k = 0; k < t->input->cut_count; k++)
        put_member(t, list, t->input->cut[k]);
    for (int i = 0; i < t->member_count && !t->input->has_section; i++)
        put_member(t, list, i);
}

static void put_zero_force_members(struct truss *t)
{
    struct work *w = t->w;
    struct value *list = result_list(w, NULL, "zero_force_members");
    for (int i = 0; i < t->member_count; i++) {
        if (!t->unknown[i].is_zero || !is_answered(t, i))
            continue;
        struct value *entry = result_object(w, list, NULL);
        result_text(w, entry, "name", t->unknown[i].name);
        result_text(w, entry, "found", t->unknown[i].is_by_inspection ? "inspection" : "computed");
    }
}

/* ---- supports ---- */

/* The force of a support as a vector of its parts. */
static qv reaction_vector(struct truss *t, int support)
{
    struct work *w = t->w;
    const struct reaction *r = &t->reaction[support];
    const struct truss_unknown *u = &t->unknown[t->first_part[support]];
    if (r->count == 1)
        return aim_vector(w, &r->part[0].aim, u->force);
    return qv_of(w, u[0].force, u[1].force, r->count == 3 ? u[2].force : (q){0});
}

static void read_reaction(struct truss *t, int support, struct unknown_force *ret)
{
    struct work *w = t->w;
    const struct support_input *in = &t->input->support[support];
    const struct reaction *r = &t->reaction[support];
    const struct truss_unknown *u = &t->unknown[t->first_part[support]];
    *ret = (struct unknown_force){.name = in->name,
                                  .kind = support_kind_word(in->kind),
                                  .has_force = true,
                                  .part_count = r->count};
    for (int k = 0; k < r->count; k++) {
        ret->part[k] = (struct unknown_part){u[k].name, u[k].force};
        ret->has_force = ret->has_force && u[k].is_fixed;
    }
    if (!ret->has_force)
        return;
    qv force = qv_name(w, reaction_vector(t, support), symbol_of_name(w, in->name));
    if (r->count > 1) {
        ret->force = polar_of_unknown(&t->board, force, in->name, (q){0}, NULL);
        return;
    }
    work_define_vector(w, force);
    struct aim aim = r->part[0].aim;
    q size = u->force;
    if (q_sign(w, size) < 0) {
        aim_reverse(&aim);
        size = q_name(w, q_abs(w, size), symbol_own(w, "R", in->name));
        work_define(w, size);
    }
    ret->force = polar_of_unknown(&t->board, force, in->name, size, &aim);
}

static void put_supports(struct truss *t)
{
    int count = t->input->support_count;
    struct unknown_force *all = arena_alloc(t->w->arena, ((size_t)count + 1) * sizeof *all);
    if (!all) {
        t->w->failed = true;
        return;
    }
    if (t->is_held && count > 0)
        work_section(t->w, PLAIN("Size and direction of the reactions"), (struct phrase){0});
    for (int i = 0; i < count; i++)
        read_reaction(t, i, &all[i]);
    unknowns_put_as(t->w, NULL, "supports", all, count);
}

/* ---- what kind of truss ---- */

static void put_state(struct truss *t)
{
    static const char *const words[TRUSS_STATE_MAX_] = {"determinate", "indeterminate",
                                                        "mechanism"};
    result_text(t->w, NULL, "state", words[t->state]);
    if (t->degree > 0)
        result_count(t->w, NULL, "degree", t->degree);
    if (t->state == TRUSS_MECHANISM)
        result_bool(t->w, NULL, "balanced", t->is_held);
}

/* The members of each group; supports' parts that depend on each other have no value, and are no
 * members. */
static void put_unfixed(struct truss *t)
{
    struct work *w = t->w;
    if (t->degree == 0)
        return;
    struct value *list = result_list(w, NULL, "unfixed");
    struct value **group =
        arena_alloc(w->arena, ((size_t)t->group_count + 1) * sizeof(struct value *));
    if (!group) {
        w->failed = true;
        return;
    }
    for (int i = 0; i < t->member_count; i++) {
        int g = t->group[i];
        if (g < 0)
            continue;
        if (!group[g])
            group[g] = result_list(w, list, NULL);
        result_text(w, group[g], NULL, t->unknown[i].name);
    }
}

static void put_displacement(struct truss *t, struct value *list, int joint)
{
    struct work *w = t->w;
    q d[3] = {{0}};
    for (int axis = 0; axis < t->axes; axis++) {
        double x = t->motion[t->axes * joint + axis];
        struct num num = x == 0 ? num_integer(w->field, 0)
                                : num_generic(w->field, (uint64_t)(t->axes * joint + axis), x,
                                              fabs(x) * 0x1p-50);
        d[axis] = q_unknown(w, num, ratio, (q){0}, 1);
    }
    struct value *entry = result_object(w, list, NULL);
    result_text(w, entry, "name", t->joint[joint].name);
    qv v = qv_name(w, qv_of(w, d[0], d[1], d[2]), symbol_own(w, "δ", t->joint[joint].name));
    work_define_vector(w, v);
    result_vector(w, entry, "displacement", v);
    if (entry && entry->last)
        entry->last->asked = false;
}

static void put_mechanism(struct truss *t)
{
    struct work *w = t->w;
    if (t->state != TRUSS_MECHANISM)
        return;
    work_section(w, PLAIN("How it moves"),
                 PLAIN("One small motion in which every member keeps its length, the largest "
                       "displacement taken as one."));
    work_decide(w, truss_mechanism_text(t));
    struct value *mechanism = result_object(w, NULL, "mechanism");
    result_count(w, mechanism, "freedoms", t->freedoms);
    struct value *list = result_list(w, mechanism, "joints");
    for (int j = 0; j < t->joint_count; j++)
        if (truss_displacement(t, j) > 0)
            put_displacement(t, list, j);
    result_phrase(w, mechanism, "text", truss_mechanism_text(t));
}

static void put_order(struct truss *t)
{
    struct value *list = result_list(t->w, NULL, "order");
    for (int i = 0; i < t->order_count; i++) {
        struct value *group = result_list(t->w, list, NULL);
        for (int k = 0; k < t->order[i].joints.count; k++)
            result_text(t->w, group, NULL, t->joint[truss_entry(t, t->order[i].joints, k)].name);
    }
}

/* ---- what is left over ---- */

/* The largest ΣF of a joint, from the forces as answered; only of joints whose forces are all
 * fixed. −1: there is none. */
static double left_over(const struct truss *t)
{
    const struct work *w = t->w;
    double largest = -1;
    for (int j = 0; j < t->joint_count; j++) {
        struct truss_list list = t->joint[j].unknowns;
        double sum[3] = {0};
        bool is_known = true;
        for (int k = 0; k < t->joint[j].loads.count; k++) {
            const struct load *load = &t->load[truss_entry(t, t->joint[j].loads, k)];
            for (int axis = 0; axis < t->axes; axis++)
                sum[axis] += q_value(w, qv_component(w, load->vector, axis));
        }
        for (int k = 0; k < list.count && is_known; k++) {
            int i = truss_entry(t, list, k);
            const struct truss_unknown *u = &t->unknown[i];
            double direction[3];
            truss_line(t, i, direction);
            double size = (u->joint[0] == j ? 1 : -1) * q_value(w, u->force) / u->length;
            for (int axis = 0; axis < t->axes; axis++)
                sum[axis] += size * direction[axis];
            is_known = u->is_fixed;
        }
        if (is_known)
            largest = fmax(largest, hypot(hypot(sum[0], sum[1]), sum[2]));
    }
    return largest;
}

/* False: the forces do not balance at the joints, which is a fault of ours. */
static bool put_residual(struct truss *t)
{
    struct work *w = t->w;
    double residual = t->is_held ? left_over(t) : -1;
    if (residual < 0)
        return true;
    bool is_rounding = residual <= RESIDUAL_ROUNDING * DBL_EPSILON * t->scale;
    struct num num = is_rounding ? num_integer(w->field, 0)
                                 : num_generic(w->field, 0, residual, t->scale * 0x1p-40);
    q x = q_unknown(w, num, force_dimension, (q){0}, 1);
    x = q_name(w, x, symbol_own(w, "ε", NULL));
    work_section(w, PLAIN("What is left over"),
                 PLAIN("Put back into all joints, the forces as answered leave at most this."));
    work_define(w, x);
    unknowns_put_residual(w, x, (q){0});
    return residual <= RESIDUAL_MAX * t->scale;
}

/* ---- the whole ---- */

enum problem_code truss_put(struct truss *t, struct problem *reterr)
{
    struct work *w = t->w;
    name_forces(t);
    put_state(t);
    if (t->input->has_section) {
        put_members(t);
        put_zero_force_members(t);
        return work_close(w, reterr);
    }
    put_supports(t);
    put_members(t);
    put_zero_force_members(t);
    put_unfixed(t);
    put_mechanism(t);
    put_order(t);
    unknowns_put_count(w, t->unknown_count, t->axes * t->joint_count, t->rank);
    bool is_balanced = put_residual(t);
    enum problem_code code = work_close(w, reterr);
    if (code == PROBLEM_NONE && !is_balanced)
        return board_unbalanced(&t->board, "The forces found do not balance at the joints.");
    return code;
}
