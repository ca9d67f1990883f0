/* http.c: libmicrohttpd stays in this file.
 *
 * What the library cannot do, or does wrongly (0.9.75), is done here:
 * - Its own loops hang when a multiple of 128 events is ready, so each thread polls the daemon's
 *   epoll descriptor itself and then calls MHD_run.
 * - Its timeout counts idle time only, so that a byte now and then holds a connection for ever.
 *   Every phase of a connection has a deadline here, and none there.
 * - A response queued before the body has arrived closes the connection, and may be lost behind the
 *   body: refusals wait until the body is in, unless the framing itself is in doubt.
 * - At its connection limit it lets clients wait unheard: the oldest unfinished connection makes
 *   room instead, or the new one gets a 503.
 * - MHD_stop_daemon cuts off what is under way: see drain() for the order that loses nothing. */
#include "server/http.h"

#include <inttypes.h>
#include <microhttpd.h>
#include <poll.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/random.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <linux/tcp.h> /* tcpi_bytes_received; netinet/tcp.h lacks it */
#include <netinet/in.h>

#include "server/cors.h"
#include "server/guard.h"
#include "server/log.h"
#include "server/rate.h"

#define POOL_BYTES ((size_t)32 << 10) /* of a connection: a head may take half of it */
#define SWEEP_NANOSECONDS 250000000u
#define SECOND 1000000000u
#define FRESH_NANOSECONDS SECOND /* a drain gives a new connection this long to ask */
#define DISCARD_BYTES                                                                              \
    ((uint64_t)64 << 20) /* of a refused body, read so that its answer arrives                     \
                          */
#define BODY_FIRST_BYTES ((size_t)64 << 10)
#define BODY_KEPT_BYTES ((size_t)4 << 10)  /* buffer that a connection keeps between requests */
#define ARENA_KEPT_BYTES ((size_t)1 << 20) /* arena that may wait for a slow reader */
#define ARENAS_SPARE 64
#define ACCEPT_BYTES 512    /* of several Accept fields */
#define HARD_LIMIT_EXTRA 64 /* connections beyond the limit, for as long as their 503 takes */

enum phase { PHASE_IDLE, PHASE_HEAD, PHASE_BODY, PHASE_ANSWER };

struct connection {
    struct connection *next, *previous; /* by `since`, oldest first */
    struct worker *worker;
    int fd;
    enum phase phase;
    uint64_t since;  /* begin of the phase; PHASE_BODY goes on from PHASE_HEAD */
    uint64_t client; /* stands for its address */
    unsigned requests;
    bool is_refused;  /* beyond the limit: whatever it asks gets a 503 */
    bool is_crowded;  /* beyond its client's limit: 429 */
    bool is_ended;    /* shut down by us, the library will notice */
    bool is_answered; /* some answer of this request was queued */

    /* The request in hand. */
    bool is_begun;
    uint64_t started, received;
    char id[65], trace[33], accept[ACCEPT_BYTES];
    struct guard guard;
    struct request request;
    struct admission admission;
    struct response response;
    struct arena *arena;
    char *body;
    size_t body_capacity;
};

struct worker {
    struct http *http;
    pthread_t thread;
    struct MHD_Daemon *daemon;
    unsigned index;
    int epoll, wake;
    struct connection *oldest, *newest;
    unsigned connections, limit, client_limit;
    struct arena *spare[ARENAS_SPARE];
    unsigned spares;
    uint64_t now, swept, ids;
    struct metrics_shard *metrics;
    struct MHD_Response *no_memory; /* made beforehand */
    bool has_cut_off;
    struct log log;
};

struct http {
    struct service *service;
    const struct settings *settings;
    struct listeners *listeners;
    struct worker *workers;
    unsigned count;
    struct rate *rate; /* NULL: no limit */
    bool logs_all, logs_errors;
    pid_t process;
    int done;
    atomic_bool finishing;
    atomic_uint running;
};

static uint64_t clock_now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (uint64_t)t.tv_sec * SECOND + (uint64_t)t.tv_nsec;
}

/* ---- connections ---- */

static void list_remove(struct worker *w, struct connection *c)
{
    *(c->previous ? &c->previous->next : &w->oldest) = c->next;
    *(c->next ? &c->next->previous : &w->newest) = c->previous;
}

static void list_append(struct worker *w, struct connection *c)
{
    c->next = NULL;
    c->previous = w->newest;
    *(w->newest ? &w->newest->next : &w->oldest) = c;
    w->newest = c;
}

