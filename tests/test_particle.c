/* Particles in equilibrium: linear cases, all plane cases with an unknown direction, states, the
 * smallest force. Expected numbers are worked out here from the equations, by GSL (linear systems),
 * or come from the published cases of tests/cases (sources in tests/cases/README.md). */
#include "solving.h"

#include <gsl/gsl_linalg.h>

#include "oracle/reader.h"
#include "random.h"

static double cosd(double degrees) { return cos(degrees * TEST_PI / 180); }
static double sind(double degrees) { return sin(degrees * TEST_PI / 180); }
static double turn(double a) { return a - 360 * floor(a / 360); }

/* Worked out, and its working read back and worked again in both notations. */
static struct solved particle(const char *format, ...) __attribute__((format(printf, 1, 2)));
static struct solved particle(const char *format, ...)
{
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    va_list arguments;
    va_start(arguments, format);
    char *text = arena_vprintf(arena, format, arguments);
    va_end(arguments);
    assert_non_null(text);
    struct solved s = solve("equilibrium", "%s", text);
    struct reading reading = {0};
    for (int notation = 0; s.code == PROBLEM_NONE && notation < NOTATION_MAX_; notation++) {
        struct render_options options = render_defaults();
        options.notation = (enum notation)notation;
        if (!reading_check(&s.work, &options, &reading))
            fail_msg("%s\n%s", reading.fault, text);
    }
    arena_free(arena);
    return s;
}

static bool is_close(double a, double b, double scale) { return fabs(a - b) <= 1e-9 * scale; }

/* ---- published cases ---- */

static void test_published_cases(void **state)
{
    (void)state;
    assert_int_equal(check_published("tests/cases/equilibrium/particle.json", "equilibrium"), 19);
}

/* ---- two cables ---- */

static void test_two_cables_with_their_working(void **state)
{
    (void)state;
    struct solved s = particle(
        "{'forces': [{'name': 'W', 'magnitude': 217.5, 'direction': {'axis': '-y'}},"
        "{'name': 'T1', 'magnitude': 'unknown', 'direction': {'angle': 41.8, 'from': '-x', "
        "'toward': '+y'}, 'sense': 'pulls'},"
        "{'name': 'T2', 'magnitude': 'unknown', 'direction': {'angle': 63.4}}]}");
    double T1 = 217.5 * cosd(63.4) / sind(41.8 + 63.4), T2 = 217.5 * cosd(41.8) / sind(41.8 + 63.4);
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_string_equal(words_at(&s, "unknowns/0/name"), "T1");
    assert_string_equal(words_at(&s, "unknowns/0/kind"), "force");
    assert_number(&s, "unknowns/0/force/magnitude", T1);
    assert_number(&s, "unknowns/1/force/magnitude", T2);
    assert_number(&s, "unknowns/0/parts/0/value", T1);
    assert_number(&s, "unknowns/0/force/direction/angle", 138.2);
    assert_numbers(&s, "unknowns/1/force/components", T2 * cosd(63.4), T2 * sind(63.4));
    assert_int_equal(count_at(&s, "count/unknowns"), 2);
    assert_int_equal(count_at(&s, "count/equations"), 2);
    assert_int_equal(count_at(&s, "count/rank"), 2);
    assert_number(&s, "residual/force", 0);
    assert_true(is_absent(&s, "free_motions") && is_absent(&s, "degree"));
    assert_string_equal(note_codes(&s), "");
    assert_string_equal(
        steps(&s, "Solution of the equations"),
        "[ΣF_x = 0 gives T_1 by what is still unknown:] k_1=0.600635  [Put into ΣF_y = 0, and "
        "collected:] c_1=1.2945  T_2=168.019 T_1=100.918");
    done(&s);
}

/* What is known is the vector S', so that the second solution of S is S''; so with E. */
static void test_names_of_a_second_solution(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'P', 'components': [-28.2, 29.5]}, {'name': 'S', "
                 "'magnitude': 55.8, 'direction': 'unknown'}, {'name': 'E', 'magnitude': 36.8, "
                 "'direction': 'unknown'}, {'name': 'Q', 'components': [1, 2]}]}");
    /* S + E = (27.2, −31.5): S along it for (S² + R² − E²)/(2 R), and either way square to it. */
    double R = hypot(27.2, 31.5), along = (55.8 * 55.8 + R * R - 36.8 * 36.8) / (2 * R);
    double across = sqrt(55.8 * 55.8 - along * along);
    for (int i = 0; i < 2; i++) {
        double side =
            number_at(&s, arena_printf(s.arena, "solutions/%d/unknowns/0/force/components/0", i)) >
                    40
                ? 1
                : -1;
        assert_numbers(&s, arena_printf(s.arena, "solutions/%d/unknowns/0/force/components", i),
                       (along * 27.2 + side * across * 31.5) / R,
                       (along * -31.5 + side * across * 27.2) / R);
    }
    assert_non_null(strstr(steps(&s, "Second solution"), "S_x''="));
    done(&s);
}

static void test_a_cable_that_would_push(void **state)
{
    (void)state;
    struct solved s = particle(
        "{'forces': [{'name': 'W', 'magnitude': 92, 'direction': {'axis': '-y'}},"
        "{'name': 'T1', 'magnitude': 'unknown', 'direction': {'angle': 37.5}, 'sense': 'pulls'},"
        "{'name': 'N', 'magnitude': 'unknown', 'direction': {'angle': 71}, 'sense': 'pushes'}]}");
    double d = sind(71 - 37.5), T1 = -92 * cosd(71) / d, N = 92 * cosd(37.5) / d;
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_number(&s, "unknowns/0/parts/0/value", T1);
    assert_number(&s, "unknowns/0/force/magnitude", -T1);
    assert_number(&s, "unknowns/0/force/direction/angle", 217.5);
    assert_number(&s, "unknowns/1/parts/0/value", N);
    assert_string_equal(note_codes(&s), "goes-slack");
    assert_non_null(strstr(note_text(&s, "goes-slack"), "a cable can't push"));
    done(&s);
    s = particle(
        "{'forces': [{'name': 'W', 'magnitude': 92, 'direction': {'axis': '-y'}},"
        "{'name': 'T1', 'magnitude': 'unknown', 'direction': {'angle': 37.5}, 'sense': 'pushes'},"
        "{'name': 'N', 'magnitude': 'unknown', 'direction': {'angle': 71}}]}");
    assert_string_equal(note_codes(&s), "lifts-off");
    done(&s);
}

