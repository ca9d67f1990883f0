#include "vector/linear.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "vector/field_ops.h"
#include "vector/refine.h"
#include "vector/sparse.h"
#include "vector/triangular.h"

enum {
    LARGE = 1000, /* equations whose coefficients, as added, are given back */
    PATTERNS = 4,
    SPREAD_ALL = 2000000, /* operations for which every unknown is spread exactly */
};

/* The sum of |y w| is at most so many times what random numbers make of it (fails once in 10^11).
 */
static const double sign_patterns = 1e5;
/* Usually at most so many times. */
static const double usual = 32;

struct linear {
    struct arena *arena;
    const struct field *f;
    int equations, unknowns, columns;
    struct added added;
    struct sparse a, transposed;
    struct num *right;                /* equations x columns, times the factors of `a` */
    struct num *value;                /* unknowns x columns */
    double *row_scale, *column_scale; /* powers of two that bring row A column to one */
    struct triangular triangular;
    enum zero rank_decided;
    bool is_confirmed, is_generic, has_slack, is_unlucky, is_unsettled, is_beyond_range;
    bool *fixed;
    struct residue *motion; /* a random y with y A = 0 */
    struct residue *x, *b;  /* a solution, a right-hand side: used again */
    enum zero *consistent;
    struct side side, side_transposed;
    struct refining t;
};

static void *take(struct linear *l, size_t size, int count)
{
    return arena_alloc(l->arena, size * (size_t)(count > 0 ? count : 1));
}

/* The same, not cleared. */
static void *take_room(struct linear *l, size_t size, int count)
{
    return arena_room(l->arena, size * (size_t)(count > 0 ? count : 1));
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
    l->right = take_room(l, sizeof *l->right, equations * columns);
    if (l->right == NULL)
        return NULL;
    for (int i = 0; i < equations * columns; i++)
        l->right[i] = (struct num){.denominator = 1}; /* 0, exactly */
    l->added.arena = equations > LARGE ? arena_part(arena) : arena;
    return l->added.arena == NULL ? NULL : l;
}

/* What every number has to be on its way in. */
static void look_at(struct linear *l, struct num x)
{
    l->is_unlucky |= x.unlucky;
    l->is_beyond_range |= num_is_beyond_range(x);
}

void linear_add(struct linear *l, int equation, int unknown, struct num x)
{
    look_at(l, x);
    sparse_add(&l->added, equation, unknown, x);
}

void linear_add_right(struct linear *l, int equation, int column, struct num x)
{
    struct num *b = &l->right[equation * l->columns + column];
    look_at(l, x);
    bool is_first = b->numerator == 0 && b->denominator == 1 && b->slack == 0;
    *b = is_first ? x : num_add(l->f, *b, x);
}

/* ---- setting up ---- */

static bool arrange(struct linear *l)
{
    if (!sparse_arrange(&l->added, l->arena, l->f, l->equations, l->unknowns, l->right, l->columns,
                        &l->a, &l->is_unlucky))
        return false;
    if (l->added.arena != l->arena)
        arena_free(l->added.arena);
    for (int32_t k = 0; l->a.rough != NULL && k < l->a.first[l->equations]; k++)
        if (l->a.rough[k] != NULL) {
            l->is_generic |= l->a.rough[k]->generic;
            l->has_slack |= l->a.rough[k]->slack > 0;
        }
    return true;
}

static double factor_of(const struct linear *l, int equation)
{
    return l->a.factor == NULL ? 1 : l->a.factor[equation];
}

/* The power of two that brings `largest` between 1/2 and 1 (as frexp and ldexp, without calls). */
static double scale_of(double largest)
{
    enum { BIAS = 1023, MOST = 1000 };
    uint64_t bits;
    double scale;
    if (!(largest > 0) || !isfinite(largest))
        return 1;
    memcpy(&bits, &largest, sizeof bits);
    int exponent = BIAS - 1 - (int)(bits >> 52);
    exponent = exponent > MOST ? MOST : exponent < -MOST ? -MOST : exponent;
    bits = (uint64_t)(BIAS + exponent) << 52;
    memcpy(&scale, &bits, sizeof scale);
    return scale;
}

