#include "tapping.h"

#include <stdio.h>
#include <string.h>

#include "court.h"
#include "serveplumb/court.h"

/* The generator names points for a right-hander; the review by the side of the body. */
static sp_point_name name_of(const scene *s, body_point point) {
    sp_point_name name = SP_POINT_NOSE;
    sp_point_find(body_point_id(point, s->serve.left_handed), &name);
    return name;
}

static sp_point tap(scene *s, spot seen) {
    return (sp_point){seen.x + s->tap_sd * dice_normal(&s->dice),
                      seen.y + s->tap_sd * dice_normal(&s->dice)};
}

static bool mark(scene *s, sp_review *review, int frame, body_point point) {
    spot seen;
    if (frame < 0 || frame >= s->frames || !scene_see_smeared(s, frame, point, &seen)) return false;
    const sp_mark put = {.at = tap(s, seen), .by = SP_BY_TAP};
    if (sp_review_mark(review, frame, name_of(s, point), NULL)) return true;
    return sp_review_set_mark(review, frame, name_of(s, point), &put, NULL);
}

/* --- moments --------------------------------------------------------------------------------- */

/* One eye sees a gap of half a centimetre, another takes two. */
static int first_apart(scene *s) {
    const double seen_m = dice_between(&s->dice, 0.005, 0.02);
    for (int n = 0; n <= s->touch; ++n) {
        const double when = scene_when(s, n, AT_BALL);
        if (serve_hand_gap(&s->serve, when) > seen_m && when > s->serve.release_time) return n;
    }
    return -1;
}

static int lowest_tip(const scene *s, int from) {
    int lowest = from;
    for (int n = from; n <= s->touch; ++n)
        if (scene_place(s, n, AT_RACQUET_TIP).z < scene_place(s, lowest, AT_RACQUET_TIP).z)
            lowest = n;
    return lowest;
}

/* The last on which the ball's row is read before the touch. */
static int last_before_touch(const scene *s) {
    return scene_when(s, s->touch, AT_BALL) > 0.0 ? s->touch - 1 : s->touch;
}

static int nearest(const scene *s, double time) {
    const int n = (int)lround(time * s->rate + s->touch + s->phase);
    return n < 0 || n >= s->frames ? -1 : n;
}

static bool name_moments(scene *s, tapping *t) {
    t->at.release = first_apart(s);
    t->at.trophy = nearest(s, TROPHY_TIME - scene_when(s, nearest(s, TROPHY_TIME), AT_HIT_ELBOW) +
                                  scene_time(s, nearest(s, TROPHY_TIME)));
    t->at.drop = lowest_tip(s, t->at.trophy);
    t->at.contact = last_before_touch(s);
    t->at.bounce = nearest(s, s->serve.shot.bounce_time);
    sp_review *r = t->review;
    return t->at.release >= 0 && t->at.trophy >= 0 &&
           sp_review_set_moment(r, "release", t->at.release, NULL) &&
           sp_review_set_moment(r, "trophy", t->at.trophy, NULL) &&
           sp_review_set_moment(r, "drop", t->at.drop, NULL) &&
           sp_review_set_moment(r, "contact", t->at.contact, NULL) &&
           (t->at.bounce < 0 || sp_review_set_moment(r, "bounce", t->at.bounce, NULL));
}

/* From 100 ms before contact to 50 ms after. */
static void mark_head(scene *s, tapping *t) {
    const int first = t->at.contact - (int)floor(0.1 * s->rate + 1e-6);
    const int last = t->at.contact + (int)floor(0.05 * s->rate + 1e-6);
    const int step = (last - first) / 6 > 1 ? (last - first) / 6 : 1;
    for (int n = first; n < last; n += step) mark(s, t->review, n, AT_HIT_EAR);
    mark(s, t->review, last, AT_HIT_EAR);
}

static void mark_all(scene *s, tapping *t) {
    const int stops[] = {t->at.release, t->at.trophy, t->at.drop, t->at.contact};
    for (size_t i = 0; i < sizeof stops / sizeof *stops; ++i)
        for (body_point p = 0; p < NAMED_POINTS; ++p) mark(s, t->review, stops[i], p);
    for (int n = t->at.drop; n <= t->at.contact; ++n) {
        mark(s, t->review, n, AT_RACQUET_TIP);
        mark(s, t->review, n, AT_HIT_HAND);
        mark(s, t->review, n, AT_HIT_ELBOW);
    }
    const int step = s->rate > 100.0 ? (int)lround(s->rate / 60.0) : 1;
    for (int n = t->at.release; n <= t->at.contact; n += step) mark(s, t->review, n, AT_BALL);
    for (int n = t->at.contact + 1; n <= t->at.contact + 8; ++n) mark(s, t->review, n, AT_BALL);
    mark_head(s, t);
    mark(s, t->review, t->at.bounce, AT_BALL);
}

