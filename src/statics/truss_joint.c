/* truss_joint.c: the member forces at one joint. */
#include <math.h>

#include "statics/cut.h"
#include "statics/notes.h"
#include "statics/slips.h"
#include "statics/statics.h"
#include "statics/unknowns.h"
#include "statics/zero_rule.h"

static const struct dimension force_dimension = {.force = 1};

/* Coefficients worked on; a hundred members take a thousand. */
#define BUDGET 1000000

struct joint_member {
    const char *name, *text; /* "BA", "F_BA" */
    struct symbol symbol;
    struct aim aim; /* away from the joint */
    struct exact line;
    int column; /* of the unknowns; −1: it is known */
    struct num found;
    bool is_fixed, is_zero;
    q hand;  /* worked by hand, or by inspection; {0}: not */
    q force; /* as given or as answered; {0}: not fixed */
};

struct joint {
    struct board b;
    struct work *w;
    const struct truss_joint_input *input;
    struct load *load;
    int load_count;
    struct joint_member *member;
    int member_count, unknown_count;
    int rank;
    bool is_held;
    enum equilibrium_state state;
    double scale;
};

/* ---- reading ---- */

static void *take(struct work *w, int count, size_t size)
{
    void *room = arena_alloc(w->arena, ((size_t)count + 1) * size);
    if (!room)
        w->failed = true;
    return room;
}

static void read_loads(struct joint *j)
{
    const struct loads_input *in = &j->input->loads;
    j->load = take(j->w, in->force_count, sizeof *j->load);
    if (!j->load || in->force_count == 0)
        return;
    work_section(j->w, PHRASE("Forces at joint {}", arg_name(j->input->joint)),
                 PLAIN("Forces add by their components."));
    for (int i = 0; i < in->force_count; i++) {
        if (force_is_unknown(&in->force[i]))
            problem_fault(j->b.reterr, in->force[i].pointer, FAULT_OUT_OF_SCOPE,
                          "At a joint the unknown forces are those of members: give %s with its "
                          "size and direction, or as a member.",
                          in->force[i].name);
        else if (force_load(&j->b, &in->force[i], &j->load[j->load_count]))
            j->load_count++;
    }
}

static void read_member(struct joint *j, const struct joint_member_input *in)
{
    struct work *w = j->w;
    struct joint_member *m = &j->member[j->member_count];
    *m = (struct joint_member){
        .name = in->name, .text = member_text(w, "F", in->name), .column = -1};
    if (!direction_aim(&j->b, &in->direction, in->name, false, &m->aim))
        return;
    m->line = exact_line(w, &m->aim);
    slips_of_aim(w, SLIP_TR_TRIG, &m->aim, in->pointer, in->name);
    m->symbol = member_symbol(w, "F", in->name);
    if (in->force.present) {
        m->force = q_name(w, q_given(w, &in->force, force_dimension), m->symbol);
        work_define(w, m->force);
    } else {
        m->column = j->unknown_count++;
    }
    j->member_count++;
}

static void read_members(struct joint *j)
{
    uint32_t from = j->w->node_count;
    j->member = take(j->w, j->input->member_count, sizeof *j->member);
    if (!j->member)
        return;
    work_section(j->w, PLAIN("Members"),
                 PLAIN("Each force acts along its member and is taken as tension: it pulls on the "
                       "joint, away from it. A negative result is compression."));
    for (int i = 0; i < j->input->member_count; i++)
        read_member(j, &j->input->member[i]);
    slips_of_aims(j->w, from);
}

/* ---- the solver ---- */

/* What the known forces add up to. */
static struct exact known_total(const struct joint *j)
{
    const struct field *f = j->w->field;
    struct exact sum = exact_zero(f);
    for (int i = 0; i < j->load_count; i++)
        sum = exact_add(f, sum, exact_of(j->w, j->load[i].vector));
    for (int i = 0; i < j->member_count; i++) {
        struct joint_member *m = &j->member[i];
        if (m->column >= 0)
            continue;
        qv vector = aim_vector(j->w, &m->aim, m->force);
        sum = exact_add(f, sum, exact_of(j->w, vector));
    }
    return sum;
}

