/* valid.c: the verdict alone, fast: no words, no allocation. Why a value does not fit is the
 * business of explain.c, which asks here again. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "schema/node.h"

/* ---- patterns ---- */

static bool is_in_room(const struct verdict *c, const void *p)
{
    uintptr_t at = (uintptr_t)p, room = (uintptr_t)c->room;
    return at >= room && at < room + sizeof c->room;
}

static void *take_memory(size_t size, void *data)
{
    struct verdict *c = data;
    size_t units = (size + sizeof *c->room - 1) / sizeof *c->room;
    if (units > sizeof c->room / sizeof *c->room - c->room_used)
        return malloc(size);
    void *p = c->room + c->room_used;
    c->room_used += units;
    return p;
}

static void give_memory(void *p, void *data)
{
    if (!is_in_room(data, p))
        free(p);
}

void verdict_begin(struct verdict *c, const struct schema_set *set)
{
    c->set = set;
    c->memory = NULL;
    c->match = NULL;
    c->room_used = 0;
}

void verdict_end(struct verdict *c)
{
    pcre2_match_data_free(c->match);
    pcre2_general_context_free(c->memory);
}

bool verdict_matches(struct verdict *c, const pcre2_code *pattern, const char *text, size_t length)
{
    if (c->match == NULL) {
        c->memory = pcre2_general_context_create(take_memory, give_memory, c);
        c->match = pcre2_match_data_create(1, c->memory);
        if (c->match == NULL)
            return false;
    }
    /* The reader has checked the UTF-8. Past the match limit a text counts as not matching: better
     * a refusal than a pattern that holds the service up. */
    return pcre2_match(pattern, (PCRE2_SPTR)text, length, 0, PCRE2_NO_UTF_CHECK, c->match,
                       c->set->match_context) >= 0;
}

/* ---- one value ---- */

unsigned verdict_types(const struct json *v)
{
    unsigned bits = TYPE_BIT(v->type);
    if (v->type == JSON_NUMBER && floor(v->number) == v->number)
        bits |= TYPE_INTEGER;
    return bits;
}

static bool fits_string(struct verdict *c, const struct node *n, const char *text, size_t bytes)
{
    /* Characters are counted only where the bytes do not settle it. */
    if (n->min_length > 0 || bytes > n->max_length) {
        size_t characters = 0;
        for (size_t i = 0; i < bytes; i++)
            characters += ((unsigned char)text[i] & 0xc0) != 0x80;
        if (characters < n->min_length || characters > n->max_length)
            return false;
    }
    return n->pattern == NULL || verdict_matches(c, n->pattern, text, bytes);
}

bool verdict_in_range(const struct node *n, double x)
{
    return x >= n->minimum && x <= n->maximum && !(n->exclusive_minimum && x == n->minimum) &&
           !(n->exclusive_maximum && x == n->maximum);
}

static bool fits_array(struct verdict *c, const struct node *n, const struct json *v)
{
    if (v->count < n->min_items || v->count > n->max_items)
        return false;
    for (const struct json *e = v->child; e != NULL; e = e->next) {
        const struct node *entry = e->index < n->prefix.count ? n->prefix.node[e->index] : n->items;
        if (entry != NULL && !verdict_fits(c, entry, e))
            return false;
    }
    if (n->unique_items) /* every pair: such lists are short in api/ */
        for (const struct json *e = v->child; e != NULL; e = e->next)
            for (const struct json *f = v->child; f != e; f = f->next)
                if (json_equal(e, f))
                    return false;
    return true;
}

static bool has_all(const struct name_set *given, const struct name_set *needed)
{
    for (size_t i = 0; i < NAME_WORDS; i++)
        if ((needed->word[i] & ~given->word[i]) != 0)
            return false;
    return true;
}

