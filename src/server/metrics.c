#include "server/metrics.h"

#include <fcntl.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "server/sandbox.h"
#include "server/version.h"

/* Every status that is sent. The last entry is for one that was forgotten here. */
static const int statuses[] = {200, 204, 304, 400, 404, 405, 406, 408, 413, 414,
                               415, 417, 422, 429, 431, 500, 501, 503, 0};
#define STATUSES (sizeof statuses / sizeof *statuses)

/* Bounds of the duration histogram: from a static document to the largest truss. */
static const struct {
    uint64_t nanoseconds;
    const char *text;
} buckets[] = {{50000, "5e-05"},    {100000, "0.0001"},  {250000, "0.00025"}, {500000, "0.0005"},
               {1000000, "0.001"},  {2500000, "0.0025"}, {5000000, "0.005"},  {10000000, "0.01"},
               {25000000, "0.025"}, {100000000, "0.1"},  {500000000, "0.5"},  {2500000000, "2.5"},
               {10000000000, "10"}};
#define BUCKETS (sizeof buckets / sizeof *buckets)

typedef _Atomic uint64_t counter;

struct route_counters {
    counter answers[METHOD_MAX_][STATUSES];
    counter bucket[BUCKETS + 1];
    counter nanoseconds, received, sent;
};
struct metrics_shard {
    counter events[METRICS_EVENT_MAX_];
    counter refused[PROBLEM_MAX_];
    struct route_counters *routes;
};
struct metrics {
    const char *const *routes;
    unsigned route_count, threads, sandbox;
    time_t started;
    counter log_dropped;
    int statm; /* opened at start: later no file can be */
    struct metrics_shard *shards;
};

const char *method_name(enum method method)
{
    static const char *const names[METHOD_MAX_] = {"GET",     "HEAD",  "POST",
                                                   "OPTIONS", "other", "unknown"};
    return names[method];
}

struct metrics *metrics_new(const char *const *routes, unsigned route_count, unsigned threads)
{
    struct metrics *m = calloc(1, sizeof *m);
    if (!m)
        return NULL;
    *m = (struct metrics){.routes = routes, .route_count = route_count, .threads = threads};
    m->started = time(NULL);
    m->statm = open("/proc/self/statm", O_RDONLY | O_CLOEXEC);
    m->shards = calloc(threads, sizeof *m->shards);
    for (unsigned t = 0; m->shards && t < threads; t++) {
        m->shards[t].routes = calloc(route_count, sizeof *m->shards[t].routes);
        if (!m->shards[t].routes) {
            metrics_free(m);
            return NULL;
        }
    }
    if (m->shards)
        return m;
    metrics_free(m);
    return NULL;
}

void metrics_free(struct metrics *m)
{
    if (!m)
        return;
    for (unsigned t = 0; m->shards && t < m->threads; t++)
        free(m->shards[t].routes);
    free(m->shards);
    if (m->statm >= 0)
        close(m->statm);
    free(m);
}

struct metrics_shard *metrics_shard(struct metrics *m, unsigned thread)
{
    return m->shards + thread;
}

/* A shard has one writer, so that an add need not be one indivisible step; readers see whole
 * numbers. */
static void add(counter *c, uint64_t n)
{
    atomic_store_explicit(c, atomic_load_explicit(c, memory_order_relaxed) + n,
                          memory_order_relaxed);
}

void metrics_count(struct metrics_shard *s, enum metrics_event event) { add(&s->events[event], 1); }

void metrics_refused(struct metrics_shard *s, enum problem_code code)
{
    if (code != PROBLEM_NONE)
        add(&s->refused[code], 1);
}

void metrics_sandbox(struct metrics *m, unsigned layers) { m->sandbox = layers; }

void metrics_log_dropped(struct metrics *m, uint64_t lines)
{
    atomic_fetch_add_explicit(&m->log_dropped, lines, memory_order_relaxed);
}

void metrics_answer(struct metrics_shard *s, unsigned route, enum method method, int status,
                    uint64_t nanoseconds, uint64_t received, uint64_t sent)
{
    struct route_counters *r = &s->routes[route];
    size_t k = 0, b = 0;
    while (k < STATUSES - 1 && statuses[k] != status)
        k++;
    while (b < BUCKETS && nanoseconds > buckets[b].nanoseconds)
        b++;
    add(&r->answers[method][k], 1);
    add(&r->bucket[b], 1);
    add(&r->nanoseconds, nanoseconds);
    add(&r->received, received);
    add(&r->sent, sent);
}

