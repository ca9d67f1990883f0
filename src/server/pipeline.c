#include "server/pipeline.h"

#include <string.h>
#include <strings.h>

#include "base/buf.h"
#include "base/limits.h"
#include "render/render.h"
#include "work/work.h"
#include "json/json.h"

#define METRICS_BYTES ((size_t)1 << 20)
#define STATIC_CACHE "public, max-age=3600"

static void respond_refusal(const struct request *request, const struct admission *a,
                            struct arena *arena, struct response *r)
{
    struct problem p;
    problem_init(&p, arena);
    p.code = a->code;
    p.detail = a->detail;
    response_problem(r, &p, request->id, arena);
    if (a->code == PROBLEM_METHOD_NOT_ALLOWED)
        response_header(r, "Allow", a->route->allow);
    if (a->code == PROBLEM_UNSUPPORTED_MEDIA_TYPE) {
        response_header(r, "Accept", "application/json");
        if (request->content_encoding)
            response_header(r, "Accept-Encoding", "identity");
    }
    if (a->code == PROBLEM_OVERLOADED || a->code == PROBLEM_TOO_MANY_REQUESTS)
        response_header(r, "Retry-After",
                        arena_printf(arena, "%u", a->wait_seconds ? a->wait_seconds : 1));
}

/* ---- what the head decides ---- */

/* application/json, with no charset but UTF-8. */
static bool is_json(const char *content_type)
{
    static const char type[] = "application/json";
    if (!content_type || strncasecmp(content_type, type, sizeof type - 1))
        return false;
    const char *p = content_type + sizeof type - 1;
    p += strspn(p, " \t");
    if (*p && *p != ';')
        return false;
    while (*p == ';') {
        p += 1 + strspn(p + 1, " \t");
        size_t length = strcspn(p, ";");
        if (!strncasecmp(p, "charset=", 8) && strncasecmp(p + 8, "utf-8", 5) &&
            strncasecmp(p + 8, "\"utf-8\"", 7))
            return false;
        p += length;
    }
    return true;
}

static void refuse(struct admission *a, enum problem_code code, const char *detail)
{
    a->code = code;
    a->detail = detail;
}

struct admission pipeline_admit(const struct service *service, const struct request *request)
{
    struct admission a = {.media = MEDIA_JSON, .method = method_of(request->method)};
    a.route = route_find(&service->routes, request->path, &a.name);
    if (a.method == METHOD_UNKNOWN)
        refuse(&a, PROBLEM_NOT_IMPLEMENTED, "The method is not known here.");
    else if (!a.route)
        refuse(&a, PROBLEM_NOT_FOUND,
               "There is nothing at this address; GET /v1 lists what there is.");
    else if (a.method == METHOD_OTHER || !(a.route->methods >> a.method & 1))
        refuse(&a, PROBLEM_METHOD_NOT_ALLOWED, NULL);
    else if (a.method == METHOD_OPTIONS)
        return a;
    else if (a.route->offered && !negotiate(request->accept, a.route->offered, &a.media))
        refuse(&a, PROBLEM_NOT_ACCEPTABLE, NULL);
    else if (a.method == METHOD_POST && request->content_encoding)
        refuse(&a, PROBLEM_UNSUPPORTED_MEDIA_TYPE,
               "The body has a content coding; send it as it is.");
    else if (a.method == METHOD_POST && !is_json(request->content_type))
        refuse(&a, PROBLEM_UNSUPPORTED_MEDIA_TYPE,
               request->content_type ? NULL
                                     : "There is no Content-Type; send Content-Type: "
                                       "application/json.");
    return a;
}

/* ---- computations ---- */

static bool is_text(const struct json *value, const char *text)
{
    return value && value->type == JSON_STRING && !strcmp(value->text, text);
}

