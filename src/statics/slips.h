/* slips.h: the wrong lines that stand beside the right ones, where answers are to be checked. */
#ifndef STATICS_SLIPS_H
#define STATICS_SLIPS_H

#include "statics/moment.h"
#include "statics/polar.h"
#include "statics/system.h"

/* Components of one force: exchanged, their signs, the slope triangle, left out, counted twice. */
void slips_of_force(struct board *b, const struct force_input *in, const struct load *load);
/* A weight taken for its mass, before its components. */
void slips_of_weight(struct work *w, const struct force_input *in, q magnitude, q gravity);
/* All forces alike: signs left off, calculator in radians. */
void slips_of_forces(struct board *b, const struct system *s);
/* The resultant's vector, before its size is worked: the balancing force. */
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

#endif
