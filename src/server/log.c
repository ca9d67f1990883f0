#include "server/log.h"

#include <assert.h>
#include <errno.h>
#include <inttypes.h>
#include <limits.h>
#include <poll.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define LINE_BYTES 4096 /* the longest line: five texts cut at TEXT_BYTES, escaped sixfold */
#define TEXT_BYTES 128
#define QUEUE_BYTES ((size_t)512 << 10) /* a quarter of a second of a busy core's lines */
#define GATHER_NANOSECONDS 20000000     /* so that not every line wakes a thread and is a write */
#define END_SECONDS 2                   /* for a slow reader, once the service has ended */

/* ---- lines ---- */

__attribute__((format(printf, 2, 3))) static void put(struct log *log, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int n = vsnprintf(log->bytes + log->length, LOG_BYTES - log->length, format, args);
    va_end(args);
    if (n > 0 && (size_t)n < LOG_BYTES - log->length)
        log->length += (size_t)n;
}

/* Client text: whatever is not plain ASCII is escaped, so that a line stays a line. */
static void put_text(struct log *log, const char *key, const char *text)
{
    put(log, ",\"%s\":\"", key);
    for (size_t i = 0; text[i] && i < TEXT_BYTES; i++) {
        unsigned char c = (unsigned char)text[i];
        if (c == '"' || c == '\\')
            put(log, "\\%c", c);
        else if (c < 0x20 || c > 0x7e)
            put(log, "\\u%04x", c);
        else
            log->bytes[log->length++] = (char)c;
    }
    put(log, "\"");
}

static const char *const levels[] = {
    [LOG_INFO] = "info", [LOG_WARNING] = "warning", [LOG_ERROR] = "error", [LOG_NONE] = "none"};

enum log_level log_level_of(const char *name)
{
    enum log_level level = LOG_INFO;
    while (level < LOG_NONE && strcmp(levels[level], name))
        level++;
    return level;
}

static void begin(struct log *log, enum log_level level)
{
    if (log->length + LINE_BYTES > LOG_BYTES)
        log_flush(log);
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    if (now.tv_sec != log->second) {
        struct tm utc;
        gmtime_r(&now.tv_sec, &utc);
        strftime(log->time, sizeof log->time, "%Y-%m-%dT%H:%M:%S", &utc);
        log->second = now.tv_sec;
    }
    put(log, "{\"time\":\"%s.%03ldZ\",\"level\":\"%s\"", log->time, now.tv_nsec / 1000000,
        levels[level]);
}

void log_put_request(struct log *log, const struct log_request *r)
{
    enum log_level level = r->status >= 500                     ? LOG_ERROR
                           : r->status >= 400 || r->status == 0 ? LOG_WARNING
                                                                : LOG_INFO;
    if (level < log->least)
        return;
    begin(log, level);
    put_text(log, "id", r->id);
    put_text(log, "method", r->method);
    put_text(log, "route", r->route);
    put(log, ",\"status\":%d,\"received\":%" PRIu64 ",\"bytes\":%" PRIu64, r->status, r->received,
        r->bytes);
    put(log, ",\"seconds\":%" PRIu64 ".%06" PRIu64, r->nanoseconds / 1000000000,
        r->nanoseconds / 1000 % 1000000);
    if (r->path)
        put_text(log, "path", r->path);
    if (r->trace)
        put_text(log, "trace", r->trace);
    if (r->detail)
        put_text(log, "detail", r->detail);
    put(log, "}\n");
}

void log_put_event(struct log *log, enum log_level level, const char *event, const char *id,
                   const char *detail)
{
    if (level < log->least)
        return;
    begin(log, level);
    put_text(log, "event", event);
    if (id)
        put_text(log, "id", id);
    if (detail)
        put_text(log, "detail", detail);
    put(log, "}\n");
}

/* ---- the writer ---- */

/* Lines are added to one buffer while its thread writes the other. */
struct log_writer {
    int fd;
    struct metrics *metrics; /* NULL once they may be gone */
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t changed;
    bool is_ending, has_ended;
    size_t length;    /* of `filling` */
    uint64_t dropped; /* lines that came after those in `filling` */
    char *filling, *writing;
    struct log own; /* what it says itself */
    char bytes[2][QUEUE_BYTES];
};

static uint64_t count_lines(const char *bytes, size_t length)
{
    uint64_t lines = 0;
    for (size_t i = 0; i < length; i++)
        lines += bytes[i] == '\n';
    return lines;
}

