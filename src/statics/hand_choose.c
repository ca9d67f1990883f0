/* hand_choose.c: which equation next? */
#include "statics/hand.h"

/* What an instructor tries first. */
enum {
    CLASS_ALONG_AXIS,
    CLASS_ABOUT_PLACE, /* space: about an axis through it */
    CLASS_SQUARE,
    CLASS_ABOUT_LINE,
    CLASS_ABOUT_MEETING,
};

/* Larger groups are not looked for: their equations are taken all together. */
#define GROUP_MAX 8

struct num hand_factor(const struct hand *h, const struct equation *e, int unknown)
{
    const struct hand_unknown *x = &h->unknown[unknown];
    return x->column >= 0 ? equation_factor(h->a, e, x->column)
                          : strut_factor(h, e, &h->strut[x->strut]);
}

/* ---- candidates ---- */

void candidates_add(struct work *w, struct candidates *c, const struct candidate *fresh)
{
    if (c->count == c->capacity) {
        int wider = c->capacity ? 2 * c->capacity : 32;
        struct candidate *list = arena_alloc(w->arena, (size_t)wider * sizeof *list);
        if (!list) {
            w->failed = true;
            return;
        }
        for (int i = 0; i < c->count; i++)
            list[i] = c->list[i];
        c->list = list;
        c->capacity = wider;
    }
    c->list[c->count++] = *fresh;
}

struct candidate hand_candidate(const struct hand *h, const struct equation *e)
{
    struct candidate c = {.equation = *e};
    for (int i = 0; i < h->count; i++)
        if (!num_is_zero(hand_factor(h, e, i)))
            c.unknowns |= hand_bit(i);
    return c;
}

static void add(const struct hand *h, struct candidates *c, struct equation e, int class,
                int acting)
{
    struct candidate fresh = hand_candidate(h, &e);
    fresh.class = class;
    fresh.acting = acting;
    candidates_add(h->a->b->w, c, &fresh);
}

static struct equation blank(int body)
{
    return (struct equation){.body = body, .site = NO_SITE, .other = NO_SITE, .line = {-1, -1}};
}

static bool is_strut(const struct hand *h, int body)
{
    for (int i = 0; i < h->strut_count; i++)
        if (h->strut[i].body == body)
            return true;
    return false;
}

static bool acts_on(const struct unknown *u, int body)
{
    return body == NO_BODY ? u->opposite == NO_BODY : u->body == body || u->opposite == body;
}

/* How many unknown numbers act on a body at a site; their forces have no moment about it. */
static int acting_at(const struct hand *h, int body, int site)
{
    int count = 0;
    for (int i = 0; i < h->a->unknown_count; i++) {
        const struct unknown *u = &h->a->unknown[i];
        for (int k = 0; u->site == site && acts_on(u, body) && k < u->reaction.count; k++)
            count += !u->reaction.part[k].is_couple;
    }
    return count;
}

static void usual_of_body(const struct hand *h, int body, struct candidates *c)
{
    const struct assembly *a = h->a;
    bool space = a->b->loads->space;
    for (int axis = 0; axis < board_axes(a->b); axis++) {
        struct equation e = blank(body);
        e.axis = axis;
        add(h, c, e, CLASS_ALONG_AXIS, 0);
    }
    for (int site = 0; site < a->site_count; site++) {
        int acting = acting_at(h, body, site);
        for (int axis = space ? 0 : 2; acting > 0 && axis < 3; axis++) {
            struct equation e = blank(body);
            e.is_moment = true;
            e.axis = axis;
            e.site = site;
            e.centre = a->site[site].at;
            add(h, c, e, CLASS_ABOUT_PLACE, acting);
        }
    }
}

/* The whole first, then body by body. */
static void of_all_bodies(const struct hand *h, struct candidates *c,
                          void (*of_body)(const struct hand *, int, struct candidates *))
{
    const struct assembly *a = h->a;
    if (a->body_count > 1)
        of_body(h, NO_BODY, c);
    for (int body = 0; body < a->body_count; body++)
        if (!is_strut(h, body))
            of_body(h, body, c);
}

