/* Angles and motion against published and worked values; the source stands beside each. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "kinematics/polynomial.h"
#include "serveplumb/angle.h"
#include "serveplumb/draws.h"
#include "serveplumb/motion.h"

static const double DEGREES = 57.295779513082320876798;

/* Plane geometry: 3-4-5 triangle; nearly straight (arctangent of 1/1000 short of 180), where the
 * arc cosine in single precision fails. */
static void included_angles_of_known_triangles(void **state) {
    (void)state;
    assert_near(sp_angle_included((sp_point){3, 0}, (sp_point){0, 0}, (sp_point){0, 4}), 90, 1e-12);
    assert_near(sp_angle_included((sp_point){1, 0}, (sp_point){0, 0}, (sp_point){-1, 0.001}),
                180 - atan(0.001) * DEGREES, 1e-12);
    assert_near(sp_angle_included((sp_point){3, 0}, (sp_point){3, 4}, (sp_point){0, 0}),
                36.8698976458, 1e-9);
}

/* A segment 30 degrees from the vertical, and the same in a picture rolled by 1.5 degrees
 * (trigonometry). */
static void segment_leans_less_when_the_picture_rolls_with_it(void **state) {
    (void)state;
    const sp_point proximal = {100, 200}, distal = {130, 148.0384757729};
    assert_near(sp_angle_to_plumb(proximal, distal, 0), 30, 1e-9);
    assert_near(sp_angle_to_plumb(proximal, distal, 1.5), 28.5, 1e-9);
}

/* Winter DA (2009) Biomechanics and Motor Control of Human Movement, Appendix A, Table A.1, frames
 * 28..30: markers in cm, y up. Segment angles from the right horizontal, distal to proximal;
 * thigh - shank is the knee's flexion (computed from the printed markers). */
static void winters_markers_give_thigh_shank_and_knee(void **state) {
    (void)state;
    const struct {
        sp_point hip, knee, ankle;
        double thigh, shank, flexion;
    } rows[] = {
        {{101.53, 79.34}, {112.34, 50.46}, {124.94, 10.63}, 110.521251, 107.554479, 2.966772},
        {{104.45, 79.60}, {114.89, 50.33}, {125.83, 9.61}, 109.630260, 105.038208, 4.592052},
        {{106.78, 79.60}, {116.96, 50.46}, {127.02, 9.74}, 109.256758, 103.877218, 5.379540},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        /* pixels have y down */
        const sp_point hip = {rows[i].hip.x, -rows[i].hip.y};
        const sp_point knee = {rows[i].knee.x, -rows[i].knee.y};
        const sp_point ankle = {rows[i].ankle.x, -rows[i].ankle.y};
        assert_near(90 - sp_angle_to_plumb(knee, hip, 0), rows[i].thigh, 1e-6);
        assert_near(90 - sp_angle_to_plumb(ankle, knee, 0), rows[i].shank, 1e-6);
        assert_near(180 - sp_angle_included(hip, knee, ankle), rows[i].flexion, 1e-6);
    }
}

/* Same table: knee marker of frames 28..30 at 69.9 Hz by the central difference, which a quadratic
 * through three samples gives at the middle one. */
static void winters_knee_marker_moves_as_the_central_difference_says(void **state) {
    (void)state;
    const double dt = 1 / 69.9;
    const sp_sample samples[] = {
        {0, {1.1234, 0.5046}}, {dt, {1.1489, 0.5033}}, {2 * dt, {1.1696, 0.5046}}};
    sp_motion motion;
    assert_true(sp_motion_fit(samples, 3, 2, dt, &motion));
    assert_near(motion.velocity.x, 1.614690, 1e-6);
    assert_near(motion.velocity.y, 0, 1e-12);
    assert_near(motion.acceleration.x, -23.452848, 1e-5);
}

/* --- one-sided weights ----------------------------------------------------------------------- */

