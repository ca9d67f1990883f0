#include "statics/board.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "statics/point.h"
#include "work/slip.h"

static void reserve_names(struct work *w, const struct loads_input *loads)
{
    for (int i = 0; i < loads->force_count; i++)
        work_reserve(w, loads->force[i].name);
    for (int i = 0; i < loads->couple_count; i++)
        work_reserve(w, loads->couple[i].name);
    for (int i = 0; i < loads->distributed_count; i++)
        work_reserve(w, loads->distributed[i].name);
}

void board_begin(struct board *b, struct work *w, const struct loads_input *loads,
                 struct problem *reterr)
{
    size_t points = (size_t)loads->point_count;
    *b = (struct board){.w = w, .loads = loads, .reterr = reterr, .up = loads->up};
    if (!loads->has_up)
        b->up = (struct half_axis){loads->space ? 2 : 1, 1};
    work_begin(w, loads->units, loads->space);
    w->wants_key = w->wants_key || loads->wants_key;
    w->radian_decimals = loads->radian_decimals;
    reserve_names(w, loads);
    b->place = arena_alloc(w->arena, (points + 1) * sizeof *b->place);
    b->is_placed = arena_alloc(w->arena, (points + 1) * sizeof *b->is_placed);
    if (!b->place || !b->is_placed) {
        w->failed = true;
        return;
    }
    for (int k = 0; k < loads->point_count; k++)
        slip_place(w, loads->point[k].name, point_place(b, k));
}

bool board_has_faults(const struct board *b) { return b->reterr->faults_found > 0; }

enum problem_code board_end(struct board *b)
{
    if (b->w->failed)
        return problem_set(b->reterr, PROBLEM_OVERLOADED,
                           "The request needs more memory than it may have.");
    return board_has_faults(b) ? PROBLEM_INVALID_REQUEST : work_in_bounds(b->w, b->reterr);
}

enum problem_code board_unsolved(struct board *b)
{
    work_beyond(b->w, BEYOND_DIGITS, true);
    return board_end(b);
}

enum problem_code board_unbalanced(struct board *b, const char *detail)
{
    bool is_doubtful = b->w->doubt_digits || b->w->doubt_rounding;
    return is_doubtful ? board_unsolved(b) : work_contradicted(b->w, b->reterr, detail);
}

int board_axes(const struct board *b) { return b->loads->space ? 3 : 2; }

const char *half_axis_name(struct half_axis a)
{
    static const char *const names[3][2] = {{"−x", "+x"}, {"−y", "+y"}, {"−z", "+z"}};
    return names[a.axis][a.sign > 0];
}

struct half_axis half_axis_cross(struct half_axis u, struct half_axis v)
{
    int sign = v.axis == (u.axis + 1) % 3 ? u.sign * v.sign : -u.sign * v.sign;
    return (struct half_axis){3 - u.axis - v.axis, sign};
}

struct half_axis half_axis_turned(struct half_axis a)
{
    return half_axis_cross((struct half_axis){2, 1}, a);
}

struct half_axis half_axis_reversed(struct half_axis a)
{
    return (struct half_axis){a.axis, -a.sign};
}

const char *name_sub(struct work *w, const char *name)
{
    const char *tail = name[0] == 'F' ? name + 1 + (name[1] == '_') : name;
    if (tail > name && tail[0] >= '0' && tail[0] <= '9')
        return tail;
    char *sub = arena_text(w->arena, name, strlen(name)), *end = sub;
    for (const char *c = name; sub && *c; c++)
        if (*c != '_')
            *end++ = *c;
    if (sub)
        *end = '\0';
    return sub ? sub : name;
}

const char *fault_number(struct board *b, double value, int figures)
{
    struct number_text t = number_to_figures(value, figures, false);
    const char *sign = t.negative ? "-" : "";
    const char *text = t.exponent10 == 0
                           ? arena_printf(b->w->arena, "%s%s", sign, t.digits)
                           : arena_printf(b->w->arena, "%s%s·10^%d", sign, t.digits, t.exponent10);
    return text ? text : "";
}

double typed_rounding(const struct given *given)
{
    const char *point = memchr(given->text, '.', given->length);
    const char *exponent = strpbrk(given->text, "eE");
    const char *end = given->text + given->length;
    if (exponent && exponent < end)
        end = exponent;
    double places = point && point < end ? (double)(end - point - 1) : 0.0;
    double power =
        exponent && exponent < given->text + given->length ? strtod(exponent + 1, NULL) : 0.0;
    bool is_degrees = given->unit.dimension.angle && given->unit.base.angle == UNIT_DEG;
    return 0.5 * pow(10.0, power - places) * (is_degrees ? RADIANS_PER_DEGREE : 1.0);
}
