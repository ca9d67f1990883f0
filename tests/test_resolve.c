/* One force resolved: every form of direction, oblique axes, projection; what is refused, and the
 * working. Expected numbers are worked out here from the definitions, or come from the published
 * cases of tests/cases (sources in tests/cases/README.md). */
#include "solving.h"

#include "random.h"

static double cosd(double degrees) { return cos(degrees * TEST_PI / 180); }
static double sind(double degrees) { return sin(degrees * TEST_PI / 180); }
static double degrees(double radians) { return radians * 180 / TEST_PI; }

/* 0 ≤ a < 360 */
static double turn(double a) { return a - 360 * floor(a / 360); }

/* ---- every way to give a direction ---- */

/* P = 217.5 along a unit vector: what every answer about it says. */
static void force_is_along(struct solved *s, bool space, const double u[3])
{
    assert_string_equal(words_at(s, "force/name"), "P");
    assert_number(s, "force/magnitude", 217.5);
    for (int axis = 0; axis < (space ? 3 : 2); axis++) {
        assert_number(s, arena_printf(s->arena, "force/components/%d", axis), 217.5 * u[axis]);
        assert_number(s, arena_printf(s->arena, "unit_vector/%d", axis), u[axis]);
    }
    if (space) {
        assert_number(s, "force/direction/direction_angles/alpha", degrees(acos(u[0])));
        assert_number(s, "force/direction/direction_angles/beta", degrees(acos(u[1])));
        assert_number(s, "force/direction/direction_angles/gamma", degrees(acos(u[2])));
        assert_true(is_null_at(s, "quadrant"));
        if (hypot(u[0], u[1]) < 1e-12)
            assert_true(is_null_at(s, "azimuth"));
        else
            assert_number(s, "azimuth", turn(degrees(atan2(u[1], u[0]))));
        assert_number(s, "elevation", degrees(atan2(u[2], hypot(u[0], u[1]))));
        return;
    }
    assert_number(s, "force/direction/angle", turn(degrees(atan2(u[1], u[0]))));
    assert_true(is_absent(s, "azimuth"));
    if (fabs(u[0]) < 1e-12 || fabs(u[1]) < 1e-12)
        assert_true(is_null_at(s, "quadrant"));
    else
        assert_int_equal(count_at(s, "quadrant"), u[1] > 0 ? (u[0] > 0 ? 1 : 2) : u[0] < 0 ? 3 : 4);
}

static void every_angle(void **state)
{
    static const struct {
        const char *direction;
        double angle;
    } rows[] = {
        {"{'angle': 30.4}", 30.4},
        {"{'angle': 112.6}", 112.6},
        {"{'angle': 248.2}", 248.2},
        {"{'angle': 337.9}", 337.9},
        {"{'angle': -135.3}", 224.7},
        {"{'angle': 730.4}", 10.4},
        {"{'angle': -720.5}", 359.5},
        {"{'angle': 0}", 0},
        {"{'angle': 90}", 90},
        {"{'angle': 180}", 180},
        {"{'angle': 270}", 270},
        {"{'angle': 360}", 0},
        {"{'angle': -90}", 270},
        {"{'angle': 20.5, 'from': '-x'}", 200.5},
        {"{'angle': 20.5, 'from': '+y'}", 110.5},
        {"{'angle': 20.5, 'from': '-y'}", 290.5},
        {"{'angle': 20.5, 'from': '+x', 'turn': 'clockwise'}", 339.5},
        {"{'angle': 20.5, 'from': '-x', 'turn': 'clockwise'}", 159.5},
        {"{'angle': 20.5, 'from': '+y', 'turn': 'clockwise'}", 69.5},
        {"{'angle': 20.5, 'from': '-y', 'turn': 'clockwise'}", 249.5},
        {"{'angle': 20.5, 'from': '-y', 'turn': 'counter-clockwise'}", 290.5},
        {"{'angle': 20.5, 'turn': 'clockwise'}", 339.5},
        {"{'angle': 20.5, 'from': '+x', 'toward': '+y'}", 20.5},
        {"{'angle': 20.5, 'from': '+x', 'toward': '-y'}", 339.5},
        {"{'angle': 20.5, 'from': '-x', 'toward': '+y'}", 159.5},
        {"{'angle': 20.5, 'from': '-x', 'toward': '-y'}", 200.5},
        {"{'angle': 20.5, 'from': '+y', 'toward': '+x'}", 69.5},
        {"{'angle': 20.5, 'from': '+y', 'toward': '-x'}", 110.5},
        {"{'angle': 20.5, 'from': '-y', 'toward': '+x'}", 290.5},
        {"{'angle': 20.5, 'from': '-y', 'toward': '-x'}", 249.5},
        {"{'angle': 120.5, 'from': '-x', 'toward': '+y'}", 59.5},
        {"{'angle': -410.5, 'from': '-y', 'toward': '-x'}", 320.5},
        {"{'angle': {'value': 1.25, 'unit': 'rad'}}", 1.25 * 180 / TEST_PI},
        {"{'bearing': 'N30.5E'}", 59.5},
        {"{'bearing': 'N12.3W'}", 102.3},
        {"{'bearing': 'S40E'}", 310},
        {"{'bearing': 'S75.2W'}", 194.8},
        {"{'bearing': 'N'}", 90},
        {"{'bearing': 'E'}", 0},
        {"{'bearing': 'S'}", 270},
        {"{'bearing': 'W'}", 180},
        {"{'axis': '+x'}", 0},
        {"{'axis': '-x'}", 180},
        {"{'axis': '+y'}", 90},
        {"{'axis': '-y'}", 270},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resolve",
                                "{'force': {'name': 'P', 'magnitude': 217.5, "
                                "'direction': %s}}",
                                rows[i].direction);
        double a = rows[i].angle, u[3] = {cosd(a), sind(a), 0};
        force_is_along(&s, false, u);
        assert_number(&s, "force/direction/angle", a);
        /* A half-axis is no matter of rounding. */
        if (a == 90 || a == 270)
            assert_true(number_at(&s, "force/components/0") == 0.0);
        if (a == 0 || a == 180)
            assert_true(number_at(&s, "force/components/1") == 0.0);
        assert_string_equal(note_codes(&s), "");
        done(&s);
    }
}

/* The direction of (x, y, z), by its length. */
static void direction_is(const char *direction, bool space, double x, double y, double z)
{
    double length = sqrt(x * x + y * y + z * z), u[3] = {x / length, y / length, z / length};
    struct solved s = solve("resolve",
                            "{'points': {'A': [1, 2%s], 'B': [-3.5, 4%s]}, 'force': "
                            "{'name': 'P', 'magnitude': 217.5, 'direction': %s}}",
                            space ? ", -3" : "", space ? ", 0.5" : "", direction);
    force_is_along(&s, space, u);
    done(&s);
}

