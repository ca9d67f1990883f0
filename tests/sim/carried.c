#include "sim/carried.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define DEGREE (3.14159265358979323846 / 180)

static const char *const names[CARRIED_MAX_] = {
    [CARRIED_POLAR] = "resultant: R_x or R_y, then R, angle",
    [CARRIED_SPACE] = "in space: one component, then R",
    [CARRIED_LINE] = "R_x, R_y or M, then R, arm, line",
    [CARRIED_BEAM] = "beam: one reaction, then the other",
    [CARRIED_CABLES] = "cables: one tension, then the other",
    [CARRIED_ARCH] = "arch: a reaction, then all others",
    [CARRIED_JOINT] = "joint: one member, then the other",
    [CARRIED_TRUSS] = "truss: one number, then joint by joint",
};

/* A line that is written: three figures. */
static double three(double x)
{
    if (x == 0 || !isfinite(x))
        return x;
    double step = pow(10, floor(log10(fabs(x))) - 2);
    return round(x / step) * step;
}

double carried_factor(struct draw *d)
{
    double by = draw_one_in(d, 2) ? draw_decimal(d, 1.15, 1.9, 2) : draw_decimal(d, 0.4, 0.85, 2);
    return draw_one_in(d, 3) ? -by : by;
}

/* ---- resultants ---- */

struct pulls {
    double x[4], y[4], z[4], at[4][2];
};

static void draw_pulls(struct draw *d, struct pulls *p)
{
    for (int i = 0; i < 3; i++) {
        p->x[i] = draw_decimal(d, -90, 90, 1);
        p->y[i] = draw_decimal(d, -90, 90, 1);
        p->z[i] = draw_decimal(d, -90, 90, 1);
        p->at[i][0] = draw_decimal(d, -5, 5, 1);
        p->at[i][1] = draw_decimal(d, -5, 5, 1);
    }
}

static double sum(const double x[3]) { return x[0] + x[1] + x[2]; }

static double turn_of(const double v[2])
{
    double angle = atan2(v[1], v[0]) / DEGREE;
    return round(10 * (angle < 0 ? angle + 360 : angle)) / 10;
}

static void draw_resultant(struct draw *d, struct carried *c)
{
    struct pulls p;
    double r[3], m = 0;
    bool space = c->kind == CARRIED_SPACE, placed = c->kind == CARRIED_LINE;
    do {
        draw_pulls(d, &p);
        r[0] = sum(p.x);
        r[1] = sum(p.y);
        r[2] = sum(p.z);
        m = 0;
        for (int i = 0; i < 3; i++)
            m += p.at[i][0] * p.y[i] - p.at[i][1] * p.x[i];
    } while (fabs(r[0]) < 25 || fabs(r[1]) < 25 || fabs(r[2]) < 25 || fabs(m) < 40);
    m = 0;
    int n = snprintf(c->problem, sizeof c->problem, "{\"kind\": \"resultant\", \"forces\": [");
    for (int i = 0; i < 3; i++) {
        n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, "%s{\"components\": [%g, %g",
                      i ? ", " : "", p.x[i], p.y[i]);
        if (space)
            n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, ", %g", p.z[i]);
        n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, "]");
        if (placed)
            n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, ", \"at\": [%g, %g]",
                          p.at[i][0], p.at[i][1]);
        n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, "}");
        m += three(p.at[i][0] * p.y[i]) - three(p.at[i][1] * p.x[i]);
    }
    snprintf(c->problem + n, sizeof c->problem - (size_t)n, "]}");
    for (int k = 0; k < 3; k++)
        r[k] = three(r[k]);
    m = three(m);
    c->wrong = draw_int(d, 0, space || placed ? 2 : 1);
    if (placed && c->wrong == 2)
        m = three(m * carried_factor(d));
    else
        r[c->wrong] = three(r[c->wrong] * carried_factor(d));
    double size = three(space ? sqrt(r[0] * r[0] + r[1] * r[1] + r[2] * r[2]) : hypot(r[0], r[1]));
    double plane[] = {r[0], r[1], size, turn_of(r)};
    double line[] = {r[0], r[1], size, m, three(fabs(m) / size), three(m / r[1]), three(-m / r[0])};
    double spatial[] = {r[0], r[1], r[2], size};
    c->count = placed ? 7 : 4;
    c->last = placed ? draw_int(d, 4, 6) : c->kind == CARRIED_POLAR ? draw_int(d, 2, 3) : 3;
    c->wrong += placed && c->wrong == 2; /* M comes behind R */
    memcpy(c->number, placed ? line : space ? spatial : plane, (size_t)c->count * sizeof *line);
}

