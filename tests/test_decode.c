/* test_decode.c: requests become the plain data of statics/input.h: every form, every unit, plane
 * or space, names, places. */
#include "decoding.h"

#include "endpoints/endpoint.h"

#include <stdio.h>

#define assert_text(a, b) assert_string_equal((a) ? (a) : "(none)", b)

static void assert_half_axis(struct half_axis a, int axis, int sign)
{
    assert_int_equal(a.axis, axis);
    assert_int_equal(a.sign, sign);
}

static void assert_given(const struct given *g, const char *text, const char *pointer)
{
    assert_true(g->present);
    assert_string_equal(g->text, text);
    assert_int_equal(g->length, strlen(text));
    assert_string_equal(g->pointer, pointer);
}

/* ---- forces ---- */

static void test_force_as_typed(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant",
        "{'units': {'force': 'kN'}, 'points': {'A': [0, 0], 'B': [4.50, -3e0]}, 'forces': ["
        "{'name': 'P', 'magnitude': 217.50, 'direction': {'angle': 248.2}, 'at': 'B'},"
        "{'name': 'Q', 'components': [24.0, -10], 'at': [1.25, {'value': 40, 'unit': 'cm'}],"
        " 'times': -3}]}");
    const struct loads_input *loads = &r.resultant->loads;
    assert_int_equal(loads->force_count, 2);
    const struct force_input *p = &loads->force[0], *second = &loads->force[1];
    assert_string_equal(p->name, "P");
    assert_string_equal(p->pointer, "/forces/0");
    assert_given(&p->magnitude, "217.50", "/forces/0/magnitude");
    assert_int_equal(p->magnitude.unit.base.force, UNIT_KN);
    assert_int_equal(p->magnitude.unit.dimension.force, 1);
    assert_false(p->magnitude.has_own_unit);
    assert_int_equal(p->direction.form, DIRECTION_ANGLE);
    assert_string_equal(p->direction.pointer, "/forces/0/direction");
    assert_given(&p->direction.angle, "248.2", "/forces/0/direction/angle");
    assert_int_equal(p->at, 1);
    assert_false(p->has_components);
    assert_false(p->is_weight);
    assert_false(p->times.present);

    assert_true(second->has_components);
    assert_false(second->magnitude.present);
    assert_int_equal(second->direction.form, DIRECTION_NONE);
    assert_given(&second->component[0], "24.0", "/forces/1/components/0");
    assert_given(&second->component[1], "-10", "/forces/1/components/1");
    assert_false(second->component[2].present);
    assert_given(&second->times, "-3", "/forces/1/times");
    assert_int_equal(second->at, 2); /* an anonymous point after A and B */
    const struct point_input *at = &loads->point[2];
    assert_null(at->name);
    assert_string_equal(at->pointer, "/forces/1/at");
    assert_given(&at->coordinate[0], "1.25", "/forces/1/at/0");
    assert_given(&at->coordinate[1], "40", "/forces/1/at/1/value");
    assert_true(at->coordinate[1].has_own_unit);
    assert_int_equal(at->coordinate[1].unit.base.length, UNIT_CM);
    assert_given(&loads->point[1].coordinate[1], "-3e0", "/points/B/1");
    assert_false(loads->space);
    done(&r);
}

static void test_weight(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant", "{'forces': [{'mass': 15.5}, {'mass': {'value': 2, 'unit': 'Mg'}, 'g': 9.80},"
                     "{'mass': 3, 'g': {'value': 32.2, 'unit': 'ft/s^2'},"
                     " 'direction': {'axis': '-x'}}]}");
    const struct force_input *w = r.resultant->loads.force;
    assert_true(w[0].is_weight);
    assert_given(&w[0].mass, "15.5", "/forces/0/mass");
    assert_int_equal(w[0].mass.unit.base.mass, UNIT_KG);
    assert_false(w[0].gravity.present);
    assert_int_equal(w[0].direction.form, DIRECTION_NONE);
    assert_int_equal(w[0].at, NO_PLACE);
    assert_given(&w[1].mass, "2", "/forces/1/mass/value");
    assert_int_equal(w[1].mass.unit.base.mass, UNIT_MG);
    assert_given(&w[1].gravity, "9.80", "/forces/1/g");
    assert_int_equal(w[1].gravity.unit.base.acceleration, UNIT_M_S2);
    assert_int_equal(w[2].gravity.unit.base.acceleration, UNIT_FT_S2);
    assert_true(w[2].gravity.has_own_unit);
    assert_int_equal(w[2].direction.form, DIRECTION_AXIS);
    done(&r);
}

/* A bare mass is in slug and a bare g in ft/s² where forces are in lb or kip. */
static void test_mass_unit_follows_force_unit(void **state)
{
    (void)state;
    static const struct {
        const char *force;
        enum unit_mass mass;
        enum unit_acceleration g;
    } rows[] = {
        {"N", UNIT_KG, UNIT_M_S2},   {"kN", UNIT_KG, UNIT_M_S2},    {"MN", UNIT_KG, UNIT_M_S2},
        {"kgf", UNIT_KG, UNIT_M_S2}, {"lb", UNIT_SLUG, UNIT_FT_S2}, {"kip", UNIT_SLUG, UNIT_FT_S2},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[200];
        snprintf(text, sizeof text,
                 "{'forces': [{'mass': 7.25, 'g': 9.5}], 'units': {'force': '%s'}}", rows[i].force);
        struct decoded r = decode_well("resultant", text);
        const struct force_input *w = r.resultant->loads.force;
        assert_int_equal(w->mass.unit.base.mass, rows[i].mass);
        assert_int_equal(w->gravity.unit.base.acceleration, rows[i].g);
        assert_int_equal(r.resultant->loads.units.mass, rows[i].mass);
        assert_int_equal(r.resultant->loads.units.acceleration, rows[i].g);
        done(&r);
    }
}

/* An answer's force is a request's force; one that is zero has no direction. */
static void test_answer_fed_back(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant",
        "{'forces': [{'name': 'R', 'components': [24, -10], 'magnitude': 26, 'direction': "
        "{'angle': "
        "337.380135052}}, {'name': 'S', 'components': [0, 0.00], 'magnitude': 0, 'direction': null}"
        "]}");
    const struct force_input *f = r.resultant->loads.force;
    assert_true(f[0].has_components && f[0].magnitude.present);
    assert_int_equal(f[0].direction.form, DIRECTION_ANGLE);
    assert_false(f[0].components_null_direction);
    assert_int_equal(f[1].direction.form, DIRECTION_NULL);
    assert_true(f[1].components_null_direction);
    done(&r);
}

/* ---- directions ---- */

static struct decoded resolved(const char *direction, struct direction *ret_direction)
{
    char text[600];
    snprintf(text, sizeof text,
             "{'points': {'A': %s, 'B': %s}, 'force': {'magnitude': 26.5, 'direction': %s}}",
             strstr(direction, "z") || strstr(direction, "alpha") || strstr(direction, "azimuth") ||
                     strstr(direction, "vector")
                 ? "[0, 0, 0]"
                 : "[0, 0]",
             strstr(direction, "z") || strstr(direction, "alpha") || strstr(direction, "azimuth") ||
                     strstr(direction, "vector")
                 ? "[3, 4, 2]"
                 : "[3, 4]",
             direction);
    struct decoded r = decode_well("resolve", text);
    *ret_direction = r.resolve->loads.force[0].direction;
    assert_string_equal(ret_direction->pointer, "/force/direction");
    return r;
}

