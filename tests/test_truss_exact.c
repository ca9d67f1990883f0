/* Random trusses against exact rational elimination with GNU MP (a general reference library):
 * rank, state, what is fixed, what is zero, what moves, which members depend on each other, and
 * every value. TEST_ROUNDS multiplies the rounds. */
#include "solving.h"

#include "random.h"
#include "rational.h"

enum { JOINTS_MAX = 9, MEMBERS_MAX = 40, PARTS_MAX = 16 };

struct support {
    int joint, parts;
    long direction[3]; /* of a roller or link: one part */
};

struct random_truss {
    int axes, joints, members, supports, loads;
    long scale; /* coordinates are in units of 1/scale */
    long x[JOINTS_MAX][3];
    int member[MEMBERS_MAX][2];
    struct support support[PARTS_MAX];
    long load[JOINTS_MAX][3];
    bool is_loaded[JOINTS_MAX];
};

/* ---- making one ---- */

static bool is_taken(const struct random_truss *t, int joint)
{
    for (int j = 0; j < joint; j++)
        if (t->x[j][0] == t->x[joint][0] && t->x[j][1] == t->x[joint][1] &&
            t->x[j][2] == t->x[joint][2])
            return true;
    return false;
}

static void place_joints(struct random_truss *t)
{
    int family = random_int(0, 3);
    t->scale = family == 1 ? 1000 : family >= 2 ? 100000 : 1;
    for (int j = 0; j < t->joints; j++)
        do
            for (int axis = 0; axis < t->axes; axis++) {
                long lattice = random_int(0, t->axes == 2 ? 4 : 2);
                t->x[j][axis] = family == 0   ? lattice
                                : family == 1 ? random_int(-9000, 9000)
                                              : lattice * t->scale +
                                                    random_int(-1, 1) * (family == 3 ? 1 : 300);
            }
        while (is_taken(t, j));
}

static bool is_member(const struct random_truss *t, int a, int b)
{
    for (int i = 0; i < t->members; i++)
        if ((t->member[i][0] == a && t->member[i][1] == b) ||
            (t->member[i][0] == b && t->member[i][1] == a))
            return true;
    return false;
}

static void add_member(struct random_truss *t, int a, int b)
{
    if (a == b || is_member(t, a, b) || t->members == MEMBERS_MAX)
        return;
    t->member[t->members][0] = a;
    t->member[t->members++][1] = b;
}

/* Half of them grow as simple trusses do, so that many are determinate. */
static void place_members(struct random_truss *t)
{
    int wanted = t->axes * t->joints - (t->axes == 2 ? 3 : 6) + random_int(-1, 1);
    bool is_simple = random_int(0, 1);
    for (int j = 1; is_simple && j < t->joints; j++)
        for (int k = 0; k < t->axes; k++)
            add_member(t, j, random_int(0, j - 1));
    for (int tries = 0; tries < 200 && t->members < wanted; tries++)
        add_member(t, random_int(0, t->joints - 1), random_int(0, t->joints - 1));
}

static void place_supports(struct random_truss *t)
{
    int wanted = (t->axes == 2 ? 3 : 6) + (random_int(0, 3) ? 0 : random_int(-1, 1)), parts = 0;
    while (parts < wanted && t->supports < PARTS_MAX) {
        struct support *s = &t->support[t->supports++];
        s->joint = random_int(0, t->joints - 1);
        s->parts = random_int(0, 1) && wanted - parts >= t->axes ? t->axes : 1;
        for (int axis = 0; axis < t->axes; axis++)
            s->direction[axis] = random_int(0, 2) ? 0 : random_int(-5, 5);
        if (s->direction[0] == 0 && s->direction[1] == 0 && s->direction[2] == 0)
            s->direction[random_int(0, t->axes - 1)] = 1;
        parts += s->parts;
    }
}

static void make_truss(struct random_truss *t, int axes)
{
    *t = (struct random_truss){.axes = axes, .joints = random_int(2, JOINTS_MAX)};
    place_joints(t);
    place_members(t);
    if (t->members == 0)
        add_member(t, 0, 1);
    place_supports(t);
    for (int k = random_int(0, 3); k > 0; k--) {
        int j = random_int(0, t->joints - 1);
        t->is_loaded[j] = true;
        for (int axis = 0; axis < axes; axis++)
            t->load[j][axis] = random_int(0, 1) ? 0 : random_int(-9000, 9000);
    }
}

static void put_numbers(struct buf *b, struct arena *arena, const long *n, int count, long scale)
{
    for (int k = 0; k < count; k++)
        buf_puts(b, arena_printf(arena, "%s%s%ld.%0*ld", k ? ", " : "[", n[k] < 0 ? "-" : "",
                                 labs(n[k]) / scale,
                                 scale == 1000 ? 3
                                 : scale == 1  ? 1
                                               : 5,
                                 scale == 1 ? 0 : labs(n[k]) % scale));
    buf_puts(b, "]");
}

