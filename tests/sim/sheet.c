#include "sim/sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "endpoints/endpoint.h"

#define DEGREE (3.14159265358979323846 / 180)

/* ---- opening ---- */

static const struct endpoint *endpoint_of(const char *kind)
{
    for (const struct endpoint *e = endpoints; e->path; e++)
        if (strcmp(e->kind, kind) == 0)
            return e;
    fprintf(stderr, "no kind %s\n", kind);
    exit(2);
}

/* Numbers that a question asks for: not what is said of them a second time. */
static bool is_asked(const struct part *part, bool by_polar)
{
    if (strcmp(part->key, "components") == 0)
        return !by_polar;
    if (strcmp(part->key, "magnitude") == 0 || strcmp(part->key, "direction") == 0)
        return by_polar;
    return (strcmp(part->key, "force") == 0 && strncmp(part->path, "/equivalent", 11) != 0) ||
           strcmp(part->key, "value") == 0 ||
           (strcmp(part->key, "couple") == 0 && strstr(part->path, "/equivalent")) ||
           strncmp(part->path, "/along/", 7) == 0;
}

static bool ask(struct sheet *s, const struct part *part, bool by_polar)
{
    int first = part->item, count = part->kind == PART_VECTOR ? part->count : 1;
    switch (part->kind) {
    case PART_NUMBER:
    case PART_DIRECTION:
    case PART_VECTOR:
        for (int i = first; is_asked(part, by_polar) && i < first + count; i++) {
            if (s->count == SHEET_ASKED_MAX)
                return false;
            s->asked[s->count++] = i;
        }
        return true;
    case PART_NOTHING:
        return !is_asked(part, by_polar);
    case PART_UNKNOWN: { /* by its parts */
        const struct part *parts = part_child(part, "parts");
        return ask(s, parts, by_polar);
    }
    case PART_OBJECT:
    case PART_FORCE:
    case PART_LIST:
        for (const struct part *c = part->child; c; c = c->next)
            if (strcmp(c->key, "wrench") != 0 && !ask(s, c, by_polar))
                return false;
        return true;
    case PART_UNMARKED:
    case PART_COUNT:
    case PART_STATE:
    case PART_NAMES:
    case PART_KIND_MAX_:
        break;
    }
    return true;
}

bool sheet_open(struct sheet *s, const char *problem, bool by_polar)
{
    const struct json *json;
    struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    static struct field *field;
    field = field ? field : field_new(41);
    memset(s, 0, sizeof *s);
    s->solved.arena = arena_new(LIMIT_ARENA_BYTES);
    problem_init(&s->solved.problem, s->solved.arena);
    if (json_read(s->solved.arena, problem, strlen(problem), &limits, &json, &s->solved.problem) !=
        PROBLEM_NONE)
        return false;
    struct work *w = &s->solved.work;
    work_init(w, s->solved.arena, field);
    w->keeps_slips = w->wants_key = w->key_is_later = true;
    const struct endpoint *e = endpoint_of(json_member(json, "kind")->text);
    if (e->run(w, json, &s->solved.problem) != PROBLEM_NONE || w->unlucky ||
        items_solutions(w) > 0 || !items_init(&s->items, w, 0) || !ask(s, s->items.root, by_polar))
        return false;
    s->value = arena_alloc(w->arena, w->node_count * sizeof *s->value);
    s->chance = w->chance;
    s->chances = w->chance_count;
    for (uint32_t i = 0; s->value && i < w->node_count; i++)
        s->value[i] = w->node[i].num.value;
    return s->value && s->count > 0;
}

void sheet_close(struct sheet *s) { solved_free(&s->solved); }

/* ---- numbers ---- */

double sheet_rounded(double x, int figures)
{
    if (x == 0 || !isfinite(x))
        return x;
    double step = pow(10, floor(log10(fabs(x))) - figures + 1);
    return round(x / step) * step;
}

double sheet_number(const struct sheet *s, int item, const double *value)
{
    return value[s->items.item[item].number[0].i];
}

