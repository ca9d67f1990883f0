#include "oracle/exercise.h"
#include "text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DEGREE (3.14159265358979323846 / 180)

/* splitmix64 (Steele, Lea, Flood 2014) */
uint64_t draw_bits(struct draw *d)
{
    uint64_t z = d->state += 0x9e3779b97f4a7c15u;
    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
    z = (z ^ z >> 27) * 0x94d049bb133111ebu;
    return z ^ z >> 31;
}

int draw_int(struct draw *d, int least, int most)
{
    return least + (int)(draw_bits(d) % (uint64_t)(most - least + 1));
}

double draw_decimal(struct draw *d, double least, double most, int places)
{
    double step = pow(10, places);
    double u = (double)(draw_bits(d) >> 11) * 0x1p-53;
    return round((least + u * (most - least)) * step) / step + 0.0; /* never -0 */
}

bool draw_one_in(struct draw *d, int n) { return draw_int(d, 1, n) == 1; }

static void axis_unit(int half_axis, double unit[3])
{
    for (int k = 0; k < 3; k++)
        unit[k] = k == half_axis / 2 ? (half_axis % 2 ? -1 : 1) : 0;
}

static void normalise(double v[3])
{
    double length = sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    for (int k = 0; k < 3; k++)
        v[k] /= length;
}

static void aim_work_out(struct aim *a, bool radians)
{
    double scale = radians ? 1 : DEGREE;
    double angle = a->number[0] * scale, from[3], toward[3];
    memset(a->unit, 0, sizeof a->unit);
    switch (a->way) {
    case WAY_ANGLE:
        a->unit[0] = cos(angle);
        a->unit[1] = sin(angle);
        break;
    case WAY_FROM:
        axis_unit(a->from, from);
        axis_unit(a->toward, toward);
        for (int k = 0; k < 3; k++)
            a->unit[k] = from[k] * cos(angle) + toward[k] * sin(angle);
        break;
    case WAY_TURN: {
        static const int quarter[4] = {0, 2, 1, 3};
        double start = quarter[a->from] * 90 * DEGREE;
        double turned = a->clockwise ? start - angle : start + angle;
        a->unit[0] = cos(turned);
        a->unit[1] = sin(turned);
        break;
    }
    case WAY_SLOPE:
        a->unit[0] = a->number[0];
        a->unit[1] = a->number[1];
        normalise(a->unit);
        break;
    case WAY_AXIS:
        axis_unit(a->from, a->unit);
        break;
    case WAY_VECTOR:
    case WAY_COMPONENTS:
        memcpy(a->unit, a->number, sizeof a->unit);
        normalise(a->unit);
        break;
    case WAY_LINE:
        for (int k = 0; k < 3; k++)
            a->unit[k] = a->tip[k] - a->tail[k];
        normalise(a->unit);
        break;
    case WAY_ANGLES: {
        double alpha = cos(a->number[0] * scale), beta = cos(a->number[1] * scale);
        double gamma = sqrt(1 - alpha * alpha - beta * beta);
        a->unit[0] = alpha;
        a->unit[1] = beta;
        a->unit[2] = a->obtuse ? -gamma : gamma;
        break;
    }
    case WAY_AZIMUTH: {
        double elevation = a->number[1] * scale;
        a->unit[0] = cos(elevation) * cos(angle);
        a->unit[1] = cos(elevation) * sin(angle);
        a->unit[2] = sin(elevation);
        break;
    }
    case WAY_BEARING: { /* always in degrees; y north, x east */
        double side = a->toward == 0 ? 1 : -1, along = a->from == 2 ? 1 : -1;
        a->unit[0] = side * sin(a->number[0] * DEGREE);
        a->unit[1] = along * cos(a->number[0] * DEGREE);
        break;
    }
    case WAY_MAX_:
        break;
    }
    for (int k = 0; k < 3; k++) /* cos 270° */
        if (fabs(a->unit[k]) < 1e-15)
            a->unit[k] = 0;
}

static double draw_angle(struct draw *d, bool radians, double most)
{
    return radians ? draw_decimal(d, 0.01, most * DEGREE, 3) : draw_decimal(d, 1, most, 1);
}