/* ---- two unknowns ---- */

static void draw_beam(struct draw *d, struct carried *c)
{
    double length = draw_decimal(d, 4, 12, 1), a = draw_decimal(d, 1, length - 1, 1);
    double p = draw_decimal(d, 5, 60, 1), w = draw_decimal(d, 1, 9, 1);
    snprintf(
        c->problem, sizeof c->problem,
        "{\"kind\": \"equilibrium\", \"forces\": [{\"name\": \"P\", \"magnitude\": %g, "
        "\"direction\": {\"axis\": \"-y\"}, \"at\": [%g, 0]}], \"distributed_loads\": "
        "[{\"name\": \"w\", \"from\": [0, 0], \"to\": [%g, 0], \"intensity\": %g}], "
        "\"supports\": [{\"name\": \"A\", \"kind\": \"pin\", \"at\": [0, 0]}, {\"name\": \"B\", "
        "\"kind\": \"roller\", \"at\": [%g, 0]}]}",
        p, a, length, w, length);
    double load = three(w * length);
    double right = three((three(p * a) + three(load * length / 2)) / length);
    double left = three((three(p * (length - a)) + three(load * length / 2)) / length);
    c->wrong = draw_int(d, 0, 1);
    if (c->wrong == 1) {
        right = three(right * carried_factor(d));
        left = three(p + load - right);
    } else {
        left = three(left * carried_factor(d));
        right = three(p + load - left);
    }
    c->count = 2;
    c->number[0] = left;
    c->number[1] = right;
    c->last = 1 - c->wrong;
}

static void draw_cables(struct draw *d, struct carried *c)
{
    double a = draw_decimal(d, 20, 70, 1), b = draw_decimal(d, 20, 70, 1);
    double w = draw_decimal(d, 20, 300, 1);
    snprintf(c->problem, sizeof c->problem,
             "{\"kind\": \"equilibrium\", \"forces\": [{\"name\": \"W\", \"magnitude\": %g, "
             "\"direction\": {\"axis\": \"-y\"}}, {\"name\": \"T1\", \"magnitude\": \"unknown\", "
             "\"direction\": {\"angle\": %g, \"from\": \"-x\", \"toward\": \"+y\"}}, {\"name\": "
             "\"T2\", \"magnitude\": \"unknown\", \"direction\": {\"angle\": %g, \"from\": \"+x\", "
             "\"toward\": \"+y\"}}]}",
             w, a, b);
    double angle[2] = {a * DEGREE, b * DEGREE}, t[2];
    c->wrong = draw_int(d, 0, 1);
    int other = 1 - c->wrong;
    t[c->wrong] = w * cos(angle[other]) / sin(angle[0] + angle[1]);
    t[c->wrong] = three(t[c->wrong] * fabs(carried_factor(d)));
    bool by_x = draw_one_in(d, 2); /* the sum that was not used for the first */
    double part = three(t[c->wrong] * (by_x ? cos(angle[c->wrong]) : sin(angle[c->wrong])));
    t[other] = three(by_x ? part / cos(angle[other]) : (w - part) / sin(angle[other]));
    c->count = 2;
    memcpy(c->number, t, sizeof t);
    c->last = other;
}

static void draw_joint(struct draw *d, struct carried *c)
{
    double a = draw_decimal(d, 20, 70, 1), w = draw_decimal(d, 5, 90, 1),
           h = draw_decimal(d, 2, 30, 1);
    snprintf(c->problem, sizeof c->problem,
             "{\"kind\": \"truss-joint\", \"joint\": \"B\", \"members\": [{\"name\": \"BA\", "
             "\"direction\": {\"angle\": %g, \"from\": \"-x\", \"toward\": \"+y\"}}, {\"name\": "
             "\"BC\", \"direction\": {\"axis\": \"+x\"}}], \"forces\": [{\"name\": \"P\", "
             "\"magnitude\": %g, \"direction\": {\"axis\": \"-y\"}}, {\"name\": \"H\", "
             "\"magnitude\": %g, \"direction\": {\"axis\": \"+x\"}}]}",
             a, w, h);
    double slanted = three(three(w / sin(a * DEGREE)) * carried_factor(d));
    c->count = 2;
    c->number[0] = slanted;
    c->number[1] = three(three(slanted * cos(a * DEGREE)) - h);
    c->wrong = 0;
    c->last = 1;
}

/* ---- an arch of three hinges: A and B at one level, C between, P on AC down, H at C ---- */

