/* two_unknowns.c: plane forces of which a direction is unknown, and the smallest force that does
 * what is required: two unknowns whose equations are not linear. */
#include <math.h>

#include "statics/notes.h"
#include "statics/triangle.h"

static const struct dimension ratio = {0};
static const struct dimension force_dimension = {.force = 1};

/* ---- the line of a magnitude ---- */

struct line {
    const struct particle_force *force; /* whose magnitude it is */
    struct aim aim;                     /* what one unit of it adds to the forces … */
    q length;                           /* … and how much of it; {0}: 1 */
    bool is_nothing;                    /* its pulls cancel */
};

static bool is_lone_pull(const struct particle *p, int scalar)
{
    int pulls = 0;
    for (int i = 0; i < p->force_count; i++)
        pulls += !p->force[i].is_turned_free && p->force[i].scalar[0] == scalar &&
                 p->force[i].reaction.count == 1;
    return pulls == 1;
}

static q factor_of(struct work *w, const struct aim *aim, int axis)
{
    q f = aim->part[axis].factor;
    if (aim->part[axis].sign == 0)
        return (q){0};
    f = q_is_none(f) ? q_integer(w, 1, ratio) : f;
    return aim->part[axis].sign < 0 ? q_neg(w, f) : f;
}

/* One unknown that pulls along several lines, as a cable over a pulley: the sum of their unit
 * vectors. */
static void add_pulls(struct particle *p, struct line *line)
{
    struct work *w = p->b->w;
    q sum[3] = {0};
    for (int axis = 0; axis < board_axes(p->b); axis++) {
        for (int i = 0; i < p->force_count; i++) {
            const struct particle_force *f = &p->force[i];
            if (f->is_turned_free || f->reaction.count != 1)
                continue;
            q x = factor_of(w, &f->reaction.part[0].aim, axis);
            if (q_is_none(x))
                continue;
            if (!q_is_none(f->times))
                x = q_mul(w, f->times, x);
            if (f->is_resultant)
                x = q_neg(w, x);
            sum[axis] = q_is_none(sum[axis]) ? x : q_add(w, sum[axis], x);
        }
        if (q_is_none(sum[axis]))
            sum[axis] = q_integer(w, 0, ratio);
    }
    const char *name = line->force->name;
    work_say(
        w, PHRASE("{} pulls more than once: for each unit of it the forces have", arg_name(name)));
    qv whole = qv_name(w, qv_of(w, sum[0], sum[1], sum[2]), symbol_own(w, "d", name));
    work_define_vector(w, whole);
    line->is_nothing = qv_is_zero(w, whole);
    if (line->is_nothing)
        return;
    line->length = q_name(w, q_norm(w, whole), symbol_own(w, "d", name));
    work_define(w, line->length);
    line->aim = aim_over(w, whole, line->length);
}

/* The entry with the only magnitude among the unknowns. */
static struct line line_of(struct particle *p, int scalar)
{
    struct line line = {0};
    for (int i = p->force_count - 1; i >= 0; i--)
        if (!p->force[i].is_turned_free && p->force[i].same_as < 0 &&
            p->force[i].reaction.count == 1 && p->force[i].scalar[0] == scalar)
            line.force = &p->force[i];
    if (!line.force)
        return line;
    if (!is_lone_pull(p, scalar)) {
        add_pulls(p, &line);
        return line;
    }
    line.aim = line.force->reaction.part[0].aim;
    if (line.force->is_resultant)
        aim_reverse(&line.aim);
    return line;
}

/* ---- parts along a line and square to it ---- */

static qv known_or_zero(struct particle *p)
{
    struct work *w = p->b->w;
    if (!qv_is_none(p->known))
        return p->known;
    q zero[3] = {0};
    for (int axis = 0; axis < board_axes(p->b); axis++)
        zero[axis] = q_integer(w, 0, force_dimension);
    return qv_of(w, zero[0], zero[1], zero[2]);
}

struct symbol particle_symbol(struct work *w, const char *name, char axis)
{
    struct symbol s = symbol_axis(symbol_of_name(w, name ? name : "P"), axis);
    s.is_given = false;
    return s;
}

