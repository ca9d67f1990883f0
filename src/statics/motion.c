/* motion.c: a basis of the motions left free. A rigid motion is a velocity u of the assembly's
 * origin and a turn ω; an unknown force prevents it where the point that it acts on would move
 * along it (virtual work). Plain motions are tried first, then what the solver's left null vectors
 * say. */
#include "statics/motion.h"

#include <string.h>

static const struct dimension ratio = {0};
static const struct dimension length_dimension = {.length = 1};

/* Beyond so many equations the solver's own basis is given: it need not be the plainest. */
#define PLAIN_EQUATIONS_MAX 90

/* A rigid motion of one body (NO_BODY: all alike). */
struct rigid {
    struct exact u, turn;
};

struct search {
    struct assembly *a;
    struct work *w;
    const struct field *f;
    struct motions *found;
    struct num **echelon; /* rows reduced by those before */
    int *pivot;
    int wanted;
};

/* ---- rows ---- */

static int forces_of(const struct assembly *a) { return a->b->loads->space ? 3 : 2; }

static void put_rigid(const struct search *s, int body, const struct rigid *r, struct num *row)
{
    const struct assembly *a = s->a;
    int forces = forces_of(a);
    for (int i = 0; i < a->equations; i++)
        row[i] = num_integer(s->f, 0);
    for (int k = 0; k < a->body_count; k++) {
        if (body != NO_BODY && body != k)
            continue;
        struct num *own = row + k * a->per_body;
        for (int axis = 0; axis < forces; axis++)
            own[axis] = r->u.c[axis];
        for (int i = forces; i < a->per_body; i++)
            own[i] = r->turn.c[forces == 3 ? i - 3 : 2];
    }
}

static struct rigid rigid_of(const struct search *s, const struct num *row, int body)
{
    const struct assembly *a = s->a;
    int forces = forces_of(a);
    const struct num *own = row + body * a->per_body;
    struct rigid r = {exact_zero(s->f), exact_zero(s->f)};
    for (int axis = 0; axis < forces; axis++)
        r.u.c[axis] = own[axis];
    for (int i = forces; i < a->per_body; i++)
        r.turn.c[forces == 3 ? i - 3 : 2] = own[i];
    return r;
}

static bool moves(const struct rigid *r) { return !exact_is_zero(r->u) || !exact_is_zero(r->turn); }

/* Does no unknown work in it? */
static bool is_free(const struct search *s, const struct num *row)
{
    const struct assembly *a = s->a;
    for (int j = 0; j < a->column_count; j++) {
        struct num work = num_integer(s->f, 0);
        for (int i = 0; i < a->pull_count; i++) {
            const struct pull *p = &a->pull[i];
            if (p->column != j)
                continue;
            struct rigid r = rigid_of(s, row, p->body);
            work = num_add(s->f, work, exact_dot(s->f, p->force, r.u));
            work = num_add(s->f, work, exact_dot(s->f, p->moment, r.turn));
        }
        if (!num_is_zero(work))
            return false;
    }
    return true;
}

static struct num *new_row(const struct search *s)
{
    struct num *row = arena_alloc(s->w->arena, ((size_t)s->a->equations + 1) * sizeof *row);
    if (!row)
        s->w->failed = true;
    return row;
}

/* Is it independent of the motions found? Then its reduced row is kept. */
static bool keep_if_independent(struct search *s, const struct num *row)
{
    int n = s->a->equations, rank = s->found->count, pivot = -1;
    struct num *rest = new_row(s);
    if (!rest)
        return false;
    memcpy(rest, row, (size_t)n * sizeof *rest);
    for (int i = 0; i < rank; i++) {
        int p = s->pivot[i];
        if (num_is_zero(rest[p]))
            continue;
        struct num share = num_div(s->f, rest[p], s->echelon[i][p]);
        for (int j = 0; j < n; j++)
            if (!num_is_zero(s->echelon[i][j]))
                rest[j] = num_sub(s->f, rest[j], num_mul(s->f, share, s->echelon[i][j]));
        rest[p] = num_integer(s->f, 0);
    }
    for (int j = 0; j < n && pivot < 0; j++)
        if (!num_is_zero(rest[j]))
            pivot = j;
    if (pivot < 0)
        return false;
    s->echelon[rank] = rest;
    s->pivot[rank] = pivot;
    return true;
}

/* ---- in words ---- */

/* A number that is not worked on the board, but found exactly. */
static q shown(const struct search *s, struct num x, struct dimension dimension, const char *base,
               int axis)
{
    struct work *w = s->w;
    const char *sub = arena_printf(w->arena, "%d%c", s->found->count + 1, "xyz"[axis]);
    return q_name(w, q_unknown(w, x, dimension, (q){0}, 0.0), symbol_own(w, base, sub));
}

