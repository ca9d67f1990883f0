/* reaction.h: what each kind of support exerts: one table, for bodies and for trusses.
 *
 * A support exerts a force wherever it stops a point from moving, and a couple wherever it stops
 * the body from turning (Baker and Haynes, "Engineering Statics", section 5.2). */
#ifndef STATICS_REACTION_H
#define STATICS_REACTION_H

#include "statics/direction.h"

enum one_way { ACTS_BOTH_WAYS, ACTS_PULLING, ACTS_PUSHING };

/* One unknown number of a reaction. */
struct reaction_part {
    struct symbol symbol;
    const char *text; /* in an answer: "A_x" */
    bool is_couple;
    bool is_member; /* the force of a truss's member: tension positive */
    enum one_way one_way;
    struct aim aim; /* its positive sense */
};

#define REACTION_PARTS_MAX 6

struct reaction {
    struct reaction_part part[REACTION_PARTS_MAX];
    int count;
};

/* The parts of a support, its local axes defined in steps. False where a fault was found. */
bool reaction_of(struct board *b, const struct support_input *in, struct reaction *ret);
/* The parts of a force that is wholly unknown, or of a pin between bodies: F_x, F_y (, F_z). */
void reaction_of_force(struct board *b, const char *name, struct reaction *ret);
/* One part along a direction, under its name. */
void reaction_along(struct board *b, const char *name, const struct aim *aim, enum one_way one_way,
                    struct reaction *ret);

/* "smooth_surface": its word in requests and answers. */
const char *support_kind_word(enum support_kind kind);
/* Which motion it prevents, for a free-body diagram in words: a template for the place and for the
 * symbols of its parts. */
const char *reaction_reason(const struct support_input *in);

#endif
