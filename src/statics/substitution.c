/* substitution.c: elimination as it is done by hand. */
#include "statics/substitution.h"

#include <math.h>

static const struct dimension ratio = {0};

/* Nobody divides by what nearly vanishes beside its neighbours: the pivot threshold of the solver
 * (numerics.md), for the choice of the unknown that is expressed by the others. */
#define PIVOT_SHARE 0.1

/* ---- coefficients ---- */

static double size_of(const struct work *w, struct coefficient c)
{
    return c.sign == 0 ? 0.0 : q_is_none(c.factor) ? 1.0 : fabs(q_value(w, c.factor));
}

q coefficient_times(struct work *w, struct coefficient c, q x)
{
    q product = q_is_none(c.factor) ? x : q_mul(w, x, c.factor);
    return c.sign < 0 ? q_neg(w, product) : product;
}

/* The same with the factor first: k T. */
static q factor_times(struct work *w, struct coefficient c, q x)
{
    q product = q_is_none(c.factor) ? x : q_mul(w, c.factor, x);
    return c.sign < 0 ? q_neg(w, product) : product;
}

static bool is_one(const struct work *w, q x)
{
    int64_t n, d;
    return num_is_rational(q_node(w, x)->num, &n, &d) && n == d;
}

/* ---- one elimination ---- */

enum move_kind {
    MOVE_SOLVE,   /* an equation has one unknown left */
    MOVE_EXPRESS, /* one unknown by the others, from this equation */
    MOVE_COLLECT  /* put into another equation */
};

struct move {
    enum move_kind kind;
    int equation, unknown;
    struct coefficient *coefficient; /* EXPRESS: of the others; COLLECT: the new ones */
    q known;                         /* EXPRESS: the part without unknowns */
    bool defines_known;              /* it is a number of its own */
    uint32_t before;                 /* numbers of the tape from here on are of this move */
    struct move *next;
};

struct elimination_by_hand {
    struct work *w;
    const struct substitution *s;
    struct board_equation *equation; /* as it stands now */
    bool *is_used;                   /* of each equation */
    q *value;
    struct move *first, *last;
    bool is_quiet;                 /* another way: its numbers get names of no interest */
    int ratios, collected, knowns; /* how many have been named */
};

/* The next number that is free: where several systems are solved, theirs go on. */
static struct symbol numbered(struct elimination_by_hand *e, const char *base, int *count)
{
    struct work *w = e->w;
    if (e->is_quiet)
        return symbol_own(w, base, arena_printf(w->arena, "o%u", w->node_count));
    struct symbol s;
    do
        s = symbol_own(w, base, arena_printf(w->arena, "%d", ++*count));
    while (s.primed > 0 && !w->failed);
    return s;
}

static struct coefficient *new_coefficients(struct elimination_by_hand *e)
{
    size_t count = (size_t)e->s->unknown_count;
    struct coefficient *c = arena_alloc(e->w->arena, (count + 1) * sizeof *c);
    if (c == NULL)
        e->w->failed = true;
    return c;
}

static struct move *add_move(struct elimination_by_hand *e, enum move_kind kind, int equation,
                             int unknown)
{
    struct move *m = arena_alloc(e->w->arena, sizeof *m);
    if (m == NULL) {
        e->w->failed = true;
        return NULL;
    }
    *m = (struct move){
        .kind = kind, .equation = equation, .unknown = unknown, .before = e->w->node_count};
    if (kind != MOVE_SOLVE && (m->coefficient = new_coefficients(e)) == NULL)
        return NULL;
    if (e->last)
        e->last->next = m;
    else
        e->first = m;
    e->last = m;
    return m;
}

static bool begin(struct work *w, const struct substitution *s, bool is_quiet,
                  struct elimination_by_hand *e)
{
    size_t equations = (size_t)s->equation_count + 1, unknowns = (size_t)s->unknown_count + 1;
    *e = (struct elimination_by_hand){
        .w = w,
        .s = s,
        .equation = arena_alloc(w->arena, equations * sizeof *e->equation),
        .is_used = arena_alloc(w->arena, equations * sizeof *e->is_used),
        .value = arena_alloc(w->arena, unknowns * sizeof *e->value),
        .is_quiet = is_quiet,
    };
    if (!e->equation || !e->is_used || !e->value) {
        w->failed = true;
        return false;
    }
    for (int i = 0; i < s->equation_count; i++) {
        e->equation[i] = s->equation[i];
        if ((e->equation[i].coefficient = new_coefficients(e)) == NULL)
            return false;
        for (int j = 0; j < s->unknown_count; j++)
            e->equation[i].coefficient[j] = s->equation[i].coefficient[j];
    }
    return true;
}

