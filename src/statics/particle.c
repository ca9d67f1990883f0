/* particle.c: forces that meet in one point: what is known of them, what is unknown, and which case
 * it is. */
#include "statics/particle.h"

#include "statics/slips.h"
#include "statics/statics.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* ---- what is given ---- */

static void reserve_names(struct particle *p)
{
    for (int i = 0; i < p->input->support_count; i++)
        work_reserve(p->b->w, p->input->support[i].name);
    if (p->input->has_required)
        work_reserve(p->b->w, p->input->required.name);
}

static void read_required(struct particle *p)
{
    const struct force_input *in = &p->input->required;
    if (!p->input->has_required || force_is_unknown(in))
        return;
    work_section(p->b->w, PLAIN("Required resultant"),
                 PLAIN("The forces shall add up to it, in place of zero."));
    p->has_required = force_load(p->b, in, &p->required);
}

/* Add up what is known; one force stands for itself. */
static void add_known(struct particle *p)
{
    struct work *w = p->b->w;
    uint32_t count = p->loads.force_count + (p->has_required ? 1 : 0);
    if (count == 0 || board_has_faults(p->b))
        return;
    if (count == 1 && !p->has_required) {
        const struct load *load = &p->loads.force[0];
        p->known = load->vector;
        p->known_name = load->name;
        p->known_aim = load->aim;
        p->known_is_aimed = load->is_aimed && !q_is_none(load->magnitude);
        return;
    }
    qv *term = arena_alloc(w->arena, count * sizeof *term);
    if (term == NULL) {
        w->failed = true;
        return;
    }
    for (uint32_t i = 0; i < p->loads.force_count; i++)
        term[i] = p->loads.force[i].vector;
    if (p->has_required)
        term[count - 1] = qv_neg(w, p->required.vector);
    p->known = qv_name(w, qv_sum(w, term, count), symbol_own(w, "S", NULL));
    p->known_name = "S";
    work_say(w, p->has_required ? PLAIN("What is known, less the required resultant, adds up to:")
                                : PLAIN("What is known adds up to:"));
    work_define_vector(w, p->known);
}

/* ---- what is unknown ---- */

static enum one_way one_way_of(const struct force_input *in)
{
    return in->sense == SENSE_PULLS    ? ACTS_PULLING
           : in->sense == SENSE_PUSHES ? ACTS_PUSHING
                                       : ACTS_BOTH_WAYS;
}

static void read_times(struct particle *p, const struct force_input *in, struct particle_force *f)
{
    struct work *w = p->b->w;
    if (!in->times.present)
        return;
    f->times = q_given(w, &in->times, ratio);
    if (q_is_zero(w, f->times))
        problem_fault(p->b->reterr, in->times.pointer, FAULT_RANGE,
                      "A factor of 0 leaves nothing of %s to be found.", in->name);
}

static void read_turned(struct particle *p, const struct force_input *in, struct particle_force *f)
{
    struct work *w = p->b->w;
    f->is_turned_free = true;
    p->turned_count++;
    reaction_of_force(p->b, in->name, &f->reaction);
    if (in->magnitude_unknown)
        return;
    q size = q_given(w, &in->magnitude, force_dimension);
    if (!q_is_none(f->times))
        size = q_mul(w, q_abs(w, f->times), size);
    f->magnitude = q_name(w, size, symbol_of_name(w, in->name));
    work_define(w, f->magnitude);
}

static void read_force(struct particle *p, const struct force_input *in, bool is_resultant)
{
    struct particle_force *f = &p->force[p->force_count++];
    bool is_turned = in->direction.form == DIRECTION_UNKNOWN;
    struct aim aim;
    *f = (struct particle_force){.name = in->name,
                                 .kind = is_resultant ? "resultant" : "force",
                                 .in = in,
                                 .is_resultant = is_resultant,
                                 .same_as = -1};
    read_times(p, in, f);
    if (is_turned && (!in->magnitude_unknown || in->same_as))
        read_turned(p, in, f);
    else if (is_turned)
        reaction_of_force(p->b, in->name, &f->reaction);
    else if (direction_aim(p->b, &in->direction, in->name, false, &aim)) {
        slips_of_aim(p->b->w, SLIP_SUM_SWAP, &aim, in->pointer, in->name);
        reaction_along(p->b, in->name, &aim, one_way_of(in), &f->reaction);
    }
}

