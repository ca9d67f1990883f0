#include "sim/student.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define DEGREE (3.14159265358979323846 / 180)

void habits_draw(struct draw *d, struct habits *h)
{
    h->four_after_one = draw_one_in(d, 4);
    h->writes_sines = draw_one_in(d, 2);
    h->slopes_as_angles = draw_one_in(d, 2);
    h->writes_ratios = draw_one_in(d, 2);
    h->writes_units = draw_one_in(d, 2);
    h->shadow_first = draw_one_in(d, 2);
    h->third_as_angle = draw_one_in(d, 2);
    h->by_arm = draw_one_in(d, 2);
    h->lever_first = draw_one_in(d, 4);
    h->by_triangle = draw_one_in(d, 3);
}

void habits_say(const struct habits *h, char *text, unsigned long capacity)
{
    snprintf(text, capacity, "%s%s%s%s%s%s%s%s%s%s", h->four_after_one ? "3-4 figures, " : "",
             h->writes_sines ? "sines written, " : "",
             h->slopes_as_angles ? "slopes as angles, " : "",
             h->writes_ratios ? "ratios written, " : "", h->writes_units ? "units written, " : "",
             h->shadow_first ? "shadow first, " : "", h->third_as_angle ? "third as angle, " : "",
             h->by_arm ? "by arm, " : "", h->lever_first ? "lever first, " : "",
             h->by_triangle ? "by triangle, " : "");
}

/* What is written down: three figures. */
static double round_off(const struct habits *h, double x)
{
    if (x == 0)
        return 0;
    int figures = 3;
    double exponent = floor(log10(fabs(x)));
    if (h->four_after_one && fabs(x) / pow(10, exponent) < 2)
        figures = 4;
    double step = pow(10, exponent - figures + 1);
    return round(x / step) * step;
}

static double round_off_angle(double degrees) { return round(degrees * 10) / 10; }

static double write_sine(const struct habits *h, double x)
{
    return h->writes_sines ? round_off(h, x) : x;
}

static double write_ratio(const struct habits *h, double x)
{
    return h->writes_ratios ? round_off(h, x) : x;
}

/* The axis and sign of a half-axis. */
static void along_axis(int half_axis, double size, double v[3])
{
    v[half_axis / 2] += half_axis % 2 ? -size : size;
}

static double direction_of(const double v[3]) { return atan2(v[1], v[0]) / DEGREE; }

/* One force into its components. */
static void resolve_by_hand(const struct pull *p, const struct habits *h, bool space, double v[3])
{
    const struct aim *a = &p->aim;
    double f = p->size, d[3] = {0, 0, 0};
    memset(v, 0, 3 * sizeof *v);
    switch (a->way) {
    case WAY_COMPONENTS: /* given, not rounded */
        memcpy(v, a->number, sizeof a->number);
        return;
    case WAY_AXIS:
        along_axis(a->from, f, v);
        return;
    case WAY_ANGLE:
        d[0] = write_sine(h, a->unit[0]);
        d[1] = write_sine(h, a->unit[1]);
        break;
    case WAY_FROM:
        along_axis(a->from, write_sine(h, cos(a->number[0] * DEGREE)), d);
        along_axis(a->toward, write_sine(h, sin(a->number[0] * DEGREE)), d);
        break;
    case WAY_TURN: /* the exact angle from +x is a sum of givens */
        d[0] = write_sine(h, a->unit[0]);
        d[1] = write_sine(h, a->unit[1]);
        break;
    case WAY_BEARING:
        d[0] = write_sine(h, a->unit[0]);
        d[1] = write_sine(h, a->unit[1]);
        break;
    case WAY_SLOPE:
    case WAY_VECTOR:
    case WAY_LINE: {
        double r[3];
        for (int k = 0; k < 3; k++) /* a difference of two coordinates has at most three figures */
            r[k] = a->way == WAY_LINE ? a->tip[k] - a->tail[k] : a->number[k];
        if (!space && h->slopes_as_angles) {
            double angle = round_off_angle(atan(fabs(r[1] / r[0])) / DEGREE);
            if (r[0] == 0)
                angle = 90;
            d[0] = r[0] == 0 ? 0 : copysign(write_sine(h, cos(angle * DEGREE)), r[0]);
            d[1] = r[1] == 0 ? 0 : copysign(write_sine(h, sin(angle * DEGREE)), r[1]);
            break;
        }
        double length = round_off(h, sqrt(r[0] * r[0] + r[1] * r[1] + r[2] * r[2]));
        for (int k = 0; k < 3; k++)
            d[k] = h->writes_units ? round_off(h, r[k] / length) : r[k] / length;
        break;
    }
    case WAY_ANGLES: {
        d[0] = write_sine(h, cos(a->number[0] * DEGREE));
        d[1] = write_sine(h, cos(a->number[1] * DEGREE));
        double third = sqrt(1 - d[0] * d[0] - d[1] * d[1]) * (a->obtuse ? -1 : 1);
        if (h->third_as_angle)
            third = write_sine(h, cos(round_off_angle(acos(third) / DEGREE) * DEGREE));
        else
            third = write_sine(h, third);
        d[2] = third;
        break;
    }
    case WAY_AZIMUTH: {
        double elevation = a->number[1] * DEGREE, azimuth = a->number[0] * DEGREE;
        double shadow = f * write_sine(h, cos(elevation));
        if (h->shadow_first)
            shadow = round_off(h, shadow);
        v[0] = round_off(h, shadow * write_sine(h, cos(azimuth)));
        v[1] = round_off(h, shadow * write_sine(h, sin(azimuth)));
        v[2] = round_off(h, f * write_sine(h, sin(elevation)));
        return;
    }
    case WAY_MAX_:
        break;
    }
    for (int k = 0; k < 3; k++)
        v[k] = round_off(h, f * d[k]);
}

