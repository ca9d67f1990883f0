/* words.c: the vocabulary of faults. */
#include "schema/words.h"

#include <stdarg.h>
#include <string.h>

#include "base/spelling.h"

/* Definitions of api/ whose faults have a code of their own in base/faults.def. */
static const struct {
    const char *definition;
    enum fault_code general, own;
} own_codes[] = {
    {"direction", FAULT_MISSING, FAULT_NO_DIRECTION},
    {"direction", FAULT_CHOICE, FAULT_TWO_DIRECTIONS},
    {"force_unit", FAULT_NOT_ALLOWED, FAULT_UNIT},
    {"length_unit", FAULT_NOT_ALLOWED, FAULT_UNIT},
    {"angle_unit", FAULT_NOT_ALLOWED, FAULT_UNIT},
    {"mass_unit", FAULT_NOT_ALLOWED, FAULT_UNIT},
    {"acceleration_unit", FAULT_NOT_ALLOWED, FAULT_UNIT},
    {"moment_unit", FAULT_PATTERN, FAULT_UNIT},
    {"intensity_unit", FAULT_PATTERN, FAULT_UNIT},
    {"magnitude", FAULT_RANGE, FAULT_NEGATIVE_MAGNITUDE},
};

enum fault_code words_code(const char *definition, enum fault_code code)
{
    for (size_t i = 0; definition != NULL && i < sizeof own_codes / sizeof *own_codes; i++)
        if (own_codes[i].general == code && strcmp(own_codes[i].definition, definition) == 0)
            return own_codes[i].own;
    return code;
}

/* ---- lists of words ---- */

void words_add(struct words *w, const char *word)
{
    if (word == NULL)
        return;
    for (size_t i = 0; i < w->count; i++)
        if (strcmp(w->word[i], word) == 0)
            return;
    if (w->count < WORDS_MAX)
        w->word[w->count++] = word;
}

const char *words_say(struct arena *arena, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    const char *text = arena_vprintf(arena, format, arguments);
    va_end(arguments);
    return text != NULL ? text : "";
}

static const char *finish(struct buf *b)
{
    const char *text = buf_text(b);
    return text != NULL ? text : "";
}

#define SENTENCE_BYTES 4000
#define SHOWN_WORDS 16

const char *words_join(struct arena *arena, const struct words *w, const char *last)
{
    struct buf b;
    buf_init(&b, arena, SENTENCE_BYTES);
    size_t shown = w->count > SHOWN_WORDS ? SHOWN_WORDS : w->count;
    for (size_t i = 0; i < shown; i++) {
        if (i > 0)
            buf_puts(&b, i + 1 < w->count ? ", " : last);
        buf_puts(&b, w->word[i]);
    }
    if (shown < w->count)
        buf_puts(&b, ", …");
    return finish(&b);
}

/* The quotes of a text say nothing. */
static void strip_quotes(const char **text, size_t *length)
{
    if (*length >= 2 && (*text)[0] == '"') {
        ++*text;
        *length -= 2;
    }
}

const char *words_nearest(const struct words *w, const char *typed, size_t length)
{
    const char *nearest = NULL;
    size_t least = SPELLING_OTHER;
    strip_quotes(&typed, &length);
    for (size_t i = 0; i < w->count && length > 0; i++) {
        const char *word = w->word[i];
        size_t n = strlen(word);
        strip_quotes(&word, &n);
        size_t far = spelling_distance(typed, length, word, n);
        bool is_beginning = length >= 3 && n > length && memcmp(typed, word, length) == 0;
        if (far == SPELLING_OTHER && is_beginning)
            far = SPELLING_OTHER - 1; /* the beginning of a longer name, if nothing is nearer */
        else if (far >= 2 * n)
            continue; /* of a short name something must be right: qN is no misspelt N, but kN */
        if (far < least) {
            least = far;
            nearest = w->word[i];
        }
    }
    return nearest;
}

/* ---- values ---- */

#define CUT_BYTES 40

