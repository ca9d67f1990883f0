/* unit.h: units of statics. One table; factors are exact (NIST SP 811, appendix B). */
#ifndef VECTOR_UNIT_H
#define VECTOR_UNIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A dimension as exponents; a ratio has all 0. Angles are dimensionless but tagged, so that a unit
 * can be printed. */
struct dimension {
    int8_t force, length, mass, acceleration;
    bool angle;
};

static inline bool dimension_same(struct dimension a, struct dimension b)
{
    return a.force == b.force && a.length == b.length && a.mass == b.mass &&
           a.acceleration == b.acceleration && a.angle == b.angle;
}

enum unit_force { UNIT_N, UNIT_KN, UNIT_MN, UNIT_LB, UNIT_KIP, UNIT_KGF, UNIT_FORCE_MAX_ };
enum unit_length { UNIT_MM, UNIT_CM, UNIT_M, UNIT_KM, UNIT_IN, UNIT_FT, UNIT_LENGTH_MAX_ };
enum unit_angle { UNIT_DEG, UNIT_RAD, UNIT_ANGLE_MAX_ };
enum unit_mass { UNIT_G, UNIT_KG, UNIT_MG, UNIT_SLUG, UNIT_MASS_MAX_ };
enum unit_acceleration { UNIT_M_S2, UNIT_FT_S2, UNIT_ACCELERATION_MAX_ };

/* The units of a request: what bare numbers are in, and what the answer is in. */
struct units {
    enum unit_force force;
    enum unit_length length;
    enum unit_angle angle;
    enum unit_mass mass;
    enum unit_acceleration acceleration;
};

/* One unit as typed: "kN", "kN·m", "kN*m", "lb/ft", "deg", "kg". Which bases it names, and its
 * dimension. */
struct unit {
    struct dimension dimension;
    struct units base; /* only the fields that the dimension uses count */
};

/* Read a unit of exactly `wanted` dimension. False: unknown, or of another dimension; nothing is
 * written then. */
bool unit_read(const char *text, size_t length, struct dimension wanted, struct unit *ret_unit);

/* The factor by which a number in `from` is multiplied to be in `to` (same dimension), as an exact
 * fraction of two decimals (texts owned by the table or static): e.g. lb -> N "4.4482216152605" /
 * "1", in -> ft "1"/"12", where that is how it is said: an integer, one over an integer, a decimal,
 * one over a decimal, else a fraction. Exponents from -2 to 2. Angles are not converted here (the
 * factor is a multiple of pi). *ret_same is true where no conversion is needed. */
void unit_factor(struct dimension dimension, struct units from, struct units to,
                 char ret_numerator[48], char ret_denominator[48], bool *ret_same);

#define RADIANS_PER_DEGREE 0.017453292519943295769
#define RADIANS_PER_TURN 6.283185307179586476925

/* A unit of angle in radians, and a whole turn in it. */
static inline double unit_angle_radians(enum unit_angle u)
{
    return u == UNIT_DEG ? RADIANS_PER_DEGREE : 1.0;
}
static inline double unit_angle_turn(enum unit_angle u)
{
    return u == UNIT_DEG ? 360.0 : RADIANS_PER_TURN;
}

const char *unit_force_name(enum unit_force u);   /* "kN" */
const char *unit_length_name(enum unit_length u); /* "ft" */
const char *unit_angle_name(enum unit_angle u);   /* "deg", "rad" */
const char *unit_mass_name(enum unit_mass u);
const char *unit_acceleration_name(enum unit_acceleration u);    /* "m/s²" */
const char *unit_force_spoken(enum unit_force u, bool plural);   /* "kilonewtons" */
const char *unit_length_spoken(enum unit_length u, bool plural); /* "feet" */
const char *unit_mass_spoken(enum unit_mass u, bool plural);
const char *unit_acceleration_spoken(enum unit_acceleration u);

#endif
