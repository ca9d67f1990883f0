/* test_check.c: how answers are marked: forms, what is asked, follow-through, mistakes, awkward
 * problems, hostile answers. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "marked.h"

#include "endpoints/endpoint.h"
#include "oracle/exercise.h"
#include "oracle/solve.h"

/* A problem with ' for ", its answer, further members; what comes back stays in `checked`. */
static struct solved checked;

static enum problem_code check(const char *problem, const char *answer, const char *more)
{
    static char request[32768];
    solved_free(&checked);
    snprintf(request, sizeof request, "{'problem': %s, 'answer%s': %s%s%s}", problem,
             answer[0] == '[' ? "s" : "", answer, *more ? ", " : "", more);
    for (char *c = request; *c; c++)
        if (*c == '\'')
            *c = '"';
    return solve(&checked, "/v1/check", request);
}

static int begin(void **state)
{
    (void)state;
    checked.arena = arena_new(1 << 20);
    return 0;
}

static int end(void **state)
{
    (void)state;
    solved_free(&checked);
    return 0;
}

/* "magnitude correct, direction incorrect": the last parts of the paths. */
static const char *verdicts_of(const struct value *marked)
{
    static char text[2048];
    size_t length = 0;
    text[0] = '\0';
    for (const struct value *i = present(marked, "items")->child; i; i = i->next) {
        const char *of = strrchr(present(i, "of")->text, '/') + 1;
        length += (size_t)snprintf(text + length, sizeof text - length, "%s%s %s",
                                   length ? ", " : "", of, present(i, "verdict")->text);
    }
    return text;
}

/* "sum.one.swap at /forces/0, …" */
static const char *mistakes_of(const struct value *marked)
{
    static char text[2048];
    size_t length = 0;
    text[0] = '\0';
    for (const struct value *m = present(marked, "mistakes")->child; m; m = m->next) {
        const struct value *at = member(m, "at");
        length +=
            (size_t)snprintf(text + length, sizeof text - length, "%s%s%s%s", length ? ", " : "",
                             present(m, "code")->text, at ? " at " : "", at ? at->text : "");
    }
    return text;
}

static void marks(const char *problem, const char *answer, const char *more, const char *expected,
                  const char *file, int line)
{
    if (check(problem, answer, more) != PROBLEM_NONE) {
        print_error("%s\n", checked.problem.detail);
        _fail(file, line);
    }
    _assert_string_equal(verdicts_of(checked.work.answer), expected, file, line);
}
#define assert_marks(...) marks(__VA_ARGS__, __FILE__, __LINE__)

static void names(const char *problem, const char *answer, const char *more, const char *expected,
                  const char *file, int line)
{
    if (check(problem, answer, more) != PROBLEM_NONE) {
        print_error("%s\n", checked.problem.detail);
        _fail(file, line);
    }
    _assert_string_equal(mistakes_of(checked.work.answer), expected, file, line);
}
#define assert_names(...) names(__VA_ARGS__, __FILE__, __LINE__)

/* P (24, -10), Q (-34.64, 20): R (-10.64, 10), 14.60 at 136.8 degrees. */
static const char two[] =
    "{'kind': 'resultant', 'forces': [{'name': 'P', 'magnitude': 26, 'direction': {'slope': "
    "{'run': 12, 'rise': -5}}}, {'name': 'Q', 'magnitude': 40, 'direction': {'angle': 150}}]}";
#define RIGHT "magnitude correct, direction correct"

/* ---- forms ---- */

static void test_directions_in_any_form(void **state)
{
    static const char *const directions[] = {
        "{'angle': 136.8}",
        "{'angle': 496.8}",
        "{'angle': -223.2}",
        "{'angle': 223.2, 'turn': 'clockwise'}",
        "{'angle': 43.2, 'from': '-x', 'turn': 'clockwise'}",
        "{'angle': 43.2, 'from': '-x', 'toward': '+y'}",
        "{'angle': '46,8°', 'from': '+y'}",
        "{'angle': {'value': 2.3872, 'unit': 'rad'}}",
        "{'angle': '2.387 rad'}",
        "{'slope': {'run': -10.64, 'rise': 10}}",
        "{'vector': [-1.064, '1']}",
        "{'line': [[3, 1], [-7.64, 11]]}",
        "{'bearing': 'N46.8W'}",
    };
    (void)state;
    for (size_t i = 0; i < sizeof directions / sizeof *directions; i++) {
        char answer[256];
        snprintf(answer, sizeof answer, "{'resultant': {'magnitude': 14.6, 'direction': %s}}",
                 directions[i]);
        assert_marks(two, answer, "", RIGHT);
    }
}

