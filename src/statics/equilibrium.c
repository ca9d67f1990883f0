/* equilibrium.c: unknown forces and reactions of rigid bodies, alone or joined by pins. */
#include <float.h>
#include <math.h>

#include "statics/freebody.h"
#include "statics/hand.h"
#include "statics/motion.h"
#include "statics/notes.h"
#include "statics/sensitivity.h"
#include "statics/slips.h"
#include "statics/statics.h"

static const struct dimension force_dimension = {.force = 1};
static const struct dimension moment_dimension = {.force = 1, .length = 1};

/* What is left over when the values are put back may be this part of what was added up; the solver
 * keeps ten million times closer. */
#define RESIDUAL_TOLERANCE 1e-9
/* Rounding alone: this many units in the last place of what was added up. */
#define RESIDUAL_ROUNDING 16.0

/* ---- values ---- */

/* The solver's values are the answer; the working's are held against them. */
static void take_answers(struct assembly *a)
{
    struct work *w = a->b->w;
    bool is_titled = false;
    for (int j = 0; j < a->column_count; j++) {
        struct column *c = &a->column[j];
        if (!c->is_fixed)
            continue;
        c->answer = q_unknown(w, c->value, c->is_couple ? moment_dimension : force_dimension,
                              c->hand, c->is_couple ? a->moment_scale : a->force_scale);
        if (!q_is_none(c->hand))
            continue;
        if (!is_titled)
            work_section(w, PLAIN("All equations together"),
                         PLAIN("These values come from all equations solved at once."));
        is_titled = true;
        c->answer = q_name(w, c->answer, assembly_part(a, j)->symbol);
        work_define(w, c->answer);
    }
    slips_of_reactions(a);
}

/* The value of each part: its column's, or so many times it. */
static void take_part_values(struct assembly *a, struct unknown *u)
{
    struct work *w = a->b->w;
    for (int k = 0; k < u->reaction.count; k++) {
        const struct column *c = &a->column[u->column[k]];
        bool is_own = &a->unknown[c->unknown] == u;
        u->value[k] = c->answer;
        if (q_is_none(c->answer) || (is_own && q_is_none(u->times)))
            continue;
        q value = q_is_none(u->times) ? q_sum(w, &c->answer, 1) : q_mul(w, u->times, c->answer);
        u->value[k] = q_name(w, value, u->reaction.part[k].symbol);
        work_define(w, u->value[k]);
    }
}

/* ---- forces and couples of the answer ---- */

/* Of the force parts, or of the couple parts: are they all fixed, and how many are there? */
static bool all_fixed(const struct unknown *u, bool of_couples, int *ret_count)
{
    bool is_fixed = true;
    *ret_count = 0;
    for (int k = 0; k < u->reaction.count; k++) {
        if (u->reaction.part[k].is_couple != of_couples)
            continue;
        ++*ret_count;
        is_fixed = is_fixed && !q_is_none(u->value[k]);
    }
    return is_fixed;
}

/* The vector of all force (couple) parts. */
static qv vector_of(struct assembly *a, const struct unknown *u, bool of_couples)
{
    struct work *w = a->b->w;
    q c[3] = {{0}};
    qv term[REACTION_PARTS_MAX];
    uint32_t count = 0;
    bool is_along_axes = true;
    for (int k = 0; k < u->reaction.count; k++) {
        const struct aim *aim = &u->reaction.part[k].aim;
        if (u->reaction.part[k].is_couple != of_couples)
            continue;
        term[count++] = aim_vector(w, aim, u->value[k]);
        int along = -1;
        for (int axis = 0; axis < 3; axis++)
            if (aim->part[axis].sign > 0 && q_is_none(aim->part[axis].factor))
                along = axis;
        is_along_axes = is_along_axes && along >= 0 && q_is_none(c[along]);
        if (along >= 0)
            c[along] = u->value[k];
    }
    if (count == 1 && !of_couples)
        return term[0];
    if (!is_along_axes)
        return qv_sum(w, term, count);
    for (int axis = 0; axis < board_axes(a->b); axis++)
        if (q_is_none(c[axis]))
            c[axis] = q_integer(w, 0, of_couples ? moment_dimension : force_dimension);
    return qv_of(w, c[0], c[1], c[2]);
}

