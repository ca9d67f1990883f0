/* decode.c: tables walked over a JSON tree; numbers, words and places; plane or space. */
#include "endpoints/decode.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void *target(void *into, const struct member *row) { return (char *)into + row->offset; }

/* ---- faults ---- */

const char *decode_pointer(struct decoder *d, const struct json *value)
{
    const char *pointer = json_pointer(d->arena, value);
    return pointer != NULL ? pointer : "";
}

void decode_fault(struct decoder *d, const struct json *at, enum fault_code code,
                  const char *format, ...)
{
    char detail[512];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(detail, sizeof detail, format, arguments);
    va_end(arguments);
    problem_fault(d->problem, decode_pointer(d, at), code, "%s", detail);
}

void decode_misshapen(struct decoder *d, const struct json *value)
{
    if (d->misshapen == NULL)
        d->misshapen = value;
}

/* ---- tables ---- */

void decode_members(struct decoder *d, const struct json *object, const struct member *rows,
                    void *into)
{
    if (object->type != JSON_OBJECT) {
        decode_misshapen(d, object);
        return;
    }
    for (const struct json *m = object->child; m != NULL; m = m->next) {
        const struct member *row = rows;
        while (row->name != NULL && strcmp(row->name, m->key) != 0)
            row++;
        if (row->name == NULL)
            decode_misshapen(d, m);
        else if (row->read != NULL)
            row->read(d, m, row, into);
    }
}

static void decode_record(struct decoder *d, const struct json *object, const struct record *record,
                          void *into)
{
    if (record->begin != NULL)
        record->begin(into);
    decode_members(d, object, record->members, into);
    if (record->end != NULL && object->type == JSON_OBJECT)
        record->end(d, object, into);
}

void decode_object(struct decoder *d, const struct json *value, const struct member *row,
                   void *into)
{
    decode_record(d, value, row->record, target(into, row));
}

/* `count` values from `first` on, behind those that are in the list. */
static void append(struct decoder *d, const struct json *first, int count, const struct member *row,
                   void *into)
{
    size_t size = row->record->size;
    char *entries;
    int earlier;
    memcpy(&entries, target(into, row), sizeof entries);
    memcpy(&earlier, (char *)into + row->count_offset, sizeof earlier);
    char *all = arena_alloc(d->arena, (size_t)(earlier + count) * size);
    if (all == NULL)
        return;
    if (earlier > 0)
        memcpy(all, entries, (size_t)earlier * size);
    for (int i = earlier; i < earlier + count; i++, first = first->next)
        decode_record(d, first, row->record, all + (size_t)i * size);
    count += earlier;
    memcpy(target(into, row), &all, sizeof all);
    memcpy((char *)into + row->count_offset, &count, sizeof count);
}

void decode_list(struct decoder *d, const struct json *value, const struct member *row, void *into)
{
    if (value->type != JSON_ARRAY)
        decode_misshapen(d, value);
    else if (value->count > 0)
        append(d, value->child, (int)value->count, row, into);
}

void decode_single(struct decoder *d, const struct json *value, const struct member *row,
                   void *into)
{
    append(d, value, 1, row, into);
}

/* ---- words ---- */

int decode_word(const struct json *value, const char *const *words)
{
    if (value->type == JSON_STRING)
        for (int i = 0; words[i] != NULL; i++)
            if (strcmp(value->text, words[i]) == 0)
                return i;
    return -1;
}

void decode_text(struct decoder *d, const struct json *value, const struct member *row, void *into)
{
    if (value->type != JSON_STRING)
        decode_misshapen(d, value);
    else
        *(const char **)target(into, row) = value->text;
}

void decode_flag(struct decoder *d, const struct json *value, const struct member *row, void *into)
{
    if (value->type != JSON_TRUE && value->type != JSON_FALSE)
        decode_misshapen(d, value);
    else
        *(bool *)target(into, row) = value->type == JSON_TRUE;
}

void decode_turn(struct decoder *d, const struct json *value, const struct member *row, void *into)
{
    static const char *const turns[] = {"counter-clockwise", "clockwise", NULL};
    int turn = decode_word(value, turns);
    if (turn < 0)
        decode_misshapen(d, value);
    else
        *(bool *)target(into, row) = turn == 1;
}

void decode_half_axis(struct decoder *d, const struct json *value, const struct member *row,
                      void *into)
{
    static const char *const half_axes[] = {"+x", "-x", "+y", "-y", "+z", "-z", NULL};
    int i = decode_word(value, half_axes);
    if (i < 0) {
        decode_misshapen(d, value);
        return;
    }
    *(struct half_axis *)target(into, row) = (struct half_axis){i / 2, i % 2 == 0 ? 1 : -1};
    if (i / 2 == 2)
        decode_evidence(d, EVIDENCE_SPACE_AXIS, value);
}