static qv shown_vector(const struct search *s, struct exact v, struct dimension dimension,
                       const char *base)
{
    q c[3] = {{0}};
    for (int axis = 0; axis < board_axes(s->a->b); axis++)
        c[axis] = shown(s, v.c[axis], dimension, base, axis);
    return qv_of(s->w, c[0], c[1], c[2]);
}

static struct exact unit_of(const struct search *s, struct exact v)
{
    struct num length = num_sqrt(s->f, exact_dot(s->f, v, v), v.c[0].residue.a ^ v.c[1].residue.a);
    return exact_scale(s->f, num_div(s->f, num_integer(s->f, 1), length), v);
}

static int axis_of(struct exact v)
{
    int found = -1;
    for (int axis = 0; axis < 3; axis++) {
        if (num_is_zero(v.c[axis]))
            continue;
        if (found >= 0)
            return -1;
        found = axis;
    }
    return found;
}

/* A site that stays where it is, or −1. */
static int site_at_rest(const struct search *s, const struct rigid *r)
{
    for (int k = 0; k < s->a->site_count; k++) {
        struct exact arm = exact_sub(s->f, s->a->site[k].at, s->a->origin);
        if (exact_is_zero(exact_add(s->f, r->u, exact_cross(s->f, r->turn, arm))))
            return k;
    }
    return -1;
}

/* The point of the axis nearest to the origin of the assembly: ω × u/ω². */
static struct exact pole_of(const struct search *s, const struct rigid *r)
{
    struct num square = exact_dot(s->f, r->turn, r->turn);
    struct num over = num_div(s->f, num_integer(s->f, 1), square);
    struct exact way = exact_scale(s->f, over, exact_cross(s->f, r->turn, r->u));
    return exact_add(s->f, s->a->origin, way);
}

static enum motion_kind kind_of(const struct search *s, const struct rigid *r)
{
    if (exact_is_zero(r->turn))
        return MOTION_TRANSLATION;
    return num_is_zero(exact_dot(s->f, r->u, r->turn)) ? MOTION_ROTATION : MOTION_SCREW;
}

static struct phrase translation_text(const struct search *s, const struct motion *m,
                                      struct exact u, const char *who)
{
    static const char *const axes[3] = {"x", "y", "z"};
    struct arg name = arg_name(who), part[3];
    int axis = axis_of(u);
    if (axis >= 0)
        return PHRASE("{}slides along {}", name, arg_name(axes[axis]));
    for (int k = 0; k < board_axes(s->a->b); k++)
        part[k] = arg_value(qv_component(s->w, m->direction, k));
    return s->a->b->loads->space
               ? PHRASE("{}slides along the direction ({}, {}, {})", name, part[0], part[1],
                        part[2])
               : PHRASE("{}slides along the direction ({}, {})", name, part[0], part[1]);
}

static struct phrase turning_text(const struct search *s, const struct motion *m, struct exact turn,
                                  const char *who)
{
    static const char *const axes[3] = {"x", "y", "z"};
    struct arg name = arg_name(who), at = arg_name(m->about_name ? m->about_name : "");
    const char *verb = m->kind == MOTION_SCREW ? "turns about and slides along" : "turns about";
    int axis = axis_of(turn);
    q x = qv_component(s->w, m->about, 0), y = qv_component(s->w, m->about, 1);
    if (!s->a->b->loads->space)
        return m->about_name
                   ? PHRASE("{}turns about {}", name, at)
                   : PHRASE("{}turns about the point ({}, {})", name, arg_value(x), arg_value(y));
    if (axis >= 0 && m->about_name)
        return PHRASE("{}{} the {} axis through {}", name, arg_name(verb), arg_name(axes[axis]),
                      at);
    if (m->about_name)
        return PHRASE("{}{} a line through {}", name, arg_name(verb), at);
    q z = qv_component(s->w, m->about, 2);
    return PHRASE("{}{} a line through the point ({}, {}, {})", name, arg_name(verb), arg_value(x),
                  arg_value(y), arg_value(z));
}

/* A second site at rest makes the line a line through two places. */
static const char *line_name(const struct search *s, const struct rigid *r, int first)
{
    struct rigid rest = *r;
    for (int k = 0; first >= 0 && k < s->a->site_count; k++) {
        struct exact arm = exact_sub(s->f, s->a->site[k].at, s->a->origin);
        bool is_at_rest = exact_is_zero(exact_add(s->f, rest.u, exact_cross(s->f, rest.turn, arm)));
        if (k != first && is_at_rest)
            return arena_printf(s->w->arena, "%s and %s", s->a->site[first].name,
                                s->a->site[k].name);
    }
    return first >= 0 ? s->a->site[first].name : NULL;
}

