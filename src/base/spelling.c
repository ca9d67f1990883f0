#include "base/spelling.h"

#define COMPARED_MAX 64 /* bytes: a name's, and more than any word of ours */
#define FAR 4           /* half letters */

static char lower(char c) { return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c; }

static size_t least(size_t a, size_t b) { return a < b ? a : b; }

static size_t alignment(const char *a, size_t a_length, const char *b, size_t b_length)
{
    size_t row[3][COMPARED_MAX + 1];
    size_t *before = row[0], *above = row[1], *now = row[2];
    for (size_t j = 0; j <= b_length; j++)
        above[j] = 2 * j;
    for (size_t i = 1; i <= a_length; i++) {
        now[0] = 2 * i;
        for (size_t j = 1; j <= b_length; j++) {
            char x = lower(a[i - 1]), y = lower(b[j - 1]);
            now[j] = least(above[j - 1] + (x == y ? 0 : 2), least(above[j], now[j - 1]) + 2);
            if (i > 1 && j > 1 && x == lower(b[j - 2]) && y == lower(a[i - 2]))
                now[j] = least(now[j], before[j - 2] + 1);
        }
        size_t *oldest = before;
        before = above;
        above = now;
        now = oldest;
    }
    return above[b_length];
}

size_t spelling_distance(const char *typed, size_t length, const char *word, size_t word_length)
{
    size_t longer = length > word_length ? length : word_length;
    if (longer > COMPARED_MAX)
        return SPELLING_OTHER;
    size_t far = alignment(typed, length, word, word_length);
    return far > FAR || far > longer ? SPELLING_OTHER : far;
}
