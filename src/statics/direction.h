/* direction.h: every way in which a direction is given, as the board uses it. */
#ifndef STATICS_DIRECTION_H
#define STATICS_DIRECTION_H

#include "statics/aim.h"

/* Read a direction; `owner` names what the working has to define on the way (h_P, d_P, r_AB).
 * `reversed`: the opposite direction. False where a fault was found. */
bool direction_aim(struct board *b, const struct direction *d, const char *owner, bool reversed,
                   struct aim *ret_aim);
/* How far off the rounding of the typed angles may turn it, in radians; 0 where no angle was typed.
 */
double direction_rounding(const struct direction *d);

#endif
