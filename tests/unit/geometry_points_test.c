/* Points, plumb and scale: what must hold whatever the numbers. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/plumb.h"
#include "serveplumb/point.h"
#include "serveplumb/scale.h"

static void cross_is_positive_for_a_clockwise_turn_on_screen(void **state) {
    (void)state;
    const sp_point right = {3.7, 0}, down = {0, 2.3};
    assert_true(sp_point_cross(right, down) > 0);
    assert_true(sp_point_cross(down, right) < 0);
}

static void middle_lies_as_far_from_both(void **state) {
    (void)state;
    const sp_point a = {102.4, -31.9}, b = {-7.25, 688.1};
    const sp_point middle = sp_point_middle(a, b);
    assert_near(sp_point_distance(a, middle), sp_point_distance(b, middle), 1e-12);
    assert_near(sp_point_distance(a, middle) * 2, sp_point_distance(a, b), 1e-12);
}

static void right_is_up_turned_clockwise_by_a_quarter(void **state) {
    (void)state;
    for (double angle = -171.3; angle < 180; angle += 23.7) {
        const sp_point up = sp_plumb_up(angle), right = sp_plumb_right(angle);
        assert_near(sp_point_dot(up, right), 0, 1e-15);
        assert_near(sp_point_cross(up, right), 1, 1e-15);
    }
    assert_near(sp_plumb_up(0).y, -1, 0);
    assert_near(sp_plumb_right(0).x, 1, 0);
    assert_true(sp_plumb_up(4.2).x > 0);
}

static void hang_finds_the_lean_of_a_post_whichever_end_is_first(void **state) {
    (void)state;
    for (double angle = -88.5; angle < 89; angle += 14.75) {
        const sp_point foot = {412.3, 1033.7};
        const sp_point top = sp_point_add(foot, sp_point_times(sp_plumb_up(angle), 611.9));
        sp_plumb one, other;
        assert_true(sp_plumb_from_hang(foot, top, 1.3, &one));
        assert_true(sp_plumb_from_hang(top, foot, 1.3, &other));
        assert_near(one.angle_deg, angle, 1e-9);
        assert_near(other.angle_deg, angle, 1e-9);
        assert_near(one.sd_deg, sqrt(2) * 1.3 / 611.9 * 180 / acos(-1), 1e-12);
    }
}

static void level_finds_the_same_plumb_as_a_post_at_right_angles(void **state) {
    (void)state;
    for (double angle = -88.5; angle < 89; angle += 14.75) {
        const sp_point left = {12.9, 700.4};
        const sp_point right = sp_point_add(left, sp_point_times(sp_plumb_right(angle), 873.2));
        sp_plumb one, other;
        assert_true(sp_plumb_from_level(left, right, 0.8, &one));
        assert_true(sp_plumb_from_level(right, left, 0.8, &other));
        assert_near(one.angle_deg, angle, 1e-9);
        assert_near(other.angle_deg, angle, 1e-9);
    }
}

static void coinciding_taps_give_no_plumb_and_no_scale(void **state) {
    (void)state;
    const sp_point here = {55.5, 66.25};
    sp_plumb plumb;
    sp_scale scale;
    assert_false(sp_plumb_from_hang(here, here, 1, &plumb));
    assert_false(sp_plumb_from_level(here, here, 1, &plumb));
    assert_false(sp_scale_from_line(here, here, 1, 4.1148, 0.005, &scale));
}

static void distance_that_is_not_positive_gives_no_scale(void **state) {
    (void)state;
    const sp_point a = {0, 0}, b = {311.7, 4.2};
    sp_scale scale;
    assert_false(sp_scale_from_line(a, b, 1, 0, 0.005, &scale));
    assert_false(sp_scale_from_line(a, b, 1, -4.1, 0.005, &scale));
    assert_false(sp_scale_from_line(a, b, 1, NAN, 0.005, &scale));
}

static void scale_halves_when_the_picture_is_twice_as_large(void **state) {
    (void)state;
    const sp_point a = {102.0, 1500.5}, b = {702.0, 1502.0};
    sp_scale small, large;
    assert_true(sp_scale_from_line(a, b, 1.0, 4.1148, 0.0029, &small));
    assert_true(sp_scale_from_line(sp_point_times(a, 2), sp_point_times(b, 2), 1.0, 4.1148, 0.0029,
                                   &large));
    assert_digits(large.m_per_px * 2, small.m_per_px, 1e-14);
    assert_digits(large.tap_sd * 2, small.tap_sd, 1e-14);
    assert_digits(large.distance_sd, small.distance_sd, 1e-14);
}

static void scale_terms_add_in_quadrature(void **state) {
    (void)state;
    const sp_scale scale = {
        .m_per_px = 0.0071, .tap_sd = 0.02, .distance_sd = 0.03, .depth_sd = 0.06};
    assert_near(sp_scale_relative_sd(&scale), 0.07, 1e-15);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cross_is_positive_for_a_clockwise_turn_on_screen),
        cmocka_unit_test(middle_lies_as_far_from_both),
        cmocka_unit_test(right_is_up_turned_clockwise_by_a_quarter),
        cmocka_unit_test(hang_finds_the_lean_of_a_post_whichever_end_is_first),
        cmocka_unit_test(level_finds_the_same_plumb_as_a_post_at_right_angles),
        cmocka_unit_test(coinciding_taps_give_no_plumb_and_no_scale),
        cmocka_unit_test(distance_that_is_not_positive_gives_no_scale),
        cmocka_unit_test(scale_halves_when_the_picture_is_twice_as_large),
        cmocka_unit_test(scale_terms_add_in_quadrature),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
