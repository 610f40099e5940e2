/* What every card has: its ground and its title. */
#ifndef SP_WINDOW_CARD_FRAME_H
#define SP_WINDOW_CARD_FRAME_H

#include "serveplumb/error.h"
#include "window/brush.h"

struct window;

/* In the middle of the window, no larger than it; a brush without paint: error. */
brush card_begin(struct window *w, double width, double height, sp_error *error);
void card_title(const brush *b, double width, const char *title);

#endif
