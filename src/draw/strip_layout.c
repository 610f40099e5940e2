#include "draw/strip_layout.h"

#include <math.h>

#define TRACK_MOST 46.0

strip_rows sp_strip_rows(const sp_strip *strip) {
    const sp_rect area = strip->area;
    const double small = strip->theme->small_px;
    const double times = small * 1.35;
    strip_rows r = {.left = area.x + STRIP_MARGIN, .right = area.x + area.width - STRIP_MARGIN};
    r.flag_top = area.y + 4.0;
    r.flag_bottom = r.flag_top + small * 1.6;
    r.times_top = area.y + area.height - times - 2.0;
    r.track_bottom = r.times_top - 3.0;
    r.track_top = fmax(r.flag_bottom + small * 0.9, r.track_bottom - TRACK_MOST);
    if (r.track_top > r.track_bottom - 8.0) r.track_top = r.track_bottom - 8.0;
    return r;
}

double sp_strip_seconds_of(const sp_strip *strip, int frame) {
    return strip->times.seconds[frame] - strip->times.seconds[0];
}

double sp_strip_span_of(const sp_strip *strip) {
    return strip->times.count < 2 ? 0.0 : sp_strip_seconds_of(strip, strip->times.count - 1);
}

typedef struct {
    double from_s, width_s;
} part;

static part part_of(const sp_strip *strip) {
    if (strip->to_s > strip->from_s) return (part){strip->from_s, strip->to_s - strip->from_s};
    return (part){0.0, sp_strip_span_of(strip)};
}

double sp_strip_x_of_seconds(const sp_strip *strip, double seconds) {
    const part shown = part_of(strip);
    const double width = strip->area.width - 2.0 * STRIP_MARGIN;
    const double share = shown.width_s > 0.0 ? (seconds - shown.from_s) / shown.width_s : 0.0;
    return strip->area.x + STRIP_MARGIN + share * width;
}

double sp_strip_seconds_at(const sp_strip *strip, double x) {
    const part shown = part_of(strip);
    const double width = strip->area.width - 2.0 * STRIP_MARGIN;
    return shown.from_s + (x - strip->area.x - STRIP_MARGIN) / width * shown.width_s;
}

bool sp_strip_shows(const sp_strip *strip, double x) {
    const double slack = 0.5; /* rounding at the ends */
    return x >= strip->area.x + STRIP_MARGIN - slack &&
           x <= strip->area.x + strip->area.width - STRIP_MARGIN + slack;
}

double sp_strip_x_of(const sp_strip *strip, int frame) {
    const int last = strip->times.count - 1;
    if (last < 0) return strip->area.x + STRIP_MARGIN;
    const int kept = frame < 0 ? 0 : frame > last ? last : frame;
    return sp_strip_x_of_seconds(strip, sp_strip_seconds_of(strip, kept));
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

double sp_strip_round_step(double at_least) {
    const double power = pow(10.0, floor(log10(at_least)));
    const double ratio = at_least / power;
    /* a hair of slack: 0.5 asked for is 0.5 given */
    const double digit = ratio <= 1.0 + 1e-9   ? 1.0
                         : ratio <= 2.0 + 1e-9 ? 2.0
                         : ratio <= 5.0 + 1e-9 ? 5.0
                                               : 10.0;
    return digit * power;
}

#define SPREAD_MAX 64

/* With the widths before each label taken off, "apart" becomes "not decreasing": the classic
 * pooling of neighbours that are out of order gives the least-squares answer. */
bool sp_strip_spread(double *centers, const double *widths, int count, double gap, double low,
                     double high) {
    if (count < 1) return true;
    if (count > SPREAD_MAX) return false;
    double offset[SPREAD_MAX], mean[SPREAD_MAX];
    int size[SPREAD_MAX];
    int pools = 0;
    double before = 0.0;
    for (int i = 0; i < count; i++) {
        offset[i] = before + widths[i] / 2.0;
        before += widths[i] + gap;
        mean[pools] = centers[i] - offset[i];
        size[pools++] = 1;
        while (pools > 1 && mean[pools - 2] > mean[pools - 1]) {
            const int a = size[pools - 2], b = size[pools - 1];
            mean[pools - 2] = (mean[pools - 2] * a + mean[pools - 1] * b) / (a + b);
            size[--pools - 1] = a + b;
        }
    }
    const double last = high - (before - gap); /* the largest start of the whole row */
    if (last < low) return false;
    int label = 0;
    for (int pool = 0; pool < pools; pool++)
        for (int i = 0; i < size[pool]; i++, label++)
            centers[label] = fmax(low, fmin(last, mean[pool])) + offset[label];
    return true;
}
