#include "server/log.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define LINE_BYTES 4096 /* the longest line: five texts cut at TEXT_BYTES, escaped sixfold */
#define TEXT_BYTES 128

void log_flush(struct log *log)
{
    size_t done = 0;
    while (done < log->length) {
        ssize_t n = write(log->fd, log->bytes + done, log->length - done);
        if (n <= 0)
            break; /* a log that cannot be written must not stop the service */
        done += (size_t)n;
    }
    log->length = 0;
}

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
