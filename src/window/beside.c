#include "window/beside.h"

#include <math.h>
#include <stdio.h>
#include <unistd.h>

#include "window/actions.h"
#include "window/opening.h"
#include "window/state.h"

#define FOOT 80.0 /* units */
/* The clip that is open has all of its budget, the other has this. */
#define OTHER_CACHE_MB 256

bool beside_is_open(const window *w) { return w->beside.kind != BESIDE_NONE; }

/* --- time ------------------------------------------------------------------------------------- */

static double time_of(const window *w) { return session_time_s(&w->session, w->frames.asked); }

/* A moment that was named anew moves the lock; one that is gone leaves them as they stand. */
static void keep_lock(beside *b, const session *s) {
    if (b->moment[0] != '\0' && !pairing_shift(s, &b->other, b->moment, &b->shift_s))
        b->moment[0] = '\0';
}

int beside_update(window *w) {
    beside *b = &w->beside;
    if (b->kind == BESIDE_NONE) return -1;
    keep_lock(b, &w->session);
    frames_ask(&b->frames, &b->other, pairing_frame(&b->other, time_of(w) + b->shift_s));
    if (frames_follow(&b->frames, &b->other, w->renderer))
        window_touch(w, PART_BESIDE | PART_PICTURE);
    return frames_are_settled(&b->frames) ? -1 : FRAMES_LOOK_MS;
}

/* As they stand, with the other so many frames on. */
void act_other_step(window *w, int by) {
    beside *b = &w->beside;
    if (!beside_is_open(w)) {
        message_say(w, "No other clip is beside this one; Ctrl B chooses one.");
        return;
    }
    play_stop(w);
    const int to = SDL_clamp(b->frames.asked + by, 0, b->other.times.count - 1);
    b->moment[0] = '\0';
    b->shift_s = session_time_s(&b->other, to) - time_of(w);
    frames_ask(&b->frames, &b->other, to);
    window_touch(w, PART_BESIDE);
}

void act_lock(window *w, int unused) {
    (void)unused;
    beside *b = &w->beside;
    if (!beside_is_open(w)) return;
    if (pairing_moment(w->session.review, b->other.review, b->moment, b->moment))
        message_say(w, "The two are locked at the %s, by real time.", b->moment);
    else
        message_say(w, "No moment is named in both clips: name the contact in both to lock them.");
    window_touch(w, PART_BESIDE);
}

/* --- opening and closing ---------------------------------------------------------------------- */

static void first_lock(window *w) {
    beside *b = &w->beside;
    b->moment[0] = '\0';
    if (pairing_moment(w->session.review, b->other.review, "", b->moment)) return;
    b->shift_s = 0;
    message_say(w, "No moment is named in both, so they run from their first frames. Ctrl , and "
                   "Ctrl . move the other alone.");
}

bool beside_open(window *w, const char *path) {
    beside *b = &w->beside;
    if (!window_is_open(w)) return window_open(w, path);
    sp_error error = {0};
    if (!opening_wait(w, &b->other, path, OTHER_CACHE_MB, &error)) {
        message_problem(w, &error);
        return false;
    }
    message_dismiss(w);
    frames_reset(&b->frames);
    if (b->kind == BESIDE_NONE) b->kind = BESIDE_APART;
    first_lock(w);
    b->placement.fitted = true;
    w->placement.fitted = true;
    window_resize(w);
    return true;
}

void beside_close(window *w) {
    beside *b = &w->beside;
    if (b->kind == BESIDE_NONE) return;
    beside_end(w);
    b->kind = BESIDE_NONE;
    w->placement.fitted = true;
    window_resize(w);
}

void beside_forget(window *w) {
    beside *b = &w->beside;
    plate_forget(&b->frames.plate);
    b->frames.shown = false;
    b->frames.tried = -1;
    pane_forget(&b->overlay);
    pane_forget(&b->foot);
}

void beside_end(window *w) {
    beside *b = &w->beside;
    pane_free(&b->overlay);
    pane_free(&b->foot);
    frames_reset(&b->frames);
    session_close(&b->other);
}

void act_end_compare(window *w, int unused) {
    (void)unused;
    beside_close(w);
}

