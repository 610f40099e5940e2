/* The sound of the stroke: when it was made, and the frame before it. */
#include <math.h>
#include <stdio.h>

#include "serveplumb/plane.h"
#include "window/actions.h"
#include "window/moments.h"
#include "window/state.h"

/* So many are offered, sharpest first. */
#define OFFERED_MOST 5
#define AIR_C 20.0   /* each 10 degrees change 20 m of air by 1 ms */
#define STROKE_M 2.6 /* how high the ball is met, more or less */

/* Where a foot is seen to stand; the middle of the baseline is 2 m off at the most, 6 ms. */
static sp_point stand(const window *w) {
    static const sp_point_name feet[] = {SP_POINT_LEFT_TOE, SP_POINT_RIGHT_TOE, SP_POINT_LEFT_ANKLE,
                                         SP_POINT_RIGHT_ANKLE};
    const sp_review *review = w->session.review;
    for (int m = 0; m < MOMENT_COUNT; m++)
        for (size_t i = 0; i < sizeof feet / sizeof feet[0]; i++) {
            const int frame = sp_review_moment_frame(review, moment_kind_at(m)->name);
            sp_mark mark;
            sp_point ground;
            if (frame >= 0 && sp_review_mark(review, frame, feet[i], &mark) &&
                sp_ground_from_picture(&w->court.pose.camera, mark.at, &ground, NULL, NULL))
                return ground;
        }
    return (sp_point){0, 0};
}

/* Of the air between player and camera, where the court tells; 0: not known. */
static double camera_distance_m(const window *w) {
    if (!w->court.fits) return 0;
    const sp_world eye = w->court.pose.position;
    const sp_point at = stand(w);
    return sqrt((eye.x - at.x) * (eye.x - at.x) + (eye.y - at.y) * (eye.y - at.y) +
                (eye.z - STROKE_M) * (eye.z - STROKE_M));
}

static bool find_onsets(window *w, sp_onset *onsets, size_t *count) {
    if (w->audio.sound == NULL) {
        message_say(w, w->audio.reading != NULL ? "The sound is still being read."
                                                : "The clip has no sound that can be read.");
        return false;
    }
    sp_error error = {0};
    if (!sp_sound_onsets(w->audio.sound, 0, w->session.facts->duration_s, onsets, OFFERED_MOST,
                         count, &error)) {
        message_problem(w, &error);
        return false;
    }
    if (*count == 0) message_say(w, "No sound of this clip begins sharply.");
    return *count > 0;
}

static void tell(window *w, double made_s, double away_m, size_t index, size_t count) {
    char which[64] = "The only sharp sound";
    if (count > 1) snprintf(which, sizeof which, "Sharp sound %zu of %zu", index + 1, count);
    const char *more = count > 1 ? " J goes to the next." : "";
    const double slowdown = sp_review_get_clip(w->session.review)->slowdown;
    const double late_s = sp_sound_made_at(0, 10, AIR_C);
    if (away_m > 0)
        message_say(w,
                    "%s: made %.3f s in, its way of %.0f m taken off. If it is the stroke, this is "
                    "the contact: press 4.%s",
                    which, made_s, away_m, more);
    else
        message_say(w,
                    "%s: heard %.3f s in. Each 10 m of air make it %.1f frames late: go back so "
                    "many, and if it is the stroke, press 4.%s",
                    which, made_s, -late_s * w->session.facts->rate * slowdown, more);
}

/* The stroke is the sharpest sound of a serve; a bounce or a voice may be sharper: it is offered,
 * not taken, and the next time the next. */
void act_sharpest_sound(window *w, int unused) {
    (void)unused;
    sp_onset onsets[OFFERED_MOST];
    size_t count = 0;
    if (!window_is_open(w) || !find_onsets(w, onsets, &count)) return;
    const size_t index = w->audio.offered % count;
    w->audio.offered = index + 1;
    const double slowdown = sp_review_get_clip(w->session.review)->slowdown;
    const double away_m = camera_distance_m(w);
    const double made_s = sp_sound_made_at(onsets[index].time_s / slowdown, away_m, AIR_C);
    act_go_frame(w, session_frame_at(&w->session, made_s));
    tell(w, made_s, away_m, index, count);
}
