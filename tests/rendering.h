/* rendering.h: a tape to put lines on, and what every line that is rendered must keep to. */
#ifndef TESTS_RENDERING_H
#define TESTS_RENDERING_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "render/render.h"

static const struct dimension force = {.force = 1}, length = {.length = 1}, angle = {.angle = true},
                              moment = {.force = 1, .length = 1}, mass = {.mass = 1},
                              acceleration = {.acceleration = 1}, ratio = {0},
                              intensity = {.force = 1, .length = -1};

struct tape {
    struct arena *arena;
    struct field *field;
    struct work work;
    struct render_options options;
};

static const struct units kilonewtons = {
    .force = UNIT_KN, .length = UNIT_M, .mass = UNIT_KG, .acceleration = UNIT_M_S2};

static inline void tape_begin(struct tape *t, struct units units, bool space)
{
    t->arena = arena_new((size_t)64 << 20);
    t->field = field_new(20250217);
    assert_non_null(t->arena);
    assert_non_null(t->field);
    work_init(&t->work, t->arena, t->field);
    work_begin(&t->work, units, space);
    t->work.kind = "resultant";
    t->options = render_defaults();
}

static inline void tape_end(struct tape *t)
{
    assert_false(t->work.failed);
    assert_false(t->work.inconsistent);
    arena_free(t->arena);
    field_free(t->field);
}

static inline q typed(struct tape *t, const char *text, struct dimension d, const char *unit)
{
    struct given *g = arena_alloc(t->arena, sizeof *g);
    assert_non_null(g);
    *g = (struct given){.present = true, .text = text, .length = strlen(text), .pointer = ""};
    if (unit != NULL) {
        assert_true(unit_read(unit, strlen(unit), d, &g->unit));
        g->has_own_unit = true;
    }
    return q_given(&t->work, g, d);
}

static inline q named(struct tape *t, const char *name, const char *text, struct dimension d,
                      const char *unit)
{
    return q_name(&t->work, typed(t, text, d, unit), symbol_of_name(&t->work, name));
}

/* ---- what every line keeps to ---- */

/* Brackets of the text close in order; bars pair up. */
static inline void check_text(const char *line)
{
    char open[256];
    size_t depth = 0;
    unsigned bars = 0;
    for (const char *c = line; *c; c++) {
        if (*c == '(' || *c == '{')
            open[depth++] = *c;
        assert_true(depth < sizeof open);
        if (*c == ')' || *c == '}') {
            assert_true(depth > 0);
            assert_int_equal(open[--depth], *c == ')' ? '(' : '{');
        }
        if (*c == '|')
            bars++;
    }
    assert_int_equal(depth, 0);
    assert_int_equal(bars % 2, 0);
    assert_null(strstr(line, "  "));
    assert_null(strstr(line, "(null)"));
}

static inline unsigned count_of(const char *text, const char *what)
{
    unsigned count = 0;
    for (const char *c = text; (c = strstr(c, what)) != NULL; c += strlen(what))
        count++;
    return count;
}

static inline void check_latex(const char *line)
{
    int depth = 0;
    for (const char *c = line; *c; c++) {
        if (*c == '\\' && c[1]) {
            c++;
            continue;
        }
        depth += (*c == '{') - (*c == '}');
        assert_true(depth >= 0);
        assert_true((unsigned char)*c < 0x80 || strstr(line, "\\text{") != NULL);
    }
    assert_int_equal(depth, 0);
    assert_int_equal(count_of(line, "\\left"),
                     count_of(line, "\\right") - count_of(line, "\\rightarrow"));
    assert_int_equal(count_of(line, "\\begin{"), count_of(line, "\\end{"));
}

