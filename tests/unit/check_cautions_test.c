/* The advice on the drop and its caution: never one without the other, and never the advice unless
 * the shoulder is healthy. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checked.h"

static const sp_shoulder SHOULDERS[] = {SP_SHOULDER_UNKNOWN, SP_SHOULDER_HEALTHY,
                                        SP_SHOULDER_PAST_TROUBLE, SP_SHOULDER_CURRENT_TROUBLE};

/* Words of the advice itself, of each check of the drop. */
static const char *const ADVICE[] = {"sinks by itself", "gather speed", "never press it down",
                                     "Keep the hitting elbow out"};
#define ADVICE_COUNT (sizeof ADVICE / sizeof ADVICE[0])
static const char *const OF_DROP[] = {"hand_low_in_drop", "tip_low_in_drop", "racquet_along_body"};

/* Words of the two cautions, and of what both say. */
static const char WARM[] = "Warm up first, build strength for it over weeks";
static const char ASK[] = "please see a physiotherapist or physician first";
static const char SOURCE[] = "Elliott, Fleisig, Nicholls and Escamilla 2003";
static const char NO_ADVICE[] = "Not medical advice";

/* Seen from behind, so that all three checks of the drop are; `down` m below the elbow and hips. */
static filmed serve_of(sp_shoulder shoulder, double down) {
    filmed f = filmed_new((film){.view = SP_VIEW_BACK, .points_sd = 0.7});
    filmed_scale(&f);
    filmed_moment(&f, "drop", DROP);
    filmed_put(&f, DROP, SP_POINT_RIGHT_ELBOW, 0.21, 1.71);
    filmed_put(&f, DROP, SP_POINT_RIGHT_HAND, 0.33, 1.71 - down);
    filmed_put(&f, DROP, SP_POINT_RIGHT_SHOULDER, 0.17, 1.53);
    filmed_put(&f, DROP, SP_POINT_LEFT_SHOULDER, -0.17, 1.58);
    filmed_put(&f, DROP, SP_POINT_RIGHT_HIP, 0.17, 1.02);
    filmed_put(&f, DROP, SP_POINT_LEFT_HIP, -0.14, 1.03);
    filmed_put(&f, DROP, SP_POINT_RACQUET_BUTT, 0.9, 1.7);
    filmed_put(&f, DROP, SP_POINT_RACQUET_TIP, 1.2, 1.02 - 2 * down);
    checked_shoulder(&f, shoulder);
    return f;
}

static bool advises(const char *text) {
    for (size_t i = 0; i < ADVICE_COUNT; i++)
        if (strstr(text, ADVICE[i]) != NULL) return true;
    return false;
}

static void assert_cautioned(const char *text, bool healthy) {
    assert_holds(text, healthy ? WARM : ASK);
    assert_null(strstr(text, healthy ? ASK : WARM));
    assert_holds(text, SOURCE);
    assert_holds(text, NO_ADVICE);
}

/* Every text that a finding hands out, one by one. */
static void assert_no_text_advises_alone(const sp_finding *finding, bool healthy) {
    const char *const texts[] = {finding->says,
                                 finding->published,
                                 finding->advice,
                                 finding->place_why,
                                 finding->stamp,
                                 sp_check_get_title(finding->check),
                                 sp_check_get_looked_for(finding->check),
                                 sp_check_get_source(finding->check)};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (!advises(texts[i])) continue;
        assert_true(healthy);
        assert_cautioned(texts[i], healthy);
    }
}

static void shallow_drops_are_advised_on_with_the_caution_or_not_at_all(void **state) {
    (void)state;
    for (size_t s = 0; s < 4; s++) {
        const bool healthy = SHOULDERS[s] == SP_SHOULDER_HEALTHY;
        filmed f = serve_of(SHOULDERS[s], -0.35);
        checked c = checked_serve(&f);
        for (size_t i = 0; i < 3; i++) {
            const sp_finding *finding = checked_find(&c, OF_DROP[i]);
            assert_int_equal(finding->status, SP_CHECK_NOT_MET);
            assert_int_equal(finding->held_back, !healthy);
            assert_cautioned(finding->advice, healthy);
            assert_int_equal(advises(finding->advice), healthy);
            assert_int_equal(finding->group == SP_FINDINGS_CAREFUL, !healthy);
            assert_no_text_advises_alone(finding, healthy);
        }
        checked_free(&c);
        filmed_free(&f);
    }
}

/* Also where the drop is deep already: nothing asks for more. */
static void deep_drops_carry_the_caution_and_no_advice(void **state) {
    (void)state;
    for (size_t s = 0; s < 4; s++) {
        filmed f = serve_of(SHOULDERS[s], 0.3);
        checked c = checked_serve(&f);
        for (size_t i = 0; i < 2; i++) {
            const sp_finding *finding = checked_find(&c, OF_DROP[i]);
            assert_int_equal(finding->status, SP_CHECK_MET);
            assert_false(finding->held_back);
            assert_false(advises(finding->advice));
            assert_cautioned(finding->advice, SHOULDERS[s] == SP_SHOULDER_HEALTHY);
        }
        checked_free(&c);
        filmed_free(&f);
    }
}

