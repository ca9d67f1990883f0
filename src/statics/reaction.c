/* reaction.c: the table of supports. */
#include "statics/reaction.h"

enum along {
    ALONG_X, /* first, so that they are axes */
    ALONG_Y,
    ALONG_Z,       /* left out in the plane */
    ALONG_IT,      /* the normal, or the direction */
    ALONG_SURFACE, /* the normal turned by 90° clockwise */
    ACROSS_IT,     /* the axis turned by 90° counter-clockwise */
    ALONG_U,       /* square to an axis */
    ALONG_V,       /* square to the axis and to u */
    ALONG_AXIS
};

struct part_row {
    enum along along;
    enum { IS_FORCE, IS_COUPLE, IS_COUPLE_IF_SAID } what;
    const char *letter; /* N of N_A; NULL: the name itself */
    enum one_way one_way;
};

#define WHOLE_FORCE                                                                                \
    {ALONG_X, IS_FORCE, NULL, 0}, {ALONG_Y, IS_FORCE, NULL, 0}, { ALONG_Z, IS_FORCE, NULL, 0 }
#define SQUARE_FORCE                                                                               \
    {ALONG_U, IS_FORCE, NULL, 0}, { ALONG_V, IS_FORCE, NULL, 0 }
#define SQUARE_COUPLE                                                                              \
    {ALONG_U, IS_COUPLE_IF_SAID, "M", 0}, { ALONG_V, IS_COUPLE_IF_SAID, "M", 0 }

static const struct kind_row {
    const char *reason, *reason_with_couples;
    int count; /* of parts */
    struct part_row part[REACTION_PARTS_MAX];
} kinds[SUPPORT_KIND_MAX_] = {
    [SUPPORT_PIN] =
        {"The pin at {} keeps that point from moving any way, and lets the body turn about it: {}.",
         NULL,
         3,
         {WHOLE_FORCE}},
    [SUPPORT_ROLLER] =
        {"The roller at {} stops motion along its normal only; it lets the body move along the "
         "surface and turn: {}, along the normal.",
         NULL,
         1,
         {{ALONG_IT, IS_FORCE, NULL, 0}}},
    [SUPPORT_ROCKER] =
        {"The rocker at {} stops motion along its normal only; it lets the body move along the "
         "surface and turn: {}, along the normal.",
         NULL,
         1,
         {{ALONG_IT, IS_FORCE, NULL, 0}}},
    [SUPPORT_SMOOTH_SURFACE] =
        {"The smooth surface at {} stops motion into it, and can only push: {}, along the normal.",
         NULL,
         1,
         {{ALONG_IT, IS_FORCE, NULL, ACTS_PUSHING}}},
    [SUPPORT_ROUGH_SURFACE] =
        {"The rough surface at {} stops motion into it and, by friction, along it: {}. It can only "
         "push along the normal.",
         NULL,
         2,
         {{ALONG_IT, IS_FORCE, "N", ACTS_PUSHING}, {ALONG_SURFACE, IS_FORCE, "F", 0}}},
    [SUPPORT_LINK] =
        {"The link at {} stops motion along it, either way: {}, positive where it pulls.",
         NULL,
         1,
         {{ALONG_IT, IS_FORCE, NULL, 0}}},
    [SUPPORT_CABLE] =
        {"The cable at {} stops motion away from its other end, and can only pull: {}, along it.",
         NULL,
         1,
         {{ALONG_IT, IS_FORCE, NULL, ACTS_PULLING}}},
    [SUPPORT_COLLAR] =
        {"The collar at {} slides along its rod and stops motion square to it: {}.",
         "The collar at {} slides along its rod; it stops motion square to it, and turning: {}.",
         2,
         {{ACROSS_IT, IS_FORCE, NULL, 0}, {ALONG_Z, IS_COUPLE_IF_SAID, "M", 0}}},
    [SUPPORT_FIXED] =
        {"The fixed support at {} keeps that point from moving any way, and the body from turning: "
         "{}.",
         NULL,
         6,
         {WHOLE_FORCE,
          {ALONG_X, IS_COUPLE, "M", 0},
          {ALONG_Y, IS_COUPLE, "M", 0},
          {ALONG_Z, IS_COUPLE, "M", 0}}},
    [SUPPORT_BALL_AND_SOCKET] =
        {"The ball and socket at {} keeps that point from moving any way, and lets the body turn "
         "about it: {}.",
         NULL,
         3,
         {WHOLE_FORCE}},
    [SUPPORT_JOURNAL_BEARING] =
        {"The journal bearing at {} stops motion square to its axis; properly aligned, it exerts "
         "no couple: {}.",
         "The journal bearing at {} stops motion square to its axis, and turning about any line "
         "square to it: {}.",
         4,
         {SQUARE_FORCE, SQUARE_COUPLE}},
    [SUPPORT_THRUST_BEARING] =
        {"The thrust bearing at {} stops motion square to its axis and along it; properly aligned, "
         "it exerts no couple: {}.",
         "The thrust bearing at {} stops motion square to its axis and along it, and turning about "
         "any line square to it: {}.",
         5,
         {SQUARE_FORCE, {ALONG_AXIS, IS_FORCE, NULL, 0}, SQUARE_COUPLE}},
    [SUPPORT_HINGE] =
        {"The hinge at {} stops motion square to its axis and along it; properly aligned, it "
         "exerts no couple: {}.",
         "The hinge at {} stops motion square to its axis and along it, and turning about any line "
         "square to it: {}.",
         5,
         {SQUARE_FORCE, {ALONG_AXIS, IS_FORCE, NULL, 0}, SQUARE_COUPLE}},
};

