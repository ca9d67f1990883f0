/* Random bodies, plane and space, alone and joined, against exact rational elimination with GNU MP
 * and, where determinate, against the LU decomposition of GSL (general reference libraries): rank,
 * state, what is fixed, every value, every free motion. The hand order against the solver, and how
 * many unknowns needed simultaneous equations. TEST_ROUNDS multiplies the rounds. */
#include "solving.h"

#include <gsl/gsl_linalg.h>

#include "oracle/reader.h"
#include "random.h"
#include "rational.h"

enum { SITES_MAX = 8, ENTRIES_MAX = 12, LOADS_MAX = 3, COLUMNS_MAX = 60, BODIES_MAX = 3 };

/* One unknown number: a direction as long as it comes, at a site or as a couple. */
struct part {
    const char *symbol;
    char text[24];
    long v[3];
    bool is_couple;
    int column;
};

struct entry {
    char name[8];
    const char *kind; /* as a request says it; "force" */
    int site, body, opposite;
    long v[3]; /* normal, direction or axis */
    bool couples, is_whole;
    int same_as; /* an entry, or −1 */
    struct part part[6];
    int parts;
};

struct random_bodies {
    int axes, bodies, sites, entries, loads;
    long scale; /* coordinates are in units of 1/scale */
    long x[SITES_MAX][3];
    struct entry entry[ENTRIES_MAX];
    struct {
        int site, body;
        long v[3];
    } load[LOADS_MAX];
    bool has_couple;
    long couple[3];
    int columns;
};

/* ---- making one ---- */

static void draw_direction(const struct random_bodies *r, long v[3])
{
    do
        for (int k = 0; k < 3; k++)
            v[k] = k < r->axes ? random_int(-3, 3) : 0;
    while (v[0] == 0 && v[1] == 0 && v[2] == 0);
    if (random_int(0, 2) == 0) {
        int axis = random_int(0, r->axes - 1);
        for (int k = 0; k < 3; k++)
            v[k] = k == axis ? 1 : 0;
    }
}

static void add_part(struct random_bodies *r, struct entry *e, const char *text, bool is_couple,
                     long x, long y, long z)
{
    struct part *p = &e->part[e->parts++];
    *p = (struct part){.v = {x, y, z}, .is_couple = is_couple};
    memcpy(p->text, text, strlen(text) + 1);
    p->column = r->columns++;
}

static const char *lettered(const char *before, const char *name, const char *after)
{
    static char text[24];
    snprintf(text, sizeof text, "%s%s%s", before, name, after);
    return text;
}

static void add_axes(struct random_bodies *r, struct entry *e, bool is_couple, int but)
{
    static const char *const after[3] = {"_x", "_y", "_z"};
    static const char *const moment[3] = {"x", "y", "z"};
    for (int k = 0; k < r->axes; k++)
        if (k != but)
            add_part(r, e,
                     is_couple ? lettered("M_", e->name, moment[k])
                               : lettered("", e->name, after[k]),
                     is_couple, k == 0, k == 1, k == 2);
}

static bool is_kind(const struct entry *e, const char *kind) { return strcmp(e->kind, kind) == 0; }

static void add_parts(struct random_bodies *r, struct entry *e)
{
    bool plane = r->axes == 2;
    if (is_kind(e, "pin") || is_kind(e, "ball_and_socket") ||
        (is_kind(e, "force") && e->is_whole)) {
        add_axes(r, e, false, -1);
    } else if (is_kind(e, "fixed")) {
        add_axes(r, e, false, -1);
        if (plane)
            add_part(r, e, lettered("M_", e->name, ""), true, 0, 0, 1);
        else
            add_axes(r, e, true, -1);
    } else if (is_kind(e, "rough_surface")) {
        add_part(r, e, lettered("N_", e->name, ""), false, e->v[0], e->v[1], 0);
        add_part(r, e, lettered("F_", e->name, ""), false, e->v[1], -e->v[0], 0);
    } else if (is_kind(e, "collar")) {
        add_part(r, e, lettered("", e->name, ""), false, -e->v[1], e->v[0], 0);
        if (e->couples)
            add_part(r, e, lettered("M_", e->name, ""), true, 0, 0, 1);
    } else if (strstr(e->kind, "bearing") || is_kind(e, "hinge")) {
        int axis = e->v[0] ? 0 : e->v[1] ? 1 : 2;
        add_axes(r, e, false, axis);
        if (!is_kind(e, "journal_bearing"))
            add_part(r, e,
                     lettered("", e->name,
                              axis == 0   ? "_x"
                              : axis == 1 ? "_y"
                                          : "_z"),
                     false, axis == 0, axis == 1, axis == 2);
        if (e->couples)
            add_axes(r, e, true, axis);
    } else {
        add_part(r, e, lettered("", e->name, ""), false, e->v[0], e->v[1], e->v[2]);
    }
}

