/* What was asked last time comes back as a question, with the answer that this serve gives. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checked.h"

/* A drop with the hand `gap_m` above the elbow; nothing else is marked. */
static filmed serve_of(const char *day, double gap_m) {
    filmed f = filmed_new((film){.view = SP_VIEW_SIDE, .points_sd = 0.7});
    filmed_scale(&f);
    filmed_moment(&f, "drop", DROP);
    filmed_put(&f, DROP, SP_POINT_RIGHT_ELBOW, -0.21, 1.71);
    filmed_put(&f, DROP, SP_POINT_RIGHT_HAND, -0.37, 1.71 + gap_m);
    checked_shoulder(&f, SP_SHOULDER_HEALTHY);
    assert_true(sp_review_set_reviewed(f.review, day, NULL));
    return f;
}

static void send(filmed *f, const char *check) {
    checked c = checked_serve(f);
    assert_true(sp_finding_mark_seen(f->review, checked_find(&c, check), true, NULL));
    checked_free(&c);
}

static void assert_answer(double gap_m, sp_check_status now, const char *words) {
    filmed before = serve_of("2027-03-14", 0.31), after = serve_of("2027-04-02", gap_m);
    send(&before, "hand_low_in_drop");
    checked c = checked_serve(&after);
    assert_true(sp_findings_ask(c.findings, before.review, NULL));
    assert_int_equal(sp_findings_asked_count(c.findings), 1);
    const sp_asked asked = sp_findings_asked_at(c.findings, 0);
    assert_string_equal(asked.day, "2027-03-14");
    assert_int_equal(asked.finding->status, now);
    assert_holds(asked.words, "Asked on 2027-03-14: Hand at or below the elbow in the drop. Now: ");
    assert_holds(asked.words, words);
    checked_free(&c);
    filmed_free(&before);
    filmed_free(&after);
}

static void what_was_asked_is_answered_by_this_serve(void **state) {
    (void)state;
    assert_answer(-0.27, SP_CHECK_MET, "Now: met. Hand-elbow gap -27");
    assert_answer(0.24, SP_CHECK_NOT_MET, "Now: not met yet. Hand-elbow gap 24");
    assert_answer(0.004, SP_CHECK_WITHIN_ERROR, "Now: within error. Hand-elbow gap ");
}

static void what_cannot_be_seen_now_says_why(void **state) {
    (void)state;
    filmed before = serve_of("2027-03-14", 0.31);
    send(&before, "hand_low_in_drop");
    filmed after = filmed_new((film){.view = SP_VIEW_SIDE});
    checked c = checked_serve(&after);
    assert_true(sp_findings_ask(c.findings, before.review, NULL));
    assert_holds(sp_findings_asked_at(c.findings, 0).words, "Now: not seen. ");
    assert_true(strlen(sp_findings_asked_at(c.findings, 0).words) > 90);
    checked_free(&c);
    filmed_free(&before);
    filmed_free(&after);
}

static void what_was_good_or_never_sent_is_not_asked(void **state) {
    (void)state;
    filmed good = serve_of("2027-03-14", -0.31), unsent = serve_of("2027-03-14", 0.31);
    send(&good, "hand_low_in_drop");
    filmed after = serve_of("2027-04-02", 0.2);
    checked c = checked_serve(&after);
    assert_true(sp_findings_ask(c.findings, good.review, NULL));
    assert_true(sp_findings_ask(c.findings, unsent.review, NULL));
    assert_int_equal(sp_findings_asked_count(c.findings), 0);
    checked_free(&c);
    filmed_free(&good);
    filmed_free(&unsent);
    filmed_free(&after);
}

/* Whatever the words were when it was sent: another version may say them otherwise. */
static void what_was_asked_in_other_words_is_still_asked(void **state) {
    (void)state;
    filmed before = serve_of("2027-03-14", 0.31), after = serve_of("2027-04-02", 0.2);
    send(&before, "hand_low_in_drop");
    assert_true(sp_finding_say(before.review, "hand_low_in_drop", "Let it hang.", NULL));
    checked c = checked_serve(&after);
    assert_true(sp_findings_ask(c.findings, before.review, NULL));
    assert_int_equal(sp_findings_asked_count(c.findings), 1);
    checked_free(&c);
    filmed_free(&before);
    filmed_free(&after);
}

static void several_reviews_ask_each_thing_once_as_of_the_later_day(void **state) {
    (void)state;
    filmed first = serve_of("2027-03-14", 0.31), second = serve_of("2027-03-20", 0.28);
    send(&first, "hand_low_in_drop");
    send(&second, "hand_low_in_drop");
    filmed after = serve_of("2027-04-02", 0.2);
    checked c = checked_serve(&after);
    assert_true(sp_findings_ask(c.findings, second.review, NULL));
    assert_true(sp_findings_ask(c.findings, first.review, NULL));
    assert_int_equal(sp_findings_asked_count(c.findings), 1);
    assert_string_equal(sp_findings_asked_at(c.findings, 0).day, "2027-03-20");
    checked_free(&c);
    filmed_free(&first);
    filmed_free(&second);
    filmed_free(&after);
}

/* Whoever reads that a lower hand was asked for reads the caution, for each entry. */
static void the_drop_is_asked_back_with_its_caution(void **state) {
    (void)state;
    static const sp_shoulder shoulders[] = {SP_SHOULDER_UNKNOWN, SP_SHOULDER_HEALTHY,
                                            SP_SHOULDER_PAST_TROUBLE, SP_SHOULDER_CURRENT_TROUBLE};
    filmed before = serve_of("2027-03-14", 0.31);
    send(&before, "hand_low_in_drop");
    for (size_t s = 0; s < 4; s++) {
        filmed after = filmed_new((film){.view = SP_VIEW_SIDE});
        checked_shoulder(&after, shoulders[s]);
        checked c = checked_serve(&after);
        const size_t without = sp_findings_caution_count(c.findings);
        assert_true(sp_findings_ask(c.findings, before.review, NULL));
        assert_true(sp_findings_ask(c.findings, before.review, NULL));
        assert_int_equal(sp_findings_caution_count(c.findings), without + 1);
        assert_holds(sp_findings_caution_at(c.findings, without),
                     shoulders[s] == SP_SHOULDER_HEALTHY
                         ? "Warm up first, build strength for it over weeks"
                         : "please see a physiotherapist or physician first");
        checked_free(&c);
        filmed_free(&after);
    }
    filmed_free(&before);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_asked_is_answered_by_this_serve),
        cmocka_unit_test(what_cannot_be_seen_now_says_why),
        cmocka_unit_test(what_was_good_or_never_sent_is_not_asked),
        cmocka_unit_test(what_was_asked_in_other_words_is_still_asked),
        cmocka_unit_test(several_reviews_ask_each_thing_once_as_of_the_later_day),
        cmocka_unit_test(the_drop_is_asked_back_with_its_caution),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
