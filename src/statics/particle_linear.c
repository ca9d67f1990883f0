/* particle_linear.c: magnitudes along given lines and forces wholly unknown: linear equations,
 * solved exactly as to rank, and by hand in steps. */
#include <math.h>

#include "statics/notes.h"
#include "statics/particle.h"
#include "statics/slips.h"
#include "statics/triangle.h"
#include "vector/linear.h"
#include "work/slip.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* Coefficients worked on: a thousand forces on a particle take some ten thousand. */
#define BUDGET 100000000

/* How many times the part acts for each unit of its number: times, with the sign of its side. */
static struct coefficient coefficient_of(struct particle *p, const struct particle_force *f, int k,
                                         int axis)
{
    struct work *w = p->b->w;
    const struct aim *aim = &f->reaction.part[k].aim;
    struct coefficient c = {aim->part[axis].sign, aim->part[axis].factor};
    if (c.sign == 0 || (!q_is_none(c.factor) && q_is_zero(w, c.factor)))
        return (struct coefficient){0};
    if (!q_is_none(f->times))
        c.factor = q_is_none(c.factor) ? f->times : q_mul(w, f->times, c.factor);
    if (f->is_resultant)
        c.sign = -c.sign;
    return c;
}

static struct coefficient add_coefficients(struct work *w, struct coefficient a,
                                           struct coefficient b)
{
    if (a.sign == 0 || b.sign == 0)
        return a.sign ? a : b;
    q one = q_integer(w, 1, ratio);
    q x = coefficient_times(w, (struct coefficient){a.sign, (q){0}},
                            q_is_none(a.factor) ? one : a.factor);
    q y = coefficient_times(w, (struct coefficient){b.sign, (q){0}},
                            q_is_none(b.factor) ? one : b.factor);
    q sum = q_add(w, x, y);
    return q_is_zero(w, sum) ? (struct coefficient){0} : (struct coefficient){1, sum};
}

static void find_units(struct particle *p, struct unit_of_scalar *unit)
{
    struct work *w = p->b->w;
    for (int j = 0; j < p->scalar_count; j++)
        unit[j] = (struct unit_of_scalar){.length = num_integer(w->field, 1)};
    for (int i = 0; i < p->force_count; i++) {
        const struct particle_force *f = &p->force[i];
        for (int k = 0; k < f->reaction.count; k++) {
            struct unit_of_scalar *u = &unit[f->scalar[k]];
            if (u->pulls++ == 0)
                u->vector = f->reaction.part[k].aim.vector;
        }
    }
    for (int j = 0; j < p->scalar_count; j++) {
        if (unit[j].pulls > 1)
            unit[j].vector = (qv){0};
        if (!qv_is_none(unit[j].vector))
            unit[j].length = q_node(w, q_norm(w, unit[j].vector))->num;
    }
}

/* By coordinates where that keeps roots out, else by the coefficient that is shown. */
static struct num column_entry(struct particle *p, const struct unit_of_scalar *unit,
                               const struct particle_force *f, int k, int axis)
{
    struct work *w = p->b->w;
    struct coefficient c = coefficient_of(p, f, k, axis);
    struct num x = num_integer(w->field, c.sign);
    if (c.sign == 0)
        return x;
    if (!qv_is_none(unit->vector))
        return num_mul(w->field, x, q_node(w, qv_component(w, unit->vector, axis))->num);
    return q_is_none(c.factor) ? x : num_mul(w->field, x, q_node(w, c.factor)->num);
}

