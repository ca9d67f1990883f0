/* schema.h: JSON Schema 2020-12, the subset that api/ uses, over the embedded documents; the same
 * documents are served. */
#ifndef SCHEMA_SCHEMA_H
#define SCHEMA_SCHEMA_H

#include <stddef.h>

#include "base/problem.h"
#include "json/json.h"

struct schema_set; /* compiled documents; read only once made, shared by threads */

struct schema_document { /* one embedded file of api/ */
    const char *name;    /* "resultant.request.json" */
    const char *bytes;
    size_t length;
};

/* All documents of api/, ended by a row whose name is NULL. Generated at build time into
 * build/embedded.c. */
extern const struct schema_document schema_documents[];

/* Compile documents (references are to `name#/$defs/x`, `name`, or `#/…`; openapi.json, which is no
 * schema, is passed over). NULL where a document is not JSON, has a keyword we do not support, a
 * pattern that cannot be read, or a reference that leads nowhere or in a circle: the problem says
 * which and where. The documents' bytes are copied. Owned by the caller: schema_free. */
struct schema_set *schema_compile(const struct schema_document *documents, struct problem *reterr);
void schema_free(struct schema_set *set);

/* Validate against document `name`. Every fault found is added to the problem in a teacher's words,
 * at its pointer; a member that is missing is named by the pointer where it should stand. Returns
 * PROBLEM_NONE, PROBLEM_INVALID_REQUEST, or PROBLEM_INTERNAL where there is no such document.
 * uniqueItems compares every pair: lists that have it in api/ are short. */
enum problem_code schema_validate(const struct schema_set *set, const char *name,
                                  const struct json *value, struct problem *reterr);

#endif
