/* latex.c: LaTeX mathematics, of the part that KaTeX reads too. */
#include <string.h>

#include "render/walk.h"

/* ---- letters ---- */

/* What is not ASCII in our symbols and prose, and what LaTeX calls it in mathematics. */
static const struct {
    const char *utf8, *macro;
} macros[] = {
    {"α", "\\alpha"},       {"β", "\\beta"},
    {"γ", "\\gamma"},       {"δ", "\\delta"},
    {"ε", "\\varepsilon"},  {"θ", "\\theta"},
    {"κ", "\\kappa"},       {"λ", "\\lambda"},
    {"μ", "\\mu"},          {"π", "\\pi"},
    {"ρ", "\\rho"},         {"σ", "\\sigma"},
    {"φ", "\\varphi"},      {"ψ", "\\psi"},
    {"ω", "\\omega"},       {"Γ", "\\Gamma"},
    {"Δ", "\\Delta"},       {"Θ", "\\Theta"},
    {"Σ", "\\Sigma"},       {"Φ", "\\Phi"},
    {"Ω", "\\Omega"},       {"°", "^{\\circ}"},
    {"√", "\\surd"},        {"−", "-"},
    {"±", "\\pm"},          {"·", "\\cdot"},
    {"×", "\\times"},       {"≤", "\\le"},
    {"≥", "\\ge"},          {"≠", "\\ne"},
    {"≈", "\\approx"},      {"→", "\\rightarrow"},
    {"↑", "\\uparrow"},     {"↺", "\\circlearrowleft"},
    {"∥", "\\parallel"},    {"⊥", "\\perp"},
    {"²", "^{2}"},          {"³", "^{3}"},
    {"½", "\\tfrac{1}{2}"}, {"′", "'"},
};

static const char *macro_of(const char *text, size_t *ret_length)
{
    if ((unsigned char)*text < 0x80)
        return NULL;
    for (size_t i = 0; i < sizeof macros / sizeof *macros; i++) {
        size_t length = strlen(macros[i].utf8);
        if (strncmp(text, macros[i].utf8, length) == 0) {
            *ret_length = length;
            return macros[i].macro;
        }
    }
    return NULL;
}

static const char *escape_of(char c)
{
    switch (c) {
    case '\\':
        return "\\textbackslash{}";
    case '~':
        return "\\textasciitilde{}";
    case '^':
        return "\\textasciicircum{}";
    case '{':
        return "\\{";
    case '}':
        return "\\}";
    case '<':
        return "\\textless{}";
    case '>':
        return "\\textgreater{}";
    case '|':
        return "\\textbar{}";
    case '#':
        return "\\#";
    case '$':
        return "\\$";
    case '%':
        return "\\%";
    case '&':
        return "\\&";
    case '_':
        return "\\_";
    default:
        return NULL;
    }
}

static size_t bytes_of_letter(const char *text)
{
    size_t n = 1;
    while (((unsigned char)text[n] & 0xc0) == 0x80)
        n++;
    return n;
}

static void put_letters(struct walk *k, const char *text)
{
    for (const char *c = text; *c != '\0';) {
        size_t length = 1;
        const char *macro = macro_of(c, &length), *escape = escape_of(*c);
        if (macro != NULL) {
            put(k, macro);
            if (c[length] != '\0' && *macro == '\\')
                put(k, " ");
        } else if (escape != NULL) {
            put(k, escape);
        } else {
            buf_putc(k->out, *c);
        }
        c += length;
    }
}

/* Letters that mathematics does not have, or a hyphen, which it takes for a minus. */
static bool is_text_only(const char *text)
{
    size_t length;
    for (; *text != '\0'; text += bytes_of_letter(text))
        if (*text == '-' || ((unsigned char)*text >= 0x80 && macro_of(text, &length) == NULL))
            return true;
    return false;
}

/* A name in mathematics: a letter or a Greek one as it is, a word within `word`. */
static void put_name(struct walk *k, const char *text, const char *word)
{
    const char *rest = text + bytes_of_letter(text);
    const char *open = NULL;
    if (is_text_only(text))
        open = "\\text{";
    else if (*rest == '\'' && rest[1] == '\0') /* one thing to what follows */
        open = "{";
    else if (*rest != '\0')
        open = word;
    if (open != NULL)
        put(k, open);
    put_letters(k, text);
    if (open != NULL)
        put(k, "}");
}