static void every_vector(void **state)
{
    (void)state;
    direction_is("{'slope': {'run': 12, 'rise': 5}}", false, 12, 5, 0);
    direction_is("{'slope': {'run': -12, 'rise': 5}}", false, -12, 5, 0);
    direction_is("{'slope': {'run': -8, 'rise': -15}}", false, -8, -15, 0);
    direction_is("{'slope': {'run': 2.5, 'rise': -7}}", false, 2.5, -7, 0);
    direction_is("{'slope': {'run': 0, 'rise': -3}}", false, 0, -1, 0);
    direction_is("{'slope': {'run': 7, 'rise': 0}}", false, 1, 0, 0);
    direction_is("{'vector': [-3, 2]}", false, -3, 2, 0);
    direction_is("{'vector': [0.3, -0.4]}", false, 3, -4, 0);
    direction_is("{'line': ['A', 'B']}", false, -4.5, 2, 0);
    direction_is("{'line': ['B', 'A']}", false, 4.5, -2, 0);
    direction_is("{'line': ['A', [1, -7]]}", false, 0, -1, 0);
    direction_is("{'vector': [2, -1, 2]}", true, 2, -1, 2);
    direction_is("{'vector': [-0.2, 0, 7]}", true, -0.2, 0, 7);
    direction_is("{'line': ['A', 'B']}", true, -4.5, 2, 3.5);
    direction_is("{'line': [[0, 1, 2], [5, -2, 2.5]]}", true, 5, -3, 0.5);
    direction_is("{'axis': '+x'}", true, 1, 0, 0);
    direction_is("{'axis': '-y'}", true, 0, -1, 0);
    direction_is("{'axis': '+z'}", true, 0, 0, 1);
    direction_is("{'axis': '-z'}", true, 0, 0, -1);
    direction_is("{'angle': 33.3, 'from': '+z', 'toward': '-x'}", true, -sind(33.3), 0, cosd(33.3));
    direction_is("{'angle': 133.3, 'from': '-y', 'toward': '+z'}", true, 0, -cosd(133.3),
                 sind(133.3));
    direction_is("{'angle': 33.3, 'from': '+x', 'toward': '-y'}", true, cosd(33.3), -sind(33.3), 0);
}

static void direction_angles(void **state)
{
    double c60 = 0.5, c45 = sqrt(0.5), c70 = cosd(70.5), c40 = cosd(40.25);
    double third = sqrt(1 - c70 * c70 - c40 * c40);
    (void)state;
    direction_is("{'direction_angles': {'alpha': 60, 'beta': 45, 'gamma': 60}}", true, c60, c45,
                 c60);
    direction_is("{'direction_angles': {'alpha': 120, 'beta': 45, 'gamma': 120}}", true, -c60, c45,
                 -c60);
    direction_is("{'direction_angles': {'alpha': 70.5, 'beta': 40.25, 'gamma': 'acute'}}", true,
                 c70, c40, third);
    direction_is("{'direction_angles': {'alpha': 70.5, 'beta': 40.25, 'gamma': 'obtuse'}}", true,
                 c70, c40, -third);
    direction_is("{'direction_angles': {'alpha': 'obtuse', 'beta': 70.5, 'gamma': 139.75}}", true,
                 -third, c70, -c40);
    direction_is("{'direction_angles': {'alpha': 109.5, 'beta': 'acute', 'gamma': 40.25}}", true,
                 -c70, third, c40);
    /* The squares add to 1 already: the third angle is 90°, and needs no word. */
    direction_is("{'direction_angles': {'alpha': 30, 'gamma': 60}}", true, sqrt(0.75), 0, 0.5);
    direction_is("{'direction_angles': {'alpha': 0, 'beta': 90}}", true, 1, 0, 0);
}

static void rounded_direction_angles(void **state)
{
    (void)state;
    double c[3] = {cosd(36.9), cosd(66.4), cosd(63.4)};
    double n = sqrt(c[0] * c[0] + c[1] * c[1] + c[2] * c[2]);
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 217.5, 'direction': "
                                       "{'direction_angles': {'alpha': 36.9, 'beta': 66.4, "
                                       "'gamma': 63.4}}}}");
    force_is_along(&s, true, (double[]){c[0] / n, c[1] / n, c[2] / n});
    assert_string_equal(note_codes(&s), "normalised-direction-angles");
    assert_string_equal(
        note_text(&s, "normalised-direction-angles"),
        "The squares of the cosines of the direction angles of P add to 1.00, not to one, within "
        "the rounding of the angles: the direction was scaled to length one.");
    done(&s);
    /* 0.0005 to each side of what 89.5°, 60.5° and 30.5° can mean. */
    s = solve("resolve",
              "{'force': {'name': 'P', 'magnitude': 2, 'direction': {'direction_angles': "
              "{'alpha': 90, 'beta': 61, 'gamma': 30}}}}");
    assert_string_equal(faults(&s), "no fault");
    done(&s);
    s = solve("resolve",
              "{'force': {'name': 'P', 'magnitude': 2, 'direction': {'direction_angles': "
              "{'alpha': 90.0, 'beta': 61.0, 'gamma': 30.0}}}}");
    assert_string_equal(faults(&s), "direction-angles at /force/direction/direction_angles");
    assert_string_equal(
        fault_text(&s, 0),
        "The squares of the cosines add to 0.9850, not to 1: no direction has these "
        "three angles. Give two of them, and say whether the third is acute or "
        "obtuse.");
    done(&s);
    /* Two angles whose squares reach a little beyond 1, as rounding explains. */
    s = solve("resolve",
              "{'force': {'name': 'P', 'magnitude': 2, 'direction': {'direction_angles': "
              "{'alpha': 36.8, 'beta': 53.2, 'gamma': 'acute'}}}}");
    assert_string_equal(faults(&s), "no fault");
    done(&s);
    s = solve("resolve",
              "{'force': {'name': 'P', 'magnitude': 2, 'direction': {'direction_angles': "
              "{'alpha': 36.8, 'beta': 53.17, 'gamma': 'acute'}}}}");
    double a = cosd(36.8), b = cosd(53.17), r = hypot(a, b);
    assert_numbers(&s, "unit_vector", a / r, b / r, 0);
    assert_string_equal(note_codes(&s), "normalised-direction-angles");
    done(&s);
    s = solve("resolve",
              "{'force': {'name': 'P', 'magnitude': 2, 'direction': {'direction_angles': "
              "{'alpha': 30, 'gamma': 40}}}}");
    assert_string_equal(faults(&s), "direction-angles at /force/direction/direction_angles");
    assert_string_equal(fault_text(&s, 0), "The squares of these two cosines add to 1.337, more "
                                           "than 1: no direction has these two angles.");
    done(&s);
    /* An answer fed back has 12 figures of each: it is what it was. */
    s = solve("resolve",
              "{'force': {'name': 'P', 'magnitude': 70, 'direction': {'direction_angles': "
              "{'alpha': 73.398450401, 'beta': 115.376933525, 'gamma': "
              "31.0027191339}}}}");
    assert_near(number_at(&s, "force/components/0"), 20, 1e-9);
    assert_near(number_at(&s, "force/components/1"), -30, 1e-9);
    assert_near(number_at(&s, "force/components/2"), 60, 1e-9);
    assert_string_equal(note_codes(&s), "");
    done(&s);
}

/* e_from cos a cos e + e_toward sin a cos e + e_up sin e */
static void azimuth_is(const char *extra, int from, double from_sign, int toward,
                       double toward_sign, int up, double up_sign)
{
    double a = 40.3, e = -25.6, u[3];
    u[from] = from_sign * cosd(a) * cosd(e);
    u[toward] = toward_sign * sind(a) * cosd(e);
    u[up] = up_sign * sind(e);
    char direction[128];
    snprintf(direction, sizeof direction, "{'azimuth': 40.3, 'elevation': -25.6%s}", extra);
    direction_is(direction, true, u[0], u[1], u[2]);
}

static void azimuth_and_elevation(void **state)
{
    (void)state;
    azimuth_is("", 0, 1, 1, 1, 2, 1);
    azimuth_is(", 'up': '-z'", 0, 1, 1, -1, 2, -1);
    azimuth_is(", 'up': '+y'", 0, 1, 2, -1, 1, 1);
    azimuth_is(", 'up': '-y'", 0, 1, 2, 1, 1, -1);
    azimuth_is(", 'up': '+x'", 1, 1, 2, 1, 0, 1);
    azimuth_is(", 'up': '-x'", 1, 1, 2, -1, 0, -1);
    azimuth_is(", 'from': '+y'", 1, 1, 0, -1, 2, 1);
    azimuth_is(", 'from': '-y'", 1, -1, 0, 1, 2, 1);
    azimuth_is(", 'from': '-x'", 0, -1, 1, -1, 2, 1);
    azimuth_is(", 'from': '+y', 'toward': '+x'", 1, 1, 0, 1, 2, 1);
    azimuth_is(", 'up': '+y', 'from': '-z', 'toward': '-x'", 2, -1, 0, -1, 1, 1);
    direction_is("{'azimuth': 40.3, 'elevation': 90}", true, 0, 0, 1);
    direction_is("{'azimuth': 200.1, 'elevation': 0}", true, cosd(200.1), sind(200.1), 0);
}

