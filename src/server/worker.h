/* worker.h: what one thread of the server holds, and the parts it is made of. Seen by http.c,
 * connection.c and exchange.c only: libmicrohttpd ends there. */
#ifndef SERVER_WORKER_H
#define SERVER_WORKER_H

#include <microhttpd.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>
#include <time.h>

#include "server/guard.h"
#include "server/listen.h"
#include "server/log.h"
#include "server/pipeline.h"
#include "server/pool.h"
#include "server/rate.h"

#define SECOND 1000000000u /* in nanoseconds, as all times here */
#define FRESH_NANOSECONDS                                                                          \
    SECOND /* a new connection has this long to ask before a drain ends it                         \
            */
#define ARENAS_SPARE 64
#define ACCEPT_BYTES 512 /* of several Accept fields */

/* From PHASE_WORK on the request is whole; in it, it is the pool's. */
enum phase { PHASE_IDLE, PHASE_HEAD, PHASE_BODY, PHASE_WORK, PHASE_ANSWER };

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
    bool is_put_off;  /* in PHASE_WORK, and not with the pool yet */

    /* The request in hand. */
    bool is_begun;
    uint64_t started, received;
    uint64_t heard; /* when the library last spoke of it */
    char id[65], trace[33], accept[ACCEPT_BYTES];
    struct guard guard;
    struct request request;
    struct admission admission;
    struct response response;
    struct arena *arena;
    char *body;
    size_t body_capacity;
    struct job job;
    struct MHD_Connection *mhd; /* while the job has it */
};

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
static inline uint64_t worker_clock(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (uint64_t)t.tv_sec * SECOND + (uint64_t)t.tv_nsec;
}

/* Have its loop come round, from any thread. */
void worker_wake(struct worker *w);

/* ---- connection.c: phases, deadlines, room ---- */
struct connection *connection_of(struct MHD_Connection *mhd); /* NULL: there was no memory for it */
void connection_enter(struct connection *c, enum phase phase);
void connection_new_id(struct connection *c);
/* End it, the library will notice; whoever waits for an answer is told why (PROBLEM_NONE: nobody
 * does). */
void connection_end(struct connection *c, enum problem_code code, const char *detail);
/* Whether the client has closed its side, and nothing of it is left to be read. */
bool connection_has_left(const struct connection *c);
/* End those that are past their deadline. */
void connections_sweep(struct worker *w);
void connection_notify(void *cls, struct MHD_Connection *mhd, void **context,
                       enum MHD_ConnectionNotificationCode code);

/* ---- exchange.c: a request and its answer ---- */
void *exchange_uri(void *cls, const char *uri, struct MHD_Connection *mhd);
enum MHD_Result exchange_serve(void *cls, struct MHD_Connection *mhd, const char *url,
                               const char *method, const char *version, const char *upload,
                               size_t *upload_size, void **context);
void exchange_completed(void *cls, struct MHD_Connection *mhd, void **context,
                        enum MHD_RequestTerminationCode code);
/* A request that was begun and whose end the library did not report. */
void exchange_lost(struct connection *c);

#endif
