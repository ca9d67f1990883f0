/* http.c: the event loops.
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
 * - It goes round and round over a chunk's size line that has no end in its buffer: a sweep ends
 * it.
 * - A callback that computes holds up every connection of its loop: long computations go to a pool
 *   of as many threads, and their connections are suspended meanwhile. Resuming one does not wake a
 *   loop that is not the library's own: worker_wake does.
 * - MHD_stop_daemon cuts off what is under way: see drain() for the order that loses nothing. */
#include "server/http.h"

#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/random.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "server/connection.h"
#include "server/exchange.h"

#define POOL_BYTES ((size_t)32 << 10) /* of a connection: a head may take half of it */
#define SWEEP_NANOSECONDS 250000000u
#define HARD_LIMIT_EXTRA 64 /* connections beyond the limit, for as long as their 503 takes */

/* ---- the loop of a thread ---- */

static void serve(struct worker *w)
{
    w->now = w->turned = worker_clock();
    MHD_run(w->daemon);
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
    bool was_busy = w->oldest != NULL;
    unsigned calls = w->calls;
    serve(w);
    w->vain += wait == 0 && w->calls == calls;
    if (was_busy && !w->oldest)
        MHD_run(w->daemon); /* at a limit it listens again only now that the last one has gone */
    if (w->now - w->swept >= SWEEP_NANOSECONDS)
        connections_sweep(w);
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
        serve(w);
    MHD_quiesce_daemon(w->daemon);
    listeners_close_one(http->listeners, w->index);
    uint64_t deadline = worker_clock() + (uint64_t)http->settings->drain_seconds * SECOND;
    while (w->oldest) {
        w->now = worker_clock();
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
    atomic_store(&w->is_cutting, true);
    while (w->working) /* the library cannot end while the pool has one of its connections */
        turn(w);
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
        log_put_event(&w->log, LOG_WARNING, "cut-off", NULL,
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
        MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG, 0, NULL, NULL, exchange_serve,
        w, MHD_OPTION_EXTERNAL_LOGGER, ignore_message, NULL, MHD_OPTION_LISTEN_SOCKET,
        http->listeners->fd[w->index], MHD_OPTION_NOTIFY_CONNECTION, exchange_notify, w,
        MHD_OPTION_NOTIFY_COMPLETED, exchange_completed, w, MHD_OPTION_URI_LOG_CALLBACK,
        exchange_uri, w, MHD_OPTION_CONNECTION_MEMORY_LIMIT, POOL_BYTES,
        MHD_OPTION_CONNECTION_TIMEOUT, 0u, MHD_OPTION_CONNECTION_LIMIT, w->limit + HARD_LIMIT_EXTRA,
        MHD_OPTION_STRICT_FOR_CLIENT, 0, MHD_OPTION_SIGPIPE_HANDLED_BY_APP, 1, MHD_OPTION_END);
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
    http->rate = s->rate ? rate_new(s->rate, seed[0]) : NULL;
    http->workers = calloc(listeners->count, sizeof *http->workers);
    http->pool = pool_new(listeners->count);
    http->log = log_writer_new(STDERR_FILENO, service->metrics);
    if (!http->workers || !http->pool || !http->log || (s->rate && !http->rate))
        goto failed;
    for (unsigned i = 0; i < listeners->count; i++) {
        struct worker *w = &http->workers[i];
        *w = (struct worker){
            .http = http, .index = i, .wake = -1, .ids = seed[1] ^ (uint64_t)i << 56};
        w->limit = (s->connections + listeners->count - 1) / listeners->count;
        w->client_limit = (s->connections_per_client + listeners->count - 1) / listeners->count;
        w->metrics = metrics_shard(service->metrics, i);
        w->log.writer = http->log;
        w->log.least = log_level_of(s->log_level);
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
    http->done = done;
    atomic_store(&http->finishing, true);
    for (unsigned i = 0; i < http->count; i++)
        worker_wake(&http->workers[i]);
}

bool http_is_finished(const struct http *http) { return atomic_load(&http->running) == 0; }

bool http_free(struct http *http)
{
    bool is_whole = true;
    for (unsigned i = 0; i < http->count; i++) {
        pthread_join(http->workers[i].thread, NULL);
        is_whole = is_whole && !http->workers[i].has_cut_off;
    }
    pool_free(http->pool); /* its last job may still be waking a loop that has its answer */
    for (unsigned i = 0; i < http->count; i++)
        free_worker(&http->workers[i]);
    log_writer_free(http->log);
    rate_free(http->rate);
    if (http->listeners)
        listeners_free(http->listeners);
    free(http->workers);
    free(http);
    return is_whole;
}
