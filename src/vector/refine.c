#include "vector/refine.h"

#include <math.h>
#include <string.h>

#include "vector/dense.h"
#include "vector/factor.h"
#include "vector/field_ops.h"

enum {
    REFINEMENTS_MAX = 12,
    DENSE_MAX = 400, /* unknowns that a dense double-double solution is tried for */
};

/* Refined until a correction is less than this part of a value. */
static const double refined = 0x1p-75;
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
    *ret_room = (struct room){.x = arena_alloc(arena, sizeof(struct dd) * n),
                              .error = arena_alloc(arena, sizeof(double) * n),
                              .r = arena_alloc(arena, sizeof(struct dd) * n),
                              .kept = arena_alloc(arena, sizeof(struct dd) * n),
                              .dense_r = arena_alloc(arena, sizeof(struct dd) * dense),
                              .dense_x = arena_alloc(arena, sizeof(struct dd) * dense),
                              .b = arena_alloc(arena, sizeof(double) * n),
                              .d = arena_alloc(arena, sizeof(double) * n)};
    return !arena_exhausted(arena);
}

static int32_t column_of(const struct side *s, const struct coefficient *a)
{
    return s->is_transposed ? a->equation : a->unknown;
}

void refine_substitute(struct refining *t, const struct side *s, double *b, double *x)
{
    for (int i = 0; i < s->rows; i++)
        b[i] *= s->row_scale[i];
    for (int j = 0; j < s->columns; j++)
        x[j] = 0;
    if (s->is_transposed) {
        elimination_transposed(s->e, b, x);
    } else {
        elimination_forward(s->e, b);
        elimination_back(s->e, b, x);
    }
    for (int j = 0; j < s->columns; j++)
        x[j] *= s->column_scale[j];
    t->operations += t->pass;
}

struct dd refine_residual(const struct side *s, int row, struct dd b, const struct dd *x)
{
    for (int k = 0; k < s->line[row].count; k++) {
        const struct coefficient *a = s->line[row].coefficient[k];
        b = dd_sub(b, dd_mul(num_dd(a->num), x[column_of(s, a)]));
    }
    return b;
}

/* ---- residuals in four-fold precision ---- */

/* The least whole number that makes all coefficients of the row and its right-hand side whole; 0
 * where they are not known to be rational, or would become too long. */
static int64_t common_denominator(const struct line *line, const struct num *right)
{
    int64_t common = 1;
    for (int k = 0; k <= line->count; k++) {
        const struct num *x = k < line->count ? &line->coefficient[k]->num : right;
        if (x == NULL)
            continue;
        if (x->denominator == 0)
            return 0;
        int64_t g = (int64_t)factor_gcd((uint64_t)common, (uint64_t)x->denominator);
        if (__builtin_mul_overflow(common, x->denominator / g, &common))
            return 0;
    }
    for (int k = 0; k <= line->count; k++) {
        const struct num *x = k < line->count ? &line->coefficient[k]->num : right;
        int64_t whole;
        if (x != NULL && __builtin_mul_overflow(x->numerator, common / x->denominator, &whole))
            return 0;
    }
    return common;
}

struct exact {
    int64_t *common; /* of each pivot row, 0: its coefficients are rounded */
    bool is_whole;   /* none is 0 */
    double *work;
};

static struct exact *exact_new(struct refining *t, const struct side *s, const struct num *right,
                               int stride)
{
    size_t longest = 0;
    for (int i = 0; i < s->rows; i++)
        longest = (size_t)s->line[i].count > longest ? (size_t)s->line[i].count : longest;
    struct exact *e = arena_alloc(t->arena, sizeof *e);
    if (e == NULL)
        return NULL;
    *e = (struct exact){.common = arena_alloc(t->arena, sizeof *e->common * (size_t)s->rows),
                        .is_whole = true,
                        .work = arena_alloc(t->arena, sizeof *e->work * (8 * longest + 2))};
    if (e->common == NULL || e->work == NULL)
        return NULL;
    for (int k = 0; k < s->e->rank; k++) {
        int32_t i = s->pivot_row[k];
        e->common[i] = common_denominator(&s->line[i], right == NULL ? NULL : &right[i * stride]);
        e->is_whole &= e->common[i] != 0;
    }
    return e;
}

