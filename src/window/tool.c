#include "window/tool.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "serveplumb/plumb.h"
#include "window/actions.h"
#include "window/state.h"
#include "window/steps.h"

void tool_leave(window *w) {
    w->tool.kind = TOOL_POINTS;
    w->tool.half = false;
    window_touch(w, PART_OVERLAY | PART_SHEET | PART_LOUPE);
}

void tool_begin(window *w, tool_kind kind) {
    play_stop(w);
    w->tool.kind = kind;
    w->tool.half = false;
    w->tool.selected = -1;
    window_touch(w, PART_OVERLAY | PART_SHEET | PART_LOUPE);
}

bool tool_due(const window *w, sp_point_name *point) {
    if (!window_is_open(w)) return false;
    if (w->tool.kind == TOOL_POINT || w->tool.kind == TOOL_ALONG) {
        *point = w->tool.point;
        return true;
    }
    if (again_is_on(w)) return w->tool.kind == TOOL_POINTS && again_due_here(w, point);
    if (w->tool.kind != TOOL_POINTS || (first_walk_is_on(w) && !first_walk_taps(w))) return false;
    const step next = step_next(&w->session, w->frames.number);
    *point = next.point;
    return next.kind == STEP_POINT;
}

static bool takes_two(const window *w) {
    return w->tool.kind == TOOL_SCALE || w->tool.kind == TOOL_LEVEL || w->tool.kind == TOOL_HANG;
}

bool tool_armed(const window *w) {
    sp_point_name point;
    return window_is_open(w) && !w->play.on && w->session.closed[0] == '\0' &&
           w->frames.failed[0] == '\0' &&
           (takes_two(w) || w->tool.kind == TOOL_LANDMARK || tool_due(w, &point));
}

static void tap_point(window *w, sp_point_name point, sp_point at) {
    const bool along = w->tool.kind == TOOL_ALONG;
    edit_mark(w, w->frames.number, point, at);
    if (along && w->frames.number + 1 < w->session.times.count)
        frames_go(w, w->frames.number + 1);
    else if (w->tool.kind != TOOL_POINTS)
        tool_leave(w);
}

static void set_plumb(window *w, sp_point at) {
    sp_error error = {0};
    sp_review *review = w->session.review;
    const double sd = sp_review_get_points_sd(review);
    const bool hang = w->tool.kind == TOOL_HANG;
    sp_plumb plumb;
    const bool good = hang ? sp_plumb_from_hang(w->tool.first, at, sd, &plumb)
                           : sp_plumb_from_level(w->tool.first, at, sd, &plumb);
    if (!good) return;
    const sp_plumb_entry entry = {.method = hang ? SP_PLUMB_HANG : SP_PLUMB_LEVEL,
                                  .angle_deg = plumb.angle_deg,
                                  .frame = w->tool.frame,
                                  .a = w->tool.first,
                                  .b = at};
    if (edit_end(w, sp_review_set_plumb(review, &entry, &error), &error) && w->session.written)
        message_say(w, "Plumb set: it leans %.1f\u00b0 (\u00b1 %.1f\u00b0) in this picture.",
                    plumb.angle_deg, 1.96 * plumb.sd_deg);
}

/* Two taps nearer than this are a slip, not a length. */
#define SLIP_PX 4.0

static void tap_two(window *w, sp_point at) {
    if (!w->tool.half) {
        w->tool.half = true;
        w->tool.first = at;
        w->tool.frame = w->frames.number;
        window_touch(w, PART_OVERLAY | PART_SHEET);
        return;
    }
    if (sp_point_distance(w->tool.first, at) < SLIP_PX) {
        message_say(w, "The two taps are on one place: tap the other end.");
        return;
    }
    if (!edit_allowed(w)) return;
    if (w->tool.kind == TOOL_SCALE)
        scales_add(w, at);
    else
        set_plumb(w, at);
    tool_leave(w);
}

void tool_tap(window *w, sp_point at) {
    sp_point_name point;
    if (!window_is_open(w)) return;
    if (takes_two(w))
        tap_two(w, at);
    else if (w->tool.kind == TOOL_LANDMARK)
        court_tap(w, at);
    else if (tool_due(w, &point))
        tap_point(w, point, at);
}

static void two_words(const window *w, char *title, size_t title_size, char *hint,
                      size_t hint_size) {
    const char *which = w->tool.half ? "second" : "first";
    if (w->tool.kind == TOOL_SCALE) {
        snprintf(title, title_size, "Tap the %s end", which);
        snprintf(hint, hint_size, "%.3f m: %s. %s", w->tool.distance_m, w->tool.distance_name,
                 w->tool.edges);
    } else {
        snprintf(title, title_size, "Tap the %s point", which);
        snprintf(hint, hint_size, "%s",
                 w->tool.kind == TOOL_LEVEL
                     ? "Two points far apart on something level that runs straight across the "
                       "picture, such as the top of a fence."
                     : "Two points far apart on something upright, such as a fence post.");
    }
}

void tool_words(const window *w, char *title, size_t title_size, char *hint, size_t hint_size) {
    title[0] = hint[0] = '\0';
    if (talking_is_on(w)) {
        talking_words(w, title, title_size, hint, hint_size);
    } else if (w->tool.kind == TOOL_INK) {
        pen_words(w, title, title_size, hint, hint_size);
    } else if (takes_two(w)) {
        two_words(w, title, title_size, hint, hint_size);
    } else if (w->tool.kind == TOOL_LANDMARK) {
        const sp_landmark *landmark = sp_landmark_at((size_t)w->tool.landmark);
        snprintf(title, title_size, "Tap the landmark");
        snprintf(hint, hint_size, "The %s: %s.", landmark->name, landmark->edge);
    } else if (w->tool.kind == TOOL_POINT || w->tool.kind == TOOL_ALONG) {
        snprintf(title, title_size, "Tap the %s", sp_point_title(w->tool.point));
        snprintf(hint, hint_size, "%s.%s", sp_point_hint(w->tool.point),
                 w->tool.kind == TOOL_ALONG ? " After each tap comes the next frame." : "");
        if (hint[0] >= 'a' && hint[0] <= 'z') hint[0] = (char)(hint[0] - 'a' + 'A');
    }
}
