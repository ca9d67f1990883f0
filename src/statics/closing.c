/* closing.c: the line of a magnitude, the parts of what is known, and the solutions. */
#include "statics/closing.h"

#include "statics/notes.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* ---- the line of a magnitude ---- */

static bool is_lone_pull(const struct particle *p, int scalar)
{
    int pulls = 0;
    for (int i = 0; i < p->force_count; i++)
        pulls += !p->force[i].is_turned_free && p->force[i].scalar[0] == scalar &&
                 p->force[i].reaction.count == 1;
    return pulls == 1;
}

static q factor_of(struct work *w, const struct aim *aim, int axis)
{
    q f = aim->part[axis].factor;
    if (aim->part[axis].sign == 0)
        return (q){0};
    f = q_is_none(f) ? q_integer(w, 1, ratio) : f;
    return aim->part[axis].sign < 0 ? q_neg(w, f) : f;
}

/* One unknown that pulls along several lines, as a cable over a pulley: the sum of their unit
 * vectors. */
static void add_pulls(struct particle *p, struct pull_line *line)
{
    struct work *w = p->b->w;
    q sum[3] = {0};
    for (int axis = 0; axis < board_axes(p->b); axis++) {
        for (int i = 0; i < p->force_count; i++) {
            const struct particle_force *f = &p->force[i];
            if (f->is_turned_free || f->reaction.count != 1)
                continue;
            q x = factor_of(w, &f->reaction.part[0].aim, axis);
            if (q_is_none(x))
                continue;
            if (!q_is_none(f->times))
                x = q_mul(w, f->times, x);
            if (f->is_resultant)
                x = q_neg(w, x);
            sum[axis] = q_is_none(sum[axis]) ? x : q_add(w, sum[axis], x);
        }
        if (q_is_none(sum[axis]))
            sum[axis] = q_integer(w, 0, ratio);
    }
    const char *name = line->force->name;
    work_say(
        w, PHRASE("{} pulls more than once: for each unit of it the forces have", arg_name(name)));
    qv whole = qv_name(w, qv_of(w, sum[0], sum[1], sum[2]), symbol_own(w, "d", name));
    work_define_vector(w, whole);
    line->is_nothing = qv_is_zero(w, whole);
    if (line->is_nothing)
        return;
    line->length = q_name(w, q_norm(w, whole), symbol_own(w, "d", name));
    work_define(w, line->length);
    line->aim = aim_over(w, whole, line->length);
}

struct pull_line closing_line(struct particle *p, int scalar)
{
    struct pull_line line = {0};
    for (int i = p->force_count - 1; i >= 0; i--)
        if (!p->force[i].is_turned_free && p->force[i].same_as < 0 &&
            p->force[i].reaction.count == 1 && p->force[i].scalar[0] == scalar)
            line.force = &p->force[i];
    if (!line.force)
        return line;
    if (!is_lone_pull(p, scalar)) {
        add_pulls(p, &line);
        return line;
    }
    line.aim = line.force->reaction.part[0].aim;
    if (line.force->is_resultant)
        aim_reverse(&line.aim);
    return line;
}

/* ---- parts along a line and square to it ---- */

qv closing_known(struct particle *p)
{
    struct work *w = p->b->w;
    if (!qv_is_none(p->known))
        return p->known;
    q zero[3] = {0};
    for (int axis = 0; axis < board_axes(p->b); axis++)
        zero[axis] = q_integer(w, 0, force_dimension);
    return qv_of(w, zero[0], zero[1], zero[2]);
}

struct symbol particle_symbol(struct work *w, const char *name, char axis)
{
    struct symbol s = symbol_axis(symbol_of_name(w, name ? name : "P"), axis);
    s.is_given = false;
    return s;
}

q particle_part_along(struct work *w, const struct aim *aim, qv v)
{
    q sum = {0};
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(w, v, axis), f = aim->part[axis].factor;
        if (aim->part[axis].sign == 0 || q_is_zero(w, x))
            continue;
        q term = q_is_none(f) ? x : q_mul(w, x, f);
        if (aim->part[axis].sign < 0)
            term = q_neg(w, term);
        sum = q_is_none(sum) ? term : q_add(w, sum, term);
    }
    if (q_is_none(sum))
        return q_integer(w, 0, force_dimension);
    return q_node(w, sum)->symbol.base ? q_sum(w, &sum, 1) : sum;
}

