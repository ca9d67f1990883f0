/* walk.c: the one walker over formulas. It knows the tape, precedence and the habits of the board;
 * how anything looks is the writer's.
 *
 * To add a notation: write one file beside text.c that fills a `struct writer` (rows for the
 * operations, and functions for numbers, symbols, units, labels and prose), declare the table in
 * walk.h, and give it a name in `enum format` (render.h) and a row in `formats` (line.c). Nothing
 * here changes. */
#include <string.h>

#include "render/walk.h"

/* ---- what a node prints as ---- */

enum shape { SHAPE_SYMBOL, SHAPE_NUMBER, SHAPE_BODY };

/* A node as it is seen: past those that print as their operand. */
struct view {
    q x;
    const struct node *node;
    enum shape shape;
};

static const struct node *node_of(const struct walk *k, q x) { return &k->w->node[x.i]; }

/* Not defined by an earlier step: it is what the equation is for. */
static bool is_unknown(const struct walk *k, q x)
{
    uint32_t defined = k->defined != NULL ? k->defined[x.i] : 0;
    if (defined == 0)
        return node_of(k, x)->op == OP_UNKNOWN;
    return defined > k->step + 1;
}

static bool shows_vectors(const struct walk *k)
{
    return k->options->notation == NOTATION_VECTOR && !k->numbers;
}

static struct view look(const struct walk *k, q x)
{
    for (;;) {
        const struct node *n = node_of(k, x);
        if (n->symbol.base != NULL && x.i != k->root) {
            bool is_symbol = !k->numbers || (k->is_equation && is_unknown(k, x));
            return (struct view){x, n, is_symbol ? SHAPE_SYMBOL : SHAPE_NUMBER};
        }
        switch ((enum op)n->op) {
        case OP_SAME:
            x = (q){n->operand[0]};
            continue;
        case OP_SUM:
            if (n->operand[1] > 1)
                return (struct view){x, n, SHAPE_BODY};
            x = q_term(k->w, x, 0); /* a sum of one is another name */
            continue;
        case OP_DOT:
        case OP_NORM:
            if (shows_vectors(k))
                return (struct view){x, n, SHAPE_BODY};
            x = (q){n->operand[0]};
            continue;
        case OP_NONE:
        case OP_GIVEN:
        case OP_CONSTANT:
        case OP_UNKNOWN:
            return (struct view){x, n, SHAPE_NUMBER};
        case OP_SUB:
        case OP_MUL:
        case OP_DIV:
        case OP_NEG:
        case OP_SQUARE:
        case OP_SQRT:
        case OP_ABS:
        case OP_SIN:
        case OP_COS:
        case OP_TAN:
        case OP_ASIN:
        case OP_ACOS:
        case OP_ATAN:
        case OP_CONVERT:
        case OP_MAX_:
            return (struct view){x, n, SHAPE_BODY};
        }
    }
}

static struct view operand(const struct walk *k, struct view v, int i)
{
    return look(k, (q){v.node->operand[i]});
}

bool is_leaf(const struct walk *k, q x)
{
    const struct node *n = node_of(k, x);
    return n->op == OP_GIVEN || n->op == OP_CONSTANT || n->op == OP_UNKNOWN || n->op == OP_NONE ||
           (n->symbol.base != NULL && x.i != k->root);
}

static bool is_body(struct view v, enum op op) { return v.shape == SHAPE_BODY && v.node->op == op; }

/* The function whose square v is, as in cos² θ. */
static bool is_squared_function(const struct walk *k, struct view v, struct view *ret_function)
{
    if (!is_body(v, OP_SQUARE))
        return false;
    *ret_function = operand(k, v, 0);
    enum op op = (enum op)ret_function->node->op;
    return ret_function->shape == SHAPE_BODY && (op == OP_SIN || op == OP_COS || op == OP_TAN);
}

/* The row by which an operation on one operand is written, and that operand. */
static const struct row *row_of(const struct walk *k, struct view v, struct view *ret_argument)
{
    struct view function;
    if (is_squared_function(k, v, &function)) {
        *ret_argument = operand(k, function, 0);
        return &k->writer->squared[function.node->op - OP_SIN];
    }
    *ret_argument = operand(k, v, 0);
    return &k->writer->op[v.node->op];
}

/* ---- precedence ---- */

static bool is_negative(struct walk *k, struct view v)
{
    if (v.shape == SHAPE_SYMBOL)
        return false;
    if (v.shape == SHAPE_NUMBER)
        return show(k, v.x)->negative;
    if (v.node->op != OP_DIV)
        return v.node->op == OP_NEG;
    struct view above = operand(k, v, 0); /* −12/13, not (−12)/13 */
    return is_body(above, OP_NEG) || (above.shape == SHAPE_NUMBER && is_negative(k, above));
}