static void draw_triangle(struct draw *d, double *run, double *rise)
{
    static const int triple[6][2] = {{3, 4}, {5, 12}, {8, 15}, {7, 24}, {20, 21}, {12, 35}};
    if (draw_one_in(d, 2)) {
        const int *t = triple[draw_int(d, 0, 5)];
        bool swapped = draw_one_in(d, 2);
        *run = t[swapped];
        *rise = t[!swapped];
    } else {
        *run = draw_decimal(d, 1, 12, draw_int(d, 0, 1));
        *rise = draw_decimal(d, 1, 12, draw_int(d, 0, 1));
    }
    if (draw_one_in(d, 2))
        *run = -*run;
    if (draw_one_in(d, 2))
        *rise = -*rise;
}

static void draw_vector(struct draw *d, bool space, double most, int places, double v[3])
{
    do {
        for (int k = 0; k < 3; k++)
            v[k] = k < 2 || space ? draw_decimal(d, -most, most, places) : 0;
    } while (fabs(v[0]) + fabs(v[1]) + fabs(v[2]) < most / 4);
}

static void draw_aim(struct draw *d, bool space, bool radians, bool components, struct aim *a)
{
    static const enum way plane_ways[] = {WAY_ANGLE, WAY_FROM,   WAY_TURN,      WAY_SLOPE,
                                          WAY_SLOPE, WAY_VECTOR, WAY_LINE,      WAY_BEARING,
                                          WAY_AXIS,  WAY_ANGLE,  WAY_COMPONENTS};
    static const enum way space_ways[] = {WAY_VECTOR, WAY_LINE, WAY_ANGLES, WAY_AZIMUTH,
                                          WAY_FROM,   WAY_LINE, WAY_AXIS,   WAY_COMPONENTS};
    memset(a, 0, sizeof *a);
    int last = space ? 7 : 10;
    int pick = draw_int(d, 0, components ? last : last - 1);
    a->way = space ? space_ways[pick] : plane_ways[pick];
    switch (a->way) {
    case WAY_ANGLE:
        a->number[0] = draw_angle(d, radians, 359);
        break;
    case WAY_FROM:
        a->number[0] = draw_angle(d, radians, 89);
        a->from = draw_int(d, 0, space ? 5 : 3);
        do {
            a->toward = draw_int(d, 0, space ? 5 : 3);
        } while (a->toward / 2 == a->from / 2);
        break;
    case WAY_TURN:
        a->number[0] = draw_angle(d, radians, 89);
        a->from = draw_int(d, 0, 3);
        a->clockwise = draw_one_in(d, 2);
        break;
    case WAY_SLOPE:
        draw_triangle(d, &a->number[0], &a->number[1]);
        break;
    case WAY_AXIS:
        a->from = draw_int(d, 0, space ? 5 : 3);
        break;
    case WAY_VECTOR:
        draw_vector(d, space, 9, draw_int(d, 0, 1), a->number);
        break;
    case WAY_LINE: { /* below 50 with one decimal, so that differences have three figures */
        double length;
        do {
            length = 0;
            for (int k = 0; k < (space ? 3 : 2); k++) {
                a->tail[k] = draw_decimal(d, -9, 9, 1);
                a->tip[k] = draw_decimal(d, -9, 9, 1);
                length += fabs(a->tip[k] - a->tail[k]);
            }
        } while (length < 3);
        break;
    }
    case WAY_ANGLES: { /* clear of the case in which two angles leave the third no room */
        double sum;
        do {
            a->number[0] = radians ? draw_decimal(d, 0.2, 2.9, 3) : draw_decimal(d, 10, 170, 1);
            a->number[1] = radians ? draw_decimal(d, 0.2, 2.9, 3) : draw_decimal(d, 10, 170, 1);
            double scale = radians ? 1 : DEGREE;
            sum = pow(cos(a->number[0] * scale), 2) + pow(cos(a->number[1] * scale), 2);
        } while (sum > 0.98);
        a->obtuse = draw_one_in(d, 2);
        break;
    }
    case WAY_AZIMUTH:
        a->number[0] = draw_angle(d, radians, 359);
        a->number[1] = radians ? draw_decimal(d, -1.5, 1.5, 3) : draw_decimal(d, -85, 85, 1);
        break;
    case WAY_BEARING:
        a->number[0] = draw_decimal(d, 1, 89, 1);
        a->from = draw_int(d, 2, 3);
        a->toward = draw_int(d, 0, 1);
        break;
    case WAY_COMPONENTS:
        draw_vector(d, space, 300, draw_int(d, 0, 1), a->number);
        break;
    case WAY_MAX_:
        break;
    }
    aim_work_out(a, radians);
}

