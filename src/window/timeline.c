#include "window/timeline.h"

#include <math.h>
#include <stdlib.h>

#include "serveplumb/strip.h"
#include "window/actions.h"
#include "window/state.h"

/* The plate with its number, and a time beside it that has to give way. */
#define HEAD_REACH 90.0
#define MARGIN 10.0 /* units, so that the numbers at its ends have room */
/* The shortest part, in frames. */
#define FRAMES_LEAST 8
/* More often nobody could read it. */
#define WATCH_MS 400

void timeline_free(window *w) {
    timeline *t = &w->timeline;
    free(t->states);
    free(t->map);
    for (int i = 0; i < SP_CURVE_COUNT; i++) free(t->curves[i]);
    *t = (timeline){.pane = t->pane};
}

void timeline_reset(window *w) {
    timeline *t = &w->timeline;
    timeline_free(w);
    t->count = w->session.times.count;
    t->states = calloc((size_t)t->count, sizeof *t->states);
    t->map = calloc((size_t)t->count, sizeof *t->map);
    for (int i = 0; i < SP_CURVE_COUNT; i++)
        t->curves[i] = calloc((size_t)t->count, sizeof *t->curves[i]);
    timeline_follow(w);
}

void timeline_follow(window *w) {
    timeline *t = &w->timeline;
    for (int i = 0; i < SP_CURVE_COUNT; i++) {
        if (t->curves[i] == NULL) continue;
        t->had[i] = sp_curve_fill(w->session.review, w->session.times, (sp_curve)i, t->curves[i]);
    }
}

void timeline_damaged(window *w, int frame) {
    timeline *t = &w->timeline;
    if (t->states == NULL || (t->states[frame] & SP_STRIP_DAMAGED) != 0) return;
    t->states[frame] |= SP_STRIP_DAMAGED;
    window_touch(w, PART_STRIP);
}

static bool take_map(timeline *t) {
    bool changed = false;
    for (int i = 0; i < t->count; i++) {
        const uint8_t now = t->map[i], before = t->states[i];
        uint8_t state = before & SP_STRIP_DAMAGED;
        if ((now & SP_FRAME_EXACT) != 0) state |= SP_STRIP_AT_HAND;
        if ((now & SP_FRAME_REDUCED) != 0) state |= SP_STRIP_REDUCED;
        if ((now & SP_FRAME_DAMAGED) != 0) state |= SP_STRIP_DAMAGED;
        changed = changed || state != before;
        t->states[i] = state;
    }
    return changed;
}

int timeline_watch(window *w) {
    timeline *t = &w->timeline;
    if (w->session.frames == NULL || t->states == NULL || t->map == NULL) return -1;
    if (t->at_rest && frames_are_settled(&w->frames) && !w->play.on) return -1;
    const uint64_t now = SDL_GetTicks64(), due = t->mapped_ms + WATCH_MS;
    if (now < due) return (int)(due - now);
    t->mapped_ms = now;
    t->at_rest = sp_frame_service_get_state(w->session.frames).idle; /* before the look */
    sp_frame_service_map(w->session.frames, t->map);
    if (take_map(t)) window_touch(w, PART_STRIP);
    return t->at_rest ? -1 : WATCH_MS;
}

static void add_curve(const window *w, sp_strip *strip, sp_curve which, const char *label,
                      sp_color color) {
    const timeline *t = &w->timeline;
    if (t->had[which] < 2) return;
    strip->curves[strip->curve_count++] =
        (sp_strip_curve){.values = t->curves[which],
                         .label = label,
                         .color = color,
                         .signed_from_zero = which == SP_CURVE_GAP};
}

static sp_strip strip_of(const window *w) {
    const double d = w->layout.density;
    sp_strip strip = {
        .review = w->session.review,
        .times = w->session.times,
        .theme = w->theme,
        .area = {MARGIN, 0, w->layout.strip.w / d - 2 * MARGIN, w->layout.strip.h / d},
        .frame = w->frames.number,
        .carried = w->tool.selected + 1,
        .sought = w->frames.asked != w->frames.number,
        .sought_frame = w->frames.asked,
        .from_s = w->timeline.from_s,
        .to_s = w->timeline.to_s,
        .states = w->timeline.states,
        .wave = w->audio.wave,
        .wave_count = w->audio.wave_count,
        .wave_s = w->audio.wave_s};
    if (w->play.loop) {
        strip.span_first = w->play.first;
        strip.span_last = play_last(w);
    }
    add_curve(w, &strip, SP_CURVE_TIP_SPEED, "tip speed", w->theme->racquet);
    add_curve(w, &strip, SP_CURVE_GAP, "gap", w->theme->hitting_arm);
    return strip;
}

static void paint_part(const window *w, sp_paint *paint, double left, double right) {
    const sp_strip strip = strip_of(w);
    sp_paint_save(paint);
    sp_paint_clip(paint, (sp_rect){left, 0, right - left, w->layout.strip.h / w->layout.density});
    sp_paint_clear(paint, w->theme->sheet);
    sp_strip_draw(paint, &strip);
    sp_paint_restore(paint);
}

