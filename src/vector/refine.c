#include "vector/refine.h"

#include <math.h>
#include <string.h>

#include "vector/dense.h"
#include "vector/field_ops.h"

enum {
    REFINEMENTS_MAX = 12,
    DENSE_MAX = 400, /* unknowns that a dense double-double solution is tried for */
};

/* Refined until a correction is less than this part of a value, */
static const double refined = 0x1p-75;
/* or until the next one would be: corrections shrink by the same part each time, or nearly so. */
static const double next_refined = 0x1p-90, nearly_so = 0x1p10;
/* The error of a value that is right in every digit of a double. */
static const double settled = 0x1p-56;
/* Pivots of a loose elimination are too small where the first correction is larger than this part
 * of the solution. */
static const double too_loose = 1e-9;
/* In a nearly singular system the first correction is larger than this part of the solution: of 16
 * digits 13 are lost. */
static const double nearly_singular = 1e-3;

bool room_new(struct arena *arena, int largest, struct room *ret_room)
{
    size_t n = (size_t)largest + 1, dense = n < DENSE_MAX ? n : DENSE_MAX;
    *ret_room = (struct room){.x = arena_room(arena, sizeof(struct dd) * n),
                              .error = arena_alloc(arena, sizeof(double) * n),
                              .low = arena_room(arena, sizeof(double) * n),
                              .dense_r = arena_alloc(arena, sizeof(struct dd) * dense),
                              .dense_x = arena_alloc(arena, sizeof(struct dd) * dense),
                              .b = arena_room(arena, sizeof(double) * n),
                              .d = arena_room(arena, sizeof(double) * n),
                              .w = arena_room(arena, sizeof(double) * n)};
    return !arena_exhausted(arena);
}

void refine_substitute(struct refining *t, const struct side *s, double *b, double *x)
{
    memset(x, 0, sizeof *x * (size_t)s->a->columns);
    if (s->is_transposed)
        triangular_solve_transposed(s->t, b, x);
    else
        triangular_solve(s->t, b, x);
    t->operations += t->pass;
}

static inline struct dd residual(const struct side *s, int row, struct dd b, const struct dd *x)
{
    const struct sparse *a = s->a;
    for (int32_t k = a->first[row]; k < a->first[row + 1]; k++) {
        const struct num *rough = sparse_rough(a, k);
        struct dd y = x[a->column[k]];
        if (y.hi == 0)
            continue;
        if (rough != NULL) {
            b = dd_sub(b, dd_mul((struct dd){rough->value, rough->low}, y));
            continue;
        }
        struct dd product = dd_product(a->value[k], y.hi);
        b = dd_sub(b, dd_quick_sum(product.hi, product.lo + a->value[k] * y.lo));
    }
    return b;
}

struct dd refine_residual(const struct side *s, int row, struct dd b, const struct dd *x)
{
    return residual(s, row, b, x);
}

/* ---- residuals in four-fold precision ---- */

struct exact {
    bool *is_whole;     /* each pivot row, and its right-hand side */
    bool all_are_whole; /* … of them */
    double *work;
};

static bool is_whole(const struct sparse *a, int row, const struct num *right)
{
    if (right != NULL && (right->denominator == 0 || right->numerator % right->denominator != 0))
        return false;
    for (int32_t k = a->first[row]; a->rough != NULL && k < a->first[row + 1]; k++)
        if (a->rough[k] != NULL)
            return false;
    return true;
}

static struct exact *exact_new(struct refining *t, const struct side *s, const struct num *right,
                               int stride)
{
    const struct sparse *a = s->a;
    int32_t longest = 0;
    for (int i = 0; i < a->rows; i++)
        if (a->first[i + 1] - a->first[i] > longest)
            longest = a->first[i + 1] - a->first[i];
    struct exact *e = arena_alloc(t->arena, sizeof *e);
    if (e == NULL)
        return NULL;
    *e = (struct exact){.is_whole = arena_alloc(t->arena, (size_t)a->rows),
                        .all_are_whole = true,
                        .work = arena_alloc(t->arena, sizeof *e->work * (8 * (size_t)longest + 2))};
    if (e->is_whole == NULL || e->work == NULL)
        return NULL;
    for (int k = 0; k < s->t->rank; k++) {
        int32_t i = s->pivot_row[k];
        e->is_whole[i] = is_whole(a, i, right == NULL ? NULL : &right[i * stride]);
        e->all_are_whole &= e->is_whole[i];
    }
    return e;
}

