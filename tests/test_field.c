/* The field, and factoring, against GNU MP (a general reference library). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gmp.h>

#include "random.h"
#include "vector/factor.h"
#include "vector/field.h"
#include "vector/field_ops.h"

static const uint64_t seeds[] = {1, 217, 20482};
enum { FIELDS = 3 };

static bool same(struct residue x, struct residue y) { return x.a == y.a && x.b == y.b; }

static struct residue root(const struct field *f, int64_t n, int64_t d)
{
    struct residue r;
    assert_true(residue_sqrt_rational(f, n, d, &r));
    return r;
}

static struct residue random_element(const struct field *f)
{
    struct residue x = residue_random(f, random_bits());
    if (random_int(0, 1))
        x.b = residue_random(f, random_bits()).a;
    return x;
}

static void primes_are_decided_and_numbers_factored(void **state)
{
    (void)state;
    random_start("factors", 2201);
    mpz_t z;
    mpz_init(z);
    for (int i = random_rounds(3000); i > 0; i--) {
        uint64_t n = (random_bits() >> random_int(1, 62)) + 1;
        mpz_set_ui(z, n);
        assert_int_equal(factor_is_prime(n), mpz_probab_prime_p(z, 40) > 0);
    }
    for (int i = random_rounds(300); i > 0; i--) {
        uint64_t n = (random_bits() >> random_int(1, 62)) + 1, product = 1;
        if (i % 10 == 0) { /* two primes of 31 bits, or a prime's square */
            mpz_set_ui(z, (random_bits() >> 34) | 1 << 29);
            mpz_nextprime(z, z);
            n = mpz_get_ui(z);
            mpz_set_ui(z, (random_bits() >> 34) | 1 << 29);
            mpz_nextprime(z, z);
            n *= i % 20 == 0 ? n : mpz_get_ui(z);
        }
        uint64_t primes[FACTOR_COUNT_MAX];
        size_t count = factor_integer(n, primes);
        for (size_t k = 0; k < count; k++) {
            assert_true(factor_is_prime(primes[k]));
            product *= primes[k];
        }
        assert_true(product == n);
    }
    /* Carmichael numbers; the largest prime below 2^63. */
    assert_false(factor_is_prime(561));
    assert_false(factor_is_prime(443372888629441));
    assert_true(factor_is_prime(9223372036854775783u));
    assert_int_equal(factor_isqrt(UINT64_MAX), 0xffffffff);
    assert_int_equal(factor_isqrt(4611686014132420608), 2147483646);
    assert_int_equal(factor_isqrt(4611686014132420609), 2147483647);
    mpz_clear(z);
}

static void the_prime_is_as_promised(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed < 20; seed++) {
        struct field *f = field_new(seed);
        struct field *again = field_new(seed);
        mpz_t z;
        mpz_init_set_ui(z, f->m.p);
        assert_true(mpz_probab_prime_p(z, 40) > 0);
        assert_int_equal(mpz_sizeinbase(z, 2), 61);
        assert_true(f->m.p % FIELD_CIRCLE_STEPS == 1);
        mpz_clear(z);
        assert_true(f->m.p == again->m.p && same(residue_random(f, 5), residue_random(again, 5)));
        field_free(f);
        field_free(again);
    }
}

