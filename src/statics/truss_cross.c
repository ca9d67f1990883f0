/* truss_cross.c: members that cross where no joint is, and joints that lie on a member which does
 * not end there: either may be meant, or be a slip. */
#include <math.h>

#include "statics/notes.h"
#include "statics/truss.h"

/* Pairs looked at, at most: beyond it nothing is said. A truss of 10,000 joints has 200,000. */
#define PAIRS_MAX 500000

/* A grid of square cells over the plane (in space over that of the two longest sides of the truss),
 * each with the members whose frame reaches into it. */
struct cells {
    struct truss *t;
    int axis[2]; /* over which the grid is laid */
    double origin[2], size;
    int across, down;
    int *first; /* of each cell in `member`, and one more */
    int *member;
    int *seen; /* of each member: 1 + the member it was last compared with */
    long pairs;
};

struct found {
    int count;
    int first, second; /* of the first one: members, or a joint and a member */
};

static double coordinate(const struct truss *t, int joint, int axis)
{
    return q_value(t->w, qv_component(t->w, t->joint[joint].place, axis));
}

static int cell_at(const struct cells *c, double x, int k, int count)
{
    double at = floor((x - c->origin[k]) / c->size);
    return at < 0 ? 0 : at >= count ? count - 1 : (int)at;
}

/* The cells that a member's frame reaches: from low to high along both axes. */
static void frame_of(const struct cells *c, int member, int low[2], int high[2])
{
    const int *joint = c->t->unknown[member].joint;
    for (int k = 0; k < 2; k++) {
        int count = k == 0 ? c->across : c->down;
        double x = coordinate(c->t, joint[0], c->axis[k]);
        double y = coordinate(c->t, joint[1], c->axis[k]);
        low[k] = cell_at(c, fmin(x, y), k, count);
        high[k] = cell_at(c, fmax(x, y), k, count);
    }
}

/* Cells as long as a member is on the whole, and about two for each member. */
static bool lay_cells(struct cells *c)
{
    struct truss *t = c->t;
    double low[3] = {0}, side[3] = {0}, length = 0;
    for (int axis = 0; axis < t->axes; axis++) {
        double high = low[axis] = coordinate(t, 0, axis);
        for (int j = 1; j < t->joint_count; j++) {
            low[axis] = fmin(low[axis], coordinate(t, j, axis));
            high = fmax(high, coordinate(t, j, axis));
        }
        side[axis] = high - low[axis];
    }
    for (int i = 0; i < t->member_count; i++)
        length += t->unknown[i].length / t->member_count;
    int shortest = t->axes == 2 ? 2 : 0;
    for (int axis = 1; axis < t->axes; axis++)
        if (side[axis] < side[shortest])
            shortest = axis;
    c->axis[0] = shortest == 0 ? 1 : 0;
    c->axis[1] = shortest == 2 ? 1 : 2;
    double wide = side[c->axis[0]], tall = side[c->axis[1]];
    c->size = fmax(length, fmax(sqrt(wide * tall / (2.0 * t->member_count)),
                                fmax(wide, tall) / (2.0 * t->member_count)));
    if (!(c->size > 0) || !isfinite(c->size))
        return false;
    for (int k = 0; k < 2; k++)
        c->origin[k] = low[c->axis[k]];
    c->across = (int)(wide / c->size) + 1;
    c->down = (int)(tall / c->size) + 1;
    return true;
}

static bool fill_cells(struct cells *c)
{
    struct truss *t = c->t;
    struct arena *arena = t->w->arena;
    size_t count = (size_t)c->across * (size_t)c->down;
    int low[2], high[2];
    long entries = 0;
    c->first = arena_alloc(arena, (count + 1) * sizeof *c->first);
    c->seen = arena_alloc(arena, ((size_t)t->member_count + 1) * sizeof *c->seen);
    if (!c->first || !c->seen)
        return false;
    for (int i = 0; i < t->member_count; i++) {
        frame_of(c, i, low, high);
        entries += (long)(high[0] - low[0] + 1) * (high[1] - low[1] + 1);
        if (entries > PAIRS_MAX)
            return false;
        for (int y = low[1]; y <= high[1]; y++)
            for (int x = low[0]; x <= high[0]; x++)
                c->first[y * c->across + x + 1]++;
    }
    for (size_t k = 0; k < count; k++)
        c->first[k + 1] += c->first[k];
    c->member = arena_alloc(arena, (size_t)(entries + 1) * sizeof *c->member);
    int *next = arena_alloc(arena, (count + 1) * sizeof *next);
    if (!c->member || !next)
        return false;
    for (int i = 0; i < t->member_count; i++) {
        frame_of(c, i, low, high);
        for (int y = low[1]; y <= high[1]; y++)
            for (int x = low[0]; x <= high[0]; x++) {
                int k = y * c->across + x;
                c->member[c->first[k] + next[k]++] = i;
            }
    }
    return true;
}

/* ---- where things lie ---- */

static struct exact place_of(const struct truss *t, int joint)
{
    return exact_of(t->w, t->joint[joint].place);
}

