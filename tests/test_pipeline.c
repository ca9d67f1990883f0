/* The whole way of a request without a socket: handle(). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/limits.h"
#include "server/cors.h"
#include "server/pipeline.h"

static const char guys[] =
    "{\"units\": {\"force\": \"kN\"}, \"forces\": ["
    "{\"name\": \"P\", \"magnitude\": 4.2, \"direction\": {\"angle\": 62.5}},"
    "{\"name\": \"Q\", \"magnitude\": 2.6, \"direction\": {\"slope\": {\"run\": -12, \"rise\": "
    "5}}},"
    "{\"name\": \"W\", \"magnitude\": 217.5, \"direction\": {\"angle\": 248.2}}], \"key\": true}";

static struct settings settings;
static struct service *service;
static struct arena *service_arena, *arena;

static int begin(void **state)
{
    (void)state;
    char program[] = "tiptail", message[600];
    char *argv[] = {program, NULL};
    const char *fault = NULL;
    if (settings_read(1, argv, &settings, message, sizeof message) != SETTINGS_SERVE)
        return -1;
    service_arena = arena_new((size_t)16 << 20);
    arena = arena_new(LIMIT_ARENA_BYTES);
    service = service_new(&settings, 217, service_arena, &fault);
    if (!service)
        print_error("%s\n", fault);
    return service && arena ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    service_free(service);
    arena_free(service_arena);
    arena_free(arena);
    return 0;
}

static struct request posted(const char *path, const char *body)
{
    return (struct request){.method = "POST",
                            .path = path,
                            .content_type = "application/json",
                            .body = body,
                            .body_length = strlen(body),
                            .id = "id-217"};
}

static bool says(const struct response *r, const char *text)
{
    for (size_t i = 0; i + strlen(text) <= r->length; i++)
        if (!memcmp(r->body + i, text, strlen(text)))
            return true;
    return false;
}

static const char *header(const struct response *r, const char *name)
{
    for (unsigned i = 0; i < r->header_count; i++)
        if (!strcmp(r->header[i].name, name))
            return r->header[i].value;
    return NULL;
}

static void test_answer(void **state)
{
    (void)state;
    struct request request = posted("/v1/resultant", guys);
    struct response r;
    handle(service, &request, arena, &r);
    assert_int_equal(r.status, 200);
    assert_string_equal(r.content_type, "application/json");
    assert_true(says(&r, "\"kind\":\"resultant\"") && says(&r, "\"key\":["));
    assert_string_equal(header(&r, "Cache-Control"), "no-store");
    char *first = malloc(r.length);
    size_t length = r.length;
    memcpy(first, r.body, length);
    arena_reset(arena);
    handle(service, &request, arena, &r);
    assert_int_equal(r.length, length);
    assert_memory_equal(r.body, first, length);
    free(first);
    arena_reset(arena);
}

/* With any amount of memory the answer is the right one, or a 503; never half of one. */
static void test_any_amount_of_memory(void **state)
{
    (void)state;
    static const char *const bodies[] = {guys, "{\"forces\": 7}", "{\"forces\": ["};
    static const char *const accepts[] = {NULL, "text/plain", "text/x-latex"};
    for (size_t b = 0; b < 3; b++)
        for (size_t a = 0; a < 3; a++) {
            struct request request = posted("/v1/resultant", bodies[b]);
            struct response whole, r;
            unsigned full = 0, cut = 0;
            request.accept = accepts[a];
            handle(service, &request, arena, &whole);
            for (size_t cap = 64; cap < 400000; cap += cap / 24 + 64) {
                struct arena *small = arena_new(cap);
                handle(service, &request, small, &r);
                if (r.status == 503) {
                    assert_true(says(&r, "/problems/overloaded"));
                    assert_non_null(header(&r, "Retry-After"));
                    cut++;
                } else {
                    assert_int_equal(r.status, whole.status);
                    assert_int_equal(r.length, whole.length);
                    assert_memory_equal(r.body, whole.body, r.length);
                    full++;
                }
                arena_free(small);
            }
            assert_true(full > 0 && cut > 0);
            arena_reset(arena);
        }
}

static void test_faults_beyond_those_kept(void **state)
{
    (void)state;
    static char body[20000];
    size_t n = (size_t)snprintf(body, sizeof body, "{\"forces\": [");
    for (int i = 0; i < 57; i++)
        n += (size_t)snprintf(body + n, sizeof body - n, "%s{\"magnitude\": \"x\"}", i ? "," : "");
    snprintf(body + n, sizeof body - n, "]}");
    struct request request = posted("/v1/resultant", body);
    struct response r;
    handle(service, &request, arena, &r);
    assert_int_equal(r.status, 422);
    assert_true(says(&r, "(The first 20 of "));
    assert_true(says(&r, "\"instance\": \"id-217\""));
    arena_reset(arena);
}

/* ---- endpoints that misbehave ---- */

static unsigned runs;

static enum problem_code run_unlucky(struct work *w, const struct json *request, struct problem *p)
{
    (void)request;
    w->unlucky = ++runs < 3;
    return problem_set(p, PROBLEM_NOT_FOUND, "run %u", runs);
}
static enum problem_code run_never(struct work *w, const struct json *request, struct problem *p)
{
    (void)request;
    (void)p;
    w->unlucky = true;
    runs++;
    return PROBLEM_NONE;
}
static enum problem_code run_broken(struct work *w, const struct json *request, struct problem *p)
{
    (void)w;
    (void)request;
    return problem_set(p, PROBLEM_INTERNAL, "the secret residual is 217.5");
}
static enum problem_code run_greedy(struct work *w, const struct json *request, struct problem *p)
{
    (void)request;
    while (arena_alloc(w->arena, (size_t)1 << 20))
        continue;
    return problem_set(p, PROBLEM_INTERNAL, "no memory, no luck");
}

