/* hand.c: the equations worked in order, each number on the tape. */
#include "statics/hand.h"

#include "statics/slips.h"
#include "statics/substitution.h"

static const struct dimension force_dimension = {.force = 1};
static const struct dimension moment_dimension = {.force = 1, .length = 1};

static uint64_t bit(int i) { return (uint64_t)1 << i; }

static int only_bit(uint64_t x) { return __builtin_ctzll(x); }

bool hand_is_beyond(const struct assembly *a) { return a->column_count > HAND_COLUMNS_MAX; }

/* ---- names ---- */

static const struct reaction_part *part_of(const struct assembly *a, int column)
{
    const struct column *c = &a->column[column];
    return &a->unknown[c->unknown].reaction.part[c->part];
}

static struct symbol symbol_of(const struct hand *h, int i)
{
    const struct hand_unknown *x = &h->unknown[i];
    if (x->column >= 0)
        return part_of(h->a, x->column)->symbol;
    const char *body = assembly_body_name(h->a, h->strut[x->strut].body);
    return symbol_own(h->a->b->w, "S", body);
}

static struct dimension dimension_of(const struct hand *h, int i)
{
    int column = h->unknown[i].column;
    return column >= 0 && h->a->column[column].is_couple ? moment_dimension : force_dimension;
}

/* "A_x, A_y and B" */
static struct arg names_of(const struct hand *h, uint64_t which)
{
    struct work *w = h->a->b->w;
    int count = __builtin_popcountll(which);
    struct symbol *names = arena_alloc(w->arena, (size_t)count * sizeof *names);
    for (int i = 0; i < count && names; i++, which &= which - 1)
        names[i] = symbol_of(h, only_bit(which));
    w->failed = w->failed || (count > 0 && !names);
    return arg_list(names, names ? count : 0);
}

/* ---- struts ---- */

static bool has_load(const struct assembly *a, int body)
{
    for (uint32_t i = 0; i < a->loads.force_count; i++)
        if (a->loads.force[i].body == body)
            return true;
    for (uint32_t i = 0; i < a->loads.couple_count; i++)
        if (a->loads.couple_body[i] == body)
            return true;
    return false;
}

/* A force of components along x, y (, z), all of them fixed, not at the end of another strut. */
static bool is_end(const struct hand *h, int unknown)
{
    const struct assembly *a = h->a;
    const struct unknown *u = &a->unknown[unknown];
    if (u->reaction.count != board_axes(a->b) || u->is_resultant)
        return false;
    for (int k = 0; k < u->reaction.count; k++)
        if (u->reaction.part[k].is_couple || !a->column[u->column[k]].is_fixed ||
            a->column[u->column[k]].unknown != unknown ||
            u->reaction.part[k].aim.part[k].sign != 1 ||
            !q_is_none(u->reaction.part[k].aim.part[k].factor))
            return false;
    for (int i = 0; i < h->strut_count; i++)
        if (h->strut[i].unknown[0] == unknown || h->strut[i].unknown[1] == unknown)
            return false;
    return true;
}

static bool find_strut(const struct hand *h, int body, struct strut *ret)
{
    const struct assembly *a = h->a;
    int ends = 0;
    *ret = (struct strut){.body = body};
    for (int i = 0; i < a->unknown_count; i++) {
        const struct unknown *u = &a->unknown[i];
        if (u->body != body && u->opposite != body)
            continue;
        if (ends == 2 || !is_end(h, i))
            return false;
        ret->sign[ends] = u->body == body ? 1 : -1;
        ret->unknown[ends++] = i;
    }
    if (ends < 2 || has_load(a, body))
        return false;
    ret->line = exact_sub(a->b->w->field, a->site[a->unknown[ret->unknown[1]].site].at,
                          a->site[a->unknown[ret->unknown[0]].site].at);
    return !exact_is_zero(ret->line);
}

