/* rule.h: is one item right? The rule stands in docs/check.md. */
#ifndef MARKING_RULE_H
#define MARKING_RULE_H

#include "marking/answer.h"

struct marking {
    int figures;     /* an answer that equals the key at so many significant figures is right */
    double relative; /* tolerance: of the size of its vector for a component, otherwise of itself */
    double angle;    /* of angles, in the problem's unit */
    bool reveal;
    int attempt; /* from 1 */
};

enum verdict { VERDICT_CORRECT, VERDICT_FOLLOWS, VERDICT_INCORRECT, VERDICT_MISSING, VERDICT_MAX_ };

/* One item of one answer. */
struct judged {
    int item; /* −1: something that the key does not have */
    const char *of;
    enum verdict verdict;
};

/* Is item i right as given? */
bool rule_item(struct items *items, int i, const struct given_item *given, const struct marking *m);
/* Is x right where `key` is the number and `size` its own, or that of its vector? */
bool rule_number(const struct items *items, const struct item *item, double x, double key,
                 double size, const struct marking *m);
/* The same for a direction: `unit`, and in the plane the angle of it. */
bool rule_direction(const struct items *items, const struct item *item,
                    const struct given_item *given, const double unit[3], double angle,
                    const struct marking *m);

/* How far apart two directions are, in radians. */
double rule_angle_between(const double a[3], const double b[3]);

#endif
