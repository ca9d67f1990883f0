#define _DEFAULT_SOURCE /* syscall */
#include "server/sandbox.h"

#include <errno.h>
#include <stdbool.h>
#include <stdint.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <linux/landlock.h>
#include <linux/sched.h>

#ifdef HAVE_LIBSECCOMP
#include <seccomp.h>
#endif

const char *sandbox_layer_name(enum sandbox_layer layer)
{
    static const char *const names[SANDBOX_LAYER_MAX_] = {"no-new-privileges", "landlock",
                                                          "seccomp"};
    return names[layer];
}

/* ---- Landlock ---- */

/* The kernel's struct landlock_ruleset_attr as of its version 6; older ones know a shorter one. */
struct ruleset {
    uint64_t files, ports, scopes;
};

/* What each version of Landlock can forbid (Linux, "Landlock: unprivileged access control"). */
static const struct {
    size_t size;
    unsigned files; /* rights, counted from the lowest bit */
    unsigned ports, scopes;
} versions[] = {{8, 13, 0, 0},  {8, 14, 0, 0},  {8, 15, 0, 0},
                {16, 15, 2, 0}, {16, 16, 2, 0}, {24, 16, 2, 2}};
#define VERSIONS ((long)(sizeof versions / sizeof *versions))

static uint64_t lowest(unsigned bits) { return ((uint64_t)1 << bits) - 1; }

/* Everything it can forbid, and no rule that allows any of it. */
static bool enter_landlock(void)
{
    long version =
        syscall(SYS_landlock_create_ruleset, NULL, (size_t)0, LANDLOCK_CREATE_RULESET_VERSION);
    if (version < 1)
        return false;
    size_t v = (size_t)(version > VERSIONS ? VERSIONS : version) - 1;
    struct ruleset rules = {lowest(versions[v].files), lowest(versions[v].ports),
                            lowest(versions[v].scopes)};
    int fd = (int)syscall(SYS_landlock_create_ruleset, &rules, versions[v].size, 0);
    if (fd < 0)
        return false;
    bool holds = syscall(SYS_landlock_restrict_self, fd, 0) == 0;
    close(fd);
    return holds;
}

/* ---- seccomp, by libseccomp: it knows the numbers of the calls on every processor ---- */

#ifdef HAVE_LIBSECCOMP

/* Allowed whatever their arguments are. */
static const int allowed[] = {
    /* connections */
    SCMP_SYS(accept), SCMP_SYS(accept4), SCMP_SYS(recvfrom), SCMP_SYS(recvmsg), SCMP_SYS(sendto),
    SCMP_SYS(sendmsg), SCMP_SYS(read), SCMP_SYS(readv), SCMP_SYS(pread64), SCMP_SYS(write),
    SCMP_SYS(writev), SCMP_SYS(shutdown), SCMP_SYS(close), SCMP_SYS(fcntl), SCMP_SYS(getsockopt),
    SCMP_SYS(setsockopt), SCMP_SYS(getsockname), SCMP_SYS(getpeername),
    /* waiting */
    SCMP_SYS(poll), SCMP_SYS(ppoll), SCMP_SYS(epoll_create1), SCMP_SYS(epoll_ctl),
    SCMP_SYS(epoll_wait), SCMP_SYS(epoll_pwait), SCMP_SYS(eventfd2), SCMP_SYS(pipe2),
    SCMP_SYS(nanosleep), SCMP_SYS(clock_nanosleep), SCMP_SYS(restart_syscall),
    /* threads and signals */
    SCMP_SYS(futex), SCMP_SYS(rseq), SCMP_SYS(set_robust_list), SCMP_SYS(gettid), SCMP_SYS(getpid),
    SCMP_SYS(sched_yield), SCMP_SYS(sched_getaffinity), SCMP_SYS(sigaltstack),
    SCMP_SYS(rt_sigaction), SCMP_SYS(rt_sigprocmask), SCMP_SYS(rt_sigtimedwait),
    SCMP_SYS(rt_sigreturn), SCMP_SYS(exit), SCMP_SYS(exit_group),
    /* memory */
    SCMP_SYS(brk), SCMP_SYS(munmap), SCMP_SYS(mremap), SCMP_SYS(madvise),
    /* time, chance, limits */
    SCMP_SYS(clock_gettime), SCMP_SYS(clock_getres), SCMP_SYS(gettimeofday), SCMP_SYS(getrandom),
    SCMP_SYS(getrlimit), SCMP_SYS(sysinfo)};

static bool enter_seccomp(void)
{
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_ERRNO(EPERM));
    if (!filter)
        return false;
    bool good = true;
    for (size_t i = 0; i < sizeof allowed / sizeof *allowed; i++)
        good = seccomp_rule_add(filter, SCMP_ACT_ALLOW, allowed[i], 0) == 0 && good;
#define ALLOW_IF(call, test)                                                                       \
    (good = seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(call), 1, test) == 0 && good)
    /* Memory is never both written and run. */
    ALLOW_IF(mmap, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    ALLOW_IF(mprotect, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    /* Signals are for ourselves. */
    ALLOW_IF(kill, SCMP_A0(SCMP_CMP_EQ, (scmp_datum_t)getpid(), 0));
    ALLOW_IF(tgkill, SCMP_A0(SCMP_CMP_EQ, (scmp_datum_t)getpid(), 0));
    /* Threads, but no process: clone3 hides its flags in memory, without it clone is used. */
    ALLOW_IF(clone, SCMP_A0(SCMP_CMP_MASKED_EQ, CLONE_THREAD, CLONE_THREAD));
#undef ALLOW_IF
    good = seccomp_rule_add(filter, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(clone3), 0) == 0 && good;
    good = good && seccomp_load(filter) == 0;
    seccomp_release(filter);
    return good;
}

#else

static bool enter_seccomp(void) { return false; }

#endif

unsigned sandbox_enter(void)
{
    unsigned holds = 0;
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0)
        holds |= 1u << SANDBOX_PRIVILEGES;
    if (enter_landlock())
        holds |= 1u << SANDBOX_FILES;
    if (enter_seccomp())
        holds |= 1u << SANDBOX_SYSTEM_CALLS;
    return holds;
}