/* ---- one equation with one unknown, axes along the unknowns, a force wholly unknown ---- */

static void test_easy_axes_first(void **state)
{
    (void)state;
    struct solved s = particle(
        "{'forces': [{'name': 'W', 'mass': 42.5, 'direction': {'axis': '-y'}},"
        "{'name': 'T', 'magnitude': 'unknown', 'direction': {'slope': {'run': -4, 'rise': 3}}},"
        "{'name': 'H', 'magnitude': 'unknown', 'direction': {'axis': '+x'}}]}");
    assert_number(&s, "unknowns/0/force/magnitude", 42.5 * 9.81 / 0.6);
    assert_number(&s, "unknowns/1/force/magnitude", 42.5 * 9.81 / 0.6 * 0.8);
    assert_string_equal(steps(&s, "Solution of the equations"),
                        "[T alone enters ΣF_y = 0, so that this one comes first.] "
                        "T=694.875 H=555.9");
    done(&s);
    s = particle("{'forces': [{'name': 'W', 'magnitude': 217.5, 'direction': {'axis': '-y'}},"
                 "{'name': 'N', 'magnitude': 'unknown', 'direction': {'angle': 112.4}},"
                 "{'name': 'P', 'magnitude': 'unknown', 'direction': {'angle': 22.4}}]}");
    assert_number(&s, "unknowns/0/force/magnitude", 217.5 * cosd(22.4));
    assert_number(&s, "unknowns/1/force/magnitude", 217.5 * sind(22.4));
    assert_string_equal(steps(&s, "Equations along N and P"),
                        "W_u=-201.089  N=201.089 W_v=-82.8828  P=82.8828");
    done(&s);
}

static void test_a_force_wholly_unknown(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'P', 'magnitude': 26, 'direction': {'angle': 248.2}},"
                 "{'name': 'Q', 'components': [17.5, -3.25]},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}]}");
    double x = -26 * cosd(248.2) - 17.5, y = -26 * sind(248.2) + 3.25;
    assert_number(&s, "unknowns/0/parts/0/value", x);
    assert_number(&s, "unknowns/0/parts/1/value", y);
    assert_string_equal(words_at(&s, "unknowns/0/parts/0/symbol"), "F_x");
    assert_number(&s, "unknowns/0/force/magnitude", hypot(x, y));
    assert_number(&s, "unknowns/0/force/direction/angle", turn(atan2(y, x) * 180 / TEST_PI));
    done(&s);
    s = particle("{'forces': [{'name': 'P', 'components': [2, -3, 6.5]},"
                 "{'name': 'F2', 'magnitude': 'unknown', 'direction': 'unknown'}]}");
    assert_numbers(&s, "unknowns/0/force/components", -2, 3, -6.5);
    assert_string_equal(words_at(&s, "unknowns/0/parts/2/symbol"), "F2_z");
    assert_number(&s, "unknowns/0/force/direction/direction_angles/gamma",
                  acos(-6.5 / sqrt(4 + 9 + 42.25)) * 180 / TEST_PI);
    done(&s);
    s = particle("{'forces': [{'name': 'P', 'components': [2, -3]}, {'name': 'Q', 'components': "
                 "[-2, 3]}, {'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}]}");
    assert_true(is_null_at(&s, "unknowns/0/force/direction"));
    assert_number(&s, "unknowns/0/force/magnitude", 0);
    done(&s);
}

/* ---- pulleys, supports ---- */

static void test_one_cable_over_a_pulley(void **state)
{
    (void)state;
    /* T along 20° and 115°, another 2.5 T along 250°, and R along 5° */
    struct solved s = particle(
        "{'forces': [{'name': 'W', 'magnitude': 64, 'direction': {'axis': '-y'}},"
        "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 20}},"
        "{'name': 'T2', 'magnitude': {'same_as': 'T'}, 'direction': {'angle': 115}},"
        "{'name': 'U', 'magnitude': {'same_as': 'T', 'times': 2.5}, 'direction': {'angle': 250}},"
        "{'name': 'R', 'magnitude': 'unknown', 'direction': {'angle': 5}}]}");
    double dx = cosd(20) + cosd(115) + 2.5 * cosd(250), dy = sind(20) + sind(115) + 2.5 * sind(250);
    double det = dx * sind(5) - dy * cosd(5), T = -64 * cosd(5) / det;
    assert_number(&s, "unknowns/0/parts/0/value", T);
    assert_number(&s, "unknowns/1/parts/0/value", T);
    assert_string_equal(words_at(&s, "unknowns/1/parts/0/symbol"), "T2");
    assert_number(&s, "unknowns/2/parts/0/value", 2.5 * T);
    assert_number(&s, "unknowns/3/parts/0/value", 64 * dx / det);
    assert_int_equal(count_at(&s, "count/unknowns"), 2);
    done(&s);
    /* S = −3/2 T where T counts twice itself */
    s = particle(
        "{'forces': [{'name': 'W', 'magnitude': 12, 'direction': {'axis': '-y'}},"
        "{'name': 'T', 'magnitude': 'unknown', 'times': 2, 'direction': {'axis': '+y'}},"
        "{'name': 'S', 'magnitude': {'same_as': 'T', 'times': -3}, 'direction': {'angle': 270}}]}");
    assert_number(&s, "unknowns/0/parts/0/value", 12 / 2.5);
    assert_number(&s, "unknowns/1/parts/0/value", -1.5 * 12 / 2.5);
    assert_number(&s, "unknowns/1/force/direction/angle", 90);
    done(&s);
}

