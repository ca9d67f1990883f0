/* test_faults_meaning.c: what has no meaning is refused where it stands, every fault at once, in
 * words that say what would be right. */
#include "decoding.h"

#include <stdio.h>

#define FAULTS 6
#define WORDS 4

struct expected {
    const char *pointer;
    enum fault_code code;
    const char *words[WORDS]; /* all stand in the detail */
};

struct row {
    const char *kind, *request;
    struct expected fault[FAULTS];
    bool schema_refuses; /* the schema reports it already: here is the second line of defence */
};

/* A detail is a sentence for a person: nothing left unfilled, nothing cut short. */
static void assert_reads_well(const char *detail)
{
    size_t length = strlen(detail);
    assert_true(length > 20 && length < 400);
    assert_true(detail[length - 1] == '.' || detail[length - 1] == '?');
    assert_null(strstr(detail, "(null)"));
    assert_null(strstr(detail, "  "));
    assert_null(strchr(detail, '%'));
    assert_null(strstr(detail, " ."));
    assert_null(strstr(detail, ".."));
}

static void check_row(const struct row *row)
{
    struct decoded r = decode(row->kind, row->request);
    size_t count = 0;
    while (count < FAULTS && row->fault[count].pointer != NULL)
        count++;
    if ((r.schema_code != PROBLEM_NONE) != row->schema_refuses)
        fail_msg("the schema %s: %s", row->schema_refuses ? "lets it by" : "refuses it",
                 row->request);
    if (r.code != PROBLEM_INVALID_REQUEST)
        fail_msg("%d, %s: %s", r.code, r.problem.detail, row->request);
    for (size_t i = 0; i < count; i++) {
        const struct expected *e = &row->fault[i];
        const struct fault *found = NULL;
        for (size_t k = 0; k < r.problem.fault_count; k++)
            if (r.problem.faults[k].code == e->code &&
                strcmp(r.problem.faults[k].pointer, e->pointer) == 0)
                found = &r.problem.faults[k];
        if (found == NULL) {
            for (size_t k = 0; k < r.problem.fault_count; k++)
                print_error("%s: %s: %s\n", r.problem.faults[k].pointer,
                            fault_row(r.problem.faults[k].code)->name, r.problem.faults[k].detail);
            fail_msg("no fault %s at %s: %s", fault_row(e->code)->name, e->pointer, row->request);
        }
        assert_reads_well(found->detail);
        for (size_t k = 0; k < WORDS && e->words[k] != NULL; k++)
            if (strstr(found->detail, e->words[k]) == NULL)
                fail_msg("\"%s\" does not say \"%s\"", found->detail, e->words[k]);
    }
    if (r.problem.faults_found != count) {
        for (size_t k = 0; k < r.problem.fault_count; k++)
            print_error("%s: %s: %s\n", r.problem.faults[k].pointer,
                        fault_row(r.problem.faults[k].code)->name, r.problem.faults[k].detail);
        fail_msg("%zu faults, not %zu: %s", r.problem.faults_found, count, row->request);
    }
    done(&r);
}

#define CHECK_ROWS(rows)                                                                           \
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)                                      \
    check_row(&rows[i])

/* ---- units ---- */

static void test_units(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'points': {'A': [{'value': 2.5, 'unit': 'kN'}, 3]}, 'couples': [{'moment': 5}]}",
         {{"/points/A/0/unit",
           FAULT_UNIT,
           {"kN is no unit of length", "use mm, cm, m, km, in, ft."}}},
         true},
        {"resultant",
         "{'forces': [{'magnitude': {'value': 2.5, 'unit': 'Nm'}, 'direction': {'angle': 3}}]}",
         {{"/forces/0/magnitude/unit",
           FAULT_UNIT,
           {"Nm is no unit of force", "use N, kN, MN, lb, kip, kgf."}}},
         true},
        {"resultant",
         "{'couples': [{'moment': {'value': 2.5, 'unit': 'kN/m'}}]}",
         {{"/couples/0/moment/unit", FAULT_UNIT, {"kN/m is no unit of moment", "kN·m"}}},
         true},
        {"resultant",
         "{'distributed_loads': [{'from': [0, 0], 'to': [1, 0], 'intensity': {'value': 2, 'unit': "
         "'kN*m'}}]}",
         {{"/distributed_loads/0/intensity/unit",
           FAULT_UNIT,
           {"kN*m is no unit of load intensity", "kN/m"}}},
         true},
        {"resolve",
         "{'force': {'magnitude': 2, 'direction': {'angle': {'value': 2, 'unit': 'grad'}}}}",
         {{"/force/direction/angle/unit",
           FAULT_UNIT,
           {"grad is no unit of angle", "use deg, rad."}}},
         true},
        {"resolve",
         "{'force': {'mass': {'value': 2, 'unit': 'lb'}, 'g': {'value': 9.8, 'unit': 'm/s'}}}",
         {{"/force/mass/unit", FAULT_UNIT, {"lb is no unit of mass", "use g, kg, Mg, slug."}},
          {"/force/g/unit", FAULT_UNIT, {"m/s is no unit of acceleration", "m/s²", "ft/s²"}}},
         true},
        {"resolve",
         "{'units': {'force': 'm', 'length': 'N', 'angle': 'gon'}, 'force': {'mass': 2}}",
         {{"/units/force", FAULT_UNIT, {"m is no unit of force"}},
          {"/units/length", FAULT_UNIT, {"N is no unit of length"}},
          {"/units/angle", FAULT_UNIT, {"gon is no unit of angle"}}},
         true},
    };
    CHECK_ROWS(rows);
}

/* ---- places ---- */

