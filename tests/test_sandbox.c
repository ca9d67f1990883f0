/* What the sandbox forbids is tried, and what serving takes is done, each in a process of its own
 * that entered it. */
#define _DEFAULT_SOURCE /* MAP_ANONYMOUS, syscall */
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <pthread.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/ptrace.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "server/sandbox.h"

#define HAS(layers, layer) ((layers) >> (layer)&1)

static int listener, client;
static struct sockaddr_in at = {.sin_family = AF_INET};

/* Each attempt returns true where it succeeded. */
static bool open_a_file(void) { return open("/etc/passwd", O_RDONLY) >= 0; }
static bool open_a_folder(void) { return open("/", O_RDONLY | O_DIRECTORY) >= 0; }
static bool write_a_file(void)
{
    return open("/tmp/tiptail-sandbox", O_WRONLY | O_CREAT, 0600) >= 0;
}
static bool remove_a_file(void) { return unlink("/tmp/tiptail-sandbox-kept") == 0; }
static bool open_proc(void) { return open("/proc/self/mem", O_RDWR) >= 0; }
static bool open_a_socket(void) { return socket(AF_INET, SOCK_STREAM, 0) >= 0; }
static bool open_a_local_socket(void) { return socket(AF_UNIX, SOCK_STREAM, 0) >= 0; }
static bool call_out(void)
{
    /* A socket of before; whoever gets hold of one cannot call out with it. */
    return connect(client, (struct sockaddr *)&at, sizeof at) == 0;
}
static bool run_a_program(void)
{
    char shell[] = "/bin/true", *argv[] = {shell, NULL}, *environment[] = {NULL};
    execve(shell, argv, environment);
    return false; /* had it run, the status would be 0 */
}
static bool fork_off(void)
{
    pid_t child = fork();
    if (child == 0)
        _exit(0);
    return child > 0;
}
static bool become_another(void) { return setuid(1) == 0; }
static bool trace_the_parent(void) { return ptrace(PTRACE_ATTACH, getppid(), NULL, NULL) == 0; }
static bool signal_the_parent(void) { return kill(getppid(), SIGCONT) == 0; }
static bool make_code(void)
{
    return mmap(NULL, 4096, PROT_READ | PROT_WRITE | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1,
                0) != MAP_FAILED;
}
static bool make_data_code(void)
{
    void *page = mmap(NULL, 4096, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    return page != MAP_FAILED && mprotect(page, 4096, PROT_READ | PROT_EXEC) == 0;
}
static bool gain_privileges(void) { return prctl(PR_GET_NO_NEW_PRIVS, 0, 0, 0, 0) == 0; }
static bool load_a_module(void)
{
    return syscall(SYS_init_module, NULL, 0, "") == 0 || errno != EPERM;
}
static bool unshare_namespaces(void) { return syscall(SYS_unshare, 0x10000000) == 0; }

static const struct {
    const char *name;
    bool (*attempt)(void);
    unsigned layers; /* any of these forbids it */
} forbidden[] = {
#define FILES (1u << SANDBOX_FILES)
#define CALLS (1u << SANDBOX_SYSTEM_CALLS)
    {"open a file", open_a_file, FILES | CALLS},
    {"open a folder", open_a_folder, FILES | CALLS},
    {"write a file", write_a_file, FILES | CALLS},
    {"remove a file", remove_a_file, FILES | CALLS},
    {"open its own memory", open_proc, FILES | CALLS},
    {"open a socket", open_a_socket, CALLS},
    {"open a local socket", open_a_local_socket, CALLS},
    {"call out by a socket of before", call_out, CALLS},
    {"run a program", run_a_program, CALLS},
    {"start a process", fork_off, CALLS},
    {"become another user", become_another, CALLS},
    {"trace another process", trace_the_parent, CALLS},
    {"signal another process", signal_the_parent, CALLS},
    {"map memory to write and run", make_code, CALLS},
    {"make data code", make_data_code, CALLS},
    {"load a kernel module", load_a_module, CALLS},
    {"enter another namespace", unshare_namespaces, CALLS},
    {"gain privileges", gain_privileges, 1u << SANDBOX_PRIVILEGES},
};
#define FORBIDDEN (sizeof forbidden / sizeof *forbidden)

/* In a child: `enters` the sandbox or not, then makes the attempt. True where it succeeded. */
static bool child_can(bool (*attempt)(void), bool enters)
{
    pid_t child = fork();
    if (child == 0) {
        if (enters)
            sandbox_enter();
        _exit(attempt() ? 0 : 1);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status) == 0;
}

/* What holds here, asked in a child. */
static unsigned layers_here(void)
{
    pid_t child = fork();
    if (child == 0)
        _exit((int)sandbox_enter());
    int status = 0;
    waitpid(child, &status, 0);
    return (unsigned)WEXITSTATUS(status);
}

static int begin(void **state)
{
    (void)state;
    socklen_t length = sizeof at;
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    at.sin_port = 0;
    listener = socket(AF_INET, SOCK_STREAM, 0);
    client = socket(AF_INET, SOCK_STREAM, 0);
    close(open("/tmp/tiptail-sandbox-kept", O_WRONLY | O_CREAT, 0600));
    return bind(listener, (struct sockaddr *)&at, sizeof at) ||
           getsockname(listener, (struct sockaddr *)&at, &length) || listen(listener, 8);
}

static int end(void **state)
{
    (void)state;
    close(listener);
    close(client);
    unlink("/tmp/tiptail-sandbox-kept");
    unlink("/tmp/tiptail-sandbox");
    return 0;
}

static void test_forbidden(void **state)
{
    (void)state;
    unsigned layers = layers_here();
    assert_true(HAS(layers, SANDBOX_PRIVILEGES));
    for (size_t i = 0; i < FORBIDDEN; i++) {
        if (!(forbidden[i].layers & layers)) {
            print_message("not forbidden here: %s\n", forbidden[i].name);
            continue;
        }
        if (child_can(forbidden[i].attempt, true))
            fail_msg("within the sandbox a process can %s", forbidden[i].name);
    }
}

/* The attempts themselves: outside they succeed, so that a refusal above means something. */
static void test_attempts_are_real(void **state)
{
    (void)state;
    assert_true(child_can(open_a_file, false));
    assert_true(child_can(open_a_folder, false));
    assert_true(child_can(write_a_file, false));
    assert_true(child_can(open_proc, false));
    assert_true(child_can(open_a_socket, false));
    assert_true(child_can(call_out, false));
    assert_true(child_can(run_a_program, false));
    assert_true(child_can(fork_off, false));
    assert_true(child_can(signal_the_parent, false));
    assert_true(child_can(make_code, false));
    assert_true(child_can(make_data_code, false));
    assert_true(child_can(gain_privileges, false));
    assert_true(child_can(remove_a_file, false));
}

static void *answer(void *cls)
{
    *(int *)cls += 217;
    return NULL;
}

static bool serve(void)
{
    pthread_t thread;
    int number = 31;
    char bytes[8] = "";
    if (pthread_create(&thread, NULL, answer, &number) || pthread_join(thread, NULL) ||
        number != 248)
        return false;
    char *large = malloc((size_t)64 << 20);
    if (!large)
        return false;
    memset(large, 7, (size_t)64 << 20);
    free(large);
    int wake = eventfd(0, EFD_CLOEXEC), queue = epoll_create1(EPOLL_CLOEXEC);
    struct pollfd called = {.fd = listener, .events = POLLIN};
    if (wake < 0 || queue < 0 || poll(&called, 1, 5000) != 1)
        return false;
    int fd = accept(listener, NULL, NULL);
    return fd >= 0 && recv(fd, bytes, sizeof bytes, 0) == 3 && send(fd, bytes, 3, 0) == 3 &&
           shutdown(fd, SHUT_RDWR) == 0 && close(fd) == 0;
}

static void test_serving_goes_on(void **state)
{
    (void)state;
    char bytes[8] = "";
    int fd = socket(AF_INET, SOCK_STREAM, 0);
    assert_int_equal(connect(fd, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(send(fd, "ask", 3, 0), 3);
    assert_true(child_can(serve, true));
    assert_int_equal(recv(fd, bytes, sizeof bytes, 0), 3);
    assert_string_equal(bytes, "ask");
    close(fd);
}

static void *try_a_file(void *cls)
{
    *(bool *)cls = open_a_file();
    return NULL;
}

static bool open_a_file_in_a_thread(void)
{
    pthread_t thread;
    bool opened = true;
    return pthread_create(&thread, NULL, try_a_file, &opened) == 0 &&
           pthread_join(thread, NULL) == 0 && opened;
}

static void test_threads_inherit(void **state)
{
    (void)state;
    if (layers_here() & (FILES | CALLS))
        assert_false(child_can(open_a_file_in_a_thread, true));
    assert_true(child_can(open_a_file_in_a_thread, false));
}

/* The build for release has the filter; it is not left out unnoticed. */
static void test_build_has_the_filter(void **state)
{
    (void)state;
#ifdef HAVE_LIBSECCOMP
    assert_true(HAS(layers_here(), SANDBOX_SYSTEM_CALLS));
#else
    fail_msg("built without libseccomp: install libseccomp-dev");
#endif
    for (int layer = 0; layer < SANDBOX_LAYER_MAX_; layer++)
        assert_true(strlen(sandbox_layer_name((enum sandbox_layer)layer)) > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_attempts_are_real, begin, end),
        cmocka_unit_test(test_forbidden),
        cmocka_unit_test_setup_teardown(test_serving_goes_on, begin, end),
        cmocka_unit_test(test_threads_inherit),
        cmocka_unit_test_setup_teardown(test_build_has_the_filter, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
