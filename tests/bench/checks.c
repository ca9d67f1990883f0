/* checks.c: what marking costs, without HTTP: one answer a request, a class of 500 in one, and the
 * naming of mistakes by itself. A resultant of four forces, a beam, a joint and a truss; half of
 * the answers are wrong, no two alike. CPU time, the best of five rounds. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/limits.h"
#include "endpoints/endpoint.h"
#include "render/render.h"
#include "schema/schema.h"
#include "sim/sheet.h"

#define CLASS 500

struct subject {
    const char *name;
    int class; /* so many answers in one request */
    char problem[8192];
};

static struct subject subjects[] = {
    {"four forces with moment", CLASS,
     "{\"kind\": \"resultant\", \"forces\": ["
     "{\"name\": \"F1\", \"magnitude\": 217.5, \"direction\": {\"angle\": 48.2}, \"at\": [1.2, 3]},"
     "{\"name\": \"F2\", \"magnitude\": 130, \"direction\": {\"slope\": {\"run\": -12, \"rise\": "
     "5}}, \"at\": [-2, 0.7]},"
     "{\"name\": \"F3\", \"magnitude\": 88.4, \"direction\": {\"angle\": 33.1, \"from\": \"-y\", "
     "\"turn\": \"clockwise\"}, \"at\": [4, -1.5]},"
     "{\"name\": \"F4\", \"magnitude\": 160, \"direction\": {\"line\": [[0, 0], [3, -2.4]]}, "
     "\"at\": [0, 0]}]}"},
    {"beam, two forces, a distributed load", CLASS,
     "{\"kind\": \"equilibrium\", \"forces\": [{\"name\": \"P\", \"magnitude\": 21.75, "
     "\"direction\": {\"angle\": 248.2}, \"at\": [2.2, 0]}, {\"name\": \"Q\", \"magnitude\": 9.64, "
     "\"direction\": {\"axis\": \"-y\"}, \"at\": [5.1, 0]}], \"distributed_loads\": [{\"from\": "
     "[0, "
     "0], \"to\": [4.3, 0], \"intensity\": [0, 2.7]}], \"supports\": [{\"name\": \"A\", \"kind\": "
     "\"pin\", \"at\": [0, 0]}, {\"name\": \"B\", \"kind\": \"roller\", \"at\": [7.5, 0]}]}"},
    {"joint of a truss", CLASS,
     "{\"kind\": \"truss-joint\", \"joint\": \"B\", \"members\": [{\"name\": \"BA\", "
     "\"direction\": {\"angle\": 38.4, \"from\": \"-x\", \"toward\": \"+y\"}}, {\"name\": \"BC\", "
     "\"direction\": {\"axis\": \"+x\"}}], \"forces\": [{\"name\": \"P\", \"magnitude\": 21.7, "
     "\"direction\": {\"axis\": \"-y\"}}]}"},
    {"truss of 21 joints", CLASS / 10, ""},
};

/* Ten triangles side by side, two loads. */
static void write_truss(char *to, size_t room)
{
    size_t n = 0;
    int members = 0;
#define PUT(...) n += (size_t)snprintf(to + n, room - n, __VA_ARGS__)
#define JOIN(a, b) PUT("%s[\"%c\", \"%c\"]", members++ ? ", " : "", 'A' + (a), 'A' + (b))
    PUT("{\"kind\": \"truss\", \"joints\": {");
    for (int i = 0; i < 21; i++)
        PUT("%s\"%c\": [%g, %g]", i ? ", " : "", 'A' + i, i < 11 ? 2.4 * i : 2.4 * (i - 11) + 1.2,
            i < 11 ? 0.0 : 2.1);
    PUT("}, \"members\": [");
    for (int i = 0; i < 10; i++) {
        JOIN(i, i + 1);
        JOIN(i, 11 + i);
        JOIN(i + 1, 11 + i);
        if (i > 0)
            JOIN(10 + i, 11 + i);
    }
    PUT("], \"supports\": [{\"at\": \"A\", \"kind\": \"pin\"}, {\"at\": \"K\", \"kind\": "
        "\"roller\"}],"
        " \"loads\": [{\"name\": \"P\", \"at\": \"D\", \"components\": [3.1, -21.7]}, {\"name\": "
        "\"Q\","
        " \"at\": \"H\", \"components\": [0, -13.4]}]}");
#undef JOIN
#undef PUT
}

struct run {
    struct arena *arena;
    struct schema_set *schemas;
    struct field *field;
    const struct endpoint *endpoint;
};

static double now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e6 * (double)t.tv_sec + 1e-3 * (double)t.tv_nsec;
}

