#include "vector/unit.h"

#include <string.h>

__extension__ typedef unsigned __int128 u128;

/* In SI: mantissa x 10^exponent10, over 0.3048 for the slug (1 slug = 1 lb s²/ft). Exact by
 * definition: NIST SP 811 (2008), appendix B: 1 lbf = 0.45359237 kg x 9.80665 m/s², 1 in = 25.4 mm,
 * 1 ft = 12 in. */
struct row {
    const char *name, *spoken, *plural;
    uint64_t mantissa;
    int exponent10;
    bool per_foot;
};

static const struct row forces[UNIT_FORCE_MAX_] = {
    [UNIT_N] = {"N", "newton", "newtons", 1, 0, false},
    [UNIT_KN] = {"kN", "kilonewton", "kilonewtons", 1, 3, false},
    [UNIT_MN] = {"MN", "meganewton", "meganewtons", 1, 6, false},
    [UNIT_LB] = {"lb", "pound", "pounds", 44482216152605, -13, false},
    [UNIT_KIP] = {"kip", "kip", "kips", 44482216152605, -10, false},
    [UNIT_KGF] = {"kgf", "kilogram-force", "kilograms-force", 980665, -5, false},
};
static const struct row lengths[UNIT_LENGTH_MAX_] = {
    [UNIT_MM] = {"mm", "millimetre", "millimetres", 1, -3, false},
    [UNIT_CM] = {"cm", "centimetre", "centimetres", 1, -2, false},
    [UNIT_M] = {"m", "metre", "metres", 1, 0, false},
    [UNIT_KM] = {"km", "kilometre", "kilometres", 1, 3, false},
    [UNIT_IN] = {"in", "inch", "inches", 254, -4, false},
    [UNIT_FT] = {"ft", "foot", "feet", 3048, -4, false},
};
static const struct row angles[UNIT_ANGLE_MAX_] = {
    [UNIT_DEG] = {"deg", "degree", "degrees", 1, 0, false},
    [UNIT_RAD] = {"rad", "radian", "radians", 1, 0, false},
};
static const struct row masses[UNIT_MASS_MAX_] = {
    [UNIT_G] = {"g", "gram", "grams", 1, -3, false},
    [UNIT_KG] = {"kg", "kilogram", "kilograms", 1, 0, false},
    [UNIT_MG] = {"Mg", "megagram", "megagrams", 1, 3, false},
    [UNIT_SLUG] = {"slug", "slug", "slugs", 44482216152605, -13, true},
};
static const struct row accelerations[UNIT_ACCELERATION_MAX_] = {
    [UNIT_M_S2] = {"m/s²", "metres per second squared", "metres per second squared", 1, 0, false},
    [UNIT_FT_S2] = {"ft/s²", "feet per second squared", "feet per second squared", 3048, -4, false},
};

const char *unit_force_name(enum unit_force u) { return forces[u].name; }
const char *unit_length_name(enum unit_length u) { return lengths[u].name; }
const char *unit_angle_name(enum unit_angle u) { return angles[u].name; }
const char *unit_mass_name(enum unit_mass u) { return masses[u].name; }
const char *unit_acceleration_name(enum unit_acceleration u) { return accelerations[u].name; }
const char *unit_force_spoken(enum unit_force u, bool plural)
{
    return plural ? forces[u].plural : forces[u].spoken;
}
const char *unit_length_spoken(enum unit_length u, bool plural)
{
    return plural ? lengths[u].plural : lengths[u].spoken;
}
const char *unit_mass_spoken(enum unit_mass u, bool plural)
{
    return plural ? masses[u].plural : masses[u].spoken;
}
const char *unit_acceleration_spoken(enum unit_acceleration u) { return accelerations[u].spoken; }

/* ---- reading ---- */

