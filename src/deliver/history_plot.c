#include "deliver/history_plot.h"

#include <math.h>

#include "deliver/html.h"

#define WIDTH 560.0
#define HEIGHT 250.0
#define LEFT 92.0
#define RIGHT 22.0
#define TOP 18.0
#define BOTTOM 40.0
#define INSET 20.0 /* of the first and the last day */
/* What is of one day stands beside each other, so that intervals can be told apart. */
#define BESIDE 9.0
#define BESIDE_MOST 36.0 /* from the first of a day to its last */
#define TICKS_MAX 12

typedef struct {
    const sp_plot *plot;
    double low, high, step; /* of the scale at the left */
    double first_day, last_day;
} frame;

static double x_of_day(const frame *f, double day) {
    const double span = f->last_day - f->first_day, wide = WIDTH - LEFT - RIGHT - 2 * INSET;
    return LEFT + INSET + (span > 0 ? wide * (day - f->first_day) / span : wide / 2);
}

static double y_of(const frame *f, double value) {
    return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (value - f->low) / (f->high - f->low);
}

static bool same_day(double one, double other) { return fabs(one - other) < 0.5; }

/* By its place among the values of its day. */
static double x_of(const frame *f, size_t index) {
    const sp_plot *plot = f->plot;
    size_t before = 0, all = 0;
    for (size_t i = 0; i < plot->count; i++)
        if (same_day(plot->values[i].day, plot->values[index].day)) {
            before += i < index;
            all++;
        }
    const double beside = all < 2 ? 0 : fmin(BESIDE, BESIDE_MOST / (double)(all - 1));
    return x_of_day(f, plot->values[index].day) + beside * ((double)before - (double)(all - 1) / 2);
}

static bool has_ends(sp_interval v) { return isfinite(v.low) && isfinite(v.high); }

static void widen(frame *f, const sp_plot_value *value) {
    const sp_interval v = value->value;
    f->low = fmin(f->low, has_ends(v) ? v.low : v.value);
    f->high = fmax(f->high, has_ends(v) ? v.high : v.value);
    f->first_day = fmin(f->first_day, value->day);
    f->last_day = fmax(f->last_day, value->day);
}

/* 1, 2 or 5 times a power of ten in the unit that is read. */
static double nice_step(double span, double unit) {
    const double rough = fmax(span, 1e-3 * unit) / unit / 4, power = pow(10, floor(log10(rough)));
    const double times = rough / power;
    return unit * power * (times <= 1 ? 1 : times <= 2 ? 2 : times <= 5 ? 5 : 10);
}

static frame frame_of(const sp_plot *plot) {
    frame f = {.plot = plot,
               .low = INFINITY,
               .high = -INFINITY,
               .first_day = INFINITY,
               .last_day = -INFINITY};
    for (size_t i = 0; i < plot->count; i++) widen(&f, &plot->values[i]);
    for (size_t i = 0; plot->mean_bars && i < plot->mean_count; i++) widen(&f, &plot->means[i]);
    f.step = nice_step(f.high - f.low, plot->unit);
    f.low = f.step * floor(f.low / f.step);
    f.high = f.step * fmax(ceil(f.high / f.step), round(f.low / f.step) + 1);
    return f;
}

static void put_ticks(sp_text *html, const frame *f) {
    for (int i = 0; i <= TICKS_MAX && f->low + i * f->step <= f->high + f->step / 2; i++) {
        const double value = f->low + i * f->step, y = y_of(f, value);
        char text[64];
        f->plot->tick(f->plot->of, value, f->step, text, sizeof text);
        sp_text_format(html,
                       "<line class=\"rule\" x1=\"%.0f\" x2=\"%.0f\" y1=\"%.1f\" y2=\"%.1f\"/>"
                       "<text x=\"%.0f\" y=\"%.1f\" text-anchor=\"end\">",
                       LEFT, WIDTH - RIGHT, y, y, LEFT - 8, y + 5);
        sp_html_text(html, text);
        sp_text_append(html, "</text>\n");
    }
}

static void put_days(sp_text *html, const frame *f) {
    const sp_plot *plot = f->plot;
    for (size_t i = 0; i < plot->count; i++) {
        if (i > 0 && same_day(plot->values[i].day, plot->values[i - 1].day)) continue;
        const double x = x_of_day(f, plot->values[i].day);
        sp_text_format(html,
                       "<line class=\"axis\" x1=\"%.1f\" x2=\"%.1f\" y1=\"%.0f\" y2=\"%.0f\"/>", x,
                       x, HEIGHT - BOTTOM, HEIGHT - BOTTOM + 6);
    }
    sp_text_format(html, "\n<text x=\"%.0f\" y=\"%.0f\">%s</text>", LEFT, HEIGHT - 12,
                   plot->first_day);
    sp_text_format(html, "<text x=\"%.0f\" y=\"%.0f\" text-anchor=\"end\">%s</text>\n",
                   WIDTH - RIGHT, HEIGHT - 12, plot->last_day);
}

static void put_one(sp_text *html, const frame *f, double x, sp_interval v) {
    if (has_ends(v))
        sp_text_format(html, "<path class=\"span\" d=\"M%.1f %.1fV%.1fM%.1f %.1fh8M%.1f %.1fh8\"/>",
                       x, y_of(f, v.low), y_of(f, v.high), x - 4, y_of(f, v.low), x - 4,
                       y_of(f, v.high));
    sp_text_format(html, "<circle class=\"serve\" cx=\"%.1f\" cy=\"%.1f\" r=\"%s\"/>\n", x,
                   y_of(f, v.value), has_ends(v) ? "4" : "2.5");
}

/* From day to day, so that the eye follows; it is no claim about the days between. */
static void put_way(sp_text *html, const frame *f) {
    sp_text_append(html, "<path class=\"way\" d=\"");
    for (size_t i = 0; i < f->plot->mean_count; i++)
        sp_text_format(html, "%c%.1f %.1f", i == 0 ? 'M' : 'L', x_of_day(f, f->plot->means[i].day),
                       y_of(f, f->plot->means[i].value.value));
    sp_text_append(html, "\"/>\n");
}

void sp_plot_put(sp_text *html, const sp_plot *plot) {
    const frame f = frame_of(plot);
    sp_text_format(html, "<svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" aria-label=\"", WIDTH,
                   HEIGHT);
    sp_html_text(html, plot->title);
    sp_text_append(html, " over the days\">\n");
    put_ticks(html, &f);
    put_days(html, &f);
    if (plot->mean_count > 1) put_way(html, &f);
    for (size_t i = 0; i < plot->count; i++) put_one(html, &f, x_of(&f, i), plot->values[i].value);
    for (size_t i = 0; plot->mean_bars && i < plot->mean_count; i++)
        put_one(html, &f, x_of_day(&f, plot->means[i].day), plot->means[i].value);
    sp_text_append(html, "</svg>");
}
