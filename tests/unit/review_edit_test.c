#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "unit/review_sample.h"

static sp_scale_entry some_line(void) {
    return (sp_scale_entry){.method = SP_SCALE_LINE,
                            .frame = 7,
                            .a = {31.25, 1100.5},
                            .b = {640.75, 1104.5},
                            .distance_m = 4.115,
                            .distance_name = "baseline"};
}

/* --- a new review ----------------------------------------------------------------------------- */

static void a_new_review_has_the_promised_defaults(void **state) {
    (void)state;
    sp_review *review = some_review();
    assert_int_equal(sp_review_get_player(review)->hand, SP_HAND_RIGHT);
    assert_int_equal(sp_review_get_view(review), SP_VIEW_SIDE);
    assert_int_equal(sp_review_get_net(review), SP_NET_RIGHT);
    assert_int_equal(sp_review_get_plumb(review)->method, SP_PLUMB_IMAGE);
    assert_true(sp_review_get_points_sd(review) == 1.5);
    assert_int_equal(sp_review_marked_count(review), 0);
    assert_null(sp_review_undo(review, NULL));
    assert_null(sp_review_redo(review, NULL));
    char *text = text_of(review);
    sp_review *again = parsed(text);
    char *same = text_of(again);
    assert_string_equal(text, same);
    free(text);
    free(same);
    sp_review_free(review);
    sp_review_free(again);
}

static void a_clip_that_cannot_be_is_refused(void **state) {
    (void)state;
    sp_error error = {0};
    sp_review_clip clip = some_clip();
    clip.frames = 0;
    assert_null(sp_review_new(&clip, &error));
    assert_string_equal(error.message, "clip: frames: expected at least 1 frame, not 0");
    clip = some_clip();
    clip.slowdown = NAN;
    assert_null(sp_review_new(&clip, &error));
    clip = some_clip();
    clip.sha256[3] = 'G';
    assert_null(sp_review_new(&clip, &error));
    clip = some_clip();
    strcpy(clip.file, "caf\xe9.mp4");
    assert_null(sp_review_new(&clip, &error));
    assert_non_null(strstr(error.message, "clip: file: expected one line"));
    memset(clip.file, 'f', sizeof clip.file);
    assert_null(sp_review_new(&clip, &error));
}

/* --- setters ---------------------------------------------------------------------------------- */

static void assert_refused(bool set, const sp_error *error, const char *says) {
    assert_false(set);
    if (strncmp(error->message, says, strlen(says)) != 0)
        fail_msg("got '%s', expected '%s'", error->message, says);
}

static void setters_refuse_what_the_reader_refuses(void **state) {
    (void)state;
    sp_review *review = some_review();
    char *before = text_of(review);
    sp_error e = {0};
    sp_player player = {.stature_m = 2.61};
    sp_plumb_entry plumb = {.method = SP_PLUMB_HANG, .frame = 317};
    assert_refused(sp_review_set_slowdown(review, 0, &e), &e, "slowdown: expected a number above");
    assert_refused(sp_review_set_slowdown(review, INFINITY, &e), &e, "slowdown: expected");
    assert_refused(sp_review_set_row_time(review, 0.3, &e), &e, "row_time_s: expected a number");
    assert_refused(sp_review_set_row_time(review, NAN, &e), &e, "row_time_s: expected a number");
    assert_refused(sp_review_set_exposure(review, 1.1, &e), &e, "exposure_s: expected a number");
    assert_refused(sp_review_set_exposure(review, -1e-3, &e), &e, "exposure_s: expected a number");
    assert_refused(sp_review_set_points_sd(review, -1, &e), &e, "points_sd_px: expected a number");
    assert_refused(sp_review_set_player(review, &player, &e), &e, "stature_m: expected 0.5 to 2.6");
    player = (sp_player){.racquet_m = 0.75};
    assert_refused(sp_review_set_player(review, &player, &e), &e, "racquet_m: expected 0.3 to");
    player = (sp_player){.name = "two\nlines"};
    assert_refused(sp_review_set_player(review, &player, &e), &e, "name: expected one line");
    assert_refused(sp_review_set_view(review, SP_VIEW_FRONT, SP_NET_LEFT, &e), &e,
                   "net: expected away or toward in a front view, not left");
    assert_refused(sp_review_set_plumb(review, &plumb, &e), &e, "plumb.frame: expected a frame");
    plumb.frame = 316;
    assert_refused(sp_review_set_plumb(review, &plumb, &e), &e, "plumb.b: expected another place");
    plumb.angle_deg = NAN;
    assert_refused(sp_review_set_plumb(review, &plumb, &e), &e, "plumb.angle_deg: expected");
    assert_refused(sp_review_set_reviewed(review, "2027-13-01", &e), &e, "reviewed: expected");
    assert_null(sp_review_undo(review, NULL));
    char *after = text_of(review);
    assert_string_equal(before, after);
    free(before);
    free(after);
    sp_review_free(review);
}

