#include "render/view.h"

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

struct view look(const struct walk *k, q x)
{
    for (;;) {
        const struct node *n = node_of(k, x);
        enum form form = op_rows[n->op].form;
        if (n->symbol.base != NULL && x.i != k->root) {
            bool is_symbol = !k->numbers || (k->is_equation && is_unknown(k, x));
            return (struct view){x, n, is_symbol ? SHAPE_SYMBOL : SHAPE_NUMBER};
        }
        if (q_is_name(k->w, x, &x))
            continue;
        if (form != FORM_OF_VECTORS || shows_vectors(k))
            return (struct view){x, n, form == FORM_LEAF ? SHAPE_NUMBER : SHAPE_BODY};
        x = (q){n->operand[0]};
    }
}

struct view operand(const struct walk *k, struct view v, int i)
{
    return look(k, (q){v.node->operand[i]});
}

bool is_leaf(const struct walk *k, q x)
{
    const struct node *n = node_of(k, x);
    bool is_named = n->symbol.base != NULL && x.i != k->root;
    return is_named || op_rows[n->op].form == FORM_LEAF;
}

/* The function whose square v is, as in cos² θ. */
static bool is_squared_function(const struct walk *k, struct view v, struct view *ret_function)
{
    if (!is_body(v, OP_SQUARE))
        return false;
    *ret_function = operand(k, v, 0);
    enum op op = (enum op)ret_function->node->op;
    return ret_function->shape == SHAPE_BODY && (op == OP_SIN || op == OP_COS || op == OP_TAN);
}

const struct row *row_of(const struct walk *k, struct view v, struct view *ret_argument)
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

bool is_negative(struct walk *k, struct view v)
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

enum binding binding_of_magnitude(const struct walk *k, const struct shown *s)
{
    if (s->count == 2)
        return k->writer->op[OP_DIV].binds;
    const struct digits *d = &s->part[0];
    bool is_product = d->exponent10 != 0 || s->radians || (d->pi && d->length > 0);
    return is_product ? BINDS_PRODUCT : BINDS_ATOM;
}

enum binding binding_of_shown(const struct walk *k, const struct shown *s)
{
    return s->negative ? BINDS_SUM : binding_of_magnitude(k, s);
}

bool divides(struct walk *k, struct view conversion)
{
    const struct shown *s = show(k, (q){conversion.node->operand[1]});
    return s->count == 2 && s->part[0].length == 1 && *s->part[0].text == '1';
}

enum binding binding_of(struct walk *k, struct view v)
{
    const struct writer *writer = k->writer;
    struct view argument;
    if (v.shape == SHAPE_SYMBOL)
        return BINDS_ATOM;
    if (v.shape == SHAPE_NUMBER)
        return binding_of_shown(k, show(k, v.x));
    switch (op_rows[v.node->op].form) {
    case FORM_SUM:
        return BINDS_SUM;
    case FORM_PRODUCT:
        return BINDS_PRODUCT;
    case FORM_QUOTIENT:
        return is_negative(k, v) ? BINDS_SUM : writer->op[OP_DIV].binds;
    case FORM_CONVERSION:
        if (!divides(k, v))
            return BINDS_PRODUCT;
        return is_negative(k, operand(k, v, 0)) ? BINDS_SUM : writer->op[OP_DIV].binds;
    case FORM_FUNCTION:
        return row_of(k, v, &argument)->binds;
    case FORM_OF_VECTORS:
        return writer->op[v.node->op].binds;
    case FORM_LEAF:
    case FORM_NAME:
        break;
    }
    return BINDS_ATOM;
}

bool trails(struct walk *k, struct view v)
{
    if (v.shape != SHAPE_BODY)
        return false;
    const struct row *row = &k->writer->op[v.node->op];
    struct view argument;
    switch (op_rows[v.node->op].form) {
    case FORM_SUM:
        return v.node->op == OP_NEG && trails(k, operand(k, v, 0));
    case FORM_PRODUCT:
        return trails(k, operand(k, v, 1));
    case FORM_QUOTIENT:
        return row->trails && trails(k, operand(k, v, 1));
    case FORM_FUNCTION:
        row = row_of(k, v, &argument);
        return row->trails && binding_of(k, argument) >= row->needs;
    case FORM_OF_VECTORS:
        return row->trails;
    case FORM_CONVERSION:
    case FORM_LEAF:
    case FORM_NAME:
        break;
    }
    return false;
}

enum binding needs_of_left(struct walk *k, struct view left)
{
    return trails(k, left) ? BINDS_NEVER : BINDS_PRODUCT;
}

enum start start_of(struct walk *k, struct view v, enum binding needs)
{
    struct view function;
    if (v.shape == SHAPE_SYMBOL)
        return START_WORD;
    if (binding_of(k, v) < needs)
        return START_BRACKET;
    if (v.shape == SHAPE_NUMBER)
        return START_NUMBER;
    enum op op = (enum op)v.node->op;
    bool is_square = op == OP_SQUARE && !is_squared_function(k, v, &function);
    if (is_square || op == OP_MUL || (op == OP_CONVERT && !divides(k, v)))
        return start_of(k, operand(k, v, 0), is_square ? BINDS_ATOM : BINDS_PRODUCT);
    /* "2 ½" would be a mixed number; a second bar would close the first. */
    bool is_like_number = op == OP_DIV || op == OP_CONVERT || op == OP_ABS || op == OP_NORM;
    return is_like_number ? START_NUMBER : START_WORD;
}