q particle_part_along(struct work *w, const struct aim *aim, qv v)
{
    q sum = {0};
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(w, v, axis), f = aim->part[axis].factor;
        if (aim->part[axis].sign == 0 || q_is_zero(w, x))
            continue;
        q term = q_is_none(f) ? x : q_mul(w, x, f);
        if (aim->part[axis].sign < 0)
            term = q_neg(w, term);
        sum = q_is_none(sum) ? term : q_add(w, sum, term);
    }
    if (q_is_none(sum))
        return q_integer(w, 0, force_dimension);
    return q_node(w, sum)->symbol.base ? q_sum(w, &sum, 1) : sum;
}

static q named_step(struct work *w, q x, struct symbol s)
{
    x = q_name(w, x, s);
    work_define(w, x);
    return x;
}

/* a ± b of signed parts, b by its side of the equation. */
static q minus_over(struct work *w, q a, q b, q length)
{
    q x = q_is_none(b) ? a : q_add(w, a, b);
    return q_neg(w, q_is_none(length) ? x : q_div(w, x, length));
}

/* ---- solutions ---- */

struct answers {
    struct unknown_force *u[2];
    int count;
    q left_over; /* of the first */
};

/* The entries for one set of numbers: `magnitude` of the line's scalar, `vector` of each force that
 * is turned (first, second). Checks that they balance. */
static void add_solution(struct particle *p, struct answers *a, const struct line *line,
                         q magnitude, const qv turned[2])
{
    struct work *w = p->b->w;
    struct unknown_force *u = arena_alloc(w->arena, ((size_t)p->force_count + 1) * sizeof *u);
    int k = 0;
    if (u == NULL) {
        w->failed = true;
        return;
    }
    for (int i = 0; i < p->force_count; i++) {
        const struct particle_force *f = &p->force[i];
        q value[REACTION_PARTS_MAX] = {0};
        if (f->is_turned_free || f->reaction.count > 1) {
            for (int axis = 0; axis < f->reaction.count; axis++)
                value[axis] = qv_component(w, turned[k], axis);
            k++;
        } else if (f == line->force) {
            value[0] = magnitude;
        } else {
            q x = q_is_none(f->times) ? q_sum(w, &magnitude, 1) : q_mul(w, f->times, magnitude);
            value[0] = named_step(w, x, f->reaction.part[0].symbol);
        }
        particle_found(p, f, value, &u[i]);
    }
    q left = particle_check(p, u);
    if (a->count == 0)
        a->left_over = left;
    a->u[a->count++] = u;
    p->solution++;
}

static void put_answers(struct particle *p, const struct answers *a)
{
    struct work *w = p->b->w;
    if (a->count == 0) {
        particle_put_none(p);
        return;
    }
    if (a->count == 1) {
        unknowns_put(w, NULL, a->u[0], p->force_count);
        unknowns_put_residual(w, a->left_over, (q){0});
        return;
    }
    struct value *solutions = result_list(w, NULL, "solutions");
    for (int i = 0; i < 2; i++)
        unknowns_put(w, result_object(w, solutions, NULL), a->u[i], p->force_count);
    unknowns_put_residual(w, a->left_over, (q){0});
    note_add(w, NOTE_TWO_SOLUTIONS,
             PLAIN("Two triangles of forces fit: both are given, and the figure or the wording of "
                   "a problem has to say which is meant."));
}

static void put_state(struct work *w, bool is_there)
{
    result_text(w, NULL, "state",
                equilibrium_state_word(is_there ? STATE_DETERMINATE : STATE_NO_EQUILIBRIUM));
}

static void note_touching(struct work *w)
{
    note_add(w, NOTE_TOUCHING,
             PLAIN("The triangle of forces just closes: the two solutions have become one."));
}

static void note_refused(struct particle *p, q value)
{
    struct work *w = p->b->w;
    struct phrase text =
        PHRASE("The root {} is refused: a magnitude is not negative along its given direction.",
               arg_value(value));
    work_decide(w, text);
    note_add(w, NOTE_REFUSED_ROOT, text);
}

static const struct particle_force *turned_force(const struct particle *p, int k)
{
    for (int i = 0; i < p->force_count; i++)
        if (p->force[i].is_turned_free && k-- == 0)
            return &p->force[i];
    return NULL;
}

