/* loads.c: the tables of points, directions and loads. */
#include "endpoints/loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool given_is_zero(const struct given *g)
{
    if (!g->present)
        return false;
    for (const char *c = g->text; *c != '\0' && *c != 'e' && *c != 'E'; c++)
        if (*c >= '1' && *c <= '9')
            return false;
    return true;
}

bool given_is_negative(const struct given *g)
{
    return g->present && g->text[0] == '-' && !given_is_zero(g);
}

static bool are_zero(const struct given *g, int count)
{
    for (int i = 0; i < count; i++)
        if (g[i].present && !given_is_zero(&g[i]))
            return false;
    return true;
}

/* ---- directions ---- */

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
        if (are_zero(direction->component, 3))
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

/* ---- points ---- */

static const struct member point_members[] = {
    {.name = "from", .read = decode_place, .offset = offsetof(struct point_input, from)},
    {.name = "distance",
     .read = decode_number,
     .offset = offsetof(struct point_input, distance),
     .dimension = {.length = 1}},
    {.name = "direction",
     .read = decode_direction,
     .offset = offsetof(struct point_input, direction)},
    {.name = "between", .read = decode_two_places, .offset = offsetof(struct point_input, between)},
    {.name = "fraction", .read = decode_number, .offset = offsetof(struct point_input, fraction)},
    {0},
};

void decode_points(struct decoder *d, const struct json *value, const struct member *row,
                   void *into)
{
    static const struct member coordinates = {
        .offset = offsetof(struct point_input, coordinate),
        .dimension = {.length = 1},
    };
    (void)row;
    (void)into;
    for (const struct json *v = value->child; v != NULL; v = v->next) {
        int i = v->key != NULL ? roster_find(&d->points, v->key) : -1;
        if (i < 0)
            return; /* no memory, or misshapen: both remembered */
        if (v->type == JSON_ARRAY) {
            d->loads->point[i].pointer = decode_pointer(d, v);
            decode_numbers(d, v, &coordinates, &d->loads->point[i]);
            continue;
        }
        /* Places that are met on the way may move the list of points. */
        struct point_input point = {.name = v->key, .pointer = decode_pointer(d, v)};
        decode_members(d, v, point_members, &point);
        point.form = point.distance.present ? POINT_FROM : POINT_BETWEEN;
        d->loads->point[i] = point;
        d->has_derived_points = true;
    }
}

/* ---- forces and weights ---- */

static void read_magnitude(struct decoder *d, const struct json *value, const struct member *row,
                           void *into)
{
    static const char *const unknown[] = {"unknown", NULL};
    static const struct member times = {.offset = offsetof(struct force_input, times)};
    struct force_input *force = into;
    const struct json *same_as = json_member(value, "same_as");
    force->magnitude_unknown = decode_word(value, unknown) == 0 || same_as != NULL;
    if (!force->magnitude_unknown) {
        decode_number(d, value, row, into);
        return;
    }
    if (same_as == NULL)
        return;
    if (same_as->type != JSON_STRING)
        decode_misshapen(d, same_as);
    else
        force->same_as = same_as->text;
    const struct json *factor = json_member(value, "times");
    if (factor != NULL)
        decode_number(d, factor, &times, into);
}

static void read_force_components(struct decoder *d, const struct json *value,
                                  const struct member *row, void *into)
{
    ((struct force_input *)into)->has_components = true;
    decode_numbers(d, value, row, into);
}

static void read_mass(struct decoder *d, const struct json *value, const struct member *row,
                      void *into)
{
    ((struct force_input *)into)->is_weight = true;
    decode_number(d, value, row, into);
}

static void read_sense(struct decoder *d, const struct json *value, const struct member *row,
                       void *into)
{
    static const char *const senses[] = {"pulls", "pushes", NULL};
    int sense = decode_word(value, senses);
    (void)row;
    if (sense < 0)
        decode_misshapen(d, value);
    else
        ((struct force_input *)into)->sense = sense == 0 ? SENSE_PULLS : SENSE_PUSHES;
}

