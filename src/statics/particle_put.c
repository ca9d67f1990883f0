/* particle_put.c: what was found of a particle's forces, as entries of the answer. */
#include <math.h>
#include <string.h>

#include "statics/particle.h"

static const struct dimension force_dimension = {.force = 1};

bool particle_is_along_axes(const struct particle_force *f)
{
    for (int k = 0; k < f->reaction.count; k++)
        if (f->reaction.part[k].symbol.base == NULL || f->reaction.count == 1 ||
            !q_is_none(f->reaction.part[k].aim.part[0].factor) ||
            !q_is_none(f->reaction.part[k].aim.part[1].factor) ||
            !q_is_none(f->reaction.part[k].aim.part[2].factor))
            return false;
    return true;
}

static bool is_same(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

/* With as many primes as it takes to differ from every vector there is: where a force is named S or
 * E, its second solution is not the sum of what is known, or what is left over. */
static struct symbol symbol_of_vector(const struct work *w, struct symbol s)
{
    for (uint32_t i = 1; i < w->vector_count; i++) {
        const struct symbol *other = &w->vector[i].symbol;
        if (is_same(other->base, s.base) && is_same(other->sub, s.sub) &&
            other->primed == s.primed) {
            s.primed++;
            i = 0;
        }
    }
    return s;
}

static struct symbol vector_symbol(struct particle *p, const struct particle_force *f)
{
    struct symbol s = symbol_of_name(p->b->w, f->name);
    if (p->solution == 0)
        return s;
    s.primed = (uint8_t)(s.primed + p->solution);
    return symbol_of_vector(p->b->w, s);
}

/* Its parts are its components. */
static qv vector_of_components(struct particle *p, const struct particle_force *f, const q *value)
{
    struct work *w = p->b->w;
    q c[3] = {0};
    struct symbol whole = vector_symbol(p, f);
    for (int axis = 0; axis < board_axes(p->b); axis++) {
        for (int k = 0; k < f->reaction.count; k++)
            if (f->reaction.part[k].aim.part[axis].sign != 0)
                c[axis] =
                    f->reaction.part[k].aim.part[axis].sign > 0 ? value[k] : q_neg(w, value[k]);
        struct symbol own = particle_symbol(w, f->name, "xyz"[axis]);
        if (q_is_none(c[axis]))
            c[axis] = q_integer(w, 0, force_dimension);
        if (q_node(w, c[axis])->symbol.base == NULL)
            c[axis] = q_name(w, c[axis], own);
    }
    return qv_name(w, qv_of(w, c[0], c[1], c[2]), whole);
}

qv particle_vector(struct particle *p, const struct particle_force *f, const q *value)
{
    struct work *w = p->b->w;
    if (particle_is_along_axes(f))
        return vector_of_components(p, f, value);
    qv term[REACTION_PARTS_MAX];
    for (int k = 0; k < f->reaction.count; k++)
        term[k] = aim_vector(w, &f->reaction.part[k].aim, value[k]);
    qv sum = f->reaction.count == 1 ? term[0] : qv_sum(w, term, (uint32_t)f->reaction.count);
    sum = qv_name(w, sum, vector_symbol(p, f));
    work_define_vector(w, sum);
    return sum;
}

static void say_reversed(struct work *w, q value, const struct particle_force *f)
{
    work_say(w, PHRASE("{} is negative: {} acts opposite to the direction it was taken in.",
                       arg_symbol(value), arg_name(f->name)));
}

static struct polar polar_along(struct particle *p, const struct particle_force *f, qv vector,
                                q value)
{
    struct work *w = p->b->w;
    struct aim aim = f->reaction.part[0].aim;
    q size = value;
    if (q_sign(w, value) < 0) {
        say_reversed(w, value, f);
        aim_reverse(&aim);
        size = q_name(w, q_abs(w, value), symbol_of_name(w, f->name));
        work_define(w, size);
    }
    return polar_of_unknown(p->b, vector, f->name, size, &aim);
}

void particle_found(struct particle *p, const struct particle_force *f, const q *value,
                    struct unknown_force *ret)
{
    *ret = (struct unknown_force){
        .name = f->name, .kind = f->kind, .has_force = true, .part_count = f->reaction.count};
    for (int k = 0; k < f->reaction.count; k++) {
        ret->part[k] = (struct unknown_part){f->reaction.part[k].text, value[k]};
        ret->has_force = ret->has_force && !q_is_none(value[k]);
    }
    if (!ret->has_force)
        return;
    qv vector = particle_vector(p, f, value);
    if (f->reaction.count == 1)
        ret->force = polar_along(p, f, vector, value[0]);
    else
        ret->force = polar_of_unknown(p->b, vector, f->name, f->magnitude, NULL);
}

void particle_put_none(struct particle *p)
{
    struct work *w = p->b->w;
    struct unknown_force *u = arena_alloc(w->arena, ((size_t)p->force_count + 1) * sizeof *u);
    static const q none[REACTION_PARTS_MAX];
    if (u == NULL) {
        w->failed = true;
        return;
    }
    for (int i = 0; i < p->force_count; i++)
        particle_found(p, &p->force[i], none, &u[i]);
    unknowns_put(w, NULL, u, p->force_count);
}

q particle_check(struct particle *p, const struct unknown_force *u)
{
    struct work *w = p->b->w;
    qv *term =
        arena_alloc(w->arena, (p->loads.force_count + (size_t)p->force_count + 2) * sizeof *term);
    uint32_t count = 0;
    if (term == NULL) {
        w->failed = true;
        return (q){0};
    }
    for (uint32_t i = 0; i < p->loads.force_count; i++)
        term[count++] = p->loads.force[i].vector;
    for (int i = 0; i < p->force_count; i++)
        term[count++] = p->force[i].is_resultant ? qv_neg(w, u[i].force.vector) : u[i].force.vector;
    if (p->has_required)
        term[count++] = qv_neg(w, p->required.vector);
    if (count == 0)
        return (q){0};
    work_section(w, PLAIN("Check"),
                 p->input->has_required
                     ? PLAIN("Put back, all forces less the resultant must leave nothing.")
                     : PLAIN("Put back, all forces together must leave nothing."));
    qv left = qv_name(w, qv_sum(w, term, count), symbol_of_vector(w, symbol_own(w, "E", NULL)));
    for (int axis = 0; axis < board_axes(p->b); axis++)
        work_check(w, qv_component(w, left, axis), (struct phrase){0});
    q size = q_name(w, q_norm(w, left), symbol_own(w, "E", NULL));
    work_define(w, size);
    double largest = 0.0;
    for (uint32_t i = 0; i < count; i++)
        largest = fmax(largest, fabs(q_value(w, q_norm(w, term[i]))));
    bool is_lost = !(q_value(w, size) <= UNKNOWN_AGREES * largest);
    bool is_doubtful = w->doubt_digits || w->doubt_rounding;
    work_beyond(w, BEYOND_DIGITS, is_lost && is_doubtful);
    w->inconsistent |= is_lost && !is_doubtful; /* a fault of ours: no answer leaves */
    return size;
}
