/* point.h: places, and the vectors between them. */
#ifndef STATICS_POINT_H
#define STATICS_POINT_H

#include "statics/board.h"

/* The position of point k: coordinates as typed, or worked out. {0} where a fault was found, or k
 * is NO_PLACE. */
qv point_place(struct board *b, int k);
/* Are all its coordinates 0? */
bool point_is_origin(struct board *b, int k);

/* The vector from one place to another; worked once and shown as a step. `owner` names it where a
 * place has no name of its own. NULL where a place is faulty. */
struct span *span_between(struct board *b, int from, int to, const char *owner);
/* Its length, worked once and shown as a step. */
q span_length(struct work *w, struct span *span);

/* AB; A1,B where letters alone would be ambiguous. */
const char *point_pair(struct board *b, const char *from, const char *to);

#endif
