/* truss_read.c: joints, members, supports and loads of a truss. */
#include <math.h>
#include <stdlib.h>

#include "statics/point.h"
#include "statics/truss.h"

/* Two joints whose coordinates differ by less than this part of the truss are looked at exactly. */
#define NEAR 1e-9

bool truss_is_shown(const struct truss *t) { return t->joint_count <= TRUSS_SHOWN_JOINTS; }

static void *take(struct truss *t, int count, size_t size)
{
    void *room = arena_alloc(t->w->arena, ((size_t)count + 1) * size);
    if (!room)
        t->w->failed = true;
    return room;
}

/* ---- joints ---- */

static void read_joints(struct truss *t)
{
    t->joint = take(t, t->joint_count, sizeof *t->joint);
    for (int j = 0; t->joint && j < t->joint_count; j++) {
        t->joint[j].name = t->input->loads.point[j].name;
        t->joint[j].place = point_place(&t->board, j);
    }
}

/* Where a joint lies along a line on which no two joints of an ordinary truss fall together. */
struct shadow {
    double at;
    int joint;
};

static int compare_shadows(const void *left, const void *right)
{
    const struct shadow *a = left, *b = right;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return (a->joint > b->joint) - (a->joint < b->joint);
}

/* Joints that come out at one place, however that was said. */
static void check_places(struct truss *t)
{
    static const double line[3] = {0.6180339887498949, 0.7548776662466927, 0.2205694304005904};
    struct work *w = t->w;
    struct shadow *shadow = take(t, t->joint_count, sizeof *shadow);
    double extent = 0;
    if (!shadow)
        return;
    for (int j = 0; j < t->joint_count; j++) {
        shadow[j].joint = j;
        for (int axis = 0; axis < t->axes; axis++) {
            double x = q_value(w, qv_component(w, t->joint[j].place, axis));
            shadow[j].at += line[axis] * x;
            extent = fmax(extent, fabs(x));
        }
    }
    qsort(shadow, (size_t)t->joint_count, sizeof *shadow, compare_shadows);
    for (int i = 0; i < t->joint_count; i++)
        for (int k = i + 1; k < t->joint_count && !(shadow[k].at - shadow[i].at > NEAR * extent);
             k++) {
            int first = shadow[i].joint, second = shadow[k].joint;
            struct exact apart = exact_sub(w->field, exact_of(w, t->joint[second].place),
                                           exact_of(w, t->joint[first].place));
            if (!exact_is_zero(apart))
                continue;
            int later = first > second ? first : second, earlier = first + second - later;
            problem_fault(t->board.reterr, t->input->loads.point[later].pointer,
                          FAULT_JOINTS_COINCIDE,
                          "Joint %s lies where joint %s is: move one of them, or make one joint "
                          "of the two.",
                          t->joint[later].name, t->joint[earlier].name);
        }
}

/* ---- loads ---- */

static void read_loads(struct truss *t)
{
    const struct loads_input *in = &t->input->loads;
    t->load = take(t, in->force_count, sizeof *t->load);
    if (!t->load || in->force_count == 0)
        return;
    work_section(t->w, PLAIN("Loads"), PLAIN("Forces add by their components."));
    for (int i = 0; i < in->force_count; i++)
        if (force_load(&t->board, &in->force[i], &t->load[t->load_count]))
            t->load_count++;
}

/* ---- unknowns ---- */

static void reserve_names(struct truss *t)
{
    for (int i = 0; i < t->input->support_count; i++)
        work_reserve(t->w, t->input->support[i].name);
}

static void read_supports(struct truss *t)
{
    int count = t->input->support_count;
    t->reaction = take(t, count, sizeof *t->reaction);
    t->first_part = take(t, count, sizeof *t->first_part);
    if (!t->reaction || !t->first_part)
        return;
    t->unknown_count = t->member_count;
    for (int i = 0; i < count; i++) {
        t->first_part[i] = t->unknown_count;
        if (reaction_of(&t->board, &t->input->support[i], &t->reaction[i]))
            t->unknown_count += t->reaction[i].count;
    }
}

static void list_unknowns(struct truss *t)
{
    t->unknown = take(t, t->unknown_count, sizeof *t->unknown);
    if (!t->unknown)
        return;
    for (int i = 0; i < t->member_count; i++) {
        const struct truss_member_input *in = &t->input->member[i];
        t->unknown[i] =
            (struct truss_unknown){.name = in->name, .joint = {in->joint[0], in->joint[1]}};
    }
    for (int i = 0; i < t->input->support_count; i++)
        for (int k = 0; k < t->reaction[i].count; k++)
            t->unknown[t->first_part[i] + k] =
                (struct truss_unknown){.name = t->reaction[i].part[k].text,
                                       .part = &t->reaction[i].part[k],
                                       .joint = {t->input->support[i].at, -1}};
    for (int i = 0; i < t->unknown_count; i++)
        t->unknown[i].length = exact_length(truss_direction(t, i));
}

