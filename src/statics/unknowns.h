/* unknowns.h: forces and reactions that were unknown, as an answer gives them. */
#ifndef STATICS_UNKNOWNS_H
#define STATICS_UNKNOWNS_H

#include "statics/polar.h"

/* One scalar of it, signed along its positive sense. */
struct unknown_part {
    const char *symbol; /* as it goes by in the answer: "A_y", "T" */
    q value;            /* {0}: statics does not fix it */
};

#define UNKNOWN_PARTS_MAX 6

struct unknown_force {
    const char *name;
    const char *kind; /* "pin", …, "force", "resultant" */
    bool has_force;   /* all its force parts are fixed */
    struct polar force;
    bool has_couple_parts; /* its kind holds against turning */
    bool has_couple;       /* … and all its couple parts are fixed */
    qv couple;             /* plane: its z component */
    struct unknown_part part[UNKNOWN_PARTS_MAX];
    int part_count;
};

/* What becomes of the unknowns: the words of the contract, in the order of the enum. */
enum equilibrium_state {
    STATE_DETERMINATE,
    STATE_INDETERMINATE,
    STATE_IMPROPERLY_CONSTRAINED,
    STATE_NO_EQUILIBRIUM,
    STATE_MAX_
};
const char *equilibrium_state_word(enum equilibrium_state state);
/* By the contract's table, from numbers of unknowns, equations and rank. */
enum equilibrium_state equilibrium_state_of(int unknowns, int equations, int rank, bool is_held);

/* "unknowns": [{"name", "kind", "force", "couple", "parts"}] in `parent` (NULL: the answer). */
void unknowns_put(struct work *w, struct value *parent, const struct unknown_force *u, int count);
/* The same list under another key. */
void unknowns_put_as(struct work *w, struct value *parent, const char *key,
                     const struct unknown_force *u, int count);
/* "count": {"unknowns", "equations", "rank"}. */
void unknowns_put_count(struct work *w, int unknowns, int equations, int rank);
/* "residual": {"force", "moment"}, numbers that have names; moment {0}: left out. */
void unknowns_put_residual(struct work *w, q force, q moment);

/* "A_x", "M_A": how a part is called in an answer; arena owned. `axis` 0: none. */
const char *unknown_part_symbol(struct work *w, const char *base, const char *sub, char axis);

#endif