static void test_direction_angle(void **state)
{
    (void)state;
    struct direction d;
    struct decoded r = resolved("{'angle': -30.25}", &d);
    assert_int_equal(d.form, DIRECTION_ANGLE);
    assert_given(&d.angle, "-30.25", "/force/direction/angle");
    assert_int_equal(d.from.sign, 0);
    assert_int_equal(d.toward.sign, 0);
    assert_false(d.clockwise);
    assert_int_equal(d.angle.unit.base.angle, UNIT_DEG);
    done(&r);

    r = resolved("{'angle': 30, 'from': '-x', 'toward': '+y'}", &d);
    assert_half_axis(d.from, 0, -1);
    assert_half_axis(d.toward, 1, 1);
    done(&r);

    r = resolved("{'angle': 62.7, 'from': '+z', 'toward': '-x'}", &d);
    assert_half_axis(d.from, 2, 1);
    assert_half_axis(d.toward, 0, -1);
    assert_true(r.resolve->loads.space);
    done(&r);

    r = resolved("{'angle': 30, 'from': '+y', 'turn': 'clockwise'}", &d);
    assert_half_axis(d.from, 1, 1);
    assert_true(d.clockwise);
    done(&r);

    r = resolved("{'angle': 30, 'turn': 'counter-clockwise'}", &d);
    assert_int_equal(d.from.sign, 0);
    assert_false(d.clockwise);
    done(&r);

    r = resolved("{'angle': {'value': 0.525, 'unit': 'rad'}}", &d);
    assert_given(&d.angle, "0.525", "/force/direction/angle/value");
    assert_int_equal(d.angle.unit.base.angle, UNIT_RAD);
    assert_true(d.angle.has_own_unit);
    assert_int_equal(r.resolve->loads.radian_decimals, 3);
    done(&r);
}

static void test_direction_slope_axis_vector_line(void **state)
{
    (void)state;
    struct direction d;
    struct decoded r = resolved("{'slope': {'run': -12, 'rise': 5.0}}", &d);
    assert_int_equal(d.form, DIRECTION_SLOPE);
    assert_given(&d.run, "-12", "/force/direction/slope/run");
    assert_given(&d.rise, "5.0", "/force/direction/slope/rise");
    assert_int_equal(d.run.unit.dimension.length, 0);
    done(&r);

    r = resolved("{'slope': {'rise': 7, 'run': 0}}", &d); /* vertical, and fine */
    assert_given(&d.run, "0", "/force/direction/slope/run");
    done(&r);

    r = resolved("{'axis': '-y'}", &d);
    assert_int_equal(d.form, DIRECTION_AXIS);
    assert_half_axis(d.from, 1, -1);
    done(&r);

    r = resolved("{'vector': [2, -1.5, 2]}", &d);
    assert_int_equal(d.form, DIRECTION_VECTOR);
    assert_given(&d.component[1], "-1.5", "/force/direction/vector/1");
    assert_given(&d.component[2], "2", "/force/direction/vector/2");
    done(&r);

    r = resolved("{'line': ['B', [7.5, 1]]}", &d);
    assert_int_equal(d.form, DIRECTION_LINE);
    assert_int_equal(d.line[0], 1);
    assert_int_equal(d.line[1], 2);
    assert_given(&r.resolve->loads.point[2].coordinate[0], "7.5", "/force/direction/line/1/0");
    done(&r);
}

static void test_direction_angles(void **state)
{
    (void)state;
    struct direction d;
    struct decoded r =
        resolved("{'direction_angles': {'alpha': 60, 'beta': 45.5, 'gamma': 'obtuse'}}", &d);
    assert_int_equal(d.form, DIRECTION_ANGLES);
    assert_given(&d.direction_angle[0], "60", "/force/direction/direction_angles/alpha");
    assert_given(&d.direction_angle[1], "45.5", "/force/direction/direction_angles/beta");
    assert_false(d.direction_angle[2].present);
    assert_int_equal(d.word[2], WORD_OBTUSE);
    assert_int_equal(d.word[0], WORD_NONE);
    assert_true(r.resolve->loads.space);
    done(&r);

    r = resolved("{'direction_angles': {'gamma': 71.3, 'alpha': 'acute', 'beta': 120}}", &d);
    assert_int_equal(d.word[0], WORD_ACUTE);
    assert_given(&d.direction_angle[2], "71.3", "/force/direction/direction_angles/gamma");
    done(&r);

    r = resolved("{'direction_angles': {'alpha': 60, 'gamma': 71.3}}", &d);
    assert_false(d.direction_angle[1].present);
    assert_int_equal(d.word[1], WORD_NONE);
    done(&r);
}

static void test_direction_azimuth(void **state)
{
    (void)state;
    struct direction d;
    struct decoded r = resolved("{'azimuth': 40, 'elevation': -25.5}", &d);
    assert_int_equal(d.form, DIRECTION_AZIMUTH);
    assert_given(&d.angle, "40", "/force/direction/azimuth");
    assert_given(&d.elevation, "-25.5", "/force/direction/elevation");
    assert_int_equal(d.up.sign, 0);
    assert_int_equal(d.from.sign, 0);
    done(&r);

    r = resolved("{'azimuth': 40, 'elevation': 90, 'up': '+y', 'from': '-z', 'toward': '+x'}", &d);
    assert_half_axis(d.up, 1, 1);
    assert_half_axis(d.from, 2, -1);
    assert_half_axis(d.toward, 0, 1);
    done(&r);

    /* a right angle, as rounded: 1.5708 is more than pi/2 by less than its last digit tells */
    r = resolved("{'azimuth': 40, 'elevation': {'value': 1.5708, 'unit': 'rad'}}", &d);
    done(&r);
}

