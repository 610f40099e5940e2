#include "clip/guard.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/landlock.h>
#include <linux/seccomp.h>
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

static void allow(int rules, const char *path, uint64_t rights) {
    const int file = open(path, O_PATH | O_CLOEXEC);
    if (file < 0) return;
    const struct landlock_path_beneath_attr rule = {.allowed_access = rights, .parent_fd = file};
    syscall(SYS_landlock_add_rule, rules, LANDLOCK_RULE_PATH_BENEATH, &rule, 0);
    close(file);
}

bool sp_guard_files(const char *clip, const char *folder) {
    const long version =
        syscall(SYS_landlock_create_ruleset, NULL, 0, LANDLOCK_CREATE_RULESET_VERSION);
    if (version < 1) return false;
    uint64_t rights = rights_of_1;
    if (version >= 2) rights |= right_refer;
    if (version >= 3) rights |= right_truncate;
    const struct landlock_ruleset_attr handled = {.handled_access_fs = rights};
    const int rules = (int)syscall(SYS_landlock_create_ruleset, &handled, sizeof handled, 0);
    if (rules < 0) return false;
    if (clip != NULL) allow(rules, clip, LANDLOCK_ACCESS_FS_READ_FILE);
    if (folder != NULL)
        allow(rules, folder,
              (LANDLOCK_ACCESS_FS_READ_FILE | LANDLOCK_ACCESS_FS_WRITE_FILE |
               LANDLOCK_ACCESS_FS_READ_DIR | LANDLOCK_ACCESS_FS_MAKE_REG |
               LANDLOCK_ACCESS_FS_REMOVE_FILE | right_truncate) &
                  rights);
    const bool good = syscall(SYS_landlock_restrict_self, rules, 0) == 0;
    close(rules);
    return good;
}

/* --- the rest --- */

#if defined(__x86_64__)
#define MACHINE AUDIT_ARCH_X86_64
#elif defined(__aarch64__)
#define MACHINE AUDIT_ARCH_AARCH64
#endif

#ifdef MACHINE
/* One comparison each: the call is refused as if the right were missing. */
#define REFUSE(call)                                                                               \
    BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_##call, 0, 1),                                         \
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EPERM)

static bool guard_calls(void) {
    struct sock_filter filter[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, arch)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, MACHINE, 1, 0),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
#ifdef __x86_64__
        /* The second set of calls of this machine (x32) has numbers from here on. */
        BPF_JUMP(BPF_JMP | BPF_JGE | BPF_K, 0x40000000, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EPERM),
#endif
        /* Pairs of sockets and signals by what is a descriptor already are for the process that
         * decodes. */
        REFUSE(socket),
        REFUSE(connect),
        REFUSE(bind),
        REFUSE(execve),
        REFUSE(execveat),
        REFUSE(ptrace),
        REFUSE(process_vm_readv),
        REFUSE(process_vm_writev),
        REFUSE(pidfd_open),
        REFUSE(pidfd_getfd),
        REFUSE(kill),
        REFUSE(io_uring_setup),
        REFUSE(bpf),
        REFUSE(perf_event_open),
        REFUSE(userfaultfd),
        REFUSE(open_by_handle_at),
        REFUSE(mount),
        REFUSE(umount2),
        REFUSE(unshare),
        REFUSE(setns),
        REFUSE(keyctl),
        REFUSE(add_key),
        REFUSE(init_module),
        REFUSE(finit_module),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
    };
    const struct sock_fprog program = {.len = sizeof filter / sizeof *filter, .filter = filter};
    return syscall(SYS_seccomp, SECCOMP_SET_MODE_FILTER, 0, &program) == 0;
}
#else
static bool guard_calls(void) { return false; }
#endif

sp_guarded sp_guard_thread(const char *clip, const char *folder) {
    sp_guarded guarded = {0};
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0) return guarded;
    guarded.files = sp_guard_files(clip, folder);
    guarded.network = guard_calls();
    return guarded;
}
