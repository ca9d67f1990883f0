/* Memory that runs out: the n-th allocation fails, for every n, through the whole pipeline. The
 * answer is then the right one or a 503, never another. The linker wraps the
 * allocations of our code; cJSON takes its memory from the request's arena. An arena asks for few
 * and large blocks, so that its limit is swept as well: then every step meets its end somewhere. */
#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/limits.h"
#include "server/pipeline.h"

#define EXAMPLES "tests/examples"
#define ALL_UP_TO 150 /* beyond, allocations are drawn evenly: those of one schema are alike */
#define STEPS 60      /* of an arena's limit, each as much larger as the last */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);

static unsigned long allocations, failing; /* failing: which one; 0 none */
static bool ever_after;

static bool fails(void)
{
    allocations++;
    return failing && (allocations == failing || (ever_after && allocations > failing));
}
void *__wrap_malloc(size_t size) { return fails() ? NULL : __real_malloc(size); }
void *__wrap_calloc(size_t count, size_t size)
{
    return fails() ? NULL : __real_calloc(count, size);
}
void *__wrap_realloc(void *old, size_t size) { return fails() ? NULL : __real_realloc(old, size); }

static struct settings settings;
static struct service *service;
static struct arena *service_arena;

static int begin(void **state)
{
    (void)state;
    char program[] = "tiptail", message[600];
    char *argv[] = {program, NULL};
    const char *fault = NULL;
    if (settings_read(1, argv, &settings, message, sizeof message) != SETTINGS_SERVE)
        return -1;
    service_arena = arena_new((size_t)16 << 20);
    service = service_new(&settings, 217, service_arena, &fault);
    return service ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    service_free(service);
    arena_free(service_arena);
    return 0;
}

/* One request with its n-th allocation failing; the answer's status, 0 where there was not even an
 * arena. The answer is compared with `whole` where it is no 503. */
static int ask(const struct request *request, size_t cap, unsigned long n, const char *whole,
               size_t length, int status)
{
    struct response r = {0};
    allocations = 0;
    failing = n;
    struct arena *arena = arena_new(cap);
    if (arena)
        handle(service, request, arena, &r);
    failing = 0;
    if (r.status == 503) {
        assert_true(r.length > 0 && strstr(r.body, "/problems/overloaded"));
    } else if (arena) {
        assert_int_equal(r.status, status);
        assert_int_equal(r.length, length);
        assert_memory_equal(r.body, whole, length);
    }
    arena_free(arena);
    return r.status;
}

static void sweep(const char *kind, const char *accept, const char *body, size_t body_length)
{
    char path[64];
    snprintf(path, sizeof path, "/v1/%s", kind);
    struct request request = {.method = "POST",
                              .path = path,
                              .accept = accept,
                              .content_type = "application/json",
                              .body = body,
                              .body_length = body_length,
                              .id = "id-217"};
    struct response whole;
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    allocations = 1; /* the arena's own, as below */
    handle(service, &request, arena, &whole);
    unsigned long count = allocations;
    unsigned refused = 0, runs = 0;
    assert_true(count > 1);
    for (unsigned long n = 1; n <= count; n++)
        for (int mode = 0; mode < 2; mode++, runs++) {
            ever_after = mode;
            int status =
                ask(&request, LIMIT_ARENA_BYTES, n, whole.body, whole.length, whole.status);
            refused += status == 503 || status == 0;
        }
    assert_true(refused > runs / 2); /* a failure is not swallowed */
    unsigned cut = 0;
    double cap = 512, last = (double)arena_used(arena) * 1.5;
    for (double step = pow(last / cap, 1.0 / STEPS); cap < last * 1.1; cap *= step)
        cut += ask(&request, (size_t)cap, 0, whole.body, whole.length, whole.status) == 503;
    assert_in_range(cut, STEPS / 3, STEPS);
    arena_free(arena);
}

static char *read_file(const char *name, size_t *ret_length)
{
    char path[300];
    snprintf(path, sizeof path, EXAMPLES "/%s", name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    char *text = calloc(1, 65536);
    *ret_length = fread(text, 1, 65535, file);
    fclose(file);
    return text;
}

/* Every example of the documentation, to the call that its answer names. */
static void test_every_example(void **state)
{
    (void)state;
    DIR *folder = opendir(EXAMPLES);
    unsigned examples = 0;
    assert_non_null(folder);
    for (struct dirent *e; (e = readdir(folder));) {
        char answer_name[280], kind[32] = "resultant";
        size_t stem = strlen(e->d_name), length, answer_length;
        if (stem < 13 || strcmp(e->d_name + stem - 13, ".request.json"))
            continue;
        snprintf(answer_name, sizeof answer_name, "%.*s.answer.json", (int)stem - 13, e->d_name);
        char *body = read_file(e->d_name, &length),
             *answer = read_file(answer_name, &answer_length);
        const char *said = strstr(answer, "\"kind\": \"");
        if (said)
            sscanf(said, "\"kind\": \"%31[a-z-]", kind);
        sweep(kind,
              examples % 3 == 1   ? "text/plain"
              : examples % 3 == 2 ? "text/x-latex"
                                  : NULL,
              body, length);
        examples++;
        free(body);
        free(answer);
    }
    closedir(folder);
    assert_true(examples > 8);
}

static void test_refusals(void **state)
{
    (void)state;
    static const char *const bodies[] = {
        "{\"forces\": [{\"magnitude\": -217.5, \"direction\": {}}]}",
        "{\"forces\": [{\"magnitude\": 248.2,,}]}", "{\"forces\": [], \"forces\": []}"};
    for (size_t i = 0; i < sizeof bodies / sizeof *bodies; i++)
        sweep("resultant", NULL, bodies[i], strlen(bodies[i]));
}

/* Starting: every allocation of service_new in turn. */
static void test_start(void **state)
{
    (void)state;
    unsigned long n = 0;
    struct service *one = NULL;
    for (ever_after = false; !one; n += n < ALL_UP_TO ? 1 : 37) {
        const char *fault = NULL;
        struct arena *arena = arena_new((size_t)16 << 20);
        allocations = 0;
        failing = n + 1;
        one = service_new(&settings, 217, arena, &fault);
        bool is_over = allocations < failing;
        failing = 0;
        assert_true(!one || is_over || allocations >= n);
        if (!one)
            assert_non_null(fault);
        service_free(one);
        arena_free(arena);
        if (one && !is_over)
            one = NULL; /* it did without; go on to the next */
    }
    assert_true(n > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_example),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_start),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
