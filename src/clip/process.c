#include "clip/process.h"

#include <fcntl.h>
#include <linux/capability.h>
#include <pthread.h>
#include <sched.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <unistd.h>

#include "clip/serve.h"
#include "clip/talk.h"
#include "serveplumb/clip.h"

/* What the process that processes come from is asked, with the far end of a socket. */
typedef struct {
    uint64_t arena_bytes;
} order;

static struct {
    pthread_mutex_t lock; /* over asking */
    int socket;           /* -1: not started */
    bool wanted;
} source = {PTHREAD_MUTEX_INITIALIZER, -1, false};

/* --- in the process that they come from --- */

static bool write_text(const char *path, const char *text) {
    const int file = open(path, O_WRONLY | O_CLOEXEC);
    if (file < 0) return false;
    const size_t length = strlen(text);
    const bool good = write(file, text, length) == (ssize_t)length;
    close(file);
    return good;
}

static bool become_its_own_user(uid_t user, gid_t group) {
    char users[64], groups[64];
    snprintf(users, sizeof users, "%u %u 1", (unsigned)user, (unsigned)user);
    snprintf(groups, sizeof groups, "%u %u 1", (unsigned)group, (unsigned)group);
    return write_text("/proc/self/setgroups", "deny") && write_text("/proc/self/uid_map", users) &&
           write_text("/proc/self/gid_map", groups);
}

/* A folder in memory whose files have large pages, which memfd_create often is not allowed: in name
 * spaces of its own that any person may make. Small pages took a third of the time of decoding
 * 1080p. -1 where there is none. */
static int make_folder(void) {
    const uid_t user = getuid();
    const gid_t group = getgid();
    if (unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0 || !become_its_own_user(user, group) ||
        mount(NULL, "/", NULL, MS_REC | MS_PRIVATE, NULL) != 0 ||
        mount("none", "/tmp", "tmpfs", MS_NOSUID | MS_NODEV | MS_NOEXEC,
              "huge=always,size=0,mode=0700") != 0)
        return -1;
    return open("/tmp", O_PATH | O_DIRECTORY | O_CLOEXEC);
}

/* Who makes a user's name space may do everything in it. Nothing of that is needed after the
 * mount. */
static void give_up_rights(void) {
    struct __user_cap_header_struct head = {.version = _LINUX_CAPABILITY_VERSION_3};
    const struct __user_cap_data_struct none[2] = {{0}};
    syscall(SYS_capset, &head, none);
}

/* One by one before Linux 5.9. */
static void close_between(unsigned first, unsigned last) {
    struct rlimit most = {0};
    if (first > last || close_range(first, last, 0) == 0 || getrlimit(RLIMIT_NOFILE, &most) != 0)
        return;
    for (unsigned i = first; i <= last && i < most.rlim_cur && i < 1u << 20; i++) close((int)i);
}

static void close_all_but(int kept) {
    close_between(3, (unsigned)kept - 1);
    close_between((unsigned)kept + 1, ~0u);
}

/* So that nobody who reads our output waits for us. Sanitizers report on the third. */
static void leave_terminal(void) {
    const int nothing = open("/dev/null", O_RDWR | O_CLOEXEC);
    if (nothing < 0) return;
    dup2(nothing, STDIN_FILENO);
    dup2(nothing, STDOUT_FILENO);
#ifndef __SANITIZE_ADDRESS__
    dup2(nothing, STDERR_FILENO);
#endif
    if (nothing > STDERR_FILENO) close(nothing);
}

/* An end that does not hang on what a stranger's clip makes of the process. */
static void end_with_the_program(void) {
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    write_text("/proc/self/oom_score_adj", "1000"); /* memory runs out here before it does there */
}

static void serve_one(int socket, int folder, size_t arena_bytes) {
    end_with_the_program();
    const int arena = sp_arena_file(folder, arena_bytes);
    if (folder >= 0) close(folder);
    prctl(PR_SET_NAME, "serveplumb-clip");
    sp_serve(socket, arena, arena_bytes);
    _exit(0);
}

