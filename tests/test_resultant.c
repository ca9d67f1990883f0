/* Forces, couples and distributed loads replaced by their resultant. Expected numbers are worked
 * out here from the definitions, or come from the published cases of tests/cases (sources in
 * tests/cases/README.md). */
#include "solving.h"

#include "random.h"

static double cosd(double degrees) { return cos(degrees * TEST_PI / 180); }
static double sind(double degrees) { return sin(degrees * TEST_PI / 180); }
static double degrees(double radians) { return radians * 180 / TEST_PI; }
static double turn(double a) { return a - 360 * floor(a / 360); }

/* ---- an oracle: forces at places, summed ---- */

struct sums {
    bool space;
    double centre[3];
    double force[3], moment[3]; /* moment about the centre */
};

static void cross(const double a[3], const double b[3], double c[3])
{
    for (int i = 0; i < 3; i++)
        c[i] = a[(i + 1) % 3] * b[(i + 2) % 3] - a[(i + 2) % 3] * b[(i + 1) % 3];
}

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static void add_force(struct sums *t, double x, double y, double z, double at_x, double at_y,
                      double at_z)
{
    double F[3] = {x, y, z};
    double r[3] = {at_x - t->centre[0], at_y - t->centre[1], at_z - t->centre[2]}, m[3];
    cross(r, F, m);
    for (int i = 0; i < 3; i++) {
        t->force[i] += F[i];
        t->moment[i] += m[i];
    }
}

static void vector_is(struct solved *s, bool space, const char *path, const double v[3])
{
    for (int i = 0; i < (space ? 3 : 2); i++)
        assert_near(number_at(s, arena_printf(s->arena, "%s/%d", path, i)), v[i],
                    1e-10 * (1 + fabs(v[0]) + fabs(v[1]) + fabs(v[2])));
}

static void resultant_is(struct solved *s, const struct sums *t)
{
    double R = sqrt(dot(t->force, t->force));
    double u[3] = {t->force[0] / R, t->force[1] / R, t->force[2] / R};
    assert_string_equal(words_at(s, "resultant/name"), "R");
    vector_is(s, t->space, "resultant/components", t->force);
    vector_is(s, t->space, "unit_vector", u);
    assert_near(number_at(s, "resultant/magnitude"), R, 1e-11 * R);
    if (t->space) {
        assert_near(number_at(s, "resultant/direction/direction_angles/alpha"), degrees(acos(u[0])),
                    1e-6);
        assert_near(number_at(s, "resultant/direction/direction_angles/beta"), degrees(acos(u[1])),
                    1e-6);
        assert_near(number_at(s, "resultant/direction/direction_angles/gamma"), degrees(acos(u[2])),
                    1e-6);
        assert_true(is_null_at(s, "quadrant"));
        assert_near(number_at(s, "azimuth"), turn(degrees(atan2(u[1], u[0]))), 1e-9);
        assert_near(number_at(s, "elevation"), degrees(asin(u[2])), 1e-6);
    } else {
        assert_near(number_at(s, "resultant/direction/angle"), turn(degrees(atan2(u[1], u[0]))),
                    1e-9);
        assert_true(is_absent(s, "azimuth"));
        assert_int_equal(count_at(s, "quadrant"),
                         u[1] > 0 ? (u[0] > 0 ? 1 : 2) : (u[0] < 0 ? 3 : 4));
    }
}

static void equivalent_is(struct solved *s, const struct sums *t)
{
    const double *R = t->force, *M = t->moment, *O = t->centre;
    double square = dot(R, R), way[3], pitch = dot(M, R) / square, about[3], along[3], nearest[3];
    cross(R, M, way);
    for (int i = 0; i < 3; i++) {
        way[i] /= square;
        nearest[i] = O[i] + way[i];
        along[i] = pitch * R[i];
        about[i] = O[i];
    }
    vector_is(s, t->space, "equivalent/about", about);
    vector_is(s, t->space, "equivalent/force", R);
    assert_near(number_at(s, "equivalent/arm"), sqrt(dot(way, way)), 1e-9);
    if (t->space) {
        vector_is(s, true, "equivalent/couple", M);
        assert_near(number_at(s, "equivalent/couple_magnitude"), sqrt(dot(M, M)), 1e-9);
        vector_is(s, true, "wrench/force", R);
        vector_is(s, true, "wrench/couple", along);
        vector_is(s, true, "wrench/point", nearest);
        assert_near(number_at(s, "wrench/pitch"), pitch, 1e-9);
        assert_true(is_absent(s, "line_of_action"));
        return;
    }
    assert_near(number_at(s, "equivalent/couple"), M[2], 1e-10 * (1 + fabs(M[2])));
    assert_true(is_absent(s, "equivalent/couple_magnitude"));
    assert_true(is_absent(s, "wrench"));
    vector_is(s, false, "line_of_action/point", nearest);
    /* Any point (x, y) of the line has the same moment about the centre. */
    double x = O[0] + (M[2] - O[1] * R[0]) / R[1], y = O[1] - (M[2] + O[0] * R[1]) / R[0];
    assert_near(number_at(s, "line_of_action/x_intercept"), x, 1e-9 * (1 + fabs(x)));
    assert_near(number_at(s, "line_of_action/y_intercept"), y, 1e-9 * (1 + fabs(y)));
}

/* ---- concurrent forces ---- */

static void forces_that_meet(void **state)
{
    (void)state;
    struct solved s =
        solve("resultant", "{'units': {'force': 'kN'}, 'forces': [{'magnitude': 217.5, "
                           "'direction': {'angle': 248.2}}, {'name': 'P', 'magnitude': 130, "
                           "'direction': {'slope': {'run': -12, 'rise': 5}}}, {'name': 'Q', "
                           "'components': [31.25, -7.5], 'times': 2}]}");
    struct sums t = {0};
    add_force(&t, 217.5 * cosd(248.2), 217.5 * sind(248.2), 0, 0, 0, 0);
    add_force(&t, -120, 50, 0, 0, 0, 0);
    add_force(&t, 62.5, -15, 0, 0, 0, 0);
    resultant_is(&s, &t);
    assert_string_equal(words_at(&s, "in_words"), "217 kN at 50.4° below −x");
    assert_true(is_absent(&s, "equivalent"));
    assert_true(is_absent(&s, "line_of_action"));
    assert_string_equal(note_codes(&s), "quadrant");
    assert_string_equal(note_text(&s, "quadrant"),
                        "R_x is negative and R_y is negative, so R lies in quadrant 3: an "
                        "arctangent alone gives the acute angle, and the signs decide.");
    assert_string_equal(steps(&s, "Components of the forces"),
                        "F_1=217.5 F_1x=-80.7725 F_1y=-201.946 P=130 h_P=13 [The slope makes an "
                        "angle of 22.6° with the x axis.] P_x=-120 P_y=50 Q_x=62.5 Q_y=-15");
    assert_string_equal(
        steps(&s, "Resultant"),
        "R_x=ΣF_x=-138.273 R_y=ΣF_y=-166.946 R=216.772 [R_x is negative and R_y is negative: "
        "R lies in quadrant 3.] φ=50.3668 θ=230.367 u_x=-0.63787 u_y=-0.770144");
    done(&s);
    s = solve("resultant",
              "{'forces': [{'components': [10, -20, 30]}, {'magnitude': 7, 'direction': "
              "{'vector': [2, -3, -6]}}, {'magnitude': 12.5, 'direction': {'azimuth': "
              "215, 'elevation': 33}}]}");
    struct sums v = {.space = true};
    add_force(&v, 10, -20, 30, 0, 0, 0);
    add_force(&v, 2, -3, -6, 0, 0, 0);
    add_force(&v, 12.5 * cosd(33) * cosd(215), 12.5 * cosd(33) * sind(215), 12.5 * sind(33), 0, 0,
              0);
    resultant_is(&s, &v);
    assert_true(is_absent(&s, "equivalent"));
    assert_string_equal(note_codes(&s), "");
    done(&s);
}

