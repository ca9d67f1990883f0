/* judge.h: which items of an answer are right (the rule stands in docs/check.md). */
#ifndef MARKING_JUDGE_H
#define MARKING_JUDGE_H

#include "marking/answer.h"
#include "work/slip.h"

struct marking {
    int figures;     /* an answer that equals the key at so many significant figures is right */
    double relative; /* tolerance: of the size of its vector for a component, otherwise of itself */
    double angle;    /* of angles, in the problem's unit */
    bool reveal;
    int attempt; /* from 1 */
};

enum verdict { VERDICT_CORRECT, VERDICT_FOLLOWS, VERDICT_INCORRECT, VERDICT_MISSING, VERDICT_MAX_ };

/* One item of one answer. */
struct judged {
    int item; /* −1: something that the key does not have */
    const char *of;
    enum verdict verdict;
};

/* The items of `asked` (in order, each once) judged into `ret_judged`, follow-through included. */
void judge(struct items *items, const struct answer *a, const struct marking *rules,
           const int *asked, int asked_count, struct judged *ret_judged);

/* Where the number of an item is worked out, before it goes by other names: later lines may use any
 * of them. 0: a direction of several numbers. */
uint32_t judge_node_of(const struct work *w, const struct item *item);

/* The numbers that a student handed in, for a replay: what is right is carried on in full. */
#define OWN_NUMBERS_MAX 200 /* beyond that a sheet is too long to follow */
struct own_numbers {
    struct slip_own own[OWN_NUMBERS_MAX]; /* by node */
    int judged[OWN_NUMBERS_MAX];          /* which of the judged items each is */
    bool is_doubtful[OWN_NUMBERS_MAX];    /* right, but carried on as it was handed in */
    int count;
};
void judge_own_numbers(struct items *items, const struct answer *a, const struct judged *judged,
                       int count, struct own_numbers *ret);

/* How far apart two directions are, in radians. */
double judge_angle_between(const double a[3], const double b[3]);

#endif
