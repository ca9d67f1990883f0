/* two_unknowns.c: plane forces of which a direction is unknown: two unknowns whose equations are
 * not linear. */
#include <math.h>

#include "statics/closing.h"
#include "statics/triangle.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* ---- a magnitude, and the direction of another force ---- */

/* t along the line, n square to it: the unknown magnitude is not in ΣF_n. */
struct split {
    struct aim along, across;
    q known_t, known_n;
};

static struct split split_known(struct particle *p, const struct pull_line *line)
{
    struct work *w = p->b->w;
    struct split s = {.along = line->aim, .across = aim_turned(w, &line->aim, 1)};
    qv known = closing_known(p);
    s.known_t = closing_step(w, particle_part_along(w, &s.along, known),
                             particle_symbol(w, p->known_name, 't'));
    s.known_n = closing_step(w, particle_part_along(w, &s.across, known),
                             particle_symbol(w, p->known_name, 'n'));
    return s;
}

static qv from_split(struct work *w, const struct split *s, const struct particle_force *f, q t,
                     q n)
{
    q c[2];
    for (int axis = 0; axis < 2; axis++) {
        q a = s->along.part[axis].sign ? aim_part(w, &s->along, t, axis) : (q){0};
        q b = s->across.part[axis].sign ? aim_part(w, &s->across, n, axis) : (q){0};
        c[axis] = q_is_none(a) ? b : q_is_none(b) ? a : q_add(w, a, b);
    }
    return closing_turned(w, f, c[0], c[1]);
}

/* An arcsine so near 90° magnifies a rounding of its sine by a thousand. */
#define STEEP 1e-6

/* Two sides and the angle opposite one of them: the sine law, with its two angles. Shown, and held
 * against the components. */
static void check_by_sine_law(struct particle *p, const struct pull_line *line,
                              const struct particle_force *Q, const struct unknown_force *u)
{
    struct work *w = p->b->w;
    if (Q->is_resultant || line->force->is_resultant || !q_is_none(line->length) ||
        qv_is_none(p->known) || qv_is_zero(w, p->known))
        return;
    const struct unknown_force *of_line = &u[line->force - p->force], *of_turned = &u[Q - p->force];
    if (of_line->force.is_zero || of_turned->force.is_zero ||
        qv_is_zero(w, qv_cross(w, p->known, of_line->force.vector)))
        return;
    double area = q_value(w, qv_component(w, qv_cross(w, p->known, of_line->force.vector), 2));
    if (fabs(area) >=
        (1.0 - STEEP) * q_value(w, of_line->force.magnitude) * q_value(w, Q->magnitude))
        return; /* square, or nearly: the arcsine is too steep to check anything */
    const char *name = of_line->name, *other = of_turned->name;
    work_section(w, PLAIN("Force triangle"),
                 PLAIN("The forces put tip to tail close a triangle. Two sides and an angle "
                       "opposite one of them are known: the sine law gives the angle opposite the "
                       "other, acute or obtuse, and so the third side."));
    q known = triangle_known_size(p), theta = triangle_known_angle(p);
    q at = of_line->force.angle;
    q back = triangle_wrapped(w, q_add(w, theta, q_turn(w, 180)));
    q alpha = closing_step(w, triangle_between(w, at, back), symbol_own(w, "α", other));
    q sine = q_div(w, q_mul(w, known, q_sin(w, alpha)), Q->magnitude);
    q beta = q_asin(w, sine);
    double dot = q_value(w, q_dot(w, of_line->force.vector, of_turned->force.vector));
    if (dot > 0.0) /* tip to tail, the angle inside is obtuse */
        beta = q_sub(w, q_turn(w, 180), beta);
    beta = closing_step(w, beta, symbol_own(w, "β", p->known_name));
    q gamma =
        closing_step(w, q_sub(w, q_turn(w, 180), q_add(w, alpha, beta)), symbol_own(w, "γ", name));
    q side = q_div(w, q_mul(w, Q->magnitude, q_sin(w, gamma)), q_sin(w, alpha));
    work_check(w, q_sub(w, side, of_line->part[0].value),
               PHRASE("The triangle gives the same {}.", arg_symbol(of_line->part[0].value)));
    work_alternative(w, of_line->part[0].value, side);
    q turn = q_sub(w, q_turn(w, 180), beta);
    work_alternative(w, of_turned->force.angle,
                     area > 0.0 ? q_add(w, at, turn) : q_sub(w, at, turn));
}

