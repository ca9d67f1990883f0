#include "statics/freebody.h"

#include <string.h>

/* A larger sheet would be all diagrams. */
#define BODIES_SAID_MAX 20

/* ---- where ---- */

/* "A", or "(3.2, 0)" where the place has no name. */
static struct phrase at_place(const struct assembly *a, const char *before, const char *who,
                              const char *name, qv place)
{
    struct work *w = a->b->w;
    struct arg whose = arg_name(who), x = arg_value(qv_component(w, place, 0)),
               y = arg_value(qv_component(w, place, 1));
    if (name)
        return PHRASE("{} {} at {}.", whose, arg_name(before), arg_name(name));
    if (!w->space)
        return PHRASE("{} {} at ({}, {}).", whose, arg_name(before), x, y);
    return PHRASE("{} {} at ({}, {}, {}).", whose, arg_name(before), x, y,
                  arg_value(qv_component(w, place, 2)));
}

static void say_loads(const struct assembly *a, int body)
{
    struct work *w = a->b->w;
    for (uint32_t i = 0; i < a->loads.force_count; i++) {
        const struct load *load = &a->loads.force[i];
        if (load->body != body)
            continue;
        const char *name = load->at != NO_PLACE ? a->b->loads->point[load->at].name : NULL;
        bool is_required = a->input->has_required && load->name == a->input->required.name;
        bool is_spread = load->at == NO_PLACE;
        work_say(w, at_place(a,
                             is_required ? "is what all forces shall add up to, so it counts with "
                                           "a minus,"
                             : is_spread ? "acts as one force"
                                         : "acts",
                             load->name, name, load->place));
    }
    for (uint32_t i = 0; i < a->loads.couple_count; i++)
        if (a->loads.couple_body[i] == body)
            work_say(w, PHRASE("The couple {} acts on it: its moment is the same about every "
                               "point.",
                               arg_vector(a->loads.couple[i])));
}

/* ---- unknowns ---- */

/* "A_x and A_y" */
static struct arg parts_of(const struct assembly *a, const struct unknown *u)
{
    struct work *w = a->b->w;
    int count = u->reaction.count;
    struct symbol *parts = arena_alloc(w->arena, (size_t)count * sizeof *parts);
    for (int k = 0; k < count && parts; k++)
        parts[k] = u->reaction.part[k].symbol;
    w->failed = w->failed || !parts;
    return arg_list(parts, parts ? count : 0);
}

static void say_unknown(const struct assembly *a, const struct unknown *u, int body)
{
    struct work *w = a->b->w;
    struct arg where = arg_name(a->site[u->site].name), parts = parts_of(a, u);
    if (u->reason) {
        work_say(w, PHRASE(u->reason, where, parts));
    } else if (u->opposite != NO_BODY) {
        const char *other = assembly_body_name(a, u->opposite == body ? u->body : u->opposite);
        work_say(w, u->opposite == body
                        ? PHRASE("At {} the pin exerts {} reversed: equal and opposite to its "
                                 "force on {}.",
                                 where, parts, arg_name(other))
                        : PHRASE("At {} the pin exerts {}; on {} it exerts the opposite.", where,
                                 parts, arg_name(other)));
    } else if (u->is_resultant) {
        work_say(w, PHRASE("{} is what all forces shall add up to, at {}: it counts with a minus.",
                           parts, where));
    } else {
        work_say(w, PHRASE("The unknown force at {}: {}.", where, parts));
    }
}

static void say_body(const struct assembly *a, int body)
{
    const char *name = assembly_body_name(a, body);
    struct phrase title =
        name ? PHRASE("Free-body diagram of {}", arg_name(name)) : PLAIN("Free-body diagram");
    work_section(a->b->w, title, PLAIN("Everything that acts on the body, and nothing else."));
    say_loads(a, body);
    for (int i = 0; i < a->unknown_count; i++)
        if (a->unknown[i].body == body || a->unknown[i].opposite == body)
            say_unknown(a, &a->unknown[i], body);
}

void freebody_say(const struct assembly *a)
{
    for (int body = 0; body < a->body_count && body < BODIES_SAID_MAX; body++)
        say_body(a, body);
}

/* ---- the count ---- */

void freebody_say_count(const struct assembly *a, enum equilibrium_state state)
{
    struct work *w = a->b->w;
    struct arg n = arg_count(a->column_count), e = arg_count(a->equations), r = arg_count(a->rank);
    work_section(w, PLAIN("Unknowns and equations"),
                 PLAIN("The count alone decides nothing: what decides is how many equations are "
                       "independent."));
    work_say(w, PHRASE("There are {} unknowns and {} equations of equilibrium, {} of them "
                       "independent in the unknowns.",
                       n, e, r));
    switch (state) {
    case STATE_DETERMINATE:
        if (a->rank == a->equations)
            work_decide(w, PLAIN("Every unknown has one value: statically determinate."));
        else
            work_decide(w, PLAIN("Every unknown has one value, though a motion is left free: these "
                                 "loads have no part in it."));
        return;
    case STATE_INDETERMINATE:
        work_decide(w, PHRASE("There are more unknowns than independent equations, by {}: "
                              "statically indeterminate. Some may be fixed all the same.",
                              arg_count(a->column_count - a->rank)));
        return;
    case STATE_IMPROPERLY_CONSTRAINED:
        work_decide(w, a->is_held
                           ? PLAIN("Some unknowns depend on each other while a motion is left "
                                   "free: improperly constrained. These loads are held all the "
                                   "same.")
                           : PLAIN("Some unknowns depend on each other while a motion is left "
                                   "free: improperly constrained. These loads have a part in that "
                                   "motion and can't be held."));
        return;
    case STATE_NO_EQUILIBRIUM:
        work_decide(w, PLAIN("A motion is left free, and these loads have a part in it: there is "
                             "no equilibrium."));
        return;
    case STATE_MAX_:
        return;
    }
}
