/* test_typed.c: numbers as students type them; factors of NIST SP 811 (2008), appendix B.8. */
#include <string.h>

#include "check.h"

#include "marking/typed.h"

static const struct units si = {UNIT_N, UNIT_M, UNIT_DEG, UNIT_KG, UNIT_M_S2};
static const struct dimension force = {.force = 1}, moment = {.force = 1, .length = 1},
                              angle = {.angle = true}, ratio = {0};

static double read_as(const char *text, struct dimension dimension)
{
    double value = (double)NAN;
    if (!typed_read(text, strlen(text), dimension, si, si, &value))
        return (double)NAN;
    return value;
}

static void reads(const char *text, struct dimension dimension, double expected)
{
    double value = read_as(text, dimension);
    if (!(fabs(value - expected) <= 1e-12 * (1 + fabs(expected))))
        fail_msg("%s is read as %.17g, not %.17g", text, value, expected);
}

static void test_grammar(void **state)
{
    (void)state;
    reads("217.5", force, 217.5);
    reads("217,5", force, 217.5);
    reads("  217.5  ", force, 217.5);
    reads("-24", force, -24);
    reads("\xe2\x88\x92"
          "24,0",
          force, -24);
    reads("+24", force, 24);
    reads(".5", force, 0.5);
    reads("24.", force, 24);
    reads("24. kN", force, 24000);
    reads("1.2e3", force, 1200);
    reads("1,2E+3", force, 1200);
    reads("1.2e\xe2\x88\x92"
          "3",
          force, 0.0012);
    reads("3/5*26", force, 15.6);
    reads("3/5 \xc2\xb7 26", force, 15.6);
    reads("-3/5\xc3\x97"
          "26",
          force, -15.6);
    reads("12/5/2", ratio, 1.2);
    reads("0", force, 0);
}

static void test_units(void **state)
{
    (void)state;
    reads("24,0 kN", force, 24000);
    reads("24kN", force, 24000);
    reads("3/5*26 kN", force, 15600);
    reads("1 lb", force, 4.4482216152605); /* NIST SP 811 B.8: pound-force */
    reads("1 kgf", force, 9.80665);        /* NIST SP 811 B.8: kilogram-force */
    reads("1 lb*ft", moment, 1.3558179483314004);
    reads("1 lb\xc2\xb7in", moment, 0.1129848290276167);
    reads("1.5 kN*m", moment, 1500);
    reads("30\xc2\xb0", angle, 30);
    reads("30 deg", angle, 30);
    reads("1 rad", angle, 57.29577951308232);
}

static void test_nonsense(void **state)
{
    static const char *const texts[] = {
        "",
        " ",
        "abc",
        "-",
        "1.2.3",
        "1,234,567",
        "1 2",
        "--3",
        "3-5",
        "3+5",
        "(3)",
        "3*",
        "/3",
        "3//5",
        "3/0",
        "1e999",
        "inf",
        "nan",
        "0x1A",
        "1,",
        "5 m",
        "5 kN*m",
        "5 parsec",
        "kN",
        "3/5*",
        "\xff",
        "5\xc2",
        "1e400*1",
        "sqrt(2)",
        "5 N extra",
        "5..",
        "1,",
        "99999999999999999999999999999999999999999999999999999999999999999999999999999999999999999",
    };
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (!isnan(read_as(texts[i], force)))
            fail_msg("%s is read as %.17g", texts[i], read_as(texts[i], force));
}

static void test_other_units_of_the_answer(void **state)
{
    struct units kip = {UNIT_KIP, UNIT_IN, UNIT_RAD, UNIT_SLUG, UNIT_FT_S2};
    double value = 0;
    (void)state;
    assert_true(typed_read("2", 1, force, kip, si, &value));
    assert_near(value, 8896.443230521, 1e-9); /* NIST SP 811 B.8: kip */
    assert_true(typed_read("2 N", 3, force, kip, si, &value));
    assert_near(value, 2, 1e-12);
    assert_near(typed_convert(1, angle, kip, si), 57.29577951308232, 1e-12);
    assert_false(typed_with_unit(1, "kN", 2, moment, si, &value));
    assert_true(typed_with_unit(1, "kN*m", 4, moment, si, &value));
    assert_near(value, 1000, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_grammar),
        cmocka_unit_test(test_units),
        cmocka_unit_test(test_nonsense),
        cmocka_unit_test(test_other_units_of_the_answer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
