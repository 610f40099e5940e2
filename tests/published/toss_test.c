/* The toss against NIST's certified fits, computed falls and a real one. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "kinematics/trajectory.h"
#include "nist_strd.h"
#include "serveplumb/toss.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define SAMPLES_MAX 512

static const double DEGREES = 57.295779513082320876798;
static const sp_slowdown_ideas NONE = {NULL, 0};

/* --- NIST ------------------------------------------------------------------------------------ */

/* Also with the data in y and nothing in x, so that both coordinates are judged. */
static void fit_nist(const double (*data)[2], size_t count, int degree, const double *certified,
                     const double *deviations, double residual_sd) {
    for (int coordinate = 0; coordinate < 2; coordinate++) {
        sp_sample samples[64];
        for (size_t i = 0; i < count; i++) {
            const sp_point at = {coordinate == 0 ? data[i][0] : 0,
                                 coordinate == 1 ? data[i][0] : 0};
            samples[i] = (sp_sample){data[i][1], at};
        }
        sp_trajectory fit;
        assert_true(sp_trajectory_fit(samples, NULL, count, degree, 0, &fit));
        const int terms = degree + 1, first = coordinate * terms;
        /* the other coordinate is all zeros: half the residuals */
        const double sd = sqrt(fit.sum / (fit.surplus / 2.0));
        assert_digits(sd, residual_sd, 1e-9);
        for (int k = 0; k < terms; k++) {
            assert_digits(coordinate == 0 ? fit.x[k] : fit.y[k], certified[k], 1e-9);
            const double variance = fit.covariance[(first + k) * 2 * terms + first + k];
            assert_digits(sd * sqrt(variance), deviations[k], 1e-9);
        }
    }
}

/* NIST StRD, certified values. */
static void pontius_and_norris_are_had_to_nine_digits(void **state) {
    (void)state;
    const double pontius[] = {0.673565789473684E-03, 0.732059160401003E-06, -0.316081871345029E-14};
    const double pontius_sd[] = {0.107938612033077E-03, 0.157817399981659E-09,
                                 0.486652849992036E-16};
    fit_nist(PONTIUS, COUNT(PONTIUS), 2, pontius, pontius_sd, 0.205177424076185E-03);
    const double norris[] = {-0.262323073774029, 1.00211681802045};
    const double norris_sd[] = {0.232818234301152, 0.429796848199937E-03};
    fit_nist(NORRIS, COUNT(NORRIS), 1, norris, norris_sd, 0.884796396144373);
}

/* --- computed falls -------------------------------------------------------------------------- */

/* Seen square on at 5 mm a pixel, the picture rolled by 1.5 degrees, the ball let go at 1.90 m with
 * 5.0 m/s up and 0.20 m/s to the right: an exact parabola. */
static size_t exact_toss(double rate, double span, double label, sp_sample *samples) {
    const double roll = 1.5 / DEGREES, scale = 0.005;
    const size_t count = (size_t)(span * rate + 1.5);
    for (size_t i = 0; i < count; i++) {
        const double t = (double)i / rate;
        const double x = 0.20 * t, z = 5.0 * t - SP_GRAVITY / 2 * t * t;
        samples[i].time_s = (double)i / label;
        samples[i].at.x = 809.947240 + (x * cos(roll) + z * sin(roll)) / scale;
        samples[i].at.y = 520.130217 + (x * sin(roll) - z * cos(roll)) / scale;
    }
    return count;
}

static const sp_toss_options PLAIN = {.plain = true};

static void exact_parabola_gives_its_scale_and_roll(void **state) {
    (void)state;
    sp_sample samples[SAMPLES_MAX];
    const size_t count = exact_toss(60, 0.8, 60, samples);
    assert_int_equal(count, 49);
    /* rows 1 and 48 of the table computed elsewhere (NumPy) */
    assert_near(samples[1].at.x, 811.042830, 1e-6);
    assert_near(samples[48].at.y, 348.652547, 1e-6);
    sp_toss toss;
    assert_true(sp_toss_fit(samples, count, &PLAIN, &toss, NULL));
    assert_digits(toss.acceleration_px, 1961.330, 1e-9);
    assert_digits(toss.m_per_px.value, 0.005, 1e-9);
    assert_near(toss.plumb.angle_deg, 1.5, 1e-8);
    assert_true(toss.rms_px < 1e-9);
    assert_string_equal(toss.doubt, "");
}

/* Columns u_drag, v_drag of a table computed elsewhere (NumPy, Runge-Kutta; Cd 0.507, 66.7 mm,
 * 57.7 g, 1.204 kg/m^3), which says of the plain fit: 1971.3124 px/s^2, 0.00497468 m/px, 1.531934
 * degrees, 59.8479 of 60 frames/s. */
