/* equation.h: one equation of equilibrium: which unknowns it holds, exactly; and the same on the
 * tape, term by term, as it stands on the board. */
#ifndef STATICS_EQUATION_H
#define STATICS_EQUATION_H

#include "statics/assembly.h"

#define NO_SITE (-1)

struct equation {
    int body; /* of which body; NO_BODY: of all together, where what joins them cancels */
    bool is_moment;
    int axis; /* forces along it, moments about it (plane: 2); -1: along `direction` */
    struct exact direction; /* unless an axis; any length */
    struct exact centre;    /* of moments */
    int site;               /* where the centre is; NO_SITE: where two lines meet */
    int other;              /* a line of moments goes on through this site, or NO_SITE */
    int line[2];            /* columns: the lines that meet at the centre, or that the direction is
                               square to (line[0]; -1 where it is not) */
    /* On the tape, once opened. */
    bool is_opened;
    qv unit;          /* of the direction */
    qv place;         /* of the centre */
    const char *name; /* of the centre or line */
};

/* A factor of a term: 0, ±1 (x none), ±x. */
struct signed_q {
    int sign;
    q x;
};

/* A list of terms that grows in the arena. */
struct terms {
    struct work *w;
    q *term;
    uint32_t count, capacity;
};
void terms_add(struct terms *t, struct signed_q term);
/* Their sum; {0} where there are none. */
q terms_sum(const struct terms *t);

/* The factor of a column in the equation, exactly: it counts `unit`s (assembly.h). */
struct num equation_factor(const struct assembly *a, const struct equation *e, int column);

/* Define in steps what the equation needs: the point where lines meet, a unit vector. */
void equation_open(struct assembly *a, struct equation *e);
/* The factor of a column, on the tape. */
struct signed_q equation_coefficient(const struct assembly *a, const struct equation *e,
                                     int column);
/* A coefficient times an unknown: "6 B_y" in a moment, "T cos 30°" in a sum of forces. */
struct signed_q equation_term(const struct assembly *a, const struct equation *e,
                              struct signed_q coefficient, q unknown);
/* The loads' terms, with `sign`. */
void equation_loads(const struct assembly *a, const struct equation *e, int sign,
                    struct terms *ret_terms);

/* The same for another way to an unknown, which is not shown: no slip is looked for in it. by_arm:
 * moments of loads as magnitude times arm. */
void equation_loads_otherwise(const struct assembly *a, const struct equation *e, int sign,
                              bool by_arm, struct terms *ret_terms);

/* left = 0 as a step, under its label. */
void equation_show(const struct assembly *a, const struct equation *e, q left);
/* left as a check, which comes out as 0. */
void equation_check(const struct assembly *a, const struct equation *e, q left, struct phrase p);
/* "Sum of forces along x", "Moments about A"; for one of several bodies with its name. */
struct phrase equation_title(const struct assembly *a, const struct equation *e);
/* The dimension of its terms: a force or a moment. */
struct dimension equation_dimension(const struct equation *e);

#endif
