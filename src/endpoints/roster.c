/* roster.c: open addressing, at most half full. */
#include "endpoints/roster.h"

#include <stdint.h>
#include <string.h>

#include "base/limits.h"

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

static char lower(char c) { return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c; }

/* What it takes to make b of a (optimal string alignment), in half letters: two for a letter put
 * in, left out or exchanged, one for two neighbours swapped (BC for CB), nothing for another case.
 */
static size_t distance(const char *a, const char *b)
{
    enum { BYTES_MAX = 4 * LIMIT_NAME_LENGTH };
    size_t length = strlen(b);
    if (strlen(a) > BYTES_MAX || length > BYTES_MAX)
        return SIZE_MAX;
    size_t row[3][BYTES_MAX + 1];
    size_t *before = row[0], *above = row[1], *now = row[2];
    for (size_t j = 0; j <= length; j++)
        above[j] = 2 * j;
    for (size_t i = 1; a[i - 1] != '\0'; i++) {
        now[0] = 2 * i;
        for (size_t j = 1; j <= length; j++) {
            bool same = lower(a[i - 1]) == lower(b[j - 1]);
            size_t best = above[j - 1] + (same ? 0 : 2);
            if (above[j] + 2 < best)
                best = above[j] + 2;
            if (now[j - 1] + 2 < best)
                best = now[j - 1] + 2;
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
                lower(a[i - 2]) == lower(b[j - 1]) && before[j - 2] + 1 < best)
                best = before[j - 2] + 1;
            now[j] = best;
        }
        size_t *oldest = before;
        before = above;
        above = now;
        now = oldest;
    }
    return above[length];
}

const char *roster_nearest(const struct roster *r, const char *name)
{
    const struct roster_entry *nearest = NULL;
    size_t least = SIZE_MAX;
    for (size_t i = 0; i < r->capacity; i++) {
        const struct roster_entry *e = &r->entry[i];
        if (e->name == NULL)
            continue;
        size_t longer = strlen(name) > strlen(e->name) ? strlen(name) : strlen(e->name);
        size_t far = distance(name, e->name);
        if (far > longer || far > 4)
            continue; /* as good as another name: Q is no slip for A */
        if (far < least || (far == least && e->value < nearest->value)) {
            nearest = e;
            least = far;
        }
    }
    return nearest != NULL ? nearest->name : NULL;
}