static size_t toss_with_drag(sp_sample *samples) {
    FILE *file = fopen("../shared/reference/synthetic-toss.csv", "r");
    if (file == NULL) return 0;
    char line[512];
    size_t count = 0;
    while (fgets(line, sizeof line, file) != NULL && count < SAMPLES_MAX) {
        int frame;
        double t, u, v;
        if (sscanf(line, "%d,%lf,%*f,%*f,%lf,%lf", &frame, &t, &u, &v) != 4) continue;
        /* its pixel centres are at whole numbers, ours at halves; its times have nine decimals */
        samples[count++] = (sp_sample){frame / 60.0, {u + 0.5, v + 0.5}};
    }
    fclose(file);
    return count;
}

static void plain_fit_of_a_dragged_ball_errs_as_computed_elsewhere(void **state) {
    (void)state;
    sp_sample samples[SAMPLES_MAX];
    const size_t count = toss_with_drag(samples);
    if (count == 0) {
        printf("skipped: ../shared/reference/synthetic-toss.csv is not there\n");
        return;
    }
    assert_int_equal(count, 49);
    sp_toss plain, modelled;
    assert_true(sp_toss_fit(samples, count, &PLAIN, &plain, NULL));
    assert_near(plain.acceleration_px, 1971.3124, 1e-4);
    assert_near(plain.m_per_px.value, 0.00497468, 1e-8);
    assert_near(plain.plumb.angle_deg, 1.531934, 1e-5);
    sp_slowdown_check check;
    assert_true(sp_toss_check_scale(samples, count, &PLAIN, (sp_known_scale){0.005, 0.001}, 1, NONE,
                                    &check, NULL));
    assert_near(60 * check.factor.value, 59.8479, 1e-4);
    assert_true(plain.m_per_px.low < 0.005 && plain.m_per_px.high > 0.005);
    /* with drag modelled the answer is the true one */
    assert_true(sp_toss_fit(samples, count, NULL, &modelled, NULL));
    assert_digits(modelled.m_per_px.value, 0.005, 2e-6);
    assert_near(modelled.plumb.angle_deg, 1.5, 1e-4);
    assert_true(modelled.rms_px < 1e-3);
}

/* Fitted gravity over true gravity of the plain fit, 60 frames/s, computed elsewhere (SciPy). */
static void plain_fit_errs_over_the_range_of_tosses_as_computed_elsewhere(void **state) {
    (void)state;
    const struct {
        double speed, span, at_0507, at_065;
    } rows[] = {{4.0, 0.65, 1.0032, 1.0041},
                {5.0, 0.80, 1.0051, 1.0064},
                {5.5, 0.95, 1.0043, 1.0054},
                {6.3, 1.10, 1.0051, 1.0063}};
    for (size_t row = 0; row < COUNT(rows); row++)
        for (int heavy = 0; heavy < 2; heavy++) {
            const double k = heavy ? 0.023696030 : 0.018482903;
            sp_sample samples[SAMPLES_MAX];
            const size_t count = (size_t)(rows[row].span * 60 + 1.5);
            double z = 0, v = rows[row].speed;
            for (size_t i = 0; i < count; i++) {
                samples[i] = (sp_sample){(double)i / 60, {0, -z / 0.005}};
                for (int fine = 0; fine < 2000; fine++) { /* midpoint steps */
                    const double h = 1.0 / 120000;
                    const double half = v + h / 2 * (-SP_GRAVITY - k * v * fabs(v));
                    z += h * half;
                    v += h * (-SP_GRAVITY - k * half * fabs(half));
                }
            }
            sp_toss toss;
            assert_true(sp_toss_fit(samples, count, &PLAIN, &toss, NULL));
            assert_near(toss.acceleration_px * 0.005 / SP_GRAVITY,
                        heavy ? rows[row].at_065 : rows[row].at_0507, 1.1e-4);
        }
}

/* Deviation of the acceleration per pixel of noise, computed elsewhere (NumPy). */
static void noise_of_the_acceleration_is_the_tabled_one(void **state) {
    (void)state;
    const struct {
        double rate, span, sd;
    } rows[] = {{30, 0.6, 15.454}, {30, 0.8, 7.759},  {60, 0.6, 11.621}, {60, 0.8, 5.753},
                {120, 0.6, 8.490}, {120, 0.8, 4.171}, {240, 0.6, 6.105}, {240, 0.8, 2.987}};
    const sp_toss_options options = {.plain = true, .sd_px = 1};
    for (size_t i = 0; i < COUNT(rows); i++) {
        sp_sample samples[SAMPLES_MAX];
        const size_t count = exact_toss(rows[i].rate, rows[i].span, rows[i].rate, samples);
        sp_toss toss;
        assert_true(sp_toss_fit(samples, count, &options, &toss, NULL));
        assert_near(toss.acceleration_sd_px, rows[i].sd, 6e-4);
        assert_near(toss.noise_px, 1, 0);
    }
}

