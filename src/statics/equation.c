/* equation.c: sums of forces along a direction, sums of moments about a point or a line. */
#include "statics/equation.h"

#include "statics/moment.h"
#include "statics/slips.h"

static const struct dimension force_dimension = {.force = 1};
static const struct dimension moment_dimension = {.force = 1, .length = 1};

struct dimension equation_dimension(const struct equation *e)
{
    return e->is_moment ? moment_dimension : force_dimension;
}

static bool is_of_body(const struct equation *e, int body)
{
    return e->body == NO_BODY || e->body == body;
}

/* ---- exactly ---- */

struct num equation_factor(const struct assembly *a, const struct equation *e, int column)
{
    const struct field *f = a->b->w->field;
    struct num sum = num_integer(f, 0);
    for (int i = 0; i < a->pull_count; i++) {
        const struct pull *p = &a->pull[i];
        if (p->column != column || !is_of_body(e, p->body))
            continue;
        struct exact v = p->force;
        if (e->is_moment) {
            struct exact arm = exact_sub(f, e->centre, a->origin);
            v = exact_sub(f, p->moment, exact_cross(f, arm, p->force));
        }
        sum = num_add(f, sum, e->axis >= 0 ? v.c[e->axis] : exact_dot(f, v, e->direction));
    }
    return sum;
}

/* ---- factors and terms ---- */

static struct signed_q product(struct work *w, struct signed_q x, struct signed_q y)
{
    struct signed_q p = {x.sign * y.sign, x.x};
    if (p.sign != 0 && !q_is_none(y.x))
        p.x = q_is_none(x.x) ? y.x : q_mul(w, x.x, y.x);
    return p;
}

void terms_add(struct terms *t, struct signed_q term)
{
    if (term.sign == 0 || q_is_none(term.x))
        return;
    if (t->count == t->capacity) {
        uint32_t wider = t->capacity ? 2 * t->capacity : 16;
        q *fresh = arena_alloc(t->w->arena, wider * sizeof *fresh);
        if (!fresh) {
            t->w->failed = true;
            return;
        }
        for (uint32_t i = 0; i < t->count; i++)
            fresh[i] = t->term[i];
        t->term = fresh;
        t->capacity = wider;
    }
    t->term[t->count++] = term.sign < 0 ? q_neg(t->w, term.x) : term.x;
}

q terms_sum(const struct terms *t)
{
    return t->count > 0 ? q_sum(t->w, t->term, t->count) : (q){0};
}

/* Of ±1 and ±x: one factor again. */
static struct signed_q added(struct work *w, const struct signed_q *factor, int count)
{
    struct signed_q only = {0};
    struct terms t = {.w = w};
    int found = 0;
    for (int k = 0; k < count; k++) {
        if (factor[k].sign == 0)
            continue;
        only = factor[k];
        found++;
        struct signed_q term = factor[k];
        if (q_is_none(term.x))
            term.x = q_integer(w, 1, (struct dimension){0});
        terms_add(&t, term);
    }
    if (found <= 1)
        return only;
    return (struct signed_q){1, terms_sum(&t)};
}

static struct signed_q factor_of(struct work *w, q x)
{
    return (struct signed_q){!q_is_none(x) && !q_is_zero(w, x), x};
}

static struct signed_q component(struct work *w, const struct aim *aim, int axis)
{
    struct signed_q c = {aim->part[axis].sign, aim->part[axis].factor};
    if (c.sign != 0 && !q_is_none(c.x) && q_is_zero(w, c.x))
        c.sign = 0;
    return c;
}

/* From the centre to a place, along an axis. */
static struct signed_q lever(struct work *w, qv place, qv centre, int axis)
{
    q to = qv_component(w, place, axis), from = qv_component(w, centre, axis);
    if (q_is_none(to))
        return (struct signed_q){0};
    bool is_there = !q_is_zero(w, to);
    if (q_is_none(from) || q_is_zero(w, from))
        return (struct signed_q){is_there, to};
    if (!is_there)
        return (struct signed_q){-1, from};
    if (to.i == from.i || num_is_zero(num_sub(w->field, q_node(w, to)->num, q_node(w, from)->num)))
        return (struct signed_q){0};
    return (struct signed_q){1, q_sub(w, to, from)};
}

/* A vector's components as factors. */
struct factors {
    struct signed_q c[3];
};