static void test_magnitudes_in_any_form(void **state)
{
    static const char *const magnitudes[] = {
        "14.6",        "'14,6'", "'1.46e1'", "'14.6 N'",       "{'value': 0.0146, 'unit': 'kN'}",
        "'0,0146 kN'", "'73/5'", "'2*7.3'",  "14.602438999468"};
    (void)state;
    for (size_t i = 0; i < sizeof magnitudes / sizeof *magnitudes; i++) {
        char answer[256];
        snprintf(answer, sizeof answer,
                 "{'resultant': {'magnitude': %s, 'direction': {'angle': 136.8}}}", magnitudes[i]);
        assert_marks(two, answer, "", RIGHT);
    }
    assert_marks(two,
                 "{'units': {'force': 'kN', 'angle': 'rad'}, 'resultant': {'magnitude': 0.0146, "
                 "'direction': {'angle': 2.387}}}",
                 "", RIGHT);
    /* A negative magnitude along the opposite direction is the same vector. */
    assert_marks(two, "{'resultant': {'magnitude': -14.6, 'direction': {'angle': -43.2}}}", "",
                 RIGHT);
    assert_marks(two, "{'resultant': {'magnitude': -14.6}}", "", "magnitude incorrect");
}

static void test_an_equivalent_form_answers(void **state)
{
    static const char polar[] = "'asked': ['/resultant/magnitude', '/resultant/direction']";
    static const char components[] = "'asked': ['/resultant/components']";
    (void)state;
    assert_marks(two, "{'resultant': {'components': [-10.6, 10.0]}}", polar, RIGHT);
    assert_marks(two, "{'resultant': {'magnitude': 14.6, 'direction': {'angle': 136.8}}}",
                 components, "0 correct, 1 correct");
    assert_marks(two, "{'resultant': {'components': [10.6, 10.0]}}", polar,
                 "magnitude correct, direction incorrect");
    assert_marks(two, "{'resultant': {'components': [-10.6, 10.0]}}", "'asked': ['/resultant']",
                 "0 correct, 1 correct");
    assert_marks(two, "{'resultant': {'magnitude': 14.6, 'direction': {'angle': 136.8}}}",
                 "'asked': ['/resultant']", RIGHT);
    assert_marks(two, "{'resultant': {'components': [-10.6, 12.0]}}",
                 "'asked': ['/resultant/components/0']", "0 correct");
}

static void test_only_what_is_asked_is_marked(void **state)
{
    (void)state;
    assert_marks(two, "{'resultant': {'magnitude': 14.6, 'direction': {'angle': 10}}}",
                 "'asked': ['/resultant/magnitude']", "magnitude correct");
    assert_marks(two, "{'resultant': {'magnitude': 14.6}}",
                 "'asked': ['/resultant/magnitude', '/resultant/direction']",
                 "magnitude correct, direction missing");
    assert_marks(two, "{}", "'asked': ['/resultant']", "magnitude missing, direction missing");
    assert_marks(two, "{'quadrant': 2, 'unit_vector': [-0.729, 0.685]}", "",
                 "0 correct, 1 correct, quadrant correct");
    assert_marks(two, "{'quadrant': 3}", "", "quadrant incorrect");
    assert_int_equal(check(two, "{}", ""), PROBLEM_INVALID_REQUEST);
    assert_string_equal(checked.problem.faults[0].pointer, "/answer");
    assert_int_equal(check(two, "{}", "'asked': ['/resultant/size']"), PROBLEM_INVALID_REQUEST);
    assert_string_equal(checked.problem.faults[0].pointer, "/asked/0");
}

static void test_rules(void **state)
{
    (void)state;
    /* 14.60: one figure, a tolerance of 20 %, one of 4 degrees */
    assert_marks(two, "{'resultant': {'magnitude': 10}}", "", "magnitude incorrect");
    assert_marks(two, "{'resultant': {'magnitude': 10}}", "'marking': {'significant_figures': 1}",
                 "magnitude correct");
    assert_marks(two, "{'resultant': {'magnitude': 17.1}}", "", "magnitude incorrect");
    assert_marks(two, "{'resultant': {'magnitude': 17.1}}",
                 "'marking': {'tolerance': {'relative': 0.2}}", "magnitude correct");
    assert_marks(two, "{'resultant': {'direction': {'angle': 140.5}}}", "", "direction incorrect");
    assert_marks(two, "{'resultant': {'direction': {'angle': 140.5}}}",
                 "'marking': {'tolerance': {'angle': 4}}", "direction correct");
}

/* ---- tension and compression ---- */

static const char joint[] =
    "{'kind': 'truss-joint', 'joint': 'B', 'members': [{'name': 'BA', 'direction': {'angle': "
    "217.5}}, {'name': 'BC', 'direction': {'axis': '-y'}}], 'forces': [{'name': 'P', 'magnitude': "
    "5.2, 'direction': {'axis': '+x'}}]}";

