/* truss.c: the request of POST /v1/truss. */
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "endpoints/rows.h"
#include "endpoints/supports.h"
#include "statics/statics.h"

#define NAME_BYTES (4 * LIMIT_NAME_LENGTH) /* of a joint: the schema bounds its characters */

/* ---- members ---- */

/* Two joints, the lower first, and the member between them: sorted, so that one is found by its
 * joints. */
struct pair {
    int low, high, member;
};

static int compare_pairs(const void *left, const void *right)
{
    const struct pair *a = left, *b = right;
    if (a->low != b->low)
        return a->low < b->low ? -1 : 1;
    if (a->high != b->high)
        return a->high < b->high ? -1 : 1;
    return (a->member > b->member) - (a->member < b->member);
}

static struct pair pair_of(int joint, int other, int member)
{
    return joint < other ? (struct pair){joint, other, member}
                         : (struct pair){other, joint, member};
}

/* The joint of that name; BAD_PLACE after a fault. */
static int find_joint(struct decoder *d, const struct json *name, int joint_count)
{
    static const struct member row = {0};
    int joint;
    if (name->type != JSON_STRING) {
        decode_misshapen(d, name);
        return BAD_PLACE;
    }
    decode_place(d, name, &row, &joint);
    if (joint >= joint_count) {
        decode_fault(d, name, FAULT_UNKNOWN_PLACE,
                     "%s is a point and no joint: members, supports and loads are at joints.",
                     name->text);
        return BAD_PLACE;
    }
    return joint;
}

static void read_members(struct decoder *d, const struct json *value, const struct member *row,
                         void *into)
{
    struct truss_input *input = into;
    (void)row;
    if (value->type != JSON_ARRAY) {
        decode_misshapen(d, value);
        return;
    }
    input->member = arena_alloc(d->arena, value->count * sizeof *input->member);
    if (input->member == NULL)
        return;
    for (const struct json *v = value->child; v != NULL; v = v->next) {
        if (v->type != JSON_ARRAY || v->count != 2) {
            decode_misshapen(d, v);
            return;
        }
        struct truss_member_input *member = &input->member[input->member_count++];
        member->joint[0] = find_joint(d, v->child, input->joint_count);
        member->joint[1] = find_joint(d, v->child->next, input->joint_count);
        if (member->joint[0] >= 0 && member->joint[0] == member->joint[1])
            decode_fault(d, v, FAULT_ZERO_LENGTH,
                         "The member runs from joint %s to itself: name two different joints.",
                         v->child->text);
    }
}

/* "AB"; "A1-B2" throughout where a joint's name is longer than one character. */
static void name_members(struct decoder *d, struct truss_input *input)
{
    const struct point_input *joint = input->loads.point;
    bool has_hyphen = false;
    for (int i = 0; i < input->joint_count; i++) {
        size_t bytes = 0;
        const char *name = joint[i].name;
        do
            bytes++;
        while (((unsigned char)name[bytes] & 0xC0) == 0x80);
        has_hyphen = has_hyphen || name[bytes] != '\0';
    }
    for (int i = 0; i < input->member_count; i++) {
        struct truss_member_input *member = &input->member[i];
        if (member->joint[0] < 0 || member->joint[1] < 0)
            continue;
        const char *from = joint[member->joint[0]].name, *to = joint[member->joint[1]].name;
        size_t from_length = strlen(from), to_length = strlen(to);
        char name[2 * NAME_BYTES + 2];
        memcpy(name, from, from_length);
        if (has_hyphen)
            name[from_length++] = '-';
        memcpy(name + from_length, to, to_length);
        member->name = arena_text(d->arena, name, from_length + to_length);
    }
}

