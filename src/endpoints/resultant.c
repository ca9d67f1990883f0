/* resultant.c: POST /v1/resultant. */
#include "endpoints/loads.h"
#include "endpoints/rows.h"
#include "statics/statics.h"

/* A place, or {"line": [place, place]}. */
static void read_about(struct decoder *d, const struct json *value, const struct member *row,
                       void *into)
{
    static const struct member line = {.offset = offsetof(struct resultant_input, line)};
    struct resultant_input *input = into;
    const struct json *places = json_member(value, "line");
    input->has_about = true;
    input->about_pointer = decode_pointer(d, value);
    if (places == NULL) {
        decode_place(d, value, row, into);
        return;
    }
    input->about_is_line = true;
    decode_two_places(d, places, &line, into);
    decode_evidence(d, EVIDENCE_SPACE_FORM, places);
    if (input->line[0] >= 0 && input->line[0] == input->line[1])
        decode_fault(d, places, FAULT_ZERO_LENGTH,
                     "A line needs two different places, and both are %s here.",
                     d->loads->point[input->line[0]].name);
}

static const struct member members[] = {
    COMMON_MEMBERS(struct resultant_input),
    LIST_MEMBER("forces", struct resultant_input, loads.force, force_record),
    LIST_MEMBER("couples", struct resultant_input, loads.couple, couple_record),
    LIST_MEMBER("distributed_loads", struct resultant_input, loads.distributed, distributed_record),
    {.name = "about", .read = read_about, .offset = offsetof(struct resultant_input, about)},
    {0},
};

enum problem_code decode_resultant(struct arena *arena, const struct json *request,
                                   struct resultant_input **ret_input, struct problem *reterr)
{
    struct decoder d;
    struct resultant_input *input = arena_alloc(arena, sizeof *input);
    if (input == NULL)
        return problem_set(reterr, PROBLEM_OVERLOADED, "There is no memory for the request.");
    input->about = NO_PLACE;
    decode_begin(&d, arena, request, &input->loads, reterr);
    decode_members(&d, request, members, input);
    decode_settle(&d);
    loads_settle_names(&d);
    struct placed *placed = arena_alloc(arena, (size_t)input->loads.force_count * sizeof *placed);
    if (placed == NULL)
        return decode_end(&d);
    loads_placed(&input->loads, placed);
    bool none_placed =
        settle_places(&d, placed, input->loads.force_count,
                      input->loads.distributed_count > 0 ? "beside a distributed load" : NULL);
    if (none_placed && input->has_about)
        decode_fault(&d, json_member(request, "about"), FAULT_PLACES,
                     "No force has a place, so moments about a place have no meaning: give every "
                     "force `at`, or leave out `about`.");
    if (loads_named_count(&input->loads) == 0)
        decode_fault(&d, request, FAULT_NOTHING_GIVEN,
                     "There is no load: give forces, couples or distributed_loads.");
    *ret_input = input;
    return decode_end(&d);
}

enum problem_code run_resultant(struct work *w, const struct json *request, struct problem *reterr)
{
    struct resultant_input *input;
    enum problem_code code = decode_resultant(w->arena, request, &input, reterr);
    if (code != PROBLEM_NONE)
        return code;
    return statics_resultant(w, input, reterr);
}