static void test_direction_bearing(void **state)
{
    (void)state;
    static const struct {
        const char *bearing, *degrees;
        int from, from_sign, toward, toward_sign;
    } rows[] = {
        {"N30.5E", "30.5", 1, 1, 0, 1},   {"N30.50W", "30.50", 1, 1, 0, -1},
        {"S7E", "7", 1, -1, 0, 1},        {"S89.999W", "89.999", 1, -1, 0, -1},
        {"N05E", "5", 1, 1, 0, 1},        {"N00.25E", "0.25", 1, 1, 0, 1},
        {"N0.25E", "0.25", 1, 1, 0, 1},   {"N0E", "0", 1, 1, 0, 1},
        {"S90.0W", "90.0", 1, -1, 0, -1}, {"N", NULL, 1, 1, 0, 0},
        {"S", NULL, 1, -1, 0, 0},         {"E", NULL, 0, 1, 0, 0},
        {"W", NULL, 0, -1, 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[64];
        struct direction d;
        snprintf(text, sizeof text, "{'bearing': '%s'}", rows[i].bearing);
        struct decoded r = resolved(text, &d);
        assert_int_equal(d.form, DIRECTION_BEARING);
        assert_half_axis(d.from, rows[i].from, rows[i].from_sign);
        assert_int_equal(d.toward.sign, rows[i].toward_sign);
        if (d.toward.sign != 0)
            assert_half_axis(d.toward, rows[i].toward, rows[i].toward_sign);
        assert_int_equal(d.angle.present, rows[i].degrees != NULL);
        if (rows[i].degrees != NULL) {
            assert_given(&d.angle, rows[i].degrees, "/force/direction/bearing");
            assert_int_equal(d.angle.unit.base.angle, UNIT_DEG);
            assert_false(d.angle.has_own_unit);
        }
        assert_false(r.resolve->loads.space);
        done(&r);
    }
}

/* A bearing is in degrees where all other angles are in radians. */
static void test_bearing_beside_radians(void **state)
{
    (void)state;
    struct decoded r =
        decode_well("resolve", "{'units': {'angle': 'rad'}, 'force': {'magnitude': 8,"
                               " 'direction': {'bearing': 'N30.125E'}},"
                               " 'onto': {'angle': 12.5e-2}}");
    const struct given *bearing = &r.resolve->loads.force[0].direction.angle;
    assert_int_equal(bearing->unit.base.angle, UNIT_DEG);
    assert_true(bearing->has_own_unit);
    assert_int_equal(r.resolve->onto.angle.unit.base.angle, UNIT_RAD);
    assert_int_equal(r.resolve->loads.radian_decimals, 3);
    done(&r);
}

static void test_radian_decimals(void **state)
{
    (void)state;
    static const struct {
        const char *angle;
        int decimals;
    } rows[] = {{"2", 0},       {"0.5", 1},     {"0.50", 2}, {"1e-3", 3},
                {"12.5e-2", 3}, {"0.125e2", 1}, {"2E+3", 0}, {"-1.0471975512", 10}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[160];
        snprintf(text, sizeof text,
                 "{'force': {'components': [3.5, -2.0125]}, 'onto': {'angle': %s}, 'units': "
                 "{'angle': 'rad'}}",
                 rows[i].angle);
        struct decoded r = decode_well("resolve", text);
        assert_int_equal(r.resolve->loads.radian_decimals, rows[i].decimals);
        done(&r);
    }
}

/* ---- units ---- */

static void test_units(void **state)
{
    (void)state;
    static const char *const forces[] = {"N", "kN", "MN", "lb", "kip", "kgf"};
    static const char *const lengths[] = {"mm", "cm", "m", "km", "in", "ft"};
    for (unsigned f = 0; f < UNIT_FORCE_MAX_; f++)
        for (unsigned l = 0; l < UNIT_LENGTH_MAX_; l++) {
            char text[700];
            snprintf(text, sizeof text,
                     "{'units': {'force': '%s', 'length': '%s'},"
                     "'points': {'A': [{'value': 1.25, 'unit': '%s'}, 2]},"
                     "'forces': [{'magnitude': {'value': 217.5, 'unit': '%s'},"
                     "            'direction': {'angle': 30}, 'at': 'A'}],"
                     "'couples': [{'moment': {'value': 12, 'unit': '%s*%s'}},"
                     "            {'moment': {'value': 13, 'unit': '%s·%s'}}, {'moment': 5}],"
                     "'distributed_loads': [{'from': 'A', 'to': [9, 2],"
                     "            'intensity': [{'value': 3, 'unit': '%s/%s'}, 4]}]}",
                     forces[f], lengths[l], lengths[l], forces[f], forces[f], lengths[l], forces[f],
                     lengths[l], forces[f], lengths[l]);
            struct decoded r = decode_well("resultant", text);
            const struct loads_input *loads = &r.resultant->loads;
            assert_int_equal(loads->units.force, f);
            assert_int_equal(loads->units.length, l);
            assert_int_equal(loads->point[0].coordinate[0].unit.base.length, l);
            assert_int_equal(loads->point[0].coordinate[1].unit.base.length, l);
            assert_int_equal(loads->force[0].magnitude.unit.base.force, f);
            for (int c = 0; c < 3; c++) {
                assert_int_equal(loads->couple[c].moment[0].unit.base.force, f);
                assert_int_equal(loads->couple[c].moment[0].unit.base.length, l);
                assert_int_equal(loads->couple[c].moment[0].has_own_unit, c < 2);
            }
            for (int e = 0; e < 2; e++) {
                const struct given *intensity = &loads->distributed[0].intensity[e];
                assert_int_equal(intensity->unit.base.force, f);
                assert_int_equal(intensity->unit.base.length, l);
                assert_int_equal(intensity->unit.dimension.length, -1);
            }
            done(&r);
        }
}

static void test_default_units(void **state)
{
    (void)state;
    struct decoded r = decode_well("resolve", "{'force': {'components': [24, -10]}}");
    const struct units *u = &r.resolve->loads.units;
    assert_int_equal(u->force, UNIT_N);
    assert_int_equal(u->length, UNIT_M);
    assert_int_equal(u->angle, UNIT_DEG);
    assert_int_equal(u->mass, UNIT_KG);
    assert_int_equal(u->acceleration, UNIT_M_S2);
    assert_false(r.resolve->loads.wants_key);
    done(&r);
    r = decode_well("resolve", "{'force': {'components': [24, -10]}, 'key': true, 'working': false,"
                               " 'kind': 'resolve'}");
    assert_true(r.resolve->loads.wants_key);
    done(&r);
}

/* ---- couples, distributed loads, points, about ---- */

static void test_couples(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant", "{'couples': [{'name': 'C', 'moment': -12.5}, {'moment': 7, 'turn': "
                     "'clockwise', 'at': [1, 2]}, {'moment': 7, 'turn': 'counter-clockwise'}]}");
    const struct couple_input *c = r.resultant->loads.couple;
    assert_given(&c[0].moment[0], "-12.5", "/couples/0/moment");
    assert_false(c[0].clockwise);
    assert_int_equal(c[0].at, NO_PLACE);
    assert_true(c[1].clockwise);
    assert_int_equal(c[1].at, 0);
    assert_false(c[2].clockwise);
    assert_string_equal(c[2].pointer, "/couples/2");
    done(&r);

    r = decode_well("resultant",
                    "{'couples': [{'moment': [0, {'value': 3, 'unit': 'kN·cm'}, -4]}]}");
    c = r.resultant->loads.couple;
    assert_given(&c->moment[1], "3", "/couples/0/moment/1/value");
    assert_int_equal(c->moment[1].unit.base.length, UNIT_CM);
    assert_given(&c->moment[2], "-4", "/couples/0/moment/2");
    assert_true(r.resultant->loads.space);
    done(&r);
}

static void test_distributed_loads(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant",
        "{'points': {'A': [0, 0]}, 'distributed_loads': ["
        "{'name': 'w', 'from': 'A', 'to': [4, 3], 'intensity': 2.5},"
        "{'from': 'A', 'to': [4, 3], 'intensity': [0, -2], 'per': 'y', 'direction': {'axis': '+x'}}"
        "]}");
    const struct distributed_input *w = r.resultant->loads.distributed;
    assert_int_equal(w[0].from, 0);
    assert_int_equal(w[0].to, 1);
    assert_given(&w[0].intensity[0], "2.5", "/distributed_loads/0/intensity");
    assert_false(w[0].intensity[1].present);
    assert_int_equal(w[0].per_axis, -1);
    assert_int_equal(w[0].direction.form, DIRECTION_NONE);
    assert_given(&w[1].intensity[1], "-2", "/distributed_loads/1/intensity/1");
    assert_int_equal(w[1].per_axis, 1);
    assert_int_equal(w[1].direction.form, DIRECTION_AXIS);
    done(&r);
}

/* Points in any order, by distance and direction, between two; anonymous ones on the way. */
static void test_points(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant",
        "{'points': {'M': {'between': ['A', 'D'], 'fraction': -0.25},"
        "'D': {'from': 'B', 'distance': {'value': 30, 'unit': 'cm'}, 'direction': {'line': ['A', "
        "'B']}}, 'A': [0.5, 0], 'B': [4, 3], "
        "'E': {'from': [1, 1], 'distance': 3, 'direction': {'line': [[8, 8], [9, 9]]}},"
        "'9': {'between': [[2, 2], 'E'], 'fraction': 1.5}}, 'forces': ["
        "{'magnitude': 5, 'direction': {'line': ['M', '9']}, 'at': 'E'}]}");
    const struct loads_input *loads = &r.resultant->loads;
    const struct point_input *p = loads->point;
    assert_int_equal(loads->point_count, 10);
    assert_string_equal(p[0].name, "M");
    assert_int_equal(p[0].form, POINT_BETWEEN);
    assert_int_equal(p[0].between[0], 2);
    assert_int_equal(p[0].between[1], 1);
    assert_given(&p[0].fraction, "-0.25", "/points/M/fraction");
    assert_string_equal(p[1].name, "D");
    assert_string_equal(p[1].pointer, "/points/D");
    assert_int_equal(p[1].form, POINT_FROM);
    assert_int_equal(p[1].from, 3);
    assert_given(&p[1].distance, "30", "/points/D/distance/value");
    assert_int_equal(p[1].distance.unit.base.length, UNIT_CM);
    assert_int_equal(p[1].direction->line[0], 2);
    assert_int_equal(p[1].direction->line[1], 3);
    assert_given(&p[2].coordinate[0], "0.5", "/points/A/0");
    assert_string_equal(p[4].name, "E");
    assert_int_equal(p[4].from, 6);
    assert_int_equal(p[4].direction->line[1], 8);
    assert_string_equal(p[8].pointer, "/points/E/direction/line/1");
    assert_int_equal(p[5].between[0], 9);
    assert_int_equal(loads->force[0].direction.line[1], 5);
    assert_int_equal(loads->force[0].at, 4);
    done(&r);
}

static void test_about(void **state)
{
    (void)state;
    static const char *const forces = "'forces': [{'components': [3, 4, 5], 'at': [1, 0, 0]}]";
    char text[300];
    snprintf(text, sizeof text, "{%s}", forces);
    struct decoded r = decode_well("resultant", text);
    assert_false(r.resultant->has_about);
    assert_int_equal(r.resultant->about, NO_PLACE);
    done(&r);
    snprintf(text, sizeof text, "{'points': {'Q': [1, 2, 3]}, %s, 'about': 'Q'}", forces);
    r = decode_well("resultant", text);
    assert_true(r.resultant->has_about);
    assert_false(r.resultant->about_is_line);
    assert_int_equal(r.resultant->about, 0);
    assert_string_equal(r.resultant->about_pointer, "/about");
    done(&r);
    snprintf(text, sizeof text,
             "{'points': {'Q': [1, 2, 3]}, %s, 'about': {'line': ['Q', [0, 0, 2.5]]}}", forces);
    r = decode_well("resultant", text);
    assert_true(r.resultant->about_is_line);
    assert_int_equal(r.resultant->line[0], 0);
    assert_given(&r.resultant->loads.point[r.resultant->line[1]].coordinate[2], "2.5",
                 "/about/line/1/2");
    done(&r);
    r = decode_well("resultant", "{'couples': [{'moment': 4.5}], 'about': [1, 2]}");
    assert_true(r.resultant->has_about);
    done(&r);
}

static void test_along_onto(void **state)
{
    (void)state;
    struct decoded r = decode_well("resolve", "{'force': {'components': [24, -10]}, 'along': {'u': "
                                              "{'angle': 15.5}, 'v': {'slope': {'run': 1, 'rise': "
                                              "2}}}, 'onto': {'axis': '-x'}}");
    assert_true(r.resolve->has_along);
    assert_true(r.resolve->has_onto);
    assert_string_equal(r.resolve->along_pointer, "/along");
    assert_given(&r.resolve->along[0].angle, "15.5", "/along/u/angle");
    assert_int_equal(r.resolve->along[1].form, DIRECTION_SLOPE);
    assert_string_equal(r.resolve->along[1].pointer, "/along/v");
    assert_int_equal(r.resolve->along[2].form, DIRECTION_NONE);
    assert_int_equal(r.resolve->onto.form, DIRECTION_AXIS);
    assert_string_equal(r.resolve->onto.pointer, "/onto");
    done(&r);
    r = decode_well("resolve", "{'force': {'components': [24, -10, 3]}, 'along': {'u': {'axis': "
                               "'+x'}, 'v': {'axis': '+y'}, 'w': {'vector': [1, 1, 1]}}}");
    assert_int_equal(r.resolve->along[2].form, DIRECTION_VECTOR);
    assert_false(r.resolve->has_onto);
    done(&r);
}

static void test_up(void **state)
{
    (void)state;
    struct decoded r = decode_well("resolve", "{'force': {'mass': 4.5}}");
    assert_false(r.resolve->loads.has_up);
    assert_half_axis(r.resolve->loads.up, 1, 1);
    done(&r);
    r = decode_well("resolve", "{'force': {'mass': 4.5, 'at': [1, 2, 3]}}");
    assert_half_axis(r.resolve->loads.up, 2, 1);
    done(&r);
    r = decode_well("resolve", "{'force': {'mass': 4.5}, 'up': '-x'}");
    assert_true(r.resolve->loads.has_up);
    assert_half_axis(r.resolve->loads.up, 0, -1);
    assert_false(r.resolve->loads.space);
    done(&r);
    r = decode_well("resolve", "{'force': {'mass': 4.5}, 'up': '+z'}");
    assert_true(r.resolve->loads.space);
    done(&r);
}

/* ---- names ---- */

static void test_default_names(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant",
        "{'forces': [{'components': [1, 2], 'at': [0, 0]}, {'name': 'P', 'components': [1, 2],"
        " 'at': [1, 0]}, {'mass': 3, 'at': [0, 0]}],"
        "'couples': [{'moment': 3}, {'name': 'C', 'moment': 4}, {'moment': 5}],"
        "'distributed_loads': [{'from': [0, 0], 'to': [1, 0], 'intensity': 2}]}");
    const struct loads_input *loads = &r.resultant->loads;
    assert_string_equal(loads->force[0].name, "F1");
    assert_string_equal(loads->force[1].name, "P");
    assert_string_equal(loads->force[2].name, "F3");
    assert_string_equal(loads->couple[0].name, "C1");
    assert_string_equal(loads->couple[1].name, "C");
    assert_string_equal(loads->couple[2].name, "C3");
    assert_string_equal(loads->distributed[0].name, "w1");
    done(&r);
}