static void arithmetic_agrees_with_long_integers(void **state)
{
    (void)state;
    random_start("field arithmetic", 2202);
    struct field *f = field_new(217);
    mpz_t p, x, y;
    mpz_inits(p, x, y, (mpz_ptr)NULL);
    mpz_set_ui(p, f->m.p);
    for (int i = random_rounds(3000); i > 0; i--) {
        int64_t a = (int64_t)random_bits(), b = (int64_t)random_bits(), c = (int64_t)random_bits();
        /* (a b + c)/b mod p */
        mpz_set_si(x, a);
        mpz_mul_si(x, x, b);
        mpz_set_si(y, c);
        mpz_add(x, x, y);
        mpz_set_si(y, b);
        mpz_invert(y, y, p);
        mpz_mul(x, x, y);
        mpz_mod(x, x, p);
        struct residue r = residue_add(
            f, residue_mul(f, residue_integer(f, a), residue_integer(f, b)), residue_integer(f, c));
        r = residue_mul(f, r, residue_inv(f, residue_integer(f, b)));
        assert_true(r.b == 0 && modulus_mul(&f->m, r.a, 1) == mpz_get_ui(x));
    }
    mpz_clears(p, x, y, (mpz_ptr)NULL);
    struct residue r = residue_decimal(f, true, "125", 3, -1);
    assert_true(same(residue_add(f, r, r), residue_integer(f, -25)));
    r = residue_decimal(f, false, "123456789012345678901234567890", 30, 2);
    struct residue s = residue_decimal(f, false, "12345678901234567890123456789", 29, 3);
    assert_true(same(r, s));
    field_free(f);
}

static void it_is_a_field(void **state)
{
    (void)state;
    random_start("field laws", 2203);
    for (int k = 0; k < FIELDS; k++) {
        struct field *f = field_new(seeds[k]);
        struct residue one = residue_integer(f, 1);
        for (int i = random_rounds(1000); i > 0; i--) {
            struct residue x = random_element(f), y = random_element(f), z = random_element(f);
            assert_true(same(residue_mul(f, x, residue_inv(f, x)), one));
            assert_true(same(residue_mul(f, residue_mul(f, x, y), z),
                             residue_mul(f, x, residue_mul(f, y, z))));
            assert_true(same(residue_mul(f, x, residue_add(f, y, z)),
                             residue_add(f, residue_mul(f, x, y), residue_mul(f, x, z))));
            assert_true(residue_is_zero(residue_add(f, x, residue_neg(f, x))));
            assert_true(same(residue_sub(f, x, y), residue_add(f, x, residue_neg(f, y))));
        }
        assert_true(residue_is_zero(residue_inv(f, residue_integer(f, 0))));
        for (int n = 1; n < 200; n++)
            assert_true(same(
                residue_mul(f, residue_integer(f, n), residue_inv(f, residue_integer(f, n))), one));
        for (int i = random_rounds(1000); i > 0; i--) {
            int64_t n = (int64_t)(random_bits() >> random_int(1, 63));
            int64_t d = (int64_t)(random_bits() >> random_int(4, 63)) + 1; /* below p */
            struct residue x = residue_integer(f, n), y = residue_integer(f, d);
            assert_true(same(residue_rational(f, n, d), residue_mul(f, x, residue_inv(f, y))));
            assert_true(same(residue_mul(f, residue_rational(f, n, -d), y), residue_neg(f, x)));
        }
        field_free(f);
    }
}

/* Roots taken one by one would make sqrt m sqrt n + sqrt(m n) zero for many of these pairs. */
static void all_1770_pairs_of_roots_multiply(void **state)
{
    (void)state;
    for (int k = 0; k < FIELDS; k++) {
        struct field *f = field_new(seeds[k]);
        int pairs = 0;
        for (int m = 1; m <= 60; m++) {
            struct residue rm = root(f, m, 1);
            assert_true(same(residue_mul(f, rm, rm), residue_integer(f, m)));
            for (int n = m + 1; n <= 60; n++, pairs++) {
                struct residue product = residue_mul(f, rm, root(f, n, 1));
                struct residue whole = root(f, m * n, 1);
                assert_true(same(product, whole));
                assert_false(residue_is_zero(residue_add(f, product, whole)));
                /* sqrt m +- sqrt n is not 0, and sqrt(m/n) its quotient */
                assert_false(residue_is_zero(residue_sub(f, rm, root(f, n, 1))));
                assert_false(residue_is_zero(residue_add(f, rm, root(f, n, 1))));
                assert_true(same(residue_mul(f, root(f, m, n), root(f, n, 1)), rm));
            }
        }
        assert_int_equal(pairs, 1770);
        struct residue r = root(f, 219, 1);
        assert_true(same(r, residue_mul(f, root(f, 3, 1), root(f, 73, 1))));
        /* a perfect square of a large prime; two large primes */
        assert_true(same(root(f, 4611686014132420609, 1), residue_integer(f, 2147483647)));
        r = root(f, (int64_t)2147483647 * 2147483629, 1);
        assert_true(same(r, residue_mul(f, root(f, 2147483647, 1), root(f, 2147483629, 1))));
        assert_false(residue_sqrt_rational(f, -1, 1, &r));
        field_free(f);
    }
}

