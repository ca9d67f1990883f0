/* blame.c: the sentence of each fault. */
#include "schema/explain.h"

#include <string.h>

/* ---- reporting ---- */

static enum fault_code own_code(const struct place *at, enum fault_code code)
{
    for (; at != NULL; at = at->outer)
        if (words_code(at->node->definition, code) != code)
            return words_code(at->node->definition, code);
    return code;
}

/* Asked before each fault: past those that are kept it is counted, and no words are made. */
static bool is_worth_words(struct explainer *x)
{
    x->said++;
    if (x->reterr->fault_count < PROBLEM_FAULTS_KEPT)
        return true;
    x->reterr->faults_found++;
    return false;
}

/* At `value`, which may be a member that is not there, with only its key and parent. */
static void report(struct explainer *x, const struct json *value, enum fault_code code,
                   const char *detail)
{
    const char *pointer = json_pointer(x->arena, value);
    size_t length = strlen(detail);
    bool is_closed = length > 0 && strchr(".?)", detail[length - 1]) != NULL;
    problem_fault(x->reterr, pointer != NULL ? pointer : "", code, "%s%s", detail,
                  is_closed ? "" : ".");
}

/* ---- single faults ---- */

/* "26" or "26,5" for a number is common enough to say how it is written. */
static const char *unquoted(struct explainer *x, const struct json *v)
{
    if (v->length == 0 || v->length > 20 || strspn(v->text, "0123456789.,-+eE") != v->length)
        return "";
    size_t whole = strcspn(v->text, ",");
    return words_say(x->arena, "; write %.*s%s%s without quotes", (int)whole, v->text,
                     whole < v->length ? "." : "", whole < v->length ? v->text + whole + 1 : "");
}

void blame_type(struct explainer *x, const struct place *at)
{
    if (!is_worth_words(x))
        return;
    struct words expected = {0};
    words_expected(x->arena, at->node, &expected);
    bool all_objects = expected.count > 0;
    for (size_t i = 0; i < expected.count; i++)
        all_objects &= expected.word[i][0] == '{';
    const struct json *v = at->value;
    bool wants_number = expected.count > 0 && strcmp(expected.word[0], "a number") == 0;
    const char *hint = wants_number && v->type == JSON_STRING ? unquoted(x, v) : "";
    report(x, v, own_code(at, FAULT_TYPE),
           words_say(x->arena, "%s: %s%s is expected, %s was given%s", words_place(x->arena, at),
                     all_objects ? "an object such as " : "",
                     words_join(x->arena, &expected, " or "), words_given(x->arena, v), hint));
}

void blame_word(struct explainer *x, const struct place *at, const struct words *allowed)
{
    if (!is_worth_words(x))
        return;
    const struct json *v = at->value;
    const char *given = words_json(x->arena, v), *nearest = NULL;
    if (v->type == JSON_STRING)
        nearest = words_nearest(allowed, given, strlen(given));
    report(x, v, own_code(at, FAULT_NOT_ALLOWED),
           nearest != NULL
               ? words_say(x->arena, "%s: %s is not allowed; did you mean %s? (allowed: %s)",
                           words_place(x->arena, at), given, nearest,
                           words_join(x->arena, allowed, ", "))
               : words_say(x->arena, "%s: %s is not allowed; %s is expected",
                           words_place(x->arena, at), given,
                           words_join(x->arena, allowed, " or ")));
}

void blame_range(struct explainer *x, const struct place *at)
{
    if (!is_worth_words(x))
        return;
    const struct node *n = at->node;
    double given = at->value->number;
    bool is_low = given < n->minimum || (n->exclusive_minimum && given == n->minimum);
    bool is_strict = is_low ? n->exclusive_minimum : n->exclusive_maximum;
    /* Bounds are typed in api/, so their text stands there. */
    static const char *const keywords[2][2] = {{"maximum", "exclusiveMaximum"},
                                               {"minimum", "exclusiveMinimum"}};
    const struct json *bound = json_member(n->source, keywords[is_low][is_strict]);
    enum fault_code code = own_code(at, FAULT_RANGE);
    report(x, at->value, code,
           code == FAULT_NEGATIVE_MAGNITUDE && is_low
               ? words_say(x->arena, "%s is %s: leave out the minus sign and reverse the direction",
                           words_place(x->arena, at), words_json(x->arena, at->value))
               : words_say(x->arena, "%s is %s; %s %s is expected", words_place(x->arena, at),
                           words_json(x->arena, at->value),
                           is_low ? (is_strict ? "more than" : "at least")
                                  : (is_strict ? "less than" : "at most"),
                           bound != NULL ? bound->text : ""));
}

void blame_length(struct explainer *x, const struct place *at, size_t given, unsigned least,
                  unsigned most, const char *one, const char *many)
{
    if (!is_worth_words(x))
        return;
    struct arena *a = x->arena;
    const char *expected = least == most        ? words_say(a, "exactly %u", least)
                           : most == UINT32_MAX ? words_say(a, "at least %u", least)
                           : least == 0         ? words_say(a, "at most %u", most)
                           : least + 1 == most  ? words_say(a, "%u or %u", least, most)
                                                : words_say(a, "%u to %u", least, most);
    report(x, at->value, own_code(at, FAULT_LENGTH),
           words_say(a, "%s: %zu %s given, %s %s expected", words_place(a, at), given,
                     given == 1 ? one : many, expected, least == 1 && most == 1 ? "is" : "are"));
}

