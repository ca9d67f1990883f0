/* Units against the UDUNITS-2 library and its database (a general reference), and against NIST
 * Special Publication 811 (2008), appendix B.8. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "vector/unit.h"
#include <udunits2.h>

static const struct dimension force = {.force = 1}, length = {.length = 1}, mass = {.mass = 1},
                              acceleration = {.acceleration = 1}, angle = {.angle = true},
                              moment = {.force = 1, .length = 1},
                              intensity = {.force = 1, .length = -1};

static struct unit read_unit(const char *text, struct dimension d)
{
    struct unit u;
    assert_true(unit_read(text, strlen(text), d, &u));
    return u;
}

static void is_factor(const char *from, const char *to, struct dimension d, const char *numerator,
                      const char *denominator)
{
    char n[48], m[48];
    bool same;
    unit_factor(d, read_unit(from, d).base, read_unit(to, d).base, n, m, &same);
    assert_string_equal(n, numerator);
    assert_string_equal(m, denominator);
    assert_int_equal(same, strcmp(n, m) == 0);
}

static double factor(struct dimension d, struct units from, struct units to)
{
    char n[48], m[48];
    bool same;
    unit_factor(d, from, to, n, m, &same);
    assert_true(strlen(n) < 40 && strlen(m) < 40);
    return strtod(n, NULL) / strtod(m, NULL);
}

static void factors_are_said_as_books_say_them(void **state)
{
    (void)state;
    is_factor("kN", "N", force, "1000", "1");
    is_factor("N", "kN", force, "1", "1000");
    is_factor("N", "N", force, "1", "1");
    is_factor("lb", "N", force, "4.4482216152605", "1");
    is_factor("N", "lb", force, "1", "4.4482216152605");
    is_factor("kip", "lb", force, "1000", "1");
    is_factor("kip", "kN", force, "4.4482216152605", "1");
    is_factor("kgf", "kN", force, "0.00980665", "1");
    is_factor("kgf", "lb", force, "1", "0.45359237");
    is_factor("in", "ft", length, "1", "12");
    is_factor("ft", "in", length, "12", "1");
    is_factor("ft", "m", length, "0.3048", "1");
    is_factor("mm", "in", length, "1", "25.4");
    is_factor("mm", "m", length, "1", "1000");
    is_factor("km", "cm", length, "100000", "1");
    is_factor("lb/ft", "kip/ft", intensity, "1", "1000");
    is_factor("lb/in", "lb/ft", intensity, "12", "1");
    is_factor("kN/m", "N/mm", intensity, "1", "1");
    is_factor("kN/m", "lb/ft", intensity, "304.8", "4.4482216152605");
    is_factor("lb·in", "lb·ft", moment, "1", "12");
    is_factor("kN*m", "N·mm", moment, "1000000", "1");
    is_factor("g", "kg", mass, "1", "1000");
    is_factor("slug", "kg", mass, "4.4482216152605", "0.3048");
    is_factor("ft/s²", "m/s²", acceleration, "0.3048", "1");
    is_factor("m/s^2", "ft/s^2", acceleration, "1", "0.3048");
}

static const char *const udunits_force[] = {"N", "kN", "MN", "lbf", "kip", "kgf"};
static const char *const udunits_length[] = {"mm", "cm", "m", "km", "in", "ft"};
static const char *const udunits_mass[] = {"g", "kg", "Mg", "slug"};
static const char *const udunits_acceleration[] = {"m/s2", "ft/s2"};

static double udunits_factor(ut_system *system, const char *from, const char *to)
{
    ut_unit *a = ut_parse(system, from, UT_ASCII), *b = ut_parse(system, to, UT_ASCII);
    assert_true(a != NULL && b != NULL);
    cv_converter *c = ut_get_converter(a, b);
    assert_non_null(c);
    double x = cv_convert_double(c, 1);
    cv_free(c);
    ut_free(a);
    ut_free(b);
    return x;
}

static void every_factor_is_that_of_udunits(void **state)
{
    (void)state;
    ut_set_error_message_handler(ut_ignore);
    ut_system *system = ut_read_xml(NULL);
    assert_non_null(system);
    char from[40], to[40];
    for (unsigned f = 0; f < UNIT_FORCE_MAX_; f++)
        for (unsigned l = 0; l < UNIT_LENGTH_MAX_; l++)
            for (unsigned f2 = 0; f2 < UNIT_FORCE_MAX_; f2++)
                for (unsigned l2 = 0; l2 < UNIT_LENGTH_MAX_; l2++) {
                    struct units u = {.force = f, .length = l}, v = {.force = f2, .length = l2};
                    for (int power = -1; power <= 1; power++) {
                        struct dimension d = {.force = 1, .length = (int8_t)power};
                        snprintf(from, sizeof from, "%s %s%d", udunits_force[f], udunits_length[l],
                                 power);
                        snprintf(to, sizeof to, "%s %s%d", udunits_force[f2], udunits_length[l2],
                                 power);
                        double expected = udunits_factor(system, from, to);
                        assert_near(factor(d, u, v), expected, 1e-14 * expected);
                    }
                }
    for (unsigned m = 0; m < UNIT_MASS_MAX_; m++)
        for (unsigned n = 0; n < UNIT_MASS_MAX_; n++) {
            double expected = udunits_factor(system, udunits_mass[m], udunits_mass[n]);
            /* its slug is rounded to 14.59390 kg: 2.1e-7 */
            bool slug = (m == UNIT_SLUG) != (n == UNIT_SLUG);
            assert_near(factor(mass, (struct units){.mass = m}, (struct units){.mass = n}),
                        expected, (slug ? 3e-7 : 1e-14) * expected);
        }
    for (unsigned a = 0; a < UNIT_ACCELERATION_MAX_; a++)
        for (unsigned b = 0; b < UNIT_ACCELERATION_MAX_; b++) {
            double expected =
                udunits_factor(system, udunits_acceleration[a], udunits_acceleration[b]);
            assert_near(factor(acceleration, (struct units){.acceleration = a},
                               (struct units){.acceleration = b}),
                        expected, 1e-14 * expected);
        }
    ut_free_system(system);
}

