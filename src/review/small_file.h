/* A small JSON file of the person's own, such as the preferences. */
#ifndef SP_REVIEW_SMALL_FILE_H
#define SP_REVIEW_SMALL_FILE_H

#include <stdbool.h>

#include <cjson/cJSON.h>

#include "serveplumb/error.h"

/* Owned by the caller. An empty object where there is no file; NULL: error. */
cJSON *sp_small_read(const char *path, sp_error *error);
/* Atomic; makes the folders above. */
bool sp_small_write(const char *path, const cJSON *tree, sp_error *error);

#endif
