/* rate.c: the generic cell rate algorithm (ITU-T I.371): each client has one number, the time at
 * which it will have used up what it asked for. Clients are spread over a fixed table by a keyed
 * hash; two that fall together share, which the size of the table makes rare. */
#include "server/rate.h"

#include <stdatomic.h>
#include <stdlib.h>

#define SLOTS 65536

struct rate {
    uint64_t interval, burst, seed;
    _Atomic uint64_t due[SLOTS];
};

struct rate *rate_new(unsigned per_second, uint64_t seed)
{
    struct rate *r = calloc(1, sizeof *r);
    if (!r)
        return NULL;
    r->interval = 1000000000u / per_second;
    r->burst = r->interval * 2 * per_second;
    r->seed = seed;
    return r;
}

void rate_free(struct rate *r) { free(r); }

bool rate_admits(struct rate *r, uint64_t client, uint64_t now, unsigned *ret_wait_seconds)
{
    uint64_t x = client ^ r->seed;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
    _Atomic uint64_t *due = &r->due[(x ^ (x >> 31)) % SLOTS];
    uint64_t was = atomic_load_explicit(due, memory_order_relaxed), next;
    do {
        next = (was > now ? was : now) + r->interval;
        if (next - now > r->burst) {
            *ret_wait_seconds = (unsigned)((next - now - r->burst + 999999999u) / 1000000000u);
            return false;
        }
    } while (!atomic_compare_exchange_weak_explicit(due, &was, next, memory_order_relaxed,
                                                    memory_order_relaxed));
    return true;
}