static void test_unknown_places(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'forces': [{'components': [3, 4], 'at': 'A'}]}",
         {{"/forces/0/at", FAULT_UNKNOWN_PLACE, {"no point A", "Give it in points"}}},
         false},
        {"resultant",
         "{'points': {'A': [1, 2], 'B': [3, 1]}, 'forces': [{'components': [3, 4], 'at': 'Q'}]}",
         {{"/forces/0/at", FAULT_UNKNOWN_PLACE, {"no point Q. The points are A, B."}}},
         false},
        {"resultant", /* a place without a name is no suggestion */
         "{'points': {'A': [1, 2]}, 'forces': [{'components': [3, 4], 'at': [5, 5]}, "
         "{'components': [3, 4], 'at': 'Q'}]}",
         {{"/forces/1/at", FAULT_UNKNOWN_PLACE, {"no point Q. The points are A."}}},
         false},
        {"resultant",
         "{'points': {'Mast': [1, 2], 'B': [3, 1]}, 'forces': [{'components': [3, 4], 'at': "
         "'mast'}]}",
         {{"/forces/0/at", FAULT_UNKNOWN_PLACE, {"no point mast; did you mean Mast?"}}},
         false},
        {"resultant",
         "{'points': {'anchor1': [1, 2], 'anchor2': [3, 1]}, 'couples': [{'moment': 4, 'at': "
         "'ancohr2'}]}",
         {{"/couples/0/at", FAULT_UNKNOWN_PLACE, {"did you mean anchor2?"}}},
         false},
        {"resultant",
         "{'points': {'A': [1, 2], 'B': [3, 1]}, 'about': 'A2', 'couples': [{'moment': 4}]}",
         {{"/about", FAULT_UNKNOWN_PLACE, {"no point A2; did you mean A?"}}},
         false},
        {"resultant",
         "{'points': {'A': [1, 2], 'M': {'between': ['A', 'X'], 'fraction': 0.5},"
         "'N': {'from': 'Y', 'distance': 2, 'direction': {'line': ['A', 'Z']}}},"
         "'distributed_loads': [{'from': 'A', 'to': 'W', 'intensity': 3}]}",
         {{"/points/M/between/1", FAULT_UNKNOWN_PLACE, {"no point X"}},
          {"/points/N/from", FAULT_UNKNOWN_PLACE, {"no point Y"}},
          {"/points/N/direction/line/1", FAULT_UNKNOWN_PLACE, {"no point Z"}},
          {"/distributed_loads/0/to", FAULT_UNKNOWN_PLACE, {"no point W", "A, M, N."}}},
         false},
        {"resultant",
         "{'points': {'B1': [1, 2], 'B2': [1, 2], 'B3': [1, 2], 'B4': [1, 2], 'B5': [1, 2], 'B6':"
         " [1, 2], 'B7': [1, 2], 'B8': [1, 2], 'B9': [1, 2]}, 'couples': [{'moment': 4, 'at': "
         "'Quay'}]}",
         {{"/couples/0/at",
           FAULT_UNKNOWN_PLACE,
           {"The points are B1, B2, B3, B4, B5, B6, B7, B8, …."}}},
         false},
    };
    CHECK_ROWS(rows);
}

static void test_circular_points(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resolve",
         "{'force': {'components': [3, 4]}, 'points': {'A': {'between': ['A', [1, 2]], 'fraction': "
         "0.5}}}",
         {{"/points/A", FAULT_CIRCULAR_PLACE, {"A is defined by A"}}},
         false},
        {"resolve",
         "{'force': {'components': [3, 4]}, 'points': {'O': [0, 0], 'C': {'between': ['O', 'D'], "
         "'fraction': 0.5},"
         "'D': {'from': 'E', 'distance': 2, 'direction': {'angle': 20}},"
         "'E': {'from': 'O', 'distance': 2, 'direction': {'line': ['O', 'C']}},"
         "'F': {'from': 'E', 'distance': 2, 'direction': {'line': ['O', 'C']}}}}",
         {{"/points/C",
           FAULT_CIRCULAR_PLACE,
           {"C is defined by D, that by E, that by C", "coordinates"}}},
         false},
        {"resolve", /* met from outside, named from the one that is given first */
         "{'force': {'components': [3, 4]}, 'points': {'A': {'between': ['C', [1, 2]], 'fraction': "
         "0.5},"
         "'B': {'between': ['C', [1, 2]], 'fraction': 0.5}, 'C': {'between': ['B', [1, 2]], "
         "'fraction': 0.5}}}",
         {{"/points/B", FAULT_CIRCULAR_PLACE, {"B is defined by C, that by B"}}},
         false},
        {"resolve", /* two circles; a diamond that is none */
         "{'force': {'components': [3, 4]}, 'points': {'A': {'between': ['B', [1, 2]], 'fraction': "
         "0.5},"
         "'B': {'between': [[1, 1], 'A'], 'fraction': 0.5},"
         "'P': {'between': ['Q', 'S'], 'fraction': 0.5}, 'Q': {'between': ['T', 'S'], 'fraction': "
         "0.5},"
         "'S': {'between': ['T', 'T'], 'fraction': 0.5}, 'T': [1, 1],"
         "'Y': {'from': 'X', 'distance': 1, 'direction': {'axis': '+x'}},"
         "'X': {'from': 'Y', 'distance': 1, 'direction': {'axis': '-x'}}}}",
         {{"/points/A", FAULT_CIRCULAR_PLACE, {"A is defined by B, that by A"}},
          {"/points/Y", FAULT_CIRCULAR_PLACE, {"Y is defined by X, that by Y"}}},
         false},
    };
    CHECK_ROWS(rows);
}

