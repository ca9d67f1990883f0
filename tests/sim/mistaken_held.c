#include "sim/mistaken_held.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define DEGREE (3.14159265358979323846 / 180)

static void add(struct held_problem *p, const char *code, const char *at, double x, double y)
{
    bool shows = fabs(y - p->y) > 1e-9 * fabs(p->y) ||
                 (p->kind != HELD_BEAM_ONE && fabs(x - p->x) > 1e-9 * fabs(p->x));
    if (shows && isfinite(x) && isfinite(y) && p->count < HELD_MISTAKES_MAX)
        p->mistake[p->count++] = (struct held_mistake){code, at, x, y};
}

/* A line that is written, to two figures where this kind of line is. */
static double line(int early, int kind, double x)
{
    if (!(early & kind) || x == 0)
        return x;
    double step = pow(10, floor(log10(fabs(x))) - 1);
    return round(x / step) * step;
}
static double ratio(int early, double x) { return line(early, EARLY_RATIOS, x); }
static double product(int early, double x) { return line(early, EARLY_PRODUCTS, x); }
static double sum(int early, double x) { return line(early, EARLY_SUMS, x); }

/* a1 x + b1 y = c1, a2 x + b2 y = c2 */
static void solve_two(double a1, double b1, double c1, double a2, double b2, double c2, double *x,
                      double *y)
{
    double d = a1 * b2 - a2 * b1;
    *x = (c1 * b2 - c2 * b1) / d;
    *y = (a1 * c2 - a2 * c1) / d;
}

/* ---- two cables: a from -x, b from +x, W down, H to the right ---- */

struct hanging {
    double x1, y1, x2, y2; /* of the cables' directions */
    double w, h;
};

static void hang(struct held_problem *p, const char *code, const char *at, struct hanging g)
{
    double x, y;
    solve_two(g.x1, g.x2, -g.h, g.y1, g.y2, g.w, &x, &y);
    if (code) {
        add(p, code, at, x, y);
        return;
    }
    p->x = x;
    p->y = y;
}

/* T1 by T2 from the sum along x, put into that along y. */
static void hang_early(double a, double b, double w, double h, int early, double ret[2])
{
    double c1 = ratio(early, cos(a * DEGREE)), s1 = ratio(early, sin(a * DEGREE));
    double c2 = ratio(early, cos(b * DEGREE)), s2 = ratio(early, sin(b * DEGREE));
    double k = ratio(early, c2 / c1), rest = product(early, h / c1);
    double by = ratio(early, ratio(early, k * s1) + s2);
    ret[1] = sum(early, w - product(early, rest * s1)) / by;
    ret[0] = product(early, k * ret[1]) + rest;
}

static void draw_cables(struct draw *d, struct held_problem *p)
{
    double a = draw_decimal(d, 15, 75, 1), b = draw_decimal(d, 15, 75, 1);
    double w = draw_decimal(d, 20, 300, 1), h = draw_decimal(d, 3, 0.4 * w, 1);
    snprintf(p->text, sizeof p->text,
             "{\"kind\": \"equilibrium\", \"forces\": [{\"name\": \"W\", \"magnitude\": %.10g, "
             "\"direction\": {\"axis\": \"-y\"}}, {\"name\": \"H\", \"magnitude\": %.10g, "
             "\"direction\": {\"axis\": \"+x\"}}, {\"name\": \"T1\", \"magnitude\": \"unknown\", "
             "\"direction\": {\"angle\": %.10g, \"from\": \"-x\", \"toward\": \"+y\"}}, {\"name\": "
             "\"T2\", \"magnitude\": \"unknown\", \"direction\": {\"angle\": %.10g, \"from\": "
             "\"+x\", \"toward\": \"+y\"}}]}",
             w, h, a, b);
    struct hanging g = {-cos(a * DEGREE), sin(a * DEGREE), cos(b * DEGREE), sin(b * DEGREE), w, h};
    hang(p, NULL, NULL, g);
    hang(p, "eq.missing", "/forces/0", (struct hanging){g.x1, g.y1, g.x2, g.y2, 0, h});
    hang(p, "eq.missing", "/forces/1", (struct hanging){g.x1, g.y1, g.x2, g.y2, w, 0});
    hang(p, "sum.one.rev", "/forces/0", (struct hanging){g.x1, g.y1, g.x2, g.y2, -w, h});
    hang(p, "sum.one.rev", "/forces/1", (struct hanging){g.x1, g.y1, g.x2, g.y2, w, -h});
    hang(p, "sum.one.twice", "/forces/0", (struct hanging){g.x1, g.y1, g.x2, g.y2, 2 * w, h});
    hang(p, "sum.one.twice", "/forces/1", (struct hanging){g.x1, g.y1, g.x2, g.y2, w, 2 * h});
    hang(p, "sum.one.swap", "/forces/2", (struct hanging){-g.y1, -g.x1, g.x2, g.y2, w, h});
    hang(p, "sum.one.swap", "/forces/3", (struct hanging){g.x1, g.y1, g.y2, g.x2, w, h});
    for (int early = 1; early <= EARLY_ALL; early++)
        hang_early(a, b, w, h, early, p->early[early]);
    hang(p, "res.radian", NULL, (struct hanging){-cos(a), sin(a), cos(b), sin(b), w, h});
    add(p, "cab.same", NULL, w / (g.y1 + g.y2), w / (g.y1 + g.y2));
    add(p, "eq.sense", NULL, -p->x, p->y);
    add(p, "eq.sense", NULL, p->x, -p->y);
}