/* Sizes of one exercise are alike, as in books: within a factor of ten. */
static void draw_pull(struct draw *d, bool space, bool radians, int i, double scale, struct pull *p)
{
    memset(p, 0, sizeof *p);
    p->name[0] = 'F';
    p->name[1] = (char)('1' + i);
    do { /* the first shows that the exercise is of space */
        draw_aim(d, space, radians, true, &p->aim);
    } while (space && i == 0 && (p->aim.way == WAY_AXIS || p->aim.way == WAY_FROM));
    if (p->aim.way != WAY_COMPONENTS)
        p->size = draw_decimal(d, scale, 10 * scale, scale < 10 ? 1 : draw_int(d, 0, 1));
    for (int k = 0; k < (space ? 3 : 2); k++)
        p->at[k] = draw_decimal(d, -6, 6, 1);
    p->times = 1;
}

static void draw_units(struct draw *d, struct exercise *e)
{
    static const char *const force[] = {"N", "kN", "lb"}, *const length[] = {"m", "ft", "cm"};
    e->force_unit = force[draw_int(d, 0, 2)];
    e->length_unit = length[draw_int(d, 0, 2)];
}

void exercise_draw(struct draw *d, bool space, bool placed, struct exercise *e)
{
    memset(e, 0, sizeof *e);
    e->space = space;
    e->placed = placed;
    draw_units(d, e);
    e->count = draw_int(d, 2, 5);
    double scale = draw_one_in(d, 2) ? 50 : draw_one_in(d, 2) ? 5 : 120;
    for (int i = 0; i < e->count; i++)
        draw_pull(d, space, false, i, scale, &e->pull[i]);
    if (placed && draw_one_in(d, 2)) {
        e->has_about = true;
        for (int k = 0; k < (space ? 3 : 2); k++)
            e->about[k] = draw_decimal(d, -4, 4, 1);
    }
    if (placed && draw_one_in(d, 3)) {
        e->has_couple = true;
        for (int k = space ? 0 : 2; k < 3; k++)
            e->couple[k] = draw_decimal(d, -40, 40, 1);
    }
}

/* ---- as in a book ---- */

static double draw_steep(struct draw *d)
{
    int steps = draw_int(d, 3, 14);
    return 5 * (steps < 9 ? steps : steps + 1);
}

static double draw_halves(struct draw *d, int most)
{
    return draw_int(d, -2 * most, 2 * most) / 2.0;
}

static void draw_textbook_aim(struct draw *d, bool space, bool may_be_axis, struct aim *a)
{
    static const int triple[4][2] = {{3, 4}, {5, 12}, {8, 15}, {7, 24}};
    memset(a, 0, sizeof *a);
    if (may_be_axis && draw_one_in(d, 6)) {
        a->way = WAY_AXIS;
        a->from = draw_int(d, 0, space ? 5 : 3);
    } else if (space && draw_one_in(d, 3)) {
        a->way = WAY_AZIMUTH;
        a->number[0] = 90 * draw_int(d, 0, 3) + draw_steep(d);
        a->number[1] = draw_one_in(d, 4) ? -draw_steep(d) : draw_steep(d);
    } else if (space) {
        a->way = WAY_LINE;
        do
            for (int k = 0; k < 3; k++) {
                a->tail[k] = draw_int(d, -4, 4);
                a->tip[k] = draw_int(d, -4, 4);
            }
        while ((a->tail[0] == a->tip[0]) + (a->tail[1] == a->tip[1]) + (a->tail[2] == a->tip[2]) >
               1);
    } else if (draw_one_in(d, 3)) {
        const int *t = triple[draw_int(d, 0, 3)];
        int swapped = draw_int(d, 0, 1);
        a->way = WAY_SLOPE;
        a->number[0] = draw_one_in(d, 2) ? t[swapped] : -t[swapped];
        a->number[1] = draw_one_in(d, 2) ? t[!swapped] : -t[!swapped];
    } else {
        a->way = WAY_FROM;
        a->number[0] = draw_steep(d);
        a->from = draw_int(d, 0, 3);
        a->toward = a->from < 2 ? draw_int(d, 2, 3) : draw_int(d, 0, 1);
    }
    aim_work_out(a, false);
}

static bool has_twice(const struct exercise *e, double size)
{
    for (int i = 0; i < e->count; i++)
        if (e->pull[i].size == size)
            return true;
    return false;
}

