/* reduction.c: the force and couple that replace a system at a centre, and what follows. */
#include "statics/reduction.h"

#include "statics/notes.h"
#include "statics/point.h"
#include "statics/slips.h"
#include "work/slip.h"

static const struct dimension moment_dimension = {.force = 1, .length = 1};

/* ---- where ---- */

bool reduction_read(struct board *b, const struct resultant_input *input, struct reduction *ret)
{
    *ret = (struct reduction){0};
    if (!input->about_is_line) {
        ret->centre = moment_centre(b, input->has_about ? input->about : NO_PLACE);
        return !qv_is_none(ret->centre.place);
    }
    ret->is_about_line = true;
    ret->line[0] = input->line[0];
    ret->line[1] = input->line[1];
    ret->centre = moment_centre(b, input->line[0]);
    qv first = ret->centre.place, second = point_place(b, input->line[1]);
    if (qv_is_none(first) || qv_is_none(second))
        return false;
    if (!qv_is_zero(b->w, qv_sub(b->w, second, first)))
        return true;
    problem_fault(b->reterr, input->about_pointer, FAULT_ZERO_LENGTH,
                  "The line to take moments about needs two different points.");
    return false;
}

/* ---- the couple ---- */

static qv no_moment(struct work *w)
{
    q c[3] = {0};
    for (int axis = w->space ? 0 : 2; axis < 3; axis++)
        c[axis] = q_integer(w, 0, moment_dimension);
    return qv_of(w, c[0], c[1], c[2]);
}

/* M_O = ΣM_O: the moment of each force, and the couples. */
static void work_couple(struct board *b, const struct system *s, struct reduction *r)
{
    struct work *w = b->w;
    uint32_t count = 0, forces = s->is_concurrent ? 0 : s->force_count;
    qv *term = arena_alloc(w->arena, (forces + s->couple_count + 1) * sizeof *term);
    qv *moment = arena_alloc(w->arena, (forces + 1) * sizeof *moment);
    if (!term || !moment) {
        w->failed = true;
        return;
    }
    work_section(w, PHRASE("Moment about {}", arg_name(r->centre.name)),
                 w->space ? PLAIN("The moment of a force is r × F, with r from the centre to where "
                                  "it acts.")
                          : PLAIN("The moment of a force is that of its components; "
                                  "counter-clockwise is positive."));
    for (uint32_t i = 0; i < forces; i++) {
        moment[i] = moment_of(b, &r->centre, &s->force[i]);
        if (!qv_is_none(moment[i]))
            term[count++] = moment[i];
    }
    slips_of_moments(b, s, &r->centre, moment, forces);
    for (uint32_t i = 0; i < s->couple_count; i++)
        term[count++] = s->couple[i];
    if (count == 0)
        term[count++] = no_moment(w);
    r->couple = qv_name(w, qv_sum(w, term, count), symbol_own(w, "M", r->centre.name));
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, r->couple, axis)))
            work_define_sum(w, qv_component(w, r->couple, axis), LABEL_SUM_MOMENT,
                            w->space ? "xyz"[axis] : 0, r->centre.name);
}

/* Plane: every force by its arm, and by its levers, for the allowance. */
static void add_ways(struct board *b, const struct system *s, const struct reduction *r)
{
    struct work *w = b->w;
    static q (*const way[])(struct board *, const struct centre *,
                            const struct load *) = {moment_by_arm, moment_by_levers};
    uint32_t forces = s->is_concurrent ? 0 : s->force_count;
    q *term = arena_alloc(w->arena, (forces + s->couple_count + 1) * sizeof *term);
    if (!term) {
        w->failed = true;
        return;
    }
    bool doubt_digits = w->doubt_digits, doubt_rounding = w->doubt_rounding;
    for (size_t k = 0; k < sizeof way / sizeof *way; k++) {
        uint32_t count = 0;
        for (uint32_t i = 0; i < forces; i++)
            term[count++] = way[k](b, &r->centre, &s->force[i]);
        for (uint32_t i = 0; i < s->couple_count; i++)
            term[count++] = qv_component(w, s->couple[i], 2);
        work_alternative(w, qv_component(w, r->couple, 2), q_sum(w, term, count));
    }
    w->doubt_digits = doubt_digits; /* the notes do not depend on whether the key is asked for */
    w->doubt_rounding = doubt_rounding;
}

/* ---- plane: one force, at its arm ---- */

/* x_O + what is added; only what is added where the centre is the origin. */
static q from_centre(struct work *w, const struct reduction *r, q way, int axis)
{
    return r->centre.is_origin ? way : q_add(w, qv_component(w, r->centre.place, axis), way);
}