/* The same unknown again, along another line of the same length. */
static void add_same(struct random_bodies *r, struct entry *e, int other)
{
    const struct entry *o = &r->entry[other];
    e->kind = "force";
    e->same_as = other;
    e->v[0] = -o->v[1];
    e->v[1] = o->v[0];
    e->v[2] = o->v[2];
    e->part[0] = (struct part){.v = {e->v[0], e->v[1], e->v[2]}, .column = o->part[0].column};
    memcpy(e->part[0].text, e->name, sizeof e->name);
    e->parts = 1;
}

static int with_a_line(const struct random_bodies *r)
{
    for (int i = 0; i < r->entries; i++)
        if (is_kind(&r->entry[i], "force") && !r->entry[i].is_whole && r->entry[i].same_as < 0)
            return i;
    return -1;
}

static void add_entry(struct random_bodies *r)
{
    static const char *const plane[] = {"pin",    "roller", "roller",        "link",
                                        "cable",  "force",  "rough_surface", "smooth_surface",
                                        "rocker", "collar", "fixed"};
    static const char *const space[] = {"ball_and_socket", "roller",         "link",
                                        "cable",           "link",           "link",
                                        "smooth_surface",  "force",          "journal_bearing",
                                        "hinge",           "thrust_bearing", "fixed"};
    struct entry *e = &r->entry[r->entries];
    *e = (struct entry){.same_as = -1, .opposite = -1};
    snprintf(e->name, sizeof e->name, "%c", 'A' + r->entries);
    e->site = random_int(0, r->sites - 1);
    e->body = random_int(0, r->bodies - 1);
    e->kind = r->axes == 2 ? plane[random_int(0, 10)] : space[random_int(0, 11)];
    e->couples = random_int(0, 2) == 0;
    e->is_whole = is_kind(e, "force") && random_int(0, 2) == 0;
    draw_direction(r, e->v);
    if (strstr(e->kind, "bearing") || is_kind(e, "hinge")) {
        int axis = random_int(0, 2);
        for (int k = 0; k < 3; k++)
            e->v[k] = k == axis;
    }
    int other = with_a_line(r);
    if (is_kind(e, "force") && other >= 0 && random_int(0, 1) == 0) {
        e->is_whole = false;
        add_same(r, e, other);
    } else {
        add_parts(r, e);
    }
    r->entries++;
}

/* A pin between each body and one before it. */
static void add_pins(struct random_bodies *r)
{
    for (int body = 1; body < r->bodies; body++) {
        struct entry *e = &r->entry[r->entries];
        *e = (struct entry){.same_as = -1, .kind = r->axes == 2 ? "pin" : "ball_and_socket"};
        snprintf(e->name, sizeof e->name, "%c", 'A' + r->entries);
        e->site = random_int(0, r->sites - 1);
        e->body = random_int(0, body - 1);
        e->opposite = body;
        add_axes(r, e, false, -1);
        r->entries++;
    }
}

