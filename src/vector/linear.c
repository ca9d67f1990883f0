#include "vector/linear.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "vector/dense.h"
#include "vector/elimination.h"
#include "vector/factor.h"
#include "vector/field_ops.h"

enum {
    CHUNK = 256,
    REFINEMENTS_MAX = 12,
    DENSE_MAX = 400, /* unknowns that a dense double-double solution is tried for */
    PATTERNS = 4,
};

/* Refined until a correction is less than this part of a value: no last digit changes. */
static const double last_digit = 0x1p-58;
/* In a nearly singular system the first correction is larger than this part of the solution: of 16
 * digits 13 are lost. */
static const double nearly_singular = 1e-3;
/* The sum of |y w| is at most so many times what random signs make of it (fails once in 10^11). */
static const double sign_patterns = 1e5;

struct coefficient {
    struct num num;
    int32_t equation, unknown;
};

struct chunk {
    struct chunk *next;
    int count;
    struct coefficient coefficient[CHUNK];
};

struct line { /* the coefficients of one equation */
    struct coefficient **coefficient;
    int count;
};

struct room { /* of one solution */
    struct dd *x, *r, *kept, *dense_r, *dense_x;
    double *b, *d;
    double *error; /* of x */
};

struct linear {
    struct arena *arena;
    const struct field *f;
    int equations, unknowns, columns;
    struct chunk *first, *last;
    struct line *line;
    struct num *right;                /* equations x columns */
    struct num *value;                /* unknowns x columns */
    double *row_scale, *column_scale; /* powers of two: the elimination sees row A column */
    struct elimination e;
    enum zero rank_decided;
    bool is_confirmed, is_generic, has_slack, is_unlucky, is_nearly_singular, is_unsettled;
    bool *fixed, *moves;
    enum zero *consistent;
    uint64_t budget, operations;
    uint64_t pass; /* operations of one substitution */
    struct room room;
};

static void *take(struct linear *l, size_t size, int count)
{
    return arena_alloc(l->arena, size * (size_t)(count > 0 ? count : 1));
}

struct linear *linear_new(struct arena *arena, const struct field *f, int equations, int unknowns,
                          int columns)
{
    struct linear *l = arena_alloc(arena, sizeof *l);
    if (l == NULL)
        return NULL;
    *l = (struct linear){
        .arena = arena, .f = f, .equations = equations, .unknowns = unknowns, .columns = columns};
    l->right = take(l, sizeof *l->right, equations * columns);
    if (l->right == NULL)
        return NULL;
    for (int i = 0; i < equations * columns; i++)
        l->right[i].denominator = 1; /* 0, exactly */
    return l;
}

void linear_add(struct linear *l, int equation, int unknown, struct num x)
{
    l->is_unlucky |= x.unlucky;
    if (residue_zero(x.residue))
        return;
    if (l->last == NULL || l->last->count == CHUNK) {
        struct chunk *c = arena_alloc(l->arena, sizeof *c);
        if (c == NULL)
            return; /* linear_solve asks the arena */
        if (l->last == NULL)
            l->first = c;
        else
            l->last->next = c;
        l->last = c;
    }
    l->last->coefficient[l->last->count++] = (struct coefficient){x, equation, unknown};
}

void linear_add_right(struct linear *l, int equation, int column, struct num x)
{
    struct num *b = &l->right[equation * l->columns + column];
    l->is_unlucky |= x.unlucky;
    *b = num_add(l->f, *b, x);
}

/* ---- setting up ---- */

/* Sort the coefficients by equation; those of one place are added up, zeros left out. */
static bool arrange(struct linear *l)
{
    l->line = take(l, sizeof *l->line, l->equations);
    int32_t *seen = take(l, sizeof *seen, l->unknowns); /* 1 + position in the line */
    if (l->line == NULL || seen == NULL)
        return false;
    for (struct chunk *c = l->first; c != NULL; c = c->next)
        for (int i = 0; i < c->count; i++)
            l->line[c->coefficient[i].equation].count++;
    for (int i = 0; i < l->equations; i++) {
        struct line *line = &l->line[i];
        line->coefficient = take(l, sizeof *line->coefficient, line->count);
        if (line->coefficient == NULL)
            return false;
        line->count = 0;
    }
    for (struct chunk *c = l->first; c != NULL; c = c->next)
        for (int i = 0; i < c->count; i++) {
            struct line *line = &l->line[c->coefficient[i].equation];
            line->coefficient[line->count++] = &c->coefficient[i];
        }
    for (int i = 0; i < l->equations; i++) {
        struct line *line = &l->line[i];
        int kept = 0;
        for (int k = 0; k < line->count; k++) {
            struct coefficient *x = line->coefficient[k];
            int32_t at = seen[x->unknown];
            if (at > 0) {
                struct num *sum = &line->coefficient[at - 1]->num;
                *sum = num_add(l->f, *sum, x->num);
            } else {
                line->coefficient[kept++] = x;
                seen[x->unknown] = kept;
            }
        }
        line->count = 0;
        for (int k = 0; k < kept; k++) {
            struct coefficient *x = line->coefficient[k];
            seen[x->unknown] = 0;
            if (residue_zero(x->num.residue))
                continue;
            line->coefficient[line->count++] = x;
            l->is_generic |= x->num.generic;
            l->has_slack |= x->num.slack > 0;
        }
    }
    return true;
}

