#include "marking/rule.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "marking/measure.h"

/* A number compared as a double: a last digit more. */
#define BESIDE (1.0 + 1e-9)

double rule_angle_between(const double a[3], const double b[3])
{
    double x = 0.0, y = 0.0;
    for (int i = 0; i < 3; i++) {
        x = hypot(x, a[i] - b[i]);
        y = hypot(y, a[i] + b[i]);
    }
    return 2.0 * atan2(x, y);
}

static bool equals_at(double a, double b, int figures)
{
    struct number_text x = number_to_figures(a, figures, false);
    struct number_text y = number_to_figures(b, figures, false);
    return x.negative == y.negative && x.exponent10 == y.exponent10 &&
           strcmp(x.digits, y.digits) == 0;
}

bool rule_number(const struct items *s, const struct item *item, double x, double key, double size,
                 const struct marking *m)
{
    double apart = x - key;
    if (item->is_angle)
        apart = remainder(apart, unit_angle_turn(s->w->units.angle));
    apart = fabs(apart);
    double tolerance = item->is_angle ? m->angle : m->relative * size;
    bool is_near = apart <= item->allowance * BESIDE || apart <= tolerance * BESIDE ||
                   equals_at(x, key, m->figures);
    bool has_sense = item->is_angle || fabs(key) <= item->allowance || (x < 0.0) == (key < 0.0);
    return is_near && (has_sense || apart == 0.0);
}

bool rule_direction(const struct items *s, const struct item *item, const struct given_item *given,
                    const double unit[3], double angle, const struct marking *m)
{
    double radian = unit_angle_radians(s->w->units.angle);
    double apart = rule_angle_between(given->unit, unit);
    if (apart <= item->allowance * BESIDE || apart <= m->angle * radian * BESIDE)
        return true;
    return given->has_angle && !s->w->space && equals_at(given->value, angle, m->figures);
}

static const struct value *value_of(const struct item *item) { return item->part->value; }

/* A force that vanishes may be given as none at all. */
static bool is_of_no_force(const struct items *s, const struct item *item)
{
    int direction = item->force < 0 ? -1 : s->force[item->force].direction;
    return direction >= 0 && s->item[direction].kind == PART_NOTHING;
}

bool rule_item(struct items *s, int i, const struct given_item *given, const struct marking *m)
{
    const struct item *item = item_measured(s, i);
    if (given->state == GIVEN_NOTHING)
        return item->kind == PART_NOTHING || is_of_no_force(s, item);
    if (given->state != GIVEN_VALUE)
        return false;
    switch (item->kind) {
    case PART_NUMBER:
        return rule_number(s, item, given->value, item->key, item->size, m);
    case PART_DIRECTION:
        return rule_direction(s, item, given, item->unit, item->key, m);
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
