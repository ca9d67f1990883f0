/* modulus.h: arithmetic modulo an odd number below 2^63 in Montgomery form (x is held as x 2^64).
 * Montgomery, "Modular multiplication without trial division", Math. Comp. 44 (1985). */
#ifndef VECTOR_MODULUS_H
#define VECTOR_MODULUS_H

#include <stdint.h>

__extension__ typedef unsigned __int128 modulus_u128;

struct modulus {
    uint64_t p;
    uint64_t negative_inverse; /* -1/p mod 2^64 */
    uint64_t one;              /* 2^64 mod p: the number 1 */
    uint64_t square;           /* 2^128 mod p: takes a number into the form */
};

static inline uint64_t modulus_mul(const struct modulus *m, uint64_t x, uint64_t y)
{
    modulus_u128 t = (modulus_u128)x * y;
    uint64_t k = (uint64_t)t * m->negative_inverse;
    uint64_t u = (uint64_t)((t + (modulus_u128)k * m->p) >> 64);
    return u >= m->p ? u - m->p : u;
}

static inline uint64_t modulus_add(const struct modulus *m, uint64_t x, uint64_t y)
{
    uint64_t s = x + y;
    return s >= m->p ? s - m->p : s;
}

static inline uint64_t modulus_sub(const struct modulus *m, uint64_t x, uint64_t y)
{
    return x >= y ? x - y : x + (m->p - y);
}

static inline uint64_t modulus_neg(const struct modulus *m, uint64_t x)
{
    return x == 0 ? 0 : m->p - x;
}

/* n < p, or any n < 2^64 where p > 2^60. */
static inline uint64_t modulus_of(const struct modulus *m, uint64_t n)
{
    return modulus_mul(m, n, m->square);
}

static inline uint64_t modulus_pow(const struct modulus *m, uint64_t x, uint64_t exponent)
{
    uint64_t power = m->one;
    for (; exponent > 0; exponent >>= 1) {
        if (exponent & 1)
            power = modulus_mul(m, power, x);
        x = modulus_mul(m, x, x);
    }
    return power;
}

/* p odd, 2 < p < 2^63. */
static inline struct modulus modulus_make(uint64_t p)
{
    uint64_t inverse = p; /* right to 3 bits; each step doubles them */
    for (int i = 0; i < 5; i++)
        inverse *= 2 - p * inverse;
    struct modulus m = {.p = p, .negative_inverse = 0 - inverse};
    m.one = (uint64_t)(((modulus_u128)1 << 64) % p);
    m.square = (uint64_t)((modulus_u128)m.one * m.one % p);
    return m;
}

#endif
