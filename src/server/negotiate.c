#include "server/negotiate.h"

#include <stddef.h>
#include <string.h>
#include <strings.h>

static const struct {
    const char *type; /* without parameters */
    const char *content_type;
} medias[MEDIA_MAX_] = {
    [MEDIA_JSON] = {"application/json", "application/json"},
    [MEDIA_TEXT] = {"text/plain", "text/plain; charset=utf-8"},
    [MEDIA_LATEX] = {"text/x-latex", "text/x-latex; charset=utf-8"},
    [MEDIA_SCHEMA] = {"application/schema+json", "application/schema+json"},
    [MEDIA_PROBLEM] = {"application/problem+json", "application/problem+json"},
    [MEDIA_METRICS] = {"text/plain", "text/plain; version=0.0.4; charset=utf-8"},
};

const char *media_content_type(enum media media) { return medias[media].content_type; }

static const char *skip_space(const char *p)
{
    while (*p == ' ' || *p == '\t')
        p++;
    return p;
}

/* The end of one list entry or parameter: the next of `ends` outside quotes. */
static const char *find_end(const char *p, const char *ends)
{
    for (bool quoted = false; *p; p++) {
        if (quoted && *p == '\\' && p[1])
            p++;
        else if (*p == '"')
            quoted = !quoted;
        else if (!quoted && strchr(ends, *p))
            return p;
    }
    return p;
}

/* "0.8" as 800; -1 where it is no weight. */
static int read_weight(const char *p, const char *end)
{
    if (p == end || (*p != '0' && *p != '1'))
        return -1;
    int weight = (*p++ - '0') * 1000;
    if (p == end)
        return weight;
    if (*p++ != '.')
        return -1;
    for (int place = 100; p < end && *p != ' ' && *p != '\t'; p++, place /= 10) {
        if (*p < '0' || *p > '9' || place == 0)
            return -1;
        weight += (*p - '0') * place;
    }
    return weight > 1000 ? -1 : weight;
}

/* How closely a range fits: 3 exactly, 2 type/ *, 1 * / *, 0 not at all. */
static int closeness(const char *range, size_t length, const char *type)
{
    size_t slash = (size_t)(strchr(type, '/') - type);
    if (length == 3 && !strncmp(range, "*/*", 3))
        return 1;
    if (length == slash + 2 && range[slash + 1] == '*' && !strncasecmp(range, type, slash + 1))
        return 2;
    return length == strlen(type) && !strncasecmp(range, type, length) ? 3 : 0;
}

bool negotiate(const char *accept, unsigned offered, enum media *ret_media)
{
    int weight[MEDIA_MAX_] = {0}, close[MEDIA_MAX_] = {0};
    bool any = false;
    for (const char *p = accept ? accept : ""; *p;) {
        p = skip_space(p);
        const char *end = find_end(p, ",");
        const char *range_end = find_end(p, ";,");
        size_t length = (size_t)(range_end - p);
        while (length > 0 && (p[length - 1] == ' ' || p[length - 1] == '\t'))
            length--;
        int w = 1000;
        for (const char *q = range_end; q < end; q = find_end(q, ";,")) {
            q = skip_space(q + 1);
            if ((*q == 'q' || *q == 'Q') && q[1] == '=')
                w = read_weight(q + 2, find_end(q, ";,"));
        }
        if (length > 0 && w >= 0) {
            any = true;
            for (int m = 0; m < MEDIA_MAX_; m++) {
                int c = closeness(p, length, medias[m].type);
                if (c > close[m] || (c && c == close[m] && w > weight[m])) {
                    close[m] = c;
                    weight[m] = w;
                }
            }
        }
        p = *end ? end + 1 : end;
    }
    int best = -1, first = -1;
    for (int m = MEDIA_MAX_ - 1; m >= 0; m--) {
        if (!(offered >> m & 1))
            continue;
        first = m;
        if (!any || (weight[m] > 0 && (best < 0 || weight[m] >= weight[best])))
            best = m;
    }
    *ret_media = (enum media)(best < 0 ? first : best);
    return best >= 0;
}
