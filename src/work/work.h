/* work.h: the working of one request: the tape, the steps in the order of explanation, the notes,
 * and the result. */
#ifndef WORK_WORK_H
#define WORK_WORK_H

#include "work/tape.h"

/* ---- prose with numbers: a template whose {} are filled, in order, by arguments; no number is
 * ever typed into the text ---- */
enum arg_kind {
    ARG_VALUE,  /* a scalar with its unit, rounded as the working is: "26.0 kN" */
    ARG_SYMBOL, /* a scalar's symbol: R_x */
    ARG_VECTOR, /* a vector's symbol: R */
    ARG_LIST,   /* symbols of what has no value yet: A_x, A_y and B */
    ARG_NAME,   /* a name or word from the request or the code, as plain text */
    ARG_COUNT,  /* a whole number that is no measurement: how many forces */
    ARG_KIND_MAX_
};
struct arg {
    enum arg_kind kind;
    union { /* by kind */
        q scalar;
        qv vector;
        const char *name;
        int count;
        struct {
            const struct symbol *symbol; /* in the arena */
            int length;
        } list;
    };
};
struct phrase {
    const char *template; /* UTF-8; {} stands for an argument */
    uint32_t count;
    struct arg arg[6];
};
struct arg arg_value(q x);
struct arg arg_symbol(q x);
struct arg arg_vector(qv v);
struct arg arg_list(const struct symbol *symbol, int length);
struct arg arg_name(const char *name);
struct arg arg_count(int n);
/* A list of names in words, grown from NULL by one name at a time, `left` of which are to come: "A,
 * B and C". */
const char *name_list(struct work *w, const char *list, const char *name, int left);
/* phrase("{} lies in quadrant {}.", 2, (struct arg[]){arg_vector(R), arg_count(4)}) */
struct phrase phrase(const char *template, uint32_t count, const struct arg *args);
#define PHRASE(template, ...)                                                                      \
    phrase((template), sizeof((struct arg[]){__VA_ARGS__}) / sizeof(struct arg),                   \
           (struct arg[]){__VA_ARGS__})
#define PLAIN(text) phrase((text), 0, NULL)

/* ---- steps ---- */
enum step_kind {
    STEP_DEFINE,        /* scalar: symbol = formula = substitution = value unit */
    STEP_DEFINE_VECTOR, /* vector; in scalar notation one line a component */
    STEP_EQUATION, /* label: scalar expression = right-hand side (none: 0), e.g. ΣM_A = 0: … = 0 */
    STEP_DECIDE,   /* a phrase: what is seen and what follows */
    STEP_CHECK,    /* scalar (a residual) against its scale, and a phrase */
    STEP_SAY,      /* a phrase */
    STEP_KIND_MAX_
};
enum sum_label { /* what a sum is called: ΣF_x, ΣM_O */
                 LABEL_NONE,
                 LABEL_SUM_FORCE,  /* ΣF, with the axis of the step's symbol */
                 LABEL_SUM_MOMENT, /* ΣM, with `about` as its sub */
                 LABEL_MAX_
};
struct step {
    enum step_kind kind;
    q scalar, right;
    qv vector;
    enum sum_label label; /* printed between symbol and formula: R_x = ΣF_x = … */
    char label_axis;      /* 'x', 'y', 'z' or 0 */
    const char *about;    /* name of the moment centre, or NULL */
    struct phrase phrase;
};
struct section {
    struct phrase title, why; /* why: template NULL where nothing need be said */
    uint32_t first, count;    /* its steps */
};

struct note {
    const char *code; /* "quadrant", "zero-resultant", … */
    struct phrase text;
};

/* ---- the result: a tree of named values whose numbers are tape nodes; a bare double cannot be put
 * into it ---- */
enum value_kind {
    VALUE_NULL,
    VALUE_NUMBER, /* scalar */
    VALUE_VECTOR, /* [x, y (, z)] */
    VALUE_TEXT,   /* a word of the contract, or a name */
    VALUE_PHRASE, /* prose with numbers */
    VALUE_COUNT,  /* a whole number that is no measurement: quadrant, rank, degree */
    VALUE_BOOL,
    VALUE_OBJECT,
    VALUE_LIST,
    VALUE_KIND_MAX_
};
struct value {
    enum value_kind kind;
    bool asked; /* VALUE_NUMBER, VALUE_VECTOR: may be asked for, so it is listed in the key */
    union {     /* by kind; a large truss has a hundred thousand of them */
        q scalar;
        qv vector;
        const char *text;
        const struct phrase *phrase;
        int count;
        bool truth;
    };
    const char *key; /* in an object */
    struct value *child, *last, *next;
};

