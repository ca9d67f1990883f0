/* truss_note.c: what a careful instructor says about a truss. */
#include <math.h>

#include "statics/notes.h"
#include "statics/truss.h"

static const struct dimension ratio = {0};

/* ---- mechanisms ---- */

static void note_mechanism(struct truss *t)
{
    int equations = t->axes * t->joint_count;
    if (t->state != TRUSS_MECHANISM)
        return;
    if (t->unknown_count >= equations)
        note_add(t->w, NOTE_CRITICAL_FORM,
                 PHRASE("By the count, {} unknowns for {} equations, the truss would hold; yet it "
                        "can move: its form is critical.",
                        arg_count(t->unknown_count), arg_count(equations)));
    if (!t->is_held)
        note_add(
            t->w, NOTE_NOT_HELD,
            PHRASE("There is no equilibrium: the loads set the truss in motion, and no force is "
                   "given.{}",
                   arg_name(truss_motion_text(t))));
    else if (t->load_count > 0)
        note_add(t->w, NOTE_BALANCED_BY_CHANCE,
                 PLAIN("The truss can move, and happens to carry these loads: others would set it "
                       "in motion."));
}

static void note_indeterminate(struct truss *t)
{
    if (t->degree > 0 && t->is_held)
        note_add(
            t->w, NOTE_INDETERMINATE,
            PHRASE("{} than independent equations: forces that depend on each other can't be "
                   "found by statics alone. What is fixed all the same is given.",
                   arg_name(t->degree == 1 ? "There is one unknown more"
                                           : arena_printf(t->w->arena, "There are %d unknowns more",
                                                          t->degree))));
}

static void note_lonely_joint(struct truss *t)
{
    for (int j = 0; j < t->joint_count; j++) {
        struct truss_list list = t->joint[j].unknowns;
        if (list.count > 0 && truss_is_member(t, truss_entry(t, list, 0)))
            continue;
        note_add(t->w, NOTE_JOINT_ALONE,
                 PHRASE("Joint {} has no member: is one missing?", arg_name(t->joint[j].name)));
        return;
    }
}

/* ---- sensitivity to the geometry ---- */

/* Each joint is moved along each axis by this part of its shortest member, in so many patterns of
 * signs (of few joints more, so that the worst is among them); the largest change of a force, of
 * the largest force, from which on it is said. */
#define MOVED 0.001
#define PATTERNS 4
#define PATTERNS_SHOWN 16
#define SENSITIVE 0.1

static double *shortest_members(const struct truss *t)
{
    double *shortest = arena_alloc(t->solver, ((size_t)t->joint_count + 1) * sizeof *shortest);
    for (int i = 0; shortest && i < t->member_count; i++)
        for (int end = 0; end < 2; end++) {
            double *s = &shortest[t->unknown[i].joint[end]];
            *s = *s > 0 ? fmin(*s, t->unknown[i].length) : t->unknown[i].length;
        }
    return shortest;
}

/* To first order: A·Δ(F/L) = −ΔA·(F/L), and ΔF = L·Δ(F/L) + ΔL·(F/L). */
static double change(struct truss *t, const double *move, double *right, double *solution)
{
    int equations = t->axes * t->joint_count;
    for (int e = 0; e < equations; e++)
        right[e] = 0;
    for (int i = 0; i < t->member_count; i++) {
        const int *joint = t->unknown[i].joint;
        for (int axis = 0; axis < t->axes; axis++) {
            int from = t->axes * joint[0] + axis, to = t->axes * joint[1] + axis;
            double moved = t->unknown[i].density.value * (move[to] - move[from]);
            right[from] -= moved;
            right[to] += moved;
        }
    }
    linear_solve_again(t->linear, right, solution);
    double largest = 0;
    for (int i = 0; i < t->unknown_count; i++) {
        const struct truss_unknown *u = &t->unknown[i];
        double line[3], longer = 0;
        if (!u->is_fixed)
            continue;
        truss_line(t, i, line);
        for (int axis = 0; axis < t->axes && !u->part; axis++)
            longer += line[axis] *
                      (move[t->axes * u->joint[1] + axis] - move[t->axes * u->joint[0] + axis]);
        largest =
            fmax(largest, fabs(solution[i] * u->length + longer / u->length * u->density.value));
    }
    return largest;
}

/* How much the largest force changes, relative to itself, where every joint is a little out of
 * place. */
static double sensitivity(struct truss *t)
{
    size_t equations = (size_t)(t->axes * t->joint_count);
    double *shortest = shortest_members(t);
    double *move = arena_alloc(t->solver, (equations + 1) * sizeof *move);
    double *right = arena_alloc(t->solver, (equations + 1) * sizeof *right);
    double *solution = arena_alloc(t->solver, ((size_t)t->unknown_count + 1) * sizeof *solution);
    double largest = 0, force = 0;
    uint64_t bits = 0x9e3779b97f4a7c15;
    if (!shortest || !move || !right || !solution) {
        t->w->failed = true;
        return 0;
    }
    for (int i = 0; i < t->unknown_count; i++)
        if (t->unknown[i].is_fixed)
            force = fmax(force, fabs(t->unknown[i].density.value) * t->unknown[i].length);
    if (!(force > 0))
        return 0;
    for (int p = 0; p < (truss_is_shown(t) ? PATTERNS_SHOWN : PATTERNS); p++) {
        for (size_t e = 0; e < equations; e++) {
            bits ^= bits << 13; /* Marsaglia's xorshift */
            bits ^= bits >> 7;
            bits ^= bits << 17;
            double size = MOVED * shortest[e / (size_t)t->axes];
            move[e] = bits >> 63 ? size : -size;
        }
        largest = fmax(largest, change(t, move, right, solution));
    }
    return largest / force;
}

static void note_sensitivity(struct truss *t)
{
    struct work *w = t->w;
    if (t->state == TRUSS_MECHANISM || t->load_count == 0)
        return;
    double share = sensitivity(t);
    if (!(share >= SENSITIVE))
        return;
    struct num num = num_generic(w->field, 0, 100 * share, 100 * share * 0x1p-20);
    q percent = q_unknown(w, num, ratio, (q){0}, 1);
    note_add(
        w, NOTE_NEARLY_CRITICAL,
        PHRASE("The form is nearly critical: with joints out of place by a thousandth of their "
               "shortest member, forces change by {} % of the largest.",
               arg_value(percent)));
}

/* ---- the whole ---- */

void truss_add_notes(struct truss *t)
{
    note_mechanism(t);
    note_indeterminate(t);
    note_lonely_joint(t);
    truss_note_crossings(t);
    note_sensitivity(t);
    if (!truss_is_shown(t))
        note_add(t->w, NOTE_NUMBERS_ONLY,
                 t->w->wants_key
                     ? PHRASE("The truss has more than {} joints: its numbers are given without "
                              "the working, and the allowances of the key are their floor alone.",
                              arg_count(TRUSS_SHOWN_JOINTS))
                     : PHRASE("The truss has more than {} joints: its numbers are given without "
                              "the working.",
                              arg_count(TRUSS_SHOWN_JOINTS)));
}
