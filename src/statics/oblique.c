/* oblique.c: components by the parallelogram law. */
#include "statics/oblique.h"

#include "statics/notes.h"
#include "statics/slips.h"

static const struct dimension force_dimension = {.force = 1};

static const char letter[3] = {'u', 'v', 'w'};
static const char *const axis_name[3] = {"u", "v", "w"};

static bool read_axes(struct board *b, const struct direction *along, struct aim aim[3])
{
    bool is_sound = true;
    for (int k = 0; k < board_axes(b); k++)
        is_sound = direction_aim(b, &along[k], axis_name[k], false, &aim[k]) && is_sound;
    return is_sound;
}

static bool fault_parallel(struct board *b, const char *pointer)
{
    problem_fault(b->reterr, pointer, FAULT_PARALLEL_AXES,
                  b->loads->space
                      ? "The three directions lie in one plane: they cannot carry every force."
                      : "The two directions are parallel: they cannot carry every force.");
    return false;
}

static q named_part(struct work *w, q part, struct symbol symbol, int k)
{
    struct symbol s = symbol_axis(symbol, letter[k]);
    s.is_given = false;
    part = q_name(w, part, s);
    work_define(w, part);
    return part;
}

/* ---- in the plane: the sine law ---- */

/* The angle of an axis from +x, in a step. */
static q axis_angle(struct work *w, const struct aim *aim, qv unit, int k)
{
    q angle = aim_angle(w, aim);
    if (q_is_none(angle))
        angle = polar_plain_angle(w, qv_is_none(aim->vector) ? unit : aim->vector);
    angle = q_name(w, angle, symbol_own(w, "θ", axis_name[k]));
    work_define(w, angle);
    return angle;
}

/* a − b between −180° and 180°, in a step. */
static q angle_between(struct work *w, q a, q b, int k)
{
    double half_turn = q_value(w, q_turn(w, 180)), apart = q_value(w, a) - q_value(w, b);
    q angle = q_sub(w, a, b);
    if (apart > half_turn)
        angle = q_sub(w, angle, q_turn(w, 360));
    if (apart <= -half_turn)
        angle = q_add(w, angle, q_turn(w, 360));
    angle = q_name(w, angle, symbol_own(w, "φ", axis_name[k]));
    work_define(w, angle);
    return angle;
}

/* The two equations F_x = F_u u_x + F_v v_x, F_y = F_u u_y + F_v v_y give the same. */
static void add_equations(struct work *w, qv force, const qv unit[2], const q part[2])
{
    q d = qv_component(w, qv_cross(w, unit[0], unit[1]), 2);
    q along_u = qv_component(w, qv_cross(w, force, unit[1]), 2);
    q along_v = qv_component(w, qv_cross(w, unit[0], force), 2);
    work_alternative(w, part[0], q_div(w, along_u, d));
    work_alternative(w, part[1], q_div(w, along_v, d));
}

static void say_projections(struct work *w, bool is_square, q size, const q turn[2],
                            const q part[2])
{
    if (is_square) {
        work_say(w, PLAIN("The axes are square to each other, so that these are the projections of "
                          "the force as well."));
        return;
    }
    work_say(w, PHRASE("{} and {} are the sides of the parallelogram; the projections on the axes, "
                       "{} and {}, do not add up to the force.",
                       arg_symbol(part[0]), arg_symbol(part[1]),
                       arg_value(q_mul(w, size, q_cos(w, turn[0]))),
                       arg_value(q_mul(w, size, q_cos(w, turn[1])))));
    note_add(w, NOTE_OBLIQUE,
             PLAIN("Components along oblique axes follow the parallelogram law: they differ from "
                   "the projections on the axes."));
}

