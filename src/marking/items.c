#include "marking/items.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"

/* ---- the tree ---- */

struct builder {
    struct items *items;
    int capacity, force_capacity;
    int solution;
    bool failed;
    struct item none; /* written to where there is no memory */
};

static void *wider(struct builder *b, void *list, int count, int *capacity, size_t size)
{
    int more = *capacity ? 2 * *capacity : 64;
    void *fresh = arena_alloc(b->items->w->arena, (size_t)more * size);
    if (!fresh) {
        b->failed = true;
        return list;
    }
    if (count)
        memcpy(fresh, list, (size_t)count * size);
    *capacity = more;
    return fresh;
}

static struct item *add_item(struct builder *b, struct part *part, const char *of)
{
    struct items *s = b->items;
    if (s->count == b->capacity)
        s->item = wider(b, s->item, s->count, &b->capacity, sizeof *s->item);
    if (b->failed)
        return &b->none;
    struct item *item = &s->item[s->count++];
    *item = (struct item){.of = of,
                          .kind = part->kind,
                          .part = part,
                          .force = -1,
                          .vector = -1,
                          .axis = -1,
                          .same = -1};
    return item;
}

static struct part *add_part(struct builder *b, struct part *parent, const char *key,
                             const struct value *value)
{
    struct part *part = arena_alloc(b->items->w->arena, sizeof *part);
    if (!part) {
        b->failed = true;
        return NULL;
    }
    *part = (struct part){.key = key, .value = value, .item = -1, .parent = parent};
    part->path = parent ? arena_printf(b->items->w->arena, "%s/%s", parent->path, key) : "";
    b->failed = b->failed || !part->path;
    if (parent) {
        if (parent->last)
            parent->last->next = part;
        else
            parent->child = part;
        parent->last = part;
        parent->child_count++;
    }
    return part;
}

static const struct value *member(const struct value *object, const char *key)
{
    for (const struct value *c = object->child; c; c = c->next)
        if (c->key && strcmp(c->key, key) == 0)
            return c;
    return NULL;
}

static const char *name_of(const struct value *entry)
{
    const struct value *name = entry->kind == VALUE_OBJECT ? member(entry, "name") : NULL;
    if (!name && entry->kind == VALUE_OBJECT)
        name = member(entry, "symbol");
    return name && name->kind == VALUE_TEXT ? name->text : NULL;
}

static bool is_unmarked(const char *key)
{
    static const char *const words[] = {
        "name",  "symbol",   "kind",    "in_words",  "count", "degree", "balanced", "free_motions",
        "order", "residual", "unfixed", "mechanism", "found", "about",  NULL};
    for (int i = 0; words[i]; i++)
        if (strcmp(words[i], key) == 0)
            return true;
    return false;
}

static void build(struct builder *b, struct part *part);

static int by_key(const void *a, const void *b)
{
    return strcmp((*(struct part *const *)a)->key, (*(struct part *const *)b)->key);
}

static void build_list(struct builder *b, struct part *part)
{
    const struct value *list = part->value;
    if (strcmp(part->key, "zero_force_members") == 0) {
        part->kind = PART_NAMES;
        part->item = b->items->count;
        add_item(b, part, part->path);
    } else {
        part->kind = PART_LIST;
    }
    for (const struct value *c = list->child; c; c = c->next)
        if (!name_of(c)) {
            part->kind = PART_UNMARKED;
            return;
        }
    for (const struct value *c = list->child; c && !b->failed; c = c->next) {
        struct part *entry = add_part(b, part, name_of(c), c);
        if (entry && part->kind == PART_LIST)
            build(b, entry);
        if (entry)
            entry->place = part->child_count - 1;
    }
    part->sorted =
        arena_alloc(b->items->w->arena, ((size_t)part->child_count + 1) * sizeof *part->sorted);
    if (!part->sorted) {
        b->failed = true;
        return;
    }
    int i = 0;
    for (struct part *c = part->child; c; c = c->next)
        part->sorted[i++] = c;
    qsort(part->sorted, (size_t)i, sizeof *part->sorted, by_key);
}

static void build_vector(struct builder *b, struct part *part)
{
    struct work *w = b->items->w;
    part->kind = PART_VECTOR;
    int first = b->items->count;
    for (int axis = 0; axis < 3 && !b->failed; axis++) {
        q x = qv_component(w, part->value->vector, axis);
        if (q_is_none(x))
            continue;
        struct item *item =
            add_item(b, part, arena_printf(w->arena, "%s/%d", part->path, part->count));
        item->kind = PART_NUMBER;
        item->number[0] = x;
        item->vector = first;
        item->axis = part->count++;
    }
    part->item = first;
}

