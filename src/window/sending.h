/* What leaves the house from the window: long work in a thread of its own, with how far it is and a
 * way to give it up. It works on the review as it is on disk, with a clip of its own. */
#ifndef SP_WINDOW_SENDING_H
#define SP_WINDOW_SENDING_H

#include <stdbool.h>

#include "window/spots.h"

struct window;
struct sending_work;

typedef enum {
    SEND_CLIP,
    SEND_PAGE,
    SEND_TALK,
    SEND_STILLS, /* of each moment */
    SEND_ROW,    /* of all moments, one picture */
    SEND_ROW_PDF,
    SEND_POINTS, /* CSV and COCO */
    SEND_PAIR,   /* with the clip that lies beside, as a clip */
    SEND_PAIR_STILL,
    SEND_KINDS
} sending_kind;

typedef struct {
    struct sending_work *work; /* NULL: none */
} sending;

action act_send;         /* begins, by sending_kind */
action act_send_give_up; /* leaves no half file */
action act_take_points;  /* asks for a file of points and takes them in */

bool sending_is_on(const struct window *w);
/* Looks whether it has ended. Milliseconds until the next look; -1: none. */
int sending_update(struct window *w);
/* Gives up and waits. */
void sending_end(struct window *w);

#endif
