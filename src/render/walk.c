/* walk.c: the one walker over formulas. It knows the tape, precedence and the habits of the board;
 * how anything looks is the writer's.
 *
 * To add a notation: write one file beside text.c that fills a `struct writer` (rows for the
 * operations, and functions for numbers, symbols, units, labels and prose), declare the table in
 * walk.h, and give it a name in `enum format` (render.h) and a row in `formats` (line.c). Nothing
 * here changes. */
#include "render/view.h"

bool put_open(struct walk *k, bool in_brackets)
{
    if (in_brackets)
        put(k, k->writer->bracket[0]);
    return in_brackets;
}

void put_close(struct walk *k, bool in_brackets)
{
    if (in_brackets)
        put(k, k->writer->bracket[1]);
}

static void put_magnitude_shown(struct walk *k, const struct shown *s)
{
    const struct row *fraction = &k->writer->op[OP_DIV];
    if (s->count == 2)
        put(k, fraction->open);
    if (s->degrees)
        k->writer->degrees(k, &s->part[0]);
    else
        k->writer->number(k, &s->part[0]);
    if (s->count == 2) {
        put(k, fraction->separator);
        k->writer->number(k, &s->part[1]);
        put(k, fraction->close);
    }
    if (s->radians)
        k->writer->unit(k, (struct dimension){.angle = true}, &(struct units){.angle = UNIT_RAD},
                        false);
}

static void put_shown(struct walk *k, const struct shown *s, enum binding needs)
{
    bool in_brackets = put_open(k, binding_of_shown(k, s) < needs);
    if (s->negative)
        put(k, k->writer->negative);
    put_magnitude_shown(k, s);
    put_close(k, in_brackets);
}

void put_number(struct walk *k, q x, enum binding needs) { put_shown(k, show(k, x), needs); }

static void put_unit_after(struct walk *k, q x, bool is_one)
{
    const struct node *n = node_of(k, x);
    if (!n->dimension.angle) /* an angle carries its mark */
        k->writer->unit(k, n->dimension, n->unit != NULL ? &n->unit->base : &k->w->units, is_one);
}

void put_unit(struct walk *k, q x)
{
    const struct shown *s = show(k, x);
    const struct digits *d = &s->part[0];
    bool is_one =
        !s->negative && s->count == 1 && d->length == 1 && *d->text == '1' && d->exponent10 == 0;
    put_unit_after(k, x, is_one);
}

void put_unit_of_vector(struct walk *k, qv v)
{
    q x = {0};
    for (int axis = 0; axis < 3 && q_is_none(x); axis++)
        x = qv_component(k->w, v, axis);
    put_unit_after(k, x, false);
}

void put_value(struct walk *k, q x)
{
    put_shown(k, show_result(k, x), BINDS_SUM);
    put_unit(k, x);
}

static void put_body(struct walk *k, struct view v);

void put_view(struct walk *k, struct view v, enum binding needs)
{
    if (v.shape == SHAPE_NUMBER) {
        put_number(k, v.x, needs);
        return;
    }
    bool in_brackets = put_open(k, binding_of(k, v) < needs);
    if (v.shape == SHAPE_SYMBOL)
        k->writer->symbol(k, &v.node->symbol, false);
    else
        put_body(k, v);
    put_close(k, in_brackets);
}

void put_scalar(struct walk *k, q x, enum binding needs) { put_view(k, look(k, x), needs); }

static void put_quotient(struct walk *k, struct view v, bool as_magnitude);

void put_magnitude(struct walk *k, struct view v, enum binding needs)
{
    if (is_body(v, OP_NEG)) {
        put_view(k, operand(k, v, 0), needs > BINDS_QUOTIENT ? needs : BINDS_QUOTIENT);
        return;
    }
    bool is_number = v.shape == SHAPE_NUMBER;
    enum binding binds =
        is_number ? binding_of_magnitude(k, show(k, v.x)) : k->writer->op[OP_DIV].binds;
    bool in_brackets = put_open(k, binds < needs);
    if (is_number)
        put_magnitude_shown(k, show(k, v.x));
    else
        put_quotient(k, v, true);
    put_close(k, in_brackets);
}

static void put_quotient(struct walk *k, struct view v, bool as_magnitude)
{
    const struct row *row = &k->writer->op[OP_DIV];
    struct view above = operand(k, v, 0);
    bool is_read_on = row->needs > BINDS_SUM && trails(k, above);
    enum binding needs = is_read_on ? BINDS_NEVER : row->needs;
    put(k, row->open);
    if (as_magnitude)
        put_magnitude(k, above, needs);
    else
        put_view(k, above, needs);
    put(k, row->separator);
    put_view(k, operand(k, v, 1), row->needs_right);
    put(k, row->close);
}

