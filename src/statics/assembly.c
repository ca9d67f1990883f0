/* assembly.c: from a request to columns and rows, and their solution. */
#include "statics/assembly.h"

#include "statics/slips.h"

#include <math.h>
#include <string.h>

#include "statics/notes.h"
#include "statics/point.h"

static const struct dimension ratio = {0};

/* Coefficients worked on, at about 5 ns each: half a second. The largest request that the limits
 * allow stays below. */
#define SOLVE_BUDGET 100000000u

/* ---- names and places ---- */

const char *assembly_body_name(const struct assembly *a, int body)
{
    return a->input->body_count > 0 ? a->input->body[body].name : NULL;
}

static bool is_name_of_point(const struct assembly *a, const char *name)
{
    const struct loads_input *loads = a->b->loads;
    for (int k = 0; k < loads->point_count; k++)
        if (loads->point[k].name && strcmp(loads->point[k].name, name) == 0)
            return true;
    for (int k = 0; k < a->site_count; k++)
        if (strcmp(a->site[k].name, name) == 0)
            return true;
    return false;
}

const char *assembly_free_name(const struct assembly *a, const char *wanted)
{
    const char *name = wanted;
    while (name && is_name_of_point(a, name))
        name = arena_printf(a->b->w->arena, "%s'", name);
    return name ? name : wanted;
}

int assembly_site(struct assembly *a, int point, const char *owner)
{
    struct work *w = a->b->w;
    struct site s = {.point = point, .place = point_place(a->b, point)};
    s.at = exact_of(w, s.place);
    for (int k = 0; k < a->site_count; k++) {
        const struct site *other = &a->site[k];
        bool is_near = true;
        for (int axis = 0; axis < 3; axis++)
            is_near = is_near && !(fabs(other->at.c[axis].value - s.at.c[axis].value) >
                                   1e-9 * (fabs(s.at.c[axis].value) + 1e-300));
        if (other->point == point ||
            (is_near && exact_is_zero(exact_sub(w->field, other->at, s.at))))
            return k;
    }
    s.name = a->b->loads->point[point].name;
    if (!s.name)
        s.name = assembly_free_name(a, owner);
    a->site[a->site_count] = s;
    return a->site_count++;
}

/* ---- unknowns ---- */

static struct unknown *new_unknown(struct assembly *a, const char *name, const char *kind, int at,
                                   int body)
{
    struct unknown *u = &a->unknown[a->unknown_count++];
    *u = (struct unknown){.name = name, .kind = kind, .body = body, .opposite = NO_BODY};
    u->site = assembly_site(a, at, name);
    return u;
}

static void read_support(struct assembly *a, const struct support_input *in)
{
    struct unknown *u = new_unknown(a, in->name, support_kind_word(in->kind), in->at, in->body);
    u->reason = reaction_reason(in);
    if (!reaction_of(a->b, in, &u->reaction))
        a->unknown_count--;
    else if (in->kind == SUPPORT_ROLLER || in->kind == SUPPORT_ROCKER ||
             in->kind == SUPPORT_SMOOTH_SURFACE)
        slips_of_roller(a->b->w, &u->reaction.part[0].aim, a->b->up, in->pointer, in->name);
}

static void fault_size_given(struct assembly *a, const struct force_input *in)
{
    problem_fault(a->b->reterr, in->pointer, FAULT_OUT_OF_SCOPE,
                  "%s has a known magnitude in an unknown direction on a body: that is not solved "
                  "yet. Give its direction, or \"unknown\" for the magnitude too.",
                  in->name);
}

static enum one_way one_way_of(const struct force_input *in)
{
    return in->sense == SENSE_PULLS    ? ACTS_PULLING
           : in->sense == SENSE_PUSHES ? ACTS_PUSHING
                                       : ACTS_BOTH_WAYS;
}

static void read_force(struct assembly *a, const struct force_input *in, const char *kind)
{
    struct board *b = a->b;
    struct aim aim;
    bool is_aimed = in->direction.form != DIRECTION_UNKNOWN;
    if (!in->magnitude_unknown) {
        fault_size_given(a, in);
        return;
    }
    if (in->same_as && !is_aimed) {
        problem_fault(b->reterr, in->pointer, FAULT_OUT_OF_SCOPE,
                      "%s is as large as %s in an unknown direction on a body: that is not solved "
                      "yet. Give its direction.",
                      in->name, in->same_as);
        return;
    }
    if (is_aimed && !direction_aim(b, &in->direction, in->name, false, &aim))
        return;
    struct unknown *u = new_unknown(a, in->name, kind, in->at, in->body);
    u->force = in;
    if (is_aimed)
        slips_of_aim(b->w, SLIP_SUM_SWAP, &aim, in->pointer, in->name);
    if (is_aimed)
        reaction_along(b, in->name, &aim, one_way_of(in), &u->reaction);
    else
        reaction_of_force(b, in->name, &u->reaction);
    if (in->times.present && is_aimed)
        u->times = q_given(b->w, &in->times, ratio);
}

