/* A measure over the days as SVG: each serve with its interval. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "deliver/history_page.h"
#include "deliver/html.h"

#define WIDTH 560.0
#define HEIGHT 250.0
#define LEFT 92.0
#define RIGHT 22.0
#define TOP 18.0
#define BOTTOM 40.0
/* Serves of one day stand beside each other, so that their intervals can be told apart. */
#define BESIDE 9.0
#define TICKS_MAX 12

typedef struct {
    const sp_history_view *view;
    size_t measure;
    sp_units units;
    double low, high, step;     /* of the scale at the left, in the measure's unit */
    double first_day, last_day; /* by sp_history_day_number */
} chart;

static const sp_measure *at(const chart *c, size_t serve) {
    return sp_readout_at(c->view->serves[serve].readout, c->measure);
}

static bool has_number(const sp_measure *m) { return isfinite(m->value.value); }

static double day_of(const chart *c, size_t serve) {
    return sp_history_day_number(c->view->entries[serve]->day);
}

static double x_of_day(const chart *c, double day) {
    const double wide = WIDTH - LEFT - RIGHT - 40;
    const double span = c->last_day - c->first_day;
    return LEFT + 20 + (span > 0 ? wide * (day - c->first_day) / span : wide / 2);
}

/* Its place among the serves of its day that have a number. */
static double x_of(const chart *c, size_t serve) {
    int before = 0, all = 0;
    for (size_t i = 0; i < c->view->count; i++) {
        if (strcmp(c->view->entries[i]->day, c->view->entries[serve]->day) != 0 ||
            !has_number(at(c, i)))
            continue;
        before += i < serve;
        all++;
    }
    const double beside = all < 5 ? BESIDE : 4 * BESIDE / (all - 1);
    return x_of_day(c, day_of(c, serve)) + beside * (before - (all - 1) / 2.0);
}

static double y_of(const chart *c, double value) {
    return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (value - c->low) / (c->high - c->low);
}

/* A step of 1, 2 or 5 times a power of ten in the unit that is read. */
static double nice_step(double span, double unit) {
    const double rough = span / unit / 4, power = pow(10, floor(log10(rough)));
    const double times = rough / power;
    return unit * power * (times <= 1 ? 1 : times <= 2 ? 2 : times <= 5 ? 5 : 10);
}

static double unit_read(const sp_measure_kind *kind, sp_units units) {
    const bool imperial = units == SP_UNITS_IMPERIAL;
    if (kind->unit == SP_UNIT_METRE) return imperial ? 0.0254 : 0.01;
    if (kind->unit == SP_UNIT_METRE_PER_SECOND) return imperial ? 0.44704 : 1 / 3.6;
    return 1;
}

/* False when fewer than two days have a number. */
static bool look(chart *c) {
    const char *day = "";
    size_t days = 0;
    c->low = INFINITY;
    c->high = -INFINITY;
    for (size_t i = 0; i < c->view->count; i++) {
        const sp_measure *m = at(c, i);
        if (!has_number(m)) continue;
        days += strcmp(day, c->view->entries[i]->day) != 0;
        day = c->view->entries[i]->day;
        c->low = fmin(c->low, m->value.low);
        c->high = fmax(c->high, m->value.high);
    }
    if (days < 2) return false;
    c->first_day = day_of(c, 0);
    c->last_day = day_of(c, c->view->count - 1);
    const double unit = unit_read(sp_catalogue_at(c->measure), c->units);
    c->step = nice_step(fmax(c->high - c->low, 1e-3 * unit), unit);
    c->low = c->step * floor(c->low / c->step);
    c->high = c->step * fmax(ceil(c->high / c->step), c->low / c->step + 1);
    return true;
}

static void add_ticks(sp_text *html, const chart *c) {
    for (int i = 0; i <= TICKS_MAX && c->low + i * c->step <= c->high + c->step / 2; i++) {
        const double value = c->low + i * c->step, y = y_of(c, value);
        const sp_measure tick = {.kind = sp_catalogue_at(c->measure),
                                 .value = {value, value - c->step / 2, value + c->step / 2},
                                 .status = SP_STATUS_OK};
        char text[64];
        sp_measure_short_text(&tick, c->units, text, sizeof text);
        sp_text_format(html,
                       "<line class=\"rule\" x1=\"%.0f\" x2=\"%.0f\" y1=\"%.1f\" y2=\"%.1f\"/>"
                       "<text x=\"%.0f\" y=\"%.1f\" text-anchor=\"end\">",
                       LEFT, WIDTH - RIGHT, y, y, LEFT - 8, y + 5);
        sp_html_text(html, text);
        sp_text_append(html, "</text>\n");
    }
}

static void add_days(sp_text *html, const chart *c) {
    const size_t last = c->view->day_count - 1;
    for (size_t i = 0; i <= last; i++)
        sp_text_format(html,
                       "<line class=\"axis\" x1=\"%.1f\" x2=\"%.1f\" y1=\"%.0f\" y2=\"%.0f\"/>",
                       x_of_day(c, sp_history_day_number(c->view->days[i].name)),
                       x_of_day(c, sp_history_day_number(c->view->days[i].name)), HEIGHT - BOTTOM,
                       HEIGHT - BOTTOM + 6);
    sp_text_format(html, "\n<text x=\"%.0f\" y=\"%.0f\">%s</text>", LEFT, HEIGHT - 12,
                   c->view->days[0].name);
    sp_text_format(html, "<text x=\"%.0f\" y=\"%.0f\" text-anchor=\"end\">%s</text>\n",
                   WIDTH - RIGHT, HEIGHT - 12, c->view->days[last].name);
}

