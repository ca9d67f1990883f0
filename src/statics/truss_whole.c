/* truss_whole.c: what the equations of the whole truss give of the reactions. */
#include "statics/truss_order.h"

/* Beyond these the equations of the whole are looked at one by one only. */
#define FURTHER_MAX 12

static void work_whole(struct order *o, struct hand *h)
{
    struct candidates usual, further;
    int rows[HAND_COLUMNS_MAX], equations = o->t->axes == 2 ? 3 : 6;
    hand_usual(h, &usual);
    while (h->open && !o->w->failed) {
        int open = __builtin_popcountll(h->open), best = hand_single(&usual, h->open);
        if (best >= 0) {
            hand_solve_single(h, &usual.list[best]);
            continue;
        }
        if (open > FURTHER_MAX)
            return;
        further = (struct candidates){0};
        hand_further(h, &further);
        best = hand_single(&further, h->open);
        if (best >= 0) {
            hand_solve_single(h, &further.list[best]);
            continue;
        }
        uint64_t group = open <= equations ? hand_group(h, &usual, rows) : 0;
        if (group == 0)
            return;
        uint64_t before = h->open;
        hand_solve_together(h, &usual, group, rows, __builtin_popcountll(group));
        if (h->open == before) /* none of them is fixed as far as the digits tell */
            return;
    }
}

/* For the allowances of the reactions, and of all that is worked out from them. */
static void other_ways_to_reactions(struct part *p)
{
    for (int k = 0; k < p->cut.h.count; k++)
        p->cut.a.column[k].answer = p->cut.a.column[k].hand;
    hand_alternatives(&p->cut.h);
}

void order_by_whole(struct order *o)
{
    const struct order_values values = {.value = o->value, .letter = "F"};
    struct truss *t = o->t;
    struct work *w = o->w;
    struct part p;
    if (t->unknown_count == t->member_count)
        return;
    for (int j = 0; j < t->joint_count; j++)
        o->side[j] = 1;
    work_section(w, PLAIN("Reactions"),
                 PLAIN("The whole truss is a rigid body; only loads and reactions act on it."));
    if (part_cut(o, &values, &p)) {
        work_whole(o, &p.cut.h);
        hand_balances(&p.cut.h);
        int found = part_take(o, &p, o->value);
        other_ways_to_reactions(&p);
        t->found_by[TRUSS_BY_WHOLE] += found;
        for (int i = t->member_count; i < t->unknown_count; i++)
            o->is_by_whole[i] = !order_is_open(o, i);
        if (found == 0)
            work_decide(w, PLAIN("No equation of the whole holds one reaction alone: they come "
                                 "with the joints."));
    }
    part_clear(o);
}
