/* Formulas: every operation in every format, precedence, numbers, symbols, units. */
#include "rendering.h"

#include <math.h>
#include <stdio.h>

#include "check.h"
#include "random.h"

/* Rounds of the random formulas: some seconds under the sanitizers. */
#define ROUNDS 3000

static struct units in_radians(void)
{
    struct units units = kilonewtons;
    units.angle = UNIT_RAD;
    return units;
}

/* P = 217.5 kN, θ = 248.2°, L = 3.2 m, n = −1.25 */
struct givens {
    q P, theta, L, n;
};

static struct givens some_givens(struct tape *t)
{
    return (struct givens){
        .P = named(t, "P", "217.5", force, NULL),
        .theta = named(t, "θ", "248.2", angle, NULL),
        .L = named(t, "L", "3.2", length, NULL),
        .n = named(t, "n", "-1.25", ratio, NULL),
    };
}

/* ---- every operation, every format ---- */

static q operation(struct tape *t, struct givens g, enum op op)
{
    struct work *w = &t->work;
    q third = typed(t, "0.3", ratio, NULL);
    switch (op) {
    case OP_GIVEN:
        return g.P;
    case OP_CONSTANT:
        return q_turn(w, 180);
    case OP_SAME:
        return q_name(w, g.P, symbol_plain("Q"));
    case OP_SUM:
        return q_sum(w, (q[]){g.P, q_neg(w, g.P), q_mul(w, g.n, g.P)}, 3);
    case OP_SUB:
        return q_sub(w, g.P, q_mul(w, g.n, g.P));
    case OP_MUL:
        return q_mul(w, g.P, g.L);
    case OP_DIV:
        return q_div(w, g.P, g.L);
    case OP_NEG:
        return q_neg(w, g.P);
    case OP_SQUARE:
        return q_square(w, g.n);
    case OP_SQRT:
        return q_sqrt(w, q_add(w, q_square(w, g.P), q_square(w, g.P)));
    case OP_ABS:
        return q_abs(w, g.n);
    case OP_SIN:
        return q_sin(w, g.theta);
    case OP_COS:
        return q_cos(w, g.theta);
    case OP_TAN:
        return q_tan(w, g.theta);
    case OP_ASIN:
        return q_asin(w, third);
    case OP_ACOS:
        return q_acos(w, third);
    case OP_ATAN:
        return q_atan(w, q_div(w, g.n, third));
    case OP_CONVERT:
        return typed(t, "2.5", length, "km");
    case OP_DOT:
    case OP_NORM:
    case OP_UNKNOWN:
    case OP_NONE:
    case OP_MAX_:
        break;
    }
    return (q){0};
}