/* Size and direction of a force along one line: its number, or that without its sign. */
static struct polar polar_of_line(struct assembly *a, const struct unknown *u, int part, qv vector)
{
    struct work *w = a->b->w;
    q value = u->value[part];
    bool is_reversed = q_sign(w, value) < 0;
    q magnitude = value;
    if (is_reversed) {
        magnitude = q_name(w, q_abs(w, value), symbol_own(w, "F", u->name));
        work_define(w, magnitude);
    }
    return polar_of_unknown(a->b, vector, u->name, magnitude,
                            is_reversed ? NULL : &u->reaction.part[part].aim);
}

/* Do the parts stand in the vector as they were found? N_A and F_A of a rough surface become A_x
 * and A_y. */
static bool has_own_parts(const struct work *w, const struct unknown *u, qv vector)
{
    for (int k = 0; k < u->reaction.count; k++) {
        bool is_component = u->reaction.part[k].is_couple;
        for (int axis = 0; axis < 3; axis++)
            is_component = is_component || qv_component(w, vector, axis).i == u->value[k].i;
        if (!is_component)
            return false;
    }
    return true;
}

static void take_force(struct assembly *a, const struct unknown *u, struct unknown_force *ret)
{
    struct work *w = a->b->w;
    int count;
    ret->has_force = all_fixed(u, false, &count);
    if (!ret->has_force)
        return;
    int part = 0;
    while (u->reaction.part[part].is_couple)
        part++;
    qv vector = qv_name(w, vector_of(a, u, false), symbol_of_name(w, u->name));
    if (count == 1 || !has_own_parts(w, u, vector))
        work_define_vector(w, vector);
    bool is_signed_size = count == 1 && u->reaction.part[part].symbol.is_given;
    ret->force = is_signed_size ? polar_of_line(a, u, part, vector)
                                : polar_of_unknown(a->b, vector, u->name, (q){0}, NULL);
}

static void take_couple(struct assembly *a, const struct unknown *u, struct unknown_force *ret)
{
    struct work *w = a->b->w;
    int count;
    bool is_fixed = all_fixed(u, true, &count);
    ret->has_couple_parts = count > 0;
    ret->has_couple = count > 0 && is_fixed;
    if (!ret->has_couple)
        return;
    if (!w->space) {
        for (int k = 0; k < u->reaction.count; k++)
            if (u->reaction.part[k].is_couple)
                ret->couple = qv_of(w, (q){0}, (q){0}, u->value[k]);
        return;
    }
    ret->couple = qv_name(w, vector_of(a, u, true), symbol_own(w, "M", u->name));
    if (qv_node(w, ret->couple)->op == VECTOR_SUM)
        work_define_vector(w, ret->couple);
}

static struct unknown_force *take_unknowns(struct assembly *a)
{
    struct work *w = a->b->w;
    size_t count = (size_t)a->unknown_count + 1;
    struct unknown_force *list = arena_alloc(w->arena, count * sizeof *list);
    if (!list) {
        w->failed = true;
        return NULL;
    }
    for (int i = 0; i < a->unknown_count && !w->failed; i++) {
        struct unknown *u = &a->unknown[i];
        struct unknown_force *f = &list[i];
        *f = (struct unknown_force){.name = u->name, .kind = u->kind};
        work_section(w, PHRASE("Size and direction of {}", arg_name(u->name)), (struct phrase){0});
        take_part_values(a, u);
        f->part_count = u->reaction.count;
        for (int k = 0; k < u->reaction.count; k++)
            f->part[k] = (struct unknown_part){u->reaction.part[k].text, u->value[k]};
        take_force(a, u, f);
        take_couple(a, u, f);
    }
    return list;
}

/* ---- notes ---- */

static void note_one_way(struct assembly *a)
{
    struct work *w = a->b->w;
    for (int i = 0; i < a->unknown_count; i++) {
        const struct unknown *u = &a->unknown[i];
        for (int k = 0; k < u->reaction.count; k++) {
            enum one_way way = u->reaction.part[k].one_way;
            if (way == ACTS_BOTH_WAYS || q_is_none(u->value[k]) || q_sign(w, u->value[k]) >= 0)
                continue;
            if (way == ACTS_PULLING)
                note_add(w, NOTE_GOES_SLACK,
                         PHRASE("{} comes out negative, but a cable can't push: it would go slack, "
                                "and this is not an equilibrium. The algebra is shown all the "
                                "same.",
                                arg_symbol(u->value[k])));
            else
                note_add(w, NOTE_LIFTS_OFF,
                         PHRASE("{} comes out negative, but a contact can't pull: the body would "
                                "lift off, and this is not an equilibrium. The algebra is shown "
                                "all the same.",
                                arg_symbol(u->value[k])));
        }
    }
}

