/* The strip: the time axis under the picture, frames at their true times. */
#ifndef SERVEPLUMB_STRIP_H
#define SERVEPLUMB_STRIP_H

#include "serveplumb/paint.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"
#include "serveplumb/theme.h"

typedef struct {
    const sp_review *review; /* may be NULL: no moments, no marks */
    sp_frame_times times;
    const sp_theme *theme;
    sp_rect area;
    int frame; /* shown now */
} sp_strip;

void sp_strip_draw(sp_paint *paint, const sp_strip *strip);
/* The frame whose time is nearest to x (painter units), and back. */
int sp_strip_frame_at(const sp_strip *strip, double x);
double sp_strip_x_of(const sp_strip *strip, int frame);

#endif
