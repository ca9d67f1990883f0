#include "marking/follow.h"

#include <math.h>

#include "marking/measure.h"

static void sort_by_node(struct own_numbers *n)
{
    for (int i = 1; i < n->count; i++)
        for (int k = i; k > 0 && n->own[k - 1].node > n->own[k].node; k--) {
            struct slip_own own = n->own[k];
            int judged = n->judged[k];
            n->own[k] = n->own[k - 1];
            n->judged[k] = n->judged[k - 1];
            n->own[k - 1] = own;
            n->judged[k - 1] = judged;
        }
}

void follow_own_numbers(struct items *s, const struct answer *a, const struct judged *judged,
                        int count, struct own_numbers *ret)
{
    ret->count = 0;
    for (int i = 0; i < count; i++) {
        if (judged[i].item < 0)
            continue;
        const struct item *item = &s->item[judged[i].item];
        const struct given_item *given = answer_find(a, judged[i].item);
        uint32_t node = item_node(s->w, item);
        if (!node || !given || given->state != GIVEN_VALUE || given->is_derived ||
            (item->kind == PART_DIRECTION && !given->has_angle))
            continue;
        if (ret->count == OWN_NUMBERS_MAX) {
            s->has_unfollowed = true;
            break;
        }
        bool is_right = judged[i].verdict == VERDICT_CORRECT;
        ret->own[ret->count] =
            (struct slip_own){node, is_right ? q_value(s->w, item->number[0]) : given->value};
        ret->is_doubtful[ret->count] = false;
        ret->judged[ret->count++] = i;
    }
    sort_by_node(ret);
}

static bool follows(struct items *s, const struct item *item, const struct given_item *given,
                    double computed, const struct marking *m)
{
    if (!isfinite(computed))
        return false;
    if (item->kind == PART_DIRECTION) {
        double radian = unit_angle_radians(s->w->units.angle);
        double unit[3] = {cos(computed * radian), sin(computed * radian), 0.0};
        bool has_moved = rule_angle_between(unit, item->unit) > 1e-9;
        return has_moved && rule_direction(s, item, given, unit, computed, m);
    }
    bool has_moved = fabs(computed - item->key) > 1e-9 * (fabs(item->key) + item->scale);
    double size = fmax(item->size, fabs(computed));
    return has_moved && rule_number(s, item, given->value, computed, size, m);
}

/* ---- the same where the order is free ----
 *
 * The tape finds its numbers in one order; a student may have found the wrong one first, or last.
 * What tells is which equations of equilibrium the student's numbers fulfil: of the numbers that
 * are wrong so many follow from the others as these equations are independent in them. */

/* One of them, linear in the wrong numbers, at what was handed in. */
struct relation {
    double rest;    /* what should be 0 */
    double *factor; /* of the wrong numbers */
};

struct relations {
    struct items *items;
    const struct own_numbers *own;
    struct judged *judged;
    int wrong[OWN_NUMBERS_MAX]; /* which of the own numbers, as they are worked out */
    int count, incorrect;       /* of them; and those without a mark */
    struct relation *list;      /* one for each of the wrong numbers, then the balances */
    int rows;
};

/* Rounding of a difference of two replays, of the largest factor: less is none at all. */
#define NO_FACTOR 1e-6
#define STEP 1e-4     /* of a number, to see what rests on it */
#define ROUNDED 0.005 /* the worst of three figures */

static struct retrace *retrace_of_relations(struct items *s)
{
    const struct work *w = s->w;
    bool *is_wanted = arena_alloc(w->arena, w->node_count);
    if (!is_wanted)
        return NULL;
    for (int i = 0; i < s->count; i++)
        is_wanted[item_node(w, &s->item[i])] = true;
    for (uint32_t b = 0; b < w->balance_count; b++)
        is_wanted[w->balance[b].left] = is_wanted[w->balance[b].right] = true;
    return retrace_new(s->w, is_wanted);
}

/* The scratch of judging, made when it is first needed. */
static bool relations_room(struct items *s)
{
    size_t rows = (size_t)OWN_NUMBERS_MAX + s->w->balance_count;
    size_t columns = (size_t)(s->count < OWN_NUMBERS_MAX ? s->count : OWN_NUMBERS_MAX);
    if (s->retrace)
        return true;
    s->relation = arena_alloc(s->w->arena, rows * sizeof *s->relation);
    double *factor = arena_alloc(s->w->arena, rows * columns * sizeof *factor);
    if (!s->relation || !factor)
        return false;
    for (size_t i = 0; i < rows; i++)
        s->relation[i].factor = factor + i * columns;
    s->retrace = retrace_of_relations(s);
    return s->retrace;
}

