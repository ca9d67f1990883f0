#include "marking/fit.h"

#include <math.h>

bool handed_init(struct handed *h, struct outcomes *o, const struct answer *a,
                 const struct judged *judged, int count)
{
    int numbers = 0;
    *h = (struct handed){.o = o, .a = a, .judged = judged, .count = count};
    h->compared = arena_alloc(o->items->w->arena, ((size_t)count + 1) * sizeof *h->compared);
    if (!h->compared)
        return false;
    for (int i = 0; i < count; i++) {
        int item = judged[i].item;
        if (item < 0 || o->slot[item] < 0)
            continue;
        h->compared[i] =
            (struct compared){&o->items->item[item], answer_find(a, item), o->slot[item]};
        numbers += h->compared[i].given != NULL;
    }
    h->margin = numbers == 1 ? MATCH_ALONE : 1.0;
    return true;
}

double fit_apart(const struct handed *h, int i, const double *slot)
{
    const struct item *item = h->compared[i].item;
    const struct given_item *given = h->compared[i].given;
    if (item->kind == PART_DIRECTION)
        return rule_angle_between(given->unit, slot) / MATCH_ANGLE;
    double apart = given->value - slot[0];
    if (item->is_angle) {
        double turn = unit_angle_turn(h->o->items->w->units.angle);
        return fabs(remainder(apart, turn)) / (MATCH_ANGLE * turn / RADIANS_PER_TURN);
    }
    double may = MATCH_OF_SCALE * fmax(fmin(item->scale, 4.0 * item->size), fabs(slot[0]));
    return may > 0.0 ? fabs(apart) / may : apart == 0.0 ? 0.0 : HUGE_VAL;
}

bool fit_number(const struct handed *h, int i, const double *outcome, double margin)
{
    const struct compared *one = &h->compared[i];
    return one->given->state == GIVEN_VALUE && fit_apart(h, i, outcome + one->slot) <= margin;
}

bool fit_same_number(const struct handed *h, int i, const double *a, const double *b)
{
    const struct compared *one = &h->compared[i];
    const double *x = a + one->slot, *y = b + one->slot;
    if (one->item->kind == PART_DIRECTION)
        return rule_angle_between(x, y) <= 1e-6;
    return fabs(x[0] - y[0]) <= 1e-7 * (fabs(y[0]) + one->item->size);
}

bool fit_same_class(const struct handed *h, const double *a, const double *b)
{
    for (int i = 0; i < h->count; i++)
        if (h->compared[i].given && !fit_same_number(h, i, a, b))
            return false;
    return true;
}

double fit_all(const struct handed *h, const double *outcome, double margin)
{
    double worst = 0.0;
    for (int i = 0; i < h->count; i++) {
        const struct compared *one = &h->compared[i];
        if (!one->given)
            continue;
        if (one->given->state != GIVEN_VALUE)
            return HUGE_VAL;
        double apart = fit_apart(h, i, outcome + one->slot) / margin;
        if (!(apart <= h->margin))
            return HUGE_VAL;
        worst = fmax(worst, apart);
    }
    return worst;
}

/* The answer in a larger unit is as much closer to 0: nothing is "0.001 times the key" for being
 * small. */
double fit_margin(const struct outcomes *o, uint32_t c)
{
    const struct slip_chance *chance = &o->chance[c];
    bool is_unit = chance->slip == SLIP_UNIT_PREFIX || chance->slip == SLIP_UNIT_POUND;
    return is_unit && !chance->pointer ? fmin(1.0, o->items->w->edit[chance->first].times) : 1.0;
}