static void test_tension_by_sign_or_word(void **state)
{
    /* BA = 5.2/cos 37.5 = 6.554 in tension, BC = -5.2 tan 37.5 = -3.990 */
    static const struct {
        const char *member, *verdict;
    } rows[] = {
        {"{'name': 'BC', 'force': -3.99}", "correct"},
        {"{'name': 'BC', 'force': 3.99, 'state': 'compression'}", "correct"},
        {"{'name': 'BC', 'force': 3.99, 'state': 'C'}", "correct"},
        {"{'name': 'BC', 'force': -3.99, 'state': 'C'}", "correct"},
        {"{'name': 'BC', 'force': 3.99}", "incorrect"},
        {"{'name': 'BC', 'force': 3.99, 'state': 'tension'}", "incorrect"},
        {"{'name': 'BC', 'force': -3.99, 'state': 'T'}", "incorrect"},
        {"{'name': 'BA', 'force': '6,55', 'state': 'T'}", "correct"},
        {"{'name': 'BA', 'force': -6.55, 'state': 'T'}", "incorrect"},
        {"{'name': 'AB', 'force': 6.55}", "correct"}, /* the same member */
        {"{'name': 'BC', 'force': '3.99 (C)'}", "correct"},
        {"{'name': 'BC', 'force': '3,99 N C '}", "correct"},
        {"{'name': 'BC', 'force': '0.00399 kN(C)'}", "correct"},
        {"{'name': 'BC', 'force': '3.99 compression'}", "correct"},
        {"{'name': 'BC', 'force': '3.99 N (compression)', 'state': 'C'}", "correct"},
        {"{'name': 'BC', 'force': '3.99 N (T)'}", "incorrect"},
        {"{'name': 'BC', 'force': '3.99 N (C)', 'state': 'T'}", "incorrect"}, /* which? */
        {"{'name': 'BC', 'force': '3.99 NC'}", "incorrect"},
        {"{'name': 'BC', 'force': '(C)'}", "incorrect"},
        {"{'name': 'BA', 'force': '6.55 N T'}", "correct"},
        {"{'name': 'BA', 'force': '6.55 tension'}", "correct"},
        {"{'name': 'BA', 'force': '-6.55 N (T)'}", "incorrect"},
        {"{'name': 'BA', 'force': '6.55 N (C)'}", "incorrect"},
        {"{'name': 'BC', 'state': 'compression'}", "correct"},
        {"{'name': 'BC', 'state': 'zero'}", "incorrect"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char answer[256];
        snprintf(answer, sizeof answer, "{'members': [%s]}", rows[i].member);
        assert_int_equal(check(joint, answer, ""), PROBLEM_NONE);
        const struct value *item = present(checked.work.answer, "items")->child;
        if (strcmp(present(item, "verdict")->text, rows[i].verdict) != 0)
            fail_msg("%s is %s", rows[i].member, present(item, "verdict")->text);
    }
    assert_names(joint,
                 "{'members': [{'name': 'BA', 'force': -6.55}, {'name': 'BC', 'force': "
                 "3.99}]}",
                 "", "tr.flip");
}

/* ---- couples, unknowns ---- */

static const char beam[] =
    "{'kind': 'equilibrium', 'points': {'A': [0, 0], 'B': [6, 0], 'C': [2, 0]}, 'forces': "
    "[{'name': 'P', 'magnitude': 12, 'direction': {'axis': '-y'}, 'at': 'C'}, {'name': 'Q', "
    "'magnitude': 6, 'direction': {'angle': 60, 'from': '-x', 'toward': '-y'}, 'at': [4, 0]}], "
    "'supports': [{'name': 'A', 'kind': 'pin', 'at': 'A'}, {'name': 'B', 'kind': 'roller', 'at': "
    "'B'}]}"; /* A_x 3, A_y 9.732, B 7.464 */

static void test_parts_and_components_are_the_same(void **state)
{
    (void)state;
    assert_marks(beam,
                 "{'unknowns': [{'name': 'A', 'parts': [{'symbol': 'A_x', 'value': 3}, {'symbol': "
                 "'A_y', 'value': 9.73}]}]}",
                 "'asked': ['/unknowns/A/force/components']", "0 correct, 1 correct");
    assert_marks(beam, "{'unknowns': [{'name': 'A', 'force': {'components': [3, 9.73]}}]}",
                 "'asked': ['/unknowns/A/parts/A_y/value']", "value correct");
    assert_names(beam,
                 "{'unknowns': [{'name': 'A', 'parts': [{'symbol': 'A_y', 'value': 7.46}]}, "
                 "{'name': 'B', 'parts': [{'symbol': 'B', 'value': 9.73}]}]}",
                 "", "eq.exchange");
    assert_names(beam,
                 "{'unknowns': [{'name': 'A', 'parts': [{'symbol': 'A_y', 'value': 1.73}]}, "
                 "{'name': 'B', 'parts': [{'symbol': 'B', 'value': 3.46}]}]}",
                 "", "eq.missing at /forces/0");
}

static void test_couples(void **state)
{
    static const char moment[] =
        "{'kind': 'resultant', 'forces': [{'name': 'P', 'magnitude': 26, 'direction': {'slope': "
        "{'run': 12, 'rise': -5}}, 'at': [2.5, 3]}]}"; /* 2.5 (-10) - 3 (24) = -97 */
    (void)state;
    assert_marks(moment, "{'equivalent': {'couple': -97}}", "", "couple correct");
    assert_marks(moment, "{'equivalent': {'couple': {'moment': 97, 'turn': 'clockwise'}}}", "",
                 "couple correct");
    assert_marks(moment,
                 "{'equivalent': {'couple': {'moment': '0,097 kN*m', 'turn': "
                 "'clockwise'}}}",
                 "", "couple correct");
    assert_marks(moment,
                 "{'equivalent': {'couple': {'moment': 97, 'turn': "
                 "'counter-clockwise'}}}",
                 "", "couple incorrect");
    assert_names(moment, "{'resultant': {'components': [24, -10]}, 'equivalent': {'couple': 97}}",
                 "", "mom.sign");
    assert_names(moment, "{'resultant': {'components': [24, -10]}, 'equivalent': {'couple': 47}}",
                 "", "mom.add at /forces/0");
}

/* ---- follow-through ---- */

static void test_follow_through(void **state)
{
    (void)state;
    /* R_y wrong, magnitude and direction right for it */
    assert_marks(two,
                 "{'resultant': {'components': [-10.6, 12], 'magnitude': 16.0, 'direction': "
                 "{'angle': 131.5}}}",
                 "", "0 correct, 1 incorrect, magnitude follows, direction follows");
    assert_int_equal(present(member(checked.work.answer, "score"), "given")->count, 3);
    /* … and wrong for it as well */
    assert_marks(two,
                 "{'resultant': {'components': [-10.6, 12], 'magnitude': 22.6, 'direction': "
                 "{'angle': 131.5}}}",
                 "", "0 correct, 1 incorrect, magnitude incorrect, direction follows");
    /* A_y from a wrong B */
    assert_marks(beam,
                 "{'unknowns': [{'name': 'A', 'parts': [{'symbol': 'A_x', 'value': 3}, {'symbol': "
                 "'A_y', 'value': 12.2}]}, {'name': 'B', 'parts': [{'symbol': 'B', 'value': "
                 "5.0}]}]}",
                 "", "value correct, value follows, value incorrect");
}

static void test_two_mistakes(void **state)
{
    static const char moments[] =
        "{'kind': 'resultant', 'forces': [{'name': 'P', 'magnitude': 26, 'direction': {'slope': "
        "{'run': 12, 'rise': -5}}, 'at': [2.5, 3]}, {'name': 'Q', 'magnitude': 40, 'direction': "
        "{'angle': 150}, 'at': [-1.5, 2]}]}";
    (void)state;
    /* P reversed, and the moment of Q with the other sign: R (-58.64, 30), M_P 97, M_Q 39.28 */
    assert_names(moments,
                 "{'resultant': {'components': [-58.6, 30]}, 'equivalent': {'couple': 57.7}}", "",
                 "sum.one.rev at /forces/0, mom.sign at /forces/1");
}

static void test_one_mistake_among_others(void **state)
{
    (void)state;
    /* P exchanged, its magnitude right for that, and a direction out of the blue */
    assert_names(two,
                 "{'resultant': {'components': [-24.6, -4.0], 'magnitude': 25.0, 'direction': "
                 "{'angle': 300}}}",
                 "", "sum.one.swap at /forces/0");
    assert_string_equal(verdicts_of(checked.work.answer),
                        "0 incorrect, 1 incorrect, magnitude follows, direction incorrect");
    /* nothing of the kind */
    assert_names(two,
                 "{'resultant': {'components': [-21.3, 3.1], 'magnitude': 39.0, 'direction': "
                 "{'angle': 300}}}",
                 "", "");
}

static void test_a_lost_sign_is_named_however_small(void **state)
{
    static const char shallow[] = /* R = (28.2, −1.24) */
        "{'kind': 'resultant', 'forces': [{'name': 'P', 'magnitude': 30, 'direction': {'angle': "
        "20}}, {'name': 'Q', 'magnitude': 11.5, 'direction': {'axis': '-y'}}]}";
    (void)state;
    assert_names(shallow, "{'resultant': {'components': [28.2, 1.24]}}", "", "dir.sign");
    assert_names(shallow, "{'resultant': {'components': [28.2, -1.24]}}", "", "");
}

static void test_feedback_has_two_levels(void **state)
{
    static const char answer[] = "{'resultant': {'magnitude': 14.6, 'direction': {'angle': 43.2}}}";
    (void)state;
    assert_names(two, answer, "", "dir.acute");
    const struct value *first =
        present(present(checked.work.answer, "mistakes")->child, "feedback");
    /* in quadrant II the same number as a lost sign of R_x */
    assert_string_equal(first->text, "The acute angle fits; say from which axis it is measured, "
                                     "and which way. Or: The sizes of the sums fit: what sign does "
                                     "each of them have?");
    assert_names(two, answer, "'marking': {'attempt': 2}", "dir.acute");
    const struct value *second =
        present(present(checked.work.answer, "mistakes")->child, "feedback");
    assert_non_null(strstr(second->text, "belongs to a quadrant"));
}

static void test_rounded_too_early(void **state)
{
    /* sin and cos of whole degrees to two figures: 217.5 at 48.2 and 150 at 156.7 */
    static const char pulls[] =
        "{'kind': 'resultant', 'forces': [{'name': 'P', 'magnitude': 217.5, 'direction': "
        "{'slope': {'run': 7, 'rise': 8.1}}}, {'name': 'Q', 'magnitude': 151.3, 'direction': "
        "{'slope': {'run': -11, 'rise': 5}}}]}"; /* 4.493, 227.2; to two figures all the way: */
    (void)state;
    /* P 140, 170; Q -140, 62: (0, 230) is far from the key in x; three steps to two figures */
    assert_int_equal(check(pulls, "{'resultant': {'components': [0, 230]}}", ""), PROBLEM_NONE);
    const char *named = mistakes_of(checked.work.answer);
    if (*named)
        assert_string_equal(named, "round.early");
}

/* ---- awkward problems ---- */

static void test_no_resultant(void **state)
{
    static const char balanced[] =
        "{'kind': 'resultant', 'forces': [{'magnitude': 10, 'direction': {'angle': 0}}, "
        "{'magnitude': 10, 'direction': {'angle': 120}}, {'magnitude': 10, 'direction': {'angle': "
        "240}}]}";
    (void)state;
    assert_marks(balanced, "{'resultant': {'magnitude': 0}}", "'asked': ['/resultant']", RIGHT);
    assert_marks(balanced, "{'resultant': {'magnitude': 0, 'direction': null}}", "", RIGHT);
    assert_marks(balanced, "{'resultant': null}", "'asked': ['/resultant']", RIGHT);
    assert_marks(two, "{'resultant': null}", "'asked': ['/resultant']",
                 "magnitude incorrect, direction incorrect");
    assert_marks(balanced, "{'resultant': {'magnitude': 0.02, 'direction': {'angle': 37}}}", "",
                 "magnitude correct, direction incorrect");
    assert_marks(balanced, "{'resultant': {'components': [0.03, 0]}}", "'asked': ['/resultant']",
                 "0 correct, 1 correct");
    assert_marks(two, "{'resultant': {'magnitude': 14.6, 'direction': null}}", "",
                 "magnitude correct, direction incorrect");
}

static void test_two_solutions(void **state)
{
    /* The force F of 8 in an unknown direction and T along 150 degrees hold 10 down. */
    static const char triangle[] =
        "{'kind': 'equilibrium', 'forces': [{'name': 'W', 'magnitude': 10, 'direction': {'axis': "
        "'-y'}}, {'name': 'F', 'magnitude': 8.9, 'direction': 'unknown'}, {'name': 'T', "
        "'magnitude': 'unknown', 'direction': {'angle': 150}}]}";
    struct solved s;
    (void)state;
    char request[512];
    snprintf(request, sizeof request, "{%s", strchr(triangle, ',') + 1);
    for (char *c = request; *c; c++)
        if (*c == '\'')
            *c = '"';
    assert_int_equal(solve(&s, "/v1/equilibrium", request), PROBLEM_NONE);
    const struct value *solutions = present(s.work.answer, "solutions");
    assert_non_null(solutions);
    double tension[2];
    int count = 0;
    for (const struct value *one = solutions->child; one; one = one->next, count++)
        for (const struct value *u = present(one, "unknowns")->child; u; u = u->next)
            if (strcmp(present(u, "name")->text, "T") == 0)
                tension[count] = q_value(&s.work, present(member(u, "force"), "magnitude")->scalar);
    assert_int_equal(count, 2);
    for (int first = 0; first < 2; first++) {
        char answer[512];
        snprintf(answer, sizeof answer,
                 "{'unknowns': [{'name': 'T', 'force': {'magnitude': %.4g}}]}", tension[first]);
        assert_marks(triangle, answer, "", "magnitude correct");
        snprintf(answer, sizeof answer,
                 "{'solutions': [{'unknowns': [{'name': 'T', 'force': {'magnitude': %.4g}}]}, "
                 "{'unknowns': [{'name': 'T', 'force': {'magnitude': %.4g}}]}]}",
                 tension[first], tension[1 - first]);
        assert_marks(triangle, answer, "", "magnitude correct, magnitude correct");
        snprintf(answer, sizeof answer,
                 "{'solutions': [{'unknowns': [{'name': 'T', 'force': {'magnitude': %.4g}}]}, "
                 "{'unknowns': [{'name': 'T', 'force': {'magnitude': %.4g}}]}]}",
                 tension[first], tension[first]);
        assert_int_equal(check(triangle, answer, ""), PROBLEM_NONE);
        assert_int_equal(present(member(checked.work.answer, "score"), "given")->count, 1);
    }
    solved_free(&s);
}

static void test_indeterminate(void **state)
{
    static const char three[] =
        "{'kind': 'equilibrium', 'points': {'A': [0, 0], 'B': [6, 0]}, 'forces': [{'name': 'P', "
        "'magnitude': 12, 'direction': {'axis': '-y'}, 'at': [2, 0]}], 'supports': [{'name': "
        "'A', 'kind': 'pin', 'at': 'A'}, {'name': 'B', 'kind': 'pin', 'at': 'B'}]}";
    (void)state;
    assert_marks(three,
                 "{'unknowns': [{'name': 'B', 'parts': [{'symbol': 'B_y', 'value': 4}, {'symbol': "
                 "'B_x', 'value': null}]}, {'name': 'A', 'parts': [{'symbol': 'A_x', 'value': "
                 "3}]}], 'state': 'indeterminate'}",
                 "", "state correct, value incorrect, value correct, value correct");
    /* All are asked: what statics does not fix need not be given; a number there is wrong. */
    assert_marks(three,
                 "{'unknowns': [{'name': 'A', 'parts': [{'symbol': 'A_y', 'value': 8}]}, {'name': "
                 "'B', 'parts': [{'symbol': 'B_y', 'value': 4}]}]}",
                 "'asked': ['/unknowns']", "value correct, value correct");
    assert_string_equal(checked.work.note[0].code, "not-fixed");
    assert_marks(three, "{'state': 'indeterminate'}", "'asked': ['/unknowns', '/state']",
                 "value missing, value missing, state correct");
    assert_marks(three,
                 "{'unknowns': [{'name': 'A', 'parts': [{'symbol': 'A_y', 'value': 8}, {'symbol': "
                 "'A_x', 'value': 1}]}]}",
                 "'asked': ['/unknowns/A']", "value incorrect, value correct");
    assert_marks(three, "{'unknowns': [{'name': 'A', 'force': null}]}",
                 "'asked': ['/unknowns/A/force']", "force correct");
    assert_marks(three, "{}", "'asked': ['/unknowns/A/force']", "force missing");
}

/* Each by the numbers of its line: what the mistake gives is worked out beside it. */
static void test_mistakes_of_couples_and_supports(void **state)
{
    /* 26 sin 40/sin 70 = 17.79, 26 sin 30/sin 70 = 13.83; 26 cos 30 = 22.52, 26 cos 40 = 19.92 */
    static const char oblique[] =
        "{'kind': 'resolve', 'force': {'name': 'F', 'magnitude': 26, 'direction': {'angle': 30}}, "
        "'along': {'u': {'angle': 0}, 'v': {'angle': 70}}}";
    /* B = (2 P_y − M)/6, A_y = P_y − B, A_x = P_x; P_x 6, P_y 10.39, M 9 */
    static const char turned[] =
        "{'kind': 'equilibrium', 'points': {'A': [0, 0], 'B': [6, 0], 'C': [2, 0]}, 'forces': "
        "[{'name': 'P', 'magnitude': 12, 'direction': {'angle': 60, 'from': '-x', 'toward': "
        "'-y'}, 'at': 'C'}], 'couples': [{'name': 'M', 'moment': 9, 'at': 'C'}], 'supports': "
        "[{'name': 'A', 'kind': 'pin', 'at': 'A'}, {'name': 'B', 'kind': 'roller', 'at': 'B'}]}";
    static const struct {
        double x, y, b;
        const char *mistake;
    } rows[] = {
        {6, 9.93, 0.464, "cpl.dist at /couples/0"},  /* M 2 */
        {6, 12.9, -2.54, "cpl.dist at /couples/0"},  /* M 4 */
        {6, 5.43, 4.96, "mom.sign at /couples/0"},   /* −M */
        {6, 6.93, 3.46, "eq.missing at /couples/0"}, /* no M */
        {3, 8.43, 1.96, "eq.extra"},                 /* B_x = A_x */
        {0, 8.43, 1.96, "eq.extra"},                 /* B_x = P_x */
        {6, 10.4, 1.96, "eq.oneside"},               /* ΣF_y without B */
    };
    (void)state;
    assert_names(oblique, "{'along': {'u': 22.5, 'v': 19.9}}", "", "res.oblique");
    assert_names(oblique, "{'along': {'u': 17.8, 'v': 19.9}}", "", "res.oblique");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char answer[300];
        snprintf(answer, sizeof answer,
                 "{'unknowns': [{'name': 'A', 'parts': [{'symbol': 'A_x', 'value': %g}, {'symbol': "
                 "'A_y', 'value': %g}]}, {'name': 'B', 'parts': [{'symbol': 'B', 'value': %g}]}]}",
                 rows[i].x, rows[i].y, rows[i].b);
        assert_names(turned, answer, "", rows[i].mistake);
    }
}

