#include "server/documents.h"

#include <inttypes.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "base/problem.h"
#include "schema/schema.h"
#include "server/version.h"
#include "json/json.h"

#define OPENAPI "openapi.json"
#define PAGE_BYTES 65536

static void add(struct documents *d, enum route_kind kind, const char *name, enum media media,
                const char *bytes, size_t length)
{
    /* FNV-1a: the documents are our own, so that a collision is no attack but a chance of 2^-64 */
    uint64_t hash = 0xcbf29ce484222325u;
    for (size_t i = 0; i < length; i++)
        hash = (hash ^ (unsigned char)bytes[i]) * 0x100000001b3u;
    struct document *new = &d->document[d->count++];
    *new = (struct document){kind, name, media, bytes, length, ""};
    snprintf(new->etag, sizeof new->etag, "\"%016" PRIx64 "\"", hash);
}

static void put_string(struct buf *b, const char *text) { json_put_string(b, text, strlen(text)); }

static void put_member(struct buf *b, const char *key, const char *text)
{
    put_string(b, key);
    buf_puts(b, ": ");
    put_string(b, text);
}

static void put_route(struct buf *b, const struct route *r)
{
    buf_puts(b, "{");
    put_member(b, "path", r->path);
    buf_puts(b, ", ");
    put_member(b, "allow", r->allow);
    buf_puts(b, ", ");
    put_member(b, "summary", r->summary);
    if (r->endpoint) {
        buf_puts(b, ", ");
        char schema[128];
        snprintf(schema, sizeof schema, "/v1/schemas/%s", r->endpoint->schema);
        put_member(b, "schema", schema);
    }
    buf_puts(b, "}");
}

static void put_index(struct buf *b, const struct route_table *table)
{
    buf_puts(b, "{");
    put_member(b, "service", "tiptail");
    buf_puts(b, ", ");
    put_member(b, "version", TIPTAIL_VERSION);
    for (int endpoints_first = 1; endpoints_first >= 0; endpoints_first--) {
        buf_puts(b, endpoints_first ? ",\n \"computations\": [" : ",\n \"documents\": [");
        const char *between = "\n  ";
        for (unsigned i = 0; i < table->count; i++) {
            const struct route *r = &table->routes[i];
            if ((r->kind == ROUTE_COMPUTE) != endpoints_first || r->kind == ROUTE_SERVER)
                continue;
            buf_puts(b, between);
            put_route(b, r);
            between = ",\n  ";
        }
        buf_puts(b, "]");
    }
    buf_puts(b, "}\n");
}

static void put_problem_json(struct buf *b, enum problem_code code)
{
    const struct problem_row *row = problem_row(code);
    char type[128], status[16];
    snprintf(type, sizeof type, "/problems/%s", row->name);
    snprintf(status, sizeof status, "%d", row->status);
    buf_puts(b, "{");
    put_member(b, "type", type);
    buf_puts(b, ",\n ");
    put_member(b, "title", row->title);
    buf_puts(b, ",\n \"status\": ");
    buf_puts(b, status);
    buf_puts(b, ",\n ");
    put_member(b, "mend", row->mend);
    if (code == PROBLEM_INVALID_REQUEST) {
        buf_puts(b, ",\n \"codes\": {");
        for (int f = 0; f < FAULT_MAX_; f++) {
            const struct fault_row *fault = fault_row((enum fault_code)f);
            buf_puts(b, f ? ",\n  " : "\n  ");
            put_member(b, fault->name, fault->mend);
        }
        buf_puts(b, "}");
    }
    buf_puts(b, "}\n");
}

static void put_problem_text(struct buf *b, enum problem_code code)
{
    const struct problem_row *row = problem_row(code);
    char status[16];
    snprintf(status, sizeof status, "%d ", row->status);
    buf_puts(b, status);
    buf_puts(b, row->title);
    buf_puts(b, "\n\n");
    buf_puts(b, row->mend);
    buf_puts(b, "\n");
    if (code != PROBLEM_INVALID_REQUEST)
        return;
    buf_puts(b, "\nThe codes of its errors:\n");
    for (int f = 0; f < FAULT_MAX_; f++) {
        const struct fault_row *fault = fault_row((enum fault_code)f);
        buf_puts(b, "\n");
        buf_puts(b, fault->name);
        buf_puts(b, "\n    ");
        buf_puts(b, fault->mend);
        buf_puts(b, "\n");
    }
}

static void add_page(struct documents *d, struct arena *arena, const struct route_table *table,
                     enum problem_code code, enum media media)
{
    struct buf b;
    buf_init(&b, arena, PAGE_BYTES);
    if (code == PROBLEM_NONE)
        put_index(&b, table);
    else if (media == MEDIA_JSON)
        put_problem_json(&b, code);
    else
        put_problem_text(&b, code);
    const char *text = buf_text(&b);
    if (text && code == PROBLEM_NONE)
        add(d, ROUTE_INDEX, "", media, text, b.length);
    else if (text)
        add(d, ROUTE_PROBLEM, problem_row(code)->name, media, text, b.length);
}

bool documents_init(struct documents *d, const struct route_table *table, struct arena *arena)
{
    size_t count = 1 + 2 * (size_t)PROBLEM_MAX_, pages;
    for (const struct schema_document *s = schema_documents; s->name; s++)
        count++;
    d->count = 0;
    d->document = arena_alloc(arena, count * sizeof *d->document);
    if (!d->document)
        return false;
    add_page(d, arena, table, PROBLEM_NONE, MEDIA_JSON);
    for (int code = PROBLEM_NONE + 1; code < PROBLEM_MAX_; code++) {
        add_page(d, arena, table, (enum problem_code)code, MEDIA_JSON);
        add_page(d, arena, table, (enum problem_code)code, MEDIA_TEXT);
    }
    pages = d->count;
    for (const struct schema_document *s = schema_documents; s->name; s++) {
        bool is_contract = !strcmp(s->name, OPENAPI);
        add(d, is_contract ? ROUTE_OPENAPI : ROUTE_SCHEMA, is_contract ? "" : s->name, MEDIA_JSON,
            s->bytes, s->length);
    }
    return pages == 1 + 2 * (size_t)(PROBLEM_MAX_ - 1);
}

const struct document *documents_find(const struct documents *d, enum route_kind kind,
                                      const char *name, enum media media)
{
    const struct document *found = NULL;
    for (size_t i = 0; i < d->count; i++) {
        const struct document *one = &d->document[i];
        if (one->kind != kind || strcmp(one->name, name))
            continue;
        if (one->media == media)
            return one;
        if (!found)
            found = one;
    }
    return found;
}
