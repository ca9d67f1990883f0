/* two_directions.c: two sizes and what is known are the sides of a closed triangle. */
#include "statics/closing.h"
#include "statics/notes.h"
#include "statics/triangle.h"

static const struct dimension ratio = {0};

/* One that has `size`, against (or along) what is known: a share of it. */
static qv share_of_known(struct particle *p, const struct particle_force *f, q known, bool is_along)
{
    struct work *w = p->b->w;
    q c[2];
    for (int axis = 0; axis < 2; axis++) {
        q x = q_div(w, q_mul(w, f->magnitude, qv_component(w, p->known, axis)), known);
        c[axis] = is_along != f->is_resultant ? x : q_neg(w, x);
    }
    return closing_turned(w, f, c[0], c[1]);
}

/* cos γ = (a² + p² − b²)/(2 a p) */
static q inner_angle(struct work *w, const struct particle_force *f, q a, q known, q b)
{
    q above = q_sub(w, q_add(w, q_square(w, a), q_square(w, known)), q_square(w, b));
    q below = q_mul(w, q_integer(w, 2, ratio), q_mul(w, a, known));
    return closing_step(w, q_acos(w, q_div(w, above, below)), symbol_own(w, "γ", f->name));
}

static qv turned_by(struct particle *p, const struct particle_force *f, q theta, q gamma, int sense)
{
    struct work *w = p->b->w;
    q back = f->is_resultant ? theta : q_add(w, theta, q_turn(w, 180));
    q angle = sense > 0 ? q_add(w, back, gamma) : q_sub(w, back, gamma);
    angle = closing_step(w, triangle_wrapped(w, angle), symbol_own(w, "ψ", f->name));
    q x = q_mul(w, f->magnitude, q_cos(w, angle)), y = q_mul(w, f->magnitude, q_sin(w, angle));
    return closing_turned(w, f, x, y);
}

static void say_no_triangle(struct particle *p, const struct particle_force *A,
                            const struct particle_force *B)
{
    struct work *w = p->b->w;
    struct phrase text = PHRASE("The sides {}, {} and {} close no triangle: the longest is longer "
                                "than the other two together.",
                                arg_name(p->known_name ? p->known_name : "zero"), arg_name(A->name),
                                arg_name(B->name));
    closing_refuse_all(w, text);
}

void particle_two_directions(struct particle *p, const struct particle_force *A,
                             const struct particle_force *B)
{
    struct work *w = p->b->w;
    struct solutions answers = {0};
    struct pull_line no_line = {0};
    q a = A->magnitude, b = B->magnitude;
    work_section(w, PLAIN("Triangle of three sides"),
                 PLAIN("What is known and the two sizes are the sides of a closed triangle: the "
                       "cosine law gives its angles. It may lie on either side of the known "
                       "force."));
    bool is_known = !qv_is_none(p->known) && !qv_is_zero(w, p->known);
    q sum = q_add(w, a, b), difference = q_sub(w, a, b);
    if (!is_known) {
        bool is_open = q_is_zero(w, difference) && q_sign(w, a) > 0;
        result_text(w, NULL, "state",
                    equilibrium_state_word(is_open ? STATE_INDETERMINATE : STATE_NO_EQUILIBRIUM));
        particle_put_none(p);
        if (is_open) {
            result_count(w, NULL, "degree", 1);
            note_add(w, NOTE_INDETERMINATE,
                     PLAIN("The two balance each other in any direction: only that they are "
                           "opposite is fixed."));
        } else {
            say_no_triangle(p, A, B);
        }
        return;
    }
    q known = triangle_known_size(p);
    q square = q_dot(w, p->known, p->known);
    int within = q_sign(w, q_sub(w, q_square(w, sum), square));
    int beyond = q_sign(w, q_sub(w, square, q_square(w, difference)));
    if (within < 0 || beyond < 0) {
        say_no_triangle(p, A, B);
    } else if (within == 0 || beyond == 0) {
        bool a_is_longer = within != 0 && q_sign(w, difference) > 0;
        bool b_is_longer = within != 0 && q_sign(w, difference) < 0;
        work_decide(w, PLAIN("The triangle is flat: all three lie along one line."));
        qv turned[2] = {share_of_known(p, A, known, b_is_longer),
                        share_of_known(p, B, known, a_is_longer)};
        closing_add(p, &answers, &no_line, (q){0}, turned);
        closing_note_touching(w);
    } else {
        q theta = triangle_known_angle(p);
        q at_a = inner_angle(w, A, a, known, b), at_b = inner_angle(w, B, b, known, a);
        static const char *const titles[2] = {"First solution", "Second solution"};
        for (int k = 0; k < 2; k++) {
            int sense = k == 0 ? 1 : -1;
            work_section(w, phrase(titles[k], 0, NULL),
                         PLAIN("Each side turns from the line back along the known force by the "
                               "angle of the triangle, one this way and one that way."));
            qv turned[2] = {turned_by(p, A, theta, at_a, sense),
                            turned_by(p, B, theta, at_b, -sense)};
            closing_add(p, &answers, &no_line, (q){0}, turned);
        }
    }
    closing_put(p, &answers);
}
