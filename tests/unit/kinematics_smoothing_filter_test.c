/* Smoothing: what the filter keeps, what it takes away, and what it refuses. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/draws.h"
#include "serveplumb/smoothing.h"

static const double PI = 3.14159265358979323846;
#define LONG 1200

/* Amplitude ratio and lag (s) of a long sine, away from the ends. */
static void answer(double rate, double frequency, double cutoff, double *gain, double *lag) {
    static double wave[LONG], smooth[LONG];
    for (size_t i = 0; i < LONG; i++) wave[i] = sin(2 * PI * frequency * (double)i / rate);
    assert_true(sp_smooth(wave, LONG, rate, cutoff, 0, smooth, NULL));
    double ss = 0, sc = 0, cc = 0, ys = 0, yc = 0; /* least squares of y = a sin + b cos */
    for (size_t i = 200; i < LONG - 200; i++) {
        const double phase = 2 * PI * frequency * (double)i / rate;
        const double s = sin(phase), c = cos(phase);
        ss += s * s;
        sc += s * c;
        cc += c * c;
        ys += smooth[i] * s;
        yc += smooth[i] * c;
    }
    const double a = (ys * cc - yc * sc) / (ss * cc - sc * sc);
    const double b = (yc * ss - ys * sc) / (ss * cc - sc * sc);
    *gain = hypot(a, b);
    *lag = atan2(-b, a) / (2 * PI * frequency);
}

static void gain_at_the_cutoff_is_one_over_root_two_without_lag(void **state) {
    (void)state;
    const struct {
        double rate, cutoff;
    } rows[] = {{60, 6}, {120, 10.3}, {239.76, 12.5}, {50, 17}, {30, 4}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double gain, lag;
        answer(rows[i].rate, rows[i].cutoff, rows[i].cutoff, &gain, &lag);
        assert_near(gain, sqrt(0.5), 1e-9);
        assert_near(lag * rows[i].rate, 0, 1e-9);
        answer(rows[i].rate, rows[i].cutoff / 4, rows[i].cutoff, &gain, &lag);
        assert_true(gain > 0.99);
        assert_near(lag * rows[i].rate, 0, 1e-9);
    }
}

static void straight_motion_passes_untouched_to_its_ends(void **state) {
    (void)state;
    double line[37], smooth[37];
    for (size_t i = 0; i < 37; i++) line[i] = -4.31 + 0.219 * (double)i;
    assert_true(sp_smooth(line, 37, 60, 7, 0, smooth, NULL));
    /* the steady start is that of a constant, so the first prolonged values swing in */
    for (size_t i = 0; i < 37; i++) assert_near(smooth[i], line[i], 5e-3);
    for (size_t i = 12; i < 25; i++) assert_near(smooth[i], line[i], 1e-3);
}

static void smoothing_in_place_and_backward_in_time_is_the_same(void **state) {
    (void)state;
    double values[41], turned[41], smooth[41];
    for (size_t i = 0; i < 41; i++) values[i] = sin(0.41 * (double)i) + 0.07 * (double)(i % 5);
    for (size_t i = 0; i < 41; i++) turned[i] = values[40 - i];
    assert_true(sp_smooth(values, 41, 120, 9, 15, smooth, NULL));
    assert_true(sp_smooth(turned, 41, 120, 9, 15, turned, NULL));
    for (size_t i = 12; i < 29; i++) assert_near(turned[40 - i], smooth[i], 2e-3);
    assert_true(sp_smooth(values, 41, 120, 9, 15, values, NULL));
    for (size_t i = 0; i < 41; i++) assert_near(values[i], smooth[i], 0);
}

static void refused(const double *values, size_t count, double rate, double cutoff, size_t padding,
                    const char *words) {
    double smooth[64];
    sp_error error = {0};
    assert_false(sp_smooth(values, count, rate, cutoff, padding, smooth, &error));
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    if (strstr(error.message, words) == NULL) fail_msg("%s", error.message);
}

static void what_cannot_be_smoothed_is_refused_with_the_reason(void **state) {
    (void)state;
    double values[40];
    for (size_t i = 0; i < 40; i++) values[i] = (double)(i * i % 17);
    refused(values, 9, 60, 6, 0, "too few");
    refused(values, 40, 60, 0, 0, "cut-off");
    refused(values, 40, 60, -2, 0, "cut-off");
    refused(values, 40, 60, NAN, 0, "cut-off");
    refused(values, 40, 60, 24.1, 0, "below 24.1 Hz"); /* 0.802243 * 30 = 24.067 */
    refused(values, 40, 60, 6, 40, "prolonged");
    double smooth[40];
    assert_true(sp_smooth(values, 40, 60, 24.0, 39, smooth, NULL));
    values[21] = INFINITY;
    refused(values, 40, 60, 6, 0, "value 21 of 40");
}

/* --- cut-off --------------------------------------------------------------------------------- */

