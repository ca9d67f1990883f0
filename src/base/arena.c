/* arena.c: blocks that double in size, a pointer that moves up, a list of what to release. */
#include "base/arena.h"

#include <malloc.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Under the address sanitizer what is not handed out is poisoned and a gap is left between objects,
 * so that a step beyond an object is reported although malloc knows only the block. */
#if defined(__SANITIZE_ADDRESS__)
#define ARENA_POISONS 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define ARENA_POISONS 1
#endif
#endif
#ifdef ARENA_POISONS
#include <sanitizer/asan_interface.h>
#define POISON(address, size) ASAN_POISON_MEMORY_REGION(address, size)
#define UNPOISON(address, size) ASAN_UNPOISON_MEMORY_REGION(address, size)
#define GAP_BYTES 16
#define TEXT_ALIGNMENT 16
#else
#define POISON(address, size) ((void)0)
#define UNPOISON(address, size) ((void)0)
#define GAP_BYTES 0
#define TEXT_ALIGNMENT 1
#endif

#define FIRST_BLOCK_BYTES ((size_t)64 << 10) /* an ordinary request fits: no second malloc */
#define BLOCK_BYTES_MAX ((size_t)8 << 20)    /* beyond this doubling would waste the cap */
#define KEPT_BYTES (64 << 20)                /* a truss of 10,000 joints */

struct block {
    struct block *previous;
    size_t size, used;
    max_align_t data[];
};

struct deferred {
    struct deferred *earlier;
    void (*release)(void *);
    void *object;
};

struct arena {
    size_t cap, held, used, most; /* its parts' too */
    struct arena *whole;          /* whose part it is, or NULL */
    struct arena *parts, *next;   /* its parts; the whole's next one */
    struct block *last;
    struct deferred *deferred;
    bool exhausted;
};

void arena_keep_pages(void)
{
#ifdef M_TRIM_THRESHOLD
    mallopt(M_TRIM_THRESHOLD, KEPT_BYTES);
    mallopt(M_MMAP_THRESHOLD, 4 * (int)BLOCK_BYTES_MAX); /* or each block would go back at once */
#endif
}

struct arena *arena_new(size_t cap)
{
    struct arena *a = malloc(sizeof *a);
    if (a != NULL)
        *a = (struct arena){.cap = cap, .held = sizeof *a};
    return a;
}

struct arena *arena_part(struct arena *whole)
{
    struct arena *a = arena_new(whole->cap);
    if (a == NULL) {
        whole->exhausted = true;
        return NULL;
    }
    a->held = 0;
    a->whole = whole;
    a->next = whole->parts;
    whole->parts = a;
    return a;
}

static void hold(struct arena *a, size_t size)
{
    for (; a != NULL; a = a->whole)
        a->held += size;
}

static void let_go(struct arena *a, size_t size)
{
    for (; a != NULL; a = a->whole)
        a->held -= size;
}

static bool add_block(struct arena *a, size_t needed)
{
    size_t held = a->held;
    for (const struct arena *whole = a->whole; whole != NULL; whole = whole->whole)
        held = whole->held;
    size_t room = a->cap > held ? a->cap - held : 0;
    if (room < sizeof(struct block) || room - sizeof(struct block) < needed)
        return false;
    room -= sizeof(struct block);
    size_t size = a->last == NULL ? FIRST_BLOCK_BYTES : 2 * a->last->size;
    if (size > BLOCK_BYTES_MAX)
        size = BLOCK_BYTES_MAX;
    if (size > room)
        size = room;
    if (size < needed)
        size = needed;
    struct block *b = malloc(sizeof *b + size);
    if (b == NULL)
        return false;
    b->previous = a->last;
    b->size = size;
    b->used = 0;
    POISON(b->data, size);
    a->last = b;
    hold(a, sizeof *b + size);
    return true;
}

static void set_exhausted(struct arena *a)
{
    for (; a != NULL; a = a->whole)
        a->exhausted = true;
}

