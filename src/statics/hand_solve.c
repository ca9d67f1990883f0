/* hand_solve.c: one equation for one unknown, or several together: why, the line, and what follows.
 */
#include "statics/hand.h"

#include <string.h>

#include "statics/slips.h"

static const struct dimension force_dimension = {.force = 1};
static const struct dimension moment_dimension = {.force = 1, .length = 1};

/* ---- names ---- */

static struct symbol symbol_of(const struct hand *h, int i)
{
    const struct hand_unknown *x = &h->unknown[i];
    if (x->column >= 0)
        return assembly_part(h->a, x->column)->symbol;
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
    int count = hand_bits(which);
    struct symbol *names = arena_alloc(w->arena, (size_t)count * sizeof *names);
    for (int i = 0; i < count && names; i++, which &= which - 1)
        names[i] = symbol_of(h, hand_first(which));
    w->failed = w->failed || (count > 0 && !names);
    return arg_list(names, names ? count : 0);
}

/* ---- terms ---- */

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
        int i = hand_first(rest);
        terms_add(&t, equation_term(h->a, e, coefficient[i], value[i]));
    }
    known_terms(h, e, 1, &t);
    return terms_sum(&t);
}

q hand_sum(struct hand *h, struct equation *e)
{
    struct terms t = {.w = h->a->b->w};
    equation_open(h->a, e);
    known_terms(h, e, 1, &t);
    return terms_sum(&t);
}

/* An equation that is used leaves out what is zero within the digits given, or within rounding. */
static void remember_left_out(const struct hand *h, const struct equation *e)
{
    for (int i = 0; i < h->count; i++) {
        enum zero zero = num_zero(hand_factor(h, e, i));
        h->a->b->w->hand_left_out |= zero == ZERO_WITHIN_DIGITS || zero == ZERO_WITHIN_ROUNDING;
    }
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
                there |= hand_bit(j);
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
    struct arg only = names_of(h, hand_bit(i)), others = names_of(h, out);
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

/* The two-force member whose force this is, tension positive; NULL: it is no such force. */
static const char *two_force_member(const struct hand *h, int i)
{
    const struct hand_unknown *x = &h->unknown[i];
    if (x->column < 0)
        return assembly_body_name(h->a, h->strut[x->strut].body);
    const struct unknown *u = &h->a->unknown[h->a->column[x->column].unknown];
    if (assembly_part(h->a, x->column)->is_member)
        return u->name;
    bool is_link = u->kind && strcmp(u->kind, support_kind_word(SUPPORT_LINK)) == 0;
    return is_link ? arena_printf(h->a->b->w->arena, "The link %s", u->name) : NULL;
}

static void remark_sign(const struct hand *h, int i)
{
    static const char *const words[] = {"is in compression", "carries no force", "is in tension"};
    struct work *w = h->a->b->w;
    q x = h->unknown[i].value;
    const char *member = two_force_member(h, i);
    if (member)
        work_decide(w, PHRASE("{} {}.", arg_name(member), arg_name(words[q_sign(w, x) + 1])));
    else if (q_sign(w, x) < 0)
        work_decide(
            w, PHRASE("{} is negative: it acts opposite to its positive sense.", arg_symbol(x)));
}

static void set_value(struct hand *h, int i, q value)
{
    struct hand_unknown *x = &h->unknown[i];
    x->value = value;
    h->open &= ~hand_bit(i);
    if (x->column >= 0)
        h->a->column[x->column].hand = value;
}

static void show_found(struct hand *h, int i)
{
    const struct hand_unknown *x = &h->unknown[i];
    if (!h->skips_signs)
        remark_sign(h, i);
    if (x->column < 0)
        strut_split(h, &h->strut[x->strut], x->value);
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
    int i = hand_first(c->unknowns & h->open);
    struct signed_q coefficient[HAND_COLUMNS_MAX];
    q value[HAND_COLUMNS_MAX] = {{0}};
    if (!open_single(h, c, i))
        return;
    remember_left_out(h, e);
    coefficient[i] = hand_coefficient(h, e, i);
    q x = q_name(w, solved_for(h, e, coefficient[i], i), symbol_of(h, i));
    value[i] = x;
    if (h->unknown[i].column >= 0 && assembly_part(h->a, h->unknown[i].column)->is_member)
        slips_of_solved(h->a->b->w, x,
                        h->a->unknown[h->a->column[h->unknown[i].column].unknown].name);
    equation_show(h->a, e, left_side(h, e, hand_bit(i), coefficient, value));
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
    if (!substitution_new(w, s, row_count, hand_bits(group)))
        return false;
    s->dimension = force_dimension;
    for (int k = 0; k < row_count; k++) {
        struct equation *e = &c->list[rows[k]].equation;
        struct terms known = {.w = w};
        int column = 0;
        equation_open(h->a, e);
        remember_left_out(h, e);
        for (uint64_t rest = group; rest != 0; rest &= rest - 1, column++) {
            struct signed_q factor = hand_coefficient(h, e, hand_first(rest));
            s->equation[k].coefficient[column] = (struct coefficient){factor.sign, factor.x};
        }
        known_terms(h, e, 1, &known);
        s->equation[k].known = terms_sum(&known);
        s->equation[k].name = equation_name(h, e);
    }
    int column = 0;
    for (uint64_t rest = group; rest != 0; rest &= rest - 1, column++) {
        int i = hand_first(rest), of = h->unknown[i].column;
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
            int i = hand_first(rest);
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
        int i = hand_first(rest);
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
