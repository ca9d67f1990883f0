/* solve.h: one request through the same rooms as in the service, without HTTP: read, validate,
 * work, and again in another field where the first was unlucky. */
#ifndef ORACLE_SOLVE_H
#define ORACLE_SOLVE_H

#include "render/render.h"
#include "work/work.h"
#include "json/json.h"

struct solved {
    struct arena *arena; /* holds everything */
    struct work work;
    struct problem problem;
    enum problem_code code;
};

/* Work `request` out at `path`, e.g. "/v1/resultant". solved_free in any case. */
enum problem_code solve(struct solved *s, const char *path, const char *request);
void solved_free(struct solved *s);

/* The answer as the service would send it, NUL-ended, in the arena. */
const char *solved_json(struct solved *s, const struct render_options *options);

/* A value that was read, as JSON again. */
void solve_put_json(struct buf *b, const struct json *json);

#endif