/* Azimuth and elevation of an answer are about the request's up. */
static void up_of_the_answer(void **state)
{
    static const struct {
        const char *up;
        double azimuth, elevation;
    } rows[] = {
        /* of (2, -3, 6), of length 7 */
        {"+z", -56.309932474020215, 58.99728086612602},
        {"-z", 56.309932474020215, -58.99728086612602},
        {"+y", -71.56505117707799, -25.376933525152303},
        {"-y", 71.56505117707799, 25.376933525152303},
        {"+x", 116.56505117707799, 16.601549599020235},
        {"-x", -116.56505117707799, -16.601549599020235},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resolve",
                                "{'up': '%s', 'force': {'name': 'P', 'components': "
                                "[2, -3, 6]}}",
                                rows[i].up);
        assert_near(number_at(&s, "azimuth"), turn(rows[i].azimuth), 1e-11);
        assert_near(number_at(&s, "elevation"), rows[i].elevation, 1e-11);
        done(&s);
        s = solve("resolve",
                  "{'up': '%s', 'force': {'name': 'P', 'magnitude': 3, 'direction': "
                  "{'axis': '%s'}}}",
                  rows[i].up, rows[i].up);
        if (rows[i].up[1] == 'z') { /* else it is a problem of the plane */
            assert_true(is_null_at(&s, "azimuth"));
            assert_number(&s, "elevation", 90);
        }
        done(&s);
    }
}

static void radians(void **state)
{
    (void)state;
    struct solved s = solve("resolve", "{'units': {'angle': 'rad'}, 'force': {'name': 'P', "
                                       "'magnitude': 217.5, 'direction': {'angle': 0.6, 'from': "
                                       "'-y', 'turn': 'clockwise'}}, 'onto': {'angle': 2.2}}");
    double a = 3 * TEST_PI / 2 - 0.6;
    assert_number(&s, "force/direction/angle", a);
    assert_numbers(&s, "force/components", 217.5 * cos(a), 217.5 * sin(a));
    assert_number(&s, "onto/angle", a - 2.2);
    assert_string_equal(words_at(&s, "in_words"), "217.5 N at 0.971 rad below −x");
    done(&s);
    s = solve("resolve", "{'units': {'angle': 'rad'}, 'force': {'name': 'P', 'magnitude': 2, "
                         "'direction': {'angle': 6.283185307179586}}}");
    assert_number(&s, "force/direction/angle", 0);
    done(&s);
    s = solve("resolve", "{'units': {'angle': 'rad'}, 'force': {'name': 'P', 'magnitude': 2, "
                         "'direction': {'angle': -0.25}}}");
    assert_number(&s, "force/direction/angle", 2 * TEST_PI - 0.25);
    done(&s);
    s = solve("resolve", "{'units': {'angle': 'rad'}, 'force': {'name': 'P', 'magnitude': 2, "
                         "'direction': {'azimuth': 4.1, 'elevation': 1.5708}}}");
    assert_string_equal(faults(&s), "no fault");
    assert_number(&s, "azimuth", fmod(4.1 + TEST_PI, 2 * TEST_PI)); /* beyond the vertical */
    done(&s);
    s = solve("resolve", "{'units': {'angle': 'rad'}, 'force': {'name': 'P', 'magnitude': 2, "
                         "'direction': {'azimuth': 4.1, 'elevation': 1.5709}}}");
    assert_string_equal(faults(&s), "out-of-range at /force/direction/elevation");
    done(&s);
    s = solve("resolve", "{'units': {'angle': 'rad'}, 'force': {'name': 'P', 'magnitude': 2, "
                         "'direction': {'bearing': 'S30E'}}}");
    assert_number(&s, "force/direction/angle", 5 * TEST_PI / 3);
    done(&s);
    s = solve("resolve", "{'units': {'angle': 'rad'}, 'force': {'name': 'P', 'magnitude': 2, "
                         "'direction': {'direction_angles': {'alpha': 1.1, 'beta': 0.9}}}}");
    double third = acos(sqrt(1 - pow(cos(1.1), 2) - pow(cos(0.9), 2)));
    assert_string_equal(faults(&s), "direction-angles at /force/direction/direction_angles");
    assert_string_equal(fault_text(&s, 0),
                        arena_printf(s.arena,
                                     "Two direction angles leave two directions: gamma is %.4g rad "
                                     "or %.4g rad. Say \"acute\" or \"obtuse\" for gamma.",
                                     third, TEST_PI - third));
    done(&s);
}

/* Twelve figures are given out: what prints as 360 there is 0. */
static void never_a_whole_turn(void **state)
{
    (void)state;
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [1e6, -1e-6]}}");
    assert_true(number_at(&s, "force/direction/angle") == 0.0);
    assert_int_equal(count_at(&s, "quadrant"), 4);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [1e6, -1e-4]}}");
    assert_number(&s, "force/direction/angle", 360 - degrees(1e-10));
    assert_true(number_at(&s, "force/direction/angle") < 360);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 1, 'direction': {'angle': "
                         "359.9999999999}}}");
    assert_true(number_at(&s, "force/direction/angle") == 0.0);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 1, 'direction': {'angle': "
                         "359.999999999}}}");
    assert_number(&s, "force/direction/angle", 359.999999999);
    done(&s);
    /* Close to an axis the cosine is flat: the angle is right all the same. */
    s = solve("resolve", "{'force': {'name': 'P', 'components': [1e8, 1, 0]}}");
    assert_near(number_at(&s, "force/direction/direction_angles/alpha"), degrees(1e-8), 1e-20);
    done(&s);
    /* More turns than anyone means are worked from cosine and sine. */
    static const char *const turns[] = {"730.4", "36000000010.4", "-719999999989.6",
                                        "720000000000010.4"};
    for (size_t i = 0; i < 4; i++) {
        s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 4, 'direction': {'angle': %s}}}",
                  turns[i]);
        assert_number(&s, "force/direction/angle", 10.4);
        assert_numbers(&s, "force/components", 4 * cosd(10.4), 4 * sind(10.4));
        done(&s);
    }
}

/* ---- a force ---- */

