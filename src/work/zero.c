/* zero.c: one question with one answer everywhere: is it zero, and which sign has it (numerics.md).
 */
#include "work/work.h"

bool q_is_zero(struct work *w, q x)
{
    switch (num_zero(q_node(w, x)->num)) {
    case ZERO_NO:
        return false;
    case ZERO_EXACT:
        return true;
    case ZERO_UNSETTLED:
        work_beyond(w, BEYOND_DIGITS, true);
        return true;
    case ZERO_WITHIN_ROUNDING:
        w->doubt_rounding = true;
        return true;
    case ZERO_WITHIN_DIGITS:
        w->doubt_digits = true;
        return true;
    case ZERO_MAX_:
        break;
    }
    return false;
}

bool qv_is_zero(struct work *w, qv v)
{
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(w, v, axis);
        if (!q_is_none(x) && !q_is_zero(w, x))
            return false;
    }
    return true;
}

int q_sign(struct work *w, q x)
{
    if (q_is_zero(w, x))
        return 0;
    return q_value(w, x) < 0.0 ? -1 : 1;
}

int q_compare(struct work *w, q a, q b) { return q_sign(w, q_sub(w, a, b)); }
