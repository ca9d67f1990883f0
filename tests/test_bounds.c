/* test_bounds.c: numbers of the most different sizes: what 30 digits cannot hold is refused at the
 * number that is farthest from the others, what they can is answered right. */
#include "solving.h"

#define LARGE_OR_SMALL                                                                             \
    "The numbers are so large or so small that their squares and quotients cannot be "             \
    "calculated: choose other units."
#define TOO_DIFFERENT                                                                              \
    "The numbers are so different in size, or the equations so nearly dependent, that 30 digits "  \
    "do not tell the answer: this is the number farthest from the others."

static void refused(void **state)
{
    static const struct {
        const char *kind, *request, *faults, *text;
    } rows[] = {
        /* 1e40 + 1 − 1e40: it is not zero, but which sign has it? */
        {"resultant",
         "{'forces': [{'components': [1e40, 2]}, {'components': [1, 2]}, {'components': [-1e40, "
         "3]}]}",
         "number-size at /forces/0/components/0", TOO_DIFFERENT},
        {"resolve", "{'force': {'magnitude': 2.5e293, 'direction': {'angle': 217}}}",
         "number-size at /force/magnitude", LARGE_OR_SMALL},
        /* squares that vanish, of components that don't */
        {"resolve", "{'force': {'components': [3e-200, 4.5e-200]}}",
         "number-size at /force/components/0", LARGE_OR_SMALL},
        {"equilibrium",
         "{'forces': [{'name': 'W', 'magnitude': 64, 'direction': {'axis': '-y'}, 'at': [1.7, 0]}, "
         "{'name': 'T', 'magnitude': 'unknown', 'direction': {'angle': 90}, 'at': [3.2, 1e100]}, "
         "{'name': 'V', 'magnitude': {'same_as': 'T'}, 'direction': {'angle': 125}, 'at': [4.4, "
         "0]}], 'supports': [{'name': 'A', 'kind': 'pin', 'at': [0, 0]}]}",
         "number-size at /forces/1/at/1", TOO_DIFFERENT},
        {"equilibrium",
         "{'forces': [{'name': 'P', 'components': [2.5, -9], 'at': [1.301, 1e300]}], 'supports': "
         "[{'name': 'A', 'kind': 'fixed', 'at': [0, 0]}, {'name': 'B', 'kind': 'roller', 'at': "
         "[4.6, 0.2]}]}",
         "number-size at /forces/0/at/1", LARGE_OR_SMALL},
        {"equilibrium",
         "{'forces': [{'name': 'W', 'mass': 840}, {'name': 'T', 'magnitude': 'unknown', "
         "'direction': {'slope': {'run': -1e150, 'rise': 1e-16}}}, {'name': 'J', 'magnitude': "
         "'unknown', 'direction': {'axis': '+x'}, 'sense': 'pushes'}]}",
         "number-size at /forces/1/direction/slope/run", LARGE_OR_SMALL},
        {"truss",
         "{'joints': {'A': [0, 0], 'B': [2.5, 0], 'C': [2.5, 3.8e195], 'D': [0, 1.5]}, 'members': "
         "[['A', 'B'], ['B', 'C'], ['C', 'D'], ['D', 'A']], 'supports': [{'at': 'A', 'kind': "
         "'pin'}, {'at': 'B', 'kind': 'roller'}], 'loads': [{'at': 'C', 'components': [0, -21]}]}",
         "number-size at /joints/C/1", LARGE_OR_SMALL},
        {"truss",
         "{'joints': {'A': [0, 0], 'B': [3e-234, 0], 'C': [1.2e-234, 2e-234]}, 'members': [['A', "
         "'B'], ['B', 'C'], ['C', 'A']], 'supports': [{'at': 'A', 'kind': 'pin'}, {'at': 'B', "
         "'kind': 'roller'}], 'loads': [{'at': 'C', 'components': [5, -2.1]}]}",
         "number-size at /joints/C/0", LARGE_OR_SMALL},
        {"truss-joint",
         "{'joint': 'T', 'members': [{'name': 'TA', 'direction': {'vector': [3e180, 4]}}, {'name': "
         "'TB', 'direction': {'vector': [-1, 2]}}], 'forces': [{'name': 'P', 'components': [217.5, "
         "-41]}]}",
         "number-size at /members/0/direction/vector/0", LARGE_OR_SMALL},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve(rows[i].kind, "%s", rows[i].request);
        if (s.code != PROBLEM_INVALID_REQUEST)
            fail_msg("row %zu: %d, %s", i, s.code, s.problem.detail);
        assert_string_equal(faults(&s), rows[i].faults);
        if (strcmp(fault_text(&s, 0), rows[i].text) != 0)
            fail_msg("row %zu: %s", i, fault_text(&s, 0));
        done(&s);
    }
}

