/* equilibrium.c: the request of POST /v1/equilibrium. */
#include <stdio.h>
#include <string.h>

#include "base/limits.h"
#include "endpoints/rows.h"
#include "endpoints/supports.h"
#include "statics/statics.h"

/* ---- what stands in a body, or beside the points where there is one body ---- */

#define BODY_MEMBERS                                                                               \
    LIST_MEMBER("forces", struct equilibrium_input, loads.force, force_record),                    \
        LIST_MEMBER("couples", struct equilibrium_input, loads.couple, couple_record),             \
        LIST_MEMBER("distributed_loads", struct equilibrium_input, loads.distributed,              \
                    distributed_record),                                                           \
        LIST_MEMBER("supports", struct equilibrium_input, support, support_record)

static const struct member body_members[] = {BODY_MEMBERS, {0}};

/* Each body by its name: what it has goes to the end of the lists, and is marked as its own. */
static void read_bodies(struct decoder *d, const struct json *value, const struct member *row,
                        void *into)
{
    struct equilibrium_input *input = into;
    (void)row;
    if (value->type != JSON_OBJECT) {
        decode_misshapen(d, value);
        return;
    }
    input->body = arena_alloc(d->arena, value->count * sizeof *input->body);
    if (input->body == NULL)
        return;
    for (const struct json *v = value->child; v != NULL; v = v->next) {
        struct loads_input *loads = &input->loads;
        int forces = loads->force_count, couples = loads->couple_count,
            distributed = loads->distributed_count, supports = input->support_count;
        int body = input->body_count++;
        input->body[body] = (struct body_input){v->key, decode_pointer(d, v)};
        decode_members(d, v, body_members, input);
        for (int i = forces; i < loads->force_count; i++)
            loads->force[i].body = body;
        for (int i = couples; i < loads->couple_count; i++)
            loads->couple[i].body = body;
        for (int i = distributed; i < loads->distributed_count; i++)
            loads->distributed[i].body = body;
        for (int i = supports; i < input->support_count; i++)
            input->support[i].body = body;
    }
}

/* ---- pins ---- */

/* The names are looked up once all bodies are known. */
static void read_joins(struct decoder *d, const struct json *value, const struct member *row,
                       void *into)
{
    struct pin_input *pin = into;
    (void)row;
    if (value->type != JSON_ARRAY || value->count < 2) {
        decode_misshapen(d, value);
        return;
    }
    pin->body = arena_alloc(d->arena, value->count * sizeof *pin->body);
    if (pin->body != NULL)
        pin->body_count = (int)value->count;
}

static const struct member pin_members[] = {
    {.name = "name", .read = decode_text, .offset = offsetof(struct pin_input, name)},
    {.name = "at", .read = decode_place, .offset = offsetof(struct pin_input, at)},
    {.name = "joins", .read = read_joins},
    {0},
};

static void begin_pin(void *into) { ((struct pin_input *)into)->at = NO_PLACE; }

static void end_pin(struct decoder *d, const struct json *object, void *into)
{
    struct pin_input *pin = into;
    pin->pointer = decode_pointer(d, object);
    if (pin->at == NO_PLACE || pin->body_count == 0)
        decode_misshapen(d, object);
}

static const struct record pin_record = {
    .size = sizeof(struct pin_input), .members = pin_members, .begin = begin_pin, .end = end_pin};

static void settle_pins(struct decoder *d, struct equilibrium_input *input,
                        const struct json *request)
{
    struct roster bodies;
    if (!roster_init(&bodies, d->arena, (size_t)input->body_count))
        return;
    for (int i = 0; i < input->body_count; i++)
        roster_add(&bodies, input->body[i].name, i);
    const struct json *pins = json_member(request, "pins");
    const struct json *p = pins != NULL ? pins->child : NULL;
    for (struct pin_input *pin = input->pin; p != NULL; p = p->next, pin++) {
        int k = 0;
        for (const struct json *v = json_member(p, "joins")->child; v != NULL; v = v->next) {
            if (v->type != JSON_STRING) {
                decode_misshapen(d, v);
                return;
            }
            int body = roster_find(&bodies, v->text);
            if (body < 0) {
                const char *nearest = roster_nearest(&bodies, v->text);
                decode_fault(d, v, FAULT_UNKNOWN_NAME,
                             "There is no body %s%s%s%s: a pin joins bodies that are given in "
                             "bodies.",
                             v->text, nearest != NULL ? " (did you mean " : "",
                             nearest != NULL ? nearest : "", nearest != NULL ? "?)" : "");
            }
            pin->body[k++] = body;
        }
    }
}

