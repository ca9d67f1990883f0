/* speech.c: what a lecturer says at the board, in words only: nothing is left for a screen reader
 * to guess. Brackets are spoken where the text has them. */
#include <string.h>

#include "render/walk.h"

/* ---- words ---- */

static const struct {
    const char *sign, *word;
    bool is_letter; /* a word of its own in a name */
} words[] = {
    {"α", "alpha", true},
    {"β", "beta", true},
    {"γ", "gamma", true},
    {"δ", "delta", true},
    {"ε", "epsilon", true},
    {"θ", "theta", true},
    {"κ", "kappa", true},
    {"λ", "lambda", true},
    {"μ", "mu", true},
    {"π", "pi", true},
    {"ρ", "rho", true},
    {"σ", "sigma", true},
    {"φ", "phi", true},
    {"ψ", "psi", true},
    {"ω", "omega", true},
    {"Δ", "capital delta", true},
    {"Ω", "capital omega", true},
    {"Φ", "capital phi", true},
    {"Θ", "capital theta", true},
    {"'", "prime", true},
    {"_", "", true},
    {"′", "prime", true},
    {"Σ", "the sum of", false},
    {"√", "the square root of", false},
    {"°", "degrees", false},
    {"·", "times", false},
    {"×", "cross", false},
    {"−", "minus", false},
    {"+", "plus", false},
    {"=", "equals", false},
    {"±", "plus or minus", false},
    {"<", "is less than", false},
    {">", "is greater than", false},
    {"≤", "is at most", false},
    {"≥", "is at least", false},
    {"≠", "is not", false},
    {"≈", "is about", false},
    {"²", "squared", false},
    {"³", "cubed", false},
    {"|", "", false},
    {"→", "to the right", false},
    {"↑", "up", false},
    {"↺", "counter-clockwise", false},
    {"/", "over", false},
    {"∥", "parallel", true},
    {"⊥", "perpendicular", true},
    {"%", "per cent", false},
    {"&", "and", false},
    {"½", "one half", false},
};

static const char *word_of(const char *text, bool in_name, size_t *ret_length)
{
    bool is_plain = (*text >= 'a' && *text <= 'z') || (*text >= 'A' && *text <= 'Z') ||
                    (*text >= '0' && *text <= '9') || *text == ' ';
    for (size_t i = 0; !is_plain && i < sizeof words / sizeof *words; i++) {
        size_t length = strlen(words[i].sign);
        if (*text == *words[i].sign && (!in_name || words[i].is_letter) &&
            strncmp(text, words[i].sign, length) == 0) {
            *ret_length = length;
            return words[i].word;
        }
    }
    return NULL;
}

static void put_blank(struct walk *k)
{
    char last = k->out->length > 0 ? k->out->data[k->out->length - 1] : ' ';
    if (strchr(" \"\n", last) == NULL) /* within a line, or a string of JSON */
        put(k, " ");
}

/* Up to four capitals are letters to be read one by one: A B. */
static bool is_spelled(const char *name)
{
    size_t n = 0;
    while (name[n] >= 'A' && name[n] <= 'Z')
        n++;
    return n >= 2 && n <= 4 && (name[n] == '\0' || name[n] == '\'' || name[n] == '_');
}

static void put_name(struct walk *k, const char *name)
{
    bool spells = is_spelled(name);
    for (const char *c = name; *c != '\0';) {
        size_t length = 1;
        const char *word = word_of(c, true, &length);
        if (word != NULL || (spells && c > name))
            put_blank(k);
        if (word != NULL)
            put(k, word);
        else
            buf_putc(k->out, *c);
        c += length;
        if (word != NULL && *c != '\0')
            put_blank(k);
    }
}

static void symbol(struct walk *k, const struct symbol *s, bool is_vector)
{
    if (is_vector)
        put(k, "vector ");
    put_name(k, s->base);
    if (s->sub != NULL || s->axis != 0)
        put(k, " sub ");
    if (s->sub != NULL)
        put_name(k, s->sub);
    if (s->axis != 0) {
        put_blank(k);
        buf_putc(k->out, s->axis);
    }
    for (int i = 0; i < s->primed; i++)
        put(k, " prime");
}

/* ---- numbers and units ---- */

static void number(struct walk *k, const struct digits *d)
{
    put_bytes(k, d->text, d->length);
    if (d->exponent10 != 0) {
        bool is_negative = d->exponent10 < 0;
        char exponent[12];
        put(k, " times 10 to the power ");
        put(k, is_negative ? "minus " : "");
        buf_put(k->out, exponent,
                integer_text(is_negative ? -d->exponent10 : d->exponent10, exponent));
    }
    if (d->pi)
        put(k, d->length > 0 ? " pi" : "pi");
}

static void degrees(struct walk *k, const struct digits *d)
{
    number(k, d);
    put(k, d->length == 1 && *d->text == '1' ? " degree" : " degrees");
}