static void magnitude_and_direction(struct particle *p, const struct pull_line *line,
                                    const struct particle_force *Q)
{
    struct work *w = p->b->w;
    work_section(w, PHRASE("Axes along {} and square to it", arg_name(line->force->name)),
                 PHRASE("Along n, square to its line, {} has no part: that equation has one "
                        "unknown. t runs {}, n from there counter-clockwise.",
                        arg_name(line->force->name),
                        arg_name(line->force->is_resultant ? "along the line, against it"
                                                           : "along the line")));
    struct split s = split_known(p, line);
    q n = closing_step(w, closing_side(w, Q, s.known_n), particle_symbol(w, Q->name, 'n'));
    q room = q_sub(w, q_square(w, Q->magnitude), q_square(w, n));
    int sign = q_sign(w, room);
    struct solutions a = {0};
    if (sign < 0) {
        struct phrase text =
            PHRASE("{} would need the part {} square to the line of {}, more than its size {}: no "
                   "triangle of forces closes.",
                   arg_name(Q->name), arg_value(q_abs(w, n)), arg_name(line->force->name),
                   arg_value(Q->magnitude));
        closing_refuse_all(w, text);
    }
    static const char *const titles[2] = {"First solution", "Second solution"};
    q root = sign > 0 ? q_sqrt(w, room) : (q){0};
    q side_first = Q->is_resultant && sign > 0 ? q_neg(w, root) : root;
    bool is_first_refused = sign > 0 && q_sign(w, q_add(w, s.known_t, side_first)) > 0;
    for (int k = 0; k < (sign < 0 ? 0 : sign == 0 ? 1 : 2); k++) {
        work_section(w, sign == 0 ? PLAIN("The solution") : phrase(titles[k], 0, NULL),
                     sign == 0
                         ? PHRASE("The part of {} square to the line is its whole size: none "
                                  "is left along the line.",
                                  arg_name(Q->name))
                         : PHRASE("Of {} a part along the line is left, one way or the other.",
                                  arg_name(Q->name)));
        q t = sign == 0                      ? q_integer(w, 0, force_dimension)
              : (k == 0) != is_first_refused ? q_sum(w, &root, 1)
                                             : q_neg(w, root);
        t = closing_step(w, t, particle_symbol(w, Q->name, 't'));
        q side = Q->is_resultant ? q_neg(w, t) : t;
        q magnitude = closing_step(w, closing_minus_over(w, s.known_t, side, line->length),
                                   line->force->reaction.part[0].symbol);
        if (q_sign(w, magnitude) < 0) {
            closing_refuse(p, magnitude);
            continue;
        }
        qv turned[2] = {from_split(w, &s, Q, t, n)};
        closing_add(p, &a, line, magnitude, turned);
        if (!w->failed)
            check_by_sine_law(p, line, Q, a.u[a.count - 1]);
    }
    closing_put(p, &a);
    if (sign == 0 && a.count == 1)
        closing_note_touching(w);
}

/* ---- one magnitude, twice: along a line, and in an unknown direction ---- */

/* A T² + 2 B T + C = 0 */
static void show_square(struct work *w, q lead, q half, q square, q T)
{
    q two = q_integer(w, 2, ratio);
    q term[3] = {q_mul(w, lead, q_square(w, T)), q_mul(w, q_mul(w, two, half), T), square};
    bool is_linear = q_is_zero(w, lead);
    work_equation(w, LABEL_NONE, 0, NULL, q_sum(w, term + is_linear, is_linear ? 2 : 3), (q){0});
}