/* The power of two that brings `largest` between 1/2 and 1. */
static double scale_of(double largest)
{
    int exponent = 0;
    if (!(largest > 0) || !isfinite(largest))
        return 1;
    frexp(largest, &exponent);
    return ldexp(1, exponent > 1000 ? -1000 : exponent < -1000 ? 1000 : -exponent);
}

static bool equilibrate(struct linear *l)
{
    l->row_scale = take(l, sizeof(double), l->equations);
    l->column_scale = take(l, sizeof(double), l->unknowns);
    if (l->row_scale == NULL || l->column_scale == NULL)
        return false;
    for (int i = 0; i < l->equations; i++)
        for (int k = 0; k < l->line[i].count; k++) {
            const struct coefficient *x = l->line[i].coefficient[k];
            double *largest = &l->column_scale[x->unknown];
            *largest = fmax(*largest, fabs(x->num.value));
        }
    for (int j = 0; j < l->unknowns; j++)
        l->column_scale[j] = scale_of(l->column_scale[j]);
    for (int i = 0; i < l->equations; i++) {
        double largest = 0;
        for (int k = 0; k < l->line[i].count; k++) {
            const struct coefficient *x = l->line[i].coefficient[k];
            largest = fmax(largest, fabs(x->num.value) * l->column_scale[x->unknown]);
        }
        l->row_scale[i] = scale_of(largest);
    }
    return true;
}

static struct residue residue_in(const struct field *f, struct num x)
{
    return residue_times(f, residue_integer(f, x.numerator),
                         residue_inv(f, residue_integer(f, x.denominator)));
}

/* The elimination's view of A; with `second` the residues of another field, which needs every
 * coefficient to be a known rational (else false, nothing done). */
static bool view(struct linear *l, const struct field *second, struct entries **ret_rows)
{
    int entries = 0;
    for (int i = 0; i < l->equations; i++) {
        entries += l->line[i].count;
        for (int k = 0; second != NULL && k < l->line[i].count; k++)
            if (l->line[i].coefficient[k]->num.denominator == 0)
                return false;
    }
    struct entries *rows = take(l, sizeof *rows, l->equations);
    struct entry *entry = take(l, sizeof *entry, entries);
    if (rows == NULL || entry == NULL)
        return false;
    for (int i = 0; i < l->equations; i++) {
        rows[i].entry = entry;
        for (int k = 0; k < l->line[i].count; k++, entry++) {
            const struct coefficient *x = l->line[i].coefficient[k];
            double scale = l->row_scale[i] * l->column_scale[x->unknown];
            double bound = x->num.slack + (x->num.generic ? x->num.error : 0);
            *entry = (struct entry){
                .value = (x->num.value != 0 ? x->num.value : fmax(x->num.error, DBL_MIN)) * scale,
                .residue = second != NULL ? residue_in(second, x->num) : x->num.residue,
                .index = x->unknown,
                .bound = (float)(bound * scale),
            };
            if (!residue_zero(entry->residue))
                rows[i].count++;
            else
                entry--; /* a false zero of the second field */
        }
        entry = rows[i].entry + rows[i].count;
    }
    *ret_rows = rows;
    return true;
}

static bool is_over_budget(const struct linear *l) { return l->operations > l->budget; }

/* ---- verdicts on A ---- */

/* A null vector of random elements in the free unknowns; where there are bounds, also with doubles
 * and their running bounds. An entry 0 is fixed. */
static bool find_fixed(struct linear *l)
{
    const struct elimination *e = &l->e;
    l->fixed = take(l, sizeof *l->fixed, l->unknowns);
    struct residue *x = take(l, sizeof *x, l->unknowns);
    struct residue *b = take(l, sizeof *b, l->equations);
    double *v = take(l, sizeof *v, l->unknowns), *bound = take(l, sizeof *bound, l->unknowns);
    if (!l->fixed || !x || !b || !v || !bound)
        return false;
    for (int j = 0; j < l->unknowns; j++)
        if (e->unknown_step[j] < 0) {
            x[j] = residue_random(l->f, (uint64_t)j);
            v[j] = 0.5 + 0.5 * (double)(j * 7919 % 1009) / 1009;
        }
    elimination_back_residue(e, b, NULL, x, NULL);
    for (int j = 0; j < l->unknowns; j++)
        l->fixed[j] = e->unknown_step[j] >= 0 && residue_zero(x[j]);
    if (!e->is_bounded)
        return true;
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
        l->fixed[j] |= fabs(v[j]) <= bound[j];
        if (l->fixed[j])
            v[j] = bound[j] = 0;
    }
    return true;
}

/* The same for the equations, with a random vector y, y A = 0. */
static bool find_moving(struct linear *l)
{
    const struct elimination *e = &l->e;
    l->moves = take(l, sizeof *l->moves, l->equations);
    struct residue *y = take(l, sizeof *y, l->equations);
    if (!l->moves || !y)
        return false;
    for (int i = 0; i < l->equations; i++)
        if (e->equation_step[i] < 0)
            y[i] = residue_random(l->f, (uint64_t)i);
    elimination_left_null_residue(e, y);
    for (int i = 0; i < l->equations; i++)
        l->moves[i] = !residue_zero(y[i]);
    return true;
}

/* ---- substitution with scales ---- */