/* The unit of this kind with which `text` begins, if longer than *longest. */
static bool begins_with(const struct row *rows, int count, const char *text, size_t length,
                        size_t *longest, int *which)
{
    bool found = false;
    for (int i = 0; i < count; i++) {
        size_t n = strlen(rows[i].name);
        if (n <= length && n > *longest && memcmp(text, rows[i].name, n) == 0) {
            *longest = n;
            *which = i;
            found = true;
        }
    }
    return found;
}

/* Read one base unit, to the power +1 or -1; returns its length, 0 for none. */
static size_t read_base(const char *text, size_t length, int power, struct unit *u)
{
    static const char *const ascii[] = {"m/s^2", "ft/s^2"}; /* accelerations without the ² */
    enum { FORCE, LENGTH, ANGLE, MASS, ACCELERATION } kind = FORCE;
    size_t longest = 0;
    int which = 0;
    if (begins_with(forces, UNIT_FORCE_MAX_, text, length, &longest, &which))
        kind = FORCE;
    if (begins_with(lengths, UNIT_LENGTH_MAX_, text, length, &longest, &which))
        kind = LENGTH;
    if (begins_with(angles, UNIT_ANGLE_MAX_, text, length, &longest, &which))
        kind = ANGLE;
    if (begins_with(masses, UNIT_MASS_MAX_, text, length, &longest, &which))
        kind = MASS;
    if (begins_with(accelerations, UNIT_ACCELERATION_MAX_, text, length, &longest, &which))
        kind = ACCELERATION;
    for (int i = 0; i < UNIT_ACCELERATION_MAX_; i++) {
        size_t n = strlen(ascii[i]);
        if (n <= length && n > longest && memcmp(text, ascii[i], n) == 0) {
            longest = n;
            which = i;
            kind = ACCELERATION;
        }
    }
    if (longest == 0)
        return 0;
    int8_t *exponent = NULL;
    switch (kind) {
    case FORCE:
        exponent = &u->dimension.force;
        u->base.force = (enum unit_force)which;
        break;
    case LENGTH:
        exponent = &u->dimension.length;
        u->base.length = (enum unit_length)which;
        break;
    case MASS:
        exponent = &u->dimension.mass;
        u->base.mass = (enum unit_mass)which;
        break;
    case ACCELERATION:
        exponent = &u->dimension.acceleration;
        u->base.acceleration = (enum unit_acceleration)which;
        break;
    case ANGLE:
        if (u->dimension.angle || power < 0)
            return 0;
        u->dimension.angle = true;
        u->base.angle = (enum unit_angle)which;
        return longest;
    }
    if (*exponent != 0) /* one kind twice: m·m, ft/in */
        return 0;
    *exponent = (int8_t)power;
    return longest;
}

/* The length of a sign for times: *, · (U+00B7), ⋅ (U+22C5); 0 for none. */
static size_t times_sign(const char *text, size_t length)
{
    static const char *const signs[] = {"*", "\xc2\xb7", "\xe2\x8b\x85"};
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        size_t n = strlen(signs[i]);
        if (n <= length && memcmp(text, signs[i], n) == 0)
            return n;
    }
    return 0;
}

bool unit_read(const char *text, size_t length, struct dimension wanted, struct unit *ret_unit)
{
    struct unit u = {0};
    int power = 1;
    for (size_t i = 0;;) {
        size_t n = read_base(text + i, length - i, power, &u);
        if (n == 0)
            return false;
        i += n;
        if (i == length)
            break;
        if (power < 0) /* nothing follows what stands under the line */
            return false;
        if (text[i] == '/') {
            power = -1;
            i++;
        } else {
            n = times_sign(text + i, length - i);
            if (n == 0)
                return false;
            i += n;
        }
    }
    struct dimension d = u.dimension;
    if (!dimension_same(d, wanted))
        return false;
    *ret_unit = u;
    return true;
}

/* ---- factors ---- */

/* above/below x 10^exponent10; powers of ten are kept apart. */
struct factor {
    u128 above, below;
    int above_exponent10, below_exponent10;
};

static u128 gcd(u128 x, u128 y)
{
    while (y != 0) {
        u128 rest = x % y;
        x = y;
        y = rest;
    }
    return x;
}

