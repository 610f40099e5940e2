/* The strip in the window: the part of the clip it shows, what it knows of frames, and the pointer
 * on it. */
#ifndef SP_WINDOW_TIMELINE_H
#define SP_WINDOW_TIMELINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/curve.h"
#include "serveplumb/error.h"
#include "window/pane.h"

struct window;

typedef struct {
    double from_s, to_s; /* of the clip's own clock; all of it unless to_s > from_s */
    uint8_t *states;     /* of each frame, strip.h */
    uint8_t *map;        /* of each frame, frame_service.h */
    uint64_t mapped_ms;  /* when the service was last asked for it */
    bool at_rest;        /* nothing more will come by itself */
    double *curves[SP_CURVE_COUNT];
    size_t had[SP_CURVE_COUNT]; /* how many frames have a value */
    int count;                  /* frames that the arrays hold */
    double head[2]; /* where the frame in view and the one asked for were painted, units */
    pane pane;
} timeline;

/* For another clip; without memory there are no curves and no states. */
void timeline_reset(struct window *w);
void timeline_free(struct window *w);
/* The review changed: the curves follow. */
void timeline_follow(struct window *w);
/* The picture of a frame was decoded with errors. */
void timeline_damaged(struct window *w, int frame);
/* Looks from time to time which frames are there; milliseconds until the next look, -1: nothing
 * more comes by itself. */
int timeline_watch(struct window *w);
/* Brings the frame asked for onto the strip. */
void timeline_reveal(struct window *w);

/* `factor` above 1: a shorter part; what lies at `x` (output pixels) stays there. */
void timeline_zoom(struct window *w, double factor, double x);
void timeline_pan(struct window *w, double dx);
/* The frame at a place, in output pixels. */
int timeline_frame(const struct window *w, double x);
bool timeline_paint(struct window *w, sp_error *error);

#endif
