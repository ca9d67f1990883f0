/* truss_sight.h: an equation on a part of a truss, as what is looked along: a point for moments, or
 * a direction for forces. */
#ifndef STATICS_TRUSS_SIGHT_H
#define STATICS_TRUSS_SIGHT_H

#include "statics/truss_order.h"

enum sight_kind {
    SIGHT_POINT,   /* moments about joint a */
    SIGHT_SQUARE,  /* plane: forces square to unknown a */
    SIGHT_NORMAL,  /* space: forces square to unknowns a and b */
    SIGHT_AXIS,    /* forces along axis a */
    SIGHT_MEETING, /* plane: moments about the point where unknowns a and b meet */
    SIGHT_LINE,    /* space: moments about the line through joints a and b */
    SIGHT_ALONG    /* space: … through joint a along unknown b */
};

struct sight {
    enum sight_kind kind;
    int a, b;
    struct exact centre, direction; /* as far as it has them */
    double at[3], along[3];         /* the same in doubles, along of length 1 */
};

/* From its kind, a and b. False: there is no such point or direction. */
bool sight_look(const struct order *o, struct sight *s);
/* Is the unknown in the equation? */
bool sight_counts(const struct order *o, const struct sight *s, int unknown);
/* What the equation is by: sites and forces of the cut. False: they are not there. */
bool sight_write(struct order *o, struct part *p, const struct sight *s, struct equation *ret);

#endif
