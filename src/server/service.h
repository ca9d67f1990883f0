/* service.h: what the service knows, made once at the start. */
#ifndef SERVER_SERVICE_H
#define SERVER_SERVICE_H

#include <stdatomic.h>
#include <stdint.h>

#include "base/arena.h"
#include "schema/schema.h"
#include "server/documents.h"
#include "server/metrics.h"
#include "server/route.h"
#include "server/settings.h"
#include "vector/field.h"

#define SERVICE_FIELDS 3 /* a residue that is 0 by chance (1e-18) is worked again in the next */

/* What all threads share; read only once made, but for the counters and `draining`. */
struct service {
    const struct settings *settings;
    struct arena *arena; /* of the tables below */
    struct route_table routes;
    struct documents documents;
    struct schema_set *schemas;
    struct field *field[SERVICE_FIELDS];
    struct metrics *metrics;
    atomic_bool draining;
};

/* Compile the schemas, draw the fields from `seed`, make the documents. NULL: no memory, or
 * *ret_message (static or in `arena`, which the caller owns) says what is wrong with a schema. */
struct service *service_new(const struct settings *settings, uint64_t seed, struct arena *arena,
                            const char **ret_message);
void service_free(struct service *service);

#endif