static char *request_of(const struct random_truss *t, struct arena *arena)
{
    struct buf b;
    buf_init(&b, arena, 1 << 16);
    buf_puts(&b, "{\"joints\": ");
    for (int j = 0; j < t->joints; j++) {
        buf_puts(&b, arena_printf(arena, "%s\"%c\": ", j ? ", " : "{", 'A' + j));
        put_numbers(&b, arena, t->x[j], t->axes, t->scale);
    }
    buf_puts(&b, "}, \"members\": [");
    for (int i = 0; i < t->members; i++)
        buf_puts(&b, arena_printf(arena, "%s[\"%c\", \"%c\"]", i ? ", " : "", 'A' + t->member[i][0],
                                  'A' + t->member[i][1]));
    buf_puts(&b, "], \"supports\": [");
    for (int i = 0; i < t->supports; i++) {
        const struct support *s = &t->support[i];
        buf_puts(&b, arena_printf(arena, "%s{\"name\": \"S%d\", \"at\": \"%c\", \"kind\": \"%s\"",
                                  i ? ", " : "", i, 'A' + s->joint,
                                  s->parts > 1 ? t->axes == 2 ? "pin" : "ball_and_socket"
                                  : i % 2 == 0 ? "roller"
                                               : "link"));
        if (s->parts == 1) {
            buf_puts(&b,
                     i % 2 == 0 ? ", \"normal\": {\"vector\": " : ", \"direction\": {\"vector\": ");
            put_numbers(&b, arena, s->direction, t->axes, 1);
            buf_puts(&b, "}");
        }
        buf_puts(&b, "}");
    }
    buf_puts(&b, "], \"loads\": [");
    for (int j = 0, count = 0; j < t->joints; j++)
        if (t->is_loaded[j]) {
            buf_puts(&b, arena_printf(arena, "%s{\"at\": \"%c\", \"components\": ",
                                      count++ ? ", " : "", 'A' + j));
            put_numbers(&b, arena, t->load[j], t->axes, 1000);
            buf_puts(&b, "}");
        }
    buf_puts(&b, "]}");
    assert_false(b.overflow);
    return arena_text(arena, buf_text(&b), b.length);
}

/* ---- its equations ---- */

static int unknowns_of(const struct random_truss *t)
{
    int n = t->members;
    for (int i = 0; i < t->supports; i++)
        n += t->support[i].parts;
    return n;
}

/* The direction of each unknown, in units of 1/scale, and the joints it acts on. */
static void direction_of(const struct random_truss *t, int unknown, long d[3], long *scale,
                         int joint[2])
{
    int first = t->members;
    d[0] = d[1] = d[2] = 0;
    joint[1] = -1;
    *scale = 1;
    if (unknown < t->members) {
        joint[0] = t->member[unknown][0];
        joint[1] = t->member[unknown][1];
        *scale = t->scale;
        for (int axis = 0; axis < t->axes; axis++)
            d[axis] = t->x[joint[1]][axis] - t->x[joint[0]][axis];
        return;
    }
    for (int i = 0; i < t->supports; first += t->support[i++].parts) {
        const struct support *s = &t->support[i];
        if (unknown >= first + s->parts)
            continue;
        joint[0] = s->joint;
        if (s->parts > 1)
            d[unknown - first] = 1;
        else
            memcpy(d, s->direction, sizeof s->direction);
        return;
    }
}

static struct rational *equations_of(const struct random_truss *t)
{
    int n = unknowns_of(t);
    struct rational *r = rational_new(t->axes * t->joints, n, 1);
    for (int i = 0; i < n; i++) {
        long d[3], scale;
        int joint[2];
        direction_of(t, i, d, &scale, joint);
        for (int axis = 0; axis < t->axes; axis++) {
            rational_add(r, t->axes * joint[0] + axis, i, d[axis], scale);
            if (joint[1] >= 0)
                rational_add(r, t->axes * joint[1] + axis, i, -d[axis], scale);
        }
    }
    for (int j = 0; j < t->joints; j++)
        for (int axis = 0; axis < t->axes; axis++)
            rational_add(r, t->axes * j + axis, n, -t->load[j][axis], 1000);
    return r;
}

