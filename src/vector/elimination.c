#include "vector/elimination.h"

#include <math.h>
#include <string.h>

#include "vector/field_ops.h"

/* A pivot is at least this part of the largest entry of its equation. */
static const double strict = 0.1, loose = 1e-4;

enum {
    LISTS_EXAMINED = 4, /* once a pivot is found: Zlatev, SIAM J. Numer. Anal. 17 (1980) */
    CLASSES = 32,
    LARGE = 1000, /* equations whose working is given back */
    SHORT = 128,  /* coefficients that are multiplied sooner than an inverse is found */
};

/* Blocks of 4, 8, 16, … elements that are used again. */
struct blocks {
    struct arena *arena;
    size_t element;
    void *free[CLASSES]; /* each begins with a pointer to the next */
};

struct row {
    struct entry *entry;
    int count, room;
    bool active;
    double largest; /* |value| */
};

struct column {
    int32_t *row; /* equations that hold the unknown, and some that are pivots already */
    int length, room;
    int count; /* of those not yet pivots; -1: a pivot itself */
};

/* Lists of rows, or of columns, by count. */
struct buckets {
    int32_t *head, *next, *previous;
    bool *listed;
    int32_t *count; /* under which each is listed */
};

struct working {
    struct elimination *e;
    struct arena *arena;   /* of what is kept */
    struct arena *scratch; /* of what is not */
    struct blocks entry_blocks, index_blocks;
    struct row *rows;
    struct column *columns;
    struct buckets by_row, by_column;
    int32_t *where;    /* 1 + the position of each unknown in the pivot equation, 0: not there */
    int32_t *met;      /* the last equation that met the pivot equation's entry */
    int largest_count; /* no list is longer */
    double threshold;
    bool no_memory;
};

static void *block_new(struct working *w, struct blocks *b, int class)
{
    if (b->free[class] != NULL) {
        void *block = b->free[class];
        memcpy(&b->free[class], block, sizeof(void *));
        return block;
    }
    void *block = arena_room(b->arena, b->element * ((size_t)4 << class));
    if (block == NULL)
        w->no_memory = true;
    return block;
}

static int class_of(int count)
{
    int class = 0;
    while ((4 << class) < count)
        class ++;
    return class;
}

static void block_free(struct blocks *b, void *block, int room)
{
    int class = class_of(room);
    if (4 << class > room && class -- == 0)
        return; /* too small to be used again */
    memcpy(block, &b->free[class], sizeof(void *));
    b->free[class] = block;
}

/* Room for `count` elements in a block that holds `used`; NULL when there is no memory. */
static void *block_fit(struct working *w, struct blocks *b, void *block, int used, int *room,
                       int count)
{
    if (count <= *room)
        return block;
    int larger = class_of(count);
    void *fit = block_new(w, b, larger);
    if (fit == NULL)
        return NULL;
    memcpy(fit, block, b->element * (size_t)used);
    block_free(b, block, *room);
    *room = 4 << larger;
    return fit;
}

static void unlist(struct buckets *b, int32_t i)
{
    if (!b->listed[i])
        return;
    b->listed[i] = false;
    if (b->previous[i] >= 0)
        b->next[b->previous[i]] = b->next[i];
    else
        b->head[b->count[i]] = b->next[i];
    if (b->next[i] >= 0)
        b->previous[b->next[i]] = b->previous[i];
}

static void list(struct buckets *b, int32_t i, int32_t count)
{
    unlist(b, i);
    b->count[i] = count;
    b->next[i] = b->head[count];
    b->previous[i] = -1;
    if (b->next[i] >= 0)
        b->previous[b->next[i]] = i;
    b->head[count] = i;
    b->listed[i] = true;
}

static bool buckets_init(struct working *w, struct buckets *b, int items, int counts)
{
    b->head = arena_alloc(w->scratch, sizeof *b->head * (size_t)(counts + 1));
    b->next = arena_alloc(w->scratch, sizeof *b->next * (size_t)items);
    b->previous = arena_alloc(w->scratch, sizeof *b->previous * (size_t)items);
    b->listed = arena_alloc(w->scratch, sizeof *b->listed * (size_t)items);
    b->count = arena_alloc(w->scratch, sizeof *b->count * (size_t)items);
    if (!b->head || !b->next || !b->previous || !b->listed || !b->count)
        return false;
    for (int i = 0; i <= counts; i++)
        b->head[i] = -1;
    return true;
}

