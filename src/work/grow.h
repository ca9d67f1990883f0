/* grow.h: lists of a work grow by doubling in its arena (inside src/work only). */
#ifndef WORK_GROW_H
#define WORK_GROW_H

#include "work/work.h"

/* Room for one more entry of `size` bytes in a list of `count` entries; false marks the work as
 * failed. */
bool work_grow(struct work *w, void **list, uint32_t *capacity, uint32_t count, size_t size);

/* Room for so many symbols more. */
void name_expect(struct work *w, uint32_t symbols);

#define GROW(w, list, count, capacity)                                                             \
    ((w)->count < (w)->capacity ||                                                                 \
     work_grow((w), (void **)&(w)->list, &(w)->capacity, (w)->count, sizeof *(w)->list))

#endif
