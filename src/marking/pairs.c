#include "marking/pairs.h"

#include <math.h>
#include <string.h>

#include "marking/measure.h"

/* Pairs are tried where all of them together match a random answer more rarely than this; within
 * so small a share of the margins no student's rounding would fit. */
#define PAIRS_BY_CHANCE 1e-3
#define PAIRS_LEAST_MARGIN 0.3
#define PAIRS_MAX 300  /* chances: pairs of more would take too long */
#define NUMBERS_MAX 64 /* that are compared: a bit each */

/* The share of all numbers that one outcome matches by chance: twice its margin over four times its
 * size. */
static double chance_of_match(const struct item *item)
{
    if (item->kind == PART_DIRECTION || item->is_angle)
        return 2.0 * MATCH_ANGLE / RADIANS_PER_TURN;
    bool is_magnitude = item->vector < 0 && item->force >= 0 && !q_is_none(item->number[0]);
    return is_magnitude ? MATCH_OF_SCALE : 0.5 * MATCH_OF_SCALE;
}

/* What was handed in, as bits: which numbers a chance changes, the first of them that is worked
 * out, and which it gives as handed in. */
struct traits {
    uint32_t chance;
    uint64_t changes, first, fits;
    uint64_t edits; /* which numbers of the tape it edits, folded: of two that edit the same one the
                       bits meet */
};

/* Everything that pairs are compared by. */
struct pairing {
    struct handed h;              /* with a margin of its own */
    int at[NUMBERS_MAX], numbers; /* the judged that are compared */
    uint32_t node[NUMBERS_MAX];   /* where each is worked out */
    uint64_t all, right, wrong;   /* right: as in the key; wrong: and not from other numbers */
    struct traits *traits;        /* of the chances that may be of a pair */
    uint32_t count;
};

/* Where an item is worked out; a direction of several numbers behind them. */
static uint32_t node_of(const struct work *w, const struct item *item)
{
    uint32_t node = item_node(w, item);
    return node ? node : item->number[0].i;
}

/* False: more numbers than fit a mask, or none. */
static bool find_numbers(struct pairing *p)
{
    const struct handed *h = &p->h;
    for (int i = 0; i < h->count; i++) {
        const struct compared *one = &h->compared[i];
        if (!one->given)
            continue;
        if (p->numbers == NUMBERS_MAX)
            return false;
        uint64_t bit = (uint64_t)1 << p->numbers;
        p->all |= bit;
        if (h->judged[i].verdict == VERDICT_INCORRECT && !one->given->is_derived)
            p->wrong |= bit;
        p->node[p->numbers] = node_of(h->o->items->w, one->item);
        p->at[p->numbers++] = i;
    }
    return p->numbers > 0;
}

static struct traits traits_of(const struct pairing *p, const double *outcome)
{
    const struct handed *h = &p->h;
    struct traits t = {0};
    uint32_t first = UINT32_MAX;
    for (int k = 0; k < p->numbers; k++) {
        uint64_t bit = (uint64_t)1 << k;
        if (fit_number(h, p->at[k], outcome, 1.0))
            t.fits |= bit;
        if (fit_same_number(h, p->at[k], outcome, h->o->right))
            continue;
        t.changes |= bit;
        if (p->node[k] < first) {
            first = p->node[k];
            t.first = bit;
        }
    }
    return t;
}

static uint64_t edits_of(const struct outcomes *o, uint32_t c)
{
    uint64_t edits = 0;
    for (uint32_t e = 0; e < o->chance[c].count; e++)
        edits |= (uint64_t)1 << (o->items->w->edit[o->chance[c].first + e].right % 61);
    return edits;
}

/* A slip of a pair shows first in a number that is wrong by itself: what comes after follows. */
static void find_chances(struct pairing *p)
{
    const struct outcomes *o = p->h.o;
    for (uint32_t c = 0; c < o->count; c++) {
        if (o->is_silent[c])
            continue;
        struct traits t = traits_of(p, outcome_of_one(o, c));
        t.chance = c;
        t.edits = edits_of(o, c);
        if (t.first & p->wrong)
            p->traits[p->count++] = t;
    }
}

/* The share of their margins within which pairs are to match, so that a random answer is matched
 * more rarely than PAIRS_BY_CHANCE by all of them together. What is right, or follows from other
 * numbers of the student, is no evidence: left are the numbers that are wrong by themselves, and
 * the pairs that leave alone what is right. */