static void open_strut(struct hand *h, struct strut *s)
{
    struct assembly *a = h->a;
    struct work *w = a->b->w;
    const struct site *from = &a->site[a->unknown[s->unknown[0]].site];
    const struct site *to = &a->site[a->unknown[s->unknown[1]].site];
    const char *body = assembly_body_name(a, s->body);
    work_say(w,
             PHRASE("{} carries no load and is held at {} and {} only: it is a two-force member. "
                    "Its force acts along the line through them, positive in tension.",
                    arg_name(body), arg_name(from->name), arg_name(to->name)));
    qv r = qv_sub(w, to->place, from->place);
    q length = q_name(w, q_norm(w, r), symbol_own(w, "L", body));
    work_define(w, length);
    s->unit = qv_as_direction(w, qv_over(w, r, length));
    s->unit = qv_name(w, s->unit, symbol_own(w, "u", body));
    work_define_vector(w, s->unit);
}

static void find_struts(struct hand *h)
{
    struct assembly *a = h->a;
    struct work *w = a->b->w;
    h->strut = arena_alloc(w->arena, ((size_t)a->body_count + 1) * sizeof *h->strut);
    if (!h->strut) {
        w->failed = true;
        return;
    }
    for (int body = 0; a->body_count > 1 && body < a->body_count; body++) {
        struct strut s;
        if (!find_strut(h, body, &s))
            continue;
        if (h->strut_count == 0)
            work_section(w, PLAIN("Two-force members"),
                         PLAIN("Two forces balance only if they are equal, opposite and on one "
                               "line."));
        open_strut(h, &s);
        h->strut[h->strut_count++] = s;
    }
}

static bool is_of_strut(const struct hand *h, int unknown)
{
    for (int i = 0; i < h->strut_count; i++)
        if (h->strut[i].unknown[0] == unknown || h->strut[i].unknown[1] == unknown)
            return true;
    return false;
}

void hand_begin(struct hand *h, struct assembly *a)
{
    struct work *w = a->b->w;
    *h = (struct hand){.a = a};
    h->used = arena_alloc(w->arena, (HAND_COLUMNS_MAX + 1) * sizeof *h->used);
    if (!h->used) {
        w->failed = true;
        return;
    }
    find_struts(h);
    for (int j = 0; j < a->column_count; j++)
        if (!is_of_strut(h, a->column[j].unknown))
            h->unknown[h->count++] = (struct hand_unknown){.column = j};
    for (int i = 0; i < h->strut_count; i++)
        h->unknown[h->count++] = (struct hand_unknown){.column = -1, .strut = i};
    h->open = h->count < 64 ? bit(h->count) - 1 : ~(uint64_t)0;
}

/* ---- terms ---- */

/* The factor of a strut: each end by its components. */
static struct signed_q strut_coefficient(const struct hand *h, const struct equation *e,
                                         const struct strut *s)
{
    const struct assembly *a = h->a;
    struct work *w = a->b->w;
    struct terms t = {.w = w};
    for (int end = 0; end < 2; end++) {
        const struct unknown *u = &a->unknown[s->unknown[end]];
        for (int k = 0; k < u->reaction.count; k++) {
            q along = qv_component(w, s->unit, k);
            struct signed_q c = equation_coefficient(a, e, u->column[k]);
            if (c.sign == 0 || q_is_zero(w, along))
                continue;
            c.x = q_is_none(c.x) ? along : q_mul(w, c.x, along);
            c.sign *= (end == 0 ? -1 : 1) * s->sign[end];
            terms_add(&t, c);
        }
    }
    if (t.count == 1)
        return (struct signed_q){1, t.term[0]};
    return (struct signed_q){t.count > 0, terms_sum(&t)};
}

struct signed_q hand_coefficient(const struct hand *h, const struct equation *e, int i)
{
    const struct hand_unknown *x = &h->unknown[i];
    if (num_is_zero(hand_factor(h, e, i)))
        return (struct signed_q){0};
    return x->column >= 0 ? equation_coefficient(h->a, e, x->column)
                          : strut_coefficient(h, e, &h->strut[x->strut]);
}

void hand_found(const struct hand *h, const struct equation *e, int sign, struct terms *ret)
{
    for (int i = 0; i < h->count; i++) {
        if (q_is_none(h->unknown[i].value))
            continue;
        struct signed_q term =
            equation_term(h->a, e, hand_coefficient(h, e, i), h->unknown[i].value);
        term.sign *= sign;
        terms_add(ret, term);
    }
}

