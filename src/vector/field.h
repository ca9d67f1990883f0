/* field.h: the finite field in which "is it zero" is decided: F_{p^2} = F_p[w]/(w^2 - r), r a
 * non-square.
 *
 * p has 61 bits and p = 1 mod 7,200,000, so that F_p holds the primitive root of unity that stands
 * for half a step of 0.0001 degrees. Every relation among exact numbers (rationals, their roots,
 * cosines of exact angles) holds among their residues; a false zero has a chance of about 1e-18. */
#ifndef VECTOR_FIELD_H
#define VECTOR_FIELD_H

#include <stdbool.h>
#include <stdint.h>

struct residue {
    uint64_t a, b; /* a + b w, in the field's own (Montgomery) form: compare only with 0 and with
                      residues of one field */
};

struct field; /* one choice of p, r, of the roots of unity and of the random elements; read only
                 once made, shared by threads */

/* A field drawn from `seed` (same seed, same field). NULL when there is no memory. Owned by the
 * caller: field_free. */
struct field *field_new(uint64_t seed);
void field_free(struct field *f);

bool residue_is_zero(struct residue x);
struct residue residue_integer(const struct field *f, int64_t n);
/* The residue of a decimal number's digits: sign digits x 10^exponent10; `digits` are ASCII 0-9, at
 * most 40. */
struct residue residue_decimal(const struct field *f, bool negative, const char *digits, int count,
                               int exponent10);
struct residue residue_add(const struct field *f, struct residue x, struct residue y);
struct residue residue_sub(const struct field *f, struct residue x, struct residue y);
struct residue residue_neg(const struct field *f, struct residue x);
struct residue residue_mul(const struct field *f, struct residue x, struct residue y);
/* 1/x; x = 0 gives 0 (ask residue_is_zero first). */
struct residue residue_inv(const struct field *f, struct residue x);
/* n/d, d no multiple of p, both above -2^63: quicker than by residue_inv where d is small. */
struct residue residue_rational(const struct field *f, int64_t n, int64_t d);
/* The root of a positive rational n/d that is a ring map on all roots of rationals (sqrt 2 = zeta_8
 * + 1/zeta_8, …); false where n·d cannot be factored within 63 bits: then the root is generic. */
bool residue_sqrt_rational(const struct field *f, int64_t n, int64_t d, struct residue *root);
/* Cosine and sine of `half_steps` of 0.00005 degrees (any sign, any size). */
void residue_circle(const struct field *f, int64_t half_steps, struct residue *cosine,
                    struct residue *sine);
/* Cosine and sine of `n` times a fixed unit angle that is unrelated to all others (radians; the
 * rest of an angle finer than 0.0001 degrees, with another `which`). */
void residue_free_circle(const struct field *f, unsigned which, int64_t n, struct residue *cosine,
                         struct residue *sine);
/* The k-th random element of this field: the residue of a generic number. */
struct residue residue_random(const struct field *f, uint64_t k);

#endif
