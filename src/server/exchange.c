#include "server/exchange.h"

#include <stdio.h>
#include <string.h>

#include "server/answer.h"
#include "server/connection.h"

/* Of a refused body, read so that its answer arrives. */
#define DISCARD_BYTES ((uint64_t)64 << 20)
#define BODY_FIRST_BYTES ((size_t)64 << 10)
/* Of the buffer that a connection keeps between requests. */
#define BODY_KEPT_BYTES ((size_t)4 << 10)

/* ---- its end ---- */

/* Bytes of the body that went out. */
static uint64_t sent_bytes(const struct connection *c)
{
    bool is_kept_back = c->admission.method == METHOD_HEAD || c->response.status == 304;
    return is_kept_back ? 0 : c->response.length;
}

static void log_request(const struct connection *c, uint64_t nanoseconds)
{
    struct worker *w = c->worker;
    const struct response *r = &c->response;
    log_put_request(&w->log, &(struct log_request){
                                 .id = c->id,
                                 .method = method_name(c->admission.method),
                                 .route = c->admission.route ? c->admission.route->path : "other",
                                 .path = c->admission.route ? NULL : c->request.path,
                                 .trace = c->trace[0] ? c->trace : NULL,
                                 .detail = r->log_detail ? r->log_detail
                                           : r->status   ? NULL
                                                         : "The client went away.",
                                 .status = r->status,
                                 .bytes = sent_bytes(c),
                                 .received = c->received,
                                 .nanoseconds = nanoseconds,
                             });
}

static void request_ended(struct connection *c, bool is_complete)
{
    struct worker *w = c->worker;
    const struct route_table *routes = &w->http->service->routes;
    unsigned route =
        c->admission.route ? (unsigned)(c->admission.route - routes->routes) : routes->count;
    w->now = worker_clock();
    uint64_t took = w->now - c->started;
    if (is_complete) {
        metrics_refused(w->metrics, c->response.code);
        metrics_answer(w->metrics, route, c->admission.method, c->response.status, took,
                       c->received, sent_bytes(c));
    } else {
        metrics_count(w->metrics, METRICS_REQUEST_ABORTED);
    }
    metrics_count(w->metrics, METRICS_REQUEST_ENDED);
    log_request(c, took);
    worker_give_arena(w, c->arena);
    c->arena = NULL;
    if (c->body_capacity > BODY_KEPT_BYTES)
        connection_drop_body(c);
    c->is_begun = false;
    connection_enter(c, PHASE_IDLE);
}

/* The library does not always report the end of a request; its texts are gone then. */
static void lose(struct connection *c)
{
    c->request.path = NULL;
    request_ended(c, false);
}

/* ---- its head and its body ---- */

void *exchange_uri(void *cls, const char *uri, struct MHD_Connection *mhd)
{
    struct connection *c = connection_of(mhd);
    struct worker *w = cls;
    if (c) {
        w->calls++;
        w->now = worker_clock();
        if (c->phase != PHASE_HEAD) /* its first byte was seen before its first line was whole */
            connection_enter(c, PHASE_HEAD);
        guard_target(&c->guard, uri);
        /* The library would run out of memory over them and say nothing. */
        if (c->guard.arguments > GUARD_ARGUMENTS && !c->is_ended)
            connection_end(c, PROBLEM_URI_TOO_LONG, "The address has more than 100 arguments.");
    }
    return NULL;
}

static enum MHD_Result field_seen(void *cls, enum MHD_ValueKind kind, const char *name,
                                  size_t name_length, const char *value, size_t value_length)
{
    (void)kind;
    guard_field(cls, name, name_length, value, value_length);
    return MHD_YES;
}

/* The path of an absolute-form target. */
static const char *path_of(const char *url)
{
    const char *scheme = *url == '/' ? NULL : strstr(url, "://");
    if (!scheme)
        return url;
    const char *path = strchr(scheme + 3, '/');
    return path ? path : "/";
}

static void choose_id(struct connection *c)
{
    if (c->guard.request_id && guard_is_request_id(c->guard.request_id))
        strncpy(c->id, c->guard.request_id, sizeof c->id - 1);
    else
        connection_new_id(c);
}

/* Several Accept fields are one list (RFC 9110, section 5.3); what does not fit is left out. */
static const char *join_accept(struct connection *c)
{
    const struct guard *g = &c->guard;
    size_t length = 0;
    if (g->accepts <= 1)
        return g->accepts ? g->accept[0] : NULL;
    for (unsigned i = 0; i < g->accepts; i++) {
        int n = snprintf(c->accept + length, sizeof c->accept - length, "%s%s", i ? ", " : "",
                         g->accept[i]);
        if (n < 0 || (size_t)n >= sizeof c->accept - length)
            break;
        length += (size_t)n;
    }
    c->accept[length] = 0;
    return c->accept;
}

static void refuse_too_large(struct connection *c)
{
    connection_refuse(c, PROBLEM_TOO_LARGE,
                      "The body has more bytes than this service takes (its setting body-limit).");
    connection_drop_body(c);
}

/* A full service lives, and can be watched. */
static bool is_probe(const struct route *route)
{
    return route && (route->kind == ROUTE_HEALTH || route->kind == ROUTE_METRICS);
}

/* Whether the client asks for more computations than the rate limit lets it. */
static bool is_too_fast(struct connection *c)
{
    struct http *http = c->worker->http;
    struct admission *a = &c->admission;
    return http->rate && a->route && a->route->kind == ROUTE_COMPUTE && a->method == METHOD_POST &&
           !rate_admits(http->rate, c->client, c->started, &a->wait_seconds);
}