static void draw_bodies(struct random_bodies *r)
{
    *r = (struct random_bodies){.axes = random_int(0, 2) == 0 ? 3 : 2};
    r->bodies = random_int(0, 2) ? 1 : random_int(2, BODIES_MAX);
    r->sites = random_int(2, SITES_MAX);
    int family = random_int(0, 3);
    r->scale = family == 1 ? 1000 : family == 2 ? 100000 : 1;
    for (int s = 0; s < r->sites; s++)
        for (int k = 0; k < r->axes; k++) {
            long lattice = random_int(0, 4);
            r->x[s][k] = family == 1   ? random_int(-9000, 9000)
                         : family == 2 ? lattice * r->scale + random_int(-1, 1)
                                       : lattice;
        }
    add_pins(r);
    int equations = r->bodies * (r->axes == 2 ? 3 : 6), wanted = equations + random_int(-1, 1);
    while (r->entries < ENTRIES_MAX && r->columns < wanted)
        add_entry(r);
    r->loads = random_int(0, LOADS_MAX);
    for (int i = 0; i < r->loads; i++) {
        r->load[i].site = random_int(0, r->sites - 1);
        r->load[i].body = random_int(0, r->bodies - 1);
        draw_direction(r, r->load[i].v);
    }
    r->has_couple = random_int(0, 3) == 0;
    for (int k = 0; k < 3; k++)
        r->couple[k] = r->axes == 3 || k == 2 ? random_int(-4, 4) : 0;
}

/* ---- the request ---- */

static void put_place(struct buf *b, struct arena *arena, const struct random_bodies *r, int site)
{
    int places = r->scale == 1 ? 0 : r->scale == 1000 ? 3 : 5;
    buf_puts(b, "[");
    for (int k = 0; k < r->axes; k++)
        buf_puts(b, arena_printf(arena, "%s%.*f", k ? "," : "", places,
                                 (double)r->x[site][k] / (double)r->scale));
    buf_puts(b, "]");
}

static const char *vector_text(struct arena *arena, const struct random_bodies *r, const long v[3])
{
    return r->axes == 2 ? arena_printf(arena, "[%ld,%ld]", v[0], v[1])
                        : arena_printf(arena, "[%ld,%ld,%ld]", v[0], v[1], v[2]);
}

static void put_entry(struct buf *b, struct arena *arena, const struct random_bodies *r,
                      const struct entry *e)
{
    const char *v = arena_printf(arena, "{\"vector\":%s}", vector_text(arena, r, e->v));
    buf_puts(b, arena_printf(arena, "{\"name\":\"%s\",\"at\":", e->name));
    put_place(b, arena, r, e->site);
    if (is_kind(e, "force")) {
        const char *size =
            e->same_as >= 0 ? arena_printf(arena, "{\"same_as\":\"%s\"}", r->entry[e->same_as].name)
                            : "\"unknown\"";
        buf_puts(b, arena_printf(arena, ",\"magnitude\":%s,\"direction\":%s}", size,
                                 e->is_whole ? "\"unknown\"" : v));
        return;
    }
    const char *member =
        strstr(e->kind, "roller") || strstr(e->kind, "rocker") || strstr(e->kind, "surface")
            ? "normal"
        : is_kind(e, "link") || is_kind(e, "cable")                                 ? "direction"
        : is_kind(e, "collar") || strstr(e->kind, "bearing") || is_kind(e, "hinge") ? "axis"
                                                                                    : NULL;
    buf_puts(b, arena_printf(arena, ",\"kind\":\"%s\"", e->kind));
    if (member)
        buf_puts(b, arena_printf(arena, ",\"%s\":%s", member, v));
    if (e->couples && member && strcmp(member, "axis") == 0)
        buf_puts(b, ",\"couples\":true");
    buf_puts(b, "}");
}