const char *words_cut(struct arena *arena, const char *text, size_t length)
{
    size_t n = length <= CUT_BYTES ? length : CUT_BYTES;
    while (n > 0 && n < length && ((unsigned char)text[n] & 0xc0) == 0x80)
        n--;
    return words_say(arena, n < length ? "%.*s…" : "%.*s", (int)n, text);
}

const char *words_json(struct arena *arena, const struct json *value)
{
    switch (value->type) {
    case JSON_NULL:
        return "null";
    case JSON_FALSE:
        return "false";
    case JSON_TRUE:
        return "true";
    case JSON_NUMBER:
        return words_cut(arena, value->text, value->length);
    case JSON_STRING:
        return words_say(arena, "\"%s\"", words_cut(arena, value->text, value->length));
    case JSON_ARRAY:
        return value->count == 0 ? "an empty list" : "a list";
    case JSON_OBJECT:
        return value->count == 0 ? "an empty object" : "an object";
    case JSON_TYPE_MAX_:
        break;
    }
    return "";
}

const char *words_given(struct arena *arena, const struct json *value)
{
    return value->type == JSON_STRING
               ? words_say(arena, "the text \"%s\"", words_cut(arena, value->text, value->length))
               : words_json(arena, value);
}

/* ---- schemas ---- */

static const char *title_of(const struct node *n)
{
    for (; n != NULL; n = n->ref)
        if (n->title != NULL)
            return n->title;
    return NULL;
}

static const char *required_names(struct arena *arena, const struct node *n, const char *with)
{
    const struct json *required = json_member(n->source, "required");
    struct words names = {0};
    for (const struct json *e = required != NULL ? required->child : NULL; e != NULL; e = e->next)
        words_add(&names, e->text);
    return names.count > 0 ? words_join(arena, &names, with) : NULL;
}

void words_needed_of(struct arena *arena, const struct node *n, const char *with,
                     struct words *ret_words)
{
    while (n->is_alias)
        n = n->ref;
    if (n->kind != NODE_KEYWORDS)
        return;
    const char *required = required_names(arena, n, with);
    if (required != NULL)
        words_add(ret_words, required);
    else if (n->one_of != NULL)
        words_needed(arena, n->one_of, with, ret_words);
    else if (n->any_of != NULL)
        words_needed(arena, n->any_of, with, ret_words);
}

void words_needed(struct arena *arena, const struct choice *choice, const char *with,
                  struct words *ret_words)
{
    for (unsigned i = 0; i < choice->count; i++)
        words_needed_of(arena, choice->branches[i], with, ret_words);
}

const struct choice *words_choice(const struct node *n, const struct node **ret_holder)
{
    while (n->is_alias)
        n = n->ref;
    const struct choice *choice = n->one_of != NULL ? n->one_of : n->any_of;
    if (choice == NULL)
        return NULL;
    uint64_t objects = choice->by_type[JSON_OBJECT];
    if (is_one_branch(objects))
        return words_choice(choice->branches[first_branch(objects)], ret_holder);
    *ret_holder = n;
    return objects != 0 ? choice : NULL;
}

static const char *form(struct arena *arena, const struct json *required)
{
    struct buf b;
    buf_init(&b, arena, SENTENCE_BYTES);
    for (const struct json *e = required->child; e != NULL; e = e->next) {
        buf_puts(&b, e->index == 0 ? "{\"" : ", \"");
        buf_puts(&b, e->text);
        buf_puts(&b, "\": …");
    }
    buf_puts(&b, "}");
    return finish(&b);
}

/* An object by the members it must have, or has a choice of: "{"magnitude": …, "direction": …}". */
static void expect_object(struct arena *arena, const struct node *n, const char *title,
                          struct words *w)
{
    const struct json *required = json_member(n->source, "required");
    const struct choice *choice = n->one_of != NULL ? n->one_of : n->any_of;
    size_t before = w->count;
    if (required != NULL && required->count > 0) {
        words_add(w, form(arena, required));
        return;
    }
    for (unsigned i = 0; choice != NULL && i < choice->count; i++) {
        required = json_member(choice->branches[i]->source, "required");
        if (required != NULL && required->count > 0)
            words_add(w, form(arena, required));
    }
    if (w->count == before)
        words_add(w, title != NULL ? title : "an object");
}