/* Gorry PA (1990) Anal Chem 62:570-573 (end points of Savitzky-Golay windows); the longer rows by
 * the pseudo-inverse of the Vandermonde matrix. Oldest first, for unit steps; the last number is
 * the noise gain. */
static void one_sided_weights_are_the_tabled_ones(void **state) {
    (void)state;
    const struct {
        size_t count;
        int degree;
        double weights[9], gain, tolerance;
    } rows[] = {
        {2, 1, {-1, 1}, 1.4142, 1e-9},
        {3, 2, {0.5, -2, 1.5}, 2.5495, 1e-9},
        {5, 2, {26.0 / 70, -27.0 / 70, -40.0 / 70, -13.0 / 70, 54.0 / 70}, 1.1148, 1e-9},
        {7,
         2,
         {21.0 / 84, -6.0 / 84, -21.0 / 84, -24.0 / 84, -15.0 / 84, 6.0 / 84, 39.0 / 84},
         0.6814,
         1e-9},
        {9,
         2,
         {0.175758, 0.010606, -0.102597, -0.163853, -0.173160, -0.130519, -0.035931, 0.110606,
          0.309091},
         0.4738,
         6e-7},
        {5, 3, {-0.345238, 1.047619, -0.571429, -1.619048, 1.488095}, 2.5257, 6e-7},
        {7,
         3,
         {-0.305556, 0.484127, 0.305556, -0.285714, -0.734127, -0.484127, 1.019841},
         1.5219,
         6e-7},
        {9,
         3,
         {-0.250842, 0.223906, 0.293531, 0.110390, -0.173160, -0.404762, -0.432059, -0.102694,
          0.735690},
         1.0694,
         6e-7},
    };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        for (size_t j = 0; j < rows[r].count; j++) {
            sp_sample samples[9];
            for (size_t i = 0; i < rows[r].count; i++)
                samples[i] = (sp_sample){(double)i, {i == j ? 1 : 0, 0}};
            sp_motion motion;
            assert_true(sp_motion_fit(samples, rows[r].count, rows[r].degree,
                                      (double)rows[r].count - 1, &motion));
            assert_near(motion.velocity.x, rows[r].weights[j], rows[r].tolerance);
            assert_near(motion.noise_gain, rows[r].gain, 5.1e-5);
        }
    }
}

/* Savitzky A, Golay MJE (1964) Anal Chem 36:1627-1639: the middle derivative of n points is
 * sum(i x_i) / sum(i^2); its gain 1 / sqrt(sum(i^2)). */
static void middle_derivative_is_that_of_savitzky_and_golay(void **state) {
    (void)state;
    const double x[5] = {3.31, 2.94, 4.02, 4.87, 5.05};
    sp_sample samples[5];
    double expected = 0;
    for (int i = 0; i < 5; i++) {
        samples[i] = (sp_sample){i / 120.0, {x[i], 0}};
        expected += (i - 2) * x[i] / 10;
    }
    sp_motion motion;
    assert_true(sp_motion_fit(samples, 5, 2, 2 / 120.0, &motion));
    assert_digits(motion.velocity.x, expected * 120, 1e-12);
    assert_digits(motion.noise_gain, 120 / sqrt(10), 1e-12);
}

/* --- NIST StRD, linear regression (US Government work, public domain) ------------------------- */

