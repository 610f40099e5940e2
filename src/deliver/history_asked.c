/* The thread from day to day: what was asked, and what the next day showed. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "deliver/history_page.h"
#include "deliver/html.h"

#define DAYS_SHOWN 3 /* with something asked; those before are folded */

/* The reviews of one day: a range of the history. */
typedef struct {
    size_t first, count;
} span;

static span day_from(const sp_history *history, size_t first) {
    span s = {.first = first};
    const size_t count = sp_history_count(history);
    while (first + s.count < count && strcmp(sp_history_at(history, first + s.count)->day,
                                             sp_history_at(history, first)->day) == 0)
        s.count++;
    return s;
}

/* What was asked on a day, each check once. */
typedef struct {
    const sp_check *at[SP_ASKED_MAX];
    size_t count;
} asked_list;

static void add_of_review(asked_list *list, const sp_checks *checks, const sp_review *review) {
    const sp_check *asked[SP_ASKED_MAX];
    const size_t count = sp_checks_asked(checks, review, asked, SP_ASKED_MAX);
    for (size_t i = 0; i < count && i < SP_ASKED_MAX; i++) {
        size_t at = 0;
        while (at < list->count && list->at[at] != asked[i]) at++;
        if (at == list->count && list->count < SP_ASKED_MAX) list->at[list->count++] = asked[i];
    }
}

static asked_list asked_on(const sp_history *history, const sp_checks *checks, span day) {
    asked_list list = {.count = 0};
    for (size_t i = 0; i < day.count; i++)
        add_of_review(&list, checks, sp_history_at(history, day.first + i)->review);
    return list;
}

/* --- the answers of a day -------------------------------------------------------------------- */
typedef struct {
    int met, not_met, close, unsaid; /* serves; unsaid: the coach has not seen what was found */
} tally;

static void count_one(tally *t, const sp_finding *finding) {
    if (finding == NULL) return;
    const bool told = finding->status == SP_CHECK_MET || finding->status == SP_CHECK_NOT_MET;
    t->unsaid += told && !finding->seen;
    t->met += finding->seen && finding->status == SP_CHECK_MET;
    t->not_met += finding->seen && finding->status == SP_CHECK_NOT_MET;
    t->close += finding->status == SP_CHECK_WITHIN_ERROR;
}

static void put_answer(sp_text *text, const tally *t) {
    const int told = t->met + t->not_met;
    if (told > 0 && t->met == told && t->close == 0)
        sp_text_append(text, sp_asked_answer(SP_CHECK_MET));
    else if (told > 0 && t->not_met == told && t->close == 0)
        sp_text_append(text, sp_asked_answer(SP_CHECK_NOT_MET));
    else if (told > 0)
        sp_text_format(text, "met in %d of %d serves", t->met, told + t->close);
    else if (t->close > 0)
        sp_text_append(text, sp_asked_answer(SP_CHECK_WITHIN_ERROR));
    else if (t->unsaid > 0)
        sp_text_append(text, "your coach has not said yet");
    else
        sp_text_append(text, sp_asked_answer(SP_CHECK_POINTS_MISSING));
}

/* The findings of each serve of a day. */
typedef struct {
    sp_findings **at;
    size_t count;
} day_findings;

static void findings_free(day_findings *found) {
    for (size_t i = 0; found->at != NULL && i < found->count; i++) sp_findings_free(found->at[i]);
    free(found->at);
}

