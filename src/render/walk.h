/* walk.h: what the one walker and the writers of the formats share (inside render/ only). */
#ifndef RENDER_WALK_H
#define RENDER_WALK_H

#include <string.h>

#include "base/number.h"
#include "render/render.h"

/* How tightly a printed expression holds together. An operand that binds less than its place needs
 * stands in brackets. */
enum binding {
    BINDS_SUM,      /* a + b, −a */
    BINDS_QUOTIENT, /* a/b */
    BINDS_PRODUCT,  /* a b */
    BINDS_PREFIX,   /* cos a, √a */
    BINDS_POWER,    /* a² */
    BINDS_ATOM,     /* a number, a symbol */
    BINDS_NEVER     /* needed by a place that always has brackets */
};

/* How one operation is written: open a separator b close. Of a function, `separator` stands before
 * an operand that has no brackets. */
struct row {
    const char *open, *separator, *close;
    enum binding binds, needs, needs_right;
    bool trails; /* ends with its operand: what follows would be read as part of it (cos θ d) */
};

/* What a factor begins with, for the sign of multiplication before it. */
enum start { START_NUMBER, START_BRACKET, START_WORD, START_MAX_ };

enum sense { SENSE_RIGHT, SENSE_UP, SENSE_COUNTER_CLOCKWISE, SENSE_MAX_ };

struct digits {
    const char *text; /* "26.0", without sign */
    size_t length;
    int exponent10;
    bool pi; /* times π */
};

/* A number as it is shown: rounded, as typed, or a constant's text. */
struct shown {
    uint32_t of; /* the node */
    bool negative;
    bool degrees, radians; /* the mark it carries inside a formula */
    uint32_t count;        /* parts: 1, or 2 for a fraction */
    struct digits part[2];
    struct number_text own; /* holds the digits of a rounded number */
};

struct walk;

/* A format: one table, and functions where a table can't serve. */
struct writer {
    const char *name; /* in a request's "formats" and in a line of an answer */
    struct row op[OP_MAX_];
    struct row squared[3]; /* sin², cos², tan² of an operand */
    struct row vector_op[VECTOR_OP_MAX_];
    const char *line[2];      /* around a line of mathematics */
    const char *sentence[2];  /* around a line of prose */
    const char *inline_of[2]; /* around mathematics within prose */
    const char *is, *equals;  /* the first of a line, and those that go on from a value */
    const char *plus, *minus, *negative, *zero;
    const char *pause; /* between a term that trails and the next */
    const char *bracket[2], *brace[2];
    const char *unit_vector[3], *prime; /* as the last factor of a component */
    const char *colon, *restated;       /* equation: its formula, the same with numbers */
    const char *sense[SENSE_MAX_];      /* which way a sum counts as positive */
    void (*times)(struct walk *k, enum start right);
    void (*number)(struct walk *k, const struct digits *d);
    void (*degrees)(struct walk *k, const struct digits *d); /* with its mark */
    void (*symbol)(struct walk *k, const struct symbol *s, bool is_vector);
    /* After a value, with what separates it; `one`: the value is a plain 1. */
    void (*unit)(struct walk *k, struct dimension d, const struct units *units, bool one);
    void (*sum_label)(struct walk *k, enum sum_label label, char axis, const char *about,
                      bool is_vector);
    void (*prose)(struct walk *k, const char *text, size_t length);
    /* a × b with its numbers; NULL: written by components. */
    void (*determinant)(struct walk *k, qv a, qv b);
};

extern const struct writer text_writer, latex_writer, mathml_writer, speech_writer;
extern const struct writer latex_paragraph_writer; /* latex_writer, but prose is not mathematics */
const struct writer *writer_of(enum format format);

#define SHOWN_KEPT 32 /* the numbers of the last few lines, which the next ones repeat */

