/* fuzz_pipeline.c: any bytes as a body, to any endpoint, for any representation. Whatever comes,
 * the answer is one of those that the contract has, an error of ours is a finding, and an answer in
 * JSON is valid by the schema that the contract publishes for it. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "server/pipeline.h"
#include "json/json.h"

static void demand(bool holds, const struct response *r)
{
    if (holds)
        return;
    fprintf(stderr, "%d %s\n%.*s\n", r->status, r->log_detail ? r->log_detail : "",
            (int)(r->length < 4000 ? r->length : 4000), r->body);
    abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const accepts[] = {"application/json", "text/plain", "text/x-latex"};
    static struct settings settings;
    static struct service *service;
    static struct arena *arena;
    static unsigned count;
    if (!service) {
        char program[] = "tiptail", message[600];
        char *argv[] = {program, NULL};
        const char *fault = NULL;
        settings_read(1, argv, &settings, message, sizeof message);
        settings.json_values = 5000;
        arena = arena_new(LIMIT_ARENA_BYTES);
        service = service_new(&settings, 217, arena_new((size_t)16 << 20), &fault);
        for (const struct endpoint *e = endpoints; e->path; e++)
            count++;
        if (!service)
            abort();
    }
    if (size < 1)
        return 0;
    char *body = malloc(size);
    if (!body)
        return 0;
    memcpy(body, data + 1, size - 1);
    body[size - 1] = 0;
    arena_reset(arena);
    const struct request request = {.method = "POST",
                                    .path = endpoints[data[0] / 3 % count].path,
                                    .accept = accepts[data[0] % 3],
                                    .content_type = "application/json",
                                    .body = body,
                                    .body_length = size - 1,
                                    .id = "fuzz"};
    struct response r;
    handle(service, &request, arena, &r);
    demand(r.status == 200 || r.status == 400 || r.status == 413 || r.status == 422, &r);
    demand(r.body && r.length > 2, &r);
    const bool is_problem = r.status != 200;
    if (is_problem || data[0] % 3 == 0) {
        const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
        const struct json *root = NULL;
        struct problem problem;
        problem_init(&problem, arena);
        demand(json_read(arena, r.body, r.length, &limits, &root, &problem) == PROBLEM_NONE, &r);
        enum problem_code code = schema_validate(
            service->schemas, is_problem ? "problem.json" : "result.json", root, &problem);
        if (code != PROBLEM_NONE)
            fprintf(stderr, "%s at %s\n", problem.detail, problem.faults[0].pointer);
        demand(code == PROBLEM_NONE, &r);
    }
    free(body);
    return 0;
}