static bool solve(struct particle *p, struct particle_solution *s, enum problem_code *ret_code)
{
    struct work *w = p->b->w;
    int axes = board_axes(p->b), n = p->scalar_count;
    size_t size = (size_t)n + 1;
    s->linear = linear_new(w->arena, w->field, axes, n, 1);
    s->unit = arena_alloc(w->arena, size * sizeof *s->unit);
    s->answer = arena_alloc(w->arena, size * sizeof *s->answer);
    *ret_code = PROBLEM_NONE;
    if (!s->linear || !s->unit || !s->answer) {
        w->failed = true;
        return false;
    }
    find_units(p, s->unit);
    for (int axis = 0; axis < axes; axis++) {
        for (int i = 0; i < p->force_count; i++)
            for (int k = 0; k < p->force[i].reaction.count; k++) {
                int j = p->force[i].scalar[k];
                linear_add(s->linear, axis, j, column_entry(p, &s->unit[j], &p->force[i], k, axis));
            }
        if (!qv_is_none(p->known)) {
            struct num known = q_node(w, qv_component(w, p->known, axis))->num;
            s->scale = fmax(s->scale, fabs(known.value));
            linear_add_right(s->linear, axis, 0, num_neg(w->field, known));
        }
    }
    switch (linear_solve(s->linear, w->second, BUDGET)) {
    case LINEAR_SOLVED:
        break;
    case LINEAR_NO_MEMORY:
        w->failed = true;
        return false;
    case LINEAR_BUDGET_EXCEEDED:
        *ret_code = problem_set(p->b->reterr, PROBLEM_WORK_LIMIT,
                                "There are more forces here than can be worked out at once.");
        return false;
    case LINEAR_UNLUCKY:
    case LINEAR_MAX_:
        w->unlucky = true;
        return true;
    }
    if (linear_is_unsettled(s->linear)) {
        *ret_code = board_unsolved(p->b);
        return false;
    }
    s->rank = linear_rank(s->linear);
    enum zero consistent = linear_consistent(s->linear, 0),
              decided = linear_rank_decided(s->linear);
    s->is_held = consistent != ZERO_NO;
    w->doubt_digits =
        w->doubt_digits || consistent == ZERO_WITHIN_DIGITS || decided == ZERO_WITHIN_DIGITS;
    w->doubt_rounding =
        w->doubt_rounding || consistent == ZERO_WITHIN_ROUNDING || decided == ZERO_WITHIN_ROUNDING;
    s->state = equilibrium_state_of(n, axes, s->rank, s->is_held);
    for (int j = 0; j < n && s->is_held; j++)
        if (linear_is_fixed(s->linear, j))
            s->scale =
                fmax(s->scale, fabs(linear_value(s->linear, j, 0).value * s->unit[j].length.value));
    return true;
}

static struct num found(struct particle *p, const struct particle_solution *s, int j)
{
    return num_mul(p->b->w->field, linear_value(s->linear, j, 0), s->unit[j].length);
}

/* ---- by hand ---- */

static void set_symbols(struct particle *p, struct substitution *s)
{
    for (int i = 0; i < p->force_count; i++)
        for (int k = 0; k < p->force[i].reaction.count; k++)
            if (p->force[i].same_as < 0)
                s->symbol[p->force[i].scalar[k]] = p->force[i].reaction.part[k].symbol;
}

static q known_along(struct particle *p, int axis)
{
    q x = qv_is_none(p->known) ? (q){0} : qv_component(p->b->w, p->known, axis);
    return !q_is_none(x) && q_is_zero(p->b->w, x) ? (q){0} : x;
}

static void set_up(struct particle *p, struct particle_solution *s)
{
    struct work *w = p->b->w;
    struct substitution *h = &s->by_hand;
    static const char *const axis_name[2][3] = {{"ΣF_x = 0", "ΣF_y = 0", "ΣF_z = 0"},
                                                {"ΣF_x", "ΣF_y", "ΣF_z"}};
    if (!substitution_new(w, h, board_axes(p->b), p->scalar_count))
        return;
    h->dimension = force_dimension;
    set_symbols(p, h);
    for (int j = 0; j < h->unknown_count; j++)
        h->is_fixed[j] = linear_is_fixed(s->linear, j);
    for (int axis = 0; axis < h->equation_count; axis++) {
        h->equation[axis].name = axis_name[p->input->has_required][axis];
        h->equation[axis].known = known_along(p, axis);
        for (int i = 0; i < p->force_count; i++)
            for (int k = 0; k < p->force[i].reaction.count; k++) {
                struct coefficient *c = &h->equation[axis].coefficient[p->force[i].scalar[k]];
                *c = add_coefficients(w, *c, coefficient_of(p, &p->force[i], k, axis));
            }
    }
}

