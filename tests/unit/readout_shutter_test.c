/* What is smeared while the shutter is open: by the length of a smear over root twelve. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "filmed.h"
#include "readout/shutter.h"

/* A racquet of 0.685 m that stands straight up, its tip sweeping at 31 m/s. */
static filmed sweeping(double exposure_s, bool left) {
    filmed f = filmed_new(
        (film){.view = SP_VIEW_SIDE, .rate = 240, .exposure_s = exposure_s, .left_handed = left});
    filmed_moment(&f, "contact", CONTACT);
    filmed_put(&f, CONTACT, SP_POINT_RACQUET_BUTT, 0.31, 2.11);
    for (int back = 0; back < 3; back++)
        filmed_put(&f, CONTACT - back, SP_POINT_RACQUET_TIP, 0.31 - back * 31.0 / 240, 2.795);
    /* after the touch it is slower: this is no neighbour of the frames before */
    filmed_put(&f, CONTACT + 1, SP_POINT_RACQUET_TIP, 0.36, 2.795);
    return f;
}

static sp_measure measured(filmed *f, const char *id, const char *moment) {
    sp_readout *readout = filmed_read(f, 20000, 0);
    const sp_measure *found = sp_readout_find(readout, id, moment);
    assert_non_null(found);
    assert_true(!isnan(found->value.value));
    const sp_measure copy = *found;
    sp_readout_free(readout);
    return copy;
}

static double variance(sp_measure m) {
    const double sd = (m.value.high - m.value.low) / 2 / 1.96;
    return sd * sd;
}

/* Of a racquet that stands straight up the angle to the plumb is folded at 0; that to the level
 * forearm is not. */
static void a_smear_turns_an_angle_by_its_length_over_root_twelve(void **state) {
    (void)state;
    for (int left = 0; left < 2; left++) {
        filmed sharp = sweeping(1e-6, left), smeared = sweeping(1.0 / 250, left);
        filmed *both[] = {&sharp, &smeared};
        for (int i = 0; i < 2; i++) {
            for (int frame = CONTACT - 1; frame <= CONTACT; frame++) { /* which stand still */
                filmed_put(both[i], frame, SP_POINT_RIGHT_ELBOW, 0.0, 2.0);
                filmed_put(both[i], frame, SP_POINT_RIGHT_HAND, 0.3, 2.0);
                filmed_put(both[i], frame, SP_POINT_RACQUET_BUTT, 0.31, 2.11);
            }
        }
        const double more = variance(measured(&smeared, "racquet_to_forearm", "contact")) -
                            variance(measured(&sharp, "racquet_to_forearm", "contact"));
        const double smear_m = 31.0 / 250;
        const double expected = pow(smear_m / sqrt(12) / 0.685 * 57.29577951, 2);
        /* a rectangle's 95 % is 1.645 deviations, not 1.96: beside the taps', some tenths less */
        if (more < 0.65 * expected || more > 1.05 * expected)
            fail_msg("%g of %g square degrees", more, expected);
        filmed_free(&sharp);
        filmed_free(&smeared);
    }
}

static sp_slot slot_of(int frame, sp_point_name name) {
    return (sp_slot){.frame = frame, .name = name};
}

static void a_point_moves_as_its_marks_about_a_frame_do_and_never_across_the_touch(void **state) {
    (void)state;
    for (int left = 0; left < 2; left++) {
        filmed f = sweeping(-1, left);
        sp_door door;
        sp_door_open(&door, f.review, (sp_frame_times){f.seconds, f.film.frames});
        const sp_slot last = slot_of(CONTACT, SP_POINT_RACQUET_TIP);
        const sp_slot before = slot_of(CONTACT - 1, SP_POINT_RACQUET_TIP);
        const sp_slot after = slot_of(CONTACT + 1, SP_POINT_RACQUET_TIP);
        const sp_slot butt = slot_of(CONTACT, SP_POINT_RACQUET_BUTT);
        assert_true(fabs(sp_shutter_way(&door, &last, 0.005).x - 31 / 0.005) < 1e-6);
        assert_true(fabs(sp_shutter_way(&door, &before, 0.005).x - 31 / 0.005) < 1e-6);
        assert_true(sp_shutter_way(&door, &after, 0.005).x == 0);
        /* nothing near tells of it: as butts do, to the net by 11 m/s */
        assert_true(fabs(sp_shutter_way(&door, &butt, 0.005).x - 11 / 0.005) < 1e-6);
        sp_door_close(&door);
        filmed_free(&f);
    }
}

static void the_butt_moves_as_the_hand(void **state) {
    (void)state;
    filmed f = sweeping(-1, false);
    filmed_put(&f, CONTACT, SP_POINT_RIGHT_HAND, 0.3, 2.2);
    filmed_put(&f, CONTACT - 2, SP_POINT_RIGHT_HAND, 0.3 - 2 * 11.0 / 240, 2.2);
    sp_door door;
    sp_door_open(&door, f.review, (sp_frame_times){f.seconds, f.film.frames});
    const sp_slot butt = slot_of(CONTACT, SP_POINT_RACQUET_BUTT);
    assert_true(fabs(sp_shutter_way(&door, &butt, 0.005).x - 11 / 0.005) < 1e-6);
    sp_door_close(&door);
    filmed_free(&f);
}

static void an_unknown_shutter_is_never_open_longer_than_a_frame(void **state) {
    (void)state;
    filmed f = sweeping(-1, false);
    sp_door door;
    sp_door_open(&door, f.review, (sp_frame_times){f.seconds, f.film.frames});
    const sp_shutter shutter = sp_shutter_of(&door);
    assert_false(shutter.known);
    assert_true(fabs(shutter.most_s - 1.0 / 240) < 1e-9);
    sp_random *random = sp_random_new(41, NULL);
    int longer = 0;
    for (int i = 0; i < 4000; i++) {
        const double open_s = sp_shutter_draw(&shutter, random);
        assert_true(open_s >= 1.0 / 4000 && open_s <= 1.0 / 240);
        longer += open_s > 1.0 / 980; /* the middle of both by doublings: sqrt(4000 x 240) = 980 */
    }
    assert_true(longer > 1900 && longer < 2100);
    sp_random_free(random);
    sp_door_close(&door);
    filmed_free(&f);
}

static void assert_note(double exposure_s, const char *words, bool there) {
    filmed f = sweeping(exposure_s, false);
    const sp_measure m = measured(&f, "racquet_to_plumb", "contact");
    if ((strstr(m.note, words) != NULL) != there) fail_msg("'%s' in '%s'", words, m.note);
    filmed_free(&f);
}

static void a_note_says_how_long_the_smear_is_where_it_counts(void **state) {
    (void)state;
    assert_note(1.0 / 500, "With a shutter of 1/500 s it smears over 12 px", true);
    assert_note(1.0 / 4000, "shutter", false);
    assert_note(-1, "The shutter is not given, at most 1/240 s: smears of up to 26 px", true);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_smear_turns_an_angle_by_its_length_over_root_twelve),
        cmocka_unit_test(a_point_moves_as_its_marks_about_a_frame_do_and_never_across_the_touch),
        cmocka_unit_test(the_butt_moves_as_the_hand),
        cmocka_unit_test(an_unknown_shutter_is_never_open_longer_than_a_frame),
        cmocka_unit_test(a_note_says_how_long_the_smear_is_where_it_counts),
    };
    return cmocka_run_group_tests_name("readout_shutter", tests, NULL, NULL);
}
