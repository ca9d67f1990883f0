#include "vector/linear.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "vector/elimination.h"
#include "vector/field_ops.h"
#include "vector/refine.h"

enum {
    CHUNK = 256,
    PATTERNS = 4,
    SPREAD_ALL = 2000000, /* operations for which every unknown is spread exactly */
};

/* The sum of |y w| is at most so many times what random numbers make of it (fails once in 10^11).
 */
static const double sign_patterns = 1e5;
/* Usually at most so many times. */
static const double usual = 32;

struct chunk {
    struct chunk *next;
    int count;
    struct coefficient coefficient[CHUNK];
};

struct linear {
    struct arena *arena;
    const struct field *f;
    int equations, unknowns, columns;
    struct chunk *first, *last;
    struct line *line;                /* of each equation */
    struct num *right;                /* equations x columns */
    struct num *value;                /* unknowns x columns */
    double *row_scale, *column_scale; /* powers of two: the elimination sees row A column */
    struct elimination e;
    enum zero rank_decided;
    bool is_confirmed, is_generic, has_slack, is_unlucky, is_unsettled;
    bool *fixed;
    struct residue *motion; /* a random y with y A = 0 */
    struct residue *x, *b;  /* a solution, a right-hand side: used again */
    enum zero *consistent;
    struct side side, transposed;
    struct refining t;
};

static void *take(struct linear *l, size_t size, int count)
{
    return arena_alloc(l->arena, size * (size_t)(count > 0 ? count : 1));
}

