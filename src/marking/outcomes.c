#include "marking/outcomes.h"

#include <math.h>
#include <string.h>

#include "marking/measure.h"
#include "marking/rule.h"

/* Of pairs so much is kept for the other answers of a class; the rest is worked anew. */
#define KEPT_BYTES ((size_t)8 << 20)
/* To compare what was kept takes about as long as to work so many numbers. */
#define KEPT_WORK 3

/* ---- from the values of a tape ---- */

static void outcome_from(const struct outcomes *o, const double *value, double *ret)
{
    const struct items *s = o->items;
    double radian = unit_angle_radians(s->w->units.angle);
    for (int i = 0; i < s->count; i++) {
        if (o->slot[i] < 0)
            continue;
        const struct item *item = &s->item[i];
        double *to = ret + o->slot[i];
        if (item->kind == PART_NUMBER) {
            to[0] = value[item->number[0].i];
        } else if (q_is_none(item->number[1])) {
            to[0] = cos(value[item->number[0].i] * radian);
            to[1] = sin(value[item->number[0].i] * radian);
            to[2] = 0.0;
        } else {
            for (int k = 0; k < 3; k++)
                to[k] = cos(value[item->number[k].i] * radian);
        }
    }
}

/* ---- what is wrong with the answer alone ---- */

static bool is_dimension(const struct work *w, const struct item *item, int force, int length)
{
    struct dimension d = q_node(w, item->number[0])->dimension;
    return item->kind == PART_NUMBER && d.force == force && d.length == length && !d.angle;
}

/* Does the problem speak of pounds at all? */
static bool has_pounds(const struct work *w)
{
    enum unit_force force = w->units.force;
    for (uint32_t i = 1; i < w->node_count; i++)
        if (w->node[i].op == OP_CONVERT && w->node[i].dimension.force)
            return true;
    return force == UNIT_LB || force == UNIT_KIP || force == UNIT_KGF;
}

/* The answer in another unit: all forces, all moments, or both. */
static void declare_units(struct outcomes *o)
{
    static const struct {
        enum slip slip;
        double factor;
    } units[] = {{SLIP_UNIT_PREFIX, 1e3},
                 {SLIP_UNIT_PREFIX, 1e-3},
                 {SLIP_UNIT_POUND, 4.4482216152605},
                 {SLIP_UNIT_POUND, 1.0 / 4.4482216152605}};
    struct items *s = o->items;
    struct work *w = s->w;
    bool has[2] = {false, false};
    for (int i = 0; i < s->count; i++)
        for (int length = 0; length < 2; length++)
            has[length] =
                has[length] || (o->slot[i] >= 0 && is_dimension(w, &s->item[i], 1, length));
    for (int what = 0; what < 3; what++) { /* forces, moments, both */
        if ((what == 0 && !has[0]) || (what == 1 && !has[1]) || (what == 2 && !(has[0] && has[1])))
            continue;
        for (size_t u = 0; u < sizeof units / sizeof *units; u++) {
            if (units[u].slip == SLIP_UNIT_POUND && !has_pounds(w))
                continue;
            slip_begin(w, units[u].slip, NULL, NULL);
            for (int i = 0; i < s->count; i++)
                for (int length = 0; length < 2; length++)
                    if (o->slot[i] >= 0 && (what == length || what == 2) &&
                        is_dimension(w, &s->item[i], 1, length))
                        slip_edit(w, s->item[i].number[0], s->item[i].number[0], units[u].factor);
        }
    }
}

static bool is_power_of_ten(double x)
{
    double power = log10(fabs(x));
    return fabs(power - round(power)) < 1e-9;
}

/* A number given in another unit that was not converted. */
static void declare_conversions(struct work *w)
{
    uint32_t count = w->node_count;
    for (uint32_t i = 1; i < count; i++) {
        const struct node *n = &w->node[i], *typed = &w->node[n->operand[0]];
        if (n->op != OP_CONVERT || typed->op != OP_GIVEN || n->dimension.angle)
            continue;
        bool is_prefix = is_power_of_ten(w->node[n->operand[1]].num.value);
        slip_begin(w, is_prefix ? SLIP_UNIT_PREFIX : SLIP_UNIT_POUND, typed->pointer, NULL);
        slip_edit_from(w, i + 1, (q){i}, (q){n->operand[0]}, 1.0);
    }
}

