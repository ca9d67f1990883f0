/* truss_order.c: a truss worked by hand, joint by joint. */
#include "statics/truss_order.h"

#include <math.h>

#include "base/limits.h"
#include "statics/notes.h"
#include "statics/slips.h"
#include "statics/zero_rule.h"

static const struct dimension force_dimension = {.force = 1};

static void *take(struct order *o, int count, size_t size)
{
    void *room = arena_alloc(o->w->arena, ((size_t)count + 1) * size);
    if (!room)
        o->w->failed = true;
    return room;
}

/* ---- a joint ---- */

static int rank_without(const struct order *o, const int *open, int count, int left_out)
{
    struct exact_span s = {.rank = 0};
    for (int k = 0; k < count && s.rank < o->t->axes; k++)
        if (k != left_out)
            exact_span_add(o->w->field, &s, o->line[open[k]]);
    return s.rank;
}

int order_open_at(struct order *o, int joint, const bool *is_known, int *ret_open, int *ret_alone)
{
    const struct truss *t = o->t;
    struct truss_list list = t->joint[joint].unknowns;
    int count = 0;
    *ret_alone = 0;
    for (int k = 0; k < list.count; k++) {
        int i = truss_entry(t, list, k);
        if (is_known ? is_known[i] : !order_is_open(o, i))
            continue;
        if (count == HAND_COLUMNS_MAX)
            return -1;
        ret_open[count++] = i;
    }
    /* An order only fills in what is open: the same count, the same unknowns. */
    struct joint_seen *seen = &o->seen[joint];
    if (!is_known && seen->count == count) {
        *ret_alone = seen->alone;
        return count;
    }
    int rank = rank_without(o, ret_open, count, -1);
    for (int k = 0; k < count; k++)
        if (t->unknown[ret_open[k]].is_fixed &&
            (rank == count || rank_without(o, ret_open, count, k) < rank))
            ++*ret_alone;
    order_spend(o, 8 * (uint64_t)(count + 1) * (uint64_t)(count + 1));
    if (!is_known)
        *seen = (struct joint_seen){count, *ret_alone};
    return count;
}

static bool are_neighbours(const struct truss *t, int joint, int other)
{
    struct truss_list list = t->joint[joint].unknowns;
    for (int k = 0; k < list.count; k++) {
        int i = truss_entry(t, list, k);
        if (truss_is_member(t, i) && truss_other_joint(t, i, joint) == other)
            return true;
    }
    return false;
}

/* A joint and how it stands: all of its open unknowns can be found, or some. */
struct choice {
    int joint; /* −1: none */
    int open;
    int chain;              /* how many joints its known forces have come through */
    bool is_whole, is_next; /* next to the joint worked last */
};

static bool is_better(const struct choice *a, const struct choice *b)
{
    if (b->joint < 0 || a->is_whole != b->is_whole)
        return b->joint < 0 || a->is_whole;
    if (a->chain != b->chain)
        return a->chain < b->chain;
    if (a->open != b->open)
        return a->open < b->open;
    return a->is_next && !b->is_next;
}

/* The longest that ends at the joint; 0 where chains do not matter. */
static int chain_at(const struct order *o, int joint)
{
    struct truss_list list = o->t->joint[joint].unknowns;
    int longest = 0;
    for (int k = 0; k < list.count && o->way == ORDER_FROM_ALL_SIDES; k++) {
        int chain = o->chain[truss_entry(o->t, list, k)];
        longest = chain > longest ? chain : longest;
    }
    return longest;
}

static struct choice choose_joint(struct order *o)
{
    const struct truss *t = o->t;
    struct choice best = {.joint = -1};
    int open[HAND_COLUMNS_MAX], alone;
    for (int k = 0; k < t->joint_count; k++) {
        int j = o->way == ORDER_FROM_OTHER_END ? t->joint_count - 1 - k : k;
        int count = order_open_at(o, j, NULL, open, &alone);
        if (count <= 0 || alone == 0)
            continue;
        struct choice c = {.joint = j, .open = count, .is_whole = alone == count};
        c.is_next = o->last >= 0 && are_neighbours(t, j, o->last);
        c.chain = chain_at(o, j);
        if (is_better(&c, &best))
            best = c;
    }
    return best;
}