static void test_supports_of_a_particle(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'W', 'magnitude': 35, 'direction': {'axis': '-y'}}],"
                 "'supports': [{'name': 'A', 'kind': 'smooth_surface', 'normal': {'angle': 117.5}},"
                 "{'name': 'B', 'kind': 'cable', 'direction': {'angle': 42}}]}");
    double d = cosd(117.5) * sind(42) - sind(117.5) * cosd(42);
    assert_string_equal(words_at(&s, "unknowns/0/kind"), "smooth_surface");
    assert_number(&s, "unknowns/0/parts/0/value", -35 * cosd(42) / d);
    assert_number(&s, "unknowns/1/parts/0/value", 35 * cosd(117.5) / d);
    done(&s);
    s = particle(
        "{'forces': [{'name': 'W', 'magnitude': 35, 'direction': {'angle': 248.2}}],"
        "'supports': [{'name': 'A', 'kind': 'rough_surface', 'normal': {'angle': 117.5}}]}");
    assert_number(&s, "unknowns/0/parts/0/value", -35 * cosd(248.2 - 117.5));
    assert_number(&s, "unknowns/0/parts/1/value", -35 * cosd(248.2 - 27.5));
    assert_string_equal(words_at(&s, "unknowns/0/parts/0/symbol"), "N_A");
    assert_number(&s, "unknowns/0/force/direction/angle", 68.2);
    done(&s);
    s = particle("{'forces': [{'name': 'W', 'components': [3, -7.5, 2]}],"
                 "'supports': [{'name': 'A', 'kind': 'ball_and_socket'}]}");
    assert_numbers(&s, "unknowns/0/force/components", -3, 7.5, -2);
    done(&s);
    s = particle("{'forces': [{'name': 'W', 'components': [3, -7.5, 0]}],"
                 "'supports': [{'name': 'A', 'kind': 'journal_bearing', 'axis': {'axis': '+z'}}]}");
    assert_numbers(&s, "unknowns/0/force/components", -3, 7.5, 0);
    assert_string_equal(words_at(&s, "free_motions/0/text"), "moves along z");
    done(&s);
}

/* ---- states ---- */

