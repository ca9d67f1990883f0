/* direction.c: the ways to give a direction, each worked as a book works it. */
#include "statics/direction.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "statics/notes.h"
#include "statics/point.h"
#include "statics/polar.h"

static const struct dimension ratio = {0};
static const struct dimension angle_dimension = {.angle = true};

#define RIGHT_ANGLE_RADIANS 1.57079632679489661923

static const char *member(struct board *b, const struct direction *d, const char *name)
{
    const char *pointer = arena_printf(b->w->arena, "%s/%s", d->pointer, name);
    return pointer ? pointer : "";
}

/* ---- along an axis ---- */

static int quarters_of(struct half_axis a) { return a.axis + (a.sign < 0 ? 2 : 0); }

struct aim aim_along(struct half_axis a)
{
    struct aim aim = {0};
    aim.part[a.axis].sign = a.sign;
    aim.turn.is_known = a.axis < 2;
    aim.turn.quarters = quarters_of(a);
    return aim;
}

/* ---- by an angle from one half-axis toward another ---- */

static struct aim aim_between(struct work *w, struct half_axis from, struct half_axis toward,
                              q angle)
{
    struct aim aim = {0};
    aim.part[from.axis].sign = from.sign;
    aim.part[from.axis].factor = q_cos(w, angle);
    aim.part[toward.axis].sign = toward.sign;
    aim.part[toward.axis].factor = q_sin(w, angle);
    aim.turn.is_known = from.axis < 2 && toward.axis < 2;
    aim.turn.quarters = quarters_of(from);
    aim.turn.sense = half_axis_cross(from, toward).sign;
    aim.turn.angle = angle;
    return aim;
}

static struct aim by_angle(struct board *b, const struct direction *d)
{
    struct half_axis from = d->from.sign ? d->from : (struct half_axis){0, 1};
    struct half_axis toward = d->toward;
    if (!toward.sign)
        toward = d->clockwise ? half_axis_reversed(half_axis_turned(from)) : half_axis_turned(from);
    return aim_between(b->w, from, toward, q_given(b->w, &d->angle, angle_dimension));
}

static struct aim by_bearing(struct board *b, const struct direction *d)
{
    if (!d->angle.present)
        return aim_along(d->from.sign ? d->from : d->toward);
    return aim_between(b->w, d->from, d->toward, q_given(b->w, &d->angle, angle_dimension));
}

/* ---- by azimuth and elevation ---- */

static struct aim by_azimuth(struct board *b, const struct direction *d)
{
    struct work *w = b->w;
    struct half_axis up = d->up.sign ? d->up : b->up;
    struct half_axis from = d->from.sign ? d->from : (struct half_axis){up.axis == 0, 1};
    struct half_axis toward = d->toward.sign ? d->toward : half_axis_cross(up, from);
    q a = q_given(w, &d->angle, angle_dimension), e = q_given(w, &d->elevation, angle_dimension);
    q across = q_cos(w, e);
    struct aim aim = {0};
    aim.part[from.axis].sign = from.sign;
    aim.part[from.axis].factor = q_mul(w, across, q_cos(w, a));
    aim.part[toward.axis].sign = toward.sign;
    aim.part[toward.axis].factor = q_mul(w, across, q_sin(w, a));
    aim.part[up.axis].sign = up.sign;
    aim.part[up.axis].factor = q_sin(w, e);
    return aim;
}

/* ---- a vector over its length ---- */

struct aim aim_over(struct work *w, qv v, q length)
{
    struct aim aim = {.vector = v, .unit = qv_as_direction(w, qv_over(w, v, length))};
    for (int axis = 0; axis < 3; axis++) {
        aim.part[axis].factor = qv_component(w, aim.unit, axis);
        aim.part[axis].sign = !q_is_none(aim.part[axis].factor);
    }
    return aim;
}

