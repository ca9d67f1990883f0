/* direction.c: the forms of a direction, as a table. */
#include "endpoints/loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The member that says which form a direction has, and whether the form fits one kind of problem
 * only. An angle may fit both: see end_direction. */
static const struct form {
    const char *member;
    enum direction_form form;
    enum evidence evidence;
} forms[] = {
    {"angle", DIRECTION_ANGLE, EVIDENCE_MAX_},
    {"slope", DIRECTION_SLOPE, EVIDENCE_PLANE_FORM},
    {"axis", DIRECTION_AXIS, EVIDENCE_MAX_},
    {"vector", DIRECTION_VECTOR, EVIDENCE_MAX_},
    {"line", DIRECTION_LINE, EVIDENCE_MAX_},
    {"direction_angles", DIRECTION_ANGLES, EVIDENCE_SPACE_FORM},
    {"azimuth", DIRECTION_AZIMUTH, EVIDENCE_SPACE_FORM},
    {"bearing", DIRECTION_BEARING, EVIDENCE_PLANE_FORM},
};

/* A number, or the word acute or obtuse. */
static void read_direction_angle(struct decoder *d, const struct json *value,
                                 const struct member *row, void *into)
{
    static const char *const words[] = {"acute", "obtuse", NULL};
    struct direction *direction = into;
    int word = decode_word(value, words);
    if (word < 0)
        decode_number(d, value, row, into);
    else
        direction->word[(row->offset - offsetof(struct direction, direction_angle)) /
                        sizeof(struct given)] = word == 0 ? WORD_ACUTE : WORD_OBTUSE;
}

/* "N30.5E": from +y toward +x by the degrees between; "N" is +y itself. */
static void read_bearing(struct decoder *d, const struct json *value, const struct member *row,
                         void *into)
{
    static const struct {
        char letter;
        struct half_axis axis;
    } compass[] = {{'N', {1, 1}}, {'S', {1, -1}}, {'E', {0, 1}}, {'W', {0, -1}}};
    struct direction *direction = into;
    (void)row;
    if (value->type != JSON_STRING || value->length == 0) {
        decode_misshapen(d, value);
        return;
    }
    for (size_t i = 0; i < sizeof compass / sizeof compass[0]; i++) {
        if (value->text[0] == compass[i].letter)
            direction->from = compass[i].axis;
        if (value->length > 1 && value->text[value->length - 1] == compass[i].letter)
            direction->toward = compass[i].axis;
    }
    if (direction->from.sign == 0 ||
        (value->length > 1 &&
         (value->length < 3 || direction->from.axis == direction->toward.axis ||
          direction->toward.sign == 0))) {
        decode_misshapen(d, value);
        return;
    }
    if (value->length == 1)
        return;
    /* A JSON number has no leading zero: N05E is 5. */
    size_t skipped =
        value->text[1] == '0' && value->text[2] >= '0' && value->text[2] <= '9' ? 2 : 1;
    const char *degrees = arena_text(d->arena, value->text + skipped, value->length - skipped - 1);
    if (degrees == NULL)
        return;
    direction->angle = (struct given){
        .present = true,
        .text = degrees,
        .length = value->length - skipped - 1,
        .unit = {.dimension = {.angle = true}, .base = {.angle = UNIT_DEG}},
        .has_own_unit = d->loads->units.angle != UNIT_DEG, /* always degrees */
        .pointer = decode_pointer(d, value),
    };
}

static const struct member slope_members[] = {
    {.name = "run", .read = decode_number, .offset = offsetof(struct direction, run)},
    {.name = "rise", .read = decode_number, .offset = offsetof(struct direction, rise)},
    {0},
};
static const struct record slope_record = {.members = slope_members};

#define DIRECTION_ANGLE_MEMBER(letter, i)                                                          \
    {                                                                                              \
        .name = letter, .read = read_direction_angle,                                              \
        .offset = offsetof(struct direction, direction_angle) + i * sizeof(struct given),          \
        .dimension = {                                                                             \
            .angle = true                                                                          \
        }                                                                                          \
    }