static const struct golden {
    enum op op;
    const char *text, *latex, *mathml, *speech;
} goldens[] = {
    {OP_GIVEN, "P = 217.5 kN", "P = 217.5\\,\\mathrm{kN}",
     "<mi>P</mi><mo>=</mo><mn>217.5</mn><mtext>\u00a0kN</mtext>", "P equals 217.5 kilonewtons."},
    {OP_CONSTANT, "y = 180°", "y = 180^{\\circ}",
     "<mi>y</mi><mo>=</mo><mrow><mn>180</mn><mo lspace=\"0\" rspace=\"0\">°</mo></mrow>",
     "y equals 180 degrees."},
    {OP_SAME, "Q = P = 217.5 kN", "Q = P = 217.5\\,\\mathrm{kN}",
     "<mi>Q</mi><mo>=</mo><mi>P</mi><mo>=</mo><mn>217.5</mn><mtext>\u00a0kN</mtext>",
     "Q equals P, equals 217.5 kilonewtons."},
    {OP_SUM, "y = P − P + n P = 217.5 − 217.5 + (−1.25) · 217.5 = −272 kN",
     "y = P - P + n P = 217.5 - 217.5 + \\left(-1.25\\right) \\cdot 217.5 = -272\\,\\mathrm{kN}",
     "<mi>y</mi><mo>=</mo><mi>P</mi><mo>−</mo><mi>P</mi><mo>+</mo><mi>n</mi><mo>\u2062</mo>"
     "<mi>P</mi><mo>=</mo><mn>217.5</mn><mo>−</mo><mn>217.5</mn><mo>+</mo><mrow><mo>(</mo>"
     "<mo form=\"prefix\">−</mo><mn>1.25</mn><mo>)</mo></mrow><mo>·</mo><mn>217.5</mn><mo>=</mo>"
     "<mo form=\"prefix\">−</mo><mn>272</mn><mtext>\u00a0kN</mtext>",
     "y equals P minus P plus n times P, equals 217.5 minus 217.5 plus open bracket minus 1.25 "
     "close bracket times 217.5, equals minus 272 kilonewtons."},
    {OP_SUB, "y = P − n P = 217.5 − (−1.25) · 217.5 = 489 kN",
     "y = P - n P = 217.5 - \\left(-1.25\\right) \\cdot 217.5 = 489\\,\\mathrm{kN}", NULL,
     "y equals P minus n times P, equals 217.5 minus open bracket minus 1.25 close bracket times "
     "217.5, equals 489 kilonewtons."},
    {OP_MUL, "y = P L = 217.5 · 3.2 = 696 kN·m",
     "y = P L = 217.5 \\cdot 3.2 = 696\\,\\mathrm{kN\\cdot m}",
     "<mi>y</mi><mo>=</mo><mi>P</mi><mo>\u2062</mo><mi>L</mi><mo>=</mo><mn>217.5</mn><mo>·</mo>"
     "<mn>3.2</mn><mo>=</mo><mn>696</mn><mtext>\u00a0kN·m</mtext>",
     "y equals P times L, equals 217.5 times 3.2, equals 696 kilonewton metres."},
    {OP_DIV, "y = P/L = 217.5/3.2 = 68.0 kN/m",
     "y = \\frac{P}{L} = \\frac{217.5}{3.2} = 68.0\\,\\mathrm{kN/m}",
     "<mi>y</mi><mo>=</mo><mfrac><mrow><mi>P</mi></mrow><mrow><mi>L</mi></mrow></mfrac><mo>=</mo>"
     "<mfrac><mrow><mn>217.5</mn></mrow><mrow><mn>3.2</mn></mrow></mfrac><mo>=</mo><mn>68.0</mn>"
     "<mtext>\u00a0kN/m</mtext>",
     "y equals P over L, equals 217.5 over 3.2, equals 68.0 kilonewtons per metre."},
    {OP_NEG, "y = −P = −217.5 kN", "y = -P = -217.5\\,\\mathrm{kN}", NULL,
     "y equals minus P, equals minus 217.5 kilonewtons."},
    {OP_SQUARE, "y = n² = (−1.25)² = 1.56", "y = n^{2} = \\left(-1.25\\right)^{2} = 1.56",
     "<mi>y</mi><mo>=</mo><msup><mi>n</mi><mn>2</mn></msup><mo>=</mo><msup><mrow><mo>(</mo>"
     "<mo form=\"prefix\">−</mo><mn>1.25</mn><mo>)</mo></mrow><mn>2</mn></msup><mo>=</mo>"
     "<mn>1.56</mn>",
     "y equals n squared, equals open bracket minus 1.25 close bracket squared, equals 1.56."},
    {OP_SQRT, "y = √(P² + P²) = √(217.5² + 217.5²) = 308 kN",
     "y = \\sqrt{P^{2} + P^{2}} = \\sqrt{217.5^{2} + 217.5^{2}} = 308\\,\\mathrm{kN}",
     "<mi>y</mi><mo>=</mo><msqrt><msup><mi>P</mi><mn>2</mn></msup><mo>+</mo><msup><mi>P</mi>"
     "<mn>2</mn></msup></msqrt><mo>=</mo><msqrt><msup><mn>217.5</mn><mn>2</mn></msup><mo>+</mo>"
     "<msup><mn>217.5</mn><mn>2</mn></msup></msqrt><mo>=</mo><mn>308</mn><mtext>\u00a0kN</mtext>",
     "y equals the square root of open bracket P squared plus P squared close bracket, equals the "
     "square root of open bracket 217.5 squared plus 217.5 squared close bracket, equals 308 "
     "kilonewtons."},
    {OP_ABS, "y = |n| = |−1.25| = 1.25", "y = \\left|n\\right| = \\left|-1.25\\right| = 1.25",
     "<mi>y</mi><mo>=</mo><mrow><mo>|</mo><mi>n</mi><mo>|</mo></mrow><mo>=</mo><mrow><mo>|</mo>"
     "<mo form=\"prefix\">−</mo><mn>1.25</mn><mo>|</mo></mrow><mo>=</mo><mn>1.25</mn>",
     "y equals the absolute value of n, equals the absolute value of open bracket minus 1.25 close "
     "bracket, equals 1.25."},
    {OP_SIN, "y = sin θ = sin 248.2° = −0.928", "y = \\sin \\theta = \\sin 248.2^{\\circ} = -0.928",
     "<mi>y</mi><mo>=</mo><mi>sin</mi><mo>\u2061</mo><mi>θ</mi><mo>=</mo><mi>sin</mi>"
     "<mo>\u2061</mo><mrow><mn>248.2</mn><mo lspace=\"0\" rspace=\"0\">°</mo></mrow><mo>=</mo>"
     "<mo form=\"prefix\">−</mo><mn>0.928</mn>",
     "y equals the sine of theta, equals the sine of 248.2 degrees, equals minus 0.928."},
    {OP_COS, "y = cos θ = cos 248.2° = −0.371", "y = \\cos \\theta = \\cos 248.2^{\\circ} = -0.371",
     NULL, "y equals the cosine of theta, equals the cosine of 248.2 degrees, equals minus 0.371."},
    {OP_TAN, "y = tan θ = tan 248.2° = 2.50", "y = \\tan \\theta = \\tan 248.2^{\\circ} = 2.50",
     NULL, "y equals the tangent of theta, equals the tangent of 248.2 degrees, equals 2.50."},
    {OP_ASIN, "y = sin⁻¹(0.3) = 17.5°", "y = \\sin^{-1}\\left(0.3\\right) = 17.5^{\\circ}",
     "<mi>y</mi><mo>=</mo><msup><mi>sin</mi><mrow><mo>−</mo><mn>1</mn></mrow></msup><mo>\u2061</mo>"
     "<mrow><mo>(</mo><mn>0.3</mn><mo>)</mo></mrow><mo>=</mo><mrow><mn>17.5</mn>"
     "<mo lspace=\"0\" rspace=\"0\">°</mo></mrow>",
     "y equals the inverse sine of 0.3, equals 17.5 degrees."},
    {OP_ACOS, "y = cos⁻¹(0.3) = 72.5°", "y = \\cos^{-1}\\left(0.3\\right) = 72.5^{\\circ}", NULL,
     "y equals the inverse cosine of 0.3, equals 72.5 degrees."},
    {OP_ATAN, "y = tan⁻¹(n/0.3) = tan⁻¹(−1.25/0.3) = −76.5°",
     "y = \\tan^{-1}\\left(\\frac{n}{0.3}\\right) = \\tan^{-1}\\left(-\\frac{1.25}{0.3}\\right) = "
     "-76.5^{\\circ}",
     NULL,
     "y equals the inverse tangent of open bracket n over 0.3 close bracket, equals the inverse "
     "tangent of open bracket minus 1.25 over 0.3 close bracket, equals minus 76.5 degrees."},
    {OP_CONVERT, "y = 2.5 km = 2.5 · 1000 m = 2500 m",
     "y = 2.5\\,\\mathrm{km} = 2.5 \\cdot 1000\\,\\mathrm{m} = 2500\\,\\mathrm{m}",
     "<mi>y</mi><mo>=</mo><mn>2.5</mn><mtext>\u00a0km</mtext><mo>=</mo><mn>2.5</mn><mo>·</mo>"
     "<mn>1000</mn><mtext>\u00a0m</mtext><mo>=</mo><mn>2500</mn><mtext>\u00a0m</mtext>",
     "y equals 2.5 kilometres, equals 2.5 times 1000 metres, equals 2500 metres."},
};

static void every_operation(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof goldens / sizeof *goldens; i++) {
        const struct golden *golden = &goldens[i];
        struct tape t;
        tape_begin(&t, kilonewtons, false);
        q x = operation(&t, some_givens(&t), golden->op);
        assert_false(q_is_none(x));
        if (q_node(&t.work, x)->symbol.base == NULL)
            x = q_name(&t.work, x, symbol_plain("y"));
        work_define(&t.work, x);
        assert_string_equal(last_lines(&t, FORMAT_TEXT), golden->text);
        assert_string_equal(last_lines(&t, FORMAT_LATEX), golden->latex);
        if (golden->mathml != NULL)
            assert_string_equal(bare_mathml(&t, last_lines(&t, FORMAT_MATHML)), golden->mathml);
        assert_string_equal(last_lines(&t, FORMAT_SPEECH), golden->speech);
        tape_end(&t);
    }
}

