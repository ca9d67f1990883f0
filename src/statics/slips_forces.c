/* slips_forces.c: what students write in place of the components of a force. */
#include "statics/slips_parts.h"

static const struct dimension ratio = {0};

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

static q misread_angle(struct work *w, q angle)
{
    return q_mul(w, q_constant(w, DEGREES_PER_RADIAN, ratio), angle);
}

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
        q misread = misread_angle(w, angle);
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

/* The chance of the loads that are known; w->chance_count: none. */
static uint32_t loads_in_radians(const struct work *w)
{
    uint32_t c = 0;
    while (c < w->chance_count && w->chance[c].slip != SLIP_RES_RADIAN)
        c++;
    return c;
}

void slips_of_aims(struct work *w, uint32_t from)
{
    uint32_t end = w->node_count, count = 0, known = loads_in_radians(w);
    if (!w->keeps_slips || w->failed || w->space || w->units.angle != UNIT_DEG)
        return;
    q *wrong = arena_alloc(w->arena, (size_t)(end - from + 1) * sizeof *wrong);
    if (!wrong)
        return;
    struct slip_doubts doubts = slip_enter(w);
    for (uint32_t i = from; i < end; i++) {
        bool is_cosine = is_op(w, (q){i}, OP_COS);
        if (!is_cosine && !is_op(w, (q){i}, OP_SIN))
            continue;
        q misread = misread_angle(w, (q){w->node[i].operand[0]});
        wrong[i - from] = is_cosine ? q_cos(w, misread) : q_sin(w, misread);
        count++;
    }
    uint32_t chances = w->chance_count, now = w->node_count;
    if (count > 0)
        slip_begin(w, SLIP_RES_RADIAN, NULL, NULL);
    for (uint32_t k = 0; count > 0 && known < chances && k < w->chance[known].count; k++) {
        struct slip_edit e = w->edit[w->chance[known].first + k];
        slip_edit_from(w, e.from, (q){e.right}, (q){e.wrong}, e.times);
    }
    for (uint32_t i = from; i < end; i++)
        if (!q_is_none(wrong[i - from]))
            slip_edit_from(w, now, (q){i}, wrong[i - from], 1.0);
    slip_leave(w, doubts);
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
