/* The curves along the strip, against paths whose speed and heights are known. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "serveplumb/curve.h"

enum { FRAMES = 40, CONTACT = 25 };

static sp_review *new_review(void) {
    const sp_review_clip clip = {.file = "serve.mp4",
                                 .sha256 = "0123456789abcdef0123456789abcdef"
                                           "0123456789abcdef0123456789abcdef",
                                 .frames = FRAMES,
                                 .width = 1080,
                                 .height = 1920,
                                 .slowdown = 8};
    return sp_review_new(&clip, NULL);
}

static void tap(sp_review *review, int frame, sp_point_name name, sp_point at) {
    const sp_mark mark = {.at = at, .by = SP_BY_TAP};
    assert_true(sp_review_set_mark(review, frame, name, &mark, NULL));
}

static void fill_times(double times[FRAMES]) {
    for (int i = 0; i < FRAMES; i++) times[i] = i / 29.97;
}

/* On a circle of radius 317.3 at 11.7 rad/s of real time: 3712.41 px/s. */
static void a_tip_on_a_circle_has_its_speed_in_real_time(void **state) {
    (void)state;
    double times[FRAMES], values[FRAMES];
    fill_times(times);
    sp_review *review = new_review();
    assert_true(sp_review_set_moment(review, "contact", CONTACT, NULL));
    for (int i = 10; i < 34; i++) {
        const double turn = 11.7 * times[i] / 8;
        tap(review, i, SP_POINT_RACQUET_TIP,
            (sp_point){540 + 317.3 * cos(turn), 900 + 317.3 * sin(turn)});
    }
    const sp_frame_times clock = {times, FRAMES};
    sp_curve_fill(review, clock, SP_CURVE_TIP_SPEED, values);
    assert_true(isnan(values[11]));
    for (int i = 12; i <= CONTACT - 2; i++) assert_near(values[i], 317.3 * 11.7, 0.5);
    assert_true(isnan(values[CONTACT - 1]));
    assert_near(values[CONTACT], 317.3 * 11.7, 0.5);
    for (int i = CONTACT + 1; i < CONTACT + 3; i++) assert_true(isnan(values[i]));
    assert_near(values[CONTACT + 3], 317.3 * 11.7, 0.5);
    sp_review_free(review);
}

static void the_gap_is_along_the_plumb_and_of_the_hitting_arm(void **state) {
    (void)state;
    double times[FRAMES], values[FRAMES];
    fill_times(times);
    sp_review *review = new_review();
    sp_player player = *sp_review_get_player(review);
    player.hand = SP_HAND_LEFT;
    assert_true(sp_review_set_player(review, &player, NULL));
    const sp_plumb_entry plumb = {.method = SP_PLUMB_IMAGE, .angle_deg = 30};
    assert_true(sp_review_set_plumb(review, &plumb, NULL));
    tap(review, 7, SP_POINT_LEFT_ELBOW, (sp_point){512.5, 640.25});
    tap(review, 7, SP_POINT_LEFT_WRIST, (sp_point){532.5, 590.25});
    tap(review, 9, SP_POINT_RIGHT_ELBOW, (sp_point){512.5, 640.25});
    tap(review, 9, SP_POINT_RIGHT_HAND, (sp_point){532.5, 590.25});
    const sp_frame_times clock = {times, FRAMES};
    assert_int_equal(sp_curve_fill(review, clock, SP_CURVE_GAP, values), 1);
    /* 20 sin 30 + 50 cos 30 */
    assert_near(values[7], 10 + 43.30127, 1e-4);
    sp_review_free(review);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tip_on_a_circle_has_its_speed_in_real_time),
        cmocka_unit_test(the_gap_is_along_the_plumb_and_of_the_hitting_arm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
