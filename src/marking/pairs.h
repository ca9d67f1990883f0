/* pairs.h: two mistakes at once. */
#ifndef MARKING_PAIRS_H
#define MARKING_PAIRS_H

#include "marking/fit.h"

/* The two chances that together give what was handed in, the first before the second, where no
 * others do nearly as well, and where a random answer would be matched by any of all the pairs more
 * rarely than once in 1000. False: none. */
bool pairs_find(const struct handed *h, uint32_t ret_chance[2]);

/* One class stands out where the next fits this much worse. */
#define STANDS_OUT 4.0
#define STANDS_OUT_AT_LEAST 0.35

#endif