/* ---- what acts on each joint ---- */

static void enter(struct truss *t, struct truss_list *list, int what)
{
    t->lists[list->first + list->count++] = what;
}

static void list_by_joint(struct truss *t)
{
    t->lists = take(t, t->joint_count + 2 * t->member_count + t->unknown_count + t->load_count,
                    sizeof *t->lists);
    if (t->w->failed)
        return;
    for (int i = 0; i < t->unknown_count; i++)
        for (int end = 0; end < (truss_is_member(t, i) ? 2 : 1); end++)
            t->joint[t->unknown[i].joint[end]].unknowns.count++;
    for (int i = 0; i < t->load_count; i++)
        t->joint[t->load[i].at].loads.count++;
    int used = 0;
    for (int j = 0; j < t->joint_count; j++) {
        struct truss_joint *joint = &t->joint[j];
        joint->unknowns.first = used;
        used += joint->unknowns.count;
        joint->loads.first = used;
        used += joint->loads.count;
        joint->unknowns.count = joint->loads.count = 0;
    }
    t->ordered = used;
    for (int i = 0; i < t->unknown_count; i++)
        for (int end = 0; end < (truss_is_member(t, i) ? 2 : 1); end++)
            enter(t, &t->joint[t->unknown[i].joint[end]].unknowns, i);
    for (int i = 0; i < t->load_count; i++)
        enter(t, &t->joint[t->load[i].at].loads, i);
}

/* About how many numbers a large truss puts on the tape: coordinates, and with names the components
 * of loads, the forces of members and supports. */
static void expect_numbers(const struct truss *t)
{
    const struct truss_input *input = t->input;
    int named =
        t->axes * input->loads.force_count + t->member_count + 4 * t->axes * input->support_count;
    int numbers = named + t->axes * (t->joint_count + input->loads.force_count);
    work_expect(t->w, (uint32_t)numbers + 1, (uint32_t)named + 1);
}

bool truss_read(struct truss *t, struct work *w, const struct truss_input *input,
                struct problem *reterr)
{
    *t = (struct truss){.w = w,
                        .input = input,
                        .axes = input->loads.space ? 3 : 2,
                        .joint_count = input->joint_count,
                        .member_count = input->member_count};
    w->numbers_only = w->numbers_only || !truss_is_shown(t);
    if (!truss_is_shown(t))
        expect_numbers(t);
    board_begin(&t->board, w, &input->loads, reterr);
    t->board.is_body = true;
    if (w->failed)
        return false;
    reserve_names(t);
    read_joints(t);
    if (w->failed || board_has_faults(&t->board))
        return false;
    check_places(t);
    read_loads(t);
    read_supports(t);
    if (w->failed || board_has_faults(&t->board))
        return false;
    list_unknowns(t);
    if (w->failed)
        return false;
    list_by_joint(t);
    return !w->failed;
}

/* ---- directions and loads as exact numbers ---- */

struct exact truss_direction(const struct truss *t, int unknown)
{
    const struct truss_unknown *u = &t->unknown[unknown];
    const struct work *w = t->w;
    if (u->part)
        return exact_line(w, &u->part->aim);
    return exact_sub(w->field, exact_of(w, t->joint[u->joint[1]].place),
                     exact_of(w, t->joint[u->joint[0]].place));
}

void truss_line(const struct truss *t, int unknown, double ret_direction[3])
{
    struct exact d = truss_direction(t, unknown);
    for (int axis = 0; axis < 3; axis++)
        ret_direction[axis] = d.c[axis].value;
}

struct exact truss_direction_at(const struct truss *t, int unknown, int joint)
{
    struct exact d = truss_direction(t, unknown);
    for (int axis = 0; axis < t->axes && t->unknown[unknown].joint[0] != joint; axis++)
        d.c[axis] = num_neg(t->w->field, d.c[axis]);
    return d;
}

struct exact truss_load_at(const struct truss *t, int joint)
{
    struct exact sum = exact_zero(t->w->field);
    struct truss_list loads = t->joint[joint].loads;
    for (int i = 0; i < loads.count; i++)
        sum = exact_add(t->w->field, sum, exact_of(t->w, t->load[truss_entry(t, loads, i)].vector));
    return sum;
}
