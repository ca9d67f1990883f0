/* closing.h: plane forces that close a triangle: the line of an unknown magnitude, the parts of
 * what is known, and the solutions; for two_unknowns.c, two_directions.c and smallest.c. */
#ifndef STATICS_CLOSING_H
#define STATICS_CLOSING_H

#include "statics/particle.h"

struct pull_line {
    const struct particle_force *force; /* whose magnitude it is */
    struct aim aim;                     /* what one unit of it adds to the forces … */
    q length;                           /* … and how much of it; {0}: 1 */
    bool is_nothing;                    /* its pulls cancel */
};

struct solutions {
    struct unknown_force *u[2];
    int count;
    q left_over; /* of the first */
};

/* The line of the unknown number `scalar`; where it pulls along several, the sum of their unit
 * vectors, shown in steps. Its force is NULL where no magnitude is that number. */
struct pull_line closing_line(struct particle *p, int scalar);
/* What is known, added up; a zero vector where nothing is. */
qv closing_known(struct particle *p);
/* x named, and shown as a step. */
q closing_step(struct work *w, q x, struct symbol s);
/* −(a + b)/length; b and length may be {0}. */
q closing_minus_over(struct work *w, q a, q b, q length);
/* A part of what a turned force must be, by the side of the equation it stands on. */
q closing_side(struct work *w, const struct particle_force *f, q x);
/* The components of a force that was turned, named and shown. */
qv closing_turned(struct work *w, const struct particle_force *f, q x, q y);

/* The entries for one set of numbers: `magnitude` of the line's number, `turned` of each force
 * whose direction was found (first, second). Checks that they balance. */
void closing_add(struct particle *p, struct solutions *a, const struct pull_line *line, q magnitude,
                 const qv turned[2]);
/* The state, and the solutions, into the answer. */
void closing_put(struct particle *p, const struct solutions *a);

/* ---- what is said ---- */
void closing_note_touching(struct work *w);
/* A root that would turn a magnitude against its direction. */
void closing_refuse(struct particle *p, q value);
/* No triangle closes, for this reason. */
void closing_refuse_all(struct work *w, struct phrase text);
void closing_out_of_scope(struct particle *p, const char *pointer, const char *text);

#endif
