/* slips_moments.c: what students write in place of a moment or a couple. */
#include <math.h>

#include "statics/point.h"
#include "statics/slips_parts.h"

/* ±F r with the right sense, x F_y + y F_x, x F_x − y F_y; the two products by themselves. */
struct wrong_moment {
    q slant, add, arms, first, second;
};

static struct wrong_moment wrong_moment_of(struct work *w, const struct load *load, qv r)
{
    q x = qv_component(w, r, 0), y = qv_component(w, r, 1);
    q fx = qv_component(w, load->vector, 0), fy = qv_component(w, load->vector, 1);
    struct wrong_moment wrong = {.slant = q_mul(w, q_norm(w, load->vector), q_norm(w, r)),
                                 .first = q_mul(w, x, fy),
                                 .second = q_neg(w, q_mul(w, y, fx))};
    wrong.add = q_sub(w, wrong.first, wrong.second);
    wrong.arms = q_sub(w, q_mul(w, x, fx), q_mul(w, y, fy));
    return wrong;
}

void slips_of_moment(struct board *b, const struct load *load, qv r, qv moment)
{
    struct work *w = b->w;
    if (!w->keeps_slips || w->failed || qv_is_none(moment))
        return;
    struct slip_doubts doubts = slip_enter(w);
    const char *pointer = load->pointer, *name = load->name;
    slip_begin(w, SLIP_MOM_SIGN, pointer, name);
    slip_edit_vector(w, moment, moment, -1.0);
    slip_begin(w, SLIP_SUM_OUT, pointer, name);
    slip_edit_vector(w, moment, (qv){0}, 0.0);
    if (!w->space) {
        q m = qv_component(w, moment, 2);
        struct wrong_moment wrong = wrong_moment_of(w, load, r);
        slip_one(w, SLIP_MOM_SLANT, pointer, name, m, wrong.slant, sign_of(w, m));
        if (sign_of(w, wrong.first) != 0.0 && sign_of(w, wrong.second) != 0.0) {
            slip_one(w, SLIP_MOM_HALF, pointer, name, m, wrong.first, 1.0);
            slip_one(w, SLIP_MOM_HALF, pointer, name, m, wrong.second, 1.0);
            slip_one(w, SLIP_MOM_ADD, pointer, name, m, wrong.add, 1.0);
        }
        slip_one(w, SLIP_MOM_ARMS, pointer, name, m, wrong.arms, 1.0);
    }
    slip_leave(w, doubts);
}

void slips_of_moments(struct board *b, const struct system *s, const struct centre *c,
                      const qv *moment, uint32_t count)
{
    struct work *w = b->w;
    if (!w->keeps_slips || w->failed || w->space || count < 2)
        return;
    struct slip_doubts doubts = slip_enter(w);
    struct wrong_moment *wrong = arena_alloc(w->arena, count * sizeof *wrong);
    if (!wrong)
        return;
    for (uint32_t i = 0; i < count; i++)
        if (!qv_is_none(moment[i])) {
            qv r = c->is_origin ? s->force[i].place : qv_sub(w, s->force[i].place, c->place);
            wrong[i] = wrong_moment_of(w, &s->force[i], r);
        }
    static const enum slip all[3] = {SLIP_MOM_SLANT, SLIP_MOM_ADD, SLIP_MOM_ARMS};
    for (int k = 0; k < 3; k++) {
        slip_begin(w, all[k], NULL, NULL);
        for (uint32_t i = 0; i < count; i++) {
            if (qv_is_none(moment[i]))
                continue;
            q m = qv_component(w, moment[i], 2);
            q instead = k == 0 ? wrong[i].slant : k == 1 ? wrong[i].add : wrong[i].arms;
            slip_edit(w, m, instead, k == 0 ? sign_of(w, m) : 1.0);
        }
    }
    slip_leave(w, doubts);
}

/* The moment about another place: M + r × R, r from there to the centre. */
static void take_about(struct board *b, const struct centre *c, qv place, const char *name,
                       qv couple, qv resultant)
{
    struct work *w = b->w;
    qv r = qv_is_none(place) ? c->place : qv_sub(w, c->place, place);
    if (qv_is_zero(w, r))
        return;
    qv moved = qv_cross(w, r, resultant);
    q wrong[3] = {0};
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(qv_component(w, couple, axis)))
            wrong[axis] = q_add(w, qv_component(w, couple, axis), qv_component(w, moved, axis));
    slip_begin(w, SLIP_MOM_CENTRE, NULL, name);
    for (int axis = 0; axis < 3; axis++)
        slip_edit(w, qv_component(w, couple, axis), wrong[axis], 1.0);
}

#define CENTRES_MAX 8 /* other places to have measured from: a figure has a few */

void slips_of_couple(struct board *b, const struct system *s, const struct centre *c, qv couple,
                     qv resultant)
{
    struct work *w = b->w;
    if (!w->keeps_slips || w->failed)
        return;
    struct slip_doubts doubts = slip_enter(w);
    slip_begin(w, SLIP_MOM_SIGN, NULL, NULL);
    slip_edit_vector(w, couple, couple, -1.0);
    if (!c->is_origin)
        take_about(b, c, (qv){0}, NULL, couple, resultant);
    for (int k = 0, taken = 0; k < b->loads->point_count && taken < CENTRES_MAX; k++)
        if (k != c->point && !qv_is_none(b->place[k]) && !point_is_origin(b, k)) {
            take_about(b, c, b->place[k], b->loads->point[k].name, couple, resultant);
            taken++;
        }
    if (!s->is_concurrent && s->force_count > 0) {
        slip_begin(w, SLIP_EQV_NO_COUPLE, NULL, NULL);
        qv couples = s->couple_count ? qv_sum(w, s->couple, s->couple_count) : (qv){0};
        slip_edit_vector(w, couple, couples, 1.0);
    }
    slip_leave(w, doubts);
}

#define DISTANCES_MAX 8 /* from a couple to other places: a figure has a few */

/* In the plane and in space: what is multiplied is the couple as it stands. */
static void multiply_by_distance(struct board *b, const struct couple_input *in, qv couple)
{
    struct work *w = b->w;
    bool has_place = in->at >= 0 && !qv_is_none(b->place[in->at]);
    for (int k = 0, taken = 0; k < b->loads->point_count && taken < DISTANCES_MAX; k++) {
        if (k == in->at || qv_is_none(b->place[k]))
            continue;
        double square = 0.0;
        for (int axis = 0; axis < axes_of(w); axis++) {
            double from = has_place ? q_value(w, qv_component(w, b->place[in->at], axis)) : 0.0;
            square += pow(q_value(w, qv_component(w, b->place[k], axis)) - from, 2);
        }
        if (square == 0.0)
            continue;
        slip_begin(w, SLIP_CPL_DISTANCE, in->pointer, in->name);
        slip_edit_vector(w, couple, couple, sqrt(square));
        taken++;
    }
}

void slips_of_load_couple(struct board *b, const struct couple_input *in, qv couple)
{
    struct work *w = b->w;
    if (!w->keeps_slips || w->failed)
        return;
    slip_begin(w, SLIP_MOM_SIGN, in->pointer, in->name);
    slip_edit_vector(w, couple, couple, -1.0);
    slip_begin(w, b->is_body ? SLIP_EQ_MISSING : SLIP_SUM_OUT, in->pointer, in->name);
    slip_edit_vector(w, couple, (qv){0}, 0.0);
    multiply_by_distance(b, in, couple);
}
