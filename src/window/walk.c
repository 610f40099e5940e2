#include "window/actions.h"
#include "window/moments.h"
#include "window/state.h"

void act_step(window *w, int by) {
    play_stop(w);
    frames_go(w, w->frames.asked + by);
}

void act_ends(window *w, int which) {
    play_stop(w);
    frames_go(w, which < 0 ? 0 : w->session.times.count - 1);
}

void act_go_frame(window *w, int frame) {
    play_stop(w);
    frames_go(w, frame);
}

void act_moment_step(window *w, int by) {
    if (!window_is_open(w)) return;
    const sp_review *review = w->session.review;
    int to = -1;
    for (size_t i = 0; i < sp_review_moment_count(review); i++) {
        const int frame = sp_review_moment_at(review, i)->frame;
        if (by > 0 && frame > w->frames.asked && to < 0) to = frame;
        if (by < 0 && frame < w->frames.asked) to = frame;
    }
    if (to >= 0)
        act_go_frame(w, to);
    else
        message_say(w, by > 0 ? "No moment is named after this frame."
                              : "No moment is named before this frame.");
}

void act_go_moment(window *w, int index) {
    if (!window_is_open(w)) return;
    const char *name = moment_kind_at(index)->name;
    const int frame = sp_review_moment_frame(w->session.review, name);
    if (frame >= 0)
        act_go_frame(w, frame);
    else
        message_say(w, "The %s is not named yet: go to its frame and press %d.", name, index + 1);
}

void act_play(window *w, int unused) {
    (void)unused;
    if (w->play.on)
        play_stop(w);
    else
        play_start(w);
}

void act_speed(window *w, int by) {
    w->play.speed = SDL_clamp(w->play.speed - by, 0, PLAY_SPEEDS - 1);
    if (w->play.on) play_start(w);
    window_touch(w, PART_BAR);
}

void act_loop(window *w, int unused) {
    (void)unused;
    w->play.loop = !w->play.loop;
    message_say(
        w,
        w->play.loop
            ? "Playing goes round from frame %d to %d; Shift Home and Shift End set its ends."
            : "Playing stops at the end of the clip.",
        w->play.first, play_last(w));
    window_touch(w, PART_BAR | PART_STRIP);
}

/* A span whose ends cross keeps the end that was set last. */
void act_span(window *w, int which) {
    if (!window_is_open(w)) return;
    play *p = &w->play;
    if (!p->loop) p->first = 0, p->last = -1;
    p->loop = true;
    if (which < 0)
        p->first = w->frames.number;
    else
        p->last = w->frames.number;
    if (p->last >= 0 && p->last <= p->first) {
        if (which < 0)
            p->last = -1;
        else
            p->first = 0;
    }
    message_say(w, "Playing goes round from frame %d to %d.", p->first, play_last(w));
    window_touch(w, PART_BAR | PART_STRIP);
}
