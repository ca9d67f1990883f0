/* test_truss_joint.c: the member forces at one joint. */
#include "solving.h"

static void published(void **state)
{
    (void)state;
    assert_int_equal(check_published("tests/cases/truss-joint/joints.json", "truss-joint"), 3);
}

/* The sum of all forces, worked here from directions typed here. */
static void known_force_is_carried_with_its_sign(void **state)
{
    (void)state;
    struct solved s =
        solve("truss-joint", "{'joint': 'B', 'members': ["
                             "{'name': 'BA', 'direction': {'axis': '-x'}, 'force': -4.2},"
                             "{'name': 'BC', 'direction': {'angle': 15}},"
                             "{'name': 'BD', 'direction': {'slope': {'run': -3, 'rise': -4}}}],"
                             "'forces': [{'name': 'P', 'components': [0, -12.5]}]}");
    double c = cos(TEST_PI / 12), n = sin(TEST_PI / 12);
    /* BC c − 0.6 BD + 4.2 = 0, BC n − 0.8 BD − 12.5 = 0, by determinants */
    double det = c * -0.8 - -0.6 * n;
    assert_number(&s, "members[name=BC]/force", (-4.2 * -0.8 - -0.6 * 12.5) / det);
    assert_number(&s, "members[name=BD]/force", (c * 12.5 - n * -4.2) / det);
    assert_number(&s, "members[name=BA]/force", -4.2);
    assert_string_equal(words_at(&s, "members[name=BA]/state"), "compression");
    assert_string_equal(words_at(&s, "state"), "determinate");
    done(&s);
}

static void two_in_line_leave_the_third(void **state)
{
    (void)state;
    struct solved s = solve("truss-joint", "{'joint': 'B', 'members': ["
                                           "{'name': 'BA', 'direction': {'vector': [-3, -1]}},"
                                           "{'name': 'BC', 'direction': {'vector': [4.5, 1.5]}},"
                                           "{'name': 'BD', 'direction': {'vector': [0, -4]}}],"
                                           "'forces': [{'name': 'P', 'components': [0, -12.5]}]}");
    assert_string_equal(words_at(&s, "state"), "indeterminate");
    assert_true(is_null_at(&s, "members[name=BA]/force"));
    assert_true(is_null_at(&s, "members[name=BC]/state"));
    assert_number(&s, "members[name=BD]/force", -12.5);
    assert_non_null(strstr(note_text(&s, "indeterminate"), "BA and BC"));
    assert_non_null(
        strstr(steps(&s, "Equations of joint B"), "Along n, F_BA and F_BC have no part"));
    done(&s);
}

static void zero_force_rules(void **state)
{
    (void)state;
    struct solved s = solve("truss-joint", "{'joint': 'D', 'members': ["
                                           "{'name': 'DA', 'direction': {'angle': 217.5}},"
                                           "{'name': 'DB', 'direction': {'angle': 37.4}}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_string_equal(words_at(&s, "members[name=DA]/state"), "zero");
    assert_non_null(strstr(steps(&s, "Zero-force members"), "At D only DA and DB can act"));
    done(&s);
    s = solve("truss-joint",
              "{'joint': 'D', 'members': [{'name': 'DA', 'direction': {'angle': 217.5}},"
              "{'name': 'DB', 'direction': {'angle': 37.5}, 'force': 8.25},"
              "{'name': 'DC', 'direction': {'angle': 248.2}}]}");
    assert_string_equal(words_at(&s, "members[name=DC]/state"), "zero");
    assert_number(&s, "members[name=DA]/force", 8.25);
    assert_non_null(
        strstr(steps(&s, "Zero-force members"), "all forces but that of DC lie along one line"));
    done(&s);
    /* A load off the line: the rule does not apply. */
    s = solve("truss-joint",
              "{'joint': 'D', 'members': [{'name': 'DA', 'direction': {'angle': 217.5}},"
              "{'name': 'DB', 'direction': {'angle': 37.5}, 'force': 8.25},"
              "{'name': 'DC', 'direction': {'angle': 248.2}}],"
              "'forces': [{'components': [0.1, 3]}]}");
    assert_string_equal(steps(&s, "Zero-force members"), "no such section");
    assert_true(fabs(number_at(&s, "members[name=DC]/force")) > 1);
    done(&s);
}

static void in_space(void **state)
{
    (void)state;
    /* One member leaves the plane of the others. */
    struct solved s = solve("truss-joint", "{'joint': 'D', 'members': ["
                                           "{'name': 'DA', 'direction': {'vector': [1, 2, 0.5]}},"
                                           "{'name': 'DB', 'direction': {'vector': [3, -1, 1]}},"
                                           "{'name': 'DC', 'direction': {'vector': [4, 1, 1.5]}},"
                                           "{'name': 'DE', 'direction': {'vector': [0, 1, -3]}}],"
                                           "'forces': [{'name': 'P', 'components': [2.5, 1, 7]}]}");
    /* n = DA × DB = (2.5, 0.5, −7); DE·n = 21.5, P·n = −42.25: F = 42.25/21.5 √10 */
    assert_number(&s, "members[name=DE]/force", 42.25 / 21.5 * sqrt(10));
    assert_true(is_null_at(&s, "members[name=DA]/force"));
    assert_string_equal(words_at(&s, "state"), "indeterminate");
    done(&s);
}

static void cannot_be_held(void **state)
{
    (void)state;
    struct solved s = solve("truss-joint", "{'joint': 'D', 'members': ["
                                           "{'name': 'DA', 'direction': {'angle': 217.5}},"
                                           "{'name': 'DB', 'direction': {'angle': 37.5}}],"
                                           "'forces': [{'components': [0, -6.5]}]}");
    assert_string_equal(words_at(&s, "state"), "no_equilibrium");
    assert_true(is_null_at(&s, "members[name=DA]/force"));
    assert_string_equal(note_codes(&s), "not-held");
    done(&s);
    /* All known, and balanced. */
    s = solve("truss-joint",
              "{'joint': 'D', 'members': [{'name': 'DA', 'direction': {'slope': {'run': 3, 'rise': "
              "4}}, 'force': 12.5}], 'forces': [{'components': [-7.5, -10]}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    done(&s);
}

static void many_members(void **state)
{
    (void)state;
    char list[8192] = "";
    for (int i = 0; i < 90; i++)
        sprintf(list + strlen(list), ", {'name': 'A%d', 'direction': {'angle': %d.5}, 'force': %d}",
                i, i, i % 7 - 3);
    struct solved s =
        solve("truss-joint",
              "{'joint': 'A', 'members': [{'name': 'AB', 'direction': {'angle': 217.5}}, "
              "{'name': 'AC', 'direction': {'angle': 101}}%s]}",
              list);
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_non_null(note_text(&s, "numbers-only"));
    done(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(published),
                                       cmocka_unit_test(known_force_is_carried_with_its_sign),
                                       cmocka_unit_test(two_in_line_leave_the_third),
                                       cmocka_unit_test(zero_force_rules),
                                       cmocka_unit_test(in_space),
                                       cmocka_unit_test(cannot_be_held),
                                       cmocka_unit_test(many_members)};
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