void hand_usual(const struct hand *h, struct candidates *ret)
{
    *ret = (struct candidates){0};
    of_all_bodies(h, ret, usual_of_body);
}

/* ---- further candidates ---- */

/* The one pull of an open column on a body whose line of action is to be used; NULL: it is a
 * couple, a strut, acts at several places, or is there as large as another force. */
static const struct pull *line_of(const struct hand *h, int unknown, int body)
{
    const struct assembly *a = h->a;
    const struct pull *only = NULL;
    int column = h->unknown[unknown].column;
    if (!(h->open >> unknown & 1) || column < 0 || a->column[column].is_couple)
        return NULL;
    for (int i = 0; i < a->pull_count; i++) {
        const struct pull *p = &a->pull[i];
        if (p->column != column || !acts_on(&a->unknown[p->unknown], body) ||
            (body != NO_BODY && p->body != body))
            continue;
        if (only || p->unknown != a->column[column].unknown)
            return NULL;
        only = p;
    }
    return only;
}

static bool is_along_axis(struct exact v)
{
    int zeros = 0;
    for (int axis = 0; axis < 3; axis++)
        zeros += num_is_zero(v.c[axis]);
    return zeros == 2;
}

static void add_square(const struct hand *h, int body, const struct pull *p, struct candidates *c)
{
    const struct field *f = h->a->b->w->field;
    if (is_along_axis(p->force))
        return;
    struct equation e = blank(body);
    e.axis = -1;
    e.line[0] = p->column;
    e.direction = exact_cross(f, exact_axis(f, 2), p->force);
    add(h, c, e, CLASS_SQUARE, 0);
}

bool hand_meeting(const struct assembly *a, const struct pull *p, const struct pull *other,
                  struct exact *ret)
{
    const struct field *f = a->b->w->field;
    struct exact from = a->site[a->unknown[p->unknown].site].at;
    struct exact to = a->site[a->unknown[other->unknown].site].at;
    struct num turn = exact_cross(f, p->force, other->force).c[2];
    if (num_is_zero(turn))
        return false;
    struct num reach = exact_cross(f, exact_sub(f, to, from), other->force).c[2];
    *ret = exact_add(f, from, exact_scale(f, num_div(f, reach, turn), p->force));
    return true;
}

static void add_meeting(const struct hand *h, int body, const struct pull *p,
                        const struct pull *other, struct candidates *c)
{
    struct equation e = blank(body);
    e.is_moment = true;
    e.axis = 2;
    e.line[0] = p->column;
    e.line[1] = other->column;
    if (hand_meeting(h->a, p, other, &e.centre))
        add(h, c, e, CLASS_ABOUT_MEETING, 0);
}

static void add_line(const struct hand *h, int body, int site, int other, const struct pull *along,
                     struct candidates *c)
{
    const struct assembly *a = h->a;
    struct equation e = blank(body);
    e.is_moment = true;
    e.axis = -1;
    e.site = site;
    e.other = other;
    e.centre = a->site[site].at;
    if (other != NO_SITE)
        e.direction = exact_sub(a->b->w->field, a->site[other].at, e.centre);
    else
        e.direction = along->force;
    if (along)
        e.line[0] = along->column;
    if (!is_along_axis(e.direction))
        add(h, c, e, CLASS_ABOUT_LINE, 0);
}

static void further_of_body(const struct hand *h, int body, struct candidates *c)
{
    const struct assembly *a = h->a;
    bool space = a->b->loads->space;
    for (int i = 0; i < h->count; i++) {
        const struct pull *p = line_of(h, i, body);
        if (p && !space)
            add_square(h, body, p, c);
        for (int j = i + 1; p && !space && j < h->count; j++) {
            const struct pull *other = line_of(h, j, body);
            if (other)
                add_meeting(h, body, p, other, c);
        }
        for (int site = 0; p && space && site < a->site_count; site++)
            if (acting_at(h, body, site) > 0 && !is_along_axis(p->force))
                add_line(h, body, site, NO_SITE, p, c);
    }
    for (int site = 0; space && site < a->site_count; site++)
        for (int other = site + 1; other < a->site_count; other++)
            if (acting_at(h, body, site) > 0 && acting_at(h, body, other) > 0)
                add_line(h, body, site, other, NULL, c);
}

