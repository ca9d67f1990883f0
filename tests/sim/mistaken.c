#include "sim/mistaken.h"

#include <math.h>
#include <string.h>

#define DEGREE (3.14159265358979323846 / 180)

struct sheet {
    const struct exercise *e;
    enum asks asks;
    bool by_hand;
    double part[EXERCISE_PULLS_MAX][3]; /* components */
    struct mistaken *list;
    int count;
};

static double three(double x)
{
    if (x == 0 || !isfinite(x))
        return x;
    double step = pow(10, floor(log10(fabs(x))) - 2);
    return round(x / step) * step;
}

static double written(const struct sheet *s, double x) { return s->by_hand ? three(x) : x; }

static double size_of(const double v[3]) { return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]); }

static double degrees_of(const double v[3])
{
    double angle = atan2(v[1], v[0]) / DEGREE;
    return angle < 0 ? angle + 360 : angle;
}

static double sign(double x) { return x > 0 ? 1 : x < 0 ? -1 : 0; }

static double force_size(const struct pull *p)
{
    return p->aim.way == WAY_COMPONENTS ? size_of(p->aim.number) : p->size;
}

/* ---- from components on ---- */

struct line { /* one moment term: x F_y and −y F_x */
    double x, y;
};

static struct line arms_of(const struct sheet *s, int i)
{
    const struct exercise *e = s->e;
    return (struct line){e->pull[i].at[0] - e->about[0], e->pull[i].at[1] - e->about[1]};
}

static double term(const struct sheet *s, int i, const double f[3])
{
    struct line a = arms_of(s, i);
    return written(s, a.x * f[1]) - written(s, a.y * f[0]);
}

static double couple(const struct sheet *s) { return s->e->has_couple ? s->e->couple[2] : 0; }

static struct handed_in finish(const struct sheet *s, double (*part)[3])
{
    struct handed_in in = {.component = {0}};
    for (int i = 0; i < s->e->count; i++) {
        for (int k = 0; k < 3; k++)
            in.component[k] += written(s, part[i][k]);
        in.moment += term(s, i, part[i]);
    }
    in.moment += couple(s);
    in.size = size_of(in.component);
    in.angle = degrees_of(in.component);
    return in;
}

static void add(struct sheet *s, const char *code, int force, struct handed_in in)
{
    if (s->count == MISTAKEN_MAX || !isfinite(in.size) || !isfinite(in.moment) || in.size > 1e7)
        return;
    s->list[s->count++] = (struct mistaken){code, force, in};
}

/* One force with other components. */
static void with(struct sheet *s, const char *code, int i, double x, double y, double z)
{
    double part[EXERCISE_PULLS_MAX][3];
    memcpy(part, s->part, sizeof part);
    part[i][0] = x;
    part[i][1] = y;
    part[i][2] = z;
    add(s, code, i, finish(s, part));
}

/* ---- one force ---- */

/* The acute angle that is typed, its sine along which axis; false where none is. */
static bool typed_angle(const struct aim *a, double *ret_angle, int *ret_sine)
{
    switch (a->way) {
    case WAY_ANGLE:
        *ret_angle = a->number[0];
        *ret_sine = 1;
        return true;
    case WAY_FROM:
        *ret_angle = a->number[0];
        *ret_sine = a->toward / 2;
        return true;
    case WAY_TURN:
        *ret_angle = a->number[0];
        *ret_sine = 1 - a->from / 2;
        return true;
    case WAY_BEARING: /* y is north */
        *ret_angle = a->number[0];
        *ret_sine = 0;
        return true;
    default:
        return false;
    }
}

static void misread_plane(struct sheet *s, int i)
{
    const struct pull *p = &s->e->pull[i];
    const double *v = s->part[i];
    double sx = sign(v[0]), sy = sign(v[1]), f = p->size, angle;
    bool is_alone = s->e->resolve;
    int sine;
    if (sx == 0 || sy == 0 || p->aim.way == WAY_COMPONENTS)
        return;
    with(s, is_alone ? "res.swap" : "sum.one.swap", i, sx * fabs(v[1]), sy * fabs(v[0]), 0);
    with(s, "res.divide", i, f * f / v[0], f * f / v[1], 0);
    with(s, "res.full", i, sx * f, sy * f, 0);
    if (typed_angle(&p->aim, &angle, &sine)) {
        double t = f * fabs(tan(angle * DEGREE));
        with(s, "res.tan", i, sine == 0 ? sx * t : v[0], sine == 1 ? sy * t : v[1], 0);
    } else if (p->aim.way != WAY_AXIS) {
        double run = fabs(v[0] / f), rise = fabs(v[1] / f);
        if (p->aim.way == WAY_SLOPE || p->aim.way == WAY_VECTOR) {
            run = fabs(p->aim.number[0]);
            rise = fabs(p->aim.number[1]);
            with(s, "res.nohyp", i, sx * f * run, sy * f * rise, 0);
        }
        with(s, "res.nohyp", i, sx * f, sy * f * rise / run, 0);
        with(s, "res.nohyp", i, sx * f * run / rise, sy * f, 0);
    }
}