static void test_states_in_the_plane(void **state)
{
    (void)state;
    /* r = n < e, held: two forces and one unknown on one line */
    struct solved s =
        particle("{'forces': [{'name': 'P', 'components': [3, 4]},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'vector': [-6, -8]}}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_number(&s, "unknowns/0/parts/0/value", 5);
    assert_numbers(&s, "free_motions/0/direction", 0.8, -0.6);
    assert_string_equal(words_at(&s, "free_motions/0/motion"), "translation");
    assert_string_equal(note_codes(&s), "free-to-move");
    assert_true(is_absent(&s, "balanced") && is_absent(&s, "degree"));
    done(&s);
    /* r = n < e, not held */
    s = particle("{'forces': [{'name': 'P', 'components': [3, 4.5]},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'axis': '-y'}}]}");
    assert_string_equal(words_at(&s, "state"), "no_equilibrium");
    assert_true(is_null_at(&s, "unknowns/0/force"));
    assert_true(is_null_at(&s, "unknowns/0/parts/0/value"));
    assert_string_equal(words_at(&s, "free_motions/0/text"), "moves along x");
    assert_string_equal(note_codes(&s), "not-held");
    assert_true(is_absent(&s, "residual"));
    done(&s);
    /* r = e < n; the third is fixed all the same */
    s = particle("{'forces': [{'name': 'P', 'components': [3, 4.5]},"
                 "{'name': 'A', 'magnitude': 'unknown', 'direction': {'axis': '-y'}},"
                 "{'name': 'B', 'magnitude': 'unknown', 'direction': {'axis': '+y'}},"
                 "{'name': 'C', 'magnitude': 'unknown', 'direction': {'angle': 217.5}}]}");
    assert_string_equal(words_at(&s, "state"), "indeterminate");
    assert_int_equal(count_at(&s, "degree"), 1);
    assert_true(is_null_at(&s, "unknowns/0/force") && is_null_at(&s, "unknowns/1/force"));
    assert_number(&s, "unknowns/2/parts/0/value", -3 / cosd(217.5));
    assert_string_equal(note_codes(&s), "indeterminate");
    done(&s);
    /* r < n, r < e, held and not held */
    static const char *const load[2] = {"[-4, 4]", "[-4, 3.9]"};
    for (int k = 0; k < 2; k++) {
        s = particle("{'forces': [{'name': 'P', 'components': %s},"
                     "{'name': 'A', 'magnitude': 'unknown', 'direction': {'angle': 135}},"
                     "{'name': 'B', 'magnitude': 'unknown', 'direction': {'vector': [2, -2]}}]}",
                     load[k]);
        assert_string_equal(words_at(&s, "state"), "improperly_constrained");
        assert_true(value_at(&s, "balanced", NULL)->truth == (k == 0));
        assert_int_equal(count_at(&s, "count/rank"), 1);
        assert_true(is_absent(&s, "degree") == (k == 1));
        assert_true(is_null_at(&s, "unknowns/0/parts/0/value"));
        assert_number(&s, "free_motions/0/direction/1",
                      number_at(&s, "free_motions/0/direction/0"));
        done(&s);
    }
    /* nothing unknown */
    s = particle("{'forces': [{'components': [3, 4.5]}, {'components': [-3, -4.5]}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_int_equal(count_at(&s, "count/unknowns"), 0);
    assert_string_equal(words_at(&s, "free_motions/1/text"), "moves along y");
    done(&s);
    s = particle("{'forces': [{'components': [3, 4.5]}]}");
    assert_string_equal(words_at(&s, "state"), "no_equilibrium");
    done(&s);
}

static void test_states_in_space(void **state)
{
    (void)state;
    /* three cables in one plane */
    struct solved s =
        particle("{'forces': [{'name': 'W', 'magnitude': 12.5, 'direction': {'axis': '-z'}},"
                 "{'name': 'A', 'magnitude': 'unknown', 'direction': {'vector': [1, 2, 2]}},"
                 "{'name': 'B', 'magnitude': 'unknown', 'direction': {'vector': [-3, 1, 4]}},"
                 "{'name': 'C', 'magnitude': 'unknown', 'direction': {'vector': [-2, 3, 6]}}]}");
    assert_string_equal(words_at(&s, "state"), "improperly_constrained");
    assert_false(value_at(&s, "balanced", NULL)->truth);
    /* (1, 2, 2) × (−3, 1, 4) = (6, −10, 7) */
    double length = sqrt(36 + 100 + 49), x = number_at(&s, "free_motions/0/direction/0");
    assert_near(fabs(x), 6 / length, 1e-12);
    assert_near(number_at(&s, "free_motions/0/direction/1"), -10 / 6.0 * x, 1e-12);
    assert_near(number_at(&s, "free_motions/0/direction/2"), 7 / 6.0 * x, 1e-12);
    done(&s);
    /* one line of forces: two motions */
    s = particle("{'forces': [{'name': 'W', 'components': [2, -4, 4]},"
                 "{'name': 'A', 'magnitude': 'unknown', 'direction': {'vector': [-1, 2, -2]}}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_number(&s, "unknowns/0/parts/0/value", 6);
    for (int k = 0; k < 2; k++) {
        double d[3], along = 0, size = 0;
        for (int axis = 0; axis < 3; axis++) {
            d[axis] = number_at(&s, arena_printf(s.arena, "free_motions/%d/direction/%d", k, axis));
            along += d[axis] * (double[]){-1, 2, -2}[axis];
            size += d[axis] * d[axis];
        }
        assert_near(along, 0, 1e-12);
        assert_near(size, 1, 1e-12);
    }
    assert_true(is_absent(&s, "free_motions/2"));
    done(&s);
    s = particle("{'forces': [{'name': 'W', 'components': [0, -4, 0]},"
                 "{'name': 'A', 'magnitude': 'unknown', 'direction': {'axis': '+y'}}], "
                 "'supports': [{'kind': 'link', 'direction': {'vector': [0, 2, 1.5]}}]}");
    assert_string_equal(words_at(&s, "free_motions/0/text"), "moves along x");
    assert_true(is_absent(&s, "free_motions/1"));
    done(&s);
}

/* Parallel by different forms; almost parallel; cables that are nearly flat. */
static void test_rank_is_exact(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'P', 'magnitude': 4.5, 'direction': {'angle': 225}},"
                 "{'name': 'A', 'magnitude': 'unknown', 'direction': {'angle': 45}},"
                 "{'name': 'B', 'magnitude': 'unknown', 'direction': {'slope': {'run': 0.7, "
                 "'rise': 0.7}}}]}");
    assert_string_equal(words_at(&s, "state"), "improperly_constrained");
    assert_true(value_at(&s, "balanced", NULL)->truth);
    done(&s);
    s = particle("{'forces': [{'name': 'P', 'magnitude': 4.5, 'direction': {'angle': 225}},"
                 "{'name': 'A', 'magnitude': 'unknown', 'direction': {'angle': 45.0001}},"
                 "{'name': 'B', 'magnitude': 'unknown', 'direction': {'slope': {'run': 0.7, "
                 "'rise': 0.7}}}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_number(&s, "unknowns/0/parts/0/value", 0);
    assert_number(&s, "unknowns/1/parts/0/value", 4.5);
    done(&s);
    s = particle("{'points': {'A': [0, 0], 'B': [10, 0], 'C': [5, -0.02]}, 'forces': ["
                 "{'name': 'W', 'magnitude': 4.5, 'direction': {'axis': '-y'}},"
                 "{'name': 'S', 'magnitude': 'unknown', 'direction': {'line': ['C', 'A']}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'line': ['C', 'B']}}]}");
    assert_number(&s, "unknowns/0/parts/0/value", 2.25 * sqrt(25 + 0.0004) / 0.02);
    assert_string_equal(note_codes(&s), "sensitive-geometry");
    /* cot of the slope times a thousandth of a radian */
    assert_non_null(strstr(note_text(&s, "sensitive-geometry"), "25 percent"));
    done(&s);
}

/* ---- a magnitude and another force's direction ---- */

static void test_two_solutions(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'W', 'magnitude': 50, 'direction': {'axis': '-y'}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 70}},"
                 "{'name': 'Q', 'magnitude': 24.5, 'direction': 'unknown'}]}");
    double root = sqrt(24.5 * 24.5 - 50 * cosd(70) * 50 * cosd(70));
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_true(is_absent(&s, "unknowns") && is_absent(&s, "count"));
    for (int k = 0; k < 2; k++) {
        double T = 50 * sind(70) + (k == 0 ? -root : root);
        double x = -T * cosd(70), y = 50 - T * sind(70);
        const char *at = arena_printf(s.arena, "solutions/%d/unknowns", k);
#define AT(rest) arena_printf(s.arena, "%s%s", at, rest)
        assert_number(&s, AT("/0/parts/0/value"), T);
        assert_number(&s, AT("/1/force/magnitude"), 24.5);
        assert_number(&s, AT("/1/force/components/0"), x);
        assert_number(&s, AT("/1/force/components/1"), y);
        assert_number(&s, AT("/1/force/direction/angle"), turn(atan2(y, x) * 180 / TEST_PI));
    }
    assert_string_equal(note_codes(&s), "two-solutions");
    done(&s);
}

