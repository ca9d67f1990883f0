#include "sim/cables.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define DEGREE (3.14159265358979323846 / 180)
#define SMALL 1e-9 /* a number that is zero, but for the arithmetic */

/* ---- problems ---- */

static void unit_of(const struct cable *c, double u[3])
{
    if (c->way == CABLE_ANGLE) {
        u[0] = cos(c->angle * DEGREE);
        u[1] = sin(c->angle * DEGREE);
        u[2] = 0;
        return;
    }
    double length = sqrt(c->vector[0] * c->vector[0] + c->vector[1] * c->vector[1] +
                         c->vector[2] * c->vector[2]);
    for (int k = 0; k < 3; k++)
        u[k] = c->vector[k] / length;
}

/* How far the directions are from dependent: the volume that the unit vectors span. */
static double volume(const struct hanging *h)
{
    double u[3][3] = {{0}};
    for (int i = 0; i < h->axes; i++)
        unit_of(&h->cable[i], u[i]);
    if (h->axes == 2)
        return u[0][0] * u[1][1] - u[0][1] * u[1][0];
    return u[0][0] * (u[1][1] * u[2][2] - u[1][2] * u[2][1]) -
           u[0][1] * (u[1][0] * u[2][2] - u[1][2] * u[2][0]) +
           u[0][2] * (u[1][0] * u[2][1] - u[1][1] * u[2][0]);
}

static void draw_cable(struct draw *d, struct hanging *h, struct cable *c)
{
    memset(c, 0, sizeof *c);
    c->way = h->axes == 2 ? (enum cable_way)draw_int(d, 0, 2)
                          : (enum cable_way)draw_int(d, CABLE_VECTOR, CABLE_LINE);
    if (c->way == CABLE_ANGLE) {
        c->angle = draw_one_in(d, 3) ? draw_decimal(d, 0, 359, 1) : draw_int(d, 0, 359);
        return;
    }
    do
        for (int k = 0; k < h->axes; k++)
            c->vector[k] = draw_int(d, -12, 12) / (c->way == CABLE_LINE ? 2.0 : 1.0);
    while (c->vector[0] == 0 && c->vector[1] == 0 && c->vector[2] == 0);
}

void hanging_draw(struct draw *d, struct hanging *h)
{
    memset(h, 0, sizeof *h);
    h->axes = draw_int(d, 2, 3);
    do
        for (int i = 0; i < h->axes; i++)
            draw_cable(d, h, &h->cable[i]);
    while (fabs(volume(h)) < 0.2); /* less is ill-conditioned, see the notes of an answer */
    h->loads = draw_one_in(d, 3) ? 2 : 1;
    for (int i = 0; i < h->loads; i++) {
        h->size[i] = draw_int(d, 100, 9990) / 10.0;
        h->axis[i] = i == 0 ? 2 * h->axes - 1 : draw_int(d, 0, 2 * h->axes - 1);
        h->by_components[i] = i == 1 && draw_one_in(d, 2);
        for (int k = 0; h->by_components[i] && k < h->axes; k++)
            h->load[i][k] = draw_int(d, -4000, 4000) / 10.0;
        if (!h->by_components[i])
            h->load[i][h->axis[i] / 2] = h->axis[i] % 2 ? -h->size[i] : h->size[i];
    }
}

static void put_vector(char **at, char *end, const double *v, int count)
{
    *at += snprintf(*at, (size_t)(end - *at), "[");
    for (int k = 0; k < count; k++)
        *at += snprintf(*at, (size_t)(end - *at), "%s%g", k ? ", " : "", v[k]);
    *at += snprintf(*at, (size_t)(end - *at), "]");
}

