/* fit.h: how well what was handed in fits what a slip gives. */
#ifndef MARKING_FIT_H
#define MARKING_FIT_H

#include "marking/outcomes.h"
#include "marking/rule.h"

/* A slip is recognised more tightly than an answer is marked. */
#define MATCH_OF_SCALE 0.005
/* A direction by itself: written to 0.1°, of a line written to three figures. */
#define MATCH_ANGLE (0.25 * RADIANS_PER_DEGREE)
/* Of these, where one number is all there is: chance matches are frequent. */
#define MATCH_ALONE 0.3

/* One of the judged items beside its place in the outcomes. */
struct compared {
    const struct item *item;
    const struct given_item *given; /* NULL: not handed in, or no number: it is not compared */
    int slot;
};

/* What was handed in for the asked items. */
struct handed {
    struct outcomes *o;
    const struct answer *a;
    const struct judged *judged;
    struct compared *compared; /* of each of the judged */
    int count;
    double margin; /* 1, or MATCH_ALONE */
};

/* In the arena. False: no memory. */
bool handed_init(struct handed *h, struct outcomes *o, const struct answer *a,
                 const struct judged *judged, int count);

/* Below, `i` is one of the judged that is compared. */

/* How far the number handed in is from an outcome's (its place in it given), over how far it may
 * be. */
double fit_apart(const struct handed *h, int i, const double *slot);
/* Is it so far at most? */
bool fit_number(const struct handed *h, int i, const double *outcome, double margin);
/* Is the number the same in two outcomes? */
bool fit_same_number(const struct handed *h, int i, const double *a, const double *b);
/* Do two outcomes give the same numbers for all that was handed in? */
bool fit_same_class(const struct handed *h, const double *a, const double *b);
/* The largest misfit over all that was handed in, each over `margin`; HUGE_VAL as soon as one does
 * not fit. */
double fit_all(const struct handed *h, const double *outcome, double margin);
/* The share of the margins within which this chance is to fit. */
double fit_margin(const struct outcomes *o, uint32_t chance);

#endif