__attribute__((format(printf, 2, 3))) static void put(struct buf *out, const char *format, ...)
{
    char line[512];
    va_list args;
    va_start(args, format);
    int n = vsnprintf(line, sizeof line, format, args);
    va_end(args);
    if (n > 0 && (size_t)n < sizeof line)
        buf_put(out, line, (size_t)n);
}

static void head(struct buf *out, const char *name, const char *type, const char *help)
{
    put(out, "# HELP %s %s\n# TYPE %s %s\n", name, help, name, type);
}

/* The sum over all shards of one member of a route's counters. */
static uint64_t total(const struct metrics *m, unsigned route, size_t offset)
{
    uint64_t sum = 0;
    for (unsigned t = 0; t < m->threads; t++) {
        const counter *c =
            (const counter *)(const void *)((const char *)&m->shards[t].routes[route] + offset);
        sum += atomic_load_explicit(c, memory_order_relaxed);
    }
    return sum;
}
#define TOTAL(route, member) total(m, route, offsetof(struct route_counters, member))

/* A sum of counters at the same place of every shard. */
static uint64_t shards(const struct metrics *m, size_t offset)
{
    uint64_t sum = 0;
    for (unsigned t = 0; t < m->threads; t++) {
        const counter *c = (const counter *)(const void *)((const char *)&m->shards[t] + offset);
        sum += atomic_load_explicit(c, memory_order_relaxed);
    }
    return sum;
}

static uint64_t events(const struct metrics *m, enum metrics_event event)
{
    return shards(m, offsetof(struct metrics_shard, events) + (size_t)event * sizeof(counter));
}

/* What has begun and not ended; the ends are read first, so that it is never below 0. */
static uint64_t under_way(const struct metrics *m, enum metrics_event begun,
                          enum metrics_event ended)
{
    uint64_t ends = events(m, ended);
    return events(m, begun) - ends;
}

static void put_requests(const struct metrics *m, struct buf *out)
{
    head(out, "tiptail_http_requests_total", "counter", "Requests answered.");
    for (unsigned r = 0; r < m->route_count; r++)
        for (unsigned k = 0; k < METHOD_MAX_; k++)
            for (size_t s = 0; s < STATUSES; s++) {
                size_t offset =
                    offsetof(struct route_counters, answers) + (k * STATUSES + s) * sizeof(counter);
                uint64_t n = total(m, r, offset);
                if (n)
                    put(out,
                        "tiptail_http_requests_total{route=\"%s\",method=\"%s\",status=\"%d\"} "
                        "%" PRIu64 "\n",
                        m->routes[r], method_name((enum method)k), statuses[s], n);
            }
}

static void put_refused(const struct metrics *m, struct buf *out)
{
    head(out, "tiptail_http_refused_total", "counter",
         "Answers that are a problem, by the name of its type.");
    for (int code = PROBLEM_NONE + 1; code < PROBLEM_MAX_; code++)
        put(out, "tiptail_http_refused_total{reason=\"%s\"} %" PRIu64 "\n",
            problem_row((enum problem_code)code)->name,
            shards(m, offsetof(struct metrics_shard, refused) + (size_t)code * sizeof(counter)));
}

static void put_durations(const struct metrics *m, struct buf *out)
{
    static const char name[] = "tiptail_http_request_duration_seconds";
    head(out, name, "histogram", "From a request's head to the last byte of its answer.");
    for (unsigned r = 0; r < m->route_count; r++) {
        uint64_t count = 0, n[BUCKETS + 1];
        for (size_t b = 0; b <= BUCKETS; b++) {
            n[b] = total(m, r, offsetof(struct route_counters, bucket) + b * sizeof(counter));
            count += n[b];
        }
        if (!count)
            continue;
        uint64_t sum = TOTAL(r, nanoseconds), below = 0;
        for (size_t b = 0; b < BUCKETS; b++)
            put(out, "%s_bucket{route=\"%s\",le=\"%s\"} %" PRIu64 "\n", name, m->routes[r],
                buckets[b].text, below += n[b]);
        put(out, "%s_bucket{route=\"%s\",le=\"+Inf\"} %" PRIu64 "\n", name, m->routes[r], count);
        put(out, "%s_sum{route=\"%s\"} %" PRIu64 ".%09" PRIu64 "\n", name, m->routes[r],
            sum / 1000000000, sum % 1000000000);
        put(out, "%s_count{route=\"%s\"} %" PRIu64 "\n", name, m->routes[r], count);
    }
}

