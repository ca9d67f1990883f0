/* measure.h: an item of the key with what judging needs. */
#ifndef MARKING_MEASURE_H
#define MARKING_MEASURE_H

#include "marking/items.h"

/* The scratch, or NULL without memory. */
double *items_values(struct items *items);

/* The item with what judging needs. */
const struct item *item_measured(struct items *items, int i);

/* Where the number of an item is worked out, before it goes by other names: later lines may use any
 * of them. 0: a direction of several numbers. */
uint32_t item_node(const struct work *w, const struct item *item);

#endif