/* ---- the request ---- */

static void read_required(struct decoder *d, const struct json *value, const struct member *row,
                          void *into)
{
    ((struct equilibrium_input *)into)->has_required = true;
    decode_object(d, value, row, into);
}

static const struct member members[] = {
    COMMON_MEMBERS(struct equilibrium_input),
    BODY_MEMBERS,
    {.name = "bodies", .read = read_bodies},
    LIST_MEMBER("pins", struct equilibrium_input, pin, pin_record),
    {.name = "required_resultant",
     .read = read_required,
     .offset = offsetof(struct equilibrium_input, required),
     .record = &force_record},
    {.name = "smallest"}, /* once all names are known */
    {0},
};

static const char *point_name(const struct loads_input *loads, int at)
{
    return at >= 0 ? loads->point[at].name : NULL;
}

static void settle_all_names(struct decoder *d, struct equilibrium_input *input)
{
    struct loads_input *loads = &input->loads;
    int count =
        loads_named_count(loads) + input->support_count + input->pin_count + input->has_required;
    struct named *list = arena_alloc(d->arena, (size_t)count * sizeof *list);
    if (list == NULL)
        return;
    struct named *end = loads_named(loads, list);
    for (int i = 0; i < input->support_count; i++)
        *end++ = (struct named){.name = &input->support[i].name,
                                .pointer = input->support[i].pointer,
                                .wanted = point_name(loads, input->support[i].at),
                                .number = i + 1,
                                .count = input->support_count};
    for (int i = 0; i < input->pin_count; i++)
        *end++ = (struct named){.name = &input->pin[i].name,
                                .pointer = input->pin[i].pointer,
                                .wanted = point_name(loads, input->pin[i].at),
                                .number = i + 1,
                                .count = input->pin_count};
    if (input->has_required)
        *end++ = (struct named){.name = &input->required.name,
                                .pointer = input->required.pointer,
                                .wanted = "R",
                                .prefix = "R",
                                .number = 1,
                                .count = 1};
    settle_names(d, list, count);
}

/* The force of that name, or −1. */
static int find_force(const struct loads_input *loads, const char *name)
{
    for (int i = 0; i < loads->force_count; i++)
        if (loads->force[i].name != NULL && strcmp(loads->force[i].name, name) == 0)
            return i;
    return -1;
}

static void settle_same_as(struct decoder *d, struct force_input *force,
                           const struct loads_input *loads)
{
    force->same_as_force = -1;
    if (force->same_as == NULL)
        return;
    int other = find_force(loads, force->same_as);
    const char *pointer = arena_printf(d->arena, "%s/magnitude/same_as", force->pointer);
    if (pointer == NULL)
        return;
    if (other < 0)
        problem_fault(d->problem, pointer, FAULT_UNKNOWN_NAME,
                      "There is no force %s whose magnitude this could be.", force->same_as);
    else if (&loads->force[other] == force)
        problem_fault(d->problem, pointer, FAULT_UNKNOWN_NAME,
                      "%s can't be as large as itself: name the other force, or give \"unknown\".",
                      force->same_as);
    else if (loads->force[other].same_as != NULL)
        problem_fault(d->problem, pointer, FAULT_UNKNOWN_NAME,
                      "%s is itself as large as another force: name %s here.", force->same_as,
                      loads->force[other].same_as);
    else if (!loads->force[other].magnitude_unknown)
        problem_fault(d->problem, pointer, FAULT_UNKNOWN_NAME,
                      "The magnitude of %s is not unknown: give it here as well.", force->same_as);
    force->same_as_force = other;
}

static void settle_smallest(struct decoder *d, struct equilibrium_input *input,
                            const struct json *request)
{
    const struct json *smallest = json_member(request, "smallest");
    input->smallest = -1;
    if (smallest == NULL)
        return;
    if (smallest->type != JSON_STRING) {
        decode_misshapen(d, smallest);
        return;
    }
    int force = find_force(&input->loads, smallest->text);
    if (force < 0)
        decode_fault(d, smallest, FAULT_UNKNOWN_NAME,
                     "There is no force %s that could be the smallest possible.", smallest->text);
    else if (!input->loads.force[force].magnitude_unknown)
        decode_fault(d, smallest, FAULT_DISAGREE,
                     "The magnitude of %s is given, so it can't be made smaller: give \"unknown\" "
                     "for it, or name another force.",
                     smallest->text);
    input->smallest = force;
}

