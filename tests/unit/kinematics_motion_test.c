/* Motion fits at uneven times. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/motion.h"

/* Times of a clip of variable rate. */
static const double TIMES[] = {3.1002, 3.1085, 3.1168, 3.1253, 3.1334, 3.1421, 3.1502};
#define COUNT (sizeof TIMES / sizeof TIMES[0])

static sp_point cubic(double t) {
    return (sp_point){1.3 - 2.7 * t + 4.1 * t * t - 0.6 * t * t * t,
                      -0.2 + 11.9 * t - 3.3 * t * t + 1.7 * t * t * t};
}

static void fill(sp_sample samples[COUNT], sp_point at(double)) {
    for (size_t i = 0; i < COUNT; i++) samples[i] = (sp_sample){TIMES[i], at(TIMES[i])};
}

static void cubic_motion_is_had_exactly_by_a_cubic_at_any_time(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill(samples, cubic);
    for (double t = 3.09; t < 3.17; t += 0.0117) {
        sp_motion motion;
        assert_true(sp_motion_fit(samples, COUNT, 3, t, &motion));
        assert_near(motion.position.x, cubic(t).x, 1e-10);
        assert_near(motion.position.y, cubic(t).y, 1e-10);
        assert_near(motion.velocity.x, -2.7 + 8.2 * t - 1.8 * t * t, 1e-7);
        assert_near(motion.velocity.y, 11.9 - 6.6 * t + 5.1 * t * t, 1e-7);
        assert_near(motion.acceleration.x, 8.2 - 3.6 * t, 1e-4);
        assert_near(motion.acceleration.y, -6.6 + 10.2 * t, 1e-4);
    }
}

static void line_has_no_acceleration(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill(samples, cubic);
    sp_motion motion;
    assert_true(sp_motion_fit(samples, COUNT, 1, 3.12, &motion));
    assert_near(motion.acceleration.x, 0, 0);
    assert_near(motion.acceleration.y, 0, 0);
}

static void fit_refuses_what_it_cannot_determine(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill(samples, cubic);
    sp_motion motion;
    assert_false(sp_motion_fit(samples, 2, 2, 3.1, &motion));
    assert_false(sp_motion_fit(samples, 0, 1, 3.1, &motion));
    assert_false(sp_motion_fit(samples, COUNT, 0, 3.1, &motion));
    assert_false(sp_motion_fit(samples, COUNT, 4, 3.1, &motion));
    samples[3].time_s = samples[2].time_s;
    assert_false(sp_motion_fit(samples, COUNT, 2, 3.1, &motion));
    samples[3].time_s = NAN;
    assert_false(sp_motion_fit(samples, COUNT, 2, 3.1, &motion));
    sp_sample many[SP_MOTION_SAMPLES_MAX + 1];
    for (int i = 0; i <= SP_MOTION_SAMPLES_MAX; i++) many[i] = (sp_sample){i * 0.01, {i, -i}};
    assert_false(sp_motion_fit(many, SP_MOTION_SAMPLES_MAX + 1, 2, 0.1, &motion));
    assert_true(sp_motion_fit(many, SP_MOTION_SAMPLES_MAX, 2, 0.1, &motion));
}

static sp_point steady_turn(double t) {
    return (sp_point){1.1 * cos(31.7 * t), 1.1 * sin(31.7 * t)};
}

static void speed_along_a_circle_is_exact_however_few_the_samples(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill(samples, steady_turn);
    double speed;
    assert_true(sp_motion_speed_along(samples, 3, 1, 3.11, &speed));
    assert_near(speed, 1.1 * 31.7, 1e-9);
    assert_true(sp_motion_speed_along(samples, COUNT, 2, 3.155, &speed));
    assert_near(speed, 1.1 * 31.7, 0.02); /* uneven steps: the turn at a sample is shared evenly */
}

static sp_point straight(double t) { return (sp_point){3.2 * t * t, -2.4 * t * t}; }

