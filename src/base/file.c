#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"

static bool fail_open(sp_error *error, const char *path, int reason) {
    const char *advice = reason == ENOENT   ? "check the name"
                         : reason == EACCES ? "ask for the right to read it"
                                            : "check the path";
    return sp_fail(error, SP_ERROR_FILE, "cannot open '%s': %s; %s", path, strerror(reason),
                   advice);
}

static bool read_all(int file, char *bytes, size_t size) {
    size_t done = 0;
    while (done < size) {
        const ssize_t got = read(file, bytes + done, size - done);
        if (got < 0 && errno == EINTR) continue;
        if (got <= 0) return false;
        done += (size_t)got;
    }
    return true;
}

bool sp_file_read(const char *path, size_t limit, char **bytes, size_t *length, sp_error *error) {
    /* O_NONBLOCK: a pipe somebody named like a review must not hang us. */
    const int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (file < 0) return fail_open(error, path, errno);
    struct stat facts;
    bool good = false;
    char *text = NULL;
    if (fstat(file, &facts) != 0 || !S_ISREG(facts.st_mode)) {
        sp_fail(error, SP_ERROR_FILE,
                "'%s' is not a regular file; name a file, not a folder or a device", path);
    } else if (facts.st_size < 0 || (uintmax_t)facts.st_size > limit) {
        sp_fail(error, SP_ERROR_LIMIT, "'%s' is larger than %zu bytes; is it the right file?", path,
                limit);
    } else if ((text = malloc((size_t)facts.st_size + 1)) == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to read '%s'", path);
    } else if (!read_all(file, text, (size_t)facts.st_size)) {
        sp_fail(error, SP_ERROR_FILE,
                "cannot read '%s' to its end; it may be changing or on a failing disk", path);
    } else {
        text[facts.st_size] = '\0';
        *bytes = text;
        *length = (size_t)facts.st_size;
        good = true;
    }
    if (!good) free(text);
    close(file);
    return good;
}

static bool write_all(int file, const char *bytes, size_t size) {
    size_t done = 0;
    while (done < size) {
        const ssize_t put = write(file, bytes + done, size - done);
        if (put < 0 && errno == EINTR) continue;
        if (put < 0) return false;
        done += (size_t)put;
    }
    return true;
}

static bool fail_write(sp_error *error, const char *path, int reason) {
    return sp_fail(
        error, SP_ERROR_FILE,
        "cannot write '%s': %s; nothing there was changed; choose a folder you may write to, "
        "with free space",
        path, strerror(reason));
}

/* A rename is only on disk when its folder is; a file system that cannot sync a folder is let be.
 */
static void sync_folder(const char *folder) {
    const int handle = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0) return;
    fsync(handle);
    close(handle);
}

static void folder_of(char *path) {
    char *slash = strrchr(path, '/');
    if (slash == NULL) {
        path[0] = '.';
        path[1] = '\0';
    } else if (slash == path) {
        path[1] = '\0';
    } else {
        *slash = '\0';
    }
}

static bool write_beside(const char *target, const char *shown, const void *bytes, size_t length,
                         sp_error *error) {
    char temporary[PATH_MAX + 16];
    snprintf(temporary, sizeof temporary, "%s.XXXXXX", target);
    struct stat facts;
    const bool there = stat(target, &facts) == 0;
    if (there && !S_ISREG(facts.st_mode))
        return sp_fail(error, SP_ERROR_FILE,
                       "cannot write '%s': it is not a regular file; choose another name", shown);
    const int file = mkostemp(temporary, O_CLOEXEC);
    if (file < 0) return fail_write(error, shown, errno);
    const mode_t mask = umask(0);
    umask(mask);
    const mode_t mode = there ? facts.st_mode & 07777 : 0666 & ~mask;
    int reason = 0;
    if (!write_all(file, bytes, length) || fchmod(file, mode) != 0 || fsync(file) != 0)
        reason = errno;
    if (close(file) != 0 && reason == 0) reason = errno;
    if (reason == 0 && rename(temporary, target) != 0) reason = errno;
    if (reason != 0) {
        unlink(temporary);
        return fail_write(error, shown, reason);
    }
    folder_of(temporary);
    sync_folder(temporary);
    return true;
}

bool sp_file_write(const char *path, const void *bytes, size_t length, sp_error *error) {
    char target[PATH_MAX];
    if (realpath(path, target) == NULL && !sp_text_copy(target, sizeof target, path))
        return fail_write(error, path, ENAMETOOLONG);
    return write_beside(target, path, bytes, length, error);
}
