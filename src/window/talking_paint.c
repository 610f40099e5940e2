/* The talk-through on the sheet. */
#include <math.h>
#include <stdio.h>
#include <unistd.h>

#include "window/actions.h"
#include "window/page.h"
#include "window/state.h"

/* Decibels of full scale that the meter begins at; common practice, no source. */
#define METER_FLOOR_DB (-54.0)
#define METER_LOUD_DB (-3.0)

static void paint_meter(page *p, float level) {
    const double x = p->x + 104, width = p->width - 104, y = p->y + p->row / 2 - 5;
    const double db = level > 0 ? 20 * log10((double)level) : METER_FLOOR_DB;
    const double share = fmax(0, fmin(1 - db / METER_FLOOR_DB, 1));
    const sp_theme *theme = p->b.theme;
    brush_line(&p->b, brush_faint(&p->b), p->x + 26, p->y + p->row / 2, 76, "level");
    sp_paint_fill_rect(p->b.paint, (sp_rect){x, y, width, 10}, 3, theme->raised);
    sp_paint_fill_rect(p->b.paint, (sp_rect){x, y, width * share, 10}, 3,
                       db > METER_LOUD_DB ? theme->warn : theme->done);
    p->y += p->row;
    if (db > METER_LOUD_DB) page_text(p, "Too loud: speak lower, or farther away.");
}

static void paint_recording(page *p) {
    const talking *t = &p->w->talking;
    if (t->writer != NULL) paint_meter(p, t->level);
    page_offer(p, t->now == TALKING_ON ? "pause" : "record on", act_talk_record, 0);
    page_offer(p, "end the take", act_talk_end, 0);
}

static void paint_recorded(page *p, double length) {
    const talking *t = &p->w->talking;
    char text[96];
    snprintf(text, sizeof text, "%.1f of %.1f s", t->head_s, length);
    page_setting(p, "at", text, act_talk_play, 0);
    page_offer(p, "a second back", act_talk_step, -1);
    page_offer(p, "a second on", act_talk_step, 1);
    page_offer(p, "a part begins here", act_talk_part, 0);
    if (t->part_s >= 0 && t->head_s > t->part_s) {
        snprintf(text, sizeof text, "take out %.1f to %.1f s", t->part_s, t->head_s);
        page_offer(p, text, act_talk_cut, 0);
        snprintf(text, sizeof text, "record %.1f to %.1f s again", t->part_s, t->head_s);
        page_offer(p, text, act_talk_again, 0);
    }
    page_offer(p, "undo the last cut or take", act_talk_undo, 0);
}

void talking_paint(page *p) {
    const window *w = p->w;
    const talking *t = &w->talking;
    const double length = talking_length_s(w);
    char summary[64] = "none";
    if (length > 0) snprintf(summary, sizeof summary, "%.1f s", length);
    if (talking_is_on(w)) snprintf(summary, sizeof summary, "recording");
    const sign state = talking_is_on(w) ? SIGN_NEXT : length > 0 ? SIGN_DONE : SIGN_MISSING;
    if (!page_section(p, SECTION_TALK, "Talk-through", summary, state)) return;
    if (talking_is_on(w)) {
        paint_recording(p);
        return;
    }
    page_offer(p, length > 0 ? "record on at its end" : "record voice and actions", act_talk_record,
               0);
    page_setting(p, "voice",
                 t->without             ? "without a microphone"
                 : t->chosen[0] == '\0' ? "the system's microphone"
                                        : t->chosen,
                 act_talk_microphone, 0);
    if (length > 0) paint_recorded(p, length);
}
