/* check.c: POST /v1/check: answers to a problem are marked, and the mistake is named. */
#include <string.h>

#include "base/limits.h"
#include "endpoints/check.h"
#include "endpoints/endpoint.h"
#include "endpoints/roster.h"
#include "endpoints/rows.h"
#include "marking/diagnose.h"

#define PROBLEM "/problem"
#define SOLUTIONS_MAX 2

/* Some solution of the key, as what it is marked by. */
struct solution {
    struct items items;
    struct diagnoser *diagnoser; /* of the items that any answer is asked for */
    bool *is_asked;
    int *scratch; /* as many as there are items */
};

/* One answer, or one of the two solutions that it gives. */
struct sheet {
    struct answer answer;
    const int *asked;
    int asked_count;
    struct judged *judged;
    int count;
    int solution; /* it was marked by */
    int given;    /* earned */
    struct diagnosis diagnosis;
};

struct marked {
    struct sheet sheet[SOLUTIONS_MAX];
    int sheets; /* 2 where both solutions were handed in */
};

struct check {
    struct work *w;
    const struct json *request;
    struct problem *reterr;
    struct marking rules;
    struct solution solution[SOLUTIONS_MAX];
    int solutions; /* at least 1 */
    struct marked *marked;
    int answers;
    int unnamed;
    int asked;     /* how often it was found out what is asked */
    bool left_out; /* something that is asked and that statics does not fix */
    long judged;   /* items */
};

/* ---- the request ---- */

static void read_rules(struct check *c)
{
    const struct json *marking = json_member(c->request, "marking");
    const struct json *tolerance = json_member(marking, "tolerance");
    const struct json *figures = json_member(marking, "significant_figures");
    const struct json *relative = json_member(tolerance, "relative");
    const struct json *angle = json_member(tolerance, "angle");
    const struct json *reveal = json_member(marking, "reveal");
    const struct json *attempt = json_member(marking, "attempt");
    double half_degree = 0.5 * (RADIANS_PER_DEGREE / unit_angle_radians(c->w->units.angle));
    c->rules = (struct marking){
        .figures = figures ? (int)figures->number : 3,
        .relative = relative ? relative->number : 0.01,
        .angle = angle ? angle->number : half_degree,
        .reveal = reveal && reveal->type == JSON_TRUE,
        .attempt = attempt ? (int)attempt->number : 1,
    };
}

static const struct endpoint *endpoint_of(const char *kind)
{
    for (const struct endpoint *e = endpoints; e->path; e++)
        if (strcmp(e->kind, kind) == 0 && strcmp(kind, "check") != 0)
            return e;
    return NULL;
}

/* Faults of the problem's meaning stand inside it. */
static void move_faults(struct problem *p)
{
    for (size_t i = 0; i < p->fault_count; i++)
        if (strncmp(p->faults[i].pointer, PROBLEM, sizeof PROBLEM - 1) != 0) {
            const char *pointer = arena_printf(p->arena, PROBLEM "%s", p->faults[i].pointer);
            p->faults[i].pointer = pointer ? pointer : PROBLEM;
        }
}

/* Work the problem out, with its wrong lines. */
static enum problem_code work_problem(struct check *c, const struct json *problem)
{
    struct work *w = c->w;
    const struct json *kind = json_member(problem, "kind");
    const struct endpoint *e = kind && kind->type == JSON_STRING ? endpoint_of(kind->text) : NULL;
    const struct json *reveal = json_member(json_member(c->request, "marking"), "reveal");
    if (!e)
        return problem_fault(c->reterr, PROBLEM "/kind", FAULT_OUT_OF_SCOPE,
                             "Answers to problems of this kind are not checked yet.");
    w->keeps_slips = true;
    w->wants_key = true;
    w->key_is_later = !(reveal && reveal->type == JSON_TRUE);
    enum problem_code code = e->run(w, problem, c->reterr);
    if (code == PROBLEM_INVALID_REQUEST)
        move_faults(c->reterr);
    return code;
}

/* ---- what is asked ---- */

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

static void check_asked(struct check *c, const struct json *asked)
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

/* What this answer is asked for, in the arena: the list of the request, or what it gives. */
static bool find_asked(struct check *c, struct solution *s, struct sheet *sheet)
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

/* ---- reading ---- */

