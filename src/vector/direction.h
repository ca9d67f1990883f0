/* direction.h: the ways in which a book gives a direction (the contract's forms), as data. */
#ifndef VECTOR_DIRECTION_H
#define VECTOR_DIRECTION_H

#include "vector/given.h"

/* A half-axis: +x is {0, +1}, −z is {2, −1}. */
struct half_axis {
    int axis; /* 0, 1, 2 */
    int sign; /* +1, −1; 0: not given */
};

enum direction_form {
    DIRECTION_NONE,    /* not given */
    DIRECTION_NULL,    /* "direction": null, of a zero force */
    DIRECTION_UNKNOWN, /* "direction": "unknown" */
    DIRECTION_ANGLE,
    DIRECTION_SLOPE,
    DIRECTION_AXIS,
    DIRECTION_VECTOR,
    DIRECTION_LINE,
    DIRECTION_ANGLES, /* direction angles */
    DIRECTION_AZIMUTH,
    DIRECTION_BEARING,
    DIRECTION_FORM_MAX_
};

enum angle_word { WORD_NONE, WORD_ACUTE, WORD_OBTUSE };

struct direction {
    enum direction_form form;
    const char *pointer;
    struct given
        angle; /* ANGLE; AZIMUTH: the azimuth; BEARING: the degrees (absent for plain N, E, S, W) */
    struct half_axis from, toward; /* ANGLE, AZIMUTH: sign 0 where not given; AXIS: from; BEARING: N
                                      or S from, E or W toward */
    bool clockwise;                /* ANGLE in the plane with "turn" */
    struct given elevation;        /* AZIMUTH */
    struct half_axis up;           /* AZIMUTH: its own, or sign 0 */
    struct given run, rise;        /* SLOPE */
    struct given component[3];     /* VECTOR */
    int line[2];                   /* LINE: indices of points (statics/input.h) */
    struct given
        direction_angle[3]; /* ANGLES: alpha, beta, gamma; absent where a word or nothing stands */
    enum angle_word word[3];
};

#endif
