/* What the pose refuses, and how it names a wrong landmark. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "court_camera.h"

static const char *const SEVEN[] = {
    "near_centre_mark",           "near_left_singles_corner", "near_right_singles_corner", "near_t",
    "near_right_service_singles", "net_right_singles",        "near_right_doubles_corner"};

static const sp_pose_options PLAIN = {.radial_given = true};

static void tap_seven(sp_landmark_tap taps[7], uint64_t seed) {
    const sp_camera camera = camera_a();
    sp_random *random = sp_random_new(seed, NULL);
    tap_all(&camera, SEVEN, 7, 1.0, random, taps);
    sp_random_free(random);
}

static sp_error refused(const sp_landmark_tap *taps, size_t count, const sp_pose_options *options,
                        sp_pose *pose) {
    sp_error error = {0};
    if (sp_pose_solve(taps, count, WIDTH, HEIGHT, options, pose, &error))
        fail_msg("solved, f = %g, misfit %g", pose->camera.focal_px, pose->misfit);
    assert_true(strlen(error.message) > 20);
    return error;
}

static void expect_words(const char *text, const char *words) {
    if (strstr(text, words) == NULL) fail_msg("\"%s\" does not say \"%s\"", text, words);
}

static void expect_refused(const sp_landmark_tap *taps, size_t count, const char *words) {
    sp_pose pose;
    const sp_error error = refused(taps, count, NULL, &pose);
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    expect_words(error.message, words);
}

/* --- layouts --------------------------------------------------------------------------------- */

static void three_landmarks_are_too_few(void **state) {
    (void)state;
    sp_landmark_tap taps[7];
    tap_seven(taps, 1);
    expect_refused(taps, 3, "4 or more");
    expect_refused(taps, 0, "4 or more");
}

static void net_tops_do_not_count_as_ground(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    const char *const names[] = {"near_centre_mark", "near_right_singles_corner", "near_t",
                                 "net_right_singles_top", "net_right_post_top"};
    sp_landmark_tap taps[5];
    tap_all(&camera, names, 5, 0, NULL, taps);
    expect_refused(taps, 5, "3 of the tapped landmarks lie on the ground");
}

static void baseline_alone_fixes_no_court_even_with_one_landmark_aside(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    const char *const names[] = {"near_centre_mark", "near_right_singles_corner",
                                 "near_right_doubles_corner", "near_left_singles_corner", "near_t"};
    sp_landmark_tap taps[5];
    tap_all(&camera, names, 5, 0, NULL, taps);
    expect_refused(taps, 4, "one line");
    expect_refused(taps, 5, "one line");
}

static void landmark_tapped_twice_is_named(void **state) {
    (void)state;
    sp_landmark_tap taps[7];
    tap_seven(taps, 2);
    taps[5].landmark = taps[3].landmark;
    expect_refused(taps, 7, "\"the T, server's end\" is tapped twice");
}

static void two_names_on_one_spot_are_named(void **state) {
    (void)state;
    sp_landmark_tap taps[7];
    tap_seven(taps, 3);
    taps[6].at = (sp_point){taps[2].at.x + 0.4, taps[2].at.y - 0.3};
    expect_refused(taps, 7, "tapped on one spot");
}

static void tap_that_is_no_number_is_named(void **state) {
    (void)state;
    sp_landmark_tap taps[7];
    tap_seven(taps, 4);
    taps[2].at.x = NAN;
    expect_refused(taps, 7, "\"right singles corner, server's end\"");
}

static void more_landmarks_than_fit_are_refused(void **state) {
    (void)state;
    sp_landmark_tap taps[SP_POSE_TAPS_MAX + 1] = {{0}};
    sp_pose pose;
    assert_int_equal(refused(taps, SP_POSE_TAPS_MAX + 1, NULL, &pose).code, SP_ERROR_LIMIT);
}

/* --- views ----------------------------------------------------------------------------------- */