/* A name by default gives way to one that is given, wherever that stands. */
static void test_default_names_give_way(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "resultant", "{'forces': [{'components': [1, 2]}, {'name': 'F1', 'components': [1, 2]},"
                     "{'components': [1, 2]}], 'couples': [{'moment': 3, 'name': 'F4'}]}");
    const struct force_input *f = r.resultant->loads.force;
    assert_string_equal(f[0].name, "F5"); /* F1 and F4 are taken, F2 and F3 belong to others */
    assert_string_equal(f[1].name, "F1");
    assert_string_equal(f[2].name, "F3");
    done(&r);
}

static void test_many_names(void **state)
{
    (void)state;
    enum { COUNT = 1000 };
    char *text = malloc(100 * COUNT), *end = text;
    end += sprintf(end, "{'points': {");
    for (int i = 0; i < COUNT; i++)
        end += sprintf(end, "%s'P%d': [%d, 0.5]", i ? "," : "", i, i);
    end += sprintf(end, "}, 'forces': [");
    for (int i = 0; i < COUNT; i++)
        end += sprintf(end, "%s{'components': [1, 2], 'at': 'P%d'}", i ? "," : "", COUNT - 1 - i);
    sprintf(end, "]}");
    struct decoded r = decode_well("resultant", text);
    assert_int_equal(r.resultant->loads.point_count, COUNT);
    for (int i = 0; i < COUNT; i++) {
        char name[16];
        snprintf(name, sizeof name, "F%d", i + 1);
        assert_string_equal(r.resultant->loads.force[i].name, name);
        assert_int_equal(r.resultant->loads.force[i].at, COUNT - 1 - i);
    }
    done(&r);
    free(text);
}

/* ---- plane or space ---- */

static void test_plane_or_space(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *request;
        bool space;
    } rows[] = {
        {"resolve", "{'force': {'components': [1, 2]}}", false},
        {"resolve", "{'force': {'components': [1, 2, 3]}}", true},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'vector': [1, 2]}}}", false},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'vector': [1, 2, 3]}}}", true},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'axis': '+x'}}}", false},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'axis': '-z'}}}", true},
        {"resolve",
         "{'force': {'magnitude': 1, 'direction': {'angle': 30, 'from': '+x', 'toward': '+y'}}}",
         false},
        {"resolve",
         "{'force': {'magnitude': 1, 'direction': {'angle': 30, 'from': '+x', 'toward': '-z'}}}",
         true},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'angle': 30}}}", false},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'slope': {'run': 3, 'rise': 4}}}}",
         false},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'bearing': 'S20E'}}}", false},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'azimuth': 30, 'elevation': 20}}}",
         true},
        {"resolve",
         "{'force': {'magnitude': 1, 'direction': {'direction_angles': {'alpha': 60, 'beta': 60, "
         "'gamma': 45}}}}",
         true},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'axis': '+x'}}, 'up': '+z'}", true},
        {"resolve",
         "{'force': {'magnitude': 1, 'direction': {'axis': '+x'}}, 'points': {'A': [1, 2, 3]}}",
         true},
        {"resolve", "{'force': {'mass': 12}}", false},
        {"resolve", "{'force': {'mass': 12}, 'onto': {'vector': [1, 2, 2]}}", true},
        {"resultant", "{'couples': [{'moment': 5}]}", false},
        {"resultant", "{'couples': [{'moment': [1, 2, 5]}]}", true},
        {"resultant",
         "{'forces': [{'magnitude': 5, 'direction': {'axis': '+x'}, 'at': [1, 2, 3]}]}", true},
        {"resultant", "{'forces': [{'magnitude': 5, 'direction': {'axis': '+x'}, 'at': [1, 2]}]}",
         false},
        {"resultant",
         "{'distributed_loads': [{'from': [0, 0, 1], 'to': [1, 2, 3], 'intensity': [1, 2], 'per': "
         "'z'}]}",
         true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct decoded r = decode_well(rows[i].kind, rows[i].request);
        bool space = strcmp(rows[i].kind, "resolve") == 0 ? r.resolve->loads.space
                                                          : r.resultant->loads.space;
        if (space != rows[i].space)
            fail_msg("%s was read as a problem %s", rows[i].request,
                     space ? "in space" : "in the plane");
        done(&r);
    }
}