static struct symbol part_symbol(const struct particle_force *f, int axis)
{
    return f->reaction.part[axis].symbol;
}

/* Name the components of a force that was turned, and show them. */
static qv turned_vector(struct work *w, const struct particle_force *f, q x, q y)
{
    x = q_node(w, x)->symbol.base ? q_sum(w, &x, 1) : x;
    y = q_node(w, y)->symbol.base ? q_sum(w, &y, 1) : y;
    x = named_step(w, x, part_symbol(f, 0));
    y = named_step(w, y, part_symbol(f, 1));
    return qv_of(w, x, y, (q){0});
}

static q with_side(struct work *w, const struct particle_force *f, q x)
{
    return f->is_resultant ? x : q_neg(w, x);
}

/* ---- a magnitude, and the direction of another force ---- */

/* t along the line, n square to it: the unknown magnitude is not in ΣF_n. */
struct split {
    struct aim along, across;
    q known_t, known_n;
};

static struct split split_known(struct particle *p, const struct line *line)
{
    struct work *w = p->b->w;
    struct split s = {.along = line->aim, .across = aim_turned(w, &line->aim, 1)};
    qv known = known_or_zero(p);
    s.known_t = named_step(w, particle_part_along(w, &s.along, known),
                           particle_symbol(w, p->known_name, 't'));
    s.known_n = named_step(w, particle_part_along(w, &s.across, known),
                           particle_symbol(w, p->known_name, 'n'));
    return s;
}

static qv from_split(struct work *w, const struct split *s, const struct particle_force *f, q t,
                     q n)
{
    q c[2];
    for (int axis = 0; axis < 2; axis++) {
        q a = s->along.part[axis].sign ? aim_part(w, &s->along, t, axis) : (q){0};
        q b = s->across.part[axis].sign ? aim_part(w, &s->across, n, axis) : (q){0};
        c[axis] = q_is_none(a) ? b : q_is_none(b) ? a : q_add(w, a, b);
    }
    return turned_vector(w, f, c[0], c[1]);
}

/* An arcsine so near 90° magnifies a rounding of its sine by a thousand. */
#define STEEP 1e-6

/* Two sides and the angle opposite one of them: the sine law, with its two angles. Shown, and held
 * against the components. */
static void check_by_sine_law(struct particle *p, const struct line *line,
                              const struct particle_force *Q, const struct unknown_force *u)
{
    struct work *w = p->b->w;
    if (Q->is_resultant || line->force->is_resultant || !q_is_none(line->length) ||
        qv_is_none(p->known) || qv_is_zero(w, p->known))
        return;
    const struct unknown_force *of_line = &u[line->force - p->force], *of_turned = &u[Q - p->force];
    if (of_line->force.is_zero || of_turned->force.is_zero ||
        qv_is_zero(w, qv_cross(w, p->known, of_line->force.vector)))
        return;
    double area = q_value(w, qv_component(w, qv_cross(w, p->known, of_line->force.vector), 2));
    if (fabs(area) >=
        (1.0 - STEEP) * q_value(w, of_line->force.magnitude) * q_value(w, Q->magnitude))
        return; /* square, or nearly: the arcsine is too steep to check anything */
    const char *name = of_line->name, *other = of_turned->name;
    work_section(w, PLAIN("Force triangle"),
                 PLAIN("The forces put tip to tail close a triangle. Two sides and an angle "
                       "opposite one of them are known: the sine law gives the angle opposite the "
                       "other, acute or obtuse, and so the third side."));
    q known = triangle_known_size(p), theta = triangle_known_angle(p);
    q at = of_line->force.angle;
    q back = triangle_wrapped(w, q_add(w, theta, q_turn(w, 180)));
    q alpha = named_step(w, triangle_between(w, at, back), symbol_own(w, "α", other));
    q sine = q_div(w, q_mul(w, known, q_sin(w, alpha)), Q->magnitude);
    q beta = q_asin(w, sine);
    double dot = q_value(w, q_dot(w, of_line->force.vector, of_turned->force.vector));
    if (dot > 0.0) /* tip to tail, the angle inside is obtuse */
        beta = q_sub(w, q_turn(w, 180), beta);
    beta = named_step(w, beta, symbol_own(w, "β", p->known_name));
    q gamma =
        named_step(w, q_sub(w, q_turn(w, 180), q_add(w, alpha, beta)), symbol_own(w, "γ", name));
    q side = q_div(w, q_mul(w, Q->magnitude, q_sin(w, gamma)), q_sin(w, alpha));
    work_check(w, q_sub(w, side, of_line->part[0].value),
               PHRASE("The triangle gives the same {}.", arg_symbol(of_line->part[0].value)));
    work_alternative(w, of_line->part[0].value, side);
    q turn = q_sub(w, q_turn(w, 180), beta);
    work_alternative(w, of_turned->force.angle,
                     area > 0.0 ? q_add(w, at, turn) : q_sub(w, at, turn));
}

