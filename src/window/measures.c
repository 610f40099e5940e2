#include <math.h>
#include <stdio.h>
#include <string.h>

#include "window/actions.h"
#include "window/page.h"
#include "window/state.h"

void act_explain(window *w, int index) {
    const sp_measure *measure = sp_readout_at(w->session.readout, (size_t)index);
    w->sheet.measure = w->sheet.measure == index ? -1 : index;
    if (measure->frame >= 0) act_go_frame(w, measure->frame);
    window_touch(w, PART_SHEET);
}

static bool has_number(const sp_measure *m) {
    return m->status == SP_STATUS_OK || m->status == SP_STATUS_PROJECTED;
}

static void paint_group(page *p, const char *moment) {
    words faint = brush_faint(&p->b);
    faint.bold = true;
    p->y += 8;
    p->y += brush_text(&p->b, faint, p->x + 26, p->y, p->width - 26,
                       moment[0] == '\0' ? "from moment to moment" : moment) +
            2;
}

static void paint_about(page *p, const sp_measure *m) {
    words faint = brush_faint(&p->b);
    faint.wrap = true;
    const double x = p->x + 26, width = p->width - 26;
    p->y += brush_text(&p->b, faint, x, p->y, width, m->kind->about) + 4;
    if (m->note[0] != '\0') p->y += brush_text(&p->b, faint, x, p->y, width, m->note) + 4;
    p->y += 4;
}

/* Title and value on one line where both have room, else the value under the title. */
static void paint_measure(page *p, const sp_measure *m, int index) {
    char value[160];
    sp_measure_text(m, p->w->units, value, sizeof value);
    words title = brush_body(&p->b), number = has_number(m) ? title : brush_faint(&p->b);
    number.digits = true;
    number.bold = has_number(m);
    number.align = SP_ALIGN_RIGHT;
    if (!has_number(m)) title.color = p->b.theme->faint;
    const double x = p->x + 26, width = p->width - 26, top = p->y;
    const double first = brush_size(&p->b, title, 0, m->kind->title).width;
    const double second = brush_size(&p->b, number, 0, value).width;
    const bool apart = first + second + 14 > width;
    const bool here = m->frame == p->w->frames.number && has_number(m);
    if (here) brush_sign(&p->b, SIGN_DONE, p->x + 8, top + 14);
    brush_line(&p->b, title, x, top + 14, width, m->kind->title);
    brush_line(&p->b, number, x, apart ? top + 34 : top + 14, width, value);
    p->y += apart ? 48 : 28;
    if (p->w->sheet.measure == index) paint_about(p, m);
    brush_spot(&p->b, (sp_rect){p->x - 6, top, p->width + 12, p->y - top}, act_explain, index);
}

static void paint_cautions(page *p) {
    const sp_readout *readout = p->w->session.readout;
    for (size_t i = 0; i < sp_readout_caution_count(readout); i++) {
        brush_sign(&p->b, SIGN_WARN, p->x + 8, p->y + 14);
        page_text(p, sp_readout_caution_at(readout, i));
    }
}

void measures_paint(page *p) {
    const sp_readout *readout = p->w->session.readout;
    const size_t count = sp_readout_count(readout);
    size_t had = 0;
    for (size_t i = 0; i < count; i++)
        if (has_number(sp_readout_at(readout, i))) had++;
    char summary[64];
    snprintf(summary, sizeof summary, "%zu of %zu measures", had, count);
    if (!page_section(p, SECTION_READOUT, "Readout", summary, had > 0 ? SIGN_DONE : SIGN_MISSING))
        return;
    paint_cautions(p);
    const char *moment = NULL;
    for (size_t i = 0; i < count; i++) {
        const sp_measure *m = sp_readout_at(readout, i);
        if (moment == NULL || strcmp(moment, m->kind->moment) != 0) {
            moment = m->kind->moment;
            paint_group(p, moment);
        }
        paint_measure(p, m, (int)i);
    }
}
