#include "deliver/caption.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "serveplumb/overlay.h"

#define PAD 0.55 /* em, around the band's text */
#define LINE_GAP 0.22
#define ROWS_MAX 14
#define ROW_BYTES 1024 /* a caution is never cut */
#define FINDINGS_MAX 4

typedef struct {
    char text[ROW_BYTES];
    sp_text_style style;
} row;

typedef struct {
    row rows[ROWS_MAX];
    int count;
    double width; /* of the text */
} page;

static void add_row(page *p, const char *text, double size, bool bold, sp_color color) {
    if (p->count == ROWS_MAX || text[0] == '\0') return;
    row *added = &p->rows[p->count++];
    sp_text_copy(added->text, sizeof added->text, text);
    added->style = (sp_text_style){.size = size,
                                   .bold = bold,
                                   .digits = true,
                                   .color = color,
                                   .max_width = p->width,
                                   .wrap = true};
}

/* The moment's name begins a line. */
static void title_of(const sp_caption *caption, char *text, size_t size) {
    if (caption->moment == NULL || caption->moment[0] == '\0') {
        const bool told = caption->whose != NULL && caption->whose[0] != '\0';
        snprintf(text, size, "Frame %d%s%.100s", caption->frame, told ? "  \xc2\xb7  " : "",
                 told ? caption->whose : "");
        return;
    }
    const char *whose = caption->whose == NULL ? "" : caption->whose;
    char moment[ROW_BYTES / 2], name[ROW_BYTES / 4];
    sp_text_copy(moment, sizeof moment, caption->moment);
    sp_text_copy(name, sizeof name, whose);
    snprintf(text, size, "%s%s%s", moment, name[0] == '\0' ? "" : "  \xc2\xb7  ", name);
    text[0] = (char)toupper((unsigned char)text[0]);
}

/* Invented data say so wherever they are shown, also where the player's name is not. */
static bool is_demo(const sp_review *review) {
    if (strstr(sp_review_get_player(review)->name, "(invented)") != NULL) return true;
    const char *file = sp_review_get_clip(review)->file, *slash = strrchr(file, '/');
    return strncasecmp(slash == NULL ? file : slash + 1, "demo", 4) == 0;
}

static void slower_text(double slower, char *text, size_t size) {
    if (slower > 0.999 && slower < 1.001) {
        sp_text_copy(text, size, "  \xc2\xb7  real speed");
    } else if (slower > 1.0) {
        snprintf(text, size, "  \xc2\xb7  %.3g times slower", slower);
    } else {
        snprintf(text, size, "  \xc2\xb7  %.3g times faster", 1.0 / slower);
    }
}

static void facts_of(const sp_caption *caption, char *text, size_t size) {
    const double real = caption->clip_s / sp_review_get_clip(caption->review)->slowdown;
    const char *view = sp_view_id(sp_review_get_view(caption->review));
    const bool named = caption->moment != NULL && caption->moment[0] != '\0';
    char frame[32] = "", slower[48] = "";
    if (named) snprintf(frame, sizeof frame, "frame %d  \xc2\xb7  ", caption->frame);
    if (caption->slower > 0.0) slower_text(caption->slower, slower, sizeof slower);
    snprintf(text, size, "%s%.3f s  \xc2\xb7  %s view%s%s", frame, real, view, slower,
             is_demo(caption->review) ? "  \xc2\xb7  demo: invented data" : "");
}

static bool is_of(const sp_finding *finding, const sp_caption *caption) {
    const char *moment = sp_check_get_moment(finding->check);
    return finding->frame == caption->frame ||
           (caption->moment != NULL && moment[0] != '\0' && strcmp(moment, caption->moment) == 0);
}

/* Only what the coach has seen, and no advice: its caution would need more room than a still has.
 */