static void court_seen_square_from_above_has_no_focal_length(void **state) {
    (void)state;
    /* straight down from 14 m: rows are the camera's axes x, y (down the picture), z */
    sp_camera camera = {.rotation = {1, 0, 0, 0, -1, 0, 0, 0, -1},
                        .translation = {-0.7, 2.9, 14},
                        .focal_px = 1300,
                        .centre = {WIDTH / 2.0, HEIGHT / 2.0}};
    const char *const names[] = {"near_centre_mark", "near_left_singles_corner",
                                 "near_right_singles_corner", "near_t",
                                 "near_left_service_singles"};
    sp_landmark_tap taps[5];
    tap_all(&camera, names, 5, 0, NULL, taps);
    expect_refused(taps, 5, "focal length cannot be had");
    sp_random *random = sp_random_new(71, NULL);
    for (int trial = 0; trial < 20; trial++) {
        tap_all(&camera, names, 5, 1, random, taps);
        sp_pose pose;
        assert_int_equal(refused(taps, 5, &PLAIN, &pose).code, SP_ERROR_ARGUMENT);
    }
    sp_random_free(random);
    const sp_pose_options given = {.focal_px = 1300};
    sp_pose pose;
    assert_true(sp_pose_solve(taps, 5, WIDTH, HEIGHT, &given, &pose, NULL));
    assert_near(pose.position.z, 14, 0.3);
}

static void far_camera_with_a_long_lens_is_refused_or_says_how_little_it_knows(void **state) {
    (void)state;
    const sp_camera camera = looking((sp_world){-3, -95, 4}, (sp_world){0, 3, 0.5}, -0.01, 17000);
    const char *const names[] = {"near_centre_mark", "near_left_singles_corner",
                                 "near_right_singles_corner", "near_t",
                                 "near_right_service_singles"};
    sp_random *random = sp_random_new(72, NULL);
    int refusals = 0, held = 0;
    for (int trial = 0; trial < 200; trial++) {
        sp_landmark_tap taps[5];
        tap_all(&camera, names, 5, 1.5, random, taps);
        sp_pose pose;
        sp_error error = {0};
        if (!sp_pose_solve(taps, 5, WIDTH, HEIGHT, &PLAIN, &pose, &error)) {
            refusals++;
            assert_int_equal(error.code, SP_ERROR_ARGUMENT);
        } else if (pose.focal_px.low <= 17000 && pose.focal_px.high >= 17000) {
            held++;
            assert_true(pose.focal_px.high / pose.focal_px.low > 1.2);
        }
    }
    sp_random_free(random);
    assert_true(refusals + held >= 183);
}

/* --- names ----------------------------------------------------------------------------------- */

static void left_and_right_exchanged_everywhere_is_said(void **state) {
    (void)state;
    sp_landmark_tap taps[7];
    tap_seven(taps, 8);
    for (int i = 0; i < 7; i++) taps[i].landmark = sp_landmark_mirrored(taps[i].landmark);
    sp_pose pose;
    const sp_error error = refused(taps, 7, NULL, &pose);
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    expect_words(error.message, "under the court");
    expect_words(error.message, "left and right seem to be exchanged in all names");
}

static void every_single_exchange_of_two_names_is_named(void **state) {
    (void)state;
    for (int i = 0; i < 7; i++)
        for (int j = i + 1; j < 7; j++) {
            sp_landmark_tap taps[7];
            tap_seven(taps, (uint64_t)(10 * i + j));
            const sp_landmark *kept = taps[i].landmark;
            taps[i].landmark = taps[j].landmark;
            taps[j].landmark = kept;
            sp_pose pose;
            const sp_error error = refused(taps, 7, &PLAIN, &pose);
            expect_words(error.message, "seem to be exchanged");
            expect_words(error.message, taps[i].landmark->name);
            expect_words(error.message, taps[j].landmark->name);
        }
}

static void one_tap_far_off_is_named_with_its_distance(void **state) {
    (void)state;
    for (int i = 0; i < 7; i++) {
        sp_landmark_tap taps[7];
        tap_seven(taps, (uint64_t)(100 + i));
        taps[i].at.x += 37;
        taps[i].at.y += 61;
        sp_pose pose;
        const sp_error error = refused(taps, 7, &PLAIN, &pose);
        assert_int_equal(error.code, SP_ERROR_MISMATCH);
        assert_int_equal(pose.suspect, i);
        expect_words(error.message, taps[i].landmark->name);
        expect_words(error.message, "px from where the other landmarks put it");
        assert_near(pose.taps[i].left_out_px, hypot(37, 61), 12);
        assert_near(sp_point_distance(pose.taps[i].expected, taps[i].at), pose.taps[i].left_out_px,
                    1e-9);
    }
}

