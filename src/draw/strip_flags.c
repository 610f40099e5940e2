/* The moments over the strip, each by its name. */
#include <math.h>

#include "draw/strip_layout.h"

#define FLAGS_MAX 24
#define FLAG_PAD 6.0
#define FLAG_WIDTH 132.0 /* longest name that is shown whole */

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
        if (!sp_strip_shows(strip, x)) continue;
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

static void draw_stem(sp_paint *paint, const flag *one, const strip_rows *r, sp_color color) {
    const double knee = r->track_top - 3.0;
    const double from = fmax(one->center - one->width / 2.0 + 4.0,
                             fmin(one->x, one->center + one->width / 2.0 - 4.0));
    const sp_point stem[] = {
        {from, r->flag_bottom}, {one->x, knee}, {one->x, r->track_bottom - 1.0}};
    sp_paint_polyline(paint, stem, 3, 1.5, color);
}

void sp_strip_draw_flags(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
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
