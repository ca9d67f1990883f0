/* exchange.c: one request and its answer, between the library's callbacks and the pipeline. */
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server/cors.h"
#include "server/worker.h"

#define DISCARD_BYTES                                                                              \
    ((uint64_t)64 << 20) /* of a refused body, read so that its answer arrives                     \
                          */
#define BODY_FIRST_BYTES ((size_t)64 << 10)
#define BODY_KEPT_BYTES ((size_t)4 << 10) /* buffer that a connection keeps between requests */
/* A computation is the loop's own affair where its body is short and the loop has not computed for
 * long in this turn. Every other goes to the pool, so that whoever else is on the loop, probes
 * among them, is answered meanwhile. */
#define SHORT_BODY_BYTES ((size_t)2 << 10) /* a large fraction of a second at the very most */
#define TURN_NANOSECONDS (SECOND / 50)
#define ARENA_KEPT_BYTES ((size_t)1 << 20) /* arena that may wait for a slow reader */

/* ---- memory ---- */

static struct arena *take_arena(struct worker *w)
{
    if (w->spares)
        return w->spare[--w->spares];
    return arena_new((size_t)w->http->settings->memory_mib << 20);
}

static void give_arena(struct worker *w, struct arena *arena)
{
    if (!arena)
        return;
    arena_reset(arena);
    if (w->spares < ARENAS_SPARE)
        w->spare[w->spares++] = arena;
    else
        arena_free(arena);
}

/* Room for `size` bytes and a NUL. */
static bool reserve_body(struct connection *c, size_t size)
{
    if (size < c->body_capacity)
        return true;
    size_t capacity = c->body_capacity ? c->body_capacity : 512;
    while (capacity <= size)
        capacity *= 2;
    char *body = realloc(c->body, capacity);
    if (!body)
        return false;
    c->body = body;
    c->body_capacity = capacity;
    return true;
}

static void drop_body(struct connection *c)
{
    free(c->body);
    c->body = NULL;
    c->body_capacity = 0;
    c->request.body = NULL;
    c->request.body_length = 0;
}

/* ---- one request ---- */

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

/* Refuse as HTTP rather than as statics; the first refusal stands. */
static void refuse(struct connection *c, enum problem_code code, const char *detail)
{
    if (c->admission.code == PROBLEM_NONE) {
        c->admission.code = code;
        c->admission.detail = detail;
    }
}

static void refuse_too_large(struct connection *c)
{
    refuse(c, PROBLEM_TOO_LARGE,
           "The body has more bytes than this service takes (its setting body-limit).");
    drop_body(c);
}

/* A full service lives, and can be watched. */
static bool is_probe(const struct route *route)
{
    return route && (route->kind == ROUTE_HEALTH || route->kind == ROUTE_METRICS);
}

static void begin_request(struct connection *c, struct MHD_Connection *mhd, const char *url,
                          const char *method, const char *version)
{
    struct worker *w = c->worker;
    struct guard *g = &c->guard;
    const struct settings *s = w->http->settings;
    if (c->is_begun)
        exchange_lost(c);
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
    c->admission = pipeline_admit(w->http->service, &c->request);
    if (g->code != PROBLEM_NONE) { /* what is malformed is said before what is missing */
        c->admission.code = g->code;
        c->admission.detail = g->detail;
    }
    if (c->is_refused && !is_probe(c->admission.route))
        refuse(c, PROBLEM_OVERLOADED, "The service has as many connections as it takes.");
    if (c->is_crowded)
        refuse(c, PROBLEM_TOO_MANY_REQUESTS, "Too many connections from one client.");
    if (w->http->rate && c->admission.route && c->admission.route->kind == ROUTE_COMPUTE &&
        c->admission.method == METHOD_POST &&
        !rate_admits(w->http->rate, c->client, c->started, &c->admission.wait_seconds))
        refuse(c, PROBLEM_TOO_MANY_REQUESTS, NULL);
    if (g->content_length > s->body_bytes)
        refuse_too_large(c);
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
    if (!reserve_body(c, length > announced ? length : announced)) {
        drop_body(c);
        refuse(c, PROBLEM_OVERLOADED, "There is no memory for the body.");
        return true;
    }
    memcpy(c->body + c->request.body_length, bytes, count);
    c->body[length] = 0;
    c->request.body = c->body;
    c->request.body_length = length;
    return true;
}

static enum MHD_Result answer_without_memory(struct connection *c, struct worker *w,
                                             struct MHD_Connection *mhd)
{
    if (c) {
        c->response = (struct response){.status = 503, .code = PROBLEM_OVERLOADED};
        c->is_answered = true;
        connection_enter(c, PHASE_ANSWER);
    }
    return MHD_queue_response(mhd, MHD_HTTP_SERVICE_UNAVAILABLE, w->no_memory);
}