/* A chain as long as the list is no circle, and needs no deep stack. */
static void test_long_chain_of_points(void **state)
{
    (void)state;
    enum { COUNT = LIMIT_POINTS };
    for (int closed = 0; closed < 2; closed++) {
        char *text = malloc(80 * COUNT), *end = text;
        end += sprintf(end, "{'force': {'components': [3, 4]}, 'points': {");
        for (int i = 0; i < COUNT - 1; i++)
            end +=
                sprintf(end, "'P%d': {'between': ['P%d', [1, 2.5]], 'fraction': 0.5}, ", i, i + 1);
        sprintf(end,
                closed ? "'P%d': {'between': ['P500', [1, 2]], 'fraction': 2}}}"
                       : "'P%d': [7, 8]}}",
                COUNT - 1);
        if (closed) {
            struct decoded r = decode("resolve", text);
            assert_int_equal(r.code, PROBLEM_INVALID_REQUEST);
            assert_int_equal(r.problem.fault_count, 1);
            assert_string_equal(r.problem.faults[0].pointer, "/points/P500");
            assert_reads_well(r.problem.faults[0].detail);
            assert_non_null(strstr(r.problem.faults[0].detail, "and so on"));
            done(&r);
        } else {
            struct decoded r = decode_well("resolve", text);
            done(&r);
        }
        free(text);
    }
}

static void test_places_of_forces(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'forces': [{'name': 'P', 'components': [3, 4], 'at': [1, 2]}, {'name': 'Q', "
         "'components': [3, 4]},"
         "{'components': [3, 5], 'at': [1, 0]}]}",
         {{"/forces/1", FAULT_PLACES, {"Force Q has no place", "`at`"}}},
         false},
        {"resultant",
         "{'forces': [{'name': 'P', 'components': [3, 4]}, {'name': 'Q', 'components': [3, 4]},"
         "{'components': [3, 5], 'at': [1, 0]}]}",
         {{"/forces/2/at", FAULT_PLACES, {"Force F3 has a place", "`at`"}}},
         false},
        {"resultant",
         "{'forces': [{'name': 'P', 'components': [3, 4], 'at': [1, 2]}, {'name': 'Q', "
         "'components': [3, 4]}]}",
         {{"/forces/1", FAULT_PLACES, {"Force Q has no place"}}},
         false},
        {"resultant",
         "{'forces': [{'name': 'P', 'components': [3, 4]}, {'mass': 3}], 'distributed_loads': "
         "[{'from': [0, 0],"
         "'to': [1, 0], 'intensity': 2}]}",
         {{"/forces/0", FAULT_PLACES, {"Force P has no place", "distributed load"}},
          {"/forces/1", FAULT_PLACES, {"Force F2 has no place", "distributed load"}}},
         false},
        {"resultant",
         "{'forces': [{'components': [3, 4]}, {'components': [3, 5]}], 'about': [1, 2]}",
         {{"/about", FAULT_PLACES, {"No force has a place", "`at`"}}},
         false},
        {"resultant", /* an unknown place is a place */
         "{'forces': [{'components': [3, 4], 'at': 'A'}, {'components': [3, 5], 'at': [1, 2]}], "
         "'about': [1, 2]}",
         {{"/forces/0/at", FAULT_UNKNOWN_PLACE, {"no point A"}}},
         false},
        {"resultant",
         "{}",
         {{"", FAULT_NOTHING_GIVEN, {"no load", "forces, couples or distributed_loads"}}},
         false},
        {"resultant",
         "{'forces': [], 'couples': [], 'distributed_loads': [], 'points': {'A': [1, 2]}}",
         {{"", FAULT_NOTHING_GIVEN, {"no load"}}},
         false},
        {"resultant",
         "{'points': {'A': [1, 2]}, 'distributed_loads': [{'from': 'A', 'to': 'A', 'intensity': "
         "3}]}",
         {{"/distributed_loads/0/to",
           FAULT_ZERO_LENGTH,
           {"begins and ends at A", "two different ends"}}},
         false},
        {"resultant",
         "{'points': {'A': [1, 2, 3]}, 'couples': [{'moment': [1, 2, 3]}], 'about': {'line': ['A', "
         "'A']}}",
         {{"/about/line", FAULT_ZERO_LENGTH, {"two different places", "A"}}},
         false},
    };
    CHECK_ROWS(rows);
}

/* ---- names ---- */

static void test_names_used_twice(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'forces': [{'name': 'P', 'components': [3, 4]}, {'name': 'P', 'components': [3, 4]}]}",
         {{"/forces/1/name", FAULT_NAME_TWICE, {"The name P stands at /forces/0 already"}}},
         false},
        {"resultant",
         "{'couples': [{'name': 'w', 'moment': 3}, {'name': 'P', 'moment': 2}], 'forces': "
         "[{'name': 'P', 'components':"
         " [3, 4], 'at': [0, 0]}], 'distributed_loads': [{'name': 'w', 'from': [0, 0], 'to': [1, "
         "0], 'intensity': 2}]}",
         {{"/couples/1/name", FAULT_NAME_TWICE, {"P", "/forces/0"}},
          {"/distributed_loads/0/name", FAULT_NAME_TWICE, {"w", "/couples/0"}}},
         false},
    };
    CHECK_ROWS(rows);
}

/* ---- plane and space ---- */

static void test_mixed_dimensions(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'points': {'A': [0, 0], 'B': [4, 3], 'C': [1, 2, 3]}, 'couples': [{'moment': 3}]}",
         {{"/points/C", FAULT_MIXED_DIMENSIONS, {"Three numbers", "in the plane", "x and y"}}},
         false},
        {"resultant",
         "{'points': {'A': [0, 0, 1], 'B': [4, 3], 'C': [1, 2, 3]}, 'couples': [{'moment': [3, 0, "
         "1]}]}",
         {{"/points/B", FAULT_MIXED_DIMENSIONS, {"Two numbers", "in space", "x, y and z"}}},
         false},
        {"resultant",
         "{'forces': [{'components': [1, 2, 3]}, {'components': [3, 2]}, {'components': [2, 2]}]}",
         {{"/forces/0/components", FAULT_MIXED_DIMENSIONS, {"Three numbers"}}},
         false},
        {"resolve", /* even: the first given decides */
         "{'force': {'components': [1, 2, 3]}, 'onto': {'vector': [3, 4]}}",
         {{"/onto/vector", FAULT_MIXED_DIMENSIONS, {"Two numbers"}}},
         false},
        {"resolve", /* even, but an angle is of the plane */
         "{'force': {'magnitude': 3, 'direction': {'angle': 30.5}, 'at': [1, 2, 3]}, 'onto': "
         "{'vector': [3, 4]}}",
         {{"/force/at", FAULT_MIXED_DIMENSIONS, {"Three numbers"}}},
         false},
        {"resultant", /* the two odd ones of five */
         "{'points': {'A': [0, 0, 1], 'B': [4, 3], 'C': [1, 2, 3], 'D': [5, 5]}, 'forces': "
         "[{'magnitude': 2,"
         "'direction': {'line': ['A', 'C']}, 'at': [7, 8, 9]}]}",
         {{"/points/B", FAULT_MIXED_DIMENSIONS, {"Two numbers"}},
          {"/points/D", FAULT_MIXED_DIMENSIONS, {"Two numbers"}}},
         false},
    };
    CHECK_ROWS(rows);
}

