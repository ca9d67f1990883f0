/* test_check_sim.c: how mistakes are marked and named: the figures that docs/check.md prints.
 *
 * Students who each make one known mistake of the catalogue (sim/mistaken.c, sim/mistaken_held.c,
 * arithmetic of their own; every code as often as every other) hand in random exercises, to three
 * figures, half of them with every component and product written to three figures as well; and
 * random wrong answers are handed in. For each kind of question: what share of the mistakes is
 * marked right, of the rest what share is named rightly, is one of several, is left unnamed, is
 * named wrongly; what share of random wrong answers is named. CHECK_SIM (students a kind, default
 * 200) and SIM_SEED. */
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
#include "sim/mistaken.h"
#include "sim/mistaken_held.h"

struct kind {
    const char *name;
    bool textbook, space, placed, resolve;
    enum asks asks;
    const char *trade; /* the published collisions: as right; ambiguous; chance, in percent */
    double passes, named, wrong, chance; /* bounds; 0: none */
};

/* The published figures are of "textbook-like random problems, 1 % match, answers to 3 s.f.": so
 * are the first ones (exercise_draw_textbook). No variant is left out, also not one in which a
 * mistake changes the answer by less than 2 %, which a book would. The others are of any problem at
 * all: any angle from 0.1° on, forces along each other, moments that cancel. */
static const struct kind kinds[] = {
    {"one force, components", true, false, false, true, ASKS_COMPONENTS, "1; 11; <0.1", 0.01, 0.85,
     0.01, 0.001},
    {"space, two points, components", true, true, false, true, ASKS_COMPONENTS, "3; 9; 0", 0.03,
     0.85, 0.01, 0.002},
    {"resultant, components", true, false, false, false, ASKS_COMPONENTS, "2-3; 10-19; 0.2", 0.02,
     0.85, 0.01, 0.002},
    {"resultant, R and angle", true, false, false, false, ASKS_POLAR, "2-3; 10-19; 0.2", 0.02, 0.85,
     0.01, 0.002},
    {"components and moment", true, false, true, false, ASKS_COMPONENTS_AND_MOMENT, "", 0.03, 0.85,
     0.01, 0.002},
    {"resultant, R alone", true, false, false, false, ASKS_SIZE, "19-28; 32-56; 8-13", 0.19, 0.5,
     0.05, 0.08},
    {"moment alone", true, false, true, false, ASKS_MOMENT, "2; 17; 4", 0.02, 0.6, 0.05, 0.04},
    {"any force, components", false, false, false, true, ASKS_COMPONENTS, "", 0.03, 0.85, 0.01,
     0.002},
    {"any in space, components", false, true, false, true, ASKS_COMPONENTS, "", 0.03, 0.85, 0.01,
     0.002},
    {"any resultant, components", false, false, false, false, ASKS_COMPONENTS, "", 0.03, 0.85, 0.01,
     0.002},
    {"any resultant, R and angle", false, false, false, false, ASKS_POLAR, "", 0.03, 0.85, 0.01,
     0.002},
    {"any in space, R's components", false, true, false, false, ASKS_COMPONENTS, "", 0.03, 0.85,
     0.01, 0.002},
    /* three numbers, but most of these mistakes change the moment alone */
    {"any, components and moment", false, false, true, false, ASKS_COMPONENTS_AND_MOMENT, "", 0.03,
     0.85, 0.01, 0.002},
    {"any, R alone", false, false, false, false, ASKS_SIZE, "", 0.19, 0.5, 0.05, 0.08},
    {"any, moment alone", false, false, true, false, ASKS_MOMENT, "", 0, 0.5, 0.05, 0.045},
};

static double three(double x)
{
    if (x == 0)
        return 0;
    double step = pow(10, floor(log10(fabs(x))) - 2);
    return round(x / step) * step;
}

/* ---- one check ---- */