static void magnitude_and_direction(struct particle *p, const struct line *line,
                                    const struct particle_force *Q)
{
    struct work *w = p->b->w;
    work_section(w, PHRASE("Axes along {} and square to it", arg_name(line->force->name)),
                 PHRASE("Along n, square to its line, {} has no part: that equation has one "
                        "unknown. t runs {}, n from there counter-clockwise.",
                        arg_name(line->force->name),
                        arg_name(line->force->is_resultant ? "along the line, against it"
                                                           : "along the line")));
    struct split s = split_known(p, line);
    q n = named_step(w, with_side(w, Q, s.known_n), particle_symbol(w, Q->name, 'n'));
    q room = q_sub(w, q_square(w, Q->magnitude), q_square(w, n));
    int sign = q_sign(w, room);
    struct answers a = {0};
    if (sign < 0) {
        struct phrase text =
            PHRASE("{} would need the part {} square to the line of {}, more than its size {}: no "
                   "triangle of forces closes.",
                   arg_name(Q->name), arg_value(q_abs(w, n)), arg_name(line->force->name),
                   arg_value(Q->magnitude));
        work_decide(w, text);
        note_add(w, NOTE_NO_TRIANGLE, text);
    }
    static const char *const titles[2] = {"First solution", "Second solution"};
    q root = sign > 0 ? q_sqrt(w, room) : (q){0};
    q side_first = Q->is_resultant && sign > 0 ? q_neg(w, root) : root;
    bool is_first_refused = sign > 0 && q_sign(w, q_add(w, s.known_t, side_first)) > 0;
    for (int k = 0; k < (sign < 0 ? 0 : sign == 0 ? 1 : 2); k++) {
        work_section(w, sign == 0 ? PLAIN("The solution") : phrase(titles[k], 0, NULL),
                     sign == 0
                         ? PHRASE("The part of {} square to the line is its whole size: none "
                                  "is left along the line.",
                                  arg_name(Q->name))
                         : PHRASE("Of {} a part along the line is left, one way or the other.",
                                  arg_name(Q->name)));
        q t = sign == 0                      ? q_integer(w, 0, force_dimension)
              : (k == 0) != is_first_refused ? q_sum(w, &root, 1)
                                             : q_neg(w, root);
        t = named_step(w, t, particle_symbol(w, Q->name, 't'));
        q side = Q->is_resultant ? q_neg(w, t) : t;
        q magnitude = named_step(w, minus_over(w, s.known_t, side, line->length),
                                 line->force->reaction.part[0].symbol);
        if (q_sign(w, magnitude) < 0) {
            note_refused(p, magnitude);
            continue;
        }
        qv turned[2] = {from_split(w, &s, Q, t, n)};
        add_solution(p, &a, line, magnitude, turned);
        if (!w->failed)
            check_by_sine_law(p, line, Q, a.u[a.count - 1]);
    }
    put_state(w, a.count > 0);
    put_answers(p, &a);
    if (sign == 0 && a.count == 1)
        note_touching(w);
}

/* ---- one magnitude, twice: along a line, and in an unknown direction ---- */

/* A T² + 2 B T + C = 0 */
static void show_square(struct work *w, q lead, q half, q square, q T)
{
    q two = q_integer(w, 2, ratio);
    q term[3] = {q_mul(w, lead, q_square(w, T)), q_mul(w, q_mul(w, two, half), T), square};
    bool is_linear = q_is_zero(w, lead);
    work_equation(w, LABEL_NONE, 0, NULL, q_sum(w, term + is_linear, is_linear ? 2 : 3), (q){0});
}

