/* answer.h: what one student handed in, item by item. */
#ifndef MARKING_ANSWER_H
#define MARKING_ANSWER_H

#include "marking/items.h"

enum given_state {
    GIVEN_ABSENT,
    GIVEN_VALUE,
    GIVEN_NOTHING,  /* null: there is none */
    GIVEN_NONSENSE, /* nothing that can be read as what is asked */
};

struct given_item {
    int item;
    enum given_state state;
    bool is_derived;  /* worked out from an equivalent form */
    double value;     /* NUMBER in the problem's units; COUNT; NAMES: 1 where the set is right */
    double unit[3];   /* DIRECTION */
    bool has_angle;   /* DIRECTION of the plane: `value` is its angle from +x */
    const char *word; /* STATE */
    int sequence;     /* in which order they came */
};

/* Something that the key does not have. */
struct extra_item {
    const char *of;
    struct extra_item *next;
};

struct answer {
    struct given_item *given; /* by item, each once */
    int count, capacity;
    int sorted; /* of them so many are in order; what is added stands behind */
    struct extra_item *extra, *last_extra;
    bool failed; /* no memory */
};

/* The entry of an item, or NULL. */
const struct given_item *answer_find(const struct answer *a, int item);
/* Add an entry, in the arena: found after answer_sort, where the first of an item counts. */
void answer_add(struct arena *arena, struct answer *a, struct given_item given);
void answer_sort(struct answer *a);
void answer_extra(struct arena *arena, struct answer *a, const char *of);
/* Once all is read: a negative magnitude with a direction is the opposite direction; components
 * from magnitude and direction and the reverse; a part from the component that it is. */
void answer_complete(struct arena *arena, struct answer *a, const struct items *items);

#endif
