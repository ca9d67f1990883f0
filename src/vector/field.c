#include "vector/field.h"

#include <stdlib.h>

#include "vector/factor.h"
#include "vector/field_ops.h"

/* SplitMix64 (Steele, Lea, Flood, OOPSLA 2014): the k-th number of a stream. */
static uint64_t mix(uint64_t seed, uint64_t k)
{
    uint64_t z = seed + (k + 1) * 0x9e3779b97f4a7c15;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9;
    z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
    return z ^ (z >> 31);
}

/* The streams that one seed feeds. */
enum stream { STREAM_PRIME, STREAM_UNITY, STREAM_RANDOM, STREAM_CIRCLE };

static uint64_t draw(uint64_t seed, enum stream stream, uint64_t k)
{
    return mix(mix(seed, (uint64_t)stream), k);
}

static uint64_t draw_prime(uint64_t seed)
{
    const uint64_t least = ((uint64_t)1 << 60) / FIELD_CIRCLE_STEPS + 1;
    for (uint64_t k = 0;; k++) {
        uint64_t p = (least + draw(seed, STREAM_PRIME, k) % (least - 1)) * FIELD_CIRCLE_STEPS + 1;
        if (factor_is_prime(p))
            return p;
    }
}

/* A primitive root of unity of order FIELD_CIRCLE_STEPS = 2^8 3^2 5^5. */
static uint64_t draw_unity(const struct modulus *m, uint64_t seed)
{
    for (uint64_t k = 0;; k++) {
        uint64_t g = modulus_of(m, draw(seed, STREAM_UNITY, k) % (m->p - 1) + 1);
        uint64_t zeta = modulus_pow(m, g, (m->p - 1) / FIELD_CIRCLE_STEPS);
        if (modulus_pow(m, zeta, FIELD_CIRCLE_STEPS / 2) != m->one &&
            modulus_pow(m, zeta, FIELD_CIRCLE_STEPS / 3) != m->one &&
            modulus_pow(m, zeta, FIELD_CIRCLE_STEPS / 5) != m->one)
            return zeta;
    }
}

/* zeta^k, 0 <= k < FIELD_CIRCLE_STEPS. */
static uint64_t unity_power(const struct field *f, uint64_t k)
{
    return modulus_mul(&f->m, f->circle_high[k / FIELD_CIRCLE_LOW],
                       f->circle_low[k % FIELD_CIRCLE_LOW]);
}

/* zeta_n + 1/zeta_n = 2 cos(360/n degrees). */
static uint64_t twice_cosine(const struct field *f, uint64_t n)
{
    uint64_t k = FIELD_CIRCLE_STEPS / n;
    return modulus_add(&f->m, unity_power(f, k), unity_power(f, FIELD_CIRCLE_STEPS - k));
}

/* 1/x of x != 0: almost inverse of Kaliski, "The Montgomery inverse and its applications", IEEE
 * Trans. Comp. 44 (1995). Invariants: x r = -+u 2^k, x s = +-v 2^k mod p, u s + v r = p. */
static uint64_t modulus_inverse(const struct field *f, uint64_t x)
{
    const struct modulus *m = &f->m;
    uint64_t u = m->p, v = x, r = 0, s = 1;
    int k = __builtin_ctzll(v);
    bool swapped = false;
    v >>= k;
    for (;;) {
        bool swap = u > v;
        uint64_t difference = swap ? u - v : v - u;
        uint64_t least = swap ? v : u;
        uint64_t its = swap ? s : r;
        s += r;
        r = its;
        u = least;
        v = difference;
        swapped ^= swap;
        if (v == 0)
            break;
        int z = __builtin_ctzll(v);
        v >>= z;
        r <<= z;
        k += z;
    }
    uint64_t inverse = modulus_mul(m, r, f->inverse_shift[k]);
    return swapped ? inverse : modulus_neg(m, inverse);
}

/* The root of x in F_p, of the two the smaller in Montgomery form; false where x is no square.
 * Tonelli and Shanks: Cohen, "A Course in Computational Algebraic Number Theory", algorithm 1.5.1.
 */
static bool modulus_root(const struct field *f, uint64_t x, uint64_t *root)
{
    const struct modulus *m = &f->m;
    uint64_t y = modulus_pow(m, x, (f->odd - 1) / 2);
    uint64_t z = modulus_mul(m, x, y);
    uint64_t b = modulus_mul(m, z, y); /* z^2 = x b, b of order 2^order */
    uint64_t step = f->root_of_odd;
    int room = f->twos;
    while (b != m->one) {
        int order = 0;
        for (uint64_t t = b; t != m->one; t = modulus_mul(m, t, t))
            order++;
        if (order == room)
            return false;
        for (int i = 0; i < room - order - 1; i++)
            step = modulus_mul(m, step, step);
        z = modulus_mul(m, z, step);
        step = modulus_mul(m, step, step);
        b = modulus_mul(m, b, step);
        room = order;
    }
    *root = z < m->p - z ? z : m->p - z;
    return true;
}

