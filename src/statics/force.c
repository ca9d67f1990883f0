/* force.c: forces, weights and couples on the tape. */
#include "statics/force.h"

#include <math.h>

#include "statics/point.h"
#include "statics/slips.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};
static const struct dimension moment_dimension = {.force = 1, .length = 1};
static const struct dimension mass_dimension = {.mass = 1};
static const struct dimension acceleration_dimension = {.acceleration = 1};

/* Components and magnitude given beside each other agree when rounding to three figures explains
 * the difference: half a percent of the force, and never more than the digits as typed leave. */
#define AGREEMENT 0.005
/* Below a millionth of the force nobody writes a difference. */
#define NEGLIGIBLE 1e-6

/* ---- weights ---- */

/* m g; g is 9.81 m/s², or 32.2 ft/s² where forces are in pounds (common practice). */
static q weight(struct board *b, const struct force_input *in, q *ret_gravity)
{
    struct work *w = b->w;
    const char *usual = w->units.acceleration == UNIT_FT_S2 ? "32.2" : "9.81";
    q m = q_given(w, &in->mass, mass_dimension);
    q g = in->gravity.present ? q_given(w, &in->gravity, acceleration_dimension)
                              : q_constant(w, usual, acceleration_dimension);
    *ret_gravity = g;
    return q_mul(w, m, g);
}

/* ---- a force by its size ---- */

/* F = m g, or F as given; times |t|. */
static q size_of(struct board *b, const struct force_input *in, q times, q *ret_gravity)
{
    struct work *w = b->w;
    q size =
        in->is_weight ? weight(b, in, ret_gravity) : q_given(w, &in->magnitude, force_dimension);
    return q_is_none(times) ? size : q_mul(w, q_abs(w, times), size);
}

/* A weight acts against up unless a direction is given; a zero force needs none. */
static bool aim_of(struct board *b, const struct force_input *in, q size, bool reversed,
                   struct aim *aim)
{
    bool is_zero_without = in->direction.form == DIRECTION_NULL && q_is_zero(b->w, size);
    if (is_zero_without)
        *aim = (struct aim){0};
    else if (in->is_weight && in->direction.form == DIRECTION_NONE)
        *aim = aim_along(reversed ? b->up : half_axis_reversed(b->up));
    else
        return direction_aim(b, &in->direction, in->name, reversed, aim);
    return true;
}

static bool by_size(struct board *b, const struct force_input *in, q times, struct load *load)
{
    struct work *w = b->w;
    bool reversed = !q_is_none(times) && q_sign(w, times) < 0;
    q gravity = {0}, size = size_of(b, in, times, &gravity);
    load->magnitude = q_name(w, size, load->symbol);
    work_define(w, load->magnitude);
    if (in->is_weight)
        slips_of_weight(w, in, load->magnitude, gravity);
    if (reversed)
        work_say(w, PHRASE("{} counts with a negative factor: its direction is reversed.",
                           arg_name(in->name)));
    load->is_aimed = aim_of(b, in, load->magnitude, reversed, &load->aim);
    if (!load->is_aimed)
        return false;
    load->vector = aim_vector(w, &load->aim, load->magnitude);
    return true;
}

/* ---- a force by its components ---- */

static qv given_components(struct board *b, const struct force_input *in)
{
    q c[3] = {0};
    for (int axis = 0; axis < board_axes(b); axis++)
        c[axis] = q_given(b->w, &in->component[axis], force_dimension);
    return qv_of(b->w, c[0], c[1], c[2]);
}

/* How far apart the two ways may be: every number as typed is known to half a unit of its last
 * digit. */
static double typed_difference(struct board *b, const struct force_input *in, double size)
{
    double rounding = typed_rounding(&in->magnitude) + size * direction_rounding(&in->direction);
    for (int axis = 0; axis < board_axes(b); axis++)
        rounding += typed_rounding(&in->component[axis]);
    return fmin(fmax(rounding, NEGLIGIBLE * size), AGREEMENT * size);
}

static bool fault_disagree(struct board *b, const struct force_input *in)
{
    problem_fault(b->reterr, in->pointer, FAULT_DISAGREE,
                  "The components of %s do not agree with its magnitude and direction: keep one of "
                  "the two, or mend one.",
                  in->name);
    return false;
}

/* Magnitude and direction stand beside the components: do they say the same? */
static bool agrees(struct board *b, const struct force_input *in, qv components)
{
    struct work *w = b->w;
    q size = q_given(w, &in->magnitude, force_dimension);
    if (in->direction.form == DIRECTION_NULL) /* all of it is 0 */
        return true;
    struct aim aim;
    if (!direction_aim(b, &in->direction, in->name, false, &aim))
        return false;
    double apart = 0.0;
    for (int axis = 0; axis < board_axes(b); axis++) {
        double by_direction = q_value(w, aim_part(w, &aim, size, axis));
        apart = hypot(apart, by_direction - q_value(w, qv_component(w, components, axis)));
    }
    if (!(apart <= typed_difference(b, in, q_value(w, size))))
        return fault_disagree(b, in);
    work_say(w, PHRASE("{} is given in two ways that agree: its components are used.",
                       arg_name(in->name)));
    return true;
}

static bool by_components(struct board *b, const struct force_input *in, q times, struct load *load)
{
    struct work *w = b->w;
    qv components = given_components(b, in);
    if (in->magnitude.present && !agrees(b, in, components))
        return false;
    load->vector = q_is_none(times) ? components : qv_scale(w, times, components);
    return true;
}

/* ---- any force ---- */

bool force_is_unknown(const struct force_input *in)
{
    return in->magnitude_unknown || in->direction.form == DIRECTION_UNKNOWN;
}

bool force_load(struct board *b, const struct force_input *in, struct load *ret_load)
{
    struct work *w = b->w;
    struct load *load = ret_load;
    *load = (struct load){.name = in->name,
                          .pointer = in->pointer,
                          .symbol = symbol_of_name(w, in->name),
                          .at = in->at,
                          .body = in->body};
    q times = in->times.present ? q_given(w, &in->times, ratio) : (q){0};
    bool is_sound =
        in->has_components ? by_components(b, in, times, load) : by_size(b, in, times, load);
    load->place = point_place(b, in->at);
    if (!is_sound)
        return false;
    load->vector = qv_name(w, load->vector, load->symbol);
    work_define_vector(w, load->vector);
    slips_of_force(b, in, load);
    return true;
}

q load_size(struct work *w, const struct load *load)
{
    bool is_size = !q_is_none(load->magnitude) && q_sign(w, load->magnitude) >= 0;
    return is_size ? load->magnitude : q_norm(w, load->vector);
}

/* ---- couples ---- */

qv force_couple(struct board *b, const struct couple_input *in)
{
    struct work *w = b->w;
    q m[3] = {0};
    for (int axis = 0; axis < (w->space ? 3 : 1); axis++)
        m[w->space ? axis : 2] = q_given(w, &in->moment[axis], moment_dimension);
    if (in->clockwise)
        m[2] = q_neg(w, m[2]);
    qv couple = qv_name(w, qv_of(w, m[0], m[1], m[2]), symbol_of_name(w, in->name));
    work_define_vector(w, couple);
    slips_of_load_couple(b, in, couple);
    return couple;
}