static void measure(struct row *r)
{
    r->largest = 0;
    for (int i = 0; i < r->count; i++)
        if (fabs(r->entry[i].value) > r->largest) /* fmax would be a call */
            r->largest = fabs(r->entry[i].value);
}

/* The entry of an unknown that stands in the equation. */
static struct entry *entry_of(struct row *r, int32_t unknown)
{
    int i = 0;
    while (r->entry[i].index != unknown)
        i++;
    return &r->entry[i];
}

/* An entry alone in its column changes no other equation, so it may be small. */
static bool is_acceptable(const struct working *w, const struct row *r, const struct entry *x,
                          int column_count)
{
    double size = fabs(x->value);
    if (x->bound > 0 && size <= (double)x->bound)
        return false;
    return size > 0 && (column_count == 1 || size >= w->threshold * r->largest);
}

/* Take out of a column's list the equations that have become pivots. */
static void tidy(struct working *w, struct column *c)
{
    int kept = 0;
    for (int i = 0; i < c->length; i++)
        if (w->rows[c->row[i]].active)
            c->row[kept++] = c->row[i];
    c->length = kept;
}

struct candidate {
    int32_t equation, unknown;
    int64_t cost; /* of fill, at most */
};

static bool column_offers(struct working *w, int32_t unknown, struct candidate *best)
{
    struct column *c = &w->columns[unknown];
    bool any = false;
    tidy(w, c);
    for (int i = 0; i < c->length; i++) {
        struct row *r = &w->rows[c->row[i]];
        w->e->operations += (uint64_t)r->count;
        if (!is_acceptable(w, r, entry_of(r, unknown), c->count))
            continue;
        any = true;
        int64_t cost = (int64_t)(r->count - 1) * (c->count - 1);
        if (cost < best->cost)
            *best = (struct candidate){c->row[i], unknown, cost};
    }
    return any;
}

static bool row_offers(struct working *w, int32_t equation, struct candidate *best)
{
    const struct row *r = &w->rows[equation];
    bool any = false;
    w->e->operations += (uint64_t)r->count;
    for (int i = 0; i < r->count; i++) {
        int count = w->columns[r->entry[i].index].count;
        if (!is_acceptable(w, r, &r->entry[i], count))
            continue;
        any = true;
        int64_t cost = (int64_t)(r->count - 1) * (count - 1);
        if (cost < best->cost)
            *best = (struct candidate){equation, r->entry[i].index, cost};
    }
    return any;
}

/* The pivot of least Markowitz cost, or nearly so; false where none is left. Rows and columns that
 * offer none are not looked at again until they change. */
static bool find_pivot(struct working *w, struct candidate *best)
{
    *best = (struct candidate){-1, -1, INT64_MAX};
    int examined = 0;
    for (int64_t k = 1; k <= w->largest_count; k++) {
        if (best->cost <= (k - 1) * (k - 1))
            return true;
        for (int32_t j = w->by_column.head[k], next; j >= 0; j = next) {
            next = w->by_column.next[j];
            if (!column_offers(w, j, best))
                unlist(&w->by_column, j);
            if (best->cost <= (k - 1) * (k - 1) ||
                (++examined >= LISTS_EXAMINED && best->equation >= 0))
                return true;
        }
        for (int32_t i = w->by_row.head[k], next; i >= 0; i = next) {
            next = w->by_row.next[i];
            if (!row_offers(w, i, best))
                unlist(&w->by_row, i);
            if (best->cost <= k * (k - 1) || (++examined >= LISTS_EXAMINED && best->equation >= 0))
                return true;
        }
    }
    return best->equation >= 0;
}

static void column_append(struct working *w, struct column *c, int32_t equation)
{
    int32_t *room = block_fit(w, &w->index_blocks, c->row, c->length, &c->room, c->length + 1);
    if (room == NULL)
        return;
    c->row = room;
    c->row[c->length++] = equation;
    c->count++;
}

static void column_remove(struct column *c, int32_t equation)
{
    int i = 0;
    while (c->row[i] != equation)
        i++;
    c->row[i] = c->row[--c->length];
    c->count--;
}

