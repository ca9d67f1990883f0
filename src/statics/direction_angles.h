/* direction_angles.h: a direction by its angles with the axes. */
#ifndef STATICS_DIRECTION_ANGLES_H
#define STATICS_DIRECTION_ANGLES_H

#include "statics/aim.h"

/* Three angles, or two and a word for the third; as direction_aim. */
bool direction_by_angles(struct board *b, const struct direction *d, const char *owner,
                         struct aim *ret_aim);

#endif
