/* test_cables_sim.c: honest hand-rounded answers to particles on two and three cables against the
 * allowance of each number.
 *
 * A simulated student (sim/cables.c, arithmetic of its own) works random problems to three figures
 * and angles to 0.1 degrees, in any order of elimination, by determinants or by the sine law; not
 * one answer may lie outside the allowance in the key. (Where the key itself calls a number
 * ill-conditioned for hand work, those outside are counted apart.) SIM_ANSWERS (default 20000) and
 * SIM_SEED; `make sim` is the long run. */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/limits.h"
#include "endpoints/rows.h"
#include "share.h"
#include "sim/cables.h"
#include "statics/statics.h"
#include "json/json.h"

#define STUDENTS 4 /* work each problem, with habits of their own */
#define FIELD_SEED 20261125

struct tally { /* of one quantity, in the plane or in space */
    long answers, outside, sensitive, refused_by_one, refused_by_two;
    double closest; /* largest error over allowance */
};

static const struct key_entry *entry_of(const struct key_entry *key, uint32_t count, const char *of)
{
    for (uint32_t i = 0; i < count; i++)
        if (strcmp(key[i].of, of) == 0)
            return &key[i];
    return NULL;
}

static void work_out(struct work *w, struct arena *arena, const struct field *field,
                     const char *request)
{
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    const struct json *root = NULL;
    struct equilibrium_input *input = NULL;
    struct problem p;
    problem_init(&p, arena);
    work_init(w, arena, field);
    if (json_read(arena, request, strlen(request), &limits, &root, &p) != PROBLEM_NONE ||
        decode_equilibrium(arena, root, &input, &p) != PROBLEM_NONE ||
        statics_equilibrium(w, input, &p) != PROBLEM_NONE)
        fail_msg("%s: %s", request, p.detail);
}

static void mark(const struct work *w, const struct written *written, const struct key_entry *entry,
                 const struct cable_habits *habits, const char *request, struct tally *t)
{
    double truth = q_value(w, entry->number), error = fabs(written->value - truth);
    t->answers++;
    t->refused_by_one += error > 0.01 * fabs(truth);
    t->refused_by_two += error > 0.02 * fabs(truth);
    if (entry->is_sensitive) {
        t->sensitive += error > entry->allowance * (1 + 1e-9);
        return;
    }
    if (entry->allowance > 0)
        t->closest = fmax(t->closest, error / entry->allowance);
    if (error <= entry->allowance * (1 + 1e-9))
        return;
    char habit[200];
    cable_habits_say(habits, habit, sizeof habit);
    if (t->outside++ < 3)
        printf("# outside: %s is %.6g, handed in %.6g, allowance %.3g (%s)\n#   %s\n", entry->of,
               truth, written->value, entry->allowance, habit, request);
}

static void test_honest_answers_are_inside(void **state)
{
    (void)state;
    long wanted = environment("SIM_ANSWERS", 20000), answers = 0, problems = 0;
    uint64_t seed = (uint64_t)environment("SIM_SEED", (long)time(NULL));
    printf("# SIM_SEED=%llu SIM_ANSWERS=%ld\n", (unsigned long long)seed, wanted);
    struct field *field = field_new(FIELD_SEED);
    struct draw d = {seed};
    struct tally tally[2][QUANTITY_MAX_];
    memset(tally, 0, sizeof tally);
    for (; answers < wanted; problems++) {
        struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
        struct hanging h;
        struct work w;
        char request[2048];
        uint32_t count;
        hanging_draw(&d, &h);
        hanging_write(&h, request, sizeof request);
        work_out(&w, arena, field, request);
        const struct key_entry *key = work_key(&w, &count);
        for (int student = 0; student < STUDENTS; student++) {
            struct cable_habits habits;
            struct written written[WRITTEN_MAX];
            cable_habits_draw(&d, &h, &habits);
            int handed_in = cables_work(&h, &habits, written);
            for (int i = 0; i < handed_in; i++) {
                const struct key_entry *entry = entry_of(key, count, written[i].of);
                if (entry == NULL) {
                    fail_msg("%s is not in the key: %s", written[i].of, request);
                    return;
                }
                mark(&w, &written[i], entry, &habits, request,
                     &tally[h.axes == 3][written[i].quantity]);
            }
            answers += handed_in;
        }
        arena_free(arena);
    }
    field_free(field);
    long outside = 0;
    printf("# %ld answers to %ld problems\n", answers, problems);
    for (int space = 0; space < 2; space++)
        for (int k = 0; k <= QUANTITY_MAGNITUDE; k++) {
            const struct tally *t = &tally[space][k];
            if (t->answers == 0)
                continue;
            printf("# %s %-10s %8ld answers, %ld outside, %ld ill-conditioned, closest %.0f %%; a "
                   "flat 1 %% refuses %.2f %%, 2 %% %.2f %%\n",
                   space ? "space" : "plane", k == QUANTITY_COMPONENT ? "components" : "tensions",
                   t->answers, t->outside, t->sensitive, 100 * t->closest,
                   100.0 * (double)t->refused_by_one / (double)t->answers,
                   100.0 * (double)t->refused_by_two / (double)t->answers);
            outside += t->outside;
        }
    fflush(stdout);
    assert_int_equal(outside, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_honest_answers_are_inside)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