static void setters_of_the_lists_refuse_what_the_reader_refuses(void **state) {
    (void)state;
    sp_review *review = some_review();
    sp_error e = {0};
    sp_scale_entry line = some_line();
    sp_mark mark = {.at = {-720.5, 3}};
    char long_name[80];
    memset(long_name, 'n', sizeof long_name - 1);
    long_name[sizeof long_name - 1] = '\0';
    line.distance_m = 0;
    assert_refused(sp_review_set_scale(review, "l", &line, &e), &e, "scale.distance_m: expected");
    line = some_line();
    line.a.y = 2560.5;
    assert_refused(sp_review_set_scale(review, "l", &line, &e), &e, "scale.a[1]: expected");
    line = some_line();
    assert_refused(sp_review_set_scale(review, "", &line, &e), &e, "scale.id: expected one line");
    assert_refused(sp_review_set_scale(review, long_name, &line, &e), &e, "scale.id: expected");
    assert_refused(sp_review_set_active_scale(review, "c", &e), &e, "scale: expected the id");
    assert_refused(sp_review_set_moment(review, "drop", 317, &e), &e, "moment.frame: expected");
    assert_refused(sp_review_set_moment(review, "drop", -2, &e), &e, "moment.frame: expected");
    assert_refused(sp_review_set_moment(review, "", 3, &e), &e, "moment.name: expected");
    assert_refused(sp_review_set_moment(review, long_name, 3, &e), &e, "moment.name: expected");
    assert_refused(sp_review_set_mark(review, 3, SP_POINT_BALL, &mark, &e), &e,
                   "ball.at[0]: expected a number from -720 to 1440");
    mark.at.x = NAN;
    assert_refused(sp_review_set_mark(review, 3, SP_POINT_BALL, &mark, &e), &e, "ball.at[0]: ");
    assert_refused(sp_review_set_mark(review, 317, SP_POINT_BALL, NULL, &e), &e, "ball.frame: ");
    assert_refused(sp_review_set_note(review, 317, "x", &e), &e, "note.frame: expected a frame");
    assert_refused(sp_review_set_note(review, 3, "\x1b[2J", &e), &e, "note.text: expected");
    assert_null(sp_review_undo(review, NULL));
    sp_review_free(review);
}

static void setting_what_is_there_already_records_nothing(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    sp_mark mark;
    assert_true(sp_review_mark(review, 168, SP_POINT_RACQUET_TIP, &mark));
    assert_true(sp_review_set_mark(review, 168, SP_POINT_RACQUET_TIP, &mark, NULL));
    assert_true(sp_review_set_mark(review, 100, SP_POINT_BALL, NULL, NULL));
    assert_true(sp_review_set_slowdown(review, 7.992, NULL));
    assert_true(sp_review_set_row_time(review, 0.0138, NULL));
    assert_true(sp_review_set_points_sd(review, 1.37, NULL));
    assert_true(sp_review_set_player(review, sp_review_get_player(review), NULL));
    assert_true(sp_review_set_view(review, SP_VIEW_SIDE, SP_NET_LEFT, NULL));
    assert_true(sp_review_set_plumb(review, sp_review_get_plumb(review), NULL));
    for (size_t i = 0; i < 3; i++) {
        const sp_scale_entry *entry = sp_review_scale_at(review, i);
        assert_true(sp_review_set_scale(review, entry->id, entry, NULL));
    }
    assert_true(sp_review_set_scale(review, "fence", NULL, NULL));
    assert_true(sp_review_set_active_scale(review, "court", NULL));
    assert_true(sp_review_set_moment(review, "drop", 168, NULL));
    assert_true(sp_review_set_moment(review, "bounce", -1, NULL));
    assert_true(sp_review_set_note(review, 168, "Hand below elbow \\ late.", NULL));
    assert_true(sp_review_set_note(review, 300, "", NULL));
    assert_true(sp_review_set_reviewed(review, "2027-03-14", NULL));
    assert_null(sp_review_undo(review, NULL));
    free(text);
    sp_review_free(review);
}

