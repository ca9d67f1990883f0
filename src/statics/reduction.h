/* reduction.h: a system of loads as a force and a couple at a centre; its line of action; its
 * wrench. */
#ifndef STATICS_REDUCTION_H
#define STATICS_REDUCTION_H

#include "statics/moment.h"
#include "statics/polar.h"
#include "statics/system.h"

struct reduction {
    struct centre centre;
    bool is_about_line; /* moments about a line are asked for, through these points */
    int line[2];
    qv couple; /* M_O; in the plane only its z component */
    q couple_magnitude;
    q arm;      /* none where the resultant is zero, like all that follows but the line */
    qv nearest; /* the point of the line of action (of the axis in space) nearest the centre */
    q x_intercept, y_intercept; /* plane; none where the line is parallel */
    q pitch;                    /* space */
    qv wrench_couple;
    qv axis; /* the unit vector of the line */
    q line_moment;
    qv line_couple;
};

/* Read where moments are taken. False where a fault was found. */
bool reduction_read(struct board *b, const struct resultant_input *input, struct reduction *ret);
/* Work it out in steps. */
void reduction_work(struct board *b, const struct system *s, const struct polar *R,
                    struct reduction *r);
/* "equivalent", "about_line", "line_of_action" or "wrench". */
void reduction_put(struct work *w, const struct polar *R, const struct reduction *r);

#endif
