#include "window/pointer.h"

#include <math.h>

#include "window/actions.h"
#include "window/canvas.h"
#include "window/state.h"

static bool within(SDL_Rect r, sp_point at) {
    return at.x >= r.x && at.y >= r.y && at.x < r.x + r.w && at.y < r.y + r.h;
}

static const spot *spot_at(const window *w, drag_kind where, sp_point at) {
    const pane *p = where == DRAG_CARD    ? &w->card.pane
                    : where == DRAG_SHEET ? &w->sheet.pane
                    : where == DRAG_FOOT  ? &w->beside.foot
                                          : &w->bar_pane;
    const spots *s = where == DRAG_CARD    ? &w->card.spots
                     : where == DRAG_SHEET ? &w->sheet.spots
                     : where == DRAG_FOOT  ? &w->beside.spots
                                           : &w->bar_spots;
    if (!within(p->place, at)) return NULL;
    return spots_hit(s, (at.x - p->place.x) / w->layout.density,
                     (at.y - p->place.y) / w->layout.density);
}

static void scrub(window *w) {
    play_stop(w);
    frames_go(w, timeline_frame(w, w->pointer.at.x));
}

static void take_hold(window *w) {
    pointer *p = &w->pointer;
    sp_point place;
    if (!hold_place(w, p->hold, &place)) return;
    p->drag = DRAG_HOLD;
    p->cross = place;
    if (p->hold < SP_POINT_COUNT) w->tool.selected = p->hold;
    w->tool.end = p->hold < SP_POINT_COUNT ? 0 : p->hold;
    if (w->tool.end > 0) w->tool.selected = -1;
    window_touch(w, PART_OVERLAY | PART_LOUPE | PART_SHEET);
}

static void press_canvas(window *w, bool pan) {
    pointer *p = &w->pointer;
    if (!window_is_open(w)) return;
    frames_go(w, w->frames.number); /* a tap goes to the frame that is seen */
    frames_settle(w);
    if (!pan && pen_in_hand(w)) {
        p->drag = DRAG_INK;
        pen_press(w, p->cross);
        return;
    }
    p->hold = pan ? HOLD_NONE : hold_near(w, p->at);
    if (!pan && tool_armed(w))
        p->drag = DRAG_TAP; /* a point under it is only taken along once it is dragged */
    else if (p->hold >= 0)
        take_hold(w);
    else
        p->drag = DRAG_PAN;
    window_touch(w, PART_OVERLAY | PART_LOUPE | PART_SHEET);
}

static void press(window *w, sp_point at, bool pan) {
    pointer *p = &w->pointer;
    if (p->drag != DRAG_NONE) return;
    p->at = p->pressed = at;
    p->moved = p->keys = false;
    p->cross = window_to_upright(w, at);
    if (card_is_up(w)) {
        p->drag = DRAG_CARD;
        if (!within(w->card.pane.place, at)) card_close(w);
    } else if (within(w->layout.sheet, at)) {
        p->drag = DRAG_SHEET;
    } else if (within(w->layout.bar, at)) {
        p->drag = DRAG_BAR;
    } else if (within(w->layout.strip, at)) {
        p->drag = pan ? DRAG_TIME : DRAG_STRIP;
        if (!pan) scrub(w);
    } else if (beside_is_open(w) && within(w->beside.below, at)) {
        p->drag = DRAG_FOOT;
    } else if (beside_holds(w, at)) {
        p->drag = DRAG_OTHER;
    } else if (within(w->layout.canvas, at)) {
        press_canvas(w, pan);
    }
}

static void drag_list(window *w, sp_point from) {
    const double by = (from.y - w->pointer.at.y) / w->layout.density;
    if (!w->pointer.moved) return;
    if (w->pointer.drag == DRAG_SHEET)
        sheet_scroll(w, w->pointer.pressed.x, w->pointer.pressed.y, by);
    else
        card_scroll(w, by);
}

/* The landmark under the pointer is named before it is picked. */
static void name_landmark(window *w) {
    const spot *hit = spot_at(w, DRAG_CARD, w->pointer.at);
    if (hit == NULL || hit->act != card_landmark || hit->argument == w->card.chosen) return;
    w->card.chosen = hit->argument;
    window_touch(w, PART_CARD);
}

