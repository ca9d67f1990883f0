/* spelling.h: which of the words that are known was meant by one that is not? */
#ifndef BASE_SPELLING_H
#define BASE_SPELLING_H

#include <stddef.h>

#define SPELLING_OTHER ((size_t)-1)

/* What it takes to make `word` of `typed` (optimal string alignment), in half letters: two for a
 * letter put in, left out or exchanged, one for two neighbours swapped (BC for CB), nothing for a
 * capital. Lengths in bytes. SPELLING_OTHER where it is as good as another word: more than two
 * letters off, or off by half of the longer word (Q is no slip for A). */
size_t spelling_distance(const char *typed, size_t length, const char *word, size_t word_length);

#endif
