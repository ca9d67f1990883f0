/* read.c: bytes to a tree in the arena: the strict scan, cJSON, which gets its memory from the
 * arena too, then a walk that makes our tree of cJSON's, keeps its texts, and refuses what only
 * shows there: names that stand twice, numbers beyond a double. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <threads.h>

#include <cjson/cJSON.h>

#include "base/limits.h"
#include "json/json.h"
#include "json/scan.h"

#define CJSON_NUMBER_MAX 63 /* bytes; cJSON cuts a longer number token */
#define LARGE_BYTES 65536   /* of a text whose cJSON tree is given back */
#define FEW_MEMBERS 12      /* up to here comparing every pair beats sorting */
#define DEPTH_MAX (CJSON_NESTING_LIMIT - 100)

struct walk {
    struct arena *arena;
    bool keeps_texts; /* of cJSON, whose memory stays */
    const struct json_scan *scan;
    struct json *nodes; /* handed out in document order */
    char *tokens;       /* likewise: numbers as typed */
    unsigned nodes_used, numbers_used;
    struct problem *reterr;
};

static const char *keep_token(struct walk *w, struct json_span token)
{
    char *kept = w->tokens;
    memcpy(kept, w->scan->bytes + token.start, token.length);
    kept[token.length] = '\0';
    w->tokens += token.length + 1;
    return kept;
}

/* The pointer of a value, for a fault; "" without memory, which json_read then says instead. */
static const char *where(struct walk *w, const struct json *value)
{
    const char *pointer = json_pointer(w->arena, value);
    return pointer != NULL ? pointer : "";
}

/* Digits from the first that is not 0, and the exponent as typed, cut at 10,000. */
static void measure_number(const char *token, unsigned *digits, long *exponent)
{
    *digits = 0;
    *exponent = 0;
    for (const char *c = token; *c != '\0'; c++) {
        if (*c == 'e' || *c == 'E') {
            *exponent = strtol(c + 1, NULL, 10);
            return;
        }
        if (*c >= '0' && *c <= '9' && (*digits > 0 || *c != '0'))
            ++*digits;
    }
}

static void take_number(struct walk *w, struct json *v, double parsed)
{
    struct json_span token = w->scan->numbers[w->numbers_used++];
    v->text = keep_token(w, token);
    v->length = token.length;
    /* The locale is never set, so strtod's decimal point is a point. */
    v->number = token.length > CJSON_NUMBER_MAX ? strtod(v->text, NULL) : parsed;

    unsigned digits;
    long exponent;
    measure_number(v->text, &digits, &exponent);
    if (!isfinite(v->number))
        problem_fault(w->reterr, where(w, v), FAULT_NUMBER_SIZE,
                      "The number is too large to be calculated with.");
    else if (v->number == 0 && digits > 0)
        problem_fault(w->reterr, where(w, v), FAULT_NUMBER_SIZE,
                      "The number is too close to 0 to be calculated with: write 0, or use another "
                      "unit.");
    else if (digits > LIMIT_NUMBER_DIGITS)
        problem_fault(w->reterr, where(w, v), FAULT_NUMBER_SIZE,
                      "The number has %u digits; at most %d are calculated with.", digits,
                      LIMIT_NUMBER_DIGITS);
    else if (labs(exponent) > LIMIT_NUMBER_EXPONENT)
        problem_fault(w->reterr, where(w, v), FAULT_NUMBER_SIZE, "The exponent goes beyond %d.",
                      LIMIT_NUMBER_EXPONENT);
}

static void fault_twice(struct walk *w, const struct json *member)
{
    problem_fault(w->reterr, where(w, member), FAULT_DUPLICATE_MEMBER,
                  "The name \"%.40s\" stands twice in this object: keep one.", member->key);
}

static int by_name(const void *a, const void *b)
{
    const struct json *x = *(const struct json *const *)a, *y = *(const struct json *const *)b;
    size_t shorter = x->key_length < y->key_length ? x->key_length : y->key_length;
    int order = memcmp(x->key, y->key, shorter);
    if (order == 0)
        order = (x->key_length > y->key_length) - (x->key_length < y->key_length);
    return order != 0 ? order : (x->index > y->index) - (x->index < y->index);
}

static void check_names(struct walk *w, struct json *object)
{
    if (object->count <= FEW_MEMBERS) {
        for (const struct json *x = object->child; x != NULL; x = x->next)
            for (const struct json *y = object->child; y != x; y = y->next)
                if (x->key_length == y->key_length && memcmp(x->key, y->key, x->key_length) == 0)
                    fault_twice(w, x);
        return;
    }
    const struct json **sorted = arena_alloc(w->arena, object->count * sizeof *sorted);
    if (sorted == NULL)
        return; /* the arena knows; json_read asks it */
    size_t n = 0;
    for (const struct json *m = object->child; m != NULL; m = m->next)
        sorted[n++] = m;
    qsort(sorted, n, sizeof *sorted, by_name);
    for (size_t i = 1; i < n; i++)
        if (sorted[i]->key_length == sorted[i - 1]->key_length &&
            memcmp(sorted[i]->key, sorted[i - 1]->key, sorted[i]->key_length) == 0)
            fault_twice(w, sorted[i]);
    object->sorted = sorted;
}