static const struct json *problem_of(const struct check *c)
{
    return json_member(c->request, "problem");
}

/* How many solutions an answer gives. */
static int solutions_given(const struct check *c, const struct json *given)
{
    const struct json *list = json_member(given, "solutions");
    bool has_two = c->solutions == 2 && list && list->type == JSON_ARRAY && list->count == 2;
    return has_two ? 2 : 1;
}

static bool read_sheet(struct check *c, struct sheet *sheet, const struct json *given, int which,
                       int solution)
{
    struct solution *s = &c->solution[solution];
    sheet->solution = solution;
    answer_read(&s->items, problem_of(c), given, which, &sheet->answer);
    return !sheet->answer.failed && find_asked(c, s, sheet);
}

static bool judge_sheet(struct check *c, struct sheet *sheet)
{
    bool is_listed =
        json_member(c->request, "asked") && json_member(c->request, "asked")->count > 0;
    int extra = 0;
    for (const struct extra_item *e = sheet->answer.extra; e && !is_listed; e = e->next)
        extra++;
    sheet->judged = arena_alloc(c->w->arena, ((size_t)sheet->asked_count + (size_t)extra + 1) *
                                                 sizeof *sheet->judged);
    if (!sheet->judged)
        return false;
    judge(&c->solution[sheet->solution].items, &sheet->answer, &c->rules, sheet->asked,
          sheet->asked_count, sheet->judged);
    sheet->count = sheet->asked_count;
    for (const struct extra_item *e = sheet->answer.extra; e && !is_listed; e = e->next)
        sheet->judged[sheet->count++] =
            (struct judged){.item = -1, .of = e->of, .verdict = VERDICT_INCORRECT};
    sheet->given = 0;
    for (int i = 0; i < sheet->count; i++)
        sheet->given += sheet->judged[i].verdict == VERDICT_CORRECT ||
                        sheet->judged[i].verdict == VERDICT_FOLLOWS;
    c->judged += sheet->count;
    return true;
}

/* Read and judge one answer; of two solutions the order that earns more. */
static bool mark(struct check *c, const struct json *given, struct marked *ret)
{
    struct marked best = {.sheets = 0};
    int most = -1;
    for (int first = 0; first < c->solutions; first++) {
        struct marked m = {.sheets = solutions_given(c, given)};
        int earned = 0;
        for (int k = 0; k < m.sheets; k++) {
            struct sheet *sheet = &m.sheet[k];
            int solution = k == 0 ? first : c->solutions - 1 - first;
            if (!read_sheet(c, sheet, given, k, solution) || !judge_sheet(c, sheet))
                return false;
            earned += sheet->given;
        }
        if (earned > most) {
            best = m;
            most = earned;
        }
    }
    *ret = best;
    if (best.sheet[0].count + (best.sheets > 1 ? best.sheet[1].count : 0) > 0)
        return true;
    const char *pointer = json_pointer(c->w->arena, given);
    problem_fault(c->reterr, pointer ? pointer : "", FAULT_NOTHING_GIVEN,
                  "Nothing is asked and nothing is given: say in asked what the question asks, or "
                  "give an answer.");
    return true;
}

/* ---- diagnosing ---- */

static bool is_any_wrong(const struct sheet *sheet)
{
    for (int i = 0; i < sheet->count; i++)
        if (sheet->judged[i].verdict == VERDICT_INCORRECT)
            return true;
    return false;
}

/* A class takes as much as its answers one by one, and one request only so much. */
static bool is_too_much(const struct check *c)
{
    return c->answers > 1 && c->w->replayed > LIMIT_REPLAYED_NUMBERS;
}

