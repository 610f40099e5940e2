/* The picture by which the window is known in a list of windows. */
#ifndef SP_WINDOW_ICON_H
#define SP_WINDOW_ICON_H

#include <SDL.h>

/* Without it the window is as good: a failure is not told. */
void icon_set(SDL_Window *handle);

#endif
