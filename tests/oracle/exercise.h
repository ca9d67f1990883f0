/* exercise.h: random exercises as a book would set them: every form of direction, numbers as typed.
 *
 * The struct holds what a student reads; exercise_write says the same as a request. Directions are
 * also held as unit vectors worked out here, independently of the service. */
#ifndef ORACLE_EXERCISE_H
#define ORACLE_EXERCISE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct draw {
    uint64_t state;
};
uint64_t draw_bits(struct draw *d);
/* A whole number from `least` to `most`. */
int draw_int(struct draw *d, int least, int most);
/* A number from `least` to `most` with `places` decimals. */
double draw_decimal(struct draw *d, double least, double most, int places);
/* True once in `n` times. */
bool draw_one_in(struct draw *d, int n);

enum way { /* how a direction is given */
           WAY_ANGLE,
           WAY_FROM, /* an angle from one half-axis toward another */
           WAY_TURN, /* from a half-axis, clockwise or counter-clockwise */
           WAY_SLOPE,
           WAY_AXIS,
           WAY_VECTOR,
           WAY_LINE,
           WAY_ANGLES, /* alpha and beta, and a word for gamma */
           WAY_AZIMUTH,
           WAY_BEARING,
           WAY_COMPONENTS, /* no direction: the components themselves */
           WAY_MAX_
};

struct aim {
    enum way way;
    double number[3]; /* as typed: angle; run, rise; vector; alpha, beta; azimuth, elevation; or
                         components */
    int from, toward; /* half-axes: 0 +x, 1 -x, 2 +y, 3 -y, 4 +z, 5 -z */
    bool clockwise, obtuse;
    double tail[3], tip[3]; /* WAY_LINE */
    double unit[3];
};

/* Any form of direction, angles in degrees; and as the value of "direction" in a request. */
void aim_draw(struct draw *d, bool space, struct aim *ret);
void aim_write(const struct aim *a, bool space, char *text, size_t capacity);

struct pull {
    char name[8];
    double size; /* 0 with WAY_COMPONENTS */
    struct aim aim;
    double at[3];
    int times;   /* 1: not said */
    double mass; /* a weight, where not 0 */
};

#define EXERCISE_PULLS_MAX 6

struct exercise {
    bool space, resolve, placed;
    bool radians; /* angles are in rad */
    const char *force_unit, *length_unit;
    int count;
    struct pull pull[EXERCISE_PULLS_MAX]; /* resolve: the first only */
    bool has_about;
    double about[3];
    bool has_couple;
    double couple[3]; /* plane: [2] */
    bool has_load;    /* a distributed load, plane, against +y */
    double load_from[2], load_to[2], load_intensity[2];
    bool has_along, has_onto; /* resolve */
    struct aim along[3], onto;
};

/* Two to five forces, plane or space, with places or without; what students work by hand. */
void exercise_draw(struct draw *d, bool space, bool placed, struct exercise *e);
/* As a book sets them: one to four forces, their sizes multiples of 5 and no two alike; angles in
 * steps of 5 degrees, 15 to 75 from an axis and not 45, or slopes that are Pythagorean triples;
 * places in half units, lines in space from whole coordinates to whole coordinates. */
void exercise_draw_textbook(struct draw *d, bool space, bool placed, struct exercise *e);
/* Anything a request can say: also rad, factors, weights, couples, distributed loads, resolve. */
void exercise_draw_any(struct draw *d, struct exercise *e);

/* The request; `extra` are further members, as `, "key": true`, or "". */
void exercise_write(const struct exercise *e, const char *extra, char *text, size_t capacity);
/* "/v1/resultant" or "/v1/resolve". */
const char *exercise_path(const struct exercise *e);

#endif