static void *clear(void *list, size_t size, int count)
{
    return memset(list, 0, size * (size_t)count);
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

/* The coefficients by unknown; NULL without memory. */
static struct line *by_unknown(struct linear *l)
{
    struct line *line = take(l, sizeof *line, l->unknowns);
    if (line == NULL)
        return NULL;
    for (int i = 0; i < l->equations; i++)
        for (int k = 0; k < l->line[i].count; k++)
            line[l->line[i].coefficient[k]->unknown].count++;
    for (int j = 0; j < l->unknowns; j++) {
        line[j].coefficient = take(l, sizeof *line->coefficient, line[j].count);
        if (line[j].coefficient == NULL)
            return NULL;
        line[j].count = 0;
    }
    for (int i = 0; i < l->equations; i++)
        for (int k = 0; k < l->line[i].count; k++) {
            struct coefficient *a = l->line[i].coefficient[k];
            line[a->unknown].coefficient[line[a->unknown].count++] = a;
        }
    return line;
}

/* Ready for residuals of y A too; false without memory. */
static bool turn(struct linear *l)
{
    if (l->transposed.line == NULL)
        l->transposed.line = by_unknown(l);
    return l->transposed.line != NULL;
}

/* The two ways in which the system is solved. */
static void look_both_ways(struct linear *l)
{
    const struct elimination *e = &l->e;
    l->side = (struct side){.e = e,
                            .rows = l->equations,
                            .columns = l->unknowns,
                            .line = l->line,
                            .row_scale = l->row_scale,
                            .column_scale = l->column_scale,
                            .row_step = e->equation_step,
                            .column_step = e->unknown_step,
                            .pivot_row = e->pivot_equation,
                            .pivot_column = e->pivot_unknown};
    l->transposed = (struct side){.e = e,
                                  .is_transposed = true,
                                  .rows = l->unknowns,
                                  .columns = l->equations,
                                  .line = l->transposed.line,
                                  .row_scale = l->column_scale,
                                  .column_scale = l->row_scale,
                                  .row_step = e->unknown_step,
                                  .column_step = e->equation_step,
                                  .pivot_row = e->pivot_unknown,
                                  .pivot_column = e->pivot_equation};
    l->t.pass = (uint64_t)(l->equations + l->unknowns);
    for (int k = 0; k < e->rank; k++)
        l->t.pass += (uint64_t)(e->upper[k].count + e->lower[k].count);
}

/* The residue in the field `f`; 0 where it is another than that of the system, and the number is
 * not known to be rational. */
static struct residue residue_in(const struct linear *l, const struct field *f, struct num x)
{
    if (f == l->f)
        return x.residue;
    if (x.denominator == 0 || residue_zero(residue_integer(f, x.denominator)))
        return (struct residue){0, 0};
    return residue_rational(f, x.numerator, x.denominator);
}

/* The elimination's view of A, in `arena`; NULL without memory. */
static struct entries *view(struct linear *l, struct arena *arena, const struct field *f,
                            bool *ret_has_zero)
{
    int entries = 0;
    for (int i = 0; i < l->equations; i++)
        entries += l->line[i].count;
    struct entries *rows = arena_room(arena, sizeof *rows * (size_t)(l->equations + 1));
    struct entry *entry = arena_room(arena, sizeof *entry * (size_t)(entries + 1));
    if (rows == NULL || entry == NULL)
        return NULL;
    *ret_has_zero = false;
    for (int i = 0; i < l->equations; i++) {
        rows[i] = (struct entries){entry, l->line[i].count};
        for (int k = 0; k < l->line[i].count; k++, entry++) {
            const struct coefficient *x = l->line[i].coefficient[k];
            double scale = l->row_scale[i] * l->column_scale[x->unknown];
            double bound = x->num.slack + (x->num.generic ? x->num.error : 0);
            *entry = (struct entry){
                .value = (x->num.value != 0 ? x->num.value : fmax(x->num.error, DBL_MIN)) * scale,
                .residue = residue_in(l, f, x->num),
                .index = x->unknown,
                .bound = (float)(bound * scale),
            };
            *ret_has_zero |= residue_zero(entry->residue);
        }
    }
    return rows;
}

static bool is_over_budget(const struct linear *l) { return l->t.operations > l->t.budget; }

/* ---- verdicts on A ---- */

/* A null vector of random elements in the free unknowns; where there are bounds, also with doubles
 * and their running bounds. An entry 0 is fixed. */
static bool find_fixed(struct linear *l)
{
    const struct elimination *e = &l->e;
    struct residue *x = clear(l->x, sizeof *x, l->unknowns);
    struct residue *b = clear(l->b, sizeof *b, l->equations);
    for (int j = 0; j < l->unknowns; j++)
        if (e->unknown_step[j] < 0)
            x[j] = residue_random(l->f, (uint64_t)j);
    elimination_back_residue(e, b, NULL, x, NULL);
    for (int j = 0; j < l->unknowns; j++)
        l->fixed[j] = e->unknown_step[j] >= 0 && residue_zero(x[j]);
    if (!e->is_bounded)
        return true;
    double *v = take(l, sizeof *v, l->unknowns), *bound = take(l, sizeof *bound, l->unknowns);
    if (!v || !bound)
        return false;
    for (int j = 0; j < l->unknowns; j++)
        if (e->unknown_step[j] < 0)
            v[j] = refine_pattern((uint64_t)j);
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
static void find_motion(struct linear *l)
{
    clear(l->motion, sizeof *l->motion, l->equations);
    for (int i = 0; i < l->equations; i++)
        if (l->e.equation_step[i] < 0)
            l->motion[i] = residue_random(l->f, (uint64_t)i);
    elimination_left_null_residue(&l->e, l->motion);
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
    refine_substitute(&l->t, &l->transposed, room->b, room->d);
    double sum = unknown >= 0 ? 0 : w[equation];
    for (int i = 0; i < l->equations; i++)
        sum += fabs(room->d[i]) * w[i];
    return sum;
}

/* What `w` makes uncertain in each unknown: at random, and exactly where that may matter. */
static bool spread_all(struct linear *l, int column, bool slack, const double *w, struct room *room)
{
    double *estimate = take(l, sizeof *estimate, l->unknowns);
    if (estimate == NULL)
        return false;
    bool small = (uint64_t)l->unknowns * l->t.pass < SPREAD_ALL;
    for (int p = 0; p < PATTERNS; p++) {
        for (int i = 0; i < l->equations; i++) {
            room->b[i] = w[i] * refine_pattern((uint64_t)(p * l->equations + i));
        }
        refine_substitute(&l->t, &l->side, room->b, room->d);
        for (int j = 0; j < l->unknowns; j++)
            estimate[j] = fmax(estimate[j], fabs(room->d[j]));
    }
    for (int j = 0; j < l->unknowns && !is_over_budget(l); j++) {
        struct num *x = &l->value[j * l->columns + column];
        if (!l->fixed[j] || (!slack && !x->generic))
            continue;
        double sum = usual * estimate[j];
        if (small || fabs(x->value) <= sign_patterns * estimate[j])
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
    double gap = fabs(refine_residual(&l->side, equation, b, room->x).hi);
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
    struct residue *b = l->b, *x = clear(l->x, sizeof *x, l->unknowns);
    bool *generic_b = take(l, sizeof *generic_b, l->equations);
    bool *generic_x = take(l, sizeof *generic_x, l->unknowns);
    double *slack = NULL, *error = NULL;
    bool has_slack = l->has_slack, is_generic = l->is_generic;
    if (!generic_b || !generic_x)
        return LINEAR_NO_MEMORY;
    for (int i = 0; i < l->equations; i++) {
        const struct num *right = &l->right[i * l->columns + column];
        b[i] = right->residue;
        generic_b[i] = right->generic || l->is_generic;
        is_generic |= right->generic;
        has_slack |= right->slack > 0;
    }
    if (has_slack || is_generic || e->is_lowered) {
        slack = take(l, sizeof *slack, l->equations);
        error = take(l, sizeof *error, l->equations);
        if (!slack || !error)
            return LINEAR_NO_MEMORY;
    }
    elimination_forward_residue(e, b, generic_b);
    elimination_back_residue(e, b, generic_b, x, generic_x);
    l->t.operations += 2 * l->t.pass;

    for (int j = 0; j < l->unknowns; j++)
        room->x[j] = (struct dd){0, 0};
    bool settled = refine(&l->t, &l->side, &l->right[column], l->columns, x);
    if (l->t.is_hard)
        return LINEAR_SOLVED;
    l->is_unsettled |= !settled;
    double size = 0;
    for (int j = 0; j < l->unknowns; j++)
        size = fmax(size, fabs(room->x[j].hi) / l->column_scale[j]);
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

static enum linear_code code_of(enum elimination_code code)
{
    switch (code) {
    case ELIMINATION_DONE:
        return LINEAR_SOLVED;
    case ELIMINATION_NO_MEMORY:
        return LINEAR_NO_MEMORY;
    case ELIMINATION_BUDGET:
        return LINEAR_BUDGET_EXCEEDED;
    }
    return LINEAR_NO_MEMORY;
}

/* Eliminate in the field `f`. *ret_done false: the coefficients are not to be had in it. */
static enum linear_code run(struct linear *l, struct elimination *e, struct arena *arena,
                            const struct field *f, bool is_loose, bool *ret_done)
{
    bool has_zero;
    struct entries *rows = view(l, arena, f, &has_zero);
    if (rows == NULL)
        return LINEAR_NO_MEMORY;
    *ret_done = !has_zero;
    if (has_zero)
        return LINEAR_SOLVED;
    enum elimination_code code =
        elimination_run(e, arena, f, l->equations, l->unknowns, rows, is_loose, f != l->f,
                        l->t.budget - l->t.operations);
    l->t.operations += e->operations;
    return code_of(code);
}

static enum linear_code confirm(struct linear *l, const struct field *second)
{
    int full = l->equations < l->unknowns ? l->equations : l->unknowns;
    l->is_confirmed = l->e.rank == full;
    if (l->is_confirmed || second == NULL)
        return LINEAR_SOLVED;
    struct elimination e;
    bool done;
    struct arena *scratch = arena_part(l->arena);
    if (scratch == NULL)
        return LINEAR_NO_MEMORY;
    enum linear_code code = run(l, &e, scratch, second, l->e.is_loose, &done);
    arena_free(scratch);
    if (code != LINEAR_SOLVED || !done)
        return code;
    l->is_confirmed = e.rank == l->e.rank;
    return l->is_confirmed ? LINEAR_SOLVED : LINEAR_UNLUCKY;
}

/* What the elimination does without: later, its own memory is to be had again. */
static bool make_room(struct linear *l)
{
    int largest = l->equations > l->unknowns ? l->equations : l->unknowns;
    if (l->value != NULL)
        return true;
    l->value = take(l, sizeof *l->value, l->unknowns * l->columns);
    l->consistent = take(l, sizeof *l->consistent, l->columns);
    l->fixed = take(l, sizeof *l->fixed, l->unknowns);
    l->motion = take(l, sizeof *l->motion, l->equations);
    l->x = take(l, sizeof *l->x, l->unknowns);
    l->b = take(l, sizeof *l->b, l->equations);
    return room_new(l->arena, largest, &l->t.room);
}

static enum linear_code solve(struct linear *l, const struct field *second, bool is_loose)
{
    bool done;
    enum linear_code code = run(l, &l->e, l->arena, l->f, is_loose, &done);
    if (code != LINEAR_SOLVED)
        return code;
    l->rank_decided = !l->e.is_lowered ? ZERO_EXACT
                      : l->has_slack   ? ZERO_WITHIN_DIGITS
                                       : ZERO_WITHIN_ROUNDING;
    code = confirm(l, second);
    if (code != LINEAR_SOLVED)
        return code;
    look_both_ways(l);
    if (!make_room(l) || !find_fixed(l))
        return LINEAR_NO_MEMORY;
    find_motion(l);
    l->t.operations += 2 * l->t.pass;
    for (int column = 0; column < l->columns; column++) {
        code = solve_column(l, column, &l->t.room);
        if (code != LINEAR_SOLVED || l->t.is_hard)
            return code;
    }
    return LINEAR_SOLVED;
}

enum linear_code linear_solve(struct linear *l, const struct field *second, uint64_t budget)
{
    l->t.budget = budget;
    l->t.arena = l->arena;
    if (l->is_unlucky)
        return LINEAR_UNLUCKY;
    if (arena_exhausted(l->arena) || !arrange(l) || !equilibrate(l))
        return LINEAR_NO_MEMORY;
    enum linear_code code = solve(l, second, true);
    bool is_hard = l->t.is_hard || l->t.is_nearly_singular || l->is_unsettled;
    l->t.is_hard = false;
    l->t.is_last = true;
    if (!l->e.is_loose || !is_hard || (code != LINEAR_SOLVED && code != LINEAR_UNLUCKY))
        return code;
    l->t.is_nearly_singular = l->is_unsettled = false;
    return solve(l, second, false);
}

/* ---- answers ---- */

int linear_rank(const struct linear *l) { return l->e.rank; }

enum zero linear_rank_decided(const struct linear *l) { return l->rank_decided; }

bool linear_is_confirmed(const struct linear *l) { return l->is_confirmed; }

bool linear_is_fixed(const struct linear *l, int unknown) { return l->fixed[unknown]; }

enum zero linear_consistent(const struct linear *l, int column) { return l->consistent[column]; }

bool linear_moves(const struct linear *l, int equation)
{
    return !residue_zero(l->motion[equation]);
}

struct num linear_value(const struct linear *l, int unknown, int column)
{
    return l->value[unknown * l->columns + column];
}

bool linear_is_nearly_singular(const struct linear *l) { return l->t.is_nearly_singular; }

bool linear_is_unsettled(const struct linear *l) { return l->is_unsettled; }

uint64_t linear_operations(const struct linear *l) { return l->t.operations; }

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
        if (linear_moves(l, i) != linear_moves(other, i))
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
    struct residue *x = l->x, *b = clear(l->b, sizeof *b, l->equations);
    for (int j = 0; j < l->unknowns; j++)
        ret_group[j] = j;
    for (int free = 0; free < l->unknowns; free++) {
        if (l->e.unknown_step[free] >= 0)
            continue;
        l->t.operations += l->t.pass;
        if (is_over_budget(l))
            return -1;
        clear(x, sizeof *x, l->unknowns);
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
    memset(l->t.room.x, 0, sizeof *l->t.room.x * (size_t)largest);
    return &l->t.room;
}

bool linear_null(struct linear *l, int k, struct num *ret_x)
{
    int32_t free = kth_without_step(l->e.unknown_step, l->unknowns, k);
    struct room *room = clear_room(l);
    struct residue *x = clear(l->x, sizeof *x, l->unknowns);
    struct residue *b = clear(l->b, sizeof *b, l->equations);
    if (free < 0)
        return false;
    x[free] = residue_integer(l->f, 1);
    elimination_back_residue(&l->e, b, NULL, x, NULL);
    room->x[free] = (struct dd){1, 0};
    bool settled = refine(&l->t, &l->side, NULL, 0, x);
    settle_vector(l, room->x, x, l->unknowns, settled ? room->error : NULL, ret_x);
    ret_x[free] = num_integer(l->f, 1);
    return true;
}

bool linear_left_null(struct linear *l, int k, struct num *ret_y)
{
    int32_t left = kth_without_step(l->e.equation_step, l->equations, k);
    struct room *room = clear_room(l);
    struct residue *y = take(l, sizeof *y, l->equations);
    if (left < 0 || y == NULL || !turn(l))
        return false;
    y[left] = residue_integer(l->f, 1);
    elimination_left_null_residue(&l->e, y);
    room->x[left] = (struct dd){1, 0};
    bool settled = refine(&l->t, &l->transposed, NULL, 0, y);
    settle_vector(l, room->x, y, l->equations, settled ? room->error : NULL, ret_y);
    ret_y[left] = num_integer(l->f, 1);
    return true;
}

bool linear_motion(struct linear *l, double *ret_y)
{
    struct room *room = clear_room(l);
    if (l->e.rank == l->equations || !turn(l))
        return false;
    for (int i = 0; i < l->equations; i++)
        if (l->e.equation_step[i] < 0)
            room->x[i].hi = refine_pattern((uint64_t)i);
    refine(&l->t, &l->transposed, NULL, 0, l->motion);
    double largest = 0;
    for (int i = 0; i < l->equations; i++) {
        ret_y[i] = linear_moves(l, i) ? room->x[i].hi : 0;
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
    struct room *room = &l->t.room;
    memcpy(room->b, b, sizeof *b * (size_t)l->equations);
    refine_substitute(&l->t, &l->side, room->b, ret_x);
    for (int j = 0; j < l->unknowns; j++)
        room->x[j] = (struct dd){ret_x[j], 0};
    for (int i = 0; i < l->equations; i++)
        room->b[i] = refine_residual(&l->side, i, (struct dd){b[i], 0}, room->x).hi;
    refine_substitute(&l->t, &l->side, room->b, room->d);
    for (int j = 0; j < l->unknowns; j++)
        ret_x[j] += room->d[j];
}
