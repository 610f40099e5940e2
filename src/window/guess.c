/* Points that are not seen themselves: hidden ones that are guessed, and those copied from another
 * frame until the coach moves them. */
#include "window/actions.h"
#include "window/state.h"

/* A joint behind the body is known to some centimetres, a tap to one or two pixels: from
 * experience, no source. */
#define GUESS_DEVIATIONS 4.0

double edit_guess_sd(const window *w) {
    return GUESS_DEVIATIONS * sp_review_get_points_sd(w->session.review);
}

void act_guess(window *w, int unused) {
    (void)unused;
    sp_mark mark;
    const int point = w->tool.selected;
    if (!window_is_open(w) || point < 0 ||
        !sp_review_mark(w->session.review, w->frames.number, (sp_point_name)point, &mark)) {
        message_say(w, "Tap where the hidden point must be, then press Q.");
        return;
    }
    if (!edit_allowed(w)) return;
    const bool guessed = mark.by == SP_BY_GUESS;
    const sp_mark to = {.at = mark.at,
                        .by = guessed ? SP_BY_TAP : SP_BY_GUESS,
                        .sd_px = guessed ? 0 : edit_guess_sd(w)};
    sp_error error = {0};
    const bool good =
        sp_review_set_mark(w->session.review, w->frames.number, (sp_point_name)point, &to, &error);
    if (!edit_end(w, good, &error) || !w->session.written) return;
    w->tool.copied &= ~(1u << point);
    if (guessed)
        message_say(w, "The %s is seen.", sp_point_title((sp_point_name)point));
    else
        message_say(w, "The %s is guessed: it counts as four times less sure.",
                    sp_point_title((sp_point_name)point));
}

/* The marked frame before this one, else the one after it; -1: none. */
static int source_frame(const window *w) {
    const sp_review *review = w->session.review;
    int before = -1;
    for (size_t i = 0; i < sp_review_marked_count(review); i++) {
        const int frame = sp_review_marked_frame(review, i);
        if (frame < w->frames.number) before = frame;
        if (frame > w->frames.number) return before >= 0 ? before : frame;
    }
    return before;
}

static bool copy_from(window *w, int source, int *count, sp_error *error) {
    sp_review *review = w->session.review;
    for (int i = 0; i < SP_POINT_COUNT; i++) {
        const sp_point_name point = (sp_point_name)i;
        sp_mark mark;
        if (!sp_review_mark(review, source, point, &mark) ||
            sp_review_mark(review, w->frames.number, point, NULL))
            continue;
        const sp_mark to = {.at = mark.at, .by = SP_BY_GUESS, .sd_px = edit_guess_sd(w)};
        if (!sp_review_set_mark(review, w->frames.number, point, &to, error)) return false;
        w->tool.copied |= 1u << i;
        (*count)++;
    }
    return true;
}

void act_copy_points(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w) || !edit_allowed(w)) return;
    play_stop(w);
    const int source = source_frame(w);
    if (source < 0) {
        message_say(w, "No other frame has points that could be copied.");
        return;
    }
    tool_leave(w);
    w->tool.copied = 0;
    w->tool.copied_frame = w->frames.number;
    sp_error error = {0};
    int count = 0;
    const bool good = copy_from(w, source, &count, &error);
    if (good && count == 0) {
        message_say(w, "Each point of frame %d is on this frame already.", source);
        return;
    }
    if (!edit_end(w, good, &error)) return;
    if (w->session.written)
        message_say(w,
                    "%d from frame %d, as guesses: drag each to its place, and it counts as "
                    "tapped.",
                    count, source);
}
