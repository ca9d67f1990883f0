/* projection.h: a force onto a line. */
#ifndef STATICS_PROJECTION_H
#define STATICS_PROJECTION_H

#include "statics/polar.h"

struct projection {
    q component;      /* signed along the line */
    qv parallel;      /* component · λ */
    qv perpendicular; /* what is left of the force */
    q perpendicular_magnitude;
    q angle; /* between force and line, 0° to 180°; none of a zero force */
};

/* Project `force` onto a direction, in steps. */
struct projection projection_of(struct board *b, const struct polar *force, struct symbol symbol,
                                const struct aim *line);

/* {"component", "parallel", "perpendicular", "perpendicular_magnitude", "angle"} at `key`. */
void projection_put(struct work *w, const char *key, const struct projection *p);

#endif
