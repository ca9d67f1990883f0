#include "oracle/structure.h"

#include <math.h>
#include <string.h>

#include "text.h"

enum { JOINTS_MAX = 9 };

struct writer {
    struct draw *d;
    bool space;
    struct text text;
    int named; /* supports and unknown forces so far */
};

static int axes(const struct writer *t) { return t->space ? 3 : 2; }

static void put_list(struct writer *t, const double *v)
{
    for (int k = 0; k < axes(t); k++)
        put(&t->text, "%s%.10g", k ? ", " : "[", v[k]);
    put(&t->text, "]");
}

static void put_place(struct writer *t)
{
    double v[3];
    for (int k = 0; k < 3; k++)
        v[k] = draw_decimal(t->d, -6, 6, 1);
    put_list(t, v);
}

static void put_aim(struct writer *t, const char *key)
{
    struct aim aim;
    char text[400];
    aim_draw(t->d, t->space, &aim);
    aim_write(&aim, t->space, text, sizeof text);
    put(&t->text, "\"%s\": %s", key, text);
}

/* Along an axis as often as not, as in books. */
static void put_direction(struct writer *t, const char *key)
{
    if (draw_one_in(t->d, 2))
        put(&t->text, "\"%s\": {\"axis\": \"%c%c\"}", key, "+-"[draw_int(t->d, 0, 1)],
            "xyz"[draw_int(t->d, 0, axes(t) - 1)]);
    else
        put_aim(t, key);
}

/* Left open: the place follows. */
static void begin_known_force(struct writer *t, char name)
{
    put(&t->text, "{\"name\": \"%c\", ", name);
    if (draw_one_in(t->d, 6))
        put(&t->text, "\"mass\": %.10g", draw_decimal(t->d, 1, 60, 1));
    else if (draw_one_in(t->d, 3)) {
        double v[3];
        for (int k = 0; k < 3; k++)
            v[k] = draw_decimal(t->d, -30, 30, 1);
        put(&t->text, "\"components\": ");
        put_list(t, v);
    } else {
        put(&t->text, "\"magnitude\": %.10g, ", draw_decimal(t->d, 4, 40, 1));
        put_direction(t, "direction");
    }
}

static void put_unknown_force(struct writer *t, bool whole)
{
    static const char *const sense[] = {"", ", \"sense\": \"pulls\"", ", \"sense\": \"pushes\""};
    put(&t->text, "{\"name\": \"T_%d\", \"magnitude\": \"unknown\", ", ++t->named);
    if (whole) {
        put(&t->text, "\"direction\": \"unknown\"");
    } else {
        put_direction(t, "direction");
        put(&t->text, "%s", sense[draw_int(t->d, 0, 2)]);
    }
    put(&t->text, "}");
}

/* ---- particles ---- */

/* Which of two forces of a plane particle have an unknown magnitude, an unknown direction. */
static void put_two_unknowns(struct writer *t)
{
    int kind = draw_int(t->d, 0, 4);
    switch (kind) {
    case 0: /* one force wholly unknown */
        put_unknown_force(t, true);
        break;
    case 1: /* the magnitude of one, the direction of another */
        put_unknown_force(t, false);
        put(&t->text, ", {\"name\": \"Q\", \"magnitude\": %.10g, \"direction\": \"unknown\"}",
            draw_decimal(t->d, 20, 60, 1));
        break;
    case 2: /* two directions */
        put(&t->text,
            "{\"name\": \"Q\", \"magnitude\": %.10g, \"direction\": \"unknown\"}, {\"name\": "
            "\"S\", \"magnitude\": %.10g, \"direction\": \"unknown\"}",
            draw_decimal(t->d, 20, 60, 1), draw_decimal(t->d, 20, 60, 1));
        break;
    case 3: /* one line over a pulley, and a force along another */
        put_unknown_force(t, false);
        put(&t->text, ", {\"name\": \"V\", \"magnitude\": {\"same_as\": \"T_%d\", \"times\": %s}, ",
            t->named, draw_one_in(t->d, 2) ? "2" : "0.5");
        put_direction(t, "direction");
        put(&t->text, "}, ");
        put_unknown_force(t, false);
        break;
    default: /* two magnitudes */
        put_unknown_force(t, false);
        put(&t->text, ", ");
        put_unknown_force(t, false);
        break;
    }
}

