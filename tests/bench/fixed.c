/* fixed.c: the floor of the comparison: libmicrohttpd reads a POST and answers fixed bytes, at once
 * or after as many microseconds as computing them takes.
 * Usage: fixed FILE [MICROSECONDS]   (the body; one thread, epoll, any free port of 127.0.0.1) */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <arpa/inet.h>
#include <microhttpd.h>

static struct MHD_Response *response;
static double busy_us;

static double now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return 1e6 * (double)t.tv_sec + 1e-3 * (double)t.tv_nsec;
}

static enum MHD_Result answer(void *closure, struct MHD_Connection *connection, const char *url,
                              const char *method, const char *version, const char *upload,
                              size_t *upload_size, void **state)
{
    static int seen;
    (void)closure, (void)url, (void)method, (void)version, (void)upload;
    if (!*state) {
        *state = &seen;
        return MHD_YES;
    }
    if (*upload_size) {
        *upload_size = 0;
        return MHD_YES;
    }
    for (double begin = now_us(); now_us() - begin < busy_us;)
        continue;
    return MHD_queue_response(connection, MHD_HTTP_OK, response);
}

int main(int argc, char **argv)
{
    static char body[1 << 20];
    FILE *file = argc == 2 || argc == 3 ? fopen(argv[1], "rb") : NULL;
    if (!file) {
        fprintf(stderr, "usage: fixed FILE [MICROSECONDS]\n");
        return 2;
    }
    size_t length = fread(body, 1, sizeof body, file);
    fclose(file);
    busy_us = argc == 3 ? strtod(argv[2], NULL) : 0;
    response = MHD_create_response_from_buffer(length, body, MHD_RESPMEM_PERSISTENT);
    MHD_add_response_header(response, "Content-Type", "application/json");
    struct sockaddr_in address = {.sin_family = AF_INET};
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    struct MHD_Daemon *daemon =
        MHD_start_daemon(MHD_USE_EPOLL | MHD_USE_INTERNAL_POLLING_THREAD, 0, NULL, NULL, answer,
                         NULL, MHD_OPTION_SOCK_ADDR, (struct sockaddr *)&address,
                         MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)32768, MHD_OPTION_END);
    if (!daemon)
        return 1;
    printf("listening on http://127.0.0.1:%u\n",
           MHD_get_daemon_info(daemon, MHD_DAEMON_INFO_BIND_PORT)->port);
    fflush(stdout);
    for (;;)
        pause();
}
