/* keywords.c: one schema to one node, keyword by keyword. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "schema/compile.h"

static bool is_type(struct compiler *c, const struct json *v, enum json_type type, const char *what)
{
    return v->type == type || compile_fail(c, v, "%s is expected", what);
}

/* ---- readers: `field` is where the keyword's value goes ---- */

static bool read_nothing(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)c, (void)n, (void)v, (void)field;
    return true;
}

static bool read_text(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)n;
    *(const char **)field = v->text;
    return is_type(c, v, JSON_STRING, "a text");
}

static bool read_count(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)n;
    if (!is_type(c, v, JSON_NUMBER, "a number"))
        return false;
    if (!(v->number >= 0 && v->number <= 1e9 && floor(v->number) == v->number))
        return compile_fail(c, v, "a whole number from 0 to 1e9 is expected");
    *(unsigned *)field = (unsigned)v->number;
    return true;
}

static bool read_child(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)n;
    struct node **child = field;
    *child = compile_schema(c, v);
    return *child != NULL;
}

/* A list of schemas, at least one. */
static bool read_list(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)n;
    struct node_list *list = field;
    if (!is_type(c, v, JSON_ARRAY, "a list"))
        return false;
    if (v->count == 0)
        return compile_fail(c, v, "at least one schema is expected");
    list->node = arena_alloc(c->arena, v->count * sizeof(struct node *));
    if (list->node == NULL)
        return compile_fail_memory(c);
    list->count = v->count;
    for (const struct json *e = v->child; e != NULL; e = e->next)
        if (!read_child(c, n, e, &list->node[e->index]))
            return false;
    return true;
}

/* A document's own name; beside its file name a reference may use it as it stands. Names that
 * change what references below them mean are not needed here, so they are refused. */
static bool read_id(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    if (n->source->parent != NULL)
        return compile_fail(c, v, "$id is supported for a whole document only");
    c->root->id = v->text;
    return is_type(c, v, JSON_STRING, "a text");
}

static bool read_dialect(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)n, (void)field;
    return is_type(c, v, JSON_STRING, "a text") &&
           (strcmp(v->text, "https://json-schema.org/draft/2020-12/schema") == 0 ||
            compile_fail(c, v, "only the dialect 2020-12 is supported"));
}

static bool read_ref(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    n->ref_source = v;
    return is_type(c, v, JSON_STRING, "a text");
}

static bool read_defs(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)n, (void)field;
    if (!is_type(c, v, JSON_OBJECT, "an object"))
        return false;
    for (const struct json *m = v->child; m != NULL; m = m->next) {
        struct node *definition = compile_schema(c, m);
        if (definition == NULL)
            return false;
        definition->definition = m->key;
    }
    return true;
}

static bool add_type(struct compiler *c, struct node *n, const struct json *v)
{
    static const struct {
        const char *name;
        unsigned types;
    } rows[] = {
        {"null", TYPE_BIT(JSON_NULL)},     {"boolean", TYPE_BOOLEAN},
        {"number", TYPE_NUMBER},           {"integer", TYPE_INTEGER},
        {"string", TYPE_BIT(JSON_STRING)}, {"array", TYPE_BIT(JSON_ARRAY)},
        {"object", TYPE_BIT(JSON_OBJECT)},
    };
    for (size_t i = 0; v->type == JSON_STRING && i < sizeof rows / sizeof *rows; i++)
        if (strcmp(v->text, rows[i].name) == 0) {
            n->types |= rows[i].types;
            return true;
        }
    return compile_fail(c, v, "the name of a type is expected");
}

static bool read_type(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    n->types = 0;
    if (v->type != JSON_ARRAY)
        return add_type(c, n, v);
    for (const struct json *e = v->child; e != NULL; e = e->next)
        if (!add_type(c, n, e))
            return false;
    return true;
}

static bool read_enum(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    n->options = v;
    return is_type(c, v, JSON_ARRAY, "a list");
}

static bool read_const(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)c, (void)field;
    n->constant = v;
    return true;
}

/* The two kinds of lower bound are one number: the tighter counts. */
static void lower(struct node *n, double bound, bool exclusive)
{
    if (bound > n->minimum || (bound == n->minimum && exclusive)) {
        n->minimum = bound;
        n->exclusive_minimum = exclusive;
    }
}

static void upper(struct node *n, double bound, bool exclusive)
{
    if (bound < n->maximum || (bound == n->maximum && exclusive)) {
        n->maximum = bound;
        n->exclusive_maximum = exclusive;
    }
}

static bool read_minimum(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    lower(n, v->number, strcmp(v->key, "exclusiveMinimum") == 0);
    return is_type(c, v, JSON_NUMBER, "a number");
}

static bool read_maximum(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    upper(n, v->number, strcmp(v->key, "exclusiveMaximum") == 0);
    return is_type(c, v, JSON_NUMBER, "a number");
}

