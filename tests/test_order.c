/* Computations that come back from the pool in the orders that a busy machine seldom makes. The
 * linker wraps the calls at the seams between a loop, the library and the pool, and each test holds
 * one side until the other has come where it is wanted. A loop sleeps without its sweeps here, so
 * that a wake-up that is lost is an answer that does not come. */
#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "server/http.h"
#include "server/worker.h"

#define SLEEP 20000   /* ms of a loop that nobody wakes */
#define PATIENCE 5000 /* ms of a client, and of one side for the other */
#define SETTLED 50    /* ms in which a thread that has begun to wait does wait */

/* When a computation comes back. */
enum {
    BEFORE_SLEEP, /* after the loop has looked what there is, before it sleeps */
    IN_SLEEP,     /* while it sleeps */
    AS_TOLD,      /* when the test says so */
};
static atomic_int order;
static atomic_uint put, computed, resumed, sleeps; /* how often */
static atomic_bool is_asleep, may_resume, may_wake, wakes_late, had_no_wake;

static void wait_ms(long ms)
{
    nanosleep(&(struct timespec){ms / 1000, ms % 1000 * 1000000}, NULL);
}
#define AWAIT(claim)                                                                               \
    do {                                                                                           \
        for (int ms = 0; ms < PATIENCE && !(claim); ms++)                                          \
            wait_ms(1);                                                                            \
    } while (0)

int __real_poll(struct pollfd *fds, nfds_t count, int timeout);
int __wrap_poll(struct pollfd *fds, nfds_t count, int timeout);
void __real_pool_put(struct pool *pool, struct job *job);
void __wrap_pool_put(struct pool *pool, struct job *job);
void __real_MHD_resume_connection(struct MHD_Connection *mhd);
void __wrap_MHD_resume_connection(struct MHD_Connection *mhd);
void __real_worker_wake(struct worker *w);
void __wrap_worker_wake(struct worker *w);

/* The loop is about to sleep. */
int __wrap_poll(struct pollfd *fds, nfds_t count, int timeout)
{
    if (count != 2)
        return __real_poll(fds, count, timeout);
    if (order == BEFORE_SLEEP && put > resumed) {
        AWAIT(computed == put);
        may_resume = true;
        AWAIT(resumed == put);
        wait_ms(SETTLED); /* whoever wakes it does it now */
    }
    sleeps++;
    is_asleep = true;
    int ready = __real_poll(fds, count, timeout > 0 ? SLEEP : timeout);
    is_asleep = false;
    return ready;
}

void __wrap_pool_put(struct pool *pool, struct job *job)
{
    put++;
    __real_pool_put(pool, job);
}

/* A thread of the pool has computed. */
void __wrap_MHD_resume_connection(struct MHD_Connection *mhd)
{
    computed++;
    if (order == IN_SLEEP) {
        for (unsigned before = sleeps - 1; before != sleeps || !is_asleep;) {
            before = sleeps;
            wait_ms(SETTLED);
        }
    } else {
        AWAIT(may_resume);
    }
    may_resume = false;
    __real_MHD_resume_connection(mhd);
    resumed++;
}

void __wrap_worker_wake(struct worker *w)
{
    if (atomic_exchange(&wakes_late, false)) {
        AWAIT(may_wake);
        wait_ms(SETTLED);
        had_no_wake = fcntl(w->wake, F_GETFD) < 0;
    }
    __real_worker_wake(w);
}

/* ---- a service and its clients ---- */

static struct settings settings;
static struct arena *arena;
static struct service *service;
static struct listeners listeners;
static struct http *http;

static int begin(void **state)
{
    char program[] = "tiptail", port[] = "--port=0", threads[] = "--threads=1",
         log[] = "--log-level=none", message[600];
    char *argv[] = {program, port, threads, log, NULL};
    const char *fault = NULL;
    (void)state;
    signal(SIGPIPE, SIG_IGN);
    signal(SIGUSR1, SIG_IGN);
    put = computed = resumed = sleeps = 0;
    may_resume = may_wake = wakes_late = had_no_wake = false;
    if (settings_read(4, argv, &settings, message, sizeof message) != SETTINGS_SERVE)
        return -1;
    arena = arena_new((size_t)16 << 20);
    service = service_new(&settings, 217, arena, &fault);
    if (!service || !listeners_open(&settings, &listeners, message, sizeof message))
        return -1;
    http = http_start(service, &listeners, message, sizeof message);
    return http ? 0 : -1;
}

