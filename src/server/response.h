/* response.h: an answer before it is sent, and the one form of all errors (RFC 9457). */
#ifndef SERVER_RESPONSE_H
#define SERVER_RESPONSE_H

#include <stddef.h>

#include "base/arena.h"
#include "base/problem.h"
#include "server/negotiate.h"

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

/* Begin it anew: its body is static or in the arena of the request. */
void response_set(struct response *r, int status, enum media media, const char *body,
                  size_t length);
/* A header more; NULL as value is none. */
void response_header(struct response *r, const char *name, const char *value);
/* The problem, with `id` as its instance (NULL: none). */
void response_problem(struct response *r, const struct problem *p, const char *id,
                      struct arena *arena);
/* What is sent where there is no memory to say more. */
void response_without_memory(struct response *r);

#endif