static void components_and_words(void **state)
{
    static const struct {
        const char *force, *words;
        double x, y, angle;
        int quadrant;
    } rows[] = {
        {"'components': [24, 10]", "26.0 kN at 22.6° above +x", 24, 10, 22.619864948040426, 1},
        {"'components': [-24, 10]", "26.0 kN at 22.6° above −x", -24, 10, 157.38013505195957, 2},
        {"'components': [-24, -10]", "26.0 kN at 22.6° below −x", -24, -10, 202.61986494804043, 3},
        {"'components': [24, -10]", "26.0 kN at 22.6° below +x", 24, -10, 337.38013505195957, 4},
        {"'components': [24, 0]", "24.0 kN along +x", 24, 0, 0, 0},
        {"'components': [0, 24]", "24.0 kN along +y", 0, 24, 90, 0},
        {"'components': [-24, 0]", "24.0 kN along −x", -24, 0, 180, 0},
        {"'components': [0, -24]", "24.0 kN along −y", 0, -24, 270, 0},
        {"'magnitude': 26, 'direction': {'slope': {'run': 12, 'rise': -5}}",
         "26 kN at 22.6° below +x", 24, -10, 337.38013505195957, 4},
        {"'magnitude': 26, 'direction': {'angle': 80, 'from': '-y', 'toward': '-x'}",
         "26 kN at 10.0° below −x", -25.60500157831741, -4.514852619340192, 190, 3},
        {"'magnitude': 26, 'direction': {'angle': 100}", "26 kN at 80.0° above −x",
         -4.5148526193401874, 25.60500157831741, 100, 2},
        {"'magnitude': 26, 'direction': {'angle': 300}", "26 kN at 60.0° below +x", 13,
         -22.516660498395403, 300, 4},
        {"'magnitude': 26, 'direction': {'angle': 33}", "26 kN at 33.0° above +x",
         21.805434766581026, 14.160614910390704, 33, 1},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resolve", "{'units': {'force': 'kN'}, 'force': {'name': 'P', %s}}",
                                rows[i].force);
        assert_string_equal(words_at(&s, "in_words"), rows[i].words);
        assert_numbers(&s, "force/components", rows[i].x, rows[i].y);
        assert_number(&s, "force/direction/angle", rows[i].angle);
        assert_number(&s, "force/magnitude", hypot(rows[i].x, rows[i].y));
        if (rows[i].quadrant)
            assert_int_equal(count_at(&s, "quadrant"), rows[i].quadrant);
        else
            assert_true(is_null_at(&s, "quadrant"));
        done(&s);
    }
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [2, -3, 6]}}");
    assert_string_equal(words_at(&s, "in_words"),
                        "7.00 N at an azimuth of 303.7° and an elevation of 59.0°");
    assert_numbers(&s, "unit_vector", 2. / 7, -3. / 7, 6. / 7);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [0, 0, -6]}}");
    assert_string_equal(words_at(&s, "in_words"), "6.00 N along −z");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [7.5, 0, 0]}}");
    assert_string_equal(words_at(&s, "in_words"), "7.50 N along +x");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [3, 4, 0]}}");
    assert_string_equal(words_at(&s, "in_words"),
                        "5.00 N at an azimuth of 53.1° and an elevation of 0°");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [0, 5, 12]}}");
    assert_string_equal(words_at(&s, "in_words"),
                        "13.0 N at an azimuth of 90.0° and an elevation of 67.4°");
    assert_number(&s, "azimuth", 90);
    done(&s);
}

static void weights_factors_units(void **state)
{
    (void)state;
    struct solved s = solve("resolve", "{'units': {'force': 'kN'}, 'force': {'name': 'W', 'mass': "
                                       "{'value': 1.5, 'unit': 'Mg'}}}");
    assert_numbers(&s, "force/components", 0, -14.715);
    assert_string_equal(words_at(&s, "in_words"), "14.7 kN along −y");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'W', 'mass': 15, 'g': 9.80665, 'direction': {'angle': "
                         "17.5}}}");
    assert_number(&s, "force/magnitude", 147.09975);
    assert_number(&s, "force/direction/angle", 17.5);
    done(&s);
    s = solve("resolve", "{'units': {'force': 'lb'}, 'force': {'name': 'W', 'mass': 2.5, 'times': "
                         "-3}}");
    assert_numbers(&s, "force/components", 0, 241.5);
    assert_number(&s, "force/direction/angle", 90);
    done(&s);
    s = solve("resolve", "{'up': '-x', 'force': {'name': 'W', 'mass': 2}}");
    assert_numbers(&s, "force/components", 19.62, 0);
    done(&s);
    s = solve("resolve", "{'up': '+z', 'force': {'name': 'W', 'mass': 2}}");
    assert_numbers(&s, "force/components", 0, 0, -19.62);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 217.5, 'direction': {'angle': "
                         "248.2}, 'times': 1.5}}");
    assert_number(&s, "force/magnitude", 326.25);
    assert_number(&s, "force/direction/angle", 248.2);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 217.5, 'direction': {'angle': "
                         "248.2}, 'times': -2}}");
    assert_number(&s, "force/magnitude", 435);
    assert_number(&s, "force/direction/angle", 68.2);
    assert_numbers(&s, "force/components", -435 * cosd(248.2), -435 * sind(248.2));
    assert_int_equal(count_at(&s, "quadrant"), 1);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 217.5, 'direction': {'vector': [2, "
                         "-1, 2]}, 'times': -2}}");
    assert_numbers(&s, "force/components", -290, 145, -290);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [3, -4], 'times': -2.5}}");
    assert_numbers(&s, "force/components", -7.5, 10);
    assert_number(&s, "force/magnitude", 12.5);
    done(&s);
    s = solve("resolve", "{'units': {'force': 'lb'}, 'force': {'name': 'P', 'components': "
                         "[{'value': 1, 'unit': 'kip'}, {'value': -4.4482216152605, 'unit': "
                         "'kN'}]}}");
    assert_numbers(&s, "force/components", 1000, -1000);
    assert_number(&s, "force/direction/angle", 315);
    done(&s);
}

static void both_ways(void **state)
{
    (void)state;
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 10, 'direction': "
                                       "{'angle': 150}, 'components': [-8.66, 5]}}");
    assert_number(&s, "force/components/0", -8.66);
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 26, 'direction': {'slope': {'run': "
                         "12, 'rise': -5}}, 'components': [24, -10], 'times': 2}}");
    assert_numbers(&s, "force/components", 48, -20);
    done(&s);
    /* Half a percent of the force, and no more than the digits leave. */
    static const struct {
        const char *force;
        bool agrees;
    } rows[] = {
        {"'magnitude': 26, 'direction': {'slope': {'run': 12, 'rise': -5}}, 'components': [24, "
         "-10.12]",
         true},
        {"'magnitude': 26, 'direction': {'slope': {'run': 12, 'rise': -5}}, 'components': [24, "
         "-10.14]",
         false},
        {"'magnitude': 26.00, 'direction': {'slope': {'run': 12, 'rise': -5}}, 'components': "
         "[24.01, -10.00]",
         true},
        {"'magnitude': 26.00, 'direction': {'slope': {'run': 12, 'rise': -5}}, 'components': "
         "[24.02, -10.00]",
         false},
        {"'magnitude': 26, 'direction': {'slope': {'run': 12, 'rise': 5}}, 'components': [24, -10]",
         false},
        {"'magnitude': 26, 'direction': {'angle': 157.4}, 'components': [24, -10]", false},
        {"'magnitude': 26.0, 'direction': {'angle': 337.4}, 'components': [24.0, -10.0]", true},
        {"'magnitude': 7, 'direction': {'vector': [2, 3, 6]}, 'components': [2, 3, 6]", true},
        {"'magnitude': 7, 'direction': {'vector': [2, 3, 6]}, 'components': [2, 3, -6]", false},
        {"'magnitude': 7.00, 'direction': {'azimuth': 56.31, 'elevation': 59.00}, 'components': "
         "[2, "
         "3, 6]",
         true},
        {"'magnitude': 7.00, 'direction': {'azimuth': 57.31, 'elevation': 59.00}, 'components': "
         "[2.00, 3.00, 6.00]",
         false},
        {"'magnitude': 158.155352300, 'direction': {'angle': 18.1385880500}, 'components': "
         "[150.2960244, 49.2364001]",
         true},
        {"'magnitude': 158.155352300, 'direction': {'angle': 18.1385880500}, 'components': "
         "[150.2960244, 49.2367]",
         false},
        {"'magnitude': 0, 'direction': null, 'components': [0, 0]", true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        s = solve("resolve", "{'force': {'name': 'P', %s}}", rows[i].force);
        assert_string_equal(faults(&s), rows[i].agrees ? "no fault" : "disagree at /force");
        done(&s);
    }
}

static void a_zero_force(void **state)
{
    static const char *const forces[] = {
        "'components': [0, 0]",
        "'magnitude': 0, 'direction': {'angle': 30.4}",
        "'magnitude': 5, 'direction': {'angle': 30.4}, 'times': 0",
        "'magnitude': 0, 'direction': null, 'components': [0.0, 0]",
    };
    (void)state;
    for (size_t i = 0; i < sizeof forces / sizeof forces[0]; i++) {
        struct solved s = solve("resolve",
                                "{'force': {'name': 'P', %s}, 'along': {'u': {'angle': "
                                "20}, 'v': {'angle': 95}}, 'onto': {'angle': 7}}",
                                forces[i]);
        assert_numbers(&s, "force/components", 0, 0);
        assert_number(&s, "force/magnitude", 0);
        assert_true(is_null_at(&s, "force/direction"));
        assert_true(is_null_at(&s, "unit_vector"));
        assert_true(is_null_at(&s, "quadrant"));
        assert_number(&s, "along/u", 0);
        assert_number(&s, "along/v", 0);
        assert_number(&s, "onto/component", 0);
        assert_numbers(&s, "onto/parallel", 0, 0);
        assert_numbers(&s, "onto/perpendicular", 0, 0);
        assert_number(&s, "onto/perpendicular_magnitude", 0);
        assert_true(is_null_at(&s, "onto/angle"));
        assert_string_equal(words_at(&s, "in_words"), "zero, without a direction");
        assert_string_equal(note_codes(&s), "zero-force");
        done(&s);
    }
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [0, 0, 0]}, 'along': "
                                       "{'u': {'axis': '+x'}, 'v': {'vector': [1, 1, 0]}, 'w': "
                                       "{'vector': [0, 1, 1]}}}");
    assert_true(is_null_at(&s, "azimuth"));
    assert_true(is_null_at(&s, "elevation"));
    assert_number(&s, "along/w", 0);
    assert_string_equal(note_codes(&s), "zero-force oblique-components");
    done(&s);
}