/* x of A x = b in the pivot equations with the free unknowns 0; b is used up. */
static void substitute(struct linear *l, double *b, double *x)
{
    for (int i = 0; i < l->equations; i++)
        b[i] *= l->row_scale[i];
    elimination_forward(&l->e, b);
    for (int j = 0; j < l->unknowns; j++)
        x[j] = 0;
    elimination_back(&l->e, b, x);
    for (int j = 0; j < l->unknowns; j++)
        x[j] *= l->column_scale[j];
    l->operations += l->pass;
}

/* y of y A = c in the pivot unknowns with the equations left over 0; c is used up. */
static void substitute_transposed(struct linear *l, double *c, double *y)
{
    for (int j = 0; j < l->unknowns; j++)
        c[j] *= l->column_scale[j];
    for (int i = 0; i < l->equations; i++)
        y[i] = 0;
    elimination_transposed(&l->e, c, y);
    for (int i = 0; i < l->equations; i++)
        y[i] *= l->row_scale[i];
    l->operations += l->pass;
}

static struct dd product_of(struct num a, struct dd x) { return dd_mul(num_dd(a), x); }

/* b - A x of one equation. */
static struct dd residual(const struct linear *l, int equation, struct dd b, const struct dd *x)
{
    const struct line *line = &l->line[equation];
    for (int k = 0; k < line->count; k++) {
        const struct coefficient *a = line->coefficient[k];
        b = dd_sub(b, product_of(a->num, x[a->unknown]));
    }
    return b;
}

static bool room_new(struct linear *l)
{
    int largest = l->equations > l->unknowns ? l->equations : l->unknowns;
    struct room *room = &l->room;
    *room = (struct room){
        .x = take(l, sizeof *room->x, largest),
        .r = take(l, sizeof *room->r, largest),
        .kept = take(l, sizeof *room->kept, largest),
        .dense_r = take(l, sizeof *room->dense_r, largest < DENSE_MAX ? largest : DENSE_MAX),
        .dense_x = take(l, sizeof *room->dense_x, largest < DENSE_MAX ? largest : DENSE_MAX),
        .b = take(l, sizeof *room->b, largest),
        .d = take(l, sizeof *room->d, largest),
        .error = take(l, sizeof *room->error, largest)};
    return room->x && room->r && room->kept && room->dense_r && room->dense_x && room->b &&
           room->d && room->error;
}

/* ---- solutions refined ---- */

/* The least whole number that makes all coefficients of the equation and its right-hand side whole;
 * 0 where they are not known to be rational, or would become too long. */