static void put_body(struct buf *b, struct arena *arena, const struct random_bodies *r, int body)
{
    const char *comma = "";
    buf_puts(b, "\"forces\":[");
    for (int i = 0; i < r->loads; i++) {
        if (r->load[i].body != body)
            continue;
        buf_puts(b, arena_printf(arena, "%s{\"name\":\"P%d\",\"components\":%s,\"at\":", comma,
                                 i + 1, vector_text(arena, r, r->load[i].v)));
        put_place(b, arena, r, r->load[i].site);
        buf_puts(b, "}");
        comma = ",";
    }
    for (int i = 0; i < r->entries; i++)
        if (r->entry[i].body == body && is_kind(&r->entry[i], "force")) {
            buf_puts(b, comma);
            put_entry(b, arena, r, &r->entry[i]);
            comma = ",";
        }
    buf_puts(b, "],\"supports\":[");
    comma = "";
    for (int i = 0; i < r->entries; i++)
        if (r->entry[i].body == body && !is_kind(&r->entry[i], "force") &&
            r->entry[i].opposite < 0) {
            buf_puts(b, comma);
            put_entry(b, arena, r, &r->entry[i]);
            comma = ",";
        }
    buf_puts(b, "]");
    if (r->has_couple && body == 0)
        buf_puts(b, arena_printf(arena, ",\"couples\":[{\"moment\":%s}]",
                                 r->axes == 2 ? arena_printf(arena, "%ld", r->couple[2])
                                              : vector_text(arena, r, r->couple)));
}

static char *request_of(struct arena *arena, const struct random_bodies *r)
{
    struct buf b;
    buf_init(&b, arena, 1 << 16);
    buf_puts(&b, "{\"points\":{\"Z\":");
    put_place(&b, arena, r, 0); /* says whether it is plane or space */
    buf_puts(&b, "},");
    if (r->bodies == 1) {
        put_body(&b, arena, r, 0);
    } else {
        buf_puts(&b, "\"bodies\":{");
        for (int body = 0; body < r->bodies; body++) {
            buf_puts(&b, arena_printf(arena, "%s\"b%d\":{", body ? "," : "", body));
            put_body(&b, arena, r, body);
            buf_puts(&b, "}");
        }
        buf_puts(&b, "},\"pins\":[");
        for (int i = 0; i < r->bodies - 1; i++) {
            const struct entry *e = &r->entry[i];
            buf_puts(&b, arena_printf(arena, "%s{\"name\":\"%s\",\"at\":", i ? "," : "", e->name));
            put_place(&b, arena, r, e->site);
            buf_puts(&b,
                     arena_printf(arena, ",\"joins\":[\"b%d\",\"b%d\"]}", e->body, e->opposite));
        }
        buf_puts(&b, "]");
    }
    buf_puts(&b, "}");
    char *text = arena_printf(arena, "%s", buf_text(&b));
    return text;
}

/* ---- exactly ---- */

/* r × v about the origin, in units of 1/scale. */
static void cross(const long x[3], const long v[3], long m[3])
{
    for (int k = 0; k < 3; k++)
        m[k] = x[(k + 1) % 3] * v[(k + 2) % 3] - x[(k + 2) % 3] * v[(k + 1) % 3];
}

static void put_wrench(const struct random_bodies *r, struct rational *system, int body, int column,
                       const long v[3], const long *at, int sign)
{
    int per_body = r->axes == 2 ? 3 : 6, row = body * per_body;
    long m[3] = {v[0], v[1], v[2]};
    if (at)
        cross(at, v, m);
    for (int k = 0; at && k < r->axes; k++)
        rational_add(system, row + k, column, sign * v[k], 1);
    for (int k = r->axes; k < per_body; k++)
        rational_add(system, row + k, column, sign * m[r->axes == 2 ? 2 : k - 3],
                     at ? r->scale : 1);
}

static struct rational *exact_system(const struct random_bodies *r)
{
    struct rational *system = rational_new(r->bodies * (r->axes == 2 ? 3 : 6), r->columns, 1);
    for (int i = 0; i < r->entries; i++) {
        const struct entry *e = &r->entry[i];
        for (int k = 0; k < e->parts; k++) {
            const struct part *p = &e->part[k];
            const long *at = p->is_couple ? NULL : r->x[e->site];
            put_wrench(r, system, e->body, p->column, p->v, at, 1);
            if (e->opposite >= 0)
                put_wrench(r, system, e->opposite, p->column, p->v, at, -1);
        }
    }
    for (int i = 0; i < r->loads; i++)
        put_wrench(r, system, r->load[i].body, r->columns, r->load[i].v, r->x[r->load[i].site], -1);
    if (r->has_couple)
        put_wrench(r, system, 0, r->columns, r->couple, NULL, -1);
    return system;
}

