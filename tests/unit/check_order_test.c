/* The order of work: by the weights, explained, changed by the coach; and what may be sent. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checked.h"

/* From the side, four checks not met, of weights 8, 7, 5 and 4; two of weight 5 when `elbow`. */
static filmed serve_of_many_faults(bool elbow) {
    filmed f = filmed_new((film){.view = SP_VIEW_SIDE, .points_sd = 0.7});
    filmed_scale(&f);
    filmed_moment(&f, "trophy", TROPHY);
    filmed_moment(&f, "contact", CONTACT);
    filmed_put(&f, TROPHY, SP_POINT_LEFT_TOE, 0.29, 0.02);
    filmed_put(&f, CONTACT, SP_POINT_BALL, -0.3, 2.9); /* behind the toe */
    const sp_point_name legs[] = {SP_POINT_LEFT_HIP,  SP_POINT_LEFT_KNEE,  SP_POINT_LEFT_ANKLE,
                                  SP_POINT_RIGHT_HIP, SP_POINT_RIGHT_KNEE, SP_POINT_RIGHT_ANKLE};
    for (int i = 0; i < 6; i++)
        filmed_put(&f, TROPHY, legs[i], 0.2 - 0.3 * (i / 3), 1.02 - 0.45 * (i % 3));
    filmed_put(&f, TROPHY, SP_POINT_RIGHT_SHOULDER, 0.4, 1.48); /* leans to the net */
    filmed_put(&f, TROPHY, SP_POINT_LEFT_SHOULDER, 0.3, 1.52);
    filmed_put(&f, TROPHY, SP_POINT_LEFT_HAND, 0.85, 1.42); /* tossing arm down */
    if (elbow) filmed_put(&f, TROPHY, SP_POINT_RIGHT_ELBOW, 0.35, 1.2);
    return f;
}

static const sp_finding *at_place(const checked *c, int nth) {
    for (size_t i = 0; i < sp_findings_count(c->findings); i++)
        if (sp_findings_at(c->findings, i)->place == nth) return sp_findings_at(c->findings, i);
    return NULL;
}

static void assert_place(const checked *c, int nth, const char *id) {
    const sp_finding *finding = at_place(c, nth);
    assert_non_null(finding);
    assert_string_equal(sp_check_get_id(finding->check), id);
}

static void the_heaviest_two_are_proposed_and_each_place_is_explained(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    checked c = checked_serve(&f);
    assert_place(&c, 1, "contact_into_court");
    assert_place(&c, 2, "knee_bend");
    assert_place(&c, 3, "trunk_in_trophy");
    assert_place(&c, 4, "tossing_arm_up");
    assert_null(at_place(&c, 5));
    assert_string_equal(at_place(&c, 1)->place_why, "Number 1 by its weight, 8 of 10.");
    assert_string_equal(at_place(&c, 2)->place_why, "Number 2 by its weight, 7 of 10.");
    assert_string_equal(at_place(&c, 3)->place_why, "Number 3 by its weight, 5 of 10. At most two "
                                                    "are proposed at a time; this one waits.");
    for (int nth = 1; nth <= 4; nth++)
        assert_int_equal(at_place(&c, nth)->group,
                         nth <= 2 ? SP_FINDINGS_FIRST : SP_FINDINGS_LATER);
    checked_free(&c);
    filmed_free(&f);
}

static void among_equal_weights_the_clearest_comes_first(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(true);
    checked c = checked_serve(&f);
    const sp_finding *trunk = checked_find(&c, "trunk_in_trophy");
    const sp_finding *elbow = checked_find(&c, "elbow_in_trophy");
    assert_int_equal(trunk->status, SP_CHECK_NOT_MET);
    assert_int_equal(elbow->status, SP_CHECK_NOT_MET);
    const sp_interval t = trunk->measures[0].measure.value, e = elbow->measures[0].measure.value;
    const double clear_t = t.value / (t.high - t.low), clear_e = (-20 - e.value) / (e.high - e.low);
    assert_int_equal(trunk->place<elbow->place, clear_t> clear_e);
    assert_holds(trunk->place_why, "among equal weights the one clearest beyond its limit");
    assert_int_equal(trunk->place + elbow->place, 3 + 4);
    checked_free(&c);
    filmed_free(&f);
}

static void findings_stand_by_group_and_place(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(true);
    checked c = checked_serve(&f);
    assert_int_equal(sp_findings_count(c.findings), sp_checks_count(c.checks));
    int first = 0;
    for (size_t i = 0; i < sp_findings_count(c.findings); i++) {
        const sp_finding *finding = sp_findings_at(c.findings, i);
        if (finding->group == SP_FINDINGS_FIRST) first++;
        if (i == 0) continue;
        const sp_finding *before = sp_findings_at(c.findings, i - 1);
        assert_true(before->group <= finding->group);
        if (before->group == finding->group) assert_true(before->place <= finding->place);
    }
    assert_int_equal(first, 2);
    checked_free(&c);
    filmed_free(&f);
}

