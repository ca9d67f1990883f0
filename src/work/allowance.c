/* allowance.c: how far honest work by hand may stray: what is written down is rounded, then carried
 * on. */
#include <float.h>
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "work/settle.h"
#include "work/written.h"

#define HAND_FIGURES 3          /* common practice in print: answers to three figures */
#define HAND_WORST 0.005        /* half a unit of the third figure, over 1.00 */
#define HAND_ANGLE_DEGREES 0.05 /* half of 0.1°, to which angles are written: their floor */
#define SENSITIVE_OF_SCALE 0.05
#define OPEN 0.02         /* of a number: how far it is taken to stray where that is not known */
#define BEYOND_SLOPE 1.02 /* how far a number strays, over what the slopes at the key say */
#define NOISE 1e-12       /* of a number: far above that of a double, far below what is written */

/* Half of 0.1° in the request's unit. */
static double hand_angle(const struct work *w)
{
    return HAND_ANGLE_DEGREES * (RADIANS_PER_DEGREE / unit_angle_radians(w->units.angle));
}

/* A whole turn less an angle, a supplement: nothing new is rounded. */
static bool adds_a_constant(const struct work *w, const struct node *n)
{
    if (n->op == OP_SUB)
        return w->node[n->operand[0]].op == OP_CONSTANT || w->node[n->operand[1]].op == OP_CONSTANT;
    if (n->op != OP_SUM)
        return false;
    uint32_t variable = 0;
    for (uint32_t k = 0; k < n->operand[1]; k++)
        variable += w->node[w->pool[n->operand[0] + k]].op != OP_CONSTANT;
    return variable <= 1;
}

/* cos ε cos α of an azimuth: the level part F cos ε may be written first. */
static bool is_product_of_cosines(const struct work *w, const struct node *n)
{
    for (int i = 0; i < 2; i++) {
        enum op op = (enum op)w->node[n->operand[i]].op;
        if (op != OP_COS && op != OP_SIN)
            return false;
    }
    return true;
}

bool node_is_written(const struct work *w, const struct node *n)
{
    enum writing written = op_rows[n->op].written;
    if (written == WRITING_NEVER)
        return false;
    if (written == WRITING_NAMED && (!n->symbol.base || adds_a_constant(w, n)))
        return false;
    return n->op != OP_UNKNOWN || n->operand[0] == 0; /* else the hand path was rounded already */
}

/* What lies between `low` and `high`, written to multiples of 2 `half`. A tie between them may go
 * either way. */
static struct rounding rounding_between(double low, double high, double half)
{
    double from = round(low / (2.0 * half)), to = round(high / (2.0 * half));
    if (!(from == to))
        return (struct rounding){half, half};
    return (struct rounding){fmax(0.0, 2.0 * half * from - low),
                             fmax(0.0, high - 2.0 * half * from)};
}

/* How node i is rounded when it is written, given how far it strays before: 12.04 becomes 12.0,
 * never 12.1. Who keeps a figure more rounds by less, but perhaps to the other side. */
static struct rounding written_rounding(const struct work *w, uint32_t i, double before)
{
    const struct node *n = &w->node[i];
    double value = n->num.value, size = fabs(value), half;
    if (!node_is_written(w, n))
        return (struct rounding){0.0, 0.0};
    if (n->op == OP_MUL && is_product_of_cosines(w, n))
        return (struct rounding){HAND_WORST * size, HAND_WORST * size};
    if (n->dimension.angle)
        half = hand_angle(w);
    else /* 998 that may have become 1002 is written to tens */
        half = number_half_unit(fmin(size + fmin(before, OPEN * size), DBL_MAX), HAND_FIGURES);
    bool is_in_steps = !n->dimension.angle || w->units.angle == UNIT_DEG;
    if (half == 0.0 || !is_in_steps || !(before < half))
        return (struct rounding){half, half};
    before = BEYOND_SLOPE * before + NOISE * size;
    struct rounding coarse = rounding_between(value - before, value + before, half);
    struct rounding fine = rounding_between(value - before, value + before, half / 10.0);
    return (struct rounding){fmax(coarse.up, fine.up), fmax(coarse.down, fine.down)};
}

/* Through a cosine or sine of a typed angle there is no other angle to be rounded. */
static bool is_of_typed_angle(const struct work *w, uint32_t i)
{
    for (q x = {i};;) {
        if (q_is_name(w, x, &x))
            continue;
        const struct node *n = q_node(w, x);
        if (n->op != OP_NEG)
            return n->op == OP_CONSTANT || n->op == OP_COS || n->op == OP_SIN;
        x = (q){n->operand[0]};
    }
}

