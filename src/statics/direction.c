/* direction.c: the ways to give a direction, each worked as a book works it. */
#include "statics/direction.h"

#include "statics/direction_angles.h"
#include "statics/point.h"
#include "statics/polar.h"

static const struct dimension ratio = {0};
static const struct dimension angle_dimension = {.angle = true};

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
        const char *pointer = arena_printf(b->w->arena, "%s/line", d->pointer);
        problem_fault(b->reterr, pointer ? pointer : "", FAULT_ZERO_DIRECTION,
                      "The two points lie at one place: a line through them has no direction.");
        return false;
    }
    *aim = aim_over(b->w, span->r, span_length(b->w, span));
    return true;
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
        return direction_by_angles(b, d, owner, aim);
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
