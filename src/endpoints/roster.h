/* roster.h: the names of one request, each with a number: a hash table in the request's arena. */
#ifndef ENDPOINTS_ROSTER_H
#define ENDPOINTS_ROSTER_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"

struct roster {
    struct roster_entry {
        const char *name; /* NULL: free */
        int value;
    } * entry;
    size_t capacity; /* a power of two; 0: no names */
};

/* An empty table with room for `count` names in `arena`. False: no memory; the table stays empty
 * and takes nothing. */
bool roster_init(struct roster *r, struct arena *arena, size_t count);
/* The value of `name`, or −1. */
int roster_find(const struct roster *r, const char *name);
/* Add `name` with `value` (>= 0), unless it is there. The value it has now: `value`, or the earlier
 * one. The text is not copied. */
int roster_add(struct roster *r, const char *name, int value);
/* The name that is so like `name` that it may be meant (the first of the most alike, by value), or
 * NULL. */
const char *roster_nearest(const struct roster *r, const char *name);

#endif
