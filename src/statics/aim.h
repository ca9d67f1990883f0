/* aim.h: a direction as the board uses it. */
#ifndef STATICS_AIM_H
#define STATICS_AIM_H

#include "statics/board.h"
#include "vector/direction.h"

/* A direction as a sign and a factor along each axis, so that F_x = −F cos 30° and F_y = F (5/13)
 * read as they are written. */
struct aim {
    struct {
        int sign; /* 0: square to this axis */
        q factor; /* {0}: along this axis */
    } part[3];
    qv vector; /* the vector that was divided by its length, without the signs above; else {0} */
    qv unit; /* the unit vector that the factors belong to, where a vector or a line was divided by
                its length; else {0} */
    struct {
        bool is_known; /* plane: θ = turn ± angle without an arctangent */
        int quarters;  /* the half-axis it is measured from: 0, 1, 2, 3 times 90° */
        int sense;     /* +1 counter-clockwise */
        q angle;       /* as typed; {0}: none */
    } turn;
};

/* The aim of a half-axis. */
struct aim aim_along(struct half_axis a);
/* The aim at an angle from one half-axis toward another. */
struct aim aim_between(struct work *w, struct half_axis from, struct half_axis toward, q angle);
/* The aim of a vector divided by its length. */
struct aim aim_over(struct work *w, qv v, q length);
/* The opposite direction. */
void aim_reverse(struct aim *aim);
/* Plane: turned by 90°, counter-clockwise for +1, clockwise for -1. */
struct aim aim_turned(struct work *w, const struct aim *aim, int sense);

/* The component along an axis of something of `size`: ±size·factor. */
q aim_part(struct work *w, const struct aim *aim, q size, int axis);
/* The vector of that size. */
qv aim_vector(struct work *w, const struct aim *aim, q size);
/* start ± size·factor: where one comes along an axis, going `size` from `start`. */
q aim_from(struct work *w, const struct aim *aim, q start, q size, int axis);
/* The unit vector. Not named. */
qv aim_unit(struct work *w, const struct aim *aim);
/* Plane: the angle from +x, 0 ≤ θ < 360°, where no arctangent is needed; else {0}. Not named. */
q aim_angle(struct work *w, const struct aim *aim);

/* θ as it is given out: 0 where it would print as a whole turn. */
q angle_below_turn(struct work *w, q angle);

#endif