/* What is known in the equation: loads, and unknowns found before. */
static void known_terms(const struct hand *h, const struct equation *e, int sign, struct terms *ret)
{
    hand_found(h, e, sign, ret);
    equation_loads(h->a, e, sign, ret);
}

/* The whole equation, the unknowns in `unknowns` first. */
static q left_side(const struct hand *h, const struct equation *e, uint64_t first,
                   const struct signed_q *coefficient, const q *value)
{
    struct terms t = {.w = h->a->b->w};
    for (uint64_t rest = first; rest != 0; rest &= rest - 1) {
        int i = only_bit(rest);
        terms_add(&t, equation_term(h->a, e, coefficient[i], value[i]));
    }
    known_terms(h, e, 1, &t);
    return terms_sum(&t);
}

/* ---- why this equation ---- */

/* The open unknowns that act on the body of the equation but are not in it. */
static uint64_t left_out(const struct hand *h, const struct candidate *c)
{
    const struct assembly *a = h->a;
    uint64_t there = 0;
    for (int i = 0; i < a->pull_count; i++) {
        const struct pull *p = &a->pull[i];
        bool cancels = c->equation.body == NO_BODY && a->unknown[p->unknown].opposite != NO_BODY;
        bool is_there = c->equation.body == NO_BODY ? !cancels : p->body == c->equation.body;
        for (int j = 0; is_there && j < h->count; j++)
            if (h->unknown[j].column == p->column)
                there |= bit(j);
    }
    return there & h->open & ~c->unknowns;
}

/* "B", "the y axis through B", "the line AB": what moments are about. */
static const char *centre_of(const struct hand *h, const struct equation *e)
{
    struct arena *arena = h->a->b->w->arena;
    const char *name = e->name ? e->name : "", *text = name;
    if (e->axis < 0)
        text = arena_printf(arena, "the line %s", name);
    else if (h->a->b->loads->space)
        text = arena_printf(arena, "the %c axis through %s", "xyz"[e->axis], name);
    return text ? text : "";
}

/* Where no title names the axis or the centre. */
static struct phrase reason_here(const struct hand *h, const struct equation *e, uint64_t out,
                                 struct arg only, struct arg others)
{
    struct arg about = arg_name(e->is_moment   ? centre_of(h, e)
                                : e->axis >= 0 ? (const char *[]){"x", "y", "z"}[e->axis]
                                               : "n");
    struct arg verb = arg_name((out & (out - 1)) == 0 ? "has" : "have");
    if (out == 0)
        return e->is_moment ? PHRASE("About {}, {} is the only unknown.", about, only)
                            : PHRASE("Along {}, {} is the only unknown.", about, only);
    return e->is_moment ? PHRASE("About {}, {} {} no moment: {} is the only unknown.", about,
                                 others, verb, only)
                        : PHRASE("Along {}, {} {} no part: {} is the only unknown.", about, others,
                                 verb, only);
}

static struct phrase reason_of(const struct hand *h, const struct candidate *c, int i)
{
    const struct equation *e = &c->equation;
    uint64_t out = left_out(h, c);
    struct arg only = names_of(h, UINT64_C(1) << i), others = names_of(h, out);
    bool is_one = (out & (out - 1)) == 0;
    if (h->is_one_section)
        return reason_here(h, e, out, only, others);
    if (out == 0)
        return PHRASE("{} is the only unknown in it.", only);
    if (!e->is_moment)
        return PHRASE("{} {} no part along it: {} is the only unknown in it.", others,
                      arg_name(is_one ? "has" : "have"), only);
    return PHRASE("{} {} no moment about it: {} is the only unknown in it.", others,
                  arg_name(is_one ? "has" : "have"), only);
}

/* ---- one unknown at a time ---- */

/* x = −known/coefficient */
static q solved_for(const struct hand *h, const struct equation *e, struct signed_q c, int i)
{
    struct work *w = h->a->b->w;
    struct terms known = {.w = w};
    known_terms(h, e, -c.sign, &known);
    q above = terms_sum(&known);
    if (q_is_none(above))
        return q_integer(w, 0, dimension_of(h, i));
    return q_is_none(c.x) ? above : q_div(w, above, c.x);
}

