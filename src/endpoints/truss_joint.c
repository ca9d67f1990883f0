/* truss_joint.c: the request of POST /v1/truss-joint. */
#include <string.h>

#include "endpoints/loads.h"
#include "endpoints/rows.h"
#include "statics/statics.h"

static const struct member joint_member_members[] = {
    {.name = "name", .read = decode_text, .offset = offsetof(struct joint_member_input, name)},
    {.name = "direction",
     .read = decode_direction,
     .offset = offsetof(struct joint_member_input, direction)},
    {.name = "force",
     .read = decode_number,
     .offset = offsetof(struct joint_member_input, force),
     .dimension = {.force = 1}},
    {0},
};

static void end_joint_member(struct decoder *d, const struct json *object, void *into)
{
    struct joint_member_input *member = into;
    member->pointer = decode_pointer(d, object);
    if (member->name == NULL || member->direction.form == DIRECTION_NONE ||
        member->direction.form == DIRECTION_NULL || member->direction.form == DIRECTION_UNKNOWN)
        decode_misshapen(d, object);
}

static const struct record joint_member_record = {
    .size = sizeof(struct joint_member_input),
    .members = joint_member_members,
    .end = end_joint_member,
};

static const struct member members[] = {
    COMMON_MEMBERS(struct truss_joint_input),
    {.name = "joint", .read = decode_text, .offset = offsetof(struct truss_joint_input, joint)},
    LIST_MEMBER("members", struct truss_joint_input, member, joint_member_record),
    LIST_MEMBER("forces", struct truss_joint_input, loads.force, force_record),
    {0},
};

static void settle_members(struct decoder *d, const struct truss_joint_input *input)
{
    struct roster names;
    if (!roster_init(&names, d->arena, (size_t)input->member_count))
        return;
    for (int i = 0; i < input->member_count; i++) {
        int earlier = roster_add(&names, input->member[i].name, i);
        const char *pointer = arena_printf(d->arena, "%s/name", input->member[i].pointer);
        if (earlier != i && pointer != NULL)
            problem_fault(d->problem, pointer, FAULT_NAME_TWICE,
                          "The member %s stands at %s already: each member stands once.",
                          input->member[i].name, input->member[earlier].pointer);
    }
}

/* All forces act at the joint; one may say so. */
static void check_forces(struct decoder *d, const struct truss_joint_input *input)
{
    for (int i = 0; i < input->loads.force_count; i++) {
        const struct force_input *force = &input->loads.force[i];
        const char *at = force->at >= 0 ? input->loads.point[force->at].name : NULL;
        if (force->at < 0 || (at != NULL && strcmp(at, input->joint) == 0))
            continue;
        const char *pointer = arena_printf(d->arena, "%s/at", force->pointer);
        if (pointer != NULL)
            problem_fault(d->problem, pointer, FAULT_PLACES,
                          "Every force here acts at joint %s: leave out `at`, or leave out force "
                          "%s if it acts elsewhere.",
                          input->joint, force->name);
    }
}

enum problem_code decode_truss_joint(struct arena *arena, const struct json *request,
                                     struct truss_joint_input **ret_input, struct problem *reterr)
{
    struct decoder d;
    struct truss_joint_input *input = arena_alloc(arena, sizeof *input);
    if (input == NULL)
        return problem_set(reterr, PROBLEM_OVERLOADED, "There is no memory for the request.");
    *ret_input = input;
    decode_begin(&d, arena, request, &input->loads, reterr);
    decode_members(&d, request, members, input);
    decode_settle(&d);
    if (input->joint == NULL && d.misshapen == NULL)
        decode_misshapen(&d, request);
    if (d.misshapen != NULL || arena_exhausted(arena))
        return decode_end(&d);
    loads_settle_names(&d);
    settle_members(&d, input);
    check_forces(&d, input);
    return decode_end(&d);
}

enum problem_code run_truss_joint(struct work *w, const struct json *request,
                                  struct problem *reterr)
{
    struct truss_joint_input *input;
    enum problem_code code = decode_truss_joint(w->arena, request, &input, reterr);
    if (code != PROBLEM_NONE)
        return code;
    return statics_truss_joint(w, input, reterr);
}