static void put_particle(struct writer *t)
{
    put(&t->text, "{\"forces\": [");
    for (int i = 0, count = draw_int(t->d, 1, 2); i < count; i++) {
        begin_known_force(t, (char)('F' + i));
        put(&t->text, "}, ");
    }
    bool is_smallest = !t->space && draw_one_in(t->d, 6);
    if (is_smallest) {
        put_unknown_force(t, true);
    } else if (!t->space) {
        put_two_unknowns(t);
    } else if (draw_one_in(t->d, 4)) {
        put_unknown_force(t, true);
    } else {
        for (int i = 0, count = draw_one_in(t->d, 5) ? draw_int(t->d, 2, 4) : 3; i < count; i++) {
            put(&t->text, "%s", i ? ", " : "");
            put_unknown_force(t, false);
        }
    }
    put(&t->text, "]");
    if (is_smallest) {
        put(&t->text, ", \"required_resultant\": {\"name\": \"R\", \"magnitude\": \"unknown\", ");
        put_aim(t, "direction");
        put(&t->text, "}, \"smallest\": \"T_1\"");
    } else if (draw_one_in(t->d, 5)) {
        put(&t->text, ", \"required_resultant\": {\"name\": \"R\", \"magnitude\": %.10g, ",
            draw_decimal(t->d, 5, 50, 1));
        put_direction(t, "direction");
        put(&t->text, "}");
    }
    put(&t->text, "}");
}

/* ---- bodies ---- */

static int put_support(struct writer *t, int wanted)
{
    static const struct kind {
        const char *kind, *direction;
        int parts;
    } plane[] = {{"pin", NULL, 2},
                 {"fixed", NULL, 3},
                 {"roller", "normal", 1},
                 {"rocker", "normal", 1},
                 {"smooth_surface", "normal", 1},
                 {"rough_surface", "normal", 2},
                 {"link", "direction", 1},
                 {"cable", "direction", 1},
                 {"collar", "axis", 1}},
      space[] = {{"ball_and_socket", NULL, 3},
                 {"fixed", NULL, 6},
                 {"hinge", "axis", 3},
                 {"journal_bearing", "axis", 2},
                 {"thrust_bearing", "axis", 3},
                 {"roller", "normal", 1},
                 {"smooth_surface", "normal", 1},
                 {"link", "direction", 1},
                 {"cable", "direction", 1}};
    const struct kind *k;
    do
        k = t->space ? &space[draw_int(t->d, 0, 8)] : &plane[draw_int(t->d, 0, 8)];
    while (k->parts > wanted);
    bool has_axis = k->direction && strcmp(k->direction, "axis") == 0;
    int couples = has_axis ? axes(t) - 1 : 0;
    put(&t->text, "{\"name\": \"%c\", \"kind\": \"%s\", ", 'A' + t->named++, k->kind);
    if (k->direction) {
        put_direction(t, k->direction);
        put(&t->text, ", ");
    }
    bool holds_turning = couples > 0 && k->parts + couples <= wanted && draw_one_in(t->d, 2);
    if (holds_turning)
        put(&t->text, "\"couples\": true, ");
    put(&t->text, "\"at\": ");
    put_place(t);
    put(&t->text, "}");
    return k->parts + (holds_turning ? couples : 0);
}

static void put_loads(struct writer *t, char name)
{
    put(&t->text, "\"forces\": [");
    for (int i = 0, count = draw_int(t->d, 1, 2); i < count; i++) {
        put(&t->text, "%s", i ? ", " : "");
        begin_known_force(t, (char)(name + i));
        put(&t->text, ", \"at\": ");
        put_place(t);
        put(&t->text, "}");
    }
    put(&t->text, "]");
    if (draw_one_in(t->d, 4)) {
        double m[3];
        for (int k = 0; k < 3; k++)
            m[k] = draw_decimal(t->d, -40, 40, 1);
        put(&t->text, ", \"couples\": [{\"moment\": ");
        if (t->space)
            put_list(t, m);
        else
            put(&t->text, "%.10g", m[2]);
        put(&t->text, "}]");
    }
    if (!t->space && draw_one_in(t->d, 4))
        put(&t->text,
            ", \"distributed_loads\": [{\"from\": [%.10g, %.10g], \"to\": [%.10g, %.10g], "
            "\"intensity\": [%.10g, %.10g]}]",
            draw_decimal(t->d, -6, -1, 1), draw_decimal(t->d, -3, 3, 1),
            draw_decimal(t->d, 1, 6, 1), draw_decimal(t->d, -3, 3, 1),
            draw_decimal(t->d, 0.5, 9, 1), draw_decimal(t->d, 0.5, 9, 1));
}