/* ---- one slip, and two ---- */

static bool is_same_outcome(const struct outcomes *o, const double *a, const double *b)
{
    const struct items *s = o->items;
    for (int i = 0; i < s->count; i++) {
        if (o->slot[i] < 0)
            continue;
        const double *x = a + o->slot[i], *y = b + o->slot[i];
        if (s->item[i].kind == PART_DIRECTION) {
            if (!(rule_angle_between(x, y) <= 1e-7))
                return false;
        } else if (!(fabs(x[0] - y[0]) <=
                     SAME_NUMBER * (fabs(y[0]) + s->item[i].scale + s->item[i].size))) {
            return false;
        }
    }
    return true;
}

static bool is_finite_outcome(const struct outcomes *o, const double *a)
{
    for (int k = 0; k < o->slots; k++)
        if (!isfinite(a[k]))
            return false;
    return true;
}

static void work_each(struct outcomes *o)
{
    for (uint32_t c = 0; c < o->count; c++) {
        double *outcome = o->one + (size_t)c * (size_t)o->slots;
        outcome_from(o, retrace(o->retrace, &o->chance[c], NULL), outcome);
        o->is_silent[c] = !is_finite_outcome(o, outcome) || is_same_outcome(o, outcome, o->right);
    }
}

struct kept {
    uint32_t work; /* what it took */
    double outcome[];
};

/* A place where that pair is kept from now on; NULL: there is no room for it. */
static struct kept *keep(struct outcomes *o, uint32_t a, uint32_t b)
{
    struct arena *arena = o->items->w->arena;
    size_t row = o->two[a] ? 0 : o->count * sizeof **o->two;
    size_t entry = sizeof(struct kept) + (size_t)o->slots * sizeof(double);
    if (o->kept_bytes + row + entry > KEPT_BYTES)
        return NULL;
    if (!o->two[a])
        o->two[a] = arena_alloc(arena, row);
    if (!o->two[a])
        return NULL;
    o->kept_bytes += row + entry;
    return o->two[a][b] = arena_alloc(arena, entry);
}

const double *outcome_of_two(struct outcomes *o, uint32_t a, uint32_t b, uint64_t *work)
{
    struct work *w = o->items->w;
    struct kept *kept = o->two[a] ? o->two[a][b] : NULL;
    if (kept) {
        w->replayed += KEPT_WORK;
        *work += kept->work;
        return kept->outcome;
    }
    uint64_t before = w->replayed;
    const double *value = retrace(o->retrace, &o->chance[a], &o->chance[b]);
    kept = keep(o, a, b);
    double *outcome = kept ? kept->outcome : o->last_two;
    outcome_from(o, value, outcome);
    *work += w->replayed - before;
    if (kept)
        kept->work = (uint32_t)(w->replayed - before);
    return outcome;
}

/* ---- rounded too early ---- */

/* Two figures at some of the steps, or at all; whole degrees. What is handed in is written so as
 * well, or is as it was before that. */
static const struct early {
    int figures;
    unsigned rounded;
    bool whole_degrees;
} early_ways[EARLY_WAYS / 2] = {
    {3, ROUND_ALL, true},
    {2, ROUND_RATIOS, false},
    {2, ROUND_PRODUCTS, false},
    {2, ROUND_RATIOS | ROUND_PRODUCTS, false},
    {2, ROUND_SUMS, false},
    {2, ROUND_RATIOS | ROUND_SUMS, false},
    {2, ROUND_PRODUCTS | ROUND_SUMS, false},
    {2, ROUND_RATIOS | ROUND_PRODUCTS | ROUND_SUMS, false},
    {2, ROUND_ALL, false},
    {2, ROUND_ALL, true},
};

/* What is handed in before it is rounded itself. */
static void take_unrounded(const struct outcomes *o, const double *unrounded, double *value)
{
    const struct items *s = o->items;
    for (int i = 0; i < s->count; i++) {
        uint32_t node = o->slot[i] < 0 ? 0 : item_node(s->w, &s->item[i]);
        if (node)
            value[s->item[i].number[0].i] = unrounded[node];
    }
}