static void move(filmed *f, const char *id, int nth) {
    checked c = checked_serve(f);
    sp_error error = {0};
    if (!sp_finding_move(f->review, c.findings, id, nth, &error)) fail_msg("%s", error.message);
    checked_free(&c);
}

static void assert_order(const filmed *f, const char *const ids[4]) {
    checked c = checked_serve(f);
    for (int nth = 1; nth <= 4; nth++) assert_place(&c, nth, ids[nth - 1]);
    checked_free(&c);
}

static void the_coach_moves_findings_one_undoable_edit_each(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    const char *const by_weight[] = {"contact_into_court", "knee_bend", "trunk_in_trophy",
                                     "tossing_arm_up"};
    const char *const arm_first[] = {"tossing_arm_up", "contact_into_court", "knee_bend",
                                     "trunk_in_trophy"};
    const char *const court_third[] = {"tossing_arm_up", "knee_bend", "contact_into_court",
                                       "trunk_in_trophy"};
    const char *const court_last[] = {"tossing_arm_up", "knee_bend", "trunk_in_trophy",
                                      "contact_into_court"};
    assert_order(&f, by_weight);
    move(&f, "tossing_arm_up", 1);
    assert_order(&f, arm_first);
    move(&f, "contact_into_court", 3);
    assert_order(&f, court_third);
    move(&f, "contact_into_court", 4);
    assert_order(&f, court_last);
    checked c = checked_serve(&f);
    assert_holds(at_place(&c, 1)->place_why, "Number 1 because the coach put it there.");
    assert_int_equal(at_place(&c, 1)->group, SP_FINDINGS_FIRST);
    checked_free(&c);
    assert_string_equal(sp_review_undo(f.review, NULL), "finding 'contact_into_court'");
    assert_order(&f, court_third);
    sp_review_undo(f.review, NULL);
    sp_review_undo(f.review, NULL);
    assert_order(&f, by_weight);
    filmed_free(&f);
}

static void only_what_is_not_met_can_be_moved(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    checked c = checked_serve(&f);
    sp_error error = {0};
    assert_false(sp_finding_move(f.review, c.findings, "pronation", 1, &error));
    assert_holds(error.message, "'pronation' has no place in the order of work");
    assert_false(sp_finding_move(f.review, c.findings, "knee_bend", 5, &error));
    assert_holds(error.message, "no place 5");
    assert_int_equal(sp_review_finding_count(f.review), 0);
    checked_free(&c);
    filmed_free(&f);
}

/* Held back, it takes no place among the two, whatever its weight; the coach may put it there. */
static void what_is_held_back_is_not_proposed_unless_the_coach_says_so(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    filmed_moment(&f, "drop", DROP);
    filmed_put(&f, DROP, SP_POINT_RIGHT_ELBOW, -0.21, 1.71);
    filmed_put(&f, DROP, SP_POINT_RIGHT_HAND, -0.3, 2.01);
    checked c = checked_serve(&f);
    assert_place(&c, 5, "hand_low_in_drop");
    assert_int_equal(at_place(&c, 5)->group, SP_FINDINGS_CAREFUL);
    assert_string_equal(at_place(&c, 5)->place_why,
                        "Number 5, after what is proposed: its advice is held back for the "
                        "shoulder's sake.");
    assert_int_equal(at_place(&c, 1)->group, SP_FINDINGS_FIRST);
    assert_int_equal(at_place(&c, 2)->group, SP_FINDINGS_FIRST);
    checked_free(&c);
    move(&f, "hand_low_in_drop", 3);
    c = checked_serve(&f);
    assert_place(&c, 3, "hand_low_in_drop");
    assert_place(&c, 2, "knee_bend");
    assert_int_equal(at_place(&c, 3)->group, SP_FINDINGS_CAREFUL);
    checked_free(&c);
    move(&f, "hand_low_in_drop", 1);
    c = checked_serve(&f);
    assert_place(&c, 1, "hand_low_in_drop");
    assert_int_equal(at_place(&c, 1)->group, SP_FINDINGS_FIRST);
    assert_holds(at_place(&c, 1)->advice, "please see a physiotherapist or physician first");
    checked_free(&c);
    sp_review_undo(f.review, NULL);
    sp_review_undo(f.review, NULL);
    checked_shoulder(&f, SP_SHOULDER_HEALTHY);
    c = checked_serve(&f);
    assert_place(&c, 1, "hand_low_in_drop");
    checked_free(&c);
    filmed_free(&f);
}

