/* input.h: what a statics problem is given: plain data, decoded from a request; nothing here is
 * computed. Faults that need no computation have been found by whoever decodes it (slopes of 0/0,
 * negative magnitudes, axes not square to each other, forms that do not fit plane or space, points
 * defined in a circle, places that some lack); statics finds those that only the working shows. */
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
    const struct direction *direction; /* beside the point: a truss has thousands of points */
    int between[2];                    /* POINT_BETWEEN */
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
    int same_as_force; /* the force that same_as names */
    int body;          /* equilibrium of several bodies: the one it acts on */
};

struct couple_input {
    const char *name;
    const char *pointer;
    struct given moment[3]; /* plane: [0] only; space: three */
    bool clockwise;
    int at;
    int body;
};

struct distributed_input {
    const char *name;
    const char *pointer;
    int from, to;
    struct given intensity[2];  /* [1] absent: uniform */
    struct direction direction; /* form NONE: against up */
    int per_axis; /* 0, 1, 2: per length along that axis; −1: per length of the load */
    int body;
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

/* ---- supports ---- */

enum support_kind {
#define SUPPORT(kind, word) SUPPORT_##kind,
#include "statics/supports.def"
#undef SUPPORT
    SUPPORT_KIND_MAX_
};

struct support_input {
    const char *name;
    const char *pointer;
    enum support_kind kind;
    int at;
    struct direction direction; /* the normal, the direction or the axis, as the kind has; form NONE
                                   for a normal: up */
    bool couples;               /* collar, bearings, hinge: holds against turning as well */
    int body;
};

/* ---- equilibrium ---- */

struct body_input {
    const char *name;
    const char *pointer;
};

struct pin_input {
    const char *name;
    const char *pointer;
    int at;
    int *body; /* those that it joins; its force is given on the first */
    int body_count;
};

/* All loads and supports stand in one list each; where there are bodies, `body` says whose they
 * are. */
struct equilibrium_input {
    struct loads_input loads;
    struct support_input *support;
    int support_count;
    struct body_input *body; /* none: one body, or a particle */
    int body_count;
    struct pin_input *pin;
    int pin_count;
    bool is_particle;  /* nothing has a place: moments have no meaning */
    bool has_required; /* what the forces shall add up to, in place of zero */
    struct force_input required;
    int smallest; /* the force that shall be as small as it can be, or −1 */
};

/* ---- trusses ---- */

struct joint_member_input {
    const char *name;
    const char *pointer;
    struct direction direction; /* away from the joint */
    struct given force;         /* tension positive; absent: unknown */
};

struct truss_joint_input {
    struct loads_input loads; /* its forces act at the joint */
    const char *joint;
    struct joint_member_input *member;
    int member_count;
};

struct truss_member_input {
    const char *name; /* "AB", "A1-B2": its joints in the order given */
    int joint[2];
};

struct truss_input {
    struct loads_input loads; /* its first joint_count points are the joints; every force has one */
    int joint_count;
    struct truss_member_input *member; /* member i stands at "/members/i" */
    int member_count;
    struct support_input *support; /* every one at a joint */
    int support_count;
    bool has_section;
    int *cut; /* members */
    int cut_count;
};

#endif
