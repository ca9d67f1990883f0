/* projection.c: the part of a force along a line, and the part square to it. */
#include "statics/projection.h"

static const struct dimension angle_dimension = {.angle = true};

/* cos⁻¹(F_∥/F); exactly 0°, 90° or 180° where a part is zero. */
static q angle_to_line(struct work *w, const struct projection *p, q size)
{
    int sign = q_sign(w, p->component);
    if (sign == 0)
        return q_turn(w, 90);
    if (qv_is_zero(w, p->perpendicular))
        return sign > 0 ? q_integer(w, 0, angle_dimension) : q_turn(w, 180);
    return q_acos(w, q_div(w, p->component, size));
}

struct projection projection_of(struct board *b, const struct polar *force, struct symbol symbol,
                                const struct aim *line)
{
    struct work *w = b->w;
    struct projection p = {0};
    qv unit = qv_name(w, aim_unit(w, line), symbol_own(w, "λ", NULL));
    work_define_vector(w, unit);
    struct symbol along = symbol_own(w, symbol.base, "∥"), across = symbol_own(w, symbol.base, "⊥");
    p.component = q_name(w, q_dot(w, force->vector, unit), along);
    work_define(w, p.component);
    p.parallel = qv_name(w, qv_scale(w, p.component, unit), along);
    work_define_vector(w, p.parallel);
    p.perpendicular = qv_name(w, qv_sub(w, force->vector, p.parallel), across);
    work_define_vector(w, p.perpendicular);
    p.perpendicular_magnitude = q_name(w, q_norm(w, p.perpendicular), across);
    work_define(w, p.perpendicular_magnitude);
    if (force->is_zero)
        return p;
    p.angle = q_name(w, angle_to_line(w, &p, force->magnitude), symbol_own(w, "θ", "∥"));
    work_define(w, p.angle);
    return p;
}

void projection_put(struct work *w, const char *key, const struct projection *p)
{
    struct value *onto = result_object(w, NULL, key);
    result_number(w, onto, "component", p->component);
    result_vector(w, onto, "parallel", p->parallel);
    result_vector(w, onto, "perpendicular", p->perpendicular);
    result_number(w, onto, "perpendicular_magnitude", p->perpendicular_magnitude);
    result_number_or_null(w, onto, "angle", p->angle);
}
