/* Linear systems: rank, consistency, fixed, zero and moving sets against exact rational elimination
 * with GNU MP; values against exact ones and against the GNU Scientific Library (general reference
 * libraries). */
#include <string.h>

#include <gsl/gsl_linalg.h>

#include "base/arena.h"
#include "check.h"
#include "random.h"
#include "rational.h"
#include "vector/linear.h"

static const uint64_t seeds[] = {1, 217, 20482};
enum { FIELDS = 3, SIZE_MAX_ = 24, COLUMNS = 2 };
static struct field *fields[FIELDS];
static struct arena *arena;
static const uint64_t budget = 100000000;

static int made(void **state)
{
    (void)state;
    for (int i = 0; i < FIELDS; i++)
        fields[i] = field_new(seeds[i]);
    arena = arena_new((size_t)256 << 20);
    return 0;
}

static int freed(void **state)
{
    (void)state;
    for (int i = 0; i < FIELDS; i++)
        field_free(fields[i]);
    arena_free(arena);
    return 0;
}

/* ---- a problem: integers over one decimal, and how they are made ---- */

struct problem_of {
    int m, n;
    long a[SIZE_MAX_][SIZE_MAX_], b[SIZE_MAX_][COLUMNS]; /* in units of 1/scale */
    long scale;
};

static void random_matrix(struct problem_of *p)
{
    memset(p, 0, sizeof *p);
    p->m = random_int(1, 14);
    p->n = random_int(0, 2) ? p->m : random_int(1, 14);
    p->scale = random_int(0, 1) ? 1 : 1000;
    int size = random_int(0, 1) ? 2 : 40000;
    int sparse = random_int(1, 5);
    for (int i = 0; i < p->m; i++)
        for (int j = 0; j < p->n; j++)
            p->a[i][j] = random_int(0, sparse) ? 0 : random_int(-size, size);
    /* Sums of equations and of columns, some a little off: degenerate and nearly so. */
    for (int k = random_int(0, 3); k > 0 && p->m > 2; k--) {
        int to = random_int(0, p->m - 1), x = random_int(0, p->m - 1), y = random_int(0, p->m - 1);
        long cx = random_int(-3, 3), cy = random_int(-3, 3);
        for (int j = 0; j < p->n; j++)
            p->a[to][j] = cx * p->a[x][j] + cy * p->a[y][j];
        if (random_int(0, 3) == 0)
            p->a[to][random_int(0, p->n - 1)] += random_int(-1, 1);
    }
}

/* Bars between joints of a small grid, coordinate differences as coefficients; supports; more or
 * fewer bars than needed. */
static void random_truss(struct problem_of *p)
{
    memset(p, 0, sizeof *p);
    int joints = random_int(3, 8), size = random_int(2, 5), x[8], y[8];
    int fine = random_int(0, 3) == 0 ? 100000 : 1; /* nearly singular: grid points a little off */
    p->scale = fine;
    for (int i = 0; i < joints; i++) {
        x[i] = random_int(0, size) * fine + (fine > 1 ? random_int(-1, 1) : 0);
        y[i] = random_int(0, size) * fine + (fine > 1 ? random_int(-1, 1) : 0);
    }
    p->m = 2 * joints;
    int bars = 2 * joints - 3 + random_int(-1, 2);
    for (int k = 0; k < bars; k++) {
        int a = random_int(0, joints - 1), b = random_int(0, joints - 1);
        if (k < joints - 1) { /* connected */
            a = k;
            b = k + 1;
        }
        if (a == b || (x[a] == x[b] && y[a] == y[b]))
            continue;
        p->a[2 * a][p->n] = x[b] - x[a];
        p->a[2 * a + 1][p->n] = y[b] - y[a];
        p->a[2 * b][p->n] = x[a] - x[b];
        p->a[2 * b + 1][p->n] = y[a] - y[b];
        p->n++;
    }
    for (int k = 3 + (random_int(0, 5) == 0); k > 0; k--) {
        int i = k < 3 ? k - 1 : 2 * random_int(1, joints - 1) + random_int(0, 1);
        p->a[i][p->n++] = fine;
    }
}

static void random_right(struct problem_of *p)
{
    for (int c = 0; c < COLUMNS; c++) {
        if (random_int(0, 1)) {
            for (int i = 0; i < p->m; i++)
                p->b[i][c] = random_int(0, 4) ? 0 : random_int(-9, 9) * p->scale;
        } else { /* one that has a solution, with zeros in it */
            for (int j = 0; j < p->n; j++) {
                long x = random_int(0, 1) ? 0 : random_int(-7, 7);
                for (int i = 0; i < p->m; i++)
                    p->b[i][c] += p->a[i][j] * x;
            }
        }
    }
}