static const pcre2_code *read_expression(struct compiler *c, const struct json *where,
                                         const char *text)
{
    const char *message;
    const pcre2_code *code = pattern_compile(c->arena, c->patterns, text, &message);
    if (code == NULL && arena_exhausted(c->arena))
        compile_fail_memory(c);
    else if (code == NULL)
        compile_fail(c, where, "the pattern cannot be read: %s", message);
    return code;
}

static bool read_pattern(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    return is_type(c, v, JSON_STRING, "a text") &&
           (n->pattern = read_expression(c, v, v->text)) != NULL;
}

static bool read_unique(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    n->unique_items = v->type == JSON_TRUE;
    return v->type == JSON_TRUE || v->type == JSON_FALSE ||
           compile_fail(c, v, "a boolean is expected");
}

/* The names of a schema come from three keywords; whichever is met first makes the table. */
static bool make_names(struct compiler *c, struct node *n)
{
    if (n->names.table != NULL)
        return true;
    size_t count = 0;
    const struct json *properties = json_member(n->source, "properties"),
                      *required = json_member(n->source, "required"),
                      *dependent = json_member(n->source, "dependentRequired");
    count += properties != NULL ? properties->count : 0;
    count += required != NULL ? required->count : 0;
    if (dependent != NULL)
        for (const struct json *m = dependent->child; m != NULL; m = m->next)
            count += 1 + m->count;
    if (count > NAMES_MAX)
        return compile_fail(c, n->source, "more than %d names", NAMES_MAX);
    return names_init(&n->names, c->arena, count) || compile_fail_memory(c);
}

static bool read_properties(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    if (!is_type(c, v, JSON_OBJECT, "an object") || !make_names(c, n))
        return false;
    for (const struct json *m = v->child; m != NULL; m = m->next)
        if (!read_child(c, n, m, &names_add(&n->names, m->key, m->key_length)->node))
            return false;
    return true;
}

static bool read_names(struct compiler *c, struct node *n, const struct json *v,
                       struct name_set *set)
{
    if (!is_type(c, v, JSON_ARRAY, "a list"))
        return false;
    for (const struct json *e = v->child; e != NULL; e = e->next) {
        if (!is_type(c, e, JSON_STRING, "a text"))
            return false;
        name_set_add(set, names_add(&n->names, e->text, e->length)->slot);
    }
    return true;
}

static bool read_required(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    return make_names(c, n) && read_names(c, n, v, &n->required);
}

static bool read_dependent(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    if (!is_type(c, v, JSON_OBJECT, "an object") || !make_names(c, n))
        return false;
    struct dependency *d = arena_alloc(c->arena, v->count * sizeof *d);
    if (d == NULL)
        return compile_fail_memory(c);
    n->dependencies = d;
    n->dependency_count = v->count;
    for (const struct json *m = v->child; m != NULL; m = m->next, d++) {
        d->trigger = m;
        d->slot = names_add(&n->names, m->key, m->key_length)->slot;
        if (!read_names(c, n, m, &d->needed))
            return false;
    }
    return true;
}

static bool read_pattern_properties(struct compiler *c, struct node *n, const struct json *v,
                                    void *field)
{
    (void)field;
    if (!is_type(c, v, JSON_OBJECT, "an object"))
        return false;
    struct pattern_property *p = arena_alloc(c->arena, v->count * sizeof *p);
    if (p == NULL)
        return compile_fail_memory(c);
    n->pattern_properties = p;
    n->pattern_property_count = v->count;
    for (const struct json *m = v->child; m != NULL; m = m->next, p++)
        if ((p->pattern = read_expression(c, m, m->key)) == NULL || !read_child(c, n, m, &p->node))
            return false;
    return true;
}

static bool read_choice(struct compiler *c, struct node *n, const struct json *v, void *field)
{
    (void)field;
    struct choice *choice = arena_alloc(c->arena, sizeof *choice);
    if (choice == NULL)
        return compile_fail_memory(c);
    struct node_list branches;
    if (!read_list(c, n, v, &branches))
        return false;
    if (branches.count > BRANCHES_MAX)
        return compile_fail(c, v, "more than %d branches", BRANCHES_MAX);
    choice->branches = branches.node;
    choice->count = (unsigned)branches.count;
    choice->exactly_one = strcmp(v->key, "oneOf") == 0;
    *(choice->exactly_one ? &n->one_of : &n->any_of) = choice;
    return true;
}

/* The keywords of JSON Schema 2020-12 that api/ uses, and their annotations: where the value goes,
 * and which part of a verdict asks for it. */
enum asked { ASKED_ALWAYS, ASKED_IN_PLACE, ASKED_OF_ARRAY, ASKED_OF_OBJECT };

#define FIELD(member) offsetof(struct node, member)

