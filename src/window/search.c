#include "window/search.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "serveplumb/clip.h"
#include "serveplumb/review.h"

/* The usual endings of the containers that are opened. */
static bool is_clip(const char *name) {
    static const char *const endings[] = {"mp4", "mov", "m4v", "mkv", "webm",
                                          "avi", "ts",  "mts", "m2ts"};
    const char *dot = strrchr(name, '.');
    if (dot == NULL || name[0] == '.') return false;
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++)
        if (strcasecmp(dot + 1, endings[i]) == 0) return true;
    return false;
}

static bool is_review(const char *name) {
    const size_t length = strlen(name), end = strlen(".review.json");
    return name[0] != '.' && length > end && strcmp(name + length - end, ".review.json") == 0;
}

static int by_name(const void *a, const void *b) {
    const char *const *first = a, *const *second = b;
    return strcoll(*first, *second);
}

static int list(const char *folder, bool (*wanted)(const char *name), char *names[SEARCH_MOST]) {
    DIR *entries = opendir(folder);
    if (entries == NULL) return 0;
    int count = 0;
    for (const struct dirent *e = readdir(entries); e != NULL && count < SEARCH_MOST;
         e = readdir(entries)) {
        if (!wanted(e->d_name)) continue;
        names[count] = strdup(e->d_name);
        if (names[count] != NULL) count++;
    }
    closedir(entries);
    qsort(names, (size_t)count, sizeof names[0], by_name);
    return count;
}

int search_clips(const char *folder, char *names[SEARCH_MOST]) {
    return list(folder, is_clip, names);
}

static bool join(char path[PATH_MAX], const char *folder, const char *name) {
    const int length = snprintf(path, PATH_MAX, "%s/%s", folder, name);
    return length > 0 && length < PATH_MAX;
}

static bool has_content(const char *path, const char *sha256) {
    char hash[65];
    return sp_file_sha256(path, hash, NULL) && strcmp(hash, sha256) == 0;
}

bool search_clip(const char *folder, const char *sha256, char path[PATH_MAX]) {
    char *names[SEARCH_MOST];
    const int count = list(folder, is_clip, names);
    bool found = false;
    for (int i = 0; i < count; i++) {
        /* once it is found, the path stays */
        found = found || (join(path, folder, names[i]) && has_content(path, sha256));
        free(names[i]);
    }
    return found;
}

static bool left_behind(const char *folder, const char *path, const char *sha256) {
    sp_review *review = sp_review_read(path, NULL);
    if (review == NULL) return false;
    const sp_review_clip *clip = sp_review_get_clip(review);
    char named[PATH_MAX];
    const bool fits =
        clip->file[0] == '/' ? join(named, "", clip->file + 1) : join(named, folder, clip->file);
    const bool found = strcmp(clip->sha256, sha256) == 0 && fits && access(named, F_OK) != 0;
    sp_review_free(review);
    return found;
}

bool search_review(const char *folder, const char *sha256, char path[PATH_MAX]) {
    char *names[SEARCH_MOST];
    const int count = list(folder, is_review, names);
    bool found = false;
    for (int i = 0; i < count; i++) {
        found = found || (join(path, folder, names[i]) && left_behind(folder, path, sha256));
        free(names[i]);
    }
    return found;
}
