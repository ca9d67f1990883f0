/* sheet.h: a problem with its key open on the desk, and answer sheets written to it.
 *
 * The numbers of a sheet are values of the problem's tape: the right ones, those of a replay with
 * slips, or with a student's own number carried on. They are written as a student writes them, to
 * so many figures, in the form that POST /v1/check reads. */
#ifndef SIM_SHEET_H
#define SIM_SHEET_H

#include "marking/items.h"
#include "oracle/solve.h"
#include "work/slip.h"

#define SHEET_ASKED_MAX 64

struct sheet {
    struct solved solved;
    struct items items;
    int asked[SHEET_ASKED_MAX]; /* items, in the order of the answer */
    int count;
    double *value;              /* by node: scratch for replays */
    struct slip_chance *chance; /* that the problem has; those of units are not among them */
    uint32_t chances;
};

/* Work `problem`, {"kind": …, …}, with its slips. By polar: magnitude and direction are asked of a
 * force, otherwise its components. False where there is nothing to be marked by number: a fault, a
 * null, more than SHEET_ASKED_MAX numbers. sheet_close in any case. */
bool sheet_open(struct sheet *s, const char *problem, bool by_polar);
void sheet_close(struct sheet *s);

/* The number of an item in `value` (by node): itself, or of a direction of the plane its angle. */
double sheet_number(const struct sheet *s, int item, const double *value);
/* Is it the same as in the key? */
bool sheet_is_right(const struct sheet *s, int item, const double *value);

/* The answer with the numbers of `value`, to so many figures (angles to 0.1 degrees); `own` (or
 * NULL) has an item's number in place of that, NaN for none. */
void sheet_write(const struct sheet *s, const double *value, const double *own, int figures,
                 char *text, size_t capacity);

/* x to so many figures. */
double sheet_rounded(double x, int figures);

#endif