static const struct {
    const char *name;
    bool (*read)(struct compiler *c, struct node *n, const struct json *v, void *field);
    size_t field;
    enum asked asked;
} keywords[] = {
    {"type", read_type, 0, ASKED_ALWAYS},
    {"properties", read_properties, 0, ASKED_OF_OBJECT},
    {"required", read_required, 0, ASKED_OF_OBJECT},
    {"additionalProperties", read_child, FIELD(additional), ASKED_OF_OBJECT},
    {"$ref", read_ref, 0, ASKED_IN_PLACE},
    {"title", read_text, FIELD(title), ASKED_ALWAYS},
    {"description", read_text, FIELD(description), ASKED_ALWAYS},
    {"oneOf", read_choice, 0, ASKED_IN_PLACE},
    {"anyOf", read_choice, 0, ASKED_IN_PLACE},
    {"allOf", read_list, FIELD(all_of), ASKED_IN_PLACE},
    {"not", read_child, FIELD(negated), ASKED_IN_PLACE},
    {"if", read_child, FIELD(condition), ASKED_IN_PLACE},
    {"then", read_child, FIELD(then), ASKED_ALWAYS},
    {"else", read_child, FIELD(otherwise), ASKED_ALWAYS},
    {"enum", read_enum, 0, ASKED_IN_PLACE},
    {"const", read_const, 0, ASKED_IN_PLACE},
    {"minimum", read_minimum, 0, ASKED_ALWAYS},
    {"exclusiveMinimum", read_minimum, 0, ASKED_ALWAYS},
    {"maximum", read_maximum, 0, ASKED_ALWAYS},
    {"exclusiveMaximum", read_maximum, 0, ASKED_ALWAYS},
    {"minLength", read_count, FIELD(min_length), ASKED_ALWAYS},
    {"maxLength", read_count, FIELD(max_length), ASKED_ALWAYS},
    {"pattern", read_pattern, 0, ASKED_ALWAYS},
    {"items", read_child, FIELD(items), ASKED_OF_ARRAY},
    {"prefixItems", read_list, FIELD(prefix), ASKED_OF_ARRAY},
    {"minItems", read_count, FIELD(min_items), ASKED_OF_ARRAY},
    {"maxItems", read_count, FIELD(max_items), ASKED_OF_ARRAY},
    {"uniqueItems", read_unique, 0, ASKED_OF_ARRAY},
    {"dependentRequired", read_dependent, 0, ASKED_OF_OBJECT},
    {"patternProperties", read_pattern_properties, 0, ASKED_OF_OBJECT},
    {"propertyNames", read_child, FIELD(property_names), ASKED_OF_OBJECT},
    {"minProperties", read_count, FIELD(min_members), ASKED_OF_OBJECT},
    {"maxProperties", read_count, FIELD(max_members), ASKED_OF_OBJECT},
    {"$defs", read_defs, 0, ASKED_ALWAYS},
    {"$id", read_id, 0, ASKED_ALWAYS},
    {"$schema", read_dialect, 0, ASKED_ALWAYS},
    {"$comment", read_nothing, 0, ASKED_ALWAYS},
    {"examples", read_nothing, 0, ASKED_ALWAYS},
    {"default", read_nothing, 0, ASKED_ALWAYS},
    {"deprecated", read_nothing, 0, ASKED_ALWAYS},
    {"readOnly", read_nothing, 0, ASKED_ALWAYS},
    {"writeOnly", read_nothing, 0, ASKED_ALWAYS},
};

static bool read_keyword(struct compiler *c, struct node *n, const struct json *v)
{
    for (size_t i = 0; i < sizeof keywords / sizeof *keywords; i++) {
        if (strcmp(keywords[i].name, v->key) != 0)
            continue;
        n->has_in_place |= keywords[i].asked == ASKED_IN_PLACE;
        n->has_array |= keywords[i].asked == ASKED_OF_ARRAY;
        n->has_object |= keywords[i].asked == ASKED_OF_OBJECT;
        return keywords[i].read(c, n, v, (char *)n + keywords[i].field);
    }
    return compile_fail(c, v, "the keyword %.40s is not supported", v->key);
}

struct node *compile_schema(struct compiler *c, const struct json *source)
{
    struct node *n = arena_alloc(c->arena, sizeof *n);
    if (n == NULL) {
        compile_fail_memory(c);
        return NULL;
    }
    *n = (struct node){
        .kind = source->type == JSON_TRUE    ? NODE_TRUE
                : source->type == JSON_FALSE ? NODE_FALSE
                                             : NODE_KEYWORDS,
        .types = TYPE_ALL,
        .minimum = -HUGE_VAL,
        .maximum = HUGE_VAL,
        .max_length = UINT32_MAX,
        .max_items = UINT32_MAX,
        .max_members = UINT32_MAX,
        .source = source,
        .root = c->root,
    };
    *c->last = n;
    c->last = &n->next;
    if (n->kind != NODE_KEYWORDS)
        return n;
    if (!is_type(c, source, JSON_OBJECT, "a schema (an object, true or false)"))
        return NULL;
    for (const struct json *m = source->child; m != NULL; m = m->next)
        if (!read_keyword(c, n, m))
            return NULL;
    if (n->condition == NULL)
        n->then = n->otherwise = NULL;
    return n;
}
