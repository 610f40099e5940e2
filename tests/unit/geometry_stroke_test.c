#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "serveplumb/stroke.h"

/* A quarter of a circle with a tremble of 0.3 px. */
static size_t quarter(sp_point *points) {
    for (int i = 0; i < 200; i++) {
        const double angle = i / 199.0 * M_PI_2, r = 150.7 + 0.3 * ((i * 7919) % 13 / 6.0 - 1);
        points[i] = (sp_point){211.3 + r * cos(angle), 97.1 + r * sin(angle)};
    }
    return 200;
}

static void thinning_keeps_every_point_within_the_tolerance(void **state) {
    (void)state;
    sp_point all[200], kept[200];
    const size_t count = quarter(all);
    quarter(kept);
    const size_t left = sp_stroke_thin(kept, count, 1.1);
    assert_in_range(left, 4, 20);
    for (size_t i = 0; i < count; i++)
        assert_true(sp_stroke_distance(kept, left, all[i]) <= 1.1 + 1e-9);
    assert_near(kept[0].x, all[0].x, 0);
    assert_near(kept[left - 1].y, all[199].y, 0);
}

static void smoothing_has_no_corners_and_keeps_both_ends(void **state) {
    (void)state;
    const sp_point zigzag[] = {{0, 0}, {40.5, 31.5}, {80, 0}, {121.5, 33}, {160, 1.5}};
    sp_point smooth[sp_stroke_smooth_count(5)];
    sp_stroke_smooth(zigzag, 5, smooth);
    const size_t count = sp_stroke_smooth_count(5);
    assert_near(smooth[0].x, 0, 0);
    assert_near(smooth[count - 1].x, 160, 0);
    for (size_t i = 2; i < count; i++) {
        const sp_point a = sp_point_subtract(smooth[i - 1], smooth[i - 2]);
        const sp_point b = sp_point_subtract(smooth[i], smooth[i - 1]);
        const double turn = atan2(fabs(sp_point_cross(a, b)), sp_point_dot(a, b));
        assert_true(turn < 20 * M_PI / 180); /* the corners turn by 77 degrees */
    }
}

static void a_share_of_a_stroke_is_that_share_of_its_length(void **state) {
    (void)state;
    sp_point points[] = {{0, 0}, {30, 40}, {30, 40}, {30, 90.5}};
    const size_t left = sp_stroke_cut(points, 4, 0.75);
    assert_near(sp_stroke_length(points, left), 0.75 * 100.5, 1e-9);
    assert_near(points[left - 1].x, 30, 1e-9);
    assert_int_equal(sp_stroke_cut(points, left, 0), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(thinning_keeps_every_point_within_the_tolerance),
        cmocka_unit_test(smoothing_has_no_corners_and_keeps_both_ends),
        cmocka_unit_test(a_share_of_a_stroke_is_that_share_of_its_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
