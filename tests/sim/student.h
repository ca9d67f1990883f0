/* student.h: an honest student who works a resultant by hand and rounds what is written down.
 *
 * Plain arithmetic of its own, nothing of the tape: sines and cosines, lengths, components,
 * products and sums to three figures as they are written, angles to 0.1 degrees. The habits in
 * which students differ (an angle or the ratio for a slope, moments by components or by the arm, …)
 * are drawn. */
#ifndef SIM_STUDENT_H
#define SIM_STUDENT_H

#include <stdbool.h>

#include "oracle/exercise.h"

struct habits {
    bool four_after_one;   /* four figures where the leading digit is 1 */
    bool writes_sines;     /* rounds a sine or cosine before multiplying */
    bool slopes_as_angles; /* 5/12 becomes 22.6 degrees */
    bool writes_ratios;    /* rounds R_y/R_x before the arctangent, R_x/R before the arccosine */
    bool writes_units;     /* space: rounds the unit vector before multiplying */
    bool shadow_first;     /* space: the projection on the plane, then its components */
    bool third_as_angle;   /* space: gamma to 0.1 degrees, then its cosine */
    bool by_arm;           /* plane: the force times its perpendicular distance */
    bool lever_first;      /* plane: x sin θ, then times the force */
    bool by_triangle;      /* plane, two forces: cosine law, then sine law */
};
void habits_draw(struct draw *d, struct habits *h);
/* The habits in words, for a message. */
void habits_say(const struct habits *h, char *text, unsigned long capacity);

enum quantity {
    QUANTITY_COMPONENT,
    QUANTITY_MAGNITUDE,
    QUANTITY_ANGLE,
    QUANTITY_MOMENT,
    QUANTITY_ARM,
    QUANTITY_INTERCEPT,
    QUANTITY_UNIT, /* a component of R's unit vector */
    QUANTITY_MAX_
};

struct written {    /* one number the student hands in */
    const char *of; /* path into the answer */
    enum quantity quantity;
    double value;
};

#define WRITTEN_MAX 24

/* What the student hands in; the count. */
int student_work(const struct exercise *e, const struct habits *h, struct written *written);

#endif
