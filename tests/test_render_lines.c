/* Lines: each kind of step in each format and notation; prose. */
#include "rendering.h"

/* The crane of the harbour museum: its jib carries F1 at 30° below the horizontal, F2 by a slope of
 * 12 to 5 downward, P at 248.2°. */
struct crane {
    struct tape t;
    q F1, F2, P, theta;
    qv u2, v1, v2, v3, R;
};

static void crane_begin(struct crane *c)
{
    struct tape *t = &c->t;
    tape_begin(t, kilonewtons, false);
    struct work *w = &t->work;
    c->F1 = named(t, "F1", "12", force, NULL);
    c->F2 = named(t, "F2", "26", force, NULL);
    c->P = named(t, "P", "217.5", force, NULL);
    c->theta = named(t, "θ", "248.2", angle, NULL);
    q thirty = typed(t, "30", angle, NULL), thirteen = q_integer(w, 13, ratio);
    c->v1 = qv_name(w,
                    qv_of(w, q_mul(w, c->F1, q_cos(w, thirty)),
                          q_neg(w, q_mul(w, c->F1, q_sin(w, thirty))), (q){0}),
                    symbol_of_name(w, "F1"));
    c->u2 = qv_name(w,
                    qv_of(w, q_div(w, q_integer(w, 12, ratio), thirteen),
                          q_div(w, q_integer(w, -5, ratio), thirteen), (q){0}),
                    symbol_sub("u", "2"));
    c->v2 = qv_name(w, qv_scale(w, c->F2, c->u2), symbol_of_name(w, "F2"));
    c->v3 = qv_name(
        w, qv_of(w, q_mul(w, c->P, q_cos(w, c->theta)), q_mul(w, c->P, q_sin(w, c->theta)), (q){0}),
        symbol_of_name(w, "P"));
    c->R = qv_name(w, qv_sum(w, (qv[]){c->v1, c->v2, c->v3}, 3), symbol_plain("R"));
}

static void expect(struct tape *t, enum format format, const char *expected)
{
    assert_string_equal(last_lines(t, format), expected);
}

static void a_vector_in_scalar_notation(void **state)
{
    (void)state;
    struct crane c;
    crane_begin(&c);
    struct work *w = &c.t.work;
    work_define_vector(w, c.v1);
    expect(&c.t, FORMAT_TEXT,
           "F_1x = F_1 cos 30° = 12 cos 30° = 10.4 kN\n"
           "F_1y = −F_1 sin 30° = −12 sin 30° = −6.00 kN");
    work_define_vector(w, c.u2);
    expect(&c.t, FORMAT_TEXT, "u_2x = 12/13 = 0.923\nu_2y = −5/13 = −0.385");
    work_define_vector(w, c.v2);
    expect(&c.t, FORMAT_TEXT,
           "F_2x = F_2 u_2x = 26 · 0.923 = 24.0 kN\n"
           "F_2y = F_2 u_2y = 26(−0.385) = −10.0 kN");
    expect(&c.t, FORMAT_LATEX,
           "F_{2x} = F_{2} u_{2x} = 26 \\cdot 0.923 = 24.0\\,\\mathrm{kN}\n"
           "F_{2y} = F_{2} u_{2y} = 26\\,\\left(-0.385\\right) = -10.0\\,\\mathrm{kN}");
    expect(&c.t, FORMAT_SPEECH,
           "F sub 2 x equals F sub 2 times u sub 2 x, equals 26 times 0.923, equals 24.0 "
           "kilonewtons.\n"
           "F sub 2 y equals F sub 2 times u sub 2 y, equals 26 times open bracket minus 0.385 "
           "close bracket, equals minus 10.0 kilonewtons.");
    tape_end(&c.t);
}