static enum binding binding_of_magnitude(const struct walk *k, const struct shown *s)
{
    if (s->count == 2)
        return k->writer->op[OP_DIV].binds;
    const struct digits *d = &s->part[0];
    bool is_product = d->exponent10 != 0 || s->radians || (d->pi && d->length > 0);
    return is_product ? BINDS_PRODUCT : BINDS_ATOM;
}

static enum binding binding_of_shown(const struct walk *k, const struct shown *s)
{
    return s->negative ? BINDS_SUM : binding_of_magnitude(k, s);
}

/* Is the factor of a conversion 1/1000, so that it reads as a division? */
static bool divides(struct walk *k, struct view conversion)
{
    const struct shown *s = show(k, (q){conversion.node->operand[1]});
    return s->count == 2 && s->part[0].length == 1 && *s->part[0].text == '1';
}

static enum binding binding_of(struct walk *k, struct view v)
{
    if (v.shape == SHAPE_SYMBOL)
        return BINDS_ATOM;
    if (v.shape == SHAPE_NUMBER)
        return binding_of_shown(k, show(k, v.x));
    struct view argument;
    switch ((enum op)v.node->op) {
    case OP_SUM:
    case OP_SUB:
    case OP_NEG:
        return BINDS_SUM;
    case OP_MUL:
        return BINDS_PRODUCT;
    case OP_CONVERT:
        if (!divides(k, v))
            return BINDS_PRODUCT;
        return is_negative(k, operand(k, v, 0)) ? BINDS_SUM : k->writer->op[OP_DIV].binds;
    case OP_DIV:
        return is_negative(k, v) ? BINDS_SUM : k->writer->op[OP_DIV].binds;
    case OP_SQUARE:
        return row_of(k, v, &argument)->binds;
    case OP_SQRT:
    case OP_ABS:
    case OP_SIN:
    case OP_COS:
    case OP_TAN:
    case OP_ASIN:
    case OP_ACOS:
    case OP_ATAN:
    case OP_DOT:
    case OP_NORM:
        return k->writer->op[v.node->op].binds;
    case OP_NONE:
    case OP_GIVEN:
    case OP_CONSTANT:
    case OP_UNKNOWN:
    case OP_SAME:
    case OP_MAX_:
        break;
    }
    return BINDS_ATOM;
}

/* Would a factor that follows be read as part of it? */
static bool trails(struct walk *k, struct view v)
{
    if (v.shape != SHAPE_BODY)
        return false;
    switch ((enum op)v.node->op) {
    case OP_MUL:
        return trails(k, operand(k, v, 1));
    case OP_NEG:
        return trails(k, operand(k, v, 0));
    case OP_DIV:
        return k->writer->op[OP_DIV].trails && trails(k, operand(k, v, 1));
    case OP_NORM:
        return k->writer->op[OP_NORM].trails;
    case OP_SQUARE:
    case OP_SQRT:
    case OP_ABS:
    case OP_SIN:
    case OP_COS:
    case OP_TAN:
    case OP_ASIN:
    case OP_ACOS:
    case OP_ATAN: {
        struct view argument;
        const struct row *row = row_of(k, v, &argument);
        return row->trails && binding_of(k, argument) >= row->needs;
    }
    case OP_NONE:
    case OP_GIVEN:
    case OP_CONSTANT:
    case OP_SAME:
    case OP_SUM:
    case OP_SUB:
    case OP_CONVERT:
    case OP_DOT:
    case OP_UNKNOWN:
    case OP_MAX_:
        break;
    }
    return false;
}

/* What a factor needs to hold together on its left side. */
static enum binding needs_of_left(struct walk *k, struct view left)
{
    return trails(k, left) ? BINDS_NEVER : BINDS_PRODUCT;
}

