/* A part of the window that is painted in memory and shown as a texture: painted again only when
 * what it shows changes. */
#ifndef SP_WINDOW_PANE_H
#define SP_WINDOW_PANE_H

#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/paint.h"

typedef struct {
    SDL_Rect place; /* output pixels */
    double density;
    bool see_through; /* parts of it are transparent */
    sp_picture picture;
    sp_paint *paint;
    SDL_Texture *texture;
    /* Where a see-through pane has something, in pixels of it: most of an overlay is empty, and
     * blending nothing costs as much as blending something. */
    SDL_Rect *runs;
    int run_count, run_room;
} pane;

/* A painter on the pane, whose coordinates are units from the pane's corner. NULL: error. */
sp_paint *pane_begin(pane *p, SDL_Rect place, double density, bool see_through, sp_error *error);
bool pane_end(pane *p, SDL_Renderer *renderer, sp_error *error);
void pane_show(const pane *p, SDL_Renderer *renderer);
/* The renderer lost its textures. */
void pane_forget(pane *p);
void pane_free(pane *p);

#endif
