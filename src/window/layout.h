/* Where the parts of the window lie. Pure. */
#ifndef SP_WINDOW_LAYOUT_H
#define SP_WINDOW_LAYOUT_H

#include <stdbool.h>

#include <SDL.h>

/* All in pixels of the output; they meet without gaps and cover the window. */
typedef struct {
    int width, height;
    double density; /* output pixels per unit of drawing */
    bool upright;   /* the sheet lies below, not at the right */
    SDL_Rect canvas, bar, strip, sheet;
} layout;

/* `aspect`: width / height of the clip; 0 when there is none. */
layout layout_make(int width, int height, double density, double aspect);

#endif
