/* system.h: all loads of a problem on the tape, in steps: forces, distributed loads, couples. */
#ifndef STATICS_SYSTEM_H
#define STATICS_SYSTEM_H

#include "statics/force.h"

struct system {
    struct load *force; /* forces, then distributed loads that have a resultant */
    uint32_t force_count;
    qv *couple; /* couples, then distributed loads that are couples */
    uint32_t couple_count;
    int *couple_body;   /* whose they are, where there are several bodies */
    bool is_concurrent; /* no force has a place: they meet at the centre */
};

/* Work out every load whose size and direction are given. Faults go to the board. */
void system_put(struct board *b, struct system *ret_system);

#endif