static void put_bytes(const struct metrics *m, struct buf *out)
{
    head(out, "tiptail_http_received_bytes_total", "counter", "Bytes of request bodies.");
    for (unsigned r = 0; r < m->route_count; r++)
        put(out, "tiptail_http_received_bytes_total{route=\"%s\"} %" PRIu64 "\n", m->routes[r],
            TOTAL(r, received));
    head(out, "tiptail_http_sent_bytes_total", "counter", "Bytes of answer bodies.");
    for (unsigned r = 0; r < m->route_count; r++)
        put(out, "tiptail_http_sent_bytes_total{route=\"%s\"} %" PRIu64 "\n", m->routes[r],
            TOTAL(r, sent));
}

static void put_process(const struct metrics *m, struct buf *out)
{
    struct timespec cpu = {0};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &cpu);
    head(out, "process_cpu_seconds_total", "counter", "Processor time, user and system.");
    put(out, "process_cpu_seconds_total %lld.%06ld\n", (long long)cpu.tv_sec, cpu.tv_nsec / 1000);
    head(out, "process_start_time_seconds", "gauge", "Start, in seconds since 1970 UTC.");
    put(out, "process_start_time_seconds %lld\n", (long long)m->started);
    char statm[128] = "";
    unsigned long long pages = 0;
    if (m->statm >= 0 && pread(m->statm, statm, sizeof statm - 1, 0) > 0 &&
        sscanf(statm, "%*u %llu", &pages) == 1) {
        head(out, "process_resident_memory_bytes", "gauge", "Memory resident.");
        put(out, "process_resident_memory_bytes %llu\n",
            pages * (unsigned long long)sysconf(_SC_PAGESIZE));
    }
}

void metrics_put(const struct metrics *m, struct buf *out)
{
    static const struct {
        const char *name, *help;
        enum metrics_event event;
    } plain[] = {
        {"tiptail_http_connections_total", "Connections taken.", METRICS_CONNECTION_OPENED},
        {"tiptail_http_aborted_total", "Requests whose client went away.", METRICS_REQUEST_ABORTED},
        {"tiptail_http_timed_out_total", "Connections closed for being slow.", METRICS_TIMED_OUT},
        {"tiptail_http_evicted_total", "Connections closed to make room.", METRICS_EVICTED},
    };
    head(out, "tiptail_build_info", "gauge", "Always 1; the version is a label.");
    put(out, "tiptail_build_info{version=\"%s\"} 1\n", TIPTAIL_VERSION);
    head(out, "tiptail_sandbox", "gauge", "1 where this layer of the sandbox holds.");
    for (int layer = 0; layer < SANDBOX_LAYER_MAX_; layer++)
        put(out, "tiptail_sandbox{layer=\"%s\"} %u\n",
            sandbox_layer_name((enum sandbox_layer)layer), m->sandbox >> layer & 1);
    put_requests(m, out);
    put_refused(m, out);
    put_durations(m, out);
    put_bytes(m, out);
    head(out, "tiptail_http_requests_in_flight", "gauge", "Requests begun and not ended.");
    put(out, "tiptail_http_requests_in_flight %" PRIu64 "\n",
        under_way(m, METRICS_REQUEST_BEGUN, METRICS_REQUEST_ENDED));
    head(out, "tiptail_http_connections", "gauge", "Connections open.");
    put(out, "tiptail_http_connections %" PRIu64 "\n",
        under_way(m, METRICS_CONNECTION_OPENED, METRICS_CONNECTION_CLOSED));
    for (size_t k = 0; k < sizeof plain / sizeof *plain; k++) {
        head(out, plain[k].name, "counter", plain[k].help);
        put(out, "%s %" PRIu64 "\n", plain[k].name, events(m, plain[k].event));
    }
    head(out, "tiptail_log_lines_dropped_total", "counter", "Lines of the log not written.");
    put(out, "tiptail_log_lines_dropped_total %" PRIu64 "\n",
        atomic_load_explicit(&m->log_dropped, memory_order_relaxed));
    put_process(m, out);
}
