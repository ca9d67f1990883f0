/* truss_zero.c: zero-force members found by inspection, joint by joint.
 *
 * At a joint, a force whose direction the others together cannot reach is zero: of two members
 * that are not in line both, of three forces with two in line the third; in space of three that are
 * not in one plane all, and the one that leaves the plane of the others. A member found so is left
 * out at its other joint. (Baker and Haynes, "Engineering Statics", section 6.3.) */
#include "statics/truss.h"

struct inspection {
    struct truss *t;
    bool *is_left; /* of each unknown: it has not been found zero */
    int *queue;    /* joints to be looked at */
    bool *is_queued;
    int first, count; /* of the queue, which goes round */
};

static void queue(struct inspection *n, int joint)
{
    if (n->is_queued[joint])
        return;
    n->is_queued[joint] = true;
    n->queue[(n->first + n->count++) % n->t->joint_count] = joint;
}

/* What the forces at a joint reach, without one of them (−1: with all); as soon as `enough`
 * independent directions are there it ends. */
static int rank_without(const struct inspection *n, int joint, int unknown, int enough, int *chosen)
{
    const struct truss *t = n->t;
    const struct field *f = t->w->field;
    struct truss_list list = t->joint[joint].unknowns;
    struct exact_span s = {.rank = 0};
    exact_span_add(f, &s, truss_load_at(t, joint));
    for (int k = 0; k < list.count && s.rank < enough; k++) {
        int i = truss_entry(t, list, k);
        if (i == unknown || !n->is_left[i])
            continue;
        if (exact_span_add(f, &s, truss_direction(t, i)) && chosen)
            chosen[s.rank - 1] = i;
    }
    return s.rank;
}

/* A force without which less is reached is in every basis: only those of one are tried. */
static void inspect_joint(struct inspection *n, int joint)
{
    struct truss *t = n->t;
    int chosen[3] = {-1, -1, -1};
    int rank = rank_without(n, joint, -1, t->axes, chosen);
    for (int k = 0; k < rank; k++) {
        int i = chosen[k];
        if (i < 0 || !truss_is_member(t, i) || !t->unknown[i].is_zero ||
            rank_without(n, joint, i, rank, NULL) == rank)
            continue;
        t->unknown[i].is_by_inspection = true;
        t->inspected[t->inspected_count++] = (struct truss_inspected){i, joint};
        n->is_left[i] = false;
        queue(n, truss_other_joint(t, i, joint));
        queue(n, joint);
    }
}

void truss_inspect(struct truss *t)
{
    struct arena *arena = t->w->arena;
    size_t joints = (size_t)t->joint_count, unknowns = (size_t)t->unknown_count;
    struct inspection n = {.t = t,
                           .is_left = arena_alloc(arena, unknowns * sizeof *n.is_left),
                           .queue = arena_alloc(arena, joints * sizeof *n.queue),
                           .is_queued = arena_alloc(arena, joints * sizeof *n.is_queued)};
    t->inspected = arena_alloc(arena, ((size_t)t->member_count + 1) * sizeof *t->inspected);
    if (!n.is_left || !n.queue || !n.is_queued || !t->inspected) {
        t->w->failed = true;
        return;
    }
    for (int i = 0; i < t->unknown_count; i++) {
        n.is_left[i] = true;
        if (truss_is_member(t, i) && t->unknown[i].is_zero) {
            queue(&n, t->unknown[i].joint[0]);
            queue(&n, t->unknown[i].joint[1]);
        }
    }
    while (n.count > 0 && !t->w->failed) {
        int joint = n.queue[n.first];
        n.first = (n.first + 1) % t->joint_count;
        n.count--;
        n.is_queued[joint] = false;
        inspect_joint(&n, joint);
    }
}
