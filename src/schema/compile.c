/* compile.c: documents to nodes, once at start: read every schema, follow the references, refuse
 * circles, then work out what tells the branches of each choice apart. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/limits.h"
#include "schema/node.h"

#define SET_BYTES ((size_t)64 << 20) /* the documents of api/ take about 2 MB */
#define MATCH_STEPS 100000           /* of PCRE2; a name of 16 characters takes about 20 */

struct compiler {
    struct arena *arena;
    struct schema_set *set;
    struct schema_root *root; /* being read */
    struct node **last;       /* where the next node is linked in */
    struct node **by_source;  /* open addressing by the address of the JSON */
    size_t by_source_mask;
    pcre2_compile_context *patterns;
    struct problem *reterr;
};

static bool fail(struct compiler *c, const struct json *where, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static bool fail(struct compiler *c, const struct json *where, const char *format, ...)
{
    char what[300];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(what, sizeof what, format, arguments);
    va_end(arguments);
    const char *pointer = where != NULL ? json_pointer(c->arena, where) : "";
    problem_set(c->reterr, PROBLEM_INTERNAL, "%s#%s: %s", c->root->name,
                pointer != NULL ? pointer : "", what);
    return false;
}

static bool fail_memory(struct compiler *c)
{
    problem_set(c->reterr, PROBLEM_OVERLOADED, "no memory left to compile the schemas");
    return false;
}

/* ---- reading one schema ---- */

static struct node *read_schema(struct compiler *c, const struct json *source);

static bool read_child(struct compiler *c, const struct json *source, struct node **ret_node)
{
    *ret_node = read_schema(c, source);
    return *ret_node != NULL;
}

static bool is_type(struct compiler *c, const struct json *v, enum json_type type, const char *what)
{
    return v->type == type || fail(c, v, "%s is expected", what);
}

static bool read_count(struct compiler *c, const struct json *v, unsigned *ret_count)
{
    if (!is_type(c, v, JSON_NUMBER, "a number"))
        return false;
    if (!(v->number >= 0 && v->number <= 1e9 && floor(v->number) == v->number))
        return fail(c, v, "a whole number from 0 to 1e9 is expected");
    *ret_count = (unsigned)v->number;
    return true;
}

static bool read_nothing(struct compiler *c, struct node *n, const struct json *v)
{
    (void)c, (void)n, (void)v;
    return true;
}

static bool read_title(struct compiler *c, struct node *n, const struct json *v)
{
    n->title = v->text;
    return is_type(c, v, JSON_STRING, "a text");
}

static bool read_description(struct compiler *c, struct node *n, const struct json *v)
{
    n->description = v->text;
    return is_type(c, v, JSON_STRING, "a text");
}

/* A document's own name; beside its file name a reference may use it as it stands. Names that
 * change what references below them mean are not needed here, so they are refused. */
static bool read_id(struct compiler *c, struct node *n, const struct json *v)
{
    if (n->source->parent != NULL)
        return fail(c, v, "$id is supported for a whole document only");
    c->root->id = v->text;
    return is_type(c, v, JSON_STRING, "a text");
}

static bool read_dialect(struct compiler *c, struct node *n, const struct json *v)
{
    (void)n;
    return is_type(c, v, JSON_STRING, "a text") &&
           (strcmp(v->text, "https://json-schema.org/draft/2020-12/schema") == 0 ||
            fail(c, v, "only the dialect 2020-12 is supported"));
}

static bool read_ref(struct compiler *c, struct node *n, const struct json *v)
{
    n->ref_source = v;
    n->has_in_place = true;
    return is_type(c, v, JSON_STRING, "a text");
}

static bool read_defs(struct compiler *c, struct node *n, const struct json *v)
{
    (void)n;
    if (!is_type(c, v, JSON_OBJECT, "an object"))
        return false;
    for (const struct json *m = v->child; m != NULL; m = m->next) {
        struct node *definition = read_schema(c, m);
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
    return fail(c, v, "the name of a type is expected");
}

static bool read_type(struct compiler *c, struct node *n, const struct json *v)
{
    n->types = 0;
    if (v->type != JSON_ARRAY)
        return add_type(c, n, v);
    for (const struct json *e = v->child; e != NULL; e = e->next)
        if (!add_type(c, n, e))
            return false;
    return true;
}

static bool read_enum(struct compiler *c, struct node *n, const struct json *v)
{
    n->options = v;
    n->has_in_place = true;
    return is_type(c, v, JSON_ARRAY, "a list");
}

static bool read_const(struct compiler *c, struct node *n, const struct json *v)
{
    (void)c;
    n->constant = v;
    n->has_in_place = true;
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

static bool read_minimum(struct compiler *c, struct node *n, const struct json *v)
{
    lower(n, v->number, strcmp(v->key, "exclusiveMinimum") == 0);
    return is_type(c, v, JSON_NUMBER, "a number");
}

static bool read_maximum(struct compiler *c, struct node *n, const struct json *v)
{
    upper(n, v->number, strcmp(v->key, "exclusiveMaximum") == 0);
    return is_type(c, v, JSON_NUMBER, "a number");
}

static bool read_min_length(struct compiler *c, struct node *n, const struct json *v)
{
    return read_count(c, v, &n->min_length);
}

static bool read_max_length(struct compiler *c, struct node *n, const struct json *v)
{
    return read_count(c, v, &n->max_length);
}

static const pcre2_code *read_expression(struct compiler *c, const struct json *where,
                                         const char *text)
{
    const char *message;
    const pcre2_code *code = pattern_compile(c->arena, c->patterns, text, &message);
    if (code == NULL && arena_exhausted(c->arena))
        fail_memory(c);
    else if (code == NULL)
        fail(c, where, "the pattern cannot be read: %s", message);
    return code;
}

static bool read_pattern(struct compiler *c, struct node *n, const struct json *v)
{
    return is_type(c, v, JSON_STRING, "a text") &&
           (n->pattern = read_expression(c, v, v->text)) != NULL;
}

static bool read_min_items(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_array = true;
    return read_count(c, v, &n->min_items);
}

static bool read_max_items(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_array = true;
    return read_count(c, v, &n->max_items);
}

static bool read_unique(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_array = true;
    n->unique_items = v->type == JSON_TRUE;
    return v->type == JSON_TRUE || v->type == JSON_FALSE || fail(c, v, "a boolean is expected");
}

/* A list of schemas, at least one. */
static bool read_list(struct compiler *c, const struct json *v, struct node ***ret_nodes,
                      size_t *ret_count)
{
    if (!is_type(c, v, JSON_ARRAY, "a list"))
        return false;
    if (v->count == 0)
        return fail(c, v, "at least one schema is expected");
    struct node **nodes = arena_alloc(c->arena, v->count * sizeof *nodes);
    if (nodes == NULL)
        return fail_memory(c);
    for (const struct json *e = v->child; e != NULL; e = e->next)
        if (!read_child(c, e, &nodes[e->index]))
            return false;
    *ret_nodes = nodes;
    *ret_count = v->count;
    return true;
}

static bool read_prefix(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_array = true;
    return read_list(c, v, &n->prefix, &n->prefix_count);
}

static bool read_items(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_array = true;
    return read_child(c, v, &n->items);
}

/* The names of a schema come from three keywords; whichever is met first makes the table. */
static bool make_names(struct compiler *c, struct node *n)
{
    n->has_object = true;
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
        return fail(c, n->source, "more than %d names", NAMES_MAX);
    return names_init(&n->names, c->arena, count) || fail_memory(c);
}

static bool read_properties(struct compiler *c, struct node *n, const struct json *v)
{
    if (!is_type(c, v, JSON_OBJECT, "an object") || !make_names(c, n))
        return false;
    for (const struct json *m = v->child; m != NULL; m = m->next)
        if (!read_child(c, m, &names_add(&n->names, m->key, m->key_length)->node))
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

static bool read_required(struct compiler *c, struct node *n, const struct json *v)
{
    return make_names(c, n) && read_names(c, n, v, &n->required);
}

static bool read_dependent(struct compiler *c, struct node *n, const struct json *v)
{
    if (!is_type(c, v, JSON_OBJECT, "an object") || !make_names(c, n))
        return false;
    struct dependency *d = arena_alloc(c->arena, v->count * sizeof *d);
    if (d == NULL)
        return fail_memory(c);
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

static bool read_pattern_properties(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_object = true;
    if (!is_type(c, v, JSON_OBJECT, "an object"))
        return false;
    struct pattern_property *p = arena_alloc(c->arena, v->count * sizeof *p);
    if (p == NULL)
        return fail_memory(c);
    n->pattern_properties = p;
    n->pattern_property_count = v->count;
    for (const struct json *m = v->child; m != NULL; m = m->next, p++)
        if ((p->pattern = read_expression(c, m, m->key)) == NULL || !read_child(c, m, &p->node))
            return false;
    return true;
}

static bool read_additional(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_object = true;
    return read_child(c, v, &n->additional);
}

static bool read_property_names(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_object = true;
    return read_child(c, v, &n->property_names);
}

static bool read_min_members(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_object = true;
    return read_count(c, v, &n->min_members);
}

static bool read_max_members(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_object = true;
    return read_count(c, v, &n->max_members);
}

static bool read_choice(struct compiler *c, struct node *n, const struct json *v)
{
    struct choice *choice = arena_alloc(c->arena, sizeof *choice);
    if (choice == NULL)
        return fail_memory(c);
    size_t count;
    if (!read_list(c, v, &choice->branches, &count))
        return false;
    if (count > BRANCHES_MAX)
        return fail(c, v, "more than %d branches", BRANCHES_MAX);
    choice->count = (unsigned)count;
    choice->exactly_one = strcmp(v->key, "oneOf") == 0;
    *(choice->exactly_one ? &n->one_of : &n->any_of) = choice;
    n->has_in_place = true;
    return true;
}

static bool read_all_of(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_in_place = true;
    return read_list(c, v, &n->all_of, &n->all_of_count);
}

static bool read_not(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_in_place = true;
    return read_child(c, v, &n->negated);
}

static bool read_if(struct compiler *c, struct node *n, const struct json *v)
{
    n->has_in_place = true;
    return read_child(c, v, &n->condition);
}

static bool read_then(struct compiler *c, struct node *n, const struct json *v)
{
    return read_child(c, v, &n->then);
}

static bool read_else(struct compiler *c, struct node *n, const struct json *v)
{
    return read_child(c, v, &n->otherwise);
}

/* The keywords of JSON Schema 2020-12 that api/ uses, and their annotations. */
static const struct {
    const char *name;
    bool (*read)(struct compiler *, struct node *, const struct json *);
} keywords[] = {
    {"type", read_type},
    {"properties", read_properties},
    {"required", read_required},
    {"additionalProperties", read_additional},
    {"$ref", read_ref},
    {"title", read_title},
    {"description", read_description},
    {"oneOf", read_choice},
    {"anyOf", read_choice},
    {"allOf", read_all_of},
    {"not", read_not},
    {"if", read_if},
    {"then", read_then},
    {"else", read_else},
    {"enum", read_enum},
    {"const", read_const},
    {"minimum", read_minimum},
    {"exclusiveMinimum", read_minimum},
    {"maximum", read_maximum},
    {"exclusiveMaximum", read_maximum},
    {"minLength", read_min_length},
    {"maxLength", read_max_length},
    {"pattern", read_pattern},
    {"items", read_items},
    {"prefixItems", read_prefix},
    {"minItems", read_min_items},
    {"maxItems", read_max_items},
    {"uniqueItems", read_unique},
    {"dependentRequired", read_dependent},
    {"patternProperties", read_pattern_properties},
    {"propertyNames", read_property_names},
    {"minProperties", read_min_members},
    {"maxProperties", read_max_members},
    {"$defs", read_defs},
    {"$id", read_id},
    {"$schema", read_dialect},
    {"$comment", read_nothing},
    {"examples", read_nothing},
    {"default", read_nothing},
    {"deprecated", read_nothing},
    {"readOnly", read_nothing},
    {"writeOnly", read_nothing},
};

static bool read_keyword(struct compiler *c, struct node *n, const struct json *v)
{
    for (size_t i = 0; i < sizeof keywords / sizeof *keywords; i++)
        if (strcmp(keywords[i].name, v->key) == 0)
            return keywords[i].read(c, n, v);
    return fail(c, v, "the keyword %.40s is not supported", v->key);
}

static struct node *read_schema(struct compiler *c, const struct json *source)
{
    struct node *n = arena_alloc(c->arena, sizeof *n);
    if (n == NULL) {
        fail_memory(c);
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

/* ---- references ---- */

static size_t source_place(const struct compiler *c, const struct json *source)
{
    return ((uintptr_t)source >> 4) * 0x9e3779b97f4a7c15u >> 20 & c->by_source_mask;
}

static bool index_sources(struct compiler *c)
{
    size_t count = 0, size = 16;
    for (const struct node *n = c->set->first; n != NULL; n = n->next)
        count++;
    while (size < 2 * count)
        size *= 2;
    c->by_source = arena_alloc(c->arena, size * sizeof(struct node *));
    if (c->by_source == NULL)
        return fail_memory(c);
    c->by_source_mask = size - 1;
    for (struct node *n = c->set->first; n != NULL; n = n->next) {
        size_t i = source_place(c, n->source);
        while (c->by_source[i] != NULL)
            i = (i + 1) & c->by_source_mask;
        c->by_source[i] = n;
    }
    return true;
}

static struct node *node_of(const struct compiler *c, const struct json *source)
{
    if (source == NULL)
        return NULL;
    for (size_t i = source_place(c, source);; i = (i + 1) & c->by_source_mask)
        if (c->by_source[i] == NULL || c->by_source[i]->source == source)
            return c->by_source[i];
}

static int hex_digit(char c)
{
    return c >= '0' && c <= '9'   ? c - '0'
           : c >= 'a' && c <= 'f' ? c - 'a' + 10
           : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                  : -1;
}

/* Undo %25 and the like, in place. */
static void percent_decode(char *text)
{
    char *to = text;
    for (; *text != '\0'; text++, to++) {
        if (text[0] == '%' && hex_digit(text[1]) >= 0 && hex_digit(text[2]) >= 0) {
            *to = (char)(hex_digit(text[1]) * 16 + hex_digit(text[2]));
            text += 2;
        } else {
            *to = *text;
        }
    }
    *to = '\0';
}

static const struct schema_root *find_root(const struct schema_set *set, const char *name,
                                           size_t length)
{
    for (size_t i = 0; i < set->root_count; i++) {
        const struct schema_root *r = &set->roots[i];
        if ((strlen(r->name) == length && memcmp(r->name, name, length) == 0) ||
            (r->id != NULL && strlen(r->id) == length && memcmp(r->id, name, length) == 0))
            return r;
    }
    return NULL;
}

static bool follow_reference(struct compiler *c, struct node *n)
{
    c->root = n->root;
    const char *text = n->ref_source->text;
    size_t document = strcspn(text, "#");
    const struct schema_root *root = document == 0 ? n->root : find_root(c->set, text, document);
    char *pointer = arena_text(c->arena, text[document] == '#' ? text + document + 1 : "",
                               text[document] == '#' ? strlen(text) - document - 1 : 0);
    if (pointer == NULL)
        return fail_memory(c);
    percent_decode(pointer);
    if (root != NULL)
        n->ref = node_of(c, json_at(root->json, pointer));
    if (n->ref == NULL)
        return fail(c, n->ref_source, "the reference %.120s leads to no schema", text);

    static const char *const beside[] = {"$ref",     "title", "description", "default", "examples",
                                         "$comment", "$defs", "$id",         "$schema"};
    n->is_alias = true;
    for (const struct json *m = n->source->child; m != NULL; m = m->next) {
        bool is_silent = false;
        for (size_t i = 0; i < sizeof beside / sizeof *beside; i++)
            is_silent |= strcmp(m->key, beside[i]) == 0;
        n->is_alias &= is_silent;
    }
    return true;
}

/* ---- circles ---- */

static bool visit(struct compiler *c, struct node *n);

static bool visit_choice(struct compiler *c, const struct choice *choice)
{
    for (unsigned i = 0; choice != NULL && i < choice->count; i++)
        if (!visit(c, choice->branches[i]))
            return false;
    return true;
}

/* A schema that comes back to itself for the same value would never end. */
static bool visit(struct compiler *c, struct node *n)
{
    if (n == NULL || n->visit == VISITED)
        return true;
    c->root = n->root;
    if (n->visit == VISITING)
        return fail(c, n->source, "the schema refers to itself for the same value");
    n->visit = VISITING;
    bool is_sound = visit(c, n->ref) && visit_choice(c, n->one_of) && visit_choice(c, n->any_of) &&
                    visit(c, n->negated) && visit(c, n->condition) && visit(c, n->then) &&
                    visit(c, n->otherwise);
    for (size_t i = 0; is_sound && i < n->all_of_count; i++)
        is_sound = visit(c, n->all_of[i]);
    n->visit = VISITED;
    return is_sound;
}

/* ---- the whole set ---- */

static void *take_memory(size_t size, void *arena) { return arena_alloc(arena, size); }

static void leave_memory(void *memory, void *arena)
{
    (void)memory, (void)arena; /* goes with the arena */
}

static bool prepare_patterns(struct compiler *c)
{
    pcre2_general_context *memory =
        pcre2_general_context_create(take_memory, leave_memory, c->arena);
    if (memory == NULL)
        return fail_memory(c);
    c->patterns = pcre2_compile_context_create(memory);
    c->set->match_context = pcre2_match_context_create(memory);
    if (c->patterns == NULL || c->set->match_context == NULL)
        return fail_memory(c);
    pcre2_set_compile_extra_options(c->patterns, PCRE2_EXTRA_ALT_BSUX);
    pcre2_set_newline(c->patterns, PCRE2_NEWLINE_ANYCRLF);
    pcre2_set_match_limit(c->set->match_context, MATCH_STEPS);
    return true;
}

/* The contract (OpenAPI) lies beside the schemas and is none. */
static bool is_schema(const struct schema_document *d)
{
    return strcmp(d->name, "openapi.json") != 0;
}

static bool read_documents(struct compiler *c, const struct schema_document *documents)
{
    size_t count = 0;
    while (documents[count].name != NULL)
        count++;
    c->set->roots = arena_alloc(c->arena, count * sizeof *c->set->roots);
    if (c->set->roots == NULL)
        return fail_memory(c);
    for (const struct schema_document *d = documents; d->name != NULL; d++) {
        if (!is_schema(d))
            continue;
        c->root = &c->set->roots[c->set->root_count++];
        c->root->name = d->name;
        const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
        struct problem problem;
        problem_init(&problem, c->arena);
        if (json_read(c->arena, d->bytes, d->length, &limits, &c->root->json, &problem) !=
            PROBLEM_NONE)
            return problem.code == PROBLEM_OVERLOADED ? fail_memory(c)
                                                      : fail(c, NULL, "%s", problem.detail);
        if ((c->root->node = read_schema(c, c->root->json)) == NULL)
            return false;
    }
    return true;
}

static bool compile(struct compiler *c, const struct schema_document *documents)
{
    if (!prepare_patterns(c) || !read_documents(c, documents) || !index_sources(c))
        return false;
    for (struct node *n = c->set->first; n != NULL; n = n->next)
        if (n->ref_source != NULL && !follow_reference(c, n))
            return false;
    for (struct node *n = c->set->first; n != NULL; n = n->next)
        if (!visit(c, n))
            return false;
    for (struct node *n = c->set->first; n != NULL; n = n->next)
        if ((n->one_of != NULL && !choice_prepare(n->one_of, c->arena)) ||
            (n->any_of != NULL && !choice_prepare(n->any_of, c->arena)))
            return fail_memory(c);
    return !arena_exhausted(c->arena) || fail_memory(c);
}

struct schema_set *schema_compile(const struct schema_document *documents, struct problem *reterr)
{
    return schema_compile_within(documents, SET_BYTES, reterr);
}

struct schema_set *schema_compile_within(const struct schema_document *documents, size_t cap,
                                         struct problem *reterr)
{
    struct arena *arena = arena_new(cap);
    struct schema_set *set = arena != NULL ? arena_alloc(arena, sizeof *set) : NULL;
    if (set == NULL) {
        problem_set(reterr, PROBLEM_OVERLOADED, "no memory left to compile the schemas");
        arena_free(arena);
        return NULL;
    }
    set->arena = arena;
    struct compiler c = {.arena = arena, .set = set, .reterr = reterr};
    c.last = &set->first;
    if (!compile(&c, documents)) {
        arena_free(arena);
        return NULL;
    }
    return set;
}

void schema_free(struct schema_set *set)
{
    if (set != NULL)
        arena_free(set->arena);
}

enum problem_code schema_validate(const struct schema_set *set, const char *name,
                                  const struct json *value, struct problem *reterr)
{
    const struct schema_root *root = find_root(set, name, strlen(name));
    if (root == NULL)
        return problem_set(reterr, PROBLEM_INTERNAL, "there is no schema %s", name);
    struct verdict c;
    verdict_begin(&c, set);
    if (!verdict_fits(&c, root->node, value))
        explain_value(&c, root->node, value, reterr);
    verdict_end(&c);
    return reterr->code;
}
