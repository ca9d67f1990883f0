#include "server/worker.h"

#include <time.h>
#include <unistd.h>

uint64_t worker_clock(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (uint64_t)t.tv_sec * SECOND + (uint64_t)t.tv_nsec;
}

void worker_wake(struct worker *w)
{
    uint64_t once = 1;
    if (write(w->wake, &once, sizeof once) < 0)
        return; /* it comes round by itself within a sweep */
}

struct arena *worker_take_arena(struct worker *w)
{
    if (w->spares)
        return w->spare[--w->spares];
    return arena_new((size_t)w->http->settings->memory_mib << 20);
}

void worker_give_arena(struct worker *w, struct arena *arena)
{
    if (!arena)
        return;
    arena_reset(arena);
    if (w->spares < ARENAS_SPARE)
        w->spare[w->spares++] = arena;
    else
        arena_free(arena);
}