/* known + coefficient · value, of two parts that may be missing. */
static q plus(struct work *w, q a, q b)
{
    return q_is_none(a) ? b : q_is_none(b) ? a : q_add(w, a, b);
}

static struct dimension dimension_of(const struct substitution *s, int j)
{
    struct dimension d = s->dimension;
    d.length = (int8_t)(d.length + s->is_couple[j]);
    return d;
}

/* x = −known/coefficient */
static q solved_for(struct elimination_by_hand *e, const struct board_equation *eq, int j)
{
    struct work *w = e->w;
    struct coefficient c = eq->coefficient[j];
    if (q_is_none(eq->known))
        return q_integer(w, 0, dimension_of(e->s, j));
    q x = q_is_none(c.factor) ? eq->known : q_div(w, eq->known, c.factor);
    if (c.sign > 0)
        return q_neg(w, x);
    return x.i == eq->known.i ? q_sum(w, &x, 1) : x;
}

static void set_value(struct elimination_by_hand *e, int j, q x)
{
    e->value[j] = e->is_quiet ? q_name(e->w, x, numbered(e, "x", &e->knowns))
                              : q_name(e->w, x, e->s->symbol[j]);
}

/* A number that is known now enters the other equations as known. */
static void put_in(struct elimination_by_hand *e, int j)
{
    for (int i = 0; i < e->s->equation_count; i++) {
        struct coefficient *c = &e->equation[i].coefficient[j];
        if (e->is_used[i] || c->sign == 0)
            continue;
        q sum = plus(e->w, e->equation[i].known, coefficient_times(e->w, *c, e->value[j]));
        e->equation[i].known = e->is_quiet ? q_name(e->w, sum, numbered(e, "b", &e->knowns)) : sum;
        c->sign = 0;
    }
}

static void solve_one(struct elimination_by_hand *e, int i, int j)
{
    add_move(e, MOVE_SOLVE, i, j);
    e->is_used[i] = true;
    set_value(e, j, solved_for(e, &e->equation[i], j));
    put_in(e, j);
}

/* x_p = Σ r_j x_j + s, from equation i. */
static struct move *express(struct elimination_by_hand *e, int i, int p)
{
    struct work *w = e->w;
    const struct board_equation *eq = &e->equation[i];
    struct coefficient pivot = eq->coefficient[p];
    struct move *m = add_move(e, MOVE_EXPRESS, i, p);
    if (m == NULL)
        return NULL;
    e->is_used[i] = true;
    for (int j = 0; j < e->s->unknown_count; j++) {
        struct coefficient c = eq->coefficient[j];
        if (j == p || c.sign == 0)
            continue;
        struct coefficient r = {.sign = -c.sign * pivot.sign, .factor = c.factor};
        if (!q_is_none(pivot.factor)) {
            q over = q_is_none(c.factor) ? q_integer(w, 1, ratio) : c.factor;
            q k = q_div(w, over, pivot.factor);
            r.factor = is_one(w, k) ? (q){0} : q_name(w, k, numbered(e, "k", &e->ratios));
        }
        m->coefficient[j] = r;
    }
    if (!q_is_none(eq->known)) {
        m->known = solved_for(e, eq, p);
        m->defines_known = !q_is_none(pivot.factor) || q_node(w, eq->known)->op == OP_SUM;
        if (m->defines_known)
            m->known = q_name(w, m->known, numbered(e, "b", &e->knowns));
    }
    return m;
}

/* Put x_p into equation i, and collect what belongs together. */
static void collect(struct elimination_by_hand *e, const struct move *from, int i)
{
    struct work *w = e->w;
    struct board_equation *eq = &e->equation[i];
    struct coefficient pivot = eq->coefficient[from->unknown];
    struct move *m = add_move(e, MOVE_COLLECT, i, from->unknown);
    if (m == NULL)
        return;
    for (int j = 0; j < e->s->unknown_count; j++) {
        struct coefficient c = eq->coefficient[j], r = from->coefficient[j];
        if (j == from->unknown)
            continue;
        m->coefficient[j] = c;
        if (r.sign == 0)
            continue;
        q one = q_integer(w, 1, ratio);
        q product = q_is_none(r.factor)       ? (q_is_none(pivot.factor) ? one : pivot.factor)
                    : q_is_none(pivot.factor) ? r.factor
                                              : q_mul(w, r.factor, pivot.factor);
        q added = r.sign * pivot.sign < 0 ? q_neg(w, product) : product;
        q own = c.sign == 0 ? (q){0} : q_is_none(c.factor) ? one : c.factor;
        if (c.sign < 0)
            own = q_neg(w, own);
        q sum = q_is_none(own) ? q_sum(w, &added, 1) : q_add(w, own, added);
        if (q_is_zero(w, sum)) {
            m->coefficient[j] = eq->coefficient[j] = (struct coefficient){0};
            continue;
        }
        q collected = q_name(w, sum, numbered(e, "c", &e->collected));
        m->coefficient[j] = eq->coefficient[j] = (struct coefficient){1, collected};
    }
    eq->coefficient[from->unknown].sign = 0;
    m->known = eq->known;
    if (q_is_none(from->known))
        return;
    q added = coefficient_times(w, pivot, from->known);
    bool is_carried = q_is_none(eq->known) && added.i == from->known.i;
    if (is_carried)
        eq->known = added;
    else
        eq->known = q_name(w, plus(w, eq->known, added), numbered(e, "b", &e->knowns));
    m->known = eq->known;
    m->defines_known = !is_carried;
}