/* |P + T d| = k T: (d² − k²) T² + 2 (P·d) T + P² = 0 */
static void same_magnitude(struct particle *p, const struct pull_line *line,
                           struct particle_force *Q)
{
    struct work *w = p->b->w;
    struct solutions a = {0};
    qv known = closing_known(p);
    const char *name = line->force->name;
    work_section(w, PLAIN("Equal sizes"),
                 PHRASE("The known forces and {} along its line must leave a force of the size of "
                        "{}: the squares of the two sizes are equal.",
                        arg_name(name), arg_name(Q->name)));
    struct split s = split_known(p, line);
    q one = q_integer(w, 1, ratio);
    q length = q_is_none(line->length) ? one : line->length;
    q times = q_is_none(Q->times) ? one : Q->times;
    q square = q_name(w, q_dot(w, known, known), symbol_own(w, "C", NULL));
    q half =
        q_name(w, q_is_none(line->length) ? q_sum(w, &s.known_t, 1) : q_mul(w, s.known_t, length),
               symbol_own(w, "B", NULL));
    q lead = q_name(w, q_sub(w, q_square(w, length), q_square(w, times)), symbol_own(w, "A", NULL));
    work_define(w, lead);
    work_define(w, half);
    work_define(w, square);
    q root[2] = {0};
    int roots = 0;
    if (q_is_zero(w, lead)) {
        if (!q_is_zero(w, half))
            root[roots++] = q_neg(w, q_div(w, square, q_mul(w, q_integer(w, 2, ratio), half)));
    } else {
        q room = q_sub(w, q_square(w, half), q_mul(w, lead, square));
        int sign = q_sign(w, room);
        if (sign == 0)
            root[roots++] = q_neg(w, q_div(w, half, lead));
        q leg = sign > 0 ? q_sqrt(w, room) : (q){0};
        for (int k = 0; sign > 0 && k < 2; k++)
            root[roots++] =
                q_div(w, k == 0 ? q_sub(w, leg, half) : q_neg(w, q_add(w, half, leg)), lead);
    }
    if (roots == 2 && q_sign(w, root[0]) < 0) /* what is no solution comes last */
    {
        q refused = root[0];
        root[0] = root[1];
        root[1] = refused;
    }
    for (int k = 0; k < roots; k++) {
        q T = q_name(w, root[k], line->force->reaction.part[0].symbol);
        if (k == 0)
            show_square(w, lead, half, square, T);
        work_define(w, T);
        if (q_sign(w, T) < 0) {
            closing_refuse(p, T);
            continue;
        }
        if (q_is_zero(w, T) && !qv_is_zero(w, known))
            continue;
        q size = q_is_none(Q->times) ? q_sum(w, &T, 1) : q_mul(w, q_abs(w, Q->times), T);
        Q->magnitude = closing_step(w, size, symbol_of_name(w, Q->name));
        q pull = q_is_none(line->length) ? T : q_mul(w, T, length);
        q c[2];
        for (int axis = 0; axis < 2; axis++) {
            q x = qv_component(w, known, axis);
            if (s.along.part[axis].sign)
                x = q_add(w, x, aim_part(w, &s.along, pull, axis));
            c[axis] = closing_side(w, Q, x);
        }
        qv turned[2] = {closing_turned(w, Q, c[0], c[1])};
        closing_add(p, &a, line, T, turned);
    }
    if (a.count == 0) {
        struct phrase text = PHRASE("No size of {} closes the triangle of forces.", arg_name(name));
        closing_refuse_all(w, text);
    }
    closing_put(p, &a);
}

/* ---- one direction alone ---- */

static void one_direction(struct particle *p, const struct particle_force *Q)
{
    struct work *w = p->b->w;
    struct solutions a = {0};
    struct pull_line no_line = {0};
    qv known = closing_known(p);
    work_section(w, PLAIN("The one direction"),
                 PHRASE("{} must be all that the known forces leave.", arg_name(Q->name)));
    q c[2];
    for (int axis = 0; axis < 2; axis++)
        c[axis] = closing_side(w, Q, qv_component(w, known, axis));
    q apart = q_sub(w, q_dot(w, known, known), q_square(w, Q->magnitude));
    if (q_is_zero(w, apart)) {
        qv turned[2] = {closing_turned(w, Q, c[0], c[1])};
        closing_add(p, &a, &no_line, (q){0}, turned);
    } else {
        struct phrase text =
            PHRASE("What is known has the size {}, but {} has {}: it can't balance it.",
                   arg_value(q_norm(w, known)), arg_name(Q->name), arg_value(Q->magnitude));
        closing_refuse_all(w, text);
    }
    closing_put(p, &a);
}

/* ---- which case it is ---- */

static const struct particle_force *turned_force(const struct particle *p, int k)
{
    for (int i = 0; i < p->force_count; i++)
        if (p->force[i].is_turned_free && k-- == 0)
            return &p->force[i];
    return NULL;
}

void particle_two_unknowns(struct particle *p)
{
    const struct particle_force *first = turned_force(p, 0), *second = turned_force(p, 1);
    if (p->b->loads->space) {
        closing_out_of_scope(
            p, first->in->pointer,
            "In space a force is found whose direction is given, or of which magnitude "
            "and direction are both unknown; a direction alone is not yet found here.");
        return;
    }
    bool is_pair = p->turned_count == 2 && p->scalar_count == 0;
    bool is_one = p->turned_count == 1 && p->scalar_count <= 1;
    if (!is_pair && !is_one) {
        closing_out_of_scope(
            p, first->in->pointer,
            "Where a direction alone is unknown, one other unknown can be found beside "
            "it: a magnitude along a given direction, or a second direction. Here are "
            "more.");
        return;
    }
    if (is_pair) {
        particle_two_directions(p, first, second);
        return;
    }
    if (p->scalar_count == 0) {
        one_direction(p, first);
        return;
    }
    struct pull_line line = closing_line(p, 0);
    if (!line.force || line.is_nothing) {
        closing_out_of_scope(
            p, first->in->pointer,
            "The pulls of the unknown magnitude cancel, whatever it is: no equation "
            "finds it.");
        return;
    }
    if (first->same_as >= 0)
        same_magnitude(p, &line, &p->force[first - p->force]);
    else
        magnitude_and_direction(p, &line, first);
}
