#include "window/message.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#include "base/text.h"
#include "window/state.h"

#define SHOWN_MS 6000

void message_say(window *w, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(w->message.text, sizeof w->message.text, format, arguments);
    va_end(arguments);
    w->message.problem = false;
    w->message.ends = SDL_GetTicks64() + SHOWN_MS;
    window_touch(w, PART_MESSAGE);
}

void message_problem(window *w, const sp_error *error) {
    sp_text_copy(w->message.text, sizeof w->message.text, error->message);
    w->message.problem = true;
    w->message.ends = 0;
    window_touch(w, PART_MESSAGE);
}

void message_dismiss(window *w) {
    if (w->message.text[0] == '\0') return;
    w->message.text[0] = '\0';
    window_touch(w, PART_MESSAGE);
}

int message_update(window *w) {
    if (w->message.text[0] == '\0' || w->message.problem) return -1;
    const uint64_t now = SDL_GetTicks64();
    if (now < w->message.ends) return (int)(w->message.ends - now);
    message_dismiss(w);
    return -1;
}

/* The line is as wide as its words, up to the canvas; long ones wrap. */
static SDL_Rect place(const window *w, sp_size text) {
    const SDL_Rect c = w->layout.canvas;
    const double d = w->layout.density;
    const int width = (int)((text.width + 56) * d), height = (int)((text.height + 24) * d);
    return (SDL_Rect){c.x + (c.w - width) / 2, c.y + c.h - height - (int)(14 * d), width, height};
}

static void paint_sign(sp_paint *paint, const sp_theme *theme, bool problem, double y) {
    const sp_point middle = {22, y};
    if (problem) {
        const sp_point triangle[] = {{22, y - 8}, {31, y + 7}, {13, y + 7}};
        sp_paint_polygon(paint, triangle, 3, theme->warn);
        sp_paint_line(paint, (sp_point){22, y - 3}, (sp_point){22, y + 2}, 2, theme->sheet);
        sp_paint_disc(paint, (sp_point){22, y + 4.6}, 1.2, theme->sheet);
    } else {
        sp_paint_ring(paint, middle, 7.5, 1.6, theme->done);
        sp_paint_line(paint, (sp_point){22, y - 0.5}, (sp_point){22, y + 4}, 2, theme->done);
        sp_paint_disc(paint, (sp_point){22, y - 3.6}, 1.3, theme->done);
    }
}

bool message_paint(window *w, sp_error *error) {
    message *m = &w->message;
    if (m->text[0] == '\0') {
        pane_free(&m->pane);
        return true;
    }
    const double widest = fmin(w->layout.canvas.w / w->layout.density - 90, 720);
    sp_text_style style = {
        .size = w->theme->text_px, .color = w->theme->text, .max_width = widest, .wrap = true};
    /* Measured on the pane as it is, painted on the pane as it has to be. */
    sp_paint *paint = pane_begin(&m->pane, (SDL_Rect){0, 0, 8, 8}, w->layout.density, true, error);
    if (paint == NULL) return false;
    const sp_size size = sp_paint_text_size(paint, &style, m->text);
    const SDL_Rect at = place(w, size);
    paint = pane_begin(&m->pane, at, w->layout.density, true, error);
    if (paint == NULL) return false;
    const sp_rect box = {0.5, 0.5, at.w / w->layout.density - 1, at.h / w->layout.density - 1};
    sp_paint_fill_rect(paint, box, 8, w->theme->sheet);
    sp_paint_stroke_rect(paint, box, 8, 1, m->problem ? w->theme->warn : w->theme->edge);
    paint_sign(paint, w->theme, m->problem, box.height / 2);
    sp_paint_text(paint, &style, (sp_point){42, 12}, m->text);
    return pane_end(&m->pane, w->renderer, error);
}
