/* Where there is no number there are plain words; where there is one its limits are said. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "filmed.h"

static const sp_measure *found(const sp_readout *readout, const char *id, const char *moment) {
    const sp_measure *m = sp_readout_find(readout, id, moment);
    if (m == NULL) print_error("no measure %s %s\n", id, moment);
    assert_non_null(m);
    return m;
}

static void assert_says(const sp_measure *m, sp_status status, const char *words) {
    if (m->status != status || strstr(m->note, words) == NULL)
        print_error("%s %s is %s: %s\n  expected %s: ...%s...\n", m->kind->id, m->kind->moment,
                    sp_status_id(m->status), m->note, sp_status_id(status), words);
    assert_int_equal(m->status, status);
    assert_non_null(strstr(m->note, words));
}

/* The rule for every measure of every readout. */
static void assert_honest(const sp_readout *r) {
    assert_int_equal(sp_readout_count(r), sp_catalogue_count());
    for (size_t i = 0; i < sp_readout_count(r); i++) {
        const sp_measure *m = sp_readout_at(r, i);
        assert_ptr_equal(m->kind, sp_catalogue_at(i));
        assert_ptr_equal(sp_readout_find(r, m->kind->id, m->kind->moment), m);
        const bool number = m->status == SP_STATUS_OK || m->status == SP_STATUS_PROJECTED;
        assert_int_equal(isfinite(m->value.value) != 0, number);
        assert_int_equal(isnan(m->value.low), !number);
        assert_int_equal(isnan(m->value.high), !number);
        if (number) assert_true(m->value.low <= m->value.value && m->value.value <= m->value.high);
        if (m->status != SP_STATUS_OK) assert_true(strlen(m->note) > 20);
        assert_true(strlen(m->note) < sizeof m->note - 1);
    }
}

static const sp_view VIEWS[] = {SP_VIEW_SIDE, SP_VIEW_BACK, SP_VIEW_FRONT, SP_VIEW_OBLIQUE};

static void empty_review_says_of_all_what_is_missing(void **state) {
    (void)state;
    for (size_t v = 0; v < 4; v++) {
        filmed f = filmed_new((film){.view = VIEWS[v]});
        sp_readout *r = filmed_read(&f, 20, 0);
        assert_honest(r);
        for (size_t i = 0; i < sp_readout_count(r); i++)
            assert_true(sp_readout_at(r, i)->status >= SP_STATUS_NEEDS_POINTS);
        assert_string_equal(sp_readout_scale(r).id, "");
        assert_none(sp_readout_scale(r).m_per_px.value);
        sp_readout_free(r);
        filmed_free(&f);
    }
}

static void full_review_is_honest_from_every_view_and_rate(void **state) {
    (void)state;
    for (size_t v = 0; v < 4; v++)
        for (int rate = 30; rate <= 240; rate *= 2) {
            filmed f = filmed_serve((film){.view = VIEWS[v], .rate = rate, .tilt_deg = 1.5});
            sp_readout *r = filmed_read(&f, 60, 0);
            assert_honest(r);
            sp_readout_free(r);
            filmed_free(&f);
        }
}

static void gap_is_measured_whole_from_every_view(void **state) {
    (void)state;
    for (size_t v = 0; v < 4; v++) {
        filmed f = filmed_serve((film){.view = VIEWS[v]});
        sp_readout *r = filmed_read(&f, 20, 0);
        assert_int_equal(found(r, "hand_elbow_gap", "drop")->status, SP_STATUS_OK);
        assert_near(found(r, "hand_elbow_gap", "drop")->value.value, -0.05, 1e-9);
        assert_string_equal(found(r, "hand_elbow_gap", "drop")->note, "");
        sp_readout_free(r);
        filmed_free(&f);
    }
}