static void speed_along_a_straight_line_is_that_of_the_fit(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill(samples, straight);
    double speed;
    assert_true(sp_motion_speed_along(samples, COUNT, 2, 3.15, &speed));
    assert_near(speed, 2 * 4.0 * 3.15, 1e-8);
    assert_true(sp_motion_speed_along(samples, 2, 1, 3.15, &speed));
    assert_near(speed, 4.0 * (TIMES[0] + TIMES[1]), 1e-9);
    assert_false(sp_motion_speed_along(samples, 2, 2, 3.15, &speed));
    assert_false(sp_motion_speed_along(samples, 0, 1, 3.15, &speed));
}

static void weights_sum_to_the_velocity_of_the_fit(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill(samples, cubic);
    for (int degree = 1; degree <= 3; degree++) {
        double weights[COUNT], sum = 0;
        sp_motion motion;
        assert_true(sp_motion_weights(TIMES, COUNT, degree, 3.1219, weights));
        assert_true(sp_motion_fit(samples, COUNT, degree, 3.1219, &motion));
        for (size_t i = 0; i < COUNT; i++) sum += weights[i] * samples[i].at.y;
        assert_near(sum, motion.velocity.y, 1e-9);
    }
    double weights[COUNT];
    assert_false(sp_motion_weights(TIMES, 2, 2, 3.1, weights));
}

/* 41.3 m/s at 3.1531 s, gaining `gain` m/s there and losing it the faster the longer before. */
static void fill_strike(sp_sample samples[COUNT], double gain) {
    for (size_t i = 0; i < COUNT; i++) {
        const double t = TIMES[i] - 3.1531;
        const double way = 41.3 * t + gain / 2 * t * t - 3000.0 / 3 * t * t * t;
        samples[i] = (sp_sample){TIMES[i], {0.6 * way, 0.8 * way}};
    }
}

static void strike_of_which_nothing_is_known_has_the_speed_of_the_cubic(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill_strike(samples, 370);
    const sp_strike nothing = {0, 1e9};
    double speed, highest, cubic_speed;
    assert_true(
        sp_motion_speed_striking(samples, COUNT, 3.1531, 0.007, &nothing, &speed, &highest));
    assert_true(sp_motion_speed_along(samples, COUNT, 3, 3.1531, &cubic_speed));
    assert_near(speed, cubic_speed, 1e-6);
    assert_near(speed, 41.3, 1e-6);
    assert_near(highest, 41.3, 1e-6);
}

static void strike_past_its_fastest_was_faster_before(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill_strike(samples, -120);
    const sp_strike nothing = {0, 1e9};
    double speed, highest;
    assert_true(
        sp_motion_speed_striking(samples, COUNT, 3.1531, 0.007, &nothing, &speed, &highest));
    /* v + a t - 3000 t^2 has its top a^2 / (4 x 3000) above */
    assert_near(highest - speed, 120.0 * 120 / (4 * 3000), 1e-6);
}

static void strike_is_pulled_to_the_gain_that_is_believed(void **state) {
    (void)state;
    sp_sample samples[COUNT];
    fill_strike(samples, 370);
    const sp_strike none = {0, 1e-7}, some = {1.5, 7};
    double sure, usual, highest;
    assert_true(sp_motion_speed_striking(samples, COUNT, 3.1531, 0.007, &none, &sure, &highest));
    assert_true(sp_motion_speed_striking(samples, COUNT, 3.1531, 0.007, &some, &usual, &highest));
    assert_true(sure < usual && usual < 41.3);
    assert_false(sp_motion_speed_striking(samples, 3, 3.1531, 0.007, &some, &usual, &highest));
    assert_false(sp_motion_speed_striking(samples, COUNT, 3.1531, 0, &some, &usual, &highest));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cubic_motion_is_had_exactly_by_a_cubic_at_any_time),
        cmocka_unit_test(line_has_no_acceleration),
        cmocka_unit_test(fit_refuses_what_it_cannot_determine),
        cmocka_unit_test(speed_along_a_circle_is_exact_however_few_the_samples),
        cmocka_unit_test(speed_along_a_straight_line_is_that_of_the_fit),
        cmocka_unit_test(weights_sum_to_the_velocity_of_the_fit),
        cmocka_unit_test(strike_of_which_nothing_is_known_has_the_speed_of_the_cubic),
        cmocka_unit_test(strike_past_its_fastest_was_faster_before),
        cmocka_unit_test(strike_is_pulled_to_the_gain_that_is_believed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
