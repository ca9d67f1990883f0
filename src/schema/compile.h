/* compile.h: documents to nodes: what reading one schema (keywords.c) and the whole set (compile.c)
 * share. Inside schema/ only. */
#ifndef SCHEMA_COMPILE_H
#define SCHEMA_COMPILE_H

#include "schema/node.h"

struct compiler {
    struct arena *arena;
    struct schema_set *set;
    struct schema_root *root; /* being read */
    struct node **last;       /* where the next node is linked in */
    struct node **by_source;  /* open addressing by the address of the JSON */
    size_t by_source_mask;
    pcre2_compile_context *patterns;
    struct problem *reterr;
};

/* ---- keywords.c ---- */

/* The node of a schema and those of the schemas in it, linked into the set; references are left to
 * be followed. NULL: *reterr is filled. */
struct node *compile_schema(struct compiler *c, const struct json *source);

/* ---- compile.c: both return false ---- */

/* A schema that cannot be read: what is wrong at `where` (NULL: in the document). */
bool compile_fail(struct compiler *c, const struct json *where, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
bool compile_fail_memory(struct compiler *c);

#endif
