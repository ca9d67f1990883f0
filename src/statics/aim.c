#include "statics/aim.h"

#include <math.h>
#include <string.h>

#include "base/number.h"

static const struct dimension ratio = {0};
static const struct dimension angle_dimension = {.angle = true};

static int quarters_of(struct half_axis a) { return a.axis + (a.sign < 0 ? 2 : 0); }

struct aim aim_along(struct half_axis a)
{
    struct aim aim = {0};
    aim.part[a.axis].sign = a.sign;
    aim.turn.is_known = a.axis < 2;
    aim.turn.quarters = quarters_of(a);
    return aim;
}

struct aim aim_between(struct work *w, struct half_axis from, struct half_axis toward, q angle)
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

struct aim aim_over(struct work *w, qv v, q length)
{
    struct aim aim = {.vector = v, .unit = qv_as_direction(w, qv_over(w, v, length))};
    for (int axis = 0; axis < 3; axis++) {
        aim.part[axis].factor = qv_component(w, aim.unit, axis);
        aim.part[axis].sign = !q_is_none(aim.part[axis].factor);
    }
    return aim;
}

void aim_reverse(struct aim *aim)
{
    for (int axis = 0; axis < 3; axis++)
        aim->part[axis].sign = -aim->part[axis].sign;
    aim->unit = (qv){0}; /* written −F (5/13), factor by factor */
    aim->turn.quarters = (aim->turn.quarters + 2) % 4;
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
