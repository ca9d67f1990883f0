/* line.c: a step as one or more lines: symbol = formula = substitution = value unit. */
#include <string.h>

#include "render/walk.h"

/* One row a format, in the order of enum format. */
static const struct writer *const formats[FORMAT_MAX_] = {
    [FORMAT_TEXT] = &text_writer,
    [FORMAT_LATEX] = &latex_writer,
    [FORMAT_MATHML] = &mathml_writer,
    [FORMAT_SPEECH] = &speech_writer,
};

const struct writer *writer_of(enum format format) { return formats[format]; }
const char *format_name(enum format format) { return formats[format]->name; }

void walk_begin(struct walk *k, struct work *w, const struct writer *writer,
                const struct render_options *options, struct buf *out)
{
    k->w = w;
    k->writer = writer;
    k->options = options;
    k->out = out;
    k->numbers = k->is_equation = false;
    k->unit_vector_primes = 0;
    for (int axis = 0; options->notation == NOTATION_VECTOR && axis < 3; axis++) {
        struct symbol s = symbol_own(w, (const char *[]){"i", "j", "k"}[axis], NULL);
        if (s.primed > k->unit_vector_primes)
            k->unit_vector_primes = s.primed;
    }
    k->root = k->root_vector = k->step = 0;
    k->defined = NULL;
    for (uint32_t i = 0; i < SHOWN_KEPT; i++)
        k->shown[i].of = 0;
}

/* ---- parts of a line, each left out where it repeats the one before ---- */

struct part {
    size_t start, length;
};

static struct part part_from(const struct walk *k, size_t start)
{
    return (struct part){start, k->out->length - start};
}

static bool is_same_part(const struct walk *k, struct part a, struct part b)
{
    return a.length == b.length && a.length > 0 &&
           memcmp(k->out->data + a.start, k->out->data + b.start, a.length) == 0;
}

/* Take back what was written from `mark` on. */
static void take_back(struct walk *k, size_t mark) { k->out->length = mark; }

/* Write x, or v, with its numbers after its formula, unless they look the same. Returns the last
 * part written. */
static struct part put_substitution(struct walk *k, struct part formula, q x, qv v)
{
    size_t mark = k->out->length;
    put(k, k->writer->equals);
    size_t start = k->out->length;
    k->numbers = true;
    if (q_is_none(x))
        put_vector(k, v, BINDS_SUM);
    else
        put_scalar(k, x, BINDS_SUM);
    k->numbers = false;
    struct part substitution = part_from(k, start);
    if (!is_same_part(k, formula, substitution))
        return substitution;
    take_back(k, mark);
    return formula;
}

/* formula = substitution = value unit */
static void put_formula_to_value(struct walk *k, q x)
{
    k->root = x.i;
    size_t start = k->out->length;
    put_scalar(k, x, BINDS_SUM);
    struct part last = part_from(k, start);
    if (!is_leaf(k, x))
        last = put_substitution(k, last, x, (qv){0});
    k->root = 0;
    size_t mark = k->out->length;
    put(k, k->writer->equals);
    start = k->out->length;
    put_number(k, x, BINDS_SUM);
    if (is_same_part(k, last, part_from(k, start)))
        take_back(k, mark);
    put_unit(k, x);
}

/* 2.5 kN = 2.5 · 1000 N = 2500 N */
static void put_conversion_to_value(struct walk *k, q x)
{
    put_formula_to_value(k, (q){q_node(k->w, x)->operand[0]});
    put(k, k->writer->equals);
    put_conversion(k, x, true);
    put_unit(k, x);
    put(k, k->writer->equals);
    put_number(k, x, BINDS_SUM);
    put_unit(k, x);
}

/* ---- vectors ---- */

static void put_vector_value(struct walk *k, qv v)
{
    k->numbers = true;
    put(k, k->writer->brace[0]);
    put_components(k, v);
    put(k, k->writer->brace[1]);
    put_unit_of_vector(k, v);
    k->numbers = false;
}

/* formula = substitution = {x i + y j} unit */
static void put_vector_formula_to_value(struct walk *k, qv v)
{
    k->root_vector = v.i;
    size_t start = k->out->length;
    put_vector(k, v, BINDS_SUM);
    struct part last = put_substitution(k, part_from(k, start), (q){0}, v);
    k->root_vector = 0;
    size_t mark = k->out->length;
    put(k, k->writer->equals);
    start = k->out->length;
    k->numbers = true;
    put_components(k, v);
    k->numbers = false;
    bool is_repeated = is_same_part(k, last, part_from(k, start));
    take_back(k, is_repeated ? last.start : mark);
    if (!is_repeated)
        put(k, k->writer->equals);
    put_vector_value(k, v);
}

/* ---- lines ---- */

