/* fuzz_json.c: any bytes to the reader. What it accepts it must also write and read back as the
 * same value; what it refuses it must explain; and cJSON must take all that our scan lets by (the
 * reader would say that there is no memory). */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "json_text.h"

static void demand(bool holds)
{
    if (!holds)
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct arena *arena;
    if (arena == NULL)
        arena = arena_new(LIMIT_ARENA_BYTES);
    arena_reset(arena);
    const struct json_limits limits = {LIMIT_JSON_DEPTH, 20000};
    struct problem problem;
    const struct json *root = NULL, *again = NULL;
    problem_init(&problem, arena);
    enum problem_code code = json_read(arena, (const char *)data, size, &limits, &root, &problem);
    demand(code != PROBLEM_OVERLOADED && code == problem.code);
    if (code != PROBLEM_NONE) {
        demand(root == NULL && strlen(problem.detail) > 10);
        return 0;
    }
    struct buf text;
    buf_init(&text, arena, (size_t)64 << 20);
    put_json_text(&text, root);
    demand(buf_text(&text) != NULL);
    demand(json_read(arena, text.data, text.length, &limits, &again, &problem) == PROBLEM_NONE);
    demand(json_equal(root, again));
    /* Every value is found where its pointer says. */
    const struct json *v = root;
    while (v != NULL) {
        demand(json_at(root, json_pointer(arena, v)) == v);
        v = v->child != NULL ? v->child : v->next;
    }
    return 0;
}
