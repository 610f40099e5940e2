/* The toss in the picture: honesty of its intervals, drag, refusals, words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/draws.h"
#include "serveplumb/toss.h"

#define COUNT 41
static const double DEGREES = 57.295779513082320876798;
static const double SCALE = 0.0047, ROLL_DEG = -2.3;
static const sp_slowdown_ideas NONE = {NULL, 0};

/* Uneven times of a phone's clip, about 59.4 frames/s with one frame lost. */
static double time_of(size_t i) {
    const double jitter = 0.0007 * sin(2.9 * (double)i);
    return 3.271 + (double)i / 59.4 + jitter + (i > 17 ? 1 / 59.4 : 0);
}

/* Height and drift of a ball with drag, by midpoint steps of 10 us. */
static void fly(double drag, double gravity, sp_sample *samples) {
    double x = 0, z = 0, vx = 0.31, vz = 4.9, t = time_of(0);
    for (size_t i = 0; i < COUNT; i++) {
        const double steps = ceil((time_of(i) - t) / 1e-4), h = (time_of(i) - t) / fmax(1, steps);
        for (double step = 0; step < steps; step++) {
            const double speed = hypot(vx, vz);
            const double mx = vx - h / 2 * drag * speed * vx;
            const double mz = vz + h / 2 * (-gravity - drag * speed * vz);
            const double middle = hypot(mx, mz);
            x += h * mx;
            z += h * mz;
            vx -= h * drag * middle * mx;
            vz += h * (-gravity - drag * middle * mz);
        }
        t = time_of(i);
        const double s = sin(ROLL_DEG / DEGREES), c = cos(ROLL_DEG / DEGREES);
        samples[i] =
            (sp_sample){t, {611.3 + (x * c + z * s) / SCALE, 902.7 + (x * s - z * c) / SCALE}};
    }
}

static void add_noise(sp_sample *samples, double sd, sp_random *random) {
    for (size_t i = 0; i < COUNT; i++) {
        samples[i].at.x += sd * sp_random_normal(random);
        samples[i].at.y += sd * sp_random_normal(random);
    }
}

static sp_toss fitted(const sp_sample *samples, size_t count, const sp_toss_options *options) {
    sp_toss toss;
    sp_error error = {0};
    if (!sp_toss_fit(samples, count, options, &toss, &error)) fail_msg("%s", error.message);
    return toss;
}

static void drag_is_taken_off_at_uneven_times(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
    const sp_toss toss = fitted(samples, COUNT, NULL);
    assert_digits(toss.m_per_px.value, SCALE, 1e-7);
    assert_near(toss.plumb.angle_deg, ROLL_DEG, 1e-5);
    assert_true(toss.rms_px < 1e-4);
}

/* Five terms of one interval: noise, Cd between 0.45 and 0.65, gravity between equator and pole. */
static void scale_interval_holds_the_truth_as_often_as_it_says(void **state) {
    (void)state;
    sp_random *random = sp_random_new(4101, NULL);
    int scale = 0, plumb = 0, unsaid = 0;
    const int trials = 500;
    for (int trial = 0; trial < trials; trial++) {
        sp_sample samples[COUNT];
        fly(sp_random_uniform(random, 0.0164, 0.0237),
            SP_GRAVITY * (1 + sp_random_uniform(random, -0.0027, 0.0027)), samples);
        add_noise(samples, 1.3, random);
        const sp_toss_options options = {.sd_px = 1.3};
        const sp_toss toss = fitted(samples, COUNT, &options);
        scale += toss.m_per_px.low <= SCALE && SCALE <= toss.m_per_px.high;
        plumb += fabs(toss.plumb.angle_deg - ROLL_DEG) <= 1.96 * toss.plumb.sd_deg;
        const sp_toss alone = fitted(samples, COUNT, NULL);
        unsaid += alone.m_per_px.low <= SCALE && SCALE <= alone.m_per_px.high;
    }
    sp_random_free(random);
    if (scale < 460 || scale > 495 || unsaid < 460 || unsaid > 495 || plumb < 460)
        fail_msg("of %d: scale %d, from residuals %d, plumb %d", trials, scale, unsaid, plumb);
}