static void wrong_view_names_the_view_to_ask_for(void **state) {
    (void)state;
    filmed side = filmed_serve((film){.view = SP_VIEW_SIDE});
    filmed back = filmed_serve((film){.view = SP_VIEW_BACK});
    sp_readout *s = filmed_read(&side, 20, 0), *b = filmed_read(&back, 20, 0);
    const sp_status wrong = SP_STATUS_NOT_FROM_THIS_VIEW;
    assert_says(found(s, "racquet_beside_body", "drop"), wrong, "filmed from behind.");
    assert_says(found(s, "shoulder_tilt", "contact"), wrong, "from behind or from the front");
    assert_says(found(b, "racquet_head_speed", "contact"), wrong,
                "ask for one filmed from the side");
    assert_says(found(b, "contact_ahead", "contact"), wrong, "from the side");
    assert_says(found(b, "knee_angle_front", "trophy"), wrong, "from the side");
    assert_says(found(b, "ball_speed_off", "contact"), wrong, "from the side");
    sp_readout_free(s);
    sp_readout_free(b);
    filmed_free(&side);
    filmed_free(&back);
}

static void missing_points_are_named_for_this_players_hand(void **state) {
    (void)state;
    for (int left = 0; left < 2; left++) {
        filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .left_handed = left});
        const sp_hand hand = filmed_hand(&f);
        const sp_point_name elbow = sp_point_for_hand(SP_POINT_RIGHT_ELBOW, hand);
        assert_true(sp_review_set_mark(f.review, DROP, elbow, NULL, NULL));
        sp_readout *r = filmed_read(&f, 20, 0);
        assert_says(found(r, "hand_elbow_gap", "drop"), SP_STATUS_NEEDS_POINTS,
                    left ? "frame 71 (drop): left elbow" : "frame 71 (drop): right elbow");
        sp_readout_free(r);
        filmed_free(&f);
    }
}

static void missing_moment_is_named(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    filmed_moment(&f, "drop", -1);
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "hand_elbow_gap", "drop"), SP_STATUS_NEEDS_MOMENT, "drop");
    assert_says(found(r, "trophy_to_drop", ""), SP_STATUS_NEEDS_MOMENT, "drop");
    assert_int_equal(found(r, "hand_elbow_gap", "drop")->frame, -1);
    sp_readout_free(r);
    filmed_free(&f);
}

static void moments_in_the_wrong_order_give_no_time(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    filmed_moment(&f, "drop", TROPHY - 5);
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "trophy_to_drop", ""), SP_STATUS_NEEDS_MOMENT, "before the trophy");
    sp_readout_free(r);
    filmed_free(&f);
}

static void lengths_want_a_scale_and_angles_do_not(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    assert_true(sp_review_set_scale(f.review, "baseline", NULL, NULL));
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_honest(r);
    for (size_t i = 0; i < sp_readout_count(r); i++) {
        const sp_measure *m = sp_readout_at(r, i);
        if (m->status == SP_STATUS_NOT_FROM_THIS_VIEW) continue;
        if (m->kind->needs_scale) assert_int_equal(m->status, SP_STATUS_NEEDS_SCALE);
        if (!m->kind->needs_scale) assert_true(m->status < SP_STATUS_NEEDS_POINTS);
    }
    assert_says(found(r, "racquet_head_speed", "contact"), SP_STATUS_NEEDS_SCALE, "known length");
    sp_readout_free(r);
    filmed_free(&f);
}

static void ball_in_flight_wants_the_court(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_BACK});
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "ball_speed_flight", "contact"), SP_STATUS_NEEDS_SCALE, "court landmarks");
    sp_readout_free(r);
    filmed_free(&f);
}

static void contact_ratio_wants_the_stature(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_player player = *sp_review_get_player(f.review);
    player.stature_m = 0;
    assert_true(sp_review_set_player(f.review, &player, NULL));
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "contact_height_ratio", "contact"), SP_STATUS_NEEDS_SCALE, "stature");
    assert_int_equal(found(r, "contact_height", "contact")->status, SP_STATUS_OK);
    sp_readout_free(r);
    filmed_free(&f);
}

static void contact_height_wants_the_front_toe_where_it_stood(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    assert_true(sp_review_set_mark(f.review, TROPHY, SP_POINT_LEFT_TOE, NULL, NULL));
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "contact_height", "contact"), SP_STATUS_NEEDS_POINTS,
                "frame 47 (trophy): left toe");
    sp_readout_free(r);
    filmed_free(&f);
}

