/* polar.c: magnitude and direction. */
#include "statics/polar.h"

#include "statics/notes.h"
#include "statics/slips.h"
#include "work/slip.h"

static const struct dimension angle_dimension = {.angle = true};

/* ---- the angle in a plane ---- */

/* A component on the axis it is measured along. */
struct component {
    q value;
    struct half_axis axis;
};

/* The angle of (x, y) from the half-axis of x toward that of y, by sizes and signs. */
struct heading {
    q acute; /* none on an axis */
    q angle;
    int quadrant;                   /* 0 on an axis */
    struct half_axis first, second; /* the half-axes it points between; the other has sign 0 */
};

static int side(struct work *w, struct component c) { return q_sign(w, c.value) * c.axis.sign; }

static struct half_axis half_axis_toward(struct work *w, struct component c)
{
    return (struct half_axis){c.axis.axis, q_sign(w, c.value)};
}

static int quadrant_of(int right, int up)
{
    if (right == 0 || up == 0)
        return 0;
    return up > 0 ? (right > 0 ? 1 : 2) : (right < 0 ? 3 : 4);
}

/* On an axis: 0°, 90°, 180° or 270°, without an arctangent. */
static q angle_on_axis(struct work *w, int right, int up)
{
    if (right > 0)
        return q_integer(w, 0, angle_dimension);
    return q_turn(w, right < 0 ? 180 : up > 0 ? 90 : 270);
}

/* |R_x|; of a number as typed the bars are left out where it is positive. */
static q size_of(struct work *w, q x)
{
    return q_node(w, x)->symbol.base || q_sign(w, x) < 0 ? q_abs(w, x) : x;
}

static q acute_angle(struct work *w, struct component x, struct component y)
{
    return q_atan(w, q_div(w, size_of(w, y.value), size_of(w, x.value)));
}

static q angle_in_quadrant(struct work *w, int quadrant, q acute)
{
    switch (quadrant) {
    case 1:
        return q_sum(w, &acute, 1);
    case 2:
        return q_sub(w, q_turn(w, 180), acute);
    case 3:
        return q_add(w, q_turn(w, 180), acute);
    default: /* 4 */
        return angle_below_turn(w, q_sub(w, q_turn(w, 360), acute));
    }
}

/* The acute angle that a known θ makes with the x axis. */
static q acute_of_angle(struct work *w, int quadrant, q angle)
{
    switch (quadrant) {
    case 1:
        return angle;
    case 2:
        return q_sub(w, q_turn(w, 180), angle);
    case 3:
        return q_sub(w, angle, q_turn(w, 180));
    default: /* 4 */
        return q_sub(w, q_turn(w, 360), angle);
    }
}

static struct heading heading_of(struct work *w, struct component x, struct component y)
{
    int right = side(w, x), up = side(w, y);
    return (struct heading){
        .quadrant = quadrant_of(right, up),
        .first = half_axis_toward(w, x),
        .second = half_axis_toward(w, y),
    };
}

/* Acute angle and θ in steps, once the quadrant is known. */
static void work_heading(struct work *w, struct heading *h, struct component x, struct component y,
                         const char *sub)
{
    if (h->quadrant == 0) {
        h->angle = q_name(w, angle_on_axis(w, side(w, x), side(w, y)), symbol_own(w, "θ", sub));
    } else {
        h->acute = q_name(w, acute_angle(w, x, y), symbol_own(w, "φ", sub));
        work_define(w, h->acute);
        h->angle = q_name(w, angle_in_quadrant(w, h->quadrant, h->acute), symbol_own(w, "θ", sub));
    }
    work_define(w, h->angle);
    slip_heading(w, h->angle, x.value, x.axis.sign, y.value, y.axis.sign);
}

static struct component along_x(struct work *w, qv v)
{
    return (struct component){qv_component(w, v, 0), {0, 1}};
}

static struct component along_y(struct work *w, qv v)
{
    return (struct component){qv_component(w, v, 1), {1, 1}};
}

q polar_acute_angle(struct work *w, qv v) { return acute_angle(w, along_x(w, v), along_y(w, v)); }

q polar_plain_angle(struct work *w, qv v)
{
    struct component x = along_x(w, v), y = along_y(w, v);
    struct heading h = heading_of(w, x, y);
    if (h.quadrant == 0)
        return angle_on_axis(w, side(w, x), side(w, y));
    return angle_in_quadrant(w, h.quadrant, acute_angle(w, x, y));
}

/* ---- in the plane ---- */

static const char *sign_word(struct half_axis a) { return a.sign < 0 ? "negative" : "positive"; }

static void say_quadrant(struct work *w, const struct polar *p, const struct heading *h)
{
    struct phrase seen = PHRASE(
        "{} is {} and {} is {}: {} lies in quadrant {}.", arg_symbol(qv_component(w, p->vector, 0)),
        arg_name(sign_word(h->first)), arg_symbol(qv_component(w, p->vector, 1)),
        arg_name(sign_word(h->second)), arg_vector(p->vector), arg_count(h->quadrant));
    work_decide(w, seen);
}

