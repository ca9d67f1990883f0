#include "vector/dd.h"

#include <stddef.h>
#include <stdint.h>

__extension__ typedef unsigned __int128 u128;

struct dd dd_sqrt(struct dd x)
{
    if (!(x.hi > 0))
        return (struct dd){sqrt(x.hi), 0};
    double s = sqrt(x.hi);
    double rest = fma(-s, s, x.hi) + x.lo;
    return dd_quick_sum(s, rest / (2 * s));
}

struct dd dd_integer(long long n)
{
    double hi = (double)(n >> 32) * 0x1p32;
    return dd_sum(hi, (double)(n & 0xffffffff));
}

/* 10^e for 0 <= e <= 300. */
static struct dd dd_power_of_ten(int e)
{
    struct dd power = {1, 0};
    struct dd base = {10, 0};
    for (; e > 0; e >>= 1) {
        if (e & 1)
            power = dd_mul(power, base);
        base = dd_mul(base, base);
    }
    return power;
}

static struct dd dd_scale_ten(struct dd x, int exponent10)
{
    if (exponent10 < 0)
        return dd_div(x, dd_power_of_ten(-exponent10));
    return dd_mul(x, dd_power_of_ten(exponent10));
}

struct dd dd_decimal(int negative, const char *digits, int count, int exponent10)
{
    u128 m = 0;
    for (int i = 0; i < count; i++)
        m = m * 10 + (unsigned)(digits[i] - '0');
    if (m == 0)
        return (struct dd){0, 0};
    /* Below 10^30 < 2^100, so that two doubles hold it exactly. */
    struct dd x =
        dd_sum((double)(uint64_t)(m >> 50) * 0x1p50, (double)(uint64_t)(m & (((u128)1 << 50) - 1)));
    /* In two halves where one power would overflow. */
    if (exponent10 > 150 || exponent10 < -150) {
        x = dd_scale_ten(x, exponent10 / 2);
        exponent10 -= exponent10 / 2;
    }
    x = dd_scale_ten(x, exponent10);
    return negative ? dd_neg(x) : x;
}

/* sin(5 k degrees), k = 0 … 18. */
static const struct dd sine_of_5_degrees[19] = {
    {0x0p+0, 0x0p+0},
    {0x1.64fd6b8c28103p-4, -0x1.c8b5c051cd2dcp-58},
    {0x1.63a1a7e0b738ap-3, -0x1.744603e3937c7p-57},
    {0x1.0907dc193069p-2, 0x1.a5ec4dc53f528p-56},
    {0x1.5e3a8748a0bf5p-2, 0x1.7371a64afcbd6p-56},
    {0x1.b0c2d77379853p-2, -0x1.784bf8168bfb9p-58},
    {0x1p-1, 0x0p+0},
    {0x1.25abcf87c4978p-1, 0x1.b805821236b88p-55},
    {0x1.491b7523c161dp-1, -0x1.518a0c6797c16p-55},
    {0x1.6a09e667f3bcdp-1, -0x1.bdd3413b26456p-55},
    {0x1.8836fa2cf5039p-1, 0x1.913ad5051e83cp-56},
    {0x1.a367e59158747p-1, -0x1.476f2057c7a75p-57},
    {0x1.bb67ae8584caap-1, 0x1.cec95d0b5c1e3p-55},
    {0x1.d0079302dd767p-1, 0x1.ea1affbfa8e0fp-56},
    {0x1.e11f642522d1cp-1, -0x1.94741676559d4p-55},
    {0x1.ee8dd4748bf15p-1, -0x1.d5ba34b10d383p-56},
    {0x1.f838b8c811c17p-1, 0x1.682ec6bde69d5p-55},
    {0x1.fe0d3b41815a2p-1, -0x1.dc0ff3c26b1bep-57},
    {0x1p+0, 0x0p+0},
};