static void write_answer(const struct kind *kind, const struct exercise *e,
                         const struct handed_in *in, char *text, size_t capacity)
{
    const char *object = e->resolve ? "force" : "resultant";
    int length = 0;
    bool by_components = kind->asks == ASKS_COMPONENTS || kind->asks == ASKS_COMPONENTS_AND_MOMENT;
    length += snprintf(text + length, capacity - (size_t)length, "{");
    if (by_components) {
        length += snprintf(text + length, capacity - (size_t)length,
                           "\"%s\": {\"components\": [%.10g, %.10g", object,
                           three(in->component[0]), three(in->component[1]));
        if (e->space)
            length += snprintf(text + length, capacity - (size_t)length, ", %.10g",
                               three(in->component[2]));
        length += snprintf(text + length, capacity - (size_t)length, "]}");
    } else if (kind->asks == ASKS_POLAR || kind->asks == ASKS_SIZE) {
        length += snprintf(text + length, capacity - (size_t)length,
                           "\"%s\": {\"magnitude\": %.10g", object, three(in->size));
        if (kind->asks == ASKS_POLAR)
            length += snprintf(text + length, capacity - (size_t)length,
                               ", \"direction\": {\"angle\": %.10g}", round(in->angle * 10) / 10);
        length += snprintf(text + length, capacity - (size_t)length, "}");
    }
    if (kind->asks == ASKS_COMPONENTS_AND_MOMENT || kind->asks == ASKS_MOMENT)
        length += snprintf(text + length, capacity - (size_t)length,
                           "%s\"equivalent\": {\"couple\": %.10g}", by_components ? ", " : "",
                           three(in->moment));
    snprintf(text + length, capacity - (size_t)length, "}");
}

enum outcome { OUTCOME_RIGHT, OUTCOME_NAMED, OUTCOME_ONE_OF, OUTCOME_UNNAMED, OUTCOME_WRONG };

static bool has_place(const struct value *mistake, const char *place)
{
    const struct value *at = member(mistake, "at");
    return !place || !at || strcmp(at->text, place) == 0;
}

static enum outcome outcome_of(const struct value *answer, const char *code, const char *place)
{
    const struct value *mistakes = present(answer, "mistakes");
    if (strcmp(present(answer, "verdict")->text, "correct") == 0)
        return OUTCOME_RIGHT;
    if (!mistakes->child)
        return OUTCOME_UNNAMED;
    bool is_among = false;
    for (const struct value *m = mistakes->child; m && code; m = m->next)
        is_among = is_among || (has_code(m, code) && has_place(m, place));
    if (mistakes->child->next)
        return is_among ? OUTCOME_ONE_OF : OUTCOME_WRONG;
    return is_among ? OUTCOME_NAMED : OUTCOME_WRONG;
}

static enum outcome check_text(const char *problem, const char *answer, const char *name,
                               const char *code, const char *place, bool is_shown)
{
    static char request[16384];
    struct solved s;
    snprintf(request, sizeof request, "{\"problem\": %s, \"answer\": %s}", problem, answer);
    if (solve(&s, "/v1/check", request) != PROBLEM_NONE)
        fail_msg("%s\n%s", s.problem.detail, request);
    enum outcome o = outcome_of(s.work.answer, code, place);
    if (is_shown) {
        struct render_options options = render_defaults();
        options.working = false;
        printf("# %s at %s (%s): %s\n#   %s\n", code ? code : "-", place ? place : "-", name,
               request, solved_json(&s, &options));
    }
    solved_free(&s);
    return o;
}

static enum outcome check_one(const struct kind *kind, const struct exercise *e,
                              const struct handed_in *in, const char *code, int force,
                              bool is_shown)
{
    static char text[8192], problem[9000], answer[1024], place[32];
    exercise_write(e, "", text, sizeof text);
    write_answer(kind, e, in, answer, sizeof answer);
    snprintf(problem, sizeof problem, "{\"kind\": \"%s\", %s", e->resolve ? "resolve" : "resultant",
             text + 1);
    snprintf(place, sizeof place, "/forces/%d", force);
    return check_text(problem, answer, kind->name, code, e->resolve || force < 0 ? NULL : place,
                      is_shown);
}

/* ---- many ---- */

struct figures {
    long students, outcome[5], random, random_named;
};

static void draw_once(struct draw *d, const struct kind *kind, struct exercise *e)
{
    do {
        if (kind->textbook)
            exercise_draw_textbook(d, kind->space, kind->placed, e);
        else
            exercise_draw(d, kind->space, kind->placed, e);
    } while (e->count > 4);
}

static bool is_of_kind(const struct kind *kind, const struct exercise *e)
{
    enum way way = e->pull[0].aim.way;
    if (!kind->resolve)
        return true;
    return kind->textbook && kind->space ? way == WAY_LINE
                                         : way != WAY_COMPONENTS && way != WAY_AXIS;
}

static void draw(struct draw *d, const struct kind *kind, struct exercise *e)
{
    do
        draw_once(d, kind, e);
    while (!is_of_kind(kind, e));
    if (!kind->resolve)
        return;
    e->resolve = true;
    e->placed = e->has_about = e->has_couple = false;
    e->count = 1;
}

