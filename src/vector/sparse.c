#include "vector/sparse.h"

#include <math.h>
#include <string.h>

#include "vector/factor.h"
#include "vector/field_ops.h"

enum { CHUNK = 256 };

/* Sums of whole numbers stay exact below this. */
static const double whole_max = 0x1p52;

struct coefficient {
    int32_t row, column;
    int64_t denominator; /* 0: `rough` */
    union {
        int64_t numerator;
        const struct num *rough;
    };
};

struct chunk {
    struct chunk *next;
    int count;
    struct coefficient coefficient[CHUNK];
};

void sparse_add(struct added *a, int row, int column, struct num x)
{
    if (residue_zero(x.residue))
        return;
    if (a->last == NULL || a->last->count == CHUNK) {
        struct chunk *c = arena_room(a->arena, sizeof *c);
        if (c == NULL)
            return;
        c->next = NULL;
        c->count = 0;
        if (a->last == NULL)
            a->first = c;
        else
            a->last->next = c;
        a->last = c;
    }
    struct coefficient *c = &a->last->coefficient[a->last->count];
    c->row = row;
    c->column = column;
    c->denominator = x.slack > 0 ? 0 : x.denominator;
    if (c->denominator != 0) {
        c->numerator = x.numerator;
    } else {
        struct num *rough = arena_room(a->arena, sizeof *rough);
        if (rough == NULL)
            return;
        *rough = x;
        c->rough = rough;
    }
    a->last->count++;
}

/* The least common multiple of a factor and a denominator; 0 where one is 0, or it is too large. */
static double common_multiple(double factor, int64_t denominator)
{
    if (denominator == 1 || factor == (double)denominator)
        return factor;
    if (denominator == 0 || factor == 0)
        return 0;
    if (factor == 1 && (double)denominator < whole_max)
        return (double)denominator;
    uint64_t of = (uint64_t)factor;
    double multiple = (double)((uint64_t)denominator / factor_gcd(of, (uint64_t)denominator));
    return multiple * factor < whole_max ? multiple * factor : 0;
}

/* The factor of each row, 0: it has none. `first` becomes the count of each row, one place on. */
static bool find_factors(const struct added *added, struct arena *arena, const struct num *right,
                         int rights, struct sparse *s)
{
    double *size = arena_alloc(arena, sizeof *size * (size_t)(s->rows + 1));
    if (size == NULL)
        return false;
    for (int i = 0; i < s->rows; i++)
        s->factor[i] = 1;
    for (const struct chunk *c = added->first; c != NULL; c = c->next)
        for (int k = 0; k < c->count; k++) {
            const struct coefficient *x = &c->coefficient[k];
            s->first[x->row + 1]++;
            s->factor[x->row] = common_multiple(s->factor[x->row], x->denominator);
            if (x->denominator == 1)
                size[x->row] += fabs((double)x->numerator);
            else if (x->denominator != 0)
                size[x->row] += fabs((double)x->numerator / (double)x->denominator);
        }
    for (int i = 0; i < s->rows; i++) {
        double factor = s->factor[i];
        for (int k = 0; k < rights && factor != 0; k++)
            factor = common_multiple(factor, right[i * rights + k].denominator);
        if (factor != 0 && factor * size[i] < whole_max)
            s->factor[i] = factor;
        else if (!(s->factor[i] * size[i] < whole_max))
            s->factor[i] = 0;
    }
    return true;
}

/* At its place. */
static bool put(struct sparse *s, struct arena *arena, const struct field *f,
                const struct coefficient *x, int32_t at, int32_t count)
{
    double factor = s->factor[x->row];
    s->column[at] = x->column;
    if (factor != 0) {
        int64_t whole = (int64_t)factor;
        int64_t times = x->denominator == 1       ? whole
                        : x->denominator == whole ? 1
                                                  : whole / x->denominator;
        s->value[at] = (double)(x->numerator * times);
        return true;
    }
    if (s->rough == NULL)
        s->rough = arena_alloc(arena, sizeof *s->rough * (size_t)count);
    struct num *rough = arena_room(arena, sizeof *rough);
    if (s->rough == NULL || rough == NULL)
        return false;
    *rough = x->denominator == 0 ? *x->rough : num_rational(f, x->numerator, x->denominator);
    s->rough[at] = rough;
    s->value[at] = rough->value;
    return true;
}

/* Add a coefficient to one at the same place. */
static bool merge(struct sparse *s, struct arena *arena, const struct field *f, int32_t at,
                  int32_t from, bool *unlucky)
{
    if (sparse_rough(s, at) == NULL) {
        s->value[at] += s->value[from];
        return true;
    }
    struct num *sum = arena_room(arena, sizeof *sum);
    if (sum == NULL)
        return false;
    *sum = num_add(f, *s->rough[at], *s->rough[from]);
    *unlucky |= sum->unlucky;
    s->rough[at] = sum;
    s->value[at] = residue_zero(sum->residue) ? 0 : sum->value;
    return true;
}

static bool is_zero(const struct sparse *s, int32_t k)
{
    const struct num *rough = sparse_rough(s, k);
    return rough == NULL ? s->value[k] == 0 : residue_zero(rough->residue);
}

static void copy_entry(struct sparse *s, int32_t to, int32_t from)
{
    s->column[to] = s->column[from];
    s->value[to] = s->value[from];
    if (s->rough != NULL)
        s->rough[to] = s->rough[from];
}

