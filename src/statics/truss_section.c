/* truss_section.c: one equation on one part of a truss that holds one unknown alone.
 *
 * About a point, or square to a direction, only the unknowns that do not pass through it count.
 * In the graph of joints (and the ground) joined by these, an edge that alone holds two parts
 * together is alone in the equation of either part: all bridges of the graph are found in one walk.
 * In the plane the points are joints and meetings of two lines, the directions those square to an
 * unknown; in space moments are taken about lines through joints. */
#include "statics/truss_sight.h"

struct plan;
struct graph {
    struct order *o;
    struct plan *of; /* of each unknown; NULL: one for whatever can be found */
    bool *is_edge;   /* of each unknown */
    int *number, *low, *parent_edge, *next, *size; /* of each joint, and of the ground */
    int *stack;
    int ground;
};

static bool graph_new(struct graph *g, struct order *o)
{
    size_t nodes = (size_t)o->t->joint_count + 2;
    struct arena *arena = o->w->arena;
    *g = (struct graph){.o = o, .ground = o->t->joint_count};
    g->is_edge = arena_alloc(arena, ((size_t)o->t->unknown_count + 1) * sizeof *g->is_edge);
    int *room = arena_alloc(arena, 6 * nodes * sizeof *room);
    if (!g->is_edge || !room) {
        o->w->failed = true;
        return false;
    }
    g->number = room;
    g->low = room + nodes;
    g->parent_edge = room + 2 * nodes;
    g->next = room + 3 * nodes;
    g->size = room + 4 * nodes;
    g->stack = room + 5 * nodes;
    return true;
}

static int other_end(const struct graph *g, int unknown, int node)
{
    const struct truss *t = g->o->t;
    if (truss_is_member(t, unknown))
        return truss_other_joint(t, unknown, node);
    return node == g->ground ? t->unknown[unknown].joint[0] : g->ground;
}

/* The k-th unknown at a node; −1: no more. */
static int edge_at(const struct graph *g, int node, int k)
{
    const struct truss *t = g->o->t;
    if (node == g->ground)
        return t->member_count + k < t->unknown_count ? t->member_count + k : -1;
    return k < t->joint[node].unknowns.count ? truss_entry(t, t->joint[node].unknowns, k) : -1;
}

struct plan {
    struct sight sight;
    int unknown; /* −1: none */
    int joint;   /* of the part that is cut free: its end of the unknown */
    int crossing, class, joints;
    bool is_wanted; /* one of struct graph's `of` */
};

/* The joints of the part on one side of the unknown, as o->side: all that hang together with
 * `joint` by edges other than it. How many; 0 where the ground is among them. */
static int mark_part(struct graph *g, int unknown, int joint)
{
    struct order *o = g->o;
    int top = 0, count = 0;
    for (int j = 0; j < o->t->joint_count; j++)
        o->side[j] = 0;
    o->side[joint] = 1;
    g->stack[top++] = joint;
    while (top > 0) {
        int node = g->stack[--top];
        count++;
        for (int k = 0, i; (i = edge_at(g, node, k)) >= 0; k++) {
            if (i == unknown || !g->is_edge[i])
                continue;
            int other = other_end(g, i, node);
            if (other == g->ground)
                return 0;
            if (o->side[other])
                continue;
            o->side[other] = 1;
            g->stack[top++] = other;
        }
    }
    return count;
}

static int crossing_members(const struct order *o, int *ret_member)
{
    const struct truss *t = o->t;
    int count = 0;
    for (int i = 0; i < t->member_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        bool is_zero = u->is_by_inspection && !order_is_open(o, i);
        if (o->side[u->joint[0]] == o->side[u->joint[1]] || is_zero)
            continue;
        if (ret_member)
            ret_member[count] = i;
        count++;
    }
    return count;
}

/* With the fewer members cut, by the plainer equation, with the smaller part. */
static bool is_better(const struct plan *a, const struct plan *b)
{
    if (b->unknown < 0 || a->crossing != b->crossing)
        return b->unknown < 0 || a->crossing < b->crossing;
    if (a->class != b->class)
        return a->class < b->class;
    return a->joints < b->joints;
}

/* A bridge: an equation of the part at its end. */
static void consider(struct graph *g, const struct sight *s, int class, int unknown, int end,
                     struct plan *best)
{
    struct order *o = g->o;
    uint64_t work = (uint64_t)(o->t->joint_count + o->t->unknown_count);
    if (end == g->ground || !o->t->unknown[unknown].is_fixed || !order_spend(o, work))
        return;
    best = g->of ? &g->of[unknown] : best;
    int joints = mark_part(g, unknown, end);
    if (joints > 0) {
        struct plan fresh = {*s,     unknown,        end, crossing_members(o, NULL), class,
                             joints, best->is_wanted};
        if (is_better(&fresh, best))
            *best = fresh;
    }
    part_clear(o);
}

