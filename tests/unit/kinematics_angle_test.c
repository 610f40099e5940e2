/* Angles: what must hold under turning, mirroring, shifting and scaling. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/angle.h"
#include "serveplumb/plumb.h"

static const sp_point A = {498.3, 655.1}, B = {512.7, 640.9}, C = {571.2, 702.4};

static sp_point turned(sp_point p, double angle_deg) {
    const sp_point right = sp_plumb_right(angle_deg), up = sp_plumb_up(angle_deg);
    return sp_point_add(sp_point_times(right, p.x), sp_point_times(up, -p.y));
}

static void included_angle_is_blind_to_turn_shift_scale_and_mirror(void **state) {
    (void)state;
    const double whole = sp_angle_included(A, B, C);
    const sp_point shift = {-913.25, 77.5};
    for (double angle = -170; angle < 180; angle += 35.3) {
        const sp_point a = sp_point_add(turned(sp_point_times(A, 0.37), angle), shift);
        const sp_point b = sp_point_add(turned(sp_point_times(B, 0.37), angle), shift);
        const sp_point c = sp_point_add(turned(sp_point_times(C, 0.37), angle), shift);
        assert_near(sp_angle_included(a, b, c), whole, 1e-10);
        assert_near(sp_angle_included(c, b, a), whole, 1e-10);
    }
    const sp_point a = {-A.x, A.y}, b = {-B.x, B.y}, c = {-C.x, C.y};
    assert_near(sp_angle_included(a, b, c), whole, 1e-12);
}

static void angle_to_plumb_turns_with_the_plumb(void **state) {
    (void)state;
    const double upright = sp_angle_to_plumb(A, C, 0);
    for (double angle = -64.5; angle < 70; angle += 12.9)
        assert_near(sp_angle_to_plumb(turned(A, angle), turned(C, angle), angle), upright, 1e-10);
}

static void angle_to_plumb_names_up_right_down_and_left(void **state) {
    (void)state;
    const sp_point from = {33.25, 71.5};
    assert_near(sp_angle_to_plumb(from, (sp_point){33.25, 40}, 0), 0, 1e-12);
    assert_near(sp_angle_to_plumb(from, (sp_point){99, 71.5}, 0), 90, 1e-12);
    assert_near(sp_angle_to_plumb(from, (sp_point){-9, 71.5}, 0), -90, 1e-12);
    assert_near(fabs(sp_angle_to_plumb(from, (sp_point){33.25, 90}, 0)), 180, 1e-12);
}

static void angle_to_plumb_changes_sign_in_the_mirror(void **state) {
    (void)state;
    const sp_point a = {-A.x, A.y}, c = {-C.x, C.y};
    assert_near(sp_angle_to_plumb(a, c, -3.25), -sp_angle_to_plumb(A, C, 3.25), 1e-12);
}

static void nothing_between_two_equal_points_is_an_angle(void **state) {
    (void)state;
    assert_none(sp_angle_included(A, A, C));
    assert_none(sp_angle_included(A, C, C));
    assert_none(sp_angle_to_plumb(B, B, 2));
}

static void height_is_had_along_the_plumb_only(void **state) {
    (void)state;
    const double plumb = 6.75;
    const sp_point foot = {801.1, 1203.9};
    const sp_point top = sp_point_add(sp_point_add(foot, sp_point_times(sp_plumb_up(plumb), 241.3)),
                                      sp_point_times(sp_plumb_right(plumb), -518.2));
    assert_near(sp_height_above(top, foot, plumb), 241.3, 1e-10);
    assert_near(sp_height_above(foot, top, plumb), -241.3, 1e-10);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(included_angle_is_blind_to_turn_shift_scale_and_mirror),
        cmocka_unit_test(angle_to_plumb_turns_with_the_plumb),
        cmocka_unit_test(angle_to_plumb_names_up_right_down_and_left),
        cmocka_unit_test(angle_to_plumb_changes_sign_in_the_mirror),
        cmocka_unit_test(nothing_between_two_equal_points_is_an_angle),
        cmocka_unit_test(height_is_had_along_the_plumb_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
