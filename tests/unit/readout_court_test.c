/* A serve on a court whose pose is tapped: what must not change a number. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "court_camera.h"
#include "filmed.h"
#include "near.h"
#include "serveplumb/compare.h"

typedef struct {
    bool mirrored;   /* player, court and picture */
    double roll;     /* of the camera, rad */
    double larger;   /* the picture, and the taps' deviation with it */
    double moved_m;  /* player and camera along the baseline */
    double slowdown; /* the clip's; 240 real frames/s */
} take;

static const double PLAYER_X = 0.31, PLAYER_Y = -0.62;

static sp_camera camera_of(const take *how) {
    return looking((sp_world){8.4 + how->moved_m, 0.7, 1.72},
                   (sp_world){0.2 + how->moved_m, 0.9, 1.31}, 0.013 + how->roll, 1390);
}

static sp_point on_film(const take *how, sp_point at) {
    if (how->mirrored) at.x = WIDTH - at.x;
    return sp_point_times(at, how->larger);
}

static bool in_picture(sp_point at) {
    return at.x >= 0 && at.y >= 0 && at.x <= WIDTH && at.y <= HEIGHT;
}

static void tap_court(const take *how, const sp_camera *camera, sp_review *review) {
    sp_scale_entry entry = {.method = SP_SCALE_COURT, .sd_px = how->larger};
    for (size_t i = 0; i < sp_landmark_count(); i++) {
        const sp_landmark *named = sp_landmark_at(i);
        sp_point seen;
        if (!sp_camera_project(camera, named->at, &seen) || !in_picture(seen)) continue;
        entry.landmarks[entry.landmark_count++] = (sp_landmark_tap){
            how->mirrored ? sp_landmark_mirrored(named) : named, on_film(how, seen), how->larger};
    }
    assert_true(entry.landmark_count >= 6);
    sp_error error = {0};
    if (!sp_review_set_scale(review, "court", &entry, &error)) fail_msg("%s", error.message);
    assert_true(sp_review_set_active_scale(review, "court", NULL));
}

/* The marks of the filmed serve, put where the camera sees them in the player's plane. */
static void tap_player(const take *how, const sp_camera *camera, const filmed *from,
                       sp_review *review) {
    for (size_t i = 0; i < sp_review_marked_count(from->review); i++) {
        const int frame = sp_review_marked_frame(from->review, i);
        for (int name = 0; name < SP_POINT_COUNT; name++) {
            sp_mark mark;
            if (!sp_review_mark(from->review, frame, (sp_point_name)name, &mark)) continue;
            const sp_world at = {PLAYER_X + how->moved_m, PLAYER_Y + (mark.at.x - 540) * 0.005,
                                 (1290 - mark.at.y) * 0.005};
            sp_point seen;
            assert_true(sp_camera_project(camera, at, &seen));
            if (!in_picture(seen)) continue;
            const sp_mark put = {.at = on_film(how, seen), .by = SP_BY_TAP};
            const sp_point_name as = sp_point_for_hand(
                (sp_point_name)name, how->mirrored ? SP_HAND_LEFT : SP_HAND_RIGHT);
            assert_true(sp_review_set_mark(review, frame, as, &put, NULL));
        }
    }
}

static sp_review *taken(const take *how, const filmed *from) {
    sp_review_clip clip = {.file = "serve.mp4",
                           .frames = from->film.frames,
                           .width = (int)(WIDTH * how->larger),
                           .height = (int)(HEIGHT * how->larger),
                           .slowdown = how->slowdown};
    memset(clip.sha256, 'a', 64);
    sp_review *review = sp_review_new(&clip, NULL);
    assert_non_null(review);
    sp_player player = *sp_review_get_player(from->review);
    player.hand = how->mirrored ? SP_HAND_LEFT : SP_HAND_RIGHT;
    assert_true(sp_review_set_player(review, &player, NULL));
    assert_true(
        sp_review_set_view(review, SP_VIEW_SIDE, how->mirrored ? SP_NET_LEFT : SP_NET_RIGHT, NULL));
    assert_true(sp_review_set_points_sd(review, 1.5 * how->larger, NULL));
    for (size_t i = 0; i < sp_review_moment_count(from->review); i++) {
        const sp_moment *moment = sp_review_moment_at(from->review, i);
        assert_true(sp_review_set_moment(review, moment->name, moment->frame, NULL));
    }
    const sp_camera camera = camera_of(how);
    tap_player(how, &camera, from, review);
    tap_court(how, &camera, review);
    return review;
}

