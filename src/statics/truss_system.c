/* truss_system.c: the equations of all joints, and their solution. */
#include <math.h>

#include "base/limits.h"
#include "statics/truss.h"
#include "vector/factor.h"

/* ---- the equations ---- */

/* At each joint and along each axis: Σ (force/length)·direction + loads = 0. */
static void put_equations(const struct truss *t, struct linear *l)
{
    const struct field *f = t->w->field;
    for (int i = 0; i < t->unknown_count; i++) {
        struct exact d = truss_direction(t, i);
        const int *joint = t->unknown[i].joint;
        for (int axis = 0; axis < t->axes; axis++) {
            linear_add(l, t->axes * joint[0] + axis, i, d.c[axis]);
            if (truss_is_member(t, i))
                linear_add(l, t->axes * joint[1] + axis, i, num_neg(f, d.c[axis]));
        }
    }
    for (int i = 0; i < t->load_count; i++)
        for (int axis = 0; axis < t->axes; axis++) {
            q part = qv_component(t->w, t->load[i].vector, axis);
            linear_add_right(l, t->axes * t->load[i].at + axis, 0,
                             num_neg(f, q_node(t->w, part)->num));
        }
}

static enum linear_code solve_equations(struct truss *t)
{
    t->solver = truss_is_shown(t) ? t->w->arena : arena_part(t->w->arena);
    if (!t->solver)
        return LINEAR_NO_MEMORY;
    t->linear = linear_new(t->solver, t->w->field, t->axes * t->joint_count, t->unknown_count, 1);
    if (!t->linear)
        return LINEAR_NO_MEMORY;
    put_equations(t, t->linear);
    return linear_solve(t->linear, t->w->second, LIMIT_TRUSS_OPERATIONS);
}

void truss_forget_equations(struct truss *t)
{
    if (t->solver != t->w->arena)
        arena_free(t->solver);
    t->solver = NULL;
    t->linear = NULL;
}

/* A rank that falls short was seen in one field only, where coefficients are roots: the same truss
 * in another field must say the same. */
static enum linear_code confirm(const struct truss *t)
{
    struct work second;
    struct truss again;
    struct problem problem;
    if (linear_is_confirmed(t->linear) || !t->w->second)
        return LINEAR_SOLVED;
    work_init(&second, t->w->arena, t->w->second);
    second.numbers_only = true;
    problem_init(&problem, t->w->arena);
    if (!truss_read(&again, &second, t->input, &problem))
        return second.failed ? LINEAR_NO_MEMORY : LINEAR_UNLUCKY;
    enum linear_code code = solve_equations(&again);
    if (code == LINEAR_SOLVED && !linear_agrees(t->linear, again.linear))
        code = LINEAR_UNLUCKY;
    truss_forget_equations(&again);
    return code;
}

static enum problem_code problem_of(struct truss *t, enum linear_code code, struct problem *reterr)
{
    switch (code) {
    case LINEAR_SOLVED:
        return PROBLEM_NONE;
    case LINEAR_NO_MEMORY:
        t->w->failed = true;
        return problem_set(reterr, PROBLEM_OVERLOADED,
                           "The truss needs more memory than a request may have.");
    case LINEAR_BUDGET_EXCEEDED:
        return problem_set(reterr, PROBLEM_WORK_LIMIT,
                           "The %d equations of this truss take more work than one request may "
                           "have: many of its joints are joined far across it. Send a smaller one.",
                           t->axes * t->joint_count);
    case LINEAR_UNLUCKY:
        t->w->unlucky = true;
        return problem_set(reterr, PROBLEM_INTERNAL, "A false zero of the field.");
    case LINEAR_MAX_:
        break;
    }
    return PROBLEM_INTERNAL;
}

/* ---- what was found ---- */

/* √square where it is rational. */
static bool rational_root(const struct field *f, struct num square, struct num *ret_root)
{
    int64_t n, d;
    if (!num_is_rational(square, &n, &d) || n <= 0)
        return false;
    uint64_t above = factor_isqrt((uint64_t)n), below = factor_isqrt((uint64_t)d);
    if (above * above != (uint64_t)n || below * below != (uint64_t)d)
        return false;
    *ret_root = num_rational(f, (int64_t)above, (int64_t)below);
    return true;
}

