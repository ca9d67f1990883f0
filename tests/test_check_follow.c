/* test_check_follow.c: what follows from a student's own number earns its mark, and nothing else.
 *
 * Students write one wrong number and carry it on with three figures on every line
 * (sim/carried.c, arithmetic of their own): all marks but one are theirs, whatever order they work
 * in. Others spoil the last of what follows, or guess everything. CHECK_SIM (students a kind,
 * default 40) and SIM_SEED. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "check.h"
#include "marked.h"

#include "oracle/solve.h"
#include "share.h"
#include "sim/carried.h"

static char request[20000];

static void check(struct solved *s, const struct carried *c)
{
    static char answer[8000];
    carried_answer(c, answer, sizeof answer);
    snprintf(request, sizeof request, "{\"problem\": %s, \"answer\": %s}", c->problem, answer);
    if (solve(s, "/v1/check", request) != PROBLEM_NONE)
        fail_msg("%s: %s\n%s", s->problem.detail,
                 s->problem.fault_count ? s->problem.faults[0].detail : "", request);
    const struct value *score = present(s->work.answer, "score");
    assert_int_equal(present(score, "maximum")->count, c->count);
}

static int marks_of(const struct solved *s)
{
    return present(present(s->work.answer, "score"), "given")->count;
}

static bool is_verdict(const struct solved *s, int i, const char *verdict)
{
    const struct value *item = present(s->work.answer, "items")->child;
    for (; i > 0; i--)
        item = item->next;
    return strcmp(present(item, "verdict")->text, verdict) == 0;
}

struct figures {
    long students, followed, too_few, too_many;
    long spoilt, refused;
    long random, random_followed; /* numbers */
};

static void show(struct solved *s, const struct carried *c, const char *what)
{
    struct render_options options = render_defaults();
    options.working = false;
    printf("# %s (%s; number %d is wrong): %s\n#   %s\n", c->name, what, c->wrong, request,
           solved_json(s, &options));
}

static void carry_on(const struct carried *c, struct figures *f)
{
    struct solved s;
    check(&s, c);
    int off = marks_of(&s) - (c->count - 1);
    f->students++;
    f->followed += off == 0;
    f->too_few += off < 0;
    f->too_many += off > 0;
    if ((off < 0 && f->too_few == 1) || (off > 0 && f->too_many == 1))
        show(&s, c, "carried on");
    solved_free(&s);
}

/* The last number does not follow; it may be right by chance. */
static void spoil(struct draw *d, struct carried c, struct figures *f)
{
    struct solved s;
    double right = c.last < 0 ? 0.0 : c.number[c.last];
    if (fabs(right) < 1e-9)
        return;
    bool is_angle = c.kind == CARRIED_POLAR && c.last == 3;
    c.number[c.last] =
        is_angle ? fmod(right + draw_decimal(d, 20, 340, 1), 360) : right * carried_factor(d);
    check(&s, &c);
    if (!is_verdict(&s, c.last, "correct")) {
        bool is_refused = marks_of(&s) <= c.count - 2;
        f->spoilt++;
        f->refused += is_refused;
        if (!is_refused && f->spoilt - f->refused == 1)
            show(&s, &c, "the last is spoilt");
    }
    solved_free(&s);
}

/* Nothing fits anything. */
static void guess(struct draw *d, struct carried c, struct figures *f)
{
    struct solved s;
    for (int i = 0; i < c.count; i++)
        c.number[i] = (fabs(c.number[i]) + 5) * draw_decimal(d, -2, 2, 3);
    check(&s, &c);
    for (int i = 0; i < c.count; i++) {
        f->random++;
        f->random_followed += is_verdict(&s, i, "follows");
    }
    solved_free(&s);
}

static void test_what_follows_earns_its_mark(void **state)
{
    uint64_t seed = (uint64_t)environment("SIM_SEED", (long)time(NULL));
    long wanted = environment("CHECK_SIM", 40);
    struct draw d = {seed};
    (void)state;
    printf("# SIM_SEED=%llu CHECK_SIM=%ld\n", (unsigned long long)seed, wanted);
    printf("# %-40s %9s %8s %8s | %s | %s\n", "one wrong, the rest follows", "all marks", "too few",
           "too many", "the last spoilt: refused", "random: follows");
    bool holds = true;
    for (int kind = 0; kind < CARRIED_MAX_; kind++) {
        struct figures f = {0};
        static struct carried c;
        while (f.students < wanted) {
            carried_draw(&d, (enum carried_kind)kind, &c);
            carry_on(&c, &f);
            spoil(&d, c, &f);
            guess(&d, c, &f);
        }
        printf("# %-40s %8.1f%% %7.1f%% %7.1f%% | %23.1f%% | %5.2f%%\n", c.name,
               100 * of(f.followed, f.students), 100 * of(f.too_few, f.students),
               100 * of(f.too_many, f.students), 100 * of(f.refused, f.spoilt),
               100 * of(f.random_followed, f.random));
        bool is_kept = !is_above(of(f.too_few, f.students), 0.01, f.students) &&
                       !is_above(of(f.too_many, f.students), 0.01, f.students) &&
                       !is_above(1 - of(f.refused, f.spoilt), 0.05, f.spoilt) &&
                       !is_above(of(f.random_followed, f.random), 0.02, f.random);
        if (!is_kept)
            printf("# %s misses its bounds\n", c.name);
        holds = holds && is_kept;
    }
    fflush(stdout);
    assert_true(holds);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_what_follows_earns_its_mark)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