static const struct member force_members[] = {
    {.name = "name", .read = decode_text, .offset = offsetof(struct force_input, name)},
    {.name = "magnitude",
     .read = read_magnitude,
     .offset = offsetof(struct force_input, magnitude),
     .dimension = {.force = 1}},
    {.name = "direction",
     .read = decode_direction,
     .offset = offsetof(struct force_input, direction)},
    {.name = "at", .read = decode_place, .offset = offsetof(struct force_input, at)},
    {.name = "components",
     .read = read_force_components,
     .offset = offsetof(struct force_input, component),
     .dimension = {.force = 1}},
    {.name = "times", .read = decode_number, .offset = offsetof(struct force_input, times)},
    {.name = "mass",
     .read = read_mass,
     .offset = offsetof(struct force_input, mass),
     .dimension = {.mass = 1}},
    {.name = "g",
     .read = decode_number,
     .offset = offsetof(struct force_input, gravity),
     .dimension = {.acceleration = 1}},
    {.name = "sense", .read = read_sense},
    {0},
};

static void begin_force(void *into) { ((struct force_input *)into)->at = NO_PLACE; }

static void end_force(struct decoder *d, const struct json *object, void *into)
{
    struct force_input *force = into;
    force->pointer = decode_pointer(d, object);
    bool is_null = force->direction.form == DIRECTION_NULL;
    bool direction_unknown = force->direction.form == DIRECTION_UNKNOWN;
    force->components_null_direction = is_null && force->has_components;

    if (given_is_negative(&force->magnitude))
        decode_fault(d, json_member(object, "magnitude"), FAULT_NEGATIVE_MAGNITUDE,
                     "A magnitude is not negative: leave out the minus sign and reverse the "
                     "direction.");
    if (is_null && (!force->has_components || !are_zero(force->component, 3) ||
                    !are_zero(&force->magnitude, 1) || force->magnitude_unknown))
        decode_fault(d, json_member(object, "direction"), FAULT_NO_DIRECTION,
                     "Only a force whose components are all 0 has direction null: give one of "
                     "angle, slope, axis, vector, line, direction_angles, azimuth with elevation, "
                     "bearing.");
    if (force->has_components && force->magnitude_unknown)
        decode_fault(d, json_member(object, "magnitude"), FAULT_DISAGREE,
                     "The components tell the magnitude, so it is not unknown: leave out one of "
                     "the two.");
    if (force->has_components && direction_unknown)
        decode_fault(d, json_member(object, "direction"), FAULT_DISAGREE,
                     "The components tell the direction, so it is not unknown: leave out one of "
                     "the two.");
    if (force->sense != SENSE_FREE && (!force->magnitude_unknown || direction_unknown))
        decode_fault(d, json_member(object, "sense"), FAULT_FORBIDDEN,
                     "A sense belongs to a force of unknown magnitude along a given direction.");
    const struct json *same_as_times = json_member(json_member(object, "magnitude"), "times");
    if (same_as_times != NULL && json_member(object, "times") != NULL)
        decode_fault(d, same_as_times, FAULT_CHOICE,
                     "times stands twice for this force: give the whole factor in one of the two "
                     "places.");
}

const struct record force_record = {
    .size = sizeof(struct force_input),
    .members = force_members,
    .begin = begin_force,
    .end = end_force,
};

/* ---- couples ---- */

static void read_moment(struct decoder *d, const struct json *value, const struct member *row,
                        void *into)
{
    if (value->type == JSON_ARRAY && value->count == 3) {
        decode_numbers(d, value, row, into);
        return;
    }
    decode_number(d, value, row, into);
    decode_evidence(d, EVIDENCE_PLANE_MOMENT, value);
}

static void read_couple_turn(struct decoder *d, const struct json *value, const struct member *row,
                             void *into)
{
    decode_turn(d, value, row, into);
    decode_evidence(d, EVIDENCE_PLANE_FORM, value);
}

