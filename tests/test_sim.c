/* test_sim.c: honest hand-rounded answers against the allowance of each number.
 *
 * A simulated student (sim/student.c, arithmetic of its own) works random resultants to three
 * figures and angles to 0.1 degrees; not one answer may lie outside the allowance in the key.
 * (Where the key itself calls a number ill-conditioned for hand work, a divisor that nearly
 * vanishes, those outside are counted apart.) Beside it stands how wide the allowance is, and what
 * flat rules of 1 % and 2 % would have refused. SIM_ANSWERS (default 10000) and SIM_SEED; `make
 * sim` is the long run. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>
#include <math.h>

#include "oracle/solve.h"
#include "share.h"
#include "sim/student.h"

#define STUDENTS 4 /* work each exercise, with habits of their own */

struct tally { /* of one quantity */
    long answers, outside, refused_by_one, refused_by_two;
    long sensitive; /* outside, of a number that the key calls ill-conditioned for hand work */
    double closest; /* largest error over allowance */
    double
        *width; /* allowance over R, over the largest moment term, over the arm's scale; degrees */
    long widths, capacity;
};

static void add_width(struct tally *t, double width)
{
    if (t->widths == t->capacity) {
        t->capacity = t->capacity ? 2 * t->capacity : 1024;
        t->width = realloc(t->width, (size_t)t->capacity * sizeof *t->width);
        assert_non_null(t->width);
    }
    t->width[t->widths++] = width;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double share(struct tally *t, double of)
{
    if (t->widths == 0)
        return 0;
    return t->width[(long)(of * (double)(t->widths - 1))];
}

static const struct key_entry *entry_of(const struct key_entry *key, uint32_t count, const char *of)
{
    for (uint32_t i = 0; i < count; i++)
        if (strcmp(key[i].of, of) == 0)
            return &key[i];
    return NULL;
}

static void mark(const struct exercise *e, const char *request, const struct habits *habits,
                 const struct written *written, const struct key_entry *entry, double truth,
                 struct tally *tally)
{
    struct tally *t = &tally[written->quantity];
    double error = written->value - truth;
    if (written->quantity == QUANTITY_ANGLE)
        error = remainder(error, 360);
    error = fabs(error);
    t->answers++;
    t->refused_by_one += error > 0.01 * fabs(truth);
    t->refused_by_two += error > 0.02 * fabs(truth);
    if (entry->is_sensitive) {
        t->sensitive += error > entry->allowance * (1 + 1e-9);
        return;
    }
    t->closest = fmax(t->closest, error / entry->allowance);
    if (error > entry->allowance * (1 + 1e-9)) {
        char habit[160];
        habits_say(habits, habit, sizeof habit);
        if (t->outside++ < 3)
            printf("# outside: %s is %.6g, handed in %.6g, allowance %.3g (%s%d forces)\n#   %s\n",
                   entry->of, truth, written->value, entry->allowance, habit, e->count, request);
    }
}

static void test_honest_answers_are_inside(void **state)
{
    (void)state;
    long wanted = environment("SIM_ANSWERS", 10000), answers = 0, refused = 0, exercises = 0,
         missing = 0;
    uint64_t seed = (uint64_t)environment("SIM_SEED", (long)time(NULL));
    printf("# SIM_SEED=%llu SIM_ANSWERS=%ld\n", (unsigned long long)seed, wanted);
    struct draw d = {seed};
    struct tally tally[2][QUANTITY_MAX_];
    memset(tally, 0, sizeof tally);
    while (answers < wanted) {
        struct exercise e;
        char request[8192];
        bool space = draw_one_in(&d, 2), placed = draw_one_in(&d, 2);
        exercise_draw(&d, space, placed, &e);
        exercise_write(&e, ", \"key\": true", request, sizeof request);
        struct solved s;
        exercises++;
        if (solve(&s, exercise_path(&e), request) != PROBLEM_NONE) {
            refused++;
            printf("# refused: %s\n#   %s\n", s.problem.detail, request);
            solved_free(&s);
            assert_true(refused < 3 + exercises / 100);
            continue;
        }
        uint32_t count;
        const struct key_entry *key = work_key(&s.work, &count);
        for (int i = 0; i < STUDENTS; i++) {
            struct habits habits;
            struct written written[WRITTEN_MAX];
            habits_draw(&d, &habits);
            int handed = student_work(&e, &habits, written);
            for (int k = 0; k < handed; k++) {
                const struct key_entry *entry = entry_of(key, count, written[k].of);
                if (!entry) {
                    printf("# not in the key: %s\n#   %s\n", written[k].of, request);
                    missing++;
                    continue;
                }
                mark(&e, request, &habits, &written[k], entry, q_value(&s.work, entry->number),
                     tally[space]);
                answers++;
            }
        }
        const struct key_entry *r = entry_of(key, count, "/resultant/magnitude");
        assert_non_null(r);
        for (uint32_t i = 0; i < count; i++) {
            double size = q_value(&s.work, r->number);
            if (strncmp(key[i].of, "/resultant/components", 21) == 0)
                add_width(&tally[space][QUANTITY_COMPONENT], key[i].allowance / size);
            else if (&key[i] == r)
                add_width(&tally[space][QUANTITY_MAGNITUDE], key[i].allowance / size);
            else if (strncmp(key[i].of, "/resultant/direction", 20) == 0)
                add_width(&tally[space][QUANTITY_ANGLE], key[i].allowance);
            else if (strncmp(key[i].of, "/equivalent/couple", 18) == 0)
                add_width(&tally[space][QUANTITY_MOMENT],
                          key[i].allowance / fabs(q_value(&s.work, key[i].number)));
            else if (strncmp(key[i].of, "/unit_vector", 12) == 0)
                add_width(&tally[space][QUANTITY_UNIT], key[i].allowance);
            else if (strncmp(key[i].of, "/line_of_action/", 16) == 0 && key[i].of[17] == '_')
                add_width(&tally[space][QUANTITY_INTERCEPT],
                          key[i].allowance / fabs(q_value(&s.work, key[i].number)));
            else if (strcmp(key[i].of, "/equivalent/arm") == 0)
                add_width(&tally[space][QUANTITY_ARM],
                          key[i].allowance / fabs(q_value(&s.work, key[i].number)));
        }
        solved_free(&s);
    }
    static const char *const name[QUANTITY_MAX_] = {
        "component", "magnitude", "angle", "moment", "arm", "intercept", "unit vector"};
    static const char *const measure[QUANTITY_MAX_] = {
        "% of R", "% of R", "degrees", "% of itself", "% of itself", "% of itself", "% of 1"};
    long outside = 0;
    printf("# %ld answers to %ld exercises\n", answers, exercises);
    printf("# %-17s %8s %8s %8s %8s   %-24s %s\n", "", "answers", "outside", "ill-cond", "closest",
           "allowance median, 95th", "refused by a flat 1 %, 2 %");
    for (int space = 0; space < 2; space++) {
        for (int k = 0; k < QUANTITY_MAX_; k++) {
            struct tally *t = &tally[space][k];
            if (t->answers == 0)
                continue;
            if (t->widths)
                qsort(t->width, (size_t)t->widths, sizeof *t->width, by_size);
            double scale = k == QUANTITY_ANGLE ? 1 : 100;
            printf("# %-6s%-11s %8ld %8ld %8ld %7.0f%%   %5.2f %6.2f %-11s %5.2f %%  %5.2f %%\n",
                   space ? "space" : "plane", name[k], t->answers, t->outside, t->sensitive,
                   100 * t->closest, scale * share(t, 0.5), scale * share(t, 0.95), measure[k],
                   100 * (double)t->refused_by_one / (double)t->answers,
                   100 * (double)t->refused_by_two / (double)t->answers);
            outside += t->outside;
        }
    }
    fflush(stdout);
    for (int space = 0; space < 2; space++)
        for (int k = 0; k < QUANTITY_MAX_; k++)
            free(tally[space][k].width);
    assert_int_equal(missing, 0);
    assert_int_equal(outside, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_honest_answers_are_inside)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