/* ---- equilibrium ---- */

static void test_unknown_forces(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "equilibrium", "{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': "
                       "132.5}, 'sense': 'pulls'},"
                       "{'magnitude': {'same_as': 'T', 'times': 2.5}, 'direction': {'angle': 12}, "
                       "'sense': 'pushes'},"
                       "{'magnitude': {'same_as': 'T'}, 'direction': {'angle': 15}, 'times': -2},"
                       "{'magnitude': 5, 'direction': 'unknown'}, {'magnitude': 'unknown', "
                       "'direction': 'unknown'}]}");
    const struct force_input *f = r.equilibrium->loads.force;
    assert_true(f[0].magnitude_unknown);
    assert_false(f[0].magnitude.present);
    assert_null(f[0].same_as);
    assert_int_equal(f[0].same_as_force, -1);
    assert_int_equal(f[0].sense, SENSE_PULLS);
    assert_true(f[1].magnitude_unknown);
    assert_string_equal(f[1].same_as, "T");
    assert_int_equal(f[1].same_as_force, 0);
    assert_given(&f[1].times, "2.5", "/forces/1/magnitude/times");
    assert_int_equal(f[1].sense, SENSE_PUSHES);
    assert_string_equal(f[1].name, "F2");
    assert_given(&f[2].times, "-2", "/forces/2/times");
    assert_int_equal(f[2].sense, SENSE_FREE);
    assert_false(f[3].magnitude_unknown);
    assert_int_equal(f[3].direction.form, DIRECTION_UNKNOWN);
    assert_true(f[4].magnitude_unknown);
    assert_int_equal(f[4].direction.form, DIRECTION_UNKNOWN);
    assert_int_equal(r.equilibrium->smallest, -1);
    assert_false(r.equilibrium->has_required);
    assert_int_equal(r.equilibrium->body_count, 0);
    done(&r);
}

static void test_required_resultant(void **state)
{
    (void)state;
    struct decoded r =
        decode_well("equilibrium", "{'forces': [{'name': 'P', 'components': [3.5, 1]}, {'name': "
                                   "'F', 'magnitude': 'unknown', 'direction': "
                                   "'unknown'}], 'required_resultant': {'magnitude': 'unknown', "
                                   "'direction': {'angle': 30.5}}, 'smallest': 'F'}");
    assert_true(r.equilibrium->has_required);
    assert_true(r.equilibrium->required.magnitude_unknown);
    assert_string_equal(r.equilibrium->required.name, "R");
    assert_string_equal(r.equilibrium->required.pointer, "/required_resultant");
    assert_int_equal(r.equilibrium->required.at, NO_PLACE);
    assert_given(&r.equilibrium->required.direction.angle, "30.5",
                 "/required_resultant/direction/angle");
    assert_int_equal(r.equilibrium->smallest, 1);
    done(&r);
    r = decode_well("equilibrium",
                    "{'forces': [{'name': 'R', 'magnitude': 'unknown', 'direction': 'unknown'}],"
                    " 'required_resultant': {'components': [3, 4.5]}}");
    assert_string_equal(r.equilibrium->required.name, "R1"); /* R is taken */
    done(&r);
}

static void test_supports_in_the_plane(void **state)
{
    (void)state;
    static const struct {
        const char *support;
        enum support_kind kind;
        enum direction_form form;
        const char *pointer;
        bool couples;
    } rows[] = {
        {"'kind': 'pin'", SUPPORT_PIN, DIRECTION_NONE, NULL, false},
        {"'kind': 'roller'", SUPPORT_ROLLER, DIRECTION_NONE, NULL, false},
        {"'kind': 'roller', 'normal': {'angle': 112.5}", SUPPORT_ROLLER, DIRECTION_ANGLE,
         "/supports/0/normal", false},
        {"'kind': 'rocker', 'normal': {'axis': '-x'}", SUPPORT_ROCKER, DIRECTION_AXIS,
         "/supports/0/normal", false},
        {"'kind': 'smooth_surface', 'normal': {'slope': {'run': 3, 'rise': 4}}",
         SUPPORT_SMOOTH_SURFACE, DIRECTION_SLOPE, "/supports/0/normal", false},
        {"'kind': 'rough_surface'", SUPPORT_ROUGH_SURFACE, DIRECTION_NONE, NULL, false},
        {"'kind': 'link', 'direction': {'line': ['A', 'B']}", SUPPORT_LINK, DIRECTION_LINE,
         "/supports/0/direction", false},
        {"'kind': 'cable', 'direction': {'bearing': 'N30W'}", SUPPORT_CABLE, DIRECTION_BEARING,
         "/supports/0/direction", false},
        {"'kind': 'collar', 'axis': {'angle': 35.5}", SUPPORT_COLLAR, DIRECTION_ANGLE,
         "/supports/0/axis", false},
        {"'kind': 'collar', 'axis': {'angle': 35.5}, 'couples': true", SUPPORT_COLLAR,
         DIRECTION_ANGLE, "/supports/0/axis", true},
        {"'kind': 'fixed'", SUPPORT_FIXED, DIRECTION_NONE, NULL, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[400];
        snprintf(
            text, sizeof text,
            "{'points': {'A': [1, 2], 'B': [3, 2.5]}, 'supports': [{'name': 'S', 'at': 'B', %s}]}",
            rows[i].support);
        struct decoded r = decode_well("equilibrium", text);
        const struct support_input *s = r.equilibrium->support;
        assert_int_equal(r.equilibrium->support_count, 1);
        assert_string_equal(s->name, "S");
        assert_string_equal(s->pointer, "/supports/0");
        assert_int_equal(s->kind, rows[i].kind);
        assert_int_equal(s->at, 1);
        assert_int_equal(s->direction.form, rows[i].form);
        if (rows[i].pointer != NULL)
            assert_string_equal(s->direction.pointer, rows[i].pointer);
        assert_int_equal(s->couples, rows[i].couples);
        assert_false(r.equilibrium->is_particle);
        done(&r);
    }
}

static void test_supports_in_space(void **state)
{
    (void)state;
    static const struct {
        const char *support;
        enum support_kind kind;
    } rows[] = {
        {"'kind': 'ball_and_socket'", SUPPORT_BALL_AND_SOCKET},
        {"'kind': 'roller', 'normal': {'vector': [1, 2, 2]}", SUPPORT_ROLLER},
        {"'kind': 'smooth_surface'", SUPPORT_SMOOTH_SURFACE},
        {"'kind': 'link', 'direction': {'axis': '-z'}", SUPPORT_LINK},
        {"'kind': 'cable', 'direction': {'azimuth': 30, 'elevation': 12.5}", SUPPORT_CABLE},
        {"'kind': 'journal_bearing', 'axis': {'axis': '+y'}", SUPPORT_JOURNAL_BEARING},
        {"'kind': 'thrust_bearing', 'axis': {'axis': '+y'}, 'couples': false",
         SUPPORT_THRUST_BEARING},
        {"'kind': 'hinge', 'axis': {'vector': [1, 1, 0]}, 'couples': true", SUPPORT_HINGE},
        {"'kind': 'fixed'", SUPPORT_FIXED},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[400];
        snprintf(text, sizeof text, "{'supports': [{'at': [1, 2.5, 3], %s}]}", rows[i].support);
        struct decoded r = decode_well("equilibrium", text);
        assert_int_equal(r.equilibrium->support->kind, rows[i].kind);
        assert_true(r.equilibrium->loads.space);
        assert_int_equal(r.equilibrium->support->couples, rows[i].kind == SUPPORT_HINGE);
        done(&r);
    }
}

/* A support without a name is called as its point; otherwise by a letter that is free. */
static void test_support_names(void **state)
{
    (void)state;
    struct decoded r =
        decode_well("equilibrium", "{'points': {'A': [0, 0], 'B': [4, 0]}, 'forces': [{'name': "
                                   "'C', 'components': [1, 2], 'at': 'A'}],"
                                   "'supports': [{'kind': 'pin', 'at': 'A'}, {'kind': 'roller', "
                                   "'at': 'A'}, {'kind': 'roller', 'at': [3, 3]},"
                                   "{'kind': 'link', 'direction': {'angle': 3}, 'name': 'D', 'at': "
                                   "'B'}, {'kind': 'pin', 'at': 'B'}]}");
    const struct support_input *s = r.equilibrium->support;
    assert_string_equal(s[0].name, "A");
    assert_string_equal(s[1].name, "E"); /* A and B are points, C and D are taken */
    assert_string_equal(s[2].name, "F");
    assert_string_equal(s[3].name, "D");
    assert_string_equal(s[4].name, "B");
    done(&r);
}

static void test_bodies_and_pins(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "equilibrium", "{'points': {'A': [0, 0], 'C': [2, 2], 'B': [4.5, 0]}, 'bodies': {"
                       "'AC': {'supports': [{'kind': 'pin', 'at': 'A'}], 'forces': [{'name': 'P', "
                       "'components': [0, -7.5], 'at': [1, 1]}]},"
                       "'CB': {'forces': [{'components': [1, 2], 'at': [3, 1]}, {'components': [1, "
                       "3], 'at': [3, 1]}],"
                       "'couples': [{'moment': 12}], 'supports': [{'kind': 'pin', 'at': 'B'}],"
                       "'distributed_loads': [{'from': 'C', 'to': 'B', 'intensity': 2}]}},"
                       "'pins': [{'at': 'C', 'joins': ['CB', 'AC']}]}");
    const struct equilibrium_input *input = r.equilibrium;
    assert_int_equal(input->body_count, 2);
    assert_string_equal(input->body[0].name, "AC");
    assert_string_equal(input->body[1].pointer, "/bodies/CB");
    assert_int_equal(input->loads.force_count, 3);
    assert_string_equal(input->loads.force[0].name, "P");
    assert_int_equal(input->loads.force[0].body, 0);
    assert_string_equal(input->loads.force[0].pointer, "/bodies/AC/forces/0");
    assert_int_equal(input->loads.force[1].body, 1);
    assert_string_equal(input->loads.force[1].name, "F2");
    assert_string_equal(input->loads.force[2].name, "F3");
    assert_string_equal(input->loads.force[2].pointer, "/bodies/CB/forces/1");
    assert_given(&input->loads.force[2].component[1], "3", "/bodies/CB/forces/1/components/1");
    assert_int_equal(input->loads.couple[0].body, 1);
    assert_int_equal(input->loads.distributed[0].body, 1);
    assert_int_equal(input->support_count, 2);
    assert_int_equal(input->support[0].body, 0);
    assert_int_equal(input->support[1].body, 1);
    assert_string_equal(input->support[1].name, "B");
    assert_int_equal(input->pin_count, 1);
    assert_string_equal(input->pin->name, "C");
    assert_int_equal(input->pin->at, 1);
    assert_int_equal(input->pin->body_count, 2);
    assert_int_equal(input->pin->body[0], 1);
    assert_int_equal(input->pin->body[1], 0);
    done(&r);
}

