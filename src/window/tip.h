/* What a button of the bar does and its key, above it while the pointer is on it. */
#ifndef SP_WINDOW_TIP_H
#define SP_WINDOW_TIP_H

#include <stdbool.h>

#include "window/pane.h"
#include "window/spots.h"

struct window;

typedef struct {
    action *act; /* NULL: none */
    int argument;
    SDL_Rect over; /* the button, output pixels */
    pane pane;
} tip;

/* The pointer moved to here. */
void tip_follow(struct window *w);
bool tip_paint(struct window *w, sp_error *error);

#endif
