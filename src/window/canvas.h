/* The picture with what lies on it, and the loupe. */
#ifndef SP_WINDOW_CANVAS_H
#define SP_WINDOW_CANVAS_H

#include <stdbool.h>

#include "serveplumb/error.h"

struct window;

/* The overlay, the tap that is being made, and words where there is no picture. */
bool canvas_paint(struct window *w, sp_error *error);
void canvas_show(struct window *w);

/* A patch of the picture, enlarged, beside the place of the next tap and never under it. */
bool loupe_paint(struct window *w, sp_error *error);
void loupe_show(struct window *w);

bool bar_paint(struct window *w, sp_error *error);

#endif