/* F_u/sin φ_v = F_v/sin φ_u = F/sin(φ_u + φ_v), with φ_u from u to F and φ_v from F to v. */
static bool by_sine_law(struct board *b, const struct aim aim[3], const char *pointer,
                        const struct polar *force, struct symbol symbol, q part[3])
{
    struct work *w = b->w;
    qv unit[2] = {aim_unit(w, &aim[0]), aim_unit(w, &aim[1])};
    if (qv_is_zero(w, qv_cross(w, unit[0], unit[1])))
        return fault_parallel(b, pointer);
    if (force->is_zero) {
        for (int k = 0; k < 2; k++)
            part[k] = named_part(w, q_integer(w, 0, force_dimension), symbol, k);
        return true;
    }
    q theta_u = axis_angle(w, &aim[0], unit[0], 0), theta_v = axis_angle(w, &aim[1], unit[1], 1);
    q turn[2] = {angle_between(w, force->angle, theta_u, 0),
                 angle_between(w, theta_v, force->angle, 1)};
    q whole = q_sin(w, q_add(w, turn[0], turn[1]));
    for (int k = 0; k < 2; k++) {
        q opposite = q_sin(w, turn[1 - k]);
        part[k] = named_part(w, q_div(w, q_mul(w, force->magnitude, opposite), whole), symbol, k);
    }
    bool is_square = q_is_zero(w, q_dot(w, unit[0], unit[1]));
    say_projections(w, is_square, force->magnitude, turn, part);
    if (!is_square)
        slips_of_oblique(w, part, force->magnitude, turn);
    if (w->wants_key)
        add_equations(w, force->vector, unit, part);
    return true;
}

/* ---- in space: each part by the normal to the other two axes ---- */

static bool by_normals(struct board *b, const struct aim aim[3], const char *pointer,
                       const struct polar *force, struct symbol symbol, q part[3])
{
    struct work *w = b->w;
    qv unit[3], normal[3];
    for (int k = 0; k < 3; k++) {
        unit[k] = qv_name(w, aim_unit(w, &aim[k]), symbol_own(w, "e", axis_name[k]));
        work_define_vector(w, unit[k]);
    }
    for (int k = 0; k < 3; k++) {
        qv cross = qv_cross(w, unit[(k + 1) % 3], unit[(k + 2) % 3]);
        normal[k] = qv_name(w, cross, symbol_own(w, "n", axis_name[k]));
        work_define_vector(w, normal[k]);
    }
    q volume = q_name(w, q_dot(w, unit[0], normal[0]), symbol_own(w, "D", NULL));
    work_define(w, volume);
    if (q_is_zero(w, volume))
        return fault_parallel(b, pointer);
    for (int k = 0; k < 3; k++)
        part[k] = named_part(w, q_div(w, q_dot(w, force->vector, normal[k]), volume), symbol, k);
    bool is_square = q_is_zero(w, q_dot(w, unit[0], unit[1])) &&
                     q_is_zero(w, q_dot(w, unit[1], unit[2])) &&
                     q_is_zero(w, q_dot(w, unit[2], unit[0]));
    if (!is_square)
        note_add(w, NOTE_OBLIQUE,
                 PLAIN("Components along oblique axes follow the parallelogram law: they differ "
                       "from the projections on the axes."));
    return true;
}

bool oblique_parts(struct board *b, const struct direction *along, const char *pointer,
                   const struct polar *force, struct symbol symbol, q ret_part[3])
{
    struct aim aim[3];
    if (b->loads->space)
        work_section(b->w, PLAIN("Along u, v and w"),
                     PLAIN("The parts add up to the force. Each is found by a dot product with the "
                           "normal to the other two axes, which the other two parts do not "
                           "enter."));
    else
        work_section(b->w, PLAIN("Along u and v"),
                     PLAIN("The parts are the sides of a parallelogram with the force as its "
                           "diagonal: the sine law gives them from the angles of its triangle."));
    if (!read_axes(b, along, aim))
        return false;
    if (qv_is_none(force->vector))
        return false;
    return b->loads->space ? by_normals(b, aim, pointer, force, symbol, ret_part)
                           : by_sine_law(b, aim, pointer, force, symbol, ret_part);
}