static bool findings_fill(day_findings *found, const sp_page *page, const sp_history *history,
                          const sp_checks *checks, span day, sp_error *error) {
    *found = (day_findings){.at = calloc(day.count + 1, sizeof(sp_findings *))};
    if (found->at == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the findings");
    for (size_t i = 0; i < day.count; i++) {
        const sp_history_serve *serve = sp_history_at(history, day.first + i);
        found->at[i] =
            sp_findings_new(checks, serve->review, serve->readout, page->options->units, error);
        if (found->at[i] == NULL) return false;
        found->count++;
    }
    return true;
}

/* --- on the page ----------------------------------------------------------------------------- */
static void add_item(sp_page *page, const sp_check *check, const tally *t) {
    sp_text answer = {0};
    if (t != NULL) put_answer(&answer, t);
    sp_text_append(&page->html, "<li>");
    sp_html_text(&page->html, sp_check_get_title(check));
    if (t != NULL) {
        sp_text_append(&page->html, ": <b>");
        sp_html_text(&page->html, sp_text_get(&answer));
        sp_text_append(&page->html, "</b>");
    }
    sp_text_append(&page->html, "</li>\n");
    sp_text_clear(&answer);
}

/* `next` of no serves: what is asked now. */
static bool add_day(sp_page *page, const sp_history *history, const sp_checks *checks, span day,
                    span next, sp_error *error) {
    const asked_list list = asked_on(history, checks, day);
    day_findings found;
    if (list.count == 0) return true;
    if (!findings_fill(&found, page, history, checks, next, error)) {
        findings_free(&found);
        return false;
    }
    sp_text_format(&page->html, "<p><b>Asked on <span class=\"day\">%s</span></b>",
                   sp_history_at(history, day.first)->day);
    if (next.count > 0)
        sp_text_format(&page->html, ", seen on <span class=\"day\">%s</span>",
                       sp_history_at(history, next.first)->day);
    sp_text_append(&page->html, "</p>\n<ul>\n");
    for (size_t i = 0; i < list.count; i++) {
        tally t = {.met = 0};
        for (size_t k = 0; k < found.count; k++)
            count_one(&t, sp_findings_find(found.at[k], sp_check_get_id(list.at[i])));
        add_item(page, list.at[i], next.count > 0 ? &t : NULL);
    }
    sp_text_append(&page->html, "</ul>\n");
    findings_free(&found);
    return true;
}

static asked_list ever_asked(const sp_history *history, const sp_checks *checks) {
    const span all = {0, sp_history_count(history)};
    return asked_on(history, checks, all);
}

void sp_history_mark_asked(const sp_history *history, const sp_checks *checks, bool *asked) {
    const asked_list list = ever_asked(history, checks);
    for (size_t i = 0; i < list.count; i++) {
        const sp_measure_kind *kinds[SP_FINDING_MEASURES_MAX];
        const size_t count = sp_check_measures(list.at[i], kinds, SP_FINDING_MEASURES_MAX);
        for (size_t k = 0; k < count; k++)
            for (size_t m = 0; m < sp_catalogue_count(); m++)
                asked[m] = asked[m] || sp_catalogue_at(m) == kinds[k];
    }
}

static void add_pointer(sp_page *page, const asked_list *ever) {
    bool drop = false;
    for (size_t i = 0; i < ever->count; i++)
        drop = drop || strcmp(sp_check_get_moment(ever->at[i]), "drop") == 0;
    if (!drop) return;
    sp_text_append(&page->html, "<p>");
    sp_page_drop_pointer(page);
    sp_text_append(&page->html, "</p>\n");
}

/* The newest first: that is what the student looks for. */
bool sp_history_asked(sp_page *page, const sp_history *history, const sp_checks *checks,
                      sp_error *error) {
    const asked_list ever = ever_asked(history, checks);
    if (ever.count == 0) return true;
    sp_page_heading(page, "What was asked, and what came of it");
    span next = {0, 0};
    int shown = 0;
    for (size_t end = sp_history_count(history); end > 0;) {
        size_t first = end - 1;
        while (first > 0 && strcmp(sp_history_at(history, first - 1)->day,
                                   sp_history_at(history, end - 1)->day) == 0)
            first--;
        const span day = day_from(history, first);
        if (asked_on(history, checks, day).count > 0 && shown++ == DAYS_SHOWN)
            sp_text_append(&page->html, "<details><summary>Earlier days</summary>\n");
        if (!add_day(page, history, checks, day, next, error)) return false;
        next = day;
        end = first;
    }
    if (shown > DAYS_SHOWN) sp_text_append(&page->html, "</details>\n");
    add_pointer(page, &ever);
    return true;
}
