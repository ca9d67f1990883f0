/* fuzz_schema.c: the first byte picks a schema of api/ for the JSON after it, or has the rest
 * compiled as a schema of its own and tried on a few values. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "schema/schema.h"

static void demand(bool holds)
{
    if (!holds)
        abort();
}

static const struct json *read_text(struct arena *arena, const char *bytes, size_t length)
{
    const struct json_limits limits = {LIMIT_JSON_DEPTH, 20000};
    struct problem problem;
    const struct json *root = NULL;
    problem_init(&problem, arena);
    json_read(arena, bytes, length, &limits, &root, &problem);
    return root;
}

/* A fault stands at a value that is there, or at a member missing from an object that is there. */
static void check_faults(const struct problem *p, enum problem_code code, const struct json *root)
{
    demand(code == p->code && code != PROBLEM_INTERNAL);
    demand((code == PROBLEM_NONE) == (p->faults_found == 0));
    for (size_t i = 0; i < p->fault_count; i++) {
        char pointer[4096];
        size_t length = strlen(p->faults[i].pointer);
        demand(strlen(p->faults[i].detail) > 10);
        if (length >= sizeof pointer || json_at(root, p->faults[i].pointer) != NULL)
            continue;
        memcpy(pointer, p->faults[i].pointer, length + 1);
        char *last = strrchr(pointer, '/');
        demand(last != NULL);
        if (last == NULL)
            continue;
        *last = '\0';
        const struct json *around = json_at(root, pointer);
        demand(around != NULL && around->type == JSON_OBJECT);
    }
}

static void try_api(struct arena *arena, uint8_t pick, const char *bytes, size_t length)
{
    static struct schema_set *api;
    struct problem problem;
    problem_init(&problem, arena);
    if (api == NULL)
        demand((api = schema_compile(schema_documents, &problem)) != NULL);
    size_t count = 0;
    while (schema_documents[count].name != NULL)
        count++;
    const char *name = schema_documents[pick % count].name;
    const struct json *root = read_text(arena, bytes, length);
    if (root == NULL || strcmp(name, "openapi.json") == 0)
        return;
    check_faults(&problem, schema_validate(api, name, root, &problem), root);
}

static void try_schema(struct arena *arena, const char *bytes, size_t length)
{
    static const char *const values[] = {
        "{\"a\": 1, \"b\": [2.5, null], \"kind\": \"pin\"}",
        "[1, [1], {\"a\": {}}, \"a\"]",
        "-217.5",
        "\"mast\"",
    };
    const struct schema_document documents[] = {{"s", bytes, length}, {0}};
    struct problem problem;
    problem_init(&problem, arena);
    struct schema_set *set = schema_compile(documents, &problem);
    demand(set != NULL || problem.code == PROBLEM_INTERNAL || problem.code == PROBLEM_OVERLOADED);
    for (size_t i = 0; set != NULL && i < sizeof values / sizeof *values; i++) {
        const struct json *root = read_text(arena, values[i], strlen(values[i]));
        problem_init(&problem, arena);
        check_faults(&problem, schema_validate(set, "s", root, &problem), root);
    }
    schema_free(set);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct arena *arena;
    if (arena == NULL)
        arena = arena_new(LIMIT_ARENA_BYTES);
    arena_reset(arena);
    if (size == 0)
        return 0;
    /* Printable picks, so that a corpus can be typed: S is a schema, the others a document. */
    if (data[0] == 'S')
        try_schema(arena, (const char *)data + 1, size - 1);
    else
        try_api(arena, data[0], (const char *)data + 1, size - 1);
    return 0;
}
