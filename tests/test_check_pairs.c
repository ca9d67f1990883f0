/* test_check_pairs.c: two mistakes at once, and what follows from a student's own number.
 *
 * Questions of every call (sim/question.c). Pairs: two slips of the catalogue are made together on
 * the problem's tape and the numbers handed in to three figures; and random wrong answers, all
 * numbers or one of them. Follow-through: one number is wrong, and everything behind it is worked
 * from that with three figures; or one of the later ones is not. CHECK_SIM (students a question,
 * default 25) and SIM_SEED. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "check.h"
#include "marked.h"

#include "marking/judge.h"
#include "marking/measure.h"
#include "share.h"
#include "sim/mistaken.h"
#include "sim/question.h"
#include "sim/sheet.h"

static struct draw start(const char *what, long *ret_wanted)
{
    uint64_t seed = (uint64_t)environment("SIM_SEED", (long)time(NULL));
    *ret_wanted = environment("CHECK_SIM", 25);
    printf("# %s: SIM_SEED=%llu CHECK_SIM=%ld\n", what, (unsigned long long)seed, *ret_wanted);
    return (struct draw){seed};
}

/* ---- one check ---- */

static char request[40000];

static void check(struct solved *s, const struct question *ask, const char *answer)
{
    snprintf(request, sizeof request, "{\"problem\": %.8191s, \"answer\": %.15999s}", ask->problem,
             answer);
    if (solve(s, "/v1/check", request) != PROBLEM_NONE)
        fail_msg("%s: %s\n%s", s->problem.detail,
                 s->problem.fault_count ? s->problem.faults[0].detail : "", request);
}

static void show(struct solved *s, const char *what)
{
    struct render_options options = render_defaults();
    options.working = false;
    printf("# %s: %s\n#   %s\n", what, request, solved_json(s, &options));
}

static bool is_one_of(const struct value *mistake)
{
    return strncmp(present(mistake, "feedback")->text, "It may be", 9) == 0;
}

/* ---- pairs ---- */

enum outcome {
    OUTCOME_RIGHT,
    OUTCOME_BOTH,
    OUTCOME_ONE_OF, /* several classes, at least one of the two among them */
    OUTCOME_SINGLE, /* one mistake whose numbers these are as well */
    OUTCOME_HALF,   /* one of the two, of another mistake or not at all */
    OUTCOME_UNNAMED,
    OUTCOME_WRONG,
    OUTCOME_MAX_
};

/* Would this mistake by itself give the numbers of `value`, to half a percent? */
static bool is_as_single(struct sheet *s, const double *value)
{
    struct work *w = &s->solved.work;
    double *other = arena_alloc(w->arena, w->node_count * sizeof *other);
    bool is_same = false;
    for (uint32_t c = 0; c < s->chances && !is_same; c++) {
        slip_replay(w, &(struct replay){.chance = {&s->chance[c]}}, other);
        is_same = true;
        for (int i = 0; i < s->count && is_same; i++) {
            double x = sheet_number(s, s->asked[i], value), y = sheet_number(s, s->asked[i], other);
            const struct item *item = item_measured(&s->items, s->asked[i]);
            is_same = fabs(x - y) <= 0.01 * fmax(fabs(y), fmax(item->scale, 1));
        }
    }
    return is_same;
}

/* Does it stand for this chance? */
static bool is_chance(const struct value *mistake, const struct slip_chance *c)
{
    const struct value *at = member(mistake, "at"), *symbol = member(mistake, "symbol");
    return has_code(mistake, slip_row(c->slip)->code) &&
           (!at || (c->pointer && strcmp(at->text, c->pointer) == 0)) &&
           (!symbol || (c->name && strcmp(symbol->text, c->name) == 0));
}

