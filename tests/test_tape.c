/* The tape: values with their formulas, zero decided once, names that never clash, allowances. */
#include <math.h>
#include <string.h>

#include "check.h"

#include "work/work.h"

static const struct dimension force = {.force = 1}, length = {.length = 1}, angle = {.angle = true},
                              moment = {.force = 1, .length = 1}, mass = {.mass = 1},
                              acceleration = {.acceleration = 1}, ratio = {0};

struct bench {
    struct arena *arena;
    struct field *field;
    struct work work;
};

static void begin(struct bench *b, uint64_t seed, struct units units, bool space)
{
    b->arena = arena_new((size_t)16 << 20);
    b->field = field_new(seed);
    assert_non_null(b->arena);
    assert_non_null(b->field);
    work_init(&b->work, b->arena, b->field);
    work_begin(&b->work, units, space);
}

static void end(struct bench *b)
{
    arena_free(b->arena);
    field_free(b->field);
}

static const struct units newtons = {
    .force = UNIT_N, .length = UNIT_M, .mass = UNIT_KG, .acceleration = UNIT_M_S2};

static q typed(struct work *w, const char *text, struct dimension d)
{
    struct given *g = arena_alloc(w->arena, sizeof *g);
    *g = (struct given){.present = true, .text = text, .length = strlen(text), .pointer = ""};
    return q_given(w, g, d);
}

static q typed_in(struct work *w, const char *text, struct dimension d, const char *unit)
{
    struct given *g = arena_alloc(w->arena, sizeof *g);
    *g = (struct given){.present = true, .text = text, .length = strlen(text), .pointer = ""};
    assert_true(unit_read(unit, strlen(unit), d, &g->unit));
    g->has_own_unit = true;
    return q_given(w, g, d);
}

static void values_and_zeros(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        struct bench b;
        begin(&b, seed, newtons, false);
        struct work *w = &b.work;
        q F = typed(w, "217.5", force), t = typed(w, "248.2", angle);
        q x = q_mul(w, F, q_cos(w, t)), y = q_mul(w, F, q_sin(w, t));
        assert_near(q_value(w, x), 217.5 * cos(248.2 * TEST_PI / 180), 1e-12);
        q R = q_sqrt(w, q_add(w, q_square(w, x), q_square(w, y)));
        /* cos² + sin² = 1 holds in the residues, so R is F exactly */
        assert_true(q_is_zero(w, q_sub(w, R, F)));
        /* 22.62° and 157.38° are opposite in x */
        q a = q_cos(w, typed(w, "22.62", angle)), c = q_cos(w, typed(w, "157.38", angle));
        assert_true(q_is_zero(w, q_add(w, a, c)));
        assert_true(q_value(w, q_add(w, a, c)) == 0.0);
        /* double 0, true value 1 */
        q big = typed(w, "10000000000000000", force), one = typed(w, "1", force);
        q sum = q_sub(w, q_add(w, big, one), typed(w, "1e16", force));
        (void)sum;
        q tiny =
            q_sum(w, (q[]){typed(w, "1e16", force), one, q_neg(w, typed(w, "1e16", force))}, 3);
        assert_int_equal(q_sign(w, tiny), 1);
        assert_near(q_value(w, tiny), 1.0, 1e-15);
        /* 0.1 + 0.2 − 0.3 is 0 though its double is 5.6e-17 */
        q three = q_sum(
            w,
            (q[]){typed(w, "0.1", force), typed(w, "0.2", force), q_neg(w, typed(w, "0.3", force))},
            3);
        assert_true(q_is_zero(w, three));
        assert_true(q_value(w, three) == 0.0);
        assert_false(w->doubt_digits || w->doubt_rounding || w->failed || w->inconsistent);
        /* √3 typed with 17 digits is zero beside tan 60° within its digits only */
        q near = q_sub(w, typed(w, "1.7320508075688772", ratio), q_tan(w, typed(w, "60", angle)));
        assert_true(q_is_zero(w, near));
        assert_true(w->doubt_digits);
        end(&b);
    }
}

/* What is zero within its digits is dropped, and counts as an error from then on: the residues of
 * what follows don't contradict it. */
