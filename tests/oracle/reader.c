#include "oracle/reader.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "json/json.h"

#define PI 3.14159265358979323846
#define LEAVES_MAX 400 /* numbers and symbols in one part of a line */

static bool fault(struct reading *r, const char *format, ...) __attribute__((format(printf, 2, 3)));
static bool fault(struct reading *r, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(r->fault, sizeof r->fault, format, arguments);
    va_end(arguments);
    return false;
}

/* ---- symbols ---- */

struct printed { /* what a line has printed for a symbol */
    bool is_there;
    double value, half; /* half a unit of the last figure; 0: exact as typed */
};

struct known {
    char print[72];
    bool is_vector;
    uint32_t index; /* of the node or vector */
    struct printed printed[3];
};

struct reader {
    struct work *w;
    const struct render_options *options;
    struct reading *r;
    struct known *known;
    uint32_t count;
    const char *line; /* being read, for messages */
    bool unit_vectors_primed;
};

static void print_symbol(const struct symbol *s, bool is_vector, char *text, size_t capacity)
{
    char axis[2] = {s->axis, 0};
    snprintf(text, capacity, "%s%s%s%s%s%.*s", is_vector ? "→" : "", s->base,
             s->sub || s->axis ? "_" : "", s->sub ? s->sub : "", axis, s->primed, "''''''");
}

static struct known *find_known(struct reader *k, const char *print, size_t length)
{
    for (uint32_t i = 0; i < k->count; i++)
        if (strlen(k->known[i].print) == length && memcmp(k->known[i].print, print, length) == 0)
            return &k->known[i];
    return NULL;
}

static bool learn_symbols(struct reader *k)
{
    struct work *w = k->w;
    k->known = calloc(w->node_count + w->vector_count + 1, sizeof *k->known);
    if (!k->known)
        return fault(k->r, "no memory");
    for (uint32_t i = 1; i < w->node_count + w->vector_count; i++) {
        bool is_vector = i >= w->node_count;
        uint32_t index = is_vector ? i - w->node_count : i;
        const struct symbol *s = is_vector ? &w->vector[index].symbol : &w->node[index].symbol;
        if (!s->base)
            continue;
        struct known entry = {.is_vector = is_vector, .index = index};
        print_symbol(s, is_vector, entry.print, sizeof entry.print);
        struct known *same = find_known(k, entry.print, strlen(entry.print));
        if (same && !is_vector && w->node[index].op == OP_UNKNOWN &&
            w->node[index].operand[0] == same->index)
            continue; /* the same number: as the solver found it */
        if (same &&
            (!is_vector || memcmp(w->vector[same->index].component, w->vector[index].component,
                                  sizeof w->vector[index].component) != 0))
            return fault(k->r, "two different quantities print as %s", entry.print);
        if (strcmp(entry.print, "i") == 0 || strcmp(entry.print, "j") == 0 ||
            strcmp(entry.print, "k") == 0)
            k->unit_vectors_primed = true;
        k->known[k->count++] = entry;
    }
    return true;
}

/* ---- units: a table of its own ---- */

static void print_unit(const struct dimension *d, const struct units *units, char *text)
{
    static const char *const force[] = {"N", "kN", "MN", "lb", "kip", "kgf"};
    static const char *const length[] = {"mm", "cm", "m", "km", "in", "ft"};
    static const char *const mass[] = {"g", "kg", "Mg", "slug"};
    static const char *const acceleration[] = {"m/s²", "ft/s²"};
    const char *name[4] = {force[units->force], mass[units->mass], length[units->length],
                           acceleration[units->acceleration]};
    int exponent[4] = {d->force, d->mass, d->length, d->acceleration};
    char *at = text;
    *at = '\0';
    for (int sign = 1; sign >= -1; sign -= 2) {
        bool is_first = true;
        for (int i = 0; i < 4; i++) {
            if (exponent[i] * sign <= 0)
                continue;
            at += sprintf(at, "%s%s%s",
                          sign < 0   ? "/"
                          : is_first ? ""
                                     : "·",
                          name[i],
                          abs(exponent[i]) == 2   ? "²"
                          : abs(exponent[i]) == 3 ? "³"
                                                  : "");
            is_first = false;
        }
    }
}

/* How much of the coherent unit it is. */
static double unit_size(const struct dimension *d, const struct units *units)
{
    static const double force[] = {1, 1e3, 1e6, 4.4482216152605, 4448.2216152605, 9.80665};
    static const double length[] = {1e-3, 1e-2, 1, 1e3, 0.0254, 0.3048};
    static const double mass[] = {1e-3, 1, 1e3, 4.4482216152605 / 0.3048};
    static const double acceleration[] = {1, 0.3048};
    return pow(force[units->force], d->force) * pow(length[units->length], d->length) *
           pow(mass[units->mass], d->mass) *
           pow(acceleration[units->acceleration], d->acceleration);
}

/* ---- the evaluator ---- */

enum numbers { NUMBERS_EXACT, NUMBERS_PRINTED };

struct number { /* scalar: c[0] */
    bool is_vector;
    double c[3];
};

#define NO_LEAF (-1)
#define ALL_LEAVES (-2)

struct leaf {
    double half[3];
    double rises[3]; /* 1 or −1: which way it carries the value up */
};

