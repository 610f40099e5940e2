/* Landmarks, homography, pose and plane against ITF numbers and against exact pinhole projections
 * computed elsewhere (NumPy): three cameras with f = 1600 px and no lens term,
 *   A at (-9, -2.5, 1.6) looking at (0, 1.5, 1.2), rolled by 0.02 rad;
 *   B at (1.5, -8, 2.2) looking at (0.2, 6, 0.8);
 *   D at (0, -8, 2.2) looking at (0, 6, 0.8), square on to the baseline.
 * Their pixel centres are at whole numbers and their axis at (960, 540): half a pixel is added at
 * the door, and the picture is the one whose middle is (960.5, 540.5). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "geometry/homography.h"
#include "geometry/pose_fit.h"
#include "serveplumb/court.h"
#include "serveplumb/plane.h"

#define WIDTH 1921
#define HEIGHT 1081

static const struct {
    char camera;
    const char *landmark;
    sp_point at;
} SEEN[] = {
    {'A', "near_centre_mark", {1200.063858, 745.843658}},
    {'A', "near_left_singles_corner", {881.189657, 939.155821}},
    {'A', "near_left_doubles_corner", {650.711882, 1078.879126}},
    {'A', "near_right_singles_corner", {1335.388849, 663.805139}},
    {'A', "near_right_doubles_corner", {1364.702406, 646.034285}},
    {'A', "near_t", {457.449100, 707.442053}},
    {'A', "near_right_service_singles", {755.646274, 646.798731}},
    {'A', "net_right_singles", {261.779328, 632.311434}},
    {'B', "near_centre_mark", {814.363260, 807.778336}},
    {'B', "near_left_singles_corner", {63.841643, 789.109951}},
    {'B', "near_right_singles_corner", {1636.781240, 828.235063}},
    {'B', "near_t", {931.235370, 638.541296}},
    {'B', "near_left_service_singles", {466.985254, 631.616545}},
    {'B', "near_right_service_singles", {1421.835748, 645.859088}},
    {'B', "net_left_singles", {666.289740, 553.755600}},
    {'B', "net_right_singles", {1321.130973, 560.413558}},
    {'B', "net_centre_top", {987.656230, 484.197435}},
    {'D', "near_centre_mark", {960.000000, 812.506083}},
    {'D', "near_left_singles_corner", {155.070984, 812.506083}},
    {'D', "near_right_singles_corner", {1764.929016, 812.506083}},
    {'D', "near_t", {960.000000, 639.382478}},
    {'D', "near_left_service_singles", {477.268100, 639.382478}},
    {'D', "near_right_service_singles", {1442.731900, 639.382478}},
    {'D', "net_left_singles", {630.937947, 556.812286}},
    {'D', "net_right_singles", {1289.062053, 556.812286}},
    {'D', "net_centre_top", {960.000000, 483.794690}},
};

static sp_point door(double u, double v) { return (sp_point){u + 0.5, v + 0.5}; }

static size_t taps_of(char camera, sp_landmark_tap taps[SP_POSE_TAPS_MAX]) {
    size_t count = 0;
    for (size_t i = 0; i < sizeof SEEN / sizeof SEEN[0]; i++) {
        if (SEEN[i].camera != camera) continue;
        const sp_landmark *landmark = sp_landmark_find(SEEN[i].landmark);
        assert_non_null(landmark);
        taps[count++] = (sp_landmark_tap){landmark, door(SEEN[i].at.x, SEEN[i].at.y), 1.0};
    }
    return count;
}

static sp_pose pose_of(char camera) {
    sp_landmark_tap taps[SP_POSE_TAPS_MAX];
    const size_t count = taps_of(camera, taps);
    const sp_pose_options plain = {.radial_given = true};
    sp_pose pose;
    sp_error error = {0};
    if (!sp_pose_solve(taps, count, WIDTH, HEIGHT, &plain, &pose, &error))
        fail_msg("%c: %s", camera, error.message);
    return pose;
}

/* --- landmarks ------------------------------------------------------------------------------- */

static double between(const char *a, const char *b) {
    const sp_world p = sp_landmark_find(a)->at, q = sp_landmark_find(b)->at;
    return hypot(hypot(p.x - q.x, p.y - q.y), p.z - q.z);
}