/* All of a request but HTTP; microseconds. */
static double check(struct run *r, const char *request, size_t length, double *ret_work)
{
    static struct problem p;
    const struct json *json = NULL;
    struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    struct render_options options = render_defaults();
    struct work w;
    struct buf out;
    double start = now_us();
    arena_reset(r->arena);
    problem_init(&p, r->arena);
    enum problem_code code = json_read(r->arena, request, length, &limits, &json, &p);
    if (code == PROBLEM_NONE)
        code = schema_validate(r->schemas, r->endpoint->schema, json, &p);
    double before = now_us();
    work_init(&w, r->arena, r->field);
    if (code == PROBLEM_NONE)
        code = r->endpoint->run(&w, json, &p);
    if (code != PROBLEM_NONE) {
        fprintf(stderr, "%s\n", p.detail);
        exit(1);
    }
    *ret_work = now_us() - before;
    options.working = false;
    buf_init(&out, r->arena, LIMIT_ANSWER_BYTES);
    render_json(&w, &options, &out);
    return now_us() - start;
}

/* Right, or wrong by no known mistake, so that pairs are tried too. */
static size_t put_answer(struct sheet *s, char *to, size_t room, int i, int is_wrong)
{
    double *own = calloc((size_t)s->items.count + 1, sizeof *own);
    for (int k = 0; own && k < s->count; k++) {
        double by = is_wrong ? 1.07 + 0.0011 * i : 1 + 1e-6 * i;
        double right = sheet_number(s, s->asked[k], s->value);
        own[s->asked[k]] = k % 2 ? right / by : right * by;
    }
    sheet_write(s, s->value, own, 6, to, room);
    free(own);
    return strlen(to);
}

struct cost {
    double all, work; /* microseconds an answer */
};

static struct cost best_single(struct run *r, struct sheet *s, const struct subject *t,
                               int is_wrong)
{
    static char request[20000];
    struct cost best = {1e12, 0};
    for (int round = 0; round < 5; round++) {
        double sum = 0, work = 0;
        for (int i = 0; i < t->class; i++) {
            double one;
            size_t n = (size_t)snprintf(request, sizeof request,
                                        "{\"problem\": %s, \"answer\": ", t->problem);
            n += put_answer(s, request + n, sizeof request - n, i, is_wrong);
            n += (size_t)snprintf(request + n, sizeof request - n, "}");
            sum += check(r, request, n, &one);
            work += one;
        }
        if (sum < best.all)
            best = (struct cost){sum, work};
    }
    return (struct cost){best.all / t->class, best.work / t->class};
}

static struct cost best_class(struct run *r, struct sheet *s, const struct subject *t, int is_wrong)
{
    static char request[400 * 1000];
    struct cost best = {1e12, 0};
    size_t n =
        (size_t)snprintf(request, sizeof request, "{\"problem\": %s, \"answers\": [", t->problem);
    for (int i = 0; i < t->class; i++) {
        n += (size_t)snprintf(request + n, sizeof request - n, "%s", i ? ", " : "");
        n += put_answer(s, request + n, sizeof request - n, i, is_wrong);
    }
    n += (size_t)snprintf(request + n, sizeof request - n, "]}");
    for (int round = 0; round < 5; round++) {
        double work, all = check(r, request, n, &work);
        if (all < best.all)
            best = (struct cost){all, work};
    }
    return (struct cost){best.all / t->class, best.work / t->class};
}

static void measure(struct run *r, const struct subject *t)
{
    struct sheet s;
    if (!sheet_open(&s, t->problem, false)) {
        fprintf(stderr, "%s: %s\n", t->name, s.solved.problem.detail);
        exit(1);
    }
    struct cost right = best_single(r, &s, t, 0), wrong = best_single(r, &s, t, 1);
    struct cost class_right = best_class(r, &s, t, 0), class_wrong = best_class(r, &s, t, 1);
    printf("  %-37s %8.1f %8.1f | %4d: %8.1f %8.1f | %5.1f %5.1f | %8.1f %8.1f\n", t->name,
           right.all, wrong.all, t->class, class_right.all, class_wrong.all,
           right.all / class_right.all, wrong.all / class_wrong.all, wrong.work - right.work,
           class_wrong.work - class_right.work);
    sheet_close(&s);
}

int main(void)
{
    struct run r = {.arena = arena_new(LIMIT_ARENA_BYTES), .field = field_new(7)};
    static struct problem p;
    problem_init(&p, r.arena);
    r.schemas = schema_compile(schema_documents, &p);
    for (r.endpoint = endpoints; strcmp(r.endpoint->path, "/v1/check") != 0;)
        r.endpoint++;
    write_truss(subjects[3].problem, sizeof subjects[3].problem);
    printf("check, without HTTP (us of CPU an answer):\n");
    printf("  %-37s %17s | %23s | %11s | %s\n", "", "alone: right wrong", "in a class: right wrong",
           "times", "naming, pairs tried: alone, in a class");
    for (size_t i = 0; i < sizeof subjects / sizeof *subjects; i++)
        measure(&r, &subjects[i]);
    schema_free(r.schemas);
    field_free(r.field);
    arena_free(r.arena);
    return 0;
}
