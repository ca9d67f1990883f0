/* retrace.c: slips, and numbers of a student, replayed over what they reach, and nothing else. */
#include "work/slip.h"

#include <string.h>

/* A number before it was changed. */
struct was {
    uint32_t node;
    double value;
};

struct retrace {
    struct work *w;
    bool *is_live;             /* nodes that what is wanted, or edited, is worked from */
    uint32_t *first_use, *use; /* the nodes made of node i: use[first_use[i]] to first_use[i + 1] */
    double *value;             /* of all nodes */
    uint64_t *is_due;          /* nodes to be worked again */
    struct was *was;           /* in the order of changing */
    uint32_t changed;
    const struct slip_heading **heading; /* of a node, or NULL */
    struct slip_own *own;                /* numbers of a student, by node */
    uint32_t own_count, own_capacity;
    uint32_t *own_at;          /* of a node: the first of them, from 1; 0: none */
    double *computed, *before; /* what each would be; and without a slip */
};

/* Backward from what is wanted and edited. Where a slip ends again, what it is put back from is
 * worked in its turn, before the slip. */
static void find_live(struct retrace *r)
{
    const struct work *w = r->w;
    for (uint32_t e = 0; e < w->edit_count; e++)
        r->is_live[w->edit[e].right] = true;
    for (uint32_t c = 0; c < w->chance_count; c++) {
        const struct slip_chance *one = &w->chance[c];
        for (uint32_t e = one->first; e < one->first + one->count; e++)
            if (w->edit[e].wrong && w->edit[e].from != one->from)
                r->is_live[w->edit[e].wrong] = true;
    }
    for (uint32_t i = w->node_count; i-- > 1;) {
        uint32_t count;
        const uint32_t *operand = q_operands(w, (q){i}, &count);
        for (uint32_t k = 0; r->is_live[i] && k < count; k++)
            r->is_live[operand[k]] = true;
        if (r->is_live[i] && r->heading[i])
            r->is_live[r->heading[i]->x] = r->is_live[r->heading[i]->y] = true;
    }
}

/* Count the uses of each live node in others, or (where they are counted) list them. */
static void list_uses(struct retrace *r, uint32_t *at, bool is_counted)
{
    const struct work *w = r->w;
    for (uint32_t i = 1; i < w->node_count; i++) {
        uint32_t count, own[2];
        const uint32_t *operand = q_operands(w, (q){i}, &count);
        const struct slip_heading *h = r->heading[i];
        if (!r->is_live[i])
            continue;
        for (int part = 0; part < (h ? 2 : 1); part++) {
            if (part == 1) {
                own[0] = h->x;
                own[1] = h->y;
                operand = own;
                count = 2;
            }
            for (uint32_t k = 0; k < count; k++) {
                if (is_counted)
                    r->use[at[operand[k]]] = i;
                at[operand[k]]++;
            }
        }
    }
}

struct retrace *retrace_new(struct work *w, bool *is_wanted)
{
    struct arena *arena = w->arena;
    struct retrace *r = arena_alloc(arena, sizeof *r);
    uint32_t n = w->node_count, uses = 0;
    if (!r)
        return NULL;
    *r = (struct retrace){.w = w, .is_live = is_wanted};
    r->heading = arena_alloc(arena, n * sizeof(const struct slip_heading *));
    r->first_use = arena_alloc(arena, ((size_t)n + 1) * sizeof *r->first_use);
    r->value = arena_alloc(arena, n * sizeof *r->value);
    r->is_due = arena_alloc(arena, (n / 64 + 1) * sizeof *r->is_due);
    r->was = arena_alloc(arena, ((size_t)n + 2 * (size_t)w->edit_count) * sizeof *r->was);
    r->own_at = arena_alloc(arena, n * sizeof *r->own_at);
    uint32_t *at = arena_alloc(arena, n * sizeof *at);
    if (!r->heading || !r->first_use || !r->value || !r->is_due || !r->was || !r->own_at || !at)
        return NULL;
    for (uint32_t h = 0; h < w->heading_count; h++)
        r->heading[w->heading[h].angle] = &w->heading[h];
    find_live(r);
    list_uses(r, at, false);
    for (uint32_t i = 0; i < n; i++) {
        r->first_use[i] = uses;
        uses += at[i];
        at[i] = r->first_use[i];
        r->value[i] = w->node[i].num.value;
    }
    r->first_use[n] = uses;
    r->use = arena_alloc(arena, ((size_t)uses + 1) * sizeof *r->use);
    if (!r->use)
        return NULL;
    list_uses(r, at, true);
    return r;
}

/* A node's value; all that is made of it from node `from` on is due. */
static void change(struct retrace *r, uint32_t i, double value, uint32_t from)
{
    r->was[r->changed++] = (struct was){i, r->value[i]};
    r->value[i] = value;
    for (uint32_t k = r->first_use[i]; k < r->first_use[i + 1]; k++)
        if (r->use[k] >= from)
            r->is_due[r->use[k] / 64] |= (uint64_t)1 << (r->use[k] % 64);
}

