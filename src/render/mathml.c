/* mathml.c: MathML Core. Bold and italic words are letters of their own (U+1D400 …), as Core has no
 * other way; multiplication and application of a function are said by their invisible operators. */
#include <string.h>

#include "render/walk.h"

#define THIN "0.1667em"
#define TIMES_INVISIBLE "<mo rspace=\"" THIN "\">\u2062</mo>"
#define APPLY "<mo rspace=\"" THIN "\">\u2061</mo>"

static void put_escaped(struct buf *out, const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        switch (text[i]) {
        case '&':
            buf_puts(out, "&amp;");
            break;
        case '<':
            buf_puts(out, "&lt;");
            break;
        case '>':
            buf_puts(out, "&gt;");
            break;
        default:
            buf_putc(out, text[i]);
        }
}

/* ---- symbols ---- */

static void put_code_point(struct buf *out, unsigned c)
{
    buf_put(out,
            (const char[]){(char)(0xf0 | c >> 18), (char)(0x80 | (c >> 12 & 0x3f)),
                           (char)(0x80 | (c >> 6 & 0x3f)), (char)(0x80 | (c & 0x3f))},
            4);
}

/* Bold letters; what has no bold form stays as it is. */
static void put_bold(struct buf *out, const char *text)
{
    for (const unsigned char *c = (const unsigned char *)text; *c != 0; c++) {
        unsigned two = *c >= 0x80 && c[1] != 0 ? ((unsigned)(*c & 0x1f) << 6) | (c[1] & 0x3fu) : 0;
        if (*c >= 'A' && *c <= 'Z')
            put_code_point(out, 0x1d400u + *c - 'A');
        else if (*c >= 'a' && *c <= 'z')
            put_code_point(out, 0x1d41au + *c - 'a');
        else if ((*c & 0xe0) == 0xc0 && two >= 0x3b1 && two <= 0x3c9) /* α to ω */
            put_code_point(out, 0x1d6c2u + two - 0x3b1), c++;
        else
            buf_putc(out, (char)*c);
    }
}

static void put_primes(struct walk *k, int count)
{
    put(k, "<mo>");
    for (int i = 0; i < count; i++)
        put(k, "′");
    put(k, "</mo>");
}

static void put_token(struct walk *k, const char *text, size_t length)
{
    bool is_number = *text >= '0' && *text <= '9';
    put(k, is_number ? "<mn>" : "<mi>");
    put_escaped(k->out, text, length);
    put(k, is_number ? "</mn>" : "</mi>");
}

static void put_subscript(struct walk *k, const char *sub, char axis)
{
    put(k, "<mrow>");
    const char *bar = sub != NULL ? strchr(sub, '_') : NULL;
    if (bar != NULL && bar > sub && bar[1] != '\0') { /* F_A as a sub is F with the sub A */
        put(k, "<msub>");
        put_token(k, sub, (size_t)(bar - sub));
        put_token(k, bar + 1, strlen(bar + 1));
        put(k, "</msub>");
    } else if (sub != NULL) {
        put_token(k, sub, strlen(sub));
    }
    if (axis != 0) {
        put(k, "<mi>");
        buf_putc(k->out, axis);
        put(k, "</mi>");
    }
    put(k, "</mrow>");
}

static void symbol(struct walk *k, const struct symbol *s, bool is_vector)
{
    bool has_sub = s->sub != NULL || s->axis != 0;
    if (has_sub || s->primed > 0)
        put(k, !has_sub ? "<msup>" : s->primed > 0 ? "<msubsup>" : "<msub>");
    put(k, "<mi>");
    if (is_vector)
        put_bold(k->out, s->base);
    else
        put_escaped(k->out, s->base, strlen(s->base));
    put(k, "</mi>");
    if (has_sub)
        put_subscript(k, s->sub, s->axis);
    if (s->primed > 0)
        put_primes(k, s->primed);
    if (has_sub || s->primed > 0)
        put(k, !has_sub ? "</msup>" : s->primed > 0 ? "</msubsup>" : "</msub>");
}

