#include "marking/judge.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#define TURN 6.283185307179586476925
#define DEGREE 0.017453292519943295769

/* A number compared as a double: a last digit more. */
#define BESIDE (1.0 + 1e-9)

double judge_angle_between(const double a[3], const double b[3])
{
    double x = 0.0, y = 0.0;
    for (int i = 0; i < 3; i++) {
        x = hypot(x, a[i] - b[i]);
        y = hypot(y, a[i] + b[i]);
    }
    return 2.0 * atan2(x, y);
}

/* ---- one item against a value: the key, or what follows from the student's own numbers ---- */

static bool equals_at(double a, double b, int figures)
{
    struct number_text x = number_to_figures(a, figures, false);
    struct number_text y = number_to_figures(b, figures, false);
    return x.negative == y.negative && x.exponent10 == y.exponent10 &&
           strcmp(x.digits, y.digits) == 0;
}

static bool number_is_right(const struct items *s, const struct item *item, double x, double key,
                            double size, const struct marking *m)
{
    double apart = x - key;
    if (item->is_angle)
        apart = remainder(apart, s->w->units.angle == UNIT_DEG ? 360.0 : TURN);
    apart = fabs(apart);
    double tolerance = item->is_angle ? m->angle : m->relative * size;
    bool is_near = apart <= item->allowance * BESIDE || apart <= tolerance * BESIDE ||
                   equals_at(x, key, m->figures);
    bool has_sense = item->is_angle || fabs(key) <= item->allowance || (x < 0.0) == (key < 0.0);
    return is_near && (has_sense || apart == 0.0);
}

static bool direction_is_right(const struct items *s, const struct item *item,
                               const struct given_item *given, const double unit[3], double angle,
                               const struct marking *m)
{
    double radian = s->w->units.angle == UNIT_DEG ? DEGREE : 1.0;
    double apart = judge_angle_between(given->unit, unit);
    if (apart <= item->allowance * BESIDE || apart <= m->angle * radian * BESIDE)
        return true;
    return given->has_angle && !s->w->space && equals_at(given->value, angle, m->figures);
}

static const struct value *value_of(const struct item *item) { return item->part->value; }

static bool is_right(struct items *s, int i, const struct given_item *given,
                     const struct marking *m)
{
    const struct item *item = item_measured(s, i);
    if (given->state == GIVEN_NOTHING)
        return item->kind == PART_NOTHING;
    if (given->state != GIVEN_VALUE)
        return false;
    switch (item->kind) {
    case PART_NUMBER:
        return number_is_right(s, item, given->value, item->key, item->size, m);
    case PART_DIRECTION:
        return direction_is_right(s, item, given, item->unit, item->key, m);
    case PART_COUNT:
        return given->value == (double)value_of(item)->count;
    case PART_STATE:
        return given->word && value_of(item)->kind == VALUE_TEXT &&
               strcmp(given->word, value_of(item)->text) == 0;
    case PART_NAMES:
        return given->value == 1.0;
    case PART_NOTHING:
    case PART_UNMARKED:
    case PART_OBJECT:
    case PART_UNKNOWN:
    case PART_FORCE:
    case PART_LIST:
    case PART_VECTOR:
    case PART_KIND_MAX_:
        break;
    }
    return false;
}

/* ---- equivalent forms ---- */

/* The form that was given is right: so is the form that was asked. */
static bool is_right_as_given(struct items *s, const struct answer *a, int i,
                              const struct marking *m)
{
    const struct item *item = &s->item[i];
    if (item->force < 0)
        return false;
    const struct force_items *f = &s->force[item->force];
    int all[5] = {f->component[0], f->component[1], f->component[2], f->magnitude, f->direction};
    int given_count = 0;
    for (int k = 0; k < 5; k++) {
        const struct given_item *given = all[k] < 0 ? NULL : answer_find(a, all[k]);
        if (!given || given->is_derived)
            continue;
        given_count++;
        if (!is_right(s, all[k], given, m))
            return false;
    }
    return given_count > 0;
}

/* ---- what follows from the student's own earlier numbers ---- */

/* Where the number of an item is worked out, before it goes by other names: later lines may use any
 * of them. 0: a direction of several numbers. */
