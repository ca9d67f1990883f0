/* loads.c: the tables of points and loads. */
#include "endpoints/loads.h"

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

bool given_are_zero(const struct given *g, int count)
{
    for (int i = 0; i < count; i++)
        if (g[i].present && !given_is_zero(&g[i]))
            return false;
    return true;
}

/* ---- points ---- */

static void read_point_direction(struct decoder *d, const struct json *value,
                                 const struct member *row, void *into)
{
    static const struct member whole = {.offset = 0};
    struct direction *direction = arena_alloc(d->arena, sizeof *direction);
    (void)row;
    if (direction == NULL)
        return;
    decode_direction(d, value, &whole, direction);
    ((struct point_input *)into)->direction = direction;
}

static const struct member point_members[] = {
    {.name = "from", .read = decode_place, .offset = offsetof(struct point_input, from)},
    {.name = "distance",
     .read = decode_number,
     .offset = offsetof(struct point_input, distance),
     .dimension = {.length = 1}},
    {.name = "direction", .read = read_point_direction},
    {.name = "between", .read = decode_two_places, .offset = offsetof(struct point_input, between)},
    {.name = "fraction", .read = decode_number, .offset = offsetof(struct point_input, fraction)},
    {0},
};

void decode_points(struct decoder *d, const struct json *value, const struct member *row,
                   void *into)
{
    static const struct direction no_direction = {.form = DIRECTION_NONE};
    static const struct member coordinates = {
        .offset = offsetof(struct point_input, coordinate),
        .dimension = {.length = 1},
    };
    (void)row;
    (void)into;
    if (value->type != JSON_OBJECT)
        decode_misshapen(d, value);
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
        struct point_input point = {
            .name = v->key, .pointer = decode_pointer(d, v), .direction = &no_direction};
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

static void begin_force(void *into)
{
    ((struct force_input *)into)->at = NO_PLACE;
    ((struct force_input *)into)->same_as_force = -1;
}

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
    if (is_null && (!force->has_components || !given_are_zero(force->component, 3) ||
                    !given_are_zero(&force->magnitude, 1) || force->magnitude_unknown))
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
    if (!couple->moment[0].present)
        decode_misshapen(d, object);
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

static void begin_distributed(void *into)
{
    struct distributed_input *load = into;
    load->from = load->to = NO_PLACE;
    load->per_axis = -1;
}

static void end_distributed(struct decoder *d, const struct json *object, void *into)
{
    struct distributed_input *load = into;
    load->pointer = decode_pointer(d, object);
    if (load->from == NO_PLACE || load->to == NO_PLACE || !load->intensity[0].present)
        decode_misshapen(d, object);
    else if (load->from >= 0 && load->from == load->to)
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