/* Of a pin that joins k bodies all forces but the last are unknown; that on the last keeps the pin
 * itself in equilibrium. */
static void read_pin(struct assembly *a, const struct pin_input *in)
{
    struct work *w = a->b->w;
    for (int k = 0; k + 1 < in->body_count; k++) {
        const char *body = assembly_body_name(a, in->body[k]);
        const char *name = k == 0 ? in->name : arena_printf(w->arena, "%s_%s", in->name, body);
        struct unknown *u =
            new_unknown(a, name ? name : "", a->b->loads->space ? "ball_and_socket" : "pin", in->at,
                        in->body[k]);
        u->opposite = in->body[in->body_count - 1];
        reaction_of_force(a->b, u->name, &u->reaction);
    }
}

/* What the forces shall add up to is a load that counts with a minus. */
static void read_required(struct assembly *a)
{
    const struct force_input *in = &a->input->required;
    struct load load;
    if (!a->input->has_required || force_is_unknown(in))
        return;
    work_section(a->b->w, PLAIN("Required resultant"),
                 PLAIN("The forces shall add up to it, in place of zero."));
    if (!force_load(a->b, in, &load))
        return;
    load.vector = qv_neg(a->b->w, load.vector);
    a->loads.force[a->loads.force_count++] = load;
}

static void read_unknown_resultant(struct assembly *a)
{
    const struct force_input *in = &a->input->required;
    int before = a->unknown_count;
    if (!a->input->has_required || !force_is_unknown(in))
        return;
    read_force(a, in, "resultant");
    if (a->unknown_count > before)
        a->unknown[before].is_resultant = true;
}

static void reserve_names(struct assembly *a)
{
    struct work *w = a->b->w;
    for (int i = 0; i < a->input->support_count; i++)
        work_reserve(w, a->input->support[i].name);
    for (int i = 0; i < a->input->pin_count; i++)
        work_reserve(w, a->input->pin[i].name);
    if (a->input->has_required)
        work_reserve(w, a->input->required.name);
}

static void check_scope(struct assembly *a)
{
    const struct equilibrium_input *input = a->input;
    if (input->smallest >= 0)
        problem_fault(a->b->reterr, "/smallest", FAULT_OUT_OF_SCOPE,
                      "The smallest force is found for forces that meet at one point: leave out "
                      "the places, or \"smallest\".");
}

static void *take(struct assembly *a, size_t count, size_t size)
{
    void *room = arena_alloc(a->b->w->arena, (count + 1) * size);
    if (!room)
        a->b->w->failed = true;
    return room;
}

static void read_unknowns(struct assembly *a)
{
    const struct equilibrium_input *input = a->input;
    struct board *b = a->b;
    uint32_t from = b->w->node_count;
    read_required(a);
    work_section(b->w, PLAIN("Directions of the unknowns"),
                 PLAIN("Each unknown force has a line of action or is split along the axes."));
    for (int i = 0; i < b->loads->force_count; i++)
        if (force_is_unknown(&b->loads->force[i]))
            read_force(a, &b->loads->force[i], "force");
    for (int i = 0; i < input->support_count; i++)
        read_support(a, &input->support[i]);
    for (int i = 0; i < input->pin_count; i++)
        read_pin(a, &input->pin[i]);
    read_unknown_resultant(a);
    slips_of_aims(b->w, from);
}

/* ---- columns ---- */

/* The unknown that a force is the same as. */
static int same_unknown(const struct assembly *a, const struct unknown *u)
{
    const struct force_input *same =
        u->force && u->force->same_as ? &a->b->loads->force[u->force->same_as_force] : NULL;
    for (int i = 0; same && i < a->unknown_count; i++)
        if (a->unknown[i].force == same)
            return i;
    return -1;
}

static void number_columns(struct assembly *a)
{
    for (int i = 0; i < a->unknown_count; i++) {
        struct unknown *u = &a->unknown[i];
        if (u->force && u->force->same_as)
            continue;
        for (int k = 0; k < u->reaction.count; k++) {
            u->column[k] = a->column_count;
            a->column[a->column_count++] = (struct column){
                .unknown = i, .part = k, .is_couple = u->reaction.part[k].is_couple};
        }
    }
    for (int i = 0; i < a->unknown_count; i++) {
        int same = same_unknown(a, &a->unknown[i]);
        if (same < 0)
            continue;
        if (a->unknown[same].reaction.count != 1)
            problem_fault(a->b->reterr, a->unknown[i].force->pointer, FAULT_OUT_OF_SCOPE,
                          "%s is as large as %s, whose direction is unknown: give that direction.",
                          a->unknown[i].name, a->unknown[same].name);
        a->unknown[i].column[0] = a->unknown[same].column[0];
    }
}

