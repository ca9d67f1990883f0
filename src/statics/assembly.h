/* assembly.h: bodies, what acts on them, and the equations of equilibrium of all of them.
 *
 * A column is one unknown number: a part of a reaction, a force along a line. Forces that are the
 * same unknown share one. Every equation of a body (plane: ΣF_x, ΣF_y, ΣM; space: three sums of
 * forces, three of moments) is a row. */
#ifndef STATICS_ASSEMBLY_H
#define STATICS_ASSEMBLY_H

#include "statics/exact.h"
#include "statics/reaction.h"
#include "statics/system.h"
#include "vector/linear.h"

#define NO_BODY (-1)

/* A place where unknowns act, once however often it is given. */
struct site {
    int point;
    const char *name; /* of the point, or of what acts there first */
    qv place;
    struct exact at;
};

/* An entry of the answer: a support, a force, a pin between bodies. */
struct unknown {
    const char *name, *kind, *reason;
    const struct force_input *force; /* NULL: a support or pin */
    int site;
    int body, opposite; /* it acts as named on the one, reversed on the other (NO_BODY: none) */
    bool is_resultant;  /* it is what all forces shall add up to: it counts with a minus */
    struct reaction reaction;
    q times;                        /* of its column; {0}: once */
    int column[REACTION_PARTS_MAX]; /* of its parts */
    q value[REACTION_PARTS_MAX];    /* as answered; {0}: not fixed */
};

struct column {
    int unknown, part; /* whose number it is */
    bool is_couple;
    bool is_fixed;
    struct num value; /* as the solver found it */
    q hand;           /* as the working found it; {0}: not */
    q answer;
};

/* What one part exerts on one body for each unit of its column, free of roots where that can be:
 * its column counts `unit`s. */
struct pull {
    int unknown, part, column, body;
    int sign;            /* -1 on the opposite body, and of a required resultant */
    struct exact force;  /* zero of a couple */
    struct exact moment; /* about the assembly's origin */
};

struct assembly {
    struct board *b;
    const struct equilibrium_input *input;
    int body_count, per_body; /* equations of each: 3, 6 */
    struct system loads;
    struct unknown *unknown;
    int unknown_count;
    struct column *column;
    struct num *unit; /* of each column: its value is so many times the solver's unknown */
    int column_count;
    struct pull *pull;
    int pull_count;
    struct site *site;
    int site_count;
    struct exact origin; /* moments of the rows are about it */
    struct linear *linear;
    struct num *right; /* of each row: what the unknowns must add up to */
    int equations, rank;
    bool is_held; /* the loads can be held */
    double force_scale, moment_scale;
    int opened; /* equations along lines of their own, or about points of their own */
};

/* Read all loads and unknowns onto the board, the directions of the unknowns in steps. Faults go to
 * the board. */
void assembly_read(struct assembly *a, struct board *b, const struct equilibrium_input *input);
/* Solve. PROBLEM_NONE, or PROBLEM_WORK_LIMIT, PROBLEM_OVERLOADED, PROBLEM_INTERNAL. */
enum problem_code assembly_solve(struct assembly *a);

/* The part of a reaction that a column is. */
static inline const struct reaction_part *assembly_part(const struct assembly *a, int column)
{
    const struct column *c = &a->column[column];
    return &a->unknown[c->unknown].reaction.part[c->part];
}
/* The right-hand side of a row. */
double assembly_right(const struct assembly *a, int row);

/* The name of a body; NULL where there is one only. */
const char *assembly_body_name(const struct assembly *a, int body);
/* A name for a new point: `wanted`, with primes where points have it. */
const char *assembly_free_name(const struct assembly *a, const char *wanted);
/* The site at a point. */
int assembly_site(struct assembly *a, int point, const char *owner);

#endif