static const char *names_of_fixed(const struct assembly *a)
{
    const char *names = NULL;
    for (int j = 0; j < a->column_count && names == NULL; j++)
        if (a->column[j].is_fixed)
            names = assembly_part(a, j)->text;
    return names;
}

/* The first motion in which the loads would do work; where they are held, the first of all. */
static const struct motion *motion_to_name(const struct assembly *a, const struct motions *m)
{
    const struct field *f = a->b->w->field;
    for (int i = 0; i < m->count && !a->is_held; i++) {
        struct num work = num_integer(f, 0);
        for (int row = 0; row < a->equations; row++)
            work = num_add(f, work, num_mul(f, m->list[i].row[row], a->right[row]));
        if (num_zero(work) == ZERO_NO)
            return &m->list[i];
    }
    return m->list;
}

static void note_state(struct assembly *a, enum equilibrium_state state, const struct motions *m)
{
    struct work *w = a->b->w;
    if (state == STATE_INDETERMINATE) {
        const char *fixed = names_of_fixed(a);
        note_add(w, NOTE_INDETERMINATE,
                 fixed
                     ? PHRASE("Statically indeterminate to degree {}: statics alone does not fix "
                              "every unknown. Those that it fixes all the same are given.",
                              arg_count(a->column_count - a->rank))
                     : PHRASE("Statically indeterminate to degree {}: statics alone fixes none of "
                              "the unknowns.",
                              arg_count(a->column_count - a->rank)));
        return;
    }
    if (m->count == 0)
        return;
    struct phrase free = motion_to_name(a, m)->text;
    bool is_one_of = a->is_held && m->count > 1, names_body = free.count > 0 && a->body_count > 1;
    const char *text = arena_printf(
        w->arena, "Nothing prevents %s: %s%s. %s",
        is_one_of ? "several motions, of which this is one" : "this motion",
        names_body ? "" : "it ", free.template,
        is_one_of    ? "There is equilibrium only because these loads have no part in them."
        : a->is_held ? "There is equilibrium only because these loads have no part in it."
        : names_body ? "Loads with a part in such a motion can't be held."
                     : "These loads would cause it, so there is no equilibrium.");
    free.template = text ? text : "";
    note_add(w, a->is_held ? NOTE_FREE_TO_MOVE : NOTE_NOT_HELD, free);
}

/* ---- what is left over ---- */

struct left_over {
    double force, moment;
    bool is_sound;
};

/* Put the values back into the equations, in plain doubles. */
static struct left_over put_back(struct assembly *a)
{
    int forces = a->b->loads->space ? 3 : 2;
    size_t count = (size_t)a->equations + 1;
    double *sum = arena_alloc(a->b->w->arena, count * sizeof *sum);
    double *size = arena_alloc(a->b->w->arena, count * sizeof *size);
    struct left_over left = {0.0, 0.0, true};
    if (!sum || !size) {
        a->b->w->failed = true;
        return left;
    }
    for (int i = 0; i < a->pull_count; i++) {
        const struct pull *p = &a->pull[i];
        double x = linear_value(a->linear, p->column, 0).value;
        for (int k = 0; k < a->per_body; k++) {
            int row = p->body * a->per_body + k;
            double term = x * (k < forces    ? p->force.c[k].value
                               : forces == 3 ? p->moment.c[k - 3].value
                                             : p->moment.c[2].value);
            sum[row] += term;
            size[row] += fabs(term);
        }
    }
    for (int row = 0; row < a->equations; row++) {
        double right = assembly_right(a, row), all = size[row] + fabs(right);
        double left_here = fabs(sum[row] - right);
        if (!(left_here <=
              RESIDUAL_TOLERANCE *
                  (all + (row % a->per_body < forces ? a->force_scale : a->moment_scale))))
            left.is_sound = false;
        if (left_here <=
            RESIDUAL_ROUNDING * (double)(a->column_count + 4) * DBL_EPSILON *
                (all + (row % a->per_body < forces ? a->force_scale : a->moment_scale)))
            left_here = 0.0;
        double *worst = row % a->per_body < forces ? &left.force : &left.moment;
        *worst = fmax(*worst, left_here);
    }
    return left;
}

