/* explain.c: why a value does not fit, in a teacher's words. It walks down to where the fault lies:
 * into the one branch of a choice that was meant, past everything that fits. What follows from
 * another fault (a range once the type is wrong) is not said. */
#include <string.h>

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

static void explain(struct explainer *x, const struct place *at);

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

static void wrong_type(struct explainer *x, const struct place *at)
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

static void not_allowed(struct explainer *x, const struct place *at, const struct words *allowed)
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

static void out_of_range(struct explainer *x, const struct place *at)
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

static void wrong_length(struct explainer *x, const struct place *at, size_t given, unsigned least,
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

static void wrong_form(struct explainer *x, const struct place *at)
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

/* The constants of a choice's tag, where `name` is the tag of a choice at this place. */
static bool tag_words(struct explainer *x, const struct place *at, const char *name, size_t length,
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

static void missing(struct explainer *x, const struct place *at, const char *name, size_t length,
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
    } else if (tag_words(x, at, name, length, &needed)) {
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

static void unknown_member(struct explainer *x, const struct place *at, const struct json *member,
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

static void forbidden(struct explainer *x, const struct place *at)
{
    if (!is_worth_words(x))
        return;
    report(x, at->value, own_code(at, FAULT_FORBIDDEN),
           words_say(x->arena, "%s does not stand %s", words_place(x->arena, at), x->because));
}

/* ---- lists and objects ---- */

static void explain_member(struct explainer *x, const struct place *at, const struct json *value,
                           const struct node *n, bool in_map)
{
    if (verdict_fits(x->verdict, n, value))
        return;
    struct place inner = {.parent = at, .value = value, .node = n, .in_map = in_map};
    explain(x, &inner);
}

static void explain_array(struct explainer *x, const struct place *at)
{
    const struct node *n = at->node;
    const struct json *v = at->value;
    if (v->count < n->min_items || v->count > n->max_items)
        wrong_length(x, at, v->count, n->min_items, n->max_items, "entry is", "entries are");
    for (const struct json *e = v->child; e != NULL; e = e->next) {
        const struct node *entry = e->index < n->prefix_count ? n->prefix[e->index] : n->items;
        if (entry != NULL)
            explain_member(x, at, e, entry, false);
    }
    for (const struct json *e = v->child; n->unique_items && e != NULL; e = e->next)
        for (const struct json *f = v->child; f != e; f = f->next)
            if (json_equal(e, f)) {
                if (is_worth_words(x))
                    report(x, e, FAULT_NOT_ALLOWED,
                           words_say(x->arena, "%s stands twice in %s: entries %u and %u",
                                     words_json(x->arena, e), words_place(x->arena, at),
                                     f->index + 1, e->index + 1));
                break;
            }
}

static void know(void *known, const char *name, size_t length)
{
    (void)length;
    words_add(known, name);
}

static bool is_covered(struct explainer *x, const struct node *n, const struct json *m)
{
    const struct name *known = names_find(&n->names, m->key, m->key_length);
    if (known != NULL && known->node != NULL)
        return true;
    for (size_t i = 0; i < n->pattern_property_count; i++)
        if (verdict_matches(x->verdict, n->pattern_properties[i].pattern, m->key, m->key_length))
            return true;
    return false;
}

static void explain_name(struct explainer *x, const struct place *at, const struct json *m)
{
    struct json name = {.type = JSON_STRING, .text = m->key, .length = m->key_length};
    if (verdict_fits(x->verdict, at->node->property_names, &name) || !is_worth_words(x))
        return;
    struct place inner = {.value = &name, .node = at->node->property_names};
    const char *description = words_description(&inner);
    report(x, m, FAULT_PATTERN,
           words_say(x->arena, "%s does not do as a name in %s%s%s", words_json(x->arena, &name),
                     words_place(x->arena, at), description != NULL ? ": " : "",
                     description != NULL ? description : ""));
}

static void explain_object(struct explainer *x, const struct place *at)
{
    const struct node *n = at->node;
    const struct json *v = at->value;
    if (v->count < n->min_members || v->count > n->max_members)
        wrong_length(x, at, v->count, n->min_members, n->max_members, "entry is", "entries are");
    struct words known = {0};
    for (const struct json *m = v->child; m != NULL; m = m->next) {
        const struct name *name = names_find(&n->names, m->key, m->key_length);
        if (name != NULL && name->node != NULL)
            explain_member(x, at, m, name->node, false);
        for (size_t i = 0; i < n->pattern_property_count; i++)
            if (verdict_matches(x->verdict, n->pattern_properties[i].pattern, m->key,
                                m->key_length))
                explain_member(x, at, m, n->pattern_properties[i].node, true);
        if (n->property_names != NULL)
            explain_name(x, at, m);
        if (n->additional == NULL || is_covered(x, n, m))
            continue;
        if (n->additional->kind != NODE_FALSE) {
            explain_member(x, at, m, n->additional, true);
        } else {
            if (known.count == 0)
                node_each_name(n, know, &known);
            unknown_member(x, at, m, &known);
        }
    }
    const struct json *required = json_member(n->source, "required");
    for (const struct json *e = required != NULL ? required->child : NULL; e != NULL; e = e->next)
        if (json_member_of(v, e->text, e->length) == NULL)
            missing(x, at, e->text, e->length, NULL);
    for (size_t i = 0; i < n->dependency_count; i++) {
        const struct json *trigger = n->dependencies[i].trigger;
        if (json_member_of(v, trigger->key, trigger->key_length) == NULL)
            continue;
        for (const struct json *e = trigger->child; e != NULL; e = e->next)
            if (json_member_of(v, e->text, e->length) == NULL)
                missing(x, at, e->text, e->length, trigger->key);
    }
}

/* ---- choices ---- */

static void explain_inner(struct explainer *x, const struct place *at, const struct node *n)
{
    struct place inner = {.parent = at->parent, .outer = at, .value = at->value, .node = n};
    explain(x, &inner);
}

/* Nothing but a list of required names? */
static const struct json *only_required(const struct node *n)
{
    return n->kind == NODE_KEYWORDS && n->source->count == 1 ? json_member(n->source, "required")
                                                             : NULL;
}

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

/* One of several sets of members must be there: anyOf or oneOf over `required` alone. */
static void explain_required_choice(struct explainer *x, const struct place *at,
                                    const struct choice *choice)
{
    const struct json *meant = NULL;
    unsigned most = 0, complete = 0;
    for (unsigned i = 0; i < choice->count; i++) {
        const struct json *required = only_required(choice->branches[i]);
        unsigned there = 0;
        if (required == NULL)
            continue;
        for (const struct json *e = required->child; e != NULL; e = e->next)
            there += json_member_of(at->value, e->text, e->length) != NULL;
        complete += there == required->count;
        if (there > most) {
            most = there;
            meant = required;
        }
    }
    if (complete == 0 && meant != NULL) {
        for (const struct json *e = meant->child; e != NULL; e = e->next)
            if (json_member_of(at->value, e->text, e->length) == NULL)
                missing(x, at, e->text, e->length, NULL);
    } else if (is_worth_words(x)) {
        report(x, at->value, own_code(at, FAULT_CHOICE),
               words_say(x->arena, "%s: give %s%s", words_place(x->arena, at),
                         alternatives(x, choice), complete > 1 ? ", not both" : ""));
    }
}

/* Two members that belong to different branches. */
static void two_ways(struct explainer *x, const struct place *at, const struct choice *choice,
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

/* No member says which branch is meant. */
static void no_way(struct explainer *x, const struct place *at, const struct choice *choice)
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

/* How many of the members that a schema needs, in one way or another, are there. */
static unsigned needed_members(const struct json *v, const struct node *n)
{
    while (n->is_alias)
        n = n->ref;
    unsigned there = 0;
    const struct json *required = json_member(n->source, "required");
    for (const struct json *e = required != NULL ? required->child : NULL; e != NULL; e = e->next)
        there += json_member_of(v, e->text, e->length) != NULL;
    const struct choice *choice = n->one_of != NULL ? n->one_of : n->any_of;
    for (unsigned i = 0; choice != NULL && i < choice->count; i++)
        there += needed_members(v, choice->branches[i]);
    return there;
}

/* Of some branches those with most of their needed members there; all where none has any. */
static uint64_t fullest(const struct json *v, const struct choice *choice, uint64_t branches)
{
    unsigned most = 0;
    uint64_t best = branches;
    for (uint64_t left = branches; left != 0; left &= left - 1) {
        unsigned there = needed_members(v, choice->branches[first_branch(left)]);
        uint64_t bit = left & (~left + 1);
        if (there > most)
            best = bit;
        else if (there == most && there > 0)
            best |= bit;
        most = there > most ? there : most;
    }
    return best;
}

/* Where a constant tells the branches apart: true where that has settled the matter. */
static bool explain_by_tag(struct explainer *x, const struct place *at, const struct choice *choice)
{
    if (choice->tag == NULL)
        return false;
    const struct json *tag = json_member_of(at->value, choice->tag, choice->tag_length);
    if (tag == NULL) {
        missing(x, at, choice->tag, choice->tag_length, NULL);
        return true;
    }
    const struct name *constant =
        tag->type == JSON_STRING ? names_find(&choice->tags, tag->text, tag->length) : NULL;
    if (constant == NULL) {
        struct words allowed = {0};
        struct place inner = {.parent = at, .value = tag, .node = at->node};
        tag_words(x, at, choice->tag, choice->tag_length, &allowed);
        not_allowed(x, &inner, &allowed);
        return true;
    }
    if (!is_one_branch(constant->branches))
        return false;
    explain_inner(x, at, choice->branches[first_branch(constant->branches)]);
    return true;
}

/* The branches that take a member of this name. */
static uint64_t takers(const struct choice *choice, const struct json *member)
{
    const struct name *known = names_find(&choice->names, member->key, member->key_length);
    return known != NULL ? known->branches : choice->open;
}

/* Members that no branch takes. */
static void unknown_members(struct explainer *x, const struct place *at,
                            const struct choice *choice, uint64_t branches)
{
    struct words known = {0};
    for (uint64_t left = branches; left != 0; left &= left - 1) {
        const struct node *branch = choice->branches[first_branch(left)];
        if (node_is_closed(branch))
            node_each_name(branch, know, &known);
    }
    for (const struct json *m = at->value->child; m != NULL; m = m->next)
        if ((takers(choice, m) & branches) == 0)
            unknown_member(x, at, m, &known);
}

/* An object, and several branches that take objects: the member names tell which is meant. A member
 * that only one branch takes claims that branch. */
static void explain_by_names(struct explainer *x, const struct place *at,
                             const struct choice *choice, uint64_t branches)
{
    const struct json *v = at->value, *first = NULL, *second = NULL;
    uint64_t claimed = 0, possible = branches;
    bool has_unknown = false;
    for (const struct json *m = v->child; m != NULL; m = m->next) {
        uint64_t taken = takers(choice, m) & branches;
        has_unknown |= taken == 0;
        possible &= taken != 0 ? taken : possible;
        if (!is_one_branch(taken))
            continue;
        if (first == NULL)
            first = m;
        else if (second == NULL && (claimed & taken) == 0)
            second = m;
        claimed |= taken;
    }
    if (claimed == 0)
        claimed = fullest(v, choice, possible);
    if (is_one_branch(claimed))
        explain_inner(x, at, choice->branches[first_branch(claimed)]);
    else if (first != NULL && second != NULL)
        two_ways(x, at, choice, first, second);
    else if (has_unknown)
        unknown_members(x, at, choice, branches);
    else
        no_way(x, at, choice);
}

static void fits_twice(struct explainer *x, const struct place *at, const struct choice *choice)
{
    if (choice->tag != NULL && json_member_of(at->value, choice->tag, choice->tag_length) == NULL)
        missing(x, at, choice->tag, choice->tag_length, NULL);
    else if (is_worth_words(x))
        report(x, at->value, own_code(at, FAULT_CHOICE),
               words_say(x->arena, "%s fits more than one of its forms: give %s",
                         words_place(x->arena, at), alternatives(x, choice)));
}

static void explain_choice(struct explainer *x, const struct place *at, const struct choice *choice)
{
    const struct json *v = at->value;
    uint64_t branches = choice->by_type[v->type], fitting = 0;
    bool all_required = true;
    for (unsigned i = 0; i < choice->count; i++) {
        all_required &= only_required(choice->branches[i]) != NULL;
        if (verdict_fits(x->verdict, choice->branches[i], v))
            fitting |= (uint64_t)1 << i;
    }
    if (choice->exactly_one ? is_one_branch(fitting) : fitting != 0)
        return;
    if (branches == 0) {
        wrong_type(x, at);
    } else if (all_required && v->type == JSON_OBJECT) {
        explain_required_choice(x, at, choice);
    } else if (fitting != 0) {
        fits_twice(x, at, choice);
    } else if (!is_one_branch(branches) && v->type == JSON_OBJECT) {
        if (!explain_by_tag(x, at, choice))
            explain_by_names(x, at, choice, branches);
    } else {
        const struct node *only = choice->branches[first_branch(branches)];
        while (only->is_alias)
            only = only->ref;
        if (is_one_branch(branches) && only->constant == NULL && only->options == NULL) {
            explain_inner(x, at, choice->branches[first_branch(branches)]);
            return;
        }
        /* A text that is none of the words allowed here: the other types are alternatives too. */
        struct words allowed = {0};
        words_expected(x->arena, at->node, &allowed);
        not_allowed(x, at, &allowed);
    }
}

/* ---- several schemas for one value ---- */

/* "beside toward": what made a condition hold, where it is the presence of members. */
static const char *because(struct explainer *x, const struct node *condition)
{
    const struct json *required = json_member(condition->source, "required");
    struct words names = {0};
    for (const struct json *e = required != NULL ? required->child : NULL; e != NULL; e = e->next)
        words_add(&names, e->text);
    return names.count > 0 ? words_say(x->arena, "beside %s", words_join(x->arena, &names, " and "))
                           : "here";
}

static void explain_in_place(struct explainer *x, const struct place *at)
{
    const struct node *n = at->node;
    const struct json *v = at->value;
    bool is_listed = n->constant == NULL || json_equal(n->constant, v);
    if (n->options != NULL) {
        is_listed = false;
        for (const struct json *o = n->options->child; o != NULL; o = o->next)
            is_listed |= json_equal(o, v);
    }
    if (!is_listed) {
        struct words allowed = {0};
        words_expected(x->arena, n, &allowed);
        not_allowed(x, at, &allowed);
        return;
    }
    if (n->ref != NULL && !verdict_fits(x->verdict, n->ref, v))
        explain_inner(x, at, n->ref);
    if (n->one_of != NULL)
        explain_choice(x, at, n->one_of);
    if (n->any_of != NULL)
        explain_choice(x, at, n->any_of);
    for (size_t i = 0; i < n->all_of_count; i++)
        if (!verdict_fits(x->verdict, n->all_of[i], v))
            explain_inner(x, at, n->all_of[i]);
    if (n->condition != NULL) {
        bool holds = verdict_fits(x->verdict, n->condition, v);
        const struct node *next = holds ? n->then : n->otherwise;
        if (next != NULL && !verdict_fits(x->verdict, next, v)) {
            const char *outer = x->because;
            x->because = holds ? because(x, n->condition) : "here";
            explain_inner(x, at, next);
            x->because = outer;
        }
    }
}

static void explain_string(struct explainer *x, const struct place *at)
{
    const struct node *n = at->node;
    const struct json *v = at->value;
    size_t characters = 0;
    for (size_t i = 0; i < v->length; i++)
        characters += ((unsigned char)v->text[i] & 0xc0) != 0x80;
    if (characters < n->min_length || characters > n->max_length)
        wrong_length(x, at, characters, n->min_length, n->max_length, "character is",
                     "characters are");
    else if (n->pattern != NULL && !verdict_matches(x->verdict, n->pattern, v->text, v->length))
        wrong_form(x, at);
}

static void explain(struct explainer *x, const struct place *at)
{
    const struct node *n = at->node;
    const struct json *v = at->value;
    size_t said = x->said;
    if (n->kind == NODE_FALSE) {
        forbidden(x, at);
        return;
    }
    if ((n->types & verdict_types(v)) == 0) {
        wrong_type(x, at);
        return;
    }
    switch (v->type) {
    case JSON_NUMBER:
        if (!verdict_in_range(n, v->number))
            out_of_range(x, at);
        break;
    case JSON_STRING:
        explain_string(x, at);
        break;
    case JSON_ARRAY:
        explain_array(x, at);
        break;
    case JSON_OBJECT:
        explain_object(x, at);
        break;
    case JSON_NULL:
    case JSON_FALSE:
    case JSON_TRUE:
    case JSON_TYPE_MAX_:
        break;
    }
    explain_in_place(x, at);
    /* `not`, and whatever else has no words of its own. */
    if (x->said == said && is_worth_words(x))
        report(x, v, own_code(at, FAULT_FORBIDDEN),
               words_say(x->arena, "%s does not fit %s", words_place(x->arena, at), x->because));
}

void explain_value(struct verdict *c, const struct node *n, const struct json *value,
                   struct problem *reterr)
{
    struct explainer x = {
        .verdict = c, .reterr = reterr, .arena = reterr->arena, .because = "here"};
    struct place at = {.value = value, .node = n};
    explain(&x, &at);
}
