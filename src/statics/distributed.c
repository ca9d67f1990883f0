/* distributed.c: area and centroid of a load that is linear along a line. */
#include "statics/distributed.h"

#include "statics/notes.h"
#include "statics/point.h"
#include "statics/slips.h"
#include "work/slip.h"

static const struct dimension ratio = {0};
static const struct dimension intensity_dimension = {.force = 1, .length = -1};

/* A load on the board: w_A at its beginning, w_B at its end, over the length L. */
struct stretch {
    const struct distributed_input *in;
    struct span *span; /* from its beginning to its end */
    struct aim aim;
    q length;
    q first, second; /* intensities; second {0}: uniform */
};

/* w; at the ends of a load that varies w_A and w_B, by the names of the points. */
static q intensity_at(struct board *b, const struct distributed_input *in, int end)
{
    struct work *w = b->w;
    struct symbol symbol = symbol_of_name(w, in->name);
    if (in->intensity[1].present) {
        const char *point = b->loads->point[end == 0 ? in->from : in->to].name;
        const char *place = point ? point : end == 0 ? "a" : "b";
        const char *sub = arena_printf(w->arena, "%s%s", symbol.sub ? symbol.sub : "", place);
        symbol = symbol_own(w, symbol.base, sub);
    }
    q x = q_name(w, q_given(w, &in->intensity[end], intensity_dimension), symbol);
    work_define(w, x);
    return x;
}

/* The length that the intensity is measured along: of the line, or its projection on an axis. */
static bool find_length(struct board *b, struct stretch *s)
{
    struct work *w = b->w;
    const struct distributed_input *in = s->in;
    if (qv_is_zero(w, s->span->r)) {
        problem_fault(b->reterr, in->pointer, FAULT_ZERO_LENGTH,
                      "The distributed load %s begins and ends at one place.", in->name);
        return false;
    }
    if (in->per_axis < 0) {
        s->length = span_length(w, s->span);
        return true;
    }
    q along = qv_component(w, s->span->r, in->per_axis);
    if (q_is_zero(w, along)) {
        problem_fault(b->reterr, in->pointer, FAULT_ZERO_LENGTH,
                      "The distributed load %s is measured along %c, but has no length along %c.",
                      in->name, "xyz"[in->per_axis], "xyz"[in->per_axis]);
        return false;
    }
    s->length = q_name(w, q_abs(w, along), symbol_own(w, "L", name_sub(w, in->name)));
    work_define(w, s->length);
    return true;
}

/* W = w L; W = ½ (w_A + w_B) L, which is ½ w L for a triangle. */
static q area(struct work *w, const struct stretch *s)
{
    if (q_is_none(s->second))
        return q_mul(w, s->first, s->length);
    q sum = q_add(w, s->first, s->second);
    if (q_is_zero(w, s->first) || q_is_zero(w, s->second))
        sum = q_is_zero(w, s->first) ? s->second : s->first;
    return q_mul(w, q_div(w, sum, q_integer(w, 2, ratio)), s->length);
}

/* How far along the line its centroid lies, as a fraction from the beginning: 1/2; 1/3 or 2/3 of a
 * triangle; (w_A + 2 w_B)/(3 (w_A + w_B)) of a trapezium (area-weighted mean of two triangles). */
static q centroid(struct work *w, const struct stretch *s)
{
    q one = q_integer(w, 1, ratio), two = q_integer(w, 2, ratio), three = q_integer(w, 3, ratio);
    if (q_is_none(s->second))
        return q_div(w, one, two);
    if (q_is_zero(w, s->first))
        return q_div(w, two, three);
    if (q_is_zero(w, s->second))
        return q_div(w, one, three);
    q above = q_add(w, s->first, q_mul(w, two, s->second));
    return q_div(w, above, q_mul(w, three, q_add(w, s->first, s->second)));
}

/* The two triangles of a load whose total is zero: ¼ w_A L each way, ⅔ of the line apart. */
static qv couple_of_triangles(struct board *b, const struct stretch *s)
{
    struct work *w = b->w;
    const char *sub = name_sub(w, s->in->name);
    q half = q_mul(w, s->first, q_div(w, s->length, q_integer(w, 4, ratio)));
    struct symbol W = symbol_own(w, "W", sub);
    half = q_name(w, half, W);
    work_say(w, PHRASE("The two ends of {} carry equal and opposite loads: its resultant is zero, "
                       "and its two triangles make a couple.",
                       arg_name(s->in->name)));
    work_define(w, half);
    qv force = qv_name(w, aim_vector(w, &s->aim, half), W);
    work_define_vector(w, force);
    q thirds = q_div(w, q_integer(w, -2, ratio), q_integer(w, 3, ratio));
    qv lever = qv_name(w, qv_scale(w, thirds, s->span->r), symbol_own(w, "a", sub));
    work_define_vector(w, lever);
    qv couple = qv_name(w, qv_cross(w, lever, force), symbol_own(w, "M", sub));
    work_define_vector(w, couple);
    note_add(w, NOTE_LOAD_IS_COUPLE,
             PHRASE("The distributed load {} has no resultant force: what is left is a couple.",
                    arg_name(s->in->name)));
    return couple;
}

