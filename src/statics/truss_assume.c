/* truss_assume.c: complex trusses: a member's force is assumed and carried through.
 *
 * Where every joint has too many unknowns and no section isolates one, all forces on the way are
 * linear in one that is not known yet: N + κ n, N under the loads with the assumed force zero, n
 * under the assumed force alone, as large as 1. Joint by joint both are found; a joint with an
 * equation left over fixes κ. Seldom one is not enough, then two or more are assumed. */
#include <math.h>

#include "statics/substitution.h"
#include "statics/truss_order.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

#define ASSUMED_MAX 4
/* A chain that magnifies its assumed force more is taken only where there is no other. */
#define MAGNIFIES 1000.0

/* ---- the chain, exactly and without steps ---- */

struct chain {
    int assumed[ASSUMED_MAX], count; /* unknowns */
    int *joint;                      /* in order */
    int joints;
    int closing[ASSUMED_MAX], closings; /* joints with an equation left over */
    double magnified; /* the largest force of the way over what is left over by a unit */
    int reached;
};

struct trial {
    struct order *o;
    bool *is_known;
    struct num *unit[ASSUMED_MAX]; /* of each unknown: over the length of its line, under each
                                      assumed force alone */
    bool *is_closed;               /* of each joint */
    struct num row[ASSUMED_MAX][ASSUMED_MAX]; /* of the equations left over, reduced */
    int pivot[ASSUMED_MAX];
};

static bool trial_new(struct trial *t, struct order *o)
{
    struct arena *arena = o->w->arena;
    size_t unknowns = (size_t)o->t->unknown_count + 1;
    *t = (struct trial){.o = o, .is_known = arena_alloc(arena, unknowns * sizeof *t->is_known)};
    t->is_closed = arena_alloc(arena, ((size_t)o->t->joint_count + 1) * sizeof *t->is_closed);
    bool is_there = t->is_known && t->is_closed;
    for (int k = 0; k < ASSUMED_MAX; k++) {
        t->unit[k] = arena_alloc(arena, unknowns * sizeof *t->unit[k]);
        is_there = is_there && t->unit[k];
    }
    o->w->failed = o->w->failed || !is_there;
    return is_there;
}

/* A line at a joint: away from it for members. */
static struct exact line_at(const struct order *o, int unknown, int joint)
{
    return truss_direction_at(o->t, unknown, joint);
}

/* What the known forces of the chain add up to at a joint under the k-th unit. */
static struct exact sum_at(const struct trial *t, int joint, int k)
{
    const struct truss *truss = t->o->t;
    const struct field *f = t->o->w->field;
    struct exact sum = exact_zero(f);
    struct truss_list list = truss->joint[joint].unknowns;
    for (int m = 0; m < list.count; m++) {
        int i = truss_entry(truss, list, m);
        if (t->is_known[i] && order_is_open(t->o, i) && !num_is_zero(t->unit[k][i]))
            sum = exact_add(f, sum, exact_scale(f, t->unit[k][i], line_at(t->o, i, joint)));
    }
    return sum;
}

/* A direction square to lines of less rank than there are axes; with rank 0 the sum itself. */
static struct exact square_to(const struct order *o, const struct exact_span *s, struct exact sum)
{
    const struct field *f = o->w->field;
    if (s->rank == 0)
        return sum;
    if (o->t->axes == 2)
        return exact_cross(f, exact_axis(f, 2), s->basis[0]);
    if (s->rank == 2)
        return exact_cross(f, s->basis[0], s->basis[1]);
    return exact_cross(f, s->basis[0], exact_cross(f, sum, s->basis[0]));
}

/* Is the equation left over at the joint independent of those before? Then it is kept. */
static bool keep_row(struct trial *t, struct chain *c, const struct num *row)
{
    const struct field *f = t->o->w->field;
    struct num rest[ASSUMED_MAX];
    for (int k = 0; k < c->count; k++)
        rest[k] = row[k];
    for (int r = 0; r < c->closings; r++) {
        int p = t->pivot[r];
        if (num_is_zero(rest[p]))
            continue;
        struct num share = num_div(f, rest[p], t->row[r][p]);
        for (int k = 0; k < c->count; k++)
            rest[k] = num_sub(f, rest[k], num_mul(f, share, t->row[r][k]));
    }
    for (int k = 0; k < c->count; k++) {
        if (num_is_zero(rest[k]))
            continue;
        for (int m = 0; m < c->count; m++)
            t->row[c->closings][m] = rest[m];
        t->pivot[c->closings] = k;
        return true;
    }
    return false;
}