/* Do two mistakes together give the numbers of `value`, though they may not be those made? */
static bool is_pair_of(struct sheet *s, const double *value, const struct value *a,
                       const struct value *b)
{
    struct work *w = &s->solved.work;
    double *other = arena_alloc(w->arena, w->node_count * sizeof *other);
    for (uint32_t i = 0; i < s->chances; i++)
        for (uint32_t j = 0; is_chance(a, &s->chance[i]) && j < s->chances; j++) {
            if (!is_chance(b, &s->chance[j]))
                continue;
            bool is_same = true;
            slip_replay(w, &(struct replay){.chance = {&s->chance[i], &s->chance[j]}}, other);
            for (int k = 0; k < s->count && is_same; k++) {
                double x = sheet_number(s, s->asked[k], value);
                is_same = fabs(x - sheet_number(s, s->asked[k], other)) <= 1e-9 * (fabs(x) + 1);
            }
            if (is_same)
                return true;
        }
    return false;
}

static enum outcome outcome_of(struct sheet *s, const struct value *answer, const double *value,
                               const struct slip_chance *a, const struct slip_chance *b)
{
    const struct value *mistakes = present(answer, "mistakes");
    if (strcmp(present(answer, "verdict")->text, "correct") == 0)
        return OUTCOME_RIGHT;
    if (!mistakes->child)
        return OUTCOME_UNNAMED;
    bool has_a = false, has_b = false;
    int count = 0;
    for (const struct value *m = mistakes->child; m; m = m->next, count++) {
        has_a = has_a || has_code(m, slip_row(a->slip)->code);
        has_b = has_b || has_code(m, slip_row(b->slip)->code);
    }
    if (is_one_of(mistakes->child))
        return has_a || has_b ? OUTCOME_ONE_OF : OUTCOME_WRONG;
    if (count == 2 && is_pair_of(s, value, mistakes->child, mistakes->child->next))
        return OUTCOME_BOTH;
    if (count == 2)
        return has_a && has_b ? OUTCOME_BOTH : has_a || has_b ? OUTCOME_HALF : OUTCOME_WRONG;
    if (is_as_single(s, value))
        return OUTCOME_SINGLE;
    return has_a || has_b ? OUTCOME_HALF : OUTCOME_WRONG;
}

struct figures {
    long students, outcome[OUTCOME_MAX_], random, random_pair, random_named, single, single_pair,
        single_named;
};

static bool is_silent(struct sheet *s, const struct slip_chance *a, const struct slip_chance *b)
{
    bool is_right = true;
    slip_replay(&s->solved.work, &(struct replay){.chance = {a, b}}, s->value);
    for (int i = 0; i < s->count; i++) {
        double x = sheet_number(s, s->asked[i], s->value);
        if (!isfinite(x) || fabs(x) > 1e9)
            return true;
        is_right = is_right && sheet_is_right(s, s->asked[i], s->value);
    }
    return is_right;
}

static void two_mistakes(struct draw *d, const struct question *ask, struct sheet *s,
                         struct figures *f)
{
    static char answer[16000];
    struct solved checked;
    for (int tries = 0; tries < 50 && s->chances > 1; tries++) {
        const struct slip_chance *a = &s->chance[draw_int(d, 0, (int)s->chances - 1)];
        const struct slip_chance *b = &s->chance[draw_int(d, 0, (int)s->chances - 1)];
        if (a >= b || is_silent(s, a, NULL) || is_silent(s, b, NULL) || is_silent(s, a, b))
            continue;
        sheet_write(s, s->value, NULL, 3, answer, sizeof answer);
        check(&checked, ask, answer);
        enum outcome o = outcome_of(s, checked.work.answer, s->value, a, b);
        f->students++;
        f->outcome[o]++;
        if (o == OUTCOME_WRONG && f->outcome[o] == 1) {
            printf("# %s at %s and %s at %s\n", slip_row(a->slip)->code,
                   a->pointer ? a->pointer : "-", slip_row(b->slip)->code,
                   b->pointer ? b->pointer : "-");
            show(&checked, ask->name);
        }
        solved_free(&checked);
        return;
    }
}