/* ---- numbers and units ---- */

static void put_plain(struct walk *k, const struct digits *d)
{
    if (d->length > 0) {
        put(k, "<mn>");
        put_bytes(k, d->text, d->length);
        put(k, "</mn>");
    }
    if (d->exponent10 != 0) {
        bool negative = d->exponent10 < 0;
        char exponent[12];
        put(k, "<mo>·</mo><msup><mn>10</mn>");
        put(k, negative ? "<mrow><mo>−</mo><mn>" : "<mn>");
        buf_put(k->out, exponent,
                integer_text(negative ? -d->exponent10 : d->exponent10, exponent));
        put(k, negative ? "</mn></mrow></msup>" : "</mn></msup>");
    }
    if (d->pi)
        put(k, "<mi>π</mi>");
}

/* One element, whatever it is made of: an exponent may follow. */
static void number(struct walk *k, const struct digits *d)
{
    bool is_row = d->exponent10 != 0 || d->pi;
    put(k, is_row ? "<mrow>" : "");
    put_plain(k, d);
    put(k, is_row ? "</mrow>" : "");
}

static void degrees(struct walk *k, const struct digits *d)
{
    put(k, "<mrow>");
    put_plain(k, d);
    put(k, "<mo lspace=\"0\" rspace=\"0\">°</mo></mrow>");
}

static void unit(struct walk *k, struct dimension d, const struct units *units, bool one)
{
    (void)one;
    size_t before = k->out->length;
    put(k, "<mtext>\u00a0");
    size_t start = k->out->length;
    put_unit_name(k, d, units);
    if (k->out->length == start)
        k->out->length = before;
    else
        put(k, "</mtext>");
}

static void sum_label(struct walk *k, enum sum_label label, char axis, const char *about,
                      bool is_vector)
{
    bool is_moment = label == LABEL_SUM_MOMENT;
    put(k, "<mo rspace=\"" THIN "\">Σ</mo>");
    symbol(k,
           &(struct symbol){
               .base = is_moment ? "M" : "F", .sub = is_moment ? about : NULL, .axis = axis},
           is_vector);
}

static void times(struct walk *k, enum start right)
{
    put(k, right == START_NUMBER ? "<mo>·</mo>" : TIMES_INVISIBLE);
}

/* ---- determinants ---- */

static void put_row(struct walk *k, qv v)
{
    put(k, "<mtr>");
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(k->w, v, axis);
        put(k, "<mtd>");
        if (q_is_none(x))
            put(k, k->writer->zero);
        else
            put_scalar(k, x, BINDS_SUM);
        put(k, "</mtd>");
    }
    put(k, "</mtr>");
}

static void determinant(struct walk *k, qv a, qv b)
{
    static const char *const letter[] = {"<mtd><mi>𝐢</mi>", "<mtd><mi>𝐣</mi>", "<mtd><mi>𝐤</mi>"};
    put(k, "<mrow><mo>|</mo><mtable><mtr>");
    for (int axis = 0; axis < 3; axis++) {
        put(k, letter[axis]);
        if (k->unit_vector_primes > 0)
            put_primes(k, k->unit_vector_primes);
        put(k, "</mtd>");
    }
    put(k, "</mtr>");
    put_row(k, a);
    put_row(k, b);
    put(k, "</mtable><mo>|</mo></mrow>");
}

/* ---- prose ---- */

/* A blank at either end of a text element would be dropped. */
static void prose(struct walk *k, const char *text, size_t length)
{
    put(k, "<mtext>");
    if (length > 0 && text[0] == ' ') {
        put(k, "\u00a0");
        text++;
        length--;
    }
    bool is_blank_at_end = length > 0 && text[length - 1] == ' ';
    put_escaped(k->out, text, is_blank_at_end ? length - 1 : length);
    put(k, is_blank_at_end ? "\u00a0</mtext>" : "</mtext>");
}

