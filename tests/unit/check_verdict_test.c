/* Findings beyond the table of serves: what stands in for a measure, the coach's eye, both hands.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checked.h"

static filmed hand_serve(sp_view view, double gap_m, bool scaled) {
    filmed f = filmed_new((film){.view = view, .points_sd = 0.7});
    if (scaled) filmed_scale(&f);
    filmed_moment(&f, "drop", DROP);
    filmed_put(&f, DROP, SP_POINT_RIGHT_ELBOW, -0.21, 1.71);
    filmed_put(&f, DROP, SP_POINT_RIGHT_HAND, -0.37, 1.71 + gap_m);
    return f;
}

static filmed knees_serve(double angle_deg) {
    filmed f = filmed_new((film){.view = SP_VIEW_SIDE, .points_sd = 0.7});
    const double bend = (180 - angle_deg) / 57.295779513082320876798;
    const sp_point_name legs[] = {SP_POINT_LEFT_HIP,  SP_POINT_LEFT_KNEE,  SP_POINT_LEFT_ANKLE,
                                  SP_POINT_RIGHT_HIP, SP_POINT_RIGHT_KNEE, SP_POINT_RIGHT_ANKLE};
    filmed_moment(&f, "trophy", TROPHY);
    for (int leg = 0; leg < 2; leg++) {
        const double u = 0.19 - 0.26 * leg;
        filmed_put(&f, TROPHY, legs[3 * leg], u, 0.98);
        filmed_put(&f, TROPHY, legs[3 * leg + 1], u, 0.53);
        filmed_put(&f, TROPHY, legs[3 * leg + 2], u - 0.42 * sin(bend), 0.53 - 0.42 * cos(bend));
    }
    return f;
}

/* --- without a scale, at too low a rate, with one of two tests ------------------------------- */
static void the_forearm_tells_of_the_hand_where_no_scale_does(void **state) {
    (void)state;
    const double gaps[] = {-0.09, 0.07};
    for (int i = 0; i < 2; i++) {
        filmed f = hand_serve(SP_VIEW_BACK, gaps[i], false);
        checked c = checked_serve(&f);
        const sp_finding *finding = checked_find(&c, "hand_low_in_drop");
        assert_int_equal(finding->status, i == 0 ? SP_CHECK_MET : SP_CHECK_NOT_MET);
        assert_holds(finding->says, "Forearm to plumb");
        assert_holds(finding->says, "looked for: 90° or more");
        checked_free(&c);
        filmed_free(&f);
    }
}

static void too_few_frames_ask_for_more_of_them(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 60});
    checked c = checked_serve(&f);
    const sp_finding *finding = checked_find(&c, "fastest_at_contact");
    assert_int_equal(finding->status, SP_CHECK_TOO_COARSE);
    assert_int_equal(finding->group, SP_FINDINGS_UNSEEN);
    assert_holds(finding->says, "Film at 120 or more");
    checked_free(&c);
    filmed_free(&f);
}

static void one_straight_knee_is_enough_not_to_meet_and_one_bent_is_not_to_meet(void **state) {
    (void)state;
    filmed f = knees_serve(118);
    filmed_put(&f, TROPHY, SP_POINT_RIGHT_ANKLE, 0.19 - 0.26, 0.11);
    checked c = checked_serve(&f);
    const sp_finding *finding = checked_find(&c, "knee_bend");
    assert_int_equal(finding->status, SP_CHECK_NOT_MET);
    assert_int_equal(finding->measure_count, 2);
    assert_int_equal(finding->measures[0].status, SP_CHECK_MET);
    assert_int_equal(finding->measures[1].status, SP_CHECK_NOT_MET);
    checked_free(&c);
    assert_true(sp_review_set_mark(f.review, TROPHY, sp_point_for_hand(SP_POINT_RIGHT_ANKLE, 0),
                                   NULL, NULL));
    c = checked_serve(&f);
    finding = checked_find(&c, "knee_bend");
    assert_int_equal(finding->status, SP_CHECK_POINTS_MISSING);
    assert_holds(finding->says, "Front knee angle 118");
    assert_holds(finding->says, "right ankle");
    checked_free(&c);
    filmed_free(&f);
}

