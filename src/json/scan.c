/* scan.c: RFC 8259, strictly, in one pass: what cJSON lets through is caught here, and what is
 * wrong is said with its line and column in words that help whoever typed it. */
#include "json/scan.h"

#include <stdio.h>
#include <string.h>

struct scanner {
    struct json_scan *out;
    const char *begin, *at, *end;
    unsigned depth;
    struct problem *reterr;
};

/* ---- saying what is wrong ---- */

/* Lines end with LF, CR or CRLF; a column is a character, both counted from 1. */
static void line_and_column(const struct scanner *s, const char *at, size_t *line, size_t *column)
{
    *line = *column = 1;
    for (const char *c = s->begin; c < at; c++) {
        if (*c == '\n' || (*c == '\r' && !(c + 1 < s->end && c[1] == '\n'))) {
            ++*line;
            *column = 1;
        } else if (*c != '\r' && ((unsigned char)*c & 0xc0) != 0x80) {
            ++*column;
        }
    }
}

/* Bytes of the UTF-8 character at `at`, or 0 where it is none (RFC 3629, section 4). */
static size_t utf8_length(const char *at, const char *end)
{
    const unsigned char *c = (const unsigned char *)at;
    size_t left = (size_t)(end - at), n;
    unsigned char low = 0x80, high = 0xbf; /* of the second byte */
    if (c[0] < 0x80)
        return 1;
    if (c[0] >= 0xc2 && c[0] <= 0xdf) {
        n = 2;
    } else if ((c[0] & 0xf0) == 0xe0) {
        n = 3;
        low = c[0] == 0xe0 ? 0xa0 : 0x80;
        high = c[0] == 0xed ? 0x9f : 0xbf;
    } else if (c[0] >= 0xf0 && c[0] <= 0xf4) {
        n = 4;
        low = c[0] == 0xf0 ? 0x90 : 0x80;
        high = c[0] == 0xf4 ? 0x8f : 0xbf;
    } else {
        return 0;
    }
    if (left < n || c[1] < low || c[1] > high)
        return 0;
    for (size_t i = 2; i < n; i++)
        if ((c[i] & 0xc0) != 0x80)
            return 0;
    return n;
}

/* What stands at `at`, for "found …". */
static const char *found(const struct scanner *s, const char *at, char room[32])
{
    if (at >= s->end)
        return "the end of the text";
    unsigned char c = (unsigned char)*at;
    size_t n = utf8_length(at, s->end);
    if (c == '\n' || c == '\r')
        return "the end of the line";
    if (c == '\t')
        return "a tab";
    if (c < 0x20 || c == 0x7f)
        snprintf(room, 32, "the control character U+%04X", c);
    else if (n == 0)
        snprintf(room, 32, "the byte 0x%02X", c);
    else
        snprintf(room, 32, "'%.*s'", (int)n, at);
    return room;
}

