#include "vector/triangular.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "vector/field_ops.h"

enum { LARGE = 1000 }; /* equations of which the core's memory is given back */

static void *take(struct triangular *t, size_t size, int count)
{
    return arena_room(t->arena, size * ((size_t)count + 1));
}

/* ---- what is triangular already ---- */

/* A row or a column. */
struct line {
    int32_t count; /* entries left */
    int32_t at;    /* the exclusive or of where they stand: of the one entry, where it is */
};

/* Those with one entry, in a queue. */
struct singles {
    struct line *line;
    int32_t *queue;
    int length;
};

static bool singles_new(struct singles *s, struct arena *arena, int count)
{
    *s = (struct singles){.line = arena_alloc(arena, sizeof *s->line * ((size_t)count + 1)),
                          .queue = arena_room(arena, sizeof *s->queue * ((size_t)count + 1))};
    return s->line && s->queue;
}

static void line_put(struct line *line, int32_t at)
{
    line->count++;
    line->at ^= at;
}

static void singles_take(struct singles *s, int32_t which, int32_t at)
{
    struct line *line = &s->line[which];
    line->at ^= at;
    if (--line->count == 1)
        s->queue[s->length++] = which;
}

static void set_pivot(struct triangular *t, int k, int32_t equation, int32_t unknown)
{
    t->pivot_equation[k] = equation;
    t->pivot_unknown[k] = unknown;
    t->equation_step[equation] = t->unknown_step[unknown] = k;
}

/* Unknowns that stand in one equation go last; without that equation others do. Their steps are
 * counted from `steps` down. Returns how many. */
static int peel_unknowns(struct triangular *t, struct arena *scratch, int steps)
{
    const struct sparse *a = t->a;
    struct singles s;
    int peeled = 0;
    if (!singles_new(&s, scratch, a->columns))
        return -1;
    for (int i = 0; i < a->rows; i++)
        for (int32_t k = a->first[i]; k < a->first[i + 1]; k++)
            line_put(&s.line[a->column[k]], i);
    for (int j = 0; j < a->columns; j++)
        if (s.line[j].count == 1)
            s.queue[s.length++] = j;
    for (int q = 0; q < s.length; q++) {
        int32_t j = s.queue[q], i = s.line[j].at;
        if (s.line[j].count != 1)
            continue; /* another unknown took its equation */
        set_pivot(t, steps - ++peeled, i, j);
        for (int32_t k = a->first[i]; k < a->first[i + 1]; k++)
            singles_take(&s, a->column[k], i);
    }
    return peeled;
}

/* Equations of the rest that have one unknown go first; once it is known others do. */
static bool peel_equations(struct triangular *t, struct arena *scratch)
{
    const struct sparse *a = t->a;
    struct singles s;
    struct sparse by_unknown;
    if (!singles_new(&s, scratch, a->rows))
        return false;
    for (int i = 0; i < a->rows; i++) {
        if (t->equation_step[i] >= 0)
            continue;
        for (int32_t k = a->first[i]; k < a->first[i + 1]; k++)
            line_put(&s.line[i], a->column[k]);
        if (s.line[i].count == 1)
            s.queue[s.length++] = i;
    }
    if (s.length == 0)
        return true;
    if (!sparse_transpose(a, scratch, &by_unknown))
        return false;
    for (int q = 0; q < s.length; q++) {
        int32_t i = s.queue[q], j = s.line[i].at;
        if (s.line[i].count != 1)
            continue; /* its unknown is known already */
        set_pivot(t, t->known++, i, j);
        for (int32_t k = by_unknown.first[j]; k < by_unknown.first[j + 1]; k++)
            if (s.line[by_unknown.column[k]].count > 0)
                singles_take(&s, by_unknown.column[k], j);
    }
    return true;
}

/* Where coefficients have bounds, or no size, the elimination looks at each pivot. */
static bool is_sharp(const struct sparse *a)
{
    for (int32_t k = 0; a->rough != NULL && k < a->first[a->rows]; k++)
        if (a->rough[k] != NULL &&
            (a->rough[k]->slack > 0 || a->rough[k]->generic || a->value[k] == 0))
            return false;
    return true;
}

/* The peeled steps' pivots and, at the price of one inverse, their inverses: Montgomery, "Speeding
 * the Pollard and elliptic curve methods of factorization", Math. Comp. 48 (1987). */
