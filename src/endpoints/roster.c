/* roster.c: open addressing, at most half full. */
#include "endpoints/roster.h"

#include <stdint.h>
#include <string.h>

#include "base/spelling.h"

bool roster_init(struct roster *r, struct arena *arena, size_t count)
{
    *r = (struct roster){0};
    if (count == 0)
        return true;
    size_t capacity = 4;
    while (capacity < 2 * count)
        capacity *= 2;
    r->entry = arena_alloc(arena, capacity * sizeof *r->entry);
    if (r->entry == NULL)
        return false;
    r->capacity = capacity;
    return true;
}

/* The entry of `name`, or the free one where it would stand. */
static struct roster_entry *slot(const struct roster *r, const char *name)
{
    /* FNV-1a, 64 bits (Fowler, Noll, Vo), begun from where the table stands: nobody can send names
     * that all meet in one slot. */
    uint64_t hash = 14695981039346656037u ^ (uint64_t)(uintptr_t)r->entry;
    for (const char *c = name; *c != '\0'; c++)
        hash = (hash ^ (unsigned char)*c) * 1099511628211u;
    size_t i = (size_t)(hash ^ hash >> 32) & (r->capacity - 1);
    while (r->entry[i].name != NULL && strcmp(r->entry[i].name, name) != 0)
        i = (i + 1) & (r->capacity - 1);
    return &r->entry[i];
}

int roster_find(const struct roster *r, const char *name)
{
    if (r->capacity == 0)
        return -1;
    const struct roster_entry *e = slot(r, name);
    return e->name != NULL ? e->value : -1;
}

int roster_add(struct roster *r, const char *name, int value)
{
    if (r->capacity == 0)
        return value;
    struct roster_entry *e = slot(r, name);
    if (e->name == NULL)
        *e = (struct roster_entry){name, value};
    return e->value;
}

const char *roster_nearest(const struct roster *r, const char *name)
{
    const struct roster_entry *nearest = NULL;
    size_t least = SPELLING_OTHER;
    for (size_t i = 0; i < r->capacity; i++) {
        const struct roster_entry *e = &r->entry[i];
        if (e->name == NULL)
            continue;
        size_t far = spelling_distance(name, strlen(name), e->name, strlen(e->name));
        if (far < least || (nearest != NULL && far == least && e->value < nearest->value)) {
            nearest = e;
            least = far;
        }
    }
    return nearest != NULL ? nearest->name : NULL;
}
