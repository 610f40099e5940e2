#include "serveplumb/strip.h"

#include <math.h>
#include <stdio.h>

#include "draw/strip_layout.h"

#define MARGIN 14.0 /* room for the head at the first and the last frame */
#define FLAGS_MAX 24
#define TICK_GAP 5.0   /* frames nearer than this are not ticked one by one */
#define LABEL_GAP 78.0 /* from one time to the next */
#define FLAG_PAD 6.0
#define FLAG_WIDTH 132.0 /* longest name that is shown whole */

/* From the top: flags of the moments, stems down to the track, the track, times below. */
typedef struct {
    double flag_top, flag_bottom, track_top, track_bottom, times_top;
    double left, right;
} rows;

static rows rows_of(const sp_strip *strip) {
    const sp_rect area = strip->area;
    const double small = strip->theme->small_px;
    const double times = small * 1.35;
    rows r = {.left = area.x + MARGIN, .right = area.x + area.width - MARGIN};
    r.flag_top = area.y + 3.0;
    r.flag_bottom = r.flag_top + small * 1.6;
    r.times_top = area.y + area.height - times - 2.0;
    r.track_bottom = r.times_top - 3.0;
    r.track_top = fmax(r.flag_bottom + small * 0.9, r.track_bottom - 26.0);
    if (r.track_top > r.track_bottom - 8.0) r.track_top = r.track_bottom - 8.0;
    return r;
}

static double seconds_of(const sp_strip *strip, int frame) {
    return strip->times.seconds[frame] - strip->times.seconds[0];
}

static double span_of(const sp_strip *strip) {
    return strip->times.count < 2 ? 0.0 : seconds_of(strip, strip->times.count - 1);
}

static double x_of_seconds(const sp_strip *strip, double seconds) {
    const double span = span_of(strip), width = strip->area.width - 2.0 * MARGIN;
    return strip->area.x + MARGIN + (span > 0.0 ? seconds / span * width : 0.0);
}

double sp_strip_x_of(const sp_strip *strip, int frame) {
    const int last = strip->times.count - 1;
    if (last < 0) return strip->area.x + MARGIN;
    return x_of_seconds(strip, seconds_of(strip, frame < 0 ? 0 : frame > last ? last : frame));
}

int sp_strip_frame_at(const sp_strip *strip, double x) {
    int low = 0, high = strip->times.count - 1;
    if (high < 1 || !isfinite(x)) return 0;
    /* the last frame that is not right of x, then the nearer of it and the next */
    while (low < high) {
        const int middle = low + (high - low + 1) / 2;
        if (sp_strip_x_of(strip, middle) <= x) {
            low = middle;
        } else {
            high = middle - 1;
        }
    }
    if (low == strip->times.count - 1) return low;
    const double here = x - sp_strip_x_of(strip, low);
    return sp_strip_x_of(strip, low + 1) - x < here ? low + 1 : low;
}

static double slowdown_of(const sp_strip *strip) {
    return strip->review == NULL ? 1.0 : sp_review_get_clip(strip->review)->slowdown;
}

static sp_color fade(sp_color color, double alpha) {
    color.a *= alpha;
    return color;
}

