#include "serveplumb/strip.h"

#include <math.h>
#include <stdio.h>

#include "draw/strip_layout.h"

#define TICK_GAP 5.0   /* frames nearer than this are not ticked one by one */
#define LABEL_GAP 78.0 /* from one time to the next */

static double slowdown_of(const sp_strip *strip) {
    return strip->review == NULL ? 1.0 : sp_review_get_clip(strip->review)->slowdown;
}

static sp_color fade(sp_color color, double alpha) {
    color.a *= alpha;
    return color;
}

static void draw_track(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    const sp_rect track = {r->left - 6.0, r->track_top, r->right - r->left + 12.0,
                           r->track_bottom - r->track_top};
    sp_paint_fill_rect(paint, track, 5.0, strip->theme->raised);
    sp_paint_stroke_rect(paint, track, 5.0, 1.0, strip->theme->edge);
    if (strip->times.count < 2) return;
    const double step = sp_strip_span_of(strip) / (strip->times.count - 1);
    if (sp_strip_x_of_seconds(strip, step) - sp_strip_x_of_seconds(strip, 0) < TICK_GAP) return;
    const double low = r->track_bottom - 7.0;
    for (int i = 0; i < strip->times.count; i++) {
        const double x = sp_strip_x_of(strip, i);
        if (!sp_strip_shows(strip, x)) continue;
        sp_paint_line(paint, (sp_point){x, low}, (sp_point){x, r->track_bottom - 3.0}, 1.0,
                      fade(strip->theme->faint, 0.75));
    }
}

/* The number of the frame shown, on a plate at the foot of the strip. */
typedef struct {
    char text[24];
    sp_text_style style;
    sp_rect plate;
} head;

static head head_of(sp_paint *paint, const sp_strip *strip) {
    head h = {.style = {.size = strip->theme->small_px,
                        .bold = true,
                        .digits = true,
                        .color = strip->theme->on_accent}};
    snprintf(h.text, sizeof h.text, "%d", strip->frame);
    const sp_size size = sp_paint_text_size(paint, &h.style, h.text);
    const double x = sp_strip_x_of(strip, strip->frame), width = size.width + 12.0;
    const double left =
        fmax(strip->area.x, fmin(x - width / 2.0, strip->area.x + strip->area.width - width));
    h.plate = (sp_rect){left, strip->area.y + strip->area.height - size.height - 2.0, width,
                        size.height + 2.0};
    return h;
}

static void draw_time(sp_paint *paint, const sp_strip *strip, const strip_rows *r, const head *h,
                      double x, const char *text) {
    sp_paint_line(paint, (sp_point){x, r->track_top + 3.0}, (sp_point){x, r->track_bottom - 3.0},
                  1.0, fade(strip->theme->faint, 0.45));
    const sp_text_style style = {
        .size = strip->theme->small_px, .digits = true, .color = strip->theme->faint};
    const double width = sp_paint_text_size(paint, &style, text).width;
    const double most = strip->area.x + strip->area.width - width - 2.0;
    const double at = fmax(strip->area.x + 2.0, fmin(x - width / 2.0, most));
    const bool hidden = at < h->plate.x + h->plate.width + 4.0 && at + width > h->plate.x - 4.0;
    if (!hidden) sp_paint_text(paint, &style, (sp_point){at, r->times_top}, text);
}

/* Times are real seconds: what a watch beside the court would show. */
static void draw_times(sp_paint *paint, const sp_strip *strip, const strip_rows *r, const head *h) {
    const double slow = slowdown_of(strip), real = sp_strip_span_of(strip) / slow;
    const double from = fmax(0.0, sp_strip_seconds_at(strip, r->left) / slow);
    const double to = fmin(real, sp_strip_seconds_at(strip, r->right) / slow);
    if (!(to > from) || r->right - r->left < LABEL_GAP) return;
    const double step = sp_strip_round_step((to - from) * LABEL_GAP / (r->right - r->left));
    const int decimals = step >= 1.0 ? 0 : (int)ceil(-log10(step) - 1e-9);
    const long first = lround(ceil(from / step - 1e-9)), last = lround(floor(to / step + 1e-9));
    for (long i = first; i <= last; i++) {
        char text[48];
        snprintf(text, sizeof text, "%.*f s", decimals, (double)i * step);
        draw_time(paint, strip, r, h, sp_strip_x_of_seconds(strip, (double)i * step * slow), text);
    }
}

/* A frame that holds points: a short bar on the upper edge of the track. */
static void draw_marked(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    const size_t count = sp_review_marked_count(strip->review);
    double last = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        const double x = sp_strip_x_of(strip, sp_review_marked_frame(strip->review, i));
        if (!sp_strip_shows(strip, x)) continue;
        if (x - last < 1.0) continue; /* would cover the one before */
        last = x;
        sp_paint_fill_rect(paint, (sp_rect){x - 1.25, r->track_top + 3.0, 2.5, 7.0}, 1.25,
                           strip->theme->text);
    }
}

