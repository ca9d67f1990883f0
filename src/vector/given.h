/* given.h: a number as a request gave it, before it is on any tape. */
#ifndef VECTOR_GIVEN_H
#define VECTOR_GIVEN_H

#include <stdbool.h>
#include <stddef.h>

#include "vector/unit.h"

struct given {
    bool present;
    const char *text; /* the JSON number token as typed */
    size_t length;
    struct unit unit;    /* what it is measured in */
    bool has_own_unit;   /* typed as {"value", "unit"} */
    const char *pointer; /* JSON Pointer of the number in the request */
};

#endif
