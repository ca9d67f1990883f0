/* distributed.h: a load along a line replaced by its resultant at its centroid. */
#ifndef STATICS_DISTRIBUTED_H
#define STATICS_DISTRIBUTED_H

#include "statics/force.h"

/* A distributed load becomes one force (*ret_load) or, where its total is zero, one couple
 * (*ret_couple, a moment vector); the other has no vector. False where a fault was found. */
bool distributed_resultant(struct board *b, const struct distributed_input *in,
                           struct load *ret_load, qv *ret_couple);

#endif
