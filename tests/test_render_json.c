/* Whole answers: JSON, and the sheets in text and LaTeX. */
#include "rendering.h"

#include "json_text.h"
#include "json/json.h"

/* The museum's mast: a guy pulls with F1, the wind with W; their resultant, worked and answered. */
static void mast(struct tape *t)
{
    tape_begin(t, kilonewtons, false);
    struct work *w = &t->work;
    w->wants_key = true;
    work_reserve(w, "F1");
    work_reserve(w, "W");
    work_section(w, PLAIN("Components"),
                 PHRASE("{} pulls along the guy; \"x\" is to the right.", arg_name("F1")));
    q F = named(t, "F1", "8.4", force, NULL), W = named(t, "W", "4200", force, "N");
    q phi = q_name(w, typed(t, "248.2", angle, NULL), symbol_own(w, "θ", "1"));
    qv guy = qv_name(w, qv_of(w, q_mul(w, F, q_cos(w, phi)), q_mul(w, F, q_sin(w, phi)), (q){0}),
                     symbol_of_name(w, "F1"));
    qv wind = qv_name(w, qv_of(w, W, q_integer(w, 0, force), (q){0}), symbol_of_name(w, "W"));
    work_define(w, F);
    work_define(w, W);
    work_define_vector(w, guy);
    work_section(w, PLAIN("Nothing to see"), PLAIN("No line: no section."));
    work_section(w, PLAIN("Resultant"), (struct phrase){0});
    qv R = qv_name(w, qv_sum(w, (qv[]){guy, wind}, 2), symbol_own(w, "R", NULL));
    work_define_vector(w, R);
    w->step[w->step_count - 1].label = LABEL_SUM_FORCE;
    q size = q_name(w, q_norm(w, R), symbol_own(w, "R", NULL));
    work_define(w, size);
    q R_x = qv_component(w, R, 0), R_y = qv_component(w, R, 1);
    q acute = q_atan(w, q_div(w, q_abs(w, R_y), q_abs(w, R_x)));
    q theta = q_name(w, q_sub(w, q_turn(w, 360), acute), symbol_own(w, "θ", NULL));
    work_decide(w, PHRASE("{} is positive and {} negative: quadrant {}.", arg_symbol(R_x),
                          arg_symbol(R_y), arg_count(4)));
    work_define(w, theta);
    work_note(w, "quadrant", PHRASE("{} lies in quadrant {}.", arg_vector(R), arg_count(4)));

    struct value *force_value = result_object(w, NULL, "resultant");
    result_text(w, force_value, "name", "R");
    result_vector(w, force_value, "components", R);
    result_number(w, force_value, "magnitude", size);
    result_number(w, result_object(w, force_value, "direction"), "angle", theta);
    result_null(w, NULL, "unit_vector");
    result_count(w, NULL, "quadrant", 4);
    result_phrase(w, NULL, "in_words",
                  PHRASE("{} at {} below +x", arg_value(size), arg_value(acute)));
    result_bool(w, NULL, "balanced", false);
    struct value *list = result_list(w, NULL, "members");
    struct value *bar = result_object(w, list, NULL);
    result_text(w, bar, "name", "AB");
    result_number(w, bar, "force", q_name(w, q_neg(w, size), symbol_sub("F", "AB")));
    result_text(w, bar, "state", "compression");
    bar = result_object(w, list, NULL);
    result_text(w, bar, "name", "BC");
    result_null(w, bar, "force");
    result_null(w, bar, "state");
    result_list(w, NULL, "unfixed");
    struct problem problem;
    problem_init(&problem, t->arena);
    assert_int_equal(work_close(w, &problem), PROBLEM_NONE);
}

static const char *
rendered(struct tape *t, void (*render)(struct work *, const struct render_options *, struct buf *))
{
    struct buf out;
    buf_init(&out, t->arena, (size_t)1 << 20);
    render(&t->work, &t->options, &out);
    const char *text = buf_text(&out);
    assert_non_null(text);
    return text;
}

static const struct json *read_json(struct tape *t, const char *text)
{
    const struct json_limits limits = {.depth = 64, .values = 10000};
    const struct json *root;
    struct problem problem;
    problem_init(&problem, t->arena);
    if (json_read(t->arena, text, strlen(text), &limits, &root, &problem) != PROBLEM_NONE)
        fail_msg("%s: %s", problem.detail, text);
    return root;
}