/* r × F about one axis: r_i F_j − r_j F_i. */
static struct signed_q moment_about(const struct assembly *a, const struct equation *e, qv place,
                                    const struct factors *force, int axis)
{
    struct work *w = a->b->w;
    int i = (axis + 1) % 3, j = (axis + 2) % 3;
    struct signed_q part[2] = {{0}, {0}};
    if (force->c[j].sign != 0)
        part[0] = product(w, lever(w, place, e->place, i), force->c[j]);
    if (force->c[i].sign != 0)
        part[1] = product(w, lever(w, place, e->place, j), force->c[i]);
    part[1].sign = -part[1].sign;
    return added(w, part, 2);
}

/* What a force at a place adds to the equation. */
static struct signed_q force_factor(const struct assembly *a, const struct equation *e, qv place,
                                    const struct factors *force)
{
    struct work *w = a->b->w;
    if (e->axis >= 0)
        return e->is_moment ? moment_about(a, e, place, force, e->axis) : force->c[e->axis];
    struct signed_q part[3] = {{0}, {0}, {0}};
    for (int axis = 0; axis < board_axes(a->b); axis++) {
        struct signed_q along = factor_of(w, qv_component(w, e->unit, axis));
        if (along.sign == 0)
            continue;
        part[axis] = product(
            w, along, e->is_moment ? moment_about(a, e, place, force, axis) : force->c[axis]);
    }
    return added(w, part, 3);
}

static struct signed_q couple_factor(const struct assembly *a, const struct equation *e,
                                     const struct factors *couple)
{
    struct work *w = a->b->w;
    if (!e->is_moment)
        return (struct signed_q){0};
    if (e->axis >= 0)
        return couple->c[e->axis];
    struct signed_q part[3];
    for (int axis = 0; axis < 3; axis++)
        part[axis] = product(w, factor_of(w, qv_component(w, e->unit, axis)), couple->c[axis]);
    return added(w, part, 3);
}

static struct factors factors_of(struct work *w, qv v)
{
    struct factors f;
    for (int axis = 0; axis < 3; axis++)
        f.c[axis] = factor_of(w, qv_component(w, v, axis));
    return f;
}

/* ---- on the tape ---- */

struct signed_q equation_coefficient(const struct assembly *a, const struct equation *e, int column)
{
    struct work *w = a->b->w;
    struct signed_q sum = {0};
    for (int i = 0; i < a->pull_count; i++) {
        const struct pull *p = &a->pull[i];
        const struct unknown *u = &a->unknown[p->unknown];
        bool cancels = e->body == NO_BODY && u->opposite != NO_BODY;
        if (p->column != column || !is_of_body(e, p->body) || cancels)
            continue;
        const struct reaction_part *part = &u->reaction.part[p->part];
        struct factors f;
        for (int axis = 0; axis < 3; axis++)
            f.c[axis] = component(w, &part->aim, axis);
        struct signed_q c = part->is_couple ? couple_factor(a, e, &f)
                                            : force_factor(a, e, a->site[u->site].place, &f);
        c.sign *= p->sign;
        if (c.sign != 0 && !q_is_none(u->times))
            c = product(w, (struct signed_q){1, u->times}, c);
        sum = added(w, (struct signed_q[]){sum, c}, 2);
    }
    return sum;
}

struct signed_q equation_term(const struct assembly *a, const struct equation *e,
                              struct signed_q coefficient, q unknown)
{
    struct signed_q x = {1, unknown};
    return e->is_moment ? product(a->b->w, coefficient, x) : product(a->b->w, x, coefficient);
}

static struct signed_q load_term(const struct assembly *a, const struct equation *e,
                                 const struct load *load)
{
    struct factors f = factors_of(a->b->w, load->vector);
    return force_factor(a, e, load->place, &f);
}

/* Its magnitude times its arm. */
static struct signed_q load_by_arm(const struct assembly *a, const struct equation *e,
                                   const struct load *load)
{
    struct work *w = a->b->w;
    if (!e->is_moment || !load->is_aimed || q_is_none(load->magnitude))
        return load_term(a, e, load);
    struct factors f;
    for (int axis = 0; axis < 3; axis++)
        f.c[axis] = component(w, &load->aim, axis);
    struct signed_q size = {!q_is_zero(w, load->magnitude), load->magnitude};
    return product(w, size, force_factor(a, e, load->place, &f));
}

