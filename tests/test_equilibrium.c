/* Bodies in equilibrium: every kind of support, every state, the order of the equations, what is
 * refused. Particles: test_particle.c; random bodies: test_equilibrium_exact.c. */
#include "solving.h"

/* ---- published ---- */

static void test_published_cases(void **state)
{
    (void)state;
    assert_int_equal(check_published("tests/cases/equilibrium/plane-bodies.json", "equilibrium"),
                     23);
    assert_int_equal(check_published("tests/cases/equilibrium/space-bodies.json", "equilibrium"),
                     3);
    assert_int_equal(check_published("tests/cases/equilibrium/joined-bodies.json", "equilibrium"),
                     7);
}

/* ---- kinds of supports ---- */

/* "A_x=3.5 A_y=-2": the parts of an entry as it stands in the answer. */
static const char *parts(struct solved *s, int unknown)
{
    struct buf b;
    buf_init(&b, s->arena, 4096);
    for (int k = 0; k < 6; k++) {
        const char *path = arena_printf(s->arena, "unknowns/%d/parts/%d/symbol", unknown, k);
        if (is_absent(s, path))
            break;
        const char *symbol = words_at(s, path);
        path = arena_printf(s->arena, "unknowns/%d/parts/%d/value", unknown, k);
        buf_puts(&b, k ? " " : "");
        if (is_null_at(s, path))
            buf_puts(&b, arena_printf(s->arena, "%s", symbol));
        else
            buf_puts(&b, arena_printf(s->arena, "%s=%.6g", symbol, number_at(s, path)));
    }
    return buf_text(&b);
}

struct kind_case {
    const char *support;  /* the one that is looked at */
    const char *others;   /* what else it takes to hold the body */
    const char *expected; /* by hand: P = (−3.5, −8) at (2, 1.5), the support at the origin */
};

