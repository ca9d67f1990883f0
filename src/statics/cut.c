/* cut.c: parts of a truss as bodies for the hand order. */
#include "statics/cut.h"

#include <string.h>

static const struct equilibrium_input no_bodies;

static void *take(struct work *w, int count, size_t size)
{
    void *room = arena_alloc(w->arena, ((size_t)count + 1) * size);
    if (!room)
        w->failed = true;
    return room;
}

/* A1,B2 of A1-B2. */
static const char *without_hyphen(struct work *w, const char *name)
{
    const char *hyphen = strchr(name, '-');
    if (!hyphen)
        return name;
    const char *text = arena_printf(w->arena, "%.*s,%s", (int)(hyphen - name), name, hyphen + 1);
    return text ? text : "";
}

struct symbol member_symbol(struct work *w, const char *letter, const char *name)
{
    return symbol_own(w, letter, without_hyphen(w, name));
}

const char *member_text(struct work *w, const char *letter, const char *name)
{
    struct symbol s = member_symbol(w, letter, name);
    const char *text = arena_printf(w->arena, "%s_%s", letter, s.sub);
    for (int k = 0; k < s.primed && text; k++)
        text = arena_printf(w->arena, "%s'", text);
    return text ? text : "";
}

bool cut_new(struct cut *c, struct board *b, int forces, int sites, int loads)
{
    struct work *w = b->w;
    *c = (struct cut){.a = {.b = b,
                            .input = &no_bodies,
                            .body_count = 1,
                            .per_body = b->loads->space ? 6 : 3,
                            .origin = exact_zero(w->field)}};
    c->a.unknown = take(w, forces, sizeof *c->a.unknown);
    c->a.column = take(w, forces, sizeof *c->a.column);
    c->a.pull = take(w, forces, sizeof *c->a.pull);
    c->a.site = take(w, sites, sizeof *c->a.site);
    c->a.loads.force = take(w, loads, sizeof *c->a.loads.force);
    return !w->failed;
}

int cut_add_site(struct cut *c, const char *name, qv place)
{
    struct work *w = c->a.b->w;
    struct exact at = qv_is_none(place) ? exact_zero(w->field) : exact_of(w, place);
    c->a.site[c->a.site_count] =
        (struct site){.point = NO_PLACE, .name = name, .place = place, .at = at};
    return c->a.site_count++;
}

int cut_add_force(struct cut *c, const struct cut_force *force)
{
    struct assembly *a = &c->a;
    struct work *w = a->b->w;
    int i = a->unknown_count++;
    a->column_count++;
    struct unknown *u = &a->unknown[i];
    *u = (struct unknown){
        .name = force->name, .kind = "force", .site = force->site, .opposite = NO_BODY};
    u->reaction.count = 1;
    u->reaction.part[0] = (struct reaction_part){.symbol = force->symbol,
                                                 .text = force->text,
                                                 .is_member = force->is_member,
                                                 .aim = *force->aim};
    u->column[0] = i;
    a->column[i] = (struct column){.unknown = i, .is_fixed = force->is_fixed, .hand = force->value};
    struct exact line = exact_line(w, force->aim);
    a->pull[a->pull_count++] =
        (struct pull){.unknown = i,
                      .column = i,
                      .sign = 1,
                      .force = line,
                      .moment = exact_cross(w->field, a->site[force->site].at, line)};
    return i;
}

void cut_add_load(struct cut *c, const struct load *load)
{
    c->a.loads.force[c->a.loads.force_count] = *load;
    c->a.loads.force[c->a.loads.force_count++].body = 0;
}

void cut_begin(struct cut *c)
{
    hand_begin(&c->h, &c->a);
    c->h.is_one_section = true;
    for (int i = 0; i < c->h.count; i++) {
        c->h.unknown[i].value = c->a.column[i].hand;
        if (!q_is_none(c->a.column[i].hand))
            c->h.open &= ~hand_bit(i);
    }
}

q cut_value(const struct cut *c, int force) { return c->a.column[force].hand; }

/* ---- a joint ---- */

static struct equation along_axis(int axis)
{
    return (struct equation){.axis = axis, .site = NO_SITE, .other = NO_SITE, .line = {-1, -1}};
}