void act_over(window *w, int unused) {
    (void)unused;
    beside *b = &w->beside;
    if (!beside_is_open(w)) {
        message_say(w, "No other clip is beside this one; Ctrl B chooses one.");
        return;
    }
    b->kind = b->kind == BESIDE_OVER ? BESIDE_APART : BESIDE_OVER;
    if (b->kind == BESIDE_OVER) {
        b->fit = pairing_align(&w->session, &b->other, b->moment);
        message_say(w, "%s", b->fit.words);
    }
    b->placement.fitted = w->placement.fitted = true;
    window_resize(w);
}

/* The other is worked on from here on. Both stay at the frames that they show. */
void act_swap(window *w, int unused) {
    (void)unused;
    beside *b = &w->beside;
    if (!beside_is_open(w)) return;
    char path[PATH_MAX], other[PATH_MAX];
    snprintf(path, sizeof path, "%s", w->session.review_path);
    if (access(path, R_OK) != 0) snprintf(path, sizeof path, "%s", w->session.clip_path);
    snprintf(other, sizeof other, "%s", b->other.clip_path);
    const beside_kind kind = b->kind;
    const int frame = b->frames.asked, before = w->frames.asked;
    const bool by_hand = b->moment[0] == '\0';
    if (!window_open(w, other)) return;
    frames_go(w, frame);
    if (!beside_open(w, path)) return;
    if (by_hand) act_other_step(w, before - b->frames.asked);
    if (kind == BESIDE_OVER) act_over(w, 0);
}

/* --- where it lies ---------------------------------------------------------------------------- */

static double aspect_of(const sp_clip_facts *facts) { return (double)facts->width / facts->height; }

/* Neither gets less than a third. */
static int share(int length, double one, double other) {
    return (int)lround(length * fmax(1 / 3.0, fmin(2 / 3.0, one / (one + other))));
}

/* Left and right both are equally high; the way that shows the less high of the two higher. */
static bool better_stacked(SDL_Rect area, double a, double b) {
    const double across = fmin(area.h, area.w / (a + b));
    const double wide = fmin(area.w, area.h / (1 / a + 1 / b));
    return fmin(wide / a, wide / b) > across;
}

void beside_lay(window *w) {
    beside *b = &w->beside;
    if (b->kind == BESIDE_NONE) return;
    SDL_Rect *c = &w->layout.canvas;
    const int foot = SDL_min((int)(FOOT * w->layout.density), c->h / 2);
    c->h -= foot;
    b->below = (SDL_Rect){c->x, c->y + c->h, c->w, foot};
    b->place = *c;
    window_touch(w, PART_BESIDE);
    if (b->kind == BESIDE_OVER) return;
    const double one = aspect_of(w->session.facts), other = aspect_of(b->other.facts);
    b->stacked = better_stacked(*c, one, other);
    if (b->stacked) {
        c->h = share(c->h, 1 / one, 1 / other);
        b->place.h -= c->h, b->place.y += c->h;
    } else {
        c->w = share(c->w, one, other);
        b->place.w -= c->w, b->place.x += c->w;
    }
    if (b->placement.fitted)
        b->placement = placement_fit(b->place, w->layout.density, b->other.facts->width,
                                     b->other.facts->height);
}

bool beside_holds(const window *w, sp_point at) {
    const SDL_Rect r = w->beside.place;
    return w->beside.kind == BESIDE_APART && at.x >= r.x && at.y >= r.y && at.x < r.x + r.w &&
           at.y < r.y + r.h;
}

void beside_zoom(window *w, double factor, sp_point at) {
    beside *b = &w->beside;
    b->placement = placement_zoom(b->placement, b->place, b->other.facts->width,
                                  b->other.facts->height, factor, at);
    window_touch(w, PART_BESIDE | PART_PICTURE);
}

void beside_pan(window *w, double dx, double dy) {
    beside *b = &w->beside;
    b->placement = placement_pan(b->placement, b->place, b->other.facts->width,
                                 b->other.facts->height, dx, dy);
    window_touch(w, PART_BESIDE | PART_PICTURE);
}