static bool work_early(struct outcomes *o)
{
    struct work *w = o->items->w;
    double *value = items_values(o->items), degree = RADIANS_PER_DEGREE;
    double *unrounded = arena_alloc(w->arena, w->node_count * sizeof *unrounded);
    size_t slots = (size_t)o->slots;
    o->early = arena_alloc(w->arena, EARLY_WAYS * slots * sizeof *o->early);
    if (!value || !unrounded || !o->early)
        return false;
    degree /= unit_angle_radians(w->units.angle);
    double *to = o->early;
    for (int k = 0; k < EARLY_WAYS / 2; k++) {
        const struct early *e = &early_ways[k];
        slip_replay(w,
                    &(struct replay){.figures = e->figures,
                                     .rounded = e->rounded,
                                     .angle_step = e->whole_degrees ? degree : 0.1 * degree,
                                     .unrounded = unrounded},
                    value);
        outcome_from(o, value, to);
        to += slots;
        take_unrounded(o, unrounded, value);
        outcome_from(o, value, to);
        to += slots;
    }
    return true;
}

const double *outcome_of_early(struct outcomes *o, int way)
{
    if (!o->early && !work_early(o))
        return NULL;
    return o->early + (size_t)way * (size_t)o->slots;
}

/* ---- all ---- */

static bool is_compared(const struct item *item)
{
    return item->kind == PART_NUMBER || item->kind == PART_DIRECTION;
}

static bool find_slots(struct outcomes *o, const bool *is_asked)
{
    struct items *s = o->items;
    o->slot = arena_alloc(s->w->arena, ((size_t)s->count + 1) * sizeof *o->slot);
    if (!o->slot)
        return false;
    for (int i = 0; i < s->count; i++) {
        o->slot[i] = -1;
        if (!is_asked[i] || !is_compared(&s->item[i]))
            continue;
        item_measured(s, i);
        o->slot[i] = o->slots;
        o->slots += s->item[i].kind == PART_DIRECTION ? 3 : 1;
    }
    return true;
}

static bool find_room(struct outcomes *o)
{
    struct arena *arena = o->items->w->arena;
    size_t size = ((size_t)o->slots + 1) * sizeof(double);
    o->right = arena_alloc(arena, size);
    o->last_two = arena_alloc(arena, size);
    o->one = arena_alloc(arena, (o->count + 1) * size);
    o->is_silent = arena_alloc(arena, o->count + 1);
    o->two = arena_alloc(arena, ((size_t)o->count + 1) * sizeof *o->two);
    return o->right && o->last_two && o->one && o->is_silent && o->two;
}

/* Which numbers of the tape stand in an outcome. */
static bool *wanted(const struct outcomes *o)
{
    const struct items *s = o->items;
    bool *is_wanted = arena_alloc(s->w->arena, s->w->node_count);
    for (int i = 0; is_wanted && i < s->count; i++) {
        if (o->slot[i] < 0)
            continue;
        is_wanted[item_node(s->w, &s->item[i])] = true;
        for (int k = 0; k < 3; k++)
            is_wanted[s->item[i].number[k].i] = true;
    }
    return is_wanted;
}

struct outcomes *outcomes_new(struct items *s, const bool *is_asked)
{
    struct work *w = s->w;
    struct outcomes *o = arena_alloc(w->arena, sizeof *o);
    if (!o)
        return NULL;
    o->items = s;
    if (!find_slots(o, is_asked))
        return NULL;
    declare_conversions(w);
    declare_units(o);
    o->chance = w->chance;
    o->count = w->chance_count;
    o->is_beyond = (uint64_t)o->count * w->node_count > REPLAY_BUDGET;
    if (o->is_beyond)
        o->count = 0;
    bool *is_wanted = wanted(o);
    o->retrace = is_wanted ? retrace_new(w, is_wanted) : NULL;
    if (!o->retrace || !find_room(o))
        return NULL;
    for (int i = 0; i < s->count; i++)
        if (o->slot[i] >= 0)
            memcpy(o->right + o->slot[i],
                   s->item[i].kind == PART_DIRECTION ? s->item[i].unit : &s->item[i].key,
                   (s->item[i].kind == PART_DIRECTION ? 3 : 1) * sizeof(double));
    work_each(o);
    return o;
}