/* The members by their joints; a member that stands twice is a fault. *ret_count of them. */
static struct pair *sort_members(struct decoder *d, const struct truss_input *input, int *ret_count)
{
    struct pair *pairs = arena_alloc(d->arena, (size_t)input->member_count * sizeof *pairs);
    *ret_count = 0;
    if (pairs == NULL)
        return NULL;
    for (int i = 0; i < input->member_count; i++) {
        const int *joint = input->member[i].joint;
        if (joint[0] >= 0 && joint[1] >= 0)
            pairs[(*ret_count)++] = pair_of(joint[0], joint[1], i);
    }
    qsort(pairs, (size_t)*ret_count, sizeof *pairs, compare_pairs);
    for (int i = 1; i < *ret_count; i++) {
        const struct pair *p = &pairs[i];
        if (p->low != p[-1].low || p->high != p[-1].high || p->low == p->high)
            continue;
        const char *pointer = arena_printf(d->arena, "/members/%d", p->member);
        if (pointer != NULL)
            problem_fault(d->problem, pointer, FAULT_MEMBER_TWICE,
                          "Joints %s and %s are joined by member %d of the list already: leave out "
                          "one of the two.",
                          input->loads.point[p->low].name, input->loads.point[p->high].name,
                          p[-1].member + 1);
    }
    return pairs;
}

/* ---- the section ---- */