/* x_p = Σ r_j x_j + s with all others known; {0} where one of them isn't. */
static q expression(struct elimination_by_hand *e, const struct move *m)
{
    struct work *w = e->w;
    q *term = arena_alloc(w->arena, ((size_t)e->s->unknown_count + 1) * sizeof *term);
    uint32_t count = 0;
    if (term == NULL) {
        w->failed = true;
        return (q){0};
    }
    for (int j = 0; j < e->s->unknown_count; j++) {
        if (m->coefficient[j].sign == 0)
            continue;
        if (q_is_none(e->value[j]))
            return (q){0};
        term[count++] = factor_times(w, m->coefficient[j], e->value[j]);
    }
    if (!q_is_none(m->known))
        term[count++] = m->known;
    if (count == 0)
        return q_integer(w, 0, dimension_of(e->s, m->unknown));
    return count == 1 && q_node(w, term[0])->symbol.base == NULL ? term[0] : q_sum(w, term, count);
}

static int open_unknowns(const struct elimination_by_hand *e, int i)
{
    int count = 0;
    for (int j = 0; j < e->s->unknown_count; j++)
        count += e->equation[i].coefficient[j].sign != 0;
    return count;
}

/* ---- the order that is shown ---- */

/* The equation with the fewest unknowns; -1: none is left. */
static int easiest_equation(const struct elimination_by_hand *e)
{
    int best = -1;
    for (int i = 0; i < e->s->equation_count; i++) {
        int count = e->is_used[i] ? 0 : open_unknowns(e, i);
        if (count > 0 && (best < 0 || count < open_unknowns(e, best)))
            best = i;
    }
    return best;
}

/* The unknown to express: one that statics does not fix first, then the first whose coefficient is
 * not small beside the others. */
static int pivot_of(const struct elimination_by_hand *e, int i)
{
    const struct board_equation *eq = &e->equation[i];
    double largest = 0.0;
    int best = -1;
    for (int j = 0; j < e->s->unknown_count; j++)
        largest = fmax(largest, size_of(e->w, eq->coefficient[j]));
    for (int j = 0; j < e->s->unknown_count; j++) {
        if (size_of(e->w, eq->coefficient[j]) < PIVOT_SHARE * largest)
            continue;
        if (best < 0 || (e->s->is_fixed[best] && !e->s->is_fixed[j]))
            best = j;
    }
    for (int j = 0; j < e->s->unknown_count; j++)
        if (eq->coefficient[j].sign != 0 && !e->s->is_fixed[j] && e->s->is_fixed[best])
            best = j;
    return best;
}

static int only_unknown(const struct elimination_by_hand *e, int i)
{
    int j = 0;
    while (e->equation[i].coefficient[j].sign == 0)
        j++;
    return j;
}

static void express_and_collect(struct elimination_by_hand *e, int i, int p)
{
    struct move *m = express(e, i, p);
    for (int k = 0; m != NULL && k < e->s->equation_count; k++)
        if (!e->is_used[k] && e->equation[k].coefficient[p].sign != 0)
            collect(e, m, k);
}

/* Backward through what was expressed: the last one first. */
static void put_back(struct elimination_by_hand *e, struct move *from)
{
    if (from == NULL)
        return;
    put_back(e, from->next);
    if (from->kind != MOVE_EXPRESS || !e->s->is_fixed[from->unknown])
        return;
    q x = expression(e, from);
    if (!q_is_none(x))
        set_value(e, from->unknown, x);
}

/* ---- steps ---- */