/* How long the line of a member is: 1 where it is no vector that was divided by its length. */
static struct num line_length(struct joint *j, const struct joint_member *m)
{
    if (qv_is_none(m->aim.vector))
        return num_integer(j->w->field, 1);
    return q_node(j->w, q_norm(j->w, m->aim.vector))->num;
}

static void remember_doubt(struct work *w, enum zero zero)
{
    w->doubt_digits = w->doubt_digits || zero == ZERO_WITHIN_DIGITS;
    w->doubt_rounding = w->doubt_rounding || zero == ZERO_WITHIN_ROUNDING;
    work_beyond(w, BEYOND_DIGITS, zero == ZERO_UNSETTLED);
}

static void take_found(struct joint *j, const struct linear *l)
{
    for (int i = 0; i < j->member_count; i++) {
        struct joint_member *m = &j->member[i];
        if (m->column < 0) {
            j->scale = fmax(j->scale, fabs(q_value(j->w, m->force)));
            continue;
        }
        m->is_fixed = j->is_held && linear_is_fixed(l, m->column);
        if (!m->is_fixed)
            continue;
        struct num density = linear_value(l, m->column, 0);
        enum zero zero = num_zero(density);
        remember_doubt(j->w, zero);
        m->is_zero = zero != ZERO_NO;
        m->found = m->is_zero ? num_integer(j->w->field, 0)
                              : num_mul(j->w->field, density, line_length(j, m));
        j->scale = fmax(j->scale, fabs(m->found.value));
    }
}

static enum problem_code solve(struct joint *j, struct problem *reterr)
{
    struct work *w = j->w;
    int axes = board_axes(&j->b);
    struct linear *l = linear_new(w->arena, w->field, axes, j->unknown_count, 1);
    struct exact known = known_total(j);
    for (int axis = 0; l && axis < axes; axis++) {
        for (int i = 0; i < j->member_count; i++)
            if (j->member[i].column >= 0)
                linear_add(l, axis, j->member[i].column, j->member[i].line.c[axis]);
        linear_add_right(l, axis, 0, num_neg(w->field, known.c[axis]));
    }
    switch (l ? linear_solve(l, w->second, BUDGET) : LINEAR_NO_MEMORY) {
    case LINEAR_SOLVED:
        break;
    case LINEAR_NO_MEMORY:
        w->failed = true;
        return problem_set(reterr, PROBLEM_OVERLOADED, "There is no memory for this joint.");
    case LINEAR_BUDGET_EXCEEDED:
        return problem_set(reterr, PROBLEM_WORK_LIMIT, "This joint has too many members.");
    case LINEAR_UNLUCKY:
    case LINEAR_MAX_:
        w->unlucky = true;
        return problem_set(reterr, PROBLEM_INTERNAL, "A false zero of the field.");
    }
    if (linear_is_unsettled(l))
        return board_unsolved(&j->b);
    enum zero held = linear_consistent(l, 0);
    remember_doubt(w, held);
    remember_doubt(w, linear_rank_decided(l));
    j->is_held = held != ZERO_NO;
    j->rank = linear_rank(l);
    j->state = !j->is_held                  ? STATE_NO_EQUILIBRIUM
               : j->rank < j->unknown_count ? STATE_INDETERMINATE
                                            : STATE_DETERMINATE;
    for (int i = 0; i < j->load_count; i++)
        j->scale = fmax(j->scale, exact_length(exact_of(w, j->load[i].vector)));
    take_found(j, l);
    if (!(j->scale > 0))
        j->scale = 1;
    return PROBLEM_NONE;
}

/* ---- by inspection ---- */