void blame_form(struct explainer *x, const struct place *at)
{
    if (!is_worth_words(x))
        return;
    const char *description = words_description(at);
    report(x, at->value, own_code(at, FAULT_PATTERN),
           words_say(x->arena, "%s: %s does not have the form that is read here%s%s",
                     words_place(x->arena, at), words_json(x->arena, at->value),
                     description != NULL ? ": " : "", description != NULL ? description : ""));
}

/* The schema of member `name` under any of the schemas that are asked of this value. */
static const struct node *schema_of_member(const struct place *at, const char *name, size_t length)
{
    for (; at != NULL; at = at->outer) {
        const struct name *found = names_find(&at->node->names, name, length);
        if (found != NULL && found->node != NULL)
            return found->node;
    }
    return NULL;
}

bool blame_tag_words(struct explainer *x, const struct place *at, const char *name, size_t length,
                     struct words *ret_words)
{
    for (; at != NULL; at = at->outer) {
        const struct choice *c = at->node->one_of != NULL ? at->node->one_of : at->node->any_of;
        if (c == NULL || c->tag == NULL || c->tag_length != length ||
            memcmp(c->tag, name, length) != 0)
            continue;
        for (unsigned i = 0; i < c->count; i++) {
            const struct node *branch = c->branches[i];
            while (branch->is_alias)
                branch = branch->ref;
            const struct name *tag = names_find(&branch->names, name, length);
            if (tag != NULL && tag->node != NULL)
                words_expected(x->arena, tag->node, ret_words);
        }
        return true;
    }
    return false;
}

/* A member that is called as the definition it follows may have a code of its own: a force without
 * direction. (An oblique axis is a direction too, but is not called so.) */
static enum fault_code missing_code(const struct node *n, const char *name, size_t length)
{
    bool is_called_so = n->definition != NULL && strlen(n->definition) == length &&
                        memcmp(n->definition, name, length) == 0;
    return is_called_so ? words_code(n->definition, FAULT_MISSING) : FAULT_MISSING;
}

void blame_missing(struct explainer *x, const struct place *at, const char *name, size_t length,
                   const char *needed_by)
{
    for (size_t i = 0; i < x->meant_count; i++)
        if (x->meant[i].object == at->value && strlen(x->meant[i].name) == length &&
            memcmp(x->meant[i].name, name, length) == 0) {
            x->said++; /* it is there, misspelt, and that has been said */
            return;
        }
    if (!is_worth_words(x))
        return;
    struct words needed = {0};
    const char *intro = "";
    enum fault_code code = FAULT_MISSING;
    const struct node *schema = schema_of_member(at, name, length), *holder = NULL;
    const struct choice *choice = schema != NULL ? words_choice(schema, &holder) : NULL;
    if (choice != NULL) {
        words_needed(x->arena, choice, " with ", &needed);
        code = missing_code(holder, name, length);
        intro = ": give one of ";
        if (code != FAULT_MISSING)
            needed_by = NULL; /* the list says enough */
    } else if (blame_tag_words(x, at, name, length, &needed)) {
        intro = ": one of ";
    } else if (schema != NULL) {
        while (schema->is_alias)
            schema = schema->ref;
        if (schema->options != NULL || schema->constant != NULL) {
            words_expected(x->arena, schema, &needed);
            intro = needed.count > 1 ? ": one of " : ": ";
        }
    }
    struct json absent = {.key = name, .key_length = length, .parent = at->value};
    report(x, &absent, code,
           words_say(x->arena, "%s has no %s%s%s%s%s", words_place(x->arena, at),
                     words_cut(x->arena, name, length),
                     needed_by != NULL ? ", which goes with " : "",
                     needed_by != NULL ? needed_by : "", needed.count > 0 ? intro : "",
                     words_join(x->arena, &needed, ", ")));
}

/* " where kind is "pin"": the tag by which a branch was chosen, or "". */
static const char *tag_remark(struct explainer *x, const struct place *at)
{
    for (; at != NULL; at = at->outer) {
        const struct choice *c = at->node->one_of != NULL ? at->node->one_of : at->node->any_of;
        const struct json *tag =
            c != NULL && c->tag != NULL ? json_member_of(at->value, c->tag, c->tag_length) : NULL;
        if (tag != NULL)
            return words_say(x->arena, " where %s is %s", c->tag, words_json(x->arena, tag));
    }
    return "";
}

