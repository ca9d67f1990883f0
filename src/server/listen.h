/* listen.h: listening sockets, one for each thread, and the small client of --health. */
#ifndef SERVER_LISTEN_H
#define SERVER_LISTEN_H

#include <stdbool.h>
#include <stddef.h>

#include "server/settings.h"

struct listeners {
    int *fd; /* one for each thread; one socket may stand there several times */
    unsigned count;
    bool is_inherited; /* from a service manager: never to be shut down */
    unsigned port;
    char url[96]; /* "http://127.0.0.1:8080" */
};

/* Listen as the settings say; sockets handed over by a service manager (LISTEN_FDS) come first.
 * False: `message` says why. Ended by listeners_close. */
bool listeners_open(const struct settings *settings, struct listeners *ret_listeners, char *message,
                    size_t size);
/* Thread i listens no more. Its descriptor is -1 afterwards. */
void listeners_close_one(struct listeners *l, unsigned i);
void listeners_free(struct listeners *l);

/* GET /healthz of the service at the settings' address and port. False: `message` says why. */
bool health_ask(const struct settings *settings, char *message, size_t size);

#endif
