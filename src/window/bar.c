#include <math.h>
#include <stdio.h>

#include "window/actions.h"
#include "window/brush.h"
#include "window/canvas.h"
#include "window/state.h"

/* Units. */
#define HEIGHT 48.0
#define BUTTON 44.0
#define GAP 4.0
#define EDGE 2.0 /* over and under a button */

/* Play, stop and step as on any recorder (IEC 60417, 5107 and following). */
typedef enum { ICON_BEFORE, ICON_BACK, ICON_PLAY, ICON_ON, ICON_NEXT } icon;

static void triangle(const brush *b, double x, double y, double toward) {
    const sp_point p[] = {{x - 5 * toward, y - 7}, {x + 6 * toward, y}, {x - 5 * toward, y + 7}};
    sp_paint_polygon(b->paint, p, 3, b->theme->text);
}

static void stroke(const brush *b, double x, double y) {
    sp_paint_fill_rect(b->paint, (sp_rect){x - 1.25, y - 7, 2.5, 14}, 0, b->theme->text);
}

static void paint_icon(const brush *b, icon which, bool playing, double x, double y) {
    switch (which) {
    case ICON_BEFORE:
        stroke(b, x - 9, y);
        triangle(b, x - 1, y, -1);
        triangle(b, x + 9, y, -1);
        break;
    case ICON_BACK:
        triangle(b, x - 2, y, -1);
        stroke(b, x + 7, y);
        break;
    case ICON_PLAY:
        if (!playing) {
            triangle(b, x, y, 1);
        } else {
            sp_paint_fill_rect(b->paint, (sp_rect){x - 6, y - 7, 4, 14}, 0, b->theme->text);
            sp_paint_fill_rect(b->paint, (sp_rect){x + 2, y - 7, 4, 14}, 0, b->theme->text);
        }
        break;
    case ICON_ON:
        stroke(b, x - 7, y);
        triangle(b, x + 2, y, 1);
        break;
    case ICON_NEXT:
        triangle(b, x - 9, y, 1);
        triangle(b, x + 1, y, 1);
        stroke(b, x + 9, y);
        break;
    }
}

static double paint_steps(const brush *b, const window *w) {
    static const struct {
        action *act;
        icon icon;
        int argument;
    } buttons[] = {{act_moment_step, ICON_BEFORE, -1},
                   {act_step, ICON_BACK, -1},
                   {act_play, ICON_PLAY, 0},
                   {act_step, ICON_ON, 1},
                   {act_moment_step, ICON_NEXT, 1}};
    double x = GAP;
    for (size_t i = 0; i < sizeof buttons / sizeof buttons[0]; i++) {
        const sp_rect r = {x, EDGE, BUTTON, HEIGHT - 2 * EDGE};
        brush_button(b, r, false, buttons[i].act, buttons[i].argument);
        paint_icon(b, buttons[i].icon, w->play.on, x + BUTTON / 2, HEIGHT / 2);
        x += BUTTON + GAP;
    }
    return x;
}

static double word_width(const brush *b, const char *text) {
    return fmax(ceil(brush_size(b, brush_body(b), 0, text).width) + 20, BUTTON);
}

/* From the right edge: one worded button; the place where it starts. */
static double worded(const brush *b, double right, const char *text, action *act, int argument) {
    const double width = word_width(b, text);
    const sp_rect r = {right - width, EDGE, width, HEIGHT - 2 * EDGE};
    brush_button(b, r, false, act, argument);
    words middle = brush_body(b);
    middle.align = SP_ALIGN_CENTER;
    brush_line(b, middle, r.x, HEIGHT / 2, width, text);
    return r.x - GAP;
}

typedef struct {
    char number[48], time[96], all[160]; /* `all`: as much as there is to say */
} frame_text;

static frame_text frame_words(const window *w) {
    const session *s = &w->session;
    const int n = w->frames.number;
    const double slowdown = sp_review_get_clip(s->review)->slowdown;
    frame_text t;
    snprintf(t.number, sizeof t.number, "frame %d", n);
    snprintf(t.time, sizeof t.time, slowdown == 1 ? "%.3f s" : "real %.3f s", session_time_s(s, n));
    const int used =
        snprintf(t.all, sizeof t.all, "of 0\u2013%d \u00b7 %s", s->times.count - 1, t.time);
    if (slowdown != 1 && used > 0 && (size_t)used < sizeof t.all)
        snprintf(t.all + used, sizeof t.all - (size_t)used, " \u00b7 slowdown %g", slowdown);
    return t;
}