/* Two forces, all around: the cosine law and the sine law lead to the same (checked by solve). */
static void two_forces(void **state)
{
    (void)state;
    for (int a = 10; a < 360; a += 70)
        for (int b = 25; b < 360; b += 55) {
            struct solved s = solve("resultant",
                                    "{'forces': [{'magnitude': 58, 'direction': "
                                    "{'angle': %d}}, {'magnitude': 27.5, 'direction': "
                                    "{'angle': %d}}]}",
                                    a, b);
            struct sums t = {0};
            add_force(&t, 58 * cosd(a), 58 * sind(a), 0, 0, 0, 0);
            add_force(&t, 27.5 * cosd(b), 27.5 * sind(b), 0, 0, 0, 0);
            resultant_is(&s, &t);
            assert_int_equal(s.work.alternative_count, 2);
            done(&s);
        }
    /* The longer second side: the angle at the first is obtuse. */
    struct solved s = solve("resultant", "{'forces': [{'components': [5, 0]}, {'components': [-12, "
                                         "3]}]}");
    assert_numbers(&s, "resultant/components", -7, 3);
    assert_int_equal(s.work.alternative_count, 2);
    done(&s);
    s = solve("resultant", "{'forces': [{'components': [0, 0]}, {'components': [-12, 3]}]}");
    assert_int_equal(s.work.alternative_count, 0);
    done(&s);
    s = solve("resultant", "{'forces': [{'components': [-12, 3]}, {'components': [0, 0]}]}");
    assert_int_equal(s.work.alternative_count, 0);
    done(&s);
    s = solve("resultant", "{'forces': [{'components': [-12, 3]}, {'components': [1, 2]}, "
                           "{'components': [1, 3]}]}");
    assert_int_equal(s.work.alternative_count, 0);
    done(&s);
    s = solve("resultant", "{'forces': [{'components': [-12, 3, 1]}, {'components': [1, 2, 1]}]}");
    assert_int_equal(s.work.alternative_count, 0);
    done(&s);
}

static void on_an_axis(void **state)
{
    static const struct {
        const char *forces, *words;
        double x, y, angle;
    } rows[] = {
        {"{'components': [10, 3]}, {'components': [-15, -3]}", "5.00 N along −x", -5, 0, 180},
        {"{'components': [10, 3]}, {'components': [15, -3]}", "25.0 N along +x", 25, 0, 0},
        {"{'magnitude': 8, 'direction': {'angle': 22.62}}, {'magnitude': 8, 'direction': {'angle': "
         "157.38}}",
         "6.15 N along +y", 0, 6.1538809664029293, 90},
        {"{'magnitude': 8, 'direction': {'angle': 202.62}}, {'magnitude': 8, 'direction': "
         "{'angle': "
         "337.38}}",
         "6.15 N along −y", 0, -6.1538809664029293, 270},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resultant", "{'forces': [%s]}", rows[i].forces);
        assert_near(number_at(&s, "resultant/components/0"), rows[i].x, 1e-5);
        assert_near(number_at(&s, "resultant/components/1"), rows[i].y, 1e-5);
        assert_true(number_at(&s, rows[i].x == 0 ? "resultant/components/0"
                                                 : "resultant/components/1") == 0.0);
        assert_true(number_at(&s, "resultant/direction/angle") == rows[i].angle);
        assert_true(is_null_at(&s, "quadrant"));
        assert_string_equal(words_at(&s, "in_words"), rows[i].words);
        done(&s);
    }
}

/* ---- forces at places ---- */

