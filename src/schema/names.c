/* names.c: tables of names, filled at start, looked up for every member of a request. */
#include <string.h>

#include "schema/node.h"

/* Names of one schema differ in length, ends or middle: three letters tell as much as all. */
static unsigned first_place(const struct names *names, const char *text, size_t length)
{
    const unsigned char *c = (const unsigned char *)text;
    unsigned h = (unsigned)length * 0x9e3779b1u;
    if (length > 0)
        h += (c[0] | (unsigned)c[length - 1] << 8 | (unsigned)c[length / 2] << 16) * 0x85ebca77u;
    return (h ^ h >> 15) & names->mask;
}

const struct name *names_find(const struct names *names, const char *text, size_t length)
{
    if (names->count == 0)
        return NULL;
    for (unsigned i = first_place(names, text, length);; i = (i + 1) & names->mask) {
        const struct name *n = &names->table[i];
        if (n->text == NULL)
            return NULL;
        if (n->length == length && memcmp(n->text, text, length) == 0)
            return n;
    }
}

bool names_init(struct names *names, struct arena *arena, size_t count_max)
{
    unsigned size = 4;
    while (size < 2 * count_max)
        size *= 2;
    *names =
        (struct names){.table = arena_alloc(arena, size * sizeof(struct name)), .mask = size - 1};
    return names->table != NULL;
}

struct name *names_add(struct names *names, const char *text, size_t length)
{
    unsigned i = first_place(names, text, length);
    for (;; i = (i + 1) & names->mask) {
        struct name *n = &names->table[i];
        if (n->text == NULL) {
            *n = (struct name){.text = text, .length = (unsigned)length, .slot = names->count++};
            return n;
        }
        if (n->length == length && memcmp(n->text, text, length) == 0)
            return n;
    }
}