/* The first node from i on that is due, or node_count. */
static uint32_t next_due(const struct retrace *r, uint32_t i)
{
    uint32_t words = r->w->node_count / 64 + 1, word = i / 64;
    if (i >= r->w->node_count)
        return r->w->node_count;
    uint64_t bits = r->is_due[word] >> (i % 64) << (i % 64);
    while (!bits && ++word < words)
        bits = r->is_due[word];
    return bits ? 64 * word + (uint32_t)__builtin_ctzll(bits) : r->w->node_count;
}

/* What a wrong line gives: the nodes it alone is made of are worked when they are asked for. They
 * are few. */
static double value_now(struct retrace *r, uint32_t i)
{
    uint32_t count;
    const uint32_t *operand = q_operands(r->w, (q){i}, &count);
    if (r->is_live[i] || count == 0)
        return r->value[i];
    for (uint32_t k = 0; k < count; k++)
        r->value[operand[k]] = value_now(r, operand[k]);
    const struct slip_heading *h = r->heading[i];
    if (h) {
        r->value[h->x] = value_now(r, h->x);
        r->value[h->y] = value_now(r, h->y);
    }
    return slip_value(r->w, i, h, r->value);
}

/* All edits of a chance from node i on. Returns the next one. */
static uint32_t make_edits(struct retrace *r, const struct slip_chance *c, uint32_t next,
                           uint32_t i)
{
    const struct slip_edit *e = &r->w->edit[c->first];
    double changed[SLIPS_AT_ONCE];
    for (uint32_t k = next; k < c->count && e[k].from == i; k++)
        if (e[k].wrong)
            r->value[e[k].wrong] = value_now(r, e[k].wrong);
    while (next < c->count && e[next].from == i) {
        uint32_t count = slip_changes(r->w, c, next, i, r->value, changed);
        for (uint32_t k = 0; k < count; k++)
            change(r, e[next++].right, changed[k], i);
    }
    return next;
}

static void undo(struct retrace *r)
{
    while (r->changed > 0) {
        const struct was *was = &r->was[--r->changed];
        r->value[was->node] = was->value;
    }
}

/* Of the same node the later one counts: what the earlier gives is taken for it. */
static bool is_same_node(const struct retrace *r, uint32_t k)
{
    return k + 1 < r->own_count && r->own[k + 1].node == r->own[k].node;
}

bool retrace_own(struct retrace *r, const struct slip_own *own, uint32_t count)
{
    undo(r);
    for (uint32_t k = 0; k < r->own_count; k++)
        r->own_at[r->own[k].node] = 0;
    r->own_count = 0;
    if (count > r->own_capacity) {
        r->own = arena_alloc(r->w->arena, count * sizeof *r->own);
        r->computed = arena_alloc(r->w->arena, count * sizeof *r->computed);
        r->before = arena_alloc(r->w->arena, count * sizeof *r->before);
        r->own_capacity = r->own && r->computed && r->before ? count : 0;
        if (r->own_capacity == 0)
            return false;
    }
    if (count)
        memcpy(r->own, own, count * sizeof *own);
    r->own_count = count;
    for (uint32_t k = count; k-- > 0;)
        r->own_at[own[k].node] = k + 1;
    slip_replay(r->w, &(struct replay){.own = own, .own_count = count, .computed = r->before},
                r->value);
    return true;
}

const double *retrace_computed(const struct retrace *r) { return r->computed; }

/* Work all that is due, and make the edits on the way. */
static const double *work_due(struct retrace *r, const struct slip_chance *a,
                              const struct slip_chance *b)
{
    const struct slip_chance *chance[2] = {a, b};
    uint32_t next[2] = {0, 0}, end = r->w->node_count;
    for (uint32_t i = 0;;) {
        i = next_due(r, i);
        for (int k = 0; k < 2; k++)
            if (chance[k] && next[k] < chance[k]->count &&
                r->w->edit[chance[k]->first + next[k]].from < i)
                i = r->w->edit[chance[k]->first + next[k]].from;
        for (int k = 0; k < 2; k++)
            if (chance[k])
                next[k] = make_edits(r, chance[k], next[k], i);
        if (i >= end) {
            r->w->replayed += r->changed;
            return r->value;
        }
        uint64_t bit = (uint64_t)1 << (i % 64);
        if (!(r->is_due[i / 64] & bit))
            continue; /* an edit brought us here */
        r->is_due[i / 64] &= ~bit;
        double value = slip_value(r->w, i, r->heading[i], r->value);
        if (r->own_at[i])
            r->computed[r->own_at[i] - 1] = value;
        else if (value != r->value[i])
            change(r, i, value, i + 1);
        i++;
    }
}

static void begin(struct retrace *r)
{
    undo(r);
    if (r->own_count)
        memcpy(r->computed, r->before, r->own_count * sizeof *r->computed);
}

const double *retrace(struct retrace *r, const struct slip_chance *a, const struct slip_chance *b)
{
    begin(r);
    return work_due(r, a, b);
}

const double *retrace_moved(struct retrace *r, uint32_t k, double value)
{
    uint32_t node = r->own[k].node;
    begin(r);
    if (is_same_node(r, k))
        r->computed[k + 1] = value;
    else
        change(r, node, value, node + 1);
    return work_due(r, NULL, NULL);
}
