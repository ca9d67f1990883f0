/* truss_order.h: the order in which a careful instructor works a truss by hand, for
 * truss_order.c, truss_whole.c, truss_section.c, truss_cut.c, truss_assume.c and truss_ways.c.
 *
 * The whole body gives reactions; then joint after joint; where every joint is stuck a section
 * gives one force by one equation; where no section does, a member's force is assumed, carried
 * through and fixed by the equation that is left over. Every question on the way (in line, in one
 * plane, through one point) is decided exactly. */
#ifndef STATICS_TRUSS_ORDER_H
#define STATICS_TRUSS_ORDER_H

#include "statics/cut.h"
#include "statics/truss.h"

/* Which joint is worked next, of those that are worked as easily. */
enum order_way {
    ORDER_SHOWN, /* the first of the list, or the one beside the last: with steps */
    ORDER_FROM_OTHER_END,
    ORDER_FROM_ALL_SIDES, /* with the shortest chain of joints behind it */
    ORDER_WAY_MAX_
};

/* How a joint stood when it was looked at last: how many unknowns were open, and how many of them
 * it can give; all 0: it was not, or has none. */
struct joint_seen {
    int count, alone;
};

struct order {
    struct truss *t;
    struct work *w;
    struct aim *aim; /* of each member, from its first joint; worked when first used */
    bool *has_aim;
    q *value;                /* of each unknown; {0}: still open */
    bool *is_by_whole;       /* of each unknown: the whole truss gave it */
    struct joint_seen *seen; /* of each joint */
    bool *is_used;           /* of each joint: its own equations have been used */
    bool *is_listed;         /* of each joint: it is in the order */
    int opened;              /* unit vectors and meetings defined so far: their numbers go on */
    int last;                /* the joint worked last, or −1 */
    enum order_way way;
    int *chain;                       /* of each unknown: how many joints it has come through */
    uint64_t left;                    /* of the work budget */
    int *side;                        /* scratch, of each joint: in the part that is cut free */
    struct exact *line;               /* of each unknown, from its first joint */
    struct exact *place;              /* of each joint */
    double (*direction)[3], (*at)[3]; /* the same in doubles, the lines of length 1 */
    double extent;                    /* of all places */
};

static inline bool order_is_open(const struct order *o, int unknown)
{
    return q_is_none(o->value[unknown]);
}
/* Spend so much of the budget; false: it is used up. */
static inline bool order_spend(struct order *o, uint64_t work)
{
    o->left = o->left > work ? o->left - work : 0;
    return o->left > 0;
}

/* ---- truss_part.c ---- */

/* "F_AB", "A_y": in prose. */
const char *order_text(struct order *o, int unknown);
/* "AB, BC and CD"; many: "9 members". */
const char *order_names(struct order *o, const int *unknown, int count);

/* Which numbers stand for the forces on a part: those of the truss, or those of an assumed force.
 */
struct order_values {
    const q *value;     /* of each unknown */
    const q *instead;   /* of each unknown: taken where it is there; NULL: none */
    const char *letter; /* what is found is called by it: "F" */
    bool is_bare;       /* no loads, and nothing but `instead` is known */
};
struct part {
    struct cut cut;
    int *unknown; /* of each force of the cut */
    int *site;    /* of each joint: 1 + its site in the cut */
};
/* Cut free the joints whose `side` is 1. False: no memory, or more forces than are worked. */
bool part_cut(struct order *o, const struct order_values *values, struct part *ret);
/* The site of a joint, for moments. */
int part_site(struct order *o, struct part *p, int joint);
/* Take what was found, and was open before, into value; how many. */
int part_take(struct order *o, const struct part *p, q *value);
/* "A, B and C", or "12 joints": those of the part. */
const char *part_joints(struct order *o);
/* No part any more. */
void part_clear(struct order *o);

/* ---- truss_section.c ---- */

/* One equation on one part that holds one unknown alone: write and solve it. False: there is none.
 */
bool order_by_section(struct order *o);
/* The force of each member that is wanted by a section of its own, from loads and reactions alone:
 * one equation. It is none where there is no such section. No steps. */
void order_by_sections_of_their_own(struct order *o, const bool *is_wanted, q *ret_value);

/* ---- truss_cut.c ---- */

/* The section that is asked for. */
void order_by_cut(struct order *o);

/* ---- truss_whole.c ---- */

/* The whole truss: what it gives of the reactions. */
void order_by_whole(struct order *o);

/* ---- truss_assume.c ---- */

/* Assume a member's force (or a few), carry it through, fix it by what is left over. False: nothing
 * closes. */
bool order_by_assumption(struct order *o);

/* ---- truss_ways.c ---- */

/* Where the key is asked for: other ways to what was worked, t->unknown[].other and .section. No
 * steps. */
void order_other_ways(struct order *worked);

/* ---- truss_order.c ---- */

/* A fresh order, with nothing known. False: no memory. */
bool order_begin(struct order *o, struct truss *t, enum order_way way);
/* Joint after joint, until all is known or nothing leads on. */
void order_work_joints(struct order *o);
/* The open unknowns of a joint (room for HAND_COLUMNS_MAX); how many, −1 where there are more.
 * *ret_alone: how many of them are fixed and out of reach of the others together. */
int order_open_at(struct order *o, int joint, const bool *is_known, int *ret_open, int *ret_alone);
/* The joints form a group of the order; one alone only if it is wholly known now. */
void order_add_group(struct order *o, const int *joint, int count);

#endif