/* Is the wrong answer marked right only since its numbers are the right ones, within what marking
 * allows anyway? It is shown. */
static long show_passed(const struct kind *kind, const struct exercise *e, const struct mistaken *m,
                        const struct handed_in *right, long shown)
{
    if (shown < 2)
        printf(
            "#   passes as right (%s): %s of force %d gives %.4g, %.4g, %.4g; %.4g at %.1f; %.4g, "
            "the right numbers are %.4g, %.4g, %.4g; %.4g at %.1f; %.4g\n",
            kind->name, m->code, m->force + 1, m->in.component[0], m->in.component[1],
            m->in.component[2], m->in.size, m->in.angle, m->in.moment, right->component[0],
            right->component[1], right->component[2], right->size, right->angle, right->moment);
    (void)e;
    return shown + 1;
}

static bool is_first_of_its_code(const struct mistaken *list, int i)
{
    for (int k = 0; k < i; k++)
        if (strcmp(list[k].code, list[i].code) == 0)
            return false;
    return true;
}

static void one_student(struct draw *d, const struct kind *kind, struct figures *f)
{
    static struct mistaken list[MISTAKEN_MAX];
    struct exercise e;
    struct handed_in right;
    draw(d, kind, &e);
    int count = mistaken_list(&e, kind->asks, draw_one_in(d, 2), list, &right);
    if (count == 0 || right.size < 1e-6)
        return;
    /* every code alike, then every chance of it */
    const char *code = list[draw_int(d, 0, count - 1)].code;
    int codes = 0, pick;
    for (int i = 0; i < count; i++)
        codes += is_first_of_its_code(list, i);
    int wanted = draw_int(d, 1, codes);
    for (int i = 0; i < count; i++)
        if (is_first_of_its_code(list, i) && --wanted == 0)
            code = list[i].code;
    do
        pick = draw_int(d, 0, count - 1);
    while (strcmp(list[pick].code, code) != 0);
    const struct mistaken *m = &list[pick];
    enum outcome o = check_one(kind, &e, &m->in, m->code, m->force, false);
    f->students++;
    f->outcome[o]++;
    if (o == OUTCOME_RIGHT)
        show_passed(kind, &e, m, &right, f->outcome[o] - 1);
    if (o == OUTCOME_WRONG && kind->named > 0 && f->outcome[o] <= 2)
        check_one(kind, &e, &m->in, m->code, m->force, true);
    /* a random wrong answer beside it */
    struct handed_in wrong = right;
    double reach = 2 * right.size;
    for (int k = 0; k < (e.space ? 3 : 2); k++)
        wrong.component[k] = draw_decimal(d, -reach, reach, 3);
    wrong.size = draw_decimal(d, 0.1 * right.size, reach, 3);
    wrong.angle = draw_decimal(d, 0, 359.9, 1);
    wrong.moment = draw_decimal(d, -2 * fabs(right.moment) - 1, 2 * fabs(right.moment) + 1, 3);
    enum outcome r = check_one(kind, &e, &wrong, NULL, -1, false);
    f->random += r != OUTCOME_RIGHT;
    f->random_named += r == OUTCOME_WRONG;
}

/* ---- what is held ---- */

static const struct kind held_kinds[HELD_MAX_] = {
    [HELD_CABLES] = {.name = "two cables, both tensions",
                     .trade = "",
                     .passes = 0.03,
                     .named = 0.85,
                     .wrong = 0.01,
                     .chance = 0.002},
    [HELD_BEAM] = {.name = "beam, both reactions",
                   .trade = "4; 11; 0.05",
                   .passes = 0.03,
                   .named = 0.85,
                   .wrong = 0.01,
                   .chance = 0.002},
    [HELD_BEAM_ONE] = {.name = "beam, one reaction",
                       .trade = "4; 32; 6",
                       .passes = 0.04,
                       .named = 0.5,
                       .wrong = 0.05,
                       .chance = 0.06},
    [HELD_JOINT] = {.name = "truss joint, two members",
                    .trade = "2; 0; 0.05",
                    .passes = 0.02,
                    .named = 0.85,
                    .wrong = 0.01,
                    .chance = 0.002},
};

