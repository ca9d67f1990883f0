/* triangular.h: A made triangular: what is so already, once rows and columns are put in order, and
 * the elimination of the core that is left. The inside of linear.c. */
#ifndef VECTOR_TRIANGULAR_H
#define VECTOR_TRIANGULAR_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "vector/elimination.h"
#include "vector/sparse.h"

/* Equations and unknowns are numbered as in A. Steps 0 … known - 1: equations whose other unknowns
 * are known from earlier ones. Steps known … last - 1: the core's. Steps last … rank - 1: unknowns
 * that stand in their equation alone, but for those above. In this order they are solved. */
struct triangular {
    const struct field *f;
    const struct sparse *a;
    const double *row_scale, *column_scale; /* powers of two: the core is row A column */
    int rank, known, last;
    int32_t *pivot_equation, *pivot_unknown; /* of step k */
    int32_t *equation_step, *unknown_step;   /* -1: left over; free */
    double *reciprocal;                      /* 1 / pivot of step k, but for the core's */
    struct residue *inverse;
    struct elimination core;
    int core_equations, core_unknowns;
    int32_t *core_equation, *core_unknown; /* the numbers in A of the core's */
    struct arena *arena, *core_arena;
    double *b, *x; /* the core's, used again */
    struct residue *b_residue, *x_residue, *c_residue;
    bool *generic_b, *generic_x;
};

/* Put in order what is triangular. False without memory. */
bool triangular_new(struct triangular *t, struct arena *arena, const struct field *f,
                    const struct sparse *a, const double *row_scale, const double *column_scale);

/* Eliminate the core (again: what was found before is given back). */
enum elimination_code triangular_eliminate(struct triangular *t, bool is_loose, uint64_t budget);

/* The rank of A in another field; -1 where its coefficients are not to be had in it. */
enum elimination_code triangular_rank(const struct triangular *t, const struct field *f,
                                      uint64_t budget, uint64_t *ret_operations, int *ret_rank);

/* How many coefficients one solution goes through. */
uint64_t triangular_pass(const struct triangular *t);

/* x from b (used up); the free unknowns are given in x, its other entries are 0. */
void triangular_solve(const struct triangular *t, double *b, double *x);
/* y with (A^T y) = c in all pivot unknowns; y is given in the equations left over; c is used up. */
void triangular_solve_transposed(const struct triangular *t, double *c, double *y);

/* The same on residues; b is 0 in those equations left over that hold. `generic`, where not NULL,
 * is carried along: what a generic number enters is generic. */
void triangular_solve_residue(const struct triangular *t, struct residue *b, bool *generic_b,
                              struct residue *x, bool *generic_x);
/* A vector with A^T y = 0 in all pivot unknowns: in the equations left over it is what is given
 * there, times numbers that are not 0; its other entries are 0 at first. */
void triangular_left_null(const struct triangular *t, struct residue *y);

#endif