static void circle(const struct field *f, double degrees, struct residue *c, struct residue *s)
{
    residue_circle(f, (int64_t)(degrees * 20000), c, s);
}

static void angles_agree_with_roots(void **state)
{
    (void)state;
    random_start("circle", 2204);
    for (int k = 0; k < FIELDS; k++) {
        struct field *f = field_new(seeds[k]);
        struct residue c, s, c2, s2, two = residue_integer(f, 2), four = residue_integer(f, 4);
        circle(f, 45, &c, &s);
        assert_true(same(c, s) && same(residue_mul(f, c, two), root(f, 2, 1)));
        circle(f, 60, &c, &s);
        assert_true(same(residue_mul(f, c, two), residue_integer(f, 1)));
        assert_true(same(residue_mul(f, s, two), root(f, 3, 1)));
        circle(f, 36, &c, &s); /* 4 cos 36 = 1 + sqrt 5 */
        assert_true(
            same(residue_mul(f, c, four), residue_add(f, residue_integer(f, 1), root(f, 5, 1))));
        circle(f, 15, &c, &s); /* 4 cos 15 = sqrt 6 + sqrt 2 */
        assert_true(same(residue_mul(f, c, four), residue_add(f, root(f, 6, 1), root(f, 2, 1))));
        circle(f, 270, &c, &s);
        assert_true(residue_is_zero(c) && same(s, residue_integer(f, -1)));
        for (int i = random_rounds(500); i > 0; i--) {
            int64_t a = random_int(-20000000, 20000000), b = random_int(-20000000, 20000000);
            struct residue ca, sa, cb, sb;
            residue_circle(f, a, &ca, &sa);
            residue_circle(f, b, &cb, &sb);
            residue_circle(f, a + b, &c, &s);
            assert_true(same(c, residue_sub(f, residue_mul(f, ca, cb), residue_mul(f, sa, sb))));
            assert_true(same(s, residue_add(f, residue_mul(f, sa, cb), residue_mul(f, ca, sb))));
            unsigned which = (unsigned)random_int(0, 5);
            residue_free_circle(f, which, a, &ca, &sa);
            residue_free_circle(f, which, b, &cb, &sb);
            residue_free_circle(f, which, a + b, &c, &s);
            assert_true(same(c, residue_sub(f, residue_mul(f, ca, cb), residue_mul(f, sa, sb))));
            assert_true(same(s, residue_add(f, residue_mul(f, sa, cb), residue_mul(f, ca, sb))));
            residue_free_circle(f, which + 1, a, &c2, &s2);
            residue_free_circle(f, which, -a, &c, &s);
            assert_true(same(c, ca) && residue_is_zero(residue_add(f, s, sa)));
            assert_true(a == 0 || !same(c2, ca));
        }
        field_free(f);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(primes_are_decided_and_numbers_factored),
        cmocka_unit_test(the_prime_is_as_promised),
        cmocka_unit_test(arithmetic_agrees_with_long_integers),
        cmocka_unit_test(it_is_a_field),
        cmocka_unit_test(all_1770_pairs_of_roots_multiply),
        cmocka_unit_test(angles_agree_with_roots),
    };
    return cmocka_run_group_tests_name("field", tests, NULL, NULL);
}
