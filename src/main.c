/* main.c: read the settings, start, wait for a signal, drain. */
#include <pthread.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include "base/arena.h"
#include "server/http.h"
#include "server/listen.h"
#include "server/pipeline.h"
#include "server/sandbox.h"
#include "server/settings.h"
#include "server/version.h"

#define SERVICE_BYTES ((size_t)16 << 20)
#define DESCRIPTORS_BESIDE 128 /* listeners, event loops, log, and connections being refused */

static int fail(int status, const char *message)
{
    fprintf(stderr, "tiptail: %s\n", message);
    return status;
}

/* A line on standard output without stdio, which asks the kernel about the file first: the sandbox
 * refuses that. */
static void say_listening(const char *url)
{
    char line[128];
    int length = snprintf(line, sizeof line, "listening on %s\n", url);
    if (write(STDOUT_FILENO, line, (size_t)length) < 0)
        return; /* nobody listens to what it says */
}

static int help(void)
{
    size_t size = settings_help(NULL, 0) + 1;
    char *text = malloc(size);
    if (!text)
        return 1;
    settings_help(text, size);
    fputs(text, stdout);
    free(text);
    return 0;
}

/* Room for the connections that the settings allow. */
static bool raise_descriptors(unsigned connections, char *message, size_t size)
{
    struct rlimit limit;
    if (getrlimit(RLIMIT_NOFILE, &limit))
        return true;
    limit.rlim_cur = limit.rlim_max;
    setrlimit(RLIMIT_NOFILE, &limit);
    unsigned needed = connections + DESCRIPTORS_BESIDE;
    if (limit.rlim_cur >= needed)
        return true;
    snprintf(message, size,
             "connections is %u, which takes %u open files, and this process may have %llu "
             "(ulimit -n)",
             connections, needed, (unsigned long long)limit.rlim_cur);
    return false;
}

static void block_signals(sigset_t *set)
{
    sigemptyset(set);
    sigaddset(set, SIGTERM);
    sigaddset(set, SIGINT);
    sigaddset(set, SIGUSR1); /* a thread has ended */
    pthread_sigmask(SIG_BLOCK, set, NULL);
    signal(SIGPIPE, SIG_IGN);
}

/* Give up what serving does not take, once everything is open. False: the settings ask for more
 * than this kernel and this build have. */
static bool enter_sandbox(const struct settings *settings, struct service *service, char *message,
                          size_t size)
{
    const unsigned whole = (1u << SANDBOX_LAYER_MAX_) - 1;
    if (!strcmp(settings->sandbox, "off"))
        return true;
    unsigned holds = sandbox_enter();
    metrics_sandbox(service->metrics, holds);
    if (holds == whole || strcmp(settings->sandbox, "require"))
        return true;
    int layer = 0;
    while (holds >> layer & 1)
        layer++;
    snprintf(message, size, "sandbox is \"require\", and there is no %s here",
             sandbox_layer_name((enum sandbox_layer)layer));
    return false;
}

/* SIGTERM: say so on /readyz, wait until the load balancer has seen it, then finish. */
static void wait_and_drain(struct http *http, const struct settings *settings, const sigset_t *set)
{
    int signal = 0;
    while (signal != SIGTERM && signal != SIGINT)
        sigwait(set, &signal);
    http_drain(http);
    struct timespec delay = {.tv_sec = (time_t)settings->drain_delay_seconds};
    if (sigtimedwait(set, NULL, &delay) > 0)
        _exit(1);
    http_finish(http, SIGUSR1);
    while (!http_is_finished(http)) {
        sigwait(set, &signal);
        if (signal != SIGUSR1)
            _exit(1); /* asked a second time */
    }
}

int main(int argc, char **argv)
{
    struct settings settings;
    struct listeners listeners;
    sigset_t signals;
    char message[1024] = "";
    const char *fault = "There is no memory to start with.";
    uint64_t seed = 0;

    switch (settings_read(argc, argv, &settings, message, sizeof message)) {
    case SETTINGS_BAD:
        return fail(2, message);
    case SETTINGS_HELP:
        return help();
    case SETTINGS_VERSION:
        puts("tiptail " TIPTAIL_VERSION);
        return 0;
    case SETTINGS_HEALTH:
        return health_ask(&settings, message, sizeof message) ? 0 : fail(1, message);
    case SETTINGS_SERVE:
        break;
    }
    if (!raise_descriptors(settings.connections, message, sizeof message))
        return fail(2, message);
    block_signals(&signals);
    arena_keep_pages();
    struct arena *arena = arena_new(SERVICE_BYTES);
    if (getrandom(&seed, sizeof seed, 0) != (ssize_t)sizeof seed)
        return fail(1, "there is no randomness to start with");
    struct service *service = arena ? service_new(&settings, seed, arena, &fault) : NULL;
    if (!service) {
        fail(1, fault);
        arena_free(arena);
        return 1;
    }
    struct http *http = NULL;
    if (listeners_open(&settings, &listeners, message, sizeof message)) {
        if (enter_sandbox(&settings, service, message, sizeof message))
            http = http_start(service, &listeners, message, sizeof message);
        else
            listeners_free(&listeners);
    }
    bool is_whole = false;
    if (http) {
        say_listening(listeners.url);
        wait_and_drain(http, &settings, &signals);
        is_whole = http_free(http);
    } else {
        fail(1, message);
    }
    service_free(service);
    arena_free(arena);
    return is_whole ? 0 : 1;
}
