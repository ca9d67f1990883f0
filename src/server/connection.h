/* connection.h: who is connected, in which phase, until when, and who makes room. */
#ifndef SERVER_CONNECTION_H
#define SERVER_CONNECTION_H

#include "server/guard.h"
#include "server/worker.h"

/* A new connection has this long to ask before a drain ends it. */
#define FRESH_NANOSECONDS SECOND
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

/* A new one of this worker; NULL without memory: its requests get the 503 made beforehand. */
struct connection *connection_open(struct worker *w, struct MHD_Connection *mhd);
/* The library has closed it, and no request is begun. */
void connection_close(struct connection *c);
struct connection *connection_of(struct MHD_Connection *mhd); /* NULL: there was no memory for it */

void connection_enter(struct connection *c, enum phase phase);
void connection_new_id(struct connection *c);
/* Refuse its request as HTTP rather than as statics; the first refusal stands. */
void connection_refuse(struct connection *c, enum problem_code code, const char *detail);
/* End it, the library will notice; whoever waits for an answer is told why (PROBLEM_NONE: nobody
 * does). */
void connection_end(struct connection *c, enum problem_code code, const char *detail);
/* Whether the client has closed its side, and nothing of it is left to be read. */
bool connection_has_left(const struct connection *c);

/* Room for a body of `size` bytes and a NUL; false without memory. */
bool connection_reserve_body(struct connection *c, size_t size);
void connection_drop_body(struct connection *c);

/* End those that are past their deadline. */
void connections_sweep(struct worker *w);

#endif
