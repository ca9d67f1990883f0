#include "marking/diagnose.h"

#include <math.h>
#include <string.h>

/* A slip is recognised more tightly than an answer is marked. */
#define MATCH_OF_SCALE 0.005
/* A direction by itself: written to 0.1°, of a line written to three figures. */
#define MATCH_ANGLE (0.25 * RADIANS_PER_DEGREE)
/* Of these, where one number is all there is: chance matches are frequent. */
#define MATCH_ALONE 0.3
#define SAME_NUMBER 1e-9
/* One class stands out where the next fits this much worse. */
#define STANDS_OUT 4.0
#define STANDS_OUT_AT_LEAST 0.35
/* Pairs are tried where all of them together match a random answer more rarely than this; within
 * so small a share of the margins no student's rounding would fit. */
#define PAIRS_BY_CHANCE 1e-3
#define PAIRS_LEAST_MARGIN 0.3
#define PAIRS_MAX 300 /* chances: pairs of more would take too long */
#define NEAR_OF_SCALE 0.1
#define NEAR_ANGLE (10.0 * RADIANS_PER_DEGREE)
#define EARLY_MARGIN 1.5    /* the rest was rounded as well */
#define EARLY_OF_SCALE 0.05 /* rounding too early strays about that far */
/* Nodes times chances: a large truss is marked, and its mistakes are not named. Nodes times pairs
 * of one answer: no pair is named. */
#define REPLAY_BUDGET 20000000u

/* Where an item's numbers stand in an outcome; −1: it is in none. A direction has three. */
struct diagnoser {
    struct items *items;
    int *slot;
    int slots;
    const struct slip_chance *chance; /* those of the tape, and some of all answers at once */
    uint32_t count;
    struct retrace *retrace;
    double *outcome; /* count × slots; NaN: cannot be worked */
    bool *is_silent; /* changes none of the items */
    bool is_beyond;  /* too many chances for so large a problem: none is tried */
    double *right;   /* slots: the key */
    double *early;   /* EARLY_WAYS × slots: rounded too early */
};

/* ---- rounded too early ---- */

