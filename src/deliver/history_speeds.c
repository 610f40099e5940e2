/* Measured serve speeds by day, and what may be said of the first day and the last. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "deliver/history_page.h"
#include "deliver/history_plot.h"
#include "deliver/html.h"

static void put_tick(const void *of, double value, double step, char *text, size_t size) {
    const sp_units *units = of;
    (void)step;
    sp_speed_text(value, *units, 0, text, size);
}

/* The first `count` of all values, day by day, each without an interval; the means with theirs. */
static void fill(const sp_speed_days *days, sp_plot_value *values, sp_plot_value *means) {
    size_t count = 0;
    for (size_t i = 0; i < sp_speed_days_count(days); i++) {
        const sp_speed_day *day = sp_speed_days_at(days, i);
        const double number = sp_history_day_number(day->date);
        for (size_t k = 0; k < day->summary.count; k++)
            values[count++] = (sp_plot_value){number, {day->values[k], NAN, NAN}};
        means[i] = (sp_plot_value){number, day->mean};
    }
}

static bool add_plot(sp_page *page, const sp_speed_days *days, sp_error *error) {
    size_t all = 0;
    const size_t count = sp_speed_days_count(days);
    for (size_t i = 0; i < count; i++) all += sp_speed_days_at(days, i)->summary.count;
    sp_plot_value *values = calloc(all + 1, sizeof *values),
                  *means = calloc(count + 1, sizeof *means);
    const bool good = values != NULL && means != NULL;
    if (good) {
        fill(days, values, means);
        const bool imperial = page->options->units == SP_UNITS_IMPERIAL;
        const sp_plot plot = {.title = "Serve speed",
                              .values = values,
                              .count = all,
                              .means = means,
                              .mean_count = count,
                              .mean_bars = true,
                              .unit = imperial ? 0.44704 : 1 / 3.6,
                              .first_day = sp_speed_days_at(days, 0)->date,
                              .last_day = sp_speed_days_at(days, count - 1)->date,
                              .tick = put_tick,
                              .of = &page->options->units};
        sp_text_append(&page->html, "<figure class=\"one\">");
        sp_plot_put(&page->html, &plot);
        sp_text_append(&page->html,
                       "<figcaption>A small dot is a serve; a large one the mean of the day, the "
                       "bar through it its 95 % interval.</figcaption></figure>\n");
    } else {
        sp_fail(error, SP_ERROR_MEMORY, "no memory for the speeds over the days");
    }
    free(values);
    free(means);
    return good;
}

static void put_speed(sp_page *page, const char *before, double m_per_s) {
    char text[48];
    sp_speed_text(m_per_s, page->options->units, 1, text, sizeof text);
    sp_text_append(&page->html, before);
    sp_html_text(&page->html, text);
}

static void add_day(sp_page *page, const sp_speed_day *day) {
    sp_text_format(&page->html,
                   "<tr><th scope=\"row\"><span class=\"day\">%s</span><br><small>%zu %s",
                   day->date, day->summary.count, day->summary.count == 1 ? "serve" : "serves");
    if (day->devices_differ) sp_text_append(&page->html, ", several devices");
    if (day->device[0] != '\0') {
        sp_text_append(&page->html, ", ");
        sp_html_stranger(&page->html, day->device);
    }
    put_speed(page, "</small></th><td><b>", day->summary.mean);
    sp_text_append(&page->html, "</b>");
    if (isfinite(day->mean.low)) {
        put_speed(page, "<small>mean, 95 % interval ", day->mean.low);
        put_speed(page, " to ", day->mean.high);
        put_speed(page, "; deviation ", day->summary.sd);
        sp_text_append(&page->html, "</small>");
    }
    put_speed(page, "<small>best ", day->summary.most);
    sp_text_append(&page->html, "</small></td></tr>\n");
}

static bool add_change(sp_page *page, const sp_speed_days *days, sp_error *error) {
    sp_speed_change change;
    const size_t count = sp_speed_days_count(days);
    if (count < 2) return true;
    if (!sp_speed_change_of(sp_speed_days_at(days, 0), sp_speed_days_at(days, count - 1),
                            page->options->units, &change, error))
        return false;
    sp_page_paragraph(page, NULL, change.words);
    sp_page_paragraph(page, "small faint", change.conclude);
    return true;
}

bool sp_history_speeds(sp_page *page, const sp_speed_days *days, sp_error *error) {
    if (days == NULL || sp_speed_days_count(days) == 0) return true;
    sp_page_heading(page, "Serve speeds");
    if (!add_change(page, days, error) || !add_plot(page, days, error)) return false;
    sp_text_append(&page->html, "<table><tbody>\n");
    for (size_t i = 0; i < sp_speed_days_count(days); i++) add_day(page, sp_speed_days_at(days, i));
    sp_text_append(&page->html, "</tbody></table>\n");
    return true;
}

bool sp_history_together(sp_page *page, const sp_speed_days *days, const sp_history_view *view,
                         const sp_comparison *comparison, sp_error *error) {
    if (days == NULL) return true;
    const size_t before = sp_speed_days_find(days, view->days[0].name),
                 after = sp_speed_days_find(days, view->days[view->day_count - 1].name);
    sp_speed_change speed;
    if (before == SIZE_MAX || after == SIZE_MAX) return true;
    if (!sp_speed_change_of(sp_speed_days_at(days, before), sp_speed_days_at(days, after),
                            page->options->units, &speed, error))
        return false;
    for (size_t i = 0; i < sp_comparison_count(comparison); i++) {
        char text[640];
        sp_together_text(sp_comparison_at(comparison, i), &speed, page->options->units, text,
                         sizeof text);
        sp_page_paragraph(page, NULL, text);
    }
    return true;
}
