/* The frame in view, without waiting for it: the hand asks, the service answers when it can, and
 * what is shown always bears its own number. */
#ifndef SP_WINDOW_FRAMES_H
#define SP_WINDOW_FRAMES_H

#include <stdbool.h>
#include <stdint.h>

#include <SDL.h>

#include "window/plate.h"
#include "window/session.h"
#include "window/spots.h"

struct window;

typedef struct {
    int asked;    /* where the hand is */
    int number;   /* in view: its picture is on the plate, or it was tried in vain. Edits go to it,
                     once frames_settle has brought it to `asked` */
    bool shown;   /* the plate, or `failed`, is that of `number` */
    bool reduced; /* a smaller picture of it, until the exact one is there */
    bool damaged;
    bool ended;       /* the decoder has: act_reopen helps */
    char failed[600]; /* why there is no picture; "" when there is one */
    plate plate;
    /* Of the request to the service. */
    int sent;          /* -1: none */
    bool waiting;      /* nothing could be shown since it was sent */
    int tried;         /* asked for when the service was last looked at, -1: not at all */
    unsigned arrivals; /* of the service at that time */
    uint64_t yielded_ms;
    uint64_t asked_ms; /* when `asked` changed last */
} frames;

/* What is under way is looked at so often even when nobody calls. */
#define FRAMES_LOOK_MS 100

/* From so many units a pixel on, pixels are shown as the squares that they are; below, smooth
 * pictures are easier to read. */
#define FRAMES_SQUARES 8.0

/* --- of any clip --- */
void frames_reset(frames *f);
/* Kept within the clip; true when it is another frame than was asked for before. */
bool frames_ask(frames *f, const session *s, int number);
/* Takes what there is by now; never waits. True when what is in view has changed. */
bool frames_follow(frames *f, const session *s, SDL_Renderer *renderer);
/* Waits until the frame asked for is in view, exact. True when what is in view has changed. */
bool frames_finish(frames *f, const session *s, SDL_Renderer *renderer);
/* What is asked for is in view, exact or failed. */
bool frames_are_settled(const frames *f);

/* --- of the window's clip --- */
/* Asks for a frame, kept within the clip. */
void frames_go(struct window *w, int number);
/* Milliseconds until the next look is due; -1: none. */
int frames_update(struct window *w);
/* Before an edit: what is asked for is what is seen. Waits for it. */
void frames_settle(struct window *w);
/* The hand works: what the service does for later gives way. */
void frames_yield(struct window *w);
/* Does an action: what it does to a frame it does to the one asked for, which is in view by then.
 */
void frames_do(struct window *w, action *act, int argument);
/* Shows the part of the picture that falls in `area`. */
void frames_show(struct window *w, SDL_Rect area, const placement *p, bool squares);
/* The frame in view as a small picture, `side` pixels at the longer side; owned by the caller. */
bool frames_small(struct window *w, int side, sp_picture *picture);
/* The texture is gone: the renderer lost it. */
void frames_forget(struct window *w);

#endif
