#include "window/pen.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "serveplumb/stroke.h"
#include "window/actions.h"
#include "window/page.h"
#include "window/state.h"

/* Output pixels: what a hand trembles, how near a press has to be to take ink off. */
#define TREMBLE_PX 0.8
#define REACH 14.0

static const char *const kinds[SP_INK_KINDS] = {"stroke by hand", "line", "arrow", "circle"};
static const char *const hues[SP_HUE_COUNT] = {
    [SP_HUE_HITTING_ARM] = "orange, as the hitting arm",
    [SP_HUE_BODY] = "sky blue, as the body",
    [SP_HUE_RACQUET] = "purple, as the racquet",
    [SP_HUE_BALL] = "vermilion, as the ball",
    [SP_HUE_PLUMB] = "yellow, as the plumb",
    [SP_HUE_SCALE] = "green, as the scale",
};

bool pen_in_hand(const window *w) {
    return window_is_open(w) && w->tool.kind == TOOL_INK && w->session.closed[0] == '\0';
}

static void span_of(const window *w, int *from, int *to) {
    const int frame = w->frames.number, last = w->session.times.count - 1;
    *from = *to = frame;
    if (w->pen.frames == PEN_FROM_HERE) *to = last;
    const bool within = w->play.last > w->play.first && frame >= w->play.first &&
                        frame <= w->play.last && w->play.last <= last;
    if (w->pen.frames == PEN_SPAN && within) {
        *from = w->play.first;
        *to = w->play.last;
    }
}

/* Two points, or as many as the hand made and the review holds. */
static void shape(window *w) {
    pen *p = &w->pen;
    p->begun = (sp_ink){.kind = p->kind, .hue = p->hue, .points = p->way, .count = p->count};
    span_of(w, &p->begun.from_frame, &p->begun.to_frame);
}

/* --- taking off ------------------------------------------------------------------------------ */

static void rub(window *w, sp_point at) {
    const sp_review *review = w->session.review;
    double best = REACH * w->layout.density / w->placement.zoom;
    if (talking_rubs(w, at, best)) return;
    size_t found = SIZE_MAX;
    for (size_t i = 0; i < sp_review_ink_count(review); i++) {
        const sp_ink *ink = sp_review_ink_at(review, i);
        const double away = sp_ink_distance(ink, at);
        if (!sp_ink_is_on(ink, w->frames.number) || away > best) continue;
        best = away;
        found = i;
    }
    if (found == SIZE_MAX || !edit_allowed(w)) return;
    sp_error error = {0};
    edit_end(w, sp_review_set_ink(w->session.review, found, NULL, &error), &error);
}

void act_ink_clear(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    int taken = 0;
    bool good = true;
    for (size_t i = sp_review_ink_count(w->session.review); good && i-- > 0;) {
        if (!sp_ink_is_on(sp_review_ink_at(w->session.review, i), w->frames.number)) continue;
        good = sp_review_set_ink(w->session.review, i, NULL, &error);
        taken += good;
    }
    if (taken == 0 && good) {
        message_say(w, "There is no ink on this frame.");
        return;
    }
    if (!edit_end(w, good, &error)) return;
    if (w->session.written) message_say(w, "The ink of frame %d is taken off.", w->frames.number);
}

/* --- drawing --------------------------------------------------------------------------------- */

static sp_point kept_near(const window *w, sp_point at) {
    const sp_clip_facts *facts = w->session.facts;
    return (sp_point){fmax(-facts->width, fmin(at.x, 2.0 * facts->width)),
                      fmax(-facts->height, fmin(at.y, 2.0 * facts->height))};
}

void pen_press(window *w, sp_point at) {
    pen *p = &w->pen;
    play_stop(w);
    talking_pen_down(w);
    if (p->rubs) {
        rub(w, at);
        p->down = true;
        return;
    }
    if (p->way == NULL) p->way = calloc(PEN_POINTS_MAX, sizeof *p->way);
    if (p->way == NULL) return;
    p->way[0] = kept_near(w, at);
    p->count = 1;
    p->down = true;
    shape(w);
    window_touch(w, PART_OVERLAY);
}

void pen_move(window *w, sp_point at) {
    pen *p = &w->pen;
    if (!p->down) return;
    if (p->rubs) {
        rub(w, at);
        return;
    }
    if (p->kind != SP_INK_STROKE) p->count = 1;
    if (p->count < PEN_POINTS_MAX) p->way[p->count++] = kept_near(w, at);
    shape(w);
    window_touch(w, PART_OVERLAY);
}

