/* statics.h: the computations. Each puts its input on the tape, works it as on the board, and sets
 * the answer. */
#ifndef STATICS_STATICS_H
#define STATICS_STATICS_H

#include "base/problem.h"
#include "statics/input.h"
#include "work/work.h"

/* One force into components; along oblique axes; onto a line (docs/resolve.md). */
enum problem_code statics_resolve(struct work *w, const struct resolve_input *input,
                                  struct problem *reterr);

/* Forces, couples and distributed loads to their resultant, or a force and a couple at a point
 * (docs/resultant.md). */
enum problem_code statics_resultant(struct work *w, const struct resultant_input *input,
                                    struct problem *reterr);

#endif