/* --- by eye ---------------------------------------------------------------------------------- */
static sp_check_status judged(filmed *f, const char *id, const sp_judgement *judgement,
                              const char *words) {
    assert_true(sp_review_set_judgement(f->review, id, judgement, NULL));
    checked c = checked_serve(f);
    const sp_finding *finding = checked_find(&c, id);
    const sp_check_status status = finding->status;
    assert_holds(finding->says, words);
    assert_int_equal(finding->by_eye, status == SP_CHECK_MET || status == SP_CHECK_NOT_MET);
    if (judgement != NULL && judgement->frame >= 0)
        assert_int_equal(finding->frame, judgement->frame);
    checked_free(&c);
    return status;
}

static void assert_pronation_is_seen(bool left_handed) {
    filmed f = filmed_serve((film){.view = SP_VIEW_BACK, .left_handed = left_handed});
    sp_judgement seen = {.verdict = SP_VERDICT_MET, .frame = 93, .text = (char[]){"Palm out."}};
    assert_int_equal(judged(&f, "pronation", NULL, "No measure tells this"), SP_CHECK_FOR_THE_EYE);
    assert_int_equal(
        judged(&f, "pronation", &seen, "By the coach's eye: met, on frame 93. Palm out."),
        SP_CHECK_MET);
    seen = (sp_judgement){.verdict = SP_VERDICT_NOT_MET, .frame = -1};
    assert_int_equal(judged(&f, "pronation", &seen, "By the coach's eye: not met."),
                     SP_CHECK_NOT_MET);
    seen.verdict = SP_VERDICT_UNSURE;
    assert_int_equal(judged(&f, "pronation", &seen, "By the coach's eye: unsure."),
                     SP_CHECK_FOR_THE_EYE);
    filmed_free(&f);
    filmed oblique = filmed_serve((film){.view = SP_VIEW_OBLIQUE, .left_handed = left_handed});
    seen.verdict = SP_VERDICT_MET;
    assert_int_equal(judged(&oblique, "pronation", NULL, "at a slant cannot show it"),
                     SP_CHECK_NOT_FROM_THIS_VIEW);
    filmed_free(&oblique);
}

static void pronation_is_the_coachs_to_see(void **state) {
    (void)state;
    assert_pronation_is_seen(false);
    assert_pronation_is_seen(true);
}

static void the_eye_decides_where_the_number_cannot(void **state) {
    (void)state;
    const sp_judgement seen = {.verdict = SP_VERDICT_NOT_MET, .frame = -1};
    const char hand[] = "hand_low_in_drop";
    filmed close = hand_serve(SP_VIEW_SIDE, 0.004, true);
    assert_int_equal(judged(&close, hand, &seen, "too close to tell. By the coach's eye: not"),
                     SP_CHECK_NOT_MET);
    filmed_free(&close);
    filmed bare = filmed_new((film){.view = SP_VIEW_SIDE});
    assert_int_equal(judged(&bare, hand, &seen, "By the coach's eye: not met."), SP_CHECK_NOT_MET);
    filmed_free(&bare);
}

static void a_number_comes_before_the_eye(void **state) {
    (void)state;
    const sp_judgement seen = {.verdict = SP_VERDICT_NOT_MET, .frame = -1};
    const char hand[] = "hand_low_in_drop";
    filmed f = hand_serve(SP_VIEW_SIDE, -0.27, true);
    assert_true(sp_review_set_judgement(f.review, hand, &seen, NULL));
    checked c = checked_serve(&f);
    const sp_finding *finding = checked_find(&c, hand);
    assert_int_equal(finding->status, SP_CHECK_MET);
    assert_false(finding->by_eye);
    assert_null(strstr(finding->says, "eye"));
    checked_free(&c);
    filmed_free(&f);
}

