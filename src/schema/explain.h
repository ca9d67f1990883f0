/* explain.h: what the walk to a fault (explain.c) and its sentence (blame.c) share. Inside schema/
 * only. */
#ifndef SCHEMA_EXPLAIN_H
#define SCHEMA_EXPLAIN_H

#include "schema/words.h"

#define MEANT_MAX 20

struct explainer {
    struct verdict *verdict;
    struct problem *reterr;
    struct arena *arena;
    struct { /* names that misspelt members were meant to be */
        const struct json *object;
        const char *name;
    } meant[MEANT_MAX];
    size_t meant_count;
    size_t said;         /* faults reported, kept or not */
    const char *because; /* "beside toward": what made the schema ask this; otherwise "here" */
};

/* ---- blame.c: each adds one fault, in words where it is among those that are kept ---- */

void blame_type(struct explainer *x, const struct place *at);
/* None of the words allowed. */
void blame_word(struct explainer *x, const struct place *at, const struct words *allowed);
void blame_range(struct explainer *x, const struct place *at);
/* `one` and `many` say what is counted: "entry is", "entries are". */
void blame_length(struct explainer *x, const struct place *at, size_t given, unsigned least,
                  unsigned most, const char *one, const char *many);
void blame_form(struct explainer *x, const struct place *at);
/* No member `name`, which goes with `needed_by` (or NULL). */
void blame_missing(struct explainer *x, const struct place *at, const char *name, size_t length,
                   const char *needed_by);
void blame_unknown(struct explainer *x, const struct place *at, const struct json *member,
                   const struct words *known);
void blame_forbidden(struct explainer *x, const struct place *at);
/* The entry `second` is the same as `first`. */
void blame_second(struct explainer *x, const struct place *at, const struct json *first,
                  const struct json *second);
/* A member is called as none can be. */
void blame_name(struct explainer *x, const struct place *at, const struct json *member,
                const struct place *its_name);
/* `not`, and whatever else has no words of its own. */
void blame_rest(struct explainer *x, const struct place *at);

/* Of several sets of members none is there, or more than one is. */
void blame_sets(struct explainer *x, const struct place *at, const struct choice *choice,
                bool are_both);
/* Two members belong to different branches. */
void blame_two_ways(struct explainer *x, const struct place *at, const struct choice *choice,
                    const struct json *first, const struct json *second);
/* No member says which branch is meant. */
void blame_no_way(struct explainer *x, const struct place *at, const struct choice *choice);
void blame_two_fits(struct explainer *x, const struct place *at, const struct choice *choice);

/* The constants of a choice's tag, where `name` is the tag of a choice at this place. */
bool blame_tag_words(struct explainer *x, const struct place *at, const char *name, size_t length,
                     struct words *ret_words);

#endif