static bool take_pivots(struct triangular *t, struct arena *scratch)
{
    const struct sparse *a = t->a;
    struct residue *before = arena_room(scratch, sizeof *before * ((size_t)t->rank + 1));
    struct residue product = residue_integer(t->f, 1);
    if (before == NULL)
        return false;
    for (int k = 0; k < t->rank; k++) {
        if (k == t->known)
            k = t->last;
        if (k == t->rank)
            break;
        int32_t at = a->first[t->pivot_equation[k]];
        while (a->column[at] != t->pivot_unknown[k])
            at++;
        t->reciprocal[k] = 1 / a->value[at];
        t->inverse[k] = sparse_residue(a, at, t->f, t->f);
        before[k] = product;
        product = residue_times(t->f, product, t->inverse[k]);
    }
    struct residue inverse = residue_inv(t->f, product);
    for (int k = t->rank - 1; k >= 0; k--) {
        if (k == t->last - 1)
            k = t->known - 1;
        if (k < 0)
            break;
        struct residue pivot = t->inverse[k];
        t->inverse[k] = residue_times(t->f, inverse, before[k]);
        inverse = residue_times(t->f, inverse, pivot);
    }
    return true;
}

static bool peel(struct triangular *t, struct arena *scratch)
{
    const struct sparse *a = t->a;
    int steps = a->rows < a->columns ? a->rows : a->columns;
    t->last = steps;
    if (is_sharp(a)) {
        int peeled = peel_unknowns(t, scratch, steps);
        if (peeled < 0)
            return false;
        t->last = steps - peeled;
        if (peeled < a->rows && !peel_equations(t, scratch))
            return false;
    }
    t->rank = steps;
    return take_pivots(t, scratch);
}

static bool gather_core(struct triangular *t)
{
    const struct sparse *a = t->a;
    int m = a->rows - t->known - (t->rank - t->last);
    int n = a->columns - t->known - (t->rank - t->last);
    t->core_equation = take(t, sizeof *t->core_equation, m);
    t->core_unknown = take(t, sizeof *t->core_unknown, n);
    t->b = take(t, sizeof *t->b, m > n ? m : n);
    t->x = take(t, sizeof *t->x, m > n ? m : n);
    t->b_residue = take(t, sizeof *t->b_residue, m);
    t->x_residue = take(t, sizeof *t->x_residue, n);
    t->c_residue = take(t, sizeof *t->c_residue, t->known > 0 ? a->columns : 0);
    t->generic_b = take(t, sizeof *t->generic_b, m);
    t->generic_x = take(t, sizeof *t->generic_x, n);
    if (arena_exhausted(t->arena))
        return false;
    for (int i = 0; i < a->rows; i++)
        if (t->equation_step[i] < 0)
            t->core_equation[t->core_equations++] = i;
    for (int j = 0; j < a->columns; j++)
        if (t->unknown_step[j] < 0)
            t->core_unknown[t->core_unknowns++] = j;
    return true;
}

bool triangular_new(struct triangular *t, struct arena *arena, const struct field *f,
                    const struct sparse *a, const double *row_scale, const double *column_scale)
{
    int steps = a->rows < a->columns ? a->rows : a->columns;
    *t = (struct triangular){
        .f = f, .a = a, .row_scale = row_scale, .column_scale = column_scale, .arena = arena};
    t->pivot_equation = take(t, sizeof *t->pivot_equation, steps);
    t->pivot_unknown = take(t, sizeof *t->pivot_unknown, steps);
    t->equation_step = take(t, sizeof *t->equation_step, a->rows);
    t->unknown_step = take(t, sizeof *t->unknown_step, a->columns);
    t->reciprocal = take(t, sizeof *t->reciprocal, steps);
    t->inverse = take(t, sizeof *t->inverse, steps);
    if (arena_exhausted(arena))
        return false;
    memset(t->equation_step, -1, sizeof *t->equation_step * (size_t)a->rows);
    memset(t->unknown_step, -1, sizeof *t->unknown_step * (size_t)a->columns);
    bool is_large = a->rows > LARGE;
    struct arena *scratch = is_large ? arena_part(arena) : arena;
    bool done = scratch != NULL && peel(t, scratch);
    if (is_large)
        arena_free(scratch);
    return done && gather_core(t);
}

/* ---- the core ---- */

