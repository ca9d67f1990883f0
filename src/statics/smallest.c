/* smallest.c: the smallest force that does what is required. */
#include "statics/closing.h"
#include "statics/notes.h"

static const struct dimension force_dimension = {.force = 1};

void particle_smallest(struct particle *p)
{
    struct work *w = p->b->w;
    const struct particle_force *F = NULL, *other = NULL;
    for (int i = 0; i < p->force_count; i++) {
        if (p->force[i].in == &p->b->loads->force[p->input->smallest])
            F = &p->force[i];
        else if (p->force[i].same_as < 0)
            other = &p->force[i];
    }
    int axes = board_axes(p->b);
    if (!F || F->is_turned_free || F->reaction.count != axes || p->turned_count > 0 ||
        p->scalar_count != axes + 1 || !other) {
        closing_out_of_scope(
            p, "/smallest",
            "The smallest force is found where it is wholly unknown and one magnitude "
            "beside it, usually that of the resultant along a given direction.");
        return;
    }
    struct pull_line line = closing_line(p, other->scalar[0]);
    if (!line.force || line.is_nothing) {
        closing_out_of_scope(p, "/smallest", "The pulls of the other unknown magnitude cancel.");
        return;
    }
    struct solutions a = {0};
    qv known = closing_known(p);
    work_section(
        w, PHRASE("The smallest {}", arg_name(F->name)),
        PHRASE(
            "{} has to bring the sum onto the line of {}. The shortest way to a line is "
            "square to it, so that {} has no part along it.{}",
            arg_name(F->name), arg_name(line.force->name), arg_name(F->name),
            arg_name(w->space ? "" : " t runs along the line, n from there counter-clockwise.")));
    bool is_sum = line.force->is_resultant && q_is_none(line.length);
    if (is_sum) /* that counts on the other side of the equations */
        aim_reverse(&line.aim);
    q along = closing_step(w, particle_part_along(w, &line.aim, known),
                           particle_symbol(w, p->known_name, 't'));
    q free = is_sum ? q_sum(w, &along, 1) : closing_minus_over(w, along, (q){0}, line.length);
    bool is_beyond = q_sign(w, free) < 0;
    if (is_beyond) {
        struct phrase text = PHRASE(
            "Square to the line, {} would be {}, against its direction. It is never less "
            "than zero, and at zero {} is the smallest it can be: it balances what is known.",
            arg_name(line.force->name), arg_value(free), arg_name(F->name));
        work_decide(w, text);
        note_add(w, NOTE_SMALLEST_AT_ZERO, text);
    }
    q magnitude = closing_step(w, is_beyond ? q_integer(w, 0, force_dimension) : free,
                               line.force->reaction.part[0].symbol);
    q n = {0};
    struct aim across = {0};
    if (!is_beyond && !w->space) {
        across = aim_turned(w, &line.aim, 1);
        n = closing_step(w, particle_part_along(w, &across, known),
                         particle_symbol(w, p->known_name, 'n'));
        n = closing_step(w, q_neg(w, n), particle_symbol(w, F->name, 'n'));
    }
    q c[3] = {0};
    for (int axis = 0; axis < axes; axis++) {
        if (!q_is_none(n))
            c[axis] = aim_part(w, &across, n, axis);
        else if (!is_beyond && line.aim.part[axis].sign)
            c[axis] = q_sub(w, aim_part(w, &line.aim, along, axis), qv_component(w, known, axis));
        else
            c[axis] = q_neg(w, qv_component(w, known, axis));
        c[axis] = closing_step(w, c[axis], F->reaction.part[axis].symbol);
    }
    qv turned[2] = {qv_of(w, c[0], c[1], c[2])};
    closing_add(p, &a, &line, magnitude, turned);
    closing_put(p, &a);
}
