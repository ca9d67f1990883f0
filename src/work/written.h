/* written.h: what a hand writes down (inside src/work only). */
#ifndef WORK_WRITTEN_H
#define WORK_WRITTEN_H

#include "work/work.h"

/* Is the number written on the sheet, and so rounded, before the work goes on with it? */
bool node_is_written(const struct work *w, const struct node *n);

#endif
