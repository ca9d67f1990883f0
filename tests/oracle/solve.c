#include "oracle/solve.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "endpoints/endpoint.h"
#include "schema/schema.h"

#define FIELDS 3

static const struct schema_set *schemas(void)
{
    static struct schema_set *set;
    if (!set) {
        struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
        struct problem problem;
        problem_init(&problem, arena);
        set = schema_compile(schema_documents, &problem);
        if (!set) {
            fprintf(stderr, "api/: %s\n", problem.detail);
            exit(2);
        }
        arena_free(arena);
    }
    return set;
}

static const struct field *field_number(int i)
{
    static struct field *fields[FIELDS];
    if (!fields[i])
        fields[i] = field_new(2001 + (uint64_t)i);
    return fields[i];
}

static const struct endpoint *endpoint_of(const char *path)
{
    for (const struct endpoint *e = endpoints; e->path; e++)
        if (strcmp(e->path, path) == 0)
            return e;
    fprintf(stderr, "no endpoint %s\n", path);
    exit(2);
}

enum problem_code solve(struct solved *s, const char *path, const char *request)
{
    const struct endpoint *endpoint = endpoint_of(path);
    const struct json *json;
    struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    memset(s, 0, sizeof *s);
    s->arena = arena_new(LIMIT_ARENA_BYTES);
    problem_init(&s->problem, s->arena);
    s->code = json_read(s->arena, request, strlen(request), &limits, &json, &s->problem);
    if (s->code == PROBLEM_NONE)
        s->code = schema_validate(schemas(), endpoint->schema, json, &s->problem);
    for (int i = 0; s->code == PROBLEM_NONE && i < FIELDS; i++) {
        work_init(&s->work, s->arena, field_number(i));
        s->work.wants_working = true;
        const struct json *key = json_member(json, "key");
        s->work.wants_key = key && key->type == JSON_TRUE;
        s->code = endpoint->run(&s->work, json, &s->problem);
        if (!s->work.unlucky)
            break;
    }
    return s->code;
}

void solved_free(struct solved *s) { arena_free(s->arena); }

const char *solved_json(struct solved *s, const struct render_options *options)
{
    struct buf out;
    buf_init(&out, s->arena, LIMIT_ANSWER_BYTES);
    render_json(&s->work, options, &out);
    return buf_text(&out);
}

void solve_put_json(struct buf *b, const struct json *json)
{
    static const char *const word[JSON_TYPE_MAX_] = {"null", "false", "true"};
    if (json->type == JSON_NUMBER) {
        buf_put(b, json->text, json->length);
        return;
    }
    if (json->type == JSON_STRING) {
        json_put_string(b, json->text, json->length);
        return;
    }
    if (json->type != JSON_ARRAY && json->type != JSON_OBJECT) {
        buf_puts(b, word[json->type]);
        return;
    }
    buf_puts(b, json->type == JSON_ARRAY ? "[" : "{");
    for (const struct json *c = json->child; c; c = c->next) {
        if (c->key) {
            json_put_string(b, c->key, strlen(c->key));
            buf_puts(b, ": ");
        }
        solve_put_json(b, c);
        buf_puts(b, c->next ? ", " : "");
    }
    buf_puts(b, json->type == JSON_ARRAY ? "]" : "}");
}
