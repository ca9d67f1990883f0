#include "work/work.h"

#include <string.h>

#include "work/grow.h"

#define FIRST_BYTES 4096   /* of a list */
#define FIRST_CAPACITY 128 /* entries at most, for lists of small ones */

/* Move a list to a wider room. */
static bool widen(struct work *w, void **list, uint32_t *capacity, uint32_t wider, uint32_t count,
                  size_t size)
{
    void *fresh = w->failed ? NULL : arena_room(w->arena, wider * size);
    if (!fresh) {
        w->failed = true;
        return false;
    }
    if (count)
        memcpy(fresh, *list, count * size);
    *list = fresh;
    *capacity = wider;
    return true;
}

bool work_grow(struct work *w, void **list, uint32_t *capacity, uint32_t count, size_t size)
{
    uint32_t first = (uint32_t)(FIRST_BYTES / size);
    uint32_t wider = *capacity ? 2 * *capacity : first < FIRST_CAPACITY ? first : FIRST_CAPACITY;
    return widen(w, list, capacity, wider, count, size);
}

void work_init(struct work *w, struct arena *arena, const struct field *field)
{
    *w = (struct work){.arena = arena, .field = field};
    /* Index 0 of each list is the null handle. */
    if (GROW(w, node, node_count, node_capacity))
        w->node[w->node_count++] = (struct node){0};
    if (GROW(w, vector, vector_count, vector_capacity))
        w->vector[w->vector_count++] = (struct vector){0};
}

void work_begin(struct work *w, struct units units, bool space)
{
    w->units = units;
    w->space = space;
}

void work_expect(struct work *w, uint32_t numbers, uint32_t names)
{
    uint32_t wanted = w->node_count + numbers;
    if (wanted > w->node_capacity)
        widen(w, (void **)&w->node, &w->node_capacity, wanted, w->node_count, sizeof *w->node);
    name_expect(w, names);
}

/* ---- prose ---- */

struct arg arg_value(q x) { return (struct arg){.kind = ARG_VALUE, .scalar = x}; }
struct arg arg_symbol(q x) { return (struct arg){.kind = ARG_SYMBOL, .scalar = x}; }
struct arg arg_vector(qv v) { return (struct arg){.kind = ARG_VECTOR, .vector = v}; }
struct arg arg_list(const struct symbol *symbol, int length)
{
    return (struct arg){.kind = ARG_LIST, .list = {symbol, length}};
}
struct arg arg_name(const char *name) { return (struct arg){.kind = ARG_NAME, .name = name}; }
const char *name_list(struct work *w, const char *list, const char *name, int left)
{
    const char *longer =
        list ? arena_printf(w->arena, left == 0 ? "%s and %s" : "%s, %s", list, name) : name;
    return longer ? longer : ""; /* without memory there is no answer */
}

struct arg arg_count(int n) { return (struct arg){.kind = ARG_COUNT, .count = n}; }

struct phrase phrase(const char *template, uint32_t count, const struct arg *args)
{
    struct phrase p = {.template = template};
    for (; p.count < count && p.count < sizeof p.arg / sizeof *p.arg; p.count++)
        p.arg[p.count] = args[p.count];
    return p;
}

/* ---- steps and notes ---- */

void work_section(struct work *w, struct phrase title, struct phrase why)
{
    if (!w->numbers_only && GROW(w, section, section_count, section_capacity))
        w->section[w->section_count++] =
            (struct section){.title = title, .why = why, .first = w->step_count};
}

/* A step belongs to the section opened last. */
static void add_step(struct work *w, struct step s)
{
    if (w->numbers_only)
        return;
    if (w->section_count == 0)
        work_section(w, PLAIN("Working"), (struct phrase){0});
    if (w->section_count == 0 || !GROW(w, step, step_count, step_capacity))
        return;
    w->step[w->step_count++] = s;
    w->section[w->section_count - 1].count++;
}

void work_define(struct work *w, q x)
{
    add_step(w, (struct step){.kind = STEP_DEFINE, .scalar = x});
}

void work_define_sum(struct work *w, q x, enum sum_label label, char axis, const char *about)
{
    add_step(
        w,
        (struct step){
            .kind = STEP_DEFINE, .scalar = x, .label = label, .label_axis = axis, .about = about});
}

void work_define_vector(struct work *w, qv v)
{
    add_step(w, (struct step){.kind = STEP_DEFINE_VECTOR, .vector = v});
}

void work_equation(struct work *w, enum sum_label label, char axis, const char *about, q left,
                   q right)
{
    add_step(w, (struct step){.kind = STEP_EQUATION,
                              .scalar = left,
                              .right = right,
                              .label = label,
                              .label_axis = axis,
                              .about = about});
}

void work_decide(struct work *w, struct phrase p)
{
    add_step(w, (struct step){.kind = STEP_DECIDE, .phrase = p});
}

void work_check(struct work *w, q residual, struct phrase p)
{
    add_step(w, (struct step){.kind = STEP_CHECK, .scalar = residual, .phrase = p});
}

void work_check_sum(struct work *w, q residual, enum sum_label label, char axis, const char *about,
                    struct phrase p)
{
    add_step(w, (struct step){.kind = STEP_CHECK,
                              .scalar = residual,
                              .label = label,
                              .label_axis = axis,
                              .about = about,
                              .phrase = p});
}

void work_move_steps(struct work *w, uint32_t from, uint32_t before)
{
    for (; from < w->step_count; from++, before++) {
        struct step moved = w->step[from];
        memmove(&w->step[before + 1], &w->step[before], (from - before) * sizeof *w->step);
        w->step[before] = moved;
    }
}

void work_say(struct work *w, struct phrase p)
{
    add_step(w, (struct step){.kind = STEP_SAY, .phrase = p});
}

void work_note(struct work *w, const char *code, struct phrase text)
{
    if (GROW(w, note, note_count, note_capacity))
        w->note[w->note_count++] = (struct note){.code = code, .text = text};
}

static void add_alternative(struct work *w, q of, q other, bool is_round)
{
    if (q_is_none(of) || q_is_none(other) || w->failed)
        return;
    w->node[of.i].has_ways = true;
    if (GROW(w, alternative, alternative_count, alternative_capacity))
        w->alternative[w->alternative_count++] =
            (struct alternative){.of = of, .other = other, .is_round = is_round};
}

void work_alternative(struct work *w, q of, q other) { add_alternative(w, of, other, false); }

void work_alternative_round(struct work *w, q of, q other) { add_alternative(w, of, other, true); }