static const char *member_text(struct tape *t, const struct json *root, const char *pointer)
{
    struct buf out;
    buf_init(&out, t->arena, (size_t)1 << 20);
    const struct json *v = json_at(root, pointer);
    assert_non_null(v);
    put_json_text(&out, v);
    return buf_text(&out);
}

/* The values by bc -l with 25 digits: 8.4 cos 248.2° + 4.2 and so on. */
#define ANSWER                                                                                     \
    "{\"resultant\":{\"name\":\"R\",\"components\":[1.08051018138,-7.7992809458],"                 \
    "\"magnitude\":7.87377200099,\"direction\":{\"angle\":277.887534356}},\"unit_vector\":null,"   \
    "\"quadrant\":4,\"in_words\":\"7.87 kN at 82.1° below +x\",\"balanced\":false,\"members\":["  \
    "{\"name\":\"AB\",\"force\":-7.87377200099,\"state\":\"compression\"},{\"name\":\"BC\","       \
    "\"force\":null,\"state\":null}],\"unfixed\":[]}"

static void an_answer(void **state)
{
    (void)state;
    struct tape t;
    mast(&t);
    t.options.working = false;
    assert_string_equal(rendered(&t, render_json),
                        "{\"kind\":\"resultant\",\"units\":{\"force\":\"kN\",\"length\":\"m\","
                        "\"angle\":\"deg\"},\"answer\":" ANSWER
                        ",\"notes\":[{\"code\":\"quadrant\","
                        "\"text\":\"R lies in quadrant 4.\"}]}");
    tape_end(&t);
}

static void the_working(void **state)
{
    (void)state;
    struct tape t;
    mast(&t);
    const struct json *root = read_json(&t, rendered(&t, render_json));
    assert_string_equal(
        member_text(&t, root, "/working"),
        "[{\"title\":\"Components\",\"why\":\"F1 pulls along the guy; \\\"x\\\" is to the right.\","
        "\"lines\":[{\"text\":\"F_1 = 8.4 kN\"},{\"text\":\"W = 4200 N = 4200/1000 kN = 4.20 "
        "kN\"},{\"text\":\"F_1x = F_1 cos θ_1 = 8.4 cos 248.2° = −3.12 kN\"},{\"text\":\"F_1y = "
        "F_1 sin θ_1 = 8.4 sin 248.2° = −7.80 kN\"}]},{\"title\":\"Resultant\",\"lines\":["
        "{\"text\":\"→⁺ R_x = ΣF_x = F_1x + W_x = −3.12 + 4.20 = 1.08 kN\"},{\"text\":\"↑⁺ R_y "
        "= ΣF_y = F_1y + W_y = −7.80 + 0 = −7.80 kN\"},{\"text\":\"R = √(R_x² + R_y²) = "
        "√(1.08² + (−7.80)²) = 7.87 kN\"},{\"text\":\"R_x is positive and R_y negative: "
        "quadrant 4.\"},{\"text\":\"θ = 360° − tan⁻¹(|R_y|/|R_x|) = 360° − tan⁻¹(|−7.80|/|1.08|) "
        "= 277.9°\"}]}]");
    tape_end(&t);
}

/* What each format says on its own stands in the JSON, escaped and whole. */
static void every_format(void **state)
{
    (void)state;
    static const char *const key[] = {"text", "latex", "mathml", "speech"};
    for (int chosen = 1; chosen < 16; chosen++) {
        struct tape t;
        mast(&t);
        struct work *w = &t.work;
        t.options.notation = chosen % 2 ? NOTATION_VECTOR : NOTATION_SCALAR;
        for (int f = 0; f < FORMAT_MAX_; f++)
            t.options.formats[f] = chosen >> f & 1;
        const struct json *working =
            json_member(read_json(&t, rendered(&t, render_json)), "working");
        assert_int_equal(working->count, 2);
        uint32_t section = 0;
        for (const struct json *s = working->child; s != NULL; s = s->next, section += 2) {
            const struct json *line = json_member(s, "lines")->child;
            const struct section *of = &w->section[section];
            for (uint32_t i = of->first; i < of->first + of->count; i++) {
                const char *rest[FORMAT_MAX_];
                for (int f = 0; f < FORMAT_MAX_; f++)
                    rest[f] = step_lines(&t, &w->step[i], (enum format)f);
                for (bool more = true; more; line = line->next) {
                    assert_non_null(line);
                    for (int f = 0; f < FORMAT_MAX_; f++) {
                        size_t n = strcspn(rest[f], "\n");
                        const struct json *v = json_member(line, key[f]);
                        assert_int_equal(v != NULL, t.options.formats[f]);
                        if (v != NULL)
                            assert_string_equal(v->text, arena_text(t.arena, rest[f], n));
                        more = rest[f][n] == '\n';
                        rest[f] += n + more;
                    }
                }
            }
            assert_null(line);
        }
        tape_end(&t);
    }
}

