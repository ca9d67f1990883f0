#include "statics/sensitivity.h"

#include <math.h>

#include "statics/notes.h"

#define MOVED 1e-3       /* of the least distance between two places; in radians for a line */
#define PATTERNS 4       /* of signs */
#define WORTH_A_NOTE 0.1 /* of the largest force */

/* ±1, the same in every run (splitmix64; Steele, Lea, Flood 2014). */
static double sign_of(unsigned pattern, unsigned k)
{
    uint64_t z = ((uint64_t)pattern << 32 | k) * 0x9e3779b97f4a7c15u + 0x9e3779b97f4a7c15u;
    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
    z = (z ^ z >> 27) * 0x94d049bb133111ebu;
    return (z ^ z >> 31) & 1 ? 1.0 : -1.0;
}

static double least_distance(const struct assembly *a)
{
    double least = (double)INFINITY;
    for (int i = 0; i < a->site_count; i++)
        for (int j = i + 1; j < a->site_count; j++) {
            double d = exact_length(exact_sub(a->b->w->field, a->site[i].at, a->site[j].at));
            least = d < least ? d : least;
        }
    return isfinite(least) ? least : 0.0;
}

static void cross(const double a[3], const double b[3], double ret[3])
{
    for (int k = 0; k < 3; k++)
        ret[k] = a[(k + 1) % 3] * b[(k + 2) % 3] - a[(k + 2) % 3] * b[(k + 1) % 3];
}

/* Has the unknown one line of action, which may be turned? */
static bool has_line(const struct unknown *u)
{
    int forces = 0;
    for (int k = 0; k < u->reaction.count; k++)
        forces += !u->reaction.part[k].is_couple;
    return forces == 1;
}

/* What one pull adds to the equations when it is moved and turned. */
static void disturb(const struct assembly *a, const struct pull *p, unsigned pattern, double reach,
                    double size, double *b)
{
    int forces = a->b->loads->space ? 3 : 2;
    unsigned site = (unsigned)a->unknown[p->unknown].site;
    double f[3], way[3] = {0}, spin[3] = {0}, turned[3], arm[3], moment[3], shift[3];
    for (int k = 0; k < 3; k++) {
        f[k] = p->force.c[k].value * size;
        if (k < forces)
            way[k] = MOVED * reach * sign_of(pattern, 3 * site + (unsigned)k);
        arm[k] = a->site[site].at.c[k].value - a->origin.c[k].value;
        if (has_line(&a->unknown[p->unknown]) && (forces == 3 || k == 2))
            spin[k] = MOVED * sign_of(pattern, 3000 + 3 * (unsigned)p->unknown + (unsigned)k);
    }
    cross(spin, f, turned);
    cross(way, f, shift);
    cross(arm, turned, moment);
    double *own = b + p->body * a->per_body;
    for (int k = 0; k < forces; k++)
        own[k] -= turned[k];
    for (int i = forces; i < a->per_body; i++) {
        int k = forces == 3 ? i - 3 : 2;
        own[i] -= shift[k] + moment[k];
    }
}

static int largest_force(const struct assembly *a)
{
    int largest = -1;
    for (int j = 0; j < a->column_count; j++)
        if (!a->column[j].is_couple && fabs(a->column[j].value.value) > 0.0 &&
            (largest < 0 || fabs(a->column[j].value.value) > fabs(a->column[largest].value.value)))
            largest = j;
    return largest;
}

static void add_note(struct assembly *a, int column, double change)
{
    struct work *w = a->b->w;
    struct num found = num_generic(w->field, 0, change, 0.0);
    q share = q_unknown(w, found, (struct dimension){0}, (q){0}, 0.0);
    const struct column *c = &a->column[column];
    note_add(w, NOTE_SENSITIVE_GEOMETRY,
             PHRASE("The geometry is nearly critical: if the places of the unknowns moved by a "
                    "thousandth of their least distance, and their lines turned by a thousandth of "
                    "a radian, {} could change by {} of itself.",
                    arg_name(a->unknown[c->unknown].reaction.part[c->part].text),
                    arg_value(share)));
}

void sensitivity_note(struct assembly *a)
{
    struct arena *arena = a->b->w->arena;
    int column = largest_force(a);
    double reach = least_distance(a), worst = 0.0;
    double *b = arena_alloc(arena, ((size_t)a->equations + 1) * sizeof *b);
    double *x = arena_alloc(arena, ((size_t)a->column_count + 1) * sizeof *x);
    if (!b || !x) {
        a->b->w->failed = true;
        return;
    }
    if (column < 0)
        return;
    for (unsigned pattern = 0; pattern < PATTERNS; pattern++) {
        for (int i = 0; i < a->equations; i++)
            b[i] = 0.0;
        for (int i = 0; i < a->pull_count; i++) {
            const struct pull *p = &a->pull[i];
            disturb(a, p, pattern, reach, linear_value(a->linear, p->column, 0).value, b);
        }
        linear_solve_again(a->linear, b, x);
        double before = fabs(linear_value(a->linear, column, 0).value);
        worst = fmax(worst, fabs(x[column]) / before);
    }
    if (worst >= WORTH_A_NOTE)
        add_note(a, column, worst);
}