static uint32_t node_of(const struct work *w, const struct item *item)
{
    bool has_node =
        item->kind == PART_NUMBER || (item->kind == PART_DIRECTION && q_is_none(item->number[1]));
    if (!has_node)
        return 0;
    q x = item->number[0];
    for (;;) {
        const struct node *n = q_node(w, x);
        bool is_name =
            n->op == OP_SAME || n->op == OP_UNKNOWN || n->op == OP_NORM || n->op == OP_DOT;
        if (n->op == OP_SUM && n->operand[1] == 1)
            x = q_term(w, x, 0);
        else if (is_name && n->operand[0])
            x = (q){n->operand[0]};
        else
            return x.i;
    }
}

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

void judge_own_numbers(struct items *s, const struct answer *a, const struct judged *judged,
                       int count, struct own_numbers *ret)
{
    ret->count = 0;
    for (int i = 0; i < count && ret->count < OWN_NUMBERS_MAX; i++) {
        if (judged[i].item < 0)
            continue;
        const struct item *item = &s->item[judged[i].item];
        const struct given_item *given = answer_find(a, judged[i].item);
        uint32_t node = node_of(s->w, item);
        if (!node || !given || given->state != GIVEN_VALUE || given->is_derived ||
            (item->kind == PART_DIRECTION && !given->has_angle))
            continue;
        bool is_right = judged[i].verdict == VERDICT_CORRECT;
        ret->own[ret->count] =
            (struct slip_own){node, is_right ? q_value(s->w, item->number[0]) : given->value};
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
        double radian = s->w->units.angle == UNIT_DEG ? DEGREE : 1.0;
        double unit[3] = {cos(computed * radian), sin(computed * radian), 0.0};
        bool has_moved = judge_angle_between(unit, item->unit) > 1e-9;
        return has_moved && direction_is_right(s, item, given, unit, computed, m);
    }
    bool has_moved = fabs(computed - item->key) > 1e-9 * (fabs(item->key) + item->scale);
    double size = fmax(item->size, fabs(computed));
    return has_moved && number_is_right(s, item, given->value, computed, size, m);
}

static void follow_through(struct items *s, const struct answer *a, const struct marking *m,
                           struct judged *judged, int count)
{
    struct own_numbers n;
    double computed[OWN_NUMBERS_MAX], *value = items_values(s);
    judge_own_numbers(s, a, judged, count, &n);
    if (!value || n.count < 2)
        return;
    slip_replay(
        s->w, &(struct replay){.own = n.own, .own_count = (uint32_t)n.count, .computed = computed},
        value);
    for (int k = 0; k < n.count; k++) {
        struct judged *j = &judged[n.judged[k]];
        if (j->verdict == VERDICT_INCORRECT &&
            follows(s, item_measured(s, j->item), answer_find(a, j->item), computed[k], m))
            j->verdict = VERDICT_FOLLOWS;
    }
}

/* ---- all ---- */

/* A force that vanishes has no direction: nothing need be said of it where its size is right. */
static bool goes_without_saying(struct items *s, const struct answer *a, int i,
                                const struct marking *m)
{
    const struct item *item = &s->item[i];
    if (item->kind != PART_NOTHING || item->force < 0)
        return false;
    const struct force_items *f = &s->force[item->force];
    int others[4] = {f->component[0], f->component[1], f->component[2], f->magnitude};
    int right = 0;
    for (int k = 0; k < 4; k++) {
        const struct given_item *given = others[k] < 0 ? NULL : answer_find(a, others[k]);
        if (given && !is_right(s, others[k], given, m))
            return false;
        right += given != NULL;
    }
    return right > 0;
}

void judge(struct items *s, const struct answer *a, const struct marking *m, const int *asked,
           int asked_count, struct judged *ret_judged)
{
    bool is_any_wrong = false;
    for (int i = 0; i < asked_count; i++) {
        const struct given_item *given = answer_find(a, asked[i]);
        struct judged *j = &ret_judged[i];
        *j = (struct judged){.item = asked[i], .of = s->item[asked[i]].of};
        if (!given)
            j->verdict = goes_without_saying(s, a, asked[i], m) ? VERDICT_CORRECT : VERDICT_MISSING;
        else if (is_right(s, asked[i], given, m) ||
                 (given->is_derived && is_right_as_given(s, a, asked[i], m)))
            j->verdict = VERDICT_CORRECT;
        else
            j->verdict = VERDICT_INCORRECT;
        is_any_wrong = is_any_wrong || j->verdict == VERDICT_INCORRECT;
    }
    if (is_any_wrong)
        follow_through(s, a, m, ret_judged, asked_count);
}
