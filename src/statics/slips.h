/* slips.h: the wrong lines that stand beside the right ones, where answers are to be checked. */
#ifndef STATICS_SLIPS_H
#define STATICS_SLIPS_H

#include "statics/moment.h"
#include "statics/polar.h"
#include "statics/system.h"
#include "work/slip.h"

struct assembly;

/* Components of one force: exchanged, their signs, the slope triangle, left out, counted twice. */
void slips_of_force(struct board *b, const struct force_input *in, const struct load *load);
/* A weight taken for its mass, before its components. */
void slips_of_weight(struct work *w, const struct force_input *in, q magnitude, q gravity);
/* All forces alike: signs left off, calculator in radians. */
void slips_of_forces(struct board *b, const struct system *s);
/* Plane: the parts along two oblique axes, taken for the projections F cos of `turn`, the angles
 * from the axes to the force. */
void slips_of_oblique(struct work *w, const q part[2], q size, const q turn[2]);
/* A couple: its sense, left out, multiplied by a distance. */
void slips_of_load_couple(struct board *b, const struct couple_input *in, qv couple);
/* The resultant's vector, before its size is worked: the balancing force, a sign lost. */
void slips_of_sum(struct work *w, qv sum);
/* Its magnitude: sizes added, Pythagoras on sizes, cosine law with the wrong angle, … */
void slips_of_size(struct work *w, const struct system *s, const struct polar *R);
/* Magnitude from components. */
void slips_of_norm(struct work *w, qv vector, q magnitude);
/* A direction from components in the quadrant it lies in. */
void slips_of_heading(struct work *w, q angle, q x, q y, int quadrant);

/* The moment of one load about a centre, r its lever; plane and space. */
void slips_of_moment(struct board *b, const struct load *load, qv r, qv moment);
/* All forces alike, before the sum of moments. */
void slips_of_moments(struct board *b, const struct system *s, const struct centre *c,
                      const qv *moment, uint32_t count);
/* The sum of moments. */
void slips_of_couple(struct board *b, const struct system *s, const struct centre *c, qv couple,
                     qv resultant);

/* ---- equilibrium ---- */

/* Plane: an unknown force along `aim`, its angle read from the other axis. */
void slips_of_aim(struct work *w, enum slip slip, const struct aim *aim, const char *pointer,
                  const char *name);
/* Plane: the calculator in radians, for the directions of unknowns, worked from node `from` until
 * now, and for all known loads. */
void slips_of_aims(struct work *w, uint32_t from);
/* A support that pushes along an inclined normal, taken to push along `up`. */
void slips_of_roller(struct work *w, const struct aim *aim, struct half_axis up,
                     const char *pointer, const char *name);
/* One load's term of a sum of moments. */
void slips_of_term(struct board *b, const struct load *load, qv place, qv centre, q term);
/* The answers of bodies: their senses, exchanged, shared by halves, a couple forgotten, one of them
 * taken to balance the sum of forces alone, a part given to a roller that has none. */
void slips_of_reactions(struct assembly *a);
/* Forces of unknown size along given lines that hold `load`: their senses, all taken equal. */
void slips_of_cables(struct work *w, const q *tension, const struct aim *aim, int count, qv load,
                     struct half_axis up);
/* A force found by division: multiplied instead, or not divided. */
void slips_of_solved(struct work *w, q x, const char *name);
/* A member: tension for compression; zero by a rule that does not hold. `hand`: as it was worked,
 * where that rule may seem to hold, or {0}. */
void slips_of_member(struct work *w, const char *pointer, const char *name, q hand, q force);
/* "/members/3"; NULL where slips are not kept. */
const char *slips_member_pointer(struct work *w, int member);
/* All members: tension for compression. */
void slips_of_members(struct work *w, const q *force, int count);
/* A force that is known at a part which was worked from node `from` until now: it entered with the
 * other sign (SLIP_TR_CARRY) or not at all. `copy` is the same number under another node, from
 * before. */
void slips_of_carried(struct work *w, enum slip slip, const char *pointer, const char *name,
                      uint32_t from, q copy, q force);

#endif