static void noise_is_told_from_a_slow_motion(void **state) {
    (void)state;
    sp_random *random = sp_random_new(61, NULL);
    double noise = 0, cutoff = 0;
    const int trials = 30;
    for (int trial = 0; trial < trials; trial++) {
        double values[240];
        for (size_t i = 0; i < 240; i++) {
            const double t = (double)i / 120;
            values[i] = 0.6 * sin(2 * PI * 0.9 * t) + 0.2 * sin(2 * PI * 2.3 * t + 1) +
                        0.004 * sp_random_normal(random);
        }
        sp_cutoff found;
        assert_true(sp_smoothing_cutoff(values, 240, 120, &found, NULL));
        noise += found.noise / trials;
        cutoff += found.cutoff_hz / trials;
    }
    sp_random_free(random);
    /* the line is straight only nearly, so the noise is met within a fifth */
    assert_near(noise, 0.004, 0.0008);
    assert_true(cutoff > 3.5 && cutoff < 9);
}

static void cutoff_needs_thirty_values_and_noise(void **state) {
    (void)state;
    double values[60];
    for (size_t i = 0; i < 60; i++) values[i] = 1.7;
    sp_cutoff found;
    sp_error error = {0};
    assert_false(sp_smoothing_cutoff(values, 29, 60, &found, &error));
    assert_non_null(strstr(error.message, "30 are needed"));
    assert_false(sp_smoothing_cutoff(values, 60, 60, &found, &error));
    assert_non_null(strstr(error.message, "do not part"));
    values[3] = NAN;
    assert_false(sp_smoothing_cutoff(values, 60, 60, &found, &error));
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    assert_none(sp_smoothing_residual(values, 60, 60, 6));
    assert_none(sp_smoothing_residual(values, 0, 60, 6));
}

/* --- even times ------------------------------------------------------------------------------ */

static double uneven(size_t i) { return 2.117 + (double)i / 58.3 + 0.002 * sin(2.3 * (double)i); }

static void uneven_times_become_even_and_smooth_motion_stays(void **state) {
    (void)state;
    enum { COUNT = 80 };
    double times[COUNT], values[COUNT], even[COUNT], rate;
    for (size_t i = 0; i < COUNT; i++) {
        times[i] = uneven(i);
        values[i] = 0.7 * sin(2 * PI * 1.9 * times[i]);
    }
    assert_true(sp_resample(times, values, COUNT, even, &rate, NULL));
    assert_digits(rate, (COUNT - 1) / (times[COUNT - 1] - times[0]), 1e-12);
    for (size_t i = 4; i + 4 < COUNT; i++)
        assert_near(even[i], 0.7 * sin(2 * PI * 1.9 * (times[0] + (double)i / rate)), 2e-4);
    assert_near(even[0], values[0], 0);
    assert_near(even[COUNT - 1], values[COUNT - 1], 1e-12);
}

static void even_times_are_left_as_they_are(void **state) {
    (void)state;
    double times[12], values[12], even[12], rate;
    for (size_t i = 0; i < 12; i++) {
        times[i] = 5 + (double)i * 0.04;
        values[i] = (double)(i * 7 % 5);
    }
    assert_true(sp_resample(times, values, 12, even, &rate, NULL));
    assert_digits(rate, 25.0, 1e-9);
    for (size_t i = 0; i < 12; i++) assert_near(even[i], values[i], 1e-9);
}

static void holes_and_turned_times_are_refused(void **state) {
    (void)state;
    double times[20], values[20], even[20], rate;
    sp_error error = {0};
    for (size_t i = 0; i < 20; i++) {
        times[i] = (double)i / 30 + (i > 12 ? 0.127 : 0);
        values[i] = 1;
    }
    assert_false(sp_resample(times, values, 20, even, &rate, &error));
    assert_non_null(strstr(error.message, "hole of 0.160 s after 0.400 s"));
    assert_false(sp_resample(times, values, 9, even, &rate, &error));
    assert_non_null(strstr(error.message, "too few"));
    times[5] = times[4];
    assert_false(sp_resample(times, values, 20, even, &rate, &error));
    assert_non_null(strstr(error.message, "value 5 of 20"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gain_at_the_cutoff_is_one_over_root_two_without_lag),
        cmocka_unit_test(straight_motion_passes_untouched_to_its_ends),
        cmocka_unit_test(smoothing_in_place_and_backward_in_time_is_the_same),
        cmocka_unit_test(what_cannot_be_smoothed_is_refused_with_the_reason),
        cmocka_unit_test(noise_is_told_from_a_slow_motion),
        cmocka_unit_test(cutoff_needs_thirty_values_and_noise),
        cmocka_unit_test(uneven_times_become_even_and_smooth_motion_stays),
        cmocka_unit_test(even_times_are_left_as_they_are),
        cmocka_unit_test(holes_and_turned_times_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