static const char *texts_of(struct order *o, const int *unknown, int count)
{
    const char *texts = NULL;
    for (int k = 0; k < count; k++)
        texts = name_list(o->w, texts, order_text(o, unknown[k]), count - 1 - k);
    return texts ? texts : "";
}

static void say_why_joint(struct order *o, const struct choice *c)
{
    int open[HAND_COLUMNS_MAX], alone;
    int count = order_open_at(o, c->joint, NULL, open, &alone);
    struct arg at = arg_name(o->t->joint[c->joint].name);
    struct arg which = arg_name(texts_of(o, open, count));
    work_section(o->w, PHRASE("Joint {}", at), (struct phrase){0});
    if (!c->is_whole)
        work_decide(o->w,
                    PHRASE("More forces are unknown at {} than its equations can give, {}; "
                           "but all of them but one lie {}, and the sum square to that gives "
                           "this one.",
                           at, which, arg_name(o->t->axes == 2 ? "in one line" : "in one plane")));
    else
        work_decide(o->w, count == 1 ? PHRASE("One force is unknown at {}: {}.", at, which)
                                     : PHRASE("{} forces are unknown at {}, as many as its "
                                              "equations can give: {}.",
                                              arg_name(count == 2 ? "Two" : "Three"), at, which));
}

/* What is known at a part before it is worked, under nodes of its own; NULL where slips are not
 * kept. */
static q *copies_of_known(struct order *o, const struct part *p)
{
    struct work *w = o->w;
    if (!w->keeps_slips || o->way != ORDER_SHOWN)
        return NULL;
    q *copy = arena_alloc(w->arena, ((size_t)p->cut.h.count + 1) * sizeof *copy);
    for (int k = 0; copy && k < p->cut.h.count; k++)
        if (!order_is_open(o, p->unknown[k]))
            copy[k] = q_sum(w, &o->value[p->unknown[k]], 1);
    return copy;
}

/* A member's force carried over with the wrong sign, a reaction left out, at this joint alone. */
static void slips_of_known(struct order *o, const struct part *p, const q *copy, uint32_t from)
{
    for (int k = 0; copy && k < p->cut.h.count; k++) {
        int i = p->unknown[k];
        if (q_is_none(copy[k]))
            continue;
        bool is_member = truss_is_member(o->t, i);
        slips_of_carried(o->w, is_member ? SLIP_TR_CARRY : SLIP_TR_REACTION,
                         is_member ? slips_member_pointer(o->w, i) : NULL, o->t->unknown[i].name,
                         from, copy[k], o->value[i]);
    }
}

static void work_joint(struct order *o, const struct choice *c)
{
    struct part p;
    const struct order_values values = {.value = o->value, .letter = "F"};
    say_why_joint(o, c);
    o->side[c->joint] = 1;
    bool is_cut = part_cut(o, &values, &p);
    o->side[c->joint] = 0;
    o->is_used[c->joint] = true;
    o->last = c->joint;
    if (!is_cut) {
        o->left = 0; /* more members than are worked: the rest is left out */
        return;
    }
    q *copy = copies_of_known(o, &p);
    uint32_t from = o->w->node_count;
    cut_work_joint(&p.cut);
    slips_of_known(o, &p, copy, from);
    for (int k = 0; k < p.cut.h.count; k++)
        if (order_is_open(o, p.unknown[k]))
            o->chain[p.unknown[k]] = c->chain + 1;
    int found = part_take(o, &p, o->value);
    if (found == 0) {
        o->left = 0;
        return;
    }
    o->t->found_by[c->is_whole ? TRUSS_BY_JOINT : TRUSS_BY_SQUARE] += found;
    order_add_group(o, &c->joint, 1);
}

/* ---- the order ---- */

