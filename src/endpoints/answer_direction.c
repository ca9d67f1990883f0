/* answer_direction.c: the direction that a student handed in, in any form. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "endpoints/check.h"
#include "vector/direction.h"

static const struct dimension angle_dimension = {.angle = true};
static const struct dimension length_dimension = {.length = 1};
static const struct dimension ratio = {0};

static bool is_word(const struct json *value, const char *word)
{
    return value && value->type == JSON_STRING && strcmp(value->text, word) == 0;
}

static bool half_axis(const struct json *value, struct half_axis *ret)
{
    if (!value || value->type != JSON_STRING || value->length != 2)
        return false;
    *ret = (struct half_axis){value->text[1] - 'x', value->text[0] == '-' ? -1 : 1};
    return ret->axis >= 0 && ret->axis < 3;
}

/* u × v, square to each other. */
static struct half_axis cross(struct half_axis u, struct half_axis v)
{
    int sign = v.axis == (u.axis + 1) % 3 ? u.sign * v.sign : -u.sign * v.sign;
    return (struct half_axis){3 - u.axis - v.axis, sign};
}

static double radians_of(const struct reading *r, double angle)
{
    return angle * unit_angle_radians(r->items->w->units.angle);
}

static bool number(const struct reading *r, const struct json *given, struct dimension dimension,
                   double *ret)
{
    return given && reading_number(r, given, dimension, ret) == GIVEN_VALUE;
}

static void add_along(double unit[3], struct half_axis a, double size)
{
    unit[a.axis] += a.sign * size;
}

static bool by_angle(const struct reading *r, const struct json *given, double unit[3])
{
    struct half_axis from = {0, 1}, toward;
    double angle;
    if (!number(r, json_member(given, "angle"), angle_dimension, &angle))
        return false;
    angle = radians_of(r, angle);
    half_axis(json_member(given, "from"), &from);
    bool has_toward = half_axis(json_member(given, "toward"), &toward);
    if (!has_toward) {
        struct half_axis z = {2, is_word(json_member(given, "turn"), "clockwise") ? -1 : 1};
        if (r->items->w->space || from.axis == 2)
            return false;
        toward = cross(z, from);
    }
    if (toward.axis == from.axis)
        return false;
    add_along(unit, from, cos(angle));
    add_along(unit, toward, sin(angle));
    return true;
}

static bool by_numbers(const struct reading *r, const struct json *const given[3], int count,
                       struct dimension dimension, double unit[3])
{
    for (int i = 0; i < count; i++)
        if (!number(r, given[i], dimension, &unit[i]))
            return false;
    return true;
}

static bool by_slope(const struct reading *r, const struct json *slope, double unit[3])
{
    const struct json *sides[3] = {json_member(slope, "run"), json_member(slope, "rise"), NULL};
    return !r->items->w->space && by_numbers(r, sides, 2, ratio, unit);
}

static bool by_list(const struct reading *r, const struct json *list, struct dimension dimension,
                    double unit[3])
{
    const struct json *entry[3] = {NULL, NULL, NULL};
    if (list->type != JSON_ARRAY || list->count != (r->items->w->space ? 3u : 2u))
        return false;
    int count = 0;
    for (const struct json *v = list->child; v; v = v->next)
        entry[count++] = v;
    return by_numbers(r, entry, count, dimension, unit);
}

static bool place_of(const struct reading *r, const struct json *place, double at[3])
{
    const struct work *w = r->items->w;
    if (place->type != JSON_STRING)
        return by_list(r, place, length_dimension, at);
    for (uint32_t i = 0; i < w->place_count; i++)
        if (strcmp(w->place[i].name, place->text) == 0) {
            for (int axis = 0; axis < 3; axis++)
                at[axis] = q_value(w, qv_component(w, w->place[i].place, axis));
            return true;
        }
    return false;
}

static bool by_line(const struct reading *r, const struct json *line, double unit[3])
{
    double tail[3] = {0.0}, tip[3] = {0.0};
    if (line->type != JSON_ARRAY || line->count != 2 || !place_of(r, line->child, tail) ||
        !place_of(r, line->child->next, tip))
        return false;
    for (int axis = 0; axis < 3; axis++)
        unit[axis] = tip[axis] - tail[axis];
    return true;
}

static bool by_azimuth(const struct reading *r, const struct json *given, double unit[3])
{
    struct half_axis up = {2, 1}, from, toward;
    double azimuth, elevation;
    if (!half_axis(json_member(given, "up"), &up))
        half_axis(json_member(r->problem, "up"), &up);
    if (!half_axis(json_member(given, "from"), &from))
        from = (struct half_axis){up.axis == 0, 1};
    if (!r->items->w->space || from.axis == up.axis ||
        !number(r, json_member(given, "azimuth"), angle_dimension, &azimuth) ||
        !number(r, json_member(given, "elevation"), angle_dimension, &elevation))
        return false;
    if (!half_axis(json_member(given, "toward"), &toward))
        toward = cross(up, from);
    if (toward.axis == up.axis || toward.axis == from.axis)
        return false;
    azimuth = radians_of(r, azimuth);
    elevation = radians_of(r, elevation);
    add_along(unit, from, cos(elevation) * cos(azimuth));
    add_along(unit, toward, cos(elevation) * sin(azimuth));
    add_along(unit, up, sin(elevation));
    return true;
}

