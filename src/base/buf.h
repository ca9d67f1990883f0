/* buf.h: text that grows in an arena up to a compulsory maximum; overflow is sticky and asked for
 * once at the end. */
#ifndef BASE_BUF_H
#define BASE_BUF_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"

struct buf {
    struct arena *arena;
    char *data; /* not ended by a NUL, see buf_text */
    size_t length, capacity, maximum;
    bool overflow; /* the maximum, or the arena's cap, was reached: the text is cut */
};

/* An empty text of at most `maximum` bytes that grows in `arena`. */
void buf_init(struct buf *b, struct arena *arena, size_t maximum);

void buf_put(struct buf *b, const char *bytes, size_t count);
void buf_puts(struct buf *b, const char *text);
void buf_putc(struct buf *b, char byte);

/* The text ended by a NUL (owned by the arena), or NULL after an overflow. */
const char *buf_text(struct buf *b);

#endif