static void test_plane_only(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'forces': [{'magnitude': 3, 'direction': {'angle': 30.5}, 'at': [1, 2, 3]}]}",
         {{"/forces/0/direction/angle",
           FAULT_PLANE_ONLY,
           {"in space", "from which half-axis toward which", "direction_angles"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2, 3]}, 'onto': {'slope': {'run': 3, 'rise': 4}}}",
         {{"/onto/slope", FAULT_PLANE_ONLY, {"slope triangle", "in space", "vector"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2, 3]}, 'onto': {'bearing': 'N30E'}}",
         {{"/onto/bearing", FAULT_PLANE_ONLY, {"bearing", "azimuth with elevation"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2, 3]}, 'onto': {'angle': 12, 'from': '-x', 'turn': "
         "'clockwise'}}",
         {{"/onto/angle", FAULT_PLANE_ONLY, {"toward"}}},
         false},
        {"resultant",
         "{'couples': [{'moment': 12.5}], 'points': {'A': [1, 2, 3], 'B': [1, 2, 3]}}",
         {{"/couples/0/moment", FAULT_PLANE_ONLY, {"in space", "[0, 0, 12.5]"}}},
         false},
        {"resultant",
         "{'couples': [{'moment': [1, 2, 5], 'turn': 'clockwise'}]}",
         {{"/couples/0/turn", FAULT_PLANE_ONLY, {"Clockwise", "leave out"}}},
         false},
        {"resultant", /* one axis of z says space */
         "{'forces': [{'magnitude': 3, 'direction': {'axis': '-z'}}, {'magnitude': 3, 'direction': "
         "{'bearing': 'N'}}]}",
         {{"/forces/1/direction/bearing", FAULT_PLANE_ONLY, {"bearing"}}},
         false},
    };
    CHECK_ROWS(rows);
}

