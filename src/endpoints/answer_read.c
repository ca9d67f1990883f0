/* answer_read.c: a student's answer walked along the parts of the key. */
#include <math.h>
#include <string.h>

#include "endpoints/check.h"
#include "marking/typed.h"

static const struct dimension moment_dimension = {.force = 1, .length = 1};

static bool is_text(const struct json *value, const char *text)
{
    return value && value->type == JSON_STRING && strcmp(value->text, text) == 0;
}

/* ---- numbers ---- */

enum given_state reading_number(const struct reading *r, const struct json *given,
                                struct dimension dimension, double *ret_value)
{
    struct units to = r->items->w->units;
    const struct json *number = given, *unit = NULL;
    if (given->type == JSON_NULL)
        return GIVEN_NOTHING;
    if (given->type == JSON_OBJECT) {
        number = json_member(given, "value");
        unit = json_member(given, "unit");
        if (!number || !unit || unit->type != JSON_STRING)
            return GIVEN_NONSENSE;
    }
    bool is_read = false;
    if (number->type == JSON_STRING)
        is_read = typed_read(number->text, number->length, dimension, unit ? to : r->units, to,
                             ret_value);
    else if (number->type == JSON_NUMBER) {
        *ret_value = unit ? number->number : typed_convert(number->number, dimension, r->units, to);
        is_read = isfinite(*ret_value);
    }
    if (is_read && unit)
        is_read = typed_with_unit(*ret_value, unit->text, unit->length, dimension, to, ret_value);
    return is_read ? GIVEN_VALUE : GIVEN_NONSENSE;
}

static void add(struct reading *r, struct given_item given)
{
    answer_add(r->arena, r->answer, given);
}

/* A couple as a size and its turn. */
static enum given_state read_turned(const struct reading *r, const struct json *given,
                                    double *ret_value)
{
    enum given_state state =
        reading_number(r, json_member(given, "moment"), moment_dimension, ret_value);
    if (state == GIVEN_VALUE && *ret_value < 0.0)
        return GIVEN_NONSENSE; /* a sign and a turn */
    if (is_text(json_member(given, "turn"), "clockwise"))
        *ret_value = -*ret_value;
    return state;
}

static void read_number(struct reading *r, const struct json *given, int item)
{
    struct given_item one = {.item = item};
    struct work *w = r->items->w;
    struct dimension dimension = {0};
    if (r->items->item[item].kind == PART_NUMBER)
        dimension = q_node(w, r->items->item[item].number[0])->dimension;
    if (given->type == JSON_OBJECT && json_member(given, "moment"))
        one.state = dimension.force == 1 && dimension.length == 1
                        ? read_turned(r, given, &one.value)
                        : GIVEN_NONSENSE;
    else
        one.state = reading_number(r, given, dimension, &one.value);
    add(r, one);
}

/* ---- what is given as null, or as something of another shape ---- */

static void add_all(struct reading *r, const struct part *part, enum given_state state)
{
    for (int k = 0; part->kind == PART_VECTOR && k < part->count; k++)
        add(r, (struct given_item){.item = part->item + k, .state = state});
    if (part->kind != PART_VECTOR && part->item >= 0) {
        add(r, (struct given_item){.item = part->item, .state = state});
        return;
    }
    for (const struct part *c = part->child; c; c = c->next)
        if (part->kind != PART_FORCE || c->kind != PART_VECTOR)
            add_all(r, c, state);
}

/* ---- tension and compression ---- */

static const char *state_word(const struct json *given)
{
    static const char *const word[][2] = {{"tension", "T"}, {"compression", "C"}, {"zero", "zero"}};
    for (size_t i = 0; i < sizeof word / sizeof *word; i++)
        if (is_text(given, word[i][0]) || is_text(given, word[i][1]))
            return word[i][0];
    return given->type == JSON_STRING ? given->text : NULL;
}