static void consider_both_ends(struct graph *g, const struct sight *s, int class, int unknown,
                               struct plan *best)
{
    const struct truss_unknown *u = &g->o->t->unknown[unknown];
    if (g->of && !g->of[unknown].is_wanted)
        return;
    for (int end = 0; end < (u->part ? 1 : 2); end++)
        consider(g, s, class, unknown, u->joint[end], best);
}

static void enter(struct graph *g, int node, int edge, int *clock)
{
    g->number[node] = g->low[node] = ++*clock;
    g->parent_edge[node] = edge;
    g->next[node] = 0;
}

/* All bridges reached from a node (Tarjan's walk, without recursion). */
static void walk(struct graph *g, int start, int *clock, const struct sight *s, int class,
                 struct plan *best)
{
    int top = 0, *path = g->size;
    enter(g, start, -1, clock);
    path[top++] = start;
    while (top > 0) {
        int node = path[top - 1], i = edge_at(g, node, g->next[node]++);
        if (i >= 0) {
            if (!g->is_edge[i] || i == g->parent_edge[node])
                continue;
            int other = other_end(g, i, node);
            if (g->number[other] == 0) {
                enter(g, other, i, clock);
                path[top++] = other;
            } else if (g->number[other] < g->low[node]) {
                g->low[node] = g->number[other];
            }
            continue;
        }
        top--;
        if (top == 0)
            continue;
        int parent = path[top - 1];
        if (g->low[node] < g->low[parent])
            g->low[parent] = g->low[node];
        if (g->low[node] > g->number[parent])
            consider_both_ends(g, s, class, g->parent_edge[node], best);
    }
}

/* All equations of one sight. False: the budget is used up. */
static bool search(struct graph *g, struct sight *s, int class, struct plan *best)
{
    struct order *o = g->o;
    const struct truss *t = o->t;
    int clock = 0;
    if (!order_spend(o, (uint64_t)(3 * t->unknown_count + 2 * t->joint_count)))
        return false;
    if (!sight_look(o, s))
        return true;
    for (int i = 0; i < t->unknown_count; i++)
        g->is_edge[i] = order_is_open(o, i) && sight_counts(o, s, i);
    for (int node = 0; node <= g->ground; node++)
        g->number[node] = 0;
    for (int node = 0; node <= g->ground; node++)
        if (g->number[node] == 0)
            walk(g, node, &clock, s, class, best);
    return true;
}

/* Open unknowns, one of each direction. */
static int list_directions(const struct order *o, int *ret_unknown)
{
    int count = 0;
    for (int i = 0; i < o->t->unknown_count; i++) {
        bool is_new = order_is_open(o, i);
        for (int k = 0; k < count && is_new; k++) {
            const double *a = o->direction[i], *b = o->direction[ret_unknown[k]];
            double across = hypot(hypot(a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2]),
                                  a[0] * b[1] - a[1] * b[0]);
            is_new = !(across < 1e-13);
        }
        if (is_new)
            ret_unknown[count++] = i;
    }
    return count;
}

static bool search_plane(struct graph *g, const int *direction, int directions, struct plan *best)
{
    struct order *o = g->o;
    for (int j = 0; j < o->t->joint_count; j++)
        if (!search(g, &(struct sight){.kind = SIGHT_POINT, .a = j}, 0, best))
            return false;
    for (int axis = 0; axis < 2; axis++)
        if (!search(g, &(struct sight){.kind = SIGHT_AXIS, .a = axis}, 1, best))
            return false;
    for (int k = 0; k < directions; k++)
        if (!search(g, &(struct sight){.kind = SIGHT_SQUARE, .a = direction[k]}, 2, best))
            return false;
    for (int a = 0; a < o->t->unknown_count && best->unknown < 0; a++)
        for (int b = a + 1; b < o->t->unknown_count && order_is_open(o, a); b++)
            if (order_is_open(o, b) &&
                !search(g, &(struct sight){.kind = SIGHT_MEETING, .a = a, .b = b}, 3, best))
                return false;
    return true;
}

static bool search_space(struct graph *g, const int *direction, int directions, struct plan *best)
{
    struct order *o = g->o;
    for (int axis = 0; axis < 3; axis++)
        if (!search(g, &(struct sight){.kind = SIGHT_AXIS, .a = axis}, 0, best))
            return false;
    for (int a = 0; a < o->t->joint_count; a++)
        for (int b = a + 1; b < o->t->joint_count; b++)
            if (!search(g, &(struct sight){.kind = SIGHT_LINE, .a = a, .b = b}, 1, best))
                return false;
    for (int a = 0; a < o->t->joint_count && best->unknown < 0; a++)
        for (int k = 0; k < directions; k++)
            if (!search(g, &(struct sight){.kind = SIGHT_ALONG, .a = a, .b = direction[k]}, 2,
                        best))
                return false;
    for (int a = 0; a < directions && best->unknown < 0; a++)
        for (int b = a + 1; b < directions; b++)
            if (!search(g,
                        &(struct sight){.kind = SIGHT_NORMAL, .a = direction[a], .b = direction[b]},
                        3, best))
                return false;
    return true;
}