/* Of what is not healthy nobody can read off which it is. */
static void the_entry_is_never_shown(void **state) {
    (void)state;
    char *first = NULL;
    for (size_t s = 0; s < 4; s++) {
        if (SHOULDERS[s] == SP_SHOULDER_HEALTHY) continue;
        filmed f = serve_of(SHOULDERS[s], -0.35);
        checked c = checked_serve(&f);
        char *json = sp_findings_detach_json(c.findings, f.review, "r", NULL);
        assert_non_null(json);
        assert_null(strstr(json, "_trouble"));
        assert_null(strstr(json, "unknown"));
        if (first == NULL)
            first = json;
        else
            assert_string_equal(json, first);
        if (json != first) free(json);
        checked_free(&c);
        filmed_free(&f);
    }
    free(first);
}

static void the_json_advises_only_with_the_caution(void **state) {
    (void)state;
    for (size_t s = 0; s < 4; s++) {
        const bool healthy = SHOULDERS[s] == SP_SHOULDER_HEALTHY;
        filmed f = serve_of(SHOULDERS[s], -0.35);
        checked c = checked_serve(&f);
        char *json = sp_findings_detach_json(c.findings, f.review, "r", NULL);
        assert_int_equal(advises(json), healthy);
        /* on the line of each advice stands its caution */
        for (char *line = strtok(json, "\n"); line != NULL; line = strtok(NULL, "\n"))
            if (advises(line)) assert_cautioned(line, healthy);
        free(json);
        checked_free(&c);
        filmed_free(&f);
    }
}

static void what_is_said_of_all_findings_holds_the_drops_caution_where_it_is_seen(void **state) {
    (void)state;
    for (size_t s = 0; s < 4; s++)
        for (int seen = 0; seen < 2; seen++) {
            filmed f = serve_of(SHOULDERS[s], -0.35);
            if (!seen) filmed_moment(&f, "drop", -1);
            checked c = checked_serve(&f);
            const size_t count = sp_findings_caution_count(c.findings);
            assert_int_equal(count, seen ? 2 : 1);
            if (seen)
                assert_cautioned(sp_findings_caution_at(c.findings, 0),
                                 SHOULDERS[s] == SP_SHOULDER_HEALTHY);
            assert_holds(sp_findings_caution_at(c.findings, count - 1), NO_ADVICE);
            assert_holds(sp_findings_caution_at(c.findings, count - 1), "still growing");
            checked_free(&c);
            filmed_free(&f);
        }
}

/* A judgement by eye leads to no other words. */
static void a_judged_drop_is_held_back_as_a_measured_one(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_BACK});
    const sp_judgement shallow = {.verdict = SP_VERDICT_NOT_MET, .frame = 40};
    assert_true(sp_review_set_judgement(f.review, "tip_low_in_drop", &shallow, NULL));
    for (size_t s = 0; s < 4; s++) {
        const bool healthy = SHOULDERS[s] == SP_SHOULDER_HEALTHY;
        checked_shoulder(&f, SHOULDERS[s]);
        checked c = checked_serve(&f);
        const sp_finding *finding = checked_find(&c, "tip_low_in_drop");
        assert_true(finding->by_eye);
        assert_int_equal(advises(finding->advice), healthy);
        assert_cautioned(finding->advice, healthy);
        checked_free(&c);
    }
    filmed_free(&f);
}

/* The coach may write, but the caution stays. */
static void own_words_carry_the_caution(void **state) {
    (void)state;
    for (size_t s = 0; s < 4; s++) {
        filmed f = serve_of(SHOULDERS[s], -0.35);
        assert_true(sp_finding_say(f.review, "tip_low_in_drop", "Let it hang, Zoë.", NULL));
        checked c = checked_serve(&f);
        const sp_finding *finding = checked_find(&c, "tip_low_in_drop");
        assert_true(finding->own_words);
        assert_int_equal(strncmp(finding->advice, "Let it hang, Zoë. Caution: ", 28), 0);
        assert_cautioned(finding->advice, SHOULDERS[s] == SP_SHOULDER_HEALTHY);
        assert_false(advises(finding->advice));
        checked_free(&c);
        filmed_free(&f);
    }
}

static void other_checks_carry_their_own_caution_with_the_advice_only(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    filmed_put(&f, TROPHY, SP_POINT_LEFT_ANKLE, 0.44, 0.12);
    filmed_put(&f, TROPHY, SP_POINT_RIGHT_ANKLE, 0.1, 0.1);
    checked c = checked_serve(&f);
    const sp_finding *finding = checked_find(&c, "knee_bend");
    assert_int_equal(finding->status, SP_CHECK_NOT_MET);
    assert_holds(finding->advice, "Sink as the tossing arm goes up");
    assert_holds(finding->advice, "Caution: With knee or back pain, ask a physician");
    assert_null(strstr(finding->advice, WARM));
    assert_string_equal(checked_find(&c, "trunk_in_trophy")->advice, "");
    checked_free(&c);
    filmed_free(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shallow_drops_are_advised_on_with_the_caution_or_not_at_all),
        cmocka_unit_test(deep_drops_carry_the_caution_and_no_advice),
        cmocka_unit_test(the_entry_is_never_shown),
        cmocka_unit_test(the_json_advises_only_with_the_caution),
        cmocka_unit_test(what_is_said_of_all_findings_holds_the_drops_caution_where_it_is_seen),
        cmocka_unit_test(a_judged_drop_is_held_back_as_a_measured_one),
        cmocka_unit_test(own_words_carry_the_caution),
        cmocka_unit_test(other_checks_carry_their_own_caution_with_the_advice_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
