/* trusses.c: the equations of trusses of 10 to 10,000 joints, solved by this project's solver
 * (every zero decided exactly, values refined) and, in the same run, by two sparse solvers in wide
 * use, KLU and UMFPACK (T. A. Davis, SuiteSparse; in doubles, zeros undecided); and whole requests
 * with the memory that they take. All allocate as the service does, so that none pays for pages
 * that are given back and faulted in again. Usage: trusses [ROUNDS]; each figure is the least of
 * the rounds.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <suitesparse/klu.h>
#include <suitesparse/umfpack.h>

#include "base/limits.h"
#include "big_truss.h"
#include "endpoints/rows.h"
#include "render/render.h"
#include "schema/schema.h"
#include "vector/linear.h"
#include "json/json.h"

static struct field *field, *second;

static double now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return 1e6 * (double)t.tv_sec + 1e-3 * (double)t.tv_nsec;
}

/* ---- the equations by columns: those of the joints in forces over lengths and reactions ---- */

struct columns {
    int n, entries;
    int *first, *row;
    double *value, *right, *x;
    struct num *value_num, *right_num;
};

static void put(struct columns *c, int row, double value)
{
    if (value == 0)
        return;
    c->row[c->entries] = row;
    c->value[c->entries++] = value;
}

static struct columns columns_of(const struct big_truss *t)
{
    int n = t->axes * t->joints;
    size_t room = (size_t)(2 * t->axes * t->members + 100);
    struct columns c = {.n = n,
                        .first = calloc((size_t)n + 1, sizeof *c.first),
                        .row = calloc(room, sizeof *c.row),
                        .value = calloc(room, sizeof *c.value),
                        .right = calloc((size_t)n, sizeof *c.right),
                        .x = calloc((size_t)n, sizeof *c.x)};
    int column = 0;
    for (int i = 0; i < t->members; i++) {
        int a = t->member[i][0], b = t->member[i][1], low = a < b ? a : b, high = a < b ? b : a;
        for (int axis = 0; axis < t->axes; axis++)
            put(&c, t->axes * low + axis, t->x[high][axis] - t->x[low][axis]);
        for (int axis = 0; axis < t->axes; axis++)
            put(&c, t->axes * high + axis, t->x[low][axis] - t->x[high][axis]);
        c.first[++column] = c.entries;
    }
    for (int k = 0; k < t->held_count; k++)
        for (int axis = t->axes == 2 && k == 1 ? 1 : 0; axis < t->axes; axis++) {
            put(&c, t->axes * t->held[k] + axis, 1);
            c.first[++column] = c.entries;
        }
    if (column != n) {
        fprintf(stderr, "%d unknowns, %d equations\n", column, n);
        exit(1);
    }
    for (int j = 0; j < t->joints; j++)
        c.right[t->axes * j + t->axes - 1] = j % 3 ? 7.5 : 2;
    c.value_num = calloc((size_t)c.entries, sizeof *c.value_num);
    c.right_num = calloc((size_t)n, sizeof *c.right_num);
    for (int k = 0; k < c.entries; k++)
        c.value_num[k] = num_rational(field, (int64_t)lround(c.value[k] * 1000), 1000);
    for (int i = 0; i < n; i++)
        c.right_num[i] = num_rational(field, (int64_t)lround(c.right[i] * 1000), 1000);
    return c;
}

static void columns_free(struct columns *c)
{
    free(c->first);
    free(c->row);
    free(c->value);
    free(c->right);
    free(c->x);
    free(c->value_num);
    free(c->right_num);
}

/* ---- the three solvers: microseconds ---- */

static double by_klu(struct columns *c)
{
    double start = now_us();
    klu_common common;
    klu_defaults(&common);
    klu_symbolic *symbolic = klu_analyze(c->n, c->first, c->row, &common);
    klu_numeric *numeric = klu_factor(c->first, c->row, c->value, symbolic, &common);
    memcpy(c->x, c->right, sizeof *c->x * (size_t)c->n);
    if (!numeric || !klu_solve(symbolic, numeric, c->n, 1, c->x, &common))
        return (double)NAN;
    klu_free_symbolic(&symbolic, &common);
    klu_free_numeric(&numeric, &common);
    return now_us() - start;
}