static void draw_arch(struct draw *d, struct carried *c)
{
    double span = draw_decimal(d, 6, 14, 1), x = draw_decimal(d, 0.35 * span, 0.65 * span, 1);
    double y = draw_decimal(d, 2, 5, 1), px = draw_decimal(d, 0.5, x - 0.5, 1);
    double p = draw_decimal(d, 10, 60, 1), qx = draw_decimal(d, x + 0.5, span - 0.5, 1);
    double q = draw_decimal(d, 10, 60, 1);
    snprintf(c->problem, sizeof c->problem,
             "{\"kind\": \"equilibrium\", \"points\": {\"A\": [0, 0], \"B\": [%g, 0], \"C\": [%g, "
             "%g]}, \"bodies\": {\"AC\": {\"forces\": [{\"name\": \"P\", \"magnitude\": %g, "
             "\"direction\": {\"axis\": \"-y\"}, \"at\": [%g, %g]}], \"supports\": [{\"name\": "
             "\"A\", \"kind\": \"pin\", \"at\": \"A\"}]}, \"CB\": {\"forces\": [{\"name\": \"Q\", "
             "\"magnitude\": %g, \"direction\": {\"axis\": \"-y\"}, \"at\": [%g, %g]}], "
             "\"supports\": [{\"name\": \"B\", \"kind\": \"pin\", \"at\": \"B\"}]}}, \"pins\": "
             "[{\"name\": \"C\", \"at\": \"C\", \"joins\": [\"AC\", \"CB\"]}]}",
             span, x, y, p, px, y, q, qx, y);
    double by = three((three(p * px) + three(q * qx)) / span);
    c->wrong = draw_one_in(d, 2) ? 3 : 0;
    if (c->wrong == 3)
        by = three(by * fabs(carried_factor(d)));
    double ay = three(p + q - by);
    double ax = three((three(ay * x) - three(p * (x - px))) / y);
    if (c->wrong == 0)
        ax = three(ax * carried_factor(d));
    double bx = -ax;
    double cx = -ax, cy = three(p - ay); /* on AC */
    double all[] = {ax, ay, bx, by, cx, cy};
    c->count = 6;
    memcpy(c->number, all, sizeof all);
    c->last = draw_one_in(d, 2) ? 4 : 2;
}

/* ---- a truss: joints A B C D along the bottom, E F G above; by joints ---- */

enum { JOINTS = 7, MEMBERS = 11 };
static const int member[MEMBERS][2] = {{0, 1}, {0, 4}, {1, 4}, {1, 2}, {1, 5}, {2, 5},
                                       {4, 5}, {2, 3}, {2, 6}, {3, 6}, {5, 6}};

struct truss {
    double at[JOINTS][2], load[JOINTS][2]; /* reactions among the loads once they are known */
    double force[MEMBERS];
    bool known[MEMBERS];
};

static void toward(const struct truss *t, int m, int joint, double ret[2])
{
    int other = member[m][0] == joint ? member[m][1] : member[m][0];
    double dx = t->at[other][0] - t->at[joint][0], dy = t->at[other][1] - t->at[joint][1];
    double length = hypot(dx, dy);
    ret[0] = dx / length;
    ret[1] = dy / length;
}

/* Its unknown members, at most two: by both sums, or where one is level by the other first. */
static bool work_joint(struct truss *t, int joint)
{
    double x = t->load[joint][0], y = t->load[joint][1], u[2][2];
    int open[2], count = 0;
    for (int m = 0; m < MEMBERS; m++) {
        double e[2];
        if (member[m][0] != joint && member[m][1] != joint)
            continue;
        toward(t, m, joint, e);
        if (t->known[m]) {
            x += three(t->force[m] * e[0]);
            y += three(t->force[m] * e[1]);
        } else if (count == 2) {
            return false;
        } else {
            memcpy(u[count], e, sizeof e);
            open[count++] = m;
        }
    }
    if (count == 0)
        return false;
    if (count == 1) { /* along the steeper of its parts */
        int k = fabs(u[0][1]) > 1e-9 ? 1 : 0;
        t->force[open[0]] = three(-(k ? y : x) / u[0][k]);
    } else {
        if (fabs(u[1][1]) > 1e-9) { /* the level one second */
            double e[2] = {u[0][0], u[0][1]};
            int m = open[0];
            memcpy(u[0], u[1], sizeof e);
            memcpy(u[1], e, sizeof e);
            open[0] = open[1];
            open[1] = m;
        }
        double det = u[0][0] * u[1][1] - u[0][1] * u[1][0];
        t->force[open[0]] = three((-x * u[1][1] + y * u[1][0]) / det);
        if (fabs(u[1][0]) > 1e-9)
            t->force[open[1]] = three((-x - three(t->force[open[0]] * u[0][0])) / u[1][0]);
        else
            t->force[open[1]] = three((-y - three(t->force[open[0]] * u[0][1])) / u[1][1]);
    }
    for (int k = 0; k < count; k++)
        t->known[open[k]] = true;
    return true;
}

