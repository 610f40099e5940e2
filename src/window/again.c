#include "window/again.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "window/actions.h"
#include "window/moments.h"
#include "window/state.h"

bool again_is_on(const window *w) { return w->again.first != NULL && window_is_open(w); }

/* --- which frames ---------------------------------------------------------------------------- */
static int taps_on(const sp_review *review, int frame) {
    int count = 0;
    sp_mark mark;
    for (int i = 0; i < SP_POINT_COUNT; i++)
        count += sp_review_mark(review, frame, (sp_point_name)i, &mark) && mark.by == SP_BY_TAP;
    return count;
}

static bool holds(const again_taps *a, int frame) {
    for (int i = 0; i < a->frame_count; i++)
        if (a->frames[i] == frame) return true;
    return false;
}

/* In order of time. */
static void add_frame(again_taps *a, int frame) {
    if (a->frame_count == AGAIN_FRAMES_MAX || holds(a, frame)) return;
    int at = a->frame_count++;
    for (; at > 0 && a->frames[at - 1] > frame; at--) a->frames[at] = a->frames[at - 1];
    a->frames[at] = frame;
}

static void choose_frames(again_taps *a) {
    const sp_review *first = a->first;
    const size_t marked = sp_review_marked_count(first);
    for (size_t i = 0; i < sp_review_moment_count(first); i++) {
        const int frame = sp_review_moment_at(first, i)->frame;
        if (taps_on(first, frame) > 0) add_frame(a, frame);
    }
    const int room = AGAIN_FRAMES_MAX - a->frame_count;
    for (int k = 0; k < room && marked > 0; k++) {
        const size_t i = room == 1 ? 0 : (size_t)k * (marked - 1) / (size_t)(room - 1);
        const int frame = sp_review_marked_frame(first, i);
        if (taps_on(first, frame) > 0) add_frame(a, frame);
    }
}

/* A point that is tapped on enough of them tells something. */
static bool tells(const again_taps *a) {
    for (int p = 0; p < SP_POINT_COUNT; p++) {
        int pairs = 0;
        sp_mark mark;
        for (int i = 0; i < a->frame_count; i++)
            pairs += sp_review_mark(a->first, a->frames[i], (sp_point_name)p, &mark) &&
                     mark.by == SP_BY_TAP;
        if (pairs >= SP_REPEAT_PAIRS_MIN) return true;
    }
    return false;
}

/* --- in and out ------------------------------------------------------------------------------ */
void again_free(window *w) {
    sp_review_free(w->again.first);
    w->again = (again_taps){.shown = -1};
}

static bool make_second(const again_taps *a, sp_error *error) {
    if (access(a->path, F_OK) == 0) return true;
    sp_review *blank = sp_repeat_twin(a->first, error);
    const bool good = blank != NULL && sp_review_write(blank, a->path, error);
    sp_review_free(blank);
    return good;
}

static bool begin(window *w, again_taps *a, sp_error *error) {
    *a = (again_taps){.shown = -1};
    snprintf(a->first_path, sizeof a->first_path, "%s", w->session.review_path);
    a->first = sp_review_read(a->first_path, error);
    if (a->first == NULL || !sp_repeat_twin_path(a->first_path, a->path, sizeof a->path, error))
        return false;
    choose_frames(a);
    if (!tells(a))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "Tap one point on %d frames or more first: then the same taps, made again, "
                       "tell how near they come.",
                       SP_REPEAT_PAIRS_MIN);
    return make_second(a, error);
}

/* Back to the first review; what is tapped stays on disk. */
static void leave(window *w) {
    char path[PATH_MAX];
    snprintf(path, sizeof path, "%s", w->again.first_path);
    if (window_open(w, path))
        message_say(w, "The second tapping is left; what is tapped is kept, and it goes on where "
                       "it was.");
}

void act_again(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w)) return;
    if (again_is_on(w)) {
        leave(w);
        return;
    }
    sp_error error = {0};
    static again_taps next; /* large; only one window is there */
    if (!begin(w, &next, &error)) {
        sp_review_free(next.first);
        message_problem(w, &error);
    } else if (!window_open(w, next.path)) {
        sp_review_free(next.first);
    } else {
        w->again = next;
        w->session.who = w->session.speed = true;
        window_touch(w, PART_ALL);
    }
}