static q left_side(struct elimination_by_hand *e, const struct move *m)
{
    struct work *w = e->w;
    q sum = {0};
    for (int j = 0; j < e->s->unknown_count; j++)
        if (m->coefficient[j].sign != 0 && !q_is_none(e->value[j]))
            sum = plus(w, sum, factor_times(w, m->coefficient[j], e->value[j]));
    return plus(w, sum, m->known);
}

/* Are all unknowns of the move known in the end, so that the equation can be written with their
 * symbols? */
static bool is_writable(const struct elimination_by_hand *e, const struct move *m)
{
    bool has_any = false;
    for (int j = 0; j < e->s->unknown_count; j++) {
        if (m->coefficient[j].sign == 0)
            continue;
        has_any = true;
        if (q_is_none(e->value[j]))
            return false;
    }
    return has_any;
}

static void define_factors(struct elimination_by_hand *e, const struct move *m)
{
    for (int j = 0; j < e->s->unknown_count; j++) {
        struct coefficient c = m->coefficient[j];
        if (c.sign == 0 || q_is_none(c.factor))
            continue;
        if (c.factor.i >= m->before && q_node(e->w, c.factor)->symbol.base)
            work_define(e->w, c.factor);
    }
}

static struct symbol unknown_symbol(const struct elimination_by_hand *e, int j)
{
    return e->s->symbol[j];
}

static const char *symbol_text(struct work *w, struct symbol s)
{
    char axis[2] = {s.axis, '\0'};
    const char *text = arena_printf(w->arena, "%s%s%s%s", s.base, s.sub || s.axis ? "_" : "",
                                    s.sub ? s.sub : "", axis);
    return text ? text : "";
}

static void show_move(struct elimination_by_hand *e, const struct move *m)
{
    struct work *w = e->w;
    const char *equation = e->s->equation[m->equation].name;
    q x = e->value[m->unknown];
    switch (m->kind) {
    case MOVE_SOLVE:
        if (m == e->first && m->next != NULL)
            work_say(w, PHRASE("{} alone enters {}, so that this one comes "
                               "first.",
                               arg_symbol(x), arg_name(equation)));
        work_define(w, x);
        return;
    case MOVE_EXPRESS:
        if (q_is_none(x))
            work_say(w, PHRASE("{} is solved for {}, which is put into the "
                               "others.",
                               arg_name(equation),
                               arg_name(symbol_text(w, unknown_symbol(e, m->unknown)))));
        else
            work_say(w, PHRASE("{} gives {} by what is still unknown:", arg_name(equation),
                               arg_symbol(x)));
        define_factors(e, m);
        if (m->defines_known)
            work_define(w, m->known);
        if (!q_is_none(x))
            work_equation(w, LABEL_NONE, 0, NULL, x, expression(e, m));
        return;
    case MOVE_COLLECT:
        work_say(w, PHRASE("Put into {}, and collected:", arg_name(equation)));
        define_factors(e, m);
        if (m->defines_known)
            work_define(w, m->known);
        if (is_writable(e, m))
            work_equation(w, LABEL_NONE, 0, NULL, left_side(e, m), (q){0});
        return;
    }
}

static void show_back(struct elimination_by_hand *e, const struct move *m)
{
    if (m == NULL)
        return;
    show_back(e, m->next);
    if (m->kind == MOVE_EXPRESS && !q_is_none(e->value[m->unknown]))
        work_define(e->w, e->value[m->unknown]);
}

bool substitution_new(struct work *w, struct substitution *s, int equations, int unknowns)
{
    size_t n = (size_t)unknowns + 1, m = (size_t)equations + 1;
    *s = (struct substitution){
        .equation = arena_alloc(w->arena, m * sizeof *s->equation),
        .equation_count = equations,
        .unknown_count = unknowns,
        .symbol = arena_alloc(w->arena, n * sizeof *s->symbol),
        .is_fixed = arena_alloc(w->arena, n * sizeof *s->is_fixed),
        .is_couple = arena_alloc(w->arena, n * sizeof *s->is_couple),
        .hand = arena_alloc(w->arena, n * sizeof *s->hand),
    };
    bool is_there = s->equation && s->symbol && s->is_fixed && s->is_couple && s->hand;
    for (int i = 0; is_there && i < equations; i++) {
        s->equation[i].coefficient = arena_alloc(w->arena, n * sizeof *s->equation[i].coefficient);
        is_there = s->equation[i].coefficient != NULL;
    }
    w->failed = w->failed || !is_there;
    return is_there;
}