void order_add_group(struct order *o, const int *joint, int count)
{
    struct truss *t = o->t;
    int open[HAND_COLUMNS_MAX], alone;
    if (o->way != ORDER_SHOWN)
        return;
    struct truss_group *group = &t->order[t->order_count];
    *group = (struct truss_group){{t->ordered, 0}};
    for (int k = 0; k < count; k++) {
        bool is_done = count > 1 || order_open_at(o, joint[k], NULL, open, &alone) == 0;
        if (!is_done || o->is_listed[joint[k]])
            continue;
        o->is_listed[joint[k]] = true;
        t->lists[t->ordered++] = joint[k];
        group->joints.count++;
    }
    if (group->joints.count > 0)
        t->order_count++;
}

/* ---- by inspection ---- */

/* Is the member found zero at this joint by the k-th of the list or later? */
static void inspect_joint(struct order *o, int first, int count)
{
    struct truss *t = o->t;
    int joint = t->inspected[first].joint, n = 0;
    struct truss_list list = t->joint[joint].unknowns;
    struct zero_rule_force *force = take(o, list.count + 1, sizeof *force);
    if (!force)
        return;
    for (int k = 0; k < list.count; k++) {
        int i = truss_entry(t, list, k);
        bool is_here = false;
        if (!order_is_open(o, i))
            continue;
        for (int m = first; m < first + count; m++)
            is_here = is_here || t->inspected[m].member == i;
        force[n++] = (struct zero_rule_force){
            .name = t->unknown[i].name, .line = o->line[i], .is_member = is_here};
    }
    struct exact load = truss_load_at(t, joint);
    if (!exact_is_zero(load))
        force[n++] = (struct zero_rule_force){.line = load};
    zero_rule_find(o->w->field, force, n);
    zero_rule_say(o->w, t->joint[joint].name, force, n);
    for (int m = first; m < first + count; m++) {
        int i = t->inspected[m].member;
        o->value[i] = q_name(o->w, q_integer(o->w, 0, force_dimension),
                             member_symbol(o->w, "F", t->unknown[i].name));
        work_define(o->w, o->value[i]);
        t->found_by[TRUSS_BY_INSPECTION]++;
    }
    order_add_group(o, &joint, 1);
}

static void by_inspection(struct order *o)
{
    struct truss *t = o->t;
    if (t->inspected_count == 0)
        return;
    work_section(o->w, PLAIN("Zero-force members"),
                 PLAIN("Some forces are seen without calculation, joint by joint; a member found "
                       "so counts no more at its other end."));
    for (int first = 0, count; first < t->inspected_count; first += count) {
        count = 1;
        while (first + count < t->inspected_count &&
               t->inspected[first + count].joint == t->inspected[first].joint)
            count++;
        inspect_joint(o, first, count);
    }
}

/* ---- a check ---- */

/* A joint whose forces are all known and whose equations were not used, next to the last one. */
static int joint_to_check(struct order *o)
{
    const struct truss *t = o->t;
    int best = -1, open[HAND_COLUMNS_MAX], alone;
    for (int j = 0; j < t->joint_count; j++) {
        if (o->is_used[j] || order_open_at(o, j, NULL, open, &alone) != 0)
            continue;
        if (best < 0 || (o->last >= 0 && are_neighbours(t, j, o->last)))
            best = j;
    }
    return best;
}

static void check_last_joint(struct order *o)
{
    const struct order_values values = {.value = o->value, .letter = "F"};
    struct part p;
    int joint = joint_to_check(o);
    if (joint < 0)
        return;
    o->side[joint] = 1;
    bool is_cut = part_cut(o, &values, &p);
    o->side[joint] = 0;
    if (is_cut)
        cut_check_joint(&p.cut, PHRASE("Check at joint {}", arg_name(o->t->joint[joint].name)));
}

/* The sums at every joint, whichever of them were used. */
static void balance_joints(struct order *o)
{
    const struct order_values values = {.value = o->value, .letter = "F"};
    struct work *w = o->w;
    struct part p;
    if (!w->keeps_slips)
        return;
    for (int j = 0; j < o->t->joint_count && !w->failed; j++) {
        bool numbers_only = w->numbers_only;
        w->numbers_only = true;
        w->keeps_slips = false;
        o->side[j] = 1;
        bool is_cut = part_cut(o, &values, &p);
        o->side[j] = 0;
        w->numbers_only = numbers_only;
        w->keeps_slips = true;
        if (is_cut)
            cut_balances(&p.cut);
    }
}

