#include <math.h>
#include <stdio.h>
#include <string.h>

#include "window/actions.h"
#include "window/page.h"
#include "window/state.h"

static sign sign_of(const sp_finding *f) {
    switch (f->status) {
    case SP_CHECK_MET: return SIGN_DONE;
    case SP_CHECK_NOT_MET: return SIGN_WARN;
    case SP_CHECK_FOR_THE_EYE: return SIGN_NEXT;
    case SP_CHECK_WITHIN_ERROR:
    case SP_CHECK_NOT_FROM_THIS_VIEW:
    case SP_CHECK_TOO_COARSE:
    case SP_CHECK_POINTS_MISSING: break;
    }
    return SIGN_MISSING;
}

static void paragraph(page *p, const char *text) {
    if (text[0] != '\0') page_text(p, text);
}

static void sentence(page *p, const char *before, const char *text) {
    char whole[1200];
    if (text[0] == '\0') return;
    snprintf(whole, sizeof whole, "%s %s", before, text);
    page_text(p, whole);
}

static void paint_offers(page *p, const sp_finding *f) {
    if (f->status == SP_CHECK_FOR_THE_EYE || f->by_eye) {
        page_offer(p, "I see it: it is so", act_judge, SP_VERDICT_MET);
        page_offer(p, "I see it: it is not so", act_judge, SP_VERDICT_NOT_MET);
        page_offer(p, "I cannot tell", act_judge, SP_VERDICT_UNSURE);
    }
    if (f->place > 1) page_offer(p, "work on it sooner", act_order, -1);
    if (f->place > 0) page_offer(p, "work on it later", act_order, 1);
    if (f->advice[0] != '\0') page_offer(p, "in my own words", act_say, 0);
    if (f->seen || f->group == SP_FINDINGS_GOOD || f->group == SP_FINDINGS_FIRST)
        page_offer(p, f->seen ? "do not send it after all" : "I have read this: it may be sent",
                   act_seen, !f->seen);
}

/* The advice and its caution are one text: neither is shown without the other. */
static void paint_open(page *p, const sp_finding *f) {
    if (f->group != SP_FINDINGS_FIRST) paragraph(p, f->says);
    sentence(p, "Looked for:", sp_check_get_looked_for(f->check));
    paragraph(p, f->published);
    paragraph(p, f->advice);
    paragraph(p, f->place_why);
    sentence(p, "Source:", sp_check_get_source(f->check));
    paint_offers(p, f);
}

static void paint_finding(page *p, const sp_finding *f, int index) {
    const double top = p->y, x = p->x + 26;
    const bool open = strcmp(p->w->findings.open, sp_check_get_id(f->check)) == 0;
    words title = brush_body(&p->b), how = brush_faint(&p->b);
    title.wrap = how.wrap = true;
    title.bold = open;
    brush_sign(&p->b, sign_of(f), p->x + 8, top + 15);
    double y = top + 5;
    y += brush_text(&p->b, title, x, y, p->width - 50, sp_check_get_title(f->check));
    page_fold(p, p->x + p->width - 7, top + 15, open);
    y += brush_text(&p->b, how, x, y + 1, p->width - 50, sp_check_status_title(f->status)) + 7;
    y = fmax(y, top + p->row);
    p->y = y;
    brush_spot(&p->b, (sp_rect){p->x - 6, top, p->width + 12, y - top}, act_finding, index);
    if (f->group == SP_FINDINGS_FIRST) paragraph(p, f->says);
    if (open) paint_open(p, f);
}

static void paint_group_title(page *p, sp_findings_group group) {
    words bold = brush_faint(&p->b);
    bold.bold = true;
    brush_line(&p->b, bold, p->x + 26, p->y + 20, p->width - 26, sp_findings_group_title(group));
    p->y += 32;
}

/* The thread from the last review to this one. */
static void paint_asked(page *p, const sp_findings *all) {
    words bold = brush_faint(&p->b);
    bold.bold = true;
    if (sp_findings_asked_count(all) == 0) return;
    brush_line(&p->b, bold, p->x + 26, p->y + 20, p->width - 26, "what was asked last time");
    p->y += 32;
    for (size_t i = 0; i < sp_findings_asked_count(all); i++) {
        const sp_asked asked = sp_findings_asked_at(all, i);
        brush_sign(&p->b, sign_of(asked.finding), p->x + 8, p->y + 13);
        page_text(p, asked.words);
    }
}