static const struct member couple_members[] = {
    {.name = "name", .read = decode_text, .offset = offsetof(struct couple_input, name)},
    {.name = "moment",
     .read = read_moment,
     .offset = offsetof(struct couple_input, moment),
     .dimension = {.force = 1, .length = 1}},
    {.name = "turn", .read = read_couple_turn, .offset = offsetof(struct couple_input, clockwise)},
    {.name = "at", .read = decode_place, .offset = offsetof(struct couple_input, at)},
    {0},
};

static void begin_couple(void *into) { ((struct couple_input *)into)->at = NO_PLACE; }

static void end_couple(struct decoder *d, const struct json *object, void *into)
{
    struct couple_input *couple = into;
    couple->pointer = decode_pointer(d, object);
    if (json_member(object, "turn") != NULL && given_is_negative(&couple->moment[0]))
        decode_fault(d, json_member(object, "moment"), FAULT_NEGATIVE_MAGNITUDE,
                     "With a turn the moment is not negative: leave out the minus sign and change "
                     "the turn, or leave out the turn (counter-clockwise is positive).");
}

const struct record couple_record = {
    .size = sizeof(struct couple_input),
    .members = couple_members,
    .begin = begin_couple,
    .end = end_couple,
};

/* ---- distributed loads ---- */

/* One number, or two for the ends. */
static void read_intensity(struct decoder *d, const struct json *value, const struct member *row,
                           void *into)
{
    if (value->type != JSON_ARRAY) {
        decode_number(d, value, row, into);
        return;
    }
    if (value->count != 2) {
        decode_misshapen(d, value);
        return;
    }
    struct member end = *row;
    for (const struct json *v = value->child; v != NULL; v = v->next) {
        decode_number(d, v, &end, into);
        end.offset += sizeof(struct given);
    }
}

static void read_per(struct decoder *d, const struct json *value, const struct member *row,
                     void *into)
{
    static const char *const axes[] = {"x", "y", "z", NULL};
    struct distributed_input *load = into;
    (void)row;
    load->per_axis = decode_word(value, axes);
    if (load->per_axis < 0)
        decode_misshapen(d, value);
    if (load->per_axis == 2)
        decode_evidence(d, EVIDENCE_SPACE_AXIS, value);
}

static const struct member distributed_members[] = {
    {.name = "name", .read = decode_text, .offset = offsetof(struct distributed_input, name)},
    {.name = "from", .read = decode_place, .offset = offsetof(struct distributed_input, from)},
    {.name = "to", .read = decode_place, .offset = offsetof(struct distributed_input, to)},
    {.name = "intensity",
     .read = read_intensity,
     .offset = offsetof(struct distributed_input, intensity),
     .dimension = {.force = 1, .length = -1}},
    {.name = "direction",
     .read = decode_direction,
     .offset = offsetof(struct distributed_input, direction)},
    {.name = "per", .read = read_per},
    {0},
};

static void begin_distributed(void *into) { ((struct distributed_input *)into)->per_axis = -1; }

static void end_distributed(struct decoder *d, const struct json *object, void *into)
{
    struct distributed_input *load = into;
    load->pointer = decode_pointer(d, object);
    if (load->from >= 0 && load->from == load->to)
        decode_fault(d, json_member(object, "to"), FAULT_ZERO_LENGTH,
                     "The distributed load begins and ends at %s: give it two different ends.",
                     d->loads->point[load->from].name);
}

const struct record distributed_record = {
    .size = sizeof(struct distributed_input),
    .members = distributed_members,
    .begin = begin_distributed,
    .end = end_distributed,
};

/* ---- names ---- */

int loads_named_count(const struct loads_input *loads)
{
    return loads->force_count + loads->couple_count + loads->distributed_count;
}