static void forces_at_places(void **state)
{
    static const struct {
        const char *about;
        double centre[2];
        const char *name;
    } rows[] = {
        {"", {0, 0}, "O"},
        {", 'about': [0, 0]", {0, 0}, "O"},
        {", 'about': 'A'", {0, 0}, "A"},
        {", 'about': 'B'", {4.5, 1.25}, "B"},
        {", 'about': [-2, 3.5]", {-2, 3.5}, "O"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s =
            solve("resultant",
                  "{'units': {'force': 'kN'}, 'points': {'A': [0, 0], 'B': [4.5, 1.25], 'D': "
                  "{'between': ['A', 'B'], 'fraction': 2}}, 'forces': [{'magnitude': 217.5, "
                  "'direction': {'angle': 248.2}, 'at': 'B'}, {'name': 'P', 'components': "
                  "[12, -31], 'at': 'A'}, {'name': 'Q', 'magnitude': 65, 'direction': "
                  "{'slope': {'run': -3, 'rise': 4}}, 'at': [-1.5, 2]}, {'name': 'W', 'mass': "
                  "500, 'at': 'D'}], 'couples': [{'moment': 12.5, 'turn': 'clockwise'}, "
                  "{'name': 'C', 'moment': 3.75}]%s}",
                  rows[i].about);
        struct sums t = {.centre = {rows[i].centre[0], rows[i].centre[1]}};
        add_force(&t, 217.5 * cosd(248.2), 217.5 * sind(248.2), 0, 4.5, 1.25, 0);
        add_force(&t, 12, -31, 0, 0, 0, 0);
        add_force(&t, -39, 52, 0, -1.5, 2, 0);
        add_force(&t, 0, -4.905, 0, 9, 2.5, 0);
        t.moment[2] -= 8.75;
        resultant_is(&s, &t);
        equivalent_is(&s, &t);
        assert_string_equal(note_codes(&s), "quadrant");
        const char *title = arena_printf(s.arena, "Moment about %s", rows[i].name);
        assert_string_not_equal(steps(&s, title), "no such section");
        done(&s);
    }
}

static void the_working_at_places(void **state)
{
    (void)state;
    struct solved s =
        solve("resultant",
              "{'points': {'B': [4, 1], 'O': [1, 1]}, 'forces': [{'magnitude': 10, "
              "'direction': {'slope': {'run': 3, 'rise': -4}}, 'at': 'B'}, {'name': 'P', "
              "'components': [5, 0], 'at': [7, 2]}, {'name': 'Q', 'components': [0, 9], "
              "'at': [2, 2]}], 'couples': [{'name': 'C', 'moment': 4, 'turn': 'clockwise'}], "
              "'about': [2, 2]}");
    assert_string_equal(steps(&s, "Couples"), "C=-4");
    assert_string_equal(
        steps(&s, "Moment about O'"),
        "r_1x=2 r_1y=-1 M_1=-10 r_Px=5 r_Py=0 M_P=0 [The line of action of P passes "
        "through O': it has no moment about it.] r_Qx=0 r_Qy=0 [Q acts at O': it "
        "has no moment about it.] M_O'=ΣM_O'=-14");
    assert_string_equal(steps(&s, "Line of action"),
                        "d=1.2675 r_Nx=1.88525 r_Ny=3.2623 a=-34 b=3.09091");
    done(&s);
    s = solve("resultant", "{'points': {'B': [4, 1], 'A': [1, 1]}, 'forces': [{'magnitude': 10, "
                           "'direction': {'slope': {'run': 3, 'rise': -4}}, 'at': 'B'}, {'name': "
                           "'P', 'components': [5, 0], 'at': 'A'}], 'about': 'A'}");
    assert_string_equal(
        steps(&s, "Moment about A"),
        "r_ABx=3 r_ABy=0 M_1=-24 [P acts at A: it has no moment about it.] M_A=ΣM_A=-24");
    done(&s);
    /* A force of zero has no line of action. */
    s = solve("resultant",
              "{'forces': [{'name': 'Z', 'components': [0, 0], 'at': [2, 1]}, {'name':"
              " 'W', 'mass': 0, 'at': [1, 4]}, {'components': [1, 2], 'at': [3, 3]}]}");
    assert_string_equal(
        steps(&s, "Moment about O"),
        "[Z is zero: it has no moment.] [W is zero: it has no moment.] M_3=3 M_O=ΣM_O=3");
    done(&s);
    /* What stands on the board already is not written again. */
    s = solve(
        "resultant",
        "{'points': {'A': [1, 1], 'B': [4, 5], 'D': [4, -3]}, 'forces': [{'magnitude': 10, "
        "'direction': {'line': ['A', 'B']}, 'at': 'A'}, {'magnitude': 5, 'direction': {'line': "
        "['A', 'D']}, 'at': 'B'}, {'magnitude': 15, 'direction': {'line': ['A', 'B']}, 'at': "
        "'D'}, {'name': 'F\\u0027', 'magnitude': 20, 'direction': {'line': ['B', 'A']}, 'at': "
        "'D'}], 'about': 'A'}");
    assert_string_equal(steps(&s, "Components of the forces"),
                        "F_1=10 r_ABx=3 r_ABy=4 r_AB=5 F_1x=6 F_1y=8 F_2=5 r_ADx=3 r_ADy=-4 r_AD=5 "
                        "F_2x=3 F_2y=-4 F_3=15 F_3x=9 F_3y=12 F'=20 r_BAx=-3 r_BAy=-4 r_BA=5 "
                        "F'_x=-12 F'_y=-16");
    assert_string_equal(steps(&s, "Moment about A"),
                        "[F1 acts at A: it has no moment about it.] M_2=-24 M_3=72 M_F'=-96 "
                        "M_A=ΣM_A=-48");
    done(&s);
    /* About the origin the coordinates stand as they are typed. */
    s = solve("resultant",
              "{'forces': [{'magnitude': 10, 'direction': {'slope': {'run': 3, 'rise': "
              "-4}}, 'at': [4, 1]}, {'name': 'P', 'components': [5, 0], 'at': [0, 0]}, "
              "{'name': 'Q', 'components': [-11, 0], 'at': [0, 2]}]}");
    assert_string_equal(steps(&s, "Moment about O"),
                        "M_1=-38 [P acts at O: it has no moment about it.] M_Q=22 M_O=ΣM_O=-16");
    assert_string_equal(steps(&s, "Line of action"),
                        "d=2 r_Nx=2 r_Ny=0 a=2 [The line of action is parallel to the y axis.]");
    assert_number(&s, "line_of_action/x_intercept", 2);
    assert_true(is_null_at(&s, "line_of_action/y_intercept"));
    done(&s);
    s = solve("resultant", "{'forces': [{'components': [5, 0], 'at': [3, -2]}]}");
    assert_true(is_null_at(&s, "line_of_action/x_intercept"));
    assert_number(&s, "line_of_action/y_intercept", -2);
    assert_number(&s, "equivalent/couple", 10);
    assert_string_equal(steps(&s, "Line of action"),
                        "d=2 r_Nx=0 r_Ny=-2 [The line of action is parallel to the x axis.] b=-2");
    done(&s);
    /* Everything acts at the centre. */
    s = solve("resultant", "{'forces': [{'components': [5, 1], 'at': [3, -2]}], 'about': [3, -2]}");
    assert_number(&s, "equivalent/couple", 0);
    assert_number(&s, "equivalent/arm", 0);
    assert_numbers(&s, "line_of_action/point", 3, -2);
    done(&s);
}

static void couples_beside_concurrent_forces(void **state)
{
    (void)state;
    struct solved s =
        solve("resultant", "{'forces': [{'components': [30, -40]}, {'components': [0, "
                           "0]}], 'couples': [{'moment': 75}, {'moment': 12.5, "
                           "'turn': 'clockwise'}]}");
    assert_number(&s, "equivalent/couple", 62.5);
    assert_numbers(&s, "equivalent/about", 0, 0);
    assert_number(&s, "equivalent/arm", 1.25);
    assert_numbers(&s, "line_of_action/point", -1, -0.75);
    assert_string_equal(note_codes(&s), "quadrant taken-to-meet-at-origin");
    done(&s);
    s = solve("resultant",
              "{'forces': [{'components': [0, 0, 50]}], 'couples': [{'moment': [3, -4, "
              "20]}]}");
    assert_numbers(&s, "equivalent/couple", 3, -4, 20);
    assert_numbers(&s, "wrench/couple", 0, 0, 20);
    assert_number(&s, "wrench/pitch", 0.4);
    assert_numbers(&s, "wrench/point", 0.08, 0.06, 0);
    assert_string_equal(note_codes(&s), "wrench taken-to-meet-at-origin");
    assert_true(is_null_at(&s, "azimuth"));
    assert_number(&s, "elevation", 90);
    done(&s);
}

/* ---- nothing left ---- */

static void a_zero_resultant(void **state)
{
    (void)state;
    /* Three forces at 120°, and 5-12-13 against components: exactly zero. */
    static const char *const balanced[] = {
        "{'magnitude': 8, 'direction': {'angle': 17.5}}, {'magnitude': 8, 'direction': {'angle': "
        "137.5}}, {'magnitude': 8, 'direction': {'angle': 257.5}}",
        "{'magnitude': 13, 'direction': {'slope': {'run': 5, 'rise': -12}}}, {'components': [-5, "
        "12]}",
        "{'magnitude': 3, 'direction': {'angle': 45}}, {'magnitude': 3, 'direction': {'slope': "
        "{'run': -1, 'rise': -1}}}",
        "{'components': [0, 0]}",
    };
    for (size_t i = 0; i < sizeof balanced / sizeof balanced[0]; i++) {
        struct solved s = solve("resultant", "{'forces': [%s]}", balanced[i]);
        assert_true(number_at(&s, "resultant/magnitude") == 0.0);
        assert_true(number_at(&s, "resultant/components/0") == 0.0);
        assert_true(number_at(&s, "resultant/components/1") == 0.0);
        assert_true(is_null_at(&s, "resultant/direction"));
        assert_true(is_null_at(&s, "unit_vector"));
        assert_true(is_null_at(&s, "quadrant"));
        assert_string_equal(words_at(&s, "in_words"), "zero: the loads balance");
        assert_string_equal(note_codes(&s), "zero-resultant");
        done(&s);
    }
    struct solved s = solve("resultant", "{'forces': [{'components': [5, 12], 'at': [1, 2]}, "
                                         "{'components': [-5, -12], 'at': [3, 2]}], 'about': [7, "
                                         "-8]}");
    assert_number(&s, "equivalent/couple", -24);
    assert_true(is_null_at(&s, "equivalent/arm"));
    assert_true(is_null_at(&s, "line_of_action"));
    assert_string_equal(words_at(&s, "in_words"), "no force, but a couple of 24.0 N·m, clockwise");
    assert_string_equal(note_codes(&s), "couple-remains");
    assert_string_equal(note_text(&s, "couple-remains"),
                        "The resultant force is zero, but a couple of −24.0 N·m remains, the same "
                        "about every point. There is no line of action.");
    done(&s);
    s = solve("resultant", "{'couples': [{'moment': 40}, {'moment': 15, 'turn': 'clockwise'}], "
                           "'about': [3, 4]}");
    assert_numbers(&s, "resultant/components", 0, 0);
    assert_numbers(&s, "equivalent/force", 0, 0);
    assert_numbers(&s, "equivalent/about", 3, 4);
    assert_number(&s, "equivalent/couple", 25);
    assert_string_equal(words_at(&s, "in_words"),
                        "no force, but a couple of 25.0 N·m, counter-clockwise");
    assert_string_equal(steps(&s, "Resultant"), "R_x=ΣF_x=0 R_y=ΣF_y=0 R=0");
    assert_string_equal(steps(&s, "Moment about O"), "M_O=ΣM_O=25");
    const struct node *R = q_node(&s.work, value_at(&s, "resultant/magnitude", NULL)->scalar);
    assert_int_equal(R->dimension.force, 1);
    assert_int_equal(R->dimension.length, 0);
    done(&s);
    /* On one line and opposite: all balances. */
    s = solve("resultant", "{'forces': [{'components': [5, 12], 'at': [0, 0]}, {'components': [-5, "
                           "-12], 'at': [10, 24]}]}");
    assert_number(&s, "equivalent/couple", 0);
    assert_string_equal(words_at(&s, "in_words"), "zero: the loads balance");
    assert_string_equal(note_codes(&s), "zero-resultant");
    done(&s);
    s = solve("resultant", "{'couples': [{'moment': [2, -3, 6]}]}");
    assert_true(is_null_at(&s, "wrench"));
    assert_true(is_null_at(&s, "azimuth"));
    assert_true(is_null_at(&s, "elevation"));
    assert_true(is_null_at(&s, "resultant/direction"));
    assert_number(&s, "equivalent/couple_magnitude", 7);
    assert_true(is_null_at(&s, "equivalent/arm"));
    assert_string_equal(words_at(&s, "in_words"), "no force, but a couple of 7.00 N·m");
    assert_string_equal(steps(&s, "Resultant"), "R_x=ΣF_x=0 R_y=ΣF_y=0 R_z=ΣF_z=0 R=0");
    assert_string_equal(note_text(&s, "couple-remains"),
                        "The resultant force is zero, but a couple of 7.00 N·m remains, the same "
                        "about every point. There is no line of action.");
    done(&s);
    s = solve("resultant", "{'forces': [{'components': [1, 2, 3], 'at': [1, 1, 1]}, {'components': "
                           "[-1, -2, -3], 'at': [2, 3, 4]}]}");
    assert_string_equal(words_at(&s, "in_words"), "zero: the loads balance");
    assert_numbers(&s, "equivalent/couple", 0, 0, 0);
    done(&s);
}

static void nearly_nothing_left(void **state)
{
    (void)state;
    struct solved s = solve("resultant", "{'forces': [{'name': 'A', 'magnitude': 100, 'direction': "
                                         "{'angle': 30}}, {'name': 'B', 'magnitude': 99, "
                                         "'direction': {'angle': 212}}]}");
    assert_string_equal(note_codes(&s), "quadrant ill-conditioned-angle");
    assert_string_equal(note_text(&s, "ill-conditioned-angle"),
                        "The forces nearly cancel: R is 3.61 N, far less than A. Its direction is "
                        "ill-conditioned: small changes in the forces turn it far.");
    done(&s);
    s = solve("resultant", "{'forces': [{'name': 'A', 'components': [3, 4]}, {'name': 'B', "
                           "'components': [0, 100]}, {'name': 'C', 'components': [0, -99]}]}");
    assert_string_equal(note_codes(&s), "quadrant"); /* 5.83 */
    done(&s);
    s = solve("resultant", "{'forces': [{'name': 'A', 'components': [3, 3]}, {'name': 'B', "
                           "'components': [0, 100]}, {'name': 'C', 'components': [0, -99]}]}");
    assert_string_equal(note_codes(&s), "quadrant"); /* 5.00 of 100: no less than 5 % */
    done(&s);
    s = solve("resultant", "{'forces': [{'name': 'A', 'components': [3, 2.9]}, {'name': 'B', "
                           "'components': [0, -99]}, {'name': 'C', 'components': [0, 100]}]}");
    assert_string_equal(note_text(&s, "ill-conditioned-angle"),
                        "The forces nearly cancel: R is 4.92 N, far less than C. Its direction is "
                        "ill-conditioned: small changes in the forces turn it far.");
    done(&s);
    /* Long numbers are rounded ones: what they leave is zero, and said. */
    s = solve("resultant",
              "{'forces': [{'magnitude': 2, 'direction': {'angle': 60}}, {'components': "
              "[-1, -1.7320508075688772]}]}");
    assert_true(number_at(&s, "resultant/magnitude") == 0.0);
    assert_true(is_null_at(&s, "resultant/direction"));
    assert_string_equal(note_codes(&s), "zero-resultant zero-within-digits");
    done(&s);
    /* Short ones are exact. */
    s = solve("resultant",
              "{'forces': [{'magnitude': 2, 'direction': {'angle': 60}}, {'components': "
              "[-1, -1.732]}]}");
    assert_number(&s, "resultant/magnitude", sqrt(3) - 1.732);
    assert_true(number_at(&s, "resultant/direction/angle") == 90.0);
    assert_string_equal(note_codes(&s), "ill-conditioned-angle");
    done(&s);
}

/* ---- distributed loads ---- */

static void distributed_loads(void **state)
{
    static const struct {
        const char *load;
        double x, y, at_x, at_y;
    } rows[] = {
        {"'from': [1, 0], 'to': [7, 0], 'intensity': 2.5", 0, -15, 4, 0},
        {"'from': [1, 0], 'to': [7, 0], 'intensity': [0, 2.5]", 0, -7.5, 5, 0},
        {"'from': [1, 0], 'to': [7, 0], 'intensity': [2.5, 0]", 0, -7.5, 3, 0},
        {"'from': [1, 0], 'to': [7, 0], 'intensity': [2, 4]", 0, -18, 1 + 6 * 10. / 18, 0},
        {"'from': [7, 0], 'to': [1, 0], 'intensity': [4, 2]", 0, -18, 1 + 6 * 10. / 18, 0},
        {"'from': [1, 0], 'to': [7, 0], 'intensity': [-2, 4]", 0, -6, 7, 0},
        {"'from': [1, 0], 'to': [7, 0], 'intensity': [2, -5]", 0, 9, 1 + 6 * 8. / 9, 0},
        {"'from': [1, 0], 'to': [7, 0], 'intensity': -3", 0, 18, 4, 0},
        {"'from': [0, 1], 'to': [3, 5], 'intensity': [1, 2], 'direction': {'angle': 36.87, 'from': "
         "'+x', 'toward': '-y'}",
         7.5 * 0.7999996, -7.5 * 0.6000005, 3 * 5. / 9, 1 + 4 * 5. / 9},
        {"'from': [0, 1], 'to': [3, 5], 'intensity': 2, 'per': 'x'", 0, -6, 1.5, 3},
        {"'from': [3, 5], 'to': [0, 1], 'intensity': 2, 'per': 'x'", 0, -6, 1.5, 3},
        {"'from': [0, 1], 'to': [3, 5], 'intensity': [0, 3], 'per': 'y', 'direction': {'axis': "
         "'+x'}",
         6, 0, 2, 1 + 8. / 3},
        {"'from': [0, 0], 'to': [3, 4], 'intensity': {'value': 1, 'unit': 'lb/ft'}, 'direction': "
         "{'line': [[0, 0], [4, -3]]}",
         5 * 4.4482216152605 / 0.3048 * 0.8, -5 * 4.4482216152605 / 0.3048 * 0.6, 1.5, 2},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resultant",
                                "{'distributed_loads': [{'name': 'w', %s}], 'about': "
                                "[-1, 2]}",
                                rows[i].load);
        double x = rows[i].x, y = rows[i].y;
        assert_near(number_at(&s, "resultant/components/0"), x, 1e-5);
        assert_near(number_at(&s, "resultant/components/1"), y, 1e-5);
        assert_near(number_at(&s, "equivalent/couple"),
                    (rows[i].at_x + 1) * y - (rows[i].at_y - 2) * x, 1e-4);
        done(&s);
    }
    struct solved s = solve("resultant", "{'points': {'A': [0, 0], 'B': [6, 0], 'D': [6, 8]}, "
                                         "'distributed_loads': [{'name': 'w', 'from': 'A', 'to': "
                                         "'B', 'intensity': [1, 3]}, {'from': 'B', 'to': 'D', "
                                         "'intensity': 5, 'direction': {'axis': '-x'}}, {'name': "
                                         "'q', 'from': [0, 1], 'to': [0, 3], 'intensity': [0, 6], "
                                         "'per': 'y', 'direction': {'axis': '+x'}}]}");
    assert_string_equal(
        steps(&s, "Distributed loads"),
        "w_A=1 w_B=3 r_ABx=6 r_ABy=0 r_AB=6 W_w=12 W_wx=0 W_wy=-12 k_w=0.583333 [It "
        "acts at the centroid of the load, the fraction k_w of the way from its "
        "beginning.] c_wx=3.5 c_wy=0 w_2=5 r_BDx=0 r_BDy=8 r_BD=8 W_w2=40 W_w2x=-40 "
        "W_w2y=0 k_w2=0.5 [It acts at the centroid of the load, the fraction k_w2 of "
        "the way from its beginning.] c_w2x=6 c_w2y=4 q_a=0 q_b=6 r_qx=0 r_qy=2 "
        "L_q=2 W_q=6 W_qx=6 W_qy=0 k_q=0.666667 [It acts at the centroid of the "
        "load, the fraction k_q of the way from its beginning.] c_qx=0 "
        "c_qy=2.33333");
    assert_string_equal(steps(&s, "Moment about O"), "M_w=-42 M_w2=160 M_q=-14 M_O=ΣM_O=104");
    assert_numbers(&s, "resultant/components", -34, -12);
    done(&s);
    s = solve("resultant", "{'points': {'A': [2, 1], 'B': [6, 0]}, 'distributed_loads': [{'name': "
                           "'w', 'from': 'A', 'to': [8, 1], 'intensity': 2}], 'about': 'B'}");
    assert_string_equal(steps(&s, "Moment about B"), "r_Bwx=-1 r_Bwy=1 M_w=12 M_B=ΣM_B=12");
    done(&s);
    s = solve("resultant", "{'up': '-y', 'distributed_loads': [{'from': [0, 0], 'to': [4, 0], "
                           "'intensity': 2}]}");
    assert_numbers(&s, "resultant/components", 0, 8);
    done(&s);
    s = solve("resultant",
              "{'distributed_loads': [{'from': [0, 0, 1], 'to': [2, 3, 7], 'intensity': "
              "[2, 0]}]}");
    assert_numbers(&s, "resultant/components", 0, 0, -7);
    assert_numbers(&s, "equivalent/couple", -7, 14. / 3, 0);
    done(&s);
}

