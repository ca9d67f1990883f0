/* slips.c: what students write in place of the resultant (the catalogue is work/slips.def). */
#include "statics/slips_parts.h"

static const struct dimension ratio = {0};

void slips_of_sum(struct work *w, qv sum)
{
    slip_begin(w, SLIP_DIR_EQUILIBRANT, NULL, NULL);
    slip_edit_vector(w, sum, sum, -1.0);
    for (int axis = 0; axis < axes_of(w); axis++) {
        q x = qv_component(w, sum, axis);
        slip_one(w, SLIP_DIR_SIGN, NULL, NULL, x, x, -1.0);
    }
}

void slips_of_norm(struct work *w, qv vector, q magnitude)
{
    if (!w->keeps_slips || w->failed)
        return;
    struct slip_doubts doubts = slip_enter(w);
    q size[3];
    uint32_t count = 0;
    for (int axis = 0; axis < axes_of(w); axis++)
        size[count++] = q_abs(w, qv_component(w, vector, axis));
    q sum = q_sum(w, size, count), square = q_square(w, magnitude);
    slip_one(w, SLIP_SUM_RXRY, NULL, NULL, magnitude, sum, 1.0);
    slip_one(w, SLIP_SUM_ROOT, NULL, NULL, magnitude, square, 1.0);
    slip_leave(w, doubts);
}

/* Two forces by the triangle: the wrong angle between them, the acute root of the sine law. */
static void misdraw_triangle(struct work *w, const struct system *s, const struct polar *R,
                             const q *size)
{
    qv difference = qv_sub(w, s->force[0].vector, s->force[1].vector);
    q wrong = q_norm(w, difference);
    slip_one(w, SLIP_SUM_COSINE_LAW, NULL, NULL, R->magnitude, wrong, 1.0);
    if (w->space || q_is_none(R->angle) || sign_of(w, R->magnitude) == 0.0)
        return;
    for (int k = 0; k < 2; k++) {
        /* The angle at force k is obtuse where the other side is long enough. */
        qv A = s->force[k].vector;
        double along = 0.0;
        for (int axis = 0; axis < 2; axis++)
            along +=
                q_value(w, qv_component(w, A, axis)) * q_value(w, qv_component(w, R->vector, axis));
        if (along >= 0.0 || sign_of(w, size[k]) == 0.0)
            continue;
        /* θ_A + 180° − turn, with turn = θ − θ_A */
        q twice = q_mul(w, q_integer(w, 2, ratio), polar_plain_angle(w, A));
        q other = q_sub(w, q_add(w, twice, q_turn(w, 180)), R->angle);
        slip_one(w, SLIP_SUM_SINE_LAW, NULL, NULL, R->angle, other, 1.0);
    }
}

void slips_of_size(struct work *w, const struct system *s, const struct polar *R)
{
    uint32_t count = s->force_count;
    if (!w->keeps_slips || w->failed || count < 2)
        return;
    struct slip_doubts doubts = slip_enter(w);
    q *size = arena_alloc(w->arena, 2 * count * sizeof *size);
    if (!size)
        return;
    for (uint32_t i = 0; i < count; i++) {
        size[i] = load_size(w, &s->force[i]);
        size[count + i] = q_square(w, size[i]);
    }
    q sum = q_sum(w, size, count);
    slip_one(w, SLIP_SUM_MAGNITUDES, NULL, NULL, R->magnitude, sum, 1.0);
    q root = q_sqrt(w, q_sum(w, size + count, count));
    slip_one(w, SLIP_SUM_PYTHAGORAS, NULL, NULL, R->magnitude, root, 1.0);
    if (count == 2)
        misdraw_triangle(w, s, R, size);
    slip_leave(w, doubts);
}

static q half_turn_on(struct work *w, q angle)
{
    q half = q_turn(w, 180);
    return q_value(w, angle) < q_value(w, half) ? q_add(w, angle, half) : q_sub(w, angle, half);
}

void slips_of_heading(struct work *w, q angle, q x, q y, int quadrant)
{
    if (!w->keeps_slips || w->failed || quadrant == 0)
        return;
    struct slip_doubts doubts = slip_enter(w);
    q size_x = q_abs(w, x), size_y = q_abs(w, y);
    double sign_x = sign_of(w, x);
    if (sign_x < 0.0) {
        q turned = half_turn_on(w, angle), follows = q_div(w, q_mul(w, y, x), size_x);
        q wrong = q_sum(w, &turned, 1);
        slip_heading(w, wrong, size_x, 1, follows, 1);
        slip_one(w, SLIP_DIR_QUADRANT, NULL, NULL, angle, wrong, 1.0);
    }
    if (quadrant != 1) {
        q acute = q_atan(w, q_div(w, size_y, size_x));
        slip_heading(w, acute, size_x, 1, size_y, 1);
        slip_one(w, SLIP_DIR_ACUTE, NULL, NULL, angle, acute, 1.0);
    }
    q across = q_div(w, q_mul(w, x, size_y), size_x), up = q_div(w, q_mul(w, y, size_x), size_y);
    q inverse = q_atan(w, q_div(w, size_x, size_y)), wrong = inverse;
    switch (quadrant) {
    case 2:
        wrong = q_sub(w, q_turn(w, 180), inverse);
        break;
    case 3:
        wrong = q_add(w, q_turn(w, 180), inverse);
        break;
    case 4:
        wrong = q_sub(w, q_turn(w, 360), inverse);
        break;
    }
    slip_heading(w, wrong, across, 1, up, 1);
    slip_one(w, SLIP_DIR_INVERSE, NULL, NULL, angle, wrong, 1.0);
    slip_leave(w, doubts);
}
