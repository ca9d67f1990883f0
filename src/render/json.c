/* json.c: the answer as JSON, written straight into the buffer. */
#include <string.h>

#include "render/walk.h"

/* ---- strings: written as they are, then escaped in place, since hardly any needs it ---- */

static size_t bytes_escaped(unsigned char c)
{
    return c == '"' || c == '\\' ? 2 : c < 0x20 ? 6 : 1;
}

#define BLOCK sizeof(uint64_t)

/* Does any of a block's bytes need escaping? (Also says so of a few that do not.) */
static bool may_need_escape(const char *bytes)
{
    const uint64_t ones = 0x0101010101010101u, tops = 0x8080808080808080u;
    uint64_t x;
    memcpy(&x, bytes, sizeof x);
    uint64_t quote = x ^ (ones * '"'), slash = x ^ (ones * '\\');
    uint64_t low = (x - ones * 0x20) & ~x;
    return (((quote - ones) & ~quote) | ((slash - ones) & ~slash) | low) & tops;
}

/* Widen what was written from `start` on, backwards, so that nothing is copied twice. */
static void escape_from(struct buf *out, size_t start)
{
    static const char hex[] = "0123456789abcdef";
    size_t more = 0;
    for (size_t i = start; i < out->length;) {
        if (i + BLOCK <= out->length && !may_need_escape(out->data + i))
            i += BLOCK;
        else
            more += bytes_escaped((unsigned char)out->data[i++]) - 1;
    }
    size_t from = out->length;
    for (size_t i = 0; i < more; i++)
        buf_putc(out, ' ');
    for (size_t to = out->length; to > from && !out->overflow;) {
        if (from >= start + BLOCK && !may_need_escape(out->data + from - BLOCK)) {
            char block[BLOCK];
            memcpy(block, out->data + (from -= BLOCK), BLOCK);
            memcpy(out->data + (to -= BLOCK), block, BLOCK);
            continue;
        }
        unsigned char c = (unsigned char)out->data[--from];
        to -= bytes_escaped(c);
        if (c < 0x20)
            memcpy(out->data + to, (const char[]){'\\', 'u', '0', '0', hex[c >> 4], hex[c & 15]},
                   6);
        else if (bytes_escaped(c) == 2)
            memcpy(out->data + to, (const char[]){'\\', (char)c}, 2);
        else
            out->data[to] = (char)c;
    }
}

static void put_string(struct walk *k, const char *text)
{
    put(k, "\"");
    size_t start = k->out->length;
    put(k, text);
    escape_from(k->out, start);
    put(k, "\"");
}

/* "key": — with a comma before it unless it is the first of its object. */
static void put_key(struct walk *k, const char *key)
{
    const struct buf *out = k->out;
    char last = out->length > 0 ? out->data[out->length - 1] : '{';
    put(k, last == '{' ? "\"" : ",\"");
    put(k, key);
    put(k, "\":");
}

static void put_string_of_phrase(struct walk *k, const struct phrase *phrase)
{
    put(k, "\"");
    size_t start = k->out->length;
    put_phrase(k, phrase);
    escape_from(k->out, start);
    put(k, "\"");
}

/* ---- the answer ---- */

static void put_number_value(struct walk *k, q x) { number_put_json(k->out, q_value(k->w, x)); }

static void put_json_value(struct walk *k, const struct value *v)
{
    switch (v->kind) {
    case VALUE_NULL:
        put(k, "null");
        return;
    case VALUE_NUMBER:
        put_number_value(k, v->scalar);
        return;
    case VALUE_VECTOR:
        for (int axis = 0, written = 0; axis < 3; axis++) {
            q x = qv_component(k->w, v->vector, axis);
            if (q_is_none(x))
                continue;
            put(k, written++ > 0 ? "," : "[");
            put_number_value(k, x);
        }
        put(k, "]");
        return;
    case VALUE_TEXT:
        put_string(k, v->text);
        return;
    case VALUE_PHRASE:
        put_string_of_phrase(k, v->phrase);
        return;
    case VALUE_COUNT: {
        char digits[12];
        put_bytes(k, digits, integer_text(v->count, digits));
        return;
    }
    case VALUE_BOOL:
        put(k, v->truth ? "true" : "false");
        return;
    case VALUE_OBJECT:
        put(k, "{");
        for (const struct value *c = v->child; c != NULL; c = c->next) {
            put_key(k, c->key);
            put_json_value(k, c);
        }
        put(k, "}");
        return;
    case VALUE_LIST:
        put(k, "[");
        for (const struct value *c = v->child; c != NULL; c = c->next) {
            if (c != v->child)
                put(k, ",");
            put_json_value(k, c);
        }
        put(k, "]");
        return;
    case VALUE_KIND_MAX_:
        return;
    }
}

static void put_units(struct walk *k, const struct units *units)
{
    put(k, "{\"force\":\"");
    put(k, unit_force_name(units->force));
    put(k, "\",\"length\":\"");
    put(k, unit_length_name(units->length));
    put(k, "\",\"angle\":\"");
    put(k, unit_angle_name(units->angle));
    put(k, "\"}");
}