/* Neither figures nor notation nor formats change what stands before the working. */
static void the_answer_does_not_depend_on_the_working(void **state)
{
    (void)state;
    struct tape t;
    mast(&t);
    const char *plain = rendered(&t, render_json);
    size_t same = (size_t)(strstr(plain, ",\"working\"") - plain);
    t.options.figures = 5;
    t.options.notation = NOTATION_VECTOR;
    t.options.formats[FORMAT_MATHML] = true;
    const char *other = rendered(&t, render_json);
    assert_memory_equal(plain, other, same);
    assert_string_not_equal(plain, other);
    assert_non_null(strstr(other, "{1.0805 i − 7.7993 j} kN"));
    tape_end(&t);
}

static void the_key(void **state)
{
    (void)state;
    struct tape t;
    mast(&t);
    t.options.key = true;
    const struct json *key = json_member(read_json(&t, rendered(&t, render_json)), "key");
    static const struct {
        const char *of, *symbol, *value, *unit, *rounded;
    } expected[] = {
        {"/resultant/components/0", "R_x", "1.08051018138", "kN", "1.08"},
        {"/resultant/components/1", "R_y", "-7.7992809458", "kN", "-7.80"},
        {"/resultant/magnitude", "R", "7.87377200099", "kN", "7.87"},
        {"/resultant/direction/angle", "θ", "277.887534356", "deg", "277.9"},
        {"/members/AB/force", "F_AB", "-7.87377200099", "kN", "-7.87"},
    };
    assert_int_equal(key->count, 5);
    const struct json *entry = key->child;
    for (size_t i = 0; i < 5; i++, entry = entry->next) {
        assert_string_equal(json_member(entry, "of")->text, expected[i].of);
        assert_string_equal(json_member(entry, "symbol")->text, expected[i].symbol);
        assert_string_equal(json_member(entry, "value")->text, expected[i].value);
        assert_string_equal(json_member(entry, "unit")->text, expected[i].unit);
        assert_string_equal(json_member(entry, "rounded")->text, expected[i].rounded);
        assert_true(json_member(entry, "allowance")->number > 0);
        assert_int_equal(entry->count, 6);
    }
    tape_end(&t);
}

/* Units and the rounded text of numbers that are far from 1. */
static void the_key_of_odd_numbers(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    w->wants_key = true;
    t.options.key = true;
    t.options.working = false;
    q big = q_name(w, typed(&t, "123456789", moment, NULL), symbol_plain("M"));
    q small = q_name(w, typed(&t, "-0.0000123456", ratio, NULL), symbol_plain("u"));
    q w0 = q_name(w, typed(&t, "2.5", intensity, NULL), symbol_plain("w"));
    result_number(w, NULL, "M", big);
    result_number(w, NULL, "u", small);
    result_number(w, NULL, "w", w0);
    struct problem problem;
    problem_init(&problem, t.arena);
    assert_int_equal(work_close(w, &problem), PROBLEM_NONE);
    const struct json *key = json_member(read_json(&t, rendered(&t, render_json)), "key");
    const struct json *M = key->child, *u = M->next, *intensity_entry = u->next;
    assert_string_equal(json_member(M, "unit")->text, "kN·m");
    assert_string_equal(json_member(M, "rounded")->text, "1.23e8");
    assert_string_equal(json_member(u, "unit")->text, "");
    assert_string_equal(json_member(u, "rounded")->text, "-1.23e-5");
    assert_string_equal(json_member(u, "value")->text, "-0.0000123456");
    assert_string_equal(json_member(intensity_entry, "unit")->text, "kN/m");
    tape_end(&t);
}

/* Every byte that JSON escapes, at every place of a block of eight. */
static void strings(void **state)
{
    (void)state;
    for (unsigned before = 0; before < 9; before++)
        for (unsigned byte = 1; byte < 256; byte = byte == 0x22   ? 0x5c
                                                   : byte == 0x5c ? 0xc3
                                                                  : byte + 1) {
            if (byte > 0x22 && byte != 0x5c && byte != 0xc3)
                break;
            struct tape t;
            tape_begin(&t, kilonewtons, false);
            char text[64] = {0};
            memset(text, 'a', before);
            text[before] = (char)byte;
            if (byte == 0xc3)
                text[before + 1] = (char)0xa9;
            strcat(text, "\"tail\\ of the text é\x1f");
            result_text(&t.work, NULL, "name", text);
            t.options.working = false;
            const struct json *root = read_json(&t, rendered(&t, render_json));
            assert_string_equal(json_at(root, "/answer/name")->text, text);
            tape_end(&t);
        }
}

