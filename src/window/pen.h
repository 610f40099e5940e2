/* The pen: ink drawn on the picture with the mouse, a pen or a finger. */
#ifndef SP_WINDOW_PEN_H
#define SP_WINDOW_PEN_H

#include <stdbool.h>

#include "serveplumb/overlay.h"
#include "window/spots.h"

struct window;

typedef enum { PEN_THIS_FRAME, PEN_FROM_HERE, PEN_SPAN, PEN_FRAMES_COUNT } pen_frames;

#define PEN_POINTS_MAX 4096

typedef struct {
    sp_ink_kind kind;
    sp_hue hue;
    bool rubs; /* takes ink off instead */
    pen_frames frames;
    sp_point *way; /* what is being drawn, upright pixels; PEN_POINTS_MAX long, NULL: none yet */
    size_t count;
    sp_ink begun; /* the same as it is shown */
    bool down;
} pen;

/* The tool in hand is the pen. */
bool pen_in_hand(const struct window *w);
void pen_press(struct window *w, sp_point at);
void pen_move(struct window *w, sp_point at);
void pen_lift(struct window *w, sp_point at);
/* Gives up what is being drawn. */
void pen_drop(struct window *w);
void pen_free(struct window *w);
/* What is being drawn; false: nothing. */
bool pen_shows(const struct window *w, sp_overlay_ink *ink);
void pen_words(const struct window *w, char *title, size_t title_size, char *hint,
               size_t hint_size);

action act_ink;        /* takes the pen; again: its next kind of mark */
action act_ink_hue;    /* the next hue */
action act_ink_frames; /* on which frames it is seen */
action act_ink_rub;    /* takes ink off by pressing on it */
action act_ink_clear;  /* all ink of this frame, as one */

#endif