static const struct member direction_angles_members[] = {
    DIRECTION_ANGLE_MEMBER("alpha", 0),
    DIRECTION_ANGLE_MEMBER("beta", 1),
    DIRECTION_ANGLE_MEMBER("gamma", 2),
    {0},
};
static const struct record direction_angles_record = {.members = direction_angles_members};

static const struct member direction_members[] = {
    {.name = "angle",
     .read = decode_number,
     .offset = offsetof(struct direction, angle),
     .dimension = {.angle = true}},
    {.name = "from", .read = decode_half_axis, .offset = offsetof(struct direction, from)},
    {.name = "toward", .read = decode_half_axis, .offset = offsetof(struct direction, toward)},
    {.name = "turn", .read = decode_turn, .offset = offsetof(struct direction, clockwise)},
    {.name = "slope", .read = decode_object, .record = &slope_record},
    {.name = "axis", .read = decode_half_axis, .offset = offsetof(struct direction, from)},
    {.name = "vector", .read = decode_numbers, .offset = offsetof(struct direction, component)},
    {.name = "line", .read = decode_two_places, .offset = offsetof(struct direction, line)},
    {.name = "direction_angles", .read = decode_object, .record = &direction_angles_record},
    {.name = "azimuth",
     .read = decode_number,
     .offset = offsetof(struct direction, angle),
     .dimension = {.angle = true}},
    {.name = "elevation",
     .read = decode_number,
     .offset = offsetof(struct direction, elevation),
     .dimension = {.angle = true}},
    {.name = "up", .read = decode_half_axis, .offset = offsetof(struct direction, up)},
    {.name = "bearing", .read = read_bearing},
    {0},
};

/* Is the angle outside [least°, most°]? Radians are let by that differ by their own rounding, as
 * 1.5708 for a right angle. */
static bool is_outside(const struct given *angle, double least, double most)
{
    if (!angle->present)
        return false;
    double value = strtod(angle->text, NULL), slack = 0;
    if (angle->unit.base.angle == UNIT_RAD) {
        const double degree = 3.14159265358979323846 / 180;
        least *= degree;
        most *= degree;
        slack = 0.5 * pow(10, -decode_decimals(angle->text));
    }
    return value < least - slack || value > most + slack;
}

static void check_azimuth(struct decoder *d, const struct json *object,
                          const struct direction *direction)
{
    struct half_axis up = direction->up, from = direction->from, toward = direction->toward;
    if (up.sign == 0)
        up = d->loads->has_up ? d->loads->up : (struct half_axis){2, 1};
    if (from.sign == 0)
        from = (struct half_axis){up.axis == 0 ? 1 : 0, 1};
    if (from.axis == up.axis)
        decode_fault(d, json_member(object, "from"), FAULT_ANGLE_AXES,
                     "An azimuth is measured in the plane square to up (here the %c axis): `from` "
                     "is one of the other two axes.",
                     "xyz"[up.axis]);
    else if (toward.sign != 0 && (toward.axis == up.axis || toward.axis == from.axis))
        decode_fault(d, json_member(object, "toward"), FAULT_ANGLE_AXES,
                     "An azimuth is measured in the plane square to up (here the %c axis), from %c "
                     "toward the third axis: toward +%c or -%c.",
                     "xyz"[up.axis], "xyz"[from.axis], "xyz"[3 - up.axis - from.axis],
                     "xyz"[3 - up.axis - from.axis]);
    if (is_outside(&direction->elevation, -90, 90))
        decode_fault(d, json_member(object, "elevation"), FAULT_RANGE,
                     "An elevation lies between -90° (straight down) and 90° (straight up).");
}

