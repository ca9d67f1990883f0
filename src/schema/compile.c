/* compile.c: documents to nodes, once at start: read every schema, follow the references, refuse
 * circles, then work out what tells the branches of each choice apart. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/limits.h"
#include "schema/compile.h"

#define SET_BYTES ((size_t)64 << 20) /* the documents of api/ take about 2 MB */
#define MATCH_STEPS 100000           /* of PCRE2; a name of 16 characters takes about 20 */

bool compile_fail(struct compiler *c, const struct json *where, const char *format, ...)
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

bool compile_fail_memory(struct compiler *c)
{
    problem_set(c->reterr, PROBLEM_OVERLOADED, "no memory left to compile the schemas");
    return false;
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
        return compile_fail_memory(c);
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
        return compile_fail_memory(c);
    percent_decode(pointer);
    if (root != NULL)
        n->ref = node_of(c, json_at(root->json, pointer));
    if (n->ref == NULL)
        return compile_fail(c, n->ref_source, "the reference %.120s leads to no schema", text);

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
        return compile_fail(c, n->source, "the schema refers to itself for the same value");
    n->visit = VISITING;
    bool is_sound = visit(c, n->ref) && visit_choice(c, n->one_of) && visit_choice(c, n->any_of) &&
                    visit(c, n->negated) && visit(c, n->condition) && visit(c, n->then) &&
                    visit(c, n->otherwise);
    for (size_t i = 0; is_sound && i < n->all_of.count; i++)
        is_sound = visit(c, n->all_of.node[i]);
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
        return compile_fail_memory(c);
    c->patterns = pcre2_compile_context_create(memory);
    c->set->match_context = pcre2_match_context_create(memory);
    if (c->patterns == NULL || c->set->match_context == NULL)
        return compile_fail_memory(c);
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
        return compile_fail_memory(c);
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
            return problem.code == PROBLEM_OVERLOADED ? compile_fail_memory(c)
                                                      : compile_fail(c, NULL, "%s", problem.detail);
        if ((c->root->node = compile_schema(c, c->root->json)) == NULL)
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
            return compile_fail_memory(c);
    return !arena_exhausted(c->arena) || compile_fail_memory(c);
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
