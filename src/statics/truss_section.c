/* truss_section.c: one equation on one part of a truss that holds one unknown alone.
 *
 * About a point, or square to a direction, only the unknowns that do not pass through it count.
 * In the graph of joints (and the ground) joined by these, an edge that alone holds two parts
 * together is alone in the equation of either part: all bridges of the graph are found in one walk.
 * In the plane the points are joints and meetings of two lines, the directions those square to an
 * unknown; in space moments are taken about lines through joints. */
#include <math.h>

#include "statics/notes.h"
#include "statics/truss_order.h"

/* Farther from zero than this, of the truss's size, a moment is not asked exactly. */
#define NEAR 1e-6

/* ---- which equation ---- */

struct sight {
    enum {
        SIGHT_POINT,   /* moments about joint a */
        SIGHT_SQUARE,  /* plane: forces square to unknown a */
        SIGHT_NORMAL,  /* space: forces square to unknowns a and b */
        SIGHT_AXIS,    /* forces along axis a */
        SIGHT_MEETING, /* plane: moments about the point where unknowns a and b meet */
        SIGHT_LINE,    /* space: moments about the line through joints a and b */
        SIGHT_ALONG    /* space: … through joint a along unknown b */
    } kind;
    int a, b;
    struct exact centre, direction; /* as far as it has them */
    double at[3], along[3];         /* the same in doubles, along of length 1 */
};

static void to_doubles(struct sight *s)
{
    double length = exact_length(s->direction);
    for (int axis = 0; axis < 3; axis++) {
        s->at[axis] = s->centre.c[axis].value;
        s->along[axis] = length > 0 ? s->direction.c[axis].value / length : 0;
    }
}

/* False: there is no such point or direction. */
static bool look(const struct order *o, struct sight *s)
{
    const struct field *f = o->w->field;
    const struct truss *t = o->t;
    s->centre = s->direction = exact_zero(f);
    switch (s->kind) {
    case SIGHT_POINT:
        s->centre = o->place[s->a];
        s->direction = exact_axis(f, 2);
        break;
    case SIGHT_SQUARE:
        s->direction = exact_cross(f, exact_axis(f, 2), o->line[s->a]);
        break;
    case SIGHT_NORMAL:
        s->direction = exact_cross(f, o->line[s->a], o->line[s->b]);
        break;
    case SIGHT_AXIS:
        s->direction = exact_axis(f, s->a);
        break;
    case SIGHT_MEETING: {
        struct exact from = o->place[t->unknown[s->a].joint[0]];
        struct exact to = o->place[t->unknown[s->b].joint[0]];
        struct num turn = exact_cross(f, o->line[s->a], o->line[s->b]).c[2];
        if (num_is_zero(turn))
            return false;
        struct num reach = exact_cross(f, exact_sub(f, to, from), o->line[s->b]).c[2];
        s->centre = exact_add(f, from, exact_scale(f, num_div(f, reach, turn), o->line[s->a]));
        s->direction = exact_axis(f, 2);
        break;
    }
    case SIGHT_LINE:
        s->centre = o->place[s->a];
        s->direction = exact_sub(f, o->place[s->b], s->centre);
        break;
    case SIGHT_ALONG:
        s->centre = o->place[s->a];
        s->direction = o->line[s->b];
        break;
    }
    if (exact_is_zero(s->direction))
        return false;
    to_doubles(s);
    return true;
}

static bool is_of_moments(const struct sight *s)
{
    return s->kind != SIGHT_SQUARE && s->kind != SIGHT_NORMAL && s->kind != SIGHT_AXIS;
}

