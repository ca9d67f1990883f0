/* test_trusses_sim.c: honest hand-rounded member forces of long trusses against their allowances.
 *
 * A simulated student (sim/long_truss.c, arithmetic of its own) works trusses of 4 to 24 panels,
 * half of them of 20, to three figures. From either end to the middle, or by sections, not one
 * force may lie outside its allowance. Straight through to the far end is a long way round: there a
 * force may be outside, but POST /v1/check has to see that it follows from the student's own
 * forces. (It takes those that are still right in full, so that where they drift off slowly the
 * first that is outside may be missed: of all forces one in a hundred at most.) An allowance is at
 * most WIDEST of the largest force, whatever the length. SIM_ANSWERS (default 2000) and SIM_SEED;
 * `make sim` is the long run. */
#include "check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "marked.h"
#include "oracle/solve.h"
#include "sim/long_truss.h"

#define WIDEST 0.10 /* 5 %, and more only where the best way strays more */
#define STUDENTS 4  /* work each truss, with habits of their own */

struct tally { /* of one method */
    long answers, outside, follows, incorrect;
    double closest;         /* largest error over allowance */
    double of_largest, own; /* largest error, of the largest force and of the number itself */
};

static long environment(const char *name, long otherwise)
{
    const char *text = getenv(name);
    return text && *text ? strtol(text, NULL, 10) : otherwise;
}

static const struct key_entry *entry_of(const struct key_entry *key, uint32_t count, const char *of)
{
    for (uint32_t i = 0; i < count; i++)
        if (strcmp(key[i].of, of) == 0)
            return &key[i];
    static const struct key_entry none;
    fail_msg("%s is not in the key", of);
    return &none;
}

static bool is_straight(enum long_truss_method method)
{
    return method == FROM_LEFT || method == FROM_RIGHT;
}

static void mark(const struct long_truss *t, const struct long_truss_habits *h, const double *force,
                 const struct key_entry *const *entry, const double *truth, double largest,
                 struct tally *tally)
{
    for (int m = 0; m < t->members; m++) {
        if (isnan(force[m]))
            continue;
        double error = fabs(force[m] - truth[m]), allowance = entry[m]->allowance;
        tally->answers++;
        tally->of_largest = fmax(tally->of_largest, error / largest);
        if (truth[m] != 0)
            tally->own = fmax(tally->own, error / fabs(truth[m]));
        tally->closest = fmax(tally->closest, error > 0 ? error / allowance : 0);
        if (error <= allowance * (1 + 1e-9))
            continue;
        if (tally->outside++ < 3 && !is_straight(h->method)) {
            static char request[32768];
            char habit[160];
            long_truss_habits_say(h, habit, sizeof habit);
            long_truss_write(t, request, sizeof request);
            printf("# outside: %s is %.6g, handed in %.6g, allowance %.3g (%s)\n#   {%s}\n",
                   entry[m]->of, truth[m], force[m], allowance, habit, request);
        }
    }
}

/* Straight through to the far end: what is outside has to follow from the student's own forces. */
static void check_follows(const struct long_truss *t, const double *force, struct tally *tally)
{
    static char request[65536];
    struct solved s;
    size_t n = (size_t)snprintf(request, sizeof request, "{\"problem\": {\"kind\": \"truss\", ");
    long_truss_write(t, request + n, sizeof request - n);
    n += strlen(request + n);
    n += (size_t)snprintf(request + n, sizeof request - n, "}, \"answer\": {\"members\": [");
    for (int m = 0; m < t->members; m++)
        n += (size_t)snprintf(request + n, sizeof request - n,
                              "%s{\"name\": \"%s-%s\", \"force\": %.10g}", m ? ", " : "",
                              t->name[t->member[m][0]], t->name[t->member[m][1]], force[m]);
    snprintf(request + n, sizeof request - n, "]}}");
    if (solve(&s, "/v1/check", request) != PROBLEM_NONE)
        fail_msg("%s\n%s", s.problem.detail, request);
    for (const struct value *item = present(s.work.answer, "items")->child; item;
         item = item->next) {
        const char *verdict = present(item, "verdict")->text;
        tally->follows += strcmp(verdict, "follows") == 0;
        if (strcmp(verdict, "incorrect") == 0 && tally->incorrect++ < 3)
            printf("# %s is incorrect\n", present(item, "of")->text);
    }
    solved_free(&s);
}

