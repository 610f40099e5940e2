/* The numbers of a page, and what could not be had. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "deliver/html.h"
#include "deliver/page.h"
#include "draw/words.h"

#define NOTES_MAX 64

typedef struct {
    const char *texts[NOTES_MAX]; /* borrowed from the readout */
    int count;
} footnotes;

static int number_of(footnotes *notes, const char *text) {
    if (text[0] == '\0') return 0;
    for (int i = 0; i < notes->count; i++)
        if (strcmp(notes->texts[i], text) == 0) return i + 1;
    if (notes->count == NOTES_MAX) return 0;
    notes->texts[notes->count++] = text;
    return notes->count;
}

static bool has_number(const sp_measure *measure) { return isfinite(measure->value.value); }

static void add_row(sp_page *page, const sp_page_part *part, const sp_measure *measure,
                    footnotes *notes) {
    char number[96], sign[96], interval[96];
    const int note = number_of(notes, measure->note);
    sp_words_number(measure, page->options->units, number, sizeof number);
    sp_words_sign(measure, sp_review_get_view(part->review), sign, sizeof sign);
    sp_words_interval(measure, page->options->units, interval, sizeof interval);
    sp_text_append(&page->html, "<tr><th scope=\"row\">");
    sp_html_text(&page->html, measure->kind->title);
    if (note > 0)
        sp_text_format(&page->html, " <a href=\"#note-%d-%d\">[%d]</a>", page->part, note, note);
    sp_text_append(&page->html, "<br><small>");
    sp_html_text(&page->html, measure->kind->about);
    sp_text_append(&page->html, "</small></th><td><b>");
    sp_html_text(&page->html, number);
    sp_text_append(&page->html, "</b> ");
    sp_html_text(&page->html, sign);
    sp_text_append(&page->html, "<small>");
    sp_html_text(&page->html, interval);
    sp_text_append(&page->html, "</small></td></tr>\n");
}

static void add_group(sp_page *page, const sp_page_part *part, const char *moment,
                      footnotes *notes) {
    bool titled = false;
    for (size_t i = 0; i < sp_readout_count(part->readout); i++) {
        const sp_measure *measure = sp_readout_at(part->readout, i);
        if (!has_number(measure) || strcmp(measure->kind->moment, moment) != 0) continue;
        if (!titled) {
            sp_text_append(&page->html, "<tbody><tr><th scope=\"rowgroup\" colspan=\"2\">");
            sp_html_text(&page->html, moment[0] == '\0' ? "between moments" : moment);
            sp_text_append(&page->html, "</th></tr>\n");
        }
        titled = true;
        add_row(page, part, measure, notes);
    }
    if (!titled) return;
    sp_text_append(&page->html, "</tbody>\n");
}

static void add_notes(sp_page *page, const footnotes *notes) {
    if (notes->count == 0) return;
    sp_text_append(&page->html, "<ol class=\"small faint\">\n");
    for (int i = 0; i < notes->count; i++) {
        sp_text_format(&page->html, "<li id=\"note-%d-%d\">", page->part, i + 1);
        sp_html_text(&page->html, notes->texts[i]);
        sp_text_append(&page->html, "</li>\n");
    }
    sp_text_append(&page->html, "</ol>\n");
}

void sp_page_readout(sp_page *page, const sp_page_part *part) {
    static const char *const moments[] = {"release", "trophy", "drop", "contact",
                                          "bounce",  "finish", ""};
    footnotes notes = {.count = 0};
    sp_page_heading(page, "The numbers");
    sp_page_paragraph(page, "faint",
                      "Each number stands with its 95 % interval: the true value lies in it 95 "
                      "times of 100, as far as the taps, the scale and the frame times tell.");
    sp_text_append(&page->html,
                   "<table><thead><tr><th scope=\"col\">What</th><th scope=\"col\">Value, with its "
                   "interval below</th></tr></thead>\n");
    for (size_t i = 0; i < sizeof moments / sizeof moments[0]; i++)
        add_group(page, part, moments[i], &notes);
    sp_text_append(&page->html, "</table>\n");
    add_notes(page, &notes);
    sp_page_drop_cautions(page, part);
}

static bool same_reason(const sp_measure *a, const sp_measure *b) {
    return a->status == b->status && strcmp(a->note, b->note) == 0;
}

static bool is_first_of_reason(const sp_readout *readout, size_t index) {
    for (size_t i = 0; i < index; i++)
        if (!has_number(sp_readout_at(readout, i)) &&
            same_reason(sp_readout_at(readout, i), sp_readout_at(readout, index)))
            return false;
    return true;
}

static void add_reason(sp_page *page, const sp_readout *readout, const sp_measure *first) {
    const char *between = "<li>";
    for (size_t i = 0; i < sp_readout_count(readout); i++) {
        const sp_measure *measure = sp_readout_at(readout, i);
        if (has_number(measure) || !same_reason(measure, first)) continue;
        sp_text_append(&page->html, between);
        sp_html_text(&page->html, measure->kind->title);
        if (measure->kind->moment[0] != '\0') {
            sp_text_append(&page->html, " at ");
            sp_html_text(&page->html, measure->kind->moment);
        }
        between = ", ";
    }
    sp_text_append(&page->html, ": ");
    sp_html_text(&page->html, sp_status_title(first->status));
    sp_text_append(&page->html, first->note[0] == '\0' ? ".</li>\n" : ". <small>");
    if (first->note[0] == '\0') return;
    sp_html_text(&page->html, first->note);
    sp_text_append(&page->html, "</small></li>\n");
}

void sp_page_unseen(sp_page *page, const sp_page_part *part) {
    bool titled = false;
    for (size_t i = 0; i < sp_readout_count(part->readout); i++) {
        const sp_measure *measure = sp_readout_at(part->readout, i);
        if (has_number(measure) || !is_first_of_reason(part->readout, i)) continue;
        if (!titled) {
            sp_page_heading(page, "What could not be seen, and why");
            sp_text_append(&page->html, "<ul>\n");
        }
        titled = true;
        add_reason(page, part->readout, measure);
    }
    if (titled) sp_text_append(&page->html, "</ul>\n");
}