static void a_vector_in_vector_notation(void **state)
{
    (void)state;
    struct crane c;
    crane_begin(&c);
    struct work *w = &c.t.work;
    c.t.options.notation = NOTATION_VECTOR;
    work_define_vector(w, c.v1);
    expect(&c.t, FORMAT_TEXT,
           "→F_1 = (F_1 cos 30°) i − (F_1 sin 30°) j = (12 cos 30°) i − (12 sin 30°) j = "
           "{10.4 i − 6.00 j} kN");
    work_define_vector(w, c.u2);
    expect(&c.t, FORMAT_TEXT, "→u_2 = (12/13) i − (5/13) j = {0.923 i − 0.385 j}");
    expect(&c.t, FORMAT_LATEX,
           "\\mathbf{u}_{2} = \\frac{12}{13}\\,\\mathbf{i} - \\frac{5}{13}\\,\\mathbf{j} = "
           "\\left\\{0.923\\,\\mathbf{i} - 0.385\\,\\mathbf{j}\\right\\}");
    work_define_vector(w, c.v2);
    expect(&c.t, FORMAT_TEXT, "→F_2 = F_2 →u_2 = 26(0.923 i − 0.385 j) = {24.0 i − 10.0 j} kN");
    expect(&c.t, FORMAT_LATEX,
           "\\mathbf{F}_{2} = F_{2} \\mathbf{u}_{2} = 26\\,\\left(0.923\\,\\mathbf{i} - "
           "0.385\\,\\mathbf{j}\\right) = \\left\\{24.0\\,\\mathbf{i} - "
           "10.0\\,\\mathbf{j}\\right\\}\\,\\mathrm{kN}");
    assert_string_equal(
        bare_mathml(&c.t, last_lines(&c.t, FORMAT_MATHML)),
        "<msub><mi>𝐅</mi><mrow><mn>2</mn></mrow></msub><mo>=</mo><msub><mi>F</mi><mrow><mn>2</mn>"
        "</mrow></msub><mo>\u2062</mo><msub><mi>𝐮</mi><mrow><mn>2</mn></mrow></msub><mo>=</mo>"
        "<mn>26</mn><mo>\u2062</mo><mrow><mo>(</mo><mn>0.923</mn><mo>\u2062</mo><mi>𝐢</mi>"
        "<mo>−</mo><mn>0.385</mn><mo>\u2062</mo><mi>𝐣</mi><mo>)</mo></mrow><mo>=</mo><mrow>"
        "<mo>{</mo><mn>24.0</mn><mo>\u2062</mo><mi>𝐢</mi><mo>−</mo><mn>10.0</mn><mo>\u2062</mo>"
        "<mi>𝐣</mi><mo>}</mo></mrow><mtext>\u00a0kN</mtext>");
    expect(&c.t, FORMAT_SPEECH,
           "vector F sub 2 equals F sub 2 times vector u sub 2, equals 26 times open bracket 0.923 "
           "i minus 0.385 j close bracket, equals 24.0 i minus 10.0 j kilonewtons.");
    tape_end(&c.t);
}

static void sums_with_labels(void **state)
{
    (void)state;
    struct crane c;
    crane_begin(&c);
    struct work *w = &c.t.work;
    q R_x = qv_component(w, c.R, 0), R_y = qv_component(w, c.R, 1);
    work_define_sum(w, R_x, LABEL_SUM_FORCE, 'x', NULL);
    expect(&c.t, FORMAT_TEXT, "→⁺ R_x = ΣF_x = F_1x + F_2x + P_x = 10.4 + 24.0 − 80.8 = −46.4 kN");
    expect(&c.t, FORMAT_LATEX,
           "{\\rightarrow}^{+}\\;R_{x} = \\sum F_{x} = F_{1x} + F_{2x} + P_{x} = 10.4 + 24.0 - "
           "80.8 = -46.4\\,\\mathrm{kN}");
    assert_string_equal(
        bare_mathml(&c.t, last_lines(&c.t, FORMAT_MATHML)),
        "<msup><mo>→</mo><mo>+</mo></msup><msub><mi>R</mi><mrow><mi>x</mi></mrow></msub><mo>=</mo>"
        "<mo>Σ</mo><msub><mi>F</mi><mrow><mi>x</mi></mrow></msub><mo>=</mo><msub><mi>F</mi><mrow>"
        "<mn>1</mn><mi>x</mi></mrow></msub><mo>+</mo><msub><mi>F</mi><mrow><mn>2</mn><mi>x</mi>"
        "</mrow></msub><mo>+</mo><msub><mi>P</mi><mrow><mi>x</mi></mrow></msub><mo>=</mo>"
        "<mn>10.4</mn><mo>+</mo><mn>24.0</mn><mo>−</mo><mn>80.8</mn><mo>=</mo>"
        "<mo form=\"prefix\">−</mo><mn>46.4</mn><mtext>\u00a0kN</mtext>");
    expect(&c.t, FORMAT_SPEECH,
           "Positive to the right: R sub x equals the sum of F x, equals F sub 1 x plus F sub 2 x "
           "plus P sub x, equals 10.4 plus 24.0 minus 80.8, equals minus 46.4 kilonewtons.");
    work_define_sum(w, R_y, LABEL_SUM_FORCE, 'y', NULL);
    expect(&c.t, FORMAT_TEXT, "↑⁺ R_y = ΣF_y = F_1y + F_2y + P_y = −6.00 − 10.0 − 202 = −218 kN");
    q x = named(&c.t, "x", "4", length, NULL), y = named(&c.t, "y", "3", length, NULL);
    q M = q_name(w, q_sub(w, q_mul(w, x, R_y), q_mul(w, y, R_x)), symbol_sub("M", "O"));
    work_define_sum(w, M, LABEL_SUM_MOMENT, 0, "O");
    expect(&c.t, FORMAT_TEXT, "↺⁺ M_O = ΣM_O = x R_y − y R_x = 4(−218) − 3(−46.4) = −733 kN·m");
    expect(&c.t, FORMAT_LATEX,
           "{\\circlearrowleft}^{+}\\;M_{O} = \\sum M_{O} = x R_{y} - y R_{x} = "
           "4\\,\\left(-218\\right) - 3\\,\\left(-46.4\\right) = -733\\,\\mathrm{kN\\cdot m}");
    expect(&c.t, FORMAT_SPEECH,
           "Positive counter-clockwise: M sub O equals the sum of the moments about O, equals x "
           "times R sub y minus y times R sub x, equals 4 times open bracket minus 218 close "
           "bracket minus 3 times open bracket minus 46.4 close bracket, equals minus 733 "
           "kilonewton metres.");
    /* a vector's own sum */
    work_define_vector(w, c.R);
    w->step[w->step_count - 1].label = LABEL_SUM_FORCE;
    expect(&c.t, FORMAT_TEXT,
           "→⁺ R_x = ΣF_x = F_1x + F_2x + P_x = 10.4 + 24.0 − 80.8 = −46.4 kN\n"
           "↑⁺ R_y = ΣF_y = F_1y + F_2y + P_y = −6.00 − 10.0 − 202 = −218 kN");
    c.t.options.notation = NOTATION_VECTOR;
    expect(&c.t, FORMAT_TEXT,
           "→R = Σ→F = →F_1 + →F_2 + →P = (10.4 i − 6.00 j) + (24.0 i − 10.0 j) + (−80.8 i − 202 "
           "j) = {−46.4 i − 218 j} kN");
    expect(&c.t, FORMAT_SPEECH,
           "vector R equals the sum of the forces, equals vector F sub 1 plus vector F sub 2 plus "
           "vector P, equals open bracket 10.4 i minus 6.00 j close bracket plus open bracket 24.0 "
           "i minus 10.0 j close bracket plus open bracket minus 80.8 i minus 202 j close bracket, "
           "equals minus 46.4 i minus 218 j kilonewtons.");
    tape_end(&c.t);
}

