/* test_check_fair.c: honest work is not marked wrong, in whatever form it is typed.
 *
 * Simulated students (sim/student.c, sim/cables.c) work random resultants and loads on two or three
 * cables to three or four figures; their answers are handed in as classes, each number in a form
 * that is drawn: a JSON number, a text with decimal comma or Unicode minus, in e notation, as a
 * fraction or product, in another unit, an angle from another half-axis or modulo a turn. No item
 * may be incorrect (where the key calls a number ill-conditioned for work by hand they are counted
 * apart), and the tally must be the sum of the answers one by one. CHECK_FAIR (answers, default
 * 4000; the long run 100000) and SIM_SEED. */
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

#include "marked.h"
#include "oracle/solve.h"
#include "share.h"
#include "sim/cables.h"
#include "text.h"

#define STUDENTS 4

/* ---- numbers in many forms ---- */

static void put_with(struct text *t, double x, const char *comma, const char *minus)
{
    char plain[40];
    snprintf(plain, sizeof plain, "%.10g", fabs(x));
    put(t, "%s", x < 0 ? minus : "");
    for (const char *c = plain; *c; c++)
        if (*c == '.')
            put(t, "%s", comma);
        else
            put(t, "%c", *c);
}

/* `unit` is that of the problem, `other` = 1000 of it or NULL. */
static void put_number(struct draw *d, struct text *t, double x, const char *unit,
                       const char *other)
{
    switch (draw_int(d, 0, 7)) {
    case 0:
        put(t, "\"");
        put_with(t, x, ",", "\xe2\x88\x92");
        put(t, "\"");
        return;
    case 1:
        put(t, "\"%.9e\"", x);
        return;
    case 2:
        put(t, "\"%s1/4*", x < 0 ? "-" : "");
        put_with(t, fabs(4 * x), ".", "");
        put(t, "\"");
        return;
    case 3:
        put(t, "\" ");
        put_with(t, x, ".", "-");
        put(t, " %s \"", unit);
        return;
    case 4:
        if (!other)
            break;
        put(t, "{\"value\": ");
        put_with(t, x / 1000, ".", "-");
        put(t, ", \"unit\": \"%s\"}", other);
        return;
    case 5:
        if (x < 0)
            break;
        put(t, "\"3*");
        put_with(t, x / 3, ",", "");
        put(t, "\"");
        return;
    default:
        break;
    }
    put(t, "%.10g", x);
}

static const char *thousand(const char *force)
{
    return strcmp(force, "N") == 0 ? "kN" : strcmp(force, "lb") == 0 ? "kip" : NULL;
}

/* The angle from +x as such, from another half-axis, clockwise, or with a turn more. */
static void put_direction(struct draw *d, struct text *t, double angle)
{
    switch (draw_int(d, 0, 3)) {
    case 0:
        put(t, "{\"angle\": %.10g}", angle - 360);
        return;
    case 1:
        put(t, "{\"angle\": %.10g, \"turn\": \"clockwise\"}", 360 - angle);
        return;
    case 2:
        put(t, "{\"angle\": \"%.10g°\", \"from\": \"-y\"}", angle - 270);
        return;
    default:
        put(t, "{\"angle\": %.10g}", angle);
        return;
    }
}

/* ---- an answer ---- */

static const struct written *find(const struct written *w, int count, const char *of)
{
    for (int i = 0; i < count; i++)
        if (strcmp(w[i].of, of) == 0)
            return &w[i];
    return NULL;
}

struct answer_text {
    struct draw *d;
    const struct exercise *e;
    const struct written *written;
    int count;
    struct text text;
    bool is_first;
};

static double value_at(const struct answer_text *a, const char *of)
{
    const struct written *w = find(a->written, a->count, of);
    assert_non_null(w);
    return w ? w->value : HUGE_VAL;
}

static void put_member(struct answer_text *a, const char *name)
{
    put(&a->text, "%s\"%s\": ", a->is_first ? "" : ", ", name);
    a->is_first = false;
}

static void put_vector(struct answer_text *a, const char *name, const char *of, const char *unit,
                       const char *other)
{
    char path[96];
    snprintf(path, sizeof path, "%s/0", of);
    if (!find(a->written, a->count, path))
        return;
    put_member(a, name);
    for (int k = 0; k < (a->e->space ? 3 : 2); k++) {
        snprintf(path, sizeof path, "%s/%d", of, k);
        put(&a->text, "%s", k ? ", " : "[");
        put_number(a->d, &a->text, value_at(a, path), unit, other);
    }
    put(&a->text, "]");
}