/* Is the unknown in the equation? */
static bool counts(const struct order *o, const struct sight *s, int unknown)
{
    const struct field *f = o->w->field;
    const double *d = o->direction[unknown], *n = s->along;
    int joint = o->t->unknown[unknown].joint[0];
    if (!is_of_moments(s)) {
        if (fabs(d[0] * n[0] + d[1] * n[1] + d[2] * n[2]) > NEAR)
            return true;
        return !num_is_zero(exact_dot(f, o->line[unknown], s->direction));
    }
    double r[3];
    for (int axis = 0; axis < 3; axis++)
        r[axis] = o->at[joint][axis] - s->at[axis];
    double moment = (r[1] * d[2] - r[2] * d[1]) * n[0] + (r[2] * d[0] - r[0] * d[2]) * n[1] +
                    (r[0] * d[1] - r[1] * d[0]) * n[2];
    double size = fabs(r[0]) + fabs(r[1]) + fabs(r[2]) + o->extent;
    if (fabs(moment) > NEAR * size)
        return true;
    struct exact arm = exact_sub(f, o->place[joint], s->centre);
    return !num_is_zero(exact_dot(f, exact_cross(f, arm, o->line[unknown]), s->direction));
}

/* ---- bridges ---- */

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

static void clear_side(struct order *o)
{
    for (int j = 0; j < o->t->joint_count; j++)
        o->side[j] = 0;
}

/* The members that the part marked in o->side is cut from, but those known to be zero. */
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
    clear_side(o);
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
    if (!look(o, s))
        return true;
    for (int i = 0; i < t->unknown_count; i++)
        g->is_edge[i] = order_is_open(o, i) && counts(o, s, i);
    for (int node = 0; node <= g->ground; node++)
        g->number[node] = 0;
    for (int node = 0; node <= g->ground; node++)
        if (g->number[node] == 0)
            walk(g, node, &clock, s, class, best);
    return true;
}

/* ---- all sights ---- */

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

/* ---- the equation on the tape ---- */

static struct equation blank(void)
{
    return (struct equation){.axis = -1, .site = NO_SITE, .other = NO_SITE, .line = {-1, -1}};
}

/* Of the cut: an open force that is not in the equation (and not along another), or −1. */
static int absent(const struct part *p, const struct equation *e, int besides)
{
    const struct cut *c = &p->cut;
    const struct field *f = c->a.b->w->field;
    for (int k = 0; k < c->h.count; k++) {
        if (k == besides || !num_is_zero(hand_factor(&c->h, e, k)))
            continue;
        if (besides < 0 ||
            !exact_is_zero(exact_cross(f, c->a.pull[k].force, c->a.pull[besides].force)))
            return k;
    }
    return -1;
}

static int axis_of(struct exact direction)
{
    int along = -1, parts = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!num_is_zero(direction.c[axis])) {
            along = axis;
            parts++;
        }
    return parts == 1 ? along : -1;
}

static bool is_parallel(const struct field *f, struct exact a, struct exact b)
{
    return exact_is_zero(exact_cross(f, a, b));
}