static void size_and_direction(void **state)
{
    (void)state;
    struct crane c;
    crane_begin(&c);
    struct work *w = &c.t.work;
    q R_x = qv_component(w, c.R, 0), R_y = qv_component(w, c.R, 1);
    q R = q_name(w, q_norm(w, c.R), symbol_plain("R"));
    work_define(w, R);
    expect(&c.t, FORMAT_TEXT, "R = √(R_x² + R_y²) = √((−46.4)² + (−218)²) = 223 kN");
    c.t.options.notation = NOTATION_VECTOR;
    expect(&c.t, FORMAT_TEXT, "R = |→R| = √((−46.4)² + (−218)²) = 223 kN");
    expect(&c.t, FORMAT_LATEX,
           "R = \\left|\\mathbf{R}\\right| = \\sqrt{\\left(-46.4\\right)^{2} + "
           "\\left(-218\\right)^{2}} = 223\\,\\mathrm{kN}");
    expect(&c.t, FORMAT_SPEECH,
           "R equals the magnitude of vector R, equals the square root of open bracket open "
           "bracket minus 46.4 close bracket squared plus open bracket minus 218 close bracket "
           "squared close bracket, equals 223 kilonewtons.");
    q acute = q_atan(w, q_div(w, q_abs(w, R_y), q_abs(w, R_x)));
    q turned = q_name(w, q_add(w, q_turn(w, 180), acute), symbol_sub("θ", "R"));
    work_define(w, turned);
    expect(&c.t, FORMAT_TEXT,
           "θ_R = 180° + tan⁻¹(|R_y|/|R_x|) = 180° + tan⁻¹(|−218|/|−46.4|) = 258.0°");
    work_decide(w, PHRASE("{} is negative and {} is negative: {} lies in quadrant {}, at {}.",
                          arg_symbol(R_x), arg_symbol(R_y), arg_vector(c.R), arg_count(3),
                          arg_value(turned)));
    expect(&c.t, FORMAT_TEXT,
           "R_x is negative and R_y is negative: →R lies in quadrant 3, at 258.0°.");
    expect(&c.t, FORMAT_LATEX,
           "R_{x}\\text{ is negative and }R_{y}\\text{ is negative: }\\mathbf{R}\\text{ lies in "
           "quadrant }\\text{3}\\text{, at }258.0^{\\circ}\\text{.}");
    assert_string_equal(
        bare_mathml(&c.t, last_lines(&c.t, FORMAT_MATHML)),
        "<msub><mi>R</mi><mrow><mi>x</mi></mrow></msub><mtext>\u00a0is negative and\u00a0</mtext>"
        "<msub><mi>R</mi><mrow><mi>y</mi></mrow></msub><mtext>\u00a0is negative:\u00a0</mtext>"
        "<mi>𝐑</mi><mtext>\u00a0lies in quadrant\u00a0</mtext><mtext>3</mtext><mtext>, at\u00a0"
        "</mtext><mrow><mn>258.0</mn><mo lspace=\"0\" rspace=\"0\">°</mo></mrow><mtext>.</mtext>");
    expect(&c.t, FORMAT_SPEECH,
           "R sub x is negative and R sub y is negative: vector R lies in quadrant 3, at 258.0 "
           "degrees.");
    c.t.options.notation = NOTATION_SCALAR;
    expect(&c.t, FORMAT_TEXT,
           "R_x is negative and R_y is negative: R lies in quadrant 3, at 258.0°.");
    tape_end(&c.t);
}

