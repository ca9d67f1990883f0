/* sparse.h: the coefficients of a system of equations, few in each equation, as they are solved:
 * in whole numbers where they are rational. The inside of linear.c. */
#ifndef VECTOR_SPARSE_H
#define VECTOR_SPARSE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "vector/num.h"

struct chunk;

/* Coefficients in the order in which they come. */
struct added {
    struct arena *arena; /* what it takes, until it is arranged */
    struct chunk *first, *last;
};

/* Row by row. Row i is row i of the system times factor[i], a whole number that makes its
 * coefficients and its right-hand sides whole, where that can be; `value` is exact then. */
struct sparse {
    int rows, columns;
    int32_t *first;  /* of each row, and the end */
    int32_t *column; /* of each coefficient */
    double *value;
    const struct num **rough; /* of each coefficient, where `value` is not all of it, else NULL; the
                                 list NULL: there is none */
    double *factor;           /* of each row, below 2^53; NULL: all are 1 */
};

/* A coefficient to add to what stands at its place. Without memory: the arena says so. */
void sparse_add(struct added *a, int row, int column, struct num x);

/* Sort what was added; `right` (rows x rights, row by row) are brought to the same factors. False
 * without memory. *ret_unlucky: a false zero of the field. */
bool sparse_arrange(const struct added *added, struct arena *arena, const struct field *f, int rows,
                    int columns, struct num *right, int rights, struct sparse *ret,
                    bool *ret_unlucky);

/* The same with rows and columns exchanged (`factor` NULL). False without memory. */
bool sparse_transpose(const struct sparse *s, struct arena *arena, struct sparse *ret);

static inline const struct num *sparse_rough(const struct sparse *s, int32_t k)
{
    return s->rough == NULL ? NULL : s->rough[k];
}

/* The k-th coefficient; 0 in a field in which its residue is not known. */
struct residue sparse_residue(const struct sparse *s, int32_t k, const struct field *own,
                              const struct field *f);

static inline double sparse_error(const struct sparse *s, int32_t k)
{
    const struct num *rough = sparse_rough(s, k);
    return rough == NULL ? 0 : rough->error;
}

static inline double sparse_slack(const struct sparse *s, int32_t k)
{
    const struct num *rough = sparse_rough(s, k);
    return rough == NULL ? 0 : rough->slack;
}

#endif