/* 5 frames leave 4 numbers over: the interval has Student's factor and is still honest. */
static void five_frames_have_a_wide_and_honest_interval(void **state) {
    (void)state;
    sp_random *random = sp_random_new(4102, NULL);
    int held = 0;
    for (int trial = 0; trial < 400; trial++) {
        sp_sample samples[COUNT], five[5];
        fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
        add_noise(samples, 0.8, random);
        for (size_t i = 0; i < 5; i++) five[i] = samples[10 * i];
        const sp_toss toss = fitted(five, 5, NULL);
        held += toss.m_per_px.low <= SCALE && SCALE <= toss.m_per_px.high;
    }
    sp_random_free(random);
    assert_in_range(held, 368, 396);
}

static void shorter_toss_has_a_wider_interval(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
    const sp_toss_options options = {.sd_px = 1};
    const sp_toss whole = fitted(samples, COUNT, &options), half = fitted(samples, 20, &options);
    assert_true(half.noise_sd > 3 * whole.noise_sd);
    assert_true(half.m_per_px.high - half.m_per_px.low >
                2 * (whole.m_per_px.high - whole.m_per_px.low));
    assert_near(whole.drag_sd, SP_TOSS_DRAG_SD, 0);
    assert_digits(whole.gravity_sd, 0.0027 / sqrt(3), 1e-12);
}

/* --- what looks wrong ------------------------------------------------------------------------ */

static void hand_still_on_the_ball_bends_the_path(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
    sp_random *random = sp_random_new(4103, NULL);
    add_noise(samples, 1.0, random);
    sp_random_free(random);
    /* carried for the first eight frames: speeding up instead of slowing down */
    for (size_t i = 0; i < 8; i++) {
        const double before = time_of(8) - time_of(i);
        samples[i].at.y -= 40 * before * before / SCALE / 2;
    }
    const sp_toss_options options = {.sd_px = 1};
    const sp_toss toss = fitted(samples, COUNT, &options);
    assert_true(toss.bend > 4);
    assert_non_null(strstr(toss.doubt, "leave out the first frames"));
    const sp_toss later = fitted(samples + 8, COUNT - 8, &options);
    assert_string_equal(later.doubt, "");
}

static void scatter_beyond_the_taps_is_said_and_counts(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
    sp_random *random = sp_random_new(4104, NULL);
    add_noise(samples, 4.4, random);
    sp_random_free(random);
    const sp_toss_options options = {.sd_px = 1.5};
    const sp_toss toss = fitted(samples, COUNT, &options);
    assert_non_null(strstr(toss.doubt, "px off a free flight"));
    assert_near(toss.noise_px, 4.4, 0.8);
    assert_near(toss.rms_px, toss.noise_px, 0);
}

static sp_error refused(const sp_sample *samples, size_t count) {
    sp_toss toss;
    sp_error error = {0};
    assert_false(sp_toss_fit(samples, count, NULL, &toss, &error));
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    return error;
}

