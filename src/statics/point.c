/* point.c: places on the tape. */
#include "statics/point.h"

#include <string.h>

#include "statics/direction.h"

static const struct dimension length_dimension = {.length = 1};
static const struct dimension ratio = {0};

static void open_section(struct board *b)
{
    if (b->is_about_points)
        return;
    b->is_about_points = true;
    work_section(b->w, PLAIN("Points"),
                 PLAIN("Places that are given by a distance or a fraction "
                       "get their coordinates first."));
}

/* x_B, y_B (, z_B), each shown as a step. */
static qv name_coordinates(struct board *b, const char *name, q coordinate[3])
{
    static const char *const letter[3] = {"x", "y", "z"};
    for (int axis = 0; axis < board_axes(b); axis++) {
        coordinate[axis] = q_name(b->w, coordinate[axis], symbol_own(b->w, letter[axis], name));
        work_define(b->w, coordinate[axis]);
    }
    return qv_of(b->w, coordinate[0], coordinate[1], coordinate[2]);
}

static qv as_typed(struct board *b, const struct point_input *p)
{
    q c[3] = {0};
    for (int axis = 0; axis < board_axes(b); axis++)
        c[axis] = q_given(b->w, &p->coordinate[axis], length_dimension);
    return qv_of(b->w, c[0], c[1], c[2]);
}

/* x_B = x_A + d cos θ, … */
static qv by_distance(struct board *b, const struct point_input *p)
{
    struct work *w = b->w;
    qv start = point_place(b, p->from);
    struct aim aim;
    open_section(b);
    bool is_aimed = direction_aim(b, p->direction, p->name, false, &aim);
    if (!is_aimed || qv_is_none(start))
        return (qv){0};
    q distance = q_given(w, &p->distance, length_dimension), c[3] = {0};
    for (int axis = 0; axis < board_axes(b); axis++)
        c[axis] = aim_from(w, &aim, qv_component(w, start, axis), distance, axis);
    return name_coordinates(b, p->name, c);
}

/* x_M = x_A + f (x_B − x_A), … */
static qv by_fraction(struct board *b, const struct point_input *p)
{
    struct work *w = b->w;
    qv first = point_place(b, p->between[0]), second = point_place(b, p->between[1]);
    if (qv_is_none(first) || qv_is_none(second))
        return (qv){0};
    open_section(b);
    q fraction = q_given(w, &p->fraction, ratio), c[3] = {0};
    for (int axis = 0; axis < board_axes(b); axis++) {
        q start = qv_component(w, first, axis), end = qv_component(w, second, axis);
        c[axis] = q_is_zero(w, start) ? q_mul(w, fraction, end)
                                      : q_add(w, start, q_mul(w, fraction, q_sub(w, end, start)));
    }
    return name_coordinates(b, p->name, c);
}

qv point_place(struct board *b, int k)
{
    if (k == NO_PLACE || b->is_placed[k])
        return k == NO_PLACE ? (qv){0} : b->place[k];
    const struct point_input *p = &b->loads->point[k];
    switch (p->form) {
    case POINT_COORDINATES:
        b->place[k] = as_typed(b, p);
        break;
    case POINT_FROM:
        b->place[k] = by_distance(b, p);
        break;
    case POINT_BETWEEN:
        b->place[k] = by_fraction(b, p);
        break;
    }
    b->is_placed[k] = true;
    return b->place[k];
}

bool point_is_origin(struct board *b, int k) { return qv_is_zero(b->w, point_place(b, k)); }

/* ---- from one place to another ---- */

static bool is_one_character(const char *name)
{
    size_t bytes = 1;
    while (((unsigned char)name[bytes] & 0xC0) == 0x80)
        bytes++;
    return name[bytes] == '\0';
}

const char *point_pair(struct board *b, const char *from, const char *to)
{
    bool is_plain = is_one_character(from) && is_one_character(to);
    const char *name = arena_printf(b->w->arena, is_plain ? "%s%s" : "%s,%s", from, to);
    return name ? name : "";
}

static const char *span_name(struct board *b, int from, int to, const char *owner)
{
    const char *start = b->loads->point[from].name, *end = b->loads->point[to].name;
    return start && end ? point_pair(b, start, end) : name_sub(b->w, owner);
}

struct span *span_between(struct board *b, int from, int to, const char *owner)
{
    struct work *w = b->w;
    qv start = point_place(b, from), end = point_place(b, to);
    if (qv_is_none(start) || qv_is_none(end))
        return NULL;
    for (struct span *s = b->spans; s; s = s->next)
        if (s->from == from && s->to == to)
            return s;
    struct span *s = arena_alloc(w->arena, sizeof *s);
    if (!s) {
        w->failed = true;
        return NULL;
    }
    *s = (struct span){.from = from, .to = to, .next = b->spans};
    s->symbol = symbol_own(w, "r", span_name(b, from, to, owner));
    s->r = point_is_origin(b, from) ? qv_sum(w, &end, 1) : qv_sub(w, end, start);
    s->r = qv_name(w, s->r, s->symbol);
    work_define_vector(w, s->r);
    return b->spans = s;
}

q span_length(struct work *w, struct span *s)
{
    if (!q_is_none(s->length))
        return s->length;
    s->length = q_name(w, q_norm(w, s->r), s->symbol);
    work_define(w, s->length);
    return s->length;
}
