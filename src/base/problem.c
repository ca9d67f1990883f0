/* problem.c: the two lists as tables, and faults put together. */
#include "base/problem.h"

#include <assert.h>
#include <stdarg.h>
#include <string.h>

static const struct problem_row problem_rows[PROBLEM_MAX_] = {
    [PROBLEM_NONE] = {0, "", "", ""},
#define PROBLEM(code, status, name, title, mend) [PROBLEM_##code] = {status, name, title, mend},
#include "base/problems.def"
#undef PROBLEM
};

static const struct fault_row fault_rows[FAULT_MAX_] = {
#define FAULT(code, name, mend) [FAULT_##code] = {name, mend},
#include "base/faults.def"
#undef FAULT
};

const struct problem_row *problem_row(enum problem_code code)
{
    assert(code < PROBLEM_MAX_);
    return &problem_rows[code];
}

const struct fault_row *fault_row(enum fault_code code)
{
    assert(code < FAULT_MAX_);
    return &fault_rows[code];
}

void problem_init(struct problem *p, struct arena *arena)
{
    *p = (struct problem){.arena = arena, .detail = ""};
}

enum problem_code problem_set(struct problem *p, enum problem_code code, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    const char *detail = arena_vprintf(p->arena, format, arguments);
    va_end(arguments);
    p->code = code;
    /* Without memory for the text the list's own sentence still helps. */
    p->detail = detail != NULL ? detail : problem_row(code)->mend;
    return code;
}

enum problem_code problem_fault(struct problem *p, const char *pointer, enum fault_code code,
                                const char *format, ...)
{
    p->code = PROBLEM_INVALID_REQUEST;
    for (size_t i = 0; i < p->fault_count; i++)
        if (p->faults[i].code == code && strcmp(p->faults[i].pointer, pointer) == 0)
            return p->code;
    p->faults_found++;
    if (p->fault_count == PROBLEM_FAULTS_KEPT)
        return p->code;

    va_list arguments;
    va_start(arguments, format);
    const char *detail = arena_vprintf(p->arena, format, arguments);
    va_end(arguments);
    const char *place = arena_text(p->arena, pointer, strlen(pointer));
    p->faults[p->fault_count++] = (struct fault){
        .pointer = place != NULL ? place : "",
        .code = code,
        .detail = detail != NULL ? detail : fault_row(code)->mend,
    };
    p->detail = p->faults[0].detail;
    return p->code;
}
