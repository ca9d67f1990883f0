/* test_sim_beam.c: honest hand-rounded reactions of a beam against the allowances in the key.
 *
 * A beam on a pin A and at B a roller, a slanted roller or a cable; one to three slanted forces.
 * The student works in plain arithmetic of his own and rounds what he writes: components, terms,
 * sums and results to three figures, angles to 0.1 degrees. Habits differ: sines written first,
 * slopes as angles, moments by components or by the arm, A_y from a sum of forces or of moments
 * about B. Not one answer may lie outside. SIM_ANSWERS (default 6000) and SIM_SEED. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>
#include <math.h>

#include "oracle/exercise.h"
#include "oracle/solve.h"
#include "share.h"

#define DEGREE (3.14159265358979323846 / 180)
#define STUDENTS 4 /* work each beam */

struct force {
    double size, x;
    bool is_slope;
    double angle;     /* from +x toward +y */
    double run, rise; /* of a slope */
};

struct beam {
    int forces;
    struct force force[3];
    double length;
    int support;      /* 0: roller, 1: slanted roller, 2: cable */
    double run, rise; /* of its line of action */
};

struct habits {
    bool writes_sines, slopes_as_angles, by_arm, about_other, b_by_component;
};

static double rounded(double x)
{
    if (x == 0)
        return 0;
    double step = pow(10, floor(log10(fabs(x))) - 2);
    return round(x / step) * step;
}

static double rounded_angle(double degrees) { return round(degrees * 10) / 10; }

/* ---- a beam ---- */

static void draw_beam(struct draw *d, struct beam *b)
{
    memset(b, 0, sizeof *b);
    b->forces = draw_int(d, 1, 3);
    b->length = draw_decimal(d, 3, 9, 1);
    for (int i = 0; i < b->forces; i++) {
        struct force *f = &b->force[i];
        f->size = draw_decimal(d, 5, 60, 1);
        f->x = draw_decimal(d, 0.4, b->length + 1, 1);
        f->is_slope = draw_one_in(d, 2);
        f->angle = draw_decimal(d, -160, -20, 1);
        f->run = draw_int(d, -12, 12);
        f->rise = -draw_int(d, 3, 12);
    }
    b->support = draw_int(d, 0, 2);
    b->run = b->support == 0 ? 0 : draw_int(d, -6, 6);
    b->rise = b->support == 0 ? 1 : draw_int(d, 5, 9);
}

static void write_beam(const struct beam *b, char *text, size_t capacity)
{
    size_t n = (size_t)snprintf(text, capacity, "{\"key\": true, \"forces\": [");
    for (int i = 0; i < b->forces; i++) {
        const struct force *f = &b->force[i];
        n += (size_t)snprintf(text + n, capacity - n,
                              "%s{\"magnitude\": %.1f, \"at\": [%.1f, 0], \"direction\": ",
                              i ? ", " : "", f->size, f->x);
        n += (size_t)(f->is_slope
                          ? snprintf(text + n, capacity - n,
                                     "{\"slope\": {\"run\": %.0f, \"rise\": %.0f}}}", f->run,
                                     f->rise)
                          : snprintf(text + n, capacity - n, "{\"angle\": %.1f}}", f->angle));
    }
    snprintf(text + n, capacity - n,
             "], \"supports\": [{\"name\": \"A\", \"kind\": \"pin\", \"at\": [0, 0]}, {\"name\": "
             "\"B\", \"kind\": \"%s\", \"at\": [%.1f, 0], \"%s\": {\"slope\": {\"run\": %.0f, "
             "\"rise\": %.0f}}}]}",
             b->support == 2 ? "cable" : "roller", b->length,
             b->support == 2 ? "direction" : "normal", b->run, b->rise);
}

/* ---- the student ---- */

struct handed {
    double B, A_x, A_y, A, angle;
};

/* Cosine and sine of a slope, as they are written. */
static void write_direction(const struct habits *h, double run, double rise, double *c, double *s)
{
    double length = hypot(run, rise);
    *c = run / length;
    *s = rise / length;
    if (h->slopes_as_angles) {
        double angle = rounded_angle(atan2(rise, run) / DEGREE);
        *c = cos(angle * DEGREE);
        *s = sin(angle * DEGREE);
        *c = fabs(*c) < 1e-12 ? 0 : *c;
    }
    if (h->writes_sines) {
        *c = rounded(*c);
        *s = rounded(*s);
    }
}

