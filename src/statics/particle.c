/* particle.c: forces that meet in one point, and those among them that keep them in equilibrium. */
#include "statics/particle.h"

#include <math.h>

#include "statics/notes.h"
#include "statics/statics.h"
#include "statics/triangle.h"
#include "vector/linear.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* Coefficients worked on: a thousand forces on a particle take some ten thousand. */
#define BUDGET 100000000

/* ---- what is given ---- */

static void reserve_names(struct particle *p)
{
    for (int i = 0; i < p->input->support_count; i++)
        work_reserve(p->b->w, p->input->support[i].name);
    if (p->input->has_required)
        work_reserve(p->b->w, p->input->required.name);
}

static void read_required(struct particle *p)
{
    const struct force_input *in = &p->input->required;
    if (!p->input->has_required || force_is_unknown(in))
        return;
    work_section(p->b->w, PLAIN("Required resultant"),
                 PLAIN("The forces shall add up to it, in place of zero."));
    p->has_required = force_load(p->b, in, &p->required);
}

/* Add up what is known; one force stands for itself. */
static void add_known(struct particle *p)
{
    struct work *w = p->b->w;
    uint32_t count = p->loads.force_count + (p->has_required ? 1 : 0);
    if (count == 0 || board_has_faults(p->b))
        return;
    if (count == 1 && !p->has_required) {
        const struct load *load = &p->loads.force[0];
        p->known = load->vector;
        p->known_name = load->name;
        p->known_aim = load->aim;
        p->known_is_aimed = load->is_aimed && !q_is_none(load->magnitude);
        return;
    }
    qv *term = arena_alloc(w->arena, count * sizeof *term);
    if (term == NULL) {
        w->failed = true;
        return;
    }
    for (uint32_t i = 0; i < p->loads.force_count; i++)
        term[i] = p->loads.force[i].vector;
    if (p->has_required)
        term[count - 1] = qv_neg(w, p->required.vector);
    p->known = qv_name(w, qv_sum(w, term, count), symbol_own(w, "S", NULL));
    p->known_name = "S";
    work_say(w, p->has_required ? PLAIN("What is known, less the required resultant, adds up to:")
                                : PLAIN("What is known adds up to:"));
    work_define_vector(w, p->known);
}

/* ---- what is unknown ---- */

static enum one_way one_way_of(const struct force_input *in)
{
    return in->sense == SENSE_PULLS    ? ACTS_PULLING
           : in->sense == SENSE_PUSHES ? ACTS_PUSHING
                                       : ACTS_BOTH_WAYS;
}

static void read_times(struct particle *p, const struct force_input *in, struct particle_force *f)
{
    struct work *w = p->b->w;
    if (!in->times.present)
        return;
    f->times = q_given(w, &in->times, ratio);
    if (q_is_zero(w, f->times))
        problem_fault(p->b->reterr, in->times.pointer, FAULT_RANGE,
                      "A factor of 0 leaves nothing of %s to be found.", in->name);
}

static void read_turned(struct particle *p, const struct force_input *in, struct particle_force *f)
{
    struct work *w = p->b->w;
    f->is_turned_free = true;
    p->turned_count++;
    reaction_of_force(p->b, in->name, &f->reaction);
    if (in->magnitude_unknown)
        return;
    q size = q_given(w, &in->magnitude, force_dimension);
    if (q_sign(w, size) < 0) {
        problem_fault(p->b->reterr, in->magnitude.pointer, FAULT_NEGATIVE_MAGNITUDE,
                      "The magnitude of %s is negative: give it without the sign.", in->name);
        return;
    }
    if (!q_is_none(f->times))
        size = q_mul(w, q_abs(w, f->times), size);
    f->magnitude = q_name(w, size, symbol_of_name(w, in->name));
    work_define(w, f->magnitude);
}

static void read_force(struct particle *p, const struct force_input *in, bool is_resultant)
{
    struct particle_force *f = &p->force[p->force_count++];
    bool is_turned = in->direction.form == DIRECTION_UNKNOWN;
    struct aim aim;
    *f = (struct particle_force){.name = in->name,
                                 .kind = is_resultant ? "resultant" : "force",
                                 .in = in,
                                 .is_resultant = is_resultant,
                                 .same_as = -1};
    if (in->has_components) {
        problem_fault(p->b->reterr, in->pointer, FAULT_DISAGREE,
                      "%s is given by its components, so nothing of it is unknown.", in->name);
        return;
    }
    read_times(p, in, f);
    if (is_turned && (!in->magnitude_unknown || in->same_as))
        read_turned(p, in, f);
    else if (is_turned)
        reaction_of_force(p->b, in->name, &f->reaction);
    else if (direction_aim(p->b, &in->direction, in->name, false, &aim))
        reaction_along(p->b, in->name, &aim, one_way_of(in), &f->reaction);
}

