/* test_oracle.c: numbers and working against arithmetic of its own (oracle/).
 *
 * The published cases (tests/cases), random exercises in every form of direction, unit and load,
 * and random particles, bodies and trusses: each node of the tape is worked again from its
 * operands; the text working is parsed back and worked again, in both notations and with other
 * figures; the answer's JSON carries the same numbers. ORACLE_EXERCISES (default 500), ORACLE_SEED.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>
#include <dirent.h>

#include "base/limits.h"
#include "endpoints/endpoint.h"
#include "oracle/exercise.h"
#include "oracle/reader.h"
#include "oracle/recompute.h"
#include "oracle/solve.h"
#include "oracle/structure.h"
#include "share.h"
#include "json/json.h"

#define REFUSED_IN_A_HUNDRED 2

static struct reading total;
static uint64_t seed;

/* Both notations; three figures, then four after a one, five, and one. */
static bool read_back(struct solved *s, int turn)
{
    static const int figures[] = {3, 3, 5, 4};
    struct render_options options = render_defaults();
    options.working = true;
    options.figures = figures[turn % 4];
    options.one_more_after_one = turn % 4 == 1;
    for (int notation = 0; notation < NOTATION_MAX_; notation++) {
        options.notation = (enum notation)notation;
        if (!reading_check(&s->work, &options, &total))
            return false;
    }
    return reading_check_json(&s->work, solved_json(s, &options), &total);
}

static const char *draw_exercise(struct draw *d, char *text, size_t capacity)
{
    struct exercise e;
    exercise_draw_any(d, &e);
    exercise_write(&e, "", text, capacity);
    return exercise_path(&e);
}

static void on_random(const char *(*draw)(struct draw *, char *, size_t),
                      bool (*check)(struct solved *, int turn, char *text, size_t))
{
    struct draw d = {seed};
    long exercises = environment("ORACLE_EXERCISES", 500), refused = 0, failed = 0;
    for (int i = 0; i < exercises; i++) {
        char request[8192], text[1400] = "";
        const char *path = draw(&d, request, sizeof request);
        struct solved s;
        if (solve(&s, path, request) != PROBLEM_NONE) {
            refused++;
            printf("# refused: %s: %s\n#   %s\n",
                   s.problem.faults_found ? s.problem.faults[0].pointer : "",
                   s.problem.faults_found ? s.problem.faults[0].detail : s.problem.detail, request);
        } else if (failed < 5 && !check(&s, i, text, sizeof text)) {
            print_error("ORACLE_SEED=%llu, exercise %d:\n%s\n%s\n", (unsigned long long)seed, i,
                        text, request);
            failed++;
        }
        solved_free(&s);
    }
    assert_int_equal(failed, 0);
    assert_true(refused * 100 <= exercises * REFUSED_IN_A_HUNDRED);
}

static bool recomputes(struct solved *s, int turn, char *text, size_t capacity)
{
    (void)turn;
    return recompute_all(&s->work, text, capacity);
}

static bool reads(struct solved *s, int turn, char *text, size_t capacity)
{
    bool agrees = read_back(s, turn);
    snprintf(text, capacity, "%s", total.fault);
    return agrees;
}

static void test_nodes_are_worked_again(void **state)
{
    (void)state;
    on_random(draw_exercise, recomputes);
    on_random(structure_draw, recomputes);
}

static void test_working_is_read_back(void **state)
{
    (void)state;
    on_random(draw_exercise, reads);
    on_random(structure_draw, reads);
    printf("# ORACLE_SEED=%llu: %ld lines, %ld formulas, %ld substitutions, %ld values\n",
           (unsigned long long)seed, total.lines, total.formulas, total.substitutions,
           total.values);
    assert_true(total.lines > 0 && total.substitutions > 0);
}

/* ---- the published cases ---- */

static const struct json *read_file(struct arena *arena, const char *path)
{
    static char bytes[1 << 20];
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t length = fread(bytes, 1, sizeof bytes, file);
    fclose(file);
    assert_true(length < sizeof bytes);
    const struct json *json = NULL;
    struct problem problem;
    problem_init(&problem, arena);
    struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    assert_int_equal(json_read(arena, bytes, length, &limits, &json, &problem), PROBLEM_NONE);
    return json;
}

/* 1 where number and working of the case agree. */
static int case_agrees(struct arena *arena, const struct endpoint *endpoint, const struct json *one,
                       int turn)
{
    struct buf request;
    struct solved s;
    char text[1400] = "";
    buf_init(&request, arena, LIMIT_BODY_BYTES);
    solve_put_json(&request, json_member(one, "request"));
    bool agrees = solve(&s, endpoint->path, buf_text(&request)) == PROBLEM_NONE;
    if (!agrees)
        snprintf(text, sizeof text, "%s",
                 s.problem.faults_found ? s.problem.faults[0].detail : s.problem.detail);
    agrees =
        agrees && recomputes(&s, turn, text, sizeof text) && reads(&s, turn, text, sizeof text);
    if (!agrees)
        print_error("case %s: %s\n", json_member(one, "id")->text, text);
    solved_free(&s);
    return agrees;
}

static void test_published_cases(void **state)
{
    (void)state;
    int cases = 0, agree = 0;
    for (const struct endpoint *e = endpoints; e->path; e++) {
        char folder[200], path[500];
        snprintf(folder, sizeof folder, "tests/cases/%s", e->kind);
        DIR *directory = opendir(folder);
        for (struct dirent *entry; directory && (entry = readdir(directory)) != NULL;) {
            if (!strstr(entry->d_name, ".json"))
                continue;
            struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
            snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
            const struct json *file = read_file(arena, path);
            for (const struct json *one = file->child; one; one = one->next, cases++)
                agree += case_agrees(arena, e, one, cases);
            arena_free(arena);
        }
        if (directory)
            closedir(directory);
    }
    printf("# %d published cases\n", cases);
    assert_true(cases > 0);
    assert_int_equal(agree, cases);
}

int main(void)
{
    seed = (uint64_t)environment("ORACLE_SEED", (long)time(NULL));
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_published_cases),
        cmocka_unit_test(test_nodes_are_worked_again),
        cmocka_unit_test(test_working_is_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
