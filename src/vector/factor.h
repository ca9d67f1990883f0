/* factor.h: prime numbers below 2^63. */
#ifndef VECTOR_FACTOR_H
#define VECTOR_FACTOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FACTOR_COUNT_MAX 62 /* prime factors of a number below 2^63 */

/* Is n (below 2^63) prime? Decided, not guessed. */
bool factor_is_prime(uint64_t n);

/* The prime factors of n (1 <= n < 2^63), each as often as it divides n, in no order; returns how
 * many. At worst (two primes of 31 bits) about half a millisecond. */
size_t factor_integer(uint64_t n, uint64_t ret_primes[FACTOR_COUNT_MAX]);

/* floor(sqrt(n)). */
uint64_t factor_isqrt(uint64_t n);

/* Greatest common divisor; gcd(0, n) = n. */
uint64_t factor_gcd(uint64_t x, uint64_t y);

#endif