static void wrist_serves_for_the_hand_and_the_note_says_so(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    assert_true(sp_review_set_mark(f.review, DROP, SP_POINT_RIGHT_HAND, NULL, NULL));
    filmed_put(&f, DROP, SP_POINT_RIGHT_WRIST, -0.33, 1.69);
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "hand_elbow_gap", "drop"), SP_STATUS_OK, "wrist stands for the hand");
    assert_near(found(r, "hand_elbow_gap", "drop")->value.value, -0.02, 1e-9);
    assert_says(found(r, "elbow_angle", "drop"), SP_STATUS_PROJECTED, "wrist stands for the hand");
    /* elsewhere only the hand is marked: no second forearm of the same two points */
    assert_says(found(r, "hand_elbow_gap_ratio", "drop"), SP_STATUS_NEEDS_POINTS, "right wrist");
    sp_readout_free(r);
    filmed_free(&f);
}

static void hand_serves_for_the_butt_and_the_note_says_so(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    assert_true(sp_review_set_mark(f.review, DROP, SP_POINT_RACQUET_BUTT, NULL, NULL));
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "racquet_to_plumb", "drop"), SP_STATUS_PROJECTED,
                "hand stands for the butt");
    sp_readout_free(r);
    filmed_free(&f);
}

static void projected_numbers_say_how_much_may_be_hidden(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "elbow_angle", "trophy"), SP_STATUS_PROJECTED, "13 %");
    assert_says(found(r, "racquet_head_speed", "contact"), SP_STATUS_PROJECTED, "At least");
    assert_says(found(r, "contact_ahead", "contact"), SP_STATUS_PROJECTED, "13 %");
    sp_readout_free(r);
    filmed_free(&f);
}

static void too_few_frames_a_second_give_a_floor_in_words(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 60});
    sp_readout *r = filmed_read(&f, 500, 0);
    const sp_measure *m = found(r, "racquet_head_speed", "contact");
    assert_says(m, SP_STATUS_TOO_COARSE, "60 real frames/s");
    const char *floor = strstr(m->note, "at least ");
    assert_non_null(floor);
    const double speed = strtod(floor + strlen("at least "), NULL);
    /* the mean between the last two frames is 35.0 m/s (reference table); its low end is lower */
    assert_true(speed > 27 && speed < 35);
    sp_readout_free(r);
    filmed_free(&f);
}

static void slow_motion_of_enough_real_frames_is_not_too_coarse(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 30, .slowdown = 4});
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_int_equal(found(r, "racquet_head_speed", "contact")->status, SP_STATUS_PROJECTED);
    sp_readout_free(r);
    filmed_free(&f);
}

static void too_few_frames_without_scale_have_no_floor(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 30});
    assert_true(sp_review_set_scale(f.review, "baseline", NULL, NULL));
    sp_readout *r = filmed_read(&f, 20, 0);
    const sp_measure *m = found(r, "racquet_head_speed", "contact");
    assert_says(m, SP_STATUS_TOO_COARSE, "30 real frames/s");
    assert_null(strstr(m->note, "at least"));
    sp_readout_free(r);
    filmed_free(&f);
}

static void gap_in_the_run_up_to_contact_is_told(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    assert_true(sp_review_set_mark(f.review, CONTACT - 2, SP_POINT_RACQUET_TIP, NULL, NULL));
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_says(found(r, "racquet_head_speed", "contact"), SP_STATUS_NEEDS_POINTS,
                "frames 84 to 88; without a gap up to contact it is marked on 2");
    sp_readout_free(r);
    filmed_free(&f);
}

static void four_frames_suffice_for_the_speed_at_contact(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    assert_true(sp_review_set_mark(f.review, CONTACT - 4, SP_POINT_RACQUET_TIP, NULL, NULL));
    sp_readout *r = filmed_read(&f, 500, 0);
    const sp_measure *m = found(r, "racquet_head_speed", "contact");
    assert_int_equal(m->status, SP_STATUS_PROJECTED);
    assert_true(m->value.low < 39.6 && m->value.high > 39.6);
    sp_readout_free(r);
    filmed_free(&f);
}

static void ball_still_on_the_strings_does_not_count(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 240});
    for (int frame = CONTACT + 4; frame <= CONTACT + 5; frame++)
        assert_true(sp_review_set_mark(f.review, frame, SP_POINT_BALL, NULL, NULL));
    sp_readout *r = filmed_read(&f, 20, 0);
    /* frames 89 to 90 lie within 5 ms of the latest touch */
    assert_says(found(r, "ball_speed_off", "contact"), SP_STATUS_NEEDS_POINTS, "frames 91 to");
    sp_readout_free(r);
    filmed_free(&f);
}