static words time_words(const brush *b) {
    words small = brush_faint(b);
    small.digits = true;
    return small;
}

static words number_words(const brush *b) {
    words strong = brush_body(b);
    strong.bold = strong.digits = true;
    strong.size = b->theme->title_px;
    return strong;
}

/* The last number of the clip sets the width, so that nothing jumps while playing. */
static double number_width(const brush *b, const window *w) {
    char widest[48];
    snprintf(widest, sizeof widest, "frame %d", w->session.times.count - 1);
    return ceil(brush_size(b, number_words(b), 0, widest).width) + 12;
}

static void paint_frame(const brush *b, const window *w, double x, double right) {
    const frame_text t = frame_words(w);
    const double first = number_width(b, w), room = right - x - first;
    const bool whole = brush_size(b, time_words(b), 0, t.all).width <= room;
    if (brush_size(b, time_words(b), 0, t.time).width > room) { /* one under the other */
        brush_line(b, number_words(b), x, HEIGHT / 2 - 8, 0, t.number);
        brush_line(b, time_words(b), x, HEIGHT / 2 + 13, 0, t.time);
        return;
    }
    brush_line(b, number_words(b), x, HEIGHT / 2, first, t.number);
    brush_line(b, time_words(b), x + first, HEIGHT / 2 + 1, room, whole ? t.all : t.time);
}

static double paint_unwritten(const brush *b, double end) {
    const char *text = "not on disk";
    end -= brush_size(b, brush_body(b), 0, text).width + 8;
    brush_line(b, brush_body(b), end, HEIGHT / 2, 0, text);
    brush_sign(b, SIGN_WARN, end - 16, HEIGHT / 2);
    return end - 30;
}

enum { BUTTON_KEYS, BUTTON_REDO, BUTTON_UNDO, BUTTON_SPEED, BUTTONS };

/* Bits of those that fit into `room`. All have keys; who has none needs the first of these most. */
static unsigned buttons_that_fit(const brush *b, const char *const texts[BUTTONS], double room) {
    static const int order[BUTTONS] = {BUTTON_KEYS, BUTTON_UNDO, BUTTON_REDO, BUTTON_SPEED};
    unsigned fit = 0;
    for (int i = 0; i < BUTTONS; i++) {
        room -= word_width(b, texts[order[i]]) + GAP;
        if (room >= 0) fit |= 1u << order[i];
    }
    return fit;
}

/* The number and the time of the frame always have their place; where it is narrow the one stands
 * under the other. */
static void paint_all(const brush *b, const window *w, double right) {
    const int slower = w->play.speed + 1 < PLAY_SPEEDS ? -1 : PLAY_SPEEDS;
    const char *const texts[BUTTONS] = {"keys", "redo", "undo", play_speed_text(w->play.speed)};
    action *const acts[BUTTONS] = {act_keys, act_redo, act_undo, act_speed};
    const int arguments[BUTTONS] = {0, 0, 0, slower};
    const double left = paint_steps(b, w) + 10;
    const double number = number_width(b, w);
    const double time = brush_size(b, time_words(b), 0, frame_words(w).time).width;
    double end = right - GAP;
    if (!w->session.written) end = paint_unwritten(b, end);
    unsigned fit = buttons_that_fit(b, texts, end - left - number - time - 12);
    if (fit != (1u << BUTTONS) - 1)
        fit = buttons_that_fit(b, texts, end - left - fmax(number, time) - 12);
    for (int i = 0; i < BUTTONS; i++)
        if ((fit >> i & 1) != 0) end = worded(b, end, texts[i], acts[i], arguments[i]);
    paint_frame(b, w, left, end - 8);
}

bool bar_paint(window *w, sp_error *error) {
    sp_paint *paint = pane_begin(&w->bar_pane, w->layout.bar, w->layout.density, false, error);
    if (paint == NULL) return false;
    const double width = w->layout.bar.w / w->layout.density;
    const brush b = {.paint = paint, .theme = w->theme, .spots = &w->bar_spots};
    w->bar_spots.count = 0;
    sp_paint_clear(paint, w->theme->sheet);
    sp_paint_line(paint, (sp_point){0, 0.5}, (sp_point){width, 0.5}, 1, w->theme->edge);
    if (window_is_open(w)) paint_all(&b, w, width);
    return pane_end(&w->bar_pane, w->renderer, error);
}