static void put_supports(struct writer *t, int wanted)
{
    put(&t->text, "\"supports\": [");
    for (int i = 0; wanted > 0; i++) {
        put(&t->text, "%s", i ? ", " : "");
        wanted -= put_support(t, wanted);
    }
    put(&t->text, "]");
}

/* One too few or too many once in eight times. */
static int wrongly_held(struct writer *t)
{
    return draw_one_in(t->d, 8) ? (draw_one_in(t->d, 2) ? 1 : -1) : 0;
}

static void put_body(struct writer *t)
{
    put(&t->text, "{");
    put_loads(t, 'P');
    put(&t->text, ", ");
    put_supports(t, (t->space ? 6 : 3) + wrongly_held(t));
    put(&t->text, "}");
}

static void put_joined_bodies(struct writer *t)
{
    int bodies = t->space ? 2 : draw_int(t->d, 2, 3);
    int each = t->space ? 6 : 3, wanted = each * bodies - axes(t) * (bodies - 1) + wrongly_held(t);
    put(&t->text, "{\"bodies\": {");
    for (int i = 0; i < bodies; i++) {
        int share = i == bodies - 1 ? wanted : draw_int(t->d, 0, wanted < each ? wanted : each);
        put(&t->text, "%s\"b%d\": {", i ? ", " : "", i + 1);
        put_loads(t, (char)('P' + 2 * i));
        put(&t->text, ", ");
        put_supports(t, share);
        put(&t->text, "}");
        wanted -= share;
    }
    put(&t->text, "}, \"pins\": [");
    for (int i = 1; i < bodies; i++) {
        put(&t->text,
            "%s{\"name\": \"%c\", \"joins\": [\"b%d\", \"b%d\"], \"at\": ", i > 1 ? ", " : "",
            'J' + i, i, i + 1);
        put_place(t);
        put(&t->text, "}");
    }
    put(&t->text, "]}");
}

/* ---- trusses ---- */

struct joints {
    int count, members;
    double x[JOINTS_MAX][3];
    int member[3 * JOINTS_MAX][2];
    bool are_digits;
};

static char joint_name(const struct joints *j, int i)
{
    return (char)((j->are_digits ? '1' : 'A') + i);
}

static void join(struct joints *j, int a, int b)
{
    j->member[j->members][0] = a;
    j->member[j->members++][1] = b;
}

static bool are_joined(const struct joints *j, int a, int b)
{
    for (int i = 0; i < j->members; i++)
        if (j->member[i][0] == a && j->member[i][1] == b)
            return true;
    return false;
}

/* As simple trusses grow: each joint by as many members as there are axes. */
static void grow(struct writer *t, struct joints *j)
{
    bool is_square = draw_one_in(t->d, 2);
    j->are_digits = draw_one_in(t->d, 4);
    for (int count = draw_int(t->d, axes(t) + 1, JOINTS_MAX - t->space); j->count < count;
         j->count++) {
        double *x = j->x[j->count];
        bool is_taken;
        do {
            is_taken = false;
            for (int k = 0; k < axes(t); k++)
                x[k] = is_square ? 1.5 * draw_int(t->d, 0, 4) : draw_decimal(t->d, -7, 7, 1);
            for (int i = 0; i < j->count; i++)
                is_taken |= memcmp(j->x[i], x, sizeof j->x[i]) == 0;
        } while (is_taken);
        int first = j->count <= axes(t) ? 0 : draw_int(t->d, 0, j->count - 1 - axes(t));
        for (int k = first; k < j->count && k < first + axes(t); k++)
            join(j, k, j->count);
    }
}