static void draw_truss(struct draw *d, struct carried *c)
{
    struct truss t = {.at = {{0}}};
    double panel = draw_decimal(d, 2, 4, 1), height = draw_decimal(d, 1.5, 4, 1);
    double p = draw_decimal(d, 10, 60, 1), q = draw_decimal(d, 10, 60, 1);
    double h = draw_decimal(d, 5, 30, 1);
    int n = snprintf(c->problem, sizeof c->problem, "{\"kind\": \"truss\", \"joints\": {");
    for (int i = 0; i < JOINTS; i++) {
        t.at[i][0] = i < 4 ? panel * i : panel * (i - 4) + panel / 2;
        t.at[i][1] = i < 4 ? 0 : height;
        n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, "%s\"%c\": [%g, %g]",
                      i ? ", " : "", 'A' + i, t.at[i][0], t.at[i][1]);
    }
    n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, "}, \"members\": [");
    for (int m = 0; m < MEMBERS; m++)
        n += snprintf(c->problem + n, sizeof c->problem - (size_t)n, "%s[\"%c\", \"%c\"]",
                      m ? ", " : "", 'A' + member[m][0], 'A' + member[m][1]);
    snprintf(c->problem + n, sizeof c->problem - (size_t)n,
             "], \"supports\": [{\"at\": \"A\", \"kind\": \"pin\"}, {\"at\": \"D\", \"kind\": "
             "\"roller\"}], \"loads\": [{\"name\": \"P\", \"magnitude\": %g, \"direction\": "
             "{\"axis\": \"-y\"}, \"at\": \"B\"}, {\"name\": \"Q\", \"magnitude\": %g, "
             "\"direction\": {\"axis\": \"-y\"}, \"at\": \"C\"}, {\"name\": \"H\", \"magnitude\": "
             "%g, \"direction\": {\"axis\": \"+x\"}, \"at\": \"E\"}]}",
             p, q, h);
    t.load[1][1] = -p;
    t.load[2][1] = -q;
    t.load[4][0] = h;
    double right =
        three((three(p * panel) + three(q * 2 * panel) + three(h * height)) / (3 * panel));
    c->wrong = draw_one_in(d, 3) ? draw_int(d, 1, 2) : 3 + draw_int(d, 0, MEMBERS - 1);
    if (c->wrong == 2)
        right = three(right * fabs(carried_factor(d)));
    double left = three(p + q - right);
    if (c->wrong == 1)
        left = three(left * fabs(carried_factor(d)));
    t.load[0][0] = -h;
    t.load[0][1] = left;
    t.load[3][1] = right;
    /* From one end to the other. */
    bool is_backward = draw_one_in(d, 2);
    int last = -1;
    for (int worked = 1; worked;) {
        worked = 0;
        for (int i = 0; i < JOINTS && !worked; i++) {
            int joint =
                is_backward ? (int[]){3, 6, 2, 5, 1, 4, 0}[i] : (int[]){0, 4, 1, 5, 2, 6, 3}[i];
            bool before[MEMBERS];
            memcpy(before, t.known, sizeof before);
            if (!work_joint(&t, joint))
                continue;
            worked = 1;
            for (int m = 0; m < MEMBERS; m++) {
                if (before[m] || !t.known[m])
                    continue;
                last = m;
                if (c->wrong == 3 + m)
                    t.force[m] = three(fabs(t.force[m]) < 1 ? 7.5 : t.force[m] * carried_factor(d));
            }
        }
    }
    c->count = 3 + MEMBERS;
    c->number[0] = -h;
    c->number[1] = left;
    c->number[2] = right;
    memcpy(c->number + 3, t.force, sizeof t.force);
    c->last = c->wrong == 3 + last ? -1 : 3 + last;
}

