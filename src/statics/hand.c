/* hand.c: the equations worked in order, each number on the tape. */
#include "statics/hand.h"

bool hand_is_beyond(const struct assembly *a) { return a->column_count > HAND_COLUMNS_MAX; }

void hand_begin(struct hand *h, struct assembly *a)
{
    struct work *w = a->b->w;
    *h = (struct hand){.a = a};
    h->used = arena_alloc(w->arena, (HAND_COLUMNS_MAX + 1) * sizeof *h->used);
    if (!h->used) {
        w->failed = true;
        return;
    }
    strut_find_all(h);
    for (int j = 0; j < a->column_count; j++)
        if (!strut_has_end(h, a->column[j].unknown))
            h->unknown[h->count++] = (struct hand_unknown){.column = j};
    for (int i = 0; i < h->strut_count; i++)
        h->unknown[h->count++] = (struct hand_unknown){.column = -1, .strut = i};
    h->open = h->count < 64 ? hand_bit(h->count) - 1 : ~(uint64_t)0;
}

/* ---- the order ---- */

static bool is_wanted(const struct hand *h)
{
    for (int i = 0; i < h->count; i++) {
        int column = h->unknown[i].column;
        if ((h->open & hand_bit(i)) && (column < 0 || h->a->column[column].is_fixed))
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
        uint64_t before = h->open;
        hand_solve_together(h, &all, group, rows, hand_bits(group));
        if (h->open == before) /* none of them is fixed as far as the digits tell */
            break;
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

/* An equation that was not used, with as many unknowns in it as can be; a moment rather than a
 * force. -1: there is none. */
static int best_check(const struct hand *h, const struct candidates *c, int body)
{
    int best = -1, most = 0;
    for (int i = 0; i < c->count; i++) {
        const struct candidate *x = &c->list[i];
        if (x->equation.body != body || (x->unknowns & h->open) || hand_used(h, &x->equation))
            continue;
        int score = 2 * hand_bits(x->unknowns) + x->equation.is_moment;
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
