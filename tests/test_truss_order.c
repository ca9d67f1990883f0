/* test_truss_order.c: trusses worked by hand.
 *
 * Random determinate trusses, simple, compound and complex, plane and space: the hand order leaves
 * none of them unsolved and agrees with the solver; how each force was found is printed. The text
 * of some is read back. A run draws 200; the long run, 6,000 and more that are determinate, is
 * TEST_ROUNDS=60. */
#include "solving.h"

#include "endpoints/rows.h"
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
    int trusses, refused, by_hand_too, unsolved, assuming, assumed_at_once;
    int found_by[TRUSS_BY_MAX_];
    double apart; /* of the scale, at most */
};

static void is_worked(const char *text, const struct truss *t, struct tally *tally)
{
    double scale = t->scale;
    bool is_solved = true;
    for (int i = 0; i < t->unknown_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        is_solved = is_solved && (!q_is_none(u->hand) || t->state != TRUSS_DETERMINATE);
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
    truss_work(&t);
    assert_false(w.failed);
    bool is_determinate = t.state == TRUSS_DETERMINATE;
    tally->trusses += is_determinate;
    tally->refused += !is_determinate;
    tally->by_hand_too += !is_determinate && t.is_held;
    if (t.is_held)
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
    printf("# %s: %d determinate trusses (%d others, %d of them in part), %d not solved, %d with "
           "an assumed force (%d "
           "at once at most); hand and solver at most %.1e apart; by",
           kind, t->trusses, t->refused, t->by_hand_too, t->unsolved, t->assuming,
           t->assumed_at_once, t->apart);
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

/* ---- the order ---- */

static void text_is_read_back(struct solved *s)
{
    static const int figures[] = {3, 5};
    char fault[1300] = "";
    for (int i = 0; i < 2; i++) {
        struct render_options options = render_defaults();
        struct reading reading = {0};
        options.working = true;
        options.figures = figures[i];
        if (!reading_check(&s->work, &options, &reading))
            fail_msg("%s", reading.fault);
    }
    if (!recompute_all(&s->work, fault, sizeof fault))
        fail_msg("%s", fault);
}

/* "A B (C D)" */
static const char *order_of(struct solved *s)
{
    struct buf b;
    buf_init(&b, s->arena, 4096);
    for (const struct value *g = value_at(s, "order", NULL)->child; g; g = g->next) {
        bool is_group = g->child->next != NULL;
        buf_puts(&b, b.length ? " " : "");
        buf_puts(&b, is_group ? "(" : "");
        for (const struct value *j = g->child; j; j = j->next) {
            buf_puts(&b, j == g->child ? "" : " ");
            buf_puts(&b, j->text);
        }
        buf_puts(&b, is_group ? ")" : "");
    }
    return buf_text(&b);
}

#define PRATT                                                                                      \
    "'joints': {'A': [0, 0], 'B': [3.2, 0], 'C': [6.4, 0], 'D': [9.6, 0], 'E': [12.8, 0], "        \
    "'F': [3.2, 2.4], 'G': [6.4, 2.4], 'H': [9.6, 2.4]}, 'members': [['A', 'B'], ['B', 'C'], "     \
    "['C', 'D'], ['D', 'E'], ['A', 'F'], ['F', 'G'], ['G', 'H'], ['H', 'E'], ['B', 'F'], "         \
    "['C', 'G'], ['D', 'H'], ['F', 'C'], ['C', 'H']], 'supports': [{'at': 'A', 'kind': 'pin'}, "   \
    "{'at': 'E', 'kind': 'roller'}], 'loads': [{'name': 'P', 'at': 'B', 'components': [1.6, "      \
    "-18.75]}, {'name': 'Q', 'at': 'C', 'components': [0, -12.5]}]"

static void joint_by_joint(void **state)
{
    (void)state;
    struct solved s = solve("truss", "{" PRATT "}");
    assert_string_equal(order_of(&s), "A B F G C D E");
    /* E_y = (3.2·18.75 + 6.4·12.5)/12.8, at A: ΣF_y = 0 */
    double e = (3.2 * 18.75 + 6.4 * 12.5) / 12.8, a = 31.25 - e;
    assert_number(&s, "members[name=AF]/force", -a / 0.6);
    assert_number(&s, "members[name=AB]/force", a / 0.6 * 0.8 + 1.6);
    assert_number(&s, "members[name=HE]/force", -e / 0.6);
    assert_non_null(strstr(steps(&s, "Zero-force members"),
                           "At G all forces but that of CG lie along one line"));
    assert_non_null(strstr(steps(&s, "Joint A"), "Along y, F_AB has no part: F_AF is the only"));
    assert_non_null(strstr(steps(&s, "Joint A"), "AF is in compression"));
    assert_string_not_equal(steps(&s, "Check at joint H"), "no such section");
    text_is_read_back(&s);
    done(&s);
}

/* Every joint of it has three members. */
#define HEXAGON                                                                                    \
    "{'joints': {'A': [0, 0], 'B': [4, 0], 'C': [7, 3], 'D': [4, 7], 'E': [0, 5], 'F': "           \
    "[-2, 3.5]}, 'members': [['A','B'],['B','C'],['C','D'],['D','E'],['E','F'],['F','A'],"         \
    "['A','D'],['B','E'],['C','F']], 'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'B', "        \
    "'kind': 'roller'}], 'loads': [{'name':'P','at': 'D', 'components': [12.5, -22]}, "            \
    "{'name':'Q','at': 'F', 'components': [4.5, -6]}]}"

static void assumed_force(void **state)
{
    (void)state;
    struct solved s = solve("truss", "%s", HEXAGON);
    assert_string_equal(order_of(&s), "(B C D E) A F");
    assert_string_not_equal(steps(&s, "The force of BC is assumed"), "no such section");
    assert_string_equal(note_codes(&s), "members-cross");
    text_is_read_back(&s);
    done(&s);
}

/* ---- sections ---- */

static void section_of_three(void **state)
{
    (void)state;
    struct solved s = solve("truss", "{" PRATT ", 'section': {'cut': ['CB', 'FC', 'FG']}}");
    double e = (3.2 * 18.75 + 6.4 * 12.5) / 12.8;
    /* About F, about C, along y. */
    assert_number(&s, "members[name=BC]/force", (9.6 * e - 3.2 * 12.5) / 2.4);
    assert_number(&s, "members[name=FG]/force", -6.4 * e / 2.4);
    assert_number(&s, "members[name=FC]/force", (12.5 - e) / 0.6);
    assert_true(is_absent(&s, "members[name=AB]"));
    assert_true(is_absent(&s, "order"));
    assert_string_equal(note_codes(&s), "");
    const char *text = steps(&s, "Section through BC, FC and FG");
    assert_non_null(strstr(text, "About F, F_FC and F_FG have no moment: F_BC is the only"));
    assert_non_null(strstr(text, "Along y, F_BC and F_FG have no part: F_FC is the"));
    text_is_read_back(&s);
    done(&s);
}

static void cut_that_divides_nothing(void **state)
{
    (void)state;
    struct solved s = solve("truss", "{" PRATT ", 'section': {'cut': ['BC', 'FG']}}");
    assert_string_equal(faults(&s), "section-does-not-divide at /section/cut");
    done(&s);
    s = solve("truss", "{" PRATT ", 'section': {'cut': ['BC', 'FC', 'FG', 'AB']}}");
    assert_string_equal(faults(&s), "section-does-not-divide at /section/cut");
    done(&s);
}

/* A K: about U and about L three of the four meet. */
static void section_of_four(void **state)
{
    (void)state;
    static const char truss[] =
        "'joints': {'A': [0, 0], 'L': [3, 0], 'P': [6, 0], 'E': [9, 0], 'U': [3, 4], 'V': [6, 4], "
        "'M': [3, 2]}, 'members': [['A','L'],['L','P'],['P','E'],['U','V'],['A','U'],['V','E'],"
        "['U','M'],['M','L'],['V','P'],['M','V'],['M','P']], 'supports': [{'at': 'A', 'kind': "
        "'pin'}, {'at': 'E', 'kind': 'roller'}], 'loads': [{'at': 'L', 'components': [2.5, -14]}, "
        "{'at': 'P', 'components': [0, -6.5]}]";
    struct solved whole = solve("truss", "{%s}", truss);
    struct solved s = solve("truss", "{%s, 'section': {'cut': ['UV', 'UM', 'ML', 'LP']}}", truss);
    static const char *const members[] = {"UV", "UM", "ML", "LP"};
    for (int i = 0; i < 4; i++) {
        const char *at = arena_printf(s.arena, "members[name=%s]/force", members[i]);
        assert_number(&s, at, number_at(&whole, at));
    }
    const char *text = steps(&s, "Section through UV, UM, ML and LP");
    assert_non_null(strstr(text, "About L, F_LP, F_UM and F_ML have no moment: F_UV is the only"));
    assert_non_null(strstr(text, "About U"));
    assert_non_null(strstr(note_text(&s, "section-leaves-open"), "leaves UM and ML open"));
    text_is_read_back(&s);
    done(&s);
    done(&whole);
}

/* Six members between two triangles: each about a line that the others meet. */
static void section_in_space(void **state)
{
    (void)state;
    static const char truss[] =
        "'joints': {'A': [0, 0, 0], 'B': [4, 0, 0], 'C': [1, 3.5, 0], 'D': [0.5, 0.5, 3], 'E': "
        "[3, 0.5, 3], 'F': [1, 2.5, 3.25]}, 'members': [['D','E'],['E','F'],['F','D'],['A','D'],"
        "['B','E'],['C','F'],['A','E'],['B','F'],['C','D']], 'supports': [{'at': 'A', 'kind': "
        "'ball_and_socket'}, {'at': 'B', 'kind': 'ball_and_socket'}, {'at': 'C', 'kind': "
        "'ball_and_socket'}], 'loads': [{'at': 'D', 'components': [2.5, -1, -14]}, {'at': 'F', "
        "'components': [0, 3.75, -6.5]}]";
    struct solved whole = solve("truss", "{%s}", truss);
    struct solved s =
        solve("truss", "{%s, 'section': {'cut': ['AD', 'BE', 'CF', 'AE', 'BF', 'CD']}}", truss);
    assert_string_equal(words_at(&whole, "state"), "determinate");
    static const char *const members[] = {"AD", "BE", "CF", "AE", "BF", "CD"};
    for (int i = 0; i < 6; i++) {
        const char *at = arena_printf(s.arena, "members[name=%s]/force", members[i]);
        assert_number(&s, at, number_at(&whole, at));
    }
    assert_null(note_text(&s, "section-leaves-open"));
    text_is_read_back(&s);
    text_is_read_back(&whole);
    done(&s);
    done(&whole);
}

/* ---- what cannot be worked ---- */

static void indeterminate(void **state)
{
    (void)state;
    /* A square with both diagonals, and a triangle beside it. */
    struct solved s = solve(
        "truss", "{'joints': {'A': [0, 0], 'B': [3.2, 0], 'C': [3.2, 2.4], 'D': [0, 2.4], 'E': "
                 "[6.4, 0]}, 'members': [['A','B'],['B','C'],['C','D'],['D','A'],['A','C'],"
                 "['B','D'],['B','E'],['C','E']], 'supports': [{'at': 'A', 'kind': 'pin'}, {'at': "
                 "'E', 'kind': 'roller'}], 'loads': [{'at': 'C', 'components': [1.6, -12.5]}]}");
    assert_string_equal(order_of(&s), "E");
    assert_true(is_null_at(&s, "members[name=AC]/force"));
    assert_null(note_text(&s, "working-left-out"));
    text_is_read_back(&s);
    done(&s);
}

/* The longest that is shown, and one more. */
static void long_trusses(void **state)
{
    (void)state;
    static char text[65536];
    for (int joints = 200; joints <= 202; joints += 2) {
        char *end = text + sprintf(text, "{'joints': {");
        for (int j = 0; j < joints; j++)
            end += sprintf(end, "%s'%d': [%d, %d]", j ? ", " : "", j, 2 * j, j % 2 ? 3 : 0);
        end += sprintf(end, "}, 'members': [");
        for (int j = 0; j + 1 < joints; j++) {
            end += sprintf(end, "%s['%d', '%d']", j ? ", " : "", j, j + 1);
            if (j + 2 < joints)
                end += sprintf(end, ", ['%d', '%d']", j, j + 2);
        }
        sprintf(end,
                "], 'supports': [{'at': '0', 'kind': 'pin'}, {'at': '%d', 'kind': 'roller'}], "
                "'loads': [{'at': '86', 'components': [2.5, -14]}]}",
                joints - 2);
        struct solved s = solve("truss", "%s", text);
        assert_string_equal(words_at(&s, "state"), "determinate");
        bool is_shown = joints <= TRUSS_SHOWN_JOINTS;
        assert_int_equal(note_text(&s, "numbers-only") == NULL, is_shown);
        assert_int_equal(s.work.section_count > 0, is_shown);
        done(&s);
    }
}

/* With any amount of memory there is an answer or a refusal. */
static void memory_runs_out(void **state)
{
    (void)state;
    static const char *const requests[] = {HEXAGON, "{" PRATT "}",
                                           "{" PRATT ", 'section': {'cut': ['CB', 'FC', 'FG']}}"};
    for (size_t i = 0; i < sizeof requests / sizeof *requests; i++) {
        int refused = 0;
        for (size_t bytes = 30000, step = 3001; bytes < 4000000; bytes += step) {
            struct arena *arena = arena_new(bytes), *own = arena_new(LIMIT_ARENA_BYTES);
            struct truss_input *input;
            struct problem p;
            struct work w;
            char *text = arena_text(own, requests[i], strlen(requests[i]));
            problem_init(&p, own);
            assert_int_equal(decode_truss(own, read_json(own, text), &input, &p), PROBLEM_NONE);
            problem_init(&p, arena);
            work_init(&w, arena, solving_field[0]);
            w.wants_key = true;
            enum problem_code code = statics_truss(&w, input, &p);
            assert_true(code == PROBLEM_NONE || code == PROBLEM_OVERLOADED);
            refused += code != PROBLEM_NONE;
            arena_free(arena);
            arena_free(own);
            if (code == PROBLEM_NONE)
                break;
        }
        assert_true(refused > 10);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(simple_trusses),   cmocka_unit_test(complex_trusses),
        cmocka_unit_test(joint_by_joint),   cmocka_unit_test(assumed_force),
        cmocka_unit_test(section_of_three), cmocka_unit_test(cut_that_divides_nothing),
        cmocka_unit_test(section_of_four),  cmocka_unit_test(section_in_space),
        cmocka_unit_test(indeterminate),    cmocka_unit_test(long_trusses),
        cmocka_unit_test(memory_runs_out)};
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