static int64_t common_denominator(const struct linear *l, int equation, int column)
{
    const struct line *line = &l->line[equation];
    const struct num *right = column < 0 ? NULL : &l->right[equation * l->columns + column];
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

/* What residuals in four-fold precision on whole numbers need. */
struct exact {
    int64_t *common; /* of each pivot equation, 0: its coefficients are rounded */
    bool is_whole;   /* none is 0 */
    double *work;
};

static struct exact *exact_new(struct linear *l, int column)
{
    int longest = 0;
    for (int i = 0; i < l->equations; i++)
        longest = l->line[i].count > longest ? l->line[i].count : longest;
    struct exact *e = take(l, sizeof *e, 1);
    if (e == NULL)
        return NULL;
    *e = (struct exact){.common = take(l, sizeof *e->common, l->equations),
                        .is_whole = true,
                        .work = take(l, sizeof *e->work, 8 * longest + 2)};
    if (e->common == NULL || e->work == NULL)
        return NULL;
    for (int k = 0; k < l->e.rank; k++) {
        int32_t i = l->e.pivot_equation[k];
        e->common[i] = common_denominator(l, i, column);
        e->is_whole &= e->common[i] != 0;
    }
    return e;
}

/* The number, times the common denominator where there is one. */
static struct dd whole_of(struct num x, int64_t common)
{
    return common == 0 ? num_dd(x) : dd_integer(x.numerator * (common / x.denominator));
}

/* b - A x of one equation, right to a few roundings of the result. */
static struct dd exact_residual(const struct linear *l, int equation, int column,
                                const struct exact *e, const struct dd *x)
{
    const struct line *line = &l->line[equation];
    int64_t common = e->common[equation];
    double *out = e->work;
    if (column >= 0) {
        struct dd b = whole_of(l->right[equation * l->columns + column], common);
        *out++ = b.hi;
        *out++ = b.lo;
    }
    for (int k = 0; k < line->count; k++) {
        struct dd a = whole_of(line->coefficient[k]->num, common);
        struct dd y = x[line->coefficient[k]->unknown];
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

/* The pivot equations in the pivot unknowns, scaled: the last resort. */
static struct dense *dense_of(struct linear *l)
{
    int n = l->e.rank;
    uint64_t work = (uint64_t)n * (uint64_t)n * (uint64_t)n;
    if (n > DENSE_MAX || l->operations + work > l->budget)
        return NULL;
    l->operations += work;
    struct dense *d = dense_new(l->arena, n);
    if (d == NULL)
        return NULL;
    for (int k = 0; k < n; k++) {
        int32_t equation = l->e.pivot_equation[k];
        for (int t = 0; t < l->line[equation].count; t++) {
            const struct coefficient *a = l->line[equation].coefficient[t];
            double scale = l->row_scale[equation] * l->column_scale[a->unknown];
            int32_t step = l->e.unknown_step[a->unknown];
            if (step >= 0)
                d->a[k * n + step] = (struct dd){a->num.value * scale, a->num.low * scale};
        }
    }
    return dense_factor(d) ? d : NULL;
}

/* Add to room->x the correction for the residuals room->r, by the sparse factors or the dense ones;
 * returns its size, scaled. */
static double correct(struct linear *l, const struct dense *d, struct room *room)
{
    double largest = 0;
    if (d == NULL) {
        for (int i = 0; i < l->equations; i++)
            room->b[i] = room->r[i].hi;
        substitute(l, room->b, room->d);
        for (int j = 0; j < l->unknowns; j++) {
            largest = fmax(largest, fabs(room->d[j]) / l->column_scale[j]);
            if (room->d[j] != 0)
                room->x[j] = dd_add(room->x[j], (struct dd){room->d[j], 0});
        }
        return largest;
    }
    for (int k = 0; k < d->n; k++) {
        int32_t i = l->e.pivot_equation[k];
        double scale = l->row_scale[i];
        room->dense_r[k] = (struct dd){room->r[i].hi * scale, room->r[i].lo * scale};
    }
    dense_solve(d, room->dense_r, room->dense_x);
    memset(room->d, 0, sizeof *room->d * (size_t)l->unknowns);
    for (int k = 0; k < d->n; k++) {
        int32_t j = l->e.pivot_unknown[k];
        struct dd x = room->dense_x[k];
        double scale = l->column_scale[j];
        largest = fmax(largest, fabs(x.hi));
        room->d[j] = x.hi * scale;
        room->x[j] = dd_add(room->x[j], (struct dd){x.hi * scale, x.lo * scale});
    }
    return largest;
}

static double largest_scaled(const struct linear *l, const struct dd *x)
{
    double largest = 0;
    for (int j = 0; j < l->unknowns; j++)
        largest = fmax(largest, fabs(x[j].hi) / l->column_scale[j]);
    return largest;
}

/* Adds to the errors what the rounding of coefficients that are not whole makes of x, at signs as
 * they come. */
static void add_rounding(struct linear *l, int column, const struct exact *e, const struct dense *d,
                         struct room *room)
{
    for (int i = 0; i < l->equations; i++) {
        room->r[i] = (struct dd){0, 0};
        if (l->e.equation_step[i] < 0 || e->common[i] != 0)
            continue;
        double w = column < 0 ? 0 : l->right[i * l->columns + column].error;
        for (int k = 0; k < l->line[i].count; k++) {
            const struct coefficient *a = l->line[i].coefficient[k];
            w += a->num.error * fabs(room->x[a->unknown].hi);
        }
        room->r[i].hi = i % 3 == 1 ? -w : w;
    }
    memcpy(room->kept, room->x, sizeof *room->x * (size_t)l->unknowns);
    correct(l, d, room);
    memcpy(room->x, room->kept, sizeof *room->x * (size_t)l->unknowns);
    for (int j = 0; j < l->unknowns; j++)
        room->error[j] += 16 * fabs(room->d[j]);
}

enum quality { QUALITY_NONE, QUALITY_LARGEST, QUALITY_ALL };

/* Solve in the pivot equations, for room->x, whose free unknowns are given, by corrections until
 * the next would change no value in its last digit (QUALITY_ALL), or only those that are tiny
 * beside the largest (QUALITY_LARGEST). `column` -1: b = 0. `zero`: unknowns with residue 0 don't
 * count. Residuals in double-double, or with `e` in four-fold precision.
 *
 * The errors are estimates, on the safe side. Corrections fall at a rate of about condition x 2^-53
 * (less where small whole numbers happened to make no rounding errors); residuals in double-double
 * are right to 2^-102. */
static enum quality refine_with(struct linear *l, int column, const struct residue *zero,
                                const struct exact *e, const struct dense *d, struct room *room)
{
    double before = 0, worst_rate = 0;
    for (int k = 0; k < REFINEMENTS_MAX; k++) {
        for (int i = 0; i < l->equations; i++) {
            struct dd b = {0, 0};
            if (column >= 0)
                b = num_dd(l->right[i * l->columns + column]);
            room->r[i] = l->e.equation_step[i] < 0 ? (struct dd){0, 0}
                         : e != NULL               ? exact_residual(l, i, column, e, room->x)
                                                   : residual(l, i, b, room->x);
        }
        l->operations += l->pass;
        double correction = correct(l, d, room);
        double size = largest_scaled(l, room->x), part = 0;
        for (int j = 0; j < l->unknowns; j++)
            if (room->d[j] != 0 && !residue_zero(zero[j]))
                part = fmax(part, fabs(room->d[j]) / fabs(room->x[j].hi));
        double rate = k > 0 && part > 0 ? part / before : part;
        if (k > 0)
            worst_rate = fmax(worst_rate, rate);
        if (!isfinite(size) || isnan(correction))
            return QUALITY_NONE;
        if (k == 1 && e == NULL)
            l->is_nearly_singular |= correction > nearly_singular * size;
        bool all = k > 0 && part <= last_digit && (e != NULL || worst_rate < 0x1p-13);
        if (k == 0 || (!all && part <= before / 2 && k < REFINEMENTS_MAX - 1)) {
            before = part;
            continue;
        }
        if (!all && !(correction <= last_digit * size))
            return QUALITY_NONE;
        for (int j = 0; j < l->unknowns; j++) {
            double x = fabs(room->x[j].hi), scale = l->column_scale[j];
            room->error[j] =
                64 * (all ? fabs(room->d[j]) * fmin(fmax(rate, 0x1p-40), 1) : correction * scale);
            if (e == NULL)
                room->error[j] += x * fmax(worst_rate, 0x1p-40) * 0x1p-45 + size * scale * 0x1p-84;
            else
                room->error[j] += x * 0x1p-92 + size * scale * 0x1p-97;
        }
        if (e != NULL && !e->is_whole)
            add_rounding(l, column, e, d, room);
        return all ? QUALITY_ALL : QUALITY_LARGEST;
    }
    return QUALITY_NONE;
}

/* The same by ever stronger means. False: none served. */
static bool refine(struct linear *l, int column, const struct residue *zero, struct room *room)
{
    enum quality quality = refine_with(l, column, zero, NULL, NULL, room);
    if (quality == QUALITY_ALL)
        return true;
    const struct exact *e = exact_new(l, column);
    if (e == NULL)
        return false;
    if (quality == QUALITY_LARGEST) {
        enum quality further = refine_with(l, column, zero, e, NULL, room);
        quality = further > quality ? further : quality;
    }
    const struct dense *d = quality == QUALITY_ALL ? NULL : dense_of(l);
    if (d == NULL)
        return quality != QUALITY_NONE;
    l->is_nearly_singular |= quality == QUALITY_NONE;
    for (int k = 0; quality == QUALITY_NONE && k < l->e.rank; k++)
        room->x[l->e.pivot_unknown[k]] = (struct dd){0, 0};
    return refine_with(l, column, zero, e, d, room) != QUALITY_NONE || quality != QUALITY_NONE;
}

/* The same for y A = 0, whose equations left over are given in room->x; room->error says how well
 * it went. */
static void refine_transposed(struct linear *l, struct room *room)
{
    double before = 0;
    for (int k = 0; k < REFINEMENTS_MAX; k++) {
        for (int j = 0; j < l->unknowns; j++)
            room->r[j] = (struct dd){0, 0};
        for (int i = 0; i < l->equations; i++) {
            if (room->x[i].hi == 0)
                continue;
            for (int t = 0; t < l->line[i].count; t++) {
                const struct coefficient *a = l->line[i].coefficient[t];
                room->r[a->unknown] = dd_sub(room->r[a->unknown], product_of(a->num, room->x[i]));
            }
        }
        for (int j = 0; j < l->unknowns; j++)
            room->b[j] = l->e.unknown_step[j] < 0 ? 0 : room->r[j].hi;
        substitute_transposed(l, room->b, room->d);
        double correction = 0, size = 0;
        for (int i = 0; i < l->equations; i++) {
            correction = fmax(correction, fabs(room->d[i]) / l->row_scale[i]);
            if (room->d[i] != 0)
                room->x[i] = dd_add(room->x[i], (struct dd){room->d[i], 0});
            size = fmax(size, fabs(room->x[i].hi) / l->row_scale[i]);
        }
        double rate = k > 0 && correction > 0 ? correction / before : 1;
        for (int i = 0; i < l->equations; i++)
            room->error[i] = l->row_scale[i] * (64 * correction * fmin(rate, 1) +
                                                size * fmax(fmin(rate, 1), 0x1p-40) * 0x1p-42);
        if (k > 0 && (correction <= last_digit * size || !(correction <= before / 2)))
            return;
        before = correction;
    }
}

/* ---- values ---- */

/* How far A x = b lets the equations be wrong: the slack, or the rounding, of the coefficients and
 * the right-hand side. */
static void weigh(const struct linear *l, int column, bool slack, const struct dd *x, double *w)
{
    for (int i = 0; i < l->equations; i++) {
        const struct num *b = &l->right[i * l->columns + column];
        w[i] = slack ? b->slack : b->error;
        for (int k = 0; k < l->line[i].count; k++) {
            const struct coefficient *a = l->line[i].coefficient[k];
            w[i] += (slack ? a->num.slack : a->num.error) * fabs(x[a->unknown].hi);
        }
    }
}

/* The sum of |dx/db| w of one unknown (equation -1), or of |y| w for the equation left over. */
static double spread(struct linear *l, int unknown, int equation, const double *w,
                     struct room *room)
{
    for (int j = 0; j < l->unknowns; j++)
        room->b[j] = 0;
    if (unknown >= 0) {
        room->b[unknown] = 1;
    } else {
        for (int k = 0; k < l->line[equation].count; k++) {
            const struct coefficient *a = l->line[equation].coefficient[k];
            if (l->e.unknown_step[a->unknown] >= 0)
                room->b[a->unknown] = -a->num.value;
        }
    }
    substitute_transposed(l, room->b, room->d);
    double sum = unknown >= 0 ? 0 : w[equation];
    for (int i = 0; i < l->equations; i++)
        sum += fabs(room->d[i]) * w[i];
    return sum;
}

/* What `w` makes uncertain in each unknown: at random signs, and exactly where that may matter. */
static bool spread_all(struct linear *l, int column, bool slack, const double *w, struct room *room)
{
    double *estimate = take(l, sizeof *estimate, l->unknowns);
    if (estimate == NULL)
        return false;
    uint64_t bits = 0x9e3779b97f4a7c15;
    for (int p = 0; p < PATTERNS; p++) {
        for (int i = 0; i < l->equations; i++) {
            bits ^= bits << 13; /* Marsaglia's xorshift */
            bits ^= bits >> 7;
            bits ^= bits << 17;
            room->b[i] = bits >> 63 ? w[i] : -w[i];
        }
        substitute(l, room->b, room->d);
        for (int j = 0; j < l->unknowns; j++)
            estimate[j] = fmax(estimate[j], fabs(room->d[j]));
    }
    for (int j = 0; j < l->unknowns && !is_over_budget(l); j++) {
        struct num *x = &l->value[j * l->columns + column];
        if (!l->fixed[j] || (!slack && !x->generic))
            continue;
        double sum = 4 * estimate[j];
        if (fabs(x->value) <= sign_patterns * estimate[j])
            sum = spread(l, j, -1, w, room);
        if (slack)
            x->slack += sum;
        else
            x->error += sum;
    }
    return true;
}

/* Does the equation that is left over hold, though its residue says no? */
static enum zero settle_left_over(struct linear *l, int equation, int column, bool generic,
                                  const double *slack, const double *error, struct room *room)
{
    struct dd b = num_dd(l->right[equation * l->columns + column]);
    double gap = fabs(residual(l, equation, b, room->x).hi);
    double rounding = 0;
    for (int k = 0; k < l->line[equation].count; k++) {
        const struct coefficient *a = l->line[equation].coefficient[k];
        rounding += fabs(a->num.value) * room->error[a->unknown];
    }
    rounding += spread(l, -1, equation, error, room);
    double digits = spread(l, -1, equation, slack, room);
    if (digits > 0 && !(gap > digits + rounding))
        return ZERO_WITHIN_DIGITS;
    if (generic && !(gap > rounding))
        return ZERO_WITHIN_ROUNDING;
    return ZERO_NO;
}

static enum linear_code solve_column(struct linear *l, int column, struct room *room)
{
    const struct elimination *e = &l->e;
    struct residue *b = take(l, sizeof *b, l->equations), *x = take(l, sizeof *x, l->unknowns);
    bool *generic_b = take(l, sizeof *generic_b, l->equations);
    bool *generic_x = take(l, sizeof *generic_x, l->unknowns);
    double *slack = take(l, sizeof *slack, l->equations);
    double *error = take(l, sizeof *error, l->equations);
    if (!b || !x || !generic_b || !generic_x || !slack || !error)
        return LINEAR_NO_MEMORY;
    bool has_slack = l->has_slack, is_generic = l->is_generic;
    for (int i = 0; i < l->equations; i++) {
        const struct num *right = &l->right[i * l->columns + column];
        b[i] = right->residue;
        generic_b[i] = right->generic || l->is_generic;
        is_generic |= right->generic;
        has_slack |= right->slack > 0;
    }
    elimination_forward_residue(e, b, generic_b);
    elimination_back_residue(e, b, generic_b, x, generic_x);
    l->operations += 2 * l->pass;

    for (int j = 0; j < l->unknowns; j++)
        room->x[j] = (struct dd){0, 0};
    bool settled = refine(l, column, x, room);
    l->is_unsettled |= !settled;
    double size = largest_scaled(l, room->x);
    for (int j = 0; j < l->unknowns; j++) {
        struct num *value = &l->value[j * l->columns + column];
        *value = (struct num){.residue = x[j], .generic = generic_x[j]};
        double scale = l->column_scale[j];
        if (residue_zero(x[j])) {
            if (settled && fabs(room->x[j].hi) > 1e-6 * size * scale &&
                fabs(room->x[j].hi) > 1e6 * room->error[j] && !e->is_lowered)
                return LINEAR_UNLUCKY;
            room->x[j] = (struct dd){0, 0};
            value->denominator = 1;
            continue;
        }
        value->value = room->x[j].hi;
        value->low = room->x[j].lo;
        value->error = settled ? room->error[j] : (double)INFINITY;
    }
    if (is_generic || e->is_lowered) {
        weigh(l, column, false, room->x, error);
        if (!spread_all(l, column, false, error, room))
            return LINEAR_NO_MEMORY;
    }
    if (has_slack) {
        weigh(l, column, true, room->x, slack);
        if (!spread_all(l, column, true, slack, room))
            return LINEAR_NO_MEMORY;
    }
    enum zero consistent = ZERO_EXACT;
    for (int i = 0; i < l->equations && consistent != ZERO_NO && !is_over_budget(l); i++) {
        if (e->equation_step[i] >= 0 || residue_zero(b[i]))
            continue;
        consistent = has_slack || generic_b[i]
                         ? settle_left_over(l, i, column, generic_b[i], slack, error, room)
                         : ZERO_NO;
    }
    l->consistent[column] = consistent;
    return is_over_budget(l) ? LINEAR_BUDGET_EXCEEDED : LINEAR_SOLVED;
}

static enum linear_code confirm(struct linear *l, const struct field *second)
{
    int full = l->equations < l->unknowns ? l->equations : l->unknowns;
    l->is_confirmed = l->e.rank == full;
    if (l->is_confirmed || second == NULL)
        return LINEAR_SOLVED;
    struct entries *rows;
    struct elimination e;
    if (!view(l, second, &rows))
        return arena_exhausted(l->arena) ? LINEAR_NO_MEMORY : LINEAR_SOLVED;
    enum elimination_code code = elimination_run(&e, l->arena, second, l->equations, l->unknowns,
                                                 rows, l->budget - l->operations);
    l->operations += e.operations;
    if (code == ELIMINATION_NO_MEMORY)
        return LINEAR_NO_MEMORY;
    if (code == ELIMINATION_BUDGET)
        return LINEAR_BUDGET_EXCEEDED;
    l->is_confirmed = e.rank == l->e.rank;
    return l->is_confirmed ? LINEAR_SOLVED : LINEAR_UNLUCKY;
}

enum linear_code linear_solve(struct linear *l, const struct field *second, uint64_t budget)
{
    struct entries *rows;
    l->budget = budget;
    l->value = take(l, sizeof *l->value, l->unknowns * l->columns);
    l->consistent = take(l, sizeof *l->consistent, l->columns);
    if (l->is_unlucky)
        return LINEAR_UNLUCKY;
    if (arena_exhausted(l->arena) || !arrange(l) || !equilibrate(l) || !view(l, NULL, &rows))
        return LINEAR_NO_MEMORY;
    enum elimination_code code =
        elimination_run(&l->e, l->arena, l->f, l->equations, l->unknowns, rows, budget);
    l->operations = l->e.operations;
    if (code == ELIMINATION_NO_MEMORY)
        return LINEAR_NO_MEMORY;
    if (code == ELIMINATION_BUDGET)
        return LINEAR_BUDGET_EXCEEDED;
    l->rank_decided = !l->e.is_lowered ? ZERO_EXACT
                      : l->has_slack   ? ZERO_WITHIN_DIGITS
                                       : ZERO_WITHIN_ROUNDING;
    l->pass = (uint64_t)(l->equations + l->unknowns);
    for (int k = 0; k < l->e.rank; k++)
        l->pass += (uint64_t)(l->e.upper[k].count + l->e.lower[k].count);
    enum linear_code confirmed = confirm(l, second);
    if (confirmed != LINEAR_SOLVED)
        return confirmed;
    if (!find_fixed(l) || !find_moving(l) || !room_new(l))
        return LINEAR_NO_MEMORY;
    l->operations += 2 * l->pass;
    for (int column = 0; column < l->columns; column++) {
        enum linear_code solved = solve_column(l, column, &l->room);
        if (solved != LINEAR_SOLVED)
            return solved;
    }
    return LINEAR_SOLVED;
}

/* ---- answers ---- */

int linear_rank(const struct linear *l) { return l->e.rank; }

enum zero linear_rank_decided(const struct linear *l) { return l->rank_decided; }

bool linear_is_confirmed(const struct linear *l) { return l->is_confirmed; }

bool linear_is_fixed(const struct linear *l, int unknown) { return l->fixed[unknown]; }

enum zero linear_consistent(const struct linear *l, int column) { return l->consistent[column]; }

bool linear_moves(const struct linear *l, int equation) { return l->moves[equation]; }

struct num linear_value(const struct linear *l, int unknown, int column)
{
    return l->value[unknown * l->columns + column];
}

bool linear_is_nearly_singular(const struct linear *l) { return l->is_nearly_singular; }

bool linear_is_unsettled(const struct linear *l) { return l->is_unsettled; }

uint64_t linear_operations(const struct linear *l) { return l->operations; }

bool linear_agrees(const struct linear *l, const struct linear *other)
{
    if (l->equations != other->equations || l->unknowns != other->unknowns ||
        l->columns != other->columns || l->e.rank != other->e.rank ||
        l->rank_decided != other->rank_decided)
        return false;
    for (int j = 0; j < l->unknowns; j++) {
        if (l->fixed[j] != other->fixed[j])
            return false;
        for (int c = 0; c < l->columns && l->fixed[j]; c++)
            if (num_zero(linear_value(l, j, c)) != num_zero(linear_value(other, j, c)))
                return false;
    }
    for (int i = 0; i < l->equations; i++)
        if (l->moves[i] != other->moves[i])
            return false;
    for (int c = 0; c < l->columns; c++)
        if (l->consistent[c] != other->consistent[c])
            return false;
    return true;
}

/* The k-th index whose step is -1. */
static int32_t kth_without_step(const int32_t *step, int count, int k)
{
    for (int i = 0; i < count; i++)
        if (step[i] < 0 && k-- == 0)
            return i;
    return -1;
}

static int root_of_group(int *group, int j)
{
    while (group[j] != j) {
        group[j] = group[group[j]];
        j = group[j];
    }
    return j;
}

/* Two unknowns are in one group where a chain of basis vectors of A x = 0 joins them: the connected
 * components of the matroid of the columns (Oxley, "Matroid Theory", section 4.1). */
int linear_groups(struct linear *l, int *ret_group)
{
    struct residue *x = take(l, sizeof *x, l->unknowns), *b = take(l, sizeof *b, l->equations);
    if (x == NULL || b == NULL)
        return -1;
    for (int j = 0; j < l->unknowns; j++)
        ret_group[j] = j;
    for (int free = 0; free < l->unknowns; free++) {
        if (l->e.unknown_step[free] >= 0)
            continue;
        l->operations += l->pass;
        if (is_over_budget(l))
            return -1;
        memset(x, 0, sizeof *x * (size_t)l->unknowns);
        x[free] = residue_integer(l->f, 1);
        elimination_back_residue(&l->e, b, NULL, x, NULL);
        for (int j = 0; j < l->unknowns; j++)
            if (!residue_zero(x[j]) && !l->fixed[j])
                ret_group[root_of_group(ret_group, j)] = root_of_group(ret_group, free);
    }
    int groups = 0;
    int *number = take(l, sizeof *number, l->unknowns); /* 1 + that of the root */
    if (number == NULL)
        return -1;
    for (int j = 0; j < l->unknowns; j++)
        if (!l->fixed[j] && number[root_of_group(ret_group, j)] == 0)
            number[root_of_group(ret_group, j)] = ++groups;
    int *result = take(l, sizeof *result, l->unknowns);
    if (result == NULL)
        return -1;
    for (int j = 0; j < l->unknowns; j++)
        result[j] = l->fixed[j] ? -1 : number[root_of_group(ret_group, j)] - 1;
    memcpy(ret_group, result, sizeof *result * (size_t)l->unknowns);
    return groups;
}

/* `error` NULL: nothing is known of it. */
static void settle_vector(const struct linear *l, const struct dd *x, const struct residue *residue,
                          int count, const double *error, struct num *ret)
{
    for (int i = 0; i < count; i++) {
        ret[i] = (struct num){.residue = residue[i]};
        if (residue_zero(residue[i])) {
            ret[i].denominator = 1;
            continue;
        }
        ret[i].value = x[i].hi;
        ret[i].low = x[i].lo;
        ret[i].error = error == NULL ? (double)INFINITY : error[i];
        ret[i].generic = l->is_generic;
    }
}

static struct room *clear_room(struct linear *l)
{
    int largest = l->equations > l->unknowns ? l->equations : l->unknowns;
    memset(l->room.x, 0, sizeof *l->room.x * (size_t)largest);
    return &l->room;
}

bool linear_null(struct linear *l, int k, struct num *ret_x)
{
    int32_t free = kth_without_step(l->e.unknown_step, l->unknowns, k);
    struct room *room = clear_room(l);
    struct residue *x = take(l, sizeof *x, l->unknowns), *b = take(l, sizeof *b, l->equations);
    if (free < 0 || x == NULL || b == NULL)
        return false;
    x[free] = residue_integer(l->f, 1);
    elimination_back_residue(&l->e, b, NULL, x, NULL);
    room->x[free] = (struct dd){1, 0};
    bool settled = refine(l, -1, x, room);
    settle_vector(l, room->x, x, l->unknowns, settled ? room->error : NULL, ret_x);
    ret_x[free] = num_integer(l->f, 1);
    return true;
}

bool linear_left_null(struct linear *l, int k, struct num *ret_y)
{
    int32_t left = kth_without_step(l->e.equation_step, l->equations, k);
    struct room *room = clear_room(l);
    struct residue *y = take(l, sizeof *y, l->equations);
    if (left < 0 || y == NULL)
        return false;
    y[left] = residue_integer(l->f, 1);
    elimination_left_null_residue(&l->e, y);
    room->x[left] = (struct dd){1, 0};
    refine_transposed(l, room);
    settle_vector(l, room->x, y, l->equations, room->error, ret_y);
    ret_y[left] = num_integer(l->f, 1);
    return true;
}

bool linear_motion(struct linear *l, double *ret_y)
{
    struct room *room = clear_room(l);
    if (l->e.rank == l->equations)
        return false;
    for (int i = 0; i < l->equations; i++)
        if (l->e.equation_step[i] < 0)
            room->x[i].hi = ((i * 7919 % 1009) / 1009.0 + 1) * (i % 2 == 0 ? 1 : -1);
    refine_transposed(l, room);
    double largest = 0;
    for (int i = 0; i < l->equations; i++) {
        ret_y[i] = l->moves[i] ? room->x[i].hi : 0;
        if (fabs(ret_y[i]) > fabs(largest))
            largest = ret_y[i];
    }
    for (int i = 0; i < l->equations && largest != 0; i++)
        ret_y[i] = ret_y[i] == 0 ? 0 : ret_y[i] / largest;
    return true;
}

void linear_multiply(const struct linear *l, const double *x, double *ret_b)
{
    for (int i = 0; i < l->equations; i++) {
        ret_b[i] = 0;
        for (int k = 0; k < l->line[i].count; k++) {
            const struct coefficient *a = l->line[i].coefficient[k];
            ret_b[i] += a->num.value * x[a->unknown];
        }
    }
}

void linear_solve_again(struct linear *l, const double *b, double *ret_x)
{
    struct room *room = &l->room;
    memcpy(room->b, b, sizeof *b * (size_t)l->equations);
    substitute(l, room->b, ret_x);
    for (int j = 0; j < l->unknowns; j++)
        room->x[j] = (struct dd){ret_x[j], 0};
    for (int i = 0; i < l->equations; i++)
        room->b[i] = residual(l, i, (struct dd){b[i], 0}, room->x).hi;
    substitute(l, room->b, room->d);
    for (int j = 0; j < l->unknowns; j++)
        ret_x[j] += room->d[j];
}

void linear_solve_transposed(struct linear *l, const double *c, double *ret_y)
{
    struct room *room = &l->room;
    memcpy(room->b, c, sizeof *c * (size_t)l->unknowns);
    substitute_transposed(l, room->b, ret_y);
    for (int j = 0; j < l->unknowns; j++)
        room->r[j] = (struct dd){c[j], 0};
    for (int i = 0; i < l->equations; i++)
        for (int t = 0; t < l->line[i].count; t++) {
            const struct coefficient *a = l->line[i].coefficient[t];
            room->r[a->unknown] =
                dd_sub(room->r[a->unknown], product_of(a->num, (struct dd){ret_y[i], 0}));
        }
    for (int j = 0; j < l->unknowns; j++)
        room->b[j] = room->r[j].hi;
    substitute_transposed(l, room->b, room->d);
    for (int i = 0; i < l->equations; i++)
        ret_y[i] += room->d[i];
}
