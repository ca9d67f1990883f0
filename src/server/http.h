/* http.h: the service on its sockets: one event loop a thread, each with a libmicrohttpd daemon of
 * its own. */
#ifndef SERVER_HTTP_H
#define SERVER_HTTP_H

#include <signal.h>
#include <stdbool.h>
#include <stddef.h>

#include "server/listen.h"
#include "server/pipeline.h"

struct http;

/* Start a thread for each listener. NULL: `message` says why. The listeners belong to it then,
 * until http_free. */
struct http *http_start(struct service *service, struct listeners *listeners, char *message,
                        size_t size);

/* From now on /readyz is 503 and every answer closes its connection. */
void http_drain(struct http *http);

/* Take no connection any more, finish what is under way within the settings' time, and end the
 * threads; each sends `done` to the process when it ends. Returns at once. */
void http_finish(struct http *http, int done);
bool http_is_finished(const struct http *http);

/* Join the threads (which http_finish has ended) and give everything back. True where no request
 * was cut off. */
bool http_free(struct http *http);

#endif