/* The numbers as the equations show them: worked by hand, or a symbol of what is not fixed. */
static q shown_scalar(struct particle *p, struct particle_solution *s, int j)
{
    q x = s->by_hand.hand[j];
    if (!q_is_none(x))
        return x;
    x = q_name(p->b->w, q_unknown(p->b->w, found(p, s, j), force_dimension, (q){0}, s->scale),
               s->by_hand.symbol[j]);
    return s->by_hand.hand[j] = x;
}

static q plus(struct work *w, q a, q b)
{
    return q_is_none(a) ? b : q_is_none(b) ? a : q_add(w, a, b);
}

/* ΣF_x = 0: −T_1 cos 40° + T_2 cos 53° + W_x = 0 */
static void show_equation(struct particle *p, struct particle_solution *s, int axis)
{
    struct work *w = p->b->w;
    q left = {0}, right = {0};
    for (int i = 0; i < p->force_count; i++)
        for (int k = 0; k < p->force[i].reaction.count; k++) {
            struct coefficient c = coefficient_of(p, &p->force[i], k, axis);
            if (c.sign == 0)
                continue;
            q x = shown_scalar(p, s, p->force[i].scalar[k]);
            if (p->force[i].is_resultant) {
                c.sign = -c.sign;
                right = plus(w, right, coefficient_times(w, c, x));
            } else {
                left = plus(w, left, coefficient_times(w, c, x));
            }
        }
    for (uint32_t i = 0; i < p->loads.force_count; i++) {
        q x = qv_component(w, p->loads.force[i].vector, axis);
        if (!q_is_zero(w, x))
            left = plus(w, left, x);
    }
    if (p->has_required && !q_is_zero(w, qv_component(w, p->required.vector, axis)))
        right = plus(w, right, qv_component(w, p->required.vector, axis));
    if (q_is_none(left) && q_is_none(right)) {
        work_say(w, PHRASE("No force has a part along {}.",
                           arg_name((const char *[]){"x", "y", "z"}[axis])));
        return;
    }
    if (q_is_none(left))
        left = q_integer(w, 0, force_dimension);
    work_equation(w, LABEL_SUM_FORCE, "xyz"[axis], NULL, left, right);
    slip_balance(w, left, right);
}

static void show_equations(struct particle *p, struct particle_solution *s)
{
    struct work *w = p->b->w;
    work_section(w, PLAIN("Equations of equilibrium"),
                 p->input->has_required
                     ? PLAIN("Along each axis the forces add up to the required resultant.")
                     : PLAIN("A particle is in equilibrium where the forces add up to nothing "
                             "along each axis."));
    for (int axis = 0; axis < board_axes(p->b); axis++)
        show_equation(p, s, axis);
}

static bool is_any_fixed(const struct substitution *h)
{
    for (int j = 0; j < h->unknown_count; j++)
        if (h->is_fixed[j])
            return true;
    return false;
}

static const char *const solution_why =
    "An equation with one unknown comes first; otherwise one unknown is expressed by the others "
    "and put into what is left.";

/* The steps of the elimination come after the equations that they start from, but the equations
 * need the numbers it finds. */
static void work_along_axes(struct particle *p, struct particle_solution *s)
{
    struct work *w = p->b->w;
    struct elimination_by_hand *record = substitution_solve(w, &s->by_hand);
    show_equations(p, s);
    work_section(w, PLAIN("Solution of the equations"), phrase(solution_why, 0, NULL));
    substitution_show(w, record);
}

/* Two pulls at right angles, neither along x or y: with axes along them each equation has one
 * unknown. */