static void add_serve(sp_text *html, const chart *c, size_t serve) {
    const sp_interval v = at(c, serve)->value;
    const double x = x_of(c, serve), low = y_of(c, v.low), high = y_of(c, v.high);
    sp_text_format(html, "<path class=\"span\" d=\"M%.1f %.1fV%.1fM%.1f %.1fh8M%.1f %.1fh8\"/>", x,
                   low, high, x - 4, low, x - 4, high);
    sp_text_format(html, "<circle class=\"serve\" cx=\"%.1f\" cy=\"%.1f\" r=\"4\"/>\n", x,
                   y_of(c, v.value));
}

/* From day to day, so that the eye follows; it is no claim about the days between. */
static void add_way(sp_text *html, const chart *c) {
    bool drawn = false;
    sp_text_append(html, "<path class=\"way\" d=\"");
    for (size_t i = 0; i < c->view->day_count; i++) {
        const sp_day_value value = sp_day_value_of(&c->view->days[i], c->measure);
        if (!isfinite(value.value.value)) continue;
        sp_text_format(html, "%c%.1f %.1f", drawn ? 'L' : 'M',
                       x_of_day(c, sp_history_day_number(c->view->days[i].name)),
                       y_of(c, value.value.value));
        drawn = true;
    }
    sp_text_append(html, "\"/>\n");
}

/* For who cannot see it, and for who wants the numbers: each day in words. */
static void add_words(sp_page *page, const chart *c) {
    sp_text_append(&page->html, "<details><summary>The numbers</summary><ul>\n");
    for (size_t i = 0; i < c->view->day_count; i++) {
        const sp_day_value value = sp_day_value_of(&c->view->days[i], c->measure);
        const sp_measure measure = sp_day_value_measure(&value, c->measure);
        char text[160];
        sp_measure_text(&measure, c->units, text, sizeof text);
        sp_text_format(&page->html, "<li>%s: ", c->view->days[i].name);
        sp_html_text(&page->html, text);
        if (value.serves > 1) sp_text_format(&page->html, ", mean of %zu serves", value.serves);
        sp_text_append(&page->html, "</li>\n");
    }
    sp_text_append(&page->html, "</ul></details>\n");
}

static void add_chart(sp_page *page, const chart *c) {
    const sp_measure_kind *kind = sp_catalogue_at(c->measure);
    sp_text *html = &page->html;
    char title[160];
    snprintf(title, sizeof title, "%s%s%s", kind->title, kind->moment[0] == '\0' ? "" : ", ",
             kind->moment);
    sp_text_append(html, "<figure>");
    page->level++;
    sp_page_heading(page, title);
    page->level--;
    sp_text_format(html, "<svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" aria-label=\"", WIDTH,
                   HEIGHT);
    sp_html_text(html, title);
    sp_text_append(html, " over the days\">\n");
    add_ticks(html, c);
    add_days(html, c);
    add_way(html, c);
    for (size_t i = 0; i < c->view->count; i++)
        if (has_number(at(c, i))) add_serve(html, c, i);
    sp_text_append(html, "</svg><figcaption>");
    sp_html_text(html, kind->about);
    sp_text_append(html, "</figcaption>");
    add_words(page, c);
    sp_text_append(html, "</figure>\n");
}

static bool can_show(const sp_page *page, const sp_history_view *view, size_t measure) {
    chart c = {.view = view, .measure = measure, .units = page->options->units};
    return look(&c);
}

static void add_charts(sp_page *page, const sp_history_view *view, const sp_history_front *front,
                       bool in_front) {
    sp_text_append(&page->html, "<div class=\"charts\">\n");
    for (size_t i = 0; i < sp_catalogue_count(); i++) {
        chart c = {.view = view, .measure = i, .units = page->options->units};
        if (front->shown[i] == in_front && look(&c)) add_chart(page, &c);
    }
    sp_text_append(&page->html, "</div>\n");
}

void sp_history_charts(sp_page *page, const sp_history_view *view, const sp_history_front *front) {
    size_t shown = 0, folded = 0;
    for (size_t i = 0; i < sp_catalogue_count(); i++)
        if (can_show(page, view, i)) (*(front->shown[i] ? &shown : &folded))++;
    if (shown + folded == 0) return;
    sp_page_heading(page, "The measures over the days");
    sp_page_paragraph(page, "faint",
                      "A dot is a serve, the bar through it its 95 % interval. The line goes "
                      "through the means of the days.");
    sp_text_append(&page->html, "<p>");
    sp_page_drop_pointer(page);
    sp_text_append(&page->html, "</p>\n");
    if (shown > 0) add_charts(page, view, front, true);
    if (folded == 0) return;
    sp_text_format(&page->html, "<details%s><summary>%zu %smeasures over the days</summary>\n",
                   shown == 0 ? " open" : "", folded, shown == 0 ? "" : "other ");
    add_charts(page, view, front, false);
    sp_text_append(&page->html, "</details>\n");
}