static double by_umfpack(struct columns *c)
{
    double start = now_us();
    void *symbolic, *numeric;
    if (umfpack_di_symbolic(c->n, c->n, c->first, c->row, c->value, &symbolic, NULL, NULL) ||
        umfpack_di_numeric(c->first, c->row, c->value, symbolic, &numeric, NULL, NULL) ||
        umfpack_di_solve(UMFPACK_A, c->first, c->row, c->value, c->x, c->right, numeric, NULL,
                         NULL))
        return (double)NAN;
    umfpack_di_free_symbolic(&symbolic);
    umfpack_di_free_numeric(&numeric);
    return now_us() - start;
}

static double by_ours(const struct columns *c, struct arena *arena, double *ret_apart)
{
    double start = now_us(), largest = 0, apart = 0;
    arena_reset(arena);
    struct linear *l = linear_new(arena, field, c->n, c->n, 1);
    for (int j = 0; j < c->n; j++)
        for (int k = c->first[j]; k < c->first[j + 1]; k++)
            linear_add(l, c->row[k], j, c->value_num[k]);
    for (int i = 0; i < c->n; i++)
        linear_add_right(l, i, 0, c->right_num[i]);
    if (linear_solve(l, second, LIMIT_TRUSS_OPERATIONS) != LINEAR_SOLVED || linear_rank(l) != c->n)
        return (double)NAN;
    double taken = now_us() - start;
    for (int j = 0; j < c->n; j++) {
        double x = linear_value(l, j, 0).value;
        largest = fmax(largest, fabs(x));
        apart = fmax(apart, fabs(x - c->x[j]));
    }
    *ret_apart = apart / largest;
    return taken;
}

/* ---- a whole request ---- */

static double by_request(const struct schema_set *schemas, const struct big_truss *t,
                         double *ret_megabytes)
{
    size_t length;
    char *text = big_request(t, 10, &length);
    double start = now_us();
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    const struct json *request = NULL;
    struct render_options options = render_defaults();
    struct problem problem;
    struct work w;
    struct buf out;
    problem_init(&problem, arena);
    work_init(&w, arena, field);
    w.second = second;
    options.working = false;
    buf_init(&out, arena, LIMIT_ANSWER_BYTES);
    if (json_read(arena, text, length, &limits, &request, &problem) != PROBLEM_NONE ||
        schema_validate(schemas, "truss.request.json", request, &problem) != PROBLEM_NONE ||
        run_truss(&w, request, &problem) != PROBLEM_NONE) {
        fprintf(stderr, "%s\n", problem.detail);
        exit(1);
    }
    render_json(&w, &options, &out);
    *ret_megabytes = (double)arena_most(arena) / 1e6;
    arena_free(arena);
    free(text);
    return now_us() - start;
}

static double least(double a, double b) { return a < b ? a : b; }

int main(int argc, char **argv)
{
    static const int sizes[] = {10, 100, 1000, 10000};
    int rounds = argc > 1 ? atoi(argv[1]) : 5;
    arena_keep_pages(); /* as the service does, and for all three alike */
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    struct problem problem;
    problem_init(&problem, arena);
    struct schema_set *schemas = schema_compile(schema_documents, &problem);
    field = field_new(217);
    second = field_new(248);
    printf("%-12s %6s | solve: %10s %10s %10s us, apart | request %10s %8s\n", "truss", "joints",
           "here", "KLU", "UMFPACK", "us", "MB");
    for (int shape = 0; shape < SHAPE_MAX_; shape++)
        for (size_t s = 0; s < sizeof sizes / sizeof *sizes; s++) {
            struct big_truss t = big_new((enum shape)shape, sizes[s]);
            struct columns c = columns_of(&t);
            double best[4] = {1e300, 1e300, 1e300, 1e300}, apart = 0, megabytes = 0;
            int times = sizes[s] < 1000 ? 20 * rounds : rounds;
            for (int r = 0; r < times; r++) {
                best[1] = least(best[1], by_klu(&c));
                best[2] = least(best[2], by_umfpack(&c));
                best[0] = least(best[0], by_ours(&c, arena, &apart));
            }
            for (int r = 0; r < times; r++)
                best[3] = least(best[3], by_request(schemas, &t, &megabytes));
            printf("%-12s %6d |        %10.1f %10.1f %10.1f   %.0e |         %10.1f %8.1f\n",
                   shape_name[shape], t.joints, best[0], best[1], best[2], apart, best[3],
                   megabytes);
            columns_free(&c);
            big_free(&t);
        }
    schema_free(schemas);
    field_free(field);
    field_free(second);
    arena_free(arena);
    return 0;
}
