/* What the pointer can take hold of on the picture: the points, and the ends of the lines that show
 * the scale in use and the plumb. */
#ifndef SP_WINDOW_HOLD_H
#define SP_WINDOW_HOLD_H

#include <stdbool.h>

#include "serveplumb/body.h"
#include "serveplumb/point.h"

struct window;

/* Below SP_POINT_COUNT it is a point. */
enum {
    HOLD_NONE = -1,
    HOLD_SCALE_A = SP_POINT_COUNT,
    HOLD_SCALE_B,
    HOLD_PLUMB_A,
    HOLD_PLUMB_B,
    HOLD_COUNT,
};

/* The nearest within reach of a place in output pixels. */
int hold_near(const struct window *w, sp_point at);
/* Upright pixels; false when it is not on the frame in view. */
bool hold_place(const struct window *w, int hold, sp_point *at);
/* One edit. */
void hold_move(struct window *w, int hold, sp_point at);
const char *hold_title(int hold);

#endif
