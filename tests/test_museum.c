/* test_museum.c: whole answers of tests/data/museum.json: states, counts, order, every number to
 * the digits given out, and the codes of the notes. Before they were written down, numbers, states,
 * counts and what is not fixed were worked out a second time from the request alone, by elimination
 * in doubles or by closed formulas, and motions were checked to stretch nothing and to go against
 * no support. The order of a hand, the words of motions and most codes of notes were only read. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "check.h"

#include "base/limits.h"
#include "oracle/recompute.h"
#include "oracle/solve.h"
#include "json/json.h"

#define DIGITS 1e-11 /* twelve, and the last may be rounded either way */

static const struct json *read_text(struct arena *arena, const char *text, size_t length)
{
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    const struct json *json = NULL;
    struct problem problem;
    problem_init(&problem, arena);
    if (json_read(arena, text, length, &limits, &json, &problem) != PROBLEM_NONE)
        fail_msg("not JSON: %s", problem.detail);
    return json;
}

/* A number that comes out as nothing beside 1 is nothing. */
static bool same_number(double a, double b)
{
    return fabs(a - b) <= DIGITS * fmax(fabs(a), fabs(b)) || (fabs(a) < 1e-13 && fabs(b) < 1e-13);
}

static bool same_key(const struct json *a, const struct json *b)
{
    return a->key == b->key || (a->key && b->key && strcmp(a->key, b->key) == 0);
}

/* The first value that differs, with the path to it; NULL where none does. */
static const char *difference(struct arena *arena, const struct json *is, const struct json *should,
                              const char *path)
{
    if (!is || !should)
        return is == should ? NULL : arena_printf(arena, "%s: one has no more", path);
    path = should->key ? arena_printf(arena, "%s/%s", path, should->key) : path;
    if (is->type != should->type || !same_key(is, should))
        return arena_printf(arena, "%s: %s is there", path, is->key ? is->key : "another value");
    if (is->type == JSON_NUMBER && !same_number(is->number, should->number))
        return arena_printf(arena, "%s: %.12g, not %.12g", path, is->number, should->number);
    if (is->type == JSON_STRING && strcmp(is->text, should->text) != 0)
        return arena_printf(arena, "%s: %s, not %s", path, is->text, should->text);
    const struct json *a = is->child, *b = should->child;
    if (is->type != JSON_ARRAY && is->type != JSON_OBJECT)
        return NULL;
    for (int i = 0; a || b; i++, a = a->next, b = b->next) {
        const char *found = difference(
            arena, a, b, is->type == JSON_ARRAY ? arena_printf(arena, "%s/%d", path, i) : path);
        if (found)
            return found;
    }
    return NULL;
}

static const char *difference_of_notes(struct arena *arena, const struct json *is,
                                       const struct json *codes)
{
    const struct json *a = is->child, *b = codes->child;
    for (; a && b; a = a->next, b = b->next)
        if (strcmp(json_member(a, "code")->text, b->text) != 0)
            return arena_printf(arena, "the note %s, not %s", json_member(a, "code")->text,
                                b->text);
    return a || b ? "too many notes, or too few" : NULL;
}

static void test_whole_answers(void **state)
{
    static char text[1 << 20];
    FILE *file = fopen("tests/data/museum.json", "rb");
    int count = 0, failed = 0;
    (void)state;
    assert_non_null(file);
    size_t length = fread(text, 1, sizeof text, file);
    fclose(file);
    assert_true(length < sizeof text);
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    const struct json *list = read_text(arena, text, length);
    for (const struct json *one = list->child; one; one = one->next, count++) {
        struct buf request;
        struct solved s;
        char fault[400];
        buf_init(&request, arena, 1 << 16);
        solve_put_json(&request, json_member(one, "request"));
        const char *found = NULL;
        if (solve(&s, json_member(one, "path")->text, buf_text(&request)) != PROBLEM_NONE) {
            found = "refused";
        } else {
            struct render_options options = render_defaults();
            options.working = false;
            const char *answer = solved_json(&s, &options);
            const struct json *is = read_text(arena, answer, strlen(answer));
            found = difference(arena, json_member(is, "answer"), json_member(one, "answer"), "");
            if (!found)
                found =
                    difference_of_notes(arena, json_member(is, "notes"), json_member(one, "notes"));
            if (!found && !recompute_all(&s.work, fault, sizeof fault))
                found = fault;
        }
        if (found)
            print_error("%s\n    %s\n", found, buf_text(&request));
        failed += found != NULL;
        solved_free(&s);
    }
    arena_free(arena);
    assert_true(count > 0);
    assert_int_equal(failed, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_whole_answers)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