/* F_A as a sub is F with the sub A. */
static void put_sub(struct walk *k, const char *sub)
{
    const char *bar = strchr(sub, '_');
    char base[80];
    size_t length = bar != NULL ? (size_t)(bar - sub) : 0;
    if (length == 0 || length >= sizeof base || bar[1] == '\0' || strchr(bar + 1, '_') != NULL) {
        put_name(k, sub, NULL);
        return;
    }
    memcpy(base, sub, length);
    base[length] = '\0';
    put_name(k, base, NULL);
    put(k, "_{");
    put_name(k, bar + 1, NULL);
    put(k, "}");
}

static bool is_greek(const char *text)
{
    size_t length;
    return macro_of(text, &length) != NULL;
}

static void symbol(struct walk *k, const struct symbol *s, bool is_vector)
{
    if (s->primed > 0) /* one thing to a superscript that follows */
        put(k, "{");
    if (is_vector) {
        put(k, is_greek(s->base) ? "\\boldsymbol{" : "\\mathbf{");
        put_name(k, s->base, NULL);
        put(k, "}");
    } else {
        put_name(k, s->base, "\\mathit{");
    }
    if (s->sub != NULL || s->axis != 0) {
        put(k, "_{");
        if (s->sub != NULL)
            put_sub(k, s->sub);
        if (s->axis != 0) {
            if (s->sub != NULL && is_greek(s->sub))
                put(k, " ");
            buf_putc(k->out, s->axis);
        }
        put(k, "}");
    }
    for (int i = 0; i < s->primed; i++)
        put(k, "'");
    if (s->primed > 0)
        put(k, "}");
}

/* ---- numbers and units ---- */

static void number(struct walk *k, const struct digits *d)
{
    put_bytes(k, d->text, d->length);
    if (d->exponent10 != 0) {
        put(k, " \\cdot 10^{");
        char exponent[12];
        buf_put(k->out, exponent, integer_text(d->exponent10, exponent));
        put(k, "}");
    }
    if (d->pi)
        put(k, "\\pi");
}

static void degrees(struct walk *k, const struct digits *d)
{
    put(k, d->exponent10 != 0 ? "{" : ""); /* one thing, so that the mark is its only superscript */
    number(k, d);
    put(k, d->exponent10 != 0 ? "}^{\\circ}" : "^{\\circ}");
}

static void unit(struct walk *k, struct dimension d, const struct units *units, bool one)
{
    (void)one;
    if (d.angle) {
        put(k, "\\,\\mathrm{rad}");
        return;
    }
    char name[64];
    size_t start = k->out->length;
    put_unit_name(k, d, units);
    size_t length = k->out->length - start;
    if (length == 0 || length >= sizeof name)
        return;
    memcpy(name, k->out->data + start, length);
    name[length] = '\0';
    k->out->length = start;
    put(k, "\\,\\mathrm{");
    put_letters(k, name);
    put(k, "}");
}

static void sum_label(struct walk *k, enum sum_label label, char axis, const char *about,
                      bool is_vector)
{
    bool is_moment = label == LABEL_SUM_MOMENT;
    put(k, "\\sum ");
    symbol(k,
           &(struct symbol){
               .base = is_moment ? "M" : "F", .sub = is_moment ? about : NULL, .axis = axis},
           is_vector);
}

static void times(struct walk *k, enum start right)
{
    static const char *const sign[START_MAX_] = {" \\cdot ", "\\,", " "};
    put(k, sign[right]);
}

static void put_row(struct walk *k, qv v)
{
    for (int axis = 0; axis < 3; axis++) {
        q x = qv_component(k->w, v, axis);
        put(k, axis > 0 ? " & " : "");
        if (q_is_none(x))
            put(k, k->writer->zero);
        else
            put_scalar(k, x, BINDS_SUM);
    }
}

static void determinant(struct walk *k, qv a, qv b)
{
    static const char *const letter[] = {"\\mathbf{i}", " & \\mathbf{j}", " & \\mathbf{k}"};
    put(k, "\\begin{vmatrix} ");
    for (int axis = 0; axis < 3; axis++) {
        put(k, letter[axis]);
        for (int i = 0; i < k->unit_vector_primes; i++)
            put(k, k->writer->prime);
    }
    put(k, " \\\\ ");
    put_row(k, a);
    put(k, " \\\\ ");
    put_row(k, b);
    put(k, " \\end{vmatrix}");
}

/* ---- prose ---- */

static const struct {
    const char *utf8, *latex;
} marks[] = {{"’", "'"},  {"‘", "`"},   {"“", "``"},        {"”", "''"},
             {"–", "--"}, {"—", "---"}, {"…", "\\ldots{}"}, {"\u00a0", "~"}};

