#include "work/refine.h"

#include <string.h>

#define PI_HI 3.141592653589793116
#define PI_LO 1.2246467991473532072e-16

static const struct dd pi = {PI_HI, PI_LO};

/* A JSON number token as double-double. */
static struct dd decimal(const char *text)
{
    char digits[32];
    int count = 0, exponent = 0, negative = *text == '-';
    bool after_point = false;
    const char *at = text + negative;
    for (; (*at >= '0' && *at <= '9') || *at == '.'; at++) {
        if (*at == '.') {
            after_point = true;
            continue;
        }
        if (count < 30 && (count > 0 || *at != '0'))
            digits[count++] = *at;
        else if (count >= 30)
            exponent++;
        exponent -= after_point;
    }
    if (*at == 'e' || *at == 'E') {
        int sign = at[1] == '-' ? -1 : 1, power = 0;
        for (at += at[1] == '-' || at[1] == '+' ? 2 : 1; *at >= '0' && *at <= '9'; at++)
            power = power < 1000 ? 10 * power + (*at - '0') : power;
        exponent += sign * power;
    }
    return dd_decimal(negative, digits, count, exponent);
}

static struct dd leaf(const struct node *n)
{
    if (n->op == OP_GIVEN)
        return decimal(n->text);
    if (n->num.denominator != 0)
        return dd_div(dd_integer(n->num.numerator), dd_integer(n->num.denominator));
    if (!strpbrk(n->text, "/\xCF")) /* neither a fraction nor a multiple of π */
        return decimal(n->text);
    const char *bar = strchr(n->text, '/');
    if (bar && !strstr(n->text, "π"))
        return dd_div(decimal(n->text), decimal(bar + 1));
    /* k π/d and d/π with small whole numbers: the ratio to π or to its inverse is exact in a double
     */
    if (bar && strcmp(bar, "/π") == 0)
        return dd_div(decimal(n->text), pi);
    double multiple = n->num.value / PI_HI * 180.0;
    return dd_div(dd_mul(pi, dd_integer((long long)(multiple + (multiple < 0 ? -0.5 : 0.5)))),
                  dd_integer(180));
}

static struct dd from_radians(const struct work *w, struct dd angle)
{
    return w->units.angle == UNIT_DEG ? dd_div(dd_mul(angle, dd_integer(180)), pi) : angle;
}

/* One Newton step from the double doubles the digits. */
static struct dd inverse_tangent(struct dd x)
{
    struct dd c, s, a = {atan(x.hi), 0.0};
    dd_cos_sin_radians(a, &c, &s);
    return dd_add(a, dd_mul(dd_sub(dd_mul(x, c), s), c));
}

/* Through the half angle where the cosine is flat: tan(α/2) = √((1 − x)/(1 + x)). */
static struct dd inverse_cosine(struct dd x)
{
    struct dd one = dd_integer(1), under = dd_sub(one, x), over = dd_add(one, x);
    if (under.hi <= 0.0)
        return dd_integer(0);
    if (over.hi <= 0.0)
        return pi;
    struct dd half = inverse_tangent(dd_sqrt(dd_div(under, over)));
    return dd_add(half, half);
}

static void cosine_sine(const struct work *w, const struct node *angle, struct dd value,
                        const struct dd *all, struct dd *c, struct dd *s)
{
    bool degrees = w->units.angle == UNIT_DEG;
    if (angle->op == OP_CONVERT) { /* as typed, in the other unit */
        value = all[angle->operand[0]];
        degrees = !degrees;
    }
    if (degrees)
        dd_cos_sin_degrees(value, c, s);
    else
        dd_cos_sin_radians(value, c, s);
}