/* A hint for what people type who do not know JSON by heart; "" where there is none. */
static const char *hint(const struct scanner *s, const char *at, bool value_is_expected)
{
    static const struct {
        const char *typed, *hint;
        bool only_as_value;
    } rows[] = {
        {"'", ": JSON writes texts and names in double quotes", false},
        {"\u201c", ": JSON writes texts in straight double quotes, not typographic ones", false},
        {"\u201d", ": JSON writes texts in straight double quotes, not typographic ones", false},
        {"\u201e", ": JSON writes texts in straight double quotes, not typographic ones", false},
        {"\u2018", ": JSON writes texts in straight double quotes, not typographic ones", false},
        {"\u2019", ": JSON writes texts in straight double quotes, not typographic ones", false},
        {"\u2212", ": the minus of JSON is the hyphen -", true},
        {"\u2013", ": the minus of JSON is the hyphen -", true},
        {"//", ": JSON has no comments", false},
        {"/*", ": JSON has no comments", false},
        {"#", ": JSON has no comments", false},
        {"+", ": a positive number has no sign in JSON", true},
        {".", ": write a digit before the decimal point, as in 0.5", true},
        {"NaN", ": JSON has no NaN", true},
        {"nan", ": JSON has no NaN", true},
        {"Inf", ": JSON has no infinity", true},
        {"inf", ": JSON has no infinity", true},
        {"True", ": write true", true},
        {"TRUE", ": write true", true},
        {"False", ": write false", true},
        {"FALSE", ": write false", true},
        {"None", ": write null", true},
        {"NULL", ": write null", true},
        {"Null", ": write null", true},
        {"undefined", ": JSON has no undefined; leave the member out", true},
        {"\xef\xbb\xbf", ": a byte order mark; send UTF-8 without one", true},
        {"\xff\xfe", ": this looks like UTF-16; send UTF-8", true},
        {"\xfe\xff", ": this looks like UTF-16; send UTF-8", true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t n = strlen(rows[i].typed);
        if ((value_is_expected || !rows[i].only_as_value) && (size_t)(s->end - at) >= n &&
            memcmp(at, rows[i].typed, n) == 0)
            return rows[i].hint;
    }
    return "";
}

static bool refuse(const struct scanner *s, const char *at, const char *what)
{
    size_t line, column;
    line_and_column(s, at, &line, &column);
    problem_set(s->reterr, PROBLEM_NOT_JSON, "line %zu, column %zu: %s", line, column, what);
    return false;
}

static bool refuse_expecting(const struct scanner *s, const char *expected, bool value_is_expected)
{
    char room[32], what[240];
    snprintf(what, sizeof what, "%s, found %s%s", expected, found(s, s->at, room),
             hint(s, s->at, value_is_expected));
    return refuse(s, s->at, what);
}

/* The text ended inside the list or object that was opened at `open`. */
static bool refuse_unclosed(const struct scanner *s, const char *open)
{
    size_t line, column;
    char what[160];
    line_and_column(s, open, &line, &column);
    snprintf(what, sizeof what,
             "the text ends here, but the %s of line %zu, column %zu is not closed: %s is missing",
             *open == '{' ? "object" : "list", line, column, *open == '{' ? "}" : "]");
    return refuse(s, s->end, what);
}

/* ---- the grammar ---- */

static void skip_space(struct scanner *s)
{
    while (s->at < s->end && (*s->at == ' ' || *s->at == '\n' || *s->at == '\r' || *s->at == '\t'))
        s->at++;
}

static bool is_digit(const struct scanner *s)
{
    return s->at < s->end && *s->at >= '0' && *s->at <= '9';
}

static bool scan_number(struct scanner *s)
{
    const char *start = s->at;
    if (*s->at == '-') {
        s->at++;
        if (!is_digit(s))
            return refuse_expecting(s, "a digit expected after the minus", true);
    }
    if (*s->at == '0') {
        s->at++;
        if (is_digit(s))
            return refuse(s, start, "a number does not begin with a 0 before other digits");
    } else {
        while (is_digit(s))
            s->at++;
    }
    if (s->at < s->end && *s->at == '.') {
        s->at++;
        if (!is_digit(s))
            return refuse_expecting(s, "a digit expected after the decimal point", false);
        while (is_digit(s))
            s->at++;
    }
    if (s->at < s->end && (*s->at == 'e' || *s->at == 'E')) {
        s->at++;
        if (s->at < s->end && (*s->at == '+' || *s->at == '-'))
            s->at++;
        if (!is_digit(s))
            return refuse_expecting(s, "a digit expected in the exponent", false);
        while (is_digit(s))
            s->at++;
    }
    size_t length = (size_t)(s->at - start);
    s->out->numbers[s->out->number_count++] =
        (struct json_span){(uint32_t)(start - s->begin), (uint32_t)length};
    s->out->token_bytes += length + 1;
    return true;
}

/* Four hexadecimal digits; -1 where there are not four. */
static int hex4(const char *at, const char *end)
{
    int n = 0;
    if (end - at < 4)
        return -1;
    for (int i = 0; i < 4; i++) {
        char c = at[i];
        int digit = c >= '0' && c <= '9'   ? c - '0'
                    : c >= 'a' && c <= 'f' ? c - 'a' + 10
                    : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                           : -1;
        if (digit < 0)
            return -1;
        n = n * 16 + digit;
    }
    return n;
}

/* At a backslash. */
static bool scan_escape(struct scanner *s)
{
    const char *start = s->at++;
    if (s->at < s->end && *s->at != '\0' && strchr("\"\\/bfnrt", *s->at) != NULL) {
        s->at++;
        return true;
    }
    if (s->at == s->end || *s->at != 'u')
        return refuse_expecting(s, "after \\ one of \" \\ / b f n r t u expected", false);
    int unit = hex4(s->at + 1, s->end);
    if (unit < 0)
        return refuse(s, start, "\\u is followed by exactly four hexadecimal digits");
    s->at += 5;
    if (unit == 0)
        return refuse(s, start, "the character U+0000 is not taken in a text");
    if (unit < 0xd800 || unit > 0xdfff)
        return true;
    if (unit < 0xdc00 && s->end - s->at >= 6 && s->at[0] == '\\' && s->at[1] == 'u') {
        int second = hex4(s->at + 2, s->end);
        if (second >= 0xdc00 && second <= 0xdfff) {
            s->at += 6;
            return true;
        }
    }
    return refuse(s, start,
                  "half of a surrogate pair: \\ud800 to \\udbff and \\udc00 to \\udfff "
                  "stand together, in this order");
}

/* At the opening quote. */
static bool scan_string(struct scanner *s)
{
    const char *open = s->at++;
    for (;;) {
        const char *at = s->at;
        while (at < s->end && (unsigned char)*at >= 0x20 && (unsigned char)*at < 0x80 &&
               *at != '"' && *at != '\\')
            at++;
        s->at = at;
        if (at == s->end)
            return refuse(s, open, "the text in quotes that begins here has no closing quote");
        unsigned char c = (unsigned char)*s->at;
        if (c == '"') {
            s->at++;
            return true;
        }
        if (c == '\\') {
            if (!scan_escape(s))
                return false;
        } else if (c == '\n' || c == '\r') {
            return refuse(s, s->at,
                          "the line ends inside a text in quotes: close it with \" or write \\n");
        } else if (c < 0x20) {
            return refuse_expecting(
                s, "a control character in a text is written as an escape, such as \\t", false);
        } else {
            size_t n = utf8_length(s->at, s->end);
            if (n == 0)
                return refuse_expecting(s, "UTF-8 expected", false);
            s->at += n;
        }
    }
}

static bool scan_word(struct scanner *s, const char *word)
{
    size_t n = strlen(word);
    if ((size_t)(s->end - s->at) < n || memcmp(s->at, word, n) != 0)
        return refuse_expecting(s, "a value expected (true, false, null, a number, a text, [ or {)",
                                true);
    s->at += n;
    return true;
}

static bool scan_value(struct scanner *s);

/* After a list's or object's opening: `close` at once, or entries with commas between. */
static bool scan_entries(struct scanner *s, const char *open, char close)
{
    bool is_object = close == '}';
    s->at++;
    skip_space(s);
    if (s->at < s->end && *s->at == close) {
        s->at++;
        return true;
    }
    const char *comma = NULL; /* the one just passed */
    for (;;) {
        if (s->at == s->end)
            return refuse_unclosed(s, open);
        if (comma != NULL && *s->at == close)
            return refuse(s, comma,
                          is_object ? "no comma after the last member of an object"
                                    : "no comma after the last entry of a list");
        if (is_object) {
            if (*s->at != '"')
                return refuse_expecting(s,
                                        comma != NULL
                                            ? "a name in double quotes expected after the comma"
                                            : "a name in double quotes or } expected after {",
                                        false);
            if (!scan_string(s))
                return false;
            skip_space(s);
            if (s->at == s->end)
                return refuse_unclosed(s, open);
            if (*s->at != ':')
                return refuse_expecting(s, "a colon expected after the name", false);
            s->at++;
            skip_space(s);
            if (s->at == s->end)
                return refuse_unclosed(s, open);
        }
        if (!scan_value(s))
            return false;
        skip_space(s);
        if (s->at == s->end)
            return refuse_unclosed(s, open);
        if (*s->at == close) {
            s->at++;
            return true;
        }
        if (*s->at != ',')
            return refuse_expecting(s,
                                    is_object ? "a comma or } expected after the value"
                                              : "a comma or ] expected after the value",
                                    false);
        comma = s->at++;
        skip_space(s);
    }
}

static bool scan_value(struct scanner *s)
{
    if (s->at == s->end)
        return refuse_expecting(s, "a value expected", true);
    if (++s->out->value_count > s->out->limits->values) {
        problem_set(s->reterr, PROBLEM_TOO_LARGE,
                    "The body has more than %u JSON values (the service's setting values-limit).",
                    s->out->limits->values);
        return false;
    }
    const char *open = s->at;
    switch (*open) {
    case '{':
    case '[':
        if (s->depth == s->out->limits->depth) {
            char what[80];
            snprintf(what, sizeof what, "lists and objects are nested more than %u deep",
                     s->out->limits->depth);
            return refuse(s, open, what);
        }
        s->depth++;
        if (!scan_entries(s, open, *open == '{' ? '}' : ']'))
            return false;
        s->depth--;
        return true;
    case '"':
        return scan_string(s);
    case 't':
        return scan_word(s, "true");
    case 'f':
        return scan_word(s, "false");
    case 'n':
        return scan_word(s, "null");
    default:
        if (*open == '-' || is_digit(s))
            return scan_number(s);
        return refuse_expecting(s, "a value expected", true);
    }
}

bool json_scan(struct json_scan *out, struct problem *reterr)
{
    struct scanner s = {
        .out = out,
        .begin = out->bytes,
        .at = out->bytes,
        .end = out->bytes + out->length,
        .reterr = reterr,
    };
    skip_space(&s);
    if (s.at == s.end) {
        problem_set(reterr, PROBLEM_NOT_JSON, "the body is empty: one JSON object is expected");
        return false;
    }
    if (!scan_value(&s))
        return false;
    skip_space(&s);
    if (s.at < s.end)
        return refuse_expecting(&s, "nothing more expected after the end of the JSON value", false);
    return true;
}