static enum start start_of(struct walk *k, struct view v, enum binding needs)
{
    struct view function;
    if (v.shape == SHAPE_SYMBOL)
        return START_WORD;
    if (binding_of(k, v) < needs)
        return START_BRACKET;
    if (v.shape == SHAPE_NUMBER)
        return START_NUMBER;
    switch ((enum op)v.node->op) {
    case OP_MUL:
        return start_of(k, operand(k, v, 0), BINDS_PRODUCT);
    case OP_CONVERT:
        return divides(k, v) ? START_NUMBER : start_of(k, operand(k, v, 0), BINDS_PRODUCT);
    case OP_SQUARE:
        return is_squared_function(k, v, &function) ? START_WORD
                                                    : start_of(k, operand(k, v, 0), BINDS_ATOM);
    case OP_DIV: /* "2 ½" would be a mixed number */
    case OP_ABS: /* a second bar would close the first */
    case OP_NORM:
        return START_NUMBER;
    case OP_SQRT:
    case OP_SIN:
    case OP_COS:
    case OP_TAN:
    case OP_ASIN:
    case OP_ACOS:
    case OP_ATAN:
    case OP_SUM:
    case OP_SUB:
    case OP_NEG:
    case OP_DOT:
    case OP_NONE:
    case OP_GIVEN:
    case OP_CONSTANT:
    case OP_UNKNOWN:
    case OP_SAME:
    case OP_MAX_:
        break;
    }
    return START_WORD;
}

/* ---- numbers ---- */

static bool put_open(struct walk *k, bool in_brackets)
{
    if (in_brackets)
        put(k, k->writer->bracket[0]);
    return in_brackets;
}

static void put_close(struct walk *k, bool in_brackets)
{
    if (in_brackets)
        put(k, k->writer->bracket[1]);
}

