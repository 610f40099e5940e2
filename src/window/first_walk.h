/* The first walk: a few short steps on an invented serve, from the strip to a measure. The head of
 * the sheet says each; it is over when the thing is done, or skipped. */
#ifndef SP_WINDOW_FIRST_WALK_H
#define SP_WINDOW_FIRST_WALK_H

#include <limits.h>
#include <stdbool.h>
#include <stddef.h>

#include "window/sheet.h"

struct window;

typedef struct {
    int step;            /* from 1; 0: not on the way */
    char clip[PATH_MAX]; /* "": there is none, and nothing is offered */
} first_walk;

/* Nothing is open, nothing ever was, and it was neither walked nor turned down. */
bool first_walk_offered(const struct window *w);
bool first_walk_is_on(const struct window *w);
/* Goes on to the next step while what this one asks for is done. */
void first_walk_follow(struct window *w);
/* Enter, or the head of the sheet: after the last step a clip is asked for. */
void first_walk_next(struct window *w);
/* Leaves it; it is not offered again. */
void first_walk_end(struct window *w);
void first_walk_words(const struct window *w, char *label, size_t label_size, const char **title,
                      const char **hint);
/* Index of the moment that this step asks for; -1: none. */
int first_walk_moment(const struct window *w);
/* A tap on the picture places a point in this step. */
bool first_walk_taps(const struct window *w);
/* Where the sheet is unfolded for this step. */
section first_walk_section(const struct window *w);

#endif