static struct linear *linear_of(const struct problem_of *p, const struct field *f)
{
    struct linear *l = linear_new(arena, f, p->m, p->n, COLUMNS);
    for (int j = 0; j < p->n; j++)
        for (int i = 0; i < p->m; i++)
            if (p->a[i][j] != 0)
                linear_add(l, i, j, num_rational(f, p->a[i][j], p->scale));
    for (int c = 0; c < COLUMNS; c++)
        for (int i = 0; i < p->m; i++)
            linear_add_right(l, i, c, num_rational(f, p->b[i][c], p->scale));
    return l;
}

static struct rational *exact_of(const struct problem_of *p, bool transposed)
{
    struct rational *e =
        transposed ? rational_new(p->n, p->m, COLUMNS) : rational_new(p->m, p->n, COLUMNS);
    for (int i = 0; i < e->rows; i++) {
        for (int j = 0; j < e->unknowns; j++)
            rational_add(e, i, j, transposed ? p->a[j][i] : p->a[i][j], 1);
        for (int c = 0; c < COLUMNS && !transposed; c++)
            rational_add(e, i, e->unknowns + c, p->b[i][c], 1);
    }
    rational_reduce(e);
    return e;
}

static double relative_error(mpq_t exact, struct num x)
{
    mpq_t d;
    mpq_init(d);
    mpq_set_d(d, x.value);
    mpq_sub(d, d, exact);
    mpq_div(d, d, exact);
    double e = fabs(mpq_get_d(d));
    mpq_clear(d);
    return e;
}

/* Every equation holds for the values: exactly by the residues, and within their errors. */
static void holds(const struct problem_of *p, const struct linear *l, const struct field *f, int c)
{
    for (int i = 0; i < p->m; i++) {
        struct num sum = num_integer(f, -p->b[i][c]);
        for (int j = 0; j < p->n; j++)
            if (p->a[i][j] != 0)
                sum =
                    num_add(f, sum, num_mul(f, num_integer(f, p->a[i][j]), linear_value(l, j, c)));
        assert_int_equal(num_zero(sum), ZERO_EXACT);
        assert_false(sum.unlucky);
    }
}

/* Returns the rank. */
static int agrees_with_exact(const struct problem_of *p, double *worst, int *questions)
{
    struct rational *e = exact_of(p, false), *et = exact_of(p, true);
    struct linear *first = NULL;
    for (int k = 0; k < FIELDS; k++) {
        struct linear *l = linear_of(p, fields[k]);
        assert_int_equal(linear_solve(l, fields[(k + 1) % FIELDS], budget), LINEAR_SOLVED);
        assert_int_equal(linear_rank(l), e->rank);
        assert_int_equal(linear_rank_decided(l), ZERO_EXACT);
        assert_true(linear_is_confirmed(l));
        assert_false(linear_is_unsettled(l));
        for (int i = 0; i < p->m; i++)
            assert_int_equal(linear_moves(l, i), rational_fixed_by(et, i) < 0);
        for (int c = 0; c < COLUMNS; c++) {
            bool consistent = rational_is_consistent(e, c);
            assert_int_equal(linear_consistent(l, c), consistent ? ZERO_EXACT : ZERO_NO);
            if (consistent)
                holds(p, l, fields[k], c);
            for (int j = 0; j < p->n; j++) {
                int by = rational_fixed_by(e, j);
                assert_int_equal(linear_is_fixed(l, j), by >= 0);
                ++*questions;
                if (by < 0 || !consistent)
                    continue;
                struct num x = linear_value(l, j, c);
                bool zero = mpq_sgn(*rational_at(e, by, p->n + c)) == 0;
                assert_int_equal(num_zero(x), zero ? ZERO_EXACT : ZERO_NO);
                if (zero)
                    assert_true(x.value == 0);
                else
                    *worst = fmax(*worst, relative_error(*rational_at(e, by, p->n + c), x));
            }
        }
        if (first == NULL)
            first = l;
        assert_true(linear_agrees(first, l));
    }
    int rank = e->rank;
    rational_free(e);
    rational_free(et);
    return rank;
}

static void verdicts_are_those_of_exact_elimination(void **state)
{
    (void)state;
    random_start("exact elimination", 2401);
    double worst = 0;
    int questions = 0, deficient = 0, problems = random_rounds(1500);
    for (int k = problems; k > 0; k--) {
        struct problem_of p;
        if (k % 2)
            random_matrix(&p);
        else
            random_truss(&p);
        if (p.n == 0)
            continue;
        random_right(&p);
        arena_reset(arena);
        deficient += agrees_with_exact(&p, &worst, &questions) < (p.m < p.n ? p.m : p.n);
    }
    printf("%d problems, %d deficient, %d questions of fixed and zero, worst relative error %.2g\n",
           problems, deficient, questions, worst);
    assert_true(worst < 2.3e-16);
}

