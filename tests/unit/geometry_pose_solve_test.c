/* The pose from landmarks: exact data, noise, coverage of the intervals, given and missing lens. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "court_camera.h"
#include "geometry/pose_fit.h"
#include "serveplumb/draws.h"
#include "serveplumb/plane.h"

static const char *const EIGHT_OF_A[] = {"near_centre_mark",           "near_left_singles_corner",
                                         "near_left_doubles_corner",   "near_right_singles_corner",
                                         "near_right_doubles_corner",  "near_t",
                                         "near_right_service_singles", "net_right_singles"};

static const sp_pose_options PLAIN = {.radial_given = true};

static sp_pose solved(const sp_landmark_tap *taps, size_t count, const sp_pose_options *options) {
    sp_pose pose;
    sp_error error = {0};
    if (!sp_pose_solve(taps, count, WIDTH, HEIGHT, options, &pose, &error))
        fail_msg("%s", error.message);
    return pose;
}

static int by_size(const void *a, const void *b) {
    const double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

/* The closed form alone, from the same taps. */
static double closed_form_focal(const sp_landmark_tap *taps, size_t count) {
    sp_sight sights[SP_POSE_TAPS_MAX];
    for (size_t i = 0; i < count; i++)
        sights[i] = (sp_sight){.at = taps[i].landmark->at, .seen = taps[i].at, .sd_px = 1};
    const sp_lens_belief nothing = {.focal_sd = INFINITY};
    sp_camera starts[SP_POSE_STARTS_MAX];
    assert_true(sp_pose_starts(sights, count, (sp_point){WIDTH / 2.0, HEIGHT / 2.0}, 1101, &nothing,
                               starts) > 0);
    return starts[0].focal_px;
}

/* By an independent program (NumPy, closed form), 1 px on the 8 places of camera A that are in the
 * picture gives f = 1599 with 68 % of 300 trials in 1590..1608. The search must do better. */
static void pixel_noise_leaves_the_focal_length_as_wide_as_computed_elsewhere(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_random *random = sp_random_new(20270801, NULL);
    double closed[300], searched[300];
    for (int trial = 0; trial < 300; trial++) {
        sp_landmark_tap taps[8];
        tap_all(&camera, EIGHT_OF_A, 8, 0, NULL, taps);
        for (int i = 0; i < 8; i++) taps[i].at = noisy(taps[i].at, 1, random);
        closed[trial] = closed_form_focal(taps, 8);
        searched[trial] = solved(taps, 8, &PLAIN).camera.focal_px;
    }
    sp_random_free(random);
    qsort(closed, 300, sizeof closed[0], by_size);
    qsort(searched, 300, sizeof searched[0], by_size);
    assert_near(closed[150], 1599, 3);
    assert_near(closed[48], 1590, 3);
    assert_near(closed[252], 1608, 3);
    assert_true(searched[48] > closed[48] && searched[252] < closed[252]);
    assert_near(searched[150], 1600, 1.5);
}

/* --- coverage -------------------------------------------------------------------------------- */

typedef struct {
    int trials, focal, u, w;
} coverage;

static bool within(double truth, const double *sorted, size_t count) {
    return sorted[(size_t)(0.025 * (double)count)] <= truth &&
           truth <= sorted[(size_t)(0.975 * (double)count) - 1];
}

/* As a readout draws it: camera, foot and point together. */
static void count_plane(const sp_pose *pose, sp_point foot_px, sp_point at_px, sp_point truth,
                        sp_random *random, coverage *held) {
    enum { DRAWS = 200 };
    double u[DRAWS], w[DRAWS];
    for (int d = 0; d < DRAWS; d++) {
        double normals[SP_POSE_PARAMETERS];
        for (int k = 0; k < SP_POSE_PARAMETERS; k++) normals[k] = sp_random_normal(random);
        const sp_camera camera = sp_pose_vary(pose, normals);
        sp_point foot, in_plane;
        sp_plane plane;
        assert_true(sp_ground_from_picture(&camera, noisy(foot_px, 1, random), &foot, NULL, NULL));
        assert_true(sp_plane_through(&camera, foot, (sp_point){0, 1}, &plane, NULL));
        assert_true(sp_plane_from_picture(&plane, noisy(at_px, 1, random), &in_plane, NULL, NULL));
        u[d] = in_plane.x;
        w[d] = in_plane.y;
    }
    qsort(u, DRAWS, sizeof u[0], by_size);
    qsort(w, DRAWS, sizeof w[0], by_size);
    held->u += within(truth.x, u, DRAWS) ? 1 : 0;
    held->w += within(truth.y, w, DRAWS) ? 1 : 0;
}

