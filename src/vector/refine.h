/* refine.h: solutions of A x = b, or of y A = c, from A made triangular, corrected by
 * the residuals of the original coefficients. The inside of linear.c. */
#ifndef VECTOR_REFINE_H
#define VECTOR_REFINE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "vector/num.h"
#include "vector/triangular.h"

/* A system as it is solved: A, or A transposed. */
struct side {
    const struct triangular *t;
    const struct sparse *a; /* by its rows */
    bool is_transposed;
    const double *row_scale, *column_scale; /* powers of two that bring A to one */
    const int32_t *row_step, *column_step, *pivot_row, *pivot_column;
};

/* What a solution needs, and leaves; once for all solutions of a system. Arrays of the larger of
 * rows and columns. */
struct room {
    struct dd *x;    /* the solution */
    double *error;   /* of it, estimated on the safe side */
    double *b, *low; /* residuals; what they have beyond a double, for the dense factors alone */
    double *d, *w;   /* a correction; weights */
    struct dd *dense_r, *dense_x;
};

struct refining {
    struct arena *arena;
    struct room room;
    uint64_t budget, operations;
    uint64_t pass;           /* operations of one substitution */
    bool is_hard;            /* the pivots of a loose elimination were too small for all digits, */
    bool is_last;            /* and no strict one would follow */
    bool is_nearly_singular; /* some first correction said that 13 digits are lost in doubles */
};

bool room_new(struct arena *arena, int largest, struct room *ret_room);

/* x of the system in the pivot rows, those columns without pivot 0, in double; b is used up. */
void refine_substitute(struct refining *t, const struct side *s, double *b, double *x);

/* b - A x of one row. */
struct dd refine_residual(const struct side *s, int row, struct dd b, const struct dd *x);

/* The k-th of some numbers without a pattern, 1/2 to 1 in size, of either sign (SplitMix64). */
double refine_pattern(uint64_t k);

/* Solve in the pivot rows for room.x, in which the columns without pivot are given and the others
 * are 0. The right-hand side is right[row * stride], NULL: 0. `zero`: unknowns with residue 0 don't
 * count. False: not to be had, also not in double-double. */
bool refine(struct refining *t, const struct side *s, const struct num *right, int stride,
            const struct residue *zero);

#endif
