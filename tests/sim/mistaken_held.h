/* mistaken_held.h: students who each make one known mistake with what is held: a load on two
 * cables, a beam on a pin and a roller, a joint of a truss. Plain arithmetic of their own. */
#ifndef SIM_MISTAKEN_HELD_H
#define SIM_MISTAKEN_HELD_H

#include "oracle/exercise.h"

enum held { HELD_CABLES, HELD_BEAM, HELD_BEAM_ONE, HELD_JOINT, HELD_MAX_ };

#define HELD_MISTAKES_MAX 80

struct held_mistake {
    const char *code;
    const char *at; /* JSON Pointer, or NULL */
    double x, y;    /* T1, T2; A_y, B; 0, B; the two members' forces */
};

/* What is written to two figures on the way. */
enum { EARLY_RATIOS = 1, EARLY_PRODUCTS = 2, EARLY_SUMS = 4, EARLY_ALL = 7 };

struct held_problem {
    enum held kind;
    char text[2048];                /* the problem of a check */
    double x, y;                    /* right */
    double early[EARLY_ALL + 1][2]; /* x, y of who rounds too early, by what is rounded */
    struct held_mistake mistake[HELD_MISTAKES_MAX];
    int count;
};

/* A random problem with every mistake that shows in its two numbers. */
void held_draw(struct draw *d, enum held kind, struct held_problem *ret);
/* The answer with these two numbers. */
void held_answer(enum held kind, double x, double y, char *text, size_t capacity);

#endif