/* Does a joint whose unknowns are fewer than its equations leave one over that fixes something? */
static bool closes(struct trial *t, struct chain *c, int joint, const int *open, int count)
{
    struct order *o = t->o;
    const struct field *f = o->w->field;
    struct exact_span s = {.rank = 0};
    for (int k = 0; k < count && s.rank < o->t->axes; k++)
        exact_span_add(f, &s, o->line[open[k]]);
    if (s.rank >= o->t->axes || t->is_closed[joint])
        return false;
    struct exact sum[ASSUMED_MAX], across = exact_zero(f);
    for (int k = 0; k < c->count; k++) {
        sum[k] = sum_at(t, joint, k);
        if (exact_is_zero(across))
            across = square_to(o, &s, sum[k]);
    }
    if (exact_is_zero(across))
        return false;
    struct num row[ASSUMED_MAX];
    for (int k = 0; k < c->count; k++)
        row[k] = exact_dot(f, across, sum[k]);
    if (!keep_row(t, c, row))
        return false;
    double left = fabs(row[0].value) / exact_length(across);
    c->magnified = left > 0 ? c->magnified / left : HUGE_VAL;
    t->is_closed[joint] = true;
    c->closing[c->closings++] = joint;
    return true;
}

/* Σ x_i d_i + S = 0 for the unknown `which`, the others spanning with it as much as they are. */
static struct num solve_one(const struct order *o, const struct exact *line, int count, int which,
                            struct exact sum)
{
    const struct field *f = o->w->field;
    struct exact_span others = {.rank = 0};
    for (int k = 0; k < count; k++)
        if (k != which && others.rank < o->t->axes)
            exact_span_add(f, &others, line[k]);
    struct exact across;
    if (others.rank == 0)
        across = line[which];
    else if (o->t->axes == 2)
        across = exact_cross(f, exact_axis(f, 2), others.basis[0]);
    else if (others.rank == 2)
        across = exact_cross(f, others.basis[0], others.basis[1]);
    else
        across = exact_cross(f, others.basis[0], exact_cross(f, line[which], others.basis[0]));
    return num_neg(f, num_div(f, exact_dot(f, across, sum), exact_dot(f, across, line[which])));
}

static void solve_joint(struct trial *t, struct chain *c, int joint, const int *open, int count)
{
    struct order *o = t->o;
    struct exact line[HAND_COLUMNS_MAX];
    for (int k = 0; k < count; k++)
        line[k] = line_at(o, open[k], joint);
    for (int m = 0; m < c->count; m++) {
        struct exact sum = sum_at(t, joint, m);
        for (int k = 0; k < count; k++) {
            struct num x = solve_one(o, line, count, k, sum);
            t->unit[m][open[k]] = x;
            c->magnified = fmax(c->magnified, fabs(x.value) * o->t->unknown[open[k]].length);
        }
    }
    for (int k = 0; k < count; k++)
        t->is_known[open[k]] = true;
    c->joint[c->joints++] = joint;
    c->reached += count;
}

/* Carry the assumed forces as far as they go, or until they are fixed. */
static void carry(struct trial *t, struct chain *c)
{
    struct order *o = t->o;
    const struct truss *truss = o->t;
    int open[HAND_COLUMNS_MAX], alone;
    c->joints = c->closings = c->reached = 0;
    c->magnified = 1;
    for (int i = 0; i < truss->unknown_count; i++) {
        t->is_known[i] = !order_is_open(o, i);
        for (int k = 0; k < c->count; k++)
            t->unit[k][i] = num_integer(o->w->field, 0);
    }
    for (int j = 0; j < truss->joint_count; j++)
        t->is_closed[j] = false;
    for (int k = 0; k < c->count; k++) {
        t->is_known[c->assumed[k]] = true;
        t->unit[k][c->assumed[k]] = num_integer(o->w->field, 1);
    }
    for (bool is_new = true; is_new && o->left > 0;) {
        is_new = false;
        for (int j = 0; j < truss->joint_count && o->left > 0; j++) {
            int count = order_open_at(o, j, t->is_known, open, &alone);
            if (count < 0 || t->is_closed[j])
                continue;
            if (count < truss->axes && closes(t, c, j, open, count)) {
                is_new = true;
                if (c->closings == c->count)
                    return;
                continue;
            }
            if (count == 0 || alone < count)
                continue;
            solve_joint(t, c, j, open, count);
            is_new = true;
        }
    }
}