static void put_power(struct walk *k, int exponent)
{
    if (exponent > 1)
        put(k, exponent == 2 ? " squared" : " cubed");
}

static void unit(struct walk *k, struct dimension d, const struct units *units, bool one)
{
    struct unit_part part[4];
    uint32_t count = unit_parts(d, units, part), last = count;
    if (d.angle)
        put(k, one ? " radian" : " radians");
    for (uint32_t i = 0; i < count; i++)
        if (part[i].exponent > 0)
            last = i;
    for (uint32_t i = 0; i < count; i++) {
        if (part[i].exponent <= 0)
            continue;
        put_blank(k);
        put(k, i == last && !one ? part[i].spoken_plural : part[i].spoken);
        put_power(k, part[i].exponent);
    }
    for (uint32_t i = 0; i < count; i++) {
        if (part[i].exponent >= 0)
            continue;
        put(k, " per ");
        put(k, part[i].spoken);
        put_power(k, -part[i].exponent);
    }
}

static void sum_label(struct walk *k, enum sum_label label, char axis, const char *about,
                      bool is_vector)
{
    bool is_moment = label == LABEL_SUM_MOMENT;
    if (!is_moment && axis != 0 && !is_vector)
        put(k, "the sum of F");
    else
        put(k, is_moment ? "the sum of the moments" : "the sum of the forces");
    if (is_moment && about != NULL) {
        put(k, " about ");
        put_name(k, about);
    }
    if (axis != 0) {
        put(k, is_moment ? " along " : " ");
        buf_putc(k->out, axis);
    }
}

static void times(struct walk *k, enum start right)
{
    (void)right;
    put(k, " times ");
}

/* ---- prose ---- */

/* Words as they are; signs become words, but a hyphen stays between letters. */
static void prose(struct walk *k, const char *text, size_t length)
{
    const char *end = text + length;
    for (const char *c = text; c < end;) {
        size_t bytes = 1;
        const char *word = word_of(c, false, &bytes);
        bool is_sign = *c == '-' && (c == text || c[-1] == ' ') && c + 1 < end && c[1] != ' ';
        if (word == NULL && is_sign)
            word = "minus";
        if (word == NULL) {
            buf_putc(k->out, *c++);
            continue;
        }
        put_blank(k);
        put(k, word);
        c += bytes;
        if (c < end && *c != ' ' && *c != '.' && *c != ',' && *c != ';' && *c != ':')
            put_blank(k);
    }
}

#define FUNCTION(name)                                                                             \
    {                                                                                              \
        "the " name " of ", NULL, "", BINDS_PREFIX, BINDS_ATOM, 0, true                            \
    }

const struct writer speech_writer = {
    .name = "speech",
    .op =
        {
            [OP_DIV] = {"", " over ", "", BINDS_QUOTIENT, BINDS_PRODUCT, BINDS_PREFIX, true},
            [OP_SQUARE] = {"", NULL, " squared", BINDS_POWER, BINDS_ATOM, 0, false},
            [OP_SQRT] = FUNCTION("square root"),
            [OP_ABS] = FUNCTION("absolute value"),
            [OP_SIN] = FUNCTION("sine"),
            [OP_COS] = FUNCTION("cosine"),
            [OP_TAN] = FUNCTION("tangent"),
            [OP_ASIN] = FUNCTION("inverse sine"),
            [OP_ACOS] = FUNCTION("inverse cosine"),
            [OP_ATAN] = FUNCTION("inverse tangent"),
            [OP_DOT] = {"", " dot ", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM, false},
            [OP_NORM] = FUNCTION("magnitude"),
        },
    .squared = {FUNCTION("squared sine"), FUNCTION("squared cosine"), FUNCTION("squared tangent")},
    .vector_op =
        {
            [VECTOR_OVER] = {"", " over ", "", BINDS_QUOTIENT, BINDS_PRODUCT, BINDS_PREFIX, true},
            [VECTOR_CROSS] = {"", " cross ", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM, false},
        },
    .line = {"", "."},
    .sentence = {"", ""},
    .inline_of = {"", ""},
    .is = " equals ",
    .equals = ", equals ",
    .plus = " plus ",
    .minus = " minus ",
    .negative = "minus ",
    .zero = "0",
    .pause = ",",
    .bracket = {"open bracket ", " close bracket"},
    .brace = {"", ""},
    .unit_vector = {" i", " j", " k"},
    .prime = " prime",
    .colon = ": ",
    .restated = "; that is, ",
    .sense = {"Positive to the right: ", "Positive upward: ", "Positive counter-clockwise: "},
    .times = times,
    .number = number,
    .degrees = degrees,
    .symbol = symbol,
    .unit = unit,
    .sum_label = sum_label,
    .prose = prose,
};
