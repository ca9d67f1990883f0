/* decode.h: a request that has passed its schema becomes the plain data of statics/input.h.
 *
 * A table says which member is read how and into which field. What is checked here is meaning that
 * needs no computation (units, places, names, plane or space); every fault is added at its own JSON
 * Pointer and reading goes on, so that a teacher sees them all. A value of a shape that the schema
 * should have refused is a fault of ours and ends as PROBLEM_INTERNAL. All that is decoded lives in
 * the arena, as numbers on a tape refer to it. */
#ifndef ENDPOINTS_DECODE_H
#define ENDPOINTS_DECODE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/problem.h"
#include "endpoints/roster.h"
#include "statics/input.h"
#include "json/json.h"

/* What tells plane from space, and what fits one of them only. */
enum evidence {
    EVIDENCE_TWO_NUMBERS,   /* a point or vector of two numbers */
    EVIDENCE_PLANE_MOMENT,  /* a moment that is one number */
    EVIDENCE_PLANE_FORM,    /* a form that has a meaning in the plane only */
    EVIDENCE_THREE_NUMBERS, /* a point or vector of three numbers */
    EVIDENCE_SPACE_AXIS,    /* a half-axis of z */
    EVIDENCE_SPACE_FORM,    /* a form that has a meaning in space only */
    EVIDENCE_MAX_
};

struct decoder {
    struct arena *arena;
    struct problem *problem;
    struct loads_input *loads; /* its units are there before any number is read */
    struct roster points;
    const char *place_word; /* "point"; in a truss "joint" */
    int point_capacity;
    bool has_derived_points; /* by distance and direction, or between two */
    struct {
        unsigned count;
        const struct json *value[PROBLEM_FAULTS_KEPT]; /* the first of them */
    } evidence[EVIDENCE_MAX_];
    enum evidence first_evidence; /* MAX_: none yet */
    const struct json *misshapen; /* a value that the schema should have refused, or NULL */
};

#define BAD_PLACE (-2) /* a place was given, but there is a fault in it */

struct member;
/* Reads `value` into the field of `into` that the row names. */
typedef void decode_reader(struct decoder *d, const struct json *value, const struct member *row,
                           void *into);

/* A struct that is decoded from an object. */
struct record {
    size_t size;
    const struct member *members; /* ended by a row without a name */
    void (*begin)(void *into);    /* sets what is not 0 where nothing is given, or NULL */
    void (*end)(struct decoder *d, const struct json *object, void *into); /* checks, or NULL */
};

/* One row of a table: the member of the object, its reader, and the field that is filled. */
struct member {
    const char *name;
    decode_reader *read; /* NULL: read elsewhere */
    size_t offset;
    struct dimension dimension;  /* of a number */
    const struct record *record; /* of an object, or of each entry of a list */
    size_t count_offset;         /* a list: its int count */
};

/* Begin on `request`: units and up are read into *loads (zeroed, in the arena), and the joints and
 * points get their numbers in the order given, joints first, so that places can be read in any
 * order. */
void decode_begin(struct decoder *d, struct arena *arena, const struct json *request,
                  struct loads_input *loads, struct problem *reterr);
/* Read the members of `object` into the struct that the rows' offsets belong to. */
void decode_members(struct decoder *d, const struct json *object, const struct member *rows,
                    void *into);
/* Once everything is read: plane or space is settled, and circular points are found. */
void decode_settle(struct decoder *d);
/* The outcome: PROBLEM_NONE, or the problem with all faults. */
enum problem_code decode_end(struct decoder *d);

/* Readers; the comment is the type of the field. */
decode_reader decode_number;     /* struct given, of the row's dimension */
decode_reader decode_numbers;    /* struct given[3]: two or three numbers */
decode_reader decode_text;       /* const char * */
decode_reader decode_flag;       /* bool */
decode_reader decode_half_axis;  /* struct half_axis */
decode_reader decode_turn;       /* bool: clockwise */
decode_reader decode_place;      /* int: index of a point, or BAD_PLACE */
decode_reader decode_two_places; /* int[2] */
decode_reader decode_object;     /* the struct of the row's record, at the offset */
decode_reader decode_list;       /* pointer to structs of the row's record, and their count: the
 entries are added to those that are there */
decode_reader decode_single;     /* the same, of one object */

/* ---- for readers ---- */
void decode_fault(struct decoder *d, const struct json *at, enum fault_code code,
                  const char *format, ...) __attribute__((format(printf, 4, 5)));
/* `value` has a shape that the schema should have refused. */
void decode_misshapen(struct decoder *d, const struct json *value);
/* Remember what `value` says of plane and space. */
void decode_evidence(struct decoder *d, enum evidence kind, const struct json *value);
/* Settle plane or space by all of it; faults where the rest does not fit. Called by decode_settle.
 */
void evidence_settle(struct decoder *d);
/* The pointer of `value`; "" where there is no memory. */
const char *decode_pointer(struct decoder *d, const struct json *value);
/* One of the words, by its place in the list ended by NULL; −1 for another text (no fault). */
int decode_word(const struct json *value, const char *const *words);
/* The decimal places of a number as typed: 3 for 0.125 and for 125e-3; not below 0. */
int decode_decimals(const char *text);

#endif
