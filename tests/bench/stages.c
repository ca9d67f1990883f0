/* stages.c: where the time of one request goes, room by room, without HTTP.
 * Usage: stages FILE [KIND [TIMES]]    (a request of /v1/KIND, resultant unless said; prints
 * microseconds a request) */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/limits.h"
#include "endpoints/endpoint.h"
#include "render/render.h"
#include "schema/schema.h"

static double now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e6 * (double)t.tv_sec + 1e-3 * (double)t.tv_nsec;
}

/* What reading the clock itself takes: it is no part of a stage. */
static double clock_us(void)
{
    enum { TIMES = 10000 };
    double begin = now_us();
    for (int i = 1; i < TIMES; i++)
        now_us();
    return (now_us() - begin) / TIMES;
}

enum stage { STAGE_ARENA, STAGE_JSON, STAGE_SCHEMA, STAGE_WORK, STAGE_RENDER, STAGE_MAX_ };

int main(int argc, char **argv)
{
    static const char *const name[STAGE_MAX_] = {"arena", "json", "schema", "work", "render"};
    static char text[1 << 16];
    FILE *file = argc > 1 ? fopen(argv[1], "rb") : NULL;
    if (!file) {
        fprintf(stderr, "usage: stages FILE [KIND [TIMES]]\n");
        return 2;
    }
    size_t length = fread(text, 1, sizeof text - 1, file);
    fclose(file);
    while (length > 0 && text[length - 1] == '\n')
        length--;
    long times = argc > 3 ? strtol(argv[3], NULL, 10) : 20000;
    const struct endpoint *endpoint = endpoints;
    while (endpoint->path && strcmp(endpoint->kind, argc > 2 ? argv[2] : "resultant") != 0)
        endpoint++;
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    struct problem problem;
    problem_init(&problem, arena);
    struct schema_set *schemas = schema_compile(schema_documents, &problem);
    struct field *field = field_new(7);
    struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    struct render_options options = render_defaults();
    options.working = true;
    double total[STAGE_MAX_] = {0}, reading = clock_us();
    size_t out_length = 0;
    for (long i = 0; i < times; i++) {
        const struct json *json = NULL;
        struct work w;
        struct buf out;
        double at[STAGE_MAX_ + 1];
        at[0] = now_us();
        arena_reset(arena);
        problem_init(&problem, arena);
        at[1] = now_us();
        enum problem_code code = json_read(arena, text, length, &limits, &json, &problem);
        at[2] = now_us();
        if (code == PROBLEM_NONE)
            code = schema_validate(schemas, endpoint->schema, json, &problem);
        at[3] = now_us();
        work_init(&w, arena, field);
        w.wants_working = true;
        if (code == PROBLEM_NONE)
            code = endpoint->run(&w, json, &problem);
        at[4] = now_us();
        if (code != PROBLEM_NONE) {
            fprintf(stderr, "%s\n", problem.detail);
            return 1;
        }
        buf_init(&out, arena, LIMIT_ANSWER_BYTES);
        render_json(&w, &options, &out);
        at[5] = now_us();
        out_length = out.length;
        for (int k = 0; k < STAGE_MAX_; k++)
            total[k] += at[k + 1] - at[k] - reading;
    }
    double sum = 0;
    printf("one request without HTTP (%zu bytes in, %zu out):", length, out_length);
    for (int k = 0; k < STAGE_MAX_; k++) {
        sum += total[k];
        printf(" %s %.1f", name[k], total[k] / (double)times);
    }
    printf(", in all %.1f us\n", sum / (double)times);
    schema_free(schemas);
    field_free(field);
    arena_free(arena);
    return 0;
}