static void put_product(struct walk *k, struct view v)
{
    struct view left = operand(k, v, 0), right = operand(k, v, 1);
    put_view(k, left, needs_of_left(k, left));
    k->writer->times(k, start_of(k, right, BINDS_PRODUCT));
    put_view(k, right, BINDS_PRODUCT);
}

/* 2.5 · 1000, 26000/1000 */
static void put_conversion_of(struct walk *k, struct view v, bool by_value)
{
    const struct row *fraction = &k->writer->op[OP_DIV];
    struct view typed = operand(k, v, 0), factor = operand(k, v, 1);
    bool is_fraction = divides(k, v);
    if (is_fraction)
        put(k, fraction->open);
    if (typed.shape == SHAPE_NUMBER || by_value) {
        /* Without an angle's mark: it is the other unit's. */
        const struct shown *s = show(k, typed.x);
        bool in_brackets = put_open(k, s->negative && !is_fraction);
        if (s->negative)
            put(k, k->writer->negative);
        k->writer->number(k, &s->part[0]);
        put_close(k, in_brackets);
    } else {
        put_view(k, typed, BINDS_PRODUCT);
    }
    if (is_fraction) {
        put(k, fraction->separator);
        k->writer->number(k, &show(k, factor.x)->part[1]);
        put(k, fraction->close);
    } else {
        k->writer->times(k, start_of(k, factor, BINDS_PRODUCT));
        put_view(k, factor, BINDS_PRODUCT);
    }
}

void put_conversion(struct walk *k, q x, bool by_value)
{
    put_conversion_of(k, (struct view){x, node_of(k, x), SHAPE_BODY}, by_value);
}

/* v as a term, or several, after `previous` (NULL: the first of its sum): minus signs become signs
 * of the sum. */
static void put_term(struct walk *k, struct view v, const struct view *previous)
{
    const struct writer *writer = k->writer;
    if (is_body(v, OP_SUM)) {
        struct view before;
        for (uint32_t i = 0; i < v.node->operand[1]; i++) {
            struct view term = look(k, q_term(k->w, v.x, i));
            put_term(k, term, previous);
            before = term;
            previous = &before;
        }
        return;
    }
    struct view first;
    bool is_difference = is_body(v, OP_SUB);
    if (is_difference) {
        first = operand(k, v, 0);
        put_term(k, first, previous);
        previous = &first;
        v = operand(k, v, 1);
    }
    bool is_minus = is_difference || is_negative(k, v);
    if (previous == NULL) {
        if (is_minus)
            put(k, writer->negative);
    } else {
        if (*writer->pause != '\0' && trails(k, *previous))
            put(k, writer->pause);
        put(k, is_minus ? writer->minus : writer->plus);
    }
    if (is_minus && !is_difference)
        put_magnitude(k, v, BINDS_QUOTIENT);
    else
        put_view(k, v, BINDS_QUOTIENT);
}

static void put_operation(struct walk *k, struct view v)
{
    struct view argument;
    const struct row *row = row_of(k, v, &argument);
    put(k, row->open);
    if (row->separator != NULL && binding_of(k, argument) >= row->needs)
        put(k, row->separator);
    put_view(k, argument, row->needs);
    put(k, row->close);
}

/* a · b, |v| */
static void put_of_vectors(struct walk *k, struct view v)
{
    const struct row *row = &k->writer->op[v.node->op];
    put(k, row->open);
    put_vector(k, (qv){v.node->vectors[0]}, row->needs);
    if (v.node->op == OP_DOT) {
        put(k, row->separator);
        put_vector(k, (qv){v.node->vectors[1]}, row->needs_right);
    }
    put(k, row->close);
}

static void put_body(struct walk *k, struct view v)
{
    bool is_minus = false;
    switch (op_rows[v.node->op].form) {
    case FORM_SUM:
        put_term(k, v, NULL);
        return;
    case FORM_PRODUCT:
        put_product(k, v);
        return;
    case FORM_QUOTIENT:
        is_minus = is_negative(k, v);
        if (is_minus)
            put(k, k->writer->negative);
        put_quotient(k, v, is_minus);
        return;
    case FORM_CONVERSION:
        put_conversion_of(k, v, false);
        return;
    case FORM_FUNCTION:
        put_operation(k, v);
        return;
    case FORM_OF_VECTORS:
        put_of_vectors(k, v);
        return;
    case FORM_LEAF:
    case FORM_NAME:
        return; /* look() makes no body of them */
    }
}
