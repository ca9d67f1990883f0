#include "marking/answer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct given_item *find(const struct answer *a, int item)
{
    int low = 0, high = a->sorted;
    while (low < high) {
        int middle = (low + high) / 2;
        if (a->given[middle].item == item)
            return &a->given[middle];
        if (a->given[middle].item < item)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

const struct given_item *answer_find(const struct answer *a, int item) { return find(a, item); }

void answer_add(struct arena *arena, struct answer *a, struct given_item given)
{
    if (a->count == a->capacity) {
        int more = a->capacity ? 2 * a->capacity : 16;
        struct given_item *fresh = arena_alloc(arena, (size_t)more * sizeof *fresh);
        if (!fresh) {
            a->failed = true;
            return;
        }
        if (a->count)
            memcpy(fresh, a->given, (size_t)a->count * sizeof *fresh);
        a->given = fresh;
        a->capacity = more;
    }
    given.sequence = a->count;
    a->given[a->count++] = given;
}

static int by_item(const void *x, const void *y)
{
    const struct given_item *a = x, *b = y;
    if (a->item != b->item)
        return a->item < b->item ? -1 : 1;
    return a->sequence < b->sequence ? -1 : 1;
}

void answer_sort(struct answer *a)
{
    int kept = 0;
    if (a->count > a->sorted)
        qsort(a->given, (size_t)a->count, sizeof *a->given, by_item);
    for (int i = 0; i < a->count; i++)
        if (kept == 0 || a->given[i].item != a->given[kept - 1].item) {
            a->given[kept] = a->given[i];
            a->given[kept].sequence = kept;
            kept++;
        }
    a->count = a->sorted = kept;
}

void answer_extra(struct arena *arena, struct answer *a, const char *of)
{
    struct extra_item *extra = arena_alloc(arena, sizeof *extra);
    if (!extra || !of) {
        a->failed = true;
        return;
    }
    extra->of = of;
    if (a->last_extra)
        a->last_extra->next = extra;
    else
        a->extra = extra;
    a->last_extra = extra;
}

static struct given_item *value_of(struct answer *a, int item)
{
    struct given_item *given = item < 0 ? NULL : find(a, item);
    return given && given->state == GIVEN_VALUE ? given : NULL;
}

static void turn_round(struct given_item *direction, double turn)
{
    for (int i = 0; i < 3; i++)
        direction->unit[i] = -direction->unit[i];
    if (direction->has_angle)
        direction->value = fmod(direction->value + 0.5 * turn, turn);
}

static void components_to_polar(struct arena *arena, struct answer *a, const struct items *items,
                                const struct force_items *f, double turn)
{
    double c[3] = {0.0}, size = 0.0;
    for (int k = 0; k < 3; k++) {
        const struct given_item *given = value_of(a, f->component[k]);
        if (f->component[k] < 0)
            continue;
        if (!given)
            return;
        c[k] = given->value;
        size = hypot(size, c[k]);
    }
    if (f->magnitude >= 0)
        answer_add(
            arena, a,
            (struct given_item){
                .item = f->magnitude, .state = GIVEN_VALUE, .is_derived = true, .value = size});
    if (f->direction < 0)
        return;
    struct given_item direction = {.item = f->direction,
                                   .state = size > 0.0 ? GIVEN_VALUE : GIVEN_NOTHING,
                                   .is_derived = true};
    for (int k = 0; k < 3 && size > 0.0; k++)
        direction.unit[k] = c[k] / size;
    direction.has_angle = !items->w->space;
    double angle = atan2(c[1], c[0]) / RADIANS_PER_TURN;
    direction.value = (angle < 0.0 ? angle + 1.0 : angle) * turn;
    answer_add(arena, a, direction);
}

static void polar_to_components(struct arena *arena, struct answer *a, const struct force_items *f)
{
    const struct given_item *magnitude = value_of(a, f->magnitude);
    const struct given_item *direction = value_of(a, f->direction);
    if (!magnitude || (!direction && magnitude->value != 0.0))
        return;
    double size = magnitude->value, unit[3] = {0.0};
    for (int k = 0; k < 3 && direction; k++)
        unit[k] = direction->unit[k];
    for (int k = 0; k < 3; k++)
        if (f->component[k] >= 0)
            answer_add(arena, a,
                       (struct given_item){.item = f->component[k],
                                           .state = GIVEN_VALUE,
                                           .is_derived = true,
                                           .value = size * unit[k]});
}

/* A_x given where the x component of A is asked, and the reverse. */
static void share_parts(struct arena *arena, struct answer *a, const struct items *items)
{
    int count = a->count;
    for (int i = 0; i < count; i++) {
        struct given_item given = a->given[i];
        int same = items->item[given.item].same;
        if (same < 0 || given.is_derived || answer_find(a, same))
            continue;
        given.item = same;
        given.is_derived = true;
        answer_add(arena, a, given);
    }
    answer_sort(a);
}

void answer_complete(struct arena *arena, struct answer *a, const struct items *items)
{
    double turn = unit_angle_turn(items->w->units.angle);
    answer_sort(a);
    share_parts(arena, a, items);
    for (int i = 0; i < items->force_count; i++) {
        const struct force_items *f = &items->force[i];
        struct given_item *magnitude = value_of(a, f->magnitude);
        struct given_item *direction = value_of(a, f->direction);
        if (magnitude && direction && magnitude->value < 0.0) {
            magnitude->value = -magnitude->value;
            turn_round(direction, turn);
        }
        bool has_polar = magnitude || direction;
        if (has_polar)
            polar_to_components(arena, a, f);
        else
            components_to_polar(arena, a, items, f, turn);
    }
    answer_sort(a);
    share_parts(arena, a, items);
}