static void note_quadrant(struct work *w, const struct polar *p, const struct heading *h)
{
    note_add(w, NOTE_QUADRANT,
             PHRASE("{} is {} and {} is {}, so {} lies in quadrant {}: an arctangent alone gives "
                    "the acute angle, and the signs decide.",
                    arg_symbol(qv_component(w, p->vector, 0)), arg_name(sign_word(h->first)),
                    arg_symbol(qv_component(w, p->vector, 1)), arg_name(sign_word(h->second)),
                    arg_vector(p->vector), arg_count(h->quadrant)));
}

static void say_along(struct work *w, const struct polar *p)
{
    work_decide(
        w, PHRASE("{} lies along {}.", arg_vector(p->vector), arg_name(half_axis_name(p->along))));
}

/* On an axis by what cancels: rounded numbers leave a rest, and an angle by arctangent. */
static void add_arctangent(struct work *w, const struct heading *h, struct component x,
                           struct component y)
{
    if (!w->wants_key)
        return;
    bool is_along_x = h->first.sign != 0;
    q rest = is_along_x ? y.value : x.value, size = is_along_x ? x.value : y.value;
    q turn = q_atan(w, q_div(w, rest, size));
    work_alternative(w, h->angle, is_along_x ? q_add(w, h->angle, turn) : q_sub(w, h->angle, turn));
}

static void work_plane_direction(struct board *b, struct polar *p, const struct aim *aim,
                                 const char *sub)
{
    struct work *w = b->w;
    struct component x = along_x(w, p->vector), y = along_y(w, p->vector);
    struct heading h = heading_of(w, x, y);
    q known = aim && h.quadrant ? aim_angle(w, aim) : (q){0};
    p->quadrant = h.quadrant;
    if (h.quadrant == 0) {
        p->along = h.first.sign ? h.first : h.second;
        say_along(w, p);
        work_heading(w, &h, x, y, sub);
        add_arctangent(w, &h, x, y);
    } else if (!q_is_none(known)) {
        h.angle = q_name(w, known, symbol_own(w, "θ", sub));
        work_define(w, h.angle);
        say_quadrant(w, p, &h);
        h.acute = acute_of_angle(w, h.quadrant, h.angle);
    } else {
        say_quadrant(w, p, &h);
        work_heading(w, &h, x, y, sub);
        slips_of_heading(w, h.angle, x.value, y.value, h.quadrant);
        if (!sub)
            note_quadrant(w, p, &h);
    }
    p->angle = h.angle;
    p->acute = h.acute;
}

/* ---- in space ---- */

/* Of a force along a given line the direction is known, however large it is. */
static q angle_of_aim(struct work *w, const struct aim *aim, int axis)
{
    q factor = aim->part[axis].factor;
    int sign = aim->part[axis].sign;
    if (sign == 0)
        return q_turn(w, 90);
    if (q_is_none(factor))
        return sign > 0 ? q_integer(w, 0, angle_dimension) : q_turn(w, 180);
    return q_acos(w, sign > 0 ? factor : q_neg(w, factor));
}

static void work_direction_angles(struct board *b, struct polar *p, const struct aim *aim,
                                  const char *sub)
{
    static const char *const greek[3] = {"α", "β", "γ"};
    struct work *w = b->w;
    for (int axis = 0; axis < 3; axis++) {
        q angle = aim && sub ? angle_of_aim(w, aim, axis)
                             : q_acos(w, q_div(w, qv_component(w, p->vector, axis), p->magnitude));
        p->direction_angle[axis] = q_name(w, angle, symbol_own(w, greek[axis], sub));
        work_define(w, p->direction_angle[axis]);
    }
}

/* The level part first, then its angle about `up` and the angle above it. */
static void work_azimuth(struct board *b, struct polar *p, struct symbol symbol)
{
    struct work *w = b->w;
    struct half_axis up = b->up, from = {up.axis == 0, 1}, toward = half_axis_cross(up, from);
    struct component x = {qv_component(w, p->vector, from.axis), from};
    struct component y = {qv_component(w, p->vector, toward.axis), toward};
    struct component z = {qv_component(w, p->vector, up.axis), up};
    struct heading h = heading_of(w, x, y);
    work_section(w, PLAIN("Azimuth and elevation"),
                 PHRASE("The azimuth is measured in the plane square to {}, from {} toward {}; the "
                        "elevation from that plane toward {}.",
                        arg_name(half_axis_name(up)), arg_name(half_axis_name(from)),
                        arg_name(half_axis_name(toward)), arg_name(half_axis_name(up))));
    if (h.first.sign == 0 && h.second.sign == 0) {
        p->elevation = q_turn(w, side(w, z) > 0 ? 90 : -90);
        p->elevation = q_name(w, p->elevation, symbol_own(w, "ε", NULL));
        work_decide(w, PHRASE("{} is vertical: it has no azimuth.", arg_vector(p->vector)));
        work_define(w, p->elevation);
        return;
    }
    if (h.quadrant == 0)
        work_decide(w, PHRASE("The level part of {} lies along {}.", arg_vector(p->vector),
                              arg_name(half_axis_name(h.first.sign ? h.first : h.second))));
    else
        work_decide(w,
                    PHRASE("The level part of {} points between {} and {}.", arg_vector(p->vector),
                           arg_name(half_axis_name(h.first)), arg_name(half_axis_name(h.second))));
    work_heading(w, &h, x, y, NULL);
    p->azimuth = h.angle;
    q square[2] = {q_square(w, x.value), q_square(w, y.value)};
    q level = q_name(w, q_sqrt(w, q_sum(w, square, 2)), symbol_own(w, "L", symbol.base));
    work_define(w, level);
    q height = up.sign > 0 ? z.value : q_neg(w, z.value);
    p->elevation = q_name(w, q_atan(w, q_div(w, height, level)), symbol_own(w, "ε", NULL));
    work_define(w, p->elevation);
}