static sp_readout *read_of(const take *how) {
    filmed from = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 240});
    sp_review *review = taken(how, &from);
    for (int i = 0; i < from.film.frames; i++) from.seconds[i] = i * how->slowdown / 240;
    const sp_readout_options options = {.draws = 1500};
    sp_error error = {0};
    sp_readout *readout =
        sp_readout_new(review, (sp_frame_times){from.seconds, from.film.frames}, &options, &error);
    if (readout == NULL) fail_msg("%s", error.message);
    assert_string_equal(sp_readout_scale(readout).id, "court");
    sp_review_free(review);
    filmed_free(&from);
    return readout;
}

static const take PLAIN = {.larger = 1, .slowdown = 1};

/* Values to 1e-6 of their size or interval; ends of intervals within a share of the interval, for
 * the draws fall elsewhere. */
static void assert_same(take other, double ends) {
    sp_readout *ra = read_of(&PLAIN), *rb = read_of(&other);
    int numbers = 0;
    for (size_t i = 0; i < sp_readout_count(ra); i++) {
        const sp_measure *a = sp_readout_at(ra, i), *b = sp_readout_at(rb, i);
        assert_int_equal(a->status, b->status);
        /* From elsewhere a serve into the same box crosses the plane of motion at another angle. */
        const bool struck = strncmp(a->kind->id, "ball_", 5) == 0;
        if (isnan(a->value.value) || (struck && other.moved_m != 0)) continue;
        const double width = a->value.high - a->value.low;
        const double size = fmax(width, fabs(a->value.value));
        assert_near(b->value.value, a->value.value, 1e-6 * size);
        assert_near(b->value.low, a->value.low, ends * width);
        assert_near(b->value.high, a->value.high, ends * width);
        numbers++;
    }
    assert_true(numbers >= 36);
    sp_readout_free(ra);
    sp_readout_free(rb);
}

static void left_hander_on_the_mirrored_court_has_the_same_numbers(void **state) {
    (void)state;
    assert_same((take){.larger = 1, .slowdown = 1, .mirrored = true}, 0.15);
}

static void camera_held_aslant_changes_no_number(void **state) {
    (void)state;
    assert_same((take){.larger = 1, .slowdown = 1, .roll = -0.07}, 0.15);
}

static void larger_picture_with_as_much_larger_taps_changes_no_number(void **state) {
    (void)state;
    assert_same((take){.larger = 1.5, .slowdown = 1}, 0.15);
}

/* Other landmarks come near the picture's edge, so that the intervals are a little others. */
static void player_and_camera_elsewhere_on_the_baseline_change_no_number(void **state) {
    (void)state;
    assert_same((take){.larger = 1, .slowdown = 1, .moved_m = 0.45}, 0.4);
}

static void slowdown_known_changes_no_number(void **state) {
    (void)state;
    assert_same((take){.larger = 1, .slowdown = 8}, 1e-6);
}

static sp_readout *kept_of(const sp_readout *readout) {
    size_t length;
    char *bytes = sp_readout_detach_kept(readout, &length, NULL);
    assert_non_null(bytes);
    sp_readout *kept = sp_readout_new_kept(bytes, length, NULL);
    assert_non_null(kept);
    free(bytes);
    return kept;
}

static char *compared(const sp_review *review, const sp_readout *one, const sp_readout *other) {
    const sp_serve serves[] = {{review, one}, {review, other}};
    const sp_day before = {"before", &serves[0], 1}, after = {"after", &serves[1], 1};
    sp_comparison *comparison = sp_comparison_new(&before, &after, NULL, NULL);
    assert_non_null(comparison);
    char *json = sp_comparison_detach_json(comparison, &before, &after, NULL);
    assert_non_null(json);
    sp_comparison_free(comparison);
    return json;
}

/* By the court it is known how far apart two cameras look, and that moves what is detectable. */
static void two_days_that_were_kept_compare_as_they_did(void **state) {
    (void)state;
    filmed from = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 240});
    const take elsewhere = {.larger = 1, .slowdown = 1, .moved_m = 0.45};
    sp_readout *one = read_of(&PLAIN), *other = read_of(&elsewhere);
    sp_readout *one_kept = kept_of(one), *other_kept = kept_of(other);
    char *made = compared(from.review, one, other);
    char *kept = compared(from.review, one_kept, other_kept);
    assert_string_equal(made, kept);
    free(made);
    free(kept);
    sp_readout_free(one);
    sp_readout_free(other);
    sp_readout_free(one_kept);
    sp_readout_free(other_kept);
    filmed_free(&from);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(left_hander_on_the_mirrored_court_has_the_same_numbers),
        cmocka_unit_test(camera_held_aslant_changes_no_number),
        cmocka_unit_test(larger_picture_with_as_much_larger_taps_changes_no_number),
        cmocka_unit_test(player_and_camera_elsewhere_on_the_baseline_change_no_number),
        cmocka_unit_test(slowdown_known_changes_no_number),
        cmocka_unit_test(two_days_that_were_kept_compare_as_they_did),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
