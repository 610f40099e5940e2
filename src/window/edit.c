#include <stdio.h>

#include "serveplumb/still.h"
#include "window/actions.h"
#include "window/moments.h"
#include "window/state.h"

bool edit_allowed(window *w) {
    sp_error error = {0};
    if (session_may_edit(&w->session, &error)) {
        w->session.edits = sp_review_edit_count(w->session.review);
        return true;
    }
    message_problem(w, &error);
    return false;
}

bool edit_end(window *w, bool good, const sp_error *error) {
    /* Whatever was done since edit_allowed, or the thing before, is one thing to undo. */
    sp_review_join(w->session.review, w->session.edits);
    w->session.edits = sp_review_edit_count(w->session.review);
    if (!good) {
        message_problem(w, error);
        return false;
    }
    w->session.who = true;
    w->leaving = false;
    sp_error reason = {0}, said = {0};
    const bool before = w->session.written;
    if (!session_store(&w->session, &reason)) {
        sp_fail(&said, reason.code, "Kept in this window only, not on disk yet: %s",
                reason.message);
        message_problem(w, &said);
    } else if (!before) {
        message_say(w, "All edits are on disk now, in %s.", session_name(w->session.review_path));
    } else if (w->message.problem) {
        message_dismiss(w);
    }
    window_touch_review(w);
    return true;
}

void act_name_moment(window *w, int index) {
    if (!edit_allowed(w)) return;
    play_stop(w);
    sp_error error = {0};
    const char *name = moment_kind_at(index)->name;
    const int frame = w->frames.number;
    const bool good = sp_review_set_moment(w->session.review, name, frame, &error);
    if (edit_end(w, good, &error) && w->session.written)
        message_say(w, "Frame %d is the %s.", frame, name);
}

void act_free_moment(window *w, int index) {
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    const char *name = moment_kind_at(index)->name;
    if (sp_review_moment_frame(w->session.review, name) < 0) return;
    const bool good = sp_review_set_moment(w->session.review, name, -1, &error);
    if (edit_end(w, good, &error) && w->session.written)
        message_say(w, "No frame is named the %s now; its points stay.", name);
}

/* A guess that is moved stays a guess; one that was only copied is tapped by it. */
static sp_mark placed(window *w, int frame, sp_point_name point, sp_point at) {
    tool *t = &w->tool;
    const bool copied = frame == t->copied_frame && (t->copied >> point & 1) != 0;
    if (frame == t->copied_frame) t->copied &= ~(1u << point);
    sp_mark before;
    if (!copied && sp_review_mark(w->session.review, frame, point, &before) &&
        before.by == SP_BY_GUESS)
        return (sp_mark){.at = at, .by = SP_BY_GUESS, .sd_px = before.sd_px};
    return (sp_mark){.at = at, .by = SP_BY_TAP};
}

void edit_mark(window *w, int frame, sp_point_name point, sp_point at) {
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    const sp_mark mark = placed(w, frame, point, at);
    sp_mark before;
    const bool carried =
        sp_review_mark(w->session.review, frame, point, &before) && before.by == SP_BY_CARRY;
    if (!edit_end(w, sp_review_set_mark(w->session.review, frame, point, &mark, &error), &error))
        return;
    w->tool.selected = (int)point;
    if (carried) carrying_renew(w, frame, point);
}

static bool selected(const window *w, sp_mark *mark) {
    return window_is_open(w) && w->tool.selected >= 0 &&
           sp_review_mark(w->session.review, w->frames.number, (sp_point_name)w->tool.selected,
                          mark);
}

void act_delete(window *w, int unused) {
    (void)unused;
    if (w->tool.kind == TOOL_LANDMARK) {
        act_drop_landmark(w, w->tool.landmark);
        return;
    }
    if (!selected(w, NULL)) {
        message_say(w, "Choose a point first: press it, or Tab from one to the next.");
        return;
    }
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    const sp_point_name point = (sp_point_name)w->tool.selected;
    const bool good = sp_review_set_mark(w->session.review, w->frames.number, point, NULL, &error);
    if (!edit_end(w, good, &error)) return;
    w->tool.selected = -1;
    if (w->session.written) message_say(w, "The %s is taken off.", sp_point_title(point));
}

/* Pixels of the clip, not of the window: a nudge means the same at any zoom. */
void act_nudge(window *w, int direction) {
    const double length = (direction & ACT_FINE) != 0 ? 0.1 : 1;
    const int hold = w->tool.end > 0 ? w->tool.end : w->tool.selected;
    sp_point at;
    if (!window_is_open(w) || !hold_place(w, hold, &at)) {
        message_say(w, "Choose a point or the end of a line first: press it, or Tab from one to "
                       "the next.");
        return;
    }
    at = sp_point_add(at, pick_step(direction, length));
    hold_move(w, hold, at);
    pick_put_cross(w, at);
}

static void undone(window *w, const char *what, int frame, const char *verb) {
    if (what == NULL) {
        message_say(w, "There is nothing to %s.", verb);
        return;
    }
    tool_leave(w);
    w->tool.selected = -1;
    w->tool.end = 0;
    const sp_error none = {0};
    edit_end(w, true, &none);
    if (frame >= 0) act_go_frame(w, frame);
    if (w->session.written) message_say(w, "%s: %s.", verb[0] == 'u' ? "Undone" : "Redone", what);
}