static bool is_better(const struct chain *a, const struct chain *b)
{
    bool is_wild = a->magnified > MAGNIFIES, is_wild_too = b->magnified > MAGNIFIES;
    if (is_wild != is_wild_too)
        return !is_wild;
    return a->joints != b->joints ? a->joints < b->joints : a->magnified < b->magnified;
}

/* The best chain with one more assumed force; false: none is closed, and *ret is the one that
 * reaches farthest. */
static bool assume_one_more(struct trial *t, const struct chain *base, struct chain *ret)
{
    struct order *o = t->o;
    struct chain best = {.count = 0}, farthest = {.count = 0};
    for (int i = 0; i < o->t->unknown_count && o->left > 0; i++) {
        bool is_taken = !order_is_open(o, i) || !o->t->unknown[i].is_fixed;
        for (int k = 0; k < base->count; k++)
            is_taken = is_taken || base->assumed[k] == i;
        if (is_taken)
            continue;
        struct chain c = *base;
        c.assumed[c.count++] = i;
        c.joint = arena_alloc(o->w->arena, ((size_t)o->t->joint_count + 1) * sizeof *c.joint);
        if (!c.joint) {
            o->w->failed = true;
            return false;
        }
        carry(t, &c);
        if (c.closings == c.count && (best.count == 0 || is_better(&c, &best)))
            best = c;
        if (farthest.count == 0 || c.reached > farthest.reached)
            farthest = c;
    }
    *ret = best.count > 0 ? best : farthest;
    return best.count > 0;
}

static bool find_chain(struct trial *t, struct chain *ret)
{
    struct chain base = {.count = 0};
    for (int k = 0; k < ASSUMED_MAX; k++) {
        if (assume_one_more(t, &base, ret))
            return true;
        if (ret->count == 0 || t->o->left == 0 || t->o->w->failed)
            return false;
        base = *ret;
    }
    return false;
}

/* ---- on the tape ---- */

struct carrying {
    struct order *o;
    const struct chain *c;
    q *value[1 + ASSUMED_MAX]; /* of each unknown: under the loads, under each unit */
    struct order_values values[1 + ASSUMED_MAX];
    q factor[ASSUMED_MAX]; /* κ */
};

static const char *letter_of(struct carrying *y, int pass)
{
    if (pass == 0)
        return "N";
    if (y->c->count == 1)
        return "n";
    return (const char *[]){"n", "p", "s", "t"}[pass - 1];
}

static bool begin(struct carrying *y, struct order *o, const struct chain *c)
{
    struct work *w = o->w;
    *y = (struct carrying){.o = o, .c = c};
    for (int pass = 0; pass <= c->count; pass++) {
        y->value[pass] =
            arena_alloc(w->arena, ((size_t)o->t->unknown_count + 1) * sizeof *y->value[pass]);
        if (!y->value[pass]) {
            w->failed = true;
            return false;
        }
        y->values[pass] = (struct order_values){.value = o->value,
                                                .instead = y->value[pass],
                                                .letter = letter_of(y, pass),
                                                .is_bare = pass > 0};
        for (int k = 0; k < c->count; k++) {
            bool is_unit = pass == k + 1;
            q x = is_unit ? q_constant(w, "1", force_dimension) : q_integer(w, 0, force_dimension);
            y->value[pass][c->assumed[k]] = q_name(
                w, x, member_symbol(w, letter_of(y, pass), o->t->unknown[c->assumed[k]].name));
        }
    }
    return !w->failed;
}

static void open_carrying(struct carrying *y)
{
    struct order *o = y->o;
    struct work *w = o->w;
    const struct chain *c = y->c;
    struct arg which = arg_name(order_names(o, c->assumed, c->count));
    work_section(w, PHRASE("The force of {} is assumed", which),
                 PLAIN("Every joint that is left has more unknown forces than equations, and no "
                       "section holds one alone. All forces on the way are linear in what is "
                       "assumed: they are found twice, and the equation that is left over in the "
                       "end fixes it."));
    if (c->count == 1)
        work_decide(w, PHRASE("Every force is N + κ n: N under the loads with no force in {}, n "
                              "under a force of {} in {} without the loads.",
                              which, arg_value(y->value[1][c->assumed[0]]), which));
    else
        work_decide(w, PHRASE("One assumed force does not close the chain: {} are assumed. Every "
                              "force is N under the loads without them, and so many times the "
                              "force under each of them alone.",
                              which));
    for (int k = 0; k < c->count; k++)
        work_define(w, y->value[k + 1][c->assumed[k]]);
}

