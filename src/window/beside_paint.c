#include <math.h>
#include <stdio.h>

#include "serveplumb/overlay.h"
#include "window/actions.h"
#include "window/brush.h"
#include "window/state.h"

/* Units. */
#define WORDS 30.0
#define BUTTON 44.0
#define GAP 4.0

#define OVER_SHARE 128 /* of 255: what the other covers when it lies over the clip */

/* --- words ------------------------------------------------------------------------------------ */

/* What a coach reads off: which frame, when in real time, and how far from the moment. */
static void caption(const window *w, const session *s, int frame, const char *where, char *text,
                    size_t size) {
    const beside *b = &w->beside;
    const double slowdown = sp_review_get_clip(s->review)->slowdown;
    int used = snprintf(text, size, "%s \u00b7 frame %d \u00b7 %s%.3f s", where, frame,
                        slowdown == 1 ? "" : "real ", session_time_s(s, frame));
    if (b->moment[0] == '\0' || used < 0 || (size_t)used >= size) return;
    const int at = sp_review_moment_frame(s->review, b->moment);
    const double from = session_time_s(s, frame) - session_time_s(s, at);
    snprintf(text + used, size - (size_t)used, " \u00b7 %s %s%.3f s", b->moment,
             from < 0 ? "\u2212" : "+", fabs(from));
}

static const char *name_of(const window *w, bool other) {
    const beside *b = &w->beside;
    if (b->kind == BESIDE_OVER) return other ? "over" : "under";
    if (b->stacked) return other ? "below" : "above";
    return other ? "right" : "left";
}

static void paint_captions(const brush *b, const window *w, double width) {
    char text[160];
    words how = brush_body(b);
    how.digits = true;
    const double half = width / 2;
    caption(w, &w->session, w->frames.number, name_of(w, false), text, sizeof text);
    brush_line(b, how, 10, WORDS / 2 + 1, half - 16, text);
    caption(w, &w->beside.other, w->beside.frames.number, name_of(w, true), text, sizeof text);
    brush_line(b, how, half + 10, WORDS / 2 + 1, half - 16, text);
}

/* --- buttons ---------------------------------------------------------------------------------- */

static void paint_step(const brush *b, double x, int by) {
    const sp_rect r = {x, WORDS + 2, BUTTON, BUTTON};
    brush_button(b, r, false, act_other_step, by);
    const double mx = x + BUTTON / 2, my = r.y + BUTTON / 2;
    const sp_point p[] = {{mx - 3 * by, my - 7}, {mx + 8 * by, my}, {mx - 3 * by, my + 7}};
    sp_paint_polygon(b->paint, p, 3, b->theme->text);
    sp_paint_fill_rect(b->paint, (sp_rect){mx - 6 * by - 1.25, my - 7, 2.5, 14}, 0, b->theme->text);
}

static double worded_width(const brush *b, const char *text) {
    return fmax(BUTTON, ceil(brush_size(b, brush_body(b), 0, text).width) + 20);
}

static void paint_worded(const brush *b, double x, double width, const char *text, action *act) {
    const sp_rect r = {x, WORDS + 2, width, BUTTON};
    brush_button(b, r, false, act, 0);
    words middle = brush_body(b);
    middle.align = SP_ALIGN_CENTER;
    brush_line(b, middle, x, r.y + BUTTON / 2, width, text);
}

/* From the right; what has no room is left out, last first: all have keys. */
static void paint_buttons(const brush *b, const window *w, double width) {
    const beside *s = &w->beside;
    char lock[64] = "locked as they stand";
    if (s->moment[0] != '\0') snprintf(lock, sizeof lock, "locked at %.40s", s->moment);
    const struct {
        const char *text;
        action *act;
    } buttons[] = {{"close", act_end_compare},
                   {s->kind == BESIDE_OVER ? "beside" : "over each other", act_over},
                   {lock, act_lock},
                   {"swap", act_swap},
                   {"another", act_compare}};
    paint_step(b, GAP, -1);
    paint_step(b, 2 * GAP + BUTTON, 1);
    const double left = 3 * GAP + 2 * BUTTON;
    brush_line(b, brush_faint(b), left + 4, WORDS + 2 + BUTTON / 2, 60, "other");
    double right = width - GAP;
    for (size_t i = 0; i < sizeof buttons / sizeof buttons[0]; i++) {
        const double wide = worded_width(b, buttons[i].text);
        if (right - wide < left + (i < 3 ? 0 : 60)) return;
        paint_worded(b, right - wide, wide, buttons[i].text, buttons[i].act);
        right -= wide + GAP;
    }
}

