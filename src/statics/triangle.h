/* triangle.h: three forces in equilibrium as a closed triangle, by the sine and cosine laws. */
#ifndef STATICS_TRIANGLE_H
#define STATICS_TRIANGLE_H

#include "statics/particle.h"

/* The angle between two directions, 0 to 180°, as a difference of their angles from +x. Not named.
 */
q triangle_between(struct work *w, q a, q b);
/* An angle brought between 0 and a whole turn. Not named. */
q triangle_wrapped(struct work *w, q angle);
/* The size of what is known, and its angle from +x; the angle is shown as a step. */
q triangle_known_size(struct particle *p);
q triangle_known_angle(struct particle *p);

/* Plane: where the known force and what was found are three forces, work the triangle as well and
 * check that it agrees; other ways to the same numbers. Nothing where they are not three. */
void triangle_of_three(struct particle *p, const struct unknown_force *u);

#endif