static void read_support(struct particle *p, const struct support_input *in)
{
    struct particle_force *f = &p->force[p->force_count++];
    *f = (struct particle_force){
        .name = in->name, .kind = support_kind_word(in->kind), .same_as = -1};
    reaction_of(p->b, in, &f->reaction);
}

/* One number for each part; a force with the magnitude of another shares its number. */
static void number_scalars(struct particle *p)
{
    for (int i = 0; i < p->force_count; i++) {
        struct particle_force *f = &p->force[i];
        bool has_own = !f->is_turned_free && !(f->in && f->in->same_as);
        for (int k = 0; has_own && k < f->reaction.count; k++)
            f->scalar[k] = p->scalar_count++;
    }
}

/* The entry of a force of the request, or −1. */
static int entry_of(const struct particle *p, int force)
{
    for (int i = 0; i < p->force_count; i++)
        if (force >= 0 && p->force[i].in == &p->b->loads->force[force])
            return i;
    return -1;
}

static void share_scalars(struct particle *p)
{
    struct work *w = p->b->w;
    for (int i = 0; i < p->force_count; i++) {
        struct particle_force *f = &p->force[i];
        if (!f->in || !f->in->same_as)
            continue;
        f->same_as = entry_of(p, f->in->same_as_force);
        const struct particle_force *other = f->same_as < 0 ? NULL : &p->force[f->same_as];
        if (!other || other->is_turned_free || other->reaction.count != 1) {
            problem_fault(p->b->reterr, f->in->pointer, FAULT_OUT_OF_SCOPE,
                          "%s has the magnitude of %s, whose direction is unknown too: give the "
                          "direction of %s.",
                          f->name, f->in->same_as, f->in->same_as);
            continue;
        }
        f->scalar[0] = other->scalar[0];
        q own = q_is_none(f->times) ? q_integer(w, 1, ratio) : f->times;
        if (!q_is_none(other->times) && !q_is_zero(w, other->times))
            f->times = q_div(w, own, other->times);
    }
    for (int i = 0; i < p->force_count; i++)
        if (p->force[i].same_as < 0)
            p->force[i].times = (q){0}; /* a factor of its own is part of what is found */
}

static void read_unknowns(struct particle *p)
{
    const struct loads_input *in = p->b->loads;
    size_t count = (size_t)in->force_count + (size_t)p->input->support_count + 2;
    p->force = arena_alloc(p->b->w->arena, count * sizeof *p->force);
    if (p->force == NULL) {
        p->b->w->failed = true;
        return;
    }
    work_section(p->b->w, PLAIN("Directions of the unknown forces"), (struct phrase){0});
    for (int i = 0; i < in->force_count; i++)
        if (force_is_unknown(&in->force[i]))
            read_force(p, &in->force[i], false);
    for (int i = 0; i < p->input->support_count; i++)
        read_support(p, &p->input->support[i]);
    if (p->input->has_required && force_is_unknown(&p->input->required))
        read_force(p, &p->input->required, true);
    number_scalars(p);
    share_scalars(p);
}

/* ---- vectors and entries of the answer ---- */

static bool is_along_axes(const struct particle_force *f)
{
    for (int k = 0; k < f->reaction.count; k++)
        if (f->reaction.part[k].symbol.base == NULL || f->reaction.count == 1 ||
            !q_is_none(f->reaction.part[k].aim.part[0].factor) ||
            !q_is_none(f->reaction.part[k].aim.part[1].factor) ||
            !q_is_none(f->reaction.part[k].aim.part[2].factor))
            return false;
    return true;
}

static struct symbol vector_symbol(struct particle *p, const struct particle_force *f)
{
    struct symbol s = symbol_of_name(p->b->w, f->name);
    s.primed = (uint8_t)p->solution;
    return s;
}