#define MATH "<math xmlns=\"http://www.w3.org/1998/Math/MathML\" display=\"block\">"
#define POWER(name, n) "<msup><mi>" name "</mi>" n "</msup>"
#define FUNCTION(name)                                                                             \
    {                                                                                              \
        "<mi>" name "</mi>" APPLY, NULL, "", BINDS_PREFIX, BINDS_ATOM, 0, true                     \
    }
#define SQUARED(name)                                                                              \
    {                                                                                              \
        POWER(name, "<mn>2</mn>") APPLY, NULL, "", BINDS_PREFIX, BINDS_ATOM, 0, true               \
    }
#define INVERSE(name)                                                                              \
    {                                                                                              \
        POWER(name, "<mrow><mo>−</mo><mn>1</mn></mrow>")                                           \
        APPLY, NULL, "", BINDS_PREFIX, BINDS_NEVER, 0, false                                       \
    }
#define FRACTION                                                                                   \
    {                                                                                              \
        "<mfrac><mrow>", "</mrow><mrow>", "</mrow></mfrac>", BINDS_POWER, BINDS_SUM, BINDS_SUM,    \
            false                                                                                  \
    }
#define BARS                                                                                       \
    {                                                                                              \
        "<mrow><mo>|</mo>", NULL, "<mo>|</mo></mrow>", BINDS_ATOM, BINDS_SUM, 0, false             \
    }

const struct writer mathml_writer = {
    .name = "mathml",
    .op =
        {
            [OP_DIV] = FRACTION,
            [OP_SQUARE] = {"<msup>", NULL, "<mn>2</mn></msup>", BINDS_POWER, BINDS_ATOM, 0, false},
            [OP_SQRT] = {"<msqrt>", NULL, "</msqrt>", BINDS_POWER, BINDS_SUM, 0, false},
            [OP_ABS] = BARS,
            [OP_SIN] = FUNCTION("sin"),
            [OP_COS] = FUNCTION("cos"),
            [OP_TAN] = FUNCTION("tan"),
            [OP_ASIN] = INVERSE("sin"),
            [OP_ACOS] = INVERSE("cos"),
            [OP_ATAN] = INVERSE("tan"),
            [OP_DOT] = {"", "<mo>·</mo>", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM, false},
            [OP_NORM] = BARS,
        },
    .squared = {SQUARED("sin"), SQUARED("cos"), SQUARED("tan")},
    .vector_op =
        {
            [VECTOR_OVER] = FRACTION,
            [VECTOR_CROSS] = {"", "<mo>×</mo>", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM, false},
        },
    .line = {MATH, "</math>"},
    .sentence = {MATH, "</math>"},
    .inline_of = {"", ""},
    .is = "<mo>=</mo>",
    .equals = "<mo>=</mo>",
    .plus = "<mo>+</mo>",
    .minus = "<mo>−</mo>",
    .negative = "<mo form=\"prefix\">−</mo>",
    .zero = "<mn>0</mn>",
    .pause = "",
    .bracket = {"<mrow><mo>(</mo>", "<mo>)</mo></mrow>"},
    .brace = {"<mrow><mo>{</mo>", "<mo>}</mo></mrow>"},
    .unit_vector = {TIMES_INVISIBLE "<mi>𝐢</mi>", TIMES_INVISIBLE "<mi>𝐣</mi>",
                    TIMES_INVISIBLE "<mi>𝐤</mi>"},
    .prime = "<mo>′</mo>",
    .colon = "<mo rspace=\"1em\">:</mo>",
    .restated = "<mo rspace=\"1em\">;</mo>",
    .sense = {"<msup><mo>→</mo><mo>+</mo></msup>", "<msup><mo>↑</mo><mo>+</mo></msup>",
              "<msup><mo>↺</mo><mo>+</mo></msup>"},
    .times = times,
    .number = number,
    .degrees = degrees,
    .symbol = symbol,
    .unit = unit,
    .sum_label = sum_label,
    .prose = prose,
    .determinant = determinant,
};