static const struct dd radians_per_degree = {0x1.1df46a2529d39p-6, 0x1.5c1d8becdd291p-62};
static const struct dd degrees_per_radian = {0x1.ca5dc1a63c1f8p+5, -0x1.1e7ab456405f9p-49};

/* sin(5 k degrees) for k = 0 … 71. */
static struct dd sine_at(int k)
{
    if (k >= 36)
        return dd_neg(sine_at(k - 36));
    return sine_of_5_degrees[k <= 18 ? k : 36 - k];
}

static struct dd horner(const struct dd *coefficients, size_t count, struct dd x, double tail)
{
    struct dd sum = dd_mul(x, (struct dd){tail, 0});
    for (size_t i = count; i-- > 0;) {
        sum = dd_add(sum, coefficients[i]);
        if (i > 0)
            sum = dd_mul(sum, x);
    }
    return sum;
}

/* sin r and cos r - 1 by Taylor's series, |r| <= 2.5 degrees = 0.0437: the first terms in
 * double-double, the others (below 4e-17 of the sum) in double. */
static void sine_and_versine(struct dd r, struct dd *sine, struct dd *cosine_less_1)
{
    static const struct dd odd[] = {{-0x1.5555555555555p-3, -0x1.5555555555555p-57},
                                    {0x1.1111111111111p-7, 0x1.1111111111111p-63},
                                    {-0x1.a01a01a01a01ap-13, -0x1.a01a01a01a01ap-73},
                                    {0x1.71de3a556c734p-19, -0x1.c154f8ddc6cp-73}};
    static const struct dd even[] = {{-0x1p-1, 0},
                                     {0x1.5555555555555p-5, 0x1.5555555555555p-59},
                                     {-0x1.6c16c16c16c17p-10, 0x1.f49f49f49f49fp-65},
                                     {0x1.a01a01a01a01ap-16, 0x1.a01a01a01a01ap-76}};
    struct dd r2 = dd_mul(r, r);
    double x = r2.hi;
    double odd_tail =
        -0x1.ae64567f544e4p-26 +
        x * (0x1.6124613a86d09p-33 + x * (-0x1.ae7f3e733b81fp-41 + x * 0x1.952c77030ad4ap-49));
    double even_tail =
        -0x1.27e4fb7789f5cp-22 +
        x * (0x1.1eed8eff8d898p-29 + x * (-0x1.93974a8c07c9dp-37 + x * 0x1.ae7f3e733b81fp-45));
    *sine = dd_add(r, dd_mul(dd_mul(r, r2), horner(odd, 4, r2, odd_tail)));
    *cosine_less_1 = dd_mul(r2, horner(even, 4, r2, even_tail));
}

void dd_cos_sin_degrees(struct dd degrees, struct dd *cosine, struct dd *sine)
{
    if (!(fabs(degrees.hi) < 0x1p50)) {
        *cosine = *sine = (struct dd){(double)NAN, 0};
        return;
    }
    struct dd a = dd_sum(fmod(degrees.hi, 360), degrees.lo);
    int k = (int)nearbyint(a.hi / 5);
    struct dd r = dd_add(a, (struct dd){-5.0 * k, 0});
    k = (k % 72 + 72) % 72;
    struct dd s = sine_at(k);
    struct dd c = sine_at((k + 18) % 72);
    if (r.hi != 0) {
        struct dd sr, vr;
        sine_and_versine(dd_mul(r, radians_per_degree), &sr, &vr);
        struct dd s0 = s;
        s = dd_add(s0, dd_add(dd_mul(s0, vr), dd_mul(c, sr)));
        c = dd_add(c, dd_sub(dd_mul(c, vr), dd_mul(s0, sr)));
    }
    *cosine = dd_add(c, (struct dd){0, 0}); /* never -0 */
    *sine = dd_add(s, (struct dd){0, 0});
}

void dd_cos_sin_radians(struct dd radians, struct dd *cosine, struct dd *sine)
{
    dd_cos_sin_degrees(dd_mul(radians, degrees_per_radian), cosine, sine);
}