static q left_over_number(struct work *w, double x, struct dimension dimension, const char *sub)
{
    /* Shown with the checks. */
    q left = x > 0.0 ? q_unknown(w, num_generic(w->field, 1, x, 0.0), dimension, (q){0}, 0.0)
                     : q_integer(w, 0, dimension);
    left = q_name(w, left, symbol_own(w, "δ", sub));
    work_define(w, left);
    return left;
}

static void put_residual(struct assembly *a, const struct left_over *left)
{
    struct work *w = a->b->w;
    work_section(w, PLAIN("What is left over"),
                 PLAIN("All values put back into all equations, about one point: the largest rest "
                       "of a sum of forces, and of moments."));
    q force = left_over_number(w, left->force, force_dimension, "F");
    q moment = left_over_number(w, left->moment, moment_dimension, "M");
    unknowns_put_residual(w, force, moment);
}

/* ---- the whole ---- */

static void work_by_hand(struct assembly *a, struct hand *h)
{
    struct work *w = a->b->w;
    if (hand_is_beyond(a)) {
        note_add(w, NOTE_NUMBERS_ONLY,
                 PLAIN("There are too many unknowns for the working to be shown: only the numbers "
                       "are given."));
        return;
    }
    hand_begin(h, a);
    if (!w->failed)
        hand_work(h);
}

static void define_components(const struct assembly *a, qv v)
{
    for (int axis = 0; !qv_is_none(v) && axis < board_axes(a->b); axis++)
        work_define(a->b->w, qv_component(a->b->w, v, axis));
}

static void find_motions(struct assembly *a, struct motions *ret)
{
    *ret = (struct motions){0};
    if (a->rank == a->equations)
        return;
    work_section(a->b->w, PLAIN("Motions left free"),
                 PLAIN("A motion is free if no unknown force or couple would do work in it."));
    motions_find(a, ret);
    for (int i = 0; i < ret->count; i++) {
        work_say(a->b->w, ret->list[i].text);
        define_components(a, ret->list[i].direction);
        define_components(a, ret->list[i].about);
    }
}

static void put_answer(struct assembly *a, enum equilibrium_state state,
                       const struct unknown_force *u, const struct motions *m,
                       const struct left_over *left)
{
    struct work *w = a->b->w;
    result_text(w, NULL, "state", equilibrium_state_word(state));
    if (a->column_count > a->rank && a->is_held)
        result_count(w, NULL, "degree", a->column_count - a->rank);
    if (state == STATE_IMPROPERLY_CONSTRAINED)
        result_bool(w, NULL, "balanced", a->is_held);
    unknowns_put(w, NULL, u, a->unknown_count);
    unknowns_put_count(w, a->column_count, a->equations, a->rank);
    motions_put(w, m);
    if (a->is_held)
        put_residual(a, left);
}

static enum problem_code bodies(struct work *w, const struct equilibrium_input *input,
                                struct problem *reterr)
{
    struct board b;
    struct assembly a;
    struct hand hand = {0};
    struct motions motions;
    struct left_over left = {0.0, 0.0, true};
    board_begin(&b, w, &input->loads, reterr);
    b.is_body = true;
    assembly_read(&a, &b, input);
    enum problem_code code = board_end(&b);
    if (code == PROBLEM_NONE)
        code = assembly_solve(&a);
    if (code != PROBLEM_NONE)
        return code;
    enum equilibrium_state state =
        equilibrium_state_of(a.column_count, a.equations, a.rank, a.is_held);
    freebody_say(&a);
    freebody_say_count(&a, state);
    find_motions(&a, &motions);
    if (a.is_held)
        work_by_hand(&a, &hand);
    take_answers(&a);
    struct unknown_force *unknowns = take_unknowns(&a);
    if (a.is_held && hand.a && !w->failed) {
        hand_check(&hand);
        hand_alternatives(&hand);
        hand_balances(&hand);
    }
    if (a.is_held)
        left = put_back(&a);
    code = board_end(&b);
    if (code != PROBLEM_NONE)
        return code;
    if (!left.is_sound)
        return board_unbalanced(&b, "The values do not satisfy the equations of equilibrium.");
    note_state(&a, state, &motions);
    note_one_way(&a);
    if (a.is_held && a.rank == a.column_count)
        sensitivity_note(&a);
    put_answer(&a, state, unknowns, &motions, &left);
    return work_close(w, reterr);
}

enum problem_code statics_equilibrium(struct work *w, const struct equilibrium_input *input,
                                      struct problem *reterr)
{
    return input->is_particle ? statics_particle(w, input, reterr) : bodies(w, input, reterr);
}
