/* resolve.c: one force into its components: x, y (, z), along oblique axes, onto a line. */
#include "statics/force.h"
#include "statics/notes.h"
#include "statics/oblique.h"
#include "statics/polar.h"
#include "statics/projection.h"
#include "statics/statics.h"

/* Components, then size and direction. Without a vector where a fault was found. */
static struct polar resolve_force(struct board *b, const struct force_input *in,
                                  struct load *ret_load)
{
    struct work *w = b->w;
    work_section(w, PHRASE("Components of {}", arg_name(in->name)),
                 in->has_components ? PLAIN("They are given.")
                                    : PLAIN("Each component is the force times the cosine of its "
                                            "angle with that axis."));
    if (!force_load(b, in, ret_load))
        return (struct polar){0};
    work_section(w, PLAIN("Magnitude and direction"), (struct phrase){0});
    struct load *F = ret_load;
    struct polar p = polar_of(b, F->vector, F->symbol, F->magnitude, F->is_aimed ? &F->aim : NULL);
    if (p.is_zero)
        note_add(w, NOTE_ZERO_FORCE,
                 PHRASE("{} is zero: it has no direction.", arg_name(in->name)));
    return p;
}

static void put_along(struct work *w, const q part[3])
{
    struct value *along = result_object(w, NULL, "along");
    result_number(w, along, "u", part[0]);
    result_number(w, along, "v", part[1]);
    if (w->space)
        result_number(w, along, "w", part[2]);
}

/* Onto a line; false where a fault was found. */
static bool resolve_onto(struct board *b, const struct resolve_input *input,
                         const struct polar *force, struct symbol symbol, struct projection *ret)
{
    struct aim line;
    work_section(b->w, PLAIN("Onto the line"),
                 PLAIN("The dot product with a unit vector is the part along it; what is left is "
                       "square to it."));
    if (!direction_aim(b, &input->onto, "λ", false, &line) || qv_is_none(force->vector))
        return false;
    *ret = projection_of(b, force, symbol, &line);
    return true;
}

enum problem_code statics_resolve(struct work *w, const struct resolve_input *input,
                                  struct problem *reterr)
{
    struct board b;
    struct load load;
    struct projection onto;
    q part[3] = {0};
    board_begin(&b, w, &input->loads, reterr);
    b.is_one_force = true;
    struct polar force = resolve_force(&b, &input->loads.force[0], &load);
    bool has_along = input->has_along && oblique_parts(&b, input->along, input->along_pointer,
                                                       &force, load.symbol, part);
    bool has_onto = input->has_onto && resolve_onto(&b, input, &force, load.symbol, &onto);
    enum problem_code code = board_end(&b);
    if (code != PROBLEM_NONE)
        return code;
    polar_put_force(w, NULL, "force", load.name, &force);
    polar_put_direction(w, NULL, &force);
    result_phrase(w, NULL, "in_words", polar_in_words(&force));
    if (has_along)
        put_along(w, part);
    if (has_onto)
        projection_put(w, "onto", &onto);
    return work_close(w, reterr);
}