/* A direction given by a ratio may be carried as an angle written to 0.1°. */
static double direction_rounding(const struct work *w, uint32_t vector, uint32_t last,
                                 const double *adjoint)
{
    const q *u = w->vector[vector].component;
    double turn = HAND_ANGLE_DEGREES * RADIANS_PER_DEGREE, effect = 0.0, d[3] = {0}, c[3] = {0};
    bool is_typed = true;
    for (int axis = 0; axis < 3; axis++) {
        if (q_is_none(u[axis]) || u[axis].i > last)
            continue;
        d[axis] = work_is_reached(w, u[axis].i) ? adjoint[u[axis].i] : 0.0;
        c[axis] = q_value(w, u[axis]);
        is_typed = is_typed && is_of_typed_angle(w, u[axis].i);
    }
    if (is_typed)
        return 0.0;
    if (q_is_none(u[2]))
        return fabs(c[0] * d[1] - c[1] * d[0]) * turn;
    for (int axis = 0; axis < 3; axis++) { /* three direction angles, each rounded */
        double sine = sqrt(fmax(0.0, 1.0 - c[axis] * c[axis]));
        effect += fabs(d[axis]) * (sine * turn + 0.5 * turn * turn);
    }
    return effect;
}

static double effect_on(struct work *w, q x);

static bool is_first_way(const struct work *w, uint32_t k)
{
    for (uint32_t i = 0; i < k; i++)
        if (w->alternative[i].of.i == w->alternative[k].of.i)
            return false;
    return true;
}

/* The usual ways to one number together. */
struct ways {
    double least, most; /* how far it strays by the best and by the worst of them */
    double scale;       /* of the best; 0: no way has been worked yet, or it was seen at once */
    bool is_round;      /* one of them may be a long way round */
};

static void ways_add(struct ways *ways, double stray, double scale)
{
    bool is_best = !(ways->scale > 0.0) || (scale > 0.0 && stray < ways->least);
    ways->most = fmax(ways->most, stray);
    ways->least = is_best ? stray : ways->least;
    ways->scale = is_best ? scale : ways->scale;
}

/* By the worst of them, but a long way round does not count in full where it is ill-conditioned for
 * work by hand and another is not. */
static double ways_stray(const struct ways *ways)
{
    if (!ways->is_round)
        return ways->most;
    return fmax(ways->least, fmin(ways->most, SENSITIVE_OF_SCALE * ways->scale));
}

static double scale_of(struct work *w, q x);

/* How far each number may stray that has other ways: each by itself, and all together, which is
 * kept with the first. In order, since later ones are worked on from earlier ones. */
static void measure_ways(struct work *w)
{
    while (w->measured_count < w->alternative_count) {
        uint32_t k = w->measured_count++;
        if (!is_first_way(w, k))
            continue;
        q x = w->alternative[k].of;
        struct ways ways = {0};
        ways_add(&ways, effect_on(w, x), scale_of(w, x));
        for (uint32_t i = k; i < w->alternative_count; i++) {
            struct alternative *a = &w->alternative[i];
            if (a->of.i != x.i)
                continue;
            a->stray = effect_on(w, a->other);
            a->scale = scale_of(w, a->other);
            ways_add(&ways, a->stray, a->scale);
            ways.is_round = ways.is_round || a->is_round;
        }
        w->alternative[k].together = ways_stray(&ways);
    }
}

/* (x + s)² is s² above its tangent: R = √(R_x² + R_y²) hangs on it where one of the two is near 0.
 */
static double beyond_slope(double stray) { return stray < HUGE_VAL ? stray * stray : 0.0; }

/* What is divided is written first, a sum without a name too: by how much that moves the quotient.
 */
static double numerator_rounding(const struct work *w, const struct node *n)
{
    const struct node *above = &w->node[n->operand[0]];
    bool is_sum = (above->op == OP_SUM && above->operand[1] > 1) || above->op == OP_SUB;
    if (n->op != OP_DIV || !is_sum || node_is_written(w, above) || adds_a_constant(w, above))
        return 0.0;
    return number_half_unit(above->num.value, HAND_FIGURES) /
           fabs(w->node[n->operand[1]].num.value);
}