static void put_couples(const struct assembly *a, const struct equation *e, int sign,
                        struct terms *ret_terms)
{
    for (uint32_t i = 0; e->is_moment && i < a->loads.couple_count; i++) {
        if (!is_of_body(e, a->loads.couple_body[i]))
            continue;
        struct factors f = factors_of(a->b->w, a->loads.couple[i]);
        struct signed_q term = couple_factor(a, e, &f);
        term.sign *= sign;
        terms_add(ret_terms, term);
    }
}

void equation_loads(const struct assembly *a, const struct equation *e, int sign,
                    struct terms *ret_terms)
{
    for (uint32_t i = 0; i < a->loads.force_count; i++) {
        const struct load *load = &a->loads.force[i];
        if (!is_of_body(e, load->body))
            continue;
        struct signed_q term = load_term(a, e, load);
        if (e->is_moment && e->axis >= 0 && term.sign != 0)
            slips_of_term(a->b, load, load->place, e->place, term.x);
        term.sign *= sign;
        terms_add(ret_terms, term);
    }
    put_couples(a, e, sign, ret_terms);
}

void equation_loads_otherwise(const struct assembly *a, const struct equation *e, int sign,
                              bool by_arm, struct terms *ret_terms)
{
    for (uint32_t i = 0; i < a->loads.force_count; i++) {
        const struct load *load = &a->loads.force[i];
        if (!is_of_body(e, load->body))
            continue;
        struct signed_q term = by_arm ? load_by_arm(a, e, load) : load_term(a, e, load);
        term.sign *= sign;
        terms_add(ret_terms, term);
    }
    put_couples(a, e, sign, ret_terms);
}

/* ---- what has to be defined first ---- */

static qv place_of(const struct assembly *a, int column)
{
    return a->site[a->unknown[a->column[column].unknown].site].place;
}

/* λ_1, n_2: a vector is told from the others by its number. */
static struct symbol numbered(struct assembly *a, const char *base)
{
    return symbol_own(a->b->w, base, arena_printf(a->b->w->arena, "%d", a->opened));
}

static struct arg line_symbol(const struct assembly *a, int column)
{
    return arg_list(&assembly_part(a, column)->symbol, 1);
}

/* Where two lines of action meet: A + t u_A with t = (B − A) × u_B / (u_A × u_B). */
static void open_meeting(struct assembly *a, struct equation *e)
{
    struct work *w = a->b->w;
    qv first = place_of(a, e->line[0]), second = place_of(a, e->line[1]);
    qv along = aim_unit(w, &assembly_part(a, e->line[0])->aim);
    qv across = aim_unit(w, &assembly_part(a, e->line[1])->aim);
    q turn = qv_component(w, qv_cross(w, along, across), 2);
    q reach = qv_component(w, qv_cross(w, qv_sub(w, second, first), across), 2);
    q t = q_name(w, q_div(w, reach, turn), numbered(a, "t"));
    e->name = assembly_free_name(a, "I");
    work_say(w, PHRASE("{} is where the lines of {} and {} meet, {} from {} along the first.",
                       arg_name(e->name), line_symbol(a, e->line[0]), line_symbol(a, e->line[1]),
                       arg_symbol(t),
                       arg_name(a->site[a->unknown[a->column[e->line[0]].unknown].site].name)));
    work_define(w, t);
    q c[2];
    for (int axis = 0; axis < 2; axis++) {
        q way = q_mul(w, t, qv_component(w, along, axis));
        c[axis] = q_add(w, qv_component(w, first, axis), way);
        c[axis] = q_name(w, c[axis], symbol_own(w, axis == 0 ? "x" : "y", e->name));
        work_define(w, c[axis]);
    }
    e->place = qv_of(w, c[0], c[1], (q){0});
}

/* Space: the unit vector square to two unknowns' lines. */
static void open_square_to_two(struct assembly *a, struct equation *e)
{
    struct work *w = a->b->w;
    qv across = qv_cross(w, aim_unit(w, &assembly_part(a, e->line[0])->aim),
                         aim_unit(w, &assembly_part(a, e->line[1])->aim));
    work_say(w, PHRASE("n is square to {} and to {}.", line_symbol(a, e->line[0]),
                       line_symbol(a, e->line[1])));
    across = qv_name(w, across, numbered(a, "c"));
    work_define_vector(w, across);
    q length = q_name(w, q_norm(w, across), numbered(a, "c"));
    work_define(w, length);
    e->unit = qv_as_direction(w, qv_over(w, across, length));
    e->unit = qv_name(w, e->unit, numbered(a, "n"));
    work_define_vector(w, e->unit);
}

