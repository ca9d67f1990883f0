/* items.h: the key as a tree of parts that an answer may have, and as a list of the items that are
 * marked: one a number, a direction as one. */
#ifndef MARKING_ITEMS_H
#define MARKING_ITEMS_H

#include "work/work.h"

enum part_kind {
    PART_UNMARKED, /* names, words, counts that nobody is asked for */
    PART_OBJECT,
    PART_UNKNOWN,   /* an object of force, couple and parts, which say the same twice */
    PART_FORCE,     /* components, magnitude, direction */
    PART_LIST,      /* entries that go by name or symbol */
    PART_NUMBER,    /* one item, like all that follow */
    PART_VECTOR,    /* an item a component */
    PART_DIRECTION, /* in space its direction angles are items as well */
    PART_NOTHING,   /* null: there is none */
    PART_COUNT,     /* a quadrant */
    PART_STATE,     /* a word: tension, compression or zero; determinate, … of the whole */
    PART_NAMES,     /* a set of names */
    PART_KIND_MAX_
};

struct part {
    enum part_kind kind;
    const char *key;  /* member of an object; name or symbol of an entry; or its place */
    const char *path; /* into the answer */
    int item;         /* the first of its items, or −1 */
    int count;        /* of a vector */
    const struct value *value;
    struct part *child, *last, *next, *parent;
    struct part **sorted; /* a list's entries by key; child_count of them */
    int child_count;
    int place;    /* among the entries of its list */
    int asked_by; /* scratch of asking: the last answer that asked for it */
};

struct item {
    const char *of;
    enum part_kind kind; /* NUMBER, DIRECTION, NOTHING, COUNT, STATE, NAMES */
    const struct part *part;
    q number[3];      /* NUMBER: the first; DIRECTION: θ, or α, β and γ */
    int force;        /* the force that it is part of, or −1 */
    int vector, axis; /* of a component: the first item of its vector, and which it is; −1 */
    int same;         /* another item that is the same number, or −1 */
    bool is_angle;
    /* Worked out when it is first asked for. */
    bool is_measured;
    double key, unit[3]; /* NUMBER; DIRECTION */
    double allowance;    /* of a direction in radians */
    double size;         /* of its vector, or its own */
    double scale;        /* of what it was worked out from */
};

struct relation; /* judge.c */
struct retrace;  /* work/slip.h */

/* Where the parts of one force are among the items; −1: nowhere. */
struct force_items {
    int component[3], magnitude, direction;
};

struct items {
    struct work *w;
    struct part *root;
    struct item *item;
    int count;
    struct force_items *force;
    int force_count;
    int measured;         /* items that were measured with their allowance */
    double largest_force; /* of all items; −1: not yet known */
    double *value; /* scratch of replays: one for each node; made when it is first asked for */
    struct relation *relation; /* scratch of judging, like what follows */
    struct retrace *retrace;   /* of what is worked out, and of what must vanish */
    bool has_floor_only;       /* of some item nothing but the floor of its allowance is known */
    bool has_unfollowed;       /* some answer had more numbers than are followed */
};

/* The items of the answer that `w` holds, w->answer. Where it has two solutions, of the one with
 * that number. False: no memory. */
bool items_init(struct items *items, struct work *w, int solution);
/* How many solutions the answer has: 0 where it has no such list. */
int items_solutions(const struct work *w);

/* The child of that key; a member AB goes by BA as well. NULL: none. */
struct part *part_child(const struct part *part, const char *key);
/* The part that a path leads to (a JSON Pointer by names; ~0 and ~1 are understood), or NULL.
 * `axis` of a path to a component; else −1. */
struct part *part_at(const struct items *items, const char *path, int *ret_axis);

#endif