/* The core's rows, scaled, in the field `f`; NULL without memory. */
static struct entries *core_rows(const struct triangular *t, struct arena *arena,
                                 const struct field *f, bool *ret_has_zero)
{
    const struct sparse *a = t->a;
    int32_t *number = arena_room(arena, sizeof *number * ((size_t)a->columns + 1));
    struct entries *rows = arena_room(arena, sizeof *rows * ((size_t)t->core_equations + 1));
    size_t count = 0;
    *ret_has_zero = false;
    if (number == NULL || rows == NULL)
        return NULL;
    memset(number, -1, sizeof *number * (size_t)a->columns);
    for (int j = 0; j < t->core_unknowns; j++)
        number[t->core_unknown[j]] = j;
    for (int i = 0; i < t->core_equations; i++)
        count += (size_t)(a->first[t->core_equation[i] + 1] - a->first[t->core_equation[i]]);
    struct entry *entry = arena_room(arena, sizeof *entry * (count + 1));
    if (entry == NULL)
        return NULL;
    for (int i = 0; i < t->core_equations; i++) {
        int32_t row = t->core_equation[i];
        rows[i] = (struct entries){entry, 0};
        for (int32_t k = a->first[row]; k < a->first[row + 1]; k++) {
            int32_t j = number[a->column[k]];
            if (j < 0)
                continue;
            const struct num *rough = sparse_rough(a, k);
            double scale = t->row_scale[row] * t->column_scale[a->column[k]];
            double value = a->value[k], bound = 0;
            if (rough != NULL) {
                bound = rough->slack + (rough->generic ? rough->error : 0);
                value = value != 0 ? value : fmax(rough->error, DBL_MIN);
            }
            *entry = (struct entry){.value = value * scale,
                                    .residue = sparse_residue(a, k, t->f, f),
                                    .index = j,
                                    .bound = (float)(bound * scale)};
            *ret_has_zero |= residue_zero(entry->residue);
            entry++;
            rows[i].count++;
        }
    }
    return rows;
}

/* Take the core's pivots, and close the gap between its steps and the last ones. */
static void take_steps(struct triangular *t)
{
    const struct elimination *e = &t->core;
    int last = t->known + e->rank, move = t->last - last, rank = t->rank - move;
    for (int i = 0; i < t->core_equations; i++)
        t->equation_step[t->core_equation[i]] = -1;
    for (int j = 0; j < t->core_unknowns; j++)
        t->unknown_step[t->core_unknown[j]] = -1;
    /* From the end that is not overwritten before it is read: a second elimination may find more.
     */
    for (int i = 0; move != 0 && i < t->rank - t->last; i++) {
        int k = move > 0 ? last + i : rank - 1 - i;
        set_pivot(t, k, t->pivot_equation[k + move], t->pivot_unknown[k + move]);
        t->reciprocal[k] = t->reciprocal[k + move];
        t->inverse[k] = t->inverse[k + move];
    }
    t->last = last;
    t->rank = rank;
    for (int k = 0; k < e->rank; k++)
        set_pivot(t, t->known + k, t->core_equation[e->pivot_equation[k]],
                  t->core_unknown[e->pivot_unknown[k]]);
}

enum elimination_code triangular_eliminate(struct triangular *t, bool is_loose, uint64_t budget)
{
    bool is_large = t->a->rows > LARGE, has_zero;
    if (is_large) {
        arena_free(t->core_arena);
        t->core_arena = arena_part(t->arena);
    } else {
        t->core_arena = t->arena;
    }
    if (t->core_arena == NULL)
        return ELIMINATION_NO_MEMORY;
    t->core = (struct elimination){.f = t->f};
    if (t->core_equations > 0) {
        struct entries *rows = core_rows(t, t->core_arena, t->f, &has_zero);
        if (rows == NULL)
            return ELIMINATION_NO_MEMORY;
        enum elimination_code code =
            elimination_run(&t->core, t->core_arena, t->f, t->core_equations, t->core_unknowns,
                            rows, is_loose, false, budget);
        if (code != ELIMINATION_DONE)
            return code;
    }
    take_steps(t);
    return ELIMINATION_DONE;
}