/* What comes to mind first, for many members at once: moments about joints (in space about
 * members), sums along the axes. */
static void search_plain(struct graph *g)
{
    const struct truss *t = g->o->t;
    for (int axis = 0; axis < t->axes; axis++)
        search(g, &(struct sight){.kind = SIGHT_AXIS, .a = axis}, 0, NULL);
    for (int j = 0; j < t->joint_count && t->axes == 2; j++)
        search(g, &(struct sight){.kind = SIGHT_POINT, .a = j}, 0, NULL);
    for (int i = 0; i < t->member_count && t->axes == 3; i++) {
        const int *joint = t->unknown[i].joint;
        search(g, &(struct sight){.kind = SIGHT_LINE, .a = joint[0], .b = joint[1]}, 1, NULL);
    }
}

/* The equation is the one that is written, by its axis or its lines: where long decimals leave open
 * whether a force is in it, what was looked along is a little beside them. */
static void take_as_written(const struct cut *c, struct equation *e)
{
    const struct field *f = c->a.b->w->field;
    const struct pull *first = e->line[0] < 0 ? NULL : &c->a.pull[e->line[0]];
    const struct pull *second = e->line[1] < 0 ? NULL : &c->a.pull[e->line[1]];
    if (e->axis >= 0)
        e->direction = exact_axis(f, e->axis);
    else if (first && e->is_moment)
        e->direction = first->force;
    else if (first)
        e->direction = exact_cross(f, second ? second->force : exact_axis(f, 2), first->force);
    if (first && second && e->is_moment)
        hand_meeting(&c->a, first, second, &e->centre);
}

/* "A, B and F"; many: "9 joints". */
static void open_section(struct order *o)
{
    struct work *w = o->w;
    int *member = arena_alloc(w->arena, ((size_t)o->t->member_count + 1) * sizeof *member);
    if (!member) {
        w->failed = true;
        return;
    }
    int count = crossing_members(o, member);
    if (count == 0) {
        work_section(w, PLAIN("The whole truss"),
                     PLAIN("Every joint that is left has more unknown forces than equations."));
        return;
    }
    const char *joints = part_joints(o);
    work_section(w, PHRASE("Section through {}", arg_name(order_names(o, member, count))),
                 PHRASE("Every joint that is left has more unknown forces than equations. This cut "
                        "frees the part with {}, which is in equilibrium by itself.",
                        arg_name(joints ? joints : "")));
}

static bool work_plan(struct order *o, struct graph *g, struct plan *plan)
{
    const struct order_values values = {.value = o->value, .letter = "F"};
    struct part p;
    struct equation e;
    for (int i = 0; i < o->t->unknown_count; i++)
        g->is_edge[i] = order_is_open(o, i) && sight_counts(o, &plan->sight, i);
    int found = 0;
    if (mark_part(g, plan->unknown, plan->joint) > 0) {
        open_section(o);
        if (part_cut(o, &values, &p) && sight_write(o, &p, &plan->sight, &e)) {
            take_as_written(&p.cut, &e);
            struct candidate c = hand_candidate(&p.cut.h, &e);
            if (__builtin_popcountll(c.unknowns & p.cut.h.open) == 1) {
                hand_solve_single(&p.cut.h, &c);
                found = part_take(o, &p, o->value);
            }
        }
    }
    part_clear(o);
    o->t->found_by[TRUSS_BY_SECTION] += found;
    return found > 0 && !o->w->failed;
}

void order_by_sections_of_their_own(struct order *o, const bool *is_wanted, q *ret_value)
{
    const struct truss *t = o->t;
    struct graph g;
    if (!graph_new(&g, o))
        return;
    g.of = arena_alloc(o->w->arena, ((size_t)t->unknown_count + 1) * sizeof *g.of);
    if (!g.of) {
        o->w->failed = true;
        return;
    }
    for (int i = 0; i < t->unknown_count; i++)
        g.of[i] = (struct plan){.unknown = -1, .is_wanted = is_wanted[i]};
    search_plain(&g);
    for (int i = 0; i < t->unknown_count && !o->w->failed; i++)
        if (g.of[i].unknown == i && work_plan(o, &g, &g.of[i])) {
            ret_value[i] = o->value[i];
            o->value[i] = (q){0};
        }
}

bool order_by_section(struct order *o)
{
    struct graph g;
    struct plan best = {.unknown = -1};
    int *direction =
        arena_alloc(o->w->arena, ((size_t)o->t->unknown_count + 1) * sizeof *direction);
    if (!direction || !graph_new(&g, o))
        return false;
    int directions = list_directions(o, direction);
    if (o->t->axes == 2)
        search_plane(&g, direction, directions, &best);
    else
        search_space(&g, direction, directions, &best);
    return best.unknown >= 0 && work_plan(o, &g, &best);
}