static void hand_in(struct written *written, int *count, const char *of, enum quantity quantity,
                    double value)
{
    written[(*count)++] = (struct written){of, quantity, value};
}

/* Two forces by the triangle: the cosine law, then the sine law for the angle from the larger one.
 */
static void triangle(const struct exercise *e, const struct habits *h, struct written *written,
                     int *count)
{
    double size[2], angle[2];
    for (int i = 0; i < 2; i++) {
        const struct pull *p = &e->pull[i];
        size[i] = p->aim.way == WAY_COMPONENTS
                      ? round_off(h, hypot(p->aim.number[0], p->aim.number[1]))
                      : p->size;
        angle[i] = round_off_angle(direction_of(p->aim.unit));
    }
    int larger = size[1] > size[0], smaller = !larger;
    double between = remainder(angle[smaller] - angle[larger], 360);
    double cosine = write_sine(h, cos(between * DEGREE));
    double r =
        round_off(h, sqrt(size[0] * size[0] + size[1] * size[1] + 2 * size[0] * size[1] * cosine));
    hand_in(written, count, "/resultant/magnitude", QUANTITY_MAGNITUDE, r);
    double sine = write_ratio(h, size[smaller] * write_sine(h, fabs(sin(between * DEGREE))) / r);
    if (sine <= 1) {
        double turned = round_off_angle(asin(sine) / DEGREE);
        hand_in(written, count, "/resultant/direction/angle", QUANTITY_ANGLE,
                angle[larger] + copysign(turned, between));
    }
}

