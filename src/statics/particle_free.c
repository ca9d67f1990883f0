/* particle_free.c: directions in which no unknown force acts, and directions that nearly coincide.
 */
#include <math.h>

#include "statics/notes.h"
#include "statics/particle.h"

static const struct dimension ratio = {0};

/* How nearly critical the geometry is (numerics.md): how much the largest force changes, relative
 * to itself, to first order, if each direction is turned sideways by a thousandth of a radian, in
 * four patterns of senses. Common practice calls a tenth much. */
#define TURN 0.001
#define SENSITIVE 0.10
#define PATTERNS 4
static const unsigned patterns[PATTERNS] = {0x5555, 0x3c96, 0x0f0f, 0x69a5};

/* A unit vector square to the aim: in the plane turned by 90°, in space square to the axis that
 * the aim is farthest from. */
static void sideways_of(const struct work *w, const struct aim *aim, int axes, double ret[3])
{
    double u[3] = {0}, e[3] = {0}, length = 0.0;
    int farthest = axes == 2 ? 2 : 0;
    for (int axis = 0; axis < axes; axis++) {
        q factor = aim->part[axis].factor;
        u[axis] = aim->part[axis].sign * (q_is_none(factor) ? 1.0 : q_value(w, factor));
        if (axes == 3 && fabs(u[axis]) < fabs(u[farthest]))
            farthest = axis;
    }
    e[farthest] = 1.0;
    for (int axis = 0; axis < 3; axis++) {
        int next = (axis + 1) % 3, last = (axis + 2) % 3;
        ret[axis] = e[next] * u[last] - e[last] * u[next];
        length = hypot(length, ret[axis]);
    }
    for (int axis = 0; axis < 3; axis++)
        ret[axis] /= length;
}

/* What the turns take away from the equations. */
static void turn_all(struct particle *p, const struct particle_solution *s, unsigned pattern,
                     double ret_right[3])
{
    struct work *w = p->b->w;
    int axes = board_axes(p->b);
    unsigned bit = 0;
    for (int i = 0; i < p->force_count; i++) {
        const struct particle_force *f = &p->force[i];
        for (int k = 0; k < f->reaction.count && !particle_is_along_axes(f); k++) {
            double sideways[3], size = q_value(w, s->answer[f->scalar[k]]);
            if (!q_is_none(f->times))
                size *= q_value(w, f->times);
            if ((pattern >> (bit++ % 16)) & 1u)
                size = -size;
            sideways_of(w, &f->reaction.part[k].aim, axes, sideways);
            for (int axis = 0; axis < axes; axis++)
                ret_right[axis] += TURN * size * sideways[axis];
        }
    }
}

void particle_note_sensitive(struct particle *p, const struct particle_solution *s)
{
    struct work *w = p->b->w;
    int n = p->scalar_count;
    double largest = 0.0, change = 0.0;
    double *x = arena_alloc(w->arena, ((size_t)n + 1) * sizeof *x);
    if (x == NULL) {
        w->failed = true;
        return;
    }
    for (int j = 0; j < n; j++)
        largest = fmax(largest, fabs(q_value(w, s->answer[j])));
    for (int i = 0; i < PATTERNS && n > 0; i++) {
        double right[3] = {0};
        turn_all(p, s, patterns[i], right);
        linear_solve_again(s->linear, right, x);
        for (int j = 0; j < n; j++)
            change = fmax(change, fabs(x[j] * s->unit[j].length.value));
    }
    if (largest == 0.0 || !(change >= SENSITIVE * largest))
        return;
    if (!isfinite(100.0 * change / largest)) {
        work_beyond(w, BEYOND_DIGITS, true);
        return;
    }
    note_add(w, NOTE_SENSITIVE_GEOMETRY,
             PHRASE("The geometry is nearly critical: turning the directions by a thousandth of a "
                    "radian changes the largest force by {} percent.",
                    arg_name(fault_number(p->b, 100.0 * change / largest, 2))));
}

/* ---- motions left free ---- */

static bool is_square_to_all(struct particle *p, qv v)
{
    struct work *w = p->b->w;
    for (int i = 0; i < p->force_count; i++)
        for (int k = 0; k < p->force[i].reaction.count; k++)
            if (!q_is_zero(w, q_dot(w, aim_unit(w, &p->force[i].reaction.part[k].aim), v)))
                return false;
    return true;
}