/* A = d D + small, condition up to 1e13 and beyond: values right to the last digit all the same. */
static void nearly_singular_values_are_right(void **state)
{
    (void)state;
    random_start("nearly singular", 2402);
    double worst = 0;
    int questions = 0;
    for (int k = random_rounds(150); k > 0; k--) {
        struct problem_of p = {.m = random_int(2, 8), .scale = 10000000};
        p.n = p.m;
        long u[8], v[8];
        for (int i = 0; i < p.m; i++) {
            u[i] = random_int(-3000, 3000);
            v[i] = random_int(-3000, 3000);
        }
        for (int i = 0; i < p.m; i++) /* of rank 1, and 1e-7 of it off */
            for (int j = 0; j < p.n; j++)
                p.a[i][j] = u[i] * v[j] + random_int(-1, 1);
        random_right(&p);
        arena_reset(arena);
        agrees_with_exact(&p, &worst, &questions);
    }
    printf("worst relative error %.2g\n", worst);
    assert_true(worst < 2.3e-16);
    /* Condition 4e14 and 1e20: two bars that are almost one. */
    for (int k = 0; k < 2; k++) {
        long big = k == 0 ? 20000000 : 3000000000;
        struct problem_of p = {.m = 2, .n = 2, .scale = 1};
        p.a[0][0] = big;
        p.a[0][1] = big + 1;
        p.a[1][0] = big - 1;
        p.a[1][1] = big;
        p.b[0][0] = 7;
        p.b[1][0] = 9;
        arena_reset(arena);
        agrees_with_exact(&p, &worst, &questions);
        struct linear *l = linear_of(&p, fields[0]);
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        assert_true(linear_is_nearly_singular(l));
        struct num x = linear_value(l, 0, 0);
        double exact = 7.0 * (double)big - 9 * ((double)big + 1);
        assert_true(fabs(x.value - exact) <= x.error && x.error < 1e-11 * fabs(exact));
        assert_true(worst < (k == 0 ? 2.3e-16 : 1e-11));
    }
}

/* Turned by an angle, coefficients are cosines and sines: the verdicts stay the same. With loads
 * times a root, the zeros as well. */
static void verdicts_do_not_turn(void **state)
{
    (void)state;
    random_start("turned trusses", 2403);
    int questions = 0, unsettled = 0, loose = 0;
    for (int k = random_rounds(200); k > 0; k--) {
        struct problem_of p;
        random_truss(&p);
        if (p.n == 0)
            continue;
        random_right(&p);
        struct rational *e = exact_of(&p, false);
        arena_reset(arena);
        const struct field *f = fields[k % FIELDS];
        int turn = random_int(0, 3599999); /* of 0.0001 degrees */
        struct num c, s, root = num_sqrt(f, num_integer(f, random_int(1, 300)), 1);
        num_cos_sin_degrees(f, num_rational(f, turn, 10000), &c, &s);
        struct linear *l = linear_new(arena, f, p.m, p.n, COLUMNS);
        for (int i = 0; i < p.m; i += 2)
            for (int j = 0; j < p.n + COLUMNS; j++) {
                bool right = j >= p.n;
                struct num x = num_integer(f, right ? p.b[i][j - p.n] : p.a[i][j]);
                struct num y = num_integer(f, right ? p.b[i + 1][j - p.n] : p.a[i + 1][j]);
                struct num tx = num_sub(f, num_mul(f, c, x), num_mul(f, s, y));
                struct num ty = num_add(f, num_mul(f, s, x), num_mul(f, c, y));
                if (right) {
                    linear_add_right(l, i, j - p.n, num_mul(f, tx, root));
                    linear_add_right(l, i + 1, j - p.n, num_mul(f, ty, root));
                } else {
                    linear_add(l, i, j, tx);
                    linear_add(l, i + 1, j, ty);
                }
            }
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        assert_int_equal(linear_rank(l), e->rank);
        for (int column = 0; column < COLUMNS; column++) {
            bool consistent = rational_is_consistent(e, column);
            assert_int_equal(linear_consistent(l, column), consistent ? ZERO_EXACT : ZERO_NO);
            for (int j = 0; j < p.n; j++) {
                int by = rational_fixed_by(e, j);
                assert_int_equal(linear_is_fixed(l, j), by >= 0);
                if (by < 0 || !consistent)
                    continue;
                struct num x = linear_value(l, j, column);
                bool zero = mpq_sgn(*rational_at(e, by, p.n + column)) == 0;
                double expected = mpq_get_d(*rational_at(e, by, p.n + column)) * root.value;
                assert_near(x.value, expected, 6e-16 * fabs(expected) + x.error);
                if (zero)
                    assert_int_equal(num_zero(x), ZERO_EXACT);
                else if (num_zero(x) == ZERO_UNSETTLED) /* condition beyond 1e25 */
                    unsettled++;
                else
                    assert_int_equal(num_zero(x), ZERO_NO);
                questions++;
                loose += x.error > 1e-16 * fabs(x.value);
                assert_false(x.generic);
            }
        }
        rational_free(e);
    }
    printf("%d questions, %d values with an error above 1e-16, %d unsettled\n", questions, loose,
           unsettled);
    assert_true(loose <= questions / 200 && unsettled <= questions / 2000);
}

