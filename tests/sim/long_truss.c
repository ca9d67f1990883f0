#include "sim/long_truss.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define DEGREE (3.14159265358979323846 / 180)

/* ---- the truss ---- */

static int lower(int i) { return i; }
static int upper(const struct long_truss *t, int i) { return t->panels + i; }

static void join(struct long_truss *t, int a, int b)
{
    t->member[t->members][0] = a;
    t->member[t->members++][1] = b;
}

static void put_joint(struct long_truss *t, char letter, int i, double x, double y)
{
    int j = t->joints++;
    snprintf(t->name[j], sizeof t->name[j], "%c%d", letter, i);
    t->place[j][0] = x;
    t->place[j][1] = y;
}

void long_truss_draw(struct draw *d, int panels, struct long_truss *t)
{
    memset(t, 0, sizeof *t);
    t->panels = panels;
    double width = draw_decimal(d, 3, 7, 1), height = draw_decimal(d, 2, 7, 1),
           load = draw_decimal(d, 3, 30, 1);
    bool is_howe = draw_one_in(d, 2), is_bent = draw_one_in(d, 3), are_alike = draw_one_in(d, 2);
    for (int i = 0; i <= panels; i++)
        put_joint(t, 'L', i, width * i, 0);
    for (int i = 1; i < panels; i++) {
        int from_end = i < panels - i ? i : panels - i;
        put_joint(t, 'U', i, width * i, is_bent ? height + 0.1 * from_end : height);
    }
    for (int i = 0; i < panels; i++)
        join(t, lower(i), lower(i + 1));
    for (int i = 1; i < panels - 1; i++)
        join(t, upper(t, i), upper(t, i + 1));
    join(t, lower(0), upper(t, 1));
    join(t, upper(t, panels - 1), lower(panels));
    for (int i = 1; i < panels; i++)
        join(t, upper(t, i), lower(i));
    for (int i = 1; i < panels - 1; i++)
        if ((2 * i < panels) != is_howe)
            join(t, upper(t, i), lower(i + 1));
        else
            join(t, lower(i), upper(t, i + 1));
    for (int i = 1; i < panels; i++) {
        t->load[i] = are_alike ? load : draw_decimal(d, 1, 30, 1);
        t->support[0] += t->load[i] * (panels - i) / panels;
        t->support[panels] += t->load[i] * i / panels;
    }
}