static struct aim by_slope(struct board *b, const struct direction *d, const char *owner)
{
    struct work *w = b->w;
    qv v = qv_of(w, q_given(w, &d->run, ratio), q_given(w, &d->rise, ratio), (q){0});
    q hypotenuse = q_name(w, q_norm(w, v), symbol_own(w, "h", name_sub(w, owner)));
    work_define(w, hypotenuse);
    struct aim aim = aim_over(w, v, hypotenuse);
    bool is_slanted = !q_is_zero(w, qv_component(w, v, 0)) && !q_is_zero(w, qv_component(w, v, 1));
    if (is_slanted)
        work_say(w, PHRASE("The slope makes an angle of {} with the x axis.",
                           arg_value(polar_acute_angle(w, v))));
    return aim;
}

static struct aim by_vector(struct board *b, const struct direction *d, const char *owner)
{
    struct work *w = b->w;
    q c[3] = {0};
    for (int axis = 0; axis < board_axes(b); axis++)
        c[axis] = q_given(w, &d->component[axis], ratio);
    qv v = qv_of(w, c[0], c[1], c[2]);
    q length = q_name(w, q_norm(w, v), symbol_own(w, "d", name_sub(w, owner)));
    work_define(w, length);
    return aim_over(w, v, length);
}

static bool by_line(struct board *b, const struct direction *d, const char *owner, struct aim *aim)
{
    struct span *span = span_between(b, d->line[0], d->line[1], owner);
    if (!span)
        return false;
    if (qv_is_zero(b->w, span->r)) {
        problem_fault(b->reterr, member(b, d, "line"), FAULT_ZERO_DIRECTION,
                      "The two points lie at one place: a line through them has no direction.");
        return false;
    }
    *aim = aim_over(b->w, span->r, span_length(b->w, span));
    return true;
}

/* ---- direction angles ---- */

static const char *const greek[3] = {"α", "β", "γ"};
static const char *const greek_member[3] = {"alpha", "beta", "gamma"};

static double in_radians(const struct work *w, double angle)
{
    return w->units.angle == UNIT_DEG ? angle / 90.0 * RIGHT_ANGLE_RADIANS : angle;
}

/* The least and the largest cos² that an angle may have, typed as it is. */
static void cosine_square_range(double angle, double rounding, double *low, double *high)
{
    double a = fmax(0.0, angle - rounding), b = fmin(2.0 * RIGHT_ANGLE_RADIANS, angle + rounding);
    double at_a = cos(a) * cos(a), at_b = cos(b) * cos(b);
    *low = a <= RIGHT_ANGLE_RADIANS && b >= RIGHT_ANGLE_RADIANS ? 0.0 : fmin(at_a, at_b);
    *high = fmax(at_a, at_b);
}

struct direction_angles {
    const struct direction *d;
    q angle[3], cosine[3]; /* {0} where no number is given */
    int numbers, missing;  /* how many numbers; the axis without one (the last such) */
};

static struct direction_angles read_angles(struct work *w, const struct direction *d)
{
    struct direction_angles a = {.d = d, .missing = -1};
    for (int axis = 0; axis < 3; axis++) {
        if (!d->direction_angle[axis].present) {
            a.missing = axis;
            continue;
        }
        a.numbers++;
        a.angle[axis] = q_given(w, &d->direction_angle[axis], angle_dimension);
        a.cosine[axis] = q_cos(w, a.angle[axis]);
    }
    return a;
}

/* cos²α + cos²β (+ cos²γ) of the numbers given. */
static q sum_of_squares(struct work *w, const struct direction_angles *a)
{
    q square[3];
    uint32_t count = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(a->cosine[axis]))
            square[count++] = q_square(w, a->cosine[axis]);
    return q_sum(w, square, count);
}

/* The sum as text, with as many figures as it takes to differ from 1. */
static const char *sum_text(struct board *b, q sum)
{
    const char *text = fault_number(b, q_value(b->w, sum), 4);
    for (int figures = 5; figures <= 12 && strtod(text, NULL) == 1.0; figures++)
        text = fault_number(b, q_value(b->w, sum), figures);
    return text;
}

/* Could the sum be 1 if every angle is known to half a unit of its last digit? */
static bool may_be_one(struct board *b, const struct direction_angles *a)
{
    double low = 0.0, high = 0.0;
    for (int axis = 0; axis < 3; axis++) {
        if (q_is_none(a->angle[axis]))
            continue;
        double least, most;
        cosine_square_range(in_radians(b->w, q_value(b->w, a->angle[axis])),
                            typed_rounding(&a->d->direction_angle[axis]), &least, &most);
        low += least;
        high += most;
    }
    return low <= 1.0 && high >= 1.0;
}

