/* strut.c: bodies that two forces hold: their force acts along the line through its two ends. */
#include "statics/hand.h"

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

void strut_find_all(struct hand *h)
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

bool strut_has_end(const struct hand *h, int unknown)
{
    for (int i = 0; i < h->strut_count; i++)
        if (h->strut[i].unknown[0] == unknown || h->strut[i].unknown[1] == unknown)
            return true;
    return false;
}

struct num strut_factor(const struct hand *h, const struct equation *e, const struct strut *s)
{
    const struct assembly *a = h->a;
    const struct field *f = a->b->w->field;
    struct num sum = num_integer(f, 0);
    for (int end = 0; end < 2; end++) {
        const struct unknown *u = &a->unknown[s->unknown[end]];
        for (int k = 0; k < u->reaction.count; k++) {
            struct num part = num_mul(f, equation_factor(a, e, u->column[k]), s->line.c[k]);
            bool is_minus = (end == 0) != (s->sign[end] < 0);
            sum = is_minus ? num_sub(f, sum, part) : num_add(f, sum, part);
        }
    }
    return sum;
}

struct signed_q strut_coefficient(const struct hand *h, const struct equation *e,
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

void strut_split(const struct hand *h, const struct strut *s, q force)
{
    struct assembly *a = h->a;
    struct work *w = a->b->w;
    for (int end = 0; end < 2; end++) {
        const struct unknown *u = &a->unknown[s->unknown[end]];
        for (int k = 0; k < u->reaction.count; k++) {
            struct column *c = &a->column[u->column[k]];
            q along = q_mul(w, force, qv_component(w, s->unit, k));
            bool is_minus = (end == 0) != (s->sign[end] < 0);
            c->hand = q_name(w, is_minus ? q_neg(w, along) : along,
                             assembly_part(a, u->column[k])->symbol);
            work_define(w, c->hand);
        }
    }
}