static void test_one_solution_touching_and_none(void **state)
{
    (void)state;
    /* 13 against a line at slope 5/12: the part square to it is 12, exactly */
    static const struct {
        const char *size, *state, *codes;
        int solutions;
    } rows[] = {
        {"12", "determinate", "touching", 1},
        {"11.999999999", "no_equilibrium", "no-triangle", 0},
        {"12.000000001", "determinate", "two-solutions", 2},
        {"13", "determinate", "two-solutions", 2}, /* the root 0 counts */
        {"13.5", "determinate", "refused-root", 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct solved s = particle(
            "{'forces': [{'name': 'W', 'magnitude': 13, 'direction': {'axis': '-y'}},"
            "{'name': 'T', 'magnitude': 'unknown', 'direction': {'slope': {'run': 12, 'rise': 5}}},"
            "{'name': 'Q', 'magnitude': %s, 'direction': 'unknown'}]}",
            rows[i].size);
        assert_string_equal(words_at(&s, "state"), rows[i].state);
        assert_string_equal(note_codes(&s), rows[i].codes);
        assert_true(is_absent(&s, "solutions") == (rows[i].solutions != 2));
        if (rows[i].solutions == 0)
            assert_true(is_null_at(&s, "unknowns/1/force"));
        done(&s);
    }
    struct solved s = particle(
        "{'forces': [{'name': 'W', 'magnitude': 13, 'direction': {'axis': '-y'}},"
        "{'name': 'T', 'magnitude': 'unknown', 'direction': {'slope': {'run': 12, 'rise': 5}}},"
        "{'name': 'Q', 'magnitude': 12, 'direction': 'unknown'}]}");
    assert_number(&s, "unknowns/0/parts/0/value", 5);
    assert_numbers(&s, "unknowns/1/force/components", -60.0 / 13, 144.0 / 13);
    done(&s);
    /* both roots negative */
    s = particle("{'forces': [{'name': 'W', 'magnitude': 13, 'direction': {'axis': '-y'}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'slope': {'run': -12, "
                 "'rise': -5}}}, {'name': 'Q', 'magnitude': 12.5, 'direction': 'unknown'}]}");
    assert_string_equal(words_at(&s, "state"), "no_equilibrium");
    assert_string_equal(note_codes(&s), "refused-root refused-root");
    done(&s);
}

static void test_magnitude_and_direction_otherwise(void **state)
{
    (void)state;
    /* nothing known: T and Q against each other */
    struct solved s =
        particle("{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 217.5}},"
                 "{'name': 'Q', 'magnitude': 8.5, 'direction': 'unknown'}]}");
    assert_number(&s, "unknowns/0/parts/0/value", 8.5);
    assert_number(&s, "unknowns/1/force/direction/angle", 37.5);
    done(&s);
    /* over a pulley */
    s = particle("{'forces': [{'name': 'W', 'components': [2, -31]},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 80}},"
                 "{'name': 'T2', 'magnitude': {'same_as': 'T'}, 'direction': {'angle': 121}},"
                 "{'name': 'Q', 'magnitude': 9.5, 'direction': 'unknown'}]}");
    for (int k = 0; k < 2; k++) {
        const char *at = arena_printf(s.arena, "solutions/%d/unknowns", k);
        double T = number_at(&s, AT("/0/parts/0/value"));
        double x = 2 + T * (cosd(80) + cosd(121)), y = -31 + T * (sind(80) + sind(121));
        assert_near(hypot(x, y), 9.5, 1e-10);
        assert_number(&s, AT("/1/parts/0/value"), T);
        assert_near(number_at(&s, AT("/2/parts/0/value")), -x, 1e-10);
        assert_near(number_at(&s, AT("/2/parts/1/value")), -y, 1e-10);
    }
    done(&s);
    /* the resultant of known size, its direction unknown */
    s = particle("{'forces': [{'name': 'P', 'magnitude': 30, 'direction': {'angle': 217.5}},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': {'angle': 62}}],"
                 "'required_resultant': {'name': 'R', 'magnitude': 25, 'direction': 'unknown'}}");
    for (int k = 0; k < 2; k++) {
        const char *at = arena_printf(s.arena, "solutions/%d/unknowns", k);
        double F = number_at(&s, AT("/0/parts/0/value"));
        double x = 30 * cosd(217.5) + F * cosd(62), y = 30 * sind(217.5) + F * sind(62);
        assert_near(hypot(x, y), 25, 1e-10);
        assert_string_equal(words_at(&s, AT("/1/kind")), "resultant");
        assert_near(number_at(&s, AT("/1/force/components/0")), x, 1e-10);
        assert_near(number_at(&s, AT("/1/force/components/1")), y, 1e-10);
    }
    done(&s);
    /* the direction of F so that the resultant lies along +x */
    s = particle("{'forces': [{'name': 'P', 'magnitude': 30, 'direction': {'angle': 127.5}},"
                 "{'name': 'F', 'magnitude': 44, 'direction': 'unknown'}],"
                 "'required_resultant': {'magnitude': 'unknown', 'direction': {'axis': '+x'}}}");
    double down = 30 * sind(127.5), R = 30 * cosd(127.5) + sqrt(44 * 44 - down * down);
    assert_number(&s, "unknowns/0/force/components/1", -down);
    assert_number(&s, "unknowns/1/parts/0/value", R);
    assert_number(&s, "unknowns/1/force/direction/angle", 0);
    assert_string_equal(note_codes(&s), "refused-root");
    done(&s);
}

static void test_the_same_size_in_an_unknown_direction(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'W', 'magnitude': 118, 'direction': {'axis': '-y'}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 63}},"
                 "{'name': 'S', 'magnitude': {'same_as': 'T'}, 'direction': 'unknown'}]}");
    double T = 118 / (2 * sind(63));
    assert_number(&s, "unknowns/0/parts/0/value", T);
    assert_number(&s, "unknowns/1/force/magnitude", T);
    assert_number(&s, "unknowns/1/force/direction/angle", 117);
    done(&s);
    /* 1.5 T: (1 − 2.25) T² − 2 · 118 sin 63° T + 118² = 0 has one root that is positive */
    s = particle("{'forces': [{'name': 'W', 'magnitude': 118, 'direction': {'axis': '-y'}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 63}},"
                 "{'name': 'S', 'magnitude': {'same_as': 'T', 'times': 1.5}, 'direction': "
                 "'unknown'}]}");
    double b = 118 * sind(63);
    T = (-b + sqrt(b * b + 1.25 * 118 * 118)) / 1.25;
    assert_number(&s, "unknowns/0/parts/0/value", T);
    assert_number(&s, "unknowns/1/force/magnitude", 1.5 * T);
    assert_string_equal(note_codes(&s), "refused-root");
    done(&s);
    /* square to the load no size closes it */
    s = particle("{'forces': [{'name': 'W', 'magnitude': 118, 'direction': {'axis': '-y'}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'axis': '+x'}},"
                 "{'name': 'S', 'magnitude': {'same_as': 'T'}, 'direction': 'unknown'}]}");
    assert_string_equal(words_at(&s, "state"), "no_equilibrium");
    done(&s);
}