/* ---- comparing ---- */

static const struct value *child(const struct value *v, const char *key)
{
    for (const struct value *c = v ? v->child : NULL; c; c = c->next)
        if (c->key && strcmp(c->key, key) == 0)
            return c;
    return NULL;
}

/* The text of a member; a failure where there is none. */
static const char *text_of(const struct value *v, const char *key)
{
    const struct value *c = child(v, key);
    if (!c || !c->text)
        fail_msg("there is no %s", key);
    return c ? c->text : "";
}

static const struct value *by_text(const struct value *list, const char *key, const char *text)
{
    for (const struct value *c = list ? list->child : NULL; c; c = c->next) {
        const struct value *name = child(c, key);
        if (name && strcmp(name->text, text) == 0)
            return c;
    }
    return NULL;
}

static double length_of(const long v[3])
{
    return sqrt((double)(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]));
}

static void check_parts(const struct random_bodies *r, const struct solved *s,
                        const struct rational *system, bool is_held, double scale)
{
    const struct value *unknowns = child(s->work.answer, "unknowns");
    for (int i = 0; i < r->entries; i++) {
        const struct entry *e = &r->entry[i];
        const struct value *entry = by_text(unknowns, "name", e->name);
        for (int k = 0; k < e->parts; k++) {
            const struct value *part = by_text(child(entry, "parts"), "symbol", e->part[k].text);
            if (!part)
                fail_msg("%s has no part %s", e->name, e->part[k].text);
            const struct value *value = child(part, "value");
            int row = rational_fixed_by(system, e->part[k].column);
            bool is_fixed = is_held && row >= 0;
            assert_int_equal(value->kind, is_fixed ? VALUE_NUMBER : VALUE_NULL);
            if (!is_fixed)
                continue;
            double t = mpq_get_d(*rational_at(system, row, r->columns));
            assert_near(q_value(&s->work, value->scalar), t * length_of(e->part[k].v),
                        1e-11 * scale);
        }
    }
}

/* The largest value, for the scale. */
static double largest_of(const struct random_bodies *r, const struct rational *system)
{
    double largest = 1;
    for (int i = 0; i < r->entries; i++)
        for (int k = 0; k < r->entry[i].parts; k++) {
            int row = rational_fixed_by(system, r->entry[i].part[k].column);
            if (row >= 0)
                largest = fmax(largest, fabs(mpq_get_d(*rational_at(system, row, r->columns))) *
                                            length_of(r->entry[i].part[k].v));
        }
    return largest;
}

/* One body: no part of any reaction works in the motion. */
static void check_motion(const struct random_bodies *r, const struct solved *s,
                         const struct value *motion)
{
    const struct work *w = &s->work;
    const struct value *direction = child(motion, "direction"), *about = child(motion, "about");
    bool is_turn = strcmp(text_of(motion, "motion"), "translation") != 0;
    bool is_screw = strcmp(text_of(motion, "motion"), "screw") == 0;
    double d[3] = {0, 0, r->axes == 2}, p[3] = {0};
    for (int k = 0; k < r->axes; k++) {
        if (direction)
            d[k] = q_value(w, qv_component(w, direction->vector, k));
        if (about)
            p[k] = q_value(w, qv_component(w, about->vector, k));
    }
    if (direction && r->axes == 2)
        d[2] = 0;
    assert_near(d[0] * d[0] + d[1] * d[1] + d[2] * d[2], 1, 1e-12);
    for (int i = 0; i < r->entries && !is_screw; i++) {
        const struct entry *e = &r->entry[i];
        double work = 0;
        for (int k = 0; k < e->parts; k++) {
            double x[3], u[3];
            for (int c = 0; c < 3; c++)
                x[c] = (double)r->x[e->site][c] / (double)r->scale - p[c];
            for (int c = 0; c < 3; c++)
                u[c] = is_turn ? d[(c + 1) % 3] * x[(c + 2) % 3] - d[(c + 2) % 3] * x[(c + 1) % 3]
                               : d[c];
            for (int c = 0; c < 3; c++) {
                double along = e->part[k].is_couple ? (is_turn ? d[c] : 0) : u[c];
                work += (double)e->part[k].v[c] * along;
            }
            bool is_shared = e->same_as >= 0 || with_a_line(r) >= 0;
            if (!is_shared)
                assert_near(work, 0, 1e-9 * (1 + fabs(x[0]) + fabs(x[1]) + fabs(x[2])));
            work = 0;
        }
    }
}