q closing_step(struct work *w, q x, struct symbol s)
{
    x = q_name(w, x, s);
    work_define(w, x);
    return x;
}

q closing_minus_over(struct work *w, q a, q b, q length)
{
    q x = q_is_none(b) ? a : q_add(w, a, b);
    return q_neg(w, q_is_none(length) ? x : q_div(w, x, length));
}

/* ---- solutions ---- */

void closing_add(struct particle *p, struct solutions *a, const struct pull_line *line, q magnitude,
                 const qv turned[2])
{
    struct work *w = p->b->w;
    struct unknown_force *u = arena_alloc(w->arena, ((size_t)p->force_count + 1) * sizeof *u);
    int k = 0;
    if (u == NULL) {
        w->failed = true;
        return;
    }
    for (int i = 0; i < p->force_count; i++) {
        const struct particle_force *f = &p->force[i];
        q value[REACTION_PARTS_MAX] = {0};
        if (f->is_turned_free || f->reaction.count > 1) {
            for (int axis = 0; axis < f->reaction.count; axis++)
                value[axis] = qv_component(w, turned[k], axis);
            k++;
        } else if (f == line->force) {
            value[0] = magnitude;
        } else {
            q x = q_is_none(f->times) ? q_sum(w, &magnitude, 1) : q_mul(w, f->times, magnitude);
            value[0] = closing_step(w, x, f->reaction.part[0].symbol);
        }
        particle_found(p, f, value, &u[i]);
    }
    q left = particle_check(p, u);
    if (a->count == 0)
        a->left_over = left;
    a->u[a->count++] = u;
    p->solution++;
}

void closing_put(struct particle *p, const struct solutions *a)
{
    struct work *w = p->b->w;
    result_text(w, NULL, "state",
                equilibrium_state_word(a->count > 0 ? STATE_DETERMINATE : STATE_NO_EQUILIBRIUM));
    if (a->count == 0) {
        particle_put_none(p);
        return;
    }
    if (a->count == 1) {
        unknowns_put(w, NULL, a->u[0], p->force_count);
        unknowns_put_residual(w, a->left_over, (q){0});
        return;
    }
    struct value *solutions = result_list(w, NULL, "solutions");
    for (int i = 0; i < 2; i++)
        unknowns_put(w, result_object(w, solutions, NULL), a->u[i], p->force_count);
    unknowns_put_residual(w, a->left_over, (q){0});
    note_add(w, NOTE_TWO_SOLUTIONS,
             PLAIN("Two triangles of forces fit: both are given, and the figure or the wording of "
                   "a problem has to say which is meant."));
}

void closing_note_touching(struct work *w)
{
    note_add(w, NOTE_TOUCHING,
             PLAIN("The triangle of forces just closes: the two solutions have become one."));
}

void closing_refuse(struct particle *p, q value)
{
    struct work *w = p->b->w;
    struct phrase text =
        PHRASE("The root {} is refused: a magnitude is not negative along its given direction.",
               arg_value(value));
    work_decide(w, text);
    note_add(w, NOTE_REFUSED_ROOT, text);
}

qv closing_turned(struct work *w, const struct particle_force *f, q x, q y)
{
    x = q_node(w, x)->symbol.base ? q_sum(w, &x, 1) : x;
    y = q_node(w, y)->symbol.base ? q_sum(w, &y, 1) : y;
    x = closing_step(w, x, f->reaction.part[0].symbol);
    y = closing_step(w, y, f->reaction.part[1].symbol);
    return qv_of(w, x, y, (q){0});
}

q closing_side(struct work *w, const struct particle_force *f, q x)
{
    return f->is_resultant ? x : q_neg(w, x);
}

void closing_refuse_all(struct work *w, struct phrase text)
{
    work_decide(w, text);
    note_add(w, NOTE_NO_TRIANGLE, text);
}

void closing_out_of_scope(struct particle *p, const char *pointer, const char *text)
{
    problem_fault(p->b->reterr, pointer, FAULT_OUT_OF_SCOPE, "%s", text);
}
