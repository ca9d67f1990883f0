/* Whole trusses: the published cases of tests/cases/truss (sources in tests/cases/README.md),
 * states and their texts, zero-force members, notes, faults, and trusses of every size. Forces
 * expected here are worked out by hand from the equilibrium of joints, or come from another solver.
 */
#include "solving.h"

#include "big_truss.h"
#include "endpoints/rows.h"

static void published(void **state)
{
    (void)state;
    assert_int_equal(check_published("tests/cases/truss/trusses.json", "truss"), 20);
}

/* ---- determinate ---- */

/* A signal mast's bracket: A over B on a wall, both held, and C in front of them. */
static void bracket(void **state)
{
    (void)state;
    struct solved s = solve("truss", "{'units': {'force': 'kN'}, 'joints': {'A': [0, 0], 'B': [0, "
                                     "1.5], 'C': [2, 0]}, 'members': [['A', 'C'], ['C', 'B']], "
                                     "'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'B', 'kind': "
                                     "'pin'}], 'loads': [{'name': 'P', 'magnitude': 21.75, "
                                     "'direction': {'axis': '-y'}, 'at': 'C'}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    /* CB rises 1.5 in 2.5: its vertical part is 3/5 of it. */
    assert_number(&s, "members/1/force", 36.25);
    assert_number(&s, "members/0/force", -29);
    assert_string_equal(words_at(&s, "members/0/name"), "AC");
    assert_string_equal(words_at(&s, "members/1/name"), "CB");
    assert_string_equal(words_at(&s, "members/0/state"), "compression");
    assert_string_equal(words_at(&s, "members/1/state"), "tension");
    assert_string_equal(words_at(&s, "supports/0/name"), "A");
    assert_string_equal(words_at(&s, "supports/0/kind"), "pin");
    assert_string_equal(words_at(&s, "supports/0/parts/0/symbol"), "A_x");
    assert_number(&s, "supports/0/parts/0/value", 29);
    assert_number(&s, "supports/0/parts/1/value", 0);
    assert_number(&s, "supports/0/force/magnitude", 29);
    assert_number(&s, "supports/0/force/direction/angle", 0);
    assert_numbers(&s, "supports/1/force/components", -29, 21.75);
    assert_number(&s, "supports/1/force/magnitude", 36.25);
    assert_number(&s, "supports/1/force/direction/angle", 180 - atan2(3, 4) * 180 / TEST_PI);
    assert_int_equal(count_at(&s, "count/unknowns"), 6);
    assert_int_equal(count_at(&s, "count/equations"), 6);
    assert_int_equal(count_at(&s, "count/rank"), 6);
    assert_true(number_at(&s, "residual/force") < 1e-12);
    assert_true(is_absent(&s, "degree"));
    assert_true(is_absent(&s, "mechanism"));
    assert_true(is_absent(&s, "zero_force_members/0"));
    assert_string_equal(note_codes(&s), "");
    done(&s);
}

/* A link and an inclined roller; names longer than one character; a load in another unit. */
static void other_supports(void **state)
{
    (void)state;
    struct solved s = solve(
        "truss", "{'units': {'force': 'kN'}, 'joints': {'A1': [0, 0], 'B1': [4, 0], 'C1': [4, 3]}, "
                 "'members': [['A1', 'B1'], ['C1', 'B1'], ['A1', 'C1']], 'supports': [{'at': 'A1', "
                 "'kind': 'pin'}, {'at': 'C1', 'kind': 'link', 'direction': {'slope': {'run': 12, "
                 "'rise': 5}}}], 'loads': [{'at': 'B1', 'components': [0, {'value': -6500, 'unit': "
                 "'N'}]}]}");
    /* Moments about A1: −4·6.5 + (4·5 − 3·12)/13 T = 0 */
    double T = 26.0 * 13 / -16;
    assert_number(&s, "supports/1/parts/0/value", T);
    assert_string_equal(words_at(&s, "supports/1/parts/0/symbol"), "C1");
    assert_numbers(&s, "supports/1/force/components", T * 12 / 13, T * 5 / 13);
    assert_number(&s, "supports/1/force/magnitude", -T);
    assert_number(&s, "supports/1/force/direction/angle", 180 + atan2(5, 12) * 180 / TEST_PI);
    assert_numbers(&s, "supports/0/force/components", -T * 12 / 13, 6.5 - T * 5 / 13);
    assert_string_equal(words_at(&s, "members/1/name"), "C1-B1");
    assert_number(&s, "members/1/force", 6.5);
    assert_number(&s, "members/0/force", 0);
    /* At A1: AC along (4, 3)/5. */
    assert_number(&s, "members/2/force", T * 12 / 13 * 5 / 4);
    assert_string_equal(words_at(&s, "zero_force_members/0/name"), "A1-B1");
    assert_string_equal(words_at(&s, "zero_force_members/0/found"), "inspection");
    done(&s);
}

/* Joints named by numbers: the force of a support is R_1, not "1". */
static void numbered_joints(void **state)
{
    (void)state;
    struct solved s = solve("truss", "{'joints': {'1': [0, 0], '2': [4, 0], '3': [4, 3]}, "
                                     "'members': [['1', '2'], ['2', '3'], ['3', '1']], 'supports': "
                                     "[{'at': '1', 'kind': 'pin'}, {'at': '2', 'kind': 'roller'}], "
                                     "'loads': [{'at': '3', 'components': [6, -8.5]}]}");
    assert_string_equal(words_at(&s, "supports/0/name"), "1");
    assert_string_equal(words_at(&s, "supports/0/parts/0/symbol"), "R_1x");
    assert_number(&s, "supports/0/parts/0/value", -6);
    assert_number(&s, "supports/0/parts/1/value", -4.5);
    assert_string_equal(words_at(&s, "supports/1/parts/0/symbol"), "R_2");
    assert_number(&s, "supports/1/parts/0/value", 13);
    assert_non_null(strstr(line_of(&s, "Reactions", 1), "ΣF_x = 0: R_1x + F_1x = 0; R_1x + 6 = 0"));
    done(&s);
}

/* A tripod: three members from ball and sockets to one joint, by the three equations of it. */
static void tripod(void **state)
{
    (void)state;
    struct solved s =
        solve("truss",
              "{'joints': {'A': [3, 0, 0], 'B': [-1, 2, 0], 'C': [-2, -2, 0], 'D': [0, 0, 4]}, "
              "'members': [['D', 'A'], ['D', 'B'], ['D', 'C']], 'supports': [{'at': 'A', 'kind': "
              "'ball_and_socket'}, {'at': 'B', 'kind': 'ball_and_socket'}, {'at': 'C', 'kind': "
              "'ball_and_socket'}], 'loads': [{'at': 'D', 'components': [217.5, -30, -410]}]}");
    /* a (3, 0, −4) + b (−1, 2, −4) + c (−2, −2, −4) + P = 0: from the sum of the last row
     * a + b + c = −102.5, from y b = c + 15, from x 3a − b − 2c = −217.5. */
    double c = (-217.5 + 3 * 117.5 + 15) / -9, b = c + 15, a = -102.5 - b - c;
    assert_number(&s, "members/0/force", 5 * a);
    assert_number(&s, "members/1/force", b * sqrt(21));
    assert_number(&s, "members/2/force", c * sqrt(24));
    assert_numbers(&s, "supports/0/force/components", 3 * a, 0, -4 * a);
    assert_string_equal(words_at(&s, "supports/0/parts/2/symbol"), "A_z");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_int_equal(count_at(&s, "count/equations"), 12);
    done(&s);
}

/* ---- indeterminate ---- */

/* A square with both diagonals: one of six members is more than needed, but the posts of the left
 * half are fixed all the same. */
static void redundant(void **state)
{
    (void)state;
    struct solved s = solve(
        "truss",
        "{'joints': {'A': [0, 0], 'B': [2, 0], 'C': [2, 1.5], 'D': [0, 1.5], 'E': [4, 0]}, "
        "'members': [['A', 'B'], ['B', 'C'], ['C', 'D'], ['D', 'A'], ['A', 'C'], ['B', 'D'], ['B', "
        "'E'], ['C', 'E']], 'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'E', 'kind': "
        "'roller'}], 'loads': [{'at': 'C', 'components': [10.5, -217.5]}]}");
    assert_string_equal(words_at(&s, "state"), "indeterminate");
    assert_int_equal(count_at(&s, "degree"), 1);
    assert_int_equal(count_at(&s, "count/rank"), 10);
    for (int i = 0; i < 6; i++) {
        assert_string_equal(words_at(&s, arena_printf(s.arena, "unfixed/0/%d", i)),
                            words_at(&s, arena_printf(s.arena, "members/%d/name", i)));
        assert_true(is_null_at(&s, arena_printf(s.arena, "members/%d/force", i)));
        assert_true(is_null_at(&s, arena_printf(s.arena, "members/%d/state", i)));
    }
    assert_true(is_absent(&s, "unfixed/1"));
    assert_true(is_absent(&s, "unfixed/0/6"));
    double E = (217.5 * 2 + 10.5 * 1.5) / 4;
    assert_number(&s, "supports/1/parts/0/value", E);
    assert_number(&s, "members/7/force", -E / 0.6);
    assert_number(&s, "members/6/force", E / 0.75);
    assert_string_equal(note_codes(&s), "indeterminate members-cross");
    assert_string_equal(note_text(&s, "members-cross"),
                        "Members AC and BD cross where no joint is: they are taken to pass each "
                        "other without touching.");
    done(&s);
}

/* One member between two pins: its force and the level reactions depend on each other. */
static void between_pins(void **state)
{
    (void)state;
    struct solved s =
        solve("truss", "{'joints': {'A': [0, 0], 'B': [3.5, 0]}, 'members': [['A', 'B']], "
                       "'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'B', 'kind': 'pin'}], "
                       "'loads': [{'at': 'A', 'components': [12, -5]}]}");
    assert_string_equal(words_at(&s, "state"), "indeterminate");
    assert_int_equal(count_at(&s, "degree"), 1);
    assert_string_equal(words_at(&s, "unfixed/0/0"), "AB");
    assert_true(is_null_at(&s, "supports/0/force"));
    assert_true(is_null_at(&s, "supports/0/parts/0/value"));
    assert_number(&s, "supports/0/parts/1/value", 5);
    assert_number(&s, "supports/1/parts/1/value", 0);
    assert_true(is_absent(&s, "residual"));
    done(&s);
}

/* ---- mechanisms ---- */

#define LEANING                                                                                    \
    "{'joints': {'A': [0, 0], 'B': [2, 0], 'C': [2, 1.5], 'D': [0, 1.5]}, 'members': [['A', "      \
    "'B'], ['B', 'C'], ['C', 'D'], ['D', 'A']], 'supports': [{'at': 'A', 'kind': 'pin'}, "         \
    "{'at': 'B', 'kind': 'roller'}], 'loads': [{'at': 'C', 'components': [%s, -7.5]}]}"

/* A square without a diagonal leans: the count is one short. */
static void leaning(void **state)
{
    (void)state;
    struct solved s = solve("truss", LEANING, "3.25");
    assert_string_equal(words_at(&s, "state"), "mechanism");
    assert_int_equal(count_at(&s, "mechanism/freedoms"), 1);
    assert_false(value_at(&s, "balanced", NULL)->truth);
    assert_string_equal(words_at(&s, "mechanism/joints/0/name"), "C");
    assert_string_equal(words_at(&s, "mechanism/joints/1/name"), "D");
    assert_number(&s, "mechanism/joints/0/displacement/1", 0);
    assert_number(&s, "mechanism/joints/0/displacement/0",
                  number_at(&s, "mechanism/joints/1/displacement/0"));
    assert_number(&s, "mechanism/joints/0/displacement/0", 1);
    assert_true(is_absent(&s, "mechanism/joints/2"));
    assert_string_equal(words_at(&s, "mechanism/text"),
                        "Joints C and D can move while every member keeps its length.");
    assert_true(is_null_at(&s, "members/0/force"));
    assert_true(is_null_at(&s, "supports/0/force"));
    assert_true(is_absent(&s, "zero_force_members/0"));
    assert_true(is_absent(&s, "degree"));
    assert_true(is_absent(&s, "residual"));
    assert_string_equal(note_codes(&s), "not-held");
    done(&s);

    /* The motion is shown in the sense in which the load drives it. */
    s = solve("truss", LEANING, "-3.25");
    assert_number(&s, "mechanism/joints/0/displacement/0", -1);
    assert_number(&s, "mechanism/joints/1/displacement/0", -1);
    assert_string_equal(s.work.note[0].text.template,
                        "There is no equilibrium: the loads set the truss in motion, and no force "
                        "is given.{}");
    assert_string_equal(s.work.note[0].text.arg[0].name,
                        " It begins to move: C along \xe2\x88\x92x, D along \xe2\x88\x92x.");
    done(&s);

    /* A load that does no work in that motion is carried. */
    s = solve("truss", LEANING, "0");
    assert_true(value_at(&s, "balanced", NULL)->truth);
    assert_number(&s, "members/1/force", -7.5);
    assert_number(&s, "members/0/force", 0);
    assert_number(&s, "supports/1/force/magnitude", 7.5);
    assert_string_equal(words_at(&s, "zero_force_members/0/name"), "AB");
    assert_string_equal(words_at(&s, "zero_force_members/1/name"), "CD");
    assert_string_equal(words_at(&s, "zero_force_members/2/name"), "DA");
    assert_true(is_absent(&s, "zero_force_members/3"));
    assert_string_equal(note_codes(&s), "balanced-by-chance");
    done(&s);
}

/* Nothing holds it: three freedoms, so that no one motion is told. */
static void no_supports(void **state)
{
    (void)state;
    struct solved s = solve("truss",
                            "{'joints': {'A': [0, 0], 'B': [3.5, 0], 'C': [1.5, 2]}, 'members': "
                            "[['A', 'B'], ['B', 'C'], ['C', 'A']], 'loads': [{'at': 'C', "
                            "'components': [2.5, %s]}]}",
                            "-7.5");
    assert_int_equal(count_at(&s, "mechanism/freedoms"), 3);
    assert_string_equal(words_at(&s, "mechanism/text"),
                        "The truss has no supports: it can move as one body, and its members keep "
                        "their lengths.");
    assert_string_equal(note_codes(&s), "not-held");
    assert_string_equal(s.work.note[0].text.arg[0].name, "");
    done(&s);
}

/* m + r = 2j, and it moves: the three links of a body meet in one point. */
static void critical_form(void **state)
{
    (void)state;
    struct solved s = solve(
        "truss",
        "{'joints': {'A': [0, 0], 'B': [3, 0], 'C': [1, 2]}, 'members': [['A', 'B'], ['B', 'C'], "
        "['C', 'A']], 'supports': [{'name': 'P', 'at': 'A', 'kind': 'link', 'direction': {'line': "
        "[[0, 0], [4, 5]]}}, {'name': 'Q', 'at': 'B', 'kind': 'link', 'direction': {'line': [[3, "
        "0], [4, 5]]}}, {'name': 'R', 'at': 'C', 'kind': 'link', 'direction': {'line': [[1, 2], "
        "[4, 5]]}}], 'loads': [{'at': 'C', 'components': [21.75, -30]}]}");
    assert_string_equal(words_at(&s, "state"), "mechanism");
    assert_int_equal(count_at(&s, "count/unknowns"), 6);
    assert_int_equal(count_at(&s, "count/rank"), 5);
    assert_int_equal(count_at(&s, "degree"), 1);
    assert_string_equal(words_at(&s, "mechanism/text"),
                        "The supports do not hold the truss: it can move as one body, and its "
                        "members keep their lengths.");
    assert_string_equal(note_codes(&s), "critical-form not-held");
    assert_string_equal(note_text(&s, "critical-form"),
                        "By the count, 6 unknowns for 6 equations, the truss would hold; yet it "
                        "can move: its form is critical.");
    /* It turns about (4, 5): displacements are square to the lines to it. */
    static const double at[3][2] = {{0, 0}, {3, 0}, {1, 2}};
    for (int j = 0; j < 3; j++) {
        double x = number_at(&s, arena_printf(s.arena, "mechanism/joints/%d/displacement/0", j));
        double y = number_at(&s, arena_printf(s.arena, "mechanism/joints/%d/displacement/1", j));
        assert_near(x * (at[j][0] - 4) + y * (at[j][1] - 5), 0, 1e-12);
    }
    done(&s);
}

/* Neither supports nor shape; a joint alone; nothing loaded. */
static void loose(void **state)
{
    (void)state;
    struct solved s = solve("truss", "{'joints': {'A': [0, 0], 'B': [3.5, 0], 'C': [7, 2], 'D': "
                                     "[9, 9]}, 'members': [['A', 'B'], ['B', 'C']]}");
    assert_string_equal(words_at(&s, "state"), "mechanism");
    assert_int_equal(count_at(&s, "mechanism/freedoms"), 6);
    assert_true(value_at(&s, "balanced", NULL)->truth);
    assert_string_equal(words_at(&s, "mechanism/text"),
                        "The supports do not hold the truss, and its members do not hold its "
                        "shape: A, B, C and D can move while every member keeps its length.");
    assert_string_equal(note_codes(&s), "joint-alone");
    assert_string_equal(note_text(&s, "joint-alone"), "Joint D has no member: is one missing?");
    assert_number(&s, "members/0/force", 0);
    done(&s);
}

/* ---- zero-force members ---- */

/* The rules of one joint, applied again and again; and one zero that only numbers find. */
static void zero_force_members(void **state)
{
    (void)state;
    struct solved s = solve(
        "truss",
        "{'joints': {'A': [0, 0], 'B': [2, 0], 'C': [4, 0], 'D': [6, 0], 'F': [2, 1.5], 'G': [4, "
        "1.5]}, 'members': [['A', 'B'], ['B', 'C'], ['C', 'D'], ['A', 'F'], ['B', 'F'], ['F', "
        "'C'], ['F', 'G'], ['C', 'G'], ['G', 'D']], 'supports': [{'at': 'A', 'kind': 'pin'}, "
        "{'at': 'D', 'kind': 'roller'}], 'loads': [{'at': 'F', 'components': [0, -21.75]}, {'at': "
        "'G', 'components': [0, -21.75]}]}");
    /* At B: BF alone is not in line. FC and CG carry nothing by symmetry: CG by C, where FC and CG
     * are not in line with the chord, only after FC is known. */
    assert_string_equal(words_at(&s, "zero_force_members/0/name"), "BF");
    assert_string_equal(words_at(&s, "zero_force_members/0/found"), "inspection");
    assert_string_equal(words_at(&s, "zero_force_members/1/name"), "FC");
    assert_string_equal(words_at(&s, "zero_force_members/1/found"), "computed");
    assert_string_equal(words_at(&s, "zero_force_members/2/name"), "CG");
    assert_string_equal(words_at(&s, "zero_force_members/2/found"), "computed");
    assert_true(is_absent(&s, "zero_force_members/3"));
    assert_number(&s, "members/6/force", -21.75 * 4 / 3);
    done(&s);
}

static const char *found_of(struct solved *s, const char *member)
{
    const struct value *v = entry_named(value_at(s, "zero_force_members", NULL), member);
    return v ? v->last->text : "not zero";
}

#define FRAME                                                                                      \
    "{'joints': {'A': [0, 0], 'B': [4, 0], 'C': [4, 3]}, 'members': [['A', 'B'], ['B', 'C'], "     \
    "['A', 'C']], 'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'C', 'kind': 'roller', "         \
    "'normal': {'axis': '%s'}}], 'loads': [{'at': 'B', 'components': [%s]}]}"

/* A load at the joint counts as a force there: in line with one of two members the other is zero,
 * otherwise neither. So does a support. */
static void zero_force_rules(void **state)
{
    (void)state;
    struct solved s = solve("truss", FRAME, "-x", "0, -7.5");
    assert_string_equal(found_of(&s, "AB"), "inspection");
    assert_string_equal(found_of(&s, "BC"), "not zero");
    done(&s);
    s = solve("truss", FRAME, "-x", "2.5, 0");
    assert_string_equal(found_of(&s, "BC"), "inspection");
    assert_string_equal(found_of(&s, "AC"), "inspection");
    done(&s);
    s = solve("truss", FRAME, "-x", "2.5, -7.5");
    assert_true(is_absent(&s, "zero_force_members/0"));
    done(&s);
    /* Loads that cancel are none. */
    s = solve("truss",
              "{'joints': {'A': [0, 0], 'B': [4, 0], 'C': [4, 3]}, 'members': [['A', 'B'], "
              "['B', 'C'], ['A', 'C']], 'supports': [{'at': 'A', 'kind': 'pin'}, {'at': "
              "'C', 'kind': 'roller', 'normal': {'axis': '-x'}}], 'loads': [{'at': 'B', "
              "'components': [1, -7.5]}, {'at': 'B', 'components': [-1, 7.5]}, {'at': "
              "'C', 'components': [3, 0]}]}");
    assert_string_equal(found_of(&s, "AB"), "inspection");
    assert_string_equal(found_of(&s, "BC"), "inspection");
    done(&s);
    /* Space: three members that are not in one plane; and one that leaves the plane of the rest. */
    s = solve("truss",
              "{'joints': {'A': [3, 0, 0], 'B': [-1, 2, 0], 'C': [-2, -2, 0], 'D': [0, 0, 4], 'E': "
              "[1, 1, 9]}, 'members': [['D', 'A'], ['D', 'B'], ['D', 'C'], ['E', 'A'], ['E', 'B'], "
              "['E', 'D']], 'supports': [{'at': 'A', 'kind': 'ball_and_socket'}, {'at': 'B', "
              "'kind': 'ball_and_socket'}, {'at': 'C', 'kind': 'ball_and_socket'}], 'loads': "
              "[{'at': 'D', 'components': [0, 0, -5]}]}");
    assert_string_equal(found_of(&s, "EA"), "inspection");
    assert_string_equal(found_of(&s, "EB"), "inspection");
    assert_string_equal(found_of(&s, "ED"), "inspection");
    assert_string_equal(found_of(&s, "DA"), "not zero");
    done(&s);
}

/* ---- notes ---- */

#define TWO_BARS                                                                                   \
    "{'joints': {'A': [0, 0], 'B': [2, %s], 'C': [4, 0]}, 'members': [['A', 'B'], ['B', 'C']], "   \
    "'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'C', 'kind': 'pin'}], 'loads': [{'at': 'B', " \
    "'components': [0, -7.5]}]}"

/* A rise of 1 % of the span and less is said to be sensitive; 5 % is not, nor is any usual truss.
 */
static void sensitivity(void **state)
{
    (void)state;
    static const char *const flat[] = {"0.039", "0.02", "0.001", "0.0000001"};
    static const char *const steep[] = {"0.2", "0.5", "1.5", "40"};
    for (size_t i = 0; i < sizeof flat / sizeof *flat; i++) {
        struct solved s = solve("truss", TWO_BARS, flat[i]);
        assert_string_equal(note_codes(&s), "nearly-critical-form");
        double rise = strtod(flat[i], NULL);
        assert_near(number_at(&s, "members/0/force"), -3.75 * hypot(2, rise) / rise,
                    1e-12 * 7.5 / rise);
        done(&s);
    }
    for (size_t i = 0; i < sizeof steep / sizeof *steep; i++) {
        struct solved s = solve("truss", TWO_BARS, steep[i]);
        assert_string_equal(note_codes(&s), "");
        done(&s);
    }
}

static void joint_on_member(void **state)
{
    (void)state;
    struct solved s =
        solve("truss", "{'joints': {'A': [0, 0], 'B': [4, 0], 'C': [2, 3], 'D': [1.5, 0]}, "
                       "'members': [['A', 'B'], ['B', 'C'], ['C', 'A'], ['D', 'C']], 'supports': "
                       "[{'at': 'A', 'kind': 'pin'}, {'at': 'B', 'kind': 'roller'}], 'loads': "
                       "[{'at': 'C', 'components': [0, -7.5]}]}");
    assert_string_equal(words_at(&s, "state"), "mechanism");
    assert_string_equal(note_text(&s, "joint-on-member"),
                        "Joint D lies on member AB and is not joined to it there: is the member "
                        "meant to end at D?");
    done(&s);
}

/* ---- faults ---- */

static void joints_at_one_place(void **state)
{
    (void)state;
    struct solved s =
        solve("truss",
              "{'points': {'O': [0, 0]}, 'joints': {'A': [0, 0], 'B': [4, 3], 'C': {'from': 'O', "
              "'distance': 5, 'direction': {'slope': {'run': 4, 'rise': 3}}}}, 'members': "
              "[['A', 'B'], ['B', 'C'], ['C', 'A']], 'supports': [{'at': 'A', 'kind': 'pin'}], "
              "'loads': [{'at': 'B', 'components': [0, -7.5]}]}");
    assert_string_equal(faults(&s), "joints-coincide at /joints/C");
    assert_string_equal(fault_text(&s, 0), "Joint C lies where joint B is: move one of them, or "
                                           "make one joint of the two.");
    done(&s);
    s = solve("truss", "{'joints': {'A': [0, 0], 'B': [0.5, {'value': 25, 'unit': 'cm'}], 'C': "
                       "[{'value': 500, 'unit': 'mm'}, 0.25]}, 'members': [['A', 'B']]}");
    assert_string_equal(faults(&s), "joints-coincide at /joints/C");
    done(&s);
}

static void faulty_support(void **state)
{
    (void)state;
    struct solved s =
        solve("truss", "{'joints': {'A': [0, 0], 'B': [4, 3]}, 'members': [['A', 'B']], "
                       "'supports': [{'at': 'A', 'kind': 'roller', 'normal': {'line': [[1, 2], "
                       "[1, 2.0]]}}], 'loads': [{'at': 'B', 'magnitude': 6, 'direction': "
                       "{'angle': 53.13}, 'components': [3, 4]}]}");
    assert_string_equal(faults(&s),
                        "disagree at /loads/0, zero-direction at /supports/0/normal/line");
    done(&s);
}

/* Rounded coordinates: two long decimals meet where the true ones would; what is zero within them
 * is said to be. */
static void long_decimals(void **state)
{
    (void)state;
    struct solved s = solve(
        "truss", "{'joints': {'A': [0, 0], 'B': [1, 1.7320508075688772], 'C': [2, "
                 "3.4641016151377546]}, 'members': [['A', 'B'], ['B', 'C']], 'supports': [{'at': "
                 "'A', 'kind': 'pin'}, {'at': 'C', 'kind': 'pin'}], 'loads': [{'at': 'B', "
                 "'components': [1.5, -7.25]}]}");
    assert_string_equal(words_at(&s, "state"), "mechanism");
    assert_false(value_at(&s, "balanced", NULL)->truth);
    assert_string_equal(note_codes(&s), "critical-form not-held zero-within-digits");
    done(&s);
}

/* ---- large ones ---- */

static struct solved solve_big(enum shape shape, int joints, int loaded)
{
    struct big_truss t = big_new(shape, joints);
    size_t length;
    char *text = big_request(&t, loaded, &length);
    struct solved s = {.arena = arena_new(LIMIT_ARENA_BYTES)};
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    const struct json *root = NULL;
    assert_true(length < 2 << 20);
    problem_init(&s.problem, s.arena);
    assert_int_equal(json_read(s.arena, text, length, &limits, &root, &s.problem), PROBLEM_NONE);
    work_init(&s.work, s.arena, solving_field[0]);
    s.work.second = solving_field[1];
    s.code = run_truss(&s.work, root, &s.problem);
    free(text);
    big_free(&t);
    return s;
}

/* The chords of a Pratt truss of any length by a section: M/h in the middle. */
static void large(void **state)
{
    (void)state;
    struct solved s = solve_big(SHAPE_PRATT, 10000, 2);
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_string_equal(note_codes(&s), "numbers-only");
    assert_int_equal(count_at(&s, "count/rank"), 20000);
    assert_int_equal((int)s.work.step_count, 0);
    /* 4,999 panels of 3 m, each lower joint loaded: the reaction, and moments about the lower joint
     * at the end of panel 2,499 for the upper chord of that panel. */
    double R = 7.5 * 5000 / 2, x = 3.0 * 2499;
    double M = R * x - 7.5 * (2499.0 * 2500 / 2) * 3;
    const struct value *chord = entry_named(value_at(&s, "members", NULL), "4997-4999");
    assert_non_null(chord);
    assert_near(q_value(&s.work, chord->child->next->scalar), -M / 4, 1e-9 * M);
    assert_number(&s, "supports/1/parts/0/value", R);
    done(&s);
    for (int shape = SHAPE_WARREN; shape < SHAPE_MAX_; shape++) {
        s = solve_big((enum shape)shape, 10000, 10);
        assert_string_equal(words_at(&s, "state"), "determinate");
        assert_string_equal(note_codes(&s), "numbers-only");
        assert_true(number_at(&s, "residual/force") < 1e-6);
        done(&s);
    }
}

/* Usual trusses of every length are not sensitive. */
static void lengths(void **state)
{
    (void)state;
    static const int joints[] = {6, 14, 50, 200, 202, 1000, 3000};
    for (int shape = 0; shape < SHAPE_MAX_; shape++)
        for (size_t i = 0; i < sizeof joints / sizeof *joints; i++) {
            struct solved s = solve_big((enum shape)shape, joints[i], 1 + joints[i] / 20);
            if (strcmp(words_at(&s, "state"), "determinate") != 0 ||
                (note_codes(&s)[0] != '\0' && strcmp(note_codes(&s), "numbers-only") != 0))
                fail_msg("%s %d: %s", shape_name[shape], joints[i], note_codes(&s));
            done(&s);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published),
        cmocka_unit_test(bracket),
        cmocka_unit_test(other_supports),
        cmocka_unit_test(numbered_joints),
        cmocka_unit_test(tripod),
        cmocka_unit_test(redundant),
        cmocka_unit_test(between_pins),
        cmocka_unit_test(leaning),
        cmocka_unit_test(no_supports),
        cmocka_unit_test(critical_form),
        cmocka_unit_test(loose),
        cmocka_unit_test(zero_force_members),
        cmocka_unit_test(zero_force_rules),
        cmocka_unit_test(sensitivity),
        cmocka_unit_test(joint_on_member),
        cmocka_unit_test(joints_at_one_place),
        cmocka_unit_test(faulty_support),
        cmocka_unit_test(long_decimals),
        cmocka_unit_test(large),
        cmocka_unit_test(lengths),
    };
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
