#include "window/canvas.h"

#include <math.h>
#include <stdio.h>

#include "serveplumb/overlay.h"
#include "window/state.h"

static sp_point to_units(const window *w, sp_point upright) {
    const sp_point at = placement_to_window(&w->placement, upright);
    return (sp_point){(at.x - w->layout.canvas.x) / w->layout.density,
                      (at.y - w->layout.canvas.y) / w->layout.density};
}

static sp_rect canvas_area(const window *w) {
    return (sp_rect){0, 0, w->layout.canvas.w / w->layout.density,
                     w->layout.canvas.h / w->layout.density};
}

/* Labels would lie in the way of the next tap. */
static bool aiming(const window *w) {
    const pointer *p = &w->pointer;
    return tool_armed(w) && (p->inside || p->keys || p->drag == DRAG_TAP);
}

/* Legible at arm's length, and not so large that a big window is full of labels. */
static double label_size(const window *w) {
    const sp_rect area = canvas_area(w);
    return fmax(w->theme->text_px, fmin(0.032 * fmin(area.width, area.height), 22));
}

static void paint_review(const window *w, sp_paint *paint) {
    const sp_point origin = to_units(w, (sp_point){0, 0});
    sp_overlay_ink inks[SP_TALK_MARKS_MAX + 1];
    size_t ink_count = talking_inks(w, inks);
    ink_count += pen_shows(w, &inks[ink_count]);
    const sp_overlay overlay = {.review = w->session.review,
                                .readout = w->session.readout,
                                .theme = w->theme,
                                .units = w->units,
                                .frame = w->frames.number,
                                .origin_x = origin.x,
                                .origin_y = origin.y,
                                .zoom = w->placement.zoom / w->layout.density,
                                .area = canvas_area(w),
                                .text = label_size(w),
                                .selected = w->tool.selected,
                                .numbers = !aiming(w),
                                .scale_bar = true,
                                .scale_taps = true,
                                .ink = inks,
                                .ink_count = ink_count,
                                .only_ink = w->plain};
    sp_overlay_draw(paint, &overlay);
}

/* A hand may be replaced by its wrist. */
static bool mark_of(const window *w, sp_point_name point, sp_point *at) {
    const sp_review *review = w->session.review;
    sp_mark mark;
    const int frame = w->frames.number;
    if (!sp_review_mark(review, frame, point, &mark)) {
        const bool left = point == SP_POINT_LEFT_HAND;
        if (!left && point != SP_POINT_RIGHT_HAND) return false;
        const sp_point_name wrist = left ? SP_POINT_LEFT_WRIST : SP_POINT_RIGHT_WRIST;
        if (!sp_review_mark(review, frame, wrist, &mark)) return false;
    }
    *at = mark.at;
    return true;
}

/* The points of the measure that is read, on its frame. */
static void paint_lit(const window *w, sp_paint *paint) {
    if (w->sheet.measure < 0 || w->session.readout == NULL) return;
    const sp_measure *m = sp_readout_at(w->session.readout, (size_t)w->sheet.measure);
    const sp_hand hand = sp_review_get_player(w->session.review)->hand;
    if (m->frame != w->frames.number) return;
    for (int i = 0; i < m->kind->point_count; i++) {
        sp_point at;
        if (!mark_of(w, sp_point_for_hand(m->kind->points[i], hand), &at)) continue;
        sp_paint_ring(paint, to_units(w, at), 14, 6, w->theme->label_ground);
        sp_paint_ring(paint, to_units(w, at), 14, 3, w->theme->label_text);
    }
}

/* Two tones, so that it shows on any picture; open in the middle, so that it hides nothing. */
static void paint_cross(const window *w, sp_paint *paint, sp_point at, sp_color color) {
    for (int pass = 0; pass < 2; pass++) {
        const sp_color c = pass == 0 ? w->theme->label_ground : color;
        const double width = pass == 0 ? 4 : 1.6;
        for (int i = 0; i < 4; i++) {
            const double dx = i == 0 ? 1 : i == 1 ? -1 : 0, dy = i == 2 ? 1 : i == 3 ? -1 : 0;
            sp_paint_line(paint, (sp_point){at.x + 5 * dx, at.y + 5 * dy},
                          (sp_point){at.x + 15 * dx, at.y + 15 * dy}, width, c);
        }
    }
}

static void paint_two_taps(const window *w, sp_paint *paint) {
    if (!w->tool.half) return;
    const sp_point a = to_units(w, w->tool.first), b = to_units(w, w->pointer.cross);
    sp_paint_line(paint, a, b, 4, w->theme->label_ground);
    sp_paint_dashed_line(paint, a, b, 1.6, 6, 4, w->theme->scale);
    paint_cross(w, paint, a, w->theme->scale);
}