/* Too long a text is cut, said by the buffer, and nothing else. */
static void overflow(void **state)
{
    (void)state;
    struct tape t;
    mast(&t);
    for (int f = 0; f < FORMAT_MAX_; f++)
        t.options.formats[f] = true;
    t.options.key = true;
    size_t whole = strlen(rendered(&t, render_json));
    void (*const render[])(struct work *, const struct render_options *,
                           struct buf *) = {render_json, render_sheet_text, render_sheet_latex};
    for (size_t i = 0; i < sizeof render / sizeof *render; i++)
        for (size_t maximum = 0; maximum < whole; maximum += 1 + maximum / 61) {
            struct buf out;
            buf_init(&out, t.arena, maximum);
            render[i](&t.work, &t.options, &out);
            assert_true(out.length <= maximum);
            assert_true(i > 0 || out.overflow);
        }
    tape_end(&t);
}

static void a_sheet(void **state)
{
    (void)state;
    struct tape t;
    mast(&t);
    assert_string_equal(rendered(&t, render_sheet_text),
                        "Resultant\n"
                        "\n"
                        "1. Components\n"
                        "F1 pulls along the guy; \"x\" is to the right.\n"
                        "\n"
                        "    F_1 = 8.4 kN\n"
                        "    W = 4200 N = 4200/1000 kN = 4.20 kN\n"
                        "    F_1x = F_1 cos θ_1 = 8.4 cos 248.2° = −3.12 kN\n"
                        "    F_1y = F_1 sin θ_1 = 8.4 sin 248.2° = −7.80 kN\n"
                        "\n"
                        "2. Resultant\n"
                        "\n"
                        "    →⁺ R_x = ΣF_x = F_1x + W_x = −3.12 + 4.20 = 1.08 kN\n"
                        "    ↑⁺ R_y = ΣF_y = F_1y + W_y = −7.80 + 0 = −7.80 kN\n"
                        "    R = √(R_x² + R_y²) = √(1.08² + (−7.80)²) = 7.87 kN\n"
                        "\n"
                        "R_x is positive and R_y negative: quadrant 4.\n"
                        "\n"
                        "    θ = 360° − tan⁻¹(|R_y|/|R_x|) = 360° − tan⁻¹(|−7.80|/|1.08|) = "
                        "277.9°\n"
                        "\n"
                        "Answer\n"
                        "\n"
                        "    R_x = 1.08 kN\n"
                        "    R_y = −7.80 kN\n"
                        "    R = 7.87 kN\n"
                        "    θ = 277.9°\n"
                        "\n"
                        "7.87 kN at 82.1° below +x\n"
                        "\n"
                        "    F_AB = −7.87 kN (compression)\n"
                        "\n"
                        "BC is not fixed by statics.\n"
                        "\n"
                        "Notes\n"
                        "- R lies in quadrant 4.\n");
    t.options.working = false;
    const char *answer = rendered(&t, render_sheet_text);
    assert_ptr_equal(strstr(answer, "Resultant\n\nAnswer\n\n    R_x = 1.08 kN\n"), answer);
    tape_end(&t);
}