/* Two mistakes of an answer that is wrong at random: counted in ret_pair; any at all in ret_named.
 */
static void note_random(const struct question *ask, const char *answer, long *ret_count,
                        long *ret_pair, long *ret_named)
{
    struct solved checked;
    check(&checked, ask, answer);
    const struct value *first = present(checked.work.answer, "mistakes")->child;
    bool is_wrong = strcmp(present(checked.work.answer, "verdict")->text, "correct") != 0;
    *ret_count += is_wrong;
    *ret_named += is_wrong && first && !first->next;
    *ret_pair += is_wrong && first && first->next && !is_one_of(first);
    solved_free(&checked);
}

static double random_number(struct draw *d, struct sheet *s, int item, double right)
{
    if (s->items.item[item].kind == PART_DIRECTION || s->items.item[item].is_angle)
        return draw_decimal(d, 0, 359.9, 1);
    double reach = 2 * fmax(fabs(right), item_measured(&s->items, item)->size);
    if (strstr(s->items.item[item].of, "/magnitude"))
        return draw_decimal(d, 0.05 * reach, reach, 3);
    return reach > 0 ? draw_decimal(d, -reach, reach, 3) : draw_decimal(d, -10, 10, 3);
}

static void random_answers(struct draw *d, const struct question *ask, struct sheet *s,
                           struct figures *f)
{
    static char answer[16000];
    struct work *w = &s->solved.work;
    double *own = arena_alloc(w->arena, (size_t)s->items.count * sizeof *own);
    for (uint32_t i = 0; i < w->node_count; i++)
        s->value[i] = w->node[i].num.value;
    for (int i = 0; i < s->items.count; i++)
        own[i] = (double)NAN;
    int one = s->asked[draw_int(d, 0, s->count - 1)];
    own[one] = random_number(d, s, one, sheet_number(s, one, s->value));
    sheet_write(s, s->value, own, 3, answer, sizeof answer);
    note_random(ask, answer, &f->single, &f->single_pair, &f->single_named);
    for (int i = 0; i < s->count; i++)
        own[s->asked[i]] = random_number(d, s, s->asked[i], sheet_number(s, s->asked[i], s->value));
    sheet_write(s, s->value, own, 3, answer, sizeof answer);
    note_random(ask, answer, &f->random, &f->random_pair, &f->random_named);
}

static bool print_pairs(const struct question *ask, const struct figures *f)
{
    long rest = f->students - f->outcome[OUTCOME_RIGHT];
    const long *o = f->outcome;
    printf("# %-31s %6.1f%% | %5.1f%% %6.1f%% %7.1f%% %6.1f%% %7.1f%% %7.1f%% | %5.2f%% %6.2f%% | "
           "%5.2f%% %6.2f%%\n",
           ask->name, 100 * of(o[OUTCOME_RIGHT], f->students), 100 * of(o[OUTCOME_BOTH], rest),
           100 * of(o[OUTCOME_ONE_OF], rest), 100 * of(o[OUTCOME_SINGLE], rest),
           100 * of(o[OUTCOME_HALF], rest), 100 * of(o[OUTCOME_UNNAMED], rest),
           100 * of(o[OUTCOME_WRONG], rest), 100 * of(f->random_pair, f->random),
           100 * of(f->random_named, f->random), 100 * of(f->single_pair, f->single),
           100 * of(f->single_named, f->single));
    bool is_kept = !is_above(of(o[OUTCOME_RIGHT], f->students), 0.03, f->students) &&
                   !is_above(of(o[OUTCOME_WRONG], rest), 0.01, rest) &&
                   !is_above(of(o[OUTCOME_HALF], rest), 0.05, rest) &&
                   !is_above(of(o[OUTCOME_UNNAMED], rest), 0.3, rest) &&
                   !is_above(of(f->random_pair, f->random), 0.002, f->random) &&
                   !is_above(of(f->single_pair, f->single), 0.002, f->single);
    if (!is_kept)
        printf("# %s misses its bounds\n", ask->name);
    return is_kept;
}

