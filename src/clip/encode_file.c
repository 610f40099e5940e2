#include "clip/encode_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"

bool sp_encode_file_fail(const sp_encode_file *file, int reason, sp_error *error) {
    return sp_fail(error, SP_ERROR_FILE,
                   "cannot write '%s': %s; nothing there was changed; choose a folder you may "
                   "write to, with free space",
                   file->shown, strerror(reason));
}

bool sp_encode_file_open(sp_encode_file *file, const char *path, sp_error *error) {
    *file = (sp_encode_file){.temporary = ""};
    if (!sp_text_copy(file->shown, sizeof file->shown, path))
        return sp_encode_file_fail(file, ENAMETOOLONG, error);
    if (realpath(path, file->target) == NULL) sp_text_copy(file->target, sizeof file->target, path);
    struct stat facts;
    if (stat(file->target, &facts) == 0 && !S_ISREG(facts.st_mode))
        return sp_fail(error, SP_ERROR_FILE,
                       "cannot write '%s': it is not a regular file; choose another name", path);
    snprintf(file->temporary, sizeof file->temporary, "%s.XXXXXX", file->target);
    const int handle = mkostemp(file->temporary, O_CLOEXEC);
    if (handle < 0) {
        const int reason = errno;
        file->temporary[0] = '\0';
        return sp_encode_file_fail(file, reason, error);
    }
    close(handle);
    return true;
}

static mode_t mode_for(const char *target) {
    struct stat facts;
    if (stat(target, &facts) == 0) return facts.st_mode & 07777;
    const mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

/* A rename is only on disk when its folder is; a file system that cannot sync a folder is let be.
 */
static void sync_folder_of(char *path) {
    char *slash = strrchr(path, '/');
    if (slash != NULL) *(slash == path ? slash + 1 : slash) = '\0';
    const int handle = open(slash == NULL ? "." : path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0) return;
    fsync(handle);
    close(handle);
}

bool sp_encode_file_commit(sp_encode_file *file, sp_error *error) {
    int reason = 0;
    const int handle = open(file->temporary, O_RDWR | O_CLOEXEC);
    if (handle < 0 || fchmod(handle, mode_for(file->target)) != 0 || fsync(handle) != 0)
        reason = errno;
    if (handle >= 0) close(handle);
    if (reason == 0 && rename(file->temporary, file->target) != 0) reason = errno;
    if (reason != 0) {
        sp_encode_file_drop(file);
        return sp_encode_file_fail(file, reason, error);
    }
    sync_folder_of(file->temporary);
    file->temporary[0] = '\0';
    return true;
}

void sp_encode_file_drop(sp_encode_file *file) {
    if (file->temporary[0] != '\0') unlink(file->temporary);
    file->temporary[0] = '\0';
}