/* √square as a generic number of its own, which does not factor it: of thousands of members that
 * could take seconds. Whether a force is zero was decided before. */
static struct num generic_root(const struct field *f, struct num square)
{
    struct dd root = dd_sqrt(num_dd(square));
    uint64_t which = square.residue.a ^ (square.residue.b << 1) ^ (square.residue.b >> 63);
    struct num length = num_generic(f, which, root.hi, 0);
    length.low = root.lo;
    length.error = square.error / root.hi + root.hi * 0x1p-100;
    length.slack = square.slack / root.hi;
    return length;
}

struct num truss_found(const struct truss *t, int unknown)
{
    const struct field *f = t->w->field;
    const struct truss_unknown *u = &t->unknown[unknown];
    struct num length;
    if (u->is_zero)
        return num_integer(f, 0);
    if (u->part && qv_is_none(u->part->aim.vector))
        return u->density;
    struct exact d = truss_direction(t, unknown);
    struct num square = exact_dot(f, d, d);
    if (!rational_root(f, square, &length))
        length = u->part ? num_sqrt(f, square, square.residue.a) : generic_root(f, square);
    return num_mul(f, u->density, length);
}

static void remember_doubt(struct work *w, enum zero zero)
{
    w->doubt_digits |= zero == ZERO_WITHIN_DIGITS;
    w->doubt_rounding |= zero == ZERO_WITHIN_ROUNDING;
    work_beyond(w, BEYOND_DIGITS, zero == ZERO_UNSETTLED);
}

/* A force that is zero as far as the numbers tell is no zero where they leave open more than all
 * loads. */
static bool is_anything(const struct truss *t, const struct truss_unknown *u, enum zero zero)
{
    double open = (u->density.slack + u->density.error) * u->length;
    return zero != ZERO_NO && zero != ZERO_EXACT && !(open <= t->scale);
}

static void take_forces(struct truss *t)
{
    const struct field *f = t->w->field;
    for (int i = 0; i < t->unknown_count; i++) {
        struct truss_unknown *u = &t->unknown[i];
        u->is_fixed = t->is_held && linear_is_fixed(t->linear, i);
        if (!u->is_fixed)
            continue;
        u->density = linear_value(t->linear, i, 0);
        enum zero zero = num_zero(u->density);
        remember_doubt(t->w, zero);
        work_beyond(t->w, BEYOND_DIGITS, is_anything(t, u, zero));
        u->is_zero = zero != ZERO_NO;
        if (u->is_zero)
            u->density = num_integer(f, 0);
    }
}

static void find_scale_of_loads(struct truss *t)
{
    for (int i = 0; i < t->load_count; i++)
        t->scale = fmax(t->scale, exact_length(exact_of(t->w, t->load[i].vector)));
}

static void find_scale(struct truss *t)
{
    for (int i = 0; i < t->unknown_count; i++)
        if (t->unknown[i].is_fixed)
            t->scale = fmax(t->scale, fabs(t->unknown[i].density.value) * t->unknown[i].length);
    if (!(t->scale > 0))
        t->scale = 1;
}

enum problem_code truss_solve(struct truss *t, struct problem *reterr)
{
    enum linear_code code = solve_equations(t);
    if (code == LINEAR_SOLVED)
        code = confirm(t);
    if (code != LINEAR_SOLVED)
        return problem_of(t, code, reterr);
    if (linear_is_unsettled(t->linear))
        return board_unsolved(&t->board);
    enum zero held = linear_consistent(t->linear, 0);
    remember_doubt(t->w, linear_rank_decided(t->linear));
    t->w->hand_left_out |= linear_rank_decided(t->linear) != ZERO_EXACT;
    remember_doubt(t->w, held);
    t->is_held = held != ZERO_NO;
    t->rank = linear_rank(t->linear);
    find_scale_of_loads(t);
    take_forces(t);
    find_scale(t);
    return problem_of(t, truss_judge(t), reterr);
}