void hanging_write(const struct hanging *h, char *text, unsigned long capacity)
{
    static const char *const half_axis[] = {"+x", "-x", "+y", "-y", "+z", "-z"};
    static const double origin[3] = {0};
    char *at = text, *end = text + capacity;
    at += snprintf(at, (size_t)(end - at), "{\"key\": true, \"forces\": [");
    for (int i = 0; i < h->loads; i++) {
        at += snprintf(at, (size_t)(end - at), "%s{\"name\": \"%c\", ", i ? ", " : "", "WH"[i]);
        if (h->by_components[i]) {
            at += snprintf(at, (size_t)(end - at), "\"components\": ");
            put_vector(&at, end, h->load[i], h->axes);
        } else {
            at += snprintf(at, (size_t)(end - at),
                           "\"magnitude\": %g, \"direction\": {\"axis\": \"%s\"}", h->size[i],
                           half_axis[h->axis[i]]);
        }
        at += snprintf(at, (size_t)(end - at), "}");
    }
    for (int i = 0; i < h->axes; i++) {
        const struct cable *c = &h->cable[i];
        at += snprintf(at, (size_t)(end - at),
                       ", {\"name\": \"T%d\", \"magnitude\": \"unknown\", \"direction\": {", i + 1);
        if (c->way == CABLE_ANGLE) {
            at += snprintf(at, (size_t)(end - at), "\"angle\": %g", c->angle);
        } else if (c->way == CABLE_VECTOR) {
            at += snprintf(at, (size_t)(end - at), "\"vector\": ");
            put_vector(&at, end, c->vector, h->axes);
        } else {
            at += snprintf(at, (size_t)(end - at), "\"line\": [");
            put_vector(&at, end, origin, h->axes);
            at += snprintf(at, (size_t)(end - at), ", ");
            put_vector(&at, end, c->vector, h->axes);
            at += snprintf(at, (size_t)(end - at), "]");
        }
        at += snprintf(at, (size_t)(end - at), "}}");
    }
    snprintf(at, (size_t)(end - at), "]}");
}

/* ---- habits ---- */

static void shuffle(struct draw *d, int *list, int count)
{
    for (int i = 0; i < count; i++)
        list[i] = i;
    for (int i = count - 1; i > 0; i--) {
        int j = draw_int(d, 0, i), t = list[i];
        list[i] = list[j];
        list[j] = t;
    }
}

void cable_habits_draw(struct draw *d, const struct hanging *h, struct cable_habits *ret)
{
    memset(ret, 0, sizeof *ret);
    ret->four_after_one = draw_one_in(d, 4);
    ret->writes_sines = draw_one_in(d, 2);
    ret->slopes_as_angles = h->axes == 2 && draw_one_in(d, 2);
    ret->writes_units = draw_one_in(d, 2);
    ret->method = BY_SUBSTITUTION;
    if (h->axes == 2 && draw_one_in(d, 4))
        ret->method = BY_DETERMINANTS;
    else if (h->axes == 2 && h->loads == 1 && draw_one_in(d, 2))
        ret->method = BY_SINE_LAW;
    shuffle(d, ret->equation, h->axes);
    shuffle(d, ret->unknown, h->axes);
}

void cable_habits_say(const struct cable_habits *h, char *text, unsigned long capacity)
{
    static const char *const method[] = {"by substitution", "by determinants", "by the sine law"};
    snprintf(
        text, capacity, "%s, equations %d%d%d, unknowns %d%d%d%s%s%s%s", method[h->method],
        h->equation[0], h->equation[1], h->equation[2], h->unknown[0], h->unknown[1], h->unknown[2],
        h->four_after_one ? ", 3-4 figures" : "", h->writes_sines ? ", sines written" : "",
        h->slopes_as_angles ? ", slopes as angles" : "", h->writes_units ? ", units written" : "");
}

/* ---- working ---- */

/* What is written down: three figures. */
static double off(const struct cable_habits *h, double x)
{
    if (x == 0)
        return 0;
    double exponent = floor(log10(fabs(x)));
    int figures = h->four_after_one && fabs(x) / pow(10, exponent) < 2 ? 4 : 3;
    double step = pow(10, exponent - figures + 1);
    return round(x / step) * step;
}

static double off_angle(double degrees) { return round(degrees * 10) / 10; }

/* sin 180° is 0. */
static double sine_off(const struct cable_habits *h, double x)
{
    if (fabs(x) < SMALL)
        return 0;
    return h->writes_sines ? off(h, x) : x;
}

static double angle_of(const struct cable *c)
{
    return c->way == CABLE_ANGLE ? c->angle : off_angle(atan2(c->vector[1], c->vector[0]) / DEGREE);
}