static void answer(int to, const order *asked, sp_files *files, int folder) {
    const pid_t child = files->count == 1 ? fork() : -1;
    if (child == 0) {
        close(to);
        serve_one(files->list[0], folder, (size_t)asked->arena_bytes);
    }
    const int handle = child > 0 ? (int)syscall(SYS_pidfd_open, child, 0) : -1;
    sp_files back = {.list = {handle}, .count = handle >= 0};
    const int32_t started = child > 0;
    sp_talk_send(to, &started, sizeof started, &back);
    sp_files_close(&back);
}

static void be_the_source(int socket) {
    close_all_but(socket);
    leave_terminal();
    signal(SIGCHLD, SIG_IGN);
    signal(SIGINT, SIG_IGN); /* ends with the program, whenever that is */
    signal(SIGHUP, SIG_IGN);
    prctl(PR_SET_NAME, "serveplumb-src");
    const struct rlimit no_core = {0};
    setrlimit(RLIMIT_CORE, &no_core);
    const int folder = make_folder();
    give_up_rights();
    order asked;
    sp_files files;
    while (sp_talk_receive(socket, &asked, sizeof asked, &files, true) == SP_TALK_HEARD) {
        answer(socket, &asked, &files, folder);
        sp_files_close(&files);
    }
    _exit(0);
}

/* --- in ours --- */

/* A program may be started without input and output; their numbers are then not for sockets. */
static bool make_pair_above_standard(int ends[2]) {
    int made[2];
    if (socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, made) != 0) return false;
    for (int i = 0; i < 2; i++) ends[i] = fcntl(made[i], F_DUPFD_CLOEXEC, STDERR_FILENO + 1);
    for (int i = 0; i < 2; i++) close(made[i]);
    if (ends[0] >= 0 && ends[1] >= 0) return true;
    for (int i = 0; i < 2; i++)
        if (ends[i] >= 0) close(ends[i]);
    return false;
}

bool sp_decoders_start(void) {
    source.wanted = true;
    if (source.socket >= 0) return true;
    int ends[2];
    if (!make_pair_above_standard(ends)) return false;
    const pid_t child = fork();
    if (child == 0) be_the_source(ends[1]);
    close(ends[1]);
    if (child > 0) {
        source.socket = ends[0];
        return true;
    }
    close(ends[0]);
    return false;
}

bool sp_process_is_wanted(void) { return source.wanted; }

static bool ask(int far, size_t arena_bytes, int *handle) {
    const order asked = {arena_bytes};
    const sp_files files = {.list = {far}, .count = 1};
    sp_files back = {.count = 0};
    int32_t started = 0;
    pthread_mutex_lock(&source.lock);
    const bool answered =
        source.socket >= 0 && sp_talk_send(source.socket, &asked, sizeof asked, &files) &&
        sp_talk_receive(source.socket, &started, sizeof started, &back, true) == SP_TALK_HEARD;
    pthread_mutex_unlock(&source.lock);
    *handle = back.count > 0 ? back.list[0] : -1;
    return answered && started == 1;
}

bool sp_process_start(sp_process *process, size_t arena_bytes) {
    int ends[2];
    *process = (sp_process){-1, -1};
    if (source.socket < 0 || socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends) != 0)
        return false;
    const bool started = ask(ends[1], arena_bytes, &process->handle);
    close(ends[1]);
    process->socket = ends[0];
    if (!started) sp_process_end(process);
    return started;
}

void sp_process_end(sp_process *process) {
    if (process->handle >= 0) {
        syscall(SYS_pidfd_send_signal, process->handle, SIGKILL, NULL, 0);
        close(process->handle);
    }
    if (process->socket >= 0) close(process->socket); /* which it sees, too */
    *process = (sp_process){-1, -1};
}