struct field *field_new(uint64_t seed)
{
    struct field *f = malloc(sizeof *f);
    if (f == NULL)
        return NULL;
    *f = (struct field){.m = modulus_make(draw_prime(seed)), .seed = seed};
    const struct modulus *m = &f->m;
    f->twos = __builtin_ctzll(m->p - 1);
    f->odd = (m->p - 1) >> f->twos;

    uint64_t zeta = draw_unity(m, seed);
    f->circle_low[0] = m->one;
    for (int i = 1; i < FIELD_CIRCLE_LOW; i++)
        f->circle_low[i] = modulus_mul(m, f->circle_low[i - 1], zeta);
    uint64_t stride = modulus_mul(m, f->circle_low[FIELD_CIRCLE_LOW - 1], zeta);
    f->circle_high[0] = m->one;
    for (int i = 1; i < FIELD_CIRCLE_HIGH; i++)
        f->circle_high[i] = modulus_mul(m, f->circle_high[i - 1], stride);

    f->half = modulus_of(m, (m->p + 1) / 2);
    uint64_t shift = modulus_mul(m, m->square, m->square); /* 2^192 */
    for (int k = 0; k < FIELD_INVERSE_SHIFT_MAX; k++) {
        f->inverse_shift[k] = shift;
        shift = modulus_mul(m, shift, f->half);
    }
    f->tenth = modulus_inverse(f, modulus_of(m, 10));
    uint64_t i_conjugate = unity_power(f, FIELD_CIRCLE_STEPS / 4 * 3); /* 1/i = -i */
    f->half_over_i = modulus_mul(m, f->half, i_conjugate);
    f->root_2 = twice_cosine(f, 8);
    f->root_3 = twice_cosine(f, 12);
    uint64_t golden = twice_cosine(f, 5); /* (sqrt 5 - 1)/2 */
    f->root_5 = modulus_add(m, m->one, modulus_add(m, golden, golden));

    /* 2, 3 and 5 are squares: the non-square is searched from 7 on. */
    uint64_t n = 7;
    while (modulus_pow(m, modulus_of(m, n), (m->p - 1) / 2) == m->one)
        n++;
    f->non_square = modulus_of(m, n);
    f->non_square_inverse = modulus_inverse(f, f->non_square);
    f->root_of_odd = modulus_pow(m, f->non_square, f->odd);
    return f;
}

void field_free(struct field *f) { free(f); }

bool residue_is_zero(struct residue x) { return residue_zero(x); }

struct residue residue_integer(const struct field *f, int64_t n)
{
    uint64_t size = n < 0 ? 0 - (uint64_t)n : (uint64_t)n;
    uint64_t a = modulus_of(&f->m, size);
    return (struct residue){n < 0 ? modulus_neg(&f->m, a) : a, 0};
}

struct residue residue_decimal(const struct field *f, bool negative, const char *digits, int count,
                               int exponent10)
{
    const struct modulus *m = &f->m;
    uint64_t a = 0;
    for (int i = 0; i < count;) {
        uint64_t chunk = 0, scale = 1;
        for (int k = 0; k < 18 && i < count; k++, i++) {
            chunk = chunk * 10 + (uint64_t)(digits[i] - '0');
            scale *= 10;
        }
        a = modulus_add(m, modulus_mul(m, a, modulus_of(m, scale)), modulus_of(m, chunk));
    }
    if (exponent10 > 0)
        a = modulus_mul(m, a, modulus_pow(m, modulus_of(m, 10), (uint64_t)exponent10));
    else if (exponent10 < 0)
        a = modulus_mul(m, a, modulus_pow(m, f->tenth, (uint64_t)-exponent10));
    return (struct residue){negative ? modulus_neg(m, a) : a, 0};
}

struct residue residue_add(const struct field *f, struct residue x, struct residue y)
{
    return residue_plus(f, x, y);
}

struct residue residue_sub(const struct field *f, struct residue x, struct residue y)
{
    return residue_minus(f, x, y);
}

struct residue residue_neg(const struct field *f, struct residue x)
{
    return (struct residue){modulus_neg(&f->m, x.a), modulus_neg(&f->m, x.b)};
}

struct residue residue_mul(const struct field *f, struct residue x, struct residue y)
{
    return residue_times(f, x, y);
}