static void include(struct factor *f, const struct row *unit, int power)
{
    for (; power > 0; power--) {
        f->above *= unit->mantissa;
        f->above_exponent10 += unit->exponent10;
        if (unit->per_foot) {
            f->below *= 3048;
            f->below_exponent10 += -4;
        }
        u128 g = gcd(f->above, f->below); /* keeps them short */
        f->above /= g;
        f->below /= g;
    }
    if (power < 0) {
        struct factor inverse = {f->below, f->above, f->below_exponent10, f->above_exponent10};
        include(&inverse, unit, -power);
        *f = (struct factor){inverse.below, inverse.above, inverse.below_exponent10,
                             inverse.above_exponent10};
    }
}

static void convert_base(struct factor *f, const struct row *from, const struct row *to, int power)
{
    if (from != to) {
        include(f, from, power);
        include(f, to, -power);
    }
}

/* The decimal m x 10^exponent10, plain. */
static void write_decimal(u128 m, int exponent10, char ret_text[48])
{
    char digits[48];
    int count = 0;
    for (; m % 10 == 0; m /= 10)
        exponent10++;
    for (; m > 0; m /= 10)
        digits[count++] = (char)('0' + (int)(m % 10));
    for (; count <= -exponent10 && count < 47; count++)
        digits[count] = '0';
    char *out = ret_text;
    for (int i = count - 1; i >= 0; i--) {
        *out++ = digits[i];
        if (i == -exponent10 && i > 0)
            *out++ = '.';
    }
    for (int i = 0; i < exponent10 && out < ret_text + 47; i++)
        *out++ = '0';
    *out = '\0';
}

/* Is above/below (no common factors) a terminating decimal? Then as m x 10^*exponent10. */
static bool terminates(u128 above, u128 below, u128 *m, int *exponent10)
{
    *m = above;
    *exponent10 = 0;
    while (below % 10 == 0) {
        below /= 10;
        --*exponent10;
    }
    while (below % 2 == 0) {
        below /= 2;
        *m *= 5;
        --*exponent10;
    }
    while (below % 5 == 0) {
        below /= 5;
        *m *= 2;
        --*exponent10;
    }
    while (*m % 10 == 0) {
        *m /= 10;
        ++*exponent10;
    }
    return below == 1;
}

void unit_factor(struct dimension dimension, struct units from, struct units to,
                 char ret_numerator[48], char ret_denominator[48], bool *ret_same)
{
    struct factor f = {1, 1, 0, 0};
    convert_base(&f, &forces[from.force], &forces[to.force], dimension.force);
    convert_base(&f, &lengths[from.length], &lengths[to.length], dimension.length);
    convert_base(&f, &masses[from.mass], &masses[to.mass], dimension.mass);
    convert_base(&f, &accelerations[from.acceleration], &accelerations[to.acceleration],
                 dimension.acceleration);
    int exponent10 = f.above_exponent10 - f.below_exponent10;
    *ret_same = f.above == 1 && f.below == 1 && exponent10 == 0;

    /* As it is said: 1000, 1/1000, 4.4482216152605, 1/25.4; only what is neither a decimal nor one
     * over a decimal is a fraction of two. */
    u128 m, inverse_m;
    int e, inverse_e;
    bool decimal = terminates(f.above, f.below, &m, &e);
    bool inverse = terminates(f.below, f.above, &inverse_m, &inverse_e);
    e += exponent10;
    inverse_e -= exponent10;
    if (decimal && (e >= 0 || !inverse || inverse_e < 0)) {
        write_decimal(m, e, ret_numerator);
        memcpy(ret_denominator, "1", 2);
    } else if (inverse) {
        memcpy(ret_numerator, "1", 2);
        write_decimal(inverse_m, inverse_e, ret_denominator);
    } else {
        write_decimal(f.above, f.above_exponent10, ret_numerator);
        write_decimal(f.below, f.below_exponent10, ret_denominator);
    }
}