static struct half_axis only_component(struct work *w, qv v)
{
    struct half_axis along = {0};
    for (int axis = 0; axis < 3; axis++) {
        int sign = q_sign(w, qv_component(w, v, axis));
        if (sign && along.sign)
            return (struct half_axis){0};
        if (sign)
            along = (struct half_axis){axis, sign};
    }
    return along;
}

/* ---- both ---- */

/* `sub`: of the angles' symbols, or NULL. */
static struct polar size_and_angles(struct board *b, qv vector, struct symbol symbol, q magnitude,
                                    const struct aim *aim, const char *sub)
{
    struct work *w = b->w;
    struct polar p = {.vector = vector, .magnitude = magnitude};
    p.is_zero = qv_is_zero(w, vector);
    if (q_is_none(magnitude)) {
        p.magnitude = q_name(w, q_norm(w, vector), symbol);
        work_define(w, p.magnitude);
        slips_of_norm(w, vector, p.magnitude);
    }
    if (p.is_zero)
        return p;
    if (w->space) {
        p.along = only_component(w, vector);
        work_direction_angles(b, &p, aim, sub);
    } else {
        work_plane_direction(b, &p, aim, sub);
    }
    return p;
}

struct polar polar_of_unknown(struct board *b, qv vector, const char *name, q magnitude,
                              const struct aim *aim)
{
    struct symbol symbol = symbol_of_name(b->w, name);
    return size_and_angles(b, vector, symbol, magnitude, aim, name);
}

struct polar polar_of(struct board *b, qv vector, struct symbol symbol, q magnitude,
                      const struct aim *aim)
{
    struct work *w = b->w;
    struct polar p = size_and_angles(b, vector, symbol, magnitude, aim, NULL);
    if (p.is_zero)
        return p;
    p.unit = qv_name(w, qv_over(w, vector, p.magnitude), symbol_own(w, "u", NULL));
    work_define_vector(w, p.unit);
    if (w->space)
        work_azimuth(b, &p, symbol);
    return p;
}

/* ---- the answer ---- */

static void put_direction(struct work *w, struct value *force, const struct polar *p)
{
    static const char *const member[3] = {"alpha", "beta", "gamma"};
    if (p->is_zero) {
        result_null(w, force, "direction");
        return;
    }
    struct value *direction = result_object(w, force, "direction");
    if (!w->space) {
        result_number(w, direction, "angle", p->angle);
        return;
    }
    struct value *angles = result_object(w, direction, "direction_angles");
    for (int axis = 0; axis < 3; axis++)
        result_number(w, angles, member[axis], p->direction_angle[axis]);
}

void polar_put_force(struct work *w, struct value *parent, const char *key, const char *name,
                     const struct polar *p)
{
    struct value *force = result_object(w, parent, key);
    result_text(w, force, "name", name);
    result_vector(w, force, "components", p->vector);
    result_number(w, force, "magnitude", p->magnitude);
    put_direction(w, force, p);
}

void polar_put_direction(struct work *w, struct value *parent, const struct polar *p)
{
    if (p->is_zero)
        result_null(w, parent, "unit_vector");
    else
        result_vector(w, parent, "unit_vector", p->unit);
    if (p->quadrant)
        result_count(w, parent, "quadrant", p->quadrant);
    else
        result_null(w, parent, "quadrant");
    if (w->space) {
        result_number_or_null(w, parent, "azimuth", p->azimuth);
        result_number_or_null(w, parent, "elevation", p->elevation);
    }
}

struct phrase polar_in_words(const struct polar *p)
{
    if (p->is_zero)
        return PLAIN("zero, without a direction");
    if (p->along.sign)
        return PHRASE("{} along {}", arg_value(p->magnitude), arg_name(half_axis_name(p->along)));
    if (!q_is_none(p->azimuth))
        return PHRASE("{} at an azimuth of {} and an elevation of {}", arg_value(p->magnitude),
                      arg_value(p->azimuth), arg_value(p->elevation));
    return PHRASE("{} at {} {} {}", arg_value(p->magnitude), arg_value(p->acute),
                  arg_name(p->quadrant <= 2 ? "above" : "below"),
                  arg_name(p->quadrant == 1 || p->quadrant == 4 ? "+x" : "−x"));
}
