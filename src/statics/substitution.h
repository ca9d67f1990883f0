/* substitution.h: linear equations of statics solved on the tape as on the board: an equation with
 * one unknown first; otherwise one unknown is expressed by the others and put into what is left. */
#ifndef STATICS_SUBSTITUTION_H
#define STATICS_SUBSTITUTION_H

#include "work/work.h"

/* ±factor in front of an unknown. */
struct coefficient {
    int sign; /* 0: the unknown is not in the equation */
    q factor; /* {0}: 1 */
};

/* Σ coefficient · unknown + known = 0 */
struct board_equation {
    struct coefficient *coefficient; /* one an unknown */
    q known;                         /* {0}: nothing is known to enter */
    const char *name;                /* for prose: "ΣF_x = 0" */
};

struct substitution {
    struct board_equation *equation;
    int equation_count, unknown_count;
    struct symbol *symbol;      /* of each unknown */
    bool *is_fixed;             /* has it one value only? Decided by the solver before */
    struct dimension dimension; /* of the unknowns … */
    bool *is_couple;            /* … times a length, of those that are couples */
    q *hand;                    /* out: each fixed unknown worked by hand, named; else {0} */
};

/* What is left of the space for it is {0}; false without memory. */
bool substitution_new(struct work *w, struct substitution *s, int equations, int unknowns);

struct elimination_by_hand;
/* Solve by hand; fills s->hand. The steps follow when the equations have been shown, which need the
 * numbers as their symbols. NULL without memory. */
struct elimination_by_hand *substitution_solve(struct work *w, const struct substitution *s);
void substitution_show(struct work *w, struct elimination_by_hand *e);
/* Both, where the equations need no symbols of the unknowns before. */
void substitution_work(struct work *w, const struct substitution *s);

/* Where equations and unknowns are two or three, all fixed: every other usual order of elimination,
 * and for two also the determinants, as other ways to answer[j]. No steps. */
void substitution_alternatives(struct work *w, const struct substitution *s, const q *answer);

/* coefficient · x as a term with its sign. */
q coefficient_times(struct work *w, struct coefficient c, q x);

#endif