static void misread_space(struct sheet *s, int i)
{
    const struct pull *p = &s->e->pull[i];
    const double *v = s->part[i];
    double f = p->size;
    const struct aim *a = &p->aim;
    if (a->way == WAY_AZIMUTH) {
        double az = a->number[0] * DEGREE, el = a->number[1] * DEGREE;
        with(s, "d3.elev", i, sign(v[0]) * fabs(f * sin(el) * cos(az)),
             sign(v[1]) * fabs(f * sin(el) * sin(az)), sign(v[2]) * f * cos(el));
        with(s, "d3.project", i, f * cos(az), f * sin(az), v[2]);
    }
    if (a->way == WAY_ANGLES) {
        with(s, "d3.third", i, v[0], v[1], f * cos((180 - a->number[0] - a->number[1]) * DEGREE));
        with(s, "d3.root", i, v[0], v[1], -v[2]);
    }
    if (a->way == WAY_LINE || a->way == WAY_VECTOR) {
        double r[3];
        for (int k = 0; k < 3; k++)
            r[k] = a->way == WAY_LINE ? a->tip[k] - a->tail[k] : a->number[k];
        with(s, "d3.nounit", i, f * r[0], f * r[1], f * r[2]);
    }
    if ((v[0] != 0) + (v[1] != 0) + (v[2] != 0) > 1 && a->way != WAY_COMPONENTS) {
        with(s, "d3.axis", i, v[1], v[0], v[2]);
        with(s, "d3.axis", i, v[0], v[2], v[1]);
        with(s, "d3.axis", i, v[1], v[2], v[0]);
    }
}

static void miss_sense(struct sheet *s, int i)
{
    const double *v = s->part[i];
    bool is_alone = s->e->resolve,
         is_along = s->e->pull[i].aim.way == WAY_LINE || s->e->pull[i].aim.way == WAY_VECTOR;
    if ((v[0] != 0) + (v[1] != 0) + (v[2] != 0) > 1) {
        static const char *const signs[] = {"res.signx", "res.signy", "res.signz"};
        for (int k = 0; k < 3; k++)
            if (v[k] != 0)
                with(s, is_alone ? signs[k] : "sum.one.sign", i, k == 0 ? -v[0] : v[0],
                     k == 1 ? -v[1] : v[1], k == 2 ? -v[2] : v[2]);
    }
    with(s,
         !is_alone                 ? "sum.one.rev"
         : s->e->space && is_along ? "d3.rev"
                                   : "res.opposite",
         i, -v[0], -v[1], -v[2]);
    if (is_alone) {
        if (v[0] < 0 || v[1] < 0 || v[2] < 0)
            with(s, "res.abs", i, fabs(v[0]), fabs(v[1]), fabs(v[2]));
        return;
    }
    with(s, "sum.one.out", i, 0, 0, 0);
    with(s, "sum.one.twice", i, 2 * v[0], 2 * v[1], 2 * v[2]);
}

/* ---- the sum ---- */

static void with_size(struct sheet *s, const char *code, struct handed_in right, double size)
{
    right.size = size;
    add(s, code, -1, right);
}

static void with_angle(struct sheet *s, const char *code, struct handed_in right, double angle)
{
    right.angle = fmod(angle + 720, 360);
    add(s, code, -1, right);
}

static void add_wrongly(struct sheet *s, struct handed_in right)
{
    const struct exercise *e = s->e;
    double sum = 0, squares = 0;
    for (int i = 0; i < e->count; i++) {
        sum += force_size(&e->pull[i]);
        squares += pow(force_size(&e->pull[i]), 2);
    }
    const double *r = right.component;
    with_size(s, "sum.RxRy", right, fabs(r[0]) + fabs(r[1]) + fabs(r[2]));
    with_size(s, "sum.sqrt", right, right.size * right.size);
    if (e->count > 1) {
        with_size(s, "sum.mag", right, sum);
        with_size(s, "sum.pyth", right, sqrt(squares));
    }
    if (e->count == 2) {
        double d[3];
        for (int k = 0; k < 3; k++)
            d[k] = s->part[0][k] - s->part[1][k];
        with_size(s, "sum.coslaw", right, size_of(d));
    }
}

static void point_wrongly(struct sheet *s, struct handed_in right)
{
    const double *r = right.component;
    double flipped[3] = {r[0], r[1], 0};
    if (r[0] == 0 || r[1] == 0)
        return;
    if (r[0] < 0)
        with_angle(s, "dir.quadrant", right, right.angle + 180);
    if (r[0] < 0 || r[1] < 0)
        with_angle(s, "dir.acute", right, atan(fabs(r[1] / r[0])) / DEGREE);
    flipped[0] = sign(r[0]) * fabs(r[1]);
    flipped[1] = sign(r[1]) * fabs(r[0]);
    with_angle(s, "dir.inverse", right, degrees_of(flipped));
}

