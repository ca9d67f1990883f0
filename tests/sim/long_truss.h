/* long_truss.h: an honest student who works a long plane truss by hand, joint by joint or by
 * sections.
 *
 * Plain arithmetic of its own, nothing of the tape: lengths, sines and cosines, components, moments
 * and sums to three figures as they are written, angles to 0.1 degrees. */
#ifndef SIM_LONG_TRUSS_H
#define SIM_LONG_TRUSS_H

#include <stdbool.h>
#include <stddef.h>

#include "oracle/exercise.h"

#define PANELS_MAX 24
#define LONG_JOINTS_MAX (2 * PANELS_MAX)
#define LONG_MEMBERS_MAX (4 * PANELS_MAX)

/* Lower joints L0 … Ln, upper joints U1 … U(n−1) above them; a pin at L0, a roller at Ln; loads at
 * lower joints. */
struct long_truss {
    int panels, joints, members;
    char name[LONG_JOINTS_MAX][16];
    double place[LONG_JOINTS_MAX][2];
    int member[LONG_MEMBERS_MAX][2];
    double load[PANELS_MAX + 1];    /* downward, of each lower joint */
    double support[PANELS_MAX + 1]; /* upward, of each lower joint, exactly: 0 but at both ends */
};

/* Pratt or Howe, level or with a bent upper chord, all loads alike or each its own. */
void long_truss_draw(struct draw *d, int panels, struct long_truss *ret);
/* As the members of a request, without braces. */
void long_truss_write(const struct long_truss *t, char *text, size_t capacity);

enum long_truss_method {
    FROM_BOTH_ENDS, /* from either end to the middle */
    FROM_LEFT,      /* straight through */
    FROM_RIGHT,
    BY_SECTIONS, /* chords by moments, where the chords are level diagonals by a sum of forces */
    LONG_TRUSS_METHOD_MAX_
};

struct long_truss_habits {
    enum long_truss_method method;
    bool four_after_one;   /* four figures where the leading digit is 1 */
    bool slopes_as_angles; /* 5/12 becomes 22.6 degrees */
    bool writes_lengths;   /* rounds a length before it divides by it */
    bool writes_sines;     /* rounds a sine or cosine before multiplying */
    bool writes_parts;     /* rounds each component of a force before adding */
    bool writes_sums;      /* rounds the sum of what is known */
};
void long_truss_habits_draw(struct draw *d, struct long_truss_habits *ret);
void long_truss_habits_say(const struct long_truss_habits *h, char *text, size_t capacity);

/* The force of each member, tension positive; NAN: not worked by this method. */
void long_truss_work(const struct long_truss *t, const struct long_truss_habits *habits,
                     double *ret_force);

#endif