/* ---- what each part exerts ---- */

/* How long the direction is that exact_line gives. */
static struct num line_length(struct work *w, const struct aim *aim)
{
    return qv_is_none(aim->vector) ? num_integer(w->field, 1)
                                   : q_node(w, q_norm(w, aim->vector))->num;
}

static void put_pull(struct assembly *a, int unknown, int part, int body, int sign,
                     struct exact direction)
{
    const struct field *f = a->b->w->field;
    const struct unknown *u = &a->unknown[unknown];
    struct pull *p = &a->pull[a->pull_count++];
    *p = (struct pull){.unknown = unknown,
                       .part = part,
                       .column = u->column[part],
                       .body = body,
                       .sign = sign,
                       .force = exact_zero(f),
                       .moment = exact_scale(f, num_integer(f, sign), direction)};
    if (u->reaction.part[part].is_couple)
        return;
    p->force = p->moment;
    struct exact arm = exact_sub(f, a->site[u->site].at, a->origin);
    p->moment = exact_cross(f, arm, p->force);
}

static void put_pulls(struct assembly *a)
{
    struct work *w = a->b->w;
    const struct field *f = w->field;
    for (int j = 0; j < a->column_count; j++) {
        const struct column *c = &a->column[j];
        a->unit[j] = line_length(w, &a->unknown[c->unknown].reaction.part[c->part].aim);
    }
    for (int i = 0; i < a->unknown_count; i++) {
        const struct unknown *u = &a->unknown[i];
        for (int k = 0; k < u->reaction.count; k++) {
            const struct aim *aim = &u->reaction.part[k].aim;
            struct exact v = exact_line(w, aim);
            struct num factor = q_is_none(u->times) ? num_integer(f, 1) : q_node(w, u->times)->num;
            if (a->column[u->column[k]].unknown != i)
                factor = num_mul(f, factor, num_div(f, a->unit[u->column[k]], line_length(w, aim)));
            v = exact_scale(f, factor, v);
            put_pull(a, i, k, u->body, u->is_resultant ? -1 : 1, v);
            if (u->opposite != NO_BODY)
                put_pull(a, i, k, u->opposite, -1, v);
        }
    }
}

void assembly_read(struct assembly *a, struct board *b, const struct equilibrium_input *input)
{
    *a = (struct assembly){.b = b,
                           .input = input,
                           .body_count = input->body_count > 0 ? input->body_count : 1,
                           .per_body = b->loads->space ? 6 : 3};
    size_t unknowns =
        (size_t)b->loads->force_count + (size_t)input->support_count + input->has_required;
    for (int i = 0; i < input->pin_count; i++)
        unknowns += (size_t)input->pin[i].body_count;
    a->unknown = take(a, unknowns, sizeof *a->unknown);
    a->site = take(a, unknowns, sizeof *a->site);
    a->column = take(a, unknowns * REACTION_PARTS_MAX, sizeof *a->column);
    a->unit = take(a, unknowns * REACTION_PARTS_MAX, sizeof *a->unit);
    a->pull = take(a, 2 * unknowns * REACTION_PARTS_MAX, sizeof *a->pull);
    if (b->w->failed)
        return;
    reserve_names(a);
    check_scope(a);
    system_put(b, &a->loads);
    if (b->w->failed)
        return;
    read_unknowns(a);
    if (board_has_faults(b) || b->w->failed)
        return;
    number_columns(a);
    a->origin = a->site_count > 0 ? a->site[0].at : exact_zero(b->w->field);
    if (!board_has_faults(b))
        put_pulls(a);
}

/* ---- solving ---- */

double assembly_right(const struct assembly *a, int row) { return a->right[row].value; }

/* What a load adds to a row, on the other side. */
static void add_right(struct assembly *a, int row, struct num x)
{
    const struct field *f = a->b->w->field;
    a->right[row] = num_sub(f, a->right[row], x);
    linear_add_right(a->linear, row, 0, num_neg(f, x));
}

