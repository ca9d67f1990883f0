/* rows.h: what each computation of endpoints/ gives to the list of them, and its decoded request by
 * itself. */
#ifndef ENDPOINTS_ROWS_H
#define ENDPOINTS_ROWS_H

#include "base/arena.h"
#include "base/problem.h"
#include "statics/input.h"
#include "work/work.h"
#include "json/json.h"

/* Decode a request that is valid by its schema into *ret_input, in `arena`. PROBLEM_NONE, or the
 * problem with every fault found; PROBLEM_INTERNAL where the schema and the table disagree. */
enum problem_code decode_resolve(struct arena *arena, const struct json *request,
                                 struct resolve_input **ret_input, struct problem *reterr);
enum problem_code decode_resultant(struct arena *arena, const struct json *request,
                                   struct resultant_input **ret_input, struct problem *reterr);
enum problem_code decode_equilibrium(struct arena *arena, const struct json *request,
                                     struct equilibrium_input **ret_input, struct problem *reterr);
enum problem_code decode_truss_joint(struct arena *arena, const struct json *request,
                                     struct truss_joint_input **ret_input, struct problem *reterr);
enum problem_code decode_truss(struct arena *arena, const struct json *request,
                               struct truss_input **ret_input, struct problem *reterr);

/* struct endpoint's run. */
enum problem_code run_resolve(struct work *w, const struct json *request, struct problem *reterr);
enum problem_code run_resultant(struct work *w, const struct json *request, struct problem *reterr);
enum problem_code run_equilibrium(struct work *w, const struct json *request,
                                  struct problem *reterr);
enum problem_code run_truss_joint(struct work *w, const struct json *request,
                                  struct problem *reterr);
enum problem_code run_truss(struct work *w, const struct json *request, struct problem *reterr);
enum problem_code run_check(struct work *w, const struct json *request, struct problem *reterr);

#endif
