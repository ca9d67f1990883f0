/* mistaken.h: a student who makes one known mistake, in plain arithmetic of its own.
 *
 * The mistakes are those of the catalogue (slips.def in src/work), worked out here once more from
 * what the exercise says, so that the service's naming is held against something that is not its
 * tape.
 */
#ifndef SIM_MISTAKEN_H
#define SIM_MISTAKEN_H

#include <stdbool.h>

#include "oracle/exercise.h"

/* What is handed in. */
struct handed_in {
    double component[3], size, angle; /* angle in degrees, plane */
    double moment;                    /* plane, about e->about */
};

enum asks { /* what the question asks */
            ASKS_COMPONENTS,
            ASKS_POLAR, /* magnitude and direction */
            ASKS_SIZE,  /* magnitude alone */
            ASKS_COMPONENTS_AND_MOMENT,
            ASKS_MOMENT,
            ASKS_MAX_
};

#define MISTAKEN_MAX 400

struct mistaken {
    const char *code;
    int force; /* that it was made with, or −1 */
    struct handed_in in;
};

/* Every single mistake that can be made in this exercise and shows in what is asked; how many.
 * `by_hand`: every component and product is written to three figures. *ret_right: without one. */
int mistaken_list(const struct exercise *e, enum asks asks, bool by_hand,
                  struct mistaken list[MISTAKEN_MAX], struct handed_in *ret_right);

#endif
