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

/* Where the double has no sign left the residue says all the same that it is not zero. */
bool num_is_zero(struct num x)
{
    enum zero zero = num_zero(x);
    return zero != ZERO_NO && zero != ZERO_UNSETTLED;
}

bool exact_is_zero(struct exact a)
{
    return num_is_zero(a.c[0]) && num_is_zero(a.c[1]) && num_is_zero(a.c[2]);
}

double exact_length(struct exact a)
{
    return hypot(hypot(a.c[0].value, a.c[1].value), a.c[2].value);
}

struct exact exact_line(const struct work *w, const struct aim *aim)
{
    struct exact v = exact_zero(w->field);
    for (int axis = 0; axis < 3; axis++) {
        q factor =
            qv_is_none(aim->vector) ? aim->part[axis].factor : qv_component(w, aim->vector, axis);
        struct num size = q_is_none(factor) ? num_integer(w->field, 1) : q_node(w, factor)->num;
        if (aim->part[axis].sign != 0)
            v.c[axis] = aim->part[axis].sign < 0 ? num_neg(w->field, size) : size;
    }
    return v;
}

bool exact_span_add(const struct field *f, struct exact_span *s, struct exact d)
{
    bool is_new = false;
    switch (s->rank) {
    case 0:
        is_new = !exact_is_zero(d);
        break;
    case 1:
        is_new = !exact_is_zero(exact_cross(f, s->basis[0], d));
        break;
    case 2:
        is_new = !num_is_zero(exact_dot(f, exact_cross(f, s->basis[0], s->basis[1]), d));
        break;
    default:
        break;
    }
    if (is_new)
        s->basis[s->rank++] = d;
    return is_new;
}