static void a_load_that_changes_sign(void **state)
{
    (void)state;
    struct solved s =
        solve("resultant", "{'distributed_loads': [{'name': 'w', 'from': [1, 0], 'to': "
                           "[7, 0], 'intensity': [3, -3]}], 'couples': [{'name': 'C', "
                           "'moment': 2}], 'about': [5, 5]}");
    /* 4.5 N down at 2 m and up at 6 m */
    assert_number(&s, "equivalent/couple", 4.5 * 4 + 2);
    assert_number(&s, "resultant/magnitude", 0);
    assert_string_equal(note_codes(&s), "load-is-a-couple couple-remains");
    assert_string_equal(steps(&s, "Distributed loads"),
                        "w_a=3 w_b=-3 r_wx=6 r_wy=0 r_w=6 [The two ends of w carry equal and "
                        "opposite loads: its resultant is zero, and its two triangles make a "
                        "couple.] W_w=4.5 W_wx=0 W_wy=-4.5 a_wx=-4 a_wy=0 M_w=18");
    done(&s);
    s = solve("resultant", "{'distributed_loads': [{'name': 'w', 'from': [1, 0, 0], 'to': [7, 3, "
                           "0], 'intensity': [3, -3], 'per': 'y', 'direction': {'axis': '+z'}}]}");
    /* ¼ 3·3 = 2.25 up, −⅔ (6, 3, 0) × 2.25 k */
    assert_numbers(&s, "equivalent/couple", -4.5, 9, 0);
    done(&s);
    /* No load at all is no couple. */
    s = solve("resultant", "{'distributed_loads': [{'name': 'w', 'from': [1, 0], 'to': [7, 0], "
                           "'intensity': [0, 0]}]}");
    assert_string_equal(words_at(&s, "in_words"), "zero: the loads balance");
    assert_string_equal(note_codes(&s), "zero-resultant");
    done(&s);
}

