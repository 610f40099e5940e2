/* A measure over the days, under the measure that is explained. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "window/actions.h"
#include "window/page.h"
#include "window/state.h"

#define HEIGHT 96.0
#define INSET 10.0
#define DAYS_MOST 8 /* in words: the last ones */

typedef struct {
    const page *p;
    const sp_history_view *view;
    size_t measure;
    double top, low, high, first_day, last_day;
} plot;

static sp_interval value_at(const plot *o, size_t serve) {
    return sp_readout_at(o->view->serves[serve].readout, o->measure)->value;
}

static double day_at(const plot *o, size_t serve) {
    return sp_history_day_number(o->view->entries[serve]->day);
}

static sp_point place(const plot *o, double day, double aside, double value) {
    const double span = o->last_day - o->first_day, wide = o->p->width - 26 - 2 * INSET - 40;
    const double x = span > 0 ? wide * (day - o->first_day) / span : wide / 2;
    return (sp_point){o->p->x + 26 + INSET + 20 + x + aside,
                      o->top + HEIGHT - INSET -
                          (HEIGHT - 2 * INSET) * (value - o->low) / (o->high - o->low)};
}

/* What is of one day stands beside each other. */
static double aside_of(const plot *o, size_t serve) {
    int before = 0, all = 0;
    for (size_t i = 0; i < o->view->count; i++) {
        if (strcmp(o->view->entries[i]->day, o->view->entries[serve]->day) != 0 ||
            !isfinite(value_at(o, i).value))
            continue;
        before += i < serve;
        all++;
    }
    return all < 2 ? 0 : fmin(7, 28.0 / (all - 1)) * (before - (all - 1) / 2.0);
}

static size_t look(plot *o) {
    size_t count = 0;
    o->low = o->first_day = INFINITY;
    o->high = o->last_day = -INFINITY;
    for (size_t i = 0; i < o->view->count; i++) {
        const sp_interval v = value_at(o, i);
        if (!isfinite(v.value)) continue;
        o->low = fmin(o->low, v.low);
        o->high = fmax(o->high, v.high);
        o->first_day = fmin(o->first_day, day_at(o, i));
        o->last_day = fmax(o->last_day, day_at(o, i));
        count++;
    }
    if (!(o->high > o->low)) o->high = o->low + 1;
    return count;
}

/* A bar as long as its interval, and the value on it; this review's in the colour of what is
 * chosen. */
static void paint_serve(const plot *o, size_t serve) {
    const brush *b = &o->p->b;
    const sp_interval v = value_at(o, serve);
    const double day = day_at(o, serve), aside = aside_of(o, serve);
    const bool now = strcmp(o->view->entries[serve]->path, o->p->w->session.review_path) == 0;
    const sp_color color = now ? b->theme->accent : b->theme->text;
    sp_paint_line(b->paint, place(o, day, aside, v.low), place(o, day, aside, v.high), 1.5, color);
    sp_paint_disc(b->paint, place(o, day, aside, v.value), now ? 4.5 : 3, color);
}

static void paint_plot(page *p, plot *o) {
    const sp_rect box = {p->x + 26, p->y + 2, p->width - 26, HEIGHT};
    o->top = box.y;
    sp_paint_fill_rect(p->b.paint, box, 4, p->b.theme->room);
    for (size_t i = 0; i < o->view->count; i++)
        if (isfinite(value_at(o, i).value)) paint_serve(o, i);
    p->y += HEIGHT + 8;
}

static void paint_words(page *p, const plot *o) {
    const sp_history_view *view = o->view;
    const size_t first = view->day_count > DAYS_MOST ? view->day_count - DAYS_MOST : 0;
    for (size_t i = first; i < view->day_count; i++) {
        const sp_day_value value = sp_day_value_of(&view->days[i], o->measure);
        const sp_measure measure = sp_day_value_measure(&value, o->measure);
        char text[160], line[220];
        sp_measure_text(&measure, p->w->units, text, sizeof text);
        snprintf(line, sizeof line, "%s: %s%s", view->days[i].name, text,
                 value.serves > 1 ? ", mean" : "");
        page_text(p, line);
    }
}

/* The first day against the last, this measure by itself. */
static void paint_verdict(page *p, const plot *o) {
    const char *id = sp_catalogue_at(o->measure)->id;
    const sp_compare_options options = {.ids = &id, .id_count = 1, .units = p->w->units};
    const sp_history_view *view = o->view;
    sp_comparison *comparison =
        sp_comparison_new(&view->days[0], &view->days[view->day_count - 1], &options, NULL);
    if (comparison == NULL) return;
    const sp_change *change =
        sp_comparison_find(comparison, id, sp_catalogue_at(o->measure)->moment);
    if (change != NULL) {
        sp_text text = {0};
        sp_text_format(&text, "%s against %s: %s. %s", view->days[0].name,
                       view->days[view->day_count - 1].name, sp_change_title(change),
                       change->words);
        page_text(p, sp_text_get(&text));
        sp_text_clear(&text);
    }
    sp_comparison_free(comparison);
}

/* Of the view and the hand of the review that is open. */
static const sp_history_view *view_of(const window *w) {
    for (int i = 0; i < w->past.views.count; i++) {
        const sp_history_view *view = &w->past.views.at[i];
        if (view->view == sp_review_get_view(w->session.review) &&
            view->hand == sp_review_get_player(w->session.review)->hand)
            return view;
    }
    return NULL;
}

/* A mean of some serves of a day must not pass for that of all; a verdict waits for them. */
static void paint_waiting(page *p) {
    const window *w = p->w;
    char line[120];
    snprintf(line, sizeof line, "So far %zu reviews; %zu are still being read out.",
             sp_history_count(w->past.history), w->past.waiting);
    page_text(p, line);
}

void past_paint(page *p, int measure) {
    const window *w = p->w;
    const sp_history_view *view = w->past.history == NULL ? NULL : view_of(w);
    plot o = {.p = p, .view = view, .measure = (size_t)measure};
    if (w->past.waiting > 0) paint_waiting(p);
    if (view == NULL || look(&o) < 2) {
        if (w->past.waiting > 0) return;
        if (w->past.history == NULL)
            page_offer(p, "this measure over the days", act_past, 0);
        else
            page_text(p, "No other review of this folder and view has this measure.");
        return;
    }
    paint_plot(p, &o);
    paint_words(p, &o);
    if (view->day_count > 1 && w->past.waiting == 0) paint_verdict(p, &o);
}
