/* Several lines of known length, one of them in use. */
#include <stdio.h>
#include <string.h>

#include "serveplumb/court.h"
#include "window/actions.h"
#include "window/state.h"

/* One line of each court distance; those measured by hand are told apart by a number. */
static void scale_id(const window *w, char *id, size_t size) {
    const sp_court_distance *known = sp_court_distance_find(w->tool.distance_name);
    if (known != NULL) {
        snprintf(id, size, "%s", known->id);
        return;
    }
    for (int i = 1; i < 100; i++) {
        snprintf(id, size, "by_hand_%d", i);
        const sp_scale_entry *other = sp_review_scale_find(w->session.review, id);
        if (other == NULL) return;
    }
}

void scales_add(window *w, sp_point second) {
    sp_error error = {0};
    sp_review *review = w->session.review;
    sp_scale_entry entry = {.method = SP_SCALE_LINE,
                            .frame = w->tool.frame,
                            .a = w->tool.first,
                            .b = second,
                            .distance_m = w->tool.distance_m};
    scale_id(w, entry.id, sizeof entry.id);
    snprintf(entry.distance_name, sizeof entry.distance_name, "%s", w->tool.distance_name);
    bool good = sp_review_set_scale(review, entry.id, &entry, &error);
    const sp_scale_entry *active = sp_review_active_scale(review);
    if (good && (active == NULL || strcmp(active->id, entry.id) != 0))
        good = sp_review_set_active_scale(review, entry.id, &error);
    edit_end(w, good, &error);
}

void act_use_scale(window *w, int index) {
    if (!edit_allowed(w)) return;
    const sp_scale_entry *entry = sp_review_scale_at(w->session.review, (size_t)index);
    char id[SP_REVIEW_ID_MAX];
    snprintf(id, sizeof id, "%s", entry->id);
    const int frame = entry->method == SP_SCALE_TOSS ? entry->from_frame : entry->frame;
    sp_error error = {0};
    if (!edit_end(w, sp_review_set_active_scale(w->session.review, id, &error), &error)) return;
    act_go_frame(w, frame);
}

void act_drop_scale(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    const sp_scale_entry *active = sp_review_active_scale(w->session.review);
    if (active == NULL) {
        message_say(w, "No scale is in use.");
        return;
    }
    char id[SP_REVIEW_ID_MAX];
    snprintf(id, sizeof id, "%s", active->id);
    sp_error error = {0};
    edit_end(w, sp_review_set_scale(w->session.review, id, NULL, &error), &error);
}

/* The ball in free flight: how fast it falls tells how large a pixel is. */
void act_toss_scale(window *w, int unused) {
    (void)unused;
    if (!edit_allowed(w)) return;
    sp_review *review = w->session.review;
    const int from = sp_review_moment_frame(review, "release");
    const int to = sp_review_moment_frame(review, "contact");
    if (from < 0 || to <= from) {
        message_say(w, "Name release and contact, and tap the ball on frames between them first.");
        return;
    }
    const sp_scale_entry entry = {
        .id = "toss", .method = SP_SCALE_TOSS, .from_frame = from, .to_frame = to};
    sp_error error = {0};
    bool good = sp_review_set_scale(review, entry.id, &entry, &error);
    good = good && sp_review_set_active_scale(review, entry.id, &error);
    edit_end(w, good, &error);
}
