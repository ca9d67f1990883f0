/* motion.h: how bodies may still move: the motions that no support and no pin prevents. */
#ifndef STATICS_MOTION_H
#define STATICS_MOTION_H

#include "statics/assembly.h"

enum motion_kind { MOTION_TRANSLATION, MOTION_ROTATION, MOTION_SCREW, MOTION_MAX_ };

/* One motion of a basis. With several bodies kind, direction and place are of the first that moves.
 */
struct motion {
    enum motion_kind kind;
    qv direction;           /* unit vector; {0}: a rotation in the plane */
    qv about;               /* a point that stays (of a screw, of its axis); {0}: a translation */
    const char *about_name; /* where the point has one */
    struct phrase text;     /* "turns about B" */
    const struct num *row;  /* what each row of the equations moves along: y with y A = 0 */
};

struct motions {
    struct motion *list;
    int count;
};

/* A basis of the motions left free, the plainest first; defined in steps. */
void motions_find(struct assembly *a, struct motions *ret);
/* "free_motions". */
void motions_put(struct work *w, const struct motions *m);

#endif