static void check_direction_angles(struct decoder *d, const struct json *object,
                                   const struct direction *direction)
{
    static const char *const letters[] = {"alpha", "beta", "gamma"};
    const struct json *angles = json_member(object, "direction_angles");
    int numbers = 0, words = 0;
    for (int i = 0; i < 3; i++) {
        numbers += direction->direction_angle[i].present;
        words += direction->word[i] != WORD_NONE;
        if (is_outside(&direction->direction_angle[i], 0, 180))
            decode_fault(d, json_member(angles, letters[i]), FAULT_RANGE,
                         "A direction angle is measured from the positive axis and lies between 0° "
                         "and 180°.");
    }
    if (numbers < 2)
        decode_fault(d, angles, FAULT_DIRECTION_ANGLES,
                     "Two of the direction angles are numbers; only the third can be %s \"acute\" "
                     "or \"obtuse\".",
                     words > 1 ? "one of the words" : "the word");
}

static void end_direction(struct decoder *d, const struct json *object, struct direction *direction)
{
    switch (direction->form) {
    case DIRECTION_ANGLE:
        if (direction->toward.sign == 0)
            decode_evidence(d, EVIDENCE_PLANE_FORM, json_member(object, "angle"));
        else if (direction->from.sign == 0 || json_member(object, "turn") != NULL)
            decode_misshapen(d, object);
        else if (direction->from.axis == direction->toward.axis)
            decode_fault(d, json_member(object, "toward"), FAULT_ANGLE_AXES,
                         "An angle is measured from one half-axis toward another that is square to "
                         "it: from %s it can't go toward %s.",
                         json_member(object, "from")->text, json_member(object, "toward")->text);
        break;
    case DIRECTION_SLOPE:
        if (given_is_zero(&direction->run) && given_is_zero(&direction->rise))
            decode_fault(d, json_member(object, "slope"), FAULT_ZERO_DIRECTION,
                         "A slope with run 0 and rise 0 has no direction: give the two sides of "
                         "the slope triangle (run 0 alone is vertical).");
        break;
    case DIRECTION_VECTOR:
        if (given_are_zero(direction->component, 3))
            decode_fault(d, json_member(object, "vector"), FAULT_ZERO_DIRECTION,
                         "A vector of length 0 has no direction: give at least one component that "
                         "is not 0.");
        break;
    case DIRECTION_LINE:
        if (direction->line[0] >= 0 && direction->line[0] == direction->line[1])
            decode_fault(d, json_member(object, "line"), FAULT_ZERO_DIRECTION,
                         "A line from %s to %s has no direction: name two different places.",
                         d->loads->point[direction->line[0]].name,
                         d->loads->point[direction->line[0]].name);
        break;
    case DIRECTION_ANGLES:
        check_direction_angles(d, object, direction);
        break;
    case DIRECTION_AZIMUTH:
        check_azimuth(d, object, direction);
        break;
    case DIRECTION_NONE:
    case DIRECTION_NULL:
    case DIRECTION_UNKNOWN:
    case DIRECTION_AXIS:
    case DIRECTION_BEARING:
    case DIRECTION_FORM_MAX_:
        break;
    }
}

void decode_direction(struct decoder *d, const struct json *value, const struct member *row,
                      void *into)
{
    static const char *const unknown[] = {"unknown", NULL};
    struct direction *direction = (struct direction *)((char *)into + row->offset);
    direction->pointer = decode_pointer(d, value);
    if (value->type == JSON_NULL) {
        direction->form = DIRECTION_NULL;
        return;
    }
    if (decode_word(value, unknown) == 0) {
        direction->form = DIRECTION_UNKNOWN;
        return;
    }
    decode_members(d, value, direction_members, direction);
    for (const struct json *m = value->child; m != NULL; m = m->next)
        for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++)
            if (m->key != NULL && strcmp(m->key, forms[i].member) == 0) {
                if (direction->form != DIRECTION_NONE)
                    decode_misshapen(d, value);
                direction->form = forms[i].form;
                if (forms[i].evidence != EVIDENCE_MAX_)
                    decode_evidence(d, forms[i].evidence, m);
                break;
            }
    if (direction->form == DIRECTION_NONE)
        decode_misshapen(d, value);
    if (d->misshapen == NULL)
        end_direction(d, value, direction);
}
