#define _DEFAULT_SOURCE /* SO_REUSEPORT */
#include "server/listen.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netdb.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#define BACKLOG 1024
#define FIRST_INHERITED 3 /* sd_listen_fds(3) */

static bool resolve(const char *address, unsigned port, struct addrinfo **ret_found)
{
    char digits[16];
    struct addrinfo hints = {.ai_family = AF_UNSPEC, .ai_socktype = SOCK_STREAM};
    hints.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV;
    snprintf(digits, sizeof digits, "%u", port);
    return getaddrinfo(address, digits, &hints, ret_found) == 0;
}

static void set_nonblocking(int fd)
{
    fcntl(fd, F_SETFL, fcntl(fd, F_GETFL) | O_NONBLOCK);
    fcntl(fd, F_SETFD, FD_CLOEXEC);
}

static bool set_on(int fd, int option)
{
    int on = 1;
    return setsockopt(fd, SOL_SOCKET, option, &on, sizeof on) == 0;
}

/* The first socket is bound without SO_REUSEPORT, so that a port in use is an error and never
 * shared; it gets the option only once it listens, and then the others may join it. */
static int open_one(const struct addrinfo *at, bool is_first)
{
    int fd = socket(at->ai_family, SOCK_STREAM, 0);
    if (fd < 0)
        return -1;
    set_nonblocking(fd);
    if (set_on(fd, SO_REUSEADDR) && (is_first || set_on(fd, SO_REUSEPORT)) &&
        bind(fd, at->ai_addr, at->ai_addrlen) == 0 && listen(fd, BACKLOG) == 0 &&
        (!is_first || set_on(fd, SO_REUSEPORT)))
        return fd;
    int error = errno;
    close(fd);
    errno = error;
    return -1;
}

/* The address a socket is bound to, as URL. */
static void name_socket(struct listeners *l, int fd)
{
    struct sockaddr_storage at = {0};
    socklen_t length = sizeof at;
    char host[INET6_ADDRSTRLEN] = "";
    l->port = 0;
    getsockname(fd, (struct sockaddr *)&at, &length);
    if (at.ss_family == AF_INET) {
        struct sockaddr_in in;
        memcpy(&in, &at, sizeof in);
        inet_ntop(AF_INET, &in.sin_addr, host, sizeof host);
        l->port = ntohs(in.sin_port);
        snprintf(l->url, sizeof l->url, "http://%s:%u", host, l->port);
    } else if (at.ss_family == AF_INET6) {
        struct sockaddr_in6 in6;
        memcpy(&in6, &at, sizeof in6);
        inet_ntop(AF_INET6, &in6.sin6_addr, host, sizeof host);
        l->port = ntohs(in6.sin6_port);
        snprintf(l->url, sizeof l->url, "http://[%s]:%u", host, l->port);
    } else {
        snprintf(l->url, sizeof l->url, "a local socket");
    }
}

static unsigned inherited_count(void)
{
    const char *pid = getenv("LISTEN_PID"), *count = getenv("LISTEN_FDS");
    if (!pid || !count || strtol(pid, NULL, 10) != (long)getpid())
        return 0;
    long n = strtol(count, NULL, 10);
    return n > 0 && n <= 256 ? (unsigned)n : 0;
}

bool listeners_open(const struct settings *s, struct listeners *l, char *message, size_t size)
{
    unsigned inherited = inherited_count();
    *l = (struct listeners){.count = s->threads, .is_inherited = inherited > 0};
    l->fd = malloc(l->count * sizeof *l->fd);
    if (!l->fd) {
        snprintf(message, size, "There is no memory to start with.");
        return false;
    }
    for (unsigned i = 0; i < l->count; i++)
        l->fd[i] = -1;
    if (inherited) {
        for (unsigned i = 0; i < l->count; i++) {
            l->fd[i] = FIRST_INHERITED + (int)(i % inherited);
            set_nonblocking(l->fd[i]);
        }
        name_socket(l, l->fd[0]);
        return true;
    }
    struct addrinfo *at = NULL;
    unsigned port = s->port;
    for (unsigned i = 0; i < l->count; i++) {
        errno = EADDRNOTAVAIL;
        l->fd[i] = resolve(s->address, port, &at) ? open_one(at, i == 0) : -1;
        if (at)
            freeaddrinfo(at);
        at = NULL;
        if (l->fd[i] < 0) {
            snprintf(message, size, "Cannot listen on %s port %u: %s.", s->address, port,
                     strerror(errno));
            listeners_free(l);
            return false;
        }
        if (i == 0) {
            name_socket(l, l->fd[0]);
            port = l->port;
        }
    }
    return true;
}

void listeners_close_one(struct listeners *l, unsigned i)
{
    if (l->fd[i] >= 0 && !l->is_inherited)
        close(l->fd[i]);
    l->fd[i] = -1;
}

void listeners_free(struct listeners *l)
{
    for (unsigned i = 0; l->fd && i < l->count; i++)
        listeners_close_one(l, i);
    free(l->fd);
    l->fd = NULL;
}

bool health_ask(const struct settings *s, char *message, size_t size)
{
    /* A wildcard address is for listening; the machine itself is asked by its loopback. */
    const char *address = !strcmp(s->address, "0.0.0.0") ? "127.0.0.1"
                          : !strcmp(s->address, "::")    ? "::1"
                                                         : s->address;
    static const char question[] =
        "GET /healthz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";
    struct addrinfo *at = NULL;
    struct timeval patience = {.tv_sec = 2};
    char answer[64] = "";
    size_t length = 0;
    int fd = -1;
    if (resolve(address, s->port, &at))
        fd = socket(at->ai_family, SOCK_STREAM, 0);
    bool asked = fd >= 0 && !setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience) &&
                 !setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience) &&
                 !connect(fd, at->ai_addr, at->ai_addrlen) &&
                 send(fd, question, sizeof question - 1, MSG_NOSIGNAL) > 0;
    while (asked && length < 13) {
        ssize_t n = recv(fd, answer + length, sizeof answer - 1 - length, 0);
        if (n <= 0)
            break;
        length += (size_t)n;
    }
    snprintf(message, size, "%s port %u %s", address, s->port,
             length ? "answers, but not with 200" : "does not answer");
    if (fd >= 0)
        close(fd);
    if (at)
        freeaddrinfo(at);
    return !strncmp(answer, "HTTP/1.1 200 ", 13);
}