static void ball_that_does_not_fall_gives_no_toss(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    for (int frame = RELEASE; frame <= CONTACT; frame += 4)
        filmed_put(&f, frame, SP_POINT_BALL, 0.5, 1.9 + 0.01 * (frame - RELEASE));
    sp_readout *r = filmed_read(&f, 100, 0);
    assert_honest(r);
    assert_says(found(r, "toss_apex", "release"), SP_STATUS_NEEDS_POINTS, "rise and fall");
    sp_readout_free(r);
    filmed_free(&f);
}

static void coinciding_points_give_words_instead_of_an_angle(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    filmed_put(&f, DROP, SP_POINT_RIGHT_ELBOW, -0.37, 1.66);
    sp_readout *r = filmed_read(&f, 100, 0);
    assert_honest(r);
    assert_says(found(r, "elbow_angle", "drop"), SP_STATUS_NEEDS_POINTS, "coincide");
    sp_readout_free(r);
    filmed_free(&f);
}

static void still_head_may_not_have_moved_at_all(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_BACK});
    filmed_moment(&f, "contact", CONTACT);
    filmed_scale(&f);
    for (int frame = CONTACT - 12; frame <= CONTACT + 6; frame += 3)
        filmed_put_noisy(&f, frame, SP_POINT_NOSE, 0.33, 1.8, frame % 2 ? 1.1 : -0.7,
                         frame % 5 - 2.0);
    sp_readout *r = filmed_read(&f, 500, 0);
    const sp_measure *m = found(r, "head_shift", "contact");
    assert_says(m, SP_STATUS_PROJECTED, "nose");
    assert_near(m->value.low, 0, 1e-3);
    assert_true(m->value.high > 0.004);
    sp_readout_free(r);
    filmed_free(&f);
}

/* --- cautions -------------------------------------------------------------------------------- */
static bool cautioned(const sp_readout *r, const char *words) {
    for (size_t i = 0; i < sp_readout_caution_count(r); i++)
        if (strstr(sp_readout_caution_at(r, i), words) != NULL) return true;
    return false;
}

static void drop_is_shown_with_its_caution_whatever_the_shoulder(void **state) {
    (void)state;
    const sp_shoulder shoulders[] = {SP_SHOULDER_UNKNOWN, SP_SHOULDER_HEALTHY,
                                     SP_SHOULDER_PAST_TROUBLE, SP_SHOULDER_CURRENT_TROUBLE};
    const char *asked[4] = {0};
    for (size_t i = 0; i < 4; i++) {
        filmed f = filmed_serve((film){.view = SP_VIEW_BACK});
        sp_player player = *sp_review_get_player(f.review);
        player.shoulder = shoulders[i];
        assert_true(sp_review_set_player(f.review, &player, NULL));
        sp_readout *r = filmed_read(&f, 20, 0);
        assert_true(cautioned(r, "Elliott, Fleisig, Nicholls and Escamilla 2003"));
        assert_true(cautioned(r, "Not medical advice"));
        assert_int_equal(sp_readout_caution_of(r, 0), SP_CAUTION_OF_DROP);
        assert_int_equal(sp_readout_caution_of(r, sp_readout_caution_count(r) - 1),
                         SP_CAUTION_OF_ALL);
        assert_int_equal(cautioned(r, "Warm up first"), shoulders[i] == SP_SHOULDER_HEALTHY);
        assert_int_equal(cautioned(r, "physiotherapist or physician first"),
                         shoulders[i] != SP_SHOULDER_HEALTHY);
        /* the entry is never shown: the same words for all three */
        asked[i] = shoulders[i] == SP_SHOULDER_HEALTHY ? NULL : strdup(sp_readout_caution_at(r, 0));
        if (i >= 2) assert_string_equal(asked[i], asked[0]);
        sp_readout_free(r);
        filmed_free(&f);
    }
    for (size_t i = 0; i < 4; i++) free((char *)(uintptr_t)asked[i]);
}

static void nothing_of_the_drop_needs_no_caution_of_it(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_BACK});
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_false(cautioned(r, "Elliott"));
    assert_true(cautioned(r, "Not medical advice"));
    sp_readout_free(r);
    filmed_free(&f);
}