/* ---- numbers ---- */

int decode_decimals(const char *text)
{
    int places = 0;
    const char *c = text;
    while (*c != '\0' && *c != '.' && *c != 'e' && *c != 'E')
        c++;
    if (*c == '.')
        for (c++; *c >= '0' && *c <= '9'; c++)
            places++;
    long exponent = *c != '\0' ? strtol(c + 1, NULL, 10) : 0;
    long step = places - exponent;
    return step < 0 ? 0 : (int)step;
}

static void add_unit_name(char list[200], const char *name)
{
    size_t used = strlen(list);
    snprintf(list + used, 200 - used, "%s%s", used == 0 ? "" : ", ", name);
}

/* "kN is no unit of length; use mm, cm, m, km, in, ft." */
static void fault_unit(struct decoder *d, const struct json *unit, struct dimension wanted)
{
    char list[200] = "";
    const char *of = "that kind"; /* a ratio has no units */
    if (dimension_same(wanted, (struct dimension){.force = 1})) {
        of = "force";
        for (unsigned u = 0; u < UNIT_FORCE_MAX_; u++)
            add_unit_name(list, unit_force_name((enum unit_force)u));
    } else if (dimension_same(wanted, (struct dimension){.length = 1})) {
        of = "length";
        for (unsigned u = 0; u < UNIT_LENGTH_MAX_; u++)
            add_unit_name(list, unit_length_name((enum unit_length)u));
    } else if (wanted.angle) {
        of = "angle";
        for (unsigned u = 0; u < UNIT_ANGLE_MAX_; u++)
            add_unit_name(list, unit_angle_name((enum unit_angle)u));
    } else if (wanted.mass == 1) {
        of = "mass";
        for (unsigned u = 0; u < UNIT_MASS_MAX_; u++)
            add_unit_name(list, unit_mass_name((enum unit_mass)u));
    } else if (wanted.acceleration == 1) {
        of = "acceleration";
        for (unsigned u = 0; u < UNIT_ACCELERATION_MAX_; u++)
            add_unit_name(list, unit_acceleration_name((enum unit_acceleration)u));
    } else if (wanted.length == 1) {
        of = "moment";
        add_unit_name(list, "a unit of force times a unit of length, such as kN·m or lb·ft");
    } else if (wanted.length == -1) {
        of = "load intensity";
        add_unit_name(list, "a unit of force over a unit of length, such as kN/m or lb/ft");
    }
    decode_fault(d, unit, FAULT_UNIT, "%s is no unit of %s; use %s.", unit->text, of, list);
}

void decode_number(struct decoder *d, const struct json *value, const struct member *row,
                   void *into)
{
    struct given *given = target(into, row);
    const struct json *number = value;
    struct unit unit = {row->dimension, d->loads->units};
    bool has_own_unit = value->type == JSON_OBJECT;
    if (has_own_unit) {
        number = json_member(value, "value");
        const struct json *name = json_member(value, "unit");
        if (name == NULL || name->type != JSON_STRING)
            decode_misshapen(d, value);
        else if (!unit_read(name->text, name->length, row->dimension, &unit))
            fault_unit(d, name, row->dimension);
    }
    if (number == NULL || number->type != JSON_NUMBER) {
        decode_misshapen(d, value);
        return;
    }
    *given = (struct given){.present = true,
                            .text = number->text,
                            .length = number->length,
                            .unit = unit,
                            .has_own_unit = has_own_unit,
                            .pointer = decode_pointer(d, number)};
    if (row->dimension.angle && unit.base.angle == UNIT_RAD) {
        int step = decode_decimals(number->text);
        if (step > d->loads->radian_decimals)
            d->loads->radian_decimals = step;
    }
}

void decode_numbers(struct decoder *d, const struct json *value, const struct member *row,
                    void *into)
{
    if (value->type != JSON_ARRAY || value->count < 2 || value->count > 3) {
        decode_misshapen(d, value);
        return;
    }
    decode_evidence(d, value->count == 2 ? EVIDENCE_TWO_NUMBERS : EVIDENCE_THREE_NUMBERS, value);
    struct member component = *row;
    for (const struct json *v = value->child; v != NULL; v = v->next) {
        decode_number(d, v, &component, into);
        component.offset += sizeof(struct given);
    }
}

/* ---- places ---- */