/* The wrong answers of all, once for each solution of the key. */
static bool diagnose_all(struct check *c)
{
    bool is_needed[SOLUTIONS_MAX] = {false, false};
    for (int i = 0; i < c->answers; i++)
        for (int k = 0; k < c->marked[i].sheets; k++) {
            const struct sheet *sheet = &c->marked[i].sheet[k];
            if (!is_any_wrong(sheet))
                continue;
            is_needed[sheet->solution] = true;
            for (int n = 0; n < sheet->asked_count; n++)
                c->solution[sheet->solution].is_asked[sheet->asked[n]] = true;
        }
    for (int s = 0; s < c->solutions; s++) {
        if (!is_needed[s])
            continue;
        c->solution[s].diagnoser = diagnoser_new(&c->solution[s].items, c->solution[s].is_asked);
        if (!c->solution[s].diagnoser)
            return false;
    }
    for (int i = 0; i < c->answers && !is_too_much(c); i++) {
        bool is_unnamed = false;
        for (int k = 0; k < c->marked[i].sheets; k++) {
            struct sheet *sheet = &c->marked[i].sheet[k];
            if (is_any_wrong(sheet))
                diagnose(c->solution[sheet->solution].diagnoser, &sheet->answer, sheet->judged,
                         sheet->count, &sheet->diagnosis);
            is_unnamed = is_unnamed || sheet->diagnosis.is_unnamed;
        }
        c->unnamed += is_unnamed;
    }
    return true;
}

/* ---- writing ---- */

static const char *verdict_word(enum verdict v)
{
    static const char *const words[] = {
        [VERDICT_CORRECT] = "correct",
        [VERDICT_FOLLOWS] = "follows",
        [VERDICT_INCORRECT] = "incorrect",
        [VERDICT_MISSING] = "missing",
    };
    return words[v];
}

/* The path of an item; of two solutions handed in with the one it stands in. */
static const char *path_of(const struct check *c, const struct marked *m, int sheet, const char *of)
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
        result_text(
            w, explains, NULL,
            path_of(c, marked, which, c->solution[sheet->solution].items.item[m->explains[k]].of));
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
            result_text(w, one, "of", path_of(c, m, k, j->of));
            result_text(w, one, "verdict", verdict_word(j->verdict));
        }
    struct value *mistakes = result_list(w, to, "mistakes");
    for (int k = 0; k < m->sheets; k++)
        for (int i = 0; i < m->sheet[k].diagnosis.count; i++)
            put_mistake(c, mistakes, m, k, &m->sheet[k].diagnosis.mistake[i]);
    result_bool(w, to, "needs_a_person", needs_a_person);
}

/* ---- the tally ---- */

/* An entry for each path, found by its text. */
struct tally_item {
    const char *of;
    int count[VERDICT_MAX_];
};

static struct tally_item *tally_find(struct roster *roster, struct tally_item *list, int *count,
                                     const char *of)
{
    int at = roster_add(roster, of, *count);
    if (at == *count)
        list[(*count)++] = (struct tally_item){.of = of};
    return &list[at];
}

static void put_tally_mistakes(const struct check *c, struct value *tally)
{
    struct work *w = c->w;
    int count[SLIP_MAX_] = {0};
    struct value *list = result_list(w, tally, "mistakes");
    for (int i = 0; i < c->answers; i++)
        for (int k = 0; k < c->marked[i].sheets; k++)
            for (int n = 0; n < c->marked[i].sheet[k].diagnosis.count; n++)
                count[c->marked[i].sheet[k].diagnosis.mistake[n].code[0]]++;
    for (;;) { /* the most frequent first, then in the order of the catalogue */
        int most = 0;
        for (int s = 1; s < SLIP_MAX_; s++)
            if (count[s] > count[most])
                most = s;
        if (count[most] == 0)
            return;
        struct value *one = result_object(w, list, NULL);
        result_text(w, one, "code", slip_row((enum slip)most)->code);
        result_count(w, one, "count", count[most]);
        count[most] = 0;
    }
}

static bool put_tally(const struct check *c)
{
    struct work *w = c->w;
    size_t most = 0;
    for (int i = 0; i < c->answers; i++)
        for (int k = 0; k < c->marked[i].sheets; k++)
            most += (size_t)c->marked[i].sheet[k].count;
    struct roster roster;
    struct tally_item *list = arena_alloc(w->arena, (most + 1) * sizeof *list);
    int count = 0;
    if (!list || !roster_init(&roster, w->arena, most))
        return false;
    for (int i = 0; i < c->answers; i++)
        for (int k = 0; k < c->marked[i].sheets; k++)
            for (int n = 0; n < c->marked[i].sheet[k].count; n++) {
                const struct judged *j = &c->marked[i].sheet[k].judged[n];
                const char *of = path_of(c, &c->marked[i], k, j->of);
                tally_find(&roster, list, &count, of)->count[j->verdict]++;
            }
    struct value *tally = result_object(w, NULL, "tally");
    put_tally_mistakes(c, tally);
    struct value *items = result_list(w, tally, "items");
    for (int i = 0; i < count; i++) {
        struct value *one = result_object(w, items, NULL);
        result_text(w, one, "of", list[i].of);
        for (int v = 0; v < VERDICT_MAX_; v++)
            result_count(w, one, verdict_word((enum verdict)v), list[i].count[v]);
    }
    return true;
}