/* Pontius: load cell calibration; y = b0 + b1 x + b2 x^2, x in units of the step 150000. */
static void pontius_is_had_to_nine_digits(void **state) {
    (void)state;
    const double y[] = {.11019,  .21956,  .32949,  .43899,  .54803,  .65694,  .76562,  .87487,
                        .98292,  1.09146, 1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947,
                        1.84646, 1.95392, 2.06128, 2.16844, .11052,  .22018,  .32939,  .43886,
                        .54798,  .65739,  .76596,  .87474,  .98300,  1.09150, 1.20004, 1.30818,
                        1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829};
    double x[40], c[SP_POLYNOMIAL_TERMS_MAX], rss;
    for (int i = 0; i < 40; i++) x[i] = 150000.0 * (i % 20 + 1);
    sp_polynomial polynomial;
    assert_true(sp_polynomial_prepare(&polynomial, x, 40, 2));
    sp_polynomial_solve(&polynomial, y, c, &rss);
    assert_digits(c[0], 0.673565789473684e-03, 1e-9);
    assert_digits(c[1], 0.732059160401003e-06, 1e-9);
    assert_digits(c[2], -0.316081871345029e-14, 1e-9);
    assert_digits(rss, 0.155761768796992e-05, 1e-9);
    const double sd = sqrt(rss / 37);
    assert_digits(sd, 0.205177424076185e-03, 1e-9);
    assert_digits(sd * sp_polynomial_gain(&polynomial, 0), 0.107938612033077e-03, 1e-9);
    assert_digits(sd * sp_polynomial_gain(&polynomial, 1), 0.157817399981659e-09, 1e-9);
    assert_digits(sd * sp_polynomial_gain(&polynomial, 2), 0.486652849992036e-16, 1e-9);
}