/* Subtract a multiple of the pivot equation (its entries in `pivot`) from an equation, whose
 * residues are multiplied by `times` before, where that is not 0. */
static void subtract(struct working *w, int32_t equation, const struct entries *pivot,
                     const struct entry *multiplier, struct residue times)
{
    const struct field *f = w->e->f;
    struct row *r = &w->rows[equation];
    double m = multiplier->value;
    double m_bound = (double)multiplier->bound;
    bool is_bounded = w->e->is_bounded;
    bool has_times = !residue_zero(times);
    int met = 0;
    for (int i = 0; i < r->count;) {
        struct entry *x = &r->entry[i];
        if (has_times)
            x->residue = residue_times(f, x->residue, times);
        int32_t at = w->where[x->index];
        if (at == 0) {
            i++;
            continue;
        }
        const struct entry *u = &pivot->entry[at - 1];
        w->met[at - 1] = equation;
        met++;
        double product = m * u->value;
        x->value -= product;
        x->residue =
            residue_minus(f, x->residue, residue_times(f, multiplier->residue, u->residue));
        if (residue_zero(x->residue)) {
            column_remove(&w->columns[x->index], equation);
            *x = r->entry[--r->count];
            continue;
        }
        if (x->value == 0) /* below rounding: its size is found by refining */
            x->value = product * 0x1p-54;
        if (is_bounded)
            x->bound += (float)(fabs(m) * (double)u->bound + fabs(u->value) * m_bound +
                                fabs(product) * 0x1p-52);
        i++;
    }
    int room = r->count + pivot->count - met;
    struct entry *entry =
        block_fit(w, &w->entry_blocks, r->entry, r->count, &r->room, room > 0 ? room : 1);
    if (entry == NULL)
        return;
    r->entry = entry;
    for (int k = 0; k < pivot->count && met < pivot->count; k++) {
        if (w->met[k] == equation)
            continue;
        const struct entry *u = &pivot->entry[k];
        double product = m * u->value;
        struct residue zero = {0, 0};
        r->entry[r->count++] = (struct entry){
            .value = -product,
            .residue = residue_minus(f, zero, residue_times(f, multiplier->residue, u->residue)),
            .index = u->index,
            .bound = is_bounded ? (float)(fabs(m) * (double)u->bound + fabs(u->value) * m_bound +
                                          fabs(product) * 0x1p-52)
                                : 0,
        };
        column_append(w, &w->columns[u->index], equation);
    }
    w->e->operations += (uint64_t)(r->count + pivot->count);
    measure(r);
}

static void eliminate(struct working *w, int32_t equation, int32_t unknown)
{
    struct elimination *e = w->e;
    int k = e->rank++;
    struct row *r = &w->rows[equation];
    struct column *c = &w->columns[unknown];
    e->pivot_equation[k] = equation;
    e->pivot_unknown[k] = unknown;
    e->equation_step[equation] = k;
    e->unknown_step[unknown] = k;
    unlist(&w->by_row, equation);
    unlist(&w->by_column, unknown);
    r->active = false;

    struct entry *own = entry_of(r, unknown);
    struct entry pivot = *own;
    *own = r->entry[--r->count];
    e->pivot[k] = pivot.value;
    e->pivot_bound[k] = (double)pivot.bound;
    e->inverse[k] = pivot.residue; /* until it is needed */
    e->upper[k] = (struct entries){r->entry, r->count};
    for (int i = 0; i < r->count; i++) {
        w->where[r->entry[i].index] = i + 1;
        w->met[i] = -1;
        w->columns[r->entry[i].index].count--;
    }
    tidy(w, c);
    int length = 0;
    for (int i = 0; i < c->length && length <= SHORT; i++)
        length += w->rows[c->row[i]].count;
    if (length > SHORT)
        e->inverse[k] = residue_inv(e->f, pivot.residue);
    else if (c->length > 0)
        e->times[k] = pivot.residue;
    if (c->length > 0 && !e->is_rank_only) {
        e->lower[k].entry = arena_room(w->arena, sizeof(struct entry) * (size_t)c->length);
        if (e->lower[k].entry == NULL) {
            w->no_memory = true;
            return;
        }
    }
    for (int i = 0; i < c->length && !w->no_memory; i++) {
        struct row *other = &w->rows[c->row[i]];
        struct entry *x = entry_of(other, unknown);
        struct entry multiplier = *x;
        *x = other->entry[--other->count];
        multiplier.value /= pivot.value;
        if (residue_zero(e->times[k]))
            multiplier.residue = residue_times(e->f, multiplier.residue, e->inverse[k]);
        multiplier.index = c->row[i];
        if (e->is_bounded)
            multiplier.bound =
                (float)(((double)multiplier.bound + fabs(multiplier.value) * (double)pivot.bound) /
                        fabs(pivot.value));
        if (!e->is_rank_only)
            e->lower[k].entry[e->lower[k].count++] = multiplier;
        subtract(w, c->row[i], &e->upper[k], &multiplier, e->times[k]);
        if (other->count > 0)
            list(&w->by_row, c->row[i], other->count);
        else
            unlist(&w->by_row, c->row[i]);
    }
    c->count = -1;
    for (int i = 0; i < r->count; i++) {
        int32_t j = r->entry[i].index;
        w->where[j] = 0;
        if (w->columns[j].count > 0)
            list(&w->by_column, j, w->columns[j].count);
        else
            unlist(&w->by_column, j);
    }
    block_free(&w->index_blocks, c->row, c->room);
    if (e->is_rank_only) {
        e->upper[k] = (struct entries){NULL, 0};
        block_free(&w->entry_blocks, r->entry, r->room);
    }
}

