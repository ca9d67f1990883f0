#include "work/tape.h"

#include <math.h>
#include <string.h>

#include "work/grow.h"
#include "work/settle.h"

static const struct dimension ratio = {0};
static const struct node null_node;
static const struct vector null_vector;

/* ---- reading ---- */

const struct node *q_node(const struct work *w, q x)
{
    return x.i < w->node_count ? &w->node[x.i] : &null_node;
}

const struct vector *qv_node(const struct work *w, qv v)
{
    return v.i < w->vector_count ? &w->vector[v.i] : &null_vector;
}

double q_value(const struct work *w, q x) { return q_node(w, x)->num.value; }

q qv_component(const struct work *w, qv v, int axis) { return qv_node(w, v)->component[axis]; }

const struct op_row op_rows[OP_MAX_] = {
#define OP(name, operands, form, written, value, to_a, to_b)                                       \
    {OPERANDS_##operands, FORM_##form, WRITING_##written},
#include "work/ops.def"
#undef OP
};

const uint32_t *q_operands(const struct work *w, q x, uint32_t *ret_count)
{
    const struct node *n = q_node(w, x);
    enum operands operands = op_rows[n->op].operands;
    bool is_many = operands == OPERANDS_MANY;
    *ret_count = is_many ? n->operand[1] : (uint32_t)operands;
    return is_many ? &w->pool[n->operand[0]] : n->operand;
}

bool q_is_name(const struct work *w, q x, q *ret_of)
{
    const struct node *n = q_node(w, x);
    if (n->op != OP_SAME && !(n->op == OP_SUM && n->operand[1] == 1))
        return false;
    uint32_t count;
    *ret_of = (q){*q_operands(w, x, &count)};
    return true;
}

q q_term(const struct work *w, q sum, uint32_t k)
{
    return (q){w->pool[q_node(w, sum)->operand[0] + k]};
}

qv qv_term(const struct work *w, qv sum, uint32_t k)
{
    return (qv){w->pool[qv_node(w, sum)->operand[0] + k]};
}

/* ---- dimensions ---- */

static struct dimension dimension_combine(struct dimension a, struct dimension b, int sign)
{
    return (struct dimension){
        .force = (int8_t)(a.force + sign * b.force),
        .length = (int8_t)(a.length + sign * b.length),
        .mass = (int8_t)(a.mass + sign * b.mass),
        .acceleration = (int8_t)(a.acceleration + sign * b.acceleration),
        .angle = sign > 0 ? a.angle || b.angle : a.angle != b.angle,
    };
}

/* The root of a force squared is a force; odd exponents have none. */
static bool dimension_halve(struct dimension *d)
{
    if (d->force % 2 || d->length % 2 || d->mass % 2 || d->acceleration % 2)
        return false;
    d->force = (int8_t)(d->force / 2);
    d->length = (int8_t)(d->length / 2);
    d->mass = (int8_t)(d->mass / 2);
    d->acceleration = (int8_t)(d->acceleration / 2);
    return true;
}

/* ---- recording ---- */

/* What every number has to be on its way to the tape. An angle has no residue of its own that would
 * tell 0° from an angle that is too small. */
static void look_at(struct work *w, struct num num, struct dimension dimension)
{
    w->unlucky |= num.unlucky;
    work_beyond(w, BEYOND_RANGE, dimension.angle ? !isfinite(num.value) : num_is_beyond_range(num));
}

static q push(struct work *w, struct node n)
{
    if (w->failed || !GROW(w, node, node_count, node_capacity))
        return (q){0};
    look_at(w, n.num, n.dimension);
    w->node[w->node_count] = n;
    q x = {w->node_count++};
    /* Zero, and the sign of what is nearly zero, are settled where cancellation happens, once. */
    if (n.op == OP_SUM || n.op == OP_SUB)
        work_settle(w, x);
    return x;
}

/* A fault of our own: recorded, found by work_close, never an answer. */
static q inconsistent(struct work *w)
{
    w->inconsistent = true;
    return (q){0};
}

static q push_op(struct work *w, enum op op, struct num num, struct dimension dimension, q a, q b)
{
    return push(w,
                (struct node){
                    .op = (uint8_t)op, .num = num, .dimension = dimension, .operand = {a.i, b.i}});
}

static bool push_pool(struct work *w, uint32_t index)
{
    if (!GROW(w, pool, pool_count, pool_capacity))
        return false;
    w->pool[w->pool_count++] = index;
    return true;
}

/* ---- leaves ---- */

static q constant(struct work *w, struct num num, const char *text, struct dimension dimension)
{
    return push(w,
                (struct node){.op = OP_CONSTANT, .num = num, .dimension = dimension, .text = text});
}

q q_integer(struct work *w, int64_t n, struct dimension dimension)
{
    const char *text = arena_printf(w->arena, "%lld", (long long)n);
    return constant(w, num_integer(w->field, n), text, dimension);
}

q q_constant(struct work *w, const char *decimal, struct dimension dimension)
{
    struct num num;
    if (!num_decimal(w->field, decimal, strlen(decimal), &num))
        return inconsistent(w);
    num.slack = 0.0; /* a constant of a table is exact however many digits it has */
    return constant(w, num, decimal, dimension);
}

/* π has a random residue of its own: no relation among rationals and roots holds for it. */
#define RESIDUE_OF_PI 3141592653589793

q q_turn(struct work *w, int64_t degrees)
{
    struct dimension angle = {.angle = true};
    if (w->units.angle == UNIT_DEG)
        return q_integer(w, degrees, angle);
    struct num pi = num_generic(w->field, RESIDUE_OF_PI, 3.14159265358979323846, 1.3e-16);
    struct num num = num_mul(w->field, pi, num_rational(w->field, degrees, 180));
    int quarters = (int)(degrees < 0 ? -degrees : degrees) / 90;
    int times = quarters % 2 == 0 ? quarters / 2 : quarters;
    const char *sign = degrees < 0 ? "-" : "", *over = quarters % 2 == 0 ? "" : "/2";
    const char *text = times == 1 ? arena_printf(w->arena, "%sπ%s", sign, over)
                                  : arena_printf(w->arena, "%s%dπ%s", sign, times, over);
    q x = constant(w, num, text, angle);
    if (q_is_none(x) || !GROW(w, pair, pair_count, pair_capacity))
        return x;
    struct angle_pair *pair = &w->pair[w->pair_count];
    num_cos_sin_degrees(w->field, num_integer(w->field, degrees), &pair->cosine, &pair->sine);
    w->node[x.i].pair = ++w->pair_count;
    return x;
}

/* Factor between two units as a constant, printed as a fraction where it is one. */
static q unit_constant(struct work *w, struct dimension dimension, struct units from,
                       struct units to, bool *ret_same)
{
    char numerator[48], denominator[48];
    unit_factor(dimension, from, to, numerator, denominator, ret_same);
    if (*ret_same)
        return (q){0};
    struct num over, under;
    if (!num_decimal(w->field, numerator, strlen(numerator), &over) ||
        !num_decimal(w->field, denominator, strlen(denominator), &under))
        return inconsistent(w);
    over.slack = under.slack = 0.0;
    bool whole = strcmp(denominator, "1") == 0;
    const char *text = whole ? arena_text(w->arena, numerator, strlen(numerator))
                             : arena_printf(w->arena, "%s/%s", numerator, denominator);
    return constant(w, whole ? over : num_div(w->field, over, under), text, ratio);
}

static q convert(struct work *w, q x, struct dimension dimension, struct units from)
{
    bool same;
    q factor = unit_constant(w, dimension, from, w->units, &same);
    if (same)
        return x;
    if (q_is_none(factor))
        return factor;
    struct num num = num_mul(w->field, q_node(w, x)->num, q_node(w, factor)->num);
    return push_op(w, OP_CONVERT, num, dimension, x, factor);
}

/* An angle in the other unit: the factor is a multiple of π or of its inverse, but cosine and sine
 * stay those of the angle as typed. */
static q convert_angle(struct work *w, q x, enum unit_angle from)
{
    struct num turn = num_generic(w->field, RESIDUE_OF_PI, 3.14159265358979323846, 1.3e-16);
    struct num factor = num_div(w->field, turn, num_integer(w->field, 180));
    if (from == UNIT_RAD)
        factor = num_div(w->field, num_integer(w->field, 180), turn);
    q f = from == UNIT_RAD ? constant(w, factor, "180/π", (struct dimension){.angle = true})
                           : constant(w, factor, "π/180", ratio);
    if (q_is_none(x) || q_is_none(f))
        return (q){0};
    struct num typed = q_node(w, x)->num;
    q y = push_op(w, OP_CONVERT, num_mul(w->field, typed, factor),
                  (struct dimension){.angle = true}, x, f);
    if (q_is_none(y) || !GROW(w, pair, pair_count, pair_capacity))
        return (q){0};
    struct angle_pair *pair = &w->pair[w->pair_count];
    if (from == UNIT_RAD)
        num_cos_sin_radians(w->field, typed, w->radian_decimals, &pair->cosine, &pair->sine);
    else
        num_cos_sin_degrees(w->field, typed, &pair->cosine, &pair->sine);
    w->node[y.i].pair = ++w->pair_count;
    return y;
}

q q_given(struct work *w, const struct given *given, struct dimension dimension)
{
    struct num num;
    if (!given->present || !num_decimal(w->field, given->text, given->length, &num))
        return inconsistent(w);
    q x = push(w, (struct node){.op = OP_GIVEN,
                                .num = num,
                                .dimension = dimension,
                                .text = given->text,
                                .pointer = given->pointer,
                                .unit = given->has_own_unit ? &given->unit : NULL});
    if (!given->has_own_unit)
        return x;
    if (dimension.angle)
        return given->unit.base.angle == w->units.angle
                   ? x
                   : convert_angle(w, x, given->unit.base.angle);
    return convert(w, x, dimension, given->unit.base);
}

/* ---- arithmetic ---- */

q q_add(struct work *w, q a, q b) { return q_sum(w, (q[]){a, b}, 2); }

q q_sum(struct work *w, const q *terms, uint32_t count)
{
    if (w->failed || count == 0)
        return count ? (q){0} : inconsistent(w);
    struct node n = {.op = OP_SUM,
                     .num = q_node(w, terms[0])->num,
                     .dimension = q_node(w, terms[0])->dimension,
                     .operand = {w->pool_count, count}};
    for (uint32_t k = 0; k < count; k++) {
        const struct node *term = q_node(w, terms[k]);
        if (q_is_none(terms[k]) || !dimension_same(term->dimension, n.dimension))
            return inconsistent(w);
        if (k > 0)
            n.num = num_add(w->field, n.num, term->num);
        if (!push_pool(w, terms[k].i))
            return (q){0};
    }
    return push(w, n);
}

q q_sub(struct work *w, q a, q b)
{
    const struct node *x = q_node(w, a), *y = q_node(w, b);
    if (q_is_none(a) || q_is_none(b) || !dimension_same(x->dimension, y->dimension))
        return inconsistent(w);
    return push_op(w, OP_SUB, num_sub(w->field, x->num, y->num), x->dimension, a, b);
}

/* The force on a mass: coherent units first (kg m/s² is N, slug ft/s² is lb), then the request's
 * unit. */
static q weight(struct work *w, q product)
{
    static const struct unit newton = {.dimension = {.force = 1}, .base = {.force = UNIT_N}};
    static const struct unit pound = {.dimension = {.force = 1}, .base = {.force = UNIT_LB}};
    bool metric = w->units.mass == UNIT_KG && w->units.acceleration == UNIT_M_S2;
    bool customary = w->units.mass == UNIT_SLUG && w->units.acceleration == UNIT_FT_S2;
    if (q_is_none(product) || (!metric && !customary))
        return inconsistent(w);
    const struct unit *coherent = metric ? &newton : &pound;
    struct node *n = &w->node[product.i];
    n->dimension = coherent->dimension;
    if (w->units.force == coherent->base.force)
        return product;
    n->unit = coherent;
    return convert(w, product, coherent->dimension, coherent->base);
}

q q_mul(struct work *w, q a, q b)
{
    if (q_is_none(a) || q_is_none(b))
        return inconsistent(w);
    const struct node *x = q_node(w, a), *y = q_node(w, b);
    struct dimension d = dimension_combine(x->dimension, y->dimension, 1);
    q product = push_op(w, OP_MUL, num_mul(w->field, x->num, y->num), d, a, b);
    return d.mass == 1 && d.acceleration == 1 ? weight(w, product) : product;
}

q q_div(struct work *w, q a, q b)
{
    const struct node *x = q_node(w, a), *y = q_node(w, b);
    if (q_is_none(a) || q_is_none(b) || num_zero(y->num) == ZERO_EXACT)
        return inconsistent(w);
    return push_op(w, OP_DIV, num_div(w->field, x->num, y->num),
                   dimension_combine(x->dimension, y->dimension, -1), a, b);
}

q q_neg(struct work *w, q a)
{
    if (q_is_none(a))
        return inconsistent(w);
    const struct node *x = q_node(w, a);
    return push_op(w, OP_NEG, num_neg(w->field, x->num), x->dimension, a, (q){0});
}

q q_square(struct work *w, q a)
{
    if (q_is_none(a))
        return inconsistent(w);
    const struct node *x = q_node(w, a);
    return push_op(w, OP_SQUARE, num_mul(w->field, x->num, x->num),
                   dimension_combine(x->dimension, x->dimension, 1), a, (q){0});
}

/* Under the root stands one square, all others being zero: then the root is its absolute value,
 * exactly. */
static q only_square(const struct work *w, q a)
{
    const struct node *x = q_node(w, a);
    if (x->op == OP_SQUARE)
        return (q){x->operand[0]};
    q only = {0};
    for (uint32_t k = 0; x->op == OP_SUM && k < x->operand[1]; k++) {
        q term = q_term(w, a, k);
        if (num_zero(q_node(w, term)->num) == ZERO_EXACT)
            continue;
        if (!q_is_none(only) || q_node(w, term)->op != OP_SQUARE)
            return (q){0};
        only = (q){q_node(w, term)->operand[0]};
    }
    return only;
}

q q_sqrt(struct work *w, q a)
{
    const struct node *x = q_node(w, a);
    struct dimension d = x->dimension;
    if (q_is_none(a) || x->num.value < 0.0 || !dimension_halve(&d))
        return inconsistent(w);
    q only = only_square(w, a);
    struct num num;
    if (!q_is_none(only)) {
        struct num side = q_node(w, only)->num;
        num = side.value < 0.0 ? num_neg(w->field, side) : side;
    } else {
        /* Equal numbers have equal roots: the random element of a nested root goes by what stands
         * under it. */
        uint64_t k = x->num.residue.a ^ (x->num.residue.b << 1) ^ (x->num.residue.b >> 63);
        num = num_sqrt(w->field, x->num, k);
    }
    return push_op(w, OP_SQRT, num, d, a, (q){0});
}

q q_abs(struct work *w, q a)
{
    if (q_is_none(a))
        return inconsistent(w);
    const struct node *x = q_node(w, a);
    struct num num = q_sign(w, a) < 0 ? num_neg(w->field, x->num) : x->num;
    return push_op(w, OP_ABS, num, x->dimension, a, (q){0});
}

/* ---- unknowns ---- */

q q_unknown(struct work *w, struct num found, struct dimension dimension, q hand, double scale)
{
    const struct node *worked = q_node(w, hand);
    look_at(w, found, dimension);
    double apart = q_is_none(hand) ? 0.0 : fabs(worked->num.value - found.value);
    bool agrees = apart <= UNKNOWN_AGREES * scale;
    bool is_explained = w->hand_left_out || w->doubt_digits || w->doubt_rounding ||
                        apart <= worked->num.error + worked->num.slack + found.error + found.slack;
    if (!q_is_none(hand) &&
        (!dimension_same(worked->dimension, dimension) || (!agrees && !is_explained)))
        return inconsistent(w);
    struct symbol symbol = worked->symbol;
    w->hand_lost = w->hand_lost || !agrees;
    q x = push_op(w, OP_UNKNOWN, found, dimension, agrees ? hand : (q){0}, (q){0});
    if (!q_is_none(x))
        w->node[x.i].symbol = symbol;
    return x;
}

/* ---- vectors ---- */

static qv push_vector(struct work *w, struct vector v)
{
    if (w->failed || !GROW(w, vector, vector_count, vector_capacity))
        return (qv){0};
    w->vector[w->vector_count] = v;
    return (qv){w->vector_count++};
}

static qv inconsistent_vector(struct work *w)
{
    w->inconsistent = true;
    return (qv){0};
}

qv qv_of(struct work *w, q x, q y, q z)
{
    return push_vector(w, (struct vector){.op = VECTOR_COMPONENTS, .component = {x, y, z}});
}

qv qv_sum(struct work *w, const qv *terms, uint32_t count)
{
    if (w->failed || count == 0)
        return count ? (qv){0} : inconsistent_vector(w);
    struct vector sum = {.op = VECTOR_SUM, .operand = {w->pool_count, count}};
    for (uint32_t k = 0; k < count; k++)
        if (!push_pool(w, terms[k].i))
            return (qv){0};
    q *part = arena_alloc(w->arena, count * sizeof *part);
    if (!part) {
        w->failed = true;
        return (qv){0};
    }
    for (int axis = 0; axis < 3; axis++) {
        if (q_is_none(qv_component(w, terms[0], axis)))
            continue;
        for (uint32_t k = 0; k < count; k++)
            part[k] = qv_component(w, terms[k], axis);
        sum.component[axis] = q_sum(w, part, count);
    }
    return push_vector(w, sum);
}

qv qv_sub(struct work *w, qv a, qv b)
{
    struct vector v = {.op = VECTOR_SUB, .operand = {a.i, b.i}};
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, a, axis)))
            v.component[axis] = q_sub(w, qv_component(w, a, axis), qv_component(w, b, axis));
    return push_vector(w, v);
}

