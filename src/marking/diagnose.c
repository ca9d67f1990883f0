#include "marking/diagnose.h"

#include <math.h>
#include <string.h>

#include "marking/follow.h"
#include "marking/pairs.h"

#define NEAR_OF_SCALE 0.1
#define NEAR_ANGLE (10.0 * RADIANS_PER_DEGREE)
#define EARLY_MARGIN 1.5    /* the rest was rounded as well */
#define EARLY_OF_SCALE 0.05 /* rounding too early strays about that far */

/* ---- naming ---- */

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
    m->explains = arena_alloc(h->o->items->w->arena, ((size_t)h->count + 1) * sizeof *m->explains);
    if (!m->explains)
        return NULL;
    for (int i = 0; i < h->count; i++) {
        bool is_wrong =
            h->judged[i].verdict == VERDICT_INCORRECT || h->judged[i].verdict == VERDICT_FOLLOWS;
        if (is_wrong && h->compared[i].given && !fit_same_number(h, i, outcome, h->o->right))
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
    for (uint32_t c = 0; c < h->o->count; c++) {
        if (h->o->is_silent[c])
            continue;
        double m = fit_all(h, outcome_of_one(h->o, c), fit_margin(h->o, c));
        if (!(m <= 1.0))
            continue;
        bool is_known = false;
        for (int k = 0; k < count && !is_known; k++)
            is_known =
                fit_same_class(h, outcome_of_one(h->o, fit[k].chance), outcome_of_one(h->o, c));
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
    const double *outcome = outcome_of_one(h->o, first);
    struct mistake *m = add_mistake(h, ret, &h->o->chance[first], outcome);
    for (uint32_t c = first + 1; m && c < h->o->count; c++) {
        if (h->o->is_silent[c] || !fit_same_class(h, outcome, outcome_of_one(h->o, c)))
            continue;
        add_code(m, h->o->chance[c].slip);
        m->is_same_at = m->is_same_at && is_same_place(m->chance, &h->o->chance[c]);
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

static bool name_two(const struct handed *h, struct diagnosis *ret)
{
    uint32_t chance[2];
    if (!pairs_find(h, chance))
        return false;
    for (int k = 0; k < 2; k++)
        add_mistake(h, ret, &h->o->chance[chance[k]], outcome_of_one(h->o, chance[k]));
    return ret->count > 0;
}

/* ---- one slip, given the student's own other numbers ---- */

#define EXPLAINED_MIN 2 /* numbers: one alone is explained by chance too often */

/* What a number would be, given a slip and the student's earlier numbers: as it was handed in? */
static bool fits_computed(const struct handed *h, int judged, double computed, double margin)
{
    double radian = unit_angle_radians(h->o->items->w->units.angle);
    double outcome[3] = {computed, 0.0, 0.0};
    if (h->compared[judged].item->kind == PART_DIRECTION) {
        outcome[0] = cos(computed * radian);
        outcome[1] = sin(computed * radian);
    }
    return isfinite(computed) && fit_apart(h, judged, outcome) <= margin;
}

/* Does none of the student's numbers enter another? Then a slip gives what it gives by itself. */
static bool are_independent(const struct handed *h, const struct own_numbers *n)
{
    retrace(h->o->retrace, NULL, NULL);
    const double *computed = retrace_computed(h->o->retrace);
    for (int k = 0; k < n->count; k++) {
        double right = h->o->items->w->node[n->own[k].node].num.value;
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
        int i = n->judged[k];
        enum verdict verdict = h->judged[i].verdict;
        bool changes = !fit_same_number(h, i, outcome, h->o->right);
        bool fits = (changes || is_alone) && fit_number(h, i, outcome, 1.0);
        if (verdict == VERDICT_CORRECT && changes && !fits)
            return false;
        explained += verdict == VERDICT_INCORRECT && changes && (fits || !is_alone);
    }
    return explained >= EXPLAINED_MIN;
}

/* How many wrong numbers it explains; 0 where it spoils one that was right or followed. */
static int explained_by(const struct handed *h, const struct own_numbers *n, uint32_t c,
                        int ret_explained[OWN_NUMBERS_MAX])
{
    double margin = fit_margin(h->o, c);
    int count = 0;
    retrace(h->o->retrace, &h->o->chance[c], NULL);
    const double *computed = retrace_computed(h->o->retrace);
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

/* The slip that explains most, if it is one: the items, how many. 0: none. */
static int explain_most(const struct handed *h, const struct own_numbers *n,
                        const struct slip_chance **ret_chance, int ret_explained[OWN_NUMBERS_MAX])
{
    int explained[OWN_NUMBERS_MAX], most = EXPLAINED_MIN - 1;
    const struct slip_chance *chance = NULL;
    bool is_one = false, is_alone = are_independent(h, n);
    for (uint32_t c = 0; c < h->o->count; c++) {
        if (h->o->is_silent[c] || !may_explain(h, n, outcome_of_one(h->o, c), is_alone))
            continue;
        int count = explained_by(h, n, c, explained);
        if (count < most || count < EXPLAINED_MIN)
            continue;
        is_one = count > most || h->o->chance[c].slip == chance->slip;
        if (count == most)
            continue;
        most = count;
        chance = &h->o->chance[c];
        memcpy(ret_explained, explained, (size_t)count * sizeof *explained);
    }
    *ret_chance = chance;
    return chance && is_one ? most : 0;
}

static bool name_within(const struct handed *h, struct diagnosis *ret)
{
    struct own_numbers n;
    int best[OWN_NUMBERS_MAX];
    const struct slip_chance *chance;
    follow_own_numbers(h->o->items, h->a, h->judged, h->count, &n);
    if (n.count <= EXPLAINED_MIN || h->o->count == 0 ||
        !retrace_own(h->o->retrace, n.own, (uint32_t)n.count))
        return false;
    int most = explain_most(h, &n, &chance, best);
    retrace_own(h->o->retrace, NULL, 0);
    if (most == 0)
        return false;
    struct mistake *m = &ret->mistake[0];
    *m = (struct mistake){.chance = chance, .is_same_at = true, .explains_count = most};
    add_code(m, chance->slip);
    m->explains = arena_alloc(h->o->items->w->arena, (size_t)most * sizeof *m->explains);
    if (!m->explains)
        return false;
    memcpy(m->explains, best, (size_t)most * sizeof *best);
    ret->count = 1;
    return true;
}

/* ---- rounding too early ---- */

static double off_key(const struct handed *h, int i)
{
    const struct item *item = h->compared[i].item;
    const struct given_item *given = h->compared[i].given;
    if (!given || given->state != GIVEN_VALUE)
        return HUGE_VAL;
    if (item->kind == PART_DIRECTION)
        return rule_angle_between(given->unit, item->unit) / NEAR_ANGLE * NEAR_OF_SCALE;
    double apart = given->value - item->key;
    if (item->is_angle) {
        double turn = unit_angle_turn(h->o->items->w->units.angle);
        return fabs(remainder(apart, turn)) / turn * RADIANS_PER_TURN / NEAR_ANGLE * NEAR_OF_SCALE;
    }
    return fabs(apart) / fmax(item->scale, item->size);
}

static bool is_within(const struct handed *h, double share)
{
    for (int i = 0; i < h->count; i++) {
        if (h->judged[i].verdict != VERDICT_MISSING && !(off_key(h, i) <= share))
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
        const double *outcome = outcome_of_early(h->o, k);
        bool fits = outcome;
        for (int i = 0; i < h->count && fits; i++)
            fits = !h->compared[i].given || fit_number(h, i, outcome, EARLY_MARGIN * h->margin);
        if (fits && add_mistake(h, ret, &chance, outcome) && ret->count > 0)
            return true;
    }
    return false;
}

bool diagnose(struct outcomes *o, const struct answer *a, const struct judged *judged, int count,
              struct diagnosis *ret)
{
    struct handed h;
    *ret = (struct diagnosis){0};
    if (!handed_init(&h, o, a, judged, count))
        return false;
    if (name_one(&h, ret) || name_two(&h, ret) || name_within(&h, ret) || name_rounding(&h, ret))
        return true;
    ret->is_unnamed = !o->is_beyond;
    ret->is_near = is_within(&h, NEAR_OF_SCALE);
    return true;
}