/* ---- space ---- */

static void forces_in_space(void **state)
{
    static const struct {
        const char *about;
        double centre[3];
    } rows[] = {
        {"", {0, 0, 0}},
        {", 'about': 'B'", {-2.5, 1.5, 2.25}},
        {", 'about': [1, -1, 3]", {1, -1, 3}},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s =
            solve("resultant",
                  "{'units': {'force': 'kN'}, 'points': {'A': [2, 3, -2], 'B': [-2.5, 1.5, "
                  "2.25]}, 'forces': [{'magnitude': 70, 'direction': {'vector': [6, -2, 3]}, "
                  "'at': 'A'}, {'name': 'P', 'components': [-11, 4, 25], 'at': 'B'}, {'name': "
                  "'W', 'mass': 3000, 'at': [1, 0.5, 4]}], 'couples': [{'moment': [5, -12.5, "
                  "30]}]%s}",
                  rows[i].about);
        struct sums t = {.space = true};
        memcpy(t.centre, rows[i].centre, sizeof t.centre);
        add_force(&t, 60, -20, 30, 2, 3, -2);
        add_force(&t, -11, 4, 25, -2.5, 1.5, 2.25);
        add_force(&t, 0, 0, -29.43, 1, 0.5, 4);
        t.moment[0] += 5;
        t.moment[1] -= 12.5;
        t.moment[2] += 30;
        resultant_is(&s, &t);
        equivalent_is(&s, &t);
        assert_string_equal(note_codes(&s), "wrench");
        assert_true(is_absent(&s, "about_line"));
        done(&s);
    }
    /* R square to M: one force. */
    struct solved s = solve("resultant", "{'forces': [{'components': [0, 0, -5], 'at': [2, 1, 0]}, "
                                         "{'components': [0, 0, -3], 'at': [-1, 4, 0]}]}");
    assert_number(&s, "wrench/pitch", 0);
    assert_numbers(&s, "wrench/couple", 0, 0, 0);
    assert_numbers(&s, "wrench/point", 7. / 8, 17. / 8, 0);
    assert_number(&s, "elevation", -90);
    assert_string_equal(note_codes(&s), "single-force");
    assert_string_equal(words_at(&s, "in_words"), "8.00 N along −z");
    done(&s);
}