struct elimination_by_hand *substitution_solve(struct work *w, const struct substitution *s)
{
    struct elimination_by_hand *e = arena_alloc(w->arena, sizeof *e);
    if (e == NULL || !begin(w, s, false, e)) {
        w->failed = true;
        return NULL;
    }
    for (int i; !w->failed && (i = easiest_equation(e)) >= 0;) {
        if (open_unknowns(e, i) == 1)
            solve_one(e, i, only_unknown(e, i));
        else
            express_and_collect(e, i, pivot_of(e, i));
    }
    put_back(e, e->first);
    for (int j = 0; j < s->unknown_count; j++)
        s->hand[j] = e->value[j];
    return e;
}

void substitution_show(struct work *w, struct elimination_by_hand *e)
{
    if (e == NULL || w->failed)
        return;
    for (const struct move *m = e->first; m != NULL; m = m->next)
        show_move(e, m);
    show_back(e, e->first);
}

void substitution_work(struct work *w, const struct substitution *s)
{
    substitution_show(w, substitution_solve(w, s));
}

/* ---- other usual ways ---- */

static bool is_usual_pivot(const struct elimination_by_hand *e, int i, int p)
{
    double largest = 0.0;
    for (int j = 0; j < e->s->unknown_count; j++)
        largest = fmax(largest, size_of(e->w, e->equation[i].coefficient[j]));
    double own = size_of(e->w, e->equation[i].coefficient[p]);
    return own > 0.0 && own >= PIVOT_SHARE * largest;
}

/* Eliminate in the order given; nothing comes of it where that would divide by a small number. */
static void other_order(struct work *w, const struct substitution *s, const int *equation,
                        const int *unknown, const q *answer)
{
    struct elimination_by_hand e;
    if (!begin(w, s, true, &e))
        return;
    for (int k = 0; k < s->unknown_count; k++) {
        int i = equation[k], j = unknown[k];
        if (!is_usual_pivot(&e, i, j))
            return;
        if (open_unknowns(&e, i) == 1)
            solve_one(&e, i, j);
        else
            express_and_collect(&e, i, j);
    }
    put_back(&e, e.first);
    for (int j = 0; j < s->unknown_count; j++)
        if (!q_is_none(e.value[j]))
            work_alternative(w, answer[j], e.value[j]);
}

/* x₁ = (b₁ a₂₂ − b₂ a₁₂)/(a₁₁ a₂₂ − a₁₂ a₂₁), every product and difference written. */
static q factor_of(struct work *w, struct coefficient c)
{
    if (c.sign == 0)
        return q_integer(w, 0, ratio);
    q f = q_is_none(c.factor) ? q_integer(w, 1, ratio) : c.factor;
    return c.sign < 0 ? q_neg(w, f) : f;
}

static q written_difference(struct work *w, q a, q b, q c, q d)
{
    q difference = q_sub(w, q_mul(w, a, b), q_mul(w, c, d));
    return q_name(w, difference, symbol_own(w, "D", arena_printf(w->arena, "o%u", difference.i)));
}

static void by_determinants(struct work *w, const struct substitution *s, const q *answer)
{
    q a[2][2], known[2];
    for (int i = 0; i < 2; i++) {
        for (int j = 0; j < 2; j++)
            a[i][j] = factor_of(w, s->equation[i].coefficient[j]);
        known[i] =
            q_is_none(s->equation[i].known) ? q_integer(w, 0, s->dimension) : s->equation[i].known;
    }
    q d = written_difference(w, a[0][0], a[1][1], a[0][1], a[1][0]);
    for (int j = 0; j < 2; j++) {
        q above = written_difference(w, known[1], a[0][1 - j], known[0], a[1][1 - j]);
        q x = q_div(w, above, d);
        work_alternative(w, answer[j], j == 0 ? x : q_neg(w, x));
    }
}

/* All orders of 0 … n − 1, n ≤ 3. */
static const int orders[6][3] = {{0, 1, 2}, {1, 0, 2}, {0, 2, 1}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};

void substitution_alternatives(struct work *w, const struct substitution *s, const q *answer)
{
    int n = s->unknown_count, count = n == 3 ? 6 : 2;
    bool doubt_digits = w->doubt_digits, doubt_rounding = w->doubt_rounding;
    if (n < 2 || n > 3 || s->equation_count != n)
        return;
    for (int j = 0; j < n; j++)
        if (!s->is_fixed[j])
            return;
    for (int a = 0; a < count; a++)
        for (int b = 0; b < count; b++)
            other_order(w, s, orders[a], orders[b], answer);
    if (n == 2)
        by_determinants(w, s, answer);
    w->doubt_digits = doubt_digits; /* the notes do not depend on whether the key is asked for */
    w->doubt_rounding = doubt_rounding;
}
