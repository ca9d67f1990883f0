/* test_truss_order.c: trusses worked by hand.
 *
 * Random determinate trusses, simple, compound and complex, plane and space: the hand order leaves
 * none of them unsolved and agrees with the solver; how each force was found is printed. The text
 * of some is read back. A run draws 200; the long run, 6,000 and more that are determinate, is
 * TEST_ROUNDS=60. */
#include "solving.h"

#include "oracle/reader.h"
#include "random.h"
#include "statics/truss.h"

/* ---- making one ---- */

enum { JOINTS_MAX = 24, MEMBERS_MAX = 80, PARTS_MAX = 6 };

struct random_truss {
    int axes, joints, members, parts;
    int x[JOINTS_MAX][3];
    int member[MEMBERS_MAX][2];
    int part[PARTS_MAX][4]; /* joint and direction of a link */
};

static bool is_member(const struct random_truss *t, int a, int b)
{
    for (int i = 0; i < t->members; i++)
        if ((t->member[i][0] == a && t->member[i][1] == b) ||
            (t->member[i][0] == b && t->member[i][1] == a))
            return true;
    return false;
}

static bool join(struct random_truss *t, int a, int b)
{
    if (a == b || is_member(t, a, b))
        return false;
    t->member[t->members][0] = a;
    t->member[t->members++][1] = b;
    return true;
}

static void place(struct random_truss *t, int joint, int size)
{
    for (bool is_taken = true; is_taken;) {
        for (int axis = 0; axis < t->axes; axis++)
            t->x[joint][axis] = random_int(0, size);
        is_taken = false;
        for (int j = 0; j < joint; j++)
            is_taken = is_taken || memcmp(t->x[j], t->x[joint], sizeof t->x[j]) == 0;
    }
}

/* A joint more, held by one member for each axis; or one member taken out, its ends and others
 * joined with the new joint (Henneberg's two steps). */
static void grow(struct random_truss *t, bool is_complex, int size)
{
    int joint = t->joints++, held = 0;
    place(t, joint, size);
    if (is_complex && t->members > 0) {
        int out = random_int(0, t->members - 1);
        int a = t->member[out][0], b = t->member[out][1];
        memcpy(t->member[out], t->member[--t->members], sizeof t->member[out]);
        join(t, joint, a);
        join(t, joint, b);
        held = 1; /* two members for the one taken out */
    }
    while (held < t->axes)
        held += join(t, joint, random_int(0, joint - 1));
}

static void link_at(struct random_truss *t, int joint, int axis)
{
    int *part = t->part[t->parts++];
    part[0] = joint;
    part[1 + axis] = random_int(1, 4);
    if (random_int(0, 2) == 0) /* aslant */
        part[1 + (axis + 1) % t->axes] = random_int(-3, 3);
}

/* As many links as a body needs: a pin and a roller, or three links anywhere; in space three, two
 * and one, which go around the axes. */
static void support(struct random_truss *t)
{
    static const int joint[2][6] = {{0, 0, 1}, {0, 0, 0, 1, 1, 2}};
    static const int axis[2][6] = {{0, 1, 1}, {0, 1, 2, 1, 2, 2}};
    bool is_anywhere = t->axes == 2 && random_int(0, 3) == 0;
    for (int k = 0, count = t->axes == 2 ? 3 : 6; k < count; k++)
        link_at(t, is_anywhere ? random_int(0, t->joints - 1) : joint[t->axes - 2][k],
                axis[t->axes - 2][k]);
}

static void make(struct random_truss *t, int axes, int joints, int complexity)
{
    int size = random_int(3, 9);
    *t = (struct random_truss){.axes = axes, .joints = axes};
    for (int j = 0; j < axes; j++) {
        place(t, j, size);
        for (int other = 0; other < j; other++)
            join(t, other, j);
    }
    while (t->joints < joints)
        grow(t, t->joints > axes && random_int(0, 99) < complexity, size);
    support(t);
}

static char *write(const struct random_truss *t, char *text)
{
    char *end = text;
    end += sprintf(end, "{'joints': {");
    for (int j = 0; j < t->joints; j++) {
        end += sprintf(end, "%s'J%d': [%d, %d", j ? ", " : "", j, t->x[j][0], t->x[j][1]);
        end += t->axes == 3 ? sprintf(end, ", %d]", t->x[j][2]) : sprintf(end, "]");
    }
    end += sprintf(end, "}, 'members': [");
    for (int i = 0; i < t->members; i++)
        end += sprintf(end, "%s['J%d', 'J%d']", i ? ", " : "", t->member[i][0], t->member[i][1]);
    end += sprintf(end, "], 'supports': [");
    for (int k = 0; k < t->parts; k++) {
        const int *p = t->part[k];
        end += sprintf(end,
                       "%s{'name': 'R%d', 'at': 'J%d', 'kind': 'link', 'direction': {'vector':"
                       " [%d, %d",
                       k ? ", " : "", k, p[0], p[1], p[2]);
        end += t->axes == 3 ? sprintf(end, ", %d]}}", p[3]) : sprintf(end, "]}}");
    }
    end += sprintf(end, "], 'loads': [");
    for (int k = 0, count = random_int(1, 4); k < count; k++) {
        end += sprintf(end, "%s{'at': 'J%d', 'components': [%d.5, %d", k ? ", " : "",
                       random_int(0, t->joints - 1), random_int(-30, 30), random_int(-30, 30));
        end += t->axes == 3 ? sprintf(end, ", %d.25]}", random_int(-30, 30)) : sprintf(end, "]}");
    }
    sprintf(end, "]}");
    return text;
}