static struct dd exact_residual(const struct side *s, int row, const struct num *right,
                                const struct exact *e, const struct dd *x)
{
    const struct sparse *a = s->a;
    double *out = e->work;
    if (right != NULL) {
        struct dd b =
            e->is_whole[row] ? dd_integer(right->numerator / right->denominator) : num_dd(*right);
        *out++ = b.hi;
        *out++ = b.lo;
    }
    for (int32_t k = a->first[row]; k < a->first[row + 1]; k++) {
        const struct num *rough = sparse_rough(a, k);
        double low = rough == NULL ? 0 : rough->low;
        struct dd y = x[a->column[k]];
        struct dd products[4] = {dd_product(a->value[k], y.hi), dd_product(a->value[k], y.lo),
                                 dd_product(low, y.hi), dd_product(low, y.lo)};
        for (int i = 0; i < 4; i++) {
            *out++ = -products[i].hi;
            *out++ = -products[i].lo;
        }
    }
    return dense_sum(e->work, (int)(out - e->work));
}

/* ---- corrections ---- */

/* The pivot rows and columns, scaled: the last resort. NULL: too many, or singular as rounded. */
static struct dense *dense_of(struct refining *t, const struct side *s)
{
    const struct sparse *a = s->a;
    int n = s->t->rank;
    uint64_t work = (uint64_t)n * (uint64_t)n * (uint64_t)n;
    if (n > DENSE_MAX || t->operations + work > t->budget)
        return NULL;
    t->operations += work;
    struct dense *d = dense_new(t->arena, n);
    if (d == NULL)
        return NULL;
    for (int k = 0; k < n; k++) {
        int32_t row = s->pivot_row[k];
        for (int32_t i = a->first[row]; i < a->first[row + 1]; i++) {
            const struct num *rough = sparse_rough(a, i);
            int32_t column = a->column[i];
            double scale = s->row_scale[row] * s->column_scale[column];
            if (s->column_step[column] >= 0)
                d->a[k * n + s->column_step[column]] =
                    (struct dd){a->value[i] * scale, rough == NULL ? 0 : rough->low * scale};
        }
    }
    return dense_factor(d) ? d : NULL;
}

/* The correction room.d for the residuals room.b (used up), by the sparse factors or the dense
 * ones; of those room.dense_x has the rest of its digits. */
static void solve_residuals(struct refining *t, const struct side *s, const struct dense *d)
{
    struct room *room = &t->room;
    if (d == NULL) {
        refine_substitute(t, s, room->b, room->d);
        return;
    }
    for (int k = 0; k < d->n; k++) {
        int32_t i = s->pivot_row[k];
        double scale = s->row_scale[i];
        room->dense_r[k] = (struct dd){room->b[i] * scale, room->low[i] * scale};
    }
    dense_solve(d, room->dense_r, room->dense_x);
    memset(room->d, 0, sizeof *room->d * (size_t)s->a->columns);
    for (int k = 0; k < d->n; k++)
        room->d[s->pivot_column[k]] = room->dense_x[k].hi * s->column_scale[s->pivot_column[k]];
}

struct correction {
    double largest, size; /* of the correction, and of the corrected solution, scaled */
    double part;          /* the largest part of a value that its correction is */
    bool is_found;        /* no value is still 0 but those that are zero */
};

/* Add the correction to room.x. Unknowns that are zero don't count as parts. */
static struct correction correct(struct refining *t, const struct side *s, const struct dense *d,
                                 const struct residue *zero)
{
    struct room *room = &t->room;
    struct correction c = {.is_found = true};
    solve_residuals(t, s, d);
    for (int j = 0; j < s->a->columns; j++) {
        double step = room->d[j], scale = s->column_scale[j], low = 0;
        if (d != NULL && s->column_step[j] >= 0)
            low = room->dense_x[s->column_step[j]].lo * scale;
        if (step != 0)
            room->x[j] = dd_add(room->x[j], (struct dd){step, low});
        double x = fabs(room->x[j].hi);
        step = fabs(step);
        /* Quotients only where they are the largest so far. */
        if (step > c.largest * scale)
            c.largest = step / scale;
        if (x > c.size * scale)
            c.size = x / scale;
        if (step > c.part * x && !residue_zero(zero[j]))
            c.part = step / x;
        c.is_found = c.is_found && (x != 0 || residue_zero(zero[j]) || s->column_step[j] < 0);
    }
    return c;
}

double refine_pattern(uint64_t k)
{
    uint64_t z = (k + 1) * 0x9e3779b97f4a7c15;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9;
    z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
    z ^= z >> 31;
    double size = 0.5 + (double)(z >> 11) * 0x1p-54;
    return z & 1 ? size : -size;
}

/* Add to the errors what rounding makes of x, tried with two random patterns: that of
 * coefficients which are not whole, and without `e` that of the residuals. */