static void read_support(struct particle *p, const struct support_input *in)
{
    struct particle_force *f = &p->force[p->force_count++];
    *f = (struct particle_force){
        .name = in->name, .kind = support_kind_word(in->kind), .same_as = -1};
    reaction_of(p->b, in, &f->reaction);
}

/* One number for each part; a force with the magnitude of another shares its number. */
static void number_scalars(struct particle *p)
{
    for (int i = 0; i < p->force_count; i++) {
        struct particle_force *f = &p->force[i];
        bool has_own = !f->is_turned_free && !(f->in && f->in->same_as);
        for (int k = 0; has_own && k < f->reaction.count; k++)
            f->scalar[k] = p->scalar_count++;
    }
}

/* The entry of a force of the request, or −1. */
static int entry_of(const struct particle *p, int force)
{
    for (int i = 0; i < p->force_count; i++)
        if (force >= 0 && p->force[i].in == &p->b->loads->force[force])
            return i;
    return -1;
}

static void share_scalars(struct particle *p)
{
    struct work *w = p->b->w;
    for (int i = 0; i < p->force_count; i++) {
        struct particle_force *f = &p->force[i];
        if (!f->in || !f->in->same_as)
            continue;
        f->same_as = entry_of(p, f->in->same_as_force);
        const struct particle_force *other = f->same_as < 0 ? NULL : &p->force[f->same_as];
        if (!other || other->is_turned_free || other->reaction.count != 1) {
            problem_fault(p->b->reterr, f->in->pointer, FAULT_OUT_OF_SCOPE,
                          "%s has the magnitude of %s, whose direction is unknown too: give the "
                          "direction of %s.",
                          f->name, f->in->same_as, f->in->same_as);
            continue;
        }
        f->scalar[0] = other->scalar[0];
        q own = q_is_none(f->times) ? q_integer(w, 1, ratio) : f->times;
        if (!q_is_none(other->times) && !q_is_zero(w, other->times))
            f->times = q_div(w, own, other->times);
    }
    for (int i = 0; i < p->force_count; i++)
        if (p->force[i].same_as < 0)
            p->force[i].times = (q){0}; /* a factor of its own is part of what is found */
}

static void read_unknowns(struct particle *p)
{
    const struct loads_input *in = p->b->loads;
    size_t count = (size_t)in->force_count + (size_t)p->input->support_count + 2;
    p->force = arena_alloc(p->b->w->arena, count * sizeof *p->force);
    if (p->force == NULL) {
        p->b->w->failed = true;
        return;
    }
    uint32_t from = p->b->w->node_count;
    work_section(p->b->w, PLAIN("Directions of the unknown forces"), (struct phrase){0});
    for (int i = 0; i < in->force_count; i++)
        if (force_is_unknown(&in->force[i]))
            read_force(p, &in->force[i], false);
    for (int i = 0; i < p->input->support_count; i++)
        read_support(p, &p->input->support[i]);
    if (p->input->has_required && force_is_unknown(&p->input->required))
        read_force(p, &p->input->required, true);
    slips_of_aims(p->b->w, from);
    number_scalars(p);
    share_scalars(p);
}

/* ---- the whole ---- */

static enum problem_code run(struct particle *p)
{
    if (p->input->smallest >= 0)
        particle_smallest(p);
    else if (p->turned_count > 0)
        particle_two_unknowns(p);
    else
        return particle_linear(p);
    return PROBLEM_NONE;
}

enum problem_code statics_particle(struct work *w, const struct equilibrium_input *input,
                                   struct problem *reterr)
{
    struct board b;
    struct particle p = {.b = &b, .input = input};
    board_begin(&b, w, &input->loads, reterr);
    b.is_body = true;
    reserve_names(&p);
    system_put(&b, &p.loads);
    read_required(&p);
    add_known(&p);
    read_unknowns(&p);
    if (w->failed || board_has_faults(&b))
        return board_end(&b);
    enum problem_code code = run(&p);
    if (code == PROBLEM_NONE)
        code = board_end(&b);
    return code == PROBLEM_NONE ? work_close(w, reterr) : code;
}