static enum MHD_Result queue(struct connection *c, struct MHD_Connection *mhd)
{
    struct response *r = &c->response;
    struct worker *w = c->worker;
    enum MHD_ResponseMemoryMode mode = MHD_RESPMEM_PERSISTENT;
    /* A reader who takes his time may keep his answer, but not all that it took to make it. */
    bool is_heavy = arena_used(c->arena) > ARENA_KEPT_BYTES && !r->log_detail;
    if (is_heavy && r->length)
        mode = MHD_RESPMEM_MUST_COPY;
    cors_grant(w->http->settings->cors, &c->guard, &c->admission, r);
    struct MHD_Response *out =
        MHD_create_response_from_buffer(r->length, (void *)(uintptr_t)r->body, mode);
    bool is_good = out != NULL;
    if (is_good && r->content_type)
        is_good = MHD_add_response_header(out, "Content-Type", r->content_type) == MHD_YES &&
                  MHD_add_response_header(out, "X-Content-Type-Options", "nosniff") == MHD_YES;
    if (is_good)
        is_good = MHD_add_response_header(out, "X-Request-Id", c->id) == MHD_YES;
    for (unsigned i = 0; is_good && i < r->header_count; i++)
        is_good = MHD_add_response_header(out, r->header[i].name, r->header[i].value) == MHD_YES;
    if (is_good && (atomic_load_explicit(&w->http->service->draining, memory_order_relaxed) ||
                    c->is_refused || c->is_crowded))
        is_good = MHD_add_response_header(out, "Connection", "close") == MHD_YES;
    enum MHD_Result result = MHD_NO;
    if (is_good) {
        c->is_answered = true;
        connection_enter(c, PHASE_ANSWER);
        result = MHD_queue_response(mhd, (unsigned)r->status, out);
    } else {
        result = answer_without_memory(c, w, mhd);
    }
    if (out)
        MHD_destroy_response(out);
    if (is_heavy) {
        give_arena(w, c->arena);
        c->arena = NULL;
        drop_body(c);
    }
    return result;
}

/* ---- computations that may take long ---- */

static bool may_take_long(const struct connection *c)
{
    const struct admission *a = &c->admission;
    return a->code == PROBLEM_NONE && a->route->kind == ROUTE_COMPUTE && a->method == METHOD_POST &&
           (c->request.body_length > SHORT_BODY_BYTES ||
            c->worker->now - c->worker->turned > TURN_NANOSECONDS);
}

/* On a thread of the pool. The connection is the loop's again once it is resumed. */
static void work(struct job *job)
{
    struct connection *c =
        (struct connection *)(void *)((char *)job - offsetof(struct connection, job));
    struct worker *w = c->worker;
    struct http *http = w->http;
    uint64_t waited = worker_clock() - c->since;
    if (atomic_load(&w->is_cutting))
        refuse(c, PROBLEM_OVERLOADED, "The service is shutting down.");
    else if (waited > (uint64_t)http->settings->request_seconds * SECOND ||
             (waited > SECOND && connection_has_left(c))) /* most likely nobody waits for it */
        refuse(c, PROBLEM_OVERLOADED, "Too many long computations came before this one.");
    pipeline_answer(http->service, &c->request, &c->admission, c->arena, &c->response);
    MHD_resume_connection(c->mhd);
    worker_wake(w);
}

static enum MHD_Result hand_over(struct connection *c, struct MHD_Connection *mhd)
{
    c->arena = take_arena(c->worker);
    if (!c->arena)
        return answer_without_memory(c, c->worker, mhd);
    c->is_put_off = false;
    c->mhd = mhd;
    c->job.run = work;
    MHD_suspend_connection(mhd);
    pool_put(c->worker->http->pool, &c->job);
    return MHD_YES;
}

static enum MHD_Result answer(struct connection *c, struct MHD_Connection *mhd)
{
    struct worker *w = c->worker;
    c->arena = take_arena(w);
    if (!c->arena)
        return answer_without_memory(c, w, mhd);
    pipeline_answer(w->http->service, &c->request, &c->admission, c->arena, &c->response);
    return queue(c, mhd);
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
        return refuses_at_once(c) ? answer(c, mhd) : MHD_YES;
    }
    if (*upload_size) {
        bool goes_on = c->is_answered || take_body(c, upload, *upload_size);
        *upload_size = 0;
        return goes_on ? MHD_YES : MHD_NO;
    }
    if (c->is_answered)
        return MHD_YES;
    if (c->is_put_off)
        return hand_over(c, mhd);
    if (c->phase == PHASE_WORK) /* it comes back from the pool */
        return queue(c, mhd);
    /* What the library waited for when it was suspended it does first when it is resumed: it would
     * read, and drop a client that has closed its own side. So it is suspended only when it asks
     * once more, and waits for nothing but the answer. */
    if (!may_take_long(c))
        return answer(c, mhd);
    connection_enter(c, PHASE_WORK);
    c->is_put_off = true;
    return MHD_YES;
}

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
    give_arena(w, c->arena);
    c->arena = NULL;
    if (c->body_capacity > BODY_KEPT_BYTES)
        drop_body(c);
    c->is_begun = false;
    connection_enter(c, PHASE_IDLE);
}

/* The library does not always report the end of a request; its texts are gone then. */
void exchange_lost(struct connection *c)
{
    c->request.path = NULL;
    request_ended(c, false);
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
