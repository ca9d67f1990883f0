/* truss.h: a pin-jointed truss while it is worked, for the parts of statics/truss_*.c.
 *
 * Its unknowns are the forces of the members, tension positive, and the parts of the supports'
 * reactions. The solver finds each over the length of its direction (of a member the force
 * density, force over length), so that its equations hold differences of coordinates and no
 * roots. What it finds is the answer; the hand order works the same numbers on the tape. */
#ifndef STATICS_TRUSS_H
#define STATICS_TRUSS_H

#include "statics/exact.h"
#include "statics/force.h"
#include "statics/reaction.h"
#include "vector/linear.h"

/* A list of numbers in struct truss's `lists`. */
struct truss_list {
    int first, count;
};

struct truss_joint {
    const char *name;
    qv place;
    struct truss_list unknowns; /* that act on it: members, then parts of supports */
    struct truss_list loads;
};

/* Orders in which the joints are worked: the one shown, and others for the allowances. */
#define TRUSS_WAYS 3

/* A member, or a part of a support's reaction. */
struct truss_unknown {
    const char *name;                 /* "AB"; of a part as the answer calls it: "A_y" */
    const struct reaction_part *part; /* NULL: a member */
    int joint[2];                     /* it pulls joint[0] toward joint[1]; of a part [1] is −1 */
    double length;                    /* of its direction, see truss_direction */
    struct num density;               /* as found, over that length; 0 where it is zero */
    bool is_fixed;                    /* statics fixes it, and the loads are held */
    bool is_zero;                     /* fixed at zero */
    bool is_by_inspection;            /* a zero-force member by the rules of one joint */
    q hand;                           /* the same force worked by hand; {0}: it was not */
    q other[TRUSS_WAYS]; /* … in another order (enum order_way), for its allowance, */
    q section;           /* … and by a section, where every order is a long way */
    q force;             /* the answer; {0}: not fixed */
};

enum truss_state { TRUSS_DETERMINATE, TRUSS_INDETERMINATE, TRUSS_MECHANISM, TRUSS_STATE_MAX_ };

/* How a force was found by hand. */
enum truss_by {
    TRUSS_BY_INSPECTION,
    TRUSS_BY_WHOLE,
    TRUSS_BY_JOINT,
    TRUSS_BY_SQUARE, /* at a joint with more unknowns, square to all others */
    TRUSS_BY_SECTION,
    TRUSS_BY_ASSUMPTION, /* carried through with an assumed force */
    TRUSS_BY_MAX_
};

/* Joints that the hand order solved one after the other; several in a group: together. */
struct truss_group {
    struct truss_list joints;
};

/* A zero-force member, and the joint where inspection found it. */
struct truss_inspected {
    int member, joint;
};

struct order; /* truss_order.h */

struct truss {
    struct board board;
    struct work *w;
    const struct truss_input *input;
    int axes; /* 2 or 3 */

    struct truss_joint *joint;
    int joint_count;
    struct load *load; /* every one at a joint (load.at) */
    int load_count;
    struct reaction *reaction; /* of each support of the input */
    int *first_part;           /* of each support: its first unknown */
    struct truss_unknown *unknown;
    int member_count, unknown_count; /* members first, then parts of supports */
    int *lists;

    struct arena *solver;  /* where a large truss is solved, until its equations are forgotten */
    struct linear *linear; /* equation axes·joint + axis: ΣF of that joint along that axis = 0 */
    enum truss_state state;
    bool is_held; /* the loads are: always but in a mechanism */
    int rank, degree, freedoms;
    int *group; /* of each unknown that is not fixed: those of one group depend on each other */
    int group_count;
    double *motion; /* of a mechanism: displacements by equation, the largest of a joint 1 */
    double scale;   /* the largest force: a load, a member, a reaction; 1 where all are 0 */

    struct truss_inspected *inspected; /* in the order in which they were found */
    int inspected_count;
    struct truss_group *order; /* of the hand order, in order */
    int order_count, ordered;  /* the end of its joints in `lists` */
    int found_by[TRUSS_BY_MAX_];
    struct order *worked; /* the order shown, where other ways are worked beside it */
    int *side;            /* of a section: of each joint, 1 or 2 */
    int side_taken;
    int assumed_at_once; /* at most */
};

/* Larger trusses are answered without steps. */
#define TRUSS_SHOWN_JOINTS 200
bool truss_is_shown(const struct truss *t);

/* truss_read.c: put joints, supports and loads on the tape. False: no memory, or faults. */
bool truss_read(struct truss *t, struct work *w, const struct truss_input *input,
                struct problem *reterr);

/* The k-th of a list. */
static inline int truss_entry(const struct truss *t, struct truss_list list, int k)
{
    return t->lists[list.first + k];
}
static inline bool truss_is_member(const struct truss *t, int unknown)
{
    return unknown < t->member_count;
}
/* The joint at the other end of a member. */
static inline int truss_other_joint(const struct truss *t, int member, int joint)
{
    const struct truss_unknown *u = &t->unknown[member];
    return u->joint[0] == joint ? u->joint[1] : u->joint[0];
}
/* The direction in which a positive unknown pulls or pushes its first joint, as long as it comes:
 * of a member from joint[0] to joint[1]. */
struct exact truss_direction(const struct truss *t, int unknown);
/* The same in doubles. */
void truss_line(const struct truss *t, int unknown, double ret_direction[3]);
/* The same at one of its joints: of a member toward the other joint. */
struct exact truss_direction_at(const struct truss *t, int unknown, int joint);
/* The sum of the loads at a joint. */
struct exact truss_load_at(const struct truss *t, int joint);
/* A force that the solver found, its length multiplied in: what q_unknown takes. */
struct num truss_found(const struct truss *t, int unknown);

/* truss_system.c: solve, and decide what the truss is. PROBLEM_NONE; PROBLEM_WORK_LIMIT,
 * PROBLEM_OVERLOADED; where w->unlucky is set nothing counts. */
enum problem_code truss_solve(struct truss *t, struct problem *reterr);
/* Give the memory of a large truss's equations back: nothing is asked of them any more. */
void truss_forget_equations(struct truss *t);

/* truss_state.c: state, degree, groups and motion, from the rank. */
enum linear_code truss_judge(struct truss *t);
/* "Joint D can move …" */
struct phrase truss_mechanism_text(struct truss *t);
/* " It begins to move: C along +x, D along −y.": of what moves along an axis; "" where nothing
 * does, or the motion is one of several. */
const char *truss_motion_text(const struct truss *t);
/* How far a joint moves in t->motion. */
double truss_displacement(const struct truss *t, int joint);

/* truss_zero.c: which zero-force members are found by inspection. */
void truss_inspect(struct truss *t);

/* truss_order.c: work it by hand (t->unknown[].hand, t->order), in steps. */
void truss_work(struct truss *t);
/* truss_ways.c: once the forces are named, other ways to them, for their allowances. */
void truss_add_alternatives(struct truss *t);
/* truss_cut.c: which joints lie on which side of the section that is asked for. False: the cut
 * does not divide the truss. */
bool truss_divide(struct truss *t);

/* truss_note.c: what a careful instructor adds. */
void truss_add_notes(struct truss *t);
/* truss_cross.c: members that cross, joints that lie on members. */
void truss_note_crossings(struct truss *t);

/* truss_put.c: name every force (t->unknown[].force), set the answer and close the tape. */
enum problem_code truss_put(struct truss *t, struct problem *reterr);

#endif
