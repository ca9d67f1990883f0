/* arena.h: one region of memory per request; everything in the core lives in it and nothing there
 * is freed singly. */
#ifndef BASE_ARENA_H
#define BASE_ARENA_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

struct arena;

/* Once, before there are threads: of what arenas give back, the process keeps up to 64 MB a thread,
 * so that the kernel needn't clear those pages again for the next request, which may take longer
 * than the request. */
void arena_keep_pages(void);

/* A new arena that will hold at most `cap` bytes (its own bookkeeping included).
 * Returns NULL when there is no memory. Owned by the caller, ended by arena_free. */
struct arena *arena_new(size_t cap);

/* An arena whose memory counts as the whole's, and that may be freed before it: for what is worked
 * with and not kept. NULL as for arena_alloc. Ended by arena_free, or with the whole. */
struct arena *arena_part(struct arena *whole);

/* `size` zeroed bytes aligned for any object, or NULL when the cap or the machine's memory is
 * reached; from then on arena_exhausted is true, so a pipeline may ask once at its end. Owned by
 * the arena. */
void *arena_alloc(struct arena *a, size_t size);

/* The same, not cleared: for lists and texts, whose entries are written before they are read. */
void *arena_room(struct arena *a, size_t size);

/* A copy of `length` bytes of `text`, ended by a NUL; NULL as for arena_alloc. */
char *arena_text(struct arena *a, const char *text, size_t length);

/* printf into the arena; NULL as for arena_alloc. For prose and pointers, never for a computed
 * number. */
char *arena_printf(struct arena *a, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The same with a va_list. */
char *arena_vprintf(struct arena *a, const char *format, va_list arguments)
    __attribute__((format(printf, 2, 0)));

/* Have `release(object)` called when the arena ends or is reset, last deferred first: for objects
 * of other libraries. Where it returns false (no memory) `release` has been called already. */
bool arena_defer(struct arena *a, void (*release)(void *), void *object);

/* True once any request for memory has failed. */
bool arena_exhausted(const struct arena *a);

/* Bytes handed out so far and not given back with a part; the most that it ever was. */
size_t arena_used(const struct arena *a);
size_t arena_most(const struct arena *a);

/* Empty the arena for another request: runs what was deferred, keeps the first block. */
void arena_reset(struct arena *a);

/* Run what was deferred and give all memory back. NULL is allowed. */
void arena_free(struct arena *a);

#endif
