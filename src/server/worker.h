/* worker.h: what one thread of the server holds, and what all of them share. libmicrohttpd is seen
 * from here on, by http.c, exchange.c, answer.c and connection.c, each of which stands on the next.
 */
#ifndef SERVER_WORKER_H
#define SERVER_WORKER_H

#include <microhttpd.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

#include "base/arena.h"
#include "server/listen.h"
#include "server/log.h"
#include "server/pipeline.h"
#include "server/pool.h"
#include "server/rate.h"

#define SECOND 1000000000u /* in nanoseconds, as all times here */
#define ARENAS_SPARE 64

struct connection;

struct worker {
    struct http *http;
    pthread_t thread;
    struct MHD_Daemon *daemon;
    unsigned index;
    int epoll, wake;
    struct connection *oldest, *newest;
    unsigned connections, limit, client_limit;
    unsigned working; /* connections in PHASE_WORK */
    struct arena *spare[ARENAS_SPARE];
    unsigned spares;
    uint64_t now, turned, swept, ids; /* turned: when this turn of the loop began */
    unsigned calls;                   /* of the library, to the functions below */
    unsigned vain; /* turns that it asked for since the last sweep, and in which it made no call */
    struct metrics_shard *metrics;
    struct MHD_Response *no_memory; /* made beforehand */
    bool has_cut_off;
    atomic_bool is_cutting; /* what waits for the pool is refused */
    struct log log;
};

struct http {
    struct service *service;
    const struct settings *settings;
    struct listeners *listeners;
    struct worker *workers;
    unsigned count;
    struct rate *rate; /* NULL: no limit */
    struct pool *pool;
    struct log_writer *log;
    pid_t process;
    int done;
    atomic_bool finishing;
    atomic_uint running;
};

/* A steady clock. */
uint64_t worker_clock(void);

/* Have its loop come round, from any thread. */
void worker_wake(struct worker *w);

/* An arena for one request, NULL without memory; and back again (NULL is nothing). */
struct arena *worker_take_arena(struct worker *w);
void worker_give_arena(struct worker *w, struct arena *arena);

#endif
