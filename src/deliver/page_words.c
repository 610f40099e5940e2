/* The words of a page: findings, notes, cautions, and what to film next. */
#include "deliver/html.h"
#include "deliver/page.h"

#define SENT_MAX 64

void sp_page_heading(sp_page *page, const char *title) {
    sp_text_format(&page->html, "<h%d>", page->level);
    sp_html_text(&page->html, title);
    sp_text_format(&page->html, "</h%d>\n", page->level);
}

void sp_page_paragraph(sp_page *page, const char *kind, const char *text) {
    if (text[0] == '\0') return;
    sp_text_append(&page->html, kind == NULL ? "<p>" : "<p class=\"");
    if (kind != NULL) sp_text_format(&page->html, "%s\">", kind);
    sp_html_text(&page->html, text);
    sp_text_append(&page->html, "</p>\n");
}

void sp_page_drop_cautions(sp_page *page, const sp_page_part *part) {
    for (size_t i = 0; i < sp_readout_caution_count(part->readout); i++) {
        if (sp_readout_caution_of(part->readout, i) != SP_CAUTION_OF_DROP) continue;
        sp_text_append(&page->html, " <span class=\"faint\">");
        sp_html_text(&page->html, sp_readout_caution_at(part->readout, i));
        sp_text_append(&page->html, "</span>");
    }
}

void sp_page_drop_pointer(sp_page *page) {
    sp_text_format(&page->html,
                   " <a href=\"#care-%d\">Before you change the drop, please read this.</a>",
                   page->part);
}

bool sp_page_shows_drop(const sp_page_part *part) {
    for (size_t i = 0; i < sp_readout_caution_count(part->readout); i++)
        if (sp_readout_caution_of(part->readout, i) == SP_CAUTION_OF_DROP) return true;
    return false;
}

static void add_source(sp_page *page, const sp_finding *finding) {
    sp_text_append(&page->html, "<p class=\"small faint\">Source: ");
    sp_html_text(&page->html, sp_check_get_source(finding->check));
    sp_text_append(&page->html, "</p>\n");
}

static void add_first(sp_page *page, const sp_finding *finding) {
    sp_text_append(&page->html, "<div class=\"card\">");
    page->level++;
    sp_page_heading(page, sp_check_get_title(finding->check));
    page->level--;
    sp_page_paragraph(page, "own", finding->says);
    sp_page_paragraph(page, "faint", sp_check_get_looked_for(finding->check));
    sp_page_paragraph(page, "faint", finding->published);
    sp_page_paragraph(page, "own", finding->advice);
    add_source(page, finding);
    sp_text_append(&page->html, "</div>\n");
}

static void add_good(sp_page *page, const sp_finding *finding) {
    sp_text_append(&page->html, "<li><b>");
    sp_html_text(&page->html, sp_check_get_title(finding->check));
    sp_text_append(&page->html, "</b><br><small>");
    sp_html_text(&page->html, finding->says);
    sp_text_append(&page->html, " Source: ");
    sp_html_text(&page->html, sp_check_get_source(finding->check));
    sp_text_append(&page->html, "</small>");
    if (finding->own_words) sp_page_paragraph(page, "own", finding->advice);
    sp_text_append(&page->html, "</li>\n");
}

static size_t add_group(sp_page *page, const sp_finding *const *sent, size_t count,
                        sp_findings_group group, const char *title,
                        void (*add)(sp_page *, const sp_finding *)) {
    size_t added = 0;
    for (size_t i = 0; i < count; i++) {
        if (sent[i]->group != group) continue;
        if (added++ == 0) {
            sp_page_heading(page, title);
            sp_text_append(&page->html, group == SP_FINDINGS_GOOD ? "<ul>\n" : "<div>\n");
        }
        add(page, sent[i]);
    }
    if (added > 0) sp_text_append(&page->html, group == SP_FINDINGS_GOOD ? "</ul>\n" : "</div>\n");
    return added;
}

/* The answer to what was asked last time, once the coach has seen it. */
static bool may_answer(const sp_finding *finding) {
    return finding->seen ||
           (finding->status != SP_CHECK_MET && finding->status != SP_CHECK_NOT_MET);
}

static void add_asked(sp_page *page, const sp_findings *findings) {
    size_t told = 0;
    for (size_t i = 0; i < sp_findings_asked_count(findings); i++) {
        const sp_asked asked = sp_findings_asked_at(findings, i);
        if (!may_answer(asked.finding)) continue;
        if (told++ == 0) {
            sp_page_heading(page, "What was asked last time");
            sp_text_append(&page->html, "<ul>\n");
        }
        sp_text_append(&page->html, "<li>");
        sp_html_text(&page->html, asked.words);
        sp_text_append(&page->html, "</li>\n");
    }
    if (told > 0) sp_text_append(&page->html, "</ul>\n");
}

/* What is good comes before what is to be worked on, as it does for the coach. */
void sp_page_findings(sp_page *page, const sp_page_part *part) {
    const sp_finding *sent[SENT_MAX];
    if (part->findings == NULL) return;
    add_asked(page, part->findings);
    size_t count = sp_findings_to_send(part->findings, sent, SENT_MAX);
    if (count > SENT_MAX) count = SENT_MAX;
    if (count == 0) return;
    add_group(page, sent, count, SP_FINDINGS_GOOD, "What is good", add_good);
    add_group(page, sent, count, SP_FINDINGS_FIRST, "To work on first", add_first);
    sp_text_append(&page->html, "<p class=\"small\">");
    sp_page_drop_cautions(page, part);
    sp_text_append(&page->html, "</p>\n");
}

void sp_page_notes(sp_page *page, const sp_page_part *part) {
    if (sp_review_note_count(part->review) == 0) return;
    sp_page_heading(page, "Notes");
    for (size_t i = 0; i < sp_review_note_count(part->review); i++) {
        const sp_note *note = sp_review_note_at(part->review, i);
        sp_text_append(&page->html, "<p class=\"own\">");
        if (note->frame >= 0) sp_text_format(&page->html, "Frame %d: ", note->frame);
        sp_html_stranger(&page->html, note->text);
        sp_text_append(&page->html, "</p>\n");
    }
}

void sp_page_cautions(sp_page *page, const sp_page_part *part) {
    sp_text_format(&page->html, "<section id=\"care-%d\">\n", page->part);
    sp_page_heading(page, "Please read");
    const bool found = part->findings != NULL;
    const size_t count =
        found ? sp_findings_caution_count(part->findings) : sp_readout_caution_count(part->readout);
    for (size_t i = 0; i < count; i++)
        if (found)
            sp_page_paragraph(page, "own care", sp_findings_caution_at(part->findings, i));
        else if (sp_readout_caution_of(part->readout, i) != SP_CAUTION_OF_MEASURING)
            sp_page_paragraph(page, "own care", sp_readout_caution_at(part->readout, i));
    sp_text_append(&page->html, "</section>\n");
}

void sp_page_next_clip(sp_page *page, const sp_page_part *part) {
    const char *text = part->findings == NULL ? "" : sp_findings_next_clip(part->findings, NULL);
    if (text[0] == '\0') return;
    sp_page_heading(page, "The next clip");
    sp_page_paragraph(page, "own", text);
}
