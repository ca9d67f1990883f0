/* close.c: what is asked of every answer before it leaves, and the key of all its numbers. */
#include <math.h>
#include <string.h>

#include "base/limits.h"
#include "work/work.h"

#define PATH_BYTES 512 /* a path has at most six parts, each a name or a member of the contract */

struct walk {
    struct work *w;
    char path[PATH_BYTES];
    const char *fault; /* of ours; NULL: none */
    bool collects;
};

static void visit_number(struct walk *walk, q x, bool is_asked)
{
    struct work *w = walk->w;
    const struct node *n = q_node(w, x);
    if (q_is_none(x))
        walk->fault = "a number was not set";
    else if (!isfinite(n->num.value))
        walk->fault = "a number is not finite";
    else if (!n->symbol.base)
        walk->fault = "a number has no symbol";
    if (walk->fault || !walk->collects || !is_asked || w->key_count >= LIMIT_KEY_ENTRIES)
        return;
    struct key_entry *entry = &w->key[w->key_count++];
    entry->of = arena_text(w->arena, walk->path, strlen(walk->path));
    entry->number = x;
    entry->allowance = allowance_of(w, x, &entry->is_sensitive);
}

/* Go one part down the path; returns the length to go back to. */
static size_t descend(struct walk *walk, const char *part)
{
    size_t length = strlen(walk->path), room = PATH_BYTES - length;
    if (strlen(part) + 2 > room) {
        walk->fault = "a path of the answer is too long";
        return length;
    }
    walk->path[length] = '/';
    memcpy(walk->path + length + 1, part, strlen(part) + 1);
    return length;
}

/* What an entry of a list goes by: its name, its symbol, or its place. */
static const char *part_of(const struct value *entry, uint32_t index, char digits[12])
{
    for (const struct value *v = entry->child; v; v = v->next)
        if (v->key && v->kind == VALUE_TEXT &&
            (strcmp(v->key, "name") == 0 || strcmp(v->key, "symbol") == 0))
            return v->text;
    char *at = digits + 11;
    *at = '\0';
    do
        *--at = (char)('0' + index % 10);
    while ((index /= 10) > 0);
    return at;
}

static void visit(struct walk *walk, const struct value *v)
{
    char digits[12];
    uint32_t index = 0;
    switch (v->kind) {
    case VALUE_NUMBER:
        visit_number(walk, v->scalar, v->asked);
        return;
    case VALUE_VECTOR:
        if (qv_is_none(v->vector))
            walk->fault = "a vector was not set";
        for (int axis = 0; axis < (walk->w->space ? 3 : 2) && !walk->fault; axis++) {
            size_t back = descend(walk, (const char *[]){"0", "1", "2"}[axis]);
            visit_number(walk, qv_component(walk->w, v->vector, axis), v->asked);
            if (!walk->fault)
                walk->path[back] = '\0';
        }
        return;
    case VALUE_OBJECT:
    case VALUE_LIST:
        for (const struct value *c = v->child; c && !walk->fault; c = c->next, index++) {
            size_t back = descend(walk, c->key ? c->key : part_of(c, index, digits));
            visit(walk, c);
            if (!walk->fault)
                walk->path[back] = '\0';
        }
        return;
    case VALUE_NULL:
    case VALUE_TEXT:
    case VALUE_PHRASE:
    case VALUE_COUNT:
    case VALUE_BOOL:
    case VALUE_KIND_MAX_:
        return;
    }
}

static void note_doubts(struct work *w)
{
    if (w->doubt_digits)
        work_note(w, "zero-within-digits",
                  PLAIN("A value is zero within the digits given: numbers of ten or more figures "
                        "are taken as rounded in their last."));
    if (w->doubt_rounding)
        work_note(w, "zero-within-rounding",
                  PLAIN("A value is zero to within rounding; it was not decided exactly."));
    if (w->hand_lost) {
        w->section_count = w->step_count = 0;
        work_note(w, "working-lost",
                  PLAIN("The problem is so nearly singular that work by hand loses its digits: the "
                        "values come from the equations solved together, and there is no "
                        "working."));
    }
    for (uint32_t i = 0; i < w->key_count; i++)
        if (w->key[i].is_sensitive) {
            work_note(w, "sensitive-by-hand",
                      PHRASE("{} is ill-conditioned for work by hand: small roundings on the way "
                             "move it much.",
                             arg_symbol(w->key[i].number)));
            return;
        }
}

enum problem_code work_close(struct work *w, struct problem *reterr)
{
    struct walk walk = {.w = w, .collects = w->wants_key && !w->key_is_later};
    if (walk.collects && !w->failed) {
        w->key = arena_alloc(w->arena, LIMIT_KEY_ENTRIES * sizeof *w->key);
        w->failed = !w->key;
    }
    if (!w->failed && !w->inconsistent && w->answer)
        visit(&walk, w->answer);
    if (!w->failed)
        note_doubts(w);
    if (w->failed)
        return problem_set(reterr, PROBLEM_OVERLOADED,
                           "There was not enough memory to work this out.");
    if (work_in_bounds(w, reterr) != PROBLEM_NONE)
        return PROBLEM_INVALID_REQUEST;
    if (w->inconsistent)
        return work_contradicted(w, reterr, "A step did not fit the ones before it.");
    if (!w->answer || walk.fault)
        return problem_set(reterr, PROBLEM_INTERNAL, "The answer did not pass its check: %s (%s).",
                           walk.fault ? walk.fault : "there is none", walk.path);
    return PROBLEM_NONE;
}

const struct key_entry *work_key(struct work *w, uint32_t *ret_count)
{
    *ret_count = w->key_count;
    return w->key;
}
