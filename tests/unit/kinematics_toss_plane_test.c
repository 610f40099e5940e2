/* The toss in metres of the plane: perspective, pitch and lens are in it, and pose and depth in its
 * interval. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "court_camera.h"
#include "serveplumb/plane.h"
#include "serveplumb/toss.h"

#define COUNT 44
static const sp_slowdown_ideas NONE = {NULL, 0};
static const char *const EIGHT[] = {"near_centre_mark",           "near_left_singles_corner",
                                    "near_left_doubles_corner",   "near_right_singles_corner",
                                    "near_right_doubles_corner",  "near_t",
                                    "near_right_service_singles", "net_right_singles"};
static const sp_world FOOT = {0.3, 0.1, 0};

/* Low and close, looking up: 11 degrees of pitch, strong perspective, some lens. */
static sp_camera low_camera(void) {
    sp_camera camera = looking((sp_world){-6.2, 0.3, 1.1}, (sp_world){0.3, 0.9, 2.4}, 0.013, 1350);
    camera.radial = -0.021;
    return camera;
}

/* A toss without drag, `aside` off the plane through the foot, seen at the true times. */
static void toss_seen(const sp_camera *camera, double aside, double noise, sp_random *random,
                      sp_sample *samples) {
    for (size_t i = 0; i < COUNT; i++) {
        const double t = (double)i / 59.7 + 0.0006 * sin(1.7 * (double)i);
        const sp_world ball = {FOOT.x + aside, FOOT.y + 0.35 + 0.42 * t,
                               1.71 + 4.6 * t - SP_GRAVITY / 2 * t * t};
        sp_point at;
        assert_true(sp_camera_project(camera, ball, &at));
        samples[i] = (sp_sample){7.3 + t, noisy(at, noise, random)};
    }
}

static sp_pose pose_of(const sp_camera *camera, double noise, sp_random *random) {
    sp_landmark_tap taps[8];
    tap_all(camera, EIGHT, 8, noise, random, taps);
    sp_pose pose;
    sp_error error = {0};
    if (!sp_pose_solve(taps, 8, WIDTH, HEIGHT, NULL, &pose, &error)) fail_msg("%s", error.message);
    return pose;
}

static sp_toss_place place_of(const sp_pose *pose, const sp_camera *camera, double noise,
                              sp_random *random) {
    sp_toss_place place = {.pose = pose, .foot_sd_px = noise, .direction = {0, 1}};
    assert_true(sp_camera_project(camera, FOOT, &place.foot_px));
    place.foot_px = noisy(place.foot_px, noise, random);
    return place;
}

/* The true camera with nothing uncertain about it. */
static sp_pose known(const sp_camera *camera) {
    return (sp_pose){.camera = *camera, .position = sp_camera_position(camera)};
}

static const sp_toss_options PLAIN = {.plain = true};

static void gravity_is_had_where_the_picture_alone_errs(void **state) {
    (void)state;
    const sp_camera camera = low_camera();
    const sp_pose pose = known(&camera);
    const sp_toss_place place = place_of(&pose, &camera, 0, NULL);
    sp_sample samples[COUNT];
    toss_seen(&camera, 0, 0, NULL, samples);
    sp_toss_gravity gravity;
    assert_true(sp_toss_fit_plane(samples, COUNT, &place, &PLAIN, &gravity, NULL));
    assert_digits(gravity.gravity.value, SP_GRAVITY, 1e-9);
    assert_near(gravity.acceleration.x, 0, 1e-8);
    assert_near(gravity.tilt_deg, 0, 1e-7);
    assert_true(gravity.rms_px < 1e-7);
    assert_string_equal(gravity.doubt, "");
    /* the picture's own scale is that of no single depth and pitch */
    sp_toss toss;
    sp_plane plane;
    assert_true(
        sp_plane_through(&camera, (sp_point){FOOT.x, FOOT.y}, (sp_point){0, 1}, &plane, NULL));
    assert_true(sp_toss_fit(samples, COUNT, &PLAIN, &toss, NULL));
    const double low = sp_plane_m_per_px(&plane, (sp_point){0.35, 1.71});
    const double high = sp_plane_m_per_px(&plane, (sp_point){0.55, 2.79});
    assert_true(toss.m_per_px.value / low > 1.03); /* one scale for a path that has many */
    assert_true(high / low > 1.05);
}

static void tap_noise_alone_is_covered(void **state) {
    (void)state;
    const sp_camera camera = low_camera();
    const sp_pose pose = known(&camera);
    const sp_toss_options options = {.plain = true, .sd_px = 1.2};
    sp_random *random = sp_random_new(811, NULL);
    int held = 0;
    for (int trial = 0; trial < 400; trial++) {
        sp_sample samples[COUNT];
        toss_seen(&camera, 0, 1.2, random, samples);
        const sp_toss_place place = place_of(&pose, &camera, 0, NULL);
        sp_toss_gravity gravity;
        assert_true(sp_toss_fit_plane(samples, COUNT, &place, &options, &gravity, NULL));
        assert_near(gravity.pose_sd, 0, 1e-12);
        const double off = log(gravity.gravity.value / SP_GRAVITY);
        held += fabs(off) <= 1.96 * gravity.noise_sd;
        assert_near(gravity.rms_px, 1.2, 0.4);
    }
    sp_random_free(random);
    assert_in_range(held, 368, 392);
}