/* Where there are bodies every load and support belongs to one of them. */
static void check_bodies(struct decoder *d, const struct equilibrium_input *input,
                         const struct json *request)
{
    static const char *const lists[] = {"forces", "couples", "distributed_loads", "supports"};
    if (input->body_count == 0)
        return;
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++) {
        const struct json *list = json_member(request, lists[i]);
        if (list != NULL && list->count > 0)
            decode_fault(d, list, FAULT_FORBIDDEN,
                         "Where bodies are given, loads and supports stand in the body that they "
                         "act on: move these there.");
    }
    if (input->has_required)
        decode_fault(d, json_member(request, "required_resultant"), FAULT_FORBIDDEN,
                     "A required resultant belongs to forces on one body or particle: leave it "
                     "out, or leave out bodies.");
}

static void check_places(struct decoder *d, struct equilibrium_input *input)
{
    const struct loads_input *loads = &input->loads;
    int count = loads->force_count + input->support_count + input->has_required;
    struct placed *list = arena_alloc(d->arena, (size_t)count * sizeof *list);
    if (list == NULL || d->misshapen != NULL)
        return;
    struct placed *end = loads_placed(loads, list);
    for (int i = 0; i < input->support_count; i++)
        *end++ = (struct placed){"Support", input->support[i].name, input->support[i].pointer,
                                 input->support[i].at != NO_PLACE};
    if (input->has_required)
        *end++ = (struct placed){"The required resultant", input->required.name,
                                 input->required.pointer, input->required.at != NO_PLACE};
    const char *where = input->body_count > 0          ? "where bodies are given"
                        : loads->distributed_count > 0 ? "beside a distributed load"
                                                       : NULL;
    input->is_particle = settle_places(d, list, count, where);
    if (!input->is_particle)
        return;
    for (int i = 0; i < loads->couple_count; i++)
        problem_fault(d->problem, loads->couple[i].pointer, FAULT_PLACES,
                      "Couple %s would turn a body, but nothing here has a place, so this is a "
                      "particle: give `at` to the forces and supports, or leave out the couple.",
                      loads->couple[i].name);
    for (int i = 0; i < input->support_count; i++)
        if (input->support[i].kind == SUPPORT_FIXED || input->support[i].couples)
            problem_fault(d->problem, input->support[i].pointer, FAULT_PLACES,
                          "Support %s holds a body against turning, but nothing here has a place, "
                          "so this is a particle: give `at` to the forces and supports.",
                          input->support[i].name);
}

enum problem_code decode_equilibrium(struct arena *arena, const struct json *request,
                                     struct equilibrium_input **ret_input, struct problem *reterr)
{
    struct decoder d;
    struct equilibrium_input *input = arena_alloc(arena, sizeof *input);
    if (input == NULL)
        return problem_set(reterr, PROBLEM_OVERLOADED, "There is no memory for the request.");
    *ret_input = input;
    decode_begin(&d, arena, request, &input->loads, reterr);
    decode_members(&d, request, members, input);
    decode_settle(&d);
    if (d.misshapen != NULL || arena_exhausted(arena))
        return decode_end(&d);
    settle_all_names(&d, input);
    settle_pins(&d, input, request);
    for (int i = 0; i < input->loads.force_count; i++)
        settle_same_as(&d, &input->loads.force[i], &input->loads);
    settle_same_as(&d, &input->required, &input->loads);
    settle_smallest(&d, input, request);
    check_bodies(&d, input, request);
    check_places(&d, input);
    if (loads_named_count(&input->loads) + input->support_count == 0)
        decode_fault(&d, request, FAULT_NOTHING_GIVEN,
                     "There is neither a load nor an unknown: give forces, couples, "
                     "distributed_loads or supports.");
    return decode_end(&d);
}

enum problem_code run_equilibrium(struct work *w, const struct json *request,
                                  struct problem *reterr)
{
    struct equilibrium_input *input;
    enum problem_code code = decode_equilibrium(w->arena, request, &input, reterr);
    if (code != PROBLEM_NONE)
        return code;
    return statics_equilibrium(w, input, reterr);
}
