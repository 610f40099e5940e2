#include "clip/source.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <libavutil/error.h>
#include <libavutil/mem.h>

enum { BUFFER_BYTES = 64 * 1024 };

static int refuse(int file, const char *path, sp_error *error) {
    struct stat facts;
    if (fstat(file, &facts) != 0) {
        sp_fail(error, SP_ERROR_FILE, "cannot read '%s': %s; check the disk it is on", path,
                strerror(errno));
    } else if (S_ISDIR(facts.st_mode)) {
        sp_fail(error, SP_ERROR_FILE, "'%s' is a folder; name the clip inside it", path);
    } else if (!S_ISREG(facts.st_mode)) {
        sp_fail(error, SP_ERROR_FILE, "'%s' is not a file but a device or a pipe; name a clip",
                path);
    } else if (facts.st_size == 0) {
        sp_fail(error, SP_ERROR_FORMAT,
                "'%s' is empty: the copy was never finished; copy the clip again", path);
    } else {
        return file;
    }
    close(file);
    return -1;
}

int sp_source_open(const char *path, sp_error *error) {
    /* O_NONBLOCK: a pipe named like a clip must not hang us. */
    const int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (file >= 0) return refuse(file, path, error);
    const char *advice = errno == ENOENT   ? "check the name"
                         : errno == EACCES ? "ask for the right to read it"
                                           : "check the path";
    sp_fail(error, SP_ERROR_FILE, "cannot open '%s': %s; %s", path, strerror(errno), advice);
    return -1;
}

static int read_bytes(void *opaque, uint8_t *bytes, int size) {
    const int file = *(const int *)opaque;
    ssize_t got = 0;
    do {
        got = read(file, bytes, (size_t)size);
    } while (got < 0 && errno == EINTR);
    if (got < 0) return AVERROR(errno);
    return got == 0 ? AVERROR_EOF : (int)got;
}

static int64_t move(void *opaque, int64_t offset, int whence) {
    const int file = *(const int *)opaque;
    struct stat facts;
    if ((whence & AVSEEK_SIZE) != 0)
        return fstat(file, &facts) == 0 ? facts.st_size : AVERROR(errno);
    const off_t at = lseek(file, offset, whence & ~AVSEEK_FORCE);
    return at < 0 ? AVERROR(errno) : at;
}

AVIOContext *sp_source_attach(int *file) {
    unsigned char *buffer = av_malloc(BUFFER_BYTES);
    if (buffer == NULL) return NULL;
    AVIOContext *io = avio_alloc_context(buffer, BUFFER_BYTES, 0, file, read_bytes, NULL, move);
    if (io == NULL || lseek(*file, 0, SEEK_SET) != 0) {
        if (io == NULL) av_free(buffer);
        sp_source_detach(&io);
    }
    return io;
}

void sp_source_detach(AVIOContext **io) {
    if (*io == NULL) return;
    av_freep(&(*io)->buffer);
    avio_context_free(io);
}
