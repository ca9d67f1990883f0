/* truss_cut.c: the section that is asked for. */
#include "statics/notes.h"
#include "statics/truss_sight.h"

/* Each joint is on side 1 or 2: members that are not cut join joints of one side, those that are
 * cut joints of two. */
static void colour(const struct truss *t, const bool *is_cut, int *side, int *stack, int start)
{
    int top = 0;
    stack[top++] = start;
    while (top > 0) {
        int joint = stack[--top];
        struct truss_list list = t->joint[joint].unknowns;
        for (int k = 0; k < list.count; k++) {
            int i = truss_entry(t, list, k);
            if (!truss_is_member(t, i))
                continue;
            int other = truss_other_joint(t, i, joint);
            if (side[other])
                continue;
            side[other] = is_cut[i] ? 3 - side[joint] : side[joint];
            stack[top++] = other;
        }
    }
}

static bool is_divided(const struct truss *t, const bool *is_cut, const int *side)
{
    for (int i = 0; i < t->member_count; i++) {
        const int *joint = t->unknown[i].joint;
        if ((side[joint[0]] != side[joint[1]]) != is_cut[i])
            return false;
    }
    return true;
}

/* The side that is taken: with fewer parts of supports, then with fewer joints. */
static int better_side(const struct truss *t, const int *side)
{
    int joints[3] = {0}, parts[3] = {0};
    for (int j = 0; j < t->joint_count; j++)
        joints[side[j]]++;
    for (int i = t->member_count; i < t->unknown_count; i++)
        parts[side[t->unknown[i].joint[0]]]++;
    if (parts[1] != parts[2])
        return parts[1] < parts[2] ? 1 : 2;
    return joints[1] <= joints[2] ? 1 : 2;
}

bool truss_divide(struct truss *t)
{
    struct arena *arena = t->w->arena;
    size_t joints = (size_t)t->joint_count + 1;
    bool *is_cut = arena_alloc(arena, ((size_t)t->member_count + 1) * sizeof *is_cut);
    int *side = arena_alloc(arena, joints * sizeof *side);
    int *stack = arena_alloc(arena, joints * sizeof *stack);
    if (!is_cut || !side || !stack) {
        t->w->failed = true;
        return true;
    }
    for (int k = 0; k < t->input->cut_count; k++)
        is_cut[t->input->cut[k]] = true;
    for (int j = 0; j < t->joint_count; j++)
        if (!side[j]) {
            side[j] = 1;
            colour(t, is_cut, side, stack, j);
        }
    t->side = side;
    t->side_taken = better_side(t, side);
    return is_divided(t, is_cut, side);
}

/* Which force of the cut is looked for. */
struct search {
    struct order *o;
    const struct part *p;
    int target;
    const bool *was_open; /* when the section was made */
    bool is_strict;
};

/* In this sight the target counts, and of the others none that is open (strictly: none that was
 * open when the section was made). */
static bool sees_alone(const struct search *f, struct sight *s)
{
    const struct part *p = f->p;
    if (!sight_look(f->o, s) || !sight_counts(f->o, s, p->unknown[f->target]))
        return false;
    for (int k = 0; k < p->cut.h.count; k++) {
        bool matters = f->is_strict ? f->was_open[k] : (p->cut.h.open >> k & 1);
        if (k != f->target && matters && sight_counts(f->o, s, p->unknown[k]))
            return false;
    }
    return true;
}

static bool find_axis(const struct search *f, struct sight *s)
{
    for (int axis = 0; axis < f->o->t->axes; axis++) {
        *s = (struct sight){.kind = SIGHT_AXIS, .a = axis};
        if (sees_alone(f, s))
            return true;
    }
    return false;
}

/* By two forces that were open: where they meet, or square to both. */
static bool find_by_two(const struct search *f, enum sight_kind kind, struct sight *s)
{
    const struct part *p = f->p;
    for (int k = 0; k < p->cut.h.count; k++)
        for (int m = k + 1; m < p->cut.h.count; m++) {
            *s = (struct sight){.kind = kind, .a = p->unknown[k], .b = p->unknown[m]};
            if (f->was_open[k] && f->was_open[m] && sees_alone(f, s))
                return true;
        }
    return false;
}

static bool find_in_plane(const struct search *f, struct sight *s)
{
    for (int j = 0; j < f->o->t->joint_count; j++) {
        *s = (struct sight){.kind = SIGHT_POINT, .a = j};
        if (sees_alone(f, s))
            return true;
    }
    if (find_axis(f, s))
        return true;
    for (int k = 0; k < f->p->cut.h.count; k++) {
        *s = (struct sight){.kind = SIGHT_SQUARE, .a = f->p->unknown[k]};
        if (f->was_open[k] && sees_alone(f, s))
            return true;
    }
    return find_by_two(f, SIGHT_MEETING, s);
}

