/* choice.c: what tells the branches of a choice apart: the types they take, the members a closed
 * one knows, and a member whose constant differs from branch to branch. All of it errs on one side
 * only: a branch that could fit is never left out. */
#include <string.h>

#include "schema/node.h"

/* Types that a value must have to fit: never too few. */
static unsigned types_of(const struct node *n)
{
    if (n->kind != NODE_KEYWORDS)
        return n->kind == NODE_TRUE ? TYPE_ALL : 0;
    unsigned types = n->types;
    if (n->ref != NULL)
        types &= types_of(n->ref);
    for (size_t i = 0; i < n->all_of.count; i++)
        types &= types_of(n->all_of.node[i]);
    const struct choice *const choices[] = {n->one_of, n->any_of};
    for (size_t k = 0; k < 2; k++) {
        unsigned any = 0;
        for (unsigned i = 0; choices[k] != NULL && i < choices[k]->count; i++)
            any |= types_of(choices[k]->branches[i]);
        types &= choices[k] != NULL ? any : TYPE_ALL;
    }
    unsigned listed = 0;
    if (n->constant != NULL)
        listed = TYPE_BIT(n->constant->type);
    else if (n->options != NULL)
        for (const struct json *o = n->options->child; o != NULL; o = o->next)
            listed |= TYPE_BIT(o->type);
    else
        listed = TYPE_ALL;
    /* A listed number may be whole, and then it is an integer too. */
    return types & (listed & TYPE_BIT(JSON_NUMBER) ? listed | TYPE_INTEGER : listed);
}

static bool takes_type(unsigned types, enum json_type type)
{
    return (types & (type == JSON_NUMBER ? TYPE_NUMBER : TYPE_BIT(type))) != 0;
}

/* May a value that fits have only members that the schema names (additionalProperties: false)? */
static bool choice_is_closed(const struct choice *choice)
{
    if (choice == NULL)
        return false;
    for (unsigned i = 0; i < choice->count; i++)
        if (takes_type(types_of(choice->branches[i]), JSON_OBJECT) &&
            !node_is_closed(choice->branches[i]))
            return false;
    return true;
}

/* One closed part is enough to close the whole. */
bool node_is_closed(const struct node *n)
{
    if (n->additional != NULL && n->additional->kind == NODE_FALSE &&
        n->pattern_property_count == 0)
        return true;
    if ((n->ref != NULL && node_is_closed(n->ref)) || choice_is_closed(n->one_of) ||
        choice_is_closed(n->any_of))
        return true;
    for (size_t i = 0; i < n->all_of.count; i++)
        if (node_is_closed(n->all_of.node[i]))
            return true;
    return false;
}

static void each_name_of_choice(const struct choice *choice, node_name_taker *take, void *data)
{
    for (unsigned i = 0; i < choice->count; i++)
        if (takes_type(types_of(choice->branches[i]), JSON_OBJECT))
            node_each_name(choice->branches[i], take, data);
}

/* The names of the first closed part: never too few. */
void node_each_name(const struct node *n, node_name_taker *take, void *data)
{
    if (n->additional != NULL && n->additional->kind == NODE_FALSE &&
        n->pattern_property_count == 0) {
        const struct json *properties = json_member(n->source, "properties");
        for (const struct json *m = properties != NULL ? properties->child : NULL; m != NULL;
             m = m->next)
            if (m->type != JSON_FALSE)
                take(data, m->key, m->key_length);
        return;
    }
    if (n->ref != NULL && node_is_closed(n->ref)) {
        node_each_name(n->ref, take, data);
        return;
    }
    for (size_t i = 0; i < n->all_of.count; i++)
        if (node_is_closed(n->all_of.node[i])) {
            node_each_name(n->all_of.node[i], take, data);
            return;
        }
    if (choice_is_closed(n->one_of))
        each_name_of_choice(n->one_of, take, data);
    else if (choice_is_closed(n->any_of))
        each_name_of_choice(n->any_of, take, data);
}