static bool working_init(struct working *w, const struct entries *rows)
{
    struct elimination *e = w->e;
    size_t m = (size_t)e->equations, n = (size_t)e->unknowns, steps = m < n ? m : n;
    struct arena *a = w->arena;
    w->rows = arena_alloc(w->scratch, sizeof *w->rows * (m + 1));
    w->columns = arena_alloc(w->scratch, sizeof *w->columns * (n + 1));
    w->where = arena_alloc(w->scratch, sizeof *w->where * (n + 1));
    w->met = arena_alloc(w->scratch, sizeof *w->met * (n + 1));
    e->pivot_equation = arena_alloc(a, sizeof *e->pivot_equation * (steps + 1));
    e->pivot_unknown = arena_alloc(a, sizeof *e->pivot_unknown * (steps + 1));
    e->equation_step = arena_alloc(a, sizeof *e->equation_step * (m + 1));
    e->unknown_step = arena_alloc(a, sizeof *e->unknown_step * (n + 1));
    e->pivot = arena_alloc(a, sizeof *e->pivot * (steps + 1));
    e->pivot_bound = arena_alloc(a, sizeof *e->pivot_bound * (steps + 1));
    e->inverse = arena_alloc(a, sizeof *e->inverse * (steps + 1));
    e->times = arena_alloc(a, sizeof *e->times * (steps + 1));
    e->upper = arena_alloc(a, sizeof *e->upper * (steps + 1));
    e->lower = arena_alloc(a, sizeof *e->lower * (steps + 1));
    w->largest_count = (int)(m > n ? m : n);
    if (!w->rows || !w->columns || !w->where || !w->met || !e->pivot_equation ||
        !e->pivot_unknown || !e->equation_step || !e->unknown_step || !e->pivot ||
        !e->pivot_bound || !e->inverse || !e->times || !e->upper || !e->lower ||
        !buckets_init(w, &w->by_row, e->equations + 1, w->largest_count) ||
        !buckets_init(w, &w->by_column, e->unknowns + 1, w->largest_count))
        return false;

    for (int i = 0; i < e->equations; i++) {
        e->equation_step[i] = -1;
        for (int k = 0; k < rows[i].count; k++)
            w->columns[rows[i].entry[k].index].count++;
    }
    for (int j = 0; j < e->unknowns; j++) {
        struct column *c = &w->columns[j];
        e->unknown_step[j] = -1;
        int class = class_of(c->count);
        c->room = 4 << class;
        c->row = block_new(w, &w->index_blocks, class);
        if (c->row == NULL)
            return false;
    }
    for (int i = 0; i < e->equations; i++) {
        struct row *r = &w->rows[i];
        r->active = true;
        r->count = r->room = rows[i].count;
        r->entry = rows[i].entry;
        measure(r);
        for (int k = 0; k < r->count; k++) {
            struct column *c = &w->columns[r->entry[k].index];
            c->row[c->length++] = i;
            if (r->entry[k].bound > 0)
                e->is_bounded = true;
        }
    }
    e->is_loose &= !e->is_bounded;
    w->threshold = e->is_loose ? loose : strict;
    /* The first ones are looked at first. */
    for (int i = e->equations - 1; i >= 0; i--)
        if (w->rows[i].count > 0)
            list(&w->by_row, i, w->rows[i].count);
    for (int j = e->unknowns - 1; j >= 0; j--)
        if (w->columns[j].count > 0)
            list(&w->by_column, j, w->columns[j].count);
    return true;
}

