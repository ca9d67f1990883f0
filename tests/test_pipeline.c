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
#include "json/json.h"

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

/* Numbers so different in size that what is known of them contradicts itself, in every field. */
static void test_numbers_that_contradict_each_other(void **state)
{
    static const struct {
        const char *path, *body, *pointer;
    } rows[] = {
        {"/v1/equilibrium",
         "{\"forces\": [{\"name\": \"P\", \"components\": [1.5, -2.5, -6], \"at\": [9.79e+179, 1, "
         "3]}], \"supports\": [{\"name\": \"A\", \"kind\": \"hinge\", \"axis\": {\"axis\": "
         "\"+z\"}, \"at\": [0, 0, 1e+183]}, {\"name\": \"B\", \"kind\": \"hinge\", \"axis\": "
         "{\"axis\": \"+z\"}, \"at\": [0, 0, 2.5]}, {\"name\": \"C\", \"kind\": "
         "\"smooth_surface\", \"normal\": {\"axis\": \"-y\"}, \"at\": [2.5, 0.4, 1]}]}",
         "/supports/0/at/2"},
        {"/v1/equilibrium",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 50.5, \"direction\": {\"angle\": 212}}, "
         "{\"name\": \"A\", \"magnitude\": 30.50000000000001, \"direction\": \"unknown\"}, "
         "{\"name\": \"B\", \"magnitude\": 20, \"direction\": \"unknown\"}]}",
         "/forces/0/direction/angle"},
        {"/v1/truss",
         "{\"joints\": {\"a\": [0.0, 2e+60], \"b\": [1e-38, 2], \"c\": [2, 1], \"d\": [2, 0.0], "
         "\"e\": [1e-76, 0.0], \"f\": [0.0, 1e-79]}, \"members\": [[\"a\", \"b\"], [\"a\", \"f\"], "
         "[\"b\", \"f\"], [\"b\", \"c\"], [\"f\", \"c\"], [\"f\", \"e\"], [\"e\", \"c\"], [\"e\", "
         "\"d\"], [\"c\", \"d\"]], \"supports\": [{\"at\": \"a\", \"kind\": \"pin\"}, {\"at\": "
         "\"d\", \"kind\": \"roller\"}], \"loads\": [{\"at\": \"b\", \"components\": [0.0, "
         "-2e+17]}, {\"at\": \"c\", \"components\": [-1e-53, 0.0]}, {\"at\": \"e\", "
         "\"components\": [0.0, -1e-16]}]}",
         "/joints/a/1"},
        {"/v1/equilibrium",
         "{\"forces\": [{\"name\": \"W\", \"mass\": 61, \"direction\": {\"axis\": \"-z\"}}, "
         "{\"name\": \"A\", \"magnitude\": \"unknown\", \"direction\": {\"vector\": [-100.0, "
         "4000.0, 867.28]}}, {\"name\": \"B\", \"magnitude\": \"unknown\", \"direction\": "
         "{\"vector\": [-2, 1e-40, 2]}}, {\"name\": \"C\", \"magnitude\": \"unknown\", "
         "\"direction\": {\"vector\": [1, 4e-40, 8]}}]}",
         "/forces/2/direction/vector/1"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct request request = posted(rows[i].path, rows[i].body);
        struct response r;
        handle(service, &request, arena, &r);
        if (r.status != 422 || !says(&r, "number-size") || !says(&r, rows[i].pointer))
            fail_msg("row %zu: %d\n%.*s", i, r.status, (int)r.length, r.body);
        arena_reset(arena);
    }
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

/* ---- hostile answers ---- */

static char body[400000];

/* What POST /v1/check says to `body`, read again. */
static const struct json *checked(int *ret_status)
{
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    struct request request = posted("/v1/check", body);
    const struct json *root = NULL;
    struct problem problem;
    struct response r;
    arena_reset(arena);
    handle(service, &request, arena, &r);
    *ret_status = r.status;
    problem_init(&problem, arena);
    assert_int_equal(json_read(arena, r.body, r.length, &limits, &root, &problem), PROBLEM_NONE);
    return root;
}

static const char *text_of(const struct json *object, const char *member)
{
    const struct json *text = json_member(object, member);
    return text && text->type == JSON_STRING ? text->text : "";
}

static void assert_earns_nothing(const struct json *marked)
{
    const struct json *given = json_member(json_member(marked, "score"), "given");
    assert_string_equal(text_of(marked, "verdict"), "incorrect");
    assert_true(given && given->number == 0);
}

/* Alone, and behind a right answer: what is marked leaves that alone, and what is refused says
 * whose it is. */
static void assert_refuses(const char *problem, const char *right, const char *answer, int status,
                           const char *pointer)
{
    char expected[300];
    int found;
    snprintf(body, sizeof body, "{\"problem\": %s, \"answer\": %s}", problem, answer);
    const struct json *root = checked(&found);
    if (found != status)
        fail_msg("%d: %s", found, answer);
    if (status == 200)
        assert_earns_nothing(json_member(root, "answer"));
    if (status == 422)
        assert_string_equal(text_of(json_member(root, "errors")->child, "pointer"), pointer);
    snprintf(body, sizeof body, "{\"problem\": %s, \"answers\": [%s, %s]}", problem, right, answer);
    root = checked(&found);
    if (found != status)
        fail_msg("%d in a class: %s", found, answer);
    if (status == 200) {
        const struct json *first = json_member(root, "answers")->child;
        assert_string_equal(text_of(first, "verdict"), "correct");
        assert_earns_nothing(first->next);
    }
    if (status == 422) {
        snprintf(expected, sizeof expected, "/answers/1%s", pointer + strlen("/answer"));
        assert_string_equal(text_of(json_member(root, "errors")->child, "pointer"), expected);
    }
}

/* tests/data/hostile-answers.txt, which seeds the fuzzer as well. */
static void test_hostile_answers(void **state)
{
    static char line[4000], problem[2000], right[400];
    FILE *file = fopen("tests/data/hostile-answers.txt", "r");
    int count = 0;
    (void)state;
    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        char *first = strchr(line, '\t'), *second = first ? strchr(first + 1, '\t') : NULL;
        line[strcspn(line, "\n")] = '\0';
        if (line[0] == '#')
            continue;
        assert_non_null(second);
        *first = *second = '\0';
        if (line[0] == '=') {
            snprintf(right, sizeof right, "%s", first + 1);
            snprintf(problem, sizeof problem, "%s", second + 1);
            continue;
        }
        assert_refuses(problem, right, second + 1, atoi(line), first + 1);
        count++;
    }
    fclose(file);
    assert_true(count > 100);
}

/* A number of so many digits, a text of so many letters, lists in lists, the same entry again and
 * again: `unit` so often between `before` and `after`. */
static void test_endless_answers(void **state)
{
    static const struct {
        const char *before, *unit, *after;
        int times, status;
    } answers[] = {
        {"{\"resultant\": {\"magnitude\": \"", "9", "\"}}", 100000, 422},
        {"{\"resultant\": {\"magnitude\": \"0.", "0", "1\"}}", 100000, 422},
        {"{\"resultant\": {\"magnitude\": \"1", "*1", "\"}}", 50000, 422},
        {"{\"resultant\": {\"magnitude\": \"", "-", "14.6\"}}", 100000, 422},
        {"{\"resultant\": {\"magnitude\": \"", "9", "\"}}", 1000, 200},
        {"{\"resultant\": {\"magnitude\": \"1", "*1", "\"}}", 499, 200},
        {"{\"resultant\": {\"magnitude\": \"", "-", "14.6\"}}", 990, 200},
        {"{\"resultant\": {\"magnitude\": ", "9", "}}", 100000, 422},
        {"{\"resultant\": {\"", "magnitude", "\": 14.6}}", 10000, 422},
        {"{\"resultant\": {\"magnitude\": ", "[", "}}", 100000, 400},
        {"{\"resultant\": {\"magnitude\": ", "{\"value\": ", "}}", 10000, 400},
        {"{\"resultant\": {\"magnitude\": [", "1,", "1]}}", 100000, 422},
        {"{\"resultant\": {\"direction\": {\"vector\": [", "1,", "1]}}}", 100000, 422},
        {"{\"members\": [", "{\"name\": \"AD\", \"force\": 14.6},", "null]}", 9000, 422},
        {"{", "\"resultant\": {\"magnitude\": 14.6},", "\"quadrant\": 2}", 9000, 422},
    };
    static char answer[350000];
    (void)state;
    for (size_t i = 0; i < sizeof answers / sizeof *answers; i++) {
        size_t length = strlen(answers[i].unit);
        char *end = answer + sprintf(answer, "%s", answers[i].before);
        int found;
        for (int k = 0; k < answers[i].times; k++, end += length)
            memcpy(end, answers[i].unit, length);
        sprintf(end, "%s", answers[i].after);
        snprintf(
            body, sizeof body,
            "{\"problem\": {\"kind\": \"resultant\", \"forces\": [{\"components\": [24, -10]}, "
            "{\"components\": [-34.64, 20]}]}, \"answer\": %s}",
            answer);
        const struct json *root = checked(&found);
        if (found != answers[i].status)
            fail_msg("%d: %s%s…", found, answers[i].before, answers[i].unit);
        if (found == 200)
            assert_earns_nothing(json_member(root, "answer"));
        else if (found == 422)
            assert_memory_equal(text_of(json_member(root, "errors")->child, "pointer"), "/answer",
                                7);
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
        cmocka_unit_test(test_numbers_that_contradict_each_other),
        cmocka_unit_test(test_memory_that_runs_out_in_the_middle),
        cmocka_unit_test(test_admission),
        cmocka_unit_test(test_draining),
        cmocka_unit_test(test_origins),
        cmocka_unit_test(test_hostile_answers),
        cmocka_unit_test(test_endless_answers),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