/* |P + T d| = k T: (d² − k²) T² + 2 (P·d) T + P² = 0 */
static void same_magnitude(struct particle *p, const struct line *line, struct particle_force *Q)
{
    struct work *w = p->b->w;
    struct answers a = {0};
    qv known = known_or_zero(p);
    const char *name = line->force->name;
    work_section(w, PLAIN("Equal sizes"),
                 PHRASE("The known forces and {} along its line must leave a force of the size of "
                        "{}: the squares of the two sizes are equal.",
                        arg_name(name), arg_name(Q->name)));
    struct split s = split_known(p, line);
    q one = q_integer(w, 1, ratio);
    q length = q_is_none(line->length) ? one : line->length;
    q times = q_is_none(Q->times) ? one : Q->times;
    q square = q_name(w, q_dot(w, known, known), symbol_own(w, "C", NULL));
    q half =
        q_name(w, q_is_none(line->length) ? q_sum(w, &s.known_t, 1) : q_mul(w, s.known_t, length),
               symbol_own(w, "B", NULL));
    q lead = q_name(w, q_sub(w, q_square(w, length), q_square(w, times)), symbol_own(w, "A", NULL));
    work_define(w, lead);
    work_define(w, half);
    work_define(w, square);
    q root[2] = {0};
    int roots = 0;
    if (q_is_zero(w, lead)) {
        if (!q_is_zero(w, half))
            root[roots++] = q_neg(w, q_div(w, square, q_mul(w, q_integer(w, 2, ratio), half)));
    } else {
        q room = q_sub(w, q_square(w, half), q_mul(w, lead, square));
        int sign = q_sign(w, room);
        if (sign == 0)
            root[roots++] = q_neg(w, q_div(w, half, lead));
        q leg = sign > 0 ? q_sqrt(w, room) : (q){0};
        for (int k = 0; sign > 0 && k < 2; k++)
            root[roots++] =
                q_div(w, k == 0 ? q_sub(w, leg, half) : q_neg(w, q_add(w, half, leg)), lead);
    }
    if (roots == 2 && q_sign(w, root[0]) < 0) /* what is no solution comes last */
    {
        q refused = root[0];
        root[0] = root[1];
        root[1] = refused;
    }
    for (int k = 0; k < roots; k++) {
        q T = q_name(w, root[k], line->force->reaction.part[0].symbol);
        if (k == 0)
            show_square(w, lead, half, square, T);
        work_define(w, T);
        if (q_sign(w, T) < 0) {
            note_refused(p, T);
            continue;
        }
        if (q_is_zero(w, T) && !qv_is_zero(w, known))
            continue;
        q size = q_is_none(Q->times) ? q_sum(w, &T, 1) : q_mul(w, q_abs(w, Q->times), T);
        Q->magnitude = named_step(w, size, symbol_of_name(w, Q->name));
        q pull = q_is_none(line->length) ? T : q_mul(w, T, length);
        q c[2];
        for (int axis = 0; axis < 2; axis++) {
            q x = qv_component(w, known, axis);
            if (s.along.part[axis].sign)
                x = q_add(w, x, aim_part(w, &s.along, pull, axis));
            c[axis] = with_side(w, Q, x);
        }
        qv turned[2] = {turned_vector(w, Q, c[0], c[1])};
        add_solution(p, &a, line, T, turned);
    }
    if (a.count == 0) {
        struct phrase text = PHRASE("No size of {} closes the triangle of forces.", arg_name(name));
        work_decide(w, text);
        note_add(w, NOTE_NO_TRIANGLE, text);
    }
    put_state(w, a.count > 0);
    put_answers(p, &a);
}

/* ---- two directions ---- */

/* One that has `size`, against (or along) what is known: a share of it. */
static qv share_of_known(struct particle *p, const struct particle_force *f, q known, bool is_along)
{
    struct work *w = p->b->w;
    q c[2];
    for (int axis = 0; axis < 2; axis++) {
        q x = q_div(w, q_mul(w, f->magnitude, qv_component(w, p->known, axis)), known);
        c[axis] = is_along != f->is_resultant ? x : q_neg(w, x);
    }
    return turned_vector(w, f, c[0], c[1]);
}