/* The number, times the common denominator where there is one. */
static struct dd whole_of(struct num x, int64_t common)
{
    return common == 0 ? num_dd(x) : dd_integer(x.numerator * (common / x.denominator));
}

static struct dd exact_residual(const struct side *s, int row, const struct num *right,
                                const struct exact *e, const struct dd *x)
{
    int64_t common = e->common[row];
    double *out = e->work;
    if (right != NULL) {
        struct dd b = whole_of(*right, common);
        *out++ = b.hi;
        *out++ = b.lo;
    }
    for (int k = 0; k < s->line[row].count; k++) {
        const struct coefficient *c = s->line[row].coefficient[k];
        struct dd a = whole_of(c->num, common), y = x[column_of(s, c)];
        struct dd products[4] = {dd_product(a.hi, y.hi), dd_product(a.hi, y.lo),
                                 dd_product(a.lo, y.hi), dd_product(a.lo, y.lo)};
        for (int i = 0; i < 4; i++) {
            *out++ = -products[i].hi;
            *out++ = -products[i].lo;
        }
    }
    struct dd sum = dense_sum(e->work, (int)(out - e->work));
    return common == 0 ? sum : dd_div(sum, dd_integer(common));
}

/* ---- corrections ---- */

/* The pivot rows and columns, scaled: the last resort. NULL: too many, or singular as rounded. */
static struct dense *dense_of(struct refining *t, const struct side *s)
{
    int n = s->e->rank;
    uint64_t work = (uint64_t)n * (uint64_t)n * (uint64_t)n;
    if (n > DENSE_MAX || t->operations + work > t->budget)
        return NULL;
    t->operations += work;
    struct dense *d = dense_new(t->arena, n);
    if (d == NULL)
        return NULL;
    for (int k = 0; k < n; k++) {
        int32_t row = s->pivot_row[k];
        for (int i = 0; i < s->line[row].count; i++) {
            const struct coefficient *a = s->line[row].coefficient[i];
            int32_t column = column_of(s, a);
            double scale = s->row_scale[row] * s->column_scale[column];
            if (s->column_step[column] >= 0)
                d->a[k * n + s->column_step[column]] =
                    (struct dd){a->num.value * scale, a->num.low * scale};
        }
    }
    return dense_factor(d) ? d : NULL;
}

/* Add to room.x the correction (room.d) for the residuals room.r, by the sparse factors or the
 * dense ones; returns its size, scaled. */
static double correct(struct refining *t, const struct side *s, const struct dense *d)
{
    struct room *room = &t->room;
    double largest = 0;
    if (d == NULL) {
        for (int i = 0; i < s->rows; i++)
            room->b[i] = room->r[i].hi;
        refine_substitute(t, s, room->b, room->d);
        for (int j = 0; j < s->columns; j++) {
            largest = fmax(largest, fabs(room->d[j]) / s->column_scale[j]);
            if (room->d[j] != 0)
                room->x[j] = dd_add(room->x[j], (struct dd){room->d[j], 0});
        }
        return largest;
    }
    for (int k = 0; k < d->n; k++) {
        int32_t i = s->pivot_row[k];
        double scale = s->row_scale[i];
        room->dense_r[k] = (struct dd){room->r[i].hi * scale, room->r[i].lo * scale};
    }
    dense_solve(d, room->dense_r, room->dense_x);
    memset(room->d, 0, sizeof *room->d * (size_t)s->columns);
    for (int k = 0; k < d->n; k++) {
        int32_t j = s->pivot_column[k];
        struct dd x = room->dense_x[k];
        double scale = s->column_scale[j];
        largest = fmax(largest, fabs(x.hi));
        room->d[j] = x.hi * scale;
        room->x[j] = dd_add(room->x[j], (struct dd){x.hi * scale, x.lo * scale});
    }
    return largest;
}

