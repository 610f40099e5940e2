/* Reviews by name, and those in folders. */
#ifndef SP_CLI_PATHS_H
#define SP_CLI_PATHS_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"

typedef struct {
    char **list; /* owned */
    size_t count, room;
} cli_paths;

/* A file as it is; of a folder and the folders in it every *.review.json, in order of name (hidden
 * ones and links to folders left out). A folder without any is an error. */
bool cli_paths_add(cli_paths *paths, const char *path, sp_error *error);
/* The same, and where nothing has that name, each of the names between its commas. */
bool cli_paths_add_group(cli_paths *paths, const char *names, sp_error *error);
void cli_paths_clear(cli_paths *paths);
bool cli_is_folder(const char *path);

#endif
