/* loads.h: how points, directions, forces, couples and distributed loads are decoded: the tables
 * that requests share. */
#ifndef ENDPOINTS_LOADS_H
#define ENDPOINTS_LOADS_H

#include "endpoints/decode.h"

decode_reader decode_points;    /* struct loads_input: the points that decode_begin has numbered */
decode_reader decode_direction; /* struct direction; also null and "unknown" */

extern const struct record force_record;       /* struct force_input: a force or a weight */
extern const struct record couple_record;      /* struct couple_input */
extern const struct record distributed_record; /* struct distributed_input */

/* The rows that every request has; `type` has its struct loads_input as `loads`. */
#define COMMON_MEMBERS(type)                                                                       \
    {.name = "kind"}, {.name = "units"}, {.name = "up"}, {.name = "working"},                      \
        {.name = "points", .read = decode_points, .offset = offsetof(type, loads)},                \
    {                                                                                              \
        .name = "key", .read = decode_flag, .offset = offsetof(type, loads.wants_key)              \
    }

/* A row for a list of `record` in `type`, its count beside it. */
#define LIST_MEMBER(member_name, type, entries, entry_record)                                      \
    {                                                                                              \
        .name = member_name, .read = decode_list, .offset = offsetof(type, entries),               \
        .record = &entry_record, .count_offset = offsetof(type, entries##_count)                   \
    }

/* Something with a name in a request. */
struct named {
    const char **name;   /* NULL in it: none was given */
    const char *pointer; /* of the object that has the name */
    const char *wanted;  /* the name by default where it is free, or NULL */
    const char *prefix;  /* of the other names by default; NULL: a capital letter */
    int number;          /* behind the prefix: the place in its list, from 1 */
    int count;           /* entries of its list: a number beyond it is no other's */
};

/* Every name stands once; who has none gets one that is free. */
void settle_names(struct decoder *d, const struct named *list, int count);

/* How many named things the loads have; the list of them is written (forces F1, F2, …, couples C1,
 * …, distributed loads w1, …), and its end is returned. */
int loads_named_count(const struct loads_input *loads);
struct named *loads_named(struct loads_input *loads, struct named *list);
/* settle_names for requests whose loads alone have names. */
void loads_settle_names(struct decoder *d);

/* Something that may have a place. */
struct placed {
    const char *kind; /* "Force" */
    const char *name;
    const char *pointer;
    bool has_place;
};

/* Either all have a place or none has; `where` all need one ("beside a distributed load"; or NULL),
 * all. True where none has, so that moments have no meaning. */
bool settle_places(struct decoder *d, const struct placed *list, int count, const char *where);
/* The forces are written to the list, and its end is returned. */
struct placed *loads_placed(const struct loads_input *loads, struct placed *list);

/* "-0.5" is negative, "-0" and "0.00" are zero. */
bool given_is_negative(const struct given *g);
bool given_is_zero(const struct given *g);
/* All that are present are zero. */
bool given_are_zero(const struct given *g, int count);

#endif