/* ---- vectors of every operation, in space ---- */

static qv vector_named(struct tape *t, const char *name, const char *x, const char *y,
                       const char *z, struct dimension d)
{
    struct work *w = &t->work;
    return qv_name(w,
                   qv_of(w, typed(t, x, d, NULL), typed(t, y, d, NULL),
                         z != NULL ? typed(t, z, d, NULL) : (q){0}),
                   symbol_of_name(w, name));
}

static void vectors_in_space(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, true);
    struct work *w = &t.work;
    t.options.notation = NOTATION_VECTOR;
    qv A = vector_named(&t, "r_A", "0", "0", "12", length);
    qv B = vector_named(&t, "r_B", "5", "-3.5", "0", length);
    work_define_vector(w, A);
    expect(&t, FORMAT_TEXT, "→r_A = {12 k} m");
    work_define_vector(w, B);
    expect(&t, FORMAT_TEXT, "→r_B = {5 i − 3.5 j} m");
    qv AB = qv_name(w, qv_sub(w, B, A), symbol_sub("r", "AB"));
    work_define_vector(w, AB);
    expect(&t, FORMAT_TEXT,
           "→r_AB = →r_B − →r_A = (5 i − 3.5 j) − (12 k) = {5 i − 3.5 j − 12 k} m");
    q distance = q_name(w, q_norm(w, AB), symbol_sub("r", "AB"));
    work_define(w, distance);
    expect(&t, FORMAT_TEXT, "r_AB = |→r_AB| = √(5² + (−3.5)² + (−12)²) = 13.5 m");
    qv u = qv_name(w, qv_over(w, AB, distance), symbol_sub("u", "AB"));
    work_define_vector(w, u);
    expect(&t, FORMAT_TEXT,
           "→u_AB = →r_AB/r_AB = (5 i − 3.5 j − 12 k)/13.5 = {0.371 i − 0.260 j − 0.891 k}");
    expect(&t, FORMAT_LATEX,
           "\\mathbf{u}_{AB} = \\frac{\\mathbf{r}_{AB}}{r_{AB}} = \\frac{5\\,\\mathbf{i} - "
           "3.5\\,\\mathbf{j} - 12\\,\\mathbf{k}}{13.5} = \\left\\{0.371\\,\\mathbf{i} - "
           "0.260\\,\\mathbf{j} - 0.891\\,\\mathbf{k}\\right\\}");
    expect(&t, FORMAT_SPEECH,
           "vector u sub A B equals vector r sub A B over r sub A B, equals open bracket 5 i "
           "minus 3.5 j minus 12 k close bracket over 13.5, equals 0.371 i minus 0.260 j minus "
           "0.891 k.");
    q T = named(&t, "T", "8.4", force, NULL);
    qv F = qv_name(w, qv_scale(w, T, u), symbol_of_name(w, "T"));
    work_define_vector(w, F);
    expect(&t, FORMAT_TEXT,
           "→T = T →u_AB = 8.4(0.371 i − 0.260 j − 0.891 k) = {3.12 i − 2.18 j − 7.49 k} kN");
    qv M = qv_name(w, qv_cross(w, A, F), symbol_sub("M", "O"));
    work_define_vector(w, M);
    expect(&t, FORMAT_TEXT,
           "→M_O = →r_A × →T = (0(−7.49) − 12(−2.18)) i + (12 · 3.12 − 0(−7.49)) j + (0(−2.18) − "
           "0 · 3.12) k = {26.2 i + 37.4 j} kN·m");
    expect(&t, FORMAT_LATEX,
           "\\mathbf{M}_{O} = \\mathbf{r}_{A} \\times \\mathbf{T} = \\begin{vmatrix} \\mathbf{i} & "
           "\\mathbf{j} & \\mathbf{k} \\\\ 0 & 0 & 12 \\\\ 3.12 & -2.18 & -7.49 \\end{vmatrix} = "
           "\\left\\{26.2\\,\\mathbf{i} + 37.4\\,\\mathbf{j}\\right\\}\\,\\mathrm{kN\\cdot m}");
    assert_string_equal(
        bare_mathml(&t, last_lines(&t, FORMAT_MATHML)),
        "<msub><mi>𝐌</mi><mrow><mi>O</mi></mrow></msub><mo>=</mo><msub><mi>𝐫</mi><mrow><mi>A</mi>"
        "</mrow></msub><mo>×</mo><mi>𝐓</mi><mo>=</mo><mrow><mo>|</mo><mtable><mtr><mtd><mi>𝐢</mi>"
        "</mtd><mtd><mi>𝐣</mi></mtd><mtd><mi>𝐤</mi></mtd></mtr><mtr><mtd><mn>0</mn></mtd><mtd>"
        "<mn>0</mn></mtd><mtd><mn>12</mn></mtd></mtr><mtr><mtd><mn>3.12</mn></mtd><mtd>"
        "<mo form=\"prefix\">−</mo><mn>2.18</mn></mtd><mtd><mo form=\"prefix\">−</mo><mn>7.49</mn>"
        "</mtd></mtr></mtable><mo>|</mo></mrow><mo>=</mo><mrow><mo>{</mo><mn>26.2</mn>"
        "<mo>\u2062</mo><mi>𝐢</mi><mo>+</mo><mn>37.4</mn><mo>\u2062</mo><mi>𝐣</mi><mo>}</mo>"
        "</mrow><mtext>\u00a0kN·m</mtext>");
    t.options.notation = NOTATION_SCALAR;
    expect(&t, FORMAT_TEXT,
           "M_Ox = r_Ay T_z − r_Az T_y = 0(−7.49) − 12(−2.18) = 26.2 kN·m\n"
           "M_Oy = r_Az T_x − r_Ax T_z = 12 · 3.12 − 0(−7.49) = 37.4 kN·m\n"
           "M_Oz = r_Ax T_y − r_Ay T_x = 0(−2.18) − 0 · 3.12 = 0 kN·m");
    tape_end(&t);
}