static const char *keep_text(struct walk *w, const char *text, size_t length)
{
    const char *kept = w->keeps_texts ? text : arena_text(w->arena, text, length);
    return kept != NULL ? kept : ""; /* json_read asks the arena */
}

static struct json *copy(struct walk *w, const cJSON *from, const struct json *parent,
                         unsigned index)
{
    struct json *v = &w->nodes[w->nodes_used++];
    v->parent = parent;
    v->index = index;
    if (parent != NULL && parent->type == JSON_OBJECT) {
        v->key_length = strlen(from->string);
        v->key = keep_text(w, from->string, v->key_length);
    }
    switch (from->type & 0xff) {
    case cJSON_NULL:
        v->type = JSON_NULL;
        return v;
    case cJSON_False:
        v->type = JSON_FALSE;
        return v;
    case cJSON_True:
        v->type = JSON_TRUE;
        return v;
    case cJSON_Number:
        v->type = JSON_NUMBER;
        take_number(w, v, from->valuedouble);
        return v;
    case cJSON_String:
        v->type = JSON_STRING;
        v->length = strlen(from->valuestring);
        v->text = keep_text(w, from->valuestring, v->length);
        return v;
    default:
        v->type = (from->type & 0xff) == cJSON_Array ? JSON_ARRAY : JSON_OBJECT;
    }
    const struct json **link = &v->child;
    for (const cJSON *c = from->child; c != NULL; c = c->next) {
        struct json *entry = copy(w, c, v, v->count++);
        *link = entry;
        link = &entry->next;
    }
    if (v->type == JSON_OBJECT && !arena_exhausted(w->arena))
        check_names(w, v);
    return v;
}

/* ---- cJSON's memory ---- */

static _Thread_local struct arena *parsing;

static void *take_memory(size_t size) { return arena_room(parsing, size); }

static void leave_memory(void *memory) { (void)memory; }

static void hook_memory(void)
{
    cJSON_InitHooks(&(cJSON_Hooks){.malloc_fn = take_memory, .free_fn = leave_memory});
}

/* The tree of a text that the scan vouches for, in the arena; NULL without memory. */
static const cJSON *parse(struct arena *arena, const char *text, size_t length)
{
    static once_flag hooked = ONCE_FLAG_INIT;
    call_once(&hooked, hook_memory);
    parsing = arena;
    return cJSON_ParseWithLengthOpts(text, length, NULL, 0);
}

/* cJSON takes a number of 64 bytes or more for two tokens. Such numbers are rare: give it a text in
 * which a 0 stands for each, and read them ourselves. */
static const char *without_long_numbers(struct arena *arena, const struct json_scan *scan)
{
    char *text = NULL;
    for (unsigned i = 0; i < scan->number_count; i++) {
        struct json_span token = scan->numbers[i];
        if (token.length <= CJSON_NUMBER_MAX)
            continue;
        if (text == NULL && (text = arena_text(arena, scan->bytes, scan->length)) == NULL)
            return NULL;
        memset(text + token.start, ' ', token.length);
        text[token.start] = '0';
    }
    return text != NULL ? text : scan->bytes;
}

/* `scratch`: of what is not kept, or `arena`. */
static enum problem_code read(struct arena *arena, struct arena *scratch, struct json_scan *scan,
                              const struct json **ret_root, struct problem *reterr)
{
    struct walk w = {
        .arena = arena, .keeps_texts = scratch == arena, .scan = scan, .reterr = reterr};
    size_t length = scan->length, most = scan->limits->values;
    scan->numbers = arena_room(scratch, (length / 2 + 1 < most ? length / 2 + 1 : most) *
                                            sizeof *scan->numbers);
    if (scan->numbers == NULL)
        return PROBLEM_OVERLOADED;
    if (!json_scan(scan, reterr))
        return reterr->code;
    w.nodes = arena_alloc(arena, scan->value_count * sizeof *w.nodes);
    w.tokens = arena_room(arena, scan->token_bytes);
    const char *text = without_long_numbers(scratch, scan);
    if (w.nodes == NULL || w.tokens == NULL || text == NULL)
        return PROBLEM_OVERLOADED;
    const cJSON *parsed = parse(scratch, text, length);
    if (parsed == NULL)
        return PROBLEM_OVERLOADED;
    *ret_root = copy(&w, parsed, NULL, 0);
    return arena_exhausted(arena) ? PROBLEM_OVERLOADED : reterr->code;
}

enum problem_code json_read(struct arena *arena, const char *bytes, size_t length,
                            const struct json_limits *limits, const struct json **ret_root,
                            struct problem *reterr)
{
    if (length > UINT32_MAX)
        return problem_set(reterr, PROBLEM_TOO_LARGE, "more than 4 GiB");
    struct json_limits within = *limits;
    if (within.depth > DEPTH_MAX)
        within.depth = DEPTH_MAX;
    struct json_scan scan = {.bytes = bytes, .length = length, .limits = &within};
    struct arena *scratch = length > LARGE_BYTES ? arena_part(arena) : arena;
    const struct json *root = NULL;
    enum problem_code code =
        scratch == NULL ? PROBLEM_OVERLOADED : read(arena, scratch, &scan, &root, reterr);
    if (scratch != arena)
        arena_free(scratch);
    if (code == PROBLEM_OVERLOADED)
        return problem_set(reterr, code, "no memory left to read the request");
    if (code == PROBLEM_NONE)
        *ret_root = root;
    return code;
}