static void values_are_those_of_gsl(void **state)
{
    (void)state;
    random_start("GSL", 2404);
    const struct field *f = fields[0];
    for (int k = random_rounds(40); k > 0; k--) {
        enum { N = 60 };
        int n = random_int(1, N);
        gsl_matrix *a = gsl_matrix_calloc((size_t)n, (size_t)n);
        gsl_vector *b = gsl_vector_calloc((size_t)n), *x = gsl_vector_calloc((size_t)n);
        gsl_permutation *order = gsl_permutation_alloc((size_t)n);
        double wide[N], again[N], product[N];
        arena_reset(arena);
        struct linear *l = linear_new(arena, f, n, n, 1);
        for (int i = 0; i < n; i++) {
            for (int j = 0; j < n; j++) {
                if (i != j && random_int(0, n / 4))
                    continue;
                int entry = random_int(-99999, 99999) + (i == j ? 400000 : 0);
                linear_add(l, i, j, num_rational(f, entry, 1000));
                gsl_matrix_set(a, (size_t)i, (size_t)j, entry / 1000.0);
            }
            int right = random_int(-999, 999);
            linear_add_right(l, i, 0, num_rational(f, right, 100));
            gsl_vector_set(b, (size_t)i, right / 100.0);
            wide[i] = right / 100.0;
        }
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        int sign;
        gsl_matrix *lu = gsl_matrix_alloc((size_t)n, (size_t)n);
        gsl_matrix_memcpy(lu, a);
        gsl_linalg_LU_decomp(lu, order, &sign);
        gsl_linalg_LU_solve(lu, order, b, x);
        double largest =
            gsl_vector_max(x) > -gsl_vector_min(x) ? gsl_vector_max(x) : -gsl_vector_min(x);
        linear_solve_again(l, wide, again);
        for (int j = 0; j < n; j++) {
            assert_near(linear_value(l, j, 0).value, gsl_vector_get(x, (size_t)j), 1e-11 * largest);
            assert_near(again[j], linear_value(l, j, 0).value, 1e-14 * largest);
        }
        linear_multiply(l, again, product);
        for (int i = 0; i < n; i++)
            assert_near(product[i], wide[i], 1e-10);
        gsl_matrix_free(a);
        gsl_matrix_free(lu);
        gsl_vector_free(b);
        gsl_vector_free(x);
        gsl_permutation_free(order);
    }
}

static bool sum_is_zero(const struct field *f, const struct problem_of *p, int line, bool row,
                        const struct num *x)
{
    struct num sum = num_integer(f, 0);
    for (int k = 0; k < (row ? p->n : p->m); k++)
        sum =
            num_add(f, sum, num_mul(f, num_integer(f, row ? p->a[line][k] : p->a[k][line]), x[k]));
    return num_zero(sum) == ZERO_EXACT && !sum.unlucky;
}

/* What an equation is divided by, so that equations have whole numbers of their own. */
static int divisor(int round, int equation)
{
    static const int divisors[] = {1, 10, 12, 1000};
    return round % 3 == 0 ? divisors[equation % 4] : 1;
}

/* Divided, each coefficient in two parts, which come in another order. */
static struct linear *linear_divided(const struct problem_of *p, const struct field *f, int round)
{
    struct linear *l = linear_new(arena, f, p->m, p->n, 0);
    for (int part = -3; part <= 3; part += 6)
        for (int i = 0; i < p->m; i++)
            for (int j = 0; j < p->n; j++)
                linear_add(l, i, j,
                           num_rational(f, part < 0 ? part : p->a[i][j] + part, divisor(round, i)));
    return l;
}