void act_undo(window *w, int unused) {
    (void)unused;
    if (w->tool.half) { /* the first of two taps is not in the review yet */
        w->tool.half = false;
        window_touch(w, PART_OVERLAY | PART_SHEET);
        return;
    }
    if (talking_undoes(w) || !edit_allowed(w)) return;
    int frame;
    const char *what = sp_review_undo(w->session.review, &frame);
    undone(w, what, frame, "undo");
}

void act_redo(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    int frame;
    const char *what = sp_review_redo(w->session.review, &frame);
    undone(w, what, frame, "redo");
}

void act_hand(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    sp_player player = *sp_review_get_player(w->session.review);
    player.hand = player.hand == SP_HAND_RIGHT ? SP_HAND_LEFT : SP_HAND_RIGHT;
    edit_end(w, sp_review_set_player(w->session.review, &player, &error), &error);
}

static bool across(sp_view view) { return view == SP_VIEW_SIDE; }

/* Where the net can lie depends on the view; the first of the two is what is seen most. */
static sp_net net_for(sp_view view, sp_net net) {
    if (across(view)) return net == SP_NET_LEFT ? SP_NET_LEFT : SP_NET_RIGHT;
    if (view == SP_VIEW_BACK) return SP_NET_AWAY;
    if (view == SP_VIEW_FRONT) return SP_NET_TOWARD;
    return net;
}

void act_view(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    sp_review *review = w->session.review;
    const sp_view view = (sp_view)((sp_review_get_view(review) + 1) % (SP_VIEW_OBLIQUE + 1));
    const sp_net net = net_for(view, sp_review_get_net(review));
    edit_end(w, sp_review_set_view(review, view, net, &error), &error);
}

void act_net(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    sp_review *review = w->session.review;
    const sp_view view = sp_review_get_view(review);
    sp_net net = sp_review_get_net(review);
    if (view == SP_VIEW_OBLIQUE)
        net = (sp_net)((net + 1) % (SP_NET_TOWARD + 1));
    else if (across(view))
        net = net == SP_NET_RIGHT ? SP_NET_LEFT : SP_NET_RIGHT;
    else {
        message_say(w, "From the %s the net is always %s the camera.", sp_view_id(view),
                    view == SP_VIEW_BACK ? "away from" : "toward");
        return;
    }
    edit_end(w, sp_review_set_view(review, view, net, &error), &error);
}

void act_shoulder(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    sp_error error = {0};
    sp_player player = *sp_review_get_player(w->session.review);
    player.shoulder = (sp_shoulder)((player.shoulder + 1) % (SP_SHOULDER_CURRENT_TROUBLE + 1));
    edit_end(w, sp_review_set_player(w->session.review, &player, &error), &error);
}

void act_relink(window *w, int unused) {
    (void)unused;
    sp_error error = {0};
    if (!edit_allowed(w)) return;
    if (session_relink(&w->session, &error))
        message_say(w, "The review belongs to %s now.", session_name(w->session.clip_path));
    else
        message_problem(w, &error);
    window_touch(w, PART_SHEET | PART_BAR);
}

void act_real_time(window *w, int unused) {
    (void)unused;
    w->session.speed = true;
    choices_remember(w);
    window_touch(w, PART_SHEET);
}

void act_who_right(window *w, int unused) {
    (void)unused;
    w->session.who = true;
    window_touch(w, PART_SHEET | PART_OVERLAY);
}

static bool same_pictures(const sp_clip_facts *a, const sp_clip_facts *b) {
    return a->frames == b->frames && a->width == b->width && a->height == b->height;
}

/* "<review>-<moment>.png" beside the review, or the frame's number where it is none. */
static bool write_still(window *w, int frame, char path[PATH_MAX], sp_error *error) {
    session *s = &w->session;
    const sp_moment *moment = moment_on(s->review, frame);
    const sp_still_options options = {.frame = frame,
                                      .moment = moment == NULL ? NULL : moment->name,
                                      .units = w->units,
                                      .findings = w->findings.now};
    char word[SP_REVIEW_ID_MAX + 16];
    snprintf(word, sizeof word, "frame%d", frame);
    if (moment != NULL) snprintf(word, sizeof word, "%s", moment->name);
    for (char *c = word; *c != '\0'; c++)
        if (*c == '/') *c = '_';
    if (!session_still_path(s, word, path, PATH_MAX))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the path of the still would be too long");
    if (!session_refresh(s, error)) return false;
    /* The window's own clip is busy decoding ahead. */
    const sp_clip_options few = {.cache_bytes = (size_t)64 << 20};
    sp_clip *clip = sp_clip_open(s->clip_path, &few, error);
    if (clip != NULL && !same_pictures(sp_clip_get_facts(clip), s->facts)) {
        sp_clip_close(clip);
        return sp_fail(error, SP_ERROR_FILE,
                       "'%.300s' was changed since it was opened; open it again", s->clip_path);
    }
    const bool good =
        clip != NULL && sp_still_write(clip, s->review, s->readout, &options, path, error);
    sp_clip_close(clip);
    return good;
}

void act_still(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w)) return;
    play_stop(w);
    char path[PATH_MAX];
    sp_error error = {0};
    if (write_still(w, w->frames.number, path, &error))
        message_say(w, "The still is in %s", path);
    else
        message_problem(w, &error);
}

void act_all_stills(window *w, int unused) {
    (void)unused;
    act_send(w, SEND_STILLS);
}