/* What stands at one place is added up, zeros are left out. */
static bool add_up(struct sparse *s, struct arena *arena, const struct field *f, bool *unlucky)
{
    int32_t *seen = arena_alloc(arena, sizeof *seen * (size_t)(s->columns + 1)); /* 1 + where */
    int32_t end = 0;
    if (seen == NULL)
        return false;
    for (int i = 0; i < s->rows; i++) {
        int32_t begin = end;
        bool has_zero = false;
        for (int32_t from = s->first[i]; from < s->first[i + 1]; from++) {
            int32_t at = seen[s->column[from]] - 1;
            if (at >= begin) {
                if (!merge(s, arena, f, at, from, unlucky))
                    return false;
                has_zero |= is_zero(s, at);
                continue;
            }
            copy_entry(s, end, from);
            seen[s->column[end]] = end + 1;
            end++;
        }
        int32_t kept = begin;
        for (int32_t k = begin; has_zero && k < end; k++) {
            seen[s->column[k]] = 0;
            if (!is_zero(s, k))
                copy_entry(s, kept++, k);
        }
        end = has_zero ? kept : end;
        s->first[i] = begin;
    }
    s->first[s->rows] = end;
    return true;
}

/* Multiply a right-hand side by its row's factor. */
static void multiply(const struct field *f, struct num *x, int64_t factor)
{
    int64_t whole;
    if (factor == 1 || residue_zero(x->residue))
        return;
    if (x->denominator == factor && x->slack == 0)
        *x = num_integer(f, x->numerator);
    else if (x->denominator != 0 && x->slack == 0 && factor % x->denominator == 0 &&
             !__builtin_mul_overflow(x->numerator, factor / x->denominator, &whole))
        *x = num_integer(f, whole);
    else
        *x = num_mul(f, *x, num_integer(f, factor));
}

bool sparse_arrange(const struct added *added, struct arena *arena, const struct field *f, int rows,
                    int columns, struct num *right, int rights, struct sparse *ret,
                    bool *ret_unlucky)
{
    *ret = (struct sparse){.rows = rows,
                           .columns = columns,
                           .first = arena_alloc(arena, sizeof(int32_t) * (size_t)(rows + 2)),
                           .factor = arena_alloc(arena, sizeof(double) * (size_t)(rows + 1))};
    if (ret->first == NULL || ret->factor == NULL ||
        !find_factors(added, arena, right, rights, ret))
        return false;
    for (int i = 0; i < rows; i++)
        ret->first[i + 1] += ret->first[i];
    int32_t count = ret->first[rows];
    ret->column = arena_room(arena, sizeof *ret->column * (size_t)(count + 1));
    ret->value = arena_room(arena, sizeof *ret->value * (size_t)(count + 1));
    if (ret->column == NULL || ret->value == NULL)
        return false;
    int32_t *next = arena_room(arena, sizeof *next * (size_t)(rows + 1));
    if (next == NULL)
        return false;
    memcpy(next, ret->first, sizeof *next * (size_t)rows);
    int32_t previous = 0;
    bool may_repeat = false; /* where columns came one by one, a place can only follow itself */
    for (const struct chunk *c = added->first; c != NULL; c = c->next)
        for (int k = 0; k < c->count; k++) {
            const struct coefficient *x = &c->coefficient[k];
            int32_t at = next[x->row]++;
            if (!put(ret, arena, f, x, at, count))
                return false;
            may_repeat |= x->column < previous ||
                          (at > ret->first[x->row] && ret->column[at - 1] == x->column);
            previous = x->column;
        }
    if (may_repeat && !add_up(ret, arena, f, ret_unlucky))
        return false;
    bool is_one = true;
    for (int i = 0; i < rows; i++) {
        if (ret->factor[i] == 0)
            ret->factor[i] = 1;
        is_one &= ret->factor[i] == 1;
        for (int k = 0; k < rights; k++)
            multiply(f, &right[i * rights + k], (int64_t)ret->factor[i]);
    }
    if (is_one)
        ret->factor = NULL;
    return true;
}

bool sparse_transpose(const struct sparse *s, struct arena *arena, struct sparse *ret)
{
    int32_t count = s->first[s->rows];
    struct sparse t = {.rows = s->columns,
                       .columns = s->rows,
                       .first = arena_alloc(arena, sizeof(int32_t) * (size_t)(s->columns + 2)),
                       .column = arena_room(arena, sizeof(int32_t) * (size_t)(count + 1)),
                       .value = arena_room(arena, sizeof(double) * (size_t)(count + 1))};
    if (s->rough != NULL)
        t.rough = arena_room(arena, sizeof *t.rough * (size_t)(count + 1));
    if (!t.first || !t.column || !t.value || (s->rough != NULL && t.rough == NULL))
        return false;
    /* The beginning of column j is kept at j + 1, until it has moved on to its end. */
    for (int32_t k = 0; k < count; k++)
        t.first[s->column[k] + 2]++;
    for (int j = 1; j <= t.rows; j++)
        t.first[j + 1] += t.first[j];
    for (int i = 0; i < s->rows; i++)
        for (int32_t k = s->first[i]; k < s->first[i + 1]; k++) {
            int32_t at = t.first[s->column[k] + 1]++;
            t.column[at] = i;
            t.value[at] = s->value[k];
            if (s->rough != NULL)
                t.rough[at] = s->rough[k];
        }
    *ret = t;
    return true;
}

struct residue sparse_residue(const struct sparse *s, int32_t k, const struct field *own,
                              const struct field *f)
{
    const struct num *rough = sparse_rough(s, k);
    if (rough == NULL)
        return residue_integer(f, (int64_t)s->value[k]);
    if (f == own)
        return rough->residue;
    if (rough->denominator == 0 || residue_zero(residue_integer(f, rough->denominator)))
        return (struct residue){0, 0};
    return residue_rational(f, rough->numerator, rough->denominator);
}