static void null_vectors_and_groups(void **state)
{
    (void)state;
    random_start("null vectors", 2405);
    for (int round = random_rounds(200); round > 0; round--) {
        struct problem_of p;
        if (round % 2)
            random_matrix(&p);
        else
            random_truss(&p);
        if (p.n == 0)
            continue;
        arena_reset(arena);
        const struct field *f = fields[round % FIELDS];
        struct linear *l = linear_divided(&p, f, round);
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        struct num x[SIZE_MAX_];
        for (int k = 0; k < p.n - linear_rank(l); k++) {
            assert_true(linear_null(l, k, x));
            for (int i = 0; i < p.m; i++)
                assert_true(sum_is_zero(f, &p, i, true, x));
        }
        for (int k = 0; k < p.m - linear_rank(l); k++) {
            assert_true(linear_left_null(l, k, x));
            for (int i = 0; i < p.m; i++)
                x[i] = num_div(f, x[i], num_integer(f, divisor(round, i)));
            for (int j = 0; j < p.n; j++)
                assert_true(sum_is_zero(f, &p, j, false, x));
        }
        double y[SIZE_MAX_];
        assert_int_equal(linear_motion(l, y), linear_rank(l) < p.m);
        if (linear_rank(l) < p.m) {
            double largest = 0;
            for (int i = 0; i < p.m; i++) {
                assert_int_equal(y[i] != 0, linear_moves(l, i));
                largest = fmax(largest, y[i]);
            }
            assert_true(largest == 1);
            for (int j = 0; j < p.n; j++) {
                double sum = 0, size = 0;
                for (int i = 0; i < p.m; i++) {
                    sum += (double)p.a[i][j] * y[i] / divisor(round, i);
                    size += fabs((double)p.a[i][j]);
                }
                assert_near(sum, 0, 1e-13 * size);
            }
        }
        /* Groups: columns joined by a row of the reduced form, among those not fixed. */
        struct rational *e = exact_of(&p, false);
        int group[SIZE_MAX_], mine[SIZE_MAX_];
        for (int j = 0; j < p.n; j++)
            mine[j] = j;
        for (bool changed = true; changed;) {
            changed = false;
            for (int k = 0; k < e->rank; k++)
                for (int j = 0; j < p.n; j++)
                    if (rational_row(e, j) < 0 && mpq_sgn(*rational_at(e, k, j)) != 0 &&
                        mine[j] != mine[e->pivot[k]]) {
                        int least = mine[j] < mine[e->pivot[k]] ? mine[j] : mine[e->pivot[k]];
                        mine[j] = mine[e->pivot[k]] = least;
                        changed = true;
                    }
        }
        int groups = linear_groups(l, group), most = -1;
        for (int i = 0; i < p.n; i++) {
            assert_int_equal(group[i] < 0, rational_fixed_by(e, i) >= 0);
            most = group[i] > most ? group[i] : most;
            for (int j = 0; j < p.n; j++)
                if (group[i] >= 0 && group[j] >= 0)
                    assert_int_equal(group[i] == group[j], mine[i] == mine[j]);
        }
        assert_int_equal(groups, most + 1);
        rational_free(e);
    }
}

static struct num dec(const struct field *f, const char *text)
{
    struct num x;
    assert_true(num_decimal(f, text, strlen(text), &x));
    return x;
}

/* Two links to (1, y): one at 60 degrees, one along the line from the origin; a load across. */
static struct linear *two_links(const struct field *f, const char *y)
{
    struct linear *l = linear_new(arena, f, 2, 2, 2);
    struct num c, s;
    num_cos_sin_degrees(f, num_integer(f, 60), &c, &s);
    linear_add(l, 0, 0, c);
    linear_add(l, 1, 0, s);
    linear_add(l, 0, 1, num_integer(f, 1));
    linear_add(l, 1, 1, dec(f, y));
    linear_add_right(l, 0, 0, num_integer(f, 26));
    linear_add_right(l, 0, 1, num_integer(f, 26)); /* along the links, as typed */
    linear_add_right(l, 1, 1, num_mul(f, num_integer(f, 26), dec(f, y)));
    assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
    return l;
}

