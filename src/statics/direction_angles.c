#include "statics/direction_angles.h"

#include <math.h>
#include <stdlib.h>

#include "statics/notes.h"

static const struct dimension ratio = {0};
static const struct dimension angle_dimension = {.angle = true};

#define RIGHT_ANGLE_RADIANS 1.57079632679489661923

static const char *const greek[3] = {"α", "β", "γ"};
static const char *const greek_member[3] = {"alpha", "beta", "gamma"};

static double in_radians(const struct work *w, double angle)
{
    return w->units.angle == UNIT_DEG ? angle / 90.0 * RIGHT_ANGLE_RADIANS : angle;
}

/* The least and the largest cos² that an angle may have, typed as it is. */
static void cosine_square_range(double angle, double rounding, double *low, double *high)
{
    double a = fmax(0.0, angle - rounding), b = fmin(2.0 * RIGHT_ANGLE_RADIANS, angle + rounding);
    double at_a = cos(a) * cos(a), at_b = cos(b) * cos(b);
    *low = a <= RIGHT_ANGLE_RADIANS && b >= RIGHT_ANGLE_RADIANS ? 0.0 : fmin(at_a, at_b);
    *high = fmax(at_a, at_b);
}

struct direction_angles {
    const struct direction *d;
    q angle[3], cosine[3]; /* {0} where no number is given */
    int numbers, missing;  /* how many numbers; the axis without one (the last such) */
};

static struct direction_angles read_angles(struct work *w, const struct direction *d)
{
    struct direction_angles a = {.d = d, .missing = -1};
    for (int axis = 0; axis < 3; axis++) {
        if (!d->direction_angle[axis].present) {
            a.missing = axis;
            continue;
        }
        a.numbers++;
        a.angle[axis] = q_given(w, &d->direction_angle[axis], angle_dimension);
        a.cosine[axis] = q_cos(w, a.angle[axis]);
    }
    return a;
}

/* cos²α + cos²β (+ cos²γ) of the numbers given. */
static q sum_of_squares(struct work *w, const struct direction_angles *a)
{
    q square[3];
    uint32_t count = 0;
    for (int axis = 0; axis < 3; axis++)
        if (!q_is_none(a->cosine[axis]))
            square[count++] = q_square(w, a->cosine[axis]);
    return q_sum(w, square, count);
}

/* The sum as text, with as many figures as it takes to differ from 1. */
static const char *sum_text(struct board *b, q sum)
{
    const char *text = fault_number(b, q_value(b->w, sum), 4);
    for (int figures = 5; figures <= 12 && strtod(text, NULL) == 1.0; figures++)
        text = fault_number(b, q_value(b->w, sum), figures);
    return text;
}

/* Could the sum be 1 if every angle is known to half a unit of its last digit? */
static bool may_be_one(struct board *b, const struct direction_angles *a)
{
    double low = 0.0, high = 0.0;
    for (int axis = 0; axis < 3; axis++) {
        if (q_is_none(a->angle[axis]))
            continue;
        double least, most;
        cosine_square_range(in_radians(b->w, q_value(b->w, a->angle[axis])),
                            typed_rounding(&a->d->direction_angle[axis]), &least, &most);
        low += least;
        high += most;
    }
    return low <= 1.0 && high >= 1.0;
}

static const char *angles_pointer(struct board *b, const struct direction_angles *a)
{
    const char *pointer = arena_printf(b->w->arena, "%s/direction_angles", a->d->pointer);
    return pointer ? pointer : "";
}

/* cos α / n with n = √(cos²α + …), so that the direction has the length 1. */
static void normalise(struct board *b, const struct direction_angles *a, q sum, const char *owner,
                      struct aim *aim)
{
    struct work *w = b->w;
    q n = q_name(w, q_sqrt(w, sum), symbol_own(w, "n", name_sub(w, owner)));
    work_say(w, PHRASE("The squares of the cosines add to {}, which the rounding of the angles "
                       "explains: each cosine is divided by the root of that sum.",
                       arg_value(sum)));
    work_define(w, n);
    q c[3];
    for (int axis = 0; axis < 3; axis++)
        c[axis] = q_is_none(a->cosine[axis]) ? q_integer(w, 0, ratio) : a->cosine[axis];
    *aim = aim_over(w, qv_of(w, c[0], c[1], c[2]), n);
    note_add(w, NOTE_NORMALISED,
             PHRASE("The squares of the cosines of the direction angles of {} add to {}, not to "
                    "one, within the rounding of the angles: the direction was scaled to length "
                    "one.",
                    arg_name(owner), arg_value(sum)));
}