/* The sd of a point that has none follows the review's, also after the point was moved. */
static void a_moved_point_still_follows_the_tap_deviation_of_the_review(void **state) {
    (void)state;
    sp_review *review = some_review();
    sp_mark mark = {.at = {100.5, 200.25}};
    assert_true(sp_review_set_mark(review, 50, SP_POINT_NOSE, &mark, NULL));
    assert_true(sp_review_mark(review, 50, SP_POINT_NOSE, &mark));
    assert_true(mark.sd_px == 1.5);
    mark.at.x += 1;
    assert_true(sp_review_set_mark(review, 50, SP_POINT_NOSE, &mark, NULL));
    assert_true(sp_review_set_points_sd(review, 2.25, NULL));
    assert_true(sp_review_mark(review, 50, SP_POINT_NOSE, &mark));
    assert_true(mark.sd_px == 2.25 && mark.at.x == 101.5);
    sp_review_free(review);
}

static void the_first_scale_becomes_the_one_in_use(void **state) {
    (void)state;
    sp_review *review = some_review();
    sp_scale_entry line = some_line();
    assert_true(sp_review_set_scale(review, "first", &line, NULL));
    assert_true(sp_review_set_scale(review, "second", &line, NULL));
    assert_string_equal(sp_review_active_scale(review)->id, "first");
    assert_true(sp_review_set_active_scale(review, "second", NULL));
    line.distance_m = 11.885;
    assert_true(sp_review_set_scale(review, "second", &line, NULL));
    assert_true(sp_review_active_scale(review)->distance_m == 11.885);
    assert_true(sp_review_set_scale(review, "second", NULL, NULL));
    assert_null(sp_review_active_scale(review));
    assert_string_equal(sp_review_undo(review, NULL), "scale 'second' on frame 7");
    assert_string_equal(sp_review_active_scale(review)->id, "second");
    assert_true(sp_review_active_scale(review)->distance_m == 11.885);
    sp_review_free(review);
}

static void a_removed_scale_comes_back_where_it_was(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    assert_true(sp_review_set_scale(review, "court", NULL, NULL));
    assert_string_equal(sp_review_scale_at(review, 1)->id, "toss");
    assert_string_equal(sp_review_undo(review, NULL), "scale 'court' on frame 1");
    assert_string_equal(sp_review_scale_at(review, 1)->id, "court");
    assert_string_equal(sp_review_active_scale(review)->id, "court");
    free(text);
    sp_review_free(review);
}

static void moments_stay_in_order_when_one_is_moved(void **state) {
    (void)state;
    sp_review *review = some_review();
    assert_true(sp_review_set_moment(review, "contact", 185, NULL));
    assert_true(sp_review_set_moment(review, "trophy", 131, NULL));
    assert_true(sp_review_set_moment(review, "drop", 168, NULL));
    assert_true(sp_review_set_moment(review, "trophy", 190, NULL));
    assert_int_equal(sp_review_moment_count(review), 3);
    assert_string_equal(sp_review_moment_at(review, 0)->name, "drop");
    assert_string_equal(sp_review_moment_at(review, 2)->name, "trophy");
    assert_true(sp_review_set_moment(review, "contact", -1, NULL));
    assert_int_equal(sp_review_moment_frame(review, "contact"), -1);
    assert_int_equal(sp_review_moment_count(review), 2);
    sp_review_free(review);
}

static void taps_are_forgotten_where_the_method_has_none(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_plumb_entry plumb = {
        .method = SP_PLUMB_IMAGE, .angle_deg = 1.25, .frame = 9000, .a = {1, 2}, .b = {NAN, 4}};
    assert_true(sp_review_set_plumb(review, &plumb, NULL));
    assert_int_equal(sp_review_get_plumb(review)->frame, 0);
    assert_true(sp_review_get_plumb(review)->b.x == 0);
    sp_review_free(review);
}

