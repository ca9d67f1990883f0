/* resolve.c: POST /v1/resolve. */
#include "endpoints/loads.h"
#include "endpoints/rows.h"
#include "statics/statics.h"

static void read_along(struct decoder *d, const struct json *value, const struct member *row,
                       void *into)
{
    struct resolve_input *input = into;
    input->has_along = true;
    input->along_pointer = decode_pointer(d, value);
    decode_object(d, value, row, into);
}

static void read_onto(struct decoder *d, const struct json *value, const struct member *row,
                      void *into)
{
    ((struct resolve_input *)into)->has_onto = true;
    decode_direction(d, value, row, into);
}

static const struct member along_members[] = {
    {.name = "u", .read = decode_direction, .offset = offsetof(struct resolve_input, along[0])},
    {.name = "v", .read = decode_direction, .offset = offsetof(struct resolve_input, along[1])},
    {.name = "w", .read = decode_direction, .offset = offsetof(struct resolve_input, along[2])},
    {0},
};
static const struct record along_record = {.members = along_members};

static const struct member members[] = {
    COMMON_MEMBERS(struct resolve_input),
    {.name = "force",
     .read = decode_single,
     .offset = offsetof(struct resolve_input, loads.force),
     .record = &force_record,
     .count_offset = offsetof(struct resolve_input, loads.force_count)},
    {.name = "along", .read = read_along, .record = &along_record},
    {.name = "onto", .read = read_onto, .offset = offsetof(struct resolve_input, onto)},
    {0},
};

enum problem_code decode_resolve(struct arena *arena, const struct json *request,
                                 struct resolve_input **ret_input, struct problem *reterr)
{
    struct decoder d;
    struct resolve_input *input = arena_alloc(arena, sizeof *input);
    if (input == NULL)
        return problem_set(reterr, PROBLEM_OVERLOADED, "There is no memory for the request.");
    decode_begin(&d, arena, request, &input->loads, reterr);
    decode_members(&d, request, members, input);
    decode_settle(&d);
    loads_settle_names(&d);
    bool has_third = input->along[2].form != DIRECTION_NONE;
    if (input->loads.space && input->has_along && !has_third)
        decode_fault(&d, json_member(request, "along"), FAULT_MISSING,
                     "In space a force is resolved along three axes: give w as well as u and v.");
    if (!input->loads.space && has_third)
        decode_fault(&d, json_member(json_member(request, "along"), "w"), FAULT_SPACE_ONLY,
                     "In the plane a force is resolved along two axes, u and v: leave out w.");
    *ret_input = input;
    return decode_end(&d);
}

enum problem_code run_resolve(struct work *w, const struct json *request, struct problem *reterr)
{
    struct resolve_input *input;
    enum problem_code code = decode_resolve(w->arena, request, &input, reterr);
    if (code != PROBLEM_NONE)
        return code;
    return statics_resolve(w, input, reterr);
}