/* Landmarks, foot and ball tapped with a pixel of noise, the ball off the plane by 0.2 m. */
static void gravity_interval_holds_the_truth_as_often_as_it_says(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    const sp_toss_options options = {.plain = true, .sd_px = 1};
    sp_random *random = sp_random_new(812, NULL);
    int held = 0, upright = 0;
    for (int trial = 0; trial < 300; trial++) {
        sp_sample samples[COUNT];
        toss_seen(&camera, 0.2 * sp_random_normal(random), 1, random, samples);
        const sp_pose pose = pose_of(&camera, 1, random);
        sp_toss_place place = place_of(&pose, &camera, 1, random);
        place.depth_sd_m = 0.2;
        sp_toss_gravity gravity;
        sp_error error = {0};
        if (!sp_toss_fit_plane(samples, COUNT, &place, &options, &gravity, &error))
            fail_msg("%s", error.message);
        held += gravity.gravity.low <= SP_GRAVITY && SP_GRAVITY <= gravity.gravity.high;
        upright += fabs(gravity.tilt_deg) <= 1.96 * gravity.tilt_sd_deg;
        assert_near(gravity.depth_sd, 0.2 / 9.3, 0.001);
    }
    sp_random_free(random);
    if (held < 276 || held > 295 || upright < 270)
        fail_msg("of 300: gravity %d, tilt %d", held, upright);
}

static void clock_is_told_by_gravity_itself(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_random *random = sp_random_new(813, NULL);
    const sp_pose pose = pose_of(&camera, 1, random);
    sp_toss_place place = place_of(&pose, &camera, 1, random);
    place.depth_sd_m = 0.3;
    sp_sample samples[COUNT];
    toss_seen(&camera, 0.1, 1, random, samples);
    sp_random_free(random);
    const double stretched[] = {1, 2, 4, 8, 25.0 / 30};
    for (size_t i = 0; i < 5; i++) {
        sp_sample labelled[COUNT];
        for (size_t k = 0; k < COUNT; k++)
            labelled[k] = (sp_sample){samples[k].time_s * stretched[i], samples[k].at};
        sp_toss_gravity gravity;
        sp_slowdown_check check;
        char words[400];
        const sp_toss_options options = {.sd_px = 1};
        assert_true(sp_toss_fit_plane(labelled, COUNT, &place, &options, &gravity, NULL));
        sp_toss_check_gravity(&gravity, 1, NONE, &check);
        assert_true(check.slowdown.low < stretched[i] && check.slowdown.high > stretched[i]);
        assert_true(check.relative_sd < 0.03);
        assert_int_equal(check.stated_compatible, i == 0);
        if (i < 4)
            assert_digits(check.candidates[check.likely].slowdown, stretched[i], 0);
        else
            assert_int_equal(check.likely, -1);
        sp_slowdown_words(&check, words, sizeof words);
        assert_non_null(strstr(words, i == 0 ? "falls as it should" : "not 1 as stated"));
    }
}

static void what_cannot_be_mapped_is_refused_with_the_planes_reason(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    const sp_pose pose = known(&camera);
    sp_toss_place place = place_of(&pose, &camera, 0, NULL);
    sp_sample samples[COUNT];
    toss_seen(&camera, 0, 0, NULL, samples);
    sp_toss_gravity gravity;
    sp_error error = {0};
    assert_false(sp_toss_fit_plane(samples, 3, &place, NULL, &gravity, &error));
    assert_non_null(strstr(error.message, "at least 5"));
    place.direction = (sp_point){9.3, 2.6};
    assert_false(sp_toss_fit_plane(samples, COUNT, &place, NULL, &gravity, &error));
    assert_non_null(strstr(error.message, "looks along the plane"));
    place.direction = (sp_point){0, 1};
    place.foot_px = (sp_point){900, 60};
    assert_false(sp_toss_fit_plane(samples, COUNT, &place, NULL, &gravity, &error));
    assert_non_null(strstr(error.message, "above the horizon"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gravity_is_had_where_the_picture_alone_errs),
        cmocka_unit_test(tap_noise_alone_is_covered),
        cmocka_unit_test(gravity_interval_holds_the_truth_as_often_as_it_says),
        cmocka_unit_test(clock_is_told_by_gravity_itself),
        cmocka_unit_test(what_cannot_be_mapped_is_refused_with_the_planes_reason),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
