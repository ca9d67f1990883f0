/* angle.c: an angle has no residue of its own; it carries its cosine and sine (numerics.md). */
#include <math.h>

#include "work/grow.h"
#include "work/settle.h"

static const struct dimension angle_dimension = {.angle = true};
#define PI 3.14159265358979323846
#define DEGREES_PER_RADIAN 57.295779513082320876798154814105

/* (cos, sin) of a ± b. */
static struct angle_pair circle(const struct field *f, struct angle_pair a, struct angle_pair b,
                                bool minus)
{
    if (minus)
        b.sine = num_neg(f, b.sine);
    return (struct angle_pair){
        .cosine = num_sub(f, num_mul(f, a.cosine, b.cosine), num_mul(f, a.sine, b.sine)),
        .sine = num_add(f, num_mul(f, a.sine, b.cosine), num_mul(f, a.cosine, b.sine)),
    };
}

static struct num root(const struct field *f, struct num x)
{
    return num_sqrt(f, x, x.residue.a ^ (x.residue.b << 1) ^ (x.residue.b >> 63));
}

/* √(1 − x²) */
static struct num other_leg(struct work *w, struct num x)
{
    const struct field *f = w->field;
    struct num square = num_sub(f, num_integer(f, 1), num_mul(f, x, x));
    enum zero zero = num_zero(square);
    w->doubt_digits |= zero == ZERO_WITHIN_DIGITS;
    w->doubt_rounding |= zero == ZERO_WITHIN_ROUNDING;
    work_beyond(w, BEYOND_DIGITS, zero == ZERO_UNSETTLED);
    return zero == ZERO_NO ? root(f, square) : num_integer(f, 0);
}

static struct angle_pair pair_of(struct work *w, q x);

static struct angle_pair compute_pair(struct work *w, q x)
{
    const struct field *f = w->field;
    const struct node *n = q_node(w, x);
    q a = {n->operand[0]}, b = {n->operand[1]};
    struct angle_pair pair;
    bool exact = n->num.denominator != 0 || n->op == OP_GIVEN || n->op == OP_CONSTANT;
    if (exact && w->units.angle == UNIT_DEG) {
        num_cos_sin_degrees(f, n->num, &pair.cosine, &pair.sine);
        return pair;
    }
    if (exact) {
        num_cos_sin_radians(f, n->num, w->radian_decimals, &pair.cosine, &pair.sine);
        return pair;
    }
    switch ((enum op)n->op) {
    case OP_SAME:
    case OP_ABS:
        pair = pair_of(w, a);
        if (n->op == OP_ABS && q_sign(w, a) < 0)
            pair.sine = num_neg(f, pair.sine);
        return pair;
    case OP_NEG:
        pair = pair_of(w, a);
        pair.sine = num_neg(f, pair.sine);
        return pair;
    case OP_SUB:
        return circle(f, pair_of(w, a), pair_of(w, b), true);
    case OP_SUM: {
        uint32_t count = n->operand[1];
        pair = pair_of(w, q_term(w, x, 0));
        for (uint32_t k = 1; k < count; k++)
            pair = circle(f, pair, pair_of(w, q_term(w, x, k)), false);
        return pair;
    }
    case OP_ACOS:
        pair.cosine = q_node(w, a)->num;
        pair.sine = other_leg(w, pair.cosine);
        return pair;
    case OP_ASIN:
        pair.sine = q_node(w, a)->num;
        pair.cosine = other_leg(w, pair.sine);
        return pair;
    case OP_ATAN: {
        struct num tangent = q_node(w, a)->num;
        struct num secant = root(f, num_add(f, num_integer(f, 1), num_mul(f, tangent, tangent)));
        pair.cosine = num_div(f, num_integer(f, 1), secant);
        pair.sine = num_div(f, tangent, secant);
        return pair;
    }
    case OP_NONE:
    case OP_GIVEN:
    case OP_CONSTANT:
    case OP_MUL:
    case OP_DIV:
    case OP_SQUARE:
    case OP_SQRT:
    case OP_SIN:
    case OP_COS:
    case OP_TAN:
    case OP_CONVERT:
    case OP_DOT:
    case OP_NORM:
    case OP_UNKNOWN:
    case OP_MAX_:
        break;
    }
    /* Half an irrational angle and the like: nothing is known of it but its value. */
    double radians = n->num.value / (w->units.angle == UNIT_DEG ? DEGREES_PER_RADIAN : 1.0);
    double error = n->num.error / (w->units.angle == UNIT_DEG ? DEGREES_PER_RADIAN : 1.0) + 4e-16;
    uint64_t k = n->num.residue.a ^ n->num.residue.b;
    pair.cosine = num_generic(f, k + 1, cos(radians), error);
    pair.sine = num_generic(f, k + 2, sin(radians), error);
    return pair;
}

