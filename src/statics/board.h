/* board.h: the givens of one problem on the tape, each once: its places, and the vectors between
 * them. */
#ifndef STATICS_BOARD_H
#define STATICS_BOARD_H

#include "base/problem.h"
#include "statics/input.h"
#include "work/work.h"

/* From one place to another: r_AB. */
struct span {
    int from, to;
    struct symbol symbol;
    qv r;
    q length; /* {0} until it is asked for */
    struct span *next;
};

struct board {
    struct work *w;
    const struct loads_input *loads;
    struct problem *reterr; /* every fault found, not only the first */
    struct half_axis up;
    qv *place;       /* of each point; {0}: faulty, or not worked yet */
    bool *is_placed; /* has it been worked? */
    struct span *spans;
    bool is_about_points; /* the section on points has been opened */
    bool is_one_force;    /* one force is resolved by itself (what its slips are called) */
    bool is_body;         /* the loads act on bodies in equilibrium */
};

/* Put the units, the names and the points on the tape. Points that are computed are shown as steps.
 */
void board_begin(struct board *b, struct work *w, const struct loads_input *loads,
                 struct problem *reterr);
/* PROBLEM_NONE; PROBLEM_INVALID_REQUEST where faults were found, among them numbers too large or
 * too small to be calculated with; PROBLEM_OVERLOADED where memory ran out. */
enum problem_code board_end(struct board *b);
/* The end of a problem whose equations are so nearly dependent that their solution loses all digits
 * (linear_is_unsettled). */
enum problem_code board_unsolved(struct board *b);
/* The end of a problem whose values, put back, leave something: the same where something was zero
 * within digits or rounding only, else as work_contradicted. */
enum problem_code board_unbalanced(struct board *b, const char *detail);
/* Has any fault been found? Then there is no answer to be worked out. */
bool board_has_faults(const struct board *b);

/* How many dimensions: 2 or 3. */
int board_axes(const struct board *b);

/* "+x", "−z": for prose. */
const char *half_axis_name(struct half_axis a);
/* The half-axis that u × v gives, u and v square to each other (right-handed). */
struct half_axis half_axis_cross(struct half_axis u, struct half_axis v);
/* a turned by 90° in the plane, counter-clockwise. */
struct half_axis half_axis_turned(struct half_axis a);
struct half_axis half_axis_reversed(struct half_axis a);

/* What a symbol of something that belongs to `name` has for its sub: "1" of F1 and F_1, otherwise
 * the name without its bars. */
const char *name_sub(struct work *w, const char *name);

/* A computed number in the text of a fault. */
const char *fault_number(struct board *b, double value, int figures);

/* Half a unit of the last digit as typed: 0.05 of "2.5", 0.5 of "30". In the unit it was typed in;
 * an angle in radians. */
double typed_rounding(const struct given *given);

#endif
