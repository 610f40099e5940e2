/* The invented serve of the first walk: where it lies, and a copy of it to work on. */
#ifndef SP_WINDOW_DEMO_CLIP_H
#define SP_WINDOW_DEMO_CLIP_H

#include <limits.h>
#include <stdbool.h>

#include "serveplumb/error.h"

/* Beside the program as it was built or installed; false when it is not there. */
bool demo_clip_find(char path[PATH_MAX]);
/* A copy of `from` among this person's own files, without a review: one that was begun on it is
 * taken away. */
bool demo_clip_copy(const char *from, char path[PATH_MAX], sp_error *error);

#endif
