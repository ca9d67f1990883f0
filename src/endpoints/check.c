/* check.c: POST /v1/check: answers to a problem are marked, and the mistake is named. */
#include <string.h>

#include "base/limits.h"
#include "endpoints/check.h"
#include "endpoints/check_parts.h"
#include "endpoints/endpoint.h"
#include "endpoints/rows.h"
#include "marking/judge.h"

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
    return !sheet->answer.failed && check_find_asked(c, s, sheet);
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
        c->solution[s].outcomes = outcomes_new(&c->solution[s].items, c->solution[s].is_asked);
        if (!c->solution[s].outcomes)
            return false;
    }
    for (int i = 0; i < c->answers && !is_too_much(c); i++) {
        bool is_unnamed = false;
        for (int k = 0; k < c->marked[i].sheets; k++) {
            struct sheet *sheet = &c->marked[i].sheet[k];
            if (is_any_wrong(sheet) &&
                !diagnose(c->solution[sheet->solution].outcomes, &sheet->answer, sheet->judged,
                          sheet->count, &sheet->diagnosis))
                return false;
            is_unnamed = is_unnamed || sheet->diagnosis.is_unnamed;
        }
        c->unnamed += is_unnamed;
    }
    return true;
}

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

static enum problem_code no_memory(struct check *c)
{
    return problem_set(c->reterr, PROBLEM_OVERLOADED,
                       "There was not enough memory to mark the answers.");
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
    if (work_in_bounds(w, reterr) != PROBLEM_NONE) /* by how far an answer may stray */
        return PROBLEM_INVALID_REQUEST;
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
    check_write(c);
    if (w->is_class && !check_write_tally(c))
        return no_memory(c);
    return w->failed ? no_memory(c) : PROBLEM_NONE;
}