static bool is_triangle(struct work *w, const struct stretch *s)
{
    return !q_is_none(s->second) && (q_is_zero(w, s->first) || q_is_zero(w, s->second));
}

/* The height taken for the force; the area of the rectangle around it. */
static void slips_of_area(struct board *b, const struct stretch *s, q total)
{
    struct work *w = b->w;
    const struct distributed_input *in = s->in;
    if (!w->keeps_slips)
        return;
    slip_one(w, SLIP_DST_INTENSITY, in->pointer, in->name, total, s->first, 1.0);
    if (!q_is_none(s->second))
        slip_one(w, SLIP_DST_INTENSITY, in->pointer, in->name, total, s->second, 1.0);
    if (is_triangle(w, s))
        slip_one(w, SLIP_DST_RECTANGLE, in->pointer, in->name, total, total, 2.0);
}

/* Another place on the load: its middle, the other third, an end; a rectangle's middle with its
 * area. */
static void slips_of_centroid(struct board *b, const struct stretch *s, const struct load *load,
                              q fraction)
{
    struct work *w = b->w;
    const struct distributed_input *in = s->in;
    if (!w->keeps_slips)
        return;
    double right = q_value(w, fraction), place[] = {0.5, 1.0 - right, 0.0, 1.0};
    for (size_t i = 0; i < sizeof place / sizeof *place; i++)
        if (place[i] != right && (i < 1 || place[i] != place[i - 1]))
            slip_one(w, SLIP_DST_PLACE, in->pointer, in->name, fraction, fraction,
                     place[i] / right);
    if (!is_triangle(w, s))
        return;
    slip_begin(w, SLIP_DST_RECTANGLE, in->pointer, in->name);
    slip_edit(w, fraction, fraction, 0.5 / right);
    slip_edit_vector(w, load->vector, load->vector, 2.0);
}

static void load_at_centroid(struct board *b, const struct stretch *s, q total, struct load *load)
{
    struct work *w = b->w;
    const char *sub = name_sub(w, s->in->name);
    load->symbol = symbol_own(w, "W", sub);
    load->magnitude = q_name(w, total, load->symbol);
    work_define(w, load->magnitude);
    slips_of_area(b, s, load->magnitude);
    load->is_aimed = true;
    load->aim = s->aim;
    load->vector = qv_name(w, aim_vector(w, &s->aim, load->magnitude), load->symbol);
    work_define_vector(w, load->vector);
    slips_of_force(b, NULL, load);
    q fraction = q_name(w, centroid(w, s), symbol_own(w, "k", sub));
    work_define(w, fraction);
    slips_of_centroid(b, s, load, fraction);
    work_say(w, PHRASE("It acts at the centroid of the load, the fraction {} of the way from its "
                       "beginning.",
                       arg_symbol(fraction)));
    qv way = qv_scale(w, fraction, s->span->r);
    bool is_from_origin = point_is_origin(b, s->in->from);
    qv start = point_place(b, s->in->from);
    qv place = is_from_origin ? way : qv_sum(w, (qv[]){start, way}, 2);
    load->place = qv_name(w, place, symbol_own(w, "c", sub));
    work_define_vector(w, load->place);
}

bool distributed_resultant(struct board *b, const struct distributed_input *in,
                           struct load *ret_load, qv *ret_couple)
{
    struct work *w = b->w;
    struct stretch s = {.in = in, .aim = aim_along(half_axis_reversed(b->up))};
    *ret_load =
        (struct load){.name = in->name, .pointer = in->pointer, .at = NO_PLACE, .body = in->body};
    *ret_couple = (qv){0};
    bool is_trapezium = in->intensity[1].present;
    s.first = intensity_at(b, in, 0);
    if (is_trapezium)
        s.second = intensity_at(b, in, 1);
    bool is_aimed = in->direction.form == DIRECTION_NONE ||
                    direction_aim(b, &in->direction, in->name, false, &s.aim);
    s.span = span_between(b, in->from, in->to, in->name);
    if (!s.span || !find_length(b, &s) || !is_aimed)
        return false;
    q total = area(w, &s);
    bool is_couple = is_trapezium && q_is_zero(w, total) && !q_is_zero(w, s.first);
    if (is_couple)
        *ret_couple = couple_of_triangles(b, &s);
    else
        load_at_centroid(b, &s, total, ret_load);
    return true;
}
