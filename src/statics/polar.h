/* polar.h: from components to size and direction, as the board goes: magnitude, quadrant, angle. */
#ifndef STATICS_POLAR_H
#define STATICS_POLAR_H

#include "statics/direction.h"

/* Magnitude and direction of a force. */
struct polar {
    qv vector;
    q magnitude;
    bool is_zero;
    qv unit; /* none of a zero force, like all that follows */
    /* Plane. */
    q angle;      /* 0 ≤ θ < 360° from +x */
    int quadrant; /* 1 to 4; 0 on an axis, and in space */
    q acute;      /* from the nearest half of the x axis; none on an axis */
    /* Space. */
    q direction_angle[3];
    q azimuth; /* none of a vertical force */
    q elevation;
    struct half_axis along; /* plane and space: the half-axis it lies along; sign 0: none */
};

/* Work out size and direction of `vector` (named `symbol`) in steps. `magnitude` and `aim` where
 * they are given; else {0} and NULL. */
struct polar polar_of(struct board *b, qv vector, struct symbol symbol, q magnitude,
                      const struct aim *aim);

/* The same of one of several forces that were unknown: its angles are named after it (θ_A), and
 * there is no unit vector, no azimuth and no note on the quadrant. */
struct polar polar_of_unknown(struct board *b, qv vector, const char *name, q magnitude,
                              const struct aim *aim);

/* θ of a plane vector that is not zero, by arctangent and quadrant, without steps: for another way
 * beside the working. */
q polar_plain_angle(struct work *w, qv v);
/* The acute angle of a plane vector on no axis with the x axis, without steps. */
q polar_acute_angle(struct work *w, qv v);

/* {"name", "components", "magnitude", "direction"} at `key` of `parent`: a force that a request may
 * take up. */
void polar_put_force(struct work *w, struct value *parent, const char *key, const char *name,
                     const struct polar *p);
/* "unit_vector", "quadrant" and, in space, "azimuth" and "elevation"; null where there is none. */
void polar_put_direction(struct work *w, struct value *parent, const struct polar *p);
/* "26.0 kN at 22.6° below +x". */
struct phrase polar_in_words(const struct polar *p);

#endif