static void add_loads(struct assembly *a)
{
    struct work *w = a->b->w;
    const struct field *f = w->field;
    int forces = a->b->loads->space ? 3 : 2;
    for (uint32_t i = 0; i < a->loads.force_count; i++) {
        const struct load *load = &a->loads.force[i];
        struct exact force = exact_of(w, load->vector);
        struct exact arm = exact_sub(f, exact_of(w, load->place), a->origin);
        struct exact moment = exact_cross(f, arm, force);
        int row = load->body * a->per_body;
        a->force_scale = fmax(a->force_scale, exact_length(force));
        a->moment_scale = fmax(a->moment_scale, exact_length(arm) * exact_length(force));
        for (int k = 0; k < forces; k++)
            add_right(a, row + k, force.c[k]);
        for (int k = forces; k < a->per_body; k++)
            add_right(a, row + k, moment.c[forces == 3 ? k - 3 : 2]);
    }
    for (uint32_t i = 0; i < a->loads.couple_count; i++) {
        struct exact couple = exact_of(w, a->loads.couple[i]);
        int row = a->loads.couple_body[i] * a->per_body;
        a->moment_scale = fmax(a->moment_scale, exact_length(couple));
        for (int k = forces; k < a->per_body; k++)
            add_right(a, row + k, couple.c[forces == 3 ? k - 3 : 2]);
    }
}

static void add_pulls(const struct assembly *a, struct linear *l)
{
    int forces = a->b->loads->space ? 3 : 2;
    for (int i = 0; i < a->pull_count; i++) {
        const struct pull *p = &a->pull[i];
        int row = p->body * a->per_body;
        for (int k = 0; k < forces; k++)
            linear_add(l, row + k, p->column, p->force.c[k]);
        for (int k = forces; k < a->per_body; k++)
            linear_add(l, row + k, p->column, p->moment.c[forces == 3 ? k - 3 : 2]);
    }
}

/* Largest force and largest moment, of the loads and of what was found. */
static void find_scales(struct assembly *a)
{
    for (int i = 0; i < a->pull_count; i++) {
        const struct pull *p = &a->pull[i];
        const struct column *c = &a->column[p->column];
        double size = fabs(linear_value(a->linear, p->column, 0).value);
        double force = size * exact_length(p->force);
        if (!c->is_fixed)
            continue;
        a->force_scale = fmax(a->force_scale, force);
        a->moment_scale = fmax(a->moment_scale, size * exact_length(p->moment));
    }
}

static enum problem_code code_of(struct assembly *a, enum linear_code code)
{
    switch (code) {
    case LINEAR_SOLVED:
        return PROBLEM_NONE;
    case LINEAR_NO_MEMORY:
        a->b->w->failed = true;
        return problem_set(a->b->reterr, PROBLEM_OVERLOADED,
                           "The request needs more memory than it may have.");
    case LINEAR_BUDGET_EXCEEDED:
        return problem_set(a->b->reterr, PROBLEM_WORK_LIMIT,
                           "The equations of these bodies take more work than one request may "
                           "have: send fewer unknowns at once.");
    case LINEAR_UNLUCKY:
        a->b->w->unlucky = true;
        return problem_set(a->b->reterr, PROBLEM_INTERNAL, "A false zero of the field.");
    case LINEAR_MAX_:
        break;
    }
    return PROBLEM_INTERNAL;
}

static void take_verdicts(struct assembly *a)
{
    struct work *w = a->b->w;
    const struct field *f = w->field;
    enum zero rank = linear_rank_decided(a->linear);
    enum zero held = linear_consistent(a->linear, 0);
    w->doubt_digits |= rank == ZERO_WITHIN_DIGITS || held == ZERO_WITHIN_DIGITS;
    w->doubt_rounding |= rank == ZERO_WITHIN_ROUNDING || held == ZERO_WITHIN_ROUNDING;
    w->hand_left_out |= rank != ZERO_EXACT;
    a->rank = linear_rank(a->linear);
    a->is_held = held != ZERO_NO;
    for (int j = 0; j < a->column_count; j++) {
        a->column[j].is_fixed = a->is_held && linear_is_fixed(a->linear, j);
        a->column[j].value = num_mul(f, linear_value(a->linear, j, 0), a->unit[j]);
    }
}

enum problem_code assembly_solve(struct assembly *a)
{
    a->equations = a->body_count * a->per_body;
    a->linear = linear_new(a->b->w->arena, a->b->w->field, a->equations, a->column_count, 1);
    a->right = take(a, (size_t)a->equations, sizeof *a->right);
    if (!a->linear || !a->right)
        return code_of(a, LINEAR_NO_MEMORY);
    for (int i = 0; i < a->equations; i++)
        a->right[i] = num_integer(a->b->w->field, 0);
    add_pulls(a, a->linear);
    add_loads(a);
    enum problem_code code = code_of(a, linear_solve(a->linear, a->b->w->second, SOLVE_BUDGET));
    if (code != PROBLEM_NONE)
        return code;
    if (linear_is_unsettled(a->linear))
        return board_unsolved(a->b);
    take_verdicts(a);
    find_scales(a);
    return PROBLEM_NONE;
}
