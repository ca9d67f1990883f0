#include "marking/measure.h"

#include <math.h>

#include "base/limits.h"
#include "work/slip.h"

double *items_values(struct items *s)
{
    if (!s->value)
        s->value = arena_alloc(s->w->arena, s->w->node_count * sizeof *s->value);
    return s->value;
}

static void measure_direction(struct items *s, struct item *item)
{
    struct work *w = s->w;
    double radian = unit_angle_radians(w->units.angle);
    if (q_is_none(item->number[1])) {
        double angle = q_value(w, item->number[0]) * radian;
        item->key = q_value(w, item->number[0]);
        item->unit[0] = cos(angle);
        item->unit[1] = sin(angle);
        item->allowance = allowance_of(w, item->number[0], NULL) * radian;
        return;
    }
    double square = 0.0;
    for (int i = 0; i < 3; i++) {
        double angle = q_value(w, item->number[i]) * radian;
        double by = allowance_of(w, item->number[i], NULL) * radian;
        double high = fmin(angle + by, 2.0 * acos(0.0)), low = fmax(angle - by, 0.0);
        item->unit[i] = cos(angle);
        double off = fmax(fabs(cos(high) - cos(angle)), fabs(cos(low) - cos(angle)));
        square += off * off;
    }
    item->allowance = 2.0 * asin(fmin(1.0, 0.5 * sqrt(square)));
}

/* Of a truss that is too large to be worked by hand the solver's values stand alone. */
static bool has_no_working(const struct work *w, const struct item *item)
{
    const struct node *n = q_node(w, item->number[0]);
    return n->op == OP_UNKNOWN && n->operand[0] == 0 && n->dimension.force == 1 &&
           n->dimension.length == 0;
}

static double largest_force(struct items *s)
{
    if (s->largest_force >= 0.0)
        return s->largest_force;
    s->largest_force = 0.0;
    for (int i = 0; i < s->count; i++) {
        struct dimension d = q_node(s->w, s->item[i].number[0])->dimension;
        if (s->item[i].kind == PART_NUMBER && d.force == 1 && d.length == 0)
            s->largest_force = fmax(s->largest_force, fabs(q_value(s->w, s->item[i].number[0])));
    }
    return s->largest_force;
}

const struct item *item_measured(struct items *s, int i)
{
    struct item *item = &s->item[i];
    if (item->is_measured)
        return item;
    item->is_measured = true;
    if (item->kind == PART_DIRECTION) {
        measure_direction(s, item);
        return item;
    }
    if (item->kind != PART_NUMBER)
        return item;
    item->key = q_value(s->w, item->number[0]);
    if (s->measured++ < LIMIT_KEY_ENTRIES) {
        item->allowance = allowance_of(s->w, item->number[0], NULL);
        item->scale = item->is_angle ? 0.0 : allowance_scale(s->w, item->number[0]);
    }
    if (has_no_working(s->w, item) || s->measured > LIMIT_KEY_ENTRIES) {
        item->scale = fmax(item->scale, largest_force(s));
        item->allowance = fmax(item->allowance, ALLOWANCE_OF_SCALE * item->scale);
        s->has_floor_only = true;
    }
    item->size = fabs(item->key);
    if (item->vector >= 0) {
        double size = 0.0;
        for (int k = item->vector; k < s->count && s->item[k].vector == item->vector; k++)
            size = hypot(size, q_value(s->w, s->item[k].number[0]));
        item->size = size;
    }
    return item;
}

/* An angle that follows its components: its parts alone would not know the quadrant. */
static bool is_heading(const struct work *w, uint32_t node)
{
    for (uint32_t i = 0; i < w->heading_count; i++)
        if (w->heading[i].angle == node)
            return true;
    return false;
}

uint32_t item_node(const struct work *w, const struct item *item)
{
    bool has_node =
        item->kind == PART_NUMBER || (item->kind == PART_DIRECTION && q_is_none(item->number[1]));
    if (!has_node)
        return 0;
    q x = item->number[0];
    for (;;) {
        const struct node *n = q_node(w, x);
        bool is_found = n->op == OP_UNKNOWN || n->op == OP_NORM || n->op == OP_DOT;
        if (item->kind == PART_DIRECTION && is_heading(w, x.i))
            return x.i;
        if (q_is_name(w, x, &x))
            continue;
        if (!is_found || !n->operand[0])
            return x.i;
        x = (q){n->operand[0]};
    }
}