static void products_of_vectors(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, true);
    struct work *w = &t.work;
    t.options.notation = NOTATION_VECTOR;
    qv F = vector_named(&t, "F", "2.5", "-1", "4", force);
    qv u = vector_named(&t, "u", "0.36", "0.48", "-0.8", ratio);
    q part = q_name(w, q_dot(w, F, u), symbol_sub("F", "∥"));
    work_define(w, part);
    expect(&t, FORMAT_TEXT, "F_∥ = →F · →u = 2.5 · 0.36 + (−1) · 0.48 + 4(−0.8) = −2.78 kN");
    expect(&t, FORMAT_SPEECH,
           "F sub parallel equals vector F dot vector u, equals 2.5 times 0.36 plus open bracket "
           "minus 1 close bracket times 0.48 plus 4 times open bracket minus 0.8 close bracket, "
           "equals minus 2.78 kilonewtons.");
    qv along = qv_name(w, qv_scale(w, part, u), symbol_sub("F", "a"));
    work_define_vector(w, along);
    expect(&t, FORMAT_TEXT,
           "→F_a = F_∥ →u = (−2.78)(0.36 i + 0.48 j − 0.8 k) = {−1.00 i − 1.33 j + 2.22 k} kN");
    /* without names for the parts */
    qv square = qv_name(w, qv_sub(w, F, qv_scale(w, q_dot(w, F, u), u)), symbol_sub("F", "b"));
    work_define_vector(w, square);
    expect(&t, FORMAT_TEXT,
           "→F_b = →F − (→F · →u) →u = (2.5 i − 1 j + 4 k) − (2.5 · 0.36 + (−1) · 0.48 + "
           "4(−0.8))(0.36 i + 0.48 j − 0.8 k) = {3.50 i + 0.334 j + 1.78 k} kN");
    qv back = qv_name(w, qv_neg(w, qv_sum(w, (qv[]){F, qv_neg(w, along)}, 2)), symbol_plain("B"));
    work_define_vector(w, back);
    expect(&t, FORMAT_TEXT,
           "→B = −(→F − →F_a) = −((2.5 i − 1 j + 4 k) − (−1.00 i − 1.33 j + 2.22 k)) = {−3.50 i − "
           "0.334 j − 1.78 k} kN");
    qv same = qv_name(w, F, symbol_plain("G"));
    work_define_vector(w, same);
    expect(&t, FORMAT_TEXT, "→G = →F = {2.5 i − 1 j + 4 k} kN");
    qv r = vector_named(&t, "r", "1.5", "0", "-2", length);
    qv twice = qv_name(w, qv_sum(w, (qv[]){qv_cross(w, r, F), qv_cross(w, r, along)}, 2),
                       symbol_plain("M"));
    work_define_vector(w, twice);
    expect(&t, FORMAT_TEXT,
           "→M = →r × →F + →r × →F_a = ((0 · 4 − (−2)(−1)) i + ((−2) · 2.5 − 1.5 · 4) j + "
           "(1.5(−1) − 0 · 2.5) k) + ((0 · 2.22 − (−2)(−1.33)) i + ((−2)(−1.00) − 1.5 · 2.22) j + "
           "(1.5(−1.33) − 0(−1.00)) k) = {−4.67 i − 12.3 j − 3.50 k} kN·m");
    qv plane = qv_name(w, qv_neg(w, same), symbol_plain("N"));
    work_define_vector(w, plane);
    expect(&t, FORMAT_TEXT, "→N = −→G = −(2.5 i − 1 j + 4 k) = {−2.50 i + 1.00 j − 4.00 k} kN");
    tape_end(&t);
}

