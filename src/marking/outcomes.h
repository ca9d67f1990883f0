/* outcomes.h: the numbers that every slip gives, and every two, for the items of one request.
 *
 * None of them depends on an answer: what is worked for one answer of a class serves the others. */
#ifndef MARKING_OUTCOMES_H
#define MARKING_OUTCOMES_H

#include "marking/items.h"
#include "work/slip.h"

/* Nodes times chances: a large truss is marked, and its mistakes are not named. Nodes times pairs
 * of one answer: no pair is named. */
#define REPLAY_BUDGET 20000000u

/* Numbers that differ less are the same, of their size. */
#define SAME_NUMBER 1e-9

/* An outcome is a list of `slots` doubles: one for each item that is a number, three for a
 * direction. */
struct outcomes {
    struct items *items;
    int *slot; /* where an item's numbers stand in an outcome; −1: it is in none */
    int slots;
    const struct slip_chance *chance; /* those of the tape, and some of all answers at once */
    uint32_t count;
    bool is_beyond;  /* too many chances for so large a problem: none is tried */
    double *right;   /* the key */
    double *one;     /* count outcomes of one slip each; NaN: cannot be worked */
    bool *is_silent; /* changes none of the items */

    struct retrace *retrace;
    struct kept ***two; /* by both chances, a row when it is first needed; NULL: not kept */
    size_t kept_bytes;
    double *last_two; /* where nothing more is kept: the last outcome of two */
    double *early;    /* EARLY_WAYS outcomes; NULL: not yet worked */
};

/* Replay every chance for the items marked in `is_asked` (items->count flags). NULL: no memory. */
struct outcomes *outcomes_new(struct items *items, const bool *is_asked);

static inline const double *outcome_of_one(const struct outcomes *o, uint32_t c)
{
    return o->one + (size_t)c * (size_t)o->slots;
}

/* Of two at once, a before b; valid until the next call. Adds to *work how many numbers it takes,
 * whether or not they were worked before: an answer is marked in a class as it is alone. */
const double *outcome_of_two(struct outcomes *o, uint32_t a, uint32_t b, uint64_t *work);

/* Of rounding too early, in each of the ways that it is done. NULL: no memory. */
#define EARLY_WAYS 20
const double *outcome_of_early(struct outcomes *o, int way);

#endif
