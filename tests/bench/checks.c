/* checks.c: what marking costs, without HTTP: one answer a request, a class of 500 in one, and the
 * naming of mistakes by itself. A resultant of four forces; half of the answers are wrong, no two
 * alike. CPU time, the best of five rounds. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/limits.h"
#include "endpoints/endpoint.h"
#include "render/render.h"
#include "schema/schema.h"

#define CLASS 500

static const char problem[] =
    "{\"problem\": {\"kind\": \"resultant\", \"forces\": ["
    "{\"name\": \"F1\", \"magnitude\": 217.5, \"direction\": {\"angle\": 48.2}, \"at\": [1.2, 3]},"
    "{\"name\": \"F2\", \"magnitude\": 130, \"direction\": {\"slope\": {\"run\": -12, \"rise\": "
    "5}}, \"at\": [-2, 0.7]},"
    "{\"name\": \"F3\", \"magnitude\": 88.4, \"direction\": {\"angle\": 33.1, \"from\": \"-y\", "
    "\"turn\": \"clockwise\"}, \"at\": [4, -1.5]},"
    "{\"name\": \"F4\", \"magnitude\": 160, \"direction\": {\"line\": [[0, 0], [3, -2.4]]}, "
    "\"at\": [0, 0]}]}";

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
static int put_answer(char *to, size_t room, int i, int is_wrong)
{
    double by = is_wrong ? 1.07 + 0.0011 * i : 1 + 1e-6 * i;
    return snprintf(to, room,
                    "{\"resultant\": {\"components\": [%.6g, %.6g]}, \"equivalent\": {\"couple\": "
                    "%.6g}}",
                    101.634 * by, 38.1355 / by, -624.974 * by);
}

static double best_single(struct run *r, int is_wrong, double *ret_work)
{
    static char request[4096];
    double best = 1e12;
    for (int round = 0; round < 5; round++) {
        double sum = 0, work = 0;
        for (int i = 0; i < CLASS; i++) {
            double one;
            int n = snprintf(request, sizeof request, "%s, \"answer\": ", problem);
            n += put_answer(request + n, sizeof request - (size_t)n, i, is_wrong);
            n += snprintf(request + n, sizeof request - (size_t)n, "}");
            sum += check(r, request, (size_t)n, &one);
            work += one;
        }
        if (sum < best) {
            best = sum;
            *ret_work = work / CLASS;
        }
    }
    return best / CLASS;
}

static double best_class(struct run *r, int is_wrong)
{
    static char request[256 * CLASS];
    double best = 1e12, work;
    int n = snprintf(request, sizeof request, "%s, \"answers\": [", problem);
    for (int i = 0; i < CLASS; i++) {
        n += snprintf(request + n, sizeof request - (size_t)n, "%s", i ? ", " : "");
        n += put_answer(request + n, sizeof request - (size_t)n, i, is_wrong);
    }
    n += snprintf(request + n, sizeof request - (size_t)n, "]}");
    for (int round = 0; round < 5; round++) {
        double one = check(r, request, (size_t)n, &work);
        best = one < best ? one : best;
    }
    return best / CLASS;
}

int main(void)
{
    struct run r = {.arena = arena_new(LIMIT_ARENA_BYTES), .field = field_new(7)};
    static struct problem p;
    problem_init(&p, r.arena);
    r.schemas = schema_compile(schema_documents, &p);
    for (r.endpoint = endpoints; strcmp(r.endpoint->path, "/v1/check") != 0;)
        r.endpoint++;
    double work_right, work_wrong;
    double right = best_single(&r, 0, &work_right), wrong = best_single(&r, 1, &work_wrong);
    double class_right = best_class(&r, 0), class_wrong = best_class(&r, 1);
    printf("check, four forces with moment, three numbers, without HTTP (us an answer):\n");
    printf("  one by one   right %7.1f   wrong %7.1f\n", right, wrong);
    printf("  class of %d right %7.1f   wrong %7.1f\n", CLASS, class_right, class_wrong);
    printf(
        "  a class marks %.0f answers a second where all are wrong, %.0f where all are right: %.1f "
        "and %.1f times one by one\n",
        1e6 / class_wrong, 1e6 / class_right, wrong / class_wrong, right / class_right);
    printf("  naming a mistake, pairs included: %.1f us\n", work_wrong - work_right);
    schema_free(r.schemas);
    field_free(r.field);
    arena_free(r.arena);
    return 0;
}