/* ITF Rules of Tennis, Rule 1, and the distances of the court table, which has them from there. */
static void landmarks_lie_as_far_apart_as_the_rules_say(void **state) {
    (void)state;
    const struct {
        const char *a, *b, *distance;
    } rows[] = {
        {"near_centre_mark", "near_left_singles_corner", "baseline_half_singles"},
        {"near_right_doubles_corner", "near_left_doubles_corner", "baseline_doubles"},
        {"near_right_singles_corner", "near_right_doubles_corner", "baseline_alley"},
        {"near_centre_mark", "near_t", "centre_mark_to_t"},
        {"near_left_singles_corner", "near_left_service_singles", "back_court_depth"},
        {"near_right_service_singles", "net_right_singles", "service_box_depth"},
        {"near_left_service_singles", "net_centre", "service_box_diagonal"},
        {"near_left_service_singles", "net_right_singles", "both_boxes_diagonal"},
        {"near_left_doubles_corner", "net_left_doubles", "baseline_to_net"},
        {"near_left_doubles_corner", "net_right_doubles", "half_court_doubles_diagonal"},
        {"net_left_singles", "far_right_singles_corner", "half_court_singles_diagonal"},
        {"near_left_singles_corner", "far_right_singles_corner", "full_singles_diagonal"},
        {"near_right_doubles_corner", "far_left_doubles_corner", "full_doubles_diagonal"},
        {"near_centre_mark", "far_t", "centre_mark_to_far_t"},
        {"near_centre_mark", "far_left_service_singles", "centre_mark_to_far_service_corner"},
        {"net_centre", "net_centre_top", "net_height_centre"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_near(between(rows[i].a, rows[i].b),
                    sp_court_distance_find(rows[i].distance)->distance_m, 1e-12);
    assert_near(between("near_centre_mark", "far_centre_mark"), 78 * 0.3048, 1e-12);
}

/* Rule 1: posts 3 ft outside the doubles court, cord at 3 ft 6 in; a straight cord is then at
 * 1.0124 m over the singles sideline (computed by hand from these). */
static void net_tops_follow_a_straight_cord(void **state) {
    (void)state;
    const sp_landmark *post = sp_landmark_find("net_right_post_top");
    assert_near(post->at.x, (18 + 3) * 0.3048, 1e-12);
    assert_near(post->at.z, 1.0668, 1e-12);
    assert_near(sp_landmark_find("net_left_singles_top")->at.z, 1.0124, 5e-5);
    assert_near(sp_landmark_find("net_left_singles_top")->sd.z, 0.02 / sqrt(3), 1e-12);
}

/* --- homography ------------------------------------------------------------------------------ */

/* (0,0), (1,0), (1,1), (0,1) to (0,0), (4,0), (3,2), (1,2): H = [4 2 0; 0 4 0; 0 1 1] by algebra.
 */
static void unit_square_has_its_homography_exactly(void **state) {
    (void)state;
    const sp_point from[] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    const sp_point to[] = {{0, 0}, {4, 0}, {3, 2}, {1, 2}};
    const double expected[9] = {4, 2, 0, 0, 4, 0, 0, 1, 1};
    sp_homography homography;
    for (int refine = 0; refine < 2; refine++) {
        assert_true(sp_homography_fit(from, to, 4, refine == 1, &homography));
        for (int k = 0; k < 9; k++)
            assert_near(homography.h[k] / homography.h[8], expected[k], 1e-9);
        const sp_point middle = sp_homography_apply(homography.h, (sp_point){0.5, 0.5});
        assert_near(middle.x, 2, 1e-9);
        assert_near(middle.y, 4.0 / 3, 1e-9);
        assert_none(homography.rms);
        assert_true(homography.separation < 1e-12);
    }
}

static const struct {
    char camera;
    double h[9];
} HOMOGRAPHIES[] = {
    {'A',
     {164.0364377464, -115.3883385296, 1200.0638579365, 45.2551351980, 23.8797640569,
      745.8436575387, 0.0982103885, 0.0436490615, 1}},
    {'B',
     {181.6864792292, 132.7034577602, 814.3632598232, -4.2287531147, 45.5404181583, 807.7783362689,
      -0.0111082628, 0.1196274460, 1}},
    {'D',
     {195.6180169561, 116.7883211679, 960, 0, 46.2287104623, 812.5060827251, 0, 0.1216545012, 1}},
};
#define CAMERA_COUNT (sizeof HOMOGRAPHIES / sizeof HOMOGRAPHIES[0])

/* The pixels are rounded to a millionth, which is what remains. */
static void court_homographies_have_their_elements(void **state) {
    (void)state;
    for (size_t c = 0; c < CAMERA_COUNT; c++) {
        sp_landmark_tap taps[SP_POSE_TAPS_MAX];
        sp_point from[SP_POSE_TAPS_MAX], to[SP_POSE_TAPS_MAX];
        const size_t count = taps_of(HOMOGRAPHIES[c].camera, taps);
        size_t ground = 0;
        for (size_t i = 0; i < count; i++) {
            if (!sp_landmark_on_ground(taps[i].landmark)) continue;
            from[ground] = (sp_point){taps[i].landmark->at.x, taps[i].landmark->at.y};
            to[ground++] = sp_point_subtract(taps[i].at, door(0, 0));
        }
        sp_homography homography;
        assert_true(sp_homography_fit(from, to, ground, true, &homography));
        for (int k = 0; k < 9; k++)
            assert_near(homography.h[k] / homography.h[8], HOMOGRAPHIES[c].h[k],
                        1e-7 + 1e-7 * fabs(HOMOGRAPHIES[c].h[k]));
        assert_true(homography.rms < 1e-6);
        for (size_t i = 0; i < ground; i++)
            assert_near(sp_point_distance(sp_homography_apply(homography.h, from[i]), to[i]), 0,
                        1e-6);
    }
}

/* Also square on to the baseline, where one of the two equations for f is 0/0. */
static void closed_form_finds_the_focal_length_in_every_view(void **state) {
    (void)state;
    for (size_t c = 0; c < CAMERA_COUNT; c++) {
        sp_landmark_tap taps[SP_POSE_TAPS_MAX];
        const size_t count = taps_of(HOMOGRAPHIES[c].camera, taps);
        sp_sight sights[SP_POSE_TAPS_MAX];
        for (size_t i = 0; i < count; i++)
            sights[i] = (sp_sight){.at = taps[i].landmark->at, .seen = taps[i].at, .sd_px = 1};
        const sp_lens_belief nothing = {.focal_sd = INFINITY};
        sp_camera starts[SP_POSE_STARTS_MAX];
        assert_int_equal(
            sp_pose_starts(sights, count, (sp_point){960.5, 540.5}, 1100, &nothing, starts), 1);
        assert_digits(starts[0].focal_px, 1600.0, 1e-6);
    }
}

/* --- pose ------------------------------------------------------------------------------------ */

static void camera_a_has_its_published_pose(void **state) {
    (void)state;
    const double rotation[9] = {0.4053156339,  -0.9139583956, -0.0199821932,
                                -0.0451976424, 0.0017970506,  -0.9989764480,
                                0.9130588207,  0.4058039203,  -0.0405804033};
    const double translation[3] = {1.3949162254, 1.1960761618, 9.2969678143};
    const sp_pose pose = pose_of('A');
    assert_digits(pose.camera.focal_px, 1600.0, 1e-6);
    for (int k = 0; k < 9; k++) assert_near(pose.camera.rotation[k], rotation[k], 1e-7);
    for (int k = 0; k < 3; k++) assert_near(pose.camera.translation[k], translation[k], 1e-5);
    assert_near(pose.camera.centre.x, 960.5, 0);
    assert_near(pose.camera.centre.y, 540.5, 0);
}

static void cameras_stand_where_they_were_put(void **state) {
    (void)state;
    const struct {
        char camera;
        sp_world at;
    } rows[] = {{'A', {-9, -2.5, 1.6}}, {'B', {1.5, -8, 2.2}}, {'D', {0, -8, 2.2}}};
    for (size_t i = 0; i < 3; i++) {
        const sp_pose pose = pose_of(rows[i].camera);
        assert_digits(pose.camera.focal_px, 1600.0, 1e-6);
        assert_near(pose.position.x, rows[i].at.x, 1e-5);
        assert_near(pose.position.y, rows[i].at.y, 1e-5);
        assert_near(pose.position.z, rows[i].at.z, 1e-5);
        assert_true(pose.rms_px < 1e-5);
        assert_int_equal(pose.suspect, -1);
        assert_string_equal(pose.doubt, "");
        assert_int_equal(pose.lens, SP_LENS_GIVEN);
    }
}

static void lens_term_is_found_to_be_none_where_there_is_none(void **state) {
    (void)state;
    const char cameras[] = {'A', 'B', 'D'};
    for (size_t c = 0; c < 3; c++) {
        sp_landmark_tap taps[SP_POSE_TAPS_MAX];
        const size_t count = taps_of(cameras[c], taps);
        sp_pose pose;
        assert_true(sp_pose_solve(taps, count, WIDTH, HEIGHT, NULL, &pose, NULL));
        assert_near(pose.camera.radial, 0, 1e-6);
        assert_digits(pose.camera.focal_px, 1600.0, 2e-6);
    }
}

/* --- plane ----------------------------------------------------------------------------------- */

static void racquet_and_hip_have_their_place_in_the_side_plane(void **state) {
    (void)state;
    const sp_pose pose = pose_of('A');
    sp_plane plane;
    assert_true(
        sp_plane_through(&pose.camera, (sp_point){0.30, 0.10}, (sp_point){0, 1}, &plane, NULL));
    sp_point at;
    assert_true(sp_plane_from_picture(&plane, door(1102.751233, 282.714747), &at, NULL, NULL));
    assert_near(at.x, 0.55, 2e-6);
    assert_near(at.y, 2.75, 2e-6);
    assert_true(sp_plane_from_picture(&plane, door(1170.764633, 578.853016), &at, NULL, NULL));
    assert_near(at.x, 0.15, 2e-6);
    assert_near(at.y, 0.95, 2e-6);
    sp_point ground;
    assert_true(
        sp_ground_from_picture(&pose.camera, door(1197.235834, 736.880949), &ground, NULL, NULL));
    assert_near(ground.x, 0.30, 2e-6);
    assert_near(ground.y, 0.10, 2e-6);
}

static void camera_behind_refuses_the_side_plane_and_reads_the_back_one(void **state) {
    (void)state;
    const sp_pose pose = pose_of('B');
    sp_plane plane;
    sp_error error = {0};
    assert_false(
        sp_plane_through(&pose.camera, (sp_point){0.30, 0.10}, (sp_point){0, 1}, &plane, &error));
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    assert_non_null(strstr(error.message, "looks along the plane"));
    assert_true(
        sp_plane_through(&pose.camera, (sp_point){0, 0.65}, (sp_point){1, 0}, &plane, &error));
    sp_point at;
    assert_true(sp_plane_from_picture(&plane, door(886.721212, 278.169389), &at, NULL, NULL));
    assert_near(at.x, 0.30, 2e-6);
    assert_near(at.y, 2.75, 2e-6);
}

/* The plane's homography K [R d | R e_z | R P0 + t] (Hartley and Zisserman, ch. 8), multiplied out
 * here. */
static void plane_map_is_the_homography_of_the_textbook(void **state) {
    (void)state;
    const sp_pose pose = pose_of('A');
    const sp_camera *c = &pose.camera;
    const sp_point foot = {-0.71, -0.23};
    sp_plane plane;
    assert_true(sp_plane_through(c, foot, (sp_point){0.6, 0.8}, &plane, NULL));
    double h[9];
    for (int i = 0; i < 3; i++) {
        const double *r = c->rotation + 3 * (size_t)i;
        h[3 * i] = 0.6 * r[0] + 0.8 * r[1];
        h[3 * i + 1] = r[2];
        h[3 * i + 2] = foot.x * r[0] + foot.y * r[1] + c->translation[i];
    }
    for (double u = -1.3; u < 1.5; u += 0.57)
        for (double w = 0.07; w < 3; w += 0.71) {
            const sp_point normal = sp_homography_apply(h, (sp_point){u, w});
            const sp_point expected = {960.5 + c->focal_px * normal.x,
                                       540.5 + c->focal_px * normal.y};
            sp_point at;
            assert_true(sp_plane_to_picture(&plane, (sp_point){u, w}, &at, NULL));
            assert_near(at.x, expected.x, 1e-9);
            assert_near(at.y, expected.y, 1e-9);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(landmarks_lie_as_far_apart_as_the_rules_say),
        cmocka_unit_test(net_tops_follow_a_straight_cord),
        cmocka_unit_test(unit_square_has_its_homography_exactly),
        cmocka_unit_test(court_homographies_have_their_elements),
        cmocka_unit_test(closed_form_finds_the_focal_length_in_every_view),
        cmocka_unit_test(camera_a_has_its_published_pose),
        cmocka_unit_test(cameras_stand_where_they_were_put),
        cmocka_unit_test(lens_term_is_found_to_be_none_where_there_is_none),
        cmocka_unit_test(racquet_and_hip_have_their_place_in_the_side_plane),
        cmocka_unit_test(camera_behind_refuses_the_side_plane_and_reads_the_back_one),
        cmocka_unit_test(plane_map_is_the_homography_of_the_textbook),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