enum elimination_code triangular_rank(const struct triangular *t, const struct field *f,
                                      uint64_t budget, uint64_t *ret_operations, int *ret_rank)
{
    struct arena *scratch = arena_part(t->arena);
    struct elimination e;
    bool has_zero;
    enum elimination_code code = ELIMINATION_NO_MEMORY;
    struct entries *rows = scratch == NULL ? NULL : core_rows(t, scratch, f, &has_zero);
    *ret_operations = 0;
    if (rows != NULL && has_zero) {
        *ret_rank = -1;
        code = ELIMINATION_DONE;
    } else if (rows != NULL) {
        code = elimination_run(&e, scratch, f, t->core_equations, t->core_unknowns, rows,
                               t->core.is_loose, true, budget);
        *ret_operations = e.operations;
        *ret_rank = t->known + e.rank + (t->rank - t->last);
    }
    arena_free(scratch);
    return code;
}

uint64_t triangular_pass(const struct triangular *t)
{
    uint64_t pass =
        (uint64_t)t->a->rows + (uint64_t)t->a->columns + (uint64_t)t->a->first[t->a->rows];
    for (int k = 0; k < t->core.rank; k++)
        pass += (uint64_t)(t->core.upper[k].count + t->core.lower[k].count);
    return pass;
}

/* ---- solutions ---- */

static bool is_known(const struct triangular *t, int32_t unknown)
{
    return t->unknown_step[unknown] >= 0 && t->unknown_step[unknown] < t->known;
}

/* The unknowns of steps begin … end - 1, whose equations hold others that are known. */
static void solve_steps(const struct triangular *t, int begin, int end, const double *b, double *x)
{
    const struct sparse *a = t->a;
    for (int k = begin; k < end; k++) {
        int32_t i = t->pivot_equation[k];
        double sum = b[i];
        for (int32_t at = a->first[i]; at < a->first[i + 1]; at++)
            sum -= a->value[at] * x[a->column[at]];
        x[t->pivot_unknown[k]] = sum * t->reciprocal[k];
    }
}

void triangular_solve(const struct triangular *t, double *b, double *x)
{
    const struct sparse *a = t->a;
    solve_steps(t, 0, t->known, b, x);
    for (int c = 0; c < t->core_equations; c++) {
        int32_t i = t->core_equation[c];
        for (int32_t at = a->first[i]; t->known > 0 && at < a->first[i + 1]; at++)
            if (is_known(t, a->column[at]))
                b[i] -= a->value[at] * x[a->column[at]];
        t->b[c] = b[i] * t->row_scale[i];
    }
    for (int c = 0; c < t->core_unknowns; c++)
        t->x[c] = x[t->core_unknown[c]] / t->column_scale[t->core_unknown[c]];
    elimination_forward(&t->core, t->b);
    elimination_back(&t->core, t->b, t->x);
    for (int c = 0; c < t->core_unknowns; c++)
        x[t->core_unknown[c]] = t->x[c] * t->column_scale[t->core_unknown[c]];
    solve_steps(t, t->last, t->rank, b, x);
}

/* y of steps end - 1 … begin, taken out of c as soon as it is known. */
static void solve_steps_transposed(const struct triangular *t, int begin, int end, double *c,
                                   double *y)
{
    const struct sparse *a = t->a;
    for (int k = end - 1; k >= begin; k--) {
        int32_t i = t->pivot_equation[k];
        y[i] = c[t->pivot_unknown[k]] * t->reciprocal[k];
        for (int32_t at = a->first[i]; y[i] != 0 && at < a->first[i + 1]; at++)
            c[a->column[at]] -= a->value[at] * y[i];
    }
}

void triangular_solve_transposed(const struct triangular *t, double *c, double *y)
{
    const struct sparse *a = t->a;
    solve_steps_transposed(t, t->last, t->rank, c, y);
    for (int u = 0; u < t->core_unknowns; u++)
        t->b[u] = c[t->core_unknown[u]] * t->column_scale[t->core_unknown[u]];
    for (int e = 0; e < t->core_equations; e++)
        t->x[e] = y[t->core_equation[e]] / t->row_scale[t->core_equation[e]];
    elimination_transposed(&t->core, t->b, t->x);
    for (int e = 0; e < t->core_equations; e++) {
        int32_t i = t->core_equation[e];
        y[i] = t->x[e] * t->row_scale[i];
        for (int32_t at = a->first[i]; t->known > 0 && at < a->first[i + 1]; at++)
            if (is_known(t, a->column[at]))
                c[a->column[at]] -= a->value[at] * y[i];
    }
    solve_steps_transposed(t, 0, t->known, c, y);
}

