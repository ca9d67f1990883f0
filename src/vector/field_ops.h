/* field_ops.h: the inside of a field, and its arithmetic inline: for num.c and linear.c only. */
#ifndef VECTOR_FIELD_OPS_H
#define VECTOR_FIELD_OPS_H

#include "vector/field.h"
#include "vector/modulus.h"

enum {
    FIELD_CIRCLE_STEPS = 7200000, /* of 0.00005 degrees */
    FIELD_CIRCLE_LOW = 2048,      /* powers 0 … 2047 of the root of unity, */
    FIELD_CIRCLE_HIGH = 3516,     /* and of its 2048th power */
    FIELD_INVERSE_SHIFT_MAX = 2 * 61 + 1,
};

struct field {
    struct modulus m;
    uint64_t seed;
    uint64_t non_square, non_square_inverse; /* r, w^2 = r */
    int twos;                                /* p - 1 = 2^twos odd */
    uint64_t odd;
    uint64_t root_of_odd; /* r^odd: generates the elements of order 2^twos */
    uint64_t half, tenth, half_over_i;
    uint64_t root_2, root_3, root_5;
    uint64_t circle_low[FIELD_CIRCLE_LOW], circle_high[FIELD_CIRCLE_HIGH];
    uint64_t inverse_shift[FIELD_INVERSE_SHIFT_MAX]; /* 2^-k 2^192: ends an almost inverse */
};

static inline bool residue_zero(struct residue x) { return (x.a | x.b) == 0; }

static inline struct residue residue_plus(const struct field *f, struct residue x, struct residue y)
{
    return (struct residue){modulus_add(&f->m, x.a, y.a), modulus_add(&f->m, x.b, y.b)};
}

static inline struct residue residue_minus(const struct field *f, struct residue x,
                                           struct residue y)
{
    return (struct residue){modulus_sub(&f->m, x.a, y.a), modulus_sub(&f->m, x.b, y.b)};
}

static inline struct residue residue_times(const struct field *f, struct residue x,
                                           struct residue y)
{
    const struct modulus *m = &f->m;
    if (!(x.b | y.b))
        return (struct residue){modulus_mul(m, x.a, y.a), 0};
    uint64_t bb = modulus_mul(m, modulus_mul(m, x.b, y.b), f->non_square);
    return (struct residue){
        modulus_add(m, modulus_mul(m, x.a, y.a), bb),
        modulus_add(m, modulus_mul(m, x.a, y.b), modulus_mul(m, x.b, y.a)),
    };
}

#endif