/* The beam is held at the origin A by the support and by `others`. */
static void test_plane_kinds(void **state)
{
    static const struct kind_case cases[] = {
        /* ΣM_A: 2(−8) − 1.5(−3.5) = −10.75 */
        {"'kind': 'fixed'", "", "A_x=3.5 A_y=8 M_A=10.75"},
        {"'kind': 'pin'", ",{'kind': 'roller', 'at': [4, 0]}", "A_x=3.5 A_y=5.3125"},
        {"'kind': 'roller'", ",{'name': 'B', 'kind': 'pin', 'at': [4, 0]}", "A=5.3125"},
        {"'kind': 'rocker', 'normal': {'axis': '-y'}",
         ",{'name': 'B', 'kind': 'pin', 'at': [4, 0]}", "A=-5.3125"},
        /* Along the normal (−3, 4)/5: 5.3125/0.8, and the pin takes the rest. */
        {"'kind': 'smooth_surface', 'normal': {'slope': {'run': -3, 'rise': 4}}",
         ",{'name': 'B', 'kind': 'pin', 'at': [4, 0]}", "A=6.64062"},
        {"'kind': 'rough_surface'", ",{'name': 'B', 'kind': 'roller', 'at': [4, 0]}",
         "N_A=5.3125 F_A=3.5"},
        /* Normal +x, friction down: F = −5.3125. */
        {"'kind': 'rough_surface', 'normal': {'axis': '+x'}",
         ",{'name': 'B', 'kind': 'roller', 'at': [4, 0]}", "N_A=3.5 F_A=-5.3125"},
        {"'kind': 'link', 'direction': {'axis': '-y'}",
         ",{'name': 'B', 'kind': 'pin', 'at': [4, 0]}", "A=-5.3125"},
        {"'kind': 'cable', 'direction': {'vector': [0, 2.5]}",
         ",{'name': 'B', 'kind': 'pin', 'at': [4, 0]}", "A=5.3125"},
        /* The rod along (3, 4): square to it, turned counter-clockwise, (−0.8, 0.6). */
        {"'kind': 'collar', 'axis': {'vector': [3, 4]}",
         ",{'name': 'B', 'kind': 'pin', 'at': [4, 0]}", "A=8.85417"},
        {"'kind': 'collar', 'couples': true, 'axis': {'axis': '+x'}",
         ",{'name': 'B', 'kind': 'link', 'at': [0, 0], 'direction': {'axis': '+x'}}",
         "A=8 M_A=10.75"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct solved s = solve("equilibrium",
                                "{'forces': [{'name': 'P', 'components': [-3.5, -8], 'at': [2, "
                                "1.5]}], 'supports': [{'name': 'A', 'at': [0, 0], %s}%s]}",
                                cases[i].support, cases[i].others);
        assert_string_equal(words_at(&s, "state"), "determinate");
        assert_string_equal(parts(&s, 0), cases[i].expected);
        done(&s);
    }
}

/* The components of a rough surface are written before its size is made of them. */
static void test_parts_that_are_no_components(void **state)
{
    (void)state;
    struct solved s = solve("equilibrium",
                            "{'forces': [{'name': 'P', 'components': [-3.5, -8], 'at': [2, 1.5]}], "
                            "'supports': [{'name': 'A', 'kind': 'rough_surface', 'at': [0, 0]}, "
                            "{'name': 'B', 'kind': 'roller', 'at': [4, 0]}]}");
    assert_non_null(strstr(steps(&s, "Size and direction of A"), "A_x=3.5 A_y=5.3125 A=6.36181 "));
    done(&s);
}

/* A block on a ball and socket, held besides by the support at B. */
static void test_space_kinds(void **state)
{
    /* P = (1.5, −2.5, −6) at (2, 1, 3), A at (0, 0, 0), the moment about A:
     * (1(−6) − 3(−2.5), 3 · 1.5 − 2(−6), 2(−2.5) − 1 · 1.5) = (1.5, 16.5, −6.5) */
    static const struct kind_case cases[] = {
        {"'kind': 'fixed'", "", "A_x=-1.5 A_y=2.5 A_z=6 M_Ax=-1.5 M_Ay=-16.5 M_Az=6.5"},
        /* B at (4, 0, 0): (M_y: −4 B_z = −16.5, M_z: 4 B_y = 6.5) and a link for M_x. */
        {"'kind': 'ball_and_socket'",
         ",{'kind': 'journal_bearing', 'at': [4, 0, 0], 'axis': {'axis': '-x'}},"
         "{'kind': 'link', 'at': [0, 0, 5], 'direction': {'axis': '+y'}}",
         "A_x=-1.5 A_y=0.575 A_z=1.875"},
        {"'kind': 'thrust_bearing', 'axis': {'vector': [2.5, 0, 0]}",
         ",{'kind': 'journal_bearing', 'at': [4, 0, 0], 'axis': {'axis': '-x'}},"
         "{'kind': 'link', 'at': [0, 0, 5], 'direction': {'axis': '+y'}}",
         "A_y=0.575 A_z=1.875 A_x=-1.5"},
        {"'kind': 'hinge', 'couples': true, 'axis': {'axis': '+z'}",
         ",{'kind': 'cable', 'at': [0, 2, 0], 'direction': {'axis': '-x'}}",
         "A_x=1.75 A_y=2.5 A_z=6 M_Ax=-1.5 M_Ay=-16.5"},
        {"'kind': 'journal_bearing', 'couples': true, 'axis': {'axis': '+z'}",
         ",{'kind': 'roller', 'at': [0, 0, 0]},"
         "{'kind': 'smooth_surface', 'at': [0, 2, 0], 'normal': {'axis': '-x'}}",
         "A_x=1.75 A_y=2.5 M_Ax=-1.5 M_Ay=-16.5"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct solved s =
            solve("equilibrium",
                  "{'forces': [{'name': 'P', 'components': [1.5, -2.5, -6], 'at': [2, 1, 3]}], "
                  "'supports': [{'name': 'A', 'at': [0, 0, 0], %s}%s]}",
                  cases[i].support, cases[i].others);
        assert_string_equal(words_at(&s, "state"), "determinate");
        assert_string_equal(parts(&s, 0), cases[i].expected);
        done(&s);
    }
}

/* A link pushes in compression, F2 and F_1 have levers of one kind, and what the forces shall add
 * up to stands under its own heading. */
static void test_words_of_the_trade(void **state)
{
    (void)state;
    struct solved s = solve(
        "equilibrium",
        "{'forces': [{'name': 'F_1', 'magnitude': 13, 'direction': {'slope': {'run': 5, 'rise': "
        "-12}}, 'at': [2, 0]}, {'name': 'F2', 'magnitude': 10, 'direction': {'slope': {'run': -3, "
        "'rise': -4}}, 'at': [3, 0]}], 'supports': [{'name': 'A', 'kind': 'pin', 'at': [0, 0]}, "
        "{'name': 'B', 'kind': 'link', 'direction': {'axis': '-y'}, 'at': [4, 0]}], "
        "'required_resultant': {'name': 'Q', 'components': [1.5, -2.5], 'at': [1, 0]}}");
    assert_int_equal(s.code, PROBLEM_NONE);
    const char *forces = steps(&s, "Components of the forces");
    assert_non_null(strstr(forces, "h_1=13"));
    assert_non_null(strstr(forces, "h_2=5"));
    assert_string_equal(steps(&s, "Required resultant"), "Q_x=1.5 Q_y=-2.5");
    assert_string_equal(steps(&s, "Directions of the unknowns"), "");
    /* ΣM_A: −12 · 2 − 8 · 3 − 4 B = −2.5 · 1 */
    assert_string_equal(steps(&s, "Moments about A"), "B=-11.375 [The link B is in compression.]");
    done(&s);
}

/* The axis of a bearing along (3, 4, 0): u = z × w = (−4, 3, 0)/5 is level, v = w × u = z. */
static void test_local_axes(void **state)
{
    (void)state;
    struct solved s = solve(
        "equilibrium",
        "{'forces': [{'name': 'P', 'components': [1.5, -2.5, -6], 'at': [2, 1, 3]}], 'supports': "
        "[{'name': 'A', 'at': [0, 0, 0], 'kind': 'thrust_bearing', 'couples': true, 'axis': "
        "{'vector': [3, 4, 0]}}, {'name': 'B', 'kind': 'link', 'at': [0, 0, 1], 'direction': "
        "{'vector': [4, -3, 0]}}]}");
    /* Along w the moment of P is 1.5 · 0.6 + 16.5 · 0.8 = 14.1; B (0.8, −0.6, 0) at (0, 0, 1) has
     * (0.6, 0.8, 0) B about A, so B = −14.1. Forces: −P − B = (−1.5 + 11.28, 2.5 − 8.46, 6). */
    assert_string_equal(parts(&s, 1), "B=-14.1");
    assert_string_equal(parts(&s, 0), "A_u=-11.4 A_v=6 A_w=1.1 M_Au=-8.7 M_Av=6.5");
    assert_numbers(&s, "unknowns/0/force/components", 9.78, -5.96, 6);
    assert_numbers(&s, "unknowns/0/couple", 6.96, -5.22, 6.5);
    done(&s);
}

/* ---- unknown forces ---- */

static void test_unknown_forces(void **state)
{
    (void)state;
    /* One cable over a pulley holds a platform at three places; one of them by two strands. */
    struct solved s = solve(
        "equilibrium",
        "{'units': {'force': 'kN'}, 'forces': [{'name': 'W', 'components': [0, -21], 'at': [3.2, "
        "0]}, {'name': 'T', 'magnitude': 'unknown', 'direction': {'axis': '+y'}, 'at': [0, 0]}, "
        "{'name': 'T2', 'magnitude': {'same_as': 'T'}, 'times': 2, 'direction': {'axis': '+y'}, "
        "'at': [5, 0]}, {'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown', 'at': [2, "
        "0]}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    /* About (2, 0): −2 T + 3 · 2 T = 1.2 · 21. */
    assert_string_equal(parts(&s, 0), "T=6.3");
    assert_string_equal(parts(&s, 1), "T2=12.6");
    assert_string_equal(parts(&s, 2), "F_x=0 F_y=2.1");
    assert_string_equal(words_at(&s, "unknowns/2/kind"), "force");
    done(&s);
    /* What the forces shall add up to counts with a minus. */
    s = solve("equilibrium",
              "{'forces': [{'name': 'F', 'magnitude': 'unknown', 'direction': 'unknown', 'at': "
              "[1.5, 0]}, {'name': 'P', 'components': [2, 3], 'at': [0, 0]}], 'couples': "
              "[{'moment': 7.5}], 'required_resultant': {'magnitude': 'unknown', 'direction': "
              "{'axis': '+y'}, 'at': [4, 0]}}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    /* About (1.5, 0): 1.5 P_y · (−1) + 7.5 = 2.5 R. */
    assert_string_equal(parts(&s, 0), "F_x=-2 F_y=-1.8");
    assert_string_equal(parts(&s, 1), "R=1.2");
    assert_string_equal(words_at(&s, "unknowns/1/kind"), "resultant");
    done(&s);
}

static void test_wrong_way(void **state)
{
    (void)state;
    struct solved s = solve(
        "equilibrium",
        "{'forces': [{'name': 'P', 'components': [0, 26], 'at': [2, 0]}], 'supports': [{'name': "
        "'A', 'kind': 'pin', 'at': [0, 0]}, {'name': 'T', 'kind': 'cable', 'at': [5, 0], "
        "'direction': {'slope': {'run': -4, 'rise': 3}}}]}");
    /* 2 · 26 + 5 · 0.6 T = 0 */
    assert_number(&s, "unknowns/1/parts/0/value", -52.0 / 3);
    assert_number(&s, "unknowns/1/force/magnitude", 52.0 / 3);
    assert_numbers(&s, "unknowns/1/force/components", 52 * 0.8 / 3, -10.4);
    assert_string_equal(note_codes(&s), "goes-slack");
    assert_non_null(strstr(note_text(&s, "goes-slack"), "a cable can't push: it would go slack"));
    done(&s);
    s = solve("equilibrium",
              "{'forces': [{'name': 'P', 'components': [0, -9.5], 'at': [7, 0]}], 'supports': "
              "[{'name': 'A', 'kind': 'smooth_surface', 'at': [0, 0]}, {'name': 'B', 'kind': "
              "'pin', 'at': [4, 0]}]}");
    assert_string_equal(parts(&s, 0), "A=-7.125");
    assert_string_equal(note_codes(&s), "lifts-off");
    done(&s);
}

/* ---- states ---- */

struct state_case {
    const char *request;
    const char *state;
    int degree;   /* 0: absent */
    int balanced; /* −1: absent */
    const char *motions;
    const char *parts; /* of the first unknown */
};

static const char *motions(struct solved *s)
{
    struct buf b;
    buf_init(&b, s->arena, 4096);
    for (int i = 0;; i++) {
        const char *path = arena_printf(s->arena, "free_motions/%d/text", i);
        if (is_absent(s, "free_motions") || is_absent(s, path))
            return buf_text(&b);
        buf_puts(&b, i ? ", " : "");
        buf_puts(&b, words_at(s, path));
    }
}

static void test_states(void **state)
{
    static const struct state_case cases[] = {
        /* Two rollers hold a beam under a weight, but not sideways. */
        {"{'forces': [{'components': [0, -12.5], 'at': [1.6, 0]}], 'supports': [{'name': 'A', "
         "'kind': 'roller', 'at': [0, 0]}, {'kind': 'roller', 'at': [5, 0]}]}",
         "determinate", 0, -1, "slides along x", "A=8.5"},
        {"{'forces': [{'components': [0.3, -12.5], 'at': [1.6, 0]}], 'supports': [{'name': 'A', "
         "'kind': 'roller', 'at': [0, 0]}, {'kind': 'roller', 'at': [5, 0]}]}",
         "no_equilibrium", 0, -1, "slides along x", "A"},
        /* Three parallel rollers. */
        {"{'forces': [{'components': [0, -12.5], 'at': [1.6, 0]}], 'supports': [{'name': 'A', "
         "'kind': 'roller', 'at': [0, 0]}, {'kind': 'roller', 'at': [5, 0]}, {'kind': 'roller', "
         "'at': [7, 0]}]}",
         "improperly_constrained", 1, 1, "slides along x", "A"},
        /* Three links whose lines meet at (2, 3); the load passes by. */
        {"{'forces': [{'components': [4, 0], 'at': [0, 1]}], 'supports': [{'name': 'A', 'kind': "
         "'link', 'at': [0, 0], 'direction': {'vector': [2, 3]}}, {'kind': 'link', 'at': [2, 0], "
         "'direction': {'axis': '+y'}}, {'kind': 'link', 'at': [5, 0], 'direction': {'vector': "
         "[-3, 3]}}]}",
         "improperly_constrained", 0, 0, "turns about the point (2.00 m, 3.00 m)", "A"},
        /* … and through it. */
        {"{'forces': [{'components': [4, 0], 'at': [0, 3]}], 'supports': [{'name': 'A', 'kind': "
         "'link', 'at': [0, 0], 'direction': {'vector': [2, 3]}}, {'kind': 'link', 'at': [2, 0], "
         "'direction': {'axis': '+y'}}, {'kind': 'link', 'at': [5, 0], 'direction': {'vector': "
         "[-3, 3]}}]}",
         "improperly_constrained", 1, 1, "turns about the point (2.00 m, 3.00 m)", "A"},
        /* Two pins: only the sum of the forces along their line is free. */
        {"{'forces': [{'components': [2.4, -12.5], 'at': [1.6, 0]}], 'supports': [{'name': 'A', "
         "'kind': 'pin', 'at': [0, 0]}, {'kind': 'pin', 'at': [5, 0]}]}",
         "indeterminate", 1, -1, "", "A_x A_y=8.5"},
        {"{'forces': [{'components': [2.4, -12.5], 'at': [1.6, 0]}], 'supports': [{'name': 'A', "
         "'kind': 'pin', 'at': [1.6, 0]}]}",
         "determinate", 0, -1, "turns about A", "A_x=-2.4 A_y=12.5"},
        /* Loads alone. */
        {"{'forces': [{'components': [2.4, 0], 'at': [0, 1]}, {'components': [-2.4, 0], 'at': [3, "
         "1]}]}",
         "determinate", 0, -1, "slides along x, slides along y, turns about the point (0 m, 0 m)",
         ""},
        /* A door on two bearings, free to swing; held as long as the force passes its axis. */
        {"{'forces': [{'components': [0, 0, -85], 'at': [0.45, 0, 1]}], 'supports': [{'name': 'A', "
         "'kind': 'thrust_bearing', 'at': [0, 0, 0.3], 'axis': {'axis': '+z'}}, {'name': 'B', "
         "'kind': 'journal_bearing', 'at': [0, 0, 1.8], 'axis': {'axis': '+z'}}]}",
         "determinate", 0, -1, "turns about the z axis through A and B", "A_x=25.5 A_y=0 A_z=85"},
        /* A beam of two parts that folds at its hinge. */
        {"{'bodies': {'AC': {'supports': [{'name': 'A', 'kind': 'pin', 'at': [0, 0]}]}, 'CB': "
         "{'forces': [{'components': [0, -3.5], 'at': [4, 0]}], 'supports': [{'name': 'B', 'kind': "
         "'pin', 'at': [6, 0]}]}}, 'pins': [{'name': 'C', 'at': [2.5, 0], 'joins': ['AC', 'CB']}]}",
         "improperly_constrained", 0, 0, "AC turns about A, and CB with it", "A_x A_y"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const struct state_case *c = &cases[i];
        struct solved s = solve("equilibrium", "%s", c->request);
        assert_string_equal(words_at(&s, "state"), c->state);
        if (c->degree)
            assert_int_equal(count_at(&s, "degree"), c->degree);
        else
            assert_true(is_absent(&s, "degree"));
        if (c->balanced >= 0)
            assert_int_equal(value_at(&s, "balanced", NULL)->truth, c->balanced);
        else
            assert_true(is_absent(&s, "balanced"));
        assert_string_equal(motions(&s), c->motions);
        if (*c->parts)
            assert_string_equal(parts(&s, 0), c->parts);
        done(&s);
    }
}

/* Six links along the edges of a screw: three square to a line leave one screw free. */
/* Of what is null the sheet says why: statics leaves it open, or the loads are not held. */
/* Of the motions left free the note names one that the loads would cause. */
static void test_the_motion_that_loads_cause(void **state)
{
    (void)state;
    static const char *const table =
        "{'forces': [{'name': 'W', 'components': [0, 21.5, %d], 'at': [2, 3, 0]}], 'supports': ["
        "{'name': 'A', 'kind': 'cable', 'at': [0, 0, 0], 'direction': {'axis': '+z'}},"
        "{'name': 'B', 'kind': 'cable', 'at': [6, 0, 0], 'direction': {'axis': '+z'}},"
        "{'name': 'C', 'kind': 'cable', 'at': [3, 6, 0], 'direction': {'axis': '+z'}}]}";
    struct solved s = solve("equilibrium", table, -300);
    assert_non_null(strstr(note_text(&s, "not-held"), "this motion: it slides along y."));
    done(&s);
    s = solve("equilibrium", "{'forces': [{'name': 'W', 'components': [0, -21.5], 'at': [2, 0]}],"
                             " 'supports': [{'name': 'A', 'kind': 'roller', 'at': [0.3, 0]}]}");
    assert_non_null(strstr(note_text(&s, "not-held"), "this motion: it turns about A."));
    done(&s);
    s = solve("equilibrium", "{'forces': [{'name': 'W', 'components': [0, -21.5], 'at': [0.3, 0]}],"
                             " 'supports': [{'name': 'A', 'kind': 'roller', 'at': [0.3, 0]}]}");
    assert_non_null(strstr(note_text(&s, "free-to-move"),
                           "several motions, of which this is one: it slides along x."));
    done(&s);
}

static void test_states_on_a_sheet(void **state)
{
    static const struct {
        const char *request, *sheet;
    } cases[] = {
        {"{'forces': [{'components': [1, -3], 'at': [2, 0]}], 'supports': [{'name': 'A', 'kind': "
         "'roller', 'at': [0, 0]}, {'name': 'B', 'kind': 'roller', 'at': [4, 0]}, {'name': 'D', "
         "'kind': 'roller', 'at': [2, 0]}]}",
         "\nAnswer\n"
         "State: improperly constrained.\n"
         "These loads cannot be held, so that no force has a value.\n"
         "slides along x\n"},
        {"{'forces': [{'components': [0, -3], 'at': [2, 0]}], 'supports': [{'name': 'A', 'kind': "
         "'pin', 'at': [0, 0]}]}",
         "\nAnswer\n"
         "State: no equilibrium.\n"
         "These loads cannot be held, so that no force has a value.\n"
         "turns about A\n"},
        {"{'forces': [{'components': [2, -3], 'at': [2, 0]}], 'supports': [{'name': 'A', 'kind': "
         "'fixed', 'at': [0, 0]}, {'name': 'B', 'kind': 'roller', 'at': [4, 0]}]}",
         "\nAnswer\n"
         "State: indeterminate.\n\n"
         "    A_x = −2.00 N\n\n"
         "A_y is not fixed by statics.\n"
         "M_A is not fixed by statics.\n"
         "B is not fixed by statics.\n\n"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct solved s = solve("equilibrium", "%s", cases[i].request);
        struct render_options options = render_defaults();
        struct buf b;
        options.working = false;
        buf_init(&b, s.arena, 4096);
        render_sheet_text(&s.work, &options, &b);
        if (strncmp(buf_text(&b), cases[i].sheet, strlen(cases[i].sheet)) != 0)
            fail_msg("%s", buf_text(&b));
        done(&s);
    }
}

static void test_a_screw(void **state)
{
    (void)state;
    struct solved s = solve(
        "equilibrium",
        "{'forces': [{'components': [0, 0, 0], 'at': [0, 0, 0]}], 'supports': [{'name': 'A', "
        "'kind': 'journal_bearing', 'couples': true, 'at': [0, 0, 0], 'axis': {'axis': '+z'}}, "
        "{'name': 'L', 'kind': 'link', 'at': [2, 0, 1], 'direction': {'vector': [0, 3, 4]}}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_int_equal(count_at(&s, "count/rank"), 5);
    assert_string_equal(words_at(&s, "free_motions/0/motion"), "screw");
    done(&s);
}

/* ---- nearly critical ---- */

static void test_nearly_flat_arch(void **state)
{
    static const char request[] =
        "{'bodies': {'AC': {'forces': [{'components': [0, -6.5], 'at': [2, 0]}], 'supports': "
        "[{'name': 'A', 'kind': 'pin', 'at': [0, 0]}]}, 'CB': {'supports': [{'name': 'B', 'kind': "
        "'pin', 'at': [10, 0]}]}}, 'pins': [{'name': 'C', 'at': [5, %s], 'joins': ['AC', 'CB']}]}";
    (void)state;
    struct solved s = solve("equilibrium", request, "0.02");
    assert_string_equal(note_codes(&s), "sensitive-geometry");
    assert_number(&s, "unknowns/1/parts/0/value", -6.5 * 2 / 10 * 5 / 0.02);
    done(&s);
    s = solve("equilibrium", request, "1.2");
    assert_string_equal(note_codes(&s), "");
    done(&s);
    s = solve("equilibrium", request, "0");
    assert_string_equal(words_at(&s, "state"), "improperly_constrained");
    done(&s);
}

/* ---- the order of the equations ---- */

/* The titles of the sections from the count on, one after another. */
static const char *titles(struct solved *s)
{
    struct buf b;
    bool is_after = false;
    buf_init(&b, s->arena, 4096);
    for (uint32_t i = 0; i < s->work.section_count; i++) {
        const char *title = phrase_text(s, &s->work.section[i].title);
        if (is_after && (strstr(title, "orces along") || strstr(title, "oments about") ||
                         strstr(title, "together") || strstr(title, "members"))) {
            buf_puts(&b, b.length ? " | " : "");
            buf_puts(&b, title);
        }
        is_after = is_after || strcmp(title, "Unknowns and equations") == 0;
    }
    return buf_text(&b);
}

static void test_order_of_equations(void **state)
{
    static const char *const cases[][2] = {
        {"{'points': {'A': [0, 0], 'B': [6, 0]}, 'forces': [{'components': [3, -7.5], 'at': [2, "
         "0]}], 'supports': [{'name': 'A', 'kind': 'pin', 'at': 'A'}, {'name': 'B', 'kind': "
         "'roller', 'at': 'B'}]}",
         "Forces along x | Moments about A | Forces along y"},
        /* Two parallel unknowns slant: the sum square to them, then about where each meets. */
        {"{'forces': [{'components': [3, -7.5], 'at': [2, 0]}], 'supports': [{'name': 'A', 'kind': "
         "'link', 'at': [0, 0], 'direction': {'vector': [1, 2]}}, {'name': 'B', 'kind': 'link', "
         "'at': [5, 0], 'direction': {'vector': [-1, -2]}}, {'name': 'C', 'kind': 'link', 'at': "
         "[3, 2], 'direction': {'vector': [3, 1]}}]}",
         "Forces along n | Moments about A | Forces along x"},
        /* No two act at one place: about the point where two lines meet. */
        {"{'forces': [{'components': [3, -7.5], 'at': [2, 0]}], 'supports': [{'name': 'A', 'kind': "
         "'link', 'at': [0, 0], 'direction': {'vector': [1, 2]}}, {'name': 'B', 'kind': 'link', "
         "'at': [5, 0], 'direction': {'vector': [-1, 2]}}, {'name': 'C', 'kind': 'link', 'at': [3, "
         "2], 'direction': {'vector': [3, 1]}}]}",
         "Moments about I | Moments about A | Forces along x"},
        /* Supports on one level: one unknown at a time. */
        {"{'points': {'A': [0, 0], 'B': [9, 0], 'C': [4, 3]}, 'bodies': {'AC': {'forces': "
         "[{'components': [1.5, -8], 'at': [2, 2]}], 'supports': [{'kind': 'pin', 'at': 'A'}]}, "
         "'CB': {'forces': [{'components': [0, -5.5], 'at': [7, 2]}], 'supports': [{'kind': 'pin', "
         "'at': 'B'}]}}, 'pins': [{'at': 'C', 'joins': ['AC', 'CB']}]}",
         "The whole: moments about A | The whole: forces along y | AC: forces along y | AC: "
         "moments about A | AC: forces along x | The whole: forces along x"},
        /* A strut first. */
        {"{'points': {'A': [0, 0], 'B': [9, 1], 'C': [4, 3]}, 'bodies': {'AC': {'forces': "
         "[{'components': [1.5, -8], 'at': [2, 2]}], 'supports': [{'kind': 'pin', 'at': 'A'}]}, "
         "'CB': {'supports': [{'kind': 'pin', 'at': 'B'}]}}, 'pins': [{'at': 'C', 'joins': ['AC', "
         "'CB']}]}",
         "Two-force members | The whole: moments about A | The whole: forces along x | The whole: "
         "forces along y"},
        /* Supports on two levels: two equations with two unknowns. */
        {"{'points': {'A': [0, 0], 'B': [9, 1], 'C': [4, 3]}, 'bodies': {'AC': {'forces': "
         "[{'components': [1.5, -8], 'at': [2, 2]}], 'supports': [{'kind': 'pin', 'at': 'A'}]}, "
         "'CB': {'forces': [{'components': [0, -5.5], 'at': [7, 2]}], 'supports': [{'kind': 'pin', "
         "'at': 'B'}]}}, 'pins': [{'at': 'C', 'joins': ['AC', 'CB']}]}",
         "2 equations together | The whole: forces along x | The whole: forces along y | AC: "
         "forces along x | AC: forces along y"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct solved s = solve("equilibrium", "%s", cases[i][0]);
        assert_string_equal(words_at(&s, "state"), "determinate");
        assert_string_equal(titles(&s), cases[i][1]);
        done(&s);
    }
}

static void test_three_bodies_on_one_pin(void **state)
{
    (void)state;
    struct solved s = solve(
        "equilibrium",
        "{'bodies': {'AC': {'supports': [{'name': 'A', 'kind': 'pin', 'at': [0, 0]}]}, 'BC': "
        "{'supports': [{'name': 'B', 'kind': 'pin', 'at': [6, 0]}]}, 'CD': {'forces': [{'name': "
        "'W', 'components': [0, -7.5], 'at': [3, 4]}], 'supports': [{'name': 'D', 'kind': "
        "'roller', 'at': [3, 6], 'normal': {'axis': '+x'}}]}}, 'pins': [{'name': 'C', 'at': [3, "
        "4], 'joins': ['AC', 'BC', 'CD']}]}");
    assert_string_equal(words_at(&s, "state"), "determinate");
    assert_int_equal(count_at(&s, "count/unknowns"), 9);
    /* Each leg carries half: 3.75 upward at its foot, inward as its slope. */
    assert_string_equal(parts(&s, 0), "A_x=2.8125 A_y=3.75");
    assert_string_equal(words_at(&s, "unknowns/3/name"), "C");
    assert_string_equal(parts(&s, 3), "C_x=-2.8125 C_y=-3.75");
    assert_string_equal(words_at(&s, "unknowns/4/name"), "C_BC");
    done(&s);
}

/* ---- the key ---- */

static void test_key_has_hand_allowances(void **state)
{
    (void)state;
    struct solved s =
        solve("equilibrium",
              "{'units': {'force': 'kN'}, 'key': true, 'forces': [{'name': 'P', 'magnitude': 21.7, "
              "'direction': {'angle': -63.4}, 'at': [2.2, 0]}], 'supports': [{'name': 'A', 'kind': "
              "'pin', 'at': [0, 0]}, {'name': 'B', 'kind': 'roller', 'at': [6.1, 0]}]}");
    uint32_t count;
    const struct key_entry *key = work_key(&s.work, &count);
    int found = 0;
    for (uint32_t i = 0; i < count; i++) {
        bool is_part = strstr(key[i].of, "/parts/") != NULL;
        found += is_part;
        assert_true(key[i].allowance >= 0 && isfinite(key[i].allowance));
        assert_null(strstr(key[i].of, "residual"));
        if (is_part) /* of what is largest, 21.7 kN: more than the floor, less than 2 % */
            assert_true(key[i].allowance > 0.005 * 9 && key[i].allowance < 0.02 * 21.7);
    }
    assert_int_equal(found, 3);
    done(&s);
}

/* ---- what is refused ---- */

static void test_refused(void **state)
{
    static const char *const cases[][2] = {
        {"{'forces': [{'name': 'F', 'magnitude': 12, 'direction': 'unknown', 'at': [0, 0]}]}",
         "out-of-scope at /forces/0"},
        {"{'forces': [{'name': 'F', 'magnitude': 'unknown', 'direction': {'vector': [0, 0]}, 'at': "
         "[0, 0]}]}",
         "zero-direction at /forces/0/direction/vector"},
        {"{'supports': [{'kind': 'link', 'at': [0, 0], 'direction': {'line': [[1, 2], [1, 2]]}}]}",
         "zero-direction at /supports/0/direction/line"},
        {"{'distributed_loads': [{'from': [1, 2], 'to': [1, 2], 'intensity': 3}], 'supports': "
         "[{'kind': 'fixed', 'at': [0, 0]}]}",
         "zero-length at /distributed_loads/0"},
        {"{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': 'unknown', 'at': [0, 0]}, "
         "{'magnitude': {'same_as': 'T'}, 'direction': {'axis': '+x'}, 'at': [1, 0]}]}",
         "out-of-scope at /forces/1"},
        {"{'forces': [{'name': 'T', 'magnitude': 'unknown', 'direction': {'axis': '+x'}, 'at': [0, "
         "0]}], 'required_resultant': {'components': [1, 0], 'at': [0, 0]}, 'smallest': 'T'}",
         "out-of-scope at /smallest"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct solved s = solve("equilibrium", "%s", cases[i][0]);
        assert_string_equal(faults(&s), cases[i][1]);
        done(&s);
    }
}

/* More unknowns than steps are shown for: only the numbers. */
static void test_many_unknowns(void **state)
{
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    struct buf b;
    (void)state;
    buf_init(&b, arena, 1 << 20);
    buf_puts(&b, "{'forces': [{'components': [0, -31.5], 'at': [1, 0]}], 'supports': [");
    for (int i = 0; i < 400; i++)
        buf_puts(&b, arena_printf(arena, "%s{'name': 'S%d', 'kind': 'pin', 'at': [%d.5, %d]}",
                                  i ? "," : "", i, i, i % 7));
    buf_puts(&b, "]}");
    struct solved s = solve("equilibrium", "%s", buf_text(&b));
    assert_string_equal(words_at(&s, "state"), "indeterminate");
    assert_int_equal(count_at(&s, "degree"), 797);
    assert_non_null(note_text(&s, "numbers-only"));
    done(&s);
    arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_published_cases),
        cmocka_unit_test(test_plane_kinds),
        cmocka_unit_test(test_parts_that_are_no_components),
        cmocka_unit_test(test_space_kinds),
        cmocka_unit_test(test_words_of_the_trade),
        cmocka_unit_test(test_local_axes),
        cmocka_unit_test(test_unknown_forces),
        cmocka_unit_test(test_wrong_way),
        cmocka_unit_test(test_states),
        cmocka_unit_test(test_the_motion_that_loads_cause),
        cmocka_unit_test(test_states_on_a_sheet),
        cmocka_unit_test(test_a_screw),
        cmocka_unit_test(test_nearly_flat_arch),
        cmocka_unit_test(test_order_of_equations),
        cmocka_unit_test(test_three_bodies_on_one_pin),
        cmocka_unit_test(test_key_has_hand_allowances),
        cmocka_unit_test(test_refused),
        cmocka_unit_test(test_many_unknowns),
    };
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