static void zero_within_digits_is_an_error(void **state)
{
    struct bench b;
    (void)state;
    begin(&b, 21, newtons, false);
    struct work *w = &b.work;
    q f = typed(w, "217.4567890", force), g = typed(w, "217.4567891", force);
    q apart = q_sub(w, f, g);
    assert_true(q_value(w, apart) == 0.0);
    q again = q_sub(w, q_add(w, apart, g), f);
    assert_true(q_value(w, again) == 0.0);
    assert_false(w->unlucky);
    assert_true(q_node(w, apart)->num.error >= 9e-8);
    end(&b);
}

static void units_are_converted(void **state)
{
    (void)state;
    struct bench b;
    struct units kilo = newtons;
    kilo.force = UNIT_KN;
    begin(&b, 7, kilo, false);
    struct work *w = &b.work;
    q F = typed_in(w, "2175", force, "N");
    assert_int_equal(q_node(w, F)->op, OP_CONVERT);
    assert_near(q_value(w, F), 2.175, 1e-15);
    q W = q_mul(w, typed(w, "15", mass), typed(w, "9.81", acceleration));
    assert_near(q_value(w, W), 0.14715, 1e-15);
    assert_true(q_is_zero(w, q_sub(w, W, typed(w, "0.14715", force))));
    q M = typed_in(w, "12", moment, "lb*ft");
    assert_near(q_value(w, M), 12 * 4.4482216152605e-3 * 0.3048, 1e-15);
    q t = typed_in(w, "0.5", angle, "rad");
    assert_near(q_value(w, t), 28.64788975654116, 1e-12);
    assert_near(q_value(w, q_cos(w, t)), cos(0.5), 1e-15);
    assert_false(w->inconsistent);
    q_add(w, F, M);
    assert_true(w->inconsistent);
    end(&b);
}

static void angles_carry_their_circle_point(void **state)
{
    (void)state;
    struct bench b;
    begin(&b, 11, newtons, false);
    struct work *w = &b.work;
    q x = typed(w, "-5", force), y = typed(w, "12", force);
    q R = q_sqrt(w, q_add(w, q_square(w, x), q_square(w, y)));
    q t = q_acos(w, q_div(w, x, R));
    assert_near(q_value(w, t), acos(-5.0 / 13) * 180 / TEST_PI, 1e-12);
    assert_true(q_is_zero(w, q_sub(w, q_mul(w, R, q_cos(w, t)), x)));
    assert_true(q_is_zero(w, q_sub(w, q_mul(w, R, q_sin(w, t)), y)));
    q acute = q_atan(w, q_div(w, q_abs(w, y), q_abs(w, x)));
    q sector = q_sub(w, q_turn(w, 180), acute);
    assert_true(q_is_zero(w, q_sub(w, q_mul(w, R, q_cos(w, sector)), x)));
    /* near 180° the double of the cosine would lose half its digits */
    q far = typed(w, "-1000000000", force), small = typed(w, "3", force);
    q L = q_sqrt(w, q_add(w, q_square(w, far), q_square(w, small)));
    assert_near(q_value(w, q_acos(w, q_div(w, far, L))), 180 - 3e-9 * 180 / TEST_PI, 1e-13);
    assert_false(w->inconsistent || w->failed);
    end(&b);
}

static void vectors(void **state)
{
    (void)state;
    struct bench b;
    begin(&b, 13, newtons, true);
    struct work *w = &b.work;
    qv r = qv_of(w, typed(w, "2", length), typed(w, "-1", length), typed(w, "2.5", length));
    qv F = qv_of(w, typed(w, "17", force), typed(w, "-30.5", force), typed(w, "41", force));
    qv M = qv_cross(w, r, F);
    assert_near(q_value(w, qv_component(w, M, 0)), -1 * 41 - 2.5 * -30.5, 1e-12);
    assert_near(q_value(w, qv_component(w, M, 1)), 2.5 * 17 - 2 * 41, 1e-12);
    assert_near(q_value(w, qv_component(w, M, 2)), 2 * -30.5 - -1 * 17, 1e-12);
    assert_true(q_is_zero(w, q_dot(w, M, r)));
    assert_true(q_is_zero(w, q_dot(w, M, F)));
    q L = q_norm(w, r);
    qv u = qv_over(w, r, L);
    assert_true(q_is_zero(w, q_sub(w, q_norm(w, u), q_integer(w, 1, ratio))));
    qv back = qv_sub(w, qv_scale(w, L, u), r);
    assert_true(qv_is_zero(w, back));
    assert_false(
        qv_is_zero(w, qv_sum(w, (qv[]){F, qv_neg(w, qv_scale(w, q_integer(w, 2, ratio), F))}, 2)));
    assert_false(w->inconsistent || w->failed);
    end(&b);
}

