/* input.h: what a statics problem is given: plain data, decoded from a request; nothing here is
 * computed. */
#ifndef STATICS_INPUT_H
#define STATICS_INPUT_H

#include "vector/direction.h"

#define NO_PLACE (-1)

/* A point: named in "points", or anonymous where coordinates stand as a place. */
struct point_input {
    const char *name; /* NULL: anonymous */
    const char *pointer;
    enum { POINT_COORDINATES, POINT_FROM, POINT_BETWEEN } form;
    struct given coordinate[3];
    int from; /* POINT_FROM: the point it starts from */
    struct given distance;
    struct direction direction;
    int between[2]; /* POINT_BETWEEN */
    struct given fraction;
};

struct force_input {
    const char *name;
    const char *pointer;
    struct given magnitude;
    bool magnitude_unknown;
    const char *same_as; /* "magnitude": {"same_as": name} */
    struct direction direction;
    bool has_components, components_null_direction;
    struct given component[3];
    struct given times;
    int at; /* index of a point, or NO_PLACE */
    bool is_weight;
    struct given mass, gravity; /* gravity absent: default of the units */
    enum { SENSE_FREE, SENSE_PULLS, SENSE_PUSHES } sense;
};

struct couple_input {
    const char *name;
    const char *pointer;
    struct given moment[3]; /* plane: [0] only; space: three */
    bool clockwise;
    int at;
};

struct distributed_input {
    const char *name;
    const char *pointer;
    int from, to;
    struct given intensity[2];  /* [1] absent: uniform */
    struct direction direction; /* form NONE: against up */
    int per_axis; /* 0, 1, 2: per length along that axis; −1: per length of the load */
};

struct loads_input {
    bool space;
    bool has_up;
    struct half_axis up;
    struct units units;
    struct point_input *point;
    int point_count;
    struct force_input *force;
    int force_count;
    struct couple_input *couple;
    int couple_count;
    struct distributed_input *distributed;
    int distributed_count;
    int radian_decimals; /* finest decimal step of the angles in radians */
    bool wants_key;
};

struct resolve_input {
    struct loads_input loads; /* points and units; force[0] is the force */
    bool has_along, has_onto;
    struct direction along[3]; /* u, v (, w) */
    const char *along_pointer;
    struct direction onto;
};

struct resultant_input {
    struct loads_input loads;
    bool has_about;
    const char *about_pointer;
    int about; /* a point */
    bool about_is_line;
    int line[2];
};

#endif
