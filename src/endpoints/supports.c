/* supports.c: the kinds of supports, and what each needs. */
#include "endpoints/supports.h"

#include <string.h>

static const char *const words[] = {
#define SUPPORT(kind, word) word,
#include "statics/supports.def"
#undef SUPPORT
    NULL,
};

static const struct kind_row {
    const char *direction; /* the member that says how it stands, or NULL */
    bool has_default;      /* a normal is up unless given */
    bool takes_couples;    /* "couples": true has a meaning */
    enum evidence evidence;
} kinds[SUPPORT_KIND_MAX_] = {
    [SUPPORT_PIN] = {NULL, false, false, EVIDENCE_PLANE_FORM},
    [SUPPORT_ROLLER] = {"normal", true, false, EVIDENCE_MAX_},
    [SUPPORT_ROCKER] = {"normal", true, false, EVIDENCE_PLANE_FORM},
    [SUPPORT_SMOOTH_SURFACE] = {"normal", true, false, EVIDENCE_MAX_},
    [SUPPORT_ROUGH_SURFACE] = {"normal", true, false, EVIDENCE_PLANE_FORM},
    [SUPPORT_LINK] = {"direction", false, false, EVIDENCE_MAX_},
    [SUPPORT_CABLE] = {"direction", false, false, EVIDENCE_MAX_},
    [SUPPORT_COLLAR] = {"axis", false, true, EVIDENCE_PLANE_FORM},
    [SUPPORT_FIXED] = {NULL, false, false, EVIDENCE_MAX_},
    [SUPPORT_BALL_AND_SOCKET] = {NULL, false, false, EVIDENCE_SPACE_FORM},
    [SUPPORT_JOURNAL_BEARING] = {"axis", false, true, EVIDENCE_SPACE_FORM},
    [SUPPORT_THRUST_BEARING] = {"axis", false, true, EVIDENCE_SPACE_FORM},
    [SUPPORT_HINGE] = {"axis", false, true, EVIDENCE_SPACE_FORM},
};

static void read_kind(struct decoder *d, const struct json *value, const struct member *row,
                      void *into)
{
    struct support_input *support = into;
    (void)row;
    int kind = decode_word(value, words);
    if (kind < 0) {
        decode_misshapen(d, value);
        return;
    }
    support->kind = (enum support_kind)kind;
    if (kinds[kind].evidence != EVIDENCE_MAX_)
        decode_evidence(d, kinds[kind].evidence, value);
}

static const struct member support_members[] = {
    {.name = "name", .read = decode_text, .offset = offsetof(struct support_input, name)},
    {.name = "kind", .read = read_kind},
    {.name = "at", .read = decode_place, .offset = offsetof(struct support_input, at)},
    {.name = "normal",
     .read = decode_direction,
     .offset = offsetof(struct support_input, direction)},
    {.name = "direction",
     .read = decode_direction,
     .offset = offsetof(struct support_input, direction)},
    {.name = "axis", .read = decode_direction, .offset = offsetof(struct support_input, direction)},
    {.name = "couples", .read = decode_flag, .offset = offsetof(struct support_input, couples)},
    {0},
};

static void begin_support(void *into)
{
    ((struct support_input *)into)->at = NO_PLACE;
    ((struct support_input *)into)->kind = SUPPORT_KIND_MAX_;
}

static void end_support(struct decoder *d, const struct json *object, void *into)
{
    static const char *const directions[] = {"normal", "direction", "axis"};
    struct support_input *support = into;
    support->pointer = decode_pointer(d, object);
    if (support->kind == SUPPORT_KIND_MAX_) {
        decode_misshapen(d, object);
        return;
    }
    const struct kind_row *kind = &kinds[support->kind];
    for (size_t i = 0; i < sizeof directions / sizeof directions[0]; i++) {
        const struct json *given = json_member(object, directions[i]);
        bool is_taken = kind->direction != NULL && strcmp(kind->direction, directions[i]) == 0;
        if (given != NULL && (!is_taken || given->type != JSON_OBJECT))
            decode_misshapen(d, given);
        if (given == NULL && is_taken && !kind->has_default)
            decode_misshapen(d, object);
    }
    const struct json *couples = json_member(object, "couples");
    if (couples != NULL && !kind->takes_couples)
        decode_misshapen(d, couples);
}

const struct record support_record = {
    .size = sizeof(struct support_input),
    .members = support_members,
    .begin = begin_support,
    .end = end_support,
};