/* ---- a beam: forces P, Q at slants, a distributed load from A on ---- */

struct beam {
    double length, at[2], x[2], y[2]; /* of the forces: place, components (up positive) */
    double turn[2];                   /* what each is taken to turn about A; NAN: as it does */
    double total, place;              /* of the distributed load */
};

static void carry(struct held_problem *p, const char *code, const char *at, struct beam b)
{
    double moment = -b.total * b.place, up = -b.total;
    for (int i = 0; i < 2; i++) {
        moment += isnan(b.turn[i]) ? b.at[i] * b.y[i] : b.turn[i];
        up += b.y[i];
    }
    double right = -moment / b.length, left = -up - right;
    if (code) {
        add(p, code, at, left, right);
        return;
    }
    p->x = left;
    p->y = right;
}

static void carry_early(const struct beam *b, const double size[2], const double angle[2],
                        double intensity, double end, bool is_triangle, int early, double ret[2])
{
    double total = product(early, is_triangle ? intensity * end / 2 : intensity * end);
    double moment = product(early, total * b->place), down = total;
    for (int i = 0; i < 2; i++) {
        double part = product(early, size[i] * ratio(early, sin(angle[i] * DEGREE)));
        moment += product(early, part * b->at[i]);
        down += part;
    }
    ret[1] = sum(early, moment) / b->length;
    ret[0] = sum(early, down) - ret[1];
}

static void draw_beam(struct draw *d, struct held_problem *p)
{
    static const char *const pointer[2] = {"/forces/0", "/forces/1"};
    double length = draw_decimal(d, 4, 12, 1), size[2], angle[2];
    struct beam b = {.length = length, .turn = {(double)NAN, (double)NAN}};
    for (int i = 0; i < 2; i++) {
        size[i] = draw_decimal(d, 5, 60, 1);
        angle[i] = draw_decimal(d, 20, 80, 1);
        b.at[i] = draw_decimal(d, 0.15 * length, 0.9 * length, 1);
        b.x[i] = -size[i] * cos(angle[i] * DEGREE);
        b.y[i] = -size[i] * sin(angle[i] * DEGREE);
    }
    double end = draw_decimal(d, 0.4 * length, length, 1), w = draw_decimal(d, 1, 9, 1);
    bool is_triangle = draw_one_in(d, 2);
    b.total = is_triangle ? w * end / 2 : w * end;
    b.place = is_triangle ? 2 * end / 3 : end / 2;
    char intensity[40];
    snprintf(intensity, sizeof intensity, is_triangle ? "[0, %.10g]" : "%.10g", w);
    snprintf(p->text, sizeof p->text,
             "{\"kind\": \"equilibrium\", \"forces\": [{\"name\": \"P\", \"magnitude\": %.10g, "
             "\"direction\": {\"angle\": %.10g, \"from\": \"-x\", \"toward\": \"-y\"}, \"at\": "
             "[%.10g, 0]}, {\"name\": \"Q\", \"magnitude\": %.10g, \"direction\": {\"angle\": "
             "%.10g, \"from\": \"-x\", \"toward\": \"-y\"}, \"at\": [%.10g, 0]}], "
             "\"distributed_loads\": [{\"name\": \"w\", \"from\": [0, 0], \"to\": [%.10g, 0], "
             "\"intensity\": %s}], \"supports\": [{\"name\": \"A\", \"kind\": \"pin\", \"at\": [0, "
             "0]}, {\"name\": \"B\", \"kind\": \"roller\", \"at\": [%.10g, 0]}]}",
             size[0], angle[0], b.at[0], size[1], angle[1], b.at[1], end, intensity, length);
    carry(p, NULL, NULL, b);
    for (int early = 1; early <= EARLY_ALL; early++)
        carry_early(&b, size, angle, w, end, is_triangle, early, p->early[early]);
    for (int i = 0; i < 2; i++) {
        struct beam c = b;
        c.y[i] = c.x[i] = 0;
        carry(p, "eq.missing", pointer[i], c);
        c = b;
        c.y[i] = -b.y[i];
        carry(p, "sum.one.rev", pointer[i], c);
        c = b;
        c.y[i] = b.x[i];
        carry(p, "sum.one.swap", pointer[i], c);
        c = b;
        c.y[i] = 2 * b.y[i];
        carry(p, "sum.one.twice", pointer[i], c);
        c = b;
        c.turn[i] = -b.at[i] * b.y[i];
        carry(p, "mom.sign", pointer[i], c);
        c.turn[i] = -b.at[i] * size[i];
        carry(p, "mom.slant", pointer[i], c);
        c.turn[i] = 0;
        carry(p, "eq.missing", pointer[i], c);
        c.turn[i] = b.at[i] * b.x[i];
        carry(p, "mom.arms", pointer[i], c);
    }
    struct beam c = b;
    for (int i = 0; i < 2; i++) {
        c.x[i] = -size[i] * cos(angle[i]);
        c.y[i] = -size[i] * sin(angle[i]);
    }
    carry(p, "res.radian", NULL, c);
    c = b;
    c.total = w;
    carry(p, "dst.w", "/distributed_loads/0", c);
    c.total = 0;
    carry(p, "eq.missing", "/distributed_loads/0", c);
    if (is_triangle) {
        c.total = w * end;
        carry(p, "dst.rect", "/distributed_loads/0", c);
        c.place = end / 2;
        carry(p, "dst.rect", "/distributed_loads/0", c);
        c.total = b.total;
        carry(p, "dst.place", "/distributed_loads/0", c);
        c.place = end / 3;
        carry(p, "dst.place", "/distributed_loads/0", c);
    }
    c = b;
    c.place = end;
    carry(p, "dst.place", "/distributed_loads/0", c);
    add(p, "eq.exchange", NULL, p->y, p->x);
    add(p, "eq.half", NULL, (p->x + p->y) / 2, (p->x + p->y) / 2);
    add(p, "eq.sense", NULL, -p->x, p->y);
    add(p, "eq.sense", NULL, p->x, -p->y);
}

