/* text.h: a text put together piece by piece in a room that is large enough. */
#ifndef TESTS_TEXT_H
#define TESTS_TEXT_H

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

struct text {
    char *at, *end;
};

/* printf behind what is there; ends the program where there is no room. */
__attribute__((unused, format(printf, 2, 3))) static void put(struct text *t, const char *format,
                                                              ...)
{
    va_list arguments;
    va_start(arguments, format);
    int n = vsnprintf(t->at, (size_t)(t->end - t->at), format, arguments);
    va_end(arguments);
    if (n < 0 || n >= t->end - t->at)
        abort();
    t->at += n;
}

#endif
