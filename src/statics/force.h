/* force.h: the loads of a problem on the tape: forces, weights, couples. */
#ifndef STATICS_FORCE_H
#define STATICS_FORCE_H

#include "statics/direction.h"

/* A force as it acts, `times` included. */
struct load {
    const char *name;
    const char *pointer; /* JSON Pointer into the request; NULL: a load of our own */
    struct symbol symbol;
    q magnitude;   /* {0} where it is given by its components */
    bool is_aimed; /* aim is set */
    struct aim aim;
    qv vector; /* its components are named: F_1x, F_1y (, F_1z) */
    qv place;  /* where it acts; {0}: nowhere in particular */
    int at;    /* the point, or NO_PLACE */
    int body;  /* whose it is, where there are several bodies */
};

/* Is its size or its direction to be found? */
bool force_is_unknown(const struct force_input *in);
/* One force that is given: magnitude, direction and components in steps. False where a fault was
 * found. */
bool force_load(struct board *b, const struct force_input *in, struct load *ret_load);

/* The size of a load: its magnitude, or the norm of its components (not named) where it is given by
 * them or where the total of a distributed load is negative. */
q load_size(struct work *w, const struct load *load);

/* One couple as a moment vector; in the plane only the z component is there. */
qv force_couple(struct board *b, const struct couple_input *in);

#endif