const char *support_kind_word(enum support_kind kind)
{
    static const char *const words[] = {
#define SUPPORT(code, word) word,
#include "statics/supports.def"
#undef SUPPORT
    };
    return words[kind];
}

const char *reaction_reason(const struct support_input *in)
{
    const struct kind_row *kind = &kinds[in->kind];
    return in->couples && kind->reason_with_couples ? kind->reason_with_couples : kind->reason;
}

/* ---- symbols ---- */

/* A, A_x, N_A, M_A, M_Ax, R_1x; as a text of the answer the name stands whole: A1_x. */
static void name_part(struct board *b, const char *name, const char *letter, char axis,
                      struct reaction_part *part)
{
    struct work *w = b->w;
    char suffix[2] = {axis, '\0'};
    bool is_number = name[0] >= '0' && name[0] <= '9';
    if (!letter && !axis) {
        part->symbol = symbol_of_name(w, name);
        part->text = is_number ? arena_printf(w->arena, "R_%s", name) : name;
        w->failed = w->failed || !part->text;
        return;
    }
    if (!letter && is_number)
        letter = "R";
    struct symbol own = symbol_of_name(w, name);
    const char *sub = letter ? arena_printf(w->arena, "%s%s", name, suffix)
                             : arena_printf(w->arena, "%s%s", own.sub ? own.sub : "", suffix);
    part->symbol = symbol_apart(w, (struct symbol){.base = letter ? letter : own.base,
                                                   .sub = sub,
                                                   .primed = letter ? 0 : own.primed});
    part->text = letter ? arena_printf(w->arena, "%s_%s", letter, sub)
                        : arena_printf(w->arena, "%s_%s", name, suffix);
    for (int k = letter ? 0 : own.primed; k < part->symbol.primed && part->text; k++)
        part->text = arena_printf(w->arena, "%s'", part->text);
    if (!sub || !part->text) {
        w->failed = true;
        part->text = "";
    }
}

/* ---- local axes ---- */

struct local_axes {
    struct aim aim[3]; /* u, v, w */
    char letter[3];
};

/* The axis that a direction lies along, or −1. */
static int coordinate_axis(struct work *w, const struct aim *aim)
{
    int found = -1;
    for (int axis = 0; axis < 3; axis++) {
        q factor = aim->part[axis].factor;
        if (aim->part[axis].sign == 0 || (!q_is_none(factor) && q_is_zero(w, factor)))
            continue;
        if (found >= 0)
            return -1;
        found = axis;
    }
    return found;
}

/* a × b where a is the half-axis up. */
static qv across_up(struct board *b, qv v)
{
    struct work *w = b->w;
    int up = b->up.axis, next = (up + 1) % 3, last = (up + 2) % 3;
    q c[3];
    c[up] = q_integer(w, 0, q_node(w, qv_component(w, v, 0))->dimension);
    q forward = qv_component(w, v, next), back = qv_component(w, v, last);
    c[next] = b->up.sign > 0 ? q_neg(w, back) : q_sum(w, &back, 1);
    c[last] = b->up.sign > 0 ? q_sum(w, &forward, 1) : q_neg(w, forward);
    return qv_of(w, c[0], c[1], c[2]);
}

static struct aim local_aim(struct board *b, qv v, const char *letter, const char *name)
{
    struct work *w = b->w;
    const char *sub = arena_printf(w->arena, "%s%s", name, letter);
    q length = q_name(w, q_norm(w, v), symbol_own(w, "d", sub));
    work_define(w, length);
    struct aim aim = aim_over(w, v, length);
    aim.unit = qv_name(w, aim.unit, symbol_own(w, letter, name));
    work_define_vector(w, aim.unit);
    return aim;
}