static void long_decimals_lower_the_rank(void **state)
{
    (void)state;
    for (int k = 0; k < FIELDS; k++) {
        arena_reset(arena);
        const struct field *f = fields[k];
        struct linear *l = two_links(f, "1.7320508075688772");
        assert_int_equal(linear_rank(l), 1);
        assert_int_equal(linear_rank_decided(l), ZERO_WITHIN_DIGITS);
        assert_int_equal(linear_consistent(l, 0), ZERO_NO);
        assert_true(linear_consistent(l, 1) == ZERO_WITHIN_DIGITS);
        assert_false(linear_is_fixed(l, 0) || linear_is_fixed(l, 1));
        /* Nine digits are exact: determinate, and a nearly singular answer. */
        l = two_links(f, "1.73205081");
        assert_int_equal(linear_rank(l), 2);
        assert_int_equal(linear_rank_decided(l), ZERO_EXACT);
        /* 26 = S/2 + T, 0 = S sqrt 3/2 + T y */
        double gap = 1.73205081 - sqrt(3);
        assert_near(linear_value(l, 0, 0).value * gap, 2 * 26 * 1.73205081, 1e-4);
        /* Sound geometry with long decimals: determinate, and every value carries its slack. */
        l = two_links(f, "1.234567890");
        assert_int_equal(linear_rank(l), 2);
        assert_int_equal(linear_rank_decided(l), ZERO_EXACT);
        double y = 1.23456789, d = y / 2 - sqrt(3) / 2;
        struct num S = linear_value(l, 0, 0), T = linear_value(l, 1, 0);
        assert_near(S.value, 26 * y / d, 1e-12 * fabs(S.value));
        /* dS/dy = 26/d - 26 y/(2 d d), times 5e-10 */
        double slope = fabs(26 / d - 13 * y / (d * d));
        assert_true(S.slack >= 0.99 * slope * 5e-10 && S.slack < 20 * slope * 5e-10);
        assert_true(T.slack > 0);
        assert_int_equal(num_zero(linear_value(l, 0, 1)), ZERO_EXACT);
        assert_near(linear_value(l, 1, 1).value, 26, 1e-13);
    }
    /* A load that is nearly zero: the force is zero within its digits. */
    arena_reset(arena);
    const struct field *f = fields[0];
    struct linear *l = linear_new(arena, f, 1, 1, 1);
    linear_add(l, 0, 0, num_integer(f, 3));
    linear_add_right(l, 0, 0,
                     num_sub(f, dec(f, "1.4142135624"), num_sqrt(f, num_integer(f, 2), 1)));
    assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
    assert_int_equal(num_zero(linear_value(l, 0, 0)), ZERO_WITHIN_DIGITS);
    /* Consistent within the digits, and not. */
    for (int k = 0; k < 2; k++) {
        l = linear_new(arena, f, 2, 1, 1);
        linear_add(l, 0, 0, num_integer(f, 3));
        linear_add(l, 1, 0, num_integer(f, 5));
        linear_add_right(l, 0, 0, dec(f, "1"));
        linear_add_right(l, 1, 0, dec(f, k == 0 ? "1.6666666667" : "1.6666666669"));
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        assert_int_equal(linear_consistent(l, 0), k == 0 ? ZERO_WITHIN_DIGITS : ZERO_NO);
    }
}

/* Turned and written to twelve decimals: whatever was zero, or of lower rank, is so within the
 * digits. */
static void rounded_trusses_keep_their_verdicts(void **state)
{
    (void)state;
    random_start("rounded trusses", 2407);
    int lowered = 0, zeros = 0;
    double widest = 0;
    for (int k = random_rounds(200); k > 0; k--) {
        struct problem_of p;
        do
            random_truss(&p);
        while (p.n == 0 || p.scale != 1);
        random_right(&p);
        arena_reset(arena);
        const struct field *f = fields[k % FIELDS];
        double turn = random_unit() * 6.28;
        struct linear *l = linear_new(arena, f, p.m, p.n, COLUMNS);
        bool is_short = false; /* fewer than ten significant digits: taken as exact */
        for (int i = 0; i < p.m; i += 2)
            for (int j = 0; j < p.n + COLUMNS; j++) {
                double x = (double)(j < p.n ? p.a[i][j] : p.b[i][j - p.n]);
                double y = (double)(j < p.n ? p.a[i + 1][j] : p.b[i + 1][j - p.n]);
                char text[2][40];
                if (x == 0 && y == 0)
                    continue;
                snprintf(text[0], sizeof text[0], "%.12f", x * cos(turn) - y * sin(turn));
                snprintf(text[1], sizeof text[1], "%.12f", x * sin(turn) + y * cos(turn));
                for (int t = 0; t < 2; t++) {
                    is_short |= fabs(strtod(text[t], NULL)) < 0.002;
                    if (j < p.n)
                        linear_add(l, i + t, j, dec(f, text[t]));
                    else
                        linear_add_right(l, i + t, j - p.n, dec(f, text[t]));
                }
            }
        if (is_short)
            continue;
        struct rational *e = exact_of(&p, false);
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        assert_int_equal(linear_rank(l), e->rank);
        lowered += linear_rank_decided(l) == ZERO_WITHIN_DIGITS;
        for (int c = 0; c < COLUMNS; c++) {
            bool consistent = rational_is_consistent(e, c);
            assert_int_equal(linear_consistent(l, c) != ZERO_NO, consistent);
            for (int j = 0; j < p.n; j++) {
                int by = rational_fixed_by(e, j);
                assert_int_equal(linear_is_fixed(l, j), by >= 0);
                if (by < 0 || !consistent)
                    continue;
                struct num x = linear_value(l, j, c);
                double expected = mpq_get_d(*rational_at(e, by, p.n + c));
                assert_int_equal(num_zero(x) != ZERO_NO, expected == 0);
                assert_near(x.value, expected, x.slack + 1e-13);
                widest = fmax(widest, x.slack);
                zeros += num_zero(x) == ZERO_WITHIN_DIGITS;
            }
        }
        rational_free(e);
    }
    printf("%d ranks lowered, %d zeros within the digits, slack at most %.2g\n", lowered, zeros,
           widest);
    assert_true(lowered > 10 && zeros > 10);
}

