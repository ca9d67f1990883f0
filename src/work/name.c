/* name.c: symbols. Each prints differently from every other in a work. */
#include "work/grow.h"

#include <string.h>

/* How many characters stand before the primes at the end of `text`. */
static size_t bare(const char *text)
{
    size_t length = text ? strlen(text) : 0;
    while (length > 0 && text[length - 1] == '\'')
        length--;
    return length;
}

/* What stands on the line, what stands below it (the sub, then the axis: "1x"), and all primes: R
 * with the sub x and R along the axis x print alike, and so do a force R' and our own R with a
 * prime. */
struct print {
    struct symbol symbol;
    size_t base, below;
    size_t primes;
};

static struct print print_of(struct symbol s)
{
    size_t sub = s.sub ? strlen(s.sub) : 0;
    struct print p = {s, bare(s.base), s.axis ? sub + 1 : bare(s.sub), s.primed};
    p.primes += strlen(s.base) - p.base + (s.axis ? 0 : sub - p.below);
    return p;
}

static char below(struct print p, size_t k)
{
    return p.symbol.axis && k + 1 == p.below ? p.symbol.axis : p.symbol.sub[k];
}

static bool same_print(struct symbol one, struct symbol other)
{
    struct print a = print_of(one), b = print_of(other);
    if (a.primes != b.primes || a.base != b.base || a.below != b.below ||
        memcmp(one.base, other.base, a.base) != 0)
        return false;
    size_t k = 0;
    while (k < a.below && below(a, k) == below(b, k))
        k++;
    return k == a.below;
}

static uint32_t hash(struct symbol s)
{
    struct print p = print_of(s);
    uint32_t h = 2166136261u;
    for (size_t k = 0; k < p.base; k++)
        h = (h ^ (unsigned char)s.base[k]) * 16777619u;
    h = (h ^ '_') * 16777619u;
    for (size_t k = 0; k < p.below; k++)
        h = (h ^ (unsigned char)below(p, k)) * 16777619u;
    return (h ^ (uint32_t)p.primes) * 16777619u;
}

/* The set's entry for `s`: its own, or the free one where it would go. */
static struct symbol_entry *find(struct work *w, struct symbol s)
{
    uint32_t i = hash(s) & (w->symbol_capacity - 1);
    while (w->symbols[i].symbol.base && !same_print(w->symbols[i].symbol, s))
        i = (i + 1) & (w->symbol_capacity - 1);
    return &w->symbols[i];
}

/* Room for twice as many symbols as `symbols`, and a power of two. */
static bool make_room(struct work *w, uint32_t symbols)
{
    uint32_t capacity = w->symbol_capacity ? w->symbol_capacity : 64;
    while (capacity < 2 * symbols)
        capacity *= 2;
    if (capacity == w->symbol_capacity)
        return true;
    struct symbol_entry *old = w->symbols;
    struct symbol_entry *fresh = arena_alloc(w->arena, capacity * sizeof *fresh);
    if (!fresh) {
        w->failed = true;
        return false;
    }
    uint32_t old_capacity = w->symbol_capacity;
    w->symbols = fresh;
    w->symbol_capacity = capacity;
    for (uint32_t i = 0; i < old_capacity; i++)
        if (old[i].symbol.base)
            *find(w, old[i].symbol) = old[i];
    return true;
}

void name_expect(struct work *w, uint32_t symbols) { make_room(w, w->symbol_count + symbols); }

/* The same entry, with room for one more symbol; NULL when there is no memory. */
static struct symbol_entry *entry(struct work *w, struct symbol s)
{
    return make_room(w, w->symbol_count + 1) ? find(w, s) : NULL;
}

static void insert(struct work *w, struct symbol_entry *e, struct symbol s, bool is_taken)
{
    if (!e->symbol.base)
        w->symbol_count++;
    e->symbol = s;
    e->is_taken = is_taken;
}

struct symbol symbol_plain(const char *base) { return (struct symbol){.base = base}; }

struct symbol symbol_sub(const char *base, const char *sub)
{
    return (struct symbol){.base = base, .sub = sub};
}

struct symbol symbol_axis(struct symbol s, char axis)
{
    s.axis = axis;
    return s;
}