static bool has_inverse(const struct elimination *e, int k)
{
    return e->lower[k].count > 0 && residue_zero(e->times[k]);
}

/* The inverses of the other pivots, by a single one: Montgomery, "Speeding the
 * Pollard and elliptic curve methods of factorization", Math. Comp. 48 (1987). */
static bool invert_rest(struct working *w)
{
    struct elimination *e = w->e;
    struct residue product = residue_integer(e->f, 1);
    struct residue *before = arena_room(w->scratch, sizeof *before * (size_t)(e->rank + 1));
    if (before == NULL)
        return false;
    for (int k = 0; k < e->rank; k++) {
        before[k] = product;
        if (!has_inverse(e, k))
            product = residue_times(e->f, product, e->inverse[k]);
    }
    struct residue inverse = residue_inv(e->f, product);
    for (int k = e->rank - 1; k >= 0; k--) {
        if (has_inverse(e, k))
            continue;
        struct residue pivot = e->inverse[k];
        e->inverse[k] = residue_times(e->f, inverse, before[k]);
        inverse = residue_times(e->f, inverse, pivot);
    }
    return true;
}

static enum elimination_code run(struct working *w, const struct entries *rows, uint64_t budget)
{
    struct candidate pivot;
    if (!working_init(w, rows))
        return ELIMINATION_NO_MEMORY;
    while (find_pivot(w, &pivot)) {
        eliminate(w, pivot.equation, pivot.unknown);
        if (w->no_memory)
            return ELIMINATION_NO_MEMORY;
        if (w->e->operations > budget)
            return ELIMINATION_BUDGET;
    }
    for (int i = 0; i < w->e->equations; i++)
        if (w->rows[i].active && w->rows[i].count > 0)
            w->e->is_lowered = true;
    return w->e->is_rank_only || invert_rest(w) ? ELIMINATION_DONE : ELIMINATION_NO_MEMORY;
}

enum elimination_code elimination_run(struct elimination *e, struct arena *arena,
                                      const struct field *f, int equations, int unknowns,
                                      struct entries *rows, bool is_loose, bool rank_only,
                                      uint64_t budget)
{
    bool is_large = equations > LARGE;
    *e = (struct elimination){.f = f,
                              .equations = equations,
                              .unknowns = unknowns,
                              .is_loose = is_loose,
                              .is_rank_only = rank_only};
    struct arena *scratch = is_large ? arena_part(arena) : arena;
    if (scratch == NULL)
        return ELIMINATION_NO_MEMORY;
    struct working w = {.e = e,
                        .arena = arena,
                        .scratch = scratch,
                        .entry_blocks = {.arena = arena, .element = sizeof(struct entry)},
                        .index_blocks = {.arena = scratch, .element = sizeof(int32_t)}};
    enum elimination_code code = run(&w, rows, budget);
    if (is_large)
        arena_free(scratch);
    return code;
}

void elimination_forward(const struct elimination *e, double *b)
{
    for (int k = 0; k < e->rank; k++) {
        double x = b[e->pivot_equation[k]];
        if (x == 0)
            continue;
        for (int i = 0; i < e->lower[k].count; i++) {
            const struct entry *l = &e->lower[k].entry[i];
            b[l->index] -= l->value * x;
        }
    }
}

void elimination_back(const struct elimination *e, const double *b, double *x)
{
    for (int k = e->rank - 1; k >= 0; k--) {
        double sum = b[e->pivot_equation[k]];
        for (int i = 0; i < e->upper[k].count; i++) {
            const struct entry *u = &e->upper[k].entry[i];
            sum -= u->value * x[u->index];
        }
        x[e->pivot_unknown[k]] = sum / e->pivot[k];
    }
}