/* NIST SP 811 (2008), appendix B.8, printed to seven figures: the first three lines as transcribed
 * in the CRAN package NISTunits 1.0.1, the others from memory. */
static void factors_of_nist_sp_811(void **state)
{
    (void)state;
    static const struct {
        const char *from, *to;
        const struct dimension *dimension;
        double printed;
    } rows[] = {
        {"lb", "N", &force, 4.448222},          {"kip", "N", &force, 4448.222},
        {"kgf", "N", &force, 9.80665},          {"ft", "m", &length, 0.3048},
        {"in", "m", &length, 0.0254},           {"lb·ft", "N·m", &moment, 1.355818},
        {"lb·in", "N·m", &moment, 0.1129848},   {"lb/ft", "N/m", &intensity, 14.59390},
        {"lb/in", "N/m", &intensity, 175.1268}, {"slug", "kg", &mass, 14.59390},
        {"kgf·m", "N·m", &moment, 9.80665},     {"ft/s²", "m/s²", &acceleration, 0.3048},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct dimension d = *rows[i].dimension;
        double x = factor(d, read_unit(rows[i].from, d).base, read_unit(rows[i].to, d).base);
        assert_near(x, rows[i].printed, 0.5000001e-6 * pow(10, floor(log10(rows[i].printed))));
    }
}

static void units_are_read(void **state)
{
    (void)state;
    struct unit u = read_unit("kN·m", moment);
    assert_true(u.base.force == UNIT_KN && u.base.length == UNIT_M);
    u = read_unit("ft*lb", moment);
    assert_true(u.base.force == UNIT_LB && u.base.length == UNIT_FT);
    u = read_unit("N⋅mm", moment);
    assert_true(u.base.force == UNIT_N && u.base.length == UNIT_MM);
    u = read_unit("MN/km", intensity);
    assert_true(u.base.force == UNIT_MN && u.base.length == UNIT_KM);
    assert_true(u.dimension.force == 1 && u.dimension.length == -1 && !u.dimension.angle);
    assert_true(read_unit("Mg", mass).base.mass == UNIT_MG);
    assert_true(read_unit("g", mass).base.mass == UNIT_G);
    assert_true(read_unit("kip", force).base.force == UNIT_KIP);
    assert_true(read_unit("rad", angle).base.angle == UNIT_RAD);
    assert_true(read_unit("ft/s^2", acceleration).base.acceleration == UNIT_FT_S2);
    static const struct {
        const char *text;
        const struct dimension *dimension;
    } refused[] = {
        {"", &force},          {"kn", &force},      {"N", &length},        {"Nm", &moment},
        {"N m", &moment},      {"N·", &moment},     {"·N", &force},        {"N/m", &moment},
        {"N/m/m", &intensity}, {"kN·m·m", &moment}, {"m/N", &intensity},   {"/m", &intensity},
        {"lbf", &force},       {"N ", &force},      {"deg/m", &angle},     {"m/s", &length},
        {"m·m/ft", &length},   {"N/m·ft", &force},  {"s²", &acceleration}, {"degdeg", &angle}};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        u = (struct unit){.base = {.force = UNIT_KGF}};
        assert_false(
            unit_read(refused[i].text, strlen(refused[i].text), *refused[i].dimension, &u));
        assert_true(u.base.force == UNIT_KGF);
    }
    /* Only `length` bytes are read. */
    assert_true(unit_read("kN/m", 2, force, &u) && u.base.force == UNIT_KN);
}

static void names_are_read_again(void **state)
{
    (void)state;
    for (unsigned i = 0; i < UNIT_FORCE_MAX_; i++)
        assert_true(read_unit(unit_force_name(i), force).base.force == i);
    for (unsigned i = 0; i < UNIT_LENGTH_MAX_; i++)
        assert_true(read_unit(unit_length_name(i), length).base.length == i);
    for (unsigned i = 0; i < UNIT_MASS_MAX_; i++)
        assert_true(read_unit(unit_mass_name(i), mass).base.mass == i);
    for (unsigned i = 0; i < UNIT_ANGLE_MAX_; i++)
        assert_true(read_unit(unit_angle_name(i), angle).base.angle == i);
    for (unsigned i = 0; i < UNIT_ACCELERATION_MAX_; i++)
        assert_true(read_unit(unit_acceleration_name(i), acceleration).base.acceleration == i);
    assert_string_equal(unit_force_spoken(UNIT_KN, true), "kilonewtons");
    assert_string_equal(unit_length_spoken(UNIT_FT, false), "foot");
    assert_string_equal(unit_mass_spoken(UNIT_SLUG, true), "slugs");
    assert_string_equal(unit_acceleration_spoken(UNIT_M_S2), "metres per second squared");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(factors_are_said_as_books_say_them),
        cmocka_unit_test(every_factor_is_that_of_udunits),
        cmocka_unit_test(factors_of_nist_sp_811),
        cmocka_unit_test(units_are_read),
        cmocka_unit_test(names_are_read_again),
    };
    return cmocka_run_group_tests_name("unit", tests, NULL, NULL);
}