static void count_name(void *data, const char *name, size_t length)
{
    (void)name, (void)length;
    ++*(size_t *)data;
}

struct branch_names {
    struct names *names;
    uint64_t branch;
};

static void note_name(void *data, const char *name, size_t length)
{
    struct branch_names *b = data;
    names_add(b->names, name, length)->branches |= b->branch;
}

static bool note_names(struct arena *arena, struct choice *choice)
{
    size_t count = 0;
    for (unsigned i = 0; i < choice->count; i++)
        if (node_is_closed(choice->branches[i]))
            node_each_name(choice->branches[i], count_name, &count);
    if (!names_init(&choice->names, arena, count))
        return false;
    for (unsigned i = 0; i < choice->count; i++) {
        struct branch_names b = {&choice->names, (uint64_t)1 << i};
        if (node_is_closed(choice->branches[i]))
            node_each_name(choice->branches[i], note_name, &b);
        else
            choice->open |= b.branch;
    }
    for (unsigned k = 0; k <= choice->names.mask; k++)
        choice->names.table[k].branches |= choice->open;
    return true;
}

/* The schema of a member behind its references. */
static const struct node *member_schema(const struct node *branch, const char *name, size_t length)
{
    while (branch->is_alias)
        branch = branch->ref;
    const struct name *found = names_find(&branch->names, name, length);
    const struct node *n = found != NULL ? found->node : NULL;
    while (n != NULL && n->is_alias)
        n = n->ref;
    return n;
}

/* Does the schema list texts, and only texts? */
static bool lists_texts(const struct node *n)
{
    if (n == NULL)
        return false;
    if (n->constant != NULL)
        return n->constant->type == JSON_STRING;
    if (n->options == NULL)
        return false;
    for (const struct json *o = n->options->child; o != NULL; o = o->next)
        if (o->type != JSON_STRING)
            return false;
    return true;
}

static const struct json *first_text(const struct node *n)
{
    if (n == NULL)
        return NULL;
    return n->constant != NULL ? n->constant : n->options->child;
}

static const struct json *next_text(const struct node *n, const struct json *o)
{
    return n->constant != NULL ? NULL : o->next;
}

static bool note_tag(struct arena *arena, struct choice *choice)
{
    uint64_t objects = choice->by_type[JSON_OBJECT];
    if (objects == 0 || is_one_branch(objects))
        return true;
    const struct node *first = choice->branches[first_branch(objects)];
    while (first->is_alias)
        first = first->ref;
    const struct json *properties = json_member(first->source, "properties");
    for (const struct json *m = properties != NULL ? properties->child : NULL; m != NULL;
         m = m->next) {
        size_t count = 0;
        bool all = true;
        for (uint64_t left = objects; all && left != 0; left &= left - 1) {
            const struct node *n =
                member_schema(choice->branches[first_branch(left)], m->key, m->key_length);
            all = lists_texts(n);
            for (const struct json *o = all ? first_text(n) : NULL; o != NULL; o = next_text(n, o))
                count++;
        }
        if (!all)
            continue;
        choice->tag = m->key;
        choice->tag_length = m->key_length;
        if (!names_init(&choice->tags, arena, count))
            return false;
        for (uint64_t left = objects; left != 0; left &= left - 1) {
            unsigned i = first_branch(left);
            const struct node *n = member_schema(choice->branches[i], m->key, m->key_length);
            for (const struct json *o = first_text(n); o != NULL; o = next_text(n, o))
                names_add(&choice->tags, o->text, o->length)->branches |= (uint64_t)1 << i;
        }
        return true;
    }
    return true;
}

bool choice_prepare(struct choice *choice, struct arena *arena)
{
    for (unsigned i = 0; i < choice->count; i++) {
        unsigned types = types_of(choice->branches[i]);
        for (unsigned t = 0; t < JSON_TYPE_MAX_; t++)
            if (takes_type(types, (enum json_type)t))
                choice->by_type[t] |= (uint64_t)1 << i;
    }
    return note_names(arena, choice) && note_tag(arena, choice);
}