static void put_scalar(struct answer_text *a, const char *name, const char *of, const char *unit,
                       const char *other)
{
    if (!find(a->written, a->count, of))
        return;
    put_member(a, name);
    put_number(a->d, &a->text, value_at(a, of), unit, other);
}

static void put_resultant(struct answer_text *a)
{
    const char *unit = a->e->force_unit, *other = thousand(unit);
    put_member(a, "resultant");
    put(&a->text, "{");
    a->is_first = true;
    put_vector(a, "components", "/resultant/components", unit, other);
    put_scalar(a, "magnitude", "/resultant/magnitude", unit, other);
    if (find(a->written, a->count, "/resultant/direction/angle")) {
        put_member(a, "direction");
        put_direction(a->d, &a->text, value_at(a, "/resultant/direction/angle"));
    } else if (find(a->written, a->count, "/resultant/direction/direction_angles/gamma") &&
               find(a->written, a->count, "/resultant/direction/direction_angles/beta") &&
               find(a->written, a->count, "/resultant/direction/direction_angles/alpha")) {
        put_member(a, "direction");
        put(&a->text,
            "{\"direction_angles\": {\"alpha\": %.10g, \"beta\": %.10g, \"gamma\": %.10g}}",
            value_at(a, "/resultant/direction/direction_angles/alpha"),
            value_at(a, "/resultant/direction/direction_angles/beta"),
            value_at(a, "/resultant/direction/direction_angles/gamma"));
    }
    put(&a->text, "}");
    a->is_first = false;
}

static void put_equivalent(struct answer_text *a)
{
    char moment[32];
    const char *length = a->e->length_unit;
    snprintf(moment, sizeof moment, "%s*%s", a->e->force_unit, length);
    put_member(a, "equivalent");
    put(&a->text, "{");
    a->is_first = true;
    if (a->e->space)
        put_vector(a, "couple", "/equivalent/couple", moment, NULL);
    else
        put_scalar(a, "couple", "/equivalent/couple", moment, NULL);
    put_scalar(a, "couple_magnitude", "/equivalent/couple_magnitude", moment, NULL);
    put_scalar(a, "arm", "/equivalent/arm", length, NULL);
    put(&a->text, "}");
    a->is_first = false;
    if (a->e->space)
        return;
    put_member(a, "line_of_action");
    put(&a->text, "{");
    a->is_first = true;
    put_scalar(a, "x_intercept", "/line_of_action/x_intercept", length, NULL);
    put_scalar(a, "y_intercept", "/line_of_action/y_intercept", length, NULL);
    put(&a->text, "}");
    a->is_first = false;
}

static void write_answer(struct draw *d, const struct exercise *e, const struct written *written,
                         int count, struct text *text)
{
    struct answer_text a = {d, e, written, count, *text, true};
    put(&a.text, "{");
    put_resultant(&a);
    put_vector(&a, "unit_vector", "/unit_vector", "", NULL);
    put_scalar(&a, "azimuth", "/azimuth", "deg", NULL);
    put_scalar(&a, "elevation", "/elevation", "deg", NULL);
    if (e->placed)
        put_equivalent(&a);
    put(&a.text, "}");
    *text = a.text;
}

/* ---- the class ---- */

static bool is_sensitive(const struct key_entry *key, uint32_t count, const char *of)
{
    size_t length = strlen(of);
    for (uint32_t i = 0; i < count; i++)
        if (strncmp(key[i].of, of, length) == 0 && key[i].is_sensitive)
            return true;
    return false;
}

struct sums {
    long items, incorrect, follows, sensitive, exercises;
};

static void count_items(const struct value *answer, const struct key_entry *key, uint32_t keys,
                        struct sums *sums, const char *request)
{
    for (const struct value *item = present(answer, "items")->child; item; item = item->next) {
        const char *of = present(item, "of")->text, *verdict = present(item, "verdict")->text;
        sums->items++;
        if (strcmp(verdict, "correct") == 0)
            continue;
        if (is_sensitive(key, keys, of)) {
            sums->sensitive++;
            continue;
        }
        if (strcmp(verdict, "follows") == 0)
            sums->follows++;
        if (sums->incorrect++ < 3)
            printf("# %s is %s\n#   %s\n", of, verdict, request);
    }
}

static long tallied(const struct value *tally, const char *key)
{
    long sum = 0;
    for (const struct value *item = present(tally, "items")->child; item; item = item->next)
        sum += present(item, key)->count;
    return sum;
}