/* With Shift the cross goes a fifth of the pointer's way, for places finer than a hand is. */
static void drag_cross(window *w, sp_point from, sp_point to) {
    const double gain = (SDL_GetModState() & KMOD_SHIFT) != 0 ? 0.2 : 1;
    const sp_point way = sp_point_times(sp_point_subtract(to, from), gain / w->placement.zoom);
    w->pointer.cross = sp_point_add(w->pointer.cross, way);
}

static void move(window *w, sp_point at) {
    pointer *p = &w->pointer;
    const sp_point from = p->at;
    const double tremble = (p->finger ? 10 : 3) * w->layout.density;
    p->at = at;
    p->keys = false;
    if (sp_point_distance(at, p->pressed) > tremble) p->moved = true;
    const bool was_inside = p->inside;
    p->inside = within(w->layout.canvas, at) && !card_is_up(w);
    if (p->inside != was_inside) window_touch(w, PART_OVERLAY | PART_PICTURE);
    if (p->drag == DRAG_TAP && p->moved && p->hold >= 0) take_hold(w);
    if (p->drag == DRAG_NONE && w->card.kind == CARD_COURT) name_landmark(w);
    switch (p->drag) {
    case DRAG_STRIP: scrub(w); return;
    case DRAG_SHEET:
    case DRAG_CARD: drag_list(w, from); return;
    case DRAG_TIME: timeline_pan(w, at.x - from.x); return;
    case DRAG_BAR:
    case DRAG_FOOT: return;
    case DRAG_OTHER:
        if (p->moved) beside_pan(w, at.x - from.x, at.y - from.y);
        return;
    case DRAG_PAN:
        if (!p->moved) return;
        w->placement = placement_pan(w->placement, w->layout.canvas, w->session.facts->width,
                                     w->session.facts->height, at.x - from.x, at.y - from.y);
        window_touch(w, PART_PICTURE | PART_OVERLAY);
        return;
    case DRAG_HOLD:
        if (p->moved) drag_cross(w, from, at);
        window_touch(w, PART_OVERLAY | PART_PICTURE);
        return;
    case DRAG_TAP:
        drag_cross(w, from, at);
        window_touch(w, PART_OVERLAY | PART_PICTURE);
        return;
    case DRAG_INK: pen_move(w, window_to_upright(w, at)); return;
    case DRAG_NONE: break;
    }
    if (!window_is_open(w)) return;
    p->cross = window_to_upright(w, at);
    window_touch(w, PART_PICTURE | (w->tool.half ? PART_OVERLAY : 0u));
}

static bool in_picture(const window *w, sp_point at) {
    const sp_clip_facts *facts = w->session.facts;
    return at.x >= 0 && at.y >= 0 && at.x <= facts->width && at.y <= facts->height;
}

static void let_go_canvas(window *w, drag_kind drag) {
    pointer *p = &w->pointer;
    if (drag == DRAG_PAN && !p->moved) {
        w->tool.selected = -1;
        w->tool.end = 0;
    } else if (drag == DRAG_HOLD && !p->moved) {
        tool_leave(w);
    } else if (drag != DRAG_PAN && !in_picture(w, p->cross)) {
        message_say(w, "That is outside the picture; nothing was set.");
    } else if (drag == DRAG_HOLD) {
        hold_move(w, p->hold, p->cross);
    } else if (drag == DRAG_TAP) {
        tool_tap(w, p->cross);
    }
    window_touch(w, PART_OVERLAY | PART_LOUPE | PART_PICTURE | PART_SHEET);
}

static void let_go(window *w, sp_point at) {
    pointer *p = &w->pointer;
    const drag_kind drag = p->drag;
    move(w, at);
    p->drag = DRAG_NONE;
    const bool button = drag == DRAG_BAR || drag == DRAG_FOOT;
    if (drag == DRAG_CARD || drag == DRAG_SHEET || button) {
        const spot *hit = spot_at(w, drag, at);
        /* The list is painted anew by what it does: take a copy. */
        if (hit != NULL && hit == spot_at(w, drag, p->pressed) && (!p->moved || button)) {
            const spot todo = *hit;
            frames_do(w, todo.act, todo.argument);
        }
    } else if (drag == DRAG_INK) {
        pen_lift(w, window_to_upright(w, at));
    } else if (drag == DRAG_TAP || drag == DRAG_HOLD || drag == DRAG_PAN) {
        let_go_canvas(w, drag);
    }
}