/* ---- along oblique axes ---- */

/* Cramer's rule on F = F_u u + F_v v. */
static void along_is(struct solved *s, double x, double y, double u, double v)
{
    double d = cosd(u) * sind(v) - sind(u) * cosd(v);
    assert_number(s, "along/u", (x * sind(v) - y * cosd(v)) / d);
    assert_number(s, "along/v", (cosd(u) * y - sind(u) * x) / d);
}

static void along_two_axes(void **state)
{
    static const double axes[][2] = {{20.5, 95.25},  {95.25, 20.5}, {350.1, 40.2}, {200.7, 100.3},
                                     {310.4, 170.6}, {248.2, 12.3}, {68.3, 68.8},  {0, 359},
                                     {90, 180},      {12.3, 102.3}, {270, 33.3},   {-45, 1e3}};
    (void)state;
    for (size_t i = 0; i < sizeof axes / sizeof axes[0]; i++)
        for (double angle = 17.5; angle < 360; angle += 90) {
            struct solved s = solve("resolve",
                                    "{'force': {'name': 'P', 'magnitude': 217.5, 'direction': "
                                    "{'angle': %.10g}}, 'along': {'u': {'angle': %.10g}, 'v': "
                                    "{'angle': %.10g}}}",
                                    angle, axes[i][0], axes[i][1]);
            along_is(&s, 217.5 * cosd(angle), 217.5 * sind(angle), axes[i][0], axes[i][1]);
            bool square = fabs(fabs(axes[i][0] - axes[i][1]) - 90) < 1e-9;
            assert_string_equal(note_codes(&s), square ? "" : "oblique-components");
            assert_true(is_absent(&s, "along/w"));
            done(&s);
        }
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [24, -10]}, 'along': "
                                       "{'u': {'slope': {'run': -3, 'rise': -4}}, 'v': {'line': "
                                       "[[1, 1], [3, 2]]}}}");
    /* 24 = −0.6 u + 2/√5 v, −10 = −0.8 u + 1/√5 v */
    assert_number(&s, "along/u", 44);
    assert_number(&s, "along/v", 50.4 * sqrt(5) / 2);
    assert_string_equal(note_codes(&s), "quadrant oblique-components");
    done(&s);
    /* Axes as near as a degree's ten-thousandth carry the force, exactly. */
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 10, 'direction': {'angle': 75}}, "
                         "'along': {'u': {'angle': 30}, 'v': {'angle': 30.0001}}}");
    double d = sin(1e-4 * TEST_PI / 180);
    assert_near(number_at(&s, "along/u") / (-10 * sind(44.9999) / d), 1, 1e-11);
    assert_near(number_at(&s, "along/v") / (10 * sind(45) / d), 1, 1e-11);
    done(&s);
}

static void along_three_axes(void **state)
{
    (void)state;
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [10, -20, 30]}, "
                                       "'along': {'u': {'vector': [1, 2, 2]}, 'v': {'vector': [0, "
                                       "3, -4]}, 'w': {'axis': '-x'}}}");
    /* −20 = 2/3 u + 3/5 v, 30 = 2/3 u − 4/5 v, 10 = u/3 − w */
    double v = -50. / 1.4, u = (30 + 0.8 * v) * 1.5;
    assert_number(&s, "along/u", u);
    assert_number(&s, "along/v", v);
    assert_number(&s, "along/w", u / 3 - 10);
    assert_string_equal(note_codes(&s), "oblique-components");
    assert_string_equal(
        steps(&s, "Along u, v and w"),
        "d_u=3 d_v=5 e_ux=0.333333 e_uy=0.666667 e_uz=0.666667 e_vx=0 e_vy=0.6 e_vz=-0.8 e_wx=-1 "
        "e_wy=0 e_wz=0 n_ux=0 n_uy=0.8 n_uz=0.6 n_vx=0 n_vy=0.666667 n_vz=-0.666667 n_wx=-0.933333 "
        "n_wy=0.266667 n_wz=0.2 D=0.933333 P_u=2.14286 P_v=-35.7143 P_w=-9.28571");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [10, -20, 30]}, 'along': {'u': "
                         "{'axis': '+y'}, 'v': {'axis': '-z'}, 'w': {'axis': '-x'}}}");
    assert_number(&s, "along/u", -20);
    assert_number(&s, "along/v", -30);
    assert_number(&s, "along/w", -10);
    assert_string_equal(note_codes(&s), "");
    done(&s);
    /* Square to each other two by two, but not all three. */
    static const char *const axes[] = {
        "'u': {'axis': '+x'}, 'v': {'axis': '+y'}, 'w': {'vector': [0, 1, 1]}",
        "'u': {'axis': '+x'}, 'v': {'axis': '+y'}, 'w': {'vector': [1, 0, 1]}",
        "'u': {'axis': '+x'}, 'v': {'vector': [1, 1, 0]}, 'w': {'axis': '+z'}"};
    for (size_t i = 0; i < 3; i++) {
        s = solve("resolve", "{'force': {'name': 'P', 'components': [1, 2, 3]}, 'along': {%s}}",
                  axes[i]);
        assert_string_equal(note_codes(&s), "oblique-components");
        done(&s);
    }
}

