/* json.h: one JSON text as a tree that lives in the request's arena. cJSON parses; its types stay
 * behind this header. */
#ifndef JSON_JSON_H
#define JSON_JSON_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/problem.h"

enum json_type {
    JSON_NULL,
    JSON_FALSE,
    JSON_TRUE,
    JSON_NUMBER,
    JSON_STRING,
    JSON_ARRAY,
    JSON_OBJECT,
    JSON_TYPE_MAX_
};

/* One value. Read only; owned by the arena it was read into. */
struct json {
    enum json_type type;
    unsigned index;            /* its place among its siblings, from 0 */
    const char *key;           /* its name where the parent is an object, else NULL */
    size_t key_length;         /* bytes of key */
    const struct json *parent; /* NULL for the root */
    const struct json *child;  /* first member or entry */
    const struct json *next;   /* next sibling */
    unsigned count;            /* members or entries */
    double number;             /* of a JSON_NUMBER; always finite */
    const char *text; /* JSON_STRING: decoded UTF-8 ended by a NUL; JSON_NUMBER: the token as typed,
                         ended by a NUL */
    size_t length;    /* bytes of text */
    const struct json *const *sorted; /* members in the order of their names where an object has
                                         many, else NULL: json_member searches it by halving */
};

struct json_limits {
    unsigned depth;  /* nesting; at most 900 */
    unsigned values; /* values in the whole text */
};

/* Read exactly one RFC 8259 text of `length` bytes. Strict: UTF-8, no duplicate names, no U+0000,
 * no trailing text, every number finite and of at most LIMIT_NUMBER_DIGITS digits. On success
 * *ret_root is the root and PROBLEM_NONE is returned. Otherwise PROBLEM_NOT_JSON (detail: line,
 * column, what was met and what would be right; nesting beyond the limit too), PROBLEM_TOO_LARGE
 * (too many values), PROBLEM_INVALID_REQUEST (faults DUPLICATE_MEMBER, NUMBER_SIZE at their
 * pointers) or PROBLEM_OVERLOADED (no memory). */
enum problem_code json_read(struct arena *arena, const char *bytes, size_t length,
                            const struct json_limits *limits, const struct json **ret_root,
                            struct problem *reterr);

/* Member `name` of an object, or NULL (also where `object` is NULL or no object). Names are
 * case-sensitive. */
const struct json *json_member(const struct json *object, const char *name);
const struct json *json_member_of(const struct json *object, const char *name, size_t length);

/* The JSON Pointer (RFC 6901) of a value, in `arena`; NULL without memory. */
const char *json_pointer(struct arena *arena, const struct json *value);

/* The value that a JSON Pointer names from `root` on, or NULL. */
const struct json *json_at(const struct json *root, const char *pointer);

/* Equal by JSON Schema's rule: numbers by value, objects whatever the order. */
bool json_equal(const struct json *a, const struct json *b);

/* Writing: a string with its quotes and escapes. */
void json_put_string(struct buf *b, const char *text, size_t length);

#endif