static bool by_bearing(const struct reading *r, const struct json *bearing, double unit[3])
{
    if (r->items->w->space || bearing->type != JSON_STRING || bearing->length == 0)
        return false;
    char first = bearing->text[0], last = bearing->text[bearing->length - 1];
    double angle = bearing->length > 1 ? strtod(bearing->text + 1, NULL) * RADIANS_PER_DEGREE : 0.0;
    if (first == 'E' || first == 'W') {
        unit[0] = first == 'E' ? 1.0 : -1.0;
        return true;
    }
    unit[1] = (first == 'N' ? 1.0 : -1.0) * cos(angle);
    if (bearing->length > 1)
        unit[0] = (last == 'E' ? 1.0 : -1.0) * sin(angle);
    return true;
}

/* Three numbers, or two and a word for the third, are a direction; fewer stand one by one. */
static bool by_direction_angles(struct reading *r, const struct json *angles, double unit[3])
{
    static const char *const letter[3] = {"alpha", "beta", "gamma"};
    int numbers = 0, word = 0, at = -1;
    double sum = 0.0;
    for (int i = 0; i < 3; i++) {
        const struct json *given = json_member(angles, letter[i]);
        double angle;
        if (is_word(given, "acute") || is_word(given, "obtuse")) {
            word = is_word(given, "acute") ? 1 : -1;
            at = i;
        } else if (number(r, given, angle_dimension, &angle)) {
            unit[i] = cos(radians_of(r, angle));
            sum += unit[i] * unit[i];
            numbers++;
        }
    }
    if (numbers == 2 && word)
        unit[at] = word * sqrt(fmax(0.0, 1.0 - sum));
    return numbers == 3 || (numbers == 2 && word);
}

static void add_single_angles(struct reading *r, const struct json *angles, const struct part *part)
{
    const struct part *singles = part_child(part, "direction_angles");
    for (const struct json *m = angles->child; singles && m; m = m->next) {
        const struct part *single = part_child(singles, m->key);
        struct given_item given = {.state = GIVEN_NONSENSE};
        if (!single || single->item < 0)
            continue;
        given.item = single->item;
        given.state = reading_number(r, m, angle_dimension, &given.value);
        answer_add(r->arena, r->answer, given);
    }
}

static bool read_form(struct reading *r, const struct json *given, double unit[3])
{
    const struct json *one;
    struct half_axis axis;
    if (json_member(given, "angle"))
        return by_angle(r, given, unit);
    if ((one = json_member(given, "slope")))
        return by_slope(r, one, unit);
    if ((one = json_member(given, "axis"))) {
        if (!half_axis(one, &axis) || (axis.axis == 2 && !r->items->w->space))
            return false;
        add_along(unit, axis, 1.0);
        return true;
    }
    if ((one = json_member(given, "vector")))
        return by_list(r, one, ratio, unit);
    if ((one = json_member(given, "line")))
        return by_line(r, one, unit);
    if (json_member(given, "azimuth"))
        return by_azimuth(r, given, unit);
    if ((one = json_member(given, "bearing")))
        return by_bearing(r, one, unit);
    one = json_member(given, "direction_angles");
    return one && r->items->w->space && by_direction_angles(r, one, unit);
}

/* The angle from +x, between 0 and a whole turn. */
static double plane_angle(const struct reading *r, const struct json *given, const double unit[3])
{
    double turn = unit_angle_turn(r->items->w->units.angle), angle;
    bool is_plain = json_member(given, "angle") && given->count == 1 &&
                    number(r, json_member(given, "angle"), angle_dimension, &angle);
    if (!is_plain)
        angle = atan2(unit[1], unit[0]) / RADIANS_PER_TURN * turn;
    angle = fmod(angle, turn);
    return angle < 0.0 ? angle + turn : angle;
}

void reading_direction(struct reading *r, const struct json *given, const struct part *part)
{
    struct given_item item = {.item = part->item, .state = GIVEN_NONSENSE};
    double unit[3] = {0.0};
    if (given->type == JSON_NULL) {
        item.state = GIVEN_NOTHING;
        answer_add(r->arena, r->answer, item);
        return;
    }
    const struct json *angles = json_member(given, "direction_angles");
    bool is_read = given->type == JSON_OBJECT && read_form(r, given, unit);
    if (!is_read && angles && r->items->w->space && part->child) {
        add_single_angles(r, angles, part);
        return;
    }
    double length = hypot(hypot(unit[0], unit[1]), unit[2]);
    if (is_read && length > 0.0 && isfinite(length)) {
        item.state = GIVEN_VALUE;
        for (int i = 0; i < 3; i++)
            item.unit[i] = unit[i] / length;
        item.has_angle = !r->items->w->space;
        if (item.has_angle)
            item.value = plane_angle(r, given, unit);
    }
    answer_add(r->arena, r->answer, item);
}
