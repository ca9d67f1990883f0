/* json_text.h: a JSON value back as text, numbers as typed. */
#ifndef TESTS_JSON_TEXT_H
#define TESTS_JSON_TEXT_H

#include "json/json.h"

static inline void put_json_text(struct buf *b, const struct json *v)
{
    switch (v->type) {
    case JSON_NULL:
        buf_puts(b, "null");
        return;
    case JSON_FALSE:
        buf_puts(b, "false");
        return;
    case JSON_TRUE:
        buf_puts(b, "true");
        return;
    case JSON_NUMBER:
        buf_put(b, v->text, v->length);
        return;
    case JSON_STRING:
        json_put_string(b, v->text, v->length);
        return;
    case JSON_ARRAY:
    case JSON_OBJECT:
    case JSON_TYPE_MAX_:
        break;
    }
    buf_putc(b, v->type == JSON_ARRAY ? '[' : '{');
    for (const struct json *c = v->child; c != NULL; c = c->next) {
        if (c->index > 0)
            buf_putc(b, ',');
        if (c->key != NULL) {
            json_put_string(b, c->key, c->key_length);
            buf_putc(b, ':');
        }
        put_json_text(b, c);
    }
    buf_putc(b, v->type == JSON_ARRAY ? ']' : '}');
}

#endif