static struct angle_pair pair_of(struct work *w, q x)
{
    uint32_t known = q_node(w, x)->pair;
    if (known)
        return w->pair[known - 1];
    struct angle_pair pair = compute_pair(w, x);
    if (GROW(w, pair, pair_count, pair_capacity)) {
        w->pair[w->pair_count] = pair;
        w->node[x.i].pair = ++w->pair_count;
    }
    return pair;
}

static q push_ratio(struct work *w, enum op op, struct num num, q operand, struct dimension d)
{
    if (num.unlucky)
        w->unlucky = true;
    if (w->failed || !GROW(w, node, node_count, node_capacity))
        return (q){0};
    w->node[w->node_count] =
        (struct node){.op = (uint8_t)op, .num = num, .dimension = d, .operand = {operand.i, 0}};
    return (q){w->node_count++};
}

static bool takes(struct work *w, q x, bool angle)
{
    if (!q_is_none(x) && q_node(w, x)->dimension.angle == angle)
        return true;
    w->inconsistent = true;
    return false;
}

q q_sin(struct work *w, q angle)
{
    if (!takes(w, angle, true))
        return (q){0};
    return push_ratio(w, OP_SIN, pair_of(w, angle).sine, angle, (struct dimension){0});
}

q q_cos(struct work *w, q angle)
{
    if (!takes(w, angle, true))
        return (q){0};
    return push_ratio(w, OP_COS, pair_of(w, angle).cosine, angle, (struct dimension){0});
}

q q_tan(struct work *w, q angle)
{
    if (!takes(w, angle, true))
        return (q){0};
    struct angle_pair pair = pair_of(w, angle);
    if (num_zero(pair.cosine) != ZERO_NO) {
        w->inconsistent = true;
        return (q){0};
    }
    return push_ratio(w, OP_TAN, num_div(w->field, pair.sine, pair.cosine), angle,
                      (struct dimension){0});
}

/* Inverse functions: a value with its error bound; the residue of an angle is never asked for. */
static q inverse(struct work *w, enum op op, q ratio, double radians, double slope)
{
    const struct num *x = &q_node(w, ratio)->num;
    double unit = w->units.angle == UNIT_DEG ? DEGREES_PER_RADIAN : 1.0;
    struct num num =
        num_generic(w->field, (uint64_t)op * 7919 + (x->residue.a ^ x->residue.b), radians * unit,
                    (slope * x->error + 2.3e-16 * fabs(radians)) * unit);
    num.slack = slope * x->slack * unit;
    return push_ratio(w, op, num, ratio, angle_dimension);
}

/* acos in radians where the cosine is flat and a double of it holds too little of the angle: by the
 * half angle, tan(α/2) = √((1 − x)/(1 + x)), in double-double. */
static double acos_of_dd(struct dd x)
{
    struct dd under = dd_sub(dd_integer(1), x), over = dd_add(dd_integer(1), x);
    if (under.hi <= 0.0)
        return 0.0;
    if (over.hi <= 0.0)
        return PI;
    return 2.0 * atan(dd_sqrt(dd_div(under, over)).hi);
}

static bool in_unit_range(struct work *w, q ratio, double *ret_x)
{
    if (!takes(w, ratio, false))
        return false;
    *ret_x = q_value(w, ratio);
    /* Rounding may carry a cosine of exactly 1 a last digit too far; more is a fault of ours. */
    if (!(fabs(*ret_x) <= 1.0 + 1e-12)) {
        w->inconsistent = true;
        return false;
    }
    *ret_x = fmin(1.0, fmax(-1.0, *ret_x));
    return true;
}

q q_asin(struct work *w, q ratio)
{
    double x;
    if (!in_unit_range(w, ratio, &x))
        return (q){0};
    return inverse(w, OP_ASIN, ratio, asin(x), 1.0 / sqrt(fmax(1.0 - x * x, 1e-16)));
}

q q_acos(struct work *w, q ratio)
{
    double x;
    if (!in_unit_range(w, ratio, &x))
        return (q){0};
    /* Near 0° and 180° the cosine is flat: its double holds too little of the angle. */
    double radians =
        fabs(x) > 0.99 ? acos_of_dd((struct dd){x, q_node(w, ratio)->num.low}) : acos(x);
    return inverse(w, OP_ACOS, ratio, radians, 1.0 / sqrt(fmax(1.0 - x * x, 1e-16)));
}

q q_atan(struct work *w, q ratio)
{
    if (!takes(w, ratio, false))
        return (q){0};
    double x = q_value(w, ratio);
    return inverse(w, OP_ATAN, ratio, atan(x), 1.0 / (1.0 + x * x));
}
