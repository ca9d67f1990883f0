/* tape.h: every number that leaves the service is a node here: its value, and the operation and
 * operands it came from.
 *
 * `q_mul(w, F, q_cos(w, theta))` computes at once and returns a handle, so ordinary ifs work;
 * whoever wants the formula, the substitution, the derivative or a re-run with a slip finds it on
 * the tape. Handles are small values; the nodes live in the arena. After a failure (no memory, a
 * limit) every operation returns the null handle and work_failed says so once. Angles are in the
 * request's unit of angle; forces, lengths and moments in the request's units. */
#ifndef WORK_TAPE_H
#define WORK_TAPE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/problem.h"
#include "vector/given.h"
#include "vector/num.h"
#include "vector/unit.h"

typedef struct {
    uint32_t i;
} q; /* a scalar on the tape; {0} is none */

typedef struct {
    uint32_t i;
} qv; /* a vector on the tape; {0} is none */

/* What a formula holds an operation together as. */
enum form {
    FORM_LEAF,
    FORM_NAME, /* prints as what it names */
    FORM_SUM,  /* and a difference, a minus sign */
    FORM_PRODUCT,
    FORM_QUOTIENT,
    FORM_FUNCTION, /* cos θ, √a, a² */
    FORM_CONVERSION,
    FORM_OF_VECTORS /* as vectors a·b and |v|; as scalars what computes it */
};

/* Does a hand write it down, and so round it? Where it has a name, or always; see allowance.c. */
enum writing { WRITING_NEVER, WRITING_NAMED, WRITING_ALWAYS };

enum op {
#define OP(name, operands, form, written, value, to_a, to_b) OP_##name,
#include "work/ops.def"
#undef OP
    OP_MAX_
};

enum operands { OPERANDS_0, OPERANDS_1, OPERANDS_2, OPERANDS_MANY }; /* many: by the pool */

struct op_row {
    enum operands operands;
    enum form form;
    enum writing written;
};
extern const struct op_row op_rows[OP_MAX_];

/* What a number is called. Printed base_sub axis prime: F, 1, 'x' is F₁ₓ. */
struct symbol {
    const char *base; /* "F", "R", "M", "θ"; Greek letters as UTF-8 */
    const char *sub;  /* "1", "O", or NULL */
    char axis;        /* 'x', 'y', 'z', 'u', 'v', 'w', or 0 */
    uint8_t primed;   /* how many primes: a symbol that would clash with another gets one */
    bool is_given;    /* the symbol of a name in the request */
};

struct node {
    struct num num;
    struct dimension dimension;
    uint8_t op;
    bool is_direction; /* a component of a unit vector (the allowance treats it as an angle too) */
    bool is_typed;     /* OP_GIVEN: text as typed */
    bool has_ways;     /* it is reached by other usual ways too: work_alternative */
    uint32_t operand[2]; /* nodes; OP_SUM: first index into the operand pool, and the count */
    uint32_t vectors[2]; /* OP_DOT, OP_NORM */
    uint32_t pair;       /* angle nodes: 1 + index of their (cosine, sine) once asked for, else 0 */
    struct symbol symbol; /* base NULL: has no name */
    const char *text;     /* OP_GIVEN: the token as typed; OP_CONSTANT: as printed, e.g. "180" */
    const char *pointer;  /* OP_GIVEN: JSON Pointer into the request */
    const struct unit
        *unit; /* OP_GIVEN in a unit of its own (before OP_CONVERT), else NULL: the request's */
};

enum vector_op {
    VECTOR_NONE,
    VECTOR_COMPONENTS, /* from scalars: x i + y j (+ z k) */
    VECTOR_SAME,
    VECTOR_SUM,   /* of n vectors */
    VECTOR_SUB,   /* operand vectors a − b */
    VECTOR_SCALE, /* scalar operand 0 times vector operand 1 */
    VECTOR_OVER,  /* vector operand 0 over scalar operand 1 */
    VECTOR_NEG,
    VECTOR_CROSS, /* a × b; in a plane problem only the z component is not none */
    VECTOR_OP_MAX_
};

struct vector {
    q component[3]; /* z is {0} in a plane problem, except for VECTOR_CROSS where x and y are {0} */
    uint8_t op;
    uint32_t operand[2]; /* by op: vectors and scalars; VECTOR_SUM: first index into the pool, and
                            the count */
    struct symbol symbol;
};

struct work; /* the tape with its steps, notes and alternatives; see work.h for what else it holds
              */

/* ---- reading ---- */
const struct node *q_node(const struct work *w, q x);
const struct vector *qv_node(const struct work *w, qv v);
double q_value(const struct work *w, q x);
q qv_component(const struct work *w, qv v, int axis); /* axis 0, 1, 2; {0} where there is none */
/* The numbers that x was worked from; *ret_count of them. */
const uint32_t *q_operands(const struct work *w, q x, uint32_t *ret_count);
/* Is x another name (OP_SAME, or a sum of one)? Of *ret_of. */
bool q_is_name(const struct work *w, q x, q *ret_of);
/* The k-th operand of a sum. */
q q_term(const struct work *w, q sum, uint32_t k);
qv qv_term(const struct work *w, qv sum, uint32_t k);
static inline bool q_is_none(q x) { return x.i == 0; }
static inline bool qv_is_none(qv v) { return v.i == 0; }