/* Cosine and sine of an angle: its residue, so to speak. */
struct angle_pair {
    struct num cosine, sine;
};
/* Another usual way to the same number, for its allowance only. */
struct alternative {
    q of, other;
    bool is_round;       /* see work_alternative_round */
    double stray, scale; /* how far `other` may stray, and what of */
    double together;     /* how far `of` may stray by all of its ways; see allowance.c */
};
/* By how much a number may rise and fall when it is written down. */
struct rounding {
    double up, down;
};
struct symbol_entry {
    struct symbol symbol; /* base NULL: free */
    const char *name;     /* of the request, whose symbol it is; NULL: one of our own */
    bool is_taken;        /* a node has it; otherwise it is kept for that name */
};

/* A named place of the problem. */
struct named_place {
    const char *name;
    qv place;
};
enum beyond {
    BEYOND_NOTHING,
    BEYOND_RANGE,  /* a number left the range of a double */
    BEYOND_DIGITS, /* a number that is not zero lost all its digits, its sign among them */
    BEYOND_MAX_
};
struct slip_chance; /* see slip.h */
struct slip_edit;
struct slip_heading;
struct slip_balance;

struct work {
    struct arena *arena;
    const struct field *field;
    const struct field *second; /* another, which confirms what falls short; NULL: none */
    struct units units;
    bool space;         /* three dimensions */
    bool wants_key;     /* allowances will be asked for: work out the alternatives as well */
    bool wants_working; /* steps will be rendered (the numbers do not depend on it) */
    bool numbers_only;  /* the problem is too large to be shown: steps are not kept */
    uint64_t replayed;  /* numbers, by all replays of slips */
    bool keeps_slips; /* answers will be checked: wrong lines are declared beside the right ones */
    bool
        key_is_later; /* with wants_key: work_close makes no key, single allowances are asked for */
    bool hides_solution; /* neither working nor key leave */
    bool is_class;       /* the members of `answer` stand in the envelope themselves */
    int radian_decimals; /* finest decimal step of the request's radians */

    struct node *node;
    uint32_t node_count, node_capacity;
    struct vector *vector;
    uint32_t vector_count, vector_capacity;
    uint32_t *pool; /* operands of sums */
    uint32_t pool_count, pool_capacity;
    struct angle_pair *pair; /* of angle nodes */
    uint32_t pair_count, pair_capacity;
    struct step *step;
    uint32_t step_count, step_capacity;
    struct section *section;
    uint32_t section_count, section_capacity;
    struct note *note;
    uint32_t note_count, note_capacity;
    struct alternative *alternative;
    uint32_t alternative_count, alternative_capacity;
    uint32_t measured_count;      /* alternatives that have been measured */
    struct symbol_entry *symbols; /* open-addressed set of the symbols in use, by print */
    uint32_t symbol_count, symbol_capacity;
    uint32_t *direction; /* vectors marked by qv_as_direction */
    uint32_t direction_count, direction_capacity;
    struct slip_chance *chance; /* of mistakes, in order */
    uint32_t chance_count, chance_capacity;
    struct slip_edit *edit; /* what they change */
    uint32_t edit_count, edit_capacity;
    struct slip_heading *heading; /* directions that follow their components, by angle */
    uint32_t heading_count, heading_capacity;
    struct slip_balance *balance; /* what must vanish, whatever it is worked from */
    uint32_t balance_count, balance_capacity;
    struct named_place *place; /* of the problem */
    uint32_t place_count, place_capacity;
    struct key_entry *key;
    uint32_t key_count;

    double *adjoint; /* scratch of work_sweep */
    uint32_t adjoint_capacity;
    uint64_t *reached; /* bits of nodes: scratch of work_sweep and work_ancestors */
    size_t reached_capacity;
    struct rounding *rounding; /* of each node, where it is written; see allowance.c */
    double *stray;             /* of each node, by all roundings until then */
    uint32_t rounding_count, rounding_capacity;

    struct value *answer; /* root of the result: an object */
    const char *kind;     /* "resultant" */

    bool failed;         /* no memory, or a limit reached */
    bool unlucky;        /* a divisor's residue was 0 by chance: work again in another field */
    bool inconsistent;   /* dimensions did not fit, a root of a negative: a fault of ours */
    bool doubt_rounding; /* something was zero to within rounding only */
    bool doubt_digits;   /* something was zero within the digits given */
    bool hand_lost;      /* something worked by hand lost its digits on the way */
    bool hand_left_out; /* equations by hand left out what is zero within digits or rounding only */
    enum beyond beyond; /* what cannot be calculated with; the first counts, the rest follows */
};