static bool is_turned_usual(struct particle *p, const struct particle_solution *s)
{
    struct work *w = p->b->w;
    if (w->space || p->force_count != 2 || p->scalar_count != 2 || s->rank != 2 ||
        qv_is_none(p->known))
        return false;
    for (int i = 0; i < 2; i++) {
        const struct particle_force *f = &p->force[i];
        if (f->reaction.count != 1 || f->is_resultant || f->same_as >= 0)
            return false;
        for (int j = 0; j < 2; j++)
            if (s->by_hand.equation[i].coefficient[j].sign == 0)
                return false;
    }
    return q_is_zero(w, q_dot(w, aim_unit(w, &p->force[0].reaction.part[0].aim),
                              aim_unit(w, &p->force[1].reaction.part[0].aim)));
}

static void work_along_unknowns(struct particle *p, struct particle_solution *s)
{
    struct work *w = p->b->w;
    const char *first = p->force[0].name, *second = p->force[1].name;
    work_section(w, PHRASE("Equations along {} and {}", arg_name(first), arg_name(second)),
                 PHRASE("{} and {} are at right angles: with an axis u along the one and v along "
                        "the other each equation has one unknown.",
                        arg_name(first), arg_name(second)));
    for (int i = 0; i < 2; i++) {
        const struct aim *aim = &p->force[i].reaction.part[0].aim;
        q part = q_name(w, particle_part_along(w, aim, p->known),
                        particle_symbol(w, p->known_name, i == 0 ? 'u' : 'v'));
        work_define(w, part);
        q x = q_name(w, q_neg(w, part), s->by_hand.symbol[i]);
        s->by_hand.hand[i] = x;
        work_equation(w, LABEL_SUM_FORCE, i == 0 ? 'u' : 'v', NULL, q_add(w, x, part), (q){0});
        work_define(w, x);
    }
}

/* Forces along lines whose numbers are all fixed. */
static void slips_of_lines(struct particle *p, const struct particle_solution *s)
{
    struct work *w = p->b->w;
    size_t most = (size_t)p->force_count + 1;
    q *tension = w->keeps_slips ? arena_alloc(w->arena, most * sizeof *tension) : NULL;
    struct aim *aim = w->keeps_slips ? arena_alloc(w->arena, most * sizeof *aim) : NULL;
    int count = 0;
    for (int i = 0; tension && aim && i < p->force_count; i++) {
        const struct particle_force *f = &p->force[i];
        bool is_line = f->reaction.count == 1 && !f->is_resultant && q_is_none(f->times);
        if (!is_line || q_is_none(s->answer[f->scalar[0]]))
            continue;
        tension[count] = s->answer[f->scalar[0]];
        aim[count++] = f->reaction.part[0].aim;
    }
    if (count > 0)
        slips_of_cables(w, tension, aim, count, p->known, p->b->up);
}

static void take_answers(struct particle *p, struct particle_solution *s)
{
    struct work *w = p->b->w;
    for (int j = 0; j < p->scalar_count; j++) {
        if (!s->by_hand.is_fixed[j])
            continue;
        s->answer[j] = q_unknown(w, found(p, s, j), force_dimension, s->by_hand.hand[j], s->scale);
        if (q_node(w, s->answer[j])->symbol.base == NULL)
            s->answer[j] = q_name(w, s->answer[j], s->by_hand.symbol[j]);
    }
    slips_of_lines(p, s);
}

static void work_by_hand(struct particle *p, struct particle_solution *s)
{
    struct work *w = p->b->w;
    set_up(p, s);
    if (w->failed)
        return;
    if (!is_any_fixed(&s->by_hand)) {
        show_equations(p, s);
        return;
    }
    if (is_turned_usual(p, s)) {
        work_along_unknowns(p, s);
    } else {
        work_along_axes(p, s);
    }
    take_answers(p, s);
    if (w->wants_key)
        substitution_alternatives(w, &s->by_hand, s->answer);
}

/* ---- what is said of the result ---- */