/* ---- working it ---- */

struct tally {
    int trusses, refused, unsolved, assuming, assumed_at_once;
    int found_by[TRUSS_BY_MAX_];
    double apart; /* of the scale, at most */
};

static void is_worked(const char *text, const struct truss *t, struct tally *tally)
{
    double scale = t->scale;
    bool is_solved = true;
    for (int i = 0; i < t->unknown_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        is_solved = is_solved && !q_is_none(u->hand);
        if (q_is_none(u->hand))
            continue;
        double apart = fabs(q_value(t->w, u->hand) - truss_found(t, i).value) / scale;
        tally->apart = fmax(tally->apart, apart);
        if (!(apart <= 1e-12))
            fail_msg("%s is %.17g by hand, %.17g by the solver\n%s", u->name,
                     q_value(t->w, u->hand), truss_found(t, i).value, text);
    }
    if (!is_solved && tally->unsolved < 3)
        printf("# not solved by hand: %s\n", text);
    tally->unsolved += !is_solved;
    tally->assuming += t->found_by[TRUSS_BY_ASSUMPTION] > 0;
    if (t->assumed_at_once > tally->assumed_at_once)
        tally->assumed_at_once = t->assumed_at_once;
    for (int k = 0; k < TRUSS_BY_MAX_; k++)
        tally->found_by[k] += t->found_by[k];
}

static void work_one(const struct random_truss *random, struct tally *tally, bool is_read)
{
    char text[8192], again[8192], fault[1300] = "";
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    struct truss_input *input;
    struct problem p;
    struct work w;
    struct truss t;
    problem_init(&p, arena);
    strcpy(again, write(random, text));
    if (decode_truss(arena, read_json(arena, text), &input, &p) != PROBLEM_NONE)
        fail_msg("%s\n%s", p.fault_count ? p.faults[0].detail : p.detail, text);
    work_init(&w, arena, solving_field[0]);
    w.wants_key = is_read;
    if (!truss_read(&t, &w, input, &p)) {
        tally->refused++; /* a link of direction 0 */
        arena_free(arena);
        return;
    }
    assert_int_equal(truss_solve(&t, &p), PROBLEM_NONE);
    assert_false(w.unlucky);
    truss_inspect(&t);
    if (t.state != TRUSS_DETERMINATE) {
        tally->refused++;
        arena_free(arena);
        return;
    }
    truss_work(&t);
    assert_false(w.failed);
    tally->trusses++;
    is_worked(again, &t, tally);
    if (truss_put(&t, &p) != PROBLEM_NONE)
        fail_msg("%s\n%s", p.detail, again);
    if (is_read) {
        struct render_options options = render_defaults();
        struct reading reading = {0};
        options.working = true;
        check_alternatives(&w);
        if (!recompute_all(&w, fault, sizeof fault))
            fail_msg("%s\n%s", fault, again);
        if (!reading_check(&w, &options, &reading))
            fail_msg("%s\n%s", reading.fault, again);
    }
    arena_free(arena);
}

static void print_tally(const char *kind, const struct tally *t)
{
    static const char *const by[TRUSS_BY_MAX_] = {"inspection", "whole",   "joint",
                                                  "square",     "section", "assumed force"};
    int all = 0;
    for (int k = 0; k < TRUSS_BY_MAX_; k++)
        all += t->found_by[k];
    printf("# %s: %d determinate trusses (%d others), %d not solved, %d with an assumed force (%d "
           "at once at most); hand and solver at most %.1e apart; by",
           kind, t->trusses, t->refused, t->unsolved, t->assuming, t->assumed_at_once, t->apart);
    for (int k = 0; k < TRUSS_BY_MAX_; k++)
        printf(" %s %.1f %%%s", by[k], 100.0 * t->found_by[k] / (all ? all : 1),
               k + 1 < TRUSS_BY_MAX_ ? "," : "\n");
}

static void on_random(const char *kind, int axes, int joints, int complexity, int rounds)
{
    struct tally tally = {0};
    struct random_truss t;
    for (int i = 0; i < random_rounds(rounds); i++) {
        make(&t, axes, random_int(axes + 2, joints), complexity);
        work_one(&t, &tally, i % 5 == 0);
    }
    print_tally(kind, &tally);
    assert_int_equal(tally.unsolved, 0);
    assert_true(tally.trusses > 0);
}

static void simple_trusses(void **state)
{
    (void)state;
    random_start("simple trusses", 71);
    on_random("plane, simple", 2, 12, 0, 20);
    on_random("space, simple", 3, 9, 0, 20);
}

static void complex_trusses(void **state)
{
    (void)state;
    random_start("complex trusses", 72);
    on_random("plane, complex", 2, 12, 60, 100);
    on_random("plane, very complex", 2, 14, 100, 40);
    on_random("space, complex", 3, 8, 50, 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(simple_trusses),
                                       cmocka_unit_test(complex_trusses)};
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