/* "AC " before what it does; "" where there is one body. */
static const char *who_moves(const struct search *s, const char *body)
{
    const char *who = body ? arena_printf(s->w->arena, "%s ", body) : "";
    return who ? who : "";
}

static void describe(const struct search *s, struct motion *m, const struct rigid *r,
                     const char *body)
{
    struct assembly *a = s->a;
    const char *who = who_moves(s, body);
    m->kind = kind_of(s, r);
    if (m->kind == MOTION_TRANSLATION) {
        m->direction = shown_vector(s, unit_of(s, r->u), ratio, "e");
        m->text = translation_text(s, m, r->u, who);
        return;
    }
    int site = m->kind == MOTION_ROTATION ? site_at_rest(s, r) : -1;
    struct exact pole = site >= 0 ? a->site[site].at : pole_of(s, r);
    m->about = shown_vector(s, pole, length_dimension, "p");
    m->about_name = a->b->loads->space ? line_name(s, r, site)
                    : site >= 0        ? a->site[site].name
                                       : NULL;
    if (a->b->loads->space)
        m->direction = shown_vector(s, unit_of(s, r->turn), ratio, "e");
    m->text = turning_text(s, m, r->turn, who);
}

/* The bodies that move besides the first, by name. */
static const char *others_that_move(const struct search *s, const struct num *row, int first)
{
    const char *names = NULL;
    for (int k = first + 1; k < s->a->body_count; k++) {
        struct rigid r = rigid_of(s, row, k);
        if (!moves(&r))
            continue;
        const char *name = assembly_body_name(s->a, k);
        names = names ? arena_printf(s->w->arena, "%s, %s", names, name) : name;
    }
    return names;
}

static bool is_alike(const struct search *s, const struct num *row)
{
    struct rigid first = rigid_of(s, row, 0);
    for (int k = 1; k < s->a->body_count; k++) {
        struct rigid r = rigid_of(s, row, k);
        if (!exact_is_zero(exact_sub(s->f, r.u, first.u)) ||
            !exact_is_zero(exact_sub(s->f, r.turn, first.turn)))
            return false;
    }
    return true;
}

static void add(struct search *s, const struct num *row)
{
    struct assembly *a = s->a;
    struct motion m = {.row = row};
    int body = 0;
    struct rigid r = rigid_of(s, row, body);
    while (!moves(&r) && body + 1 < a->body_count)
        r = rigid_of(s, row, ++body);
    bool is_whole = a->body_count > 1 && is_alike(s, row);
    const char *name = a->body_count == 1 ? NULL
                       : is_whole         ? "the whole"
                                          : assembly_body_name(a, body);
    describe(s, &m, &r, name);
    const char *others = is_whole ? NULL : others_that_move(s, row, body);
    if (others && m.text.count < 6) {
        const char *text = arena_printf(s->w->arena, "%s, and {} with it", m.text.template);
        m.text.template = text ? text : m.text.template;
        m.text.arg[m.text.count++] = arg_name(others);
    }
    s->found->list[s->found->count++] = m;
}

/* ---- plain motions ---- */

static void try_rigid(struct search *s, int body, struct rigid r)
{
    if (s->found->count == s->wanted || s->w->failed || !moves(&r))
        return;
    struct num *row = new_row(s);
    if (!row)
        return;
    put_rigid(s, body, &r, row);
    if (is_free(s, row) && keep_if_independent(s, row))
        add(s, row);
}

static void try_translation(struct search *s, int body, struct exact along)
{
    try_rigid(s, body, (struct rigid){along, exact_zero(s->f)});
}

static void try_turn(struct search *s, int body, struct exact at, struct exact turn)
{
    struct exact arm = exact_sub(s->f, s->a->origin, at);
    try_rigid(s, body, (struct rigid){exact_cross(s->f, turn, arm), turn});
}

static struct exact site_of(const struct search *s, const struct pull *p)
{
    return s->a->site[s->a->unknown[p->unknown].site].at;
}

static bool is_plain_force(const struct pull *p) { return !exact_is_zero(p->force); }

static void try_translations(struct search *s, int body)
{
    const struct assembly *a = s->a;
    for (int axis = 0; axis < board_axes(a->b); axis++)
        try_translation(s, body, exact_axis(s->f, axis));
    for (int i = 0; i < a->pull_count && s->found->count < s->wanted; i++) {
        const struct pull *p = &a->pull[i];
        if (!is_plain_force(p))
            continue;
        if (!a->b->loads->space)
            try_translation(s, body, exact_cross(s->f, exact_axis(s->f, 2), p->force));
        for (int k = 0; a->b->loads->space && k < 3; k++)
            try_translation(s, body, exact_cross(s->f, exact_axis(s->f, k), p->force));
        for (int j = i + 1; a->b->loads->space && j < a->pull_count; j++)
            try_translation(s, body, exact_cross(s->f, p->force, a->pull[j].force));
    }
}

