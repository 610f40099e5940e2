/* The state of the one window, and what its parts ask of each other. */
#ifndef SP_WINDOW_STATE_H
#define SP_WINDOW_STATE_H

#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/theme.h"
#include "window/again.h"
#include "window/audio.h"
#include "window/beside.h"
#include "window/card.h"
#include "window/carrying.h"
#include "window/choices.h"
#include "window/court.h"
#include "window/display.h"
#include "window/findings.h"
#include "window/first_walk.h"
#include "window/frames.h"
#include "window/hold.h"
#include "window/layout.h"
#include "window/message.h"
#include "window/pane.h"
#include "window/past.h"
#include "window/pen.h"
#include "window/placement.h"
#include "window/play.h"
#include "window/pointer.h"
#include "window/sending.h"
#include "window/session.h"
#include "window/sheet.h"
#include "window/spots.h"
#include "window/talking.h"
#include "window/timeline.h"
#include "window/tip.h"
#include "window/tool.h"

/* Parts that have to be painted again. */
enum {
    PART_OVERLAY = 1,
    PART_SHEET = 2,
    PART_BAR = 4,
    PART_STRIP = 8,
    PART_CARD = 16,
    PART_MESSAGE = 32,
    PART_LOUPE = 64,
    PART_PICTURE = 128, /* no painting, only showing */
    PART_TIP = 256,
    PART_BESIDE = 512,
    PART_HEAD = 1024, /* of the strip: only the frame has changed */
    PART_ALL = 1023,
};

typedef struct window {
    SDL_Window *handle;
    SDL_Renderer *renderer;
    const sp_theme *theme;
    sp_units units;
    double text_factor; /* chosen by the coach, on top of the display's own density */
    layout layout;
    session session;
    choices choices;
    court court;
    audio audio;
    tip tip;
    findings findings;
    past past;
    first_walk first_walk;
    again_taps again;
    carrying carrying;
    frames frames;
    beside beside;
    placement placement;
    play play;
    tool tool;
    pen pen;
    talking talking;
    sending sending;
    pointer pointer;
    message message;
    sheet sheet;
    card card;
    timeline timeline;
    spots bar_spots;
    bool plain;   /* the picture without the overlay */
    bool fingers; /* pressed last by a finger: what is pressed is as high as a fingertip */
    pane overlay_pane, bar_pane, loupe_pane;
    SDL_Cursor *cursors[CURSOR_COUNT];
    unsigned stale;              /* PART_... */
    unsigned later;              /* PART_... that wait until the hand rests */
    uint64_t later_ms;           /* since when */
    int key_repeats;             /* of the key that is held down */
    bool space_down, space_used; /* held down, and a drag made use of it */
    void (*presenting)(void);    /* called before each present; NULL: nobody listens */
    int dropped;                 /* files of the drop that is under way */
    bool leaving;                /* close was asked once while edits are not on disk */
    bool quit;
} window;

/* Opens the display of a window that is all zeros; end it also when this fails. */
bool window_begin(window *w, sp_error *error);
/* Brings what is shown up to date, then waits for events and does them. `most_ms` -1: no limit. */
void window_step(window *w, int most_ms);
/* Brings what is shown up to date with what was done; does nothing when nothing was. Milliseconds
 * until the next look is due; -1: none. */
int window_refresh(window *w);
void window_end(window *w);

void window_touch(window *w, unsigned parts);
/* Painted once nothing has been put off for a while: a picture does not wait for lists. */
void window_touch_later(window *w, unsigned parts);
/* After an edit, an undo or another frame: everything that shows the review. */
void window_touch_review(window *w);
/* Opens a clip or a review, or lists the clips of a folder; on failure a message, and what was open
 * stays. */
bool window_open(window *w, const char *path);
/* Wakes the window when a frame has come. */
extern const sp_frame_service_options window_service;
/* The output or the density changed: lays everything out anew. */
void window_resize(window *w);
bool window_is_open(const window *w);
/* The output's pixels, units and upright pixels of one place. */
sp_point window_to_upright(const window *w, sp_point at);

#endif
