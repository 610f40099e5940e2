/* Where one point was carried, and how surely: bars at the foot of the track. */
#include <math.h>

#include "draw/strip_layout.h"

#define LEAST 2.0 /* of a bar as sure as a tap, units */
#define MOST 13.0
/* Bars nearer than this hide each other. */
#define NEAR 0.25
/* In tap deviations: up to the first a bar is lowest, from the second on highest. */
#define SURE 1.0
#define UNSURE 8.0

static double height_of(double sd_px, double tap_px) {
    const double share = log(sd_px / tap_px / SURE) / log(UNSURE / SURE);
    return LEAST + (MOST - LEAST) * fmin(fmax(share, 0.0), 1.0);
}

/* A tap of it is a post over the whole height: between posts it was carried. */
void sp_strip_draw_carried(sp_paint *paint, const sp_strip *strip, const strip_rows *r) {
    if (strip->carried == 0 || strip->review == NULL) return;
    const sp_point_name point = (sp_point_name)(strip->carried - 1);
    const double tap_px = sp_review_get_points_sd(strip->review);
    const double bottom = r->track_bottom - 3.0;
    double last = -INFINITY, highest = 0.0; /* of the bars at nearly the same place */
    for (size_t i = 0; i < sp_review_marked_count(strip->review); i++) {
        const int frame = sp_review_marked_frame(strip->review, i);
        const double x = sp_strip_x_of(strip, frame);
        const double next =
            sp_strip_x_of(strip, frame + 1 < strip->times.count ? frame + 1 : frame);
        const double width = fmax(1.0, fmin(next - x, 7.0) * 0.8);
        sp_mark mark;
        if (!sp_strip_shows(strip, x) || !sp_review_mark(strip->review, frame, point, &mark))
            continue;
        if (mark.by == SP_BY_TAP)
            sp_paint_fill_rect(paint, (sp_rect){x - 1.0, bottom - MOST, 2.0, MOST}, 0.0,
                               strip->theme->accent);
        if (mark.by != SP_BY_CARRY) continue;
        const double height = height_of(mark.sd_px, tap_px);
        if (x - last < NEAR && height <= highest) continue;
        last = x;
        highest = height;
        sp_paint_fill_rect(paint, (sp_rect){x - width / 2, bottom - height, width, height}, 0.5,
                           strip->theme->accent);
    }
}