/* A new point, zeroed; its index, or −1 where there is no memory. */
static int add_point(struct decoder *d)
{
    struct loads_input *loads = d->loads;
    if (loads->point_count == d->point_capacity) {
        int capacity = d->point_capacity == 0 ? 4 : 2 * d->point_capacity;
        struct point_input *points = arena_alloc(d->arena, (size_t)capacity * sizeof *points);
        if (points == NULL)
            return -1;
        if (loads->point_count > 0)
            memcpy(points, loads->point, (size_t)loads->point_count * sizeof *points);
        loads->point = points;
        d->point_capacity = capacity;
    }
    return loads->point_count++;
}

static void fault_unknown_place(struct decoder *d, const struct json *place)
{
    const struct loads_input *loads = d->loads;
    char list[256] = "";
    size_t used = 0;
    int listed = 0, named = 0;
    for (int i = 0; i < loads->point_count; i++) {
        if (loads->point[i].name == NULL)
            continue;
        named++;
        if (listed == 8)
            continue;
        used += (size_t)snprintf(list + used, sizeof list - used, "%s%.24s", used == 0 ? "" : ", ",
                                 loads->point[i].name);
        if (used >= sizeof list)
            used = sizeof list - 1;
        listed++;
    }
    const char *nearest = roster_nearest(&d->points, place->text);
    if (named == 0)
        decode_fault(d, place, FAULT_UNKNOWN_PLACE,
                     "There is no point %s: no point is given by name. Give it in points, or write "
                     "its coordinates here.",
                     place->text);
    else
        decode_fault(d, place, FAULT_UNKNOWN_PLACE, "There is no %s %s%s%s%s. The %ss are %s%s.",
                     d->place_word, place->text, nearest != NULL ? "; did you mean " : "",
                     nearest != NULL ? nearest : "", nearest != NULL ? "?" : "", d->place_word,
                     list, named > listed ? ", …" : "");
}

void decode_place(struct decoder *d, const struct json *value, const struct member *row, void *into)
{
    static const struct member coordinates = {
        .offset = offsetof(struct point_input, coordinate),
        .dimension = {.length = 1},
    };
    int place;
    if (value->type == JSON_STRING) {
        place = roster_find(&d->points, value->text);
        if (place < 0)
            fault_unknown_place(d, value);
    } else {
        place = add_point(d);
        if (place >= 0) {
            struct point_input *point = &d->loads->point[place];
            point->pointer = decode_pointer(d, value);
            decode_numbers(d, value, &coordinates, point);
        }
    }
    *(int *)target(into, row) = place < 0 ? BAD_PLACE : place;
}

void decode_two_places(struct decoder *d, const struct json *value, const struct member *row,
                       void *into)
{
    if (value->type != JSON_ARRAY || value->count != 2) {
        decode_misshapen(d, value);
        return;
    }
    struct member end = *row;
    for (const struct json *v = value->child; v != NULL; v = v->next) {
        decode_place(d, v, &end, into);
        end.offset += sizeof(int);
    }
}

/* ---- begin and end ---- */

static void read_units(struct decoder *d, const struct json *units)
{
    static const char *const members[] = {"force", "length", "angle"};
    static const struct dimension dimensions[] = {{.force = 1}, {.length = 1}, {.angle = true}};
    struct units *into = &d->loads->units;
    *into = (struct units){UNIT_N, UNIT_M, UNIT_DEG, UNIT_KG, UNIT_M_S2};
    struct unit unit[3];
    for (size_t i = 0; i < 3; i++) {
        unit[i].base = *into;
        const struct json *name = json_member(units, members[i]);
        if (name == NULL)
            continue;
        if (name->type != JSON_STRING)
            decode_misshapen(d, name);
        else if (!unit_read(name->text, name->length, dimensions[i], &unit[i]))
            fault_unit(d, name, dimensions[i]);
    }
    into->force = unit[0].base.force;
    into->length = unit[1].base.length;
    into->angle = unit[2].base.angle;
    if (into->force == UNIT_LB || into->force == UNIT_KIP) {
        into->mass = UNIT_SLUG;
        into->acceleration = UNIT_FT_S2;
    }
}

void decode_begin(struct decoder *d, struct arena *arena, const struct json *request,
                  struct loads_input *loads, struct problem *reterr)
{
    d->arena = arena;
    d->problem = reterr;
    d->loads = loads;
    d->points = (struct roster){0};
    d->place_word = json_member(request, "joints") != NULL ? "joint" : "point";
    d->point_capacity = 0;
    d->has_derived_points = false;
    for (unsigned k = 0; k < EVIDENCE_MAX_; k++)
        d->evidence[k].count = 0;
    d->first_evidence = EVIDENCE_MAX_;
    d->misshapen = NULL;