qv qv_scale(struct work *w, q s, qv a)
{
    struct vector v = {.op = VECTOR_SCALE, .operand = {s.i, a.i}};
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, a, axis)))
            v.component[axis] = q_mul(w, s, qv_component(w, a, axis));
    return push_vector(w, v);
}

qv qv_over(struct work *w, qv a, q s)
{
    struct vector v = {.op = VECTOR_OVER, .operand = {a.i, s.i}};
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, a, axis)))
            v.component[axis] = q_div(w, qv_component(w, a, axis), s);
    return push_vector(w, v);
}

qv qv_neg(struct work *w, qv a)
{
    struct vector v = {.op = VECTOR_NEG, .operand = {a.i, 0}};
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, a, axis)))
            v.component[axis] = q_neg(w, qv_component(w, a, axis));
    return push_vector(w, v);
}

/* a_i b_j − a_j b_i */
static q minor(struct work *w, qv a, qv b, int i, int j)
{
    q first = q_mul(w, qv_component(w, a, i), qv_component(w, b, j));
    q second = q_mul(w, qv_component(w, a, j), qv_component(w, b, i));
    return q_sub(w, first, second);
}

qv qv_cross(struct work *w, qv a, qv b)
{
    struct vector v = {.op = VECTOR_CROSS, .operand = {a.i, b.i}};
    if (!q_is_none(qv_component(w, a, 2))) {
        v.component[0] = minor(w, a, b, 1, 2);
        v.component[1] = minor(w, a, b, 2, 0);
    }
    v.component[2] = minor(w, a, b, 0, 1);
    return push_vector(w, v);
}

