/* The picture of one frame as a texture, shown upright wherever it is placed. Knows no window. */
#ifndef SP_WINDOW_PLATE_H
#define SP_WINDOW_PLATE_H

#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/clip.h"
#include "window/placement.h"

typedef struct {
    SDL_Texture *texture; /* NULL: no picture */
    int width, height;
    bool planes; /* holds the frame as stored, not upright */
    Uint32 format;
} plate;

/* Reduced pictures fill the place of the frame that they stand for. On failure the plate may hold
 * what it held before. */
bool plate_take(plate *p, SDL_Renderer *renderer, const sp_clip_facts *facts, const sp_frame *frame,
                sp_error *error);
/* Shows the part that falls in `area`. `squares`: pixels keep their edges.  */
void plate_show(const plate *p, SDL_Renderer *renderer, const sp_clip_facts *facts, SDL_Rect area,
                const placement *at, bool squares);
void plate_forget(plate *p);

#endif
