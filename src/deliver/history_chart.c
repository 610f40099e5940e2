/* The measures over the days: each serve with its interval, each day in numbers. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "deliver/history_page.h"
#include "deliver/history_plot.h"
#include "deliver/html.h"

typedef struct {
    const sp_history_view *view;
    size_t measure;
    sp_units units;
    sp_plot_value *values, *means; /* room for each serve, for each day */
    size_t count, mean_count;
} chart;

static const sp_measure *at(const chart *c, size_t serve) {
    return sp_readout_at(c->view->serves[serve].readout, c->measure);
}

/* On two days or more. */
static bool has_way(const sp_history_view *view, size_t measure) {
    const char *day = "";
    size_t days = 0;
    for (size_t i = 0; i < view->count; i++) {
        if (!isfinite(sp_readout_at(view->serves[i].readout, measure)->value.value)) continue;
        days += strcmp(day, view->entries[i]->day) != 0;
        day = view->entries[i]->day;
    }
    return days >= 2;
}

static void fill(chart *c) {
    c->count = c->mean_count = 0;
    for (size_t i = 0; i < c->view->count; i++)
        if (isfinite(at(c, i)->value.value))
            c->values[c->count++] =
                (sp_plot_value){sp_history_day_number(c->view->entries[i]->day), at(c, i)->value};
    for (size_t i = 0; i < c->view->day_count; i++) {
        const sp_day_value value = sp_day_value_of(&c->view->days[i], c->measure);
        if (isfinite(value.value.value))
            c->means[c->mean_count++] =
                (sp_plot_value){sp_history_day_number(c->view->days[i].name), value.value};
    }
}

/* One unit for all ticks of a chart, as it is read. */
static const struct {
    double metric, imperial; /* in the measure's own unit */
    const char *metric_sign, *imperial_sign;
} READ[] = {
    [SP_UNIT_DEGREE] = {1, 1, "\xc2\xb0", "\xc2\xb0"},
    [SP_UNIT_METRE] = {0.01, 0.0254, " cm", " in"},
    [SP_UNIT_SECOND] = {1, 1, " s", " s"},
    [SP_UNIT_METRE_PER_SECOND] = {1 / 3.6, 0.44704, " km/h", " mph"},
    [SP_UNIT_RATIO] = {1, 1, "", ""},
};

static double unit_read(const sp_measure_kind *kind, sp_units units) {
    return units == SP_UNITS_IMPERIAL ? READ[kind->unit].imperial : READ[kind->unit].metric;
}

static void put_tick(const void *of, double value, double step, char *text, size_t size) {
    const chart *c = of;
    const sp_measure_kind *kind = sp_catalogue_at(c->measure);
    const double unit = unit_read(kind, c->units);
    const int decimals = (int)fmax(0, ceil(-log10(step / unit) - 1e-9));
    const double shown = fabs(value) < step / 2 ? 0 : value / unit; /* no -0 */
    snprintf(text, size, "%.*f%s", decimals, shown,
             c->units == SP_UNITS_IMPERIAL ? READ[kind->unit].imperial_sign
                                           : READ[kind->unit].metric_sign);
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
    char title[160];
    snprintf(title, sizeof title, "%s%s%s", kind->title, kind->moment[0] == '\0' ? "" : ", ",
             kind->moment);
    const sp_plot plot = {.title = title,
                          .values = c->values,
                          .count = c->count,
                          .means = c->means,
                          .mean_count = c->mean_count,
                          .unit = unit_read(kind, c->units),
                          .first_day = c->view->days[0].name,
                          .last_day = c->view->days[c->view->day_count - 1].name,
                          .tick = put_tick,
                          .of = c};
    sp_text_append(&page->html, "<figure>");
    page->level++;
    sp_page_heading(page, title);
    page->level--;
    sp_plot_put(&page->html, &plot);
    sp_text_append(&page->html, "<figcaption>");
    sp_html_text(&page->html, kind->about);
    sp_text_append(&page->html, "</figcaption>");
    add_words(page, c);
    sp_text_append(&page->html, "</figure>\n");
}

static void add_charts(sp_page *page, chart *c, const sp_history_front *front, bool in_front) {
    sp_text_append(&page->html, "<div class=\"charts\">\n");
    for (c->measure = 0; c->measure < sp_catalogue_count(); c->measure++) {
        if (front->shown[c->measure] != in_front || !has_way(c->view, c->measure)) continue;
        fill(c);
        add_chart(page, c);
    }
    sp_text_append(&page->html, "</div>\n");
}

static void add_all(sp_page *page, chart *c, const sp_history_front *front) {
    size_t shown = 0, folded = 0;
    for (size_t i = 0; i < sp_catalogue_count(); i++)
        if (has_way(c->view, i)) (*(front->shown[i] ? &shown : &folded))++;
    if (shown + folded == 0) return;
    sp_page_heading(page, "The measures over the days");
    sp_page_paragraph(page, "faint",
                      "A dot is a serve, the bar through it its 95 % interval. The line goes "
                      "through the means of the days.");
    sp_text_append(&page->html, "<p>");
    sp_page_drop_pointer(page);
    sp_text_append(&page->html, "</p>\n");
    if (shown > 0) add_charts(page, c, front, true);
    if (folded == 0) return;
    sp_text_format(&page->html, "<details%s><summary>%zu %smeasures over the days</summary>\n",
                   shown == 0 ? " open" : "", folded, shown == 0 ? "" : "other ");
    add_charts(page, c, front, false);
    sp_text_append(&page->html, "</details>\n");
}

bool sp_history_charts(sp_page *page, const sp_history_view *view, const sp_history_front *front,
                       sp_error *error) {
    chart c = {.view = view,
               .units = page->options->units,
               .values = calloc(view->count + 1, sizeof *c.values),
               .means = calloc(view->day_count + 1, sizeof *c.means)};
    const bool good = c.values != NULL && c.means != NULL;
    if (good)
        add_all(page, &c, front);
    else
        sp_fail(error, SP_ERROR_MEMORY, "no memory for the measures over the days");
    free(c.values);
    free(c.means);
    return good;
}