/* An unknown has no formula: the value is all there is. */
static void an_unknown(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q x = q_mul(w, typed(&t, "-3", ratio, NULL), typed(&t, "4.125", force, NULL));
    w->node[x.i].op = OP_UNKNOWN; /* as a linear system leaves it */
    x = q_name(w, x, symbol_axis(symbol_plain("A"), 'y'));
    assert_string_equal(line_of(&t, x), "A_y = −12.4 kN");
    q twice = q_name(w, q_mul(w, q_integer(w, 2, ratio), x), symbol_plain("B"));
    assert_string_equal(line_of(&t, twice), "B = 2 A_y = 2(−12.4) = −24.8 kN");
    tape_end(&t);
}

/* ---- precedence and the habits of the board ---- */

static void brackets(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    struct givens g = some_givens(&t);
    q F = named(&t, "F1", "26", force, NULL), d = named(&t, "d", "1.5", length, NULL);
    q two = q_integer(w, 2, ratio), y = g.n;
    q sum = q_add(w, g.P, F), cosine = q_cos(w, g.theta), sine = q_sin(w, g.theta);
    q product = q_mul(w, F, cosine);
    const struct {
        q x;
        const char *formula;
    } cases[] = {
        {q_mul(w, two, sum), "2(P + F_1)"},
        {q_mul(w, F, q_add(w, g.L, d)), "F_1 (L + d)"},
        {q_mul(w, sum, sum), "(P + F_1)(P + F_1)"},
        {q_mul(w, sum, g.L), "(P + F_1) L"},
        {product, "F_1 cos θ"},
        {q_mul(w, product, d), "(F_1 cos θ) d"},
        {q_mul(w, cosine, d), "(cos θ) d"},
        {q_mul(w, d, product), "d F_1 cos θ"},
        {q_div(w, product, d), "(F_1 cos θ)/d"},
        {q_div(w, F, cosine), "F_1/cos θ"},
        {q_div(w, q_mul(w, F, d), q_mul(w, two, g.L)), "F_1 d/(2 L)"},
        {q_div(w, q_div(w, F, d), g.L), "(F_1/d)/L"},
        {q_div(w, F, q_div(w, d, g.L)), "F_1/(d/L)"},
        {q_mul(w, q_div(w, F, d), g.L), "(F_1/d) L"},
        {q_mul(w, g.L, q_div(w, F, d)), "L (F_1/d)"},
        {q_mul(w, two, q_div(w, F, d)), "2(F_1/d)"},
        {q_mul(w, q_div(w, q_integer(w, 12, ratio), q_integer(w, 13, ratio)), F), "(12/13) F_1"},
        {q_mul(w, F, q_div(w, q_integer(w, -5, ratio), q_integer(w, 13, ratio))), "F_1 (−5/13)"},
        {q_square(w, sum), "(P + F_1)²"},
        {q_square(w, q_mul(w, two, F)), "(2 F_1)²"},
        {q_square(w, q_neg(w, F)), "(−F_1)²"},
        {q_square(w, q_div(w, F, d)), "(F_1/d)²"},
        {q_square(w, q_square(w, F)), "(F_1²)²"},
        {q_square(w, q_sqrt(w, two)), "(√2)²"},
        {q_square(w, cosine), "cos² θ"},
        {q_add(w, q_square(w, cosine), q_square(w, sine)), "cos² θ + sin² θ"},
        {q_mul(w, q_square(w, cosine), d), "(cos² θ) d"},
        {q_square(w, q_cos(w, q_neg(w, g.theta))), "cos²(−θ)"},
        {q_sqrt(w, two), "√2"},
        {q_sqrt(w, q_add(w, two, q_sqrt(w, q_integer(w, 3, ratio)))), "√(2 + √3)"},
        {q_sqrt(w, q_square(w, F)), "√(F_1²)"},
        {q_mul(w, two, q_sqrt(w, two)), "2 √2"},
        {q_mul(w, q_sqrt(w, two), F), "√2 F_1"},
        {q_mul(w, q_sqrt(w, q_integer(w, 3, ratio)), two), "√3 · 2"},
        {q_cos(w, q_sub(w, q_turn(w, 180), g.theta)), "cos(180° − θ)"},
        {q_cos(w, q_div(w, g.theta, two)), "cos(θ/2)"},
        {q_cos(w, q_mul(w, two, g.theta)), "cos(2 θ)"},
        {q_cos(w, q_atan(w, two)), "cos(tan⁻¹(2))"},
        {q_mul(w, F, q_abs(w, y)), "F_1 · |n|"},
        {q_mul(w, q_abs(w, y), F), "|n| F_1"},
        {q_abs(w, q_sub(w, q_abs(w, y), two)), "||n| − 2|"},
        {q_neg(w, product), "−F_1 cos θ"},
        {q_neg(w, sum), "−(P + F_1)"},
        {q_neg(w, q_neg(w, F)), "−(−F_1)"},
        {q_neg(w, q_div(w, F, d)), "−F_1/d"},
        {q_div(w, q_neg(w, F), d), "−F_1/d"},
        {q_div(w, F, q_neg(w, d)), "F_1/(−d)"},
        {q_mul(w, q_neg(w, F), d), "(−F_1) d"},
        {q_sub(w, F, q_neg(w, g.P)), "F_1 − (−P)"},
        {q_sub(w, F, sum), "F_1 − (P + F_1)"},
        {q_sub(w, F, q_sub(w, F, g.P)), "F_1 − (F_1 − P)"},
        {q_sub(w, q_sub(w, F, g.P), F), "F_1 − P − F_1"},
        {q_add(w, F, q_sub(w, g.P, F)), "F_1 + P − F_1"},
        {q_sum(w, (q[]){q_neg(w, F), q_add(w, g.P, q_neg(w, product)), q_neg(w, sum)}, 3),
         "−F_1 + P − F_1 cos θ − (P + F_1)"},
        {q_sum(w, (q[]){F, q_div(w, q_neg(w, product), two)}, 2), "F_1 − (F_1 cos θ)/2"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char name[12];
        snprintf(name, sizeof name, "y_%zu", i);
        q x = q_name(w, cases[i].x, symbol_of_name(w, arena_printf(t.arena, "%s", name)));
        const char *line = line_of(&t, x);
        const char *formula = strstr(line, " = ") + 3;
        size_t n = (size_t)(strstr(formula, " = ") - formula);
        assert_string_equal(arena_text(t.arena, formula, n), cases[i].formula);
        w->node[x.i].symbol.base = NULL; /* it is part of others */
    }
    tape_end(&t);
}

/* The same signs with numbers: what is negative by value joins the sum, or stands in brackets. */
static void negative_numbers(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q a = named(&t, "a", "10.4", force, NULL), b = named(&t, "b", "-24.50", force, NULL);
    q x = named(&t, "x", "-4", length, NULL);
    q sum = q_name(w, q_sum(w, (q[]){b, a, q_neg(w, a), b}, 4), symbol_plain("S"));
    assert_string_equal(line_of(&t, sum),
                        "S = b + a − a + b = −24.50 + 10.4 − 10.4 − 24.50 = −49.0 kN");
    q difference = q_name(w, q_sub(w, a, b), symbol_plain("D"));
    assert_string_equal(line_of(&t, difference), "D = a − b = 10.4 − (−24.50) = 34.9 kN");
    q turn = q_name(w, q_sub(w, q_mul(w, x, a), q_mul(w, x, b)), symbol_plain("M"));
    assert_string_equal(line_of(&t, turn),
                        "M = x a − x b = (−4) · 10.4 − (−4)(−24.50) = −140 kN·m");
    q opposite = q_name(w, q_neg(w, b), symbol_plain("N"));
    assert_string_equal(line_of(&t, opposite), "N = −b = −(−24.50) = 24.50 kN");
    q quotient = q_name(w, q_add(w, a, q_div(w, b, q_integer(w, 2, ratio))), symbol_plain("Q"));
    assert_string_equal(line_of(&t, quotient), "Q = a + b/2 = 10.4 − 24.50/2 = −1.85 kN");
    q below = q_name(w, q_div(w, a, b), symbol_plain("q"));
    assert_string_equal(line_of(&t, below), "q = a/b = 10.4/(−24.50) = −0.424");
    assert_string_equal(last_lines(&t, FORMAT_LATEX),
                        "q = \\frac{a}{b} = \\frac{10.4}{-24.50} = -0.424");
    tape_end(&t);
}

/* ---- numbers ---- */

static void numbers(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    const struct {
        const char *typed, *text, *latex, *speech;
    } givens[] = {
        {"12.50", "= 12.50 kN", "12.50", "12.50 kilonewtons"},
        {"-0.5", "= −0.5 kN", "-0.5", "minus 0.5 kilonewtons"},
        {"1", "= 1 kN", "1", "1 kilonewton."},
        {"-1", "= −1 kN", "-1", "minus 1 kilonewtons"},
        {"0", "= 0 kN", "0", "0 kilonewtons"},
        {"-0.0", "= 0.0 kN", "0.0", "0.0 kilonewtons"},
        {"1.20e3", "= 1.20·10³ kN", "1.20 \\cdot 10^{3}", "1.20 times 10 to the power 3"},
        {"4E-12", "= 4·10⁻¹² kN", "4 \\cdot 10^{-12}", "4 times 10 to the power minus 12"},
        {"7e0", "= 7 kN", "7", "7 kilonewtons"},
    };
    for (size_t i = 0; i < sizeof givens / sizeof *givens; i++) {
        q x = q_name(w, typed(&t, givens[i].typed, force, NULL), symbol_own(w, "F", NULL));
        work_define(w, x);
        assert_non_null(strstr(last_lines(&t, FORMAT_TEXT), givens[i].text));
        assert_non_null(strstr(last_lines(&t, FORMAT_LATEX), givens[i].latex));
        assert_non_null(strstr(last_lines(&t, FORMAT_SPEECH), givens[i].speech));
    }
    /* A number with a power of ten is no atom. */
    q x = named(&t, "x", "1.20e3", force, NULL), y = q_integer(w, 2, ratio);
    assert_string_equal(
        line_of(&t, q_name(w, q_div(w, q_mul(w, y, x), q_mul(w, y, x)), symbol_plain("r"))),
        "r = 2 x/(2 x) = 2 · 1.20·10³/(2 · 1.20·10³) = 1.00");
    assert_string_equal(line_of(&t, q_name(w, q_sqrt(w, q_square(w, x)), symbol_plain("s"))),
                        "s = √(x²) = √((1.20·10³)²) = 1200 kN");
    tape_end(&t);
}

static const char *value_of_line(struct tape *t, const char *text, struct dimension d)
{
    struct work *w = &t->work;
    q x = q_mul(w, typed(t, text, d, NULL), q_integer(w, 1, ratio));
    const char *line = line_of(t, q_name(w, x, symbol_own(w, "v", NULL)));
    const char *last = line, *c = line;
    while ((c = strstr(c, " = ")) != NULL)
        last = c += 3;
    return last;
}

static void rounding(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    assert_string_equal(value_of_line(&t, "217.5", force), "218 kN");
    assert_string_equal(value_of_line(&t, "0.0123456", force), "0.0123 kN");
    assert_string_equal(value_of_line(&t, "123456", force), "123000 kN");
    assert_string_equal(value_of_line(&t, "24", force), "24.0 kN");
    assert_string_equal(value_of_line(&t, "12345678", force), "1.23·10⁷ kN");
    assert_string_equal(value_of_line(&t, "-0.00001234", force), "−1.23·10⁻⁵ kN");
    assert_string_equal(value_of_line(&t, "9.996", force), "10.0 kN");
    assert_string_equal(value_of_line(&t, "0.92308", ratio), "0.923");
    assert_string_equal(value_of_line(&t, "248.2499", angle), "248.2°");
    assert_string_equal(value_of_line(&t, "0.04", angle), "0.0°");
    assert_string_equal(value_of_line(&t, "-0.04", angle), "0.0°");
    assert_string_equal(value_of_line(&t, "-0.06", angle), "−0.1°");
    t.options.one_more_after_one = true;
    assert_string_equal(value_of_line(&t, "12.345", force), "12.35 kN");
    assert_string_equal(value_of_line(&t, "217.5", force), "218 kN");
    t.options.one_more_after_one = false;
    t.options.figures = 5;
    assert_string_equal(value_of_line(&t, "12.3456", force), "12.346 kN");
    assert_string_equal(value_of_line(&t, "22.619864", angle), "22.620°");
    t.options.figures = 4;
    assert_string_equal(value_of_line(&t, "22.619864", angle), "22.62°");
    t.options.figures = 1;
    assert_string_equal(value_of_line(&t, "22.619864", angle), "22.6°");
    t.options.figures = 12;
    assert_string_equal(value_of_line(&t, "217.5", force), "217.500000000 kN");
    tape_end(&t);
}

/* Zero by cancellation of roots is 0, not a leftover. */
static void an_exact_zero(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q F = named(&t, "F1", "217.5", force, NULL), angle_a = typed(&t, "68.2", angle, NULL),
      angle_b = typed(&t, "248.2", angle, NULL);
    q sum = q_add(w, q_mul(w, F, q_cos(w, angle_a)), q_mul(w, F, q_cos(w, angle_b)));
    assert_string_equal(line_of(&t, q_name(w, sum, symbol_plain("S"))),
                        "S = F_1 cos 68.2° + F_1 cos 248.2° = 217.5 cos 68.2° + 217.5 cos 248.2° = "
                        "0 kN");
    assert_string_equal(last_lines(&t, FORMAT_SPEECH),
                        "S equals F sub 1 times the cosine of 68.2 degrees, plus F sub 1 times the "
                        "cosine of 248.2 degrees, equals 217.5 times the cosine of 68.2 degrees, "
                        "plus 217.5 times the cosine of 248.2 degrees, equals 0 kilonewtons.");
    tape_end(&t);
}

static void radians(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, in_radians(), false);
    struct work *w = &t.work;
    w->radian_decimals = 3;
    q phi = named(&t, "φ", "0.394", angle, NULL), P = named(&t, "P", "217.5", force, NULL);
    assert_string_equal(line_of(&t, phi), "φ = 0.394 rad");
    assert_string_equal(line_of(&t, q_name(w, q_mul(w, P, q_cos(w, phi)), symbol_plain("X"))),
                        "X = P cos φ = 217.5 cos(0.394 rad) = 201 kN");
    assert_string_equal(last_lines(&t, FORMAT_LATEX),
                        "X = P \\cos \\varphi = 217.5 \\cos\\left(0.394\\,\\mathrm{rad}\\right) = "
                        "201\\,\\mathrm{kN}");
    q turn = q_name(w, q_sub(w, q_turn(w, 180), phi), symbol_plain("θ"));
    assert_string_equal(line_of(&t, turn), "θ = π − φ = π − 0.394 rad = 2.75 rad");
    assert_string_equal(last_lines(&t, FORMAT_SPEECH),
                        "theta equals pi minus phi, equals pi minus 0.394 radians, equals 2.75 "
                        "radians.");
    q half = q_name(w, q_sum(w, (q[]){q_turn(w, 90), q_turn(w, 270), q_turn(w, 360), phi}, 4),
                    symbol_plain("β"));
    assert_string_equal(line_of(&t, half),
                        "β = π/2 + 3π/2 + 2π + φ = π/2 + 3π/2 + 2π + 0.394 rad = 13.0 rad");
    assert_string_equal(
        bare_mathml(&t, last_lines(&t, FORMAT_MATHML)),
        "<mi>β</mi><mo>=</mo><mfrac><mrow><mrow><mi>π</mi></mrow></mrow><mrow><mn>2</mn></mrow>"
        "</mfrac><mo>+</mo><mfrac><mrow><mrow><mn>3</mn><mi>π</mi></mrow></mrow><mrow><mn>2</mn>"
        "</mrow></mfrac><mo>+</mo><mrow><mn>2</mn><mi>π</mi></mrow><mo>+</mo><mi>φ</mi><mo>=</mo>"
        "<mfrac><mrow><mrow><mi>π</mi></mrow></mrow><mrow><mn>2</mn></mrow></mfrac><mo>+</mo>"
        "<mfrac><mrow><mrow><mn>3</mn><mi>π</mi></mrow></mrow><mrow><mn>2</mn></mrow></mfrac>"
        "<mo>+</mo><mrow><mn>2</mn><mi>π</mi></mrow><mo>+</mo><mn>0.394</mn>"
        "<mtext>\u00a0rad</mtext><mo>=</mo><mn>13.0</mn><mtext>\u00a0rad</mtext>");
    q degrees = named(&t, "γ", "22.5", angle, "deg");
    assert_string_equal(line_of(&t, degrees), "γ = 22.5° = 22.5(π/180) = 0.393 rad");
    tape_end(&t);
}