static void about_a_line(void **state)
{
    (void)state;
    struct solved s =
        solve("resultant", "{'points': {'A': [1, 0, 2], 'B': [3, -1, 4], 'O': [0, 0, "
                           "0]}, 'forces': [{'components': [10, -20, 30], 'at': [4, 5, "
                           "-6]}], 'couples': [{'moment': [1, 2, 3]}], 'about': "
                           "{'line': ['A', 'B']}}");
    struct sums t = {.space = true, .centre = {1, 0, 2}};
    add_force(&t, 10, -20, 30, 4, 5, -6);
    for (int i = 0; i < 3; i++)
        t.moment[i] += i + 1;
    equivalent_is(&s, &t);
    double line[3] = {2. / 3, -1. / 3, 2. / 3}, m = dot(line, t.moment);
    assert_number(&s, "about_line/moment", m);
    assert_numbers(&s, "about_line/direction", line[0], line[1], line[2]);
    assert_numbers(&s, "about_line/couple", m * line[0], m * line[1], m * line[2]);
    assert_string_equal(steps(&s, "Moment about the line"),
                        "r_ABx=2 r_ABy=-1 r_ABz=2 r_AB=3 λ_x=0.666667 λ_y=-0.333333 λ_z=0.666667 "
                        "M_λ=-21.3333 M_λx=-14.2222 M_λy=7.11111 M_λz=-14.2222");
    assert_string_equal(
        steps(&s, "Moment about A"),
        "r_1x=3 r_1y=5 r_1z=-8 M_1x=-10 M_1y=-170 M_1z=-110 M_Ax=ΣM_Ax=-9 M_Ay=ΣM_Ay=-168 "
        "M_Az=ΣM_Az=-107 M_A=199.384");
    assert_string_equal(steps(&s, "Wrench"),
                        "p=0.0428571 M_Rx=0.428571 M_Ry=-0.857143 M_Rz=1.28571 c_x=5.12857 "
                        "c_y=0.571429 c_z=-1.32857 d=5.32859 r_Nx=6.12857 r_Ny=0.571429 "
                        "r_Nz=0.671429");
    done(&s);
    /* A force that meets the line, and one parallel to it, have no moment about it. */
    s = solve("resultant",
              "{'forces': [{'components': [10, -20, 30], 'at': [3, -1, 4]}, "
              "{'components': [4, -2, 4], 'at': [5, 5, 5]}], 'about': {'line': [[1, 0, "
              "2], [3, -1, 4]]}}");
    assert_number(&s, "about_line/moment", 0);
    assert_numbers(&s, "about_line/couple", 0, 0, 0);
    assert_true(number_at(&s, "about_line/moment") == 0.0);
    done(&s);
    s = solve("resultant", "{'couples': [{'moment': [1, 2, 3]}], 'about': {'line': [[0, 0, 0], [0, "
                           "3, 4]]}}");
    assert_number(&s, "about_line/moment", 3.6);
    assert_true(is_null_at(&s, "wrench"));
    done(&s);
}

