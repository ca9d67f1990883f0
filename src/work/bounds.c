/* bounds.c: what cannot be calculated with: numbers beyond a double's range, or so different in
 * size that 30 digits don't hold them together. */
#include <math.h>

#include "work/work.h"

#define SPREAD_MAX 15.0 /* powers of ten: the digits of a double */

static bool has_size(const struct node *n) { return n->op == OP_GIVEN && n->num.value != 0.0; }

/* The given that is farthest from 1 in size, or from the others; NULL: none. */
static const struct node *outlier(const struct work *w)
{
    const struct node *found = NULL;
    double sum = 0.0, count = 0.0, farthest = 0.0;
    for (uint32_t i = 1; i < w->node_count; i++)
        if (has_size(&w->node[i])) {
            sum += log10(fabs(w->node[i].num.value));
            count += 1.0;
        }
    double middle = w->beyond == BEYOND_DIGITS && count > 0.0 ? sum / count : 0.0;
    for (uint32_t i = 1; i < w->node_count; i++) {
        if (!has_size(&w->node[i]))
            continue;
        double apart = fabs(log10(fabs(w->node[i].num.value)) - middle);
        if (found && !(apart > farthest))
            continue;
        farthest = apart;
        found = &w->node[i];
    }
    return found;
}

/* How many powers of ten lie between the givens. */
static double spread(const struct work *w)
{
    double least = HUGE_VAL, largest = -HUGE_VAL;
    for (uint32_t i = 1; i < w->node_count; i++)
        if (has_size(&w->node[i])) {
            least = fmin(least, log10(fabs(w->node[i].num.value)));
            largest = fmax(largest, log10(fabs(w->node[i].num.value)));
        }
    return largest - least;
}

enum problem_code work_contradicted(struct work *w, struct problem *reterr, const char *detail)
{
    if (!(spread(w) > SPREAD_MAX))
        return problem_set(reterr, PROBLEM_INTERNAL, "%s", detail);
    work_beyond(w, BEYOND_DIGITS, true);
    return work_in_bounds(w, reterr);
}

void work_beyond(struct work *w, enum beyond what, bool is_so)
{
    if (is_so && w->beyond == BEYOND_NOTHING)
        w->beyond = what;
}

enum problem_code work_in_bounds(const struct work *w, struct problem *reterr)
{
    if (w->beyond == BEYOND_NOTHING)
        return PROBLEM_NONE;
    const struct node *farthest = outlier(w);
    const char *pointer = farthest && farthest->pointer ? farthest->pointer : "";
    return problem_fault(
        reterr, pointer, FAULT_NUMBER_SIZE, "%s",
        w->beyond == BEYOND_RANGE
            ? "The numbers are so large or so small that their squares and quotients cannot be "
              "calculated: choose other units."
            : "The numbers are so different in size, or the equations so nearly dependent, that 30 "
              "digits do not tell the answer: this is the number farthest from the others.");
}
