/* Scales by court landmarks and by the toss: what the setters take, keep and undo. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "unit/review_sample.h"

static sp_scale_entry some_court(void) {
    return (sp_scale_entry){
        .method = SP_SCALE_COURT,
        .frame = 12,
        .sd_px = 1.75,
        .landmarks = {{sp_landmark_find("near_t"), {311.25, 902.5}, 0},
                      {sp_landmark_find("near_centre_mark"), {640.75, 1104.5}, 2.5}},
        .landmark_count = 2};
}

static void assert_refused(bool done, sp_error *error, const char *says) {
    assert_false(done);
    if (strstr(error->message, says) == NULL)
        fail_msg("'%s' does not say '%s'", error->message, says);
    *error = (sp_error){0};
}

static void a_court_reads_back_as_it_was_set(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_scale_entry court = some_court();
    assert_true(sp_review_set_scale(review, "lines", &court, NULL));
    char *text = text_of(review);
    sp_review *again = parsed(text);
    const sp_scale_entry *read = sp_review_scale_find(again, "lines");
    assert_int_equal(read->frame, 12);
    assert_true(read->sd_px == 1.75);
    assert_int_equal(read->landmark_count, 2);
    assert_string_equal(read->landmarks[0].landmark->id, "near_t");
    assert_true(read->landmarks[1].at.x == 640.75 && read->landmarks[1].sd_px == 2.5);
    free(text);
    sp_review_free(again);
    sp_review_free(review);
}

static void a_toss_keeps_its_frames_and_forgets_taps(void **state) {
    (void)state;
    sp_review *review = some_review();
    sp_scale_entry toss = some_court();
    toss.method = SP_SCALE_TOSS;
    toss.from_frame = 31;
    toss.to_frame = 77;
    assert_true(sp_review_set_scale(review, "ball", &toss, NULL));
    const sp_scale_entry *now = sp_review_scale_find(review, "ball");
    assert_int_equal(now->from_frame, 31);
    assert_int_equal(now->to_frame, 77);
    assert_int_equal(now->landmark_count, 0);
    assert_int_equal(now->frame, 0);
    assert_true(now->sd_px == 0);
    int frame;
    assert_string_equal(sp_review_undo(review, &frame), "scale 'ball' on frame 31");
    assert_int_equal(frame, 31);
    sp_review_free(review);
}

static void a_landmark_is_added_moved_and_removed_each_with_undo(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_scale_entry court = some_court();
    assert_true(sp_review_set_scale(review, "lines", &court, NULL));
    const sp_point corner = {55.5, 1099.25}, moved = {641, 1105.125};
    assert_true(sp_review_set_landmark(review, "lines", "near_left_singles_corner", &corner, NULL));
    assert_true(sp_review_set_landmark(review, "lines", "near_centre_mark", &moved, NULL));
    assert_true(sp_review_set_landmark(review, "lines", "near_t", NULL, NULL));
    const sp_scale_entry *now = sp_review_active_scale(review);
    assert_int_equal(now->landmark_count, 2);
    assert_string_equal(now->landmarks[0].landmark->id, "near_centre_mark");
    assert_true(now->landmarks[0].at.y == 1105.125 && now->landmarks[0].sd_px == 2.5);
    assert_string_equal(now->landmarks[1].landmark->id, "near_left_singles_corner");
    assert_string_equal(sp_review_undo(review, NULL), "scale 'lines' on frame 12");
    assert_int_equal(sp_review_active_scale(review)->landmark_count, 3);
    assert_non_null(sp_review_undo(review, NULL));
    assert_true(sp_review_active_scale(review)->landmarks[1].at.x == 640.75);
    assert_non_null(sp_review_undo(review, NULL));
    assert_int_equal(sp_review_active_scale(review)->landmark_count, 2);
    assert_non_null(sp_review_redo(review, NULL));
    assert_int_equal(sp_review_active_scale(review)->landmark_count, 3);
    sp_review_free(review);
}

static void a_landmark_that_is_there_already_records_nothing(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_scale_entry court = some_court();
    assert_true(sp_review_set_scale(review, "lines", &court, NULL));
    assert_true(sp_review_set_landmark(review, "lines", "near_t", &court.landmarks[0].at, NULL));
    assert_true(sp_review_set_landmark(review, "lines", "far_t", NULL, NULL));
    assert_non_null(sp_review_undo(review, NULL));
    assert_null(sp_review_active_scale(review));
    sp_review_free(review);
}

static void unknown_members_stay_with_their_landmark(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    const sp_point t = {300.5, 1300.25}, corner = {103, 1501};
    assert_true(sp_review_set_landmark(review, "court", "near_t", &t, NULL));
    assert_true(sp_review_set_landmark(review, "court", "near_left_singles_corner", &corner, NULL));
    char *written = text_of(review);
    assert_non_null(strstr(written, "\"at\": [103, 1501], \"sure\": 0.90}"));
    assert_non_null(strstr(written, "{\"name\": \"near_t\", \"at\": [300.5, 1300.25]}"));
    assert_true(sp_review_set_landmark(review, "court", "near_left_singles_corner", NULL, NULL));
    free(written);
    written = text_of(review);
    assert_null(strstr(written, "\"sure\": 0.90"));
    assert_non_null(sp_review_undo(review, NULL));
    free(written);
    written = text_of(review);
    assert_non_null(strstr(written, "\"sure\": 0.90"));
    free(written);
    free(text);
    sp_review_free(review);
}

static void what_is_no_court_and_no_toss_is_refused(void **state) {
    (void)state;
    sp_review *review = some_review();
    sp_error e = {0};
    sp_scale_entry court = some_court();
    court.landmarks[1].landmark = court.landmarks[0].landmark;
    assert_refused(sp_review_set_scale(review, "c", &court, &e), &e,
                   "scale.landmarks[1].name: expected a landmark that is not there already");
    court = some_court();
    court.landmarks[1].at.x = NAN;
    assert_refused(sp_review_set_scale(review, "c", &court, &e), &e, "scale.landmarks[1].at[0]");
    court = some_court();
    court.landmarks[0].landmark = NULL;
    assert_refused(sp_review_set_scale(review, "c", &court, &e), &e, "scale.landmarks[0].name");
    court = some_court();
    court.frame = 317;
    assert_refused(sp_review_set_scale(review, "c", &court, &e), &e, "scale.frame: expected");
    const sp_scale_entry toss = {.method = SP_SCALE_TOSS, .from_frame = 9, .to_frame = 9};
    assert_refused(sp_review_set_scale(review, "t", &toss, &e), &e, "scale.to_frame: expected");
    const sp_point at = {3, 4};
    assert_refused(sp_review_set_landmark(review, "c", "near_t", &at, &e), &e, "scale: expected");
    court = some_court();
    assert_true(sp_review_set_scale(review, "c", &court, NULL));
    assert_refused(sp_review_set_landmark(review, "c", "middle", &at, &e), &e,
                   "landmark: expected");
    sp_review_free(review);
}

static void every_landmark_of_the_table_fits_on_one_court(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_scale_entry empty = {.method = SP_SCALE_COURT};
    assert_true(sp_review_set_scale(review, "all", &empty, NULL));
    for (size_t i = 0; i < sp_landmark_count(); i++) {
        const sp_point at = {3.5 + 7 * (double)i, 900.25};
        assert_true(sp_review_set_landmark(review, "all", sp_landmark_at(i)->id, &at, NULL));
    }
    assert_int_equal(sp_review_active_scale(review)->landmark_count, sp_landmark_count());
    char *text = text_of(review);
    sp_review_free(parsed(text));
    free(text);
    sp_review_free(review);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_court_reads_back_as_it_was_set),
        cmocka_unit_test(a_toss_keeps_its_frames_and_forgets_taps),
        cmocka_unit_test(a_landmark_is_added_moved_and_removed_each_with_undo),
        cmocka_unit_test(a_landmark_that_is_there_already_records_nothing),
        cmocka_unit_test(unknown_members_stay_with_their_landmark),
        cmocka_unit_test(what_is_no_court_and_no_toss_is_refused),
        cmocka_unit_test(every_landmark_of_the_table_fits_on_one_court),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