/* Where the line of action crosses an axis: x = M_O/R_y, y = −M_O/R_x about the origin. */
static void work_intercepts(struct work *w, const struct polar *R, struct reduction *r)
{
    q M = qv_component(w, r->couple, 2);
    q R_x = qv_component(w, R->vector, 0), R_y = qv_component(w, R->vector, 1);
    q x = qv_component(w, r->centre.place, 0), y = qv_component(w, r->centre.place, 1);
    if (q_is_zero(w, R_y)) {
        work_say(w, PLAIN("The line of action is parallel to the x axis."));
    } else {
        q turn = r->centre.is_origin ? M : q_sub(w, M, q_mul(w, y, R_x));
        r->x_intercept =
            q_name(w, from_centre(w, r, q_div(w, turn, R_y), 0), symbol_own(w, "a", NULL));
        work_define(w, r->x_intercept);
    }
    if (q_is_zero(w, R_x)) {
        work_say(w, PLAIN("The line of action is parallel to the y axis."));
    } else {
        q turn = r->centre.is_origin ? M : q_add(w, M, q_mul(w, x, R_y));
        r->y_intercept = q_name(w, from_centre(w, r, q_neg(w, q_div(w, turn, R_x)), 1),
                                symbol_own(w, "b", NULL));
        work_define(w, r->y_intercept);
    }
}

/* d = |M_O|/R, and its foot (M_O R_y/R², −M_O R_x/R²) from the centre. */
static void work_line_of_action(struct work *w, const struct polar *R, struct reduction *r)
{
    q M = qv_component(w, r->couple, 2), square = q_square(w, R->magnitude);
    bool crosses_x = !q_is_zero(w, qv_component(w, R->vector, 1));
    bool crosses_y = !q_is_zero(w, qv_component(w, R->vector, 0));
    work_section(w, PLAIN("Line of action"),
                 PHRASE("One force replaces the system where its moment about {} is the same: on a "
                        "line at the distance d, with N its nearest point, that crosses {}.",
                        arg_name(r->centre.name),
                        arg_name(!crosses_y   ? "the x axis at a"
                                 : !crosses_x ? "the y axis at b"
                                              : "the x axis at a and the y axis at b")));
    r->arm = q_name(w, q_div(w, q_abs(w, M), R->magnitude), symbol_own(w, "d", NULL));
    work_define(w, r->arm);
    q across = q_div(w, q_mul(w, M, qv_component(w, R->vector, 1)), square);
    q upward = q_neg(w, q_div(w, q_mul(w, M, qv_component(w, R->vector, 0)), square));
    qv foot = qv_of(w, from_centre(w, r, across, 0), from_centre(w, r, upward, 1), (q){0});
    r->nearest = qv_name(w, foot, symbol_own(w, "r", "N"));
    work_define_vector(w, r->nearest);
    work_intercepts(w, R, r);
}

/* ---- space: a force and a couple along it ---- */

static void work_wrench(struct work *w, const struct polar *R, struct reduction *r)
{
    q square = q_square(w, R->magnitude);
    work_section(w, PLAIN("Wrench"),
                 PLAIN("The part of the couple square to R is taken up by moving R to a parallel "
                       "line; the part along R stays."));
    r->pitch =
        q_name(w, q_div(w, q_dot(w, r->couple, R->vector), square), symbol_own(w, "p", NULL));
    work_define(w, r->pitch);
    r->wrench_couple = qv_name(w, qv_scale(w, r->pitch, R->vector), symbol_own(w, "M", "R"));
    work_define_vector(w, r->wrench_couple);
    qv way = qv_over(w, qv_cross(w, R->vector, r->couple), square);
    way = qv_name(w, way, symbol_own(w, "c", NULL));
    work_define_vector(w, way);
    r->arm = q_name(w, q_norm(w, way), symbol_own(w, "d", NULL));
    work_define(w, r->arm);
    qv foot = r->centre.is_origin ? qv_sum(w, &way, 1) : qv_sum(w, (qv[]){r->centre.place, way}, 2);
    r->nearest = qv_name(w, foot, symbol_own(w, "r", "N"));
    work_define_vector(w, r->nearest);
    if (q_is_zero(w, r->pitch))
        note_add(w, NOTE_SINGLE_FORCE,
                 PLAIN("R is square to the moment: one force along the axis replaces the system."));
    else
        note_add(w, NOTE_WRENCH,
                 PHRASE("A force and a couple along it remain, with the pitch {}: no single force "
                        "replaces the system.",
                        arg_value(r->pitch)));
}

/* ---- space: about a line ---- */