static void admit(struct connection *c)
{
    const struct http *http = c->worker->http;
    const struct guard *g = &c->guard;
    c->admission = pipeline_admit(http->service, &c->request);
    if (g->code != PROBLEM_NONE) { /* what is malformed is said before what is missing */
        c->admission.code = g->code;
        c->admission.detail = g->detail;
    }
    if (c->is_refused && !is_probe(c->admission.route))
        connection_refuse(c, PROBLEM_OVERLOADED,
                          "The service has as many connections as it takes.");
    if (c->is_crowded)
        connection_refuse(c, PROBLEM_TOO_MANY_REQUESTS, "Too many connections from one client.");
    if (is_too_fast(c))
        connection_refuse(c, PROBLEM_TOO_MANY_REQUESTS, NULL);
    if (g->content_length > http->settings->body_bytes)
        refuse_too_large(c);
}

static void begin_request(struct connection *c, struct MHD_Connection *mhd, const char *url,
                          const char *method, const char *version)
{
    struct worker *w = c->worker;
    struct guard *g = &c->guard;
    if (c->is_begun)
        lose(c);
    c->is_begun = true;
    c->is_answered = c->is_put_off = false;
    c->started = w->now = worker_clock();
    c->received = 0;
    c->trace[0] = 0;
    c->requests++;
    c->response = (struct response){0};
    metrics_count(w->metrics, METRICS_REQUEST_BEGUN);
    connection_enter(c, PHASE_BODY);
    MHD_get_connection_values_n(mhd, MHD_HEADER_KIND, field_seen, g);
    guard_finish(g, method, version);
    choose_id(c);
    if (g->traceparent)
        guard_trace_id(g->traceparent, c->trace);
    c->request = (struct request){
        .method = method,
        .path = path_of(url),
        .accept = join_accept(c),
        .content_type = g->content_type,
        .content_encoding = g->content_encoding,
        .if_none_match = g->if_none_match,
        .body = "",
        .id = c->id,
    };
    admit(c);
}

/* A refusal goes out at once, and the connection closes, where its body must not be read (the
 * framing is in doubt), need not be (the client waits for 100), or is too long to be. */
static bool refuses_at_once(const struct connection *c)
{
    return c->admission.code != PROBLEM_NONE &&
           (c->guard.closes || c->guard.expects_continue || c->is_refused || c->is_crowded ||
            c->guard.content_length > c->worker->http->settings->body_bytes + DISCARD_BYTES);
}

static bool take_body(struct connection *c, const char *bytes, size_t count)
{
    size_t limit = c->worker->http->settings->body_bytes;
    c->received += count;
    if (c->admission.code != PROBLEM_NONE) {
        if (c->received <= limit + DISCARD_BYTES)
            return true;
        connection_end(c, c->admission.code, "The body is far longer than this service takes.");
        return false;
    }
    if (c->received > limit) {
        refuse_too_large(c);
        return true;
    }
    size_t announced = c->guard.content_length < BODY_FIRST_BYTES ? (size_t)c->guard.content_length
                                                                  : BODY_FIRST_BYTES;
    size_t length = c->request.body_length + count;
    if (!connection_reserve_body(c, length > announced ? length : announced)) {
        connection_drop_body(c);
        connection_refuse(c, PROBLEM_OVERLOADED, "There is no memory for the body.");
        return true;
    }
    memcpy(c->body + c->request.body_length, bytes, count);
    c->body[length] = 0;
    c->request.body = c->body;
    c->request.body_length = length;
    return true;
}

enum MHD_Result exchange_serve(void *cls, struct MHD_Connection *mhd, const char *url,
                               const char *method, const char *version, const char *upload,
                               size_t *upload_size, void **context)
{
    struct connection *c = connection_of(mhd);
    if (!c) { /* no memory when it connected */
        bool is_first = *context == NULL;
        *context = cls;
        *upload_size = 0;
        return is_first ? MHD_YES : answer_without_memory(NULL, cls, mhd);
    }
    c->worker->calls++;
    c->heard = c->worker->now;
    if (!*context) {
        *context = c;
        begin_request(c, mhd, url, method, version);
        return refuses_at_once(c) ? answer_at_once(c, mhd) : MHD_YES;
    }
    if (*upload_size) {
        bool goes_on = c->is_answered || take_body(c, upload, *upload_size);
        *upload_size = 0;
        return goes_on ? MHD_YES : MHD_NO;
    }
    return c->is_answered ? MHD_YES : answer_in_turn(c, mhd);
}

void exchange_completed(void *cls, struct MHD_Connection *mhd, void **context,
                        enum MHD_RequestTerminationCode code)
{
    struct connection *c = connection_of(mhd);
    (void)cls;
    *context = NULL;
    if (c && c->is_begun)
        request_ended(c, code == MHD_REQUEST_TERMINATED_COMPLETED_OK);
}

void exchange_notify(void *cls, struct MHD_Connection *mhd, void **context,
                     enum MHD_ConnectionNotificationCode code)
{
    struct connection *c = *context;
    if (code == MHD_CONNECTION_NOTIFY_STARTED) {
        *context = connection_open(cls, mhd);
    } else if (c) {
        if (c->is_begun)
            lose(c);
        connection_close(c);
    }
}