static void test_particle(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "equilibrium",
        "{'forces': [{'mass': 12.5}], 'supports': [{'name': 'T', 'kind': 'cable', 'direction': "
        "{'angle': 112.5}}, {'name': 'N', 'kind': 'smooth_surface', 'normal': {'angle': 20}}]}");
    assert_true(r.equilibrium->is_particle);
    done(&r);
    r = decode_well("equilibrium",
                    "{'supports': [{'kind': 'pin', 'at': [0, 0]}], 'couples': [{'moment': 3}]}");
    assert_false(r.equilibrium->is_particle);
    done(&r);
}

/* ---- trusses ---- */

static void test_truss_joint(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "truss-joint", "{'joint': 'B', 'points': {'B': [0, 0], 'C': [3, 4]}, 'members': ["
                       "{'name': 'BA', 'direction': {'axis': '-x'}, 'force': -4.2},"
                       "{'name': 'B-C', 'direction': {'line': ['B', 'C']}}], 'forces': "
                       "[{'components': [0, -18], 'at': 'B'}]}");
    const struct truss_joint_input *input = r.truss_joint;
    assert_string_equal(input->joint, "B");
    assert_int_equal(input->member_count, 2);
    assert_string_equal(input->member[0].name, "BA");
    assert_given(&input->member[0].force, "-4.2", "/members/0/force");
    assert_int_equal(input->member[0].direction.form, DIRECTION_AXIS);
    assert_false(input->member[1].force.present);
    assert_string_equal(input->member[1].pointer, "/members/1");
    assert_int_equal(input->loads.force_count, 1);
    assert_string_equal(input->loads.force[0].name, "F1");
    done(&r);
}

static void test_truss(void **state)
{
    (void)state;
    struct decoded r = decode_well(
        "truss",
        "{'points': {'M': [9, 9]}, 'members': [['A', 'B'], ['C', 'A'], ['B', 'C']], 'joints': "
        "{'A': [0, 0], 'B': [4.5, 0],"
        "'C': {'between': ['A', 'M'], 'fraction': 0.25}}, 'supports': [{'at': 'A', 'kind': 'pin'},"
        "{'at': 'B', 'kind': 'roller'}, {'at': 'B', 'kind': 'link', 'name': 'L', 'direction': "
        "{'angle': 80}}],"
        "'loads': [{'at': 'C', 'components': [0, -18]}, {'at': 'C', 'mass': 3}], 'section': "
        "{'cut': ['AC', 'BC', 'BA']}}");
    const struct truss_input *input = r.truss;
    assert_int_equal(input->joint_count, 3);
    assert_string_equal(input->loads.point[0].name, "A");
    assert_string_equal(input->loads.point[2].name, "C");
    assert_string_equal(input->loads.point[2].pointer, "/joints/C");
    assert_int_equal(input->loads.point[2].between[1], 3);
    assert_string_equal(input->loads.point[3].name, "M");
    assert_string_equal(input->loads.point[3].pointer, "/points/M");
    assert_int_equal(input->member_count, 3);
    assert_string_equal(input->member[0].name, "AB");
    assert_string_equal(input->member[1].name, "CA");
    assert_int_equal(input->member[1].joint[0], 2);
    assert_int_equal(input->member[1].joint[1], 0);
    assert_string_equal(input->support[0].name, "A");
    assert_string_equal(input->support[1].name, "B");
    assert_string_equal(input->support[2].name, "L");
    assert_int_equal(input->support[2].kind, SUPPORT_LINK);
    assert_int_equal(input->loads.force_count, 2);
    assert_int_equal(input->loads.force[0].at, 2);
    assert_string_equal(input->loads.force[1].name, "F2");
    assert_true(input->has_section);
    assert_int_equal(input->cut_count, 3);
    assert_int_equal(input->cut[0], 1);
    assert_int_equal(input->cut[1], 2);
    assert_int_equal(input->cut[2], 0);
    done(&r);
}

/* A hyphen throughout where any joint's name is longer than one character (not one byte). */
static void test_truss_with_long_names(void **state)
{
    (void)state;
    struct decoded r = decode_well("truss", "{'joints': {'A': [0, 0], 'B1': [4.5, 0], 'C': [1, "
                                            "2]}, 'members': [['A', 'B1'], ['A', 'C']],"
                                            "'section': {'cut': ['C-A', 'B1A']}}");
    assert_string_equal(r.truss->member[0].name, "A-B1");
    assert_string_equal(r.truss->member[1].name, "A-C");
    assert_int_equal(r.truss->cut[0], 1);
    assert_int_equal(r.truss->cut[1], 0);
    done(&r);
    r = decode_well("truss", "{'joints': {'\xce\xb1': [0, 0], '\xc3\x9f': [4.5, 0]}, 'members': "
                             "[['\xce\xb1', '\xc3\x9f']],"
                             "'section': {'cut': ['\xc3\x9f\xce\xb1']}}");
    assert_string_equal(r.truss->member[0].name, "\xce\xb1\xc3\x9f");
    assert_int_equal(r.truss->cut[0], 0);
    assert_false(r.truss->loads.space);
    done(&r);
}