static void one_holding(struct draw *d, enum held held, struct figures *f)
{
    static struct held_problem p;
    static char answer[1024];
    const struct kind *kind = &held_kinds[held];
    held_draw(d, held, &p);
    const struct held_mistake *m = &p.mistake[draw_int(d, 0, p.count - 1)];
    held_answer(held, three(m->x), three(m->y), answer, sizeof answer);
    enum outcome o = check_text(p.text, answer, kind->name, m->code, m->at, false);
    f->students++;
    f->outcome[o]++;
    if (o == OUTCOME_RIGHT && f->outcome[o] <= 2)
        printf("#   passes as right (%s): %s gives %.4g, %.4g, the right numbers are %.4g, %.4g\n",
               kind->name, m->code, m->x, m->y, p.x, p.y);
    if (o == OUTCOME_WRONG && f->outcome[o] <= 2)
        check_text(p.text, answer, kind->name, m->code, m->at, true);
    double reach = 2 * fmax(fabs(p.x), fabs(p.y));
    held_answer(held, draw_decimal(d, -reach, reach, 3), draw_decimal(d, -reach, reach, 3), answer,
                sizeof answer);
    enum outcome r = check_text(p.text, answer, kind->name, NULL, NULL, false);
    f->random += r != OUTCOME_RIGHT;
    f->random_named += r == OUTCOME_WRONG;
}

/* ---- rounded too early ---- */

static double two(double x)
{
    if (x == 0)
        return 0;
    double step = pow(10, floor(log10(fabs(x))) - 1);
    return round(x / step) * step;
}

#define EARLY_MISSED 0.2    /* of those who are wrong by it, so many at most are not recognised */
#define EARLY_OTHERWISE 0.1 /* … and so many at most are taken for another mistake */

/* Which steps are written to two figures: one of them at least. */
struct early {
    bool ratios, products, sums;
};

static struct early early_draw(struct draw *d)
{
    int which = draw_int(d, 1, 7);
    return (struct early){which & 1, which & 2, which & 4};
}

static double two_if(bool is_early, double x) { return is_early ? two(x) : x; }

static void work_early(const struct exercise *e, struct early early, struct handed_in *ret)
{
    *ret = (struct handed_in){.moment = e->has_couple ? e->couple[2] : 0};
    for (int i = 0; i < e->count; i++) {
        const struct pull *p = &e->pull[i];
        double f[2];
        for (int k = 0; k < 2; k++) {
            bool is_whole = p->aim.way == WAY_COMPONENTS || p->aim.way == WAY_AXIS;
            f[k] = p->aim.way == WAY_COMPONENTS ? p->aim.number[k]
                                                : p->size * two_if(early.ratios, p->aim.unit[k]);
            f[k] = two_if(early.products && !is_whole, f[k]);
            ret->component[k] += f[k];
        }
        double first = (p->at[0] - e->about[0]) * f[1], second = (p->at[1] - e->about[1]) * f[0];
        ret->moment += two_if(early.products, first) - two_if(early.products, second);
    }
    double sum[2];
    for (int k = 0; k < 2; k++)
        sum[k] = two_if(early.sums, ret->component[k]);
    ret->size = hypot(sum[0], sum[1]);
    ret->angle = fmod(atan2(sum[1], sum[0]) * 180 / acos(-1) + 360, 360);
}

struct early_figures {
    long right, recognised, unnamed, other;
};

static void count_early(enum outcome o, struct early_figures *f)
{
    f->right += o == OUTCOME_RIGHT;
    f->recognised += o == OUTCOME_NAMED;
    f->unnamed += o == OUTCOME_UNNAMED;
    f->other += o == OUTCOME_WRONG || o == OUTCOME_ONE_OF;
}

static void print_early(const char *name, const struct early_figures *f)
{
    long wrong = f->recognised + f->unnamed + f->other;
    printf("# two figures on the way, %-29s %3.0f%% right all the same; of the rest %3.0f%% "
           "recognised, %3.0f%% unnamed, %3.0f%% named otherwise\n",
           name, 100 * of(f->right, f->right + wrong), 100 * of(f->recognised, wrong),
           100 * of(f->unnamed, wrong), 100 * of(f->other, wrong));
}

/* Two figures at some of the steps, three in what is handed in. Recognised: what is outside the
 * rule, and what the same steps written to two figures give. */
static void round_early(struct draw *d, long wanted)
{
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        const struct kind *kind = &kinds[k];
        struct early_figures f = {0};
        if (kind->space || kind->resolve)
            continue;
        for (long i = 0; i < wanted; i++) {
            struct exercise e;
            struct handed_in in;
            draw(d, kind, &e);
            work_early(&e, early_draw(d), &in);
            count_early(check_one(kind, &e, &in, "round.early", -1, false), &f);
        }
        print_early(kind->name, &f);
        if (kind->asks != ASKS_SIZE && kind->asks != ASKS_MOMENT) {
            assert_false(
                is_above(of(f.other, wanted - f.right), EARLY_OTHERWISE, wanted - f.right));
            assert_false(
                is_above(1 - of(f.recognised, wanted - f.right), EARLY_MISSED, wanted - f.right));
        }
    }
}