/* ---- a joint: a slanted member, a level one, a load down ---- */

static void draw_joint(struct draw *d, struct held_problem *p)
{
    double angle = draw_decimal(d, 20, 70, 1), w = draw_decimal(d, 5, 90, 1);
    if (fabs(angle - 45) < 3)
        angle += 6;
    snprintf(p->text, sizeof p->text,
             "{\"kind\": \"truss-joint\", \"joint\": \"B\", \"members\": [{\"name\": \"BA\", "
             "\"direction\": {\"angle\": %.10g, \"from\": \"-x\", \"toward\": \"+y\"}}, {\"name\": "
             "\"BC\", \"direction\": {\"axis\": \"+x\"}}], \"forces\": [{\"name\": \"P\", "
             "\"magnitude\": %.10g, \"direction\": {\"axis\": \"-y\"}}]}",
             angle, w);
    double s = sin(angle * DEGREE), c = cos(angle * DEGREE);
    p->x = w / s;
    p->y = p->x * c;
    for (int early = 1; early <= EARLY_ALL; early++) {
        p->early[early][0] = w / ratio(early, s);
        p->early[early][1] = product(early, p->early[early][0]) * ratio(early, c);
    }
    add(p, "tr.flip", NULL, -p->x, -p->y);
    add(p, "tr.flip", NULL, -p->x, p->y);
    add(p, "tr.flip", NULL, p->x, -p->y);
    add(p, "tr.trig", "/members/0", w / c, w / c * s);
    add(p, "res.radian", NULL, w / sin(angle), w / sin(angle) * cos(angle));
    add(p, "tr.multiply", NULL, w * s, w * s * c);
    add(p, "tr.diag", NULL, w, w * c);
    add(p, "sum.one.twice", "/forces/0", 2 * p->x, 2 * p->y);
    add(p, "tr.zero", NULL, 0, 0);
}

void held_draw(struct draw *d, enum held kind, struct held_problem *ret)
{
    memset(ret, 0, sizeof *ret);
    ret->kind = kind;
    switch (kind) {
    case HELD_CABLES:
        draw_cables(d, ret);
        break;
    case HELD_BEAM:
    case HELD_BEAM_ONE:
        draw_beam(d, ret);
        break;
    case HELD_JOINT:
        draw_joint(d, ret);
        break;
    case HELD_MAX_:
        break;
    }
}

void held_answer(enum held kind, double x, double y, char *text, size_t capacity)
{
    switch (kind) {
    case HELD_CABLES:
        snprintf(text, capacity,
                 "{\"unknowns\": [{\"name\": \"T1\", \"parts\": [{\"symbol\": \"T1\", \"value\": "
                 "%.10g}]}, {\"name\": \"T2\", \"parts\": [{\"symbol\": \"T2\", \"value\": "
                 "%.10g}]}]}",
                 x, y);
        return;
    case HELD_BEAM:
        snprintf(text, capacity,
                 "{\"unknowns\": [{\"name\": \"A\", \"parts\": [{\"symbol\": \"A_y\", \"value\": "
                 "%.10g}]}, {\"name\": \"B\", \"parts\": [{\"symbol\": \"B\", \"value\": "
                 "%.10g}]}]}",
                 x, y);
        return;
    case HELD_BEAM_ONE:
        snprintf(text, capacity,
                 "{\"unknowns\": [{\"name\": \"B\", \"parts\": [{\"symbol\": \"B\", \"value\": "
                 "%.10g}]}]}",
                 y);
        return;
    case HELD_JOINT:
        snprintf(text, capacity,
                 "{\"members\": [{\"name\": \"BA\", \"force\": %.10g}, {\"name\": \"BC\", "
                 "\"force\": %.10g}]}",
                 x, y);
        return;
    case HELD_MAX_:
        return;
    }
}