static void singles_corner_tapped_as_the_doubles_corner_is_told_its_name(void **state) {
    (void)state;
    sp_landmark_tap taps[7];
    tap_seven(taps, 9);
    taps[1].landmark = sp_landmark_find("near_left_doubles_corner"); /* tapped: the singles one */
    sp_pose pose;
    const sp_error error = refused(taps, 7, &PLAIN, &pose);
    assert_int_equal(pose.suspect, 1);
    expect_words(error.message, "\"left doubles corner, server's end\" lies");
    expect_words(error.message, "just where \"left singles corner, server's end\" should be");
}

static void five_landmarks_can_contradict_without_telling_which(void **state) {
    (void)state;
    sp_landmark_tap taps[7];
    tap_seven(taps, 11);
    taps[4].at.x += 60;
    taps[4].at.y += 35;
    sp_pose pose;
    const sp_error error = refused(taps, 5, &PLAIN, &pose);
    assert_int_equal(error.code, SP_ERROR_MISMATCH);
    assert_int_equal(pose.suspect, -1);
    expect_words(error.message, "contradict one another");
}

/* Twice the noise that was said: no refusal, but the covariance has it. */
static void taps_worse_than_they_say_widen_the_intervals(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_random *random = sp_random_new(12, NULL);
    double said = 0, honest = 0;
    for (int trial = 0; trial < 40; trial++) {
        sp_landmark_tap taps[7];
        tap_all(&camera, SEVEN, 7, 2.0, random, taps);
        sp_pose pose;
        assert_true(sp_pose_solve(taps, 7, WIDTH, HEIGHT, &PLAIN, &pose, NULL));
        honest += pose.focal_px.high - pose.focal_px.low;
        for (int i = 0; i < 7; i++) taps[i].sd_px = 1.0;
        assert_true(sp_pose_solve(taps, 7, WIDTH, HEIGHT, &PLAIN, &pose, NULL));
        said += pose.focal_px.high - pose.focal_px.low;
    }
    sp_random_free(random);
    assert_true(said > 0.7 * honest);
}

static void honest_taps_are_hardly_ever_suspected(void **state) {
    (void)state;
    int suspected = 0;
    for (uint64_t seed = 1000; seed < 1300; seed++) {
        sp_landmark_tap taps[7];
        tap_seven(taps, seed);
        sp_pose pose;
        assert_true(sp_pose_solve(taps, 7, WIDTH, HEIGHT, NULL, &pose, NULL));
        suspected += pose.doubt[0] != '\0';
    }
    assert_true(suspected <= 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_landmarks_are_too_few),
        cmocka_unit_test(net_tops_do_not_count_as_ground),
        cmocka_unit_test(baseline_alone_fixes_no_court_even_with_one_landmark_aside),
        cmocka_unit_test(landmark_tapped_twice_is_named),
        cmocka_unit_test(two_names_on_one_spot_are_named),
        cmocka_unit_test(tap_that_is_no_number_is_named),
        cmocka_unit_test(more_landmarks_than_fit_are_refused),
        cmocka_unit_test(court_seen_square_from_above_has_no_focal_length),
        cmocka_unit_test(far_camera_with_a_long_lens_is_refused_or_says_how_little_it_knows),
        cmocka_unit_test(left_and_right_exchanged_everywhere_is_said),
        cmocka_unit_test(every_single_exchange_of_two_names_is_named),
        cmocka_unit_test(one_tap_far_off_is_named_with_its_distance),
        cmocka_unit_test(singles_corner_tapped_as_the_doubles_corner_is_told_its_name),
        cmocka_unit_test(five_landmarks_can_contradict_without_telling_which),
        cmocka_unit_test(taps_worse_than_they_say_widen_the_intervals),
        cmocka_unit_test(honest_taps_are_hardly_ever_suspected),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