/* --- the clock ------------------------------------------------------------------------------- */

/* The same fall by its frames' numbers: 240 frames/s labelled 60; 25 frames/s stamped 30. */
static void wrong_labels_come_out_as_their_ratio(void **state) {
    (void)state;
    const struct {
        double rate, label;
    } rows[] = {{60, 60}, {120, 60}, {240, 60}, {240, 30}, {25, 30}, {30, 25}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        sp_sample samples[SAMPLES_MAX];
        const size_t count = exact_toss(rows[i].rate, 0.8, rows[i].label, samples);
        const double ideas[] = {25.0 / 30, 30.0 / 25};
        sp_slowdown_check check;
        assert_true(sp_toss_check_scale(samples, count, &PLAIN, (sp_known_scale){0.005, 0.02}, 1,
                                        (sp_slowdown_ideas){ideas, 2}, &check, NULL));
        const double ratio = rows[i].rate / rows[i].label;
        assert_digits(check.factor.value, ratio, 1e-6);
        assert_digits(check.slowdown.value, ratio, 1e-6);
        assert_int_equal(check.count, 6);
        assert_true(check.likely >= 0);
        assert_digits(check.candidates[check.likely].slowdown, ratio, 1e-12);
        for (size_t k = 0; k < check.count; k++)
            assert_int_equal(check.candidates[k].compatible, (int)k == check.likely);
    }
}

/* --- a real flight --------------------------------------------------------------------------- */

/* A light ball filmed at 240 frames/s in a university's open exercise (CC BY 4.0), with its
 * authors' scale of a 0.420 m bar. Their level is the picture's (the rail on the wall). Its height
 * falls by 8.5 to 9.0 of their m/s^2, so that their metre is 9 to 13 % too long; and it is slowed
 * sideways by 3 m/s^2, which no tennis ball is. */
static size_t real_flight(sp_sample *samples) {
    FILE *file = fopen("../shared/clips/projectile_240fps_txy.txt", "r");
    if (file == NULL) return 0;
    char line[256];
    size_t count = 0;
    while (fgets(line, sizeof line, file) != NULL && count < SAMPLES_MAX) {
        double t, x, y;
        if (sscanf(line, "%lf %lf %lf", &t, &x, &y) == 3)
            samples[count++] = (sp_sample){t, {x, -y}}; /* y is up there */
    }
    fclose(file);
    return count;
}

static void real_flight_says_that_its_authors_scale_is_off(void **state) {
    (void)state;
    sp_sample samples[SAMPLES_MAX];
    const size_t count = real_flight(samples);
    if (count == 0) {
        printf("skipped: ../shared/clips/projectile_240fps_txy.txt is not there\n");
        return;
    }
    assert_int_equal(count, 92);
    sp_toss toss;
    assert_true(sp_toss_fit(samples, count, &PLAIN, &toss, NULL));
    assert_non_null(strstr(toss.doubt, "leave out the first frames")); /* still on its ramp */
    const size_t ramp = 10;
    assert_true(sp_toss_fit(samples + ramp, count - ramp, &PLAIN, &toss, NULL));
    assert_near(toss.acceleration.y, 8.75, 0.25);
    assert_near(SP_GRAVITY / toss.acceleration.y, 1.11, 0.02);
    assert_true(toss.m_per_px.low > 1.03); /* though the slowing sideways hides half of it */
    assert_true(toss.plumb.angle_deg > 15 + 1.96 * toss.plumb.sd_deg); /* and level is known */
    sp_slowdown_check check;
    assert_true(sp_toss_check_scale(samples + ramp, count - ramp, &PLAIN, (sp_known_scale){1, 0.01},
                                    1, NONE, &check, NULL));
    assert_false(check.stated_compatible);
    assert_int_equal(check.likely, -1);
    char words[400];
    sp_slowdown_words(&check, words, sizeof words);
    assert_non_null(strstr(words, "not 1 as stated"));
    assert_non_null(strstr(words, "the scale is off by"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pontius_and_norris_are_had_to_nine_digits),
        cmocka_unit_test(exact_parabola_gives_its_scale_and_roll),
        cmocka_unit_test(plain_fit_of_a_dragged_ball_errs_as_computed_elsewhere),
        cmocka_unit_test(plain_fit_errs_over_the_range_of_tosses_as_computed_elsewhere),
        cmocka_unit_test(noise_of_the_acceleration_is_the_tabled_one),
        cmocka_unit_test(wrong_labels_come_out_as_their_ratio),
        cmocka_unit_test(real_flight_says_that_its_authors_scale_is_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
