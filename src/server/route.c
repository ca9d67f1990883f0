#include "server/route.h"

#include <string.h>

#include "server/negotiate.h"

#define GETS (1u << METHOD_GET | 1u << METHOD_HEAD | 1u << METHOD_OPTIONS)
#define POSTS (1u << METHOD_POST | 1u << METHOD_OPTIONS)
#define JSON (1u << MEDIA_JSON)

static const struct route documents[] = {
    {"/v1", "this index", NULL, ROUTE_INDEX, GETS, JSON, 0, NULL},
    {"/v1/openapi.json", "the contract as OpenAPI 3.1", NULL, ROUTE_OPENAPI, GETS, JSON, 0, NULL},
    {"/v1/schemas/{name}", "the JSON Schemas that requests are checked with", NULL, ROUTE_SCHEMA,
     GETS, JSON | 1u << MEDIA_SCHEMA, 0, NULL},
    {"/problems/{name}", "what an error means and how to mend it", NULL, ROUTE_PROBLEM, GETS,
     JSON | 1u << MEDIA_TEXT, 0, NULL},
    {"/healthz", "whether the service is alive", NULL, ROUTE_HEALTH, GETS, 0, 0, NULL},
    {"/readyz", "whether it takes work", NULL, ROUTE_READY, GETS, 0, 0, NULL},
    {"/metrics", "counters in the Prometheus text format", NULL, ROUTE_METRICS, GETS, 0, 0, NULL},
    {"*", "the service as a whole", NULL, ROUTE_SERVER, 1u << METHOD_OPTIONS, 0, 0, NULL},
};
#define DOCUMENTS (sizeof documents / sizeof *documents)

static const char *allow_text(struct arena *arena, enum route_kind kind, unsigned methods)
{
    const char *text = "";
    if (kind == ROUTE_SERVER)
        return "GET, HEAD, POST, OPTIONS";
    for (int m = 0; m < METHOD_OTHER && text; m++)
        if (methods >> m & 1)
            text =
                arena_printf(arena, "%s%s%s", text, *text ? ", " : "", method_name((enum method)m));
    return text;
}

bool route_table_init(struct route_table *table, struct arena *arena)
{
    unsigned count = DOCUMENTS;
    for (const struct endpoint *e = endpoints; e->path; e++)
        count++;
    table->count = 0;
    table->routes = arena_alloc(arena, count * sizeof *table->routes);
    table->labels = arena_alloc(arena, (count + 1) * sizeof *table->labels);
    if (!table->routes || !table->labels)
        return false;
    for (const struct endpoint *e = endpoints; e->path; e++)
        table->routes[table->count++] =
            (struct route){e->path, e->summary,
                           NULL,    ROUTE_COMPUTE,
                           POSTS,   JSON | 1u << MEDIA_TEXT | 1u << MEDIA_LATEX,
                           0,       e};
    memcpy(table->routes + table->count, documents, sizeof documents);
    table->count = count;
    for (unsigned i = 0; i < count; i++) {
        struct route *r = &table->routes[i];
        const char *name = strchr(r->path, '{');
        r->prefix = name ? (size_t)(name - r->path) : 0;
        r->allow = allow_text(arena, r->kind, r->methods);
        table->labels[i] = r->path;
    }
    table->labels[count] = "other";
    return !arena_exhausted(arena);
}

const struct route *route_find(const struct route_table *table, const char *path,
                               const char **ret_name)
{
    for (unsigned i = 0; i < table->count; i++) {
        const struct route *r = &table->routes[i];
        if (r->prefix ? strncmp(path, r->path, r->prefix) : strcmp(path, r->path))
            continue;
        *ret_name = path + r->prefix;
        return r;
    }
    return NULL;
}

enum method method_of(const char *text)
{
    static const char *const others[] = {"PUT", "DELETE", "PATCH", "TRACE", "CONNECT"};
    for (int m = 0; m < METHOD_OTHER; m++)
        if (!strcmp(text, method_name((enum method)m)))
            return (enum method)m;
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (!strcmp(text, others[i]))
            return METHOD_OTHER;
    return METHOD_UNKNOWN;
}
