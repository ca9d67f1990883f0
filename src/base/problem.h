/* problem.h: what can go wrong, said once. Libraries fill a problem and return its code; only
 * server/ speaks HTTP. */
#ifndef BASE_PROBLEM_H
#define BASE_PROBLEM_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"

/* The one error list: base/problems.def has a row PROBLEM(CODE, status, "name", "title", "what it
 * means and how to mend it"). */
enum problem_code {
    PROBLEM_NONE = 0,
#define PROBLEM(code, status, name, title, mend) PROBLEM_##code,
#include "base/problems.def"
#undef PROBLEM
    PROBLEM_MAX_
};

/* The one list of fault codes: base/faults.def has a row FAULT(CODE, "name", "what it means and how
 * to mend it"). */
enum fault_code {
#define FAULT(code, name, mend) FAULT_##code,
#include "base/faults.def"
#undef FAULT
    FAULT_MAX_
};

struct problem_row {
    int status;
    const char *name, *title, *mend;
};
struct fault_row {
    const char *name, *mend;
};

/* Row of a code; PROBLEM_NONE has an empty row. */
const struct problem_row *problem_row(enum problem_code code);
const struct fault_row *fault_row(enum fault_code code);

struct fault {
    const char *pointer; /* JSON Pointer into the request, "" for the whole */
    enum fault_code code;
    const char *detail; /* one sentence a teacher can act on */
};

#define PROBLEM_FAULTS_KEPT 20 /* a page of faults helps, a thousand don't */

struct problem {
    struct arena *arena; /* holds pointers and details */
    enum problem_code code;
    const char *detail;
    struct fault faults[PROBLEM_FAULTS_KEPT];
    size_t fault_count;  /* kept */
    size_t faults_found; /* kept and not kept */
};

/* An empty problem whose texts live in `arena`. */
void problem_init(struct problem *p, struct arena *arena);

/* Set the code and the detail (printf). Returns `code`, so that `return problem_set(…)` reads well.
 */
enum problem_code problem_set(struct problem *p, enum problem_code code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Add a fault at `pointer` (copied). The problem becomes PROBLEM_INVALID_REQUEST, the detail that
 * of its first fault. Faults beyond PROBLEM_FAULTS_KEPT are counted only. A second fault of the
 * same code at the same pointer is dropped. Returns PROBLEM_INVALID_REQUEST. */
enum problem_code problem_fault(struct problem *p, const char *pointer, enum fault_code code,
                                const char *format, ...) __attribute__((format(printf, 4, 5)));

#endif
