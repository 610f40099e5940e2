#include "window/actions.h"
#include "window/state.h"
#include "window/steps.h"

sp_point pick_step(int direction, double length) {
    switch (direction & ~ACT_FINE) {
    case ACT_LEFT: return (sp_point){-length, 0};
    case ACT_RIGHT: return (sp_point){length, 0};
    case ACT_UP: return (sp_point){0, -length};
    default: return (sp_point){0, length};
    }
}

void pick_put_cross(window *w, sp_point upright) {
    const sp_clip_facts *facts = w->session.facts;
    w->pointer.cross =
        (sp_point){SDL_clamp(upright.x, 0, facts->width), SDL_clamp(upright.y, 0, facts->height)};
    w->pointer.keys = true;
    w->placement = placement_reveal(w->placement, w->layout.canvas, w->pointer.cross);
    window_touch(w, PART_OVERLAY | PART_LOUPE | PART_PICTURE);
}

/* A key that is held down moves faster and faster. */
void act_cross(window *w, int direction) {
    if (!window_is_open(w)) return;
    const int held = w->key_repeats;
    const double length = (direction & ACT_FINE) != 0 ? 0.1 : held < 10 ? 1 : held < 30 ? 5 : 20;
    pick_put_cross(w, sp_point_add(w->pointer.cross, pick_step(direction, length)));
}

void act_pick(window *w, int point) {
    if (!window_is_open(w)) return;
    sp_mark mark;
    play_stop(w);
    if (sp_review_mark(w->session.review, w->frames.number, (sp_point_name)point, &mark)) {
        tool_leave(w);
        w->tool.selected = point;
        w->tool.end = 0;
        pick_put_cross(w, mark.at);
    } else {
        step_skip(&w->session, w->frames.number, (sp_point_name)point, false);
        tool_begin(w, TOOL_POINT);
        w->tool.point = (sp_point_name)point;
    }
    window_touch_review(w);
}

void act_skip(window *w, int unused) {
    (void)unused;
    sp_point_name point;
    if (!window_is_open(w) || w->tool.kind != TOOL_POINTS || !tool_due(w, &point)) {
        message_say(w, "No point is due on this frame.");
        return;
    }
    if (again_is_on(w)) {
        again_skip(w);
        return;
    }
    step_skip(&w->session, w->frames.number, point, true);
    message_say(w, "The %s is left out; press its row to tap it after all.", sp_point_title(point));
    window_touch_review(w);
}

static void pick_end(window *w, int end) {
    sp_point at;
    if (!hold_place(w, end, &at)) return;
    play_stop(w);
    tool_leave(w);
    w->tool.selected = -1;
    w->tool.end = end;
    pick_put_cross(w, at);
    message_say(w, "The %s: Alt and the arrows move it.", hold_title(end));
    window_touch_review(w);
}

/* The points of the frame, then the ends of the lines on it. */
void act_next_point(window *w, int by) {
    if (!window_is_open(w)) return;
    int hold = w->tool.end > 0 ? w->tool.end : w->tool.selected;
    sp_point at;
    for (int tries = 0; tries < HOLD_COUNT; tries++) {
        if (hold < 0 && by < 0) hold = 0;
        hold = (hold + by + HOLD_COUNT) % HOLD_COUNT;
        if (!hold_place(w, hold, &at)) continue;
        if (hold < SP_POINT_COUNT)
            act_pick(w, hold);
        else
            pick_end(w, hold);
        return;
    }
    message_say(w, "No point is tapped on this frame.");
}

void act_next_step(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w)) {
        first_walk_offered(w) ? act_first_walk(w, 0) : act_open(w, 0);
        return;
    }
    if (tool_armed(w)) {
        message_say(w, "Tap it in the picture, or move the cross with Ctrl and the arrows.");
        return;
    }
    if (first_walk_is_on(w)) {
        first_walk_next(w);
        return;
    }
    if (again_is_on(w)) {
        again_next(w);
        return;
    }
    const step next = step_next(&w->session, w->frames.number);
    if (next.kind == STEP_WHO) act_who_right(w, 0);
    if (next.kind == STEP_RELINK) act_relink(w, 0);
    if (next.kind == STEP_SPEED) act_real_time(w, 0);
    if (next.kind == STEP_GO) act_go_frame(w, next.frame);
    if (next.kind == STEP_SCALE) act_scale(w, 0);
}

static bool cross_in_picture(const window *w) {
    const sp_point at = w->pointer.cross;
    const sp_clip_facts *facts = w->session.facts;
    return at.x >= 0 && at.y >= 0 && at.x <= facts->width && at.y <= facts->height;
}

/* Enter: the row in focus, else a tap at the cross, else the step that the sheet names. */
void act_enter(window *w, int unused) {
    (void)unused;
    if (sheet_enter(w)) return;
    if (tool_armed(w) && cross_in_picture(w))
        tool_tap(w, w->pointer.cross);
    else
        act_next_step(w, 0);
}