/* cos α / n with n = √(cos²α + …), so that the direction has the length 1. */
static void normalise(struct board *b, const struct direction_angles *a, q sum, const char *owner,
                      struct aim *aim)
{
    struct work *w = b->w;
    q n = q_name(w, q_sqrt(w, sum), symbol_own(w, "n", name_sub(w, owner)));
    work_say(w, PHRASE("The squares of the cosines add to {}, which the rounding of the angles "
                       "explains: each cosine is divided by the root of that sum.",
                       arg_value(sum)));
    work_define(w, n);
    q c[3];
    for (int axis = 0; axis < 3; axis++)
        c[axis] = q_is_none(a->cosine[axis]) ? q_integer(w, 0, ratio) : a->cosine[axis];
    *aim = aim_over(w, qv_of(w, c[0], c[1], c[2]), n);
    note_add(w, NOTE_NORMALISED,
             PHRASE("The squares of the cosines of the direction angles of {} add to {}, not to "
                    "one, within the rounding of the angles: the direction was scaled to length "
                    "one.",
                    arg_name(owner), arg_value(sum)));
}

static bool by_three_angles(struct board *b, const struct direction_angles *a, const char *owner,
                            struct aim *aim)
{
    struct work *w = b->w;
    q sum = sum_of_squares(w, a);
    bool doubt_digits = w->doubt_digits;
    bool is_one = q_is_zero(w, q_sub(w, sum, q_integer(w, 1, ratio)));
    w->doubt_digits = doubt_digits; /* angles of ten figures and more, from another answer, fit */
    if (is_one) {
        for (int axis = 0; axis < 3; axis++) {
            aim->part[axis].sign = 1;
            aim->part[axis].factor = a->cosine[axis];
        }
        return true;
    }
    if (may_be_one(b, a)) {
        normalise(b, a, sum, owner, aim);
        return true;
    }
    problem_fault(b->reterr, member(b, a->d, "direction_angles"), FAULT_DIRECTION_ANGLES,
                  "The squares of the cosines add to %s, not to 1: no direction has these three "
                  "angles. Give two of them, and say whether the third is acute or obtuse.",
                  sum_text(b, sum));
    return false;
}

/* No third angle and no word for it: both are shown. */
static bool fault_two_thirds(struct board *b, const struct direction_angles *a, q third)
{
    double acute = q_value(b->w, third);
    double other = 0.5 * unit_angle_turn(b->w->units.angle) - acute;
    const char *unit = b->w->units.angle == UNIT_DEG ? "°" : " rad";
    problem_fault(b->reterr, member(b, a->d, "direction_angles"), FAULT_DIRECTION_ANGLES,
                  "Two direction angles leave two directions: %s is %s%s or %s%s. Say \"acute\" or "
                  "\"obtuse\" for %s.",
                  greek_member[a->missing], fault_number(b, acute, 4), unit,
                  fault_number(b, other, 4), unit, greek_member[a->missing]);
    return false;
}

/* cos γ = ±√(1 − cos²α − cos²β) */
static bool by_two_angles(struct board *b, const struct direction_angles *a, const char *owner,
                          struct aim *aim)
{
    struct work *w = b->w;
    q sum = sum_of_squares(w, a), rest = q_sub(w, q_integer(w, 1, ratio), sum);
    int sign = q_sign(w, rest);
    if (sign < 0 && may_be_one(b, a)) {
        normalise(b, a, sum, owner, aim);
        return true;
    }
    if (sign < 0) {
        problem_fault(b->reterr, member(b, a->d, "direction_angles"), FAULT_DIRECTION_ANGLES,
                      "The squares of these two cosines add to %s, more than 1: no direction has "
                      "these two angles.",
                      sum_text(b, sum));
        return false;
    }
    enum angle_word word = a->d->word[a->missing];
    q cosine = q_sqrt(w, rest);
    if (sign > 0 && word == WORD_NONE)
        return fault_two_thirds(b, a, q_acos(w, cosine));
    if (word == WORD_OBTUSE)
        cosine = q_neg(w, cosine);
    q third = q_name(w, q_acos(w, cosine), symbol_own(w, greek[a->missing], name_sub(w, owner)));
    work_say(w, PLAIN("The squares of the three cosines add to one."));
    work_define(w, third);
    for (int axis = 0; axis < 3; axis++) {
        aim->part[axis].sign = 1;
        aim->part[axis].factor = axis == a->missing ? q_cos(w, third) : a->cosine[axis];
    }
    return true;
}

