/* diagnose.h: which mistake explains a wrong answer.
 *
 * Every chance of a slip that the base run declared is replayed once for a request, and its numbers
 * are compared with what was handed in, tighter than marking does. A slip explains an answer where
 * every number handed in is the one it gives. Chances that give the same numbers are one class. Two
 * classes that fit are both named ("one of these"). Where no slip fits alone, two at once are tried
 * if there are numbers enough that a chance match of all pairs is rarer than PAIRS_BY_CHANCE; then
 * a slip that explains two or more of the wrong numbers, given the student's own others; then
 * rounding too early. */
#ifndef MARKING_DIAGNOSE_H
#define MARKING_DIAGNOSE_H

#include "marking/outcomes.h"
#include "marking/rule.h"

#define MISTAKES_MAX 4     /* named in one answer */
#define ALTERNATIVES_MAX 6 /* codes of one class */

/* A class of chances that give the same numbers. */
struct mistake {
    const struct slip_chance *chance; /* the first of the class */
    enum slip code[ALTERNATIVES_MAX]; /* each once, in the order of the catalogue */
    int code_count;
    bool is_same_at; /* all chances of the class have the place of the first */
    int *explains;   /* items, wrong ones that it gives */
    int explains_count;
};

struct diagnosis {
    struct mistake mistake[MISTAKES_MAX];
    int count;
    bool is_one_of;  /* several classes fit: it is one of them, not all */
    bool is_unnamed; /* something is wrong, and no mistake explains it */
    bool is_near;    /* unnamed, and every number is within NEAR_OF_SCALE of the key */
};

/* What explains this answer, some item of which is wrong; `judged` are its asked items. False: no
 * memory. */
bool diagnose(struct outcomes *outcomes, const struct answer *a, const struct judged *judged,
              int count, struct diagnosis *ret);

#endif