/* ---- units and conversions ---- */

static void conversions(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    assert_string_equal(line_of(&t, named(&t, "F1", "26000", force, "N")),
                        "F_1 = 26000 N = 26000/1000 kN = 26.0 kN");
    assert_string_equal(last_lines(&t, FORMAT_LATEX),
                        "F_{1} = 26000\\,\\mathrm{N} = \\frac{26000}{1000}\\,\\mathrm{kN} = "
                        "26.0\\,\\mathrm{kN}");
    assert_string_equal(last_lines(&t, FORMAT_SPEECH),
                        "F sub 1 equals 26000 newtons, equals 26000 over 1000 kilonewtons, equals "
                        "26.0 kilonewtons.");
    assert_string_equal(line_of(&t, named(&t, "F2", "-2.5", force, "MN")),
                        "F_2 = −2.5 MN = (−2.5) · 1000 kN = −2500 kN");
    assert_string_equal(line_of(&t, named(&t, "F3", "-2500", force, "N")),
                        "F_3 = −2500 N = −2500/1000 kN = −2.50 kN");
    assert_string_equal(line_of(&t, named(&t, "M1", "3.5", moment, "N·m")),
                        "M_1 = 3.5 N·m = 3.5/1000 kN·m = 0.00350 kN·m");
    q alpha = named(&t, "α", "0.5", angle, "rad");
    assert_string_equal(line_of(&t, alpha), "α = 0.5 rad = 0.5(180°/π) = 28.6°");
    assert_string_equal(line_of(&t, named(&t, "β", "1.5e-7", angle, NULL)), "β = 1.5·10⁻⁷°");
    assert_string_equal(last_lines(&t, FORMAT_LATEX), "\\beta = {1.5 \\cdot 10^{-7}}^{\\circ}");
    assert_string_equal(line_of(&t, q_name(w, q_cos(w, alpha), symbol_plain("c"))),
                        "c = cos α = cos 28.6° = 0.878");
    /* the unit it is measured in anyway: nothing to convert */
    assert_string_equal(line_of(&t, named(&t, "F4", "7.25", force, "kN")), "F_4 = 7.25 kN");
    /* a conversion without a name stands in the formula */
    q P = named(&t, "P", "4.2", force, NULL), d = typed(&t, "850", length, "mm");
    assert_string_equal(line_of(&t, q_name(w, q_mul(w, P, d), symbol_plain("M"))),
                        "M = P (850/1000) = 4.2(850/1000) = 3.57 kN·m");
    q e = typed(&t, "0.85", length, "km");
    assert_string_equal(line_of(&t, q_name(w, q_div(w, P, e), symbol_plain("w"))),
                        "w = P/(0.85 · 1000) = 4.2/(0.85 · 1000) = 0.00494 kN/m");
    tape_end(&t);
}

