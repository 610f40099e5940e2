#include <math.h>

#include "window/actions.h"
#include "window/state.h"

#define ZOOM_STEP 1.4142135623730951 /* two steps double the size */
#define TEXT_STEP 1.1

/* About the pointer where it is on the picture, else about the cross, else the middle. */
static sp_point zoom_center(const window *w) {
    const SDL_Rect c = w->layout.canvas;
    if (w->pointer.keys) return placement_to_window(&w->placement, w->pointer.cross);
    if (w->pointer.inside) return w->pointer.at;
    return (sp_point){c.x + c.w / 2.0, c.y + c.h / 2.0};
}

void act_zoom(window *w, int direction) {
    if (!window_is_open(w)) return;
    const double factor = direction > 0 ? ZOOM_STEP : 1 / ZOOM_STEP;
    w->placement = placement_zoom(w->placement, w->layout.canvas, w->session.facts->width,
                                  w->session.facts->height, factor, zoom_center(w));
    window_touch(w, PART_PICTURE | PART_OVERLAY);
}

void act_fit(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w)) return;
    w->placement = placement_fit(w->layout.canvas, w->layout.density, w->session.facts->width,
                                 w->session.facts->height);
    w->beside.placement.fitted = true;
    if (beside_is_open(w)) window_resize(w);
    window_touch(w, PART_PICTURE | PART_OVERLAY);
}

void act_plain(window *w, int unused) {
    (void)unused;
    w->plain = !w->plain;
    message_say(w, w->plain ? "The overlay is hidden; O shows it." : "The overlay is shown.");
    window_touch(w, PART_OVERLAY | PART_BESIDE);
}

void act_theme(window *w, int unused) {
    (void)unused;
    w->theme = w->theme == sp_theme_dark() ? sp_theme_light() : sp_theme_dark();
    choices_save(w);
    window_touch(w, PART_ALL);
}

void act_text_size(window *w, int direction) {
    const double factor = direction == 0 ? 1 : w->text_factor * pow(TEXT_STEP, direction);
    w->text_factor = fmax(1.0, fmin(2.0, factor)); /* never below the 13 px of the theme */
    choices_save(w);
    window_resize(w);
}

void act_units(window *w, int unused) {
    (void)unused;
    w->units = w->units == SP_UNITS_METRIC ? SP_UNITS_IMPERIAL : SP_UNITS_METRIC;
    findings_refresh(w);
    choices_save(w);
    window_touch(w, PART_SHEET | PART_OVERLAY);
}

void act_full_screen(window *w, int unused) {
    (void)unused;
    const bool full = (SDL_GetWindowFlags(w->handle) & SDL_WINDOW_FULLSCREEN_DESKTOP) ==
                      SDL_WINDOW_FULLSCREEN_DESKTOP;
    SDL_SetWindowFullscreen(w->handle, full ? 0 : SDL_WINDOW_FULLSCREEN_DESKTOP);
}

/* One thing at a time, the newest first. */
void act_escape(window *w, int unused) {
    (void)unused;
    if (w->pointer.drag != DRAG_NONE) {
        pointer_cancel(w);
    } else if (w->tool.half) {
        w->tool.half = false;
        window_touch(w, PART_OVERLAY | PART_SHEET);
    } else if (w->tool.kind != TOOL_POINTS) {
        tool_leave(w);
    } else if (first_walk_offered(w)) {
        first_walk_end(w);
        window_touch(w, PART_SHEET);
    } else if (w->sheet.focus_act != NULL) {
        w->sheet.focus_act = NULL;
        window_touch(w, PART_SHEET);
    } else if (w->tool.selected >= 0 || w->tool.end > 0 || w->pointer.keys) {
        w->tool.selected = -1;
        w->tool.end = 0;
        w->pointer.keys = false;
        window_touch(w, PART_OVERLAY | PART_SHEET | PART_LOUPE);
    } else {
        message_dismiss(w);
    }
}

void act_quit(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w) || w->session.written || w->leaving) {
        w->quit = true;
        return;
    }
    w->leaving = true;
    const sp_error warning = {
        .code = SP_ERROR_FILE,
        .message = "The last edits are not on disk and would be lost. Make the folder writable and "
                   "edit once more, or close again to leave them."};
    message_problem(w, &warning);
}
