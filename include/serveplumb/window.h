/* The window: one clip to work on, its picture, its strip and its sheet; another one to look at. */
#ifndef SERVEPLUMB_WINDOW_H
#define SERVEPLUMB_WINDOW_H

/* Opens a clip or a review and runs until the window is closed. NULL: an empty window that waits
 * for a clip to be dropped on it. `other`, a clip or a review too, lies beside it, locked in time;
 * NULL: none. Each edit is on disk before the next. Returns the exit status: 0,
 * or 1 when there is no display, or when `path` could not be opened and nothing else was; the
 * reason is then on stderr too. Only for the main thread. */
int sp_window_run(const char *path, const char *other);

#endif
