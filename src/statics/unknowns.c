#include "statics/unknowns.h"

const char *equilibrium_state_word(enum equilibrium_state state)
{
    static const char *const words[STATE_MAX_] = {"determinate", "indeterminate",
                                                  "improperly_constrained", "no_equilibrium"};
    return words[state];
}

enum equilibrium_state equilibrium_state_of(int unknowns, int equations, int rank, bool is_held)
{
    if (rank == unknowns)
        return is_held ? STATE_DETERMINATE : STATE_NO_EQUILIBRIUM;
    return rank == equations ? STATE_INDETERMINATE : STATE_IMPROPERLY_CONSTRAINED;
}

static void put_couple(struct work *w, struct value *entry, const struct unknown_force *u)
{
    if (!u->has_couple_parts)
        return;
    if (!u->has_couple)
        result_null(w, entry, "couple");
    else if (w->space)
        result_vector(w, entry, "couple", u->couple);
    else
        result_number(w, entry, "couple", qv_component(w, u->couple, 2));
}

void unknowns_put(struct work *w, struct value *parent, const struct unknown_force *u, int count)
{
    unknowns_put_as(w, parent, "unknowns", u, count);
}

void unknowns_put_as(struct work *w, struct value *parent, const char *key,
                     const struct unknown_force *u, int count)
{
    struct value *list = result_list(w, parent, key);
    for (int i = 0; i < count; i++) {
        struct value *entry = result_object(w, list, NULL);
        result_text(w, entry, "name", u[i].name);
        result_text(w, entry, "kind", u[i].kind);
        if (u[i].has_force)
            polar_put_force(w, entry, "force", u[i].name, &u[i].force);
        else
            result_null(w, entry, "force");
        put_couple(w, entry, &u[i]);
        struct value *parts = result_list(w, entry, "parts");
        for (int k = 0; k < u[i].part_count; k++) {
            struct value *part = result_object(w, parts, NULL);
            result_text(w, part, "symbol", u[i].part[k].symbol);
            result_number_or_null(w, part, "value", u[i].part[k].value);
        }
    }
}

void unknowns_put_count(struct work *w, int unknowns, int equations, int rank)
{
    struct value *count = result_object(w, NULL, "count");
    result_count(w, count, "unknowns", unknowns);
    result_count(w, count, "equations", equations);
    result_count(w, count, "rank", rank);
}

/* What is left over is no number that one would ask a student for. */
static void put_left_over(struct work *w, struct value *residual, const char *key, q x)
{
    result_number(w, residual, key, x);
    if (residual && residual->last)
        residual->last->asked = false;
}

void unknowns_put_residual(struct work *w, q force, q moment)
{
    struct value *residual = result_object(w, NULL, "residual");
    put_left_over(w, residual, "force", force);
    if (!q_is_none(moment))
        put_left_over(w, residual, "moment", moment);
}

const char *unknown_part_symbol(struct work *w, const char *base, const char *sub, char axis)
{
    char letter[2] = {axis, '\0'};
    const char *text =
        arena_printf(w->arena, "%s%s%s%s", base, sub || axis ? "_" : "", sub ? sub : "", letter);
    return text ? text : base;
}
