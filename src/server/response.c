#include "server/response.h"

#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "base/limits.h"
#include "json/json.h"

void response_header(struct response *r, const char *name, const char *value)
{
    if (value && r->header_count < RESPONSE_HEADERS) {
        r->header[r->header_count].name = name;
        r->header[r->header_count++].value = value;
    }
}

void response_set(struct response *r, int status, enum media media, const char *body, size_t length)
{
    *r = (struct response){.status = status, .body = body, .length = length};
    r->content_type = media_content_type(media);
}

void response_without_memory(struct response *r)
{
    static const char body[] =
        "{\"type\": \"/problems/overloaded\", \"title\": \"The service is full, out of memory for "
        "this request, or shutting down\", \"status\": 503, \"detail\": \"This request needs more "
        "memory than one may take (the service's setting memory-limit).\"}\n";
    response_set(r, 503, MEDIA_PROBLEM, body, sizeof body - 1);
    r->code = PROBLEM_OVERLOADED;
    response_header(r, "Retry-After", "1");
    response_header(r, "Cache-Control", "no-store");
}

static void put_member(struct buf *b, const char *between, const char *key, const char *text)
{
    buf_puts(b, between);
    json_put_string(b, key, strlen(key));
    buf_puts(b, ": ");
    json_put_string(b, text, strlen(text));
}

static void put_faults(struct buf *b, const struct problem *p)
{
    buf_puts(b, ", \"errors\": [");
    for (size_t i = 0; i < p->fault_count; i++) {
        const struct fault *f = &p->faults[i];
        put_member(b, i ? ",\n {" : "\n {", "pointer", f->pointer ? f->pointer : "");
        put_member(b, ", ", "code", fault_row(f->code)->name);
        put_member(b, ", ", "detail", f->detail ? f->detail : fault_row(f->code)->mend);
        buf_puts(b, "}");
    }
    buf_puts(b, "]");
}

/* What an error of ours is about is for the log. */
void response_problem(struct response *r, const struct problem *p, const char *id,
                      struct arena *arena)
{
    const struct problem_row *row = problem_row(p->code);
    bool is_ours = p->code == PROBLEM_INTERNAL;
    const char *detail = p->detail && !is_ours ? p->detail : row->mend;
    char type[96], status[16];
    snprintf(type, sizeof type, "/problems/%s", row->name);
    snprintf(status, sizeof status, "%d", row->status);
    if (p->faults_found > p->fault_count)
        detail = arena_printf(arena, "%s (The first %zu of %zu faults are listed.)", detail,
                              p->fault_count, p->faults_found);
    struct buf b;
    buf_init(&b, arena, LIMIT_ANSWER_BYTES); /* a pointer is as long as the names in it */
    put_member(&b, "{", "type", type);
    put_member(&b, ", ", "title", row->title);
    buf_puts(&b, ", \"status\": ");
    buf_puts(&b, status);
    put_member(&b, ", ", "detail", detail ? detail : row->mend);
    if (id)
        put_member(&b, ", ", "instance", id);
    if (p->fault_count)
        put_faults(&b, p);
    buf_puts(&b, "}\n");
    if (b.overflow) {
        response_without_memory(r);
        return;
    }
    response_set(r, row->status, MEDIA_PROBLEM, b.data, b.length);
    r->code = p->code;
    response_header(r, "Cache-Control", "no-store");
    if (is_ours)
        r->log_detail = p->detail;
}