/* --- scales ---------------------------------------------------------------------------------- */

/* A known length on the ground along the plane of motion, laid by the feet as nearly as the library
 * takes it to be: 5 % of the camera's distance from the side, 8.3 % else (scale.h). */
static bool set_line(scene *s, tapping *t) {
    const double relative = s->view == VIEW_SIDE ? 0.05 : 0.083, half = 0.9;
    const vector along_plane = scene_along(s), up = vec(0.0, 0.0, 1.0);
    const vector across = cross(along_plane, up);
    const double off = relative * s->away_m * dice_normal(&s->dice);
    const vector middle = add(vec(s->place.x, s->place.y, 0.0), scale(across, off));
    spot a, b;
    if (!camera_sees(&s->camera, along(middle, along_plane, -half), &a) ||
        !camera_sees(&s->camera, along(middle, along_plane, half), &b) || !scene_in_picture(s, a) ||
        !scene_in_picture(s, b))
        return false;
    const double said = 2.0 * half * (1.0 + 0.005 * dice_normal(&s->dice));
    const sp_scale_entry entry = {.method = SP_SCALE_LINE,
                                  .a = tap(s, a),
                                  .b = tap(s, b),
                                  .distance_m = said,
                                  .distance_name = "tape"};
    return sp_review_set_scale(t->review, "line", &entry, NULL);
}

/* ITF CS 04/02: rectangular, 0.1 % of the distance or 5 mm, 10 mm more from the net on. */
static vector painted_at(scene *s, vector at) {
    const double net = at.y > 11.0 ? 0.010 : 0.0;
    const double x = fabs(at.x) > 5.0 ? 0.001 * fabs(at.x) : 0.005;
    const double y = (at.y > 5.0 ? 0.001 * at.y : 0.005) + net;
    if (at.x != 0.0 || at.y != 0.0) at.x += dice_between(&s->dice, -x, x);
    if (at.y != 0.0 || at.x != 0.0) at.y += dice_between(&s->dice, -y, y);
    if (at.z > 0.0) at.z += dice_between(&s->dice, -0.01, 0.01);
    return at;
}

static bool set_court(scene *s, tapping *t) {
    sp_scale_entry entry = {.method = SP_SCALE_COURT};
    size_t ground = 0;
    for (size_t i = 0; i < court_landmark_count; ++i) {
        const sp_landmark *named = sp_landmark_find(court_landmarks[i].id);
        spot seen;
        if (named == NULL) {
            fprintf(stderr, "the library has no landmark %s\n", court_landmarks[i].id);
            return false;
        }
        if (!camera_sees(&s->camera, painted_at(s, court_landmarks[i].at), &seen) ||
            !scene_in_picture(s, seen))
            continue;
        entry.landmarks[entry.landmark_count++] = (sp_landmark_tap){named, tap(s, seen), 0};
        ground += sp_landmark_on_ground(named) ? 1 : 0;
    }
    return ground >= 5 && sp_review_set_scale(t->review, "court", &entry, NULL);
}

/* --- the review ------------------------------------------------------------------------------ */

static sp_net net_of(const scene *s) {
    if (s->view == VIEW_BACK) return SP_NET_AWAY;
    if (s->view == VIEW_FRONT) return SP_NET_TOWARD;
    return s->camera.right.y > 0.0 ? SP_NET_RIGHT : SP_NET_LEFT;
}

static bool set_facts(const scene *s, tapping *t) {
    static const sp_view views[] = {SP_VIEW_SIDE, SP_VIEW_BACK, SP_VIEW_FRONT};
    const sp_player player = {.hand = s->serve.left_handed ? SP_HAND_LEFT : SP_HAND_RIGHT,
                              .stature_m = s->stature_said,
                              .racquet_m = 0.685};
    return sp_review_set_player(t->review, &player, NULL) &&
           sp_review_set_view(t->review, views[s->view], net_of(s), NULL) &&
           sp_review_set_points_sd(t->review, s->tap_sd, NULL);
}

bool tapping_make(scene *s, tapping *t) {
    sp_review_clip clip = {.file = "simulated.mp4",
                           .frames = s->frames,
                           .width = s->camera.width,
                           .height = s->camera.height,
                           .slowdown = 1.0,
                           .row_time_s = s->rows_said ? s->camera.row_time : 0.0,
                           .exposure_s = s->exposure_said ? s->exposure_s : 0.0};
    memset(clip.sha256, 'a', 64);
    *t = (tapping){.review = sp_review_new(&clip, NULL)};
    if (t->review != NULL && set_facts(s, t) && name_moments(s, t) && set_line(s, t)) {
        mark_all(s, t);
        t->has_court = set_court(s, t);
        return true;
    }
    sp_review_free(t->review);
    return false;
}
