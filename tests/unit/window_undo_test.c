/* What was done at once is undone at once, however long ago; ends of lines are moved by keys. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "unit/window_desk.h"
#include "window/moments.h"

static void add_scale(window *w, const char *distance, double distance_m, double x) {
    snprintf(w->tool.distance_name, sizeof w->tool.distance_name, "%s", distance);
    w->tool.distance_m = distance_m;
    w->tool.first = (sp_point){x, 200.5};
    w->tool.frame = 0;
    scales_add(w, (sp_point){x + 131.7, 203.3});
}

static void each_scale_is_undone_in_one_step_and_redone_in_one(void **state) {
    window *w = ((desk *)*state)->w;
    const sp_review *review = w->session.review;
    add_scale(w, "by hand", 4.11, 20.5);
    add_scale(w, "by hand", 5.48, 60.5);
    act_name_moment(w, 3);
    assert_int_equal(sp_review_scale_count(review), 2);
    act_undo(w, 0);
    assert_true(sp_review_moment_frame(review, "contact") < 0);
    act_undo(w, 0);
    assert_int_equal(sp_review_scale_count(review), 1);
    assert_near(sp_review_active_scale(review)->distance_m, 4.11, 1e-12);
    act_undo(w, 0);
    assert_int_equal(sp_review_scale_count(review), 0);
    assert_null(sp_review_active_scale(review));
    act_redo(w, 0);
    act_redo(w, 0);
    assert_int_equal(sp_review_scale_count(review), 2);
    assert_near(sp_review_active_scale(review)->distance_m, 5.48, 1e-12);
    act_redo(w, 0);
    assert_int_equal(sp_review_moment_frame(review, "contact"), 0);
}

static void tap(window *w, int frame, sp_point_name point, double x, double y) {
    w->frames.number = w->frames.asked = frame;
    edit_mark(w, frame, point, (sp_point){x, y});
}

static void points_that_were_copied_are_undone_together_also_later(void **state) {
    window *w = ((desk *)*state)->w;
    const sp_review *review = w->session.review;
    tap(w, 3, SP_POINT_RIGHT_ELBOW, 33.3, 41.7);
    tap(w, 3, SP_POINT_RIGHT_HIP, 61.9, 90.1);
    tap(w, 3, SP_POINT_LEFT_HIP, 52.3, 91.4);
    w->frames.number = w->frames.asked = 7;
    act_copy_points(w, 0);
    assert_true(sp_review_mark(review, 7, SP_POINT_LEFT_HIP, NULL));
    tap(w, 7, SP_POINT_RIGHT_KNEE, 60.3, 120.9);
    act_undo(w, 0);
    assert_true(sp_review_mark(review, 7, SP_POINT_LEFT_HIP, NULL));
    act_undo(w, 0);
    assert_int_equal(sp_review_marked_count(review), 1);
    act_undo(w, 0);
    assert_false(sp_review_mark(review, 3, SP_POINT_LEFT_HIP, NULL));
    assert_true(sp_review_mark(review, 3, SP_POINT_RIGHT_HIP, NULL));
}

static void the_scale_of_the_toss_is_undone_in_one_step(void **state) {
    window *w = ((desk *)*state)->w;
    const sp_review *review = w->session.review;
    assert_true(sp_review_set_moment(w->session.review, "release", 5, NULL));
    assert_true(sp_review_set_moment(w->session.review, "contact", 25, NULL));
    const sp_error none = {0};
    edit_end(w, true, &none);
    act_toss_scale(w, 0);
    assert_int_equal(sp_review_scale_count(review), 1);
    act_undo(w, 0);
    assert_int_equal(sp_review_scale_count(review), 0);
    assert_int_equal(sp_review_moment_frame(review, "release"), 5);
}

static void an_end_of_the_scale_is_chosen_and_nudged_by_keys(void **state) {
    window *w = ((desk *)*state)->w;
    add_scale(w, "by hand", 4.11, 20.5);
    tap(w, 0, SP_POINT_RIGHT_ELBOW, 33.3, 41.7);
    w->tool.selected = -1;
    act_next_point(w, 1);
    assert_int_equal(w->tool.selected, SP_POINT_RIGHT_ELBOW);
    act_next_point(w, 1);
    act_next_point(w, 1);
    assert_int_equal(w->tool.end, HOLD_SCALE_B);
    act_nudge(w, ACT_LEFT);
    act_nudge(w, ACT_DOWN | ACT_FINE);
    const sp_scale_entry *scale = sp_review_active_scale(w->session.review);
    assert_near(scale->b.x, 20.5 + 131.7 - 1, 1e-9);
    assert_near(scale->b.y, 203.3 + 0.1, 1e-9);
    assert_near(scale->a.x, 20.5, 1e-12);
    act_next_point(w, 1);
    assert_int_equal(w->tool.selected, SP_POINT_RIGHT_ELBOW);
    assert_int_equal(w->tool.end, 0);
    act_next_point(w, -1);
    assert_int_equal(w->tool.end, HOLD_SCALE_B);
}

#define AT_DESK(test) cmocka_unit_test_setup_teardown(test, open_desk, close_desk)

int main(void) {
    const struct CMUnitTest tests[] = {
        AT_DESK(each_scale_is_undone_in_one_step_and_redone_in_one),
        AT_DESK(points_that_were_copied_are_undone_together_also_later),
        AT_DESK(the_scale_of_the_toss_is_undone_in_one_step),
        AT_DESK(an_end_of_the_scale_is_chosen_and_nudged_by_keys),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
