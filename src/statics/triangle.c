/* triangle.c: the force triangle. */
#include "statics/triangle.h"

#include <math.h>

static const struct dimension ratio = {0};

static double half_turn(const struct work *w) { return 0.5 * unit_angle_turn(w->units.angle); }

q triangle_between(struct work *w, q a, q b)
{
    double apart = q_value(w, a) - q_value(w, b);
    q angle = apart >= 0.0 ? q_sub(w, a, b) : q_sub(w, b, a);
    return fabs(apart) > half_turn(w) ? q_sub(w, q_turn(w, 360), angle) : angle;
}

q triangle_wrapped(struct work *w, q angle)
{
    if (q_value(w, angle) < 0.0)
        angle = q_add(w, angle, q_turn(w, 360));
    else if (q_value(w, angle) >= 2.0 * half_turn(w))
        angle = q_sub(w, angle, q_turn(w, 360));
    return angle_below_turn(w, angle);
}

q triangle_known_size(struct particle *p)
{
    struct work *w = p->b->w;
    if (p->known_is_aimed)
        return load_size(w, &p->loads.force[0]);
    q size = q_name(w, q_norm(w, p->known), symbol_own(w, p->known_name, NULL));
    work_define(w, size);
    return size;
}

q triangle_known_angle(struct particle *p)
{
    struct work *w = p->b->w;
    q angle = p->known_is_aimed ? aim_angle(w, &p->known_aim) : (q){0};
    if (q_is_none(angle))
        angle = polar_plain_angle(w, p->known);
    angle = q_name(w, angle, symbol_own(w, "θ", p->known_name));
    work_define(w, angle);
    return angle;
}

/* ---- two magnitudes: the sine law ---- */

static q angle_step(struct work *w, q a, q b, const char *opposite)
{
    q angle = q_name(w, triangle_between(w, a, b), symbol_own(w, "β", opposite));
    work_define(w, angle);
    return angle;
}

static void sine_law(struct particle *p, const struct unknown_force *u)
{
    struct work *w = p->b->w;
    work_section(w, PLAIN("Force triangle"),
                 PLAIN("Three forces in equilibrium close a triangle. By the sine law each is to "
                       "the sine of the angle between the other two as any other."));
    q known = triangle_known_size(p), theta = triangle_known_angle(p);
    q whole = angle_step(w, u[0].force.angle, u[1].force.angle, p->known_name);
    for (int i = 0; i < 2; i++) {
        q between = angle_step(w, theta, u[1 - i].force.angle, u[i].name);
        q side = q_div(w, q_mul(w, known, q_sin(w, between)), q_sin(w, whole));
        work_check(w, q_sub(w, side, u[i].part[0].value),
                   i == 0 ? (struct phrase){0}
                          : PLAIN("The triangle gives the same forces as the equations."));
        work_alternative(w, u[i].part[0].value, side);
    }
}

/* ---- a force wholly unknown: the cosine law ---- */

static q angle_of_load(struct work *w, const struct load *load)
{
    q angle = load->is_aimed && !q_is_none(load->magnitude) ? aim_angle(w, &load->aim) : (q){0};
    if (q_is_none(angle))
        angle = polar_plain_angle(w, load->vector);
    angle = q_name(w, angle, symbol_own(w, "θ", load->name));
    work_define(w, angle);
    return angle;
}

static q size_of_load(struct work *w, const struct load *load)
{
    if (!q_is_none(load->magnitude))
        return load->magnitude;
    q size = q_name(w, q_norm(w, load->vector), symbol_of_name(w, load->name));
    work_define(w, size);
    return size;
}

static void cosine_law(struct particle *p, const struct unknown_force *F)
{
    struct work *w = p->b->w;
    const struct load *A = &p->loads.force[0], *B = &p->loads.force[1];
    work_section(w, PLAIN("Force triangle"),
                 PLAIN("Three forces in equilibrium close a triangle: the cosine law gives the "
                       "third side, with the angle between the two known ones put tip to tail."));
    q a = size_of_load(w, A), b = size_of_load(w, B);
    q theta_a = angle_of_load(w, A), theta_b = angle_of_load(w, B);
    q between = triangle_between(w, theta_a, theta_b);
    q inner = q_name(w, q_sub(w, q_turn(w, 180), between), symbol_own(w, "β", F->name));
    work_define(w, inner);
    q twice = q_mul(w, q_mul(w, q_integer(w, 2, ratio), q_mul(w, a, b)), q_cos(w, inner));
    q square = q_sub(w, q_add(w, q_square(w, a), q_square(w, b)), twice);
    if (q_sign(w, square) <= 0)
        return;
    q size = q_sqrt(w, square);
    work_check(w, q_sub(w, size, F->force.magnitude),
               PLAIN("The triangle gives the same size as the components."));
    work_alternative(w, F->force.magnitude, size);
    q turn = q_asin(w, q_div(w, q_mul(w, b, q_sin(w, inner)), size));
    /* The angle from A is obtuse where B is the longest side. */
    if (q_value(w, a) - q_value(w, b) * q_value(w, q_cos(w, inner)) < 0.0)
        turn = q_sub(w, q_turn(w, 180), turn);
    double left = q_value(w, qv_component(w, qv_cross(w, A->vector, B->vector), 2));
    q opposite = q_add(w, theta_a, q_turn(w, 180));
    work_alternative(w, F->force.angle,
                     left > 0.0 ? q_add(w, opposite, turn) : q_sub(w, opposite, turn));
}

/* ---- which of them ---- */

static bool are_parallel(struct work *w, qv a, qv b)
{
    return qv_is_zero(w, a) || qv_is_zero(w, b) || qv_is_zero(w, qv_cross(w, a, b));
}

static bool is_pull(const struct particle *p, const struct unknown_force *u, int i)
{
    const struct particle_force *f = &p->force[i];
    return f->reaction.count == 1 && f->same_as < 0 && !f->is_resultant && !u[i].force.is_zero &&
           q_value(p->b->w, u[i].part[0].value) > 0.0;
}

void triangle_of_three(struct particle *p, const struct unknown_force *u)
{
    struct work *w = p->b->w;
    if (w->space || p->input->has_required || qv_is_none(p->known) || qv_is_zero(w, p->known))
        return;
    if (p->force_count == 2 && p->scalar_count == 2 && is_pull(p, u, 0) && is_pull(p, u, 1) &&
        !are_parallel(w, u[0].force.vector, u[1].force.vector) &&
        !are_parallel(w, u[0].force.vector, p->known) &&
        !are_parallel(w, u[1].force.vector, p->known))
        sine_law(p, u);
    else if (p->force_count == 1 && p->force[0].reaction.count == 2 && p->force[0].in &&
             p->loads.force_count == 2 &&
             !are_parallel(w, p->loads.force[0].vector, p->loads.force[1].vector))
        cosine_law(p, &u[0]);
}