struct named *loads_named(struct loads_input *loads, struct named *list)
{
    for (int i = 0; i < loads->force_count; i++)
        *list++ = (struct named){&loads->force[i].name, loads->force[i].pointer, "F", i + 1,
                                 loads->force_count};
    for (int i = 0; i < loads->couple_count; i++)
        *list++ = (struct named){&loads->couple[i].name, loads->couple[i].pointer, "C", i + 1,
                                 loads->couple_count};
    for (int i = 0; i < loads->distributed_count; i++)
        *list++ = (struct named){&loads->distributed[i].name, loads->distributed[i].pointer, "w",
                                 i + 1, loads->distributed_count};
    return list;
}

static const char *numbered_name(struct arena *arena, const char *prefix, int number)
{
    char digits[12];
    size_t first = sizeof digits - 1;
    digits[first] = '\0';
    for (int n = number; n > 0; n /= 10)
        digits[--first] = (char)('0' + n % 10);
    size_t length = strlen(prefix);
    first -= length;
    memcpy(digits + first, prefix, length);
    return arena_text(arena, digits + first, sizeof digits - 1 - first);
}

void settle_names(struct decoder *d, const struct named *list, int count)
{
    struct roster names;
    if (!roster_init(&names, d->arena, (size_t)count))
        return;
    for (int i = 0; i < count; i++) {
        const char *name = *list[i].name;
        if (name == NULL)
            continue;
        int earlier = roster_add(&names, name, i);
        if (earlier == i)
            continue;
        const char *pointer = arena_printf(d->arena, "%s/name", list[i].pointer);
        problem_fault(d->problem, pointer != NULL ? pointer : "", FAULT_NAME_TWICE,
                      "The name %s stands at %s already: forces, couples, distributed loads and "
                      "supports each have a name of their own.",
                      name, list[earlier].pointer);
    }
    for (int i = 0; i < count; i++) {
        if (*list[i].name != NULL)
            continue;
        int number = list[i].number;
        const char *name = numbered_name(d->arena, list[i].prefix, number);
        int beyond = list[i].count;
        while (name != NULL && roster_find(&names, name) >= 0)
            name = numbered_name(d->arena, list[i].prefix, ++beyond);
        if (name == NULL)
            return;
        roster_add(&names, name, i);
        *list[i].name = name;
    }
}

void loads_settle_names(struct decoder *d)
{
    int count = loads_named_count(d->loads);
    struct named *list = arena_alloc(d->arena, (size_t)count * sizeof *list);
    if (list == NULL || d->misshapen != NULL)
        return;
    loads_named(d->loads, list);
    settle_names(d, list, count);
}

/* ---- places ---- */

bool loads_settle_places(struct decoder *d)
{
    const struct loads_input *loads = d->loads;
    if (d->misshapen != NULL || arena_exhausted(d->arena))
        return false;
    int placed = 0;
    for (int i = 0; i < loads->force_count; i++)
        placed += loads->force[i].at != NO_PLACE;
    int free = loads->force_count - placed;
    bool all_need_one = loads->distributed_count > 0;
    bool odd_are_free = all_need_one || free <= placed;
    for (int i = 0; i < loads->force_count && free > 0 && (placed > 0 || all_need_one); i++) {
        const struct force_input *force = &loads->force[i];
        if (odd_are_free && force->at == NO_PLACE)
            problem_fault(d->problem, force->pointer, FAULT_PLACES,
                          all_need_one
                              ? "Force %s has no place, but beside a distributed load every force "
                                "needs one: give `at`."
                              : "Force %s has no place, but other forces have: give `at`, or leave "
                                "it out of all of them (then they act at one point).",
                          force->name);
        if (!odd_are_free && force->at != NO_PLACE) {
            const char *pointer = arena_printf(d->arena, "%s/at", force->pointer);
            problem_fault(d->problem, pointer != NULL ? pointer : "", FAULT_PLACES,
                          "Force %s has a place, but most forces have none: leave out `at` (then "
                          "they act at one point), or give it to all of them.",
                          force->name);
        }
    }
    return placed == 0 && loads->force_count > 0 && !all_need_one;
}