static void axes_that_do_not_serve(void **state)
{
    static const struct {
        const char *along, *faults;
    } rows[] = {
        {"'u': {'angle': 30}, 'v': {'angle': 210}", "parallel-axes at /along"},
        {"'u': {'angle': 22.62}, 'v': {'angle': 22.62}", "parallel-axes at /along"},
        {"'u': {'angle': 45}, 'v': {'slope': {'run': 7, 'rise': 7}}", "parallel-axes at /along"},
        {"'u': {'axis': '+x'}, 'v': {'axis': '-x'}", "parallel-axes at /along"},
        {"'u': {'slope': {'run': 0, 'rise': 0}}, 'v': {'vector': [0, 0]}",
         "zero-direction at /along/u/slope, zero-direction at /along/v/vector"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resolve",
                                "{'force': {'name': 'P', 'components': [24, -10]}, "
                                "'along': {%s}}",
                                rows[i].along);
        assert_string_equal(faults(&s), rows[i].faults);
        done(&s);
    }
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [1, 2, 3]}, 'along': "
                                       "{'u': {'vector': [1, 2, 0]}, 'v': {'vector': [0, 1, 1]}, "
                                       "'w': {'vector': [1, 3, 1]}}}");
    assert_string_equal(faults(&s), "parallel-axes at /along");
    assert_string_equal(fault_text(&s, 0),
                        "The three directions lie in one plane: they cannot carry "
                        "every force.");
    done(&s);
    s = solve("resolve",
              "{'force': {'name': 'P', 'components': [1, 2, 3]}, 'along': {'u': {'vector': "
              "[1, 2, 0]}, 'v': {'vector': [0, 1, 1]}}}");
    assert_string_equal(faults(&s), "missing-member at /along");
    done(&s);
    s = solve("resolve",
              "{'force': {'name': 'P', 'components': [1, 2]}, 'along': {'u': {'angle': 1}, "
              "'v': {'angle': 2}, 'w': {'angle': 3}}}");
    assert_string_equal(faults(&s), "space-only at /along/w");
    done(&s);
}

/* ---- onto a line ---- */

static void onto_a_line(void **state)
{
    (void)state;
    struct solved s = solve("resolve", "{'force': {'name': 'F', 'components': [10, -20, 30]}, "
                                       "'onto': {'vector': [-2, 1, -2]}}");
    /* F·λ = (−20 − 20 − 60)/3 */
    assert_number(&s, "onto/component", -100. / 3);
    assert_numbers(&s, "onto/parallel", 200. / 9, -100. / 9, 200. / 9);
    assert_numbers(&s, "onto/perpendicular", -110. / 9, -80. / 9, 70. / 9);
    assert_number(&s, "onto/perpendicular_magnitude", sqrt(1400 - 1e4 / 9));
    assert_number(&s, "onto/angle", degrees(acos(-100. / 3 / sqrt(1400))));
    done(&s);
    s = solve("resolve", "{'force': {'name': 'F', 'magnitude': 217.5, 'direction': {'angle': "
                         "248.2}}, 'onto': {'angle': 20.7, 'from': '-x', 'toward': '-y'}}");
    double c = 217.5 * cosd(47.5);
    assert_number(&s, "onto/component", c);
    assert_numbers(&s, "onto/parallel", c * cosd(200.7), c * sind(200.7));
    assert_numbers(&s, "onto/perpendicular", 217.5 * sind(47.5) * cosd(290.7),
                   217.5 * sind(47.5) * sind(290.7));
    assert_number(&s, "onto/perpendicular_magnitude", 217.5 * sind(47.5));
    assert_number(&s, "onto/angle", 47.5);
    done(&s);
    /* Along it, against it and square to it: no rounding is left over. */
    static const struct {
        const char *onto;
        double component, angle;
    } rows[] = {
        {"{'slope': {'run': 12, 'rise': -5}}", 26, 0},
        {"{'slope': {'run': -12, 'rise': 5}}", -26, 180},
        {"{'slope': {'run': 5, 'rise': 12}}", 0, 90},
        {"{'slope': {'run': -2.5, 'rise': -6}}", 0, 90},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        s = solve("resolve", "{'force': {'name': 'P', 'components': [24, -10]}, 'onto': %s}",
                  rows[i].onto);
        bool along = rows[i].component != 0;
        assert_number(&s, "onto/component", rows[i].component);
        assert_true(number_at(&s, "onto/angle") == rows[i].angle);
        assert_numbers(&s, "onto/parallel", along ? 24 : 0, along ? -10 : 0);
        assert_numbers(&s, "onto/perpendicular", along ? 0 : 24, along ? 0 : -10);
        assert_number(&s, "onto/perpendicular_magnitude", along ? 0 : 26);
        if (along)
            assert_true(number_at(&s, "onto/perpendicular_magnitude") == 0.0);
        done(&s);
    }
}

/* ---- points ---- */

static void points_that_are_computed(void **state)
{
    (void)state;
    struct solved s =
        solve("resolve",
              "{'points': {'A': [1, -2], 'B': {'from': 'A', 'distance': 4.5, 'direction': "
              "{'angle': 20, 'from': '-x', 'toward': '+y'}}, 'C': {'between': ['A', 'B'], "
              "'fraction': 1.5}, 'O': [0, 0], 'D': {'from': 'O', 'distance': 3, 'direction': "
              "{'slope': {'run': -3, 'rise': 4}}}, 'E': {'between': ['O', 'D'], 'fraction': "
              "-0.5}, 'G': {'from': 'A', 'distance': {'value': 25, 'unit': 'cm'}, 'direction': "
              "{'axis': '-y'}}}, 'force': {'name': 'P', 'magnitude': 10, 'direction': {'line': "
              "['C', 'E']}}}");
    double bx = 1 - 4.5 * cosd(20), by = -2 + 4.5 * sind(20);
    double cx = 1 + 1.5 * (bx - 1), cy = -2 + 1.5 * (by + 2), ex = 0.9, ey = -1.2;
    double length = hypot(ex - cx, ey - cy);
    assert_numbers(&s, "unit_vector", (ex - cx) / length, (ey - cy) / length);
    assert_string_equal(steps(&s, "Points"),
                        "x_B=-3.22862 y_B=-0.460909 x_C=-5.34293 y_C=0.308636 h_D=5 "
                        "[The slope makes an angle of 53.1° with the x axis.] x_D=-1.8 y_D=2.4 "
                        "x_E=0.9 y_E=-1.2 x_G=1 y_G=-2.25");
    done(&s);
    s = solve("resolve",
              "{'points': {'A': [1, 2, 3], 'B': {'from': 'A', 'distance': 6, 'direction': "
              "{'vector': [2, -1, 2]}}, 'M': {'between': ['A', 'B'], 'fraction': 0.25}}, "
              "'force': {'name': 'P', 'magnitude': 7, 'direction': {'line': [[0, 0, 0], "
              "'M']}}}");
    double m[3] = {2, 1.5, 4}, n = sqrt(4 + 2.25 + 16);
    assert_numbers(&s, "unit_vector", m[0] / n, m[1] / n, m[2] / n);
    done(&s);
    /* At one place, though only the working shows it. */
    s = solve("resolve", "{'points': {'A': [1, 2], 'B': {'from': 'A', 'distance': 0, 'direction': "
                         "{'angle': 31}}}, 'force': {'name': 'P', 'magnitude': 7, 'direction': "
                         "{'line': ['A', 'B']}}}");
    assert_string_equal(faults(&s), "zero-direction at /force/direction/line");
    done(&s);
    s = solve("resolve", "{'points': {'A': {'between': ['B', 'C'], 'fraction': 0.5}, 'B': {'from': "
                         "'A', 'distance': 1, 'direction': {'angle': 31}}, 'C': [0, 1]}, 'force': "
                         "{'name': 'P', 'magnitude': 7, 'direction': {'line': ['A', 'B']}}}");
    assert_string_equal(faults(&s), "circular-place at /points/A");
    done(&s);
    s = solve("resolve", "{'points': {'A': {'from': [0, 0], 'distance': 2, 'direction': {'vector': "
                         "[0, 0]}}}, 'force': {'name': 'P', 'magnitude': 7, 'direction': {'line': "
                         "['A', [1, 2]]}}}");
    assert_string_equal(faults(&s), "zero-direction at /points/A/direction/vector");
    done(&s);
}

/* ---- what is refused ---- */

