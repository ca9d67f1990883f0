/* check.h: how a student's answer is read for POST /v1/check. */
#ifndef ENDPOINTS_CHECK_H
#define ENDPOINTS_CHECK_H

#include "marking/answer.h"
#include "json/json.h"

/* What an answer is read by. */
struct reading {
    const struct items *items;
    const struct json *problem; /* for `up` */
    struct arena *arena;
    struct units units; /* of bare numbers */
    int solution;       /* which of the solutions handed in is taken for the unknowns */
    struct answer *answer;
};

/* Read an answer that is valid by the schema. What cannot be read as a number is nonsense and
 * marked wrong, never a fault: one student must not stop a class. Of two solutions handed in the
 * one of that number is read. */
void answer_read(const struct items *items, const struct json *problem, const struct json *given,
                 int solution, struct answer *ret_answer);

/* A number: a JSON number, a text as typed, or {"value", "unit"}; in the problem's units. */
enum given_state reading_number(const struct reading *r, const struct json *given,
                                struct dimension dimension, double *ret_value);
/* A direction in any form. */
void reading_direction(struct reading *r, const struct json *given, const struct part *part);

#endif