static void local_axes(struct board *b, const struct aim *axis, const char *name,
                       struct local_axes *ret)
{
    struct work *w = b->w;
    int along = coordinate_axis(w, axis);
    if (along >= 0) {
        int square[3] = {along == 0 ? 1 : 0, along == 2 ? 1 : 2, along};
        for (int k = 0; k < 3; k++) {
            ret->aim[k] = aim_along((struct half_axis){square[k], 1});
            ret->letter[k] = "xyz"[square[k]];
        }
        return;
    }
    work_say(w, PHRASE("The axis of {} lies along none of x, y and z: its local axes are w along "
                       "it, u level and square to it, and v = w × u.",
                       arg_name(name)));
    qv straight = qv_is_none(axis->vector) ? aim_unit(w, axis) : axis->vector;
    qv level = across_up(b, straight);
    ret->aim[0] = local_aim(b, level, "u", name);
    ret->aim[1] = local_aim(b, qv_cross(w, straight, level), "v", name);
    ret->aim[2] = *axis;
    for (int k = 0; k < 3; k++)
        ret->letter[k] = "uvw"[k];
}

/* ---- the parts ---- */

static bool is_there(const struct board *b, const struct part_row *row, bool couples)
{
    bool is_couple = row->what != IS_FORCE;
    if (row->what == IS_COUPLE_IF_SAID && !couples)
        return false;
    if (b->loads->space)
        return true;
    return is_couple ? row->along == ALONG_Z : row->along != ALONG_Z;
}

static bool read_direction(struct board *b, const struct support_input *in, struct aim *aim)
{
    bool is_normal = in->kind == SUPPORT_ROLLER || in->kind == SUPPORT_ROCKER ||
                     in->kind == SUPPORT_SMOOTH_SURFACE || in->kind == SUPPORT_ROUGH_SURFACE;
    *aim = aim_along(b->up);
    if (is_normal && in->direction.form == DIRECTION_NONE)
        return true;
    return direction_aim(b, &in->direction, in->name, false, aim);
}

static bool needs_direction(const struct kind_row *kind) { return kind->part[0].along > ALONG_Z; }

static void put_part(struct board *b, const char *name, const struct part_row *row,
                     const struct aim *aim, const struct local_axes *local,
                     struct reaction_part *ret)
{
    struct work *w = b->w;
    char letter = 0;
    *ret = (struct reaction_part){.is_couple = row->what != IS_FORCE, .one_way = row->one_way};
    switch (row->along) {
    case ALONG_X:
    case ALONG_Y:
    case ALONG_Z:
        ret->aim = aim_along((struct half_axis){(int)row->along, 1});
        letter = b->loads->space || !ret->is_couple ? "xyz"[row->along] : 0;
        break;
    case ALONG_IT:
        ret->aim = *aim;
        break;
    case ALONG_SURFACE:
        ret->aim = aim_turned(w, aim, -1);
        break;
    case ACROSS_IT:
        ret->aim = aim_turned(w, aim, 1);
        break;
    case ALONG_U:
    case ALONG_V:
    case ALONG_AXIS:
        ret->aim = local->aim[row->along - ALONG_U];
        letter = local->letter[row->along - ALONG_U];
        break;
    }
    name_part(b, name, row->letter, letter, ret);
}

bool reaction_of(struct board *b, const struct support_input *in, struct reaction *ret)
{
    const struct kind_row *kind = &kinds[in->kind];
    struct aim aim = {0};
    struct local_axes local = {0};
    *ret = (struct reaction){0};
    if (needs_direction(kind) && !read_direction(b, in, &aim))
        return false;
    if (kind->part[0].along == ALONG_U)
        local_axes(b, &aim, in->name, &local);
    for (int k = 0; k < kind->count; k++)
        if (is_there(b, &kind->part[k], in->couples))
            put_part(b, in->name, &kind->part[k], &aim, &local, &ret->part[ret->count++]);
    return true;
}

void reaction_of_force(struct board *b, const char *name, struct reaction *ret)
{
    static const struct part_row whole[3] = {WHOLE_FORCE};
    *ret = (struct reaction){.count = board_axes(b)};
    for (int k = 0; k < ret->count; k++)
        put_part(b, name, &whole[k], NULL, NULL, &ret->part[k]);
}

void reaction_along(struct board *b, const char *name, const struct aim *aim, enum one_way one_way,
                    struct reaction *ret)
{
    const struct part_row along = {ALONG_IT, IS_FORCE, NULL, one_way};
    *ret = (struct reaction){.count = 1};
    put_part(b, name, &along, aim, NULL, &ret->part[0]);
}