static void test_space_only(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'forces': [{'magnitude': 3, 'direction': {'axis': '-z'}, 'at': [1, 2]}, {'components': "
         "[1, 2], 'at': [2, 3]}]}",
         {{"/forces/0/direction/axis",
           FAULT_SPACE_ONLY,
           {"-z is an axis of space", "in the plane", "+y"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2]}, 'points': {'A': [1, 2]}, 'onto': {'azimuth': 30, "
         "'elevation': 10}}",
         {{"/onto/azimuth",
           FAULT_SPACE_ONLY,
           {"Azimuth and elevation", "in the plane", "an angle"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2]}, 'onto': {'direction_angles': {'alpha': 60, 'beta': 50, "
         "'gamma': 'acute'}}}",
         {{"/onto/direction_angles", FAULT_SPACE_ONLY, {"Direction angles", "in the plane"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2]}, 'up': '+z'}",
         {{"/up", FAULT_SPACE_ONLY, {"+z"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2]}, 'onto': {'angle': 10, 'from': '+x', 'toward': '+z'}}",
         {{"/onto/toward", FAULT_SPACE_ONLY, {"+z"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2]}, 'along': {'u': {'axis': '+x'}, 'v': {'angle': 60}, "
         "'w': {'axis': '+y'}}}",
         {{"/along/w", FAULT_SPACE_ONLY, {"two axes", "leave out w"}}},
         false},
        {"resultant",
         "{'forces': [{'components': [1, 2], 'at': [0, 0]}], 'about': {'line': [[0, 0], [1, 1]]}}",
         {{"/about/line", FAULT_SPACE_ONLY, {"line", "in the plane"}}},
         false},
        {"resultant",
         "{'distributed_loads': [{'from': [0, 0], 'to': [3, 4], 'intensity': 2, 'per': 'z'}]}",
         {{"/distributed_loads/0/per", FAULT_SPACE_ONLY, {"z is an axis of space"}}},
         false},
        {"resolve",
         "{'force': {'components': [1, 2, 3]}, 'along': {'u': {'axis': '+x'}, 'v': {'axis': "
         "'+y'}}}",
         {{"/along", FAULT_MISSING, {"three axes", "w"}}},
         false},
    };
    CHECK_ROWS(rows);
}

/* ---- directions ---- */

static void test_angle_axes(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'angle': 30, 'from': '+x', 'toward': '-x'}}}",
         {{"/force/direction/toward", FAULT_ANGLE_AXES, {"from +x", "toward -x", "square"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'angle': 30, 'from': '+y', 'toward': '+y'}}}",
         {{"/force/direction/toward", FAULT_ANGLE_AXES, {"from +y", "toward +y"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'azimuth': 30, 'elevation': 10, 'from': '-z'}}}",
         {{"/force/direction/from", FAULT_ANGLE_AXES, {"square to up", "the z axis"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'azimuth': 30, 'elevation': 10, 'from': '+z', "
         "'toward': '+x'}}, 'up': '+x'}",
         {{"/force/direction/toward", FAULT_ANGLE_AXES, {"the x axis", "+y or -y"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'azimuth': 30, 'elevation': 10, 'up': '-y', "
         "'from': '+z', 'toward': '-z'}}}",
         {{"/force/direction/toward", FAULT_ANGLE_AXES, {"the y axis", "+x or -x"}}},
         false},
    };
    CHECK_ROWS(rows);
}

static void test_no_direction(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'slope': {'run': 0, 'rise': 0.0}}}}",
         {{"/force/direction/slope", FAULT_ZERO_DIRECTION, {"run 0 and rise 0", "vertical"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'vector': [0, -0, 0e5]}}}",
         {{"/force/direction/vector", FAULT_ZERO_DIRECTION, {"length 0", "not 0"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'line': ['A', 'A']}}, 'points': {'A': [1, 2]}}",
         {{"/force/direction/line", FAULT_ZERO_DIRECTION, {"from A to A", "two different places"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': null}}",
         {{"/force/direction", FAULT_NO_DIRECTION, {"components are all 0", "angle, slope, axis"}}},
         false},
        {"resolve",
         "{'force': {'components': [0, 1e-9], 'magnitude': 0, 'direction': null}}",
         {{"/force/direction", FAULT_NO_DIRECTION, {"components are all 0"}}},
         false},
        {"resolve",
         "{'force': {'components': [0, 0], 'magnitude': 0.5, 'direction': null}}",
         {{"/force/direction", FAULT_NO_DIRECTION, {"components are all 0"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': -26, 'direction': {'angle': 30}}}",
         {{"/force/magnitude",
           FAULT_NEGATIVE_MAGNITUDE,
           {"not negative", "reverse the direction"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': {'value': -26, 'unit': 'lb'}, 'direction': {'angle': 30}}}",
         {{"/force/magnitude", FAULT_NEGATIVE_MAGNITUDE, {"not negative"}}},
         false},
        {"resultant",
         "{'couples': [{'moment': -26, 'turn': 'clockwise'}]}",
         {{"/couples/0/moment",
           FAULT_NEGATIVE_MAGNITUDE,
           {"turn", "counter-clockwise is positive"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'direction_angles': {'alpha': 'acute', 'beta': "
         "'obtuse', 'gamma': 30}}}}",
         {{"/force/direction/direction_angles",
           FAULT_DIRECTION_ANGLES,
           {"Two of the direction angles are numbers"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'direction_angles': {'alpha': 'acute', 'beta': "
         "30}}}}",
         {{"/force/direction/direction_angles", FAULT_DIRECTION_ANGLES, {"only the third"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'direction_angles': {'alpha': 180.5, 'beta': "
         "-30, 'gamma': 'acute'}}}}",
         {{"/force/direction/direction_angles/alpha", FAULT_RANGE, {"between 0° and 180°"}},
          {"/force/direction/direction_angles/beta", FAULT_RANGE, {"between 0° and 180°"}}},
         false},
        {"resolve",
         "{'force': {'magnitude': 3, 'direction': {'azimuth': 12, 'elevation': 90.25}}}",
         {{"/force/direction/elevation", FAULT_RANGE, {"between -90°", "90°"}}},
         false},
        {"resolve",
         "{'units': {'angle': 'rad'}, 'force': {'magnitude': 3, 'direction': {'azimuth': 12, "
         "'elevation': -1.572}}}",
         {{"/force/direction/elevation", FAULT_RANGE, {"between -90°", "90°"}}},
         false},
    };
    CHECK_ROWS(rows);
}

/* ---- equilibrium ---- */

static void test_unknown_forces(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"equilibrium",
         "{'forces': [{'magnitude': {'same_as': 'T'}, 'direction': {'angle': 3}}]}",
         {{"/forces/0/magnitude/same_as", FAULT_UNKNOWN_NAME, {"no force T"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'T', 'magnitude': {'same_as': 'T'}, 'direction': {'angle': 3}}]}",
         {{"/forces/0/magnitude/same_as", FAULT_UNKNOWN_NAME, {"T", "itself", "unknown"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'T', 'magnitude': 12.5, 'direction': {'angle': 9}}, {'magnitude': "
         "{'same_as': 'T'}, 'direction': {'angle': 3}}]}",
         {{"/forces/1/magnitude/same_as", FAULT_UNKNOWN_NAME, {"magnitude of T is not unknown"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 9}}, {'name': "
         "'S', 'magnitude': {'same_as': 'T'}, 'direction':"
         " {'angle': 3}}, {'magnitude': {'same_as': 'S'}, 'direction': {'angle': 3}}]}",
         {{"/forces/2/magnitude/same_as", FAULT_UNKNOWN_NAME, {"S is itself", "name T"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 9}}, "
         "{'magnitude': {'same_as': 'T', 'times': 2}, 'times': 3,"
         " 'direction': {'angle': 3}}]}",
         {{"/forces/1/magnitude/times", FAULT_CHOICE, {"times stands twice"}}},
         false},
        {"equilibrium",
         "{'forces': [{'magnitude': 12, 'direction': {'angle': 3}, 'sense': 'pulls'}, "
         "{'magnitude': 'unknown', 'direction': 'unknown', 'sense': 'pushes'}]}",
         {{"/forces/0/sense", FAULT_FORBIDDEN, {"unknown magnitude", "given direction"}},
          {"/forces/1/sense", FAULT_FORBIDDEN, {"unknown magnitude", "given direction"}}},
         false},
        {"equilibrium",
         "{'forces': [{'components': [1, 2], 'magnitude': 'unknown', 'direction': 'unknown'}]}",
         {{"/forces/0/magnitude", FAULT_DISAGREE, {"components tell the magnitude"}},
          {"/forces/0/direction", FAULT_DISAGREE, {"components tell the direction"}}},
         false},
        {"equilibrium",
         "{'forces': [{'magnitude': 'unknown', 'direction': null}]}",
         {{"/forces/0/direction", FAULT_NO_DIRECTION, {"components are all 0"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown'}], "
         "'required_resultant': {'components': [1, 2]}, 'smallest': 'G'}",
         {{"/smallest", FAULT_UNKNOWN_NAME, {"no force G"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'F', 'magnitude': 12, 'direction': 'unknown'}], "
         "'required_resultant': {'components': [1, 2]}, 'smallest': 'F'}",
         {{"/smallest", FAULT_DISAGREE, {"magnitude of F is given"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'F', 'magnitude': 12, 'direction': 'unknown'}], "
         "'required_resultant': {'magnitude': {'same_as': 'F'}, 'direction': {'angle': 2}}}",
         {{"/required_resultant/magnitude/same_as",
           FAULT_UNKNOWN_NAME,
           {"magnitude of F is not unknown"}}},
         false},
        {"equilibrium",
         "{}",
         {{"", FAULT_NOTHING_GIVEN, {"neither a load nor an unknown"}}},
         false},
        {"equilibrium",
         "{'bodies': {'AC': {}}}",
         {{"", FAULT_NOTHING_GIVEN, {"neither a load nor an unknown"}}},
         false},
    };
    CHECK_ROWS(rows);
}

static void test_supports(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"equilibrium",
         "{'points': {'A': [1, 2, 3], 'B': [2, 2, 2]}, 'supports': [{'kind': 'pin', 'at': 'A'}, "
         "{'kind': 'rocker', 'at': 'A'},"
         "{'kind': 'rough_surface', 'at': 'A'}, {'kind': 'collar', 'at': 'A', 'axis': {'axis': "
         "'+x'}}]}",
         {{"/supports/0/kind", FAULT_PLANE_ONLY, {"A pin", "in space", "ball_and_socket"}},
          {"/supports/1/kind", FAULT_PLANE_ONLY, {"rocker", "roller"}},
          {"/supports/2/kind", FAULT_PLANE_ONLY, {"rough surface", "smooth_surface"}},
          {"/supports/3/kind", FAULT_PLANE_ONLY, {"collar", "journal_bearing"}}},
         false},
        {"equilibrium",
         "{'points': {'A': [1, 2], 'B': [2, 2], 'C': [1, 1], 'D': [1, 3], 'E': [4, 4]}, "
         "'supports': [{'kind': 'ball_and_socket', 'at': 'A'},"
         "{'kind': 'journal_bearing', 'at': 'A', 'axis': {'axis': '+x'}}, {'kind': "
         "'thrust_bearing', 'at': 'A', 'axis': {'axis': '+x'}},"
         "{'kind': 'hinge', 'at': 'A', 'axis': {'axis': '+x'}}]}",
         {{"/supports/0/kind", FAULT_SPACE_ONLY, {"ball and socket", "in the plane", "pin"}},
          {"/supports/1/kind", FAULT_SPACE_ONLY, {"journal bearing", "collar"}},
          {"/supports/2/kind", FAULT_SPACE_ONLY, {"thrust bearing"}},
          {"/supports/3/kind", FAULT_SPACE_ONLY, {"hinge", "pin"}}},
         false},
        {"equilibrium",
         "{'supports': [{'kind': 'cable', 'at': 'A', 'direction': {'line': ['A', 'Mast']}}], "
         "'points': {'A': [1, 2], 'mast': [2, 2]}}",
         {{"/supports/0/direction/line/1",
           FAULT_UNKNOWN_PLACE,
           {"no point Mast; did you mean mast?"}}},
         false},
        {"equilibrium",
         "{'supports': [{'kind': 'roller', 'at': [1, 2], 'normal': {'vector': [0, 0]}}, {'kind': "
         "'pin', 'at': [2, 3], 'name': 'A'},"
         "{'kind': 'pin', 'at': [5, 5], 'name': 'A'}], 'forces': [{'name': 'A', 'components': [1, "
         "2], 'at': [1, 2]}]}",
         {{"/supports/0/normal/vector", FAULT_ZERO_DIRECTION, {"length 0"}},
          {"/supports/1/name", FAULT_NAME_TWICE, {"A", "/forces/0"}},
          {"/supports/2/name", FAULT_NAME_TWICE, {"A", "/forces/0"}}},
         false},
    };
    CHECK_ROWS(rows);
}

static void test_places_in_equilibrium(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"equilibrium",
         "{'forces': [{'components': [1, 2]}, {'components': [1, 2], 'at': [1, 2]}], 'supports': "
         "[{'name': 'A', 'kind': 'pin', 'at': [1, 2]}]}",
         {{"/forces/0", FAULT_PLACES, {"Force F1 has no place"}}},
         false},
        {"equilibrium",
         "{'forces': [{'components': [1, 2]}, {'components': [1, 2]}], 'supports': [{'name': 'A', "
         "'kind': 'pin', 'at': [1, 2]}]}",
         {{"/supports/0/at", FAULT_PLACES, {"Support A has a place"}}},
         false},
        {"equilibrium",
         "{'forces': [{'components': [1, 2]}], 'supports': [{'kind': 'fixed'}], 'couples': "
         "[{'moment': 3}]}",
         {{"/couples/0", FAULT_PLACES, {"Couple C1", "particle"}},
          {"/supports/0", FAULT_PLACES, {"Support A", "turning", "particle"}}},
         false},
        {"equilibrium",
         "{'forces': [{'components': [1, 2]}], 'supports': [{'kind': 'collar', 'axis': {'angle': "
         "3}, 'couples': true}]}",
         {{"/supports/0", FAULT_PLACES, {"turning"}}},
         false},
        {"equilibrium",
         "{'forces': [{'components': [1, 2]}], 'distributed_loads': [{'from': [0, 0], 'to': [1, "
         "1], 'intensity': 3}]}",
         {{"/forces/0", FAULT_PLACES, {"Force F1 has no place", "beside a distributed load"}}},
         false},
        {"equilibrium",
         "{'forces': [{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown', 'at': [1, 2]}, "
         "{'components': [1, 2], 'at': [0, 0]}],"
         " 'required_resultant': {'components': [1, 2]}}",
         {{"/required_resultant", FAULT_PLACES, {"required resultant", "no place"}}},
         false},
        {"equilibrium",
         "{'bodies': {'AC': {'supports': [{'kind': 'pin'}], 'forces': [{'components': [1, 2], "
         "'at': [1, 2]}]}}}",
         {{"/bodies/AC/supports/0",
           FAULT_PLACES,
           {"Support A has no place", "where bodies are given"}}},
         false},
    };
    CHECK_ROWS(rows);
}

static void test_bodies(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"equilibrium",
         "{'bodies': {'AC': {'supports': [{'kind': 'pin', 'at': [0, 0]}]}, 'CB': {}}, 'pins': "
         "[{'at': [1, 2], 'joins': ['AC', 'CD']},"
         "{'at': [3, 3], 'joins': ['BC', 'AC']}]}",
         {{"/pins/0/joins/1", FAULT_UNKNOWN_NAME, {"no body CD"}},
          {"/pins/1/joins/0", FAULT_UNKNOWN_NAME, {"no body BC (did you mean CB?)"}}},
         false},
        {"equilibrium",
         "{'bodies': {'AC': {'forces': [{'components': [1, 2], 'at': [0, 0]}]}}, 'forces': "
         "[{'components': [1, 2], 'at': [0, 0]}],"
         " 'supports': [{'kind': 'pin', 'at': [0, 0]}], 'required_resultant': {'components': [1, "
         "2], 'at': [1, 2]}}",
         {{"/forces", FAULT_FORBIDDEN, {"in the body"}},
          {"/supports", FAULT_FORBIDDEN, {"in the body"}},
          {"/required_resultant", FAULT_FORBIDDEN, {"leave it out"}}},
         false},
        {"equilibrium",
         "{'bodies': {'AC': {'forces': [{'name': 'P', 'components': [1, 2], 'at': [0, 0]}]}, 'CB': "
         "{'couples': [{'name': 'P', 'moment': 3}]}},"
         " 'pins': [{'name': 'P', 'at': [1, 2], 'joins': ['AC', 'CB']}]}",
         {{"/bodies/CB/couples/0/name", FAULT_NAME_TWICE, {"P", "/bodies/AC/forces/0"}},
          {"/pins/0/name", FAULT_NAME_TWICE, {"P", "/bodies/AC/forces/0"}}},
         false},
    };
    CHECK_ROWS(rows);
}

/* ---- trusses ---- */

static void test_truss_joint(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"truss-joint",
         "{'joint': 'B', 'members': [{'name': 'BA', 'direction': {'angle': 3}}, {'name': 'BA', "
         "'direction': {'angle': 5}}]}",
         {{"/members/1/name", FAULT_NAME_TWICE, {"BA", "/members/0"}}},
         false},
        {"truss-joint",
         "{'joint': 'B', 'points': {'C': [1, 2], 'B': [0, 0]}, 'members': [{'name': 'BA', "
         "'direction': {'line': ['B', 'A']}}],"
         " 'forces': [{'components': [1, 2], 'at': 'C'}, {'components': [1, 2], 'at': [1, 2]}, "
         "{'components': [1, 2], 'at': 'B'}]}",
         {{"/members/0/direction/line/1", FAULT_UNKNOWN_PLACE, {"no point A", "C, B"}},
          {"/forces/0/at", FAULT_PLACES, {"acts at joint B", "F1"}},
          {"/forces/1/at", FAULT_PLACES, {"acts at joint B", "F2"}}},
         false},
        {"truss-joint",
         "{'joint': 'B', 'members': [{'name': 'BA', 'direction': {'vector': [1, 2, 3]}}, {'name': "
         "'BC', 'direction': {'angle': 30}},"
         "{'name': 'BD', 'direction': {'axis': '+z'}}]}",
         {{"/members/1/direction/angle", FAULT_PLANE_ONLY, {"in space"}}},
         false},
    };
    CHECK_ROWS(rows);
}

#define JOINTS "'joints': {'A': [0, 0], 'B': [4.5, 0], 'C': [4, 3]}"

static void test_truss(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"truss",
         "{" JOINTS ", 'members': [['A', 'B'], ['B', 'D'], ['C', 'C'], ['b', 'A']]}",
         {{"/members/1/1", FAULT_UNKNOWN_PLACE, {"no joint D", "The joints are A, B, C."}},
          {"/members/2", FAULT_ZERO_LENGTH, {"joint C to itself"}},
          {"/members/3/0", FAULT_UNKNOWN_PLACE, {"no joint b; did you mean B?"}}},
         false},
        {"truss",
         "{" JOINTS ", 'members': [['A', 'B'], ['B', 'C'], ['B', 'A'], ['A', 'B']]}",
         {{"/members/2", FAULT_MEMBER_TWICE, {"A and B", "member 1"}},
          {"/members/3", FAULT_MEMBER_TWICE, {"A and B", "member 3"}}},
         false},
        {"truss",
         "{'joints': {'A': [0, 0], 'B': [4.50, 0], 'C': [4, 3], 'D': [45e-1, -0.0], 'E': [4.5, "
         "1e-30]}, 'members': [['A', 'B']]}",
         {{"/joints/D", FAULT_JOINTS_COINCIDE, {"Joint D", "joint B"}}},
         false},
        {"truss",
         "{'units': {'length': 'cm'}, 'joints': {'A': [0, 0, 1], 'B': [450, {'value': 10, 'unit': "
         "'cm'}, 2], 'C': [450, 10, 2], 'D':"
         " [450, 10, {'value': 2, 'unit': 'm'}]}, 'members': [['A', 'B']]}",
         {{"/joints/C", FAULT_JOINTS_COINCIDE, {"Joint C", "joint B"}}},
         false},
        {"truss",
         "{" JOINTS ", 'points': {'M': [1, 1], 'B': [2, 2]}, 'members': [['A', 'M']], 'loads': "
         "[{'components': [1, 2], 'at': 'M'}, {'components': [1, 2], 'at': 'Q'}],"
         " 'supports': [{'kind': 'pin', 'at': 'M'}]}",
         {{"/points/B", FAULT_NAME_TWICE, {"B is a joint already"}},
          {"/members/0/1", FAULT_UNKNOWN_PLACE, {"M is a point and no joint"}},
          {"/loads/0/at", FAULT_UNKNOWN_PLACE, {"M is a point and no joint"}},
          {"/loads/1/at", FAULT_UNKNOWN_PLACE, {"no joint Q"}},
          {"/supports/0/at", FAULT_UNKNOWN_PLACE, {"M is a point and no joint"}}},
         false},
        {"truss",
         "{" JOINTS ", 'members': [['A', 'B']], 'supports': [{'kind': 'pin', 'at': 'A'}, {'kind': "
         "'roller', 'at': 'A'}, {'kind': 'roller', 'at': 'B', 'name': 'A'}],"
         " 'loads': [{'name': 'A', 'components': [1, 2], 'at': 'C'}]}",
         {{"/supports/1", FAULT_MISSING, {"Joint A has another support at /supports/0", "name"}},
          {"/supports/2/name", FAULT_NAME_TWICE, {"A", "/supports/0"}},
          {"/loads/0/name", FAULT_NAME_TWICE, {"A", "/supports/0"}}},
         false},
        {"truss",
         "{" JOINTS ", 'members': [['A', 'B'], ['B', 'C']], 'section': {'cut': ['AC', 'AD', 'AB', "
         "'BA', 'X']}}",
         {{"/section/cut/0", FAULT_UNKNOWN_NAME, {"no member AC", "not joined"}},
          {"/section/cut/1", FAULT_UNKNOWN_NAME, {"no member AD", "two joints"}},
          {"/section/cut/3", FAULT_MEMBER_TWICE, {"AB", "once"}},
          {"/section/cut/4", FAULT_UNKNOWN_NAME, {"no member X"}}},
         false},
        {"truss",
         "{'joints': {'A': [0, 0, 1], 'B': [4.5, 0, 1], 'C': [4, 3, 3]}, 'members': [['A', 'B'], "
         "['B', 'C']], 'supports': [{'kind': 'pin', 'at': 'A'}],"
         " 'loads': [{'components': [1, 2], 'at': 'A'}]}",
         {{"/supports/0/kind", FAULT_PLANE_ONLY, {"ball_and_socket"}},
          {"/loads/0/components", FAULT_MIXED_DIMENSIONS, {"Two numbers"}}},
         false},
    };
    CHECK_ROWS(rows);
}

/* ---- all at once ---- */

static void test_every_fault_is_found(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {"resultant",
         "{'points': {'A': [0, 0], 'B': {'between': ['B', 'A'], 'fraction': 2}},"
         "'forces': [{'name': 'P', 'magnitude': -3, 'direction': {'slope': {'run': 0, 'rise': 0}}, "
         "'at': 'C'},"
         "{'name': 'P', 'components': [1, 2, 3], 'at': 'A'}, {'components': [1, 2]}]}",
         {{"/points/B", FAULT_CIRCULAR_PLACE, {"B is defined by B"}},
          {"/forces/0/magnitude", FAULT_NEGATIVE_MAGNITUDE, {"reverse"}},
          {"/forces/0/direction/slope", FAULT_ZERO_DIRECTION, {"slope"}},
          {"/forces/0/at", FAULT_UNKNOWN_PLACE, {"no point C", "A, B"}},
          {"/forces/1/name", FAULT_NAME_TWICE, {"P"}},
          {"/forces/1/components", FAULT_MIXED_DIMENSIONS, {"Three numbers"}}},
         false},
    };
    struct decoded r = decode(rows[0].kind, rows[0].request);
    assert_int_equal(r.problem.faults_found, 7); /* the seventh is the force without a place */
    bool found = false;
    for (size_t k = 0; k < r.problem.fault_count; k++)
        found = found || (r.problem.faults[k].code == FAULT_PLACES &&
                          strcmp(r.problem.faults[k].pointer, "/forces/2") == 0);
    assert_true(found);
    for (size_t i = 0; i < FAULTS; i++) {
        found = false;
        for (size_t k = 0; k < r.problem.fault_count; k++)
            found = found || (r.problem.faults[k].code == rows[0].fault[i].code &&
                              strcmp(r.problem.faults[k].pointer, rows[0].fault[i].pointer) == 0);
        assert_true(found);
    }
    done(&r);
}

/* More faults than a page holds are counted. */
static void test_many_faults(void **state)
{
    (void)state;
    char text[4000], *end = text;
    end += sprintf(end, "{'forces': [");
    for (int i = 0; i < 30; i++)
        end += sprintf(end, "%s{'magnitude': -2.5, 'direction': {'angle': 30.5}}", i ? "," : "");
    sprintf(end, "]}");
    struct decoded r = decode("resultant", text);
    assert_int_equal(r.code, PROBLEM_INVALID_REQUEST);
    assert_int_equal(r.problem.fault_count, PROBLEM_FAULTS_KEPT);
    assert_int_equal(r.problem.faults_found, 30);
    assert_string_equal(r.problem.faults[19].pointer, "/forces/19/magnitude");
    done(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_units),
        cmocka_unit_test(test_unknown_places),
        cmocka_unit_test(test_circular_points),
        cmocka_unit_test(test_long_chain_of_points),
        cmocka_unit_test(test_places_of_forces),
        cmocka_unit_test(test_names_used_twice),
        cmocka_unit_test(test_mixed_dimensions),
        cmocka_unit_test(test_plane_only),
        cmocka_unit_test(test_space_only),
        cmocka_unit_test(test_angle_axes),
        cmocka_unit_test(test_no_direction),
        cmocka_unit_test(test_unknown_forces),
        cmocka_unit_test(test_supports),
        cmocka_unit_test(test_places_in_equilibrium),
        cmocka_unit_test(test_bodies),
        cmocka_unit_test(test_truss_joint),
        cmocka_unit_test(test_truss),
        cmocka_unit_test(test_every_fault_is_found),
        cmocka_unit_test(test_many_faults),
    };
    return cmocka_run_group_tests(tests, compile_schemas, free_schemas);
}
