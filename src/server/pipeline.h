/* pipeline.h: how a request becomes an answer, once for all endpoints: route, method, media type,
 * strict JSON, schema, run, representation. Knows no sockets. */
#ifndef SERVER_PIPELINE_H
#define SERVER_PIPELINE_H

#include <stddef.h>

#include "server/negotiate.h"
#include "server/response.h"
#include "server/service.h"

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

#endif
