/* The two hashes: of a frame, to compare with a straight decode, and of a file, to know it again.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <libavutil/imgutils.h>
#include <libavutil/md5.h>
#include <libavutil/mem.h>
#include <libavutil/sha.h>

#include "clip/frame.h"
#include "clip/source.h"
#include "serveplumb/clip.h"

static void write_hex(char *hex, const uint8_t *bytes, size_t count) {
    for (size_t i = 0; i < count; i++) snprintf(hex + 2 * i, 3, "%02x", bytes[i]);
}

bool sp_frame_md5(const sp_frame *frame, char hex[33], sp_error *error) {
    const AVFrame *picture = frame->picture;
    const enum AVPixelFormat format = (enum AVPixelFormat)picture->format;
    const int size = av_image_get_buffer_size(format, picture->width, picture->height, 1);
    uint8_t *packed = size > 0 ? av_malloc((size_t)size) : NULL;
    if (packed == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory for the hash of frame %d", frame->number);
    const int written =
        av_image_copy_to_buffer(packed, size, (const uint8_t *const *)picture->data,
                                picture->linesize, format, picture->width, picture->height, 1);
    if (written == size) {
        uint8_t digest[16];
        av_md5_sum(digest, packed, (size_t)size);
        write_hex(hex, digest, sizeof digest);
    }
    av_free(packed);
    return written == size ||
           sp_fail(error, SP_ERROR_DAMAGED, "frame %d has no plain pixels to hash", frame->number);
}

static bool hash_file(int file, struct AVSHA *sha, const char *path, sp_error *error) {
    static const size_t block = 1 << 16;
    uint8_t *bytes = av_malloc(block);
    if (bytes == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory to read '%s'", path);
    ssize_t got = 0;
    do {
        got = read(file, bytes, block);
        if (got > 0) av_sha_update(sha, bytes, (size_t)got);
    } while (got > 0 || (got < 0 && errno == EINTR));
    const int reason = errno;
    av_free(bytes);
    return got == 0 ||
           sp_fail(error, SP_ERROR_FILE, "cannot read '%s' to its end: %s; check the disk it is on",
                   path, strerror(reason));
}

static void finish(struct AVSHA *sha, char hex[65]) {
    uint8_t digest[32];
    av_sha_final(sha, digest);
    write_hex(hex, digest, sizeof digest);
}

bool sp_bytes_sha256(const void *bytes, size_t length, char hex[65]) {
    struct AVSHA *sha = av_sha_alloc();
    const bool good = sha != NULL && av_sha_init(sha, 256) >= 0;
    if (good) {
        av_sha_update(sha, bytes, length);
        finish(sha, hex);
    }
    av_free(sha);
    return good;
}

bool sp_file_sha256(const char *path, char hex[65], sp_error *error) {
    const int file = sp_source_open(path, error);
    if (file < 0) return false;
    struct AVSHA *sha = av_sha_alloc();
    bool good = false;
    if (sha == NULL || av_sha_init(sha, 256) < 0) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to read '%s'", path);
    } else if (hash_file(file, sha, path, error)) {
        finish(sha, hex);
        good = true;
    }
    av_free(sha);
    close(file);
    return good;
}
