#include "statics/truss_sight.h"

#include <math.h>

/* Farther from zero than this, of the truss's size, a moment is not asked exactly. */
#define NEAR 1e-6

static void to_doubles(struct sight *s)
{
    double length = exact_length(s->direction);
    for (int axis = 0; axis < 3; axis++) {
        s->at[axis] = s->centre.c[axis].value;
        s->along[axis] = length > 0 ? s->direction.c[axis].value / length : 0;
    }
}

bool sight_look(const struct order *o, struct sight *s)
{
    const struct field *f = o->w->field;
    const struct truss *t = o->t;
    s->centre = s->direction = exact_zero(f);
    switch (s->kind) {
    case SIGHT_POINT:
        s->centre = o->place[s->a];
        s->direction = exact_axis(f, 2);
        break;
    case SIGHT_SQUARE:
        s->direction = exact_cross(f, exact_axis(f, 2), o->line[s->a]);
        break;
    case SIGHT_NORMAL:
        s->direction = exact_cross(f, o->line[s->a], o->line[s->b]);
        break;
    case SIGHT_AXIS:
        s->direction = exact_axis(f, s->a);
        break;
    case SIGHT_MEETING: {
        struct exact from = o->place[t->unknown[s->a].joint[0]];
        struct exact to = o->place[t->unknown[s->b].joint[0]];
        struct num turn = exact_cross(f, o->line[s->a], o->line[s->b]).c[2];
        if (num_is_zero(turn))
            return false;
        struct num reach = exact_cross(f, exact_sub(f, to, from), o->line[s->b]).c[2];
        s->centre = exact_add(f, from, exact_scale(f, num_div(f, reach, turn), o->line[s->a]));
        s->direction = exact_axis(f, 2);
        break;
    }
    case SIGHT_LINE:
        s->centre = o->place[s->a];
        s->direction = exact_sub(f, o->place[s->b], s->centre);
        break;
    case SIGHT_ALONG:
        s->centre = o->place[s->a];
        s->direction = o->line[s->b];
        break;
    }
    if (exact_is_zero(s->direction))
        return false;
    to_doubles(s);
    return true;
}

static bool is_of_moments(const struct sight *s)
{
    return s->kind != SIGHT_SQUARE && s->kind != SIGHT_NORMAL && s->kind != SIGHT_AXIS;
}

bool sight_counts(const struct order *o, const struct sight *s, int unknown)
{
    const struct field *f = o->w->field;
    const double *d = o->direction[unknown], *n = s->along;
    int joint = o->t->unknown[unknown].joint[0];
    if (!is_of_moments(s)) {
        if (fabs(d[0] * n[0] + d[1] * n[1] + d[2] * n[2]) > NEAR)
            return true;
        return !num_is_zero(exact_dot(f, o->line[unknown], s->direction));
    }
    double r[3];
    for (int axis = 0; axis < 3; axis++)
        r[axis] = o->at[joint][axis] - s->at[axis];
    double moment = (r[1] * d[2] - r[2] * d[1]) * n[0] + (r[2] * d[0] - r[0] * d[2]) * n[1] +
                    (r[0] * d[1] - r[1] * d[0]) * n[2];
    double size = fabs(r[0]) + fabs(r[1]) + fabs(r[2]) + o->extent;
    if (fabs(moment) > NEAR * size)
        return true;
    struct exact arm = exact_sub(f, o->place[joint], s->centre);
    return !num_is_zero(exact_dot(f, exact_cross(f, arm, o->line[unknown]), s->direction));
}

static struct equation blank(void)
{
    return (struct equation){.axis = -1, .site = NO_SITE, .other = NO_SITE, .line = {-1, -1}};
}

/* Of the cut: an open force that is not in the equation (and not along another), or −1. */
static int absent(const struct part *p, const struct equation *e, int besides)
{
    const struct cut *c = &p->cut;
    const struct field *f = c->a.b->w->field;
    for (int k = 0; k < c->h.count; k++) {
        if (k == besides || !num_is_zero(hand_factor(&c->h, e, k)))
            continue;
        if (besides < 0 ||
            !exact_is_zero(exact_cross(f, c->a.pull[k].force, c->a.pull[besides].force)))
            return k;
    }
    return -1;
}

static int axis_of(struct exact direction)
{
    int along = -1, parts = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!num_is_zero(direction.c[axis])) {
            along = axis;
            parts++;
        }
    return parts == 1 ? along : -1;
}

static bool is_parallel(const struct field *f, struct exact a, struct exact b)
{
    return exact_is_zero(exact_cross(f, a, b));
}

bool sight_write(struct order *o, struct part *p, const struct sight *s, struct equation *e)
{
    const struct field *f = o->w->field;
    *e = blank();
    e->is_moment = is_of_moments(s);
    e->direction = s->direction;
    e->centre = s->centre;
    e->axis = o->t->axes == 2 && e->is_moment ? 2 : axis_of(s->direction);
    switch (s->kind) {
    case SIGHT_POINT:
        e->site = part_site(o, p, s->a);
        return true;
    case SIGHT_AXIS:
        return true;
    case SIGHT_SQUARE:
        e->line[0] = absent(p, e, -1);
        return e->axis >= 0 || e->line[0] >= 0;
    case SIGHT_NORMAL:
        e->line[0] = absent(p, e, -1);
        e->line[1] = e->line[0] < 0 ? -1 : absent(p, e, e->line[0]);
        return e->axis >= 0 || e->line[1] >= 0;
    case SIGHT_MEETING:
        e->line[0] = absent(p, e, -1);
        e->line[1] = e->line[0] < 0 ? -1 : absent(p, e, e->line[0]);
        return e->line[1] >= 0;
    case SIGHT_LINE:
        e->site = part_site(o, p, s->a);
        e->other = part_site(o, p, s->b);
        return true;
    case SIGHT_ALONG:
        e->site = part_site(o, p, s->a);
        for (int k = 0; k < p->cut.h.count && e->line[0] < 0; k++)
            if (is_parallel(f, p->cut.a.pull[k].force, s->direction))
                e->line[0] = k;
        return e->axis >= 0 || e->line[0] >= 0;
    }
    return false;
}