static void try_turns_of_plane(struct search *s, int body)
{
    const struct assembly *a = s->a;
    struct exact z = exact_axis(s->f, 2);
    for (int k = 0; k < a->site_count; k++)
        try_turn(s, body, a->site[k].at, z);
    try_turn(s, body, exact_zero(s->f), z);
    for (int i = 0; i < a->pull_count && s->found->count < s->wanted; i++)
        for (int j = i + 1; j < a->pull_count; j++) {
            const struct pull *p = &a->pull[i], *other = &a->pull[j];
            struct num turn = exact_cross(s->f, p->force, other->force).c[2];
            if (num_is_zero(turn))
                continue;
            struct exact way = exact_sub(s->f, site_of(s, other), site_of(s, p));
            struct num reach = exact_cross(s->f, way, other->force).c[2];
            struct exact to = exact_scale(s->f, num_div(s->f, reach, turn), p->force);
            try_turn(s, body, exact_add(s->f, site_of(s, p), to), z);
        }
}

static void try_turns_of_space(struct search *s, int body)
{
    const struct assembly *a = s->a;
    for (int k = 0; k < a->site_count; k++)
        for (int axis = 0; axis < 3; axis++)
            try_turn(s, body, a->site[k].at, exact_axis(s->f, axis));
    for (int axis = 0; a->site_count == 0 && axis < 3; axis++)
        try_turn(s, body, exact_zero(s->f), exact_axis(s->f, axis));
    for (int k = 0; k < a->site_count; k++)
        for (int j = k + 1; j < a->site_count; j++)
            try_turn(s, body, a->site[k].at, exact_sub(s->f, a->site[j].at, a->site[k].at));
    for (int k = 0; k < a->site_count; k++)
        for (int i = 0; i < a->pull_count && s->found->count < s->wanted; i++)
            try_turn(s, body, a->site[k].at, a->pull[i].force);
}

static void try_plain(struct search *s)
{
    const struct assembly *a = s->a;
    int first = a->body_count > 1 ? NO_BODY : 0;
    for (int body = first; body < a->body_count; body++)
        try_translations(s, body);
    for (int body = first; body < a->body_count; body++) {
        if (a->b->loads->space)
            try_turns_of_space(s, body);
        else
            try_turns_of_plane(s, body);
    }
}

static void take_null_vectors(struct search *s, bool is_basis)
{
    for (int k = 0; s->found->count < s->wanted && k < s->wanted; k++) {
        struct num *row = new_row(s);
        if (!row || !linear_left_null(s->a->linear, k, row)) {
            s->w->failed = true;
            return;
        }
        if (is_basis || keep_if_independent(s, row))
            add(s, row);
    }
}

void motions_find(struct assembly *a, struct motions *ret)
{
    struct work *w = a->b->w;
    *ret = (struct motions){0};
    struct search s = {
        .a = a, .w = w, .f = w->field, .found = ret, .wanted = a->equations - a->rank};
    size_t count = (size_t)s.wanted + 1;
    ret->list = arena_alloc(w->arena, count * sizeof *ret->list);
    s.echelon = arena_alloc(w->arena, count * sizeof *s.echelon);
    s.pivot = arena_alloc(w->arena, count * sizeof *s.pivot);
    if (!ret->list || !s.echelon || !s.pivot) {
        w->failed = true;
        return;
    }
    bool is_plain = a->equations <= PLAIN_EQUATIONS_MAX;
    if (is_plain)
        try_plain(&s);
    take_null_vectors(&s, !is_plain);
}

void motions_put(struct work *w, const struct motions *m)
{
    static const char *const words[MOTION_MAX_] = {"translation", "rotation", "screw"};
    if (m->count == 0)
        return;
    struct value *list = result_list(w, NULL, "free_motions");
    for (int i = 0; i < m->count; i++) {
        const struct motion *x = &m->list[i];
        struct value *entry = result_object(w, list, NULL);
        result_text(w, entry, "motion", words[x->kind]);
        if (!qv_is_none(x->direction)) {
            result_vector(w, entry, "direction", x->direction);
            if (entry && entry->last)
                entry->last->asked = false;
        }
        if (!qv_is_none(x->about)) {
            result_vector(w, entry, "about", x->about);
            if (entry && entry->last)
                entry->last->asked = false;
        }
        result_phrase(w, entry, "text", x->text);
    }
}
