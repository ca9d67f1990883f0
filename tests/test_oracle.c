/* test_oracle.c: numbers and working against arithmetic of its own (oracle/).
 *
 * Random exercises in every form of direction, unit and load: each node of the tape is worked again
 * from its operands; the text working is parsed back and worked again, in both notations and with
 * other figures; the answer's JSON carries the same numbers. ORACLE_EXERCISES (default 150),
 * ORACLE_SEED. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include <cmocka.h>

#include "oracle/exercise.h"
#include "oracle/reader.h"
#include "oracle/recompute.h"
#include "oracle/solve.h"

#define REFUSED_IN_A_HUNDRED 2

static long environment(const char *name, long otherwise)
{
    const char *text = getenv(name);
    return text && *text ? strtol(text, NULL, 10) : otherwise;
}

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

static void on_random_exercises(bool (*check)(struct solved *, int turn, char *text, size_t))
{
    struct draw d = {seed};
    long exercises = environment("ORACLE_EXERCISES", 150), refused = 0, failed = 0;
    for (int i = 0; i < exercises; i++) {
        struct exercise e;
        char request[8192], text[1400] = "";
        exercise_draw_any(&d, &e);
        exercise_write(&e, "", request, sizeof request);
        struct solved s;
        if (solve(&s, exercise_path(&e), request) != PROBLEM_NONE) {
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
    on_random_exercises(recomputes);
}

static void test_working_is_read_back(void **state)
{
    (void)state;
    on_random_exercises(reads);
    printf("# ORACLE_SEED=%llu: %ld lines, %ld formulas, %ld substitutions, %ld values\n",
           (unsigned long long)seed, total.lines, total.formulas, total.substitutions,
           total.values);
    assert_true(total.lines > 0 && total.substitutions > 0);
}

int main(void)
{
    seed = (uint64_t)environment("ORACLE_SEED", (long)time(NULL));
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nodes_are_worked_again),
        cmocka_unit_test(test_working_is_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
