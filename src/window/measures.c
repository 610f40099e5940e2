#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "window/actions.h"
#include "window/moments.h"
#include "window/page.h"
#include "window/state.h"

void act_explain(window *w, int index) {
    const sp_measure *measure = sp_readout_at(w->session.readout, (size_t)index);
    w->sheet.measure = w->sheet.measure == index ? -1 : index;
    if (measure->frame >= 0) act_go_frame(w, measure->frame);
    window_touch(w, PART_SHEET | PART_OVERLAY);
}

static bool has_number(const sp_measure *m) {
    return m->status == SP_STATUS_OK || m->status == SP_STATUS_PROJECTED;
}

static const char *moment_of(int group) {
    return group < MOMENT_COUNT ? moment_kind_at(group)->name : "";
}

static bool in_group(const sp_measure *m, const char *moment) {
    return strcmp(m->kind->moment, moment) == 0;
}

static bool group_is_open(const window *w, int group) {
    const signed char chosen = w->sheet.group_open[group];
    return chosen != 0 ? chosen > 0 : w->sheet.group == group + 1;
}

/* Unfolds the measures of a moment and goes to its frame, or folds them. */
void act_group(window *w, int group) {
    const bool open = !group_is_open(w, group);
    w->sheet.group_open[group] = open ? 1 : -1;
    const char *moment = moment_of(group);
    const int frame = moment[0] == '\0' ? -1 : sp_review_moment_frame(w->session.review, moment);
    if (open && frame >= 0) act_go_frame(w, frame);
    window_touch(w, PART_SHEET);
}

/* Title, what was had, and where; false when nothing under it is to be painted. */
static bool paint_group(page *p, const char *moment) {
    const session *s = &p->w->session;
    int count = 0, had = 0;
    for (size_t i = 0; i < sp_readout_count(s->readout); i++) {
        const sp_measure *m = sp_readout_at(s->readout, i);
        if (!in_group(m, moment)) continue;
        count++;
        if (has_number(m)) had++;
    }
    if (count == 0) return false;
    const bool open = group_is_open(p->w, p->group);
    const double height = fmax(36, p->row), middle = p->y + height / 2, right = p->x + p->width;
    words title = brush_body(&p->b), faint = brush_faint(&p->b);
    title.bold = open;
    faint.align = SP_ALIGN_RIGHT;
    faint.digits = true;
    const int frame = moment[0] == '\0' ? -1 : sp_review_moment_frame(s->review, moment);
    char text[64];
    snprintf(text, sizeof text, "%d of %d", had, count);
    if (frame >= 0) snprintf(text, sizeof text, "%d of %d \u00b7 frame %d", had, count, frame);
    brush_sign(&p->b, had > 0 ? SIGN_DONE : SIGN_MISSING, p->x + 8, middle);
    const char *name = moment[0] == '\0' ? "between moments" : moment;
    const double after = p->x + 26 + brush_size(&p->b, title, 0, name).width + 12;
    brush_line(&p->b, title, p->x + 26, middle, 0, name);
    brush_line(&p->b, faint, after, middle, right - 22 - after, text);
    page_fold(p, right - 7, middle, open);
    brush_spot(&p->b, (sp_rect){p->x - 6, p->y, p->width + 12, height}, act_group, p->group);
    p->y += height;
    return open;
}

static void paint_about(page *p, const sp_measure *m) {
    words faint = brush_faint(&p->b);
    faint.wrap = true;
    const double x = p->x + 26, width = p->width - 26;
    p->y += 4;
    p->y += brush_text(&p->b, faint, x, p->y, width, m->kind->about) + 4;
    if (m->note[0] != '\0') p->y += brush_text(&p->b, faint, x, p->y, width, m->note) + 4;
    p->y += 4;
}

/* The sign that the overlay uses too: true only in the plane of the picture. */
static void paint_about_equal(page *p, double middle) {
    words faint = brush_faint(&p->b);
    faint.align = SP_ALIGN_CENTER;
    brush_line(&p->b, faint, p->x - 2, middle, 20, "\u2248");
}

