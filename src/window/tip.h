/* What a button of the bar or a row of the sheet does and its key, beside it while the pointer
 * rests on it. */
#ifndef SP_WINDOW_TIP_H
#define SP_WINDOW_TIP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "window/pane.h"
#include "window/spots.h"

struct window;

typedef struct {
    action *act; /* NULL: none */
    int argument;
    SDL_Rect over; /* the button or row, output pixels */
    bool below;    /* the tip stands under it, else over it */
    uint64_t from; /* ms of SDL_GetTicks64: not shown before */
    pane pane;
} tip;

/* The pointer moved to here. */
void tip_follow(struct window *w);
void tip_hide(struct window *w);
/* Milliseconds until it is to be shown; -1: none waits. */
int tip_update(struct window *w);
bool tip_paint(struct window *w, sp_error *error);
/* "redo: Ctrl Y"; "" for what has no words. */
void tip_words(action *act, int argument, char *text, size_t size);

#endif
