#include "statics/exact.h"

#include <math.h>

struct exact exact_zero(const struct field *f)
{
    struct num zero = num_integer(f, 0);
    return (struct exact){{zero, zero, zero}};
}

struct exact exact_axis(const struct field *f, int axis)
{
    struct exact a = exact_zero(f);
    a.c[axis] = num_integer(f, 1);
    return a;
}

struct exact exact_of(const struct work *w, qv v)
{
    struct exact a = exact_zero(w->field);
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(w, v, axis);
        if (!q_is_none(x))
            a.c[axis] = q_node(w, x)->num;
    }
    return a;
}

struct exact exact_add(const struct field *f, struct exact a, struct exact b)
{
    for (int axis = 0; axis < 3; axis++)
        a.c[axis] = num_add(f, a.c[axis], b.c[axis]);
    return a;
}

struct exact exact_sub(const struct field *f, struct exact a, struct exact b)
{
    for (int axis = 0; axis < 3; axis++)
        a.c[axis] = num_sub(f, a.c[axis], b.c[axis]);
    return a;
}

struct exact exact_scale(const struct field *f, struct num s, struct exact a)
{
    for (int axis = 0; axis < 3; axis++)
        a.c[axis] = num_mul(f, s, a.c[axis]);
    return a;
}

struct exact exact_cross(const struct field *f, struct exact a, struct exact b)
{
    struct exact m;
    for (int k = 0; k < 3; k++) {
        int i = (k + 1) % 3, j = (k + 2) % 3;
        m.c[k] = num_sub(f, num_mul(f, a.c[i], b.c[j]), num_mul(f, a.c[j], b.c[i]));
    }
    return m;
}

struct num exact_dot(const struct field *f, struct exact a, struct exact b)
{
    struct num sum = num_mul(f, a.c[0], b.c[0]);
    for (int axis = 1; axis < 3; axis++)
        sum = num_add(f, sum, num_mul(f, a.c[axis], b.c[axis]));
    return sum;
}

bool num_is_zero(struct num x) { return num_zero(x) != ZERO_NO; }

bool exact_is_zero(struct exact a)
{
    return num_is_zero(a.c[0]) && num_is_zero(a.c[1]) && num_is_zero(a.c[2]);
}

double exact_length(struct exact a)
{
    return hypot(hypot(a.c[0].value, a.c[1].value), a.c[2].value);
}
