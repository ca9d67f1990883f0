/* follow.h: what is wrong but follows from the student's own numbers. */
#ifndef MARKING_FOLLOW_H
#define MARKING_FOLLOW_H

#include "marking/rule.h"
#include "work/slip.h"

/* The numbers that a student handed in, for a replay: what is right is carried on in full. */
#define OWN_NUMBERS_MAX 200 /* beyond that a sheet is too long to follow */
struct own_numbers {
    struct slip_own own[OWN_NUMBERS_MAX]; /* by node */
    int judged[OWN_NUMBERS_MAX];          /* which of the judged items each is */
    bool is_doubtful[OWN_NUMBERS_MAX];    /* right, but carried on as it was handed in */
    int count;
};
void follow_own_numbers(struct items *items, const struct answer *a, const struct judged *judged,
                        int count, struct own_numbers *ret);

/* VERDICT_FOLLOWS for those of the judged that do. */
void follow_through(struct items *items, const struct answer *a, const struct marking *m,
                    struct judged *judged, int count);

#endif
