#include "deliver/kept.h"

#include <dirent.h>
#include <fcntl.h>
#include <inttypes.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"
#include "serveplumb/clip.h"
#include "serveplumb/preferences.h"
#include "serveplumb/review_clip.h"

/* A readout is about 10 kB, a picture about 300 kB. */
#define FILES_MAX 4000
#define BYTES_MAX ((size_t)8 << 20)

static bool put_stamp(sp_text *key, const sp_clip_stamp *file) {
    if (file->size == 0 && file->changed_s == 0) return false;
    sp_text_format(key, " %lld %lld.%09ld", file->size, file->changed_s, file->changed_ns);
    return true;
}

bool sp_kept_put_parts(sp_text *key, const char *review_bytes, size_t length,
                       const sp_clip_stamp *clip) {
    char hex[65];
    const sp_clip_stamp program = sp_clip_stamp_of("/proc/self/exe");
    if (!sp_bytes_sha256(review_bytes, length, hex)) return false;
    sp_text_format(key, " " SP_VERSION " %s", hex);
    return put_stamp(key, clip) && put_stamp(key, &program) && !key->failed;
}

bool sp_kept_put_source(sp_text *key, const sp_review *review, const char *review_path) {
    char clip[PATH_MAX], *bytes;
    size_t length;
    if (!sp_review_clip_path(review, review_path, clip, sizeof clip) ||
        !sp_file_read(review_path, SP_REVIEW_BYTES_MAX, &bytes, &length, NULL))
        return false;
    const sp_clip_stamp stamp = sp_clip_stamp_of(clip);
    const bool good = sp_kept_put_parts(key, bytes, length, &stamp);
    free(bytes);
    return good;
}

/* FNV-1a. */
static uint64_t sum_of(const char *bytes, size_t length) {
    uint64_t sum = 14695981039346656037u;
    for (size_t i = 0; i < length; i++) sum = (sum ^ (unsigned char)bytes[i]) * 1099511628211u;
    return sum;
}

/* The whole key stands in the file, so that two of one sum are told apart. */
static bool path_of(const char *key, char *path, size_t size) {
    char name[32];
    snprintf(name, sizeof name, "kept/%016" PRIx64, sum_of(key, strlen(key)));
    return sp_xdg_path(SP_XDG_CACHE, name, path, size);
}

/* Key, what is kept, and the sum of both. */
static bool is_whole(const char *key, const char *bytes, size_t length) {
    const size_t head = strlen(key) + 1;
    uint64_t sum;
    if (length < head + sizeof sum || memcmp(bytes, key, head) != 0) return false;
    memcpy(&sum, bytes + length - sizeof sum, sizeof sum);
    return sum == sum_of(bytes, length - sizeof sum);
}

bool sp_kept_read(const char *key, char **bytes, size_t *length) {
    char path[PATH_MAX];
    if (!path_of(key, path, sizeof path) || !sp_file_read(path, BYTES_MAX, bytes, length, NULL))
        return false;
    if (!is_whole(key, *bytes, *length)) {
        free(*bytes);
        return false;
    }
    *length -= strlen(key) + 1 + sizeof(uint64_t);
    memmove(*bytes, *bytes + strlen(key) + 1, *length);
    return true;
}

void sp_kept_write(const char *key, const void *bytes, size_t length) {
    char path[PATH_MAX];
    sp_text whole = {0};
    sp_text_append_bytes(&whole, key, strlen(key) + 1);
    sp_text_append_bytes(&whole, bytes, length);
    const uint64_t sum = sum_of(sp_text_get(&whole), whole.length);
    sp_text_append_bytes(&whole, (const char *)&sum, sizeof sum);
    if (!whole.failed && whole.length <= BYTES_MAX && path_of(key, path, sizeof path) &&
        sp_xdg_make_room(path, NULL))
        sp_file_write(path, sp_text_get(&whole), whole.length, NULL);
    sp_text_clear(&whole);
}

/* --- not too many ---------------------------------------------------------------------------- */
typedef struct {
    struct timespec when;
    char name[NAME_MAX + 1];
} kept_file;

static int by_age(const void *one, const void *other) {
    const struct timespec *a = &((const kept_file *)one)->when,
                          *b = &((const kept_file *)other)->when;
    if (a->tv_sec != b->tv_sec) return a->tv_sec < b->tv_sec ? -1 : 1;
    return (a->tv_nsec > b->tv_nsec) - (a->tv_nsec < b->tv_nsec);
}

static size_t list(DIR *folder, kept_file *files, size_t room) {
    size_t count = 0;
    for (struct dirent *entry = readdir(folder); entry != NULL && count < room;
         entry = readdir(folder)) {
        struct stat facts;
        if (entry->d_name[0] == '.' ||
            fstatat(dirfd(folder), entry->d_name, &facts, AT_SYMLINK_NOFOLLOW) != 0 ||
            !S_ISREG(facts.st_mode))
            continue;
        files[count].when = facts.st_mtim;
        sp_text_copy(files[count++].name, sizeof files[0].name, entry->d_name);
    }
    return count;
}

void sp_kept_prune(void) {
    char path[PATH_MAX];
    if (!sp_xdg_path(SP_XDG_CACHE, "kept", path, sizeof path)) return;
    DIR *folder = opendir(path);
    const size_t room = (size_t)FILES_MAX * 2;
    kept_file *files = folder == NULL ? NULL : calloc(room, sizeof *files);
    if (files != NULL) {
        const size_t count = list(folder, files, room);
        qsort(files, count, sizeof *files, by_age);
        for (size_t i = 0; count > FILES_MAX && i < count - FILES_MAX; i++)
            unlinkat(dirfd(folder), files[i].name, 0);
    }
    free(files);
    if (folder != NULL) closedir(folder);
}