/* cos γ = (a² + p² − b²)/(2 a p) */
static q inner_angle(struct work *w, const struct particle_force *f, q a, q known, q b)
{
    q above = q_sub(w, q_add(w, q_square(w, a), q_square(w, known)), q_square(w, b));
    q below = q_mul(w, q_integer(w, 2, ratio), q_mul(w, a, known));
    return named_step(w, q_acos(w, q_div(w, above, below)), symbol_own(w, "γ", f->name));
}

static qv turned_by(struct particle *p, const struct particle_force *f, q theta, q gamma, int sense)
{
    struct work *w = p->b->w;
    q back = f->is_resultant ? theta : q_add(w, theta, q_turn(w, 180));
    q angle = sense > 0 ? q_add(w, back, gamma) : q_sub(w, back, gamma);
    angle = named_step(w, triangle_wrapped(w, angle), symbol_own(w, "ψ", f->name));
    q x = q_mul(w, f->magnitude, q_cos(w, angle)), y = q_mul(w, f->magnitude, q_sin(w, angle));
    return turned_vector(w, f, x, y);
}

static void say_no_triangle(struct particle *p, const struct particle_force *A,
                            const struct particle_force *B)
{
    struct work *w = p->b->w;
    struct phrase text = PHRASE("The sides {}, {} and {} close no triangle: the longest is longer "
                                "than the other two together.",
                                arg_name(p->known_name ? p->known_name : "zero"), arg_name(A->name),
                                arg_name(B->name));
    work_decide(w, text);
    note_add(w, NOTE_NO_TRIANGLE, text);
}

static void two_directions(struct particle *p, const struct particle_force *A,
                           const struct particle_force *B)
{
    struct work *w = p->b->w;
    struct answers answers = {0};
    struct line no_line = {0};
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
        add_solution(p, &answers, &no_line, (q){0}, turned);
        note_touching(w);
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
            add_solution(p, &answers, &no_line, (q){0}, turned);
        }
    }
    put_state(w, answers.count > 0);
    put_answers(p, &answers);
}

/* ---- one direction alone ---- */

static void one_direction(struct particle *p, const struct particle_force *Q)
{
    struct work *w = p->b->w;
    struct answers a = {0};
    struct line no_line = {0};
    qv known = known_or_zero(p);
    work_section(w, PLAIN("The one direction"),
                 PHRASE("{} must be all that the known forces leave.", arg_name(Q->name)));
    q c[2];
    for (int axis = 0; axis < 2; axis++)
        c[axis] = with_side(w, Q, qv_component(w, known, axis));
    q apart = q_sub(w, q_dot(w, known, known), q_square(w, Q->magnitude));
    if (q_is_zero(w, apart)) {
        qv turned[2] = {turned_vector(w, Q, c[0], c[1])};
        add_solution(p, &a, &no_line, (q){0}, turned);
    } else {
        struct phrase text =
            PHRASE("What is known has the size {}, but {} has {}: it can't balance it.",
                   arg_value(q_norm(w, known)), arg_name(Q->name), arg_value(Q->magnitude));
        work_decide(w, text);
        note_add(w, NOTE_NO_TRIANGLE, text);
    }
    put_state(w, a.count > 0);
    put_answers(p, &a);
}

/* ---- which case it is ---- */

static void out_of_scope(struct particle *p, const char *pointer, const char *text)
{
    problem_fault(p->b->reterr, pointer, FAULT_OUT_OF_SCOPE, "%s", text);
}

void particle_two_unknowns(struct particle *p)
{
    const struct particle_force *first = turned_force(p, 0), *second = turned_force(p, 1);
    if (p->b->loads->space) {
        out_of_scope(p, first->in->pointer,
                     "In space a force is found whose direction is given, or of which magnitude "
                     "and direction are both unknown; a direction alone is not yet found here.");
        return;
    }
    bool is_pair = p->turned_count == 2 && p->scalar_count == 0;
    bool is_one = p->turned_count == 1 && p->scalar_count <= 1;
    if (!is_pair && !is_one) {
        out_of_scope(p, first->in->pointer,
                     "Where a direction alone is unknown, one other unknown can be found beside "
                     "it: a magnitude along a given direction, or a second direction. Here are "
                     "more.");
        return;
    }
    if (is_pair) {
        two_directions(p, first, second);
        return;
    }
    if (p->scalar_count == 0) {
        one_direction(p, first);
        return;
    }
    struct line line = line_of(p, 0);
    if (!line.force || line.is_nothing) {
        out_of_scope(p, first->in->pointer,
                     "The pulls of the unknown magnitude cancel, whatever it is: no equation "
                     "finds it.");
        return;
    }
    if (first->same_as >= 0)
        same_magnitude(p, &line, &p->force[first - p->force]);
    else
        magnitude_and_direction(p, &line, first);
}