/* Its parts are its components. */
static qv vector_of_components(struct particle *p, const struct particle_force *f, const q *value)
{
    struct work *w = p->b->w;
    q c[3] = {0};
    struct symbol whole = vector_symbol(p, f);
    for (int axis = 0; axis < board_axes(p->b); axis++) {
        for (int k = 0; k < f->reaction.count; k++)
            if (f->reaction.part[k].aim.part[axis].sign != 0)
                c[axis] =
                    f->reaction.part[k].aim.part[axis].sign > 0 ? value[k] : q_neg(w, value[k]);
        struct symbol own = particle_symbol(w, f->name, "xyz"[axis]);
        if (q_is_none(c[axis]))
            c[axis] = q_integer(w, 0, force_dimension);
        if (q_node(w, c[axis])->symbol.base == NULL)
            c[axis] = q_name(w, c[axis], own);
    }
    return qv_name(w, qv_of(w, c[0], c[1], c[2]), whole);
}

qv particle_vector(struct particle *p, const struct particle_force *f, const q *value)
{
    struct work *w = p->b->w;
    if (is_along_axes(f))
        return vector_of_components(p, f, value);
    qv term[REACTION_PARTS_MAX];
    for (int k = 0; k < f->reaction.count; k++)
        term[k] = aim_vector(w, &f->reaction.part[k].aim, value[k]);
    qv sum = f->reaction.count == 1 ? term[0] : qv_sum(w, term, (uint32_t)f->reaction.count);
    sum = qv_name(w, sum, vector_symbol(p, f));
    work_define_vector(w, sum);
    return sum;
}

static void say_reversed(struct work *w, q value, const struct particle_force *f)
{
    work_say(w, PHRASE("{} is negative: {} acts opposite to the direction it was taken in.",
                       arg_symbol(value), arg_name(f->name)));
}

static struct polar polar_along(struct particle *p, const struct particle_force *f, qv vector,
                                q value)
{
    struct work *w = p->b->w;
    struct aim aim = f->reaction.part[0].aim;
    q size = value;
    if (q_sign(w, value) < 0) {
        say_reversed(w, value, f);
        aim_reverse(&aim);
        size = q_name(w, q_abs(w, value), symbol_of_name(w, f->name));
        work_define(w, size);
    }
    return polar_of_unknown(p->b, vector, f->name, size, &aim);
}

void particle_found(struct particle *p, const struct particle_force *f, const q *value,
                    struct unknown_force *ret)
{
    *ret = (struct unknown_force){
        .name = f->name, .kind = f->kind, .has_force = true, .part_count = f->reaction.count};
    for (int k = 0; k < f->reaction.count; k++) {
        ret->part[k] = (struct unknown_part){f->reaction.part[k].text, value[k]};
        ret->has_force = ret->has_force && !q_is_none(value[k]);
    }
    if (!ret->has_force)
        return;
    qv vector = particle_vector(p, f, value);
    if (f->reaction.count == 1)
        ret->force = polar_along(p, f, vector, value[0]);
    else
        ret->force = polar_of_unknown(p->b, vector, f->name, f->magnitude, NULL);
}

void particle_put_none(struct particle *p)
{
    struct work *w = p->b->w;
    struct unknown_force *u = arena_alloc(w->arena, ((size_t)p->force_count + 1) * sizeof *u);
    static const q none[REACTION_PARTS_MAX];
    if (u == NULL) {
        w->failed = true;
        return;
    }
    for (int i = 0; i < p->force_count; i++)
        particle_found(p, &p->force[i], none, &u[i]);
    unknowns_put(w, NULL, u, p->force_count);
}

q particle_check(struct particle *p, const struct unknown_force *u)
{
    struct work *w = p->b->w;
    qv *term =
        arena_alloc(w->arena, (p->loads.force_count + (size_t)p->force_count + 2) * sizeof *term);
    uint32_t count = 0;
    if (term == NULL) {
        w->failed = true;
        return (q){0};
    }
    for (uint32_t i = 0; i < p->loads.force_count; i++)
        term[count++] = p->loads.force[i].vector;
    for (int i = 0; i < p->force_count; i++)
        term[count++] = p->force[i].is_resultant ? qv_neg(w, u[i].force.vector) : u[i].force.vector;
    if (p->has_required)
        term[count++] = qv_neg(w, p->required.vector);
    if (count == 0)
        return (q){0};
    work_section(w, PLAIN("Check"),
                 p->input->has_required
                     ? PLAIN("Put back, all forces less the resultant must leave nothing.")
                     : PLAIN("Put back, all forces together must leave nothing."));
    qv left = qv_name(w, qv_sum(w, term, count), symbol_own(w, "E", NULL));
    for (int axis = 0; axis < board_axes(p->b); axis++)
        work_check(w, qv_component(w, left, axis), (struct phrase){0});
    q size = q_name(w, q_norm(w, left), symbol_own(w, "E", NULL));
    work_define(w, size);
    double largest = 0.0;
    for (uint32_t i = 0; i < count; i++)
        largest = fmax(largest, fabs(q_value(w, q_norm(w, term[i]))));
    if (!(q_value(w, size) <= UNKNOWN_AGREES * largest))
        w->inconsistent = true; /* a fault of ours: no answer leaves */
    return size;
}