/* {"angle": …}, {"direction_angles": {…}}: one item; the three angles may be asked one by one. */
static void build_direction(struct builder *b, struct part *part)
{
    static const char *const angle[3] = {"alpha", "beta", "gamma"};
    const struct value *plane = member(part->value, "angle");
    const struct value *space = member(part->value, "direction_angles");
    part->kind = PART_DIRECTION;
    part->item = b->items->count;
    add_item(b, part, part->path);
    int at = part->item;
    if (plane) {
        if (!b->failed)
            b->items->item[at].number[0] = plane->scalar;
        return;
    }
    struct part *angles = add_part(b, part, "direction_angles", space);
    if (!angles)
        return;
    angles->kind = PART_DIRECTION; /* the same item by another path */
    angles->item = part->item;
    for (int i = 0; i < 3 && !b->failed; i++) {
        const struct value *one = member(space, angle[i]);
        struct part *single = add_part(b, angles, angle[i], one);
        if (!single || !one)
            return;
        single->kind = PART_NUMBER;
        single->item = b->items->count;
        struct item *item = add_item(b, single, single->path);
        item->number[0] = one->scalar;
        item->is_angle = true;
        if (!b->failed)
            b->items->item[at].number[i] = one->scalar;
    }
}

static void build_force(struct builder *b, struct part *part)
{
    struct items *s = b->items;
    if (s->force_count == b->force_capacity)
        s->force = wider(b, s->force, s->force_count, &b->force_capacity, sizeof *s->force);
    if (b->failed)
        return;
    int number = s->force_count++;
    struct force_items f = {{-1, -1, -1}, -1, -1};
    for (struct part *c = part->child; c; c = c->next) {
        for (int k = 0; c->kind == PART_VECTOR && k < c->count; k++)
            f.component[k] = c->item + k;
        if (strcmp(c->key, "magnitude") == 0)
            f.magnitude = c->item;
        if (strcmp(c->key, "direction") == 0)
            f.direction = c->item;
    }
    s->force[number] = f;
    int all[5] = {f.component[0], f.component[1], f.component[2], f.magnitude, f.direction};
    for (int k = 0; k < 5; k++)
        if (all[k] >= 0)
            s->item[all[k]].force = number;
    part->kind = PART_FORCE;
}

/* A number under another name is the same number. */
static uint32_t root_of(const struct work *w, q x)
{
    for (;;) {
        if (q_is_name(w, x, &x))
            continue;
        const struct node *n = q_node(w, x);
        if (n->op != OP_UNKNOWN || !n->operand[0])
            return x.i;
        x = (q){n->operand[0]};
    }
}

/* A_x as a part is the x component of the force A. */
static void match_parts(struct builder *b, int first)
{
    struct items *s = b->items;
    for (int i = first; i < s->count; i++)
        for (int j = first; s->item[i].kind == PART_NUMBER && s->item[i].force < 0 && j < s->count;
             j++)
            if (s->item[j].kind == PART_NUMBER && s->item[j].axis >= 0 && s->item[j].force >= 0 &&
                root_of(s->w, s->item[i].number[0]) == root_of(s->w, s->item[j].number[0])) {
                s->item[i].same = j;
                s->item[j].same = i;
            }
}

static void build_object(struct builder *b, struct part *part)
{
    int first = b->items->count;
    part->kind = PART_OBJECT;
    for (const struct value *c = part->value->child; c && !b->failed; c = c->next) {
        if (strcmp(c->key, "solutions") == 0 && !part->parent) {
            /* Either solution is right: the chosen one stands for the unknowns. */
            const struct value *one = c->child;
            for (int k = 0; one && k < b->solution; k++)
                one = one->next;
            for (const struct value *m = one ? one->child : NULL; m && !b->failed; m = m->next) {
                struct part *inner = add_part(b, part, m->key, m);
                if (inner)
                    build(b, inner);
            }
            continue;
        }
        struct part *inner = add_part(b, part, c->key, c);
        if (inner)
            build(b, inner);
    }
    if (member(part->value, "components") && member(part->value, "magnitude"))
        build_force(b, part);
    if (member(part->value, "parts") && member(part->value, "force")) {
        part->kind = PART_UNKNOWN;
        match_parts(b, first);
    }
}

