/* slips.c: what students write in place of the right line (the catalogue is work/slips.def). */
#include "statics/slips.h"

#include <math.h>
#include <string.h>

#include "statics/point.h"
#include "work/slip.h"

static const struct dimension ratio = {0};

static double sign_of(const struct work *w, q x)
{
    double value = q_value(w, x);
    return value > 0.0 ? 1.0 : value < 0.0 ? -1.0 : 0.0;
}

static int axes_of(const struct work *w) { return w->space ? 3 : 2; }

/* ---- one force ---- */

/* A force under its slips. */
struct subject {
    struct work *w;
    const struct load *load;
    const char *pointer;
    bool is_alone; /* resolved by itself: the answer is its components */
    q size;        /* magnitude; {0} where it was given by its components */
    q part[3];     /* components */
    double sign[3];
};

static void begin(const struct subject *s, enum slip slip)
{
    slip_begin(s->w, slip, s->pointer, s->load->name);
}

static void exchange(const struct subject *s, enum slip slip, int i, int j)
{
    double signs = s->sign[i] * s->sign[j];
    if (signs == 0.0)
        return;
    begin(s, slip);
    slip_edit(s->w, s->part[i], s->part[j], signs);
    slip_edit(s->w, s->part[j], s->part[i], signs);
}

static void change_signs(const struct subject *s)
{
    static const enum slip of_axis[3] = {SLIP_RES_SIGNX, SLIP_RES_SIGNY, SLIP_RES_SIGNZ};
    int components = 0, negative = 0;
    for (int i = 0; i < axes_of(s->w); i++) {
        components += s->sign[i] != 0.0;
        negative += s->sign[i] < 0.0;
    }
    for (int i = 0; components > 1 && i < axes_of(s->w); i++)
        if (s->sign[i] != 0.0)
            slip_one(s->w, s->is_alone ? of_axis[i] : SLIP_SUM_SIGN, s->pointer, s->load->name,
                     s->part[i], s->part[i], -1.0);
    bool is_along_line = !q_is_none(s->size) && !qv_is_none(s->load->aim.vector);
    begin(s, !s->is_alone                   ? SLIP_SUM_REVERSED
             : s->w->space && is_along_line ? SLIP_D3_REVERSED
                                            : SLIP_RES_OPPOSITE);
    for (int i = 0; i < axes_of(s->w); i++)
        slip_edit(s->w, s->part[i], s->part[i], -1.0);
    if (!s->is_alone || negative == 0)
        return;
    begin(s, SLIP_RES_ABS);
    for (int i = 0; i < axes_of(s->w); i++)
        slip_edit(s->w, s->part[i], s->part[i], s->sign[i]);
}

/* As many terms as it has: none, or two. */
static void miscount(const struct subject *s, enum slip left_out)
{
    begin(s, left_out);
    for (int i = 0; i < axes_of(s->w); i++)
        slip_edit(s->w, s->part[i], (q){0}, 0.0);
    begin(s, SLIP_SUM_TWICE);
    for (int i = 0; i < axes_of(s->w); i++)
        slip_edit(s->w, s->part[i], s->part[i], 2.0);
}

/* The sign of the right component with the size of the wrong one. */
static void edit_size(const struct subject *s, int i, q wrong)
{
    slip_edit(s->w, s->part[i], wrong, s->sign[i] * sign_of(s->w, wrong));
}

static q factor_of(const struct subject *s, int i) { return s->load->aim.part[i].factor; }

static bool is_op(const struct work *w, q x, enum op op) { return q_node(w, x)->op == op; }

/* A slope triangle, with the numbers of its sides. */
static void misread_slope(const struct subject *s)
{
    struct work *w = s->w;
    q run = qv_component(w, s->load->aim.vector, 0), rise = qv_component(w, s->load->aim.vector, 1);
    if (sign_of(w, run) == 0.0 || sign_of(w, rise) == 0.0)
        return;
    q up = q_mul(w, s->size, q_div(w, rise, run)), right = q_mul(w, s->size, q_div(w, run, rise));
    begin(s, SLIP_RES_NOHYP);
    edit_size(s, 0, s->size);
    edit_size(s, 1, up);
    begin(s, SLIP_RES_NOHYP);
    edit_size(s, 0, right);
    edit_size(s, 1, s->size);
    right = q_mul(w, s->size, run);
    up = q_mul(w, s->size, rise);
    begin(s, SLIP_RES_NOHYP);
    edit_size(s, 0, right);
    edit_size(s, 1, up);
}