/* --- mirrored serves ------------------------------------------------------------------------- */
static void assert_same_findings(sp_view view) {
    filmed right = filmed_serve((film){.view = view, .tilt_deg = 1.7});
    filmed left = filmed_serve((film){.view = view, .tilt_deg = 1.7, .left_handed = true});
    checked a = checked_serve(&right), b = checked_serve(&left);
    for (size_t i = 0; i < sp_findings_count(a.findings); i++) {
        const sp_finding *one = sp_findings_at(a.findings, i),
                         *other = sp_findings_at(b.findings, i);
        assert_string_equal(sp_check_get_id(one->check), sp_check_get_id(other->check));
        assert_int_equal(one->status, other->status);
        assert_int_equal(one->group, other->group);
        assert_int_equal(one->place, other->place);
        assert_int_equal(one->frame, other->frame);
        assert_string_equal(one->says, other->says);
        assert_string_equal(one->advice, other->advice);
        assert_string_equal(one->place_why, other->place_why);
        assert_string_equal(one->stamp, other->stamp);
    }
    checked_free(&a);
    checked_free(&b);
    filmed_free(&right);
    filmed_free(&left);
}

static void mirrored_serves_have_the_same_findings_from_every_view(void **state) {
    (void)state;
    assert_same_findings(SP_VIEW_SIDE);
    assert_same_findings(SP_VIEW_BACK);
    assert_same_findings(SP_VIEW_FRONT);
    assert_same_findings(SP_VIEW_OBLIQUE);
}

static void points_of_a_check_are_named_for_the_hand(void **state) {
    (void)state;
    sp_checks *checks = sp_checks_new(NULL, NULL, NULL);
    sp_point_name points[SP_POINT_COUNT];
    const sp_check *hand = sp_checks_find(checks, "hand_low_in_drop");
    assert_int_equal(sp_check_points(hand, SP_HAND_LEFT, points), 2);
    assert_int_equal(points[0], SP_POINT_LEFT_ELBOW);
    assert_int_equal(points[1], SP_POINT_LEFT_HAND);
    assert_int_equal(sp_check_points(sp_checks_find(checks, "knee_bend"), SP_HAND_RIGHT, points),
                     6);
    assert_int_equal(sp_check_points(sp_checks_find(checks, "pronation"), SP_HAND_RIGHT, points),
                     0);
    sp_checks_free(checks);
}

static void a_ball_met_ahead_of_the_foot_asks_for_the_toe_in_the_trophy(void **state) {
    (void)state;
    sp_checks *checks = sp_checks_new(NULL, NULL, NULL);
    sp_point_name points[SP_POINT_COUNT];
    const sp_check *ahead = sp_checks_find(checks, "contact_into_court");
    assert_int_equal(sp_check_points_in(ahead, "trophy", SP_HAND_LEFT, points), 1);
    assert_int_equal(points[0], SP_POINT_RIGHT_TOE);
    assert_int_equal(sp_check_points_in(ahead, "contact", SP_HAND_LEFT, points),
                     sp_check_points(ahead, SP_HAND_LEFT, points));
    assert_int_equal(sp_check_points_in(ahead, "drop", SP_HAND_LEFT, points), 0);
    const sp_check *hand = sp_checks_find(checks, "hand_low_in_drop");
    assert_int_equal(sp_check_points_in(hand, "trophy", SP_HAND_RIGHT, points), 0);
    assert_int_equal(sp_check_points_in(hand, "drop", SP_HAND_RIGHT, points), 2);
    sp_checks_free(checks);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_forearm_tells_of_the_hand_where_no_scale_does),
        cmocka_unit_test(too_few_frames_ask_for_more_of_them),
        cmocka_unit_test(one_straight_knee_is_enough_not_to_meet_and_one_bent_is_not_to_meet),
        cmocka_unit_test(pronation_is_the_coachs_to_see),
        cmocka_unit_test(the_eye_decides_where_the_number_cannot),
        cmocka_unit_test(a_number_comes_before_the_eye),
        cmocka_unit_test(mirrored_serves_have_the_same_findings_from_every_view),
        cmocka_unit_test(points_of_a_check_are_named_for_the_hand),
        cmocka_unit_test(a_ball_met_ahead_of_the_foot_asks_for_the_toe_in_the_trophy),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