/* The same of what is held. A sum of moments that is written before it is divided is no line of the
 * working, which writes both as one: of beams many are not recognised. */
static void round_held_early(struct draw *d, long wanted)
{
    static struct held_problem p;
    static char answer[1024];
    static const double missed[HELD_MAX_] = {
        [HELD_CABLES] = 0.2, [HELD_BEAM] = 0.6, [HELD_BEAM_ONE] = 0.65, [HELD_JOINT] = 0.02};
    for (int held = 0; held < HELD_MAX_; held++) {
        const char *name = held_kinds[held].name;
        struct early_figures f = {0};
        for (long i = 0; i < wanted; i++) {
            held_draw(d, (enum held)held, &p);
            const double *early = p.early[draw_int(d, 1, EARLY_ALL)];
            held_answer((enum held)held, three(early[0]), three(early[1]), answer, sizeof answer);
            count_early(check_text(p.text, answer, name, "round.early", NULL, false), &f);
        }
        print_early(name, &f);
        long wrong = f.recognised + f.unnamed + f.other;
        assert_false(is_above(1 - of(f.recognised, wrong), missed[held], wrong));
        assert_false(is_above(of(f.other, wrong), held == HELD_BEAM_ONE ? 0.2 : 0.15, wrong));
    }
}

/* ---- the table ---- */

static bool print_row(const struct kind *kind, const struct figures *f)
{
    long rest = f->students - f->outcome[OUTCOME_RIGHT];
    double passes = of(f->outcome[OUTCOME_RIGHT], f->students);
    double named = of(f->outcome[OUTCOME_NAMED], rest);
    double wrong = of(f->outcome[OUTCOME_WRONG], rest);
    double chance = of(f->random_named, f->random);
    printf("# %-31s %7.1f%% |              %6.1f%% %6.1f%% %6.1f%% %6.2f%% | %6.2f%% | %s\n",
           kind->name, 100 * passes, 100 * named, 100 * of(f->outcome[OUTCOME_ONE_OF], rest),
           100 * of(f->outcome[OUTCOME_UNNAMED], rest), 100 * wrong, 100 * chance, kind->trade);
    if (kind->named == 0)
        return true;
    bool is_kept = (kind->passes == 0 || !is_above(passes, kind->passes, f->students)) &&
                   !is_above(1 - named, 1 - kind->named, rest) &&
                   !is_above(wrong, kind->wrong, rest) &&
                   !is_above(chance, kind->chance, f->random);
    if (!is_kept)
        printf("# %s misses its bounds\n", kind->name);
    return is_kept;
}

#define KINDS (sizeof kinds / sizeof *kinds)

static void test_mistakes_are_named(void **state)
{
    (void)state;
    long wanted = environment("CHECK_SIM", 200);
    uint64_t seed = (uint64_t)environment("SIM_SEED", (long)time(NULL));
    printf("# SIM_SEED=%llu CHECK_SIM=%ld\n", (unsigned long long)seed, wanted);
    struct draw d = {seed};
    struct figures figures[KINDS], held[HELD_MAX_];
    memset(figures, 0, sizeof figures);
    memset(held, 0, sizeof held);
    for (size_t k = 0; k < KINDS; k++)
        while (figures[k].students < wanted)
            one_student(&d, &kinds[k], &figures[k]);
    for (int k = 0; k < HELD_MAX_; k++)
        while (held[k].students < wanted)
            one_holding(&d, (enum held)k, &held[k]);
    printf("# %-31s %8s | of the rest: %7s %7s %7s %7s | %7s | %s\n", "", "as right", "named",
           "one of", "unnamed", "wrongly", "chance", "published: right; ambiguous; chance");
    bool holds = true;
    for (size_t k = 0; k < KINDS; k++)
        holds = print_row(&kinds[k], &figures[k]) && holds;
    for (int k = 0; k < HELD_MAX_; k++)
        holds = print_row(&held_kinds[k], &held[k]) && holds;
    round_early(&d, wanted);
    round_held_early(&d, wanted);
    fflush(stdout);
    assert_true(holds);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_mistakes_are_named)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