static struct handed work_beam(const struct beam *b, const struct habits *h)
{
    double sum_x = 0, sum_y = 0, about_a = 0, about_b = 0, c, s;
    for (int i = 0; i < b->forces; i++) {
        const struct force *f = &b->force[i];
        if (f->is_slope) {
            write_direction(h, f->run, f->rise, &c, &s);
        } else {
            c = f->angle == -90 ? 0 : cos(f->angle * DEGREE);
            s = sin(f->angle * DEGREE);
            if (h->writes_sines) {
                c = rounded(c);
                s = rounded(s);
            }
        }
        double x = rounded(f->size * c), y = rounded(f->size * s);
        sum_x += x;
        sum_y += y;
        about_a += rounded(h->by_arm ? f->size * rounded(f->x * s) : f->x * y);
        about_b += rounded((f->x - b->length) * y);
    }
    write_direction(h, b->run, b->rise, &c, &s);
    struct handed answer;
    about_a = rounded(about_a);
    if (h->b_by_component) /* its vertical part first */
        answer.B = rounded(rounded(-about_a / b->length) / s);
    else
        answer.B = rounded(-about_a / rounded(b->length * s));
    answer.A_x = rounded(-rounded(sum_x) - rounded(answer.B * c));
    answer.A_y = h->about_other ? rounded(rounded(about_b) / b->length)
                                : rounded(-rounded(sum_y) - rounded(answer.B * s));
    answer.A = rounded(hypot(answer.A_x, answer.A_y));
    answer.angle = rounded_angle(atan2(answer.A_y, answer.A_x) / DEGREE);
    return answer;
}

/* ---- marking ---- */

struct tally {
    long answers, outside, sensitive;
    double closest;
};

static void mark(struct solved *s, const char *of, double handed, struct tally *t,
                 const char *request)
{
    uint32_t count;
    const struct key_entry *key = work_key(&s->work, &count);
    const struct key_entry *entry = NULL;
    for (uint32_t i = 0; i < count; i++)
        if (strcmp(key[i].of, of) == 0)
            entry = &key[i];
    if (!entry && strstr(of, "angle"))
        return; /* A is zero */
    assert_non_null(entry);
    double error = handed - q_value(&s->work, entry->number);
    if (strstr(of, "angle"))
        error = remainder(error, 360);
    error = fabs(error);
    t->answers++;
    if (entry->is_sensitive) {
        t->sensitive += error > entry->allowance;
        return;
    }
    t->closest = fmax(t->closest, error / entry->allowance);
    if (error > entry->allowance * (1 + 1e-9) && t->outside++ < 5)
        printf("# outside: %s is %.6g, handed in %.6g, allowance %.3g\n#   %s\n", of,
               q_value(&s->work, entry->number), handed, entry->allowance, request);
}

static void test_honest_reactions_are_inside(void **state)
{
    long wanted = environment("SIM_ANSWERS", 6000);
    struct draw d = {(uint64_t)environment("SIM_SEED", (long)time(NULL))};
    struct tally t = {0};
    (void)state;
    printf("# SIM_SEED=%llu\n", (unsigned long long)d.state);
    while (t.answers < wanted) {
        struct beam b;
        struct solved s;
        char request[2048];
        draw_beam(&d, &b);
        write_beam(&b, request, sizeof request);
        assert_int_equal(solve(&s, "/v1/equilibrium", request), PROBLEM_NONE);
        for (int i = 0; i < STUDENTS; i++) {
            struct habits h = {draw_one_in(&d, 2), draw_one_in(&d, 2), draw_one_in(&d, 2),
                               draw_one_in(&d, 2), draw_one_in(&d, 2)};
            struct handed answer = work_beam(&b, &h);
            mark(&s, "/unknowns/B/parts/B/value", answer.B, &t, request);
            mark(&s, "/unknowns/A/parts/A_x/value", answer.A_x, &t, request);
            mark(&s, "/unknowns/A/parts/A_y/value", answer.A_y, &t, request);
            mark(&s, "/unknowns/A/force/magnitude", answer.A, &t, request);
            mark(&s, "/unknowns/A/force/direction/angle", answer.angle, &t, request);
        }
        solved_free(&s);
    }
    printf("# %ld answers, %ld outside, %ld more of numbers called ill-conditioned; the nearest at "
           "%.2f of its allowance\n",
           t.answers, t.outside, t.sensitive, t.closest);
    assert_int_equal(t.outside, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_honest_reactions_are_inside)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
