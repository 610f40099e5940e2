/* Looking for clips and reviews in one folder. */
#ifndef SP_WINDOW_SEARCH_H
#define SP_WINDOW_SEARCH_H

#include <limits.h>
#include <stdbool.h>
#include <stddef.h>

/* More than this a student hardly sends. */
#define SEARCH_MOST 400

/* Names of files in a folder that are clips by their ending, in the order of the alphabet; returns
 * how many. Each name is freed by the caller. */
int search_clips(const char *folder, char *names[SEARCH_MOST]);
/* The clip of that content, whatever it is called. */
bool search_clip(const char *folder, const char *sha256, char path[PATH_MAX]);
/* A review of the clip of that content, whose own clip is no longer where it says. */
bool search_review(const char *folder, const char *sha256, char path[PATH_MAX]);

#endif
