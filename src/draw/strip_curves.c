/* What lies on the track: the loudness of the sound, curves, and what is known of frames. */
#include <math.h>

#include "draw/strip_layout.h"

static sp_color fade(sp_color color, double alpha) {
    color.a *= alpha;
    return color;
}

static double loudest_between(const sp_strip *strip, double from_s, double to_s) {
    const double steps = strip->wave_count / strip->wave_s;
    const int first = (int)fmax(0.0, floor(from_s * steps));
    const int last = (int)fmin(strip->wave_count - 1, fmax(first, floor(to_s * steps) - 1.0));
    double loudest = 0.0;
    for (int i = first; i <= last; i++) loudest = fmax(loudest, (double)strip->wave[i]);
    return fmin(loudest, 1.0);
}

/* One column a unit, each as high as the loudest in it. */
void sp_strip_draw_wave(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    if (strip->wave == NULL || strip->wave_count < 1 || !(strip->wave_s > 0.0)) return;
    const double middle = (r->track_top + r->track_bottom) / 2.0;
    const double half = (r->track_bottom - r->track_top) / 2.0 - 2.0;
    const sp_color color = fade(strip->theme->faint, 0.4);
    const int columns = (int)(r->right - r->left);
    for (int i = 0; i < columns; i++) {
        const double x = r->left + i;
        const double high = half * loudest_between(strip, sp_strip_seconds_at(strip, x),
                                                   sp_strip_seconds_at(strip, x + 1.0));
        if (high < 0.3) continue;
        sp_paint_fill_rect(paint, (sp_rect){x, middle - high, 1.0, 2.0 * high}, 0.0, color);
    }
}

typedef struct {
    double low, high, top, bottom; /* values, and where they lie */
} ladder;

static bool ladder_of(const sp_strip *strip, const sp_strip_curve *curve, const strip_rows *r,
                      ladder *l) {
    int count = 0;
    *l = (ladder){INFINITY, -INFINITY, r->track_top + 4.0, r->track_bottom - 4.0};
    for (int i = 0; i < strip->times.count; i++) {
        if (isnan(curve->values[i])) continue;
        l->low = fmin(l->low, curve->values[i]);
        l->high = fmax(l->high, curve->values[i]);
        count++;
    }
    if (curve->signed_from_zero) {
        l->low = fmin(l->low, 0.0);
        l->high = fmax(l->high, 0.0);
    }
    return count > 0 && l->high > l->low;
}

static double y_of(const ladder *l, double value) {
    return l->bottom - (value - l->low) / (l->high - l->low) * (l->bottom - l->top);
}

/* Frames nearer than this are one column: a long clip has thousands in the width of a pen. */
#define COLUMN 0.5

typedef struct {
    double x, first, low, high, last; /* where its values lie */
} column;

static column take_column(const sp_strip *strip, const sp_strip_curve *curve, const ladder *l,
                          int *frame) {
    const double x = sp_strip_x_of(strip, *frame), first = y_of(l, curve->values[*frame]);
    column c = {x, first, first, first, first};
    for (++*frame; *frame < strip->times.count && !isnan(curve->values[*frame]); ++*frame) {
        if (sp_strip_x_of(strip, *frame) - x >= COLUMN) break;
        c.last = y_of(l, curve->values[*frame]);
        c.low = fmin(c.low, c.last);
        c.high = fmax(c.high, c.last);
    }
    return c;
}

/* Frames next to each other are joined; a gap in the marks stays a gap in the curve. */
static void draw_once(sp_paint *paint, const sp_strip *strip, const sp_strip_curve *curve,
                      const strip_rows *r, const ladder *l, double width, sp_color color) {
    bool joined = false;
    sp_point before = {0.0, 0.0};
    for (int i = 0; i < strip->times.count;) {
        if (isnan(curve->values[i])) {
            joined = false;
            i++;
            continue;
        }
        const column c = take_column(strip, curve, l, &i);
        const double near = joined ? before.x : c.x;
        const sp_point at = {c.x, c.first};
        const bool hidden =
            (c.x < r->left && near < r->left) || (c.x > r->right && near > r->right);
        if (!hidden && joined) sp_paint_line(paint, before, at, width, color);
        if (!hidden && !joined) sp_paint_disc(paint, at, width, color);
        if (!hidden && c.low < c.high)
            sp_paint_line(paint, (sp_point){c.x, c.low}, (sp_point){c.x, c.high}, width, color);
        before = (sp_point){c.x, c.last};
        joined = true;
    }
}