static double margin_of_pairs(const struct pairing *p)
{
    double chance = 1.0, alone = 0.0;
    int wrong = __builtin_popcountll(p->wrong);
    if (wrong < 2)
        return 0.0;
    for (uint64_t rest = p->wrong; rest; rest &= rest - 1)
        chance *= chance_of_match(p->h.compared[p->at[__builtin_ctzll(rest)]].item);
    for (uint32_t k = 0; k < p->count; k++)
        alone += !(p->traits[k].changes & p->right);
    chance *= 0.5 * alone * alone;
    return chance > PAIRS_BY_CHANCE ? pow(PAIRS_BY_CHANCE / chance, 1.0 / wrong) : 1.0;
}

static bool pairing_init(struct pairing *p, const struct handed *h)
{
    const struct outcomes *o = h->o;
    *p = (struct pairing){.h = *h};
    if (!find_numbers(p))
        return false;
    p->traits = arena_alloc(o->items->w->arena, ((size_t)o->count + 1) * sizeof *p->traits);
    if (!p->traits)
        return false;
    p->right = traits_of(p, o->right).fits;
    find_chances(p);
    p->h.margin = margin_of_pairs(p);
    return p->h.margin >= PAIRS_LEAST_MARGIN;
}

/* What two forces change adds up where it is a component. */
static bool may_add_up(const struct pairing *p, const struct traits *a, const struct traits *b)
{
    const struct outcomes *o = p->h.o;
    const double *x = outcome_of_one(o, a->chance), *y = outcome_of_one(o, b->chance);
    for (uint64_t both = a->changes & b->changes; both; both &= both - 1) {
        int i = p->at[__builtin_ctzll(both)];
        const struct compared *one = &p->h.compared[i];
        if (one->item->vector < 0)
            continue;
        double sum = x[one->slot] + y[one->slot] - o->right[one->slot];
        if (one->given->state != GIVEN_VALUE || !(fit_apart(&p->h, i, &sum) <= 2.0))
            return false;
    }
    return true;
}

/* Not what leaves alone a number that is wrong; nor what one changes alone, and to another number.
 */
static bool may_fit(const struct pairing *p, const struct traits *a, const struct traits *b)
{
    if (p->all & ~(a->changes | b->changes | p->right))
        return false;
    if (a->edits & b->edits) /* one is made of what the other leaves */
        return true;
    if ((a->changes & ~b->changes & ~a->fits) || (b->changes & ~a->changes & ~b->fits))
        return false;
    return may_add_up(p, a, b);
}

/* The best so far, and how well the next class fits. */
struct best {
    uint32_t chance[2];
    double misfit, next;
    int spoilt; /* how much it spoils that is right, by one slip, and the other mends */
    double *outcome;
};

static void compare(const struct pairing *p, const struct traits *a, const struct traits *b,
                    const double *outcome, struct best *best)
{
    const struct outcomes *o = p->h.o;
    double misfit = fit_all(&p->h, outcome, fit_margin(o, a->chance) * fit_margin(o, b->chance));
    if (!isfinite(misfit))
        return;
    int spoilt = __builtin_popcountll((a->changes | b->changes) & p->right);
    bool is_same = isfinite(best->misfit) && fit_same_class(&p->h, outcome, best->outcome);
    if (is_same ? spoilt < best->spoilt : misfit < best->misfit) {
        best->next = is_same ? best->next : best->misfit;
        best->misfit = misfit;
        best->spoilt = spoilt;
        best->chance[0] = a->chance;
        best->chance[1] = b->chance;
        memcpy(best->outcome, outcome, (size_t)o->slots * sizeof *outcome);
    } else if (!is_same && misfit < best->next) {
        best->next = misfit;
    }
}

bool pairs_find(const struct handed *h, uint32_t ret_chance[2])
{
    struct outcomes *o = h->o;
    struct pairing p;
    if (o->count > PAIRS_MAX || !pairing_init(&p, h))
        return false;
    struct best best = {.misfit = HUGE_VAL, .next = HUGE_VAL};
    best.outcome = arena_alloc(o->items->w->arena, ((size_t)o->slots + 1) * sizeof(double));
    if (!best.outcome)
        return false;
    uint64_t work = 0;
    for (const struct traits *a = p.traits; a < p.traits + p.count; a++)
        for (const struct traits *b = a + 1; b < p.traits + p.count; b++) {
            if (!may_fit(&p, a, b))
                continue;
            if (work > REPLAY_BUDGET)
                return false;
            compare(&p, a, b, outcome_of_two(o, a->chance, b->chance, &work), &best);
        }
    memcpy(ret_chance, best.chance, sizeof best.chance);
    return isfinite(best.misfit) && best.next > fmax(STANDS_OUT * best.misfit, STANDS_OUT_AT_LEAST);
}