static void names_never_clash(void **state)
{
    (void)state;
    struct bench b;
    begin(&b, 17, newtons, false);
    struct work *w = &b.work;
    work_reserve(w, "R");
    work_reserve(w, "F1");
    work_reserve(w, "F_1");
    work_reserve(w, "R_x");
    q one = q_name(w, typed(w, "3", force), symbol_of_name(w, "F1"));
    q two = q_name(w, typed(w, "4", force), symbol_of_name(w, "F_1"));
    assert_string_equal(q_node(w, one)->symbol.base, "F");
    assert_string_equal(q_node(w, one)->symbol.sub, "1");
    assert_int_equal(q_node(w, one)->symbol.primed, 0);
    assert_int_equal(q_node(w, two)->symbol.primed, 1);
    /* a name's vector has the symbol of its size */
    assert_int_equal(
        qv_node(w, qv_name(w, qv_of(w, one, two, (q){0}), symbol_of_name(w, "F_1")))->symbol.primed,
        1);
    struct symbol ours = symbol_own(w, "R", NULL);
    assert_int_equal(ours.primed, 1);
    q R = q_name(w, q_add(w, one, two), ours);
    assert_int_equal(q_node(w, R)->symbol.primed, 1);
    q given = q_name(w, typed(w, "5", force), symbol_of_name(w, "R"));
    assert_int_equal(q_node(w, given)->symbol.primed, 0);
    qv v = qv_name(w, qv_of(w, one, two, (q){0}), symbol_plain("R"));
    assert_int_equal(q_node(w, qv_component(w, v, 0))->op, OP_SAME);
    assert_int_equal(q_node(w, qv_component(w, v, 0))->symbol.primed, 1);
    assert_int_equal(q_node(w, qv_component(w, v, 1))->symbol.primed, 0);
    assert_int_equal(q_node(w, qv_component(w, v, 1))->symbol.axis, 'y');
    /* a prime that is typed is a prime: S'' is free beside S and S' */
    work_reserve(w, "S");
    work_reserve(w, "S'");
    work_reserve(w, "S_1'");
    assert_int_equal(symbol_of_name(w, "S'").primed, 0);
    assert_int_equal(symbol_own(w, "S", NULL).primed, 2);
    assert_int_equal(symbol_own(w, "S", "1").primed, 0);
    assert_int_equal(symbol_own(w, "S'", "1").primed, 1);
    for (int i = 0; i < 256; i++)
        q_name(w, typed(w, "1", force), symbol_plain("Q"));
    assert_false(w->failed || w->inconsistent);
    q_name(w, typed(w, "1", force), symbol_plain("Q"));
    assert_true(w->inconsistent);
    end(&b);
}

/* ∂/∂x by differences of the whole computation, against the backward sweep inside the allowance: a
 * sum of two forces, each component written to three figures, is known by hand. */
