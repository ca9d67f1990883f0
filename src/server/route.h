/* route.h: the one table of what there is: it routes, and the index, Allow and the metrics' labels
 * are made from it. */
#ifndef SERVER_ROUTE_H
#define SERVER_ROUTE_H

#include <stddef.h>

#include "base/arena.h"
#include "endpoints/endpoint.h"
#include "server/metrics.h"

enum route_kind {
    ROUTE_COMPUTE, /* an endpoint */
    ROUTE_INDEX,
    ROUTE_OPENAPI,
    ROUTE_SCHEMA,
    ROUTE_PROBLEM,
    ROUTE_HEALTH,
    ROUTE_READY,
    ROUTE_METRICS,
    ROUTE_SERVER, /* OPTIONS * */
    ROUTE_KIND_MAX_
};

struct route {
    const char *path;    /* "/v1/schemas/{name}" */
    const char *summary; /* one line for the index */
    const char *allow;   /* "GET, HEAD, OPTIONS" */
    enum route_kind kind;
    unsigned methods;                /* bits 1 << METHOD_… */
    unsigned offered;                /* bits 1 << MEDIA_…; 0: whatever Accept says */
    size_t prefix;                   /* bytes before {name}; 0 where the path is whole */
    const struct endpoint *endpoint; /* ROUTE_COMPUTE */
};

struct route_table {
    struct route *routes;
    const char **labels; /* of the metrics: the paths, and "other" after them */
    unsigned count;      /* labels has one more */
};

/* The endpoints and the documents, in `arena`. False: no memory. */
bool route_table_init(struct route_table *table, struct arena *arena);

/* The route of a decoded path without query, or NULL; *ret_name is what stands for {name}. */
const struct route *route_find(const struct route_table *table, const char *path,
                               const char **ret_name);

enum method method_of(const char *text);

#endif