struct tally {
    long problems, states[4], unknowns, together, by_hand, without_hand, motions, screws;
    double worst_hand;
};

/* The working's number for each unknown beside the solver's. */
static void compare_hand(struct solved *s, struct tally *t, double scale)
{
    const struct work *w = &s->work;
    for (uint32_t i = 1; i < w->node_count; i++) {
        const struct node *n = &w->node[i];
        bool is_reaction = n->op == OP_UNKNOWN && n->symbol.base && n->dimension.force == 1;
        if (!is_reaction || strcmp(n->symbol.base, "δ") == 0)
            continue;
        if (n->operand[0] == 0) {
            t->without_hand++;
            continue;
        }
        double apart = fabs(w->node[n->operand[0]].num.value - n->num.value) / scale;
        t->by_hand++;
        t->worst_hand = fmax(t->worst_hand, apart);
    }
    for (uint32_t i = 0; i < w->section_count; i++)
        if (w->section[i].title.template &&
            strcmp(w->section[i].title.template, "{} equations together") == 0)
            t->together += w->section[i].title.arg[0].count;
}

/* Another decomposition, where there is one: every value again. */
static void check_lu(const struct random_bodies *r, const struct solved *s, double scale)
{
    struct rational *system = exact_system(r);
    size_t n = (size_t)r->columns;
    gsl_matrix *a = gsl_matrix_alloc(n, n);
    gsl_vector *b = gsl_vector_alloc(n), *x = gsl_vector_alloc(n);
    gsl_permutation *p = gsl_permutation_alloc(n);
    int sign;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++)
            gsl_matrix_set(a, i, j, mpq_get_d(*rational_at(system, (int)i, (int)j)));
        gsl_vector_set(b, i, mpq_get_d(*rational_at(system, (int)i, r->columns)));
    }
    gsl_linalg_LU_decomp(a, p, &sign);
    if (fabs(gsl_linalg_LU_det(a, sign)) > 0.1) {
        gsl_linalg_LU_solve(a, p, b, x);
        const struct value *unknowns = child(s->work.answer, "unknowns");
        for (int i = 0; i < r->entries; i++)
            for (int k = 0; k < r->entry[i].parts; k++) {
                const struct part *part = &r->entry[i].part[k];
                const struct value *entry = by_text(unknowns, "name", r->entry[i].name);
                const struct value *v =
                    child(by_text(child(entry, "parts"), "symbol", part->text), "value");
                assert_near(q_value(&s->work, v->scalar),
                            gsl_vector_get(x, (size_t)part->column) * length_of(part->v),
                            1e-8 * scale);
            }
    }
    gsl_matrix_free(a);
    gsl_vector_free(b);
    gsl_vector_free(x);
    gsl_permutation_free(p);
    rational_free(system);
}