/* Tension is positive. */
static void remark_tension(const struct hand *h, int i)
{
    static const char *const words[] = {"is in compression", "carries no force", "is in tension"};
    struct work *w = h->a->b->w;
    const struct column *c = &h->a->column[h->unknown[i].column];
    work_decide(w, PHRASE("{} {}.", arg_name(h->a->unknown[c->unknown].name),
                          arg_name(words[q_sign(w, h->unknown[i].value) + 1])));
}

static void remark_sign(const struct hand *h, int i)
{
    struct work *w = h->a->b->w;
    q x = h->unknown[i].value;
    if (h->unknown[i].column >= 0 && part_of(h->a, h->unknown[i].column)->is_member) {
        remark_tension(h, i);
        return;
    }
    if (q_sign(w, x) < 0)
        work_decide(
            w, PHRASE("{} is negative: it acts opposite to its positive sense.", arg_symbol(x)));
}

/* The components at the ends of a strut, once its force is known. */
static void split_strut(struct hand *h, const struct strut *s, q force)
{
    struct assembly *a = h->a;
    struct work *w = a->b->w;
    for (int end = 0; end < 2; end++) {
        const struct unknown *u = &a->unknown[s->unknown[end]];
        for (int k = 0; k < u->reaction.count; k++) {
            struct column *c = &a->column[u->column[k]];
            q along = q_mul(w, force, qv_component(w, s->unit, k));
            bool is_minus = (end == 0) != (s->sign[end] < 0);
            c->hand =
                q_name(w, is_minus ? q_neg(w, along) : along, part_of(a, u->column[k])->symbol);
            work_define(w, c->hand);
        }
    }
}

static void set_value(struct hand *h, int i, q value)
{
    struct hand_unknown *x = &h->unknown[i];
    x->value = value;
    h->open &= ~bit(i);
    if (x->column >= 0)
        h->a->column[x->column].hand = value;
}

static void show_found(struct hand *h, int i)
{
    const struct hand_unknown *x = &h->unknown[i];
    if (!h->skips_signs)
        remark_sign(h, i);
    if (x->column < 0)
        split_strut(h, &h->strut[x->strut], x->value);
}

/* What comes before the equation: a section of its own, or its reason in the section that is open.
 */
static bool open_single(struct hand *h, struct candidate *c, int i)
{
    struct work *w = h->a->b->w;
    struct equation *e = &c->equation;
    if (h->is_one_section) {
        equation_open(h->a, e);
        work_decide(w, reason_of(h, c, i));
        return !w->failed;
    }
    work_section(w, PLAIN(""), (struct phrase){0}); /* its title names what is opened in it */
    struct section *section = w->section_count > 0 ? &w->section[w->section_count - 1] : NULL;
    equation_open(h->a, e);
    if (w->failed || !section)
        return false;
    section->title = equation_title(h->a, e);
    section->why = reason_of(h, c, i);
    return true;
}

void hand_solve_single(struct hand *h, struct candidate *c)
{
    struct work *w = h->a->b->w;
    struct equation *e = &c->equation;
    int i = only_bit(c->unknowns & h->open);
    struct signed_q coefficient[HAND_COLUMNS_MAX];
    q value[HAND_COLUMNS_MAX] = {{0}};
    if (!open_single(h, c, i))
        return;
    coefficient[i] = hand_coefficient(h, e, i);
    q x = q_name(w, solved_for(h, e, coefficient[i], i), symbol_of(h, i));
    value[i] = x;
    if (h->unknown[i].column >= 0 && part_of(h->a, h->unknown[i].column)->is_member)
        slips_of_solved(h->a->b->w, x,
                        h->a->unknown[h->a->column[h->unknown[i].column].unknown].name);
    equation_show(h->a, e, left_side(h, e, bit(i), coefficient, value));
    work_define(w, x);
    set_value(h, i, x);
    h->solved[h->used_count] = i;
    h->used[h->used_count++] = *e;
    show_found(h, i);
}

/* ---- several together ---- */

static const char *equation_name(const struct hand *h, const struct equation *e)
{
    struct arena *arena = h->a->b->w->arena;
    const char *of = e->is_moment ? e->name ? e->name : "" : e->axis < 0 ? "n" : "";
    const char *axis = e->axis < 0 || (e->is_moment && !h->a->b->loads->space)
                           ? ""
                           : (const char *[]){"x", "y", "z"}[e->axis];
    const char *name = arena_printf(arena, "Σ%s_%s%s = 0", e->is_moment ? "M" : "F", of, axis);
    return name ? name : "";
}