/* `working` and `key`, which every request may have; the schema has seen to their shape. */
static struct render_options read_options(const struct json *request)
{
    struct render_options o = render_defaults();
    const struct json *working = json_member(request, "working");
    const struct json *key = json_member(request, "key");
    const struct json *list = json_member(working, "formats");
    const struct json *figures = json_member(working, "significant_figures");
    if (working && working->type == JSON_FALSE)
        o.working = false;
    if (is_text(json_member(working, "notation"), "vector"))
        o.notation = NOTATION_VECTOR;
    if (list) {
        for (int f = 0; f < FORMAT_MAX_; f++) {
            o.formats[f] = false;
            for (const struct json *one = list->child; one; one = one->next)
                o.formats[f] = o.formats[f] || is_text(one, format_name((enum format)f));
        }
    }
    if (figures && figures->type == JSON_NUMBER)
        o.figures = (int)figures->number;
    if (is_text(figures, "3-4")) {
        o.figures = 3;
        o.one_more_after_one = true;
    }
    o.key = key && key->type == JSON_TRUE;
    return o;
}

/* Work it in one field after the other until no divisor is 0 there by chance. */
static enum problem_code run(const struct service *service, const struct admission *a,
                             const struct json *root, const struct render_options *options,
                             struct arena *arena, struct work *w, struct problem *p)
{
    const struct endpoint *endpoint = a->route->endpoint;
    enum problem_code code = PROBLEM_NONE;
    for (unsigned i = 0; i < SERVICE_FIELDS; i++) {
        work_init(w, arena, service->field[i]);
        w->second = service->field[(i + 1) % SERVICE_FIELDS];
        w->kind = endpoint->kind;
        w->wants_key = options->key;
        w->wants_working = options->working || a->media != MEDIA_JSON;
        problem_init(p, arena);
        code = endpoint->run(w, root, p);
        if (!w->unlucky)
            return code;
    }
    return code == PROBLEM_INVALID_REQUEST
               ? code
               : work_contradicted(w, p, "A divisor was unlucky in every field.");
}

static void render(struct work *w, enum media media, const struct render_options *options,
                   struct buf *out)
{
    if (media == MEDIA_TEXT)
        render_sheet_text(w, options, out);
    else if (media == MEDIA_LATEX)
        render_sheet_latex(w, options, out);
    else
        render_json(w, options, out);
}

static enum problem_code compute(const struct service *service, const struct request *request,
                                 const struct admission *a, struct arena *arena, struct buf *out,
                                 struct problem *p)
{
    const struct json_limits limits = {LIMIT_JSON_DEPTH, service->settings->json_values};
    const struct json *root = NULL;
    enum problem_code code =
        json_read(arena, request->body, request->body_length, &limits, &root, p);
    if (code != PROBLEM_NONE)
        return code;
    code = schema_validate(service->schemas, a->route->endpoint->schema, root, p);
    if (code != PROBLEM_NONE)
        return code;
    const struct json *problem = json_member(root, "problem"); /* of a check */
    struct render_options options = read_options(problem ? problem : root);
    struct work w;
    code = run(service, a, root, &options, arena, &w, p);
    if (code != PROBLEM_NONE)
        return code;
    options.working = options.working && !w.hides_solution;
    options.key = w.wants_key && !w.hides_solution;
    render(&w, a->media, &options, out);
    if (out->overflow && !arena_exhausted(arena))
        return problem_set(p, PROBLEM_WORK_LIMIT,
                           "The answer would have more than %zu bytes; ask for less working.",
                           LIMIT_ANSWER_BYTES);
    return PROBLEM_NONE;
}

static void answer_computation(const struct service *service, const struct request *request,
                               const struct admission *a, struct arena *arena, struct response *r)
{
    struct problem p;
    struct buf out;
    problem_init(&p, arena);
    buf_init(&out, arena, LIMIT_ANSWER_BYTES);
    enum problem_code code = compute(service, request, a, arena, &out, &p);
    if (arena_exhausted(arena) || code == PROBLEM_OVERLOADED) {
        response_without_memory(r);
        return;
    }
    if (code != PROBLEM_NONE) {
        p.code = code;
        response_problem(r, &p, request->id, arena);
        return;
    }
    response_set(r, 200, a->media, out.data, out.length);
    response_header(r, "Cache-Control", "no-store");
    response_header(r, "Vary", "Accept");
}