static bool equilibrate(struct linear *l)
{
    const struct sparse *a = &l->a;
    l->row_scale = take_room(l, sizeof(double), l->equations);
    l->column_scale = take(l, sizeof(double), l->unknowns);
    if (l->row_scale == NULL || l->column_scale == NULL)
        return false;
    for (int i = 0; i < l->equations; i++) {
        double scale = scale_of(factor_of(l, i));
        for (int32_t k = a->first[i]; k < a->first[i + 1]; k++) {
            double *largest = &l->column_scale[a->column[k]];
            *largest = dd_larger(*largest, fabs(a->value[k]) * scale);
        }
    }
    for (int j = 0; j < l->unknowns; j++)
        l->column_scale[j] = scale_of(l->column_scale[j]);
    for (int i = 0; i < l->equations; i++) {
        double largest = 0;
        for (int32_t k = a->first[i]; k < a->first[i + 1]; k++)
            largest = dd_larger(largest, fabs(a->value[k]) * l->column_scale[a->column[k]]);
        l->row_scale[i] = scale_of(largest);
    }
    return true;
}

/* Ready for residuals of y A too; false without memory. */
static bool turn(struct linear *l)
{
    return l->transposed.first != NULL || sparse_transpose(&l->a, l->arena, &l->transposed);
}

/* The two ways in which the system is solved. */
static void look_both_ways(struct linear *l)
{
    const struct triangular *t = &l->triangular;
    l->transposed.rows = l->unknowns;
    l->transposed.columns = l->equations;
    l->side = (struct side){.t = t,
                            .a = &l->a,
                            .row_scale = l->row_scale,
                            .column_scale = l->column_scale,
                            .row_step = t->equation_step,
                            .column_step = t->unknown_step,
                            .pivot_row = t->pivot_equation,
                            .pivot_column = t->pivot_unknown};
    l->side_transposed = (struct side){.t = t,
                                       .a = &l->transposed,
                                       .is_transposed = true,
                                       .row_scale = l->column_scale,
                                       .column_scale = l->row_scale,
                                       .row_step = t->unknown_step,
                                       .column_step = t->equation_step,
                                       .pivot_row = t->pivot_unknown,
                                       .pivot_column = t->pivot_equation};
    l->t.pass = triangular_pass(t);
}

static bool is_over_budget(const struct linear *l) { return l->t.operations > l->t.budget; }

/* ---- verdicts on A ---- */

/* A null vector of random elements in the free unknowns; where there are bounds, also with doubles
 * and their running bounds. An entry 0 is fixed. */
static bool find_fixed(struct linear *l)
{
    const struct triangular *t = &l->triangular;
    if (t->rank == l->unknowns) {
        memset(l->fixed, true, (size_t)l->unknowns);
        return true;
    }
    struct residue *x = clear(l->x, sizeof *x, l->unknowns);
    struct residue *b = clear(l->b, sizeof *b, l->equations);
    for (int j = 0; j < l->unknowns; j++)
        if (t->unknown_step[j] < 0)
            x[j] = residue_random(l->f, (uint64_t)j);
    triangular_solve_residue(t, b, NULL, x, NULL);
    for (int j = 0; j < l->unknowns; j++)
        l->fixed[j] = t->unknown_step[j] >= 0 && residue_zero(x[j]);
    if (!t->core.is_bounded)
        return true;
    /* Nothing was peeled: the core is A. */
    double *v = take(l, sizeof *v, l->unknowns), *bound = take(l, sizeof *bound, l->unknowns);
    if (!v || !bound)
        return false;
    for (int j = 0; j < l->unknowns; j++)
        if (t->unknown_step[j] < 0)
            v[j] = refine_pattern((uint64_t)j);
    elimination_null_bounded(&t->core, v, bound, l->fixed);
    return true;
}

/* The same for the equations, with a random vector y, y A = 0. */
static void find_motion(struct linear *l)
{
    const struct triangular *t = &l->triangular;
    clear(l->motion, sizeof *l->motion, l->equations);
    if (t->rank == l->equations)
        return;
    for (int i = 0; i < l->equations; i++)
        if (t->equation_step[i] < 0)
            l->motion[i] = residue_random(l->f, (uint64_t)i);
    triangular_left_null(t, l->motion);
}

/* ---- values ---- */

/* How far A x = b lets the equations be wrong: the slack, or the rounding, of the coefficients and
 * the right-hand side. */