static void generic_numbers(void **state)
{
    (void)state;
    arena_reset(arena);
    for (int k = 0; k < FIELDS; k++) {
        const struct field *f = fields[k];
        /* r = sqrt(1 + sqrt 2) twice, under two names; r r = 1 + sqrt 2 is not known. */
        struct num under = num_add(f, num_integer(f, 1), num_sqrt(f, num_integer(f, 2), 1));
        struct num r = num_sqrt(f, under, 11), s = num_sqrt(f, under, 12);
        struct linear *l = linear_new(arena, f, 2, 2, 1);
        linear_add(l, 0, 0, r); /* r x + (1 + sqrt 2) y = 1, x + s y = 1/s */
        linear_add(l, 0, 1, under);
        linear_add(l, 1, 0, num_integer(f, 1));
        linear_add(l, 1, 1, s);
        linear_add_right(l, 0, 0, num_integer(f, 1));
        linear_add_right(l, 1, 0, num_div(f, num_integer(f, 1), s));
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        assert_int_equal(linear_rank(l), 1);
        assert_int_equal(linear_rank_decided(l), ZERO_WITHIN_ROUNDING);
        assert_int_equal(linear_consistent(l, 0), ZERO_WITHIN_ROUNDING);
        /* Generic loads alone leave the rank exact; forces that cancel are zero within rounding. */
        l = linear_new(arena, f, 3, 2, 1);
        linear_add(l, 0, 0, num_integer(f, 2));
        linear_add(l, 0, 1, num_integer(f, 1));
        linear_add(l, 1, 1, num_integer(f, 3));
        linear_add(l, 2, 0, num_integer(f, 7));
        linear_add_right(l, 0, 0, num_sub(f, num_mul(f, r, s), under));
        linear_add_right(l, 2, 0, num_sub(f, under, num_mul(f, s, s)));
        assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
        assert_int_equal(linear_rank(l), 2);
        assert_int_equal(linear_rank_decided(l), ZERO_EXACT);
        assert_int_equal(num_zero(linear_value(l, 0, 0)), ZERO_WITHIN_ROUNDING);
        assert_int_equal(num_zero(linear_value(l, 1, 0)), ZERO_EXACT);
        assert_int_equal(linear_consistent(l, 0), ZERO_WITHIN_ROUNDING);
        assert_false(linear_value(l, 1, 0).generic);
    }
}

static void limits_are_said(void **state)
{
    (void)state;
    random_start("limits", 2406);
    struct problem_of p;
    do
        random_truss(&p);
    while (p.n < 8);
    random_right(&p);
    arena_reset(arena);
    struct linear *l = linear_of(&p, fields[0]);
    assert_int_equal(linear_solve(l, NULL, 20), LINEAR_BUDGET_EXCEEDED);
    l = linear_of(&p, fields[0]);
    assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
    uint64_t needed = linear_operations(l);
    l = linear_of(&p, fields[0]);
    assert_int_equal(linear_solve(l, NULL, needed), LINEAR_SOLVED);
    l = linear_of(&p, fields[0]);
    assert_int_equal(linear_solve(l, NULL, needed - 1), LINEAR_BUDGET_EXCEEDED);

    /* Whatever the arena's cap: solved, or no memory. */
    struct arena *whole = arena;
    bool solved = false;
    int failures = 0;
    for (size_t cap = 1000; !solved; cap += 997) {
        arena = arena_new(cap);
        if (arena == NULL)
            continue;
        l = linear_new(arena, fields[0], p.m, p.n, COLUMNS);
        enum linear_code code = LINEAR_NO_MEMORY;
        if (l != NULL) {
            for (int i = 0; i < p.m; i++)
                for (int j = 0; j < p.n; j++)
                    linear_add(l, i, j, num_integer(fields[0], p.a[i][j]));
            code = linear_solve(l, NULL, budget);
        }
        solved = code == LINEAR_SOLVED;
        failures += code == LINEAR_NO_MEMORY;
        assert_true(solved || code == LINEAR_NO_MEMORY);
        arena_free(arena);
    }
    arena = whole;
    assert_true(failures > 5);

    /* Nothing at all; equations without unknowns; an unlucky number. */
    arena_reset(arena);
    l = linear_new(arena, fields[0], 0, 0, 1);
    assert_int_equal(linear_solve(l, NULL, budget), LINEAR_SOLVED);
    assert_int_equal(linear_rank(l), 0);
    assert_int_equal(linear_consistent(l, 0), ZERO_EXACT);
    l = linear_new(arena, fields[0], 2, 1, 1);
    linear_add_right(l, 1, 0, num_integer(fields[0], 3));
    assert_int_equal(linear_solve(l, fields[1], budget), LINEAR_SOLVED);
    assert_int_equal(linear_consistent(l, 0), ZERO_NO);
    assert_false(linear_is_fixed(l, 0));
    l = linear_new(arena, fields[0], 1, 1, 0);
    struct num x = num_integer(fields[0], 3);
    x.unlucky = true;
    linear_add(l, 0, 0, x);
    assert_int_equal(linear_solve(l, NULL, budget), LINEAR_UNLUCKY);
    /* A second field that sees a rank the first one doesn't: as if residues had been zero. (Those
     * of long decimals are taken as they come.) */
    l = linear_new(arena, fields[0], 2, 2, 0);
    for (int i = 0; i < 4; i++) {
        x = num_integer(fields[0], i == 3 ? 7 : 1);
        x.residue = num_integer(fields[0], 1).residue;
        x.slack = 1e-12;
        linear_add(l, i / 2, i % 2, x);
    }
    assert_int_equal(linear_solve(l, fields[1], budget), LINEAR_UNLUCKY);
}