static void add_rounding(struct refining *t, const struct side *s, const struct num *right,
                         int stride, const struct exact *e, const struct dense *d)
{
    const struct sparse *a = s->a;
    struct room *room = &t->room;
    for (int i = 0; i < a->rows; i++) {
        room->w[i] = 0;
        if (s->row_step[i] < 0 || (e != NULL && e->is_whole[i]))
            continue;
        double w = right == NULL ? 0 : right[i * stride].error, terms = 0;
        for (int32_t k = a->first[i]; k < a->first[i + 1]; k++) {
            double x = fabs(room->x[a->column[k]].hi);
            w += sparse_error(a, k) * x;
            terms += fabs(a->value[k]) * x;
        }
        room->w[i] = w + (e == NULL ? terms * 0x1p-102 : 0);
    }
    for (int pattern = 0; pattern < 2; pattern++) {
        for (int i = 0; i < a->rows; i++)
            room->b[i] = room->w[i] * refine_pattern((uint64_t)(2 * i + pattern));
        if (d != NULL)
            memset(room->low, 0, sizeof *room->low * (size_t)a->rows);
        solve_residuals(t, s, d);
        for (int j = 0; j < a->columns; j++)
            room->error[j] += 16 * fabs(room->d[j]);
    }
}

enum quality { QUALITY_NONE, QUALITY_LARGEST, QUALITY_ALL };

/* Correct until the corrections are below all digits of all values (QUALITY_ALL), or of all but
 * those that are tiny beside the largest (QUALITY_LARGEST). Residuals in double-double, or with `e`
 * in four-fold precision.
 *
 * The errors are estimates, on the safe side. */
static enum quality refine_with(struct refining *t, const struct side *s, const struct num *right,
                                int stride, const struct residue *zero, const struct exact *e,
                                const struct dense *d)
{
    struct room *room = &t->room;
    double before = 0;
    for (int k = 0; k < REFINEMENTS_MAX; k++) {
        for (int i = 0; i < s->a->rows; i++) {
            const struct num *b = right == NULL ? NULL : &right[i * stride];
            struct dd rounded = {b == NULL ? 0 : b->value, b == NULL ? 0 : b->low};
            struct dd r = s->row_step[i] < 0 ? (struct dd){0, 0}
                          : e != NULL        ? exact_residual(s, i, b, e, room->x)
                                             : residual(s, i, rounded, room->x);
            room->b[i] = r.hi;
            if (d != NULL)
                room->low[i] = r.lo;
        }
        t->operations += t->pass;
        struct correction c = correct(t, s, d, zero);
        if (!isfinite(c.size) || !isfinite(c.largest))
            return QUALITY_NONE;
        if (k == 1 && e == NULL) {
            t->is_nearly_singular |= c.largest > nearly_singular * c.size;
            t->is_hard |= s->t->core.is_loose && c.largest > too_loose * c.size;
        }
        double shrinks = k > 0 ? c.part / before : 1;
        bool all = k > 0 && c.is_found && (c.part <= refined || c.part * shrinks <= next_refined);
        if (k == 0 || (!all && c.part <= before / 2 && k < REFINEMENTS_MAX - 1)) {
            before = c.part;
            continue;
        }
        if (!all && !(c.largest <= refined * c.size))
            return QUALITY_NONE;
        for (int j = 0; j < s->a->columns; j++) {
            double step = fabs(room->d[j]);
            room->error[j] = !all                ? 64 * c.largest * s->column_scale[j]
                             : c.part <= refined ? 64 * step
                                                 : nearly_so * shrinks * step;
            room->error[j] += fabs(room->x[j].hi) * 0x1p-100;
        }
        if (e == NULL || !e->all_are_whole)
            add_rounding(t, s, right, stride, e, d);
        for (int j = 0; j < s->a->columns && e == NULL && all; j++)
            all = residue_zero(zero[j]) || s->column_step[j] < 0 ||
                  room->error[j] <= settled * fabs(room->x[j].hi);
        return all ? QUALITY_ALL : QUALITY_LARGEST;
    }
    return QUALITY_NONE;
}

bool refine(struct refining *t, const struct side *s, const struct num *right, int stride,
            const struct residue *zero)
{
    enum quality quality = refine_with(t, s, right, stride, zero, NULL, NULL);
    if (quality == QUALITY_ALL)
        return true;
    const struct exact *e = exact_new(t, s, right, stride);
    if (e == NULL)
        return false;
    if (quality == QUALITY_LARGEST) {
        enum quality further = refine_with(t, s, right, stride, zero, e, NULL);
        quality = further > quality ? further : quality;
    }
    if (quality != QUALITY_ALL && s->t->core.is_loose && !t->is_last) {
        t->is_hard = true;
        return false;
    }
    const struct dense *d = quality == QUALITY_ALL ? NULL : dense_of(t, s);
    if (d == NULL)
        return quality != QUALITY_NONE;
    t->is_nearly_singular |= quality == QUALITY_NONE;
    for (int k = 0; quality == QUALITY_NONE && k < s->t->rank; k++)
        t->room.x[s->pivot_column[k]] = (struct dd){0, 0};
    return refine_with(t, s, right, stride, zero, e, d) != QUALITY_NONE || quality != QUALITY_NONE;
}
