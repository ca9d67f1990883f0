/* linear.h: systems of linear equations of statics, A x = b, square or not, singular or not.
 *
 * Rank, consistency, which unknowns are fixed and which are zero are decided by the residues, so
 * exactly; the values come from doubles, refined against the original coefficients in
 * double-double. Up to tens of thousands of unknowns (trusses); everything lives in the arena.
 *
 * Ask for unknowns that keep roots out of A: a bar's force over its length, with coordinate
 * differences as coefficients. Rows and columns may have any scale: they are brought to one by
 * powers of two. */
#ifndef VECTOR_LINEAR_H
#define VECTOR_LINEAR_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "vector/num.h"

struct linear;

enum linear_code {
    LINEAR_SOLVED, /* ask what follows; also where no solution exists */
    LINEAR_NO_MEMORY,
    LINEAR_BUDGET_EXCEEDED, /* more work than was allowed */
    LINEAR_UNLUCKY,         /* a false zero of the field: draw another and work again */
    LINEAR_MAX_
};

/* A system of so many equations in so many unknowns, all coefficients 0 so far, with `columns`
 * right-hand sides (0: rank and what is fixed only). NULL when there is no memory. */
struct linear *linear_new(struct arena *arena, const struct field *f, int equations, int unknowns,
                          int columns);
/* Add to a coefficient of A. */
void linear_add(struct linear *l, int equation, int unknown, struct num x);
/* Add to a right-hand side. */
void linear_add_right(struct linear *l, int equation, int column, struct num x);

/* Work it all out. `second`, a second field, confirms a rank that falls short of both equations and
 * unknowns, where all coefficients are known rationals (else linear_is_confirmed is false; work the
 * whole problem in another field and ask linear_agrees). `budget` counts coefficients worked on,
 * 2 to 20 ns each. */
enum linear_code linear_solve(struct linear *l, const struct field *second, uint64_t budget);

/* ---- verdicts, after linear_solve ---- */
int linear_rank(const struct linear *l);
/* ZERO_EXACT: the rank is decided by residues. ZERO_WITHIN_DIGITS, ZERO_WITHIN_ROUNDING: it is
 * lower than as typed, since pivots were zero within what long decimals leave open, or generic and
 * zero within rounding. */
enum zero linear_rank_decided(const struct linear *l);
/* False: the rank falls short, and one field alone says so. */
bool linear_is_confirmed(const struct linear *l);
/* Does the unknown have one value only, whatever the right-hand sides? */
bool linear_is_fixed(const struct linear *l, int unknown);
/* Unknowns that are not fixed fall into groups 0, 1, …, each of which depends on its own alone; -1
 * for fixed ones. Returns how many groups, or -1 without memory or beyond the budget. */
int linear_groups(struct linear *l, int *ret_group);
/* Is there a solution for this right-hand side? ZERO_NO: none. ZERO_EXACT: yes. Otherwise: yes,
 * within the digits given or within rounding. */
enum zero linear_consistent(const struct linear *l, int column);
/* Is the equation one of those that depend on others? In a truss these are the displacements that
 * a mechanism leaves free: moves in some vector y != 0 with y A = 0. */
bool linear_moves(const struct linear *l, int equation);
/* Same rank, fixed and moving sets, consistency and zeros? */
bool linear_agrees(const struct linear *l, const struct linear *other);

/* ---- values ---- */
/* The value of an unknown that is fixed (of one that is not: in some solution). Means nothing where
 * the right-hand side has no solution. Its error is an estimate from how the refinement went. */
struct num linear_value(const struct linear *l, int unknown, int column);
/* Doubles alone lose 13 digits or more of the solution (refined values are right all the same). */
bool linear_is_nearly_singular(const struct linear *l);
/* Refinement failed, also in double-double, or a coefficient left the range of a double: the values
 * of this system are not to be shown. */
bool linear_is_unsettled(const struct linear *l);

/* The k-th vector x of a basis of A x = 0 (k < unknowns - rank): free unknown k is 1, the other
 * free ones 0. False without memory. */
bool linear_null(struct linear *l, int k, struct num *ret_x);
/* The k-th vector y of a basis of y A = 0 (k < equations - rank). */
bool linear_left_null(struct linear *l, int k, struct num *ret_y);
/* One y with y A = 0, drawn at random (always the same one), its largest entry 1; entries that are
 * zero in all are 0 exactly. False without memory or where there is none. */
bool linear_motion(struct linear *l, double *ret_y);

/* ---- more right-hand sides in double, refined once: sensitivities ---- */
/* x of A x = b, b of `equations` (those left over don't count). Overwrites x alone. */
void linear_solve_again(struct linear *l, const double *b, double *ret_x);
/* A x. */
void linear_multiply(const struct linear *l, const double *x, double *ret_b);

/* Coefficients worked on so far. */
uint64_t linear_operations(const struct linear *l);

#endif