static void put_magnitude_shown(struct walk *k, const struct shown *s)
{
    const struct row *fraction = &k->writer->op[OP_DIV];
    if (s->count == 2) {
        put(k, fraction->open);
        k->writer->number(k, &s->part[0]);
        put(k, fraction->separator);
        k->writer->number(k, &s->part[1]);
        put(k, fraction->close);
    } else if (s->degrees) {
        k->writer->degrees(k, &s->part[0]);
    } else {
        k->writer->number(k, &s->part[0]);
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

/* ---- scalars ---- */

static void put_body(struct walk *k, struct view v);

static void put_view(struct walk *k, struct view v, enum binding needs)
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

/* A negative v without its minus. */
static void put_magnitude(struct walk *k, struct view v, enum binding needs)
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

static void put_body(struct walk *k, struct view v)
{
    const struct row *row = &k->writer->op[v.node->op];
    switch ((enum op)v.node->op) {
    case OP_SUM:
    case OP_SUB:
    case OP_NEG:
        put_term(k, v, NULL);
        return;
    case OP_MUL:
        put_product(k, v);
        return;
    case OP_CONVERT:
        put_conversion_of(k, v, false);
        return;
    case OP_DIV: {
        bool is_minus = is_negative(k, v);
        if (is_minus)
            put(k, k->writer->negative);
        put_quotient(k, v, is_minus);
        return;
    }
    case OP_SQUARE:
    case OP_SQRT:
    case OP_ABS:
    case OP_SIN:
    case OP_COS:
    case OP_TAN:
    case OP_ASIN:
    case OP_ACOS:
    case OP_ATAN:
        put_operation(k, v);
        return;
    case OP_DOT:
        put(k, row->open);
        put_vector(k, (qv){v.node->vectors[0]}, BINDS_ATOM);
        put(k, row->separator);
        put_vector(k, (qv){v.node->vectors[1]}, BINDS_ATOM);
        put(k, row->close);
        return;
    case OP_NORM:
        put(k, row->open);
        put_vector(k, (qv){v.node->vectors[0]}, row->needs);
        put(k, row->close);
        return;
    case OP_NONE:
    case OP_GIVEN:
    case OP_CONSTANT:
    case OP_UNKNOWN:
    case OP_SAME:
    case OP_MAX_:
        return; /* look() makes no body of them */
    }
}

/* ---- vectors ---- */

static bool is_named_vector(const struct walk *k, qv v)
{
    return qv_node(k->w, v)->symbol.base != NULL && v.i != k->root_vector;
}

static qv look_at_vector(const struct walk *k, qv v)
{
    for (;;) {
        const struct vector *n = qv_node(k->w, v);
        if (is_named_vector(k, v))
            return v;
        if (n->op == VECTOR_SAME)
            v = (qv){n->operand[0]};
        else if (n->op == VECTOR_SUM && n->operand[1] == 1)
            v = qv_term(k->w, v, 0);
        else
            return v;
    }
}

static enum binding binding_of_vector(const struct walk *k, qv v)
{
    v = look_at_vector(k, v);
    enum vector_op op = (enum vector_op)qv_node(k->w, v)->op;
    if (is_named_vector(k, v))
        return k->numbers ? BINDS_SUM : BINDS_ATOM;
    if (op == VECTOR_CROSS && k->numbers)
        return k->writer->determinant != NULL ? BINDS_ATOM : BINDS_SUM;
    return k->writer->vector_op[op].binds;
}

static bool is_same_text(const char *a, const char *b)
{
    return a == b || strcmp(a ? a : "", b ? b : "") == 0;
}

static bool is_component_of(const struct walk *k, qv v, q x)
{
    const struct symbol *whole = &qv_node(k->w, v)->symbol, *part = &node_of(k, x)->symbol;
    return whole->base != NULL && part->base != NULL && is_same_text(whole->base, part->base) &&
           is_same_text(whole->sub, part->sub);
}

void put_components(struct walk *k, qv v)
{
    const struct writer *writer = k->writer;
    bool is_first = true, is_expanded = !is_named_vector(k, v);
    uint32_t root = k->root;
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(k->w, v, axis);
        if (q_is_none(x))
            continue;
        k->root = is_expanded && is_component_of(k, v, x) ? x.i : root;
        struct view part = look(k, x);
        if (part.shape == SHAPE_NUMBER && part.node->num.value == 0.0)
            continue;
        bool is_minus = is_negative(k, part);
        if (!is_first)
            put(k, is_minus ? writer->minus : writer->plus);
        else if (is_minus)
            put(k, writer->negative);
        if (is_minus)
            put_magnitude(k, part, BINDS_POWER);
        else
            put_view(k, part, BINDS_POWER);
        put(k, writer->unit_vector[axis]);
        for (int i = 0; i < k->unit_vector_primes; i++)
            put(k, writer->prime);
        is_first = false;
    }
    k->root = root;
    if (is_first)
        put(k, writer->zero);
}

static void put_vector_term(struct walk *k, qv v, bool is_first)
{
    v = look_at_vector(k, v);
    const struct vector *n = qv_node(k->w, v);
    bool has_body = !is_named_vector(k, v), is_minus = false;
    if (has_body && n->op == VECTOR_SUM) {
        for (uint32_t i = 0; i < n->operand[1]; i++)
            put_vector_term(k, qv_term(k->w, v, i), is_first && i == 0);
        return;
    }
    if (has_body && n->op == VECTOR_SUB) {
        put_vector_term(k, (qv){n->operand[0]}, is_first);
        is_first = false;
        is_minus = true;
        v = (qv){n->operand[1]};
    } else if (has_body && n->op == VECTOR_NEG) {
        is_minus = true;
        v = (qv){n->operand[0]};
    }
    if (!is_first)
        put(k, is_minus ? k->writer->minus : k->writer->plus);
    else if (is_minus)
        put(k, k->writer->negative);
    put_vector(k, v, BINDS_QUOTIENT);
}

static void put_vector_body(struct walk *k, qv v)
{
    const struct vector *n = qv_node(k->w, v);
    const struct row *row = &k->writer->vector_op[n->op];
    qv first = {n->operand[0]}, second = {n->operand[1]};
    switch ((enum vector_op)n->op) {
    case VECTOR_COMPONENTS:
        put_components(k, v);
        return;
    case VECTOR_SUM:
    case VECTOR_SUB:
    case VECTOR_NEG:
        put_vector_term(k, v, true);
        return;
    case VECTOR_SCALE: {
        struct view scalar = look(k, (q){n->operand[0]});
        put_view(k, scalar, needs_of_left(k, scalar));
        bool in_brackets = binding_of_vector(k, second) < BINDS_PRODUCT;
        k->writer->times(k, in_brackets ? START_BRACKET : START_WORD);
        put_vector(k, second, BINDS_PRODUCT);
        return;
    }
    case VECTOR_OVER:
        put(k, row->open);
        put_vector(k, first, row->needs);
        put(k, row->separator);
        put_scalar(k, (q){n->operand[1]}, row->needs_right);
        put(k, row->close);
        return;
    case VECTOR_CROSS:
        if (k->numbers && k->writer->determinant != NULL) {
            k->writer->determinant(k, first, second);
        } else if (k->numbers) {
            put_components(k, v);
        } else {
            put(k, row->open);
            put_vector(k, first, BINDS_ATOM);
            put(k, row->separator);
            put_vector(k, second, BINDS_ATOM);
            put(k, row->close);
        }
        return;
    case VECTOR_NONE:
    case VECTOR_SAME:
    case VECTOR_OP_MAX_:
        return;
    }
}

void put_vector(struct walk *k, qv v, enum binding needs)
{
    v = look_at_vector(k, v);
    bool in_brackets = put_open(k, binding_of_vector(k, v) < needs);
    if (!is_named_vector(k, v))
        put_vector_body(k, v);
    else if (k->numbers)
        put_components(k, v);
    else
        k->writer->symbol(k, &qv_node(k->w, v)->symbol, true);
    put_close(k, in_brackets);
}
