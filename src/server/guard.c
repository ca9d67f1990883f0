#include "server/guard.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

static void refuse(struct guard *g, enum problem_code code, const char *detail, bool closes)
{
    g->closes = g->closes || closes;
    if (g->code == PROBLEM_NONE) {
        g->code = code;
        g->detail = detail;
    }
}

static bool is_token(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (!isalnum((unsigned char)text[i]) && !strchr("!#$%&'*+-.^_`|~", text[i]))
            return false;
    return length > 0 && !memchr(text, 0, length);
}

static bool is_hex(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
}

/* host or host:port; an IPv6 address in brackets. */
static bool is_host(const char *text)
{
    size_t length = strlen(text);
    if (*text == '[') {
        size_t n = strspn(text + 1, "0123456789abcdefABCDEF:.") + 1;
        if (text[n] != ']')
            return false;
        text += n + 1;
        if (*text && *text != ':')
            return false;
    } else {
        for (; *text && *text != ':'; text++)
            if (!isalnum((unsigned char)*text) && !strchr("-._~%!$&'()*+,;=", *text))
                return false;
    }
    return length <= 255 && (!*text || strspn(text + 1, "0123456789") == strlen(text + 1));
}

void guard_target(struct guard *g, const char *target)
{
    size_t length = strlen(target);
    *g = (struct guard){0};
    if (length > GUARD_TARGET_BYTES)
        refuse(g, PROBLEM_URI_TOO_LONG, "The address has more than 8000 bytes.", false);
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)target[i];
        g->arguments += c == '&';
        if (c <= ' ' || c > '~')
            refuse(g, PROBLEM_BAD_REQUEST,
                   "The request target holds a space, a control character or a byte beyond ASCII; "
                   "they are written as %XX.",
                   true);
        else if (c == '#')
            refuse(g, PROBLEM_BAD_REQUEST,
                   "The request target holds a fragment (#); a fragment is not sent.", true);
        else if (c == '%' && (!is_hex(target[i + 1]) || !is_hex(target[i + 2])))
            refuse(g, PROBLEM_BAD_REQUEST,
                   "A % in the request target is not followed by two hexadecimal digits.", true);
        else if (c == '%' && target[i + 1] == '0' && target[i + 2] == '0')
            refuse(g, PROBLEM_BAD_REQUEST, "The request target holds %00.", true);
    }
    bool absolute = !strncasecmp(target, "http://", 7) || !strncasecmp(target, "https://", 8);
    g->is_asterisk = !strcmp(target, "*");
    if (*target != '/' && !absolute && !g->is_asterisk)
        refuse(g, PROBLEM_BAD_REQUEST,
               "The request target is a path such as /v1, or a whole http address.", true);
}

static void field_content_length(struct guard *g, const char *value)
{
    uint64_t length = 0;
    size_t digits = strspn(value, "0123456789");
    if (digits == 0 || digits > 18 || value[digits]) {
        refuse(g, PROBLEM_BAD_REQUEST, "Content-Length is not one whole number.", true);
        return;
    }
    for (size_t i = 0; i < digits; i++)
        length = length * 10 + (uint64_t)(value[i] - '0');
    if (g->has_length && length != g->content_length)
        refuse(g, PROBLEM_BAD_REQUEST, "Two Content-Length fields disagree.", true);
    g->has_length = true;
    g->content_length = length;
}

static bool has_control(const char *value, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)value[i];
        if ((c < ' ' && c != '\t') || c == 0x7f)
            return true;
    }
    return false;
}

