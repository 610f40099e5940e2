/* Where the picture lies on the window: zoom and pan, and the exact way between a place on the
 * window and an upright pixel. Pure. */
#ifndef SP_WINDOW_PLACEMENT_H
#define SP_WINDOW_PLACEMENT_H

#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/point.h"

/* Upright pixel (0, 0), its outer corner, lies at (x, y) in output pixels, measured from the outer
 * corner of the window; one upright pixel is `zoom` output pixels wide. */
typedef struct {
    double zoom, x, y;
    bool fitted; /* follows the size of the canvas */
} placement;

#define PLACEMENT_ZOOM_MOST 64.0

placement placement_fit(SDL_Rect canvas, double density, int width, int height);
/* Keeps the upright pixel under `at` where it is. */
placement placement_zoom(placement p, SDL_Rect canvas, int width, int height, double factor,
                         sp_point at);
placement placement_pan(placement p, SDL_Rect canvas, int width, int height, double dx, double dy);
/* Moves the picture no farther than needed to have `upright` well inside the canvas. */
placement placement_reveal(placement p, SDL_Rect canvas, sp_point upright);

sp_point placement_to_window(const placement *p, sp_point upright);
sp_point placement_to_upright(const placement *p, sp_point window);

#endif
