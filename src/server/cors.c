#include "server/cors.h"

#include <string.h>

static bool is_listed(const char *list, const char *origin)
{
    size_t length = strlen(origin);
    while (true) {
        size_t n = strcspn(list, ",");
        if (n == length && !strncmp(list, origin, n))
            return true;
        if (!list[n])
            return false;
        list += n + 1;
    }
}

void cors_grant(const char *setting, const struct guard *head, const struct admission *admission,
                struct response *r)
{
    bool is_open = !strcmp(setting, "*");
    if (!*setting)
        return;
    if (!is_open)
        response_header(r, "Vary", "Origin");
    if (!head->origin || (!is_open && !is_listed(setting, head->origin)))
        return;
    response_header(r, "Access-Control-Allow-Origin", is_open ? "*" : head->origin);
    if (admission->method == METHOD_OPTIONS && head->preflight_method && admission->route) {
        response_header(r, "Access-Control-Allow-Methods", admission->route->allow);
        response_header(r, "Access-Control-Allow-Headers",
                        "Content-Type, X-Request-Id, traceparent");
        response_header(r, "Access-Control-Max-Age", "3600");
    } else {
        response_header(r, "Access-Control-Expose-Headers", "ETag, Retry-After, X-Request-Id");
    }
}
