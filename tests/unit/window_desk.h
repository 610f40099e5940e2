/* A session of the window that is not on a screen. Include after cmocka. */
#ifndef SP_TESTS_WINDOW_DESK_H
#define SP_TESTS_WINDOW_DESK_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <SDL.h>

#include "window/actions.h"
#include "window/state.h"

typedef struct {
    window *w;
    sp_clip_facts facts;
    double times[40];
    char folder[64];
} desk;

static inline int open_desk(void **state) {
    desk *d = calloc(1, sizeof *d);
    if (d == NULL || (d->w = calloc(1, sizeof *d->w)) == NULL) return -1;
    window *w = d->w;
    strcpy(d->folder, "/tmp/serveplumb-window-XXXXXX");
    if (mkdtemp(d->folder) == NULL) return -1;
    const sp_review_clip clip = {.file = "serve.mp4",
                                 .sha256 = "0123456789abcdef0123456789abcdef"
                                           "0123456789abcdef0123456789abcdef",
                                 .frames = 40,
                                 .width = 480,
                                 .height = 270,
                                 .slowdown = 1};
    d->facts = (sp_clip_facts){.width = 480, .height = 270, .frames = 40};
    for (int i = 0; i < 40; i++) d->times[i] = i / 30.0;
    w->session.clip = (sp_clip *)(void *)d; /* never asked for a frame: the one in view is */
    w->session.facts = &d->facts;
    w->session.times = (sp_frame_times){d->times, 40};
    w->session.review = sp_review_new(&clip, NULL);
    w->session.written = w->session.who = true;
    snprintf(w->session.review_path, sizeof w->session.review_path, "%s/serve.review.json",
             d->folder);
    w->theme = sp_theme_dark();
    w->tool.selected = -1;
    w->layout = layout_make(1280, 800, 1, 480.0 / 270);
    w->placement = placement_fit(w->layout.canvas, 1, 480, 270);
    *state = d;
    return w->session.review == NULL ? -1 : 0;
}

static inline int close_desk(void **state) {
    desk *d = *state;
    unlink(d->w->session.review_path);
    rmdir(d->folder);
    sp_review_free(d->w->session.review);
    free(d->w);
    free(d);
    return 0;
}

static inline void finger(window *w, Uint32 type, SDL_FingerID id, sp_point upright) {
    const sp_point at = placement_to_window(&w->placement, upright);
    const SDL_Event event = {.tfinger = {.type = type,
                                         .fingerId = id,
                                         .x = (float)(at.x / w->layout.width),
                                         .y = (float)(at.y / w->layout.height)}};
    pointer_event(w, &event);
}

static inline void name_trophy(window *w) {
    assert_true(sp_review_set_moment(w->session.review, "trophy", 0, NULL));
}

#endif
