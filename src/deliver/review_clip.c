#include "serveplumb/review_clip.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"

static const char *name_of(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

/* The folder of `path` with its ending slash, "" for a bare name. */
static bool folder_of(const char *path, char *folder, size_t size) {
    const size_t length = (size_t)(name_of(path) - path);
    if (length >= size) return false;
    memcpy(folder, path, length);
    folder[length] = '\0';
    return true;
}

bool sp_review_clip_path(const sp_review *review, const char *review_path, char *path,
                         size_t size) {
    const char *file = sp_review_get_clip(review)->file;
    if (file[0] == '/') return sp_text_copy(path, size, file);
    char folder[PATH_MAX];
    if (!folder_of(review_path, folder, sizeof folder)) return false;
    const int length = snprintf(path, size, "%s%s", folder, file);
    return length >= 0 && (size_t)length < size;
}

sp_clip_stamp sp_clip_stamp_of(const char *clip_path) {
    struct stat facts;
    if (stat(clip_path, &facts) != 0) return (sp_clip_stamp){.size = 0};
    return (sp_clip_stamp){facts.st_size, facts.st_mtim.tv_sec, facts.st_mtim.tv_nsec};
}

static bool fail_other_clip(sp_error *error, const char *path, const char *what) {
    return sp_fail(
        error, SP_ERROR_MISMATCH,
        "'%s' is not the clip of this review (%s); put the right clip there, or make a new "
        "review with 'serveplumb new'",
        path, what);
}

static bool belongs(const sp_review_clip *said, const sp_clip *clip, const char *path,
                    sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    char what[160];
    if (facts->frames != said->frames) {
        snprintf(what, sizeof what, "it has %d frames, the review says %d", facts->frames,
                 said->frames);
        return fail_other_clip(error, path, what);
    }
    if (facts->width != said->width || facts->height != said->height) {
        snprintf(what, sizeof what, "it is %d x %d pixels, the review says %d x %d", facts->width,
                 facts->height, said->width, said->height);
        return fail_other_clip(error, path, what);
    }
    char hex[65];
    if (!sp_file_sha256(path, hex, error)) return false;
    return strcmp(hex, said->sha256) == 0 || fail_other_clip(error, path, "its SHA-256 differs");
}

sp_clip *sp_review_open_clip(const sp_review *review, const char *review_path,
                             const sp_clip_options *options, sp_error *error) {
    char path[PATH_MAX];
    if (!sp_review_clip_path(review, review_path, path, sizeof path)) {
        sp_fail(error, SP_ERROR_LIMIT, "the path of the clip in '%s' is too long", review_path);
        return NULL;
    }
    if (access(path, F_OK) != 0) {
        sp_fail(error, SP_ERROR_FILE,
                "the clip of this review is not at '%s': %s; put it back there, or mend clip.file "
                "in '%s'",
                path, strerror(errno), review_path);
        return NULL;
    }
    sp_clip *clip = sp_clip_open(path, options, error);
    if (clip == NULL) return NULL;
    if (belongs(sp_review_get_clip(review), clip, path, error)) return clip;
    sp_clip_close(clip);
    return NULL;
}

/* Beside each other: the bare name; else the absolute path, which holds from any folder. */
static bool relative_name(const char *clip_path, const char *review_path, char *file, size_t size,
                          sp_error *error) {
    char clip_real[PATH_MAX], folder[PATH_MAX], folder_real[PATH_MAX];
    if (realpath(clip_path, clip_real) == NULL)
        return sp_fail(error, SP_ERROR_FILE, "cannot find '%s': %s", clip_path, strerror(errno));
    if (!folder_of(review_path, folder, sizeof folder) ||
        realpath(folder[0] == '\0' ? "." : folder, folder_real) == NULL)
        return sp_fail(error, SP_ERROR_FILE,
                       "the folder of '%s' cannot be found: %s; make it first", review_path,
                       strerror(errno));
    const size_t length = strlen(folder_real);
    const size_t skip = length == 1 ? 1 : length + 1; /* the root ends in its slash already */
    const bool inside = strncmp(clip_real, folder_real, length) == 0 && clip_real[skip - 1] == '/';
    const char *name = inside ? clip_real + skip : clip_real;
    return sp_text_copy(file, size, name) ||
           sp_fail(error, SP_ERROR_LIMIT, "the path of '%s' is too long", clip_path);
}

bool sp_review_clip_describe(const sp_clip *clip, const char *clip_path, const char *review_path,
                             sp_review_clip *described, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    *described = (sp_review_clip){
        .frames = facts->frames, .width = facts->width, .height = facts->height, .slowdown = 1.0};
    return relative_name(clip_path, review_path, described->file, sizeof described->file, error) &&
           sp_file_sha256(clip_path, described->sha256, error);
}

sp_frame_times sp_clip_frame_times(const sp_clip *clip) {
    return (sp_frame_times){.seconds = sp_clip_times(clip),
                            .count = sp_clip_get_facts(clip)->frames};
}

bool sp_review_path_beside(const char *clip_path, char *path, size_t size) {
    const char *name = name_of(clip_path);
    const char *dot = strrchr(name, '.');
    const int length = dot == NULL || dot == name ? (int)strlen(clip_path) : (int)(dot - clip_path);
    const int written = snprintf(path, size, "%.*s.review.json", length, clip_path);
    return written >= 0 && (size_t)written < size;
}

void sp_day_of_time(time_t when, char day[11]) {
    struct tm local;
    if (localtime_r(&when, &local) == NULL || strftime(day, 11, "%Y-%m-%d", &local) != 10)
        day[0] = '\0';
}

bool sp_review_set_today(sp_review *review, sp_error *error) {
    char day[11];
    sp_day_of_time(time(NULL), day);
    return sp_review_set_reviewed(review, day, error);
}