/* What the equation is by: sites and forces of the cut. False: they are not there. */
static bool write_down(struct order *o, struct part *p, const struct sight *s, struct equation *e)
{
    const struct field *f = o->w->field;
    *e = blank();
    e->is_moment = is_of_moments(s);
    e->direction = s->direction;
    e->centre = s->centre;
    e->axis = o->t->axes == 2 && e->is_moment ? 2 : axis_of(s->direction);
    switch (s->kind) {
    case SIGHT_POINT:
        e->site = part_site(o, p, s->a);
        return true;
    case SIGHT_AXIS:
        return true;
    case SIGHT_SQUARE:
        e->line[0] = absent(p, e, -1);
        return e->axis >= 0 || e->line[0] >= 0;
    case SIGHT_NORMAL:
        e->line[0] = absent(p, e, -1);
        e->line[1] = e->line[0] < 0 ? -1 : absent(p, e, e->line[0]);
        return e->axis >= 0 || e->line[1] >= 0;
    case SIGHT_MEETING:
        e->line[0] = absent(p, e, -1);
        e->line[1] = e->line[0] < 0 ? -1 : absent(p, e, e->line[0]);
        return e->line[1] >= 0;
    case SIGHT_LINE:
        e->site = part_site(o, p, s->a);
        e->other = part_site(o, p, s->b);
        return true;
    case SIGHT_ALONG:
        e->site = part_site(o, p, s->a);
        for (int k = 0; k < p->cut.h.count && e->line[0] < 0; k++)
            if (is_parallel(f, p->cut.a.pull[k].force, s->direction))
                e->line[0] = k;
        return e->axis >= 0 || e->line[0] >= 0;
    }
    return false;
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
static const char *joints_of_part(struct order *o)
{
    const struct truss *t = o->t;
    const char *names = NULL;
    int count = 0;
    for (int j = 0; j < t->joint_count; j++)
        count += o->side[j];
    if (count > 8)
        return arena_printf(o->w->arena, "%d joints", count);
    for (int j = 0; j < t->joint_count; j++)
        if (o->side[j])
            names = name_list(o->w, names, t->joint[j].name, --count);
    return names ? names : "";
}

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
    const char *joints = joints_of_part(o);
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
        g->is_edge[i] = order_is_open(o, i) && counts(o, &plan->sight, i);
    int found = 0;
    if (mark_part(g, plan->unknown, plan->joint) > 0) {
        open_section(o);
        if (part_cut(o, &values, &p) && write_down(o, &p, &plan->sight, &e)) {
            take_as_written(&p.cut, &e);
            struct candidate c = hand_candidate(&p.cut.h, &e);
            if (__builtin_popcountll(c.unknowns & p.cut.h.open) == 1) {
                hand_solve_single(&p.cut.h, &c);
                found = part_take(o, &p, o->value);
            }
        }
    }
    clear_side(o);
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

/* ---- the whole truss ---- */

/* Beyond these the equations of the whole are looked at one by one only. */
#define FURTHER_MAX 12

static void work_whole(struct order *o, struct hand *h)
{
    struct candidates usual, further;
    int rows[HAND_COLUMNS_MAX], equations = o->t->axes == 2 ? 3 : 6;
    hand_usual(h, &usual);
    while (h->open && !o->w->failed) {
        int open = __builtin_popcountll(h->open), best = hand_single(&usual, h->open);
        if (best >= 0) {
            hand_solve_single(h, &usual.list[best]);
            continue;
        }
        if (open > FURTHER_MAX)
            return;
        further = (struct candidates){0};
        hand_further(h, &further);
        best = hand_single(&further, h->open);
        if (best >= 0) {
            hand_solve_single(h, &further.list[best]);
            continue;
        }
        uint64_t group = open <= equations ? hand_group(h, &usual, rows) : 0;
        if (group == 0)
            return;
        uint64_t before = h->open;
        hand_solve_together(h, &usual, group, rows, __builtin_popcountll(group));
        if (h->open == before) /* none of them is fixed as far as the digits tell */
            return;
    }
}

/* For the allowances of the reactions, and of all that is worked out from them. */
static void other_ways_to_reactions(struct part *p)
{
    for (int k = 0; k < p->cut.h.count; k++)
        p->cut.a.column[k].answer = p->cut.a.column[k].hand;
    hand_alternatives(&p->cut.h);
}

void order_by_whole(struct order *o)
{
    const struct order_values values = {.value = o->value, .letter = "F"};
    struct truss *t = o->t;
    struct work *w = o->w;
    struct part p;
    if (t->unknown_count == t->member_count)
        return;
    for (int j = 0; j < t->joint_count; j++)
        o->side[j] = 1;
    work_section(w, PLAIN("Reactions"),
                 PLAIN("The whole truss is a rigid body; only loads and reactions act on it."));
    if (part_cut(o, &values, &p)) {
        work_whole(o, &p.cut.h);
        hand_balances(&p.cut.h);
        int found = part_take(o, &p, o->value);
        other_ways_to_reactions(&p);
        t->found_by[TRUSS_BY_WHOLE] += found;
        for (int i = t->member_count; i < t->unknown_count; i++)
            o->is_by_whole[i] = !order_is_open(o, i);
        if (found == 0)
            work_decide(w, PLAIN("No equation of the whole holds one reaction alone: they come "
                                 "with the joints."));
    }
    clear_side(o);
}

/* ---- the section that is asked for ---- */

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

/* In this sight the target counts, and of the others none that is open (strictly: none that was
 * open when the section was made). */
static bool sees_alone(struct order *o, const struct part *p, struct sight *s, int target,
                       const bool *was_open, bool is_strict)
{
    if (!look(o, s) || !counts(o, s, p->unknown[target]))
        return false;
    for (int k = 0; k < p->cut.h.count; k++) {
        bool matters = is_strict ? was_open[k] : (p->cut.h.open >> k & 1);
        if (k != target && matters && counts(o, s, p->unknown[k]))
            return false;
    }
    return true;
}

static bool find_in_plane(struct order *o, const struct part *p, int target, const bool *was_open,
                          bool is_strict, struct sight *s)
{
    for (int j = 0; j < o->t->joint_count; j++) {
        *s = (struct sight){.kind = SIGHT_POINT, .a = j};
        if (sees_alone(o, p, s, target, was_open, is_strict))
            return true;
    }
    for (int axis = 0; axis < 2; axis++) {
        *s = (struct sight){.kind = SIGHT_AXIS, .a = axis};
        if (sees_alone(o, p, s, target, was_open, is_strict))
            return true;
    }
    for (int k = 0; k < p->cut.h.count; k++) {
        *s = (struct sight){.kind = SIGHT_SQUARE, .a = p->unknown[k]};
        if (was_open[k] && sees_alone(o, p, s, target, was_open, is_strict))
            return true;
    }
    for (int k = 0; k < p->cut.h.count; k++)
        for (int m = k + 1; m < p->cut.h.count; m++) {
            *s = (struct sight){.kind = SIGHT_MEETING, .a = p->unknown[k], .b = p->unknown[m]};
            if (was_open[k] && was_open[m] && sees_alone(o, p, s, target, was_open, is_strict))
                return true;
        }
    return false;
}

static bool find_in_space(struct order *o, const struct part *p, int target, const bool *was_open,
                          bool is_strict, struct sight *s)
{
    for (int axis = 0; axis < 3; axis++) {
        *s = (struct sight){.kind = SIGHT_AXIS, .a = axis};
        if (sees_alone(o, p, s, target, was_open, is_strict))
            return true;
    }
    for (int a = 0; a < o->t->joint_count; a++)
        for (int b = a + 1; b < o->t->joint_count; b++) {
            *s = (struct sight){.kind = SIGHT_LINE, .a = a, .b = b};
            if (sees_alone(o, p, s, target, was_open, is_strict))
                return true;
        }
    for (int a = 0; a < o->t->joint_count; a++)
        for (int k = 0; k < p->cut.h.count; k++) {
            *s = (struct sight){.kind = SIGHT_ALONG, .a = a, .b = p->unknown[k]};
            if (was_open[k] && sees_alone(o, p, s, target, was_open, is_strict))
                return true;
        }
    for (int k = 0; k < p->cut.h.count; k++)
        for (int m = k + 1; m < p->cut.h.count; m++) {
            *s = (struct sight){.kind = SIGHT_NORMAL, .a = p->unknown[k], .b = p->unknown[m]};
            if (was_open[k] && was_open[m] && sees_alone(o, p, s, target, was_open, is_strict))
                return true;
        }
    return false;
}

/* One force by one equation; false: there is none for it. */
static bool solve_target(struct order *o, struct part *p, int target, const bool *was_open,
                         bool is_strict)
{
    struct sight s;
    struct equation e;
    bool is_found = o->t->axes == 2 ? find_in_plane(o, p, target, was_open, is_strict, &s)
                                    : find_in_space(o, p, target, was_open, is_strict, &s);
    if (!is_found || !write_down(o, p, &s, &e))
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
    const char *joints = joints_of_part(o);
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
    clear_side(o);
    note_missing(o);
}
