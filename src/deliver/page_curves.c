/* Shapes over time as SVG. They have no interval, so they have no numbers either. */
#include <math.h>
#include <stdlib.h>

#include "deliver/html.h"
#include "deliver/page.h"
#include "serveplumb/curve.h"
#include "serveplumb/review_clip.h"

#define WIDTH 720.0
#define HEIGHT 240.0
#define LEFT 16.0
#define RIGHT 16.0
#define TOP 34.0
#define BOTTOM 34.0
#define LEAST 5 /* points that make a shape */

typedef struct {
    const double *values, *times;
    int count;                        /* frames */
    int first, last;                  /* frames with a value */
    double low, high, begin_s, end_s; /* clip's own clock */
    const char *kind;
} curve;

static double x_of(const curve *c, double time_s) {
    return LEFT + (WIDTH - LEFT - RIGHT) * (time_s - c->begin_s) / (c->end_s - c->begin_s);
}

static double y_of(const curve *c, double value) {
    return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (value - c->low) / (c->high - c->low);
}

static bool look(curve *c) {
    c->first = -1;
    c->low = INFINITY;
    c->high = -INFINITY;
    for (int i = 0; i < c->count; i++) {
        if (!isfinite(c->values[i])) continue;
        if (c->first < 0) c->first = i;
        c->last = i;
        c->low = fmin(c->low, c->values[i]);
        c->high = fmax(c->high, c->values[i]);
    }
    if (c->first < 0 || c->last <= c->first || !(c->high > c->low)) return false;
    c->begin_s = c->times[c->first];
    c->end_s = c->times[c->last];
    return true;
}

/* Lines only from frame to frame: where nothing is marked between, nobody knows. */
static void add_line(sp_text *html, const curve *c) {
    bool drawn = false;
    sp_text_format(html, "<path class=\"%s\" d=\"", c->kind);
    for (int i = c->first; i <= c->last; i++) {
        if (!isfinite(c->values[i])) {
            drawn = false;
            continue;
        }
        sp_text_format(html, "%c%.1f %.1f", drawn ? 'L' : 'M', x_of(c, c->times[i]),
                       y_of(c, c->values[i]));
        drawn = true;
    }
    sp_text_append(html, "\"/>\n");
    for (int i = c->first; i <= c->last; i++)
        if (isfinite(c->values[i]))
            sp_text_format(html, "<circle class=\"dot-%s\" cx=\"%.1f\" cy=\"%.1f\" r=\"3\"/>",
                           c->kind, x_of(c, c->times[i]), y_of(c, c->values[i]));
    sp_text_append(html, "\n");
}

static void add_moments(sp_text *html, const curve *c, const sp_review *review) {
    for (size_t i = 0; i < sp_review_moment_count(review); i++) {
        const sp_moment *moment = sp_review_moment_at(review, i);
        if (moment->frame < c->first || moment->frame > c->last) continue;
        const double x = x_of(c, c->times[moment->frame]);
        const char *anchor = x < WIDTH / 5 ? "start" : x > WIDTH * 4 / 5 ? "end" : "middle";
        sp_text_format(html,
                       "<line class=\"axis\" x1=\"%.1f\" x2=\"%.1f\" y1=\"%.0f\" y2=\"%.0f\"/>"
                       "<text x=\"%.1f\" y=\"22\" text-anchor=\"%s\">",
                       x, x, TOP - 6, HEIGHT - BOTTOM, x, anchor);
        sp_html_text(html, moment->name);
        sp_text_append(html, "</text>\n");
    }
}

static void add_axes(sp_text *html, const curve *c, double slowdown) {
    const double zero = y_of(c, fmax(c->low, fmin(c->high, 0.0)));
    sp_text_format(html, "<line class=\"rule\" x1=\"%.0f\" x2=\"%.0f\" y1=\"%.1f\" y2=\"%.1f\"/>",
                   LEFT, WIDTH - RIGHT, zero, zero);
    sp_text_format(html, "<text x=\"%.0f\" y=\"%.0f\">%.3f s</text>", LEFT, HEIGHT - 12.0,
                   c->begin_s / slowdown);
    sp_text_format(html, "<text x=\"%.0f\" y=\"%.0f\" text-anchor=\"end\">%.3f s</text>\n",
                   WIDTH - RIGHT, HEIGHT - 12.0, c->end_s / slowdown);
}

static void add_curve(sp_page *page, const sp_page_part *part, const curve *c, const char *title,
                      const char *caption, bool of_drop) {
    sp_text *html = &page->html;
    sp_text_format(html, "<figure><svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" aria-label=\"", WIDTH,
                   HEIGHT);
    sp_html_text(html, title);
    sp_text_append(html, "\">\n");
    add_axes(html, c, sp_review_get_clip(part->review)->slowdown);
    add_moments(html, c, part->review);
    add_line(html, c);
    sp_text_append(html, "</svg><figcaption>");
    sp_html_text(html, caption);
    if (of_drop) sp_page_drop_pointer(page);
    sp_text_append(html, "</figcaption></figure>\n");
}

bool sp_page_curves(sp_page *page, const sp_page_part *part, sp_error *error) {
    static const struct {
        sp_curve which;
        const char *kind, *title, *caption;
        bool of_drop;
    } curves[] = {
        {SP_CURVE_TIP_SPEED, "tip", "How the speed of the racquet tip rises and falls over time",
         "Speed of the racquet tip: its shape over time. How fast it was stands in the table.",
         false},
        {SP_CURVE_GAP, "gap", "How the hand lies above or below the elbow over time",
         "Hand above the elbow, or below it where the curve lies under the grey line. How far "
         "stands in the table.",
         true},
    };
    const sp_frame_times times = sp_clip_frame_times(part->clip);
    double *values = calloc((size_t)times.count, sizeof *values);
    if (values == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the page's curves");
    bool titled = false;
    for (size_t i = 0; i < sizeof curves / sizeof curves[0]; i++) {
        if (sp_curve_fill(part->review, times, curves[i].which, values) < LEAST) continue;
        curve c = {
            .values = values, .times = times.seconds, .count = times.count, .kind = curves[i].kind};
        if (!look(&c)) continue;
        if (!titled) sp_page_heading(page, "Over time");
        titled = true;
        add_curve(page, part, &c, curves[i].title, curves[i].caption, curves[i].of_drop);
    }
    free(values);
    return true;
}