/* ---- as small as can be ---- */

void particle_smallest(struct particle *p)
{
    struct work *w = p->b->w;
    const struct particle_force *F = NULL, *other = NULL;
    for (int i = 0; i < p->force_count; i++) {
        if (p->force[i].in == &p->b->loads->force[p->input->smallest])
            F = &p->force[i];
        else if (p->force[i].same_as < 0)
            other = &p->force[i];
    }
    int axes = board_axes(p->b);
    if (!F || F->is_turned_free || F->reaction.count != axes || p->turned_count > 0 ||
        p->scalar_count != axes + 1 || !other) {
        out_of_scope(p, "/smallest",
                     "The smallest force is found where it is wholly unknown and one magnitude "
                     "beside it, usually that of the resultant along a given direction.");
        return;
    }
    struct line line = line_of(p, other->scalar[0]);
    if (!line.force || line.is_nothing) {
        out_of_scope(p, "/smallest", "The pulls of the other unknown magnitude cancel.");
        return;
    }
    struct answers a = {0};
    qv known = known_or_zero(p);
    work_section(
        w, PHRASE("The smallest {}", arg_name(F->name)),
        PHRASE(
            "{} has to bring the sum onto the line of {}. The shortest way to a line is "
            "square to it, so that {} has no part along it.{}",
            arg_name(F->name), arg_name(line.force->name), arg_name(F->name),
            arg_name(w->space ? "" : " t runs along the line, n from there counter-clockwise.")));
    bool is_sum = line.force->is_resultant && q_is_none(line.length);
    if (is_sum) /* that counts on the other side of the equations */
        aim_reverse(&line.aim);
    q along = named_step(w, particle_part_along(w, &line.aim, known),
                         particle_symbol(w, p->known_name, 't'));
    q free = is_sum ? q_sum(w, &along, 1) : minus_over(w, along, (q){0}, line.length);
    bool is_beyond = q_sign(w, free) < 0;
    if (is_beyond) {
        struct phrase text = PHRASE(
            "Square to the line, {} would be {}, against its direction. It is never less "
            "than zero, and at zero {} is the smallest it can be: it balances what is known.",
            arg_name(line.force->name), arg_value(free), arg_name(F->name));
        work_decide(w, text);
        note_add(w, NOTE_SMALLEST_AT_ZERO, text);
    }
    q magnitude = named_step(w, is_beyond ? q_integer(w, 0, force_dimension) : free,
                             line.force->reaction.part[0].symbol);
    q n = {0};
    struct aim across = {0};
    if (!is_beyond && !w->space) {
        across = aim_turned(w, &line.aim, 1);
        n = named_step(w, particle_part_along(w, &across, known),
                       particle_symbol(w, p->known_name, 'n'));
        n = named_step(w, q_neg(w, n), particle_symbol(w, F->name, 'n'));
    }
    q c[3] = {0};
    for (int axis = 0; axis < axes; axis++) {
        if (!q_is_none(n))
            c[axis] = aim_part(w, &across, n, axis);
        else if (!is_beyond && line.aim.part[axis].sign)
            c[axis] = q_sub(w, aim_part(w, &line.aim, along, axis), qv_component(w, known, axis));
        else
            c[axis] = q_neg(w, qv_component(w, known, axis));
        c[axis] = named_step(w, c[axis], part_symbol(F, axis));
    }
    qv turned[2] = {qv_of(w, c[0], c[1], c[2])};
    add_solution(p, &a, &line, magnitude, turned);
    put_state(w, a.count > 0);
    put_answers(p, &a);
}
