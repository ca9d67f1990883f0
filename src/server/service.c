#include "server/service.h"

#include <string.h>

/* The embedded schemas, without the contract, which is no schema. */
static const struct schema_document *schemas_only(struct arena *arena)
{
    size_t count = 0;
    for (const struct schema_document *d = schema_documents; d->name; d++)
        count++;
    struct schema_document *list = arena_alloc(arena, (count + 1) * sizeof *list), *next = list;
    for (const struct schema_document *d = schema_documents; list && d->name; d++)
        if (strcmp(d->name, "openapi.json"))
            *next++ = *d;
    return list;
}

struct service *service_new(const struct settings *settings, uint64_t seed, struct arena *arena,
                            const char **ret_message)
{
    static struct problem problem; /* too large for a small stack; used once, at start */
    struct service *s = arena_alloc(arena, sizeof *s);
    *ret_message = "There is no memory to start with.";
    if (!s)
        return NULL;
    s->settings = settings;
    s->arena = arena;
    problem_init(&problem, arena);
    const struct schema_document *schemas = schemas_only(arena);
    if (!schemas || !route_table_init(&s->routes, arena) ||
        !documents_init(&s->documents, &s->routes, arena))
        goto failed;
    s->schemas = schema_compile(schemas, &problem);
    if (!s->schemas) {
        if (problem.detail)
            *ret_message = problem.detail;
        goto failed;
    }
    for (unsigned i = 0; i < SERVICE_FIELDS; i++) {
        s->field[i] = field_new(seed + i);
        if (!s->field[i])
            goto failed;
    }
    s->metrics = metrics_new(s->routes.labels, s->routes.count + 1, settings->threads);
    if (s->metrics)
        return s;
failed:
    service_free(s);
    return NULL;
}

void service_free(struct service *s)
{
    if (!s)
        return;
    metrics_free(s->metrics);
    for (unsigned i = 0; i < SERVICE_FIELDS; i++)
        field_free(s->field[i]);
    schema_free(s->schemas);
}
