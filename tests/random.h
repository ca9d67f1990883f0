/* random.h: random numbers for tests: a printed seed, and longer runs by TEST_ROUNDS. */
#ifndef TESTS_RANDOM_H
#define TESTS_RANDOM_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

static uint64_t random_state;

/* Seed from TEST_SEED, else `seed`; printed, so that a failure can be run again. */
static inline void random_start(const char *what, uint64_t seed)
{
    const char *text = getenv("TEST_SEED");
    random_state = text != NULL ? strtoull(text, NULL, 10) : seed;
    printf("%s: TEST_SEED=%llu\n", what, (unsigned long long)random_state);
}

/* `usual` rounds, times TEST_ROUNDS where that is set. */
static inline int random_rounds(int usual)
{
    const char *text = getenv("TEST_ROUNDS");
    return text != NULL ? usual * atoi(text) : usual;
}

/* SplitMix64. */
static inline uint64_t random_bits(void)
{
    uint64_t z = random_state += 0x9e3779b97f4a7c15;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9;
    z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
    return z ^ (z >> 31);
}

/* low <= n <= high */
static inline int random_int(int low, int high)
{
    return low + (int)(random_bits() % (uint64_t)(high - low + 1));
}

/* 0 <= x < 1 */
static inline double random_unit(void) { return (double)(random_bits() >> 11) * 0x1p-53; }

#endif