bool sheet_is_right(const struct sheet *s, int item, const double *value)
{
    const struct item *i = &s->items.item[item];
    for (int k = 0; k < 3; k++) {
        double key = q_is_none(i->number[k]) ? 0 : q_value(&s->solved.work, i->number[k]);
        double x = q_is_none(i->number[k]) ? 0 : value[i->number[k].i];
        bool is_angle = i->kind == PART_DIRECTION || i->is_angle;
        double apart = is_angle ? remainder(x - key, 360) : x - key;
        if (!(fabs(apart) <= 1e-9 * (fabs(key) + 1)))
            return false;
    }
    return true;
}

/* ---- writing ---- */

struct pen {
    const struct sheet *s;
    const double *value, *own;
    int figures;
    char *at, *end;
};

#define PUT(p, ...) (p)->at += snprintf((p)->at, (size_t)((p)->end - (p)->at), __VA_ARGS__)

static bool is_on(const struct pen *p, int item)
{
    for (int k = 0; k < p->s->count; k++)
        if (p->s->asked[k] == item)
            return true;
    return false;
}

static bool is_any_on(const struct pen *p, const struct part *part)
{
    if (part->kind == PART_NUMBER || part->kind == PART_VECTOR || part->kind == PART_DIRECTION)
        return is_on(p, part->item);
    for (const struct part *c = part->child; c; c = c->next)
        if (is_any_on(p, c))
            return true;
    return false;
}

static double number_on(const struct pen *p, int item)
{
    bool has_own = p->own && !isnan(p->own[item]);
    return has_own ? p->own[item] : sheet_number(p->s, item, p->value);
}

static void put_number(struct pen *p, int item)
{
    double x = number_on(p, item);
    bool is_angle = p->s->items.item[item].is_angle;
    PUT(p, "%.12g", is_angle ? round(10 * x) / 10 : sheet_rounded(x, p->figures));
}

static void put_direction(struct pen *p, const struct part *part)
{
    const struct item *item = &p->s->items.item[part->item];
    if (q_is_none(item->number[1])) {
        PUT(p, "{\"angle\": %.12g}", round(10 * number_on(p, part->item)) / 10);
        return;
    }
    PUT(p, "{\"vector\": [");
    for (int k = 0; k < 3; k++)
        PUT(p, "%s%.12g", k ? ", " : "",
            sheet_rounded(cos(p->value[item->number[k].i] * DEGREE), 4));
    PUT(p, "]}");
}

static void put_part(struct pen *p, const struct part *part)
{
    bool is_first = true;
    switch (part->kind) {
    case PART_NUMBER:
        put_number(p, part->item);
        return;
    case PART_DIRECTION:
        put_direction(p, part);
        return;
    case PART_VECTOR:
        for (int k = 0; k < part->count; k++) {
            PUT(p, k ? ", " : "[");
            put_number(p, part->item + k);
        }
        PUT(p, "]");
        return;
    default:
        break;
    }
    bool is_list = part->kind == PART_LIST;
    PUT(p, is_list ? "[" : "{");
    if (part->parent && part->parent->kind == PART_LIST) {
        bool is_symbol = strcmp(part->parent->key, "parts") == 0;
        PUT(p, "\"%s\": \"%s\"", is_symbol ? "symbol" : "name", part->key);
        is_first = false;
    }
    for (const struct part *c = part->child; c; c = c->next) {
        if (!is_any_on(p, c))
            continue;
        PUT(p, "%s", is_first ? "" : ", ");
        if (!is_list)
            PUT(p, "\"%s\": ", c->key);
        put_part(p, c);
        is_first = false;
    }
    PUT(p, is_list ? "]" : "}");
}

void sheet_write(const struct sheet *s, const double *value, const double *own, int figures,
                 char *text, size_t capacity)
{
    struct pen p = {s, value, own, figures, text, text + capacity};
    put_part(&p, s->items.root);
}