static void inspect(struct joint *j)
{
    struct work *w = j->w;
    struct zero_rule_force *force = take(w, j->member_count + 1, sizeof *force);
    int *member = take(w, j->member_count + 1, sizeof *member), count = 0;
    struct exact load = exact_zero(w->field);
    if (!force || !member || !j->is_held)
        return;
    for (int i = 0; i < j->load_count; i++)
        load = exact_add(w->field, load, exact_of(w, j->load[i].vector));
    for (int i = 0; i < j->member_count; i++) {
        const struct joint_member *m = &j->member[i];
        if (m->column < 0 && q_is_zero(w, m->force))
            continue;
        member[count] = i;
        force[count++] = (struct zero_rule_force){
            .name = m->name, .line = m->line, .is_member = m->column >= 0 && m->is_zero};
    }
    if (!exact_is_zero(load))
        force[count++] = (struct zero_rule_force){.line = load};
    if (zero_rule_find(w->field, force, count) == 0)
        return;
    work_section(w, PLAIN("Zero-force members"),
                 PLAIN("Some forces are seen without calculation."));
    zero_rule_say(w, j->input->joint, force, count);
    for (int k = 0; k < count; k++) {
        if (!force[k].is_alone)
            continue;
        struct joint_member *m = &j->member[member[k]];
        m->hand = q_name(w, q_integer(w, 0, force_dimension), m->symbol);
        work_define(w, m->hand);
    }
}

/* ---- by hand ---- */

static void cut_free(struct joint *j, struct cut *c)
{
    struct work *w = j->w;
    if (!cut_new(c, &j->b, j->member_count, 1, j->load_count))
        return;
    cut_add_site(c, j->input->joint, (qv){0});
    for (int i = 0; i < j->member_count; i++) {
        const struct joint_member *m = &j->member[i];
        cut_add_force(c, &(struct cut_force){.name = m->name,
                                             .text = m->text,
                                             .symbol = m->symbol,
                                             .aim = &m->aim,
                                             .is_member = true,
                                             .is_fixed = m->column < 0 || m->is_fixed,
                                             .value = m->column < 0 ? m->force : m->hand});
    }
    for (int i = 0; i < j->load_count; i++)
        cut_add_load(c, &j->load[i]);
    if (!w->failed)
        cut_begin(c);
}

static void work_by_hand(struct joint *j, struct cut *c)
{
    struct work *w = j->w;
    work_section(w, PHRASE("Equations of joint {}", arg_name(j->input->joint)),
                 PLAIN("The forces at a joint meet in it: along each axis they add up to "
                       "nothing."));
    cut_free(j, c);
    if (w->failed)
        return;
    cut_work_joint(c);
    for (int i = 0; i < j->member_count; i++)
        if (j->member[i].column >= 0)
            j->member[i].hand = cut_value(c, i);
}

/* ---- the answer ---- */

/* Would the rules for zero-force members take it for one, were the joint not loaded? */
static bool seems_zero(const struct joint *j, int member)
{
    struct exact_span others = {.rank = 0};
    for (int i = 0; i < j->member_count; i++)
        if (i != member && !(j->member[i].column < 0 && q_is_zero(j->w, j->member[i].force)))
            exact_span_add(j->w->field, &others, j->member[i].line);
    return exact_span_add(j->w->field, &others, j->member[member].line);
}

static void name_forces(struct joint *j)
{
    struct work *w = j->w;
    q *found = take(w, j->input->member_count, sizeof *found);
    int count = 0;
    for (int i = 0; i < j->member_count; i++) {
        struct joint_member *m = &j->member[i];
        if (m->column < 0 || !m->is_fixed)
            continue;
        m->force = q_unknown(w, m->found, force_dimension, m->hand, j->scale);
        if (q_is_none(m->hand)) {
            m->force = q_name(w, m->force, m->symbol);
            work_define(w, m->force);
        }
        q hand = w->keeps_slips && seems_zero(j, i) ? m->hand : (q){0};
        slips_of_member(w, NULL, m->name, hand, m->force);
        if (found)
            found[count++] = m->force;
    }
    if (found)
        slips_of_members(w, found, count);
}