/* A word beside a number gives its sign; a negative number in tension contradicts itself. */
static void settle_sense(struct given_item *force, const char *word)
{
    if (strcmp(word, "compression") == 0)
        force->value = -fabs(force->value);
    else if (strcmp(word, "tension") == 0 && force->value < 0.0)
        force->state = GIVEN_NONSENSE;
}

static void read_member(struct reading *r, const struct json *given, const struct part *force,
                        const struct part *state)
{
    const struct json *number = json_member(given, "force"), *word = json_member(given, "state");
    const char *sense = word ? state_word(word) : NULL;
    struct given_item one = {.item = force->item};
    if (!number) {
        if (word && state && state->item >= 0)
            add(r,
                (struct given_item){.item = state->item,
                                    .state = word->type == JSON_NULL ? GIVEN_NOTHING : GIVEN_VALUE,
                                    .word = sense});
        return;
    }
    struct json bare = *number; /* without the word */
    const char *typed = bare.type == JSON_STRING ? typed_take_sense(bare.text, &bare.length) : NULL;
    one.state = reading_number(r, &bare, (struct dimension){.force = 1}, &one.value);
    if (one.state == GIVEN_VALUE && typed)
        settle_sense(&one, typed);
    if (one.state == GIVEN_VALUE && sense)
        settle_sense(&one, sense);
    if (typed && sense && strcmp(typed, sense) != 0)
        one.state = GIVEN_NONSENSE;
    add(r, one);
}

/* ---- lists ---- */

static const struct json *name_of(const struct json *entry)
{
    const struct json *name = entry->type == JSON_OBJECT ? json_member(entry, "name") : entry;
    if (!name && entry->type == JSON_OBJECT)
        name = json_member(entry, "symbol");
    return name && name->type == JSON_STRING ? name : NULL;
}

/* Names alone, or entries with a name: the same set. */
static void read_names(struct reading *r, const struct json *given, const struct part *part)
{
    struct given_item one = {.item = part->item, .state = GIVEN_NONSENSE};
    bool *is_named = arena_alloc(r->arena, (size_t)part->child_count + 1);
    if (given->type == JSON_ARRAY && is_named) {
        int right = 0;
        bool is_any_wrong = false;
        for (const struct json *g = given->child; g; g = g->next) {
            const struct json *name = name_of(g);
            const struct part *entry = name ? part_child(part, name->text) : NULL;
            is_any_wrong = is_any_wrong || !entry;
            if (entry && !is_named[entry->place]) {
                is_named[entry->place] = true;
                right++;
            }
        }
        one.state = GIVEN_VALUE;
        one.value = right == part->child_count && !is_any_wrong ? 1.0 : 0.0;
    }
    add(r, one);
}

static void read_part(struct reading *r, const struct json *given, const struct part *part);

static void add_extra(struct reading *r, const struct part *part, const char *key)
{
    char escaped[128];
    size_t length = 0;
    for (const char *c = key; *c && length + 3 < sizeof escaped; c++) {
        escaped[length++] = *c == '~' || *c == '/' ? '~' : *c;
        if (*c == '~' || *c == '/')
            escaped[length++] = *c == '~' ? '0' : '1';
    }
    escaped[length] = '\0';
    answer_extra(r->arena, r->answer, arena_printf(r->arena, "%s/%s", part->path, escaped));
}

static void read_list(struct reading *r, const struct json *given, const struct part *part)
{
    if (given->type != JSON_ARRAY) {
        add_all(r, part, given->type == JSON_NULL ? GIVEN_NOTHING : GIVEN_NONSENSE);
        return;
    }
    for (const struct json *entry = given->child; entry; entry = entry->next) {
        const struct json *name = name_of(entry);
        const struct part *one = name ? part_child(part, name->text) : NULL;
        if (one)
            read_part(r, entry, one);
        else if (name)
            add_extra(r, part, name->text);
    }
}

/* ---- objects ---- */

static bool is_said_aside(const char *key)
{
    static const char *const words[] = {"units",    "name",  "symbol",  "kind",      "state",
                                        "in_words", "count", "degree",  "balanced",  "free_motions",
                                        "residual", "order", "unfixed", "mechanism", "found",
                                        "about",    NULL};
    for (int i = 0; words[i]; i++)
        if (strcmp(words[i], key) == 0)
            return true;
    return false;
}