static void test_honest_forces_are_inside(void **state)
{
    (void)state;
    long wanted = environment("SIM_ANSWERS", 2000), answers = 0, problems = 0;
    uint64_t seed = (uint64_t)environment("SIM_SEED", (long)time(NULL));
    printf("# SIM_SEED=%llu SIM_ANSWERS=%ld\n", (unsigned long long)seed, wanted);
    struct draw d = {seed};
    struct tally tally[LONG_TRUSS_METHOD_MAX_];
    double widest = 0;
    memset(tally, 0, sizeof tally);
    for (; answers < wanted; problems++) {
        static char request[32768];
        static struct long_truss t;
        const struct key_entry *entry[LONG_MEMBERS_MAX];
        double truth[LONG_MEMBERS_MAX], largest = 0;
        struct solved s;
        uint32_t count;
        long_truss_draw(&d, draw_one_in(&d, 2) ? 20 : draw_int(&d, 4, PANELS_MAX), &t);
        request[0] = '{';
        long_truss_write(&t, request + 1, sizeof request - 1);
        strcat(request, ", \"key\": true}");
        if (solve(&s, "/v1/truss", request) != PROBLEM_NONE)
            fail_msg("%s\n%s", s.problem.detail, request);
        const struct key_entry *key = work_key(&s.work, &count);
        for (int m = 0; m < t.members; m++) {
            char of[40];
            snprintf(of, sizeof of, "/members/%s-%s/force", t.name[t.member[m][0]],
                     t.name[t.member[m][1]]);
            entry[m] = entry_of(key, count, of);
            truth[m] = q_value(&s.work, entry[m]->number);
            largest = fmax(largest, fabs(truth[m]));
        }
        for (int m = 0; m < t.members; m++)
            widest = fmax(widest, entry[m]->allowance / largest);
        for (int student = 0; student < STUDENTS; student++) {
            struct long_truss_habits habits;
            double force[LONG_MEMBERS_MAX];
            long_truss_habits_draw(&d, &habits);
            long_truss_work(&t, &habits, force);
            struct tally *of_method = &tally[habits.method];
            long before = of_method->answers, outside = of_method->outside;
            mark(&t, &habits, force, entry, truth, largest, of_method);
            answers += of_method->answers - before;
            if (of_method->outside > outside && is_straight(habits.method))
                check_follows(&t, force, of_method);
        }
        solved_free(&s);
    }
    static const char *const method[LONG_TRUSS_METHOD_MAX_] = {"from both ends", "from the left",
                                                               "from the right", "by sections"};
    printf("# %ld forces in %ld trusses; widest allowance %.2f %% of the largest force\n", answers,
           problems, 100 * widest);
    for (int k = 0; k < LONG_TRUSS_METHOD_MAX_; k++)
        printf("# %-15s %8ld forces, %ld outside (%ld follow, %ld incorrect), closest %.0f %% of "
               "its allowance; farthest off "
               "%.2f %% of the largest force, %.1f %% of itself\n",
               method[k], tally[k].answers, tally[k].outside, tally[k].follows, tally[k].incorrect,
               100 * tally[k].closest, 100 * tally[k].of_largest, 100 * tally[k].own);
    fflush(stdout);
    assert_int_equal(tally[FROM_BOTH_ENDS].outside, 0);
    assert_int_equal(tally[BY_SECTIONS].outside, 0);
    assert_true(tally[FROM_BOTH_ENDS].answers > 0 && tally[BY_SECTIONS].answers > 0);
    assert_true(widest <= WIDEST);
    /* One student's forces go wrong together: about 10 in a truss, 0.5 % of all. */
    for (int k = FROM_LEFT; k <= FROM_RIGHT; k++)
        assert_true(tally[k].incorrect <= 10 + tally[k].answers / 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_honest_forces_are_inside)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
