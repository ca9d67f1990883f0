/* exact.h: vectors of numbers that are not on the tape: for questions (which lines meet, which are
 * parallel) whose arithmetic is not shown. */
#ifndef STATICS_EXACT_H
#define STATICS_EXACT_H

#include "statics/direction.h"

struct exact {
    struct num c[3]; /* in the plane a place or a force has 0 for z */
};

struct exact exact_zero(const struct field *f);
/* A unit vector along an axis. */
struct exact exact_axis(const struct field *f, int axis);
/* The numbers of a vector on the tape; components that are none are 0. */
struct exact exact_of(const struct work *w, qv v);

struct exact exact_sub(const struct field *f, struct exact a, struct exact b);
struct exact exact_add(const struct field *f, struct exact a, struct exact b);
struct exact exact_scale(const struct field *f, struct num s, struct exact a);
struct exact exact_cross(const struct field *f, struct exact a, struct exact b);
struct num exact_dot(const struct field *f, struct exact a, struct exact b);

/* The direction of an aim without roots where that can be: the vector that was divided by its
 * length. */
struct exact exact_line(const struct work *w, const struct aim *aim);

/* Directions that are independent of each other. */
struct exact_span {
    struct exact basis[3];
    int rank;
};
/* Take in a direction, unless those that are there reach it already: true where it is new. */
bool exact_span_add(const struct field *f, struct exact_span *s, struct exact d);

/* Is it zero: exactly, or within the digits given, or within rounding (num_zero)? */
bool num_is_zero(struct num x);
bool exact_is_zero(struct exact a);
/* Its length, for scales. */
double exact_length(struct exact a);

#endif