/* An empty work in `arena`, over `field`; units and dimension follow by work_begin. */
void work_init(struct work *w, struct arena *arena, const struct field *field);
/* The request's units, and whether it is of space. */
void work_begin(struct work *w, struct units units, bool space);
/* Room for so many numbers more, and for the names of so many: a large problem that says so before
 * takes half the memory. */
void work_expect(struct work *w, uint32_t numbers, uint32_t names);

/* ---- steps and notes, in the order of explanation ---- */
void work_section(struct work *w, struct phrase title, struct phrase why);
void work_define(struct work *w, q x);
void work_define_sum(struct work *w, q x, enum sum_label label, char axis, const char *about);
void work_define_vector(struct work *w, qv v);
void work_equation(struct work *w, enum sum_label label, char axis, const char *about, q left,
                   q right);
void work_decide(struct work *w, struct phrase p);
void work_check(struct work *w, q residual, struct phrase p);
/* The same of a sum that was not used: ΣM_B = … = 0. */
void work_check_sum(struct work *w, q residual, enum sum_label label, char axis, const char *about,
                    struct phrase p);
void work_say(struct work *w, struct phrase p);
/* Have the steps from `from` on stand before step `before` of the same section: an equation is
 * shown before its unknowns are, though it is made of them. */
void work_move_steps(struct work *w, uint32_t from, uint32_t before);
void work_note(struct work *w, const char *code, struct phrase text);
/* `other` is the same number as `of` reached by another usual way (arm instead of components, sine
 * law, …); only for allowances. */
void work_alternative(struct work *w, q of, q other);
/* The same where either may be a long way round, a chain of many results: what strays by it more
 * than 5 % of the scale is allowed for up to there only, if another way strays less. */
void work_alternative_round(struct work *w, q of, q other);

/* ---- the result ---- parent NULL: the answer itself; key NULL: an entry of a list. All return the
 * new value. */
struct value *result_object(struct work *w, struct value *parent, const char *key);
struct value *result_list(struct work *w, struct value *parent, const char *key);
void result_number(struct work *w, struct value *parent, const char *key, q x);
/* A number, or null where x is none. */
void result_number_or_null(struct work *w, struct value *parent, const char *key, q x);
void result_vector(struct work *w, struct value *parent, const char *key, qv v);
void result_text(struct work *w, struct value *parent, const char *key, const char *text);
void result_phrase(struct work *w, struct value *parent, const char *key, struct phrase p);
void result_count(struct work *w, struct value *parent, const char *key, int n);
void result_bool(struct work *w, struct value *parent, const char *key, bool truth);
void result_null(struct work *w, struct value *parent, const char *key);

/* There will be no answer, but a fault of that kind, if `is_so`. */
void work_beyond(struct work *w, enum beyond what, bool is_so);
/* PROBLEM_NONE; or PROBLEM_INVALID_REQUEST where numbers left what can be calculated with, at the
 * given that is farthest from the others in size. */
enum problem_code work_in_bounds(const struct work *w, struct problem *reterr);

/* The end of a problem whose numbers contradict each other: where the givens are so different in
 * size that a double holds them apart, digits were lost, as in work_in_bounds; else it is a fault
 * of ours, PROBLEM_INTERNAL with this detail for the log. */
enum problem_code work_contradicted(struct work *w, struct problem *reterr, const char *detail);

/* Close the tape before an answer leaves: every result set, named and finite, symbols unique,
 * dimensions consistent. PROBLEM_NONE, PROBLEM_OVERLOADED (no memory), that of work_in_bounds, or
 * PROBLEM_INTERNAL with a detail for the log. w->unlucky is asked before. */
enum problem_code work_close(struct work *w, struct problem *reterr);

/* ---- the key ---- */
struct key_entry {
    const char
        *of; /* path into the answer: /resultant/magnitude; named lists go by name or symbol */
    q number;
    double allowance;  /* hand-rounding allowance, absolute, in the number's unit */
    bool is_sensitive; /* the allowance is more than 5 % of the scale: ill-conditioned for hand work
                        */
};
/* All numbers of the answer that can be asked for (at most 1,000), with their allowances;
 * *ret_count of them. */
const struct key_entry *work_key(struct work *w, uint32_t *ret_count);

/* The hand-rounding allowance of one number, in its own unit: the worst that writing every
 * intermediate to 3 figures (angles to 0.1 degrees) and the number itself can do to it, by one
 * backward sweep; the largest over its alternatives; never below its floor of 0.5 % of the scale,
 * or 0.1 degrees (docs/numbers.md). *ret_is_sensitive may be NULL. */
#define ALLOWANCE_OF_SCALE 0.005 /* the floor */
double allowance_of(struct work *w, q x, bool *ret_is_sensitive);

/* The scale of a number: the largest of its kind that it was worked out from; 1 for a ratio. */
double allowance_scale(struct work *w, q x);

#endif