void exercise_draw_textbook(struct draw *d, bool space, bool placed, struct exercise *e)
{
    memset(e, 0, sizeof *e);
    e->space = space;
    e->placed = placed;
    draw_units(d, e);
    int count = placed ? draw_int(d, 1, 3) : draw_int(d, 2, 4);
    while (e->count < count) {
        struct pull *p = &e->pull[e->count];
        memset(p, 0, sizeof *p);
        p->name[0] = 'F';
        p->name[1] = (char)('1' + e->count);
        draw_textbook_aim(d, space, e->count > 0, &p->aim);
        do
            p->size = 5 * draw_int(d, 4, 60);
        while (has_twice(e, p->size));
        for (int k = 0; k < (space ? 3 : 2); k++)
            p->at[k] = draw_halves(d, 6);
        p->times = 1;
        e->count++;
    }
    e->has_about = placed && draw_one_in(d, 2);
    for (int k = 0; e->has_about && k < (space ? 3 : 2); k++)
        e->about[k] = draw_halves(d, 4);
    e->has_couple = placed && draw_one_in(d, 3);
    if (e->has_couple)
        e->couple[2] = 5 * draw_int(d, 2, 60);
}

void exercise_draw_any(struct draw *d, struct exercise *e)
{
    bool space = draw_one_in(d, 2);
    exercise_draw(d, space, draw_one_in(d, 2), e);
    e->radians = draw_one_in(d, 4);
    for (int i = 0; i < e->count; i++) {
        struct pull *p = &e->pull[i];
        double at[3];
        memcpy(at, p->at, sizeof at);
        if (e->radians)
            draw_pull(d, space, true, i, 20, p);
        memcpy(p->at, at, sizeof at);
        if (draw_one_in(d, 6))
            p->times = draw_one_in(d, 2) ? -2 : 3;
        if (i > 0 && draw_one_in(d, 10)) {
            p->mass = draw_decimal(d, 1, 60, 1);
            memset(&p->aim, 0, sizeof p->aim);
        }
    }
    if (!space && e->placed && draw_one_in(d, 3)) {
        e->has_load = true;
        for (int k = 0; k < 2; k++) {
            e->load_from[k] = draw_decimal(d, -6, 0, 1);
            e->load_to[k] = draw_decimal(d, 1, 6, 1);
            e->load_intensity[k] = draw_decimal(d, 0, 9, 1);
        }
        e->load_intensity[1] += 1;
    }
    if (draw_one_in(d, 3)) {
        e->resolve = true;
        e->placed = e->has_about = e->has_couple = e->has_load = false;
        e->has_onto = draw_one_in(d, 2);
        draw_aim(d, space, e->radians, false, &e->onto);
        e->has_along = draw_one_in(d, 2);
        double volume;
        do { /* axes that are clearly not parallel */
            for (int k = 0; k < 3; k++)
                draw_aim(d, space, e->radians, false, &e->along[k]);
            const double *u = e->along[0].unit, *v = e->along[1].unit, *w = e->along[2].unit;
            double z = u[0] * v[1] - u[1] * v[0];
            volume = !space ? z
                            : z * w[2] + (u[1] * v[2] - u[2] * v[1]) * w[0] +
                                  (u[2] * v[0] - u[0] * v[2]) * w[1];
        } while (fabs(volume) < 0.2);
    }
}

/* ---- the request ---- */
static void put_list(struct text *t, const double *v, bool space)
{
    put(t, "[%.10g, %.10g", v[0], v[1]);
    if (space)
        put(t, ", %.10g", v[2]);
    put(t, "]");
}