/* ---- the whole ---- */

bool order_begin(struct order *o, struct truss *t, enum order_way way)
{
    *o = (struct order){.t = t, .w = t->w, .last = -1, .way = way, .left = LIMIT_TRUSS_ORDER_WORK};
    o->aim = take(o, t->unknown_count, sizeof *o->aim);
    o->has_aim = take(o, t->unknown_count, sizeof *o->has_aim);
    o->value = take(o, t->unknown_count, sizeof *o->value);
    o->chain = take(o, t->unknown_count, sizeof *o->chain);
    o->seen = take(o, t->joint_count, sizeof *o->seen);
    o->is_used = take(o, t->joint_count, sizeof *o->is_used);
    o->is_by_whole = take(o, t->unknown_count, sizeof *o->is_by_whole);
    o->is_listed = take(o, t->joint_count, sizeof *o->is_listed);
    o->side = take(o, t->joint_count, sizeof *o->side);
    o->line = take(o, t->unknown_count, sizeof *o->line);
    o->place = take(o, t->joint_count, sizeof *o->place);
    o->direction = take(o, t->unknown_count, sizeof *o->direction);
    o->at = take(o, t->joint_count, sizeof *o->at);
    if (o->w->failed)
        return false;
    for (int j = 0; j < t->joint_count; j++) {
        o->place[j] = exact_of(o->w, t->joint[j].place);
        for (int axis = 0; axis < 3; axis++) {
            o->at[j][axis] = o->place[j].c[axis].value;
            o->extent = fmax(o->extent, fabs(o->at[j][axis]));
        }
    }
    for (int i = 0; i < t->unknown_count; i++) {
        o->line[i] = truss_direction(t, i);
        for (int axis = 0; axis < 3; axis++)
            o->direction[i][axis] = o->line[i].c[axis].value / t->unknown[i].length;
    }
    return true;
}

static bool is_wanted(const struct order *o)
{
    for (int i = 0; i < o->t->unknown_count; i++)
        if (order_is_open(o, i) && o->t->unknown[i].is_fixed)
            return true;
    return false;
}

void order_work_joints(struct order *o)
{
    while (is_wanted(o) && !o->w->failed && o->left > 0) {
        struct choice c = choose_joint(o);
        if (c.joint >= 0 && o->left > 0) {
            work_joint(o, &c);
            continue;
        }
        if (order_by_section(o))
            continue;
        if (!order_by_assumption(o))
            return;
    }
}

/* What was not worked, and why. */
static void note_left_out(struct order *o)
{
    if (!is_wanted(o))
        return;
    if (o->left == 0)
        note_add(o->w, NOTE_WORKING_LEFT_OUT,
                 PLAIN("The working is not complete: the search for a way to go on by hand took "
                       "more work than one request may have. The other forces come from the "
                       "equations of all joints together."));
    else
        note_add(o->w, NOTE_WORKING_LEFT_OUT,
                 PLAIN("The working is not complete: some forces are fixed only by the equations "
                       "of all joints together, and are given from these."));
}

static void work_all(struct order *o)
{
    order_by_whole(o);
    order_work_joints(o);
    check_last_joint(o);
    balance_joints(o);
}

void truss_work(struct truss *t)
{
    if (!t->is_held || !truss_is_shown(t))
        return;
    struct order *o = arena_alloc(t->w->arena, sizeof *o);
    t->order = arena_alloc(t->w->arena, ((size_t)t->joint_count + 1) * sizeof *t->order);
    if (!o || !t->order || !order_begin(o, t, ORDER_SHOWN)) {
        t->w->failed = true;
        return;
    }
    if (!t->input->has_section || t->input->cut_count > (t->axes == 2 ? 3 : 6))
        by_inspection(o);
    if (t->input->has_section)
        order_by_cut(o);
    else
        work_all(o);
    for (int i = 0; i < t->unknown_count; i++)
        t->unknown[i].hand = o->value[i];
    if (!t->input->has_section) {
        note_left_out(o);
        order_other_ways(o);
    }
}
