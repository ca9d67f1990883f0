/* check_write.c: marks and mistakes as a result. */
#include <string.h>

#include "base/limits.h"
#include "endpoints/check_parts.h"
#include "marking/follow.h"

const char *check_verdict_word(enum verdict v)
{
    static const char *const words[] = {
        [VERDICT_CORRECT] = "correct",
        [VERDICT_FOLLOWS] = "follows",
        [VERDICT_INCORRECT] = "incorrect",
        [VERDICT_MISSING] = "missing",
    };
    return words[v];
}

const char *check_path(const struct check *c, const struct marked *m, int sheet, const char *of)
{
    if (m->sheets < 2)
        return of;
    const char *path = arena_printf(c->w->arena, "/solutions/%d%s", sheet, of);
    return path ? path : of;
}

static const char *feedback_line(const struct check *c, enum slip slip)
{
    const struct slip_row *row = slip_row(slip);
    return c->rules.attempt > 1 ? row->method : row->question;
}

/* "F2: All but this force fit: … Or: …": what the whole class may be. */
static const char *feedback_of(const struct check *c, const struct mistake *m, bool is_one_of)
{
    struct arena *arena = c->w->arena;
    const char *name = m->is_same_at ? m->chance->name : NULL;
    const char *text =
        arena_printf(arena, "%s%s%s%s", is_one_of ? "It may be this: " : "", name ? name : "",
                     name ? ": " : "", feedback_line(c, m->code[0]));
    for (int k = 1; text && k < m->code_count; k++) {
        const char *more = feedback_line(c, m->code[k]);
        if (!strstr(text, more))
            text = arena_printf(arena, "%s Or: %s", text, more);
    }
    return text ? text : "";
}

static void put_mistake(const struct check *c, struct value *list, const struct marked *marked,
                        int which, const struct mistake *m)
{
    struct work *w = c->w;
    const struct sheet *sheet = &marked->sheet[which];
    struct value *one = result_object(w, list, NULL);
    result_text(w, one, "code", slip_row(m->code[0])->code);
    if (m->code_count > 1) {
        struct value *others = result_list(w, one, "alternatives");
        for (int k = 1; k < m->code_count; k++)
            result_text(w, others, NULL, slip_row(m->code[k])->code);
    }
    const char *pointer = m->is_same_at ? m->chance->pointer : NULL;
    if (pointer) {
        bool is_inside = strncmp(pointer, PROBLEM "/", sizeof PROBLEM) == 0;
        result_text(w, one, "at", pointer + (is_inside ? sizeof PROBLEM - 1 : 0));
    }
    if (m->is_same_at && m->chance->name)
        result_text(w, one, "symbol", m->chance->name);
    struct value *explains = result_list(w, one, "explains");
    for (int k = 0; k < m->explains_count; k++)
        result_text(w, explains, NULL,
                    check_path(c, marked, which,
                               c->solution[sheet->solution].items.item[m->explains[k]].of));
    result_text(w, one, "feedback", feedback_of(c, m, sheet->diagnosis.is_one_of));
}

static void put_marked(const struct check *c, struct value *to, const struct marked *m)
{
    struct work *w = c->w;
    int given = 0, maximum = 0;
    bool needs_a_person = false, all_right = true;
    for (int k = 0; k < m->sheets; k++) {
        given += m->sheet[k].given;
        maximum += m->sheet[k].count;
        needs_a_person = needs_a_person || m->sheet[k].diagnosis.is_near;
        for (int i = 0; i < m->sheet[k].count; i++)
            all_right = all_right && m->sheet[k].judged[i].verdict == VERDICT_CORRECT;
    }
    result_text(w, to, "verdict",
                all_right   ? "correct"
                : given > 0 ? "partly_correct"
                            : "incorrect");
    struct value *score = result_object(w, to, "score");
    result_count(w, score, "given", given);
    result_count(w, score, "maximum", maximum);
    struct value *items = result_list(w, to, "items");
    for (int k = 0; k < m->sheets; k++)
        for (int i = 0; i < m->sheet[k].count; i++) {
            const struct judged *j = &m->sheet[k].judged[i];
            struct value *one = result_object(w, items, NULL);
            result_text(w, one, "of", check_path(c, m, k, j->of));
            result_text(w, one, "verdict", check_verdict_word(j->verdict));
        }
    struct value *mistakes = result_list(w, to, "mistakes");
    for (int k = 0; k < m->sheets; k++)
        for (int i = 0; i < m->sheet[k].diagnosis.count; i++)
            put_mistake(c, mistakes, m, k, &m->sheet[k].diagnosis.mistake[i]);
    result_bool(w, to, "needs_a_person", needs_a_person);
}

/* Without `reveal` neither notes nor lines nor key of the solution leave. */
static void withhold(struct work *w)
{
    w->hides_solution = true;
    w->note_count = w->section_count = w->step_count = w->key_count = 0;
}

/* What was not done, since it would take too long. */
static void note_limits(const struct check *c)
{
    bool is_beyond = false, has_floor_only = false, has_unfollowed = false;
    for (int s = 0; s < c->solutions; s++) {
        const struct solution *one = &c->solution[s];
        is_beyond = is_beyond || (one->outcomes && one->outcomes->is_beyond);
        has_floor_only = has_floor_only || one->items.has_floor_only;
        has_unfollowed = has_unfollowed || one->items.has_unfollowed;
    }
    if (c->left_out)
        work_note(c->w, "not-fixed",
                  PLAIN("Some of what is asked is not fixed by statics: where nothing was handed "
                        "in for it, nothing is marked."));
    if (is_beyond)
        work_note(c->w, "mistakes-not-looked-for",
                  PLAIN("The problem is too large for its mistakes to be looked for: the numbers "
                        "are marked, and nothing is said of what went wrong."));
    if (has_floor_only)
        work_note(c->w, "allowance-is-floor",
                  PHRASE("Some numbers are marked without what rounding on the way may do to them: "
                         "those of a problem too large to be worked by hand, and those beyond the "
                         "first {} that are asked for. Their allowance is half a percent of the "
                         "forces there; a larger tolerance is yours to set.",
                         arg_count(LIMIT_KEY_ENTRIES)));
    if (has_unfollowed)
        work_note(c->w, "not-all-followed",
                  PHRASE("More than {} numbers were handed in by one student: what follows from a "
                         "wrong one was looked for among the first of them.",
                         arg_count(OWN_NUMBERS_MAX)));
}

void check_write(struct check *c)
{
    struct work *w = c->w;
    bool is_class = json_member(c->request, "answers") != NULL;
    w->answer = NULL;
    w->kind = "check";
    if (!c->rules.reveal)
        withhold(w);
    if (c->unnamed > 0)
        work_note(w, "mistake-not-named",
                  is_class ? PHRASE("No mistake of the list explains what is wrong in {} of the "
                                    "answers.",
                                    arg_count(c->unnamed))
                           : PLAIN("No mistake of the list explains what is wrong."));
    note_limits(c);
    w->is_class = is_class;
    if (is_class) {
        struct value *list = result_list(w, NULL, "answers");
        for (int i = 0; i < c->answers; i++)
            put_marked(c, result_object(w, list, NULL), &c->marked[i]);
    } else {
        put_marked(c, result_object(w, NULL, NULL), &c->marked[0]);
    }
}