struct walk {
    struct work *w;
    const struct writer *writer;
    const struct render_options *options;
    struct buf *out;
    bool numbers;         /* the substitution: named numbers print as values */
    bool is_equation;     /* in it, what is not known yet stays a symbol */
    uint32_t root;        /* the node whose formula is being written, though it has a name */
    uint32_t root_vector; /* the same */
    uint32_t step;        /* index of the step being written */
    uint32_t *defined;    /* of each node: 1 + the step that defines it, or 0; made when needed */
    uint8_t unit_vector_primes; /* as many as tell i, j, k from names in the request */
    struct shown shown[SHOWN_KEPT];
    struct shown result;
};

void walk_begin(struct walk *k, struct work *w, const struct writer *writer,
                const struct render_options *options, struct buf *out);

/* Append short texts without a call where the buffer has room; `length` bytes at most. */
#define SHORT_TEXT 16 /* bytes: nearly all that is written at once */
static inline void put_bytes(struct walk *k, const char *bytes, size_t length)
{
    struct buf *out = k->out;
    if (length > SHORT_TEXT || out->capacity - out->length <= SHORT_TEXT) {
        buf_put(out, bytes, length);
        return;
    }
    for (size_t i = 0; i < length; i++)
        out->data[out->length + i] = bytes[i];
    out->length += length;
}
static inline void put(struct walk *k, const char *text)
{
    struct buf *out = k->out;
    size_t at = out->length, room = out->capacity - at;
    if (__builtin_constant_p(strlen(text)) && strlen(text) < room) { /* a literal */
        memcpy(out->data + at, text, strlen(text));
        out->length = at + strlen(text);
        return;
    }
    for (size_t i = 0; i < room && i < SHORT_TEXT; i++) {
        if (text[i] == '\0') {
            out->length = at + i;
            return;
        }
        out->data[at + i] = text[i];
    }
    buf_puts(out, text);
}

/* ---- show.c: numbers and units ---- */
/* The number x as shown: given numbers as typed, constants as their text, all else rounded. Good
 * until other numbers are shown. */
const struct shown *show(struct walk *k, q x);
/* The same of a number that is told, not worked with: as typed only where it is the given itself,
 * while what the method made its own is rounded (90.0°). */
const struct shown *show_result(struct walk *k, q x);
/* `value` rounded for display: an angle in degrees to 0.1° (finer from 4 figures on), all else to
 * the figures asked for. */
struct number_text round_for_display(const struct render_options *options,
                                     const struct units *units, struct dimension d, double value);
struct unit_part {
    const char *name, *spoken, *spoken_plural;
    int exponent;
};
/* The parts of a unit that have an exponent; how many. */
uint32_t unit_parts(struct dimension d, const struct units *units, struct unit_part ret_part[4]);
/* "kN·m", "kN/m", "deg", "" for a ratio. */
void put_unit_name(struct walk *k, struct dimension d, const struct units *units);

/* A whole number; returns its length. */
size_t integer_text(int n, char ret_text[12]);

/* ---- walk.c: formulas ---- */
bool is_leaf(const struct walk *k, q x);
void put_scalar(struct walk *k, q x, enum binding needs);
void put_vector(struct walk *k, qv v, enum binding needs);
/* x i + y j (+ z k): numbers, or formulas of the components. */
void put_components(struct walk *k, qv v);
/* The number x, named or not, as an operand. */
void put_number(struct walk *k, q x, enum binding needs);
void put_unit(struct walk *k, q x);
void put_unit_of_vector(struct walk *k, qv v);
/* The number x with its unit, as a result. */
void put_value(struct walk *k, q x);
/* An OP_CONVERT: its operand (the value of it, or its formula) times the factor. */
void put_conversion(struct walk *k, q x, bool by_value);

/* ---- line.c: steps ---- */
uint32_t line_count(const struct walk *k, const struct step *step);
void put_line(struct walk *k, const struct step *step, uint32_t i);
bool line_is_prose(const struct step *step, uint32_t i);
void put_phrase(struct walk *k, const struct phrase *phrase);
/* A result on its own: R = 26.0 kN. */
void put_result(struct walk *k, q x);
void put_vector_result(struct walk *k, qv v);

#endif
