/* A card that goes through folders to a clip, for those who do not type paths. */
#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "window/actions.h"
#include "window/search.h"
#include "window/state.h"

static struct {
    char path[PATH_MAX];
    char *names[2 * SEARCH_MOST]; /* folders, then clips */
    int folders, count;
} at;

void browse_free(void) {
    for (int i = 0; i < at.count; i++) free(at.names[i]);
    at.count = at.folders = 0;
}

static int by_name(const void *a, const void *b) {
    const char *const *first = a, *const *second = b;
    return strcoll(*first, *second);
}

static bool join(char path[PATH_MAX], const char *folder, const char *name) {
    const bool root = strcmp(folder, "/") == 0;
    const int length = snprintf(path, PATH_MAX, "%s/%s", root ? "" : folder, name);
    return length > 0 && length < PATH_MAX;
}

static bool is_folder(const char *name) {
    char path[PATH_MAX];
    struct stat facts;
    return name[0] != '.' && join(path, at.path, name) && stat(path, &facts) == 0 &&
           S_ISDIR(facts.st_mode);
}

static void read_folders(DIR *entries) {
    for (const struct dirent *e = readdir(entries); e != NULL && at.count < SEARCH_MOST;
         e = readdir(entries)) {
        if (!is_folder(e->d_name)) continue;
        at.names[at.count] = strdup(e->d_name);
        if (at.names[at.count] != NULL) at.count++;
    }
    qsort(at.names, (size_t)at.count, sizeof at.names[0], by_name);
    at.folders = at.count;
}

/* The first row leads to the folder above. */
static int count(const window *w) {
    (void)w;
    return at.count + 1;
}

static const char *name(const window *w, int index) {
    (void)w;
    return index == 0 ? "the folder above" : at.names[index - 1];
}

static const char *detail(const window *w, int index) {
    (void)w;
    if (index == 0) return at.path;
    return index <= at.folders ? "folder" : "clip";
}

static void choose(window *w, int index);
static const card_list list = {.title = "Open which clip?",
                               .count = count,
                               .name = name,
                               .detail = detail,
                               .choose = choose,
                               .row = CARD_LIST_ROW};

static void show(window *w, const char *path) {
    DIR *entries = opendir(path);
    if (entries == NULL) {
        sp_error error = {0};
        sp_fail(&error, SP_ERROR_FILE, "the folder '%.300s' cannot be read: %s; choose another",
                path, strerror(errno));
        message_problem(w, &error);
        return;
    }
    browse_free();
    snprintf(at.path, sizeof at.path, "%s", path);
    read_folders(entries);
    closedir(entries);
    at.count += search_clips(at.path, at.names + at.count);
    card_show_list(w, &list, at.count > 0 ? 1 : 0);
}

static void choose(window *w, int index) {
    char path[PATH_MAX], folder[PATH_MAX];
    if (index == 0) {
        snprintf(folder, sizeof folder, "%s", at.path);
        char *slash = strrchr(folder, '/');
        if (slash != NULL) slash[slash == folder ? 1 : 0] = '\0';
        show(w, folder);
        return;
    }
    if (!join(path, at.path, at.names[index - 1])) return;
    if (index <= at.folders)
        show(w, path);
    else
        window_open(w, path);
}

/* Where the last clip lay, else at home. */
static void start(const window *w, char folder[PATH_MAX]) {
    const char *home = getenv("HOME");
    char path[PATH_MAX] = "";
    if (window_is_open(w))
        snprintf(path, sizeof path, "%s", w->session.clip_path);
    else if (w->choices.recent.count > 0)
        snprintf(path, sizeof path, "%s", w->choices.recent.at[0].path);
    char *slash = strrchr(path, '/');
    if (slash != NULL)
        slash[slash == path ? 1 : 0] = '\0';
    else
        snprintf(path, sizeof path, "%s", path[0] == '\0' && home != NULL ? home : ".");
    if (realpath(path, folder) == NULL) snprintf(folder, PATH_MAX, "/");
}

void act_browse(window *w, int unused) {
    (void)unused;
    char folder[PATH_MAX];
    start(w, folder);
    show(w, folder);
}
