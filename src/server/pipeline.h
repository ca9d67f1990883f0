/* pipeline.h: how a request becomes an answer, once for all endpoints: route, method, media type,
 * strict JSON, schema, run, representation. Knows no sockets. */
#ifndef SERVER_PIPELINE_H
#define SERVER_PIPELINE_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/problem.h"
#include "schema/schema.h"
#include "server/documents.h"
#include "server/metrics.h"
#include "server/negotiate.h"
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

/* A request as HTTP leaves it. Fields that were not sent are NULL. */
struct request {
    const char *method;
    const char *path;   /* percent-decoded, without scheme, authority and query; "*" of OPTIONS * */
    const char *accept; /* all Accept fields, with commas between */
    const char *content_type, *content_encoding, *if_none_match;
    const char *body; /* followed by a NUL that is not counted */
    size_t body_length;
    const char *id; /* of the request; the `instance` of a problem */
};

#define RESPONSE_HEADERS 12

struct response {
    int status;
    const char *content_type; /* NULL: none */
    const char *body;         /* static, or in the arena of the request; not sent with 304 */
    size_t length;            /* of the body, also where HEAD or 304 keep it back */
    struct {
        const char *name, *value;
    } header[RESPONSE_HEADERS];
    unsigned header_count;
    enum problem_code code; /* PROBLEM_NONE: no problem */
    const char *log_detail; /* of an error of ours: for the log, not for the client; or NULL */
};

/* What the head of a request decides, before any body. */
struct admission {
    const struct route *route; /* NULL: there is none */
    const char *name;          /* what stands for {name} */
    enum method method;
    enum media media;
    enum problem_code code; /* a refusal, or PROBLEM_NONE */
    const char *detail;     /* of the refusal; static, or NULL */
    unsigned wait_seconds;  /* Retry-After of a refusal */
};
struct admission pipeline_admit(const struct service *service, const struct request *request);

/* Answer a request: as admitted, or the refusal of its admission. Never fails: without memory the
 * answer is a 503 that was written beforehand. */
void pipeline_answer(const struct service *service, const struct request *request,
                     const struct admission *admission, struct arena *arena,
                     struct response *ret_response);

/* Both in one: an HTTP exchange without HTTP. */
void handle(const struct service *service, const struct request *request, struct arena *arena,
            struct response *ret_response);

void response_header(struct response *response, const char *name, const char *value);

#endif
