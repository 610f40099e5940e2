/* Whole files: bounded reading, atomic writing. */
#ifndef SP_BASE_FILE_H
#define SP_BASE_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"

/* The whole regular file, ended by a zero byte that `length` does not count; freed by the caller.
 * SP_ERROR_LIMIT when it is larger than `limit` bytes. */
bool sp_file_read(const char *path, size_t limit, char **bytes, size_t *length, sp_error *error);

/* Temporary file in the same folder, fsync, rename, fsync of the folder. On failure the file that
 * was there is untouched and no temporary file is left. A link is followed, so that it stays a
 * link; the mode of a file that was there is kept. */
bool sp_file_write(const char *path, const void *bytes, size_t length, sp_error *error);

#endif
