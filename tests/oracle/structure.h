/* structure.h: random particles, bodies, joined bodies, trusses and joints of trusses as requests:
 * every kind of support and form of direction, held enough, too little and too much. */
#ifndef ORACLE_STRUCTURE_H
#define ORACLE_STRUCTURE_H

#include "oracle/exercise.h"

/* The request; its call is returned, "/v1/truss". */
const char *structure_draw(struct draw *d, char *text, size_t capacity);

#endif
