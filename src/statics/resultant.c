/* resultant.c: forces, couples and distributed loads replaced by their resultant. */
#include "statics/moment.h"
#include "statics/notes.h"
#include "statics/point.h"
#include "statics/polar.h"
#include "statics/reduction.h"
#include "statics/slips.h"
#include "statics/statics.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* The resultant of forces that nearly cancel turns far when they change little: each component is
 * known by hand to 0.5 % of the largest force, so below this share of it the direction is off by
 * 0.1 rad and more. */
#define NEARLY_CANCELLED 0.05

/* ---- the loads ---- */

/* Only places give moments a meaning; every force has one, or none has. */
static bool have_no_places(const struct loads_input *in)
{
    return in->force_count > 0 && in->distributed_count == 0 && in->force[0].at == NO_PLACE;
}

/* ---- the resultant force ---- */

/* R_x = ΣF_x, R_y = ΣF_y (, R_z = ΣF_z) */
static qv sum_of_forces(struct board *b, const struct system *s)
{
    struct work *w = b->w;
    qv *term = arena_alloc(w->arena, (s->force_count + 1) * sizeof *term);
    if (!term) {
        w->failed = true;
        return (qv){0};
    }
    for (uint32_t i = 0; i < s->force_count; i++)
        term[i] = s->force[i].vector;
    qv sum;
    if (s->force_count > 0) {
        sum = qv_sum(w, term, s->force_count);
    } else {
        q zero[3] = {0};
        for (int axis = 0; axis < board_axes(b); axis++)
            zero[axis] = q_integer(w, 0, force_dimension);
        sum = qv_of(w, zero[0], zero[1], zero[2]);
    }
    sum = qv_name(w, sum, symbol_own(w, "R", NULL));
    for (int axis = 0; axis < board_axes(b); axis++)
        work_define_sum(w, qv_component(w, sum, axis), LABEL_SUM_FORCE, "xyz"[axis], NULL);
    return sum;
}

static void note_cancellation(struct work *w, const struct system *s, const struct polar *R)
{
    double largest = 0.0;
    uint32_t which = 0;
    for (uint32_t i = 0; i < s->force_count; i++) {
        double size = q_value(w, load_size(w, &s->force[i]));
        if (size > largest) {
            largest = size;
            which = i;
        }
    }
    if (!R->is_zero && q_value(w, R->magnitude) < NEARLY_CANCELLED * largest)
        note_add(w, NOTE_ILL_CONDITIONED_ANGLE,
                 PHRASE("The forces nearly cancel: R is {}, far less than {}. Its direction is "
                        "ill-conditioned: small changes in the forces turn it far.",
                        arg_value(R->magnitude), arg_name(s->force[which].name)));
}

/* Another usual way for two forces: R² = A² + B² − 2AB cos(180° − φ), and the sine law for its
 * angle from A. */
static void add_triangle(struct work *w, const struct system *s, const struct polar *R)
{
    if (!w->wants_key || w->space || s->force_count != 2 || R->is_zero)
        return;
    const struct load *A = &s->force[0], *B = &s->force[1];
    if (qv_is_zero(w, A->vector) || qv_is_zero(w, B->vector))
        return;
    q a = load_size(w, A), b = load_size(w, B);
    q theta_a = polar_plain_angle(w, A->vector), theta_b = polar_plain_angle(w, B->vector);
    q inner = q_sub(w, q_turn(w, 180), q_sub(w, theta_b, theta_a));
    q cosine = q_cos(w, inner);
    q twice = q_mul(w, q_mul(w, q_integer(w, 2, ratio), q_mul(w, a, b)), cosine);
    q square = q_sub(w, q_add(w, q_square(w, a), q_square(w, b)), twice);
    if (q_sign(w, square) <= 0)
        return;
    q size = q_sqrt(w, square);
    work_alternative(w, R->magnitude, size);
    q sine = q_div(w, q_mul(w, b, q_sin(w, inner)), size);
    q turn = q_asin(w, sine);
    /* The angle between A and R is obtuse where B reaches back past the tail of A. */
    if (q_value(w, a) < q_value(w, b) * q_value(w, cosine))
        turn = q_sub(w, q_turn(w, 180), turn);
    work_alternative(w, R->angle, q_add(w, theta_a, turn));
}

/* The notes do not depend on whether the key is asked for. */
static void add_triangle_quietly(struct work *w, const struct system *s, const struct polar *R)
{
    bool doubt_digits = w->doubt_digits, doubt_rounding = w->doubt_rounding;
    add_triangle(w, s, R);
    w->doubt_digits = doubt_digits;
    w->doubt_rounding = doubt_rounding;
}

/* ---- the whole ---- */

static struct phrase in_words(struct work *w, const struct polar *R, const struct reduction *r)
{
    if (!R->is_zero)
        return polar_in_words(R);
    if (qv_is_none(r->couple) || qv_is_zero(w, r->couple))
        return PLAIN("zero: the loads balance");
    if (w->space)
        return PHRASE("no force, but a couple of {}", arg_value(r->couple_magnitude));
    q M = qv_component(w, r->couple, 2);
    return PHRASE("no force, but a couple of {}, {}", arg_value(q_abs(w, M)),
                  arg_name(q_sign(w, M) > 0 ? "counter-clockwise" : "clockwise"));
}

enum problem_code statics_resultant(struct work *w, const struct resultant_input *input,
                                    struct problem *reterr)
{
    struct board b;
    struct system s;
    struct reduction r = {0};
    board_begin(&b, w, &input->loads, reterr);
    system_put(&b, &s);
    s.is_concurrent = have_no_places(&input->loads);
    bool has_moments = !s.is_concurrent || s.couple_count > 0;
    bool has_centre = !has_moments || reduction_read(&b, input, &r);
    if (w->failed || board_has_faults(&b) || !has_centre)
        return board_end(&b);

    work_section(w, PLAIN("Resultant"),
                 PLAIN("The sums of the components are the components of the resultant."));
    qv sum = sum_of_forces(&b, &s);
    slips_of_sum(w, sum);
    struct polar R = polar_of(&b, sum, symbol_own(w, "R", NULL), (q){0}, NULL);
    slips_of_size(w, &s, &R);
    note_cancellation(w, &s, &R);
    add_triangle_quietly(w, &s, &R);
    if (has_moments)
        reduction_work(&b, &s, &R, &r);
    else if (R.is_zero)
        note_add(w, NOTE_ZERO_RESULTANT,
                 PLAIN("The resultant is zero: the forces balance, and there is no direction."));
    if (has_moments && s.is_concurrent)
        note_add(w, NOTE_TAKEN_TO_MEET,
                 PLAIN("The forces have no places: they are taken to meet at the origin, and the "
                       "couples add up."));
    enum problem_code code = board_end(&b);
    if (code != PROBLEM_NONE)
        return code;
    polar_put_force(w, NULL, "resultant", "R", &R);
    polar_put_direction(w, NULL, &R);
    result_phrase(w, NULL, "in_words", in_words(w, &R, &r));
    if (has_moments)
        reduction_put(w, &R, &r);
    return work_close(w, reterr);
}