static void a_sheet_in_latex(void **state)
{
    (void)state;
    struct tape t;
    mast(&t);
    t.options.notation = NOTATION_VECTOR;
    assert_string_equal(
        rendered(&t, render_sheet_latex),
        "% needs the packages amsmath and amssymb\n"
        "\\section*{Resultant}\n"
        "\n"
        "\\subsection*{1. Components}\n"
        "F1 pulls along the guy; \"x\" is to the right.\n"
        "\n"
        "\\begin{align*}\n"
        "& F_{1} = 8.4\\,\\mathrm{kN} \\\\\n"
        "& W = 4200\\,\\mathrm{N} = \\frac{4200}{1000}\\,\\mathrm{kN} = 4.20\\,\\mathrm{kN} \\\\\n"
        "& \\mathbf{F}_{1} = \\left(F_{1} \\cos \\theta_{1}\\right)\\,\\mathbf{i} + \\left(F_{1} "
        "\\sin \\theta_{1}\\right)\\,\\mathbf{j} = \\left(8.4 \\cos "
        "248.2^{\\circ}\\right)\\,\\mathbf{i} + \\left(8.4 \\sin "
        "248.2^{\\circ}\\right)\\,\\mathbf{j} = \\left\\{-3.12\\,\\mathbf{i} - "
        "7.80\\,\\mathbf{j}\\right\\}\\,\\mathrm{kN}\n"
        "\\end{align*}\n"
        "\n"
        "\\subsection*{2. Resultant}\n"
        "\\begin{align*}\n"
        "& \\mathbf{R} = \\sum \\mathbf{F} = \\mathbf{F}_{1} + \\mathbf{W} = "
        "\\left(-3.12\\,\\mathbf{i} - 7.80\\,\\mathbf{j}\\right) + "
        "\\left(4.20\\,\\mathbf{i}\\right) = \\left\\{1.08\\,\\mathbf{i} - "
        "7.80\\,\\mathbf{j}\\right\\}\\,\\mathrm{kN} \\\\\n"
        "& R = \\left|\\mathbf{R}\\right| = \\sqrt{1.08^{2} + "
        "\\left(-7.80\\right)^{2}} = 7.87\\,\\mathrm{kN}\n"
        "\\end{align*}\n"
        "\\(R_{x}\\) is positive and \\(R_{y}\\) negative: quadrant 4.\n"
        "\n"
        "\\begin{align*}\n"
        "& \\theta = 360^{\\circ} - \\tan^{-1}\\left(\\frac{\\left|R_{y}\\right|}"
        "{\\left|R_{x}\\right|}\\right) = 360^{\\circ} - "
        "\\tan^{-1}\\left(\\frac{\\left|-7.80\\right|}{\\left|1.08\\right|}\\right) = "
        "277.9^{\\circ}\n"
        "\\end{align*}\n"
        "\n"
        "\\subsection*{Answer}\n"
        "\\begin{align*}\n"
        "& \\mathbf{R} = \\left\\{1.08\\,\\mathbf{i} - "
        "7.80\\,\\mathbf{j}\\right\\}\\,\\mathrm{kN} \\\\\n"
        "& R = 7.87\\,\\mathrm{kN} \\\\\n"
        "& \\theta = 277.9^{\\circ}\n"
        "\\end{align*}\n"
        "\\(7.87\\,\\mathrm{kN}\\) at \\(82.1^{\\circ}\\) below +x\n"
        "\n"
        "\\begin{align*}\n"
        "& F_{AB} = -7.87\\,\\mathrm{kN} \\quad\\text{(compression)}\n"
        "\\end{align*}\n"
        "BC is not fixed by statics.\n"
        "\n"
        "\\subsection*{Notes}\n"
        "\\begin{itemize}\n"
        "\\item \\(\\mathbf{R}\\) lies in quadrant 4.\n"
        "\\end{itemize}\n");
    tape_end(&t);
}

/* Long prose is broken at blanks, a number never from its unit. */
static void a_long_paragraph(void **state)
{
    (void)state;
    struct tape t;
    tape_begin(&t, kilonewtons, false);
    struct work *w = &t.work;
    q P = named(&t, "P", "217.5", force, NULL);
    work_section(w, PLAIN("Why"), (struct phrase){0});
    for (int pad = 0; pad < 12; pad++)
        work_say(w, PHRASE("{}The force of the footbridge on its abutment, with θ and φ on either "
                           "side, is {} and holds it.",
                           arg_name(&"xxxxxxxxxxxx"[pad]), arg_value(P)));
    const char *sheet = rendered(&t, render_sheet_text);
    size_t column = 0;
    for (const char *c = sheet; *c; c++) {
        column = *c == '\n' ? 0 : column + (((unsigned char)*c & 0xc0) != 0x80);
        assert_true(column <= 78);
    }
    assert_int_equal(count_of(sheet, "217.5 kN"), 12);
    assert_int_equal(count_of(sheet, "\n"), 2 + 1 + 2 * 12);
    tape_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer),
        cmocka_unit_test(the_working),
        cmocka_unit_test(every_format),
        cmocka_unit_test(the_answer_does_not_depend_on_the_working),
        cmocka_unit_test(the_key),
        cmocka_unit_test(the_key_of_odd_numbers),
        cmocka_unit_test(strings),
        cmocka_unit_test(overflow),
        cmocka_unit_test(a_sheet),
        cmocka_unit_test(a_sheet_in_latex),
        cmocka_unit_test(a_long_paragraph),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
