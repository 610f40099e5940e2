#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "clip/sound_clock.h"
#include "clip/sound_peaks.h"
#include "clip/sound_span.h"
#include "serveplumb/sound.h"

static const double frame_s = 1024.0 / 44100;

static void trembling_timestamps_move_nothing(void **state) {
    (void)state;
    sp_sound_clock clock = {0};
    for (int i = 0; i < 900; i++) {
        const double tremble = ((i * 7919) % 13 - 6) * 0.00025;
        const sp_sound_place place = sp_clock_place(&clock, 0.41 + i * frame_s + tremble, frame_s);
        assert_int_equal(place.anew, i == 0);
        assert_near(place.time_s, 0.41 + i * frame_s, 0.0016);
    }
    assert_int_equal(clock.gaps, 0);
    assert_int_equal(clock.corrections, 0);
}

/* A sound card that counts 1.0004 s for a second of the clip's clock. */
static void a_drift_is_followed_within_a_few_milliseconds(void **state) {
    (void)state;
    sp_sound_clock clock = {0};
    for (int i = 0; i < 3000; i++) {
        const double stamp = i * frame_s * 1.0004;
        assert_near(sp_clock_place(&clock, stamp, frame_s).time_s, stamp, 0.0035);
    }
    assert_int_equal(clock.gaps, 0);
    assert_true(clock.corrections > 5);
}

static void what_is_missing_leaves_a_gap(void **state) {
    (void)state;
    sp_sound_clock clock = {0};
    sp_clock_place(&clock, -0.3, frame_s);
    const sp_sound_place place = sp_clock_place(&clock, 1.277, frame_s);
    assert_true(place.anew);
    assert_near(place.time_s, 1.277, 1e-12);
    assert_int_equal(clock.gaps, 1);
    assert_near(sp_clock_place(&clock, NAN, frame_s).time_s, 1.277 + frame_s, 1e-12);
}

static void one_wrong_timestamp_does_not_move_what_follows(void **state) {
    (void)state;
    sp_sound_clock clock = {0};
    for (int i = 0; i < 50; i++) {
        const double stamp = i == 21 ? 9071.3 : i * frame_s;
        const sp_sound_place place = sp_clock_place(&clock, stamp, frame_s);
        if (i != 21) assert_near(place.time_s, i * frame_s, 1e-9);
    }
}

static void a_recording_joined_to_another_goes_on_where_that_ended(void **state) {
    (void)state;
    sp_sound_clock clock = {0};
    for (int i = 0; i < 200; i++) {
        const double stamp = i < 117 ? 5 + i * frame_s : (i - 117) * frame_s;
        assert_near(sp_clock_place(&clock, stamp, frame_s).time_s, 5 + i * frame_s, 1e-9);
    }
}

static void a_span_keeps_what_lies_in_it_and_is_silent_elsewhere(void **state) {
    (void)state;
    sp_sound_span span;
    assert_true(sp_span_init(&span, -7, 20, 2));
    float in[24], out[60];
    for (int i = 0; i < 24; i++) in[i] = (float)(i + 1);
    sp_span_write(&span, -13, in, 12); /* six before it */
    sp_span_write(&span, 14, in, 12);  /* six behind it */
    sp_span_read(&span, -10, out, 30);
    assert_true(out[0] == 0 && out[5] == 0);    /* before it */
    assert_true(out[6] == 13 && out[15] == 22); /* -7 was the seventh */
    assert_true(out[16] == 23 && out[18] == 0); /* -2 the last of the first */
    assert_true(out[47] == 0 && out[48] == 1);  /* 14 */
    assert_true(out[59] == 12);                 /* 19, the last */
    sp_span_clear(&span);
}

static void a_shape_holds_the_extremes_of_its_parts(void **state) {
    (void)state;
    sp_sound_shape shape;
    assert_true(sp_shape_init(&shape, -481, 3000));
    float sound[1500] = {0};
    sound[37] = 0.75F;
    sound[611] = -0.5F;
    sp_shape_add(&shape, -500, sound, 1500, 1); /* at -463 and 111 */
    const sp_sound_peak all = sp_shape_between(&shape, -481, 3000);
    assert_true(all.low == -0.5F && all.high == 0.75F);
    const sp_sound_peak first = sp_shape_between(&shape, -481, -1);
    assert_true(first.low == 0 && first.high == 0.75F);
    const sp_sound_peak second = sp_shape_between(&shape, 5, 300);
    assert_true(second.low == -0.5F && second.high == 0);
    sp_shape_clear(&shape);
}

static void sound_needs_its_time_to_come(void **state) {
    (void)state;
    /* 343.2 m/s at 20 C and 331.3 m/s at 0 C: tables of the speed of sound in dry air. */
    assert_near(sp_sound_made_at(1.25, 17.3, 20), 1.25 - 17.3 / 343.2, 1e-6);
    assert_near(sp_sound_made_at(1.25, 17.3, 0), 1.25 - 17.3 / 331.3, 1e-5);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(trembling_timestamps_move_nothing),
        cmocka_unit_test(a_drift_is_followed_within_a_few_milliseconds),
        cmocka_unit_test(what_is_missing_leaves_a_gap),
        cmocka_unit_test(one_wrong_timestamp_does_not_move_what_follows),
        cmocka_unit_test(a_recording_joined_to_another_goes_on_where_that_ended),
        cmocka_unit_test(a_span_keeps_what_lies_in_it_and_is_silent_elsewhere),
        cmocka_unit_test(a_shape_holds_the_extremes_of_its_parts),
        cmocka_unit_test(sound_needs_its_time_to_come),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