/* ---- what is refused ---- */

static void every_fault_at_its_place(void **state)
{
    static const struct {
        const char *request, *faults, *text;
    } rows[] = {
        {"{'couples': [{'moment': [1, 2, 3]}], 'about': {'line': [[0, 1, 0], [0, 1.0, 0]]}}",
         "zero-length at /about", "The line to take moments about needs two different points."},
        {"{'distributed_loads': [{'name': 'w', 'from': [1, 1], 'to': [1.0, 1], 'intensity': 3}]}",
         "zero-length at /distributed_loads/0",
         "The distributed load w begins and ends at one place."},
        {"{'distributed_loads': [{'name': 'w', 'from': [1, 1], 'to': [4, 1], 'intensity': 3, "
         "'per': "
         "'y'}]}",
         "zero-length at /distributed_loads/0",
         "The distributed load w is measured along y, but has no length along y."},
        {"{'forces': [{'components': [3, 4], 'magnitude': 6, 'direction': {'angle': 53.13}, 'at': "
         "[0, "
         "0]}], 'distributed_loads': [{'name': 'w', 'from': [1, 1], 'to': [1, 1.0], 'intensity': "
         "3}]}",
         "disagree at /forces/0, zero-length at /distributed_loads/0",
         "The components of F1 do not agree with its magnitude and direction: keep one of the two, "
         "or mend one."},
        {"{'forces': [{'components': [1e160, 1e160], 'at': [1e160, 0]}]}",
         "number-size at /forces/0/at/0",
         "The numbers are so large or so small that their squares and quotients cannot be "
         "calculated: choose other units."},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("resultant", "%s", rows[i].request);
        assert_string_equal(faults(&s), rows[i].faults);
        assert_string_equal(fault_text(&s, 0), rows[i].text);
        done(&s);
    }
}

/* ---- properties ---- */

struct random_force {
    double size, angle, x, y;
};

static void draw(struct random_force *f, int count)
{
    for (int i = 0; i < count; i++)
        f[i] = (struct random_force){random_int(1, 5000) / 10.0, random_int(0, 3599) / 10.0,
                                     random_int(-90, 90) / 10.0, random_int(-90, 90) / 10.0};
}

/* The forces in an order, turned by an angle about the origin, moved, and scaled. */
static struct solved solve_forces(const struct random_force *f, int count, bool backward, double by,
                                  double dx, double dy, double scale)
{
    char text[4096];
    size_t used = (size_t)snprintf(text, sizeof text, "{'forces': [");
    for (int k = 0; k < count; k++) {
        const struct random_force *g = &f[backward ? count - 1 - k : k];
        double x = g->x * cosd(by) - g->y * sind(by), y = g->x * sind(by) + g->y * cosd(by);
        used += (size_t)snprintf(text + used, sizeof text - used,
                                 "%s{'magnitude': %.17g, 'direction': {'angle': %.17g}, 'at': "
                                 "[%.17g, %.17g]}",
                                 k ? ", " : "", g->size * scale, g->angle + by, x + dx, y + dy);
    }
    snprintf(text + used, sizeof text - used, "], 'about': [%.17g, %.17g]}", dx, dy);
    return solve("resultant", "%s", text);
}

static void turned_moved_scaled_reordered(void **state)
{
    (void)state;
    random_start("test_resultant", 47);
    for (int i = 0; i < random_rounds(40); i++) {
        struct random_force f[5];
        int count = random_int(1, 5);
        double by = random_int(1, 3599) / 10.0;
        double dx = random_int(-99, 99) / 8.0, dy = random_int(-99, 99) / 8.0;
        draw(f, count);
        struct solved s = solve_forces(f, count, false, 0, 0, 0, 1);
        double R = number_at(&s, "resultant/magnitude"), M = number_at(&s, "equivalent/couple");
        double angle = number_at(&s, "resultant/direction/angle");
        double arm = number_at(&s, "equivalent/arm");
        struct solved t = solve_forces(f, count, false, by, 0, 0, 1);
        assert_near(number_at(&t, "resultant/magnitude"), R, 1e-9 * (1 + R));
        assert_near(number_at(&t, "equivalent/couple"), M, 1e-9 * (1 + fabs(M)));
        assert_near(number_at(&t, "equivalent/arm"), arm, 1e-9 * (1 + arm));
        assert_near(remainder(number_at(&t, "resultant/direction/angle") - angle - by, 360), 0,
                    1e-8);
        done(&t);
        t = solve_forces(f, count, true, 0, dx, dy, 1);
        assert_near(number_at(&t, "resultant/magnitude"), R, 1e-9 * (1 + R));
        assert_near(number_at(&t, "equivalent/couple"), M, 1e-9 * (1 + fabs(M)));
        assert_near(number_at(&t, "line_of_action/point/0"),
                    number_at(&s, "line_of_action/point/0") + dx, 1e-7 * (1 + arm));
        assert_near(number_at(&t, "line_of_action/point/1"),
                    number_at(&s, "line_of_action/point/1") + dy, 1e-7 * (1 + arm));
        done(&t);
        t = solve_forces(f, count, false, 0, 0, 0, 2.5);
        assert_near(number_at(&t, "resultant/magnitude"), 2.5 * R, 1e-9 * (1 + R));
        assert_near(number_at(&t, "equivalent/couple"), 2.5 * M, 1e-9 * (1 + fabs(M)));
        assert_near(number_at(&t, "equivalent/arm"), arm, 1e-9 * (1 + arm));
        done(&t);
        /* The resultant on its line of action replaces them all. */
        t = solve("resultant",
                  "{'forces': [{'magnitude': %.12g, 'direction': {'angle': %.12g}, "
                  "'components': [%.12g, %.12g], 'at': [%.12g, %.12g]}]}",
                  R, angle, number_at(&s, "resultant/components/0"),
                  number_at(&s, "resultant/components/1"), number_at(&s, "line_of_action/point/0"),
                  number_at(&s, "line_of_action/point/1"));
        assert_near(number_at(&t, "equivalent/couple"), M, 1e-8 * (1 + fabs(M) + R));
        assert_near(number_at(&t, "resultant/magnitude"), R, 1e-9 * (1 + R));
        done(&t);
        done(&s);
    }
}

