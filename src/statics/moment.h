/* moment.h: moments of forces about a place. */
#ifndef STATICS_MOMENT_H
#define STATICS_MOMENT_H

#include "statics/force.h"

/* Where moments are taken. */
struct centre {
    int point;        /* a point, or NO_PLACE: the origin */
    const char *name; /* "A"; "O" where the place has no name */
    qv place;
    bool is_origin;
};

/* The centre at a point of the problem; NO_PLACE: the origin. Its place is {0} where it is faulty.
 */
struct centre moment_centre(struct board *b, int point);

/* r × F of one load about the centre, in steps; {0} where the load acts at the centre itself. */
qv moment_of(struct board *b, const struct centre *c, const struct load *load);

/* Plane: the same moment as F times its arm, r sin φ: another way, without steps. A scalar. */
q moment_by_arm(struct board *b, const struct centre *c, const struct load *load);
/* The same again as F (x u_y) − F (y u_x), u its direction. */
q moment_by_levers(struct board *b, const struct centre *c, const struct load *load);

#endif