static struct response run_as(enum problem_code (*run)(struct work *, const struct json *,
                                                       struct problem *),
                              struct arena *where)
{
    const struct endpoint endpoint = {"/v1/resultant", "resultant", "resultant.request.json", "",
                                      run};
    struct route route = {.path = "/v1/resultant", .kind = ROUTE_COMPUTE, .endpoint = &endpoint};
    struct admission admission = {.route = &route, .method = METHOD_POST};
    struct request request = posted("/v1/resultant", guys);
    struct response r;
    runs = 0;
    pipeline_answer(service, &request, &admission, where, &r);
    return r;
}

static void test_an_unlucky_residue_is_worked_again(void **state)
{
    (void)state;
    struct response r = run_as(run_unlucky, arena);
    assert_int_equal(runs, 3);
    assert_int_equal(r.status, 404);
    assert_true(says(&r, "run 3"));
    r = run_as(run_never, arena);
    assert_int_equal(runs, SERVICE_FIELDS);
    assert_int_equal(r.status, 500);
    arena_reset(arena);
}

static void test_an_error_of_ours_is_for_the_log(void **state)
{
    (void)state;
    struct response r = run_as(run_broken, arena);
    assert_int_equal(r.status, 500);
    assert_false(says(&r, "secret"));
    assert_true(says(&r, "id-217"));
    assert_non_null(strstr(r.log_detail, "secret"));
    arena_reset(arena);
}

static void test_memory_that_runs_out_in_the_middle(void **state)
{
    (void)state;
    struct arena *small = arena_new((size_t)5 << 20);
    struct response r = run_as(run_greedy, small);
    assert_int_equal(r.status, 503);
    arena_free(small);
}

/* ---- what the head decides ---- */

static int status_of(const char *method, const char *path, const char *accept, const char *type)
{
    struct request request = posted(path, guys);
    struct response r;
    request.method = method;
    request.accept = accept;
    request.content_type = type;
    handle(service, &request, arena, &r);
    arena_reset(arena);
    return r.status;
}

static void test_admission(void **state)
{
    (void)state;
    static const char json[] = "application/json";
    assert_int_equal(status_of("POST", "/v1/resultant", NULL, json), 200);
    assert_int_equal(status_of("POST", "/v1/resultant", "image/*", json), 406);
    assert_int_equal(status_of("POST", "/v1/resultant", NULL, NULL), 415);
    assert_int_equal(status_of("POST", "/v1/resultant", NULL, "text/json"), 415);
    assert_int_equal(status_of("POST", "/v1/resultant/", NULL, json), 404);
    assert_int_equal(status_of("PUT", "/v1/resultant", NULL, json), 405);
    assert_int_equal(status_of("HEAD", "/v1/resultant", NULL, NULL), 405);
    assert_int_equal(status_of("OPTIONS", "/v1/resultant", "image/*", NULL), 204);
    assert_int_equal(status_of("OPTIONS", "*", NULL, NULL), 204);
    assert_int_equal(status_of("PROPFIND", "/nowhere", NULL, NULL), 501);
    assert_int_equal(status_of("GET", "/nowhere", NULL, NULL), 404);
    assert_int_equal(status_of("HEAD", "/v1", NULL, NULL), 200);
    assert_int_equal(status_of("GET", "/metrics", "image/*", NULL), 200);
    assert_int_equal(status_of("POST", "/metrics", NULL, json), 405);
}

static void test_draining(void **state)
{
    (void)state;
    assert_int_equal(status_of("GET", "/readyz", NULL, NULL), 200);
    atomic_store(&service->draining, true);
    assert_int_equal(status_of("GET", "/readyz", NULL, NULL), 503);
    assert_int_equal(status_of("GET", "/healthz", NULL, NULL), 200);
    assert_int_equal(status_of("POST", "/v1/resultant", NULL, "application/json"), 200);
    atomic_store(&service->draining, false);
}

static void test_origins(void **state)
{
    (void)state;
    static const struct {
        const char *setting, *origin, *allowed;
    } rows[] = {
        {"", "https://a.example", NULL},
        {"*", "https://a.example", "*"},
        {"*", NULL, NULL},
        {"https://a.example,https://b.example", "https://b.example", "https://b.example"},
        {"https://a.example,https://b.example", "https://b.exampl", NULL},
        {"https://a.example,https://b.example", "https://a.example,https://b.example", NULL},
        {"https://a.example", "https://A.example", NULL},
        {"https://a.example", "null", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct guard head = {.origin = rows[i].origin};
        struct admission admission = {.method = METHOD_POST};
        struct response r = {.status = 200};
        cors_grant(rows[i].setting, &head, &admission, &r);
        const char *allowed = header(&r, "Access-Control-Allow-Origin");
        assert_true(rows[i].allowed ? allowed && !strcmp(allowed, rows[i].allowed) : !allowed);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_answer),
        cmocka_unit_test(test_any_amount_of_memory),
        cmocka_unit_test(test_faults_beyond_those_kept),
        cmocka_unit_test(test_an_unlucky_residue_is_worked_again),
        cmocka_unit_test(test_an_error_of_ours_is_for_the_log),
        cmocka_unit_test(test_memory_that_runs_out_in_the_middle),
        cmocka_unit_test(test_admission),
        cmocka_unit_test(test_draining),
        cmocka_unit_test(test_origins),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
