/* buf.c: text that doubles its room in the arena. */
#include "base/buf.h"

#include <string.h>

#define FIRST_CAPACITY_BYTES 2048 /* most answers need no more */

void buf_init(struct buf *b, struct arena *arena, size_t maximum)
{
    *b = (struct buf){.arena = arena, .maximum = maximum};
}

/* Room for `count` more bytes and the NUL of buf_text. */
static bool reserve(struct buf *b, size_t count)
{
    if (b->overflow)
        return false;
    if (count > b->maximum || b->length > b->maximum - count) {
        b->overflow = true;
        return false;
    }
    if (b->length + count < b->capacity)
        return true;
    size_t capacity = b->capacity > 0 ? b->capacity : FIRST_CAPACITY_BYTES;
    while (capacity <= b->length + count)
        capacity *= 2;
    if (capacity > b->maximum)
        capacity = b->maximum + 1;
    char *data = arena_room(b->arena, capacity);
    if (data == NULL) {
        b->overflow = true;
        return false;
    }
    if (b->length > 0)
        memcpy(data, b->data, b->length);
    b->data = data;
    b->capacity = capacity;
    return true;
}

void buf_put(struct buf *b, const char *bytes, size_t count)
{
    if (count > 0 && reserve(b, count)) {
        memcpy(b->data + b->length, bytes, count);
        b->length += count;
    }
}

void buf_puts(struct buf *b, const char *text) { buf_put(b, text, strlen(text)); }

void buf_putc(struct buf *b, char byte)
{
    if (reserve(b, 1))
        b->data[b->length++] = byte;
}

const char *buf_text(struct buf *b)
{
    if (!reserve(b, 0))
        return NULL;
    b->data[b->length] = '\0';
    return b->data;
}
