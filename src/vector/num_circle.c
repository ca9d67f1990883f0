/* num_circle.c: cosine and sine, as values and as a point on the circle of residues. */
#include "vector/num_parts.h"

#include "vector/factor.h"
#include "vector/unit.h"

__extension__ typedef __int128 i128;

/* The circle point that stands for a fraction of a step is named by what the fraction is counted
 * in, so that equal and opposite angles, and sums, agree. */
static unsigned circle_name(uint64_t unit)
{
    unit *= 0x9e3779b97f4a7c15;
    return (unsigned)(unit >> 32) | 1; /* 0 is for radians */
}

/* The slack of cosine and sine from that of the angle. */
static void turn_slack(double radians, struct num *cosine, struct num *sine)
{
    if (radians == 0)
        return;
    double c = fabs(cosine->value), s = fabs(sine->value);
    cosine->slack = radians * (s + radians);
    sine->slack = radians * (c + radians);
}

/* An angle without a rational: a circle point named by its residue, the same for its opposite. */
static void nameless_circle(const struct field *f, struct num angle, struct num *cosine,
                            struct num *sine)
{
    struct residue minus = residue_neg(f, angle.residue);
    bool low =
        angle.residue.a < minus.a || (angle.residue.a == minus.a && angle.residue.b < minus.b);
    struct residue name = low ? angle.residue : minus;
    residue_free_circle(f, circle_name(name.a ^ (name.b << 1)), low ? 1 : -1, &cosine->residue,
                        &sine->residue);
    cosine->generic = sine->generic = true;
}

static void multiply_circle(const struct field *f, struct num *cosine, struct num *sine,
                            struct residue c, struct residue s)
{
    struct residue cc = residue_times(f, cosine->residue, c);
    struct residue ss = residue_times(f, sine->residue, s);
    struct residue cs = residue_times(f, cosine->residue, s);
    struct residue sc = residue_times(f, sine->residue, c);
    cosine->residue = residue_minus(f, cc, ss);
    sine->residue = residue_plus(f, sc, cs);
}

/* n/d degrees in lowest terms, at most half a turn. */
static void circle_of_degrees(const struct field *f, int64_t n, int64_t d, struct num *cosine,
                              struct num *sine)
{
    const int64_t half_steps = 20000; /* of 0.00005 degrees in one */
    int64_t g = (int64_t)factor_gcd((uint64_t)half_steps, (uint64_t)d);
    d /= g;
    i128 scaled = (i128)n * (half_steps / g);
    int64_t whole = (int64_t)(scaled / d), rest = (int64_t)(scaled % d);
    if (rest > d / 2) {
        rest -= d;
        whole++;
    } else if (rest < -(d / 2)) {
        rest += d;
        whole--;
    }
    residue_circle(f, whole, &cosine->residue, &sine->residue);
    if (rest == 0)
        return;
    /* A rest in decimals is counted in 10^-18 of a half-step. */
    const int64_t finest = num_power_of_ten[18];
    int64_t unit = d;
    if (finest % d == 0) {
        rest *= finest / d;
        unit = finest;
    }
    struct residue c, s;
    residue_free_circle(f, circle_name((uint64_t)unit), rest, &c, &s);
    multiply_circle(f, cosine, sine, c, s);
    cosine->generic = sine->generic = true;
}

/* Rational cosines and sines of rational angles are 0, 1/2, 1 (Niven's theorem). */
static void note_rational(struct num *x)
{
    double twice = 2 * x->value;
    if (x->low == 0 && x->error == 0 && (twice == floor(twice))) {
        x->numerator = (int64_t)twice;
        x->denominator = 2;
        num_is_rational(*x, &x->numerator, &x->denominator);
    }
}

static void set_value(struct num *x, struct dd value, double error)
{
    x->value = value.hi;
    x->low = value.lo;
    x->error = error;
}

void num_cos_sin_degrees(const struct field *f, struct num degrees, struct num *cosine,
                         struct num *sine)
{
    *cosine = *sine = (struct num){.generic = degrees.generic, .unlucky = degrees.unlucky};
    struct dd angle = num_dd(degrees), c, s;
    double error = degrees.error;
    int64_t n, d;
    bool rational = num_is_rational(degrees, &n, &d);
    if (rational) {
        /* Whole turns come off exactly. */
        i128 turn = (i128)360 * d;
        i128 rest = n % turn;
        if (rest > turn / 2)
            rest -= turn;
        else if (rest < -(turn / 2))
            rest += turn;
        n = (int64_t)rest;
        angle = dd_div(dd_integer(n), dd_integer(d));
        error = 0;
    }
    dd_cos_sin_degrees(angle, &c, &s);
    /* 0, 1/2 and 1 come from the table, without error. */
    bool exact = rational && d == 1 && n % 30 == 0;
    error = (error + fabs(angle.hi) * unit_quotient) * RADIANS_PER_DEGREE + unit_trigonometry;
    set_value(cosine, c, exact && (n % 90 == 0 || n % 60 == 0) ? 0 : error);
    set_value(sine, s, exact && (n % 90 == 0 || n % 60 != 0) ? 0 : error);
    turn_slack(degrees.slack * RADIANS_PER_DEGREE, cosine, sine);

    if (rational) {
        circle_of_degrees(f, n, d, cosine, sine);
        note_rational(cosine);
        note_rational(sine);
    } else {
        nameless_circle(f, degrees, cosine, sine);
    }
    *cosine = settled(*cosine);
    *sine = settled(*sine);
}

void num_cos_sin_radians(const struct field *f, struct num radians, int decimals,
                         struct num *cosine, struct num *sine)
{
    if (residue_zero(radians.residue)) {
        struct num zero = num_integer(f, 0);
        zero.slack = radians.slack;
        num_cos_sin_degrees(f, zero, cosine, sine);
        turn_slack(radians.slack, cosine, sine);
        return;
    }
    *cosine = *sine = (struct num){.generic = radians.generic, .unlucky = radians.unlucky};
    struct dd c, s;
    dd_cos_sin_radians(num_dd(radians), &c, &s);
    double error = radians.error + fabs(radians.value) * unit_quotient + unit_trigonometry;
    set_value(cosine, c, error);
    set_value(sine, s, error);
    turn_slack(radians.slack, cosine, sine);

    int64_t n, d, steps;
    if (decimals < 19 && num_is_rational(radians, &n, &d) && num_power_of_ten[decimals] % d == 0 &&
        !__builtin_mul_overflow(n, num_power_of_ten[decimals] / d, &steps))
        residue_free_circle(f, 0, steps, &cosine->residue, &sine->residue);
    else
        nameless_circle(f, radians, cosine, sine);
    *cosine = settled(*cosine);
    *sine = settled(*sine);
}