#define IN_UNITS(e)                                                                                \
    "{'forces': [{'name': 'P', 'components': [1.5" e ", -2.5" e ", -6" e "], 'at': [2" e ", 1" e   \
    ", 3" e "]}], 'supports': [{'name': 'A', 'kind': 'ball_and_socket', 'at': [0, 0, 0]}, "        \
    "{'name': 'B', 'kind': 'cable', 'direction': {'vector': [2" e ", -3" e ", 6" e                 \
    "]}, 'at': [1" e ", 2" e ", 0]}, {'name': 'C', 'kind': 'cable', 'direction': {'vector': [-2" e \
    ", 1" e ", 2" e "]}, 'at': [3.5" e ", 0, 1" e                                                  \
    "]}, {'name': 'D', 'kind': 'link', 'direction': {'axis': '+y'}, 'at': [2" e ", 0, 4" e "]}]}"

/* The same body in its own unit of length and force, and in one far from it. */
static void scaled(void **state)
{
    static const struct {
        const char *request;
        double size;
    } rows[] = {{IN_UNITS("e0"), 1},
                {IN_UNITS("e90"), 1e90},
                {IN_UNITS("e-90"), 1e-90},
                {IN_UNITS("e-113"), 1e-113},
                {IN_UNITS("e142"), 1e142}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct solved s = solve("equilibrium", "%s", rows[i].request);
        assert_int_equal(s.code, PROBLEM_NONE);
        /* ΣM_A = 0: 12 b − c − 4 D = −1.5, −6 b − 9 c = −16.5, −7 b + 3.5 c + 2 D = 6.5 */
        assert_near(number_at(&s, "unknowns/3/parts/0/value") / rows[i].size, -12.5 / 36.0, 1e-11);
        done(&s);
    }
}

/* The numbers are there, but not how far they stray: it is the key that cannot be had. */
static void an_allowance_beyond_range(void **state)
{
    static const char request[] =
        "{'forces': [{'name': 'P', 'components': [1.2e95, -2.5, -6e-24], 'at': [2, 1, 3e68]}], "
        "'supports': [{'name': 'A', 'kind': 'journal_bearing', 'axis': {'vector': [2, 1e-32, "
        "2e-45]}, 'couples': true, 'at': [4e-114, 0, 0.3]}, {'name': 'B', 'kind': 'link', "
        "'direction': {'axis': '+z'}, 'at': [3, 0, 1e-10]}, {'name': 'C', 'kind': 'link', "
        "'direction': {'axis': '+x'}, 'at': [0, 2, 1e113]}]}";
    (void)state;
    for (int with_key = 0; with_key < 2; with_key++) {
        struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
        struct work w;
        struct problem p;
        work_init(&w, arena, solving_field[0]);
        problem_init(&p, arena);
        w.wants_key = with_key;
        enum problem_code code =
            work_out(&w, "equilibrium", read_json(arena, arena_printf(arena, "%s", request)), &p);
        assert_int_equal(code, with_key ? PROBLEM_INVALID_REQUEST : PROBLEM_NONE);
        assert_true(!with_key || p.faults[0].code == FAULT_NUMBER_SIZE);
        arena_free(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refused),
        cmocka_unit_test(scaled),
        cmocka_unit_test(an_allowance_beyond_range),
    };
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