q q_dot(struct work *w, qv a, qv b)
{
    q product[3];
    uint32_t count = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, a, axis)))
            product[count++] = q_mul(w, qv_component(w, a, axis), qv_component(w, b, axis));
    q sum = q_sum(w, product, count);
    q dot = push_op(w, OP_DOT, q_node(w, sum)->num, q_node(w, sum)->dimension, sum, (q){0});
    if (!q_is_none(dot)) {
        w->node[dot.i].vectors[0] = a.i;
        w->node[dot.i].vectors[1] = b.i;
    }
    return dot;
}

q q_norm(struct work *w, qv v)
{
    q square[3];
    uint32_t count = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, v, axis)))
            square[count++] = q_square(w, qv_component(w, v, axis));
    q root = q_sqrt(w, q_sum(w, square, count));
    q norm = push_op(w, OP_NORM, q_node(w, root)->num, q_node(w, root)->dimension, root, (q){0});
    if (!q_is_none(norm))
        w->node[norm.i].vectors[0] = v.i;
    return norm;
}

qv qv_as_direction(struct work *w, qv v)
{
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(w, v, axis);
        if (!q_is_none(x))
            w->node[x.i].is_direction = true;
    }
    if (!qv_is_none(v) && GROW(w, direction, direction_count, direction_capacity))
        w->direction[w->direction_count++] = v.i;
    return v;
}