/* ---- robust ---- */

static void test_hostile_answers(void **state)
{
    static const char *const answers[] = {
        "{'resultant': {'magnitude': '1e999'}}",
        "{'resultant': {'magnitude': 'inf'}}",
        "{'resultant': {'magnitude': 'nan'}}",
        "{'resultant': {'magnitude': '1/0'}}",
        "{'resultant': {'magnitude': ' '}}",
        "{'resultant': {'magnitude': ''}}",
        ("{'resultant': {'magnitude': 'fourteen point six, since the two parts are square to each "
         "other and add up like the sides of a triangle'}}"),
        "{'resultant': {'magnitude': 1e308}}",
        "{'resultant': {'magnitude': {'value': 1e308, 'unit': 'MN'}}}",
        "{'resultant': {'magnitude': {'value': 14.6, 'unit': 'm'}}}",
        "{'resultant': {'magnitude': '14.6 furlong'}}",
        "{'resultant': {'direction': {'vector': [0, 0]}}}",
        "{'resultant': {'direction': {'vector': [1, 2, 3]}}}",
        "{'resultant': {'direction': {'slope': {'run': 0, 'rise': 0}}}}",
        "{'resultant': {'direction': {'azimuth': 3, 'elevation': 4}}}",
        "{'resultant': {'direction': {'direction_angles': {'alpha': 30, 'beta': 60}}}}",
        "{'resultant': {'direction': {'line': ['X', 'Y']}}}",
        "{'resultant': {'direction': {'angle': 30, 'from': '+z'}}}",
        "{'resultant': {'direction': {'angle': 1e300}}}",
        "{'resultant': {'components': [1, 2, 3]}}",
        "{'resultant': {'components': null}}",
        "{'resultant': null}",
        "{'unit_vector': null}",
        "{'azimuth': 12}",
        "{'wrench': {'pitch': 3}}",
        "{'equivalent': {'couple': 3}}",
        "{'quadrant': 1e300}",
        "{'quadrant': 'two'}",
    };
    (void)state;
    for (size_t i = 0; i < sizeof answers / sizeof *answers; i++) {
        if (check(two, answers[i], "") != PROBLEM_NONE)
            fail_msg("%s: %s", answers[i], checked.problem.detail);
        assert_string_equal(present(checked.work.answer, "verdict")->text, "incorrect");
        /* … and with what was asked beside it */
        assert_int_equal(check(two, answers[i], "'asked': ['/resultant']"), PROBLEM_NONE);
    }
    assert_marks(joint, "{'members': [{'name': 'QX', 'force': 3}]}", "", "QX incorrect");
}

