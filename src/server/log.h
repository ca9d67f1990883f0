/* log.h: one JSON object a line on standard error. Every thread has a log of its own; what it holds
 * goes to the writer when its loop comes round, and a thread of the writer's waits for whoever
 * reads the log, so that no loop ever does. */
#ifndef SERVER_LOG_H
#define SERVER_LOG_H

#include <stddef.h>
#include <stdint.h>
#include <time.h>

#include "server/metrics.h"

#define LOG_BYTES 32768

enum log_level { LOG_INFO, LOG_WARNING, LOG_ERROR, LOG_NONE };

struct log_writer;

/* Writes to `fd`, and counts in `metrics` what it cannot. NULL: no memory, or no thread. */
struct log_writer *log_writer_new(int fd, struct metrics *metrics);
/* Write what is there, for a moment at most where nobody reads it; no log is flushed after that.
 * NULL is nothing. */
void log_writer_free(struct log_writer *writer);

struct log {
    struct log_writer *writer;
    enum log_level least; /* what is below is left out; LOG_NONE: everything */
    size_t length;
    time_t second; /* of the text below */
    char time[24]; /* "2025-11-25T14:30:07" */
    char bytes[LOG_BYTES];
};

struct log_request {
    const char *id, *method, *route; /* route: of the table, or "other" */
    const char *path;                /* as sent, or NULL; escaped and cut */
    const char *trace;               /* trace-id of a valid traceparent, or NULL */
    const char *detail; /* of an error of our own, or NULL; never shown to the client */
    int status;
    uint64_t bytes;    /* of the answer's body */
    uint64_t received; /* of the request's body */
    uint64_t nanoseconds;
};

/* "info", "warning", "error" or "none". */
enum log_level log_level_of(const char *name);

/* One line for one request: an error from status 500, a warning from 400. Status 0, where the
 * client went away before an answer, is a warning. */
void log_put_request(struct log *log, const struct log_request *request);
/* One line for an event that belongs to no request that was understood; id and detail may be NULL.
 */
void log_put_event(struct log *log, enum log_level level, const char *event, const char *id,
                   const char *detail);
/* Give what is there to the writer. Never waits for a reader: lines that the writer has no room for
 * are dropped and counted, and the log says so where they are missing. */
void log_flush(struct log *log);

#endif