struct residue residue_inv(const struct field *f, struct residue x)
{
    const struct modulus *m = &f->m;
    if (residue_zero(x))
        return x;
    if (x.b == 0)
        return (struct residue){modulus_inverse(f, x.a), 0};
    /* The norm a^2 - r b^2 is not 0, since r is no square. */
    uint64_t norm = modulus_sub(m, modulus_mul(m, x.a, x.a),
                                modulus_mul(m, f->non_square, modulus_mul(m, x.b, x.b)));
    uint64_t inverse = modulus_inverse(f, norm);
    return (struct residue){modulus_mul(m, x.a, inverse),
                            modulus_neg(m, modulus_mul(m, x.b, inverse))};
}

#define SMALL_DIVISOR_MAX 65535 /* about ten steps; an inverse takes some forty */

struct residue residue_rational(const struct field *f, int64_t n, int64_t d)
{
    const struct modulus *m = &f->m;
    struct residue quotient = residue_integer(f, d < 0 ? -n : n);
    uint64_t rest = d < 0 ? 0 - (uint64_t)d : (uint64_t)d;
    if (rest > SMALL_DIVISOR_MAX)
        return residue_times(f, quotient, residue_inv(f, residue_integer(f, (int64_t)rest)));
    /* p = k d + r: 1/d = -k/r */
    for (; rest > 1; rest = m->p % rest)
        quotient.a = modulus_neg(m, modulus_mul(m, quotient.a, modulus_of(m, m->p / rest)));
    return quotient;
}

static struct residue root_of_prime(const struct field *f, uint64_t q)
{
    const struct modulus *m = &f->m;
    if (q == 2)
        return (struct residue){f->root_2, 0};
    if (q == 3)
        return (struct residue){f->root_3, 0};
    if (q == 5)
        return (struct residue){f->root_5, 0};
    uint64_t x = modulus_of(m, q);
    uint64_t root = 0;
    if (modulus_root(f, x, &root))
        return (struct residue){root, 0};
    /* q/r is a square: q = (c w)^2. */
    modulus_root(f, modulus_mul(m, x, f->non_square_inverse), &root);
    return (struct residue){0, root};
}

static struct residue root_of_integer(const struct field *f, uint64_t n)
{
    uint64_t primes[FACTOR_COUNT_MAX];
    size_t count = factor_integer(n, primes);
    struct residue root = {f->m.one, 0};
    for (size_t i = 0; i < count; i++) {
        /* Pairs come out of the root whole. */
        size_t j = i + 1;
        while (j < count && primes[j] != primes[i])
            j++;
        if (j < count) {
            root = residue_times(f, root, (struct residue){modulus_of(&f->m, primes[i]), 0});
            primes[j] = primes[--count];
        } else {
            root = residue_times(f, root, root_of_prime(f, primes[i]));
        }
    }
    return root;
}

bool residue_sqrt_rational(const struct field *f, int64_t n, int64_t d, struct residue *root)
{
    if (n <= 0 || d <= 0)
        return false;
    struct residue upper = root_of_integer(f, (uint64_t)n);
    *root =
        d == 1 ? upper : residue_times(f, upper, residue_inv(f, root_of_integer(f, (uint64_t)d)));
    return true;
}

static void circle_point(const struct field *f, uint64_t t, uint64_t t_inverse,
                         struct residue *cosine, struct residue *sine)
{
    const struct modulus *m = &f->m;
    *cosine = (struct residue){modulus_mul(m, modulus_add(m, t, t_inverse), f->half), 0};
    *sine = (struct residue){modulus_mul(m, modulus_sub(m, t, t_inverse), f->half_over_i), 0};
}

void residue_circle(const struct field *f, int64_t half_steps, struct residue *cosine,
                    struct residue *sine)
{
    int64_t k = half_steps % FIELD_CIRCLE_STEPS;
    if (k < 0)
        k += FIELD_CIRCLE_STEPS;
    uint64_t t = unity_power(f, (uint64_t)k);
    uint64_t t_inverse = unity_power(f, (uint64_t)(k == 0 ? 0 : FIELD_CIRCLE_STEPS - k));
    circle_point(f, t, t_inverse, cosine, sine);
}

void residue_free_circle(const struct field *f, unsigned which, int64_t n, struct residue *cosine,
                         struct residue *sine)
{
    const struct modulus *m = &f->m;
    uint64_t t = draw(f->seed, STREAM_CIRCLE, which) % (m->p - 1) + 1;
    uint64_t size = n < 0 ? 0 - (uint64_t)n : (uint64_t)n;
    uint64_t power = modulus_pow(m, t, size);
    uint64_t inverse = modulus_inverse(f, power);
    if (n < 0)
        circle_point(f, inverse, power, cosine, sine);
    else
        circle_point(f, power, inverse, cosine, sine);
}

struct residue residue_random(const struct field *f, uint64_t k)
{
    return (struct residue){draw(f->seed, STREAM_RANDOM, k) % f->m.p, 0};
}
