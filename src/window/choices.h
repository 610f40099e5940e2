/* What the coach prefers, and the clips that were open last, as they are on disk. */
#ifndef SP_WINDOW_CHOICES_H
#define SP_WINDOW_CHOICES_H

#include <stdbool.h>

#include "serveplumb/picture.h"
#include "serveplumb/preferences.h"

struct window;

typedef struct {
    sp_preferences now;
    bool fixed; /* the file cannot be read: nothing is written over it */
    sp_recent recent;
    sp_picture pictures[SP_RECENT_MAX]; /* of the recent clips, empty where there is none */
} choices;

/* Reads both files and brings the window into line; a fault is said. */
void choices_load(struct window *w);
void choices_free(struct window *w);
/* After each change, at once. */
void choices_save(struct window *w);
/* The clip that is open comes first in the recent list. */
void choices_remember(struct window *w);
/* Keeps a small picture of the frame in view for that list. */
void choices_keep_picture(struct window *w);

#endif