/* Plane: by the factors of the two axes. */
static void misuse_factors(const struct subject *s)
{
    struct work *w = s->w;
    q x = factor_of(s, 0), y = factor_of(s, 1);
    exchange(s, s->is_alone ? SLIP_RES_SWAP : SLIP_SUM_SWAP, 0, 1);
    if (q_is_none(x) || q_is_none(y) || s->sign[0] == 0.0 || s->sign[1] == 0.0)
        return;
    bool is_angle = is_op(w, x, OP_COS) || is_op(w, x, OP_SIN);
    if (is_angle) {
        int sine = is_op(w, x, OP_SIN) ? 0 : 1;
        q tangent = q_div(w, factor_of(s, sine), factor_of(s, 1 - sine));
        q wrong = q_mul(w, s->size, tangent);
        begin(s, SLIP_RES_TAN);
        edit_size(s, sine, wrong);
    }
    q right = q_div(w, s->size, x), up = q_div(w, s->size, y);
    begin(s, SLIP_RES_DIVIDE);
    edit_size(s, 0, right);
    edit_size(s, 1, up);
    begin(s, SLIP_RES_FULL);
    edit_size(s, 0, s->size);
    edit_size(s, 1, s->size);
    if (!qv_is_none(s->load->aim.vector))
        misread_slope(s);
}

/* Space: azimuth and elevation. The level factors are cos ε cos α and cos ε sin α. */
static void misread_elevation(const struct subject *s, int up)
{
    struct work *w = s->w;
    int from = (up + 1) % 3, toward = (up + 2) % 3;
    q level = {q_node(w, factor_of(s, from))->operand[0]};
    q along[3] = {0};
    along[from] = (q){q_node(w, factor_of(s, from))->operand[1]};
    along[toward] = (q){q_node(w, factor_of(s, toward))->operand[1]};
    q sine = q_mul(w, s->size, factor_of(s, up));
    q wrong[3] = {0};
    wrong[from] = q_mul(w, sine, along[from]);
    wrong[toward] = q_mul(w, sine, along[toward]);
    wrong[up] = q_mul(w, s->size, level);
    begin(s, SLIP_D3_ELEVATION);
    for (int i = 0; i < 3; i++)
        edit_size(s, i, wrong[i]);
    wrong[from] = q_mul(w, s->size, along[from]);
    wrong[toward] = q_mul(w, s->size, along[toward]);
    begin(s, SLIP_D3_PROJECT);
    edit_size(s, from, wrong[from]);
    edit_size(s, toward, wrong[toward]);
    exchange(s, s->is_alone ? SLIP_RES_SWAP : SLIP_SUM_SWAP, from, toward);
}

/* The third direction angle as 180° less the other two. */
static void misjudge_third(const struct force_input *in, const struct subject *s)
{
    struct work *w = s->w;
    int missing = -1;
    q rest = q_turn(w, 180);
    for (int i = 0; i < 3; i++) {
        if (in->direction.direction_angle[i].present)
            rest = q_sub(w, rest, (q){q_node(w, factor_of(s, i))->operand[0]});
        else
            missing = i;
    }
    if (missing < 0 || !is_op(w, factor_of(s, missing), OP_COS))
        return;
    q wrong = q_mul(w, s->size, q_cos(w, rest));
    slip_one(w, SLIP_D3_THIRD, s->pointer, s->load->name, s->part[missing], wrong, 1.0);
    slip_one(w, SLIP_D3_ROOT, s->pointer, s->load->name, s->part[missing], s->part[missing], -1.0);
}

static void misuse_space(const struct force_input *in, const struct subject *s)
{
    struct work *w = s->w;
    const struct aim *aim = &s->load->aim;
    int nonzero = 0, products = 0, up = -1;
    for (int i = 0; i < 3; i++) {
        nonzero += s->sign[i] != 0.0;
        products += is_op(w, factor_of(s, i), OP_MUL);
        if (is_op(w, factor_of(s, i), OP_SIN))
            up = i;
    }
    if (!qv_is_none(aim->vector)) {
        qv wrong = qv_scale(w, s->size, aim->vector);
        begin(s, SLIP_D3_NO_UNIT);
        slip_edit_vector(w, s->load->vector, wrong, 1.0);
    } else if (products == 2 && up >= 0 && nonzero == 3) {
        misread_elevation(s, up);
    } else if (in->direction.form == DIRECTION_ANGLES) {
        misjudge_third(in, s);
    } else if (nonzero == 2) {
        for (int i = 0; i < 3; i++)
            exchange(s, s->is_alone ? SLIP_RES_SWAP : SLIP_SUM_SWAP, i, (i + 1) % 3);
    }
    if (nonzero < 2)
        return;
    for (int i = 0; i < 3; i++) { /* two axes exchanged; all three moved on */
        int j = (i + 1) % 3;
        begin(s, SLIP_D3_AXES);
        slip_edit(w, s->part[i], s->part[j], 1.0);
        slip_edit(w, s->part[j], s->part[i], 1.0);
        if (i == 2)
            break;
        begin(s, SLIP_D3_AXES);
        for (int axis = 0; axis < 3; axis++)
            slip_edit(w, s->part[axis], s->part[(axis + (i == 0 ? 1 : 2)) % 3], 1.0);
    }
}

void slips_of_weight(struct work *w, const struct force_input *in, q magnitude, q gravity)
{
    slip_one(w, SLIP_UNIT_MASS, in->pointer, in->name, magnitude, magnitude,
             1.0 / q_value(w, gravity));
}