static void note_one_way(struct particle *p, const struct particle_force *f, const q *value)
{
    struct work *w = p->b->w;
    for (int k = 0; k < f->reaction.count; k++) {
        enum one_way way = f->reaction.part[k].one_way;
        if (way == ACTS_BOTH_WAYS || q_is_none(value[k]) || q_sign(w, value[k]) >= 0)
            continue;
        if (way == ACTS_PULLING)
            note_add(w, NOTE_GOES_SLACK,
                     PHRASE("{} comes out as {}, but {} can only pull: a cable can't push, it "
                            "would go slack. So there is no equilibrium in this way; the algebra "
                            "is shown all the same.",
                            arg_symbol(value[k]), arg_value(value[k]), arg_name(f->name)));
        else
            note_add(w, NOTE_LIFTS_OFF,
                     PHRASE("{} comes out as {}, but {} can only push: the contact would open. So "
                            "there is no equilibrium in this way; the algebra is shown all the "
                            "same.",
                            arg_symbol(value[k]), arg_value(value[k]), arg_name(f->name)));
    }
}

/* ---- the answer of linear equations ---- */

static void values_of(struct particle *p, const struct particle_solution *s,
                      const struct particle_force *f, q value[REACTION_PARTS_MAX])
{
    struct work *w = p->b->w;
    for (int k = 0; k < f->reaction.count; k++) {
        value[k] = s->answer[f->scalar[k]];
        if (f->same_as < 0 || q_is_none(value[k]))
            continue;
        q x = q_is_none(f->times) ? q_sum(w, &value[k], 1) : q_mul(w, f->times, value[k]);
        value[k] = q_name(w, x, f->reaction.part[k].symbol);
        work_define(w, value[k]);
    }
}

static void put_values(struct particle *p, struct particle_solution *s)
{
    struct work *w = p->b->w;
    size_t count = (size_t)p->force_count + 1;
    struct unknown_force *u = arena_alloc(w->arena, count * sizeof *u);
    bool is_whole = true;
    if (u == NULL) {
        w->failed = true;
        return;
    }
    work_section(w, PLAIN("Forces found"), PLAIN("Each with its components, size and direction."));
    for (int i = 0; i < p->force_count; i++) {
        q value[REACTION_PARTS_MAX] = {0};
        values_of(p, s, &p->force[i], value);
        particle_found(p, &p->force[i], value, &u[i]);
        note_one_way(p, &p->force[i], value);
        is_whole = is_whole && u[i].has_force;
    }
    unknowns_put(w, NULL, u, p->force_count);
    if (is_whole) {
        if (s->state == STATE_DETERMINATE)
            triangle_of_three(p, u);
        q left = particle_check(p, u);
        if (!q_is_none(left))
            unknowns_put_residual(w, left, (q){0});
    }
    if (s->state == STATE_DETERMINATE)
        particle_note_sensitive(p, s);
}

static void note_degree(struct particle *p, int degree)
{
    note_add(p->b->w, NOTE_INDETERMINATE,
             PHRASE("There are more unknowns than independent equations: {} of them could be "
                    "chosen freely. What is fixed all the same is given.",
                    arg_count(degree)));
}

enum problem_code particle_linear(struct particle *p)
{
    struct work *w = p->b->w;
    struct particle_solution s = {0};
    enum problem_code code;
    int axes = board_axes(p->b), n = p->scalar_count;
    if (!solve(p, &s, &code))
        return code;
    if (w->unlucky)
        return PROBLEM_NONE;
    result_text(w, NULL, "state", equilibrium_state_word(s.state));
    if (s.is_held) {
        work_by_hand(p, &s);
        put_values(p, &s);
    } else {
        particle_put_none(p);
    }
    unknowns_put_count(w, n, axes, s.rank);
    if (s.state == STATE_IMPROPERLY_CONSTRAINED)
        result_bool(w, NULL, "balanced", s.is_held);
    if (s.is_held && s.rank < n) {
        result_count(w, NULL, "degree", n - s.rank);
        note_degree(p, n - s.rank);
    }
    if (s.rank < axes)
        particle_put_free_motions(p, &s);
    return PROBLEM_NONE;
}
