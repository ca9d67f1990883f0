/* endpoint.h: one computation as the outside sees it. The pipeline does the rest, once for all. */
#ifndef ENDPOINTS_ENDPOINT_H
#define ENDPOINTS_ENDPOINT_H

#include "base/problem.h"
#include "vector/field.h"
#include "work/work.h"
#include "json/json.h"

struct endpoint {
    const char *path;    /* "/v1/resultant" */
    const char *kind;    /* "resultant" */
    const char *schema;  /* "resultant.request.json" */
    const char *summary; /* one line for the index */
    /* Decode `request` (already valid by the schema) and work it out on `w`, fresh from work_init.
     * PROBLEM_NONE with w->answer set and the tape closed; or *reterr is filled. Where w->unlucky
     * is set the caller works again in another field. */
    enum problem_code (*run)(struct work *w, const struct json *request, struct problem *reterr);
};

/* All endpoints, ended by a row whose path is NULL. */
extern const struct endpoint endpoints[];

#endif
