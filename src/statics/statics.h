/* statics.h: the computations. Each puts its input on the tape, works it as on the board, sets the
 * answer and closes the tape. PROBLEM_NONE; PROBLEM_INVALID_REQUEST with every fault found;
 * PROBLEM_OVERLOADED or PROBLEM_INTERNAL as work_close says. */
#ifndef STATICS_STATICS_H
#define STATICS_STATICS_H

#include "base/problem.h"
#include "statics/input.h"
#include "work/work.h"

/* One force into components; along oblique axes; onto a line (docs/resolve.md). */
enum problem_code statics_resolve(struct work *w, const struct resolve_input *input,
                                  struct problem *reterr);

/* Forces, couples and distributed loads to their resultant, or a force and a couple at a point
 * (docs/resultant.md). */
enum problem_code statics_resultant(struct work *w, const struct resultant_input *input,
                                    struct problem *reterr);

/* Unknown forces and reactions of a particle, of a rigid body, or of bodies joined by pins
 * (docs/equilibrium.md). PROBLEM_WORK_LIMIT where the equations take too much work. */
enum problem_code statics_equilibrium(struct work *w, const struct equilibrium_input *input,
                                      struct problem *reterr);

/* Unknown forces that keep a particle in equilibrium, or give it a required resultant; for inputs
 * with is_particle (docs/equilibrium.md). */
enum problem_code statics_particle(struct work *w, const struct equilibrium_input *input,
                                   struct problem *reterr);

/* The unknown member forces at one joint (docs/truss-joint.md). */
enum problem_code statics_truss_joint(struct work *w, const struct truss_joint_input *input,
                                      struct problem *reterr);

/* A whole pin-jointed truss, plane or space (docs/truss.md). PROBLEM_WORK_LIMIT where its equations
 * take too much work. */
enum problem_code statics_truss(struct work *w, const struct truss_input *input,
                                struct problem *reterr);

#endif