/* ---- linear equations ---- */

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

/* A lone pull along an unnormalised vector: its number is found over the vector's length. */
struct unit_of_scalar {
    int pulls;
    qv vector; /* {0}: its unit is 1 */
    struct num length;
};

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

struct solution {
    struct linear *linear;
    struct unit_of_scalar *unit;
    int rank;
    bool is_held;
    enum equilibrium_state state;
    struct substitution by_hand;
    q *answer; /* of each scalar; {0}: not fixed */
    double scale;
};

static bool solve(struct particle *p, struct solution *s, enum problem_code *ret_code)
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
    switch (linear_solve(s->linear, NULL, BUDGET)) {
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
        *ret_code = problem_set(p->b->reterr, PROBLEM_INTERNAL, "A system was not settled.");
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

static struct num found(struct particle *p, const struct solution *s, int j)
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

static void set_up(struct particle *p, struct solution *s)
{
    struct work *w = p->b->w;
    struct substitution *h = &s->by_hand;
    static const char *const axis_name[3] = {"ΣF_x = 0", "ΣF_y = 0", "ΣF_z = 0"};
    if (!substitution_new(w, h, board_axes(p->b), p->scalar_count))
        return;
    h->dimension = force_dimension;
    set_symbols(p, h);
    for (int j = 0; j < h->unknown_count; j++)
        h->is_fixed[j] = linear_is_fixed(s->linear, j);
    for (int axis = 0; axis < h->equation_count; axis++) {
        h->equation[axis].name = axis_name[axis];
        h->equation[axis].known = known_along(p, axis);
        for (int i = 0; i < p->force_count; i++)
            for (int k = 0; k < p->force[i].reaction.count; k++) {
                struct coefficient *c = &h->equation[axis].coefficient[p->force[i].scalar[k]];
                *c = add_coefficients(w, *c, coefficient_of(p, &p->force[i], k, axis));
            }
    }
}

/* The numbers as the equations show them: worked by hand, or a symbol of what is not fixed. */
static q shown_scalar(struct particle *p, struct solution *s, int j)
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
static void show_equation(struct particle *p, struct solution *s, int axis)
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
}

static void show_equations(struct particle *p, struct solution *s)
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
static void work_along_axes(struct particle *p, struct solution *s)
{
    struct work *w = p->b->w;
    struct elimination_by_hand *record = substitution_solve(w, &s->by_hand);
    show_equations(p, s);
    work_section(w, PLAIN("Solution of the equations"), phrase(solution_why, 0, NULL));
    substitution_show(w, record);
}

/* Two pulls at right angles, neither along x or y: with axes along them each equation has one
 * unknown. */
static bool is_turned_usual(struct particle *p, const struct solution *s)
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

static void work_along_unknowns(struct particle *p, struct solution *s)
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

static void take_answers(struct particle *p, struct solution *s)
{
    struct work *w = p->b->w;
    for (int j = 0; j < p->scalar_count; j++) {
        if (!s->by_hand.is_fixed[j])
            continue;
        s->answer[j] = q_unknown(w, found(p, s, j), force_dimension, s->by_hand.hand[j], s->scale);
        if (q_node(w, s->answer[j])->symbol.base == NULL)
            s->answer[j] = q_name(w, s->answer[j], s->by_hand.symbol[j]);
    }
}

static void work_by_hand(struct particle *p, struct solution *s)
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

/* Each direction turned by 0.1 % of a radian, in four patterns of senses (numerics.md): how much
 * the largest force changes, relative to itself. */
#define TURN 0.001
#define SENSITIVE 0.10
static const unsigned patterns[4] = {0x5555, 0x3c96, 0x0f0f, 0x69a5};

