#include "window/demo_clip.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "serveplumb/preferences.h"

#define LARGEST ((size_t)64 << 20)

/* The folder of the program itself; proc(5). */
static bool own_folder(char folder[PATH_MAX]) {
    const ssize_t length = readlink("/proc/self/exe", folder, PATH_MAX - 1);
    if (length <= 0) return false;
    folder[length] = '\0';
    char *slash = strrchr(folder, '/');
    if (slash == NULL) return false;
    *slash = '\0';
    return true;
}

bool demo_clip_find(char path[PATH_MAX]) {
    static const char *const places[] = {"../share/serveplumb/demo.mp4", "../demo/serve-side.mp4"};
    char folder[PATH_MAX];
    if (!own_folder(folder)) return false;
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        const int length = snprintf(path, PATH_MAX, "%s/%s", folder, places[i]);
        if (length > 0 && length < PATH_MAX && access(path, R_OK) == 0) return true;
    }
    return false;
}

bool demo_clip_copy(const char *from, char path[PATH_MAX], sp_error *error) {
    char review[PATH_MAX];
    if (!sp_xdg_path(SP_XDG_STATE, "demo-serve.mp4", path, PATH_MAX) ||
        !sp_xdg_path(SP_XDG_STATE, "demo-serve.review.json", review, sizeof review))
        return sp_fail(error, SP_ERROR_FILE,
                       "there is no home folder for the demo clip; set HOME and try again");
    char *bytes;
    size_t length;
    if (!sp_xdg_make_room(path, error) || !sp_file_read(from, LARGEST, &bytes, &length, error))
        return false;
    const bool good = sp_file_write(path, bytes, length, error);
    free(bytes);
    if (!good) return false;
    if (unlink(review) == 0 || errno == ENOENT) return true;
    return sp_fail(error, SP_ERROR_FILE, "'%.300s' cannot be taken away: %s; make it writable",
                   review, strerror(errno));
}