/* The member between two joints, or −1. */
static int find_member(const struct pair *pairs, int count, int joint, int other)
{
    struct pair wanted = pair_of(joint, other, -1);
    int low = 0, high = count;
    while (low < high) {
        int middle = low + (high - low) / 2;
        if (compare_pairs(&pairs[middle], &wanted) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < count && pairs[low].low == wanted.low && pairs[low].high == wanted.high
               ? pairs[low].member
               : -1;
}

/* The member of that name: "AB" and "BA", "A1-B2"; without a hyphen a longer name is cut where it
 * can be. −1: none; *ret_joints tells whether both of its joints are there. */
static int member_by_name(const struct decoder *d, const struct truss_input *input,
                          const struct pair *pairs, int count, const char *name, bool *ret_joints)
{
    char first[NAME_BYTES + 1];
    const char *hyphen = strchr(name, '-');
    size_t length = strlen(name);
    *ret_joints = false;
    for (size_t cut = 1; cut < length && cut < sizeof first; cut++) {
        if (hyphen != NULL && name + cut != hyphen)
            continue;
        memcpy(first, name, cut);
        first[cut] = '\0';
        int joint = roster_find(&d->points, first);
        int other = roster_find(&d->points, name + cut + (hyphen != NULL));
        if (joint < 0 || other < 0 || joint >= input->joint_count || other >= input->joint_count)
            continue;
        *ret_joints = true;
        int member = find_member(pairs, count, joint, other);
        if (member >= 0)
            return member;
    }
    return -1;
}

static const struct member section_members[] = {{.name = "cut"}, {0}};

static void read_section(struct decoder *d, const struct json *value, const struct member *row,
                         void *into)
{
    (void)row;
    ((struct truss_input *)into)->has_section = true;
    decode_members(d, value, section_members, into);
}

static void settle_section(struct decoder *d, struct truss_input *input, const struct json *request,
                           const struct pair *pairs, int count)
{
    const struct json *cut = json_member(json_member(request, "section"), "cut");
    if (!input->has_section)
        return;
    if (cut == NULL || cut->type != JSON_ARRAY) {
        decode_misshapen(d, request);
        return;
    }
    input->cut = arena_alloc(d->arena, cut->count * sizeof *input->cut);
    if (input->cut == NULL)
        return;
    for (const struct json *v = cut->child; v != NULL; v = v->next) {
        bool are_joints = false;
        if (v->type != JSON_STRING) {
            decode_misshapen(d, v);
            return;
        }
        int member = member_by_name(d, input, pairs, count, v->text, &are_joints);
        if (member < 0)
            decode_fault(d, v, FAULT_UNKNOWN_NAME,
                         are_joints
                             ? "There is no member %s: these two joints are not joined."
                             : "There is no member %s: a member is named by its two joints, with a "
                               "hyphen where a joint's name is longer than one character.",
                         v->text);
        for (int i = 0; i < input->cut_count; i++)
            if (member >= 0 && input->cut[i] == member)
                decode_fault(d, v, FAULT_MEMBER_TWICE,
                             "The section cuts %s once: it stands in the list already.",
                             input->member[member].name);
        input->cut[input->cut_count++] = member;
    }
}

/* ---- joints, supports and loads ---- */

/* The digits of a decimal without zeros at either end, its sign, and the power of ten of the last.
 */
struct digits {
    bool negative;
    char digit[LIMIT_NUMBER_DIGITS + 1];
    long exponent;
};

static struct digits digits_of(const char *text)
{
    struct digits d = {.negative = text[0] == '-'};
    size_t count = 0;
    bool is_fraction = false;
    const char *c = text;
    for (; *c != '\0' && *c != 'e' && *c != 'E'; c++) {
        is_fraction = is_fraction || *c == '.';
        if (*c < '0' || *c > '9')
            continue;
        d.exponent -= is_fraction;
        if ((count > 0 || *c != '0') && count < LIMIT_NUMBER_DIGITS)
            d.digit[count++] = *c;
    }
    if (*c != '\0')
        d.exponent += strtol(c + 1, NULL, 10);
    for (; count > 0 && d.digit[count - 1] == '0'; count--, d.exponent++)
        d.digit[count - 1] = '\0';
    return count > 0 ? d : (struct digits){0};
}

/* The same length in the same unit, though it may be typed otherwise: 1.50 and 15e-1. */
static bool is_same_length(const struct given *a, const struct given *b)
{
    if (!a->present || !b->present)
        return a->present == b->present;
    struct digits x = digits_of(a->text), y = digits_of(b->text);
    return a->unit.base.length == b->unit.base.length && x.negative == y.negative &&
           x.exponent == y.exponent && strcmp(x.digit, y.digit) == 0;
}

struct spot {
    double coordinate[3];
    int joint;
};

static int compare_spots(const void *left, const void *right)
{
    const struct spot *a = left, *b = right;
    for (int i = 0; i < 3; i++)
        if (a->coordinate[i] != b->coordinate[i])
            return a->coordinate[i] < b->coordinate[i] ? -1 : 1;
    return (a->joint > b->joint) - (a->joint < b->joint);
}

/* Two joints whose coordinates are typed alike; what only comes out alike is found by whoever works
 * it out. */
static void find_joints_at_one_place(struct decoder *d, const struct truss_input *input,
                                     const struct json *request)
{
    struct spot *spots = arena_alloc(d->arena, (size_t)input->joint_count * sizeof *spots);
    const struct point_input *joint = input->loads.point;
    int count = 0, i = 0;
    if (spots == NULL)
        return;
    for (const struct json *v = json_member(request, "joints")->child; v != NULL;
         v = v->next, i++) {
        if (joint[i].form != POINT_COORDINATES)
            continue;
        struct spot *s = &spots[count++];
        s->joint = i;
        for (int axis = 0; axis < 3; axis++)
            s->coordinate[axis] = joint[i].coordinate[axis].present
                                      ? strtod(joint[i].coordinate[axis].text, NULL)
                                      : 0;
    }
    qsort(spots, (size_t)count, sizeof *spots, compare_spots);
    for (int k = 1; k < count; k++) {
        const struct point_input *a = &joint[spots[k - 1].joint], *b = &joint[spots[k].joint];
        bool is_same = true;
        for (int axis = 0; axis < 3; axis++)
            is_same = is_same && is_same_length(&a->coordinate[axis], &b->coordinate[axis]);
        if (is_same)
            problem_fault(d->problem, b->pointer, FAULT_JOINTS_COINCIDE,
                          "Joint %s lies where joint %s is: move one of them, or make one joint of "
                          "the two.",
                          b->name, a->name);
    }
}

static const struct point_input *at_joint(const struct truss_input *input, int at)
{
    return at >= 0 && at < input->joint_count ? &input->loads.point[at] : NULL;
}

/* A load or support is at a joint, by its name. */
static void check_at_joint(struct decoder *d, const struct truss_input *input,
                           const struct json *list, const char *pointer, int at)
{
    if (at == BAD_PLACE || at_joint(input, at) != NULL)
        return;
    const char *place = arena_printf(d->arena, "%s/at", pointer);
    if (at == NO_PLACE || input->loads.point[at].name == NULL)
        decode_misshapen(d, list);
    else if (place != NULL)
        problem_fault(d->problem, place, FAULT_UNKNOWN_PLACE,
                      "%s is a point and no joint: members, supports and loads are at joints.",
                      input->loads.point[at].name);
}

/* A support is called as its joint unless it has a name; of two at one joint each needs one. */
static void settle_all_names(struct decoder *d, struct truss_input *input)
{
    int count = loads_named_count(&input->loads) + input->support_count;
    struct named *list = arena_alloc(d->arena, (size_t)count * sizeof *list), *end = list;
    int *support_at = arena_alloc(d->arena, (size_t)input->joint_count * sizeof *support_at);
    if (list == NULL || support_at == NULL)
        return;
    for (int i = 0; i < input->support_count; i++) {
        struct support_input *support = &input->support[i];
        const struct point_input *joint = at_joint(input, support->at);
        int earlier = joint != NULL ? support_at[support->at] - 1 : -1;
        if (joint != NULL && earlier < 0)
            support_at[support->at] = i + 1;
        if (support->name != NULL || joint == NULL)
            continue;
        if (earlier >= 0)
            problem_fault(d->problem, support->pointer, FAULT_MISSING,
                          "Joint %s has another support at %s: give this one a name of its own.",
                          joint->name, input->support[earlier].pointer);
        support->name = joint->name;
        if (earlier < 0)
            *end++ = (struct named){.name = &support->name, .pointer = support->pointer};
    }
    for (int i = 0; i < input->support_count; i++) {
        struct support_input *support = &input->support[i];
        const struct point_input *joint = at_joint(input, support->at);
        if (support->name != NULL && (joint == NULL || support->name != joint->name))
            *end++ = (struct named){.name = &support->name, .pointer = support->pointer};
    }
    end = loads_named(&input->loads, end);
    settle_names(d, list, (int)(end - list));
}

/* ---- the request ---- */

/* Joints are read as points are: they got their numbers first. */
static const struct member members[] = {
    COMMON_MEMBERS(struct truss_input),
    {.name = "joints", .read = decode_points, .offset = offsetof(struct truss_input, loads)},
    {.name = "members", .read = read_members},
    LIST_MEMBER("supports", struct truss_input, support, support_record),
    LIST_MEMBER("loads", struct truss_input, loads.force, force_record),
    {.name = "section", .read = read_section},
    {0},
};

enum problem_code decode_truss(struct arena *arena, const struct json *request,
                               struct truss_input **ret_input, struct problem *reterr)
{
    struct decoder d;
    struct truss_input *input = arena_alloc(arena, sizeof *input);
    const struct json *joints = json_member(request, "joints");
    if (input == NULL)
        return problem_set(reterr, PROBLEM_OVERLOADED, "There is no memory for the request.");
    *ret_input = input;
    decode_begin(&d, arena, request, &input->loads, reterr);
    if (joints == NULL || joints->type != JSON_OBJECT)
        decode_misshapen(&d, request);
    else
        input->joint_count = (int)joints->count;
    decode_members(&d, request, members, input);
    decode_settle(&d);
    if (d.misshapen != NULL || arena_exhausted(arena))
        return decode_end(&d);

    for (int i = 0; i < input->loads.force_count; i++)
        check_at_joint(&d, input, json_member(request, "loads"), input->loads.force[i].pointer,
                       input->loads.force[i].at);
    for (int i = 0; i < input->support_count; i++)
        check_at_joint(&d, input, json_member(request, "supports"), input->support[i].pointer,
                       input->support[i].at);
    settle_all_names(&d, input);
    name_members(&d, input);
    int count;
    const struct pair *pairs = sort_members(&d, input, &count);
    settle_section(&d, input, request, pairs, count);
    find_joints_at_one_place(&d, input, request);
    return decode_end(&d);
}

enum problem_code run_truss(struct work *w, const struct json *request, struct problem *reterr)
{
    struct truss_input *input;
    enum problem_code code = decode_truss(w->arena, request, &input, reterr);
    if (code != PROBLEM_NONE)
        return code;
    return statics_truss(w, input, reterr);
}