static void test_problems_that_cannot_be_worked(void **state)
{
    (void)state;
    assert_int_equal(check("{'kind': 'resultant', 'forces': [{'name': 'P', 'magnitude': 2, "
                           "'direction': {'slope': {'run': 0, 'rise': 0}}}]}",
                           "{'resultant': {'magnitude': 2}}", ""),
                     PROBLEM_INVALID_REQUEST);
    assert_int_equal(strncmp(checked.problem.faults[0].pointer, "/problem/forces/0", 17), 0);
}

/* ---- a class ---- */

static void test_class(void **state)
{
    (void)state;
    assert_int_equal(
        check(two,
              "[{'resultant': {'magnitude': 14.6, 'direction': {'angle': 136.8}}}, {'resultant': "
              "{'magnitude': 25, 'direction': {'angle': 189.2}}}, {'resultant': {'magnitude': "
              "14.6}}, {}, {'resultant': {'magnitude': 25, 'direction': {'angle': 189.2}}}]",
              "'asked': ['/resultant']"),
        PROBLEM_NONE);
    const struct value *answers = present(checked.work.answer, "answers");
    static const char *const expected[] = {
        RIGHT, "magnitude incorrect, direction incorrect", "magnitude correct, direction missing",
        "magnitude missing, direction missing", "magnitude incorrect, direction incorrect"};
    int i = 0;
    for (const struct value *a = answers->child; a; a = a->next)
        assert_string_equal(verdicts_of(a), expected[i++]);
    const struct value *tally = present(checked.work.answer, "tally");
    const struct value *mistake = present(tally, "mistakes")->child;
    assert_string_equal(present(mistake, "code")->text, "sum.one.swap");
    assert_int_equal(present(mistake, "count")->count, 2);
    const struct value *direction = present(tally, "items")->child->next;
    assert_int_equal(present(direction, "correct")->count, 1);
    assert_int_equal(present(direction, "incorrect")->count, 2);
    assert_int_equal(present(direction, "missing")->count, 2);
}