typedef struct {
    char value[96];
    const char *interval; /* "(89 to 120)"; or "" */
    char whole[160];
} reading;

/* The value is what is looked for, its interval what it is worth: told apart by their weight. */
static void read_measure(const page *p, const sp_measure *m, reading *r) {
    sp_measure_text(m, p->w->units, r->whole, sizeof r->whole);
    sp_measure_short_text(m, p->w->units, r->value, sizeof r->value);
    const size_t length = strlen(r->value);
    const bool splits = strncmp(r->whole, r->value, length) == 0 && r->whole[length] == ' ';
    r->interval = splits ? r->whole + length + 1 : "";
    if (!splits) sp_text_copy(r->value, sizeof r->value, r->whole);
}

/* Title and value on one line where both have room, else the value under the title. */
static void paint_measure(page *p, const sp_measure *m, int index) {
    reading r;
    read_measure(p, m, &r);
    words title = brush_body(&p->b), number = title, faint = brush_faint(&p->b);
    number.digits = faint.digits = true;
    number.bold = has_number(m);
    number.align = faint.align = SP_ALIGN_RIGHT;
    if (!has_number(m)) {
        number = faint;
        title.color = p->b.theme->faint;
    }
    const double x = p->x + 26, width = p->width - 26, top = p->y;
    const double after =
        r.interval[0] == '\0' ? 0 : brush_size(&p->b, faint, 0, r.interval).width + 8;
    const double used = brush_size(&p->b, title, 0, m->kind->title).width + after +
                        brush_size(&p->b, number, 0, r.value).width + 12;
    const double first = used > width ? top + 14 : top + p->line / 2;
    const double line = used > width ? top + 34 : first;
    const bool lit = p->w->sheet.measure == index;
    if (lit)
        sp_paint_fill_rect(p->b.paint,
                           (sp_rect){p->x - 6, top, p->width + 12, used > width ? 48 : p->line}, 6,
                           p->b.theme->raised);
    if (m->status == SP_STATUS_PROJECTED) paint_about_equal(p, first);
    brush_line(&p->b, title, x, first, width, m->kind->title);
    brush_line(&p->b, number, x, line, width - after, r.value);
    if (after > 0) brush_line(&p->b, faint, x, line, width, r.interval);
    p->y += used > width ? 48 : p->line;
    if (lit) paint_about(p, m);
    brush_spot(&p->b, (sp_rect){p->x - 6, top, p->width + 12, p->y - top}, act_explain, index);
    if (lit) past_paint(p, index);
}

static void paint_cautions(page *p) {
    const sp_readout *readout = p->w->session.readout;
    const size_t count = sp_readout_caution_count(readout);
    if (count == 0) return;
    char text[64];
    snprintf(text, sizeof text, count == 1 ? "one caution" : "%zu cautions", count);
    brush_sign(&p->b, SIGN_WARN, p->x + 8, p->y + p->row / 2);
    brush_line(&p->b, brush_body(&p->b), p->x + 26, p->y + p->row / 2, p->width - 50, text);
    page_fold(p, p->x + p->width - 7, p->y + p->row / 2, p->w->sheet.cautions);
    brush_spot(&p->b, (sp_rect){p->x - 6, p->y, p->width + 12, p->row}, act_cautions, 0);
    p->y += p->row;
    for (size_t i = 0; p->w->sheet.cautions && i < count; i++)
        page_text(p, sp_readout_caution_at(readout, i));
}

void act_cautions(window *w, int unused) {
    (void)unused;
    w->sheet.cautions = !w->sheet.cautions;
    window_touch(w, PART_SHEET);
}