void carried_draw(struct draw *d, enum carried_kind kind, struct carried *ret)
{
    *ret = (struct carried){.kind = kind, .name = names[kind]};
    switch (kind) {
    case CARRIED_POLAR:
    case CARRIED_SPACE:
    case CARRIED_LINE:
        draw_resultant(d, ret);
        return;
    case CARRIED_BEAM:
        draw_beam(d, ret);
        return;
    case CARRIED_CABLES:
        draw_cables(d, ret);
        return;
    case CARRIED_ARCH:
        draw_arch(d, ret);
        return;
    case CARRIED_JOINT:
        draw_joint(d, ret);
        return;
    case CARRIED_TRUSS:
        draw_truss(d, ret);
        return;
    case CARRIED_MAX_:
        return;
    }
}

/* ---- the answer ---- */

void carried_answer(const struct carried *c, char *text, unsigned long capacity)
{
    const double *x = c->number;
    int n = 0;
    switch (c->kind) {
    case CARRIED_POLAR:
        snprintf(text, capacity,
                 "{\"resultant\": {\"components\": [%.10g, %.10g], \"magnitude\": %.10g, "
                 "\"direction\": {\"angle\": %.10g}}}",
                 x[0], x[1], x[2], x[3]);
        return;
    case CARRIED_SPACE:
        snprintf(text, capacity,
                 "{\"resultant\": {\"components\": [%.10g, %.10g, %.10g], \"magnitude\": %.10g}}",
                 x[0], x[1], x[2], x[3]);
        return;
    case CARRIED_LINE:
        snprintf(text, capacity,
                 "{\"resultant\": {\"components\": [%.10g, %.10g], \"magnitude\": %.10g}, "
                 "\"equivalent\": {\"couple\": %.10g, \"arm\": %.10g}, \"line_of_action\": "
                 "{\"x_intercept\": %.10g, \"y_intercept\": %.10g}}",
                 x[0], x[1], x[2], x[3], x[4], x[5], x[6]);
        return;
    case CARRIED_BEAM:
        snprintf(
            text, capacity,
            "{\"unknowns\": [{\"name\": \"A\", \"parts\": [{\"symbol\": \"A_y\", \"value\": "
            "%.10g}]}, {\"name\": \"B\", \"parts\": [{\"symbol\": \"B\", \"value\": %.10g}]}]}",
            x[0], x[1]);
        return;
    case CARRIED_CABLES:
        snprintf(text, capacity,
                 "{\"unknowns\": [{\"name\": \"T1\", \"parts\": [{\"symbol\": \"T1\", \"value\": "
                 "%.10g}]}, {\"name\": \"T2\", \"parts\": [{\"symbol\": \"T2\", \"value\": "
                 "%.10g}]}]}",
                 x[0], x[1]);
        return;
    case CARRIED_ARCH:
        snprintf(text, capacity,
                 "{\"unknowns\": [{\"name\": \"A\", \"parts\": [{\"symbol\": \"A_x\", \"value\": "
                 "%.10g}, {\"symbol\": \"A_y\", \"value\": %.10g}]}, {\"name\": \"B\", \"parts\": "
                 "[{\"symbol\": \"B_x\", \"value\": %.10g}, {\"symbol\": \"B_y\", \"value\": "
                 "%.10g}]}, {\"name\": \"C\", \"parts\": [{\"symbol\": \"C_x\", \"value\": %.10g}, "
                 "{\"symbol\": \"C_y\", \"value\": %.10g}]}]}",
                 x[0], x[1], x[2], x[3], x[4], x[5]);
        return;
    case CARRIED_JOINT:
        snprintf(text, capacity,
                 "{\"members\": [{\"name\": \"BA\", \"force\": %.10g}, {\"name\": \"BC\", "
                 "\"force\": %.10g}]}",
                 x[0], x[1]);
        return;
    case CARRIED_TRUSS:
        n = snprintf(text, capacity,
                     "{\"supports\": [{\"name\": \"A\", \"parts\": [{\"symbol\": \"A_x\", "
                     "\"value\": %.10g}, {\"symbol\": \"A_y\", \"value\": %.10g}]}, {\"name\": "
                     "\"D\", \"parts\": [{\"symbol\": \"D\", \"value\": %.10g}]}], \"members\": [",
                     x[0], x[1], x[2]);
        for (int m = 0; m < MEMBERS; m++)
            n +=
                snprintf(text + n, capacity - (size_t)n, "%s{\"name\": \"%c%c\", \"force\": %.10g}",
                         m ? ", " : "", 'A' + member[m][0], 'A' + member[m][1], x[3 + m]);
        snprintf(text + n, capacity - (size_t)n, "]}");
        return;
    case CARRIED_MAX_:
        return;
    }
}