/* The joints that move in some motion that keeps every length: the rows that others make up. */
static void find_moving(const struct random_truss *t, bool moves[JOINTS_MAX])
{
    int n = unknowns_of(t), m = t->axes * t->joints;
    struct rational *r = rational_new(n, m, 1);
    for (int i = 0; i < n; i++) {
        long d[3], scale;
        int joint[2];
        direction_of(t, i, d, &scale, joint);
        for (int axis = 0; axis < t->axes; axis++) {
            rational_add(r, i, t->axes * joint[0] + axis, d[axis], scale);
            if (joint[1] >= 0)
                rational_add(r, i, t->axes * joint[1] + axis, -d[axis], scale);
        }
    }
    rational_reduce(r);
    for (int j = 0; j < t->joints; j++) {
        moves[j] = false;
        for (int axis = 0; axis < t->axes; axis++)
            moves[j] = moves[j] || rational_fixed_by(r, t->axes * j + axis) < 0;
    }
    rational_free(r);
}

/* The force of an unknown: its value in `row` times the length of its direction. */
static double force_of(const struct random_truss *t, const struct rational *r, int unknown, int row)
{
    long d[3], scale;
    int joint[2];
    mpf_t length, x;
    direction_of(t, unknown, d, &scale, joint);
    mpf_init2(length, 256);
    mpf_init2(x, 256);
    mpf_set_si(length, d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
    mpf_sqrt(length, length);
    mpf_div_ui(length, length, (unsigned long)scale);
    mpf_set_q(x, *rational_at(r, row, r->unknowns));
    mpf_mul(x, x, length);
    double value = mpf_get_d(x);
    mpf_clears(length, x, (mpf_ptr)NULL);
    return value;
}

/* ---- comparing ---- */

static const char *member_name(const struct random_truss *t, int i)
{
    static char name[3];
    name[0] = (char)('A' + t->member[i][0]);
    name[1] = (char)('A' + t->member[i][1]);
    return name;
}

static void value_is(struct solved *s, const char *path, bool is_known, double expected)
{
    if (!is_known) {
        if (!is_null_at(s, path))
            fail_msg("%s is not null", path);
        return;
    }
    double value = number_at(s, path);
    if (!(fabs(value - expected) <= 1e-12 * fabs(expected)))
        fail_msg("%s is %.17g, not %.17g", path, value, expected);
}

static void members_are(const struct random_truss *t, const struct rational *r, bool is_held,
                        struct solved *s)
{
    int zeros = 0;
    const struct value *list = value_at(s, "zero_force_members", NULL);
    for (int i = 0; i < t->members; i++) {
        int row = rational_fixed_by(r, i);
        bool is_known = is_held && row >= 0;
        double expected = is_known ? force_of(t, r, i, row) : 0;
        value_is(s, arena_printf(s->arena, "members/%d/force", i), is_known, expected);
        const char *state = arena_printf(s->arena, "members/%d/state", i);
        assert_string_equal(words_at(s, arena_printf(s->arena, "members/%d/name", i)),
                            member_name(t, i));
        assert_int_equal(entry_named(list, member_name(t, i)) != NULL, is_known && expected == 0);
        zeros += is_known && expected == 0;
        if (is_known)
            assert_string_equal(words_at(s, state), expected == 0  ? "zero"
                                                    : expected > 0 ? "tension"
                                                                   : "compression");
        else
            assert_true(is_null_at(s, state));
    }
    for (const struct value *v = list->child; v; v = v->next)
        zeros--;
    assert_int_equal(zeros, 0);
}

static void supports_are(const struct random_truss *t, const struct rational *r, bool is_held,
                         struct solved *s)
{
    int unknown = t->members;
    for (int i = 0; i < t->supports; i++) {
        bool are_all = true;
        for (int k = 0; k < t->support[i].parts; k++, unknown++) {
            int row = rational_fixed_by(r, unknown);
            bool is_known = is_held && row >= 0;
            are_all = are_all && is_known;
            value_is(s, arena_printf(s->arena, "supports/%d/parts/%d/value", i, k), is_known,
                     is_known ? force_of(t, r, unknown, row) : 0);
        }
        const struct value *force =
            value_at(s, arena_printf(s->arena, "supports/%d/force", i), NULL);
        assert_int_equal(force->kind, are_all ? VALUE_OBJECT : VALUE_NULL);
    }
}

/* Unknowns that depend on each other: joined where a row holds both a pivot and a free one. */
static void groups_are(const struct random_truss *t, const struct rational *r, struct solved *s)
{
    int n = r->unknowns, group[MEMBERS_MAX + PARTS_MAX * 3];
    for (int j = 0; j < n; j++)
        group[j] = j;
    for (int k = 0; k < r->rank; k++)
        for (int j = 0; j < n; j++) {
            if (j == r->pivot[k] || mpq_sgn(*rational_at(r, k, j)) == 0)
                continue;
            int from = group[j], to = group[r->pivot[k]];
            for (int i = 0; i < n; i++)
                group[i] = group[i] == from ? to : group[i];
        }
    const struct value *list = value_at(s, "unfixed", NULL);
    int of[MEMBERS_MAX], index = 0;
    for (int i = 0; i < t->members; i++)
        of[i] = -1;
    for (const struct value *one = list->child; one; one = one->next, index++)
        for (const struct value *v = one->child; v; v = v->next)
            for (int i = 0; i < t->members; i++)
                if (strcmp(v->text, member_name(t, i)) == 0)
                    of[i] = index;
    for (int i = 0; i < t->members; i++) {
        assert_int_equal(of[i] < 0, rational_fixed_by(r, i) >= 0);
        for (int k = 0; k < i; k++)
            if (of[i] >= 0 && of[k] >= 0)
                assert_int_equal(of[i] == of[k], group[i] == group[k]);
    }
}

/* The motion keeps every length and obeys every support; exactly the joints that can move do. */
static void motion_is(const struct random_truss *t, struct solved *s)
{
    bool moves[JOINTS_MAX];
    double move[JOINTS_MAX][3] = {{0}}, largest = 0;
    int index = 0;
    find_moving(t, moves);
    for (int j = 0; j < t->joints; j++) {
        if (!moves[j])
            continue;
        const char *path = arena_printf(s->arena, "mechanism/joints/%d", index++);
        assert_int_equal(words_at(s, arena_printf(s->arena, "%s/name", path))[0], 'A' + j);
        for (int axis = 0; axis < t->axes; axis++)
            move[j][axis] = number_at(s, arena_printf(s->arena, "%s/displacement/%d", path, axis));
        largest = fmax(largest, hypot(hypot(move[j][0], move[j][1]), move[j][2]));
    }
    assert_true(is_absent(s, arena_printf(s->arena, "mechanism/joints/%d", index)));
    assert_near(largest, 1, 1e-12);
    for (int i = 0; i < unknowns_of(t); i++) {
        long d[3], scale;
        int joint[2];
        double longer = 0, length = 0;
        direction_of(t, i, d, &scale, joint);
        for (int axis = 0; axis < t->axes; axis++) {
            longer += (double)d[axis] *
                      ((joint[1] >= 0 ? move[joint[1]][axis] : 0) - move[joint[0]][axis]);
            length += fabs((double)d[axis]);
        }
        assert_near(longer / length, 0, 1e-11);
    }
}

static void compare(const struct random_truss *t, int *tally)
{
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    char *text = request_of(t, arena);
    struct rational *r = equations_of(t);
    rational_reduce(r);
    int e = t->axes * t->joints, n = unknowns_of(t);
    bool is_held = rational_is_consistent(r, 0);
    const char *state = r->rank < e ? "mechanism" : r->rank < n ? "indeterminate" : "determinate";
    tally[r->rank < e ? is_held ? 3 : 2 : r->rank < n ? 1 : 0]++;
    struct solved s = solve_json("truss", arena, read_json(arena, text));
    if (s.code != PROBLEM_NONE || strcmp(words_at(&s, "state"), state) != 0)
        fail_msg("%s: not %s in %.900s", s.problem.detail ? s.problem.detail : "", state, text);
    assert_int_equal(count_at(&s, "count/unknowns"), n);
    assert_int_equal(count_at(&s, "count/equations"), e);
    assert_int_equal(count_at(&s, "count/rank"), r->rank);
    if (r->rank < n) {
        assert_int_equal(count_at(&s, "degree"), n - r->rank);
        groups_are(t, r, &s);
    } else {
        assert_true(is_absent(&s, "degree"));
        assert_true(is_absent(&s, "unfixed"));
    }
    if (r->rank < e) {
        assert_int_equal(count_at(&s, "mechanism/freedoms"), e - r->rank);
        assert_int_equal(value_at(&s, "balanced", NULL)->truth, is_held);
        motion_is(t, &s);
    } else {
        assert_true(is_absent(&s, "mechanism"));
        assert_true(is_absent(&s, "balanced"));
    }
    members_are(t, r, is_held, &s);
    supports_are(t, r, is_held, &s);
    rational_free(r);
    done(&s);
}

static void run(int axes, int rounds)
{
    struct random_truss t;
    int tally[4] = {0};
    for (int k = 0; k < rounds; k++) {
        uint64_t state = random_state;
        make_truss(&t, axes);
        printf("%s", "");
        (void)state;
        compare(&t, tally);
    }
    printf("# determinate %d, indeterminate %d, mechanisms %d, of which balanced %d\n", tally[0],
           tally[1], tally[2] + tally[3], tally[3]);
    for (int k = 0; k < 4; k++)
        assert_true(tally[k] > 0);
}

static void plane(void **state)
{
    (void)state;
    random_start("plane", 217);
    run(2, random_rounds(300));
}

static void space(void **state)
{
    (void)state;
    random_start("space", 248);
    run(3, random_rounds(150));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(plane), cmocka_unit_test(space)};
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
