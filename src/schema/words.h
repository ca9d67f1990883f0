/* words.h: how a value, a schema and a place are said to a teacher. Inside schema/ only. */
#ifndef SCHEMA_WORDS_H
#define SCHEMA_WORDS_H

#include "base/problem.h"
#include "schema/node.h"

/* Where an explanation stands: a value and the schema that is asked of it. */
struct place {
    const struct place *parent; /* of the value around this one; NULL for the whole */
    const struct place *outer;  /* the same value under the schema that led to this one, or NULL */
    const struct json *value;
    const struct node *node;
    bool in_map; /* a member whose name the caller chose: a point, a body */
};

/* printf into the arena; "" without memory: the request is then answered as overloaded by whoever
 * asks the arena. */
const char *words_say(struct arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#define WORDS_MAX 48
struct words {
    const char *word[WORDS_MAX];
    size_t count; /* beyond WORDS_MAX words are left out */
};

void words_add(struct words *w, const char *word);
/* "a, b and c", with `last` between the last two (" and ", " or ", ", "). Long lists end in "…". */
const char *words_join(struct arena *arena, const struct words *w, const char *last);
/* The word that `typed` was meant to be (at most two letters off, or its beginning), or NULL. */
const char *words_nearest(const struct words *w, const char *typed, size_t length);

/* A text cut to what fits in a sentence. */
const char *words_cut(struct arena *arena, const char *text, size_t length);
/* What was given: "null", "26", "the text "26"", "a list". */
const char *words_given(struct arena *arena, const struct json *value);
/* A value as JSON, for lists of what is allowed. */
const char *words_json(struct arena *arena, const struct json *value);

/* What a schema takes, one entry an alternative: "a number", "{"line": …}", "name of a point". */
void words_expected(struct arena *arena, const struct node *n, struct words *ret_words);
/* The members that tell the branches of a choice apart: "angle", "azimuth with elevation". */
void words_needed(struct arena *arena, const struct choice *choice, const char *with,
                  struct words *ret_words);
/* The members that an object of this schema must have, or has a choice of. */
void words_needed_of(struct arena *arena, const struct node *n, const char *with,
                     struct words *ret_words);

/* "force P", "magnitude of force P", "entry 2 of forces", "the request". */
const char *words_place(struct arena *arena, const struct place *at);

/* The first description on the way from the outermost schema of this place inward, or NULL. */
const char *words_description(const struct place *at);

/* The choice between objects that a schema leads to (through references and alternatives), and the
 * schema that holds it; or NULL. */
const struct choice *words_choice(const struct node *n, const struct node **ret_holder);

/* The code that says more than `code` does for this definition of $defs, or `code`. */
enum fault_code words_code(const char *definition, enum fault_code code);

#endif