void slips_of_force(struct board *b, const struct force_input *in, const struct load *load)
{
    struct work *w = b->w;
    if (!w->keeps_slips || w->failed)
        return;
    struct slip_doubts doubts = slip_enter(w);
    struct subject s = {.w = w,
                        .load = load,
                        .pointer = in ? in->pointer : load->pointer,
                        .is_alone = b->is_one_force,
                        .size = load->magnitude};
    for (int i = 0; i < axes_of(w); i++) {
        s.part[i] = qv_component(w, load->vector, i);
        s.sign[i] = sign_of(w, s.part[i]);
    }
    change_signs(&s);
    if (!s.is_alone)
        miscount(&s, b->is_body ? SLIP_EQ_MISSING : SLIP_SUM_OUT);
    if (in && !q_is_none(load->magnitude) && load->is_aimed) {
        if (w->space)
            misuse_space(in, &s);
        else
            misuse_factors(&s);
    }
    slip_leave(w, doubts);
}

/* ---- all forces alike ---- */

/* The angle in degrees that the factors of a force are a cosine and a sine of; {0} if none. */
static q typed_angle(const struct work *w, const struct load *load)
{
    q x = load->aim.part[0].factor, y = load->aim.part[1].factor;
    bool is_angle = load->is_aimed && !q_is_none(load->magnitude) && !q_is_none(x) &&
                    !q_is_none(y) && (is_op(w, x, OP_COS) || is_op(w, x, OP_SIN)) &&
                    (is_op(w, y, OP_COS) || is_op(w, y, OP_SIN));
    return is_angle ? (q){q_node(w, x)->operand[0]} : (q){0};
}

#define DEGREES_PER_RADIAN "57.2957795130823"

/* Degrees typed into a calculator that works in radians. */
static void all_in_radians(struct board *b, const struct load *load, uint32_t count)
{
    struct work *w = b->w;
    qv *wrong = arena_alloc(w->arena, (count + 1) * sizeof *wrong);
    bool is_any = false;
    if (!wrong || w->space || w->units.angle != UNIT_DEG)
        return;
    for (uint32_t i = 0; i < count; i++) {
        q angle = typed_angle(w, &load[i]), x = load[i].aim.part[0].factor;
        wrong[i] = (qv){0};
        if (q_is_none(angle))
            continue;
        q misread = q_mul(w, q_constant(w, DEGREES_PER_RADIAN, ratio), angle);
        q c = q_cos(w, misread), s = q_sin(w, misread);
        struct aim aim = load[i].aim;
        aim.part[0].factor = is_op(w, x, OP_COS) ? c : s;
        aim.part[1].factor = is_op(w, x, OP_COS) ? s : c;
        wrong[i] = aim_vector(w, &aim, load[i].magnitude);
        is_any = true;
    }
    if (!is_any)
        return;
    slip_begin(w, SLIP_RES_RADIAN, NULL, NULL);
    for (uint32_t i = 0; i < count; i++)
        if (!qv_is_none(wrong[i]))
            slip_edit_vector(w, load[i].vector, wrong[i], 1.0);
}

void slips_of_forces(struct board *b, const struct system *s)
{
    struct work *w = b->w;
    uint32_t negative = 0;
    if (!w->keeps_slips || w->failed)
        return;
    struct slip_doubts doubts = slip_enter(w);
    all_in_radians(b, s->force, s->force_count);
    for (uint32_t i = 0; i < s->force_count; i++)
        for (int axis = 0; axis < axes_of(w); axis++)
            negative += q_value(w, qv_component(w, s->force[i].vector, axis)) < 0.0;
    if (negative > 1 && s->force_count > 1) {
        slip_begin(w, SLIP_RES_ABS, NULL, NULL);
        for (uint32_t i = 0; i < s->force_count; i++)
            for (int axis = 0; axis < axes_of(w); axis++) {
                q part = qv_component(w, s->force[i].vector, axis);
                slip_edit(w, part, part, sign_of(w, part));
            }
    }
    slip_leave(w, doubts);
}

/* ---- oblique components ---- */

void slips_of_oblique(struct work *w, const q part[2], q size, const q turn[2])
{
    if (!w->keeps_slips || w->failed)
        return;
    struct slip_doubts doubts = slip_enter(w);
    q projection[2];
    for (int k = 0; k < 2; k++)
        projection[k] = q_mul(w, size, q_cos(w, turn[k]));
    slip_begin(w, SLIP_RES_OBLIQUE, NULL, NULL);
    for (int k = 0; k < 2; k++)
        slip_edit(w, part[k], projection[k], 1.0);
    for (int k = 0; k < 2; k++)
        slip_one(w, SLIP_RES_OBLIQUE, NULL, NULL, part[k], projection[k], 1.0);
    slip_leave(w, doubts);
}

/* ---- couples ---- */

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

/* ---- the resultant ---- */

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

/* ---- a direction ---- */

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

/* ---- moments ---- */

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