void log_flush(struct log *log)
{
    struct log_writer *w = log->writer;
    if (!log->length)
        return;
    pthread_mutex_lock(&w->lock);
    bool fits = log->length <= QUEUE_BYTES - w->length;
    uint64_t lost = fits ? 0 : count_lines(log->bytes, log->length);
    if (fits) {
        memcpy(w->filling + w->length, log->bytes, log->length);
        w->length += log->length;
        if (w->length == log->length)
            pthread_cond_signal(&w->changed);
    }
    w->dropped += lost;
    pthread_mutex_unlock(&w->lock);
    metrics_log_dropped(w->metrics, lost);
    log->length = 0;
}

static bool write_whole(int fd, const char *bytes, size_t length)
{
    while (length) {
        ssize_t n = write(fd, bytes, length);
        if (n > 0) {
            bytes += n;
            length -= (size_t)n;
        } else if (n < 0 && errno == EAGAIN) { /* somebody who has the file too has made it so */
            poll(&(struct pollfd){.fd = fd, .events = POLLOUT}, 1, -1);
        } else if (n == 0 || errno != EINTR) {
            return false;
        }
    }
    return true;
}

/* The number of lines that could not be written. So few go at a time that a pipe takes all of them
 * or none: whoever writes to it beside us, and however we end, a line stays whole. */
static uint64_t write_lines(int fd, const char *bytes, size_t length)
{
    static_assert(LINE_BYTES <= PIPE_BUF, "a pipe takes a line in one piece");
    uint64_t lost = 0;
    while (length) {
        size_t n = length < PIPE_BUF ? length : PIPE_BUF;
        while (bytes[n - 1] != '\n')
            n--;
        if (!write_whole(fd, bytes, n))
            lost += count_lines(bytes, n);
        bytes += n;
        length -= n;
    }
    return lost;
}

/* Whether it could be said. */
static bool say_dropped(struct log_writer *w, uint64_t lines)
{
    char detail[TEXT_BYTES];
    snprintf(detail, sizeof detail,
             "%" PRIu64 " lines are missing here: the log was not read, or not writable.", lines);
    log_put_event(&w->own, LOG_WARNING, "log-lines-dropped", NULL, detail);
    bool is_said = write_lines(w->fd, w->own.bytes, w->own.length) == 0;
    w->own.length = 0;
    return is_said;
}

static void *write_out(void *cls)
{
    struct log_writer *w = cls;
    uint64_t unsaid = 0;
    pthread_mutex_lock(&w->lock);
    for (;;) {
        while (!w->length && !w->is_ending)
            pthread_cond_wait(&w->changed, &w->lock);
        if (!w->length)
            break;
        pthread_mutex_unlock(&w->lock);
        nanosleep(&(struct timespec){.tv_nsec = GATHER_NANOSECONDS}, NULL);
        pthread_mutex_lock(&w->lock);
        char *full = w->filling;
        size_t length = w->length;
        uint64_t dropped = w->dropped;
        w->filling = w->writing;
        w->writing = full;
        w->length = 0;
        w->dropped = 0;
        pthread_mutex_unlock(&w->lock);
        uint64_t lost = write_lines(w->fd, full, length);
        unsaid += lost + dropped;
        if (unsaid && say_dropped(w, unsaid))
            unsaid = 0;
        pthread_mutex_lock(&w->lock);
        if (w->metrics)
            metrics_log_dropped(w->metrics, lost);
    }
    w->has_ended = true;
    pthread_cond_signal(&w->changed);
    pthread_mutex_unlock(&w->lock);
    return NULL;
}

struct log_writer *log_writer_new(int fd, struct metrics *metrics)
{
    struct log_writer *w = calloc(1, sizeof *w);
    if (!w)
        return NULL;
    w->fd = fd;
    w->metrics = metrics;
    w->filling = w->bytes[0];
    w->writing = w->bytes[1];
    pthread_mutex_init(&w->lock, NULL);
    pthread_cond_init(&w->changed, NULL);
    if (pthread_create(&w->thread, NULL, write_out, w) == 0)
        return w;
    pthread_cond_destroy(&w->changed);
    pthread_mutex_destroy(&w->lock);
    free(w);
    return NULL;
}

void log_writer_free(struct log_writer *w)
{
    if (!w)
        return;
    struct timespec deadline;
    clock_gettime(CLOCK_REALTIME, &deadline);
    deadline.tv_sec += END_SECONDS;
    pthread_mutex_lock(&w->lock);
    w->is_ending = true;
    pthread_cond_signal(&w->changed);
    int status = 0;
    while (!w->has_ended && status == 0)
        status = pthread_cond_timedwait(&w->changed, &w->lock, &deadline);
    bool has_ended = w->has_ended;
    w->metrics = NULL;
    pthread_mutex_unlock(&w->lock);
    if (!has_ended) { /* it waits for a reader; the end of the process will end it */
        pthread_detach(w->thread);
        return;
    }
    pthread_join(w->thread, NULL);
    pthread_cond_destroy(&w->changed);
    pthread_mutex_destroy(&w->lock);
    free(w);
}