void pointer_cancel(window *w) {
    if (w->pointer.drag == DRAG_INK) pen_drop(w);
    w->pointer.drag = DRAG_NONE;
    window_touch(w, PART_OVERLAY | PART_LOUPE | PART_PICTURE);
}

static void wheel(window *w, const SDL_MouseWheelEvent *event) {
    const double turn =
        event->direction == SDL_MOUSEWHEEL_FLIPPED ? -event->preciseY : event->preciseY;
    const sp_point at = w->pointer.at;
    if (card_is_up(w)) {
        card_scroll(w, -turn * 48);
    } else if (within(w->layout.sheet, at)) {
        sheet_scroll(w, at.x, at.y, -turn * 48);
    } else if (beside_holds(w, at)) {
        beside_zoom(w, pow(1.2, turn), at);
    } else if (within(w->layout.canvas, at) && window_is_open(w)) {
        w->placement = placement_zoom(w->placement, w->layout.canvas, w->session.facts->width,
                                      w->session.facts->height, pow(1.2, turn), at);
        if (w->pointer.drag == DRAG_NONE) w->pointer.cross = window_to_upright(w, at);
        window_touch(w, PART_PICTURE | PART_OVERLAY);
    } else if (within(w->layout.strip, at) && (SDL_GetModState() & KMOD_CTRL) != 0) {
        timeline_zoom(w, pow(1.2, turn), at.x);
    } else if (turn != 0) {
        act_step(w, turn > 0 ? -1 : 1);
    }
}

/* A pixel that the pointer names is a square: what is meant is its middle. */
static sp_point mouse_place(const window *w, int x, int y) {
    int width, height;
    SDL_GetWindowSize(w->handle, &width, &height);
    return (sp_point){(x + 0.5) * w->layout.width / width, (y + 0.5) * w->layout.height / height};
}

/* What is pressed grows and shrinks between two presses only: never under one. */
static void press_by(window *w, bool finger) {
    if (w->fingers == finger) return;
    w->fingers = finger;
    window_touch(w, PART_SHEET | PART_CARD);
}

static bool mouse_event(window *w, const SDL_Event *event) {
    if (event->type == SDL_MOUSEMOTION) {
        if (event->motion.which == SDL_TOUCH_MOUSEID) return true;
        w->pointer.finger = false;
        move(w, mouse_place(w, event->motion.x, event->motion.y));
    } else if (event->type == SDL_MOUSEWHEEL) {
        wheel(w, &event->wheel);
    } else {
        if (event->button.which == SDL_TOUCH_MOUSEID) return true;
        const sp_point at = mouse_place(w, event->button.x, event->button.y);
        w->pointer.finger = false;
        if (event->type == SDL_MOUSEBUTTONUP) {
            let_go(w, at);
            press_by(w, false);
        } else if (event->button.button <= SDL_BUTTON_RIGHT)
            press(w, at, event->button.button != SDL_BUTTON_LEFT || w->space_down);
        if (w->space_down) w->space_used = true;
    }
    tip_follow(w);
    pointer_cursor(w);
    return true;
}

static int finger_slot(const pointer *p, SDL_FingerID id) {
    for (int i = 0; i < SDL_min(p->finger_count, 2); i++)
        if (p->fingers[i] == id) return i;
    return -1;
}

/* Both fingers keep the places of the picture that they lie on. */
static void pinch(window *w, const sp_point before[2], const sp_point after[2]) {
    if (!window_is_open(w)) return;
    const sp_point from = sp_point_middle(before[0], before[1]);
    const sp_point to = sp_point_middle(after[0], after[1]);
    const double wide = sp_point_distance(before[0], before[1]);
    const double factor = wide > 1 ? sp_point_distance(after[0], after[1]) / wide : 1;
    const int width = w->session.facts->width, height = w->session.facts->height;
    w->placement = placement_zoom(w->placement, w->layout.canvas, width, height, factor, from);
    w->placement =
        placement_pan(w->placement, w->layout.canvas, width, height, to.x - from.x, to.y - from.y);
    window_touch(w, PART_PICTURE | PART_OVERLAY);
}