/* The answers of a class to `problem`, which begins after its brace with a kind. */
static void check_class(const char *path, const char *problem, const char *request,
                        struct sums *sums)
{
    struct solved s, k;
    if (solve(&k, path, problem) != PROBLEM_NONE) {
        solved_free(&k);
        return;
    }
    if (solve(&s, "/v1/check", request) != PROBLEM_NONE)
        fail_msg("%s\n%s", s.problem.detail, request);
    uint32_t keys;
    const struct key_entry *key = work_key(&k.work, &keys);
    long before = sums->items;
    for (const struct value *a = present(s.work.answer, "answers")->child; a; a = a->next)
        count_items(a, key, keys, sums, request);
    const struct value *tally = member(s.work.answer, "tally");
    assert_int_equal(tallied(tally, "correct") + tallied(tally, "follows") +
                         tallied(tally, "incorrect") + tallied(tally, "missing"),
                     sums->items - before);
    sums->exercises++;
    solved_free(&s);
    solved_free(&k);
}

static void one_exercise(struct draw *d, struct sums *sums)
{
    static char problem[8192], request[65536];
    struct exercise e;
    exercise_draw(d, draw_one_in(d, 2), draw_one_in(d, 2), &e);
    exercise_write(&e, ", \"key\": true", problem, sizeof problem);
    struct text t = {request, request + sizeof request};
    put(&t, "{\"problem\": {\"kind\": \"resultant\", %s, \"answers\": [", problem + 1);
    for (int i = 0; i < STUDENTS; i++) {
        struct habits habits;
        struct written written[WRITTEN_MAX];
        habits_draw(d, &habits);
        int count = student_work(&e, &habits, written);
        put(&t, "%s", i ? ", " : "");
        write_answer(d, &e, written, count, &t);
    }
    put(&t, "]}");
    check_class(exercise_path(&e), problem, request, sums);
}

static void one_hanging(struct draw *d, struct sums *sums)
{
    static char problem[8192], request[65536];
    struct hanging h;
    hanging_draw(d, &h);
    hanging_write(&h, problem, sizeof problem);
    struct text t = {request, request + sizeof request};
    put(&t, "{\"problem\": {\"kind\": \"equilibrium\", %s, \"answers\": [", problem + 1);
    for (int i = 0; i < STUDENTS; i++) {
        struct cable_habits habits;
        struct written written[WRITTEN_MAX];
        cable_habits_draw(d, &h, &habits);
        int count = cables_work(&h, &habits, written);
        struct answer_text a = {d,    &(struct exercise){.space = h.axes == 3}, written, count, t,
                                false};
        put(&a.text, "%s{\"unknowns\": [", i ? ", " : "");
        for (int k = 1; k <= h.axes; k++) {
            char of[64];
            put(&a.text, "%s{\"name\": \"T%d\", \"parts\": [{\"symbol\": \"T%d\", \"value\": ",
                k > 1 ? ", " : "", k, k);
            snprintf(of, sizeof of, "/unknowns/T%d/parts/T%d/value", k, k);
            put_number(d, &a.text, value_at(&a, of), "N", "kN");
            put(&a.text, "}], \"force\": {");
            a.is_first = true;
            snprintf(of, sizeof of, "/unknowns/T%d/force/components", k);
            put_vector(&a, "components", of, "N", "kN");
            snprintf(of, sizeof of, "/unknowns/T%d/force/magnitude", k);
            put_scalar(&a, "magnitude", of, "N", "kN");
            put(&a.text, "}}");
        }
        put(&a.text, "]}");
        t = a.text;
    }
    put(&t, "]}");
    check_class("/v1/equilibrium", problem, request, sums);
}

static void test_honest_work_is_right(void **state)
{
    (void)state;
    long wanted = environment("CHECK_FAIR", 4000);
    uint64_t seed = (uint64_t)environment("SIM_SEED", (long)time(NULL));
    printf("# SIM_SEED=%llu CHECK_FAIR=%ld\n", (unsigned long long)seed, wanted);
    struct draw d = {seed};
    struct sums sums = {0};
    while (sums.items < wanted)
        if (draw_one_in(&d, 3))
            one_hanging(&d, &sums);
        else
            one_exercise(&d, &sums);
    printf("# %ld numbers in %ld exercises: %ld not right; %ld more that the key calls "
           "ill-conditioned\n",
           sums.items, sums.exercises, sums.incorrect, sums.sensitive);
    fflush(stdout);
    assert_int_equal(sums.incorrect, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_honest_work_is_right)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
