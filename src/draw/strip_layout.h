/* Where things lie on the strip, and the parts that it is drawn from. */
#ifndef SP_DRAW_STRIP_LAYOUT_H
#define SP_DRAW_STRIP_LAYOUT_H

#include "serveplumb/strip.h"

/* From the top: flags of the moments, stems down to the track, the track, times below. */
typedef struct {
    double flag_top, flag_bottom, track_top, track_bottom, times_top;
    double left, right;
} strip_rows;

#define STRIP_MARGIN 14.0 /* room for the head at the first and the last frame */

/* strip_layout.c */
strip_rows sp_strip_rows(const sp_strip *strip);
/* Of the clip's own clock, since frame 0. */
double sp_strip_seconds_of(const sp_strip *strip, int frame);
double sp_strip_span_of(const sp_strip *strip);
double sp_strip_x_of_seconds(const sp_strip *strip, double seconds);
/* On the part that is shown. */
bool sp_strip_shows(const sp_strip *strip, double x);

/* Moves `count` labels, given by their wanted centres in increasing order and their widths, along a
 * line so that they lie `gap` apart between `low` and `high`, each as near to its wanted place as
 * the others allow (least squares). `centers` is changed in place. False when they do not fit. */
bool sp_strip_spread(double *centers, const double *widths, int count, double gap, double low,
                     double high);

/* The shortest round step (1, 2 or 5 times a power of ten) that is at least `at_least`. */
double sp_strip_round_step(double at_least);

/* strip_flags.c: the moments by name */
void sp_strip_draw_flags(sp_paint *paint, const sp_strip *strip, const strip_rows *r);
/* strip_curves.c: on the track, the loudness of the sound, curves and what is known of frames */
void sp_strip_draw_wave(sp_paint *paint, const sp_strip *strip, const strip_rows *r);
void sp_strip_draw_curves(sp_paint *paint, const sp_strip *strip, const strip_rows *r);
void sp_strip_draw_labels(sp_paint *paint, const sp_strip *strip, const strip_rows *r);
void sp_strip_draw_states(sp_paint *paint, const sp_strip *strip, const strip_rows *r);

/* strip_carried.c */
void sp_strip_draw_carried(sp_paint *paint, const sp_strip *strip, const strip_rows *r);

#endif
