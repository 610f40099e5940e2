#include "window/hold.h"

#include "serveplumb/plumb.h"
#include "window/actions.h"
#include "window/state.h"

/* Units: how near a press has to be to take hold of a point. Less while a tap is due: points lie
 * close to each other, and most drags there are taps that seek their place. */
static double reach(const window *w) {
    if (w->pointer.finger) return tool_armed(w) ? 14 : 24;
    return tool_armed(w) ? 6 : 12;
}

static bool scale_end(const window *w, bool second, sp_point *at) {
    const sp_scale_entry *scale = sp_review_active_scale(w->session.review);
    if (scale == NULL || scale->method != SP_SCALE_LINE || scale->frame != w->frames.number)
        return false;
    *at = second ? scale->b : scale->a;
    return true;
}

static bool plumb_end(const window *w, bool second, sp_point *at) {
    const sp_plumb_entry *plumb = sp_review_get_plumb(w->session.review);
    const bool tapped = plumb->method == SP_PLUMB_LEVEL || plumb->method == SP_PLUMB_HANG;
    if (!tapped || plumb->frame != w->frames.number) return false;
    *at = second ? plumb->b : plumb->a;
    return true;
}

bool hold_place(const window *w, int hold, sp_point *at) {
    sp_mark mark;
    switch (hold) {
    case HOLD_NONE: return false;
    case HOLD_SCALE_A:
    case HOLD_SCALE_B: return scale_end(w, hold == HOLD_SCALE_B, at);
    case HOLD_PLUMB_A:
    case HOLD_PLUMB_B: return plumb_end(w, hold == HOLD_PLUMB_B, at);
    default: break;
    }
    if (!sp_review_mark(w->session.review, w->frames.number, (sp_point_name)hold, &mark))
        return false;
    *at = mark.at;
    return true;
}

int hold_near(const window *w, sp_point at) {
    if (!window_is_open(w) || w->play.on || w->plain) return HOLD_NONE;
    double best = reach(w) * w->layout.density;
    int near = HOLD_NONE;
    for (int i = 0; i < HOLD_COUNT; i++) {
        sp_point place;
        if (!hold_place(w, i, &place)) continue;
        const double d = sp_point_distance(placement_to_window(&w->placement, place), at);
        if (d < best) best = d, near = i;
    }
    return near;
}

static bool move_scale(window *w, bool second, sp_point at, sp_error *error) {
    sp_scale_entry entry = *sp_review_active_scale(w->session.review);
    *(second ? &entry.b : &entry.a) = at;
    return sp_review_set_scale(w->session.review, entry.id, &entry, error);
}

static bool move_plumb(window *w, bool second, sp_point at, sp_error *error) {
    sp_plumb_entry entry = *sp_review_get_plumb(w->session.review);
    const double sd = sp_review_get_points_sd(w->session.review);
    *(second ? &entry.b : &entry.a) = at;
    sp_plumb plumb;
    const bool had = entry.method == SP_PLUMB_HANG
                         ? sp_plumb_from_hang(entry.a, entry.b, sd, &plumb)
                         : sp_plumb_from_level(entry.a, entry.b, sd, &plumb);
    if (!had)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the two ends of the plumb lie on one place; move one of them away");
    entry.angle_deg = plumb.angle_deg;
    return sp_review_set_plumb(w->session.review, &entry, error);
}

void hold_move(window *w, int hold, sp_point at) {
    if (hold < SP_POINT_COUNT) {
        edit_mark(w, w->frames.number, (sp_point_name)hold, at);
        return;
    }
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    const bool scale = hold <= HOLD_SCALE_B;
    const bool good = scale ? move_scale(w, hold == HOLD_SCALE_B, at, &error)
                            : move_plumb(w, hold == HOLD_PLUMB_B, at, &error);
    edit_end(w, good, &error);
}

const char *hold_title(int hold) {
    if (hold < SP_POINT_COUNT) return sp_point_title((sp_point_name)hold);
    return hold <= HOLD_SCALE_B ? "end of the scale" : "end of the plumb";
}
