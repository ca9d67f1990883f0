/* dense.h: a small dense system in double-double, for what is too near to singular for doubles. The
 * inside of linear.c. */
#ifndef VECTOR_DENSE_H
#define VECTOR_DENSE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "vector/dd.h"

struct dense {
    int n;
    struct dd *a; /* n x n by rows, all 0 at first; dense_factor turns it into its factors */
    int32_t *row, *column; /* of the k-th pivot */
    struct dd *work;
};

/* NULL when there is no memory. */
struct dense *dense_new(struct arena *arena, int n);
/* Gaussian elimination with complete pivoting; false where a pivot is 0. About n^3/3 steps of 20
 * ns. */
bool dense_factor(struct dense *d);
/* x of the factored matrix times x = b. */
void dense_solve(const struct dense *d, const struct dd *b, struct dd *x);

/* The sum of the numbers (used up) as if in four-fold precision. Ogita, Rump, Oishi, "Accurate sum
 * and dot product", SIAM J. Sci. Comput. 26 (2005), algorithm 4.8, K = 4. */
struct dd dense_sum(double *x, int count);

#endif