static bool by_direction_angles(struct board *b, const struct direction *d, const char *owner,
                                struct aim *aim)
{
    struct direction_angles a = read_angles(b->w, d);
    return a.numbers == 3 ? by_three_angles(b, &a, owner, aim) : by_two_angles(b, &a, owner, aim);
}

/* ---- all forms ---- */

void aim_reverse(struct aim *aim)
{
    for (int axis = 0; axis < 3; axis++)
        aim->part[axis].sign = -aim->part[axis].sign;
    aim->unit = (qv){0}; /* written −F (5/13), factor by factor */
    aim->turn.quarters = (aim->turn.quarters + 2) % 4;
}

static bool read(struct board *b, const struct direction *d, const char *owner, struct aim *aim)
{
    switch (d->form) {
    case DIRECTION_ANGLE:
        *aim = by_angle(b, d);
        return true;
    case DIRECTION_SLOPE:
        *aim = by_slope(b, d, owner);
        return true;
    case DIRECTION_AXIS:
        *aim = aim_along(d->from);
        return true;
    case DIRECTION_VECTOR:
        *aim = by_vector(b, d, owner);
        return true;
    case DIRECTION_LINE:
        return by_line(b, d, owner, aim);
    case DIRECTION_ANGLES:
        return by_direction_angles(b, d, owner, aim);
    case DIRECTION_AZIMUTH:
        *aim = by_azimuth(b, d);
        return true;
    case DIRECTION_BEARING:
        *aim = by_bearing(b, d);
        return true;
    case DIRECTION_NONE:
    case DIRECTION_NULL:
    case DIRECTION_UNKNOWN:
    case DIRECTION_FORM_MAX_:
        break;
    }
    problem_fault(b->reterr, d->pointer ? d->pointer : "", FAULT_NO_DIRECTION,
                  "%s has no direction: give one of angle, slope, axis, vector, line, "
                  "direction_angles, azimuth with elevation, bearing.",
                  owner);
    return false;
}

bool direction_aim(struct board *b, const struct direction *d, const char *owner, bool reversed,
                   struct aim *ret_aim)
{
    *ret_aim = (struct aim){0};
    bool is_read = read(b, d, owner, ret_aim);
    if (is_read && reversed)
        aim_reverse(ret_aim);
    return is_read;
}

struct aim aim_turned(struct work *w, const struct aim *aim, int sense)
{
    struct aim turned = {.turn = aim->turn};
    turned.turn.quarters = (aim->turn.quarters + (sense > 0 ? 1 : 3)) % 4;
    turned.part[0] = aim->part[1];
    turned.part[1] = aim->part[0];
    turned.part[sense > 0 ? 0 : 1].sign *= -1;
    if (!qv_is_none(aim->vector)) /* its signs are those of the parts, as in a reversed aim */
        turned.vector =
            qv_of(w, qv_component(w, aim->vector, 1), qv_component(w, aim->vector, 0), (q){0});
    return turned;
}

/* ---- using it ---- */

static q one_factor(struct work *w, const struct aim *aim, q size, int axis)
{
    q factor = aim->part[axis].factor;
    return q_is_none(factor) ? size : q_mul(w, size, factor);
}

q aim_part(struct work *w, const struct aim *aim, q size, int axis)
{
    if (aim->part[axis].sign == 0)
        return q_integer(w, 0, q_node(w, size)->dimension);
    q part = one_factor(w, aim, size, axis);
    if (aim->part[axis].sign < 0)
        return q_neg(w, part);
    return part.i == size.i ? q_sum(w, &part, 1) : part;
}

