#include "server/settings.h"

#include <ctype.h>
#include <netdb.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "base/limits.h"

#define TEXT_OF(x) #x
#define TEXT(x) TEXT_OF(x)

struct row {
    const char *name; /* --name and TIPTAIL_NAME, '-' written '_' */
    const char *help;
    size_t offset;
    bool is_text;
    const char *standard_text;
    unsigned standard, min, max;
    const char *(*refuse)(const char *text); /* what would be right, or NULL where the text is */
};

static const char *refuse_address(const char *text)
{
    struct addrinfo hints = {.ai_family = AF_UNSPEC, .ai_socktype = SOCK_STREAM}, *found = NULL;
    hints.ai_flags = AI_NUMERICHOST;
    if (getaddrinfo(text, NULL, &hints, &found))
        return "a numeric address such as 127.0.0.1, 0.0.0.0 or ::1";
    freeaddrinfo(found);
    return NULL;
}

static const char *refuse_log_level(const char *text)
{
    bool is_known = !strcmp(text, "info") || !strcmp(text, "warning") || !strcmp(text, "error") ||
                    !strcmp(text, "none");
    return is_known ? NULL : "one of info, warning, error, none";
}

static const char *refuse_sandbox(const char *text)
{
    bool is_known = !strcmp(text, "auto") || !strcmp(text, "require") || !strcmp(text, "off");
    return is_known ? NULL : "one of auto, require, off";
}

/* An origin is scheme://host or scheme://host:port (RFC 6454), nothing after it. */
static const char *refuse_cors(const char *text)
{
    static const char right[] = "*, or origins such as https://school.example with commas between";
    if (!*text || !strcmp(text, "*"))
        return NULL;
    while (true) {
        size_t length = strcspn(text, ",");
        const char *host = strstr(text, "://");
        if (!host || host == text || host + 3 >= text + length)
            return right;
        for (const char *p = text; p < host; p++)
            if (!isalnum((unsigned char)*p) && !strchr("+-.", *p))
                return right;
        for (const char *p = host + 3; p < text + length; p++)
            if (!isalnum((unsigned char)*p) && !strchr(".-:[]", *p))
                return right;
        if (!text[length])
            return NULL;
        text += length + 1;
    }
}

#define NUMBER(member, standard, least, most)                                                      \
    offsetof(struct settings, member), false, NULL, standard, least, most, NULL
#define STRING(member, standard, check)                                                            \
    offsetof(struct settings, member), true, standard, 0, 0, 0, check

static const struct row rows[] = {
    {"address", "numeric address to listen on; 0.0.0.0 or :: for every interface",
     STRING(address, "127.0.0.1", refuse_address)},
    {"port", "port to listen on; 0 takes any free one", NUMBER(port, 8080, 0, 65535)},
    {"threads", "event loops; 0 is one for each processor", NUMBER(threads, 0, 0, 256)},
    {"connections", "connections open at once", NUMBER(connections, 1024, 8, 1000000)},
    {"connections-per-client", "connections open at once from one address; 0 is no limit",
     NUMBER(connections_per_client, 0, 0, 1000000)},
    {"body-limit", "bytes of a request's body",
     NUMBER(body_bytes, LIMIT_BODY_BYTES, 1024, 1 << 28)},
    {"values-limit", "JSON values in a request's body",
     NUMBER(json_values, LIMIT_JSON_VALUES, 100, 20000000)},
    {"memory-limit", "MiB of memory that one request may take",
     NUMBER(memory_mib, LIMIT_ARENA_BYTES >> 20, 4, 65536)},
    {"idle-timeout", "seconds until an idle connection is closed",
     NUMBER(idle_seconds, 10, 1, 3600)},
    {"request-timeout", "seconds for a whole request to arrive",
     NUMBER(request_seconds, 20, 1, 3600)},
    {"answer-timeout", "seconds for an answer to be taken", NUMBER(answer_seconds, 60, 1, 3600)},
    {"drain-delay",
     "seconds from SIGTERM, when /readyz turns 503, until no connection is taken any more: longer "
     "than a load balancer needs to notice",
     NUMBER(drain_delay_seconds, 1, 0, 3600)},
    {"drain-timeout", "seconds after that for the last requests to finish",
     NUMBER(drain_seconds, 20, 0, 3600)},
    {"rate-limit", "computations a second for one client (429 beyond); 0 is no limit",
     NUMBER(rate, 0, 0, 1000000)},
    {"cors", "origins whose pages may call: *, or a list with commas; empty is none",
     STRING(cors, "", refuse_cors)},
    {"log-level",
     "what is logged on standard error: info is every request, warning those with a status from "
     "400, error those from 500, none nothing",
     STRING(log_level, "info", refuse_log_level)},
    {"sandbox",
     "what is given up once it listens (new privileges, files, new sockets, other programs): auto "
     "as much as the kernel can, require everything or do not start, off nothing",
     STRING(sandbox, "auto", refuse_sandbox)},
};
#define ROWS (sizeof rows / sizeof *rows)

