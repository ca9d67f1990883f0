/* node.h: compiled schemas. Inside schema/ only.
 *
 * Each schema of a document becomes one node; what a verdict needs is worked out once, at start:
 * names are hashed, references are pointers, and a choice (oneOf, anyOf) knows by the type, the
 * member names and a distinguishing constant of a value which of its branches can fit at all. */
#ifndef SCHEMA_NODE_H
#define SCHEMA_NODE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>

#include "base/arena.h"
#include "schema/schema.h"
#include "json/json.h"

/* A set of JSON types, one bit each; a whole number has two. */
#define TYPE_BIT(type) (1u << (type))
#define TYPE_INTEGER (1u << JSON_TYPE_MAX_)
#define TYPE_NUMBER (TYPE_BIT(JSON_NUMBER) | TYPE_INTEGER)
#define TYPE_BOOLEAN (TYPE_BIT(JSON_FALSE) | TYPE_BIT(JSON_TRUE))
#define TYPE_ALL (2 * TYPE_INTEGER - 1)

#define NAME_WORDS 4
#define NAMES_MAX (64 * NAME_WORDS) /* names that one schema tells apart */
#define BRANCHES_MAX 64             /* of one oneOf or anyOf: bits of a word */

struct node;

/* One name in a table; what it carries depends on the table. */
struct name {
    const char *text; /* NULL: free */
    unsigned length;
    unsigned slot;     /* the how-manieth of its table; in name sets its bit */
    struct node *node; /* in a node's names: its schema, NULL where it is only required */
    uint64_t branches; /* in a choice: those that take this member, or this constant */
};

struct names {
    struct name *table; /* open addressing; at most half full */
    unsigned mask;      /* table entries less 1 */
    unsigned count;
};

struct name_set {
    uint64_t word[NAME_WORDS];
};

struct dependency { /* where `trigger` is there, all `needed` must be */
    const struct json
        *trigger; /* the member of dependentRequired: its key and its array of names */
    unsigned slot;
    struct name_set needed;
};

struct pattern_property {
    const pcre2_code *pattern;
    struct node *node;
};

/* A set of a choice's branches, one bit each. */
static inline bool is_one_branch(uint64_t branches)
{
    return branches != 0 && (branches & (branches - 1)) == 0;
}
static inline unsigned first_branch(uint64_t branches) /* of a set that is not empty */
{
    return (unsigned)__builtin_ctzll(branches);
}

struct node_list {
    struct node **node;
    size_t count;
};

struct choice {
    bool exactly_one; /* oneOf; otherwise anyOf */
    unsigned count;
    struct node **branches;
    uint64_t by_type[JSON_TYPE_MAX_]; /* branches that a value of this type can fit */
    struct names names;               /* every member name that a closed branch takes */
    uint64_t open;                    /* branches that take any member */
    const char *tag; /* the member whose constant tells the branches apart, or NULL */
    size_t tag_length;
    struct names tags; /* its constants */
};

struct node {
    enum { NODE_TRUE, NODE_FALSE, NODE_KEYWORDS } kind;
    bool is_alias; /* only a reference: a verdict goes straight on to `ref` */
    bool has_object, has_array, has_in_place; /* keywords of these groups are there */
    bool unique_items, exclusive_minimum, exclusive_maximum;
    unsigned types; /* those that `type` allows */
    struct node *ref;

    const struct json *constant; /* const */
    const struct json *options;  /* enum, an array */
    double minimum, maximum;
    unsigned min_length, max_length, min_items, max_items, min_members, max_members;
    const pcre2_code *pattern;

    struct names names; /* of properties, required and dependentRequired */
    struct name_set required;
    const struct dependency *dependencies;
    size_t dependency_count;
    const struct pattern_property *pattern_properties;
    size_t pattern_property_count;
    struct node *additional; /* NULL: anything */
    struct node *property_names;

    struct node_list prefix;
    struct node *items;

    struct choice *one_of, *any_of;
    struct node_list all_of;
    struct node *negated;
    struct node *condition, *then, *otherwise;

    const struct json *source;
    struct schema_root *root;
    const char *title, *description;
    const char *definition; /* its name in $defs, or NULL */

    struct node *next;

    /* While compiling. */
    const struct json *ref_source;
    enum { UNVISITED, VISITING, VISITED } visit;
};

struct schema_root {
    const char *name;
    const char *id; /* $id of the document, or NULL */
    const struct json *json;
    struct node *node;
};

struct schema_set {
    struct arena *arena;
    struct schema_root *roots;
    size_t root_count;
    struct node *first; /* all nodes, linked by next */
    pcre2_match_context *match_context;
};

/* ---- names.c ---- */

/* An empty table for up to `count_max` names; false without memory. */
bool names_init(struct names *names, struct arena *arena, size_t count_max);
/* The name's entry, made if it is new. */
struct name *names_add(struct names *names, const char *text, size_t length);
/* The name's entry, or NULL. */
const struct name *names_find(const struct names *names, const char *text, size_t length);

static inline bool name_set_has(const struct name_set *s, unsigned slot)
{
    return (s->word[slot / 64] >> slot % 64 & 1) != 0;
}

static inline void name_set_add(struct name_set *s, unsigned slot)
{
    s->word[slot / 64] |= (uint64_t)1 << slot % 64;
}

/* ---- compile.c ---- */

/* schema_compile in at most `cap` bytes. */
struct schema_set *schema_compile_within(const struct schema_document *documents, size_t cap,
                                         struct problem *reterr);

/* ---- choice.c ---- */

/* Work out what tells the branches apart, once references are followed. False without memory. */
bool choice_prepare(struct choice *choice, struct arena *arena);
/* May an object that fits have only members that the schema names (additionalProperties: false)? */
bool node_is_closed(const struct node *n);
/* Those names, of a closed schema, in the order of the document (some may come twice). */
typedef void node_name_taker(void *data, const char *name, size_t length);
void node_each_name(const struct node *n, node_name_taker *take, void *data);

/* ---- pattern.c ---- */

/* The pattern compiled as ECMA-262 reads it, in `memory`; NULL and a message where it cannot be. */
const pcre2_code *pattern_compile(struct arena *arena, pcre2_compile_context *context,
                                  const char *text, const char **ret_message);

/* ---- valid.c ---- */

/* One validation: what patterns need to run, without the heap in all ordinary cases. */
struct verdict {
    const struct schema_set *set;
    pcre2_general_context *memory;
    pcre2_match_data *match;
    size_t room_used;
    max_align_t room[24 * 1024 / sizeof(max_align_t)]; /* PCRE2 wants 20 KiB of frames */
};

void verdict_begin(struct verdict *c, const struct schema_set *set);
void verdict_end(struct verdict *c);

/* Does the value fit the schema? */
bool verdict_fits(struct verdict *c, const struct node *n, const struct json *value);

/* The set of types a value has: one, and TYPE_INTEGER where a number is whole. */
unsigned verdict_types(const struct json *value);

/* Is the number within the schema's bounds? */
bool verdict_in_range(const struct node *n, double x);

/* Does the text match (anywhere, as ECMA-262 has it)? */
bool verdict_matches(struct verdict *c, const pcre2_code *pattern, const char *text, size_t length);

/* The branches that can fit by type, member names and tag, one bit each. */
uint64_t verdict_candidates(const struct choice *c, const struct json *value);

/* ---- explain.c ---- */

/* Say why a value does not fit its schema, as faults. */
void explain_value(struct verdict *c, const struct node *n, const struct json *value,
                   struct problem *reterr);

#endif
