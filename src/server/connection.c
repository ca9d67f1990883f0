#include "server/connection.h"

#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

#include <linux/tcp.h> /* tcpi_bytes_received; netinet/tcp.h lacks it */

/* A loop that spins makes many thousands of turns between two sweeps; to read the longest head
 * takes some thirty without a call. It is a chunked body then of which nothing is heard. */
#define VAIN_TURNS 300
#define STUCK_NANOSECONDS (SECOND / 4)

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

void connection_enter(struct connection *c, enum phase phase)
{
    c->worker->working += phase == PHASE_WORK;
    c->worker->working -= c->phase == PHASE_WORK;
    c->phase = phase;
    if (phase == PHASE_BODY)
        return;
    c->since = c->worker->now;
    list_remove(c->worker, c);
    list_append(c->worker, c);
}

/* An id of our own: splitmix64, so that none comes twice. */
void connection_new_id(struct connection *c)
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

void connection_end(struct connection *c, enum problem_code code, const char *detail)
{
    const struct problem_row *row = problem_row(code);
    if (!c->is_begun)
        connection_new_id(c);
    if (code != PROBLEM_NONE) {
        send_by_hand(c, row, detail);
        metrics_refused(c->worker->metrics, code);
        c->response = (struct response){.status = row->status, .log_detail = detail};
        if (!c->is_begun)
            log_put_event(&c->worker->log, LOG_WARNING, row->name, c->id, detail);
    }
    c->is_ended = true;
    c->worker->connections--; /* what is ended counts no more; connection_close knows */
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
        if (c->phase >= PHASE_WORK || c->is_ended)
            continue;
        metrics_count(w->metrics, METRICS_EVICTED);
        bool is_waiting = c->phase != PHASE_IDLE || c->requests == 0;
        connection_end(c, is_waiting ? PROBLEM_OVERLOADED : PROBLEM_NONE,
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

struct connection *connection_open(struct worker *w, struct MHD_Connection *mhd)
{
    struct connection *c = calloc(1, sizeof *c);
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CONNECTION_FD);
    if (!c)
        return NULL;
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
    return c;
}

void connection_close(struct connection *c)
{
    struct worker *w = c->worker;
    list_remove(w, c);
    if (!c->is_ended)
        w->connections--;
    metrics_count(w->metrics, METRICS_CONNECTION_CLOSED);
    free(c->body);
    free(c);
}

struct connection *connection_of(struct MHD_Connection *mhd)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    return info ? info->socket_context : NULL;
}

void connection_refuse(struct connection *c, enum problem_code code, const char *detail)
{
    if (c->admission.code == PROBLEM_NONE) {
        c->admission.code = code;
        c->admission.detail = detail;
    }
}

/* ---- its body ---- */

bool connection_reserve_body(struct connection *c, size_t size)
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

void connection_drop_body(struct connection *c)
{
    free(c->body);
    c->body = NULL;
    c->body_capacity = 0;
    c->request.body = NULL;
    c->request.body_length = 0;
}

/* ---- deadlines ---- */

bool connection_has_left(const struct connection *c)
{
    char next;
    return recv(c->fd, &next, 1, MSG_PEEK | MSG_DONTWAIT) == 0;
}

/* Past its deadline? Then it ends, with a 408 where a request had begun. */
static void enforce_deadline(struct worker *w, struct connection *c, bool spins)
{
    const struct settings *s = w->http->settings;
    if (c->is_ended || c->phase == PHASE_WORK)
        return;
    /* The library says nothing before it has the whole first line. */
    if (c->phase == PHASE_IDLE && c->requests == 0 && has_sent(c))
        connection_enter(c, PHASE_HEAD);
    uint64_t age = w->now - c->since;
    if (c->phase == PHASE_ANSWER) {
        if (age < (uint64_t)s->answer_seconds * SECOND)
            return;
        metrics_count(w->metrics, METRICS_TIMED_OUT);
        connection_end(c, PROBLEM_NONE, NULL);
    } else if (c->phase == PHASE_IDLE) {
        if (age < (uint64_t)s->idle_seconds * SECOND)
            return;
        connection_end(c, PROBLEM_NONE, NULL);
    } else if (age >= FRESH_NANOSECONDS && connection_has_left(c)) {
        /* The library misses it where the end came in one segment with the last data. */
        connection_end(c, PROBLEM_NONE, NULL);
    } else if (spins && c->phase == PHASE_BODY && c->guard.transfer_encodings &&
               w->now - c->heard >= STUCK_NANOSECONDS) {
        connection_end(c, PROBLEM_BAD_REQUEST,
                       "The size line of a chunk, with its extensions, is longer than is taken.");
    } else {
        if (age < (uint64_t)s->request_seconds * SECOND)
            return;
        metrics_count(w->metrics, METRICS_TIMED_OUT);
        connection_end(c, PROBLEM_REQUEST_TIMEOUT,
                       "The request did not arrive within the time limit.");
    }
}

void connections_sweep(struct worker *w)
{
    bool spins = w->vain > VAIN_TURNS;
    w->swept = w->now;
    w->vain = 0;
    for (struct connection *c = w->oldest, *next; c; c = next) {
        next = c->next; /* it may move to the end */
        enforce_deadline(w, c, spins);
    }
}
