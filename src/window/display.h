/* The window of the display, its renderer and its cursors. */
#ifndef SP_WINDOW_DISPLAY_H
#define SP_WINDOW_DISPLAY_H

#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/error.h"

typedef enum { CURSOR_ARROW, CURSOR_CROSS, CURSOR_HAND, CURSOR_MOVE, CURSOR_COUNT } cursor;

bool display_open(SDL_Window **handle, SDL_Renderer **renderer, SDL_Cursor *cursors[CURSOR_COUNT],
                  sp_error *error);
/* Output pixels for a unit of drawing, so that text has its size on dense displays. */
double display_density(SDL_Window *handle, SDL_Renderer *renderer);

#endif