static void draw_track(sp_paint *paint, const sp_strip *strip, const rows *r) {
    const sp_rect track = {r->left - 6.0, r->track_top, r->right - r->left + 12.0,
                           r->track_bottom - r->track_top};
    sp_paint_fill_rect(paint, track, 5.0, strip->theme->raised);
    sp_paint_stroke_rect(paint, track, 5.0, 1.0, strip->theme->edge);
    if (strip->times.count < 2) return;
    if ((r->right - r->left) / (strip->times.count - 1) < TICK_GAP) return;
    const double low = r->track_bottom - 7.0;
    for (int i = 0; i < strip->times.count; i++) {
        const double x = sp_strip_x_of(strip, i);
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

static void draw_time(sp_paint *paint, const sp_strip *strip, const rows *r, const head *h,
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
static void draw_times(sp_paint *paint, const sp_strip *strip, const rows *r, const head *h) {
    const double real = span_of(strip) / slowdown_of(strip);
    if (!(real > 0.0) || r->right - r->left < LABEL_GAP) return;
    const double step = sp_strip_round_step(real * LABEL_GAP / (r->right - r->left));
    const int decimals = step >= 1.0 ? 0 : (int)ceil(-log10(step) - 1e-9);
    for (int i = 0; i * step <= real * (1.0 + 1e-9); i++) {
        char text[48];
        snprintf(text, sizeof text, "%.*f s", decimals, i * step);
        draw_time(paint, strip, r, h, x_of_seconds(strip, i * step * slowdown_of(strip)), text);
    }
}

/* A frame that holds points: a short bar on the upper edge of the track. */
static void draw_marked(sp_paint *paint, const sp_strip *strip, const rows *r) {
    const size_t count = sp_review_marked_count(strip->review);
    double last = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        const double x = sp_strip_x_of(strip, sp_review_marked_frame(strip->review, i));
        if (x - last < 1.0) continue; /* would cover the one before */
        last = x;
        sp_paint_fill_rect(paint, (sp_rect){x - 1.25, r->track_top + 3.0, 2.5, 7.0}, 1.25,
                           strip->theme->text);
    }
}

typedef struct {
    const char *name;
    double x, center, width;
    bool here;
} flag;

static int collect_flags(sp_paint *paint, const sp_strip *strip, flag flags[FLAGS_MAX]) {
    const size_t count = sp_review_moment_count(strip->review);
    int used = 0;
    for (size_t i = 0; i < count && used < FLAGS_MAX; i++) {
        const sp_moment *moment = sp_review_moment_at(strip->review, i);
        const sp_text_style style = {.size = strip->theme->small_px};
        const double text = sp_paint_text_size(paint, &style, moment->name).width;
        const double x = sp_strip_x_of(strip, moment->frame);
        flags[used++] = (flag){.name = moment->name,
                               .x = x,
                               .center = x,
                               .width = fmin(text + 1.0, FLAG_WIDTH) + 2.0 * FLAG_PAD,
                               .here = moment->frame == strip->frame};
    }
    return used;
}

/* Moments of a serve lie within a second: their flags step aside, and shrink when there are more
 * than fit. */
static void spread_flags(const sp_strip *strip, flag flags[FLAGS_MAX], int count) {
    const double low = strip->area.x + 2.0, high = strip->area.x + strip->area.width - 2.0;
    double centers[FLAGS_MAX], widths[FLAGS_MAX];
    double room = high - low;
    for (;;) {
        for (int i = 0; i < count; i++) {
            centers[i] = flags[i].center;
            widths[i] = fmin(flags[i].width, room);
        }
        if (sp_strip_spread(centers, widths, count, 4.0, low, high)) break;
        room = fmin(room, FLAG_WIDTH) * 0.8;
        if (room < 2.0 * FLAG_PAD) return;
    }
    for (int i = 0; i < count; i++) {
        flags[i].center = centers[i];
        flags[i].width = widths[i];
    }
}

static void draw_stem(sp_paint *paint, const flag *one, const rows *r, sp_color color) {
    const double knee = r->track_top - 3.0;
    const double from = fmax(one->center - one->width / 2.0 + 4.0,
                             fmin(one->x, one->center + one->width / 2.0 - 4.0));
    const sp_point stem[] = {
        {from, r->flag_bottom}, {one->x, knee}, {one->x, r->track_bottom - 1.0}};
    sp_paint_polyline(paint, stem, 3, 1.5, color);
}

static void draw_flags(sp_paint *paint, const sp_strip *strip, const rows *r) {
    flag flags[FLAGS_MAX];
    const int count = collect_flags(paint, strip, flags);
    spread_flags(strip, flags, count);
    for (int i = 0; i < count; i++) {
        const flag *one = &flags[i];
        const sp_color color = one->here ? strip->theme->accent : strip->theme->faint;
        draw_stem(paint, one, r, color);
        const sp_rect box = {one->center - one->width / 2.0, r->flag_top, one->width,
                             r->flag_bottom - r->flag_top};
        sp_paint_fill_rect(paint, box, 4.0, one->here ? color : strip->theme->raised);
        sp_paint_stroke_rect(paint, box, 4.0, 1.0, color);
        const sp_text_style style = {.size = strip->theme->small_px,
                                     .color =
                                         one->here ? strip->theme->on_accent : strip->theme->text,
                                     .align = SP_ALIGN_CENTER,
                                     .max_width = box.width - 2.0 * FLAG_PAD + 1.0};
        const double height = sp_paint_text_size(paint, &style, one->name).height;
        sp_paint_text(paint, &style,
                      (sp_point){box.x + FLAG_PAD, box.y + (box.height - height) / 2.0}, one->name);
    }
}

static void draw_head(sp_paint *paint, const sp_strip *strip, const rows *r, const head *h) {
    const double x = sp_strip_x_of(strip, strip->frame), top = h->plate.y + 1.0;
    const sp_color color = strip->theme->accent;
    sp_paint_line(paint, (sp_point){x, r->track_top - 2.0}, (sp_point){x, top}, 2.0, color);
    const sp_point tip[] = {{x, r->track_bottom - 1.0}, {x + 5.0, top}, {x - 5.0, top}};
    sp_paint_polygon(paint, tip, 3, color);
    sp_paint_fill_rect(paint, h->plate, 4.0, color);
    sp_paint_text(paint, &h->style, (sp_point){h->plate.x + 6.0, top}, h->text);
}

void sp_strip_draw(sp_paint *paint, const sp_strip *strip) {
    const rows r = rows_of(strip);
    const head h = head_of(paint, strip);
    sp_paint_save(paint);
    sp_paint_clip(paint, strip->area);
    draw_track(paint, strip, &r);
    draw_times(paint, strip, &r, &h);
    if (strip->review != NULL) {
        draw_marked(paint, strip, &r);
        draw_flags(paint, strip, &r);
    }
    if (strip->times.count > 0) draw_head(paint, strip, &r, &h);
    sp_paint_restore(paint);
}