static bool stop(void)
{
    http_drain(http);
    http_finish(http, SIGUSR1);
    bool is_whole = http_free(http);
    http = NULL;
    return is_whole;
}

static int end(void **state)
{
    (void)state;
    if (http)
        stop();
    service_free(service);
    arena_free(arena);
    return 0;
}

static int call(const char *request)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)listeners.port)};
    struct timeval patience = {.tv_sec = PATIENCE / 1000};
    int fd = socket(AF_INET, SOCK_STREAM, 0);
    inet_pton(AF_INET, "127.0.0.1", &at.sin_addr);
    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    assert_int_equal(connect(fd, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(send(fd, request, strlen(request), 0), strlen(request));
    return fd;
}

/* A short computation in a long body, which is a matter for the pool. */
static int call_long(void)
{
    static const char body[] = "{\"forces\": [{\"name\": \"P\", \"magnitude\": 217.5, "
                               "\"direction\": {\"angle\": 248.2}}]}";
    char request[4096];
    snprintf(request, sizeof request,
             "POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\n"
             "Connection: close\r\nContent-Length: 3000\r\n\r\n%-3000s",
             body);
    return call(request);
}

/* Its answer as far as it comes; it is closed then. The status, 0: none. */
static int answer(int fd, char *text, size_t size)
{
    size_t length = 0;
    for (ssize_t n = 1; n > 0 && length<size - 1; length += n> 0 ? (size_t)n : 0)
        n = recv(fd, text + length, size - 1 - length, 0);
    text[length] = 0;
    close(fd);
    return strncmp(text, "HTTP/1.1 ", 9) ? 0 : (int)strtol(text + 9, NULL, 10);
}

static void answered(int fd)
{
    char text[8192];
    assert_int_equal(answer(fd, text, sizeof text), 200);
    assert_non_null(strstr(text, "\"magnitude\":217.5"));
}

/* ---- orders ---- */

static void comes_back_before_the_loop_sleeps(void **state)
{
    (void)state;
    order = BEFORE_SLEEP;
    answered(call_long());
    answered(call_long());
    assert_int_equal(resumed, 2);
    assert_true(stop());
}

static void comes_back_while_the_loop_sleeps(void **state)
{
    (void)state;
    order = IN_SLEEP;
    answered(call_long());
    answered(call_long());
    assert_int_equal(resumed, 2);
    assert_true(stop());
}

static void comes_back_to_a_client_that_has_gone(void **state)
{
    char text[65536];
    (void)state;
    order = AS_TOLD;
    for (unsigned n = 1; n <= 2; n++) {
        int fd = call_long();
        AWAIT(computed == n);
        if (n == 1) /* at once and with a reset; or in order */
            setsockopt(fd, SOL_SOCKET, SO_LINGER, &(struct linger){1, 0}, sizeof(struct linger));
        close(fd);
        wait_ms(SETTLED);
        may_resume = true;
        AWAIT(resumed == n);
    }
    /* Nothing of it is left but whoever asks. */
    const char *scrape = "GET /metrics HTTP/1.1\r\nHost: t\r\nConnection: close\r\n\r\n";
    for (int i = 0; i < 50; i++) {
        assert_int_equal(answer(call(scrape), text, sizeof text), 200);
        if (strstr(text, "\ntiptail_http_connections 1\n"))
            break;
    }
    assert_non_null(strstr(text, "\ntiptail_http_connections 1\n"));
    assert_non_null(strstr(text, "\ntiptail_http_requests_in_flight 1\n"));
    assert_true(stop());
}

/* The loop goes on to its end, with the computation's answer, before the pool's thread has woken
 * it: what that needs must still be there. */
static void wakes_a_loop_that_has_ended(void **state)
{
    (void)state;
    order = AS_TOLD;
    int fd = call_long();
    AWAIT(computed == 1);
    wakes_late = true;
    may_resume = true;
    AWAIT(resumed == 1);
    AWAIT(!wakes_late);
    http_drain(http);
    http_finish(http, SIGUSR1);
    answered(fd);
    AWAIT(http_is_finished(http));
    assert_true(http_is_finished(http));
    may_wake = true;
    assert_true(http_free(http));
    http = NULL;
    assert_false(had_no_wake);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(comes_back_before_the_loop_sleeps, begin, end),
        cmocka_unit_test_setup_teardown(comes_back_while_the_loop_sleeps, begin, end),
        cmocka_unit_test_setup_teardown(comes_back_to_a_client_that_has_gone, begin, end),
        cmocka_unit_test_setup_teardown(wakes_a_loop_that_has_ended, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