static void put_notes(struct walk *k)
{
    const struct work *w = k->w;
    put(k, "[");
    for (uint32_t i = 0; i < w->note_count; i++) {
        put(k, i > 0 ? ",{" : "{");
        put_key(k, "code");
        put_string(k, w->note[i].code);
        put_key(k, "text");
        put_string_of_phrase(k, &w->note[i].text);
        put(k, "}");
    }
    put(k, "]");
}

/* ---- the working ---- */

static void put_line_in_formats(struct walk *k, const struct step *step, uint32_t i)
{
    bool is_first = true;
    put(k, "{");
    for (int format = 0; format < FORMAT_MAX_; format++) {
        if (!k->options->formats[format])
            continue;
        put(k, is_first ? "\"" : ",\"");
        put(k, format_name((enum format)format));
        put(k, "\":\"");
        k->writer = writer_of((enum format)format);
        size_t start = k->out->length;
        put_line(k, step, i);
        escape_from(k->out, start);
        put(k, "\"");
        is_first = false;
    }
    put(k, "}");
}

static void put_section(struct walk *k, const struct section *section)
{
    k->writer = &text_writer;
    put_key(k, "title");
    put_string_of_phrase(k, &section->title);
    if (section->why.template != NULL) {
        put_key(k, "why");
        put_string_of_phrase(k, &section->why);
    }
    put_key(k, "lines");
    put(k, "[");
    bool is_first = true;
    for (uint32_t s = section->first; s < section->first + section->count; s++) {
        const struct step *step = &k->w->step[s];
        uint32_t count = line_count(k, step);
        for (uint32_t i = 0; i < count; i++) {
            if (!is_first)
                put(k, ",");
            put_line_in_formats(k, step, i);
            is_first = false;
        }
    }
    put(k, "]");
}

static void put_working(struct walk *k)
{
    put(k, "[");
    bool is_first = true;
    for (uint32_t i = 0; i < k->w->section_count; i++) {
        const struct section *section = &k->w->section[i];
        if (section->count == 0)
            continue;
        put(k, is_first ? "{" : ",{");
        put_section(k, section);
        put(k, "}");
        is_first = false;
    }
    put(k, "]");
}

/* ---- the key ---- */

/* As a student would type it, so that any JSON tool reads it as a number. */
static void put_rounded(struct walk *k, q x)
{
    struct number_text t =
        round_for_display(k->options, &k->w->units, q_node(k->w, x)->dimension, q_value(k->w, x));
    put(k, t.negative ? "\"-" : "\"");
    put(k, t.digits);
    if (t.exponent10 != 0) {
        char digits[12];
        put(k, "e");
        put_bytes(k, digits, integer_text(t.exponent10, digits));
    }
    put(k, "\"");
}

static void put_key_list(struct walk *k)
{
    uint32_t count;
    const struct key_entry *entry = work_key(k->w, &count);
    struct buf *out = k->out;
    k->writer = &text_writer;
    put(k, "[");
    for (uint32_t i = 0; i < count; i++) {
        const struct node *n = q_node(k->w, entry[i].number);
        put(k, i > 0 ? ",{" : "{");
        put_key(k, "of");
        put_string(k, entry[i].of);
        put_key(k, "symbol");
        put(k, "\"");
        if (n->symbol.base != NULL)
            k->writer->symbol(k, &n->symbol, false);
        put(k, "\",\"value\":");
        put_number_value(k, entry[i].number);
        put(k, ",\"unit\":\"");
        put_unit_name(k, n->dimension, &k->w->units);
        put(k, "\",\"rounded\":");
        put_rounded(k, entry[i].number);
        put(k, ",\"allowance\":");
        number_put_json(out, entry[i].allowance);
        put(k, "}");
    }
    put(k, "]");
}

void render_json(struct work *w, const struct render_options *options, struct buf *out)
{
    /* What the answer and the notes say does not depend on how the working is asked for. */
    const struct render_options defaults = render_defaults();
    struct walk k;
    walk_begin(&k, w, &text_writer, &defaults, out);
    put(&k, "{");
    put_key(&k, "kind");
    put_string(&k, w->kind != NULL ? w->kind : "");
    put_key(&k, "units");
    put_units(&k, &w->units);
    for (const struct value *c = w->is_class ? w->answer->child : NULL; c != NULL; c = c->next) {
        put_key(&k, c->key);
        put_json_value(&k, c);
    }
    if (!w->is_class) {
        put_key(&k, "answer");
        if (w->answer != NULL)
            put_json_value(&k, w->answer);
        else
            put(&k, "null");
    }
    put_key(&k, "notes");
    put_notes(&k);
    if (options->working || options->key)
        walk_begin(&k, w, &text_writer, options, out);
    if (options->working) {
        put_key(&k, "working");
        put_working(&k);
    }
    if (options->key) {
        put_key(&k, "key");
        put_key_list(&k);
    }
    put(&k, "}");
}