static void heads_of(const window *w, double x[2]) {
    const sp_strip strip = strip_of(w);
    x[0] = sp_strip_x_of(&strip, strip.frame);
    x[1] = sp_strip_x_of(&strip, strip.sought_frame);
}

static void note_heads(window *w) { heads_of(w, w->timeline.head); }

/* Only where a head was or is: its plate, and the times that give way to it. Whole pixels, so that
 * no edge is painted twice. */
static void paint_heads(const window *w, sp_paint *paint) {
    double now[2], low[4], high[4];
    heads_of(w, now);
    for (int i = 0; i < 4; i++) {
        const double x = i < 2 ? w->timeline.head[i] : now[i - 2], d = w->layout.density;
        low[i] = floor((x - HEAD_REACH) * d) / d;
        high[i] = ceil((x + HEAD_REACH) * d) / d;
        for (int j = 0; j < i; j++) /* what overlaps is painted as one */
            if (low[j] <= high[i] && low[i] <= high[j] && high[j] > low[j]) {
                low[i] = fmin(low[i], low[j]);
                high[i] = fmax(high[i], high[j]);
                low[j] = high[j] = -HEAD_REACH;
            }
    }
    for (int i = 0; i < 4; i++)
        if (high[i] > low[i]) paint_part(w, paint, low[i], high[i]);
}

bool timeline_paint(window *w, sp_error *error) {
    const bool fresh = w->timeline.pane.texture == NULL ||
                       w->timeline.pane.picture.width != w->layout.strip.w ||
                       w->timeline.pane.picture.height != w->layout.strip.h ||
                       w->timeline.pane.density != w->layout.density;
    sp_paint *paint =
        pane_begin(&w->timeline.pane, w->layout.strip, w->layout.density, false, error);
    if (paint == NULL) return false;
    if (!window_is_open(w)) {
        sp_paint_clear(paint, w->theme->sheet);
    } else if (fresh || (w->stale & PART_STRIP) != 0) {
        paint_part(w, paint, 0, w->layout.strip.w / w->layout.density);
    } else {
        paint_heads(w, paint);
    }
    if (window_is_open(w)) note_heads(w);
    return pane_end(&w->timeline.pane, w->renderer, error);
}

static double units(const window *w, double x) {
    return (x - w->layout.strip.x) / w->layout.density;
}

int timeline_frame(const window *w, double x) {
    if (!window_is_open(w)) return 0;
    const sp_strip strip = strip_of(w);
    return sp_strip_frame_at(&strip, units(w, x));
}

static double whole_s(const window *w) {
    const sp_frame_times times = w->session.times;
    return times.count < 2 ? 0 : times.seconds[times.count - 1] - times.seconds[0];
}

/* Kept inside the clip; as wide as it is nothing is zoomed any more. */
static void show_part(window *w, double from_s, double width_s) {
    const double whole = whole_s(w);
    timeline *t = &w->timeline;
    if (width_s >= whole * (1 - 1e-9)) {
        t->from_s = t->to_s = 0;
    } else {
        t->from_s = fmax(0, fmin(from_s, whole - width_s));
        t->to_s = t->from_s + width_s;
    }
    window_touch(w, PART_STRIP);
}

void timeline_zoom(window *w, double factor, double x) {
    if (!window_is_open(w) || w->session.times.count <= FRAMES_LEAST) return;
    const timeline *t = &w->timeline;
    const double whole = whole_s(w);
    const double width = t->to_s > t->from_s ? t->to_s - t->from_s : whole;
    const double least = whole * FRAMES_LEAST / w->session.times.count;
    const double to = fmax(least, fmin(whole, width / factor));
    const sp_strip strip = strip_of(w);
    const double at = sp_strip_seconds_at(&strip, units(w, x));
    show_part(w, at - (at - t->from_s) * to / width, to);
}

void timeline_pan(window *w, double dx) {
    const timeline *t = &w->timeline;
    if (!window_is_open(w) || t->to_s <= t->from_s) return;
    const sp_strip strip = strip_of(w);
    const double by =
        sp_strip_seconds_at(&strip, 0) - sp_strip_seconds_at(&strip, dx / w->layout.density);
    show_part(w, t->from_s + by, t->to_s - t->from_s);
}

void timeline_reveal(window *w) {
    const timeline *t = &w->timeline;
    if (!window_is_open(w) || t->to_s <= t->from_s) return;
    const double width = t->to_s - t->from_s, margin = 0.08 * width;
    const double at = w->session.times.seconds[w->frames.asked] - w->session.times.seconds[0];
    if (at < t->from_s + margin) show_part(w, at - margin, width);
    if (at > t->to_s - margin) show_part(w, at + margin - width, width);
}

/* About the frame in view. */
void act_strip_zoom(window *w, int direction) {
    if (!window_is_open(w)) return;
    const sp_strip strip = strip_of(w);
    const double x = sp_strip_x_of(&strip, w->frames.number) * w->layout.density;
    timeline_zoom(w, direction > 0 ? 2 : 0.5, w->layout.strip.x + x);
    timeline_reveal(w);
}