static void enter(struct connection *c, enum phase phase)
{
    c->phase = phase;
    if (phase == PHASE_BODY)
        return;
    c->since = c->worker->now;
    list_remove(c->worker, c);
    list_append(c->worker, c);
}

/* An id of our own: splitmix64, so that none comes twice. */
static void new_id(struct connection *c)
{
    static const char digits[] = "0123456789abcdef";
    uint64_t x = c->worker->ids += 0x9e3779b97f4a7c15u;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
    x ^= x >> 31;
    for (int i = 0; i < 16; i++, x >>= 4)
        c->id[i] = digits[x & 15];
    c->id[16] = 0;
}

/* An answer by hand, where the library gives none. */
static void send_by_hand(const struct connection *c, const struct problem_row *row,
                         const char *detail)
{
    char body[640], text[1280];
    snprintf(body, sizeof body,
             "{\"type\": \"/problems/%s\", \"title\": \"%s\", \"status\": %d, \"detail\": \"%s\", "
             "\"instance\": \"%s\"}\n",
             row->name, row->title, row->status, detail, c->id);
    int length =
        snprintf(text, sizeof text,
                 "HTTP/1.1 %d %s\r\nContent-Type: application/problem+json\r\n"
                 "Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\n"
                 "X-Request-Id: %s\r\n%sConnection: close\r\nContent-Length: %zu\r\n\r\n%s",
                 row->status, row->title, c->id, row->status == 503 ? "Retry-After: 1\r\n" : "",
                 strlen(body), body);
    send(c->fd, text, (size_t)length, MSG_DONTWAIT | MSG_NOSIGNAL);
}

/* End it, the library will notice; whoever waits for an answer is told why (PROBLEM_NONE: nobody
 * does). */
static void end_connection(struct connection *c, enum problem_code code, const char *detail)
{
    const struct problem_row *row = problem_row(code);
    if (!c->is_begun)
        new_id(c);
    if (code != PROBLEM_NONE) {
        send_by_hand(c, row, detail);
        c->response = (struct response){.status = row->status, .log_detail = detail};
        if (!c->is_begun)
            log_put_event(&c->worker->log, "warning", row->name, c->id, detail);
    }
    c->is_ended = true;
    c->worker->connections--; /* what is ended counts no more; connection_closed knows */
    shutdown(c->fd, SHUT_RDWR);
}

/* Whether anything came on a connection that has not been heard of yet. */
static bool has_sent(const struct connection *c)
{
    struct tcp_info info = {0};
    socklen_t length = sizeof info;
    if (getsockopt(c->fd, IPPROTO_TCP, TCP_INFO, &info, &length))
        return false;
    return info.tcpi_bytes_received > 0;
}

static uint64_t client_of(struct MHD_Connection *mhd)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    uint64_t client = 0;
    if (info && info->client_addr && info->client_addr->sa_family == AF_INET) {
        struct sockaddr_in in;
        memcpy(&in, info->client_addr, sizeof in);
        client = in.sin_addr.s_addr;
    } else if (info && info->client_addr && info->client_addr->sa_family == AF_INET6) {
        struct sockaddr_in6 in6; /* a client has a network of 64 bits */
        memcpy(&in6, info->client_addr, sizeof in6);
        memcpy(&client, &in6.sin6_addr, sizeof client);
    }
    return client;
}

/* Make room for one more: the oldest connection whose request is not whole yet. */
static bool evict(struct worker *w)
{
    for (struct connection *c = w->oldest; c; c = c->next) {
        if (c->phase == PHASE_ANSWER || c->is_ended)
            continue;
        metrics_count(w->metrics, METRICS_EVICTED);
        bool is_waiting = c->phase != PHASE_IDLE || c->requests == 0;
        end_connection(c, is_waiting ? PROBLEM_OVERLOADED : PROBLEM_NONE,
                       "The service is full, and this request was the slowest to arrive.");
        return true;
    }
    return false;
}

static bool is_crowded(const struct worker *w, uint64_t client)
{
    unsigned n = 0;
    for (const struct connection *c = w->oldest; c && w->client_limit; c = c->next)
        n += c->client == client && !c->is_ended;
    return w->client_limit && n >= w->client_limit;
}

static void connection_opened(struct worker *w, struct MHD_Connection *mhd, void **ret_context)
{
    struct connection *c = calloc(1, sizeof *c);
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CONNECTION_FD);
    *ret_context = c;
    if (!c)
        return; /* its request will get the 503 made beforehand */
    c->worker = w;
    c->fd = info ? info->connect_fd : -1;
    c->client = client_of(mhd);
    c->since = w->now;
    c->is_crowded = is_crowded(w, c->client);
    if (w->connections >= w->limit)
        c->is_refused = !evict(w);
    w->connections++;
    list_append(w, c);
    metrics_count(w->metrics, METRICS_CONNECTION_OPENED);
}