static const struct item *wrong_item(const struct relations *r, int column)
{
    return item_measured(r->items, r->judged[r->own->judged[r->wrong[column]]].item);
}

static double balance_of(const struct slip_balance *b, const double *value)
{
    return value[b->left] - (b->right ? value[b->right] : 0.0);
}

/* Angles are compared within a turn. */
static double rest_of(const struct relations *r, int k, double computed)
{
    const struct item *item = wrong_item(r, k);
    double apart = r->own->own[r->wrong[k]].value - computed;
    bool is_angle = item->is_angle || item->kind == PART_DIRECTION;
    return is_angle ? remainder(apart, unit_angle_turn(r->items->w->units.angle)) : apart;
}

static bool find_relations(struct relations *r)
{
    const struct work *w = r->items->w;
    struct retrace *retraced = r->items->retrace;
    if (!retrace_own(retraced, r->own->own, (uint32_t)r->own->count))
        return false;
    const double *value = retrace(retraced, NULL, NULL), *computed = retrace_computed(retraced);
    r->list = r->items->relation;
    r->rows = r->count + (int)w->balance_count;
    for (int k = 0; k < r->count; k++)
        r->list[k].rest = rest_of(r, k, computed[r->wrong[k]]);
    for (uint32_t b = 0; b < w->balance_count; b++)
        r->list[r->count + (int)b].rest = balance_of(&w->balance[b], value);
    for (int c = 0; c < r->count; c++) {
        double own = r->own->own[r->wrong[c]].value;
        double by = STEP * (fabs(own) + wrong_item(r, c)->size);
        value = retrace_moved(retraced, (uint32_t)r->wrong[c], own + by);
        for (int k = 0; k < r->count; k++) {
            double now = rest_of(r, k, computed[r->wrong[k]]);
            r->list[k].factor[c] = (now - r->list[k].rest) / by + (k == c ? 1.0 : 0.0);
        }
        for (uint32_t b = 0; b < w->balance_count; b++) {
            struct relation *one = &r->list[r->count + (int)b];
            one->factor[c] = (balance_of(&w->balance[b], value) - one->rest) / by;
        }
    }
    return true;
}

static double largest_factor(const struct relations *r, const struct relation *one)
{
    double largest = 0.0;
    for (int c = 0; c < r->count; c++)
        largest = fmax(largest, fabs(one->factor[c]));
    return largest;
}

/* How far a number may be from what it follows from. */
static double reach_of(const struct relations *r, int column, const struct marking *m)
{
    const struct item *item = wrong_item(r, column);
    double radian = unit_angle_radians(r->items->w->units.angle);
    if (item->kind == PART_DIRECTION)
        return fmax(item->allowance / radian, m->angle);
    if (item->is_angle)
        return fmax(item->allowance, m->angle);
    double own = fabs(r->own->own[r->wrong[column]].value);
    return fmax(item->allowance, m->relative * fmax(item->size, own));
}

/* Do the student's numbers fulfil it? To within what the least of them may be off, and the rounding
 * of the largest. */
static bool holds(const struct relations *r, const struct relation *one, const struct marking *m)
{
    double least = HUGE_VAL, largest = 0.0, of_largest = largest_factor(r, one);
    for (int c = 0; c < r->count; c++) {
        double factor = fabs(one->factor[c]);
        if (!(factor > NO_FACTOR * of_largest))
            continue;
        least = fmin(least, factor * reach_of(r, c, m));
        largest = fmax(largest, factor * fabs(r->own->own[r->wrong[c]].value));
    }
    return isfinite(least) && fabs(one->rest) <= least + ROUNDED * largest;
}

/* Take what earlier relations give out of this one. */
static void reduce(const struct relations *r, struct relation *one, const int *pivot,
                   const int *row, int found)
{
    for (int p = 0; p < found; p++) {
        const struct relation *other = &r->list[row[p]];
        double share = one->factor[pivot[p]] / other->factor[pivot[p]];
        for (int c = 0; share != 0.0 && c < r->count; c++)
            one->factor[c] -= share * other->factor[c];
        one->factor[pivot[p]] = 0.0;
    }
}

static bool is_right_now(const struct relations *r, int column)
{
    return r->judged[r->own->judged[r->wrong[column]]].verdict == VERDICT_CORRECT;
}

