/* test_check_large.c: answers to problems too large for all that marking does: what was left out is
 * said, and the numbers are marked all the same. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "marked.h"

#include "oracle/solve.h"

static char problem[60000], request[160000];

/* A row of triangles, 2 m each, a pin at L0, a roller at the other end, one load. */
static void write_row(int panels)
{
    size_t n = 0;
#define PUT(...) n += (size_t)snprintf(problem + n, sizeof problem - n, __VA_ARGS__)
    PUT("\"joints\": {\"L0\": [0, 0]");
    for (int i = 0; i < panels; i++)
        PUT(", \"U%d\": [%d, 1.5], \"L%d\": [%d, 0]", i, 2 * i + 1, i + 1, 2 * i + 2);
    PUT("}, \"members\": [[\"L0\", \"L1\"]");
    for (int i = 0; i < panels; i++) {
        PUT(", [\"L%d\", \"U%d\"], [\"U%d\", \"L%d\"]", i, i, i, i + 1);
        if (i > 0)
            PUT(", [\"L%d\", \"L%d\"], [\"U%d\", \"U%d\"]", i, i + 1, i - 1, i);
    }
    PUT("], \"supports\": [{\"at\": \"L0\", \"kind\": \"pin\"}, {\"at\": \"L%d\", \"kind\": "
        "\"roller\"}], \"loads\": [{\"name\": \"P\", \"at\": \"L%d\", \"components\": [3.1, "
        "-21.7]}]",
        panels, panels / 3);
#undef PUT
}

/* The forces of its members, in order; how many. */
struct member_force {
    char name[24];
    double force;
};

static int forces_of(struct member_force *ret, int room)
{
    struct solved s;
    int count = 0;
    snprintf(request, sizeof request, "{%s, \"working\": false}", problem);
    assert_int_equal(solve(&s, "/v1/truss", request), PROBLEM_NONE);
    for (const struct value *m = present(s.work.answer, "members")->child; m; m = m->next) {
        assert_true(count < room);
        snprintf(ret[count].name, sizeof ret->name, "%s", present(m, "name")->text);
        ret[count++].force = q_value(&s.work, present(m, "force")->scalar);
    }
    solved_free(&s);
    return count;
}

/* Hand in the first `count` of them. */
static void check(struct solved *s, const struct member_force *forces, int count)
{
    size_t n = (size_t)snprintf(request, sizeof request,
                                "{\"problem\": {\"kind\": \"truss\", %s}, \"answer\": "
                                "{\"members\": [",
                                problem);
    for (int i = 0; i < count; i++)
        n += (size_t)snprintf(request + n, sizeof request - n,
                              "%s{\"name\": \"%s\", \"force\": %.10g}", i ? ", " : "",
                              forces[i].name, forces[i].force);
    snprintf(request + n, sizeof request - n, "]}}");
    assert_int_equal(solve(s, "/v1/check", request), PROBLEM_NONE);
}

static bool has_note(const struct solved *s, const char *code)
{
    for (uint32_t i = 0; i < s->work.note_count; i++)
        if (strcmp(s->work.note[i].code, code) == 0)
            return true;
    return false;
}

static int given(const struct solved *s)
{
    return present(present(s->work.answer, "score"), "given")->count;
}

static struct member_force force[500];

static void test_mistakes_of_a_large_truss_are_not_looked_for(void **state)
{
    struct solved s;
    (void)state;
    for (int is_large = 0; is_large < 2; is_large++) {
        write_row(is_large ? 70 : 4);
        forces_of(force, 500);
        force[1].force *= -1; /* tension for compression */
        check(&s, force, 3);
        assert_int_equal(given(&s), 2);
        assert_int_equal(has_note(&s, "mistakes-not-looked-for"), is_large);
        assert_false(has_note(&s, "mistake-not-named")); /* nobody looked, or it was found */
        assert_int_equal(present(s.work.answer, "mistakes")->child == NULL, is_large);
        solved_free(&s);
    }
}

static void test_beyond_a_hand_there_is_the_floor(void **state)
{
    struct solved s;
    double largest = 0;
    (void)state;
    write_row(110);
    int count = forces_of(force, 500);
    for (int i = 0; i < count; i++)
        largest = fmax(largest, fabs(force[i].force));
    const double right = force[1].force;
    assert_true(fabs(right) < 0.1 * largest);
    for (int is_off = 0; is_off < 2; is_off++) {
        force[1].force = right + (is_off ? 0.0051 : 0.0049) * largest;
        check(&s, force, 2);
        assert_int_equal(given(&s), 2 - is_off);
        assert_true(has_note(&s, "allowance-is-floor"));
        solved_free(&s);
    }
    write_row(4);
    forces_of(force, 500);
    check(&s, force, 2);
    assert_false(has_note(&s, "allowance-is-floor"));
    solved_free(&s);
}

/* Two hundred numbers are followed, one more is not. */
static void test_a_long_sheet_is_followed_so_far(void **state)
{
    struct solved s;
    (void)state;
    write_row(60);
    assert_true(forces_of(force, 500) > 210);
    force[0].force *= 1.3;
    for (int count = 200; count <= 201; count++) {
        check(&s, force, count);
        assert_int_equal(given(&s), count - 1);
        assert_int_equal(has_note(&s, "not-all-followed"), count > 200);
        solved_free(&s);
    }
    force[0].force /= 1.3;
    check(&s, force, 201); /* nothing is wrong: nothing is to be followed */
    assert_false(has_note(&s, "not-all-followed"));
    solved_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_mistakes_of_a_large_truss_are_not_looked_for),
        cmocka_unit_test(test_beyond_a_hand_there_is_the_floor),
        cmocka_unit_test(test_a_long_sheet_is_followed_so_far),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