static void draw_head(sp_paint *paint, const sp_strip *strip, const strip_rows *r, const head *h) {
    const double x = sp_strip_x_of(strip, strip->frame), top = h->plate.y + 1.0;
    const sp_color color = strip->theme->accent;
    sp_paint_line(paint, (sp_point){x, r->track_top - 2.0}, (sp_point){x, top}, 2.0, color);
    const sp_point tip[] = {{x, r->track_bottom - 1.0}, {x + 5.0, top}, {x - 5.0, top}};
    sp_paint_polygon(paint, tip, 3, color);
    sp_paint_fill_rect(paint, h->plate, 4.0, color);
    sp_paint_text(paint, &h->style, (sp_point){h->plate.x + 6.0, top}, h->text);
}

/* Where the hand is while the picture is on its way. */
static void draw_sought(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    if (!strip->sought) return;
    const double x = sp_strip_x_of(strip, strip->sought_frame);
    if (!sp_strip_shows(strip, x)) return;
    sp_paint_dashed_line(paint, (sp_point){x, r->track_top - 2.0},
                         (sp_point){x, r->track_bottom + 2.0}, 2.0, 4.0, 3.0, strip->theme->accent);
}

/* The span that playing goes round in: what lies outside it is dimmed, its ends are brackets. */
static void draw_span(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    if (strip->span_last <= strip->span_first) return;
    const double top = r->track_top, bottom = r->track_bottom;
    const double ends[2] = {sp_strip_x_of(strip, strip->span_first),
                            sp_strip_x_of(strip, strip->span_last)};
    const sp_color veil = fade(strip->theme->sheet, 0.6), color = strip->theme->accent;
    const double left = r->left - 6.0, right = r->right + 6.0;
    const double low = fmax(left, fmin(ends[0], right)), high = fmax(left, fmin(ends[1], right));
    sp_paint_fill_rect(paint, (sp_rect){left, top, low - left, bottom - top}, 0.0, veil);
    sp_paint_fill_rect(paint, (sp_rect){high, top, right - high, bottom - top}, 0.0, veil);
    for (int i = 0; i < 2; i++) {
        const double x = ends[i], tick = i == 0 ? 6.0 : -6.0;
        if (!sp_strip_shows(strip, x)) continue;
        const sp_point bracket[] = {
            {x + tick, top - 2.0}, {x, top - 2.0}, {x, bottom + 2.0}, {x + tick, bottom + 2.0}};
        sp_paint_polyline(paint, bracket, 4, 2.0, color);
    }
}

/* Where in the clip the part that is shown lies. */
static void draw_part(sp_paint *paint, const sp_strip *strip) {
    const double span = sp_strip_span_of(strip);
    if (strip->to_s <= strip->from_s || !(span > 0.0)) return;
    const double width = strip->area.width, top = strip->area.y;
    const double from = fmax(0.0, strip->from_s / span), to = fmin(1.0, strip->to_s / span);
    sp_paint_fill_rect(paint, (sp_rect){strip->area.x, top, width, 3.0}, 1.5, strip->theme->raised);
    const sp_rect part = {strip->area.x + from * width, top, fmax(6.0, (to - from) * width), 3.0};
    sp_paint_fill_rect(paint, part, 1.5, strip->theme->faint);
}

/* The area between the ends of the track, so that what lies outside the part does not show. */
static void clip_to_track(sp_paint *paint, const strip_rows *r) {
    sp_paint_save(paint);
    sp_paint_clip(paint, (sp_rect){r->left - 6.0, r->track_top, r->right - r->left + 12.0,
                                   r->track_bottom - r->track_top});
}

void sp_strip_draw(sp_paint *paint, const sp_strip *strip) {
    const strip_rows r = sp_strip_rows(strip);
    const head h = head_of(paint, strip);
    sp_paint_save(paint);
    sp_paint_clip(paint, strip->area);
    draw_track(paint, strip, &r);
    clip_to_track(paint, &r);
    sp_strip_draw_wave(paint, strip, &r);
    sp_strip_draw_curves(paint, strip, &r);
    sp_strip_draw_states(paint, strip, &r);
    sp_strip_draw_carried(paint, strip, &r);
    sp_paint_restore(paint);
    draw_times(paint, strip, &r, &h);
    if (strip->review != NULL) draw_marked(paint, strip, &r);
    draw_span(paint, strip, &r);
    sp_strip_draw_labels(paint, strip, &r);
    if (strip->review != NULL) sp_strip_draw_flags(paint, strip, &r);
    draw_part(paint, strip);
    draw_sought(paint, strip, &r);
    const bool seen =
        strip->times.count > 0 && sp_strip_shows(strip, sp_strip_x_of(strip, strip->frame));
    if (seen) draw_head(paint, strip, &r, &h);
    sp_paint_restore(paint);
}