static bool carry_through_joint(struct carrying *y, int joint)
{
    struct order *o = y->o;
    struct part p;
    o->side[joint] = 1;
    o->is_used[joint] = true;
    bool is_found = true;
    for (int pass = 0; pass <= y->c->count && is_found; pass++) {
        work_section(o->w,
                     pass == 0
                         ? PHRASE("Joint {}, under the loads", arg_name(o->t->joint[joint].name))
                         : PHRASE("Joint {}, under a unit force in {}",
                                  arg_name(o->t->joint[joint].name),
                                  arg_name(o->t->unknown[y->c->assumed[pass - 1]].name)),
                     (struct phrase){0});
        is_found = part_cut(o, &y->values[pass], &p);
        if (is_found) {
            cut_work_joint(&p.cut);
            part_take(o, &p, y->value[pass]);
        }
    }
    o->side[joint] = 0;
    return is_found;
}

/* ---- what is left over ---- */

struct left_over {
    q sum[1 + ASSUMED_MAX]; /* under the loads, under each unit; {0}: nothing */
};

/* The sums of one equation, if it holds none of what is still open, and more than nothing under a
 * unit. */
static bool sums_of(struct carrying *y, struct part *part, struct equation *e,
                    struct left_over *ret)
{
    struct work *w = y->o->w;
    bool is_there = false;
    for (int pass = 0; pass <= y->c->count; pass++) {
        ret->sum[pass] = hand_sum(&part[pass].cut.h, e);
        bool is_some = !q_is_none(ret->sum[pass]) && !q_is_zero(w, ret->sum[pass]);
        is_there = is_there || (pass > 0 && is_some);
    }
    return is_there;
}

static bool is_free_of_open(struct part *part, int passes, const struct equation *e)
{
    for (int pass = 0; pass < passes; pass++) {
        struct candidate c = hand_candidate(&part[pass].cut.h, e);
        if (c.unknowns & part[pass].cut.h.open)
            return false;
    }
    return true;
}

/* Along x, y (z), else square to what is open. */
static bool find_equation(struct carrying *y, struct part *part, struct equation *e,
                          struct left_over *ret)
{
    struct order *o = y->o;
    const struct field *f = o->w->field;
    int passes = y->c->count + 1;
    for (int axis = 0; axis < o->t->axes; axis++) {
        *e = (struct equation){.axis = axis, .site = NO_SITE, .other = NO_SITE, .line = {-1, -1}};
        if (is_free_of_open(part, passes, e) && sums_of(y, part, e, ret))
            return true;
    }
    const struct cut *c = &part[0].cut;
    int first = -1, second = -1;
    for (int k = 0; k < c->h.count; k++)
        if (c->h.open >> k & 1) {
            if (first < 0)
                first = k;
            else if (second < 0)
                second = k;
        }
    if (first < 0)
        return false;
    for (int k = 0; o->t->axes == 3 && second < 0 && k < c->h.count; k++)
        if (!exact_is_zero(exact_cross(f, c->a.pull[first].force, c->a.pull[k].force)))
            second = k;
    *e = (struct equation){.axis = -1, .site = NO_SITE, .other = NO_SITE, .line = {first, -1}};
    if (o->t->axes == 3) {
        if (second < 0)
            return false;
        e->line[1] = second;
        e->direction = exact_cross(f, c->a.pull[first].force, c->a.pull[second].force);
    } else {
        e->direction = exact_cross(f, exact_axis(f, 2), c->a.pull[first].force);
    }
    return is_free_of_open(part, passes, e) && sums_of(y, part, e, ret);
}

static void name_left_over(struct carrying *y, struct left_over *l, const struct equation *e,
                           int number)
{
    struct work *w = y->o->w;
    for (int pass = 0; pass <= y->c->count; pass++) {
        if (q_is_none(l->sum[pass]))
            continue;
        const char *sub = y->c->count == 1
                              ? arena_printf(w->arena, "%s", letter_of(y, pass))
                              : arena_printf(w->arena, "%s%d", letter_of(y, pass), number);
        l->sum[pass] = q_name(w, l->sum[pass], symbol_own(w, "e", sub ? sub : ""));
        work_define_sum(w, l->sum[pass], LABEL_SUM_FORCE, e->axis < 0 ? 'n' : "xyz"[e->axis], NULL);
    }
}

