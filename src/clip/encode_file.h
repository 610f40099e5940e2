/* A file that gets its name only once it is whole. */
#ifndef SP_CLIP_ENCODE_FILE_H
#define SP_CLIP_ENCODE_FILE_H

#include <limits.h>
#include <stdbool.h>

#include "serveplumb/error.h"

typedef struct {
    char shown[PATH_MAX];          /* as the person named it */
    char target[PATH_MAX];         /* links followed */
    char temporary[PATH_MAX + 16]; /* "" once it is gone */
} sp_encode_file;

/* Makes the temporary file, empty, in the target's folder. */
bool sp_encode_file_open(sp_encode_file *file, const char *path, sp_error *error);
/* To disk, then under its name. */
bool sp_encode_file_commit(sp_encode_file *file, sp_error *error);
/* Removes what was not committed. */
void sp_encode_file_drop(sp_encode_file *file);
bool sp_encode_file_fail(const sp_encode_file *file, int reason, sp_error *error);

#endif