static bool has_room_for_roundings(struct work *w, uint32_t last)
{
    if (last < w->rounding_capacity)
        return true;
    w->rounding = arena_alloc(w->arena, w->node_capacity * sizeof *w->rounding);
    w->stray = arena_alloc(w->arena, w->node_capacity * sizeof *w->stray);
    if (!w->rounding || !w->stray) {
        w->failed = true;
        return false;
    }
    w->rounding_capacity = w->node_capacity;
    w->rounding[0] = (struct rounding){0.0, 0.0};
    w->stray[0] = 0.0;
    w->rounding_count = 1;
    return true;
}

/* How far every node strays before it is written, to the first order, and by how much it is rounded
 * then. Of a number that is reached by other ways too nothing is known before. */
static bool measure_roundings(struct work *w, uint32_t last)
{
    if (w->beyond != BEYOND_NOTHING ||
        !has_room_for_roundings(w, last)) /* there will be no answer */
        return false;
    for (; w->rounding_count <= last; w->rounding_count++) {
        uint32_t i = w->rounding_count;
        double before = w->node[i].has_ways ? HUGE_VAL : work_stray_of_operands(w, i, w->stray);
        before += w->node[i].is_direction ? HAND_ANGLE_DEGREES * RADIANS_PER_DEGREE : 0.0;
        double divided = numerator_rounding(w, &w->node[i]);
        w->rounding[i] = written_rounding(w, i, before + divided);
        w->rounding[i].up += divided;
        w->rounding[i].down += divided;
        if (w->node[i].op == OP_SQUARE)
            w->rounding[i].up = beyond_slope(w->stray[w->node[i].operand[0]]);
        w->stray[i] = before + fmax(w->rounding[i].up, w->rounding[i].down);
    }
    return true;
}

static double effect_by(struct work *w, q x, const double *adjoint)
{
    double effect = 0.0, up = 0.0, down = 0.0;
    if (!adjoint || !measure_roundings(w, x.i))
        return effect;
    for (uint32_t i = x.i; i > 0; i = work_reached_below(w, i)) {
        if (adjoint[i] == 0.0)
            continue;
        double rise = adjoint[i] > 0.0 ? w->rounding[i].up : w->rounding[i].down;
        double fall = adjoint[i] > 0.0 ? w->rounding[i].down : w->rounding[i].up;
        up += fabs(adjoint[i]) * rise;
        down += fabs(adjoint[i]) * fall;
    }
    effect = fmax(up, down);
    for (uint32_t k = 0; k < w->direction_count; k++)
        effect += direction_rounding(w, w->direction[k], x.i, adjoint);
    return effect;
}

/* The worst effect on x of all roundings on the way to it, x itself included: by the working shown,
 * or where x was worked on from numbers that were reached by other ways. */
static double effect_of_roundings(struct work *w, q x)
{
    double shown = effect_by(w, x, work_sweep(w, x));
    const double *adjoint = work_sweep_to_ways(w, x);
    double other = effect_by(w, x, adjoint);
    for (uint32_t k = 0; adjoint && k < w->alternative_count; k++)
        if (w->alternative[k].of.i < x.i && work_is_reached(w, w->alternative[k].of.i))
            other += fabs(adjoint[w->alternative[k].of.i]) * w->alternative[k].together;
    return fmax(shown, other);
}

/* The inverse function that an angle comes from, through a change of sense or sector; {0} if none.
 */