/* A thousand of each is far beyond use; one more would only slow every search. */
static void scales_and_moments_are_limited_alike_when_set_and_when_read(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_scale_entry line = some_line();
    char name[16];
    for (int i = 0; i < 1000; i++) {
        snprintf(name, sizeof name, "n%d", i);
        assert_true(sp_review_set_scale(review, name, &line, NULL));
        assert_true(sp_review_set_moment(review, name, i % 317, NULL));
    }
    sp_error error = {0};
    assert_false(sp_review_set_scale(review, "more", &line, &error));
    assert_int_equal(error.code, SP_ERROR_LIMIT);
    error = (sp_error){0};
    assert_false(sp_review_set_moment(review, "more", 3, &error));
    assert_int_equal(error.code, SP_ERROR_LIMIT);
    assert_true(sp_review_set_moment(review, "n999", 3, NULL));
    char *text = text_of(review);
    sp_review_free(parsed(text));
    text = replaced(text, "{\"name\": \"n999\"",
                    "{\"name\": \"x\", \"frame\": 1}, {\"name\": \"n999\"");
    assert_null(sp_review_parse(text, strlen(text), "case", &error));
    assert_string_equal(error.message, "case: moments: expected at most 1000 items");
    free(text);
    sp_review_free(review);
}

/* --- what the coach says of checks ------------------------------------------------------------ */

static void judgements_and_findings_are_set_replaced_and_removed(void **state) {
    (void)state;
    sp_review *review = some_review();
    char *before = text_of(review);
    sp_judgement judgement = {.verdict = SP_VERDICT_MET, .frame = 316, .text = (char[]){"Well."}};
    assert_true(sp_review_set_judgement(review, "pronation", &judgement, NULL));
    judgement = (sp_judgement){.verdict = SP_VERDICT_UNSURE, .frame = -1};
    assert_true(sp_review_set_judgement(review, "our own", &judgement, NULL));
    assert_int_equal(sp_review_judgement_count(review), 2);
    const sp_judgement *found = sp_review_judgement_find(review, "pronation");
    assert_int_equal(found->verdict, SP_VERDICT_MET);
    assert_int_equal(found->frame, 316);
    assert_string_equal(found->text, "Well.");
    assert_true(sp_review_set_judgement(review, "pronation", &judgement, NULL));
    assert_null(sp_review_judgement_at(review, 0)->text);
    assert_string_equal(sp_review_judgement_at(review, 1)->check, "our own");
    assert_null(sp_review_judgement_find(review, "tempo"));
    const sp_finding_entry entry = {.order = 2.5, .seen = "met-1"};
    assert_true(sp_review_set_finding(review, "tempo", &entry, NULL));
    assert_true(sp_review_finding_find(review, "tempo")->order == 2.5);
    assert_string_equal(sp_review_finding_at(review, 0)->seen, "met-1");
    assert_true(sp_review_set_finding(review, "tempo", NULL, NULL));
    assert_true(sp_review_set_judgement(review, "pronation", NULL, NULL));
    assert_true(sp_review_set_judgement(review, "our own", NULL, NULL));
    char *after = text_of(review);
    assert_string_equal(before, after);
    free(before);
    free(after);
    sp_review_free(review);
}