static bool find_in_space(const struct search *f, struct sight *s)
{
    int joints = f->o->t->joint_count;
    if (find_axis(f, s))
        return true;
    for (int a = 0; a < joints; a++)
        for (int b = a + 1; b < joints; b++) {
            *s = (struct sight){.kind = SIGHT_LINE, .a = a, .b = b};
            if (sees_alone(f, s))
                return true;
        }
    for (int a = 0; a < joints; a++)
        for (int k = 0; k < f->p->cut.h.count; k++) {
            *s = (struct sight){.kind = SIGHT_ALONG, .a = a, .b = f->p->unknown[k]};
            if (f->was_open[k] && sees_alone(f, s))
                return true;
        }
    return find_by_two(f, SIGHT_NORMAL, s);
}

/* One force by one equation; false: there is none for it. */
static bool solve_target(struct order *o, struct part *p, int target, const bool *was_open,
                         bool is_strict)
{
    struct sight s;
    struct equation e;
    struct search f = {o, p, target, was_open, is_strict};
    bool is_found = o->t->axes == 2 ? find_in_plane(&f, &s) : find_in_space(&f, &s);
    if (!is_found || !sight_write(o, p, &s, &e))
        return false;
    struct candidate c = hand_candidate(&p->cut.h, &e);
    if ((c.unknowns & p->cut.h.open) != (uint64_t)1 << target)
        return false;
    uint64_t open = p->cut.h.open;
    for (int k = 0; k < p->cut.h.count && is_strict; k++)
        p->cut.h.open |= (uint64_t)was_open[k] << k; /* it needs none of those found before */
    hand_solve_single(&p->cut.h, &c);
    p->cut.h.open = open & ~((uint64_t)1 << target);
    return true;
}

/* First each by an equation that holds it alone, then with what has been found. */
static void solve_cut(struct order *o, struct part *p)
{
    bool was_open[HAND_COLUMNS_MAX];
    for (int k = 0; k < p->cut.h.count; k++)
        was_open[k] = p->cut.h.open >> k & 1;
    for (bool is_new = true, is_strict = true; is_new || is_strict;) {
        is_new = false;
        for (int k = 0; k < p->cut.h.count && !o->w->failed; k++)
            if (p->cut.h.open >> k & 1)
                is_new = solve_target(o, p, k, was_open, is_strict) || is_new;
        is_strict = false;
        if (o->w->failed)
            return;
    }
    int rows[HAND_COLUMNS_MAX], equations = o->t->axes == 2 ? 3 : 6;
    int open = __builtin_popcountll(p->cut.h.open);
    struct candidates usual;
    if (open < 2 || open > equations)
        return;
    hand_usual(&p->cut.h, &usual);
    uint64_t group = hand_group(&p->cut.h, &usual, rows);
    if (group)
        hand_solve_together(&p->cut.h, &usual, group, rows, __builtin_popcountll(group));
}

static void note_missing(struct order *o)
{
    const struct truss *t = o->t;
    int count = 0, open = 0;
    int *member = arena_alloc(o->w->arena, ((size_t)t->input->cut_count + 1) * sizeof *member);
    if (!member) {
        o->w->failed = true;
        return;
    }
    for (int k = 0; k < t->input->cut_count; k++) {
        int i = t->input->cut[k];
        open += !t->unknown[i].is_by_inspection;
        if (order_is_open(o, i) && t->unknown[i].is_fixed)
            member[count++] = i;
    }
    if (count == 0)
        return;
    note_add(o->w, NOTE_SECTION_LEAVES_OPEN,
             PHRASE("This section by itself leaves {} open: it cuts {} members with unknown "
                    "forces, and a body has {} equations. A joint or another section has to give "
                    "one of them first. The values are those of all joints together.",
                    arg_name(order_names(o, member, count)), arg_count(open),
                    arg_count(t->axes == 2 ? 3 : 6)));
}

void order_by_cut(struct order *o)
{
    const struct order_values values = {.value = o->value, .letter = "F"};
    struct truss *t = o->t;
    struct work *w = o->w;
    struct part p;
    int parts = 0;
    for (int i = t->member_count; i < t->unknown_count; i++)
        parts += t->side[t->unknown[i].joint[0]] == t->side_taken;
    if (parts > 0)
        order_by_whole(o);
    for (int j = 0; j < t->joint_count; j++)
        o->side[j] = t->side[j] == t->side_taken;
    const char *joints = part_joints(o);
    work_section(
        w,
        PHRASE("Section through {}", arg_name(order_names(o, t->input->cut, t->input->cut_count))),
        PHRASE("The cut divides the truss; the part with {} is taken, with the forces of "
               "the members that are cut, in tension.",
               arg_name(joints ? joints : "")));
    if (part_cut(o, &values, &p)) {
        solve_cut(o, &p);
        t->found_by[TRUSS_BY_SECTION] += part_take(o, &p, o->value);
        if (p.cut.h.open == 0)
            cut_check_joint(&p.cut, PLAIN("Check of the section"));
    }
    part_clear(o);
    note_missing(o);
}
