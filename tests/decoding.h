/* decoding.h: a request written in C, read and decoded, for the tests of src/endpoints. */
#ifndef TESTS_DECODING_H
#define TESTS_DECODING_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/arena.h"
#include "base/limits.h"
#include "base/problem.h"
#include "endpoints/rows.h"
#include "schema/schema.h"
#include "json/json.h"

/* One request, decoded. */
struct decoded {
    struct arena *arena;
    struct problem problem;
    const struct json *request;
    enum problem_code schema_code; /* what the schema said of it */
    enum problem_code code;        /* what decoding said */
    union {
        struct resolve_input *resolve;
        struct resultant_input *resultant;
        struct equilibrium_input *equilibrium;
        struct truss_joint_input *truss_joint;
        struct truss_input *truss;
    };
};

static struct schema_set *schemas;

static int compile_schemas(void **state)
{
    (void)state;
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    struct problem problem;
    problem_init(&problem, arena);
    schemas = schema_compile(schema_documents, &problem);
    if (schemas == NULL)
        print_error("%s\n", problem.detail);
    arena_free(arena);
    return schemas == NULL;
}

static int free_schemas(void **state)
{
    (void)state;
    schema_free(schemas);
    return 0;
}

/* JSON with ' for ", as it stands in C more legibly. */
static const struct json *json_of(struct decoded *r, const char *text)
{
    char *json = arena_text(r->arena, text, strlen(text));
    for (char *c = json; *c != '\0'; c++)
        if (*c == '\'')
            *c = '"';
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    const struct json *root = NULL;
    if (json_read(r->arena, json, strlen(json), &limits, &root, &r->problem) != PROBLEM_NONE)
        fail_msg("not JSON: %s\n%s", r->problem.detail, text);
    return root;
}

/* Decode r->request in `arena`. */
static void decode_in(struct decoded *r, struct arena *arena, const char *kind)
{
    if (strcmp(kind, "resolve") == 0)
        r->code = decode_resolve(arena, r->request, &r->resolve, &r->problem);
    else if (strcmp(kind, "resultant") == 0)
        r->code = decode_resultant(arena, r->request, &r->resultant, &r->problem);
    else if (strcmp(kind, "equilibrium") == 0)
        r->code = decode_equilibrium(arena, r->request, &r->equilibrium, &r->problem);
    else if (strcmp(kind, "truss-joint") == 0)
        r->code = decode_truss_joint(arena, r->request, &r->truss_joint, &r->problem);
    else if (strcmp(kind, "truss") == 0)
        r->code = decode_truss(arena, r->request, &r->truss, &r->problem);
    else
        fail_msg("no decoder for %s", kind);
}

/* Decode a request of a kind. What the schema says of it is remembered, and does not stop it. */
static struct decoded decode(const char *kind, const char *text)
{
    struct decoded r = {.arena = arena_new(LIMIT_ARENA_BYTES)};
    problem_init(&r.problem, r.arena);
    r.request = json_of(&r, text);
    r.schema_code = schema_validate(schemas, arena_printf(r.arena, "%s.request.json", kind),
                                    r.request, &r.problem);
    problem_init(&r.problem, r.arena);
    decode_in(&r, r.arena, kind);
    return r;
}

/* The same where no fault is expected anywhere. */
static struct decoded decode_well(const char *kind, const char *text)
{
    struct decoded r = decode(kind, text);
    if (r.schema_code != PROBLEM_NONE)
        fail_msg("the schema refuses %s", text);
    if (r.code != PROBLEM_NONE)
        fail_msg("%s at %s in %s", r.problem.detail,
                 r.problem.fault_count > 0 ? r.problem.faults[0].pointer : "-", text);
    return r;
}

static void done(struct decoded *r) { arena_free(r->arena); }

#endif