static void test_pairs(void **state)
{
    long wanted;
    struct draw d = start("pairs", &wanted);
    bool holds = true;
    static struct question ask;
    (void)state;
    printf("# %-31s %7s | of the rest: %6s %6s %8s %6s %7s %7s | %s | %s\n", "", "right", "both",
           "one of", "a single", "half", "unnamed", "wrong", "random: pair, one",
           "one wrong: pair, one");
    for (int kind = 0; kind < QUESTION_MAX_; kind++) {
        struct figures f = {0};
        for (long tries = 0; f.students < wanted && tries < 20 * wanted; tries++) {
            struct sheet s;
            question_draw(&d, (enum question_kind)kind, &ask);
            if (sheet_open(&s, ask.problem, ask.by_polar)) {
                two_mistakes(&d, &ask, &s, &f);
                random_answers(&d, &ask, &s, &f);
            }
            sheet_close(&s);
        }
        assert_true(f.students >= wanted);
        holds = print_pairs(&ask, &f) && holds;
    }
    fflush(stdout);
    assert_true(holds);
}

/* ---- by arithmetic that is not the tape's: two forces with a mistake each; they add up ---- */

static void put_sum(const struct handed_in *in, char *text, size_t capacity)
{
    snprintf(
        text, capacity,
        "{\"resultant\": {\"components\": [%.10g, %.10g]}, \"equivalent\": {\"couple\": %.10g}}",
        sheet_rounded(in->component[0], 3), sheet_rounded(in->component[1], 3),
        sheet_rounded(in->moment, 3));
}

static bool is_named(const struct value *mistakes, const struct mistaken *m)
{
    char at[24];
    snprintf(at, sizeof at, "/forces/%d", m->force);
    for (const struct value *v = mistakes->child; v; v = v->next) {
        const struct value *where = member(v, "at");
        if (strcmp(present(v, "code")->text, m->code) == 0 && where && strcmp(where->text, at) == 0)
            return true;
    }
    return false;
}

/* Does a pair named have the numbers of `in`? Its mistakes are looked up in the list. */
static bool is_as_good(const struct mistaken *list, int count, const struct handed_in *right,
                       const struct handed_in *in, const struct value *mistakes)
{
    for (int i = 0; i < count; i++)
        for (int j = 0; j < count; j++) {
            const struct handed_in *a = &list[i].in, *b = &list[j].in;
            double off = fabs(a->moment + b->moment - right->moment - in->moment);
            for (int k = 0; k < 2; k++)
                off = fmax(off, fabs(a->component[k] + b->component[k] - right->component[k] -
                                     in->component[k]));
            if (off < 1e-6 * (right->size + fabs(right->moment)) && is_named(mistakes, &list[i]) &&
                is_named(mistakes, &list[j]))
                return true;
        }
    return false;
}

