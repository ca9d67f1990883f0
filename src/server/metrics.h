/* metrics.h: counters in the Prometheus text format 0.0.4. Each thread counts in a shard of its
 * own; a scrape adds them up. */
#ifndef SERVER_METRICS_H
#define SERVER_METRICS_H

#include <stdint.h>

#include "base/buf.h"
#include "base/problem.h"

enum method {
    METHOD_GET,
    METHOD_HEAD,
    METHOD_POST,
    METHOD_OPTIONS,
    METHOD_OTHER, /* known to HTTP, allowed nowhere here */
    METHOD_UNKNOWN,
    METHOD_MAX_
};
const char *method_name(enum method method);

enum metrics_event {
    METRICS_CONNECTION_OPENED,
    METRICS_CONNECTION_CLOSED,
    METRICS_REQUEST_BEGUN,
    METRICS_REQUEST_ENDED,
    METRICS_REQUEST_ABORTED, /* its client went away */
    METRICS_TIMED_OUT,       /* a connection was closed for being slow */
    METRICS_EVICTED,         /* a connection was closed to make room */
    METRICS_EVENT_MAX_
};

struct metrics;
struct metrics_shard;

/* For routes of these labels (owned by the caller; the last is for what has no route) and that many
 * threads. NULL: no memory. */
struct metrics *metrics_new(const char *const *routes, unsigned route_count, unsigned threads);
void metrics_free(struct metrics *m);
struct metrics_shard *metrics_shard(struct metrics *m, unsigned thread);

void metrics_count(struct metrics_shard *s, enum metrics_event event);
void metrics_answer(struct metrics_shard *s, unsigned route, enum method method, int status,
                    uint64_t nanoseconds, uint64_t received, uint64_t sent);
/* Count an answer that is a problem; PROBLEM_NONE is not counted. */
void metrics_refused(struct metrics_shard *s, enum problem_code code);
/* The layers of the sandbox that hold, as sandbox_enter says. */
void metrics_sandbox(struct metrics *m, unsigned layers);

/* Lines of the log that were not written; from any thread. */
void metrics_log_dropped(struct metrics *m, uint64_t lines);

/* The exposition. */
void metrics_put(const struct metrics *m, struct buf *out);

#endif
