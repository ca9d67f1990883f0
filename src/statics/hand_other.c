/* hand_other.c: other usual ways to the same numbers, for their allowances only: without steps. */
#include "statics/hand.h"
#include "work/slip.h"

/* How a way differs from the one that is shown. */
struct way {
    bool by_arm;       /* moments of loads by their arms */
    bool by_component; /* what acts along a slanted line by its component first */
};

/* A sum that many would write down before they go on; made here, so that its name stands in no
 * line.
 */
static q written(struct work *w, q x, uint32_t mark)
{
    const struct node *n = q_node(w, x);
    if (x.i < mark || n->symbol.base || (n->op != OP_SUM && n->op != OP_SUB))
        return x;
    return q_name(w, x, symbol_own(w, "b", arena_printf(w->arena, "o%u", x.i)));
}

/* above/(r f), as (above/r)/f where there are two factors. */
static q divided(struct work *w, q above, q by, struct way way)
{
    const struct node *n = q_node(w, by);
    if (!way.by_component || n->op != OP_MUL)
        return q_div(w, above, by);
    q first = {n->operand[0]}, second = {n->operand[1]};
    return q_div(w, q_div(w, above, first), second);
}

/* x = −known/coefficient, with the sum of the loads, the whole sum and the coefficient written.
 * {0}: nothing is known, so that it is zero. */
static q solved(const struct hand *h, const struct equation *e, int i, struct way way)
{
    struct work *w = h->a->b->w;
    struct terms known = {.w = w}, loads = {.w = w};
    uint32_t mark = w->node_count;
    struct signed_q c = hand_coefficient(h, e, i);
    hand_found(h, e, -c.sign, &known);
    equation_loads_otherwise(h->a, e, -c.sign, way.by_arm, &loads);
    q load = terms_sum(&loads);
    if (!q_is_none(load))
        terms_add(&known, (struct signed_q){1, written(w, load, mark)});
    q above = terms_sum(&known);
    if (q_is_none(above) || c.sign == 0)
        return (q){0};
    above = written(w, above, mark);
    return q_is_none(c.x) ? above : divided(w, above, written(w, c.x, mark), way);
}

static void other_way(const struct hand *h, int i, q other)
{
    struct assembly *a = h->a;
    struct work *w = a->b->w;
    const struct hand_unknown *x = &h->unknown[i];
    if (x->column >= 0) {
        if (!q_is_none(a->column[x->column].answer))
            work_alternative(w, a->column[x->column].answer, other);
        return;
    }
    const struct strut *s = &h->strut[x->strut];
    for (int end = 0; end < 2; end++) {
        const struct unknown *u = &a->unknown[s->unknown[end]];
        for (int k = 0; k < u->reaction.count; k++) {
            q along = q_mul(w, other, qv_component(w, s->unit, k));
            bool is_minus = (end == 0) != (s->sign[end] < 0);
            work_alternative(w, a->column[u->column[k]].answer, is_minus ? q_neg(w, along) : along);
        }
    }
}

/* The same equations in the same order, each sum collected before it is divided. */
static void by_collected_sums(const struct hand *h, struct way way)
{
    struct hand again = *h;
    for (int k = 0; k < h->used_count; k++)
        if (h->solved[k] >= 0)
            again.unknown[h->solved[k]].value = (q){0};
    for (int k = 0; k < h->used_count && !h->a->b->w->failed; k++) {
        int i = h->solved[k];
        if (i < 0)
            continue;
        q other = solved(&again, &h->used[k], i, way);
        again.unknown[i].value = q_is_none(other) ? h->unknown[i].value : other;
        if (!q_is_none(other))
            other_way(h, i, other);
    }
}

/* Equations that hold one unknown and no other: moments about the other support. */
static void by_other_equations(const struct hand *h)
{
    struct candidates usual;
    struct hand alone = *h;
    for (int i = 0; i < h->count; i++)
        alone.unknown[i].value = (q){0};
    hand_usual(h, &usual);
    for (int c = 0; c < usual.count && !h->a->b->w->failed; c++) {
        struct candidate *x = &usual.list[c];
        if (hand_bits(x->unknowns) != 1 || hand_used(h, &x->equation))
            continue;
        int i = hand_first(x->unknowns);
        equation_open(h->a, &x->equation);
        q other = solved(&alone, &x->equation, i, (struct way){0});
        if (!q_is_none(other) && !q_is_none(h->unknown[i].value))
            other_way(h, i, other);
    }
}

void hand_alternatives(const struct hand *h)
{
    if (!h->a->b->w->wants_key)
        return;
    for (int way = 0; way < 4; way++)
        by_collected_sums(h, (struct way){.by_arm = way & 1, .by_component = way & 2});
    by_other_equations(h);
}

/* ---- what must vanish ---- */

void hand_balance(struct hand *h, struct candidate *c)
{
    struct work *w = h->a->b->w;
    bool numbers_only = w->numbers_only, keeps_slips = w->keeps_slips;
    for (uint64_t rest = c->unknowns; rest != 0; rest &= rest - 1)
        if (q_is_none(h->unknown[hand_first(rest)].value))
            return;
    w->numbers_only = true; /* neither lines nor wrong lines of its own */
    w->keeps_slips = false;
    q sum = hand_sum(h, &c->equation);
    w->numbers_only = numbers_only;
    w->keeps_slips = keeps_slips;
    slip_balance(w, sum, (q){0});
}

void hand_balances(struct hand *h)
{
    struct candidates usual;
    if (!h->a->b->w->keeps_slips)
        return;
    hand_usual(h, &usual);
    for (int i = 0; i < usual.count && !h->a->b->w->failed; i++)
        hand_balance(h, &usual.list[i]);
}
