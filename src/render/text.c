/* text.c: plain text, one line a step; the grammar is in render.h. */
#include <string.h>

#include "render/walk.h"

static void put_superscript(struct walk *k, int n)
{
    static const char *const digit[] = {"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
    int divisor = 1, rest = n < 0 ? -n : n;
    if (n < 0)
        put(k, "⁻");
    while (rest / divisor >= 10)
        divisor *= 10;
    for (; divisor > 0; divisor /= 10)
        put(k, digit[rest / divisor % 10]);
}

static void number(struct walk *k, const struct digits *d)
{
    put_bytes(k, d->text, d->length);
    if (d->exponent10 != 0) {
        put(k, "·10");
        put_superscript(k, d->exponent10);
    }
    if (d->pi)
        put(k, "π");
}

static void degrees(struct walk *k, const struct digits *d)
{
    number(k, d);
    put(k, "°");
}

static void symbol(struct walk *k, const struct symbol *s, bool is_vector)
{
    if (is_vector)
        put(k, "→");
    put(k, s->base);
    if (s->sub != NULL || s->axis != 0)
        put(k, "_");
    if (s->sub != NULL)
        put(k, s->sub);
    if (s->axis != 0)
        put_bytes(k, &s->axis, 1);
    for (int i = 0; i < s->primed; i++)
        put(k, "'");
}

static void unit(struct walk *k, struct dimension d, const struct units *units, bool one)
{
    (void)one;
    size_t before = k->out->length;
    put(k, " ");
    put_unit_name(k, d, units);
    if (k->out->length == before + 1) /* a ratio */
        k->out->length = before;
}

static void sum_label(struct walk *k, enum sum_label label, char axis, const char *about,
                      bool is_vector)
{
    bool is_moment = label == LABEL_SUM_MOMENT;
    put(k, "Σ");
    symbol(k,
           &(struct symbol){
               .base = is_moment ? "M" : "F", .sub = is_moment ? about : NULL, .axis = axis},
           is_vector);
}

static void prose(struct walk *k, const char *text, size_t length)
{
    buf_put(k->out, text, length);
}

/* Is a number, not a symbol, what was written last? */
static bool ends_in_number(const struct buf *out)
{
    size_t i = out->length;
    while (i > 0 &&
           ((out->data[i - 1] >= '0' && out->data[i - 1] <= '9') || out->data[i - 1] == '.'))
        i--;
    if (i == out->length || i == 0)
        return i == 0;
    char before = out->data[i - 1];
    return strchr("_',-", before) == NULL && !(before >= 'a' && before <= 'z') &&
           !(before >= 'A' && before <= 'Z');
}

/* 4 · 3.2, 4(−6.00), F cos θ */
static void times(struct walk *k, enum start right)
{
    bool is_closed = k->out->length > 0 && k->out->data[k->out->length - 1] == ')';
    if (right == START_NUMBER)
        put(k, " · ");
    else if (right == START_WORD || !(is_closed || ends_in_number(k->out)))
        put(k, " ");
}

const struct writer text_writer =
    {
        .name = "text",
        .op =
            {
                [OP_DIV] = {"", "/", "", BINDS_QUOTIENT, BINDS_PRODUCT, BINDS_PREFIX, true},
                [OP_SQUARE] = {"", NULL, "²", BINDS_POWER, BINDS_ATOM, 0, false},
                [OP_SQRT] = {"√", NULL, "", BINDS_PREFIX, BINDS_ATOM, 0, false},
                [OP_ABS] = {"|", NULL, "|", BINDS_ATOM, BINDS_SUM, 0, false},
                [OP_SIN] = {"sin", " ", "", BINDS_PREFIX, BINDS_ATOM, 0, true},
                [OP_COS] = {"cos", " ", "", BINDS_PREFIX, BINDS_ATOM, 0, true},
                [OP_TAN] = {"tan", " ", "", BINDS_PREFIX, BINDS_ATOM, 0, true},
                [OP_ASIN] = {"sin⁻¹", NULL, "", BINDS_PREFIX, BINDS_NEVER, 0, false},
                [OP_ACOS] = {"cos⁻¹", NULL, "", BINDS_PREFIX, BINDS_NEVER, 0, false},
                [OP_ATAN] = {"tan⁻¹", NULL, "", BINDS_PREFIX, BINDS_NEVER, 0, false},
                [OP_DOT] = {"", " · ", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM, false},
                [OP_NORM] = {"|", NULL, "|", BINDS_ATOM, BINDS_SUM, 0, false},
            },
        .squared =
            {
                {"sin²", " ", "", BINDS_PREFIX, BINDS_ATOM, 0, true},
                {"cos²", " ", "", BINDS_PREFIX, BINDS_ATOM, 0, true},
                {"tan²", " ", "", BINDS_PREFIX, BINDS_ATOM, 0, true},
            },
        .vector_op =
            {
                [VECTOR_OVER] = {"", "/", "", BINDS_QUOTIENT, BINDS_PRODUCT, BINDS_PREFIX, true},
                [VECTOR_CROSS] = {"", " × ", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM, false},
            },
        .line = {"", ""},
        .sentence = {"", ""},
        .inline_of = {"", ""},
        .is = " = ",
        .equals = " = ",
        .plus = " + ",
        .minus = " − ",
        .negative = "−",
        .zero = "0",
        .pause = "",
        .bracket = {"(", ")"},
        .brace = {"{", "}"},
        .unit_vector = {" i", " j", " k"},
        .prime = "'",
        .colon = ": ",
        .restated = "; ",
        .sense = {"→⁺ ", "↑⁺ ", "↺⁺ "},
        .times = times,
        .number = number,
        .degrees = degrees,
        .symbol = symbol,
        .unit = unit,
        .sum_label = sum_label,
        .prose = prose,
};