/* --- one after the other --------------------------------------------------------------------- */
static bool due_on(const window *w, int index, sp_point_name *point) {
    const again_taps *a = &w->again;
    sp_mark mark;
    for (int i = 0; i < SP_POINT_COUNT; i++) {
        if (!sp_review_mark(a->first, a->frames[index], (sp_point_name)i, &mark) ||
            mark.by != SP_BY_TAP || (a->skipped[index] >> i & 1) != 0 ||
            sp_review_mark(w->session.review, a->frames[index], (sp_point_name)i, NULL))
            continue;
        *point = (sp_point_name)i;
        return true;
    }
    return false;
}

bool again_due(const window *w, int *frame, sp_point_name *point) {
    for (int i = 0; again_is_on(w) && i < w->again.frame_count; i++) {
        if (!due_on(w, i, point)) continue;
        *frame = w->again.frames[i];
        return true;
    }
    return false;
}

bool again_due_here(const window *w, sp_point_name *point) {
    for (int i = 0; again_is_on(w) && i < w->again.frame_count; i++)
        if (w->again.frames[i] == w->frames.number) return due_on(w, i, point);
    return false;
}

bool again_skip(window *w) {
    sp_point_name point;
    if (!again_due_here(w, &point)) return false;
    for (int i = 0; i < w->again.frame_count; i++)
        if (w->again.frames[i] == w->frames.number) w->again.skipped[i] |= 1u << point;
    message_say(w, "The %s is left out.", sp_point_title(point));
    window_touch_review(w);
    return true;
}

static void compare(window *w) {
    again_taps *a = &w->again;
    const size_t edits = sp_review_edit_count(w->session.review);
    if (a->all_tapped && a->compared == edits) return;
    sp_error error = {0};
    a->all_tapped = true;
    a->compared = edits;
    a->found = sp_repeat_compare(a->first, w->session.review, &a->repeat, &error);
    snprintf(a->why, sizeof a->why, "%s", error.message);
    tool_leave(w);
    window_touch(w, PART_ALL);
}

void again_follow(window *w) {
    again_taps *a = &w->again;
    if (a->first == NULL) return;
    if (!window_is_open(w) || strcmp(w->session.review_path, a->path) != 0) {
        again_free(w);
        return;
    }
    int frame;
    sp_point_name point;
    if (!again_due(w, &frame, &point)) {
        compare(w);
        return;
    }
    a->all_tapped = false;
    if (a->shown == frame) return;
    a->shown = frame;
    act_go_frame(w, frame);
    window_touch(w, PART_SHEET);
}

void again_next(window *w) {
    int frame;
    sp_point_name point;
    if (again_due(w, &frame, &point))
        act_go_frame(w, frame);
    else if (w->again.found && w->again.repeat.doubt[0] == '\0')
        act_again_take(w, 0);
}

/* --- the result ------------------------------------------------------------------------------ */

/* New reviews and this one reckon with it. */
void act_again_take(window *w, int unused) {
    (void)unused;
    if (!again_is_on(w) || !w->again.found) return;
    const double px = SDL_clamp(w->again.repeat.pooled.typical_px.value, 0.1, 50.0);
    char path[PATH_MAX];
    sp_error error = {0};
    snprintf(path, sizeof path, "%s", w->again.first_path);
    if (!window_open(w, path)) return;
    w->choices.now.points_sd_px = px;
    choices_save(w);
    if (!edit_allowed(w)) return;
    if (edit_end(w, sp_review_set_points_sd(w->session.review, px, &error), &error))
        message_say(w,
                    "Your taps: \u00b1 %.2f px, in this review and in new ones. Undo takes it "
                    "back in this one.",
                    px);
}

/* One thing to undo. */
void act_again_anew(window *w, int unused) {
    (void)unused;
    if (!again_is_on(w) || !edit_allowed(w)) return;
    sp_error error = {0};
    sp_review *second = w->session.review;
    bool good = true;
    while (good && sp_review_marked_count(second) > 0) {
        const int frame = sp_review_marked_frame(second, 0);
        for (int i = 0; i < SP_POINT_COUNT && good; i++)
            if (sp_review_mark(second, frame, (sp_point_name)i, NULL))
                good = sp_review_set_mark(second, frame, (sp_point_name)i, NULL, &error);
    }
    memset(w->again.skipped, 0, sizeof w->again.skipped);
    w->again.shown = -1;
    edit_end(w, good, &error);
}
