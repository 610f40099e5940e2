/* Did it change from the first day to the last? In the words of the comparison. */
#include <stdlib.h>
#include <string.h>

#include "deliver/history_page.h"
#include "deliver/html.h"

static void put_value(sp_page *page, const sp_change *change, const sp_day_value *value) {
    char text[160];
    for (size_t i = 0; i < sp_catalogue_count(); i++) {
        if (sp_catalogue_at(i) != change->kind) continue;
        const sp_measure measure = sp_day_value_measure(value, i);
        sp_measure_text(&measure, page->options->units, text, sizeof text);
        sp_html_text(&page->html, text);
    }
}

static void add_row(sp_page *page, const sp_change *change) {
    sp_text *html = &page->html;
    sp_text_append(html, "<tr><th scope=\"row\">");
    sp_html_text(html, change->kind->title);
    if (change->kind->moment[0] != '\0') {
        sp_text_append(html, ", ");
        sp_html_text(html, change->kind->moment);
    }
    sp_text_append(html, "<br><small>");
    sp_html_text(html, change->words);
    sp_text_append(html, "</small></th><td><b>");
    sp_html_text(html, sp_change_title(change));
    sp_text_append(html, "</b>");
    if (change->verdict != SP_CHANGE_NOT_COMPARABLE) {
        sp_text_append(html, "<small>");
        put_value(page, change, &change->before);
        sp_text_append(html, " \xe2\x86\x92 "); /* an arrow */
        put_value(page, change, &change->after);
        sp_text_append(html, "</small>");
    }
    sp_text_append(html, "</td></tr>\n");
}

static size_t count_of(const sp_comparison *comparison, sp_change_verdict verdict) {
    size_t count = 0;
    for (size_t i = 0; i < sp_comparison_count(comparison); i++)
        count += sp_comparison_at(comparison, i)->verdict == verdict;
    return count;
}

/* All of one verdict; `folded` under a line that says how many. */
static void add_table(sp_page *page, const sp_comparison *comparison, sp_change_verdict verdict,
                      const char *folded) {
    const size_t count = count_of(comparison, verdict);
    if (count == 0) return;
    if (folded != NULL)
        sp_text_format(&page->html, "<details><summary>%zu %s</summary>\n", count, folded);
    sp_text_append(&page->html, "<table><tbody>\n");
    for (size_t i = 0; i < sp_comparison_count(comparison); i++)
        if (sp_comparison_at(comparison, i)->verdict == verdict)
            add_row(page, sp_comparison_at(comparison, i));
    sp_text_append(&page->html, "</tbody></table>\n");
    if (folded != NULL) sp_text_append(&page->html, "</details>\n");
}

static bool says(const sp_comparison *comparison, const char *remark) {
    for (size_t i = 0; i < sp_comparison_caution_count(comparison); i++)
        if (strcmp(sp_comparison_caution_at(comparison, i), remark) == 0) return true;
    return false;
}

/* Not those that `later` says again; NULL: all. */
static void add_remarks(sp_page *page, const sp_comparison *comparison,
                        const sp_comparison *later) {
    for (size_t i = 0; i < sp_comparison_caution_count(comparison); i++) {
        const char *remark = sp_comparison_caution_at(comparison, i);
        if (later == NULL || !says(later, remark)) sp_page_paragraph(page, "small faint", remark);
    }
}

static sp_comparison *compare(const sp_page *page, const sp_history_view *view, bool same_camera,
                              const char *const *ids, size_t id_count, sp_error *error) {
    const sp_compare_options options = {.ids = ids,
                                        .id_count = id_count,
                                        .same_camera = same_camera,
                                        .units = page->options->units};
    return sp_comparison_new(&view->days[0], &view->days[view->day_count - 1], &options, error);
}

/* Few that are asked for by name can be told from noise sooner than all at once. */
static bool add_asked(sp_page *page, const sp_history_view *view,
                      const sp_history_page_options *options, const sp_history_front *front,
                      const sp_comparison *all, sp_error *error) {
    const char **ids = calloc(sp_catalogue_count(), sizeof *ids);
    size_t count = 0;
    if (ids == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the comparison");
    for (size_t i = 0; i < sp_catalogue_count(); i++)
        if (front->asked[i]) ids[count++] = sp_catalogue_at(i)->id;
    sp_comparison *asked =
        count == 0 ? NULL : compare(page, view, options->same_camera, ids, count, error);
    free(ids);
    if (asked == NULL) return count == 0;
    sp_page_heading(page, "Did what was worked on change?");
    add_table(page, asked, SP_CHANGE_CHANGED, NULL);
    add_table(page, asked, SP_CHANGE_WITHIN_ERROR, NULL);
    add_table(page, asked, SP_CHANGE_NOT_COMPARABLE, "not comparable");
    const bool good = sp_history_together(page, options->speeds, view, asked, error);
    add_remarks(page, asked, all);
    sp_comparison_free(asked);
    return good;
}

static void mark_changed(const sp_comparison *comparison, bool *shown) {
    for (size_t i = 0; i < sp_catalogue_count(); i++) {
        const sp_measure_kind *kind = sp_catalogue_at(i);
        const sp_change *change = sp_comparison_find(comparison, kind->id, kind->moment);
        if (change != NULL && change->verdict == SP_CHANGE_CHANGED) shown[i] = true;
    }
}

static void add_of_all(sp_page *page, const sp_comparison *all) {
    sp_page_heading(page, "All measures, the first day against the last");
    if (count_of(all, SP_CHANGE_CHANGED) == 0)
        sp_page_paragraph(page, NULL, "Of all of them together, none changed beyond its error.");
    add_table(page, all, SP_CHANGE_CHANGED, NULL);
    add_table(page, all, SP_CHANGE_WITHIN_ERROR, "within error");
    add_table(page, all, SP_CHANGE_NOT_COMPARABLE, "not comparable");
    add_remarks(page, all, NULL);
    sp_text_append(&page->html, "<p>");
    sp_page_drop_pointer(page);
    sp_text_append(&page->html, "</p>\n");
}

bool sp_history_verdicts(sp_page *page, const sp_history_view *view,
                         const sp_history_page_options *options, const sp_history_front *front,
                         sp_error *error) {
    if (view->day_count < 2) return true;
    sp_comparison *all = compare(page, view, options->same_camera, NULL, 0, error);
    if (all == NULL) return false;
    const bool good = add_asked(page, view, options, front, all, error);
    mark_changed(all, front->shown);
    if (good) add_of_all(page, all);
    sp_comparison_free(all);
    return good;
}
