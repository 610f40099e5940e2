/* The frame in view: the only place that asks the clip for frames. */
#ifndef SP_WINDOW_FRAMES_H
#define SP_WINDOW_FRAMES_H

#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/clip.h"
#include "window/placement.h"

struct window;

typedef struct {
    int number; /* asked for; edits go to it */
    int shown;  /* in the texture, or tried in vain; -1: none */
    SDL_Texture *texture;
    int width, height; /* of the texture */
    bool planes;       /* the texture holds the frame as stored, not upright */
    Uint32 format;
    bool damaged;
    char failed[600]; /* why there is no picture; "" when there is one */
} frames;

/* From so many units a pixel on, pixels are shown as the squares that they are; below, smooth
 * pictures are easier to read. */
#define FRAMES_SQUARES 8.0

/* Asks for a frame, kept within the clip. */
void frames_go(struct window *w, int number);
/* Fetches the frame asked for, if it is not the one in view. */
void frames_update(struct window *w);
/* Shows the part of the picture that falls in `area`. `squares`: pixels keep their edges. */
void frames_show(struct window *w, SDL_Rect area, const placement *p, bool squares);
/* The frame in view as a small picture, `side` pixels at the longer side; owned by the caller. */
bool frames_small(struct window *w, int side, sp_picture *picture);
/* The texture is gone (another clip, or the renderer lost it). */
void frames_forget(struct window *w);

#endif