/* ---- leaves ---- */
/* The number on the tape, in the request's units: an OP_GIVEN, or where it came in another unit an
 * OP_CONVERT of it. */
q q_given(struct work *w, const struct given *given, struct dimension dimension);
q q_integer(struct work *w, int64_t n, struct dimension dimension);
/* A constant of the method or of a table, as an exact decimal text ("9.81"). */
q q_constant(struct work *w, const char *decimal, struct dimension dimension);
q q_turn(struct work *w, int64_t degrees); /* 90°, −90°, 180°, 360°: in rad a multiple of π */

/* ---- arithmetic: dimensions are checked, a mismatch is an internal error ---- */
q q_add(struct work *w, q a, q b);
q q_sum(struct work *w, const q *terms, uint32_t count);
q q_sub(struct work *w, q a, q b);
/* A mass times an acceleration is a force: in the request's unit, converted where that is not
 * coherent. */
q q_mul(struct work *w, q a, q b);
q q_div(struct work *w, q a, q b); /* b must not be zero: ask q_is_zero first */
q q_neg(struct work *w, q a);
q q_square(struct work *w, q a);
q q_sqrt(struct work *w, q a); /* a >= 0; the root of one square is its absolute value */
q q_abs(struct work *w, q a);
q q_sin(struct work *w, q angle);
q q_cos(struct work *w, q angle);
q q_tan(struct work *w, q angle);
q q_asin(struct work *w, q ratio);
q q_acos(struct work *w, q ratio);
q q_atan(struct work *w, q ratio);

/* ---- unknowns ---- */
/* An unknown as the linear solver found it: `found` is its value (the answer does not depend on the
 * working), `hand` the same number as the shown working reached it, or {0} where none was worked.
 * The two must agree to UNKNOWN_AGREES of `scale` (the largest force or moment of the system), else
 * it is an internal error; unless the digits of one of them were lost on the way, by its own bound
 * of error, or something was left out by hand that is zero within digits or rounding only: then
 * `hand` is left aside, and work_close leaves the working out. It takes over the symbol of
 * `hand`; without one it is named by q_name. */
q q_unknown(struct work *w, struct num found, struct dimension dimension, q hand, double scale);
#define UNKNOWN_AGREES 1e-9

/* ---- vectors ---- */
qv qv_of(struct work *w, q x, q y, q z); /* z {0}: plane */
qv qv_sum(struct work *w, const qv *terms, uint32_t count);
qv qv_sub(struct work *w, qv a, qv b);
qv qv_scale(struct work *w, q s, qv v);
qv qv_over(struct work *w, qv v, q s);
qv qv_neg(struct work *w, qv v);
qv qv_cross(struct work *w, qv a, qv b); /* plane: (0, 0, a_x b_y − a_y b_x) */
q q_dot(struct work *w, qv a, qv b);
q q_norm(struct work *w, qv v);
/* v known to be a unit vector: mark its components as a direction, for the allowance. */
qv qv_as_direction(struct work *w, qv v);

/* ---- names ---- */
/* Name a number (prints as its symbol from now on) and return it; a number that has a name already
 * gets a new node OP_SAME. */
q q_name(struct work *w, q x, struct symbol s);
/* Name a vector; its components are named with their axes, unless they have that name already. */
qv qv_name(struct work *w, qv v, struct symbol s);
/* "F1" is F with sub 1, "P" is P, "AB" is AB, "1" (of a support) is R with sub 1: the symbol of a
 * name in the request (arena owned). Where an earlier name has the same print (F_1 after F1) it has
 * a prime, once work_reserve has kept it. */
struct symbol symbol_of_name(struct work *w, const char *name);
struct symbol symbol_plain(const char *base);                /* static text */
struct symbol symbol_sub(const char *base, const char *sub); /* M, O */
struct symbol symbol_axis(struct symbol s, char axis);
/* A symbol of our own (R, θ, M_O): primed where a name in the request has the same print. Names are
 * kept by work_reserve. */
struct symbol symbol_own(struct work *w, const char *base, const char *sub);
struct symbol symbol_apart(struct work *w, struct symbol s); /* the same, begun with its primes */
void work_reserve(struct work *w, const char *name);

/* ---- questions: one answer everywhere (numerics.md) ---- */
/* Is it zero? Exactly where that can be decided; what could not is remembered (work_doubt). */
bool q_is_zero(struct work *w, q x);
bool qv_is_zero(struct work *w, qv v);
/* −1, 0, 1. A value whose rounding hides its sign is recomputed in double-double first. */
int q_sign(struct work *w, q x);
/* Compare two numbers of one dimension: the sign of a − b. */
int q_compare(struct work *w, q a, q b);

#endif
