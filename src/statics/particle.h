/* particle.h: a particle in equilibrium while it is worked, for
 * particle*.c, two_unknowns.c, two_directions.c, smallest.c and triangle.c. */
#ifndef STATICS_PARTICLE_H
#define STATICS_PARTICLE_H

#include "statics/reaction.h"
#include "statics/substitution.h"
#include "statics/system.h"
#include "statics/unknowns.h"
#include "vector/linear.h"

/* A force or reaction that is to be found. */
struct particle_force {
    const char *name, *kind;
    const struct force_input *in;   /* NULL: a support */
    bool is_resultant;              /* what the forces shall add up to: on the other side */
    bool is_turned_free;            /* its direction is unknown, its magnitude is not free */
    q magnitude;                    /* … its magnitude, where that is given */
    int same_as;                    /* the entry whose magnitude it has; −1: its own */
    q times;                        /* of that magnitude; {0}: once */
    struct reaction reaction;       /* its parts */
    int scalar[REACTION_PARTS_MAX]; /* the unknown number of each part */
};

struct particle {
    struct board *b;
    const struct equilibrium_input *input;
    struct system loads;
    bool has_required; /* a required resultant that is given */
    struct load required;
    qv known; /* what is known, added up, less the required resultant; {0}: nothing is */
    const char *known_name; /* … for prose */
    struct aim known_aim;   /* its direction where it is one force */
    bool known_is_aimed;
    struct particle_force *force;
    int force_count;
    int scalar_count; /* unknown numbers, of forces whose direction is known or wholly unknown */
    int turned_count; /* forces whose direction alone is unknown */
    int solution;     /* the second one has symbols with a prime */
};

/* The parts of one entry of an answer, once its numbers are known: value[k] of each part ({0}: not
 * fixed). Shows size and direction in steps. */
void particle_found(struct particle *p, const struct particle_force *f, const q *value,
                    struct unknown_force *ret);
/* The vector of an entry whose parts have these values, named after it. */
qv particle_vector(struct particle *p, const struct particle_force *f, const q *value);
/* Show that all forces add up to what they should; returns what is left over, named. */
q particle_check(struct particle *p, const struct unknown_force *u);
/* All values null. */
void particle_put_none(struct particle *p);

/* W_t, F_1n: the symbol of a part of that force along an axis of our own; of what is known, or of
 * zero where `name` is NULL. */
struct symbol particle_symbol(struct work *w, const char *name, char axis);
/* The part of a vector along a direction: V_x cos 40° + V_y sin 40°, what is zero left out. Not
 * named.
 */
q particle_part_along(struct work *w, const struct aim *aim, qv v);

/* Plane: cases in which a direction is unknown, or a force shall be as small as it can be. Sets the
 * answer. */
void particle_two_unknowns(struct particle *p);
void particle_two_directions(struct particle *p, const struct particle_force *A,
                             const struct particle_force *B);
void particle_smallest(struct particle *p);

/* ---- linear equations ---- */

/* What the solver finds is so many `length`s: a lone pull along a vector that has not been divided
 * by its length keeps roots out of the equations. */
struct unit_of_scalar {
    int pulls;
    qv vector; /* {0}: its unit is 1 */
    struct num length;
};

struct particle_solution {
    struct linear *linear;
    struct unit_of_scalar *unit; /* of each scalar */
    int rank;
    bool is_held;
    enum equilibrium_state state;
    struct substitution by_hand;
    q *answer; /* of each scalar; {0}: not fixed */
    double scale;
};

/* All unknowns are magnitudes along given lines or whole forces. Sets the answer. */
enum problem_code particle_linear(struct particle *p);
/* Where all are fixed: a note if small turns of the directions change the forces much. */
void particle_note_sensitive(struct particle *p, const struct particle_solution *s);
/* "free_motions": the directions in which no unknown force has a part. */
void particle_put_free_motions(struct particle *p, const struct particle_solution *s);
/* Its parts lie along x, y and z. */
bool particle_is_along_axes(const struct particle_force *f);

#endif