static qv axis_vector(struct particle *p, int along)
{
    q c[3] = {0};
    for (int axis = 0; axis < board_axes(p->b); axis++)
        c[axis] = q_integer(p->b->w, axis == along, ratio);
    return qv_of(p->b->w, c[0], c[1], c[2]);
}

/* The first unknown part that does not lie along `first` ({0}: the first there is). */
static qv independent_part(struct particle *p, qv first)
{
    struct work *w = p->b->w;
    for (int i = 0; i < p->force_count; i++)
        for (int k = 0; k < p->force[i].reaction.count; k++) {
            qv u = aim_unit(w, &p->force[i].reaction.part[k].aim);
            if (qv_is_none(first) || !qv_is_zero(w, qv_cross(w, first, u)))
                return u;
        }
    return (qv){0};
}

static qv unit_of(struct work *w, qv v) { return qv_over(w, v, q_norm(w, v)); }

/* A basis: axes first, then what is square to those and to all unknown forces. */
static int free_directions(struct particle *p, int freedoms, qv ret[3])
{
    struct work *w = p->b->w;
    int count = 0;
    for (int axis = 0; axis < board_axes(p->b) && count < freedoms; axis++) {
        qv along = axis_vector(p, axis);
        if (is_square_to_all(p, along))
            ret[count++] = along;
    }
    if (count == freedoms)
        return count;
    qv u = independent_part(p, (qv){0});
    if (!w->space) {
        q x = qv_component(w, u, 0), y = qv_component(w, u, 1);
        ret[count++] = qv_of(w, q_neg(w, y), q_sum(w, &x, 1), (q){0});
    } else if (freedoms == 1) {
        ret[count++] = unit_of(w, qv_cross(w, u, independent_part(p, u)));
    } else { /* all along one line, which is none of the axes: two directions square to it */
        if (count == 0)
            ret[count++] = unit_of(w, qv_cross(w, axis_vector(p, 2), u));
        ret[count++] = qv_cross(w, u, ret[0]);
    }
    return count;
}

static struct phrase motion_text(struct work *w, qv v)
{
    static const char *const axis_text[3] = {"moves along x", "moves along y", "moves along z"};
    int along = -1, parts = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, v, axis)) && !q_is_zero(w, qv_component(w, v, axis))) {
            along = axis;
            parts++;
        }
    if (parts == 1)
        return phrase(axis_text[along], 0, NULL);
    if (w->space)
        return PLAIN("moves square to every unknown force");
    return PHRASE("moves square to every unknown force, along the line at {} to the x axis",
                  arg_value(polar_acute_angle(w, v)));
}

void particle_put_free_motions(struct particle *p, const struct particle_solution *s)
{
    struct work *w = p->b->w;
    qv free[3];
    int count = free_directions(p, board_axes(p->b) - s->rank, free);
    work_section(w, PLAIN("Motions left free"),
                 PLAIN("No unknown force has a part along these directions, so that none of them "
                       "stops a motion there."));
    struct value *list = result_list(w, NULL, "free_motions");
    for (int i = 0; i < count; i++) {
        free[i] = qv_name(w, free[i], symbol_own(w, "n", (const char *[]){"1", "2", "3"}[i]));
        work_define_vector(w, free[i]);
        struct value *motion = result_object(w, list, NULL);
        result_text(w, motion, "motion", "translation");
        result_vector(w, motion, "direction", free[i]);
        if (motion && motion->last)
            motion->last->asked = false;
        result_phrase(w, motion, "text", motion_text(w, free[i]));
        if (qv_is_none(p->known))
            continue;
        q part =
            q_name(w, q_dot(w, p->known, free[i]), particle_symbol(w, p->known_name, "123"[i]));
        work_define(w, part);
        work_decide(w, q_is_zero(w, part)
                           ? PLAIN("The known forces have no part there: nothing moves it.")
                           : PHRASE("The known forces have the part {} there, which no unknown "
                                    "force can hold.",
                                    arg_value(part)));
    }
    if (s->is_held)
        note_add(w, NOTE_FREE_TO_MOVE,
                 PLAIN("The unknown forces leave the particle free to move: it is in equilibrium "
                       "under these loads only because they have no part in that direction."));
    else
        note_add(w, NOTE_NOT_HELD,
                 PLAIN("The loads have a part in a direction in which no unknown force can act: "
                       "there is no equilibrium."));
}