static double largest_scaled(const struct side *s, const struct dd *x)
{
    double largest = 0;
    for (int j = 0; j < s->columns; j++)
        largest = fmax(largest, fabs(x[j].hi) / s->column_scale[j]);
    return largest;
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
    struct room *room = &t->room;
    memcpy(room->kept, room->x, sizeof *room->x * (size_t)s->columns);
    for (int pattern = 0; pattern < 2; pattern++) {
        for (int i = 0; i < s->rows; i++) {
            room->r[i] = (struct dd){0, 0};
            if (s->row_step[i] < 0 || (e != NULL && e->common[i] != 0))
                continue;
            double w = right == NULL ? 0 : right[i * stride].error, terms = 0;
            for (int k = 0; k < s->line[i].count; k++) {
                const struct coefficient *a = s->line[i].coefficient[k];
                double x = fabs(room->kept[column_of(s, a)].hi);
                w += a->num.error * x;
                terms += fabs(a->num.value) * x;
            }
            w += e == NULL ? terms * 0x1p-102 : 0;
            room->r[i].hi = w * refine_pattern((uint64_t)(2 * i + pattern));
        }
        correct(t, s, d);
        for (int j = 0; j < s->columns; j++)
            room->error[j] += 16 * fabs(room->d[j]);
    }
    memcpy(room->x, room->kept, sizeof *room->x * (size_t)s->columns);
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
        for (int i = 0; i < s->rows; i++) {
            const struct num *b = right == NULL ? NULL : &right[i * stride];
            struct dd rounded = b == NULL ? (struct dd){0, 0} : num_dd(*b);
            room->r[i] = s->row_step[i] < 0 ? (struct dd){0, 0}
                         : e != NULL        ? exact_residual(s, i, b, e, room->x)
                                            : refine_residual(s, i, rounded, room->x);
        }
        t->operations += t->pass;
        double correction = correct(t, s, d);
        double size = largest_scaled(s, room->x), part = 0;
        for (int j = 0; j < s->columns; j++)
            if (room->d[j] != 0 && !residue_zero(zero[j]))
                part = fmax(part, fabs(room->d[j]) / fabs(room->x[j].hi));
        if (!isfinite(size) || isnan(correction))
            return QUALITY_NONE;
        if (k == 1 && e == NULL) {
            t->is_nearly_singular |= correction > nearly_singular * size;
            t->is_hard |= s->e->is_loose && correction > too_loose * size;
        }
        bool all = k > 0 && part <= refined;
        if (k == 0 || (!all && part <= before / 2 && k < REFINEMENTS_MAX - 1)) {
            before = part;
            continue;
        }
        if (!all && !(correction <= refined * size))
            return QUALITY_NONE;
        for (int j = 0; j < s->columns; j++) {
            double x = fabs(room->x[j].hi), scale = s->column_scale[j];
            room->error[j] = 64 * (all ? fabs(room->d[j]) : correction * scale);
            room->error[j] += x * 0x1p-100;
        }
        if (e == NULL || !e->is_whole)
            add_rounding(t, s, right, stride, e, d);
        for (int j = 0; j < s->columns && e == NULL && all; j++)
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
    if (quality != QUALITY_ALL && s->e->is_loose && !t->is_last) {
        t->is_hard = true;
        return false;
    }
    const struct dense *d = quality == QUALITY_ALL ? NULL : dense_of(t, s);
    if (d == NULL)
        return quality != QUALITY_NONE;
    t->is_nearly_singular |= quality == QUALITY_NONE;
    for (int k = 0; quality == QUALITY_NONE && k < s->e->rank; k++)
        t->room.x[s->pivot_column[k]] = (struct dd){0, 0};
    return refine_with(t, s, right, stride, zero, e, d) != QUALITY_NONE || quality != QUALITY_NONE;
}
