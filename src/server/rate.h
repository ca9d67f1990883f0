/* rate.h: how many computations a second one client may ask for. Shared by all threads. */
#ifndef SERVER_RATE_H
#define SERVER_RATE_H

#include <stdbool.h>
#include <stdint.h>

struct rate;

/* `per_second` requests for each client, twice as many at once. NULL: no memory. */
struct rate *rate_new(unsigned per_second, uint64_t seed);
void rate_free(struct rate *r);

/* May the client (any number that stands for it) ask now (nanoseconds of a steady clock)? Where
 * not, *ret_wait_seconds is when it may again. */
bool rate_admits(struct rate *r, uint64_t client, uint64_t now, unsigned *ret_wait_seconds);

#endif