static void note_sensitive(struct particle *p, struct solution *s)
{
    struct work *w = p->b->w;
    int axes = board_axes(p->b), n = p->scalar_count;
    double largest = 0.0, change = 0.0;
    double *x = arena_alloc(w->arena, ((size_t)n + 1) * sizeof *x);
    if (x == NULL || n == 0 || s->rank < n)
        return;
    for (int j = 0; j < n; j++)
        largest = fmax(largest, fabs(q_value(w, s->answer[j])));
    for (int pattern = 0; pattern < 4; pattern++) {
        double b[3] = {0};
        unsigned bit = 0;
        for (int i = 0; i < p->force_count; i++)
            for (int k = 0; k < p->force[i].reaction.count; k++) {
                const struct particle_force *f = &p->force[i];
                double u[3] = {0}, sideways[3];
                double size = q_value(w, s->answer[f->scalar[k]]) *
                              (q_is_none(f->times) ? 1.0 : q_value(w, f->times));
                for (int axis = 0; axis < axes; axis++) {
                    struct coefficient c = {f->reaction.part[k].aim.part[axis].sign,
                                            f->reaction.part[k].aim.part[axis].factor};
                    u[axis] = c.sign * (q_is_none(c.factor) ? 1.0 : q_value(w, c.factor));
                }
                if (is_along_axes(f))
                    continue;
                int thin = fabs(u[0]) < fabs(u[1]) ? 0 : 1;
                if (axes == 2)
                    thin = 2;
                else if (fabs(u[2]) < fabs(u[thin]))
                    thin = 2;
                double e[3] = {0};
                e[thin] = 1.0;
                for (int axis = 0; axis < 3; axis++)
                    sideways[axis] = e[(axis + 1) % 3] * u[(axis + 2) % 3] -
                                     e[(axis + 2) % 3] * u[(axis + 1) % 3];
                double length = sqrt(sideways[0] * sideways[0] + sideways[1] * sideways[1] +
                                     sideways[2] * sideways[2]);
                double sense = (patterns[pattern] >> (bit++ % 16)) & 1u ? TURN : -TURN;
                for (int axis = 0; axis < axes; axis++)
                    b[axis] -= sense * size * sideways[axis] / length;
            }
        linear_solve_again(s->linear, b, x);
        for (int j = 0; j < n; j++)
            change = fmax(change, fabs(x[j] * s->unit[j].length.value));
    }
    if (!(change >= SENSITIVE * largest) || largest == 0.0)
        return;
    const char *percent = fault_number(p->b, 100.0 * change / largest, 2);
    note_add(w, NOTE_SENSITIVE_GEOMETRY,
             PHRASE("The geometry is nearly critical: turning the directions by a thousandth of "
                    "their length changes the largest force by {} percent.",
                    arg_name(percent)));
}

/* ---- motions left free ---- */

static bool is_square_to_all(struct particle *p, qv v)
{
    struct work *w = p->b->w;
    for (int i = 0; i < p->force_count; i++)
        for (int k = 0; k < p->force[i].reaction.count; k++)
            if (!q_is_zero(w, q_dot(w, aim_unit(w, &p->force[i].reaction.part[k].aim), v)))
                return false;
    return true;
}

static qv axis_vector(struct particle *p, int along)
{
    q c[3] = {0};
    for (int axis = 0; axis < board_axes(p->b); axis++)
        c[axis] = q_integer(p->b->w, axis == along, ratio);
    return qv_of(p->b->w, c[0], c[1], c[2]);
}

/* The first part that is square to none of what is in `others` … or rather: whose cross product
 * with `first` is not zero; with first {0} the first part there is. */
static qv independent_part(struct particle *p, qv first)
{
    struct work *w = p->b->w;
    for (int i = 0; i < p->force_count; i++)
        for (int k = 0; k < p->force[i].reaction.count; k++) {
            qv u = aim_unit(w, &p->force[i].reaction.part[k].aim);
            if (qv_is_none(first) || !qv_is_zero(w, qv_cross(w, first, u)))
                return u;
        }
    return (qv){0};
}

static qv unit_of(struct work *w, qv v) { return qv_over(w, v, q_norm(w, v)); }

static int free_directions(struct particle *p, int freedoms, qv ret[3])
{
    struct work *w = p->b->w;
    int count = 0;
    for (int axis = 0; axis < board_axes(p->b); axis++) {
        qv along = axis_vector(p, axis);
        if (count < freedoms && is_square_to_all(p, along))
            ret[count++] = along;
    }
    qv u = count < freedoms ? independent_part(p, (qv){0}) : (qv){0};
    if (count < freedoms && !w->space) {
        q x = qv_component(w, u, 0), y = qv_component(w, u, 1);
        ret[count++] = qv_of(w, q_neg(w, y), q_sum(w, &x, 1), (q){0});
    } else if (count < freedoms && freedoms == 1) {
        ret[count++] = unit_of(w, qv_cross(w, u, independent_part(p, u)));
    } else {
        while (count < freedoms) /* one line of forces in space: two directions square to it */
            if (count > 0) {
                qv second = qv_cross(w, u, ret[0]);
                ret[count++] = second;
            } else {
                ret[count++] = unit_of(w, qv_cross(w, axis_vector(p, 2), u));
            }
    }
    return count;
}

