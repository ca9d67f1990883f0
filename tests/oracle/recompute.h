/* recompute.h: every node of a tape worked out again from its operands. */
#ifndef ORACLE_RECOMPUTE_H
#define ORACLE_RECOMPUTE_H

#include "work/work.h"

/* Work every scalar and vector node out again, by a switch of its own and in long double, from the
 * values of its operands. Where one differs by more than the rounding of one operation, returns
 * false and says in `text` which. */
bool recompute_all(const struct work *w, char *text, size_t capacity);

#endif