static void moments_of_the_plane(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    qv r = vector_named(&t, "r", "4", "3", NULL, length);
    qv F = vector_named(&t, "F", "10.4", "-6", NULL, force);
    qv M = qv_name(w, qv_cross(w, r, F), symbol_sub("M", "O"));
    work_define_vector(w, M);
    expect(&t, FORMAT_TEXT, "M_O = r_x F_y − r_y F_x = 4(−6) − 3 · 10.4 = −55.2 kN·m");
    t.options.notation = NOTATION_VECTOR;
    expect(&t, FORMAT_TEXT, "→M_O = →r × →F = (4(−6) − 3 · 10.4) k = {−55.2 k} kN·m");
    expect(&t, FORMAT_LATEX,
           "\\mathbf{M}_{O} = \\mathbf{r} \\times \\mathbf{F} = \\begin{vmatrix} \\mathbf{i} & "
           "\\mathbf{j} & \\mathbf{k} \\\\ 4 & 3 & 0 \\\\ 10.4 & -6 & 0 \\end{vmatrix} = "
           "\\left\\{-55.2\\,\\mathbf{k}\\right\\}\\,\\mathrm{kN\\cdot m}");
    tape_end(&t);
}

static void zero_vectors(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    t.options.notation = NOTATION_VECTOR;
    qv F = vector_named(&t, "F", "2.5", "-1", NULL, force);
    qv zero = qv_name(w, qv_sub(w, F, F), symbol_plain("R"));
    work_define_vector(w, zero);
    expect(&t, FORMAT_TEXT, "→R = →F − →F = (2.5 i − 1 j) − (2.5 i − 1 j) = {0} kN");
    tape_end(&t);
}

/* The sum of one vector, or number, is another name for it. */
static void sums_of_one(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    qv B = vector_named(&t, "B", "9.25", "-1.5", NULL, length);
    qv start = qv_of(w, typed(&t, "2.5", length, NULL), typed(&t, "4", length, NULL), (q){0});
    qv r = qv_name(w, qv_sum(w, &B, 1), symbol_sub("r", "AB"));
    qv s = qv_name(w, qv_sum(w, &start, 1), symbol_plain("s"));
    work_define_vector(w, r);
    expect(&t, FORMAT_TEXT, "r_ABx = B_x = 9.25 m\nr_ABy = B_y = −1.5 m");
    work_define_vector(w, s);
    expect(&t, FORMAT_TEXT, "s_x = 2.5 m\ns_y = 4 m");
    t.options.notation = NOTATION_VECTOR;
    expect(&t, FORMAT_TEXT, "→s = {2.5 i + 4 j} m");
    work_define_vector(w, r);
    expect(&t, FORMAT_TEXT, "→r_AB = →B = {9.25 i − 1.5 j} m");
    q x = q_add(w, qv_component(w, r, 0), qv_component(w, s, 1));
    q y = q_sub(w, x, q_sum(w, &x, 1));
    work_define(w, q_name(w, y, symbol_plain("y")));
    expect(&t, FORMAT_TEXT, "y = r_ABx + s_y − (r_ABx + s_y) = 9.25 + 4 − (9.25 + 4) = 0 m");
    tape_end(&t);
}

/* A force called i or k: then the unit vectors are i', j', k'. */
static void unit_vectors_that_clash(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, true);
    struct work *w = &t.work;
    work_reserve(w, "k");
    t.options.notation = NOTATION_VECTOR;
    qv k = vector_named(&t, "k", "2.5", "-1", "3", force);
    work_define_vector(w, k);
    expect(&t, FORMAT_TEXT, "→k = {2.5 i' − 1 j' + 3 k'} kN");
    expect(&t, FORMAT_LATEX,
           "\\mathbf{k} = \\left\\{2.5\\,\\mathbf{i}' - 1\\,\\mathbf{j}' + "
           "3\\,\\mathbf{k}'\\right\\}\\,\\mathrm{kN}");
    expect(&t, FORMAT_SPEECH,
           "vector k equals 2.5 i prime minus 1 j prime plus 3 k prime kilonewtons.");
    qv M = qv_name(w, qv_cross(w, k, k), symbol_plain("M"));
    work_define_vector(w, M);
    assert_non_null(strstr(last_lines(&t, FORMAT_LATEX), "\\mathbf{i}' & \\mathbf{j}' & "));
    assert_non_null(strstr(last_lines(&t, FORMAT_MATHML), "<mtd><mi>𝐢</mi><mo>′</mo></mtd>"));
    tape_end(&t);
}

/* Greek vectors are bold too. */
static void bold_letters(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    t.options.notation = NOTATION_VECTOR;
    qv v = vector_named(&t, "λ", "0.6", "0.8", NULL, ratio);
    work_define_vector(w, v);
    expect(&t, FORMAT_LATEX,
           "\\boldsymbol{\\lambda} = \\left\\{0.6\\,\\mathbf{i} + 0.8\\,\\mathbf{j}\\right\\}");
    assert_non_null(strstr(last_lines(&t, FORMAT_MATHML), "<mi>𝛌</mi>"));
    v = vector_named(&t, "Zug", "0.6", "0.8", NULL, force);
    work_define_vector(w, v);
    assert_non_null(strstr(last_lines(&t, FORMAT_LATEX), "\\mathbf{Zug} = "));
    assert_non_null(strstr(last_lines(&t, FORMAT_MATHML), "<mi>𝐙𝐮𝐠</mi>"));
    tape_end(&t);
}

