#include "server/answer.h"

#include <stddef.h>

#include "server/cors.h"

/* A computation is the loop's own affair where its body is short and the loop has not computed for
 * long in this turn. Every other goes to the pool, so that whoever else is on the loop, probes
 * among them, is answered meanwhile. */
#define SHORT_BODY_BYTES ((size_t)2 << 10) /* a large fraction of a second at the very most */
#define TURN_NANOSECONDS (SECOND / 50)
#define ARENA_KEPT_BYTES ((size_t)1 << 20) /* arena that may wait for a slow reader */

enum MHD_Result answer_without_memory(struct connection *c, struct worker *w,
                                      struct MHD_Connection *mhd)
{
    if (c) {
        c->response = (struct response){.status = 503, .code = PROBLEM_OVERLOADED};
        c->is_answered = true;
        connection_enter(c, PHASE_ANSWER);
    }
    return MHD_queue_response(mhd, MHD_HTTP_SERVICE_UNAVAILABLE, w->no_memory);
}

static bool add(struct MHD_Response *out, const char *name, const char *value)
{
    return MHD_add_response_header(out, name, value) == MHD_YES;
}

/* The library's form of it; NULL without memory. */
static struct MHD_Response *make(const struct connection *c, enum MHD_ResponseMemoryMode mode)
{
    const struct response *r = &c->response;
    struct service *service = c->worker->http->service;
    struct MHD_Response *out =
        MHD_create_response_from_buffer(r->length, (void *)(uintptr_t)r->body, mode);
    if (!out)
        return NULL;
    bool is_good = true;
    if (r->content_type)
        is_good = add(out, "Content-Type", r->content_type) &&
                  add(out, "X-Content-Type-Options", "nosniff");
    is_good = is_good && add(out, "X-Request-Id", c->id);
    for (unsigned i = 0; is_good && i < r->header_count; i++)
        is_good = add(out, r->header[i].name, r->header[i].value);
    if (atomic_load_explicit(&service->draining, memory_order_relaxed) || c->is_refused ||
        c->is_crowded)
        is_good = is_good && add(out, "Connection", "close");
    if (is_good)
        return out;
    MHD_destroy_response(out);
    return NULL;
}

static enum MHD_Result queue(struct connection *c, struct MHD_Connection *mhd)
{
    struct response *r = &c->response;
    struct worker *w = c->worker;
    /* A reader who takes his time may keep his answer, but not all that it took to make it. */
    bool is_heavy = arena_used(c->arena) > ARENA_KEPT_BYTES && !r->log_detail;
    cors_grant(w->http->settings->cors, &c->guard, &c->admission, r);
    struct MHD_Response *out =
        make(c, is_heavy && r->length ? MHD_RESPMEM_MUST_COPY : MHD_RESPMEM_PERSISTENT);
    enum MHD_Result result;
    if (out) {
        c->is_answered = true;
        connection_enter(c, PHASE_ANSWER);
        result = MHD_queue_response(mhd, (unsigned)r->status, out);
        MHD_destroy_response(out);
    } else {
        result = answer_without_memory(c, w, mhd);
    }
    if (is_heavy) {
        worker_give_arena(w, c->arena);
        c->arena = NULL;
        connection_drop_body(c);
    }
    return result;
}

enum MHD_Result answer_at_once(struct connection *c, struct MHD_Connection *mhd)
{
    struct worker *w = c->worker;
    c->arena = worker_take_arena(w);
    if (!c->arena)
        return answer_without_memory(c, w, mhd);
    pipeline_answer(w->http->service, &c->request, &c->admission, c->arena, &c->response);
    return queue(c, mhd);
}

/* ---- computations that may take long ---- */

static bool may_take_long(const struct connection *c)
{
    const struct admission *a = &c->admission;
    return a->code == PROBLEM_NONE && a->route->kind == ROUTE_COMPUTE && a->method == METHOD_POST &&
           (c->request.body_length > SHORT_BODY_BYTES ||
            c->worker->now - c->worker->turned > TURN_NANOSECONDS);
}

/* On a thread of the pool. The connection is the loop's again once it is resumed. */
static void work(struct job *job)
{
    struct connection *c =
        (struct connection *)(void *)((char *)job - offsetof(struct connection, job));
    struct worker *w = c->worker;
    struct http *http = w->http;
    uint64_t waited = worker_clock() - c->since;
    if (atomic_load(&w->is_cutting))
        connection_refuse(c, PROBLEM_OVERLOADED, "The service is shutting down.");
    else if (waited > (uint64_t)http->settings->request_seconds * SECOND ||
             (waited > SECOND && connection_has_left(c))) /* most likely nobody waits for it */
        connection_refuse(c, PROBLEM_OVERLOADED,
                          "Too many long computations came before this one.");
    pipeline_answer(http->service, &c->request, &c->admission, c->arena, &c->response);
    MHD_resume_connection(c->mhd);
    worker_wake(w);
}

static enum MHD_Result hand_over(struct connection *c, struct MHD_Connection *mhd)
{
    c->arena = worker_take_arena(c->worker);
    if (!c->arena)
        return answer_without_memory(c, c->worker, mhd);
    c->is_put_off = false;
    c->mhd = mhd;
    c->job.run = work;
    MHD_suspend_connection(mhd);
    pool_put(c->worker->http->pool, &c->job);
    return MHD_YES;
}

enum MHD_Result answer_in_turn(struct connection *c, struct MHD_Connection *mhd)
{
    if (c->is_put_off)
        return hand_over(c, mhd);
    if (c->phase == PHASE_WORK) /* it comes back from the pool */
        return queue(c, mhd);
    if (!may_take_long(c))
        return answer_at_once(c, mhd);
    /* What the library waited for when it was suspended it does first when it is resumed: it would
     * read, and drop a client that has closed its own side. So it is suspended only when it asks
     * once more, and waits for nothing but the answer. */
    connection_enter(c, PHASE_WORK);
    c->is_put_off = true;
    return MHD_YES;
}
