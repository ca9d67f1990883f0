/* guard.h: what the HTTP library lets through and a service must not (RFC 9110, RFC 9112). Pure: it
 * sees texts, no sockets. */
#ifndef SERVER_GUARD_H
#define SERVER_GUARD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"

#define GUARD_TARGET_BYTES 8000 /* RFC 9110 asks for 8000 at least */
#define GUARD_FIELDS 64
#define GUARD_ARGUMENTS 100
#define GUARD_FIELD_BYTES 16000
#define GUARD_ACCEPTS 4

/* The fields of one request as far as the service reads them. Texts belong to the caller. */
struct guard {
    const char *host, *content_type, *content_encoding, *transfer_encoding, *if_none_match;
    const char *origin, *preflight_method, *request_id, *traceparent;
    const char *accept[GUARD_ACCEPTS];
    size_t field_bytes;
    unsigned arguments, accepts, fields, hosts, transfer_encodings;
    uint64_t content_length;
    bool has_length, expects_continue, is_asterisk;
    enum problem_code code; /* the first fault met, or PROBLEM_NONE */
    const char *detail;     /* of that fault; static */
    bool closes; /* the framing is in doubt: nothing that follows on the connection may be read */
};

/* The raw request target, before any decoding; begins a request. */
void guard_target(struct guard *g, const char *target);

/* One header field as it came. */
void guard_field(struct guard *g, const char *name, size_t name_length, const char *value,
                 size_t value_length);

/* All fields are in: what can only be judged together. `version` is "HTTP/1.1" or "HTTP/1.0". */
void guard_finish(struct guard *g, const char *method, const char *version);

/* A W3C trace context, version 00, as the client sent it: the 32 digits of its trace-id into
 * ret_id. False where it is not one. */
bool guard_trace_id(const char *traceparent, char ret_id[33]);

/* A request id that may be passed on: 1 to 64 of A-Z a-z 0-9 . _ - */
bool guard_is_request_id(const char *text);

#endif