static void draw_curve(sp_paint *paint, const sp_strip *strip, const sp_strip_curve *curve,
                       const strip_rows *r, const ladder *l) {
    draw_once(paint, strip, curve, r, l, 4.0, fade(strip->theme->sheet, 0.7));
    draw_once(paint, strip, curve, r, l, 2.0, curve->color);
}

static void draw_label(sp_paint *paint, const sp_strip *strip, const sp_strip_curve *curve,
                       const strip_rows *r, double *x) {
    if (curve->label == NULL || r->track_bottom - r->track_top < 30.0) return;
    const sp_text_style style = {.size = strip->theme->small_px,
                                 .color = strip->theme->text,
                                 .halo = strip->theme->raised,
                                 .halo_width = 2.0};
    sp_paint_disc(paint, (sp_point){*x + 4.0, r->track_bottom - 12.0}, 4.0, curve->color);
    *x += 14.0;
    *x += sp_paint_text(paint, &style, (sp_point){*x, r->track_bottom - 21.0}, curve->label).width +
          12.0;
}

/* Lower than this no shape can be read. */
#define CURVES_LEAST 24.0

void sp_strip_draw_curves(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    if (r->track_bottom - r->track_top < CURVES_LEAST) return;
    for (int i = 0; i < strip->curve_count && i < SP_STRIP_CURVES_MAX; i++) {
        const sp_strip_curve *curve = &strip->curves[i];
        ladder l;
        if (!ladder_of(strip, curve, r, &l)) continue;
        if (curve->signed_from_zero) {
            const double zero = y_of(&l, 0.0);
            sp_paint_dashed_line(paint, (sp_point){r->left, zero}, (sp_point){r->right, zero}, 1.0,
                                 3.0, 3.0, fade(curve->color, 0.7));
        }
        draw_curve(paint, strip, curve, r, &l);
    }
}

void sp_strip_draw_labels(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    double x = r->left + 2.0;
    for (int i = 0; i < strip->curve_count && i < SP_STRIP_CURVES_MAX; i++) {
        ladder l;
        if (ladder_of(strip, &strip->curves[i], r, &l))
            draw_label(paint, strip, &strip->curves[i], r, &x);
    }
}

/* A cross, so that it is told without its colour. */
static void draw_damaged(sp_paint *paint, const sp_strip *strip, const strip_rows *r, double x) {
    const double y = r->track_top + 7.0, arm = 3.5;
    for (int pass = 0; pass < 2; pass++) {
        const sp_color color = pass == 0 ? strip->theme->sheet : strip->theme->warn;
        const double width = pass == 0 ? 5.0 : 2.2;
        sp_paint_line(paint, (sp_point){x - arm, y - arm}, (sp_point){x + arm, y + arm}, width,
                      color);
        sp_paint_line(paint, (sp_point){x - arm, y + arm}, (sp_point){x + arm, y - arm}, width,
                      color);
    }
}

/* A run of frames in one state is one line along the foot of the track. */
static void draw_runs(sp_paint *paint, const sp_strip *strip, unsigned state, double top,
                      double height) {
    const int count = strip->times.count;
    double end = -INFINITY;
    for (int i = 0; i < count; i++) {
        if ((strip->states[i] & state) == 0) continue;
        const int first = i;
        while (i + 1 < count && (strip->states[i + 1] & state) != 0) i++;
        const double left = sp_strip_x_of(strip, first) - 1.0,
                     right = sp_strip_x_of(strip, i) + 1.0;
        if (right - end < COLUMN) continue; /* would cover the run before */
        end = right;
        sp_paint_fill_rect(paint, (sp_rect){left, top, right - left, height}, 0.0,
                           strip->theme->faint);
    }
}

void sp_strip_draw_states(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    if (strip->states == NULL) return;
    draw_runs(paint, strip, SP_STRIP_REDUCED, r->track_bottom - 1.5, 1.0);
    draw_runs(paint, strip, SP_STRIP_AT_HAND, r->track_bottom - 3.0, 2.5);
    double last = -INFINITY;
    for (int i = 0; i < strip->times.count; i++) {
        if ((strip->states[i] & SP_STRIP_DAMAGED) == 0) continue;
        const double x = sp_strip_x_of(strip, i);
        if (x - last < 3.0) continue;
        last = x;
        draw_damaged(paint, strip, r, x);
    }
}