static bool set_up(struct hand *h, const struct candidates *c, uint64_t group, const int *rows,
                   int row_count, struct substitution *s)
{
    struct work *w = h->a->b->w;
    if (!substitution_new(w, s, row_count, __builtin_popcountll(group)))
        return false;
    s->dimension = force_dimension;
    for (int k = 0; k < row_count; k++) {
        struct equation *e = &c->list[rows[k]].equation;
        struct terms known = {.w = w};
        int column = 0;
        equation_open(h->a, e);
        for (uint64_t rest = group; rest != 0; rest &= rest - 1, column++) {
            struct signed_q factor = hand_coefficient(h, e, only_bit(rest));
            s->equation[k].coefficient[column] = (struct coefficient){factor.sign, factor.x};
        }
        known_terms(h, e, 1, &known);
        s->equation[k].known = terms_sum(&known);
        s->equation[k].name = equation_name(h, e);
    }
    int column = 0;
    for (uint64_t rest = group; rest != 0; rest &= rest - 1, column++) {
        int i = only_bit(rest), of = h->unknown[i].column;
        s->symbol[column] = symbol_of(h, i);
        s->is_couple[column] = of >= 0 && h->a->column[of].is_couple;
        s->is_fixed[column] = of < 0 || h->a->column[of].is_fixed;
    }
    return true;
}

/* The equations as they stand, shown before what was made of them. */
static void show_rows(struct hand *h, const struct candidates *c, uint64_t group, const int *rows,
                      int row_count, const struct substitution *s, uint32_t before)
{
    struct work *w = h->a->b->w;
    struct signed_q coefficient[HAND_COLUMNS_MAX];
    q value[HAND_COLUMNS_MAX] = {{0}};
    uint32_t worked = w->step_count;
    for (int k = 0; k < row_count; k++) {
        bool is_writable = true;
        int column = 0;
        for (uint64_t rest = group; rest != 0; rest &= rest - 1, column++) {
            int i = only_bit(rest);
            struct coefficient factor = s->equation[k].coefficient[column];
            coefficient[i] = (struct signed_q){factor.sign, factor.factor};
            value[i] = s->hand[column];
            is_writable = is_writable && (factor.sign == 0 || !q_is_none(value[i]));
        }
        const struct equation *e = &c->list[rows[k]].equation;
        if (is_writable)
            equation_show(h->a, e, left_side(h, e, group, coefficient, value));
    }
    work_move_steps(w, worked, before);
}

void hand_solve_together(struct hand *h, const struct candidates *c, uint64_t group,
                         const int *rows, int row_count)
{
    struct work *w = h->a->b->w;
    struct substitution s;
    struct phrase why = PHRASE("No sum holds one unknown alone. The smallest group that stands by "
                               "itself is that of {}.",
                               names_of(h, group));
    if (h->is_one_section)
        work_decide(w, PHRASE("No sum here holds one unknown alone: {} are found together.",
                              names_of(h, group)));
    else
        work_section(w, PHRASE("{} equations together", arg_count(row_count)), why);
    if (!set_up(h, c, group, rows, row_count, &s))
        return;
    h->worked = s;
    h->worked_group = group;
    uint32_t before = w->step_count;
    substitution_work(w, &s);
    if (w->failed)
        return;
    show_rows(h, c, group, rows, row_count, &s, before);
    int column = 0;
    for (uint64_t rest = group; rest != 0; rest &= rest - 1, column++) {
        int i = only_bit(rest);
        if (q_is_none(s.hand[column]))
            continue;
        set_value(h, i, s.hand[column]);
        show_found(h, i);
        h->together++;
    }
    for (int k = 0; k < row_count && h->used_count < HAND_COLUMNS_MAX; k++) {
        h->solved[h->used_count] = -1;
        h->used[h->used_count++] = c->list[rows[k]].equation;
    }
}

/* ---- the order ---- */