static bool fits_object(struct verdict *c, const struct node *n, const struct json *v)
{
    if (v->count < n->min_members || v->count > n->max_members)
        return false;
    struct name_set given = {{0}};
    for (const struct json *m = v->child; m != NULL; m = m->next) {
        bool is_covered = false;
        const struct name *known = names_find(&n->names, m->key, m->key_length);
        if (known != NULL) {
            name_set_add(&given, known->slot);
            if (known->node != NULL) {
                is_covered = true;
                if (!verdict_fits(c, known->node, m))
                    return false;
            }
        }
        for (size_t i = 0; i < n->pattern_property_count; i++)
            if (verdict_matches(c, n->pattern_properties[i].pattern, m->key, m->key_length)) {
                is_covered = true;
                if (!verdict_fits(c, n->pattern_properties[i].node, m))
                    return false;
            }
        if (!is_covered && n->additional != NULL && !verdict_fits(c, n->additional, m))
            return false;
        if (n->property_names != NULL) {
            struct json name = {.type = JSON_STRING, .text = m->key, .length = m->key_length};
            if (!verdict_fits(c, n->property_names, &name))
                return false;
        }
    }
    if (!has_all(&given, &n->required))
        return false;
    for (size_t i = 0; i < n->dependency_count; i++)
        if (name_set_has(&given, n->dependencies[i].slot) &&
            !has_all(&given, &n->dependencies[i].needed))
            return false;
    return true;
}

/* ---- several schemas for one value ---- */

uint64_t verdict_candidates(const struct choice *c, const struct json *value)
{
    uint64_t fit = c->by_type[value->type];
    if (value->type != JSON_OBJECT)
        return fit;
    for (const struct json *m = value->child; m != NULL && fit != 0; m = m->next) {
        const struct name *known = names_find(&c->names, m->key, m->key_length);
        fit &= known != NULL ? known->branches : c->open;
        if (c->tag != NULL && m->key_length == c->tag_length &&
            memcmp(m->key, c->tag, c->tag_length) == 0) {
            const struct name *constant =
                m->type == JSON_STRING ? names_find(&c->tags, m->text, m->length) : NULL;
            fit &= constant != NULL ? constant->branches : 0;
        }
    }
    return fit;
}

static bool fits_choice(struct verdict *c, const struct choice *choice, const struct json *value)
{
    bool one_fits = false;
    for (uint64_t left = verdict_candidates(choice, value); left != 0; left &= left - 1) {
        if (!verdict_fits(c, choice->branches[first_branch(left)], value))
            continue;
        if (!choice->exactly_one)
            return true;
        if (one_fits)
            return false;
        one_fits = true;
    }
    return one_fits;
}

static bool fits_option(const struct json *options, const struct json *value)
{
    for (const struct json *o = options->child; o != NULL; o = o->next)
        if (json_equal(o, value))
            return true;
    return false;
}

static bool fits_in_place(struct verdict *c, const struct node *n, const struct json *v)
{
    if (n->constant != NULL && !json_equal(n->constant, v))
        return false;
    if (n->options != NULL && !fits_option(n->options, v))
        return false;
    if (n->ref != NULL && !verdict_fits(c, n->ref, v))
        return false;
    if (n->one_of != NULL && !fits_choice(c, n->one_of, v))
        return false;
    if (n->any_of != NULL && !fits_choice(c, n->any_of, v))
        return false;
    for (size_t i = 0; i < n->all_of.count; i++)
        if (!verdict_fits(c, n->all_of.node[i], v))
            return false;
    if (n->negated != NULL && verdict_fits(c, n->negated, v))
        return false;
    if (n->condition != NULL) {
        const struct node *next = verdict_fits(c, n->condition, v) ? n->then : n->otherwise;
        if (next != NULL && !verdict_fits(c, next, v))
            return false;
    }
    return true;
}

bool verdict_fits(struct verdict *c, const struct node *n, const struct json *value)
{
    while (n->is_alias)
        n = n->ref;
    if (n->kind != NODE_KEYWORDS)
        return n->kind == NODE_TRUE;
    if (n->types != TYPE_ALL && (n->types & verdict_types(value)) == 0)
        return false;
    switch (value->type) {
    case JSON_NUMBER:
        if (!verdict_in_range(n, value->number))
            return false;
        break;
    case JSON_STRING:
        if (!fits_string(c, n, value->text, value->length))
            return false;
        break;
    case JSON_ARRAY:
        if (n->has_array && !fits_array(c, n, value))
            return false;
        break;
    case JSON_OBJECT:
        if (n->has_object && !fits_object(c, n, value))
            return false;
        break;
    case JSON_NULL:
    case JSON_FALSE:
    case JSON_TRUE:
    case JSON_TYPE_MAX_:
        break;
    }
    return !n->has_in_place || fits_in_place(c, n, value);
}