/* "idle-timeout" as TIPTAIL_IDLE_TIMEOUT */
static void variable_name(const struct row *row, char name[64])
{
    snprintf(name, 64, "TIPTAIL_%s", row->name);
    for (char *p = name; *p; p++)
        *p = *p == '-' ? '_' : (char)toupper((unsigned char)*p);
}

__attribute__((format(printf, 3, 4))) static bool complain(char *message, size_t size,
                                                           const char *format, ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(message, size, format, args);
    va_end(args);
    return false;
}

static void put_standard(struct settings *s, const struct row *row)
{
    char *member = (char *)s + row->offset;
    if (row->is_text)
        memcpy(member, row->standard_text, strlen(row->standard_text) + 1);
    else
        memcpy(member, &row->standard, sizeof row->standard);
}

static bool set(struct settings *s, const struct row *row, const char *source, const char *text,
                char *message, size_t size)
{
    char *member = (char *)s + row->offset;
    if (row->is_text) {
        const char *right = row->refuse(text);
        if (!right && strlen(text) >= SETTINGS_TEXT_MAX)
            right = "a text of less than " TEXT(SETTINGS_TEXT_MAX) " characters";
        if (right)
            return complain(message, size, "%s is \"%s\"; it takes %s", source, text, right);
        memcpy(member, text, strlen(text) + 1);
        return true;
    }
    char *end = NULL;
    unsigned long value = isdigit((unsigned char)*text) ? strtoul(text, &end, 10) : 0;
    if (!end || *end || strlen(text) > 9 || value < row->min || value > row->max)
        return complain(message, size, "%s is \"%s\"; it takes a whole number from %u to %u",
                        source, text, row->min, row->max);
    unsigned number = (unsigned)value;
    memcpy(member, &number, sizeof number);
    return true;
}

static bool set_option(struct settings *s, int argc, char *const argv[], int *i, char *message,
                       size_t size)
{
    const char *given = argv[*i];
    size_t length = strcspn(given, "=");
    for (size_t k = 0; k < ROWS; k++) {
        if (strncmp(given, "--", 2) || strlen(rows[k].name) != length - 2 ||
            strncmp(given + 2, rows[k].name, length - 2))
            continue;
        char source[64];
        snprintf(source, sizeof source, "--%s", rows[k].name);
        if (given[length] == '=')
            return set(s, &rows[k], source, given + length + 1, message, size);
        if (*i + 1 >= argc)
            return complain(message, size, "%s needs a value", source);
        return set(s, &rows[k], source, argv[++*i], message, size);
    }
    return complain(message, size, "there is no option \"%s\"; --help lists them", given);
}

enum settings_action settings_read(int argc, char *const argv[], struct settings *ret_settings,
                                   char *ret_message, size_t message_size)
{
    struct settings s = {0};
    enum settings_action action = SETTINGS_SERVE;
    /* Someone who asks for help gets it, whatever else is set. */
    for (int i = 1; i < argc; i++) {
        if (!strcmp(argv[i], "--help"))
            return SETTINGS_HELP;
        if (!strcmp(argv[i], "--version"))
            return SETTINGS_VERSION;
    }
    for (size_t k = 0; k < ROWS; k++) {
        char name[64];
        variable_name(&rows[k], name);
        const char *value = getenv(name);
        put_standard(&s, &rows[k]);
        if (value && !set(&s, &rows[k], name, value, ret_message, message_size))
            return SETTINGS_BAD;
    }
    for (int i = 1; i < argc; i++) {
        if (!strcmp(argv[i], "--health"))
            action = SETTINGS_HEALTH;
        else if (!set_option(&s, argc, argv, &i, ret_message, message_size))
            return SETTINGS_BAD;
    }
    if (s.threads == 0) {
        long cores = sysconf(_SC_NPROCESSORS_ONLN);
        s.threads = cores < 1 ? 1 : cores > 256 ? 256 : (unsigned)cores;
    }
    *ret_settings = s;
    return action;
}

size_t settings_help(char *text, size_t size)
{
    size_t length = 0;
    size_t room = size;
#define ADD(...)                                                                                   \
    do {                                                                                           \
        int added = snprintf(room ? text + (size - room) : NULL, room, __VA_ARGS__);               \
        length += added < 0 ? 0 : (size_t)added;                                                   \
        room = length < size ? size - length : 0;                                                  \
    } while (0)
    ADD("tiptail: statics with the working shown, as an HTTP service.\n\n"
        "usage: tiptail [--OPTION VALUE]...\n\n"
        "  --help      this text\n"
        "  --version   the version\n"
        "  --health    ask the service at --address and --port whether it is well; status 0 if so\n"
        "\nSettings, each also as the environment variable named below it:\n");
    for (size_t k = 0; k < ROWS; k++) {
        char name[64];
        variable_name(&rows[k], name);
        ADD("\n  --%s (default ", rows[k].name);
        if (rows[k].is_text)
            ADD("%s", *rows[k].standard_text ? rows[k].standard_text : "empty");
        else
            ADD("%u, from %u to %u", rows[k].standard, rows[k].min, rows[k].max);
        ADD(")\n      %s\n      %s\n", name, rows[k].help);
    }
    ADD("\nSIGTERM or SIGINT finishes what is under way and ends with status 0; a second one ends "
        "at once.\n");
#undef ADD
    return length;
}