/* The unit vector square to an unknown's line: turned by 90°. */
static void open_square(struct assembly *a, struct equation *e)
{
    struct work *w = a->b->w;
    if (e->line[1] >= 0) {
        open_square_to_two(a, e);
        return;
    }
    struct aim turned = aim_turned(w, &assembly_part(a, e->line[0])->aim, 1);
    qv unit = aim_unit(w, &turned);
    work_say(w, PHRASE("n is square to {}.", line_symbol(a, e->line[0])));
    e->unit = qv_name(w, unit, numbered(a, "n"));
    work_define_vector(w, e->unit);
}

/* The unit vector of a line of moments: from site to site, or along an unknown. */
static void open_line(struct assembly *a, struct equation *e)
{
    struct work *w = a->b->w;
    qv unit;
    if (e->other != NO_SITE) {
        const char *from = a->site[e->site].name, *to = a->site[e->other].name;
        qv r = qv_sub(w, a->site[e->other].place, a->site[e->site].place);
        e->name = arena_printf(w->arena, "%s%s", from, to);
        q length = q_name(w, q_norm(w, r), symbol_own(w, "d", e->name));
        work_define(w, length);
        unit = qv_over(w, r, length);
    } else {
        const struct unknown *along = &a->unknown[a->column[e->line[0]].unknown];
        const char *part = assembly_part(a, e->line[0])->text;
        e->name = along->site == e->site
                      ? part
                      : arena_printf(w->arena, "%s,%s", a->site[e->site].name, part);
        unit = aim_unit(w, &assembly_part(a, e->line[0])->aim);
        unit = qv_sum(w, &unit, 1); /* numbers of its own, so that earlier lines keep theirs */
    }
    e->unit = qv_name(w, qv_as_direction(w, unit), numbered(a, "λ"));
    work_define_vector(w, e->unit);
}

void equation_open(struct assembly *a, struct equation *e)
{
    if (e->is_opened)
        return;
    e->is_opened = true;
    a->opened += e->axis < 0 || (e->is_moment && e->site == NO_SITE);
    if (e->is_moment && e->site == NO_SITE) {
        open_meeting(a, e);
        return;
    }
    if (e->is_moment) {
        e->place = a->site[e->site].place;
        e->name = a->site[e->site].name;
    }
    if (e->axis < 0 && e->is_moment)
        open_line(a, e);
    else if (e->axis < 0)
        open_square(a, e);
}

/* ---- as steps ---- */

static char axis_letter(const struct assembly *a, const struct equation *e)
{
    if (e->axis < 0)
        return e->is_moment ? 0 : 'n';
    return e->is_moment && !a->b->loads->space ? 0 : "xyz"[e->axis];
}

void equation_show(const struct assembly *a, const struct equation *e, q left)
{
    work_equation(a->b->w, e->is_moment ? LABEL_SUM_MOMENT : LABEL_SUM_FORCE, axis_letter(a, e),
                  e->name, left, (q){0});
}

void equation_check(const struct assembly *a, const struct equation *e, q left, struct phrase p)
{
    work_check_sum(a->b->w, left, e->is_moment ? LABEL_SUM_MOMENT : LABEL_SUM_FORCE,
                   axis_letter(a, e), e->name, p);
}

struct phrase equation_title(const struct assembly *a, const struct equation *e)
{
    static const char *const axes[3] = {"x", "y", "z"};
    const char *body = a->body_count == 1   ? NULL
                       : e->body == NO_BODY ? "The whole"
                                            : assembly_body_name(a, e->body);
    struct arg who = arg_name(body ? body : "");
    struct arg where = arg_name(e->name ? e->name : "");
    if (!e->is_moment) {
        struct arg along = arg_name(e->axis >= 0 ? axes[e->axis] : "n");
        return body ? PHRASE("{}: forces along {}", who, along) : PHRASE("Forces along {}", along);
    }
    if (e->axis < 0)
        return body ? PHRASE("{}: moments about the line {}", who, where)
                    : PHRASE("Moments about the line {}", where);
    if (!a->b->loads->space)
        return body ? PHRASE("{}: moments about {}", who, where)
                    : PHRASE("Moments about {}", where);
    struct arg axis = arg_name(axes[e->axis]);
    return body ? PHRASE("{}: moments about the {} axis through {}", who, axis, where)
                : PHRASE("Moments about the {} axis through {}", axis, where);
}