/* M = λ·M_A, with λ along the line. */
static void work_about_line(struct board *b, struct reduction *r)
{
    struct work *w = b->w;
    work_section(w, PLAIN("Moment about the line"),
                 PLAIN("It is the part of the moment about a point of the line that lies along "
                       "it."));
    struct span *span = span_between(b, r->line[0], r->line[1], "l");
    if (!span) /* no memory */
        return;
    qv axis = qv_as_direction(w, qv_over(w, span->r, span_length(w, span)));
    r->axis = qv_name(w, axis, symbol_own(w, "λ", NULL));
    work_define_vector(w, r->axis);
    struct symbol M = symbol_own(w, "M", "λ");
    r->line_moment = q_name(w, q_dot(w, r->axis, r->couple), M);
    work_define(w, r->line_moment);
    r->line_couple = qv_name(w, qv_scale(w, r->line_moment, r->axis), M);
    work_define_vector(w, r->line_couple);
}

/* ---- together ---- */

static void note_zero(struct work *w, const struct reduction *r)
{
    if (qv_is_zero(w, r->couple))
        note_add(w, NOTE_ZERO_RESULTANT,
                 PLAIN("Force and couple are zero: the loads balance. There is no direction and no "
                       "line of action."));
    else
        note_add(w, NOTE_COUPLE_REMAINS,
                 PHRASE("The resultant force is zero, but a couple of {} remains, the same about "
                        "every point. There is no line of action.",
                        arg_value(w->space ? r->couple_magnitude : qv_component(w, r->couple, 2))));
}

void reduction_work(struct board *b, const struct system *s, const struct polar *R,
                    struct reduction *r)
{
    struct work *w = b->w;
    work_couple(b, s, r);
    if (w->failed)
        return;
    slips_of_couple(b, s, &r->centre, r->couple, R->vector);
    if (w->space) {
        r->couple_magnitude = q_name(w, q_norm(w, r->couple), symbol_own(w, "M", r->centre.name));
        work_define(w, r->couple_magnitude);
    } else if (w->wants_key) {
        add_ways(b, s, r);
    }
    if (r->is_about_line)
        work_about_line(b, r);
    if (R->is_zero)
        note_zero(w, r);
    else if (w->space)
        work_wrench(w, R, r);
    else
        work_line_of_action(w, R, r);
}

/* ---- the answer ---- */

/* The centre is given, so it is no number to be asked for. */
static void put_centre(struct work *w, struct value *equivalent, const struct centre *c)
{
    static const char *const letter[3] = {"x", "y", "z"};
    q coordinate[3] = {0};
    for (int axis = 0; axis < (w->space ? 3 : 2); axis++) {
        q x = qv_component(w, c->place, axis);
        if (!q_node(w, x)->symbol.base) /* otherwise it was worked out, and named x_C */
            x = q_name(w, q_sum(w, &x, 1), symbol_own(w, letter[axis], c->name));
        coordinate[axis] = x;
    }
    result_vector(w, equivalent, "about", qv_of(w, coordinate[0], coordinate[1], coordinate[2]));
    if (equivalent && equivalent->last)
        equivalent->last->asked = false;
}

static void put_equivalent(struct work *w, const struct polar *R, const struct reduction *r)
{
    struct value *equivalent = result_object(w, NULL, "equivalent");
    put_centre(w, equivalent, &r->centre);
    result_vector(w, equivalent, "force", R->vector);
    if (w->space) {
        result_vector(w, equivalent, "couple", r->couple);
        result_number(w, equivalent, "couple_magnitude", r->couple_magnitude);
    } else {
        result_number(w, equivalent, "couple", qv_component(w, r->couple, 2));
    }
    result_number_or_null(w, equivalent, "arm", r->arm);
}

static void put_about_line(struct work *w, const struct reduction *r)
{
    struct value *about = result_object(w, NULL, "about_line");
    result_number(w, about, "moment", r->line_moment);
    result_vector(w, about, "direction", r->axis);
    result_vector(w, about, "couple", r->line_couple);
}

static void put_line_of_action(struct work *w, const struct reduction *r)
{
    struct value *line = result_object(w, NULL, "line_of_action");
    result_vector(w, line, "point", r->nearest);
    result_number_or_null(w, line, "x_intercept", r->x_intercept);
    result_number_or_null(w, line, "y_intercept", r->y_intercept);
}

static void put_wrench(struct work *w, const struct polar *R, const struct reduction *r)
{
    struct value *wrench = result_object(w, NULL, "wrench");
    result_vector(w, wrench, "force", R->vector);
    result_vector(w, wrench, "couple", r->wrench_couple);
    result_number(w, wrench, "pitch", r->pitch);
    result_vector(w, wrench, "point", r->nearest);
}

void reduction_put(struct work *w, const struct polar *R, const struct reduction *r)
{
    put_equivalent(w, R, r);
    if (r->is_about_line)
        put_about_line(w, r);
    if (R->is_zero)
        result_null(w, NULL, w->space ? "wrench" : "line_of_action");
    else if (w->space)
        put_wrench(w, R, r);
    else
        put_line_of_action(w, r);
}