/* Norris: ozone monitor calibration; y = b0 + b1 x. */
static void norris_is_had_to_nine_digits(void **state) {
    (void)state;
    const double pairs[][2] = {{0.1, 0.2},     {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6},
                               {9.2, 10.1},    {228.1, 226.5}, {668.5, 666.3}, {998.5, 996.3},
                               {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
                               {0.1, 0.6},     {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0},
                               {448.9, 447.5}, {10.8, 11.6},   {557.7, 556.0}, {228.3, 228.1},
                               {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
                               {0.6, 0.3},     {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2},
                               {998.5, 999.0}, {778.9, 779.0}, {10.2, 11.1},   {117.6, 118.3},
                               {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}};
    double x[36], y[36], c[SP_POLYNOMIAL_TERMS_MAX], rss;
    for (int i = 0; i < 36; i++) {
        y[i] = pairs[i][0];
        x[i] = pairs[i][1];
    }
    sp_polynomial polynomial;
    assert_true(sp_polynomial_prepare(&polynomial, x, 36, 1));
    sp_polynomial_solve(&polynomial, y, c, &rss);
    assert_digits(c[0], -0.262323073774029, 1e-9);
    assert_digits(c[1], 1.00211681802045, 1e-9);
    const double sd = sqrt(rss / 34);
    assert_digits(sd, 0.884796396144373, 1e-9);
    assert_digits(sd * sp_polynomial_gain(&polynomial, 0), 0.232818234301152, 1e-9);
    assert_digits(sd * sp_polynomial_gain(&polynomial, 1), 0.429796848199937e-03, 1e-9);
}

/* JCGM 100:2008 (GUM), example H.3: thermometer corrections, straight line about 20 C; the digits
 * as printed there (from memory, confirmed by recomputing). */
static void gum_h3_line_and_its_prediction_at_thirty_degrees(void **state) {
    (void)state;
    const double t[] = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                        24.513, 25.002, 25.503, 26.010, 26.511};
    const double b[] = {-.171, -.169, -.166, -.159, -.164, -.165,
                        -.156, -.157, -.159, -.161, -.160};
    double from20[11], from30[11], c[SP_POLYNOMIAL_TERMS_MAX], rss;
    for (int i = 0; i < 11; i++) {
        from20[i] = t[i] - 20;
        from30[i] = t[i] - 30;
    }
    sp_polynomial polynomial;
    assert_true(sp_polynomial_prepare(&polynomial, from20, 11, 1));
    sp_polynomial_solve(&polynomial, b, c, &rss);
    const double s = sqrt(rss / 9);
    assert_near(c[0], -0.1712, 5e-5);
    assert_near(c[1], 0.00218, 5e-6);
    assert_near(s, 0.0035, 5e-5);
    assert_near(s * sp_polynomial_gain(&polynomial, 0), 0.0029, 5e-5);
    assert_near(s * sp_polynomial_gain(&polynomial, 1), 0.00067, 5e-6);
    assert_true(sp_polynomial_prepare(&polynomial, from30, 11, 1));
    sp_polynomial_solve(&polynomial, b, c, &rss);
    assert_near(c[0], -0.1494, 5e-5);
    assert_near(s * sp_polynomial_gain(&polynomial, 0), 0.0041, 5e-5);
}

/* --- uncertainty ----------------------------------------------------------------------------- */

typedef struct {
    sp_point a, vertex, c;
    double sd;
} taps;

static sp_point shaken(sp_point p, double sd, sp_random *random) {
    return (sp_point){p.x + sd * sp_random_normal(random), p.y + sd * sp_random_normal(random)};
}

static void shaken_angle(const void *inputs, sp_random *random, double *outputs) {
    const taps *t = inputs;
    outputs[0] = sp_angle_included(shaken(t->a, t->sd, random), shaken(t->vertex, t->sd, random),
                                   shaken(t->c, t->sd, random));
}

/* Law of propagation (GUM 5.1.2) for the included angle: u^2 = s^2 (2/L1^2 + 2/L2^2 - 2 cos/(L1
 * L2)): L = 100, s = 2 give 2.2918 degrees at 90 and 1.9848 at 60; L = 60 and 45, s = 1.5 give
 * 3.5668 at 104. The 95 % interval is 2 x 1.96 u wide while u is small. */
static void draws_widen_an_angle_as_the_law_of_propagation_says(void **state) {
    (void)state;
    const struct {
        double l1, l2, angle, sd, expected;
    } rows[] = {
        {100, 100, 90, 2, 2.291831}, {100, 100, 60, 2, 1.984784}, {60, 45, 104, 1.5, 3.566829}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double turn = rows[i].angle / DEGREES;
        const taps inputs = {
            {rows[i].l1, 0}, {0, 0}, {rows[i].l2 * cos(turn), rows[i].l2 * sin(turn)}, rows[i].sd};
        sp_interval interval;
        assert_true(sp_draws_run(shaken_angle, &inputs, 1, 200000, 3, &interval, NULL));
        assert_near(interval.value, rows[i].angle, 1e-9);
        assert_digits((interval.high - interval.low) / (2 * 1.959964), rows[i].expected, 0.01);
    }
}

static void sum_of_four(const void *inputs, sp_random *random, double *outputs) {
    (void)inputs;
    outputs[0] = 0;
    outputs[1] = 0;
    for (int i = 0; i < 4; i++) {
        outputs[0] += sp_random_normal(random);
        outputs[1] += sp_random_uniform(random, -sqrt(3), sqrt(3));
    }
}

/* JCGM 101:2008, 9.2.2 and 9.2.3 (from memory): the sum of four standard normal inputs has the 95 %
 * interval
 * +-3.92; of four flat inputs of unit deviation +-3.88. */
static void sums_of_jcgm_101_have_their_printed_intervals(void **state) {
    (void)state;
    sp_interval intervals[2];
    assert_true(sp_draws_run(sum_of_four, NULL, 2, 1000000, 5, intervals, NULL));
    assert_near(intervals[0].low, -3.92, 0.02);
    assert_near(intervals[0].high, 3.92, 0.02);
    assert_near(intervals[1].low, -3.88, 0.02);
    assert_near(intervals[1].high, 3.88, 0.02);
}

/* --- swing ----------------------------------------------------------------------------------- */

static sp_point swing(double t) {
    const double turn = 80 / DEGREES + 36 * t + 225 * t * t;
    return (sp_point){1.1 * cos(turn), 1.1 * sin(turn)};
}

static double speed_at_end(double rate, size_t count, int degree, double late) {
    sp_sample samples[SP_MOTION_SAMPLES_MAX];
    for (size_t i = 0; i < count; i++) {
        const double t = ((double)i - (double)count + 1 - late) / rate;
        samples[i] = (sp_sample){t, swing(t)};
    }
    sp_motion motion;
    assert_true(sp_motion_fit(samples, count, degree, 0, &motion));
    return sp_point_length(motion.velocity);
}

/* A swing on a circle of 1.1 m, 36 rad/s at contact and 450 rad/s^2: 39.6 m/s. Expected values by
 * an independent least-squares routine (NumPy). */
static void coordinate_fits_of_the_swing_err_as_computed_elsewhere(void **state) {
    (void)state;
    const struct {
        double rate;
        size_t count;
        int degree;
        double late, expected;
    } rows[] = {
        {30, 2, 1, 0, 30.184},    {60, 2, 1, 0, 35.049},   {120, 2, 1, 0, 37.411},
        {240, 2, 1, 0, 38.534},   {30, 3, 2, 0, 39.928},   {60, 3, 2, 0, 41.023},
        {120, 3, 2, 0, 40.297},   {240, 3, 2, 0, 39.831},  {60, 4, 2, 0, 40.665},
        {120, 4, 2, 0, 40.729},   {240, 4, 2, 0, 40.063},  {60, 5, 2, 0, 39.524},
        {120, 5, 2, 0, 40.987},   {240, 5, 2, 0, 40.323},  {60, 5, 3, 0, 42.626},
        {120, 5, 3, 0, 40.442},   {240, 5, 3, 0, 39.740},  {120, 7, 3, 0, 41.616},
        {240, 7, 3, 0, 40.031},   {60, 5, 2, 0.5, 39.484}, {120, 5, 2, 0.5, 41.622},
        {240, 5, 2, 0.5, 40.775}, {60, 3, 2, 0.5, 42.079}, {120, 3, 2, 0.5, 41.208},
        {240, 3, 2, 0.5, 40.200},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_near(speed_at_end(rows[i].rate, rows[i].count, rows[i].degree, rows[i].late),
                    rows[i].expected, 5.1e-4);
}

/* The same swing: its length travelled is a quadratic in time, so the fit along the path has the
 * true 39.6 m/s where the coordinate fit of the same frames is 3 to 5 % too fast. */
static void fit_along_the_path_has_the_swing_right(void **state) {
    (void)state;
    for (int late = 0; late < 10; late++) {
        for (double rate = 120; rate < 241; rate += 120) {
            sp_sample samples[5];
            for (int i = 0; i < 5; i++) {
                const double t = (i - 4 - late / 10.0) / rate;
                samples[i] = (sp_sample){t, swing(t)};
            }
            double speed;
            assert_true(sp_motion_speed_along(samples, 5, 2, 0, &speed));
            assert_near(speed, 39.6, 0.06);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(included_angles_of_known_triangles),
        cmocka_unit_test(segment_leans_less_when_the_picture_rolls_with_it),
        cmocka_unit_test(winters_markers_give_thigh_shank_and_knee),
        cmocka_unit_test(winters_knee_marker_moves_as_the_central_difference_says),
        cmocka_unit_test(one_sided_weights_are_the_tabled_ones),
        cmocka_unit_test(middle_derivative_is_that_of_savitzky_and_golay),
        cmocka_unit_test(pontius_is_had_to_nine_digits),
        cmocka_unit_test(norris_is_had_to_nine_digits),
        cmocka_unit_test(gum_h3_line_and_its_prediction_at_thirty_degrees),
        cmocka_unit_test(draws_widen_an_angle_as_the_law_of_propagation_says),
        cmocka_unit_test(sums_of_jcgm_101_have_their_printed_intervals),
        cmocka_unit_test(coordinate_fits_of_the_swing_err_as_computed_elsewhere),
        cmocka_unit_test(fit_along_the_path_has_the_swing_right),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