static void test_large_truss(void **state)
{
    (void)state;
    enum { COUNT = 3000 };
    char *text = malloc(120 * COUNT), *end = text;
    end += sprintf(end, "{'joints': {");
    for (int i = 0; i < COUNT; i++)
        end += sprintf(end, "%s'J%d': [%d.25, %d, 1e-1]", i ? "," : "", i, i / 2, i % 2);
    end += sprintf(end, "}, 'members': [");
    for (int i = 0; i < COUNT - 2; i++)
        end += sprintf(end, "%s['J%d', 'J%d'], ['J%d', 'J%d']", i ? "," : "", i, i + 1, i + 2, i);
    sprintf(end, "], 'section': {'cut': ['J2997-J2999']}}");
    struct decoded r = decode_well("truss", text);
    assert_int_equal(r.truss->joint_count, COUNT);
    assert_int_equal(r.truss->member_count, 2 * (COUNT - 2));
    assert_string_equal(r.truss->member[2 * 2997 + 1].name, "J2999-J2997");
    assert_int_equal(r.truss->cut[0], 2 * 2997 + 1);
    assert_true(r.truss->loads.space);
    done(&r);
    free(text);
}

/* ---- the list of computations ---- */

static void test_endpoints(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *request;
        bool space;
    } examples[] = {
        {"resolve", "{'force': {'magnitude': 217.5, 'direction': {'angle': 248.2}}, 'key': true}",
         false},
        {"resultant",
         "{'units': {'angle': 'rad'}, 'forces': [{'magnitude': 2.5, 'direction': {'angle': 0.525, "
         "'from': '+x', 'toward': '-z'}, 'at': [1, 2, 3]}]}",
         true},
        {"equilibrium",
         "{'supports': [{'name': 'A', 'kind': 'fixed', 'at': [0, 0]}], 'forces': [{'components': "
         "[2.5, -7.5], 'at': [3, 0.5]}]}",
         false},
        {"truss-joint",
         "{'joint': 'B', 'members': [{'name': 'BA', 'direction': {'angle': 217.5}}, {'name': 'BC', "
         "'direction': {'angle': 341}}], 'forces': [{'components': [0, -7.5]}]}",
         false},
        {"truss",
         "{'joints': {'A': [0, 0], 'B': [0, 1.5], 'C': [2, 0]}, 'members': [['A', 'C'], ['B', "
         "'C']], 'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'B', 'kind': 'pin'}], 'loads': "
         "[{'at': 'C', 'components': [0.5, -7.5]}]}",
         false},
    };
    struct field *field = field_new(20250);
    size_t count = 0;
    for (const struct endpoint *e = endpoints; e->path != NULL; e++) {
        char expected[64];
        if (strcmp(e->kind, "check") == 0) /* decodes by the call that its problem names */
            continue;
        assert_true(count < sizeof examples / sizeof examples[0]);
        assert_string_equal(e->kind, examples[count].kind);
        snprintf(expected, sizeof expected, "/v1/%s", e->kind);
        assert_string_equal(e->path, expected);
        snprintf(expected, sizeof expected, "%s.request.json", e->kind);
        assert_string_equal(e->schema, expected);
        assert_true(strlen(e->summary) > 20);

        struct decoded r = decode_well(e->kind, examples[count].request);
        struct work w;
        work_init(&w, r.arena, field);
        problem_init(&r.problem, r.arena);
        assert_int_equal(e->run(&w, r.request, &r.problem), PROBLEM_NONE);
        assert_non_null(w.answer);
        assert_int_equal(w.space, examples[count].space);
        assert_int_equal(w.wants_key, json_member(r.request, "key") != NULL);
        assert_int_equal(w.radian_decimals, examples[count].space ? 3 : 0);
        done(&r);

        /* a fault of meaning comes out as one, before anything is worked */
        r = decode("resultant", "{'forces': [{'components': [1, 2], 'at': 'A'}]}");
        if (strcmp(e->kind, "resultant") == 0) {
            work_init(&w, r.arena, field);
            problem_init(&r.problem, r.arena);
            assert_int_equal(e->run(&w, r.request, &r.problem), PROBLEM_INVALID_REQUEST);
            assert_int_equal(r.problem.faults[0].code, FAULT_UNKNOWN_PLACE);
            assert_null(w.answer);
        }
        done(&r);
        count++;
    }
    assert_int_equal(count, sizeof examples / sizeof examples[0]);
    field_free(field);
}

/* ---- what is ours ---- */

