/* scan.h: the strict look over a JSON text before cJSON parses it. Inside json/ only. */
#ifndef JSON_SCAN_H
#define JSON_SCAN_H

#include <stdint.h>

#include "json/json.h"

struct json_span {
    uint32_t start, length; /* bytes */
};

/* What the scan learns on its way. */
struct json_scan {
    const char *bytes;
    size_t length;
    const struct json_limits *limits;
    struct json_span *numbers; /* number tokens in the order of the text; room for one every two
                                  bytes, or for `limits->values` */
    unsigned number_count;
    unsigned value_count;
    size_t token_bytes; /* of the number tokens, each with a NUL */
};

/* True where the text is one RFC 8259 text within the limits: grammar, UTF-8, escapes, surrogate
 * pairs, no U+0000, nesting. Otherwise the problem says where and what would be right. */
bool json_scan(struct json_scan *s, struct problem *reterr);

#endif
