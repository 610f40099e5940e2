/* Mouse, pen and finger as one pointer; two fingers zoom and pan. */
#ifndef SP_WINDOW_POINTER_H
#define SP_WINDOW_POINTER_H

#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/point.h"

struct window;

typedef enum {
    DRAG_NONE,
    DRAG_TAP,  /* a tap that is not let go yet: it may still be moved. One that began on a point
                  and moves becomes DRAG_HOLD */
    DRAG_HOLD, /* a point that is there is being moved */
    DRAG_PAN,
    DRAG_INK,
    DRAG_STRIP, /* scrubs */
    DRAG_TIME,  /* moves the part that the strip shows */
    DRAG_SHEET,
    DRAG_CARD,
    DRAG_BAR,
    DRAG_OTHER, /* moves the picture of the other clip */
    DRAG_FOOT,  /* of the two clips */
} drag_kind;

typedef struct {
    sp_point at;    /* output pixels */
    sp_point cross; /* upright pixels: where a tap would land; also moved by keys */
    bool inside;    /* the canvas */
    bool keys;      /* the cross was last moved by keys */
    bool finger;
    drag_kind drag;
    sp_point pressed; /* output pixels, where the drag began */
    bool moved;       /* farther than a tap trembles */
    int hold;         /* what a press began on, see hold.h */
    SDL_FingerID fingers[2];
    int finger_count;
    sp_point finger_at[2];
} pointer;

bool pointer_event(struct window *w, const SDL_Event *event);
/* Gives up what is being dragged; nothing is edited. */
void pointer_cancel(struct window *w);
void pointer_cursor(struct window *w);

#endif