/* A wrench fed back, as a force and a couple, is the same wrench. */
static void a_wrench_fed_back(void **state)
{
    (void)state;
    for (int i = 0; i < random_rounds(15); i++) {
        double v[9];
        for (int k = 0; k < 9; k++)
            v[k] = random_int(-99, 99) / 4.0;
        v[2] = 30;
        struct solved s = solve("resultant",
                                "{'forces': [{'components': [%g, %g, %g], 'at': [%g, "
                                "%g, %g]}], 'couples': [{'moment': [%g, %g, %g]}], "
                                "'about': [1, -2, 3]}",
                                v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8]);
        char text[1024];
        size_t used = (size_t)snprintf(text, sizeof text, "{'forces': [{'components': [");
        static const char *const paths[] = {"wrench/force", "wrench/point", "wrench/couple"};
        static const char *const between[] = {"], 'at': [", "]}], 'couples': [{'moment': [",
                                              "]}], 'about': [1, -2, 3]}"};
        for (int p = 0; p < 3; p++)
            for (int axis = 0; axis < 3; axis++)
                used +=
                    (size_t)snprintf(text + used, sizeof text - used, "%.12g%s",
                                     number_at(&s, arena_printf(s.arena, "%s/%d", paths[p], axis)),
                                     axis < 2 ? ", " : between[p]);
        struct solved t = solve("resultant", "%s", text);
        for (int axis = 0; axis < 3; axis++) {
            const char *couple = arena_printf(s.arena, "equivalent/couple/%d", axis);
            const char *point = arena_printf(s.arena, "wrench/point/%d", axis);
            assert_near(number_at(&t, couple), number_at(&s, couple), 1e-8);
            assert_near(number_at(&t, point), number_at(&s, point), 1e-8);
        }
        assert_near(number_at(&t, "wrench/pitch"), number_at(&s, "wrench/pitch"), 1e-9);
        done(&t);
        done(&s);
    }
}

static void names_that_clash(void **state)
{
    (void)state;
    struct solved s = solve("resultant", "{'points': {'A': [1, 2]}, 'forces': [{'name': 'R', "
                                         "'components': [24, -10], 'at': [3, 4]}, {'name': 'θ', "
                                         "'components': [1, 2], 'at': 'A'}, {'name': 'M_A', "
                                         "'magnitude': 5, 'direction': {'angle': 10}, 'at': [0, "
                                         "7]}, {'name': 'd', 'components': [1, 1], 'at': 'A'}], "
                                         "'couples': [{'name': 'M_R', 'moment': 7}], 'about': "
                                         "'A'}");
    struct sums t = {.centre = {1, 2}};
    add_force(&t, 24, -10, 0, 3, 4, 0);
    add_force(&t, 1, 2, 0, 1, 2, 0);
    add_force(&t, 5 * cosd(10), 5 * sind(10), 0, 0, 7, 0);
    add_force(&t, 1, 1, 0, 1, 2, 0);
    t.moment[2] += 7;
    resultant_is(&s, &t);
    equivalent_is(&s, &t);
    assert_string_equal(steps(&s, "Moment about A"),
                        "r_Rx=2 r_Ry=2 M_R'=-68 [θ acts at A: it has no moment about it.] r_MAx=-1 "
                        "r_MAy=5 M_MA=-25.4884 [d acts at A: it has no moment about it.] "
                        "M_A'=ΣM_A=-86.4884");
    done(&s);
}

/* A coordinate that was worked out has one symbol, in the working and in the answer. */
static void a_centre_worked_out_keeps_its_symbols(void **state)
{
    (void)state;
    struct solved s =
        solve("resultant", "{'points': {'A': [1, 2], 'C': {'from': 'A', 'distance': 3, 'direction':"
                           " {'angle': 30}}}, 'forces': [{'components': [3, 4], 'at': 'A'}],"
                           " 'about': 'C'}");
    const struct value *about = value_at(&s, "equivalent/about", NULL);
    for (int axis = 0; axis < 2; axis++) {
        struct symbol symbol = q_node(&s.work, qv_component(&s.work, about->vector, axis))->symbol;
        assert_int_equal(symbol.base[0], "xy"[axis]);
        assert_string_equal(symbol.sub, "C");
        assert_int_equal(symbol.primed, 0);
    }
    done(&s);
}

/* 2500 N among kilonewtons is no scale of 2500 kN. */
static void allowances_are_in_the_unit_asked_for(void **state)
{
    (void)state;
    struct solved s =
        solve("resultant", "{'units': {'force': 'kN'}, 'forces': [{'magnitude': {'value': 2500, "
                           "'unit': 'N'}, 'direction': {'angle': 30}}, {'mass': 300}]}");
    uint32_t count;
    const struct key_entry *key = work_key(&s.work, &count);
    assert_int_equal(count, 6);
    assert_string_equal(key[0].of, "/resultant/components/0");
    for (uint32_t i = 0; i < 3; i++) {
        assert_true(key[i].allowance >= 0.005 * 2.5);
        assert_true(key[i].allowance < 0.05);
    }
    done(&s);
    /* Of forces that all act along y the other component has their scale too. */
    s = solve("resultant", "{'forces': [{'magnitude': 50, 'direction': {'axis': '-y'}}, "
                           "{'magnitude': 40, 'direction': {'axis': '+y'}}]}");
    key = work_key(&s.work, &count);
    assert_string_equal(key[0].of, "/resultant/components/0");
    assert_near(key[0].allowance, 0.25, 1e-12);
    assert_near(key[1].allowance, 0.25, 1e-12);
    done(&s);
    /* Where moments are taken is given, and so not asked for. */
    s = solve("resultant", "{'forces': [{'components': [3, 4], 'at': [1, 2]}], 'about': [5, 6]}");
    key = work_key(&s.work, &count);
    for (uint32_t i = 0; i < count; i++)
        assert_null(strstr(key[i].of, "about"));
    assert_int_equal(count, 14);
    done(&s);
}

static void published_cases(void **state)
{
    (void)state;
    assert_true(check_published("tests/cases/resultant/resultants.json", "resultant") >= 10);
    assert_true(check_published("tests/cases/resultant/moments.json", "resultant") >= 26);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forces_that_meet),
        cmocka_unit_test(two_forces),
        cmocka_unit_test(on_an_axis),
        cmocka_unit_test(forces_at_places),
        cmocka_unit_test(the_working_at_places),
        cmocka_unit_test(couples_beside_concurrent_forces),
        cmocka_unit_test(a_zero_resultant),
        cmocka_unit_test(nearly_nothing_left),
        cmocka_unit_test(distributed_loads),
        cmocka_unit_test(a_load_that_changes_sign),
        cmocka_unit_test(forces_in_space),
        cmocka_unit_test(about_a_line),
        cmocka_unit_test(every_fault_at_its_place),
        cmocka_unit_test(turned_moved_scaled_reordered),
        cmocka_unit_test(a_wrench_fed_back),
        cmocka_unit_test(names_that_clash),
        cmocka_unit_test(a_centre_worked_out_keeps_its_symbols),
        cmocka_unit_test(allowances_are_in_the_unit_asked_for),
        cmocka_unit_test(published_cases),
    };
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