static void put_sense(struct walk *k, enum sum_label label, char axis)
{
    if (k->w->space)
        return;
    if (label == LABEL_SUM_MOMENT)
        put(k, k->writer->sense[SENSE_COUNTER_CLOCKWISE]);
    else if (label == LABEL_SUM_FORCE && axis == 'x')
        put(k, k->writer->sense[SENSE_RIGHT]);
    else if (label == LABEL_SUM_FORCE && axis == 'y')
        put(k, k->writer->sense[SENSE_UP]);
}

static void put_name(struct walk *k, const struct symbol *s, bool is_vector)
{
    if (s->base == NULL)
        return;
    k->writer->symbol(k, s, is_vector);
    put(k, k->writer->is);
}

static void put_definition(struct walk *k, q x, const struct step *step, char axis)
{
    put_sense(k, step->label, axis);
    put_name(k, &q_node(k->w, x)->symbol, false);
    if (step->label != LABEL_NONE) {
        k->writer->sum_label(k, step->label, axis, step->about, false);
        put(k, k->writer->equals);
    }
    if (q_node(k->w, x)->op == OP_CONVERT)
        put_conversion_to_value(k, x);
    else
        put_formula_to_value(k, x);
}

static void put_vector_definition(struct walk *k, const struct step *step)
{
    put_name(k, &qv_node(k->w, step->vector)->symbol, true);
    if (step->label != LABEL_NONE) {
        k->writer->sum_label(k, step->label, 0, step->about, true);
        put(k, k->writer->equals);
    }
    put_vector_formula_to_value(k, step->vector);
}

/* Which step defines which number: an equation shows the later ones as unknown. */
static void find_defined(struct walk *k)
{
    struct work *w = k->w;
    k->defined = arena_alloc(w->arena, w->node_count * sizeof *k->defined);
    for (uint32_t i = 0; k->defined != NULL && i < w->step_count; i++) {
        const struct step *step = &w->step[i];
        q x[3] = {{0}};
        if (step->kind == STEP_DEFINE)
            x[0] = step->scalar;
        for (int axis = 0; step->kind == STEP_DEFINE_VECTOR && axis < 3; axis++)
            x[axis] = qv_component(w, step->vector, axis);
        for (int axis = 0; axis < 3; axis++)
            if (!q_is_none(x[axis]) && k->defined[x[axis].i] == 0)
                k->defined[x[axis].i] = i + 1;
    }
}

static void put_sides(struct walk *k, const struct step *step)
{
    put_scalar(k, step->scalar, BINDS_SUM);
    put(k, k->writer->is);
    if (q_is_none(step->right))
        put(k, k->writer->zero);
    else
        put_scalar(k, step->right, BINDS_SUM);
}

/* ΣM_A = 0: 6 B_y − 2 P = 0; 6 B_y − 2 · 12 = 0 */
static void put_equation(struct walk *k, const struct step *step)
{
    if (k->defined == NULL)
        find_defined(k);
    k->step = step >= k->w->step && step < k->w->step + k->w->step_count
                  ? (uint32_t)(step - k->w->step)
                  : k->w->step_count;
    k->is_equation = true;
    if (step->label != LABEL_NONE) {
        put_sense(k, step->label, step->label_axis);
        k->writer->sum_label(k, step->label, step->label_axis, step->about, false);
        put(k, k->writer->is);
        if (q_is_none(step->right))
            put(k, k->writer->zero);
        else
            put_scalar(k, step->right, BINDS_SUM);
        put(k, k->writer->colon);
    }
    size_t start = k->out->length;
    put_sides(k, step);
    struct part formula = part_from(k, start);
    put(k, k->writer->restated);
    start = k->out->length;
    k->numbers = true;
    put_sides(k, step);
    k->numbers = k->is_equation = false;
    if (is_same_part(k, formula, part_from(k, start)))
        take_back(k, formula.start + formula.length);
}

static uint32_t component_count(const struct walk *k, qv v)
{
    uint32_t count = 0;
    for (int axis = 0; axis < 3; axis++)
        count += !q_is_none(qv_component(k->w, v, axis));
    return count;
}

uint32_t line_count(const struct walk *k, const struct step *step)
{
    switch (step->kind) {
    case STEP_DEFINE_VECTOR:
        return k->options->notation == NOTATION_VECTOR ? 1 : component_count(k, step->vector);
    case STEP_CHECK:
        return step->phrase.template != NULL ? 2 : 1;
    case STEP_DEFINE:
    case STEP_EQUATION:
    case STEP_DECIDE:
    case STEP_SAY:
        return 1;
    case STEP_KIND_MAX_:
        break;
    }
    return 0;
}

bool line_is_prose(const struct step *step, uint32_t i)
{
    return step->kind == STEP_DECIDE || step->kind == STEP_SAY ||
           (step->kind == STEP_CHECK && i == 1);
}

