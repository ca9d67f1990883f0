/* oblique.h: a force along axes that need not be square to each other. */
#ifndef STATICS_OBLIQUE_H
#define STATICS_OBLIQUE_H

#include "statics/polar.h"

/* Resolve `force` along u, v (, w) by the parallelogram law, in steps; *ret_part: the signed parts,
 * named by `symbol` and the axis. `pointer` is where the axes are given. False where a fault was
 * found, or where `force` has no vector because one was found in it. */
bool oblique_parts(struct board *b, const struct direction *along, const char *pointer,
                   const struct polar *force, struct symbol symbol, q ret_part[3]);

#endif