/* ---- equations ---- */

static void equations(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q P = named(&t, "P", "217.5", force, NULL), theta = named(&t, "θ", "62.5", angle, NULL);
    q a = typed(&t, "2.4", length, NULL), b = typed(&t, "6", length, NULL);
    work_define(w, P);
    work_define(w, theta);
    q P_y = q_mul(w, P, q_sin(w, theta));
    q B_y = q_name(w, q_div(w, q_mul(w, a, P_y), b), symbol_axis(symbol_plain("B"), 'y'));
    q A_y = q_name(w, q_sub(w, P_y, B_y), symbol_axis(symbol_plain("A"), 'y'));
    work_equation(w, LABEL_SUM_MOMENT, 0, "A", q_sub(w, q_mul(w, b, B_y), q_mul(w, a, P_y)),
                  (q){0});
    work_define(w, B_y);
    assert_string_equal(step_lines(&t, &w->step[2], FORMAT_TEXT),
                        "↺⁺ ΣM_A = 0: 6 B_y − 2.4 P sin θ = 0; 6 B_y − 2.4 · 217.5 sin 62.5° = 0");
    assert_string_equal(
        step_lines(&t, &w->step[2], FORMAT_LATEX),
        "{\\circlearrowleft}^{+}\\;\\sum M_{A} = 0:\\quad 6 B_{y} - 2.4 P \\sin \\theta = "
        "0;\\quad 6 B_{y} - 2.4 \\cdot 217.5 \\sin 62.5^{\\circ} = 0");
    assert_string_equal(
        step_lines(&t, &w->step[2], FORMAT_SPEECH),
        "Positive counter-clockwise: the sum of the moments about A equals 0: 6 times B sub y "
        "minus 2.4 times P times the sine of theta equals 0; that is, 6 times B sub y minus 2.4 "
        "times 217.5 times the sine of 62.5 degrees equals 0.");
    expect(&t, FORMAT_TEXT, "B_y = (2.4 P sin θ)/6 = (2.4 · 217.5 sin 62.5°)/6 = 77.2 kN");
    work_equation(w, LABEL_SUM_FORCE, 'y', NULL, q_sum(w, (q[]){A_y, B_y, q_neg(w, P_y)}, 3),
                  (q){0});
    work_define(w, A_y);
    assert_string_equal(step_lines(&t, &w->step[4], FORMAT_TEXT),
                        "↑⁺ ΣF_y = 0: A_y + B_y − P sin θ = 0; A_y + 77.2 − 217.5 sin 62.5° = 0");
    /* unknowns of a system are never defined before */
    q x = q_add(w, P, P);
    w->node[x.i].op = OP_UNKNOWN;
    x = q_name(w, x, symbol_plain("T"));
    work_equation(w, LABEL_SUM_FORCE, 'x', NULL, q_mul(w, x, q_cos(w, theta)), P);
    expect(&t, FORMAT_TEXT, "→⁺ ΣF_x = P: T cos θ = P; T cos 62.5° = 217.5");
    work_equation(w, LABEL_NONE, 0, NULL, x, q_mul(w, q_integer(w, 2, ratio), x));
    expect(&t, FORMAT_TEXT, "T = 2 T");
    expect(&t, FORMAT_SPEECH, "T equals 2 times T.");
    tape_end(&t);
}

static void equations_in_space(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, true);
    struct work *w = &t.work;
    q P = named(&t, "P", "217.5", force, NULL), a = typed(&t, "2.4", length, NULL);
    work_equation(w, LABEL_SUM_FORCE, 'z', NULL, q_sub(w, P, P), (q){0});
    expect(&t, FORMAT_TEXT, "ΣF_z = 0: P − P = 0; 217.5 − 217.5 = 0");
    work_equation(w, LABEL_SUM_MOMENT, 'x', "A", q_mul(w, a, P), (q){0});
    expect(&t, FORMAT_TEXT, "ΣM_Ax = 0: 2.4 P = 0; 2.4 · 217.5 = 0");
    expect(&t, FORMAT_LATEX, "\\sum M_{Ax} = 0:\\quad 2.4 P = 0;\\quad 2.4 \\cdot 217.5 = 0");
    expect(&t, FORMAT_SPEECH,
           "the sum of the moments about A along x equals 0: 2.4 times P equals 0; that is, 2.4 "
           "times 217.5 equals 0.");
    tape_end(&t);
}

/* ---- checks and prose ---- */