static void allowance_by_hand(void **state)
{
    (void)state;
    struct bench b;
    begin(&b, 19, newtons, false);
    struct work *w = &b.work;
    q F = typed(w, "217.5", force), t = typed(w, "248.2", angle);
    q c = q_cos(w, t);
    q x = q_name(w, q_mul(w, F, c), symbol_axis(symbol_plain("F"), 'x'));
    bool sensitive;
    /* the roundings of cosine and component are less than the floor, 0.5 % of 217.5 */
    assert_near(allowance_of(w, x, &sensitive), 0.005 * 217.5, 1e-12);
    assert_false(sensitive);
    q y = typed(w, "-79.5", force);
    q left = q_name(w, q_sub(w, x, y), symbol_plain("D"));
    assert_near(q_value(w, left), 217.5 * cos(248.2 * TEST_PI / 180) + 79.5, 1e-12);
    assert_near(allowance_of(w, left, NULL), 0.005 * 217.5, 1e-12);
    /* an angle is never known better than 0.1° */
    q s = q_name(w, q_atan(w, q_div(w, q_abs(w, x), typed(w, "200", force))), symbol_plain("θ"));
    double ratio_value = fabs(q_value(w, x)) / 200;
    /* cos 248.2° = −0.37137 is written −0.371, never −0.372; −80.75 is a tie that may go either way
     */
    double off = -0.371 - q_value(w, c);
    double by = (off * 217.5 + 0.05) / 200 + 0.0005;
    double turned = by / (1 + ratio_value * ratio_value);
    assert_near(allowance_of(w, s, NULL), turned / (1 - turned) * 180 / TEST_PI + 0.05, 1e-9);
    end(&b);
}

/* Every row of the operations: what it hands on is the slope of its value (central differences of
 * h = 1e-5 miss it by some h²). */
static void slopes_of_the_operations(void **state)
{
    (void)state;
    const struct node worked = {.operand = {1, 2}}, *n = &worked;
    const double at[2] = {0.3725, 0.8164}, turn = 0.0174532925199432958, h = 1e-5, d = 2.5;
    double cosine = cos(at[0] * turn), sine = sin(at[0] * turn);
    for (int op = OP_NONE + 1; op < OP_MAX_; op++) {
        double out[5] = {0}, given[2] = {0}; /* at (a, b), a ± h, b ± h */
        for (int i = 4; i >= 0; i--) {
            double a = at[0] + (i == 1 ? h : i == 2 ? -h : 0.0);
            double b = at[1] + (i == 3 ? h : i == 4 ? -h : 0.0), v = 0.0;
            switch ((enum op)op) {
#define OP(name, operands, form, written, value, to_a, to_b)                                       \
    case OP_##name:                                                                                \
        out[i] = value;                                                                            \
        v = out[i];                                                                                \
        given[0] = to_a;                                                                           \
        given[1] = to_b;                                                                           \
        break;
#include "work/ops.def"
#undef OP
            case OP_MAX_:
                break;
            }
        }
        for (int k = 0; k < 2; k++) {
            double slope = (out[2 * k + 1] - out[2 * k + 2]) / (2.0 * h);
            assert_true(fabs(given[k] - d * slope) <= 1e-8 * (1.0 + fabs(given[k])));
        }
    }
}

static void closing_finds_what_is_not_set(void **state)
{
    (void)state;
    struct bench b;
    struct problem p;
    begin(&b, 23, newtons, false);
    struct work *w = &b.work;
    problem_init(&p, b.arena);
    assert_int_equal(work_close(w, &p), PROBLEM_INTERNAL);
    struct value *r = result_object(w, NULL, "resultant");
    result_number(w, r, "magnitude", q_name(w, typed(w, "5", force), symbol_plain("R")));
    w->wants_key = true;
    assert_int_equal(work_close(w, &p), PROBLEM_NONE);
    uint32_t count;
    const struct key_entry *key = work_key(w, &count);
    assert_int_equal(count, 1);
    assert_string_equal(key[0].of, "/resultant/magnitude");
    result_number(w, r, "other", typed(w, "5", force));
    w->key_count = 0;
    assert_int_equal(work_close(w, &p), PROBLEM_INTERNAL);
    end(&b);
    begin(&b, 23, newtons, false);
    problem_init(&p, b.arena);
    result_number(w, NULL, "x", (q){0});
    assert_int_equal(work_close(w, &p), PROBLEM_INTERNAL);
    end(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_and_zeros),
        cmocka_unit_test(zero_within_digits_is_an_error),
        cmocka_unit_test(units_are_converted),
        cmocka_unit_test(angles_carry_their_circle_point),
        cmocka_unit_test(vectors),
        cmocka_unit_test(names_never_clash),
        cmocka_unit_test(allowance_by_hand),
        cmocka_unit_test(slopes_of_the_operations),
        cmocka_unit_test(closing_finds_what_is_not_set),
    };
    return cmocka_run_group_tests_name("tape", tests, NULL, NULL);
}