/* The coefficients of one cable. */
static void direction(const struct hanging *h, const struct cable_habits *habits, int i,
                      double u[3])
{
    const struct cable *c = &h->cable[i];
    u[2] = 0;
    if (c->way == CABLE_ANGLE || habits->slopes_as_angles) {
        double exact[3];
        unit_of(c, exact);
        for (int k = 0; k < 2; k++) /* an angle on an axis has no sine to be rounded */
            u[k] =
                fabs(exact[k]) < 1e-15 || fabs(exact[k]) > 1 - 1e-15
                    ? round(exact[k])
                    : sine_off(habits, k ? sin(angle_of(c) * DEGREE) : cos(angle_of(c) * DEGREE));
        return;
    }
    double length = off(habits, sqrt(c->vector[0] * c->vector[0] + c->vector[1] * c->vector[1] +
                                     c->vector[2] * c->vector[2]));
    for (int k = 0; k < 3; k++)
        u[k] = habits->writes_units ? off(habits, c->vector[k] / length) : c->vector[k] / length;
}

/* Σ a x + b = 0 in each row. Every product, quotient and sum that is no single number is written.
 */
struct rows {
    double a[CABLES_MAX][CABLES_MAX], b[CABLES_MAX];
    int n;
};

/* Nobody divides by a coefficient that is small beside its neighbours. The other ways of the key go
 * down to a tenth; a coefficient that is rounded on the way may look like more than it is. */
#define PIVOT_SHARE 0.125

static bool is_usual(const struct rows *r, int i, int j, const bool used[CABLES_MAX])
{
    double largest = 0;
    for (int k = 0; k < r->n; k++)
        largest = fmax(largest, fabs(r->a[i][k]));
    return !used[i] && fabs(r->a[i][j]) > SMALL && fabs(r->a[i][j]) >= PIVOT_SHARE * largest;
}

static double sum_off(const struct cable_habits *h, double x, double y)
{
    return x == 0 ? y : y == 0 ? x : off(h, x + y);
}

static double product_off(const struct cable_habits *h, double x, double y)
{
    if (fabs(x) == 1 || fabs(y) == 1 || x == 0 || y == 0)
        return x * y;
    return off(h, x * y);
}

static double quotient_off(const struct cable_habits *h, double x, double y)
{
    return fabs(y) == 1 ? x / y : off(h, x / y);
}

/* Express an unknown from a row, put it into the others. */
static void eliminate(struct rows *r, const struct cable_habits *h, int i, int j)
{
    double pivot = r->a[i][j];
    double k[CABLES_MAX], s = quotient_off(h, -r->b[i], pivot);
    for (int l = 0; l < r->n; l++)
        k[l] = l == j ? 0 : quotient_off(h, -r->a[i][l], pivot);
    for (int m = 0; m < r->n; m++) {
        double a = r->a[m][j];
        if (m == i || a == 0)
            continue;
        for (int l = 0; l < r->n; l++)
            if (l != j && k[l] != 0)
                r->a[m][l] = sum_off(h, r->a[m][l], product_off(h, a, k[l]));
        r->b[m] = sum_off(h, r->b[m], product_off(h, a, s));
        r->a[m][j] = 0;
    }
    r->a[i][j] = -1; /* x_j = Σ k x + s */
    for (int l = 0; l < r->n; l++)
        if (l != j)
            r->a[i][l] = k[l];
    r->b[i] = s;
}

/* The order that was drawn, but for what nobody would divide by. */
static void substitute(struct rows *r, const struct cable_habits *h, double x[CABLES_MAX])
{
    bool used[CABLES_MAX] = {false}, gone[CABLES_MAX] = {false};
    int row[CABLES_MAX], unknown[CABLES_MAX];
    struct rows work = *r;
    for (int step = 0; step < r->n; step++) {
        int i = -1, j = -1;
        for (int k = 0; k < r->n * r->n && i < 0; k++) {
            int e = h->equation[k / r->n], u = h->unknown[k % r->n];
            if (!gone[u] && is_usual(&work, e, u, used)) {
                i = e;
                j = u;
            }
        }
        if (i < 0) /* all that is left is small */
            for (int e = 0; e < r->n; e++)
                for (int u = 0; u < r->n; u++)
                    if (!used[e] && !gone[u] &&
                        (i < 0 || fabs(work.a[e][u]) > fabs(work.a[i][j]))) {
                        i = e;
                        j = u;
                    }
        used[i] = gone[j] = true;
        row[step] = i;
        unknown[step] = j;
        /* only rows not yet used are changed */
        struct rows before = work;
        eliminate(&work, h, i, j);
        for (int m = 0; m < r->n; m++)
            if (used[m] && m != i) {
                memcpy(work.a[m], before.a[m], sizeof work.a[m]);
                work.b[m] = before.b[m];
            }
    }
    for (int step = r->n - 1; step >= 0; step--) {
        int i = row[step], j = unknown[step];
        double sum = work.b[i];
        int terms = work.b[i] != 0;
        for (int l = 0; l < r->n; l++)
            if (l != j && work.a[i][l] != 0) {
                sum += product_off(h, work.a[i][l], x[l]);
                terms++;
            }
        x[j] = terms > 1 ? off(h, sum) : sum;
    }
}

