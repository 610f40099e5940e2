#include <math.h>

#include "window/canvas.h"
#include "window/state.h"

/* Units. */
#define SIDE_LEAST 132.0
#define SIDE_MOST 220.0
#define FOOT 28.0
#define EDGE 2.0
#define AWAY 34.0
#define AWAY_FINGER 72.0

static bool on_picture(const window *w, sp_point at) {
    const sp_clip_facts *facts = w->session.facts;
    return at.x >= 0 && at.y >= 0 && at.x <= facts->width && at.y <= facts->height;
}

static bool wanted(const window *w) {
    const pointer *p = &w->pointer;
    if (!window_is_open(w) || card_is_up(w) || w->play.on || !on_picture(w, p->cross)) return false;
    if (p->drag == DRAG_TAP || p->drag == DRAG_HOLD) return true;
    if (p->drag != DRAG_NONE) return false;
    if (p->keys) return w->tool.selected >= 0 || w->tool.end > 0 || tool_armed(w);
    return p->inside && !p->finger && tool_armed(w);
}

/* A part of the canvas, so that it never takes most of it. */
static double side(const window *w) {
    const double least = SDL_min(w->layout.canvas.w, w->layout.canvas.h) / w->layout.density;
    return floor(fmax(SIDE_LEAST, fmin(SIDE_MOST, 0.27 * least)));
}

/* At the right and above where there is room, else on the other sides. */
static SDL_Rect place(const window *w) {
    const SDL_Rect c = w->layout.canvas;
    const double d = w->layout.density, away = (w->pointer.finger ? AWAY_FINGER : AWAY) * d;
    const sp_point at = placement_to_window(&w->placement, w->pointer.cross);
    const int width = (int)(side(w) * d), height = (int)((side(w) + FOOT) * d);
    SDL_Rect r = {(int)(at.x + away), (int)(at.y - away - height), width, height};
    if (r.x + r.w > c.x + c.w) r.x = (int)(at.x - away - width);
    if (r.y < c.y) r.y = (int)(at.y + away);
    r.x = SDL_clamp(r.x, c.x, SDL_max(c.x, c.x + c.w - r.w));
    r.y = SDL_clamp(r.y, c.y, SDL_max(c.y, c.y + c.h - r.h));
    return r;
}

static const char *title(const window *w) {
    sp_point_name point;
    if (w->pointer.drag == DRAG_HOLD) return hold_title(w->pointer.hold);
    if (w->pointer.drag == DRAG_NONE && w->pointer.keys && w->tool.selected >= 0)
        return sp_point_title((sp_point_name)w->tool.selected);
    if (w->pointer.drag == DRAG_NONE && w->pointer.keys && w->tool.end > 0)
        return hold_title(w->tool.end);
    if (tool_due(w, &point)) return sp_point_title(point);
    if (w->tool.kind == TOOL_LANDMARK) return "landmark";
    if (w->tool.kind == TOOL_SCALE) return w->tool.half ? "second end" : "first end";
    return w->tool.half ? "second point" : "first point";
}

static void paint_cross(const window *w, sp_paint *paint) {
    const double m = side(w) / 2, gap = 7;
    for (int pass = 0; pass < 2; pass++) {
        const sp_color c = pass == 0 ? w->theme->label_ground : w->theme->label_text;
        const double width = pass == 0 ? 3 : 1;
        sp_paint_line(paint, (sp_point){EDGE, m}, (sp_point){m - gap, m}, width, c);
        sp_paint_line(paint, (sp_point){m + gap, m}, (sp_point){side(w) - EDGE, m}, width, c);
        sp_paint_line(paint, (sp_point){m, EDGE}, (sp_point){m, m - gap}, width, c);
        sp_paint_line(paint, (sp_point){m, m + gap}, (sp_point){m, side(w) - EDGE}, width, c);
    }
    sp_paint_disc(paint, (sp_point){m, m}, 2.2, w->theme->label_ground);
    sp_paint_disc(paint, (sp_point){m, m}, 1.2, w->theme->label_text);
}

bool loupe_paint(window *w, sp_error *error) {
    if (!wanted(w)) return true;
    sp_paint *paint = pane_begin(&w->loupe_pane, place(w), w->layout.density, true, error);
    if (paint == NULL) return false;
    const sp_rect foot = {0, side(w), side(w), FOOT};
    sp_paint_fill_rect(paint, foot, 0, w->theme->sheet);
    const sp_text_style style = {.size = w->theme->text_px,
                                 .bold = true,
                                 .color = w->theme->text,
                                 .align = SP_ALIGN_CENTER,
                                 .max_width = side(w) - 16};
    sp_paint_text(paint, &style, (sp_point){8, side(w) + 4}, title(w));
    paint_cross(w, paint);
    const sp_rect edge = {EDGE / 2, EDGE / 2, side(w) - EDGE, side(w) + FOOT - EDGE};
    sp_paint_stroke_rect(paint, edge, 0, EDGE, w->theme->accent);
    return pane_end(&w->loupe_pane, w->renderer, error);
}

/* Four times what the canvas shows; never so little that pixels of the clip cannot be told. */
static double magnified(const window *w) {
    return fmax(4 * w->placement.zoom, 3 * w->layout.density);
}

void loupe_show(window *w) {
    if (!wanted(w) || w->loupe_pane.texture == NULL) return;
    const SDL_Rect at = place(w);
    const double d = w->layout.density, zoom = magnified(w), half = side(w) / 2 * d;
    const SDL_Rect patch = {at.x, at.y, (int)(side(w) * d), (int)(side(w) * d)};
    const placement p = {.zoom = zoom,
                         .x = at.x + half - w->pointer.cross.x * zoom,
                         .y = at.y + half - w->pointer.cross.y * zoom};
    const sp_color c = w->theme->room;
    SDL_SetRenderDrawColor(w->renderer, (Uint8)(c.r * 255), (Uint8)(c.g * 255), (Uint8)(c.b * 255),
                           255);
    SDL_RenderFillRect(w->renderer, &patch);
    frames_show(w, patch, &p, zoom / d >= FRAMES_SQUARES);
    w->loupe_pane.place = at;
    pane_show(&w->loupe_pane, w->renderer);
}
