#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "serveplumb/preferences.h"

bool sp_xdg_path(sp_xdg which, const char *name, char *path, size_t size) {
    static const char *const folders[][2] = {[SP_XDG_CONFIG] = {"XDG_CONFIG_HOME", "/.config"},
                                             [SP_XDG_STATE] = {"XDG_STATE_HOME", "/.local/state"},
                                             [SP_XDG_CACHE] = {"XDG_CACHE_HOME", "/.cache"}};
    const char *base = getenv(folders[which][0]), *below = "";
    /* The specification: a relative path is not to be used. */
    if (base == NULL || base[0] != '/') {
        base = getenv("HOME");
        below = folders[which][1];
    }
    if (base == NULL || base[0] != '/') return false;
    const int length = snprintf(path, size, "%s%s/serveplumb/%s", base, below, name);
    return length > 0 && (size_t)length < size;
}

bool sp_xdg_make_room(const char *path, sp_error *error) {
    char folder[4096];
    const int length = snprintf(folder, sizeof folder, "%s", path);
    if (length < 0 || (size_t)length >= sizeof folder)
        return sp_fail(error, SP_ERROR_ARGUMENT, "the path '%.100s...' is too long", path);
    for (char *slash = strchr(folder + 1, '/'); slash != NULL; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(folder, 0700) != 0 && errno != EEXIST)
            return sp_fail(error, SP_ERROR_FILE, "cannot make the folder '%.300s': %s", folder,
                           strerror(errno));
        *slash = '/';
    }
    return true;
}
