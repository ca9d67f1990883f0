#include "vector/factor.h"

#include <math.h>

#include "vector/modulus.h"

uint64_t factor_isqrt(uint64_t n)
{
    uint64_t r = (uint64_t)sqrt((double)n); /* at most one off */
    while (r > 0xffffffff || r * r > n)
        r--;
    while (r < 0xffffffff && (r + 1) * (r + 1) <= n)
        r++;
    return r;
}

uint64_t factor_gcd(uint64_t x, uint64_t y)
{
    if (x == 0 || y == 0)
        return x | y;
    int twos = __builtin_ctzll(x | y);
    x >>= __builtin_ctzll(x);
    do {
        y >>= __builtin_ctzll(y);
        uint64_t smaller = x < y ? x : y;
        y = x < y ? y - x : x - y;
        x = smaller;
    } while (y != 0);
    return x << twos;
}

/* Miller-Rabin with the first twelve primes as bases decides every n below 3.3e24: Sorenson,
 * Webster, "Strong pseudoprimes to twelve prime bases", Math. Comp. 86 (2017). */
static const uint64_t bases[] = {2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37};
#define BASES (sizeof bases / sizeof *bases)

static bool strong_probable_prime(const struct modulus *m, uint64_t base)
{
    uint64_t minus_one = m->p - m->one;
    int s = __builtin_ctzll(m->p - 1);
    uint64_t x = modulus_pow(m, modulus_of(m, base), (m->p - 1) >> s);
    if (x == m->one || x == minus_one)
        return true;
    for (int i = 1; i < s; i++) {
        x = modulus_mul(m, x, x);
        if (x == minus_one)
            return true;
    }
    return false;
}

bool factor_is_prime(uint64_t n)
{
    if (n < 2)
        return false;
    for (size_t i = 0; i < BASES; i++)
        if (n % bases[i] == 0)
            return n == bases[i];
    if (n < 41 * 41)
        return true;
    struct modulus m = modulus_make(n);
    for (size_t i = 0; i < BASES; i++)
        if (!strong_probable_prime(&m, bases[i]))
            return false;
    return true;
}

/* A proper factor of the odd composite n by Pollard's rho, with Brent's cycle search: Brent, "An
 * improved Monte Carlo factorization algorithm", BIT 20 (1980). 0 where this constant fails. */
static uint64_t rho(const struct modulus *m, uint64_t constant)
{
    enum { BATCH = 64 };
    uint64_t y = m->one, x = y, saved = y, product = m->one, g = 1;
    for (uint64_t r = 1; g == 1; r *= 2) {
        x = y;
        for (uint64_t i = 0; i < r; i++)
            y = modulus_add(m, modulus_mul(m, y, y), constant);
        for (uint64_t k = 0; k < r && g == 1; k += BATCH) {
            saved = y;
            for (uint64_t i = 0; i < BATCH && i < r - k; i++) {
                y = modulus_add(m, modulus_mul(m, y, y), constant);
                product = modulus_mul(m, product, modulus_sub(m, x, y));
            }
            g = factor_gcd(product, m->p);
        }
    }
    if (g == m->p) { /* two factors met within one batch: singly */
        g = 1;
        while (g == 1) {
            saved = modulus_add(m, modulus_mul(m, saved, saved), constant);
            g = factor_gcd(modulus_sub(m, x, saved), m->p);
        }
    }
    return g == m->p ? 0 : g;
}

static void split(uint64_t n, uint64_t *primes, size_t *count)
{
    if (n == 1)
        return;
    if (factor_is_prime(n)) {
        primes[(*count)++] = n;
        return;
    }
    uint64_t root = factor_isqrt(n); /* rho may fail on squares */
    uint64_t g = root * root == n ? root : 0;
    struct modulus m = modulus_make(n);
    for (uint64_t c = 1; g == 0; c++)
        g = rho(&m, modulus_of(&m, c));
    split(g, primes, count);
    split(n / g, primes, count);
}

size_t factor_integer(uint64_t n, uint64_t ret_primes[FACTOR_COUNT_MAX])
{
    size_t count = 0;
    for (; n % 2 == 0; n /= 2)
        ret_primes[count++] = 2;
    for (uint64_t d = 3; d < 100 && d * d <= n; d += 2)
        for (; n % d == 0; n /= d)
            ret_primes[count++] = d;
    split(n, ret_primes, &count);
    return count;
}