/* A Pratt truss of 2,001 joints under a load at midspan: chords and diagonals by sections, exact.
 */
static void a_long_truss(void **state)
{
    (void)state;
    enum { PANELS = 1000, JOINTS = 2 * PANELS + 2, UNKNOWNS = 2 * JOINTS };
    const struct field *f = fields[0];
    arena_reset(arena);
    struct linear *l = linear_new(arena, f, 2 * JOINTS, UNKNOWNS, 1);
    struct num one = num_integer(f, 1), minus = num_integer(f, -1), h = num_rational(f, 3, 2);
    int member = 0, bottom[PANELS], diagonal[PANELS];
#define BOTTOM(k) (2 * (k))
#define TOP(k) (2 * (k) + 1)
    for (int k = 0; k <= PANELS; k++) {
        linear_add(l, 2 * BOTTOM(k) + 1, member, h); /* a post, by force over length */
        linear_add(l, 2 * TOP(k) + 1, member++, num_neg(f, h));
        if (k == PANELS)
            break;
        bottom[k] = member;
        linear_add(l, 2 * BOTTOM(k), member, one);
        linear_add(l, 2 * BOTTOM(k + 1), member++, minus);
        linear_add(l, 2 * TOP(k), member, one);
        linear_add(l, 2 * TOP(k + 1), member++, minus);
        diagonal[k] = member; /* top left to bottom right */
        linear_add(l, 2 * TOP(k), member, one);
        linear_add(l, 2 * TOP(k) + 1, member, num_neg(f, h));
        linear_add(l, 2 * BOTTOM(k + 1), member, minus);
        linear_add(l, 2 * BOTTOM(k + 1) + 1, member++, h);
    }
    linear_add(l, 0, member++, one);
    linear_add(l, 1, member++, one);
    linear_add(l, 2 * BOTTOM(PANELS) + 1, member++, one);
    assert_int_equal(member, UNKNOWNS);
    linear_add_right(l, 2 * BOTTOM(PANELS / 2) + 1, 0, num_integer(f, 217));
    assert_int_equal(linear_solve(l, fields[1], budget), LINEAR_SOLVED);
    assert_int_equal(linear_rank(l), UNKNOWNS);
    assert_false(linear_is_nearly_singular(l));
    assert_true(linear_value(l, member - 1, 0).value == 108.5);
    for (int k = 0; k < PANELS; k++) {
        assert_true(linear_is_fixed(l, bottom[k]));
        /* moment about the top joint to the left: the bottom chord; the panel's shear: the diagonal
         */
        double moment = k <= PANELS / 2 ? 108.5 * k : 108.5 * k - 217.0 * (k - PANELS / 2);
        double shear = k < PANELS / 2 ? 108.5 : -108.5;
        struct num x = linear_value(l, bottom[k], 0);
        assert_int_equal(num_zero(x), k == 0 ? ZERO_EXACT : ZERO_NO);
        assert_near(x.value, moment / 1.5, 2.3e-16 * fabs(moment));
        assert_near(linear_value(l, diagonal[k], 0).value, shear / 1.5, 1.5e-14);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdicts_are_those_of_exact_elimination),
        cmocka_unit_test(nearly_singular_values_are_right),
        cmocka_unit_test(verdicts_do_not_turn),
        cmocka_unit_test(values_are_those_of_gsl),
        cmocka_unit_test(null_vectors_and_groups),
        cmocka_unit_test(long_decimals_lower_the_rank),
        cmocka_unit_test(rounded_trusses_keep_their_verdicts),
        cmocka_unit_test(generic_numbers),
        cmocka_unit_test(limits_are_said),
        cmocka_unit_test(a_long_truss),
    };
    return cmocka_run_group_tests_name("linear", tests, made, freed);
}