/* The number that a relation gives: the last, but rather one that has its mark; −1: none. */
static int column_given(const struct relations *r, const struct relation *one, double least)
{
    int last = -1;
    for (int c = r->count - 1; c >= 0; c--) {
        if (!(fabs(one->factor[c]) > least))
            continue;
        if (is_right_now(r, c))
            return c;
        last = last < 0 ? c : last;
    }
    return last;
}

/* Elimination: which of the wrong numbers the others give; how many. */
static int find_given(const struct relations *r, const struct marking *m, bool *ret_is_given)
{
    int pivot[OWN_NUMBERS_MAX], row[OWN_NUMBERS_MAX], found = 0;
    for (int i = 0; i < r->rows && found < r->count; i++) {
        struct relation *one = &r->list[i];
        double least = NO_FACTOR * largest_factor(r, one);
        if (!holds(r, one, m))
            continue;
        reduce(r, one, pivot, row, found);
        int c = column_given(r, one, least);
        if (c < 0)
            continue;
        pivot[found] = c;
        row[found++] = i;
        ret_is_given[c] = true;
    }
    return found;
}

static void find_wrong(struct relations *r)
{
    for (int k = 0; k < r->own->count; k++) {
        enum verdict v = r->judged[r->own->judged[k]].verdict;
        if (v != VERDICT_INCORRECT && v != VERDICT_FOLLOWS && !r->own->is_doubtful[k])
            continue;
        r->wrong[r->count++] = k;
        r->incorrect += v == VERDICT_INCORRECT;
    }
}

/* One of the wrong numbers at least follows from no other: right ones don't lead there, nor does
 * their rounding, which is allowed for. */
static void follow_in_any_order(struct items *s, const struct marking *m,
                                const struct own_numbers *n, struct judged *judged)
{
    struct relations r = {.items = s, .own = n, .judged = judged};
    bool is_given[OWN_NUMBERS_MAX] = {false};
    find_wrong(&r);
    if (s->w->balance_count == 0 || r.incorrect < 2 || !relations_room(s) || !find_relations(&r))
        return;
    int given = find_given(&r, m, is_given);
    int lost = given < r.count ? r.count - given : 1;
    if (lost >= r.incorrect)
        return;
    for (int c = 0; c < r.count; c++)
        lost -= !is_given[c] && !is_right_now(&r, c);
    for (int c = 0; c < r.count; c++) {
        if (is_right_now(&r, c))
            continue;
        bool is_lost = !is_given[c] || lost-- > 0;
        judged[n->judged[r.wrong[c]]].verdict = is_lost ? VERDICT_INCORRECT : VERDICT_FOLLOWS;
    }
}

static void follow_in_order(struct items *s, const struct answer *a, const struct marking *m,
                            const struct own_numbers *n, struct judged *judged)
{
    double computed[OWN_NUMBERS_MAX];
    slip_replay(
        s->w,
        &(struct replay){.own = n->own, .own_count = (uint32_t)n->count, .computed = computed},
        items_values(s));
    for (int k = 0; k < n->count; k++) {
        struct judged *j = &judged[n->judged[k]];
        if (j->verdict == VERDICT_INCORRECT &&
            follows(s, item_measured(s, j->item), answer_find(a, j->item), computed[k], m))
            j->verdict = VERDICT_FOLLOWS;
    }
}

/* What is right only for its wide allowance, at the end of a long chain, may be the wrong number
 * that others follow from: it is carried on as it was handed in. Is there any? */
static bool doubt_what_is_near(struct items *s, const struct answer *a, const struct marking *m,
                               const struct judged *judged, struct own_numbers *n)
{
    bool is_any = false;
    for (int k = 0; k < n->count; k++) {
        const struct judged *j = &judged[n->judged[k]];
        struct item narrow = *item_measured(s, j->item);
        double given = answer_find(a, j->item)->value;
        narrow.allowance = 0.0;
        if (j->verdict != VERDICT_CORRECT || narrow.kind != PART_NUMBER ||
            rule_number(s, &narrow, given, narrow.key, narrow.size, m))
            continue;
        n->own[k].value = given;
        is_any = n->is_doubtful[k] = true;
    }
    return is_any;
}

void follow_through(struct items *s, const struct answer *a, const struct marking *m,
                    struct judged *judged, int count)
{
    struct own_numbers n;
    follow_own_numbers(s, a, judged, count, &n);
    if (!items_values(s) || n.count < 2)
        return;
    follow_in_order(s, a, m, &n, judged);
    follow_in_any_order(s, m, &n, judged);
    if (doubt_what_is_near(s, a, m, judged, &n))
        follow_in_any_order(s, m, &n, judged);
}