static void determinants(const struct rows *r, const struct cable_habits *h, double x[CABLES_MAX])
{
    double d =
        sum_off(h, product_off(h, r->a[0][0], r->a[1][1]), -product_off(h, r->a[0][1], r->a[1][0]));
    double p =
        sum_off(h, product_off(h, -r->b[0], r->a[1][1]), product_off(h, r->a[0][1], r->b[1]));
    double q =
        sum_off(h, product_off(h, r->a[0][0], -r->b[1]), product_off(h, r->b[0], r->a[1][0]));
    x[0] = quotient_off(h, p, d);
    x[1] = quotient_off(h, q, d);
}

/* One load: each tension is to the sine of the angle between the other two forces as the load to
 * the sine of that between the cables. */
static void sine_law(const struct hanging *h, const struct cable_habits *habits,
                     double x[CABLES_MAX])
{
    double load = 270, one = angle_of(&h->cable[0]), two = angle_of(&h->cable[1]);
    double whole = sine_off(habits, sin((two - one) * DEGREE));
    x[0] =
        off(habits, off(habits, h->size[0] * sine_off(habits, sin((load - two) * DEGREE))) / whole);
    x[1] =
        off(habits, off(habits, h->size[0] * sine_off(habits, sin((one - load) * DEGREE))) / whole);
}

int cables_work(const struct hanging *h, const struct cable_habits *habits, struct written *written)
{
    static const char *const tension_of[CABLES_MAX] = {"/unknowns/T1/parts/T1/value",
                                                       "/unknowns/T2/parts/T2/value",
                                                       "/unknowns/T3/parts/T3/value"};
    static const char *const size_of[CABLES_MAX] = {"/unknowns/T1/force/magnitude",
                                                    "/unknowns/T2/force/magnitude",
                                                    "/unknowns/T3/force/magnitude"};
    static const char *const component_of[CABLES_MAX][3] = {
        {"/unknowns/T1/force/components/0", "/unknowns/T1/force/components/1",
         "/unknowns/T1/force/components/2"},
        {"/unknowns/T2/force/components/0", "/unknowns/T2/force/components/1",
         "/unknowns/T2/force/components/2"},
        {"/unknowns/T3/force/components/0", "/unknowns/T3/force/components/1",
         "/unknowns/T3/force/components/2"}};
    struct rows r = {.n = h->axes};
    double x[CABLES_MAX] = {0}, u[CABLES_MAX][3];
    int count = 0;
    for (int i = 0; i < h->axes; i++) {
        direction(h, habits, i, u[i]);
        for (int k = 0; k < h->axes; k++)
            r.a[k][i] = u[i][k];
    }
    for (int k = 0; k < h->axes; k++)
        for (int i = 0; i < h->loads; i++)
            r.b[k] = sum_off(habits, r.b[k], h->load[i][k]);
    switch (habits->method) {
    case BY_SUBSTITUTION:
        substitute(&r, habits, x);
        break;
    case BY_DETERMINANTS:
        determinants(&r, habits, x);
        break;
    case BY_SINE_LAW:
        sine_law(h, habits, x);
        break;
    }
    for (int i = 0; i < h->axes; i++) {
        written[count++] = (struct written){tension_of[i], QUANTITY_MAGNITUDE, x[i]};
        written[count++] = (struct written){size_of[i], QUANTITY_MAGNITUDE, fabs(x[i])};
        for (int k = 0; k < h->axes; k++)
            written[count++] = (struct written){component_of[i][k], QUANTITY_COMPONENT,
                                                product_off(habits, x[i], u[i][k])};
    }
    return count;
}