static void add_findings(page *p, const sp_caption *caption, double em, sp_color color) {
    const sp_finding *sent[64];
    if (caption->findings == NULL) return;
    size_t count = sp_findings_to_send(caption->findings, sent, 64), told = 0;
    for (size_t i = 0; i < count && i < 64 && told < FINDINGS_MAX; i++) {
        if (!is_of(sent[i], caption)) continue;
        char text[ROW_BYTES];
        snprintf(text, sizeof text, "%s %s", sp_check_get_title(sent[i]->check),
                 sent[i]->group == SP_FINDINGS_FIRST ? "\xe2\x80\x93 to work on first"
                                                     : "\xe2\x80\x93 good");
        add_row(p, text, 0.78 * em, true, color);
        told++;
    }
}

/* A student who sees how deep the drop is must also read what it does not say. */
static void add_cautions(page *p, const sp_caption *caption, double em, sp_color color) {
    if (caption->readout == NULL) return;
    if (!caption->of_drop && sp_review_moment_frame(caption->review, "drop") != caption->frame)
        return;
    for (size_t i = 0; i < sp_readout_caution_count(caption->readout); i++)
        if (sp_readout_caution_of(caption->readout, i) == SP_CAUTION_OF_DROP)
            add_row(p, sp_readout_caution_at(caption->readout, i), 0.7 * em, false, color);
}

static void add_head(page *p, const sp_caption *caption, const sp_theme *theme, double em) {
    char text[ROW_BYTES];
    title_of(caption, text, sizeof text);
    add_row(p, text, 1.1 * em, true, theme->text);
    facts_of(caption, text, sizeof text);
    add_row(p, text, 0.78 * em, false, theme->text);
    if (caption->spoken != NULL) add_row(p, caption->spoken, 0.95 * em, true, theme->accent);
    if (caption->damaged)
        add_row(p,
                "\xe2\x9a\xa0 This frame is damaged in the clip: parts of the picture may be "
                "wrong or missing.",
                0.7 * em, true, theme->warn);
}

static void add_foot(page *p, const sp_caption *caption, const sp_theme *theme, double em) {
    add_findings(p, caption, em, theme->text);
    if (caption->also != NULL) add_row(p, caption->also, 0.7 * em, false, theme->faint);
    if (caption->numbers)
        add_row(p,
                caption->projected ? SP_OVERLAY_PROJECTED_SIGN
                    " as this camera sees it  \xc2\xb7  (a to b): 95 % interval"
                                   : "(a to b): 95 % interval",
                0.7 * em, false, theme->faint);
    add_cautions(p, caption, em, theme->faint);
}

static page page_of(const sp_caption *caption, const sp_theme *theme, double width, double em) {
    page p = {.width = width - 2.0 * PAD * em};
    if (caption->part != SP_CAPTION_FOOT) add_head(&p, caption, theme, em);
    if (caption->part != SP_CAPTION_HEAD) add_foot(&p, caption, theme, em);
    return p;
}

double sp_caption_height(sp_paint *paint, const sp_caption *caption, const sp_theme *theme,
                         double width, double em) {
    const page p = page_of(caption, theme, width, em);
    double height = 2.0 * PAD * em;
    for (int i = 0; i < p.count; i++)
        height += sp_paint_text_size(paint, &p.rows[i].style, p.rows[i].text).height +
                  (i > 0 ? LINE_GAP * em : 0.0);
    return height;
}

void sp_caption_draw(sp_paint *paint, const sp_caption *caption, const sp_theme *theme,
                     sp_rect band, double em) {
    const page p = page_of(caption, theme, band.width, em);
    sp_paint_fill_rect(paint, band, 0.0, theme->sheet);
    sp_point at = {band.x + PAD * em, band.y + PAD * em};
    for (int i = 0; i < p.count; i++)
        at.y += sp_paint_text(paint, &p.rows[i].style, at, p.rows[i].text).height + LINE_GAP * em;
}

char *sp_caption_detach_text(const sp_caption *caption) {
    const page p = page_of(caption, sp_theme_dark(), 1.0, 1.0);
    sp_text text = {0};
    for (int i = 0; i < p.count; i++) sp_text_format(&text, "%s\n", p.rows[i].text);
    return sp_text_detach(&text);
}
