/* slip.h: mistakes as small changes of the tape, one mechanism for all topics.
 *
 * Where a line is worked that students get wrong, the wrong line is declared beside it: "from here
 * on this number has the value of that one, times so much". The base run only keeps these
 * declarations (and only where answers are to be checked: w->keeps_slips); the number that a
 * student gets who makes the slip is found by replaying the tape in plain doubles with the change
 * made. Directions follow the changed components, so that the quadrant is that of the wrong vector.
 * The same replay takes a student's own number in place of the right one (follow-through), rounds
 * what is written down (rounding too early), and makes two slips at once. */
#ifndef WORK_SLIP_H
#define WORK_SLIP_H

#include "work/work.h"

enum slip {
#define SLIP(name, code, question, method) SLIP_##name,
#include "work/slips.def"
#undef SLIP
    SLIP_MAX_
};

struct slip_row {
    const char *code;              /* "res.swap" */
    const char *question, *method; /* feedback of a first attempt, and of a later one */
};
const struct slip_row *slip_row(enum slip slip);

/* From here on a number has the value of another (none: 0), times a factor. */
struct slip_edit {
    uint32_t right, wrong;
    double times;
    uint32_t from; /* the first node that is worked with it */
};

/* One chance of one slip. Its edits are in order; those from the same node on are made at once. */
struct slip_chance {
    enum slip slip;
    uint32_t from;         /* of its first edit */
    uint32_t first, count; /* its edits */
    const char *pointer;   /* what it was made with: JSON Pointer into the request; or NULL */
    const char *name;      /* the name of that, or NULL */
};

/* A direction that follows its components. */
struct slip_heading {
    uint32_t angle, x, y;
    int x_sign, y_sign;
};

/* A sum that must vanish. */
struct slip_balance {
    uint32_t left, right; /* right 0: 0 */
};

/* ---- declaring, in statics; all of these do nothing where slips are not kept ---- */

/* A new chance; its edits follow by slip_edit or slip_edit_from. `pointer` and `name` (or NULL)
 * must stay. */
void slip_begin(struct work *w, enum slip slip, const char *pointer, const char *name);
/* `right` becomes `times` the value of `wrong` ({0}: becomes 0): from the next number that is
 * worked on, together with all edits of the chance so far. */
void slip_edit(struct work *w, q right, q wrong, double times);
/* The same from node `from` on, which no earlier edit of the chance is behind: for a slip that is
 * known to be one only later, or that ends. */
void slip_edit_from(struct work *w, uint32_t from, q right, q wrong, double times);
/* Components of `right` become those of `wrong`, axis by axis. */
void slip_edit_vector(struct work *w, qv right, qv wrong, double times);
/* A chance of one edit. */
void slip_one(struct work *w, enum slip slip, const char *pointer, const char *name, q right,
              q wrong, double times);
/* `angle` is the direction of (x_sign·x, y_sign·y): it follows them. */
void slip_heading(struct work *w, q angle, q x, int x_sign, q y, int y_sign);
/* Both sides of an equation of equilibrium with all numbers in it: it tells whether numbers that a
 * student found in another order fit each other. right {0}: 0. */
void slip_balance(struct work *w, q left, q right);
/* A named place of the problem. */
void slip_place(struct work *w, const char *name, qv place);

/* What the zero decisions of wrong lines leave behind is no doubt of the answer: keep the flags
 * before, restore them after. */
struct slip_doubts {
    bool rounding, digits, unlucky, inconsistent;
};
struct slip_doubts slip_enter(const struct work *w);
void slip_leave(struct work *w, struct slip_doubts doubts);

/* ---- replaying ---- */

/* A number that a student handed in. */
struct slip_own {
    uint32_t node;
    double value;
};

enum {
    ROUND_RATIOS = 1, /* sines and cosines, quotients without a unit; lengths */
    ROUND_PRODUCTS = 2,
    ROUND_SUMS = 4,
    ROUND_ROOTS = 8,
    ROUND_ALL = 15
};

struct replay {
    const struct slip_chance *chance[2]; /* slips to make; NULL: none */
    const struct slip_own *own;          /* numbers in place of those on the tape, by node */
    uint32_t own_count;
    double *computed;  /* or NULL: of each own number, what it would be given the earlier ones */
    int figures;       /* round what is written down to so many figures; 0: not at all */
    unsigned rounded;  /* … of these kinds: ROUND_… */
    double angle_step; /* round angles that are written down to multiples of this; 0: not at all */
    double *unrounded; /* or NULL: of all nodes, each before it was rounded itself */
};

/* The values of all nodes with the changes made, w->node_count of them into ret_value; what cannot
 * be worked is NaN or infinite. Nodes before the first change keep their values. Counts what was
 * worked in w->replayed. */
void slip_replay(struct work *w, const struct replay *r, double *ret_value);

/* What the edits of a chance make of their numbers, from edit `next` on, as far as they are from
 * node i on: at once, so that what is exchanged is exchanged. How many: 0 where none is left. */
enum { SLIPS_AT_ONCE = 32 };
uint32_t slip_changes(const struct work *w, const struct slip_chance *c, uint32_t next, uint32_t i,
                      const double *value, double ret_changed[SLIPS_AT_ONCE]);

/* One node worked again from the values of the others; its heading, or NULL. */
double slip_value(const struct work *w, uint32_t node, const struct slip_heading *heading,
                  const double *value);

/* The same for many slips in turn, over what they reach and nothing else (retrace.c). NULL: no
 * memory. */
struct retrace;
/* `is_wanted` (a flag for each node, which is kept): the numbers that will be asked for. */
struct retrace *retrace_new(struct work *w, bool *is_wanted);
/* The values of the nodes that were wanted with one or two slips made; they stay until the next
 * call. */
const double *retrace(struct retrace *r, const struct slip_chance *a, const struct slip_chance *b);
/* From now on with numbers of a student, by node, in place of those on the tape; none: count 0.
 * False: no memory. */
bool retrace_own(struct retrace *r, const struct slip_own *own, uint32_t count);
/* As retrace, without a slip, and own number k moved. */
const double *retrace_moved(struct retrace *r, uint32_t k, double value);
/* What each own number would be given the earlier ones, by the last retrace or retrace_moved. */
const double *retrace_computed(const struct retrace *r);

#endif