static void toss_that_cannot_be_one_is_refused_with_the_reason(void **state) {
    (void)state;
    sp_sample samples[COUNT], broken[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
    assert_non_null(strstr(refused(samples, 4).message, "at least 5"));
    assert_non_null(strstr(refused(samples, 0).message, "at least 5"));
    memcpy(broken, samples, sizeof broken);
    broken[7].time_s = broken[6].time_s;
    assert_non_null(strstr(refused(broken, COUNT).message, "times"));
    memcpy(broken, samples, sizeof broken);
    broken[9].at.y = NAN;
    refused(broken, COUNT);
    /* upside down: it rises ever faster */
    for (size_t i = 0; i < COUNT; i++) broken[i] = (sp_sample){time_of(i), {3, -samples[i].at.y}};
    assert_non_null(strstr(refused(broken, COUNT).message, "upward"));
    /* at rest, but for noise */
    sp_random *random = sp_random_new(4105, NULL);
    for (size_t i = 0; i < COUNT; i++) broken[i] = (sp_sample){time_of(i), {410, 233}};
    add_noise(broken, 1.5, random);
    sp_random_free(random);
    refused(broken, COUNT);
}

/* --- the clock ------------------------------------------------------------------------------- */

static void slow_motion_shows_with_an_uncertain_scale(void **state) {
    (void)state;
    sp_random *random = sp_random_new(4106, NULL);
    const double truths[] = {1, 2, 4, 8};
    int right = 0, compatible = 0;
    sp_sample flight[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, flight);
    for (int trial = 0; trial < 1000; trial++) {
        const double truth = truths[trial % 4];
        sp_sample samples[COUNT];
        memcpy(samples, flight, sizeof samples);
        for (size_t i = 0; i < COUNT; i++) samples[i].time_s *= truth; /* stated: 1 */
        add_noise(samples, 1.3, random);
        sp_slowdown_check check;
        const double scale = SCALE * exp(0.06 * sp_random_normal(random));
        assert_true(sp_toss_check_scale(samples, COUNT, NULL, (sp_known_scale){scale, 0.06}, 1,
                                        NONE, &check, NULL));
        right += check.likely >= 0 && check.candidates[check.likely].slowdown == truth;
        for (size_t k = 0; k < check.count; k++)
            compatible += check.candidates[k].compatible && check.candidates[k].slowdown != truth;
    }
    sp_random_free(random);
    assert_true(right >= 980); /* 99 % of them, and chance */
    assert_int_equal(compatible, 0);
}

static void clip_stamped_30_that_was_25_is_said_with_its_ratio(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
    for (size_t i = 0; i < COUNT; i++) samples[i].time_s *= 25.0 / 30;
    sp_slowdown_check check;
    char words[400];
    assert_true(sp_toss_check_scale(samples, COUNT, NULL, (sp_known_scale){SCALE, 0.03}, 1, NONE,
                                    &check, NULL));
    assert_near(check.factor.value, 0.8333, 1e-3);
    assert_int_equal(check.likely, -1);
    sp_slowdown_words(&check, words, sizeof words);
    assert_non_null(strstr(words, "as if the slowdown were 0.83"));
    assert_non_null(strstr(words, "not 1 as stated"));
    const double ideas[] = {25.0 / 30, -1, NAN, 4};
    assert_true(sp_toss_check_scale(samples, COUNT, NULL, (sp_known_scale){SCALE, 0.03}, 1,
                                    (sp_slowdown_ideas){ideas, 4}, &check, NULL));
    assert_int_equal(check.count, 5); /* what is no slowdown, or there already, is left out */
    assert_digits(check.candidates[check.likely].slowdown, 25.0 / 30, 1e-12);
    sp_slowdown_words(&check, words, sizeof words);
    assert_non_null(strstr(words, "0.8333"));
}

static void wide_scale_leaves_several_slowdowns_open_and_says_so(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fly(SP_DRAG_PER_M, SP_GRAVITY, samples);
    /* times are real seconds by the stated clock, here the true one */
    sp_slowdown_check check;
    char words[400];
    assert_true(sp_toss_check_scale(samples, COUNT, NULL, (sp_known_scale){SCALE, 0.6}, 8, NONE,
                                    &check, NULL));
    assert_true(check.stated_compatible);
    assert_digits(check.slowdown.value, 8.0, 1e-3);
    sp_slowdown_words(&check, words, sizeof words);
    assert_non_null(strstr(words, "others would fit as well"));
    assert_true(sp_toss_check_scale(samples, COUNT, NULL, (sp_known_scale){SCALE, 0.05}, 8, NONE,
                                    &check, NULL));
    sp_slowdown_words(&check, words, sizeof words);
    assert_non_null(strstr(words, "falls as it should with a slowdown of 8 ("));
    assert_int_equal(check.count, 4);
    sp_error error = {0};
    assert_false(sp_toss_check_scale(samples, COUNT, NULL, (sp_known_scale){0, 0.05}, 8, NONE,
                                     &check, &error));
    assert_non_null(strstr(error.message, "scale"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drag_is_taken_off_at_uneven_times),
        cmocka_unit_test(scale_interval_holds_the_truth_as_often_as_it_says),
        cmocka_unit_test(five_frames_have_a_wide_and_honest_interval),
        cmocka_unit_test(shorter_toss_has_a_wider_interval),
        cmocka_unit_test(hand_still_on_the_ball_bends_the_path),
        cmocka_unit_test(scatter_beyond_the_taps_is_said_and_counts),
        cmocka_unit_test(toss_that_cannot_be_one_is_refused_with_the_reason),
        cmocka_unit_test(slow_motion_shows_with_an_uncertain_scale),
        cmocka_unit_test(clip_stamped_30_that_was_25_is_said_with_its_ratio),
        cmocka_unit_test(wide_scale_leaves_several_slowdowns_open_and_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
