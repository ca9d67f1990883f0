/* explain.c: why a value does not fit, in a teacher's words. It walks down to where the fault lies:
 * into the one branch of a choice that was meant, past everything that fits. What follows from
 * another fault (a range once the type is wrong) is not said. */
#include <string.h>

#include "schema/explain.h"

static void explain(struct explainer *x, const struct place *at);

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
        blame_length(x, at, v->count, n->min_items, n->max_items, "entry is", "entries are");
    for (const struct json *e = v->child; e != NULL; e = e->next) {
        const struct node *entry = e->index < n->prefix.count ? n->prefix.node[e->index] : n->items;
        if (entry != NULL)
            explain_member(x, at, e, entry, false);
    }
    for (const struct json *e = v->child; n->unique_items && e != NULL; e = e->next)
        for (const struct json *f = v->child; f != e; f = f->next)
            if (json_equal(e, f)) {
                blame_second(x, at, f, e);
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
    struct place inner = {.value = &name, .node = at->node->property_names};
    if (!verdict_fits(x->verdict, inner.node, &name))
        blame_name(x, at, m, &inner);
}

static void explain_object(struct explainer *x, const struct place *at)
{
    const struct node *n = at->node;
    const struct json *v = at->value;
    if (v->count < n->min_members || v->count > n->max_members)
        blame_length(x, at, v->count, n->min_members, n->max_members, "entry is", "entries are");
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
            blame_unknown(x, at, m, &known);
        }
    }
    const struct json *required = json_member(n->source, "required");
    for (const struct json *e = required != NULL ? required->child : NULL; e != NULL; e = e->next)
        if (json_member_of(v, e->text, e->length) == NULL)
            blame_missing(x, at, e->text, e->length, NULL);
    for (size_t i = 0; i < n->dependency_count; i++) {
        const struct json *trigger = n->dependencies[i].trigger;
        if (json_member_of(v, trigger->key, trigger->key_length) == NULL)
            continue;
        for (const struct json *e = trigger->child; e != NULL; e = e->next)
            if (json_member_of(v, e->text, e->length) == NULL)
                blame_missing(x, at, e->text, e->length, trigger->key);
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
                blame_missing(x, at, e->text, e->length, NULL);
    } else {
        blame_sets(x, at, choice, complete > 1);
    }
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
        blame_missing(x, at, choice->tag, choice->tag_length, NULL);
        return true;
    }
    const struct name *constant =
        tag->type == JSON_STRING ? names_find(&choice->tags, tag->text, tag->length) : NULL;
    if (constant == NULL) {
        struct words allowed = {0};
        struct place inner = {.parent = at, .value = tag, .node = at->node};
        blame_tag_words(x, at, choice->tag, choice->tag_length, &allowed);
        blame_word(x, &inner, &allowed);
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
            blame_unknown(x, at, m, &known);
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
        blame_two_ways(x, at, choice, first, second);
    else if (has_unknown)
        unknown_members(x, at, choice, branches);
    else
        blame_no_way(x, at, choice);
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
        blame_type(x, at);
    } else if (all_required && v->type == JSON_OBJECT) {
        explain_required_choice(x, at, choice);
    } else if (fitting != 0) {
        blame_two_fits(x, at, choice);
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
        blame_word(x, at, &allowed);
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
        blame_word(x, at, &allowed);
        return;
    }
    if (n->ref != NULL && !verdict_fits(x->verdict, n->ref, v))
        explain_inner(x, at, n->ref);
    if (n->one_of != NULL)
        explain_choice(x, at, n->one_of);
    if (n->any_of != NULL)
        explain_choice(x, at, n->any_of);
    for (size_t i = 0; i < n->all_of.count; i++)
        if (!verdict_fits(x->verdict, n->all_of.node[i], v))
            explain_inner(x, at, n->all_of.node[i]);
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
        blame_length(x, at, characters, n->min_length, n->max_length, "character is",
                     "characters are");
    else if (n->pattern != NULL && !verdict_matches(x->verdict, n->pattern, v->text, v->length))
        blame_form(x, at);
}

static void explain(struct explainer *x, const struct place *at)
{
    const struct node *n = at->node;
    const struct json *v = at->value;
    size_t said = x->said;
    if (n->kind == NODE_FALSE) {
        blame_forbidden(x, at);
        return;
    }
    if ((n->types & verdict_types(v)) == 0) {
        blame_type(x, at);
        return;
    }
    switch (v->type) {
    case JSON_NUMBER:
        if (!verdict_in_range(n, v->number))
            blame_range(x, at);
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
    if (x->said == said)
        blame_rest(x, at);
}

void explain_value(struct verdict *c, const struct node *n, const struct json *value,
                   struct problem *reterr)
{
    struct explainer x = {
        .verdict = c, .reterr = reterr, .arena = reterr->arena, .because = "here"};
    struct place at = {.value = value, .node = n};
    explain(&x, &at);
}
