#include "review/small_file.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "serveplumb/preferences.h"

#define MOST_BYTES ((size_t)1 << 20)

cJSON *sp_small_read(const char *path, sp_error *error) {
    char *bytes;
    size_t length;
    if (access(path, F_OK) != 0) return cJSON_CreateObject();
    if (!sp_file_read(path, MOST_BYTES, &bytes, &length, error)) return NULL;
    cJSON *tree = cJSON_ParseWithLength(bytes, length);
    free(bytes);
    if (cJSON_IsObject(tree)) return tree;
    cJSON_Delete(tree);
    sp_fail(error, SP_ERROR_FORMAT,
            "'%.300s' is not the JSON object that it should be; mend it or take it away", path);
    return NULL;
}

bool sp_small_write(const char *path, const cJSON *tree, sp_error *error) {
    char *text = cJSON_Print(tree);
    if (text == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory to write '%.300s'", path);
    const bool good =
        sp_xdg_make_room(path, error) && sp_file_write(path, text, strlen(text), error);
    free(text);
    return good;
}