/* What a page would ask the student for. */
static void paint_request(page *p, const sp_findings *all) {
    const char *text = sp_findings_next_clip(all, NULL);
    words bold = brush_faint(&p->b);
    bold.bold = true;
    if (text[0] == '\0') return;
    brush_line(&p->b, bold, p->x + 26, p->y + 20, p->width - 26,
               "the next clip, as it is asked for");
    p->y += 32;
    page_text(p, text);
}

static void count_groups(const sp_findings *all, int *good, int *work) {
    for (size_t i = 0; i < sp_findings_count(all); i++) {
        const sp_finding *f = sp_findings_at(all, i);
        if (f->group == SP_FINDINGS_GOOD) (*good)++;
        if (f->place > 0) (*work)++;
    }
}

void findings_paint_so_far(page *p, const char *moment) {
    const sp_findings *all = p->w->findings.now;
    for (size_t i = 0; all != NULL && i < sp_findings_count(all); i++) {
        const sp_finding *f = sp_findings_at(all, i);
        const bool told = f->measure_count > 0 && f->status <= SP_CHECK_WITHIN_ERROR;
        if (!told || strcmp(sp_check_get_moment(f->check), moment) != 0) continue;
        words how = brush_faint(&p->b);
        how.wrap = true;
        char text[240];
        snprintf(text, sizeof text, "%s: %s", sp_check_get_title(f->check),
                 sp_check_status_title(f->status));
        brush_sign(&p->b, sign_of(f), p->x + 8, p->y + 13);
        p->y += brush_text(&p->b, how, p->x + 26, p->y + 4, p->width - 26, text) + 10;
    }
}

void act_caution_read(window *w, int unused) {
    (void)unused;
    w->sheet.cautions_read = !w->sheet.cautions_read;
    window_touch(w, PART_SHEET);
}

/* Unfolded until the coach folds them: they go with every finding. */
static void paint_cautions(page *p, const sp_findings *all) {
    const size_t count = sp_findings_caution_count(all);
    const bool open = !p->w->sheet.cautions_read;
    const double middle = p->y + p->row / 2;
    char text[64];
    if (count == 0) return;
    snprintf(text, sizeof text, count == 1 ? "one caution" : "%zu cautions", count);
    brush_sign(&p->b, SIGN_WARN, p->x + 8, middle);
    brush_line(&p->b, brush_body(&p->b), p->x + 26, middle, p->width - 50, text);
    page_fold(p, p->x + p->width - 7, middle, open);
    brush_spot(&p->b, (sp_rect){p->x - 6, p->y, p->width + 12, p->row}, act_caution_read, 0);
    p->y += p->row;
    for (size_t i = 0; open && i < count; i++) page_text(p, sp_findings_caution_at(all, i));
}

void findings_paint(page *p) {
    const sp_findings *all = p->w->findings.now;
    if (all == NULL) return;
    int good = 0, work = 0;
    count_groups(all, &good, &work);
    char summary[64];
    snprintf(summary, sizeof summary, "%d good, %d to work on", good, work);
    const sign state = good + work > 0 ? SIGN_DONE : SIGN_MISSING;
    if (!page_section(p, SECTION_CHECKS, "Checks", summary, state)) return;
    paint_cautions(p, all);
    paint_asked(p, all);
    for (size_t i = 0; i < sp_findings_count(all); i++) {
        const sp_finding *f = sp_findings_at(all, i);
        if (i == 0 || sp_findings_at(all, i - 1)->group != f->group) paint_group_title(p, f->group);
        paint_finding(p, f, (int)i);
    }
    paint_request(p, all);
}

void deliver_paint(page *p) {
    char summary[96];
    const sp_finding *list[4];
    const size_t ready =
        p->w->findings.now == NULL ? 0 : sp_findings_to_send(p->w->findings.now, list, 4);
    snprintf(summary, sizeof summary,
             ready == 0   ? "no check is marked"
             : ready == 1 ? "one finding may be sent"
                          : "%zu findings may be sent",
             ready);
    if (!page_section(p, SECTION_DELIVER, "Hand over", summary,
                      ready > 0 ? SIGN_DONE : SIGN_MISSING))
        return;
    sending_paint_now(p);
    page_offer(p, "still of this frame, beside the clip", act_still, 0);
    page_offer(p, "stills of all moments", act_all_stills, 0);
    sending_paint_offers(p);
    page_offer(p, "compare with another clip", act_compare, 0);
    page_offer(p, "the history of this folder, as a page", act_past, 1);
    page_offer(p, "copy the words that ask for the next clip", act_copy_request, 0);
}