/* Two figures at some of the steps, or at all; whole degrees. What is handed in may have three. */
static const struct early {
    int figures;
    unsigned rounded;
    bool whole_degrees;
} early_ways[] = {
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
#define EARLY_WAYS (int)(sizeof early_ways / sizeof *early_ways)

static double *early_at(const struct diagnoser *d, int way)
{
    return d->early + (size_t)way * (size_t)d->slots;
}

/* ---- outcomes ---- */

static bool is_compared(const struct item *item)
{
    return item->kind == PART_NUMBER || item->kind == PART_DIRECTION;
}

static void outcome_of(const struct diagnoser *d, const double *value, double *ret)
{
    const struct items *s = d->items;
    double radian = unit_angle_radians(s->w->units.angle);
    for (int i = 0; i < s->count; i++) {
        if (d->slot[i] < 0)
            continue;
        const struct item *item = &s->item[i];
        double *to = ret + d->slot[i];
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
static void declare_units(struct diagnoser *d)
{
    static const struct {
        enum slip slip;
        double factor;
    } units[] = {{SLIP_UNIT_PREFIX, 1e3},
                 {SLIP_UNIT_PREFIX, 1e-3},
                 {SLIP_UNIT_POUND, 4.4482216152605},
                 {SLIP_UNIT_POUND, 1.0 / 4.4482216152605}};
    struct items *s = d->items;
    struct work *w = s->w;
    bool has[2] = {false, false};
    for (int i = 0; i < s->count; i++)
        for (int length = 0; length < 2; length++)
            has[length] =
                has[length] || (d->slot[i] >= 0 && is_dimension(w, &s->item[i], 1, length));
    for (int what = 0; what < 3; what++) { /* forces, moments, both */
        if ((what == 0 && !has[0]) || (what == 1 && !has[1]) || (what == 2 && !(has[0] && has[1])))
            continue;
        for (size_t u = 0; u < sizeof units / sizeof *units; u++) {
            if (units[u].slip == SLIP_UNIT_POUND && !has_pounds(w))
                continue;
            slip_begin(w, units[u].slip, NULL, NULL);
            for (int i = 0; i < s->count; i++)
                for (int length = 0; length < 2; length++)
                    if (d->slot[i] >= 0 && (what == length || what == 2) &&
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

static bool is_same_outcome(const struct diagnoser *d, const double *a, const double *b)
{
    const struct items *s = d->items;
    for (int i = 0; i < s->count; i++) {
        if (d->slot[i] < 0)
            continue;
        const double *x = a + d->slot[i], *y = b + d->slot[i];
        if (s->item[i].kind == PART_DIRECTION) {
            if (!(judge_angle_between(x, y) <= 1e-7))
                return false;
        } else if (!(fabs(x[0] - y[0]) <=
                     SAME_NUMBER * (fabs(y[0]) + s->item[i].scale + s->item[i].size))) {
            return false;
        }
    }
    return true;
}

static bool is_finite_outcome(const struct diagnoser *d, const double *a)
{
    for (int k = 0; k < d->slots; k++)
        if (!isfinite(a[k]))
            return false;
    return true;
}

static bool replay_all(struct diagnoser *d)
{
    struct work *w = d->items->w;
    double *value = items_values(d->items);
    bool *is_wanted = arena_alloc(w->arena, w->node_count);
    for (int i = 0; is_wanted && i < d->items->count; i++)
        for (int k = 0; d->slot[i] >= 0 && k < 3; k++)
            is_wanted[d->items->item[i].number[k].i] = true;
    d->retrace = is_wanted ? retrace_new(w, is_wanted) : NULL;
    d->outcome = arena_alloc(w->arena, ((size_t)d->count + 1) * (size_t)d->slots * sizeof(double));
    d->is_silent = arena_alloc(w->arena, d->count + 1);
    if (!value || !d->outcome || !d->is_silent || !d->retrace)
        return false;
    for (uint32_t c = 0; c < d->count; c++) {
        double *outcome = d->outcome + (size_t)c * (size_t)d->slots;
        outcome_of(d, retrace(d->retrace, &d->chance[c], NULL), outcome);
        d->is_silent[c] = !is_finite_outcome(d, outcome) || is_same_outcome(d, outcome, d->right);
    }
    double degree = RADIANS_PER_DEGREE / unit_angle_radians(w->units.angle);
    for (int k = 0; k < EARLY_WAYS; k++) {
        const struct early *e = &early_ways[k];
        slip_replay(w,
                    &(struct replay){.figures = e->figures,
                                     .rounded = e->rounded,
                                     .angle_step = e->whole_degrees ? degree : 0.1 * degree},
                    value);
        outcome_of(d, value, early_at(d, k));
    }
    return true;
}

struct diagnoser *diagnoser_new(struct items *s, const bool *is_asked)
{
    struct work *w = s->w;
    struct diagnoser *d = arena_alloc(w->arena, sizeof *d);
    if (!d)
        return NULL;
    d->items = s;
    d->slot = arena_alloc(w->arena, ((size_t)s->count + 1) * sizeof *d->slot);
    if (!d->slot)
        return NULL;
    for (int i = 0; i < s->count; i++) {
        d->slot[i] = -1;
        if (!is_asked[i] || !is_compared(&s->item[i]))
            continue;
        item_measured(s, i);
        d->slot[i] = d->slots;
        d->slots += s->item[i].kind == PART_DIRECTION ? 3 : 1;
    }
    d->right = arena_alloc(w->arena, ((size_t)d->slots + 1) * sizeof *d->right);
    d->early = arena_alloc(w->arena, ((size_t)d->slots + 1) * EARLY_WAYS * sizeof *d->early);
    if (!d->right || !d->early)
        return NULL;
    for (int i = 0; i < s->count; i++)
        if (d->slot[i] >= 0)
            memcpy(d->right + d->slot[i],
                   s->item[i].kind == PART_DIRECTION ? s->item[i].unit : &s->item[i].key,
                   (s->item[i].kind == PART_DIRECTION ? 3 : 1) * sizeof(double));
    declare_conversions(w);
    declare_units(d);
    d->chance = w->chance;
    d->count = w->chance_count;
    d->is_beyond = (uint64_t)d->count * w->node_count > REPLAY_BUDGET;
    if (d->is_beyond)
        d->count = 0;
    return replay_all(d) ? d : NULL;
}

bool diagnoser_is_beyond(const struct diagnoser *d) { return d->is_beyond; }

/* ---- fitting ---- */

/* What was handed in for the asked items. */
struct handed {
    struct diagnoser *d;
    const struct answer *a;
    const struct judged *judged;
    int count;
    double margin; /* 1, or MATCH_ALONE */
};

/* How far x is from what a slip gives, over how far it may be. */
static double misfit_of(const struct diagnoser *d, const struct item *item,
                        const struct given_item *given, const double *outcome)
{
    if (item->kind == PART_DIRECTION)
        return judge_angle_between(given->unit, outcome) / MATCH_ANGLE;
    double apart = given->value - outcome[0];
    if (item->is_angle) {
        double turn = unit_angle_turn(d->items->w->units.angle);
        return fabs(remainder(apart, turn)) / (MATCH_ANGLE * turn / RADIANS_PER_TURN);
    }
    double may = MATCH_OF_SCALE * fmax(fmin(item->scale, 4.0 * item->size), fabs(outcome[0]));
    return may > 0.0 ? fabs(apart) / may : apart == 0.0 ? 0.0 : HUGE_VAL;
}

static bool is_comparable(const struct handed *h, int i)
{
    return h->judged[i].item >= 0 && h->d->slot[h->judged[i].item] >= 0;
}

/* The answer in a larger unit is as much closer to 0: nothing is "0.001 times the key" for being
 * small. */
static double margin_of(const struct diagnoser *d, uint32_t c)
{
    const struct slip_chance *chance = &d->chance[c];
    bool is_unit = chance->slip == SLIP_UNIT_PREFIX || chance->slip == SLIP_UNIT_POUND;
    return is_unit && !chance->pointer ? fmin(1.0, d->items->w->edit[chance->first].times) : 1.0;
}

/* The largest misfit over all that was handed in, each over `margin`; HUGE_VAL as soon as one does
 * not fit. */
static double misfit(const struct handed *h, const double *outcome, double margin)
{
    double worst = 0.0;
    for (int i = 0; i < h->count; i++) {
        if (!is_comparable(h, i))
            continue;
        const struct given_item *given = answer_find(h->a, h->judged[i].item);
        if (!given)
            continue;
        if (given->state != GIVEN_VALUE)
            return HUGE_VAL;
        const struct item *item = &h->d->items->item[h->judged[i].item];
        const double *slot = outcome + h->d->slot[h->judged[i].item];
        double m = misfit_of(h->d, item, given, slot) / margin;
        if (!(m <= h->margin))
            return HUGE_VAL;
        worst = fmax(worst, m);
    }
    return worst;
}

static const double *outcome_at(const struct diagnoser *d, uint32_t c)
{
    return d->outcome + (size_t)c * (size_t)d->slots;
}

static bool is_same_item(const struct handed *h, const double *a, const double *b, int item)
{
    const struct items *s = h->d->items;
    const double *x = a + h->d->slot[item], *y = b + h->d->slot[item];
    if (s->item[item].kind == PART_DIRECTION)
        return judge_angle_between(x, y) <= 1e-6;
    return fabs(x[0] - y[0]) <= 1e-7 * (fabs(y[0]) + s->item[item].size);
}

/* Do two outcomes give the same numbers for all that was handed in? */
static bool is_same_class(const struct handed *h, const double *a, const double *b)
{
    for (int i = 0; i < h->count; i++)
        if (is_comparable(h, i) && answer_find(h->a, h->judged[i].item) &&
            !is_same_item(h, a, b, h->judged[i].item))
            return false;
    return true;
}

static void add_code(struct mistake *m, enum slip slip)
{
    for (int k = 0; k < m->code_count; k++)
        if (m->code[k] == slip)
            return;
    if (m->code_count == ALTERNATIVES_MAX)
        return;
    int at = m->code_count++; /* in the order of the catalogue */
    for (; at > 0 && m->code[at - 1] > slip; at--)
        m->code[at] = m->code[at - 1];
    m->code[at] = slip;
}

static bool is_same_place(const struct slip_chance *a, const struct slip_chance *b)
{
    if (!a->pointer || !b->pointer)
        return a->pointer == b->pointer;
    return strcmp(a->pointer, b->pointer) == 0;
}

/* Name the chance, with the wrong items that `outcome` changes. */
static struct mistake *add_mistake(const struct handed *h, struct diagnosis *ret,
                                   const struct slip_chance *chance, const double *outcome)
{
    if (ret->count == MISTAKES_MAX)
        return NULL;
    struct mistake *m = &ret->mistake[ret->count];
    *m = (struct mistake){.chance = chance, .is_same_at = true};
    add_code(m, chance->slip);
    m->explains = arena_alloc(h->d->items->w->arena, ((size_t)h->count + 1) * sizeof *m->explains);
    if (!m->explains)
        return NULL;
    for (int i = 0; i < h->count; i++) {
        bool is_wrong =
            h->judged[i].verdict == VERDICT_INCORRECT || h->judged[i].verdict == VERDICT_FOLLOWS;
        if (is_wrong && is_comparable(h, i) &&
            !is_same_item(h, outcome, h->d->right, h->judged[i].item))
            m->explains[m->explains_count++] = h->judged[i].item;
    }
    ret->count += m->explains_count > 0;
    return m;
}

/* ---- one slip ---- */

struct fit {
    uint32_t chance;
    double misfit;
};

#define FITS_MAX 16

/* The classes that fit, the best first; how many. */
static int fits_of(const struct handed *h, struct fit fit[FITS_MAX])
{
    int count = 0;
    for (uint32_t c = 0; c < h->d->count; c++) {
        if (h->d->is_silent[c])
            continue;
        double m = misfit(h, outcome_at(h->d, c), margin_of(h->d, c));
        if (!(m <= 1.0))
            continue;
        bool is_known = false;
        for (int k = 0; k < count && !is_known; k++)
            is_known = is_same_class(h, outcome_at(h->d, fit[k].chance), outcome_at(h->d, c));
        if (is_known || count == FITS_MAX)
            continue;
        int at = count++;
        for (; at > 0 && fit[at - 1].misfit > m; at--)
            fit[at] = fit[at - 1];
        fit[at] = (struct fit){c, m};
    }
    return count;
}

static void add_class(const struct handed *h, struct diagnosis *ret, uint32_t first)
{
    const double *outcome = outcome_at(h->d, first);
    struct mistake *m = add_mistake(h, ret, &h->d->chance[first], outcome);
    for (uint32_t c = first + 1; m && c < h->d->count; c++) {
        if (h->d->is_silent[c] || !is_same_class(h, outcome, outcome_at(h->d, c)))
            continue;
        add_code(m, h->d->chance[c].slip);
        m->is_same_at = m->is_same_at && is_same_place(m->chance, &h->d->chance[c]);
    }
}

static bool name_one(const struct handed *h, struct diagnosis *ret)
{
    struct fit fit[FITS_MAX];
    int count = fits_of(h, fit);
    if (count == 0)
        return false;
    double bound = fmax(STANDS_OUT * fit[0].misfit, STANDS_OUT_AT_LEAST);
    int named = 1;
    while (named < count && named < MISTAKES_MAX && fit[named].misfit <= bound)
        named++;
    for (int k = 0; k < named; k++)
        add_class(h, ret, fit[k].chance);
    ret->is_one_of = ret->count > 1;
    return ret->count > 0;
}

/* ---- two slips ---- */

/* The share of all numbers that one outcome matches by chance: twice its margin over four times its
 * size. */
static double chance_of_match(const struct item *item)
{
    if (item->kind == PART_DIRECTION || item->is_angle)
        return 2.0 * MATCH_ANGLE / RADIANS_PER_TURN;
    bool is_magnitude = item->vector < 0 && item->force >= 0 && !q_is_none(item->number[0]);
    return is_magnitude ? MATCH_OF_SCALE : 0.5 * MATCH_OF_SCALE;
}

/* What was handed in, as bits: which items a chance changes, the first of them that is worked out,
 * and which it gives as handed in. */
struct traits {
    uint64_t changes, first, fits;
    uint64_t edits; /* which numbers of the tape it edits, folded: of two that edit the same one the
                       bits meet */
};

/* The items that are compared, in order; more than fit a mask: 0. */
static int compared_items(const struct handed *h, int ret[64])
{
    int count = 0;
    for (int i = 0; i < h->count; i++) {
        if (!is_comparable(h, i) || !answer_find(h->a, h->judged[i].item))
            continue;
        if (count == 64)
            return 0;
        ret[count++] = h->judged[i].item;
    }
    return count;
}

static bool fits_item(const struct handed *h, int item, const double *outcome, double margin)
{
    const struct given_item *given = answer_find(h->a, item);
    return given->state == GIVEN_VALUE &&
           misfit_of(h->d, &h->d->items->item[item], given, outcome) <= margin;
}

/* Everything that pairs are compared by. */
struct pairing {
    struct handed h; /* with a margin of its own */
    int item[64], items;
    uint32_t node[64];          /* where each is worked out */
    uint64_t all, right, wrong; /* right: as in the key; wrong: and not from other numbers */
    struct traits *traits;
};

static struct traits traits_of(const struct pairing *p, const double *outcome)
{
    const struct handed *h = &p->h;
    struct traits t = {0};
    uint32_t first = UINT32_MAX;
    for (int k = 0; k < p->items; k++) {
        uint64_t bit = (uint64_t)1 << k;
        if (fits_item(h, p->item[k], outcome + h->d->slot[p->item[k]], 1.0))
            t.fits |= bit;
        if (is_same_item(h, outcome, h->d->right, p->item[k]))
            continue;
        t.changes |= bit;
        if (p->node[k] < first) {
            first = p->node[k];
            t.first = bit;
        }
    }
    return t;
}

static struct traits traits_of_chance(const struct pairing *p, uint32_t c)
{
    const struct diagnoser *d = p->h.d;
    struct traits t = traits_of(p, outcome_at(d, c));
    for (uint32_t e = 0; e < d->chance[c].count; e++)
        t.edits |= (uint64_t)1 << (d->items->w->edit[d->chance[c].first + e].right % 61);
    return t;
}

/* A slip of a pair shows first in a number that is wrong by itself: what comes after follows. */
static bool may_be_of_pair(const struct pairing *p, uint32_t c)
{
    return !p->h.d->is_silent[c] && (p->traits[c].first & p->wrong);
}

/* The share of their margins within which pairs are to match, so that a random answer is matched
 * more rarely than PAIRS_BY_CHANCE by all of them together. What is right, or follows from other
 * numbers of the student, is no evidence: left are the numbers that are wrong by themselves, and
 * the pairs that leave alone what is right. */
static double margin_of_pairs(const struct pairing *p)
{
    double chance = 1.0, alone = 0.0;
    int wrong = __builtin_popcountll(p->wrong);
    for (uint64_t rest = p->wrong; rest; rest &= rest - 1)
        chance *= chance_of_match(&p->h.d->items->item[p->item[__builtin_ctzll(rest)]]);
    for (uint32_t c = 0; c < p->h.d->count; c++)
        alone += may_be_of_pair(p, c) && !(p->traits[c].changes & p->right);
    chance *= 0.5 * alone * alone;
    if (wrong < 2)
        return 0.0;
    return chance > PAIRS_BY_CHANCE ? pow(PAIRS_BY_CHANCE / chance, 1.0 / wrong) : 1.0;
}

/* Not what changes neither, or one alone; what two forces change adds up where it is a component.
 */
static bool may_fit(const struct pairing *p, uint32_t i, uint32_t j)
{
    const struct diagnoser *d = p->h.d;
    struct traits a = p->traits[i], b = p->traits[j];
    uint64_t both = a.changes & b.changes, none = p->all & ~(a.changes | b.changes);
    if (none & ~p->right)
        return false;
    if (a.edits & b.edits) /* one is made of what the other leaves */
        return true;
    if ((a.changes & ~both & ~a.fits) || (b.changes & ~both & ~b.fits))
        return false;
    const double *x = outcome_at(d, i), *y = outcome_at(d, j);
    for (; both; both &= both - 1) {
        int k = p->item[__builtin_ctzll(both)], at = d->slot[k];
        if (d->items->item[k].vector < 0)
            continue;
        double sum = x[at] + y[at] - d->right[at];
        if (!fits_item(&p->h, k, &sum, 2.0))
            return false;
    }
    return true;
}

/* Where an item is worked out; a direction of several numbers behind them. */
static uint32_t node_of(const struct work *w, const struct item *item)
{
    uint32_t node = judge_node_of(w, item);
    return node ? node : item->number[0].i;
}

static bool pairing_init(struct pairing *p, const struct handed *h)
{
    const struct diagnoser *d = h->d;
    *p = (struct pairing){.h = *h};
    p->items = compared_items(h, p->item);
    p->traits = arena_alloc(d->items->w->arena, ((size_t)d->count + 1) * sizeof *p->traits);
    if (p->items == 0 || !p->traits)
        return false;
    for (int k = 0; k < p->items; k++)
        p->node[k] = node_of(d->items->w, &d->items->item[p->item[k]]);
    for (int i = 0, k = 0; i < h->count && k < p->items; i++) {
        if (h->judged[i].item != p->item[k])
            continue;
        if (h->judged[i].verdict == VERDICT_INCORRECT && !answer_find(h->a, p->item[k])->is_derived)
            p->wrong |= (uint64_t)1 << k;
        k++;
    }
    p->all = p->items == 64 ? ~(uint64_t)0 : ((uint64_t)1 << p->items) - 1;
    p->right = traits_of(p, d->right).fits;
    for (uint32_t c = 0; c < d->count; c++)
        if (!d->is_silent[c])
            p->traits[c] = traits_of_chance(p, c);
    p->h.margin = margin_of_pairs(p);
    return p->h.margin >= PAIRS_LEAST_MARGIN;
}

/* How much a pair spoils that is right, by one slip, and the other mends. */
static int spoilt_by(const struct pairing *p, uint32_t i, uint32_t j)
{
    return __builtin_popcountll((p->traits[i].changes | p->traits[j].changes) & p->right);
}

static bool name_two(const struct handed *h, struct diagnosis *ret)
{
    struct diagnoser *d = h->d;
    struct pairing p;
    if (d->count > PAIRS_MAX || !pairing_init(&p, h))
        return false;
    double *outcome = d->outcome + (size_t)d->count * (size_t)d->slots; /* room for one more */
    uint32_t best[2] = {0, 0};
    double least = HUGE_VAL, second = HUGE_VAL;
    double *kept = arena_alloc(d->items->w->arena, ((size_t)d->slots + 1) * sizeof *kept);
    uint64_t before = d->items->w->replayed;
    if (!kept)
        return false;
    for (uint32_t i = 0; i < d->count; i++) {
        for (uint32_t j = i + 1; j < d->count && may_be_of_pair(&p, i); j++) {
            if (!may_be_of_pair(&p, j) || !may_fit(&p, i, j))
                continue;
            if (d->items->w->replayed - before > REPLAY_BUDGET)
                return false;
            outcome_of(d, retrace(d->retrace, &d->chance[i], &d->chance[j]), outcome);
            double m = misfit(&p.h, outcome, margin_of(d, i) * margin_of(d, j));
            if (!isfinite(m))
                continue;
            bool is_same = isfinite(least) && is_same_class(h, outcome, kept);
            if (is_same ? spoilt_by(&p, i, j) < spoilt_by(&p, best[0], best[1]) : m < least) {
                second = is_same ? second : least;
                least = m;
                best[0] = i;
                best[1] = j;
                memcpy(kept, outcome, (size_t)d->slots * sizeof *kept);
            } else if (!is_same && m < second) {
                second = m;
            }
        }
    }
    if (!isfinite(least) || second <= fmax(STANDS_OUT * least, STANDS_OUT_AT_LEAST))
        return false;
    for (int k = 0; k < 2; k++)
        add_mistake(h, ret, &d->chance[best[k]], outcome_at(d, best[k]));
    return ret->count > 0;
}

/* ---- one slip, given the student's own other numbers ---- */

#define EXPLAINED_MIN 2 /* numbers: one alone is explained by chance too often */

/* What a number would be, given a slip and the student's earlier numbers: as it was handed in? */
static bool fits_computed(const struct handed *h, int judged, double computed, double margin)
{
    const struct item *item = &h->d->items->item[h->judged[judged].item];
    const struct given_item *given = answer_find(h->a, h->judged[judged].item);
    double radian = unit_angle_radians(h->d->items->w->units.angle);
    double outcome[3] = {computed, 0.0, 0.0};
    if (item->kind == PART_DIRECTION) {
        outcome[0] = cos(computed * radian);
        outcome[1] = sin(computed * radian);
    }
    return isfinite(computed) && misfit_of(h->d, item, given, outcome) <= margin;
}

/* Does none of the student's numbers enter another? Then a slip gives what it gives by itself. */
static bool are_independent(const struct handed *h, const struct own_numbers *n, double *value)
{
    double computed[OWN_NUMBERS_MAX];
    slip_replay(
        h->d->items->w,
        &(struct replay){.own = n->own, .own_count = (uint32_t)n->count, .computed = computed},
        value);
    for (int k = 0; k < n->count; k++) {
        double right = h->d->items->w->node[n->own[k].node].num.value;
        if (!(fabs(computed[k] - right) <= SAME_NUMBER * fabs(right)))
            return false;
    }
    return true;
}

/* Could it explain so many wrong numbers, and leave those alone that are right? By what it gives by
 * itself. */
static bool may_explain(const struct handed *h, const struct own_numbers *n, const double *outcome,
                        bool is_alone)
{
    int explained = 0;
    for (int k = 0; k < n->count; k++) {
        const struct judged *j = &h->judged[n->judged[k]];
        bool changes = !is_same_item(h, outcome, h->d->right, j->item);
        bool fits =
            (changes || is_alone) && fits_item(h, j->item, outcome + h->d->slot[j->item], 1.0);
        if (j->verdict == VERDICT_CORRECT && changes && !fits)
            return false;
        explained += j->verdict == VERDICT_INCORRECT && changes && (fits || !is_alone);
    }
    return explained >= EXPLAINED_MIN;
}

/* How many wrong numbers it explains; 0 where it spoils one that was right or followed. */
static int explained_by(const struct handed *h, const struct own_numbers *n, uint32_t c,
                        double *value, int ret_explained[OWN_NUMBERS_MAX])
{
    double computed[OWN_NUMBERS_MAX], margin = margin_of(h->d, c);
    int count = 0;
    slip_replay(h->d->items->w,
                &(struct replay){.chance = {&h->d->chance[c]},
                                 .own = n->own,
                                 .own_count = (uint32_t)n->count,
                                 .computed = computed},
                value);
    for (int k = 0; k < n->count; k++) {
        bool is_wrong = h->judged[n->judged[k]].verdict == VERDICT_INCORRECT;
        bool fits = fits_computed(h, n->judged[k], computed[k], margin);
        if (!is_wrong && !fits)
            return 0;
        if (is_wrong && fits)
            ret_explained[count++] = h->judged[n->judged[k]].item;
    }
    return count;
}

static bool name_within(const struct handed *h, struct diagnosis *ret)
{
    struct own_numbers n;
    int explained[OWN_NUMBERS_MAX], best[OWN_NUMBERS_MAX], most = EXPLAINED_MIN - 1;
    double *value = items_values(h->d->items);
    const struct slip_chance *chance = NULL;
    bool is_one = false;
    judge_own_numbers(h->d->items, h->a, h->judged, h->count, &n);
    bool is_alone = value && are_independent(h, &n, value);
    for (uint32_t c = 0; value && n.count > EXPLAINED_MIN && c < h->d->count; c++) {
        if (h->d->is_silent[c] || !may_explain(h, &n, outcome_at(h->d, c), is_alone))
            continue;
        int count = explained_by(h, &n, c, value, explained);
        if (count < most || count < EXPLAINED_MIN)
            continue;
        is_one = count > most || h->d->chance[c].slip == chance->slip;
        if (count == most)
            continue;
        most = count;
        chance = &h->d->chance[c];
        memcpy(best, explained, (size_t)count * sizeof *best);
    }
    if (!chance || !is_one)
        return false;
    struct mistake *m = &ret->mistake[0];
    *m = (struct mistake){.chance = chance, .is_same_at = true, .explains_count = most};
    add_code(m, chance->slip);
    m->explains = arena_alloc(h->d->items->w->arena, (size_t)most * sizeof *m->explains);
    if (!m->explains)
        return false;
    memcpy(m->explains, best, (size_t)most * sizeof *best);
    ret->count = 1;
    return true;
}

/* ---- rounding too early ---- */

static double off_key(const struct handed *h, int i)
{
    const struct item *item = &h->d->items->item[h->judged[i].item];
    const struct given_item *given = answer_find(h->a, h->judged[i].item);
    if (!given || given->state != GIVEN_VALUE)
        return HUGE_VAL;
    if (item->kind == PART_DIRECTION)
        return judge_angle_between(given->unit, item->unit) / NEAR_ANGLE * NEAR_OF_SCALE;
    double apart = given->value - item->key;
    if (item->is_angle) {
        double turn = unit_angle_turn(h->d->items->w->units.angle);
        return fabs(remainder(apart, turn)) / turn * RADIANS_PER_TURN / NEAR_ANGLE * NEAR_OF_SCALE;
    }
    return fabs(apart) / fmax(item->scale, item->size);
}

static bool is_within(const struct handed *h, double share)
{
    for (int i = 0; i < h->count; i++) {
        if (h->judged[i].verdict == VERDICT_MISSING)
            continue;
        if (!is_comparable(h, i) || !(off_key(h, i) <= share))
            return false;
    }
    return true;
}

static bool name_rounding(const struct handed *h, struct diagnosis *ret)
{
    static const struct slip_chance chance = {.slip = SLIP_ROUND_EARLY};
    if (!is_within(h, EARLY_OF_SCALE))
        return false;
    for (int k = 0; k < EARLY_WAYS; k++) {
        bool fits = true;
        for (int i = 0; i < h->count && fits; i++) {
            const struct given_item *given = answer_find(h->a, h->judged[i].item);
            if (!is_comparable(h, i) || !given)
                continue;
            const struct item *item = &h->d->items->item[h->judged[i].item];
            const double *slot = early_at(h->d, k) + h->d->slot[h->judged[i].item];
            fits = misfit_of(h->d, item, given, slot) <= EARLY_MARGIN * h->margin;
        }
        if (fits && add_mistake(h, ret, &chance, early_at(h->d, k)) && ret->count > 0)
            return true;
    }
    return false;
}

void diagnose(struct diagnoser *d, const struct answer *a, const struct judged *judged, int count,
              struct diagnosis *ret)
{
    struct handed h = {d, a, judged, count, 1.0};
    bool is_any_wrong = false;
    int compared = 0;
    *ret = (struct diagnosis){0};
    for (int i = 0; i < count; i++)
        compared += is_comparable(&h, i) && answer_find(a, judged[i].item);
    if (compared == 1)
        h.margin = MATCH_ALONE;
    for (int i = 0; i < count; i++)
        is_any_wrong = is_any_wrong || judged[i].verdict == VERDICT_INCORRECT;
    if (!is_any_wrong || name_one(&h, ret) || name_two(&h, ret) || name_within(&h, ret) ||
        name_rounding(&h, ret))
        return;
    ret->is_unnamed = !d->is_beyond;
    ret->is_near = is_within(&h, NEAR_OF_SCALE);
}