/* b minus coefficient k times x. */
static struct residue less(const struct triangular *t, struct residue b, int32_t k,
                           struct residue x)
{
    return residue_minus(t->f, b, residue_times(t->f, sparse_residue(t->a, k, t->f, t->f), x));
}

static void solve_steps_residue(const struct triangular *t, int begin, int end,
                                const struct residue *b, const bool *generic_b, struct residue *x,
                                bool *generic_x)
{
    const struct sparse *a = t->a;
    for (int k = begin; k < end; k++) {
        int32_t i = t->pivot_equation[k], j = t->pivot_unknown[k];
        struct residue sum = b[i];
        bool generic = generic_b != NULL && generic_b[i];
        for (int32_t at = a->first[i]; at < a->first[i + 1]; at++) {
            if (residue_zero(x[a->column[at]]))
                continue;
            sum = less(t, sum, at, x[a->column[at]]);
            generic |= generic_x != NULL && generic_x[a->column[at]];
        }
        x[j] = residue_times(t->f, sum, t->inverse[k]);
        if (generic_x != NULL)
            generic_x[j] = generic && !residue_zero(x[j]);
    }
}

void triangular_solve_residue(const struct triangular *t, struct residue *b, bool *generic_b,
                              struct residue *x, bool *generic_x)
{
    const struct sparse *a = t->a;
    bool has_generic = generic_b != NULL;
    solve_steps_residue(t, 0, t->known, b, generic_b, x, generic_x);
    for (int c = 0; c < t->core_equations; c++) {
        int32_t i = t->core_equation[c];
        for (int32_t at = a->first[i]; t->known > 0 && at < a->first[i + 1]; at++) {
            int32_t j = a->column[at];
            if (!is_known(t, j) || residue_zero(x[j]))
                continue;
            b[i] = less(t, b[i], at, x[j]);
            if (has_generic)
                generic_b[i] |= generic_x[j];
        }
        t->b_residue[c] = b[i];
        if (has_generic)
            t->generic_b[c] = generic_b[i];
    }
    for (int c = 0; c < t->core_unknowns; c++) {
        t->x_residue[c] = x[t->core_unknown[c]];
        if (has_generic)
            t->generic_x[c] = generic_x[t->core_unknown[c]];
    }
    elimination_forward_residue(&t->core, t->b_residue, has_generic ? t->generic_b : NULL);
    elimination_back_residue(&t->core, t->b_residue, has_generic ? t->generic_b : NULL,
                             t->x_residue, has_generic ? t->generic_x : NULL);
    for (int c = 0; c < t->core_unknowns; c++) {
        x[t->core_unknown[c]] = t->x_residue[c];
        if (has_generic)
            generic_x[t->core_unknown[c]] = t->generic_x[c];
    }
    for (int c = 0; c < t->core_equations; c++) {
        b[t->core_equation[c]] = t->b_residue[c];
        if (has_generic)
            generic_b[t->core_equation[c]] = t->generic_b[c];
    }
    solve_steps_residue(t, t->last, t->rank, b, generic_b, x, generic_x);
}

/* Of the unknowns known first: what an equation with this y makes of c = -A^T y. */
static void spread_left_null(const struct triangular *t, int32_t equation, struct residue y)
{
    const struct sparse *a = t->a;
    for (int32_t at = a->first[equation]; !residue_zero(y) && at < a->first[equation + 1]; at++)
        if (is_known(t, a->column[at]))
            t->c_residue[a->column[at]] = less(t, t->c_residue[a->column[at]], at, y);
}

void triangular_left_null(const struct triangular *t, struct residue *y)
{
    for (int c = 0; c < t->core_equations; c++)
        t->b_residue[c] = y[t->core_equation[c]];
    elimination_left_null_residue(&t->core, t->b_residue);
    for (int c = 0; c < t->core_equations; c++)
        y[t->core_equation[c]] = t->b_residue[c];
    for (int k = 0; k < t->known; k++)
        t->c_residue[t->pivot_unknown[k]] = (struct residue){0, 0};
    for (int c = 0; t->known > 0 && c < t->core_equations; c++)
        spread_left_null(t, t->core_equation[c], t->b_residue[c]);
    for (int k = t->known - 1; k >= 0; k--) {
        int32_t i = t->pivot_equation[k];
        y[i] = residue_times(t->f, t->c_residue[t->pivot_unknown[k]], t->inverse[k]);
        spread_left_null(t, i, y[i]);
    }
}