static void weigh(const struct linear *l, int column, bool slack, const struct dd *x, double *w)
{
    const struct sparse *a = &l->a;
    for (int i = 0; i < l->equations; i++) {
        const struct num *b = &l->right[i * l->columns + column];
        w[i] = slack ? b->slack : b->error;
        for (int32_t k = a->first[i]; a->rough != NULL && k < a->first[i + 1]; k++)
            w[i] += (slack ? sparse_slack(a, k) : sparse_error(a, k)) * fabs(x[a->column[k]].hi);
    }
}

/* The sum of |dx/db| w of one unknown (equation -1), or of |y| w for the equation left over. */
static double spread(struct linear *l, int unknown, int equation, const double *w,
                     struct room *room)
{
    const struct sparse *a = &l->a;
    for (int j = 0; j < l->unknowns; j++)
        room->b[j] = 0;
    if (unknown >= 0) {
        room->b[unknown] = 1;
    } else {
        for (int32_t k = a->first[equation]; k < a->first[equation + 1]; k++)
            if (l->triangular.unknown_step[a->column[k]] >= 0)
                room->b[a->column[k]] = -a->value[k];
    }
    refine_substitute(&l->t, &l->side_transposed, room->b, room->d);
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
            estimate[j] = dd_larger(estimate[j], fabs(room->d[j]));
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
    const struct sparse *a = &l->a;
    for (int32_t k = a->first[equation]; k < a->first[equation + 1]; k++)
        rounding += fabs(a->value[k]) * room->error[a->column[k]];
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
    const struct triangular *t = &l->triangular;
    struct residue *b = l->b, *x = clear(l->x, sizeof *x, l->unknowns);
    bool *generic_b = NULL, *generic_x = NULL;
    double *slack = NULL, *error = NULL;
    bool has_slack = l->has_slack, is_generic = l->is_generic;
    for (int i = 0; i < l->equations; i++) {
        const struct num *right = &l->right[i * l->columns + column];
        b[i] = right->residue;
        is_generic |= right->generic;
        has_slack |= right->slack > 0;
    }
    if (is_generic) {
        generic_b = take(l, sizeof *generic_b, l->equations);
        generic_x = take(l, sizeof *generic_x, l->unknowns);
        if (!generic_b || !generic_x)
            return LINEAR_NO_MEMORY;
        for (int i = 0; i < l->equations; i++)
            generic_b[i] = l->right[i * l->columns + column].generic || l->is_generic;
    }
    if (has_slack || is_generic || t->core.is_lowered) {
        slack = take(l, sizeof *slack, l->equations);
        error = take(l, sizeof *error, l->equations);
        if (!slack || !error)
            return LINEAR_NO_MEMORY;
    }
    triangular_solve_residue(t, b, generic_b, x, generic_x);
    l->t.operations += 2 * l->t.pass;

