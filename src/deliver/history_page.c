#include "serveplumb/history_page.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "deliver/history_page.h"
#include "deliver/html.h"

static size_t count_days(const sp_history *history) {
    size_t days = 0;
    for (size_t i = 0; i < sp_history_count(history); i++)
        days += i == 0 ||
                strcmp(sp_history_at(history, i)->day, sp_history_at(history, i - 1)->day) != 0;
    return days;
}

static void add_about(sp_page *page, const sp_history *history) {
    const size_t count = sp_history_count(history), days = count_days(history);
    const sp_history_serve *first = sp_history_at(history, 0),
                           *last = sp_history_at(history, count - 1);
    const sp_player *player = sp_review_get_player(last->review);
    sp_text *html = &page->html;
    sp_text_append(html, "<p class=\"faint\">");
    if (page->options->with_name && player->name[0] != '\0') {
        sp_html_stranger(html, player->name);
        sp_text_append(html, ", ");
    }
    sp_text_format(html, "%s-handed, %zu %s reviewed on %zu %s, %s", sp_hand_id(player->hand),
                   count, count == 1 ? "serve" : "serves", days, days == 1 ? "day" : "days",
                   first->day);
    if (days > 1) sp_text_format(html, " to %s", last->day);
    sp_text_append(html, "</p>\n");
}

static void add_guesses(sp_page *page, const sp_history *history) {
    size_t guessed = 0;
    char text[160];
    for (size_t i = 0; i < sp_history_count(history); i++)
        guessed += sp_history_at(history, i)->day_guessed;
    if (guessed == 0) return;
    snprintf(text, sizeof text,
             "%zu %s no day: the day on which the file was last changed is taken.", guessed,
             guessed == 1 ? "review names" : "reviews name");
    sp_page_paragraph(page, "care", text);
}

static void add_faults(sp_page *page, const sp_history *history) {
    const size_t faults = sp_history_fault_count(history);
    char text[160];
    if (faults == 0) return;
    snprintf(text, sizeof text, "%zu %s could not be read and %s not part of this.", faults,
             faults == 1 ? "review" : "reviews", faults == 1 ? "is" : "are");
    sp_page_paragraph(page, "care", text);
}

static bool add_view(sp_page *page, const sp_history_view *view, bool titled,
                     const sp_history_page_options *options, const sp_history_front *front,
                     sp_error *error) {
    char title[80];
    page->level = 2;
    if (titled) {
        snprintf(title, sizeof title, "Seen from the %s, %s-handed", sp_view_id(view->view),
                 sp_hand_id(view->hand));
        sp_page_heading(page, title);
        page->level = 3;
    }
    if (view->day_count < 2)
        sp_page_paragraph(page, "faint", "One day only: there is nothing to hold it against yet.");
    memcpy(front->shown, front->asked, sp_catalogue_count() * sizeof *front->shown);
    if (!sp_history_verdicts(page, view, options, front, error) ||
        (!options->no_pictures && !sp_history_pictures(page, view, error)))
        return false;
    return sp_history_charts(page, view, front, error);
}

/* The caution of the drop by the newest review that has one: the shoulder's entry may change. */
static void add_cautions(sp_page *page, const sp_history *history) {
    bool said[SP_CAUTION_OF_ALL + 1] = {false};
    sp_text_append(&page->html, "<section id=\"care-0\">\n");
    sp_page_heading(page, "Please read");
    for (size_t i = sp_history_count(history); i > 0; i--) {
        const sp_readout *readout = sp_history_at(history, i - 1)->readout;
        for (size_t k = 0; k < sp_readout_caution_count(readout); k++) {
            const sp_caution_of of = sp_readout_caution_of(readout, k);
            if (of == SP_CAUTION_OF_MEASURING || said[of]) continue;
            sp_page_paragraph(page, "own care", sp_readout_caution_at(readout, k));
            said[of] = true;
        }
    }
    sp_page_paragraph(page, "own care",
                      "Two days differ by more than the swing: the place of the camera, the taps, "
                      "the ball, the wind. What changed together need not be cause and effect.");
    sp_text_append(&page->html, "</section>\n");
}

static bool add_views(sp_page *page, const sp_history_views *views,
                      const sp_history_page_options *options, const sp_history_front *front,
                      sp_error *error) {
    for (int i = 0; i < views->count; i++)
        if (!add_view(page, &views->at[i], views->count > 1, options, front, error)) return false;
    return true;
}

static bool add_all(sp_page *page, const sp_history *history, const sp_checks *checks,
                    const sp_history_page_options *options, sp_error *error) {
    sp_history_views views;
    const size_t measures = sp_catalogue_count();
    const sp_history_front front = {.asked = calloc(measures, sizeof(bool)),
                                    .shown = calloc(measures, sizeof(bool))};
    page->level = 2;
    bool good =
        front.asked != NULL && front.shown != NULL && sp_history_views_fill(history, &views);
    if (!good) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory for the history");
    } else {
        sp_history_mark_asked(history, checks, front.asked);
        add_about(page, history);
        add_guesses(page, history);
        add_faults(page, history);
        good = sp_history_asked(page, history, checks, error) &&
               sp_history_speeds(page, options->speeds, error) &&
               add_views(page, &views, options, &front, error);
        sp_history_views_free(&views);
        page->level = 2;
        add_cautions(page, history);
    }
    free(front.asked);
    free(front.shown);
    return good;
}

bool sp_history_page_write(const sp_history *history, const sp_checks *checks,
                           const sp_history_page_options *options, const char *path,
                           sp_error *error) {
    const sp_page_options of_page = {.units = options->units, .with_name = options->with_name};
    sp_page page = {.options = &of_page};
    if (sp_history_count(history) == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the folder holds no review that can be read out; each needs a day and its "
                       "clip beside it");
    sp_page_begin(&page, "Serve history", false);
    bool good = add_all(&page, history, checks, options, error);
    if (good) sp_page_end(&page);
    if (good && page.html.failed)
        good = sp_fail(error, SP_ERROR_MEMORY, "no memory to make the page");
    good = good && sp_file_write(path, sp_text_get(&page.html), page.html.length, error);
    sp_text_clear(&page.html);
    return good;
}