/* ---- two directions ---- */

static void test_triangle_of_three_sides(void **state)
{
    (void)state;
    static const struct {
        const char *a, *b, *codes;
        int solutions;
    } rows[] = {
        {"31", "24.5", "two-solutions", 2}, {"30", "20", "touching", 1},
        {"70", "20", "touching", 1},        {"20", "70", "touching", 1},
        {"50", "0", "touching", 1},         {"29.9", "20", "no-triangle", 0},
        {"70.1", "20", "no-triangle", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct solved s =
            particle("{'forces': [{'name': 'W', 'magnitude': 50, 'direction': {'angle': 217.5}},"
                     "{'name': 'A', 'magnitude': %s, 'direction': 'unknown'},"
                     "{'name': 'B', 'magnitude': %s, 'direction': 'unknown'}]}",
                     rows[i].a, rows[i].b);
        assert_string_equal(note_codes(&s), rows[i].codes);
        for (int k = 0; k < rows[i].solutions; k++) {
            const char *at = rows[i].solutions == 1
                                 ? "unknowns"
                                 : arena_printf(s.arena, "solutions/%d/unknowns", k);
            double sum[2] = {50 * cosd(217.5), 50 * sind(217.5)};
            for (int f = 0; f < 2; f++) {
                double c[2];
                for (int axis = 0; axis < 2; axis++) {
                    c[axis] = number_at(
                        &s, arena_printf(s.arena, "%s/%d/force/components/%d", at, f, axis));
                    sum[axis] += c[axis];
                }
                assert_near(hypot(c[0], c[1]), atof(f == 0 ? rows[i].a : rows[i].b), 1e-11);
            }
            assert_near(hypot(sum[0], sum[1]), 0, 1e-11);
        }
        done(&s);
    }
    /* mirror images: both at the same angle from the line of W, on either side */
    struct solved s =
        particle("{'forces': [{'name': 'W', 'magnitude': 50, 'direction': {'angle': 217.5}},"
                 "{'name': 'A', 'magnitude': 31, 'direction': 'unknown'},"
                 "{'name': 'B', 'magnitude': 24.5, 'direction': 'unknown'}]}");
    double gamma = acos((31.0 * 31 + 2500 - 24.5 * 24.5) / (2 * 31 * 50)) * 180 / TEST_PI;
    assert_number(&s, "solutions/0/unknowns/0/force/direction/angle", 37.5 + gamma);
    assert_number(&s, "solutions/1/unknowns/0/force/direction/angle", 37.5 - gamma);
    done(&s);
    s = particle("{'forces': [{'name': 'A', 'magnitude': 31, 'direction': 'unknown'},"
                 "{'name': 'B', 'magnitude': 31, 'direction': 'unknown'}]}");
    assert_string_equal(words_at(&s, "state"), "indeterminate");
    done(&s);
    s = particle("{'forces': [{'name': 'A', 'magnitude': 31, 'direction': 'unknown'},"
                 "{'name': 'B', 'magnitude': 30, 'direction': 'unknown'}]}");
    assert_string_equal(words_at(&s, "state"), "no_equilibrium");
    done(&s);
    /* with the resultant's direction unknown */
    s = particle("{'forces': [{'name': 'P', 'magnitude': 20, 'direction': {'angle': 17.5}},"
                 "{'name': 'A', 'magnitude': 31, 'direction': 'unknown'}],"
                 "'required_resultant': {'magnitude': 40, 'direction': 'unknown'}}");
    double x = number_at(&s, "solutions/0/unknowns/0/force/components/0") + 20 * cosd(17.5);
    double y = number_at(&s, "solutions/0/unknowns/0/force/components/1") + 20 * sind(17.5);
    assert_near(hypot(x, y), 40, 1e-11);
    assert_near(number_at(&s, "solutions/0/unknowns/1/force/components/0"), x, 1e-11);
    assert_near(number_at(&s, "solutions/0/unknowns/1/force/components/1"), y, 1e-11);
    done(&s);
}

static void test_one_direction_alone(void **state)
{
    (void)state;
    struct solved s = particle("{'forces': [{'name': 'P', 'components': [-5, 12]},"
                               "{'name': 'Q', 'magnitude': 13, 'direction': 'unknown'}]}");
    assert_numbers(&s, "unknowns/0/force/components", 5, -12);
    done(&s);
    s = particle("{'forces': [{'name': 'P', 'components': [-5, 12]},"
                 "{'name': 'Q', 'magnitude': 13.001, 'direction': 'unknown'}]}");
    assert_string_equal(words_at(&s, "state"), "no_equilibrium");
    assert_string_equal(note_codes(&s), "no-triangle");
    done(&s);
}

/* ---- required resultants ---- */

static void test_required_resultants(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'P', 'magnitude': 30, 'direction': {'angle': 127.5}},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}],"
                 "'required_resultant': {'magnitude': 80, 'direction': {'axis': '+x'}}}");
    assert_numbers(&s, "unknowns/0/force/components", 80 - 30 * cosd(127.5), -30 * sind(127.5));
    assert_int_equal(count_at(&s, "count/unknowns"), 2);
    done(&s);
    /* the size of the resultant along a line, and of F */
    s = particle("{'forces': [{'name': 'P', 'magnitude': 30, 'direction': {'angle': 127.5}},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': {'angle': 21}}],"
                 "'required_resultant': {'magnitude': 'unknown', 'direction': {'angle': 62}}}");
    double d = cosd(21) * sind(62) - sind(21) * cosd(62);
    double F = (30 * sind(127.5) * cosd(62) - 30 * cosd(127.5) * sind(62)) / d;
    double R = (cosd(21) * 30 * sind(127.5) - sind(21) * 30 * cosd(127.5)) / d;
    assert_number(&s, "unknowns/0/parts/0/value", F);
    assert_number(&s, "unknowns/1/parts/0/value", R);
    assert_string_equal(words_at(&s, "unknowns/1/kind"), "resultant");
    done(&s);
}