/* Of several solutions one is taken for the unknowns. */
static const struct json *one_solution(const struct reading *r, const struct json *solutions)
{
    const struct json *one = solutions->child;
    for (int k = 0; one && k < r->solution; k++)
        one = one->next;
    return one;
}

static void read_object(struct reading *r, const struct json *given, const struct part *part)
{
    const struct part *state = part_child(part, "state"), *force = part_child(part, "force");
    if (given->type != JSON_OBJECT) {
        add_all(r, part, given->type == JSON_NULL ? GIVEN_NOTHING : GIVEN_NONSENSE);
        return;
    }
    bool is_member = part->parent && force && force->kind == PART_NUMBER;
    if (is_member)
        read_member(r, given, force, state);
    for (const struct json *m = given->child; m; m = m->next) {
        const struct part *child = part_child(part, m->key);
        if (is_member && (strcmp(m->key, "force") == 0 || strcmp(m->key, "state") == 0))
            continue;
        if (!part->parent && strcmp(m->key, "solutions") == 0 && m->type == JSON_ARRAY) {
            const struct json *one = one_solution(r, m);
            if (one)
                read_object(r, one, part);
            continue;
        }
        if (child)
            read_part(r, m, child);
        else if (!is_said_aside(m->key))
            add_extra(r, part, m->key);
    }
}

static void read_part(struct reading *r, const struct json *given, const struct part *part)
{
    switch (part->kind) {
    case PART_UNMARKED:
    case PART_KIND_MAX_:
        return;
    case PART_OBJECT:
    case PART_UNKNOWN:
    case PART_FORCE:
        read_object(r, given, part);
        return;
    case PART_LIST:
        read_list(r, given, part);
        return;
    case PART_NUMBER:
    case PART_COUNT:
        read_number(r, given, part->item);
        return;
    case PART_VECTOR:
        if (given->type != JSON_ARRAY || (int)given->count != part->count) {
            add_all(r, part, given->type == JSON_NULL ? GIVEN_NOTHING : GIVEN_NONSENSE);
            return;
        }
        for (const struct json *v = given->child; v; v = v->next)
            read_number(r, v, part->item + (int)v->index);
        return;
    case PART_DIRECTION:
        reading_direction(r, given, part);
        return;
    case PART_NOTHING:
        add(r, (struct given_item){.item = part->item,
                                   .state =
                                       given->type == JSON_NULL ? GIVEN_NOTHING : GIVEN_NONSENSE});
        return;
    case PART_STATE:
        add(r, (struct given_item){
                   .item = part->item, .state = GIVEN_VALUE, .word = state_word(given)});
        return;
    case PART_NAMES:
        read_names(r, given, part);
        return;
    }
}

/* ---- an answer ---- */

static void read_units(struct reading *r, const struct json *units)
{
    static const struct {
        const char *member;
        struct dimension dimension;
    } rows[] = {{"force", {.force = 1}}, {"length", {.length = 1}}, {"angle", {.angle = true}}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct json *name = json_member(units, rows[i].member);
        struct unit unit = {.base = r->units};
        if (!name || name->type != JSON_STRING ||
            !unit_read(name->text, name->length, rows[i].dimension, &unit))
            continue;
        if (i == 0)
            r->units.force = unit.base.force;
        else if (i == 1)
            r->units.length = unit.base.length;
        else
            r->units.angle = unit.base.angle;
    }
}

void answer_read(const struct items *items, const struct json *problem, const struct json *given,
                 int solution, struct answer *ret_answer)
{
    struct reading r = {.items = items,
                        .problem = problem,
                        .arena = items->w->arena,
                        .units = items->w->units,
                        .solution = solution,
                        .answer = ret_answer};
    *ret_answer = (struct answer){0};
    read_units(&r, json_member(given, "units"));
    read_object(&r, given, items->root);
    answer_complete(r.arena, ret_answer, items);
}