/* Plane: on which side of a member's line a joint lies: −1, 0, 1. */
static int side_of(const struct truss *t, int member, int joint)
{
    const struct field *f = t->w->field;
    const int *end = t->unknown[member].joint;
    double ax = coordinate(t, end[0], 0), ay = coordinate(t, end[0], 1);
    double bx = coordinate(t, end[1], 0) - ax, by = coordinate(t, end[1], 1) - ay;
    double cx = coordinate(t, joint, 0) - ax, cy = coordinate(t, joint, 1) - ay;
    double area = bx * cy - by * cx, rounding = 1e-12 * (fabs(bx * cy) + fabs(by * cx));
    if (fabs(area) > rounding)
        return area > 0 ? 1 : -1;
    struct exact arm = exact_sub(f, place_of(t, joint), place_of(t, end[0]));
    struct num exactly = exact_cross(f, truss_direction(t, member), arm).c[2];
    return num_is_zero(exactly) ? 0 : exactly.value > 0 ? 1 : -1;
}

static bool cross(const struct truss *t, int a, int b)
{
    const int *p = t->unknown[a].joint, *r = t->unknown[b].joint;
    return side_of(t, a, r[0]) * side_of(t, a, r[1]) < 0 &&
           side_of(t, b, p[0]) * side_of(t, b, p[1]) < 0;
}

/* Does a joint lie between a member's ends? */
static bool lies_on(const struct truss *t, int joint, int member)
{
    const struct field *f = t->w->field;
    const int *end = t->unknown[member].joint;
    double along = 0, across = 0, length = t->unknown[member].length;
    for (int axis = 0; axis < t->axes; axis++) {
        double from = coordinate(t, end[0], axis), arm = coordinate(t, joint, axis) - from;
        along += (coordinate(t, end[1], axis) - from) * arm / length;
        across += arm * arm;
    }
    across -= along * along;
    if (!(along > 0 && along < length) || across > 1e-9 * length * length)
        return false;
    struct exact arm = exact_sub(f, place_of(t, joint), place_of(t, end[0]));
    return exact_is_zero(exact_cross(f, truss_direction(t, member), arm));
}

static void add(struct found *f, int first, int second)
{
    if (f->count++ == 0)
        *f = (struct found){1, first, second};
}

static bool ends_at(const struct truss *t, int member, int joint)
{
    return t->unknown[member].joint[0] == joint || t->unknown[member].joint[1] == joint;
}

static void look_at_pair(const struct truss *t, int a, int b, struct found *crossing,
                         struct found *resting)
{
    const int *p = t->unknown[a].joint, *r = t->unknown[b].joint;
    for (int end = 0; end < 2; end++) {
        if (!ends_at(t, b, p[end]) && lies_on(t, p[end], b))
            add(resting, p[end], b);
        if (!ends_at(t, a, r[end]) && lies_on(t, r[end], a))
            add(resting, r[end], a);
    }
    bool is_apart = !ends_at(t, b, p[0]) && !ends_at(t, b, p[1]);
    if (t->axes == 2 && is_apart && cross(t, a, b))
        add(crossing, a, b);
}

static bool look_at_all(struct cells *c, struct found *crossing, struct found *resting)
{
    struct truss *t = c->t;
    int low[2], high[2];
    for (int a = 0; a < t->member_count; a++) {
        frame_of(c, a, low, high);
        for (int y = low[1]; y <= high[1]; y++)
            for (int x = low[0]; x <= high[0]; x++) {
                int k = y * c->across + x;
                for (int i = c->first[k]; i < c->first[k + 1] && c->member[i] < a; i++) {
                    int b = c->member[i];
                    if (c->seen[b] == a + 1)
                        continue;
                    c->seen[b] = a + 1;
                    if (++c->pairs > PAIRS_MAX)
                        return false;
                    look_at_pair(t, a, b, crossing, resting);
                }
            }
    }
    return true;
}

void truss_note_crossings(struct truss *t)
{
    struct cells c = {.t = t};
    struct found crossing = {0}, resting = {0};
    if (!lay_cells(&c) || !fill_cells(&c) || !look_at_all(&c, &crossing, &resting))
        return;
    const char *first = crossing.count > 0 ? t->unknown[crossing.first].name : NULL;
    const char *second = crossing.count > 0 ? t->unknown[crossing.second].name : NULL;
    if (crossing.count == 1)
        note_add(t->w, NOTE_MEMBERS_CROSS,
                 PHRASE("Members {} and {} cross where no joint is: they are taken to pass each "
                        "other without touching.",
                        arg_name(second), arg_name(first)));
    if (crossing.count > 1)
        note_add(t->w, NOTE_MEMBERS_CROSS,
                 PHRASE("{} pairs of members cross where no joint is, {} and {} for one: they are "
                        "taken to pass each other without touching.",
                        arg_count(crossing.count), arg_name(second), arg_name(first)));
    if (resting.count > 0)
        note_add(t->w, NOTE_JOINT_ON_MEMBER,
                 PHRASE("Joint {} lies on member {} and is not joined to it there: is the member "
                        "meant to end at {}?",
                        arg_name(t->joint[resting.first].name),
                        arg_name(t->unknown[resting.second].name),
                        arg_name(t->joint[resting.first].name)));
}