/* "F1": F with the sub 1; "F_a": F with the sub a; "1": R_1; anything else stands whole. */
static struct symbol symbol_read(struct work *w, const char *name)
{
    size_t length = strlen(name), digits = length;
    while (digits > 0 && name[digits - 1] >= '0' && name[digits - 1] <= '9')
        digits--;
    const char *bar = strchr(name, '_');
    struct symbol s = {.base = name, .is_given = true};
    if (name[0] >= '0' && name[0] <= '9') {
        s.base = "R";
        s.sub = name;
    } else if (bar && bar > name && bar[1] && !strchr(bar + 1, '_')) {
        s.base = arena_text(w->arena, name, (size_t)(bar - name));
        s.sub = bar + 1;
    } else if (!bar && digits > 0 && digits < length) {
        s.base = arena_text(w->arena, name, digits);
        s.sub = name + digits;
    }
    return s.base ? s : symbol_plain(name);
}

/* The entry kept for `name`, or the free one where it would go: past those of other names with the
 * same print (F1, F_1), and of our own symbols, by a prime each. */
static struct symbol_entry *kept_for(struct work *w, const char *name, struct symbol *s)
{
    for (;; s->primed++) {
        struct symbol_entry *e = entry(w, *s);
        if (!e || !e->symbol.base || (e->name && strcmp(e->name, name) == 0))
            return e;
        if (s->primed == UINT8_MAX)
            return NULL;
    }
}

void work_reserve(struct work *w, const char *name)
{
    struct symbol s = symbol_read(w, name);
    struct symbol_entry *e = kept_for(w, name, &s);
    if (e && !e->symbol.base) {
        insert(w, e, s, false);
        e->name = name;
    }
}

struct symbol symbol_of_name(struct work *w, const char *name)
{
    struct symbol plain = symbol_read(w, name), s = plain;
    const struct symbol_entry *e = kept_for(w, name, &s);
    return e && e->name ? s : plain;
}

/* `s` as it may be printed: with as many primes as it takes to differ from all others. */
static struct symbol unique(struct work *w, struct symbol s, bool take)
{
    for (;;) {
        struct symbol_entry *e = entry(w, s);
        if (!e)
            return s;
        bool is_kept = s.is_given && e->symbol.is_given && !e->is_taken;
        if (!e->symbol.base || is_kept) {
            if (take)
                insert(w, e, s, true);
            return s;
        }
        if (s.primed == UINT8_MAX) { /* a computation of ours that names in a loop */
            w->inconsistent = true;
            return s;
        }
        s.primed++;
        s.is_given = false;
    }
}

struct symbol symbol_apart(struct work *w, struct symbol s) { return unique(w, s, false); }

struct symbol symbol_own(struct work *w, const char *base, const char *sub)
{
    return symbol_apart(w, symbol_sub(base, sub));
}

q q_name(struct work *w, q x, struct symbol s)
{
    if (q_is_none(x) || w->failed)
        return x;
    if (w->node[x.i].symbol.base) {
        struct node n = {.op = OP_SAME,
                         .num = w->node[x.i].num,
                         .dimension = w->node[x.i].dimension,
                         .pair = w->node[x.i].pair,
                         .is_direction = w->node[x.i].is_direction,
                         .operand = {x.i, 0}};
        if (!GROW(w, node, node_count, node_capacity))
            return (q){0};
        w->node[w->node_count] = n;
        x = (q){w->node_count++};
    }
    w->node[x.i].symbol = unique(w, s, true);
    return x;
}

/* A reaction A is made of A_x and A_y, which were found and named first. */
static bool has_symbol(const struct work *w, q x, struct symbol s)
{
    struct symbol own = q_node(w, x)->symbol;
    s.primed = own.primed;
    return own.base && same_print(own, s);
}

qv qv_name(struct work *w, qv v, struct symbol s)
{
    if (qv_is_none(v) || w->failed)
        return v;
    if (w->vector[v.i].symbol.base) {
        struct vector same = w->vector[v.i];
        same.op = VECTOR_SAME;
        same.operand[0] = v.i;
        if (!GROW(w, vector, vector_count, vector_capacity))
            return (qv){0};
        w->vector[w->vector_count] = same;
        v = (qv){w->vector_count++};
    }
    w->vector[v.i].symbol = s;
    bool is_moment_of_plane = q_is_none(w->vector[v.i].component[0]);
    for (int axis = 0; axis < 3; axis++) {
        struct symbol part = is_moment_of_plane ? s : symbol_axis(s, "xyz"[axis]);
        part.is_given = is_moment_of_plane && s.is_given;
        q x = w->vector[v.i].component[axis];
        if (!has_symbol(w, x, part))
            w->vector[v.i].component[axis] = q_name(w, x, part);
    }
    return v;
}
