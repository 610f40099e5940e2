#include "clip/talk.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

typedef union {
    struct cmsghdr head; /* for its alignment */
    char bytes[CMSG_SPACE(sizeof(int) * SP_TALK_FILES)];
} rights;

void sp_files_close(sp_files *files) {
    for (int i = 0; i < files->count; i++) close(files->list[i]);
    files->count = 0;
}

/* --- sending --- */

static void attach(struct msghdr *letter, rights *space, const sp_files *files) {
    const size_t length = sizeof(int) * (size_t)files->count;
    *space = (rights){0};
    letter->msg_control = space->bytes;
    letter->msg_controllen = CMSG_SPACE(length);
    struct cmsghdr *head = CMSG_FIRSTHDR(letter);
    head->cmsg_level = SOL_SOCKET;
    head->cmsg_type = SCM_RIGHTS;
    head->cmsg_len = CMSG_LEN(length);
    memcpy(CMSG_DATA(head), files->list, length);
}

bool sp_talk_send(int socket, const void *message, size_t size, const sp_files *files) {
    struct iovec part = {.iov_base = (void *)message, .iov_len = size};
    struct msghdr letter = {.msg_iov = &part, .msg_iovlen = 1};
    rights space;
    if (files != NULL && files->count > 0) attach(&letter, &space, files);
    ssize_t sent = 0;
    do {
        sent = sendmsg(socket, &letter, MSG_NOSIGNAL);
    } while (sent < 0 && errno == EINTR);
    return sent == (ssize_t)size;
}

/* --- receiving --- */

static void detach(struct msghdr *letter, sp_files *files) {
    files->count = 0;
    for (struct cmsghdr *head = CMSG_FIRSTHDR(letter); head != NULL;
         head = CMSG_NXTHDR(letter, head)) {
        if (head->cmsg_level != SOL_SOCKET || head->cmsg_type != SCM_RIGHTS) continue;
        const size_t count = (head->cmsg_len - CMSG_LEN(0)) / sizeof(int);
        for (size_t i = 0; i < count; i++) {
            int file = -1;
            memcpy(&file, CMSG_DATA(head) + i * sizeof file, sizeof file);
            if (files->count < SP_TALK_FILES) {
                files->list[files->count++] = file;
            } else {
                close(file);
            }
        }
    }
}

void sp_talk_set_patience(int socket, int milliseconds) {
    const struct timeval longest = {milliseconds / 1000, milliseconds % 1000 * 1000L};
    /* What is said is little, and finds room at once where it is read. */
    static const struct timeval unread = {.tv_sec = 5};
    setsockopt(socket, SOL_SOCKET, SO_RCVTIMEO, &longest, sizeof longest);
    setsockopt(socket, SOL_SOCKET, SO_SNDTIMEO, &unread, sizeof unread);
}

sp_talk_status sp_talk_receive(int socket, void *message, size_t size, sp_files *files, bool wait) {
    struct iovec part = {.iov_base = message, .iov_len = size};
    rights space;
    struct msghdr letter = {.msg_iov = &part,
                            .msg_iovlen = 1,
                            .msg_control = space.bytes,
                            .msg_controllen = sizeof space.bytes};
    sp_files came = {.count = 0};
    ssize_t got = 0;
    do {
        got = recvmsg(socket, &letter, MSG_CMSG_CLOEXEC | (wait ? 0 : MSG_DONTWAIT));
    } while (got < 0 && errno == EINTR);
    if (got < 0 && errno == EAGAIN) return SP_TALK_SILENCE;
    if (got >= 0) detach(&letter, &came);
    const bool whole = got == (ssize_t)size && (letter.msg_flags & (MSG_TRUNC | MSG_CTRUNC)) == 0;
    if (!whole || (files == NULL && came.count > 0)) {
        sp_files_close(&came);
        return SP_TALK_OVER;
    }
    if (files != NULL) *files = came;
    return SP_TALK_HEARD;
}

/* --- bytes as files --- */

int sp_talk_file(const void *bytes, size_t length) {
    const int file = memfd_create("index", MFD_CLOEXEC);
    if (file < 0) return -1;
    for (size_t done = 0; done < length;) {
        const ssize_t wrote = pwrite(file, (const char *)bytes + done, length - done, (off_t)done);
        if (wrote <= 0) {
            close(file);
            return -1;
        }
        done += (size_t)wrote;
    }
    return file;
}

char *sp_talk_bytes(int file, size_t length) {
    char *bytes = malloc(length > 0 ? length : 1);
    for (size_t done = 0; bytes != NULL && done < length;) {
        const ssize_t got = pread(file, bytes + done, length - done, (off_t)done);
        if (got <= 0) {
            free(bytes);
            return NULL;
        }
        done += (size_t)got;
    }
    return bytes;
}
