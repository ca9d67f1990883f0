/* system.c: the loads of a problem, each in its steps. */
#include "statics/system.h"

#include "statics/distributed.h"
#include "statics/slips.h"

static void put_forces(struct board *b, struct system *s)
{
    const struct loads_input *in = b->loads;
    bool is_any_given = false;
    for (int i = 0; i < in->force_count; i++)
        is_any_given = is_any_given || !force_is_unknown(&in->force[i]);
    if (!is_any_given)
        return;
    work_section(b->w, PLAIN("Components of the forces"), PLAIN("Forces add by their components."));
    for (int i = 0; i < in->force_count; i++)
        if (!force_is_unknown(&in->force[i]) &&
            force_load(b, &in->force[i], &s->force[s->force_count]))
            s->force_count++;
}

static void put_couple(struct system *s, qv couple, int body)
{
    s->couple_body[s->couple_count] = body;
    s->couple[s->couple_count++] = couple;
}

static void put_distributed(struct board *b, struct system *s)
{
    const struct loads_input *in = b->loads;
    if (in->distributed_count == 0)
        return;
    work_section(b->w, PLAIN("Distributed loads"),
                 PLAIN("A distributed load acts as the area under it, at its centroid."));
    for (int i = 0; i < in->distributed_count; i++) {
        struct load load;
        qv couple;
        if (!distributed_resultant(b, &in->distributed[i], &load, &couple))
            continue;
        if (qv_is_none(couple))
            s->force[s->force_count++] = load;
        else
            put_couple(s, couple, in->distributed[i].body);
    }
}

static void put_couples(struct board *b, struct system *s)
{
    const struct loads_input *in = b->loads;
    if (in->couple_count == 0)
        return;
    work_section(b->w, PLAIN("Couples"), PLAIN("A couple turns the same about every point."));
    for (int i = 0; i < in->couple_count; i++) {
        qv couple = force_couple(b, &in->couple[i]);
        if (!qv_is_none(couple))
            put_couple(s, couple, in->couple[i].body);
    }
}

void system_put(struct board *b, struct system *ret_system)
{
    const struct loads_input *in = b->loads;
    size_t forces = (size_t)in->force_count + (size_t)in->distributed_count;
    size_t couples = (size_t)in->couple_count + (size_t)in->distributed_count;
    *ret_system = (struct system){
        .force = arena_alloc(b->w->arena, (forces + 1) * sizeof *ret_system->force),
        .couple = arena_alloc(b->w->arena, (couples + 1) * sizeof *ret_system->couple),
        .couple_body = arena_alloc(b->w->arena, (couples + 1) * sizeof *ret_system->couple_body),
    };
    if (!ret_system->force || !ret_system->couple || !ret_system->couple_body) {
        b->w->failed = true;
        return;
    }
    put_forces(b, ret_system);
    put_distributed(b, ret_system);
    put_couples(b, ret_system);
    slips_of_forces(b, ret_system);
}
