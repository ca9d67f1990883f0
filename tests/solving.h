/* solving.h: a request written in C, worked out by the statics, and what its answer says; for the
 * tests of src/statics. Every problem is worked in three fields and with and without its key: the
 * answers must not differ, and every number must follow from its operands. */
#ifndef TESTS_SOLVING_H
#define TESTS_SOLVING_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"

#include "base/buf.h"
#include "base/limits.h"
#include "endpoints/endpoint.h"
#include "oracle/recompute.h"
#include "render/render.h"
#include "statics/statics.h"
#include "json/json.h"

#define FIELDS 3
static struct field *solving_field[FIELDS];

static int make_fields(void **state)
{
    static const uint64_t seeds[FIELDS] = {7, 1234567, 987654321987654321};
    (void)state;
    for (int i = 0; i < FIELDS; i++)
        if (!(solving_field[i] = field_new(seeds[i])))
            return 1;
    return 0;
}

static int free_fields(void **state)
{
    (void)state;
    for (int i = 0; i < FIELDS; i++)
        field_free(solving_field[i]);
    return 0;
}

struct solved {
    struct arena *arena;
    struct work work;
    struct problem problem;
    enum problem_code code;
};

/* ---- working it out ---- */

static enum problem_code work_out(struct work *w, const char *kind, const struct json *request,
                                  struct problem *p)
{
    const struct endpoint *e = endpoints;
    while (strcmp(e->kind, kind) != 0)
        e++;
    return e->run(w, request, p);
}

static bool same_values(const struct work *v, const struct value *a, const struct work *w,
                        const struct value *b)
{
    if (!a || !b)
        return a == b;
    if (a->kind != b->kind || (a->kind == VALUE_COUNT && a->count != b->count) ||
        (a->kind == VALUE_BOOL && a->truth != b->truth) ||
        (a->kind == VALUE_TEXT && strcmp(a->text, b->text) != 0))
        return false;
    if (a->kind == VALUE_NUMBER && q_value(v, a->scalar) != q_value(w, b->scalar))
        return false;
    for (int axis = 0; a->kind == VALUE_VECTOR && axis < 3; axis++)
        if (q_value(v, qv_component(v, a->vector, axis)) !=
            q_value(w, qv_component(w, b->vector, axis)))
            return false;
    return same_values(v, a->child, w, b->child) && same_values(v, a->next, w, b->next);
}

/* "sensitive-by-hand" is a note of the key, see test_tape.c; it comes last. */
static bool same_notes(const struct work *with_key, const struct work *without)
{
    uint32_t own = with_key->note_count;
    if (own && strcmp(with_key->note[own - 1].code, "sensitive-by-hand") == 0)
        own--;
    if (own != without->note_count)
        return false;
    for (uint32_t i = 0; i < own; i++)
        if (strcmp(with_key->note[i].code, without->note[i].code) != 0)
            return false;
    return true;
}

/* Another usual way must lead to the same number. */
static void check_alternatives(const struct work *w)
{
    for (uint32_t k = 0; k < w->alternative_count; k++) {
        double a = q_value(w, w->alternative[k].of), b = q_value(w, w->alternative[k].other);
        double turn = w->units.angle == UNIT_DEG ? 360 : 2 * TEST_PI;
        double apart = a - b;
        if (q_node(w, w->alternative[k].of)->dimension.angle)
            apart = remainder(apart, turn);
        /* or as near as the two themselves say they are: forces of a nearly critical truss */
        double error = q_node(w, w->alternative[k].of)->num.error +
                       q_node(w, w->alternative[k].other)->num.error;
        if (!(fabs(apart) <= 1e-9 * (1 + fabs(a)) + error)) {
            print_error("another way leads from %.17g to %.17g\n", a, b);
            fail();
        }
    }
}

static struct solved solve_json(const char *kind, struct arena *arena, const struct json *request)
{
    struct solved s = {.arena = arena};
    struct work other;
    char text[256];
    for (int i = 0; i < FIELDS; i++) {
        struct work *w = i == 0 ? &s.work : &other;
        struct problem p;
        problem_init(&p, arena);
        work_init(w, arena, solving_field[i]);
        w->wants_key = i == 0;
        enum problem_code code = work_out(w, kind, request, &p);
        assert_false(w->unlucky);
        if (i == 0) {
            s.code = code;
            s.problem = p;
        }
        assert_int_equal(code, s.code);
        if (code == PROBLEM_NONE && i > 0)
            assert_true(same_values(&s.work, s.work.answer, &other, other.answer));
        if (code == PROBLEM_NONE && i > 0)
            assert_true(same_notes(&s.work, &other));
    }
    if (s.code == PROBLEM_NONE) {
        check_alternatives(&s.work);
        if (!recompute_all(&s.work, text, sizeof text))
            fail_msg("%s", text);
    }
    return s;
}