static void expect_honest(coverage held) {
    const int counts[] = {held.focal, held.u, held.w};
    for (int i = 0; i < 3; i++)
        if (counts[i] < held.trials * 92 / 100 || counts[i] > held.trials * 98 / 100)
            fail_msg("of %d: f %d, u %d, w %d", held.trials, held.focal, held.u, held.w);
}

/* `lens`: the true k1 of each trial is drawn as the assumption says. */
static coverage cover(const char *const *names, size_t count, bool lens, uint64_t seed) {
    sp_random *random = sp_random_new(seed, NULL);
    coverage held = {.trials = 500};
    const sp_world foot = {0.3, 0.1, 0}, ball = {0.3, 0.65, 2.75};
    for (int trial = 0; trial < held.trials; trial++) {
        sp_camera camera = camera_a();
        if (lens) camera.radial = SP_POSE_LENS_SD * sp_random_normal(random);
        sp_landmark_tap taps[SP_POSE_TAPS_MAX];
        tap_all(&camera, names, count, 1.0, random, taps);
        const sp_pose pose = solved(taps, count, lens ? NULL : &PLAIN);
        held.focal += pose.focal_px.low <= camera.focal_px && camera.focal_px <= pose.focal_px.high;
        sp_point foot_px, ball_px;
        assert_true(sp_camera_project(&camera, foot, &foot_px));
        assert_true(sp_camera_project(&camera, ball, &ball_px));
        count_plane(&pose, noisy(foot_px, 1, random), noisy(ball_px, 1, random),
                    (sp_point){0.55, 2.75}, random, &held);
    }
    sp_random_free(random);
    return held;
}

static void intervals_hold_the_truth_as_often_as_they_say(void **state) {
    (void)state;
    expect_honest(cover(EIGHT_OF_A, 8, false, 91));
}

static void intervals_are_honest_with_five_landmarks_and_an_unknown_lens(void **state) {
    (void)state;
    const char *const names[] = {"near_left_doubles_corner", "near_centre_mark", "near_t",
                                 "near_right_doubles_corner", "net_right_singles"};
    expect_honest(cover(names, 5, true, 92));
}

static void intervals_are_honest_where_the_lens_is_found(void **state) {
    (void)state;
    expect_honest(cover(EIGHT_OF_A, 8, true, 93));
}

/* --- lens ------------------------------------------------------------------------------------ */

static void strong_lens_is_found_from_many_landmarks(void **state) {
    (void)state;
    sp_camera camera = camera_a();
    camera.radial = -0.137;
    sp_landmark_tap taps[SP_POSE_TAPS_MAX];
    tap_all(&camera, EIGHT_OF_A, 8, 0, NULL, taps);
    const sp_pose pose = solved(taps, 8, NULL);
    assert_int_equal(pose.lens, SP_LENS_SOLVED);
    assert_near(pose.camera.radial, -0.137, 1e-7);
    assert_digits(pose.camera.focal_px, camera.focal_px, 1e-7);
}

static void four_landmarks_give_a_pose_that_nothing_checks(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    const char *const names[] = {"near_left_doubles_corner", "near_t", "near_right_doubles_corner",
                                 "net_right_singles"};
    sp_landmark_tap taps[4];
    tap_all(&camera, names, 4, 0, NULL, taps);
    const sp_pose pose = solved(taps, 4, NULL);
    assert_int_equal(pose.lens, SP_LENS_ASSUMED);
    assert_true(pose.surplus < 3);
    assert_digits(pose.camera.focal_px, camera.focal_px, 1e-6);
    assert_none(pose.taps[0].left_out_px);
    assert_near(pose.radial_sd, SP_POSE_LENS_SD, 0.2 * SP_POSE_LENS_SD);
}