struct parse {
    struct reader *k;
    const char *at, *end;
    enum numbers numbers;
    bool typed_is_exact; /* a number of three figures that was typed somewhere is taken as typed */
    int target, axis;    /* the leaf that is moved by `by` times its half unit */
    double by;
    int leaf_count;
    struct leaf *leaf; /* where not NULL: filled */
    bool has_symbols, failed;
    double largest; /* term of a sum met */
    double blur;    /* what a double leaves open where an arccosine is steep */
    char why[160];
};

static struct number scalar(double x) { return (struct number){false, {x, 0, 0}}; }

static struct number parse_fault(struct parse *p, const char *why)
{
    if (!p->failed)
        snprintf(p->why, sizeof p->why, "%s at \"%.40s\"", why, p->at);
    p->failed = true;
    p->at = p->end;
    return scalar((double)NAN);
}

static bool starts(const struct parse *p, const char *word)
{
    size_t n = strlen(word);
    return (size_t)(p->end - p->at) >= n && memcmp(p->at, word, n) == 0;
}

static bool accept(struct parse *p, const char *word)
{
    if (!starts(p, word))
        return false;
    p->at += strlen(word);
    return true;
}

/* A number or symbol with its leeway: moved where it is the target. */
static struct number leaf(struct parse *p, struct number x, const double half[3])
{
    int index = p->leaf_count++;
    if (p->leaf && p->target == NO_LEAF && index < LEAVES_MAX)
        memcpy(p->leaf[index].half, half, sizeof p->leaf[index].half);
    if (index == p->target)
        x.c[p->axis] += p->by * half[p->axis];
    for (int axis = 0; p->target == ALL_LEAVES && axis < 3; axis++)
        x.c[axis] += p->by * p->leaf[index].rises[axis] * half[axis];
    return x;
}

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

static bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

