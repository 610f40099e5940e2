/* The request for the next clip, and the smear that it works out. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <unistd.h>

#include <cmocka.h>

#include "../near.h"
#include "checked.h"
#include "readout/check_smear.h"

/* methods.md, "Blur": 40 m/s for 1/1000 s is 4 cm, for 1/240 s 17 cm. */
static void smear_is_speed_times_exposure(void **state) {
    (void)state;
    assert_near(sp_smear_m(40, 1 / 1000.0), 0.04, 1e-12);
    assert_near(sp_smear_m(40, 1 / 240.0), 0.17, 0.005);
}

static void the_shutter_is_the_longest_that_can_be_tapped(void **state) {
    (void)state;
    const sp_smear wide = sp_smear_for(35, 0.00417), close = sp_smear_for(35, 0.00231),
                   slow = sp_smear_for(9.7, 0.00417), hopeless = sp_smear_for(52, 0.0009);
    assert_int_equal(wide.shutter, 1000);
    assert_near(wide.smear_m, 0.035, 1e-12);
    assert_near(wide.smear_px, 0.035 / 0.00417, 1e-9);
    assert_int_equal(close.shutter, 2000);
    assert_int_equal(slow.shutter, 250);
    assert_int_equal(hopeless.shutter, 4000);
    assert_true(wide.smear_px <= 10 && 2 * wide.smear_px > 10);
    assert_true(close.smear_px <= 10 && 2 * close.smear_px > 10);
}

static char *request(film how, sp_units units, sp_view *view) {
    filmed f = filmed_serve(how);
    checked c = checked_by(&f, sp_checks_new(NULL, NULL, NULL), units);
    char *text = strdup(sp_findings_next_clip(c.findings, view));
    checked_free(&c);
    filmed_free(&f);
    return text;
}

static void a_side_view_asks_for_one_from_behind(void **state) {
    (void)state;
    sp_view view;
    char *text = request((film){.view = SP_VIEW_SIDE}, SP_UNITS_METRIC, &view);
    assert_int_equal(view, SP_VIEW_BACK);
    assert_holds(text, "Please film one more serve, from behind. The last clip could not show:");
    assert_holds(text, "- Racquet along the hitting-side edge of the body in the drop");
    assert_holds(text, "in the line in which you serve, 5 to 6 m from you");
    assert_holds(text, "chest height (1.2 to 1.5 m), the phone upright and level");
    assert_holds(text, "120 frames a second at least, better 240");
    assert_holds(text, "the baseline with its centre mark and both corners");
    assert_null(strstr(text, "Ball met ahead"));
    free(text);
}

/* The filmed swing turns about 1.1 m with 36 + 450 t radians a second: 39.6 m/s at the touch, which
 * is 8 px of 5 mm in 1/1000 s. It gains by more than racquets do as they meet a ball, so that it is
 * read a little low. */
static void the_measured_speed_and_scale_are_used(void **state) {
    (void)state;
    char *text = request((film){.view = SP_VIEW_SIDE}, SP_UNITS_METRIC, NULL);
    assert_holds(text, "a shutter of 1/1000 s or shorter");
    const char *why = strstr(text, "Why: at ");
    assert_non_null(why);
    assert_near(strtod(why + 8, NULL), 1.1 * 36 * 3.6, 4);
    assert_holds(text,
                 "from one frame of 240 to the next, and smears over 3.9 cm (about 8 pixels)");
    assert_holds(text, "but over 32 cm at 1/120 s");
    free(text);
}

/* From behind no speed is measured, so that 35 m/s are taken: 3.5 cm in 1/1000 s, 29 cm in 1/120.
 */
static void a_back_view_asks_for_one_from_the_side_of_the_hitting_arm(void **state) {
    (void)state;
    for (int left = 0; left < 2; left++) {
        sp_view view;
        char *text =
            request((film){.view = SP_VIEW_BACK, .left_handed = left}, SP_UNITS_METRIC, &view);
        assert_int_equal(view, SP_VIEW_SIDE);
        assert_holds(text,
                     left ? "(your left as you face the net)" : "(your right as you face the net)");
        assert_holds(text, "at 126 km/h the racquet head moves 15 cm from one frame of 240");
        assert_holds(text, "3.5 cm (about 7 pixels)");
        assert_holds(text, "but over 29 cm at 1/120 s");
        assert_holds(text, "- Ball met ahead of the front foot");
        assert_holds(text, "more");
        free(text);
    }
}