/* ---- the wrong lines change nothing ---- */

static const char *answer_text(struct solved *s, const char *path, const char *request, bool slips)
{
    const struct json *json;
    struct json_limits limits = {64, 200000};
    struct render_options options = render_defaults();
    static struct field *field;
    if (!field)
        field = field_new(5);
    const struct endpoint *e = endpoints;
    while (strcmp(e->path, path) != 0)
        e++;
    s->arena = arena_new((size_t)256 << 20);
    problem_init(&s->problem, s->arena);
    assert_int_equal(json_read(s->arena, request, strlen(request), &limits, &json, &s->problem),
                     PROBLEM_NONE);
    work_init(&s->work, s->arena, field);
    s->work.kind = e->kind;
    s->work.keeps_slips = slips;
    if (e->run(&s->work, json, &s->problem) != PROBLEM_NONE)
        return s->problem.detail;
    options.working = options.key = true;
    return solved_json(s, &options);
}

static void test_wrong_lines_change_nothing(void **state)
{
    static char request[8192];
    struct draw d = {2017};
    (void)state;
    for (int i = 0; i < 150; i++) {
        struct exercise e;
        struct solved with, without;
        exercise_draw_any(&d, &e);
        exercise_write(&e, ", \"key\": true", request, sizeof request);
        const char *a = answer_text(&with, exercise_path(&e), request, true);
        const char *b = answer_text(&without, exercise_path(&e), request, false);
        if (strcmp(a, b) != 0)
            fail_msg("%s\n%s\n%s", request, a, b);
        assert_true(with.work.chance_count > 0 || with.problem.faults_found > 0);
        solved_free(&with);
        solved_free(&without);
    }
}