static bool is_wanted(const struct hand *h)
{
    for (int i = 0; i < h->count; i++) {
        int column = h->unknown[i].column;
        if ((h->open & bit(i)) && (column < 0 || h->a->column[column].is_fixed))
            return true;
    }
    return false;
}

/* More equations at once than these nobody reads: the solver's values stand alone then. */
#define TOGETHER_MAX 8

/* All that is left at once: the rows of every body. */
static void solve_rest(struct hand *h, const struct candidates *usual)
{
    int rows[2 * HAND_COLUMNS_MAX], count = 0;
    int centre = NO_SITE, body = NO_BODY - 1;
    for (int i = 0; i < usual->count && count < 2 * HAND_COLUMNS_MAX; i++) {
        const struct candidate *c = &usual->list[i];
        if (c->equation.body == NO_BODY && h->a->body_count > 1)
            continue;
        if (c->equation.body != body)
            centre = NO_SITE;
        body = c->equation.body;
        if (c->equation.is_moment && centre == NO_SITE)
            centre = c->equation.site;
        bool is_row = !c->equation.is_moment || c->equation.site == centre;
        if (is_row && (c->unknowns & h->open))
            rows[count++] = i;
    }
    if (count > 0 && count <= TOGETHER_MAX)
        hand_solve_together(h, usual, h->open, rows, count);
}

void hand_work(struct hand *h)
{
    struct work *w = h->a->b->w;
    struct candidates usual, all;
    int rows[HAND_COLUMNS_MAX];
    hand_usual(h, &usual);
    while (is_wanted(h) && !w->failed) {
        int best = hand_single(&usual, h->open);
        if (best >= 0) {
            hand_solve_single(h, &usual.list[best]);
            continue;
        }
        all = (struct candidates){0};
        for (int i = 0; i < usual.count; i++)
            candidates_add(w, &all, &usual.list[i]);
        hand_further(h, &all);
        best = hand_single(&all, h->open);
        if (best >= 0) {
            hand_solve_single(h, &all.list[best]);
            continue;
        }
        uint64_t group = hand_group(h, &all, rows);
        if (group == 0) {
            solve_rest(h, &usual);
            break;
        }
        hand_solve_together(h, &all, group, rows, __builtin_popcountll(group));
    }
}

/* ---- checks ---- */

static bool same_equation(const struct equation *a, const struct equation *b)
{
    return a->body == b->body && a->is_moment == b->is_moment && a->axis == b->axis &&
           a->site == b->site && a->other == b->other && a->line[0] == b->line[0] &&
           a->line[1] == b->line[1];
}

bool hand_used(const struct hand *h, const struct equation *e)
{
    for (int i = 0; i < h->used_count; i++)
        if (same_equation(&h->used[i], e))
            return true;
    return false;
}

q hand_sum(struct hand *h, struct equation *e)
{
    struct terms t = {.w = h->a->b->w};
    equation_open(h->a, e);
    known_terms(h, e, 1, &t);
    return terms_sum(&t);
}

/* An equation that was not used, with as many unknowns in it as can be; a moment rather than a
 * force. -1: there is none. */
static int best_check(const struct hand *h, const struct candidates *c, int body)
{
    int best = -1, most = 0;
    for (int i = 0; i < c->count; i++) {
        const struct candidate *x = &c->list[i];
        if (x->equation.body != body || (x->unknowns & h->open) || hand_used(h, &x->equation))
            continue;
        int score = 2 * __builtin_popcountll(x->unknowns) + x->equation.is_moment;
        if (score > most) {
            best = i;
            most = score;
        }
    }
    return best;
}

void hand_check(struct hand *h)
{
    struct assembly *a = h->a;
    struct work *w = a->b->w;
    struct candidates usual;
    hand_usual(h, &usual);
    int best = best_check(h, &usual, a->body_count > 1 ? NO_BODY : 0);
    if (best < 0 || w->failed)
        return;
    struct equation *e = &usual.list[best].equation;
    q sum = hand_sum(h, e);
    if (q_is_none(sum))
        return;
    work_section(w, PLAIN("Check"),
                 PLAIN("A sum that was not used must come out as zero, with all that was found."));
    work_say(w, equation_title(a, e));
    equation_check(a, e, sum, PLAIN("It is zero, as it must be."));
}