/* `size` bytes at a multiple of `alignment` (a power of two), not cleared. */
static void *take(struct arena *a, size_t size, size_t alignment)
{
    if (size > SIZE_MAX - GAP_BYTES - alignment)
        goto exhausted;
    struct block *b = a->last;
    size_t start = 0;
    if (b != NULL)
        start = (b->used + alignment - 1) & ~(alignment - 1);
    if (b == NULL || start > b->size || b->size - start < size + GAP_BYTES) {
        if (!add_block(a, size + GAP_BYTES))
            goto exhausted;
        b = a->last;
        start = 0;
    }
    char *taken = (char *)b->data + start;
    for (struct arena *each = a; each != NULL; each = each->whole) {
        each->used += start + size + GAP_BYTES - b->used;
        if (each->used > each->most)
            each->most = each->used;
    }
    b->used = start + size + GAP_BYTES;
    UNPOISON(taken, size);
    return taken;

exhausted:
    set_exhausted(a);
    return NULL;
}

void *arena_room(struct arena *a, size_t size) { return take(a, size, _Alignof(max_align_t)); }

void *arena_alloc(struct arena *a, size_t size)
{
    void *p = arena_room(a, size);
    if (p != NULL)
        memset(p, 0, size);
    return p;
}

char *arena_text(struct arena *a, const char *text, size_t length)
{
    if (length == SIZE_MAX) {
        set_exhausted(a);
        return NULL;
    }
    char *copy = take(a, length + 1, TEXT_ALIGNMENT);
    if (copy == NULL)
        return NULL;
    if (length > 0)
        memcpy(copy, text, length);
    copy[length] = '\0';
    return copy;
}

char *arena_printf(struct arena *a, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    char *text = arena_vprintf(a, format, arguments);
    va_end(arguments);
    return text;
}

char *arena_vprintf(struct arena *a, const char *format, va_list arguments)
{
    char first_try[256];
    va_list again;
    va_copy(again, arguments);
    int length = vsnprintf(first_try, sizeof first_try, format, arguments);
    char *text = NULL;
    if (length < 0)
        set_exhausted(a);
    else if ((size_t)length < sizeof first_try)
        text = arena_text(a, first_try, (size_t)length);
    else if ((text = take(a, (size_t)length + 1, TEXT_ALIGNMENT)) != NULL)
        vsnprintf(text, (size_t)length + 1, format, again);
    va_end(again);
    return text;
}

bool arena_defer(struct arena *a, void (*release)(void *), void *object)
{
    struct deferred *d = arena_alloc(a, sizeof *d);
    if (d == NULL) {
        release(object);
        return false;
    }
    *d = (struct deferred){.earlier = a->deferred, .release = release, .object = object};
    a->deferred = d;
    return true;
}

bool arena_exhausted(const struct arena *a) { return a->exhausted; }

size_t arena_used(const struct arena *a) { return a->used; }

size_t arena_most(const struct arena *a) { return a->most; }

static void run_deferred(struct arena *a)
{
    while (a->deferred != NULL) {
        struct deferred *d = a->deferred;
        a->deferred = d->earlier;
        d->release(d->object);
    }
}

static void free_last_block(struct arena *a)
{
    struct block *b = a->last;
    a->last = b->previous;
    let_go(a, sizeof *b + b->size);
    UNPOISON(b->data, b->size);
    free(b);
}

static void free_parts(struct arena *a)
{
    while (a->parts != NULL)
        arena_free(a->parts);
}

void arena_reset(struct arena *a)
{
    run_deferred(a);
    free_parts(a);
    while (a->last != NULL && a->last->previous != NULL)
        free_last_block(a);
    if (a->last != NULL) {
        a->last->used = 0;
        POISON(a->last->data, a->last->size);
    }
    for (struct arena *whole = a->whole; whole != NULL; whole = whole->whole)
        whole->used -= a->used;
    a->used = a->most = 0;
    a->exhausted = false;
}

void arena_free(struct arena *a)
{
    if (a == NULL)
        return;
    run_deferred(a);
    free_parts(a);
    while (a->last != NULL)
        free_last_block(a);
    for (struct arena *whole = a->whole; whole != NULL; whole = whole->whole)
        whole->used -= a->used;
    if (a->whole != NULL) {
        struct arena **link = &a->whole->parts;
        while (*link != a)
            link = &(*link)->next;
        *link = a->next;
    }
    free(a);
}