static q inverse_under(const struct work *w, q x)
{
    const struct node *n = q_node(w, x);
    switch ((enum op)n->op) {
    case OP_ASIN:
    case OP_ACOS:
    case OP_ATAN:
        return x;
    case OP_SAME:
    case OP_NEG:
    case OP_ABS:
        return inverse_under(w, (q){n->operand[0]});
    case OP_SUB:
        if (!adds_a_constant(w, n))
            return (q){0};
        return inverse_under(w, (q){n->operand[w->node[n->operand[0]].op == OP_CONSTANT]});
    case OP_SUM:
        for (uint32_t k = 0; adds_a_constant(w, n) && k < n->operand[1]; k++)
            if (w->node[w->pool[n->operand[0] + k]].op != OP_CONSTANT)
                return inverse_under(w, q_term(w, x, k));
        return (q){0};
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
    return (q){0};
}

static double worse_end(double (*f)(double), double at, double by)
{
    double low = fmax(-1.0, at - by), high = fmin(1.0, at + by),
           here = f(fmax(-1.0, fmin(1.0, at)));
    return fmax(fabs(f(low) - here), fabs(f(high) - here));
}

/* Where the function is steep the slope deceives: both ends of the argument's range are evaluated.
 */
static double angle_effect(struct work *w, q x)
{
    q inverse = inverse_under(w, x);
    if (q_is_none(inverse))
        return effect_of_roundings(w, x);
    q argument = {q_node(w, inverse)->operand[0]};
    double at = q_value(w, argument), by = effect_of_roundings(w, argument), radians;
    if (q_node(w, inverse)->op == OP_ATAN) {
        double turned = by / (1.0 + at * at); /* how far the tip strays sideways, over the length */
        radians = turned < 0.5 ? turned / (1.0 - turned) : 180.0 * RADIANS_PER_DEGREE;
    } else {
        radians = worse_end(q_node(w, inverse)->op == OP_ACOS ? acos : asin, at, by);
    }
    return radians / unit_angle_radians(w->units.angle) + hand_angle(w);
}

/* A number as typed, before it was converted: 2500 of 2500 N = 2.5 kN. */
static bool is_in_another_unit(const struct work *w, const struct node *n)
{
    char numerator[48], denominator[48];
    bool is_same = true;
    if (n->unit)
        unit_factor(n->dimension, n->unit->base, w->units, numerator, denominator, &is_same);
    return !is_same;
}

static double largest_ancestor(struct work *w, q x)
{
    bool has_memory = work_ancestors(w, x);
    double scale = 0.0;
    for (uint32_t i = x.i; has_memory && i > 0; i = work_reached_below(w, i))
        if (dimension_same(w->node[i].dimension, w->node[x.i].dimension) &&
            !is_in_another_unit(w, &w->node[i]))
            scale = fmax(scale, fabs(w->node[i].num.value));
    return scale;
}

/* Of what the other components were worked out from: the forces of W_x = 0 all act along y. */
static double largest_beside(struct work *w, q x)
{
    double scale = 0.0;
    for (uint32_t i = 1; i < w->vector_count; i++) {
        const q *c = w->vector[i].component;
        if (c[0].i != x.i && c[1].i != x.i && c[2].i != x.i)
            continue;
        for (int axis = 0; axis < 3; axis++)
            if (!q_is_none(c[axis]))
                scale = fmax(scale, largest_ancestor(w, c[axis]));
    }
    return scale;
}

/* The largest number of its kind that x was worked out from. A ratio that is asked belongs to a
 * vector of length 1, whatever slopes and squares it came from. */
double allowance_scale(struct work *w, q x)
{
    if (dimension_same(w->node[x.i].dimension, (struct dimension){0}))
        return 1.0;
    double scale = largest_ancestor(w, x);
    return scale > 0.0 ? scale : largest_beside(w, x);
}

static double effect_on(struct work *w, q x)
{
    return q_node(w, x)->dimension.angle ? angle_effect(w, x) : effect_of_roundings(w, x);
}

/* Of an angle: a radian. */
static double scale_of(struct work *w, q x)
{
    double radian = 1.0 / unit_angle_radians(w->units.angle);
    return q_node(w, x)->dimension.angle ? radian : allowance_scale(w, x);
}

/* By one way alone, never below its floor. */
static void add_way(const struct work *w, bool is_angle, double stray, double scale,
                    struct ways *ways)
{
    ways_add(ways, fmax(is_angle ? 2.0 * hand_angle(w) : ALLOWANCE_OF_SCALE * scale, stray), scale);
}

double allowance_of(struct work *w, q x, bool *ret_is_sensitive)
{
    struct ways ways = {0};
    bool is_angle = q_node(w, x)->dimension.angle;
    measure_ways(w);
    double scale = scale_of(w, x);
    add_way(w, is_angle, effect_on(w, x), scale, &ways);
    for (uint32_t k = 0; k < w->alternative_count; k++) {
        const struct alternative *a = &w->alternative[k];
        if (a->of.i != x.i)
            continue;
        add_way(w, is_angle, a->stray, a->scale, &ways);
        ways.is_round = ways.is_round || a->is_round;
    }
    double allowance = ways_stray(&ways);
    work_beyond(w, BEYOND_RANGE, !isfinite(allowance));
    if (ret_is_sensitive)
        *ret_is_sensitive = allowance > SENSITIVE_OF_SCALE * (ways.is_round ? ways.scale : scale);
    return allowance;
}
