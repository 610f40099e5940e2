/* A second clip to look at with the one that is open: beside it or over it, its time locked to it.
 * Nothing of it is ever edited. */
#ifndef SP_WINDOW_BESIDE_H
#define SP_WINDOW_BESIDE_H

#include <stdbool.h>

#include <SDL.h>

#include "window/frames.h"
#include "window/pairing.h"
#include "window/pane.h"
#include "window/placement.h"
#include "window/session.h"
#include "window/spots.h"

struct window;

typedef enum { BESIDE_NONE, BESIDE_APART, BESIDE_OVER } beside_kind;

typedef struct {
    beside_kind kind;
    session other;
    frames frames;                 /* of it */
    placement placement;           /* of its picture where it lies apart */
    char moment[SP_REVIEW_ID_MAX]; /* the two are locked at; "": as they stand */
    double shift_s;                /* real time of the other less that of the clip */
    pairing_fit fit;
    bool stacked;          /* one above the other, not left and right */
    SDL_Rect place, below; /* output pixels: of its picture; of the words and buttons */
    pane overlay, foot;
    spots spots; /* of the foot */
} beside;

bool beside_is_open(const struct window *w);
/* On failure a message, and what was there stays. */
bool beside_open(struct window *w, const char *path);
void beside_close(struct window *w);
/* The renderer lost its textures. */
void beside_forget(struct window *w);
void beside_end(struct window *w);

/* Takes its part of the canvas. */
void beside_lay(struct window *w);
/* The other follows in time; milliseconds until the next look, -1: none. */
int beside_update(struct window *w);

/* beside_paint.c */
bool beside_paint(struct window *w, sp_error *error);
void beside_show_picture(struct window *w); /* under the overlay of the clip */
void beside_show_rest(struct window *w);

/* The pointer on the other's picture: its own zoom and place. False: it is not there. */
bool beside_holds(const struct window *w, sp_point at);
void beside_zoom(struct window *w, double factor, sp_point at);
void beside_pan(struct window *w, double dx, double dy);

#endif