/* ---- together ---- */

static bool mark_all(struct check *c)
{
    const struct json *one = json_member(c->request, "answer");
    const struct json *given = json_member(c->request, "answers");
    given = one ? one : given ? given->child : NULL;
    c->answers = one ? 1 : (int)json_member(c->request, "answers")->count;
    c->marked = arena_alloc(c->w->arena, (size_t)c->answers * sizeof *c->marked);
    if (!c->marked)
        return false;
    for (int i = 0; i < c->answers && c->judged <= LIMIT_JUDGED_ITEMS && !is_too_much(c);
         i++, given = given->next)
        if (!mark(c, given, &c->marked[i]))
            return false;
    return true;
}

static bool prepare(struct check *c)
{
    c->solutions = items_solutions(c->w) == 2 ? 2 : 1;
    for (int s = 0; s < c->solutions; s++) {
        struct solution *one = &c->solution[s];
        if (!items_init(&one->items, c->w, s))
            return false;
        one->is_asked = arena_alloc(c->w->arena, (size_t)one->items.count + 1);
        one->scratch =
            arena_alloc(c->w->arena, ((size_t)one->items.count + 1) * sizeof *one->scratch);
        if (!one->is_asked || !one->scratch)
            return false;
    }
    return true;
}

/* Without `reveal` neither notes nor lines nor key of the solution leave. */
static void withhold(struct work *w)
{
    w->hides_solution = true;
    w->note_count = w->section_count = w->step_count = w->key_count = 0;
}

static enum problem_code no_memory(struct check *c)
{
    return problem_set(c->reterr, PROBLEM_OVERLOADED,
                       "There was not enough memory to mark the answers.");
}

/* What was not done, since it would take too long. */
static void note_limits(const struct check *c)
{
    bool is_beyond = false, has_floor_only = false, has_unfollowed = false;
    for (int s = 0; s < c->solutions; s++) {
        const struct solution *one = &c->solution[s];
        is_beyond = is_beyond || (one->diagnoser && diagnoser_is_beyond(one->diagnoser));
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

static enum problem_code write_result(struct check *c)
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
        if (!put_tally(c))
            return no_memory(c);
    } else {
        put_marked(c, result_object(w, NULL, NULL), &c->marked[0]);
    }
    return w->failed ? no_memory(c) : PROBLEM_NONE;
}

enum problem_code run_check(struct work *w, const struct json *request, struct problem *reterr)
{
    struct check *c = arena_alloc(w->arena, sizeof *c);
    if (!c)
        return problem_set(reterr, PROBLEM_OVERLOADED, "There is no memory for the request.");
    *c = (struct check){.w = w, .request = request, .reterr = reterr};
    enum problem_code code = work_problem(c, problem_of(c));
    if (code != PROBLEM_NONE || w->unlucky)
        return code;
    read_rules(c);
    if (!prepare(c))
        return no_memory(c);
    check_asked(c, json_member(request, "asked"));
    if (reterr->faults_found > 0)
        return PROBLEM_INVALID_REQUEST;
    if (!mark_all(c))
        return no_memory(c);
    if (c->judged > LIMIT_JUDGED_ITEMS)
        return problem_set(reterr, PROBLEM_WORK_LIMIT,
                           "More than %d numbers are to be marked in one request: send fewer "
                           "answers, or ask for less.",
                           LIMIT_JUDGED_ITEMS);
    if (reterr->faults_found > 0)
        return PROBLEM_INVALID_REQUEST;
    if (!is_too_much(c) && !diagnose_all(c))
        return no_memory(c);
    if (is_too_much(c))
        return problem_set(reterr, PROBLEM_WORK_LIMIT,
                           "To find out what went wrong in these %d answers takes more work than "
                           "one request may: send fewer of them at a time.",
                           c->answers);
    return write_result(c);
}