static void put(char **at, const char *end, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void put(char **at, const char *end, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    int n = vsnprintf(*at, (size_t)(end - *at), format, arguments);
    va_end(arguments);
    *at += n > 0 && n < end - *at ? n : 0;
}

void long_truss_write(const struct long_truss *t, char *text, size_t capacity)
{
    const char *end = text + capacity;
    put(&text, end, "\"joints\": {");
    for (int j = 0; j < t->joints; j++)
        put(&text, end, "%s\"%s\": [%.10g, %.10g]", j ? ", " : "", t->name[j], t->place[j][0],
            t->place[j][1]);
    put(&text, end, "}, \"members\": [");
    for (int m = 0; m < t->members; m++)
        put(&text, end, "%s[\"%s\", \"%s\"]", m ? ", " : "", t->name[t->member[m][0]],
            t->name[t->member[m][1]]);
    put(&text, end,
        "], \"supports\": [{\"at\": \"L0\", \"kind\": \"pin\"}, {\"at\": \"L%d\", \"kind\": "
        "\"roller\"}], \"loads\": [",
        t->panels);
    for (int i = 1; i < t->panels; i++)
        put(&text, end, "%s{\"at\": \"L%d\", \"components\": [0, %.10g]}", i > 1 ? ", " : "", i,
            -t->load[i]);
    put(&text, end, "]");
}

/* ---- the student ---- */

void long_truss_habits_draw(struct draw *d, struct long_truss_habits *h)
{
    *h = (struct long_truss_habits){
        .method = (enum long_truss_method)draw_int(d, 0, LONG_TRUSS_METHOD_MAX_ - 1),
        .four_after_one = draw_one_in(d, 3),
        .slopes_as_angles = draw_one_in(d, 2),
        .writes_lengths = draw_one_in(d, 2),
        .writes_sines = draw_one_in(d, 2),
        .writes_parts = draw_one_in(d, 2),
        .writes_sums = draw_one_in(d, 2),
    };
}

void long_truss_habits_say(const struct long_truss_habits *h, char *text, size_t capacity)
{
    static const char *const method[LONG_TRUSS_METHOD_MAX_] = {"from both ends", "from the left",
                                                               "from the right", "by sections"};
    snprintf(text, capacity, "%s%s%s%s%s%s%s", method[h->method],
             h->four_after_one ? ", 3-4 figures" : "",
             h->slopes_as_angles ? ", slopes as angles" : "",
             h->writes_lengths ? ", lengths written" : "", h->writes_sines ? ", sines written" : "",
             h->writes_parts ? ", parts written" : "", h->writes_sums ? ", sums written" : "");
}

static double to_figures(double x, int figures)
{
    double step = pow(10, floor(log10(fabs(x))) - (figures - 1));
    return round(x / step) * step;
}

static double written(const struct long_truss_habits *h, double x)
{
    if (fabs(x) < 1e-9)
        return 0;
    double leading = fabs(x) / pow(10, floor(log10(fabs(x))));
    return to_figures(x, h->four_after_one && leading < 2 ? 4 : 3);
}

static double if_written(const struct long_truss_habits *h, bool is, double x)
{
    return is ? written(h, x) : x;
}

/* Cosine and sine of a member from a joint. */
static void direction(const struct long_truss *t, const struct long_truss_habits *h, int member,
                      int joint, double ret[2])
{
    int other = t->member[member][t->member[member][0] == joint];
    double d[2] = {t->place[other][0] - t->place[joint][0],
                   t->place[other][1] - t->place[joint][1]};
    double length = hypot(d[0], d[1]);
    bool is_along_axis = d[0] == 0 || d[1] == 0;
    if (!is_along_axis && h->slopes_as_angles) {
        double angle = round(atan2(d[1], d[0]) / DEGREE * 10) / 10 * DEGREE;
        d[0] = cos(angle);
        d[1] = sin(angle);
        length = 1;
    } else if (!is_along_axis && h->writes_lengths) {
        length = written(h, length);
    }
    for (int axis = 0; axis < 2; axis++)
        ret[axis] = if_written(h, h->writes_sines && !is_along_axis, d[axis] / length);
}

/* The reactions: moments about one support, then a sum of forces. */
static void find_reactions(const struct long_truss *t, const struct long_truss_habits *h,
                           double ret[2])
{
    bool is_about_left = h->method != FROM_RIGHT;
    double moment = 0, loads = 0, span = t->place[t->panels][0];
    for (int i = 1; i < t->panels; i++) {
        double arm = is_about_left ? t->place[i][0] : span - t->place[i][0];
        moment += if_written(h, h->writes_parts, t->load[i] * arm);
        loads += t->load[i];
    }
    double far = written(h, if_written(h, h->writes_sums, moment) / span);
    double near = written(h, if_written(h, h->writes_sums, loads) - far);
    ret[0] = is_about_left ? near : far;
    ret[1] = is_about_left ? far : near;
}

static double outside_force(const struct long_truss *t, int joint, const double reaction[2])
{
    if (joint > t->panels)
        return 0;
    return (joint == 0 ? reaction[0] : joint == t->panels ? reaction[1] : 0) - t->load[joint];
}

/* Work a joint; false: more than two of its members are unknown. */
static bool work_joint(const struct long_truss *t, const struct long_truss_habits *h, int joint,
                       const double reaction[2], double *force)
{
    double sum[2] = {0, outside_force(t, joint, reaction)}, u[2][2], part;
    int open[2], count = 0;
    for (int m = 0; m < t->members; m++) {
        double d[2];
        if (t->member[m][0] != joint && t->member[m][1] != joint)
            continue;
        direction(t, h, m, joint, d);
        if (isnan(force[m])) {
            if (count == 2)
                return false;
            u[count][0] = d[0];
            u[count][1] = d[1];
            open[count++] = m;
            continue;
        }
        for (int axis = 0; axis < 2; axis++)
            sum[axis] += if_written(h, h->writes_parts, force[m] * d[axis]);
    }
    if (count == 0)
        return true;
    for (int axis = 0; axis < 2; axis++)
        sum[axis] = if_written(h, h->writes_sums, sum[axis]);
    if (count == 1) {
        int axis = fabs(u[0][0]) > fabs(u[0][1]) ? 0 : 1;
        force[open[0]] = written(h, -sum[axis] / u[0][axis]);
        return true;
    }
    for (int axis = 0; axis < 2; axis++)
        for (int k = 0; k < 2; k++)
            if (u[1 - k][axis] == 0 && u[k][axis] != 0) { /* k is alone along this axis */
                force[open[k]] = written(h, -sum[axis] / u[k][axis]);
                part = if_written(h, h->writes_parts, force[open[k]] * u[k][1 - axis]);
                force[open[1 - k]] = written(h, -(sum[1 - axis] + part) / u[1 - k][1 - axis]);
                return true;
            }
    double determinant = if_written(h, h->writes_sums, u[0][0] * u[1][1] - u[0][1] * u[1][0]);
    for (int k = 0; k < 2; k++) {
        const double *other = u[1 - k];
        double above = if_written(h, h->writes_parts, sum[1] * other[0]) -
                       if_written(h, h->writes_parts, sum[0] * other[1]);
        force[open[k]] = written(h, (k == 0 ? above : -above) / determinant);
    }
    return true;
}

/* Joints from one end on as long as one can be worked, no farther than x. */
static void work_from(const struct long_truss *t, const struct long_truss_habits *h, bool is_left,
                      double until, const double reaction[2], double *force)
{
    bool is_done[LONG_JOINTS_MAX] = {false};
    double span = t->place[t->panels][0];
    for (;;) {
        int best = -1;
        double nearest = until;
        for (int j = 0; j < t->joints; j++) {
            double trial[LONG_MEMBERS_MAX];
            double from_end = is_left ? t->place[j][0] : span - t->place[j][0];
            memcpy(trial, force, sizeof trial);
            if (is_done[j] || from_end > nearest || !work_joint(t, h, j, reaction, trial))
                continue;
            if (best < 0 || from_end < nearest) {
                best = j;
                nearest = from_end;
            }
        }
        if (best < 0)
            return;
        is_done[best] = true;
        work_joint(t, h, best, reaction, force);
    }
}

/* What acts on one side of the cut: its moment about a joint, counter-clockwise, and its sum. */
static double moment_of_side(const struct long_truss *t, const struct long_truss_habits *h, int cut,
                             bool is_left, int about, const double reaction[2], double *ret_sum)
{
    double moment = 0, sum = 0;
    for (int i = is_left ? 0 : cut + 1; i <= (is_left ? cut : t->panels); i++) {
        double force = outside_force(t, i, reaction);
        moment += if_written(h, h->writes_parts, force * (t->place[i][0] - t->place[about][0]));
        sum += force;
    }
    *ret_sum = if_written(h, h->writes_sums, sum);
    return if_written(h, h->writes_sums, moment);
}

/* Through panel `cut`, between lower joints `cut` and cut + 1. */
static void work_section(const struct long_truss *t, const struct long_truss_habits *h, int cut,
                         const double reaction[2], double *force)
{
    bool is_left = 2 * cut < t->panels;
    for (int m = 0; m < t->members; m++) {
        int a = t->member[m][0], b = t->member[m][1];
        int from = a > t->panels ? a - t->panels : a, to = b > t->panels ? b - t->panels : b;
        if (from > to) { /* the left end first */
            int swap = from;
            from = to;
            to = swap;
            swap = a;
            a = b;
            b = swap;
        }
        if (from != cut || to != cut + 1)
            continue;
        double u[2], sum;
        direction(t, h, m, a, u);
        bool is_lower = a <= t->panels && b <= t->panels, is_upper = a > t->panels && b > t->panels;
        if (cut == 0 || cut + 1 == t->panels) { /* two members are cut: as a joint */
            continue;
        }
        if (is_lower || is_upper) {
            /* moments about the joint where diagonal and other chord meet */
            bool falls = false; /* the diagonal from the upper joint at the left */
            for (int k = 0; k < t->members; k++)
                falls = falls || (t->member[k][0] == upper(t, cut) && t->member[k][1] == cut + 1);
            int about = is_lower ? upper(t, falls ? cut : cut + 1) : lower(falls ? cut + 1 : cut);
            double moment = moment_of_side(t, h, cut, is_left, about, reaction, &sum);
            /* the member pulls the left part along u, the right part against it, at a */
            double x = t->place[a][0] - t->place[about][0], y = t->place[a][1] - t->place[about][1];
            double arm = if_written(h, h->writes_lengths, x * u[1] - y * u[0]);
            force[m] = written(h, (is_left ? -moment : moment) / arm);
            continue;
        }
        if (t->place[upper(t, cut)][1] != t->place[upper(t, cut + 1)][1])
            continue;
        moment_of_side(t, h, cut, is_left, a, reaction, &sum);
        force[m] = written(h, (is_left ? -sum : sum) / u[1]);
    }
}

void long_truss_work(const struct long_truss *t, const struct long_truss_habits *h,
                     double *ret_force)
{
    double reaction[2], span = t->place[t->panels][0];
    for (int m = 0; m < LONG_MEMBERS_MAX; m++)
        ret_force[m] = (double)NAN;
    find_reactions(t, h, reaction);
    switch (h->method) {
    case FROM_BOTH_ENDS:
        work_from(t, h, true, 0.5 * span, reaction, ret_force);
        work_from(t, h, false, span, reaction, ret_force);
        return;
    case FROM_LEFT:
    case FROM_RIGHT:
        work_from(t, h, h->method == FROM_LEFT, span, reaction, ret_force);
        return;
    case BY_SECTIONS:
        for (int cut = 0; cut < t->panels; cut++)
            work_section(t, h, cut, reaction, ret_force);
        return;
    case LONG_TRUSS_METHOD_MAX_:
        return;
    }
}