void hand_further(const struct hand *h, struct candidates *ret)
{
    of_all_bodies(h, ret, further_of_body);
}

/* ---- choosing ---- */

static bool is_better(const struct candidate *a, const struct candidate *b)
{
    if (a->class != b->class)
        return a->class < b->class;
    return a->acting > b->acting;
}

int hand_single(const struct candidates *c, uint64_t open)
{
    int best = -1;
    for (int i = 0; i < c->count; i++)
        if (hand_bits(c->list[i].unknowns & open) == 1 &&
            (best < 0 || is_better(&c->list[i], &c->list[best])))
            best = i;
    return best;
}

/* ---- groups ---- */

/* Rows of equations that are kept while they are independent. */
struct echelon {
    const struct field *f;
    int width, rank;
    struct num row[GROUP_MAX][GROUP_MAX];
    int pivot[GROUP_MAX];
};

/* Is the row independent of those that are there? Then it is kept. */
static bool echelon_add(struct echelon *e, const struct num *row)
{
    struct num rest[GROUP_MAX];
    for (int j = 0; j < e->width; j++)
        rest[j] = row[j];
    for (int i = 0; i < e->rank; i++) {
        int p = e->pivot[i];
        if (num_is_zero(rest[p]))
            continue;
        struct num share = num_div(e->f, rest[p], e->row[i][p]);
        for (int j = 0; j < e->width; j++)
            rest[j] = num_sub(e->f, rest[j], num_mul(e->f, share, e->row[i][j]));
        rest[p] = num_integer(e->f, 0);
    }
    int pivot = -1;
    for (int j = 0; j < e->width; j++)
        if (!num_is_zero(rest[j]) && pivot < 0)
            pivot = j;
    if (pivot < 0)
        return false;
    for (int j = 0; j < e->width; j++)
        e->row[e->rank][j] = rest[j];
    e->pivot[e->rank++] = pivot;
    return true;
}

/* Do as many independent equations hold these unknowns alone? */
static bool stands_alone(const struct hand *h, const struct candidates *c, uint64_t group,
                         int *ret_rows)
{
    struct echelon e = {.f = h->a->b->w->field, .width = hand_bits(group)};
    int inside = 0;
    for (int i = 0; i < c->count; i++) {
        uint64_t held = c->list[i].unknowns & h->open;
        inside += held != 0 && (held & ~group) == 0;
    }
    for (int i = 0; inside >= e.width && i < c->count && e.rank < e.width; i++) {
        uint64_t held = c->list[i].unknowns & h->open;
        if (held == 0 || (held & ~group) != 0)
            continue;
        struct num row[GROUP_MAX];
        int k = 0;
        for (int j = 0; j < h->count; j++)
            if (group >> j & 1)
                row[k++] = hand_factor(h, &c->list[i].equation, j);
        if (echelon_add(&e, row))
            ret_rows[e.rank - 1] = i;
    }
    return e.rank == e.width;
}

uint64_t hand_group(const struct hand *h, const struct candidates *c, int *ret_rows)
{
    int most = hand_bits(h->open) < GROUP_MAX ? hand_bits(h->open) : GROUP_MAX;
    for (int size = 2; size <= most; size++)
        for (int i = 0; i < c->count; i++) {
            uint64_t first = c->list[i].unknowns & h->open, before = 0;
            if (first == 0 || hand_bits(first) > size)
                continue;
            for (int j = i; j < c->count; j++) {
                uint64_t group = first | (c->list[j].unknowns & h->open);
                if (hand_bits(group) != size || group == before)
                    continue;
                before = group;
                if (stands_alone(h, c, group, ret_rows))
                    return group;
            }
        }
    return 0;
}