static bool by_three_angles(struct board *b, const struct direction_angles *a, const char *owner,
                            struct aim *aim)
{
    struct work *w = b->w;
    q sum = sum_of_squares(w, a);
    bool doubt_digits = w->doubt_digits;
    bool is_one = q_is_zero(w, q_sub(w, sum, q_integer(w, 1, ratio)));
    w->doubt_digits = doubt_digits; /* angles of ten figures and more, from another answer, fit */
    if (is_one) {
        for (int axis = 0; axis < 3; axis++) {
            aim->part[axis].sign = 1;
            aim->part[axis].factor = a->cosine[axis];
        }
        return true;
    }
    if (may_be_one(b, a)) {
        normalise(b, a, sum, owner, aim);
        return true;
    }
    problem_fault(b->reterr, angles_pointer(b, a), FAULT_DIRECTION_ANGLES,
                  "The squares of the cosines add to %s, not to 1: no direction has these three "
                  "angles. Give two of them, and say whether the third is acute or obtuse.",
                  sum_text(b, sum));
    return false;
}

/* No third angle and no word for it: both are shown. */
static bool fault_two_thirds(struct board *b, const struct direction_angles *a, q third)
{
    double acute = q_value(b->w, third);
    double other = 0.5 * unit_angle_turn(b->w->units.angle) - acute;
    const char *unit = b->w->units.angle == UNIT_DEG ? "°" : " rad";
    problem_fault(b->reterr, angles_pointer(b, a), FAULT_DIRECTION_ANGLES,
                  "Two direction angles leave two directions: %s is %s%s or %s%s. Say \"acute\" or "
                  "\"obtuse\" for %s.",
                  greek_member[a->missing], fault_number(b, acute, 4), unit,
                  fault_number(b, other, 4), unit, greek_member[a->missing]);
    return false;
}

/* cos γ = ±√(1 − cos²α − cos²β) */
static bool by_two_angles(struct board *b, const struct direction_angles *a, const char *owner,
                          struct aim *aim)
{
    struct work *w = b->w;
    q sum = sum_of_squares(w, a), rest = q_sub(w, q_integer(w, 1, ratio), sum);
    int sign = q_sign(w, rest);
    if (sign < 0 && may_be_one(b, a)) {
        normalise(b, a, sum, owner, aim);
        return true;
    }
    if (sign < 0) {
        problem_fault(b->reterr, angles_pointer(b, a), FAULT_DIRECTION_ANGLES,
                      "The squares of these two cosines add to %s, more than 1: no direction has "
                      "these two angles.",
                      sum_text(b, sum));
        return false;
    }
    enum angle_word word = a->d->word[a->missing];
    q cosine = q_sqrt(w, rest);
    if (sign > 0 && word == WORD_NONE)
        return fault_two_thirds(b, a, q_acos(w, cosine));
    if (word == WORD_OBTUSE)
        cosine = q_neg(w, cosine);
    q third = q_name(w, q_acos(w, cosine), symbol_own(w, greek[a->missing], name_sub(w, owner)));
    work_say(w, PLAIN("The squares of the three cosines add to one."));
    work_define(w, third);
    for (int axis = 0; axis < 3; axis++) {
        aim->part[axis].sign = 1;
        aim->part[axis].factor = axis == a->missing ? q_cos(w, third) : a->cosine[axis];
    }
    return true;
}

bool direction_by_angles(struct board *b, const struct direction *d, const char *owner,
                         struct aim *aim)
{
    struct direction_angles a = read_angles(b->w, d);
    return a.numbers == 3 ? by_three_angles(b, &a, owner, aim) : by_two_angles(b, &a, owner, aim);
}