    for (int j = 0; j < l->unknowns; j++)
        room->x[j] = (struct dd){0, 0};
    bool settled = refine(&l->t, &l->side, &l->right[column], l->columns, x);
    if (l->t.is_hard)
        return LINEAR_SOLVED;
    l->is_unsettled |= !settled;
    double size = 0;
    for (int j = 0; j < l->unknowns; j++)
        if (fabs(room->x[j].hi) > size * l->column_scale[j])
            size = fabs(room->x[j].hi) / l->column_scale[j];
    for (int j = 0; j < l->unknowns; j++) {
        struct num *value = &l->value[j * l->columns + column];
        *value = (struct num){.residue = x[j], .generic = is_generic && generic_x[j]};
        double scale = l->column_scale[j];
        if (residue_zero(x[j])) {
            if (settled && fabs(room->x[j].hi) > 1e-6 * size * scale &&
                fabs(room->x[j].hi) > 1e6 * room->error[j] && !t->core.is_lowered)
                return LINEAR_UNLUCKY;
            room->x[j] = (struct dd){0, 0};
            value->denominator = 1;
            continue;
        }
        value->value = room->x[j].hi;
        value->low = room->x[j].lo;
        value->error = settled ? room->error[j] : (double)INFINITY;
    }
    if (is_generic || t->core.is_lowered) {
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
        if (t->equation_step[i] >= 0 || residue_zero(b[i]))
            continue;
        bool generic = is_generic && generic_b[i];
        consistent = has_slack || generic
                         ? settle_left_over(l, i, column, generic, slack, error, room)
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

static enum linear_code confirm(struct linear *l, const struct field *second)
{
    const struct triangular *t = &l->triangular;
    int full = l->equations < l->unknowns ? l->equations : l->unknowns;
    l->is_confirmed = t->rank == full;
    if (l->is_confirmed || second == NULL)
        return LINEAR_SOLVED;
    uint64_t operations;
    int rank;
    enum elimination_code code =
        triangular_rank(t, second, l->t.budget - l->t.operations, &operations, &rank);
    l->t.operations += operations;
    if (code != ELIMINATION_DONE || rank < 0)
        return code_of(code);
    l->is_confirmed = rank == t->rank;
    return l->is_confirmed ? LINEAR_SOLVED : LINEAR_UNLUCKY;
}

/* What the elimination does without: later, its own memory is to be had again. */
static bool make_room(struct linear *l)
{
    int largest = l->equations > l->unknowns ? l->equations : l->unknowns;
    if (l->value != NULL)
        return true;
    l->value = take_room(l, sizeof *l->value, l->unknowns * l->columns);
    l->consistent = take(l, sizeof *l->consistent, l->columns);
    l->fixed = take_room(l, sizeof *l->fixed, l->unknowns);
    l->motion = take_room(l, sizeof *l->motion, l->equations);
    l->x = take_room(l, sizeof *l->x, l->unknowns);
    l->b = take_room(l, sizeof *l->b, l->equations);
    return room_new(l->arena, largest, &l->t.room);
}

static enum linear_code solve(struct linear *l, const struct field *second, bool is_loose)
{
    struct triangular *t = &l->triangular;
    enum elimination_code eliminated =
        triangular_eliminate(t, is_loose, l->t.budget - l->t.operations);
    l->t.operations += t->core.operations;
    if (eliminated != ELIMINATION_DONE)
        return code_of(eliminated);
    l->rank_decided = !t->core.is_lowered ? ZERO_EXACT
                      : l->has_slack      ? ZERO_WITHIN_DIGITS
                                          : ZERO_WITHIN_ROUNDING;
    enum linear_code code = confirm(l, second);
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
    if (arena_exhausted(l->arena) || !arrange(l) || !equilibrate(l) ||
        !triangular_new(&l->triangular, l->arena, l->f, &l->a, l->row_scale, l->column_scale))
        return LINEAR_NO_MEMORY;
    if (l->is_unlucky)
        return LINEAR_UNLUCKY;
    enum linear_code code = solve(l, second, true);
    bool is_hard = l->t.is_hard || l->t.is_nearly_singular || l->is_unsettled;
    l->t.is_hard = false;
    l->t.is_last = true;
    if (!l->triangular.core.is_loose || !is_hard ||
        (code != LINEAR_SOLVED && code != LINEAR_UNLUCKY))
        return code;
    l->t.is_nearly_singular = l->is_unsettled = false;
    return solve(l, second, false);
}

/* ---- answers ---- */

int linear_rank(const struct linear *l) { return l->triangular.rank; }

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

bool linear_is_unsettled(const struct linear *l) { return l->is_unsettled || l->is_beyond_range; }

uint64_t linear_operations(const struct linear *l) { return l->t.operations; }

bool linear_agrees(const struct linear *l, const struct linear *other)
{
    if (l->equations != other->equations || l->unknowns != other->unknowns ||
        l->columns != other->columns || l->triangular.rank != other->triangular.rank ||
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
    struct residue *x = l->x, *b = l->b;
    for (int j = 0; j < l->unknowns; j++)
        ret_group[j] = j;
    for (int free = 0; free < l->unknowns; free++) {
        if (l->triangular.unknown_step[free] >= 0)
            continue;
        l->t.operations += l->t.pass;
        if (is_over_budget(l))
            return -1;
        clear(x, sizeof *x, l->unknowns);
        clear(b, sizeof *b, l->equations);
        x[free] = residue_integer(l->f, 1);
        triangular_solve_residue(&l->triangular, b, NULL, x, NULL);
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
    int32_t free = kth_without_step(l->triangular.unknown_step, l->unknowns, k);
    struct room *room = clear_room(l);
    struct residue *x = clear(l->x, sizeof *x, l->unknowns);
    struct residue *b = clear(l->b, sizeof *b, l->equations);
    if (free < 0)
        return false;
    x[free] = residue_integer(l->f, 1);
    triangular_solve_residue(&l->triangular, b, NULL, x, NULL);
    room->x[free] = (struct dd){1, 0};
    bool settled = refine(&l->t, &l->side, NULL, 0, x);
    settle_vector(l, room->x, x, l->unknowns, settled ? room->error : NULL, ret_x);
    ret_x[free] = num_integer(l->f, 1);
    return true;
}

/* y of the system whose equations have factors, as that of the system itself, `left` made 1. */
static void take_factors(const struct linear *l, int left, struct dd *y, double *error,
                         struct residue *residue)
{
    struct residue own =
        residue_times(l->f, residue[left], residue_integer(l->f, (int64_t)factor_of(l, left)));
    struct residue inverse = residue_inv(l->f, own);
    for (int i = 0; i < l->equations; i++) {
        double factor = factor_of(l, i), part = factor / factor_of(l, left);
        residue[i] = residue_times(l->f, residue[i], inverse);
        if (factor != 1)
            residue[i] = residue_times(l->f, residue[i], residue_integer(l->f, (int64_t)factor));
        if (part == 1)
            continue;
        y[i] = dd_div(dd_mul(y[i], (struct dd){factor, 0}), (struct dd){factor_of(l, left), 0});
        error[i] = error[i] * part + fabs(y[i].hi) * 0x1p-100;
    }
}

bool linear_left_null(struct linear *l, int k, struct num *ret_y)
{
    int32_t left = kth_without_step(l->triangular.equation_step, l->equations, k);
    struct room *room = clear_room(l);
    struct residue *y = take(l, sizeof *y, l->equations);
    if (left < 0 || y == NULL || !turn(l))
        return false;
    y[left] = residue_integer(l->f, 1);
    triangular_left_null(&l->triangular, y);
    room->x[left] = (struct dd){1, 0};
    bool settled = refine(&l->t, &l->side_transposed, NULL, 0, y);
    take_factors(l, left, room->x, room->error, y);
    settle_vector(l, room->x, y, l->equations, settled ? room->error : NULL, ret_y);
    ret_y[left] = num_integer(l->f, 1);
    return true;
}

bool linear_motion(struct linear *l, double *ret_y)
{
    struct room *room = clear_room(l);
    if (l->triangular.rank == l->equations || !turn(l))
        return false;
    for (int i = 0; i < l->equations; i++)
        if (l->triangular.equation_step[i] < 0)
            room->x[i].hi = refine_pattern((uint64_t)i) / factor_of(l, i);
    refine(&l->t, &l->side_transposed, NULL, 0, l->motion);
    double largest = 0;
    for (int i = 0; i < l->equations; i++) {
        ret_y[i] = linear_moves(l, i) ? room->x[i].hi * factor_of(l, i) : 0;
        if (fabs(ret_y[i]) > fabs(largest))
            largest = ret_y[i];
    }
    for (int i = 0; i < l->equations && largest != 0; i++)
        ret_y[i] = ret_y[i] == 0 ? 0 : ret_y[i] / largest;
    return true;
}

void linear_multiply(const struct linear *l, const double *x, double *ret_b)
{
    const struct sparse *a = &l->a;
    for (int i = 0; i < l->equations; i++) {
        ret_b[i] = 0;
        for (int32_t k = a->first[i]; k < a->first[i + 1]; k++)
            ret_b[i] += a->value[k] * x[a->column[k]];
        ret_b[i] /= factor_of(l, i);
    }
}

void linear_solve_again(struct linear *l, const double *b, double *ret_x)
{
    struct room *room = &l->t.room;
    for (int i = 0; i < l->equations; i++)
        room->b[i] = b[i] * factor_of(l, i);
    refine_substitute(&l->t, &l->side, room->b, ret_x);
    for (int j = 0; j < l->unknowns; j++)
        room->x[j] = (struct dd){ret_x[j], 0};
    for (int i = 0; i < l->equations; i++) {
        struct dd right = dd_product(b[i], factor_of(l, i));
        room->b[i] = refine_residual(&l->side, i, right, room->x).hi;
    }
    refine_substitute(&l->t, &l->side, room->b, room->d);
    for (int j = 0; j < l->unknowns; j++)
        ret_x[j] += room->d[j];
}
