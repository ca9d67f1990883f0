/* walk_vector.c: the same walk over vectors: x i + y j, a × b, a sum of forces. */
#include "render/view.h"

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
    if (op == VECTOR_OVER || op == VECTOR_CROSS)
        return k->writer->vector_op[op].binds;
    return op == VECTOR_SCALE ? BINDS_PRODUCT : BINDS_SUM;
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