static const struct json *read_json(struct arena *arena, char *text)
{
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    const struct json *root = NULL;
    struct problem p;
    problem_init(&p, arena);
    for (char *c = text; *c != '\0'; c++)
        if (*c == '\'')
            *c = '"';
    if (json_read(arena, text, strlen(text), &limits, &root, &p) != PROBLEM_NONE)
        fail_msg("not JSON: %s\n%s", p.detail, text);
    return root;
}

/* JSON with ' for ". */
static struct solved solve(const char *kind, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
__attribute__((unused)) static struct solved solve(const char *kind, const char *format, ...)
{
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    va_list arguments;
    va_start(arguments, format);
    char *text = arena_vprintf(arena, format, arguments);
    va_end(arguments);
    assert_non_null(text);
    return solve_json(kind, arena, read_json(arena, text));
}

__attribute__((unused)) static void done(struct solved *s) { arena_free(s->arena); }

/* ---- what the answer says ---- */

/* The entry of a list of that name or symbol: "AB]" of [name=AB]. */
static const struct value *entry_named(const struct value *list, const char *name)
{
    size_t length = strcspn(name, "]");
    for (const struct value *entry = list->child; entry; entry = entry->next)
        for (const struct value *c = entry->child; c; c = c->next)
            if (c->kind == VALUE_TEXT &&
                (strcmp(c->key, "name") == 0 || strcmp(c->key, "symbol") == 0) &&
                strncmp(c->text, name, length) == 0 && c->text[length] == '\0')
                return entry;
    return NULL;
}

/* A part is a key, a place in a list, or a list and a name: members[name=AB], parts[symbol=A_y]. */
static const struct value *member_at(const struct value *v, const char **path)
{
    size_t length = strcspn(*path, "/");
    const char *part = *path;
    const char *name = strchr(part, '[');
    long index = 0;
    if (name && name < part + length) {
        for (const struct value *c = v->child; c; c = c->next)
            if (strncmp(c->key, part, (size_t)(name - part)) == 0 && c->key[name - part] == '\0') {
                *path += length + (part[length] == '/');
                return entry_named(c, strchr(name, '=') + 1);
            }
        return NULL;
    }
    *path += length + (part[length] == '/');
    for (const struct value *c = v->child; c; c = c->next, index++)
        if (c->key ? strlen(c->key) == length && strncmp(c->key, part, length) == 0
                   : strtol(part, NULL, 10) == index)
            return c;
    return NULL;
}

/* A value by its path, "resultant/magnitude"; NULL where there is none. What is left of the path
 * goes on into a vector. */
static const struct value *value_at(const struct solved *s, const char *path, const char **ret_rest)
{
    if (s->code != PROBLEM_NONE)
        fail_msg("%s: %s (%s)", problem_row(s->code)->name, s->problem.detail, path);
    const struct value *v = s->work.answer;
    while (v && *path && (v->kind == VALUE_OBJECT || v->kind == VALUE_LIST))
        v = member_at(v, &path);
    if (ret_rest)
        *ret_rest = path;
    return v;
}

static double number_at(const struct solved *s, const char *path)
{
    const char *rest;
    const struct value *v = value_at(s, path, &rest);
    if (v && v->kind == VALUE_NUMBER)
        return q_value(&s->work, v->scalar);
    if (!v || v->kind != VALUE_VECTOR)
        fail_msg("there is no number at %s", path);
    return q_value(&s->work, qv_component(&s->work, v->vector, atoi(rest)));
}

static bool is_null_at(const struct solved *s, const char *path)
{
    const struct value *v = value_at(s, path, NULL);
    if (!v)
        fail_msg("there is nothing at %s", path);
    return v->kind == VALUE_NULL;
}

__attribute__((unused)) static bool is_absent(const struct solved *s, const char *path)
{
    return value_at(s, path, NULL) == NULL;
}

__attribute__((unused)) static int count_at(const struct solved *s, const char *path)
{
    const struct value *v = value_at(s, path, NULL);
    if (!v || v->kind != VALUE_COUNT)
        fail_msg("there is no count at %s", path);
    return v->count;
}

static const char *phrase_text(struct solved *s, const struct phrase *phrase)
{
    struct buf b;
    struct render_options options = render_defaults();
    buf_init(&b, s->arena, 4096);
    render_phrase(&s->work, phrase, &options, FORMAT_TEXT, &b);
    return buf_text(&b);
}

static const char *words_at(struct solved *s, const char *path)
{
    const struct value *v = value_at(s, path, NULL);
    if (!v || (v->kind != VALUE_PHRASE && v->kind != VALUE_TEXT))
        fail_msg("there are no words at %s", path);
    return v->kind == VALUE_TEXT ? v->text : phrase_text(s, v->phrase);
}

static void number_is(const struct solved *s, const char *path, double expected, const char *file,
                      int line)
{
    double value = number_at(s, path);
    if (fabs(value - expected) <= 2e-12 * (1 + fabs(expected)))
        return;
    print_error("%s is %.17g, not %.17g\n", path, value, expected);
    _fail(file, line);
}
/* Right to the digits given out. */
#define assert_number(s, path, expected) number_is((s), (path), (expected), __FILE__, __LINE__)

__attribute__((unused)) static void numbers_are(const struct solved *s, const char *path, int count,
                                                const double *expected, const char *file, int line)
{
    for (int i = 0; i < count; i++)
        number_is(s, arena_printf(s->arena, "%s/%d", path, i), expected[i], file, line);
}
#define assert_numbers(s, path, ...)                                                               \
    numbers_are((s), (path), sizeof((double[]){__VA_ARGS__}) / sizeof(double),                     \
                (double[]){__VA_ARGS__}, __FILE__, __LINE__)

/* ---- notes, faults, steps ---- */

/* The text of the note with that code; NULL where there is none. */
__attribute__((unused)) static const char *note_text(struct solved *s, const char *code)
{
    for (uint32_t i = 0; i < s->work.note_count; i++)
        if (strcmp(s->work.note[i].code, code) == 0)
            return phrase_text(s, &s->work.note[i].text);
    return NULL;
}

/* All codes in order, "quadrant wrench". */
__attribute__((unused)) static const char *note_codes(struct solved *s)
{
    struct buf b;
    buf_init(&b, s->arena, 4096);
    for (uint32_t i = 0; i < s->work.note_count; i++) {
        if (strcmp(s->work.note[i].code, "sensitive-by-hand") == 0)
            continue; /* the key's, see test_tape.c */
        buf_puts(&b, b.length ? " " : "");
        buf_puts(&b, s->work.note[i].code);
    }
    return buf_text(&b);
}

/* All faults in order, "zero-direction at /force/direction/slope". */
__attribute__((unused)) static const char *faults(const struct solved *s)
{
    struct buf b;
    buf_init(&b, s->arena, 1 << 14);
    for (size_t i = 0; i < s->problem.fault_count; i++) {
        const struct fault *f = &s->problem.faults[i];
        buf_puts(&b, arena_printf(s->arena, "%s%s at %s", i ? ", " : "", fault_row(f->code)->name,
                                  f->pointer));
    }
    return s->code == PROBLEM_NONE ? "no fault" : buf_text(&b);
}

__attribute__((unused)) static const char *fault_text(const struct solved *s, size_t i)
{
    return i < s->problem.fault_count ? s->problem.faults[i].detail : "";
}

static void put_symbol_and_value(struct solved *s, struct buf *b, q x, const struct step *step)
{
    const struct symbol *symbol = &q_node(&s->work, x)->symbol;
    char axis[2] = {symbol->axis, '\0'};
    const char *label = "";
    if (step->label == LABEL_SUM_FORCE)
        label = arena_printf(s->arena, "=ΣF_%c", step->label_axis);
    if (step->label == LABEL_SUM_MOMENT)
        label = arena_printf(s->arena, step->label_axis ? "=ΣM_%s%c" : "=ΣM_%s", step->about,
                             step->label_axis);
    buf_puts(b, arena_printf(s->arena, "%s%s%s%s%.*s%s=%.6g", symbol->base ? symbol->base : "?",
                             symbol->sub || symbol->axis ? "_" : "", symbol->sub ? symbol->sub : "",
                             axis, symbol->primed, "''''", label, q_value(&s->work, x) + 0.0));
}

/* The defining steps of a section, "P=26 h_P=13 P_x=24 P_y=-10": every number that is written down.
 */
__attribute__((unused)) static const char *steps(struct solved *s, const char *title)
{
    struct buf b;
    buf_init(&b, s->arena, 1 << 14);
    struct work *w = &s->work;
    for (uint32_t i = 0; i < w->section_count; i++) {
        if (strcmp(phrase_text(s, &w->section[i].title), title) != 0)
            continue;
        for (uint32_t k = 0; k < w->section[i].count; k++) {
            const struct step *step = &w->step[w->section[i].first + k];
            buf_puts(&b, b.length ? " " : "");
            if (step->kind == STEP_DEFINE)
                put_symbol_and_value(s, &b, step->scalar, step);
            for (int axis = 0; step->kind == STEP_DEFINE_VECTOR && axis < 3; axis++) {
                q x = qv_component(w, step->vector, axis);
                buf_puts(&b, b.length && !q_is_none(x) && b.data[b.length - 1] != ' ' ? " " : "");
                if (!q_is_none(x))
                    put_symbol_and_value(s, &b, x, step);
            }
            if (step->kind == STEP_DECIDE || step->kind == STEP_SAY)
                buf_puts(&b, arena_printf(s->arena, "[%s]", phrase_text(s, &step->phrase)));
        }
        return buf_text(&b);
    }
    return "no such section";
}

/* The k-th step of a section as it is written in text; "" where there is none. */
static inline const char *line_of(struct solved *s, const char *title, uint32_t k)
{
    struct buf b;
    struct work *w = &s->work;
    struct render_options options = render_defaults();
    buf_init(&b, s->arena, 4096);
    for (uint32_t i = 0; i < w->section_count; i++)
        if (strcmp(phrase_text(s, &w->section[i].title), title) == 0 && k < w->section[i].count)
            render_step(w, &w->step[w->section[i].first + k], &options, FORMAT_TEXT, &b);
    return buf_text(&b);
}

/* ---- published cases ---- */

static void case_is_right(const struct json *c, const struct json *expect, struct solved *s)
{
    const char *at = json_member(expect, "at")->text + 1, *id = json_member(c, "id")->text;
    const struct json *value = json_member(expect, "value");
    if (value->type == JSON_NULL) {
        if (!is_null_at(s, at))
            fail_msg("%s: %s is not null", id, at);
        return;
    }
    if (value->type == JSON_STRING) {
        if (strcmp(words_at(s, at), value->text) != 0)
            fail_msg("%s: %s is %s, not %s", id, at, words_at(s, at), value->text);
        return;
    }
    const struct value *v = value_at(s, at, NULL);
    if (value->type == JSON_ARRAY && v && v->kind == VALUE_LIST) {
        long count = 0;
        for (const struct value *entry = v->child; entry; entry = entry->next)
            count++;
        for (const struct json *name = value->child; name; name = name->next, count--)
            if (!entry_named(v, name->text))
                fail_msg("%s: %s lacks %s", id, at, name->text);
        if (count != 0)
            fail_msg("%s: %s has too many entries", id, at);
        return;
    }
    double actual = v && v->kind == VALUE_COUNT ? v->count : number_at(s, at);
    double tolerance = json_member(expect, "tolerance")->number;
    if (!(fabs(actual - value->number) <= tolerance))
        fail_msg("%s: %s is %.17g, not %.17g", id, at, actual, value->number);
}

/* Every case of a file of tests/cases whose call is `path`; how many. */
__attribute__((unused)) static int check_published(const char *file, const char *kind)
{
    static char text[1 << 20];
    FILE *f = fopen(file, "rb");
    if (!f)
        fail_msg("cannot read %s", file);
    size_t length = fread(text, 1, sizeof text - 1, f);
    fclose(f);
    text[length] = '\0';
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    const struct json *root = NULL;
    struct problem p;
    int count = 0;
    problem_init(&p, arena);
    assert_int_equal(json_read(arena, text, length, &limits, &root, &p), PROBLEM_NONE);
    for (const struct json *c = root->child; c; c = c->next, count++) {
        struct solved s = solve_json(kind, arena, json_member(c, "request"));
        for (const struct json *e = json_member(c, "expect")->child; e; e = e->next)
            case_is_right(c, e, &s);
    }
    arena_free(arena);
    return count;
}

#endif