static void check_one(const struct random_bodies *r, struct solved *s, struct tally *t)
{
    static const char *const words[4] = {"determinate", "indeterminate", "improperly_constrained",
                                         "no_equilibrium"};
    struct rational *system = exact_system(r);
    rational_reduce(system);
    /* The right-hand side may have taken a pivot of its own: it is no unknown. */
    int rank = system->rank, equations = system->rows;
    bool is_held = rational_is_consistent(system, 0);
    int state = rank == r->columns ? (is_held ? 0 : 3) : rank == equations ? 1 : 2;
    t->problems++;
    t->states[state]++;
    t->unknowns += r->columns;
    assert_string_equal(words_at(s, "state"), words[state]);
    assert_int_equal(count_at(s, "count/unknowns"), r->columns);
    assert_int_equal(count_at(s, "count/equations"), equations);
    assert_int_equal(count_at(s, "count/rank"), rank);
    if (state == 2)
        assert_true(value_at(s, "balanced", NULL) &&
                    value_at(s, "balanced", NULL)->truth == is_held);
    if (state == 1 || (state == 2 && is_held))
        assert_int_equal(count_at(s, "degree"), r->columns - rank);
    double scale = largest_of(r, system);
    check_parts(r, s, system, is_held, scale);
    const struct value *motions = child(s->work.answer, "free_motions");
    int found = 0;
    for (const struct value *m = motions ? motions->child : NULL; m; m = m->next, found++) {
        t->motions++;
        t->screws += strcmp(text_of(m, "motion"), "screw") == 0;
        if (r->bodies == 1)
            check_motion(r, s, m);
    }
    assert_int_equal(found, equations - rank);
    if (is_held)
        compare_hand(s, t, scale);
    if (state == 0 && rank == equations && r->scale != 100000)
        check_lu(r, s, scale);
    rational_free(system);
}

static struct solved solve_once(struct arena *arena, const struct json *request)
{
    struct solved s = {.arena = arena};
    problem_init(&s.problem, arena);
    work_init(&s.work, arena, solving_field[0]);
    s.code = work_out(&s.work, "equilibrium", request, &s.problem);
    return s;
}

/* The text working parsed and worked again, in both notations. */
static void read_back(struct solved *s)
{
    static struct reading reading;
    for (int notation = 0; notation < NOTATION_MAX_; notation++) {
        struct render_options options = render_defaults();
        options.notation = (enum notation)notation;
        if (!reading_check(&s->work, &options, &reading))
            fail_msg("%s", reading.fault);
    }
}

/* What was worked on when a check failed. */
static const char *last_request;
static uint64_t last_seed;

static int say_last(void **state)
{
    (void)state;
    if (last_request)
        fprintf(stderr, "TEST_SEED=%llu\n%s\n", (unsigned long long)last_seed, last_request);
    return 0;
}

static void test_random_bodies(void **state)
{
    static struct random_bodies r;
    struct tally t = {0};
    (void)state;
    random_start("bodies", 20261125);
    for (int round = random_rounds(700); round > 0; round--) {
        uint64_t from = random_state;
        draw_bodies(&r);
        if (r.entries + r.loads + r.has_couple == 0)
            continue;
        struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
        char *text = request_of(arena, &r);
        const struct json *request = read_json(arena, text);
        last_request = text;
        last_seed = from;
        struct solved s = round % 10 == 0 ? solve_json("equilibrium", arena, request)
                                          : solve_once(arena, request);
        if (s.code != PROBLEM_NONE)
            fail_msg("%s\n%s", s.problem.detail, text);
        check_one(&r, &s, &t);
        if (round % 5 == 0 && r.scale != 100000) /* there three figures say nothing */
            read_back(&s);
        last_request = NULL;
        arena_free(arena);
    }
    printf("# %ld problems: %ld determinate, %ld indeterminate, %ld improperly constrained, %ld "
           "without equilibrium; %ld motions, %ld of them screws\n",
           t.problems, t.states[0], t.states[1], t.states[2], t.states[3], t.motions, t.screws);
    printf("# by hand: %ld unknowns, %ld of them in groups; %ld by the solver alone; hand and "
           "solver at most %.1e of the largest apart\n",
           t.by_hand, t.together, t.without_hand, t.worst_hand);
    assert_true(t.worst_hand <= 1e-12);
    assert_true(t.without_hand * 100 <= t.by_hand);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_teardown(test_random_bodies, say_last)};
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
