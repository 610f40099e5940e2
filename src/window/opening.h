/* Opening in a thread of its own, so that a long clip does not stop the window and one that cannot
 * be read to an end can be given up. */
#ifndef SP_WINDOW_OPENING_H
#define SP_WINDOW_OPENING_H

#include <stdbool.h>

#include "window/session.h"

struct window;

/* As session_open, with the window's preferences and `cache_mb`. Where it takes long the window
 * says so, and Escape or closing the window gives it up: SP_ERROR_CANCELLED. Keys and drops that
 * come meanwhile are done afterwards. */
bool opening_wait(struct window *w, session *s, const char *path, int cache_mb, sp_error *error);

#endif
