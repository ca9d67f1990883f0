/* pattern.c: JSON Schema's `pattern` is a regular expression of ECMA-262 in Unicode mode; PCRE2
 * runs it. The two agree on nearly all; what differs is set by options or rewritten here. */
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "schema/node.h"

/* ECMA-262 knows the long names of general categories, PCRE2 the short ones (The Unicode Standard,
 * section 4.5, table 4-4). */
static const struct {
    const char *name, *short_name;
} categories[] = {
    {"Letter", "L"},
    {"Uppercase_Letter", "Lu"},
    {"Lowercase_Letter", "Ll"},
    {"Titlecase_Letter", "Lt"},
    {"Modifier_Letter", "Lm"},
    {"Other_Letter", "Lo"},
    {"Mark", "M"},
    {"Number", "N"},
    {"Decimal_Number", "Nd"},
    {"digit", "Nd"},
    {"Punctuation", "P"},
    {"punct", "P"},
    {"Symbol", "S"},
    {"Separator", "Z"},
    {"Space_Separator", "Zs"},
};

/* White space and line ends of ECMA-262 (\s); PCRE2 has ASCII only. */
static const char spaces[] =
    "\\t-\\r \\u{a0}\\u{1680}\\u{2000}-\\u{200a}\\u{2028}\\u{2029}\\u{202f}"
    "\\u{205f}\\u{3000}\\u{feff}";

/* At \p{ or \P{: writes it with PCRE2's name; returns what was read. */
static size_t rewrite_category(struct buf *b, const char *at)
{
    size_t length = strcspn(at + 3, "}");
    buf_put(b, at, 3);
    for (size_t i = 0; i < sizeof categories / sizeof *categories; i++)
        if (strlen(categories[i].name) == length &&
            memcmp(categories[i].name, at + 3, length) == 0) {
            buf_puts(b, categories[i].short_name);
            return 3 + length;
        }
    buf_put(b, at + 3, length);
    return 3 + length;
}

#define REWRITTEN_TIMES sizeof spaces /* a letter becomes at most a set of all spaces */

static const char *rewrite(struct arena *arena, const char *text)
{
    struct buf b;
    buf_init(&b, arena, REWRITTEN_TIMES * strlen(text) + 1);
    bool in_class = false;
    while (*text != '\0') {
        if (text[0] == '\\' && (text[1] == 'p' || text[1] == 'P') && text[2] == '{') {
            text += rewrite_category(&b, text);
        } else if (text[0] == '\\' && text[1] == 's') {
            buf_puts(&b, in_class ? "" : "[");
            buf_puts(&b, spaces);
            buf_puts(&b, in_class ? "" : "]");
            text += 2;
        } else if (text[0] == '\\' && text[1] == 'S' && !in_class) {
            buf_puts(&b, "[^");
            buf_puts(&b, spaces);
            buf_puts(&b, "]");
            text += 2;
        } else if (text[0] == '\\' && text[1] != '\0') {
            buf_put(&b, text, 2);
            text += 2;
        } else {
            if (*text == '[')
                in_class = true;
            else if (*text == ']')
                in_class = false;
            buf_putc(&b, *text++);
        }
    }
    return buf_text(&b);
}

const pcre2_code *pattern_compile(struct arena *arena, pcre2_compile_context *context,
                                  const char *text, const char **ret_message)
{
    *ret_message = "no memory left";
    const char *pattern = rewrite(arena, text);
    if (pattern == NULL)
        return NULL;
    int error;
    size_t offset;
    /* $ is the very end; \u0041 is a character; a group that took no part matches empty. */
    pcre2_code *code = pcre2_compile((PCRE2_SPTR)pattern, PCRE2_ZERO_TERMINATED,
                                     PCRE2_UTF | PCRE2_DOLLAR_ENDONLY | PCRE2_ALT_BSUX |
                                         PCRE2_MATCH_UNSET_BACKREF | PCRE2_NEVER_BACKSLASH_C,
                                     &error, &offset, context);
    if (code == NULL) {
        PCRE2_UCHAR message[160];
        pcre2_get_error_message(error, message, sizeof message);
        const char *kept = arena_printf(arena, "%s", (const char *)message);
        if (kept != NULL)
            *ret_message = kept;
    }
    return code;
}
