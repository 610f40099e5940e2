#include "cli/paths.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char REVIEW[] = ".review.json";
/* A student's folder in a year's in an academy's; a loop of links ends here. */
enum { DEPTH_MAX = 16 };

bool cli_is_folder(const char *path) {
    struct stat found;
    return stat(path, &found) == 0 && S_ISDIR(found.st_mode);
}

static bool put(cli_paths *paths, const char *path, size_t length, sp_error *error) {
    if (paths->count == paths->room) {
        const size_t room = paths->room == 0 ? 64 : 2 * paths->room;
        char **list = realloc(paths->list, room * sizeof *list);
        if (list == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the names");
        paths->list = list;
        paths->room = room;
    }
    char *copy = strndup(path, length);
    if (copy == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the names");
    paths->list[paths->count++] = copy;
    return true;
}

static bool is_review(const char *name) {
    const size_t length = strlen(name), ending = sizeof REVIEW - 1;
    return length > ending && strcmp(name + length - ending, REVIEW) == 0;
}

static bool walk(cli_paths *paths, const char *folder, int depth, sp_error *error);

static bool take(cli_paths *paths, const char *folder, const char *name, int depth,
                 sp_error *error) {
    char path[PATH_MAX];
    const char *slash = folder[strlen(folder) - 1] == '/' ? "" : "/";
    const int length = snprintf(path, sizeof path, "%s%s%s", folder, slash, name);
    if (length < 0 || (size_t)length >= sizeof path)
        return sp_fail(error, SP_ERROR_LIMIT, "the path of '%s' is too long", name);
    struct stat found;
    if (lstat(path, &found) == 0 && S_ISDIR(found.st_mode))
        return depth == DEPTH_MAX || walk(paths, path, depth + 1, error);
    return !is_review(name) || put(paths, path, (size_t)length, error);
}

static bool walk(cli_paths *paths, const char *folder, int depth, sp_error *error) {
    struct dirent **names;
    const int count = scandir(folder, &names, NULL, alphasort);
    if (count < 0)
        return sp_fail(error, SP_ERROR_FILE, "cannot read the folder '%s': %s", folder,
                       strerror(errno));
    bool good = true;
    for (int i = 0; i < count; i++) {
        if (good && names[i]->d_name[0] != '.')
            good = take(paths, folder, names[i]->d_name, depth, error);
        free(names[i]);
    }
    free(names);
    return good;
}

bool cli_paths_add(cli_paths *paths, const char *path, sp_error *error) {
    if (!cli_is_folder(path)) return put(paths, path, strlen(path), error);
    const size_t before = paths->count;
    if (!walk(paths, path, 0, error)) return false;
    return paths->count > before ||
           sp_fail(error, SP_ERROR_FILE,
                   "the folder '%s' holds no review (*%s); make one with 'serveplumb new CLIP'",
                   path, REVIEW);
}

bool cli_paths_add_group(cli_paths *paths, const char *names, sp_error *error) {
    if (access(names, F_OK) == 0 || strchr(names, ',') == NULL)
        return cli_paths_add(paths, names, error);
    for (const char *from = names; *from != '\0';) {
        const size_t length = strcspn(from, ",");
        char name[PATH_MAX];
        if (length == 0)
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "'%s': expected a review between the commas; take out the empty one",
                           names);
        if (length >= sizeof name)
            return sp_fail(error, SP_ERROR_LIMIT, "a name of '%.60s...' is too long", names);
        memcpy(name, from, length);
        name[length] = '\0';
        if (!cli_paths_add(paths, name, error)) return false;
        from += length;
        if (*from == ',' && *++from == '\0')
            return sp_fail(error, SP_ERROR_ARGUMENT, "'%s' ends with a comma; take it out", names);
    }
    return true;
}

void cli_paths_clear(cli_paths *paths) {
    for (size_t i = 0; i < paths->count; i++) free(paths->list[i]);
    free(paths->list);
    *paths = (cli_paths){0};
}
