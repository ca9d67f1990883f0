/* check_asked.c: what is marked of an answer: what the request asks for, or what the answer gives.
 */
#include <string.h>

#include "endpoints/check_parts.h"

/* A list of items, each once. */
struct asking {
    const struct items *items;
    const struct answer *answer;
    int number; /* of the answer, from 1 */
    int *list;
    bool *is_listed; /* by item; cleared afterwards */
    int count;
    bool is_direct; /* what a path names itself, not what is in it */
    int left_out; /* numbers that statics does not fix, in what is asked, and that are not given */
};

static void ask_item(struct asking *a, int item)
{
    if (item < 0 || a->is_listed[item])
        return;
    a->is_listed[item] = true;
    a->list[a->count++] = item;
}

static bool is_given(const struct asking *a, int item)
{
    const struct given_item *given = item < 0 ? NULL : answer_find(a->answer, item);
    return given && !given->is_derived;
}

static void ask_part(struct asking *a, struct part *part);

/* A vector once: components, or magnitude and direction, as given. */
static void ask_force(struct asking *a, const struct part *part)
{
    const struct part *components = part_child(part, "components");
    bool by_components = false;
    for (int k = 0; components && k < components->count; k++)
        by_components = by_components || is_given(a, components->item + k);
    for (struct part *c = part->child; c; c = c->next)
        if ((c->kind == PART_VECTOR) == by_components)
            ask_part(a, c);
}

static bool is_any_given(const struct asking *a, const struct part *part)
{
    for (int k = 0; part->kind == PART_VECTOR && k < part->count; k++)
        if (is_given(a, part->item + k))
            return true;
    if (part->kind != PART_VECTOR && is_given(a, part->item))
        return true;
    for (const struct part *c = part->child; c; c = c->next)
        if (is_any_given(a, c))
            return true;
    return false;
}

/* Its parts, or its force and couple: they say the same. Where not all parts are fixed there is no
 * force. */
static void ask_unknown(struct asking *a, const struct part *part)
{
    const struct part *parts = part_child(part, "parts"), *force = part_child(part, "force");
    bool has_force = force && (force->kind != PART_NOTHING || is_given(a, force->item));
    bool by_parts = parts && (is_any_given(a, parts) || !has_force);
    for (struct part *c = part->child; c; c = c->next)
        if ((c == parts) == by_parts)
            ask_part(a, c);
}

/* Each part once an answer, however often it is asked for. */
static void ask_part(struct asking *a, struct part *part)
{
    if (part->asked_by == a->number)
        return;
    part->asked_by = a->number;
    bool is_direct = a->is_direct;
    a->is_direct = false;
    switch (part->kind) {
    case PART_UNMARKED:
    case PART_KIND_MAX_:
        return;
    case PART_FORCE:
        ask_force(a, part);
        return;
    case PART_UNKNOWN:
        ask_unknown(a, part);
        return;
    case PART_OBJECT:
    case PART_LIST:
        for (struct part *c = part->child; c; c = c->next)
            if (c->kind != PART_STATE && c->kind != PART_COUNT)
                ask_part(a, c);
        return;
    case PART_VECTOR:
        for (int k = 0; k < part->count; k++)
            ask_item(a, part->item + k);
        return;
    case PART_NOTHING:
        if (!is_direct && a->items->item[part->item].force < 0 && !is_given(a, part->item))
            a->left_out++;
        else
            ask_item(a, part->item);
        return;
    case PART_NUMBER:
    case PART_DIRECTION:
    case PART_COUNT:
    case PART_STATE:
    case PART_NAMES:
        ask_item(a, part->item);
        return;
    }
}

/* The part at a path; in a problem with two solutions both are asked alike. */
static struct part *asked_part(const struct items *items, const char *path, int *ret_axis)
{
    static const char solutions[] = "/solutions/";
    size_t length = sizeof solutions - 1;
    if (strncmp(path, solutions, length) == 0 && (path[length] == '0' || path[length] == '1') &&
        path[length + 1] == '/')
        path += length + 1;
    return part_at(items, path, ret_axis);
}

void check_asked(struct check *c, const struct json *asked)
{
    for (const struct json *path = asked ? asked->child : NULL; path; path = path->next) {
        int axis;
        const struct part *part = asked_part(&c->solution[0].items, path->text, &axis);
        if (part && part->kind != PART_UNMARKED)
            continue;
        const char *pointer = json_pointer(c->w->arena, path);
        problem_fault(c->reterr, pointer ? pointer : "", FAULT_NOT_ALLOWED,
                      "The answer to this problem has nothing to be asked for at %s: give a path "
                      "into the answer, in which the entries of a list go by name or symbol.",
                      path->text);
    }
}

bool check_find_asked(struct check *c, struct solution *s, struct sheet *sheet)
{
    const struct json *asked = json_member(c->request, "asked");
    int *list = s->scratch;
    struct asking a = {.items = &s->items,
                       .answer = &sheet->answer,
                       .number = ++c->asked,
                       .list = list,
                       .is_listed = s->is_asked};
    bool is_listed = asked && asked->count > 0;
    for (const struct json *path = is_listed ? asked->child : NULL; path; path = path->next) {
        int axis;
        struct part *part = asked_part(&s->items, path->text, &axis);
        a.is_direct = true;
        if (part && axis >= 0)
            ask_item(&a, part->item + axis);
        else if (part)
            ask_part(&a, part);
    }
    for (int i = 0; !is_listed && i < sheet->answer.count; i++)
        if (!sheet->answer.given[i].is_derived)
            ask_item(&a, sheet->answer.given[i].item);
    for (int i = 0; i < a.count; i++)
        s->is_asked[list[i]] = false;
    int *kept = arena_alloc(c->w->arena, ((size_t)a.count + 1) * sizeof *kept);
    if (!kept)
        return false;
    memcpy(kept, list, (size_t)a.count * sizeof *kept);
    c->left_out = c->left_out || a.left_out > 0;
    sheet->asked = kept;
    sheet->asked_count = a.count;
    return true;
}