static void put_direction(struct text *t, const struct aim *a, bool space)
{
    static const char *const half_axis[] = {"+x", "-x", "+y", "-y", "+z", "-z"};
    switch (a->way) {
    case WAY_ANGLE:
        put(t, "{\"angle\": %.10g}", a->number[0]);
        break;
    case WAY_FROM:
        put(t, "{\"angle\": %.10g, \"from\": \"%s\", \"toward\": \"%s\"}", a->number[0],
            half_axis[a->from], half_axis[a->toward]);
        break;
    case WAY_TURN:
        put(t, "{\"angle\": %.10g, \"from\": \"%s\", \"turn\": \"%s\"}", a->number[0],
            half_axis[a->from], a->clockwise ? "clockwise" : "counter-clockwise");
        break;
    case WAY_SLOPE:
        put(t, "{\"slope\": {\"run\": %.10g, \"rise\": %.10g}}", a->number[0], a->number[1]);
        break;
    case WAY_AXIS:
        put(t, "{\"axis\": \"%s\"}", half_axis[a->from]);
        break;
    case WAY_VECTOR:
        put(t, "{\"vector\": ");
        put_list(t, a->number, space);
        put(t, "}");
        break;
    case WAY_LINE:
        put(t, "{\"line\": [");
        put_list(t, a->tail, space);
        put(t, ", ");
        put_list(t, a->tip, space);
        put(t, "]}");
        break;
    case WAY_ANGLES:
        put(t, "{\"direction_angles\": {\"alpha\": %.10g, \"beta\": %.10g, \"gamma\": \"%s\"}}",
            a->number[0], a->number[1], a->obtuse ? "obtuse" : "acute");
        break;
    case WAY_AZIMUTH:
        put(t, "{\"azimuth\": %.10g, \"elevation\": %.10g}", a->number[0], a->number[1]);
        break;
    case WAY_BEARING:
        put(t, "{\"bearing\": \"%c%.10g%c\"}", a->from == 2 ? 'N' : 'S', a->number[0],
            a->toward == 0 ? 'E' : 'W');
        break;
    case WAY_COMPONENTS:
    case WAY_MAX_:
        abort();
    }
}

void aim_draw(struct draw *d, bool space, struct aim *ret)
{
    draw_aim(d, space, false, false, ret);
}

void aim_write(const struct aim *a, bool space, char *text, size_t capacity)
{
    struct text t = {text, text + capacity};
    put_direction(&t, a, space);
}

static void put_pull(struct text *t, const struct pull *p, bool space, bool placed)
{
    put(t, "{\"name\": \"%s\"", p->name);
    if (p->mass != 0) {
        put(t, ", \"mass\": %.10g", p->mass);
    } else if (p->aim.way == WAY_COMPONENTS) {
        put(t, ", \"components\": ");
        put_list(t, p->aim.number, space);
    } else {
        put(t, ", \"magnitude\": %.10g, \"direction\": ", p->size);
        put_direction(t, &p->aim, space);
    }
    if (p->times != 1)
        put(t, ", \"times\": %d", p->times);
    if (placed) {
        put(t, ", \"at\": ");
        put_list(t, p->at, space);
    }
    put(t, "}");
}

void exercise_write(const struct exercise *e, const char *extra, char *text, size_t capacity)
{
    struct text t = {text, text + capacity};
    put(&t, "{\"units\": {\"force\": \"%s\", \"length\": \"%s\", \"angle\": \"%s\"}", e->force_unit,
        e->length_unit, e->radians ? "rad" : "deg");
    if (e->resolve) {
        put(&t, ", \"force\": ");
        put_pull(&t, &e->pull[0], e->space, false);
        if (e->has_along) {
            put(&t, ", \"along\": {");
            for (int k = 0; k < (e->space ? 3 : 2); k++) {
                put(&t, "%s\"%c\": ", k ? ", " : "", "uvw"[k]);
                put_direction(&t, &e->along[k], e->space);
            }
            put(&t, "}");
        }
        if (e->has_onto) {
            put(&t, ", \"onto\": ");
            put_direction(&t, &e->onto, e->space);
        }
    } else {
        put(&t, ", \"forces\": [");
        for (int i = 0; i < e->count; i++) {
            put(&t, "%s", i ? ", " : "");
            put_pull(&t, &e->pull[i], e->space, e->placed);
        }
        put(&t, "]");
        if (e->has_couple) {
            put(&t, ", \"couples\": [{\"moment\": ");
            if (e->space)
                put_list(&t, e->couple, true);
            else
                put(&t, "%.10g", e->couple[2]);
            put(&t, "}]");
        }
        if (e->has_load) {
            put(&t, ", \"distributed_loads\": [{\"from\": ");
            put_list(&t, e->load_from, false);
            put(&t, ", \"to\": ");
            put_list(&t, e->load_to, false);
            put(&t, ", \"intensity\": [%.10g, %.10g]}]", e->load_intensity[0],
                e->load_intensity[1]);
        }
        if (e->has_about) {
            put(&t, ", \"about\": ");
            put_list(&t, e->about, e->space);
        }
    }
    put(&t, "%s}", extra);
}

const char *exercise_path(const struct exercise *e)
{
    return e->resolve ? "/v1/resolve" : "/v1/resultant";
}