static void checks(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q P = named(&t, "P", "217.5", force, NULL), a = typed(&t, "2.4", length, NULL);
    q residual = q_sub(w, q_mul(w, a, P), q_mul(w, P, a));
    work_check(w, residual, PHRASE("The moments about {} balance.", arg_name("B")));
    expect(&t, FORMAT_TEXT,
           "2.4 P − P · 2.4 = 2.4 · 217.5 − 217.5 · 2.4 = 0 kN·m\nThe moments about B balance.");
    expect(&t, FORMAT_SPEECH,
           "2.4 times P minus P times 2.4, equals 2.4 times 217.5 minus 217.5 times 2.4, equals 0 "
           "kilonewton metres.\nThe moments about B balance.");
    work_check(w, residual, (struct phrase){0});
    expect(&t, FORMAT_TEXT, "2.4 P − P · 2.4 = 2.4 · 217.5 − 217.5 · 2.4 = 0 kN·m");
    tape_end(&t);
}

static void prose(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q P = named(&t, "P", "217.5", force, NULL);
    q third = q_div(w, P, q_integer(w, 3, ratio)), right = q_turn(w, 90);
    work_say(w, PHRASE("{} is typed, {} has no name, {} is told: {} of {} bars", arg_value(P),
                       arg_symbol(third), arg_value(right), arg_count(-12), arg_count(2048)));
    expect(&t, FORMAT_TEXT,
           "217.5 kN is typed, 72.5 kN has no name, 90.0° is told: -12 of 2048 bars");
    work_say(w, PLAIN("50 % of it & <b> #1_a^2 ~ \\x $ \"y\" ’ – {z}"));
    assert_string_equal(
        step_lines(&t, last_step(&t), FORMAT_LATEX),
        "\\text{50 \\% of it \\& \\textless{}b\\textgreater{} \\#1\\_a\\textasciicircum{}2 "
        "\\textasciitilde{} \\textbackslash{}x \\$ \"y\" ' -- \\{z\\}}");
    assert_string_equal(bare_mathml(&t, step_lines(&t, last_step(&t), FORMAT_MATHML)),
                        "<mtext>50 % of it &amp; &lt;b&gt; #1_a^2 ~ \\x $ "
                        "\"y\" ’ – {z}</mtext>");
    tape_end(&t);
}

static void prose_with_mathematics(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    work_say(w, PHRASE("Measured from {} toward {}: θ ≤ 30°, r × F and ΣF = 0; a counter-clockwise "
                       "turn of -x/2, m + r < 2j",
                       arg_name("−x"), arg_name("+y")));
    expect(&t, FORMAT_LATEX,
           "\\text{Measured from }\\text{}-\\text{x}\\text{ toward }\\text{+y}\\text{: "
           "}\\theta\\text{ }\\le\\text{ 30}^{\\circ}\\text{, r }\\times\\text{ F and "
           "}\\Sigma\\text{F = 0; a counter-clockwise turn of -x/2, m + r \\textless{} 2j}");
    work_say(w, PHRASE("Measured from {} toward {}: θ ≤ 30°, r × F and ΣF = 0; a counter-clockwise "
                       "turn of -x, m + r < 2j.",
                       arg_name("−x"), arg_name("+y")));
    assert_string_equal(step_lines(&t, last_step(&t), FORMAT_SPEECH),
                        "Measured from minus x toward plus y: theta is at most 30 degrees, r cross "
                        "F and the sum of F equals 0; a counter-clockwise turn of minus x, m plus "
                        "r is less than 2j.");
    tape_end(&t);
}

/* render_phrase gives what a line of prose gives. */
static void phrases(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q R = q_name(w, q_mul(w, q_integer(w, 2, ratio), typed(&t, "13.0", force, NULL)),
                 symbol_plain("R"));
    q theta = q_asin(w, q_div(w, q_integer(w, 5, ratio), q_integer(w, 13, ratio)));
    struct phrase p =
        PHRASE("{} at {} {} {}", arg_value(R), arg_value(theta), arg_name("below"), arg_name("+x"));
    work_say(w, p);
    for (int format = 0; format < FORMAT_MAX_; format++) {
        struct buf out;
        buf_init(&out, t.arena, 4096);
        render_phrase(w, &p, &t.options, (enum format)format, &out);
        assert_string_equal(buf_text(&out), last_lines(&t, (enum format)format));
    }
    expect(&t, FORMAT_TEXT, "26.0 kN at 22.6° below +x");
    expect(&t, FORMAT_SPEECH, "26.0 kilonewtons at 22.6 degrees below plus x");
    tape_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_vector_in_scalar_notation),
        cmocka_unit_test(a_vector_in_vector_notation),
        cmocka_unit_test(sums_with_labels),
        cmocka_unit_test(size_and_direction),
        cmocka_unit_test(vectors_in_space),
        cmocka_unit_test(products_of_vectors),
        cmocka_unit_test(moments_of_the_plane),
        cmocka_unit_test(zero_vectors),
        cmocka_unit_test(sums_of_one),
        cmocka_unit_test(unit_vectors_that_clash),
        cmocka_unit_test(bold_letters),
        cmocka_unit_test(equations),
        cmocka_unit_test(equations_in_space),
        cmocka_unit_test(checks),
        cmocka_unit_test(prose),
        cmocka_unit_test(prose_with_mathematics),
        cmocka_unit_test(phrases),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