/* --- seen and sent --------------------------------------------------------------------------- */
static size_t sendable(const filmed *f, const char *id) {
    checked c = checked_serve(f);
    const sp_finding *list[64];
    const size_t count = sp_findings_to_send(c.findings, list, 64);
    bool there = false;
    for (size_t i = 0; i < count; i++)
        there = there || strcmp(sp_check_get_id(list[i]->check), id) == 0;
    checked_free(&c);
    return there ? count : 0;
}

static void see(filmed *f, const char *id, bool seen) {
    checked c = checked_serve(f);
    assert_true(sp_finding_mark_seen(f->review, checked_find(&c, id), seen, NULL));
    checked_free(&c);
}

static void nothing_is_sent_that_the_coach_has_not_seen(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    checked c = checked_serve(&f);
    assert_int_equal(sp_findings_to_send(c.findings, NULL, 0), 0);
    checked_free(&c);
    see(&f, "knee_bend", true);
    assert_int_equal(sendable(&f, "knee_bend"), 1);
    see(&f, "contact_into_court", true);
    assert_int_equal(sendable(&f, "knee_bend"), 2);
    see(&f, "trunk_in_trophy", true); /* folded: it is not sent */
    assert_int_equal(sendable(&f, "knee_bend"), 2);
    see(&f, "knee_bend", false);
    assert_int_equal(sendable(&f, "knee_bend"), 0);
    assert_int_equal(sendable(&f, "contact_into_court"), 1);
    filmed_free(&f);
}

/* Other words, another number, another caution: it is unseen again. */
static void what_changes_after_it_was_seen_is_not_sent(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    see(&f, "knee_bend", true);
    assert_true(sp_finding_say(f.review, "knee_bend", "Sit a little.", NULL));
    assert_int_equal(sendable(&f, "knee_bend"), 0);
    see(&f, "knee_bend", true);
    assert_int_equal(sendable(&f, "knee_bend"), 1);
    filmed_put(&f, TROPHY, SP_POINT_LEFT_ANKLE, 0.27, 0.12);
    assert_int_equal(sendable(&f, "knee_bend"), 0);
    sp_review_undo(f.review, NULL);
    assert_int_equal(sendable(&f, "knee_bend"), 1);
    filmed_free(&f);
}

static void a_caution_that_changes_is_seen_anew(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .points_sd = 0.4});
    filmed_put(&f, DROP, SP_POINT_RIGHT_HAND, -0.37, 1.41);
    checked_shoulder(&f, SP_SHOULDER_HEALTHY);
    see(&f, "hand_low_in_drop", true);
    assert_true(sendable(&f, "hand_low_in_drop") > 0);
    checked_shoulder(&f, SP_SHOULDER_CURRENT_TROUBLE);
    assert_int_equal(sendable(&f, "hand_low_in_drop"), 0);
    filmed_free(&f);
}

/* The stamp is of what is found, not of the units that a coach reads. */
static void units_do_not_unsee(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    checked metric = checked_serve(&f);
    checked imperial = checked_by(&f, sp_checks_new(NULL, NULL, NULL), SP_UNITS_IMPERIAL);
    const sp_finding *m = checked_find(&metric, "contact_into_court");
    const sp_finding *i = checked_find(&imperial, "contact_into_court");
    assert_string_equal(m->stamp, i->stamp);
    assert_holds(m->says, " cm (");
    assert_holds(i->says, " in (");
    assert_holds(i->says, "looked for: 0.0 in or more");
    checked_free(&metric);
    checked_free(&imperial);
    filmed_free(&f);
}

static void own_words_go_and_leave_no_entry_behind(void **state) {
    (void)state;
    filmed f = serve_of_many_faults(false);
    assert_true(sp_finding_say(f.review, "knee_bend", "Sit a little.", NULL));
    assert_int_equal(sp_review_finding_count(f.review), 1);
    assert_true(sp_finding_say(f.review, "knee_bend", NULL, NULL));
    assert_int_equal(sp_review_finding_count(f.review), 0);
    assert_false(sp_finding_say(f.review, "knee_bend", "\033[2J", NULL));
    filmed_free(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_heaviest_two_are_proposed_and_each_place_is_explained),
        cmocka_unit_test(among_equal_weights_the_clearest_comes_first),
        cmocka_unit_test(findings_stand_by_group_and_place),
        cmocka_unit_test(the_coach_moves_findings_one_undoable_edit_each),
        cmocka_unit_test(only_what_is_not_met_can_be_moved),
        cmocka_unit_test(what_is_held_back_is_not_proposed_unless_the_coach_says_so),
        cmocka_unit_test(nothing_is_sent_that_the_coach_has_not_seen),
        cmocka_unit_test(what_changes_after_it_was_seen_is_not_sent),
        cmocka_unit_test(a_caution_that_changes_is_seen_anew),
        cmocka_unit_test(units_do_not_unsee),
        cmocka_unit_test(own_words_go_and_leave_no_entry_behind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
