/* Ink as edits of the review. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "near.h"
#include "serveplumb/ink.h"

static sp_review *review_of_40(void) {
    const sp_review_clip clip = {.file = "serve.mp4",
                                 .sha256 = "0123456789abcdef0123456789abcdef"
                                           "0123456789abcdef0123456789abcdef",
                                 .frames = 40,
                                 .width = 480,
                                 .height = 270,
                                 .slowdown = 1};
    sp_review *review = sp_review_new(&clip, NULL);
    assert_non_null(review);
    return review;
}

static sp_point ends[] = {{10.5, 20.25}, {310.75, 190.5}};
static sp_point way[] = {{1.5, 2.5}, {30.5, 44.25}, {61.75, 40.5}, {90, 77.5}};
static const sp_ink arrow = {SP_INK_ARROW, SP_HUE_RACQUET, 7, 9, ends, 2};
static const sp_ink stroke = {SP_INK_STROKE, SP_HUE_PLUMB, 12, 12, way, 4};

static void ink_is_drawn_erased_and_undone_in_its_order(void **state) {
    (void)state;
    sp_review *review = review_of_40();
    int frame;
    assert_true(sp_review_add_ink(review, &arrow, NULL));
    assert_true(sp_review_add_ink(review, &stroke, NULL));
    assert_true(sp_review_set_ink(review, 0, NULL, NULL));
    assert_int_equal(sp_review_ink_count(review), 1);
    assert_int_equal(sp_review_ink_at(review, 0)->kind, SP_INK_STROKE);
    assert_string_equal(sp_review_undo(review, &frame), "ink on frame 7");
    assert_int_equal(frame, 7);
    assert_int_equal(sp_review_ink_count(review), 2);
    assert_int_equal(sp_review_ink_at(review, 0)->kind, SP_INK_ARROW);
    assert_near(sp_review_ink_at(review, 0)->points[1].x, 310.75, 0);
    sp_review_undo(review, NULL);
    sp_review_undo(review, NULL);
    assert_int_equal(sp_review_ink_count(review), 0);
    assert_null(sp_review_undo(review, NULL));
    for (int i = 0; i < 3; i++) assert_non_null(sp_review_redo(review, NULL));
    assert_int_equal(sp_review_ink_at(review, 0)->count, 4);
    sp_review_free(review);
}

static void ink_on_other_frames_replaces_itself_and_is_one_edit(void **state) {
    (void)state;
    sp_review *review = review_of_40();
    assert_true(sp_review_add_ink(review, &arrow, NULL));
    sp_ink longer = arrow;
    longer.to_frame = 31;
    assert_true(sp_review_set_ink(review, 0, &longer, NULL));
    assert_true(sp_review_set_ink(review, 0, &longer, NULL)); /* changes nothing */
    assert_true(sp_ink_is_on(sp_review_ink_at(review, 0), 31));
    assert_false(sp_ink_is_on(sp_review_ink_at(review, 0), 6));
    sp_review_undo(review, NULL);
    assert_int_equal(sp_review_ink_at(review, 0)->to_frame, 9);
    sp_review_free(review);
}

static void ink_that_makes_no_sense_changes_nothing(void **state) {
    (void)state;
    sp_review *review = review_of_40();
    sp_error error = {0};
    sp_ink wrong = arrow;
    wrong.to_frame = 40;
    assert_false(sp_review_add_ink(review, &wrong, &error));
    assert_non_null(strstr(error.message, "to_frame: expected a whole number from 7 to 39"));
    wrong = arrow;
    wrong.count = 1;
    assert_false(sp_review_add_ink(review, &wrong, &error));
    sp_point far[] = {{10, 10}, {961, 10}};
    wrong = arrow;
    wrong.points = far;
    assert_false(sp_review_add_ink(review, &wrong, &error));
    assert_non_null(strstr(error.message, "points[1][0]"));
    assert_int_equal(sp_review_ink_count(review), 0);
    assert_null(sp_review_undo(review, NULL));
    sp_review_free(review);
}

static void ink_reads_back_as_it_was_written(void **state) {
    (void)state;
    sp_review *review = review_of_40();
    assert_true(sp_review_add_ink(review, &stroke, NULL));
    assert_true(sp_review_add_ink(review, &arrow, NULL));
    char *text = sp_review_detach_text(review, NULL);
    sp_review *back = sp_review_parse(text, strlen(text), "back", NULL);
    assert_non_null(back);
    assert_int_equal(sp_review_ink_count(back), 2);
    const sp_ink *first = sp_review_ink_at(back, 0), *second = sp_review_ink_at(back, 1);
    assert_int_equal(first->count, 4);
    assert_memory_equal(first->points, way, sizeof way);
    assert_int_equal(second->hue, SP_HUE_RACQUET);
    assert_int_equal(second->to_frame, 9);
    free(text);
    sp_review_free(back);
    sp_review_free(review);
}

static void the_rim_of_a_circle_is_near_and_its_middle_is_not(void **state) {
    (void)state;
    sp_point places[] = {{100, 100}, {130, 140}};
    const sp_ink circle = {SP_INK_CIRCLE, SP_HUE_BALL, 0, 0, places, 2};
    assert_near(sp_ink_distance(&circle, (sp_point){100, 151.5}), 1.5, 1e-9);
    assert_near(sp_ink_distance(&circle, (sp_point){100, 100}), 50, 1e-9);
    assert_near(sp_ink_distance(&arrow, (sp_point){310.75, 193.5}), 3, 1e-9);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ink_is_drawn_erased_and_undone_in_its_order),
        cmocka_unit_test(ink_on_other_frames_replaces_itself_and_is_one_edit),
        cmocka_unit_test(ink_that_makes_no_sense_changes_nothing),
        cmocka_unit_test(ink_reads_back_as_it_was_written),
        cmocka_unit_test(the_rim_of_a_circle_is_near_and_its_middle_is_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