static void paint_notice(const window *w, sp_paint *paint, const char *text, double y) {
    const sp_rect area = canvas_area(w);
    const double width = fmin(area.width - 48, 640);
    const sp_text_style style = {.size = w->theme->text_px,
                                 .color = w->theme->text,
                                 .align = SP_ALIGN_CENTER,
                                 .max_width = width - 32,
                                 .wrap = true};
    const sp_size size = sp_paint_text_size(paint, &style, text);
    const sp_rect box = {(area.width - width) / 2, y, width, size.height + 20};
    sp_paint_fill_rect(paint, box, 8, w->theme->sheet);
    sp_paint_stroke_rect(paint, box, 8, 1, w->theme->warn);
    sp_paint_text(paint, &style, (sp_point){box.x + 16, box.y + 10}, text);
}

static void paint_notices(const window *w, sp_paint *paint) {
    char text[800];
    if (w->frames.failed[0] != '\0') {
        snprintf(text, sizeof text, "No picture: %s%s", w->frames.failed,
                 w->frames.ended ? " (F5)" : "");
        paint_notice(w, paint, text, canvas_area(w).height / 2 - 30);
    } else if (w->frames.damaged) {
        snprintf(text, sizeof text,
                 "Frame %d is damaged in the file: do not trust what you see here.",
                 w->frames.number);
        paint_notice(w, paint, text, 12);
    } else if (w->session.closed[0] != '\0') {
        paint_notice(w, paint, w->session.closed, 12);
    }
}

/* A small word at the foot of the picture, where it hides nothing that is looked at. */
static void paint_reduced(const window *w, sp_paint *paint) {
    if (!w->frames.reduced || w->frames.failed[0] != '\0') return;
    const sp_rect area = canvas_area(w);
    const sp_text_style style = {.size = w->theme->small_px, .color = w->theme->label_text};
    const char *text = "reduced resolution";
    const sp_size size = sp_paint_text_size(paint, &style, text);
    const sp_rect box = {(area.width - size.width) / 2 - 8, area.height - size.height - 12,
                         size.width + 16, size.height + 6};
    sp_paint_fill_rect(paint, box, 5, w->theme->label_ground);
    sp_paint_text(paint, &style, (sp_point){box.x + 8, box.y + 3}, text);
}

/* Nothing is open yet: a place to drop a clip on, and the other ways to open one. */
static void paint_welcome(const window *w, sp_paint *paint) {
    const sp_rect area = canvas_area(w);
    const double width = fmin(area.width - 64, 560), height = 200;
    const sp_rect box = {(area.width - width) / 2, (area.height - height) / 2, width, height};
    const sp_theme *t = w->theme;
    for (int i = 0; i < 4; i++) {
        const sp_point corner[] = {{box.x, box.y},
                                   {box.x + width, box.y},
                                   {box.x + width, box.y + height},
                                   {box.x, box.y + height}};
        sp_paint_dashed_line(paint, corner[i], corner[(i + 1) % 4], 2, 10, 8, t->faint);
    }
    sp_text_style style = {.size = 1.4 * t->title_px,
                           .bold = true,
                           .color = t->text,
                           .align = SP_ALIGN_CENTER,
                           .max_width = width};
    sp_paint_text(paint, &style, (sp_point){box.x, box.y + 58}, "Drop a clip here");
    style.size = t->text_px;
    style.bold = false;
    sp_paint_text(paint, &style, (sp_point){box.x, box.y + 112},
                  "or a review: its name ends in .review.json");
    style.color = t->faint;
    sp_paint_text(paint, &style, (sp_point){box.x, box.y + 138},
                  "Ctrl O types where it is; F1 shows all keys");
}

/* While the court is worked on; it would lie in the way of all else. */
static bool shows_court(const window *w) {
    if (w->plain || w->court.entry.id[0] == '\0') return false;
    return w->tool.kind == TOOL_LANDMARK || w->card.kind == CARD_COURT ||
           sheet_is_open(w, SECTION_SCALE);
}

bool canvas_paint(window *w, sp_error *error) {
    sp_paint *paint =
        pane_begin(&w->overlay_pane, w->layout.canvas, w->layout.density, true, error);
    if (paint == NULL) return false;
    if (window_is_open(w)) {
        paint_review(w, paint);
        paint_lit(w, paint);
        if (shows_court(w)) court_paint(w, paint, to_units);
        paint_two_taps(w, paint);
        const pointer *p = &w->pointer;
        const bool held = p->drag == DRAG_TAP || (p->drag == DRAG_HOLD && p->moved);
        if (held || (p->keys && w->tool.selected < 0))
            paint_cross(w, paint, to_units(w, p->cross), w->theme->label_text);
        paint_notices(w, paint);
        paint_reduced(w, paint);
    } else {
        paint_welcome(w, paint);
    }
    return pane_end(&w->overlay_pane, w->renderer, error);
}

void canvas_show(window *w) {
    const double pixel = w->placement.zoom / w->layout.density;
    if (window_is_open(w)) frames_show(w, w->layout.canvas, &w->placement, pixel >= FRAMES_SQUARES);
    beside_show_picture(w);
    pane_show(&w->overlay_pane, w->renderer);
}
