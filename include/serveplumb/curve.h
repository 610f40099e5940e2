/* Two quantities on every frame whose points allow it, for a curve along the strip. They are shapes
 * without an interval, in pixels: they show where something is high or low, never how much; how
 * much is the readout's. */
#ifndef SERVEPLUMB_CURVE_H
#define SERVEPLUMB_CURVE_H

#include <stddef.h>

#include "serveplumb/readout.h"

typedef enum {
    SP_CURVE_TIP_SPEED, /* of the racquet tip, px of the clip a second of real time */
    SP_CURVE_GAP,       /* hand, or wrist where no hand is marked, above the elbow along the
                           plumb, px */
    SP_CURVE_COUNT,
} sp_curve;

/* Fills values[0 .. times.count - 1], NAN where there is none; returns how many there are. A speed
 * is had from five frames in a row about it, and at contact from those up to it: the impact is
 * never smoothed across. */
size_t sp_curve_fill(const sp_review *review, sp_frame_times times, sp_curve which, double *values);

#endif