static void build(struct builder *b, struct part *part)
{
    const struct value *v = part->value;
    bool is_entry = part->parent && part->parent->kind == PART_LIST;
    if (!is_entry && part->key && is_unmarked(part->key))
        return;
    switch (v->kind) {
    case VALUE_OBJECT:
        if (part->key && strcmp(part->key, "direction") == 0)
            build_direction(b, part);
        else
            build_object(b, part);
        return;
    case VALUE_LIST:
        build_list(b, part);
        return;
    case VALUE_VECTOR:
        if (v->asked)
            build_vector(b, part);
        return;
    case VALUE_NUMBER:
        if (!v->asked)
            return;
        part->kind = PART_NUMBER;
        break;
    case VALUE_NULL:
        part->kind = PART_NOTHING;
        break;
    case VALUE_COUNT:
        part->kind = PART_COUNT;
        break;
    case VALUE_TEXT:
        if (strcmp(part->key, "state") != 0)
            return;
        part->kind = PART_STATE;
        break;
    case VALUE_PHRASE:
    case VALUE_BOOL:
    case VALUE_KIND_MAX_:
        return;
    }
    part->item = b->items->count;
    struct item *item = add_item(b, part, part->path);
    if (v->kind != VALUE_NUMBER || b->failed)
        return;
    item->number[0] = v->scalar;
    item->is_angle = q_node(b->items->w, v->scalar)->dimension.angle;
}

int items_solutions(const struct work *w)
{
    const struct value *list = w->answer ? member(w->answer, "solutions") : NULL;
    int count = 0;
    for (const struct value *c = list ? list->child : NULL; c; c = c->next)
        count++;
    return count;
}

bool items_init(struct items *items, struct work *w, int solution)
{
    struct builder b = {.items = items, .solution = solution};
    *items = (struct items){.w = w, .largest_force = -1.0};
    items->root = add_part(&b, NULL, NULL, w->answer);
    if (items->root)
        build(&b, items->root);
    return !b.failed;
}

/* ---- finding ---- */

static size_t letter_bytes(const char *c)
{
    size_t bytes = 1;
    while (((unsigned char)c[bytes] & 0xC0) == 0x80)
        bytes++;
    return bytes;
}

/* AB as BA, A1-B2 as B2-A1: the other name of a member. False where there is none. */
static bool other_name(const char *name, char other[64])
{
    size_t length = strlen(name), first;
    const char *hyphen = strchr(name, '-');
    if (length == 0 || length >= 64)
        return false;
    first = hyphen ? (size_t)(hyphen - name) : letter_bytes(name);
    size_t skip = hyphen ? 1 : 0;
    if (first + skip >= length || (!hyphen && first + letter_bytes(name + first) != length))
        return false;
    size_t second = length - first - skip;
    memcpy(other, name + first + skip, second);
    if (hyphen)
        other[second] = '-';
    memcpy(other + second + skip, name, first);
    other[length] = '\0';
    return true;
}

static struct part *entry_of(const struct part *list, const char *key)
{
    int low = 0, high = list->child_count;
    while (low < high) {
        int middle = (low + high) / 2, order = strcmp(list->sorted[middle]->key, key);
        if (order == 0)
            return list->sorted[middle];
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

struct part *part_child(const struct part *part, const char *key)
{
    if (part->kind == PART_LIST || part->kind == PART_NAMES) {
        char other[64];
        struct part *entry = entry_of(part, key);
        bool is_member =
            strcmp(part->key, "members") == 0 || strcmp(part->key, "zero_force_members") == 0;
        if (!entry && is_member && other_name(key, other))
            entry = entry_of(part, other);
        return entry;
    }
    for (struct part *c = part->child; c; c = c->next)
        if (strcmp(c->key, key) == 0)
            return c;
    return NULL;
}

struct part *part_at(const struct items *items, const char *path, int *ret_axis)
{
    struct part *part = items->root;
    *ret_axis = -1;
    while (part && *path == '/') {
        char name[256];
        size_t length = 0;
        for (path++; *path && *path != '/'; path++) {
            char c = *path;
            if (c == '~' && (path[1] == '0' || path[1] == '1'))
                c = *++path == '0' ? '~' : '/';
            if (length + 1 >= sizeof name)
                return NULL;
            name[length++] = c;
        }
        name[length] = '\0';
        if (part->kind == PART_VECTOR) {
            bool is_axis = length == 1 && name[0] >= '0' && name[0] < '0' + part->count;
            *ret_axis = name[0] - '0';
            return is_axis && *path == '\0' ? part : NULL;
        }
        if (part->kind == PART_DIRECTION && !part->child && strcmp(name, "angle") == 0)
            return *path == '\0' ? part : NULL;
        part = part_child(part, name);
    }
    return part;
}