qv aim_vector(struct work *w, const struct aim *aim, q size)
{
    if (!qv_is_none(aim->unit))
        return qv_scale(w, size, aim->unit);
    q z = w->space ? aim_part(w, aim, size, 2) : (q){0};
    return qv_of(w, aim_part(w, aim, size, 0), aim_part(w, aim, size, 1), z);
}

q aim_from(struct work *w, const struct aim *aim, q start, q size, int axis)
{
    if (aim->part[axis].sign == 0)
        return q_sum(w, &start, 1);
    if (q_is_zero(w, start))
        return aim_part(w, aim, size, axis);
    q part = one_factor(w, aim, size, axis);
    return aim->part[axis].sign < 0 ? q_sub(w, start, part) : q_add(w, start, part);
}

/* Its component along an axis: ±cos θ, ±1, 0. */
static q unit_part(struct work *w, const struct aim *aim, int axis)
{
    q factor = aim->part[axis].factor;
    if (aim->part[axis].sign == 0 || q_is_none(factor))
        return q_integer(w, aim->part[axis].sign, ratio);
    /* A number of its own, so that naming it does not name the factor in earlier lines. */
    return aim->part[axis].sign < 0 ? q_neg(w, factor) : q_sum(w, &factor, 1);
}

qv aim_unit(struct work *w, const struct aim *aim)
{
    if (!qv_is_none(aim->unit))
        return aim->unit;
    q z = w->space ? unit_part(w, aim, 2) : (q){0};
    return qv_of(w, unit_part(w, aim, 0), unit_part(w, aim, 1), z);
}

/* degrees ± angle */
static q turned(struct work *w, const struct aim *aim, long long degrees)
{
    q angle = aim->turn.angle;
    if (degrees == 0)
        return aim->turn.sense > 0 ? q_sum(w, &angle, 1) : q_neg(w, angle);
    if (aim->turn.sense < 0)
        return q_sub(w, q_turn(w, degrees), angle);
    return degrees > 0 ? q_add(w, q_turn(w, degrees), angle) : q_sub(w, angle, q_turn(w, -degrees));
}

/* An angle of more turns than that is not read as an angle from +x: it is worked from its cosine
 * and sine. */
#define TURNS_MAX 1e9

q aim_angle(struct work *w, const struct aim *aim)
{
    double quarter = 0.25 * unit_angle_turn(w->units.angle);
    int quarters = aim->turn.quarters;
    if (!aim->turn.is_known)
        return (q){0};
    if (q_is_none(aim->turn.angle))
        return quarters == 0 ? q_integer(w, 0, angle_dimension) : q_turn(w, 90 * quarters);
    double beyond = quarters * quarter + aim->turn.sense * q_value(w, aim->turn.angle);
    double turns = floor(beyond / (4.0 * quarter));
    if (!(fabs(turns) < TURNS_MAX))
        return (q){0};
    long long degrees = 90 * quarters - 360 * (long long)turns;
    q angle = turned(w, aim, degrees);
    if (q_value(w, angle) < 0.0) /* in rad a quotient near a whole number may be rounded up */
        angle = turned(w, aim, degrees + 360);
    return angle_below_turn(w, angle);
}

double direction_rounding(const struct direction *d)
{
    double rounding = 0.0;
    if (d->angle.present)
        rounding += typed_rounding(&d->angle);
    if (d->elevation.present)
        rounding += typed_rounding(&d->elevation);
    for (int axis = 0; axis < 3; axis++)
        if (d->direction_angle[axis].present)
            rounding += typed_rounding(&d->direction_angle[axis]);
    return rounding;
}

/* Twelve significant digits leave the service: what prints as a whole turn there is no turn at all.
 */
#define DIGITS_GIVEN_OUT 12

q angle_below_turn(struct work *w, q angle)
{
    double turn = unit_angle_turn(w->units.angle);
    struct number_text whole = number_to_figures(turn, DIGITS_GIVEN_OUT, false);
    struct number_text text = number_to_figures(q_value(w, angle), DIGITS_GIVEN_OUT, false);
    bool is_whole = !text.negative && text.exponent10 == whole.exponent10 &&
                    strcmp(text.digits, whole.digits) == 0;
    return is_whole ? q_integer(w, 0, angle_dimension) : angle;
}