/* What is missing, with all that it is missing for, in one paragraph. */
static void paint_absent(page *p, const char *moment, sp_status status) {
    const sp_readout *readout = p->w->session.readout;
    sp_text text = {0};
    int count = 0;
    const char *note = "";
    for (size_t i = 0; i < sp_readout_count(readout); i++) {
        const sp_measure *m = sp_readout_at(readout, i);
        if (m->status != status || !in_group(m, moment)) continue;
        note = m->note;
        sp_text_append(&text, count++ == 0 ? "" : ", ");
        sp_text_append(&text, m->kind->title);
    }
    if (count == 0) return;
    words faint = brush_faint(&p->b);
    faint.wrap = true;
    const double x = p->x + 26, width = p->width - 26, top = p->y;
    sp_text line = {0};
    if (status == SP_STATUS_NEEDS_MOMENT && count > 1)
        sp_text_format(&line, "%s for %d measures. %s", sp_status_title(status), count, note);
    else
        sp_text_format(&line, "%s: %s", sp_status_title(status), sp_text_get(&text));
    const double high = brush_size(&p->b, faint, width, sp_text_get(&line)).height + 8;
    p->y += fmax(high, p->line);
    brush_sign(&p->b, SIGN_MISSING, p->x + 8, top + (p->y - top - high) / 2 + 11);
    brush_text(&p->b, faint, x, top + (p->y - top - high) / 2 + 2, width, sp_text_get(&line));
    brush_spot(&p->b, (sp_rect){p->x - 6, top, p->width + 12, p->y - top}, act_all_rows,
               (int)status * 16 + p->group);
    sp_text_clear(&text);
    sp_text_clear(&line);
}

static void paint_in_group(page *p, const char *moment) {
    const sp_readout *readout = p->w->session.readout;
    if (!paint_group(p, moment)) return;
    for (size_t i = 0; i < sp_readout_count(readout); i++) {
        const sp_measure *m = sp_readout_at(readout, i);
        if (!in_group(m, moment)) continue;
        if (has_number(m) || p->w->sheet.all_rows) paint_measure(p, m, (int)i);
    }
    if (p->w->sheet.all_rows) return;
    for (int status = SP_STATUS_NEEDS_POINTS; status <= SP_STATUS_TOO_COARSE; status++)
        paint_absent(p, moment, (sp_status)status);
}

void act_all_rows(window *w, int unused) {
    (void)unused;
    w->sheet.all_rows = !w->sheet.all_rows;
    window_touch(w, PART_SHEET);
}

static void paint_legend(page *p, size_t projected) {
    if (projected == 0) return;
    paint_about_equal(p, p->y + 12);
    page_text(p, "as seen in the picture: choose a measure to read what may be missing");
}

void measures_paint_so_far(page *p, const char *moment) {
    const sp_readout *readout = p->w->session.readout;
    int rows = 0;
    for (size_t i = 0; i < sp_readout_count(readout) && rows < 4; i++) {
        const sp_measure *m = sp_readout_at(readout, i);
        if (!in_group(m, moment) || !has_number(m)) continue;
        if (rows++ == 0) {
            brush_line(&p->b, brush_faint(&p->b), p->x + 26, p->y + 16, p->width - 26,
                       "these points give");
            p->y += 28;
        }
        paint_measure(p, m, (int)i);
    }
}

void measures_paint(page *p) {
    const sp_readout *readout = p->w->session.readout;
    const size_t count = sp_readout_count(readout);
    size_t had = 0, projected = 0;
    for (size_t i = 0; i < count; i++) {
        const sp_measure *m = sp_readout_at(readout, i);
        if (has_number(m)) had++;
        if (m->status == SP_STATUS_PROJECTED) projected++;
    }
    char summary[64];
    snprintf(summary, sizeof summary, "%zu of %zu measures", had, count);
    if (!page_section(p, SECTION_READOUT, "Readout", summary, had > 0 ? SIGN_DONE : SIGN_MISSING))
        return;
    paint_cautions(p);
    paint_legend(p, projected);
    for (p->group = 0; p->group <= MOMENT_COUNT; p->group++) paint_in_group(p, moment_of(p->group));
    page_offer(p, p->w->sheet.all_rows ? "only measures that were had" : "each reason by itself",
               act_all_rows, 0);
}
