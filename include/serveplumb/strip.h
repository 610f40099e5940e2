/* The strip: the time axis under the picture, frames at their true times. */
#ifndef SERVEPLUMB_STRIP_H
#define SERVEPLUMB_STRIP_H

#include <stdint.h>

#include "serveplumb/paint.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"
#include "serveplumb/theme.h"

/* What is known of a frame. */
enum {
    SP_STRIP_DAMAGED = 1, /* its picture was decoded with errors */
    SP_STRIP_AT_HAND = 2, /* its picture can be had at once */
    SP_STRIP_REDUCED = 4, /* a smaller picture of it can */
};

/* A curve is scaled to the track by its own least and greatest value: it shows a shape, numbers are
 * the readout's. */
typedef struct {
    const double *values; /* of each frame, borrowed; NAN: none there */
    const char *label;    /* shown where it has room; may be NULL */
    sp_color color;
    bool signed_from_zero; /* a line where it is zero */
} sp_strip_curve;
#define SP_STRIP_CURVES_MAX 2

/* Zeros are safe: everything but `times`, `theme` and `area` may be left out. */
typedef struct {
    const sp_review *review; /* may be NULL: no moments, no marks */
    sp_frame_times times;
    const sp_theme *theme;
    sp_rect area;
    int frame;   /* shown now */
    bool sought; /* another one is asked for, and not there yet */
    int sought_frame;
    /* The part of the clip that is shown, seconds of its own clock since frame 0; all of it unless
     * to_s is greater than from_s. */
    double from_s, to_s;
    int carried; /* sp_point_name + 1 of the point whose carried places are shown; 0: none */
    int span_first, span_last; /* frames round which playing goes; none unless last > first */
    const uint8_t *states;     /* SP_STRIP_... of each frame, borrowed; NULL: nothing is known */
    int curve_count;
    sp_strip_curve curves[SP_STRIP_CURVES_MAX];
    /* Loudness of the sound, 0..1, in `wave_count` equal steps from 0 to `wave_s` seconds of the
     * clip's own clock; borrowed. NULL: none. */
    const float *wave;
    int wave_count;
    double wave_s;
} sp_strip;

void sp_strip_draw(sp_paint *paint, const sp_strip *strip);
/* The frame whose time is nearest to x (painter units), and back. */
int sp_strip_frame_at(const sp_strip *strip, double x);
double sp_strip_x_of(const sp_strip *strip, int frame);
/* Seconds of the clip's own clock at x, also outside the clip. */
double sp_strip_seconds_at(const sp_strip *strip, double x);

#endif
