/* write.c: strings of an answer. Numbers are written by base/number, the rest is punctuation. */
#include "json/json.h"

void json_put_string(struct buf *b, const char *text, size_t length)
{
    static const char hex[] = "0123456789abcdef";
    size_t done = 0;
    buf_putc(b, '"');
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];
        if (c >= 0x20 && c != '"' && c != '\\')
            continue;
        buf_put(b, text + done, i - done);
        done = i + 1;
        switch (c) {
        case '"':
            buf_puts(b, "\\\"");
            break;
        case '\\':
            buf_puts(b, "\\\\");
            break;
        case '\n':
            buf_puts(b, "\\n");
            break;
        case '\r':
            buf_puts(b, "\\r");
            break;
        case '\t':
            buf_puts(b, "\\t");
            break;
        default:
            buf_put(b, (const char[]){'\\', 'u', '0', '0', hex[c >> 4], hex[c & 15]}, 6);
        }
    }
    buf_put(b, text + done, length - done);
    buf_putc(b, '"');
}
