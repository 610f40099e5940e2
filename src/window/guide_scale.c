/* Scale and plumb in the sheet. */
#include <math.h>
#include <stdio.h>

#include "window/actions.h"
#include "window/court.h"
#include "window/page.h"
#include "window/state.h"

static void plumb_words(const sp_plumb_entry *plumb, char *text, size_t size) {
    static const char *from[] = {"as the picture stands", "from something level",
                                 "from something upright", "from the court", "from the toss"};
    if (plumb->method == SP_PLUMB_IMAGE && plumb->angle_deg == 0)
        snprintf(text, size, "%s", from[0]);
    else
        snprintf(text, size, "%.1f\u00b0, %s", plumb->angle_deg, from[plumb->method]);
}

static const char *name_of(const sp_scale_entry *entry) {
    switch (entry->method) {
    case SP_SCALE_COURT: return "landmarks of the court";
    case SP_SCALE_TOSS: return "fall of the toss";
    case SP_SCALE_LINE: break;
    }
    return entry->distance_name[0] != '\0' ? entry->distance_name : entry->id;
}

/* One of the scales, with what it gives where the player is. */
static void paint_one(page *p, int index) {
    const session *s = &p->w->session;
    const sp_scale_entry *entry = sp_review_scale_at(s->review, (size_t)index);
    const bool used = entry == sp_review_active_scale(s->review);
    const double top = p->y, middle = p->y + p->row / 2;
    words name = brush_faint(&p->b), number = brush_faint(&p->b);
    if (used) name.color = p->b.theme->text;
    number.align = SP_ALIGN_RIGHT;
    number.digits = true;
    brush_sign(&p->b, used ? SIGN_DONE : SIGN_MISSING, p->x + 34, middle);
    char text[64] = "";
    const sp_scale_finding *found = (size_t)index < sp_readout_scale_count(s->readout)
                                        ? sp_readout_scale_at(s->readout, (size_t)index)
                                        : NULL;
    if (found != NULL && isfinite(found->m_per_px.value))
        snprintf(text, sizeof text, "%.2f (%.2f to %.2f)", found->m_per_px.value * 1000,
                 found->m_per_px.low * 1000, found->m_per_px.high * 1000);
    name.wrap = true;
    const double wide = brush_size(&p->b, number, 0, text).width;
    const double used_height =
        brush_text(&p->b, name, p->x + 50, middle - 8, p->width - 62 - wide, name_of(entry));
    brush_line(&p->b, number, p->x + p->width - wide - 2, middle, wide + 2, text);
    p->y = fmax(top + p->row, middle - 8 + used_height + 6);
    brush_spot(&p->b, (sp_rect){p->x - 6, top, p->width + 12, p->y - top}, act_use_scale, index);
    if (used && found != NULL && found->words[0] != '\0') page_text(p, found->words);
}

static void paint_pairs(page *p) {
    const sp_readout *readout = p->w->session.readout;
    for (size_t i = 0; i < sp_readout_pair_count(readout); i++) {
        const sp_scale_pair *pair = sp_readout_pair_at(readout, i);
        if (!pair->contradict) continue;
        brush_sign(&p->b, SIGN_WARN, p->x + 8, p->y + 13);
        page_text(p, pair->words);
    }
}

static int index_of(const sp_landmark *landmark) {
    for (int i = 0; i < (int)sp_landmark_count(); i++)
        if (sp_landmark_at((size_t)i) == landmark) return i;
    return 0;
}

/* What each tap misses the fit by; pressing one asks for it anew. */
static void paint_landmarks(page *p) {
    const court *c = &p->w->court;
    words name = brush_faint(&p->b), off = name;
    name.wrap = true;
    off.align = SP_ALIGN_RIGHT;
    off.digits = true;
    for (size_t i = 0; i < c->entry.landmark_count; i++) {
        const sp_landmark *landmark = c->entry.landmarks[i].landmark;
        const double middle = p->y + p->line / 2;
        char text[32] = "";
        if (c->drawn)
            snprintf(text, sizeof text, "%.1f px", sp_point_length(c->pose.taps[i].residual_px));
        const bool suspect = c->drawn && c->pose.suspect == (int)i;
        brush_sign(&p->b, suspect ? SIGN_WARN : SIGN_DONE, p->x + 34, middle);
        const double used =
            brush_text(&p->b, name, p->x + 50, middle - 8, p->width - 120, landmark->name);
        const double high = fmax(p->line, p->line / 2 - 8 + used + 6);
        brush_line(&p->b, off, p->x + p->width - 60, middle, 60, text);
        brush_spot(&p->b, (sp_rect){p->x - 6, p->y, p->width + 12, high}, act_landmark,
                   index_of(landmark));
        p->y += high;
    }
    if (c->entry.id[0] != '\0' && c->words[0] != '\0') page_text(p, c->words);
}

void scale_paint(page *p) {
    const session *s = &p->w->session;
    const sp_scale_entry *scale = sp_review_active_scale(s->review);
    char text[160], summary[64] = "none yet";
    const sp_scale_reading reading = sp_readout_scale(s->readout);
    if (reading.id[0] != '\0')
        snprintf(summary, sizeof summary, "%.1f mm/pixel", reading.m_per_px.value * 1000);
    const sign state = scale != NULL                ? SIGN_DONE
                       : p->next.kind == STEP_SCALE ? SIGN_NEXT
                                                    : SIGN_MISSING;
    if (!page_section(p, SECTION_SCALE, "Scale and plumb", summary, state)) return;
    if (sp_review_scale_count(s->review) > 0) page_text(p, "mm per pixel where the player is");
    for (size_t i = 0; i < sp_review_scale_count(s->review); i++) paint_one(p, (int)i);
    paint_pairs(p);
    page_offer(p, "from a court distance", act_scale, 0);
    page_offer(p, "from landmarks of the court", act_court, 0);
    paint_landmarks(p);
    page_offer(p, "from the fall of the toss", act_toss_scale, 0);
    if (scale != NULL) page_offer(p, "take the scale in use off", act_drop_scale, 0);
    plumb_words(sp_review_get_plumb(s->review), text, sizeof text);
    page_setting(p, "plumb", text, act_plumb, 0);
}
