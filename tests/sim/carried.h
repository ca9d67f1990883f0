/* carried.h: students who write one wrong number and carry it on correctly, by plain arithmetic of
 * their own, three figures on every line.
 *
 * What is wrong is a component, a moment, a reaction, a member force; what comes after is worked
 * from it as a student would, in an order that is drawn. */
#ifndef SIM_CARRIED_H
#define SIM_CARRIED_H

#include "oracle/exercise.h"

enum carried_kind {
    CARRIED_POLAR,  /* R_x or R_y; then R and its angle */
    CARRIED_SPACE,  /* a component; then R and its direction */
    CARRIED_LINE,   /* R_x, R_y or M; then R, the arm and the intercepts */
    CARRIED_BEAM,   /* one reaction; then the other from the sum of forces */
    CARRIED_CABLES, /* T1 or T2; then the other from one of the sums */
    CARRIED_ARCH,   /* three hinges: a reaction; then the others and the pin */
    CARRIED_JOINT,  /* one member; then the other */
    CARRIED_TRUSS,  /* a reaction or a member; then joint by joint */
    CARRIED_MAX_
};

#define CARRIED_MAX 24

struct carried {
    enum carried_kind kind;
    const char *name;
    char problem[4096]; /* {"kind": …} */
    int count;
    double number[CARRIED_MAX]; /* as handed in, in the order of the items */
    int wrong;                  /* which is wrong by itself */
    int last;                   /* one of those that follow, on which nothing else rests; or −1 */
};

/* By how much a wrong number is off: its factor. */
double carried_factor(struct draw *d);
void carried_draw(struct draw *d, enum carried_kind kind, struct carried *ret);
/* The answer with those numbers. */
void carried_answer(const struct carried *c, char *text, unsigned long capacity);

#endif
