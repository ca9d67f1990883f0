/* moment.c: the moment of a force: r × F, in the plane x F_y − y F_x. */
#include "statics/moment.h"

#include <string.h>

#include "statics/point.h"
#include "statics/polar.h"
#include "statics/slips.h"

static const struct dimension length_dimension = {.length = 1};
static const struct dimension moment_dimension = {.force = 1, .length = 1};

/* O; O′, O″ where points of that name lie elsewhere. */
static const char *own_name(struct board *b)
{
    const char *name = "O";
    for (int k = 0; name && k < b->loads->point_count; k++)
        if (b->loads->point[k].name && strcmp(b->loads->point[k].name, name) == 0) {
            name = arena_printf(b->w->arena, "%s'", name);
            k = -1;
        }
    return name ? name : "O";
}

struct centre moment_centre(struct board *b, int point)
{
    struct work *w = b->w;
    struct centre c = {.point = point, .is_origin = true};
    if (point == NO_PLACE) {
        q zero = q_integer(w, 0, length_dimension);
        c.place = qv_of(w, zero, zero, w->space ? zero : (q){0});
    } else {
        c.place = point_place(b, point);
        c.is_origin = point_is_origin(b, point);
        c.name = b->loads->point[point].name;
    }
    if (!c.name)
        c.name = own_name(b);
    return c;
}

/* From the centre to where the force acts: coordinates as they are where the centre is the origin.
 */
static qv lever(struct board *b, const struct centre *c, const struct load *load)
{
    struct work *w = b->w;
    if (c->is_origin)
        return load->place;
    if (load->at != NO_PLACE) {
        struct span *span = span_between(b, c->point, load->at, load->name);
        return span ? span->r : (qv){0};
    }
    const char *pair = point_pair(b, c->name, load->name);
    qv r = qv_name(w, qv_sub(w, load->place, c->place), symbol_own(w, "r", pair));
    work_define_vector(w, r);
    return r;
}

qv moment_of(struct board *b, const struct centre *c, const struct load *load)
{
    struct work *w = b->w;
    bool is_there = load->at != NO_PLACE && load->at == c->point;
    if (qv_is_zero(w, load->vector)) {
        work_say(w, PHRASE("{} is zero: it has no moment.", arg_name(load->name)));
        return (qv){0};
    }
    qv r = is_there ? (qv){0} : lever(b, c, load);
    if (is_there || (!qv_is_none(r) && qv_is_zero(w, r))) {
        work_say(w, PHRASE("{} acts at {}: it has no moment about it.", arg_name(load->name),
                           arg_name(c->name)));
        return (qv){0};
    }
    if (qv_is_none(r))
        return r;
    qv m = qv_name(w, qv_cross(w, r, load->vector), symbol_own(w, "M", name_sub(w, load->name)));
    work_define_vector(w, m);
    slips_of_moment(b, load, r, m);
    if (qv_is_zero(w, m))
        work_say(w, PHRASE("The line of action of {} passes through {}: it has no moment about it.",
                           arg_name(load->name), arg_name(c->name)));
    return m;
}

/* Does it pull along its aim, by its magnitude? */
static bool is_along_aim(struct work *w, const struct load *load)
{
    return load->is_aimed && !q_is_none(load->magnitude) && q_sign(w, load->magnitude) > 0;
}

/* The angle of a force: as typed, by its slope, or by its components. */
static q angle_of(struct work *w, const struct load *load)
{
    const struct aim *aim = &load->aim;
    bool is_along = is_along_aim(w, load);
    q typed = is_along ? aim_angle(w, aim) : (q){0};
    if (!q_is_none(typed))
        return typed;
    bool is_over =
        is_along && !qv_is_none(aim->vector) && aim->part[0].sign >= 0 && aim->part[1].sign >= 0;
    return polar_plain_angle(w, is_over ? aim->vector : load->vector);
}

q moment_by_arm(struct board *b, const struct centre *c, const struct load *load)
{
    struct work *w = b->w;
    qv r = qv_sub(w, load->place, c->place);
    if (qv_is_zero(w, r) || qv_is_zero(w, load->vector))
        return q_integer(w, 0, moment_dimension);
    q turn = q_sub(w, angle_of(w, load), polar_plain_angle(w, r));
    q arm = q_mul(w, q_norm(w, r), q_sin(w, turn));
    return q_mul(w, load_size(w, load), arm);
}

q moment_by_levers(struct board *b, const struct centre *c, const struct load *load)
{
    struct work *w = b->w;
    bool is_along = is_along_aim(w, load);
    qv r = qv_sub(w, load->place, c->place);
    qv u = is_along ? aim_unit(w, &load->aim) : load->vector;
    q one = q_mul(w, qv_component(w, r, 0), qv_component(w, u, 1));
    q other = q_mul(w, qv_component(w, r, 1), qv_component(w, u, 0));
    if (!is_along)
        return q_sub(w, one, other);
    return q_sub(w, q_mul(w, load->magnitude, one), q_mul(w, load->magnitude, other));
}