static void thin(const window *w, pen *p) {
    double tolerance = TREMBLE_PX * w->layout.density / w->placement.zoom;
    do {
        p->count = sp_stroke_thin(p->way, p->count, tolerance);
        tolerance *= 1.5;
    } while (p->count > SP_INK_POINTS_MAX);
}

void pen_lift(window *w, sp_point at) {
    pen *p = &w->pen;
    if (!p->down) return;
    if (!p->rubs && p->kind != SP_INK_STROKE) pen_move(w, at);
    p->down = false;
    if (p->rubs) return;
    thin(w, p);
    shape(w);
    const bool slip =
        p->kind != SP_INK_STROKE && sp_point_distance(p->way[0], p->way[p->count - 1]) < 2.0;
    window_touch(w, PART_OVERLAY);
    if (slip || talking_takes_ink(w, &p->begun) || !edit_allowed(w)) return;
    sp_error error = {0};
    edit_end(w, sp_review_add_ink(w->session.review, &p->begun, &error), &error);
}

void pen_drop(window *w) {
    w->pen.down = false;
    window_touch(w, PART_OVERLAY);
}

void pen_free(window *w) {
    free(w->pen.way);
    w->pen = (pen){.kind = w->pen.kind, .hue = w->pen.hue};
}

/* The scene takes no more than the review does. */
bool pen_shows(const window *w, sp_overlay_ink *ink) {
    const pen *p = &w->pen;
    if (!p->down || p->rubs || p->count == 0) return false;
    if (p->begun.kind != SP_INK_STROKE && p->count < 2) return false;
    *ink = (sp_overlay_ink){.ink = &p->begun, .share = 1};
    return true;
}

/* --- what it is ------------------------------------------------------------------------------ */

static const char *frames_words(const window *w) {
    if (w->pen.frames == PEN_FROM_HERE) return "from this frame on";
    if (w->pen.frames == PEN_SPAN) return "the span, on its frames";
    return "this frame only";
}

void act_ink(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    pen *p = &w->pen;
    if (pen_in_hand(w) && !p->rubs) p->kind = (sp_ink_kind)((p->kind + 1) % SP_INK_KINDS);
    p->rubs = false;
    tool_begin(w, TOOL_INK);
}

void act_ink_hue(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    w->pen.hue = (sp_hue)((w->pen.hue + 1) % SP_HUE_COUNT);
    w->pen.rubs = false;
    tool_begin(w, TOOL_INK);
}

void act_ink_frames(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    w->pen.frames = (pen_frames)((w->pen.frames + 1) % PEN_FRAMES_COUNT);
    if (w->pen.frames == PEN_SPAN && w->play.last <= w->play.first)
        message_say(w, "No span is set yet: Shift Home and Shift End set one. Until then ink is on "
                       "this frame only.");
    window_touch(w, PART_SHEET);
}

void act_ink_rub(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    w->pen.rubs = true;
    tool_begin(w, TOOL_INK);
}

void pen_words(const window *w, char *title, size_t title_size, char *hint, size_t hint_size) {
    if (w->pen.rubs) {
        snprintf(title, title_size, "Rub ink out");
        snprintf(hint, hint_size, "Press on a mark, or draw over several. Undo brings them back.");
        return;
    }
    snprintf(title, title_size, "Draw: %s", kinds[w->pen.kind]);
    snprintf(
        hint, hint_size,
        "%s; seen on %s. I: the next kind of mark; Shift I: the next hue. Esc puts the pen down.",
        hues[w->pen.hue], frames_words(w));
    if (hint[0] >= 'a' && hint[0] <= 'z') hint[0] = (char)(hint[0] - 'a' + 'A');
}

static size_t marks_here(const window *w) {
    size_t here = 0;
    for (size_t i = 0; i < sp_review_ink_count(w->session.review); i++)
        here += sp_ink_is_on(sp_review_ink_at(w->session.review, i), w->frames.number);
    return here;
}

void pen_paint(page *p) {
    const window *w = p->w;
    const size_t here = marks_here(w), all = sp_review_ink_count(w->session.review);
    char summary[64] = "none";
    if (all > 0) snprintf(summary, sizeof summary, "%zu here, %zu in all", here, all);
    if (!page_section(p, SECTION_INK, "Ink", summary, all > 0 ? SIGN_DONE : SIGN_MISSING)) return;
    page_setting(p, "mark", kinds[w->pen.kind], act_ink, 0);
    page_setting(p, "hue", hues[w->pen.hue], act_ink_hue, 0);
    page_setting(p, "seen on", frames_words(w), act_ink_frames, 0);
    page_offer(p, "rub ink out", act_ink_rub, 0);
    if (here > 0) page_offer(p, "take all ink off this frame", act_ink_clear, 0);
}
