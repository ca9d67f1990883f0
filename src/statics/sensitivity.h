/* sensitivity.h: how nearly critical the geometry of supports is. */
#ifndef STATICS_SENSITIVITY_H
#define STATICS_SENSITIVITY_H

#include "statics/assembly.h"

/* Where all unknowns are fixed: the relative change of the largest force if the places of the
 * unknowns moved by 0.1 % of their least distance and single lines of action turned by 0.001 rad,
 * the worst of four patterns of signs, to first order. A note from 10 % on. */
void sensitivity_note(struct assembly *a);

#endif