static void every_fault_at_its_place(void **state)
{
    static const struct {
        const char *force, *fault, *text;
    } rows[] = {
        {"'magnitude': 5, 'direction': {'line': [[1, 2], [1, 2.0]]}",
         "zero-direction at /force/direction/line",
         "The two points lie at one place: a line through them has no direction."},
        {"'magnitude': 5, 'direction': {'direction_angles': {'alpha': 60, 'gamma': 45}}",
         "direction-angles at /force/direction/direction_angles",
         "Two direction angles leave two directions: beta is 60.00° or 120.0°. Say \"acute\" or "
         "\"obtuse\" for beta."},
        {"'magnitude': 5, 'direction': {'direction_angles': {'beta': 70, 'gamma': 45}}",
         "direction-angles at /force/direction/direction_angles",
         "Two direction angles leave two directions: alpha is 51.77° or 128.2°. Say \"acute\" or "
         "\"obtuse\" for alpha."},
        {"'magnitude': 3e-308, 'direction': {'angle': 30}", "number-size at /force/magnitude",
         "The numbers are so large or so small that their squares and quotients cannot be "
         "calculated: choose other units."},
        {"'components': [1e200, 1e200]", "number-size at /force/components/0",
         "The numbers are so large or so small that their squares and quotients cannot be "
         "calculated: choose other units."},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resolve", "{'force': {'name': 'P', %s}}", rows[i].force);
        assert_int_equal(s.code, PROBLEM_INVALID_REQUEST);
        assert_string_equal(faults(&s), rows[i].fault);
        assert_string_equal(fault_text(&s, 0), rows[i].text);
        done(&s);
    }
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [1, 2, 3]}, 'onto': "
                                       "{'angle': 30}}");
    assert_string_equal(faults(&s), "plane-only at /onto/angle");
    done(&s);
    s = solve("resolve",
              "{'force': {'name': 'P', 'magnitude': -2, 'direction': {'angle': 1}}, 'along': {'u': "
              "{'angle': 3}, 'v': {'angle': 30}}, 'onto': {'angle': 2}}");
    assert_string_equal(faults(&s), "negative-magnitude at /force/magnitude");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': 6, 'direction': {'angle': 1}, "
                         "'components': [3, 4]}, 'along': {'u': {'angle': 3}, 'v': {'angle': 30}}, "
                         "'onto': {'angle': 2}}");
    assert_string_equal(faults(&s), "disagree at /force");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'magnitude': -2, 'direction': {'angle': 1}}, "
                         "'along': {'u': {'vector': [0, 0]}, 'v': {'angle': 3}}, 'onto': {'slope': "
                         "{'run': 0, 'rise': 0}}}");
    assert_string_equal(faults(&s), "negative-magnitude at /force/magnitude, zero-direction at "
                                    "/along/u/vector, zero-direction at /onto/slope");
    done(&s);
}

/* ---- the working ---- */

static void the_working_in_the_plane(void **state)
{
    (void)state;
    struct solved s =
        solve("resolve", "{'units': {'force': 'kN'}, 'force': {'name': 'P', "
                         "'magnitude': 26, 'direction': {'slope': {'run': 12, 'rise': "
                         "-5}}}, 'along': {'u': {'angle': 217.5}, 'v': {'slope': "
                         "{'run': 4, 'rise': 3}}}, 'onto': {'angle': 30, 'from': "
                         "'-y', 'toward': '+x'}}");
    assert_string_equal(steps(&s, "Components of P"),
                        "P=26 h_P=13 [The slope makes an angle of 22.6° with the x axis.] P_x=24 "
                        "P_y=-10");
    assert_string_equal(steps(&s, "Magnitude and direction"),
                        "[P_x is positive and P_y is negative: P lies in quadrant 4.] φ=22.6199 "
                        "θ=337.38 u_x=0.923077 u_y=-0.384615");
    assert_string_equal(steps(&s, "Along u and v"),
                        "h_v=5 [The slope makes an angle of 36.9° with the x axis.] θ_u=217.5 "
                        "θ_v=36.8699 φ_u=119.88 φ_v=59.4898 P_u=2036.89 P_v=2049.97 "
                        "[P_u and P_v are the sides of the parallelogram; the projections on the "
                        "axes, −13.0 kN and 13.2 kN, do not add up to the force.]");
    assert_string_equal(steps(&s, "Onto the line"),
                        "λ_x=0.5 λ_y=-0.866025 P_∥=20.6603 P_∥x=10.3301 P_∥y=-17.8923 P_⊥x=13.6699 "
                        "P_⊥y=7.8923 P_⊥=15.7846 θ_∥=37.3801");
    assert_string_equal(note_codes(&s), "quadrant oblique-components");
    assert_string_equal(note_text(&s, "quadrant"),
                        "P_x is positive and P_y is negative, so P lies in quadrant 4: an "
                        "arctangent alone gives the acute angle, and the signs decide.");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'F2', 'magnitude': {'value': 2.5, 'unit': 'kN'}, "
                         "'direction': {'angle': 20, 'from': '+y', 'turn': 'clockwise'}, 'times': "
                         "-2}, 'along': {'u': {'axis': '-x'}, 'v': {'axis': '+y'}}}");
    assert_string_equal(steps(&s, "Components of F2"),
                        "F_2=5000 [F2 counts with a negative factor: its direction is reversed.] "
                        "F_2x=-1710.1 F_2y=-4698.46");
    assert_string_equal(steps(&s, "Magnitude and direction"),
                        "θ=250 [F_2x is negative and F_2y is negative: F_2 lies in quadrant 3.] "
                        "u_x=-0.34202 u_y=-0.939693");
    assert_string_equal(steps(&s, "Along u and v"),
                        "θ_u=180 θ_v=90 φ_u=70 φ_v=-160 F_2u=1710.1 F_2v=-4698.46 [The axes are "
                        "square to each other, so that these are the projections of the force as "
                        "well.]");
    done(&s);
    s = solve(
        "resolve",
        "{'force': {'name': 'P', 'magnitude': 3, 'direction': {'angle': 337}}, 'along': {'u': "
        "{'angle': 10.5}, 'v': {'angle': 47}}}");
    assert_string_equal(steps(&s, "Along u and v"),
                        "θ_u=10.5 θ_v=47 φ_u=-33.5 φ_v=70 P_u=4.73936 P_v=-2.7837 [P_u and P_v are "
                        "the sides of the parallelogram; the projections on the axes, 2.50 N and "
                        "1.03 N, do not add up to the force.]");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [0, -3.5]}}");
    assert_string_equal(steps(&s, "Components of P"), "P_x=0 P_y=-3.5");
    assert_string_equal(steps(&s, "Magnitude and direction"),
                        "P=3.5 [P lies along −y.] θ=270 u_x=0 u_y=-1");
    done(&s);
}

/* θ from the half-axis that the angle was typed from, by whole turns where it needs them. */
static void angles_as_written(void **state)
{
    static const struct {
        const char *direction, *line;
    } rows[] = {
        {"{'angle': 30.4}", "θ = 30.4°"},
        {"{'angle': 730.4}", "θ = 730.4° − 720° = 10.4°"},
        {"{'angle': -135.3}", "θ = 360° − 135.3° = 224.7°"},
        {"{'angle': 20.5, 'from': '-x', 'toward': '-y'}", "θ = 180° + 20.5° = 200.5°"},
        {"{'angle': 20.5, 'from': '+y', 'turn': 'clockwise'}", "θ = 90° − 20.5° = 69.5°"},
        {"{'angle': -20.5, 'from': '+x', 'turn': 'clockwise'}", "θ = −(−20.5°) = 20.5°"},
        {"{'slope': {'run': -3, 'rise': 4}}", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resolve",
                                "{'force': {'name': 'P', 'magnitude': 5, 'direction': "
                                "%s}}",
                                rows[i].direction);
        if (*rows[i].line)
            assert_string_equal(line_of(&s, "Magnitude and direction", 0), rows[i].line);
        else
            assert_string_equal(line_of(&s, "Magnitude and direction", 1),
                                "φ = tan⁻¹(|P_y|/|P_x|) = tan⁻¹(|4.00|/|−3.00|) = 53.1°");
        done(&s);
    }
    struct solved s = solve("resolve", "{'force': {'name': 'P', 'components': [4, -1]}, 'along': "
                                       "{'u': {'axis': '+x'}, 'v': {'slope': {'run': -3, 'rise': "
                                       "4}}}}");
    assert_string_equal(line_of(&s, "Along u and v", 2), "θ_u = 0°");
    assert_string_equal(line_of(&s, "Along u and v", 3), "θ_v = 180° − tan⁻¹(4/|−3|) = 126.9°");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'P', 'components': [4, -1]}, 'along': {'u': {'angle': "
                         "720000000000010.4}, 'v': {'angle': 720000000000075.2}}}");
    along_is(&s, 4, -1, 10.4, 75.2);
    done(&s);
}

