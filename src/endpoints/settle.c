/* settle.c: what only the whole request tells: names that stand twice or are missing, places that
 * all or none have. */
#include "endpoints/loads.h"

#include <string.h>

/* ---- names ---- */

int loads_named_count(const struct loads_input *loads)
{
    return loads->force_count + loads->couple_count + loads->distributed_count;
}

struct named *loads_named(struct loads_input *loads, struct named *list)
{
    for (int i = 0; i < loads->force_count; i++)
        *list++ = (struct named){.name = &loads->force[i].name,
                                 .pointer = loads->force[i].pointer,
                                 .prefix = "F",
                                 .number = i + 1,
                                 .count = loads->force_count};
    for (int i = 0; i < loads->couple_count; i++)
        *list++ = (struct named){.name = &loads->couple[i].name,
                                 .pointer = loads->couple[i].pointer,
                                 .prefix = "C",
                                 .number = i + 1,
                                 .count = loads->couple_count};
    for (int i = 0; i < loads->distributed_count; i++)
        *list++ = (struct named){.name = &loads->distributed[i].name,
                                 .pointer = loads->distributed[i].pointer,
                                 .prefix = "w",
                                 .number = i + 1,
                                 .count = loads->distributed_count};
    return list;
}

static const char *numbered_name(struct arena *arena, const char *prefix, int number)
{
    char text[16];
    size_t first = sizeof text;
    for (int n = number; n > 0; n /= 10)
        text[--first] = (char)('0' + n % 10);
    size_t length = strlen(prefix);
    first -= length;
    memcpy(text + first, prefix, length);
    return arena_text(arena, text + first, sizeof text - first);
}

/* The name of something that came without one; NULL without memory. */
static const char *name_by_default(struct decoder *d, const struct roster *taken,
                                   const struct named *n)
{
    static const char letters[][2] = {"A", "B", "C", "D", "E", "F", "G", "H", "I",
                                      "J", "K", "L", "M", "N", "P", "Q", "R", "S",
                                      "T", "U", "V", "W", "X", "Y", "Z"};
    if (n->wanted != NULL && roster_find(taken, n->wanted) < 0)
        return n->wanted;
    if (n->prefix == NULL)
        for (size_t i = 0; i < sizeof letters / sizeof letters[0]; i++)
            if (roster_find(taken, letters[i]) < 0 && roster_find(&d->points, letters[i]) < 0)
                return letters[i];
    const char *prefix = n->prefix != NULL ? n->prefix : "S";
    const char *name = numbered_name(d->arena, prefix, n->number);
    for (int beyond = n->count + 1; name != NULL && roster_find(taken, name) >= 0; beyond++)
        name = numbered_name(d->arena, prefix, beyond);
    return name;
}

void settle_names(struct decoder *d, const struct named *list, int count)
{
    struct roster taken;
    if (d->misshapen != NULL || !roster_init(&taken, d->arena, (size_t)count))
        return;
    for (int i = 0; i < count; i++) {
        const char *name = *list[i].name;
        if (name == NULL)
            continue;
        int earlier = roster_add(&taken, name, i);
        if (earlier == i)
            continue;
        const char *pointer = arena_printf(d->arena, "%s/name", list[i].pointer);
        problem_fault(d->problem, pointer != NULL ? pointer : "", FAULT_NAME_TWICE,
                      "The name %s stands at %s already: forces, couples, distributed loads and "
                      "supports each have a name of their own.",
                      name, list[earlier].pointer);
    }
    for (int i = 0; i < count; i++) {
        if (*list[i].name != NULL)
            continue;
        const char *name = name_by_default(d, &taken, &list[i]);
        if (name == NULL)
            return;
        roster_add(&taken, name, i);
        *list[i].name = name;
    }
}

void loads_settle_names(struct decoder *d)
{
    int count = loads_named_count(d->loads);
    struct named *list = arena_alloc(d->arena, (size_t)count * sizeof *list);
    if (list == NULL || d->misshapen != NULL)
        return;
    loads_named(d->loads, list);
    settle_names(d, list, count);
}

/* ---- places ---- */

bool settle_places(struct decoder *d, const struct placed *list, int count, const char *where)
{
    if (d->misshapen != NULL || arena_exhausted(d->arena))
        return false;
    int placed = 0;
    for (int i = 0; i < count; i++)
        placed += list[i].has_place;
    int unplaced = count - placed;
    bool odd_are_unplaced = where != NULL || unplaced <= placed;
    if (unplaced == 0 || (placed == 0 && where == NULL))
        return placed == 0 && count > 0;
    for (int i = 0; i < count; i++) {
        const struct placed *p = &list[i];
        if (p->has_place == odd_are_unplaced)
            continue;
        if (where != NULL)
            problem_fault(d->problem, p->pointer, FAULT_PLACES,
                          "%s %s has no place, but %s everything needs one: give `at`.", p->kind,
                          p->name, where);
        else if (odd_are_unplaced)
            problem_fault(
                d->problem, p->pointer, FAULT_PLACES,
                "%s %s has no place, but others have: give `at`, or leave it out everywhere "
                "(then all act at one point).",
                p->kind, p->name);
        else {
            const char *pointer = arena_printf(d->arena, "%s/at", p->pointer);
            problem_fault(
                d->problem, pointer != NULL ? pointer : "", FAULT_PLACES,
                "%s %s has a place, but most have none: leave out `at` (then all act at one "
                "point), or give it everywhere.",
                p->kind, p->name);
        }
    }
    return false;
}

struct placed *loads_placed(const struct loads_input *loads, struct placed *list)
{
    for (int i = 0; i < loads->force_count; i++) {
        const struct force_input *force = &loads->force[i];
        *list++ = (struct placed){"Force", force->name, force->pointer, force->at != NO_PLACE};
    }
    return list;
}