static void test_the_smallest_force(void **state)
{
    (void)state;
    struct solved s =
        particle("{'forces': [{'name': 'P', 'magnitude': 30, 'direction': {'angle': 77.5}},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}], 'smallest': 'F',"
                 "'required_resultant': {'magnitude': 'unknown', 'direction': {'angle': 12}}}");
    assert_number(&s, "unknowns/0/force/magnitude", 30 * sind(65.5));
    assert_number(&s, "unknowns/0/force/direction/angle", 282);
    assert_number(&s, "unknowns/1/force/magnitude", 30 * cosd(65.5));
    assert_string_equal(words_at(&s, "unknowns/1/kind"), "resultant");
    done(&s);
    s = particle("{'forces': [{'name': 'P', 'components': [3, -7, 5]},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}], 'smallest': 'F',"
                 "'required_resultant': {'magnitude': 'unknown', 'direction': {'vector': [2, -1, "
                 "2]}}}");
    assert_number(&s, "unknowns/1/force/magnitude", 23 / 3.0);
    assert_numbers(&s, "unknowns/0/force/components", 46 / 9.0 - 3, -23 / 9.0 + 7, 46 / 9.0 - 5);
    done(&s);
    /* Square to the line the resultant would be 30 cos 165.5° < 0: at zero F = −P is the smallest.
     */
    s = particle("{'forces': [{'name': 'P', 'magnitude': 30, 'direction': {'angle': 177.5}},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}], 'smallest': 'F',"
                 "'required_resultant': {'magnitude': 'unknown', 'direction': {'angle': 12}}}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_string_equal(note_codes(&s), "smallest-at-zero");
    assert_number(&s, "unknowns/0/force/magnitude", 30);
    assert_number(&s, "unknowns/0/force/direction/angle", 357.5);
    assert_number(&s, "unknowns/1/parts/0/value", 0);
    done(&s);
    s = particle("{'forces': [{'name': 'P', 'components': [3, -7, 5]},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}], 'smallest': 'F',"
                 "'required_resultant': {'magnitude': 'unknown', 'direction': {'vector': [-2, 1, "
                 "-2]}}}");
    assert_string_equal(note_codes(&s), "smallest-at-zero");
    assert_numbers(&s, "unknowns/0/force/components", -3, 7, -5);
    done(&s);
    /* The shortest second cable beside one at 120°: 50 cos 60°, square to it. */
    s = particle("{'forces': [{'name': 'W', 'magnitude': 50, 'direction': {'axis': '-y'}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 120}},"
                 "{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}], 'smallest': 'F',"
                 "'required_resultant': {'components': [0, 0]}}");
    assert_number(&s, "unknowns/1/force/magnitude", 25);
    assert_number(&s, "unknowns/1/force/direction/angle", 30);
    assert_number(&s, "unknowns/0/parts/0/value", 50 * sind(60));
    done(&s);
}

/* ---- what is refused ---- */

static void test_refused(void **state)
{
    (void)state;
    static const struct {
        const char *request, *faults;
    } rows[] = {
        {"{'forces': [{'magnitude': 3, 'direction': 'unknown'}, {'magnitude': 'unknown', "
         "'direction': {'angle': 3}}, {'magnitude': 'unknown', 'direction': {'angle': 33}}]}",
         "out-of-scope at /forces/0"},
        {"{'forces': [{'magnitude': 3, 'direction': 'unknown'}, {'components': [1, 2, 3]}]}",
         "out-of-scope at /forces/0"},
        {"{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': 'unknown'}, {'magnitude': "
         "{'same_as': 'T'}, 'direction': {'angle': 3}}]}",
         "out-of-scope at /forces/1"},
        {"{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 3}}, "
         "{'magnitude': {'same_as': 'T', 'times': 0}, 'direction': {'angle': 33}}]}",
         "out-of-range at /forces/1/magnitude/times"},
        {"{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 3}}, "
         "{'magnitude': {'same_as': 'T'}, 'direction': {'angle': 183}}, {'magnitude': 3, "
         "'direction': 'unknown'}]}",
         "out-of-scope at /forces/2"},
        {"{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 3}}], "
         "'required_resultant': {'components': [3, 4]}, 'smallest': 'T'}",
         "out-of-scope at /smallest"},
        {"{'forces': [{'magnitude': -3, 'direction': 'unknown'}]}",
         "negative-magnitude at /forces/0/magnitude"},
        {"{'forces': [{'magnitude': 'unknown', 'direction': {'vector': [0, 0]}}]}",
         "zero-direction at /forces/0/direction/vector"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct solved s = particle("%s", rows[i].request);
        assert_int_equal(s.code, PROBLEM_INVALID_REQUEST);
        assert_string_equal(faults(&s), rows[i].faults);
        assert_true(strlen(fault_text(&s, 0)) > 20);
        done(&s);
    }
}

/* ---- random problems against GSL ---- */

struct random_particle {
    int axes, count;
    double load[3], unit[3][3];
    char text[1024];
};

static double a_number(void)
{
    double x = random_int(-999, 999);
    return x == 0 ? 1 : x / 10;
}

static void draw_particle(struct random_particle *p, int axes)
{
    *p = (struct random_particle){.axes = axes, .count = axes};
    size_t n = 0;
    for (int axis = 0; axis < axes; axis++)
        p->load[axis] = a_number();
#define ADD(...) n += (size_t)snprintf(p->text + n, sizeof p->text - n, __VA_ARGS__)
    ADD("{'forces': [{'name': 'P', 'components': [%.1f, %.1f", p->load[0], p->load[1]);
    if (axes == 3)
        ADD(", %.1f", p->load[2]);
    ADD("]}");
    for (int i = 0; i < axes; i++) {
        double v[3] = {a_number(), a_number(), axes == 3 ? a_number() : 0};
        double angle = random_int(0, 3599) / 10.0;
        bool by_angle = axes == 2 && random_int(0, 1);
        if (by_angle) {
            v[0] = cosd(angle);
            v[1] = sind(angle);
            ADD(", {'name': 'T%d', 'magnitude': 'unknown', 'direction': {'angle': %.1f}}", i + 1,
                angle);
        } else if (axes == 2) {
            ADD(", {'name': 'T%d', 'magnitude': 'unknown', 'direction': {'vector': [%.1f, %.1f]}}",
                i + 1, v[0], v[1]);
        } else {
            ADD(", {'name': 'T%d', 'magnitude': 'unknown', 'direction': {'vector': [%.1f, %.1f, "
                "%.1f]}}",
                i + 1, v[0], v[1], v[2]);
        }
        double length = sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
        for (int axis = 0; axis < 3; axis++)
            p->unit[i][axis] = v[axis] / length;
    }
    ADD("]}");
}

static void test_random_linear_problems_against_gsl(void **state)
{
    (void)state;
    random_start("particles", 20261125);
    for (int round = 0; round < random_rounds(150); round++) {
        struct random_particle p;
        int n = 2 + round % 2;
        draw_particle(&p, n);
        double matrix[9], right[3], answer[3];
        for (int axis = 0; axis < n; axis++) {
            right[axis] = -p.load[axis];
            for (int i = 0; i < n; i++)
                matrix[axis * n + i] = p.unit[i][axis];
        }
        gsl_matrix_view A = gsl_matrix_view_array(matrix, (size_t)n, (size_t)n);
        gsl_vector_view b = gsl_vector_view_array(right, (size_t)n);
        gsl_vector_view x = gsl_vector_view_array(answer, (size_t)n);
        gsl_permutation *order = gsl_permutation_alloc((size_t)n);
        int sign;
        gsl_linalg_LU_decomp(&A.matrix, order, &sign);
        double determinant = gsl_linalg_LU_det(&A.matrix, sign);
        if (fabs(determinant) > 1e-4) {
            gsl_linalg_LU_solve(&A.matrix, order, &b.vector, &x.vector);
            struct solved s = particle("%s", p.text);
            double largest = 0;
            for (int i = 0; i < n; i++)
                largest = fmax(largest, fabs(answer[i]));
            for (int i = 0; i < n; i++)
                if (!is_close(number_at(&s, arena_printf(s.arena, "unknowns/%d/parts/0/value", i)),
                              answer[i], largest))
                    fail_msg("%s: T%d is not %.12g", p.text, i + 1, answer[i]);
            done(&s);
        }
        gsl_permutation_free(order);
    }
}

/* ---- random cases with a direction unknown: the roots of the quadratic ---- */

static void test_random_directions(void **state)
{
    (void)state;
    random_start("directions", 20261126);
    int counts[3] = {0};
    for (int round = 0; round < random_rounds(150); round++) {
        double x = a_number(), y = a_number(), angle = random_int(0, 3599) / 10.0;
        double size = random_int(1, 1500) / 10.0;
        struct solved s =
            particle("{'forces': [{'name': 'P', 'components': [%.1f, %.1f]},"
                     "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': %.1f}},"
                     "{'name': 'Q', 'magnitude': %.1f, 'direction': 'unknown'}]}",
                     x, y, angle, size);
        double half = x * cosd(angle) + y * sind(angle);
        double room = half * half - (x * x + y * y - size * size), roots[2];
        int count = 0;
        for (int k = 0; k < 2 && room > 0; k++) {
            double T = -half + (k == 0 ? -sqrt(room) : sqrt(room));
            if (T >= 0)
                roots[count++] = T;
        }
        counts[count]++;
        assert_string_equal(words_at(&s, "state"), count ? "determinate" : "no_equilibrium");
        for (int k = 0; k < count; k++) {
            const char *at =
                count == 1 ? "unknowns/0" : arena_printf(s.arena, "solutions/%d/unknowns/0", k);
            assert_near(number_at(&s, AT("/parts/0/value")), roots[k], 1e-9 * (1 + roots[k]));
        }
        done(&s);
    }
    assert_true(counts[0] > 5 && counts[1] > 5 && counts[2] > 5);
}

/* ---- properties ---- */

/* Turning everything turns the answers; larger loads make them larger; the order does not matter.
 */
static void test_turned_scaled_reordered(void **state)
{
    (void)state;
    struct solved a =
        particle("{'forces': [{'name': 'W', 'magnitude': 31.5, 'direction': {'angle': 248.2}},"
                 "{'name': 'S', 'magnitude': 'unknown', 'direction': {'angle': 12.5}},"
                 "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 140}}]}");
    struct solved b =
        particle("{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 213.7}},"
                 "{'name': 'W', 'magnitude': 63, 'direction': {'angle': 321.9}},"
                 "{'name': 'S', 'magnitude': 'unknown', 'direction': {'angle': 86.2}}]}");
    assert_number(&b, "unknowns/1/parts/0/value", 2 * number_at(&a, "unknowns/0/parts/0/value"));
    assert_number(&b, "unknowns/0/parts/0/value", 2 * number_at(&a, "unknowns/1/parts/0/value"));
    done(&a);
    done(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_published_cases),
        cmocka_unit_test(test_two_cables_with_their_working),
        cmocka_unit_test(test_names_of_a_second_solution),
        cmocka_unit_test(test_a_cable_that_would_push),
        cmocka_unit_test(test_easy_axes_first),
        cmocka_unit_test(test_a_force_wholly_unknown),
        cmocka_unit_test(test_one_cable_over_a_pulley),
        cmocka_unit_test(test_supports_of_a_particle),
        cmocka_unit_test(test_states_in_the_plane),
        cmocka_unit_test(test_states_in_space),
        cmocka_unit_test(test_rank_is_exact),
        cmocka_unit_test(test_two_solutions),
        cmocka_unit_test(test_one_solution_touching_and_none),
        cmocka_unit_test(test_magnitude_and_direction_otherwise),
        cmocka_unit_test(test_the_same_size_in_an_unknown_direction),
        cmocka_unit_test(test_triangle_of_three_sides),
        cmocka_unit_test(test_one_direction_alone),
        cmocka_unit_test(test_required_resultants),
        cmocka_unit_test(test_the_smallest_force),
        cmocka_unit_test(test_refused),
        cmocka_unit_test(test_random_linear_problems_against_gsl),
        cmocka_unit_test(test_random_directions),
        cmocka_unit_test(test_turned_scaled_reordered),
    };
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