static void net_tops_fix_the_focal_length_better(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    const char *const names[] = {"near_centre_mark",           "near_right_singles_corner",
                                 "near_right_service_singles", "near_t",
                                 "net_right_singles_top",      "net_right_post_top"};
    sp_landmark_tap taps[6];
    tap_all(&camera, names, 6, 0, NULL, taps);
    const sp_pose without = solved(taps, 4, &PLAIN), with = solved(taps, 6, &PLAIN);
    assert_digits(with.camera.focal_px, camera.focal_px, 1e-6);
    assert_true(with.focal_px.high - with.focal_px.low <
                0.7 * (without.focal_px.high - without.focal_px.low));
}

static void given_focal_length_is_kept_and_a_given_spread_narrows(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_random *random = sp_random_new(5, NULL);
    sp_landmark_tap taps[8];
    tap_all(&camera, EIGHT_OF_A, 8, 1.0, random, taps);
    sp_random_free(random);
    const sp_pose_options exact = {.focal_px = 1600, .radial_given = true};
    const sp_pose_options about = {
        .focal_px = 1600, .focal_relative_sd = 0.004, .radial_given = true};
    const sp_pose fixed = solved(taps, 8, &exact), near = solved(taps, 8, &about);
    const sp_pose free = solved(taps, 8, &PLAIN);
    assert_near(fixed.camera.focal_px, 1600, 0);
    assert_near(fixed.focal_px.high, 1600, 0);
    assert_true(fabs(near.camera.focal_px - 1600) < fabs(free.camera.focal_px - 1600));
    assert_true(near.focal_px.high - near.focal_px.low < free.focal_px.high - free.focal_px.low);
    assert_int_equal(fixed.surplus, free.surplus + 1);
}

/* --- drawing --------------------------------------------------------------------------------- */

static void drawn_cameras_spread_as_the_covariance_says(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_random *random = sp_random_new(6, NULL);
    sp_landmark_tap taps[8];
    tap_all(&camera, EIGHT_OF_A, 8, 1.0, random, taps);
    const sp_pose pose = solved(taps, 8, &PLAIN);
    const double zero[SP_POSE_PARAMETERS] = {0};
    assert_near(sp_pose_vary(&pose, zero).focal_px, pose.camera.focal_px, 0);
    double sum = 0, squares = 0;
    enum { DRAWS = 4000 };
    for (int d = 0; d < DRAWS; d++) {
        double normals[SP_POSE_PARAMETERS];
        for (int k = 0; k < SP_POSE_PARAMETERS; k++) normals[k] = sp_random_normal(random);
        const double off = log(sp_pose_vary(&pose, normals).focal_px / pose.camera.focal_px);
        sum += off;
        squares += off * off;
    }
    sp_random_free(random);
    const double sd = sqrt(pose.covariance[6 * SP_POSE_PARAMETERS + 6]);
    assert_near(sum / DRAWS, 0, 4 * sd / sqrt(DRAWS));
    assert_digits(sqrt(squares / DRAWS), sd, 0.05);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pixel_noise_leaves_the_focal_length_as_wide_as_computed_elsewhere),
        cmocka_unit_test(intervals_hold_the_truth_as_often_as_they_say),
        cmocka_unit_test(intervals_are_honest_with_five_landmarks_and_an_unknown_lens),
        cmocka_unit_test(intervals_are_honest_where_the_lens_is_found),
        cmocka_unit_test(strong_lens_is_found_from_many_landmarks),
        cmocka_unit_test(four_landmarks_give_a_pose_that_nothing_checks),
        cmocka_unit_test(net_tops_fix_the_focal_length_better),
        cmocka_unit_test(given_focal_length_is_kept_and_a_given_spread_narrows),
        cmocka_unit_test(drawn_cameras_spread_as_the_covariance_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