static bool find_left_over(struct carrying *y, int number, struct left_over *ret)
{
    struct order *o = y->o;
    int joint = y->c->closing[number];
    struct part part[1 + ASSUMED_MAX];
    struct equation e;
    bool is_there = true;
    o->side[joint] = 1;
    o->is_used[joint] = true;
    work_section(o->w, PHRASE("What is left over at joint {}", arg_name(o->t->joint[joint].name)),
                 PLAIN("All forces of this sum are known: it must come out as zero."));
    for (int pass = 0; pass <= y->c->count && is_there; pass++)
        is_there = part_cut(o, &y->values[pass], &part[pass]);
    o->side[joint] = 0;
    if (!is_there || !find_equation(y, part, &e, ret))
        return false;
    o->opened = part[0].cut.a.opened;
    name_left_over(y, ret, &e, number + 1);
    return true;
}

/* ---- the assumed forces ---- */

static bool solve_factor(struct carrying *y, const struct left_over *l)
{
    struct work *w = y->o->w;
    if (y->c->count == 1) {
        q zero = q_integer(w, 0, ratio);
        bool is_some = !q_is_none(l->sum[0]);
        y->factor[0] = is_some ? q_neg(w, q_div(w, l->sum[0], l->sum[1])) : zero;
        y->factor[0] = q_name(w, y->factor[0], symbol_own(w, "κ", NULL));
        work_say(w, PLAIN("With κ times the second added to the first nothing may be left:"));
        work_define(w, y->factor[0]);
        return true;
    }
    struct substitution s;
    if (!substitution_new(w, &s, y->c->count, y->c->count))
        return false;
    work_say(w, PLAIN("Together, nothing may be left:"));
    for (int r = 0; r < y->c->count; r++) {
        s.equation[r].known = l[r].sum[0];
        s.equation[r].name = arena_printf(w->arena, "%s", y->o->t->joint[y->c->closing[r]].name);
        for (int k = 0; k < y->c->count; k++) {
            q x = l[r].sum[k + 1];
            bool is_some = !q_is_none(x) && !q_is_zero(w, x);
            s.equation[r].coefficient[k] = (struct coefficient){is_some, is_some ? x : (q){0}};
        }
    }
    s.dimension = ratio;
    for (int k = 0; k < y->c->count; k++) {
        s.symbol[k] = symbol_own(w, "κ", (const char *[]){"1", "2", "3", "4"}[k]);
        s.is_fixed[k] = true;
    }
    substitution_work(w, &s);
    for (int k = 0; k < y->c->count; k++) {
        y->factor[k] = s.hand[k];
        if (q_is_none(s.hand[k]))
            return false;
    }
    return true;
}

/* N + κ n of every force of the chain. */
static int put_together(struct carrying *y)
{
    struct order *o = y->o;
    struct work *w = o->w;
    int found = 0;
    work_section(w, PLAIN("Forces of the chain"),
                 PLAIN("Each is what it is under the loads, and so many times what it is under the "
                       "assumed force."));
    for (int i = 0; i < o->t->unknown_count && !w->failed; i++) {
        q term[1 + ASSUMED_MAX];
        uint32_t count = 0;
        bool is_of_chain = !q_is_none(y->value[0][i]);
        if (!order_is_open(o, i) || !is_of_chain)
            continue;
        if (!q_is_zero(w, y->value[0][i]))
            term[count++] = y->value[0][i];
        for (int k = 0; k < y->c->count; k++) {
            q n = y->value[k + 1][i];
            if (!q_is_none(n) && !q_is_zero(w, n))
                term[count++] = q_mul(w, y->factor[k], n);
        }
        const struct truss_unknown *u = &o->t->unknown[i];
        q x = count > 0 ? q_sum(w, term, count) : q_integer(w, 0, force_dimension);
        o->value[i] = q_name(w, x, u->part ? u->part->symbol : member_symbol(w, "F", u->name));
        work_define(w, o->value[i]);
        found++;
    }
    return found;
}

bool order_by_assumption(struct order *o)
{
    struct trial t;
    struct chain c;
    struct carrying y;
    struct left_over left[ASSUMED_MAX];
    if (!trial_new(&t, o) || !find_chain(&t, &c) || !begin(&y, o, &c))
        return false;
    open_carrying(&y);
    for (int k = 0; k < c.joints; k++)
        if (!carry_through_joint(&y, c.joint[k]))
            return false;
    for (int k = 0; k < c.closings; k++)
        if (!find_left_over(&y, k, &left[k]))
            return false;
    if (!solve_factor(&y, left) || o->w->failed)
        return false;
    int found = put_together(&y);
    o->t->found_by[TRUSS_BY_ASSUMPTION] += found;
    o->t->assumed_at_once = c.count > o->t->assumed_at_once ? c.count : o->t->assumed_at_once;
    for (int k = 0; k < c.closings; k++)
        c.joint[c.joints++] = c.closing[k];
    order_add_group(o, c.joint, c.joints);
    return found > 0;
}
