/* hand.h: the order in which a careful instructor writes the equations of equilibrium of bodies.
 *
 * One equation for one unknown as long as there is one: a sum of forces square to all others, a sum
 * of moments about the point where the others meet, in space about a line that the others meet or
 * are parallel to. Otherwise the smallest group of equations that stands by itself, solved
 * together. What meets and what is parallel is asked of exact numbers. */
#ifndef STATICS_HAND_H
#define STATICS_HAND_H

#include "statics/equation.h"
#include "statics/substitution.h"

/* Larger problems are answered without steps. */
#define HAND_COLUMNS_MAX 48

/* A body without loads that others hold at two points only: its force acts along the line through
 * them. */
struct strut {
    int body;
    int unknown[2];    /* the entries at its ends; unknown[1] is pulled along `unit`, unknown[0]
                          against it, where it is in tension */
    int sign[2];       /* −1 where the entry is reversed on it */
    struct exact line; /* from the first end to the second */
    qv unit;
};

/* What is found in one stroke: a column, or the force in a strut. */
struct hand_unknown {
    int column; /* −1: a strut */
    int strut;
    q value; /* {0}: not yet */
};

struct hand {
    struct assembly *a;
    struct strut *strut;
    int strut_count;
    struct hand_unknown unknown[HAND_COLUMNS_MAX];
    int count;
    uint64_t open; /* bits of unknowns that statics fixes and that are not found yet */
    struct equation *used;
    int solved[HAND_COLUMNS_MAX + 1]; /* by each of them, −1: several together */
    int used_count;
    int together;               /* how many were found in groups, for statistics */
    bool is_one_section;        /* all is written into the section that is open */
    bool skips_signs;           /* nothing is said of signs: parts of a force only */
    struct substitution worked; /* the last equations solved together, and for which unknowns */
    uint64_t worked_group;
};

/* Too many unknowns for steps? */
bool hand_is_beyond(const struct assembly *a);
/* Find the struts and say so in steps. */
void hand_begin(struct hand *h, struct assembly *a);
/* Work all columns that are fixed in steps, as far as there is a way: column[].hand. */
void hand_work(struct hand *h);
/* Equations that were not used, as checks. */
void hand_check(struct hand *h);
/* Where answers are to be checked: all usual sums with what was found in them. */
void hand_balances(struct hand *h);
/* Where the key is asked for: another usual equation for each answer, as its alternative. */
void hand_alternatives(const struct hand *h);

/* ---- sets of unknowns, one bit each ---- */

static inline uint64_t hand_bit(int unknown) { return (uint64_t)1 << unknown; }
static inline int hand_first(uint64_t set) /* of a set that is not empty */
{
    return __builtin_ctzll(set);
}
static inline int hand_bits(uint64_t set) { return __builtin_popcountll(set); }

/* ---- strut.c ---- */

/* Find the bodies that two forces hold, and put their lines on the tape in steps. */
void strut_find_all(struct hand *h);
/* Is this unknown of the assembly at the end of a strut? */
bool strut_has_end(const struct hand *h, int unknown);
/* The factor of a strut's force in an equation, each end by its components: exactly, over the
 * length of `line`; and on the tape. */
struct num strut_factor(const struct hand *h, const struct equation *e, const struct strut *s);
struct signed_q strut_coefficient(const struct hand *h, const struct equation *e,
                                  const struct strut *s);
/* The components at the ends of a strut, once its force is known. */
void strut_split(const struct hand *h, const struct strut *s, q force);

/* ---- hand_choose.c: which equation next ---- */

/* An equation that may be written, and which unknowns are in it. */
struct candidate {
    struct equation equation;
    int class;  /* what an instructor tries first */
    int acting; /* unknown numbers that act at its centre */
    uint64_t unknowns;
};

struct candidates {
    struct candidate *list;
    int count, capacity;
};

void candidates_add(struct work *w, struct candidates *c, const struct candidate *fresh);
/* The sums along the axes and the moments about the places where unknowns act (in space about lines
 * through them along the axes). */
void hand_usual(const struct hand *h, struct candidates *ret);
/* Square to an unknown; about the point where two lines meet; in space about lines through two
 * places, and through a place along an unknown. */
void hand_further(const struct hand *h, struct candidates *ret);
/* The best equation that holds one of `open` alone, or −1. */
int hand_single(const struct candidates *c, uint64_t open);
/* The smallest group of open unknowns that as many equations hold alone: the equations are written
 * to *ret_rows (room for HAND_COLUMNS_MAX). 0 where there is none. */
uint64_t hand_group(const struct hand *h, const struct candidates *c, int *ret_rows);
/* Plane: the point where the lines of two forces meet. False: they are parallel. */
bool hand_meeting(const struct assembly *a, const struct pull *p, const struct pull *other,
                  struct exact *ret);
/* An equation as a candidate: which unknowns it holds. */
struct candidate hand_candidate(const struct hand *h, const struct equation *e);
/* The factor of an unknown in an equation, exactly. */
struct num hand_factor(const struct hand *h, const struct equation *e, int unknown);

/* ---- hand_solve.c: the equation written and solved ---- */

/* The factor of an unknown in an equation, on the tape. */
struct signed_q hand_coefficient(const struct hand *h, const struct equation *e, int i);
/* What unknowns that have a value are in the equation. */
void hand_found(const struct hand *h, const struct equation *e, int sign, struct terms *ret);
/* Write the equation and solve it for the one open unknown in it. */
void hand_solve_single(struct hand *h, struct candidate *c);
/* Solve these rows of `c` together for the unknowns in `group`; those among them that statics does
 * not fix stay open. */
void hand_solve_together(struct hand *h, const struct candidates *c, uint64_t group,
                         const int *rows, int row_count);
/* All that is known in an equation, found or given, added up; {0}: nothing. Opens the equation. */
q hand_sum(struct hand *h, struct equation *e);

/* ---- hand.c ---- */

/* Was the equation used to find something? */
bool hand_used(const struct hand *h, const struct equation *e);

/* ---- hand_other.c ---- */

/* Declare that it vanishes, where all unknowns in it were found. */
void hand_balance(struct hand *h, struct candidate *c);

#endif