static const char *mark_of(const char *text, size_t *ret_length)
{
    for (size_t i = 0; (unsigned char)*text >= 0x80 && i < sizeof marks / sizeof *marks; i++) {
        size_t length = strlen(marks[i].utf8);
        if (strncmp(text, marks[i].utf8, length) == 0) {
            *ret_length = length;
            return marks[i].latex;
        }
    }
    return NULL;
}

/* `length` bytes of prose; what is mathematics in it stands between `open` and `close`. */
static void put_prose(struct walk *k, const char *text, size_t length, const char *open,
                      const char *close)
{
    for (const char *c = text, *end = text + length; c < end;) {
        size_t bytes = 1;
        const char *macro = macro_of(c, &bytes), *latex = macro;
        if (macro != NULL) {
            put(k, open);
            put(k, macro);
            put(k, close);
        } else if ((latex = mark_of(c, &bytes)) != NULL || (latex = escape_of(*c)) != NULL) {
            put(k, latex);
        } else {
            buf_putc(k->out, *c);
        }
        c += bytes;
    }
}

static void prose(struct walk *k, const char *text, size_t length)
{
    put(k, "\\text{");
    put_prose(k, text, length, "}", "\\text{");
    put(k, "}");
}

static void paragraph_prose(struct walk *k, const char *text, size_t length)
{
    put_prose(k, text, length, "\\(", "\\)");
}

#define FUNCTION(name)                                                                             \
    {                                                                                              \
        name, " ", "", BINDS_PREFIX, BINDS_ATOM, 0, true                                           \
    }
#define INVERSE(name)                                                                              \
    {                                                                                              \
        name, NULL, "", BINDS_PREFIX, BINDS_NEVER, 0, false                                        \
    }
#define LATEX_TABLE                                                                                \
    .op = {[OP_DIV] = {"\\frac{", "}{", "}", BINDS_POWER, BINDS_SUM, BINDS_SUM, false},            \
           [OP_SQUARE] = {"", NULL, "^{2}", BINDS_POWER, BINDS_ATOM, 0, false},                    \
           [OP_SQRT] = {"\\sqrt{", NULL, "}", BINDS_POWER, BINDS_SUM, 0, false},                   \
           [OP_ABS] = {"\\left|", NULL, "\\right|", BINDS_ATOM, BINDS_SUM, 0, false},              \
           [OP_SIN] = FUNCTION("\\sin"),                                                           \
           [OP_COS] = FUNCTION("\\cos"),                                                           \
           [OP_TAN] = FUNCTION("\\tan"),                                                           \
           [OP_ASIN] = INVERSE("\\sin^{-1}"),                                                      \
           [OP_ACOS] = INVERSE("\\cos^{-1}"),                                                      \
           [OP_ATAN] = INVERSE("\\tan^{-1}"),                                                      \
           [OP_DOT] = {"", " \\cdot ", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM, false},         \
           [OP_NORM] = {"\\left|", NULL, "\\right|", BINDS_ATOM, BINDS_SUM, 0, false}},            \
    .squared = {FUNCTION("\\sin^{2}"), FUNCTION("\\cos^{2}"), FUNCTION("\\tan^{2}")},              \
    .vector_op = {[VECTOR_OVER] = {"\\frac{", "}{", "}", BINDS_POWER, BINDS_SUM, BINDS_SUM,        \
                                   false},                                                         \
                  [VECTOR_CROSS] = {"", " \\times ", "", BINDS_QUOTIENT, BINDS_ATOM, BINDS_ATOM,   \
                                    false}},                                                       \
    .name = "latex", .line = {"", ""}, .sentence = {"", ""}, .is = " = ", .equals = " = ",         \
    .plus = " + ", .minus = " - ", .negative = "-", .zero = "0", .pause = "",                      \
    .bracket = {"\\left(", "\\right)"}, .brace = {"\\left\\{", "\\right\\}"},                      \
    .unit_vector = {"\\,\\mathbf{i}", "\\,\\mathbf{j}", "\\,\\mathbf{k}"}, .prime = "'",           \
    .colon = ":\\quad ", .restated = ";\\quad ",                                                   \
    .sense = {"{\\rightarrow}^{+}\\;", "{\\uparrow}^{+}\\;", "{\\circlearrowleft}^{+}\\;"},        \
    .times = times, .number = number, .degrees = degrees, .symbol = symbol, .unit = unit,          \
    .sum_label = sum_label, .determinant = determinant

const struct writer latex_writer = {LATEX_TABLE, .inline_of = {"", ""}, .prose = prose};
const struct writer latex_paragraph_writer = {LATEX_TABLE, .inline_of = {"\\(", "\\)"},
                                              .prose = paragraph_prose};
