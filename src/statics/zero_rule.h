/* zero_rule.h: zero-force members by inspection of one joint.
 *
 * A force that the others cannot reach, all together, is zero: of two members that are not in line
 * both, where nothing else acts; of three forces with two in line the third; in space of three
 * members that are not in one plane all, and the one force that leaves the plane of all others.
 * (Baker and Haynes, "Engineering Statics", section 6.3.) */
#ifndef STATICS_ZERO_RULE_H
#define STATICS_ZERO_RULE_H

#include "statics/exact.h"

/* What acts at the joint and is not known to be zero. */
struct zero_rule_force {
    const char *name;   /* of a member */
    struct exact line;  /* its direction */
    bool is_member;     /* one that is unknown; otherwise a load, a support's part, a known force */
    bool is_alone;      /* out: the others cannot reach it, so it is zero */
    int rank_of_others; /* … and how many independent directions these have */
};

/* Which of the members are zero: how many. */
int zero_rule_find(const struct field *f, struct zero_rule_force *force, int count);
/* Say why, in steps. */
void zero_rule_say(struct work *w, const char *joint, const struct zero_rule_force *force,
                   int count);

#endif