/* The i-th component that there is. */
static int axis_of_line(const struct walk *k, qv v, uint32_t i)
{
    int axis = 0;
    while (axis < 2 && (q_is_none(qv_component(k->w, v, axis)) || i-- > 0))
        axis++;
    return axis;
}

void put_line(struct walk *k, const struct step *step, uint32_t i)
{
    if (line_is_prose(step, i)) {
        put(k, k->writer->sentence[0]);
        put_phrase(k, &step->phrase);
        put(k, k->writer->sentence[1]);
        return;
    }
    put(k, k->writer->line[0]);
    switch (step->kind) {
    case STEP_DEFINE:
    case STEP_CHECK:
        put_definition(k, step->scalar, step, step->label_axis);
        break;
    case STEP_DEFINE_VECTOR:
        if (k->options->notation == NOTATION_VECTOR) {
            put_vector_definition(k, step);
        } else {
            int axis = axis_of_line(k, step->vector, i);
            put_definition(k, qv_component(k->w, step->vector, axis), step, "xyz"[axis]);
        }
        break;
    case STEP_EQUATION:
        put_equation(k, step);
        break;
    case STEP_DECIDE:
    case STEP_SAY:
    case STEP_KIND_MAX_:
        break;
    }
    put(k, k->writer->line[1]);
}

void put_result(struct walk *k, q x)
{
    put(k, k->writer->line[0]);
    put_name(k, &q_node(k->w, x)->symbol, false);
    put_value(k, x);
    put(k, k->writer->line[1]);
}

void put_vector_result(struct walk *k, qv v)
{
    put(k, k->writer->line[0]);
    put_name(k, &qv_node(k->w, v)->symbol, true);
    put_vector_value(k, v);
    put(k, k->writer->line[1]);
}

/* ---- prose ---- */

static void put_list(struct walk *k, const struct symbol *symbol, int length)
{
    for (int i = 0; i < length; i++) {
        const char *before = i + 1 < length ? ", " : " and ";
        if (i > 0)
            k->writer->prose(k, before, strlen(before));
        put(k, k->writer->inline_of[0]);
        k->writer->symbol(k, &symbol[i], false);
        put(k, k->writer->inline_of[1]);
    }
}

static void put_argument(struct walk *k, const struct arg *arg)
{
    if (arg->kind == ARG_LIST) {
        put_list(k, arg->list.symbol, arg->list.length);
        return;
    }
    if (arg->kind == ARG_NAME) {
        k->writer->prose(k, arg->name, strlen(arg->name));
        return;
    }
    if (arg->kind == ARG_COUNT) {
        char digits[12];
        k->writer->prose(k, digits, integer_text(arg->count, digits));
        return;
    }
    put(k, k->writer->inline_of[0]);
    const struct symbol *s = arg->kind == ARG_VECTOR ? &qv_node(k->w, arg->vector)->symbol
                                                     : &q_node(k->w, arg->scalar)->symbol;
    if (arg->kind == ARG_VALUE || s->base == NULL) {
        if (arg->kind == ARG_VECTOR) {
            put_vector_value(k, arg->vector);
        } else {
            put_value(k, arg->scalar);
        }
    } else {
        k->writer->symbol(k, s, arg->kind == ARG_VECTOR && k->options->notation == NOTATION_VECTOR);
    }
    put(k, k->writer->inline_of[1]);
}

void put_phrase(struct walk *k, const struct phrase *phrase)
{
    const char *c = phrase->template;
    if (c == NULL)
        return;
    uint32_t next = 0;
    for (const char *hole; (hole = strstr(c, "{}")) != NULL; c = hole + 2) {
        if (hole > c)
            k->writer->prose(k, c, (size_t)(hole - c));
        if (next < phrase->count)
            put_argument(k, &phrase->arg[next++]);
    }
    if (*c != '\0')
        k->writer->prose(k, c, strlen(c));
}

/* ---- one step, one phrase ---- */

struct render_options render_defaults(void)
{
    return (struct render_options){.notation = NOTATION_SCALAR,
                                   .formats = {[FORMAT_TEXT] = true},
                                   .working = true,
                                   .figures = 3};
}

void render_step(struct work *w, const struct step *step, const struct render_options *options,
                 enum format format, struct buf *out)
{
    struct walk k;
    walk_begin(&k, w, writer_of(format), options, out);
    uint32_t count = line_count(&k, step);
    for (uint32_t i = 0; i < count; i++) {
        if (i > 0)
            buf_putc(out, '\n');
        put_line(&k, step, i);
    }
}

void render_phrase(struct work *w, const struct phrase *phrase,
                   const struct render_options *options, enum format format, struct buf *out)
{
    struct walk k;
    walk_begin(&k, w, writer_of(format), options, out);
    put(&k, k.writer->sentence[0]);
    put_phrase(&k, phrase);
    put(&k, k.writer->sentence[1]);
}