/* ---- memory that runs out ---- */

static void test_memory_runs_out(void **state)
{
    static char request[4096];
    struct field *field = field_new(3);
    const struct endpoint *e = endpoints;
    bool is_done = false;
    int steps = 0;
    (void)state;
    snprintf(request, sizeof request,
             "{'problem': %s, 'asked': ['/resultant'], 'answers': [{'resultant': {'magnitude': 25, "
             "'direction': {'angle': 189.2}}}, {'resultant': {'components': [1, '2,5']}}, {}]}",
             two);
    for (char *c = request; *c; c++)
        if (*c == '\'')
            *c = '"';
    while (strcmp(e->path, "/v1/check") != 0)
        e++;
    for (size_t cap = 2048; !is_done; cap += 1024, steps++) {
        struct arena *arena = arena_new(cap);
        struct problem p;
        struct work w;
        const struct json *json = NULL;
        struct json_limits limits = {64, 200000};
        problem_init(&p, arena);
        enum problem_code code = arena ? PROBLEM_NONE : PROBLEM_OVERLOADED;
        if (arena)
            code = json_read(arena, request, strlen(request), &limits, &json, &p);
        if (code == PROBLEM_NONE) {
            work_init(&w, arena, field);
            code = e->run(&w, json, &p);
        }
        if (code != PROBLEM_NONE)
            assert_true(!arena || arena_exhausted(arena));
        is_done = code == PROBLEM_NONE && !arena_exhausted(arena);
        arena_free(arena);
        assert_true(cap < (size_t)16 << 20);
    }
    assert_true(steps > 20);
    field_free(field);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_directions_in_any_form),
        cmocka_unit_test(test_magnitudes_in_any_form),
        cmocka_unit_test(test_an_equivalent_form_answers),
        cmocka_unit_test(test_only_what_is_asked_is_marked),
        cmocka_unit_test(test_rules),
        cmocka_unit_test(test_tension_by_sign_or_word),
        cmocka_unit_test(test_parts_and_components_are_the_same),
        cmocka_unit_test(test_couples),
        cmocka_unit_test(test_follow_through),
        cmocka_unit_test(test_two_mistakes),
        cmocka_unit_test(test_one_mistake_among_others),
        cmocka_unit_test(test_a_lost_sign_is_named_however_small),
        cmocka_unit_test(test_feedback_has_two_levels),
        cmocka_unit_test(test_rounded_too_early),
        cmocka_unit_test(test_no_resultant),
        cmocka_unit_test(test_two_solutions),
        cmocka_unit_test(test_indeterminate),
        cmocka_unit_test(test_mistakes_of_couples_and_supports),
        cmocka_unit_test(test_hostile_answers),
        cmocka_unit_test(test_problems_that_cannot_be_worked),
        cmocka_unit_test(test_class),
        cmocka_unit_test(test_wrong_lines_change_nothing),
        cmocka_unit_test(test_memory_runs_out),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