static void put_truss(struct writer *t)
{
    struct joints j = {0};
    grow(t, &j);
    if (draw_one_in(t->d, 10)) /* one too few, one too many */
        j.members--;
    else if (draw_one_in(t->d, 8) && !are_joined(&j, 0, j.count - 1))
        join(&j, 0, j.count - 1);
    put(&t->text, "{\"joints\": {");
    for (int i = 0; i < j.count; i++) {
        put(&t->text, "%s\"%c\": ", i ? ", " : "", joint_name(&j, i));
        put_list(t, j.x[i]);
    }
    put(&t->text, "}, \"members\": [");
    for (int i = 0; i < j.members; i++)
        put(&t->text, "%s[\"%c\", \"%c\"]", i ? ", " : "", joint_name(&j, j.member[i][0]),
            joint_name(&j, j.member[i][1]));
    put(&t->text, "], \"supports\": [");
    put(&t->text, "{\"at\": \"%c\", \"kind\": \"%s\"}, ", joint_name(&j, 0),
        t->space ? "ball_and_socket" : "pin");
    if (t->space) {
        put(&t->text,
            "{\"at\": \"%c\", \"kind\": \"roller\"}, {\"at\": \"%c\", \"name\": \"L\", \"kind\": "
            "\"link\", ",
            joint_name(&j, 1), joint_name(&j, 1));
        put_direction(t, "direction");
        put(&t->text, "}, ");
    }
    put(&t->text, "{\"at\": \"%c\", \"kind\": \"roller\"", joint_name(&j, 2));
    if (draw_one_in(t->d, 3)) {
        put(&t->text, ", ");
        put_direction(t, "normal");
    }
    put(&t->text, "}], \"loads\": [");
    for (int i = 0, count = draw_int(t->d, 1, 3); i < count; i++) {
        put(&t->text, "%s", i ? ", " : "");
        begin_known_force(t, (char)('P' + i));
        put(&t->text, ", \"at\": \"%c\"}", joint_name(&j, draw_int(t->d, 0, j.count - 1)));
    }
    put(&t->text, "]");
    if (draw_one_in(t->d, 4)) {
        int side = draw_int(t->d, 1, j.count - 1), cut = 0;
        put(&t->text, ", \"section\": {\"cut\": [");
        for (int i = 0; i < j.members; i++)
            if (j.member[i][0] < side && j.member[i][1] >= side)
                put(&t->text, "%s\"%c%c\"", cut++ ? ", " : "", joint_name(&j, j.member[i][0]),
                    joint_name(&j, j.member[i][1]));
        put(&t->text, "]}");
    }
    put(&t->text, "}");
}

static void put_joint(struct writer *t)
{
    int unknown = draw_one_in(t->d, 6) ? draw_int(t->d, 1, 4) : axes(t);
    int known = draw_int(t->d, 0, 2);
    put(&t->text, "{\"joint\": \"J\", \"members\": [");
    for (int i = 0; i < unknown + known; i++) {
        put(&t->text, "%s{\"name\": \"J%c\", ", i ? ", " : "", 'A' + i);
        put_direction(t, "direction");
        if (i >= unknown)
            put(&t->text, ", \"force\": %.10g", draw_decimal(t->d, -40, 40, 1));
        put(&t->text, "}");
    }
    put(&t->text, "], \"forces\": [");
    begin_known_force(t, 'P');
    put(&t->text, "}]}");
}

const char *structure_draw(struct draw *d, char *text, size_t capacity)
{
    struct writer t = {d, draw_one_in(d, 3), {text, text + capacity}, 0};
    switch (draw_int(d, 0, 6)) {
    case 0:
    case 1:
        put_particle(&t);
        return "/v1/equilibrium";
    case 2:
    case 3:
        put_body(&t);
        return "/v1/equilibrium";
    case 4:
        put_joined_bodies(&t);
        return "/v1/equilibrium";
    case 5:
        put_truss(&t);
        return "/v1/truss";
    default:
        put_joint(&t);
        return "/v1/truss-joint";
    }
}