static void test_pairs_by_arithmetic(void **state)
{
    static struct mistaken list[MISTAKEN_MAX];
    static struct question ask;
    static char answer[400];
    long wanted, students = 0, named = 0, single = 0, unnamed = 0, wrong = 0;
    struct draw d = start("pairs by arithmetic", &wanted);
    (void)state;
    while (students < 3 * wanted) {
        struct handed_in right, in;
        struct solved checked;
        question_draw(&d, QUESTION_MOMENT, &ask);
        int count = mistaken_list(&ask.exercise, ASKS_COMPONENTS_AND_MOMENT, false, list, &right);
        const struct mistaken *a = &list[draw_int(&d, 0, count - 1)],
                              *b = &list[draw_int(&d, 0, count - 1)];
        if (count == 0 || a->force < 0 || b->force < 0 || a->force == b->force)
            continue;
        in = right;
        for (int k = 0; k < 2; k++)
            in.component[k] = a->in.component[k] + b->in.component[k] - right.component[k];
        in.moment = a->in.moment + b->in.moment - right.moment;
        put_sum(&in, answer, sizeof answer);
        check(&checked, &ask, answer);
        const struct value *mistakes = present(checked.work.answer, "mistakes");
        const struct value *first = mistakes->child;
        students++;
        unnamed += !first;
        if (first && first->next && !is_one_of(first)) {
            bool is_good = is_as_good(list, count, &right, &in, mistakes);
            named += is_good;
            wrong += !is_good;
            if (!is_good && wrong == 1) {
                printf("# %s at %d and %s at %d\n", a->code, a->force, b->code, b->force);
                show(&checked, "wrongly named");
            }
        }
        single += first && (!first->next || is_one_of(first));
        solved_free(&checked);
    }
    printf("# a mistake in each of two forces: %.1f%% both named, %.1f%% as one, %.1f%% unnamed, "
           "%.1f%% wrongly\n",
           100 * of(named, students), 100 * of(single, students), 100 * of(unnamed, students),
           100 * of(wrong, students));
    fflush(stdout);
    assert_false(is_above(of(wrong, students), 0.01, students));
    assert_false(is_above(1 - of(named, students), 0.5, students));
}

/* ---- over what slips reach, and over the whole tape ---- */

static bool agree(struct sheet *s, const double *reached, const double *whole)
{
    for (int i = 0; i < s->count; i++) {
        double x = sheet_number(s, s->asked[i], reached), y = sheet_number(s, s->asked[i], whole);
        if (isfinite(x) != isfinite(y) || (isfinite(x) && fabs(x - y) > 1e-9 * (fabs(y) + 1)))
            return false;
    }
    return true;
}

/* One slip: the same. Two: what is made by the time of the first of them may differ, rarely. */
static void test_slips_are_retraced_as_replayed(void **state)
{
    long wanted, pairs = 0, other = 0;
    struct draw d = start("retraced", &wanted);
    static struct question ask;
    (void)state;
    for (int i = 0; i < 3 * QUESTION_MAX_; i++) {
        struct sheet s;
        question_draw(&d, (enum question_kind)(i % QUESTION_MAX_), &ask);
        if (sheet_open(&s, ask.problem, ask.by_polar)) {
            struct work *w = &s.solved.work;
            bool *is_wanted = arena_alloc(w->arena, w->node_count);
            for (int k = 0; k < s.count; k++)
                for (int angle = 0; angle < 3; angle++)
                    is_wanted[s.items.item[s.asked[k]].number[angle].i] = true;
            struct retrace *r = retrace_new(w, is_wanted);
            for (uint32_t c = 0; c < s.chances; c++) {
                const struct slip_chance *a = &s.chance[c], *b = &s.chance[draw_int(&d, 0, (int)c)];
                slip_replay(w, &(struct replay){.chance = {a}}, s.value);
                if (!agree(&s, retrace(r, a, NULL), s.value))
                    fail_msg("%s of %s", slip_row(a->slip)->code, ask.problem);
                slip_replay(w, &(struct replay){.chance = {b, a}}, s.value);
                other += !agree(&s, retrace(r, b, a), s.value);
                pairs++;
            }
        }
        sheet_close(&s);
    }
    printf("# %ld of %ld pairs otherwise\n", other, pairs);
    assert_true(other <= pairs / 100);
}

/* ---- a class ---- */

#define CLASS_MAX 12

static bool is_same_value(const struct value *a, const struct value *b)
{
    if (a->kind != b->kind || !a->key != !b->key || (a->key && strcmp(a->key, b->key) != 0))
        return false;
    const struct value *x = a->child, *y = b->child;
    switch (a->kind) {
    case VALUE_TEXT:
        return strcmp(a->text, b->text) == 0;
    case VALUE_COUNT:
        return a->count == b->count;
    case VALUE_BOOL:
        return a->truth == b->truth;
    case VALUE_OBJECT:
    case VALUE_LIST:
        for (; x && y; x = x->next, y = y->next)
            if (!is_same_value(x, y))
                return false;
        return !x && !y;
    default:
        return false; /* an answer to a check has no numbers of its own */
    }
}