/* ---- documents ---- */

static void answer_document(const struct service *service, const struct request *request,
                            const struct admission *a, struct arena *arena, struct response *r)
{
    const struct document *d = documents_find(&service->documents, a->route->kind,
                                              a->route->prefix ? a->name : "", a->media);
    if (!d) {
        struct admission none = {.code = PROBLEM_NOT_FOUND,
                                 .detail = a->route->kind == ROUTE_SCHEMA
                                               ? "There is no schema of that name; GET /v1 names "
                                                 "that of each computation."
                                               : NULL};
        respond_refusal(request, &none, arena, r);
        return;
    }
    const char *known = request->if_none_match;
    if (known && (!strcmp(known, "*") || strstr(known, d->etag)))
        *r = (struct response){.status = 304, .body = d->bytes, .length = d->length};
    else
        response_set(r, 200, d->media == MEDIA_JSON ? a->media : d->media, d->bytes, d->length);
    response_header(r, "ETag", d->etag);
    response_header(r, "Cache-Control", STATIC_CACHE);
    if (a->route->offered != 1u << MEDIA_JSON)
        response_header(r, "Vary", "Accept");
}

static void answer_ready(const struct service *service, const struct request *request,
                         struct arena *arena, struct response *r)
{
    static const char ready[] = "ready\n";
    if (atomic_load(&service->draining)) {
        struct admission draining = {.code = PROBLEM_OVERLOADED,
                                     .detail = "The service is shutting down."};
        respond_refusal(request, &draining, arena, r);
        return;
    }
    response_set(r, 200, MEDIA_TEXT, ready, sizeof ready - 1);
    response_header(r, "Cache-Control", "no-store");
}

static void answer_metrics(const struct service *service, struct arena *arena, struct response *r)
{
    struct buf out;
    buf_init(&out, arena, METRICS_BYTES);
    metrics_put(service->metrics, &out);
    if (out.overflow) {
        response_without_memory(r);
        return;
    }
    response_set(r, 200, MEDIA_METRICS, out.data, out.length);
    response_header(r, "Cache-Control", "no-store");
}

void pipeline_answer(const struct service *service, const struct request *request,
                     const struct admission *a, struct arena *arena, struct response *r)
{
    static const char ok[] = "ok\n";
    if (a->code != PROBLEM_NONE) {
        respond_refusal(request, a, arena, r);
        return;
    }
    if (a->method == METHOD_OPTIONS) {
        *r = (struct response){.status = 204};
        response_header(r, "Allow", a->route->allow);
        return;
    }
    switch (a->route->kind) {
    case ROUTE_COMPUTE:
        answer_computation(service, request, a, arena, r);
        return;
    case ROUTE_INDEX:
    case ROUTE_OPENAPI:
    case ROUTE_SCHEMA:
    case ROUTE_PROBLEM:
        answer_document(service, request, a, arena, r);
        return;
    case ROUTE_READY:
        answer_ready(service, request, arena, r);
        return;
    case ROUTE_METRICS:
        answer_metrics(service, arena, r);
        return;
    case ROUTE_HEALTH:
    case ROUTE_SERVER:
    case ROUTE_KIND_MAX_:
        break;
    }
    response_set(r, 200, MEDIA_TEXT, ok, sizeof ok - 1);
    response_header(r, "Cache-Control", "no-store");
}

void handle(const struct service *service, const struct request *request, struct arena *arena,
            struct response *ret_response)
{
    struct admission a = pipeline_admit(service, request);
    pipeline_answer(service, request, &a, arena, ret_response);
}
