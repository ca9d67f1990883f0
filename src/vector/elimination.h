/* elimination.h: sparse Gaussian elimination on pairs (double, residue): the doubles pick the
 * pivots and give values, the residues decide what is zero. The inside of triangular.c. */
#ifndef VECTOR_ELIMINATION_H
#define VECTOR_ELIMINATION_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "vector/field.h"

struct entry {
    double value; /* scaled */
    struct residue residue;
    int32_t index; /* the unknown; in `lower` the equation */
    float bound;   /* |value| within it is zero within the digits given, or within rounding; 0 where
                      the residue alone decides */
};

struct entries {
    struct entry *entry;
    int count;
};

struct elimination {
    const struct field *f;
    int equations, unknowns;
    int rank;
    bool is_bounded;         /* some entry has a bound */
    bool is_loose;           /* pivots were small for the sake of fewer entries */
    bool is_rank_only;       /* multipliers and pivot equations were not kept */
    bool is_lowered;         /* an equation was left whose entries are all within their bounds */
    uint64_t operations;     /* entries worked on */
    int32_t *pivot_equation; /* of step k */
    int32_t *pivot_unknown;  /* of step k */
    int32_t *equation_step;  /* of each equation, -1: left over */
    int32_t *unknown_step;   /* of each unknown, -1: free */
    double *pivot;           /* of step k */
    double *pivot_bound;
    struct residue *inverse; /* 1 / pivot of step k */
    struct residue *times; /* step k multiplied the residues of equations by it before it subtracted
                              from them; 0: not */
    struct entries *upper; /* the pivot equation of step k, without its pivot */
    struct entries *lower; /* the multipliers of step k */
};

enum elimination_code { ELIMINATION_DONE, ELIMINATION_NO_MEMORY, ELIMINATION_BUDGET };

/* Eliminate rows[0 … equations - 1] (they are used up; no entry has residue 0, no equation an
 * unknown twice). Markowitz's order (Management Science 3, 1957) with a threshold within the
 * equation of 0.1, or where `is_loose` and no entry has a bound of 1e-4: long chains of moments
 * then fill up far less. It depends on the values and on what is zero, never on the field.
 * `rank_only` keeps no factors, which saves memory: only the rank and the steps may be asked then.
 */
enum elimination_code elimination_run(struct elimination *e, struct arena *arena,
                                      const struct field *f, int equations, int unknowns,
                                      struct entries *rows, bool is_loose, bool rank_only,
                                      uint64_t budget);

/* b (equations) becomes what the multipliers make of it. */
void elimination_forward(const struct elimination *e, double *b);
/* x from such a b; the free unknowns are given in x. */
void elimination_back(const struct elimination *e, const double *b, double *x);
/* y with (A^T y) = c in all pivot unknowns; y is given in the equations left over; c is used up. */
void elimination_transposed(const struct elimination *e, double *c, double *y);
/* Where there are bounds: doubles v of A v = 0, given in the free unknowns, and their running
 * bounds; *fixed becomes true, and v 0, where v is within its bound. */
void elimination_null_bounded(const struct elimination *e, double *v, double *bound, bool *fixed);

/* The same on residues. `generic`, where not NULL, is carried along: what a generic number enters
 * is generic. */
void elimination_forward_residue(const struct elimination *e, struct residue *b, bool *generic);
void elimination_back_residue(const struct elimination *e, const struct residue *b,
                              const bool *generic_b, struct residue *x, bool *generic_x);
/* A vector with A^T y = 0 in all pivot unknowns: in the equations left over it is what is given
 * there, times numbers that are not 0. */
void elimination_left_null_residue(const struct elimination *e, struct residue *y);

#endif