static void request_ended(struct connection *c, bool is_complete);

/* The library does not always report the end of a request; its texts are gone then. */
static void request_lost(struct connection *c)
{
    c->request.path = NULL;
    request_ended(c, false);
}

static void connection_closed(struct worker *w, struct connection *c)
{
    if (!c)
        return;
    if (c->is_begun)
        request_lost(c);
    list_remove(w, c);
    if (!c->is_ended)
        w->connections--;
    metrics_count(w->metrics, METRICS_CONNECTION_CLOSED);
    free(c->body);
    free(c);
}

static void notify_connection(void *cls, struct MHD_Connection *mhd, void **context,
                              enum MHD_ConnectionNotificationCode code)
{
    if (code == MHD_CONNECTION_NOTIFY_STARTED)
        connection_opened(cls, mhd, context);
    else
        connection_closed(cls, *context);
}

static struct connection *connection_of(struct MHD_Connection *mhd)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    return info ? info->socket_context : NULL;
}

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

static void *uri_seen(void *cls, const char *uri, struct MHD_Connection *mhd)
{
    struct connection *c = connection_of(mhd);
    struct worker *w = cls;
    if (c) {
        w->now = clock_now();
        enter(c, PHASE_HEAD);
        guard_target(&c->guard, uri);
        /* The library would run out of memory over them and say nothing. */
        if (c->guard.arguments > GUARD_ARGUMENTS && !c->is_ended)
            end_connection(c, PROBLEM_URI_TOO_LONG, "The address has more than 100 arguments.");
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
        new_id(c);
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

static void begin_request(struct connection *c, struct MHD_Connection *mhd, const char *url,
                          const char *method, const char *version)
{
    struct worker *w = c->worker;
    struct guard *g = &c->guard;
    const struct settings *s = w->http->settings;
    if (c->is_begun)
        request_lost(c);
    c->is_begun = true;
    c->is_answered = false;
    c->started = w->now = clock_now();
    c->received = 0;
    c->trace[0] = 0;
    c->requests++;
    c->response = (struct response){0};
    metrics_count(w->metrics, METRICS_REQUEST_BEGUN);
    enter(c, PHASE_BODY);
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
    if (c->is_refused)
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
        end_connection(c, c->admission.code, "The body is far longer than this service takes.");
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
        c->response = (struct response){.status = 503};
        c->is_answered = true;
        enter(c, PHASE_ANSWER);
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
        enter(c, PHASE_ANSWER);
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

static enum MHD_Result answer(struct connection *c, struct MHD_Connection *mhd)
{
    struct worker *w = c->worker;
    c->arena = take_arena(w);
    if (!c->arena)
        return answer_without_memory(c, w, mhd);
    pipeline_answer(w->http->service, &c->request, &c->admission, c->arena, &c->response);
    return queue(c, mhd);
}

static enum MHD_Result serve(void *cls, struct MHD_Connection *mhd, const char *url,
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
    return c->is_answered ? MHD_YES : answer(c, mhd);
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
    if (!w->http->logs_all && !(w->http->logs_errors && (r->status >= 500 || r->status == 0)))
        return;
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
    w->now = clock_now();
    uint64_t took = w->now - c->started;
    if (is_complete)
        metrics_answer(w->metrics, route, c->admission.method, c->response.status, took,
                       c->received, sent_bytes(c));
    else
        metrics_count(w->metrics, METRICS_REQUEST_ABORTED);
    metrics_count(w->metrics, METRICS_REQUEST_ENDED);
    log_request(c, took);
    give_arena(w, c->arena);
    c->arena = NULL;
    if (c->body_capacity > BODY_KEPT_BYTES)
        drop_body(c);
    c->is_begun = false;
    enter(c, PHASE_IDLE);
}

static void notify_completed(void *cls, struct MHD_Connection *mhd, void **context,
                             enum MHD_RequestTerminationCode code)
{
    struct connection *c = connection_of(mhd);
    (void)cls;
    *context = NULL;
    if (c && c->is_begun)
        request_ended(c, code == MHD_REQUEST_TERMINATED_COMPLETED_OK);
}

/* ---- the loop of a thread ---- */

/* Past its deadline? Then it ends, with a 408 where a request had begun. */
static void enforce_deadline(struct worker *w, struct connection *c)
{
    const struct settings *s = w->http->settings;
    uint64_t age = w->now - c->since;
    bool is_fresh = c->phase == PHASE_IDLE && c->requests == 0;
    if (c->is_ended)
        return;
    if (c->phase == PHASE_ANSWER) {
        if (age < (uint64_t)s->answer_seconds * SECOND)
            return;
        metrics_count(w->metrics, METRICS_TIMED_OUT);
        end_connection(c, PROBLEM_NONE, NULL);
    } else if (c->phase == PHASE_IDLE && (!is_fresh || !has_sent(c))) {
        if (age < (uint64_t)s->idle_seconds * SECOND)
            return;
        end_connection(c, PROBLEM_NONE, NULL);
    } else {
        if (age < (uint64_t)s->request_seconds * SECOND)
            return;
        metrics_count(w->metrics, METRICS_TIMED_OUT);
        end_connection(c, PROBLEM_REQUEST_TIMEOUT,
                       "The request did not arrive within the time limit.");
    }
}

static void sweep(struct worker *w)
{
    w->swept = w->now;
    for (struct connection *c = w->oldest; c; c = c->next)
        if (w->now - c->since >= FRESH_NANOSECONDS)
            enforce_deadline(w, c);
}

/* Wait for work, then do it. */
static void turn(struct worker *w)
{
    struct pollfd ready[2] = {{.fd = w->epoll, .events = POLLIN},
                              {.fd = w->wake, .events = POLLIN}};
    MHD_UNSIGNED_LONG_LONG due = 0;
    int wait = w->oldest ? (int)(SWEEP_NANOSECONDS / 1000000) : -1;
    if (MHD_get_timeout(w->daemon, &due) == MHD_YES && (wait < 0 || due < (unsigned)wait))
        wait = (int)due;
    if (poll(ready, 2, wait) > 0 && ready[1].revents) {
        uint64_t times;
        if (read(w->wake, &times, sizeof times) < 0)
            times = 0;
    }
    w->now = clock_now();
    MHD_run(w->daemon);
    if (w->now - w->swept >= SWEEP_NANOSECONDS)
        sweep(w);
    log_flush(&w->log);
}

/* Whether a connection is waiting to be taken. */
static bool is_called(int listener)
{
    struct pollfd ready = {.fd = listener, .events = POLLIN};
    return poll(&ready, 1, 0) > 0;
}

/* The order that loses nothing: the last callers are taken, the listener closes at once, idle
 * connections are told, the rest finish. */
static void drain(struct worker *w)
{
    struct http *http = w->http;
    int listener = http->listeners->fd[w->index];
    for (int i = 0; i < 1024 && is_called(listener); i++)
        MHD_run(w->daemon);
    MHD_quiesce_daemon(w->daemon);
    listeners_close_one(http->listeners, w->index);
    uint64_t deadline = clock_now() + (uint64_t)http->settings->drain_seconds * SECOND;
    while (w->oldest) {
        w->now = clock_now();
        if (w->now >= deadline)
            break;
        for (struct connection *c = w->oldest; c; c = c->next)
            if (c->phase == PHASE_IDLE && !c->is_ended &&
                (c->requests || w->now - c->since >= FRESH_NANOSECONDS))
                shutdown(c->fd, SHUT_RD);
        turn(w);
    }
    for (const struct connection *c = w->oldest; c; c = c->next)
        w->has_cut_off = w->has_cut_off || (c->phase != PHASE_IDLE && !c->is_ended);
}

static void *run(void *cls)
{
    struct worker *w = cls;
    struct http *http = w->http;
    while (!atomic_load(&http->finishing))
        turn(w);
    drain(w);
    MHD_stop_daemon(w->daemon);
    w->daemon = NULL;
    if (w->has_cut_off)
        log_put_event(&w->log, "warning", "cut-off", NULL,
                      "Some requests were not finished in time.");
    log_flush(&w->log);
    atomic_fetch_sub(&http->running, 1);
    kill(http->process, http->done);
    return NULL;
}

/* ---- start and end ---- */

static void ignore_message(void *cls, const char *format, va_list args)
{
    (void)cls;
    (void)format;
    (void)args;
}

static bool start_worker(struct worker *w)
{
    static const char body[] =
        "{\"type\": \"/problems/overloaded\", \"title\": \"The service is full, out of memory for "
        "this request, or shutting down\", \"status\": 503, \"detail\": \"There is no memory for "
        "this request.\"}\n";
    struct http *http = w->http;
    w->daemon = MHD_start_daemon(
        MHD_USE_EPOLL | MHD_USE_ITC | MHD_USE_ERROR_LOG, 0, NULL, NULL, serve, w,
        MHD_OPTION_EXTERNAL_LOGGER, ignore_message, NULL, MHD_OPTION_LISTEN_SOCKET,
        http->listeners->fd[w->index], MHD_OPTION_NOTIFY_CONNECTION, notify_connection, w,
        MHD_OPTION_NOTIFY_COMPLETED, notify_completed, w, MHD_OPTION_URI_LOG_CALLBACK, uri_seen, w,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, POOL_BYTES, MHD_OPTION_CONNECTION_TIMEOUT, 0u,
        MHD_OPTION_CONNECTION_LIMIT, w->limit + HARD_LIMIT_EXTRA, MHD_OPTION_STRICT_FOR_CLIENT, 0,
        MHD_OPTION_SIGPIPE_HANDLED_BY_APP, 1, MHD_OPTION_END);
    const union MHD_DaemonInfo *info =
        w->daemon ? MHD_get_daemon_info(w->daemon, MHD_DAEMON_INFO_EPOLL_FD) : NULL;
    w->no_memory = MHD_create_response_from_buffer(sizeof body - 1, (void *)(uintptr_t)body,
                                                   MHD_RESPMEM_PERSISTENT);
    w->wake = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    if (!info || !w->no_memory || w->wake < 0)
        return false;
    w->epoll = info->epoll_fd;
    MHD_add_response_header(w->no_memory, "Content-Type", "application/problem+json");
    MHD_add_response_header(w->no_memory, "Retry-After", "1");
    MHD_add_response_header(w->no_memory, "Cache-Control", "no-store");
    return pthread_create(&w->thread, NULL, run, w) == 0;
}

static void free_worker(struct worker *w)
{
    if (w->daemon)
        MHD_stop_daemon(w->daemon);
    if (w->no_memory)
        MHD_destroy_response(w->no_memory);
    if (w->wake >= 0)
        close(w->wake);
    while (w->spares)
        arena_free(w->spare[--w->spares]);
}

struct http *http_start(struct service *service, struct listeners *listeners, char *message,
                        size_t size)
{
    const struct settings *s = service->settings;
    struct http *http = calloc(1, sizeof *http);
    uint64_t seed[2] = {0};
    snprintf(message, size, "The server cannot be started: no memory or no descriptors.");
    if (!http || getrandom(seed, sizeof seed, 0) != (ssize_t)sizeof seed)
        goto failed;
    http->service = service;
    http->settings = s;
    http->listeners = listeners;
    http->process = getpid();
    http->logs_all = !strcmp(s->log, "all");
    http->logs_errors = http->logs_all || !strcmp(s->log, "errors");
    http->rate = s->rate ? rate_new(s->rate, seed[0]) : NULL;
    http->workers = calloc(listeners->count, sizeof *http->workers);
    if (!http->workers || (s->rate && !http->rate))
        goto failed;
    for (unsigned i = 0; i < listeners->count; i++) {
        struct worker *w = &http->workers[i];
        *w = (struct worker){
            .http = http, .index = i, .wake = -1, .ids = seed[1] ^ (uint64_t)i << 56};
        w->limit = (s->connections + listeners->count - 1) / listeners->count;
        w->client_limit = (s->connections_per_client + listeners->count - 1) / listeners->count;
        w->metrics = metrics_shard(service->metrics, i);
        w->log.fd = STDERR_FILENO;
        atomic_fetch_add(&http->running, 1);
        if (!start_worker(w)) {
            free_worker(w);
            goto failed;
        }
        http->count++;
    }
    return http;
failed:
    if (http) {
        http_finish(http, 0);
        http_free(http);
    } else {
        listeners_free(listeners);
    }
    return NULL;
}

void http_drain(struct http *http) { atomic_store(&http->service->draining, true); }

void http_finish(struct http *http, int done)
{
    uint64_t once = 1;
    http->done = done;
    atomic_store(&http->finishing, true);
    for (unsigned i = 0; i < http->count; i++)
        if (write(http->workers[i].wake, &once, sizeof once) < 0)
            continue; /* it comes round by itself within a sweep */
}

bool http_is_finished(const struct http *http) { return atomic_load(&http->running) == 0; }

bool http_free(struct http *http)
{
    bool is_whole = true;
    for (unsigned i = 0; i < http->count; i++) {
        pthread_join(http->workers[i].thread, NULL);
        is_whole = is_whole && !http->workers[i].has_cut_off;
        free_worker(&http->workers[i]);
    }
    rate_free(http->rate);
    if (http->listeners)
        listeners_free(http->listeners);
    free(http->workers);
    free(http);
    return is_whole;
}
