/* What a process that decodes keeps: reading, memory, its own threads, and what it was given. */
#include "clip/guard.h"

#include <errno.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/landlock.h>
#include <linux/seccomp.h>
#include <sched.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <unistd.h>

/* --- files --- */

/* Every right that version 1 of Landlock knows (Linux 5.13); later ones add links between folders
 * and cutting, see below. */
static const uint64_t rights_of_1 =
    LANDLOCK_ACCESS_FS_EXECUTE | LANDLOCK_ACCESS_FS_WRITE_FILE | LANDLOCK_ACCESS_FS_READ_FILE |
    LANDLOCK_ACCESS_FS_READ_DIR | LANDLOCK_ACCESS_FS_REMOVE_DIR | LANDLOCK_ACCESS_FS_REMOVE_FILE |
    LANDLOCK_ACCESS_FS_MAKE_CHAR | LANDLOCK_ACCESS_FS_MAKE_DIR | LANDLOCK_ACCESS_FS_MAKE_REG |
    LANDLOCK_ACCESS_FS_MAKE_SOCK | LANDLOCK_ACCESS_FS_MAKE_FIFO | LANDLOCK_ACCESS_FS_MAKE_BLOCK |
    LANDLOCK_ACCESS_FS_MAKE_SYM;
/* Of versions 2 and 3; not all headers name them (linux/landlock.h of Linux 6.2). */
static const uint64_t right_refer = 1 << 13, right_truncate = 1 << 14;

static bool guard_files(void) {
    const long version =
        syscall(SYS_landlock_create_ruleset, NULL, 0, LANDLOCK_CREATE_RULESET_VERSION);
    if (version < 1) return false;
    uint64_t rights = rights_of_1;
    if (version >= 2) rights |= right_refer;
    if (version >= 3) rights |= right_truncate;
    const struct landlock_ruleset_attr handled = {.handled_access_fs = rights};
    const int rules = (int)syscall(SYS_landlock_create_ruleset, &handled, sizeof handled, 0);
    if (rules < 0) return false;
    const bool good = syscall(SYS_landlock_restrict_self, rules, 0) == 0;
    close(rules);
    return good;
}

/* --- calls --- */

#if defined(__x86_64__)
#define MACHINE AUDIT_ARCH_X86_64
#elif defined(__aarch64__)
#define MACHINE AUDIT_ARCH_AARCH64
#endif

#ifdef MACHINE
#define ALLOW(call)                                                                                \
    BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_##call, 0, 1),                                         \
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW)
#define REFUSE(code) BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | (code))
/* The lower half of an argument; both machines are little-endian. */
#define LOAD(argument)                                                                             \
    BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, args[argument]))

/* All else fails as if the right were missing: FFmpeg then goes on without or says so. */
static bool allow_few_calls(void) {
    struct sock_filter filter[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, arch)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, MACHINE, 1, 0),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
        /* the clip, and the socket to our own program */
        ALLOW(read), ALLOW(pread64), ALLOW(lseek), ALLOW(fstat), ALLOW(close), ALLOW(sendmsg),
        ALLOW(recvmsg), ALLOW(ppoll),
#ifdef __x86_64__
        ALLOW(poll),
#endif
        /* memory; an index goes out as a file in it */
        ALLOW(munmap), ALLOW(madvise), ALLOW(brk), ALLOW(mremap), ALLOW(memfd_create),
        ALLOW(pwrite64),
        /* threads and time */
        ALLOW(futex), ALLOW(set_robust_list), ALLOW(rseq), ALLOW(rt_sigprocmask),
        ALLOW(rt_sigaction), ALLOW(rt_sigreturn), ALLOW(sigaltstack), ALLOW(sched_yield),
        ALLOW(sched_getaffinity), ALLOW(gettid), ALLOW(getpid), ALLOW(clock_gettime),
        ALLOW(clock_nanosleep), ALLOW(nanosleep), ALLOW(gettimeofday), ALLOW(getrandom),
        ALLOW(exit), ALLOW(exit_group), ALLOW(restart_syscall), ALLOW(write), ALLOW(writev),
        /* one by one; a file status by descriptor only comes as newfstatat with glibc, whose path
         * is then empty: Landlock and the lack of rights hold there */
        ALLOW(newfstatat),
        /* clone3 hides its flags in memory; without it glibc uses clone */
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_clone3, 0, 1), REFUSE(ENOSYS),
        /* a new thread, never a new process */
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_clone, 0, 4), LOAD(0),
        BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, CLONE_THREAD, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW), REFUSE(EPERM),
        /* memory that is not code */
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_mmap, 1, 0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_mprotect, 0, 4), LOAD(2),
        BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, 4 /* PROT_EXEC */, 1, 0),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW), REFUSE(EPERM),
        /* the name of a thread */
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_prctl, 0, 4), LOAD(0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, PR_SET_NAME, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW), REFUSE(EPERM),
        /* an end by its own abort() */
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_tgkill, 0, 4), LOAD(0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (uint32_t)getpid(), 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW), REFUSE(EPERM), REFUSE(EPERM)};
    const struct sock_fprog program = {.len = sizeof filter / sizeof *filter, .filter = filter};
    return syscall(SYS_seccomp, SECCOMP_SET_MODE_FILTER, 0, &program) == 0;
}
#else
static bool allow_few_calls(void) { return false; }
#endif

sp_guarded sp_guard_process(void) {
    sp_guarded guarded = {0};
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0) return guarded;
    guarded.files = guard_files();
    guarded.network = allow_few_calls();
    return guarded;
}