static struct dd compute(const struct work *w, uint32_t i, const struct dd *all)
{
    const struct node *n = &w->node[i];
    struct dd a = all[n->operand[0]], b = all[n->operand[1]], c, s;
    switch ((enum op)n->op) {
    case OP_GIVEN:
    case OP_CONSTANT:
        return leaf(n);
    case OP_SUM:
        a = all[w->pool[n->operand[0]]];
        for (uint32_t k = 1; k < n->operand[1]; k++)
            a = dd_add(a, all[w->pool[n->operand[0] + k]]);
        return a;
    case OP_SAME:
    case OP_DOT:
    case OP_NORM:
        return a;
    case OP_SUB:
        return dd_sub(a, b);
    case OP_MUL:
    case OP_CONVERT:
        return dd_mul(a, b);
    case OP_DIV:
        return dd_div(a, b);
    case OP_NEG:
        return dd_neg(a);
    case OP_SQUARE:
        return dd_mul(a, a);
    case OP_SQRT:
        return a.hi <= 0.0 ? dd_integer(0) : dd_sqrt(a);
    case OP_ABS:
        return a.hi < 0.0 ? dd_neg(a) : a;
    case OP_SIN:
    case OP_COS:
    case OP_TAN:
        cosine_sine(w, &w->node[n->operand[0]], a, all, &c, &s);
        return n->op == OP_SIN ? s : n->op == OP_COS ? c : dd_div(s, c);
    case OP_ASIN:
        return from_radians(w, dd_sub(dd_div(pi, dd_integer(2)), inverse_cosine(a)));
    case OP_ACOS:
        return from_radians(w, inverse_cosine(a));
    case OP_ATAN:
        return from_radians(w, inverse_tangent(a));
    case OP_UNKNOWN:
    case OP_NONE:
    case OP_MAX_:
        break;
    }
    return (struct dd){n->num.value, 0.0};
}

/* Mark the operands of node i. */
static void mark_operands(const struct work *w, uint32_t i, bool *needed)
{
    const struct node *n = &w->node[i];
    switch ((enum op)n->op) {
    case OP_SUM:
        for (uint32_t k = 0; k < n->operand[1]; k++)
            needed[w->pool[n->operand[0] + k]] = true;
        return;
    case OP_SUB:
    case OP_MUL:
    case OP_DIV:
    case OP_CONVERT:
        needed[n->operand[1]] = true;
        needed[n->operand[0]] = true;
        return;
    case OP_SAME:
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
    case OP_DOT:
    case OP_NORM:
        needed[n->operand[0]] = true;
        return;
    case OP_NONE:
    case OP_GIVEN:
    case OP_CONSTANT:
    case OP_UNKNOWN:
    case OP_MAX_:
        return;
    }
}

const bool *work_ancestors(struct work *w, q x)
{
    bool *needed = arena_alloc(w->arena, (x.i + 1) * sizeof *needed);
    if (!needed) {
        w->failed = true;
        return NULL;
    }
    needed[x.i] = true;
    for (uint32_t i = x.i; i > 0; i--)
        if (needed[i])
            mark_operands(w, i, needed);
    return needed;
}

struct dd work_refined(struct work *w, q x)
{
    struct dd *all = arena_alloc(w->arena, (x.i + 1) * sizeof *all);
    const bool *needed = work_ancestors(w, x);
    if (!all || !needed) {
        w->failed = true;
        return (struct dd){q_value(w, x), 0.0};
    }
    for (uint32_t i = 1; i <= x.i; i++)
        if (needed[i])
            all[i] = compute(w, i, all);
    return all[x.i];
}

double work_refined_acos(struct work *w, q ratio)
{
    return inverse_cosine(work_refined(w, ratio)).hi;
}

/* The error that the long decimals given leave in x: their derivatives, not a sum of worst cases on
 * the way. */
static double digits_slack(struct work *w, q x)
{
    const double *adjoint = work_sweep(w, x);
    double slack = 0.0;
    for (uint32_t i = 1; adjoint && i <= x.i; i++)
        if (w->node[i].op == OP_GIVEN)
            slack += fabs(adjoint[i]) * w->node[i].num.slack;
    return slack;
}

void work_settle(struct work *w, q x)
{
    struct num *n = &w->node[x.i].num;
    switch (num_zero(*n)) {
    case ZERO_NO:
        return;
    case ZERO_EXACT:
        n->value = n->error = n->slack = 0.0;
        return;
    case ZERO_WITHIN_ROUNDING:
        n->value = 0.0;
        return;
    case ZERO_WITHIN_DIGITS:
        n->slack = digits_slack(w, x);
        if (num_zero(*n) == ZERO_WITHIN_DIGITS)
            n->value = 0.0;
        return;
    case ZERO_UNSETTLED: {
        struct dd fine = work_refined(w, x);
        n = &w->node[x.i].num;
        n->value = fine.hi;
        n->error = fabs(fine.hi) * 0x1p-53;
        return;
    }
    case ZERO_MAX_:
        return;
    }
}