static void weights(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q m = named(&t, "m", "1.2", mass, "Mg");
    assert_string_equal(line_of(&t, m), "m = 1.2 Mg = 1.2 · 1000 kg = 1200 kg");
    q g = q_name(w, q_constant(w, "9.81", acceleration), symbol_plain("g"));
    assert_string_equal(line_of(&t, g), "g = 9.81 m/s²");
    assert_string_equal(last_lines(&t, FORMAT_LATEX), "g = 9.81\\,\\mathrm{m/s^{2}}");
    assert_string_equal(last_lines(&t, FORMAT_SPEECH), "g equals 9.81 metres per second squared.");
    assert_string_equal(line_of(&t, q_name(w, q_mul(w, m, g), symbol_plain("W"))),
                        "W = m g = 1200 · 9.81 = 11800 N = 11800/1000 kN = 11.8 kN");
    tape_end(&t);
}

static void units_of_every_kind(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, (struct units){.force = UNIT_LB, .length = UNIT_FT}, false);
    struct work *w = &t.work;
    q F = named(&t, "F", "40", force, NULL), L = named(&t, "L", "2.5", length, NULL);
    const struct {
        q x;
        const char *text, *speech;
    } cases[] = {
        {q_mul(w, F, L), "100 lb·ft", "100 pound feet."},
        {q_div(w, F, L), "16.0 lb/ft", "16.0 pounds per foot."},
        {q_square(w, F), "1600 lb²", "1600 pounds squared."},
        {q_mul(w, F, q_square(w, L)), "250 lb·ft²", "250 pound feet squared."},
        {q_div(w, q_integer(w, 1, ratio), L), "0.400 /ft", "0.400 per foot."},
        {q_div(w, F, F), "1.00", "equals 1.00."},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        work_define(w, q_name(w, cases[i].x, symbol_own(w, "v", NULL)));
        const char *text = last_lines(&t, FORMAT_TEXT), *speech = last_lines(&t, FORMAT_SPEECH);
        assert_string_equal(text + strlen(text) - strlen(cases[i].text), cases[i].text);
        assert_string_equal(speech + strlen(speech) - strlen(cases[i].speech), cases[i].speech);
    }
    /* A vector is of many units, whatever its first component. */
    q one = typed(&t, "1", length, NULL), two = typed(&t, "2", length, NULL);
    t.options.notation = NOTATION_VECTOR;
    work_define_vector(w, qv_name(w, qv_of(w, one, two, (q){0}), symbol_own(w, "r", NULL)));
    assert_string_equal(last_lines(&t, FORMAT_SPEECH), "vector r equals 1 i plus 2 j feet.");
    tape_end(&t);
}