static void expect_types(struct arena *arena, const struct node *n, const char *title,
                         struct words *w)
{
    if (n->types == TYPE_ALL) {
        if (title != NULL)
            words_add(w, title);
        return;
    }
    if ((n->types & TYPE_NUMBER) == TYPE_NUMBER)
        words_add(w, "a number");
    else if ((n->types & TYPE_INTEGER) != 0)
        words_add(w, "a whole number");
    if ((n->types & TYPE_BIT(JSON_STRING)) != 0)
        words_add(w, title != NULL ? title : "a text");
    if ((n->types & TYPE_BIT(JSON_ARRAY)) != 0)
        words_add(w, title != NULL ? title : "a list");
    if ((n->types & TYPE_BIT(JSON_OBJECT)) != 0)
        expect_object(arena, n, title, w);
    if ((n->types & TYPE_BOOLEAN) == TYPE_BOOLEAN)
        words_add(w, "true or false");
    if ((n->types & TYPE_BIT(JSON_NULL)) != 0)
        words_add(w, "null");
}

/* Among alternatives a title says more than a type does. */
static void expect(struct arena *arena, const struct node *n, bool is_alternative, struct words *w)
{
    const char *title = NULL;
    for (; n->is_alias; n = n->ref)
        title = title != NULL ? title : n->title;
    title = title != NULL ? title : n->title;
    if (n->kind != NODE_KEYWORDS)
        return;
    if (n->constant != NULL) {
        words_add(w, words_json(arena, n->constant));
    } else if (n->options != NULL) {
        for (const struct json *o = n->options->child; o != NULL; o = o->next)
            words_add(w, words_json(arena, o));
    } else if (n->types == TYPE_ALL && (n->one_of != NULL || n->any_of != NULL)) {
        const struct choice *choice = n->one_of != NULL ? n->one_of : n->any_of;
        for (unsigned i = 0; i < choice->count; i++)
            expect(arena, choice->branches[i], true, w);
    } else if (n->types == TYPE_ALL && n->all_of.count > 0) {
        expect(arena, n->all_of.node[0], is_alternative, w);
    } else {
        expect_types(arena, n, is_alternative ? title : NULL, w);
    }
}

void words_expected(struct arena *arena, const struct node *n, struct words *ret_words)
{
    expect(arena, n, false, ret_words);
}

/* ---- places ---- */

static const struct place *outermost(const struct place *at)
{
    while (at->outer != NULL)
        at = at->outer;
    return at;
}

/* The title that a caller knows the thing by: that of the outermost schema which has one. */
static const char *place_title(const struct place *at)
{
    const char *title = NULL;
    for (; at != NULL; at = at->outer)
        if (title_of(at->node) != NULL)
            title = title_of(at->node);
    return title;
}

const char *words_description(const struct place *at)
{
    for (; at != NULL; at = at->outer)
        for (const struct node *n = at->node; n != NULL; n = n->ref)
            if (n->description != NULL)
                return n->description;
    return NULL;
}

const char *words_place(struct arena *arena, const struct place *at)
{
    const struct json *v = at->value;
    const struct place *parent = outermost(at)->parent;
    const char *title = place_title(at);
    const struct json *name = json_member(v, "name");
    if (name != NULL && name->type == JSON_STRING && name->length > 0 && title != NULL &&
        parent != NULL)
        return words_say(arena, "%s %s", title, words_cut(arena, name->text, name->length));
    if (parent == NULL)
        return "the request";
    const char *key = v->key != NULL ? words_cut(arena, v->key, v->key_length) : NULL;
    if (key != NULL && outermost(at)->in_map && title != NULL)
        return words_say(arena, "%s %s", title, key);
    if (key == NULL)
        key = words_say(arena, "entry %u", v->index + 1);
    if (outermost(parent)->parent == NULL && v->key != NULL)
        return key;
    return words_say(arena, "%s of %s", key, words_place(arena, parent));
}