static void feet_and_inches_for_those_who_read_them(void **state) {
    (void)state;
    char *text = request((film){.view = SP_VIEW_BACK}, SP_UNITS_IMPERIAL, NULL);
    assert_holds(text, "20 to 33 ft from you");
    assert_holds(text, "4 to 5 ft");
    assert_holds(text, "at 78 mph the racquet head moves 5.7 in");
    free(text);
}

static void a_clip_of_too_few_frames_is_asked_for_again_from_the_same_view(void **state) {
    (void)state;
    sp_view view;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 60});
    sp_error fault = {0};
    sp_checks *checks = sp_checks_new(NULL, &fault, NULL);
    checked c = checked_by(&f, checks, SP_UNITS_METRIC);
    assert_int_equal(checked_find(&c, "fastest_at_contact")->status, SP_CHECK_TOO_COARSE);
    sp_findings_next_clip(c.findings, &view);
    /* from behind more can be gained than by more frames: 7 + 6 + 4 against 7 + 1 */
    assert_int_equal(view, SP_VIEW_BACK);
    checked_free(&c);
    filmed_free(&f);
}

static void without_a_scale_the_scene_is_taken_to_fill_the_picture(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_OBLIQUE});
    checked c = checked_serve(&f);
    sp_view view;
    const char *text = sp_findings_next_clip(c.findings, &view);
    assert_int_equal(view, SP_VIEW_SIDE);
    /* 4.5 m over 1920 px is 2.34 mm a pixel: 3.5 cm are 15 px, so that 1/2000 s is asked for */
    assert_holds(text, "a shutter of 1/2000 s or shorter");
    assert_holds(text, "1.8 cm (about 7 pixels)");
    assert_null(strstr(text, "shoulder trouble"));
    checked_free(&c);
    filmed_free(&f);
}

static void nothing_is_asked_for_when_nothing_is_unseen(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    checked c = checked_serve(&f);
    for (size_t i = 0; i < sp_findings_count(c.findings); i++) {
        const sp_finding *finding = sp_findings_at(c.findings, i);
        if (finding->group == SP_FINDINGS_UNSEEN)
            assert_int_equal(sp_check_get_views(finding->check) & SP_VIEW_BIT(SP_VIEW_SIDE), 0);
    }
    checked_free(&c);
    filmed_free(&f);
    const char *const all[] = {"racquet_along_body", "arm_at_contact", "shoulders_in_trophy"};
    char text[600] = "{\"format\": \"serveplumb-checks\", \"version\": 1, \"checks\": [", name[64];
    for (int i = 0; i < 3; i++) {
        char entry[96];
        snprintf(entry, sizeof entry, "%s{\"id\": \"%s\", \"off\": true}", i == 0 ? "" : ",",
                 all[i]);
        strcat(text, entry);
    }
    strcat(text, "]}");
    strcpy(name, "/tmp/serveplumb-next-XXXXXX");
    const int file = mkstemp(name);
    assert_int_equal(write(file, text, strlen(text)), strlen(text));
    close(file);
    sp_error fault = {0};
    filmed all_seen = filmed_serve((film){.view = SP_VIEW_SIDE});
    checked less = checked_by(&all_seen, sp_checks_new(name, &fault, NULL), SP_UNITS_METRIC);
    unlink(name);
    assert_int_equal(fault.code, SP_ERROR_NONE);
    assert_string_equal(sp_findings_next_clip(less.findings, NULL), "");
    checked_free(&less);
    filmed_free(&all_seen);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(smear_is_speed_times_exposure),
        cmocka_unit_test(the_shutter_is_the_longest_that_can_be_tapped),
        cmocka_unit_test(a_side_view_asks_for_one_from_behind),
        cmocka_unit_test(the_measured_speed_and_scale_are_used),
        cmocka_unit_test(a_back_view_asks_for_one_from_the_side_of_the_hitting_arm),
        cmocka_unit_test(feet_and_inches_for_those_who_read_them),
        cmocka_unit_test(a_clip_of_too_few_frames_is_asked_for_again_from_the_same_view),
        cmocka_unit_test(without_a_scale_the_scene_is_taken_to_fill_the_picture),
        cmocka_unit_test(nothing_is_asked_for_when_nothing_is_unseen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