/* ---- symbols ---- */

static void symbols(void **state)
{
    (void)state;
    const struct {
        struct symbol s;
        const char *text, *latex, *mathml, *speech;
    } cases[] = {
        {{.base = "F"}, "F", "F", "<mi>F</mi>", "F"},
        {{.base = "F", .sub = "1"},
         "F_1",
         "F_{1}",
         "<msub><mi>F</mi><mrow><mn>1</mn></mrow></msub>",
         "F sub 1"},
        {{.base = "F", .sub = "1", .axis = 'x'},
         "F_1x",
         "F_{1x}",
         "<msub><mi>F</mi><mrow><mn>1</mn><mi>x</mi></mrow></msub>",
         "F sub 1 x"},
        {{.base = "R", .axis = 'y', .primed = 1},
         "R_y'",
         "{R_{y}'}",
         "<msubsup><mi>R</mi><mrow><mi>y</mi></mrow><mo>′</mo></msubsup>",
         "R sub y prime"},
        {{.base = "θ", .primed = 2},
         "θ''",
         "{\\theta''}",
         "<msup><mi>θ</mi><mo>′′</mo></msup>",
         "theta prime prime"},
        {{.base = "r", .sub = "A,B1", .axis = 'z'},
         "r_A,B1z",
         "r_{A,B1z}",
         "<msub><mi>r</mi><mrow><mi>A,B1</mi><mi>z</mi></mrow></msub>",
         "r sub A,B1 z"},
        {{.base = "M", .sub = "F_A", .axis = 'x'},
         "M_F_Ax",
         "M_{F_{A}x}",
         "<msub><mi>M</mi><mrow><msub><mi>F</mi><mi>A</mi></msub><mi>x</mi></mrow></msub>",
         "M sub F A x"},
        {{.base = "AB"}, "AB", "\\mathit{AB}", "<mi>AB</mi>", "A B"},
        {{.base = "F", .sub = "AB"},
         "F_AB",
         "F_{AB}",
         "<msub><mi>F</mi><mrow><mi>AB</mi></mrow></msub>",
         "F sub A B"},
        {{.base = "Mastfuss"}, "Mastfuss", "\\mathit{Mastfuss}", "<mi>Mastfuss</mi>", "Mastfuss"},
        {{.base = "T'"}, "T'", "{T'}", "<mi>T'</mi>", "T prime"},
        {{.base = "T'", .axis = 'x'},
         "T'_x",
         "{T'}_{x}",
         "<msub><mi>T'</mi><mrow><mi>x</mi></mrow></msub>",
         "T prime sub x"},
        {{.base = "a_b_c"}, "a_b_c", "\\mathit{a\\_b\\_c}", "<mi>a_b_c</mi>", "a b c"},
        {{.base = "É", .sub = "2"},
         "É_2",
         "\\text{É}_{2}",
         "<msub><mi>É</mi><mrow><mn>2</mn></mrow></msub>",
         "É sub 2"},
        {{.base = "Ж"}, "Ж", "\\text{Ж}", "<mi>Ж</mi>", "Ж"},
        {{.base = "λ", .sub = "θ", .axis = 'u'},
         "λ_θu",
         "\\lambda_{\\theta u}",
         "<msub><mi>λ</mi><mrow><mi>θ</mi><mi>u</mi></mrow></msub>",
         "lambda sub theta u"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct tape t;
        tape_begin(&t, kilonewtons, false);
        struct work *w = &t.work;
        q x = q_name(w, typed(&t, "217.5", force, NULL), cases[i].s);
        w->node[x.i].symbol = cases[i].s;
        work_define(w, x);
        assert_string_equal(last_lines(&t, FORMAT_TEXT),
                            arena_printf(t.arena, "%s = 217.5 kN", cases[i].text));
        assert_string_equal(last_lines(&t, FORMAT_LATEX),
                            arena_printf(t.arena, "%s = 217.5\\,\\mathrm{kN}", cases[i].latex));
        assert_string_equal(bare_mathml(&t, last_lines(&t, FORMAT_MATHML)),
                            arena_printf(t.arena,
                                         "%s<mo>=</mo><mn>217.5</mn><mtext>\u00a0kN</mtext>",
                                         cases[i].mathml));
        assert_string_equal(last_lines(&t, FORMAT_SPEECH),
                            arena_printf(t.arena, "%s equals 217.5 kilonewtons.", cases[i].speech));
        /* A symbol is one thing to its exponent, and no number to a bracket. */
        q y = q_name(w, q_square(w, x), symbol_own(w, "y", NULL));
        assert_non_null(strstr(line_of(&t, y), arena_printf(t.arena, "= %s² =", cases[i].text)));
        assert_non_null(strstr(last_lines(&t, FORMAT_LATEX),
                               arena_printf(t.arena, "= %s^{2} =", cases[i].latex)));
        q z = q_name(w, q_mul(w, x, q_add(w, x, x)), symbol_own(w, "z", NULL));
        assert_non_null(
            strstr(line_of(&t, z), arena_printf(t.arena, "= %s (%s + %s) =", cases[i].text,
                                                cases[i].text, cases[i].text)));
        tape_end(&t);
    }
}

/* ---- random formulas, read back ---- */

/* A reader of formulas of unnamed numbers, by the grammar of render.h; each format has its words.
 */
struct words {
    enum format format;
    const char *open, *close, *bar[2], *root[2], *squared, *plus, *minus, *negative, *over,
        *degrees;
    const char *times[3];
    const char *power[2]; /* times ten to the … */
    const char *function[3], *square_of[3], *inverse[3];
};

static const struct words words_of[] = {
    {FORMAT_TEXT,
     "(",
     ")",
     {"|", "|"},
     {"√", ""},
     "²",
     " + ",
     " − ",
     "−",
     "/",
     "°",
     {" · ", " ", ""},
     {"·10", ""},
     {"sin", "cos", "tan"},
     {"sin²", "cos²", "tan²"},
     {"sin⁻¹", "cos⁻¹", "tan⁻¹"}},
    {FORMAT_LATEX,
     "\\left(",
     "\\right)",
     {"\\left|", "\\right|"},
     {"\\sqrt{", "}"},
     "^{2}",
     " + ",
     " - ",
     "-",
     "}{",
     "^{\\circ}",
     {" \\cdot ", "\\,", " "},
     {" \\cdot 10^{", "}"},
     {"\\sin", "\\cos", "\\tan"},
     {"\\sin^{2}", "\\cos^{2}", "\\tan^{2}"},
     {"\\sin^{-1}", "\\cos^{-1}", "\\tan^{-1}"}},
    {FORMAT_SPEECH,
     "open bracket ",
     " close bracket",
     {"the absolute value of ", ""},
     {"the square root of ", ""},
     " squared",
     " plus ",
     " minus ",
     "minus ",
     " over ",
     " degrees",
     {" times ", " times ", " times "},
     {" times 10 to the power ", ""},
     {"the sine of ", "the cosine of ", "the tangent of "},
     {"the squared sine of ", "the squared cosine of ", "the squared tangent of "},
     {"the inverse sine of ", "the inverse cosine of ", "the inverse tangent of "}},
};

struct reader {
    const struct words *words;
    const char *at;
};

static bool is_next(const struct reader *r, const char *text)
{
    return strncmp(r->at, text, strlen(text)) == 0;
}

static bool takes(struct reader *r, const char *text)
{
    if (!is_next(r, text))
        return false;
    r->at += strlen(text);
    return true;
}

static double read_sum(struct reader *r);

static int read_exponent(struct reader *r)
{
    static const char *const digit[] = {"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
    bool is_minus = takes(r, "⁻") || takes(r, r->words->negative);
    int n = 0, i = 0;
    while (i < 10) {
        char plain[2] = {(char)('0' + i), 0};
        i++;
        if (takes(r, digit[i - 1]) || takes(r, plain)) {
            n = n * 10 + i - 1;
            i = 0;
        }
    }
    return is_minus ? -n : n;
}

static double read_number(struct reader *r)
{
    char digits[24];
    size_t n = strspn(r->at, "0123456789.");
    assert_true(n > 0 && n < sizeof digits);
    memcpy(digits, r->at, n);
    digits[n] = 0;
    r->at += n;
    double x = strtod(digits, NULL);
    if (takes(r, r->words->power[0])) {
        x *= pow(10, read_exponent(r));
        assert_true(takes(r, r->words->power[1]));
    }
    takes(r, r->words->degrees);
    return x;
}

static double read_primary(struct reader *r)
{
    const struct words *words = r->words;
    bool is_spoken = words->format == FORMAT_SPEECH;
    double x;
    if (takes(r, words->open)) {
        x = read_sum(r);
        assert_true(takes(r, words->close));
    } else if (takes(r, words->bar[0])) {
        x = fabs(is_spoken ? read_primary(r) : read_sum(r));
        assert_true(takes(r, words->bar[1]));
    } else if (takes(r, words->root[0])) {
        x = sqrt(words->format == FORMAT_LATEX ? read_sum(r) : read_primary(r));
        assert_true(takes(r, words->root[1]));
    } else if (words->format == FORMAT_LATEX && takes(r, "\\frac{")) {
        x = read_sum(r);
        assert_true(takes(r, "}{"));
        x /= read_sum(r);
        assert_true(takes(r, "}"));
    } else {
        x = read_number(r);
    }
    return x;
}

static double read_factor(struct reader *r)
{
    double (*const function[])(double) = {sin, cos, tan};
    double (*const inverse[])(double) = {asin, acos, atan};
    const double degree = TEST_PI / 180;
    for (int i = 0; i < 3; i++) {
        if (takes(r, r->words->inverse[i]))
            return inverse[i](read_primary(r)) / degree;
        bool is_square = takes(r, r->words->square_of[i]);
        if (!is_square && !takes(r, r->words->function[i]))
            continue;
        takes(r, " ");
        double y = function[i](read_primary(r) * degree);
        return is_square ? y * y : y;
    }
    double x = read_primary(r);
    return takes(r, r->words->squared) ? x * x : x;
}

static bool takes_times(struct reader *r)
{
    const struct words *words = r->words;
    if (takes(r, words->times[0]) || (*words->times[1] != ' ' && takes(r, words->times[1])))
        return true;
    bool is_end = is_next(r, words->plus) || is_next(r, words->minus) || is_next(r, " = ") ||
                  is_next(r, words->close);
    return !is_end && (words->format == FORMAT_TEXT ? takes(r, " ") || *r->at == '('
                                                    : takes(r, words->times[2]));
}

static double read_term(struct reader *r)
{
    double x = read_factor(r);
    for (;;)
        if (r->words->format != FORMAT_LATEX && takes(r, r->words->over))
            x /= read_factor(r);
        else if (takes_times(r))
            x *= read_factor(r);
        else
            return x;
}

static double read_sum(struct reader *r)
{
    bool is_minus = takes(r, r->words->negative);
    double x = read_term(r);
    if (is_minus)
        x = -x;
    for (;;) {
        bool has_pause =
            r->words->format == FORMAT_SPEECH && (is_next(r, ", plus") || is_next(r, ", minus"));
        if (has_pause)
            takes(r, ",");
        if (takes(r, r->words->plus))
            x += read_term(r);
        else if (takes(r, r->words->minus))
            x -= read_term(r);
        else
            return x;
    }
}

static q random_angle(struct tape *t, int depth);

static q random_ratio(struct tape *t, int depth)
{
    static const char *const numbers[] = {"217.5", "-24.50", "3",     "0.385", "-0.6",
                                          "12",    "2.5e2",  "-4e-2", "13",    "1.75"};
    struct work *w = &t->work;
    if (depth == 0)
        return typed(t, numbers[random_int(0, 9)], ratio, NULL);
    q a = random_ratio(t, depth - 1), b = random_ratio(t, random_int(0, depth - 1)),
      c = random_ratio(t, random_int(0, depth - 1));
    switch (random_int(0, 11)) {
    case 0:
        return q_sum(w, (q[]){a, b, c}, 3);
    case 1:
        return q_sub(w, a, b);
    case 2:
        return q_sub(w, b, a);
    case 3:
        return q_mul(w, a, b);
    case 4:
        return q_mul(w, b, a);
    case 5:
        return fabs(q_value(w, b)) > 1e-3 ? q_div(w, a, b) : q_neg(w, a);
    case 6:
        return fabs(q_value(w, a)) > 1e-3 ? q_div(w, b, a) : a;
    case 7:
        return q_neg(w, a);
    case 8:
        return q_square(w, a);
    case 9:
        return q_value(w, a) > 0.0 ? q_sqrt(w, a) : q_abs(w, a);
    case 10:
        return q_sin(w, random_angle(t, depth - 1));
    default:
        return q_cos(w, random_angle(t, depth - 1));
    }
}

static q random_angle(struct tape *t, int depth)
{
    static const char *const numbers[] = {"248.2", "30", "-22.6", "157.4"};
    struct work *w = &t->work;
    if (depth == 0)
        return typed(t, numbers[random_int(0, 3)], angle, NULL);
    switch (random_int(0, 4)) {
    case 0:
        return q_neg(w, random_angle(t, depth - 1));
    case 1:
        return q_sub(w, q_turn(w, 180), random_angle(t, depth - 1));
    case 2:
        return q_atan(w, random_ratio(t, depth - 1));
    case 3:
        return q_div(w, random_angle(t, depth - 1), q_integer(w, random_int(2, 5), ratio));
    default:
        return random_angle(t, depth - 1);
    }
}

static void random_formulas(void **state)
{
    (void)state;
    random_start("formulas", 1);
    int checked = 0;
    for (int round = 0; round < random_rounds(ROUNDS); round++) {
        struct tape t;
        tape_begin(&t, kilonewtons, false);
        struct work *w = &t.work;
        q x = random_ratio(&t, random_int(1, 4));
        double value = q_value(w, x), size = 0.0;
        for (uint32_t i = 1; i < w->node_count; i++)
            size = fmax(size, fabs(w->node[i].num.value));
        bool is_tame = !w->inconsistent && isfinite(value) && size < 1e6;
        if (is_tame) {
            work_define(w, q_name(w, x, symbol_plain("y")));
            for (size_t i = 0; i < sizeof words_of / sizeof *words_of; i++) {
                const char *line = last_lines(&t, words_of[i].format);
                bool is_spoken = words_of[i].format == FORMAT_SPEECH;
                struct reader r = {&words_of[i], line + strlen(is_spoken ? "y equals " : "y = ")};
                double read = read_sum(&r);
                if (*r.at != '\0' && !is_next(&r, is_spoken ? ", equals " : " = "))
                    fail_msg("not read to its end: %s", line);
                if (!(fabs(read - value) <= 1e-9 * fmax(1.0, size)))
                    fail_msg("%.17g is not %.17g: %s", read, value, line);
            }
            checked++;
        }
        arena_free(t.arena);
        field_free(t.field);
    }
    assert_true(checked > random_rounds(ROUNDS) / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_operation),
        cmocka_unit_test(an_unknown),
        cmocka_unit_test(brackets),
        cmocka_unit_test(negative_numbers),
        cmocka_unit_test(numbers),
        cmocka_unit_test(rounding),
        cmocka_unit_test(an_exact_zero),
        cmocka_unit_test(radians),
        cmocka_unit_test(conversions),
        cmocka_unit_test(weights),
        cmocka_unit_test(units_of_every_kind),
        cmocka_unit_test(symbols),
        cmocka_unit_test(random_formulas),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