static void balance(struct sheet *s, struct handed_in right)
{
    for (int k = 0; k < 3; k++)
        right.component[k] = -right.component[k];
    right.angle = fmod(right.angle + 180, 360);
    add(s, "dir.equilibrant", -1, right);
    for (int k = 0; k < (s->e->space ? 3 : 2); k++) { /* of the sum, a sign lost */
        struct handed_in lost = right;
        for (int axis = 0; axis < 3; axis++)
            lost.component[axis] = axis == k ? right.component[axis] : -right.component[axis];
        lost.angle = degrees_of(lost.component);
        add(s, "dir.sign", -1, lost);
    }
}

/* ---- moments ---- */

static void with_moment(struct sheet *s, const char *code, int force, struct handed_in right,
                        double moment)
{
    right.moment = moment;
    add(s, code, force, right);
}

static void turn_wrongly(struct sheet *s, struct handed_in right)
{
    const struct exercise *e = s->e;
    double slants = couple(s), adds = couple(s), arms = couple(s);
    for (int i = 0; i < e->count; i++) {
        const double *f = s->part[i];
        struct line a = arms_of(s, i);
        double m = a.x * f[1] - a.y * f[0], others = right.moment - m;
        double slant = sign(m) * hypot(a.x, a.y) * size_of(f);
        slants += slant;
        adds += a.x * f[1] + a.y * f[0];
        arms += a.x * f[0] - a.y * f[1];
        with_moment(s, "mom.sign", i, right, others - m);
        with_moment(s, "mom.slant", i, right, others + slant);
        with_moment(s, "mom.arms", i, right, others + a.x * f[0] - a.y * f[1]);
        if (a.x * f[1] != 0 && a.y * f[0] != 0) {
            with_moment(s, "mom.half", i, right, others + a.x * f[1]);
            with_moment(s, "mom.half", i, right, others - a.y * f[0]);
            with_moment(s, "mom.add", i, right, others + a.x * f[1] + a.y * f[0]);
        }
    }
    with_moment(s, "mom.sign", -1, right, -right.moment);
    with_moment(s, "eqv.nocouple", -1, right, couple(s));
    if (e->count > 1) {
        with_moment(s, "mom.slant", -1, right, slants);
        with_moment(s, "mom.add", -1, right, adds);
        with_moment(s, "mom.arms", -1, right, arms);
    }
    if (e->has_about)
        with_moment(s, "mom.centre", -1, right,
                    right.moment + e->about[0] * right.component[1] -
                        e->about[1] * right.component[0]);
}

/* ---- all ---- */

static bool shows(const struct sheet *s, const struct handed_in *right, const struct handed_in *in)
{
    double off = 0, turned = 0, moved = fabs(in->moment - right->moment);
    for (int k = 0; k < 3; k++)
        off = fmax(off, fabs(in->component[k] - right->component[k]));
    turned = fabs(remainder(in->angle - right->angle, 360));
    bool by_size = fabs(in->size - right->size) > 1e-9 * right->size;
    switch (s->asks) {
    case ASKS_COMPONENTS:
        return off > 1e-9 * right->size;
    case ASKS_POLAR:
        return by_size || (s->e->space ? off > 1e-9 * right->size : turned > 1e-9);
    case ASKS_SIZE:
        return by_size;
    case ASKS_COMPONENTS_AND_MOMENT:
        return off > 1e-9 * right->size || moved > 1e-9 * fabs(right->moment);
    case ASKS_MOMENT:
        return moved > 1e-9 * fabs(right->moment);
    case ASKS_MAX_:
        break;
    }
    return false;
}

int mistaken_list(const struct exercise *e, enum asks asks, bool by_hand,
                  struct mistaken list[MISTAKEN_MAX], struct handed_in *ret_right)
{
    struct sheet s = {.e = e, .asks = asks, .by_hand = by_hand, .list = list};
    for (int i = 0; i < e->count; i++)
        for (int k = 0; k < 3; k++)
            s.part[i][k] = e->pull[i].aim.way == WAY_COMPONENTS
                               ? e->pull[i].aim.number[k]
                               : e->pull[i].size * e->pull[i].aim.unit[k];
    struct handed_in right = finish(&s, s.part);
    *ret_right = right;
    for (int i = 0; i < e->count; i++) {
        miss_sense(&s, i);
        if (e->space)
            misread_space(&s, i);
        else
            misread_plane(&s, i);
    }
    bool by_polar = asks == ASKS_POLAR || asks == ASKS_SIZE;
    if (by_polar && !e->resolve)
        add_wrongly(&s, right);
    if (asks == ASKS_POLAR && !e->space && !e->resolve)
        point_wrongly(&s, right);
    if (!e->resolve && asks != ASKS_SIZE && asks != ASKS_MOMENT)
        balance(&s, right);
    if (asks == ASKS_COMPONENTS_AND_MOMENT || asks == ASKS_MOMENT)
        turn_wrongly(&s, right);
    int kept = 0;
    for (int i = 0; i < s.count; i++)
        if (shows(&s, &right, &list[i].in))
            list[kept++] = list[i];
    return kept;
}