    read_units(d, json_member(request, "units"));
    const struct json *up = json_member(request, "up");
    if (up != NULL) {
        static const struct member row = {.offset = offsetof(struct loads_input, up)};
        loads->has_up = true;
        decode_half_axis(d, up, &row, loads);
    }

    const struct json *named[] = {json_member(request, "joints"), json_member(request, "points")};
    size_t count = 0;
    for (size_t i = 0; i < 2; i++)
        if (named[i] != NULL)
            count += named[i]->count;
    if (count == 0 || !roster_init(&d->points, arena, count))
        return;
    loads->point = arena_alloc(arena, count * sizeof *loads->point);
    if (loads->point == NULL)
        return;
    d->point_capacity = (int)count;
    for (size_t i = 0; i < 2; i++)
        for (const struct json *p = named[i] != NULL ? named[i]->child : NULL; p != NULL;
             p = p->next) {
            if (p->key == NULL) {
                decode_misshapen(d, p);
                return;
            }
            if (roster_add(&d->points, p->key, loads->point_count) != loads->point_count)
                decode_fault(d, p, FAULT_NAME_TWICE,
                             "%s is a joint already: a name stands for one place.", p->key);
            loads->point[loads->point_count++].name = p->key;
        }
}

/* The points that point `i` is defined by; how many. */
static int defined_by(const struct point_input *p, int ret_point[3])
{
    int count = 0;
    switch (p->form) {
    case POINT_COORDINATES:
        break;
    case POINT_FROM:
        ret_point[count++] = p->from;
        if (p->direction->form == DIRECTION_LINE) {
            ret_point[count++] = p->direction->line[0];
            ret_point[count++] = p->direction->line[1];
        }
        break;
    case POINT_BETWEEN:
        ret_point[count++] = p->between[0];
        ret_point[count++] = p->between[1];
        break;
    }
    return count;
}

static void fault_circle(struct decoder *d, const int *circle, int length)
{
    const struct point_input *point = d->loads->point;
    char chain[256] = "";
    size_t used = 0;
    int first = 0; /* begin with the one that is given first */
    for (int i = 1; i < length; i++)
        if (circle[i] < circle[first])
            first = i;
    for (int i = 0; i <= length && used < sizeof chain; i++) {
        if (i == 9 && length > 9) {
            used += (size_t)snprintf(chain + used, sizeof chain - used, " and so on");
            break;
        }
        used +=
            (size_t)snprintf(chain + used, sizeof chain - used, "%s%.16s",
                             i < 2 ? "" : ", that by ", point[circle[(first + i) % length]].name);
        if (i == 0)
            used += (size_t)snprintf(chain + used, sizeof chain - used, " is defined by ");
    }
    problem_fault(d->problem, point[circle[first]].pointer, FAULT_CIRCULAR_PLACE,
                  "Points are defined by each other in a circle: %s. Give one of them by its "
                  "coordinates.",
                  chain);
}

/* Depth first, on a stack of our own: a chain of points may be as long as the list. */
static void find_circles(struct decoder *d)
{
    int count = d->loads->point_count;
    enum { UNSEEN, ON_PATH, DONE };
    unsigned char *state = arena_alloc(d->arena, (size_t)count);
    int *path = arena_alloc(d->arena, (size_t)count * sizeof *path);
    unsigned char *next = arena_alloc(d->arena, (size_t)count);
    if (state == NULL || path == NULL || next == NULL)
        return;
    for (int start = 0; start < count; start++) {
        int depth = 0;
        if (state[start] == UNSEEN)
            path[depth++] = start;
        while (depth > 0) {
            int here = path[depth - 1];
            state[here] = ON_PATH;
            int by[3], by_count = defined_by(&d->loads->point[here], by);
            if (next[here] == by_count) {
                state[here] = DONE;
                depth--;
                continue;
            }
            int to = by[next[here]++];
            if (to < 0 || state[to] == DONE)
                continue;
            if (state[to] == UNSEEN) {
                path[depth++] = to;
                continue;
            }
            int from = depth - 1;
            while (path[from] != to)
                from--;
            fault_circle(d, path + from, depth - from);
        }
    }
}

void decode_settle(struct decoder *d)
{
    if (d->misshapen != NULL || arena_exhausted(d->arena))
        return;
    evidence_settle(d);
    if (d->has_derived_points)
        find_circles(d);
}

enum problem_code decode_end(struct decoder *d)
{
    if (arena_exhausted(d->arena))
        return problem_set(d->problem, PROBLEM_OVERLOADED,
                           "The request needs more memory than it may have.");
    if (d->misshapen != NULL)
        return problem_set(d->problem, PROBLEM_INTERNAL, "%s passed its schema but cannot be read.",
                           decode_pointer(d, d->misshapen));
    return d->problem->code;
}