int student_work(const struct exercise *e, const struct habits *h, struct written *written)
{
    int count = 0;
    if (h->by_triangle && !e->space && !e->placed && e->count == 2) {
        triangle(e, h, written, &count);
        return count;
    }
    double component[EXERCISE_PULLS_MAX][3], r[3] = {0, 0, 0}, m[3] = {0, 0, 0};
    int axes = e->space ? 3 : 2, terms[3] = {0, 0, 0};
    for (int i = 0; i < e->count; i++) {
        resolve_by_hand(&e->pull[i], h, e->space, component[i]);
        for (int k = 0; k < axes; k++) {
            r[k] += component[i][k];
            terms[k] += component[i][k] != 0;
        }
    }
    for (int k = 0; k < axes; k++) /* what is no sum is not rounded a second time */
        r[k] = terms[k] > 1 ? round_off(h, r[k]) : r[k];
    static const char *const component_of[] = {"/resultant/components/0", "/resultant/components/1",
                                               "/resultant/components/2"};
    for (int k = 0; k < axes; k++)
        hand_in(written, &count, component_of[k], QUANTITY_COMPONENT, r[k]);
    double size = round_off(h, sqrt(r[0] * r[0] + r[1] * r[1] + r[2] * r[2]));
    hand_in(written, &count, "/resultant/magnitude", QUANTITY_MAGNITUDE, size);
    if (size == 0)
        return count;
    if (!e->space) {
        double acute =
            r[0] == 0 ? 90 : round_off_angle(atan(write_ratio(h, fabs(r[1] / r[0]))) / DEGREE);
        double angle = r[0] < 0 ? 180 - acute : acute;
        hand_in(written, &count, "/resultant/direction/angle", QUANTITY_ANGLE,
                r[1] < 0 ? 360 - angle : angle);
    } else {
        static const char *const angle_of[] = {"/resultant/direction/direction_angles/alpha",
                                               "/resultant/direction/direction_angles/beta",
                                               "/resultant/direction/direction_angles/gamma"};
        for (int k = 0; k < 3; k++) {
            double cosine = write_ratio(h, r[k] / size);
            if (fabs(cosine) <= 1)
                hand_in(written, &count, angle_of[k], QUANTITY_ANGLE,
                        round_off_angle(acos(cosine) / DEGREE));
        }
    }
    static const char *const unit_of[] = {"/unit_vector/0", "/unit_vector/1", "/unit_vector/2"};
    for (int k = 0; k < axes; k++)
        hand_in(written, &count, unit_of[k], QUANTITY_UNIT, round_off(h, r[k] / size));
    if (e->space && hypot(r[0], r[1]) > 0) {
        double level = round_off(h, hypot(r[0], r[1]));
        double turn =
            r[0] == 0 ? 90 : round_off_angle(atan(write_ratio(h, fabs(r[1] / r[0]))) / DEGREE);
        turn = r[0] < 0 ? 180 - turn : turn;
        hand_in(written, &count, "/azimuth", QUANTITY_ANGLE, r[1] < 0 ? 360 - turn : turn);
        hand_in(written, &count, "/elevation", QUANTITY_ANGLE,
                round_off_angle(atan(write_ratio(h, r[2] / level)) / DEGREE));
    }
    if (!e->placed)
        return count;

    for (int i = 0; i < e->count; i++) {
        double d[3], *f = component[i];
        for (int k = 0; k < 3; k++)
            d[k] = e->pull[i].at[k] - e->about[k];
        if (!e->space && h->by_arm && e->pull[i].aim.way != WAY_COMPONENTS) {
            const double *u = e->pull[i].aim.unit;
            double arm = round_off(h, d[0] * write_sine(h, u[1]) - d[1] * write_sine(h, u[0]));
            m[2] += round_off(h, e->pull[i].size * arm);
            continue;
        }
        if (!e->space && h->lever_first && e->pull[i].aim.way != WAY_COMPONENTS) {
            const double *u = e->pull[i].aim.unit;
            double x = round_off(h, d[0] * write_sine(h, u[1]));
            double y = round_off(h, d[1] * write_sine(h, u[0]));
            m[2] += round_off(h, e->pull[i].size * x) - round_off(h, e->pull[i].size * y);
            continue;
        }
        for (int k = e->space ? 0 : 2; k < 3; k++) {
            int a = (k + 1) % 3, b = (k + 2) % 3;
            m[k] += round_off(h, round_off(h, d[a] * f[b]) - round_off(h, d[b] * f[a]));
        }
    }
    for (int k = 0; k < 3; k++)
        m[k] = round_off(h, m[k] + (e->has_couple ? e->couple[k] : 0));
    if (!e->space) {
        hand_in(written, &count, "/equivalent/couple", QUANTITY_MOMENT, m[2]);
        hand_in(written, &count, "/equivalent/arm", QUANTITY_ARM, round_off(h, fabs(m[2]) / size));
        /* from the centre to where the line crosses the axis, then the centre's own coordinate */
        const double *o = e->about;
        if (r[1] != 0) {
            double along = round_off(h, m[2] - round_off(h, o[1] * r[0])) / r[1];
            hand_in(written, &count, "/line_of_action/x_intercept", QUANTITY_INTERCEPT,
                    round_off(h, o[0] + round_off(h, along)));
        }
        if (r[0] != 0) {
            double along = round_off(h, m[2] + round_off(h, o[0] * r[1])) / r[0];
            hand_in(written, &count, "/line_of_action/y_intercept", QUANTITY_INTERCEPT,
                    round_off(h, o[1] - round_off(h, along)));
        }
        return count;
    }
    static const char *const couple_of[] = {"/equivalent/couple/0", "/equivalent/couple/1",
                                            "/equivalent/couple/2"};
    for (int k = 0; k < 3; k++)
        hand_in(written, &count, couple_of[k], QUANTITY_MOMENT, m[k]);
    hand_in(written, &count, "/equivalent/couple_magnitude", QUANTITY_MOMENT,
            round_off(h, sqrt(m[0] * m[0] + m[1] * m[1] + m[2] * m[2])));
    return count;
}