void blame_unknown(struct explainer *x, const struct place *at, const struct json *member,
                   const struct words *known)
{
    if (!is_worth_words(x))
        return;
    const char *nearest = words_nearest(known, member->key, member->key_length);
    if (nearest != NULL && x->meant_count < MEANT_MAX) {
        x->meant[x->meant_count].object = at->value;
        x->meant[x->meant_count++].name = nearest;
    }
    const char *name = words_cut(x->arena, member->key, member->key_length);
    const char *place = words_place(x->arena, at), *remark = tag_remark(x, at);
    const char *list = words_join(x->arena, known, ", ");
    report(
        x, member, FAULT_UNKNOWN_MEMBER,
        nearest != NULL
            ? words_say(x->arena, "%s is not known in %s%s; did you mean %s? (known: %s)", name,
                        place, remark, nearest, list)
        : known->count > 0
            ? words_say(x->arena, "%s is not known in %s%s (known: %s)", name, place, remark, list)
            : words_say(x->arena, "%s is not known in %s%s", name, place, remark));
}

void blame_forbidden(struct explainer *x, const struct place *at)
{
    if (!is_worth_words(x))
        return;
    report(x, at->value, own_code(at, FAULT_FORBIDDEN),
           words_say(x->arena, "%s does not stand %s", words_place(x->arena, at), x->because));
}

void blame_second(struct explainer *x, const struct place *at, const struct json *first,
                  const struct json *second)
{
    if (!is_worth_words(x))
        return;
    report(x, second, FAULT_NOT_ALLOWED,
           words_say(x->arena, "%s stands twice in %s: entries %u and %u",
                     words_json(x->arena, second), words_place(x->arena, at), first->index + 1,
                     second->index + 1));
}

void blame_name(struct explainer *x, const struct place *at, const struct json *member,
                const struct place *its_name)
{
    if (!is_worth_words(x))
        return;
    const char *description = words_description(its_name);
    report(x, member, FAULT_PATTERN,
           words_say(x->arena, "%s does not do as a name in %s%s%s",
                     words_json(x->arena, its_name->value), words_place(x->arena, at),
                     description != NULL ? ": " : "", description != NULL ? description : ""));
}

void blame_rest(struct explainer *x, const struct place *at)
{
    if (!is_worth_words(x))
        return;
    report(x, at->value, own_code(at, FAULT_FORBIDDEN),
           words_say(x->arena, "%s does not fit %s", words_place(x->arena, at), x->because));
}

/* ---- choices ---- */

/* "magnitude and direction, or components" */
static const char *alternatives(struct explainer *x, const struct choice *choice)
{
    struct words needed = {0};
    words_needed(x->arena, choice, " and ", &needed);
    bool has_pair = false;
    for (size_t i = 0; i < needed.count; i++)
        has_pair |= strstr(needed.word[i], " and ") != NULL;
    return words_join(x->arena, &needed, has_pair ? ", or " : " or ");
}

void blame_sets(struct explainer *x, const struct place *at, const struct choice *choice,
                bool are_both)
{
    if (!is_worth_words(x))
        return;
    report(x, at->value, own_code(at, FAULT_CHOICE),
           words_say(x->arena, "%s: give %s%s", words_place(x->arena, at), alternatives(x, choice),
                     are_both ? ", not both" : ""));
}

void blame_two_ways(struct explainer *x, const struct place *at, const struct choice *choice,
                    const struct json *first, const struct json *second)
{
    if (!is_worth_words(x))
        return;
    enum fault_code code = own_code(at, FAULT_CHOICE);
    const char *place = words_place(x->arena, at);
    const char *a = words_cut(x->arena, first->key, first->key_length);
    const char *b = words_cut(x->arena, second->key, second->key_length);
    report(x, at->value, code,
           code == FAULT_TWO_DIRECTIONS
               ? words_say(x->arena, "%s is given in two ways, %s and %s: keep one", place, a, b)
               : words_say(x->arena, "%s: %s and %s do not go together; give %s, not both", place,
                           a, b, alternatives(x, choice)));
}

void blame_no_way(struct explainer *x, const struct place *at, const struct choice *choice)
{
    if (!is_worth_words(x))
        return;
    struct words needed = {0};
    words_needed(x->arena, choice, " with ", &needed);
    const char *list = words_join(x->arena, &needed, ", ");
    const struct json *v = at->value;
    /* "force P has no direction", said of the direction that is empty. */
    enum fault_code code =
        v->key != NULL ? missing_code(at->node, v->key, v->key_length) : FAULT_CHOICE;
    if (code == FAULT_MISSING)
        code = FAULT_CHOICE;
    const struct place *whole = at;
    while (whole->outer != NULL)
        whole = whole->outer;
    report(x, v, code,
           v->key != NULL && whole->parent != NULL && !whole->in_map
               ? words_say(x->arena, "%s has no %s: give one of %s",
                           words_place(x->arena, whole->parent),
                           words_cut(x->arena, v->key, v->key_length), list)
               : words_say(x->arena, "%s: give one of %s", words_place(x->arena, at), list));
}

void blame_two_fits(struct explainer *x, const struct place *at, const struct choice *choice)
{
    if (choice->tag != NULL && json_member_of(at->value, choice->tag, choice->tag_length) == NULL)
        blame_missing(x, at, choice->tag, choice->tag_length, NULL);
    else if (is_worth_words(x))
        report(x, at->value, own_code(at, FAULT_CHOICE),
               words_say(x->arena, "%s fits more than one of its forms: give %s",
                         words_place(x->arena, at), alternatives(x, choice)));
}