void elimination_transposed(const struct elimination *e, double *c, double *y)
{
    for (int k = 0; k < e->rank; k++) {
        double z = c[e->pivot_unknown[k]] / e->pivot[k];
        y[e->pivot_equation[k]] = z;
        if (z == 0)
            continue;
        for (int i = 0; i < e->upper[k].count; i++) {
            const struct entry *u = &e->upper[k].entry[i];
            c[u->index] -= u->value * z;
        }
    }
    for (int k = e->rank - 1; k >= 0; k--) {
        double sum = y[e->pivot_equation[k]];
        for (int i = 0; i < e->lower[k].count; i++) {
            const struct entry *l = &e->lower[k].entry[i];
            sum -= l->value * y[l->index];
        }
        y[e->pivot_equation[k]] = sum;
    }
}

void elimination_null_bounded(const struct elimination *e, double *v, double *bound, bool *fixed)
{
    for (int k = e->rank - 1; k >= 0; k--) {
        int32_t j = e->pivot_unknown[k];
        double sum = 0, sum_bound = 0;
        for (int i = 0; i < e->upper[k].count; i++) {
            const struct entry *u = &e->upper[k].entry[i];
            sum -= u->value * v[u->index];
            sum_bound += fabs(u->value) * bound[u->index] + (double)u->bound * fabs(v[u->index]) +
                         fabs(u->value * v[u->index]) * 0x1p-52;
        }
        v[j] = sum / e->pivot[k];
        bound[j] = (sum_bound + e->pivot_bound[k] * fabs(v[j])) / fabs(e->pivot[k]);
        fixed[j] |= fabs(v[j]) <= bound[j];
        if (fixed[j])
            v[j] = bound[j] = 0;
    }
}

void elimination_forward_residue(const struct elimination *e, struct residue *b, bool *generic)
{
    for (int k = 0; k < e->rank; k++) {
        struct residue from = b[e->pivot_equation[k]], times = e->times[k];
        bool is_zero = residue_zero(from), has_times = !residue_zero(times);
        for (int i = 0; i < e->lower[k].count && (has_times || !is_zero); i++) {
            const struct entry *l = &e->lower[k].entry[i];
            struct residue *to = &b[l->index];
            if (has_times && !residue_zero(*to))
                *to = residue_times(e->f, *to, times);
            if (is_zero)
                continue;
            *to = residue_minus(e->f, *to, residue_times(e->f, l->residue, from));
            if (generic != NULL)
                generic[l->index] |= generic[e->pivot_equation[k]];
        }
    }
}

void elimination_back_residue(const struct elimination *e, const struct residue *b,
                              const bool *generic_b, struct residue *x, bool *generic_x)
{
    for (int k = e->rank - 1; k >= 0; k--) {
        int32_t to = e->pivot_unknown[k];
        struct residue sum = b[e->pivot_equation[k]];
        bool generic = generic_b != NULL && generic_b[e->pivot_equation[k]];
        for (int i = 0; i < e->upper[k].count; i++) {
            const struct entry *u = &e->upper[k].entry[i];
            if (residue_zero(x[u->index]))
                continue;
            sum = residue_minus(e->f, sum, residue_times(e->f, u->residue, x[u->index]));
            generic |= generic_x != NULL && generic_x[u->index];
        }
        x[to] = residue_times(e->f, sum, e->inverse[k]);
        if (generic_x != NULL)
            generic_x[to] = generic && !residue_zero(x[to]);
    }
}

void elimination_left_null_residue(const struct elimination *e, struct residue *y)
{
    for (int k = e->rank - 1; k >= 0; k--) {
        struct residue sum = {0, 0};
        for (int i = 0; i < e->lower[k].count; i++) {
            const struct entry *l = &e->lower[k].entry[i];
            if (residue_zero(y[l->index]))
                continue;
            sum = residue_minus(e->f, sum, residue_times(e->f, l->residue, y[l->index]));
            if (!residue_zero(e->times[k]))
                y[l->index] = residue_times(e->f, y[l->index], e->times[k]);
        }
        y[e->pivot_equation[k]] = sum;
    }
}