static void list_axes(struct cut *c, struct candidates *ret)
{
    *ret = (struct candidates){0};
    for (int axis = 0; axis < board_axes(c->a.b); axis++) {
        struct equation e = along_axis(axis);
        struct candidate fresh = hand_candidate(&c->h, &e);
        candidates_add(c->a.b->w, ret, &fresh);
    }
}

/* Square to one open force (in space to two): the others may all have no part along it. */
static void list_squares(struct cut *c, struct candidates *ret)
{
    const struct field *f = c->a.b->w->field;
    *ret = (struct candidates){0};
    for (int i = 0; i < c->h.count; i++)
        for (int j = i; j < c->h.count; j++) {
            bool is_pair = j > i;
            if (is_pair != c->a.b->loads->space || !(c->h.open >> i & c->h.open >> j & 1))
                continue;
            struct equation e = along_axis(-1);
            e.line[0] = i;
            e.line[1] = is_pair ? j : -1;
            e.direction =
                exact_cross(f, is_pair ? c->a.pull[j].force : exact_axis(f, 2), c->a.pull[i].force);
            if (exact_is_zero(e.direction))
                continue;
            struct candidate fresh = hand_candidate(&c->h, &e);
            candidates_add(c->a.b->w, ret, &fresh);
        }
}

/* Can the equations of the joint give all that is open? */
static bool are_independent(const struct cut *c)
{
    const struct field *f = c->a.b->w->field;
    struct exact_span s = {.rank = 0};
    for (int i = 0; i < c->h.count; i++)
        if ((c->h.open >> i & 1) &&
            (s.rank == board_axes(c->a.b) || !exact_span_add(f, &s, c->a.pull[i].force)))
            return false;
    return true;
}

static bool is_any_fixed(const struct cut *c)
{
    for (int i = 0; i < c->h.count; i++)
        if ((c->h.open >> i & 1) && c->a.column[i].is_fixed)
            return true;
    return false;
}

/* The equations that hold open unknowns, together. */
static void solve_open_together(struct cut *c, const struct candidates *axes)
{
    int rows[3], count = 0;
    for (int k = 0; k < axes->count; k++)
        if (axes->list[k].unknowns & c->h.open)
            rows[count++] = k;
    hand_solve_together(&c->h, axes, c->h.open, rows, count);
}

void cut_work_joint(struct cut *c)
{
    struct work *w = c->a.b->w;
    struct candidates axes, squares;
    list_axes(c, &axes);
    while (is_any_fixed(c) && !w->failed) {
        int best = hand_single(&axes, c->h.open);
        if (best >= 0) {
            hand_solve_single(&c->h, &axes.list[best]);
            continue;
        }
        if (are_independent(c)) {
            solve_open_together(c, &axes);
            return;
        }
        list_squares(c, &squares);
        best = hand_single(&squares, c->h.open);
        if (best < 0)
            return;
        hand_solve_single(&c->h, &squares.list[best]);
    }
}

void cut_check_joint(struct cut *c, struct phrase title)
{
    struct candidates axes;
    bool is_titled = false;
    list_axes(c, &axes);
    for (int k = 0; k < axes.count && !c->a.b->w->failed; k++) {
        struct equation *e = &axes.list[k].equation;
        if ((axes.list[k].unknowns & c->h.open) || hand_used(&c->h, e))
            continue;
        q sum = hand_sum(&c->h, e);
        if (q_is_none(sum))
            continue;
        if (!is_titled)
            work_section(c->a.b->w, title, PLAIN("A sum that was not used must come out as zero."));
        is_titled = true;
        equation_check(&c->a, e, sum, PLAIN("It is zero, as it must be."));
    }
}

void cut_balances(struct cut *c)
{
    struct candidates axes;
    list_axes(c, &axes);
    for (int k = 0; k < axes.count && !c->a.b->w->failed; k++)
        hand_balance(&c->h, &axes.list[k]);
}

void cut_alternatives(struct cut *c, const q *answer)
{
    q of[HAND_COLUMNS_MAX];
    int count = 0;
    if (!c->a.b->w->wants_key || c->h.worked_group == 0)
        return;
    for (int i = 0; i < c->h.count; i++)
        if (c->h.worked_group >> i & 1)
            of[count++] = answer[i];
    substitution_alternatives(c->a.b->w, &c->h.worked, of);
}