/* Right; with one slip, two; one number wrong and carried on; one random; all random. */
static void draw_answer(struct draw *d, struct sheet *s, char *text, size_t capacity)
{
    struct work *w = &s->solved.work;
    const struct slip_chance *chance[2] = {NULL, NULL};
    double *own = arena_alloc(w->arena, (size_t)s->items.count * sizeof *own);
    int kind = draw_int(d, 0, 5), one = s->asked[draw_int(d, 0, s->count - 1)];
    struct slip_own number = {item_node(w, &s->items.item[one]), 0};
    bool is_carried = kind == 3 && number.node;
    for (int k = 0; k < kind && k < 2 && kind < 3 && s->chances > 0; k++)
        chance[k] = &s->chance[draw_int(d, 0, (int)s->chances - 1)];
    for (int i = 0; i < s->items.count; i++)
        own[i] = (double)NAN;
    number.value = w->node[number.node].num.value * draw_decimal(d, 0.5, 1.8, 2);
    slip_replay(w,
                &(struct replay){.chance = {chance[0], chance[1]},
                                 .own = is_carried ? &number : NULL,
                                 .own_count = is_carried},
                s->value);
    for (int i = 0; i < s->count; i++)
        if (kind == 5 || (kind == 4 && s->asked[i] == one) ||
            !isfinite(sheet_number(s, s->asked[i], s->value)))
            own[s->asked[i]] = random_number(d, s, s->asked[i], 10);
    sheet_write(s, s->value, own, 3, text, capacity);
}

static void one_class(struct draw *d, const struct question *ask, struct sheet *s)
{
    static char answer[CLASS_MAX][16000], whole[60000 + CLASS_MAX * 16000];
    struct solved class, single;
    int n = snprintf(whole, sizeof whole, "{\"problem\": %s, \"answers\": [", ask->problem);
    for (int i = 0; i < CLASS_MAX; i++) {
        draw_answer(d, s, answer[i], sizeof answer[i]);
        n += snprintf(whole + n, sizeof whole - (size_t)n, "%s%s", i ? ", " : "", answer[i]);
    }
    snprintf(whole + n, sizeof whole - (size_t)n, "]}");
    assert_int_equal(solve(&class, "/v1/check", whole), PROBLEM_NONE);
    const struct value *marked = present(class.work.answer, "answers")->child;
    for (int i = 0; i < CLASS_MAX; i++, marked = marked->next) {
        check(&single, ask, answer[i]);
        const struct value *alone = single.work.answer;
        struct value same = *marked;
        same.key = alone->key;
        if (!is_same_value(&same, alone)) {
            show(&single, "by itself");
            struct render_options options = render_defaults();
            options.working = false;
            fail_msg("answer %d of %s", i, solved_json(&class, &options));
        }
        solved_free(&single);
    }
    solved_free(&class);
}

static void test_a_class_is_marked_as_one_by_one(void **state)
{
    long wanted;
    struct draw d = start("classes", &wanted);
    static struct question ask;
    (void)state;
    for (int kind = 0; kind < QUESTION_MAX_; kind++)
        for (long classes = 0; classes < 1 + wanted / 10;) {
            struct sheet s;
            question_draw(&d, (enum question_kind)kind, &ask);
            if (sheet_open(&s, ask.problem, ask.by_polar)) {
                one_class(&d, &ask, &s);
                classes++;
            }
            sheet_close(&s);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_pairs),
                                       cmocka_unit_test(test_pairs_by_arithmetic),
                                       cmocka_unit_test(test_slips_are_retraced_as_replayed),
                                       cmocka_unit_test(test_a_class_is_marked_as_one_by_one)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