/* Well-formed XML of Core elements; msup, msub, mfrac with two children, msubsup with three. */
static inline void check_mathml(const char *line)
{
    static const struct {
        const char *name;
        int children; /* 0: any */
    } core[] = {{"math", 0},    {"mrow", 0},   {"mi", 0},    {"mn", 0},    {"mo", 0},
                {"msub", 2},    {"msup", 2},   {"msqrt", 0}, {"mfrac", 2}, {"mtext", 0},
                {"msubsup", 3}, {"mtable", 0}, {"mtr", 0},   {"mtd", 0}};
    struct {
        size_t element;
        int children;
    } open[64];
    size_t depth = 0;
    assert_ptr_equal(
        strstr(line, "<math xmlns=\"http://www.w3.org/1998/Math/MathML\" display=\"block\">"),
        line);
    for (const char *c = line; (c = strchr(c, '<')) != NULL; c++) {
        bool ends = c[1] == '/';
        const char *name = c + 1 + ends;
        size_t n = strcspn(name, " >"), element = 0;
        while (element < sizeof core / sizeof *core &&
               (strlen(core[element].name) != n || memcmp(core[element].name, name, n) != 0))
            element++;
        assert_true(element < sizeof core / sizeof *core);
        if (!ends) {
            if (depth > 0)
                open[depth - 1].children++;
            open[depth].element = element;
            open[depth++].children = 0;
            assert_true(depth < sizeof open / sizeof *open);
            continue;
        }
        assert_true(depth > 0);
        depth--;
        assert_int_equal(open[depth].element, element);
        if (core[element].children > 0)
            assert_int_equal(open[depth].children, core[element].children);
    }
    assert_int_equal(depth, 0);
    for (const char *c = line; (c = strchr(c, '&')) != NULL; c++)
        assert_true(strncmp(c, "&amp;", 5) == 0 || strncmp(c, "&lt;", 4) == 0 ||
                    strncmp(c, "&gt;", 4) == 0);
}

/* Words, numbers and the pauses between them. */
static inline void check_speech(const char *line)
{
    for (const char *c = line; *c; c++)
        assert_true((*c >= 'a' && *c <= 'z') || (*c >= 'A' && *c <= 'Z') ||
                    (*c >= '0' && *c <= '9') || strchr(" .,:;-\"", *c) != NULL ||
                    (unsigned char)*c >= 0x80);
    static const char *const signs[] = {"θ", "π", "°", "·", "−", "√", "²", "→", "Σ", "⁻"};
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
        assert_null(strstr(line, signs[i]));
    assert_int_equal(count_of(line, "open bracket"), count_of(line, "close bracket"));
    assert_null(strstr(line, "  "));
    assert_true(line[0] != ' ');
}

static inline void check_line(enum format format, const char *line)
{
    switch (format) {
    case FORMAT_TEXT:
        check_text(line);
        return;
    case FORMAT_LATEX:
        check_latex(line);
        return;
    case FORMAT_MATHML:
        check_mathml(line);
        return;
    case FORMAT_SPEECH:
        check_speech(line);
        return;
    case FORMAT_MAX_:
        return;
    }
}

/* The step's lines in one format, each checked. */
static inline const char *step_lines(struct tape *t, const struct step *step, enum format format)
{
    struct buf out;
    buf_init(&out, t->arena, (size_t)1 << 20);
    render_step(&t->work, step, &t->options, format, &out);
    const char *text = buf_text(&out);
    assert_non_null(text);
    char *copy = arena_text(t->arena, text, strlen(text));
    for (char *line = copy, *end; line != NULL; line = end) {
        end = strchr(line, '\n');
        if (end != NULL)
            *end++ = '\0';
        check_line(format, line);
        bool is_formula = step->kind != STEP_SAY && step->kind != STEP_DECIDE &&
                          step->kind != STEP_CHECK && format == FORMAT_TEXT;
        assert_true(!is_formula || strchr(line, '-') == NULL); /* a minus is U+2212 */
    }
    return text;
}

/* The step recorded last. */
static inline const struct step *last_step(struct tape *t)
{
    assert_true(t->work.step_count > 0);
    return &t->work.step[t->work.step_count - 1];
}

static inline const char *last_lines(struct tape *t, enum format format)
{
    for (int other = 0; other < FORMAT_MAX_; other++)
        step_lines(t, last_step(t), (enum format)other);
    return step_lines(t, last_step(t), format);
}

/* The line that defines x, in text. */
static inline const char *line_of(struct tape *t, q x)
{
    work_define(&t->work, x);
    return last_lines(t, FORMAT_TEXT);
}

/* Without what all MathML has: <math …>, </math>, and the spacing of invisible operators. */
static inline const char *bare_mathml(struct tape *t, const char *line)
{
    char *text = arena_text(t->arena, line, strlen(line)), *to = text;
    const char *from = strchr(line, '>') + 1, *end = strstr(line, "</math>");
    while (from < end) {
        if (strncmp(from, " rspace=\"0.1667em\"", 18) == 0)
            from += 18;
        else
            *to++ = *from++;
    }
    *to = '\0';
    return text;
}

#endif