static bool paint_foot(window *w, sp_error *error) {
    beside *s = &w->beside;
    sp_paint *paint = pane_begin(&s->foot, s->below, w->layout.density, false, error);
    if (paint == NULL) return false;
    const double width = s->below.w / w->layout.density;
    const brush b = {.paint = paint, .theme = w->theme, .spots = &s->spots};
    s->spots.count = 0;
    sp_paint_clear(paint, w->theme->sheet);
    sp_paint_line(paint, (sp_point){0, 0.5}, (sp_point){width, 0.5}, 1, w->theme->edge);
    paint_buttons(&b, w, width);
    paint_captions(&b, w, width);
    return pane_end(&s->foot, w->renderer, error);
}

/* --- the picture ------------------------------------------------------------------------------ */

static void paint_name(const window *w, sp_paint *paint, const char *text) {
    const sp_text_style style = {.size = w->theme->small_px, .color = w->theme->label_text};
    const sp_size size = sp_paint_text_size(paint, &style, text);
    const sp_rect box = {8, 8, size.width + 16, size.height + 6};
    sp_paint_fill_rect(paint, box, 5, w->theme->label_ground);
    sp_paint_text(paint, &style, (sp_point){box.x + 8, box.y + 3}, text);
}

static void paint_review(const window *w, sp_paint *paint) {
    const beside *b = &w->beside;
    const double d = w->layout.density;
    const sp_overlay overlay = {.review = b->other.review,
                                .readout = b->other.readout,
                                .theme = w->theme,
                                .units = w->units,
                                .frame = b->frames.number,
                                .origin_x = (b->placement.x - b->place.x) / d,
                                .origin_y = (b->placement.y - b->place.y) / d,
                                .zoom = b->placement.zoom / d,
                                .area = {0, 0, b->place.w / d, b->place.h / d},
                                .text = w->theme->text_px,
                                .selected = -1,
                                .numbers = true,
                                .scale_bar = true};
    sp_overlay_draw(paint, &overlay);
}

static bool paint_overlay(window *w, sp_error *error) {
    beside *b = &w->beside;
    const double d = w->layout.density;
    sp_paint *paint = pane_begin(&b->overlay, b->place, d, true, error);
    if (paint == NULL) return false;
    if (b->kind == BESIDE_APART && !w->plain) paint_review(w, paint);
    if (b->kind == BESIDE_APART && b->frames.shown) {
        char text[400];
        snprintf(text, sizeof text, "%.200s%s", session_name(b->other.clip_path),
                 b->frames.failed[0] != '\0' ? " \u00b7 no picture"
                 : b->frames.damaged         ? " \u00b7 damaged frame"
                 : b->frames.reduced         ? " \u00b7 reduced resolution"
                                             : "");
        paint_name(w, paint, text);
        sp_paint_line(
            paint, (sp_point){0.5, 0},
            (sp_point){b->stacked ? b->place.w / d : 0.5, b->stacked ? 0 : b->place.h / d}, 1,
            w->theme->edge);
    }
    return pane_end(&b->overlay, w->renderer, error);
}

bool beside_paint(window *w, sp_error *error) {
    return !beside_is_open(w) || (paint_overlay(w, error) && paint_foot(w, error));
}

/* Where the other lies when it lies over the clip. */
static placement over(const window *w) {
    const pairing_fit *fit = &w->beside.fit;
    const sp_point corner = placement_to_window(&w->placement, fit->at);
    return (placement){.zoom = w->placement.zoom * fit->zoom, .x = corner.x, .y = corner.y};
}

void beside_show_picture(window *w) {
    const beside *b = &w->beside;
    if (!beside_is_open(w) || b->frames.plate.texture == NULL || b->frames.failed[0] != '\0')
        return;
    const bool lies_over = b->kind == BESIDE_OVER;
    const placement p = lies_over ? over(w) : b->placement;
    SDL_SetTextureBlendMode(b->frames.plate.texture,
                            lies_over ? SDL_BLENDMODE_BLEND : SDL_BLENDMODE_NONE);
    SDL_SetTextureAlphaMod(b->frames.plate.texture, lies_over ? OVER_SHARE : 255);
    plate_show(&b->frames.plate, w->renderer, b->other.facts, b->place, &p,
               p.zoom / w->layout.density >= FRAMES_SQUARES);
}

void beside_show_rest(window *w) {
    const beside *b = &w->beside;
    if (!beside_is_open(w)) return;
    if (b->kind == BESIDE_APART) pane_show(&b->overlay, w->renderer);
    pane_show(&b->foot, w->renderer);
}