static void pinch_other(window *w, const sp_point before[2], const sp_point after[2]) {
    const sp_point from = sp_point_middle(before[0], before[1]);
    const sp_point to = sp_point_middle(after[0], after[1]);
    const double wide = sp_point_distance(before[0], before[1]);
    if (wide > 1) beside_zoom(w, sp_point_distance(after[0], after[1]) / wide, from);
    beside_pan(w, to.x - from.x, to.y - from.y);
}

static void pinch_strip(window *w, const sp_point before[2], const sp_point after[2]) {
    const double wide = fabs(before[1].x - before[0].x), now = fabs(after[1].x - after[0].x);
    const double from = (before[0].x + before[1].x) / 2, to = (after[0].x + after[1].x) / 2;
    if (wide > 1 && now > 1) timeline_zoom(w, now / wide, from);
    timeline_pan(w, to - from);
}

static void finger_down(window *w, SDL_FingerID id, sp_point at) {
    pointer *p = &w->pointer;
    if (p->finger_count < 2) {
        p->fingers[p->finger_count] = id;
        p->finger_at[p->finger_count] = at;
    }
    p->finger_count++;
    p->finger = true;
    if (p->finger_count == 1)
        press(w, at, false);
    else
        pointer_cancel(w);
}

static void finger_move(window *w, SDL_FingerID id, sp_point at) {
    pointer *p = &w->pointer;
    const int slot = finger_slot(p, id);
    if (slot < 0) return;
    const sp_point before[2] = {p->finger_at[0], p->finger_at[1]};
    p->finger_at[slot] = at;
    if (p->finger_count == 2 && within(w->layout.strip, before[0]))
        pinch_strip(w, before, p->finger_at);
    else if (p->finger_count == 2 && beside_holds(w, before[0]))
        pinch_other(w, before, p->finger_at);
    else if (p->finger_count == 2 && within(w->layout.canvas, before[0]))
        pinch(w, before, p->finger_at);
    else if (p->finger_count == 1 && p->drag != DRAG_NONE)
        move(w, at);
}

static void finger_up(window *w, sp_point at) {
    pointer *p = &w->pointer;
    if (p->finger_count == 1 && p->drag != DRAG_NONE) let_go(w, at);
    /* The one that stays after a pinch does nothing until all are lifted. */
    p->finger_count = SDL_max(p->finger_count - 1, 0);
    if (p->finger_count > 0) p->fingers[0] = p->fingers[1] = -1;
    p->inside = false;
    window_touch(w, PART_PICTURE);
    if (p->finger_count == 0) press_by(w, true);
}

bool pointer_event(window *w, const SDL_Event *event) {
    const sp_point at = {(double)event->tfinger.x * w->layout.width,
                         (double)event->tfinger.y * w->layout.height};
    switch (event->type) {
    case SDL_MOUSEMOTION:
    case SDL_MOUSEBUTTONDOWN:
    case SDL_MOUSEBUTTONUP:
    case SDL_MOUSEWHEEL: return mouse_event(w, event);
    case SDL_FINGERDOWN: finger_down(w, event->tfinger.fingerId, at); return true;
    case SDL_FINGERMOTION: finger_move(w, event->tfinger.fingerId, at); return true;
    case SDL_FINGERUP: finger_up(w, at); return true;
    default: return false;
    }
}

void pointer_cursor(window *w) {
    const pointer *p = &w->pointer;
    const bool free_hand = p->inside && !card_is_up(w);
    const bool holds = free_hand && !pen_in_hand(w) && hold_near(w, p->at) >= 0;
    cursor wanted = CURSOR_ARROW;
    if (p->drag == DRAG_PAN && p->moved)
        wanted = CURSOR_MOVE;
    else if (holds)
        wanted = CURSOR_HAND;
    else if ((free_hand && pen_in_hand(w)) || (p->inside && tool_armed(w)))
        wanted = CURSOR_CROSS;
    if (w->cursors[wanted] != SDL_GetCursor()) SDL_SetCursor(w->cursors[wanted]);
}
