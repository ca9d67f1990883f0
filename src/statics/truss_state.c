/* truss_state.c: determinate, indeterminate or a mechanism: the rank decides, the count never. */
#include <math.h>

#include "base/limits.h"
#include "statics/truss.h"

static void *take(struct truss *t, int count, size_t size)
{
    return arena_alloc(t->w->arena, ((size_t)count + 1) * size);
}

/* What the loads do in t->motion. */
static double load_work(const struct truss *t)
{
    double work = 0;
    for (int j = 0; j < t->joint_count; j++) {
        struct exact load = truss_load_at(t, j);
        for (int axis = 0; axis < t->axes; axis++)
            work += load.c[axis].value * t->motion[t->axes * j + axis];
    }
    return work;
}

/* One motion in which every joint moves that can, the largest displacement 1, in the sense in which
 * the loads drive it. */
static enum linear_code find_motion(struct truss *t)
{
    int equations = t->axes * t->joint_count;
    t->motion = take(t, equations, sizeof *t->motion);
    if (!t->motion || !linear_motion(t->linear, t->motion))
        return LINEAR_NO_MEMORY;
    double largest = 0;
    for (int j = 0; j < t->joint_count; j++)
        largest = fmax(largest, truss_displacement(t, j));
    bool is_driven = t->freedoms == 1 && !t->is_held;
    double sense = is_driven && load_work(t) < 0 ? -1 : 1;
    for (int i = 0; i < equations; i++)
        if (t->motion[i] != 0)
            t->motion[i] *= sense / largest;
    return LINEAR_SOLVED;
}

double truss_displacement(const struct truss *t, int joint)
{
    const double *d = &t->motion[t->axes * joint];
    return hypot(hypot(d[0], d[1]), t->axes == 3 ? d[2] : 0);
}

static enum linear_code find_groups(struct truss *t)
{
    t->group = take(t, t->unknown_count, sizeof *t->group);
    if (!t->group)
        return LINEAR_NO_MEMORY;
    t->group_count = linear_groups(t->linear, t->group);
    if (t->group_count >= 0)
        return LINEAR_SOLVED;
    return arena_exhausted(t->w->arena) ? LINEAR_NO_MEMORY : LINEAR_BUDGET_EXCEEDED;
}

enum linear_code truss_judge(struct truss *t)
{
    enum linear_code code = LINEAR_SOLVED;
    t->freedoms = t->axes * t->joint_count - t->rank;
    t->degree = t->unknown_count - t->rank;
    t->state = t->freedoms > 0 ? TRUSS_MECHANISM
               : t->degree > 0 ? TRUSS_INDETERMINATE
                               : TRUSS_DETERMINATE;
    if (t->freedoms > 0)
        code = find_motion(t);
    if (code == LINEAR_SOLVED && t->degree > 0)
        code = find_groups(t);
    return code;
}

/* ---- in words ---- */

#define NAMES_SHOWN 6

/* The joints that move, "C, D and E". */
static const char *moving_joints(const struct truss *t, int *ret_count)
{
    struct arena *arena = t->w->arena;
    const char *names = NULL;
    int count = 0, shown = 0;
    for (int j = 0; j < t->joint_count; j++)
        count += truss_displacement(t, j) > 0;
    *ret_count = count;
    for (int j = 0; j < t->joint_count && shown < NAMES_SHOWN && shown < count; j++) {
        if (!(truss_displacement(t, j) > 0))
            continue;
        shown++;
        bool is_last = shown == count;
        names =
            names ? arena_printf(arena, "%s%s%s", names, is_last ? " and " : ", ", t->joint[j].name)
                  : t->joint[j].name;
        if (!names)
            break;
    }
    if (names && count > shown)
        names = arena_printf(arena, "%s and %d more", names, count - shown);
    return names ? names : "";
}

const char *truss_motion_text(const struct truss *t)
{
    static const char *const words[3][2] = {
        {"+x", "\xe2\x88\x92x"}, {"+y", "\xe2\x88\x92y"}, {"+z", "\xe2\x88\x92z"}};
    const char *text = NULL;
    int shown = 0;
    for (int j = 0; j < t->joint_count && shown < NAMES_SHOWN && t->freedoms == 1; j++) {
        const double *d = &t->motion[t->axes * j];
        int along = -1, parts = 0;
        for (int axis = 0; axis < t->axes; axis++)
            if (d[axis] != 0) {
                along = axis;
                parts++;
            }
        if (parts != 1)
            continue;
        text = arena_printf(t->w->arena, "%s%s along %s", text ? text : " It begins to move: ",
                            shown++ ? arena_printf(t->w->arena, ", %s", t->joint[j].name)
                                    : t->joint[j].name,
                            words[along][d[along] < 0]);
    }
    if (!text)
        return "";
    text = arena_printf(t->w->arena, "%s.", text);
    return text ? text : "";
}

/* In how many ways the supports let a rigid body move: what is left of 3 (in space 6) motions. */
static int rigid_freedoms(struct truss *t)
{
    const struct field *f = t->w->field;
    int motions = t->axes == 3 ? 6 : 3;
    struct linear *l = linear_new(t->w->arena, f, motions, t->unknown_count - t->member_count, 0);
    if (!l)
        return 0;
    for (int i = t->member_count; i < t->unknown_count; i++) {
        struct exact force = truss_direction(t, i);
        struct exact arm = exact_sub(f, exact_of(t->w, t->joint[t->unknown[i].joint[0]].place),
                                     exact_of(t->w, t->joint[0].place));
        struct exact moment = exact_cross(f, arm, force);
        for (int axis = 0; axis < t->axes; axis++)
            linear_add(l, axis, i - t->member_count, force.c[axis]);
        for (int k = t->axes; k < motions; k++)
            linear_add(l, k, i - t->member_count, moment.c[t->axes == 3 ? k - 3 : 2]);
    }
    enum linear_code code = linear_solve(l, NULL, LIMIT_TRUSS_OPERATIONS);
    return code == LINEAR_SOLVED ? motions - linear_rank(l) : 0;
}

struct phrase truss_mechanism_text(struct truss *t)
{
    int count;
    const char *names = moving_joints(t, &count);
    int rigid = rigid_freedoms(t);
    if (t->unknown_count == t->member_count && rigid >= t->freedoms)
        return PLAIN("The truss has no supports: it can move as one body, and its members keep "
                     "their lengths.");
    if (rigid >= t->freedoms)
        return PLAIN("The supports do not hold the truss: it can move as one body, and its "
                     "members keep their lengths.");
    if (rigid > 0)
        return PHRASE("The supports do not hold the truss, and its members do not hold its shape: "
                      "{} can move while every member keeps its length.",
                      arg_name(names));
    if (count == 1)
        return PHRASE("Joint {} can move while every member keeps its length.", arg_name(names));
    return PHRASE("Joints {} can move while every member keeps its length.", arg_name(names));
}
