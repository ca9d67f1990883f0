/* settings.h: what an operator may set, each as an option and as an environment variable, from one
 * table. */
#ifndef SERVER_SETTINGS_H
#define SERVER_SETTINGS_H

#include <stdbool.h>
#include <stddef.h>

#define SETTINGS_TEXT_MAX 512

struct settings {
    char address[SETTINGS_TEXT_MAX];   /* numeric, IPv4 or IPv6 */
    unsigned port;                     /* 0: any free one */
    unsigned threads;                  /* each with its own event loop; never 0 once read */
    unsigned connections;              /* open at once, over all threads */
    unsigned connections_per_client;   /* 0: no limit of its own */
    unsigned body_bytes;               /* of one request */
    unsigned json_values;              /* of one request */
    unsigned memory_mib;               /* of one request's work */
    unsigned idle_seconds;             /* a connection without traffic */
    unsigned request_seconds;          /* for a whole request to arrive */
    unsigned answer_seconds;           /* for an answer to be taken */
    unsigned drain_delay_seconds;      /* between /readyz turning 503 and the listener's end */
    unsigned drain_seconds;            /* for the last requests to finish */
    unsigned rate;                     /* computations a second and client; 0: no limit */
    char cors[SETTINGS_TEXT_MAX];      /* "", "*" or origins with commas between */
    char log_level[SETTINGS_TEXT_MAX]; /* the least that is logged: "info", "warning", "error";
                                          "none" */
    char sandbox[SETTINGS_TEXT_MAX];   /* "auto", "require", "off" */
};

enum settings_action {
    SETTINGS_SERVE,
    SETTINGS_HEALTH,  /* ask a running service whether it is well */
    SETTINGS_HELP,    /* print settings_help */
    SETTINGS_VERSION, /* print the version */
    SETTINGS_BAD      /* print ret_message; status 2 */
};

/* Read the defaults, then TIPTAIL_… variables, then options ("--port 0" or "--port=0"); every value
 * is checked. SETTINGS_BAD: `ret_message` says which, what was met and what would be right. */
enum settings_action settings_read(int argc, char *const argv[], struct settings *ret_settings,
                                   char *ret_message, size_t message_size);

/* The text of --help into `text`, cut at `size`. Returns its whole length. */
size_t settings_help(char *text, size_t size);

#endif
