/* rational.h: small systems of linear equations solved exactly with GNU MP, for tests: the row-
 * reduced echelon form tells rank, consistency, and what has one value only. */
#ifndef TESTS_RATIONAL_H
#define TESTS_RATIONAL_H

#include <stdbool.h>
#include <stdlib.h>

#include <gmp.h>

struct rational {
    int rows, unknowns, columns; /* the last columns are the right-hand sides */
    mpq_t *a;
    int rank;
    int *pivot; /* of each row of the rank: its column */
};

static inline mpq_t *rational_at(const struct rational *r, int row, int column)
{
    return &r->a[row * r->columns + column];
}

/* Zeros, for `rights` right-hand sides. */
static inline struct rational *rational_new(int rows, int unknowns, int rights)
{
    struct rational *r = calloc(1, sizeof *r);
    r->rows = rows;
    r->unknowns = unknowns;
    r->columns = unknowns + rights;
    r->a = calloc((size_t)(rows * r->columns), sizeof *r->a);
    r->pivot = calloc((size_t)rows, sizeof *r->pivot);
    for (int i = 0; i < rows * r->columns; i++)
        mpq_init(r->a[i]);
    return r;
}

static inline void rational_free(struct rational *r)
{
    for (int i = 0; i < r->rows * r->columns; i++)
        mpq_clear(r->a[i]);
    free(r->a);
    free(r->pivot);
    free(r);
}

static inline void rational_add(struct rational *r, int row, int column, long over, long under)
{
    mpq_t x;
    mpq_init(x);
    mpq_set_si(x, over, (unsigned long)under);
    mpq_canonicalize(x);
    mpq_add(*rational_at(r, row, column), *rational_at(r, row, column), x);
    mpq_clear(x);
}

static inline void rational_reduce(struct rational *r)
{
    mpq_t t, factor;
    mpq_inits(t, factor, (mpq_ptr)NULL);
    r->rank = 0;
    for (int j = 0; j < r->unknowns && r->rank < r->rows; j++) {
        int row = r->rank;
        while (row < r->rows && mpq_sgn(*rational_at(r, row, j)) == 0)
            row++;
        if (row == r->rows)
            continue;
        for (int c = 0; c < r->columns; c++)
            mpq_swap(*rational_at(r, row, c), *rational_at(r, r->rank, c));
        mpq_inv(factor, *rational_at(r, r->rank, j));
        for (int c = j; c < r->columns; c++)
            mpq_mul(*rational_at(r, r->rank, c), *rational_at(r, r->rank, c), factor);
        for (int i = 0; i < r->rows; i++) {
            if (i == r->rank || mpq_sgn(*rational_at(r, i, j)) == 0)
                continue;
            mpq_set(factor, *rational_at(r, i, j));
            for (int c = j; c < r->columns; c++) {
                mpq_mul(t, factor, *rational_at(r, r->rank, c));
                mpq_sub(*rational_at(r, i, c), *rational_at(r, i, c), t);
            }
        }
        r->pivot[r->rank++] = j;
    }
    mpq_clears(t, factor, (mpq_ptr)NULL);
}

static inline bool rational_is_consistent(const struct rational *r, int right)
{
    for (int i = r->rank; i < r->rows; i++)
        if (mpq_sgn(*rational_at(r, i, r->unknowns + right)) != 0)
            return false;
    return true;
}

/* The row of a pivot, or −1. */
static inline int rational_row(const struct rational *r, int unknown)
{
    for (int k = 0; k < r->rank; k++)
        if (r->pivot[k] == unknown)
            return k;
    return -1;
}

/* The row that fixes an unknown whatever the others are; −1: it is not fixed. */
static inline int rational_fixed_by(const struct rational *r, int unknown)
{
    int row = rational_row(r, unknown);
    for (int j = 0; row >= 0 && j < r->unknowns; j++)
        if (j != unknown && mpq_sgn(*rational_at(r, row, j)) != 0)
            return -1;
    return row;
}

#endif