static void judgements_and_findings_refuse_what_the_reader_refuses(void **state) {
    (void)state;
    sp_review *review = some_review();
    sp_error e = {0};
    char long_name[80];
    memset(long_name, 'n', sizeof long_name - 1);
    long_name[sizeof long_name - 1] = '\0';
    sp_judgement judgement = {.frame = -1};
    sp_finding_entry entry = {.order = -0.25};
    assert_refused(sp_review_set_judgement(review, long_name, &judgement, &e), &e,
                   "judgement.check: expected at most 63 bytes");
    assert_refused(sp_review_set_judgement(review, "", &judgement, &e), &e,
                   "judgement.check: expected one line of 1 to");
    judgement.frame = 317;
    assert_refused(sp_review_set_judgement(review, "tempo", &judgement, &e), &e,
                   "judgement.frame: expected a frame of the clip, 0 to 316, not 317");
    judgement = (sp_judgement){.frame = -1, .text = (char[]){"\x1b[2J"}};
    assert_refused(sp_review_set_judgement(review, "tempo", &judgement, &e), &e,
                   "judgement.text: expected 1 to");
    assert_refused(sp_review_set_finding(review, "tempo", &entry, &e), &e,
                   "finding.order: expected a number from 0");
    entry = (sp_finding_entry){.order = NAN};
    assert_refused(sp_review_set_finding(review, "tempo", &entry, &e), &e, "finding.order");
    entry = (sp_finding_entry){.seen = "a\tb"};
    assert_refused(sp_review_set_finding(review, "tempo", &entry, &e), &e, "finding.seen");
    entry = (sp_finding_entry){.text = (char[]){""}};
    assert_refused(sp_review_set_finding(review, "tempo", &entry, &e), &e, "finding.text");
    assert_null(sp_review_undo(review, NULL));
    sp_review_free(review);
}

static void what_is_said_already_of_a_check_is_not_recorded(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_judgement judgement = {.frame = 7, .text = (char[]){"Palm out."}};
    const sp_finding_entry entry = {.order = 1.5, .text = (char[]){"Up."}, .seen = "met-1"};
    assert_true(sp_review_set_judgement(review, "a", NULL, NULL));
    assert_true(sp_review_set_judgement(review, "a", &judgement, NULL));
    assert_true(sp_review_set_judgement(review, "a", &judgement, NULL));
    assert_true(sp_review_set_finding(review, "a", &entry, NULL));
    assert_true(sp_review_set_finding(review, "a", &entry, NULL));
    int edits = 0;
    while (sp_review_undo(review, NULL) != NULL) edits++;
    assert_int_equal(edits, 2);
    sp_review_free(review);
}

static void words_of_the_file_are_found_again(void **state) {
    (void)state;
    sp_view view;
    sp_net net;
    sp_hand hand;
    sp_shoulder shoulder;
    for (int i = 0; i < 4; i++) {
        assert_true(sp_view_find(sp_view_id((sp_view)i), &view) && view == (sp_view)i);
        assert_true(sp_net_find(sp_net_id((sp_net)i), &net) && net == (sp_net)i);
        assert_true(sp_shoulder_find(sp_shoulder_id((sp_shoulder)i), &shoulder));
        assert_int_equal(shoulder, i);
        assert_true(sp_net_suits_view(sp_view_net((sp_view)i), (sp_view)i));
    }
    assert_true(sp_hand_find("left", &hand) && hand == SP_HAND_LEFT);
    assert_string_equal(sp_hand_id(SP_HAND_RIGHT), "right");
    assert_string_equal(sp_shoulder_id(SP_SHOULDER_CURRENT_TROUBLE), "current_trouble");
    assert_false(sp_view_find("Side", &view) || sp_net_find("", &net));
    assert_false(sp_hand_find("both", &hand) || sp_shoulder_find("sore", &shoulder));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_review_has_the_promised_defaults),
        cmocka_unit_test(a_clip_that_cannot_be_is_refused),
        cmocka_unit_test(setters_refuse_what_the_reader_refuses),
        cmocka_unit_test(setters_of_the_lists_refuse_what_the_reader_refuses),
        cmocka_unit_test(setting_what_is_there_already_records_nothing),
        cmocka_unit_test(a_moved_point_still_follows_the_tap_deviation_of_the_review),
        cmocka_unit_test(the_first_scale_becomes_the_one_in_use),
        cmocka_unit_test(a_removed_scale_comes_back_where_it_was),
        cmocka_unit_test(moments_stay_in_order_when_one_is_moved),
        cmocka_unit_test(taps_are_forgotten_where_the_method_has_none),
        cmocka_unit_test(scales_and_moments_are_limited_alike_when_set_and_when_read),
        cmocka_unit_test(judgements_and_findings_are_set_replaced_and_removed),
        cmocka_unit_test(judgements_and_findings_refuse_what_the_reader_refuses),
        cmocka_unit_test(what_is_said_already_of_a_check_is_not_recorded),
        cmocka_unit_test(words_of_the_file_are_found_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