/* What the service reads of a field. */
static void keep_field(struct guard *g, const char *name, size_t name_length, const char *value)
{
#define IS(text) (name_length == sizeof(text) - 1 && !strncasecmp(name, text, name_length))
    switch (name[0] | 0x20) {
    case 'a':
        if (IS("Accept") && g->accepts < GUARD_ACCEPTS)
            g->accept[g->accepts++] = value;
        else if (IS("Access-Control-Request-Method"))
            g->preflight_method = value;
        break;
    case 'c':
        if (IS("Content-Length"))
            field_content_length(g, value);
        else if (IS("Content-Type")) {
            if (g->content_type)
                refuse(g, PROBLEM_BAD_REQUEST, "There are two Content-Type fields.", false);
            g->content_type = value;
        } else if (IS("Content-Encoding") && strcasecmp(value, "identity"))
            g->content_encoding = value;
        break;
    case 'e':
        if (IS("Expect")) {
            if (!strcasecmp(value, "100-continue"))
                g->expects_continue = true;
            else
                refuse(g, PROBLEM_EXPECTATION_FAILED,
                       "Expect asks for something other than 100-continue.", true);
        }
        break;
    case 'h':
        if (IS("Host")) {
            g->hosts++;
            g->host = value;
        }
        break;
    case 'i':
        if (IS("If-None-Match"))
            g->if_none_match = value;
        break;
    case 'o':
        if (IS("Origin"))
            g->origin = value;
        break;
    case 't':
        if (IS("Transfer-Encoding")) {
            g->transfer_encodings++;
            g->transfer_encoding = value;
        } else if (IS("traceparent"))
            g->traceparent = value;
        break;
    case 'x':
        if (IS("X-Request-Id"))
            g->request_id = value;
        break;
    default:
        break;
    }
#undef IS
}

void guard_field(struct guard *g, const char *name, size_t name_length, const char *value,
                 size_t value_length)
{
    if (++g->fields > GUARD_FIELDS)
        refuse(g, PROBLEM_HEADERS_TOO_LARGE, "There are more than 64 header fields.", false);
    g->field_bytes += name_length + value_length;
    if (g->field_bytes > GUARD_FIELD_BYTES)
        refuse(g, PROBLEM_HEADERS_TOO_LARGE, "The header fields have more than 16000 bytes.",
               false);
    if (!is_token(name, name_length))
        refuse(g, PROBLEM_BAD_REQUEST,
               "A field name holds a character that it may not, or white space before its colon.",
               true);
    else if (value && has_control(value, value_length))
        refuse(g, PROBLEM_BAD_REQUEST, "A field value holds a control character.", true);
    else
        keep_field(g, name, name_length, value ? value : "");
}

void guard_finish(struct guard *g, const char *method, const char *version)
{
    bool is_1_0 = !strcmp(version, "HTTP/1.0");
    if (!is_token(method, strlen(method)))
        refuse(g, PROBLEM_BAD_REQUEST, "The method is not a token.", true);
    if (g->is_asterisk && strcmp(method, "OPTIONS"))
        refuse(g, PROBLEM_BAD_REQUEST, "The request target * is for OPTIONS only.", true);
    if (g->hosts > 1)
        refuse(g, PROBLEM_BAD_REQUEST, "There are two Host fields.", true);
    else if (g->hosts == 0 && !is_1_0)
        refuse(g, PROBLEM_BAD_REQUEST, "There is no Host field.", true);
    else if (g->hosts == 1 && !is_host(g->host))
        refuse(g, PROBLEM_BAD_REQUEST, "Host is not a host name or address with an optional port.",
               true);
    if (g->transfer_encodings == 0)
        return;
    if (g->has_length)
        refuse(g, PROBLEM_BAD_REQUEST, "Content-Length and Transfer-Encoding exclude each other.",
               true);
    else if (is_1_0)
        refuse(g, PROBLEM_BAD_REQUEST, "HTTP/1.0 has no Transfer-Encoding.", true);
    else if (g->transfer_encodings > 1 || strcasecmp(g->transfer_encoding, "chunked"))
        refuse(g, PROBLEM_NOT_IMPLEMENTED, "The only transfer coding known here is chunked.", true);
}

bool guard_trace_id(const char *text, char ret_id[33])
{
    static const char hex[] = "0123456789abcdef";
    if (strlen(text) != 55 || strncmp(text, "00-", 3) || text[35] != '-' || text[52] != '-')
        return false;
    if (strspn(text + 3, hex) != 32 || strspn(text + 36, hex) != 16 || strspn(text + 53, hex) != 2)
        return false;
    if (strspn(text + 3, "0") == 32 || strspn(text + 36, "0") == 16)
        return false;
    memcpy(ret_id, text + 3, 32);
    ret_id[32] = 0;
    return true;
}

bool guard_is_request_id(const char *text)
{
    size_t length = strlen(text);
    for (size_t i = 0; i < length; i++)
        if (!isalnum((unsigned char)text[i]) && !strchr("._-", text[i]))
            return false;
    return length >= 1 && length <= 64;
}