/* Superscript digits with an optional superscript minus. */
static bool accept_superscript(struct parse *p, int *ret)
{
    static const char *const digit[] = {"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
    bool is_negative = accept(p, "⁻"), found = false;
    *ret = 0;
    for (bool more = true; more;) {
        more = false;
        for (int i = 0; i < 10 && !more; i++)
            if (accept(p, digit[i])) {
                *ret = *ret * 10 + i;
                found = more = true;
            }
    }
    if (is_negative)
        *ret = -*ret;
    return found;
}

static bool is_typed_text(const struct work *w, const char *text, size_t length)
{
    for (uint32_t i = 1; i < w->node_count; i++) {
        const struct node *n = &w->node[i];
        if ((n->op != OP_GIVEN && n->op != OP_CONSTANT) || !n->text)
            continue;
        for (const char *t = n->text; *t; t++) {
            bool begins = t == n->text || !(is_digit(t[-1]) || t[-1] == '.');
            if (begins && strncmp(t, text, length) == 0 && !is_digit(t[length]) && t[length] != '.')
                return true;
        }
    }
    return false;
}

/* "217.5", "1.23·10⁻⁴", "2π", "30°", "0.5 rad". */
static struct number number(struct parse *p)
{
    const char *start = p->at;
    double half = 1, value = 0;
    int figures = 0;
    bool in_fraction = false, is_leading = true;
    for (; p->at < p->end && (is_digit(*p->at) || *p->at == '.'); p->at++) {
        if (*p->at == '.') {
            in_fraction = true;
            continue;
        }
        is_leading = is_leading && *p->at == '0';
        figures += !is_leading;
        half /= in_fraction ? 10 : 1;
    }
    value = strtod(start, NULL);
    size_t length = (size_t)(p->at - start);
    int exponent = 0;
    if (accept(p, "·10")) {
        if (!accept_superscript(p, &exponent))
            return parse_fault(p, "no exponent");
        value *= pow(10, exponent);
    }
    /* 1180 to three figures: its last digit only holds the place. */
    int shown = p->k->options->figures + (p->k->options->one_more_after_one && *start == '1');
    if (!in_fraction && figures > shown)
        half *= pow(10, figures - shown);
    half *= 0.5 * pow(10, exponent);
    /* What is rounded for display has the figures asked for, an angle its decimal. */
    bool is_angle = starts(p, "°");
    bool may_be_rounded = is_angle ? in_fraction : figures >= p->k->options->figures;
    if (!may_be_rounded || (p->typed_is_exact && is_typed_text(p->k->w, start, length)))
        half = 0;
    double factor = 1;
    if (accept(p, "π"))
        factor = PI;
    if (accept(p, "°"))
        factor *= p->k->w->units.angle == UNIT_RAD ? PI / 180 : 1;
    else if (starts(p, " rad")) {
        p->at += 4;
        factor *= p->k->w->units.angle == UNIT_DEG ? 180 / PI : 1;
    }
    return leaf(p, scalar(value * factor), (double[3]){half * factor, 0, 0});
}

/* Where the name at `at` ends: letters of any script, digits, _ , ' and commas within. */
static const char *name_end(const struct parse *p)
{
    static const char *const ends[] = {"−", "·", "×", "√", "°", "π", "²",
                                       "³", "⁻", "¹", "⁺", "→", "↑", "↺"};
    const char *c = p->at;
    while (c < p->end) {
        unsigned char byte = (unsigned char)*c;
        if (byte < 0x80) {
            bool is_part = is_digit(*c) || *c == '_' || *c == '\'' || is_letter(*c) ||
                           (*c == ',' && c > p->at && c + 1 < p->end && c[1] != ' ');
            if (!is_part)
                break;
            c++;
            continue;
        }
        bool is_end = false;
        for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
            is_end |= strncmp(c, ends[i], strlen(ends[i])) == 0;
        if (is_end)
            break;
        do
            c++;
        while (c < p->end && ((unsigned char)*c & 0xC0) == 0x80);
    }
    return c;
}

static double exact_of(const struct work *w, uint32_t node) { return w->node[node].num.value; }

static struct number symbol(struct parse *p)
{
    const char *start = p->at;
    bool is_vector = accept(p, "→");
    const char *end = name_end(p);
    size_t length = (size_t)(end - start);
    p->at = end;
    const char *prime = p->k->unit_vectors_primed ? "'" : "";
    for (int axis = 0; axis < 3; axis++) {
        char name[3] = {"ijk"[axis], *prime, 0};
        if (strlen(name) == length && memcmp(name, start, length) == 0) {
            struct number unit = {true, {0, 0, 0}};
            unit.c[axis] = 1;
            return unit;
        }
    }
    struct known *known = find_known(p->k, start, length);
    if (!known) {
        p->at = start;
        return parse_fault(p, "no number has this symbol");
    }
    p->has_symbols = true;
    const struct work *w = p->k->w;
    struct number x = {is_vector, {0, 0, 0}};
    double half[3] = {0, 0, 0};
    for (int axis = 0; axis < (is_vector ? 3 : 1); axis++) {
        uint32_t node = is_vector ? w->vector[known->index].component[axis].i : known->index;
        if (node == 0)
            continue;
        const struct printed *printed = &known->printed[axis];
        if (is_vector && !printed->is_there) { /* its components may have stood on their own */
            char print[72];
            print_symbol(&w->node[node].symbol, false, print, sizeof print);
            struct known *part =
                w->node[node].symbol.base ? find_known(p->k, print, strlen(print)) : NULL;
            printed = part ? &part->printed[0] : printed;
        }
        x.c[axis] = exact_of(w, node);
        bool is_typed = w->node[node].op == OP_GIVEN || w->node[node].op == OP_CONSTANT;
        if (p->numbers == NUMBERS_EXACT || is_typed)
            continue;
        if (!printed->is_there) {
            p->at = start;
            return parse_fault(p, "used before any line printed it");
        }
        x.c[axis] = printed->value;
        half[axis] = printed->half;
    }
    return leaf(p, x, half);
}

static struct number sum(struct parse *p);

static struct number in_brackets(struct parse *p, const char *close)
{
    struct number x = sum(p);
    if (!accept(p, close))
        return parse_fault(p, "a bracket is not closed");
    return x;
}

static struct number atom(struct parse *p)
{
    if (p->at >= p->end)
        return parse_fault(p, "something is missing");
    if (accept(p, "("))
        return in_brackets(p, ")");
    if (accept(p, "{"))
        return in_brackets(p, "}");
    if (accept(p, "|")) {
        struct number x = in_brackets(p, "|");
        return scalar(x.is_vector ? sqrt(x.c[0] * x.c[0] + x.c[1] * x.c[1] + x.c[2] * x.c[2])
                                  : fabs(x.c[0]));
    }
    if (accept(p, "π"))
        return scalar(PI);
    if (is_digit(*p->at))
        return number(p);
    return symbol(p);
}

static double square(double x) { return x * x; }

static struct number power(struct parse *p)
{
    struct number x = atom(p);
    if (accept(p, "²"))
        return x.is_vector ? parse_fault(p, "the square of a vector") : scalar(square(x.c[0]));
    return x;
}

/* Cosine and sine, exact at the quadrants in degrees. */
static void circle(const struct parse *p, double angle, double *cosine, double *sine)
{
    int quarters = 0;
    bool is_degrees = p->k->w->units.angle == UNIT_DEG;
    double rest = is_degrees ? remquo(angle, 90, &quarters) * (PI / 180) : angle;
    double c = cos(rest), s = sin(rest);
    double around[4] = {c, -s, -c, s};
    *cosine = around[quarters & 3];
    *sine = around[(quarters + 3) & 3];
}

static struct number prefix(struct parse *p)
{
    static const struct {
        const char *name;
        enum op op;
        bool is_squared;
    } functions[] = {{"sin⁻¹", OP_ASIN, false}, {"cos⁻¹", OP_ACOS, false},
                     {"tan⁻¹", OP_ATAN, false}, {"sin²", OP_SIN, true},
                     {"cos²", OP_COS, true},    {"tan²", OP_TAN, true},
                     {"sin", OP_SIN, false},    {"cos", OP_COS, false},
                     {"tan", OP_TAN, false},    {"√", OP_SQRT, false}};
    for (size_t i = 0; i < sizeof functions / sizeof *functions; i++) {
        size_t length = strlen(functions[i].name);
        if (!starts(p, functions[i].name))
            continue;
        char next = p->at + length < p->end ? p->at[length] : '\0';
        bool is_function = functions[i].op == OP_SQRT || next == ' ' || next == '(';
        if (!is_function)
            continue;
        p->at += length;
        accept(p, " ");
        struct number x = functions[i].op == OP_SQRT ? power(p) : atom(p);
        if (x.is_vector)
            return parse_fault(p, "a function of a vector");
        double turn = p->k->w->units.angle == UNIT_RAD ? 1 : PI / 180, a = x.c[0];
        double ratio = fmax(-1, fmin(1, a)), y = 0, cosine, sine;
        if (functions[i].op == OP_ACOS || functions[i].op == OP_ASIN)
            p->blur = fmax(p->blur, 1e-15 / sqrt(fmax(1 - ratio * ratio, 1e-16)) / turn);
        circle(p, a, &cosine, &sine);
        if (functions[i].op == OP_SIN)
            y = sine;
        else if (functions[i].op == OP_COS)
            y = cosine;
        else if (functions[i].op == OP_TAN)
            y = sine / cosine;
        else if (functions[i].op == OP_ASIN)
            y = asin(ratio) / turn;
        else if (functions[i].op == OP_ACOS)
            y = acos(ratio) / turn;
        else if (functions[i].op == OP_ATAN)
            y = atan(a) / turn;
        else
            y = sqrt(fmax(0, a));
        return scalar(functions[i].is_squared ? y * y : y);
    }
    return power(p);
}

static struct number times(struct parse *p, struct number a, struct number b)
{
    if (a.is_vector && b.is_vector)
        return parse_fault(p, "a vector beside a vector");
    if (!a.is_vector && !b.is_vector)
        return scalar(a.c[0] * b.c[0]);
    double factor = a.is_vector ? b.c[0] : a.c[0];
    struct number v = a.is_vector ? a : b;
    for (int axis = 0; axis < 3; axis++)
        v.c[axis] *= factor;
    return v;
}

/* Does a factor follow without a sign: "F cos θ", "4(−6.00)", "2 i". */
static bool follows_factor(const struct parse *p)
{
    if (starts(p, "("))
        return true;
    if (!starts(p, " ") || p->at + 1 >= p->end)
        return false;
    const char *next = p->at + 1;
    return !(*next == '+' || *next == '=' || *next == ')' || *next == '}' || *next == '|' ||
             strncmp(next, "−", 3) == 0 || strncmp(next, "·", 2) == 0 ||
             strncmp(next, "×", 2) == 0);
}

static struct number product(struct parse *p)
{
    struct number x = prefix(p);
    while (!p->failed) {
        if (accept(p, " · ")) {
            struct number y = prefix(p);
            for (int axis = 0; x.is_vector && axis < 3; axis++)
                p->largest = fmax(p->largest, fabs(x.c[axis] * y.c[axis]));
            if (x.is_vector && y.is_vector)
                x = scalar(x.c[0] * y.c[0] + x.c[1] * y.c[1] + x.c[2] * y.c[2]);
            else
                x = times(p, x, y);
        } else if (accept(p, " × ")) {
            struct number y = prefix(p);
            if (!x.is_vector || !y.is_vector)
                return parse_fault(p, "a cross product of numbers");
            for (int axis = 0; axis < 9; axis++)
                p->largest = fmax(p->largest, fabs(x.c[axis % 3] * y.c[axis / 3]));
            x = (struct number){true,
                                {x.c[1] * y.c[2] - x.c[2] * y.c[1],
                                 x.c[2] * y.c[0] - x.c[0] * y.c[2],
                                 x.c[0] * y.c[1] - x.c[1] * y.c[0]}};
        } else if (follows_factor(p)) {
            accept(p, " ");
            x = times(p, x, prefix(p));
        } else {
            break;
        }
    }
    return x;
}

static struct number term(struct parse *p)
{
    struct number x = product(p);
    if (!accept(p, "/"))
        return x;
    struct number y = prefix(p);
    if (y.is_vector)
        return parse_fault(p, "division by a vector");
    /* "12/13 i": a component may be a quotient in front of its unit vector */
    x = times(p, x, scalar(1 / y.c[0]));
    return x;
}

static struct number sum(struct parse *p)
{
    double sign = accept(p, "−") ? -1 : 1;
    struct number x = times(p, scalar(sign), term(p));
    for (int axis = 0; axis < 3; axis++)
        p->largest = fmax(p->largest, fabs(x.c[axis]));
    while (!p->failed && (starts(p, " + ") || starts(p, " − "))) {
        sign = accept(p, " + ") ? 1 : (accept(p, " − "), -1);
        struct number y = term(p);
        if (x.is_vector != y.is_vector && (x.is_vector ? y : x).c[0] == 0)
            x.is_vector = y.is_vector = true; /* the zero vector prints as 0 */
        if (x.is_vector != y.is_vector)
            return parse_fault(p, "a vector and a number added");
        for (int axis = 0; axis < 3; axis++) {
            x.c[axis] += sign * y.c[axis];
            p->largest = fmax(p->largest, fabs(y.c[axis]));
        }
    }
    return x;
}

/* One part of a line, start to end. */
static struct number evaluate(struct parse *p, const char *start, const char *end)
{
    p->at = start;
    p->end = end;
    p->leaf_count = 0;
    p->has_symbols = p->failed = false;
    p->largest = p->blur = 0;
    struct number x = sum(p);
    if (!p->failed && p->at != end)
        return parse_fault(p, "not understood");
    return x;
}

/* The value of a part, and how far the rounding of its leaves can carry it. */
static bool evaluate_within(struct parse *p, const char *start, const char *end, struct number *ret,
                            double ret_leeway[3])
{
    static struct leaf leaves[LEAVES_MAX];
    p->target = NO_LEAF;
    p->leaf = leaves;
    *ret = evaluate(p, start, end);
    int count = p->leaf_count;
    memset(ret_leeway, 0, 3 * sizeof *ret_leeway);
    if (p->failed)
        return false;
    if (count > LEAVES_MAX)
        return parse_fault(p, "too long a line"), false;
    for (p->target = 0; p->target < count; p->target++) {
        for (p->axis = 0; p->axis < 3; p->axis++) {
            if (leaves[p->target].half[p->axis] == 0)
                continue;
            double worst[3] = {0, 0, 0};
            for (p->by = -1; p->by <= 1; p->by += 2) {
                struct number moved = evaluate(p, start, end);
                for (int axis = 0; axis < 3; axis++)
                    worst[axis] = fmax(worst[axis], fabs(moved.c[axis] - ret->c[axis]));
                leaves[p->target].rises[p->axis] = moved.c[0] > ret->c[0] ? p->by : -p->by;
            }
            for (int axis = 0; axis < 3; axis++)
                ret_leeway[axis] += worst[axis];
        }
    }
    p->target = ALL_LEAVES; /* more than one by one, where an arccosine is steep */
    for (p->by = -1; !ret->is_vector && p->by <= 1; p->by += 2)
        ret_leeway[0] = fmax(ret_leeway[0], fabs(evaluate(p, start, end).c[0] - ret->c[0]));
    p->target = NO_LEAF;
    p->leaf = NULL;
    return true;
}

/* ---- lines ---- */

struct result { /* what a line is about */
    bool is_vector;
    uint32_t node[3]; /* scalar: [0] */
    struct dimension dimension;
};

/* "26.0 kN", "{1 i − 2 j} kN": the last part. The numbers printed, with half their last unit. */
static bool read_value(struct reader *k, const struct result *result, const char *start,
                       const char *end, struct printed printed[3])
{
    char unit[64];
    const struct node *n = &k->w->node[result->node[0]   ? result->node[0]
                                       : result->node[1] ? result->node[1]
                                                         : result->node[2]];
    print_unit(&result->dimension, n->unit ? &n->unit->base : &k->w->units, unit);
    size_t length = strlen(unit);
    if (length > 0) {
        if ((size_t)(end - start) < length + 2 || memcmp(end - length, unit, length) != 0 ||
            end[-(long)length - 1] != ' ')
            return fault(k->r, "the value should be in %s: %s", unit, k->line);
        end -= length + 1;
    }
    struct leaf leaves[LEAVES_MAX];
    struct parse p = {.k = k, .target = NO_LEAF, .leaf = leaves, .typed_is_exact = false};
    struct number x = evaluate(&p, start, end);
    if (p.failed || p.has_symbols || x.is_vector != result->is_vector) {
        if (!(result->is_vector && !x.is_vector && x.c[0] == 0)) /* {0} */
            return fault(k->r, "the last part is no value (%s): %s", p.why, k->line);
    }
    int axis = 0;
    for (int i = 0; i < p.leaf_count && i < 3; i++) {
        while (result->is_vector && axis < 2 && x.c[axis] == 0)
            axis++;
        printed[axis] = (struct printed){true, 0, leaves[i].half[0]};
        axis++;
    }
    for (axis = 0; axis < 3; axis++) {
        printed[axis].is_there = axis == 0 || result->is_vector;
        printed[axis].value = x.c[axis];
    }
    return true;
}

/* Is the printed value the exact one, rounded? */
static bool check_printed(struct reader *k, const struct result *result,
                          const struct printed printed[3])
{
    for (int axis = 0; axis < (result->is_vector ? 3 : 1); axis++) {
        if (result->node[axis] == 0)
            continue;
        double exact = exact_of(k->w, result->node[axis]);
        double leeway = printed[axis].half * (1 + 1e-9) + 1e-12 * fabs(exact);
        if (!(fabs(printed[axis].value - exact) <= leeway))
            return fault(k->r, "printed %.12g for %.17g: %s", printed[axis].value, exact, k->line);
        k->r->values++;
    }
    return true;
}

/* A formula or substitution against the exact and the printed value. */
static bool check_part(struct reader *k, const struct result *result, const char *start,
                       const char *end, const struct printed printed[3])
{
    struct parse exact = {
        .k = k, .target = NO_LEAF, .numbers = NUMBERS_EXACT, .typed_is_exact = true};
    struct number x = evaluate(&exact, start, end);
    if (exact.failed)
        return fault(k->r, "%s: %s", exact.why, k->line);
    if (x.is_vector != result->is_vector && !(result->is_vector && x.c[0] == 0))
        return fault(k->r, "a vector and a number are equated: %s", k->line);
    int axes = result->is_vector ? 3 : 1;
    if (exact.has_symbols) {
        for (int axis = 0; axis < axes; axis++) {
            double want = result->node[axis] ? exact_of(k->w, result->node[axis]) : x.c[axis];
            double leeway =
                1e-11 * fmax(fabs(want), exact.largest) + exact.blur + 1e-4 * printed[axis].half;
            if (!(fabs(x.c[axis] - want) <= leeway))
                return fault(k->r, "\"%.*s\" is exactly %.15g, not %.15g: %s", (int)(end - start),
                             start, x.c[axis], want, k->line);
        }
        k->r->formulas++;
    } else {
        k->r->substitutions++;
    }
    /* A number of three figures that was typed somewhere may be exact or rounded: if it does not
     * fit as typed, it must fit as rounded. */
    for (int typed_is_exact = 1; typed_is_exact >= 0; typed_is_exact--) {
        struct parse p = {.k = k, .numbers = NUMBERS_PRINTED, .typed_is_exact = typed_is_exact};
        double leeway[3];
        if (!evaluate_within(&p, start, end, &x, leeway))
            return fault(k->r, "%s: %s", p.why, k->line);
        int bad = -1;
        for (int axis = 0; axis < axes; axis++) {
            double allowed = 1.02 * leeway[axis] + printed[axis].half + 1e-9 * fabs(x.c[axis]) +
                             1e-12 * p.largest + p.blur;
            if (result->node[axis] && !(fabs(x.c[axis] - printed[axis].value) <= allowed))
                bad = axis;
        }
        if (bad < 0)
            return true;
        if (!typed_is_exact)
            return fault(k->r, "\"%.*s\" gives %.12g, the line says %.12g (leeway %.3g): %s",
                         (int)(end - start), start, x.c[bad], printed[bad].value,
                         leeway[bad] + printed[bad].half, k->line);
    }
    return true;
}

static void remember(struct reader *k, const struct result *result, const struct printed printed[3])
{
    for (uint32_t i = 0; i < k->count; i++) {
        struct known *known = &k->known[i];
        for (int axis = 0; axis < 3; axis++)
            if (!known->is_vector && result->node[axis] == known->index && known->index)
                known->printed[0] = printed[axis];
        if (known->is_vector && result->is_vector &&
            memcmp(k->w->vector[known->index].component, result->node, sizeof result->node) == 0)
            memcpy(known->printed, printed, sizeof known->printed);
    }
}

static const char *next_equals(const char *at, const char *end)
{
    for (; at + 3 <= end; at++)
        if (memcmp(at, " = ", 3) == 0)
            return at;
    return NULL;
}

/* The unit at the end of a part of a conversion: its size in the coherent unit, and where it
 * begins; 0 where there is none. */
static double ends_in_unit(struct reader *k, const struct node *n, const char *part,
                           const char *part_end, const char **ret_bare)
{
    const struct node *side[2] = {&k->w->node[n->operand[0]], n};
    for (int i = 0; i < 2; i++) {
        const struct units *units = side[i]->unit ? &side[i]->unit->base : &k->w->units;
        char unit[64];
        print_unit(&side[i]->dimension, units, unit);
        size_t length = strlen(unit);
        if (length > 0 && (size_t)(part_end - part) > length + 1 &&
            memcmp(part_end - length, unit, length) == 0 && part_end[-(long)length - 1] == ' ') {
            *ret_bare = part_end - length - 1;
            return unit_size(&side[i]->dimension, units);
        }
    }
    *ret_bare = part_end;
    return 0;
}

/* "15 · 9.81 = 147 N = 147/1000 kN = 0.147 kN": a conversion's parts are in two units, and one
 * without is in that of the next. Each is compared as so much of the coherent unit. */
static bool check_conversion(struct reader *k, const struct result *result, const char *start,
                             const char *end)
{
    const struct node *n = &k->w->node[result->node[0]];
    double want = n->num.value * unit_size(&n->dimension, &k->w->units);
    for (const char *part = start; part < end;) {
        const char *equals = next_equals(part, end), *part_end = equals ? equals : end, *bare;
        double size = ends_in_unit(k, n, part, part_end, &bare);
        for (const char *at = part_end; size == 0 && at < end;) {
            const char *next = next_equals(at + 3, end), *ignored;
            size = ends_in_unit(k, n, at + 3, next ? next : end, &ignored);
            at = next ? next : end;
        }
        if (n->dimension.angle) /* its mark says the unit */
            size = 1;
        struct parse p = {.k = k, .numbers = NUMBERS_PRINTED, .typed_is_exact = true};
        struct number x;
        double leeway[3];
        if (!evaluate_within(&p, part, bare, &x, leeway))
            return fault(k->r, "%s: %s", p.why, k->line);
        double allowed = leeway[0] * size * 1.02 + 1e-9 * fabs(want);
        bool is_rounded =
            equals == NULL || n->operand[0] == 0 || k->w->node[n->operand[0]].op != OP_GIVEN;
        if (is_rounded)
            allowed = fmax(allowed, 0.5 * fabs(want) * pow(10, 1 - k->options->figures));
        if (!(fabs(x.c[0] * size - want) <= allowed))
            return fault(k->r, "\"%.*s\" converts to %.12g of the coherent unit, not %.12g: %s",
                         (int)(part_end - part), part, x.c[0] * size, want, k->line);
        k->r->formulas++;
        part = equals ? equals + 3 : end;
    }
    return true;
}

static bool check_definition(struct reader *k, const struct result *result, const char *symbol_text)
{
    const char *at = k->line, *end = at + strlen(at);
    static const char *const senses[] = {"→⁺ ", "↑⁺ ", "↺⁺ "};
    for (int i = 0; i < 3; i++)
        if (strncmp(at, senses[i], strlen(senses[i])) == 0)
            at += strlen(senses[i]);
    size_t length = strlen(symbol_text);
    if (length > 0) {
        if (strncmp(at, symbol_text, length) != 0 || strncmp(at + length, " = ", 3) != 0)
            return fault(k->r, "the line should begin with %s: %s", symbol_text, k->line);
        at += length + 3;
    }
    if (strncmp(at, "ΣF", strlen("ΣF")) == 0 || strncmp(at, "ΣM", strlen("ΣM")) == 0 ||
        strncmp(at, "Σ→", strlen("Σ→")) == 0) { /* R_x = ΣF_x = … */
        const char *equals = next_equals(at, end);
        if (!equals)
            return fault(k->r, "nothing after the sum's label: %s", k->line);
        at = equals + 3;
    }
    k->r->lines++;
    const char *last = at;
    for (const char *next; (next = next_equals(last, end)) != NULL;)
        last = next + 3;
    struct printed printed[3] = {{0}};
    if (!read_value(k, result, last, end, printed) || !check_printed(k, result, printed))
        return false;
    enum op op = (enum op)k->w->node[result->node[0]].op;
    if (!result->is_vector && op == OP_CONVERT) {
        if (!check_conversion(k, result, at, end))
            return false;
    } else {
        while (at < last) {
            const char *part_end = next_equals(at, end);
            if (!check_part(k, result, at, part_end, printed))
                return false;
            at = part_end + 3;
        }
    }
    if (!result->is_vector && (op == OP_GIVEN || op == OP_CONSTANT))
        printed[0].half = 0;
    remember(k, result, printed);
    return true;
}

/* "ΣM_A = 0: left = right; left = right": exact, and with numbers; unknowns stay symbols. */
static bool check_equation(struct reader *k)
{
    const char *at = strstr(k->line, ": ");
    at = at ? at + 2 : k->line;
    k->r->lines++;
    while (*at) {
        const char *restated = strstr(at, "; "), *end = restated ? restated : at + strlen(at);
        const char *equals = next_equals(at, end);
        if (!equals)
            return fault(k->r, "no equation: %s", k->line);
        bool is_formula = at == k->line || at[-2] == ':', holds = false;
        struct number left, right;
        /* As in a part of a line: what was typed somewhere may be exact or rounded. */
        for (int typed_is_exact = 1; typed_is_exact >= is_formula && !holds; typed_is_exact--) {
            struct parse p = {.k = k, .numbers = NUMBERS_EXACT, .typed_is_exact = typed_is_exact};
            double leeway[2][3];
            if (!evaluate_within(&p, at, equals, &left, leeway[0]))
                return fault(k->r, "%s: %s", p.why, k->line);
            double largest = p.largest;
            if (!evaluate_within(&p, equals + 3, end, &right, leeway[1]))
                return fault(k->r, "%s: %s", p.why, k->line);
            double allowed = 1e-9 * fmax(largest, p.largest);
            if (!is_formula)
                allowed += 1.02 * (leeway[0][0] + leeway[1][0]);
            holds = fabs(left.c[0] - right.c[0]) <= allowed;
        }
        if (!holds)
            return fault(k->r, "%.12g = %.12g does not hold: %s", left.c[0], right.c[0], k->line);
        k->r->formulas++;
        at = restated ? restated + 2 : end;
    }
    return true;
}

static struct result result_of_scalar(const struct work *w, q x)
{
    return (struct result){false, {x.i, 0, 0}, w->node[x.i].dimension};
}

static bool check_step(struct reader *k, const struct step *step)
{
    static char text[1 << 16];
    struct work *w = k->w;
    if (step->kind == STEP_SAY || step->kind == STEP_DECIDE)
        return true;
    struct buf out;
    buf_init(&out, w->arena, sizeof text);
    render_step(w, step, k->options, FORMAT_TEXT, &out);
    if (!buf_text(&out))
        return fault(k->r, "no memory");
    snprintf(text, sizeof text, "%s", buf_text(&out));
    char *line = text;
    int axis = 0;
    bool by_components =
        step->kind == STEP_DEFINE_VECTOR && k->options->notation == NOTATION_SCALAR;
    while (line && *line) {
        char *end = strchr(line, '\n');
        if (end)
            *end = '\0';
        k->line = line;
        char symbol_text[72] = "";
        if (step->kind == STEP_EQUATION) {
            if (!check_equation(k))
                return false;
        } else if (step->kind == STEP_DEFINE_VECTOR && !by_components) {
            const struct vector *v = &w->vector[step->vector.i];
            struct result result = {.is_vector = true};
            for (int i = 2; i >= 0; i--) {
                result.node[i] = v->component[i].i;
                if (v->component[i].i)
                    result.dimension = w->node[v->component[i].i].dimension;
            }
            if (v->symbol.base)
                print_symbol(&v->symbol, true, symbol_text, sizeof symbol_text);
            if (!check_definition(k, &result, symbol_text))
                return false;
        } else {
            q x = step->scalar;
            while (by_components && axis < 2 && q_is_none(qv_component(w, step->vector, axis)))
                axis++;
            if (by_components)
                x = qv_component(w, step->vector, axis++);
            if (w->node[x.i].symbol.base)
                print_symbol(&w->node[x.i].symbol, false, symbol_text, sizeof symbol_text);
            struct result result = result_of_scalar(w, x);
            if (!check_definition(k, &result, symbol_text))
                return false;
        }
        line = end ? end + 1 : NULL;
        if (step->kind == STEP_CHECK)
            break; /* the second line is prose */
    }
    return true;
}

/* ---- the answer ---- */

static bool check_was_printed(struct reader *k, q x, const char *where)
{
    const struct node *n = &k->w->node[x.i], *under = n;
    while (under->op == OP_SAME || (under->op == OP_SUM && under->operand[1] == 1))
        under =
            &k->w->node[under->op == OP_SAME ? under->operand[0] : k->w->pool[under->operand[0]]];
    if (!n->symbol.base || under->op == OP_GIVEN || under->op == OP_CONSTANT)
        return true; /* nothing to be worked out */
    char print[72];
    print_symbol(&n->symbol, false, print, sizeof print);
    const struct known *known = find_known(k, print, strlen(print));
    if (known && known->printed[0].is_there)
        return true; /* check_printed compared it with the same node */
    for (uint32_t i = 0; i < k->count; i++)
        for (int axis = 0; k->known[i].is_vector && axis < 3; axis++)
            if (k->w->vector[k->known[i].index].component[axis].i == x.i &&
                k->known[i].printed[axis].is_there)
                return true;
    if (under != n && under->symbol.base)
        return check_was_printed(k, (q){(uint32_t)(under - k->w->node)}, where);
    return fault(k->r, "%s: %s = %.12g is in the answer and nowhere in the working", where, print,
                 n->num.value);
}

static bool check_answer(struct reader *k, const struct value *v)
{
    const char *where = v->key ? v->key : "an entry";
    if (v->kind == VALUE_NUMBER && !check_was_printed(k, v->scalar, where))
        return false;
    for (int axis = 0; v->kind == VALUE_VECTOR && axis < 3; axis++) {
        q x = qv_component(k->w, v->vector, axis);
        if (!q_is_none(x) && !check_was_printed(k, x, where))
            return false;
    }
    for (const struct value *c = v->child; c; c = c->next)
        if (!check_answer(k, c))
            return false;
    return true;
}

/* No number is typed into prose: the digits of a template would belong to no node. */
static bool check_template(struct reader *k, const struct phrase *phrase)
{
    const char *digit = phrase->template ? strpbrk(phrase->template, "0123456789") : NULL;
    return !digit || fault(k->r, "a number is typed into the text: %s", phrase->template);
}

bool reading_check(struct work *w, const struct render_options *options, struct reading *ret)
{
    struct reader k = {.w = w, .options = options, .r = ret};
    ret->fault[0] = '\0';
    bool agrees = learn_symbols(&k);
    for (uint32_t i = 0; agrees && i < w->step_count; i++)
        agrees = check_step(&k, &w->step[i]) && check_template(&k, &w->step[i].phrase);
    for (uint32_t i = 0; agrees && i < w->note_count; i++)
        agrees = check_template(&k, &w->note[i].text);
    agrees = agrees && check_answer(&k, w->answer);
    free(k.known);
    return agrees;
}

/* ---- the JSON ---- */

static bool check_json_number(struct reading *r, double value, const struct json *json,
                              const char *where)
{
    if (!json || json->type != JSON_NUMBER)
        return fault(r, "%s is no number in the answer", where);
    double digits = 5.1e-12 * fabs(value);
    if (!(fabs(json->number - value) <= digits) || strncmp(json->text, "-0", 3) == 0)
        return fault(r, "%s is %s in the answer, %.17g on the tape", where, json->text, value);
    r->values++;
    return true;
}

static bool check_json_value(struct work *w, const struct value *v, const struct json *json,
                             struct reading *r)
{
    const char *where = v->key ? v->key : "an entry";
    if (!json)
        return fault(r, "%s is missing in the answer", where);
    if (v->kind == VALUE_NUMBER)
        return check_json_number(r, q_value(w, v->scalar), json, where);
    if (v->kind == VALUE_VECTOR) {
        const struct json *entry = json->child;
        for (int axis = 0; axis < 3; axis++) {
            q x = qv_component(w, v->vector, axis);
            if (q_is_none(x))
                continue;
            if (!check_json_number(r, q_value(w, x), entry, where))
                return false;
            entry = entry->next;
        }
        return !entry || fault(r, "%s has too many components", where);
    }
    const struct json *entry = json->child;
    for (const struct value *c = v->child; c; c = c->next) {
        if (!check_json_value(w, c, v->kind == VALUE_OBJECT ? json_member(json, c->key) : entry, r))
            return false;
        entry = entry ? entry->next : NULL;
    }
    return true;
}

bool reading_check_json(struct work *w, const char *text, struct reading *ret)
{
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    struct problem problem;
    const struct json *json = NULL;
    struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};
    ret->fault[0] = '\0';
    problem_init(&problem, arena);
    bool agrees = json_read(arena, text, strlen(text), &limits, &json, &problem) == PROBLEM_NONE ||
                  fault(ret, "the answer is no JSON: %s", problem.detail);
    agrees = agrees && check_json_value(w, w->answer, json_member(json, "answer"), ret);
    arena_free(arena);
    return agrees;
}