static struct phrase motion_text(struct work *w, qv v)
{
    static const char *const axis_text[3] = {"moves along x", "moves along y", "moves along z"};
    int along = -1, parts = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, v, axis)) && !q_is_zero(w, qv_component(w, v, axis))) {
            along = axis;
            parts++;
        }
    if (parts == 1)
        return phrase(axis_text[along], 0, NULL);
    if (w->space)
        return PLAIN("moves square to every unknown force");
    return PHRASE("moves square to every unknown force, along the line at {} to the x axis",
                  arg_value(polar_acute_angle(w, v)));
}

static void put_free_motions(struct particle *p, const struct solution *s)
{
    struct work *w = p->b->w;
    qv free[3];
    int count = free_directions(p, board_axes(p->b) - s->rank, free);
    work_section(w, PLAIN("Motions left free"),
                 PLAIN("No unknown force has a part along these directions, so that none of them "
                       "stops a motion there."));
    struct value *list = result_list(w, NULL, "free_motions");
    for (int i = 0; i < count; i++) {
        free[i] = qv_name(w, free[i], symbol_own(w, "n", (const char *[]){"1", "2", "3"}[i]));
        work_define_vector(w, free[i]);
        struct value *motion = result_object(w, list, NULL);
        result_text(w, motion, "motion", "translation");
        result_vector(w, motion, "direction", free[i]);
        if (motion && motion->last)
            motion->last->asked = false;
        result_phrase(w, motion, "text", motion_text(w, free[i]));
        if (qv_is_none(p->known))
            continue;
        q part =
            q_name(w, q_dot(w, p->known, free[i]), particle_symbol(w, p->known_name, "123"[i]));
        work_define(w, part);
        work_decide(w, q_is_zero(w, part)
                           ? PLAIN("The known forces have no part there: nothing moves it.")
                           : PHRASE("The known forces have the part {} there, which no unknown "
                                    "force can hold.",
                                    arg_value(part)));
    }
    if (s->is_held)
        note_add(w, NOTE_FREE_TO_MOVE,
                 PLAIN("The unknown forces leave the particle free to move: it is in equilibrium "
                       "under these loads only because they have no part in that direction."));
    else
        note_add(w, NOTE_NOT_HELD,
                 PLAIN("The loads have a part in a direction in which no unknown force can act: "
                       "there is no equilibrium."));
}

/* ---- the answer of linear equations ---- */

static void values_of(struct particle *p, const struct solution *s, const struct particle_force *f,
                      q value[REACTION_PARTS_MAX])
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

static void put_values(struct particle *p, struct solution *s)
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
        note_sensitive(p, s);
}

static void note_degree(struct particle *p, int degree)
{
    note_add(p->b->w, NOTE_INDETERMINATE,
             PHRASE("There are more unknowns than independent equations: {} of them could be "
                    "chosen freely. What is fixed all the same is given.",
                    arg_count(degree)));
}

static enum problem_code run_linear(struct particle *p)
{
    struct work *w = p->b->w;
    struct solution s = {0};
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
        put_free_motions(p, &s);
    return PROBLEM_NONE;
}

/* ---- the whole ---- */

static enum problem_code run(struct particle *p)
{
    if (p->input->smallest >= 0)
        particle_smallest(p);
    else if (p->turned_count > 0)
        particle_two_unknowns(p);
    else
        return run_linear(p);
    return PROBLEM_NONE;
}

enum problem_code statics_particle(struct work *w, const struct equilibrium_input *input,
                                   struct problem *reterr)
{
    struct board b;
    struct particle p = {.b = &b, .input = input};
    board_begin(&b, w, &input->loads, reterr);
    reserve_names(&p);
    system_put(&b, &p.loads);
    read_required(&p);
    add_known(&p);
    read_unknowns(&p);
    if (w->failed || board_has_faults(&b))
        return board_end(&b);
    enum problem_code code = run(&p);
    if (code == PROBLEM_NONE)
        code = board_end(&b);
    return code == PROBLEM_NONE ? work_close(w, reterr) : code;
}