static void toss_tells_of_a_slowdown_that_was_not_said(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 120, .slowdown = 1});
    assert_true(sp_review_set_slowdown(f.review, 4, NULL));
    sp_readout *wrong = filmed_read(&f, 300, 0);
    assert_true(cautioned(wrong, "falls with 155.9 m/s²"));
    assert_int_equal(sp_readout_caution_of(wrong, 0), SP_CAUTION_OF_MEASURING);
    assert_true(cautioned(wrong, "slowdown of 1 ("));
    assert_true(cautioned(wrong, "every speed is then 299 % too high"));
    assert_true(sp_review_set_slowdown(f.review, 1, NULL));
    sp_readout *right = filmed_read(&f, 300, 0);
    assert_false(cautioned(right, "m/s²"));
    sp_readout_free(wrong);
    sp_readout_free(right);
    filmed_free(&f);
}

/* --- faults ---------------------------------------------------------------------------------- */
static void clip_of_other_length_is_refused_in_words(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_error error = {0};
    assert_null(sp_readout_new(f.review, (sp_frame_times){f.seconds, 119}, NULL, &error));
    assert_int_equal(error.code, SP_ERROR_MISMATCH);
    assert_non_null(strstr(error.message, "119"));
    assert_null(sp_readout_new(f.review, (sp_frame_times){NULL, 0}, NULL, NULL));
    sp_readout_free(NULL);
    filmed_free(&f);
}

static void clip_of_one_frame_is_read_without_fault(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_SIDE, .frames = 1});
    filmed_moment(&f, "contact", 0);
    filmed_moment(&f, "release", 0);
    filmed_put(&f, 0, SP_POINT_BALL, 0.5, 2.0);
    filmed_put(&f, 0, SP_POINT_RACQUET_TIP, 0.5, 2.0);
    filmed_put(&f, 0, SP_POINT_NOSE, 0.5, 2.0);
    filmed_scale(&f);
    sp_readout *r = filmed_read(&f, 20, 0);
    assert_honest(r);
    sp_readout_free(r);
    filmed_free(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(empty_review_says_of_all_what_is_missing),
        cmocka_unit_test(full_review_is_honest_from_every_view_and_rate),
        cmocka_unit_test(gap_is_measured_whole_from_every_view),
        cmocka_unit_test(wrong_view_names_the_view_to_ask_for),
        cmocka_unit_test(missing_points_are_named_for_this_players_hand),
        cmocka_unit_test(missing_moment_is_named),
        cmocka_unit_test(moments_in_the_wrong_order_give_no_time),
        cmocka_unit_test(lengths_want_a_scale_and_angles_do_not),
        cmocka_unit_test(ball_in_flight_wants_the_court),
        cmocka_unit_test(contact_ratio_wants_the_stature),
        cmocka_unit_test(contact_height_wants_the_front_toe_where_it_stood),
        cmocka_unit_test(wrist_serves_for_the_hand_and_the_note_says_so),
        cmocka_unit_test(hand_serves_for_the_butt_and_the_note_says_so),
        cmocka_unit_test(projected_numbers_say_how_much_may_be_hidden),
        cmocka_unit_test(too_few_frames_a_second_give_a_floor_in_words),
        cmocka_unit_test(slow_motion_of_enough_real_frames_is_not_too_coarse),
        cmocka_unit_test(too_few_frames_without_scale_have_no_floor),
        cmocka_unit_test(gap_in_the_run_up_to_contact_is_told),
        cmocka_unit_test(four_frames_suffice_for_the_speed_at_contact),
        cmocka_unit_test(ball_still_on_the_strings_does_not_count),
        cmocka_unit_test(ball_that_does_not_fall_gives_no_toss),
        cmocka_unit_test(coinciding_points_give_words_instead_of_an_angle),
        cmocka_unit_test(still_head_may_not_have_moved_at_all),
        cmocka_unit_test(drop_is_shown_with_its_caution_whatever_the_shoulder),
        cmocka_unit_test(nothing_of_the_drop_needs_no_caution_of_it),
        cmocka_unit_test(toss_tells_of_a_slowdown_that_was_not_said),
        cmocka_unit_test(clip_of_other_length_is_refused_in_words),
        cmocka_unit_test(clip_of_one_frame_is_read_without_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