static void put_members(struct joint *j)
{
    struct work *w = j->w;
    static const char *const words[] = {"compression", "zero", "tension"};
    result_text(w, NULL, "state", equilibrium_state_word(j->state));
    struct value *list = result_list(w, NULL, "members");
    for (int i = 0; i < j->member_count; i++) {
        const struct joint_member *m = &j->member[i];
        struct value *entry = result_object(w, list, NULL);
        result_text(w, entry, "name", m->name);
        if (q_is_none(m->force)) {
            result_null(w, entry, "force");
            result_null(w, entry, "state");
            continue;
        }
        result_number(w, entry, "force", m->force);
        if (entry && entry->last)
            entry->last->asked = m->column >= 0;
        result_text(w, entry, "state", words[q_sign(w, m->force) + 1]);
    }
}

/* "BA and BC" */
static const char *names_of_open(const struct joint *j)
{
    const char *names = NULL;
    int left = 0;
    for (int i = 0; i < j->member_count; i++)
        left += j->member[i].column >= 0 && !j->member[i].is_fixed;
    for (int i = 0; i < j->member_count; i++) {
        const struct joint_member *m = &j->member[i];
        if (m->column < 0 || m->is_fixed)
            continue;
        left--;
        names = name_list(j->w, names, m->name, left);
    }
    return names ? names : "";
}

static void add_notes(struct joint *j)
{
    struct work *w = j->w;
    if (j->member_count > HAND_COLUMNS_MAX)
        note_add(w, NOTE_NUMBERS_ONLY,
                 PLAIN("There are too many members for the working to be shown: only the numbers "
                       "are given."));
    if (j->state == STATE_INDETERMINATE)
        note_add(w, NOTE_INDETERMINATE,
                 PHRASE("The {} unknown forces have {} independent equations: those of {} depend "
                        "on each other, and statics of this joint alone does not fix them. Find "
                        "one of them at another joint, or by a section.",
                        arg_count(j->unknown_count), arg_count(j->rank),
                        arg_name(names_of_open(j))));
    if (j->state == STATE_NO_EQUILIBRIUM)
        note_add(w, NOTE_NOT_HELD,
                 j->unknown_count > 0
                     ? PLAIN("The known forces have a part in a direction in which no unknown "
                             "member can pull or push: this joint can't be in equilibrium.")
                     : PLAIN("The forces at this joint do not balance: it can't be in "
                             "equilibrium."));
}

static void put_alternatives(struct joint *j, struct cut *c)
{
    q *answer = take(j->w, j->member_count, sizeof *answer);
    for (int i = 0; answer && i < j->member_count; i++)
        answer[i] = j->member[i].force;
    if (answer)
        cut_alternatives(c, answer);
}

enum problem_code statics_truss_joint(struct work *w, const struct truss_joint_input *input,
                                      struct problem *reterr)
{
    struct joint j = {.w = w, .input = input};
    struct cut c = {0};
    board_begin(&j.b, w, &input->loads, reterr);
    j.b.is_body = true;
    read_loads(&j);
    read_members(&j);
    enum problem_code code = board_end(&j.b);
    if (code == PROBLEM_NONE)
        code = solve(&j, reterr);
    if (code != PROBLEM_NONE)
        return code;
    bool is_shown = j.is_held && j.member_count <= HAND_COLUMNS_MAX;
    inspect(&j);
    if (is_shown)
        work_by_hand(&j, &c);
    name_forces(&j);
    if (is_shown && !w->failed) {
        cut_check_joint(&c, PHRASE("Check of joint {}", arg_name(input->joint)));
        put_alternatives(&j, &c);
        cut_balances(&c);
    }
    put_members(&j);
    add_notes(&j);
    code = board_end(&j.b);
    return code == PROBLEM_NONE ? work_close(w, reterr) : code;
}