static void the_working_in_space(void **state)
{
    (void)state;
    struct solved s =
        solve("resolve", "{'up': '-y', 'points': {'A': [40, 0, -30], 'B1': [0, 80, "
                         "0]}, 'force': {'name': 'T', 'magnitude': 2500, 'direction': "
                         "{'line': ['A', 'B1']}}}");
    assert_string_equal(steps(&s, "Components of T"),
                        "T=2500 r_A,B1x=-40 r_A,B1y=80 r_A,B1z=30 r_A,B1=94.3398 T_x=-1060 "
                        "T_y=2120 T_z=794.998");
    assert_string_equal(steps(&s, "Magnitude and direction"),
                        "α=115.087 β=32.0054 γ=71.458 u_x=-0.423999 u_y=0.847998 u_z=0.317999");
    assert_string_equal(steps(&s, "Azimuth and elevation"),
                        "[The level part of T points between −x and +z.] φ=36.8699 θ=143.13 "
                        "L_T=1325 ε=-57.9946");
    done(&s);
    s = solve("resolve",
              "{'force': {'name': 'T', 'magnitude': 12, 'direction': {'direction_angles': "
              "{'alpha': 60, 'beta': 50, 'gamma': 'obtuse'}}}}");
    assert_string_equal(steps(&s, "Components of T"),
                        "T=12 [The squares of the three cosines add to one.] γ_T=125.476 T_x=6 "
                        "T_y=7.71345 T_z=-6.96439");
    assert_string_equal(steps(&s, "Azimuth and elevation"),
                        "[The level part of T points between +x and +y.] φ=52.122 θ=52.122 "
                        "L_T=9.77227 ε=-35.4763");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'T', 'components': [0, 3, -4]}}");
    assert_string_equal(steps(&s, "Azimuth and elevation"),
                        "[The level part of T lies along +y.] θ=90 L_T=3 ε=-53.1301");
    done(&s);
    s = solve("resolve", "{'force': {'name': 'T', 'components': [0, 0, -4]}}");
    assert_string_equal(steps(&s, "Azimuth and elevation"),
                        "[T is vertical: it has no azimuth.] ε=-90");
    done(&s);
}

/* A name may be what one of our own symbols is: ours gets a prime. */
static void names_that_clash(void **state)
{
    static const char *const names[] = {"u", "θ", "φ", "h_h", "u_x", "λ", "F_u", "P_x"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct solved s = solve("resolve",
                                "{'force': {'name': '%s', 'components': [24, -10]}, "
                                "'onto': {'slope': {'run': 3, 'rise': 4}}, 'along': "
                                "{'u': {'angle': 3}, 'v': {'slope': {'run': 3, 'rise': "
                                "4}}}}",
                                names[i]);
        assert_string_equal(words_at(&s, "force/name"), names[i]);
        assert_number(&s, "force/magnitude", 26);
        assert_number(&s, "onto/component", 6.4);
        for (uint32_t a = 1; a < s.work.node_count; a++)
            for (uint32_t b = a + 1; b < s.work.node_count; b++) {
                const struct symbol *x = &s.work.node[a].symbol, *y = &s.work.node[b].symbol;
                if (x->base && y->base && strcmp(x->base, y->base) == 0 && x->axis == y->axis &&
                    strcmp(x->sub ? x->sub : "", y->sub ? y->sub : "") == 0)
                    assert_int_not_equal(x->primed, y->primed);
            }
        done(&s);
    }
}

/* ---- properties ---- */

static struct solved solve_turned(double force, double at, double u, double v, double line,
                                  double by)
{
    return solve("resolve",
                 "{'force': {'name': 'P', 'magnitude': %.10g, 'direction': {'angle': %.10g}}, "
                 "'along': {'u': {'angle': %.10g}, 'v': {'angle': %.10g}}, 'onto': {'angle': "
                 "%.10g}}",
                 force, at + by, u + by, v + by, line + by);
}

/* Turning force, axes and line together changes neither the parts nor the angle. */
static void turning_everything(void **state)
{
    (void)state;
    random_start("test_resolve", 31);
    for (int i = 0; i < random_rounds(60); i++) {
        double force = random_int(1, 9999) / 10.0, at = random_int(0, 3599) / 10.0;
        double u = random_int(0, 3599) / 10.0, v = u + random_int(5, 1700) / 10.0;
        double line = random_int(0, 3599) / 10.0, by = random_int(1, 3599) / 10.0;
        struct solved s = solve_turned(force, at, u, v, line, 0);
        struct solved t = solve_turned(force, at, u, v, line, by);
        assert_number(&t, "along/u", number_at(&s, "along/u"));
        assert_number(&t, "along/v", number_at(&s, "along/v"));
        assert_number(&t, "onto/component", number_at(&s, "onto/component"));
        assert_number(&t, "onto/angle", number_at(&s, "onto/angle"));
        assert_near(remainder(number_at(&t, "force/direction/angle") -
                                  number_at(&s, "force/direction/angle") - by,
                              360),
                    0, 1e-10);
        /* The parts add up to the force. */
        double x = number_at(&s, "along/u") * cosd(u) + number_at(&s, "along/v") * cosd(v);
        double y = number_at(&s, "along/u") * sind(u) + number_at(&s, "along/v") * sind(v);
        assert_near(x, number_at(&s, "force/components/0"),
                    1e-9 * (1 + fabs(number_at(&s, "along/u"))));
        assert_near(y, number_at(&s, "force/components/1"),
                    1e-9 * (1 + fabs(number_at(&s, "along/u"))));
        done(&s);
        done(&t);
    }
}

static void published_cases(void **state)
{
    (void)state;
    assert_true(check_published("tests/cases/resolve/components.json", "resolve") >= 21);
    assert_true(check_published("tests/cases/resolve/units.json", "resolve") >= 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_angle),
        cmocka_unit_test(every_vector),
        cmocka_unit_test(direction_angles),
        cmocka_unit_test(rounded_direction_angles),
        cmocka_unit_test(azimuth_and_elevation),
        cmocka_unit_test(up_of_the_answer),
        cmocka_unit_test(radians),
        cmocka_unit_test(never_a_whole_turn),
        cmocka_unit_test(components_and_words),
        cmocka_unit_test(weights_factors_units),
        cmocka_unit_test(both_ways),
        cmocka_unit_test(a_zero_force),
        cmocka_unit_test(along_two_axes),
        cmocka_unit_test(along_three_axes),
        cmocka_unit_test(axes_that_do_not_serve),
        cmocka_unit_test(onto_a_line),
        cmocka_unit_test(points_that_are_computed),
        cmocka_unit_test(every_fault_at_its_place),
        cmocka_unit_test(the_working_in_the_plane),
        cmocka_unit_test(angles_as_written),
        cmocka_unit_test(the_working_in_space),
        cmocka_unit_test(names_that_clash),
        cmocka_unit_test(turning_everything),
        cmocka_unit_test(published_cases),
    };
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
