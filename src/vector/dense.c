#include "vector/dense.h"

struct dense *dense_new(struct arena *arena, int n)
{
    size_t size = (size_t)n;
    struct dense *d = arena_alloc(arena, sizeof *d);
    if (d == NULL)
        return NULL;
    *d = (struct dense){.n = n,
                        .a = arena_alloc(arena, sizeof *d->a * size * size),
                        .row = arena_alloc(arena, sizeof *d->row * size),
                        .column = arena_alloc(arena, sizeof *d->column * size),
                        .work = arena_alloc(arena, sizeof *d->work * size)};
    return d->a && d->row && d->column && d->work ? d : NULL;
}

static void swap(int32_t *x, int32_t *y)
{
    int32_t z = *x;
    *x = *y;
    *y = z;
}

bool dense_factor(struct dense *d)
{
    int n = d->n;
    for (int k = 0; k < n; k++)
        d->row[k] = d->column[k] = k;
    for (int k = 0; k < n; k++) {
        int row = k, column = k;
        double largest = 0;
        for (int i = k; i < n; i++)
            for (int j = k; j < n; j++) {
                double size = fabs(d->a[d->row[i] * n + d->column[j]].hi);
                if (size > largest) {
                    largest = size;
                    row = i;
                    column = j;
                }
            }
        if (!(largest > 0))
            return false;
        swap(&d->row[k], &d->row[row]);
        swap(&d->column[k], &d->column[column]);
        const struct dd *pivot = &d->a[d->row[k] * n];
        for (int i = k + 1; i < n; i++) {
            struct dd *other = &d->a[d->row[i] * n];
            struct dd m = dd_div(other[d->column[k]], pivot[d->column[k]]);
            other[d->column[k]] = m;
            if (m.hi == 0)
                continue;
            for (int j = k + 1; j < n; j++) {
                struct dd *x = &other[d->column[j]];
                *x = dd_sub(*x, dd_mul(m, pivot[d->column[j]]));
            }
        }
    }
    return true;
}

void dense_solve(const struct dense *d, const struct dd *b, struct dd *x)
{
    int n = d->n;
    for (int k = 0; k < n; k++) {
        const struct dd *row = &d->a[d->row[k] * n];
        d->work[k] = b[d->row[k]];
        for (int j = 0; j < k; j++)
            d->work[k] = dd_sub(d->work[k], dd_mul(row[d->column[j]], d->work[j]));
    }
    for (int k = n - 1; k >= 0; k--) {
        const struct dd *row = &d->a[d->row[k] * n];
        for (int j = k + 1; j < n; j++)
            d->work[k] = dd_sub(d->work[k], dd_mul(row[d->column[j]], d->work[j]));
        d->work[k] = dd_div(d->work[k], row[d->column[k]]);
        x[d->column[k]] = d->work[k];
    }
}

struct dd dense_sum(double *x, int count)
{
    for (int pass = 0; pass < 3; pass++)
        for (int i = 1; i < count; i++) {
            struct dd s = dd_sum(x[i], x[i - 1]);
            x[i] = s.hi;
            x[i - 1] = s.lo;
        }
    struct dd sum = {0, 0};
    for (int i = 0; i < count; i++)
        sum = dd_add(sum, (struct dd){x[i], 0});
    return sum;
}