/* A shape that no schema lets by is our fault, never the caller's, and never a crash. */
static void test_misshapen_is_internal(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *request, *pointer;
    } rows[] = {
        {"resolve", "{'force': {'magnitude': 'x', 'direction': {'angle': 3}}}", "/force/magnitude"},
        {"resolve",
         "{'force': {'magnitude': 1, 'direction': {'angle': 3, 'slope': {'run': 1, 'rise': 2}}}}",
         "/force/direction"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {}}}", "/force/direction"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': 5}}", "/force/direction"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': []}}", "/force/direction"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'bearing': 'N'}, 'surprise': 1}}",
         "/force/surprise"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'bearing': 'X20'}}}",
         "/force/direction/bearing"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'bearing': ''}}}",
         "/force/direction/bearing"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'bearing': 'NE'}}}",
         "/force/direction/bearing"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'axis': 'up'}}}",
         "/force/direction/axis"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'line': ['A']}}}",
         "/force/direction/line"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'line': [[1], [2]]}}}",
         "/force/direction/line/0"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'vector': [1]}}}",
         "/force/direction/vector"},
        {"resolve", "{'force': {'magnitude': {'value': 2}, 'direction': {'angle': 3}}}",
         "/force/magnitude"},
        {"resolve", "{'force': {'magnitude': {'unit': 'N'}, 'direction': {'angle': 3}}}",
         "/force/magnitude"},
        {"resolve", "{'force': {'magnitude': 1, 'direction': {'angle': 3, 'toward': '+y'}}}",
         "/force/direction"},
        {"resolve", "{'force': {'components': [1, 2], 'name': 5}}", "/force/name"},
        {"resolve", "{'force': {'components': [1, 2], 'at': 5}}", "/force/at"},
        {"resolve", "{'force': {'components': [1, 2]}, 'key': 5}", "/key"},
        {"resolve", "{'force': {'components': [1, 2]}, 'units': {'force': 5}}", "/units/force"},
        {"resolve", "{'force': {'components': [1, 2]}, 'up': 5}", "/up"},
        {"resolve", "{'force': {'components': [1, 2]}, 'along': 5}", "/along"},
        {"resolve", "{'force': {'components': [1, 2]}, 'points': [1, 2]}", "/points/0"},
        {"resolve", "{'force': 5}", "/force"},
        {"resolve", "[]", ""},
        {"resultant", "{'couples': [{'moment': 1, 'turn': 'left'}]}", "/couples/0/turn"},
        {"resultant", "{'couples': [{'moment': 'one'}]}", "/couples/0/moment"},
        {"resultant", "{'distributed_loads': [{'from': [0, 0], 'to': [1, 1], 'intensity': [1]}]}",
         "/distributed_loads/0/intensity"},
        {"resultant",
         "{'distributed_loads': [{'from': [0, 0], 'to': [1, 1], 'intensity': 1, 'per': 'w'}]}",
         "/distributed_loads/0/per"},
        {"resultant", "{'distributed_loads': [5]}", "/distributed_loads/0"},
        {"resultant", "{'forces': [{'components': [1, 2], 'sense': 'turns'}]}", "/forces/0/sense"},
        {"resultant", "{'forces': {'components': [1, 2]}}", "/forces"},
        {"resultant", "{'points': 5, 'couples': [{'moment': 1}]}", "/points"},
        {"equilibrium", "{'supports': [{'at': [0, 0]}]}", "/supports/0"},
        {"equilibrium", "{'supports': [{'kind': 'glue', 'at': [0, 0]}]}", "/supports/0/kind"},
        {"equilibrium", "{'supports': [{'kind': 'pin', 'normal': {'angle': 3}}]}",
         "/supports/0/normal"},
        {"equilibrium", "{'supports': [{'kind': 'roller', 'direction': {'angle': 3}}]}",
         "/supports/0/direction"},
        {"equilibrium", "{'supports': [{'kind': 'roller', 'normal': 'unknown'}]}",
         "/supports/0/normal"},
        {"equilibrium", "{'supports': [{'kind': 'cable'}]}", "/supports/0"},
        {"equilibrium", "{'supports': [{'kind': 'collar', 'at': [1, 2]}]}", "/supports/0"},
        {"equilibrium", "{'supports': [{'kind': 'pin', 'couples': true}]}", "/supports/0/couples"},
        {"equilibrium", "{'bodies': []}", "/bodies"},
        {"equilibrium", "{'bodies': {'A': {'feet': 2}}}", "/bodies/A/feet"},
        {"equilibrium", "{'bodies': {'A': {}}, 'pins': {'at': [1, 2], 'joins': ['A', 'A']}}",
         "/pins"},
        {"equilibrium", "{'bodies': {'A': {}}, 'pins': [{'at': [1, 2]}]}", "/pins/0"},
        {"equilibrium", "{'bodies': {'A': {}, 'B': {}}, 'pins': [{'joins': ['A', 'B']}]}",
         "/pins/0"},
        {"equilibrium", "{'bodies': {'A': {}}, 'pins': [{'at': [1, 2], 'joins': [1, 2]}]}",
         "/pins/0/joins/0"},
        {"equilibrium", "{'forces': [{'magnitude': {'same_as': 2}, 'direction': {'angle': 3}}]}",
         "/forces/0/magnitude/same_as"},
        {"equilibrium",
         "{'forces': [{'components': [1, 2]}], 'required_resultant': {'components': [2, 3]}, "
         "'smallest': 2}",
         "/smallest"},
        {"truss-joint", "{'members': [{'name': 'A', 'direction': {'angle': 3}}]}", ""},
        {"truss-joint", "{'joint': 'B', 'members': [{'name': 'A'}]}", "/members/0"},
        {"truss-joint", "{'joint': 'B', 'members': [{'name': 'A', 'direction': null}]}",
         "/members/0"},
        {"truss", "{'members': [['A', 'B']]}", ""},
        {"truss", "{'joints': 5, 'members': [['A', 'B']]}", ""},
        {"truss", "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': 'AB'}", "/members"},
        {"truss", "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': [['A']]}", "/members/0"},
        {"truss", "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': [['A', 2]]}", "/members/0/1"},
        {"truss",
         "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': [['A', 'B']], 'loads': [{'components': "
         "[1, 2]}]}",
         "/loads"},
        {"truss",
         "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': [['A', 'B']], 'loads': [{'components': "
         "[1, 2], 'at': [1, 2]}]}",
         "/loads"},
        {"truss",
         "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': [['A', 'B']], 'supports': [{'kind': "
         "'pin'}]}",
         "/supports"},
        {"truss", "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': [['A', 'B']], 'section': {}}",
         ""},
        {"truss",
         "{'joints': {'A': [1, 2], 'B': [2, 3]}, 'members': [['A', 'B']], 'section': {'cut': [5]}}",
         "/section/cut/0"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct decoded r = decode(rows[i].kind, rows[i].request);
        char beginning[80];
        snprintf(beginning, sizeof beginning, "%s ", rows[i].pointer);
        if (r.schema_code != PROBLEM_INVALID_REQUEST)
            fail_msg("the schema lets by %s", rows[i].request);
        if (r.code != PROBLEM_INTERNAL ||
            strncmp(r.problem.detail, beginning, strlen(beginning)) != 0)
            fail_msg("%d, %s for %s", r.code, r.problem.detail, rows[i].request);
        done(&r);
    }
}

/* Whatever allocation fails, the outcome is that there is no memory. */
static void test_no_memory(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *request;
    } rows[] = {
        {"resolve", "{'force': {'mass': 5.5}, 'along': {'u': {'angle': 3}, 'v': {'slope': {'run': "
                    "1, 'rise': 2}}}}"},
        {"resultant",
         "{'points': {'A': [0, 0], 'M': {'between': ['A', [1, 2]], 'fraction': 0.25}}, 'forces': ["
         "{'components': [1, 2], 'at': [1, 1]}, {'magnitude': 5, 'direction': {'bearing': 'N3E'},"
         " 'at': 'M'}], 'couples': [{'moment': 5}], 'distributed_loads': [{'from': 'A', 'to': 'M',"
         " 'intensity': 3}]}"},
        {"equilibrium", "{'bodies': {'AC': {'supports': [{'kind': 'pin', 'at': [0, 0]}], 'forces': "
                        "[{'mass': 2, 'at': [1, 1]}, "
                        "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 3}, 'at': "
                        "[1, 2]}]}, 'CB': {'forces': "
                        "[{'magnitude': {'same_as': 'T'}, 'direction': {'angle': 5}, 'at': [1, "
                        "3]}]}}, 'pins': [{'at': [2, 2], "
                        "'joins': ['AC', 'CB']}]}"},
        {"truss-joint", "{'joint': 'B', 'members': [{'name': 'BA', 'direction': {'angle': 3}}], "
                        "'forces': [{'mass': 3}]}"},
        {"truss", "{'joints': {'A': [0, 0], 'B1': [1, 0], 'C': [0, 1]}, 'members': [['A', 'B1'], "
                  "['B1', 'C']], 'supports': "
                  "[{'kind': 'pin', 'at': 'A'}], 'loads': [{'mass': 2, 'at': 'C'}], 'section': "
                  "{'cut': ['A-B1']}}"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct decoded r = decode_well(rows[i].kind, rows[i].request);
        r.code = PROBLEM_OVERLOADED;
        size_t refused = 0;
        for (size_t cap = 256; r.code != PROBLEM_NONE; cap += 64, refused++) {
            struct arena *arena = arena_new(cap);
            problem_init(&r.problem, r.arena);
            decode_in(&r, arena, rows[i].kind);
            if (r.code != PROBLEM_NONE)
                assert_int_equal(r.code, PROBLEM_OVERLOADED);
            assert_true(cap < 1 << 17);
            arena_free(arena);
        }
        assert_true(refused > 10);
        done(&r);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_force_as_typed),
        cmocka_unit_test(test_weight),
        cmocka_unit_test(test_mass_unit_follows_force_unit),
        cmocka_unit_test(test_answer_fed_back),
        cmocka_unit_test(test_direction_angle),
        cmocka_unit_test(test_direction_slope_axis_vector_line),
        cmocka_unit_test(test_direction_angles),
        cmocka_unit_test(test_direction_azimuth),
        cmocka_unit_test(test_direction_bearing),
        cmocka_unit_test(test_bearing_beside_radians),
        cmocka_unit_test(test_radian_decimals),
        cmocka_unit_test(test_units),
        cmocka_unit_test(test_default_units),
        cmocka_unit_test(test_couples),
        cmocka_unit_test(test_distributed_loads),
        cmocka_unit_test(test_points),
        cmocka_unit_test(test_about),
        cmocka_unit_test(test_along_onto),
        cmocka_unit_test(test_up),
        cmocka_unit_test(test_default_names),
        cmocka_unit_test(test_default_names_give_way),
        cmocka_unit_test(test_many_names),
        cmocka_unit_test(test_plane_or_space),
        cmocka_unit_test(test_unknown_forces),
        cmocka_unit_test(test_required_resultant),
        cmocka_unit_test(test_supports_in_the_plane),
        cmocka_unit_test(test_supports_in_space),
        cmocka_unit_test(test_support_names),
        cmocka_unit_test(test_bodies_and_pins),
        cmocka_unit_test(test_particle),
        cmocka_unit_test(test_truss_joint),
        cmocka_unit_test(test_truss),
        cmocka_unit_test(test_truss_with_long_names),
        cmocka_unit_test(test_large_truss),
        cmocka_unit_test(test_endpoints),
        cmocka_unit_test(test_misshapen_is_internal),
        cmocka_unit_test(test_no_memory),
    };
    return cmocka_run_group_tests(tests, compile_schemas, free_schemas);
}
